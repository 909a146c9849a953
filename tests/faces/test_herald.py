"""The herald: what is heard and when, with channels that only note what they were given."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from mashday.channels import speaker as speech
from mashday.channels.speaker import Speaker
from mashday.channels.tones import SIGNALS, Urgency
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import insistence
from mashday.faces.aloud import MOST_CAUTIONS, aloud
from mashday.faces.apparatus import Apparatus
from mashday.faces.heard import heard as by_door
from mashday.faces.herald import AFTER_SPEECH_SECONDS, AFTER_TONE_SECONDS, ASKS_ALOUD, CHECKS, Herald
from mashday.faces.lines import Misunderstood, understood
from mashday.faces.plain import PlainFace
from mashday.faces.telling import view_of
from mashday.faces.tui.app import BoardApp
from mashday.faces.tui.desk import Desk
from mashday.faces.view import CallLine, View
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, begin

TICK_SECONDS = 0.25


class Noted:
    """A player, a voice and a command in one, which note what they are given and play nothing."""

    def __init__(self, trouble: str | None = None) -> None:
        self.sounds: list[tuple[Urgency, int]] = []
        self.said: list[tuple[str, bool]] = []
        self.called: list[tuple[Urgency, str, float]] = []
        self.closed = 0
        self.fault = trouble
        self.quiet_seconds = math.inf
        self.audible = trouble is None

    def sound(self, urgency: Urgency, strokes: int = 1) -> None:
        self.sounds.append((urgency, strokes))

    def say(self, *lines: str, urgent: bool = False, begins: bool = False) -> None:
        self.said += [(text, urgent) for text in lines]

    def call(self, urgency: Urgency, text: str, late_seconds: float = 0.0) -> None:
        self.called.append((urgency, text, late_seconds))

    def trouble(self) -> str | None:
        found, self.fault = self.fault, None
        return found

    def stop(self) -> None:
        self.closed += 1

    def close(self) -> None:
        self.closed += 1

    @property
    def lines(self) -> list[str]:
        return [text for text, _ in self.said]


class Heard:
    """A herald with noted channels, ticked four times a second."""

    def __init__(self, **channels: Noted | None) -> None:
        self.player, self.speaker, self.command = Noted(), Noted(), Noted()
        given = {"player": self.player, "speaker": self.speaker, "on_call": self.command, **channels}
        self.notified: list[str] = []
        self.herald = Herald(**given, notify=self.notified.append)
        self.now = 1000.0
        self.at: list[float] = []

    def lasts(self, view: View, seconds: float = TICK_SECONDS) -> Heard:
        """The view stands for so many seconds; `at` holds when a signal was played, since it came."""
        began = self.now
        self.at = []
        for _ in range(round(seconds / TICK_SECONDS)):
            before = len(self.player.sounds)
            self.herald.heed(view, self.now)
            self.at += [self.now - began] * (len(self.player.sounds) - before)
            self.now += TICK_SECONDS
        return self


def call(
    key: str = "due", urgency: Urgency = "now", text: str = "Mash temperature is due", **more: Any
) -> CallLine:
    return CallLine(key, text, urgency, **{"rings": True, "acknowledged": False, **more})


def ringing(*calls: CallLine) -> View:
    return View(phase="running", step_number=4, calls=calls)


QUIET = ringing()


def test_a_new_call_is_heard_by_every_channel_at_once() -> None:
    heard = Heard().lasts(QUIET).lasts(ringing(call(late_seconds=7.0)), 2.0)
    assert heard.player.sounds == [("now", 1)]
    assert heard.speaker.said == [("Mash temperature is due", True)]
    assert heard.command.called == [("now", "Mash temperature is due", 7.0)]
    assert heard.notified == ["Mash temperature is due"]


def test_the_signal_comes_again_oftener_and_with_more_strokes_until_it_is_answered() -> None:
    # derived from insistence: every 30 s, 15 s from two minutes on, 10 s from five
    heard = Heard().lasts(ringing(call()), 331.0)
    early = [at for at in heard.at if at < 120.0]
    late = [at for at in heard.at if at >= 300.0]
    assert early == [0.0, 30.0, 60.0, 90.0]
    assert [b - a for a, b in pairwise(late)] == [10.0] * (len(late) - 1)
    strokes = [strokes for _, strokes in heard.player.sounds]
    assert (strokes[0], strokes[-1]) == (1, 3)
    assert strokes == sorted(strokes)


def test_while_somebody_may_be_answering_only_a_danger_and_a_new_call_sound() -> None:
    heard = Heard()
    heard.herald.listens = lambda: True
    assert heard.lasts(ringing(call()), 120.0).at == [0.0]
    heard.herald.listens = lambda: False
    assert heard.lasts(ringing(call()), 20.0).at[0] == 0.0
    heard.herald.listens = lambda: True
    assert heard.lasts(ringing(call(), call("new")), 120.0).at == [0.0]
    assert len(heard.lasts(ringing(call(), call("off", "danger")), 120.0).at) > 3


@pytest.mark.parametrize("answered", [ringing(call(rings=False, acknowledged=True)), QUIET])
def test_nothing_is_heard_of_a_call_that_was_answered(answered: View) -> None:
    heard = Heard().lasts(ringing(call()), 2.0)
    before = (len(heard.player.sounds), len(heard.speaker.said), len(heard.command.called))
    heard.lasts(answered, 600.0)
    assert (len(heard.player.sounds), len(heard.speaker.said), len(heard.command.called)) == before


def test_a_call_that_was_quiet_for_a_while_comes_back_as_a_new_one() -> None:
    quiet = ringing(call(rings=False, quiet_seconds=60.0))
    heard = Heard().lasts(ringing(call()), 400.0).lasts(quiet, 60.0)
    heard.player.sounds.clear()
    heard.lasts(ringing(call()), 1.5)
    assert heard.player.sounds == [("now", 1)]
    assert heard.speaker.said[-1] == ("Mash temperature is due", True)
    assert len(heard.notified) == 2


def test_a_heads_up_is_heard_once() -> None:
    heard = Heard().lasts(ringing(call(urgency="soon", text="The rest ends soon")), 900.0)
    assert heard.player.sounds == [("soon", 1)]
    assert heard.speaker.lines == ["The rest ends soon"]


def test_words_come_more_seldom_than_signals() -> None:
    heard = Heard().lasts(ringing(call()), 121.5)
    # derived: every 30 s a signal, every four times 30 s the words
    assert len(heard.player.sounds) == 5
    assert heard.speaker.lines == ["Mash temperature is due"] * 2
    assert heard.speaker.said[1] == ("Mash temperature is due", False)


def test_of_several_calls_the_gravest_is_heard_and_said_first() -> None:
    danger = call("fire", "danger", "The element may be dry")
    heard = Heard().lasts(ringing(call(), danger), 21.5)
    assert {urgency for urgency, _ in heard.player.sounds} == {"danger"}
    assert heard.at == [0.0, 5.0, 10.0, 15.0, 20.0]  # insistence: a danger every 5 s
    first, second = heard.speaker.said[:2]
    assert first == ("Danger. The element may be dry", True)
    assert second == ("Mash temperature is due", False)
    assert heard.speaker.lines[2:] == ["Danger. The element may be dry", "Mash temperature is due"]


def test_a_call_beside_one_that_rings_is_heard_at_once() -> None:
    heard = (
        Heard().lasts(ringing(call()), 10.0).lasts(ringing(call(), call("stir", text="Stir the mash")), 2.0)
    )
    assert heard.at[0] == 0.0
    assert heard.speaker.said[-1] == ("Stir the mash", True)
    assert [text for _, text, _ in heard.command.called] == ["Mash temperature is due", "Stir the mash"]


def test_the_command_runs_again_only_when_the_call_insists_more() -> None:
    heard = Heard().lasts(ringing(call()), 900.0)
    assert len(heard.command.called) == 1 + len(insistence.GROWS_AFTER_SECONDS)
    assert heard.notified == ["Mash temperature is due"]


def test_words_wait_until_the_tone_is_over() -> None:
    assert max(signal.seconds(3) for signal in SIGNALS.values()) < AFTER_TONE_SECONDS
    heard = Heard().lasts(ringing(call()), AFTER_TONE_SECONDS)
    assert (len(heard.player.sounds), heard.speaker.said) == (1, [])
    heard.lasts(ringing(call()))
    assert heard.speaker.lines == ["Mash temperature is due"]


def test_words_wait_for_no_tone_where_none_is_played_or_where_nobody_ticks() -> None:
    assert Heard(player=None).lasts(ringing(call())).speaker.lines == ["Mash temperature is due"]
    impatient = Heard()
    impatient.herald.patience_seconds = 0.0
    assert impatient.lasts(ringing(call())).speaker.lines == ["Mash temperature is due"]


def test_each_channel_works_alone() -> None:
    others = {"player": None, "speaker": None, "on_call": None}
    for name in others:
        heard = Heard(**{**others, name: (only := Noted())}).lasts(ringing(call()), 2.0)
        assert len(only.sounds) + len(only.said) + len(only.called) == 1, name
        heard.herald.close()
        assert only.closed == 1


def test_a_new_instruction_is_said_without_cutting_in() -> None:
    doing = replace(QUIET, instruction="Stir the mash")
    assert Heard().lasts(QUIET).lasts(doing, 600.0).speaker.said == [("Stir the mash", False)]


# A day said by a real speaker


class StandIn:
    """A speech command that says nothing while its mouth is shut, as one that is busy does."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.mouth = threading.Event()
        self.said: list[str] = []
        monkeypatch.setattr(speech, "begun", self._begun)

    def _begun(self, argv: Sequence[str], text: str) -> None:
        self.mouth.wait()
        self.said.append(text)


def beginnings(name: str) -> Iterator[View]:
    """A sample's day at the moment each of its steps begins, one passed over after the other."""
    session = begin(sample_text(name), VirtualClock(), folder=None)
    session.send(intents.Start())
    while session.state.phase == "running":
        yield view_of(session)
        assert session.send(intents.Skip(sure=True)).entries


@pytest.mark.parametrize("name", sample_names())
def test_what_to_do_in_a_step_and_what_to_take_care_of_is_said_by_a_voice_that_is_busy(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in, speaker = StandIn(monkeypatch), Speaker(["speak"])
    herald = Herald(None, speaker, None)
    for second, view in enumerate(beginnings(name)):
        stand_in.mouth.clear()
        stand_in.said.clear()
        herald.say("in the middle of a line")
        herald.heed(view, float(second))
        for line in ("Came in, moving along", "Pedal, ticks it", "Ticking it off", "Taking it back"):
            herald.say(line)
        stand_in.mouth.set()
        while speaker.quiet_seconds == 0.0:
            time.sleep(0.001)
        wanted = [aloud(line) for line in (view.instruction, *view.cautions[:MOST_CAUTIONS])]
        assert [line for line in stand_in.said if line in wanted] == wanted


# What was entered


def entry(fact: f.Fact) -> f.Entry:
    return f.Entry(7, 7, 60.0, datetime(2026, 10, 3, 10, 0, tzinfo=UTC), fact)


def reading(quantity: f.Quantity, value: float, unit: str, typed: str, **more: Any) -> f.ReadingTaken:
    return f.ReadingTaken(4, quantity, "mash", value, unit, typed, **more)


@pytest.mark.parametrize(
    ("fact", "said"),
    [
        (reading("temperature", 63.5, "C", "63.5"), "Taken: six three point five degrees"),
        (reading("temperature", 146.0, "F", "146.0 F"), "Taken: one four six point zero degrees"),
        (
            reading("temperature", 63.5, "C", "63.5 C", source=f.PROBE),
            "By the probe: six three point five degrees",
        ),
        (
            reading("temperature", 63.47, "C", "63 64", spots=(63.0, 64.0)),
            "Taken: six three point five degrees",
        ),
        (reading("gravity", 1.05, "SG", "1.050 at 24 C"), "Taken: gravity one point zero five zero"),
        (reading("gravity", 12.5, "P", "12.5 P"), "Taken: gravity one two point five degrees Plato"),
        (reading("volume", 17.0, "L", "17 L"), "Taken: volume one seven litres"),
        (reading("ph", 5.4, "pH", "5.40"), "Taken: p H five point four zero"),
        (reading("starch", 1.0, "", "starch pass", passed=True), "Taken: the iodine stays yellow"),
        (reading("starch", 0.0, "", "2", passed=False), "Taken: the iodine goes dark"),
        (f.SampleTemperatureGiven(7, 22.0, 1.05, "kept", "22 C"), "Taken: sample two two degrees"),
        (
            f.WaterAdded(4, 0.9, 0.87, 95.0, "0.9 L at 95 C"),
            "Went in: zero point nine litres at nine five degrees",
        ),
        (f.ReadingCorrected(7, 65.4, "C", "65.4"), "Corrected: six five point four degrees"),
    ],
)
def test_what_was_entered_is_said_back_digit_by_digit(fact: f.Fact, said: str) -> None:
    heard = Heard()
    heard.herald.read_back([entry(fact)])
    assert heard.speaker.said == [(said, not said.startswith("By the probe"))]


@pytest.mark.parametrize(
    "fact",
    [
        reading("temperature", 61.0, "C", "unknown", assumed=True),
        reading("starch", 1.0, "", "unknown", passed=True, assumed=True),
        f.WaterAdded(4, 0.9, 0.87, 95.0, "unknown", assumed=True),
        f.NoteWritten(4, "lid left off 12 minutes"),
    ],
)
def test_what_nobody_read_is_not_said_back(fact: f.Fact) -> None:
    heard = Heard()
    heard.herald.read_back([entry(fact)])
    assert heard.speaker.said == []


def test_a_line_is_said_as_a_person_says_it() -> None:
    heard = Heard()
    heard.herald.say("Heat to 72.4 C", urgent=True)
    assert heard.speaker.said == [("Heat to seventy-two point four degrees", True)]


def test_of_an_answer_the_first_lines_are_said() -> None:
    heard = Heard()
    heard.herald.tell(("Rest at 63 C", "", "Why: it may have drifted", "a table", "of many lines"))
    assert heard.speaker.lines == ["Rest at sixty-three degrees", "Why, it may have drifted"]


@pytest.mark.parametrize(
    ("seconds", "speaks"), [(0.0, True), (AFTER_SPEECH_SECONDS - 0.1, True), (AFTER_SPEECH_SECONDS, False)]
)
def test_a_line_that_comes_while_the_voice_is_heard_may_be_the_voice(seconds: float, speaks: bool) -> None:
    heard = Heard()
    heard.speaker.quiet_seconds = seconds
    assert (heard.herald.quiet, heard.herald.speaking()) == (seconds, speaks)


def test_without_a_voice_that_can_be_heard_every_line_is_somebody_s(tmp_path: Path) -> None:
    for speaker in (None, Speaker(f"file:{tmp_path / 'said.txt'}"), Speaker(None)):
        herald = Herald(None, speaker, None)
        herald.say("Undo")
        assert herald.quiet == math.inf and not herald.speaking()


@pytest.mark.parametrize(
    "fact",
    [
        f.WaterAdded(4, 0.9, 0.87, 95.0, "0.9 L at 95 C"),
        *(
            reading(quantity, value, unit, typed)
            for quantity, value, unit, typed in (
                ("temperature", 63.5, "C", "63.5"),
                ("gravity", 1.05, "SG", "1.050"),
                ("volume", 17.0, "L", "17 L"),
            )
        ),
        *(reading("starch", float(gone), "", "starch", passed=gone) for gone in (True, False)),
        f.ReadingCorrected(7, 65.4, "C", "65.4"),
        f.SampleTemperatureGiven(7, 22.0, 1.05, "kept", "22 C"),
    ],
)
def test_what_is_said_of_an_entry_is_no_line_the_day_obeys(fact: f.Fact) -> None:
    heard = Heard()
    heard.herald.read_back([entry(fact)])
    (said,) = heard.speaker.lines
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    for line in (said, said.lower().replace(":", "")):
        meant = by_door(line, session.schedule, session.state, session.t())
        assert isinstance(meant, Misunderstood), (line, meant)


# Whether anything is heard at all


def test_trouble_is_told_once_in_a_sentence() -> None:
    heard = Heard(player=Noted("no sound player found: afplay; the bell is all there is"))
    assert heard.herald.troubles() == ("No sound player found: afplay; the bell is all there is.",)
    assert heard.herald.troubles() == ()


def test_trying_it_out_plays_the_signal_asks_aloud_and_asks_until_it_is_answered() -> None:
    heard = Heard()
    assert not heard.herald.asks_whether_heard
    heard.herald.try_out()
    assert heard.player.sounds == [("now", 1)]
    heard.lasts(View(), 2.0)
    assert heard.speaker.lines == [ASKS_ALOUD]
    assert heard.herald.question == "A signal was played: did you hear it?"
    assert "Good" in heard.herald.answer_heard(True)
    assert heard.herald.question == ""


def test_after_a_no_it_says_what_to_check_and_is_tried_once_more() -> None:
    heard = Heard()
    heard.herald.try_out()
    assert heard.herald.answer_heard(False) == f"{CHECKS} A signal was played: did you hear it?"
    assert heard.player.sounds == [("now", 1)] * 2
    assert heard.herald.asks_whether_heard


def test_nobody_is_asked_about_what_is_known_to_be_silent() -> None:
    heard = Heard(player=Noted("no player; silence"), speaker=None)
    heard.herald.try_out()
    assert not heard.herald.asks_whether_heard
    assert heard.herald.troubles() == ("No player; silence.",)


def test_nobody_is_asked_any_more_once_it_has_failed_or_the_fire_is_lit() -> None:
    heard = Heard(speaker=None)
    heard.herald.try_out()
    heard.player.fault = "'beep' failed (exit code 1)"
    assert heard.herald.troubles() == ("'beep' failed (exit code 1).",)
    assert not heard.herald.asks_whether_heard
    lit = Heard()
    lit.herald.try_out()
    lit.lasts(replace(QUIET, step_number=2))
    assert not lit.herald.asks_whether_heard


# Beside a day


class Beside:
    """A day in lines with a herald beside it."""

    def __init__(self, **channels: Noted | None) -> None:
        self.clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
        self.session: Session = begin(sample_text("lock-seven-barley"), self.clock, folder=None)
        self.heard = Heard(**channels)
        self.told: list[str] = []
        self.face = PlainFace(self.session, self, apparatus=Apparatus(self.heard.herald))  # type: ignore[arg-type]

    def write(self, text: str) -> None:
        self.told.append(text.strip())

    def flush(self) -> None:
        pass

    def isatty(self) -> bool:
        return False

    def lives(self, *script: str | float) -> list[str]:
        """Lines are typed and minutes pass; what was told meanwhile."""
        before = len(self.told)
        for one in script:
            if isinstance(one, str):
                self.face.take(one)
                self.face.news()
            for _ in range(round(240 * one) if isinstance(one, float) else 0):
                self.clock.advance(TICK_SECONDS)
                self.face.news()
        return self.told[before:]


def test_in_lines_a_call_that_is_told_is_heard_and_its_answer_said_back() -> None:
    beside = Beside()
    beside.lives("start", "done", "keep it", 0.1)
    beside.clock.advance(32 * 60.0)
    told = beside.lives(0.1)
    called = [line.removeprefix("CALL   ").removesuffix(".") for line in told if line.startswith("CALL")]
    assert called
    assert beside.heard.command.called[0][1] == called[0]
    assert beside.heard.player.sounds
    beside.lives("69.1")
    assert ("Taken: six nine point one degrees", True) in beside.heard.speaker.said


def test_in_lines_a_doubt_is_said_aloud_until_it_is_answered() -> None:
    beside = Beside()
    beside.lives("start", "done", "keep it", 0.1)
    beside.lives("99")
    assert any(line.endswith("Say keep it, or wrong.") for line in beside.heard.speaker.lines)
    said = len(beside.heard.speaker.said)
    beside.lives("wrong", 0.1)
    assert not any("keep it" in line for line in beside.heard.speaker.lines[said:])


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("heard yes", "Good"),
        ("yes", "Good"),
        ("heard no", CHECKS),
        ("no", CHECKS),
        ("heard", "Was it heard?"),
    ],
)
def test_in_lines_the_question_is_answered_before_the_day(line: str, found: str) -> None:
    beside = Beside()
    beside.face.greet()
    assert "A signal was played: did you hear it? Say: heard yes, or: heard no" in beside.told
    assert beside.lives(line)[0].startswith(found)
    assert beside.session.state.log[-1].fact == beside.session.state.log[0].fact


def test_in_lines_trouble_is_a_line_and_nothing_is_asked() -> None:
    beside = Beside(player=Noted("no player; silence"), speaker=None)
    beside.face.greet()
    beside.lives(0.1)
    assert beside.told.count("No player; silence.") == 1
    assert not any("did you hear" in line for line in beside.told)


def test_in_lines_again_says_once_more_what_to_do_whatever_was_said_last() -> None:
    beside = Beside()
    beside.lives("start", 0.1, "note lid left off", 0.1)
    before = len(beside.heard.speaker.said)
    told = beside.lives("again")
    assert beside.heard.speaker.said[before] == (aloud(told[0]), True)
    assert told[0] == "Lay everything out and go through the list."


def test_without_a_herald_the_word_heard_says_how_to_have_one() -> None:
    beside = Beside()
    beside.face = PlainFace(beside.session, beside)  # type: ignore[arg-type]
    assert "--sound auto" in beside.lives("heard yes")[0]


def desk_of(*said: str, **channels: Noted | None) -> tuple[Desk, Heard, VirtualClock]:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text("lock-seven-barley"), clock, folder=None)
    for line in said:
        meant = understood(line, session.schedule, session.state, session.t())
        assert isinstance(meant, intents.Intent)
        if session.send(meant).doubt is not None:
            session.send(intents.KeepIt())
    heard = Heard(**channels)
    return Desk(session, apparatus=Apparatus(heard.herald)), heard, clock


@pytest.mark.parametrize(("key", "found"), [("y", "Good"), ("x", CHECKS)])
@pytest.mark.parametrize("said", [(), ("start",)])
def test_on_the_screen_the_question_stands_before_the_fire_and_one_key_answers_it(
    key: str, found: str, said: tuple[str, ...]
) -> None:
    desk, heard, _ = desk_of(*said)
    desk.greet(0.0)
    asked = "A signal was played: did you hear it? y: yes, x: no"
    assert asked in desk.shown(desk.view()).notices
    desk.key(key, key, 1.0)
    assert desk.message.startswith(found)
    assert not desk.outbox
    assert (asked in desk.shown(desk.view()).notices) == (key == "x")
    assert len(heard.player.sounds) == (2 if key == "x" else 1)


def test_on_the_screen_nothing_is_asked_of_a_day_that_is_under_way() -> None:
    desk, heard, _ = desk_of("start", "done")
    desk.greet(0.0)
    assert heard.player.sounds == []
    desk.key("y", "y", 1.0)
    assert list(desk.outbox) == [intents.KeepIt()]


def test_on_the_screen_a_number_that_stands_is_cleared_before_anything_is_answered() -> None:
    desk, heard, _ = desk_of()
    desk.greet(0.0)
    desk.key("6", "6", 1.0)
    desk.key("x", "x", 2.0)
    assert desk.entry.text == ""
    assert len(heard.player.sounds) == 1


AppOf = Callable[..., BoardApp]


async def test_on_the_screen_the_day_is_heard_and_what_is_entered_said_back() -> None:
    desk, heard, clock = desk_of(speaker=None)
    spoken = Noted()
    heard = Heard(speaker=spoken, player=Noted("no player; silence"))
    desk = Desk(desk.session, apparatus=Apparatus(heard.herald))
    app = BoardApp(desk, seconds=clock.elapsed, ticks=False, threads=False)
    async with app.run_test(size=(80, 24)) as pilot:
        app.tick()
        assert desk.message == "No player; silence."
        for line in ("start", "done", "keep it"):
            desk._line(line)
            app.tick()
            await pilot.pause()
        clock.advance(60.0)
        desk._line("25")
        app.tick()
        await pilot.pause()
        assert "Taken: two five degrees" in spoken.lines
        clock.advance(3600.0)
        app.tick()
        assert heard.command.called
        written: list[str] = []
        app._driver.write = written.append  # type: ignore[method-assign, union-attr]
        app._notified("Mash temperature; is due")
        assert written == ["\x1b]9;Mash temperature, is due\x1b\\"]


def test_on_the_screen_a_key_says_once_more_what_to_do() -> None:
    desk, heard, _ = desk_of("start")
    desk.herald.say("Did you hear that?")
    desk.key("a", "a", 1.0)
    desk.tick(2.0)
    assert desk.page.title
    assert heard.speaker.said[1] == ("Lay everything out and go through the list.", True)


async def test_on_the_screen_a_doubt_is_said_without_the_keys_that_stand_behind_it() -> None:
    desk, heard, clock = desk_of("start")
    app = BoardApp(desk, seconds=clock.elapsed, ticks=False, threads=False)
    async with app.run_test(size=(80, 24)) as pilot:
        desk._line("done")
        app.tick()
        await pilot.pause()
        clock.advance(2.0)
        app.tick()
        assert "+ or y: yes" in app.board.shown.view.doubt
        said = [line for line in heard.speaker.lines if "go on" in line.lower() and "open" in line]
        assert len(said) == 1 and "plus or y" not in said[0]
