"""A thousand days under any hands, on disks that fail and by clocks that lie, and faults planted in them."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median

import planted_faults
import pytest
from any_day import live, under_seed

EXAMPLES = 300
STEPS = 40
SEEDS = (1, 2, 3, 4)
PLANTED_UNDER = (1, 2, 3)
MOST_EXAMPLES = 600

pytestmark = pytest.mark.proof


@pytest.mark.parametrize("number", SEEDS)
def test_days_under_any_hands_lose_nothing_and_call_in_time(number: int, proved: Callable[..., None]) -> None:
    machine = under_seed(number)
    live(machine, EXAMPLES, STEPS)
    tally = machine.tally
    assert tally["examples"] >= EXAMPLES
    crashes = f"{tally['kills']:,} kills, {tally['power cuts']:,} power cuts"
    proved(
        f"any day, any disk, any clock (seed {number})",
        cases=tally["examples"],
        lost=0,
        late=f"{machine.furthest_told[0]:.2f} s",
        seen=f"{tally['steps']:,} steps, {crashes}, {tally['acknowledged']:,} acknowledged, 0 early",
    )


@pytest.mark.parametrize("number", PLANTED_UNDER)
def test_every_planted_fault_is_found(number: int, proved: Callable[..., None]) -> None:
    found = {
        plant.__name__: planted_faults.found(plant, number, MOST_EXAMPLES) for plant in planted_faults.FAULTS
    }
    assert not [name for name, (why, _) in found.items() if not why]
    counts = [examples for _, examples in found.values()]
    slowest = max(found, key=lambda name: found[name][1])
    proved(
        f"planted faults found (seed {number})",
        cases=len(found),
        seen=f"{len(found)} of {len(found)}, in {median(counts):.0f} days, at most {max(counts)} ({slowest})",
    )
