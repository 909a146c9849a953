"""What many rehearsed days came to: the figures, and how they are told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from mashday.quantities import Units, show

ORDINALS = ("first", "second", "third")


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
class Remedies:
    """Ways taken to put a mash right: how many, how many left it further off, and how many of these would
    have done so had they moved it by exactly what was read."""

    taken: int
    worse: int
    by_the_thermometer: int

    def as_json(self) -> dict[str, int]:
        """The counts as plain values."""
        return {
            "taken": self.taken,
            "made_worse": self.worse,
            "explained_by_the_thermometer": self.by_the_thermometer,
        }


@dataclass(frozen=True, slots=True)
class Days:
    """What many days came to. Errors are distances from the target by the pot's own truth, K.

    strike: at the first reading after the dough-in, also by the day with the pot and by how quickly the grain
    went in; strike_bias is its mean with its sign. rests_before: at the first reading of a rest; rests: after
    the remedies; rests_held: its mean temperature. by_hand: the same pots and days lived by the hand rules.
    absurd: ways offered with an amount that cannot be. unchecked_dial: days with another thermometer.
    """

    days: int
    pots: int
    strike: Spread | None
    strike_bias: float | None
    strike_by_day: tuple[Spread | None, ...]
    strike_quick: Spread | None
    strike_slow: Spread | None
    rests_before: Spread | None
    rests: Spread | None
    rests_held: Spread | None
    by_hand: Spread | None
    by_hand_quick: Spread | None
    by_hand_slow: Spread | None
    by_hand_rests: Spread | None
    remedies_per_rest: Spread | None
    remedies: Remedies
    overflowed: int
    overfull_litres: float
    absurd: int
    unfinished: int
    unchecked_dial: Days | None = None

    def as_json(self) -> dict[str, Any]:
        """The figures as plain values."""
        return {
            "days": self.days,
            "pots": self.pots,
            "rest_error_celsius": _plain(self.rests),
            "rest_error_before_celsius": _plain(self.rests_before),
            "rest_mean_error_celsius": _plain(self.rests_held),
            "strike_error_celsius": _plain(self.strike),
            "strike_bias_celsius": None if self.strike_bias is None else round(self.strike_bias, 3),
            "strike_error_by_day": [_plain(spread) for spread in self.strike_by_day],
            "hand_rule": _plain(self.by_hand),
            "hand_rule_rest_error_celsius": _plain(self.by_hand_rests),
            "by_stirring": {
                "quick": {
                    "strike_error_celsius": _plain(self.strike_quick),
                    "hand_rule": _plain(self.by_hand_quick),
                },
                "slow": {
                    "strike_error_celsius": _plain(self.strike_slow),
                    "hand_rule": _plain(self.by_hand_slow),
                },
            },
            "remedies_per_rest": _plain(self.remedies_per_rest),
            "remedies": self.remedies.as_json(),
            "overflowed": self.overflowed,
            "overfull_litres": round(self.overfull_litres, 2),
            "absurd": self.absurd,
            "unfinished": self.unfinished,
            "unchecked_dial": None if self.unchecked_dial is None else self.unchecked_dial.as_json(),
        }


def days_words(name: str, days: Days, units: Units) -> str:
    """How far the mashes of many rehearsed days were off their targets, by the pots' own truth."""
    rows = [
        f"{name}: {_count(days.days, 'rehearsed day')} with {_count(days.pots, 'pot')}",
        f"{'Off the target by':40}{'median':>9}{'95 of 100':>11}{'worst':>9}",
        *_errors("mash at the first reading", days.strike, units),
    ]
    for ordinal, spread in zip(ORDINALS, days.strike_by_day, strict=False):
        rows += _errors(f"  {ordinal} day with the pot", spread, units)
    rows += [
        *_errors("  grain stirred in quickly", days.strike_quick, units),
        *_errors("  grain stirred in slowly", days.strike_slow, units),
        *_errors("rests at their first reading", days.rests_before, units),
        *_errors("rests after remedies", days.rests, units),
        *_errors("rests on the whole (their mean)", days.rests_held, units),
    ]
    if days.by_hand is not None:
        rows += [
            "The same days by the hand rules",
            *_errors("mash at the first reading", days.by_hand, units),
            *_errors("  grain stirred in quickly", days.by_hand_quick, units),
            *_errors("  grain stirred in slowly", days.by_hand_slow, units),
            *_errors("rests after remedies", days.by_hand_rests, units),
        ]
    dial = days.unchecked_dial
    if dial is not None:
        rows += [
            f"With a dial nobody has checked, {_count(dial.days, 'day')}",
            *_errors("mash at the first reading", dial.strike, units),
            *_errors("rests after remedies", dial.rests, units),
            f"  {_remedy_words(dial.remedies)}",
        ]
    if days.remedies_per_rest is not None:
        figures = (f"{one:.0f}" for one in days.remedies_per_rest.figures)
        rows.append(_row("Remedies in a rest", *figures))
    rows.append(_remedy_words(days.remedies))
    over = show(days.overfull_litres, "volume", units)
    spilt = f" (by {over} at most)" if days.overflowed else ""
    rows.append(f"overflowed: {days.overflowed}{spilt}; unfinished: {days.unfinished}")
    return "\n".join(rows)


def _remedy_words(remedies: Remedies) -> str:
    return (
        f"{_count(remedies.taken, 'remedy', 'remedies')} taken; {remedies.worse} left the mash further off, "
        f"{remedies.by_the_thermometer} of them by the thermometer"
    )


def _count(number: int, one: str, several: str | None = None) -> str:
    return f"{number} {one if number == 1 else several or one + 's'}"


def _errors(said: str, spread: Spread | None, units: Units) -> list[str]:
    if spread is None:
        return []
    return [_row(said, *(show(one, "temperature difference", units, 2) for one in spread.figures))]


def _row(said: str, *cells: str) -> str:
    median_cell, most, worst = cells
    return f"{said:40}{median_cell:>9}{most:>11}{worst:>9}"


def _plain(spread: Spread | None) -> dict[str, float] | None:
    return None if spread is None else spread.as_json()
