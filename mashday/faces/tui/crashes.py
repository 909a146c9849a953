"""Our own faults: written to the crash note, each once, without what the variables held."""

from __future__ import annotations

import faulthandler
import threading
import time
import traceback
from pathlib import Path

from mashday import __version__

STALL_SECONDS, LOOK_SECONDS = 3.0, 0.5
LARGEST_BYTES = 1_000_000
MOST_NOTES = 20


class CrashNote:
    """The file faults are appended to. Without a path nothing is written and faults are raised."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self._noted: set[str] = set()

    def write(self, fault: BaseException) -> None:
        """Appends this fault, unless the same one was noted already. Raises it where there is no file."""
        if self.path is None:
            raise fault
        told = "".join(traceback.format_exception(fault))
        if told in self._noted or len(self._noted) >= MOST_NOTES:
            return
        self._noted.add(told)
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open(_mode(self.path), encoding="utf-8") as file:
                file.write(f"mashday {__version__}\n{told}\n")
        except OSError:
            return


def _mode(path: Path) -> str:
    """How the note is written on: afresh once it has grown too large for anybody to read."""
    return "w" if path.exists() and path.stat().st_size > LARGEST_BYTES else "a"


class Watch(threading.Thread):
    """Looks whether the screen still ticks; writes down where it stands if it does not.

    Goes by a clock that stops while the machine sleeps, so that waking up is no false alarm.
    """

    def __init__(self, path: Path, limit: float = STALL_SECONDS) -> None:
        super().__init__(daemon=True, name="mashday-watch")
        self.beat = time.monotonic()
        self._path = path
        self._limit = limit
        self._stopped = threading.Event()
        self._stalled = False

    def run(self) -> None:
        """Looks until it is stopped."""
        while not self._stopped.wait(LOOK_SECONDS):
            age = time.monotonic() - self.beat
            if age > self._limit and not self._stalled:
                self._write(age)
            self._stalled = age > self._limit

    def _write(self, age: float) -> None:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with self._path.open(_mode(self._path), encoding="utf-8") as file:
                file.write(f"mashday {__version__}\nthe screen stood still for {age:.1f} s, here:\n")
                file.flush()
                faulthandler.dump_traceback(file, all_threads=True)
        except OSError:
            return

    def stop(self) -> None:
        """Ends the looking."""
        self._stopped.set()
