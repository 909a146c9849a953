"""Workings of what a pot gains and loses: fire, an open lid, standing; and where water boils."""

from __future__ import annotations

from mashday.science import losses, water
from mashday.science.working import Answer, Figure, Line, Working, line

COOLING_SOURCE = "Newton's law of cooling for a lumped pot"


FASTEST_KELVIN_PER_MINUTE = 1.0
"""Rise beyond which a mash scorches at the bottom. Common practice, no source."""


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


def _scorching(kelvin: float, minutes: float) -> tuple[Line, ...]:
    if kelvin <= FASTEST_KELVIN_PER_MINUTE * minutes:
        return ()
    return (
        line(
            "Faster than {} a minute a mash scorches: turn the fire down and stir all the while.",
            (FASTEST_KELVIN_PER_MINUTE, "K"),
        ),
    )
