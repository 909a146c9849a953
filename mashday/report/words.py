"""The summary in words: plain text of at most 80 columns, in the person's units."""

from __future__ import annotations

import textwrap

from mashday.engine.state import Reading
from mashday.quantities import Units, show
from mashday.report.summary import AdditionSummary, RemedySummary, StepSummary, Summary
from mashday.text import cleaned

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
        _section("STEPS", [_STEP_HEAD, *(_step(made, step, units) for step in made.steps)]),
        _section("READINGS", [_reading(made, reading, units) for reading in made.readings]),
        _section("WATER ADDED", [_addition(made, addition, units) for addition in made.additions]),
        _section("REMEDIES", [line for r in made.remedies for line in _remedy(made, r, units)]),
        _section("OTHER AMOUNTS THAN PLANNED", _amounts(made)),
        _section("GRAVITY AND CONVERSION", _sugar(made, units)),
        _section("CALLS", _calls(made)),
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
    ending = ENDINGS[made.state]
    if made.state == "complete" and any(step.how in ("not begun", "under way") for step in made.steps):
        ending = "Ended early"
    rows = [f"SUMMARY  {name}"]
    if made.rehearsed:
        rows.append("A rehearsed day, beside a simulated pot.")
    if made.started is not None:
        end = made.ended or made.at(made.log[-1].t if made.log else made.started_t)
        whole_hours, minutes = divmod(round((end - made.started).total_seconds() / 60.0), 60)
        hours = f"{whole_hours} h {minutes:02d} min"
        rows.append(f"{ending}. {made.started:%Y-%m-%d}, {made.started:%H:%M} to {end:%H:%M} ({hours}).")
    else:
        rows.append(f"{ending}.")
    if made.left:
        rows.append(f"Left: {cleaned(made.left)}.")
    rows.append(f"Pot: {cleaned(made.pot, 60)}.")
    return "\n".join(row for line in rows for row in textwrap.wrap(line, WIDTH))


_STEP_HEAD = f"   {'step':<20} {'begun':>7}  {'planned':>8} {'actual':>9} {'target':>10} {'held':>9}"


def _step(made: Summary, step: StepSummary, units: Units) -> str:
    began = f"{made.at(step.began):%H:%M}" if step.began is not None else "-"
    target = "-" if step.target_celsius is None else show(step.target_celsius, "temperature", units)
    held = "-" if step.held_celsius is None else show(step.held_celsius, "temperature", units)
    actual = _minutes(step.actual_minutes)
    if step.how in ("skipped", "not begun"):
        actual = step.how
    title = cleaned(step.title, 60)[:20]
    return (
        f"{step.number:2d} {title:<20} {began:>7}  {_minutes(step.planned_minutes):>8}"
        f" {actual:>9} {target:>10} {held:>9}"
    )


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
    if way is None:
        line += {"left": "left as it was", "not answered": "offered, not answered"}[remedy.answer]
    elif way.litres > 0.0:
        amount = show(way.litres, "volume", units, 2 if units == "metric" else None)
        line += f"{way.way}, {amount} advised"
    else:
        line += f"{way.way}, {way.minutes:.0f} min"
    if way is not None:
        lands = show(way.lands_celsius, "temperature", units)
        came = "not read after it"
        if remedy.result_celsius is not None:
            came = f"came to {show(remedy.result_celsius, 'temperature', units)}"
        line += f", to land at {lands}; {came}"
    if remedy.stale:
        line += "  (worked out from a reading since corrected)"
    return [line]


def _amounts(made: Summary) -> list[str]:
    return [
        f"{given.what}{' ' + cleaned(given.name, 60) if given.name else ''}: {cleaned(given.typed, 60)},"
        f" in step {given.step}"
        for given in made.amounts
    ]


def _sugar(made: Summary, units: Units) -> list[str]:
    expected, measured = made.expected, made.measured
    first, came = expected.first_runnings_gravity, measured.first_runnings_gravity
    rows = [
        ("first runnings", _gravity(first), _gravity(came)),
        ("wash gravity", _gravity(expected.wash_gravity), _gravity(measured.wash_gravity)),
        ("wash volume", _litres(expected.wash_litres, units), _litres(measured.wash_litres, units)),
        ("conversion", _percent(expected.conversion), _percent(measured.conversion)),
        ("end gravity, about", _gravity(expected.final_gravity), "-"),
        ("alcohol, about", _percent(expected.abv_percent, 0.01, " vol"), "-"),
    ]
    if all(value == "-" for _, *values in rows for value in values):
        return []
    head = f"{'':<22}{'expected':>12}{'measured':>12}"
    return [head, *(f"{name:<22}{there:>12}{here:>12}" for name, there, here in rows)]


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
        lines.append(f"the latest: {worst[0]}, {_late(worst[1])} late")
    return lines


def _late(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{whole // 60} min {whole % 60:02d} s"


def _away(made: Summary) -> list[str]:
    said = {
        "exact": "by the machine's own clock",
        "estimated": "estimated by the wall clock, after a restart",
        "ask": "the clocks could not be believed; the day went on from its last entry",
        "rehearsed": "a rehearsal: no time passed",
    }
    return [
        f"{_clock(made, away.minute)}  back after {_minutes(away.minutes)}, {said.get(away.how, away.how)}"
        for away in made.away
    ]
