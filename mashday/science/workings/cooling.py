"""Workings of cooling a wort, one for each way."""

from __future__ import annotations

from mashday.science import cooling, heat, losses, water
from mashday.science.limits import OutOfRange
from mashday.science.water import SPECIFIC_HEAT
from mashday.science.working import Answer, Figure, Line, Working, line

COIL_SOURCE = (
    "heat exchanger with one fluid well mixed; Incropera, Fundamentals of Heat and Mass Transfer, ch. 11"
)
ICE_SOURCE = "heat balance with melting ice; heat of fusion of IAPWS R10-06 (2009)"
NEWTON_SOURCE = "Newton's law of cooling for a lumped pot"

COIL_AREA_M2 = 0.47
"""Surface of a usual immersion coil, m2: 15 m of 10 mm tube. An assumption, told with every answer."""


def capacity_kj_per_k(litres: float) -> float:
    """Heat capacity of so much wort, kJ/K, taken as water: 3-4 % too much for 15 Plato (derived)."""
    return SPECIFIC_HEAT * water.mass_kg(litres)


def coil(
    *, litres: float, from_celsius: float, to_celsius: float, coolant_celsius: float, l_per_minute: float
) -> Working:
    """Working of cooling.coil_minutes, with the water that runs through."""
    capacity = capacity_kj_per_k(litres)
    carried = cooling.coil_w_per_k(
        w_per_m2_k=cooling.STIRRED_COIL_W_PER_M2_K, area_m2=COIL_AREA_M2, coolant_l_per_minute=l_per_minute
    )
    span = {
        "capacity_kj_per_k": capacity,
        "from_celsius": from_celsius,
        "to_celsius": to_celsius,
        "coolant_celsius": coolant_celsius,
    }
    answer = cooling.coil_minutes(w_per_k=carried, **span)
    through = cooling.coil_coolant_litres(minutes=answer, coolant_l_per_minute=l_per_minute)
    still = cooling.coil_w_per_k(
        w_per_m2_k=cooling.STIRRED_COIL_W_PER_M2_K / 2.0,
        area_m2=COIL_AREA_M2,
        coolant_l_per_minute=l_per_minute,
    )
    unstirred = cooling.coil_minutes(w_per_k=still, **span)
    return Working(
        answers=(
            Answer("minutes", "run the coil for", answer, "min", about=True),
            Answer("litres", "water through the coil", through, "L", about=True),
        ),
        formulas=("t = C ln[(T1 - T_in) / (T2 - T_in)] / UA, UA = m c [1 - exp(-U A / (m c))]",),
        inputs=(
            Figure("C", capacity, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("T_in", coolant_celsius, "degC"),
            Figure("flow", l_per_minute, "L/min"),
        ),
        steps=(
            line("the coil carries off {}", (carried, "W/K")),
            line("without stirring about {}", (unstirred, "min")),
        ),
        assumes=(
            Line("a coil of 15 m of 10 mm tube (50 ft of 3/8 inch), and stirring all the while"),
            *_as_water(),
        ),
        source=COIL_SOURCE + "; U: judgement, no source",
    )


def ice_bath(
    *, litres: float, from_celsius: float, to_celsius: float, bath_celsius: float, w_per_k: float
) -> Working:
    """Minutes in a bath kept at a temperature, and the ice that keeps it there."""
    capacity = capacity_kj_per_k(litres)
    answer = cooling.coil_minutes(
        capacity_kj_per_k=capacity,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        coolant_celsius=bath_celsius,
        w_per_k=w_per_k,
    )
    ice = cooling.bath_ice_kg(
        capacity_kj_per_k=capacity,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        bath_celsius=bath_celsius,
    )
    return Working(
        answers=(
            Answer("minutes", "leave it in the bath for", answer, "min", about=True),
            Answer("ice_kilograms", "ice that melts meanwhile", ice, "kg", about=True),
        ),
        formulas=("t = C ln[(T1 - T_bath) / (T2 - T_bath)] / UA", "ice = C (T1 - T2) / (L + c T_bath)"),
        inputs=(
            Figure("C", capacity, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("T_bath", bath_celsius, "degC"),
            Figure("UA", w_per_k, "W/K"),
        ),
        steps=(line("heat to carry off C (T1 - T2) = {}", (capacity * (from_celsius - to_celsius), "kJ")),),
        assumes=(
            Line("bath and wort are stirred, and ice is added as it melts"),
            Line("the pot stands in the bath up to the wort's height"),
            *_as_water(),
        ),
        source=f"{NEWTON_SOURCE}; {ICE_SOURCE}",
    )


def cold_water(*, litres: float, from_celsius: float, to_celsius: float, water_celsius: float) -> Working:
    """Cold water to pour in: heat.addition_kg for a wort."""
    capacity = capacity_kj_per_k(litres)
    answer = heat.addition_kg(
        capacity_kj_per_k=capacity,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        with_celsius=water_celsius,
    )
    return Working(
        answers=(Answer("litres", "cold water to add", water.litres(answer, water_celsius), "L"),),
        formulas=("m = C (T1 - T2) / [c (T2 - Tw)]",),
        inputs=(
            Figure("C", capacity, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("Tw", water_celsius, "degC"),
        ),
        steps=(line("heat to take up C (T1 - T2) = {}", (capacity * (from_celsius - to_celsius), "kJ")),),
        assumes=(
            Line("it thins the wort: reckon the gravity with dilute; clean water only"),
            *_as_water(),
        ),
        source="heat balance",
    )


def ice(*, litres: float, from_celsius: float, to_celsius: float, ice_celsius: float) -> Working:
    """Ice to melt into the wort: cooling.ice_kg."""
    capacity = capacity_kj_per_k(litres)
    answer = cooling.ice_kg(
        capacity_kj_per_k=capacity,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        ice_celsius=ice_celsius,
    )
    return Working(
        answers=(
            Answer("ice_kilograms", "ice to melt into it", answer, "kg"),
            Answer("litres", "water it becomes, measured cold", water.litres(answer, 20.0), "L"),
        ),
        formulas=("m = C (T1 - T2) / [L + c_ice (0 - T_ice) + c T2]",),
        inputs=(
            Figure("C", capacity, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("T_ice", ice_celsius, "degC"),
        ),
        steps=(line("heat to take up C (T1 - T2) = {}", (capacity * (from_celsius - to_celsius), "kJ")),),
        assumes=(
            Line("it thins the wort: reckon the gravity with dilute; ice of clean, boiled water only"),
            *_as_water(),
        ),
        source=ICE_SOURCE,
    )


def standing(
    *, litres: float, from_celsius: float, to_celsius: float, room_celsius: float, loss_w_per_k: float
) -> Working:
    """Minutes of standing: losses.minutes_until. OutOfRange where the room is not cool enough."""
    capacity = capacity_kj_per_k(litres)
    if to_celsius < room_celsius + 0.5:
        raise OutOfRange(
            "temperature to cool to", to_celsius, room_celsius + 0.5, from_celsius, "degC", NEWTON_SOURCE
        )
    answer = losses.minutes_until(
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        capacity_kj_per_k=capacity,
        loss_w_per_k=loss_w_per_k,
        room_celsius=room_celsius,
    )
    return Working(
        answers=(Answer("minutes", "let it stand for", answer, "min", about=True),),
        formulas=("t = C ln[(T1 - T_room) / (T2 - T_room)] / UA",),
        inputs=(
            Figure("C", capacity, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("T_room", room_celsius, "degC"),
            Figure("UA", loss_w_per_k, "W/K"),
        ),
        steps=(Line(f"that is {answer / 60.0:.1f} hours"),),
        assumes=(Line("lid on; good to about a quarter either way"), *_as_water()),
        source=NEWTON_SOURCE,
    )


def _as_water() -> tuple[Line, ...]:
    return (Line("wort holds heat as water does, which is 3 to 4 % more than it really does"),)
