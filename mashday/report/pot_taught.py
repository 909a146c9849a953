"""What days taught of a pot, in lines: before a day what is known of it, after a day what that day added."""

from __future__ import annotations

from typing import Any

from mashday.engine import belief
from mashday.engine import contents as pot
from mashday.engine.asks import SETTLE_AFTER_GRAIN, SOONEST_AFTER_ADDITION
from mashday.engine.facts import PotKnown
from mashday.engine.lessons import LATEST_LANDING_MINUTES, LATEST_READING_MINUTES, Change, Lesson
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.schedule.model import Schedule
from mashday.text import cleaned

WHAT_TEACHES = (
    f"What teaches: the strike water read before the grain goes in, and the mash {SETTLE_AFTER_GRAIN:.0f} to"
    f" {LATEST_LANDING_MINUTES:.0f} min after it is in and before water or fire; a rest read twice or more,"
    f" from {belief.UNSETTLED_MINUTES:.0f} min on, with nothing done between; the mash read"
    f" {SOONEST_AFTER_ADDITION:.0f} to {LATEST_READING_MINUTES:.0f} min after it was put right as advised."
)
"""Which readings a pot is learned from, as `engine.lessons` and `engine.belief` take them."""


def known_rows(schedule: Schedule, known: PotKnown | None, thickness: float, units: Units) -> list[str]:
    """What the earlier days of this pot put to a plan of this thickness (L/kg); no rows for a new pot."""
    if known is None:
        return []
    state = State(known=known)
    times = "one day" if known.days == 1 else f"{known.days} days"
    rows = [f"THE POT {cleaned(known.pot, 40)}, by {times} before this"]
    loss, usual = belief.loss_w_per_k(schedule, state), pot.usual_loss_w_per_k(schedule)
    rows.append(
        f"  loses about {show(loss, 'heat loss', units)} (such a pot: {show(usual, 'heat loss', units)})"
    )
    kelvin = belief.dough_in_kelvin(state, thickness)
    if known.dough_ins:
        rows.append(f"  the mash lands {_aside(kelvin, units)} the sum: the water above is set for that")
    for way in ("hot water", "fire"):
        share = belief.effect(way, belief.moves_known(known, way))
        if abs(share - 1.0) >= 0.02:
            kind = "water poured in" if way == "hot water" else "fire"
            rows.append(f"  {kind} moves it {100.0 * share:.0f} % as far as the sum says")
    return rows


def taught_rows(lesson: Lesson, units: Units) -> list[str]:
    """What this day taught of its pot; no rows where it taught nothing.

    Readings that rose by their error are told as no loss: less than that no pot has.
    """
    rows = []
    if lesson.loss is not None:
        worth = show(lesson.loss.error, "heat loss", units)
        lost = show(max(0.0, lesson.loss.w_per_k), "heat loss", units)
        rows.append(f"  lost {lost}, give or take {worth}")
    for one in lesson.landed:
        rows.append(
            f"  the mash landed {_aside(one.kelvin, units)} the sum"
            f" ({show(one.read_celsius, 'temperature', units)}"
            f" for {show(one.reckoned_celsius, 'temperature', units)})"
        )
    rows += [_change_row(change, units) for change in lesson.changes]
    return rows


def taught_values(lesson: Lesson) -> dict[str, Any]:
    """The same as plain values, metric."""
    loss = lesson.loss
    return {
        "loss_w_per_k": None if loss is None else round(max(0.0, loss.w_per_k), 3),
        "loss_error_w_per_k": None if loss is None else round(loss.error, 3),
        "dough_ins": [
            {
                "thickness_l_per_kg": round(one.thickness, 3),
                "reckoned_celsius": round(one.reckoned_celsius, 2),
                "read_celsius": round(one.read_celsius, 2),
            }
            for one in lesson.landed
        ],
        "changes": [
            {
                "way": one.way,
                "reckoned_kelvin": round(one.reckoned_kelvin, 2),
                "came_kelvin": round(one.came_kelvin, 2),
            }
            for one in lesson.changes
        ],
    }


def _change_row(change: Change, units: Units) -> str:
    reckoned, came = (
        show(value, "temperature difference", units) for value in (change.reckoned_kelvin, change.came_kelvin)
    )
    return f"  {change.way}: {reckoned} reckoned, {came} came"


def _aside(kelvin: float, units: Units) -> str:
    said = show(abs(kelvin), "temperature difference", units)
    return f"{said} {'warmer' if kelvin >= 0.0 else 'cooler'} than"
