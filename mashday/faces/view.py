"""View: everything a face shows at one moment, already in words and in the person's units.

A face prints or paints these; it computes nothing. `tell.view` makes one from schedule, state and time.
All texts are cleaned and free of control characters; none of them is markup.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

GOES_ON = "to go on with it in a new file."
Mark = Literal["before", "done", "skipped", "now", "to come"]
Microphone = Literal["", "starting", "shut", "open", "gone"]
"""What the microphone of a listener does; "" without one."""
MICROPHONE_WORDS: Mapping[Microphone, str] = {
    "": "",
    "starting": "mic not ready",
    "shut": "mic shut",
    "open": "mic OPEN",
    "gone": "mic gone",
}
"""How it is shown, always."""


@dataclass(frozen=True, slots=True)
class CallLine:
    """A call that is on; `way` is the way of a remedy it is a part of."""

    key: str
    text: str
    urgency: Literal["soon", "now", "danger"]
    rings: bool
    acknowledged: bool
    quiet_seconds: float = 0.0
    late_seconds: float = 0.0
    way: str | None = None

    @property
    def is_fire_on(self) -> bool:
        """True while it rings for a fire that is to go off."""
        return self.rings and self.way == "fire"


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way of a remedy: its number, what to do, and what it does."""

    number: int
    possible: bool
    headline: str
    details: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One item of a checklist."""

    number: int
    text: str
    ticked: bool
    value: str = ""


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step in the list: when it was planned, when it was or will be, what it is to reach.

    An extra one was not planned: a second check, a reading after a change.
    """

    number: int
    title: str
    mark: Mark
    planned: str
    actual: str
    minutes: str
    target: str
    extra: bool = False

    @property
    def place(self) -> str:
        """Its place in the list, two columns wide; a plus for an extra one."""
        return " +" if self.extra else f"{self.number:2d}"


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage of a way that was taken: pour, look, stir, read."""

    text: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of minutes with a target and its band, Celsius."""

    from_minute: float
    to_minute: float
    celsius: float
    band_kelvin: float


def _minutes(minute: float) -> str:
    return f"{minute:.0f} min"


@dataclass(frozen=True, slots=True)
class Curve:
    """The temperature curve: readings as (minute of the day, Celsius), targets, water added, now.

    `clock` is the time of day at a minute.
    """

    readings: tuple[tuple[float, float], ...] = ()
    bands: tuple[Band, ...] = ()
    additions: tuple[float, ...] = ()
    now_minute: float = 0.0
    clock: Callable[[float], str] = field(default=_minutes, compare=False)


@dataclass(frozen=True, slots=True)
class View:
    """One moment of the day, in words. `View()` is the empty one to start from.

    `step_left` is what is left of the step while the countdown is of something else; `reads_first` is true
    for a checklist whose items are read before they are done; `terms` are the trade's words of this step.
    `view_only` says why nothing can be entered; `can_go_on`, that `save` goes on with the day in a new file.
    """

    name: str = ""
    phase: str = "idle"
    units: Literal["metric", "us"] = "metric"
    time_of_day: str = ""
    step_number: int = 0
    step_count: int = 0
    step_title: str = ""
    instruction: str = ""
    details: tuple[str, ...] = ()
    countdown: str = ""
    countdown_label: str = ""
    overdue: bool = False
    step_left: str = ""
    target: str = ""
    last_reading: str = ""
    verdict: str = ""
    good: bool | None = None
    question: str = ""
    question_unit: str = ""
    question_due: str = ""
    next_due: str = ""
    calls: tuple[CallLine, ...] = ()
    remedy: str = ""
    ways: tuple[WayLine, ...] = ()
    stages: tuple[StageLine, ...] = ()
    checklist: tuple[ItemLine, ...] = ()
    reads_first: bool = False
    steps: tuple[StepLine, ...] = ()
    curve: Curve = Curve()
    cautions: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    if_it_goes_wrong: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    outlook: tuple[str, ...] = ()
    doubt: str = ""
    not_saved: str = ""
    view_only: str = ""
    can_go_on: bool = False
    thermometer: str = ""
    microphone: Microphone = ""
    moves: frozenset[str] = frozenset()
