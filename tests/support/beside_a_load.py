"""A machine busy with other things: processes that never rest, and one that flushes the disk all day."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

BUSY = "while True: pass"
FLUSHING = """
import os, sys
while True:
    with open(sys.argv[1], "wb") as file:
        for _ in range(16):
            file.write(os.urandom(1 << 20))
            file.flush()
            os.fsync(file.fileno())
"""


@contextmanager
def load(busy: int, folder: Path) -> Iterator[None]:
    """So many busy processes, and one that flushes a megabyte after the other to a file in `folder`."""
    started = [subprocess.Popen([sys.executable, "-c", BUSY]) for _ in range(busy)]
    started.append(subprocess.Popen([sys.executable, "-c", FLUSHING, str(folder / "flushed")]))
    try:
        yield
    finally:
        for one in started:
            one.kill()
        for one in started:
            one.wait()
