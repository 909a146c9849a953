"""The folder of the session files: where it is, what lies in it, which file a name means."""

from __future__ import annotations

import os
import re
import stat
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path

import platformdirs

from mashday.session.disk import beside
from mashday.session.faults import shown
from mashday.text import cleaned, nearest, quoted, shell_word

HOME_FOLDER = "mashday"
"""The folder of the home folder that keeps days which their own folder cannot keep."""

_SESSION_NAME = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})-[a-z0-9-]+\.toml")
_STARTED_LINE = re.compile(rb"^started = (.+)$", re.MULTILINE)
_STARTED_WITHIN_BYTES = 4096
"""How far into a session file it says when its day was started: before its schedule, which is long."""


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


def in_folder(folder: Path) -> str:
    """The option a command needs to look into this folder, to stand behind it; "" for the one it looks into
    anyway."""
    usual = None
    with suppress(NoSession):
        usual = sessions_folder(None)
    if usual is not None and os.path.realpath(usual) == os.path.realpath(folder):
        return ""
    return f" --sessions {shell_word(folder)}"


def named(path: Path) -> str:
    """A session file as the words behind a command that takes one."""
    if _day_named(path) is None:
        return shell_word(path)
    return f"{cleaned(path.stem, 300)}{in_folder(path.parent)}"


def home_folder() -> Path | None:
    """The folder of the home folder for days which their own cannot keep; None where there is no home."""
    with suppress(RuntimeError):
        return Path.home() / HOME_FOLDER
    return None


def spare_folders() -> Iterator[Path]:
    """Where a day can go that its own folder cannot keep: the home folder, then one for passing files."""
    if (home := home_folder()) is not None:
        yield home
    with suppress(OSError):
        yield Path(tempfile.mkdtemp(prefix="mashday-"))


def may_be_emptied(folder: Path) -> bool:
    """True for a folder within the one for passing files, which a restart of the machine may empty."""
    return Path(tempfile.gettempdir()) in folder.parents


def sessions_in(folder: Path) -> tuple[Path, ...]:
    """The session files of a folder, the latest first: by the day in the name, then by when it was started,
    then by the last writing. A name without a day of the calendar is no session's."""
    found = []
    for path in folder.glob("*.toml"):
        day = _day_named(path)
        with suppress(OSError):
            state = os.lstat(path)
            begun = state.st_size or os.path.lexists(beside(path, "bak"))
            if day is not None and stat.S_ISREG(state.st_mode) and begun:
                started = _started(path)
                found.append((day, state.st_mtime if started is None else started, state.st_mtime_ns, path))
    return tuple(path for *_, path in sorted(found, reverse=True))


def _day_named(path: Path) -> date | None:
    """The day in the name of a session file; None for another name."""
    named = _SESSION_NAME.fullmatch(path.name)
    with suppress(ValueError):
        return None if named is None else date.fromisoformat(named[1])
    return None


def _started(path: Path) -> float | None:
    """When the day of a session file was started, seconds since the epoch, by a glance; None if not told."""
    with suppress(OSError, ValueError, OverflowError):
        with path.open("rb") as file:
            line = _STARTED_LINE.search(file.read(_STARTED_WITHIN_BYTES))
        return None if line is None else datetime.fromisoformat(line[1].decode("ascii")).timestamp()
    return None


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
