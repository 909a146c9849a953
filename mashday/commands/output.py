"""Where a result goes, and the exit codes."""

from __future__ import annotations

import argparse
import errno
import json
import os
import stat
import sys
import tempfile
import tomllib
from contextlib import suppress
from pathlib import Path
from typing import Any

from mashday.session.faults import reason, shown
from mashday.session.frames import HEADER_LINE, LARGEST_FILE_BYTES
from mashday.text import cleaned

DONE, NOT_DONE, REFUSED = 0, 1, 2
_ELSEWHERE = "it is not written over. Name another file behind -o."
_WRITABLE = "Name a file that can be written."


def write(options: argparse.Namespace, told: str, *, done: str = "") -> int:
    """Writes a result to standard output or to the file named; returns the exit code.

    `done` begins the sentence for a file that cannot be written: what was done all the same, and "but".
    """
    told = told.rstrip("\n") + "\n"
    if options.output is None:
        print(told, end="")
        return DONE
    path = Path(options.output)
    try:
        if (why := refusal(options)) is not None:
            return _complained(f"{done}{why}", REFUSED)
        put(path, told.encode("utf-8"))
    except BrokenPipeError:
        raise
    except OSError as error:
        return _complained(
            f"{done}{shown(path)} could not be written: {reason(error)}. {_WRITABLE}", NOT_DONE
        )
    return DONE


def refused(why: str) -> int:
    """Says why a command is refused, and returns the exit code."""
    return _complained(cleaned(why, 1000), REFUSED)


def refusal(options: argparse.Namespace) -> str | None:
    """Why the file named is not written over, as a sentence; None if it may be. OSError if it cannot be read.

    What would be lost is a day, or what a person wrote: a schedule, a file of settings.
    """
    if options.output is None or _is_written_straight(Path(options.output)):
        return None
    path = Path(options.output)
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE_BYTES)
    except FileNotFoundError:
        return None
    if data.startswith(HEADER_LINE):
        return told_day(path)
    if path.suffix.lower() == ".toml" or _is_toml(data):
        return f"{shown(path)} is a TOML file, as schedules are: {_ELSEWHERE}"
    return None


def told_day(path: Path) -> str:
    """Why the file of a day is not written over, as a sentence."""
    return f"{shown(path)} is the file of a day: {_ELSEWHERE}"


def is_day(path: Path) -> bool:
    """True if the file begins as that of a day does. OSError if it cannot be read."""
    with path.open("rb") as file:
        return file.read(len(HEADER_LINE)) == HEADER_LINE


def _is_toml(data: bytes) -> bool:
    """True if there is anything in it that TOML knows."""
    try:
        return bool(tomllib.loads(data.decode("utf-8-sig")))
    except (ValueError, RecursionError):
        return False


def _is_written_straight(path: Path) -> bool:
    """True for a device, a pipe or anything else that is no ordinary file."""
    if path.absolute().parts[1:2] == ("dev",):
        return True
    with suppress(FileNotFoundError):
        return not stat.S_ISREG(os.stat(path).st_mode)
    return False


def put(path: Path, data: bytes) -> None:
    """All of it or nothing: an ordinary file is written beside the one there, and put in its place."""
    target = Path(os.path.realpath(path))
    if _is_written_straight(path):
        target = path
    elif os.access(target.parent, os.W_OK):
        _put_in_place(target, data)
        return
    with target.open("wb") as file:
        file.write(data)


def _put_in_place(target: Path, data: bytes) -> None:
    mode = _mode_of(target)
    descriptor, beside = tempfile.mkstemp(dir=target.parent, prefix=".mashday-")
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(descriptor)
        os.chmod(beside, mode)
        os.replace(beside, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


def _mode_of(target: Path) -> int:
    """The mode of the file there, else that of a new one. PermissionError for one that is only to be read."""
    try:
        mode = stat.S_IMODE(os.stat(target).st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
    if not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "not allowed", str(target))
    return mode


def _complained(why: str, code: int) -> int:
    print(f"mashday: {why}", file=sys.stderr)
    return code


def written_json(value: Any) -> str:
    """A value as JSON text."""
    return json.dumps(value, indent=2, ensure_ascii=True)
