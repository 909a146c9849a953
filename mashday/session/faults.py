"""What can go wrong with a session file, and how it is said: one sentence with what would do."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from mashday.text import cleaned

ELSEWHERE = " Name another folder with --sessions."
LOOK = " It can be looked at meanwhile."

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


class NotAsWritten(OSError):
    """What stands on the disk is not what was written, though no call failed."""


def shown(path: Path) -> str:
    """A path that may be printed."""
    return cleaned(str(path), 300)


def reason(error: OSError) -> str:
    """What the system reports, in words that fit after a colon."""
    return _REASONS.get(error.errno or 0) or cleaned(error.strerror or str(error))


@contextmanager
def told(done: str, path: Path, remedy: str = "") -> Iterator[None]:
    """Turn what the system refuses into a sentence: what could not be `done` to which file, and why."""
    try:
        yield
    except OSError as error:
        raise JournalFault(f"{shown(path)} could not be {done}: {reason(error)}.{remedy}") from error
