"""The start screen: an unfinished day to take up again, the schedules of this folder, the samples."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.faces.moment import minutes, title
from mashday.faces.tui.crashes import CrashNote
from mashday.faces.tui.entry import KeyGuard
from mashday.faces.tui.paint import Shown
from mashday.faces.tui.screen import CLEAN, OwnScreen
from mashday.quantities import show
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import find, sample_names
from mashday.session.library import Day, days
from mashday.text import cleaned

MOST_FILES = 30
_OF_A_SCHEDULE = re.compile(rb"^\s*\[\[?\s*(?:step|pot)\s*\]", re.MULTILINE)
LONGEST_NUMBER = 3
ARROWS = {"down": 1, "up": -1, "pagedown": 5, "pageup": -5}


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen: a session to resume, or a schedule to run or rehearse."""

    what: str
    resumes: bool = False
    rehearse: bool = False


@dataclass(frozen=True, slots=True)
class Offered:
    """One line of the start screen."""

    text: str
    choice: Choice | None


def choose(folder: Path, here: Path | None = None) -> Choice | None:
    """Shows the start screen and returns what was chosen; None if it was left.

    Raises SystemExit with 128 + n if signal n ended it, with 3 for a fault of ours.
    """
    app = StartApp(tuple(offered(folder, here or Path.cwd())))
    app.run(mouse=False)
    if app.result_code() != CLEAN:
        raise SystemExit(app.result_code())
    return app.choice


def offered(folder: Path, here: Path) -> Iterable[Offered]:
    """The lines of the start screen."""
    for day in days(folder):
        if day.unfinished and not day.rehearsed:
            yield Offered(_day_line(day), Choice(str(day.path), resumes=True))
    for path in sorted(here.glob("*.toml"))[:MOST_FILES]:
        line = _file_line(path)
        if line is not None:
            yield line
    for name in sample_names():
        yield Offered(f"sample {name}: {_facts(load(find(name)[1]))}", Choice(name))


def _day_line(day: Day) -> str:
    step = title(day.schedule, day.state.step) if day.state.step else "not begun"
    last = day.state.log[-1].at
    name = cleaned(day.schedule.name, 60)
    return f"go on with {name}, of {last:%Y-%m-%d %H:%M}: {cleaned(step, 60)}"


def _file_line(path: Path) -> Offered | None:
    """A schedule of this folder, with what is wrong with it; None for a file that is none at all."""
    name = cleaned(path.name, 60)
    try:
        written = path.read_bytes()
        schedule = load(written)
    except BadSchedule as bad:
        if not _OF_A_SCHEDULE.search(written):
            return None
        first = cleaned(str(bad.problems[0]), 160)
        return Offered(f"{name}: {len(bad.problems)} to mend first: {first}", None)
    except OSError:
        return None
    return Offered(f"{name}: {_facts(schedule)}", Choice(str(path)))


def _facts(schedule: Schedule) -> str:
    """Grain, water, length and fit in one line."""
    plan = prospect(schedule, State())
    grain = show(plan.grist_kg, "mass", schedule.units)
    water = show(plan.total_litres, "volume", schedule.units)
    fits = "fits" if plan.mash is None or plan.mash.fits else "does not fit the pot"
    name, lasts = cleaned(schedule.name, 60), minutes(plan.ends_minute)
    return f"{name}, {grain} of grain, {water} of water, {lasts}, {fits}"


class StartApp(OwnScreen):
    """Choose by number, or by the arrows; then the real day or a rehearsal."""

    def __init__(self, lines: tuple[Offered, ...], seconds: Callable[[], float] = time.monotonic) -> None:
        super().__init__(CrashNote(None))
        self.choice: Choice | None = None
        self._lines = lines
        self._seconds = seconds
        self._guard = KeyGuard()
        self._typed = ""
        self._marked = 0
        self._picked: Choice | None = None
        self._said = ""

    def mounted(self) -> None:
        """Shows the lines."""
        self._show()

    def pressed(self, key: str, character: str | None) -> None:
        """A digit, an arrow, Enter or q."""
        if self._guard.drops(self._seconds()):
            return
        self._said = ""
        if key in ("ctrl+c", "ctrl+q") or (character in ("q", "Q") and self._picked is None):
            self.leave()
        elif self._picked is not None:
            self._begin(self._picked, key, character)
        else:
            self._move(key, character or "")
        self._show()

    def _move(self, key: str, character: str) -> None:
        if character.isascii() and character.isdigit() and len(self._typed) < LONGEST_NUMBER:
            self._typed += character
            self._marked = min(max(int(self._typed), 1), len(self._lines)) - 1
        elif key in ("backspace", "escape"):
            self._typed = "" if key == "escape" else self._typed[:-1]
        elif key in ARROWS:
            self._typed = ""
            self._marked = min(max(self._marked + ARROWS[key], 0), len(self._lines) - 1)
        elif key in ("enter", "ctrl+j"):
            self._pick()

    def _pick(self) -> None:
        number = int(self._typed) if self._typed else self._marked + 1
        self._typed = ""
        if not 1 <= number <= len(self._lines):
            self._said = f"There is no {number}: 1 to {len(self._lines)}, then Enter."
            return
        choice = self._lines[number - 1].choice
        if choice is None:
            self._said = "That file has to be mended first: mashday check names all of it."
        elif choice.resumes:
            self._take(choice)
        else:
            self._picked = choice

    def _begin(self, picked: Choice, key: str, character: str | None) -> None:
        if character in ("1", "2"):
            self._take(Choice(picked.what, rehearse=character == "2"))
        elif key in ("escape", "backspace", "q"):
            self._picked = None

    def _take(self, choice: Choice) -> None:
        self.choice = choice
        self.leave()

    def _show(self) -> None:
        if self._picked is not None:
            page: tuple[str, ...] = (
                self._lines[self._marked].text,
                "",
                "1  the real day, beside the pot",
                "2  a rehearsal beside a simulated pot, sixty times as fast",
                "",
                "Esc goes back.",
            )
            self.board.show(Shown(page_title="mashday", page=page, page_foot="1 or 2; Esc: back"))
            return
        rows = [
            f"{'>' if place == self._marked else ' '} {place + 1:2d}  {line.text}"
            for place, line in enumerate(self._lines)
        ]
        page = ("Which day?", "", *rows)
        foot = f"> {self._typed}_  {self._said or 'number or arrows, then Enter; q: leave'}"
        self.board.show(Shown(page_title="mashday", page=page, page_foot=foot, page_keeps=self._marked + 2))
