"""What a summary has to tell, piece by piece, in words and in the person's units.

The text and the page are both put together from these pieces. Outside words in them are cleaned.
"""

from __future__ import annotations

from dataclasses import dataclass

from mashday.engine.facts import Closing, ReadingTaken, RemedyOffered
from mashday.engine.mid_mash import KINDS
from mashday.engine.state import Reading
from mashday.quantities import Kind, Units, show
from mashday.report import sugar
from mashday.report.pot_taught import taught_rows
from mashday.report.summary import AdditionSummary, AmountSummary, RemedySummary, StepSummary, Summary
from mashday.text import cleaned, minutes_and_seconds

ENDINGS = {
    "idle": "Not begun",
    "running": "Still open",
    "held": "Still open, held",
    "complete": "Complete",
    "aborted": "Given up",
}
READ_NOTE = "read: a rest or cook at the mean over time, any other at its last reading"
NOTHING = "-"
"""Stands where nothing is known."""
LONGEST_TITLE = 60
Pieces = tuple[tuple[str, list[str]], ...]
"""Titles, each with its lines; no lines where there is nothing to tell."""


@dataclass(frozen=True, slots=True)
class StepSaid:
    """One step, planned beside actual."""

    title: str
    planned: str
    planned_length: str
    began: str
    length: str
    target: str
    read: str


@dataclass(frozen=True, slots=True)
class ReadingSaid:
    """One reading as it counts, and what is to be said of it."""

    at: str
    what: str
    value: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AdditionSaid:
    """Water that went in: as poured, how warm, how much it is cold, what was read then, None if nothing."""

    at: str
    poured: str
    celsius: str
    cold: str
    then: str | None
    assumed: bool


@dataclass(frozen=True, slots=True)
class RemedySaid:
    """What was offered for one reading and what came of it.

    `lands` and `came` are None where no way was taken; `came` says so where nothing was read after it.
    """

    at: str
    read: str
    target: str
    answer: str
    lands: str | None
    came: str | None
    others: tuple[str, ...]
    stale: bool


def clock(made: Summary, minute: float) -> str:
    """The clock time at a minute of the day."""
    return f"{made.at(made.started_t + 60.0 * minute):%H:%M}"


def moment(made: Summary, minute: float) -> str:
    """The clock time at a minute of the day, with its date where that is another one after the day's end."""
    at = made.at(made.started_t + 60.0 * minute)
    if made.ended is None or at <= made.ended or at.date() == made.ended.date():
        return clock(made, minute)
    return f"{at:%Y-%m-%d %H:%M}"


def head(made: Summary) -> list[str]:
    """How the day ended, when it was, what was left out, beside which pot: a line each."""
    ending = "Ended early" if made.ending == "early" else ENDINGS[made.state]
    rows = ["A rehearsed day, beside a simulated pot."] if made.rehearsed else []
    if made.started is not None:
        end = made.ended or made.at(made.log[-1].t if made.log else made.started_t)
        whole_hours, minutes = divmod(round(made.lasted_minutes), 60)
        hours = f"{whole_hours} h {minutes:02d} min"
        rows.append(f"{ending}. {made.started:%Y-%m-%d}, {made.started:%H:%M} to {end:%H:%M} ({hours}).")
    else:
        rows.append(f"{ending}.")
    if made.from_step > 1:
        first = made.steps[made.from_step - 1]
        rows.append(f"Begun in mid-mash, at step {_step_name(first)}.")
    if made.left:
        rows.append(f"Left: {cleaned(made.left)}.")
    not_done = [step for step in made.steps if step.how in ("not begun", "broken off")]
    if made.ending in ("early", "aborted") and not_done:
        rows.append(f"Not done: {', '.join(_step_name(step) for step in not_done)}.")
    rows.append(f"Pot: {cleaned(made.pot, 60)}.")
    return rows


def _step_name(step: StepSummary) -> str:
    return f"{step.number} {cleaned(step.title, LONGEST_TITLE)}"


def step_said(made: Summary, step: StepSummary, units: Units) -> StepSaid:
    """One step in words; what never began says so in place of its length."""
    before = step.how == "before"
    known = made.started is not None and not before
    read = read_celsius(step)
    words = {"skipped": "skipped", "not begun": "not begun", "before": "before"}
    return StepSaid(
        title=cleaned(step.title, LONGEST_TITLE),
        planned=clock(made, step.planned_minute) if known else NOTHING,
        planned_length=NOTHING if before else _minutes(step.planned_minutes),
        began=NOTHING if step.began is None else f"{made.at(step.began):%H:%M}",
        length=words.get(step.how) or _minutes(step.actual_minutes),
        target=_celsius(step.target_celsius, units),
        read=_celsius(read, units),
    )


def read_celsius(step: StepSummary) -> float | None:
    """What a step was read at: a rest or a cook at the mean over time, any other at its last reading."""
    return step.held_celsius if step.kind in ("rest", "cook") else step.last_celsius


def _celsius(value: float | None, units: Units) -> str:
    return NOTHING if value is None else show(value, "temperature", units)


def _minutes(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.0f} min"


def reading_said(made: Summary, reading: Reading, units: Units) -> ReadingSaid:
    """One reading in words."""
    fact = reading.fact
    what = fact.quantity if fact.quantity == "starch" else f"{fact.subject} {fact.quantity}"
    return ReadingSaid(
        moment(made, made.minute(reading.t)), what, _value(reading, units), tuple(_marks(reading, units))
    )


def _value(reading: Reading, units: Units) -> str:
    """What was read, as it counts: "61.2 C", "1.0623 (1.060 at 24.0 C)", "18.2 L", "starch gone"."""
    fact = reading.fact
    if fact.quantity == "starch":
        return "starch gone" if fact.passed else "starch left"
    if fact.celsius is not None:
        return show(fact.celsius, "temperature", units)
    if fact.gravity is not None:
        read = f"{fact.value:.3f}" if fact.unit == "SG" else f"{fact.value:.1f} {cleaned(fact.unit, 10)}"
        if fact.sample_celsius is None:
            return f"{fact.gravity:.4f}" if fact.unit == "SG" else f"{fact.gravity:.4f}, read as {read}"
        sample = show(fact.sample_celsius, "temperature", units)
        return f"{fact.gravity:.4f}, read as {read} at {sample}"
    if fact.litres is not None:
        return show(fact.litres, "volume", units)
    return f"pH {fact.ph:.2f}" if fact.ph is not None else cleaned(fact.typed, 60)


def _marks(reading: Reading, units: Units) -> list[str]:
    fact = reading.fact
    marks = []
    if fact.assumed:
        marks.append("assumed, not read")
    if fact.kept:
        marks.append("doubted and kept")
    if len(fact.spots) > 1 and len(reading.typed) == 1:
        marks.append("mean of " + ", ".join(show(spot, "temperature", units) for spot in _put_right(fact)))
    if len(reading.typed) > 1:
        marks.append(f"first entered {cleaned(reading.typed[0], 60)}")
    if reading.voided:
        marks.append("struck out, does not count")
    if fact.trust in ("rough", "estimate"):
        marks.append(f"{fact.trust}: the sample was warm")
    return marks


def _put_right(fact: ReadingTaken) -> list[float]:
    """The places of a reading in Celsius, each moved by as much as their mean was put right."""
    mean = sum(fact.spots) / len(fact.spots)
    off = 0.0 if fact.celsius is None else mean - fact.celsius
    return [spot - off for spot in fact.spots]


def addition_said(made: Summary, addition: AdditionSummary, units: Units) -> AdditionSaid:
    """Water that went in, in words."""
    return AdditionSaid(
        at=clock(made, addition.minute),
        poured=_poured(addition.litres_as_poured, units),
        celsius=show(addition.celsius, "temperature", units),
        cold=_poured(addition.litres_cold, units),
        then=None if addition.after_celsius is None else show(addition.after_celsius, "temperature", units),
        assumed=addition.assumed,
    )


def _poured(litres: float, units: Units) -> str:
    return show(litres, "volume", units, 2 if units == "metric" else None)


def remedy_said(made: Summary, remedy: RemedySummary, units: Units) -> RemedySaid:
    """What was offered for one reading and what came of it, in words."""
    way = remedy.taken
    others = tuple(_way(one, units) for one in remedy.offered if one is not way and one.way != "leave it")
    if way is None:
        answer = {"left": "left as it was", "not answered": "offered, not answered"}[remedy.answer]
    else:
        answer = f"{_way(way, units)} advised" if way.litres > 0.0 else _way(way, units)
    came = None
    if way is not None:
        result = remedy.result_celsius
        came = "not read after it" if result is None else f"came to {show(result, 'temperature', units)}"
    return RemedySaid(
        at=clock(made, remedy.minute),
        read=show(remedy.read_celsius, "temperature", units),
        target=show(remedy.target_celsius, "temperature", units),
        answer=answer,
        lands=None if way is None else show(way.lands_celsius, "temperature", units),
        came=came,
        others=others,
        stale=remedy.stale,
    )


def _way(way: RemedyOffered, units: Units) -> str:
    """One way in a few words: "hot water, 1.20 L", "fire, 6 min"."""
    told: str = way.way
    if way.litres > 0.0:
        told += f", {_poured(way.litres, units)}"
    elif way.minutes > 0.0:
        told += f", {minutes_and_seconds(way.minutes)}"
    return told if way.possible else f"{told} (not possible)"


FERMENTED = ("end gravity, about", "alcohol, about")
"""What only the yeast decides."""
SUGAR_NAMES = ("first runnings", "wash gravity", "wash volume", "conversion", *FERMENTED)


def sugar_rows(made: Summary, units: Units) -> tuple[tuple[str, str, str, str], ...]:
    """Gravities, volume, conversion, alcohol: name, planned, as mashed, measured; none if all is unknown."""
    columns = [_sugar_column(told, units) for told in (made.planned, made.expected, made.measured)]
    if all(told == NOTHING for column in columns for told in column):
        return ()
    return tuple(zip(SUGAR_NAMES, *columns, strict=True))


OVER = "over"
OVER_MEANS = "more than the grain holds: a reading, the grain or the water is off"
"""What stands for a conversion that cannot be, and what it means."""
WHOLE = 1.005
"""A conversion above this is shown as more than the grain holds."""


def sugar_notes(made: Summary) -> list[str]:
    """What to make of a measured conversion of more than all there is, and what the gravity read promises."""
    found, notes = made.measured.conversion, []
    if made.measured.is_over:
        notes.append(f"{OVER}: by the gravity read, {OVER_MEANS}")
    elif found is not None and found > WHOLE:
        notes.append(
            f"{_percent(found)} conversion is more than the grain is reckoned to hold: the gravity or the"
            " water reads off, more grain went in, or this malt is richer than its table value"
        )
    foreseen = sugar.foreseen(made.measured, made.expected)
    if foreseen is not None:
        final, abv = foreseen
        read = gravity_said(made.measured.wash_gravity)
        notes.append(
            f"from the gravity read, {read}: end gravity about {gravity_said(final)},"
            f" alcohol about {abv:.1f} % vol; an estimate until the end gravity is read"
        )
    return notes


def _sugar_column(told: sugar.Sugar, units: Units) -> tuple[str, ...]:
    litres = told.wash_litres
    return (
        gravity_said(told.first_runnings_gravity),
        gravity_said(told.wash_gravity),
        NOTHING if litres is None else show(litres, "volume", units),
        OVER if told.is_over else _percent(told.conversion),
        gravity_said(told.final_gravity),
        _percent(told.abv_percent, 0.01, " vol"),
    )


def gravity_said(value: float | None) -> str:
    """A gravity in words; what stands for nothing where there is none."""
    return NOTHING if value is None else f"{value:.3f}"


def _percent(value: float | None, unit: float = 1.0, after: str = "") -> str:
    return NOTHING if value is None else f"{100.0 * value * unit:.{1 if after else 0}f} %{after}"


def of_the_pot(made: Summary, units: Units) -> Pieces:
    """What the pot taught, and the amounts that were other than planned."""
    return (
        ("What the pot taught", [row.strip() for row in taught_rows(made.learned, units)]),
        ("In the pot to begin with", _to_begin_with(made, units)),
        ("Other amounts than planned", _amounts(made, units)),
    )


def of_the_day(made: Summary) -> Pieces:
    """Calls, checklists, notes, what was taken back, when the day was held and when nobody was there."""
    return (
        ("Calls", _calls(made)),
        ("Checklists", _checklists(made)),
        ("Instruments", [said for _, said in made.checks if said]),
        ("Notes", [f"{moment(made, minute)}  {cleaned(text)}" for minute, text in made.notes]),
        ("For next time", _closing(made)),
        ("Taken back", [cleaned(what) for what in made.undone]),
        ("Held", [f"{clock(made, hold.minute)}  for {_minutes(hold.minutes)}" for hold in made.holds]),
        ("Away", _away(made)),
    )


CLOSING: dict[Closing, str] = {
    "wrong": "went wrong",
    "mended": "mended",
    "change": "to change next time",
}
"""What each line that closes a day is called."""


def _closing(made: Summary) -> list[str]:
    return [f"{CLOSING[which]}: {cleaned(text)}" for which, text in made.closing.items() if text]


PLANNED_KINDS: dict[str, Kind] = {"grain": "mass", "water": "volume", "grain temperature": "temperature"}
"""What may be other than planned, and what each is a quantity of."""


def _amounts(made: Summary, units: Units) -> list[str]:
    return [
        f"{_named(given)}: {cleaned(given.typed, 60)}, in step {given.step}; planned"
        f" {show(given.planned, PLANNED_KINDS[given.what], units)}"
        for given in made.amounts
        if given.what in PLANNED_KINDS
    ]


def _named(given: AmountSummary) -> str:
    return f"{given.what} {cleaned(given.name, 60)}" if given.name else given.what


def _to_begin_with(made: Summary, units: Units) -> list[str]:
    """What was told or assumed of the pot a day in mid-mash was begun with."""
    return [
        f"{_named(given)}: {show(given.given, kind, units)}{', assumed' if given.typed == 'unknown' else ''};"
        f" planned {show(given.planned, kind, units)}"
        for given in made.amounts
        if (kind := KINDS.get(given.what)) is not None
    ]


def _calls(made: Summary) -> list[str]:
    if not made.calls:
        return []
    worst = max(made.calls, key=lambda call: call[1])
    mean = sum(late for _, late in made.calls) / len(made.calls)
    lines = [f"{len(made.calls)} answered, on average {_late(mean)} after they were due"]
    if worst[1] >= 120.0:
        lines.append(f"the latest: {cleaned(worst[0], 60)}, {_late(worst[1])} late")
    return lines


def _late(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{whole // 60} min {whole % 60:02d} s"


def _checklists(made: Summary) -> list[str]:
    """What a checklist was answered with, and what was left open."""
    lines = []
    for step in made.steps:
        name = _step_name(step)
        lines += [f"{name}: {cleaned(item)}: {cleaned(value, 60)}" for item, value in step.ticked]
        if step.open_items:
            lines.append(f"{name}: not ticked: {'; '.join(cleaned(item) for item in step.open_items)}")
    return lines


def _away(made: Summary) -> list[str]:
    known = {
        "exact": "by the machine's own clock",
        "estimated": "estimated by the wall clock, after a restart",
        "ask": "the clocks could not be believed; the day went on from its last entry",
        "rehearsed": "a rehearsal: no time passed",
    }
    return [
        f"{clock(made, away.minute)}  back"
        f"{f' after {_minutes(away.minutes)}' if away.minutes >= 0.0 else ', the clock had gone back'},"
        f" {known.get(away.how) or cleaned(away.how, 60)}"
        for away in made.away
    ]
