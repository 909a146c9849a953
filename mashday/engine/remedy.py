"""Remedies: the ways to put a reading outside its band right, ranked, each with what it does to the day.

`ways` says how much of each and where it lands. Here stands when anything is offered at all, what a way makes
of the starch, and the order: by trouble, which is counted in minutes so that unlike things can be compared.
"""

from __future__ import annotations

from dataclasses import replace

from mashday.engine import belief, calls, conversion, landing, lessons, mid_mash, timed_ways, ways
from mashday.engine import contents as pot
from mashday.engine.asks import SETTLE_AFTER_GRAIN, SOONEST_AFTER_ADDITION, grain_just_in
from mashday.engine.facts import RemedyOffered, Way
from mashday.engine.state import State, StepRecord
from mashday.schedule.model import Cook, Cool, DoughIn, Heat, MashOut, Raise, Rest, Schedule
from mashday.science import starch, thermometer

DILUTION_TROUBLE = 1.0
"""Minutes a point (0.001) of gravity is worth that no sparge water makes good. Judgement, no source."""
CONVERSION_TROUBLE, ATTENUATION_TROUBLE = 100.0, 1.0
"""Minutes the whole of the starch, and a point of attenuation, is worth. Judgement, no source."""
SHORT_TROUBLE = 10.0
"""Minutes a kelvin is worth by which a way stays short of the target. Judgement, no source."""
HANDLING: dict[Way, float] = {"fire": 4.0, "decoction": 10.0, "part out": 10.0, "ice": 4.0, "more time": 10.0}
"""Minutes a way is worth beyond the time it takes: scorching, lifting hot mash, having ice. Judgement."""
WRITTEN_WORTH = 30.0
"""Minutes it is worth that a raise is done the way the schedule says. Judgement, no source."""
STRIKE_WATER_TROUBLE = 60.0
"""Minutes added to pouring into strike water that is too hot: it cools by itself. Judgement, no source."""
BY_WATER: tuple[Way, ...] = ("hot water", "cold water", "ice")


def offers(
    schedule: Schedule, state: State, celsius: float, t: float, number: int
) -> tuple[RemedyOffered, ...]:
    """The ways to put a reading of `celsius` at session time `t` right, best first; none if none is due.

    `state` has that reading in it: it says what the mash has been through and what the last way did.
    Nothing is offered inside the band, on the low side while grain just in still takes up water, sooner
    than two minutes after water went in or while a way is still followed, or while it is not told how much
    went in, or what stood in the pot: the balance would miss it. Leaving it comes first where the miss is
    within what the thermometer is worth. `number` becomes the number of the offer.
    """
    record = state.current
    if record is None or not _correctable(schedule, state, record, celsius, t):
        return ()
    target = landing.target_celsius(schedule, state, record.number)
    assert target is not None
    miss = ways.Miss(
        schedule,
        state,
        record.number,
        celsius,
        target,
        water_effect=_effect(schedule, state, "hot water"),
        fire_effect=_effect(schedule, state, "fire"),
    )
    found = [_with_outcome(miss, way, t) for way in _possible_ways(miss, t)]
    trouble = {way.way: _trouble(miss, way, found) for way in found}
    ranked = sorted(found, key=lambda way: (not way.possible, trouble[way.way]))
    leave = _with_outcome(miss, ways.leave_it(miss), t)
    within = abs(celsius - target) <= 2.0 * thermometer.standard_uncertainty(
        schedule.thermometer.kind, schedule.thermometer.limit_kelvin
    )
    possible = [way for way in ranked if way.possible]
    rest = [way for way in ranked if not way.possible]
    order = [leave, *possible, *rest] if within else [*possible, leave, *rest]
    return tuple(replace(way, offer=number, option=option) for option, way in enumerate(order, 1))


def _correctable(schedule: Schedule, state: State, record: StepRecord, celsius: float, t: float) -> bool:
    number = record.number
    step = schedule.step(number)
    target = landing.target_celsius(schedule, state, number)
    if target is None or abs(celsius - target) <= landing.band_kelvin(schedule, number):
        return False
    if landing.is_beside(schedule, number):
        return False
    if state.untold is not None or mid_mash.question(schedule, state) is not None:
        return False
    run = state.running(t)
    if run < _changed_until(state, number):
        return False
    low = celsius < target
    if isinstance(step, Rest):
        settled = record.began_run + SETTLE_AFTER_GRAIN * 60.0
        return not (low and run < settled and grain_just_in(schedule, state, number))
    if isinstance(step, Heat | Cook):
        return not low
    if isinstance(step, Raise | MashOut):
        return not low or pot.way_of(schedule, number) != "fire"
    if isinstance(step, Cool):
        return low and landing.strike(schedule, state, number) is not None
    if isinstance(step, DoughIn):
        return not (low and run < record.began_run + SETTLE_AFTER_GRAIN * 60.0)
    return False


def _changed_until(state: State, number: int) -> float:
    """The running second from which a reading at step `number` shows what was last changed in it."""
    moments = [a.run + SOONEST_AFTER_ADDITION * 60.0 for a in state.additions if a.fact.step == number]
    for offer in state.offers:
        way = offer.way_taken
        if way is not None and way.step == number and offer.taken_run is not None and way.way != "more time":
            moments.append(calls.way_ends(state, offer, way))
    return max(moments, default=0.0)


def _effect(schedule: Schedule, state: State, way: Way) -> float:
    """The share of a reckoned change this way brings in this pot, by its earlier days and by today."""
    kinds = BY_WATER if way in BY_WATER else (way,)
    today = tuple(
        (one.reckoned_kelvin, one.came_kelvin) for one in lessons.changes(schedule, state) if one.way in kinds
    )
    return belief.effect(way, (*belief.moves_known(state.known, way), *today))


def _possible_ways(miss: ways.Miss, t: float) -> list[RemedyOffered]:
    if miss.celsius < miss.target:
        found = [ways.hot_water(miss), timed_ways.fire(miss), ways.decoction(miss), _more_time(miss, t)]
    else:
        found = [
            ways.cold_water(miss),
            timed_ways.lid_off(miss),
            ways.ice(miss),
            ways.part_out(miss),
            timed_ways.wait(miss),
        ]
    return [way for way in found if way is not None]


def _minutes_left(miss: ways.Miss, t: float) -> float:
    """Minutes the rest under way still has; 0 in other steps."""
    record = miss.state.current
    step = miss.schedule.step(miss.number)
    if record is None or not isinstance(step, Rest):
        return 0.0
    gone = (miss.state.running(t) - record.began_run) / 60.0
    return max(0.0, step.minutes + record.extended_minutes - gone)


def _more_time(miss: ways.Miss, t: float) -> RemedyOffered | None:
    """As much longer at the temperature read as makes up for what the rest would have converted."""
    grist = conversion.grist_of(miss.schedule, miss.state)
    left = _minutes_left(miss, t)
    if grist is None or left <= 0.0:
        return None
    now = conversion.by_now(miss.schedule, miss.state, t)
    at_target = conversion.converted(
        miss.schedule, miss.state, [conversion.Stretch(left, miss.target, miss.target)], now
    )
    wanted = min(0.98, at_target.released)
    needed = starch.minutes_to(now, wanted, miss.celsius, **grist._asdict())
    longer = needed - left
    return ways.more_time(miss, longer) if longer > 0.5 else None


def _with_outcome(miss: ways.Miss, way: RemedyOffered, t: float) -> RemedyOffered:
    """The way with what the model says the mash has come to at its end if it is taken."""
    record = miss.state.current
    if record is None or conversion.grist_of(miss.schedule, miss.state) is None or not way.possible:
        return way
    earlier = miss.schedule.steps[: miss.number]
    if not any(isinstance(step, DoughIn) for step in earlier):
        return way
    now = conversion.by_now(miss.schedule, miss.state, t)
    left = _minutes_left(miss, t)
    if way.way == "decoction":
        kept = 1.0 - way.pulled_litres / max(way.pulled_litres, miss.inside.litres(miss.celsius))
        now = replace(now, alpha=now.alpha * kept, beta=now.beta * kept)
    moving = min(left, way.takes_minutes) if way.way != "more time" else 0.0
    longer = way.minutes if way.way == "more time" else 0.0
    lived = [
        conversion.Stretch(moving, way.read_celsius, way.lands_celsius),
        conversion.Stretch(left - moving + longer, way.lands_celsius, way.lands_celsius),
        *conversion.to_come(miss.schedule, miss.state, miss.number),
    ]
    end = conversion.converted(miss.schedule, miss.state, [s for s in lived if s.minutes > 0.0], now)
    if end.stalled:
        return replace(way, converted=end.released)
    return replace(way, converted=end.released, attenuation_percent=end.attenuation_limit_percent)


def _trouble(miss: ways.Miss, way: RemedyOffered, others: list[RemedyOffered]) -> float:
    """What a way costs, in minutes: time, handling, what it dilutes, converts less, or stays short of."""
    trouble = way.takes_minutes + HANDLING.get(way.way, 0.0)
    if way.way in BY_WATER and isinstance(miss.schedule.step(miss.number), Heat):
        trouble += STRIKE_WATER_TROUBLE
    step = miss.schedule.step(miss.number)
    if isinstance(step, Raise | MashOut) and way.way == pot.way_of(miss.schedule, miss.number):
        trouble -= WRITTEN_WORTH
    if way.way != "more time":
        trouble += SHORT_TROUBLE * abs(way.lands_celsius - way.target_celsius)
    if way.gravity_before is not None and way.gravity_after is not None and not way.sparge_litres:
        trouble += DILUTION_TROUBLE * 1000.0 * (way.gravity_before - way.gravity_after)
    best = max((one.converted for one in others if one.converted is not None), default=0.0)
    if way.converted is not None:
        trouble += CONVERSION_TROUBLE * (best - way.converted)
    fermentable = [one.attenuation_percent for one in others if one.attenuation_percent is not None]
    if way.attenuation_percent is not None:
        trouble += ATTENUATION_TROUBLE * (max(fermentable) - way.attenuation_percent)
    return trouble
