"""Speech: lines said aloud by a speech command of the machine or of the person's own, or kept in a file.

The text goes to the command's input, never among its arguments, where "-5 degrees" would be an option.
espeak-ng ends with exit code 0 even where no sound device is: that nothing is wrong here does not prove that
anything was heard, and whoever sets it up has to ask the person.
"""

from __future__ import annotations

import errno
import math
import os
import shlex
import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from mashday.channels.process import Process
from mashday.channels.turns import Turns, Voice, Weight, begun
from mashday.text import cleaned

ROOM = 3
"""Announcements that wait at most: what is older than the third is no news any more."""
FILE_ROOM = 1000
"""A file hears faster than people talk."""
LONGEST_SECONDS = 60.0
FILE = "file:"
REMAINS = "nothing is said aloud"

_BY_SPEECH = (
    "Add-Type -AssemblyName System.Speech;"
    " (New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak([Console]::In.ReadToEnd())"
)
_LINUX = (("espeak-ng", "-v", "en", "--stdin"), ("spd-say", "--wait", "--pipe-mode"))
_MACOS = (("say", "-f", "-"),)
_WINDOWS = (("powershell", "-NoProfile", "-NonInteractive", "-Command", _BY_SPEECH),)


class Speaker:
    """Says lines one after the other in a thread; at most three announcements wait, an urgent one cuts in.

    `command` is a command line, its parts, "auto" for the machine's own, "file:PATH" to append each line to a
    file, or None for silence.
    """

    def __init__(
        self,
        command: Sequence[str] | str | None,
        *,
        platform: str = sys.platform,
        which: Callable[[str], str | None] = shutil.which,
        longest_seconds: float = LONGEST_SECONDS,
    ) -> None:
        self._is_file = isinstance(command, str) and command.startswith(FILE)
        voices, missing = _voices(command, platform, which)
        self._turns = Turns(
            voices,
            room=FILE_ROOM if self._is_file else ROOM,
            longest_seconds=longest_seconds,
            missing=missing,
            remains=REMAINS,
        )

    def say(self, *lines: str, urgent: bool = False, begins: bool = False) -> None:
        """Says lines that belong together when their turn comes, urgent ones now. Never waits, never raises.

        Lines that begin a step take the place of those of the step before; single lines make room for them.
        """
        weight = Weight.URGENT if urgent else Weight.LASTING if begins else Weight.PASSING
        self._turns.put(*(line for line in map(cleaned, lines) if line), weight=weight)

    def stop(self) -> None:
        """Silence now: what is being said is cut off, what waits is dropped."""
        self._turns.stop()

    def trouble(self) -> str | None:
        """Why nothing is said, in words; once, then None."""
        return self._turns.trouble()

    @property
    def audible(self) -> bool:
        """True while an ear can hear what is said, as far as is known: no file, a command, and it works."""
        return not self._is_file and self._turns.works

    @property
    def lost(self) -> int:
        """How often a line was not said to its end: cut off, dropped or failed."""
        return self._turns.lost

    @property
    def quiet_seconds(self) -> float:
        """For how long nothing has been said aloud, 0 while something is or waits; s.

        Infinite before the first line, and of a file: no microphone hears that.
        """
        return math.inf if self._is_file else self._turns.quiet_seconds


def _voices(
    command: Sequence[str] | str | None, platform: str, which: Callable[[str], str | None]
) -> tuple[list[Voice[str]], str | None]:
    """The voices to try, in their order, and what is missing where there is none."""
    if command is None:
        return [], None
    if command == "auto":
        known = {"win32": _WINDOWS, "darwin": _MACOS}.get(platform, _LINUX)
        found = [(which(argv[0]), argv) for argv in known]
        names = " or ".join(argv[0] for argv in known)
        voices = [_of_command((path, *argv[1:])) for path, argv in found if path is not None]
        return voices, f"no speech command found: {names}; {REMAINS}"
    if not isinstance(command, str):
        return [_of_command(command)] if command else [], f"the speech command is empty; {REMAINS}"
    if command.startswith(FILE):
        return [_of_file(command.removeprefix(FILE))], None
    try:
        argv = shlex.split(command, posix=platform != "win32")
    except ValueError:
        return [], f"the speech command has an open quotation mark; {REMAINS}"
    return [_of_command(argv)] if argv else [], f"the speech command is empty; {REMAINS}"


def _of_command(argv: Sequence[str]) -> Voice[str]:
    def begin(text: str) -> Process:
        return begun(argv, text)

    return Voice(Path(argv[0]).name, begin)


def _of_file(path: str) -> Voice[str]:
    def begin(text: str) -> None:
        where = Path(path).expanduser()
        with open(where, "a", encoding="utf-8", errors="replace", opener=_opened) as file:
            file.write(f"{text}\n")

    return Voice(path, begin)


def _opened(path: str, flags: int) -> int:
    """The file, open at once or not at all: a FIFO without a reader would hold all later lines up, unsaid."""
    try:
        return os.open(path, flags | getattr(os, "O_NONBLOCK", 0), 0o666)
    except OSError as error:
        if error.errno == errno.ENXIO:
            raise OSError(errno.ENXIO, "nobody reads this FIFO") from error
        raise
