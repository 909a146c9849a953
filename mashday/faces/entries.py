"""What is told when something happened: one short line or a few for each entry."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from mashday.engine import calls, instruments, mid_mash
from mashday.engine import facts as f
from mashday.engine.state import State
from mashday.faces import closing, guide, instructions, questions, ways
from mashday.faces.moment import Moment, lateness, minutes, verdict
from mashday.quantities import show
from mashday.schedule.model import Rest, Schedule
from mashday.text import cleaned

LONGEST = 600
"""Characters of a line: a note as long as it is kept, and what it is called."""
Teller = Callable[[Moment, f.Entry, Any], tuple[str, ...]]


def entry_lines(entry: f.Entry, state: State, schedule: Schedule) -> tuple[str, ...]:
    """The lines that tell of an entry, with `state` as it is after it; none for what needs no word."""
    now = Moment(schedule, state, entry.t, lambda t: entry.at)
    teller = _TELLERS.get(type(entry.fact))
    told = teller(now, entry, entry.fact) if teller is not None else ()
    goes_on = isinstance(entry.fact, f.RemedyOffered) and entry.fact.option > 1
    return tuple(
        f"{entry.at:%H:%M}  {cleaned(line, LONGEST)}"
        if place == 0 and not goes_on
        else f"       {cleaned(line, LONGEST)}"
        for place, line in enumerate(told)
    )


def _opened(now: Moment, entry: f.Entry, fact: f.Opened) -> tuple[str, ...]:
    if fact.how in ("new", "rehearsed", "later"):
        return ()
    away = minutes(fact.away_seconds / 60.0)
    if fact.how == "exact":
        return (f"Back after {away}; the clocks went on meanwhile.",)
    if fact.how == "estimated":
        return (f"Back after about {away}, estimated by the wall clock after a restart; the clocks went on.",)
    claim = "the clock went back" if fact.away_seconds < 0.0 else f"away {away} by the clock"
    return (
        f"Back, {claim}: that is not believed, and the day goes on from its last entry."
        " Is the clock right? The mash may have stood long. more 10 and more -10 mend the time of a step.",
    )


def _pot_known(now: Moment, entry: f.Entry, fact: f.PotKnown) -> tuple[str, ...]:
    times = "one day" if fact.days == 1 else f"{fact.days} days"
    return (f"The pot is known by {times}: what they taught is reckoned with.",)


def _started(now: Moment, entry: f.Entry, fact: f.DayStarted) -> tuple[str, ...]:
    if fact.from_step > 1:
        return (f"The day has begun in mid-mash: {now.schedule.name}.",)
    return (f"The day has begun: {now.schedule.name}.",)


def _ended(now: Moment, entry: f.Entry, fact: f.DayEnded) -> tuple[str, ...]:
    if fact.how == "complete":
        return ("The day is complete.",)
    if fact.how == "early":
        return ("The day ends here.",)
    return (f"The day was {fact.left}." if fact.left else "The day was given up.",)


def _begun(now: Moment, entry: f.Entry, fact: f.StepBegun) -> tuple[str, ...]:
    how = " begins by itself" if fact.by_itself else " begins"
    timer = _timer(now)
    first = f"Step {fact.step} of {len(now.schedule.steps)}, {now.named(fact.step)}{how}{timer}."
    return (first, f"{instructions.step_instruction(now, fact.step)}.")


def _timer(now: Moment) -> str:
    left = calls.remaining_seconds(now.schedule, now.state, now.t)
    return f", {minutes(left / 60.0)}" if left is not None and left > 0.0 else ""


def _clock_started(now: Moment, entry: f.Entry, fact: f.ClockStarted) -> tuple[str, ...]:
    return (f"The time of {now.title(fact.step)} runs from now{_timer(now)}.",)


def _step_ended(now: Moment, entry: f.Entry, fact: f.StepEnded) -> tuple[str, ...]:
    if fact.how == "skipped":
        return (f"Step {fact.step}, {now.title(fact.step)}, left out.",)
    return ()


def _extended(now: Moment, entry: f.Entry, fact: f.StepExtended) -> tuple[str, ...]:
    word = "more" if fact.minutes > 0 else "less"
    return (f"{minutes(abs(fact.minutes))} {word} for {now.title(fact.step)}.",)


def _held(now: Moment, entry: f.Entry, fact: f.Held) -> tuple[str, ...]:
    return (f"Held: the clocks stand. {instructions.held(now)}.",)


def _resumed(now: Moment, entry: f.Entry, fact: f.Resumed) -> tuple[str, ...]:
    return ("Going on; the clocks run again.",)


def reading_said(now: Moment, fact: f.ReadingTaken) -> str:
    """A reading in words: "mash temperature 61.2 C"."""
    name = questions.noun(fact.quantity, fact.subject)
    if fact.quantity == "starch":
        return "starch gone" if fact.passed else "starch still there"
    if fact.celsius is not None:
        return f"{name} {now.celsius(fact.celsius)}"
    if fact.gravity is not None:
        return f"{name} {fact.gravity:.4f}"
    if fact.litres is not None:
        return f"{name} {now.litres(fact.litres)}"
    return f"pH {fact.ph:.2f}" if fact.ph is not None else name


def _reading(now: Moment, entry: f.Entry, fact: f.ReadingTaken) -> tuple[str, ...]:
    if fact.assumed:
        return (f"Assumed, marked as not read: {reading_said(now, fact)}.",)
    by_probe = fact.source == f.PROBE
    text = f"Reading {entry.seq}{', by the probe' if by_probe else ''}: {reading_said(now, fact)}"
    if fact.celsius is not None:
        later = any(reading.number == entry.seq for reading in now.state.later)
        text += "" if later else _judged(now, fact.step, fact.celsius)
        offset = instruments.thermometer(now.schedule, now.state).shown_celsius(fact.celsius) - fact.celsius
        if abs(offset) >= instruments.LEAST_OFF_KELVIN and not by_probe:
            text += f"; the thermometer showed {now.celsius(fact.celsius + offset)}"
    off = instruments.hydrometer_offset(now.state)
    if fact.gravity is not None and fact.unit != "Bx" and abs(off) >= instruments.LEAST_OFF_GRAVITY:
        shown = f"{fact.value:.3f}" if fact.unit == "SG" else f"{fact.value:.1f} {fact.unit}"
        text += f"; the hydrometer showed {shown}"
    if len(fact.spots) > 1:
        spread = max(fact.spots) - min(fact.spots)
        text += f", mean of {len(fact.spots)} places {now.apart(spread)} apart"
    if fact.trust == "rough":
        text += "; about, the sample was warm: cool it for a better one"
    if fact.trust == "estimate":
        text += "; an estimate, the sample was hot: cool it and read again"
    return (f"{text}.",)


def _judged(now: Moment, number: int, celsius: float) -> str:
    """The verdict on a temperature, to stand behind it; "" where there is none."""
    _, said = verdict(now, number, celsius) if number else (None, "")
    return f", {said}" if said else ""


def _sample(now: Moment, entry: f.Entry, fact: f.SampleTemperatureGiven) -> tuple[str, ...]:
    if fact.assumed:
        sample = now.celsius(fact.celsius)
        return (f"Assumed, marked as not read: sample at {sample}; gravity {fact.gravity:.4f}.",)
    rough = "" if fact.trust == "kept" else "; about, the sample was warm"
    return (f"Reading {fact.of}: gravity {fact.gravity:.4f} at {now.celsius(20.0)}{rough}.",)


def _corrected(now: Moment, entry: f.Entry, fact: f.ReadingCorrected) -> tuple[str, ...]:
    step = next((r.step for r in now.state.readings if r.number == fact.of), 0)
    judged = "" if fact.celsius is None else _judged(now, step, fact.celsius)
    return (f"Reading {fact.of} corrected to {fact.typed}{judged}.",)


def _voided(now: Moment, entry: f.Entry, fact: f.ReadingVoided) -> tuple[str, ...]:
    return (f"Reading {fact.of} counts for nothing.",)


def _water(now: Moment, entry: f.Entry, fact: f.WaterAdded) -> tuple[str, ...]:
    if fact.litres == 0.0:
        return ("Written down: no water went in.",)
    verb = "Assumed, marked" if fact.assumed else "Written down"
    return (f"{verb}: {now.litres(fact.litres)} at {now.celsius(fact.celsius)} went in.",)


def _amount(now: Moment, entry: f.Entry, fact: f.AmountGiven) -> tuple[str, ...]:
    if fact.what in ("grain in the pot", "water in the pot", "minutes mashed"):
        return _pot_told(now, fact, fact.what)
    if fact.what == "grain temperature":
        return (f"The grain is at {now.celsius(fact.amount)}; the water is reckoned with it.",)
    name = f"{fact.name} " if fact.name else f"{fact.what} "
    amount = now.kilograms(fact.amount) if fact.what == "grain" else now.litres(fact.amount)
    return (f"{name}{amount} instead of what was planned; all that follows is reckoned with it.",)


def _pot_told(now: Moment, fact: f.AmountGiven, what: f.Told) -> tuple[str, ...]:
    """What was told of the pot a day in mid-mash is begun with; of its time, what is not taken from it."""
    amount = show(fact.amount, mid_mash.KINDS[what], now.units)
    name = f"{what}, {fact.name}" if fact.name else questions.noun(what, "mash")
    if fact.typed == "unknown":
        return (f"Assumed, as the schedule says: {name} {amount}.",)
    step = now.schedule.step(fact.step)
    if what != "minutes mashed" or not isinstance(step, Rest):
        return (f"Written down: {name} {amount}.",)
    whole = minutes(step.minutes)
    return (
        f"Written down: {name} {amount}.",
        f"{now.title(fact.step)} counts its {whole} from now; if some are over, take them off: more -10",
    )


def _offered(now: Moment, entry: f.Entry, fact: f.RemedyOffered) -> tuple[str, ...]:
    offer = next((one for one in now.state.offers if one.number == fact.offer), None)
    if offer is None:
        return ()
    way = next(line for line in ways.ways(now, offer) if line.number == fact.option)
    lines = [f"{way.number}: {way.headline}" + ("; " + "; ".join(way.details) if way.details else "")]
    if fact.option == 1:
        lines.insert(0, f"{ways.headline(now, offer)}. Ways to put it right:")
    return tuple(lines)


def _taken(now: Moment, entry: f.Entry, fact: f.RemedyTaken) -> tuple[str, ...]:
    offer = next((one for one in now.state.offers if one.number == fact.offer), None)
    way = offer.way_taken if offer else None
    if way is None:
        return ()
    return (f"Way {fact.option} is taken: {guide.told(now, way)}.",)


def _left(now: Moment, entry: f.Entry, fact: f.RemedyLeft) -> tuple[str, ...]:
    return ("Left as it is.",)


def _ticked(now: Moment, entry: f.Entry, fact: f.ItemTicked) -> tuple[str, ...]:
    items = now.schedule.step(fact.step).checklist
    text = items[fact.item - 1] if fact.item <= len(items) else ""
    value = f": {fact.value}" if fact.value else ""
    return (f"[x] {fact.item} of {len(items)}  {text}{value}",)


def _note(now: Moment, entry: f.Entry, fact: f.NoteWritten) -> tuple[str, ...]:
    return (f"Note: {fact.text}",)


def _checked(now: Moment, entry: f.Entry, fact: f.InstrumentChecked) -> tuple[str, ...]:
    return (instruments.said(now.schedule, now.state, fact.point),)


def _closing_line(now: Moment, entry: f.Entry, fact: f.ClosingLine) -> tuple[str, ...]:
    return (f"{closing.NAMES[fact.which]}: {fact.text}",)


def _answered(now: Moment, entry: f.Entry, fact: f.CallAnswered) -> tuple[str, ...]:
    if fact.late_seconds < 60.0:
        return ()
    return (f"Answered {lateness(fact.late_seconds)} after it was due: {fact.what}.",)


def _snoozed(now: Moment, entry: f.Entry, fact: f.CallSnoozed) -> tuple[str, ...]:
    return (f"Quiet for {minutes(fact.minutes)}; it comes back by itself.",)


def _muted(now: Moment, entry: f.Entry, fact: f.CallsMuted) -> tuple[str, ...]:
    return ("Quiet for 2 min; a new call breaks through.",)


def _units(now: Moment, entry: f.Entry, fact: f.UnitsChosen) -> tuple[str, ...]:
    return (f"Shown in {'US' if fact.units == 'us' else 'metric'} units.",)


def _undone(now: Moment, entry: f.Entry, fact: f.Undone) -> tuple[str, ...]:
    return (f"Taken back: {fact.what}.",)


_TELLERS: dict[type[f.Fact], Teller] = {
    f.Opened: _opened,
    f.PotKnown: _pot_known,
    f.DayStarted: _started,
    f.DayEnded: _ended,
    f.StepBegun: _begun,
    f.ClockStarted: _clock_started,
    f.StepEnded: _step_ended,
    f.StepExtended: _extended,
    f.Held: _held,
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
    f.NoteWritten: _note,
    f.ClosingLine: _closing_line,
    f.CallAnswered: _answered,
    f.CallSnoozed: _snoozed,
    f.CallsMuted: _muted,
    f.UnitsChosen: _units,
    f.Undone: _undone,
}
