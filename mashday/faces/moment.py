"""One moment of the day, and how its numbers are said: in the person's units, with wall times."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from mashday.engine import landing
from mashday.engine.decision import units_of
from mashday.engine.state import State
from mashday.faces import at_hand
from mashday.quantities import Units, show
from mashday.schedule.model import Boil, Cook, Cool, Heat, MashOut, Raise, Schedule

TITLES = {
    "set-up": "Set-up",
    "heat": "Heat",
    "dough-in": "Dough-in",
    "rest": "Rest",
    "cook": "Cook",
    "raise": "Raise",
    "mash-out": "Mash-out",
    "starch-check": "Starch check",
    "separate": "Separate",
    "boil": "Boil",
    "cool": "Cool",
    "add": "Add",
    "pitch": "Pitch",
    "clean-up": "Clean-up",
    "do": "Do",
}
"""What a step is called where the schedule gives it no title."""

ON_TARGET_KELVIN = 0.05
"""A difference that shows as nothing at one decimal."""


@dataclass(frozen=True, slots=True)
class Moment:
    """Schedule, state and session time `t`; `at` gives the wall time of a session time."""

    schedule: Schedule
    state: State
    t: float
    at: Callable[[float], datetime]

    @property
    def units(self) -> Units:
        """The units things are shown in."""
        return units_of(self.schedule, self.state)

    def celsius(self, value: float) -> str:
        """A temperature: "63.0 C"."""
        return show(value, "temperature", self.units)

    def apart(self, kelvin: float) -> str:
        """A temperature difference, without its sign: "1.8 C"."""
        return show(abs(kelvin), "temperature difference", self.units)

    def litres(self, value: float) -> str:
        """A volume: "1.4 L"."""
        return show(value, "volume", self.units)

    def measured(self, value: float) -> str:
        """A volume as the person will measure it: "1.4 L (about a jug)"."""
        said = at_hand.about(value, self.schedule.containers)
        return f"{self.litres(value)} ({said})" if said else self.litres(value)

    def kilograms(self, value: float) -> str:
        """A mass: "5.00 kg"."""
        return show(value, "mass", self.units)

    def clock(self, t: float) -> str:
        """The time of day at session time `t`: "10:42"."""
        return f"{self.at(t):%H:%M}"

    def of_run(self, run: float) -> float:
        """The session time at which the running clock will show `run`, if the day is not held again."""
        return self.t + run - self.state.running(self.t)

    def title(self, number: int) -> str:
        """What step `number` is called."""
        return title(self.schedule, number)

    def named(self, number: int) -> str:
        """What step `number` is called, with its target: "Rest 63.0 C"."""
        target = landing.target_celsius(self.schedule, self.state, number)
        if target is None or self.schedule.step(number).kind == "boil":
            return self.title(number)
        return f"{self.title(number)} {self.celsius(target)}"


def title(schedule: Schedule, number: int) -> str:
    """What step `number` is called: its own title, else its kind."""
    step = schedule.step(number)
    return step.title or TITLES[step.kind]


def verdict(now: Moment, number: int, celsius: float) -> tuple[bool | None, str]:
    """Whether `celsius` is good for step `number`, and that in words: "1.8 C low", "0.3 C high, good".

    A step that moves towards its target is not judged on the way ("22.1 C to go"): None. (None, "") where
    the step has no target.
    """
    target = landing.target_celsius(now.schedule, now.state, number)
    if target is None:
        return None, ""
    off = celsius - target
    if abs(off) < ON_TARGET_KELVIN:
        return True, "on target"
    side = "high" if off > 0.0 else "low"
    good = (
        landing.band_kelvin(now.schedule, number) if off > 0.0 else landing.short_kelvin(now.schedule, number)
    )
    if abs(off) <= good:
        return True, f"{now.apart(off)} {side}, good"
    step = now.schedule.step(number)
    if isinstance(step, Cool):
        return None, f"{now.apart(off)} {'to go' if off > 0.0 else side}"
    if off < 0.0 and _goes_up(now, number):
        return None, f"{now.apart(off)} to go"
    return False, f"{now.apart(off)} {side}"


def _goes_up(now: Moment, number: int) -> bool:
    """True for a step on its way up: heating, raising, a cook or boil whose time does not run yet."""
    step = now.schedule.step(number)
    if isinstance(step, Cook | Boil):
        record = now.state.record(number)
        return record is None or record.clock_run is None
    return isinstance(step, Heat | Raise | MashOut)


def minutes(value: float) -> str:
    """A length of time: "12 min", "2 h 05 min"."""
    whole = round(value)
    return f"{whole} min" if abs(whole) < 120 else f"{whole // 60} h {whole % 60:02d} min"


def lateness(seconds: float) -> str:
    """How late something is: "3 min 20 s"."""
    whole = math.floor(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60:02d} s"
    return f"{whole // 3600} h {whole % 3600 // 60:02d} min"


def countdown(seconds: float) -> str:
    """What is left, rounded up ("04:59", "1:04:59"), or how far over, rounded down ("+00:12").

    "00:00" means due: it never shows while anything is left.
    """
    if seconds >= 0.0:
        return _digits(math.ceil(seconds))
    return f"+{_digits(math.floor(-seconds))}"


def _digits(seconds: int) -> str:
    hours, rest = divmod(seconds, 3600)
    shown = f"{rest // 60:02d}:{rest % 60:02d}"
    return f"{hours}:{shown}" if hours else shown
