"""A serial line made of two joined pseudo-terminals, read by both ways there are."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from importlib.util import find_spec

import pytest
from heard import Heard, until

from mashday.channels import serial_line
from mashday.channels.serial_line import SerialSource, Unplugged, opened

pytestmark = pytest.mark.skipif(
    shutil.which("socat") is None, reason="socat is not here to join two terminals"
)


@pytest.fixture(params=["pyserial", "terminal"])
def way(request, monkeypatch):
    """Both ways to read a line: the package, and the system's own where that is missing."""
    if request.param == "pyserial":
        if find_spec("serial") is None:
            pytest.skip("pyserial is not installed")
    else:
        monkeypatch.setitem(sys.modules, "serial", None)
    monkeypatch.setattr(SerialSource, "RETRY_SECONDS", 0.05)
    monkeypatch.setattr(serial_line, "WAIT_SECONDS", 0.05)
    return request.param


class Cable:
    """Two ends of a line: `far` is written to by the board, `near` is what the program opens."""

    def __init__(self, folder) -> None:
        self.near, self.far = str(folder / "near"), str(folder / "far")
        self._process: subprocess.Popen[bytes] | None = None

    def plug_in(self) -> None:
        ends = [f"pty,raw,echo=0,link={end}" for end in (self.near, self.far)]
        self._process = subprocess.Popen(["socat", *ends], stderr=subprocess.DEVNULL)
        until(lambda: os.path.exists(self.near) and os.path.exists(self.far))

    def write(self, data: bytes) -> None:
        with open(self.far, "wb", buffering=0) as end:
            end.write(data)

    def pull_out(self) -> None:
        if self._process is not None:
            self._process.terminate()
            self._process.wait()


@pytest.fixture
def cable(tmp_path):
    cable = Cable(tmp_path)
    yield cable
    cable.pull_out()


@pytest.fixture
def heard():
    return Heard()


@pytest.fixture
def source(way, cable, heard):
    source = SerialSource(cable.near)
    yield source
    source.stop()


def write_until_heard(cable, heard, line):
    """The board writes again and again, as boards do: what comes before the first line end is dropped."""
    count = len(heard.lines)

    def came():
        cable.write(f"{line}\r\n".encode())
        return line in heard.lines[count:]

    until(came)


def test_lines_come_and_the_first_part_of_one_is_dropped(source, cable, heard):
    cable.plug_in()
    source.start(heard.take, heard.lost)
    write_until_heard(cable, heard, "T=64.5")
    cable.write(b"T=6")
    time.sleep(0.15)
    cable.write(b"5.1\r\n")
    until(lambda: heard.lines[-1] == "T=65.1")
    assert set(heard.lines) == {"T=64.5", "T=65.1"}


def test_a_line_that_is_pulled_out_is_told_and_is_read_again(source, cable, heard):
    source.start(heard.take, heard.lost)
    until(lambda: heard.words)
    assert "no such file" in heard.words[0]
    cable.plug_in()
    write_until_heard(cable, heard, "64.5")
    cable.pull_out()
    until(lambda: len(heard.words) > 1)
    assert heard.words[1].startswith("unplugged: ")
    cable.plug_in()
    write_until_heard(cable, heard, "64.6")


def test_rubbish_on_the_line_harms_nothing(source, cable, heard):
    cable.plug_in()
    source.start(heard.take, heard.lost)
    cable.write(b"\x00\xff\xfe\x80" * 3000)
    write_until_heard(cable, heard, "64.5")


def test_a_file_is_no_serial_line(way, tmp_path):
    path = tmp_path / "plain"
    path.write_text("64.5\n")
    with pytest.raises(Unplugged):
        opened(str(path), 9600)


def test_a_name_that_cannot_be_is_told(way):
    with pytest.raises(Unplugged):
        opened("a\x00b", 9600)


def test_a_speed_the_system_does_not_know_names_the_extra(monkeypatch, cable):
    monkeypatch.setitem(sys.modules, "serial", None)
    cable.plug_in()
    with pytest.raises(Unplugged, match=r"12345 baud is not known here; install the extra for serial lines"):
        opened(cable.near, 12345)
