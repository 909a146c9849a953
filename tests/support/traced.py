"""Programs started under strace, which kills them at a call of the kernel or makes a call slow."""

from __future__ import annotations

import os
import shutil
import subprocess

import pytest

_QUIETLY = ("strace", "-f", "-qq", "-o", os.devnull)


def killed_at(call: str, number: int) -> tuple[str, ...]:
    """What starts a program and kills it with -9 as it makes this call for the so-manieth time."""
    return _traced(call, f"signal=KILL:when={number}")


def with_a_slow_flush(seconds: float) -> tuple[str, ...]:
    """What starts a program each of whose flushes takes so long."""
    return _traced("fsync", f"delay_enter={seconds:g}s")


def _traced(call: str, fault: str) -> tuple[str, ...]:
    return (*_QUIETLY, "-e", f"trace={call}", "-e", f"inject={call}:{fault}")


def traced_or_skipped() -> None:
    """Skips the test where nothing can be traced, and says why."""
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed: no call can be chosen for a kill, and none made slow")
    tried = subprocess.run([*_QUIETLY, "true"], capture_output=True, text=True, check=False)
    if tried.returncode != 0:
        pytest.skip(f"strace may not trace here: {tried.stderr.strip()}")
