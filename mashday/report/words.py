"""The summary in words: plain text of at most 80 columns, in the person's units."""

from __future__ import annotations

import textwrap

from mashday.engine.facts import RemedyOffered
from mashday.engine.mid_mash import KINDS
from mashday.engine.state import Reading
from mashday.quantities import Kind, Units, show
from mashday.report.pot_taught import taught_rows
from mashday.report.sugar import Sugar
from mashday.report.summary import AdditionSummary, AmountSummary, RemedySummary, StepSummary, Summary
from mashday.text import cleaned, minutes_and_seconds

WIDTH = 80
ENDINGS = {
    "idle": "Not begun",
    "running": "Still open",
    "held": "Still open, held",
    "complete": "Complete",
    "aborted": "Given up",
}


def summary_words(made: Summary, units: Units) -> str:
    """The summary as text."""
    sections = [
        _head(made),
        _section(
            "STEPS", [_STEP_HEAD, *(_step(made, step, units) for step in made.steps), *_read_note(made)]
        ),
        _section("READINGS", [_reading(made, reading, units) for reading in made.readings]),
        _section("WATER ADDED", [_addition(made, addition, units) for addition in made.additions]),
        _section("REMEDIES", [line for r in made.remedies for line in _remedy(made, r, units)]),
        _section("WHAT THE POT TAUGHT", [row.strip() for row in taught_rows(made.learned, units)]),
        _section("IN THE POT TO BEGIN WITH", _to_begin_with(made, units)),
        _section("OTHER AMOUNTS THAN PLANNED", _amounts(made, units)),
        _section("GRAVITY AND CONVERSION", _sugar(made, units)),
        _section("CALLS", _calls(made)),
        _section("CHECKLISTS", _checklists(made)),
        _section("NOTES", [f"{_clock(made, minute)}  {cleaned(text)}" for minute, text in made.notes]),
        _section("TAKEN BACK", [cleaned(what) for what in made.undone]),
        _section("AWAY", _away(made)),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _section(title: str, lines: list[str]) -> str:
    if not lines:
        return ""
    return "\n".join([title, *(row for line in lines for row in _folded(line))])


def _folded(line: str) -> list[str]:
    """The line, folded under its own beginning where it is too long."""
    return textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="         ") or [""]


def _clock(made: Summary, minute: float) -> str:
    return f"{made.at(made.started_t + 60.0 * minute):%H:%M}"


def _minutes(value: float | None) -> str:
    return "-" if value is None else f"{value:.0f} min"


def _head(made: Summary) -> str:
    name = cleaned(made.schedule, 60)
    ending = "Ended early" if made.ending == "early" else ENDINGS[made.state]
    rows = [f"SUMMARY  {name}"]
    if made.rehearsed:
        rows.append("A rehearsed day, beside a simulated pot.")
    if made.started is not None:
        end = made.ended or made.at(made.log[-1].t if made.log else made.started_t)
        whole_hours, minutes = divmod(round(made.lasted_minutes), 60)
        hours = f"{whole_hours} h {minutes:02d} min"
        rows.append(f"{ending}. {made.started:%Y-%m-%d}, {made.started:%H:%M} to {end:%H:%M} ({hours}).")
    else:
        rows.append(f"{ending}.")
    if made.from_step > 1:
        first = made.steps[made.from_step - 1]
        rows.append(f"Begun in mid-mash, at step {first.number} {cleaned(first.title, 60)}.")
    if made.left:
        rows.append(f"Left: {cleaned(made.left)}.")
    not_done = [step for step in made.steps if step.how in ("not begun", "broken off")]
    if made.ending in ("early", "aborted") and not_done:
        steps = ", ".join(f"{step.number} {cleaned(step.title, 60)}" for step in not_done)
        rows.append(f"Not done: {steps}.")
    rows.append(f"Pot: {cleaned(made.pot, 60)}.")
    return "\n".join(row for line in rows for row in textwrap.wrap(line, WIDTH))


_STEP_HEAD = f"   {'step':<23} {'planned':^14}  {'was':^15}  {'target':>9} {'read':>8}"


def _step(made: Summary, step: StepSummary, units: Units) -> str:
    planned = began = "-"
    length = "-" if step.how == "before" else _minutes(step.planned_minutes)
    if made.started is not None and step.how != "before":
        planned = _clock(made, step.planned_minute)
    if step.began is not None:
        began = f"{made.at(step.began):%H:%M}"
    target = "-" if step.target_celsius is None else show(step.target_celsius, "temperature", units)
    read = _read(step)
    came = "-" if read is None else show(read, "temperature", units)
    actual = _minutes(step.actual_minutes)
    if step.how in ("skipped", "not begun", "before"):
        actual = step.how
    title = cleaned(step.title, 60)[:23]
    return (
        f"{step.number:2d} {title:<23} {planned:>5} {length:>8}"
        f"  {began:>5} {actual:>9}  {target:>9} {came:>8}"
    )


def _read(step: StepSummary) -> float | None:
    """What a step was read at: a rest or a cook at the mean over time, any other at its last reading."""
    return step.held_celsius if step.kind in ("rest", "cook") else step.last_celsius


def _read_note(made: Summary) -> list[str]:
    if any(_read(step) is not None for step in made.steps):
        return ["   read: a rest or cook at the mean over time, any other at its last reading"]
    return []


def reading_words(reading: Reading, units: Units) -> str:
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


def _reading(made: Summary, reading: Reading, units: Units) -> str:
    fact = reading.fact
    what = fact.quantity if fact.quantity == "starch" else f"{fact.subject} {fact.quantity}"
    marks = []
    if fact.assumed:
        marks.append("assumed, not read")
    if fact.kept:
        marks.append("doubted and kept")
    if len(fact.spots) > 1:
        marks.append("mean of " + ", ".join(show(spot, "temperature", units) for spot in fact.spots))
    if len(reading.typed) > 1:
        marks.append(f"first entered {cleaned(reading.typed[0], 60)}")
    if reading.voided:
        marks.append("struck out, does not count")
    if fact.trust in ("rough", "estimate"):
        marks.append(f"{fact.trust}: the sample was warm")
    note = f"  ({'; '.join(marks)})" if marks else ""
    return f"{_clock(made, made.minute(reading.t))}  {what}  {reading_words(reading, units)}{note}"


def _addition(made: Summary, addition: AdditionSummary, units: Units) -> str:
    amount = show(addition.litres_as_poured, "volume", units, 2 if units == "metric" else None)
    cold = show(addition.litres_cold, "volume", units, 2 if units == "metric" else None)
    at = show(addition.celsius, "temperature", units)
    then = "not read after it"
    if addition.after_celsius is not None:
        then = f"then {show(addition.after_celsius, 'temperature', units)}"
    assumed = "  (assumed)" if addition.assumed else ""
    return f"{_clock(made, addition.minute)}  {amount} at {at} ({cold} cold), {then}{assumed}"


def _remedy(made: Summary, remedy: RemedySummary, units: Units) -> list[str]:
    read = show(remedy.read_celsius, "temperature", units)
    target = show(remedy.target_celsius, "temperature", units)
    line = f"{_clock(made, remedy.minute)}  read {read} for {target}: "
    way = remedy.taken
    others = [_way(one, units) for one in remedy.offered if one is not way and one.way != "leave it"]
    if way is None:
        line += {"left": "left as it was", "not answered": "offered, not answered"}[remedy.answer]
    elif way.litres > 0.0:
        line += f"{_way(way, units)} advised"
    else:
        line += _way(way, units)
    if way is not None:
        lands = show(way.lands_celsius, "temperature", units)
        came = "not read after it"
        if remedy.result_celsius is not None:
            came = f"came to {show(remedy.result_celsius, 'temperature', units)}"
        line += f", to land at {lands}; {came}"
    if others:
        line += f"; {'also offered' if way is not None else 'the ways were'} {' or '.join(others)}"
    if remedy.stale:
        line += "  (worked out from a reading since corrected)"
    return [line]


def _way(way: RemedyOffered, units: Units) -> str:
    """One way in a few words: "hot water, 1.20 L", "fire, 6 min"."""
    told: str = way.way
    if way.litres > 0.0:
        told += f", {show(way.litres, 'volume', units, 2 if units == 'metric' else None)}"
    elif way.minutes > 0.0:
        told += f", {minutes_and_seconds(way.minutes)}"
    return told if way.possible else f"{told} (not possible)"


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


def _sugar(made: Summary, units: Units) -> list[str]:
    columns = [_sugar_column(sugar, units) for sugar in (made.planned, made.expected, made.measured)]
    if all(told == "-" for column in columns for told in column):
        return []
    names = (
        "first runnings",
        "wash gravity",
        "wash volume",
        "conversion",
        "end gravity, about",
        "alcohol, about",
    )
    head = f"{'':<22}{'planned':>12}{'as mashed':>12}{'measured':>12}"
    rows = zip(names, *columns, strict=True)
    return [head, *(f"{name:<22}{''.join(f'{told:>12}' for told in columns)}" for name, *columns in rows)]


def _sugar_column(sugar: Sugar, units: Units) -> tuple[str, ...]:
    return (
        _gravity(sugar.first_runnings_gravity),
        _gravity(sugar.wash_gravity),
        _litres(sugar.wash_litres, units),
        _percent(sugar.conversion),
        _gravity(sugar.final_gravity),
        _percent(sugar.abv_percent, 0.01, " vol"),
    )


def _gravity(value: float | None) -> str:
    return "-" if value is None else f"{value:.3f}"


def _litres(value: float | None, units: Units) -> str:
    return "-" if value is None else show(value, "volume", units)


def _percent(value: float | None, unit: float = 1.0, after: str = "") -> str:
    return "-" if value is None else f"{100.0 * value * unit:.{1 if after else 0}f} %{after}"


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
        name = f"{step.number} {cleaned(step.title, 60)}"
        lines += [f"{name}: {cleaned(item)}: {cleaned(value, 60)}" for item, value in step.ticked]
        if step.open_items:
            lines.append(f"{name}: not ticked: {'; '.join(cleaned(item) for item in step.open_items)}")
    return lines


def _away(made: Summary) -> list[str]:
    said = {
        "exact": "by the machine's own clock",
        "estimated": "estimated by the wall clock, after a restart",
        "ask": "the clocks could not be believed; the day went on from its last entry",
        "rehearsed": "a rehearsal: no time passed",
    }
    return [
        f"{_clock(made, away.minute)}  back"
        f"{f' after {_minutes(away.minutes)}' if away.minutes >= 0.0 else ', the clock had gone back'},"
        f" {said.get(away.how) or cleaned(away.how, 60)}"
        for away in made.away
    ]
