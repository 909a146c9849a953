"""Workings of a dough-in: how hot the strike water has to be, and where the mash lands."""

from __future__ import annotations

from mashday.science import heat
from mashday.science.water import HOTTEST_CELSIUS
from mashday.science.working import Answer, Figure, Line, Working, line
from mashday.science.workings.mash import BALANCE_SOURCE

GRAIN_SOURCE = "grain after Pauls & Whites Brewing Room Book 1984/85"


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
