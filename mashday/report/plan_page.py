"""The day on paper as a document: to hang beside the pot, to be written on, should the screen fail."""

from __future__ import annotations

import math
from datetime import datetime, time

from mashday import cautions as caution
from mashday.engine import contents as pot
from mashday.engine import landing
from mashday.engine.facts import PotKnown
from mashday.engine.prospect import Prospect, StepOutlook, prospect, strike_meant
from mashday.engine.state import State
from mashday.quantities import Units, show, unit_word
from mashday.report.document import (
    Cell,
    Column,
    Document,
    Figure,
    Figures,
    Lines,
    Paragraph,
    Row,
    Section,
    Table,
)
from mashday.report.plan import (
    NO_GRAVITY,
    begins,
    cannot_be,
    day_ends,
    pot_lines,
    sparge_celsius,
    step_begins,
    step_lasts,
    warnings_of,
)
from mashday.report.pot_taught import known_rows
from mashday.report.shopping import gear, shopping
from mashday.report.waters import Water, ends, waters
from mashday.report.worth import expected
from mashday.schedule import cautions
from mashday.schedule.model import (
    Add,
    Boil,
    Cook,
    Cool,
    Do,
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
from mashday.science import water
from mashday.text import minutes_and_seconds

OFF_BY: dict[Units, tuple[float, ...]] = {"metric": (1.0, 2.0, 3.0), "us": (2.0, 4.0, 6.0)}
"""Degrees off the target for which it is told beforehand what puts it right."""
WRITE_IN = "________________"


def plan_document(
    schedule: Schedule,
    units: Units,
    start: time | None = None,
    ready: time | None = None,
    known: PotKnown | None = None,
) -> Document:
    """The plan as a document; clock times from `start`, or back from `ready`.

    `known` is what earlier days taught of the pot.
    """
    state = State(known=known)
    plan = prospect(schedule, state)
    begun = begins(plan, start, ready)
    done = day_ends(plan, begun)
    times = f"begins {step_begins(plan, plan.steps[0], begun)}, {done}" if begun is not None else done
    told = [f"Date: {WRITE_IN}, pot: {schedule.pot.name}, {times}"]
    if schedule.notes:
        told.append(schedule.notes)
    told += cannot_be(schedule, units)
    sections = [
        Section("", (Figures(_figures(schedule, plan, state, units)),)),
        Section("Water", _waters(schedule, plan, state, units), narrow=True),
        *_off_target(schedule, state, units),
        Section("Expected, and how far to trust it", _expected(schedule, plan, known, units), narrow=True),
        *_in_the_pot(plan, units),
        *_taught(schedule, plan, known, units),
        Section("Steps", (_steps(schedule, plan, units, begun),)),
        Section("To have", (Lines(_to_have(schedule, plan, units), ticked=True, flowing=True),)),
        Section("At hand", (Lines(gear(schedule, plan, units), ticked=True, flowing=True),)),
        *_flowing("Mind", warnings_of(schedule, units)),
        *_flowing("Take care", _cautions(schedule, units)),
    ]
    return Document(f"Plan: {schedule.name}", tuple(told), tuple(sections), caution.LAW_ON_PAPER)


def _flowing(title: str, rows: list[str]) -> list[Section]:
    return [Section(title, (Lines(tuple(rows), flowing=True),))] if rows else []


def _cautions(schedule: Schedule, units: Units) -> list[str]:
    """The cautions of the day; the law has its own line."""
    return [text for text in cautions.of_the_day(schedule, units) if text != caution.LAW]


def _figures(schedule: Schedule, plan: Prospect, state: State, units: Units) -> tuple[Figure, ...]:
    found = []
    strike = strike_meant(schedule, plan)
    if plan.strike is not None and strike is not None:
        before = pot.contents(schedule, state, plan.strike.dough_in - 1)
        litres = show(water.litres(before.water_kg, 20.0), "volume", units)
        what = f"cooked mash, {litres} of water" if before.grains else f"{litres} of water"
        found.append(Figure("Strike", show(strike.celsius, "temperature", units), what))
        lands = show(strike.lands_at_celsius, "temperature", units)
        grain = sum(kg for _, kg in pot.grain_in(schedule, state, plan.strike.dough_in))
        found.append(Figure("Mash lands at", lands, f"{show(grain, 'mass', units)} of grain stirred in"))
    if plan.sparge_litres > 0.0:
        at = sparge_celsius(schedule, units).strip()
        found.append(Figure("Sparge", show(plan.sparge_litres, "volume", units), at))
    if plan.expected is not None:
        gravity = f"{plan.expected.wash_gravity:.3f}"
        litres = show(plan.expected.wash_litres, "volume", units)
        found.append(Figure("Wash, about", gravity, litres))
    return tuple(found)


def _waters(schedule: Schedule, plan: Prospect, state: State, units: Units) -> tuple[Table | Paragraph, ...]:
    columns = (
        Column("Into"), Column("Water", "numbers"), Column("Share", "numbers"), Column("At", "numbers"),
        Column("From"),
    )  # fmt: skip
    parts = waters(schedule, state)
    whole = sum(one.litres for one in parts)
    rows = [_water_row(one, whole, units) for one in parts]
    rows.append(("in all", show(whole, "volume", units), "", "", ""))
    told = ends(schedule, plan, units)
    return (Table(columns, tuple(rows)), *((Paragraph(told),) if told else ()))


def _in_the_pot(plan: Prospect, units: Units) -> list[Section]:
    lines = tuple(f"{line[0].upper()}{line[1:]}" for line in pot_lines(plan, units))
    return [Section("In the pot", (Lines(lines),), narrow=True)] if lines else []


def _water_row(one: Water, whole: float, units: Units) -> tuple[str, ...]:
    at = "-" if one.celsius is None else show(one.celsius, "temperature", units)
    share = f"{100.0 * one.litres / whole:.0f} %"
    return f"{one.step} {one.title}", show(one.litres, "volume", units), share, at, one.source


def _expected(
    schedule: Schedule, plan: Prospect, known: PotKnown | None, units: Units
) -> tuple[Table | Paragraph, ...]:
    columns = Column("What", "short"), Column("About", "numbers"), Column("Trust", "short"), Column("Why")
    rows = tuple((one.name, one.value, one.worth, one.why) for one in expected(schedule, plan, known, units))
    parts: tuple[Table | Paragraph, ...] = (Table(columns, rows),) if rows else ()
    return parts if plan.expected is not None else (*parts, Paragraph(f"{NO_GRAVITY.capitalize()}."))


def _steps(schedule: Schedule, plan: Prospect, units: Units, begun: datetime | None) -> Table:
    """The steps, each with its list and room to write down what was."""
    columns = (
        Column("", "boxes"),
        Column("Begins" if begun is not None else "After", "numbers"),
        Column("Step", "names"),
        Column("Lasts", "numbers"),
        Column("Target", "numbers"),
        Column("Began at", "blank"),
        Column(f"Read {unit_word('temperature', units)}", "blank"),
        Column("Gravity", "blank"),
    )
    return Table(columns, tuple(_step(schedule, plan, step, units, begun) for step in plan.steps))


def _step(schedule: Schedule, plan: Prospect, step: StepOutlook, units: Units, begun: datetime | None) -> Row:
    target = "-" if step.target_celsius is None else show(step.target_celsius, "temperature", units)
    name = f"{step.number} {step.title}"
    cell = Cell(name, _amounts(schedule, step.number, units), schedule.step(step.number).checklist)
    return step_begins(plan, step, begun), cell, step_lasts(plan, step), target


def _amounts(schedule: Schedule, number: int, units: Units) -> str:
    """What goes in at a step, or by which way it is done; "" where its name says all."""
    step = schedule.step(number)
    match step:
        case Heat() if pot.heats_in_pot(schedule, number):
            return f"{show(step.water_litres, 'volume', units)} of water"
        case Heat():
            return f"{show(step.water_litres, 'volume', units)} of water, beside the mash"
        case DoughIn():
            return _grain(schedule, number, units)
        case Cook():
            litres = f"{show(step.water_litres, 'volume', units)} of water, " if step.water_litres else ""
            return f"{litres}{_grain(schedule, number, units)}; {step.minutes:.0f} min from when it is hot"
        case Raise() | MashOut():
            return f"by {pot.way_of(schedule, number)}"
        case Rest() if step.read_every_minutes is not None:
            return f"read every {step.read_every_minutes:.0f} min"
        case StarchCheck():
            return f"again every {step.retry_minutes:.0f} min until it is gone"
        case Separate() if step.sparge_litres > 0.0:
            return f"{step.by}; sparge with {show(step.sparge_litres, 'volume', units)}"
        case Separate():
            return step.by
        case Boil():
            return f"{step.minutes:.0f} min from when it boils"
        case Cool():
            return f"by {step.by}" if step.by != "standing" else "left standing"
        case Add():
            return f"{step.amount or 'some'} of {step.what}{_only(step, units)}"
        case Pitch():
            return f"{step.amount or 'some'} of {step.yeast}"
        case Do():
            return step.text
    return ""


def _grain(schedule: Schedule, number: int, units: Units) -> str:
    grains = schedule.grain_into(number)
    return ", ".join(f"{show(grain.mass_kg, 'mass', units)} {grain.name}" for grain in grains)


def _only(step: Add, units: Units) -> str:
    told = ""
    if step.below_celsius is not None:
        told += f", only below {show(step.below_celsius, 'temperature', units)}"
    if step.above_celsius is not None:
        told += f", only above {show(step.above_celsius, 'temperature', units)}"
    return told


def _off_target(schedule: Schedule, state: State, units: Units) -> list[Section]:
    """How much hot or cold water, or how long the fire, puts the first mash right; nothing without one."""
    number = pot.first_step(schedule, DoughIn)
    target = landing.target_celsius(schedule, state, number) if number is not None else None
    if number is None or target is None:
        return []
    hot, cold = pot.spare_celsius(schedule), schedule.place.tap_celsius
    heated = schedule.pot.heater_kilowatts is not None
    columns = [
        Column("Off by", "numbers"),
        Column(f"Too cold: water at {show(hot, 'temperature', units, 0)}", "numbers"),
        *([Column("or heater on for", "numbers")] if heated else []),
        Column(f"Too hot: water at {show(cold, 'temperature', units, 0)}", "numbers"),
    ]
    rows = []
    for degrees in OFF_BY[units]:
        kelvin = degrees if units == "metric" else degrees / 1.8
        fire = [_fire(schedule, state, number, target, kelvin)] if heated else []
        low = _poured(schedule, state, number, target - kelvin, target, hot, units)
        high = _poured(schedule, state, number, target + kelvin, target, cold, units)
        rows.append((show(kelvin, "temperature difference", units, 0), low, *fire, high))
    told = Paragraph("Stir, read in three places, pour four fifths, stir, read again, then the rest.")
    title = f"If the mash is not at {show(target, 'temperature', units)}"
    return [Section(title, (Table(tuple(columns), tuple(rows)), told), narrow=True)]


def _poured(
    schedule: Schedule, state: State, number: int, start: float, to: float, celsius: float, units: Units
) -> str:
    inside = pot.contents(schedule, state, number)
    kilograms = pot.water_needed_kg(inside, start, to, celsius)
    return "-" if kilograms is None else show(water.litres(kilograms, celsius), "volume", units, 2)


def _fire(schedule: Schedule, state: State, number: int, target: float, kelvin: float) -> str:
    minutes = landing.heating_minutes(schedule, state, number, target - kelvin, target)
    return "-" if minutes is None or math.isinf(minutes) else minutes_and_seconds(minutes)


def _taught(schedule: Schedule, plan: Prospect, known: PotKnown | None, units: Units) -> list[Section]:
    rows = known_rows(schedule, known, plan.mash.thickness if plan.mash else 3.0, units)
    lines = Lines(tuple(row.strip() for row in rows[1:]))
    return [Section(rows[0].capitalize(), (lines,), narrow=True)] if rows else []


def _to_have(schedule: Schedule, plan: Prospect, units: Units) -> tuple[str, ...]:
    items = shopping(schedule, plan, units)
    return tuple(f"{one.amount} {one.what}{f' ({one.note})' if one.note else ''}" for one in items)
