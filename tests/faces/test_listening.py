"""A listener beside the day: when the microphone opens, and that no value counts before it was kept."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from itertools import pairwise

import pytest
from days import BARLEY
from stand_ins import Voice

from mashday.channels.listener_lines import Ask, Told
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import listening as l
from mashday.faces.apparatus import Apparatus
from mashday.faces.herald import Herald
from mashday.faces.listening import (
    AGAIN_SECONDS,
    KEEP_IT,
    NOT_KEPT,
    SAY_AGAIN,
    UNKEPT_SECONDS,
    USE_THE_KEYS,
    Listening,
)
from mashday.faces.outside import Outside, Said
from mashday.faces.plain import PlainFace
from mashday.faces.tui.desk import Desk
from mashday.session.clock import VirtualClock
from mashday.session.session import begin


class Ear:
    """A listener that is asked, and hears what a test says."""

    def __init__(self) -> None:
        self.state = "shut"
        self.asks: list[Ask] = []
        self.is_asked = False
        self.waiting: list[Told] = []
        self.shuts = 0
        self.troubles: list[str] = []

    def start(self) -> None: ...

    def close(self) -> None: ...

    def ask(self, asked: Ask) -> bool:
        self.asks.append(asked)
        self.is_asked, self.state = True, "open"
        return True

    def shut(self) -> None:
        self.shuts += 1
        if self.is_asked:
            self.answers(Told("closed"))

    def answers(self, told: Told) -> None:
        self.is_asked, self.state = False, "shut"
        self.waiting.append(told)

    def told(self) -> list[Told]:
        found, self.waiting = self.waiting, []
        return found

    def trouble(self) -> str | None:
        return self.troubles.pop(0) if self.troubles else None


class Day:
    """A day in its rest, its first temperature due, with an ear."""

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
        self.voice = Voice()
        self.voice.quiet_seconds = math.inf
        herald = Herald(None, self.voice, None)
        self.ear, self.seconds = Ear(), 0.0
        listening = Listening(self.ear, self.session, herald, lambda: self.seconds)  # type: ignore[arg-type]
        self.outside = Outside(Apparatus(herald, listening=listening), self.session, None)
        self.listening = listening

    def look(self, *, busy: bool = False) -> list[str]:
        """One look: intents are sent, the rest is returned as what was said."""
        said = []
        for came in self.outside.look(busy=busy, doubting=self.session.doubted is not None):
            if isinstance(came, Said):
                said.append(came.text)
            else:
                outcome = self.session.send(came)
                said += [outcome.refused or outcome.doubt or ""]
        return [text for text in said if text]

    def hears(self, line: str, raw: str = "") -> list[str]:
        self.ear.answers(Told("heard", line, raw))
        return self.look()

    def temperatures(self) -> list[f.ReadingTaken]:
        return [reading.fact for reading in self.session.state.valid("temperature")]


def test_the_question_opens_the_microphone_for_its_kind() -> None:
    day = Day()
    day.look()
    assert [ask.kind for ask in day.ear.asks] == ["temperature"]
    assert day.outside.listening is not None and day.outside.listening.microphone == "open"
    day.look()
    assert len(day.ear.asks) == 1


def test_a_value_is_said_back_digit_by_digit_and_counts_once_it_is_kept() -> None:
    day = Day()
    day.look()
    assert day.hears("62.9", "Sixty two point nine.") == [f"Heard six two point nine degrees. {KEEP_IT}"]
    assert not day.temperatures()
    day.look()
    assert day.ear.asks[-1].kind == "keep"
    day.hears("keep it", "Keep it.")
    (fact,) = day.temperatures()
    assert (fact.value, fact.source) == (62.9, f.VOICE)
    assert fact.typed == "62.9 (heard: Sixty two point nine.)"


def test_wrong_forgets_it_and_the_question_is_listened_for_again() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    day.look()
    assert day.hears("wrong") == [l.FORGOTTEN]
    assert not day.temperatures()
    day.look()
    assert day.ear.asks[-1].kind == "temperature"


@pytest.mark.parametrize("answers", [["silence"] * 12, ["closed"] * 12, ["unclear", "silence"] * 6])
def test_nothing_that_is_no_answer_ever_writes(answers: Sequence[str]) -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    for word in answers:
        day.look()
        if day.ear.is_asked:
            day.ear.answers(Told(word))  # type: ignore[arg-type]
        day.look()
        day.seconds += 300.0
    assert not day.temperatures()


def test_a_value_nobody_keeps_is_asked_after_and_then_forgotten() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    said: list[str] = []
    for _ in range(12):
        said += day.look()
        if day.ear.is_asked:
            day.ear.answers(Told("silence"))
        said += day.look()
    assert sum(KEEP_IT in text for text in said) >= 1 and NOT_KEPT in said


def test_three_answers_that_were_none_hand_over_to_the_keys_until_something_else_is_asked() -> None:
    day = Day()
    said: list[str] = []
    for _ in range(3):
        day.look()
        day.ear.answers(Told("unclear"))
        said += day.look()
    assert said == [SAY_AGAIN, SAY_AGAIN, USE_THE_KEYS]
    asked = len(day.ear.asks)
    for _ in range(20):
        day.seconds += 120.0
        day.look()
    assert len(day.ear.asks) == asked
    assert day.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0)).entries
    day.session.send(intents.Hold())
    day.look()
    assert day.ear.asks[-1].kind == "words" and len(day.ear.asks) == asked + 1


def test_an_unlikely_value_is_never_taken_on_the_first_hearing() -> None:
    day = Day()
    assert day.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0)).entries
    day.clock.advance(1500.0)
    day.look()
    (said,) = day.hears("16", "Sixteen.")
    assert "It should lie between" in said and len(day.temperatures()) == 1
    day.look()
    (again,) = day.hears("16", "One six.")
    assert again == f"Heard one six degrees. {KEEP_IT}" and len(day.temperatures()) == 1


def test_the_microphone_is_shut_while_something_is_said_aloud() -> None:
    day = Day()
    day.look()
    day.voice.quiet_seconds = 0.0
    day.look()
    assert day.ear.shuts == 1
    day.look()
    assert len(day.ear.asks) == 1
    day.voice.quiet_seconds = math.inf
    day.look()
    assert len(day.ear.asks) == 2


def test_a_call_that_is_repeated_waits_for_who_may_be_answering_and_an_urgent_one_cuts_in() -> None:
    day = Day()
    herald = day.outside.herald
    assert herald is not None
    day.look()
    before = len(day.voice.lines)
    herald.say("Mash temperature is due.")
    assert len(day.voice.lines) == before
    herald.say("Danger. Heat off.", urgent=True)
    assert len(day.voice.lines) == before + 2


def test_a_value_whose_keeping_was_cut_off_is_said_once_more() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    day.look()
    day.voice.quiet_seconds = 0.0
    day.look()
    day.voice.quiet_seconds = math.inf
    assert day.look() == [f"Heard six two point nine degrees. {KEEP_IT}"]
    day.look()
    assert day.ear.asks[-1].kind == "keep"


def test_it_stays_shut_while_the_person_types() -> None:
    day = Day()
    day.look(busy=True)
    assert not day.ear.asks


def test_in_a_rest_that_asks_nothing_it_opens_once_for_each_time_something_was_said() -> None:
    day = Day()
    day.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0))
    for told in (Told("unclear"), Told("silence"), Told("unclear"), Told("unclear")):
        opened = len(day.ear.asks)
        assert day.look() == [] and day.ear.asks[opened:] == [Ask("words", l.PATIENCE_SECONDS)]
        day.ear.answers(told)
        assert [day.look() for _ in range(5)] == [[]] * 5 and len(day.ear.asks) == opened + 1
        day.voice.quiet_seconds = 0.0
        day.look()
        day.voice.quiet_seconds = math.inf
    day.look()
    assert day.hears("left")[0].endswith("left of rest.")


def test_a_question_nobody_answers_is_said_again_ever_more_seldom() -> None:
    day = Day()
    said_at = []
    for second in range(900):
        day.seconds = float(second)
        if day.ear.is_asked and second % 9 == 8:
            day.ear.answers(Told("silence"))
        if day.look():
            said_at.append(second)
    gaps = [after - before for before, after in pairwise(said_at)]
    assert gaps == sorted(gaps) and AGAIN_SECONDS[-1] <= gaps[-1] <= AGAIN_SECONDS[-1] + 20.0


def test_a_value_that_waits_is_dropped_where_the_keys_were_quicker() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    assert day.session.send(intents.TakeReading("temperature", 63.2, "C", "63.2", 63.2)).entries
    day.hears("keep it")
    assert [fact.value for fact in day.temperatures()] == [63.2]


def test_a_keep_it_for_one_value_keeps_no_other() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    day.look()
    assert day.session.send(intents.TakeReading("temperature", 62.5, "C", "62.5", 62.5)).entries
    assert day.session.send(intents.TakeReading("temperature", 36.2, "C", "36.2", 36.2)).doubt
    day.hears("keep it")
    assert [fact.value for fact in day.temperatures()] == [62.5]


def test_a_doubt_that_came_meanwhile_is_not_answered_by_the_ear_either() -> None:
    day = Day()
    assert day.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0)).entries
    day.clock.advance(1500.0)
    day.look()
    day.hears("62.9")
    day.look()
    assert day.session.send(intents.TakeReading("temperature", 36.2, "C", "36.2", 36.2)).doubt
    day.hears("keep it")
    assert [fact.value for fact in day.temperatures()] == [63.0]


def test_a_value_said_long_ago_is_none_of_now() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    day.look()
    day.seconds += UNKEPT_SECONDS
    assert day.hears("keep it") == [l.LAPSED]
    assert day.temperatures() == []


@pytest.mark.parametrize("line", ["unknown", "undo", "more 10", "note lid off", "units us", "weighed 4.9 kg"])
def test_whatever_counts_waits_to_be_kept(line: str) -> None:
    day = Day()
    day.look()
    before = len(day.session.state.log)
    assert KEEP_IT in day.hears(line)[0]
    assert len(day.session.state.log) == before


def test_the_value_of_an_item_waits_and_a_mere_tick_does_not() -> None:
    weighed = Day().listening.weighed
    assert weighed(intents.TickItem(value="0.4"), "tick 0.4", "") == f"Heard 0.4, for this item. {KEEP_IT}"
    assert weighed(intents.TickItem(), "tick", "") == intents.TickItem()


@pytest.mark.parametrize("line", ["tick", "got it", "take 1", "keep it", "rubbish"])
def test_what_the_day_would_refuse_counts_as_no_answer_and_in_a_rest_is_let_pass(line: str) -> None:
    day = Day()
    day.look()
    assert len(day.hears(line)) == 1
    day.look()
    assert USE_THE_KEYS not in day.hears(line)
    day.look()
    assert USE_THE_KEYS in day.hears(line)
    resting = Day()
    resting.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0))
    resting.look()
    before = len(resting.session.state.log)
    assert resting.hears(line) == [] and len(resting.session.state.log) == before


def test_what_is_not_asked_for_waits_to_be_kept() -> None:
    day = Day()
    day.session.send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0))
    day.look()
    assert day.hears("hold") == [f"Heard this: Stopping the clocks. {KEEP_IT}"]
    assert day.session.state.phase == "running"
    day.look()
    day.hears("keep it")
    assert day.session.state.phase == "held"


def test_a_way_is_left_only_once_that_is_kept() -> None:
    day = Day()
    day.session.send(intents.TakeReading("temperature", 60.0, "C", "60", 60.0, sure=True))
    day.look()
    assert day.hears("leave") == [f"Heard that it stays as it is. {KEEP_IT}"]
    offer = day.session.state.offer
    assert offer is not None and offer.is_open


def test_a_way_is_said_back_by_what_it_is() -> None:
    day = Day()
    day.session.send(intents.TakeReading("temperature", 60.0, "C", "60", 60.0, sure=True))
    day.look()
    assert day.hears("take 1")[0] == f"Heard way 1, hot water. {KEEP_IT}"


def test_a_doubt_of_the_day_is_asked_again_with_what_is_doubted() -> None:
    day = Day()
    doubt = day.session.send(intents.AddWater(25.0, "25 L", 90.0)).doubt
    assert doubt is not None
    (again,) = day.look()
    assert again.startswith(doubt.partition("?")[0]) and again.endswith(KEEP_IT)
    assert again.lower().count("keep it") == 1


@pytest.mark.parametrize(("typed", "kept"), [(intents.KeepIt(), [62.9]), (intents.Wrong(), [])])
def test_what_waits_may_be_settled_by_hand(typed: intents.Intent, kept: list[float]) -> None:
    day = Day()
    day.look()
    assert day.outside.by_hand(typed) is None
    day.hears("62.9")
    came = day.outside.by_hand(typed)
    if isinstance(came, intents.Intent):
        day.session.send(came)
    assert [fact.value for fact in day.temperatures()] == kept
    assert day.outside.by_hand(typed) is None


@pytest.mark.parametrize(("key", "kept"), [("y", [62.9]), ("x", [])])
def test_on_the_screen_the_keys_for_yes_and_no_settle_it(key: str, kept: list[float]) -> None:
    day = Day()
    desk = Desk(day.session, apparatus=Apparatus(None, listening=day.listening))
    desk.tick(1.0)
    desk.look_outside()
    day.ear.answers(Told("heard", "62.9"))
    desk.look_outside()
    desk.key(key, key, 10.0)
    for asked in desk.outbox:
        if isinstance(asked, intents.Intent):
            day.session.send(asked)
    assert [fact.value for fact in day.temperatures()] == kept
    assert day.outside.by_hand(intents.KeepIt()) is None


def test_in_lines_the_words_settle_it_and_a_typed_line_shuts_the_microphone() -> None:
    day = Day()
    face = PlainFace(day.session, io.StringIO(), apparatus=Apparatus(None, listening=day.listening))
    face.news()
    assert day.ear.is_asked
    day.ear.answers(Told("heard", "62.9"))
    face.news()
    face.take("keep it")
    assert [fact.value for fact in day.temperatures()] == [62.9]
    face.news()
    opened = day.ear.shuts
    day.ear.is_asked = True
    face.take("units")
    face.news()
    assert day.ear.shuts == opened + 1


def test_what_the_probe_shows_waits_to_be_kept_too() -> None:
    day = Day()
    shown = intents.TakeReading("temperature", 62.1, "C", "62.1", 62.1, source=f.PROBE)
    day.outside.probe = lambda argument: shown  # type: ignore[method-assign, assignment]
    day.look()
    assert day.hears("probe") == [f"Heard six two point one degrees. {KEEP_IT}"]
    assert not day.temperatures()
    day.look()
    day.hears("keep it")
    assert day.temperatures()[0].source == f.PROBE


def test_an_answer_that_comes_as_somebody_types_or_very_late_counts_for_nothing() -> None:
    for seconds, busy in ((1.0, True), (l.LATEST_SECONDS + 1.0, False)):
        day = Day()
        day.look()
        day.ear.answers(Told("heard", "hold"))
        day.seconds += seconds
        day.look(busy=busy)
        assert day.session.state.phase == "running"


def test_what_was_heard_while_something_was_said_counts_for_nothing() -> None:
    day = Day()
    day.look()
    day.voice.quiet_seconds = 0.0
    assert day.hears("62.9") == [] and day.temperatures() == []
    day.voice.quiet_seconds = math.inf
    day.look()
    assert day.ear.asks[-1].kind == "temperature"


def test_typing_shuts_the_microphone_and_spoils_what_was_being_said() -> None:
    day = Day()
    day.look()
    day.look(busy=True)
    assert day.ear.shuts == 1
    day.hears("62.9")
    assert day.temperatures() == []


def test_a_read_back_that_was_cut_off_is_said_again_before_it_can_be_kept() -> None:
    day = Day()
    day.look()
    day.hears("62.9")
    day.voice.lost += 1
    assert day.look() == [f"Heard six two point nine degrees. {KEEP_IT}"]
    assert day.ear.asks[-1].kind == "temperature"
    day.look()
    assert day.ear.asks[-1].kind == "keep"


def test_where_nothing_can_be_said_nothing_is_listened_to() -> None:
    day = Day()
    day.voice.audible = False
    day.look()
    assert not day.ear.asks


def test_words_do_what_they_say_at_once() -> None:
    day = Day()
    day.look()
    day.hears("hold")
    assert day.session.state.phase == "held"


def test_the_last_step_ends_the_day_once_that_is_kept() -> None:
    day = Day()
    while day.session.state.step < len(day.session.schedule.steps):
        assert day.session.send(intents.Skip(sure=True)).entries
    for _ in day.session.schedule.steps[-1].checklist:
        day.session.send(intents.TickItem())
    day.look()
    assert day.hears("done") == [f"That ends the day. {KEEP_IT}"]
    assert day.session.state.phase == "running"
    day.look()
    day.hears("keep it")
    assert day.session.state.phase == "complete"


@pytest.mark.parametrize("line", ["finish", "abort", "quit", "save"])
def test_no_listener_ends_the_day(line: str) -> None:
    day = Day()
    day.look()
    assert day.hears(line)
    assert day.session.state.phase == "running"


def test_what_is_wrong_with_the_listener_is_told() -> None:
    day = Day()
    day.ear.troubles.append("The listener ended.")
    assert "The listener ended." in day.look()
