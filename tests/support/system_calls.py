"""The program under strace(1): which system calls touch some files, and what comes of one that fails."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CALLS = (
    *("openat", "flock", "ftruncate", "write", "fsync", "rename", "mkdir"),
    *("newfstatat", "statfs", "read", "lseek", "getdents64", "close", "unlink"),
)
"""Every call by which the program reaches a file (found by strace without a filter)."""

_CALL = re.compile(r"^\d+ +(\w+)\((.*)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Fault:
    """The `when`-th call of this name that touches the files fails with this error."""

    call: str
    error: str
    when: int


@dataclass(frozen=True, slots=True)
class Made:
    """A call that was made: its name, the how many-th of that name it was, and what it was about."""

    call: str
    when: int
    about: str


@cache
def why_not() -> str | None:
    """Why calls cannot be made to fail here, None if they can."""
    if shutil.which("strace") is None:
        return "strace is missing"
    tried = subprocess.run(
        ["strace", "-f", "-qq", "--seccomp-bpf", "-o", "/dev/null", "-e", "trace=fsync", "true"],
        capture_output=True,
        text=True,
        check=False,
    )
    return None if tried.returncode == 0 else f"strace may not trace here (ptrace): {tried.stderr.strip()}"


def under_strace(
    words: Sequence[str], paths: Iterable[Path], *, fault: Fault | None = None, trace: Path | None = None
) -> list[str]:
    """The command that runs the program with a fault, or writing down every call, on these files alone."""
    calls = fault.call if fault is not None else ",".join(CALLS)
    command = ["strace", "-f", "-qq", "-y", "--seccomp-bpf", "-o", str(trace or "/dev/null")]
    command += ["-e", f"trace={calls}"]
    if fault is not None:
        command += ["-e", f"inject={fault.call}:error={fault.error}:when={fault.when}"]
    for path in paths:
        command += ["-P", str(path)]
    return [*command, sys.executable, *words]


def calls_in(trace: Path) -> tuple[Made, ...]:
    """The calls of a trace, numbered as faults are."""
    counted: dict[str, int] = {}
    found = []
    for call, about in _CALL.findall(trace.read_text(errors="replace")):
        counted[call] = counted.get(call, 0) + 1
        found.append(Made(call, counted[call], about))
    return tuple(found)
