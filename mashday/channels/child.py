"""Another program run beside the day: its lines are taken, and its end, its crash or its flood harm nothing.

It gets no terminal: null on standard input (or a text, or lines as they come) and on standard error, a
process group of its own.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import subprocess
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from typing import IO

from mashday.channels.lines import BREATH_SECONDS, CHUNK, Lines
from mashday.channels.process import Process, end, started

PAUSES_SECONDS = (1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0)
"""How long to wait before starting again after the first, second ... failure in a row. Judgement."""
LIVED_LONG_SECONDS = 60.0
"""A program that ran this long had not failed at once: its failures are counted anew."""
MERCY_SECONDS = 2.0
"""How long a program may take to end after it was asked to."""

UNBUFFERED = {"PYTHONUNBUFFERED": "1"}
"""For a program that is heeded line by line: a script that keeps its lines back until it has 8 KiB of them
would seem silent."""

OnEnd = Callable[[int | None, str], None]
"""The exit code (less than nothing: by that signal; None: it could not be started) and words for it."""


class Child:
    """A program, started again whenever it ends.

    All work is done in threads of its own, and both callbacks are called from there. A program that ended
    well after at least one line is started again after the shortest pause: it is one that tells a value
    and leaves. What it wrote last without a line end counts only if it ended well.
    """

    def __init__(
        self,
        argv: Sequence[str],
        on_line: Callable[[str], None],
        on_end: OnEnd,
        *,
        text: str | None = None,
        takes_lines: bool = False,
        again: bool = True,
        environment: Mapping[str, str] | None = None,
    ) -> None:
        """`text` is what it finds on standard input; one that `takes_lines` finds there what `tell` is given.

        `environment` is added to the process's own.
        """
        self._argv = list(argv)
        self._on_line = on_line
        self._on_end = on_end
        self._text = text
        self._takes_lines = takes_lines
        self._again = again
        self._environment = environment
        self._process: Process | None = None
        self._stopping = threading.Event()
        self._lines = 0
        self._noise = 0

    @property
    def noise(self) -> int:
        """How many lines were thrown away as too long or too many."""
        return self._noise

    def start(self) -> None:
        """Start it, once. Returns at once; what fails is told by the callback."""
        atexit.register(self._at_exit)
        threading.Thread(target=self._run, name="child", daemon=True).start()

    def tell(self, line: str) -> bool:
        """Give it a line, at once; False where it does not run or reads nothing any more."""
        process = self._process
        if not self._takes_lines or process is None or process.stdin is None or process.poll() is not None:
            return False
        try:
            data = f"{line}\n".encode("utf-8", "replace")
            return process.stdin.write(data) == len(data)
        except (OSError, ValueError):
            return False

    def again(self) -> None:
        """End it, to be started again after a pause unless it was stopped. Returns at once."""
        process = self._process
        if process is not None:
            threading.Thread(
                target=_end, args=(process, MERCY_SECONDS), name="child's end", daemon=True
            ).start()

    def stop(self) -> None:
        """End it for good. Returns at once: it is asked to end, and killed if it does not."""
        self._stopping.set()
        self.again()

    def _run(self) -> None:
        failures = 0
        while not self._stopping.is_set():
            began = time.monotonic()
            self._lines = 0
            code, words = self._once()
            if self._stopping.is_set():
                break
            self._on_end(code, words)
            if not self._again:
                break
            well = code == 0 and self._lines > 0
            if well or time.monotonic() - began > LIVED_LONG_SECONDS:
                failures = 0
            failures += not well
            self._stopping.wait(PAUSES_SECONDS[min(max(failures - 1, 0), len(PAUSES_SECONDS) - 1)])
        atexit.unregister(self._at_exit)

    def _once(self) -> tuple[int | None, str]:
        try:
            more = self._environment
            environment = None if more is None else {**os.environ, **more}
            reads = self._takes_lines or self._text is not None
            process = started(self._argv, reads=reads, tells=True, environment=environment)
            if self._takes_lines and process.stdin is not None and hasattr(os, "set_blocking"):
                os.set_blocking(process.stdin.fileno(), False)
        except FileNotFoundError:
            return None, "cannot be started: there is no such program"
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else None
            return None, f"cannot be started: {(reason or 'its name or a word is not allowed').lower()}"
        self._process = process
        if self._stopping.is_set():
            _end(process, MERCY_SECONDS)
        if process.stdin is not None and not self._takes_lines:
            words = (self._text or "").encode("utf-8", "replace")
            threading.Thread(
                target=_write, args=(process.stdin, words), name="child's text", daemon=True
            ).start()
        lines = Lines(self._took)
        assert process.stdout is not None
        _read_all(process.stdout, lines, self._noted)
        try:
            code = process.wait(MERCY_SECONDS)
        except subprocess.TimeoutExpired:
            _end(process, MERCY_SECONDS)
            code = process.wait()
        if process.stdin is not None and self._takes_lines:
            with contextlib.suppress(OSError):
                process.stdin.close()
        rest = lines.end()
        if rest and code == 0:
            self._took(rest)
        return code, _words_of(code)

    def _took(self, line: str) -> None:
        if not self._stopping.is_set():
            self._lines += 1
            self._on_line(line)

    def _noted(self, noise: int) -> None:
        self._noise += noise

    def _at_exit(self) -> None:
        self._stopping.set()
        if self._process is not None and self._process.poll() is None:
            _end(self._process, MERCY_SECONDS / 10.0)


def _read_all(stream: IO[bytes], lines: Lines, noted: Callable[[int], None]) -> None:
    with stream:
        while data := stream.read(CHUNK):
            before = lines.noise
            if lines.feed(data):
                noted(lines.noise - before)
                time.sleep(BREATH_SECONDS)


def _write(stream: IO[bytes], words: bytes) -> None:
    try:
        with stream:
            stream.write(words)
    except OSError:
        return


def _words_of(code: int) -> str:
    if code == 0:
        return "ended"
    return f"ended with code {code}" if code > 0 else f"was ended by signal {-code}"


def _end(process: Process, mercy_seconds: float) -> None:
    """Ask the program and those it started to end; kill what is left of them after a while."""
    end(process)
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(mercy_seconds)
    end(process, at_once=True)
