"""The start screen: an unfinished day to take up again, the schedules of this folder, the samples."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import App, ComposeResult
from textual.binding import BindingType

from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.faces.moment import minutes, title
from mashday.faces.tui.app import Board
from mashday.faces.tui.entry import KeyGuard
from mashday.faces.tui.paint import Shown
from mashday.quantities import show
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import find, sample_names
from mashday.session.library import Day, days
from mashday.text import cleaned

MOST_FILES = 30


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
    """Shows the start screen and returns what was chosen; None if it was left."""
    app = StartApp(tuple(offered(folder, here or Path.cwd())))
    app.run(mouse=False)
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
        schedule = load(path.read_bytes())
    except BadSchedule as bad:
        if not any("step" in problem.key or "pot" in problem.key for problem in bad.problems):
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


class StartApp(App[None]):
    """Choose by number."""

    CSS = "Screen { background: ansi_default; color: ansi_default; }"
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None

    def __init__(self, lines: tuple[Offered, ...], clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.board = Board()
        self.choice: Choice | None = None
        self._lines = lines
        self._clock = clock
        self._guard = KeyGuard()
        self._typed = ""
        self._picked: Offered | None = None
        self._said = ""
        self._top = 0

    def compose(self) -> ComposeResult:
        yield self.board

    def on_mount(self) -> None:
        """Shows the lines."""
        self._bindings.key_to_bindings.clear()
        self._show()

    async def on_event(self, event: events.Event) -> None:
        """Takes every key before any binding of the toolkit."""
        if isinstance(event, events.Key):
            if not event.is_forwarded and not self._guard.drops(self._clock()):
                self._key(event.key, event.character or "")
                self._show()
            return
        await super().on_event(event)

    def _key(self, key: str, character: str) -> None:
        self._said = ""
        if key in ("ctrl+c", "ctrl+q") or (character == "q" and self._picked is None):
            self.exit()
        elif self._picked is not None:
            self._begin(key, character)
        elif character.isascii() and character.isdigit() and len(self._typed) < 3:
            self._typed += character
        elif key == "backspace":
            self._typed = self._typed[:-1]
        elif key in ("down", "pagedown", "space"):
            self._top += 5
        elif key in ("up", "pageup"):
            self._top = max(0, self._top - 5)
        elif key in ("enter", "ctrl+j"):
            self._pick()

    def _pick(self) -> None:
        number = int(self._typed or "0")
        self._typed = ""
        if not 1 <= number <= len(self._lines):
            self._said = f"Type a number from 1 to {len(self._lines)}, then Enter."
            return
        line = self._lines[number - 1]
        if line.choice is None:
            self._said = "That file has to be mended first: mashday check names all of it."
        elif line.choice.resumes:
            self.choice = line.choice
            self.exit()
        else:
            self._picked = line

    def _begin(self, key: str, character: str) -> None:
        assert self._picked is not None and self._picked.choice is not None
        what = self._picked.choice.what
        if character in ("1", "2"):
            self.choice = Choice(what, rehearse=character == "2")
            self.exit()
        elif key in ("escape", "backspace", "q"):
            self._picked = None

    def _show(self) -> None:
        if self._picked is not None:
            page: tuple[str, ...] = (
                self._picked.text,
                "",
                "1  the real day, beside the pot",
                "2  a rehearsal beside a simulated pot, sixty times as fast",
                "",
                "Esc goes back.",
            )
        else:
            rows = [f"{number:2d}  {line.text}" for number, line in enumerate(self._lines, 1)]
            typed = f"> {self._typed}_   number, then Enter; q leaves"
            page = ("Which day?", "", *rows, "", typed, self._said)
        self.board.show(Shown(page_title="mashday", page=page, page_top=self._top))
