"""How much yeast a wort asks for, and when it may go in."""

from __future__ import annotations

from enum import StrEnum

from mashday.science.limits import within

PITCH_RATE = 1.0
"""Million viable cells per mL and Plato. A yeast maker's published advice; ales 0.75, lagers 1.25-1.5."""

DRY_CELLS_PER_GRAM = 20e9
"""Live cells in a gram of dry yeast. A published figure; labels promise at least 5-6e9, the packet wins."""

WIDEST_SHOCK_KELVIN = 10.0
"""Most that yeast slurry and wort may differ when they meet, K. A yeast maker's published advice."""

HEAT_OF_FERMENTATION = 590.0
"""kJ given off by a kilogram of fermented extract. From memory."""

_PRACTICE = "common practice, no source"


class PitchVerdict(StrEnum):
    """Whether yeast may go into a wash at its temperature. Limits: common practice, no source."""

    TOO_COLD = "slow to start"
    GOOD = "good"
    WARM = "warm"
    TOO_HOT = "too hot"
    DEADLY = "kills yeast"

    @property
    def advice(self) -> str:
        """What to do."""
        return _ADVICE[self]


class SlurryVerdict(StrEnum):
    """Whether a slurry of yeast may meet the wash as warm as both are."""

    GOOD = "near enough"
    TOO_FAR = "too far apart"

    @property
    def advice(self) -> str:
        """What to do. Common practice, no source."""
        return _SLURRY_ADVICE[self]


_SLURRY_ADVICE = {
    SlurryVerdict.GOOD: "pour it in and stir",
    SlurryVerdict.TOO_FAR: "stir a little of the wash into it, wait 10 minutes, and again until they meet",
}
_ADVICE = {
    PitchVerdict.TOO_COLD: "it will start slowly: warm it a little if you can",
    PitchVerdict.GOOD: "pitch; the packet's own range wins",
    PitchVerdict.WARM: "it warms up further by itself: cool it a little, unless the packet says else",
    PitchVerdict.TOO_HOT: "cool it first",
    PitchVerdict.DEADLY: "yeast would die in it: cool it first",
}


def cells_to_pitch(litres: float, plato: float, rate: float = PITCH_RATE) -> float:
    """Viable cells for so much wort.

    Formula: cells = rate * 10^6 * V (mL) * P
    Takes: litres 0..100000 L; plato 0..45 Plato; rate 0.1..5 million per mL and Plato
    Gives: cells
    Source: the rate is a yeast maker's published advice; handbook rule of 1 million per mL and Plato
    Example: cells_to_pitch(20.0, 15.0) = 3.0e11
    """
    within("wort volume", litres, 0.0, 1e5, "L", _PRACTICE)
    within("extract", plato, 0.0, 45.0, "Plato", _PRACTICE)
    within("pitching rate", rate, 0.1, 5.0, "million cells per mL and Plato", _PRACTICE)
    return rate * 1e6 * litres * 1000.0 * plato


def dry_yeast_grams(cells: float, cells_per_gram: float = DRY_CELLS_PER_GRAM) -> float:
    """Dry yeast holding so many viable cells, g.

    Formula: m = cells / cells in a gram
    Takes: cells 0..10000000000000000; cells_per_gram 1000000000..50000000000
    Gives: g
    Source: a published count for the cells of a gram; arithmetic
    Example: dry_yeast_grams(3.0e11) = 15.0
    """
    within("cells", cells, 0.0, 1e16, "", _PRACTICE)
    return cells / within("cells in a gram", cells_per_gram, 1e9, 5e10, "per g", _PRACTICE)


def dry_yeast_grams_per_litre(
    plato: float, rate: float = PITCH_RATE, cells_per_gram: float = DRY_CELLS_PER_GRAM
) -> float:
    """Dry yeast for a litre of wort, g/L.

    Formula: rate * 10^9 * P / cells in a gram
    Takes: plato 0..45 Plato; rate 0.1..5 million per mL and Plato; cells_per_gram 1000000000..50000000000
    Gives: g/L
    Source: as cells_to_pitch and dry_yeast_grams
    Example: dry_yeast_grams_per_litre(15.0) = 0.75
    """
    return dry_yeast_grams(cells_to_pitch(1.0, plato, rate), cells_per_gram)


GOOD_PITCH_CELSIUS, HOTTEST_PITCH_CELSIUS = 30.0, 40.0
"""Up to the first any yeast is at ease, above the second it dies. Common practice, no source."""


def pitch_verdict(celsius: float) -> PitchVerdict:
    """Whether yeast may go into a wash of that temperature.

    Formula: table: below 15 cold, to 30 good, to 35 warm, to 40 too hot, above deadly
    Takes: celsius -5..110 degC
    Gives: a PitchVerdict
    Source: common practice, no source; distilling strains are sold for 25-35 degC
    Example: pitch_verdict(24.0) = good
    """
    at = within("wash temperature", celsius, -5.0, 110.0, "degC", _PRACTICE)
    if at < 15.0:
        return PitchVerdict.TOO_COLD
    if at <= GOOD_PITCH_CELSIUS:
        return PitchVerdict.GOOD
    if at <= 35.0:
        return PitchVerdict.WARM
    return PitchVerdict.TOO_HOT if at <= HOTTEST_PITCH_CELSIUS else PitchVerdict.DEADLY


def slurry_verdict(slurry_celsius: float, wash_celsius: float) -> SlurryVerdict:
    """Whether a slurry of yeast is near enough to the temperature of its wash.

    Formula: table: near enough up to 10 K apart
    Takes: slurry_celsius -5..50 degC; wash_celsius -5..110 degC
    Gives: a SlurryVerdict
    Source: a yeast maker's published advice, relayed
    Example: slurry_verdict(35.0, 22.0) = too far apart
    """
    slurry = within("temperature of the yeast slurry", slurry_celsius, -5.0, 50.0, "degC", _PRACTICE)
    wash = within("wash temperature", wash_celsius, -5.0, 110.0, "degC", _PRACTICE)
    near = abs(slurry - wash) <= WIDEST_SHOCK_KELVIN
    return SlurryVerdict.GOOD if near else SlurryVerdict.TOO_FAR


def fermentation_rise_kelvin(plato: float, fermented: float = 0.85) -> float:
    """How far fermentation could warm a wash that loses no heat, K: an upper bound.

    Formula: dT = q P f / (100 c), c = 4.0 kJ/(kg K)
    Takes: plato 0..45 Plato; fermented 0..1
    Gives: K
    Source: heat of fermentation from memory; heat balance (derived)
    Example: fermentation_rise_kelvin(15.0) = 18.8
    """
    extract = within("extract", plato, 0.0, 45.0, "Plato", _PRACTICE) / 100.0
    share = within("share of the extract fermented", fermented, 0.0, 1.0, "", "a fraction")
    return HEAT_OF_FERMENTATION * extract * share / 4.0
