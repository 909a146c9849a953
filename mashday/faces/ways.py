"""The ways of a remedy in words: what to do, and what it does."""

from __future__ import annotations

from mashday.engine import calls
from mashday.engine import contents as pot
from mashday.engine.facts import RemedyOffered
from mashday.engine.state import Offer
from mashday.engine.timed_ways import held_minutes
from mashday.faces.moment import ON_TARGET_KELVIN, Moment, minutes
from mashday.faces.view import WayLine
from mashday.quantities import show
from mashday.schedule.model import Cook, Schedule, Separate
from mashday.science.workings.pot import FASTEST_KELVIN_PER_MINUTE
from mashday.text import cleaned, minutes_and_seconds

LIFT_BAG = "lift the bag off the bottom"
"""Cloth that lies on a hot bottom burns. Common practice, no source."""


def bag_first(schedule: Schedule) -> str:
    """What comes before heat goes on under a mash in its bag, with a comma; "" where none is in the pot.

    Cooked grain is ladled into its bag only when it is parted.
    """
    cooked = pot.first_step(schedule, Cook) is not None
    in_bag = any(isinstance(step, Separate) and "bag" in step.by for step in schedule.steps)
    return f"{LIFT_BAG}, " if in_bag and not cooked else ""


def time_said(value: float) -> str:
    """A time in minutes as it is held: "20 s", "1 min 20 s", "4 min"."""
    held = held_minutes(value)
    return minutes(held) if held >= 10.0 else minutes_and_seconds(held)


def headline(now: Moment, offer: Offer) -> str:
    """What is off, in one line: "61.2 C read, 1.8 C below 63.0 C"; first of all, heat that is still on."""
    left = _left(offer)
    apart = left.read_celsius - left.target_celsius
    side = "above" if apart > 0.0 else "below"
    read, target = now.celsius(left.read_celsius), now.celsius(left.target_celsius)
    standing = calls.calls(now.schedule, now.state, now.t)
    still_on = any(call.way == "fire" and not call.acknowledged for call in standing)
    return f"{'heat off; ' if still_on else ''}{read} read, {now.apart(apart)} {side} {target}"


def _left(offer: Offer) -> RemedyOffered:
    """Leaving it: the one way that moves neither the mash nor its target."""
    return next((way for way in offer.options if way.way == "leave it"), offer.options[0])


def ways(now: Moment, offer: Offer) -> tuple[WayLine, ...]:
    """The ways of an offer, in its order."""
    target = _left(offer).target_celsius
    return tuple(
        WayLine(
            way.option,
            way.possible,
            cleaned(_what(now, way)),
            tuple(cleaned(line) for line in _does(now, way, target)),
        )
        for way in offer.options
    )


def _what(now: Moment, way: RemedyOffered) -> str:
    if way.way == "leave it":
        return "leave it as it is"
    about = f" about {time_said(way.minutes)}" if way.possible else ""
    pulled = f" {now.measured(way.pulled_litres)}" if way.possible else " a part"
    if way.way == "lid off":
        text = f"take the lid off and wait{about}"
    elif way.way == "wait":
        text = f"leave the lid on and wait{about}"
    elif way.way == "fire":
        text = f"{bag_first(now.schedule)}heat on for{about}, stirring" if way.possible else "heat on"
    elif way.way == "more time":
        text = f"leave it and rest{about} longer" if way.possible else "leave it and rest longer"
    elif way.way == "decoction":
        text = f"draw off{pulled} of mash, boil it and stir it back in"
    elif way.way == "part out":
        text = f"take out{pulled} of mash, stand it in cold water and stir it back in"
    elif way.way == "ice":
        text = f"stir in {now.kilograms(way.kilograms)} of clean ice"
    else:
        kind = "hot" if way.way == "hot water" else "cold"
        add = "boil and add" if way.way == "hot water" and now.schedule.spare is None else "add"
        at = f" at {now.celsius(way.water_celsius)}" if way.water_celsius is not None else ""
        text = f"{add} {now.measured(way.litres)} of {kind} water{at}"
    return text if way.possible else f"{text}: not possible, {way.why}"


def _first(now: Moment, way: RemedyOffered) -> str:
    """The portion to begin with: as it is measured."""
    if way.way == "ice" and way.litres > 0.0:
        return now.kilograms(way.kilograms * way.first_litres / way.litres)
    return now.litres(way.first_litres)


def _scorching(now: Moment, way: RemedyOffered) -> list[str]:
    """That so fast a fire scorches; nothing for a slow one."""
    if way.minutes <= 0.0:
        return []
    rise = (way.lands_celsius - way.read_celsius) / way.minutes
    if rise <= FASTEST_KELVIN_PER_MINUTE:
        return []
    most = now.apart(FASTEST_KELVIN_PER_MINUTE)
    return [f"rises {now.apart(rise)} a minute, over {most} it scorches: stir all the while"]


def _does(now: Moment, way: RemedyOffered, target_celsius: float) -> tuple[str, ...]:
    """What a way does, the weightiest first, in short pieces: a small screen shows only some.

    `target_celsius` is the target as it stands: more water for the grain wants less heat.
    """
    if not way.possible:
        return ()
    lines = []
    if way.way not in ("leave it", "more time"):
        after = minutes(max(1.0, way.takes_minutes))
        lines.append(f"lands at about {now.celsius(way.lands_celsius)} in {after}")
    if way.why is not None and lines:
        lines[0] += f": {way.why}"
    if way.way == "fire":
        lines += _scorching(now, way)
    if abs(way.target_celsius - target_celsius) >= ON_TARGET_KELVIN:
        lines.append(f"with so much water {now.celsius(way.target_celsius)} is what the grain wants")
    if way.first_celsius is not None:
        lines.append(f"the first {_first(now, way)} alone: {now.celsius(way.first_celsius)}")
    if way.converted is not None:
        text = f"in the end {100.0 * way.converted:.0f} % converted"
        if way.attenuation_percent is not None:
            text += f", {way.attenuation_percent:.0f} % fermentable"
        lines.append(text)
    if way.litres <= 0.0:
        return tuple(lines)
    if way.sparge_litres is not None:
        lines.append(f"sparge then {now.litres(way.sparge_litres)}")
    if way.thickness is not None:
        text = show(way.thickness, "thickness", now.units)
        if way.gravity_before is not None and way.gravity_after is not None:
            text += f", first runnings {way.gravity_before:.3f} to {way.gravity_after:.3f}"
        lines.append(text)
    if way.in_pot_litres is not None and way.room_litres is not None:
        lines.append(
            f"{now.litres(way.in_pot_litres)} in the pot, room for {now.litres(way.room_litres)} more"
        )
    return tuple(lines)
