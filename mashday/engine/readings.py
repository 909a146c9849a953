"""From what the person typed to facts: readings, corrections, assumed values, water and amounts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mashday.engine import asks, call_answers, instruments, intents, landing, plausible, pouring, remedy
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.decision import Decision, Doubt, Refused, told
from mashday.engine.fold import foreseen
from mashday.engine.state import Reading, State
from mashday.quantities import show
from mashday.schedule.model import Boil, Cook, DoughIn, Heat, MashOut, Raise, Schedule
from mashday.science import gravity

Measured = dict[str, Any]
"""The metric fields of a reading."""


def take(schedule: Schedule, state: State, intent: intents.TakeReading, t: float) -> Decision:
    """A reading: refused if it cannot be, doubted if unlikely, else a fact with the remedies it calls for."""
    if intent.quantity == "sample temperature":
        return _sample(schedule, state, intent, t)
    if intent.quantity == "added water":
        return pouring.add_water(
            schedule, state, intents.AddWater(intent.metric, intent.typed, sure=intent.sure), t
        )
    dough_in = pot.first_step(schedule, DoughIn)
    if intent.quantity == "starch" and dough_in is not None and state.step < dough_in:
        return Refused(f"The malt is not in before step {dough_in}: there is nothing to check yet.")
    metric = intent.metric
    if intent.quantity == "temperature" and intent.source != f.PROBE:
        metric = instruments.thermometer(schedule, state).true_celsius(metric)
    why = plausible.impossible(schedule, state, intent.quantity, metric)
    if why is not None:
        return Refused(why)
    if intent.unit == "Bx" and any(
        asks.subject(schedule, r.number) == "wash" and r.ended is not None for r in state.records
    ):
        return Refused("A refractometer reads wrong once yeast is in. Use the hydrometer.")
    found = measured(schedule, state, intent.quantity, metric, intent.unit, intent.sample_celsius)
    if isinstance(found, Refused):
        return found
    doubt = plausible.weak(schedule, state, t, intent.spots) if intent.quantity == "temperature" else None
    if doubt is None:
        places = max(1, len(intent.spots))
        doubt = plausible.doubtful(schedule, state, intent.quantity, metric, t, places)
    if doubt is not None and not intent.sure:
        return Doubt(doubt)
    fact = f.ReadingTaken(
        step=state.step,
        quantity=intent.quantity,
        subject=_subject(schedule, state, intent.quantity, t),
        value=intent.value,
        unit=intent.unit,
        typed=intent.typed,
        passed=intent.passed,
        sample_celsius=intent.sample_celsius,
        spots=intent.spots,
        place=intent.place,
        source=intent.source,
        kept=doubt is not None,
    )
    return _with_consequences(schedule, state, replace(fact, **found), t)


def _subject(schedule: Schedule, state: State, quantity: str, t: float) -> f.Subject:
    for ask in asks.asks(schedule, state):
        if ask.quantity == quantity:
            return ask.subject
    return asks.subject(schedule, state.step)


def measured(
    schedule: Schedule,
    state: State,
    quantity: str,
    metric: float,
    unit: str,
    sample_celsius: float | None,
) -> Measured | Refused:
    """The metric fields of a reading, or why it is none.

    A gravity is put right for the temperature of its sample where that is known.
    """
    if quantity == "temperature":
        return {"celsius": metric}
    if quantity == "volume":
        return {"litres": metric}
    if quantity == "ph":
        return {"ph": metric}
    if quantity != "gravity":
        return {}
    if unit == "Bx" and sample_celsius is not None:
        why = plausible.impossible(schedule, state, "sample temperature", sample_celsius)
        if why is not None:
            return Refused(why)
    if unit == "Bx":
        return {"gravity": metric, "trust": None}
    metric -= instruments.hydrometer_offset(state)
    if sample_celsius is None:
        return {"gravity": metric, "trust": None}
    return _at_sample(schedule, state, metric, sample_celsius)


def _at_sample(schedule: Schedule, state: State, reading: float, celsius: float) -> Measured | Refused:
    why = plausible.impossible(schedule, state, "sample temperature", celsius)
    if why is not None:
        return Refused(why)
    try:
        true, trust = gravity.hydrometer_gravity(reading, celsius, schedule.hydrometer.calibrated_celsius)
    except ValueError as out_of_range:
        return Refused(f"That is no gravity: {out_of_range}.")
    if trust == "refused":
        shown = told(schedule, state, celsius, "temperature", 0)
        cool = told(schedule, state, 30.0, "temperature", 0)
        return Refused(
            f"A sample at {shown} is no gravity, and a hydrometer can crack in it."
            f" Cool it below {cool} in a cup stood in cold water and read again."
        )
    why = plausible.impossible(schedule, state, "gravity", true)
    return {"gravity": true, "trust": trust} if why is None else Refused(why)


def _with_consequences(schedule: Schedule, state: State, fact: f.ReadingTaken, t: float) -> Decision:
    found: list[f.Fact] = [fact, *call_answers.answered(schedule, state, t, fact.quantity)]
    if fact.quantity == "temperature" and fact.celsius is not None and not fact.assumed:
        found += _clock_started(schedule, state, fact.celsius)
        found += remedy.offers(schedule, foreseen(state, t, fact), fact.celsius, t, state.seq + 1)
    return tuple(found)


def _clock_started(schedule: Schedule, state: State, celsius: float) -> list[f.Fact]:
    record = state.current
    if record is None or record.clock_run is not None:
        return []
    step = schedule.step(record.number)
    target = landing.target_celsius(schedule, state, record.number)
    if not isinstance(step, Boil | Cook) or target is None:
        return []
    band = landing.band_kelvin(schedule, record.number)
    return [f.ClockStarted(record.number)] if celsius >= target - band else []


def _sample(schedule: Schedule, state: State, intent: intents.TakeReading, t: float) -> Decision:
    ask = next((a for a in asks.asks(schedule, state) if a.of is not None), None)
    if ask is None or ask.of is None:
        return Refused("No gravity waits for the temperature of its sample.")
    return _sample_given(schedule, state, ask.of, intent.metric, intent.typed, assumed=False, t=t)


def _sample_given(
    schedule: Schedule, state: State, number: int, celsius: float, typed: str, *, assumed: bool, t: float
) -> Decision:
    reading = reading_numbered(state, number)
    assert reading is not None and reading.fact.gravity is not None
    found = _at_sample(schedule, state, reading.fact.gravity, celsius)
    if isinstance(found, Refused):
        return found
    fact = f.SampleTemperatureGiven(number, celsius, found["gravity"], found["trust"], typed, assumed)
    return (fact, *call_answers.answered(schedule, state, t, "sample temperature"))


def reading_numbered(state: State, number: int) -> Reading | None:
    """The reading with this number that still counts, None if there is none."""
    return next((r for r in state.valid() if r.number == number), None)


def correct(schedule: Schedule, state: State, intent: intents.Correct, t: float) -> Decision:
    """What a reading should have been; the old value stays in the log."""
    reading = reading_numbered(state, intent.of)
    if reading is None:
        return Refused(_no_reading(state, intent.of))
    if reading.quantity == "starch":
        return Refused("A starch check is not a number: void it and answer again.")
    metric = intent.metric
    if reading.quantity == "temperature":
        metric = instruments.thermometer(schedule, state).true_celsius(metric)
    why = plausible.impossible(schedule, state, reading.quantity, metric)
    if why is not None:
        return Refused(why)
    others = foreseen(state, t, f.ReadingVoided(intent.of))
    doubt = plausible.doubtful(schedule, others, reading.quantity, metric, t, places=2)
    if doubt is not None and not intent.sure and reading.step == state.step:
        return Doubt(doubt)
    sample = reading.fact.sample_celsius
    found = measured(schedule, state, reading.quantity, metric, intent.unit, sample)
    if isinstance(found, Refused):
        return found
    fact = replace(f.ReadingCorrected(intent.of, intent.value, intent.unit, intent.typed), **found)
    if fact.celsius is None or reading is not state.valid("temperature")[-1] or reading.step != state.step:
        return (fact,)
    return (fact, *remedy.offers(schedule, foreseen(state, t, fact), fact.celsius, t, state.seq + 1))


def void(schedule: Schedule, state: State, intent: intents.Void, t: float) -> Decision:
    """A reading that counts for nothing."""
    if reading_numbered(state, intent.of) is None:
        return Refused(_no_reading(state, intent.of))
    return (f.ReadingVoided(intent.of),)


def _no_reading(state: State, number: int) -> str:
    known = ", ".join(str(reading.number) for reading in state.valid()[-5:])
    return f"There is no reading {number}." + (f" The last ones are {known}." if known else "")


def assume(schedule: Schedule, state: State, t: float) -> Decision:
    """The person cannot say: what is assumed in place of an answer, marked as assumed."""
    ask = asks.question(schedule, state, t)
    assert ask is not None
    if ask.quantity == "sample temperature" and ask.of is not None:
        calibrated = schedule.hydrometer.calibrated_celsius
        return _sample_given(schedule, state, ask.of, calibrated, "unknown", assumed=True, t=t)
    if ask.quantity == "added water":
        return pouring.assume(schedule, state, t)
    if ask.quantity == "starch":
        return Refused("That cannot be assumed: say 'starch pass' or 'starch fail', or skip the check.")
    quantity = ask.quantity
    assert quantity in ("temperature", "gravity", "volume")
    value = _assumed(schedule, state, ask, t)
    if value is None or plausible.impossible(schedule, state, quantity, value) is not None:
        return Refused("Nothing is known that could be assumed: type a reading, or skip the step.")
    unit = {"temperature": "C", "gravity": "SG", "volume": "L"}[quantity]
    fact = f.ReadingTaken(
        step=state.step,
        quantity=quantity,
        subject=ask.subject,
        value=value,
        unit=unit,
        typed="unknown",
        celsius=value if ask.quantity == "temperature" else None,
        gravity=value if ask.quantity == "gravity" else None,
        litres=value if ask.quantity == "volume" else None,
        assumed=True,
    )
    return (
        fact,
        *call_answers.answered(schedule, state, t, ask.quantity),
        *_clock_if_assumed(schedule, state, ask, value),
    )


def _clock_if_assumed(schedule: Schedule, state: State, ask: asks.Ask, value: float) -> list[f.Fact]:
    return _clock_started(schedule, state, value) if ask.quantity == "temperature" else []


def _assumed(schedule: Schedule, state: State, ask: asks.Ask, t: float) -> float | None:
    """What is taken for the answer: on the way to a target, the target; in a rest, what was expected."""
    if ask.quantity == "gravity":
        return plausible.expected_gravity(schedule, state, t)
    if ask.quantity == "volume":
        return plausible.expected_litres(schedule, state, t)
    target = landing.target_celsius(schedule, state, state.step)
    step = schedule.step(state.step)
    if target is not None and isinstance(step, Heat | Cook | Raise | MashOut | DoughIn):
        return target
    expected = landing.expected_celsius(schedule, state, t)
    return expected if expected is not None else target


def give_amount(schedule: Schedule, state: State, intent: intents.GiveAmount, t: float) -> Decision:
    """Another amount of grain or water than planned."""
    number = amount_step(schedule, state, intent.what)
    if number is None:
        return Refused(f"No step of this day takes {intent.what}.")
    if intent.what == "grain temperature":
        return _grain_temperature(schedule, state, intent, number)
    if not 0.0 < intent.amount <= plausible.MOST_AMOUNT:
        return Refused(f"{intent.typed} cannot be an amount here. Type it like 4.8 kg, or 14 L.")
    names = tuple(grain.name for grain, _ in pot.grain_in(schedule, state, number))
    if intent.what == "grain" and intent.name is not None and intent.name not in names:
        return Refused(f"No grain of that name goes in here; it takes {', '.join(names) or 'none'}.")
    planned = _planned(schedule, state, intent, number)
    if planned and not 0.5 <= intent.amount / planned <= 1.6 and not intent.sure:
        kind = "mass" if intent.what == "grain" else "volume"
        units = state.units or schedule.units
        there, here = show(planned, kind, units), show(intent.amount, kind, units)  # type: ignore[arg-type]
        return Doubt(f"{here} where {there} was planned? Keep it?")
    return (f.AmountGiven(number, intent.what, intent.amount, intent.typed, intent.name),)


def _grain_temperature(schedule: Schedule, state: State, intent: intents.GiveAmount, number: int) -> Decision:
    """How warm the grain is before it goes in; too late once it is in."""
    low, high = plausible.GRAIN_CELSIUS
    record = state.record(number)
    if number < state.from_step or (record is not None and record.ended is not None):
        return Refused("The grain is in; its temperature changes nothing any more.")
    if not low <= intent.amount <= high:
        shown = told(schedule, state, intent.amount, "temperature")
        return Refused(f"Grain at {shown} cannot be. Push the thermometer into the sack and read again.")
    return (f.AmountGiven(number, intent.what, intent.amount, intent.typed),)


def _planned(schedule: Schedule, state: State, intent: intents.GiveAmount, number: int) -> float:
    if intent.what == "water":
        return pot.water_litres(schedule, state, number)
    grains = pot.grain_in(schedule, state, number)
    return sum(kg for grain, kg in grains if intent.name in (None, grain.name))


def amount_step(schedule: Schedule, state: State, what: str) -> int | None:
    """The step a weight or measure belongs to: this one, else the last that took some, else the next."""
    kinds = (Heat, Cook) if what == "water" else (DoughIn, Cook)
    takers = [
        number
        for number, step in enumerate(schedule.steps, 1)
        if isinstance(step, kinds)
        and (not isinstance(step, Heat) or pot.heats_in_pot(schedule, number))
        and (not isinstance(step, Cook) or what == "grain" or step.water_litres is not None)
    ]
    here = state.step
    if here in takers:
        return here
    if what == "grain":
        later = [number for number in takers if number > here]
        return later[0] if later else (takers[-1] if takers else None)
    earlier = [number for number in takers if number < here]
    return earlier[-1] if earlier else (takers[0] if takers else None)
