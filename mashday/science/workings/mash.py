"""Workings of what brings a mash to another temperature: an addition, a decoction."""

from __future__ import annotations

from dataclasses import replace

from mashday.science import cooling, heat, volumes, water
from mashday.science.limits import within
from mashday.science.water import SPECIFIC_HEAT
from mashday.science.working import Answer, Figure, Line, Working, line

BALANCE_SOURCE = "Heat balance; specific heat of water 4.19 kJ/(kg K), within 0.1 K of IAPWS-95"


def addition(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    with_celsius: float,
    mash: tuple[float, float] | None = None,
) -> Working:
    """Working of heat.addition_kg; litres cold and as poured, and the first portion, stand beside it.

    With what is in the mash, litres of water and kg of grain, the hand rule is told too.
    """
    answer = heat.addition_kg(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        with_celsius=with_celsius,
    )
    poured = water.litres(answer, with_celsius)
    return Working(
        answers=(
            Answer("kilograms", "water to add", answer, "kg"),
            Answer("litres_cold", "measured cold", water.litres(answer, 20.0), "L"),
            Answer("litres_as_poured", "measured as it is poured", poured, "L"),
            Answer("first_portion_litres", "of that, pour first", heat.FIRST_PORTION * poured, "L"),
        ),
        formulas=("m = C (T2 - T1) / [c (Ta - T2)]",),
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("Ta", with_celsius, "degC"),
            Figure("c", SPECIFIC_HEAT, "kJ/(kg K)"),
        ),
        steps=(
            line("the pot needs C (T2 - T1) = {}", (capacity_kj_per_k * (to_celsius - from_celsius), "kJ")),
            line(
                "this water brings c (Ta - T2) = {}",
                (SPECIFIC_HEAT * (with_celsius - to_celsius), "kJ/kg"),
            ),
            line("{} of it measures {} at Ta", (answer, "kg"), (poured, "L")),
            *(() if mash is None else _with_it(mash, answer, from_celsius, to_celsius, with_celsius)),
            Line(
                "then stir, read again, and pour the rest only as far as it is still wanted"
                if answer > 0.0
                else "it is there already: pour nothing"
            ),
        ),
        assumes=(
            Line("Ta is the temperature at which the water enters the mash"),
            Line("the grain is already wet: no heat of hydration"),
            Line("nothing is lost while pouring and stirring"),
        ),
        source=BALANCE_SOURCE,
    )


def _with_it(
    mash: tuple[float, float], added_kg: float, from_celsius: float, to_celsius: float, with_celsius: float
) -> tuple[Line, ...]:
    """The mash with the addition in it, and what the hand rule would have said."""
    water_kg = water.mass_kg(mash[0]) + added_kg
    litres = heat.hand_rule_addition_litres(
        water_litres=mash[0],
        grain_kg=mash[1],
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        with_celsius=with_celsius,
    )
    return (
        line(
            "the mash then holds {} of water, measured cold, and fills {}",
            (water.litres(water_kg, 20.0), "L"),
            (volumes.mash_litres(water_kg, mash[1], to_celsius), "L"),
        ),
        line("the hand rule says {}; it leaves out the vessel and takes hot for cold", (litres, "L")),
    )


def ice(*, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, ice_celsius: float) -> Working:
    """Working of cooling.ice_kg, for ice that melts in the mash."""
    answer = cooling.ice_kg(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        ice_celsius=ice_celsius,
    )
    return Working(
        answers=(Answer("ice_kilograms", "ice to stir in", answer, "kg"),),
        formulas=("m = C (T1 - T2) / (L - c_ice T_ice + c T2)",),
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("T_ice", ice_celsius, "degC"),
            Figure("L", cooling.HEAT_OF_FUSION, "kJ/kg"),
        ),
        steps=(
            line(
                "the pot gives up C (T1 - T2) = {}", (capacity_kj_per_k * (from_celsius - to_celsius), "kJ")
            ),
        ),
        assumes=(Line("clean ice, all of it melted and stirred in; it stays in the mash as water"),),
        source="Heat balance; heat of fusion of IAPWS R10-06 (2009)",
    )


def decoction(
    *,
    capacity_kj_per_k: float,
    mash_kj_per_k: float,
    mash_litres: float,
    from_celsius: float,
    to_celsius: float,
    return_celsius: float,
) -> Working:
    """Share of the mash (0-1) to pull, boil and give back, and its litres at the mash's temperature.

    heat.decoction_fraction of the whole pot's heat capacity, drawn from the mash alone: the pull has the
    mash's own thickness. OutOfRange when more than the whole mash would have to be pulled.
    """
    share = heat.decoction_fraction(
        from_celsius=from_celsius, to_celsius=to_celsius, return_celsius=return_celsius
    )
    made = _taken_out(share, capacity_kj_per_k, mash_kj_per_k, mash_litres, "pull and boil")
    return replace(
        made,
        inputs=(*_temperatures(from_celsius, to_celsius, return_celsius), *made.inputs),
        assumes=(
            *made.assumes,
            Line("nothing boils away; carrying and pouring cost a tenth to a fifth more (common practice)"),
        ),
    )


def part_out(
    *,
    capacity_kj_per_k: float,
    mash_kj_per_k: float,
    mash_litres: float,
    from_celsius: float,
    to_celsius: float,
    return_celsius: float,
) -> Working:
    """Share of the mash (0-1) to take out, cool and give back, and its litres at the mash's temperature.

    OutOfRange when more than the whole mash would have to be taken out.
    """
    gap = within("cooling of the part", from_celsius - return_celsius, 0.1, 102.0, "K", BALANCE_SOURCE)
    share = (from_celsius - to_celsius) / gap
    made = _taken_out(share, capacity_kj_per_k, mash_kj_per_k, mash_litres, "take out and cool")
    return replace(made, inputs=(*_temperatures(from_celsius, to_celsius, return_celsius), *made.inputs))


def _temperatures(from_celsius: float, to_celsius: float, return_celsius: float) -> tuple[Figure, ...]:
    return (
        Figure("T1", from_celsius, "degC"),
        Figure("T2", to_celsius, "degC"),
        Figure("Td", return_celsius, "degC"),
    )


def _taken_out(
    share: float, capacity_kj_per_k: float, mash_kj_per_k: float, mash_litres: float, what: str
) -> Working:
    """A part of the mash that leaves the pot and comes back at another temperature."""
    taken = within(
        f"share of the mash to {what.split(maxsplit=1)[0]}",
        share * capacity_kj_per_k / mash_kj_per_k,
        0.0,
        1.0,
        "",
        "there is one mash",
    )
    return Working(
        answers=(
            Answer("fraction", f"share of the mash to {what}", taken, "share"),
            Answer("litres", "that is, measured in the pot", taken * mash_litres, "L"),
        ),
        formulas=("f = (T2 - T1) / (Td - T1) * C / C_mash",),
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("C_mash", mash_kj_per_k, "kJ/K"),
            Figure("mash", mash_litres, "L"),
        ),
        steps=(
            line("(T2 - T1) / (Td - T1) = {} of all the heat the pot holds per degree", (share, "share")),
        ),
        assumes=(
            Line("the pull is as thick as the mash, and what stays in the pot does not cool meanwhile"),
        ),
        source=BALANCE_SOURCE,
    )
