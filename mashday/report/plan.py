"""The day on paper: strike, waters, fit, expected gravity and clock times, on one page."""

from __future__ import annotations

import textwrap
from datetime import datetime, time, timedelta
from typing import Any

from mashday.engine import contents as pot
from mashday.engine.facts import PotKnown
from mashday.engine.prospect import Prospect, StepOutlook, prospect
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.report.feasibility import findings
from mashday.report.pot_taught import known_rows
from mashday.schedule.model import Pitch, Schedule, Separate
from mashday.science import gravity, water, yeast
from mashday.text import cleaned

WIDTH = 80
LAW = (
    "Law: the plan stops where the yeast goes in. Making spirit at home needs a licence in many countries"
    " and is forbidden in others (United States: 27 CFR 19.51). Ask what holds where you live."
)


def plan_values(schedule: Schedule, known: PotKnown | None = None) -> dict[str, Any]:
    """The plan as plain values for JSON, always metric; with what earlier days taught of the pot."""
    plan = prospect(schedule, State(known=known))
    strike, mash, expected = plan.strike, plan.mash, plan.expected
    return {
        "strike": {
            "water_litres": _rounded(_strike_litres(schedule, plan), 2),
            "water_celsius": _rounded(strike.celsius if strike else None, 2),
            "lands_at_celsius": _rounded(strike.lands_at_celsius if strike else None, 2),
        },
        "mash": {
            "in_pot_litres": _rounded(mash.in_pot_litres if mash else None, 2),
            "thickness_l_per_kg": _rounded(mash.thickness if mash else None, 3),
            "fits": mash.fits if mash else None,
            "headroom_litres": _rounded(mash.headroom_litres if mash else None, 2),
        },
        "grist": {
            "mass_kg": _rounded(plan.grist_kg, 3),
            "diastatic_power_lintner": _rounded(plan.lintner, 1),
            "verdict": str(plan.verdict),
        },
        "water": {
            "mash_litres": _rounded(plan.mash_litres, 2),
            "sparge_litres": _rounded(plan.sparge_litres, 2),
            "total_litres": _rounded(plan.total_litres, 2),
        },
        "expected": {
            "first_runnings_gravity": _rounded(expected.first_runnings_gravity if expected else None, 4),
            "wash_gravity": _rounded(expected.wash_gravity if expected else None, 4),
            "wash_litres": _rounded(expected.wash_litres if expected else None, 2),
            "conversion": _rounded(plan.conversion_end, 3),
            "final_gravity": _rounded(expected.final_gravity if expected else None, 4),
            "abv_percent": _rounded(expected.abv_percent if expected else None, 2),
        },
        "steps": [_step_values(step) for step in plan.steps],
        "ends_minute": _rounded(plan.ends_minute, 1),
        "warnings": _warnings(schedule, "metric"),
    }


def _strike_litres(schedule: Schedule, plan: Prospect) -> float | None:
    """Cold litres that are in the pot when the grain goes in; None without a strike."""
    if plan.strike is None:
        return None
    before = pot.contents(schedule, State(), plan.strike.dough_in - 1)
    return water.litres(before.water_kg, 20.0)


def _warnings(schedule: Schedule, units: Units) -> list[str]:
    """What was found about the day, in these units."""
    shown = schedule.model_copy(update={"units": units})
    return [f"{problem.found}: {problem.remedy}" for problem in findings(shown)]


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _step_values(step: StepOutlook) -> dict[str, Any]:
    return {
        "number": step.number,
        "kind": step.kind,
        "title": step.title,
        "starts_minute": _rounded(step.starts_minute, 1),
        "minutes": _rounded(step.minutes, 1),
        "target_celsius": _rounded(step.target_celsius, 2),
    }


def plan_words(
    schedule: Schedule,
    units: Units,
    start: time | None = None,
    ready: time | None = None,
    known: PotKnown | None = None,
) -> str:
    """The plan as text of at most 80 columns; clock times from `start`, or back from `ready`.

    `known` is what earlier days taught of the pot.
    """
    plan = prospect(schedule, State(known=known))
    rows = [f"PLAN  {cleaned(schedule.name, 60)}"]
    if schedule.notes:
        rows += textwrap.wrap(cleaned(schedule.notes), WIDTH)
    rows += ["", *_mash_rows(schedule, plan, units), "", *_yield_rows(schedule, plan, units), ""]
    if taught := known_rows(schedule, known, plan.mash.thickness if plan.mash else 3.0, units):
        rows += [*taught, ""]
    rows += [*_step_rows(plan, units, _begins(plan, start, ready)), ""]
    rows += _shopping_rows(schedule, plan, units)
    if warnings := _warnings(schedule, units):
        rows += ["", "MIND"]
        for warning in warnings:
            rows += textwrap.wrap(warning, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    rows += ["", *textwrap.wrap(LAW, WIDTH)]
    return "\n".join(rows) + "\n"


def _mash_rows(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    rows = ["WATER AND MASH"]
    strike, mash, litres = plan.strike, plan.mash, _strike_litres(schedule, plan)
    if strike is not None and litres is not None:
        to = show(strike.celsius, "temperature", units)
        lands = show(strike.lands_at_celsius, "temperature", units)
        cooked = pot.contents(schedule, State(), strike.dough_in - 1).grains
        what = "the cooked mash" if cooked else show(litres, "volume", units)
        rows.append(f"  bring {what} to {to}; with the grain in it lands at {lands}")
    if mash is not None:
        free = show(abs(mash.headroom_litres), "volume", units)
        fits = f"fits, {free} to the rim"
        if not mash.fits:
            over = mash.headroom_litres < 0.0
            fits = f"does not fit: {free} {'more than the pot holds' if over else 'to the rim is too little'}"
        level = show(mash.in_pot_litres, "volume", units)
        thickness = show(mash.thickness, "thickness", units)
        rows.append(f"  {level} in the pot with {show(plan.grist_kg, 'mass', units)} of grain, {thickness}")
        rows.append(f"  {fits}")
        rows.append(
            f"  diastatic power about {plan.lintner:.0f} Lintner: {plan.verdict}; {plan.verdict.advice}"
        )
    whole = show(plan.total_litres, "volume", units)
    rows.append(
        f"  water in all {whole}: mash {show(plan.mash_litres, 'volume', units)},"
        f" sparge {show(plan.sparge_litres, 'volume', units)}{_sparge_celsius(schedule, units)}"
    )
    return rows


def _sparge_celsius(schedule: Schedule, units: Units) -> str:
    for step in schedule.steps:
        if isinstance(step, Separate) and step.sparge_litres and step.sparge_celsius is not None:
            return f" at {show(step.sparge_celsius, 'temperature', units)}"
    return ""


def _yield_rows(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    expected = plan.expected
    if expected is None:
        return ["EXPECTED", "  nothing runs off the grain, so no gravity is reckoned"]
    aim = schedule.aim
    hoped = f" (hoped for: {aim.gravity:.3f})" if aim.gravity is not None else ""
    wanted = f" (hoped for: {show(aim.wash_litres, 'volume', units)})" if aim.wash_litres is not None else ""
    return [
        "EXPECTED, about, if all goes well",
        f"  first runnings {expected.first_runnings_gravity:.3f},"
        f" conversion {100.0 * plan.conversion_end:.0f} % by the model",
        f"  wash {show(expected.wash_litres, 'volume', units)}{wanted} at {expected.wash_gravity:.3f}{hoped}",
        f"  end gravity about {expected.final_gravity:.3f}, alcohol about {expected.abv_percent:.1f} % vol",
    ]


def _begins(plan: Prospect, start: time | None, ready: time | None) -> datetime | None:
    """The moment the day begins, on any day; None where no clock time was named."""
    day = datetime(2000, 1, 2)
    if start is not None:
        return datetime.combine(day, start)
    if ready is not None:
        return datetime.combine(day, ready) - timedelta(minutes=plan.ends_minute)
    return None


def _step_rows(plan: Prospect, units: Units, begins: datetime | None) -> list[str]:
    head = "begins" if begins is not None else "after"
    rows = [f"   {'STEPS':<34} {head:>8} {'lasts':>9} {'target':>10}"]
    for step in plan.steps:
        if begins is not None:
            when = f"{begins + timedelta(minutes=step.starts_minute):%H:%M}"
        else:
            hours, minutes = divmod(round(step.starts_minute), 60)
            when = f"{hours}:{minutes:02d} h"
        target = "-" if step.target_celsius is None else show(step.target_celsius, "temperature", units)
        title = cleaned(step.title, 60)[:34]
        rows.append(f"{step.number:2d} {title:<34} {when:>8} {_minutes(step.minutes):>9} {target:>10}")
    end = plan.ends_minute
    if begins is not None:
        ends = begins + timedelta(minutes=end)
        days = (ends.date() - begins.date()).days
        later = {0: "", 1: " the day after"}.get(days, f" {days} days on")
        rows.append(f"   done about {ends:%H:%M}{later}, {_minutes(end)} in all")
    else:
        rows.append(f"   done after about {_minutes(end)}")
    return rows


def _minutes(minutes: float) -> str:
    if minutes < 120.0:
        return f"{minutes:.0f} min"
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d}"


def _shopping_rows(schedule: Schedule, plan: Prospect, units: Units) -> list[str]:
    rows = ["TO HAVE"]
    for grain in schedule.grains:
        rows.append(f"  {show(grain.mass_kg, 'mass', units):>9}  {cleaned(grain.name, 50)}")
    for step in schedule.steps:
        if isinstance(step, Pitch):
            rows.append(f"  {cleaned(step.amount or 'some', 9):>9}  {cleaned(step.yeast, 50)}")
            if plan.expected is not None:
                plato = max(0.0, gravity.plato(plan.expected.wash_gravity))
                cells = yeast.cells_to_pitch(plan.expected.wash_litres, plato)
                dry = f"{yeast.dry_yeast_grams(cells):.0f} g of dry yeast"
                rows.append(f"{'':13}about {cells / 1e9:.0f} billion cells are wanted: about {dry}")
        elif step.kind == "add":
            rows.append(f"  {cleaned(step.amount or 'some', 9):>9}  {cleaned(step.what, 50)}")
    if schedule.spare is not None:
        rows.append(
            f"  {show(schedule.spare.water_litres, 'volume', units):>9}  hot water kept in a second kettle"
        )
    return rows
