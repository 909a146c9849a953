"""Refusals name what was wrong; tables answer by the words of the trade."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from mashday.science import (
    alcohol,
    cooling,
    enzymes,
    fit,
    grain,
    gravity,
    heat,
    iodine,
    losses,
    overshoot,
    ph,
    starch,
    thermometer,
    volumes,
    water,
    wort,
    yeast,
)
from mashday.science.limits import OutOfRange, UnknownName, within
from mashday.science.starch import Starch

MIX = {
    "contents_kj_per_k": 62.85,
    "grain_kj_per_k": 8.5,
    "grain_celsius": 18.0,
    "hydration_kj": 100.0,
    "vessel_kj_per_k": 2.2,
    "vessel_celsius": 20.0,
    "loss_kj": 0.0,
}
STANDING = {"capacity_kj_per_k": 70.0, "loss_w_per_k": 4.0, "room_celsius": 20.0, "from_celsius": 66.0}
MASH = {"extract_as_is": 0.77, "moisture": 0.04, "water_per_kg": 3.0}
HELD = {"celsius": 65.0, "thickness_l_per_kg": 3.0, "extract_dry": 0.8, "moisture": 0.045}
BATH = {"capacity_kj_per_k": 83.6, "from_celsius": 60.0, "bath_kg": 40.0, "bath_from_celsius": 12.0}

CALLS: list[tuple[Callable[..., Any], dict[str, float]]] = [
    (water.density, {"celsius": 20.0}),
    (water.mass_kg, {"litres": 10.0, "celsius": 70.0}),
    (water.litres, {"kg": 10.0, "celsius": 70.0}),
    (water.pressure_kpa, {"altitude_metres": 300.0}),
    (water.boiling_celsius, {"altitude_metres": 300.0}),
    (water.saturation_pressure_kpa, {"celsius": 65.0}),
    (water.saturation_celsius, {"kpa": 95.0}),
    (water.latent_heat, {"celsius": 65.0}),
    (heat.grain_specific_heat, {"moisture": 0.04}),
    (heat.hydration_heat, {"moisture": 0.04}),
    (heat.strike_from_capacity, {"target_celsius": 63.0, **MIX}),
    (heat.landing_celsius, {"contents_celsius": 70.0, **MIX}),
    (
        heat.hand_rule_strike_celsius,
        {"target_celsius": 63.0, "grain_celsius": 18.0, "thickness_l_per_kg": 3.0, "factor_l_per_kg": 0.41},
    ),
    (
        heat.addition_kg,
        {"capacity_kj_per_k": 70.0, "from_celsius": 62.0, "to_celsius": 67.0, "with_celsius": 96.0},
    ),
    (
        heat.after_addition_celsius,
        {"capacity_kj_per_k": 70.0, "from_celsius": 62.0, "added_kg": 2.0, "added_celsius": 96.0},
    ),
    (heat.decoction_fraction, {"from_celsius": 62.0, "to_celsius": 72.0, "return_celsius": 98.0}),
    (
        heat.decoction_kg,
        {
            "capacity_kj_per_k": 70.0,
            "from_celsius": 62.0,
            "to_celsius": 72.0,
            "return_celsius": 98.0,
            "thickness_l_per_kg": 3.0,
            "grain_kj_per_kg_k": 1.7,
        },
    ),
    (losses.drift_celsius, {"minutes": 30.0, **STANDING}),
    (losses.minutes_until, {"to_celsius": 60.0, **STANDING}),
    (losses.heating_minutes, {"to_celsius": 72.0, "kilowatts": 2.0, "efficiency": 0.8, **STANDING}),
    (
        losses.open_surface_watts,
        {"celsius": 65.0, "room_celsius": 20.0, "area_m2": 0.09, "relative_humidity": 0.5},
    ),
    (cooling.coil_w_per_k, {"w_per_m2_k": 500.0, "area_m2": 0.47, "coolant_l_per_minute": 6.0}),
    (
        cooling.coil_minutes,
        {
            "capacity_kj_per_k": 80.0,
            "from_celsius": 90.0,
            "to_celsius": 25.0,
            "coolant_celsius": 12.0,
            "w_per_k": 200.0,
        },
    ),
    (
        cooling.ice_kg,
        {"capacity_kj_per_k": 80.0, "from_celsius": 40.0, "to_celsius": 25.0, "ice_celsius": -10.0},
    ),
    (volumes.mash_litres, {"water_kg": 15.0, "grain_kg": 5.0, "celsius": 65.0}),
    (volumes.headroom_litres, {"pot_litres": 30.0, "diameter_metres": 0.34}),
    (volumes.thickness_l_per_kg, {"water_litres": 15.0, "grain_kg": 5.0}),
    (
        volumes.first_runnings_litres,
        {"water_litres": 15.0, "grain_kg": 5.0, "absorption_l_per_kg": 1.0, "dead_litres": 1.0},
    ),
    (
        volumes.water_split,
        {"wash_litres": 28.0, "grain_kg": 5.0, "absorption_l_per_kg": 1.0, "dead_litres": 1.0},
    ),
    (volumes.largest_grain_kg, {"usable_litres": 27.0, "thickness": 3.0, "celsius": 65.0}),
    (gravity.sucrose_density, {"plato": 12.0, "celsius": 20.0}),
    (gravity.gravity, {"plato": 12.0}),
    (gravity.plato, {"gravity": 1.05}),
    (gravity.hydrometer_gravity, {"reading": 1.05, "sample_celsius": 24.0, "calibrated_celsius": 20.0}),
    (gravity.refractometer_plato, {"brix": 12.0, "factor": 1.04, "celsius": 20.0}),
    (gravity.volume_at_20_factor, {"plato": 12.0, "celsius": 65.0}),
    (wort.first_wort_plato, {"conversion": 0.95, **MASH}),
    (wort.conversion, {"plato": 18.0, **MASH}),
    (wort.no_sparge_efficiency, {"retained_kg_per_kg": 1.0, "conversion": 0.95, **MASH}),
    (
        wort.batch_sparge_efficiency,
        {"retained_kg_per_kg": 1.0, "sparge_kg_per_kg": 2.0, "sparges": 1, "conversion": 0.95, **MASH},
    ),
    (wort.extract_kg, {"litres": 20.0, "gravity": 1.06}),
    (wort.wort_litres, {"kg": 20.0, "gravity": 1.06}),
    (wort.dilution_litres, {"litres": 20.0, "from_gravity": 1.07, "to_gravity": 1.06}),
    (wort.boil_down_litres, {"litres": 20.0, "from_gravity": 1.05, "to_gravity": 1.06}),
    (wort.sugar_kg, {"litres": 20.0, "from_gravity": 1.05, "to_gravity": 1.06, "extract": 1.0}),
    (alcohol.ethanol_water_density, {"mass_fraction": 0.08}),
    (alcohol.abv_percent, {"original": 1.06, "final": 1.0}),
    (alcohol.real_extract_plato, {"original": 1.06, "final": 1.0}),
    (alcohol.true_rdf, {"original": 1.06, "final": 1.0}),
    (alcohol.apparent_attenuation, {"original": 1.06, "final": 1.0}),
    (alcohol.final_gravity, {"original": 1.06, "true_rdf": 0.8}),
    (alcohol.lowest_possible_final_gravity, {"original": 1.06}),
    (alcohol.pure_alcohol_litres, {"wort_litres": 20.0, "original": 1.06, "final": 1.0}),
    (yeast.cells_to_pitch, {"litres": 20.0, "plato": 15.0, "rate": 1.0}),
    (yeast.dry_yeast_grams, {"cells": 3e11, "cells_per_gram": 2e10}),
    (grain.lintner_from_windisch_kolbach, {"windisch_kolbach": 250.0}),
    (grain.windisch_kolbach_from_lintner, {"lintner": 76.0}),
    (grain.power_verdict, {"lintner": 76.0}),
    (
        grain.restoring_malt_kg,
        {
            "grist_kg": 5.0,
            "grist_lintner": 80.0,
            "activity_left": 0.4,
            "target_lintner": 40.0,
            "malt_lintner": 100.0,
        },
    ),
    (
        thermometer.lagging_celsius,
        {"from_celsius": 20.0, "true_celsius": 66.0, "seconds": 10.0, "lag_seconds": 10.0},
    ),
    (water.specific_heat, {"celsius": 60.0}),
    (cooling.bath_settles_celsius, BATH),
    (cooling.bath_celsius, {"minutes": 30.0, "w_per_k": 50.0, **BATH}),
    (cooling.bath_minutes, {"to_celsius": 50.0, "w_per_k": 50.0, **BATH}),
    (cooling.ice_for_bath_kg, {"to_celsius": 25.0, "bath_to_celsius": 15.0, "ice_celsius": -18.0, **BATH}),
    (
        cooling.bath_ice_kg,
        {"capacity_kj_per_k": 80.0, "from_celsius": 60.0, "to_celsius": 25.0, "bath_celsius": 2.0},
    ),
    (cooling.coil_coolant_litres, {"minutes": 15.0, "coolant_l_per_minute": 6.0}),
    (
        lambda **given: cooling.minutes_left(before=(0.0, 90.0), now=(5.0, 64.0), **given),
        {"to_celsius": 25.0, "coolant_celsius": 12.0},
    ),
    (
        thermometer.two_point,
        {"ice_shown_celsius": 0.5, "boil_shown_celsius": 99.4, "boiling_celsius": 99.97},
    ),
    (
        thermometer.lag_corrected_celsius,
        {"shown_celsius": 62.0, "kelvin_per_minute": 3.0, "lag_seconds": 10.0},
    ),
    (thermometer.waiting_seconds, {"lag_seconds": 10.0}),
    (
        lambda **given: fit.cooling_rate_per_hour(((0.0, 66.0), (60.0, 61.7)), **given),
        {"surroundings_celsius": 20.0},
    ),
    (fit.loss_w_per_k_from_rate, {"rate_per_hour": 0.1, "capacity_kj_per_k": 70.0}),
    (fit.slope_error_kelvin_per_hour, {"reading_kelvin": 0.3, "readings": 5, "span_hours": 1.0}),
    (
        fit.capacity_from_addition,
        {"added_kg": 2.0, "added_celsius": 96.0, "from_celsius": 62.0, "to_celsius": 65.2},
    ),
    (
        fit.blended_loss,
        {"usual_w_per_k": 4.0, "fitted_w_per_k": 2.0, "relative_error": 0.4, "spread": 0.4},
    ),
    (fit.dough_in_weight, {"count": 3}),
    (
        fit.correction_relative_error,
        {
            "reading_kelvin": 0.5,
            "deviation_kelvin": 2.0,
            "capacity_share": 0.04,
            "water_kelvin": 3.0,
            "gap_kelvin": 30.0,
        },
    ),
    (ph.in_the_mash, {"ph_at_20": 5.4, "celsius": 65.0}),
    (ph.at_20, {"ph_in_the_mash": 5.05, "celsius": 65.0}),
    (iodine.expected_colour, {"converted": 0.9}),
    (
        lambda **given: overshoot.next_move(Starch(0.8, 0.5, 0.7, 0.2), **given),
        {"celsius": 70.0, "thickness_l_per_kg": 3.0},
    ),
    (overshoot.left_after, {"celsius": 70.0, "minutes": 2.0}),
    (lambda **given: enzymes.dose_grams("glucoamylase", **given), {"dry_grain_kg": 5.0}),
    (lambda **given: enzymes.verdict("glucoamylase", **given), {"celsius": 58.0, "ph_at_20": 4.2}),
    (alcohol.mass_percent_from_abv, {"abv_percent": 8.0}),
    (alcohol.density_from_abv, {"abv_percent": 8.0}),
    (alcohol.must_potential_abv_percent, {"sugar_g_per_litre": 200.0}),
    (alcohol.carbon_dioxide_kg, {"extract_fermented_kg": 1.0}),
    (alcohol.carbon_dioxide_litres, {"extract_fermented_kg": 1.0}),
    (yeast.dry_yeast_grams_per_litre, {"plato": 15.0, "rate": 1.0, "cells_per_gram": 2e10}),
    (yeast.pitch_verdict, {"celsius": 24.0}),
    (yeast.slurry_verdict, {"slurry_celsius": 20.0, "wash_celsius": 22.0}),
    (yeast.fermentation_rise_kelvin, {"plato": 15.0, "fermented": 0.85}),
    (gravity.brix_from_refraction, {"refractive_index": 1.3478}),
    (lambda **given: starch.advance(starch.FRESH, **given), {"minutes": 10.0, **HELD}),
    (lambda **given: starch.minutes_to(starch.FRESH, **given), {"fraction": 0.9, **HELD}),
    (lambda **given: starch.with_fresh_malt(starch.FRESH, **given), {"share_of_grist": 0.2}),
    (lambda **given: starch.corrected_to(starch.FRESH, **given), {"released": 0.8}),
    (lambda **given: heat.vessel_heat_capacity(material="copper", **given), {"mass_kg": 4.0}),
    (lambda **given: losses.loss_w_per_k(wrapped=True, **given), {"pot_litres": 30.0}),
    (lambda **given: thermometer.band_kelvin("dial", **given), {"limit_kelvin": 2.0}),
    (lambda **given: thermometer.pt100_limit_kelvin("A", **given), {"celsius": 65.0}),
]
ONE_WRONG = [
    pytest.param(function, given, name, id=f"{index}-{getattr(function, '__name__', 'call')}-{name}")
    for index, (function, given) in enumerate(CALLS)
    for name in given
]


@pytest.mark.parametrize(("function", "given"), CALLS)
def test_sensible_numbers_give_a_finite_answer(function: Callable[..., Any], given: dict[str, float]) -> None:
    answer = function(**given)
    if isinstance(answer, float):
        assert math.isfinite(answer)
    else:
        assert answer is not None


@pytest.mark.parametrize(("function", "given", "name"), ONE_WRONG)
def test_a_number_out_of_this_world_is_refused(
    function: Callable[..., Any], given: dict[str, float], name: str
) -> None:
    for wrong in (math.nan, math.inf, -math.inf, 1e30, -1e30):
        with pytest.raises(OutOfRange):
            function(**{**given, name: wrong})


def test_a_refusal_names_quantity_value_range_and_source() -> None:
    with pytest.raises(OutOfRange) as refusal:
        water.density(120.0)
    assert str(refusal.value) == (
        "water temperature 120 degC is not between 0 and 102 degC [Kell 1975, J. Chem. Eng. Data 20, 97-105]"
    )
    assert (refusal.value.value, refusal.value.low, refusal.value.high) == (120.0, 0.0, 102.0)
    assert isinstance(refusal.value, ValueError)


@pytest.mark.parametrize(
    ("low", "high", "said"), [(0.0, math.inf, "at least 0 kg"), (-math.inf, 5.0, "at most 5 kg")]
)
def test_a_refusal_of_a_half_open_range_names_its_one_end(low: float, high: float, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        within("mass", math.nan, low, high, "kg", "by definition")


@pytest.mark.parametrize("edge", [0.0, 5.0])
def test_the_ends_of_a_range_are_inside(edge: float) -> None:
    assert within("mass", edge, 0.0, 5.0, "kg", "by definition") == edge


@pytest.mark.parametrize(
    "ask",
    [
        lambda: grain.kind("barly malt"),
        lambda: heat.vessel_heat_capacity(4.0, "pewter"),
        lambda: volumes.absorption("wrung"),
        lambda: thermometer.standard_uncertainty("mercury"),
        lambda: thermometer.pt100_limit_kelvin("D", 65.0),
        lambda: starch.advance(starch.FRESH, 65.0, 1.0, thickness_l_per_kg=3.0, crush="pounded"),
    ],
)
def test_an_unknown_name_is_refused_as_both_range_and_key(ask: Callable[[], object]) -> None:
    with pytest.raises(UnknownName) as refusal:
        ask()
    assert isinstance(refusal.value, OutOfRange)
    assert isinstance(refusal.value, KeyError)
    assert "is not known; " in str(refusal.value)


def test_an_unknown_grain_is_met_with_its_nearest_names() -> None:
    with pytest.raises(UnknownName) as refusal:
        grain.kind("Barly malt")
    assert refusal.value.nearest[0] == "barley malt"
    assert str(refusal.value) == (
        "kind of grain 'barly malt' is not known; near it: barley malt, rye malt, pale malt"
    )


@pytest.mark.parametrize(
    ("name", "canonical"),
    [
        ("Barley  Malt", "barley malt"),
        ("munich malt", "Munich malt"),
        ("cracked maize", "raw maize"),
        ("Distiller\u2019s malt", "distiller's malt"),
    ],
)
def test_a_grain_is_found_by_any_word_of_the_trade(name: str, canonical: str) -> None:
    assert grain.kind(name).name == canonical


@pytest.mark.parametrize("kind", grain.KINDS.values(), ids=list(grain.KINDS))
def test_every_kind_of_grain_is_whole(kind: grain.GrainKind) -> None:
    assert 0.5 < kind.extract_dry <= 1.0
    assert 0.0 <= kind.moisture <= 0.14
    assert kind.extract_as_is == pytest.approx(kind.extract_dry * (1.0 - kind.moisture))
    figures = {"extract_dry", "moisture", "lintner"}
    figures |= {"gelatinises"} if kind.gelatinises is not None else set()
    figures |= {"cook", "needs_cook"} if kind.cook is not None else set()
    assert set(kind.marks) == figures and all(kind.marks.values())
    # derived: only malt carries power, only raw cereals are cooked, and only unopened starch gelatinises
    assert (kind.lintner > 0.0) == (kind.form == "malt")
    assert (kind.gelatinises is not None) == (kind.form in {"malt", "raw"})
    assert (kind.cook is not None) == (kind.form == "raw")
    assert not kind.needs_cook or (kind.gelatinises is not None and kind.gelatinises[0] > 60.0)


def test_every_other_word_leads_to_a_kind() -> None:
    assert set(grain.ALIASES.values()) <= set(grain.KINDS)
    assert not set(grain.ALIASES) & set(grain.KINDS)


@pytest.mark.parametrize(
    ("lintner", "verdict"),
    [
        (0.0, grain.PowerVerdict.TOO_LITTLE),
        (29.9, grain.PowerVerdict.TOO_LITTLE),
        (30.0, grain.PowerVerdict.SLOW),
        (40.0, grain.PowerVerdict.ENOUGH),
        (70.0, grain.PowerVerdict.FAST),
    ],
)
def test_the_power_of_a_grist_is_judged_in_four_steps(lintner: float, verdict: grain.PowerVerdict) -> None:
    # common practice: 30 and 70; Oxford Companion to Beer, 'Lintner': 35-40 is enough
    assert grain.power_verdict(lintner) is verdict
    assert verdict.advice


def test_units_of_diastatic_power_undo_each_other_and_nought_stays_nought() -> None:
    assert grain.windisch_kolbach_from_lintner(grain.lintner_from_windisch_kolbach(250.0)) == pytest.approx(
        250.0
    )
    assert grain.lintner_from_windisch_kolbach(0.0) == 0.0
    assert grain.windisch_kolbach_from_lintner(2.0) == 0.0


def test_a_grist_without_grain_has_no_power() -> None:
    with pytest.raises(OutOfRange, match="grist mass"):
        grain.grist_lintner([(0.0, 100.0)])


def test_no_malt_is_added_to_a_grist_with_power_enough() -> None:
    enough = grain.restoring_malt_kg(
        grist_kg=5.0, grist_lintner=100.0, activity_left=0.9, target_lintner=40.0, malt_lintner=100.0
    )
    assert enough == 0.0


@pytest.mark.parametrize(
    ("kind", "uncertainty", "band"),
    [("Pt100", 0.47, 1.0), ("digital", 0.42, 1.0), ("dial", 1.19, 2.39), ("glass", 0.65, 1.30)],
)
def test_a_band_is_twice_the_uncertainty_and_at_least_one_kelvin(
    kind: str, uncertainty: float, band: float
) -> None:
    # derived: root of (limit^2 / 3 + 0.3^2); limits from IEC 60751, a data sheet, EN 13190, common practice
    assert thermometer.standard_uncertainty(kind) == pytest.approx(uncertainty, abs=0.01)
    assert thermometer.band_kelvin(kind) == pytest.approx(band, abs=0.01)


def test_a_checked_thermometer_narrows_its_band() -> None:
    assert thermometer.band_kelvin("dial", 0.5) == 1.0
    assert thermometer.band_kelvin("dial", 3.0) > thermometer.band_kelvin("dial")


def test_the_mash_fills_what_water_and_grain_displace() -> None:
    # derived: 15 / 0.98055 + 0.67 * 5
    assert volumes.mash_litres(15.0, 5.0, 65.0) == pytest.approx(18.65, abs=0.005)


def test_headroom_is_a_hand_of_rim_or_a_twentieth_of_the_pot() -> None:
    # common practice: 4 cm over pi / 4 * 0.34^2 m2
    assert volumes.headroom_litres(30.0, 0.34) == pytest.approx(3.632, abs=0.001)
    assert volumes.headroom_litres(100.0, 0.2) == pytest.approx(5.0)
    # derived: as high as wide, 30 L has 0.337 m
    assert volumes.headroom_litres(30.0) == pytest.approx(3.565, abs=0.01)


@pytest.mark.parametrize(
    ("method", "litres"),
    [
        ("squeezed bag", 0.5),
        ("hung bag", 0.8),
        ("drained", 1.0),
        ("batch sparge", 1.0),
        ("on the grain", 0.0),
    ],
)
def test_grain_keeps_water_by_the_way_it_is_parted(method: str, litres: float) -> None:
    # Owens, Craft of Whiskey Distilling, p. 25, for drained; the others common practice
    assert volumes.absorption(method) == litres
    assert method in volumes.SEPARATIONS


def test_the_water_is_split_so_that_the_wash_is_reached() -> None:
    asked = {"wash_litres": 20.0, "grain_kg": 5.0, "absorption_l_per_kg": 0.8, "dead_litres": 0.5}
    full = volumes.water_split(**asked)
    assert (full.mash_litres, full.sparge_litres) == pytest.approx((24.5, 0.0))
    sparged = volumes.water_split(sparge=True, **asked)
    capped = volumes.water_split(sparge=True, most_mash_litres=12.0, **asked)
    assert capped.mash_litres == 12.0
    for split in (full, sparged, capped):
        assert split.total_litres == pytest.approx(24.5)
    runnings = volumes.first_runnings_litres(
        water_litres=sparged.mash_litres, grain_kg=5.0, absorption_l_per_kg=0.8, dead_litres=0.5
    )
    assert runnings == pytest.approx(sparged.sparge_litres)


def test_a_cap_below_what_the_grain_keeps_is_refused() -> None:
    with pytest.raises(OutOfRange, match="mash water"):
        volumes.water_split(wash_litres=20.0, grain_kg=5.0, absorption_l_per_kg=0.8, most_mash_litres=3.0)


def test_the_largest_grain_bill_fills_the_pot_exactly() -> None:
    # derived: 27 / (3 * 0.99820 / 0.98055 + 0.67)
    grain_kg = volumes.largest_grain_kg(usable_litres=27.0, thickness=3.0)
    assert grain_kg == pytest.approx(7.25, abs=0.01)
    assert volumes.mash_litres(water.mass_kg(3.0 * grain_kg), grain_kg, 65.0) == pytest.approx(27.0)


def test_a_grist_of_the_strongest_malt_is_as_strong_as_that() -> None:
    # a mean by mass is no more than its largest part, whatever the last digit of the sums
    assert grain.power_verdict(grain.grist_lintner([(0.001, 300.0), (1.0, 300.0)])) is grain.PowerVerdict.FAST
