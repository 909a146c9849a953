"""How long one sum on the spot takes, beside a bare process that imports pint and makes one quantity.

    .venv/bin/python tests/bench/start.py

The two are run in turn, so that a busy machine slows both. Exits 1 when a sum takes more than 1.3 times as
long.
"""

from __future__ import annotations

import subprocess
import sys
from statistics import median
from time import perf_counter

ROUNDS = 15
LIMIT = 1.3
BARE = "import pint; registry = pint.UnitRegistry(); registry.Quantity(5.0, 'kilogram')"
SUM = "import sys; from mashday.cli import main; sys.exit(main({arguments!r}))"
SUMS = {
    "a strike in metric units": ["strike", "--grain", "5 kg", "--water", "15 L", "--grain-temp", "18 C"],
    "a strike in US units": ["strike", "--grain", "11 lb", "--water", "4 gal", "--grain-temp", "64 F"],
    "a strike in a unit only pint knows": [
        *("strike", "--grain", "0.8 stone", "--water", "15 L", "--grain-temp", "18 C"),
    ],
}


def seconds(script: str) -> float:
    """Wall time of one process."""
    began = perf_counter()
    subprocess.run([sys.executable, "-c", script], check=True, capture_output=True)
    return perf_counter() - began


def main() -> int:
    """Prints the medians; 1 when a sum is too slow."""
    slow = False
    for name, arguments in SUMS.items():
        script = SUM.format(arguments=["reckon", *arguments, "--target", "63 C"])
        seconds(script), seconds(BARE)
        pairs = [(seconds(script), seconds(BARE)) for _ in range(ROUNDS)]
        ours, bare = median(one for one, _ in pairs), median(other for _, other in pairs)
        slow = slow or ours > LIMIT * bare
        print(f"{name}: {1000 * ours:.0f} ms; pint alone {1000 * bare:.0f} ms; ratio {ours / bare:.2f}")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
