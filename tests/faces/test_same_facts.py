"""One recorded day of moments and intents, sent through both faces, gives the same facts."""

from __future__ import annotations

import io
from datetime import UTC, datetime

from mashday.engine import facts as f
from mashday.faces.plain import PlainFace
from mashday.faces.tui.desk import Desk
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.session import Session, begin

# minutes to wait, the line, and the keys that mean the same on the screen
RECORDED: tuple[tuple[float, str, str], ...] = (
    (0, "start", "b"),
    (1, "tick", "t"),
    (1, "done", "+"),
    (0, "keep it", "+"),
    (35, "68.2", "68.2\n"),
    (1, "done", "n"),
    (8, "done", "+"),
    (0, "keep it", "y"),
    (5, "61.0", "61.0\n"),
    (0, "take 1", "1\n"),
    (2, "1.1 L", "1.1L\n"),
    (3, "62.9", "62,9\n"),
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
    (1, "done", "+"),
    (0, "keep it", "+"),
    (6, "gravity 1.076 at 24 C", ":gravity 1.076 at 24 C\n"),
    (14, "19.5 L", "19.5L\n"),
    (1, "done", "+"),
    (0, "keep it", "+"),
    (12, "23.8", "23.8\n"),
    (1, "done", "+"),
    (0, "keep it", "+"),
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


def fresh() -> tuple[Session, VirtualClock]:
    clock = VirtualClock(datetime(2026, 10, 3, 10, 0, tzinfo=UTC))
    return begin(sample_text("lock-seven-barley"), clock, folder=None), clock


def facts_by_lines() -> list[tuple[float, f.Fact]]:
    session, clock = fresh()
    face = PlainFace(session, io.StringIO())
    for minutes, line, _ in RECORDED:
        clock.advance(60.0 * minutes)
        face.news()
        face.take(line)
    return [(entry.t, entry.fact) for entry in session.state.log]


def facts_by_keys() -> list[tuple[float, f.Fact]]:
    session, clock = fresh()
    desk = Desk(session)
    screen_clock = 0.0
    named = {"\n": "enter", " ": "space"}
    for minutes, _, keys in RECORDED:
        clock.advance(60.0 * minutes)
        desk.heard(session.tick().entries)
        for character in keys:
            screen_clock += 1.0
            name = "enter" if character == "\n" else named.get(character, character)
            desk.key(name, "\r" if character == "\n" else character, screen_clock)
        desk.tick(screen_clock + 1.0)
        while desk.outbox:
            intent = desk.outbox.popleft()
            desk.told(intent, session.send(intent))
    return [(entry.t, entry.fact) for entry in session.state.log]


def test_both_faces_make_the_same_facts_of_the_same_day() -> None:
    by_lines, by_keys = facts_by_lines(), facts_by_keys()
    for one, other in zip(by_lines, by_keys, strict=False):
        assert _without_typed(one) == _without_typed(other)
    assert len(by_lines) == len(by_keys) > 60
    assert by_lines[-1][1] == f.DayEnded("early")


def _without_typed(pair: tuple[float, f.Fact]) -> tuple[float, str]:
    """The fact but for the characters typed ("1.1 L" and "1.1L" are the same litre)."""
    t, fact = pair
    fields = {name: getattr(fact, name) for name in fact.__dataclass_fields__ if name != "typed"}
    return t, f"{type(fact).__name__}{fields}"
