"""One recorded day of moments and intents, sent through both faces, gives the same facts."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from days import EVERY_SAMPLE

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces import fire_told
from mashday.faces.plain import PlainFace
from mashday.faces.tui.desk import Desk
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import Outcome, Session, begin

# minutes to wait, the line, and the keys that mean the same on the screen
RECORDED: tuple[tuple[float, str, str], ...] = (
    (0, "start", "b"),
    (1, "tick", "t"),
    (1, "done", "n"),
    (0, "keep it", "n"),
    (35, "69.1", "69.1\n"),
    (1, "done", "n"),
    (8, "done", "n"),
    (0, "keep it", "y"),
    (5, "61.0", "61.0\n"),
    (0, "take 1", "1\n"),
    (2, "1.1 L", "1.1 L\n"),
    (3, "62,9", "62,9\n"),
    (2, "note lid left off", "olid left off\n"),
    (1, "undo", "-"),
    (2, "hold", "*"),
    (10, "resume", "h"),
    (8, "95", "95\n"),
    (0, "wrong", "x"),
    (1, "62.4", "62.4\n"),
    (1, "more 5", "e5\n"),
    (19, "62.1 62.5 62.3", ":62.1 62.5 62.3\n"),
    (30, "ok", " "),
    (1, "starch fail", "f"),
    (15, "starch pass", "p"),
    (1, "done", "n"),
    (0, "keep it", "n"),
    (6, "gravity 1.076 at 24 C", ":gravity 1.076 at 24 C\n"),
    (14, "19.5 L", "19.5 L\n"),
    (1, "done", "n"),
    (0, "keep it", "n"),
    (12, "23.8", "23.8\n"),
    (1, "done", "n"),
    (0, "keep it", "n"),
    (1, "unknown", "k"),
    (1, "1.062", "1.062\n"),
    (1, "22", "22\n"),
    (1, "19.4", "19.4\n"),
    (0, "units us", ":units us\n"),
    (1, "skip", "g"),
    (0, "keep it", "y"),
    (3, "finish", ":finish\n"),
    (0, "keep it", "y"),
)


def fresh(name: str = "lock-seven-barley") -> tuple[Session, VirtualClock]:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    return begin(sample_text(name), clock, folder=None), clock


def facts_of(session: Session) -> list[tuple[float, f.Fact]]:
    return [(entry.t, entry.fact) for entry in session.state.log]


def facts_by_lines() -> list[tuple[float, f.Fact]]:
    session, clock = fresh()
    face = PlainFace(session, io.StringIO())
    for minutes, line, _ in RECORDED:
        clock.advance(60.0 * minutes)
        face.news()
        face.take(line)
    return facts_of(session)


class Screen:
    """The keys of a day on the screen, pressed a second of the screen's own clock apart."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.desk = Desk(session)
        self.seconds = 0.0

    def press(self, keys: str) -> None:
        """Lets time do its part, presses the keys one by one, and carries out what they ask."""
        self.desk.heard(self.session.tick().entries)
        self.seconds += 3.0
        self.desk.tick(self.seconds)
        named = {"\n": ("enter", "\r"), " ": ("space", " ")}
        for character in keys:
            self.seconds += 1.0
            name, sent = named.get(character, (character, character))
            self.desk.key(name, sent, self.seconds)
        self.desk.tick(self.seconds + 1.0)
        while self.desk.outbox:
            intent = self.desk.outbox.popleft()
            assert isinstance(intent, intents.Intent)
            self.desk.told(intent, self.session.send(intent))


def facts_by_keys() -> list[tuple[float, f.Fact]]:
    session, clock = fresh()
    screen = Screen(session)
    for minutes, _, keys in RECORDED:
        clock.advance(60.0 * minutes)
        screen.press(keys)
    return facts_of(session)


def test_both_faces_make_the_same_facts_of_the_same_day() -> None:
    by_lines, by_keys = facts_by_lines(), facts_by_keys()
    for one, other in zip(by_lines, by_keys, strict=False):
        assert one == other
    assert len(by_lines) == len(by_keys) > 60
    assert by_lines[-1][1] == f.DayEnded("early")


Moment = tuple[float, str, str]
"""The second of the day, the line, and the keys that mean the same on the screen."""

SAME_WORD: dict[type[intents.Intent], tuple[str, str]] = {
    intents.Start: ("start", "b"),
    intents.Done: ("done", "n"),
    intents.LeaveIt: ("leave", "l"),
    intents.TickItem: ("tick", "t"),
    intents.Acknowledge: ("ok", " "),
    intents.AnswerUnknown: ("unknown", "k"),
    intents.KeepIt: ("keep it", "y"),
}


def written(intent: intents.Intent) -> tuple[str, str]:
    """How a person writes this intent as a line, and how with keys."""
    if isinstance(intent, intents.TakeReading) and intent.quantity == "starch":
        return intent.typed, "p" if intent.passed else "f"
    if isinstance(intent, intents.TakeReading):
        typed = f"{intent.typed} C" if intent.quantity == "temperature" else intent.typed
        return typed, f"{typed}\n"
    if isinstance(intent, intents.AddWater):
        return intent.typed, f"{intent.typed}\n"
    if isinstance(intent, intents.TickItem) and intent.value:
        return f"tick {intent.value}", f":tick {intent.value}\n"
    if isinstance(intent, intents.TakeRemedy):
        return f"take {intent.option}", f"{intent.option}\n"
    return SAME_WORD[type(intent)]


def recorded(name: str, monkeypatch: pytest.MonkeyPatch) -> list[Moment]:
    """What the simulated person did in a whole day, and when a step began by itself."""
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    session = begin(sample_text(name), clock, folder=None, rehearsed=True, seed=3)
    send, moments = session.send, list[Moment]()

    def heard(intent: intents.Intent) -> Outcome:
        line, keys = written(intent)
        says_heat_off = intent == intents.Acknowledge() and fire_told.ringing(session) is not None
        moments.append((clock.elapsed(), "heat off" if says_heat_off else line, keys))
        return send(intent)

    def told(entry: f.Entry) -> None:
        if isinstance(entry.fact, f.StepBegun) and entry.fact.by_itself:
            moments.append((clock.elapsed(), "", ""))

    monkeypatch.setattr(session, "send", heard)
    assert whole_day(session, told).finished
    return moments


@pytest.mark.parametrize("name", EVERY_SAMPLE)
def test_a_whole_day_of_each_sample_is_the_same_in_words_and_in_keys(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (by_lines, line_clock), (by_keys, key_clock) = fresh(name), fresh(name)
    face, screen = PlainFace(by_lines, io.StringIO()), Screen(by_keys)
    for second, line, keys in recorded(name, monkeypatch):
        line_clock.advance(second - line_clock.elapsed())
        key_clock.advance(second - key_clock.elapsed())
        face.news()
        if line:
            face.take(line)
        screen.press(keys)
        assert by_lines.state.seq == by_keys.state.seq, (line, keys)
    assert facts_of(by_lines) == facts_of(by_keys)
    assert by_lines.state.phase == "complete" and by_lines.state.ended == by_keys.state.ended
