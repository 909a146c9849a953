"""The disk under a session file: every call that touches it, the lock, and how a file of ours is begun."""

from __future__ import annotations

import errno
import itertools
import os
import shutil
import stat
import sys
import time
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path

from mashday.session.faults import ELSEWHERE, LOOK, Held, JournalFault, NotAsWritten, shown, told
from mashday.session.frames import LARGEST_FILE_BYTES
from mashday.text import cleaned, slug

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

LEAST_FREE_BYTES = 10_000_000
"""Free space asked for before a day begins, far more than it takes. Common practice, no source."""

_EVERY_OPEN = getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
_LOCK_TRIES = 4
_LOCK_PAUSE_SECONDS = 0.05
_WINDOWS_LOCKED_BYTE = 1 << 30

_NOT_OFFERED = (errno.ENOTSUP, errno.EINVAL, errno.ENOTTY)


class Disk:
    """The calls by which a journal touches the disk, apart so that a test can make any of them fail."""

    def open(self, path: Path, flags: int) -> int:
        """A descriptor of the file, 0600 if it is new; never through a link."""
        return os.open(path, flags | _EVERY_OPEN, 0o600)

    def read(self, descriptor: int) -> bytes:
        """The file from its beginning, one byte more than is allowed at most."""
        os.lseek(descriptor, 0, os.SEEK_SET)
        parts = []
        left = LARGEST_FILE_BYTES + 1
        while left and (part := os.read(descriptor, left)):
            parts.append(part)
            left -= len(part)
        return b"".join(parts)

    def write(self, descriptor: int, data: bytes) -> int:
        """How many bytes were written; it may be fewer than asked, without an error."""
        return os.write(descriptor, data)

    def fsync(self, descriptor: int) -> None:
        """Flush to the medium. macOS: fsync(2) stops at the drive, F_FULLFSYNC does not."""
        if sys.platform == "darwin":
            try:
                fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
                return
            except OSError as error:
                if error.errno not in _NOT_OFFERED:
                    raise
        os.fsync(descriptor)

    def fsync_folder(self, folder: Path) -> None:
        """Flush the names in a folder, where the system can: Windows opens none, some shares flush none."""
        if sys.platform != "win32":
            descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
            try:
                self.fsync(descriptor)
            except OSError as error:
                if error.errno not in _NOT_OFFERED:
                    raise
            finally:
                os.close(descriptor)

    def truncate(self, descriptor: int, size: int) -> None:
        """Cut the file to `size` bytes."""
        os.ftruncate(descriptor, size)

    def replace(self, source: Path, target: Path) -> None:
        """Rename over the target; on Windows again while a scanner has it open, for a second."""
        for _ in range(5 if sys.platform == "win32" else 0):
            with suppress(PermissionError):
                os.replace(source, target)
                return
            time.sleep(0.2)
        os.replace(source, target)

    def stat(self, file: Path | int) -> os.stat_result:
        """What stands at a path (not behind a link), or behind a descriptor."""
        return os.fstat(file) if isinstance(file, int) else os.lstat(file)

    def free_bytes(self, folder: Path) -> int:
        """Bytes that may still be written in the folder."""
        return shutil.disk_usage(folder).free

    def make_folder(self, folder: Path) -> None:
        """A new folder for its owner alone."""
        os.mkdir(folder, 0o700)


REAL_IO = Disk()


def reserved(folder: Path, name_slug: str, day: date, io: Disk) -> tuple[Path, int, int]:
    """A new empty file of a free name in the folder, open, and the lock that goes with it."""
    with told("made", folder, ELSEWHERE):
        missing = [part for part in (folder, *folder.parents) if not os.path.lexists(part)]
        for part in reversed(missing):
            io.make_folder(part)
            io.fsync_folder(part.parent)
        if not stat.S_ISDIR(os.stat(folder).st_mode):
            raise NotADirectoryError(errno.ENOTDIR, "not a folder")
    names = (
        f"{day:%Y-%m-%d}-{slug(name_slug)}{f'-{number}' if number > 1 else ''}.toml"
        for number in itertools.count(1)
    )
    with told("used", folder, ELSEWHERE):
        free = io.free_bytes(folder)
        if free < LEAST_FREE_BYTES:
            asked = f"{LEAST_FREE_BYTES // 1_000_000} MB are asked for"
            raise NotAsWritten(f"only {free // 1_000_000} MB are free, and {asked}")
        while True:
            path = folder / next(names)
            if any(os.path.lexists(one) for one in (path, beside(path, "bak"), beside(path, "moved"))):
                continue
            try:
                lock = locked(path, io)
            except Held:
                continue
            try:
                return path, io.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL), lock
            except FileExistsError:
                os.close(lock)
            except BaseException:
                os.close(lock)
                raise


def undone(lock: int, *paths: Path) -> None:
    """Take back files of our own that could not be begun, then let go of their lock."""
    for path in paths:
        with suppress(OSError):
            os.unlink(path)
    os.close(lock)


def opened(io: Disk, path: Path, flags: int) -> int:
    """A descriptor of a file that is there. JournalFault if it is a folder, a pipe or a device."""
    descriptor = io.open(path, flags)
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise JournalFault(f"{shown(path)} is no ordinary file.")
    return descriptor


def append_whole(io: Disk, descriptor: int, path: Path, data: bytes, size: int) -> None:
    """One write at the end of a file of `size` bytes, flushed, and the file still in its place."""
    written = io.write(descriptor, data)
    if written != len(data):
        raise NotAsWritten(f"the disk took only {written} of {len(data)} bytes, it is full")
    io.fsync(descriptor)
    look_in_place(io, descriptor, path, size + len(data))


def look_in_place(io: Disk, descriptor: int, path: Path, size: int) -> None:
    """NotAsWritten, or the system's own error, unless the file still stands at its path with this size."""
    ours, there = io.stat(descriptor), io.stat(path)
    if (ours.st_dev, ours.st_ino) != (there.st_dev, there.st_ino):
        raise NotAsWritten("the file was moved or replaced by something else")
    if there.st_size != size:
        raise NotAsWritten("something else has written to the file or cut it")


def write_beside(io: Disk, path: Path, data: bytes, mode: int) -> None:
    """Write a file of our own and flush it; `mode` is os.O_TRUNC or os.O_APPEND."""
    descriptor = io.open(path, os.O_WRONLY | os.O_CREAT | mode)
    try:
        written = io.write(descriptor, data)
        if written != len(data):
            raise NotAsWritten(f"the disk took only {written} of {len(data)} bytes, it is full")
        io.fsync(descriptor)
    finally:
        os.close(descriptor)


def locked(path: Path, io: Disk) -> int:
    """The lock of a session file, held while the descriptor is open. Held if another program has it.

    It is a file of its own that is never renamed: a lock on the session file would be lost with a rename.
    """
    descriptor = io.open(beside(path, "lock"), os.O_RDWR | os.O_CREAT)
    try:
        for _ in range(_LOCK_TRIES):
            if _try_lock(descriptor, shared=False):
                break
            time.sleep(_LOCK_PAUSE_SECONDS)
        else:
            raise Held(f"{shown(path)} is in use: {_lock_text(descriptor)}.{LOOK}")
        since = datetime.now().astimezone().isoformat(sep=" ", timespec="seconds")
        with suppress(OSError):
            os.ftruncate(descriptor, 0)
            os.write(descriptor, f"process {os.getpid()}, since {since}\n".encode("ascii"))
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def holder(path: Path) -> str | None:
    """Which running program has the session file, or None."""
    try:
        descriptor = os.open(beside(path, "lock"), os.O_RDONLY | _EVERY_OPEN)
    except OSError:
        return None
    try:
        return None if _try_lock(descriptor, shared=True) else _lock_text(descriptor)
    except OSError:
        return None
    finally:
        os.close(descriptor)


def _lock_text(descriptor: int) -> str:
    os.lseek(descriptor, 0, os.SEEK_SET)
    return cleaned(os.read(descriptor, 200).decode("utf-8", errors="replace"), 80) or "another program"


def _try_lock(descriptor: int, *, shared: bool) -> bool:
    try:
        if sys.platform == "win32":
            os.lseek(descriptor, _WINDOWS_LOCKED_BYTE, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
            os.lseek(descriptor, 0, os.SEEK_SET)
        else:
            fcntl.flock(descriptor, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in (errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK):
            return False
        raise
    return True


def beside(path: Path, ending: str) -> Path:
    """The path of a file that goes with a session file."""
    return path.with_name(f"{path.name}.{ending}")
