"""How long a digit key takes until the digit stands on the screen, beside a bare program of the toolkit.

    .venv/bin/python tests/bench/echo.py [--quick]

A day in its rest and `bare.py`, each in a pseudo-terminal of 80 by 24, in turn: from the write of the key
until what the program wrote, read as a terminal would read it, shows the digit on the line of input; then
it is cleared again. On our screen the first digit also moves and paints the large digits and the line of
keys. Limits: judgement; under a tenth of a second a person takes an answer for immediate (Miller 1968,
Response time in man-computer conversational transactions). Linux only.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from screens import RealTerminal, bare, drained, resting
from table import Measure, Row, alone, in_turn, milliseconds, share

KEYS, QUICK_KEYS = 100, 40
LIMIT = 3.0
IMMEDIATE_SECONDS = 0.1
SETTLING_SECONDS = 2.0
PAUSE_SECONDS = 0.1
"""Between two keys, as a quick hand leaves: a burst of them is taken for something on the keyboard."""


def echoed(terminal: RealTerminal) -> Measure:
    """Seconds from a digit to its echo, another digit each time."""
    numbers = count()

    def shown(text: str) -> bool:
        return any(line.startswith(f" > {text}") for line in terminal.picture.lines)

    def measure() -> float:
        digit = str(next(numbers) % 10)
        drained((terminal,), PAUSE_SECONDS)
        began = perf_counter()
        terminal.type(digit)
        terminal.until(lambda: shown(digit), f"{digit} on the line of input")
        taken = perf_counter() - began
        drained((terminal,), PAUSE_SECONDS)
        terminal.type("-")
        terminal.until(lambda: not shown(digit), f"{digit} cleared")
        return taken

    return measure


def rows(quick: bool = False) -> Iterator[Row]:
    """One row."""
    with TemporaryDirectory() as kept:
        both = (resting(Path(kept)), bare(Path(kept)))
        try:
            drained(both, SETTLING_SECONDS)
            taken = in_turn(echoed(both[0]), echoed(both[1]), QUICK_KEYS if quick else KEYS)
        finally:
            for terminal in both:
                terminal.close()
    late = share(taken.ours, 0.95)
    yield Row(
        "key to echo / bare app",
        *(
            f"{milliseconds(side)} (95 %: {1000 * share(side, 0.95):.0f}, worst {1000 * max(side):.0f})"
            for side in (taken.ours, taken.floor)
        ),
        taken.ratio,
        LIMIT,
        "95 % under 100 ms",
        late < IMMEDIATE_SECONDS,
    )


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
