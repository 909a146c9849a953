"""How far a wash ferments: by the starch and the enzymes its mash has left."""

from __future__ import annotations

from itertools import pairwise

import pytest
from days import BARLEY

from mashday.engine.extract import UNBOILED_TRUE_FERMENTATION, true_fermentation
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.science.starch import FRESH, Starch, advance

UNBOILED = load(BARLEY)
BOILED = load(
    BARLEY.replace(
        '[[step]]\nkind = "cool"', '[[step]]\nkind = "boil"\ntime = "60 min"\n[[step]]\nkind = "cool"'
    )
)


def mashed(celsius: float) -> Starch:
    return advance(FRESH, celsius, 60.0, thickness_l_per_kg=3.0, crush="normal")


@pytest.mark.parametrize("celsius", [60.0, 63.0, 65.0, 68.0])
def test_an_unboiled_wash_of_a_mash_its_enzymes_survived_ends_as_distillers_washes_do(celsius: float) -> None:
    # common practice, no source: 0.80 to 0.88
    assert true_fermentation(UNBOILED, mashed(celsius)) == UNBOILED_TRUE_FERMENTATION


def test_of_a_mash_that_killed_its_enzymes_no_more_ferments_than_the_wort_allows() -> None:
    # published, relayed: apparent attenuation falls from 82 to 30 % from 65 to 80 degC; true is 0.81 of that
    for celsius, apparent in ((76.0, 0.45), (80.0, 0.30)):
        found = true_fermentation(UNBOILED, mashed(celsius))
        assert found == pytest.approx(0.8146 * apparent, abs=0.06)
        assert found == pytest.approx(mashed(celsius).true_rdf, abs=0.01)


def test_the_hotter_the_mash_the_less_ferments() -> None:
    found = [
        true_fermentation(UNBOILED, mashed(celsius)) for celsius in (64.0, 68.0, 70.0, 72.0, 74.0, 76.0, 80.0)
    ]
    assert all(cooler >= hotter for cooler, hotter in pairwise(found)) and found[0] > found[-1] + 0.5


def test_a_boiled_wort_ferments_as_far_as_it_allows() -> None:
    assert true_fermentation(BOILED, mashed(65.0)) == mashed(65.0).true_rdf


def test_a_mash_out_costs_an_unboiled_wash_a_little() -> None:
    out = advance(mashed(64.0), 76.0, 10.0, thickness_l_per_kg=3.0, crush="normal")
    assert 0.7 < true_fermentation(UNBOILED, out) < UNBOILED_TRUE_FERMENTATION


def test_where_no_mash_is_known_the_usual_is_told() -> None:
    assert true_fermentation(UNBOILED, None) == true_fermentation(UNBOILED, FRESH) == 0.84
    assert true_fermentation(BOILED, None) == 0.66


def test_the_plan_of_a_mash_that_is_too_hot_promises_less_alcohol() -> None:
    cool = prospect(UNBOILED, State()).expected
    hot = prospect(load(BARLEY.replace('target = "63 C"', 'target = "78 C"')), State()).expected
    assert cool is not None and hot is not None
    assert hot.abv_percent < 0.5 * cool.abv_percent and hot.final_gravity > cool.final_gravity + 0.02
