"""The day on paper: strike, waters, fit, what is expected, clock times; as values and as text of one page."""

from __future__ import annotations

import textwrap
from datetime import datetime, time, timedelta
from typing import Any

from mashday.cautions import LAW_ON_PAPER
from mashday.engine import contents as pot
from mashday.engine.facts import PotKnown
from mashday.engine.prospect import Prospect, StepOutlook, prospect, strike_meant
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.report.feasibility import errors, findings
from mashday.report.pot_taught import known_rows
from mashday.report.shopping import gear, shopping
from mashday.report.values import rounded
from mashday.report.worth import expected
from mashday.schedule.model import Schedule, Separate
from mashday.science import water
from mashday.science.grain import PowerVerdict
from mashday.text import cleaned

WIDTH = 80
OFF_TOLD_KELVIN = 0.5
"""Less off its target a mash is not told to land. Judgement."""


def plan_values(schedule: Schedule, known: PotKnown | None = None) -> dict[str, Any]:
    """The plan as plain values for JSON, always metric; with what earlier days taught of the pot."""
    plan = prospect(schedule, State(known=known))
    strike, mash, result = strike_meant(schedule, plan), plan.mash, plan.expected
    return {
        "strike": {
            "water_litres": rounded(_strike_litres(schedule, plan), 2),
            "water_celsius": rounded(strike.celsius if strike else None, 2),
            "lands_at_celsius": rounded(strike.lands_at_celsius if strike else None, 2),
        },
        "mash": {
            "in_pot_litres": rounded(mash.in_pot_litres if mash else None, 2),
            "thickness_l_per_kg": rounded(mash.thickness if mash else None, 3),
            "fits": mash.fits if mash else None,
            "headroom_litres": rounded(mash.headroom_litres if mash else None, 2),
        },
        "grist": {
            "mass_kg": rounded(plan.grist_kg, 3),
            "diastatic_power_lintner": rounded(plan.lintner, 1),
            "verdict": str(plan.verdict),
        },
        "water": {
            "mash_litres": rounded(plan.mash_litres, 2),
            "sparge_litres": rounded(plan.sparge_litres, 2),
            "total_litres": rounded(plan.total_litres, 2),
        },
        "expected": {
            "first_runnings_gravity": rounded(result.first_runnings_gravity if result else None, 4),
            "wash_gravity": rounded(result.wash_gravity if result else None, 4),
            "wash_litres": rounded(result.wash_litres if result else None, 2),
            "conversion": rounded(plan.conversion_end, 3),
            "final_gravity": rounded(result.final_gravity if result else None, 4),
            "abv_percent": rounded(result.abv_percent if result else None, 2),
        },
        "steps": [_step_values(plan, step) for step in plan.steps],
        "ends_minute": None if plan.out_of_reach else rounded(plan.ends_minute, 1),
        "warnings": warnings_of(schedule, "metric"),
    }


def _strike_litres(schedule: Schedule, plan: Prospect) -> float | None:
    """Cold litres that are in the pot when the grain goes in; None without a strike."""
    if plan.strike is None:
        return None
    before = pot.contents(schedule, State(), plan.strike.dough_in - 1)
    return water.litres(before.water_kg, 20.0)


def warnings_of(schedule: Schedule, units: Units) -> list[str]:
    """What was found about the day, in these units."""
    shown = schedule.model_copy(update={"units": units})
    return [f"{problem.found}: {problem.remedy}" for problem in findings(shown)]


def cannot_be(schedule: Schedule, units: Units) -> list[str]:
    """A sentence for each thing that makes the day impossible as it is written, in these units."""
    shown = schedule.model_copy(update={"units": units})
    return [f"Cannot be done as it is written: {one.found}; {one.remedy}." for one in errors(shown)]


def _step_values(plan: Prospect, step: StepOutlook) -> dict[str, Any]:
    timed = plan.is_timed(step.number)
    return {
        "number": step.number,
        "kind": step.kind,
        "title": step.title,
        "starts_minute": rounded(step.starts_minute, 1) if timed else None,
        "minutes": rounded(step.minutes, 1) if timed else None,
        "target_celsius": rounded(step.target_celsius, 2),
    }


def plan_words(
    schedule: Schedule,
    units: Units,
    start: time | None = None,
    ready: time | None = None,
    known: PotKnown | None = None,
    change: str | None = None,
) -> str:
    """The plan as text of at most 80 columns; clock times from `start`, or back from `ready`.

    `known` is what earlier days taught of the pot, `change` what the last one wants changed.
    """
    plan = prospect(schedule, State(known=known))
    rows = [f"PLAN  {cleaned(schedule.name, 60)}"]
    if schedule.notes:
        rows += textwrap.wrap(cleaned(schedule.notes), WIDTH)
    for why in cannot_be(schedule, units):
        rows += ["", *textwrap.wrap(why, WIDTH)]
    if change:
        rows += ["", *textwrap.wrap(cleaned(change), WIDTH)]
    rows += ["", "WATER AND MASH"]
    for line in mash_lines(schedule, plan, units):
        rows += textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="    ")
    rows += ["", *_expected_rows(schedule, plan, known, units), ""]
    if taught := known_rows(schedule, known, plan.mash.thickness if plan.mash else 3.0, units):
        rows += [*taught, ""]
    rows += [*_step_rows(plan, units, begins(plan, start, ready)), "", "TO HAVE"]
    for item in shopping(schedule, plan, units):
        rows.append(f"  {cleaned(item.amount, 9):>9}  {cleaned(item.what, 50)}")
        if item.note:
            rows.append(f"{'':13}{item.note}")
    rows += ["", "AT HAND", *_listed("; ".join(cleaned(one, 80) for one in gear(schedule, plan, units)))]
    if warnings := warnings_of(schedule, units):
        rows += ["", "MIND"]
        for warning in warnings:
            rows += textwrap.wrap(warning, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    rows += ["", *textwrap.wrap(LAW_ON_PAPER, WIDTH)]
    return "\n".join(rows) + "\n"


def _listed(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def mash_lines(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    """Strike, what stands in the pot and whether it fits, enzyme, and the waters, a line each."""
    return [
        *strike_lines(schedule, plan, units),
        *pot_lines(plan, units),
        _waters_line(schedule, plan, units),
    ]


def strike_lines(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    """What is brought to which temperature before the grain goes in; nothing without a strike."""
    strike, litres = strike_meant(schedule, plan), _strike_litres(schedule, plan)
    if plan.strike is None or strike is None or litres is None:
        return []
    to, lands, aim, needed = (show(celsius, "temperature", units) for celsius in strike)
    cooked = pot.contents(schedule, State(), plan.strike.dough_in - 1).grains
    what = "the cooked mash" if cooked else show(litres, "volume", units)
    told = f"bring {what} to {to}; with the grain in it lands at {lands}"
    off = abs(strike.lands_at_celsius - strike.aim_celsius) >= OFF_TOLD_KELVIN
    return [told, f"it is meant to land at {aim}: that needs {needed}"] if off else [told]


def pot_lines(plan: Prospect, units: Units) -> list[str]:
    """What stands in the pot, whether it fits, and whether there is enzyme enough; nothing without a mash."""
    mash = plan.mash
    if mash is None:
        return []
    free = show(abs(mash.headroom_litres), "volume", units)
    fits = f"fits, {free} to the rim"
    if not mash.fits:
        over = mash.headroom_litres < 0.0
        fits = f"does not fit: {free} {'more than the pot holds' if over else 'to the rim is too little'}"
    level = show(mash.in_pot_litres, "volume", units)
    thickness = show(mash.thickness, "thickness", units)
    return [
        f"{level} in the pot with {show(plan.grist_kg, 'mass', units)} of grain, {thickness}",
        fits,
        _enzyme_line(plan),
    ]


def _enzyme_line(plan: Prospect) -> str:
    told = f"diastatic power about {plan.lintner:.0f} Lintner: "
    if plan.enzyme_added and plan.verdict in (PowerVerdict.TOO_LITTLE, PowerVerdict.SLOW):
        return f"{told}too little by itself; the enzyme that is added has to make up for it"
    return f"{told}{plan.verdict}; {plan.verdict.advice}"


def _waters_line(schedule: Schedule, plan: Prospect, units: Units) -> str:
    whole = show(plan.total_litres, "volume", units)
    mash, sparge = (show(litres, "volume", units) for litres in (plan.mash_litres, plan.sparge_litres))
    return f"water in all {whole}: mash {mash}, sparge {sparge}{sparge_celsius(schedule, units)}"


def sparge_celsius(schedule: Schedule, units: Units) -> str:
    """How warm the sparge is written to be, after a space; "" where it is not."""
    for step in schedule.steps:
        if isinstance(step, Separate) and step.sparge_litres and step.sparge_celsius is not None:
            return f" at {show(step.sparge_celsius, 'temperature', units)}"
    return ""


NO_GRAVITY = "nothing runs off the grain, so no gravity is reckoned"


def _expected_rows(schedule: Schedule, plan: Prospect, known: PotKnown | None, units: Units) -> list[str]:
    rows = ["EXPECTED, if all goes well, and how far to trust it"]
    for one in expected(schedule, plan, known, units):
        begun = f"  {one.name:<17} {one.value:<10} {one.worth:<9} "
        rows += textwrap.wrap(begun + one.why, WIDTH, subsequent_indent=" " * len(begun))
    return rows if plan.expected is not None else [*rows, f"  {NO_GRAVITY}"]


def begins(plan: Prospect, start: time | None, ready: time | None) -> datetime | None:
    """The moment the day begins, on any day; None where no clock time tells it."""
    day = datetime(2000, 1, 2)
    if start is not None:
        return datetime.combine(day, start)
    if ready is not None and not plan.out_of_reach:
        return datetime.combine(day, ready) - timedelta(minutes=plan.ends_minute)
    return None


def step_begins(plan: Prospect, step: StepOutlook, begun: datetime | None) -> str:
    """When a step begins: the clock time, or hours and minutes from the beginning of the day.

    "-" where it cannot be told.
    """
    if not plan.is_timed(step.number):
        return "-"
    if begun is not None:
        return f"{begun + timedelta(minutes=step.starts_minute):%H:%M}"
    hours, minutes = divmod(round(step.starts_minute), 60)
    return f"{hours}:{minutes:02d} h"


def step_lasts(plan: Prospect, step: StepOutlook) -> str:
    """How long a step is to last; "-" where it cannot be told."""
    return _minutes(step.minutes) if plan.is_timed(step.number) else "-"


def day_ends(plan: Prospect, begun: datetime | None) -> str:
    """When the day is done, and how long it is."""
    if plan.out_of_reach:
        return f"no time of the end: step {plan.out_of_reach[0]} cannot be reached with this heater"
    end = plan.ends_minute
    if begun is None:
        return f"done after about {_minutes(end)}"
    done = begun + timedelta(minutes=end)
    days = (done.date() - begun.date()).days
    later = {0: "", 1: " the day after"}.get(days, f" {days} days on")
    return f"done about {done:%H:%M}{later}, {_minutes(end)} in all"


def _step_rows(plan: Prospect, units: Units, begun: datetime | None) -> list[str]:
    head = "begins" if begun is not None else "after"
    rows = [f"   {'STEPS':<34} {head:>8} {'lasts':>9} {'target':>10}"]
    for step in plan.steps:
        target = "-" if step.target_celsius is None else show(step.target_celsius, "temperature", units)
        title = cleaned(step.title, 60)[:34]
        begin, lasts = step_begins(plan, step, begun), step_lasts(plan, step)
        rows.append(f"{step.number:2d} {title:<34} {begin:>8} {lasts:>9} {target:>10}")
    return [*rows, f"   {day_ends(plan, begun)}"]


def _minutes(minutes: float) -> str:
    if minutes < 120.0:
        return f"{minutes:.0f} min"
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d}"
