"""The platform's sound player: signals heard one at a time, the newest first.

Nothing here waits for a sound, and nothing raises: what cannot be heard is told once, in words, by `trouble`.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal

from mashday.channels.tones import ToneFiles, Urgency
from mashday.channels.turns import Turns, Voice, Weight, begun
from mashday.text import cleaned

LONGEST_SOUND_SECONDS = 5.0

LINUX_PLAYERS = ("pw-play", "paplay", "aplay")
REMAINS = "the bell and the words are all there is"


class Player:
    """The platform's sound player: the newest signal cuts off the one before it.

    `command` is "auto", a person's own player that takes a file as its last argument, or None for silence.
    """

    def __init__(
        self,
        command: Sequence[str] | Literal["auto"] | None = "auto",
        *,
        platform: str = sys.platform,
        which: Callable[[str], str | None] = shutil.which,
        longest_seconds: float = LONGEST_SOUND_SECONDS,
    ) -> None:
        self._files = ToneFiles()
        voices, missing = _players(command, platform, which)
        self._turns = Turns(voices, room=1, longest_seconds=longest_seconds, missing=missing, remains=REMAINS)

    def sound(self, urgency: Urgency, strokes: int = 1) -> None:
        """Plays a signal. Never waits, never raises."""
        self._turns.put(lambda: self._files.file(urgency, strokes), weight=Weight.URGENT)

    def trouble(self) -> str | None:
        """Why nothing is heard, in words; once, then None."""
        return self._turns.trouble()

    def close(self) -> None:
        """Ends what plays and removes the files of the signals."""
        self._turns.stop()
        self._files.close()


File = Callable[[], Path]


def _players(
    command: Sequence[str] | Literal["auto"] | None, platform: str, which: Callable[[str], str | None]
) -> tuple[list[Voice[File]], str | None]:
    """The players to try, in their order, and what is missing where there is none."""
    if command is None:
        return [], None
    if command != "auto":
        return [_of_command(command)], None
    if platform == "win32":
        return [Voice("winsound", _by_winsound)], None
    if platform == "darwin":
        found = which("afplay")
        return [_of_command([found])] if found else [], f"no sound player found: afplay; {REMAINS}"
    players = [_of_command([found]) for found in map(which, LINUX_PLAYERS) if found]
    names = f"{', '.join(LINUX_PLAYERS[:-1])} or {LINUX_PLAYERS[-1]}"
    return players, f"no sound player found: {names}; {REMAINS}"


def _of_command(argv: Sequence[str]) -> Voice[File]:
    name = Path(argv[0]).name if argv else ""
    return Voice(name, lambda file: begun([*argv, str(file())]))


def _by_winsound(file: File) -> None:
    """By PlaySound of the standard library, which goes on by itself; the next one cuts it off."""
    if sys.platform == "win32":
        import winsound  # noqa: PLC0415

        try:
            flags = winsound.SND_FILENAME | winsound.SND_ASYNC | winsound.SND_NODEFAULT
            winsound.PlaySound(str(file()), flags)
        except RuntimeError as fault:
            raise OSError(str(fault)) from fault


def notification(text: str) -> str:
    """The escape sequence by which a terminal shows a desktop notification (OSC 9), of harmless text.

    Semicolons become commas: some terminals take what stands before one for a command.
    """
    return f"\x1b]9;{cleaned(text, 200).replace(';', ',')}\x1b\\"
