"""Where sound comes from: a recording, or a FIFO or program that never stops. 16 kHz, one channel, 16 bits.

What comes while the source is shut is read and dropped: nothing that was said before a question is heard as
its answer.
"""

from __future__ import annotations

import contextlib
import os
import shlex
import stat
import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, Protocol

from mashday.channels.process import Process, end, started
from mashday.listener.faults import CannotListen
from mashday.text import quoted

RATE_HZ = 16_000
FRAME_SAMPLES = 512
FRAME_BYTES = 2 * FRAME_SAMPLES
FRAME_SECONDS = FRAME_SAMPLES / RATE_HZ
"""The piece of sound that is looked at as a whole: 32 ms, as the detector of voices wants it."""
WAITING_FRAMES = 250
"""Frames that may wait to be looked at (8 s); beyond these the oldest goes, and a gap is told."""
COMMAND = "command:"


class Source(Protocol):
    """Sound that can be opened and shut."""

    @property
    def gap(self) -> bool:
        """True if some sound went missing since it was opened."""

    def open(self) -> None:
        """Begin to take sound; CannotListen if there is none to be had."""

    def frame(self, seconds: float) -> bytes | None:
        """The next frame, of `FRAME_BYTES`; None if it did not come within that time. CannotListen if none
        will come any more."""

    def shut(self) -> None:
        """Take no more sound. What waits is forgotten."""

    def end(self) -> None:
        """Let go of it for good."""


class Recorded:
    """A recording that is read where it was left, as fast as it is asked for; after its end it is silent."""

    def __init__(self, file: BinaryIO, name: str) -> None:
        self.gap = False
        self._file = file
        self._name = name
        self._over = False

    def open(self) -> None:
        """Go on reading; CannotListen if its end was reached before."""
        if self._over:
            raise CannotListen(f"The recording {self._name} has come to its end.")

    def frame(self, seconds: float) -> bytes | None:
        """The next frame; silence behind the end."""
        data = self._file.read(FRAME_BYTES)
        self._over = self._over or len(data) < FRAME_BYTES
        return data[: len(data) // 2 * 2].ljust(FRAME_BYTES, b"\0")

    def shut(self) -> None:
        """Nothing goes on in a recording that is not read."""

    def end(self) -> None:
        """Close the file."""
        self._file.close()


class Waiting:
    """Frames between the thread that brings them and the one that looks at them; dropped while shut."""

    def __init__(self) -> None:
        self.gap = False
        self._open = False
        self._frames: deque[bytes] = deque()
        self._rest = b""
        self._why = ""
        self._changed = threading.Condition()

    def open(self) -> None:
        """Begin to keep what comes."""
        with self._changed:
            self._frames.clear()
            self._rest = b""
            self.gap = False
            self._open = True

    def shut(self) -> None:
        """Forget what waits, and drop what comes."""
        with self._changed:
            self._open = False
            self._frames.clear()

    def put(self, data: bytes, *, gap: bool = False) -> None:
        """Whole samples that came; `gap` if some before them are missing."""
        with self._changed:
            if not self._open:
                return
            self._rest += data
            while len(self._rest) >= FRAME_BYTES:
                self._frames.append(self._rest[:FRAME_BYTES])
                self._rest = self._rest[FRAME_BYTES:]
            while len(self._frames) > WAITING_FRAMES:
                self._frames.popleft()
                gap = True
            self.gap = self.gap or gap
            self._changed.notify_all()

    def fail(self, why: str) -> None:
        """No more will come, for this reason."""
        with self._changed:
            self._why = why
            self._changed.notify_all()

    def check(self) -> None:
        """CannotListen if no more will come."""
        if self._why:
            raise CannotListen(self._why)

    def take(self, seconds: float) -> bytes | None:
        """The next frame, or None if none came in the time; CannotListen if none will."""
        with self._changed:
            self._changed.wait_for(lambda: self._frames or self._why, seconds)
            if self._frames:
                return self._frames.popleft()
            self.check()
            return None


class Flowing:
    """Sound that comes whether it is wanted or not, read in a thread of its own."""

    def __init__(self, pour: Callable[[Callable[[bytes], None]], str]) -> None:
        """`pour` hands on what it reads until that ends, and returns why it ended."""
        self._waiting = Waiting()
        self._half = b""
        threading.Thread(target=self._run, args=(pour,), name="sound", daemon=True).start()

    @property
    def gap(self) -> bool:
        """True if some went missing since it was opened."""
        return self._waiting.gap

    def open(self) -> None:
        """Begin to keep what comes."""
        self._waiting.check()
        self._waiting.open()

    def frame(self, seconds: float) -> bytes | None:
        """The next frame; None if it did not come within that time."""
        return self._waiting.take(seconds)

    def shut(self) -> None:
        """Drop what comes."""
        self._waiting.shut()

    def end(self) -> None:
        """Drop what comes; the thread ends with the process."""
        self._waiting.shut()

    def _run(self, pour: Callable[[Callable[[bytes], None]], str]) -> None:
        try:
            why = pour(self._take)
        except OSError as error:
            why = f"The sound cannot be read: {(error.strerror or str(error)).lower()}."
        self._waiting.fail(why)

    def _take(self, data: bytes) -> None:
        """A sample that is cut in two waits for its other half, also while all is dropped."""
        data = self._half + data
        whole = len(data) // 2 * 2
        self._half = data[whole:]
        self._waiting.put(data[:whole])


class Program(Flowing):
    """The output of another program."""

    def __init__(self, argv: list[str]) -> None:
        """CannotListen if it cannot be started."""
        try:
            self._process: Process = started(argv, reads=False, tells=True)
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else None
            raise CannotListen(
                f"{quoted(argv[0])} cannot be started: {(reason or 'its name is not allowed').lower()}."
                " Write the program that records behind command:, as in"
                ' --pcm "command:arecord -q -t raw -f S16_LE -r 16000"'
            ) from error
        super().__init__(lambda take: self._pour(argv[0], take))

    def end(self) -> None:
        """End the program."""
        super().end()
        end(self._process)
        with contextlib.suppress(Exception):
            self._process.wait(1.0)
        end(self._process, at_once=True)

    def _pour(self, name: str, take: Callable[[bytes], None]) -> str:
        assert self._process.stdout is not None
        while data := self._process.stdout.read(FRAME_BYTES):
            take(data)
        return f"The program that records, {quoted(name)}, has ended with code {self._process.wait()}."


def source_of(where: str) -> Source:
    """The source this option names: a file, a FIFO or device, or "command:" and a program.

    CannotListen in words if there is no such thing.
    """
    if where.startswith(COMMAND):
        try:
            argv = shlex.split(where.removeprefix(COMMAND))
        except ValueError:
            argv = []
        if not argv:
            raise CannotListen("Behind command: stands no program, or a quotation mark that is not closed.")
        return Program(argv)
    path = Path(where)
    try:
        if stat.S_ISREG(path.stat().st_mode):
            return Recorded(path.open("rb"), quoted(where))
        return Flowing(lambda take: _poured(path, take))
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or "its name is not allowed"
        raise CannotListen(
            f"{quoted(where)} cannot be read: {reason.lower()}. Behind --pcm belongs a file or FIFO of raw"
            " sound (16 kHz, one channel, 16 bits), or command: and a program that records."
        ) from error


def _poured(path: Path, take: Callable[[bytes], None]) -> str:
    """Reads a FIFO or device. A FIFO is held open from the other side too: whoever writes may leave and come
    again."""
    is_fifo = stat.S_ISFIFO(path.stat().st_mode)
    reads = os.open(path, os.O_RDONLY | (os.O_NONBLOCK if is_fifo else 0))
    held = os.open(path, os.O_WRONLY) if is_fifo else None
    os.set_blocking(reads, True)
    try:
        while data := os.read(reads, FRAME_BYTES):
            take(data)
    finally:
        os.close(reads)
        if held is not None:
            os.close(held)
    return f"{quoted(str(path))} gives no more sound."
