"""Findings about the day as one person lives it: how long, how often it calls, how long its lists are."""

from __future__ import annotations

from collections.abc import Iterator

from mashday.engine import call_load, timetable
from mashday.engine.prospect import Prospect
from mashday.engine.state import State
from mashday.report.finding import told, warning
from mashday.schedule.door import Problem
from mashday.schedule.model import Add, Schedule

LONGEST_LIST = 9
"""Items of a checklist beyond which it is no longer gone through with care (Gawande, The Checklist
Manifesto: five to nine)."""
LONGEST_DAY_HOURS = 12.0
"""Longer than this nobody stays careful beside a hot pot. Judgement."""


def day_findings(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """What is more than one person can do with care."""
    yield from _calls(schedule)
    yield from _probe(schedule)
    yield from _long(plan)
    for number, step in enumerate(schedule.steps, 1):
        if len(step.checklist) > LONGEST_LIST:
            yield warning(
                f"step[{number}].checklist",
                f"{len(step.checklist)} items",
                f"split it: at most {LONGEST_LIST} are read with care",
            )
        if isinstance(step, Add):
            yield from _add(schedule, number, step)


def _calls(schedule: Schedule) -> Iterator[Problem]:
    """Whether the day calls more often than one person can answer beside the work."""
    steady = {
        number: call_load.steady_per_hour(schedule, number) for number in range(1, len(schedule.steps) + 1)
    }
    often = {
        number: rate for number, rate in steady.items() if rate is not None and rate > call_load.STEADY_MOST
    }
    for number, rate in often.items():
        yield warning(
            f"step[{number}].read_every",
            f"{rate:.0f} readings an hour, more than one keeps up with beside other work",
            f"read every {60.0 / call_load.STEADY_MOST:.0f} min, or leave read_every out",
        )
    count, number = call_load.busiest_hour(call_load.planned_calls(schedule))
    if count > call_load.PEAK_MOST and not often:
        yield warning(
            f"step[{number}]",
            f"about {count} calls in the hour from here on, more than one can answer beside the work",
            "put short steps together, or give them more time",
        )


def _probe(schedule: Schedule) -> Iterator[Problem]:
    if schedule.hands_free and schedule.probe is None:
        yield warning(
            "hands_free",
            "readings are to be taken by themselves, and no probe is named",
            "name one in [probe], or when the day is run: --probe",
        )


def _long(plan: Prospect) -> Iterator[Problem]:
    hours = sum(step.minutes for step in plan.steps if step.kind != "cool") / 60.0
    if hours > LONGEST_DAY_HOURS:
        yield warning(
            "step",
            f"about {hours:.0f} h beside the pot",
            "nobody stays careful that long: part it over two days, or shorten the rests",
        )


def _add(schedule: Schedule, number: int, step: Add) -> Iterator[Problem]:
    celsius = timetable.starts_at(schedule, State(), number)
    for bound, off, word in (
        (step.below_celsius, celsius - (step.below_celsius or celsius), "below"),
        (step.above_celsius, (step.above_celsius or celsius) - celsius, "above"),
    ):
        if bound is not None and off > 0.0:
            there = told(schedule, celsius, "temperature")
            yield warning(
                f"step[{number}]",
                f"{step.what} goes in {word} {told(schedule, bound, 'temperature')}, and the pot has about"
                f" {there} then",
                "move it to where it fits",
            )
