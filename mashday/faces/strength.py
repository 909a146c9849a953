"""A wort stronger or weaker than wanted, in words: what it is, and what would do."""

from __future__ import annotations

from mashday.engine import strength as strengths
from mashday.faces.moment import Moment, minutes


def lines(now: Moment) -> list[str]:
    """What the wort measured against the wanted says, and the ways to it; none where it is near enough."""
    found = strengths.strength(now.schedule, now.state)
    if found is None or found.ways[0].way == "leave it":
        return []
    told = [f"Gravity {found.gravity:.3f} for {found.wanted:.3f}{_why(found)}"]
    told += [f"  {_way(now, one)}" for one in found.ways]
    return told


def _why(found: strengths.Strength) -> str:
    causes = []
    if found.too_little_sugar and found.sugar_share is not None:
        causes.append(f"too little sugar (about {100.0 * found.sugar_share:.0f} % of the plan)")
    if found.too_much_water and found.volume_share is not None:
        causes.append(f"too much water (about {100.0 * found.volume_share:.0f} % of the planned volume)")
    return f": {' and '.join(causes)}" if causes and found.gravity < found.wanted else ""


def _way(now: Moment, one: strengths.Remedy) -> str:
    after = f"makes {now.litres(one.final_litres)}"
    match one.way:
        case "dilute":
            return f"add {now.litres(one.litres)} of clean cold water; {after}"
        case "boil down":
            how_long = "" if one.minutes is None else f", about {minutes(one.minutes)} at the boil"
            return f"boil off {now.litres(one.litres)}{how_long}; {after}; cool it again"
        case "sugar":
            return f"dissolve {now.kilograms(one.kilograms)} of sugar; {after}; it changes what the wash is"
    return "or leave it: a weaker or stronger wash ferments as well"
