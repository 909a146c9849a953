"""Whether an entry of a file can stand where it stands: a day of another hand is not folded in unread.

The sums of a session file tell that its bytes are as they were written, not who wrote them. What `decide`
makes is always sound; what is not is no entry of a day of this schedule, and nothing is reckoned with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from mashday.engine import facts as f
from mashday.engine import instruments
from mashday.engine.fold import replayed, taken_back
from mashday.engine.state import Reading, State
from mashday.schedule.model import Schedule

LONGEST_DAY_SECONDS = 3660.0 * 86400.0
"""Ten years: beyond it no clock is believed."""
FIRST_YEAR, LAST_YEAR = 1969, 9990
"""Years of a wall clock that can be reckoned on from; one that was never set begins with 1970, or the evening
before it in the west."""

_NOT_NEGATIVE = (0.0, 1e12)
_ANY = (-1e15, 1e15)
_CELSIUS = (-40.0, 102.0)
_RECKONED_CELSIUS = (-100.0, 200.0)
_AMOUNT = (0.0, 1e5)
_GRAVITY = (0.97, 1.19)
RANGES: Mapping[str, tuple[float, float]] = {
    **dict.fromkeys(("elapsed", "fire_due"), _NOT_NEGATIVE),
    **dict.fromkeys(("away_seconds", "late_seconds", "value", "spots"), _ANY),
    **dict.fromkeys(("celsius", "sample_celsius", "water_celsius"), _CELSIUS),
    **dict.fromkeys(("read_celsius", "target_celsius", "lands_celsius"), _RECKONED_CELSIUS),
    "first_celsius": _RECKONED_CELSIUS,
    **dict.fromkeys(("litres", "kilograms", "first_litres", "pulled_litres"), _AMOUNT),
    **dict.fromkeys(("in_pot_litres", "room_litres", "sparge_litres", "thickness"), _ANY),
    **dict.fromkeys(("gravity", "gravity_before", "gravity_after"), _GRAVITY),
    **dict.fromkeys(("minutes", "takes_minutes"), (-1e9, 1e9)),
    "amount": (-40.0, 3000.0),
    "ph": (0.0, 14.0),
    "shown": (-50.0, 150.0),
    "converted": (0.0, 1.01),
    "attenuation_percent": (-1.0, 101.0),
    "loss_w_per_k": (0.01, 1000.0),
    "loss_error": (0.0, 1000.0),
    "thicknesses": (0.5, 100.0),
    **dict.fromkeys(("dough_ins", "reckoned", "came"), (-100.0, 100.0)),
}
"""Between what each number of a fact can be, by the name of its field, whether it was entered or reckoned."""
_NUMBERS = {
    kind: tuple(field.name for field in fields(kind) if field.name in RANGES) for kind in f.KINDS.values()
}


NEVER_TAKEN_BACK = (
    *(f.Opened, f.PotKnown, f.DayStarted, f.DayEnded, f.ClosingLine),
    *(f.UnitsChosen, f.CallsMuted, f.Undone),
)
MOST_PASSES = 20
"""How often what is left is looked through anew. What was taken back stands again where that is left out."""


def believed(schedule: Schedule, entries: Iterable[f.Entry]) -> tuple[State, str | None]:
    """The state after the entries that follow from one another, and why the next one does not, as the end of
    a sentence that begins with its number; None if all of them do."""
    log, why = tuple(entries), None
    for _ in range(MOST_PASSES):
        state, place, amiss = _looked_through(schedule, log)
        if amiss is None:
            return replace(state, log=log), why
        log, why = log[:place], amiss
    return State(), why


def _looked_through(schedule: Schedule, log: Sequence[f.Entry]) -> tuple[State, int, str | None]:
    """The state before the first entry that does not follow, its place, and why; after all if all do."""
    struck, undone = taken_back(log), set[int]()
    states, state = replayed(log), State()
    for place, entry in enumerate(log):
        why = _misplaced(schedule, state, log[place - 1] if place else None, entry)
        if why is None and isinstance(entry.fact, f.Undone):
            why = None if _can_be_undone(log, place, undone) else NO_FOLLOWER
            undone |= set(entry.fact.entries)
        if why is None and entry.seq not in struck and not _follows(schedule, state, entry.fact):
            why = NO_FOLLOWER
        if why is not None:
            return state, place, why
        try:
            state = next(states)
        except Exception:  # what others leave standing may not add up; the fold is whole over our own only
            return state, place, NO_FOLLOWER
    return state, len(log) - 1, "ends between two steps" if _between_steps(state) else None


NO_FOLLOWER = "does not follow from those before it"


def _misplaced(schedule: Schedule, state: State, before: f.Entry | None, entry: f.Entry) -> str | None:
    """Why this entry cannot stand here, whatever became of those before it."""
    goes_on = before is not None and entry.act == before.act
    begins = entry.act == entry.seq and not _between_steps(state)
    if entry.seq != state.seq + 1 or not (goes_on or begins):
        return "has another number than the next one"
    if not state.t <= entry.t <= LONGEST_DAY_SECONDS or not FIRST_YEAR <= entry.at.year <= LAST_YEAR:
        return "has a time that cannot be"
    outside = next(_out_of_range(entry.fact), None)
    if outside is not None:
        return f"says {outside}, which cannot be"
    of_its_act = not isinstance(entry.fact, f.RemedyOffered) or entry.fact.offer == entry.act
    return None if of_its_act and _in_the_day(schedule, entry.fact) else NO_FOLLOWER


def _in_the_day(schedule: Schedule, fact: f.Fact) -> bool:
    """It is about a step and an item there are; a note may be written before the first."""
    step = getattr(fact, "step", 1)
    if not (0 if isinstance(fact, f.NoteWritten) else 1) <= step <= len(schedule.steps):
        return False
    return not isinstance(fact, f.ItemTicked) or 1 <= fact.item <= len(schedule.step(step).checklist)


def _can_be_undone(log: Sequence[f.Entry], place: int, undone: set[int]) -> bool:
    """It takes back what stands before it and can be taken back."""
    fact = log[place].fact
    assert isinstance(fact, f.Undone)
    return all(
        1 <= number <= place
        and number not in undone
        and not isinstance(log[number - 1].fact, NEVER_TAKEN_BACK)
        for number in fact.entries
    )


def _follows(schedule: Schedule, state: State, fact: f.Fact) -> bool:
    rule = _FOLLOWS.get(type(fact))
    return rule is None or rule(schedule, state, fact)


def _between_steps(state: State) -> bool:
    """True in the middle of an act that ends a step or begins the day: no step is under way, and one is to
    be."""
    return state.phase == "running" and state.current is None


def _out_of_range(fact: f.Fact) -> Iterator[str]:
    for name in _NUMBERS[type(fact)]:
        value = getattr(fact, name)
        low, high = RANGES[name]
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, float) and not low <= one <= high:
                yield f"{name} = {one:g}"


def _running(schedule: Schedule, state: State, fact: f.Fact) -> bool:
    return state.phase == "running"


def _under_way(schedule: Schedule, state: State, fact: Any) -> bool:
    """It is about the step that is under way; a held pot is read too."""
    record = state.current
    return state.phase in ("running", "held") and record is not None and record.number == fact.step


def _known_pot(schedule: Schedule, state: State, fact: f.PotKnown) -> bool:
    pairs = len(fact.thicknesses) == len(fact.dough_ins)
    return pairs and len(fact.ways) == len(fact.reckoned) == len(fact.came) and fact.days >= 1


def _day_started(schedule: Schedule, state: State, fact: f.DayStarted) -> bool:
    return state.phase == "idle" and 1 <= fact.from_step <= len(schedule.steps)


def _day_ended(schedule: Schedule, state: State, fact: f.DayEnded) -> bool:
    return state.phase in ("idle", "running", "held")


def _step_begun(schedule: Schedule, state: State, fact: f.StepBegun) -> bool:
    wanted = state.records[-1].number + 1 if state.records else state.from_step
    return state.phase == "running" and state.current is None and fact.step == wanted <= len(schedule.steps)


def _resumed(schedule: Schedule, state: State, fact: f.Resumed) -> bool:
    return state.phase == "held"


_FIELD_OF = {
    "temperature": "celsius",
    "gravity": "gravity",
    "volume": "litres",
    "ph": "ph",
    "starch": "passed",
}


def _says(fact: f.ReadingTaken | f.ReadingCorrected, quantity: str) -> bool:
    """It holds the value of what it is a reading of."""
    name = _FIELD_OF.get(quantity)
    return name is not None and getattr(fact, name, None) is not None


def _reading(schedule: Schedule, state: State, fact: f.ReadingTaken) -> bool:
    return _says(fact, fact.quantity) and not (state.is_over and state.started is None)


def _closing_line(schedule: Schedule, state: State, fact: f.ClosingLine) -> bool:
    return state.is_over


def _read(state: State, number: int) -> Reading | None:
    return next((r for r in reversed(state.readings) if r.number == number and not r.voided), None)


def _sample(schedule: Schedule, state: State, fact: f.SampleTemperatureGiven) -> bool:
    reading = _read(state, fact.of)
    return reading is not None and reading.quantity == "gravity"


def _corrected(schedule: Schedule, state: State, fact: f.ReadingCorrected) -> bool:
    reading = _read(state, fact.of)
    return reading is not None and _says(fact, reading.quantity)


def _voided(schedule: Schedule, state: State, fact: f.ReadingVoided) -> bool:
    return _read(state, fact.of) is not None


def _water(schedule: Schedule, state: State, fact: f.WaterAdded) -> bool:
    return fact.offer is None or any(offer.number == fact.offer for offer in state.offers)


def _amount(schedule: Schedule, state: State, fact: f.AmountGiven) -> bool:
    named = (
        fact.name is None or fact.what != "grain" or any(grain.name == fact.name for grain in schedule.grains)
    )
    return named and (fact.amount >= 0.0 or fact.what == "grain temperature")


def _offered(schedule: Schedule, state: State, fact: f.RemedyOffered) -> bool:
    goes_on = bool(state.offers) and state.offers[-1].number == fact.offer
    wanted = len(state.offers[-1].options) + 1 if goes_on else 1
    read = any(r.quantity == "temperature" and not r.voided for r in reversed(state.readings))
    return read and fact.option == wanted and _under_way(schedule, state, fact)


def _taken(schedule: Schedule, state: State, fact: f.RemedyTaken) -> bool:
    offer = state.offer
    if offer is None or not offer.is_open or offer.number != fact.offer:
        return False
    return any(option.option == fact.option for option in offer.options)


def _left(schedule: Schedule, state: State, fact: f.RemedyLeft) -> bool:
    return state.offer is not None and state.offer.number == fact.offer


def _checked(schedule: Schedule, state: State, fact: f.InstrumentChecked) -> bool:
    """It is near enough to what it should be for readings to be put right by it, or puts nothing right."""
    near = fact.shown is None or instruments.is_near(schedule, fact.point, fact.shown)
    return state.phase == "running" and near


def _ticked(schedule: Schedule, state: State, fact: f.ItemTicked) -> bool:
    return state.record(fact.step) is not None


_FOLLOWS: Mapping[type[f.Fact], Callable[[Schedule, State, Any], bool]] = {
    f.PotKnown: _known_pot,
    f.DayStarted: _day_started,
    f.DayEnded: _day_ended,
    f.StepBegun: _step_begun,
    f.ClockStarted: _under_way,
    f.StepEnded: _under_way,
    f.StepExtended: _under_way,
    f.Held: _running,
    f.Resumed: _resumed,
    f.ReadingTaken: _reading,
    f.SampleTemperatureGiven: _sample,
    f.ReadingCorrected: _corrected,
    f.ReadingVoided: _voided,
    f.WaterAdded: _water,
    f.AmountGiven: _amount,
    f.RemedyOffered: _offered,
    f.RemedyTaken: _taken,
    f.RemedyLeft: _left,
    f.ItemTicked: _ticked,
    f.InstrumentChecked: _checked,
    f.ClosingLine: _closing_line,
}
