"""Starting another program beside the day, and ending it with all it started.

It gets no terminal: its standard error goes nowhere (what a library prints would be written over the screen),
and it stands in a process group of its own.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
from collections.abc import Mapping, Sequence

Process = subprocess.Popen[bytes]


def started(
    argv: Sequence[str], *, reads: bool, tells: bool, environment: Mapping[str, str] | None = None
) -> Process:
    """The program, under way: with a standard input if it `reads`, an output if it `tells`, else null.

    `environment` is all it gets, the process's own where left out. OSError or ValueError if it cannot be
    started.
    """
    return subprocess.Popen(
        list(argv),
        bufsize=0,
        stdin=subprocess.PIPE if reads else subprocess.DEVNULL,
        stdout=subprocess.PIPE if tells else subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment,
        start_new_session=sys.platform != "win32",
        creationflags=_windows_flags(),
    )


def end(process: Process, *, at_once: bool = False) -> None:
    """Asks the program and all it started to end, or makes it end; only while nobody has waited for it."""
    if sys.platform == "win32":
        process.kill()
    else:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL if at_once else signal.SIGTERM)


def _windows_flags() -> int:
    if sys.platform == "win32":
        return subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW
    else:
        return 0
