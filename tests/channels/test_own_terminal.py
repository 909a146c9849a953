"""The terminal of the day under all its names, with a real pseudo-terminal in the place of the keys."""

from __future__ import annotations

import os
import pty
import sys
import termios
from collections.abc import Iterator
from pathlib import Path

import pytest
from heard import Heard, until

from mashday.channels import file_lines, own_terminal
from mashday.channels.door import Door
from mashday.channels.file_lines import FileSource
from mashday.channels.own_terminal import is_own_terminal, names_own_terminal
from mashday.channels.serial_line import SerialSource


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[int, str]]:
    """The end the keys are typed at, as it were by a person, and the name of the terminal of the day."""
    ours, theirs = pty.openpty()
    monkeypatch.setattr(own_terminal, "STREAMS", (theirs,))
    monkeypatch.setattr(file_lines, "POLL_SECONDS", 0.02)
    monkeypatch.setattr(FileSource, "RETRY_SECONDS", 0.02)
    yield ours, os.ttyname(theirs)
    os.close(ours)
    os.close(theirs)


def test_the_terminal_is_known_by_each_of_its_names(terminal: tuple[int, str], tmp_path: Path) -> None:
    (tmp_path / "probe").symlink_to(terminal[1])
    for name in (terminal[1], str(tmp_path / "probe"), "/dev/tty"):
        assert names_own_terminal(name), name


def test_another_terminal_a_device_and_a_file_are_not_the_day_s(
    terminal: tuple[int, str], tmp_path: Path
) -> None:
    ours, theirs = pty.openpty()
    (tmp_path / "now").write_text("64.5\n")
    os.mkfifo(tmp_path / "fifo")
    names = (os.ttyname(theirs), "/dev/null", "now", "fifo", "nowhere", "a\0b", "")
    assert not [name for name in names if names_own_terminal(str(tmp_path / name) if name else name)]
    os.close(ours)
    os.close(theirs)


def test_the_pipe_lines_are_typed_into_is_the_day_s_and_no_device_that_stands_in_for_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    reads, writes = os.pipe()
    monkeypatch.setattr(own_terminal, "STREAMS", (reads,))
    assert is_own_terminal(os.fstat(reads))
    os.close(reads)
    os.close(writes)
    with open(os.devnull) as nothing:
        monkeypatch.setattr(own_terminal, "STREAMS", (nothing.fileno(),))
        assert not names_own_terminal(os.devnull)


@pytest.mark.parametrize("way", ["file", "pyserial", "terminal"])
def test_no_source_takes_the_keys_or_sets_their_terminal(
    way: str, terminal: tuple[int, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, name = terminal
    if way == "terminal":
        monkeypatch.setitem(sys.modules, "serial", None)
    (keys,) = own_terminal.STREAMS
    before = termios.tcgetattr(keys)
    heard = Heard()
    source = FileSource(name) if way == "file" else SerialSource(name)
    source.start(heard.take, heard.lost)
    until(lambda: heard.words)
    os.write(ours, b"63.5\ndone\n")
    assert os.read(keys, 100) == b"63.5\n"
    source.stop()
    assert heard.lines == []
    assert heard.words == [f"{name!r} is where the keys of this day are typed: nothing else reads there"]
    assert termios.tcgetattr(keys) == before


def test_a_door_whose_fifo_was_made_the_terminal_takes_no_keys(
    terminal: tuple[int, str], tmp_path: Path
) -> None:
    ours, name = terminal
    path = tmp_path / "door"
    os.mkfifo(path, 0o600)
    door = Door(str(path))
    path.unlink()
    path.symlink_to(name)
    door.start()
    told: list[str] = []
    until(lambda: told.append(door.trouble() or "") or any("keys of this day" in words for words in told))
    os.write(ours, b"done\n")
    assert os.read(own_terminal.STREAMS[0], 100) == b"done\n"
    assert door.lines() == []
    door.close()
