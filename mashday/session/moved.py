"""Where a day went on that its own file no longer holds: by the note beside that file (`.moved`), or by a
later part of the day in the home folder, which takes what no other folder can keep.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from mashday.session.disk import REAL_IO, beside, opened, write_beside
from mashday.session.faults import JournalFault
from mashday.session.folder import HOME_FOLDER, home_folder, sessions_in
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.text import shell_word

LONGEST_PATH = 4096
_OF_A_DAY = ("started", "boot_id", "schedule")
"""What the header of every file of one day has alike."""


@dataclass(frozen=True, slots=True)
class Moved:
    """Where a day went on; `to` is None where a disk too full for its name left the note empty."""

    to: Path | None

    @property
    def is_there(self) -> bool:
        """True if that file can be found now."""
        return self.to is not None and os.path.isfile(self.to)

    @property
    def meant(self) -> str:
        """It as the word behind a command."""
        if self.to is None:
            return f"FILE, of a folder that could not be noted here; look into {Path('~') / HOME_FOLDER}"
        return shell_word(self.to)

    def __str__(self) -> str:
        """A sentence for the person, with what would do."""
        if self.is_there or self.to is None:
            return f"This day went on in another file. Take it up with: mashday resume {self.meant}"
        return f"This day went on in another file, which is not there now: {self.meant}"


def note_where(path: Path, to: Path) -> None:
    """Notes beside a session file that its day went on in another, as well as that disk still can.

    Of a file in the same folder the name alone, so that the folder may be moved.
    """
    folder = to.parent.resolve()
    there = folder / to.name
    if there == path.parent.resolve() / path.name:
        return
    told = to.name if folder == path.parent.resolve() else str(there)
    with suppress(OSError, JournalFault):
        write_beside(REAL_IO, beside(path, "moved"), f"{told}\n".encode(errors="surrogateescape"), os.O_TRUNC)


def noted(path: Path) -> Moved | None:
    """Where the day of this file went on, by the note beside it; None without one that says of another."""
    with suppress(OSError, JournalFault):
        descriptor = opened(REAL_IO, beside(path, "moved"), os.O_RDONLY)
        try:
            told = os.read(descriptor, LONGEST_PATH).decode(errors="surrogateescape").rstrip("\n")
        finally:
            os.close(descriptor)
        to = path.parent / told
        return None if told and to.absolute() == path.absolute() else Moved(to if told else None)
    return None


def noted_beside(path: Path) -> bool:
    """True if the day of this file went on in another of the same folder, where it is found by itself."""
    to = noted(path)
    return to is not None and to.is_there and to.to is not None and to.to.parent == path.parent


def of_a_file_gone(folder: Path) -> Moved | None:
    """Where the latest day went on whose own file is gone from the folder; None if there is no such note."""
    latest, found = -1, None
    for note in folder.glob("*.toml.moved"):
        with suppress(OSError):
            written = os.lstat(note).st_mtime_ns
            if written > latest and not os.path.lexists(note.with_suffix("")):
                latest, found = written, noted(note.with_suffix("")) or found
    return found


def where(path: Path, recovered: Recovered) -> Moved | None:
    """Where the day of this file, which holds so much, went on; None if nowhere."""
    return noted(path) or _at_home(path, recovered)


def _at_home(path: Path, recovered: Recovered) -> Moved | None:
    """The file of the home folder that holds more of the same day; None if none does."""
    home = home_folder()
    most, found = len(recovered.tables), None
    for other in sessions_in(home) if home is not None else ():
        if other.absolute() == path.absolute():
            continue
        with suppress(JournalFault):
            held = Journal.read(other)
            same = all(held.header.get(key) == recovered.header.get(key) for key in _OF_A_DAY)
            if same and len(held.tables) > most:
                most, found = len(held.tables), Moved(other)
    return found
