"""What every full screen of ours shares: one painted widget, keys of our own, an orderly end on signals."""

from __future__ import annotations

import asyncio
import signal
import sys
from typing import Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.driver import Driver
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from mashday.faces.tui.crashes import CrashNote
from mashday.faces.tui.paint import Shown, paint
from mashday.faces.tui.rows import Row, harmless
from mashday.faces.tui.style import styles

BACKLOG_MOST = 8
CLEAN, OUR_FAULT = 0, 3


class Board(Widget):
    """Rows of styled text over the whole screen; only rows that changed are painted again."""

    DEFAULT_CSS = "Board { width: 100%; height: 100%; }"
    can_focus = False

    def __init__(self, crash_note: CrashNote) -> None:
        super().__init__()
        self.shown = Shown()
        self._crash_note = crash_note
        self._rows: list[Row] = []
        self._strips: list[Strip] = []
        self._styles = styles()

    def show(self, shown: Shown) -> None:
        """Puts new content on the screen; nothing is done for what is there already."""
        if shown != self.shown:
            self._repaint(shown)
            self.shown = shown

    def on_resize(self) -> None:
        """Lays the rows out anew for the new size."""
        self._rows = []
        try:
            self._repaint(self.shown)
        except Exception as fault:  # the day goes on, the fault is in the note
            self._strips = []
            self._crash_note.write(fault)

    def _repaint(self, shown: Shown) -> None:
        """Makes the strips of all rows here, so that nothing can fail while they are drawn."""
        width, height = self.size
        if width <= 0 or height <= 0:
            return
        rows = paint(shown, width, height)
        self._strips = [self._strip(row, width) for row in rows]
        changed = [y for y, row in enumerate(rows) if y >= len(self._rows) or row != self._rows[y]]
        self._rows = rows
        if len(changed) == len(rows):
            self.refresh()
        elif changed:
            self.refresh(*(Region(0, y, width, 1) for y in changed))

    def render_line(self, y: int) -> Strip:
        """One row of the picture."""
        return self._strips[y] if y < len(self._strips) else Strip.blank(self.size.width)

    def _strip(self, row: Row, width: int) -> Strip:
        """A row with every text stripped of what a terminal could act on."""
        segments = [Segment(harmless(text), self._styles.get(style, Style.null())) for text, style in row]
        return Strip(segments).adjust_cell_length(width)


class OwnScreen(App[None]):
    """A full screen of one board. Every key comes to `pressed` and nowhere else.

    The colours are the terminal's own sixteen, so that they fit a light and a dark one and NO_COLOR.
    """

    CSS = "Screen { background: ansi_default; color: ansi_default; }"
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None

    def __init__(self, crash_note: CrashNote) -> None:
        super().__init__(driver_class=_driver(), ansi_color=True)
        self.theme = "ansi-dark"
        self.board = Board(crash_note)
        self.crash_note = crash_note

    def compose(self) -> ComposeResult:
        yield self.board

    def on_mount(self) -> None:
        """Sees to signals, so that a closed window ends in order."""
        self._bindings.key_to_bindings.clear()
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(self._loose_fault)
        if sys.platform != "win32" and not self.is_headless:
            for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
                loop.add_signal_handler(number, self.leave, 128 + number)
        self.mounted()

    def mounted(self) -> None:
        """What a screen does once it stands."""

    def pressed(self, key: str, character: str | None) -> None:
        """What a screen does with a key: nothing, unless it says otherwise."""

    def pasted(self, text: str) -> None:
        """What a screen does with pasted text: nothing, unless it says otherwise."""

    def leave(self, code: int = CLEAN) -> None:
        """Ends the screen with this exit code."""
        self.exit(return_code=code)

    async def on_event(self, event: events.Event) -> None:
        """Takes keys and pasted text before any binding of the toolkit."""
        if isinstance(event, events.Key):
            if not event.is_forwarded:
                self.pressed(event.key, event.character)
        elif isinstance(event, events.Paste):
            if not event.is_forwarded:
                self.pasted(event.text)
        else:
            await super().on_event(event)

    def backed_up(self) -> bool:
        """True while the terminal takes nothing: painting on would stop the whole program."""
        waiting = getattr(getattr(self._driver, "_writer_thread", None), "_queue", None)
        return waiting is not None and waiting.qsize() > BACKLOG_MOST

    def result_code(self) -> int:
        """The exit code after `run`: 3 for a fault of ours, which the toolkit tells as 1 or as nothing."""
        return OUR_FAULT if self.return_code is None or self.return_code == 1 else self.return_code

    def _loose_fault(self, loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
        fault = context.get("exception")
        if isinstance(fault, Exception) and self.crash_note.path is not None:
            self.crash_note.write(fault)

    def _handle_exception(self, error: Exception) -> None:
        if self.crash_note.path is not None:
            self.crash_note.write(error)
        super()._handle_exception(error)


def _driver() -> type[Driver] | None:
    """Our own driver where it fits; None for the toolkit's choice."""
    if sys.platform == "win32":
        return None
    from mashday.faces.tui.driver import SturdyDriver  # noqa: PLC0415 - it cannot be imported on Windows

    return SturdyDriver
