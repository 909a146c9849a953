"""The summary of a day as a document: the curve, everything planned beside actual, what was done about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from mashday.engine.state import Reading
from mashday.quantities import Units, show
from mashday.report import said
from mashday.report.curve_svg import Curve, Dot, DotKind, Event, Stretch, curve_svg
from mashday.report.document import (
    Cell,
    Column,
    Document,
    Drawing,
    Figure,
    Figures,
    Lines,
    Paragraph,
    Part,
    Row,
    Section,
    Table,
)
from mashday.report.summary import StepSummary, Summary

MOST_LISTED = 60
"""Readings listed one by one; of more, the unmarked temperatures are told by step. So they fit a sheet."""


def summary_document(made: Summary, units: Units) -> Document:
    """The summary as a document."""
    sections = [
        Section("", (Figures(_figures(made, units)),)),
        *_drawn(made, units),
        Section("Steps, planned and actual", _steps(made, units)),
        *_gravity(made, units),
        *_table("Water added", _additions(made, units), narrow=True),
        *(_lines(title, rows) for title, rows in said.of_the_pot(made, units) if rows),
        *_table("Remedies", _remedies(made, units)),
        *_readings(made, units),
        *(_lines(title, rows) for title, rows in said.of_the_day(made) if rows),
    ]
    return Document(f"Summary: {made.schedule}", tuple(said.head(made)), tuple(sections))


def _lines(title: str, rows: Sequence[str]) -> Section:
    return Section(title, (Lines(tuple(rows)),), narrow=True)


def _table(title: str, table: Table, *, narrow: bool = False) -> list[Section]:
    return [Section(title, (table,), narrow=narrow)] if table.rows else []


def _figures(made: Summary, units: Units) -> tuple[Figure, ...]:
    """What came of the day, from afar: as measured, else as the mash went.

    Alcohol only once measured, and nothing but what was measured of a day that ended before its separation.
    """
    found = []
    parting = [step.began is not None for step in made.steps if step.kind == "separate"]
    comes = made.ended is None or not parting or any(parting)
    for name, _, mashed, measured in said.sugar_rows(made, units):
        only_measured = name in said.FERMENTED or not comes
        told = measured if measured != said.NOTHING or only_measured else mashed
        note = "measured" if measured != said.NOTHING else "expected, not measured"
        if told != said.NOTHING:
            found.append(Figure(name.removesuffix(", about").capitalize(), told, note))
    hours, minutes = divmod(round(made.lasted_minutes), 60)
    return (*found, Figure("The day", f"{hours} h {minutes:02d}", said.ENDINGS[made.state].lower()))


def _steps(made: Summary, units: Units) -> tuple[Part, ...]:
    columns = (
        Column("Step", "names"),
        Column("Planned", "numbers"),
        Column("for", "numbers"),
        Column("Began", "numbers"),
        Column("lasted", "numbers"),
        Column("Target", "numbers"),
        Column("Read", "numbers"),
    )
    table = Table(columns, tuple(_step(made, step, units) for step in made.steps))
    known = any(said.read_celsius(step) is not None for step in made.steps)
    note = f"{said.READ_NOTE[0].upper()}{said.READ_NOTE[1:]}."
    return (table, Paragraph(note)) if known else (table,)


def _step(made: Summary, step: StepSummary, units: Units) -> Row:
    told = said.step_said(made, step, units)
    name = f"{step.number} {told.title}"
    return name, told.planned, told.planned_length, told.began, told.length, told.target, told.read


def _gravity(made: Summary, units: Units) -> list[Section]:
    table = _sugar(made, units)
    if not table.rows:
        return []
    notes = (Paragraph(f"{note[0].upper()}{note[1:]}.") for note in said.sugar_notes(made))
    return [Section("Gravity and conversion", (table, *notes), narrow=True)]


def _sugar(made: Summary, units: Units) -> Table:
    columns = (
        Column("", "short"),
        Column("Planned", "numbers"),
        Column("As mashed", "numbers"),
        Column("Measured", "numbers"),
    )
    return Table(columns, said.sugar_rows(made, units))


def _additions(made: Summary, units: Units) -> Table:
    columns = (
        Column("At", "short"),
        Column("Poured", "numbers"),
        Column("at", "numbers"),
        Column("cold", "numbers"),
        Column("Then read"),
    )
    rows = []
    for addition in made.additions:
        told = said.addition_said(made, addition, units)
        then = f"{told.then or 'not read after it'}{', assumed' if told.assumed else ''}"
        rows.append((told.at, told.poured, told.celsius, told.cold, then))
    return Table(columns, tuple(rows))


def _remedies(made: Summary, units: Units) -> Table:
    columns = (
        Column("", "numbers"),
        Column("At", "short"),
        Column("Read", "numbers"),
        Column("Target", "numbers"),
        Column("Taken"),
        Column("Reckoned", "numbers"),
        Column("What it did"),
        Column("Also offered"),
    )
    rows = []
    for number, remedy in enumerate(made.remedies, 1):
        told = said.remedy_said(made, remedy, units)
        came = told.came or said.NOTHING
        if told.stale:
            came = f"{came} (worked out from a reading since corrected)"
        lands, others = told.lands or said.NOTHING, ", or ".join(told.others) or said.NOTHING
        rows.append((f"{number}", told.at, told.read, told.target, told.answer, lands, came, others))
    return Table(columns, tuple(rows))


def _readings(made: Summary, units: Units) -> list[Section]:
    """The readings; of very many, those that tell something of their own, and the others by step."""
    if len(made.readings) <= MOST_LISTED:
        return _table("Readings", _reading_table(made, made.readings, units), narrow=True)
    plain = [reading for reading in made.readings if _is_plain(reading)]
    apart = [reading for reading in made.readings if not _is_plain(reading)]
    return [
        *_table("Temperatures, step by step", _spread_table(made, plain, units), narrow=True),
        *_table("Other readings", _reading_table(made, apart, units), narrow=True),
    ]


def _is_plain(reading: Reading) -> bool:
    fact = reading.fact
    marked = reading.voided or fact.assumed or fact.kept or len(reading.typed) > 1
    return fact.quantity == "temperature" and not marked


def _reading_table(made: Summary, readings: Sequence[Reading], units: Units) -> Table:
    columns = Column("At", "short"), Column("What", "short"), Column("Read")
    rows = []
    for reading in readings:
        told = said.reading_said(made, reading, units)
        rows.append((told.at, told.what, Cell(told.value, "; ".join(told.marks), struck=reading.voided)))
    return Table(columns, tuple(rows))


def _spread_table(made: Summary, readings: Sequence[Reading], units: Units) -> Table:
    columns = (
        Column("Step"),
        Column("Readings", "numbers"),
        Column("First", "numbers"),
        Column("Lowest", "numbers"),
        Column("Highest", "numbers"),
        Column("Last", "numbers"),
    )
    titles = {step.number: step.title for step in made.steps}
    rows = []
    for number, group in groupby(readings, lambda reading: reading.step):
        taken = [reading.metric for reading in group]
        shown = (show(one, "temperature", units) for one in (taken[0], min(taken), max(taken), taken[-1]))
        rows.append((f"{number} {titles.get(number, '')}", f"{len(taken)}", *shown))
    return Table(columns, tuple(rows))


def _drawn(made: Summary, units: Units) -> list[Section]:
    curve = day_curve(made, units)
    drawing = curve_svg(curve, lambda minute: made.at(made.started_t + 60.0 * minute), units)
    if not drawing:
        return []
    return [Section("Temperature", (Drawing(drawing, curve.told),))]


def day_curve(made: Summary, units: Units) -> Curve:
    """What is drawn of a day: from its start to its end, or to its last entry while it is open.

    Readings taken later belong to the wash, not to the mash. Water heated beside it is left out, and where
    it boils is no target.
    """
    ends = made.lasted_minutes
    beside = {step.number for step in made.steps if step.beside}
    taken = [
        reading
        for reading in made.readings
        if reading.quantity == "temperature" and reading.step not in beside and made.minute(reading.t) <= ends
    ]
    dots = tuple(Dot(made.minute(one.t), one.metric, _kind(one)) for one in taken)
    return Curve(
        title=f"Temperature, {made.schedule}",
        told=_curve_told(made, dots, units),
        ends_minute=ends,
        stretches=tuple(_stretches(made)),
        dots=dots,
        additions=tuple(
            Event(one.minute, said.addition_said(made, one, units).poured) for one in made.additions
        ),
        remedies=tuple(Event(one.minute, f"{number}") for number, one in enumerate(made.remedies, 1)),
        holds=tuple((hold.minute, hold.minute + hold.minutes) for hold in made.holds),
    )


def _kind(reading: Reading) -> DotKind:
    if reading.voided:
        return "struck"
    return "assumed" if reading.fact.assumed else "read"


def _stretches(made: Summary) -> list[Stretch]:
    found = []
    for step in made.steps:
        if step.began is None:
            continue
        began = made.minute(step.began)
        target = None if step.beside or step.kind == "boil" else step.target_celsius
        label = f"{step.number} {step.title}"
        found.append(Stretch(label, began, began + (step.actual_minutes or 0.0), target, step.band_kelvin))
    return found


def _curve_told(made: Summary, dots: Sequence[Dot], units: Units) -> str:
    """The drawing in words, for who cannot see it, and what its marks mean."""
    count = [dot.celsius for dot in dots if dot.kind != "struck"]
    told = "No temperature was read."
    if count:
        low, high = (show(value, "temperature", units) for value in (min(count), max(count)))
        readings = "one reading" if len(count) == 1 else f"{len(count)} readings"
        told = f"{readings.capitalize()}, from {low} to {high}."
    marks = ["dot: a reading", "line and grey: target and what was near enough"]
    if len(count) > 1:
        marks.insert(1, "thin line: from one reading of a step to the next")
    if any(dot.kind == "struck" for dot in dots):
        marks.append("cross: struck out")
    if any(dot.kind == "assumed" for dot in dots):
        marks.append("ring: assumed")
    if made.additions:
        marks.append("arrow: water added")
    if made.remedies:
        marks.append("number: remedy")
    return f"{told} {'; '.join(marks).capitalize()}."
