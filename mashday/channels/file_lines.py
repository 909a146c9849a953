"""Lines from a path: a FIFO, a device, a file that is appended to, or one that holds the newest number."""

from __future__ import annotations

import os
import select
import stat
import time
from dataclasses import dataclass
from pathlib import Path

from mashday.channels.lines import BREATH_SECONDS, CHUNK, LONGEST_LINE, Lines
from mashday.channels.own_terminal import IS_OURS, is_own_terminal
from mashday.channels.probe_sources import ThreadedSource
from mashday.text import quoted

POLL_SECONDS = 0.25
NEW_SECONDS = 5.0
"""What stands in a file that was written to at most this long ago is told at the start; older is not."""
_FLAGS = sum({getattr(os, name, 0) for name in ("O_RDONLY", "O_NONBLOCK", "O_NOCTTY", "O_BINARY")})


class FileSource(ThreadedSource):
    """Follows a path. It may vanish, be renamed and come anew; a writer may go and come back.

    A line counts when its end is written. Only a file without any line end that stands unchanged from one
    look to the next is taken as the one number it holds. A FIFO's half line is dropped when its writer goes.
    """

    RETRY_SECONDS = POLL_SECONDS

    def __init__(self, path: Path | str) -> None:
        super().__init__()
        self._path = path
        self._file = _File()

    def once(self) -> None:
        """One look at a regular file; a FIFO or a device is read until it is gone."""
        try:
            descriptor = os.open(self._path, _FLAGS)
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else None
            self.tell_lost(f"{quoted(str(self._path))}: {(reason or 'no such name can be').lower()}")
            return
        try:
            status = os.fstat(descriptor)
            if stat.S_ISREG(status.st_mode):
                self._follow(descriptor, status)
            elif is_own_terminal(status):
                self.tell_lost(f"{quoted(str(self._path))} {IS_OURS}")
            elif stat.S_ISFIFO(status.st_mode) or stat.S_ISCHR(status.st_mode):
                self._file = _File()
                self._stream(descriptor, status)
            else:
                self.tell_lost(f"{quoted(str(self._path))} is no file, FIFO or device")
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else None
            self.tell_lost(f"unplugged: {quoted(str(self._path))} {(reason or 'cannot be read').lower()}")
        finally:
            os.close(descriptor)

    def _follow(self, descriptor: int, status: os.stat_result) -> None:
        for line in self._file.look(descriptor, status, time.time()):
            self.tell_line(line)

    def _stream(self, descriptor: int, status: os.stat_result) -> None:
        is_fifo = stat.S_ISFIFO(status.st_mode)
        lines = Lines(self.tell_line, from_middle=not is_fifo)
        while not self.stopped:
            ready, _, _ = select.select([descriptor], [], [], POLL_SECONDS)
            data = _read(descriptor) if ready else None
            if data:
                if lines.feed(data):
                    self.wait(BREATH_SECONDS)
                continue
            if data == b"":
                if not is_fifo:
                    self.tell_lost(f"unplugged: {quoted(str(self._path))} has ended")
                    return
                lines.end()
                self.wait(POLL_SECONDS)
            if not self._is_still(status):
                return

    def _is_still(self, status: os.stat_result) -> bool:
        """Whether the path still names what is open: it may have been made anew."""
        try:
            return os.path.samestat(os.stat(self._path), status)
        except OSError:
            return False


@dataclass(frozen=True, slots=True)
class _Look:
    """A regular file as it stood: which one, how long, when written, and its last bytes."""

    which: tuple[int, int]
    size: int
    written_ns: int
    tail: bytes


class _File:
    """What is new in a regular file since the look before."""

    def __init__(self) -> None:
        self._before: _Look | None = None
        self._rest_told = False
        self._taken: list[str] = []
        self._lines = Lines(self._taken.append)

    def look(self, descriptor: int, status: os.stat_result, now: float) -> list[str]:
        """The new lines of the open file; `now` is the wall clock, for what it held before the first look."""
        which = (status.st_dev, status.st_ino)
        before = self._before
        if before is not None and (before.which, before.size, before.written_ns) == (
            which,
            status.st_size,
            status.st_mtime_ns,
        ):
            return self._whole_without_end(before)
        os.lseek(descriptor, max(status.st_size - LONGEST_LINE, 0), os.SEEK_SET)
        tail = _read_up_to(descriptor, LONGEST_LINE)
        size = max(status.st_size - LONGEST_LINE, 0) + len(tail)
        self._before = _Look(which, size, status.st_mtime_ns, tail)
        self._rest_told = False
        self._taken.clear()
        added = None if before is None else _added(before, self._before)
        if added is not None:
            self._lines.feed(added)
            return list(self._taken)
        self._lines = Lines(self._taken.append)
        self._lines.feed(_last_line(tail, is_cut=size > len(tail)))
        if before is None and now - status.st_mtime > NEW_SECONDS:
            self._rest_told = True
            return []
        return self._taken[-1:]

    def _whole_without_end(self, look: _Look) -> list[str]:
        if self._rest_told or b"\n" in look.tail or look.size > len(look.tail):
            return []
        self._rest_told = True
        line = look.tail.decode("utf-8", "replace").strip()
        return [line] if line else []


def _added(before: _Look, after: _Look) -> bytes | None:
    """What was appended between two looks; None if the file was written anew, or too much came to tell."""
    grown = after.size - before.size
    if before.which != after.which or grown <= 0 or grown >= len(after.tail):
        return None
    overlap = after.tail[: len(after.tail) - grown]
    return after.tail[-grown:] if before.tail.endswith(overlap) else None


def _last_line(tail: bytes, *, is_cut: bool) -> bytes:
    """The last whole line of a file's end and the half one behind it; not what began before that end."""
    whole, end, rest = tail.rpartition(b"\n")
    _, found, last = whole.rstrip().rpartition(b"\n")
    if is_cut and not found:
        last = b""
    return last + end + (rest if end or not is_cut else b"")


def _read(descriptor: int) -> bytes | None:
    """What there is to read; empty at the end, None if nothing is there yet."""
    try:
        return os.read(descriptor, CHUNK)
    except BlockingIOError:
        return None


def _read_up_to(descriptor: int, most: int) -> bytes:
    data = b""
    while len(data) < most and (more := os.read(descriptor, most - len(data))):
        data += more
    return data
