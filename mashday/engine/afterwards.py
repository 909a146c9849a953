"""What is read of a wash once its day is over: at the end of the fermentation, days later.

Such a reading tells nothing of the pot and calls for nothing; the last of each kind counts.
"""

from __future__ import annotations

from dataclasses import replace

from mashday.engine import facts as f
from mashday.engine import instruments, intents, plausible, readings
from mashday.engine.decision import Decision, Doubt, Refused, told
from mashday.engine.state import State
from mashday.schedule.model import Schedule
from mashday.science import alcohol
from mashday.science.limits import OutOfRange

READ_LATER: tuple[f.Quantity, ...] = ("gravity", "volume", "temperature", "ph")
STANDING_CELSIUS = (4.0, 45.0)
"""Between what a wash that ferments or stands is believed without asking. Common practice, no source."""
USUAL_RDF = (0.5, 0.96)
"""Real degree of fermentation between which an end gravity is believed without asking: a malt wash ends at
0.80 to 0.88, a boiled one from 0.60 on, one with added enzyme up to 0.95. Common practice, no source."""
VOLUME_SHARES = (0.5, 1.15)
"""A wash later read at another share of what went into the fermenter is asked about. Judgement."""
RISE = 0.002
"""How far an end gravity may lie above one read before: the errors of two readings. Judgement."""


def take(schedule: Schedule, state: State, intent: intents.TakeReading) -> Decision:
    """A reading of a day that is over: refused if it cannot be, doubted if unlikely, else a fact."""
    if state.started is None:
        return Refused("That day never began, so there is no wash to read.")
    if intent.quantity not in READ_LATER:
        return Refused("Once the day is over, a gravity, a volume, a temperature or a pH can be added.")
    metric = intent.metric
    if intent.quantity == "temperature" and intent.source is None:
        metric = instruments.thermometer(schedule, state).true_celsius(metric)
    if intent.unit == "Bx":
        return Refused("A refractometer reads wrong once yeast is in. Use the hydrometer.")
    why = plausible.impossible(schedule, state, intent.quantity, metric)
    if why is not None:
        return Refused(why)
    found = readings.measured(schedule, state, intent.quantity, metric, intent.unit, intent.sample_celsius)
    if isinstance(found, Refused):
        return found
    if intent.quantity == "gravity":
        why = _no_end_gravity(state, found["gravity"])
        if why is not None:
            return Refused(why)
        doubt = _doubted_gravity(state, found["gravity"])
    else:
        doubt = _doubted(schedule, state, intent.quantity, metric, read=intent.metric)
    if doubt is not None and not intent.sure:
        return Doubt(doubt)
    fact = f.ReadingTaken(
        step=state.step,
        quantity=intent.quantity,
        subject="wash",
        value=intent.value,
        unit=intent.unit,
        typed=intent.typed,
        sample_celsius=intent.sample_celsius,
        spots=intent.spots,
        place=intent.place,
        source=intent.source,
        kept=doubt is not None,
    )
    return (replace(fact, **found),)


def wash_gravity(state: State) -> float | None:
    """The gravity of the wash as it was read on the day, None if it was not."""
    return _last_of_wash(state, "gravity")


def wash_litres(state: State) -> float | None:
    """The volume of the wash as it was read on the day, litres; None if it was not."""
    return _last_of_wash(state, "volume")


def _last_of_wash(state: State, quantity: f.Quantity) -> float | None:
    read = (
        reading.metric
        for reading in reversed(state.valid(quantity))
        if reading.fact.subject == "wash" and not reading.fact.assumed
    )
    return next(read, None)


def last_read(state: State, quantity: f.Quantity) -> float | None:
    """What was last read of this quantity once the day was over, in Celsius, SG, litres or pH."""
    return next((r.metric for r in reversed(state.later) if r.quantity == quantity), None)


def _no_end_gravity(state: State, final: float) -> str | None:
    """Why no wash of this day can have this gravity, as a sentence with what would do; None if it can."""
    original = wash_gravity(state)
    if original is None:
        return None
    if final > original + RISE:
        return (
            f"{final:.4f} cannot be: this wash began at {original:.4f}, and yeast only takes from that."
            " Let the gas out of the sample, read it again where the liquid meets the scale, and type that."
        )
    try:
        lowest = alcohol.lowest_possible_final_gravity(original)
    except OutOfRange:
        return None
    if final < lowest:
        return (
            f"{final:.4f} cannot be: with all its sugar gone this wash of {original:.4f} would stand at"
            f" {lowest:.4f}. Look whether the hydrometer reads 1.000 in water, and read again."
        )
    return None


def _doubted_gravity(state: State, final: float) -> str | None:
    before, original = last_read(state, "gravity"), wash_gravity(state)
    if before is not None and final > before + RISE:
        return f"{final:.4f}? It was read at {before:.4f} before, and it does not rise again."
    if original is None:
        return None
    if final > original:
        return f"{final:.4f}? It began at {original:.4f}: then nothing of it has fermented yet."
    try:
        fermented = alcohol.true_rdf(original, final)
    except OutOfRange:
        return None
    if fermented < USUAL_RDF[0]:
        return f"{final:.4f} from {original:.4f}? Then less than half of it has fermented, and it goes on."
    if fermented > USUAL_RDF[1]:
        return f"{final:.4f} from {original:.4f}? Then next to nothing of the extract is left, which is rare."
    return None


def _doubted(
    schedule: Schedule, state: State, quantity: f.Quantity, metric: float, *, read: float
) -> str | None:
    """Why this is unlikely, None if it is not; `read` is what the thermometer showed."""
    if quantity == "temperature" and not STANDING_CELSIUS[0] <= metric <= STANDING_CELSIUS[1]:
        shown, true = (told(schedule, state, celsius, "temperature") for celsius in (read, metric))
        by_offset = "" if read == metric else f", which is {true} by your thermometer's offset"
        return f"{shown}{by_offset}? A wash that ferments is not that warm or cold."
    pitched = wash_litres(state)
    if quantity == "volume" and pitched is not None:
        low, high = (share * pitched for share in VOLUME_SHARES)
        if not low <= metric <= high:
            was = told(schedule, state, pitched, "volume")
            return f"{told(schedule, state, metric, 'volume')}? {was} went into the fermenter."
    return None
