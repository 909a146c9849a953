"""The session file: an append-only TOML journal in which nothing that was called saved is lost unseen.

The file is a row of frames. A frame is a header line (`[session]` once, then `[[entry]]`), a flat TOML table,
and a line `sum = "xxxxxxxx"`: the CRC-32 (RFC 1952, section 8) of all bytes since the previous sum line,
started from that sum. So every byte belongs to a frame, and a dropped, doubled or swapped frame is seen.
Strings stand on one line with all unseen characters escaped, so no text can pass for a line of the file.

Writing, in order: lock, one write in append mode, count compared, flush, the file still the one at its path
and as long as expected. Only then is an entry saved. One fault closes the journal for good, because a flush
that is repeated after a failure may claim success for data that is gone (fsync(2), Linux). Reading never
guesses: an unfinished act at the end is set aside and cut; anything else that does not fit is damage, which
is named and left alone.
"""

from __future__ import annotations

import errno
import itertools
import os
import re
import shutil
import stat
import sys
import time
import tomllib
import unicodedata
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, Self

import platformdirs
import tomli_w

from mashday.text import UNSEEN_CATEGORIES, cleaned, nearest, quoted, slug

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

LARGEST_HEADER_BYTES = 300 * 1024
LARGEST_ENTRY_BYTES = 16 * 1024
LARGEST_ACT_BYTES = 64 * 1024
LARGEST_FILE_BYTES = 8 * 1024 * 1024
LEAST_FREE_BYTES = 10_000_000
"""Free space asked for before a day begins, far more than it takes. Common practice, no source."""

_HEADER_LINE = b"[session]\n"
_ENTRY_LINE = b"[[entry]]\n"
_SUM_LINE = re.compile(rb'^sum = "([0-9a-f]{8})"(?:\n|\Z)', re.MULTILINE)
_ACT_LINE = re.compile(rb"^act = (\d+)\n", re.MULTILINE)
_FLAT_LINES = re.compile(rb"(?:[A-Za-z0-9_-]+ = (?:[^\[{\n][^\n]*|\[\]|\[\n(?:    [^\[{\s][^\n]*,\n)+\])\n)*")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]")
_SESSION_NAME = re.compile(r"(\d{4}-\d{2}-\d{2})-[a-z0-9-]+\.toml")

_EVERY_OPEN = getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
_LOCK_TRIES = 4
_LOCK_PAUSE_SECONDS = 0.05
_WINDOWS_LOCKED_BYTE = 1 << 30
_ELSEWHERE = " Name another folder with --sessions."
_LOOK = " It can be looked at meanwhile."

_NOT_OFFERED = (errno.ENOTSUP, errno.EINVAL, errno.ENOTTY)
_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk space allowed is used up",
    errno.EFBIG: "no larger file is allowed",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "it is not allowed",
    errno.EPERM: "it is not allowed",
    errno.ENOENT: "it is not there",
    errno.ENOTDIR: "a part of its path is no folder",
    errno.EISDIR: "it is a folder",
    errno.ELOOP: "it is a link, not a file",
    errno.EIO: "the disk reports an error",
    errno.ENOLCK: "files cannot be locked there",
}


class JournalFault(Exception):
    """The session file cannot be begun, read or written; the text is a sentence for the person."""


class BackupFault(JournalFault):
    """The copy beside the session file could not be made; the journal itself goes on."""


class Held(JournalFault):
    """Another running program has this session; the text says which."""


class _NotAsWritten(OSError):
    """What stands on the disk is not what was written, though no call failed."""


class NoSession(LookupError):
    """No session, or more than one, answers to a name; the text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Recovered:
    """What a session file holds.

    `tables` are the whole entries without their sums. `torn` is the readable text of an unfinished act, which
    was set aside (or, view-only, left out). `damage` says which entry was changed; the tables before it are
    sound. `held_by` says which running program has the session.
    """

    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]
    torn: str | None = None
    damage: str | None = None
    view_only: bool = False
    held_by: str | None = None


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


class Journal:
    """One session file, locked and open for appending. Made by `create`, `open` or `write_whole`."""

    def __init__(self, path: Path, descriptor: int, lock: int, *, size: int, crc: int, io: Disk) -> None:
        self.path = path
        self._descriptor: int | None = descriptor
        self._lock: int | None = lock
        self._size = size
        self._crc = crc
        self._io = io
        self._fault: str | None = None

    @property
    def fault(self) -> str | None:
        """Why nothing can be appended any more, as a sentence; None while all is well."""
        return self._fault

    @classmethod
    def create(
        cls, folder: Path, name_slug: str, day: date, header: Mapping[str, Any], *, io: Disk = REAL_IO
    ) -> Self:
        """A new journal in `folder`, which is made if needed, with its header on the disk.

        Named by the day and the slug, numbered from 2 where the name is taken; nothing is overwritten.
        JournalFault if the folder cannot be written, locked or has under `LEAST_FREE_BYTES` free; ValueError
        for a header that is not flat.
        """
        frame, crc = _framed(_HEADER_LINE, header, 0)
        path, descriptor, lock = _reserved(folder, name_slug, day, io)
        try:
            with _told("begun", path, _ELSEWHERE):
                _append_whole(io, descriptor, path, frame, 0)
                io.fsync_folder(folder)
        except BaseException:
            os.close(descriptor)
            _undone(lock, path)
            raise
        return cls(path, descriptor, lock, size=len(frame), crc=crc, io=io)

    @classmethod
    def write_whole(
        cls,
        folder: Path,
        name_slug: str,
        day: date,
        header: Mapping[str, Any],
        tables: Sequence[Mapping[str, Any]],
        *,
        io: Disk = REAL_IO,
    ) -> Self:
        """A new journal that holds the whole day so far, for when the first one is lost or damaged.

        It appears under its name only when all of it is on the disk. Raises like `create`.
        """
        frame, crc = _framed(_HEADER_LINE, header, 0)
        body, crc = _framed_all(tables, crc)
        data = frame + body
        if len(data) > LARGEST_FILE_BYTES:
            raise JournalFault(f"The day is too long for one file: {len(data)} bytes.")
        path, placeholder, lock = _reserved(folder, name_slug, day, io)
        os.close(placeholder)
        unfinished = _beside(path, "tmp")
        try:
            with _told("written", path, _ELSEWHERE):
                _write_beside(io, unfinished, data, os.O_TRUNC)
                io.replace(unfinished, path)
                io.fsync_folder(folder)
                descriptor = io.open(path, os.O_RDWR | os.O_APPEND)
        except BaseException:
            _undone(lock, unfinished, path)
            raise
        return cls(path, descriptor, lock, size=len(data), crc=crc, io=io)

    @classmethod
    def open(cls, path: Path, *, io: Disk = REAL_IO) -> tuple[Self, Recovered]:
        """A journal to go on with, and what it holds.

        What it holds is flushed first, so that it is as saved as it looks. An unfinished act at its end is
        saved beside it (`.torn`), then cut off. A damaged file is not touched: the journal comes back closed,
        its `fault` says why. Held if another program has it; JournalFault if it is no session file or cannot
        be written.
        """
        with _told("opened", path):
            descriptor = _opened(io, path, os.O_RDWR | os.O_APPEND)
        lock: int | None = None
        try:
            with _told("locked", path, _LOOK):
                lock = _locked(path, io)
            with _told("read", path):
                scan = _scanned(io.read(descriptor), path)
            journal = cls(path, descriptor, lock, size=scan.end, crc=scan.crc, io=io)
            if scan.damage is not None:
                journal._fault = scan.damage
                journal.close()
            else:
                with _told("mended", path, _LOOK):
                    journal._mend(scan, descriptor)
        except BaseException:
            os.close(descriptor)
            if lock is not None:
                os.close(lock)
            raise
        return journal, scan.recovered(view_only=scan.damage is not None)

    @staticmethod
    def read(path: Path, *, io: Disk = REAL_IO) -> Recovered:
        """What a session file holds, to look at: nothing is locked or changed. JournalFault as `open`."""
        with _told("read", path):
            descriptor = _opened(io, path, os.O_RDONLY)
            try:
                data = io.read(descriptor)
            finally:
                os.close(descriptor)
        return _scanned(data, path).recovered(view_only=True, held_by=_holder(path))

    def append(self, tables: Sequence[Mapping[str, Any]]) -> None:
        """Put the entries of one act on the disk; when this returns they are saved.

        All but the last carry `more = true`. JournalFault if anything goes wrong: then, and ever after,
        nothing more is written here. ValueError for tables that are no act; the journal is then untouched.
        """
        if self._fault is not None:
            raise JournalFault(self._fault)
        _check_one_act(tables)
        data, crc = _framed_all(tables, self._crc)
        if len(data) > LARGEST_ACT_BYTES:
            raise ValueError(f"one act of {len(data)} bytes, and {LARGEST_ACT_BYTES} is the most")
        if self._descriptor is None:
            raise ValueError("the journal is closed")
        self._fault = f"Not saved: the last writing to {_shown(self.path)} was broken off."
        try:
            if self._size + len(data) > LARGEST_FILE_BYTES:
                raise _NotAsWritten(f"the session file is full, {LARGEST_FILE_BYTES} bytes are the most")
            _append_whole(self._io, self._descriptor, self.path, data, self._size)
        except OSError as error:
            self._fault = (
                f"Not saved to {_shown(self.path)}: {_reason(error)}. The day is kept in memory only."
            )
            self._close_file()
            raise JournalFault(self._fault) from error
        self._fault = None
        self._size += len(data)
        self._crc = crc

    def backup(self) -> Path:
        """A whole copy of the file as it stands, `.bak` beside it, in place of the copy before; its path.

        BackupFault if it cannot be made, or if the file is no longer what was written: the copy before then
        stays. The journal goes on either way.
        """
        if self._fault is not None or self._descriptor is None:
            raise BackupFault(self._fault or "The session is closed.")
        copy, unfinished = _beside(self.path, "bak"), _beside(self.path, "bak.tmp")
        try:
            data = self._io.read(self._descriptor)
            if len(data) != self._size or not _ends_in(data, self._crc):
                raise _NotAsWritten("the file has been changed since it was written")
            _write_beside(self._io, unfinished, data, os.O_TRUNC)
            self._io.replace(unfinished, copy)
            self._io.fsync_folder(self.path.parent)
        except OSError as error:
            raise BackupFault(f"No copy of {_shown(self.path)} was made: {_reason(error)}.") from error
        return copy

    def close(self) -> None:
        """Let go of the file and its lock."""
        self._close_file()
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _close_file(self) -> None:
        if self._descriptor is not None:
            with suppress(OSError):
                os.close(self._descriptor)
            self._descriptor = None

    def _mend(self, scan: _Scan, descriptor: int) -> None:
        if scan.tail:
            _write_beside(self._io, _beside(self.path, "torn"), scan.tail, os.O_APPEND)
            self._io.fsync_folder(self.path.parent)
            self._io.truncate(descriptor, scan.end)
        if scan.ends_with_newline:
            self._io.fsync(descriptor)
        else:
            _append_whole(self._io, descriptor, self.path, b"\n", scan.end)
            self._size += 1


def sessions_folder(override: str | None) -> Path:
    """The folder of the session files: the option, else MASHDAY_SESSIONS, else the user's data folder."""
    chosen = override or os.environ.get("MASHDAY_SESSIONS")
    if chosen:
        return Path(chosen).expanduser()
    return Path(platformdirs.user_data_dir("mashday", appauthor=False)) / "sessions"


def sessions_in(folder: Path) -> tuple[Path, ...]:
    """The session files of a folder, the latest first: by the day in the name, then the last writing."""
    found = []
    for path in folder.glob("*.toml"):
        named = _SESSION_NAME.fullmatch(path.name)
        with suppress(OSError):
            state = os.lstat(path)
            if named and stat.S_ISREG(state.st_mode) and state.st_size:
                found.append((named[1], state.st_mtime_ns, path))
    return tuple(path for *_, path in sorted(found, reverse=True))


def find_session(folder: Path, name: str | None) -> Path:
    """The session file meant: a path, a name or its beginning, or (None) the latest.

    NoSession if there is none, or if a beginning fits several.
    """
    known = sessions_in(folder)
    if name is None:
        if not known:
            raise NoSession(f"There is no session in {_shown(folder)}.")
        return known[0]
    if os.path.isfile(name):
        return Path(name)
    exact = [path for path in known if name in (path.stem, path.name)]
    fitting = exact or [path for path in known if path.name.startswith(name)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        several = ", ".join(path.stem for path in fitting[:6])
        more = f" and {len(fitting) - 6} more" if len(fitting) > 6 else ""
        raise NoSession(f"{quoted(name)} fits several sessions: {several}{more}. Give more of the name.")
    near = nearest(name, [path.stem for path in known])
    if near is not None:
        raise NoSession(f"No session is called {quoted(name)}. Is {near} meant?")
    latest = f" The latest is {known[0].stem}." if known else ""
    raise NoSession(f"No session in {_shown(folder)} is called {quoted(name)}.{latest}")


def _framed(first_line: bytes, table: Mapping[str, Any], previous: int) -> tuple[bytes, int]:
    """The bytes of one frame and its sum. ValueError for a table that would not be read back the same."""
    limit = LARGEST_HEADER_BYTES if first_line == _HEADER_LINE else LARGEST_ENTRY_BYTES
    text = _NOT_ASCII.sub(_escaped, tomli_w.dumps(table))
    body = first_line + text.encode("utf-8")
    crc = zlib.crc32(body, previous)
    if len(body) > limit:
        raise ValueError(f"a frame of {len(body)} bytes, and {limit} is the most")
    if "sum" in table or _table_of(body, first_line, previous, crc) != table:
        raise ValueError(f"a table that is not flat or would not read back the same: {quoted(text, 200)}")
    return body + b'sum = "%08x"\n' % crc, crc


def _framed_all(tables: Sequence[Mapping[str, Any]], previous: int) -> tuple[bytes, int]:
    frames = []
    for table in tables:
        frame, previous = _framed(_ENTRY_LINE, table, previous)
        frames.append(frame)
    return b"".join(frames), previous


def _escaped(match: re.Match[str]) -> str:
    """An unseen character as a TOML escape; outside ASCII, characters stand in strings only."""
    character = match[0]
    if unicodedata.category(character) not in UNSEEN_CATEGORIES:
        return character
    return f"\\u{ord(character):04x}" if ord(character) <= 0xFFFF else f"\\U{ord(character):08x}"


def _check_one_act(tables: Sequence[Mapping[str, Any]]) -> None:
    if not tables:
        raise ValueError("an act without entries")
    if len({table.get("act") for table in tables}) != 1:
        raise ValueError("entries of several acts in one writing")
    if [table.get("more", False) for table in tables] != [True] * (len(tables) - 1) + [False]:
        raise ValueError("all entries of an act but the last say that more follow")


def _table_of(body: bytes, first_line: bytes, previous: int, stored: int) -> dict[str, Any] | None:
    """The table of a frame whose sum is right; None if anything about it is wrong."""
    limit = LARGEST_HEADER_BYTES if first_line == _HEADER_LINE else LARGEST_ENTRY_BYTES
    if len(body) > limit or zlib.crc32(body, previous) != stored:
        return None
    text = body.lstrip(b"\n")
    if not text.startswith(first_line) or not _FLAT_LINES.fullmatch(text, len(first_line)):
        return None
    try:
        table = tomllib.loads(text[len(first_line) :].decode("utf-8"))
    except (ValueError, RecursionError):
        return None
    values = itertools.chain(*(value if isinstance(value, list) else (value,) for value in table.values()))
    if any(isinstance(value, int) and value.bit_length() > 63 for value in values):
        return None
    return table


@dataclass(frozen=True, slots=True)
class _Scan:
    """What the bytes of a session file hold: whole acts up to `end`, where the sum is `crc`, then `tail`."""

    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]
    end: int
    crc: int
    tail: bytes
    ends_with_newline: bool
    damage: str | None

    def recovered(self, *, view_only: bool, held_by: str | None = None) -> Recovered:
        torn = None
        if self.tail.strip() and self.damage is None:
            lines = self.tail.decode("utf-8", errors="replace").splitlines()
            torn = "\n".join(filter(None, (cleaned(line, LARGEST_ENTRY_BYTES) for line in lines)))
            torn = torn or f"{len(self.tail)} bytes that hold no text"
        return Recovered(self.header, self.tables, torn, self.damage, view_only, held_by)


def _scanned(data: bytes, path: Path) -> _Scan:
    """Read the frames. JournalFault if the bytes do not begin with a whole header."""
    if len(data) > LARGEST_FILE_BYTES:
        raise JournalFault(f"{_shown(path)} is no session file: over {LARGEST_FILE_BYTES} bytes.")
    good: list[tuple[int, int, dict[str, Any]]] = []
    start = previous = 0
    unsound = sound_after = False
    for line in _SUM_LINE.finditer(data):
        stored = int(line[1], 16)
        first_line = _ENTRY_LINE if good else _HEADER_LINE
        table = _table_of(data[start : line.start()], first_line, previous, stored)
        if table is None:
            unsound = True
        elif unsound:
            sound_after = True
            break
        else:
            good.append((line.end(), stored, table))
        start, previous = line.end(), stored
    if not good:
        raise JournalFault(_no_header(data, path))
    changed = len(good)
    while good[1:] and good[-1][2].get("more") is True:
        good.pop()
    end, crc, _ = good[-1]
    tail = data[end:]
    damage = None
    if sound_after or not _is_unfinished_act(tail):
        damage = (
            f"Entry {changed} of {_shown(path)} was changed after it was written, or is no entry at all. "
            f"The first {len(good) - 1} entries are sound and can be taken over into a new file. "
            "Nothing was touched."
        )
    tables = tuple(table for *_, table in good[1:])
    return _Scan(good[0][2], tables, end, crc, tail, data[end - 1 : end] == b"\n", damage)


def _ends_in(data: bytes, crc: int) -> bool:
    """Whether every frame of the bytes is as its sum says, and the last sum is `crc`."""
    start = previous = 0
    for line in _SUM_LINE.finditer(data):
        stored = int(line[1], 16)
        if zlib.crc32(data[start : line.start()], previous) != stored:
            return False
        start, previous = line.end(), stored
    return start == len(data) and previous == crc


def _is_unfinished_act(tail: bytes) -> bool:
    """Whether the bytes can be what is left of one act that was never acknowledged."""
    if len(tail) > LARGEST_ACT_BYTES:
        return False
    whole_entries = re.split(rb"^\[\[entry\]\]\n", tail, flags=re.MULTILINE)[1:-1]
    return all(map(_ACT_LINE.search, whole_entries)) and len(set(_ACT_LINE.findall(tail))) <= 1


def _no_header(data: bytes, path: Path) -> str:
    if not data:
        return f"{_shown(path)} is empty: the day in it was never begun."
    if b"\r\n" in data:
        return (
            f"{_shown(path)} was saved by an editor with Windows line ends, so nothing in it can be checked. "
            "Save it with Unix line ends (LF), or take the copy beside it (.bak)."
        )
    return f"{_shown(path)} does not begin as a session file does, or its beginning was changed."


def _reserved(folder: Path, name_slug: str, day: date, io: Disk) -> tuple[Path, int, int]:
    """A new empty file of a free name in the folder, open, and the lock that goes with it."""
    with _told("made", folder, _ELSEWHERE):
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
    with _told("used", folder, _ELSEWHERE):
        if io.free_bytes(folder) < LEAST_FREE_BYTES:
            raise OSError(errno.ENOSPC, "too little space")
        while True:
            path = folder / next(names)
            if os.path.lexists(path):
                continue
            try:
                lock = _locked(path, io)
            except Held:
                continue
            try:
                return path, io.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL), lock
            except FileExistsError:
                os.close(lock)
            except BaseException:
                os.close(lock)
                raise


def _undone(lock: int, *paths: Path) -> None:
    """Take back files of our own that could not be begun, then let go of their lock."""
    for path in paths:
        with suppress(OSError):
            os.unlink(path)
    os.close(lock)


def _opened(io: Disk, path: Path, flags: int) -> int:
    descriptor = io.open(path, flags)
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise JournalFault(f"{_shown(path)} is no ordinary file.")
    return descriptor


def _append_whole(io: Disk, descriptor: int, path: Path, data: bytes, size: int) -> None:
    """One write at the end of a file of `size` bytes, flushed, and the file still in its place."""
    written = io.write(descriptor, data)
    if written != len(data):
        raise _NotAsWritten(f"the disk took only {written} of {len(data)} bytes, it is full")
    io.fsync(descriptor)
    ours, there = io.stat(descriptor), io.stat(path)
    if (ours.st_dev, ours.st_ino) != (there.st_dev, there.st_ino):
        raise _NotAsWritten("the file was moved or replaced by something else")
    if there.st_size != size + len(data):
        raise _NotAsWritten("something else has written to the file or cut it")


def _write_beside(io: Disk, path: Path, data: bytes, mode: int) -> None:
    """Write a file of our own and flush it; `mode` is os.O_TRUNC or os.O_APPEND."""
    descriptor = io.open(path, os.O_WRONLY | os.O_CREAT | mode)
    try:
        written = io.write(descriptor, data)
        if written != len(data):
            raise _NotAsWritten(f"the disk took only {written} of {len(data)} bytes, it is full")
        io.fsync(descriptor)
    finally:
        os.close(descriptor)


def _locked(path: Path, io: Disk) -> int:
    """The lock of a session file, held while the descriptor is open. Held if another program has it.

    It is a file of its own that is never renamed: a lock on the session file would be lost with a rename.
    """
    descriptor = io.open(_beside(path, "lock"), os.O_RDWR | os.O_CREAT)
    try:
        for _ in range(_LOCK_TRIES):
            if _try_lock(descriptor, shared=False):
                break
            time.sleep(_LOCK_PAUSE_SECONDS)
        else:
            raise Held(f"{_shown(path)} is in use: {_lock_text(descriptor)}.{_LOOK}")
        since = datetime.now().astimezone().isoformat(sep=" ", timespec="seconds")
        with suppress(OSError):
            os.ftruncate(descriptor, 0)
            os.write(descriptor, f"process {os.getpid()}, since {since}\n".encode("ascii"))
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def _holder(path: Path) -> str | None:
    """Which running program has the session file, or None."""
    try:
        descriptor = os.open(_beside(path, "lock"), os.O_RDONLY | _EVERY_OPEN)
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


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(f"{path.name}.{ending}")


def _shown(path: Path) -> str:
    return cleaned(str(path), 300)


def _reason(error: OSError) -> str:
    return _REASONS.get(error.errno or 0) or cleaned(error.strerror or str(error))


@contextmanager
def _told(done: str, path: Path, remedy: str = "") -> Iterator[None]:
    """Turn what the system refuses into a sentence: what could not be `done` to which file, and why."""
    try:
        yield
    except OSError as error:
        raise JournalFault(f"{_shown(path)} could not be {done}: {_reason(error)}.{remedy}") from error
