"""The ways of a remedy in words: what to do, and what it does."""

from __future__ import annotations

from mashday.engine.facts import RemedyOffered
from mashday.engine.state import Offer
from mashday.faces.moment import Moment, minutes
from mashday.faces.view import WayLine
from mashday.quantities import show


def headline(now: Moment, offer: Offer) -> str:
    """What is off, in one line: "61.2 C read, 1.8 C below 63.0 C"."""
    first = offer.options[0]
    apart = first.read_celsius - first.target_celsius
    side = "above" if apart > 0.0 else "below"
    read, target = now.celsius(first.read_celsius), now.celsius(first.target_celsius)
    return f"{read} read, {now.apart(apart)} {side} {target}"


def ways(now: Moment, offer: Offer) -> tuple[WayLine, ...]:
    """The ways of an offer, in its order."""
    return tuple(WayLine(way.option, way.possible, _what(now, way), _does(now, way)) for way in offer.options)


def _what(now: Moment, way: RemedyOffered) -> str:
    if way.way == "leave it":
        return "leave it as it is"
    if way.way == "wait":
        text = f"lid off and wait about {minutes(way.minutes)}" if way.possible else "lid off and wait"
    elif way.way == "fire":
        text = f"heat on for about {minutes(max(1.0, way.minutes))}, stirring" if way.possible else "heat on"
    else:
        kind = "hot" if way.way == "hot water" else "cold"
        at = f" at {now.celsius(way.water_celsius)}" if way.water_celsius is not None else ""
        text = f"add {now.measured(way.litres)} of {kind} water{at}"
    return text if way.possible else f"{text}: not possible, {way.why}"


def _does(now: Moment, way: RemedyOffered) -> tuple[str, ...]:
    if way.way == "leave it" or not way.possible:
        return ()
    lines = [f"lands at about {now.celsius(way.lands_celsius)}"]
    if way.why is not None:
        lines[0] += f"; {way.why}"
    if way.litres <= 0.0:
        return tuple(lines)
    if way.in_pot_litres is not None and way.room_litres is not None:
        lines.append(f"then {now.litres(way.in_pot_litres)} in the pot, {now.litres(way.room_litres)} spare")
    if way.thickness is not None:
        text = f"mash {show(way.thickness, 'thickness', now.units)}"
        if way.gravity_before is not None and way.gravity_after is not None:
            text += f", first runnings {way.gravity_before:.3f} to {way.gravity_after:.3f}"
        lines.append(text)
    if way.sparge_litres is not None:
        lines.append(f"sparge then {now.litres(way.sparge_litres)}")
    return tuple(lines)
