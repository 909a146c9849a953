"""A mash that does not fit its pot: by how much, what would do, and the largest like it that fits."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace

from mashday.quantities import show
from mashday.reckon import day_amounts
from mashday.reckon.answers import LEAST_WASH_LITRES, Answers
from mashday.reckon.given import Refused
from mashday.reckon.grain_bill import Mix, fitted
from mashday.science import volumes


def too_small(answers: Answers, mix: Mix) -> str:
    """By how much the mash does not fit, and what would do."""
    units = answers.units
    assert mix.outlook.mash is not None
    fills = mix.outlook.mash.in_pot_litres
    over = fills + volumes.headroom_litres(answers.pot_litres) - answers.pot_litres
    said = (
        f"The mash fills {show(fills, 'volume', units)} and wants room to be stirred:"
        f" {show(over, 'volume', units)} more than a pot of {show(answers.pot_litres, 'volume', units)} has."
    )
    ways = list(_ways(answers, mix, fills))
    return f"{said} What would do: {'; '.join(ways)}." if ways else said


def _ways(answers: Answers, mix: Mix, fills: float) -> Iterator[str]:
    units = answers.units
    smaller = largest(answers, mix)
    if smaller is not None:
        whole = fitted(smaller)
        yield (
            f"{show(whole.gives.wash_litres, 'volume', units)} of wash at {whole.gives.wash_gravity:.3f}"
            f" from {show(sum(whole.kilograms), 'mass', units)} of grain"
        )
    weaker = _weaker(answers)
    if weaker is not None:
        yield f"a gravity of {weaker:.3f}"
    if not answers.sparge and answers.by != "on the grain" and _fits(replace(answers, sparge=True)):
        yield "a sparge, which takes water out of the mash"
    larger = _larger_pot_litres(fills, answers)
    if larger is not None:
        yield f"a pot of {day_amounts.volume(larger, units)}"


def _fits(answers: Answers) -> bool:
    try:
        return fitted(answers).fits
    except Refused:
        return False


def largest(answers: Answers, mix: Mix) -> Answers | None:
    """The answers with as much of everything as fits, in the same proportions; None if that is no mash."""
    assert mix.outlook.mash is not None
    usable = answers.pot_litres - volumes.headroom_litres(answers.pot_litres)
    share = usable / mix.outlook.mash.in_pot_litres
    for _ in range(12):
        smaller = _scaled(answers, share)
        if smaller is None:
            return None
        if _fits(smaller):
            return smaller
        share *= 0.985
    return None


def _scaled(answers: Answers, share: float) -> Answers | None:
    units = answers.units
    step = 0.5 if units == "metric" else day_amounts.QUART_LITRES
    litres = answers.wash_litres
    if litres is not None:
        litres *= share
        litres = math.floor(litres / step) * step if litres > 20.0 * step else litres
        litres = day_amounts.measurable(litres, units, math.floor)
        if litres < LEAST_WASH_LITRES:
            return None
    bill = tuple(
        grain
        if grain.kilograms is None
        else replace(grain, kilograms=day_amounts.weighable(share * grain.kilograms, units))
        for grain in answers.grains
    )
    return replace(answers, grains=bill, wash_litres=litres)


def _weaker(answers: Answers) -> float | None:
    """The strongest gravity at which the same wash fits; None if none does."""
    if answers.weighed or answers.gravity is None:
        return None
    wishes = [replace(answers, gravity=1.0 + 0.005 * step) for step in range(6, 40)]
    wishes = [wish for wish in wishes if wish.gravity is not None and wish.gravity < answers.gravity]
    fitting = bisect_left(wishes, True, key=lambda wish: not _fits(wish))
    return wishes[fitting - 1].gravity if fitting else None


def _larger_pot_litres(fills: float, answers: Answers) -> float | None:
    step = 1.0 if answers.units == "metric" else day_amounts.GALLON_LITRES / 2.0
    for count in range(math.ceil(fills / step), math.floor(300.0 / step)):
        if count * step - volumes.headroom_litres(count * step) >= fills:
            return count * step
    return None
