"""Which step of a schedule somebody means by a number, a kind or a title."""

from __future__ import annotations

from mashday.faces.moment import title
from mashday.schedule.model import Schedule
from mashday.text import cleaned, quoted


def step_meant(schedule: Schedule, said: str) -> int | None:
    """The number of the step meant; by a word, the first that fits, whatever its case and hyphens.

    None if there is none.
    """
    number = said.strip()
    if number.isascii() and number.isdigit() and len(number) <= 6:
        return int(number) if 1 <= int(number) <= len(schedule.steps) else None
    word = _plain(said)
    for place, step in enumerate(schedule.steps, 1):
        if word in (_plain(step.kind), _plain(title(schedule, place))):
            return place
    return None


def _plain(text: str) -> str:
    return " ".join(text.replace("-", " ").replace("_", " ").casefold().split())


def no_such_step(schedule: Schedule, said: str) -> str:
    """What to say to a step that is none: the steps there are."""
    steps = ", ".join(
        f"{number} {cleaned(title(schedule, number), 60)}" for number in range(1, len(schedule.steps) + 1)
    )
    return f"--from: there is no step {quoted(said)}. The steps are: {steps}."
