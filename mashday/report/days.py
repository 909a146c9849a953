"""The figures of many rehearsed days in words."""

from __future__ import annotations

from typing import Any

from mashday.quantities import Units, show

_PLACES = ("median", "p95", "max")
_ROWS = (
    ("strike_error_celsius", "first reading off by"),
    ("hand_rule", "with the hand rule it would be"),
    ("rest_error_celsius", "rests off by, after remedies"),
)


def days_words(name: str, figures: dict[str, Any], units: Units) -> str:
    """How far the rests of many rehearsed days were off their targets, by the pots' own truth."""
    rows = [f"{name}: {figures['days']} rehearsed days", f"{'':32}{'median':>9}{'95 %':>9}{'worst':>9}"]
    for key, said in _ROWS:
        spread = figures[key]
        if spread is not None:
            cells = (show(spread[one], "temperature difference", units, 2) for one in _PLACES)
            rows.append(f"{said:32}" + "".join(f"{cell:>9}" for cell in cells))
    remedies = figures["remedies_per_rest"]
    if remedies is not None:
        cells = (f"{remedies[one]:.0f}" for one in _PLACES)
        rows.append(f"{'remedies in a rest':32}" + "".join(f"{cell:>9}" for cell in cells))
    rows.append(f"overflowed: {figures['overflowed']}; unfinished: {figures['unfinished']}")
    return "\n".join(rows)
