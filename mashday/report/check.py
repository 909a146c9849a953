"""Findings about a day that loads: what is not feasible, or would be better otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from mashday.engine import contents as pot
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.quantities import show
from mashday.schedule.door import Problem
from mashday.schedule.model import Cook, DoughIn, Rest, Schedule, Separate

LONGEST_LIST = 9
"""Items of a checklist beyond which it is no longer gone through with care (Gawande, The Checklist
Manifesto: five to nine)."""
COOLEST_REST, HOTTEST_REST, HOTTEST_MALT = 58.0, 74.0, 70.0
"""Below the first, starch hardly opens; above the second, alpha-amylase is gone in minutes; above the
third, malt going in loses its beta-amylase at once (see science.starch). Celsius."""

Findings = tuple[str, Sequence[Problem]]


def findings(schedule: Schedule) -> tuple[Problem, ...]:
    """What is not feasible about the day (errors) and what to think about (warnings)."""
    plan = prospect(schedule, State())
    found = [_infeasible(schedule, warning) for warning in plan.warnings]
    converts = False
    for number, step in enumerate(schedule.steps, 1):
        key = f"step[{number}]"
        if len(step.checklist) > LONGEST_LIST:
            count = f"{len(step.checklist)} items"
            found.append(
                _warning(f"{key}.checklist", count, f"split it: at most {LONGEST_LIST} are read with care")
            )
        if isinstance(step, Rest):
            converts = converts or COOLEST_REST <= step.target_celsius <= HOTTEST_REST
            found += _rest(schedule, number, step)
        if isinstance(step, DoughIn) and step.target_celsius > HOTTEST_MALT:
            shown = show(step.target_celsius, "temperature", schedule.units)
            found.append(
                _warning(
                    f"{key}.target", f"dough-in at {shown}", "malt loses its enzymes there: aim at 60 to 68 C"
                )
            )
        if isinstance(step, Separate) and not any(
            isinstance(s, DoughIn | Cook) for s in schedule.steps[:number]
        ):
            found.append(_warning(key, "nothing is mashed before it", "put a dough-in before it"))
    if schedule.grains and not converts and pot.first_step(schedule, DoughIn) is not None:
        found.append(
            _warning(
                "step",
                "no rest between 58 and 74 C",
                "starch converts there: add a rest, or leave it if planned",
            )
        )
    return tuple(found)


def _infeasible(schedule: Schedule, warning: str) -> Problem:
    found, _, remedy = warning.partition(": ")
    hard = "strike water would need" in found or "fills" in found
    return Problem(
        "error" if hard else "warning", "", None, found, remedy or "think about it before the fire is lit"
    )


def _warning(key: str, found: str, remedy: str) -> Problem:
    return Problem("warning", key, None, found, remedy)


def _rest(schedule: Schedule, number: int, step: Rest) -> Iterable[Problem]:
    if step.target_celsius >= pot.boiling_celsius(schedule):
        shown = show(step.target_celsius, "temperature", schedule.units)
        yield Problem(
            "error", f"step[{number}].target", None, f"a rest at {shown} boils here", "choose a lower target"
        )
    if schedule.spare is None and schedule.pot.heater_kilowatts is None:
        yield _warning(
            f"step[{number}]",
            "neither a heater nor a spare kettle",
            "a rest that lands low cannot be put right: keep 2 to 3 L of hot water and write it as [spare]",
        )


def check_values(results: Sequence[Findings]) -> dict[str, Any]:
    """The findings of several files as plain values for JSON."""
    return {
        "files": [
            {
                "file": file,
                "ok": not any(problem.severity == "error" for problem in problems),
                "problems": [
                    {
                        "severity": problem.severity,
                        "key": problem.key,
                        "line": problem.line,
                        "found": problem.found,
                        "remedy": problem.remedy,
                    }
                    for problem in problems
                ],
            }
            for file, problems in results
        ]
    }


def check_words(results: Sequence[Findings]) -> str:
    """The findings of several files as text, one a line."""
    lines = []
    for file, problems in results:
        if not problems:
            lines.append(f"{file}: sound, and the day is feasible")
        lines += [f"{file}: {problem.severity}: {problem}" for problem in problems]
    return "\n".join(lines) + "\n"
