"""A program that keeps a day as fast as it can and tells each thing once it is saved, until it is killed.

acknowledging.py FILE_OR_FOLDER PAUSE [flush | folder-flush]

It tells `note N`, `copied N` (the copy beside the file is made, it holds so many notes) and `whole PATH`
(the whole day was written there, and goes on there); after these two it pauses for so many seconds. What is
named last is left out, every flush or that of the folder: such a writer has to be caught.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from mashday.engine import intents
from mashday.session.clock import SystemClock
from mashday.session.disk import Disk
from mashday.session.session import begin, resume

COPIED_EVERY, WHOLE_EVERY = 11, 39
MANY_STEPS = """
format = 1
name = "Lock Seven many steps"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
""" + "".join(f'[[step]]\nkind = "do"\ntext = "turn the sluice {n}"\n' for n in range(60))


def main(place: Path, pause_seconds: float, left_out: str) -> None:
    """Keeps the day until the process ends."""
    if left_out == "flush":
        Disk.fsync = lambda self, descriptor: None  # type: ignore[method-assign]
    if left_out in ("flush", "folder-flush"):
        Disk.fsync_folder = lambda self, folder: None  # type: ignore[method-assign]
    clock = SystemClock()
    session = begin(MANY_STEPS, clock, folder=place) if place.is_dir() else resume(place, clock)
    folder = place if place.is_dir() else place.parent

    def done(intent: intents.Intent) -> None:
        outcome = session.send(intent)
        assert outcome.entries, outcome
        assert session.not_saved is None, session.not_saved

    if session.state.phase == "idle":
        done(intents.Start())
    number = len(session.state.notes)
    while True:
        done(intents.WriteNote(f"note {number}"))
        _tell(f"note {number}")
        number += 1
        if number % COPIED_EVERY == 0:
            done(intents.Done(sure=True))
            _tell(f"copied {number}")
            time.sleep(pause_seconds)
            done(intents.Undo())
        if number % WHOLE_EVERY == 0:
            _tell(f"whole {session.save_whole(folder)}")
            time.sleep(pause_seconds)


def _tell(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(Path(sys.argv[1]), float(sys.argv[2]), "".join(sys.argv[3:]))
