"""Many rehearsed days of the barley sample by kind of pot: how far off its mashes land and rest.

    .venv/bin/python tests/bench/days.py [DAYS]

So many days (300 if left out) of each kind; every kind is the same pots and people but for the keys changed.
Exits 1 when a day ran over, did not end, or was offered an amount that cannot be.
"""

from __future__ import annotations

import sys
import tomllib
from time import perf_counter
from typing import Any

import tomli_w

from mashday.report.days import Days, Spread
from mashday.schedule.samples import find
from mashday.session.many import UNCHECKED_DIAL, many_days

DAYS = 300
KINDS: dict[str, dict[str, dict[str, Any]]] = {
    "as written: heated in, wrapped, digital": {},
    "bare": {"pot": {"wrapped": False}},
    "poured in": {"pot": {"water_heated_in_it": False}},
    "poured in, bare": {"pot": {"water_heated_in_it": False, "wrapped": False}},
    "unchecked dial": {"thermometer": UNCHECKED_DIAL},
    "unchecked dial, bare": {"thermometer": UNCHECKED_DIAL, "pot": {"wrapped": False}},
    "unchecked dial, poured in": {"thermometer": UNCHECKED_DIAL, "pot": {"water_heated_in_it": False}},
}


def changed(written: str, changes: dict[str, dict[str, Any]]) -> str:
    """The schedule text with some keys of its tables changed; a thermometer is another one altogether."""
    table = tomllib.loads(written)
    for name, keys in changes.items():
        table[name] = keys if name == "thermometer" else {**table[name], **keys}
    return tomli_w.dumps(table)


def cell(spread: Spread | None) -> str:
    """Median and 95 of 100, K."""
    return f"{'-':>12}" if spread is None else f"{spread.median:6.2f}{spread.p95:6.2f}"


def row(name: str, days: Days) -> str:
    """One kind of pot."""
    cells = (
        days.strike_by_day[0],
        days.strike_by_day[-1],
        days.strike_quick,
        days.by_hand_quick,
        days.strike_slow,
        days.by_hand_slow,
        days.rests,
        days.by_hand_rests,
    )
    return f"{name:40}" + "".join(cell(one) for one in cells)


def main() -> int:
    """Prints the table; 1 when a day went wrong."""
    written = find("lock-seven-barley")[1]
    number = int(sys.argv[1]) if len(sys.argv) > 1 else DAYS
    print(f"{number} days a kind; median and 95 of 100 of the distance from the target, K")
    heads = ("day 1", "day 3", "quick", "by hand", "slow", "by hand", "rests", "by hand")
    print(f"{'':40}" + "".join(f"{head:>12}" for head in heads))
    good = True
    for name, changes in KINDS.items():
        began = perf_counter()
        days = many_days(changed(written, changes), number, dial=False)
        bias = 0.0 if days.strike_bias is None else days.strike_bias
        remedies = days.remedies
        print(row(name, days))
        print(
            f"{'':6}lands {bias:+.2f} on average; {remedies.taken} remedies, {remedies.worse} made it worse, "
            f"{remedies.by_the_thermometer} by the thermometer; {perf_counter() - began:.0f} s"
        )
        good = good and not (days.overflowed or days.unfinished or days.absurd)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
