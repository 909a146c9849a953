"""A working shows the number its function gives, and every line of it can be followed in either units."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from mashday.science import (
    alcohol,
    cooling,
    enzymes,
    grain,
    gravity,
    heat,
    losses,
    starch,
    volumes,
    water,
    working,
    wort,
    yeast,
)
from mashday.science.limits import OutOfRange
from mashday.science.workings import cooling as cooling_workings
from mashday.science.workings import dough_in, mash, sugar, wash
from mashday.science.workings import pot as pots
from mashday.science.workings import starch as starch_workings
from mashday.science.workings import thermometer as thermometer_workings
from mashday.science.workings import volumes as volume_workings

MIX = {
    "contents_kj_per_k": 62.85,
    "grain_kj_per_k": 8.5,
    "grain_celsius": 18.0,
    "hydration_kj": 100.0,
    "vessel_kj_per_k": 2.2,
    "loss_kj": 20.0,
}
STANDING = {
    "from_celsius": 66.0,
    "minutes": 30.0,
    "capacity_kj_per_k": 73.0,
    "loss_w_per_k": 4.0,
    "room_celsius": 20.0,
}
ADDED = {"capacity_kj_per_k": 73.85, "from_celsius": 62.0, "to_celsius": 67.0, "with_celsius": 96.0}
MASH = {"extract_as_is": 0.78, "moisture": 0.04, "water_per_kg": 3.0}
FIRE = {
    "capacity_kj_per_k": 73.85,
    "from_celsius": 62.0,
    "to_celsius": 72.0,
    "kilowatts": 2.0,
    "efficiency": 0.95,
    "loss_w_per_k": 4.0,
    "room_celsius": 20.0,
}
WORT = 4.19 * water.mass_kg(20.0)
COOLED = {"litres": 20.0, "from_celsius": 60.0, "to_celsius": 25.0}
SPAN = {"capacity_kj_per_k": WORT, "from_celsius": 60.0, "to_celsius": 25.0}
COIL = cooling.coil_w_per_k(w_per_m2_k=500.0, area_m2=0.47, coolant_l_per_minute=6.0)
AN_HOUR = starch.advance(starch.FRESH, 65.0, 60.0, thickness_l_per_kg=3.0)

WORKINGS: list[tuple[working.Working, float, str]] = [
    (
        dough_in.strike(target_celsius=63.0, **MIX),
        heat.strike_from_capacity(target_celsius=63.0, **MIX),
        "degC",
    ),
    (
        dough_in.strike(target_celsius=63.0, vessel_celsius=19.0, **MIX),
        heat.strike_from_capacity(target_celsius=63.0, vessel_celsius=19.0, **MIX),
        "degC",
    ),
    (
        dough_in.landing(contents_celsius=70.0, **MIX),
        heat.landing_celsius(contents_celsius=70.0, **MIX),
        "degC",
    ),
    (mash.addition(**ADDED), heat.addition_kg(**ADDED), "kg"),
    (
        mash.decoction(
            capacity_kj_per_k=73.85,
            mash_kj_per_k=71.35,
            mash_litres=18.65,
            from_celsius=62.0,
            to_celsius=72.0,
            return_celsius=98.0,
        ),
        # derived: 27.8 % of all the heat, 28.8 % of the mash where the pot holds 2.5 kJ/K
        10.0 / 36.0 * 73.85 / 71.35,
        "share",
    ),
    (pots.fire(**FIRE), losses.heating_minutes(**FIRE), "min"),
    (pots.drift(**STANDING), losses.drift_celsius(**STANDING), "degC"),
    (pots.boiling(1500.0), water.boiling_celsius(1500.0), "degC"),
    (sugar.hydrometer(1.05, 40.0), gravity.hydrometer_gravity(1.05, 40.0).gravity, "SG"),
    (sugar.converted(1.048), 1.048, "SG"),
    (sugar.refractometer(12.0), gravity.gravity(12.0 / 1.04), "SG"),
    (sugar.first_wort(**MASH), gravity.gravity(wort.first_wort_plato(**MASH)), "SG"),
    (sugar.conversion(plato=18.76, **MASH), wort.conversion(plato=18.76, **MASH), "share"),
    (sugar.dilution(20.0, 1.07, 1.06), wort.dilution_litres(20.0, 1.07, 1.06), "L"),
    (sugar.boil_down(20.0, 1.055, 1.06, 4.0), wort.boil_down_litres(20.0, 1.055, 1.06), "L"),
    (sugar.sugar(20.0, 1.05, 1.06, "sucrose", 1.0), wort.sugar_kg(20.0, 1.05, 1.06), "kg"),
    (wash.alcohol(1.06, 0.998, 20.0), alcohol.abv_percent(1.06, 0.998), "% vol"),
    (
        wash.yeast(20.0, 1.06, 1.0),
        yeast.dry_yeast_grams(yeast.cells_to_pitch(20.0, gravity.plato(1.06))),
        "g",
    ),
    (
        starch_workings.starch(((65.0, 60.0),), thickness_l_per_kg=3.0, crush="normal"),
        AN_HOUR.converted,
        "share",
    ),
    (
        starch_workings.enzyme_power((("barley malt", 4.0), ("raw maize", 1.0))),
        grain.grist_lintner(((4.0, 90.0), (1.0, 0.0))),
        "Lintner",
    ),
    (
        thermometer_workings.two_point(0.6, 98.9, 300.0, 63.0),
        (63.0 - 0.6) / ((98.9 - 0.6) / water.boiling_celsius(300.0)),
        "degC",
    ),
    (
        starch_workings.bottled("alpha-amylase", 5.0, 65.0, 5.4),
        enzymes.dose_grams("alpha-amylase", 5.0)[0],
        "g",
    ),
    (
        volume_workings.waters(grain_kg=5.0, wash_litres=28.0, method="batch sparge"),
        volumes.water_split(wash_litres=28.0, grain_kg=5.0, absorption_l_per_kg=1.0, sparge=True).mash_litres,
        "L",
    ),
    (
        cooling_workings.coil(coolant_celsius=12.0, l_per_minute=6.0, **COOLED),
        cooling.coil_minutes(coolant_celsius=12.0, w_per_k=COIL, **SPAN),
        "min",
    ),
    (
        cooling_workings.ice_bath(bath_celsius=2.0, w_per_k=50.0, **COOLED),
        cooling.coil_minutes(coolant_celsius=2.0, w_per_k=50.0, **SPAN),
        "min",
    ),
    (
        cooling_workings.cold_water(water_celsius=12.0, **COOLED),
        water.litres(heat.addition_kg(with_celsius=12.0, **SPAN), 12.0),
        "L",
    ),
    (cooling_workings.ice(ice_celsius=-18.0, **COOLED), cooling.ice_kg(ice_celsius=-18.0, **SPAN), "kg"),
    (
        cooling_workings.standing(room_celsius=20.0, loss_w_per_k=3.5, **COOLED),
        losses.minutes_until(room_celsius=20.0, loss_w_per_k=3.5, **SPAN),
        "min",
    ),
]

IDS = [f"{number}-{made.answers[0].key}" for number, (made, _, _) in enumerate(WORKINGS)]


@pytest.mark.parametrize(("shown", "answer", "unit"), WORKINGS, ids=IDS)
def test_a_working_gives_the_answer_of_its_function(shown: working.Working, answer: float, unit: str) -> None:
    assert shown.answer == pytest.approx(answer, rel=1e-12)
    assert shown.answers[0].unit == unit
    told = shown.lines()
    assert told[0] == f"{shown.answers[0].name}: {working.answered(shown.answers[0])}"
    assert told[len(shown.answers) : len(shown.answers) + len(shown.formulas)] == shown.formulas
    assert told[-1] == f"source: {shown.source}"
    assert [one for one in told if one.startswith("assumes: ")] == [
        f"assumes: {one}" for one in shown.assumed_lines()
    ]
    assert len(told) == len(shown.answers) + len(shown.working_lines()) + len(shown.assumes) + 1
    assert all(one == one.strip() and "\n" not in one for one in told)


@pytest.mark.parametrize("shown", [made for made, _, _ in WORKINGS], ids=IDS)
def test_every_working_has_formula_assumptions_and_source(shown: working.Working) -> None:
    assert shown.formulas and shown.assumes and shown.source
    keys = [one.key for one in shown.answers]
    assert len(set(keys)) == len(keys)
    assert all(re.fullmatch("[a-z0-9_]+", key) for key in keys)


@pytest.mark.parametrize("shown", [made for made, _, _ in WORKINGS], ids=IDS)
def test_no_metric_number_is_left_for_whoever_reads_us_units(shown: working.Working) -> None:
    measured = re.compile(r"\d (?:C|K|kg(?!/m3)|L|kJ|kJ/K|W/K|L/kg|L/min|L/h|kJ/kg)\b")
    said = [
        *shown.answer_lines("us"),
        *shown.working_lines("us")[len(shown.formulas) :],
        *shown.assumed_lines("us"),
        *shown.caution_lines("us"),
    ]
    kept = [one for one in said if measured.search(one.replace("20/20 C", "").replace("20 C", ""))]
    assert kept == []


def test_the_working_of_an_addition_can_be_read_from_top_to_bottom() -> None:
    # derived: 73.85 * 5 = 369.25 kJ; 4.19 * 29 = 121.51 kJ; 3.04 kg, 3.16 L at 96 degC
    assert mash.addition(**ADDED).lines() == (
        "water to add: 3.04 kg",
        "measured cold: 3.04 L",
        "measured as it is poured: 3.16 L",
        "of that, pour first: 2.53 L",
        "m = C (T2 - T1) / [c (Ta - T2)]",
        "C = 73.85 kJ/K",
        "T1 = 62.0 C",
        "T2 = 67.0 C",
        "Ta = 96.0 C",
        "c = 4.19 kJ/(kg K)",
        "the pot needs C (T2 - T1) = 369.2 kJ",
        "this water brings c (Ta - T2) = 121.5 kJ/kg",
        "3.04 kg of it measures 3.16 L at Ta",
        "then stir, read again, and pour the rest only as far as it is still wanted",
        "assumes: Ta is the temperature at which the water enters the mash",
        "assumes: the grain is already wet: no heat of hydration",
        "assumes: nothing is lost while pouring and stirring",
        "source: Heat balance; specific heat of water 4.19 kJ/(kg K), within 0.1 K of IAPWS-95",
    )


def test_the_same_sum_holds_when_it_is_followed_in_us_units() -> None:
    # C (T2 - T1) / [c (Ta - T2)] with the numbers as they are read in Btu, pounds and Fahrenheit
    read = dict(re.findall(r"^(\w+) = ([\d.]+) ", "\n".join(mash.addition(**ADDED).lines("us")), re.M))
    c, t1, t2, ta, water_c = (float(read[name]) for name in ("C", "T1", "T2", "Ta", "c"))
    pounds = c * (t2 - t1) / (water_c * (ta - t2))
    assert pounds == pytest.approx(heat.addition_kg(**ADDED) / 0.45359237, rel=0.002)


def test_what_is_left_out_of_a_strike_is_said() -> None:
    bare = dough_in.strike(
        target_celsius=63.0, contents_kj_per_k=62.85, grain_kj_per_k=8.5, grain_celsius=18.0
    )
    for left_out in (
        "the vessel takes up no heat",
        "no heat of hydration is counted",
        "nothing is lost while doughing in",
    ):
        assert left_out in bare.assumed_lines()
    full = dough_in.strike(target_celsius=63.0, vessel_celsius=19.0, **MIX)
    assert not any("no heat" in one or "nothing is lost" in one for one in full.assumed_lines())
    assert any("C_vessel (T - T_vessel)" in one for one in full.working_lines())


@pytest.mark.parametrize(
    ("celsius", "trust"), [(20, "kept"), (40, "rough"), (55, "estimate"), (65, "refused")]
)
def test_the_working_of_a_hydrometer_says_what_the_number_is_worth(celsius: float, trust: str) -> None:
    made = sugar.hydrometer(1.05, celsius)
    assert {one.key: one.value for one in made.answers}["trust"] == trust
    assert made.working_lines()[-1].startswith(f"{trust}: ")


def test_what_is_told_of_a_starch_that_stalled_is_what_its_iodine_shows() -> None:
    # the guard of the model: dead alpha-amylase does not stop its release, so nothing after that is told.
    # Alpha-amylase dies at 0.324 a minute at 80.6 degC (Brandam et al. 2003): a tenth is left after 7.1 min
    hot = starch_workings.starch(((80.6, 60.0),), thickness_l_per_kg=3.0, crush="normal")
    then = starch_workings.starch(((80.6, 7.25),), thickness_l_per_kg=3.0, crush="normal")
    assert hot.answers[0].value == then.answers[0].value
    assert isinstance(hot.answers[0].value, float) and 0.5 < hot.answers[0].value < 0.8
    told = " ".join(hot.working_lines())
    assert "no more than 63" in told and "blue-black" in told and "100" not in told


def test_a_starch_that_stalled_has_no_time_to_go_and_says_so() -> None:
    # model: alpha-amylase halves in about a minute at 85 degC, coarse grist releases a third in five
    stalled = starch_workings.starch(((30.0, 1.0), (85.0, 5.0)), thickness_l_per_kg=3.0, crush="coarse")
    assert stalled.answers[-1].key == "minutes_to_98"
    assert stalled.answers[-1].value is None
    assert "still to go to 98 % at the last temperature: never, at this temperature" in stalled.answer_lines()
    assert any("Not enough enzyme" in one for one in stalled.caution_lines())


@pytest.mark.parametrize(
    ("value", "unit", "units", "told"),
    [
        (1.05, "SG", "metric", "1.0500"),
        (65.04, "degC", "metric", "65.0 C"),
        (65.0, "degC", "us", "149.0 F"),
        (2.0, "K", "us", "3.6 F"),
        (0.12345, "", "metric", "0.1235"),
        (4.19, "kJ/(kg K)", "metric", "4.19 kJ/(kg K)"),
        (4.1868, "kJ/(kg K)", "us", "1.000 Btu/(lb F)"),  # the calorie of the International Tables
        (1000.0, "W", "metric", "1000 W"),
        (0.5, "share", "us", "50.0 %"),
        (float("inf"), "min", "metric", "never"),
    ],
)
def test_numbers_are_rounded_as_they_are_used(value: float, unit: str, units: str, told: str) -> None:
    assert working.told(value, unit, units) == told


def test_an_answer_can_be_a_word_or_a_yes_or_nothing_at_all() -> None:
    one = working.Answer("fits", "fits the pot", True)
    assert working.answered(one) == "yes"
    assert working.answered(replace(one, value=False)) == "no"
    assert working.answered(replace(one, value=None)) == "none"
    assert working.answered(replace(one, value="slow")) == "slow"
    assert working.answered(replace(one, value=0.5, unit="share", about=True)) == "about 50.0 %"


@pytest.mark.parametrize(
    "ask",
    [
        lambda: dough_in.strike(target_celsius=120.0, **MIX),
        lambda: mash.addition(**{**ADDED, "with_celsius": 60.0}),
        lambda: sugar.hydrometer(1.5, 20.0),
        lambda: cooling_workings.standing(
            litres=20.0, from_celsius=60.0, to_celsius=20.0, room_celsius=20.0, loss_w_per_k=3.5
        ),
        lambda: mash.decoction(
            capacity_kj_per_k=90.0,
            mash_kj_per_k=20.0,
            mash_litres=5.0,
            from_celsius=62.0,
            to_celsius=72.0,
            return_celsius=98.0,
        ),
    ],
)
def test_a_sum_that_is_refused_has_no_working(ask: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        ask()
