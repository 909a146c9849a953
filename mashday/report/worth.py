"""What a plan expects, and how far each figure may be trusted.

Three words for the worth of a figure: near (as good as the thermometer), rough (the sum is right, what goes
into it differs from day to day), estimate (usual for such a wash, no more).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from mashday.engine import contents as pot
from mashday.engine import extract
from mashday.engine.facts import PotKnown
from mashday.engine.prospect import Prospect, strike_meant
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.schedule.model import Boil, Schedule, Separate
from mashday.science import alcohol
from mashday.science.fit import DOUGH_IN_PRIOR_RATIO
from mashday.science.limits import OutOfRange
from mashday.science.starch import Starch

FERMENTATION_SPAN = 0.04
"""How far a wash may end from what is expected of it, true degree of fermentation: distillers' unboiled malt
washes end between 0.80 and 0.88. Common practice, no source."""
MODELLED_SPAN = 0.08
"""The same where the model of the starch alone says it. Judgement, see `science.starch.TRUST`."""
LESS_CONVERTED = 0.05
"""Share of the starch by which a mash easily falls short of the model. Judgement, no source."""
DOUGH_IN_KELVIN = 0.5
"""Standard deviation of one dough-in about what is usual in its pot, K. Judgement; see `science.fit`."""
NEAR_KELVIN = 1.3
"""A dough-in that lands within this is near enough to be put right by the spare water. Judgement."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A figure of the plan: what it is, its value, its worth, and why or how far off it may be."""

    name: str
    value: str
    worth: Literal["near", "rough", "estimate"]
    why: str


def landing_kelvin(dough_ins: int) -> float:
    """How far off a mash may land in a pot of so many known dough-ins, K: two standard deviations.

    Source: the mean of n dough-ins about a pot's own miss, with the spreads of `science.fit` (derived).
    """
    pot_variance = DOUGH_IN_KELVIN**2 / (dough_ins + DOUGH_IN_PRIOR_RATIO)
    return 2.0 * math.sqrt(DOUGH_IN_KELVIN**2 + pot_variance)


def expected(
    schedule: Schedule, plan: Prospect, known: PotKnown | None, units: Units
) -> tuple[Expected, ...]:
    """What the plan expects, figure by figure; what cannot be reckoned is left out."""
    found = []
    strike = strike_meant(schedule, plan)
    if strike is not None:
        found.append(_landing(strike.lands_at_celsius, known, units))
    if plan.expected is None:
        return tuple(found)
    aim, result = schedule.aim, plan.expected
    less = extract.expected(
        schedule, State(known=known), max(0.0, plan.conversion_end - LESS_CONVERTED), plan.starch_end
    )
    converts_less = f"if {100.0 * LESS_CONVERTED:.0f} % less converts"
    hoped_litres = "" if aim.wash_litres is None else f"; hoped {show(aim.wash_litres, 'volume', units)}"
    hoped = "" if aim.gravity is None else f"; hoped {aim.gravity:.3f}"
    on_the_grain = _is_left_on_the_grain(schedule)
    wash = show(result.wash_litres, "volume", units)
    found += [
        Expected(
            "first runnings",
            f"{result.first_runnings_gravity:.3f}",
            "rough",
            f"{less.first_runnings_gravity:.3f} {converts_less}" if less else "by the model",
        ),
        _conversion(plan),
        Expected(
            "wash",
            wash,
            "rough",
            f"{'without the grain in it' if on_the_grain else 'read it in the fermenter'}{hoped_litres}",
        ),
        Expected(
            "wash gravity",
            f"{result.wash_gravity:.3f}",
            "rough",
            f"{less.wash_gravity:.3f} {converts_less}{hoped}" if less else f"by the model{hoped}",
        ),
    ]
    found += _fermented(schedule, result, plan.starch_end)
    return tuple(_unsure(one) if plan.lacks_enzyme else one for one in found)


def _conversion(plan: Prospect) -> Expected:
    share = f"{100.0 * plan.conversion_end:.0f} %"
    if plan.lacks_enzyme:
        why = f"too little enzyme to tell; perhaps {share}, by the slowed model"
        return Expected("conversion", "not known", "estimate", why)
    if plan.enzyme_added:
        return Expected("conversion", share, "estimate", "if the enzyme added is enough; the iodine decides")
    return Expected("conversion", share, "rough", "by the model; the iodine decides")


OF_THE_CONVERSION = ("first runnings", "wash gravity", "attenuation", "end gravity", "alcohol")
"""Figures that no more is known of than of the conversion."""


def _unsure(one: Expected) -> Expected:
    """The same where the grist has too little enzyme to tell."""
    if one.name not in OF_THE_CONVERSION:
        return one
    return replace(one, value=f"{one.value}?", worth="estimate", why="not known: only if so much converts")


def _is_left_on_the_grain(schedule: Schedule) -> bool:
    number = pot.first_step(schedule, Separate)
    step = schedule.step(number) if number is not None else None
    return isinstance(step, Separate) and step.by == "on the grain"


def _landing(celsius: float, known: PotKnown | None, units: Units) -> Expected:
    count = len(known.dough_ins) if known is not None else 0
    within = landing_kelvin(count)
    told = f"within {show(within, 'temperature difference', units)}"
    by = "one dough-in" if count == 1 else f"{count} dough-ins"
    return Expected(
        "mash lands at",
        show(celsius, "temperature", units),
        "near" if within <= NEAR_KELVIN else "rough",
        f"{told}, by {by} in this pot" if count else f"{told}: this pot is not known yet",
    )


def _fermented(schedule: Schedule, result: extract.Yield, end: Starch) -> list[Expected]:
    """What yeast is to make of it: an estimate until both gravities are read."""
    boiled = pot.first_step(schedule, Boil) is not None
    goes_on = not boiled and end.alpha >= extract.ALPHA_THAT_GOES_ON
    span = FERMENTATION_SPAN if goes_on else MODELLED_SPAN
    most = min(1.0, result.true_fermentation + span)
    least = max(0.0, result.true_fermentation - span)
    original = min(result.wash_gravity, extract.STRONGEST_GRAVITY)
    try:
        ends = [alcohol.final_gravity(original, share) for share in (least, most)]
        weak, strong = (alcohol.abv_percent(original, final) for final in ends)
    except OutOfRange:
        return []
    why = "unboiled: its enzymes go on" if goes_on else "the mash was hot for its enzymes"
    if boiled:
        why = "boiled: what the mash leaves"
    between = f"{100.0 * least:.0f} to {100.0 * most:.0f} % true; {why}"
    return [
        Expected("attenuation", f"{100.0 * result.true_fermentation:.0f} %", "estimate", between),
        Expected(
            "end gravity",
            f"{result.final_gravity:.3f}",
            "estimate",
            f"{ends[1]:.3f} to {ends[0]:.3f} by that",
        ),
        Expected(
            "alcohol",
            f"{result.abv_percent:.1f} % vol",
            "estimate",
            f"{weak:.1f} to {strong:.1f}; to about 0.2 once measured",
        ),
    ]
