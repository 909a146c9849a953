"""Days in processes of their own, in plain lines and on the full screen: told, heard, killed, resumed."""

from __future__ import annotations

import os
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from days import BARLEY
from real_terminal import RealTerminal

from mashday.engine.state import State
from mashday.session.session import look

TO_THE_REST = ("start", "tick", "tick", "done", "temp 69.0", "done", "done")
PATIENCE_SECONDS = 30.0
COLUMNS, ROWS = 100, 30
FACES = ("plain lines", "the full screen")
CALLS = re.compile(r"^CALL ", re.MULTILINE)
EXECUTE = "import os, sys; os.execvp(sys.argv[1], sys.argv[1:])"
LEFT = re.compile(r"(?:(\d+):)?(\d+):(\d\d) left of rest")


def elapsed() -> float:
    """Seconds on the clock that goes on while the machine sleeps."""
    return time.clock_gettime(getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC))


def single_spaced(text: str) -> str:
    """The text with every run of blanks and line ends as one blank."""
    return " ".join(text.split())


def _seconds(found: re.Match[str]) -> float:
    return 3600.0 * int(found[1] or 0) + 60.0 * int(found[2]) + int(found[3])


class Killable:
    """A day in plain lines. `before` is a program that starts it, with its own words."""

    def __init__(
        self,
        *words: str,
        state: Path,
        before: Sequence[str] = (),
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self.told = ""
        self.heard_at = self.begun_at = elapsed()
        """When something was told last, and when the process was started, by `elapsed`."""
        self._seen = 0
        self.child = subprocess.Popen(
            [*before, sys.executable, "-m", "mashday", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env={**os.environ, "XDG_STATE_HOME": str(state), **(environment or {})},
        )
        self.pid = self.child.pid
        """The process, or what started it."""

    @property
    def fd(self) -> int:
        """The descriptor by which it tells."""
        return self.streams[1]

    @property
    def streams(self) -> tuple[int, int]:
        """The descriptors by which it is told something, and by which it tells."""
        assert self.child.stdin is not None
        assert self.child.stdout is not None
        return self.child.stdin.fileno(), self.child.stdout.fileno()

    def say(self, *lines: str) -> None:
        """Tells it lines."""
        os.write(self.streams[0], "".join(f"{line}\n" for line in lines).encode())

    def hear(self, seconds: float) -> bool:
        """Takes in what is told within so many seconds; false at the end of it."""
        if not select.select([self.streams[1]], [], [], seconds)[0]:
            return True
        more = os.read(self.streams[1], 65536).decode(errors="replace")
        self.heard_at = elapsed()
        self.told += more
        return bool(more)

    def tells(self, text: str) -> None:
        """Waits until this is told."""
        self.until(re.escape(text))

    def called(self) -> int:
        """How many calls it has told so far."""
        return len(CALLS.findall(self.told))

    def until(self, pattern: str) -> re.Match[str]:
        """What is told next that fits; what was told before it is not looked at again."""
        ends = time.monotonic() + PATIENCE_SECONDS
        while (found := re.compile(pattern).search(self.told, self._seen)) is None:
            goes_on = self.hear(0.1)
            assert goes_on and time.monotonic() < ends, f"never: {pattern}\n{self.told[-800:]}"
        self._seen = found.end()
        return found

    def seconds_left(self) -> float:
        """What the day says is left of the rest, to the second begun."""
        self.say("left")
        return _seconds(self.until(LEFT.pattern))

    def kill(self) -> None:
        """Kills it with -9, and takes in what it had told by then."""
        self.child.kill()
        assert self.child.wait(timeout=PATIENCE_SECONDS) == -signal.SIGKILL
        while self.hear(0.0) and select.select([self.streams[1]], [], [], 0)[0]:
            pass
        self.close()

    def end(self) -> None:
        """Kills it if it still runs."""
        if self.child.poll() is None:
            self.child.kill()
            self.child.wait(timeout=PATIENCE_SECONDS)
        self.close()

    def close(self) -> None:
        """Lets go of its streams."""
        for stream in (self.child.stdin, self.child.stdout):
            assert stream is not None
            try:
                stream.close()
            except BrokenPipeError:
                continue


class OnScreen:
    """A day on the full screen in a terminal of its own."""

    def __init__(
        self,
        *words: str,
        folder: Path,
        state: Path,
        before: Sequence[str] = (),
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self.heard_at = self.begun_at = elapsed()
        program = ["-m", "mashday", *words]
        if before:
            program = ["-c", EXECUTE, *before, sys.executable, *program]
        self.terminal = RealTerminal(
            program,
            folder,
            columns=COLUMNS,
            rows=ROWS,
            environment={"XDG_STATE_HOME": str(state), **(environment or {})},
        )
        self.pid = self.terminal.pid
        """The process, or what started it."""

    @property
    def fd(self) -> int:
        """The descriptor by which it shows."""
        return self.terminal.fd

    @property
    def told(self) -> str:
        """What stands on the screen, in single blanks."""
        return single_spaced(self.terminal.picture.text)

    def say(self, line: str) -> None:
        """Opens the line for words, puts this one in and takes it. Two keys, so that it is no burst."""
        self.terminal.type(f":\x1b[200~{line}\x1b[201~\r")

    def until(self, *texts: str) -> None:
        """Waits until all of these stand on the screen, in single blanks."""
        wanted = [single_spaced(text) for text in texts]
        self.terminal.until(lambda: all(text in self.told for text in wanted), " and ".join(wanted))

    def tells(self, text: str) -> None:
        """Waits until this stands on the screen."""
        self.until(text)

    def called(self) -> int:
        """1 while a call stands on the screen, else 0."""
        return int(" CALL " in self.terminal.picture.text)

    def hear(self, seconds: float) -> bool:
        """Takes in what is shown within so many seconds; false at the end of it."""
        if not select.select([self.terminal.fd], [], [], seconds)[0]:
            return True
        self.heard_at = elapsed()
        return self.terminal.read(0.0)

    def seconds_left(self) -> float:
        """What the screen says is left of the rest, to the second begun."""
        self.say("left")
        self.terminal.until(lambda: LEFT.search(self.told), "what is left")
        found = LEFT.search(self.told)
        assert found is not None
        return _seconds(found)

    def kill(self) -> None:
        """Kills it with -9, and takes in what it had shown by then."""
        os.kill(self.pid, signal.SIGKILL)
        while self.terminal.read(0.05):
            pass
        assert self.terminal.exit_code() == -signal.SIGKILL
        self.terminal.close()

    def end(self) -> None:
        """Kills it if it still runs, and closes the terminal."""
        self.terminal.close()


Face = Killable | OnScreen


def calls_heard(days: Mapping[str, Face], seconds: float) -> dict[str, float]:
    """When each of these days was first heard to call, by `elapsed`, within so many seconds."""
    found = {name: day.heard_at for name, day in days.items() if day.called()}
    ends = time.monotonic() + seconds
    while len(found) < len(days) and time.monotonic() < ends:
        waiting = {day.fd: name for name, day in days.items() if name not in found}
        for fd in select.select(list(waiting), [], [], 0.1)[0]:
            name = waiting[fd]
            assert days[name].hear(0.0), days[name].told
            if days[name].called():
                found[name] = days[name].heard_at
    return found


class Shed:
    """A folder of sessions, the schedule of the day, and every process begun there."""

    def __init__(self, folder: Path, schedule: str = BARLEY) -> None:
        self.folder = folder / "sessions"
        self.schedule = folder / "schedule.toml"
        self.schedule.write_text(schedule, encoding="utf-8")
        self.begun: list[Face] = []

    def run(
        self, *more: str, before: Sequence[str] = (), environment: Mapping[str, str] | None = None
    ) -> Killable:
        """A new day in plain lines."""
        return self.plain("run", str(self.schedule), *more, before=before, environment=environment)

    def resume(
        self, *more: str, before: Sequence[str] = (), environment: Mapping[str, str] | None = None
    ) -> Killable:
        """The one day of the folder taken up again in plain lines."""
        return self.plain("resume", self.file.stem, *more, before=before, environment=environment)

    def begin(self, face: str, **options: Any) -> Face:
        """A new day on one of the `FACES`."""
        return self._on(face, "run", str(self.schedule), **options)

    def again(self, face: str, path: Path | None = None, **options: Any) -> Face:
        """The day in this file (left out: the one in the folder) taken up again on one of the `FACES`."""
        return self._on(face, "resume", (path or self.file).stem, **options)

    def _on(self, face: str, *words: str, **options: Any) -> Face:
        return self.plain(*words, **options) if face == FACES[0] else self.on_screen(*words, **options)

    def plain(
        self, *words: str, before: Sequence[str] = (), environment: Mapping[str, str] | None = None
    ) -> Killable:
        """The program in plain lines."""
        day = Killable(
            *(*words, "--plain", "--sessions", str(self.folder)),
            state=self._state,
            before=before,
            environment=environment,
        )
        self.begun.append(day)
        return day

    def on_screen(
        self, *words: str, before: Sequence[str] = (), environment: Mapping[str, str] | None = None
    ) -> OnScreen:
        """The program on the full screen."""
        day = OnScreen(
            *(*words, "--sessions", str(self.folder)),
            folder=self.folder.parent,
            state=self._state,
            before=before,
            environment=environment,
        )
        self.begun.append(day)
        return day

    def ended(self) -> None:
        """Ends every process that was begun here."""
        for one in self.begun:
            one.end()

    @property
    def _state(self) -> Path:
        return self.folder.with_name("state")

    @property
    def file(self) -> Path:
        """The one session file."""
        (path,) = self.folder.glob("*.toml")
        return path

    def state(self) -> State:
        """The day as its file has it; it must not be damaged."""
        _, state, recovered = look(self.file)
        assert recovered.damage is None
        return state


@contextmanager
def sheds_in(folder: Path, schedule: str) -> Iterator[Callable[..., Shed]]:
    """Makes sheds in the folder, for this schedule or another; ends what still runs in them."""
    made: list[Shed] = []

    def fresh(other: str = schedule) -> Shed:
        own = folder / f"shed {len(made)}"
        own.mkdir()
        made.append(Shed(own, other))
        return made[-1]

    try:
        yield fresh
    finally:
        for one in made:
            one.ended()
