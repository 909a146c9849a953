"""The summary as plain text of at most 80 columns, in the person's units."""

from __future__ import annotations

import textwrap

from mashday.engine.state import Reading
from mashday.quantities import Units
from mashday.report import said
from mashday.report.summary import AdditionSummary, RemedySummary, StepSummary, Summary
from mashday.text import cleaned

WIDTH = 80
_STEP_HEAD = f"   {'step':<23} {'planned':^14}  {'was':^15}  {'target':>9} {'read':>8}"


def summary_words(made: Summary, units: Units) -> str:
    """The summary as text."""
    sections = [
        _head(made),
        _section(
            "Steps", [_STEP_HEAD, *(_step(made, step, units) for step in made.steps), *_read_note(made)]
        ),
        _section("Readings", [_reading(made, reading, units) for reading in made.readings]),
        _section("Water added", [_addition(made, addition, units) for addition in made.additions]),
        _section("Remedies", [_remedy(made, remedy, units) for remedy in made.remedies]),
        *(_section(*piece) for piece in said.of_the_pot(made, units)),
        _section("Gravity and conversion", _sugar(made, units)),
        *(_section(*piece) for piece in said.of_the_day(made)),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _section(title: str, lines: list[str]) -> str:
    if not lines:
        return ""
    return "\n".join([title.upper(), *(row for line in lines for row in _folded(line))])


def _folded(line: str) -> list[str]:
    """The line, folded under its own beginning where it is too long."""
    return textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="         ") or [""]


def _head(made: Summary) -> str:
    rows = [f"SUMMARY  {cleaned(made.schedule, 60)}", *said.head(made)]
    return "\n".join(row for line in rows for row in textwrap.wrap(line, WIDTH))


def _step(made: Summary, step: StepSummary, units: Units) -> str:
    told = said.step_said(made, step, units)
    return (
        f"{step.number:2d} {told.title[:23]:<23} {told.planned:>5} {told.planned_length:>8}"
        f"  {told.began:>5} {told.length:>9}  {told.target:>9} {told.read:>8}"
    )


def _read_note(made: Summary) -> list[str]:
    if any(said.read_celsius(step) is not None for step in made.steps):
        return [f"   {said.READ_NOTE}"]
    return []


def _reading(made: Summary, reading: Reading, units: Units) -> str:
    told = said.reading_said(made, reading, units)
    note = f"  ({'; '.join(told.marks)})" if told.marks else ""
    return f"{told.at}  {told.what}  {told.value}{note}"


def _addition(made: Summary, addition: AdditionSummary, units: Units) -> str:
    told = said.addition_said(made, addition, units)
    then = "not read after it" if told.then is None else f"then {told.then}"
    assumed = "  (assumed)" if told.assumed else ""
    return f"{told.at}  {told.poured} at {told.celsius} ({told.cold} cold), {then}{assumed}"


def _remedy(made: Summary, remedy: RemedySummary, units: Units) -> str:
    told = said.remedy_said(made, remedy, units)
    line = f"{told.at}  read {told.read} for {told.target}: {told.answer}"
    if told.lands is not None:
        line += f", to land at {told.lands}; {told.came}"
    if told.others:
        line += f"; {'the ways were' if told.lands is None else 'also offered'} {' or '.join(told.others)}"
    if told.stale:
        line += "  (worked out from a reading since corrected)"
    return line


def _sugar(made: Summary, units: Units) -> list[str]:
    rows = said.sugar_rows(made, units)
    if not rows:
        return []
    head = f"{'':<22}{'planned':>12}{'as mashed':>12}{'measured':>12}"
    table = [f"{name:<22}{''.join(f'{told:>12}' for told in columns)}" for name, *columns in rows]
    return [head, *table, *said.sugar_notes(made)]
