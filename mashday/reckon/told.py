"""The answer of a sum as text or as values for JSON."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from textwrap import wrap

from mashday.cautions import in_units
from mashday.quantities import Units
from mashday.reckon import cool, mash, sugar
from mashday.reckon.given import Given
from mashday.reckon.table import SUMS
from mashday.science.limits import OutOfRange, UnknownName
from mashday.science.working import Working, plainly

WIDTH = 79

NEXT_TO_NOTHING = 0.01
"""A least amount below which it is only said that there is too little."""

DONE_BY: dict[str, Callable[[Given], Working]] = {
    "strike": mash.strike,
    "landing": mash.landing,
    "addition": mash.addition,
    "decoction": mash.decoction,
    "fire": mash.fire,
    "drift": mash.drift,
    "cool": cool.cool,
    "boiling": cool.boiling,
    "gravity": sugar.hydrometer,
    "convert": sugar.convert,
    "refractometer": sugar.refractometer,
    "first-runnings": sugar.first_runnings,
    "conversion": sugar.conversion,
    "volumes": mash.waters_of_the_day,
    "dilute": sugar.dilute,
    "boil-down": sugar.boil_down,
    "sugar": sugar.sugar,
    "alcohol": sugar.alcohol,
    "yeast": sugar.pitch,
    "starch": mash.converted,
    "enzyme-power": mash.enzyme_power,
    "thermometer": cool.two_point,
    "overshoot": mash.next_move,
    "enzyme": mash.bottled,
}
"""The function of each sum."""


def words(name: str, made: Working, units: Units) -> str:
    """The answer in plain lines: results, working, what was assumed, the source, cautions."""
    rows = [
        *made.answer_lines(units),
        *_folded("  ", made.working_lines(units)),
        *_folded("assumes: ", made.assumed_lines(units)),
        *_folded("source: ", (made.source,)),
        *_folded("! ", _cautions(name, made, units)),
    ]
    return "\n".join(rows)


def values(name: str, given: Given, made: Working) -> dict[str, object]:
    """The answer for JSON, always metric: shares are fractions, a missing value is null."""
    return {
        "asked": given.asked,
        "answer": {one.key: _plain(one.value) for one in made.answers},
        "working": list(made.working_lines()),
        "assumes": list(made.assumed_lines()),
        "source": made.source,
        "cautions": list(_cautions(name, made, "metric")),
    }


def refusal(error: OutOfRange, units: Units) -> str:
    """Why a sum is refused, its numbers in these units."""
    if isinstance(error, UnknownName):
        return f"{error}."
    found, low, high = (plainly(one, error.unit, units) for one in (error.value, error.low, error.high))
    if math.isinf(error.high):
        span = f"at least {low}"
    elif math.isinf(error.low):
        span = f"at most {high}"
    elif 0.0 < error.low < NEXT_TO_NOTHING and error.value < error.low:
        return f"{error.quantity} {found} is too little [{error.source}]."
    else:
        span = f"between {low} and {high}"
    return f"{error.quantity} {found} is not {span} [{error.source}]."


def _folded(mark: str, lines: Iterable[str]) -> list[str]:
    """Each line with its mark, folded to the width of a small terminal."""
    return [
        row
        for one in lines
        for row in wrap(
            one, WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark), break_on_hyphens=False
        )
    ]


def _plain(value: float | str | bool | None) -> float | str | bool | None:
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    return value


def _cautions(name: str, made: Working, units: Units) -> tuple[str, ...]:
    return tuple(in_units(one, units) for one in (*made.caution_lines(units), *SUMS[name].cautions))
