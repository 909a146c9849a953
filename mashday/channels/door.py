"""The door: lines from outside, by a FIFO that others write to or from a program run beside the day.

What a line means is not known here. Nothing waits for a line, and whatever stands outside can vanish, flood
or crash without harm to the day.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import shlex
import shutil
import stat
import sys
import threading
from collections import deque
from pathlib import Path

from mashday.channels.child import UNBUFFERED, Child
from mashday.channels.file_lines import FileSource
from mashday.quantities import Unreadable
from mashday.text import cleaned, problem, quoted

FIFO, COMMAND = "fifo:", "command:"
LONGEST_LINE = 400
"""Characters of a line that are kept."""
MOST_WAITING = 20
"""Lines that wait at most: more than these at once is nobody's answer. Judgement."""
LONGEST_WHERE = 400
OURS_ONLY = 0o600
_LIKE = 'write it like "fifo:/tmp/lock-seven" or "command:listener --words"'


class Door:
    """Takes lines from `start` to `close`; nothing here waits, and nothing after construction raises.

    `where` is "fifo:PATH" or "command:WORDS". Without such a beginning it is a FIFO where one stands at that
    path, else a command where its first word is a program, else a FIFO to be made where it is a path with a
    folder in it that exists. A FIFO that is made here is for this person alone and is removed at the end.
    """

    def __init__(self, where: str) -> None:
        """Unreadable where `where` can be neither."""
        fifo, self._argv = _understood(where)
        self._fifo = _Fifo(fifo) if fifo is not None else None
        self._source = FileSource(fifo) if fifo is not None else None
        self._child: Child | None = None
        self._guard = threading.Lock()
        self._waiting: deque[str] = deque()
        self._troubles: deque[str] = deque()
        self._told: set[str] = set()
        self._told_until_a_line: set[str] = set()
        self._closed = False

    def start(self) -> None:
        """Begins to take lines, once; what fails is told as trouble."""
        if self._source is not None and self._fifo is not None:
            for words in self._fifo.open():
                self._trouble(words)
            self._source.start(self._took, self._lost)
        else:
            self._child = Child(self._argv, self._took, self._ended, environment=UNBUFFERED)
            self._child.start()

    @property
    def stays(self) -> str | None:
        """Before the start: that a FIFO like those made here stands there already and will stay, in words.

        None for every other door. One that a day left which was broken off cannot be told from one that a
        person made.
        """
        return self._fifo.stays if self._fifo is not None else None

    def lines(self) -> list[str]:
        """The whole lines that came since the last look, oldest first, clean and none of them empty."""
        with self._guard:
            found = list(self._waiting)
            self._waiting.clear()
        return found

    def trouble(self) -> str | None:
        """What is wrong outside, in words, each once; None when there is nothing more to tell."""
        with self._guard:
            return self._troubles.popleft() if self._troubles else None

    def close(self) -> None:
        """Takes no more lines: the program is ended, a FIFO that was made here is removed."""
        with self._guard:
            self._closed = True
            self._waiting.clear()
        if self._child is not None:
            self._child.stop()
        if self._source is not None:
            self._source.stop()
        if self._fifo is not None:
            self._fifo.close()

    def _took(self, line: str, *, retained: bool = False) -> None:
        text = cleaned(line, LONGEST_LINE)
        if not text:
            return
        with self._guard:
            self._told_until_a_line.clear()
            is_full = len(self._waiting) >= MOST_WAITING
            if not is_full and not self._closed:
                self._waiting.append(text)
        if is_full:
            self._trouble(
                f"Lines come in faster than they can be heeded: all beyond {MOST_WAITING} are dropped"
            )

    def _lost(self, words: str) -> None:
        self._trouble(f"No lines come in. {words}", until_a_line=True)

    def _ended(self, code: int | None, words: str) -> None:
        again = "it is tried again" if code is None else "it is started again"
        self._trouble(f"{quoted(Path(self._argv[0]).name)} {words}; {again}", until_a_line=code != 0)

    def _trouble(self, words: str, *, until_a_line: bool = False) -> None:
        """Tells these words once; `until_a_line` once until a line has come after them."""
        with self._guard:
            told = self._told_until_a_line if until_a_line else self._told
            if words not in told and not self._closed:
                told.add(words)
                self._troubles.append(f"{cleaned(words, LONGEST_LINE)}.")


class _Fifo:
    """A FIFO that is held open, so that a writer who leaves ends nothing, and made if it is not there."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._made: os.stat_result | None = None
        self._held: list[int] = []

    @property
    def stays(self) -> str | None:
        """That it stood there already as if it had been made here, in words; None if it did not."""
        try:
            status = os.lstat(self._path)
        except OSError:
            return None
        if status.st_mode != stat.S_IFIFO | OURS_ONLY or status.st_uid != os.getuid():
            return None
        return (
            f"The FIFO {quoted(str(self._path))} stood there before this day and stays there after it. If a"
            f" day that was broken off left it: rm {cleaned(shlex.quote(str(self._path)), LONGEST_LINE)}"
        )

    def open(self) -> list[str]:
        """Makes it if need be and holds both its ends; what is wrong with it, in words."""
        shown = quoted(str(self._path))
        try:
            if not os.path.lexists(self._path):
                os.mkfifo(self._path, OURS_ONLY)
                self._made = os.stat(self._path)
                atexit.register(self._remove)
            return self._hold(shown)
        except OSError as error:
            return [f"The FIFO {shown} cannot be used: {(error.strerror or 'no reason is known').lower()}"]

    def _hold(self, shown: str) -> list[str]:
        # Reading first: POSIX lets nobody open the writing end without waiting while no reader is there.
        self._held.append(os.open(self._path, os.O_RDONLY | os.O_NONBLOCK))
        status = os.fstat(self._held[0])
        if not stat.S_ISFIFO(status.st_mode):
            return [f"{shown} is no FIFO any more"]
        self._held.append(os.open(self._path, os.O_WRONLY | os.O_NONBLOCK))
        if status.st_uid != os.getuid():
            return [f"The FIFO {shown} belongs to somebody else, who can answer in your place"]
        if status.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
            return [
                f"Others may write to the FIFO {shown} and answer in your place: chmod 600 shuts them out"
            ]
        return []

    def close(self) -> None:
        """Lets go of it, and removes it if it was made here."""
        for descriptor in self._held:
            os.close(descriptor)
        self._held.clear()
        if self._made is not None:
            atexit.unregister(self._remove)
            self._remove()

    def _remove(self) -> None:
        made, self._made = self._made, None
        with contextlib.suppress(OSError):
            if made is not None and os.path.samestat(os.lstat(self._path), made):
                self._path.unlink()


def _understood(where: str) -> tuple[Path | None, tuple[str, ...]]:
    """The path of the FIFO, or None and the words of the command; Unreadable if it can be neither."""
    reason = problem(where, LONGEST_WHERE)
    if reason is not None:
        raise Unreadable(f"where lines come from {reason}", _LIKE)
    text = where.strip()
    if text.startswith(FIFO):
        return _fifo(text.removeprefix(FIFO).strip()), ()
    if text.startswith(COMMAND):
        return None, _words(text.removeprefix(COMMAND))
    path = _path(text)
    if _is_fifo(path):
        return _fifo(text), ()
    with contextlib.suppress(Unreadable):
        words = _words(text)
        if shutil.which(words[0]) is not None:
            return None, words
    if os.path.lexists(path) or (path.name != text and len(text.split()) == 1):
        return _fifo(text), ()
    raise Unreadable(f"{quoted(text)} is neither a FIFO nor a program here", _LIKE)


def _fifo(text: str) -> Path:
    """The path, if a FIFO stands there or can be made."""
    if not hasattr(os, "mkfifo"):
        raise Unreadable("this system has no FIFOs", 'name a program, such as "command:listener --words"')
    if not text:
        raise Unreadable(f"no path stands after {FIFO}", _LIKE)
    path = _path(text)
    shown = quoted(str(path))
    if _is_fifo(path):
        return path
    if os.path.lexists(path):
        raise Unreadable(
            f"{shown} is no FIFO", 'name another path; a file is read by "command:tail -n 0 -F FILE"'
        )
    if not (os.path.isdir(path.parent) and os.access(path.parent, os.W_OK | os.X_OK)):
        raise Unreadable(
            f"no FIFO can be made at {shown}", "name a path in a folder that is there and is yours"
        )
    return path


def _is_fifo(path: Path) -> bool:
    """Whether a FIFO stands there; not if nobody may look."""
    try:
        return stat.S_ISFIFO(os.stat(path).st_mode)
    except OSError:
        return False


def _path(text: str) -> Path:
    with contextlib.suppress(RuntimeError):
        return Path(text).expanduser()
    return Path(text)


def _words(text: str) -> tuple[str, ...]:
    try:
        words = shlex.split(text, posix=sys.platform != "win32")
    except ValueError as error:
        raise Unreadable(f"a quotation mark of {quoted(text)} has no partner", "close it") from error
    if not words:
        raise Unreadable("no program is named", _LIKE)
    return tuple(word.strip('"') if sys.platform == "win32" else word for word in words)
