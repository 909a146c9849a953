"""The terminal a day is shown on and its keys are typed at: what else reads it takes keys away."""

from __future__ import annotations

import os
import stat

STREAMS = (0, 1, 2)
"""Standard input, output and error (POSIX.1-2017, unistd.h)."""
CONTROLLING = "/dev/tty"
"""The controlling terminal under its other name (POSIX.1-2017, Base Definitions, chapter 10)."""
IS_OURS = "is where the keys of this day are typed: nothing else reads there"


def names_own_terminal(path: str) -> bool:
    """Whether this path leads to where the keys are typed; False where nothing can be seen of it."""
    try:
        return is_own_terminal(os.stat(path))
    except (OSError, ValueError):
        return False


def is_own_terminal(status: os.stat_result) -> bool:
    """Whether this is the terminal of a standard stream, the controlling one, or the pipe lines come by."""
    if stat.S_ISFIFO(status.st_mode):
        return _is_standard_input(status)
    return stat.S_ISCHR(status.st_mode) and status.st_rdev in _terminals()


def _is_standard_input(status: os.stat_result) -> bool:
    try:
        return os.path.samestat(os.fstat(STREAMS[0]), status)
    except OSError:
        return False


def _terminals() -> set[int]:
    """The device numbers of the terminals that are this day's own."""
    found = {os.fstat(stream).st_rdev for stream in STREAMS if os.isatty(stream)}
    try:
        found.add(os.stat(CONTROLLING).st_rdev)
    except OSError:
        return found
    return found
