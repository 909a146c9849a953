"""What a way of separating needs at hand, and how large the fermenter has to be."""

from __future__ import annotations

from mashday.schedule.model import Separation

SEPARATING: dict[Separation, str] = {
    "squeezed bag": "bag for the grain, something to press it with",
    "hung bag": "bag for the grain, hook and rope over the pot",
    "drained": "false bottom or bag under the grain, tap and hose",
    "batch sparge": "false bottom or bag under the grain, tap and hose",
    "on the grain": "sieve for the sample",
}
"""What each way of separating needs. Common practice, no source."""

FERMENTER_FREE = 0.25
"""Share of a fermenter left empty for the foam. Common practice, no source."""


def fermenter_litres(litres: float) -> float:
    """The least a fermenter holds for so many litres of wash, or of mash where the grain stays in, litres."""
    return litres / (1.0 - FERMENTER_FREE)
