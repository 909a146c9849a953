"""Rubbish at every door, by number: `case(area, number, folder)` does the same each time.

An area makes an input from a seeded source of chance and meets the product with it. What must hold is
asserted where it is met; here it is held besides that no case takes long, that nothing is written, run or
connected to beside its own folder, and that whoever sees a failure can repeat it.
"""

from __future__ import annotations

import os
import resource
import signal
import sys
import tempfile
import time
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

from mashday.text import UNSEEN_CATEGORIES

LONGEST_SECONDS = 20
"""A case that takes longer is taken for one that never ends."""
MOST_GROWN_BYTES = 256 * 2**20
"""How much larger the program may have grown at its largest by thousands of cases."""
LONGEST_SHOWN = 4000
"""Characters of an input that a failure shows."""
FORBIDDEN = "outside-marker"
"""Stands in every path that an input names: nothing may open it."""

Outcome = str
"""What became of an input in a word or two: "refused", "accepted", ..."""


class Hang(BaseException):
    """A case that took longer than `LONGEST_SECONDS`."""


class Failed(AssertionError):
    """A case that did not hold, with all that is needed to repeat it."""

    def __init__(self, area: str, number: int, found: object, why: BaseException) -> None:
        told = f"{type(why).__name__}: {why}"[:LONGEST_SHOWN]
        super().__init__(f"fuzz_all.again({area!r}, {number}): {told}\ninput: {repr(found)[:LONGEST_SHOWN]}")


@dataclass(frozen=True, slots=True)
class Area:
    """One door: `made` makes an input, `met` brings it to the product and says what became of it.

    `deep` are the outcomes of inputs that were let in, and `least` the least share of them, so that a run is
    not all refusals.
    """

    name: str
    made: Callable[[Random], Any]
    met: Callable[[Any, Path], Outcome]
    deep: frozenset[Outcome]
    least: float

    def input_of(self, number: int) -> Any:
        """The input of the case of this number."""
        return self.made(Random(f"{self.name} {number}"))


@dataclass(slots=True)
class Tally:
    """What many cases came to."""

    outcomes: Counter[Outcome] = field(default_factory=Counter)
    slowest_seconds: float = 0.0
    slowest: int = 0
    grown_bytes: int = 0

    @property
    def cases(self) -> int:
        """How many there were."""
        return self.outcomes.total()

    def share(self, outcomes: Iterable[Outcome]) -> float:
        """The share of the cases that came to one of these."""
        return sum(self.outcomes[one] for one in outcomes) / max(1, self.cases)

    def told(self) -> str:
        """In a line: the slowest case, how much the memory grew, the outcomes in percent."""
        shares = (f"{name} {100 * n / max(1, self.cases):.0f} %" for name, n in self.outcomes.most_common())
        slowest = f"slowest {1000 * self.slowest_seconds:.0f} ms (number {self.slowest})"
        return f"{slowest}, +{self.grown_bytes / 2**20:.0f} MiB; {', '.join(shares)}"


def case(area: Area, number: int, folder: Path) -> Outcome:
    """Does one case in this folder. Failed, with the input, if something does not hold."""
    found = area.input_of(number)
    try:
        with bounded():
            return area.met(found, folder)
    except (Exception, Hang, SystemExit) as why:
        raise Failed(area.name, number, found, why) from why


def run(area: Area, numbers: Iterable[int], folder: Path) -> Tally:
    """Does these cases; what each leaves in the folder is its own business."""
    tally = Tally()
    with at_home(folder), confined(folder) as trespasses:
        wanted = list(numbers)
        case(area, wanted[0], folder)
        before = _peak_bytes()
        for number in wanted:
            began = time.perf_counter()
            tally.outcomes[case(area, number, folder)] += 1
            took = time.perf_counter() - began
            if took > tally.slowest_seconds:
                tally.slowest_seconds, tally.slowest = took, number
            assert not trespasses, f"fuzz_all.again({area.name!r}, {number}): {trespasses}"
    tally.grown_bytes = _peak_bytes() - before
    return tally


@contextmanager
def at_home(folder: Path) -> Iterator[None]:
    """Makes the folder the home, the place of passing files and where the program stands."""
    homes = ("HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "TMPDIR")
    kept, stood, passing = {**os.environ}, Path.cwd(), tempfile.tempdir
    for name in [one for one in os.environ if one.startswith("MASHDAY_")]:
        del os.environ[name]
    os.environ.update(dict.fromkeys(homes, str(folder)))
    tempfile.tempdir = str(folder)
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(stood)
        tempfile.tempdir = passing
        os.environ.clear()
        os.environ.update(kept)


@contextmanager
def bounded(seconds: float = LONGEST_SECONDS) -> Iterator[None]:
    """Raises Hang in what takes longer."""

    def ring(*_: object) -> None:
        raise Hang(f"longer than {seconds} s")

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def _peak_bytes() -> int:
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit


# What reaches beyond the folder

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
PLACED = (
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.link",
    "os.symlink",
    "os.truncate",
    "os.chmod",
)
NEVER = (
    "subprocess.Popen",
    "os.system",
    "os.exec",
    "os.posix_spawn",
    "os.fork",
    "socket.connect",
    "pty.spawn",
)
"""Audit events of Python (PEP 578; Library Reference, "Audit events table")."""


@dataclass(slots=True)
class _Watch:
    """Where may be written while it is on, and what was done elsewhere."""

    allowed: tuple[str, ...] = ()
    found: list[str] = field(default_factory=list)
    on: bool = False
    hooked: bool = False


_WATCH = _Watch()


@contextmanager
def confined(folder: Path) -> Iterator[list[str]]:
    """Notes everything that is written beside the folder, run or connected to meanwhile."""
    if not _WATCH.hooked:
        sys.addaudithook(_audited)
        _WATCH.hooked = True
    _WATCH.allowed = (str(folder), os.path.realpath(folder), os.devnull)
    _WATCH.found = []
    _WATCH.on = True
    try:
        yield _WATCH.found
    finally:
        _WATCH.on = False


def _audited(event: str, arguments: tuple[Any, ...]) -> None:
    if not _WATCH.on:
        return
    if event == "open":
        path, mode, flags = arguments
        writes = isinstance(flags, int) and flags & WRITES
        astray = isinstance(path, str | bytes) and not _inside(path)
        if astray and (writes or FORBIDDEN in _text(path)):
            _WATCH.found.append(f"open {path!r} {mode} {flags}")
    elif (
        event in PLACED and not all(_inside(one) for one in arguments if isinstance(one, str | bytes))
    ) or event in NEVER:
        _WATCH.found.append(f"{event} {arguments!r}")


def _text(path: str | bytes) -> str:
    return path if isinstance(path, str) else os.fsdecode(path)


def _inside(path: str | bytes) -> bool:
    whole = os.path.abspath(_text(path))
    return whole.endswith(".pyc") or "__pycache__" in whole or whole.startswith(_WATCH.allowed)


# What reaches a terminal


def shown(*texts: str) -> None:
    """AssertionError if one of these lines or texts of several lines could steer a terminal or hide."""
    for text in texts:
        assert isinstance(text, str), repr(text)
        if text.isprintable():
            continue
        for place, character in enumerate(text):
            if character != "\n" and unicodedata.category(character) in UNSEEN_CATEGORIES:
                around = text[max(0, place - 60) : place + 20]
                raise AssertionError(f"U+{ord(character):04X} reaches the terminal: {around!r}")
