"""Findings about warmth: what the pot has when a step comes, where a mash lands, how grain is cooked."""

from __future__ import annotations

from collections.abc import Iterator

from mashday.engine import contents as pot
from mashday.engine import landing
from mashday.engine.state import State
from mashday.report.finding import error, told, warning
from mashday.schedule.door import Problem
from mashday.schedule.model import Cook, Cool, Do, DoughIn, Heat, MashOut, Raise, Rest, Schedule, Separate
from mashday.science import grain as grain_table

OFF_KELVIN, FAR_OFF_KELVIN = 2.0, 6.0
"""A mash off its target by the first is put right beside the pot, by the second it makes another wash: alpha-
and beta-amylase work best some 6 K apart (see science.starch). Judgement."""
RUINED_CELSIUS = 75.0
"""Malt stirred into what is hotter has lost its enzymes before it is broken up (see science.starch)."""


def warmth_findings(schedule: Schedule) -> Iterator[Problem]:
    """What does not come about, because the pot is not as warm as its steps take for granted."""
    celsius, own_words = schedule.place.tap_celsius, False
    for number, step in enumerate(schedule.steps, 1):
        if isinstance(step, Separate) and step.by != "on the grain":
            return
        if isinstance(step, DoughIn):
            yield from _lands(schedule, number, step, celsius, own_words)
        if isinstance(step, Rest):
            yield from _rests(schedule, number, step, celsius)
        if isinstance(step, Raise | MashOut):
            yield from _raised(schedule, number, step, celsius)
        if isinstance(step, Cook):
            yield from _cooked(schedule, number, step)
        if isinstance(step, Heat) and not pot.heats_in_pot(schedule, number):
            continue
        reached = landing.target_celsius(schedule, State(), number)
        if isinstance(step, Cool) and reached is not None:
            reached = min(reached, celsius)
        celsius = celsius if reached is None else reached
        own_words = isinstance(step, Do) or (own_words and reached is None)


def _lands(
    schedule: Schedule, number: int, step: DoughIn, celsius: float, own_words: bool
) -> Iterator[Problem]:
    plan = landing.strike(schedule, State(), number - 1) if number > 1 else None
    if plan is None or plan.dough_in != number or plan.celsius >= pot.boiling_celsius(schedule):
        return
    lands = landing.lands_at(plan, celsius)
    if abs(lands - step.target_celsius) <= OFF_KELVIN:
        return
    malt = any(pot.lintner(grain) > 0.0 for grain in schedule.grain_into(number))
    gone = malt and lands > RUINED_CELSIUS
    has, there, aim, needed = (
        told(schedule, value, "temperature") for value in (celsius, lands, step.target_celsius, plan.celsius)
    )
    before = schedule.step(number - 1)
    if isinstance(before, Heat | Cool) and before.target_celsius == celsius:
        remedy = f"leave out the target of step[{number - 1}], or write {needed} there"
    else:
        remedy = f"put a {'cool' if lands > step.target_celsius else 'raise'} step to {needed} before it"
    ruined = gone or abs(lands - step.target_celsius) > FAR_OFF_KELVIN
    made = error if ruined and not own_words else warning
    why = ", where malt loses its enzymes at once" if gone else ""
    yield made(f"step[{number}]", f"the pot has {has} then, and lands at {there}, not {aim}{why}", remedy)


def _rests(schedule: Schedule, number: int, step: Rest, celsius: float) -> Iterator[Problem]:
    aim, has = (told(schedule, value, "temperature") for value in (step.target_celsius, celsius))
    if not pot.contents(schedule, State(), number - 1).grains:
        yield warning(f"step[{number}]", f"a rest at {aim} without grain", "put a dough-in before it")
    elif step.target_celsius > celsius + OFF_KELVIN:
        yield warning(
            f"step[{number}].target",
            f"a rest at {aim}, and the pot has {has} then, which nothing raises",
            f"put a raise to {aim} before it",
        )
    elif step.target_celsius < celsius - OFF_KELVIN:
        yield warning(
            f"step[{number}].target",
            f"a rest at {aim}, and the pot has {has} then, which nothing cools",
            f"put a cool to {aim} before it, or rest before it gets so warm",
        )


def _raised(schedule: Schedule, number: int, step: Raise | MashOut, celsius: float) -> Iterator[Problem]:
    if step.target_celsius < celsius - OFF_KELVIN:
        aim, has = (told(schedule, value, "temperature") for value in (step.target_celsius, celsius))
        yield warning(
            f"step[{number}].target",
            f"raised to {aim}, and the pot has {has} then",
            "raise it to more, or put a cool in its place",
        )


def _cooked(schedule: Schedule, number: int, step: Cook) -> Iterator[Problem]:
    for grain in schedule.grain_into(number):
        how = grain_table.kind(grain.kind).cook
        if grain.cooked or how is None:
            continue
        lowest = min(how.low_celsius, pot.boiling_celsius(schedule))
        wanted = f"{grain.name} wants {told(schedule, lowest, 'temperature', 0)} or more for"
        shown = told(schedule, step.target_celsius, "temperature")
        if step.target_celsius < lowest - OFF_KELVIN:
            yield warning(
                f"step[{number}].target",
                f"{grain.name} is cooked at {shown}, and its starch opens only in part",
                f"{wanted} {how.low_minutes:.0f} min",
            )
        elif step.minutes < how.low_minutes:
            yield warning(
                f"step[{number}].time",
                f"{grain.name} is cooked for {step.minutes:.0f} min, and its starch opens only in part",
                f"{wanted} {how.low_minutes:.0f} min",
            )
