"""The full screen: one widget painted from rows, one tick, one worker for the disk."""

from __future__ import annotations

import asyncio
import signal
import sys
import time
import traceback
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.driver import Driver
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from mashday import __version__
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import Row, Shown, paint
from mashday.faces.tui.style import styles
from mashday.faces.tui.terminal import draws_beyond_ascii
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import Outcome, Session

TICK_SECONDS = 0.25
BACKLOG_MOST = 8
FIRST_REPEAT_SECONDS, NEXT_REPEAT_SECONDS = 60.0, 120.0
CLEAN, OUR_FAULT = 0, 3


def run_board(session: Session, *, rehearsal: Rehearsal | None, crash_note: Path) -> int:
    """Shows the session until it ends or is left; returns the exit code."""
    desk = Desk(session, rehearsal, ascii_only=not draws_beyond_ascii())
    app = BoardApp(desk, crash_note=crash_note)
    app.run(mouse=False)
    return OUR_FAULT if app.return_code is None else app.return_code


class Board(Widget):
    """Rows of styled text over the whole screen; only rows that changed are painted again."""

    DEFAULT_CSS = "Board { width: 100%; height: 100%; }"
    can_focus = False

    def __init__(self) -> None:
        super().__init__()
        self.shown = Shown()
        self._rows: list[Row] = []
        self._styles = styles()

    def show(self, shown: Shown) -> None:
        """Puts new content on the screen."""
        self.shown = shown
        self._repaint()

    def on_resize(self) -> None:
        """Lays the rows out anew for the new size."""
        self._rows = []
        self._repaint()

    def _repaint(self) -> None:
        width, height = self.size
        if width <= 0 or height <= 0:
            return
        rows = paint(self.shown, width, height)
        changed = [y for y, row in enumerate(rows) if y >= len(self._rows) or row != self._rows[y]]
        self._rows = rows
        if len(changed) == len(rows):
            self.refresh()
        elif changed:
            self.refresh(*(Region(0, y, width, 1) for y in changed))

    def render_line(self, y: int) -> Strip:
        """One row, with every text stripped of what a terminal could act on."""
        width = self.size.width
        row = self._rows[y] if y < len(self._rows) else []
        segments = [Segment(_harmless(text), self._styles.get(style, Style.null())) for text, style in row]
        return Strip(segments).adjust_cell_length(width)


def _harmless(text: str) -> str:
    return "".join(character if character.isprintable() else " " for character in text)


class BoardApp(App[None]):
    """The screen beside the pot."""

    CSS = "Screen { background: ansi_default; color: ansi_default; layout: vertical; }"
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None

    def __init__(
        self,
        desk: Desk,
        *,
        crash_note: Path | None = None,
        clock: Callable[[], float] = time.monotonic,
        auto_tick: bool = True,
    ) -> None:
        super().__init__(driver_class=_driver(), ansi_color=True)
        self.theme = "ansi-dark"
        self.desk = desk
        self.board = Board()
        self._crash_note = crash_note
        self._clock = clock
        self._auto_tick = auto_tick
        self._lock = asyncio.Lock()
        self._rung: dict[str, tuple[float, int]] = {}

    def compose(self) -> ComposeResult:
        yield self.board

    def on_mount(self) -> None:
        """Starts the tick and sees to signals, so that a closed window leaves the day open in order."""
        self._bindings.key_to_bindings.clear()
        loop = asyncio.get_running_loop()
        if sys.platform != "win32" and self._auto_tick:
            for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
                loop.add_signal_handler(number, self._leave, 128 + number)
        if self._auto_tick:
            self.set_interval(TICK_SECONDS, self.tick)
        self.repaint()

    def _leave(self, code: int) -> None:
        self.exit(return_code=code)

    async def on_event(self, event: events.Event) -> None:
        """Every key goes to the desk and nowhere else: no binding of the toolkit sees it."""
        if isinstance(event, events.Key):
            if not event.is_forwarded:
                self.desk.key(event.key, event.character, self._clock())
                await self._after_key()
            return
        if isinstance(event, events.Paste):
            self.desk.paste(event.text, self._clock())
            self.repaint()
            return
        await super().on_event(event)

    async def _after_key(self) -> None:
        if self.desk.leaving:
            self.exit(return_code=CLEAN)
            return
        self.repaint()
        self._hand_over()

    def tick(self) -> None:
        """The day first (what is due, what begins by itself), then the picture of it."""
        self.desk.tick(self._clock())
        if self.desk.leaving:
            self.exit(return_code=CLEAN)
            return
        self._hand_over()
        self._ring()
        if self._backlog() <= BACKLOG_MOST:
            self.repaint()

    def _hand_over(self) -> None:
        if not self._lock.locked():
            self.run_worker(self.pump(), exit_on_error=True)

    async def pump(self) -> None:
        """Asks the session what is in the outbox, in order, off the screen's thread; then lets time act."""
        desk = self.desk
        async with self._lock:
            while desk.outbox:
                intent = desk.outbox.popleft()
                desk.saving = True
                outcome = await self._off_screen(partial(desk.session.send, intent))
                desk.saving = False
                desk.told(outcome)
            if desk.waits > 0.0 and desk.rehearsal is not None:
                minutes, desk.waits = desk.waits, 0.0
                for outcome in desk.rehearsal.wait(minutes):
                    desk.heard(outcome.entries)
            outcome = await self._off_screen(desk.session.tick)
            desk.heard(outcome.entries)
        if desk.session.state.phase in ("complete", "aborted"):
            self.exit(return_code=CLEAN)
        elif outcome.entries or not self._auto_tick:
            self.repaint()

    async def _off_screen(self, job: Callable[[], Outcome]) -> Outcome:
        """Runs a job of the disk beside the screen; a rehearsal's pot lives on the screen's own thread."""
        if self.desk.rehearsal is not None:
            return job()
        return await asyncio.to_thread(job)

    def repaint(self) -> None:
        """Shows the moment. A fault in the picture is noted and never ends the day."""
        try:
            self.board.show(self.desk.shown(self.desk.view()))
        except Exception as fault:  # the day goes on without its picture
            self._note(fault)

    def _ring(self) -> None:
        """The bell, when a call is due and again while nobody answers it."""
        now = self._clock()
        for call in self.board.shown.view.calls:
            if not call.rings:
                continue
            last, times = self._rung.get(call.key, (-1e9, 0))
            pause = FIRST_REPEAT_SECONDS if times <= 1 else NEXT_REPEAT_SECONDS
            if now - last >= pause:
                self._rung[call.key] = (now, times + 1)
                self.bell()

    def _backlog(self) -> int:
        """Writes the terminal has not taken yet; a stalled terminal must not stop the day."""
        waiting = getattr(getattr(self._driver, "_writer_thread", None), "_queue", None)
        return waiting.qsize() if waiting is not None else 0

    def _note(self, fault: Exception) -> None:
        if self._crash_note is None:
            raise fault
        try:
            self._crash_note.parent.mkdir(parents=True, exist_ok=True)
            with self._crash_note.open("a", encoding="utf-8") as file:
                file.write(f"mashday {__version__}\n{''.join(traceback.format_exception(fault))}\n")
        except OSError:
            return

    def _handle_exception(self, error: Exception) -> None:
        if self._crash_note is not None:
            self._note(error)
        super()._handle_exception(error)


def _driver() -> type[Driver] | None:
    """Our own driver where it fits; None for the toolkit's choice."""
    if sys.platform == "win32":
        return None
    from mashday.faces.tui.driver import SturdyDriver  # noqa: PLC0415 - it cannot be imported on Windows

    return SturdyDriver
