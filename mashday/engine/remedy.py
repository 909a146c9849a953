"""Remedies: the ways to put a reading outside its band right, each with what it does.

One way is one `RemedyOffered`: how much water of which temperature (or how many minutes), where it
lands, whether it fits the pot, what it does to thickness, gravity and sparge water, and its working.
"""

from __future__ import annotations

import math
from dataclasses import replace

from mashday.engine import contents as pot
from mashday.engine import extract, landing
from mashday.engine.asks import SETTLE_AFTER_GRAIN, SOONEST_AFTER_ADDITION, grain_just_in
from mashday.engine.decision import units_of
from mashday.engine.facts import RemedyOffered, Way
from mashday.engine.state import State, StepRecord
from mashday.quantities import Units
from mashday.schedule.model import Cook, DoughIn, Heat, MashOut, Raise, Rest, Schedule
from mashday.science import heat, volumes, water
from mashday.science.working import filled, line
from mashday.science.workings import mash as workings
from mashday.science.workings import pot as pots

LEAST_LITRES = 0.2
"""Water below this is not worth adding: no jug at a pot measures it. Common practice, no source."""
LONGEST_WAIT_MINUTES = 30.0
LONGEST_FIRE_MINUTES = 30.0


def offers(
    schedule: Schedule, state: State, celsius: float, t: float, number: int
) -> tuple[RemedyOffered, ...]:
    """The ways to put a reading of `celsius` at session time `t` right, best first; none if none is due.

    Nothing is offered inside the band, on the low side while grain just in still takes up water, sooner
    than two minutes after water went in, or while it is not told how much went in: the balance would miss
    it. `number` becomes the number of the offer.
    """
    record = state.current
    if record is None or not _correctable(schedule, state, record, celsius, t):
        return ()
    target = landing.target_celsius(schedule, state, record.number)
    assert target is not None
    if celsius < target:
        found = (
            _hot_water(schedule, state, record.number, celsius, target),
            _fire(schedule, state, record.number, celsius, target),
        )
    else:
        found = (
            _cold_water(schedule, state, record.number, celsius, target),
            _wait(schedule, state, record.number, celsius, target),
        )
    gentle = isinstance(schedule.step(record.number), Heat)
    ways = sorted(
        (way for way in found if way is not None),
        key=lambda way: (not way.possible, gentle and way.litres > 0.0),
    )
    ways.append(_leave(record.number, celsius, target))
    return tuple(replace(way, offer=number, option=option) for option, way in enumerate(ways, 1))


def _correctable(schedule: Schedule, state: State, record: StepRecord, celsius: float, t: float) -> bool:
    number = record.number
    step = schedule.step(number)
    target = landing.target_celsius(schedule, state, number)
    if target is None or abs(celsius - target) <= landing.band_kelvin(schedule, number):
        return False
    if state.untold is not None:
        return False
    run = state.running(t)
    poured = [a.run for a in state.additions if a.fact.step == number]
    if poured and run < poured[-1] + SOONEST_AFTER_ADDITION * 60.0:
        return False
    low = celsius < target
    if isinstance(step, Rest):
        settling = grain_just_in(schedule, number) and run < record.began_run + SETTLE_AFTER_GRAIN * 60.0
        return not (low and settling)
    if isinstance(step, Heat | Cook):
        return not low
    if isinstance(step, Raise | MashOut):
        return not low or pot.way_of(schedule, number) != "fire"
    if isinstance(step, DoughIn):
        return not (low and run < record.began_run + SETTLE_AFTER_GRAIN * 60.0)
    return False


def _way(
    schedule: Schedule,
    state: State,
    number: int,
    way: Way,
    celsius: float,
    target: float,
    kilograms: float,
    water_celsius: float,
    limit_litres: float | None,
) -> RemedyOffered:
    """A way by water, with all it does to the pot."""
    mash = _in_hand(schedule, state, number)
    litres = water.litres(kilograms, water_celsius)
    why = None
    if limit_litres is not None and litres > limit_litres:
        why = f"the spare kettle has only {limit_litres:.1f} L"
        litres = limit_litres
        kilograms = water.mass_kg(litres, water_celsius)
    lands = heat.after_addition_celsius(
        capacity_kj_per_k=mash.kj_per_k,
        from_celsius=celsius,
        added_kg=kilograms,
        added_celsius=water_celsius,
    )
    after = pot.Contents(mash.water_kg + kilograms, mash.grains, mash.vessel_kj_per_k)
    in_pot = after.litres(lands)
    room = schedule.pot.volume_litres - volumes.headroom_litres(schedule.pot.volume_litres) - in_pot
    possible = room >= 0.0 and litres >= LEAST_LITRES
    if room < 0.0:
        why = f"it does not fit: {-room:.1f} L too much for the pot"
    elif litres < LEAST_LITRES:
        why = "too little to measure" if why is None else why
    before_gravity = after_gravity = None
    if extract.is_mash(mash) and extract.is_mash(after):
        before_gravity = extract.first_wort_gravity(mash, 1.0)
        after_gravity = extract.first_wort_gravity(after, 1.0)
    sparge = extract.sparge_litres(schedule, state)
    return RemedyOffered(
        offer=0,
        option=0,
        step=number,
        way=way,
        possible=possible,
        read_celsius=celsius,
        target_celsius=target,
        lands_celsius=lands,
        litres=round(litres, 2),
        first_litres=round(litres * heat.FIRST_PORTION, 2),
        water_celsius=water_celsius,
        kilograms=kilograms,
        in_pot_litres=in_pot,
        room_litres=room,
        thickness=after.thickness if after.grains else None,
        gravity_before=before_gravity,
        gravity_after=after_gravity,
        sparge_litres=max(0.0, sparge - water.litres(kilograms, 20.0)) if sparge else None,
        why=why,
        working=_working(mash, celsius, target, water_celsius, units_of(schedule, state)),
    )


def _working(
    mash: pot.Contents, celsius: float, target: float, water_celsius: float, units: Units
) -> tuple[str, ...]:
    """The heat balance of an addition, line by line, in the person's units."""
    sum_of_heats = line(
        "C = water {} + grain {} + pot {} = {}",
        (water.SPECIFIC_HEAT * mash.water_kg, "kJ/K"),
        (mash.grain_kj_per_k, "kJ/K"),
        (mash.vessel_kj_per_k, "kJ/K"),
        (mash.kj_per_k, "kJ/K"),
    )
    made = workings.addition(
        capacity_kj_per_k=mash.kj_per_k,
        from_celsius=celsius,
        to_celsius=target,
        with_celsius=water_celsius,
    )
    return (filled(sum_of_heats, units), *made.lines(units))


def spare_litres(schedule: Schedule, state: State) -> float | None:
    """Hot water still in the spare kettle, litres; None if the schedule names no spare kettle."""
    if schedule.spare is None:
        return None
    hot = sum(a.fact.litres for a in state.additions if a.fact.celsius > 60.0)
    return max(0.0, schedule.spare.water_litres - hot)


def _hot_water(
    schedule: Schedule, state: State, number: int, celsius: float, target: float
) -> RemedyOffered | None:
    with_celsius = pot.spare_celsius(schedule)
    mash = pot.contents(schedule, state, number)
    kilograms = pot.water_needed_kg(mash, celsius, target, with_celsius)
    if kilograms is None:
        return None
    limit = spare_litres(schedule, state)
    return _way(schedule, state, number, "hot water", celsius, target, kilograms, with_celsius, limit)


def _cold_water(
    schedule: Schedule, state: State, number: int, celsius: float, target: float
) -> RemedyOffered | None:
    tap = schedule.place.tap_celsius
    kilograms = pot.water_needed_kg(_in_hand(schedule, state, number), celsius, target, tap)
    if kilograms is None:
        return None
    return _way(schedule, state, number, "cold water", celsius, target, kilograms, tap, None)


def _fire(
    schedule: Schedule, state: State, number: int, celsius: float, target: float
) -> RemedyOffered | None:
    minutes = landing.heating_minutes(schedule, state, number, celsius, target)
    kilowatts = schedule.pot.heater_kilowatts
    if minutes is None or kilowatts is None:
        return None
    possible = minutes <= LONGEST_FIRE_MINUTES
    made = None
    if math.isfinite(minutes):
        made = pots.fire(
            capacity_kj_per_k=pot.contents(schedule, state, number).kj_per_k,
            from_celsius=celsius,
            to_celsius=target,
            kilowatts=kilowatts,
            efficiency=schedule.pot.heater_efficiency,
            loss_w_per_k=pot.loss_w_per_k(schedule),
            room_celsius=schedule.place.room_celsius,
        )
    return _dry_way(
        number,
        "fire",
        celsius,
        target,
        lands=target if possible else celsius,
        minutes=minutes if math.isfinite(minutes) else 0.0,
        why=None if possible else "the heater is too weak for it",
        working=made.lines(units_of(schedule, state)) if made is not None else (),
    )


def _wait(schedule: Schedule, state: State, number: int, celsius: float, target: float) -> RemedyOffered:
    made = pots.lid_off(
        capacity_kj_per_k=_in_hand(schedule, state, number).kj_per_k,
        from_celsius=celsius,
        to_celsius=target,
        loss_w_per_k=pot.loss_w_per_k(schedule),
        room_celsius=schedule.place.room_celsius,
        area_m2=pot.open_area_m2(schedule),
    )
    minutes = made.answer
    assert isinstance(minutes, float)
    possible = minutes <= LONGEST_WAIT_MINUTES
    why = None if possible else f"it takes about {minutes:.0f} min"
    return _dry_way(
        number,
        "wait",
        celsius,
        target,
        lands=target if possible else celsius,
        minutes=minutes if possible else 0.0,
        why=why,
        working=made.lines(units_of(schedule, state)),
    )


def _in_hand(schedule: Schedule, state: State, number: int) -> pot.Contents:
    """What is to be moved: the mash with its pot, or water alone that is heated apart."""
    inside = pot.contents(schedule, state, number)
    if isinstance(schedule.step(number), Heat) and not schedule.pot.water_heated_in_it:
        return replace(inside, vessel_kj_per_k=0.0)
    return inside


def _leave(number: int, celsius: float, target: float) -> RemedyOffered:
    return _dry_way(number, "leave it", celsius, target, lands=celsius, minutes=0.0, why=None)


def _dry_way(
    number: int,
    way: Way,
    celsius: float,
    target: float,
    *,
    lands: float,
    minutes: float,
    why: str | None,
    working: tuple[str, ...] = (),
) -> RemedyOffered:
    return RemedyOffered(
        offer=0,
        option=0,
        step=number,
        way=way,
        possible=why is None,
        read_celsius=celsius,
        target_celsius=target,
        lands_celsius=lands,
        minutes=round(minutes, 1),
        why=why,
        working=working,
    )
