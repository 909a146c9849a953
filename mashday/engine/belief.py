"""What is believed of the pot: how fast it loses heat, where a dough-in lands, how it answers to a change.

Each belief joins what is usual for such a pot with what its readings said, each by its worth: those of
earlier days, which the state carries as one fact, and those of today. Temperatures in Celsius, heat loss in
W/K.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine.facts import PotKnown, Way
from mashday.engine.state import Reading, State
from mashday.schedule.model import DoughIn, Rest, Schedule
from mashday.science import fit

UNSETTLED_MINUTES = 10.0
"""Minutes after a dough-in in which grain still gives heat: its readings say nothing of the loss.
Derived from the soaking time of 1 mm grits (Meddings & Potter 1974, Cereal Chem. 51:1)."""
STIRRED_MINUTES = 2.0
"""Minutes after a change before a reading says anything of the loss. Common practice, no source."""
READING_KELVIN = 0.3
"""Error of a stirred reading against the next one by the same thermometer, K. Judgement, no source."""
GIVEN_LOSS_SPREAD = 0.2
"""Standard deviation of the logarithm of a loss the schedule states. Judgement, no source."""
LEAST_SHARE_OF_USUAL = 0.2
"""A loss fitted below this share of the usual one is read as that share: readings are no better."""
MOST_TIMES_USUAL = 5.0
"""A loss fitted so many times the usual one, surely, comes of a slip of the key. Judgement, no source."""
WATER_SPREAD, FIRE_SPREAD = 0.1, 0.2
"""How surely a change by water or by fire is reckoned, as a share of it. Judgement, no source."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A heat loss as read, with its standard error, W/K."""

    w_per_k: float
    error: float


def joined(fits: Iterable[Fitted]) -> Fitted | None:
    """Several fits in one, each by its worth; None without any."""
    known = [one for one in fits if one.error > 0.0]
    weight = sum(1.0 / one.error**2 for one in known)
    if weight <= 0.0:
        return None
    mean = sum(one.w_per_k / one.error**2 for one in known) / weight
    return Fitted(mean, 1.0 / math.sqrt(weight))


def standing(schedule: Schedule, state: State) -> tuple[tuple[Reading, ...], ...]:
    """The readings of each while in which the closed mash only stood: no grain, water or heat between, no
    open lid and no part of it out."""
    found: list[list[Reading]] = [[]]
    changes = _changes(state)
    for record in state.records:
        step = schedule.step(record.number)
        if not isinstance(step, Rest):
            found.append([])
            continue
        stood = record.number == state.from_step
        after_grain = not stood and isinstance(schedule.step(record.number - 1), DoughIn)
        settled = record.began_run + (UNSETTLED_MINUTES * 60.0 if after_grain else 0.0)
        for reading in state.valid("temperature", record.number):
            begun = [change for change in changes if change[0] <= reading.run]
            if found[-1] and any(began > found[-1][-1].run for began, _ in begun):
                found.append([])
            over = max((ended for _, ended in begun), default=-math.inf)
            early = reading.run < over + STIRRED_MINUTES * 60.0
            if reading.run >= settled and not early and not reading.fact.assumed:
                found[-1].append(reading)
    return tuple(tuple(readings) for readings in found if len(readings) > 1)


def _changes(state: State) -> list[tuple[float, float]]:
    """From when to when (running seconds) something was done to the mash; to no end, where it is not told."""
    found = [(a.run, a.run) for a in state.additions]
    told = {a.fact.offer: a.run for a in state.additions}
    for offer in state.offers:
        way = offer.way_taken
        if way is None or offer.taken_run is None or way.way in ("wait", "more time"):
            continue
        ended = told.get(offer.number, math.inf) if way.litres > 0.0 else offer.taken_run + 60.0 * way.minutes
        found.append((offer.taken_run, ended))
    return found


def loss_today(schedule: Schedule, state: State) -> Fitted | None:
    """The heat loss today's readings say, W/K; None where no mash stood long enough."""
    room = schedule.place.room_celsius
    usual = pot.usual_loss_w_per_k(schedule)
    fits = []
    for readings in standing(schedule, state):
        span = (readings[-1].t - readings[0].t) / 3600.0
        warm = [r for r in readings if r.metric > room + 2.0]
        if span <= 0.02 or len(warm) < len(readings):
            continue
        capacity = pot.contents(schedule, state, readings[0].step).kj_per_k
        points = [((r.t - readings[0].t) / 60.0, r.metric) for r in readings]
        rate = fit.cooling_rate_per_hour(points, room)
        error = fit.slope_error_kelvin_per_hour(
            reading_kelvin=READING_KELVIN, readings=len(readings), span_hours=span
        )
        mean = sum(celsius for _, celsius in points) / len(points)
        one = Fitted(rate * capacity / 3.6, error / (mean - room) * capacity / 3.6)
        if abs(one.w_per_k) <= MOST_TIMES_USUAL * usual + 3.0 * one.error:
            fits.append(one)
    return joined(fits)


def loss_w_per_k(schedule: Schedule, state: State) -> float:
    """Heat the standing pot loses through walls, lid and bottom, W/K, as it is now believed."""
    usual = pot.usual_loss_w_per_k(schedule)
    known = state.known
    earlier = None
    if known is not None and known.loss_w_per_k is not None and known.loss_error:
        earlier = Fitted(known.loss_w_per_k, known.loss_error)
    read = joined(one for one in (earlier, loss_today(schedule, state)) if one is not None)
    if read is None:
        return usual
    fitted = min(max(read.w_per_k, LEAST_SHARE_OF_USUAL * usual), MOST_TIMES_USUAL * usual)
    given = schedule.pot.loss_w_per_k is not None
    return fit.blended_loss(
        usual_w_per_k=usual,
        fitted_w_per_k=fitted,
        relative_error=min(10.0, max(0.01, read.error / max(fitted, 0.5 * usual))),
        spread=GIVEN_LOSS_SPREAD if given else fit.LOSS_PRIOR_SPREAD,
    )


def is_thickness(l_per_kg: float) -> bool:
    """True for litres to a kilogram that a mash can have."""
    return fit.THICKEST_L_PER_KG <= l_per_kg <= fit.THINNEST_L_PER_KG


def dough_in_kelvin(state: State, thickness: float) -> float:
    """How much warmer than the heat balance says a mash of this thickness will land in this pot, K.

    What a day began with is in its journal for good: a thickness there that no mash has is passed over.
    """
    known = state.known
    if known is None or not is_thickness(thickness):
        return 0.0
    rows = zip(known.thicknesses, known.dough_ins, strict=True)
    return fit.believed_dough_in_kelvin(tuple(row for row in rows if is_thickness(row[0])), thickness)


def moves_known(known: PotKnown | None, way: Way) -> tuple[tuple[float, float], ...]:
    """Reckoned and real changes, K, by this way (water counts as one way) on the earlier days."""
    if known is None:
        return ()
    rows = zip(known.ways, known.reckoned, known.came, strict=True)
    return tuple((reckoned, came) for name, reckoned, came in rows if _like(name) == _like(way))


def effect(way: Way, moves: Iterable[tuple[float, float]]) -> float:
    """The share of a reckoned change water or fire brings in this pot, from changes reckoned and come, K."""
    return fit.believed_effect(tuple(moves), FIRE_SPREAD if way == "fire" else WATER_SPREAD)


def _like(way: str) -> str:
    return "water" if way in ("hot water", "cold water", "ice") else way
