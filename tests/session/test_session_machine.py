"""Any day on any disk by any clock: what was acknowledged is kept, and what is due calls in time."""

from __future__ import annotations

import planted_faults
import pytest
from any_day import live, under_seed

CLEAN_SEED = 1
PLANTED_SEEDS = (6, 10, 3, 2, 1, 5, 8)
EXAMPLES_UNDER_EACH = 3
HARD_TO_FIND = frozenset(
    {
        planted_faults.what_is_asked_is_asked_late,
        planted_faults.more_time_is_ignored,
        planted_faults.a_failed_flush_is_tried_again,
        planted_faults.that_no_copy_was_made_is_not_told,
        planted_faults.the_zone_is_forgotten,
    }
)
"""What takes more than a moment to find is planted by the proof alone."""


def test_nothing_acknowledged_is_lost_and_nothing_due_is_missed_whatever_is_done_to_a_day() -> None:
    machine = under_seed(CLEAN_SEED)
    live(machine, examples=8)
    tally = machine.tally
    assert tally["kills"] and tally["power cuts"] and tally["failures"] and tally["saved elsewhere"]
    assert tally["looked just before and after"] and tally["acknowledged"] > tally["examples"]


@pytest.mark.parametrize(
    "plant",
    [plant for plant in planted_faults.FAULTS if plant not in HARD_TO_FIND],
    ids=lambda plant: plant.__name__,
)
def test_a_planted_fault_is_found(plant: planted_faults.Plant) -> None:
    tries = (planted_faults.found(plant, number, EXAMPLES_UNDER_EACH) for number in PLANTED_SEEDS)
    assert any(why for why, _ in tries), f"{plant.__name__} was not found"
