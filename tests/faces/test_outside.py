"""What comes in beside the keys: one line of the door at a time, and no reading in the same moment."""

from __future__ import annotations

import pytest
from days import BARLEY
from stand_ins import Hung, Voice

from mashday.channels.probe import Shown
from mashday.engine import intents
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.outside import FOR_THE_KEYS, MOST_LINES, Outside, Said
from mashday.faces.probing import Probing
from mashday.session.clock import VirtualClock
from mashday.session.session import begin


class Door:
    """Lines from somewhere."""

    def __init__(self) -> None:
        self.waiting: list[str] = []
        self.troubles: list[str] = []

    def lines(self) -> list[str]:
        found, self.waiting = self.waiting, []
        return found

    def trouble(self) -> str | None:
        return self.troubles.pop(0) if self.troubles else None

    def close(self) -> None: ...


class Beside:
    """A day in its rest, five minutes in, with a door and a probe."""

    def __init__(self) -> None:
        self.clock = VirtualClock()
        self.session = begin(BARLEY, self.clock, folder=None)
        for intent in (
            intents.Start(4),
            intents.GiveAmount("grain in the pot", 5.0, "5 kg"),
            intents.GiveAmount("water in the pot", 15.0, "15 L"),
            intents.GiveAmount("minutes mashed", 0.0, "0"),
        ):
            assert self.session.send(intent).entries
        self.clock.advance(330.0)
        self.door, self.hung = Door(), Hung(Shown(63.0, 1.0, True, 0.0))
        probing = Probing(self.hung, self.session, hands_free=True)
        apparatus = Apparatus(None, self.door, probing)  # type: ignore[arg-type]
        self.outside = Outside(apparatus, self.session, None)

    def by_door(self, *lines: str) -> tuple[object, ...]:
        self.door.waiting += lines
        return self.outside.look(busy=True)

    def said(self, line: str) -> str:
        (came,) = self.by_door(line)
        assert isinstance(came, Said), came
        return came.text


def test_each_line_is_meant_for_what_came_of_the_one_before() -> None:
    day = Beside()
    (first,) = day.by_door("61 61", "2")
    assert isinstance(first, intents.TakeReading)
    assert day.outside.look(busy=True, sending=True) == ()
    day.session.send(first)
    (second,) = day.outside.look(busy=True)
    assert second == intents.TakeRemedy(2)


@pytest.mark.parametrize("line", ["hold", "undo", "62.9 63"])
def test_no_reading_is_taken_by_itself_in_the_moment_of_a_line(line: str) -> None:
    day = Beside()
    day.outside.look(busy=False)
    day.clock.advance(61.0)
    day.door.waiting.append(line)
    came = day.outside.look(busy=False)
    assert len(came) == 1
    assert not (isinstance(came[0], intents.TakeReading) and came[0].source)


def test_nothing_is_taken_while_the_person_enters_something_or_something_is_sent() -> None:
    day = Beside()
    day.outside.look(busy=False)
    day.clock.advance(61.0)
    assert day.outside.look(busy=True) == () == day.outside.look(busy=False, sending=True)
    (taken,) = day.outside.look(busy=False)
    assert isinstance(taken, intents.TakeReading) and taken.source == "probe"


def test_a_fire_is_answered_by_name_and_not_by_a_bare_ok() -> None:
    day = Beside()
    taken = day.session.send(
        intents.TakeReading("temperature", 60.5, "C", "60.5 60.5", 60.5, spots=(60.5, 60.5))
    )
    assert taken.entries
    offer = day.session.state.offer
    assert offer is not None
    fire = next(way for way in offer.options if way.way == "fire")
    day.session.send(intents.TakeRemedy(fire.option))
    day.clock.advance(60.0 * fire.minutes + 5.0)
    assert day.said("ok") == "Say heat off, once it is off."
    (named,) = day.by_door("heat off")
    assert isinstance(named, intents.Acknowledge) and named.key is not None
    assert day.session.send(named).entries


@pytest.mark.parametrize("word", sorted(FOR_THE_KEYS))
def test_words_for_the_keys_are_not_carried_out(word: str) -> None:
    assert "is for the keys" in Beside().said(word)


def test_the_word_probe_takes_what_is_likely_and_nothing_else() -> None:
    day = Beside()
    day.outside.look(busy=True)
    (taken,) = day.by_door("probe")
    assert isinstance(taken, intents.TakeReading) and taken.source == "probe"
    day.session.send(taken)
    day.hung.shown = Shown(99.0, 1.0, True, 0.0)
    day.outside.look(busy=True)
    assert day.said("probe").startswith("Heard nine nine degrees. It should lie between ")


def test_taking_by_itself_is_switched_off_and_on_by_a_word() -> None:
    day = Beside()
    day.outside.look(busy=True)
    off, *_ = day.by_door("probe off")
    assert isinstance(off, Said) and "only when you say so" in off.text
    day.clock.advance(90.0)
    assert not [came for came in day.outside.look(busy=False) if not isinstance(came, Said)]
    assert "by itself" in day.said("probe on")


def test_trouble_with_the_door_is_told() -> None:
    day = Beside()
    day.door.troubles.append("nothing can be read")
    assert day.outside.look(busy=True) == (Said("Lines from outside: nothing can be read."),)


def test_an_answer_is_shown_whole() -> None:
    day = Beside()
    came = day.by_door("steps")
    assert len(came) > 5 and all(isinstance(one, Said) for one in came)


def test_the_word_probe_without_one_says_how_to_have_one() -> None:
    session = begin(BARLEY, VirtualClock(), folder=None)
    came = Outside(Apparatus(), session, None).probe("")
    assert isinstance(came, Said) and "--probe" in came.text


def well_read() -> Beside:
    """The same, five minutes after a good reading."""
    day = Beside()
    good = intents.TakeReading("temperature", 63.0, "C", "63 63", 63.0, spots=(63.0, 63.0))
    assert day.session.send(good).entries
    day.clock.advance(300.0)
    return day


def test_an_unlikely_value_that_is_said_twice_is_doubted_like_a_typed_one() -> None:
    day = well_read()
    assert "should lie between" in day.said("seventy five")
    (again,) = day.by_door("seventy five")
    assert isinstance(again, intents.TakeReading) and again.metric == 75.0
    assert "should lie between" in day.said("seventy six")
    day.clock.advance(90.0)
    assert "should lie between" in day.said("seventy six")


@pytest.mark.parametrize(
    ("first", "again"),
    [
        ("75.", "75."),
        ("75 C", "75"),
        ("75.0", "75"),
        ("temp 75", "seventy five degrees."),
        ("seventy five point five", "seven five point five"),
    ],
)
def test_a_value_is_said_a_second_time_in_any_words(first: str, again: str) -> None:
    day = well_read()
    assert "should lie between" in day.said(first)
    day.said("what")
    (taken,) = day.by_door(again)
    assert isinstance(taken, intents.TakeReading)


def test_another_value_and_one_that_was_taken_in_between_are_no_second_time() -> None:
    day = well_read()
    for line in ("75", "76", "75", "ph 9", "75"):
        assert "should lie between" in day.said(line)
    (taken,) = day.by_door("63")
    assert isinstance(taken, intents.TakeReading)
    assert "should lie between" in day.said("75")


def test_how_many_lines_are_lost_of_more_than_wait_is_told() -> None:
    day = Beside()
    came = day.by_door(*(f"note {number}" for number in range(MOST_LINES + 5)))
    assert came == (Said("Lines lost from outside: 5; no more than 20 wait."), intents.WriteNote("5"))
    assert day.by_door("note 25") == (intents.WriteNote("6"),)


ENDS = "Ending the day is for the keys"


@pytest.mark.parametrize("line", ["abort", "finish"])
def test_no_line_ends_the_day(line: str) -> None:
    assert ENDS in Beside().said(line)


def in_the_last_step() -> Beside:
    day = Beside()
    while day.session.state.step < len(day.session.schedule.steps):
        assert day.session.send(intents.Skip(sure=True)).entries
    return day


@pytest.mark.parametrize("line", ["done", "next", "Done.", "skip"])
def test_no_line_ends_the_last_step_and_so_the_day(line: str) -> None:
    day = in_the_last_step()
    assert ENDS in day.said(line) and day.session.state.phase == "running"
    day = Beside()
    assert day.by_door(line) == (intents.Skip() if line == "skip" else intents.Done(),)


@pytest.mark.parametrize(
    "doubted", [intents.Done(), intents.Skip(), intents.Finish(), intents.Abort()], ids=str
)
def test_no_line_keeps_what_the_keys_asked_for_and_would_end_the_day(doubted: intents.Intent) -> None:
    day = in_the_last_step()
    day.session.doubted = doubted
    assert ENDS in day.said("keep it") and day.session.state.phase == "running"


def test_a_line_keeps_a_step_that_is_left_out_before_the_last() -> None:
    day = Beside()
    assert day.session.send(intents.Skip()).doubt is not None
    assert day.by_door("keep it") == (intents.KeepIt(),)


@pytest.mark.parametrize(("line", "found"), [("Yes.", "Good"), ("no!", "Check the volume")])
def test_whether_it_was_heard_is_answered_as_a_program_writes_it_down(line: str, found: str) -> None:
    day = Beside()
    herald = Herald(None, Voice(), None)
    day.outside = Outside(Apparatus(herald, day.door, None), day.session, None)  # type: ignore[arg-type]
    herald.try_out()
    assert day.said(line).startswith(found)


class Spoken(Beside):
    """The same with a voice whose loudspeaker is heard for as long as it is told."""

    def __init__(self) -> None:
        super().__init__()
        self.voice = Voice()
        self.outside = Outside(
            Apparatus(Herald(None, self.voice, None), self.door, None),  # type: ignore[arg-type]
            self.session,
            None,
        )
        self.herald = self.outside.herald

    def speaks(self, speaks: bool = True) -> Spoken:
        self.voice.quiet_seconds = 0.5 if speaks else 5.0
        return self


def test_what_comes_while_the_loudspeaker_is_heard_is_shown_each_time_and_asked_for_once_it_is_quiet() -> (
    None
):
    day = Spoken()
    for line in ("undo", "63.4", "heat off"):
        day.speaks()
        assert day.said(line) == f"Not taken while something is said aloud: {line}. Say it again."
        day.speaks(False)
        assert day.by_door() == () and day.voice.lines[-1] == "Not taken. Say it again."
        assert day.by_door("hold") == (intents.Hold(),)
    assert day.voice.lines.count("Not taken. Say it again.") == 3


def test_what_was_said_again_by_itself_is_not_asked_for() -> None:
    day = Spoken().speaks()
    day.said("undo")
    assert day.speaks(False).by_door("undo") == (intents.Undo(),)
    day.by_door()
    assert "Not taken. Say it again." not in day.voice.lines


def test_a_loudspeaker_that_answers_itself_comes_to_an_end() -> None:
    day = Spoken().speaks()
    day.said("heat of its minutes")
    for _ in range(5):
        day.speaks(False).by_door()
        day.speaks().said("not a cane")
    assert day.voice.lines.count("Not taken. Say it again.") == 2


def test_the_voice_itself_is_not_asked_to_say_it_again() -> None:
    day = Spoken()
    day.herald.say("Taken: six three point four degrees")
    for line in ("taken 63.4 degrees", "Taken six three point for degrees."):
        assert day.speaks().said(line) == f"Not taken, for it may be the loudspeaker: {line}"
    day.speaks(False).by_door()
    assert "Not taken. Say it again." not in day.voice.lines


def test_what_is_asked_for_again_is_itself_no_line_the_day_obeys() -> None:
    day = Spoken()
    assert day.said("Not taken. Say it again.").startswith("'Not' is no word here")


@pytest.mark.parametrize(("has_door", "in_words"), [(True, False), (False, True), (False, False)])
def test_how_a_doubt_is_answered_in_words_is_said_where_words_are_taken(
    has_door: bool, in_words: bool
) -> None:
    day, herald = Beside(), Herald(None, Voice(), None)
    apparatus = Apparatus(herald, day.door if has_door else None, None)  # type: ignore[arg-type]
    Outside(apparatus, day.session, None, in_words=in_words)
    assert herald.by_voice == (has_door or in_words)
