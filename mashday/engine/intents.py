"""Intents: what the person asks for. `decide` turns each into facts, a refusal or a doubt.

`sure` is set when the person has been asked about a doubt and keeps to it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

from mashday.engine.facts import Amount, Closing, Quantity


@dataclass(frozen=True, slots=True)
class Intent:
    """Something the person wants."""


def kept_to(intent: Intent) -> Intent:
    """A doubted intent once more, now that the person keeps to it."""
    changes: dict[str, Any] = {"sure": True} if hasattr(intent, "sure") else {}
    return replace(intent, **changes)


@dataclass(frozen=True, slots=True)
class Start(Intent):
    """Begin the day, at its first step or in mid-mash at step `from_step`."""

    from_step: int = 1


@dataclass(frozen=True, slots=True)
class Done(Intent):
    """This step is done; on to the next."""

    sure: bool = False


@dataclass(frozen=True, slots=True)
class Skip(Intent):
    """Leave this step out."""

    sure: bool = False


@dataclass(frozen=True, slots=True)
class Extend(Intent):
    """Give this step more minutes (negative: fewer); once its time is over, they count from now."""

    minutes: float


@dataclass(frozen=True, slots=True)
class Hold(Intent):
    """Hold the day."""


@dataclass(frozen=True, slots=True)
class Resume(Intent):
    """Go on after a hold."""


@dataclass(frozen=True, slots=True)
class TakeReading(Intent):
    """A reading. `value` is in `unit`; `metric` is the same in Celsius, SG, litres or pH.

    A starch reading has `passed`; several spots are in Celsius and `metric` is their mean. With the probe as
    its `source` a temperature is true already.
    """

    quantity: Quantity
    value: float
    unit: str
    typed: str
    metric: float
    sample_celsius: float | None = None
    passed: bool | None = None
    spots: tuple[float, ...] = ()
    place: str | None = None
    source: str | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class AnswerUnknown(Intent):
    """The person cannot say; the engine assumes, aloud."""


@dataclass(frozen=True, slots=True)
class AddWater(Intent):
    """Water was added: litres as poured at `celsius` (None: as the open remedy said)."""

    litres: float
    typed: str
    celsius: float | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class GiveAmount(Intent):
    """Another amount than planned, or what is told of a mash that stood: kilograms, litres or minutes."""

    what: Amount
    amount: float
    typed: str
    name: str | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Correct(Intent):
    """Reading `of` should have been this."""

    of: int
    value: float
    unit: str
    typed: str
    metric: float
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Void(Intent):
    """Reading `of` counts for nothing."""

    of: int


@dataclass(frozen=True, slots=True)
class TakeRemedy(Intent):
    """Take this way of the open offer."""

    option: int
    sure: bool = False


@dataclass(frozen=True, slots=True)
class LeaveIt(Intent):
    """Leave the reading as it is."""


@dataclass(frozen=True, slots=True)
class TickItem(Intent):
    """Answer the next item of the checklist, or item `item`."""

    item: int | None = None
    value: str | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class WriteNote(Intent):
    """Write a note."""

    text: str


@dataclass(frozen=True, slots=True)
class WriteClosingLine(Intent):
    """Write one of the three lines that close a day."""

    which: Closing
    text: str


@dataclass(frozen=True, slots=True)
class Acknowledge(Intent):
    """Acknowledge the calls that ring, a fire before and apart from the others, or the one of this key."""

    key: str | None = None


@dataclass(frozen=True, slots=True)
class Snooze(Intent):
    """Quiet the calls that are on for 1, 2 or 5 minutes."""

    minutes: int


@dataclass(frozen=True, slots=True)
class Mute(Intent):
    """Quiet all calls for two minutes."""


@dataclass(frozen=True, slots=True)
class ChooseUnits(Intent):
    """Show metric or US units; None: the other ones."""

    units: Literal["metric", "us"] | None = None


@dataclass(frozen=True, slots=True)
class Undo(Intent):
    """Take back the last thing entered."""


@dataclass(frozen=True, slots=True)
class Finish(Intent):
    """End the day in order, here."""

    sure: bool = False


@dataclass(frozen=True, slots=True)
class Abort(Intent):
    """Give the day up."""

    sure: bool = False


@dataclass(frozen=True, slots=True)
class KeepIt(Intent):
    """The doubted thing is right: keep it."""


@dataclass(frozen=True, slots=True)
class Wrong(Intent):
    """The doubted thing is wrong: forget it."""
