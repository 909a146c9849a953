"""What all benchmarks share: measuring in turn with a bare floor, and the table that is printed of it.

A limit is judgement: what was seen on an idle machine of two cores and some room above it. Ratios hold on a
slow machine too, for both sides are measured in the same run, one after the other, and medians are
compared.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Protocol

HEADS = ("benchmark", "ours", "floor", "ratio", "limit")

MOST_SECONDS = 60.0
"""After this no further round begins: what has become very slow is to be told, not waited for."""

Measure = Callable[[], float]
"""Does a thing once; what it took."""


class Rows(Protocol):
    """A benchmark: its rows, one after the other; quick ones are of fewer rounds."""

    def __call__(self, quick: bool = False) -> Iterator[Row]: ...


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table.

    limit: the greatest ratio; promise: what must hold besides, in words, and whether it is kept.
    """

    name: str
    ours: str
    floor: str
    ratio: float | None = None
    limit: float | None = None
    promise: str = ""
    kept: bool = True

    @property
    def good(self) -> bool:
        """True if no limit is passed."""
        return self.kept and (self.ratio is None or self.limit is None or self.ratio <= self.limit)

    @property
    def cells(self) -> tuple[str, ...]:
        """As they are printed, in the order of `HEADS`."""
        ratio = "-" if self.ratio is None else f"{self.ratio:.2f}"
        limits = ("" if self.limit is None else f"{self.limit:.2f}", self.promise)
        return self.name, self.ours, self.floor, ratio, "; ".join(filter(None, limits)) or "-"


@dataclass(frozen=True, slots=True)
class Taken:
    """What both sides took, round by round."""

    ours: tuple[float, ...]
    floor: tuple[float, ...]

    @property
    def ratio(self) -> float:
        """Of the medians."""
        return median(self.ours) / median(self.floor)

    def row(self, name: str, limit: float) -> Row:
        """The medians of what is in seconds."""
        return Row(name, milliseconds(self.ours), milliseconds(self.floor), self.ratio, limit)


def in_turn(ours: Measure, floor: Measure, rounds: int, *, most_seconds: float = MOST_SECONDS) -> Taken:
    """Measures one and the other, so many times, after once that does not count.

    No round begins after `most_seconds`; the first one counts if there is no other.
    """
    began = perf_counter()
    pairs = [(ours(), floor())]
    while len(pairs) <= rounds and perf_counter() - began < most_seconds:
        pairs.append((ours(), floor()))
    pairs = pairs[1:] or pairs
    return Taken(tuple(one for one, _ in pairs), tuple(other for _, other in pairs))


def seconds(work: Callable[[], object]) -> Measure:
    """Measures the wall seconds of a piece of work."""

    def measure() -> float:
        began = perf_counter()
        work()
        return perf_counter() - began

    return measure


def milliseconds(taken: Iterable[float]) -> str:
    """The median of seconds, in milliseconds to three digits; in seconds where it is many."""
    value = 1000.0 * median(taken)
    if value >= 10_000.0:
        return f"{value / 1000.0:.1f} s"
    return f"{value:.{max(0, 3 - len(str(int(value))))}f} ms"


def share(taken: Iterable[float], part: float) -> float:
    """What so large a part of the figures does not pass (0.95: 95 of 100)."""
    ordered = sorted(taken)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))]


def told(rows: list[Row]) -> int:
    """Prints the table and the limits that were passed; 1 if there are any."""
    lines = [HEADS, *(row.cells for row in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEADS))]
    for line in lines:
        print(" | ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip())
    passed = [row for row in rows if not row.good]
    for row in passed:
        print(f"LIMIT PASSED: {row.name}: {row.ours}, ratio {row.cells[3]}, limit {row.cells[4]}")
    return 1 if passed else 0


def progress(name: str, rows: Iterable[Row]) -> list[Row]:
    """Takes the rows of a benchmark, saying on standard error how far it is."""
    print(f"{name} ...", end="", file=sys.stderr, flush=True)
    began, found = perf_counter(), []
    for row in rows:
        print(" ." if row.good else " LIMIT PASSED", end="", file=sys.stderr, flush=True)
        found.append(row)
    print(f" {perf_counter() - began:.0f} s", file=sys.stderr, flush=True)
    return found


def alone(rows: Rows, what: str | None) -> int:
    """The command of one benchmark run alone; `what` is its docstring."""
    parser = argparse.ArgumentParser(description=(what or "").partition("\n")[0])
    parser.add_argument("--quick", action="store_true", help="fewer rounds")
    options = parser.parse_args()
    return told(progress(parser.prog, rows(quick=options.quick)))
