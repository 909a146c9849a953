"""The program in a pseudo-terminal of its own, and what a terminal would show of all it writes."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from rich.cells import cell_len

PATIENCE_SECONDS = 20.0
ALTERNATE_SCREEN, MAIN_SCREEN = b"\x1b[?1049h", b"\x1b[?1049l"
CURSOR_SHOWN = b"\x1b[?25h"
"""Control sequences of xterm (XTerm Control Sequences, DEC private modes)."""

_TOKEN = re.compile(
    r"\x1b\[(?P<private>[<-?]?)(?P<numbers>[0-9;:]*)(?P<between>[ -/]*)(?P<final>[@-~])"
    r"|\x1b\](?P<command>[^\x07\x1b]*)(?:\x07|\x1b\\)"
    r"|(?P<other>\x1b[ -/]*[0-~])"
    r"|(?P<text>.)",
    re.DOTALL,
)
"""Control sequences, operating system commands, other escapes (ECMA-48), then single characters."""

Cell = tuple[str, tuple[int, ...]]
"""A character and the SGR numbers it stands in."""


class Picture:
    """The cells of a terminal: as much of one as the toolkit makes use of."""

    def __init__(self, columns: int, rows: int) -> None:
        self.sequences: set[str] = set()
        """Every control sequence met, its numbers left out: "?h", "H", "m"."""
        self.attributes: set[int] = set()
        """Every number of an SGR sequence met."""
        self.controls: set[str] = set()
        """Every character met outside a sequence that does not print, line ends and bells aside."""
        self.bells = 0
        self._attributes: tuple[int, ...] = ()
        self._tail = ""
        self.resize(columns, rows)

    def resize(self, columns: int, rows: int) -> None:
        """An empty screen of this size."""
        self.columns, self.rows = columns, rows
        blank: Cell = (" ", ())
        self._cells = [[blank] * columns for _ in range(rows)]
        self._x = self._y = 0

    def feed(self, written: str) -> None:
        """Takes what was written to the terminal; a sequence that is cut waits for its end."""
        whole = self._tail + written
        cut = whole.rfind("\x1b")
        unfinished = cut >= 0 and re.fullmatch(
            r"\x1b(?:\[[<-?]?[0-9;:]*[ -/]*|\][^\x07\x1b]*|[ -/]*)?", whole[cut:]
        )
        self._tail = whole[cut:] if unfinished else ""
        for token in _TOKEN.finditer(whole[:cut] if unfinished else whole):
            if token["final"]:
                self._sequence(token)
            elif token["text"]:
                self._character(token["text"])
            elif token["other"]:
                self.sequences.add(token["other"])
            else:
                self.sequences.add(f"]{token['command'].partition(';')[0]}")

    def _sequence(self, token: re.Match[str]) -> None:
        kind = f"{token['private']}{token['between']}{token['final']}"
        self.sequences.add(kind)
        numbers = [int(one or 0) for one in re.split("[;:]", token["numbers"])]
        if kind == "H":
            row, column = (*numbers, 1)[:2]
            self._y, self._x = max(1, row) - 1, max(1, column) - 1
        elif kind == "m":
            self.attributes.update(numbers)
            self._attributes = () if numbers == [0] else (*self._attributes, *numbers)
        elif kind in ("?h", "?l") and 1049 in numbers:
            self.resize(self.columns, self.rows)

    def _character(self, character: str) -> None:
        if character == "\r":
            self._x = 0
        elif character == "\n":
            self._y += 1
        elif character == "\x07":
            self.bells += 1
        elif not character.isprintable():
            self.controls.add(character)
        elif self._y < self.rows:
            self._x = min(self._x, self.columns - 1)
            wide = max(1, cell_len(character))
            self._cells[self._y][self._x] = (character, self._attributes)
            if wide == 2 and self._x + 1 < self.columns:
                self._cells[self._y][self._x + 1] = ("", self._attributes)
            self._x += wide

    @property
    def lines(self) -> list[str]:
        """The rows as plain text."""
        return ["".join(character for character, _ in row).rstrip() for row in self._cells]

    @property
    def text(self) -> str:
        """The screen as plain text."""
        return "\n".join(self.lines)

    def attributes_of(self, text: str) -> tuple[int, ...]:
        """The attributes the first cell of this text stands in; AssertionError if it is not on the screen."""
        for y, line in enumerate(self.lines):
            if text in line:
                return self._cells[y][line.index(text)][1]
        raise AssertionError(f"{text!r} is not on the screen:\n{self.text}")

    def reversed_cells(self) -> int:
        """How many cells stand in reverse video."""
        return sum(7 in attributes for row in self._cells for _, attributes in row)


class RealTerminal:
    """The program in a pseudo-terminal of its own. What it writes is read only where a test asks for it."""

    def __init__(
        self,
        words: Sequence[str],
        folder: Path,
        *,
        columns: int = 80,
        rows: int = 24,
        environment: Mapping[str, str] | None = None,
        without: Sequence[str] = ("NO_COLOR", "COLORTERM", "PYTHONIOENCODING"),
        controls: bool = True,
        ignored: Sequence[signal.Signals] = (),
    ) -> None:
        """Starts it. Unless it `controls`, the terminal sends no signals; `ignored` ones are so already."""
        self.fd, inside = pty.openpty()
        self.written = b""
        self.picture = Picture(columns, rows)
        self.resize(columns, rows)
        self.pid = os.fork()
        if self.pid == 0:
            os.close(self.fd)
            if controls:
                os.login_tty(inside)
            else:
                os.setsid()
                for stream in (0, 1, 2):
                    os.dup2(inside, stream)
            for number in ignored:
                signal.signal(number, signal.SIG_IGN)
            kept = {name: value for name, value in os.environ.items() if name not in without}
            own = {"TERM": "xterm-256color", "HOME": str(folder), "XDG_STATE_HOME": str(folder / "state")}
            told = [sys.executable, *words]
            os.execve(sys.executable, told, {**kept, **own, **(environment or {})})
        os.close(inside)

    def resize(self, columns: int, rows: int) -> None:
        """Gives the terminal another size; the program is told by SIGWINCH."""
        self.picture.resize(columns, rows)
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def type(self, text: str | bytes) -> None:
        """Types it in one write."""
        os.write(self.fd, text.encode() if isinstance(text, str) else text)

    def signal(self, number: signal.Signals) -> None:
        """Sends the program a signal."""
        os.kill(self.pid, number)

    def read(self, seconds: float) -> bool:
        """Reads what there is within so many seconds; false at the end."""
        if not select.select([self.fd], [], [], seconds)[0]:
            return True
        try:
            found = os.read(self.fd, 65536)
        except OSError:
            return False
        self.written += found
        self.picture.feed(found.decode(errors="replace"))
        return bool(found)

    def until(self, holds: Callable[[], object], what: str = "") -> None:
        """Reads until this holds; AssertionError if it never does."""
        end = time.monotonic() + PATIENCE_SECONDS
        while not holds():
            stands = self.read(0.02)
            assert stands and time.monotonic() < end, f"never: {what}\n{self.picture.text}"

    def shows(self, *texts: str) -> None:
        """Reads until all of these texts stand on the screen."""
        self.until(lambda: all(text in self.picture.text for text in texts), " and ".join(texts))

    def hides(self, text: str) -> None:
        """Reads until this text stands on the screen no more."""
        self.until(lambda: text not in self.picture.text, f"no {text}")

    def stopped(self) -> None:
        """Waits until the program is stopped by a signal."""
        end = time.monotonic() + PATIENCE_SECONDS
        while True:
            pid, status = os.waitpid(self.pid, os.WUNTRACED | os.WNOHANG)
            if pid and os.WIFSTOPPED(status):
                return
            assert not pid and time.monotonic() < end, self.picture.text
            self.read(0.02)

    def ended(self) -> int:
        """Reads to the end and returns the exit code; a signal by its number below zero."""
        end = time.monotonic() + PATIENCE_SECONDS
        while self.read(0.02):
            assert time.monotonic() < end, self.picture.text
        return self.exit_code()

    def exit_code(self) -> int:
        """Waits for the end without reading; the exit code, a signal by its number below zero."""
        end = time.monotonic() + PATIENCE_SECONDS
        while True:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.pid = 0
                return os.waitstatus_to_exitcode(status)
            assert time.monotonic() < end, "it does not end"
            time.sleep(0.02)

    def echoes(self) -> bool:
        """True if the terminal echoes and reads by lines, as a shell wants to find it."""
        wanted = termios.ECHO | termios.ICANON
        return bool(termios.tcgetattr(self.fd)[3] & wanted == wanted)

    def hang_up(self) -> None:
        """Closes the terminal."""
        os.close(self.fd)
        self.fd = -1

    def close(self) -> None:
        """Ends the program if it still runs, and closes the terminal."""
        if self.pid:
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
            self.pid = 0
        if self.fd >= 0:
            self.hang_up()
