"""Where sound comes from: recordings, FIFOs, programs, a microphone that is made up."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mashday.listener.faults import CannotListen
from mashday.listener.microphone import Microphone
from mashday.listener.sound_in import FRAME_BYTES, RATE_HZ, Recorded, Source, source_of

FRAME = bytes(range(256)) * (FRAME_BYTES // 256)
needs_fifos = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="FIFOs are not known here")


def test_a_recording_is_read_on_where_it_was_left_and_then_silent() -> None:
    source = Recorded(BytesIO(FRAME * 2 + b"\1\2\3"), "it")
    source.open()
    assert source.frame(0.0) == FRAME
    source.shut()
    source.open()
    assert source.frame(0.0) == FRAME
    assert source.frame(0.0) == b"\1\2" + bytes(FRAME_BYTES - 2)
    assert source.frame(0.0) == bytes(FRAME_BYTES)
    source.shut()
    with pytest.raises(CannotListen, match="has come to its end"):
        source.open()


def test_a_file_that_is_not_there_is_told_with_what_would_do(tmp_path: Path) -> None:
    with pytest.raises(CannotListen, match=r"cannot be read: no such file.*16 kHz"):
        source_of(str(tmp_path / "none.pcm"))


def test_an_ordinary_file_is_a_recording(tmp_path: Path) -> None:
    path = tmp_path / "said.pcm"
    path.write_bytes(FRAME)
    source = source_of(str(path))
    source.open()
    assert source.frame(0.0) == FRAME
    source.end()


@pytest.mark.parametrize("command", ["command:", "command:  ", 'command:arecord "'])
def test_a_command_that_is_none_is_told(command: str) -> None:
    with pytest.raises(CannotListen, match="stands no program"):
        source_of(command)


def test_a_program_that_is_not_there_is_told() -> None:
    with pytest.raises(CannotListen, match="'no-such-program' cannot be started: no such file"):
        source_of("command:no-such-program --raw")


def taken(source: Source, seconds: float = 10.0) -> bytes:
    """The next frame, waited for."""
    frame = source.frame(seconds)
    assert frame is not None
    return frame


def script(tmp_path: Path, code: str) -> str:
    path = tmp_path / "records.py"
    path.write_text(code)
    return f"command:'{sys.executable}' '{path}'"


def test_a_program_is_read_while_it_is_open(tmp_path: Path) -> None:
    code = (
        "import sys, time\n"
        "while True:\n"
        f"    sys.stdout.buffer.write(bytes(range(256)) * {FRAME_BYTES // 256})\n"
        "    sys.stdout.buffer.flush()\n"
        "    time.sleep(0.002)\n"
    )
    source = source_of(script(tmp_path, code))
    try:
        source.open()
        assert len(taken(source)) == FRAME_BYTES
        source.shut()
        source.open()
        assert len(taken(source)) == FRAME_BYTES
    finally:
        source.end()


def test_the_end_of_a_program_is_told_with_its_code(tmp_path: Path) -> None:
    source = source_of(script(tmp_path, "raise SystemExit(3)"))
    try:
        with pytest.raises(CannotListen, match=r"has ended with code 3\."):
            source.open()
            taken(source)
    finally:
        source.end()


@needs_fifos
def test_what_came_through_a_fifo_while_it_was_shut_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "sound"
    os.mkfifo(path)
    source = source_of(str(path))
    with path.open("wb", buffering=0) as file:
        file.write(b"\1" * FRAME_BYTES * 3 + b"\1")
        waits_until(lambda: _left(file.fileno()) == 0)
        source.open()
        file.write(b"\1" + b"\2" * FRAME_BYTES)
        assert taken(source) == b"\1\1" + b"\2" * (FRAME_BYTES - 2)
        assert source.frame(0.0) is None
        source.shut()
    source.end()


@needs_fifos
def test_who_writes_to_a_fifo_may_leave_and_come_again(tmp_path: Path) -> None:
    path = tmp_path / "sound"
    os.mkfifo(path)
    source = source_of(str(path))
    source.open()
    for mark in (b"\1", b"\2"):
        with path.open("wb", buffering=0) as file:
            file.write(mark * FRAME_BYTES)
            assert taken(source) == mark * FRAME_BYTES
    source.end()


def waits_until(done: Callable[[], bool], seconds: float = 10.0) -> None:
    ends = time.monotonic() + seconds
    while not done() and time.monotonic() < ends:
        time.sleep(0.005)
    time.sleep(0.05)


def _left(descriptor: int) -> int:
    """Bytes that wait in a pipe."""
    import array  # noqa: PLC0415 - POSIX alone
    import fcntl  # noqa: PLC0415
    import termios  # noqa: PLC0415

    count = array.array("i", [0])
    fcntl.ioctl(descriptor, termios.FIONREAD, count)
    return count[0]


class Library:
    """The library of the microphone, made up: `streams` notes what was opened and closed."""

    class PortAudioError(Exception):
        """As the library's own."""

    def __init__(self, wrong: str = "") -> None:
        self.streams: list[str] = []
        self.wrong = wrong
        self.callback: Callable[..., None] = lambda *_: None
        self.finished: Callable[[], None] = lambda: None

    def check_input_settings(self, **settings: Any) -> None:
        if self.wrong:
            raise self.PortAudioError(self.wrong)
        assert settings["samplerate"] == RATE_HZ and settings["channels"] == 1

    def query_devices(self) -> list[dict[str, Any]]:
        return [
            {"name": "Loudspeaker", "max_input_channels": 0},
            {"name": "Head\x1b[31mset", "max_input_channels": 1},
        ]

    def RawInputStream(self, **settings: Any) -> Any:  # noqa: N802 - the library's name
        if self.wrong:
            raise self.PortAudioError(self.wrong)
        self.callback, self.finished = settings["callback"], settings["finished_callback"]
        note = self.streams.append

        def abort(ignore_errors: bool) -> None:
            note("abort")
            self.finished()

        return SimpleNamespace(
            start=lambda: note("start"), abort=abort, close=lambda ignore_errors: note("close")
        )


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> Library:
    made = Library()
    monkeypatch.setitem(sys.modules, "sounddevice", made)
    return made


def test_the_microphone_is_open_only_in_between(library: Library) -> None:
    microphone = Microphone(None)
    assert library.streams == []
    for _ in range(2):
        microphone.open()
        assert library.streams == ["start"]
        library.callback(FRAME, 512, None, SimpleNamespace(input_overflow=False))
        assert microphone.frame(0.0) == FRAME and not microphone.gap
        microphone.shut()
        assert library.streams == ["start", "abort", "close"]
        library.streams.clear()


def test_sound_that_the_microphone_lost_is_a_gap(library: Library) -> None:
    microphone = Microphone("3")
    microphone.open()
    library.callback(FRAME, 512, None, SimpleNamespace(input_overflow=True))
    assert microphone.gap


def test_a_microphone_that_stops_by_itself_is_told(library: Library) -> None:
    microphone = Microphone(None)
    microphone.open()
    threading.Timer(0.02, library.finished).start()
    with pytest.raises(CannotListen, match="has stopped"):
        microphone.frame(10.0)


def test_no_microphone_is_told_with_those_there_are(library: Library) -> None:
    library.wrong = "Error querying device -1"
    with pytest.raises(CannotListen) as caught:
        Microphone("USB")
    assert str(caught.value) == (
        "No microphone 'USB' can be opened (Error querying device -1). There are: 1 Head[31mset."
        " Name one behind --device, or let another program record: --pcm command:PROGRAM"
    )


def test_a_microphone_that_is_taken_meanwhile_is_told(library: Library) -> None:
    microphone = Microphone(None)
    library.wrong = "Device unavailable"
    with pytest.raises(CannotListen, match="Device unavailable"):
        microphone.open()


def test_a_missing_package_is_told_with_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(CannotListen, match=r'sounddevice is not installed.*pip install "mashday\[listen\]"'):
        Microphone(None)
