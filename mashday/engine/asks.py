"""What is asked of the person, and when: temperature, gravity, volume, starch, water added.

The asks of the step under way are worked out anew from schedule and state; nothing of them is stored.
An ask is due at a moment of running time. A required one stands in the way of going on until it is
answered, by a value or by *unknown*.
"""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine import contents as pot
from mashday.engine import conversion, landing, mid_mash, pace, timetable
from mashday.engine.facts import Quantity, Subject, Told
from mashday.engine.state import Reading, State, StepRecord
from mashday.schedule.model import (
    Add,
    Boil,
    Cook,
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    StarchCheck,
)
from mashday.science import yeast

MINUTE = 60.0
SETTLE_AFTER_GRAIN = 5.0
"""Minutes after dough-in before a reading says anything: coarse grits go on taking up water and giving
heat (Meddings & Potter 1974, Cereal Chem. 51:1, diffusivity; the five minutes are common practice)."""
DOUGHED_IN_MINUTES = 10.0
"""Minutes after a dough-in began when one that no rest follows is read. Common practice, no source."""
AFTER_ADDITION = 3.0
"""Minutes after water was stirred in before the next reading. Common practice, no source."""
POURING_MINUTES = 2.0
"""Minutes from taking a way with water until it is asked what went in. Common practice, no source."""
SOONEST_AFTER_ADDITION = 2.0
"""A reading sooner than this after water went in is not believed. Common practice, no source."""
UNKNOWN_GAP = 5.0
"""Minutes to the next reading over a heat whose pace nothing tells. Judgement: it must not run away."""
LEAST_GAP, LONGEST_GAP = 5.0, 20.0
"""Bounds of the gap between readings where drift sets it, minutes. Common practice, no source."""
STIR_FIRST = "stir first; read in two or three places"
"""Why a mash is read in several places: right after a change none of them speaks for all. Common practice."""
STILL_SETTLING = "the grain was still taking up water at the last reading"
"""Why a rest is read a second time: the first reading came too soon after the grain."""
STARCH_GIVE_UP_MINUTES = 90.0
"""After two failed starch checks and this long in the mash, going on is offered. Common practice."""


@dataclass(frozen=True, slots=True)
class Ask:
    """Something asked: `due` in running seconds, `of` the reading a sample temperature belongs to."""

    key: str
    quantity: Quantity | Told
    subject: Subject
    due: float
    required: bool
    why: str
    of: int | None = None


def asks(schedule: Schedule, state: State) -> tuple[Ask, ...]:
    """What the step under way asks, soonest first; empty when nothing is."""
    record = state.current
    if record is None or state.phase not in ("running", "held"):
        return ()
    found = _of_the_pot(schedule, state) + _open_sample(state) + _water_to_tell(state)
    if not found:
        found = _of_step(schedule, state, record)
    return tuple(sorted(found, key=lambda ask: ask.due))


def question(schedule: Schedule, state: State, t: float) -> Ask | None:
    """The ask a bare number answers at session time `t`: the first due, else the next to come."""
    standing = asks(schedule, state)
    return standing[0] if standing else None


def due(schedule: Schedule, state: State, t: float) -> tuple[Ask, ...]:
    """The asks that are due at session time `t`."""
    now = state.running(t)
    return tuple(ask for ask in asks(schedule, state) if ask.due <= now)


def unplanned(schedule: Schedule, state: State) -> frozenset[str]:
    """The keys of what is asked only because of what was read or changed: a second check, a reading anew."""
    record = state.current
    if record is None:
        return frozenset()
    again = _after_change(state, record, subject(schedule, record.number))
    checks = [ask for ask in asks(schedule, state) if ask.quantity == "starch"]
    if checks and not state.valid("starch", record.number):
        checks = []
    return frozenset(ask.key for ask in (*again, *checks))


def subject(schedule: Schedule, number: int) -> Subject:
    """What step `number` is about: what is in the pot, or the water that is heated beside it."""
    step = schedule.step(number)
    if landing.is_beside(schedule, number):
        return "water"
    if isinstance(step, Pitch):
        return "wash"
    if pot.is_separated(schedule, number) or isinstance(step, Boil):
        return "wort"
    before = schedule.steps[: number - 1]
    if any(isinstance(earlier, DoughIn) for earlier in before) or isinstance(step, DoughIn):
        return "mash"
    if any(isinstance(earlier, Cook) for earlier in before) or isinstance(step, Cook):
        return "cook"
    return "water"


def _of_the_pot(schedule: Schedule, state: State) -> list[Ask]:
    """What is still to be told of the pot a day was begun with in mid-mash, one after the other."""
    found = mid_mash.question(schedule, state)
    if found is None:
        return []
    key = f"{found.what.replace(' ', '-')}-{state.from_step}"
    what = subject(schedule, state.from_step)
    return [Ask(key, found.what, what, state.records[0].began_run, True, found.why)]


def _open_sample(state: State) -> list[Ask]:
    for reading in state.valid("gravity"):
        fact = reading.fact
        if fact.sample_celsius is None and fact.unit in ("SG", "P") and not fact.assumed:
            key = f"sample-{reading.number}"
            why = "so that the gravity can be put right for the sample's temperature"
            return [Ask(key, "sample temperature", fact.subject, reading.run, True, why, of=reading.number)]
    return []


def _water_to_tell(state: State) -> list[Ask]:
    """After a way with water was taken: how much really went in."""
    offer = state.untold
    if offer is None or offer.taken_run is None:
        return []
    why = "so that the rest of the day is reckoned with what really went in"
    due_at = offer.taken_run + POURING_MINUTES * MINUTE
    return [Ask(f"added-{offer.number}", "added water", "mash", due_at, True, why)]


def _of_step(schedule: Schedule, state: State, record: StepRecord) -> list[Ask]:
    step = schedule.step(record.number)
    if isinstance(step, Heat):
        return _until_reached(schedule, state, record, up=True)
    if isinstance(step, Raise | MashOut | Cool):
        return _while_moving(schedule, state, record, up=not isinstance(step, Cool))
    if isinstance(step, Cook):
        if record.clock_run is None:
            return _until_reached(schedule, state, record, up=True)
        return _while_resting(schedule, state, record, step, record.clock_run)
    if isinstance(step, Rest):
        return _while_resting(schedule, state, record, step, record.began_run)
    if isinstance(step, DoughIn):
        return _after_dough_in(schedule, state, record)
    if isinstance(step, StarchCheck):
        return _starch(state, record, step)
    if isinstance(step, Separate):
        return _runnings(schedule, state, record, step)
    if isinstance(step, Pitch):
        return _pitching(state, record)
    if isinstance(step, Add):
        return _before_adding(schedule, state, record, step)
    return []


def _temperature(
    state: State, record: StepRecord, what: Subject, due_at: float, required: bool, why: str
) -> Ask:
    return Ask(_key(state, "temperature", record.number), "temperature", what, due_at, required, why)


def _key(state: State, quantity: Quantity, number: int) -> str:
    """What the next reading of this quantity in step `number` goes by. One that counts for nothing counts
    here, so that what is asked anew calls anew."""
    taken = sum(reading.quantity == quantity and reading.step == number for reading in state.readings)
    return f"{quantity}-{number}-{taken + 1}"


def newest_temperature(state: State, record: StepRecord) -> Reading | None:
    """The newest temperature that was read in a step, None if none was."""
    readings = [r for r in state.valid("temperature", record.number) if r.t >= record.began]
    return readings[-1] if readings else None


def reached(schedule: Schedule, state: State, number: int) -> bool:
    """True if the newest reading of step `number` is at its target, within its band (on the far side too)."""
    record = state.record(number)
    newest = newest_temperature(state, record) if record else None
    return newest is not None and at_target(schedule, state, number, newest.metric)


def at_target(
    schedule: Schedule, state: State, number: int, celsius: float, coast_kelvin: float = 0.0
) -> bool:
    """True if `celsius` is the target of step `number` within its band, or past it; from below also where it
    will be by `coast_kelvin` more. False for a step without one."""
    target = landing.target_celsius(schedule, state, number)
    if target is None:
        return False
    if isinstance(schedule.step(number), Cool):
        return celsius <= target + landing.band_kelvin(schedule, number)
    return celsius >= target - max(landing.short_kelvin(schedule, number), coast_kelvin)


def _until_reached(schedule: Schedule, state: State, record: StepRecord, *, up: bool) -> list[Ask]:
    """Read when it should be there; if it is not, again when the last readings say it will be."""
    number = record.number
    what = subject(schedule, number)
    target = landing.target_celsius(schedule, state, number)
    if target is None or reached(schedule, state, number):
        return _after_change(state, record, what)
    latest = newest_temperature(state, record)
    if latest is None:
        start = timetable.starts_at(schedule, state, number)
        minutes = timetable.step_minutes(schedule, state, number, start)
        if isinstance(schedule.step(number), Cook):
            minutes = timetable.heat_up_minutes(schedule, state, number, start)
        wait = 0.0 if mid_mash.is_first(state, number) else min(minutes, _first_look(schedule, number))
        due_at, required = record.began_run + wait * MINUTE, True
    else:
        left = pace.minutes_left(schedule, state, number)
        unknown = UNKNOWN_GAP if up else LONGEST_GAP
        wait = unknown if left is None else min(max(left, 2.0), LONGEST_GAP)
        due_at, required = latest.run + wait * MINUTE, False
    why = "it should be near its target" if up else "it should have come down by now"
    return [_temperature(state, record, what, due_at, required, why)]


def _first_look(schedule: Schedule, number: int) -> float:
    step = schedule.step(number)
    if isinstance(step, Cool):
        every = step.read_every_minutes
        return every if every is not None else (60.0 if step.by == "standing" else 10.0)
    return 60.0


def _after_change(state: State, record: StepRecord, what: Subject) -> list[Ask]:
    """One more reading after water went in or a fire was lit, 3 minutes on."""
    latest = newest_temperature(state, record)
    poured = (a for a in state.additions if a.fact.step == record.number and a.fact.litres > 0.0)
    changed = [a.run + AFTER_ADDITION * MINUTE for a in poured]
    offer = state.offer
    if offer is not None and offer.taken_run is not None:
        way = offer.way_taken
        dry = way is not None and way.litres <= 0.0 and way.way != "more time"
        if way is not None and dry and way.step == record.number:
            changed.append(offer.taken_run + (way.minutes + AFTER_ADDITION) * MINUTE)
    early = (AFTER_ADDITION - SOONEST_AFTER_ADDITION) * MINUTE
    if not changed or (latest is not None and latest.run >= max(changed) - early):
        return []
    why = STIR_FIRST if what == "mash" else "to see what the change did"
    return [_temperature(state, record, what, max(changed), True, why)]


def _while_moving(schedule: Schedule, state: State, record: StepRecord, *, up: bool) -> list[Ask]:
    """A step that pours asks what went in and then reads; the others read until they are there."""
    number = record.number
    what = subject(schedule, number)
    poured = [a for a in state.additions if a.fact.step == number]
    pours = pot.poured_celsius(schedule, number) is not None and not mid_mash.is_first(state, number)
    why = "so that the rest of the day is reckoned with what really went in"
    latest = newest_temperature(state, record)
    if pours and not poured and latest is None:
        return [Ask(f"added-step-{number}", "added water", what, record.began_run, True, why)]
    change = _after_change(state, record, what)
    if change:
        return change
    none_went_in = bool(poured) and poured[-1].fact.litres <= 0.0
    if pours and latest is not None and not none_went_in and pot.rest_to_pour_kg(schedule, state, number):
        again = f"added-step-{number}-{len(poured) + 1}" if poured else f"added-step-{number}"
        return [Ask(again, "added water", what, latest.run, True, why)]
    return _until_reached(schedule, state, record, up=up)


def _while_resting(
    schedule: Schedule, state: State, record: StepRecord, step: Rest | Cook, clock: float
) -> list[Ask]:
    number = record.number
    what = subject(schedule, number)
    change = _after_change(state, record, what)
    if change:
        return change
    latest = newest_temperature(state, record)
    end = clock + (step.minutes + record.extended_minutes) * MINUTE
    if latest is None:
        stood = 0.0 if mid_mash.is_first(state, number) else AFTER_ADDITION
        wait = SETTLE_AFTER_GRAIN if grain_just_in(schedule, state, number) else stood
        due_at = min(clock + wait * MINUTE, end)
        return [_temperature(state, record, what, due_at, True, STIR_FIRST)]
    settled = min(clock + SETTLE_AFTER_GRAIN * MINUTE, end)
    if latest.run < settled and grain_just_in(schedule, state, number):
        return [_temperature(state, record, what, settled, True, STILL_SETTLING)]
    gap = _gap_minutes(schedule, state, number, step, latest.metric)
    due_at = latest.run + gap * MINUTE
    if due_at > end - LEAST_GAP * MINUTE:
        return []
    return [_temperature(state, record, what, due_at, True, "it may have drifted")]


def grain_just_in(schedule: Schedule, state: State, number: int) -> bool:
    """True if step `number` follows straight on a dough-in; one begun with, if that was a moment ago."""
    if number == 1 or not isinstance(schedule.step(number - 1), DoughIn):
        return False
    stood = mid_mash.is_first(state, number)
    return not stood or conversion.minutes_before(schedule, state) < SETTLE_AFTER_GRAIN


def _gap_minutes(schedule: Schedule, state: State, number: int, step: Rest | Cook, celsius: float) -> float:
    if step.read_every_minutes is not None:
        return step.read_every_minutes
    edge = step.target_celsius - landing.band_kelvin(schedule, number)
    if celsius <= edge:
        return 10.0
    minutes = landing.drift_minutes(schedule, state, number, celsius, edge)
    return min(max(minutes, LEAST_GAP), LONGEST_GAP)


def _after_dough_in(schedule: Schedule, state: State, record: StepRecord) -> list[Ask]:
    """A dough-in that no rest follows is read itself, once it has settled."""
    number = record.number
    if number < len(schedule.steps) and isinstance(schedule.step(number + 1), Rest):
        return []
    change = _after_change(state, record, "mash")
    if change or newest_temperature(state, record) is not None:
        return change
    due_at = record.began_run + DOUGHED_IN_MINUTES * MINUTE
    return [_temperature(state, record, "mash", due_at, True, "to see where the mash landed")]


def _starch(state: State, record: StepRecord, step: StarchCheck) -> list[Ask]:
    checks = [r for r in state.valid("starch", record.number) if r.t >= record.began]
    key = _key(state, "starch", record.number)
    if not checks:
        return [Ask(key, "starch", "mash", record.began_run, True, "a drop of iodine on a cooled sample")]
    if checks[-1].fact.passed:
        return []
    due_at = checks[-1].run + step.retry_minutes * MINUTE
    return [Ask(key, "starch", "mash", due_at, True, "the last sample still showed starch")]


def _runnings(schedule: Schedule, state: State, record: StepRecord, step: Separate) -> list[Ask]:
    found: list[Ask] = []
    number = record.number
    if not state.valid("gravity", number):
        what: Subject = "mash" if step.by == "on the grain" else "wort"
        why = "first runnings: they tell how far the mash converted"
        if step.by == "on the grain":
            why = "the liquid of the mash: it tells how far it converted"
        due_at = record.began_run + 5 * MINUTE
        found.append(Ask(_key(state, "gravity", number), "gravity", what, due_at, True, why))
    if step.by != "on the grain" and not state.valid("volume", number):
        why = "what has run off, all of it"
        due_at = record.began_run + 20 * MINUTE
        found.append(Ask(_key(state, "volume", number), "volume", "wort", due_at, True, why))
    return found


def _pitching(state: State, record: StepRecord) -> list[Ask]:
    wanted: tuple[tuple[Quantity, str], ...] = (
        ("temperature", "yeast goes in only when the wash is cool enough"),
        ("gravity", "the true gravity, before the yeast"),
        ("volume", "the true volume, before the yeast"),
    )
    found = []
    latest = newest_temperature(state, record)
    if latest is not None and latest.metric > yeast.HOTTEST_PITCH_CELSIUS:
        why = "it is still too hot for the yeast"
        found.append(_temperature(state, record, "wash", latest.run + 5 * MINUTE, False, why))
    for place, (quantity, why) in enumerate(wanted):
        if not state.valid(quantity, record.number):
            key = _key(state, quantity, record.number)
            found.append(Ask(key, quantity, "wash", record.began_run + 2 * MINUTE * place, True, why))
    return found


def allows_adding(step: Add, celsius: float) -> bool:
    """True if at this temperature what the step names may go in."""
    too_hot = step.below_celsius is not None and celsius > step.below_celsius
    too_cold = step.above_celsius is not None and celsius < step.above_celsius
    return not (too_hot or too_cold)


def _before_adding(schedule: Schedule, state: State, record: StepRecord, step: Add) -> list[Ask]:
    if step.above_celsius is None and step.below_celsius is None:
        return []
    what = subject(schedule, record.number)
    latest = newest_temperature(state, record)
    if latest is None:
        why = "it goes in only at the right temperature"
        return [_temperature(state, record, what, record.began_run, True, why)]
    if allows_adding(step, latest.metric):
        return []
    why = "not yet at the right temperature"
    return [_temperature(state, record, what, latest.run + 5 * MINUTE, False, why)]
