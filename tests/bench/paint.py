"""How long it takes from exec until the full screen is painted, beside a bare program of the toolkit.

    .venv/bin/python tests/bench/paint.py [--quick]

`mashday run` of the barley sample in a pseudo-terminal of 80 by 24, in an empty folder for the session
files, from before the fork until the list of steps and the line of keys stand on the screen; with the
schedule read and checked and the session file begun and flushed. The floor is `bare.py` in the same
terminal, until its line of input stands there. Limit: judgement. Linux only.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from screens import BARE, RealTerminal
from table import Measure, Row, alone, in_turn, seconds

ROUNDS, QUICK_ROUNDS = 15, 5
LIMIT = 4.0


def painted(words: list[str], *texts: str) -> Measure:
    """Seconds until all these texts stand on the screen of the program."""

    def paint() -> None:
        with TemporaryDirectory() as folder:
            terminal = RealTerminal([*words], Path(folder))
            try:
                terminal.shows(*texts)
            finally:
                terminal.close()

    return seconds(paint)


def rows(quick: bool = False) -> Iterator[Row]:
    """One row."""
    ours = painted(["-m", "mashday", "run", "lock-seven-barley"], "Set-up", "Clean-up", "q leave")
    taken = in_turn(ours, painted([str(BARE)], " >"), QUICK_ROUNDS if quick else ROUNDS)
    yield taken.row("first full paint / bare app", LIMIT)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
