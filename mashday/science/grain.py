"""The grain table: what each kind yields, holds and needs; enzyme power of a grist.

Figures are class values to be overridden by a maltster's sheet. Where two are printed the middle is
taken. Each figure has its mark: the work named, "common practice", "from memory" or "by definition".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Literal

from mashday.science.limits import OutOfRange, UnknownName, within

Form = Literal["malt", "roasted", "raw", "flaked", "torrefied", "sugar"]

MOST_LINTNER = 300.0
"""No malt is stronger. Judgement."""
LINTNER = "EBC/ASBC relation, Oxford Companion to Beer, 'Lintner'"

_TGL = "TGL 17756:1966 as quoted by trade notes"
_IOB = "Institute of Brewing, Introduction to Brewing Science and Technology II"
_PATINDOL = "Patindol et al. 2012, Starch 64:517-523"
_ANNOR = "Annor et al. 2014, Cereal Chem."
_BAILEY = "Bailey 1907, relayed"
_BRIGGS = "Briggs et al. 2004, Brewing: Science and Practice, from memory"
_ASSAY = "an assay maker's classes, relayed"
_NO_ENZYME = "trade notes, relayed: no malt enzymes"
_DEFINITION = "by definition; dextrose monohydrate by molar masses"
_PRACTICE = "common practice"
_MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Cook:
    """How a raw cereal is cooked before the malt: temperatures in degC, minutes at it."""

    low_celsius: float
    high_celsius: float
    low_minutes: float
    high_minutes: float


@dataclass(frozen=True, slots=True)
class GrainKind:
    """One kind of grain.

    extract_dry: fraction of the dry mass. moisture: fraction of the mass as it is. lintner: diastatic
    power. gelatinises: where its starch begins to open, degC, None when it needs none of it. needs_cook:
    whether it must be cooked before the malt; cook: how, where cooking must or may be done. marks: where
    each of these figures comes from, by its name.
    """

    name: str
    form: Form
    extract_dry: float
    moisture: float
    lintner: float
    gelatinises: tuple[float, float] | None
    needs_cook: bool
    cook: Cook | None
    marks: Mapping[str, str]

    @property
    def extract_as_is(self) -> float:
        """Extract as a fraction of the mass as it is."""
        return self.extract_dry * (1.0 - self.moisture)


MALT_PASTING = (57.5, 59.8)
"""Where starch of barley malt begins to thicken the mash, degC. Rittenauer et al. 2021, Foods 10:1733."""

MALT_SACCHARIFIED = (61.4, 64.5)
"""Where 10 minutes gave laboratory mashes nearly all their sugar, degC. Rittenauer et al. 2021."""

_MALT_STARCH = (58.5, 64.3)
_BOIL_LONG = Cook(95.0, 100.0, 30.0, 90.0)
_BOIL = Cook(95.0, 100.0, 30.0, 45.0)
_SOFT_COOK = Cook(75.0, 85.0, 20.0, 30.0)
_OAT_COOK = Cook(70.0, 80.0, 20.0, 20.0)


def _kind(
    name: str,
    form: Form,
    extract_dry: float,
    moisture: float,
    lintner: float,
    extract_mark: str,
    *,
    power_mark: str,
    moisture_mark: str,
    gelatinises: tuple[float, float] | None = None,
    starch_mark: str = "",
    cook: Cook | None = None,
    needs_cook: bool = False,
) -> GrainKind:
    marks = {"extract_dry": extract_mark, "moisture": moisture_mark, "lintner": power_mark}
    if gelatinises is not None:
        marks["gelatinises"] = starch_mark
    if cook is not None:
        marks["cook"] = marks["needs_cook"] = _PRACTICE
    return GrainKind(
        name,
        form,
        extract_dry,
        moisture,
        lintner,
        gelatinises,
        needs_cook,
        cook,
        MappingProxyType(marks),
    )


def _malt(
    name: str,
    extract_dry: float,
    moisture: float,
    lintner: float,
    extract_mark: str,
    power_mark: str = _PRACTICE,
    *,
    gelatinises: tuple[float, float] = _MALT_STARCH,
    starch_mark: str = _PATINDOL,
    moisture_mark: str = _PRACTICE,
) -> GrainKind:
    return _kind(
        name,
        "malt",
        extract_dry,
        moisture,
        lintner,
        extract_mark,
        power_mark=power_mark,
        moisture_mark=moisture_mark,
        gelatinises=gelatinises,
        starch_mark=starch_mark,
    )


def _roasted(name: str, extract_dry: float, moisture: float, extract_mark: str) -> GrainKind:
    return _kind(
        name,
        "roasted",
        extract_dry,
        moisture,
        0.0,
        extract_mark,
        power_mark=_NO_ENZYME,
        moisture_mark=_PRACTICE,
    )


def _raw(
    name: str,
    extract_dry: float,
    gelatinises: tuple[float, float],
    cook: Cook,
    extract_mark: str,
    starch_mark: str,
    *,
    needs_cook: bool = False,
) -> GrainKind:
    return _kind(
        name,
        "raw",
        extract_dry,
        0.12,
        0.0,
        extract_mark,
        power_mark=_NO_ENZYME,
        moisture_mark=_PRACTICE,
        gelatinises=gelatinises,
        starch_mark=starch_mark,
        cook=cook,
        needs_cook=needs_cook,
    )


def _opened(
    name: str, form: Form, extract_dry: float, moisture: float, extract_mark: str = _MEMORY
) -> GrainKind:
    return _kind(
        name,
        form,
        extract_dry,
        moisture,
        0.0,
        extract_mark,
        power_mark=_NO_ENZYME,
        moisture_mark=extract_mark,
    )


_ALL = (
    _malt("barley malt", 0.80, 0.04, 90.0, _PRACTICE, _ASSAY),
    _malt("pilsner malt", 0.81, 0.045, 100.0, _PRACTICE),
    _malt("pale malt", 0.80, 0.04, 60.0, _PRACTICE),
    _malt("distiller's malt", 0.79, 0.05, 200.0, _PRACTICE, _ASSAY),
    _malt("Munich malt", 0.775, 0.045, 40.0, _TGL),
    _malt("Vienna malt", 0.79, 0.045, 50.0, _PRACTICE),
    _malt("aromatic malt", 0.77, 0.04, 20.0, _PRACTICE),
    _malt("wheat malt", 0.8375, 0.05, 160.0, _TGL, gelatinises=(52.0, 54.0), starch_mark=_IOB),
    _malt("rye malt", 0.815, 0.05, 105.0, _MEMORY, gelatinises=(49.0, 61.0), starch_mark=_BRIGGS),
    _malt(
        "oat malt",
        0.65,
        0.08,
        30.0,
        _MEMORY,
        _MEMORY,
        gelatinises=(52.0, 64.0),
        starch_mark=_BRIGGS,
        moisture_mark=_MEMORY,
    ),
    _roasted("crystal malt", 0.72, 0.045, _TGL),
    _roasted("roasted malt", 0.65, 0.025, _TGL),
    _roasted("roasted barley", 0.65, 0.025, _MEMORY),
    _raw("raw barley", 0.745, (61.0, 62.0), _SOFT_COOK, _MEMORY, _IOB),
    _raw("raw wheat", 0.80, (52.0, 54.0), _SOFT_COOK, _MEMORY, _IOB),
    _raw("raw rye", 0.775, (49.0, 61.0), _SOFT_COOK, _MEMORY, _BRIGGS),
    _raw("raw oats", 0.65, (52.0, 64.0), _OAT_COOK, _MEMORY, _BRIGGS),
    _raw("raw maize", 0.85, (70.0, 75.0), _BOIL_LONG, _BAILEY, _IOB, needs_cook=True),
    _raw("raw rice", 0.93, (68.0, 75.0), _BOIL, _MEMORY, _IOB, needs_cook=True),
    _raw("raw sorghum", 0.82, (70.0, 75.0), _BOIL, _MEMORY, _IOB, needs_cook=True),
    _raw("raw millet", 0.70, (62.8, 70.6), _BOIL, _MEMORY, _ANNOR, needs_cook=True),
    _raw("potato starch", 1.0, (56.0, 69.0), _OAT_COOK, _MEMORY, _IOB),
    _opened("flaked maize", "flaked", 0.89, 0.10),
    _opened("flaked barley", "flaked", 0.745, 0.10),
    _opened("flaked wheat", "flaked", 0.80, 0.10),
    _opened("flaked rye", "flaked", 0.775, 0.10),
    _opened("flaked oats", "flaked", 0.725, 0.08),
    _opened("flaked rice", "flaked", 0.93, 0.10),
    _opened("torrefied wheat", "torrefied", 0.80, 0.08),
    _opened("torrefied barley", "torrefied", 0.745, 0.08),
    _opened("torrefied maize", "torrefied", 0.88, 0.08),
    _opened("sucrose", "sugar", 1.0, 0.0, _DEFINITION),
    _opened("dextrose", "sugar", 1.0, 0.0909, _DEFINITION),
)

KINDS: dict[str, GrainKind] = {one.name: one for one in _ALL}
"""Every kind by its name."""

ALIASES: dict[str, str] = {
    "cracked maize": "raw maize",
    "maize grits": "raw maize",
    "cracked corn": "raw maize",
    "raw corn": "raw maize",
    "flaked corn": "flaked maize",
    "rolled oats": "flaked oats",
    "distillers malt": "distiller's malt",
    "pilsener malt": "pilsner malt",
    "table sugar": "sucrose",
    "glucose": "dextrose",
}
"""Other words of the trade for the same kinds."""

_BY_FOLDED_NAME = {name.casefold(): one for name, one in KINDS.items()} | {
    name: KINDS[canonical] for name, canonical in ALIASES.items()
}


def kind(name: str) -> GrainKind:
    """The kind of grain of that name, whatever its capitals and spaces.

    The names of ALIASES are understood too. UnknownName offers the nearest names.

    Formula: table
    Takes: name one of KINDS
    Gives: a GrainKind
    Source: the marks of each kind; class values, overridden by a maltster's sheet
    Example: kind("Pale malt").lintner = 60
    """
    found = _BY_FOLDED_NAME.get(" ".join(name.casefold().replace("\u2019", "'").split()))
    if found is None:
        raise UnknownName("kind of grain", name.casefold(), [*KINDS, *ALIASES])
    return found


def lintner_from_windisch_kolbach(windisch_kolbach: float) -> float:
    """Diastatic power in degrees Lintner from degrees Windisch-Kolbach.

    Nought stays nought.

    Formula: L = (WK + 16) / 3.5
    Takes: windisch_kolbach 0..1000 WK
    Gives: Lintner
    Source: EBC/ASBC relation, Oxford Companion to Beer, 'Lintner'
    Example: lintner_from_windisch_kolbach(250.0) = 76
    """
    wk = within("diastatic power", windisch_kolbach, 0.0, 1000.0, "WK", LINTNER)
    return (wk + 16.0) / 3.5 if wk > 0.0 else 0.0


def windisch_kolbach_from_lintner(lintner: float) -> float:
    """Diastatic power in degrees Windisch-Kolbach from degrees Lintner.

    Never below nought.

    Formula: WK = 3.5 L - 16
    Takes: lintner 0..300 Lintner
    Gives: WK
    Source: EBC/ASBC relation, Oxford Companion to Beer, 'Lintner'
    Example: windisch_kolbach_from_lintner(76.0) = 250
    """
    return max(0.0, 3.5 * within("diastatic power", lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER) - 16.0)


def grist_lintner(parts: Iterable[tuple[float, float]]) -> float:
    """Diastatic power of a grist of (kg, Lintner) parts, degrees Lintner.

    OutOfRange for a mass outside 0-10000 kg, a power outside 0-300 Lintner, or a grist without grain.

    Formula: D = sum(m D) / sum(m)
    Takes: parts pairs of kg and Lintner
    Gives: Lintner
    Source: mean by mass (derived)
    Example: grist_lintner([(4.0, 90.0), (1.0, 0.0)]) = 72
    """
    listed = [
        (
            within("grain mass", mass, 0.0, 1e4, "kg", "a mass is not negative"),
            within("diastatic power", lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER),
        )
        for mass, lintner in parts
    ]
    total = sum(mass for mass, _ in listed)
    if total <= 0.0:
        raise OutOfRange("grist mass", total, 1e-6, 1e5, "kg", "a grist has grain")
    # A mean of equal numbers may come out a little above them.
    return min(MOST_LINTNER, sum(mass * lintner for mass, lintner in listed) / total)


class PowerVerdict(StrEnum):
    """What the enzyme power of a grist promises."""

    TOO_LITTLE = "will not convert by itself"
    SLOW = "slow"
    ENOUGH = "enough"
    FAST = "fast"

    @property
    def advice(self) -> str:
        return _ADVICE[self]


_ADVICE = {
    PowerVerdict.TOO_LITTLE: "add malt or enzyme",
    PowerVerdict.SLOW: "allow 90 minutes or more and check the starch",
    PowerVerdict.ENOUGH: "allow 60 to 90 minutes",
    PowerVerdict.FAST: "60 minutes will do",
}


LEAST_LINTNER = 30.0
"""Below it a grist does not convert by itself, Lintner: see power_verdict."""


def power_verdict(lintner: float) -> PowerVerdict:
    """Verdict on the mean diastatic power of a grist.

    Formula: table: below 30 too little, to 40 slow, to 70 enough, beyond it fast
    Takes: lintner 0..300 Lintner
    Gives: a PowerVerdict
    Source: Oxford Companion to Beer, 'Lintner', for 35-40 as the least; 30 and 70 common practice, no source
    Example: power_verdict(76.0) = fast
    """
    power = within("diastatic power", lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER)
    if power < LEAST_LINTNER:
        return PowerVerdict.TOO_LITTLE
    if power < 40.0:
        return PowerVerdict.SLOW
    return PowerVerdict.ENOUGH if power < 70.0 else PowerVerdict.FAST


def restoring_malt_kg(
    *,
    grist_kg: float,
    grist_lintner: float,
    activity_left: float,
    target_lintner: float,
    malt_lintner: float,
) -> float:
    """Fresh malt that lifts the power still alive in a grist to a target, kg; 0 when it is there already.

    OutOfRange when the malt is not at least 1 Lintner stronger than the target.

    Formula: m = M (Dt - D r) / (Dm - Dt)
    Takes: grist_kg 0..10000 kg; grist_lintner 0..300 Lintner; activity_left 0..1;
        target_lintner 0..300 Lintner; malt_lintner target_lintner+1..300 Lintner
    Gives: kg
    Source: mass balance of enzyme (derived)
    Example: restoring_malt_kg(grist_kg=5.0, grist_lintner=80.0, activity_left=0.467, target_lintner=40.0,
        malt_lintner=100.0) = 0.22
    """
    within("grist mass", grist_kg, 0.0, 1e4, "kg", "a mass is not negative")
    within("diastatic power of the grist", grist_lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER)
    within("power aimed at", target_lintner, 0.0, MOST_LINTNER, "Lintner", LINTNER)
    alive = grist_lintner * within("enzyme activity left", activity_left, 0.0, 1.0, "", "a fraction")
    within(
        "diastatic power of the malt", malt_lintner, target_lintner + 1.0, MOST_LINTNER, "Lintner", LINTNER
    )
    return max(0.0, grist_kg * (target_lintner - alive) / (malt_lintner - target_lintner))
