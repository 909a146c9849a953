"""The folder of the session files: where it is, what lies in it, which file a name means."""

from __future__ import annotations

import os
import re
import stat
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import platformdirs

from mashday.session.disk import REAL_IO, beside, opened, write_beside
from mashday.session.faults import JournalFault, shown
from mashday.text import cleaned, nearest, quoted

LONGEST_PATH = 4096
HOME_FOLDER = "mashday"
"""The folder of the home folder that keeps days which their own folder cannot keep."""

_SESSION_NAME = re.compile(r"(\d{4}-\d{2}-\d{2})-[a-z0-9-]+\.toml")


class NoSession(LookupError):
    """No session, or more than one, answers to a name; the text is a sentence for the person."""


def sessions_folder(override: str | None) -> Path:
    """The folder of the session files: the option, else MASHDAY_SESSIONS, else the user's data folder."""
    chosen = override or os.environ.get("MASHDAY_SESSIONS")
    if chosen:
        try:
            return Path(chosen).expanduser()
        except RuntimeError as fault:
            raise NoSession(
                f"{quoted(chosen)}: {fault} Name the sessions folder by its whole path."
            ) from fault
    return Path(platformdirs.user_data_dir("mashday", appauthor=False)) / "sessions"


def went_on(path: Path, to: Path) -> None:
    """Notes beside a session file that its day went on in another, as well as that disk still can."""
    note = beside(path, "moved")
    with suppress(OSError, JournalFault):
        write_beside(REAL_IO, note, f"{to.resolve()}\n".encode("utf-8", errors="replace"), os.O_TRUNC)


def where_it_went_on(path: Path) -> str | None:
    """The file in which the day of this one went on, to be shown; None if it did not.

    A disk too full for its name leaves the note empty: then the folders are named where it may be.
    """
    with suppress(OSError, JournalFault):
        descriptor = opened(REAL_IO, beside(path, "moved"), os.O_RDONLY)
        try:
            told = cleaned(os.read(descriptor, LONGEST_PATH).decode("utf-8", errors="replace"), LONGEST_PATH)
        finally:
            os.close(descriptor)
        return told or f"FILE, of a folder that could not be noted here; look into {Path('~') / HOME_FOLDER}"
    return None


def gone_but_noted(folder: Path) -> str | None:
    """Where the latest day went on whose own file is gone from the folder; None if there is no such note."""
    notes = [path for path in folder.glob("*.toml.moved") if not os.path.lexists(path.with_suffix(""))]
    latest = max(notes, key=lambda path: path.stat().st_mtime_ns, default=None)
    return None if latest is None else where_it_went_on(latest.with_suffix(""))


def went_on_beside(path: Path) -> bool:
    """True if the day of this file went on in another of the same folder, where it is found by itself."""
    to = where_it_went_on(path)
    return to is not None and str(path.parent.resolve() / Path(to).name) == to


def spare_folders() -> Iterator[Path]:
    """Where a day can go that its own folder cannot keep: the home folder, then one for passing files."""
    with suppress(RuntimeError):
        yield Path.home() / HOME_FOLDER
    with suppress(OSError):
        yield Path(tempfile.mkdtemp(prefix="mashday-"))


def may_be_emptied(folder: Path) -> bool:
    """True for a folder within the one for passing files, which a restart of the machine may empty."""
    return Path(tempfile.gettempdir()) in folder.parents


def sessions_in(folder: Path) -> tuple[Path, ...]:
    """The session files of a folder, the latest first: by the day in the name, then the last writing."""
    found = []
    for path in folder.glob("*.toml"):
        named = _SESSION_NAME.fullmatch(path.name)
        with suppress(OSError):
            state = os.lstat(path)
            begun = state.st_size or os.path.lexists(beside(path, "bak"))
            if named and stat.S_ISREG(state.st_mode) and begun:
                found.append((named[1], state.st_mtime_ns, path))
    return tuple(path for *_, path in sorted(found, reverse=True))


def find_session(folder: Path, name: str | None) -> Path:
    """The session file meant: a path, a name or its beginning, or (None) the latest.

    NoSession if there is none, or if a beginning fits several.
    """
    known = sessions_in(folder)
    if name is None:
        if not known:
            raise NoSession(f"There is no session in {shown(folder)}.")
        return known[0]
    if os.path.isfile(name):
        return Path(name)
    exact = [path for path in known if name in (path.stem, path.name)]
    fitting = exact or [path for path in known if path.name.startswith(name)]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        several = ", ".join(path.stem for path in fitting[:6])
        more = f" and {len(fitting) - 6} more" if len(fitting) > 6 else ""
        raise NoSession(f"{quoted(name)} fits several sessions: {several}{more}. Give more of the name.")
    near = nearest(name, [path.stem for path in known])
    if near is not None:
        raise NoSession(f"No session is called {quoted(name)}. Is {near} meant?")
    latest = f" The latest is {known[0].stem}." if known else ""
    raise NoSession(f"No session in {shown(folder)} is called {quoted(name)}.{latest}")
