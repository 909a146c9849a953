"""Findings about the grain: enzyme enough, raw grain cooked, starch opened and converted."""

from __future__ import annotations

from collections.abc import Iterator

from mashday.engine import contents as pot
from mashday.engine.prospect import Prospect
from mashday.report.finding import told, warning
from mashday.schedule.door import Problem
from mashday.schedule.model import Cook, DoughIn, Grain, MashOut, Raise, Rest, Schedule
from mashday.science import grain as grain_table

COOLEST_REST, HOTTEST_REST, HOTTEST_MALT = 58.0, 74.0, 70.0
"""Below the first, starch hardly opens; above the second, alpha-amylase is gone in minutes; above the
third, malt going in loses its beta-amylase at once (see science.starch). Celsius."""
LEAST_CONVERSION = 0.9
"""Share of the starch below which a mash has stopped short. Judgement."""
SLOW_GRIST_MINUTES = 90.0
"""Rest a grist of little enzyme needs (see science.grain)."""


def grist_findings(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """What is amiss with the grain, and with what becomes of its starch."""
    yield from _grist(schedule, plan)
    yield from _conversion(schedule, plan)
    for number, step in enumerate(schedule.steps, 1):
        if isinstance(step, DoughIn):
            yield from _dough_in(schedule, number, step)
        if isinstance(step, Cook):
            yield from _cooked_malt(schedule, number, step)


def _grist(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    rested = sum(step.minutes for step in schedule.steps if isinstance(step, Rest) and _converts(step))
    is_slow = plan.verdict == grain_table.PowerVerdict.SLOW and not plan.enzyme_added
    if plan.grist_kg and plan.lacks_enzyme:
        yield warning(
            "grain",
            f"the grist has about {plan.lintner:.0f} Lintner, too little enzyme to convert itself",
            "add malt or bottled enzyme",
        )
    elif is_slow and 0.0 < rested < SLOW_GRIST_MINUTES:
        yield warning(
            "grain",
            f"the grist has about {plan.lintner:.0f} Lintner, which is slow for {rested:.0f} min of rest",
            plan.verdict.advice,
        )
    raw, cooked = pot.uncooked(schedule), pot.cooked_by_a_step(schedule)
    for place, grain in enumerate(schedule.grains, 1):
        if grain.name in raw:
            yield warning(
                f"grain[{place}].kind",
                f"{grain.name} is raw and needs cooking before malt can convert it",
                "add a cook step, or write cooked = true if it is",
            )
        elif grain.name not in cooked:
            yield from _never_opened(schedule, place, grain)


def _never_opened(schedule: Schedule, place: int, grain: Grain) -> Iterator[Problem]:
    opens = pot.gelatinises_celsius(grain)
    warmest = max(
        (
            step.target_celsius
            for step in schedule.steps
            if isinstance(step, DoughIn | Rest | Raise | MashOut)
        ),
        default=None,
    )
    if opens is not None and warmest is not None and warmest < opens:
        yield warning(
            f"grain[{place}]",
            f"the mash never gets warmer than {told(schedule, warmest, 'temperature')}, and the starch of"
            f" {grain.name} opens at about {told(schedule, opens, 'temperature')}",
            "rest warmer, or cook it first",
        )


def _converts(rest: Rest) -> bool:
    return COOLEST_REST <= rest.target_celsius <= HOTTEST_REST


def _conversion(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    if not plan.grist_kg or pot.first_step(schedule, DoughIn) is None:
        return
    rests = [n for n, step in enumerate(schedule.steps, 1) if isinstance(step, Rest)]
    first = next((n for n in rests if _converts(_rest(schedule, n))), None)
    if first is None:
        low, high = (told(schedule, bound, "temperature", 0) for bound in (COOLEST_REST, HOTTEST_REST))
        yield warning(
            f"step[{rests[-1]}].target" if rests else "step",
            f"no rest between {low} and {high}",
            "starch converts there: add a rest, or leave it if planned",
        )
    elif plan.conversion_end < LEAST_CONVERSION and not plan.lacks_enzyme:
        yield warning(
            f"step[{first}].time",
            f"only about {100.0 * plan.conversion_end:.0f} % of the starch is expected to convert",
            "give the rest more time or more water, or crush finer",
        )
    for number in (n for n in rests if first is not None and n < first):
        target = _rest(schedule, number).target_celsius
        if target > HOTTEST_REST:
            shown = told(schedule, target, "temperature")
            low, high = told(schedule, 62.0, "temperature", 0), told(schedule, 72.0, "temperature", 0)
            yield warning(
                f"step[{number}].target",
                f"a rest at {shown} before the starch has converted",
                f"the enzymes are gone there in minutes: rest at {low} to {high} first",
            )


def _rest(schedule: Schedule, number: int) -> Rest:
    step = schedule.step(number)
    assert isinstance(step, Rest)
    return step


def _dough_in(schedule: Schedule, number: int, step: DoughIn) -> Iterator[Problem]:
    malt = any(pot.lintner(grain) > 0.0 for grain in schedule.grain_into(number))
    if malt and step.target_celsius > HOTTEST_MALT:
        shown = told(schedule, step.target_celsius, "temperature")
        low, high = told(schedule, 60.0, "temperature", 0), told(schedule, 68.0, "temperature", 0)
        yield warning(
            f"step[{number}].target",
            f"dough-in at {shown}",
            f"malt loses its enzymes there: aim at {low} to {high}",
        )


def _cooked_malt(schedule: Schedule, number: int, step: Cook) -> Iterator[Problem]:
    for grain in schedule.grain_into(number):
        if pot.lintner(grain) > 0.0 and step.target_celsius > HOTTEST_REST:
            shown = told(schedule, step.target_celsius, "temperature")
            yield warning(
                f"step[{number}].grain",
                f"{grain.name} is cooked at {shown}, and its enzymes are gone in minutes there",
                "name only the raw grain there, and stir the malt in by a dough-in once it has cooled",
            )
