"""Terminals: which can carry the screen, and one real one from start to signal."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from mashday.faces.tui import terminal
from mashday.faces.tui.terminal import draws_beyond_ascii, usable_terminal

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

PATIENCE_SECONDS = 20.0


def _stream(*, tty: bool, encoding: str = "utf-8") -> SimpleNamespace:
    return SimpleNamespace(isatty=lambda: tty, fileno=lambda: -1, encoding=encoding)


def _stand_in(monkeypatch: pytest.MonkeyPatch, *, tty: bool = True, encoding: str = "utf-8") -> None:
    monkeypatch.setattr(terminal.sys, "stdin", _stream(tty=tty))
    monkeypatch.setattr(terminal.sys, "__stderr__", _stream(tty=tty, encoding=encoding))


def test_no_terminal_is_refused_with_what_would_do(monkeypatch: pytest.MonkeyPatch) -> None:
    _stand_in(monkeypatch, tty=False)
    assert "--plain" in str(usable_terminal())


def test_a_dumb_terminal_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    _stand_in(monkeypatch)
    monkeypatch.setenv("TERM", "dumb")
    assert "--plain" in str(usable_terminal())


@pytest.mark.parametrize(
    ("columns", "rows", "fits"), [(80, 24, True), (20, 5, True), (19, 24, False), (80, 4, False)]
)
def test_a_terminal_too_small_is_refused_with_its_size(
    columns: int, rows: int, fits: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    _stand_in(monkeypatch)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(terminal.os, "get_terminal_size", lambda _: os.terminal_size((columns, rows)))
    why = usable_terminal()
    assert (why is None) is fits
    assert fits or f"{columns} columns and {rows} rows" in str(why)


@pytest.mark.parametrize(
    ("encoding", "term", "beyond"),
    [
        ("utf-8", "xterm", True),
        ("UTF8", "screen", True),
        ("latin-1", "xterm", False),
        ("utf-8", "linux", False),
    ],
)
def test_signs_beyond_ascii_are_drawn_only_where_they_are_known(
    encoding: str, term: str, beyond: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    _stand_in(monkeypatch, encoding=encoding)
    monkeypatch.setenv("TERM", term)
    assert draws_beyond_ascii() is beyond


class Terminal:
    """The program in a pseudo-terminal of its own."""

    def __init__(self, folder: Path, **environment: str) -> None:
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            own = {"TERM": "xterm-256color", "HOME": str(folder), "XDG_STATE_HOME": str(folder)}
            words = ["-m", "mashday", "run", "lock-seven-barley", "--sessions", str(folder)]
            os.execve(sys.executable, [sys.executable, *words], {**os.environ, **own, **environment})
        self.resize(80, 24)
        self.written = b""

    def resize(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def until(self, mark: bytes) -> bytes:
        """Everything written from here up to this mark."""
        start, end = len(self.written), time.monotonic() + PATIENCE_SECONDS
        while mark not in self.written[start:]:
            stands = self.read(0.05)
            assert stands and time.monotonic() < end, (mark, self.written[-2000:])
        return self.written[start:]

    def read(self, seconds: float) -> bool:
        """Reads what there is; false at the end."""
        if not select.select([self.fd], [], [], seconds)[0]:
            return True
        try:
            found = os.read(self.fd, 65536)
        except OSError:
            return False
        self.written += found
        return bool(found)

    def type(self, text: str) -> None:
        os.write(self.fd, text.encode())

    def ended(self) -> int:
        """Reads to the end and returns the exit code."""
        end = time.monotonic() + PATIENCE_SECONDS
        while self.read(0.05):
            assert time.monotonic() < end, self.written[-2000:]
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


def test_a_real_terminal_from_start_to_signal_and_back_in_order(tmp_path: Path) -> None:
    screen = Terminal(tmp_path, COLUMNS="80", LINES="24")
    screen.until(b"begin the day")
    screen.type("b")
    screen.until(b"ticks the next one")
    screen.resize(1, 1)
    os.write(screen.fd, b"\xff\xfe")
    screen.resize(100, 30)
    screen.until(b"Set-up")
    screen.type("6")
    screen.until(b"6_")
    os.kill(screen.pid, signal.SIGTERM)
    assert screen.ended() == 128 + signal.SIGTERM
    assert b"\x1b[?1049l" in screen.written  # the alternate screen is left (xterm control sequences)
    assert b"\x1b[?25h" in screen.written  # and the cursor is back
    assert termios.tcgetattr(screen.fd)[3] & (termios.ECHO | termios.ICANON) == termios.ECHO | termios.ICANON
    assert "Traceback" not in screen.written.decode(errors="replace")
    (kept,) = tmp_path.glob("*.toml")
    assert "day started" in kept.read_text()
    assert not list(tmp_path.rglob("crash.txt"))
