"""Facts of the trade that the sums must meet. All of them common practice, without a printed source."""

from __future__ import annotations

import pytest

from mashday.science import grain, heat, starch, volumes, water
from mashday.science.starch import FRESH, Starch

MASH = {"thickness_l_per_kg": 3.0}


def _hour(celsius: float, minutes: float = 60.0) -> Starch:
    return starch.advance(FRESH, celsius, minutes, **MASH)


def test_two_litres_a_kilogram_and_grain_of_18_for_61_want_water_near_70() -> None:
    by_hand = heat.hand_rule_strike_celsius(target_celsius=61.0, grain_celsius=18.0, thickness_l_per_kg=2.0)
    assert 69.0 <= by_hand <= 70.0


@pytest.mark.parametrize("minutes", [60.0, 90.0])
def test_the_most_fermentable_wash_comes_from_a_rest_at_61_to_63(minutes: float) -> None:
    # fermentable per grain put in, not per starch released: a cool mash leaves starch behind
    tried = {half / 2.0: _hour(half / 2.0, minutes).fermentable for half in range(110, 151)}
    assert 61.0 <= max(tried, key=lambda celsius: tried[celsius]) <= 63.0


@pytest.mark.parametrize("celsius", [63.0, 65.0, 67.0, 70.0])
def test_finely_crushed_malt_is_nine_tenths_converted_in_about_a_quarter_of_an_hour(celsius: float) -> None:
    minutes = starch.minutes_to(FRESH, 0.90, celsius, thickness_l_per_kg=3.0, crush="fine")
    assert 13.0 <= minutes <= 21.5


@pytest.mark.parametrize("celsius", [63.0, 64.0, 65.0, 66.0, 67.0, 68.0])
def test_an_hour_is_enough_for_a_rest(celsius: float) -> None:
    assert _hour(celsius).converted >= 0.98


def test_warmer_mashes_give_less_fermentable_worts() -> None:
    limits = [_hour(celsius).attenuation_limit_percent for celsius in (63.0, 65.0, 67.0, 70.0, 72.0)]
    assert limits == sorted(limits, reverse=True)


def test_a_kilogram_of_grain_takes_about_two_thirds_of_a_litre() -> None:
    full = volumes.mash_litres(15.0, 5.0, 20.0) - water.litres(15.0, 20.0)
    assert full / 5.0 == pytest.approx(0.67)


def test_malt_converts_itself_and_a_share_of_raw_grain_but_not_all_of_it() -> None:
    verdicts = [
        grain.power_verdict(grain.grist_lintner(((1.0 - raw, 90.0), (raw, 0.0)))) for raw in (0.0, 0.2, 0.9)
    ]
    assert verdicts == [grain.PowerVerdict.FAST, grain.PowerVerdict.FAST, grain.PowerVerdict.TOO_LITTLE]


def test_water_boils_a_degree_lower_every_three_hundred_metres() -> None:
    assert water.boiling_celsius(0.0) - water.boiling_celsius(300.0) == pytest.approx(1.0, abs=0.02)
