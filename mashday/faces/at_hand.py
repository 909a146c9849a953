"""Volumes in what is at hand: "about three quarters of a jug"."""

from __future__ import annotations

import math
from collections.abc import Iterable

from mashday.schedule.model import Container

MOST_COUNTED = 12
"""More fillings than this nobody counts beside a hot pot. Common practice, no source."""
NEAR_ENOUGH = 0.15
"""How far, as a share of the volume, "about" may be off. Judgement."""

_VOWELS = "aeiou"
_PARTS = {0.25: "a quarter of {one}", 0.5: "half {one}", 0.75: "three quarters of {one}", 1.0: "{one}"}
_HALVES = {1.5: "one and a half", 2.0: "two", 2.5: "two and a half", 3.0: "three"}


def about(litres: float, containers: Iterable[Container]) -> str | None:
    """The volume as "about a jug" or "about two and a half cups"; None where no container fits it well."""
    found: list[tuple[bool, float, str]] = []
    for container in containers:
        share = litres / container.volume_litres if container.volume_litres > 0.0 else 0.0
        count = _rounded(share)
        if count is None or abs(count - share) > NEAR_ENOUGH * share:
            continue
        off = abs(count - share) > 0.05 * share
        found.append((off, abs(math.log(share)), _counted(count, container.name)))
    return f"about {min(found)[2]}" if found else None


def _rounded(share: float) -> float | None:
    """The share in quarters below one, in halves up to three, whole above; None if nobody would count it."""
    if not 0.125 <= share <= MOST_COUNTED + 0.5:
        return None
    if share < 0.875:
        return max(0.25, round(share * 4.0) / 4.0)
    if share < 3.25:
        return round(share * 2.0) / 2.0
    return float(round(share))


def _counted(count: float, name: str) -> str:
    if count in _PARTS:
        article = "an" if name[:1].casefold() in _VOWELS else "a"
        return _PARTS[count].format(one=f"{article} {name}")
    return f"{_HALVES.get(count, f'{count:.0f}')} {_plural(name)}"


def _plural(name: str) -> str:
    lower = name.casefold()
    if lower.endswith(("s", "x", "z", "ch", "sh")):
        return f"{name}es"
    if lower.endswith("y") and lower[-2:-1] not in _VOWELS:
        return f"{name[:-1]}ies"
    return f"{name}s"
