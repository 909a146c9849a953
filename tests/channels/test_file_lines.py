"""Real files and FIFOs that are written, cut, renamed and made anew while they are read."""

from __future__ import annotations

import os
import threading
import time

import pytest
from heard import Heard, until

from mashday.channels import file_lines
from mashday.channels.file_lines import FileSource

posix = pytest.mark.skipif(os.name == "nt", reason="FIFOs are of POSIX systems")


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(file_lines, "POLL_SECONDS", 0.02)
    monkeypatch.setattr(FileSource, "RETRY_SECONDS", 0.02)


@pytest.fixture
def heard():
    return Heard()


@pytest.fixture
def follow(heard):
    sources = []

    def start(path):
        source = FileSource(path)
        sources.append(source)
        source.start(heard.take, heard.lost)
        return source

    yield start
    for source in sources:
        source.stop()


def settle():
    """Long enough for several looks at the file, so that what is not told can be seen not to be."""
    time.sleep(0.15)


def test_lines_that_are_appended_come_once_each(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("64.0\n")
    follow(path)
    until(lambda: heard.lines == ["64.0"])
    with path.open("a") as file:
        file.write("64.1\n64.2\n")
        file.flush()
        until(lambda: heard.lines == ["64.0", "64.1", "64.2"])
        file.write("64")
        file.flush()
        settle()
        file.write(".3\n")
    until(lambda: heard.lines == ["64.0", "64.1", "64.2", "64.3"])


def test_what_stood_there_long_before_is_not_told(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("20.0\n")
    os.utime(path, (1e9, 1e9))
    follow(path)
    settle()
    assert heard.lines == []
    with path.open("a") as file:
        file.write("64.0\n")
    until(lambda: heard.lines == ["64.0"])


def test_a_file_that_holds_the_newest_number_is_told_at_every_writing(tmp_path, heard, follow):
    path = tmp_path / "now"
    path.write_text("5 C\n")
    follow(path)
    until(lambda: heard.lines == ["5 C"])
    for text in ("64.55 C\n", "64.56 C\n", "9 C\n"):
        path.write_text(text)
        until(lambda text=text: heard.lines[-1] == text.strip())
    assert "55 C" not in heard.lines
    count = len(heard.lines)
    path.write_text("9 C\n")
    until(lambda: len(heard.lines) > count)


def test_a_number_without_a_line_end_is_told_once_it_stands(tmp_path, heard, follow):
    path = tmp_path / "now"
    path.write_text("64.5")
    follow(path)
    until(lambda: heard.lines == ["64.5"])
    settle()
    assert heard.lines == ["64.5"]


def test_a_half_line_below_others_is_not_told(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("64.5\n6")
    follow(path)
    until(lambda: heard.lines == ["64.5"])
    settle()
    assert heard.lines == ["64.5"]


def test_a_file_that_is_renamed_and_made_anew_is_followed(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("64.0\n")
    follow(path)
    until(lambda: heard.lines == ["64.0"])
    path.rename(tmp_path / "log.1")
    until(lambda: heard.words)
    assert "no such file" in heard.words[-1]
    path.write_text("64.1\n")
    until(lambda: heard.lines[-1] == "64.1")


def test_of_a_long_file_the_end_is_read(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("20.0\n" * 100_000 + "64.0\n")
    follow(path)
    until(lambda: heard.lines == ["64.0"])
    with path.open("a") as file:
        file.write("64.1\n")
    until(lambda: heard.lines == ["64.0", "64.1"])


def test_a_folder_is_no_file_and_a_name_that_cannot_be_is_told(tmp_path, heard, follow):
    follow(tmp_path)
    until(lambda: heard.words)
    follow(f"{tmp_path}\x00")
    until(lambda: len(heard.words) == 2)
    assert heard.words[1].endswith("no such name can be") or heard.words[0].endswith("FIFO or device")


def test_the_same_loss_is_told_once(tmp_path, heard, follow):
    follow(tmp_path / "missing")
    until(lambda: heard.words)
    settle()
    assert len(heard.words) == 1


def test_after_the_stop_nothing_is_told(tmp_path, heard, follow):
    path = tmp_path / "log"
    path.write_text("64.0\n")
    source = follow(path)
    until(lambda: heard.lines)
    source.stop()
    path.write_text("65.0\n")
    settle()
    assert heard.lines == ["64.0"]


@posix
def test_a_fifo_without_a_writer_holds_nothing_up_and_writers_come_and_go(tmp_path, heard, follow):
    path = tmp_path / "fifo"
    os.mkfifo(path)
    follow(path)
    settle()
    assert (heard.lines, heard.words) == ([], [])
    for number in ("64.0", "64.1"):
        with path.open("w") as writer:
            writer.write(f"{number}\n")
        until(lambda number=number: heard.lines[-1:] == [number])
        settle()


@posix
def test_a_half_line_of_a_writer_that_died_is_not_joined_to_the_next(tmp_path, heard, follow):
    path = tmp_path / "fifo"
    os.mkfifo(path)
    follow(path)
    with path.open("w") as writer:
        writer.write("6")
    settle()
    with path.open("w") as writer:
        writer.write("4.5\n")
    until(lambda: heard.lines)
    assert heard.lines == ["4.5"]


@posix
def test_a_fifo_made_anew_is_opened_anew(tmp_path, heard, follow):
    path = tmp_path / "fifo"
    os.mkfifo(path)
    follow(path)
    settle()
    path.unlink()
    os.mkfifo(path)

    def write():
        with path.open("w") as writer:
            writer.write("64.0\n")

    threading.Thread(target=write, daemon=True).start()
    until(lambda: heard.lines == ["64.0"])


@posix
def test_a_device_that_never_ends_a_line_is_left_alone(heard, follow):
    source = follow("/dev/zero")
    settle()
    source.stop()
    assert heard.lines == []
    follow("/dev/null")
    until(lambda: heard.words)
    assert heard.words == ["unplugged: '/dev/null' has ended"]
