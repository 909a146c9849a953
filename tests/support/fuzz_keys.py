"""Rubbish at the keys of the full screen: pressed, pasted, or named in a file of one's own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_days import SIZES, view_texts
from fuzz_lines import line, moment
from fuzz_texts import hostile_text, quantity
from rich.cells import cell_len
from stand_ins import Hung

from mashday.channels.probe import Shown as ProbeShown
from mashday.faces import telling
from mashday.faces.apparatus import Apparatus
from mashday.faces.probing import Probing
from mashday.faces.tui import keys as table
from mashday.faces.tui.asked import Save, Wait
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import paint
from mashday.faces.tui.rows import text_of
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Session

NAMED_KEYS = (
    *(
        "enter",
        "space",
        "escape",
        "backspace",
        "tab",
        "shift+tab",
        "up",
        "down",
        "left",
        "right",
        "home",
        "end",
    ),
    *(
        "pageup",
        "pagedown",
        "delete",
        "insert",
        "f1",
        "f12",
        "ctrl+a",
        "ctrl+c",
        "ctrl+q",
        "ctrl+j",
        "ctrl+z",
    ),
    *(
        "ctrl+\\",
        "alt+x",
        "shift+f4",
        "ctrl+shift+tab",
        "left_super",
        "kp_begin",
        "circumflex_accent",
        "unknown",
    ),
    *("upper_a", "question_mark", "full_stop", "media_play", "\x1b", "", "nothing", "a" * 200),
)
TYPED = ("\r", " ", "\x1b", "\x7f", "\x00", "\u202e", "\u00e9", "\u0301", "\U0001f37a", "ab", "", None)

Press = tuple[str, str, str | None, float]
"""What comes in ("key" or "paste"), its key or text, its character, and the seconds after it."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """A moment of a day, what is pressed, what the keys are called, and whether it is rehearsed."""

    number: int
    presses: tuple[Press, ...]
    keys: tuple[table.Key, ...]
    rehearsed: bool
    seed: int


def some_keys(chance: Random) -> Pressed:
    """Keys pressed by somebody, or something, at some moment of a day."""
    presses = tuple(_press(chance) for _ in range(chance.choice((6, 12, 24))))
    own = _own_keys(chance) if chance.random() < 0.2 else table.KEYS
    return Pressed(chance.randrange(10**6), presses, own, chance.random() < 0.2, chance.randrange(2**32))


def _own_keys(chance: Random) -> tuple[table.Key, ...]:
    said = {
        chance.choice(table.KEYS).name: chance.choice(("f5", "ctrl+x", "A", "#", ["~", "f9"], "1", ""))
        for _ in "ab"
    }
    pedal = chance.choice((None, "presenter", "enter", "f7 f8", "x x", hostile_text(chance)))
    try:
        return table.with_pedal(table.remapped(said), pedal)
    except ValueError as refused:
        shown(str(refused))
        return table.KEYS


def _press(chance: Random) -> Press:
    gap = chance.choice((0.01, 0.08, 0.35, 0.5, 0.7, 1.3, 4.0, 25.0))
    match chance.randint(0, 9):
        case 0:
            return (
                "paste",
                chance.choice((quantity(chance), hostile_text(chance, halves=True), "x" * 9000)),
                None,
                gap,
            )
        case 1:
            return "key", chance.choice(NAMED_KEYS), chance.choice(TYPED), gap
        case 2 | 3:
            character = chance.choice("0123456789.,- CFL")
            return "key", character, character, gap
        case 4:
            return "key", "enter", "\r", gap
        case 5:
            return "line", line(chance)[:60], None, gap
        case _:
            key = chance.choice(chance.choice(table.KEYS).keys)
            return "key", key, key if len(key) == 1 else None, gap


def met_keys(found: Pressed, folder: Path) -> Outcome:
    """The desk without a terminal: every key taken, what it asks for carried out, the board painted."""
    session, clock = moment(found.number, early=found.rehearsed).session()
    rehearsal = Rehearsal(session) if found.rehearsed else None
    chance = Random(found.seed)
    probe = Probing(Hung(ProbeShown(62.0, 2.0, True, 0.0)), session, hands_free=chance.random() < 0.3)
    apparatus = Apparatus(None, None, probe if chance.random() < 0.3 else None)
    desk = Desk(session, rehearsal, keys=found.keys, notices=("Mind the step.",), apparatus=apparatus)
    before = session.state.seq
    now = 0.0
    desk.greet(now)
    for place, (what, key, character, gap) in enumerate(found.presses):
        if what == "paste":
            desk.paste(key, now)
        elif what == "line":
            now = _typed(desk, session, clock, key, now)
        else:
            desk.key(key, character, now)
        now += gap
        clock.advance(gap)
        _carried_out(desk, session, rehearsal)
        desk.tick(now)
        desk.look_outside()
        _carried_out(desk, session, rehearsal)
        if place % 4 == 3:
            _painted(desk, chance)
        if desk.leaving:
            break
    _painted(desk, chance)
    session.close()
    return "went on" if session.state.seq > before else "stood still"


def _typed(desk: Desk, session: Session, clock: VirtualClock, text: str, now: float) -> float:
    """A line typed behind the colon, fast enough and no burst."""
    for character in (":", *text, "\r"):
        desk.key("enter" if character == "\r" else character, character, now)
        now += 0.12
        clock.advance(0.12)
    return now


def _carried_out(desk: Desk, session: Session, rehearsal: Rehearsal | None) -> None:
    """What the worker of the screen does with what is asked."""
    while desk.outbox:
        asked = desk.outbox.popleft()
        if isinstance(asked, Save):
            desk.say(" ".join(telling.save(session, asked.folder)))
        elif isinstance(asked, Wait):
            for outcome in rehearsal.wait(min(asked.minutes, 30.0)) if rehearsal is not None else ():
                desk.heard(outcome.entries)
        else:
            desk.told(asked, session.send(asked))
    desk.heard(session.tick().entries)


def _painted(desk: Desk, chance: Random) -> None:
    width, height = chance.choice(SIZES)
    board = desk.shown(desk.view())
    rows = paint(board, width, height)
    assert len(rows) == height
    assert all(sum(cell_len(text) for text, _ in row) <= width for row in rows)
    shown(text_of(rows), desk.message, *desk.page.lines(), *view_texts(board.view))


AREAS = (Area("keys", some_keys, met_keys, frozenset({"went on"}), 0.2),)
