"""How long it takes to put one act on the disk, at three lengths of the file, beside a bare write and flush.

    .venv/bin/python tests/bench/append.py [--quick]

`Journal.append` of one reading in session files of 10, 1,000 and 10,000 entries (`history.py` says which):
encoded, summed, read back as a check, written, flushed, the file compared. The floor is os.write and
os.fsync of as many bytes at the end of a copy of the same file, opened in append mode, in the same folder:
a temporary one, so TMPDIR says on which disk. The last row holds the longest file against the shortest.
Limits: judgement. Where a flush costs next to nothing (in memory, or a disk that does not wait for it) the
ratio is of our own work alone, and what is held is how much that is.
"""

from __future__ import annotations

import math
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from history import written
from table import Measure, Row, Taken, alone, in_turn, seconds

from mashday.engine.facts import ReadingTaken
from mashday.session.journal import Journal
from mashday.session.session import CODEC

LENGTHS = (10, 1_000, 10_000)
ROUNDS, QUICK_ROUNDS = 200, 60
LIMIT, GROWTH_LIMIT = 1.5, 1.5
FLUSHED_SECONDS, OWN_SECONDS = 0.001, 0.0005
"""From when on a flush is one, and what our own work may cost where it is none."""
READING = ReadingTaken(4, "temperature", "mash", 63.2, "C", "63.2", celsius=63.2, trust="give or take 0.6 C")
MOMENT = datetime(2026, 10, 3, 12, 0, tzinfo=UTC)


def appended(journal: Journal) -> Measure:
    """Seconds to append one act to the journal."""
    numbers = count(100_000)

    def act() -> list[dict[str, Any]]:
        number = next(numbers)
        return [CODEC.encode(number, number, float(number), MOMENT, READING)]

    return seconds(lambda: journal.append(act()))


def bare(path: Path, size: int) -> Measure:
    """Seconds to write and flush so many bytes at the end of the file."""
    descriptor = os.open(path, os.O_WRONLY | os.O_APPEND)
    data = b"x" * (size - 1) + b"\n"

    def write() -> None:
        os.write(descriptor, data)
        os.fsync(descriptor)

    return seconds(write)


def rows(quick: bool = False) -> Iterator[Row]:
    """One a length, then the longest against the shortest."""
    rounds = QUICK_ROUNDS if quick else ROUNDS
    with TemporaryDirectory() as kept, ExitStack() as opened:
        folder = Path(kept)
        journals = {length: opened.enter_context(written(folder, length)) for length in LENGTHS}
        ours = {length: appended(journal) for length, journal in journals.items()}
        for length, journal in journals.items():
            before = journal.path.stat().st_size
            ours[length]()
            copy = Path(shutil.copy(journal.path, folder / f"bare-{length}"))
            floor = bare(copy, journal.path.stat().st_size - before)
            taken = in_turn(ours[length], floor, rounds)
            yield _against_the_disk(f"one act at {length:,} entries / bare write and fsync", taken)
        grown = in_turn(ours[LENGTHS[-1]], ours[LENGTHS[0]], rounds)
        yield grown.row(f"one act at {LENGTHS[-1]:,} entries / at {LENGTHS[0]:,}", GROWTH_LIMIT)


def _against_the_disk(name: str, taken: Taken) -> Row:
    ours, floor = median(taken.ours), median(taken.floor)
    if floor >= FLUSHED_SECONDS:
        return taken.row(name, LIMIT)
    promise = f"nothing is flushed here: under {1000.0 * OWN_SECONDS:g} ms more"
    row = taken.row(name, math.inf)
    return replace(row, limit=None, promise=promise, kept=ours - floor < OWN_SECONDS)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
