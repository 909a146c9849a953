"""Every screen in a real terminal, of a day whose every text is hostile: all of it shows, none of it acts.

One day is hostile as far as the door of schedules lets it in; others come from session files with right sums
whose texts no door ever saw.
"""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

from fuzz_forged import framed
from real_terminal import RealTerminal

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces.tui.to_close import SETTLED_SECONDS
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.session import CODEC, Session, begin

pytestmark = pytest.mark.long

CLICK = "[/][@click=app.quit]x[/]"
RIGHT_TO_LEFT = "\u05d9\u05d5\u05dd \u0627\u0644\u0634\u0639\u064a\u0631"
MARKS = "a\u0308\u0323o\u0302"
BEER = "\U0001f37a\u4e2d\u6587"
LONG, LONGER = "W" * 60, "W" * 500
ADMITTED = f"""
format = 1
name = "{CLICK} [red]day[/red]"
notes = "[bold]{RIGHT_TO_LEFT} {BEER} {MARKS} {"notes " * 60}"
[pot]
name = "[/] kettle"
volume = "33 L"
mass = "4.6 kg"
heater = "2.5 kW"
[place]
room = "19 C"
tap = "12 C"
[thermometer]
checked_at = "{CLICK}"
[spare]
water = "6 L"
[[container]]
name = "[/b] jug"
volume = "1 L"
[[grain]]
name = "[green]malt[/] {BEER}"
kind = "barley malt"
mass = "4 kg"
[[grain]]
name = "{LONG}"
kind = "barley malt"
mass = "1 kg"
[[step]]
kind = "set-up"
title = "[/red] lay out"
checklist = ["[x] weigh {RIGHT_TO_LEFT}", "{LONGER}", "[@click=app.quit]what does it show?", "{MARKS} {BEER}"]
if_it_goes_wrong = ["[/] wrong {CLICK}"]
[[step]]
kind = "heat"
water = "15 L"
title = "heat [strike] water"
[[step]]
kind = "dough-in"
target = "63 C"
title = "{RIGHT_TO_LEFT}"
[[step]]
kind = "rest"
target = "63 C"
time = "60 min"
title = "{LONG}"
checklist = ["stir [red]now"]
[[step]]
kind = "cook"
target = "95 C"
time = "10 min"
grain = []
title = "[cook]"
[[step]]
kind = "raise"
target = "72 C"
title = "{BEER} up"
[[step]]
kind = "starch-check"
title = "[/i] drop"
[[step]]
kind = "mash-out"
title = "[b]out"
[[step]]
kind = "separate"
by = "squeezed bag"
title = "[/u] bag"
[[step]]
kind = "boil"
time = "30 min"
title = "boil [60 min]"
[[step]]
kind = "cool"
target = "24 C"
title = "{MARKS} cool"
[[step]]
kind = "add"
what = "{CLICK}"
amount = "[5 g]"
[[step]]
kind = "do"
text = "[do] {CLICK} {RIGHT_TO_LEFT}"
[[step]]
kind = "pitch"
title = "[yeast] in"
yeast = "[yeast]{BEER}"
amount = "[/] 16 g"
[[step]]
kind = "clean-up"
title = "[/] clean"
"""
SHOWN_IN_STEP = (
    *(
        "[/red] lay out",
        "heat [strike] water",
        RIGHT_TO_LEFT,
        "WWWW",
        "[cook]",
        "\u4e2d\u6587",
        "[/i] drop",
        "[b]out",
    ),
    *("[/u] bag", "boil [60 min]", "cool", CLICK, "[do]", "[yeast]", "[/] clean"),
)
"""A piece of each step's own text, in the order of the steps."""
BEYOND = (
    "kept\x1b]0;owned\x07\x1b[2J\x9b31m\x9d0;owned\x9c"
    "\u202e\u2066\u200b\ufeff\rback\u2028\ue000[/][@click=app.quit]x"
)
"""What no door lets in: titles, erasure, C1, direction, nothing to see, a return (ECMA-48; Unicode)."""
HARMLESS = {"H", "m", "?h", "?l", ">u", "<u", "?$p", "]22"}
"""Place, attributes, modes, the keyboard's mode, what is asked of the terminal, the shape of the pointer."""
BEFORE_ENTER_SECONDS, KEY_SECONDS = 0.35, 0.15


class Walk:
    """Terminals opened one after the other in one folder, and what all of them were sent."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.sessions = folder / "sessions"
        self.sessions.mkdir()
        self.opened: list[RealTerminal] = []

    def open(self, *words: str, columns: int = 120, rows: int = 40) -> RealTerminal:
        """The program in a terminal, its days and all that it may write in this folder."""
        own = {"MASHDAY_SESSIONS": str(self.sessions), "XDG_CONFIG_HOME": str(self.folder / "config")}
        made = RealTerminal(
            ["-m", "mashday", *words], self.folder, columns=columns, rows=rows, environment=own
        )
        self.opened.append(made)
        return made

    def nothing_acted(self) -> None:
        """No control character but the toolkit's own reached any of the terminals; no fault was noted."""
        for one in self.opened:
            assert one.picture.controls == set()
            assert one.picture.sequences <= HARMLESS
            assert "\u202e" not in one.picture.text and "\u200b" not in one.picture.text
            assert b"\x9b" not in re.sub(rb"[\xc4-\xf4][\x80-\xbf]+", b"", one.written)
        assert not list(self.folder.rglob("crash.txt"))


@pytest.fixture
def walk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Walk]:
    monkeypatch.chdir(tmp_path)
    made = Walk(tmp_path)
    yield made
    for one in made.opened:
        one.close()


def closing_left_out(day: RealTerminal) -> None:
    """Leaves the three last questions out, once a key may be an answer to them."""
    rest(day, SETTLED_SECONDS + KEY_SECONDS)
    day.type("q")
    day.shows("1-3: write")
    rest(day)


def rest(day: RealTerminal, seconds: float = KEY_SECONDS) -> None:
    """Reads for a moment, in which nothing is typed."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        assert day.read(0.05), day.picture.text


def say(day: RealTerminal, words: str) -> None:
    """A line of words, pasted."""
    day.type(":")
    day.shows("Enter takes the line")
    day.type(f"\x1b[200~{words}\x1b[201~")  # bracketed paste (XTerm Control Sequences)
    day.shows(f"{words[-20:]}_")
    rest(day, BEFORE_ENTER_SECONDS)
    day.type("\r")
    day.hides("Enter takes the line")


def looked_at(day: RealTerminal, key: str, *marks: str) -> None:
    """A page opened by its key, read to its end, and left; these marks stand somewhere on it."""
    rest(day)
    day.type(key)
    day.shows("Esc: back")
    seen = day.picture.text
    for _ in range(6 if marks else 2):
        day.type("\x1b[6~")
        rest(day)
        seen += day.picture.text
    for mark in marks:
        assert mark in seen
    day.type("\x1b")
    day.hides("Esc: back")


def test_a_day_that_is_hostile_as_far_as_the_door_admits_shows_as_written_everywhere(walk: Walk) -> None:
    (walk.folder / "day.toml").write_text(ADMITTED, encoding="utf-8")
    day = walk.open("run", "day.toml", "--rehearse", "--rate", "1")
    day.shows(f"{CLICK} [red]day[/red]", "begin the day")
    for key, mark in (
        ("?", "Keys that do something now"),
        ("i", "[/red] lay out"),
        ("a", "Start the day"),
        ("d", "sparge"),
    ):
        looked_at(day, key, mark)
    rest(day)
    day.type("z")
    day.until(lambda: list(walk.folder.glob("*-plan.txt")), "a sheet")
    (sheet,) = walk.folder.glob("*-plan.txt")
    assert sheet.read_text(encoding="utf-8").replace("\n", "").isprintable()
    rest(day)
    day.type("b")
    for number, mark in enumerate(SHOWN_IN_STEP, 1):
        day.shows(f"{number}/{len(SHOWN_IN_STEP)} ", mark)
        if number == 1:
            looked_at(day, "c", "[x] weigh", "[@click=app.quit]what", "WWWW")
            looked_at(day, "a", f"[/] wrong {CLICK}")
        if number == 4:
            _remedied(day)
        looked_at(day, "w")
        if number in (1, 4, 12):
            day.resize(60, 20)
            day.shows(f"{number}/{len(SHOWN_IN_STEP)} ")
            day.resize(120, 40)
            day.shows(f"{number}/{len(SHOWN_IN_STEP)} ")
        if number < len(SHOWN_IN_STEP):
            say(day, "skip")
            day.shows("Leave out step")
            rest(day)
            day.type("y")
    say(day, f"note {CLICK} {RIGHT_TO_LEFT}")
    looked_at(day, "j", f"Note: {CLICK}")
    say(day, f"explain {CLICK}")
    day.shows("is not in the list of words")
    say(day, "finish")
    day.shows("End the day here")
    rest(day)
    day.type("y")
    day.shows("The day is over", f"SUMMARY {CLICK}".replace("SUMMARY ", ""))
    closing_left_out(day)
    day.type("\r")
    assert day.ended() == 0
    walk.nothing_acted()


def _remedied(day: RealTerminal) -> None:
    """A reading too hot, its ways, the reasons of one, and one taken."""
    say(day, "temp 68.5")
    day.shows("SURE?")
    rest(day)
    day.type("y")
    day.shows("cold water", "[/b] jug")
    say(day, "why 1")
    day.shows("Why", "Esc: back")
    day.type("\x1b")
    day.hides("Esc: back")
    say(day, "leave")


def test_the_start_screen_shows_hostile_schedules_as_written(walk: Walk) -> None:
    (walk.folder / "day.toml").write_text(ADMITTED, encoding="utf-8")
    (walk.folder / "[red]\u202e[x].toml").write_text(ADMITTED, encoding="utf-8")
    (walk.folder / "broken\x1b[2J.toml").write_text(f'[pot]\n"{BEYOND!a}" = 1\n[[step]]\n', encoding="utf-8")
    _forged(walk.sessions)
    screen = walk.open()
    screen.shows("past days: ", "day.toml", CLICK, "[red][x].toml", "broken[2J.toml: to mend")
    for number, mark in (("to mend first", "to mend in broken[2J.toml"), ("day.toml:", "[green]malt[/]")):
        line = next(line for line in screen.picture.lines if number in line)
        _picked(screen, line.split()[0 if line.split()[0] != ">" else 1], mark, behind="past days: ")
    past = next(line for line in screen.picture.lines if "past days" in line).split()
    rest(screen)
    screen.type(past[0] if past[0] != ">" else past[1])
    rest(screen)
    screen.type("\r")
    screen.shows("Past days", CLICK)
    _picked(screen, "1", "SUMMARY", "kept", behind="Past days, the latest first")
    screen.type("\x1b")
    screen.shows("Schedules in this folder")
    rest(screen)
    screen.type("q")
    assert screen.ended() == 0
    walk.nothing_acted()


def _picked(screen: RealTerminal, number: str, *marks: str, behind: str) -> None:
    """A page picked by its number, read to its end, and left for the one behind it."""
    rest(screen)
    screen.type(number)
    rest(screen)
    screen.type("\r")
    screen.shows("Esc: back", *marks)
    for _ in range(3):
        screen.type("\x1b[6~")
        rest(screen)
    screen.type("\x1b")
    screen.shows(behind)


def lived(*, over: bool) -> Session:
    """A day of the hostile schedule with an entry of nearly every kind."""
    clock = VirtualClock(VIRTUAL_START - timedelta(days=1))
    session = begin(ADMITTED, clock, folder=None)

    def send(intent: intents.Intent) -> None:
        clock.advance(200.0)
        outcome = session.send(intent)
        if outcome.doubt is not None:
            session.send(intents.KeepIt())

    send(intents.Start())
    send(intents.TickItem(value="63"))
    for _ in range(3):
        send(intents.Skip(sure=True))
    send(intents.TakeReading("temperature", 68.5, "C", "68.5", 68.5, sure=True))
    send(intents.TakeRemedy(1, sure=True))
    send(intents.AddWater(0.8, "0.8 L", 12.0, sure=True))
    send(intents.TakeReading("gravity", 1.05, "SG", "1.05", 1.05, 20.0, sure=True))
    send(intents.Correct(session.state.readings[-1].number, 1.06, "SG", "1.06", 1.06, sure=True))
    send(intents.WriteNote("a note"))
    clock.advance(4000.0)
    send(intents.Acknowledge())
    send(intents.TakeReading("temperature", 63.0, "C", "63", 63.0, sure=True))
    send(intents.Undo())
    session._write((f.CallAnswered("x", "temperature", 400.0),), session.t())
    session._write((f.Opened("0", "", 0.0, 900.0, "back"),), session.t())
    if over:
        send(intents.Abort(sure=True))
    return session


TEXTS = (
    "typed",
    "unit",
    "place",
    "trust",
    "source",
    "text",
    "what",
    "how",
    "left",
    "value",
    "why",
    "call",
    "app",
)


def _forged(folder: Path) -> tuple[Path, Path]:
    """An open day and one that is over, with right sums and texts that no door let in; the open one first."""
    found = []
    for over in (False, True):
        session = lived(over=over)
        tables: list[dict[str, Any]] = []
        for entry in session.state.log:
            table = CODEC.encode(entry.seq, entry.act, entry.t, entry.at, entry.fact)
            kinds = {"reading": ("what",), "amount": ("what",), "day ended": ("how",), "step ended": ("how",)}
            for key in set(TEXTS) - set(kinds.get(table["kind"], ())):
                if isinstance(table.get(key), str):
                    table[key] = BEYOND
            tables.append(table)
        path = folder / f"2026-10-0{2 if over else 3}-{'over' if over else 'open'}.toml"
        path.write_bytes(framed({**session.header, "app": BEYOND, "boot_id": BEYOND}, tables))
        found.append(path)
    return found[0], found[1]


def test_a_forged_open_day_is_taken_up_and_none_of_its_texts_acts(walk: Walk) -> None:
    _forged(walk.sessions)
    day = walk.open("resume")
    day.shows("4/15 ", "WWWW")
    for key, mark in (("j", "kept"), ("w", ""), ("i", "WWWW"), ("a", ""), ("c", "stir [red]now")):
        looked_at(day, key, mark)
    say(day, "undo")
    rest(day, BEFORE_ENTER_SECONDS)
    say(day, "finish")
    day.shows("End the day here")
    rest(day)
    day.type("y")
    day.shows("The day is over")
    closing_left_out(day)
    for _ in range(6):
        day.type("\x1b[6~")
        rest(day, 0.1)
    day.type("\r")
    assert day.ended() == 0
    walk.nothing_acted()


def test_lines_and_papers_of_forged_days_act_on_no_terminal(walk: Walk) -> None:
    opened, over = _forged(walk.sessions)
    (walk.folder / "day.toml").write_text(ADMITTED, encoding="utf-8")
    (walk.folder / "broken\x1b[2J\u202e.toml").write_text(f'"{BEYOND!a}" = 1\n', encoding="utf-8")
    unknown = walk.sessions / "2026-10-01-unknown.toml"
    unknown.write_bytes(
        opened.read_bytes().replace(b'kind = "held"', b'kind = "hold"') + b'[[entry]]\nseq = "\x1b[2J'
    )
    for words, code in (
        (("summary", over.stem), 0),
        (("summary", opened.stem), 0),
        (("summary", unknown.stem), 0),
        (("plan", "day.toml"), 0),
        (("check", "day.toml", "broken\x1b[2J\u202e.toml"), 2),
        (("summary", BEYOND.replace("\x00", "")), 2),
        (("reckon", "convert", BEYOND), 2),
        (("run", "--plain", "day.toml", "--from", BEYOND), 2),
    ):
        shown = walk.open(*words, columns=100, rows=200)
        assert shown.ended() == code, shown.picture.text
    plain = walk.open("resume", "--plain", opened.stem, rows=200)
    plain.shows(CLICK)
    for word in ("log", "why", "again", "steps", "trouble", "undo"):
        plain.type(f"{word}\n")
        rest(plain, 0.4)
    plain.type("quit\n")
    assert plain.ended() == 0
    walk.nothing_acted()
