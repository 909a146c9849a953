"""Workings of the heat of a mash: strike, landing, addition, decoction, fire, drift, boiling point."""

from __future__ import annotations

from mashday.science import heat, losses, volumes, water
from mashday.science.limits import within
from mashday.science.water import HOTTEST_CELSIUS, SPECIFIC_HEAT
from mashday.science.working import Answer, Figure, Line, Working, line

BALANCE_SOURCE = "Heat balance; specific heat of water 4.19 kJ/(kg K), within 0.1 K of IAPWS-95"
GRAIN_SOURCE = "grain after Pauls & Whites Brewing Room Book 1984/85"
COOLING_SOURCE = "Newton's law of cooling for a lumped pot"

FIRST_PORTION = 0.8
"""Share of an addition that goes in before the next stir and reading. Common practice, no source."""


def strike(
    *,
    target_celsius: float,
    contents_kj_per_k: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float = 0.0,
    vessel_kj_per_k: float = 0.0,
    vessel_celsius: float | None = None,
    loss_kj: float = 0.0,
    boiling_celsius: float = HOTTEST_CELSIUS,
    thickness_l_per_kg: float | None = None,
) -> Working:
    """Working of heat.strike_from_capacity; for plain water contents_kj_per_k is 4.19 times its mass.

    With a thickness the hand rule is told beside it.
    """
    answer = heat.strike_from_capacity(
        target_celsius=target_celsius,
        contents_kj_per_k=contents_kj_per_k,
        grain_kj_per_k=grain_kj_per_k,
        grain_celsius=grain_celsius,
        hydration_kj=hydration_kj,
        vessel_kj_per_k=vessel_kj_per_k,
        vessel_celsius=vessel_celsius,
        loss_kj=loss_kj,
        boiling_celsius=boiling_celsius,
    )
    grain_heat = grain_kj_per_k * (target_celsius - grain_celsius)
    steps = [line("grain takes up C_grain (T - T_grain) = {}", (grain_heat, "kJ"))]
    needed, carrier = grain_heat - hydration_kj + loss_kj, contents_kj_per_k
    formula = "T_strike = T + [C_grain (T - T_grain) - q + Q_loss] / C_contents"
    if vessel_celsius is None and vessel_kj_per_k > 0.0:
        formula = "T_strike = T + [C_grain (T - T_grain) - q + Q_loss] / (C_contents + C_vessel)"
        carrier += vessel_kj_per_k
    elif vessel_celsius is not None:
        formula = "T_strike = T + [C_grain (T - T_grain) + C_vessel (T - T_vessel) - q + Q_loss] / C_contents"
        vessel_heat = vessel_kj_per_k * (target_celsius - vessel_celsius)
        needed += vessel_heat
        steps.append(line("vessel takes up C_vessel (T - T_vessel) = {}", (vessel_heat, "kJ")))
    steps.append(line("heat wanted in all = {}, carried by {}", (needed, "kJ"), (carrier, "kJ/K")))
    steps.append(line("hotter than the target by {}", (needed / carrier, "K")))
    answers = [Answer("water_celsius", "heat the strike water to", answer, "degC")]
    if thickness_l_per_kg is not None:
        by_hand = heat.hand_rule_strike_celsius(
            target_celsius=target_celsius, grain_celsius=grain_celsius, thickness_l_per_kg=thickness_l_per_kg
        )
        answers.append(Answer("hand_rule_celsius", "the hand rule would say", by_hand, "degC"))
        steps.append(
            line(
                "hand rule T + {} / r (T - T_grain) with r = {}; it leaves out hydration, vessel and losses",
                (heat.HAND_RULE_FACTOR, "L/kg"),
                (thickness_l_per_kg, "L/kg"),
            )
        )
    return Working(
        answers=tuple(answers),
        formulas=(formula,),
        inputs=(
            Figure("T", target_celsius, "degC"),
            *_mixing_inputs(contents_kj_per_k, grain_kj_per_k, grain_celsius, hydration_kj, loss_kj),
            *_vessel_inputs(vessel_kj_per_k, vessel_celsius),
        ),
        steps=tuple(steps),
        assumes=_mixing_assumptions(vessel_kj_per_k, vessel_celsius, hydration_kj, loss_kj),
        source=_mixing_source(thickness_l_per_kg),
    )


def landing(
    *,
    contents_kj_per_k: float,
    contents_celsius: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float = 0.0,
    vessel_kj_per_k: float = 0.0,
    vessel_celsius: float | None = None,
    loss_kj: float = 0.0,
) -> Working:
    """Working of heat.landing_celsius."""
    answer = heat.landing_celsius(
        contents_kj_per_k=contents_kj_per_k,
        contents_celsius=contents_celsius,
        grain_kj_per_k=grain_kj_per_k,
        grain_celsius=grain_celsius,
        hydration_kj=hydration_kj,
        vessel_kj_per_k=vessel_kj_per_k,
        vessel_celsius=vessel_celsius,
        loss_kj=loss_kj,
    )
    whole = contents_kj_per_k + vessel_kj_per_k + grain_kj_per_k
    return Working(
        answers=(Answer("mash_celsius", "the mash should land at", answer, "degC"),),
        formulas=("T = (C_contents T_contents + C_vessel T_vessel + C_grain T_grain + q - Q_loss) / C_all",),
        inputs=(
            Figure("T_contents", contents_celsius, "degC"),
            *_mixing_inputs(contents_kj_per_k, grain_kj_per_k, grain_celsius, hydration_kj, loss_kj),
            *_vessel_inputs(vessel_kj_per_k, vessel_celsius),
        ),
        steps=(
            line("C_all = C_contents + C_vessel + C_grain = {}", (whole, "kJ/K")),
            line(
                "the contents give up C_contents (T_contents - T) = {}",
                _given_up(contents_kj_per_k, contents_celsius - answer),
            ),
            line(
                "the grain takes up C_grain (T - T_grain) = {}",
                _given_up(grain_kj_per_k, answer - grain_celsius),
            ),
        ),
        assumes=_mixing_assumptions(vessel_kj_per_k, vessel_celsius, hydration_kj, loss_kj),
        source=_mixing_source(None),
    )


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
            Answer("first_portion_litres", "of that, pour first", FIRST_PORTION * poured, "L"),
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
    pulled = within(
        "share of the mash to pull",
        share * capacity_kj_per_k / mash_kj_per_k,
        0.0,
        1.0,
        "",
        "there is one mash",
    )
    return Working(
        answers=(
            Answer("fraction", "share of the mash to pull and boil", pulled, "share"),
            Answer("litres", "that is, measured in the pot", pulled * mash_litres, "L"),
        ),
        formulas=("f = (T2 - T1) / (Td - T1) * C / C_mash",),
        inputs=(
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("Td", return_celsius, "degC"),
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("C_mash", mash_kj_per_k, "kJ/K"),
            Figure("mash", mash_litres, "L"),
        ),
        steps=(
            line("(T2 - T1) / (Td - T1) = {} of all the heat the pot holds per degree", (share, "share")),
        ),
        assumes=(
            Line("the pull is as thick as the mash, and what stays in the pot does not cool meanwhile"),
            Line("nothing boils away; carrying and pouring cost a tenth to a fifth more (common practice)"),
        ),
        source=BALANCE_SOURCE,
    )


def fire(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    kilowatts: float,
    efficiency: float,
    loss_w_per_k: float,
    room_celsius: float,
) -> Working:
    """Working of losses.heating_minutes."""
    answer = losses.heating_minutes(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        kilowatts=kilowatts,
        efficiency=efficiency,
        loss_w_per_k=loss_w_per_k,
        room_celsius=room_celsius,
    )
    into_pot = efficiency * kilowatts
    lost = loss_w_per_k * (0.5 * (from_celsius + to_celsius) - room_celsius) / 1000.0
    return Working(
        answers=(Answer("minutes", "fire for", answer, "min"),),
        formulas=("C dT/dt = e P - UA (T - T_room), from T1 to T2",),
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("P", kilowatts, "kW"),
            Figure("e", efficiency, "share"),
            Figure("UA", loss_w_per_k, "W/K"),
            Figure("T_room", room_celsius, "degC"),
        ),
        steps=(
            line("heat wanted C (T2 - T1) = {}", (capacity_kj_per_k * (to_celsius - from_celsius), "kJ")),
            line("the fire brings e P = {}; the pot loses {} half-way", (into_pot, "kW"), (lost, "kW")),
            line(
                "about {} a minute",
                ((to_celsius - from_celsius) / answer if answer else 0.0, "K"),
            ),
        ),
        assumes=(
            Line("lid on, stirred, nothing added"),
            line(
                "stop gas {} early and a hotplate {} early: what is hot below goes on giving",
                (0.75, "K"),
                (2.0, "K"),
            ),
        ),
        source=COOLING_SOURCE + " with a constant fire",
        cautions=_scorching(to_celsius - from_celsius, answer),
    )


def lid_off(
    *,
    capacity_kj_per_k: float,
    from_celsius: float,
    to_celsius: float,
    loss_w_per_k: float,
    room_celsius: float,
    area_m2: float,
) -> Working:
    """Working of losses.lid_off_minutes."""
    answer = losses.lid_off_minutes(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        loss_w_per_k=loss_w_per_k,
        room_celsius=room_celsius,
        area_m2=area_m2,
    )
    middle = (from_celsius + to_celsius) / 2.0
    surface = losses.open_surface_watts(middle, room_celsius, area_m2) / 1000.0
    walls = loss_w_per_k * (middle - room_celsius) / 1000.0
    return Working(
        answers=(Answer("minutes", "lid off for", answer, "min", about=True),),
        formulas=("t = C (T1 - T2) / (P_open + UA (T - T_room)), both at the middle of the span",),
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("UA", loss_w_per_k, "W/K"),
            Figure("T_room", room_celsius, "degC"),
        ),
        steps=(
            line("heat to lose C (T1 - T2) = {}", (capacity_kj_per_k * (from_celsius - to_celsius), "kJ")),
            line("the open surface loses {}, walls and bottom {}", (surface, "kW"), (walls, "kW")),
        ),
        assumes=(Line("still air, no wind over the pot"), Line("stirred now and then, no fire")),
        source=f"{COOLING_SOURCE}; open surface: fit to a published engineering table of open tanks",
    )


def drift(
    *,
    from_celsius: float,
    minutes: float,
    capacity_kj_per_k: float,
    loss_w_per_k: float,
    room_celsius: float,
) -> Working:
    """Working of losses.drift_celsius."""
    answer = losses.drift_celsius(
        from_celsius=from_celsius,
        minutes=minutes,
        capacity_kj_per_k=capacity_kj_per_k,
        loss_w_per_k=loss_w_per_k,
        room_celsius=room_celsius,
    )
    per_hour = 3.6 * loss_w_per_k / capacity_kj_per_k
    return Working(
        answers=(Answer("celsius", "temperature by then", answer, "degC"),),
        formulas=("T = T_room + (T1 - T_room) exp(-UA t / C)",),
        inputs=(
            Figure("T1", from_celsius, "degC"),
            Figure("t", minutes, "min"),
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("UA", loss_w_per_k, "W/K"),
            Figure("T_room", room_celsius, "degC"),
        ),
        steps=(
            line("UA / C = {}", (per_hour, "per hour")),
            line("at first {} an hour", (per_hour * (from_celsius - room_celsius), "K")),
        ),
        assumes=(
            Line("lid on, no fire, nothing added"),
            Line("pot and mash at one temperature, as when stirred"),
        ),
        source=COOLING_SOURCE,
    )


def boiling(altitude_metres: float) -> Working:
    """Working of water.boiling_celsius."""
    pressure = water.pressure_kpa(altitude_metres)
    return Working(
        answers=(Answer("celsius", "water boils at", water.boiling_celsius(altitude_metres), "degC"),),
        formulas=("p = 101.325 (1 - 0.0065 z / 288.15)^5.25588, then T of saturated steam at p",),
        inputs=(Figure("z", altitude_metres, "m"),),
        steps=(line("p = {}", (pressure, "kPa")),),
        assumes=(
            line("standard air; the weather moves it by up to {} either way", (1.0, "K")),
            line("wort boils {} or so higher (from memory), which is left out", (0.3, "K")),
        ),
        source="ISO 2533:1975 for the pressure; IAPWS-IF97 eq. 31",
    )


FASTEST_KELVIN_PER_MINUTE = 1.0
"""Rise beyond which a mash scorches at the bottom. Common practice, no source."""


def _scorching(kelvin: float, minutes: float) -> tuple[Line, ...]:
    if kelvin <= FASTEST_KELVIN_PER_MINUTE * minutes:
        return ()
    return (
        line(
            "Faster than {} a minute a mash scorches: turn the fire down and stir all the while.",
            (FASTEST_KELVIN_PER_MINUTE, "K"),
        ),
    )


def _given_up(kj_per_k: float, kelvin: float) -> tuple[float, str]:
    return kj_per_k * kelvin, "kJ"


def _mixing_source(thickness_l_per_kg: float | None) -> str:
    source = f"{BALANCE_SOURCE}; {GRAIN_SOURCE}"
    return source if thickness_l_per_kg is None else f"{source}; hand rule: Palmer, How to Brew, ch. 16"


def _mixing_inputs(
    contents_kj_per_k: float,
    grain_kj_per_k: float,
    grain_celsius: float,
    hydration_kj: float,
    loss_kj: float,
) -> tuple[Figure, ...]:
    return (
        Figure("C_contents", contents_kj_per_k, "kJ/K"),
        Figure("C_grain", grain_kj_per_k, "kJ/K"),
        Figure("T_grain", grain_celsius, "degC"),
        Figure("q", hydration_kj, "kJ"),
        Figure("Q_loss", loss_kj, "kJ"),
    )


def _vessel_inputs(vessel_kj_per_k: float, vessel_celsius: float | None) -> tuple[Figure, ...]:
    if vessel_kj_per_k == 0.0:
        return ()
    if vessel_celsius is None:
        return (Figure("C_vessel", vessel_kj_per_k, "kJ/K"),)
    return (Figure("C_vessel", vessel_kj_per_k, "kJ/K"), Figure("T_vessel", vessel_celsius, "degC"))


def _mixing_assumptions(
    vessel_kj_per_k: float, vessel_celsius: float | None, hydration_kj: float, loss_kj: float
) -> tuple[Line, ...]:
    assumed = []
    if vessel_kj_per_k == 0.0:
        assumed.append("the vessel takes up no heat")
    elif vessel_celsius is None:
        assumed.append("heated in the pot: the vessel is as hot as its contents")
    if hydration_kj == 0.0:
        assumed.append("no heat of hydration is counted")
    if loss_kj == 0.0:
        assumed.append("nothing is lost while doughing in")
    assumed.append("read after about 10 minutes and a stir: the last heat of hydration comes slowly")
    return tuple(Line(one) for one in assumed)
