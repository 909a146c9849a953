"""Where a sum is valid, and the refusal when it is asked for outside that."""

from __future__ import annotations

import math
from collections.abc import Iterable
from difflib import get_close_matches


class OutOfRange(ValueError):
    """A quantity lies outside the range in which a formula or practice holds.

    The message names the quantity, the value, the allowed range and the source of the range.
    """

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str, source: str) -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        self.source = source
        super().__init__(
            f"{quantity} {_spoken(value, unit)} is not {_span(low, high, unit)}"
            + (f" [{source}]" if source else "")
        )


class UnknownName(OutOfRange, KeyError):
    """A name that is in no table here. The message offers the nearest names known."""

    def __init__(self, quantity: str, name: str, known: Iterable[str]) -> None:
        self.name = name
        self.known = tuple(known)
        self.nearest = tuple(get_close_matches(name, self.known, n=3, cutoff=0.5))
        offered = self.nearest or self.known
        ValueError.__init__(self, f"{quantity} {name!r} is not known; {_choice(offered)}")
        self.quantity = quantity
        self.value = math.nan
        self.low = -math.inf
        self.high = math.inf
        self.unit = ""
        self.source = "names known here"

    def __str__(self) -> str:
        return str(self.args[0])


def within(quantity: str, value: float, low: float, high: float, unit: str, source: str) -> float:
    """The value itself when it is finite and between the ends, these included.

    OutOfRange otherwise, with the quantity, the value, the ends and the source in its message; not-a-number
    and infinities are always outside.

    Formula: low <= value <= high
    Takes: quantity a text; value low..high; low a number; high a number; unit a text; source a text
    Gives: the value
    Source: by definition
    Example: within("mash temperature", 65.0, 0.0, 102.0, "degC", "liquid water") = 65.0
    """
    if math.isfinite(value) and low <= value <= high:
        return value
    raise OutOfRange(quantity, value, low, high, unit, source)


def _spoken(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".rstrip()


def _span(low: float, high: float, unit: str) -> str:
    if math.isinf(high):
        return f"at least {_spoken(low, unit)}"
    if math.isinf(low):
        return f"at most {_spoken(high, unit)}"
    return f"between {low:.6g} and {_spoken(high, unit)}"


def _choice(names: tuple[str, ...]) -> str:
    return "known are: " + ", ".join(names) if len(names) > 3 else "near it: " + ", ".join(names)
