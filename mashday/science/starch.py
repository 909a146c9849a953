"""Starch in the mash: how much is converted, how fermentable it will be, which enzymes are left.

A reduced kinetic model. Gelatinisation and enzyme death after Brandam et al. 2003, Biochem. Eng. J.
13:43-52 (constants from memory, cross-checked); the share that becomes fermentable fitted to isothermal
mashes of a published attenuation study, relayed. Expect 5 points of attenuation, 30 % of time, and a
factor of 2-3 in the life of beta-amylase between malts. It holds for malt and opened grain; raw cereals
that were not cooked and odd pH are outside it. A grist of little enzyme is slowed by a resistance fitted to
two figures of practice: what it says there is an order of magnitude, and no promise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from mashday.science.alcohol import ATTENUATION_FACTOR
from mashday.science.grain import LINTNER, MOST_LINTNER
from mashday.science.limits import UnknownName, within

BRANDAM = "Brandam et al. 2003, Biochem. Eng. J. 13:43-52, reduced"

LONGEST_STEP_MINUTES = 0.25
"""Longest inner step; within 0.4 attenuation points of an exact solution, 0.6 for flour (derived)."""

LONGEST_GAP_MINUTES = 10.0
"""A gap between readings beyond which it is said that the model only guessed. Judgement, no source."""

TRUST = "about 5 points of attenuation and 30 % of the time either way; a measured gravity overrules it"
"""What the model is worth, in words. Derived from its disagreements with measured mashes."""

_GAS = 8.314
_CRUSH_PER_MINUTE = {"flour": 1.0, "fine": 0.22, "normal": 0.15, "coarse": 0.09}
CRUSHES = tuple(_CRUSH_PER_MINUTE)
"""The crushes known, finest first."""

LEAST_ALPHA, NEARLY_ALL = 0.10, 0.95
"""Alpha-amylase left below which a mash with less of its starch converted is not forecast. Judgement."""

FULL_LINTNER, SLOW_LINTNER = 40.0, 30.0
"""Diastatic power of a grist from which on the model holds as it was fitted, and that of one which is slow.
Least of a whole grist by an encyclopaedia, relayed; 90 minutes or more from 30 to 40 are common practice."""

_HYDROLYSIS_PER_MINUTE = 0.026
"""Sets the resistance of little enzyme: 98 % at 65 degC after 90 min where the grist has `SLOW_LINTNER`
(derived)."""

_FERMENTABLE_CEILING = 0.79
_SEARCH_MINUTES = 24.0 * 60.0


@dataclass(frozen=True, slots=True)
class Starch:
    """What has become of the starch: shares of all starch (released, fermentable) and of the enzymes left.

    gave_out: whether the enzymes were once all but gone before the starch was; what the model says of the
    time after that is more than such a mash does. power: enzyme the grist had at first, a share of what the
    model was fitted with (`power_of`); alpha and beta are shares of that.
    """

    released: float
    fermentable: float
    alpha: float
    beta: float
    gave_out: bool = False
    power: float = 1.0

    @property
    def converted(self) -> float:
        """Share of the starch converted, 0-1."""
        return self.released

    @property
    def true_rdf(self) -> float:
        """True degree of fermentation the wort allows, 0-1, enzymes stopped."""
        return (10.0 + 80.0 * self.fermentable) / (20.0 + 80.0 * self.released)

    @property
    def attenuation_limit_percent(self) -> float:
        """Apparent attenuation the wort allows, %, enzymes stopped: a lower bound for an unboiled wash."""
        return 100.0 * self.true_rdf / ATTENUATION_FACTOR

    @property
    def stalled(self) -> bool:
        """Whether too little alpha-amylase is or was left to finish: no forecast holds any more."""
        return self.gave_out or (self.power * self.alpha < LEAST_ALPHA and self.released < NEARLY_ALL)


FRESH = Starch(released=0.0, fermentable=0.0, alpha=1.0, beta=1.0)
"""Grain just doughed in, with enzyme enough."""


def power_of(lintner: float) -> float:
    """Enzyme of a grist by its mean diastatic power, a share of what the model was fitted with.

    Formula: L / 40, at most 1
    Takes: lintner 0..300 Lintner
    Gives: a fraction
    Source: 40 Lintner as the least of a whole grist, an encyclopaedia's figure, relayed
    Example: power_of(15.0) = 0.375
    """
    return min(1.0, within("diastatic power", lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER) / FULL_LINTNER)


def gelatinisation_per_minute(celsius: float) -> float:
    """Rate at which barley malt starch gelatinises, per minute: half of it in ln 2 over the rate.

    Two Arrhenius branches, joined between 59 and 61 degC. Half is open in 2.0 min at 65 degC.

    Formula: 60 * 5.7e31 exp(-220600 / (R T)) below 59 degC, 60 * 3.1e14 exp(-108300 / (R T)) above 61 degC
    Takes: celsius 0..102 degC
    Gives: per minute
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52 (constants from memory, cross-checked)
    Example: gelatinisation_per_minute(65.0) = 0.346
    """
    return _gelatinisation(_wet(celsius))


def alpha_death_per_minute(celsius: float) -> float:
    """Rate at which alpha-amylase is lost in a mash, per minute: half of it in ln 2 over the rate.

    Half is lost in 72 min at 65 degC.

    Formula: 60 * 6.9e30 exp(-224200 / (R T))
    Takes: celsius 0..102 degC
    Gives: per minute
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52 (constants from memory, cross-checked)
    Example: alpha_death_per_minute(65.0) = 0.00962
    """
    return 60.0 * 6.9e30 * math.exp(-224200.0 / (_GAS * (_wet(celsius) + 273.15)))


def beta_death_per_minute(celsius: float) -> float:
    """Rate at which beta-amylase is lost in a mash, per minute: half of it in ln 2 over the rate.

    Taken 2 K cooler than the source, which meets the half-life of Muller 1990 in a 2.5 L/kg mash: 10 min at
    65 degC. Between malts its life differs by a factor of 2-3. Known disagreement: a single exponential has
    no long tail; after 60 min at 65 degC it leaves 1.6 %, where Muller 1990, relayed, found 8 %.

    Formula: 60 * 7.6e60 exp(-410700 / (R (T - 2)))
    Takes: celsius 0..102 degC
    Gives: per minute
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52 (constants from memory), shifted to Muller 1990,
        relayed
    Example: beta_death_per_minute(65.0) = 0.0688
    """
    return 60.0 * 7.6e60 * math.exp(-410700.0 / (_GAS * (_wet(celsius) + 273.15 - 2.0)))


def advance(
    starch: Starch,
    celsius: float,
    minutes: float,
    *,
    thickness_l_per_kg: float,
    crush: str = "normal",
    extract_dry: float = 0.80,
    moisture: float = 0.045,
) -> Starch:
    """The starch after so many minutes at a temperature.

    Dissolved extract above 12 Plato raises the gelatinisation temperature by 1 K per 2.5 Plato (De Schepper
    and Courtin 2022). Expect 5 points of attenuation and 30 % of time.

    Known disagreements. Early sugar: after 10 min at 63 degC the model has 0.56 of the sugar of 60 min at 65
    degC, laboratory-ground malt 0.975 (Rittenauer et al. 2021, Foods 10:1733). Thick mash: going from 6.0 to
    2.5 L/kg at 63 degC costs the model 2 % of its sugar (ratio 0.977), a measured mash 16 % (ratio 0.835; De
    Schepper and Courtin 2022, Food Hydrocolloids 107745). Strong mash: at 62.7 degC for 60 min with malt 33 %
    of the mash it converts 0.955, where Harris and MacWilliam 1961 reached 0.95 only up to 16-25 %. The tail
    of beta-amylase: 1.6 % left after 60 min at 65 degC, where Muller 1990, relayed, found 8 %.

    Little enzyme (a power below 1) is one more resistance to the release of starch, (1 / power - 1) / k with
    k = 0.026 per minute, and less sugar from what is released: 98 % at 65 degC takes 90 min at 30 Lintner.

    Formula: balance of released starch, sugar and two enzymes in steps of a quarter minute
    Takes: starch a Starch; celsius 0..102 degC; minutes 0..2880 min; thickness_l_per_kg 0.8..20 L/kg;
        crush one of CRUSHES; extract_dry 0.3..1; moisture 0..0.2
    Gives: a Starch
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52, reduced; sugar fitted to a published study,
        relayed
    Example: advance(FRESH, 65.0, 60.0, thickness_l_per_kg=3.0, crush="fine").attenuation_limit_percent = 82.3
    """
    mash = _mash(thickness_l_per_kg, crush, extract_dry, moisture)
    _state(starch)
    within("mash temperature", celsius, 0.0, 102.0, "degC", BRANDAM)
    within("time", minutes, 0.0, 2880.0, "min", BRANDAM)
    count = max(1, math.ceil(minutes / LONGEST_STEP_MINUTES))
    rates = _rates(celsius, minutes / count)
    gave_out = starch.stalled
    for _ in range(count):
        starch = _step(starch, rates, mash)
        gave_out = gave_out or starch.stalled
    return replace(starch, gave_out=True) if gave_out else starch


@dataclass(frozen=True, slots=True)
class History:
    """The starch along a history of readings, and whether a gap in it was long enough to say so."""

    starch: Starch
    longest_gap_minutes: float

    @property
    def has_gap(self) -> bool:
        """Whether some of it was only joined by a straight line over more than 10 minutes."""
        return self.longest_gap_minutes > LONGEST_GAP_MINUTES


def along(
    readings: Sequence[tuple[float, float]],
    *,
    thickness_l_per_kg: float,
    crush: str = "normal",
    extract_dry: float = 0.80,
    moisture: float = 0.045,
) -> History:
    """The starch along (minute, degC) readings joined by straight lines, from fresh grist at the first.

    Formula: advance over each piece of at most 1 K between readings
    Takes: readings two or more pairs of minute and degC; thickness_l_per_kg 0.8..20 L/kg;
        crush one of CRUSHES; extract_dry 0.3..1; moisture 0..0.2
    Gives: a History
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52, reduced
    Example: along(((0.0, 65.0), (60.0, 65.0)), thickness_l_per_kg=3.0).starch.converted = 0.997
    """
    within("number of readings", len(readings), 2, 100_000, "", BRANDAM)
    now, longest = FRESH, 0.0
    for (began, start), (ended, end) in pairwise(readings):
        minutes = within("time between readings", ended - began, 0.0, 2880.0, "min", BRANDAM)
        longest = max(longest, minutes)
        pieces = max(1, math.ceil(abs(end - start)))
        for piece in range(pieces):
            celsius = start + (piece + 0.5) / pieces * (end - start)
            now = advance(
                now,
                celsius,
                minutes / pieces,
                thickness_l_per_kg=thickness_l_per_kg,
                crush=crush,
                extract_dry=extract_dry,
                moisture=moisture,
            )
    return History(now, longest)


def minutes_to(
    starch: Starch,
    fraction: float,
    celsius: float,
    *,
    thickness_l_per_kg: float,
    crush: str = "normal",
    extract_dry: float = 0.80,
    moisture: float = 0.045,
) -> float:
    """Minutes at a temperature until a fraction of the starch is converted, to a quarter minute.

    Infinite when it is not reached within a day or the enzymes give out before (Starch.stalled). Expect 30 %
    of time either way; what advance says of its disagreements holds here too.

    Formula: advance by quarter minutes until it is reached
    Takes: starch a Starch; fraction 0..0.999; celsius 0..102 degC; thickness_l_per_kg 0.8..20 L/kg;
        crush one of CRUSHES; extract_dry 0.3..1; moisture 0..0.2
    Gives: min
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52, reduced
    Example: minutes_to(FRESH, 0.98, 65.0, thickness_l_per_kg=3.0) = 40.50
    """
    mash = _mash(thickness_l_per_kg, crush, extract_dry, moisture)
    _state(starch)
    within("fraction converted", fraction, 0.0, 0.999, "", BRANDAM)
    rates = _rates(within("mash temperature", celsius, 0.0, 102.0, "degC", BRANDAM), LONGEST_STEP_MINUTES)
    elapsed = 0.0
    while starch.released < fraction:
        if elapsed >= _SEARCH_MINUTES or starch.stalled:
            return math.inf
        starch = _step(starch, rates, mash)
        elapsed += LONGEST_STEP_MINUTES
    return elapsed


def with_fresh_malt(starch: Starch, share_of_grist: float) -> Starch:
    """The starch after fresh malt, a share of the grist's mass, was stirred in.

    The malt is taken to have enzyme enough for itself.

    Formula: (x + s x_fresh) / (1 + s) for each share, the enzymes weighted by their power
    Takes: starch a Starch; share_of_grist 0..2
    Gives: a Starch
    Source: mean by mass (derived)
    Example: with_fresh_malt(Starch(0.9, 0.6, 0.5, 0.1), 0.2).beta = 0.25
    """
    _state(starch)
    added = within("fresh malt", share_of_grist, 0.0, 2.0, "of the grist", "mass balance")
    whole, power = 1.0 + added, starch.power + added
    return Starch(
        released=starch.released / whole,
        fermentable=starch.fermentable / whole,
        alpha=(starch.power * starch.alpha + added) / power if power else starch.alpha,
        beta=(starch.power * starch.beta + added) / power if power else starch.beta,
        power=power / whole,
    )


def corrected_to(starch: Starch, released: float) -> Starch:
    """The starch with its conversion replaced by a measured one, the fermentable part in proportion.

    Where nothing was converted yet, half of what was measured counts as fermentable (judgement).

    Formula: F = F1 measured / released, the enzymes as they are
    Takes: starch a Starch; released 0..1
    Gives: a Starch
    Source: judgement, no source: the measurement overrules the model
    Example: corrected_to(Starch(0.9, 0.6, 0.5, 0.1), 0.75).fermentable = 0.50
    """
    _state(starch)
    measured = within("measured conversion", released, 0.0, 1.0, "", "a fraction")
    share = 0.5 if starch.released == 0.0 else starch.fermentable / starch.released
    gave_out = starch.gave_out and measured < NEARLY_ALL
    return replace(starch, released=measured, fermentable=share * measured, gave_out=gave_out)


@dataclass(frozen=True, slots=True)
class _Mash:
    thickness: float
    crush_per_minute: float
    extract_dry: float
    moisture: float


@dataclass(frozen=True, slots=True)
class _Rates:
    celsius: float
    minutes: float
    alpha_kept: float
    beta_kept: float
    beta_mean: float
    alpha_sugar: float
    beta_sugar: float


def _mash(thickness: float, crush: str, extract_dry: float, moisture: float) -> _Mash:
    if crush not in _CRUSH_PER_MINUTE:
        raise UnknownName("crush", crush, CRUSHES)
    return _Mash(
        within("thickness", thickness, 0.8, 20.0, "L/kg", BRANDAM),
        _CRUSH_PER_MINUTE[crush],
        within("dry extract", extract_dry, 0.3, 1.0, "", BRANDAM),
        within("grain moisture", moisture, 0.0, 0.2, "", BRANDAM),
    )


def _wet(celsius: float) -> float:
    return within("mash temperature", celsius, 0.0, 102.0, "degC", BRANDAM)


def _state(starch: Starch) -> None:
    for name in ("released", "fermentable", "alpha", "beta", "power"):
        within(f"{name} share", getattr(starch, name), 0.0, 1.0, "", "a fraction")


def _rates(celsius: float, minutes: float) -> _Rates:
    kelvin = celsius + 273.15
    shift = 1.0 / kelvin - 1.0 / 338.15
    beta_loss = beta_death_per_minute(celsius) * minutes
    return _Rates(
        celsius=celsius,
        minutes=minutes,
        alpha_kept=math.exp(-alpha_death_per_minute(celsius) * minutes),
        beta_kept=math.exp(-beta_loss),
        beta_mean=-math.expm1(-beta_loss) / beta_loss if beta_loss > 1e-12 else 1.0,
        alpha_sugar=0.0335 * math.exp(-95000.0 / _GAS * shift),
        beta_sugar=0.100 * math.exp(-50000.0 / _GAS * shift),
    )


def _step(starch: Starch, rates: _Rates, mash: _Mash) -> Starch:
    dissolved = mash.extract_dry * (1.0 - mash.moisture) * (0.15 + 0.85 * starch.released)
    wort_plato = 100.0 * dissolved / (dissolved + mash.thickness + mash.moisture)
    effective = rates.celsius - max(0.0, (wort_plato - 12.0) / 2.5)
    release = 0.0
    if starch.power > 0.0:
        slowed = (1.0 / starch.power - 1.0) / _HYDROLYSIS_PER_MINUTE
        release = 1.0 / (1.0 / _gelatinisation(effective) + 1.0 / mash.crush_per_minute + slowed)
    released = starch.released - (1.0 - starch.released) * math.expm1(-release * rates.minutes)
    alpha_mean = starch.alpha * (1.0 + rates.alpha_kept) / 2.0
    beta_mean = starch.beta * rates.beta_mean
    fermentable = starch.fermentable + (0.05 + 0.40 * beta_mean) * (released - starch.released)
    ceiling = _FERMENTABLE_CEILING * released
    if fermentable < ceiling:
        sugar = starch.power * (rates.alpha_sugar * alpha_mean + rates.beta_sugar * beta_mean)
        fermentable = ceiling - (ceiling - fermentable) * math.exp(-sugar * rates.minutes)
    alpha, beta = starch.alpha * rates.alpha_kept, starch.beta * rates.beta_kept
    return Starch(released, fermentable, alpha, beta, power=starch.power)


def _gelatinisation(celsius: float) -> float:
    """Also below freezing: a thick mash gelatinises as if it were cooler than it is."""
    if celsius <= 59.0:
        return _slow_branch(celsius)
    if celsius >= 61.0:
        return _fast_branch(celsius)
    share = (celsius - 59.0) / 2.0
    return math.exp((1.0 - share) * math.log(_slow_branch(celsius)) + share * math.log(_fast_branch(celsius)))


def _slow_branch(celsius: float) -> float:
    return 60.0 * 5.7e31 * math.exp(-220600.0 / (_GAS * (celsius + 273.15)))


def _fast_branch(celsius: float) -> float:
    return 60.0 * 3.1e14 * math.exp(-108300.0 / (_GAS * (celsius + 273.15)))
