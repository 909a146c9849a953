"""What pots have taught, told with how surely; the strike with and without it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from days import BARLEY

from mashday.engine import belief
from mashday.engine import facts as f
from mashday.report.pots import PotTaught, effect, pots_values, pots_words, predicted
from mashday.schedule.door import load

SCHEDULE = load(BARLEY)
KNOWN = f.PotKnown(
    "lock-keeper's kettle", 3, 4.1, 0.4,
    thicknesses=(3.0, 3.0, 3.0), dough_ins=(-0.7, -0.5, -0.6),
    ways=("hot water", "cold water"), reckoned=(3.0, 2.0), came=(2.4, 1.6),
)  # fmt: skip
KETTLE = PotTaught("lock-keeper's kettle", 4, SCHEDULE, KNOWN)


def test_the_effect_is_the_one_that_is_believed_with_the_width_of_that_belief() -> None:
    """0.916: worked example of `fit.believed_effect`; 1 / sqrt(100 + (9 + 4) / 0.18) = 0.0762 (derived)."""
    found = effect(KNOWN, "hot water", belief.WATER_SPREAD)
    assert found.share == pytest.approx(0.916, abs=0.001)
    assert found.error == pytest.approx(0.0762, abs=0.0001)
    assert found.changes == 2
    none = effect(KNOWN, "fire", belief.FIRE_SPREAD)
    assert (none.share, none.error, none.changes) == (1.0, pytest.approx(0.2), 0)


def test_each_pot_is_told_in_lines_of_at_most_80_columns() -> None:
    """0.529 K cooler is the worked example of `fit.believed_dough_in_kelvin`."""
    for units in ("metric", "us"):
        text = pots_words([KETTLE], units, predicted(SCHEDULE, KNOWN))  # type: ignore[arg-type]
        assert max(len(line) for line in text.splitlines()) <= 80
    told = " ".join(pots_words([KETTLE], None, None).split())
    assert "lock-keeper's kettle, 4 days; learned from 3" in told
    assert "lands 0.5 C cooler than the sum" in told and "by 3 dough-ins at 3.00 L/kg" in told
    assert "92 % as far as the sum says, give or take 8; by 2 changes" in told
    assert "no change by it was read yet" in told


def test_a_pot_that_has_taught_nothing_says_so() -> None:
    new = PotTaught("tin bath", 1, SCHEDULE, None)
    told = pots_words([new], "metric", None)
    assert "tin bath, one day: nothing learned yet" in told
    assert "the mash 5 to 15 min after it is in" in " ".join(told.split())
    assert max(len(line) for line in told.splitlines()) <= 80
    assert "tin bath, 3 days (2 still open):" in pots_words(
        [replace(new, days=3, still_open=2)], "metric", None
    )
    assert pots_words([], "metric", None).startswith("No pot has taught anything yet")
    (made,) = pots_values([new], None, predicts=False)["pots"]
    assert made["learned_from_days"] == 0 and made["loss_w_per_k"] is None and made["water"]["share"] == 1.0


def test_a_pot_of_which_only_the_loss_or_only_the_landing_is_known() -> None:
    loss = replace(KNOWN, thicknesses=(), dough_ins=(), ways=(), reckoned=(), came=())
    assert "dough-in  not read yet" in pots_words([replace(KETTLE, known=loss)], "metric", None)
    landing = replace(KNOWN, loss_w_per_k=None, loss_error=None)
    assert "loses     not read yet; such a pot" in pots_words(
        [replace(KETTLE, known=landing)], "metric", None
    )


def test_the_strike_is_told_with_and_without_what_was_learned() -> None:
    strike = predicted(SCHEDULE, KNOWN)
    assert strike is not None and strike.learned_celsius is not None
    assert strike.learned_celsius > strike.alone_celsius  # a mash that lands cool wants warmer water
    told = pots_words([], "metric", strike)
    assert "by the sum alone, to land at 63.0 C" in told and "with what this pot has taught" in told
    new = predicted(SCHEDULE, None)
    assert new is not None and new.learned_celsius is None
    assert "taught nothing yet" in pots_words([], "metric", new)


def test_a_strike_the_schedule_writes_is_told_with_where_it_lands() -> None:
    written = load(BARLEY.replace('water = "15 L"', 'water = "15 L"\ntarget = "71 C"'))
    strike = predicted(written, KNOWN)
    assert strike is not None and strike.written_celsius == 71.0
    assert strike.written_lands_celsius is not None and strike.written_lands_celsius > 64.0
    told = pots_words([], "metric", strike)
    assert "the schedule writes 71.0 C, and by that it lands at" in told
    assert "which is what a plan tells" not in told


def test_the_values_are_metric_and_hold_the_strike_only_where_it_was_asked_for() -> None:
    made = pots_values([KETTLE], predicted(SCHEDULE, KNOWN), predicts=True)
    (pot,) = made["pots"]
    assert pot["loss_read_w_per_k"] == 4.1 and pot["loss_error_w_per_k"] == 0.4
    assert pot["dough_in_kelvin"] == pytest.approx(-0.529, abs=0.001)
    assert made["strike"]["lands_at_celsius"] == pytest.approx(63.0)
    assert "strike" not in pots_values([KETTLE], None, predicts=False)
    assert pots_values([KETTLE], None, predicts=True)["strike"] is None
