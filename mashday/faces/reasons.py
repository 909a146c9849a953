"""Why: the working behind the number on show, in lines."""

from __future__ import annotations

from mashday.engine import asks, belief, conversion, extract, landing, plausible
from mashday.engine import contents as pot
from mashday.engine.state import Offer
from mashday.faces import ways
from mashday.faces.moment import Moment
from mashday.faces.ways import time_said
from mashday.schedule.model import (
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Separate,
    StarchCheck,
)
from mashday.science import gravity, yeast
from mashday.science.workings import dough_in, mash, starch, sugar, wash
from mashday.science.workings import pot as pots


def why(now: Moment) -> tuple[str, ...]:
    """The working behind what is on show; one line saying so where there is none."""
    offer = now.state.offer
    if offer is not None and (offer.is_open or _being_poured(now, offer)):
        shown = offer.way_taken or offer.options[0]
        if shown.working:
            amount = now.litres(shown.litres) if shown.litres > 0.0 else time_said(shown.minutes)
            return (f"{shown.way}: {amount}", *shown.working)
    record = now.state.current
    if record is None:
        return ("Nothing is reckoned just now.",)
    step = now.schedule.step(record.number)
    if isinstance(step, Heat | Cool):
        found = _strike(now, record.number)
    elif isinstance(step, DoughIn):
        found = _landing(now, record.number)
    elif isinstance(step, Rest):
        found = (*_drift(now, record.number), *_starch(now))
    elif isinstance(step, StarchCheck):
        found = _starch(now)
    elif isinstance(step, Raise | MashOut):
        found = _raise(now, record.number)
    elif isinstance(step, Separate):
        found = _gravity(now, record.number)
    elif isinstance(step, Pitch):
        found = (*_gravity(now, record.number), *_yeast(now))
    else:
        found = ()
    due = asks.due(now.schedule, now.state, now.t)
    reason = tuple(f"{ask.quantity} is asked: {ask.why}" for ask in due[:1])
    return (*reason, *found) or ("Nothing is reckoned in this step.",)


def why_way(now: Moment, number: str) -> tuple[str, ...]:
    """The working of one way of the remedy that is offered; nothing where there is no such way."""
    offer = now.state.offer
    if offer is None or not number.isascii() or not number.isdigit():
        return ()
    way = next((one for one in offer.options if one.option == int(number)), None)
    if way is None:
        return ()
    return (f"{way.way}: {ways.headline(now, offer)}", *(way.working or ("nothing is reckoned for it",)))


def _being_poured(now: Moment, offer: Offer) -> bool:
    told = any(addition.fact.offer == offer.number for addition in now.state.additions)
    return offer.taken is not None and not told and offer.options[0].step == now.state.step


def _strike(now: Moment, number: int) -> tuple[str, ...]:
    plan = landing.strike(now.schedule, now.state, number)
    if plan is None or not 0.0 < plan.celsius < pot.boiling_celsius(now.schedule):
        return ()
    aimed = plan.lands_at_celsius - plan.learned_kelvin
    return (*_learned(now, plan), *dough_in.strike(target_celsius=aimed, **plan.balance).lines(now.units))


def _landing(now: Moment, number: int) -> tuple[str, ...]:
    """Where the mash lands, from what the pot read before the grain went in, else from the plan."""
    found = landing.before_dough_in(now.schedule, now.state, number)
    if found is None:
        return ()
    landed = dough_in.landing(contents_celsius=found.celsius, **found.plan.balance).lines(now.units)
    return (*_learned(now, found.plan), *landed)


def _learned(now: Moment, plan: landing.Strike) -> tuple[str, ...]:
    """What the earlier days of this pot put to the balance of its dough-in."""
    known = now.state.known
    if known is None or not plan.learned_kelvin:
        return ()
    count = len(known.dough_ins)
    times = "one dough-in" if count == 1 else f"{count} dough-ins"
    side = "warmer" if plan.learned_kelvin > 0.0 else "cooler"
    return (
        f"by {times} this pot lands {now.apart(plan.learned_kelvin)} {side} than the balance below:"
        f" it is set for {now.celsius(plan.lands_at_celsius - plan.learned_kelvin)}",
    )


def _drift(now: Moment, number: int) -> tuple[str, ...]:
    taken = now.state.valid("temperature", number)
    if not taken:
        return ()
    last = taken[-1]
    return pots.drift(
        from_celsius=last.metric,
        minutes=(now.t - last.t) / 60.0,
        capacity_kj_per_k=pot.contents(now.schedule, now.state, number).kj_per_k,
        loss_w_per_k=belief.loss_w_per_k(now.schedule, now.state),
        room_celsius=now.schedule.place.room_celsius,
    ).lines(now.units)


def _starch(now: Moment) -> tuple[str, ...]:
    """What the temperatures since dough-in, or since the last gravity of it, have made of the starch."""
    grist = conversion.grist_of(now.schedule, now.state)
    start, held = conversion.held_since(now.schedule, now.state, now.t)
    if not held or grist is None:
        return ()
    return starch.starch(held, start=start, **grist._asdict()).lines(now.units)


def _yeast(now: Moment) -> tuple[str, ...]:
    """How much yeast the wash asks for, by its last gravity and volume."""
    strength, volume = now.state.valid("gravity"), now.state.valid("volume")
    if not strength or not volume or not wash.LEAST_GRAVITY <= strength[-1].metric < 1.17:
        return ()
    return wash.yeast(volume[-1].metric, strength[-1].metric, yeast.PITCH_RATE).lines(now.units)


def _raise(now: Moment, number: int) -> tuple[str, ...]:
    celsius = pot.poured_celsius(now.schedule, number)
    start = landing.expected_celsius(now.schedule, now.state, now.t)
    target = landing.target_celsius(now.schedule, now.state, number)
    if celsius is None or start is None or target is None or not start < target - 0.1:
        return ()
    inside = pot.contents(now.schedule, now.state, number)
    if pot.water_needed_kg(inside, start, target, celsius) is None:
        has, wanted = now.celsius(celsius), now.celsius(target)
        return (f"water at {has} brings no mash to {wanted}: heat it further, or raise by fire",)
    return mash.addition(
        capacity_kj_per_k=inside.kj_per_k,
        from_celsius=start,
        to_celsius=target,
        with_celsius=celsius,
    ).lines(now.units)


def _gravity(now: Moment, number: int) -> tuple[str, ...]:
    taken = now.state.valid("gravity", number)
    if taken and taken[-1].fact.sample_celsius is not None and taken[-1].fact.unit in ("SG", "P"):
        fact = taken[-1].fact
        read = fact.value if fact.unit == "SG" else gravity.gravity(fact.value)
        calibrated = now.schedule.hydrometer.calibrated_celsius
        sample = calibrated if fact.sample_celsius is None else fact.sample_celsius
        return sugar.hydrometer(read, sample, calibrated).lines(now.units)
    inside = pot.contents(now.schedule, now.state, number)
    if not extract.is_mash(inside):
        return ()
    return sugar.first_wort(
        extract_as_is=extract.mean_extract(inside.grains),
        moisture=extract.mean_moisture(inside.grains),
        water_per_kg=inside.thickness,
        conversion=plausible.conversion_now(now.schedule, now.state, now.t),
    ).lines(now.units)
