"""Bottled enzymes, by kind: where they work, what destroys them, how much. The label always wins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from mashday.science.limits import UnknownName, within


@dataclass(frozen=True, slots=True)
class BottledEnzyme:
    """One kind of enzyme as it is sold.

    does: what it makes of starch. adds_at: degC at which it is stirred in. destroyed_above: degC. ph: pH
    it likes; ph_at_all: pH at which it works at all. grams_per_kg: usual dose on dry grain, low and high.
    turn: 1 comes before 2 when both are used. marks: where each figure comes from.
    """

    name: str
    does: str
    adds_at: tuple[float, float]
    destroyed_above: float
    ph: tuple[float, float]
    ph_at_all: tuple[float, float]
    grams_per_kg: tuple[float, float]
    turn: int
    marks: Mapping[str, str]


_RELAYED = "trade data sheets, relayed"
_MEMORY = "from memory"
_PRACTICE = "common practice"

KINDS: dict[str, BottledEnzyme] = {
    one.name: one
    for one in (
        BottledEnzyme(
            "alpha-amylase",
            "makes the mash thin and breaks starch into dextrins",
            (56.0, 74.0),
            90.0,
            (5.5, 6.0),
            (4.5, 7.0),
            (0.3, 1.0),
            1,
            MappingProxyType(
                {
                    "adds_at": _RELAYED,
                    "destroyed_above": _RELAYED,
                    "ph": _RELAYED,
                    "ph_at_all": _RELAYED,
                    "grams_per_kg": _PRACTICE,
                }
            ),
        ),
        BottledEnzyme(
            "heat-stable alpha-amylase",
            "keeps a cooked cereal pourable",
            (80.0, 95.0),
            105.0,
            (5.6, 6.5),
            (5.0, 7.0),
            (0.4, 0.6),
            1,
            MappingProxyType(
                {
                    "adds_at": _PRACTICE,
                    "destroyed_above": _MEMORY,
                    "ph": _MEMORY,
                    "ph_at_all": _MEMORY,
                    "grams_per_kg": _MEMORY,
                }
            ),
        ),
        BottledEnzyme(
            "glucoamylase",
            "turns dextrins into sugar that yeast takes, also slowly in the fermenter",
            (25.0, 60.0),
            75.0,
            (4.0, 4.5),
            (2.8, 5.0),
            (0.6, 1.0),
            2,
            MappingProxyType(
                {
                    "adds_at": _RELAYED,
                    "destroyed_above": _RELAYED,
                    "ph": _RELAYED,
                    "ph_at_all": _RELAYED,
                    "grams_per_kg": _MEMORY,
                }
            ),
        ),
    )
}
"""Every kind by its name."""


class Verdict(StrEnum):
    """Whether an enzyme may go in now."""

    GOOD = "good"
    TOO_HOT = "too hot"
    TOO_COOL = "too cool"
    DESTROYED = "destroyed"
    WRONG_PH = "pH out of its range"

    @property
    def advice(self) -> str:
        """What to do."""
        return _ADVICE[self]


_ADVICE = {
    Verdict.GOOD: "stir it in well; the label says how much",
    Verdict.TOO_HOT: "it would not last: cool the mash first",
    Verdict.TOO_COOL: "it would work too slowly: warm the mash first",
    Verdict.DESTROYED: "it would be gone at once: cool the mash well below that first",
    Verdict.WRONG_PH: "bring the pH of a cooled sample into its range first",
}


def enzyme(name: str) -> BottledEnzyme:
    """The kind of bottled enzyme of that name.

    Formula: table
    Takes: name one of KINDS
    Gives: a BottledEnzyme
    Source: the marks of its figures
    Example: enzyme("glucoamylase").destroyed_above = 75
    """
    if name not in KINDS:
        raise UnknownName("kind of enzyme", name, KINDS)
    return KINDS[name]


def dose_grams(name: str, dry_grain_kg: float) -> tuple[float, float]:
    """Usual least and most of an enzyme for so much dry grain, g; a liquid weighs about 1 g/mL.

    The label wins: strengths differ tenfold between makers.

    Formula: m = dose * grain
    Takes: name one of KINDS; dry_grain_kg 0..10000 kg
    Gives: g, least and most
    Source: the marks of KINDS: common practice and memory, no source
    Example: dose_grams("alpha-amylase", 5.0) = (1.5, 5.0)
    """
    low, high = enzyme(name).grams_per_kg
    kilograms = within("grain mass", dry_grain_kg, 0.0, 1e4, "kg", "a mass is not negative")
    return low * kilograms, high * kilograms


def verdict(name: str, celsius: float, ph_at_20: float | None = None) -> Verdict:
    """Whether an enzyme may go into a mash at a temperature and, where known, the pH of a cooled sample.

    Formula: table of temperature and pH ranges
    Takes: name one of KINDS; celsius 0..110 degC; ph_at_20 2..10 or None
    Gives: a Verdict
    Source: the marks of KINDS
    Example: verdict("glucoamylase", 80.0) = destroyed
    """
    kind = enzyme(name)
    at = within("mash temperature", celsius, 0.0, 110.0, "degC", "what a mash can be")
    if ph_at_20 is not None:
        within("pH", ph_at_20, 2.0, 10.0, "", "what a mash can be")
    if at > kind.destroyed_above:
        return Verdict.DESTROYED
    if at > kind.adds_at[1]:
        return Verdict.TOO_HOT
    if at < kind.adds_at[0]:
        return Verdict.TOO_COOL
    if ph_at_20 is not None and not kind.ph_at_all[0] <= ph_at_20 <= kind.ph_at_all[1]:
        return Verdict.WRONG_PH
    return Verdict.GOOD
