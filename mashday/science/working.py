"""A result that shows its working: formula, numbers put in, steps between, assumptions, source."""

from __future__ import annotations

from dataclasses import dataclass

from mashday.science import gravity as gravities
from mashday.science import heat, losses
from mashday.science.water import HOTTEST_CELSIUS, SPECIFIC_HEAT, density

BALANCE_SOURCE = "Heat balance; specific heat of water 4.19 kJ/(kg K), within 0.1 K of IAPWS-95"
COOLING_SOURCE = "Newton's law of cooling for a lumped pot"

_DECIMALS = {
    "degC": 1,
    "K": 1,
    "kg": 2,
    "L": 2,
    "kJ": 1,
    "kJ/K": 2,
    "W/K": 2,
    "kW": 2,
    "min": 1,
    "Plato": 2,
    "SG": 4,
    "kg/kg": 2,
    "kg/m3": 2,
}

_TRUST_TOLD = {
    "kept": "the sample was cool enough: the number is kept as it is",
    "rough": "good to about 0.001 either way; a cooler sample is better",
    "estimate": "good to about 0.002 either way; cool the sample below 30 degC for a number worth keeping",
    "refused": "not a number to record at this temperature; bring the sample to 10-30 degC first",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """A named number with its unit."""

    name: str
    value: float
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.name} = {told(self.value, self.unit)}"


@dataclass(frozen=True, slots=True)
class Working:
    """A result and how it came about. Units are the ones of the science floor: degC, kg, L, kJ, min."""

    asked: str
    answer: float
    unit: str
    formula: str
    inputs: tuple[Figure, ...]
    steps: tuple[str, ...]
    assumes: tuple[str, ...]
    source: str

    def lines(self) -> tuple[str, ...]:
        """The whole working in plain lines, answer first."""
        return (
            f"{self.asked}: {told(self.answer, self.unit)}",
            *self.working_lines(),
            *(f"assumes: {one}" for one in self.assumes),
            f"source: {self.source}",
        )

    def working_lines(self) -> tuple[str, ...]:
        """Formula, numbers put in and steps between, one a line."""
        return (self.formula, *(str(one) for one in self.inputs), *self.steps)


def told(value: float, unit: str) -> str:
    """A number with its unit, rounded as the unit is used in practice; numbers without unit to 4 figures."""
    if unit == "SG":
        return f"{value:.{_DECIMALS[unit]}f}"
    return f"{value:.{_DECIMALS[unit]}f} {unit}" if unit in _DECIMALS else f"{value:.4g} {unit}".rstrip()


def strike_working(
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
) -> Working:
    """Working of heat.strike_from_capacity; for plain water contents_kj_per_k is 4.19 times its mass."""
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
    inputs = _mixing_inputs(contents_kj_per_k, grain_kj_per_k, grain_celsius, hydration_kj, loss_kj)
    steps = [f"grain takes up C_grain (T - T_grain) = {told(grain_heat, 'kJ')}"]
    needed, carrier = grain_heat - hydration_kj + loss_kj, contents_kj_per_k
    formula = "T_strike = T + [C_grain (T - T_grain) - q + Q_loss] / C_contents"
    if vessel_celsius is None and vessel_kj_per_k > 0.0:
        formula = "T_strike = T + [C_grain (T - T_grain) - q + Q_loss] / (C_contents + C_vessel)"
        carrier += vessel_kj_per_k
    elif vessel_celsius is not None:
        formula = "T_strike = T + [C_grain (T - T_grain) + C_vessel (T - T_vessel) - q + Q_loss] / C_contents"
        vessel_heat = vessel_kj_per_k * (target_celsius - vessel_celsius)
        needed += vessel_heat
        steps.append(f"vessel takes up C_vessel (T - T_vessel) = {told(vessel_heat, 'kJ')}")
    steps.append(f"heat wanted in all = {told(needed, 'kJ')}, carried by {told(carrier, 'kJ/K')}")
    steps.append(f"hotter than the target by {told(needed / carrier, 'K')}")
    return Working(
        asked="heat the strike water to",
        answer=answer,
        unit="degC",
        formula=formula,
        inputs=(
            Figure("T", target_celsius, "degC"),
            *inputs,
            *_vessel_inputs(vessel_kj_per_k, vessel_celsius),
        ),
        steps=tuple(steps),
        assumes=_mixing_assumptions(vessel_kj_per_k, vessel_celsius, hydration_kj, loss_kj),
        source=BALANCE_SOURCE,
    )


def landing_working(
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
        asked="the mash should land at",
        answer=answer,
        unit="degC",
        formula="T = (C_contents T_contents + C_vessel T_vessel + C_grain T_grain + q - Q_loss) / C_all",
        inputs=(
            Figure("T_contents", contents_celsius, "degC"),
            *_mixing_inputs(contents_kj_per_k, grain_kj_per_k, grain_celsius, hydration_kj, loss_kj),
            *_vessel_inputs(vessel_kj_per_k, vessel_celsius),
        ),
        steps=(
            f"C_all = C_contents + C_vessel + C_grain = {told(whole, 'kJ/K')}",
            f"heat in all above 0 degC = {told(answer * whole, 'kJ')}",
        ),
        assumes=_mixing_assumptions(vessel_kj_per_k, vessel_celsius, hydration_kj, loss_kj),
        source=BALANCE_SOURCE,
    )


def addition_working(
    *, capacity_kj_per_k: float, from_celsius: float, to_celsius: float, with_celsius: float
) -> Working:
    """Working of heat.addition_kg."""
    answer = heat.addition_kg(
        capacity_kj_per_k=capacity_kj_per_k,
        from_celsius=from_celsius,
        to_celsius=to_celsius,
        with_celsius=with_celsius,
    )
    return Working(
        asked="water to add",
        answer=answer,
        unit="kg",
        formula="m = C (T2 - T1) / [c (Ta - T2)]",
        inputs=(
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("T1", from_celsius, "degC"),
            Figure("T2", to_celsius, "degC"),
            Figure("Ta", with_celsius, "degC"),
            Figure("c", SPECIFIC_HEAT, "kJ/(kg K)"),
        ),
        steps=(
            f"the pot needs C (T2 - T1) = {told(capacity_kj_per_k * (to_celsius - from_celsius), 'kJ')}",
            f"a kilogram brings c (Ta - T2) = {told(SPECIFIC_HEAT * (with_celsius - to_celsius), 'kJ')}",
            f"measured at Ta that is {told(answer / density(with_celsius), 'L')}",
        ),
        assumes=(
            "Ta is the temperature at which the water enters the mash",
            "the grain is already wet: no heat of hydration",
            "nothing is lost while pouring and stirring",
        ),
        source=BALANCE_SOURCE,
    )


def drift_working(
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
        asked=f"temperature after {told(minutes, 'min')}",
        answer=answer,
        unit="degC",
        formula="T = T_room + (T1 - T_room) exp(-UA t / C)",
        inputs=(
            Figure("T1", from_celsius, "degC"),
            Figure("t", minutes, "min"),
            Figure("C", capacity_kj_per_k, "kJ/K"),
            Figure("UA", loss_w_per_k, "W/K"),
            Figure("T_room", room_celsius, "degC"),
        ),
        steps=(
            f"UA / C = {told(per_hour, 'per hour')}",
            f"at first {told(per_hour * (from_celsius - room_celsius), 'K')} an hour",
        ),
        assumes=("lid on, no fire, nothing added", "pot and mash at one temperature, as when stirred"),
        source=COOLING_SOURCE,
    )


def hydrometer_working(reading: float, sample_celsius: float, calibrated_celsius: float = 20.0) -> Working:
    """Working of gravity.hydrometer_gravity; its last step tells what the number is worth."""
    answer, trust = gravities.hydrometer_gravity(reading, sample_celsius, calibrated_celsius)
    plato = gravities.plato(answer)
    return Working(
        asked="gravity at 20 degC",
        answer=answer,
        unit="SG",
        formula="reading * water(T_cal) = density(P, T) [1 + 25e-6 (T - T_cal)], solved for P",
        inputs=(
            Figure("reading", reading, "SG"),
            Figure("T", sample_celsius, "degC"),
            Figure("T_cal", calibrated_celsius, "degC"),
        ),
        steps=(
            f"water(T_cal) = {told(gravities.sucrose_density(0.0, calibrated_celsius), 'kg/m3')}",
            f"density(P, T) = {told(gravities.sucrose_density(plato, sample_celsius), 'kg/m3')}",
            f"P = {told(plato, 'Plato')}",
            f"correction {answer - reading:+.4f}",
            f"trust: {trust} ({_TRUST_TOLD[trust]})",
        ),
        assumes=(
            "the sample is unfermented wort, mixed and without grain",
            "thermometer and hydrometer stood in the same sample",
        ),
        source="ICUMSA SPS-4 (1998) density of sugar solutions; glass expansion, ISO 1768:1975",
    )


def first_wort_working(
    *, extract_as_is: float, moisture: float, water_per_kg: float, conversion: float = 1.0
) -> Working:
    """Working of gravity.first_wort_plato; its last step gives the gravity."""
    answer = gravities.first_wort_plato(
        extract_as_is=extract_as_is, moisture=moisture, water_per_kg=water_per_kg, conversion=conversion
    )
    dissolved = conversion * extract_as_is
    return Working(
        asked="extract of the mash liquid",
        answer=answer,
        unit="Plato",
        formula="P = 100 h e / (R + M + h e)",
        inputs=(
            Figure("e", extract_as_is, "kg/kg"),
            Figure("M", moisture, "kg/kg"),
            Figure("R", water_per_kg, "kg/kg"),
            Figure("h", conversion),
        ),
        steps=(
            f"dissolved extract h e = {told(dissolved, 'kg/kg')}",
            f"liquid R + M + h e = {told(water_per_kg + moisture + dissolved, 'kg/kg')}",
            f"gravity = {told(gravities.gravity(answer), 'SG')}",
        ),
        assumes=("all water in the mash is counted, additions too", "the mash is stirred to one strength"),
        source="Mass balance of the EBC 4.5.1 / ASBC Malt-4 extract method",
    )


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
) -> tuple[str, ...]:
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
    return tuple(assumed)
