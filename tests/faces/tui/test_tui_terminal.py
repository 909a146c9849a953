"""Terminals: which can carry the screen, and one real one from start to signal."""

from __future__ import annotations

import signal
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from mashday.faces.tui import terminal
from mashday.faces.tui.terminal import draws_beyond_ascii, usable_terminal

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is needed", allow_module_level=True)

from real_terminal import CURSOR_SHOWN, MAIN_SCREEN, RealTerminal


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
    monkeypatch.setattr(
        terminal.os, "get_terminal_size", lambda _: terminal.os.terminal_size((columns, rows))
    )
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


def test_a_real_terminal_from_start_to_signal_and_back_in_order(tmp_path: Path) -> None:
    words = ["-m", "mashday", "run", "lock-seven-barley", "--sessions", str(tmp_path)]
    screen = RealTerminal(words, tmp_path, environment={"COLUMNS": "80", "LINES": "24"})
    try:
        screen.shows("begin the day")
        screen.type("b")
        screen.shows("ticks the next one")
        screen.resize(1, 1)
        screen.type(b"\xff\xfe")
        screen.resize(100, 30)
        screen.shows("Set-up")
        screen.type("6")
        screen.shows("6_")
        screen.signal(signal.SIGTERM)
        assert screen.ended() == 128 + signal.SIGTERM
        assert MAIN_SCREEN in screen.written
        assert CURSOR_SHOWN in screen.written
        assert screen.echoes()
        assert "Traceback" not in screen.written.decode(errors="replace")
    finally:
        screen.close()
    (kept,) = tmp_path.glob("*.toml")
    assert "day started" in kept.read_text()
    assert not list(tmp_path.rglob("crash.txt"))
