"""What a new day is asked for: the answers, and whether they go together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mashday.quantities import parse, show
from mashday.reckon.given import Refused
from mashday.schedule.model import Cooling, Material, Separation, ThermometerKind, Units
from mashday.science import grain as grain_table
from mashday.science.grain import PowerVerdict
from mashday.text import cleaned

Fuel = Literal["gas", "electric"]

LONGEST_NAME = 60
MOST_GRAINS = 8
"""More kinds than this in one bill are hardly weighed out without a slip. Judgement."""

STRONGEST_MALT = "distiller's malt"

LEAST_GRAIN_KG, MOST_GRAIN_KG = 0.1, 300.0
LEAST_WASH_LITRES, MOST_WASH_LITRES = 1.0, 300.0
"""Less than this is no mash, more is no mash at home. Judgement."""


@dataclass(frozen=True, slots=True)
class GrainAsked:
    """One grain: its own name, its kind of the grain table, and its weight or its share of all, if told."""

    name: str
    kind: str
    kilograms: float | None = None
    share: float | None = None

    @property
    def is_raw(self) -> bool:
        """Whether it is a raw cereal, which is cooked before the malt."""
        return grain_table.kind(self.kind).form == "raw"


@dataclass(frozen=True, slots=True)
class Answers:
    """All that a day is worked out from. None for wash or gravity: follows; for the heater: there is none.

    `enzyme`: bottled enzyme is added to the mash.
    """

    units: Units = "metric"
    grains: tuple[GrainAsked, ...] = (GrainAsked("barley malt", "barley malt"),)
    wash_litres: float | None = None
    gravity: float | None = None
    pot_litres: float = 33.0
    material: Material = "stainless steel"
    heater_kilowatts: float | None = 2.5
    fuel: Fuel = "electric"
    wrapped: bool = False
    by: Separation = "squeezed bag"
    sparge: bool = False
    cooled_by: Cooling = "coil"
    yeast: str = "dry distiller's yeast"
    room_celsius: float = 20.0
    tap_celsius: float = 12.0
    altitude_metres: float = 0.0
    thermometer: ThermometerKind = "digital"
    name: str = ""
    enzyme: bool = False

    @property
    def weighed(self) -> bool:
        """Whether the weight of the grain was told, so that the wash follows from it."""
        return any(grain.kilograms is not None for grain in self.grains)

    @property
    def raw(self) -> tuple[GrainAsked, ...]:
        """The raw cereals, which are cooked first."""
        return tuple(grain for grain in self.grains if grain.is_raw)

    @property
    def shares(self) -> tuple[float, ...]:
        """The share of each grain in all of it; those that name none divide what is left evenly."""
        if self.weighed:
            total = sum(grain.kilograms or 0.0 for grain in self.grains)
            return tuple((grain.kilograms or 0.0) / total for grain in self.grains)
        left = 1.0 - sum(grain.share or 0.0 for grain in self.grains)
        unnamed = sum(grain.share is None for grain in self.grains)
        return tuple(left / unnamed if grain.share is None else grain.share for grain in self.grains)

    @property
    def lintner(self) -> float:
        """Diastatic power of all the grain together, Lintner."""
        return grain_table.grist_lintner(
            (share, grain_table.kind(grain.kind).lintner)
            for share, grain in zip(self.shares, self.grains, strict=True)
        )


def usual(units: Units) -> Answers:
    """The answers taken where none are given, in round numbers of these units."""
    if units == "metric":
        return Answers()
    return Answers(units="us", pot_litres=parse("9 gal", "volume"), tap_celsius=parse("54 F", "temperature"))


def usual_name(grains: Sequence[GrainAsked]) -> str:
    """A name for the day from its grain."""
    names = " and ".join(grain.name for grain in grains[:2])
    return cleaned(f"{names[:1].upper()}{names[1:]} wash", LONGEST_NAME)


def agreed(answers: Answers) -> Answers:
    """The answers, sound together; Refused with what does not go together and what would do."""
    _agreed_grain(answers)
    wash = answers.wash_litres
    if wash is not None and not LEAST_WASH_LITRES <= wash <= MOST_WASH_LITRES:
        told = [show(one, "volume", answers.units) for one in (wash, LEAST_WASH_LITRES, MOST_WASH_LITRES)]
        raise Refused(f"{told[0]} of wash is not made at home: ask for {told[1]} to {told[2]}.")
    if answers.by == "on the grain" and answers.sparge:
        raise Refused("On the grain nothing is parted, so nothing is sparged: leave the sparge out.")
    if answers.by == "batch sparge" and not answers.sparge:
        raise Refused("A batch sparge is a sparge: leave it in, or choose drained.")
    if answers.weighed and answers.wash_litres is not None and answers.gravity is not None:
        raise Refused(
            "With the grain weighed, wash and gravity follow from each other: give only one of them,"
            " or the grain without its weight."
        )
    if answers.raw and answers.heater_kilowatts is None:
        raise Refused(
            f"{answers.raw[0].name} is raw and has to be cooked in the pot, and nothing heats it:"
            " name a heater, or take the flaked kind."
        )
    return answers


def _agreed_grain(answers: Answers) -> None:
    bill = answers.grains
    if not 1 <= len(bill) <= MOST_GRAINS:
        raise Refused(f"{len(bill)} kinds of grain: name 1 to {MOST_GRAINS}.")
    names = [grain.name for grain in bill]
    for name in names:
        if names.count(name) > 1:
            raise Refused(f"{name} stands twice: write it once, with all of it.")
    weights = [grain.kilograms for grain in bill]
    if any(weights) and not all(weights):
        lacks = next(grain.name for grain in bill if grain.kilograms is None)
        raise Refused(f"{lacks} has no weight and other grain has: weigh all of it, or none.")
    whole = sum(one or 0.0 for one in weights)
    if any(weights) and not LEAST_GRAIN_KG <= whole <= MOST_GRAIN_KG:
        told = [show(one, "mass", answers.units) for one in (whole, LEAST_GRAIN_KG, MOST_GRAIN_KG)]
        raise Refused(f"{told[0]} of grain is no mash for the home: weigh out {told[1]} to {told[2]}.")
    shares = [grain.share for grain in bill if grain.share is not None]
    if len(shares) == len(bill) and abs(sum(shares) - 1.0) > 0.005:
        raise Refused(
            f"The shares come to {100.0 * sum(shares):.0f} %:"
            f" {_rest_of(bill, sum(shares))}or leave a share out."
        )
    if len(shares) < len(bill) and not any(weights) and sum(shares) > 0.995:
        raise Refused("The shares leave nothing for the grain that names none: make them less than 100 %.")
    if answers.lintner <= 0.0:
        raise Refused(
            f"{names[0]} brings no enzyme, and without malt no starch turns to sugar:"
            " add malt, such as barley malt 40 %."
        )

    if not answers.enzyme and grain_table.power_verdict(answers.lintner) == PowerVerdict.TOO_LITTLE:
        raise Refused(_too_little_enzyme(answers))


def _rest_of(bill: Sequence[GrainAsked], told: float) -> str:
    """How the shares would come to all of it."""
    if told > 1.0 or any(grain.is_raw for grain in bill):
        return "make them 100 %, "
    named = ", ".join(f"{grain.name} {100.0 * (grain.share or 0.0):.0f} %" for grain in bill)
    return f"name the rest, too, such as {named}, raw maize {100.0 * (1.0 - told):.0f} %; "


def _too_little_enzyme(answers: Answers) -> str:
    """That a grist does not convert, and what would do."""
    least = grain_table.LEAST_LINTNER
    malts = {
        grain: share
        for grain, share in zip(answers.grains, answers.shares, strict=True)
        if grain_table.kind(grain.kind).lintner > 0.0
    }
    ways = [f"{100.0 * least / grain_table.kind(STRONGEST_MALT).lintner:.0f} % of {STRONGEST_MALT}"]
    power = answers.lintner / sum(malts.values())
    if power > least:
        name = next(iter(malts)).name if len(malts) == 1 else "malt"
        ways.insert(0, f"{math.ceil(100.0 * least / power - 1e-9)} % of {name} or more")
    return (
        f"It cannot be done: {answers.lintner:.0f} Lintner of enzyme, and a mash wants {least:.0f}. Take"
        f" {', '.join(ways)}, or bottled enzyme: start with --enzyme."
    )


def cooling(cooled_by: str | None, pitching: str | None) -> Cooling | None:
    """How it is cooled, from the way and from when the yeast goes in; None where neither is told."""
    if pitching == "next morning":
        if cooled_by not in (None, "standing"):
            raise Refused(
                f"What the {cooled_by} has cooled is pitched the same evening: leave one of the two out."
            )
        return "standing"
    if pitching == "same evening" and cooled_by == "standing":
        raise Refused("What stands to cool is not cool before the next morning: leave one of the two out.")
    if cooled_by is None and pitching == "same evening":
        return "coil"
    return cooled_by  # type: ignore[return-value]
