"""Temperatures to come: what to heat the water to, where the mash lands, what it should read now.

Every figure here follows from the heat balance of `science.heat`; what is assumed is said beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypedDict

from mashday.engine import belief, extract
from mashday.engine import contents as pot
from mashday.engine.state import State
from mashday.schedule.model import Cook, Cool, DoughIn, Heat, Rest, Schedule
from mashday.science import heat, losses, thermometer, water
from mashday.science.limits import OutOfRange

LID_OFF_MINUTES = 5.0
"""How long the mash stands open while grain is stirred in and broken up. Common practice, no source."""
CLOSED_MINUTES = 6.0
"""How long it then stands closed until it is first read: the target is meant for that reading. Derived from
the minutes in which fresh grain is not read."""
STRIKE_BAND_KELVIN = 0.3
"""How far below its temperature the water for the grain may be: waiting for it costs a minute, grain that has
met cooler water cannot be taken out again. Judgement, no source."""


LEAST_CONTENTS_KJ_PER_K = 1e-3
"""What less than this holds is no water to heat: a millilitre holds four times as much."""


class Balance(TypedDict):
    """The terms of the heat balance of a dough-in, as `science.heat` and `science.working` name them.

    `contents_kj_per_k` is the water (or cooked mash) without the vessel.
    """

    contents_kj_per_k: float
    grain_kj_per_k: float
    grain_celsius: float
    hydration_kj: float
    vessel_kj_per_k: float
    vessel_celsius: float | None
    loss_kj: float


@dataclass(frozen=True, slots=True)
class Strike:
    """What the pot must be brought to before the grain goes in at step `dough_in`, and by which balance.

    `learned_kelvin` is how much warmer than the balance alone says the mash lands in this pot, by its earlier
    days.
    """

    step: int
    dough_in: int
    water_litres: float
    celsius: float
    lands_at_celsius: float
    balance: Balance
    learned_kelvin: float = 0.0


def dough_in_loss_kj(schedule: Schedule, celsius: float) -> float:
    """Heat lost while the grain is stirred in with the lid off, and closed until the first reading, kJ.

    By what such a pot usually loses: what this one loses more or less is in what its dough-ins taught.
    """
    room = schedule.place.room_celsius
    walls = pot.usual_loss_w_per_k(schedule) * (celsius - room)
    surface = losses.open_surface_watts(celsius, room, pot.open_area_m2(schedule))
    kj = (walls + surface) * LID_OFF_MINUTES + walls * CLOSED_MINUTES
    return max(0.0, kj) * 60.0 / 1000.0


def _cold_vessel(schedule: Schedule, number: int) -> float | None:
    """The temperature of a vessel the water is poured into; None if the water is heated in it."""
    if schedule.pot.water_heated_in_it or not pot.heats_in_pot(schedule, number):
        return None
    start = schedule.pot.starts_at_celsius
    return start if start is not None else schedule.place.room_celsius


def strike(schedule: Schedule, state: State, number: int) -> Strike | None:
    """What step `number` (a heat or a cool) has to reach so that the dough-in after it lands on target.

    None if no dough-in follows with only heats, cools, adds and checklists between, or if it brings no
    grain. Its temperature may lie over boiling: then it cannot be done, and the plan says so.
    """
    dough_in = _dough_in_after(schedule, number)
    if dough_in is None:
        return None
    grains = pot.grain_in(schedule, state, dough_in)
    if not grains:
        return None
    step = schedule.step(dough_in)
    assert isinstance(step, DoughIn)
    before = pot.contents(schedule, state, dough_in - 1)
    target = step.target_celsius
    contents_kj = before.kj_per_k - before.vessel_kj_per_k
    if contents_kj < LEAST_CONTENTS_KJ_PER_K:
        return None
    balance = Balance(
        contents_kj_per_k=contents_kj,
        grain_kj_per_k=pot.grain_kj_per_k(grains),
        grain_celsius=pot.mean_grain_celsius(grains),
        hydration_kj=pot.hydration_kj(grains),
        vessel_kj_per_k=before.vessel_kj_per_k,
        vessel_celsius=_cold_vessel(schedule, dough_in),
        loss_kj=dough_in_loss_kj(schedule, target),
    )
    thickness = before.water_kg / (before.grain_kg + sum(kg for _, kg in grains))
    learned = belief.dough_in_kelvin(state, thickness)
    try:
        celsius = heat.strike_from_capacity(target_celsius=target - learned, **balance)
    except OutOfRange as beyond:
        celsius = beyond.value
    return Strike(
        step=number,
        dough_in=dough_in,
        water_litres=pot.water_litres(schedule, state, number),
        celsius=celsius,
        lands_at_celsius=target,
        balance=balance,
        learned_kelvin=learned,
    )


def lands_at(plan: Strike, celsius: float) -> float:
    """Where the mash lands if the water (or cooked mash) is at `celsius` when the grain goes in."""
    return heat.landing_celsius(contents_celsius=celsius, **plan.balance) + plan.learned_kelvin


class BeforeDoughIn(NamedTuple):
    """The plan of a dough-in and what its water or cooked mash has: as read, else as planned."""

    plan: Strike
    celsius: float
    is_read: bool


def before_dough_in(schedule: Schedule, state: State, number: int) -> BeforeDoughIn | None:
    """What the pot has before the dough-in of step `number`; None where nothing heats for it or it boils."""
    before = _heat_step_before(schedule, number)
    plan = strike(schedule, state, before) if before is not None else None
    if before is None or plan is None or plan.dough_in != number:
        return None
    taken = state.valid("temperature", before)
    celsius = taken[-1].metric if taken else plan.celsius
    if not 0.0 < celsius <= pot.boiling_celsius(schedule):
        return None
    return BeforeDoughIn(plan, celsius, bool(taken) and not taken[-1].fact.assumed)


def dough_in_lands_at(schedule: Schedule, state: State, number: int) -> float | None:
    """Where the dough-in of step `number` should land, by what the pot read before it; None if not read."""
    found = before_dough_in(schedule, state, number)
    return lands_at(found.plan, found.celsius) if found is not None and found.is_read else None


def _dough_in_after(schedule: Schedule, number: int) -> int | None:
    for later, step in enumerate(schedule.steps[number:], number + 1):
        if isinstance(step, DoughIn):
            return later
        if step.kind not in ("heat", "cool", "add", "do", "set-up"):
            return None
    return None


def is_beside(schedule: Schedule, number: int) -> bool:
    """True for a heat whose water is in another vessel, such as that for the sparge.

    One without a target of its own is for a dough-in that follows, and so in the pot.
    """
    step = schedule.step(number)
    if not isinstance(step, Heat) or pot.heats_in_pot(schedule, number):
        return False
    return step.target_celsius is not None or _dough_in_after(schedule, number) is None


def target_celsius(schedule: Schedule, state: State, number: int) -> float | None:
    """What step `number` is to reach, Celsius: as written, or worked out; None if it has no target."""
    step = schedule.step(number)
    written: float | None = getattr(step, "target_celsius", None)
    if written is not None:
        return min(written, pot.boiling_celsius(schedule))
    if step.kind == "boil":
        return pot.boiling_celsius(schedule)
    if isinstance(step, Heat | Cool):
        plan = strike(schedule, state, number)
        return min(max(plan.celsius, 0.0), pot.boiling_celsius(schedule)) if plan else None
    return None


def band_kelvin(schedule: Schedule, number: int) -> float:
    """How far from the target is still good at step `number`: as written, else the thermometer's worth."""
    written: float | None = getattr(schedule.step(number), "band_kelvin", None)
    if written is not None:
        return abs(written)
    return thermometer.band_kelvin(schedule.thermometer.kind, schedule.thermometer.limit_kelvin)


def short_kelvin(schedule: Schedule, number: int) -> float:
    """How far below its target step `number` counts as there, K: its band, less for water for grain."""
    band = band_kelvin(schedule, number)
    if isinstance(schedule.step(number), Heat) and _dough_in_after(schedule, number) is not None:
        return min(band, STRIKE_BAND_KELVIN)
    return band


def capacity_kj_per_k(schedule: Schedule, state: State, number: int) -> float:
    """Heat capacity of the pot with what is in it at step `number`, kJ/K: mash, or wort once it is parted."""
    if pot.is_separated(schedule, number):
        return extract.wort_kj_per_k(schedule, state, number)
    return pot.contents(schedule, state, number).kj_per_k


def heating_minutes(schedule: Schedule, state: State, number: int, start: float, to: float) -> float | None:
    """Minutes the pot's own heater needs from `start` to `to` at step `number`; None without one.

    Infinite when the heater cannot reach it.
    """
    kilowatts = schedule.pot.heater_kilowatts
    if kilowatts is None or to <= start:
        return 0.0 if to <= start else None
    capacity = capacity_kj_per_k(schedule, state, number)
    try:
        return losses.heating_minutes(
            capacity_kj_per_k=capacity,
            from_celsius=start,
            to_celsius=to,
            kilowatts=kilowatts,
            efficiency=heater_efficiency(schedule, state),
            loss_w_per_k=belief.loss_w_per_k(schedule, state),
            room_celsius=schedule.place.room_celsius,
        )
    except ValueError:
        return float("inf")


def heater_efficiency(schedule: Schedule, state: State) -> float:
    """The share of the heater's power that reaches the pot: as written, put right by the earlier days."""
    known = belief.moves_known(state.known, "fire")
    return min(1.0, schedule.pot.heater_efficiency * belief.effect("fire", known))


def drift_minutes(schedule: Schedule, state: State, number: int, start: float, to: float) -> float:
    """Minutes until the standing pot has cooled from `start` to `to`; infinite if it never will.

    What is to cool stands bare: its jacket is off.
    """
    loss = belief.loss_w_per_k(schedule, state)
    if isinstance(schedule.step(number), Cool):
        loss *= pot.bare_loss_w_per_k(schedule) / pot.usual_loss_w_per_k(schedule)
    return losses.minutes_until(
        from_celsius=start,
        to_celsius=to,
        capacity_kj_per_k=capacity_kj_per_k(schedule, state, number),
        loss_w_per_k=loss,
        room_celsius=schedule.place.room_celsius,
    )


def expected_celsius(schedule: Schedule, state: State, t: float) -> float | None:
    """What the pot should read at session time `t`: the last reading, the water added since and the drift.

    None where nothing has been read or worked out yet, or where it would be no liquid: then something that
    was entered is wrong.
    """
    point = _last_known(schedule, state)
    if point is None:
        return None
    try:
        return _moved_on(schedule, state, t, *point)
    except OutOfRange:
        return None


def _moved_on(schedule: Schedule, state: State, t: float, since: float, celsius: float) -> float:
    """What `celsius` at session time `since` has come to at `t`, by the water added and the drift."""
    poured = [addition.fact for addition in state.additions if addition.t >= since]
    capacity = capacity_kj_per_k(schedule, state, state.step)
    capacity -= sum(fact.kilograms for fact in poured) * water.SPECIFIC_HEAT
    for fact in poured:
        share = belief.effect("hot water", belief.moves_known(state.known, "hot water"))
        celsius += share * (pot.stirred_in(celsius, capacity, fact) - celsius)
        capacity += fact.kilograms * water.SPECIFIC_HEAT
    return losses.drift_celsius(
        from_celsius=celsius,
        minutes=max(0.0, t - since) / 60.0,
        capacity_kj_per_k=capacity,
        loss_w_per_k=belief.loss_w_per_k(schedule, state),
        room_celsius=schedule.place.room_celsius,
    )


def _last_known(schedule: Schedule, state: State) -> tuple[float, float] | None:
    """Session time and Celsius of the last thing known of the pot's temperature."""
    readings = [
        r for r in state.valid("temperature") if not r.fact.assumed and not is_beside(schedule, r.step)
    ]
    dough_in = next(
        (r for r in reversed(state.records) if isinstance(schedule.step(r.number), DoughIn)), None
    )
    last = readings[-1] if readings else None
    if dough_in is None or (last is not None and last.t >= dough_in.began and last.fact.subject != "water"):
        return (last.t, last.metric) if last else None
    before = _heat_step_before(schedule, dough_in.number)
    plan = strike(schedule, state, before) if before else None
    heated = next((r for r in reversed(readings) if r.t <= dough_in.began), None)
    if plan is None:
        return (last.t, last.metric) if last else None
    landed = lands_at(plan, heated.metric) if heated else plan.lands_at_celsius
    return ((dough_in.ended or dough_in.began) + 60.0 * CLOSED_MINUTES, landed)


def _heat_step_before(schedule: Schedule, number: int) -> int | None:
    for earlier in range(number - 1, 0, -1):
        if isinstance(schedule.step(earlier), Heat | Cool) and not is_beside(schedule, earlier):
            return earlier
        if isinstance(schedule.step(earlier), Rest | Cook):
            return None
    return None
