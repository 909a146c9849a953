"""How long it takes to read a long session file and fold it to its day, beside a bare TOML parser.

    .venv/bin/python tests/bench/replay.py [--quick]

`session.look` of a file of 10,000 entries (`history.py` says which): its bytes read, every sum checked,
every entry parsed and decoded, the schedule loaded, the facts folded. The floor is `tomllib.loads` of the
same file, read as text, which checks nothing. A second row holds 10,000 entries against ten times 1,000, so
that a cost that grows with the length is seen. Limits: judgement.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from history import written
from table import Row, alone, in_turn, seconds

from mashday.session.session import look

ENTRIES, FEWER = 10_000, 1_000
ROUNDS, QUICK_ROUNDS = 7, 3
LIMIT, GROWTH_LIMIT = 2.5, 1.5


def kept(folder: Path, number: int) -> Path:
    """The path of a session file of so many entries."""
    with written(folder, number) as journal:
        return journal.path


def rows(quick: bool = False) -> Iterator[Row]:
    """Against the parser, then against a shorter file."""
    rounds = QUICK_ROUNDS if quick else ROUNDS
    with TemporaryDirectory() as folder:
        long, short = kept(Path(folder), ENTRIES), kept(Path(folder), FEWER)
        parsed = seconds(lambda: tomllib.loads(long.read_text(encoding="utf-8")))
        taken = in_turn(seconds(lambda: look(long)), parsed, rounds)
        yield taken.row(f"replay of {ENTRIES:,} entries / bare tomllib", LIMIT)
        whole = seconds(lambda: look(long))
        as_many = seconds(lambda: [look(short) for _ in range(ENTRIES // FEWER)])
        grown = in_turn(whole, as_many, rounds)
    yield grown.row(f"replay of {ENTRIES:,} entries / of {FEWER:,}, ten times", GROWTH_LIMIT)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
