"""Findings about a day that loads: what is not feasible, or would be better otherwise."""

from __future__ import annotations

from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.report.check import check_words
from mashday.report.day_findings import day_findings
from mashday.report.grist_findings import grist_findings
from mashday.report.pot_findings import pot_findings
from mashday.report.warmth_findings import warmth_findings
from mashday.report.wash_findings import wash_findings
from mashday.schedule.door import Problem
from mashday.schedule.model import Schedule


def findings(schedule: Schedule) -> tuple[Problem, ...]:
    """What is not feasible about the day (errors) and what to think about (warnings).

    Keys name the place in the file; quantities are told in the schedule's own units.
    """
    plan = prospect(schedule, State())
    return (
        *pot_findings(schedule, plan),
        *warmth_findings(schedule),
        *grist_findings(schedule, plan),
        *day_findings(schedule, plan),
        *wash_findings(schedule, plan),
    )


def errors(schedule: Schedule) -> tuple[Problem, ...]:
    """What makes the day impossible as it is written."""
    return tuple(problem for problem in findings(schedule) if problem.severity == "error")


def told_errors(file: str, schedule: Schedule) -> str:
    """What makes the day impossible, a line each with the file before it; "" where it can be done."""
    found = errors(schedule)
    return check_words([(file, found)]) if found else ""
