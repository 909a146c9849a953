"""Grain and water for a wash, by the engine's own outlook.

What a mash gives follows from its proportions alone, so the search goes over litres of water to a kilogram
of grain, and the weight follows from the volume that is wanted.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from mashday.engine import contents
from mashday.engine.extract import Yield
from mashday.engine.prospect import Prospect, prospect
from mashday.engine.state import State
from mashday.quantities import show
from mashday.reckon import day_amounts
from mashday.reckon.answers import Answers
from mashday.reckon.day_amounts import Amounts
from mashday.reckon.day_table import day_table
from mashday.reckon.given import Refused
from mashday.schedule.model import Cook, Heat, Schedule, Separate
from mashday.science import volumes, water

THICKEST, THINNEST = 2.0, 20.0
"""L/kg between which a mash is looked for: stirred by hand at the one end, still a wash at the other."""

SPARGED_THICKNESS = 2.5
"""L/kg that a mash has at least when there is a sparge, room allowing. Common practice (2.5-4), no source."""

LEAST_SPARGE_LITRES = 0.5
"""A sparge smaller than this goes into the mash instead. Judgement."""


MOST_TRIES, NEAR_ENOUGH = 30, 3e-5
"""When a search ends: after so many tries, or this near, a share; well under what is weighed and measured."""


MOST_OFF_GRAVITY = 0.001
"""A wash further off what was wished is weighed out anew. Judgement."""


class Unreachable(Refused):
    """A wash that no mash of this grain gives; another wish for it would do."""


@dataclass(frozen=True, slots=True)
class Mix:
    """Grain and water, and what comes of them."""

    kilograms: tuple[float, ...]
    mash_litres: float
    sparge_litres: float
    outlook: Prospect

    @property
    def gives(self) -> Yield:
        assert self.outlook.expected is not None
        return self.outlook.expected

    @property
    def fits(self) -> bool:
        return self.outlook.mash is not None and self.outlook.mash.fits


class _Bench:
    """Candidates of one day, put together and looked at."""

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.absorption = volumes.absorption(answers.by)
        self._shares = answers.shares
        shape = Amounts(
            tuple(10.0 * max(0.001, share) for share in self._shares),
            mash_litres=30.0,
            sparge_litres=5.0 if answers.sparge else 0.0,
            wash_litres=20.0,
            gravity=1.05,
            yeast_grams=1.0,
            cook_litres=30.0 if answers.raw else None,
            malt_celsius=66.0 if answers.raw else None,
            cook_celsius=day_amounts.cook_celsius(answers, 66.0) if answers.raw else None,
        )
        self._shape = Schedule.model_validate(day_table(answers, shape))

    def mix(self, kilograms: tuple[float, ...], mash_litres: float, sparge_litres: float) -> Mix:
        """These amounts with their outlook."""
        steps = []
        for step in self._shape.steps:
            update = {}
            if isinstance(step, Heat | Cook):
                update = {"water_litres": mash_litres}
            elif isinstance(step, Separate):
                update = {"sparge_litres": sparge_litres}
            steps.append(step.model_copy(update=update))
        grains = [
            grain.model_copy(update={"mass_kg": kg})
            for grain, kg in zip(self._shape.grains, kilograms, strict=True)
        ]
        candidate = self._shape.model_copy(update={"grains": tuple(grains), "steps": tuple(steps)})
        return Mix(kilograms, mash_litres, sparge_litres, prospect(candidate, State()))

    def mixed(self, kilograms: tuple[float, ...], water_per_kg: float, thinnest: float) -> Mix:
        """This grain with so much water in all, L/kg, shared between mash and sparge."""
        total = sum(kilograms)
        mash = water_per_kg
        if self.answers.sparge:
            even = max(SPARGED_THICKNESS, (water_per_kg + self.absorption) / 2.0)
            mash = min(even, thinnest, water_per_kg)
            if (water_per_kg - mash) * total < LEAST_SPARGE_LITRES:
                mash = water_per_kg
        return self.mix(kilograms, mash * total, (water_per_kg - mash) * total)

    def whole(self, kilograms: float) -> tuple[float, ...]:
        """So much grain in all, by its shares."""
        return tuple(kilograms * share for share in self._shares)


def fitted(answers: Answers) -> Mix:
    """The mix asked for; where it does not fit and is sparged, one with less water in the mash.

    Unreachable where no mash of this grain gives it; whether it fits is asked of the mix.
    """
    bench = _Bench(answers)
    mix = _mix(bench, THINNEST)
    thinnest = THINNEST
    while answers.sparge and not mix.fits and thinnest > THICKEST:
        thinnest = max(THICKEST, min(0.99 * thinnest, _thinnest_that_fits(answers, sum(mix.kilograms))))
        mix = _mix(bench, thinnest)
    return mix


def _thinnest_that_fits(answers: Answers, kilograms: float) -> float:
    """Mash water that so much grain leaves room for, L/kg: see `science.volumes.mash_litres`."""
    room = answers.pot_litres - volumes.headroom_litres(answers.pot_litres)
    hot = max(0.0, room - volumes.DISPLACEMENT * kilograms)
    return water.litres(hot * water.density(contents.MASH_CELSIUS), 20.0) / kilograms


def _mix(bench: _Bench, thinnest: float) -> Mix:
    answers = bench.answers
    if answers.weighed:
        kilograms = tuple(grain.kilograms or 0.0 for grain in answers.grains)
        ratio = _ratio(bench, kilograms, thinnest)
        return _measured(answers, bench.mixed(kilograms, ratio, thinnest), bench)
    assert answers.wash_litres is not None and answers.gravity is not None
    trial = bench.whole(answers.wash_litres / 4.0)
    mix = bench.mixed(trial, _by_gravity(bench, trial, thinnest), thinnest)
    scale = answers.wash_litres / mix.gives.wash_litres
    kilograms = tuple(day_amounts.weighable(scale * kg, answers.units) for kg in trial)
    mix = _measured(answers, bench.mixed(kilograms, _by_wash(bench, kilograms, thinnest), thinnest), bench)
    return _weighed_anew(bench, mix)


def _weighed_anew(bench: _Bench, mix: Mix) -> Mix:
    """The mix with grain for its water as it is measured, where rounding took its gravity off."""
    wanted = bench.answers.gravity
    assert wanted is not None
    low, high = 0.5, 2.0
    if abs(mix.gives.wash_gravity - wanted) <= MOST_OFF_GRAVITY:
        return mix
    for _ in range(MOST_TRIES):
        middle = (low + high) / 2.0
        grain = tuple(middle * kg for kg in mix.kilograms)
        weaker = bench.mix(grain, mix.mash_litres, mix.sparge_litres).gives.wash_gravity < wanted
        low, high = (middle, high) if weaker else (low, middle)
    grain = tuple(day_amounts.weighable(low * kg, bench.answers.units) for kg in mix.kilograms)
    anew = bench.mix(grain, mix.mash_litres, mix.sparge_litres)
    return min(mix, anew, key=lambda one: abs(one.gives.wash_gravity - wanted))


def _ratio(bench: _Bench, kilograms: tuple[float, ...], thinnest: float) -> float:
    if bench.answers.wash_litres is not None:
        return _by_wash(bench, kilograms, thinnest)
    return _by_gravity(bench, kilograms, thinnest)


def _by_gravity(bench: _Bench, kilograms: tuple[float, ...], thinnest: float) -> float:
    """Water in all to a kilogram of grain that gives the gravity asked for, L/kg."""
    wanted = bench.answers.gravity
    assert wanted is not None

    def gravity(ratio: float) -> float:
        return bench.mixed(kilograms, ratio, thinnest).gives.wash_gravity

    strongest, weakest = gravity(THICKEST), gravity(THINNEST)
    if wanted > strongest:
        raise Unreachable(
            f"{wanted:.3f} is more than this grain gives this way: about {strongest:.3f} from the thickest"
            " mash that can be stirred. Ask for that or less."
        )
    if wanted < weakest:
        raise Unreachable(
            f"{wanted:.3f} is thinner than a mash is made: ask for {weakest:.3f} at least and add water."
        )
    return _root(gravity, wanted, strongest, weakest)


def _by_wash(bench: _Bench, kilograms: tuple[float, ...], thinnest: float) -> float:
    """Water in all to a kilogram of grain that gives the wash asked for, L/kg."""
    wanted = bench.answers.wash_litres
    assert wanted is not None

    def litres(ratio: float) -> float:
        return bench.mixed(kilograms, ratio, thinnest).gives.wash_litres

    least, most = litres(THICKEST), litres(THINNEST)
    if not least <= wanted <= most:
        units = bench.answers.units
        told = [show(one, "volume", units) for one in (wanted, least, most)]
        raise Unreachable(
            f"{show(sum(kilograms), 'mass', units)} of grain does not make {told[0]} of wash: from {told[1]}"
            f" to {told[2]} it does. Change the one or the other."
        )
    return _root(litres, wanted, least, most)


def _measured(answers: Answers, mix: Mix, bench: _Bench) -> Mix:
    """The mix with its waters as a jug measures them; the sparge takes what the rounding of the mash left."""
    whole = mix.mash_litres + mix.sparge_litres
    if not mix.sparge_litres:
        return bench.mix(mix.kilograms, day_amounts.measurable(whole, answers.units), 0.0)
    mash = day_amounts.measurable(mix.mash_litres, answers.units, math.floor)
    return bench.mix(mix.kilograms, mash, day_amounts.measurable(whole - mash, answers.units))


def _root(function: Callable[[float], float], wanted: float, thickest: float, thinnest: float) -> float:
    """Where a function that has these two values at THICKEST and THINNEST has the one wanted between them.

    By false position on the logarithm; an end that stays twice counts half (the Illinois rule; Dowell and
    Jarratt 1971, BIT 11).
    """
    low, high = math.log(THICKEST), math.log(THINNEST)
    below, above = thickest - wanted, thinnest - wanted
    stayed, middle = 0, low
    for _ in range(MOST_TRIES):
        if below == above or high - low < 1e-6:
            break
        middle = (low * above - high * below) / (above - below)
        found = function(math.exp(middle)) - wanted
        if abs(found) < NEAR_ENOUGH * wanted:
            break
        if (found > 0.0) == (above > 0.0):
            high, above = middle, found
            below *= 0.5 if stayed == 1 else 1.0
            stayed = 1
        else:
            low, below = middle, found
            above *= 0.5 if stayed == -1 else 1.0
            stayed = -1
    return math.exp(middle)
