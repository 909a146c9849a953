"""A working shows the number its function gives, and every line of it can be followed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mashday.science import gravity, heat, losses, working
from mashday.science.limits import OutOfRange

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


@pytest.mark.parametrize(
    ("shown", "answer", "unit"),
    [
        (
            working.strike_working(target_celsius=63.0, **MIX),
            heat.strike_from_capacity(target_celsius=63.0, **MIX),
            "degC",
        ),
        (
            working.strike_working(target_celsius=63.0, vessel_celsius=19.0, **MIX),
            heat.strike_from_capacity(target_celsius=63.0, vessel_celsius=19.0, **MIX),
            "degC",
        ),
        (
            working.landing_working(contents_celsius=70.0, **MIX),
            heat.landing_celsius(contents_celsius=70.0, **MIX),
            "degC",
        ),
        (working.addition_working(**ADDED), heat.addition_kg(**ADDED), "kg"),
        (working.drift_working(**STANDING), losses.drift_celsius(**STANDING), "degC"),
        (working.hydrometer_working(1.05, 40.0), gravity.hydrometer_gravity(1.05, 40.0).gravity, "SG"),
        (working.first_wort_working(**MASH), gravity.first_wort_plato(**MASH), "Plato"),
    ],
)
def test_a_working_gives_the_answer_of_its_function(shown: working.Working, answer: float, unit: str) -> None:
    assert shown.answer == answer
    assert shown.unit == unit
    told = shown.lines()
    assert told[0] == f"{shown.asked}: {working.told(answer, unit)}"
    assert told[1] == shown.formula
    assert told[-1] == f"source: {shown.source}"
    assert [line for line in told if line.startswith("assumes: ")] == [
        f"assumes: {one}" for one in shown.assumes
    ]
    assert len(told) == 1 + len(shown.working_lines()) + len(shown.assumes) + 1
    assert all(line == line.strip() and "\n" not in line for line in told)


def test_the_working_of_an_addition_can_be_read_from_top_to_bottom() -> None:
    # derived: 73.85 * 5 = 369.25 kJ; 4.19 * 29 = 121.51 kJ; 3.04 kg, 3.16 L at 96 degC
    assert working.addition_working(**ADDED).lines() == (
        "water to add: 3.04 kg",
        "m = C (T2 - T1) / [c (Ta - T2)]",
        "C = 73.85 kJ/K",
        "T1 = 62.0 degC",
        "T2 = 67.0 degC",
        "Ta = 96.0 degC",
        "c = 4.19 kJ/(kg K)",
        "the pot needs C (T2 - T1) = 369.2 kJ",
        "a kilogram brings c (Ta - T2) = 121.5 kJ",
        "measured at Ta that is 3.16 L",
        "assumes: Ta is the temperature at which the water enters the mash",
        "assumes: the grain is already wet: no heat of hydration",
        "assumes: nothing is lost while pouring and stirring",
        "source: Heat balance; specific heat of water 4.19 kJ/(kg K), within 0.1 K of IAPWS-95",
    )


def test_what_is_left_out_of_a_strike_is_said() -> None:
    bare = working.strike_working(
        target_celsius=63.0, contents_kj_per_k=62.85, grain_kj_per_k=8.5, grain_celsius=18.0
    )
    assert "the vessel takes up no heat" in bare.assumes
    assert "no heat of hydration is counted" in bare.assumes
    assert "nothing is lost while doughing in" in bare.assumes
    full = working.strike_working(target_celsius=63.0, vessel_celsius=19.0, **MIX)
    assert not any("no heat" in one or "nothing is lost" in one for one in full.assumes)
    assert any("C_vessel (T - T_vessel)" in one for one in full.steps)


@pytest.mark.parametrize(
    ("celsius", "trust"), [(20, "kept"), (40, "rough"), (55, "estimate"), (65, "refused")]
)
def test_the_working_of_a_hydrometer_says_what_the_number_is_worth(celsius: float, trust: str) -> None:
    assert working.hydrometer_working(1.05, celsius).steps[-1].startswith(f"trust: {trust} (")


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (1.05, "SG", "1.0500"),
        (65.04, "degC", "65.0 degC"),
        (0.12345, "", "0.1235"),
        (4.19, "kJ/(kg K)", "4.19 kJ/(kg K)"),
        (1000.0, "W", "1000 W"),
    ],
)
def test_numbers_are_rounded_as_they_are_used(value: float, unit: str, told: str) -> None:
    assert working.told(value, unit) == told


@pytest.mark.parametrize(
    "ask",
    [
        lambda: working.strike_working(target_celsius=120.0, **MIX),
        lambda: working.addition_working(**{**ADDED, "with_celsius": 60.0}),
        lambda: working.hydrometer_working(1.5, 20.0),
    ],
)
def test_a_sum_that_is_refused_has_no_working(ask: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        ask()
