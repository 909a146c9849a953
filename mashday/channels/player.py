"""Sounds and speech take turns: one at a time, each in a child of its own, the urgent one first.

A child hears its text on its input and nothing else, its output and errors go nowhere (what a sound library
prints would be written over the screen), and it stands in a process group of its own, so that ending it ends
what it started. Nothing here waits for a sound, and nothing raises: what cannot be heard is told once, in
words, by `trouble`.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, Literal, TypeVar

from mashday.channels.tones import ToneFiles, Urgency
from mashday.text import cleaned, quoted

Item = TypeVar("Item")
Child = subprocess.Popen[bytes]

LOOK_SECONDS = 0.03
"""How often a child that runs is looked at."""
GRACE_SECONDS = 0.5
"""How long a child has to end when it is asked to."""
LONGEST_SOUND_SECONDS = 5.0
MOST_TEXT = 2000
"""Characters given to a child: they fit into any pipe, so that nothing waits for a reader."""

LINUX_PLAYERS = ("pw-play", "paplay", "aplay")
REMAINS = "the bell and the words are all there is"


def started(argv: Sequence[str], text: str = "", environment: Mapping[str, str] | None = None) -> Child:
    """A child that was given `text` on its input; OSError or ValueError if it cannot be started."""
    child = subprocess.Popen(
        list(argv),
        stdin=subprocess.PIPE if text else subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment,
        start_new_session=sys.platform != "win32",
        creationflags=_windows_flags(),
    )
    if child.stdin is not None:
        with contextlib.suppress(OSError):
            child.stdin.write(f"{text[:MOST_TEXT]}\n".encode(errors="replace"))
        with contextlib.suppress(OSError):
            child.stdin.close()
    return child


def _windows_flags() -> int:
    if sys.platform == "win32":
        return subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW
    else:
        return 0


def end(child: Child, *, at_once: bool = False) -> None:
    """Asks a child and all it started to end, or makes it end; only for one nobody has waited for yet."""
    if sys.platform == "win32":
        child.kill()
    else:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(child.pid, signal.SIGKILL if at_once else signal.SIGTERM)


def could_not_start(name: str, fault: OSError | ValueError) -> str:
    """Why a command could not be started, in words."""
    if isinstance(fault, FileNotFoundError):
        return f"{quoted(name)} was not found"
    why = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
    return f"{quoted(name)} could not be started: {cleaned(why, 80)}"


@dataclass(frozen=True, slots=True)
class Voice(Generic[Item]):
    """One way to make an item heard: it begins, and gives the child to wait for, or None where it is done."""

    name: str
    begin: Callable[[Item], Child | None]


class Turns(Generic[Item]):
    """Items made heard one after the other in a thread, by the first voice that does not fail.

    At most `room` items wait; when more come, the oldest that is not urgent is dropped. The voice that worked
    last is tried first. With no voice at all nothing is ever heard, and `missing`, if any, is the trouble.
    """

    def __init__(
        self,
        voices: Sequence[Voice[Item]],
        *,
        room: int,
        longest_seconds: float,
        missing: str | None,
        remains: str,
    ) -> None:
        self._voices = list(voices)
        self._room = room
        self._longest = longest_seconds
        self._remains = remains
        self._changed = threading.Condition()
        self._waiting: list[tuple[bool, Item]] = []
        self._child: Child | None = None
        self._cut_at: float | None = None
        self._busy = False
        self._thread: threading.Thread | None = None
        self._trouble = missing if not voices else None
        self._told = False

    def put(self, item: Item, *, urgent: bool = False) -> None:
        """Lets an item wait for its turn; an urgent one cuts off what is heard now and comes next."""
        if not self._voices:
            return
        with self._changed:
            if urgent:
                self._cut()
            self._waiting.insert(0 if urgent else len(self._waiting), (urgent, item))
            while len(self._waiting) > self._room:
                plain = [place for place, (is_urgent, _) in enumerate(self._waiting) if not is_urgent]
                del self._waiting[plain[0] if plain else -1]
            self._start()
            self._changed.notify_all()

    def stop(self) -> None:
        """Silence: cuts off what is heard, and drops what waits."""
        with self._changed:
            self._waiting.clear()
            self._cut()
            self._changed.notify_all()

    @property
    def quiet(self) -> bool:
        """True while nothing is heard and nothing waits."""
        with self._changed:
            return not self._busy and not self._waiting

    def trouble(self) -> str | None:
        """What cannot be heard and why; once, then None."""
        with self._changed:
            told, self._told = self._told, self._told or self._trouble is not None
            return None if told else self._trouble

    def _start(self) -> None:
        if self._thread is not None:
            return
        thread = threading.Thread(target=self._work, name="mashday sounds", daemon=True)
        try:
            thread.start()
        except RuntimeError:
            self._waiting.clear()
            self._note("this machine has no thread left for sounds")
            return
        self._thread = thread

    def _cut(self) -> None:
        if self._busy and self._cut_at is None:
            self._cut_at = time.monotonic()
            if self._child is not None:
                end(self._child)

    def _note(self, why: str) -> None:
        if self._trouble is None:
            self._trouble = f"{why}; {self._remains}"

    def _work(self) -> None:
        while True:
            with self._changed:
                self._busy = False
                while not self._waiting:
                    self._changed.wait()
                _, item = self._waiting.pop(0)
                self._busy, self._cut_at = True, None
            self._turn(item)

    def _turn(self, item: Item) -> None:
        faults = []
        for voice in tuple(self._voices):
            fault = self._heard(voice, item)
            if fault is None:
                self._voices.sort(key=lambda one: one is not voice)
                return
            faults.append(fault)
        with self._changed:
            self._note(", ".join(faults))

    def _heard(self, voice: Voice[Item], item: Item) -> str | None:
        """None once the item was heard or cut off, else why it was not."""
        try:
            child = voice.begin(item)
        except (OSError, ValueError) as fault:
            return could_not_start(voice.name, fault)
        return None if child is None else self._watched(voice, child)

    def _watched(self, voice: Voice[Item], child: Child) -> str | None:
        """Waits for a child; only under the lock, so that no other thread ends a stranger with its number."""
        too_late = time.monotonic() + self._longest
        overdue = False
        with self._changed:
            self._child = child
            if self._cut_at is not None:
                end(child)
            while (code := child.poll()) is None:
                now = time.monotonic()
                overdue = overdue or (self._cut_at is None and now > too_late)
                if overdue or (self._cut_at is not None and now > self._cut_at + GRACE_SECONDS):
                    end(child, at_once=True)
                self._changed.wait(LOOK_SECONDS)
            self._child = None
            if overdue:
                return f"{quoted(voice.name)} did not come to an end"
            if code != 0 and self._cut_at is None:
                return f"{quoted(voice.name)} failed (exit code {code})"
        return None


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
        self._turns.put(lambda: self._files.file(urgency, strokes), urgent=True)

    def play(self, path: Path) -> None:
        """Plays a file. Never waits, never raises."""
        self._turns.put(lambda: path, urgent=True)

    def trouble(self) -> str | None:
        """Why nothing is heard, in words; once, then None."""
        return self._turns.trouble()

    @property
    def quiet(self) -> bool:
        """True while nothing plays."""
        return self._turns.quiet

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
    return Voice(name, lambda file: started([*argv, str(file())]))


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
