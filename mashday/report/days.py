"""What many rehearsed days came to: the figures, and how they are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from mashday.quantities import Units, show


@dataclass(frozen=True, slots=True)
class Spread:
    """How a figure lies over many days."""

    median: float
    p95: float
    max: float

    @classmethod
    def of(cls, figures: Sequence[float]) -> Spread | None:
        """The spread of some figures; None without any."""
        if not figures:
            return None
        ordered = sorted(figures)
        place = min(len(ordered) - 1, round(0.95 * (len(ordered) - 1)))
        return cls(median(ordered), ordered[place], ordered[-1])

    @property
    def figures(self) -> tuple[float, float, float]:
        """Median, 95 of 100, worst."""
        return self.median, self.p95, self.max

    def as_json(self) -> dict[str, float]:
        """The spread as plain values."""
        return {name: round(getattr(self, name), 3) for name in ("median", "p95", "max")}


@dataclass(frozen=True, slots=True)
class Days:
    """What many days came to. Errors are distances from the target by the pot's own truth, K.

    strike: at the first reading after the dough-in. by_hand: the same, had the water been heated as the
    hand rule says. rests: after the remedies.
    """

    days: int
    rests: Spread | None
    strike: Spread | None
    by_hand: Spread | None
    remedies: Spread | None
    overflowed: int
    unfinished: int

    def as_json(self) -> dict[str, Any]:
        """The figures as plain values."""
        return {
            "days": self.days,
            "rest_error_celsius": _plain(self.rests),
            "strike_error_celsius": _plain(self.strike),
            "hand_rule": _plain(self.by_hand),
            "remedies_per_rest": _plain(self.remedies),
            "overflowed": self.overflowed,
            "unfinished": self.unfinished,
        }


def days_words(name: str, days: Days, units: Units) -> str:
    """How far the rests of many rehearsed days were off their targets, by the pots' own truth."""
    rows = [f"{name}: {days.days} rehearsed days", f"{'':32}{'median':>9}{'95 %':>9}{'worst':>9}"]
    for said, spread in (
        ("first reading off by", days.strike),
        ("with the hand rule it would be", days.by_hand),
        ("rests off by, after remedies", days.rests),
    ):
        if spread is not None:
            rows.append(
                _row(said, *(show(one, "temperature difference", units, 2) for one in spread.figures))
            )
    if days.remedies is not None:
        rows.append(_row("remedies in a rest", *(f"{one:.0f}" for one in days.remedies.figures)))
    rows.append(f"overflowed: {days.overflowed}; unfinished: {days.unfinished}")
    return "\n".join(rows)


def _row(said: str, *cells: str) -> str:
    return f"{said:32}" + "".join(f"{cell:>9}" for cell in cells)


def _plain(spread: Spread | None) -> dict[str, float] | None:
    return None if spread is None else spread.as_json()
