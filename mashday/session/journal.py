"""The session file: an append-only TOML journal in which nothing that was called saved is lost unseen.

Writing, in order: lock, one write in append mode, count compared, flush, the file still the one at its path
and as long as expected. Only then is an entry saved. One fault closes the journal for good, because a flush
that is repeated after a failure may claim success for data that is gone (fsync(2), Linux). Reading never
guesses: an unfinished act at the end is set aside and cut; anything else that does not fit is damage, which
is named and left alone. What the bytes look like is in `frames`, what can go wrong in `faults`.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any, Self

from mashday.session import frames
from mashday.session.disk import (
    REAL_IO,
    Disk,
    append_whole,
    beside,
    holder,
    locked,
    look_in_place,
    opened,
    reserved,
    undone,
    write_beside,
)
from mashday.session.faults import (
    ELSEWHERE,
    LOOK,
    BackupFault,
    JournalFault,
    NotAsWritten,
    reason,
    shown,
    told,
)
from mashday.session.frames import Recovered, Scan
from mashday.session.salvage import salvaged
from mashday.session.versions import of_a_newer_version


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
        self._unmended: Scan | None = None

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
        frame, crc = frames.framed(frames.HEADER_LINE, header, 0)
        path, descriptor, lock = reserved(folder, name_slug, day, io)
        try:
            with told("begun", path, ELSEWHERE):
                append_whole(io, descriptor, path, frame, 0)
                io.fsync_folder(folder)
        except BaseException:
            os.close(descriptor)
            undone(lock, path)
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
        frame, crc = frames.framed(frames.HEADER_LINE, header, 0)
        body, crc = frames.framed_all(tables, crc)
        data = frame + body
        if len(data) > frames.LARGEST_FILE_BYTES:
            raise JournalFault(f"The day is too long for one file: {len(data)} bytes.")
        path, placeholder, lock = reserved(folder, name_slug, day, io)
        os.close(placeholder)
        unfinished = beside(path, "tmp")
        try:
            with told("written", path, ELSEWHERE):
                write_beside(io, unfinished, data, os.O_TRUNC)
                io.replace(unfinished, path)
                io.fsync_folder(folder)
                descriptor = io.open(path, os.O_RDWR | os.O_APPEND)
        except BaseException:
            undone(lock, unfinished, path)
            raise
        return cls(path, descriptor, lock, size=len(data), crc=crc, io=io)

    @classmethod
    def open(
        cls, path: Path, *, newest_schema: int | None = None, mends: bool = True, io: Disk = REAL_IO
    ) -> tuple[Self, Recovered]:
        """A journal to go on with, and what it holds.

        It is mended first, unless that is left to whoever looks at what it holds. A damaged file is not
        touched, nor one that has a schema above `newest_schema`, for its end may be whole by rules unknown
        here: the journal then comes back closed, its `fault` says why. Held if another program has it;
        JournalFault if it is no session file or cannot be written.
        """
        with told("opened", path):
            descriptor = opened(io, path, os.O_RDWR | os.O_APPEND)
        lock: int | None = None
        try:
            with told("locked", path, LOOK):
                lock = locked(path, io)
            with told("read", path):
                data = io.read(descriptor)
                scan = frames.scanned(data, path)
                longer_copy = _copy_of(path, io, longer_than=scan.end)
                if longer_copy is not None:
                    scan = salvaged(data, longer_copy, path)
            journal = cls(path, descriptor, lock, size=scan.end, crc=scan.crc, io=io)
            journal._unmended = scan
            if newest_schema is not None:
                journal._fault = of_a_newer_version(scan.header, scan.tables, newest_schema, path)
            journal._fault = journal._fault or scan.damage
            if journal._fault is not None:
                journal.close()
            elif mends:
                journal.mend()
        except BaseException:
            os.close(descriptor)
            if lock is not None:
                os.close(lock)
            raise
        return journal, scan.recovered(view_only=journal._fault is not None)

    def mend(self) -> None:
        """Makes the end of a file that was opened fit to be written on.

        What it holds is flushed, so that it is as saved as it looks. An unfinished act at its end is saved
        beside it (`.torn`), then cut off. JournalFault if that cannot be done.
        """
        scan, descriptor = self._unmended, self._descriptor
        if scan is None or descriptor is None:
            return
        with told("mended", self.path, LOOK):
            if scan.tail:
                write_beside(self._io, beside(self.path, "torn"), scan.tail, os.O_APPEND)
                self._io.fsync_folder(self.path.parent)
                self._io.truncate(descriptor, scan.end)
            if scan.ends_with_newline:
                self._io.fsync(descriptor)
            else:
                append_whole(self._io, descriptor, self.path, b"\n", scan.end)
                self._size += 1
        self._unmended = None

    @staticmethod
    def read(path: Path, *, io: Disk = REAL_IO) -> Recovered:
        """What a session file holds, to look at: nothing is locked or changed. JournalFault as `open`.

        Of a damaged file all that can be believed, with the help of the copy beside it.
        """
        copy = _copy_of(path, io)
        with told("read", path):
            data = _bytes_of(path, io)
        return salvaged(data, copy, path).recovered(view_only=True, held_by=holder(path))

    def append(self, tables: Sequence[Mapping[str, Any]]) -> None:
        """Put the entries of one act on the disk; when this returns they are saved.

        All but the last carry `more = true`. JournalFault if anything goes wrong: then, and ever after,
        nothing more is written here. ValueError for tables that are no act; the journal is then untouched.
        """
        if self._fault is not None:
            raise JournalFault(self._fault)
        frames.check_one_act(tables)
        data, crc = frames.framed_all(tables, self._crc)
        if len(data) > frames.LARGEST_ACT_BYTES:
            raise ValueError(f"one act of {len(data)} bytes, and {frames.LARGEST_ACT_BYTES} is the most")
        if self._descriptor is None or self._unmended is not None:
            raise ValueError("the journal is closed, or was not mended")
        self._fault = f"Not saved: the last writing to {shown(self.path)} was broken off."
        try:
            if self._size + len(data) > frames.LARGEST_FILE_BYTES:
                raise NotAsWritten(
                    f"the session file is full, {frames.LARGEST_FILE_BYTES} bytes are the most"
                )
            append_whole(self._io, self._descriptor, self.path, data, self._size)
        except OSError as error:
            raise self._closed_for_good(error) from error
        self._fault = None
        self._size += len(data)
        self._crc = crc

    def look(self) -> None:
        """JournalFault if the file is no longer what was written, in its place: as if an entry had failed."""
        if self._fault is None and self._descriptor is not None:
            try:
                look_in_place(self._io, self._descriptor, self.path, self._size)
            except OSError as error:
                raise self._closed_for_good(error) from error

    def backup(self) -> Path:
        """A whole copy of the file as it stands, `.bak` beside it, in place of the copy before; its path.

        BackupFault if it cannot be made, or if the file is no longer what was written: the copy before then
        stays. The journal goes on either way.
        """
        if self._fault is not None or self._descriptor is None:
            raise BackupFault(self._fault or "The session is closed.")
        copy, unfinished = beside(self.path, "bak"), beside(self.path, "bak.tmp")
        try:
            data = self._io.read(self._descriptor)
            if len(data) != self._size or not frames.ends_in(data, self._crc):
                raise NotAsWritten("the file has been changed since it was written")
            write_beside(self._io, unfinished, data, os.O_TRUNC)
            self._io.replace(unfinished, copy)
            self._io.fsync_folder(self.path.parent)
        except OSError as error:
            raise BackupFault(f"No copy of {shown(self.path)} was made: {reason(error)}.") from error
        return copy

    def close(self) -> None:
        """Let go of the file and its lock."""
        self._close_file()
        if self._lock is not None:
            with suppress(OSError):
                os.close(self._lock)
            self._lock = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _closed_for_good(self, error: OSError) -> JournalFault:
        self._fault = f"Not saved to {shown(self.path)}: {reason(error)}. The day is kept in memory only."
        self._close_file()
        return JournalFault(self._fault)

    def _close_file(self) -> None:
        if self._descriptor is not None:
            with suppress(OSError):
                os.close(self._descriptor)
            self._descriptor = None


def _bytes_of(path: Path, io: Disk) -> bytes:
    descriptor = opened(io, path, os.O_RDONLY)
    try:
        return io.read(descriptor)
    finally:
        os.close(descriptor)


def _copy_of(path: Path, io: Disk, *, longer_than: int = 0) -> bytes | None:
    """The copy beside a session file (.bak), if there is one of more bytes than these."""
    copy = beside(path, "bak")
    with suppress(OSError, JournalFault):
        if os.lstat(copy).st_size > longer_than:
            return _bytes_of(copy, io)
    return None
