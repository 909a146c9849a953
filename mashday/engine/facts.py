"""Facts: what has happened, in the past tense. The journal keeps them; the state is their fold.

Every fact is flat (texts, numbers, truths and rows of them), so that it can stand as one table of the
session file. Temperatures are in Celsius, volumes in litres, masses in kilograms, times in seconds of
the session unless the name says minutes. A mistake is put right by another fact, never by a change.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Quantity = Literal["temperature", "gravity", "volume", "ph", "starch", "sample temperature", "added water"]
Subject = Literal["water", "mash", "cook", "wort", "wash"]
Way = Literal[
    "hot water",
    "fire",
    "decoction",
    "more time",
    "cold water",
    "lid off",
    "wait",
    "ice",
    "part out",
    "leave it",
]
Told = Literal["grain in the pot", "water in the pot", "minutes mashed"]
"""What is told of a mash that stood before the day began: kg, cold litres, minutes since its dough-in."""
Closing = Literal["wrong", "mended", "change"]
"""What is written once a day is over: what went wrong, how it was mended, what to change next time."""
Point = Literal["ice", "boil", "water"]
"""Where an instrument is checked: a thermometer in melting ice or at the boil, a hydrometer in water."""
Amount = Literal["grain", "water", "grain temperature", Told]
PROBE = "probe"
"""The source of a reading that a live thermometer gave."""
VOICE = "voice"
"""The source of a reading that was said to a listener and kept; what was heard stands in what was typed."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that happened."""


@dataclass(frozen=True, slots=True)
class Opened(Fact):
    """The session file was opened; `elapsed` is the machine's suspend-counting clock at that moment.

    `schema` is that of the entries from here on.
    """

    app: str
    boot_id: str
    elapsed: float
    away_seconds: float = 0.0
    how: str = "new"
    schema: int = 1


@dataclass(frozen=True, slots=True)
class PotKnown(Fact):
    """What earlier days taught of the pot, as this day began; rows of one length belong together.

    loss_w_per_k with loss_error: the heat it loses standing, as read (W/K). thicknesses (L/kg) and dough_ins
    (K): how much warmer each mash landed than the heat balance alone said. ways, reckoned (K) and came (K):
    what each change should have done and what it did.
    """

    pot: str
    days: int
    loss_w_per_k: float | None = None
    loss_error: float | None = None
    thicknesses: tuple[float, ...] = ()
    dough_ins: tuple[float, ...] = ()
    ways: tuple[str, ...] = ()
    reckoned: tuple[float, ...] = ()
    came: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class DayStarted(Fact):
    """The day began, at step `from_step`: beyond the first, in mid-mash."""

    from_step: int = 1


@dataclass(frozen=True, slots=True)
class DayEnded(Fact):
    """The day ended: complete, early or aborted; `left` says what was left standing."""

    how: Literal["complete", "early", "aborted"]
    left: str | None = None


@dataclass(frozen=True, slots=True)
class StepBegun(Fact):
    """A step began, by the person's word or by itself."""

    step: int
    by_itself: bool = False


@dataclass(frozen=True, slots=True)
class ClockStarted(Fact):
    """A step's own time began to run: a cook came to temperature, a boil began to boil."""

    step: int


@dataclass(frozen=True, slots=True)
class StepEnded(Fact):
    """A step ended."""

    step: int
    how: Literal["done", "skipped", "by itself"]


@dataclass(frozen=True, slots=True)
class StepExtended(Fact):
    """A step was given more (or, negative, less) time."""

    step: int
    minutes: float


@dataclass(frozen=True, slots=True)
class Held(Fact):
    """The day was held: the clocks of the steps stand."""


@dataclass(frozen=True, slots=True)
class Resumed(Fact):
    """The day went on."""


@dataclass(frozen=True, slots=True)
class ReadingTaken(Fact):
    """A reading, as typed and as understood.

    `value` and `unit` are what was typed; the fields below it are what it means: `celsius` after the
    thermometer's own offset, `gravity` at 20/20 C after the sample's temperature. `assumed` marks a
    value that nobody read; `source` is `PROBE` for a live thermometer's, None for what was entered.
    """

    step: int
    quantity: Quantity
    subject: Subject
    value: float
    unit: str
    typed: str
    celsius: float | None = None
    gravity: float | None = None
    litres: float | None = None
    ph: float | None = None
    passed: bool | None = None
    sample_celsius: float | None = None
    spots: tuple[float, ...] = ()
    place: str | None = None
    trust: str | None = None
    assumed: bool = False
    kept: bool = False
    source: str | None = None


@dataclass(frozen=True, slots=True)
class SampleTemperatureGiven(Fact):
    """The temperature of the sample that gravity reading `of` was taken in."""

    of: int
    celsius: float
    gravity: float
    trust: str
    typed: str
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class ReadingCorrected(Fact):
    """Reading `of` was entered wrong; this is what it should have been."""

    of: int
    value: float
    unit: str
    typed: str
    celsius: float | None = None
    gravity: float | None = None
    litres: float | None = None
    ph: float | None = None
    trust: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingVoided(Fact):
    """Reading `of` counts for nothing."""

    of: int


@dataclass(frozen=True, slots=True)
class WaterAdded(Fact):
    """Water went into the pot: `litres` as poured at `celsius`, `kilograms` of it; `ice` if it was frozen."""

    step: int
    litres: float
    kilograms: float
    celsius: float
    typed: str
    offer: int | None = None
    assumed: bool = False
    ice: bool = False


@dataclass(frozen=True, slots=True)
class AmountGiven(Fact):
    """Another amount than planned: grain weighed or water measured for step `step`.

    Or the temperature of that grain in Celsius, or what is told of the pot the day was taken up with at step
    `step`: kilograms, cold litres or minutes.
    """

    step: int
    what: Amount
    amount: float
    typed: str
    name: str | None = None


@dataclass(frozen=True, slots=True)
class RemedyOffered(Fact):
    """One way to put a reading right, with its numbers; the ways of one offer share its number.

    litres and kilograms are water (or ice, as it melts) that goes in, pulled_litres mash that is taken out
    and given back, minutes how long the way is followed, takes_minutes how long until it is read again.
    first_celsius is where the first portion alone brings it. converted (share) and attenuation_percent are
    what the model says of the end of the mash if this way is taken.
    """

    offer: int
    option: int
    step: int
    way: Way
    possible: bool
    read_celsius: float
    target_celsius: float
    lands_celsius: float
    litres: float = 0.0
    first_litres: float = 0.0
    water_celsius: float | None = None
    kilograms: float = 0.0
    minutes: float = 0.0
    in_pot_litres: float | None = None
    room_litres: float | None = None
    thickness: float | None = None
    gravity_before: float | None = None
    gravity_after: float | None = None
    sparge_litres: float | None = None
    why: str | None = None
    working: tuple[str, ...] = ()
    first_celsius: float | None = None
    pulled_litres: float = 0.0
    takes_minutes: float = 0.0
    converted: float | None = None
    attenuation_percent: float | None = None


@dataclass(frozen=True, slots=True)
class RemedyTaken(Fact):
    """The person takes this way."""

    offer: int
    option: int


@dataclass(frozen=True, slots=True)
class RemedyLeft(Fact):
    """The person leaves it."""

    offer: int


@dataclass(frozen=True, slots=True)
class ItemTicked(Fact):
    """An item of a step's checklist was answered, by a value where one was given."""

    step: int
    item: int
    value: str | None = None


@dataclass(frozen=True, slots=True)
class InstrumentChecked(Fact):
    """What the thermometer showed in melting ice or at the boil, Celsius, or the hydrometer in water, gravity
    at 20/20 C. None: nothing to go by, and what was found there before counts no more."""

    point: Point
    shown: float | None
    typed: str


@dataclass(frozen=True, slots=True)
class NoteWritten(Fact):
    """The person's own words."""

    step: int
    text: str


@dataclass(frozen=True, slots=True)
class ClosingLine(Fact):
    """One of the three lines that close a day, in the person's own words; a later one stands in its place."""

    which: Closing
    text: str


@dataclass(frozen=True, slots=True)
class CallAnswered(Fact):
    """A call was acknowledged, `late_seconds` after it was due."""

    call: str
    what: str
    late_seconds: float


@dataclass(frozen=True, slots=True)
class CallSnoozed(Fact):
    """A call keeps quiet for some minutes and comes back by itself."""

    call: str
    minutes: float


@dataclass(frozen=True, slots=True)
class CallsMuted(Fact):
    """All calls keep quiet for two minutes; a new one breaks through."""


@dataclass(frozen=True, slots=True)
class UnitsChosen(Fact):
    """What is shown, from here on, in metric or US units."""

    units: Literal["metric", "us"]


@dataclass(frozen=True, slots=True)
class Undone(Fact):
    """These entries were taken back; readings among them stay in the log, struck out.

    `fire` is the offer of a fire among them whose heat nobody said is off, and `fire_due` the running second
    at which it was to be: that is called for all the same.
    """

    entries: tuple[int, ...]
    what: str
    fire: int | None = None
    fire_due: float | None = None


KINDS: dict[str, type[Fact]] = {
    "opened": Opened,
    "pot known": PotKnown,
    "day started": DayStarted,
    "day ended": DayEnded,
    "step begun": StepBegun,
    "clock started": ClockStarted,
    "step ended": StepEnded,
    "step extended": StepExtended,
    "held": Held,
    "resumed": Resumed,
    "reading": ReadingTaken,
    "sample temperature": SampleTemperatureGiven,
    "correct": ReadingCorrected,
    "void": ReadingVoided,
    "water added": WaterAdded,
    "amount": AmountGiven,
    "remedy offered": RemedyOffered,
    "remedy taken": RemedyTaken,
    "remedy left": RemedyLeft,
    "item": ItemTicked,
    "instrument checked": InstrumentChecked,
    "note": NoteWritten,
    "closing line": ClosingLine,
    "call answered": CallAnswered,
    "call snoozed": CallSnoozed,
    "calls muted": CallsMuted,
    "units": UnitsChosen,
    "undo": Undone,
}
"""The name each kind of fact has in a session file. Names are never reused for another meaning."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact with its place in the day.

    `seq` counts from 1; `act` is the `seq` of the first fact of the same intent; `t` is in seconds of the
    session and never goes back; `at` is the wall clock, a label only.
    """

    seq: int
    act: int
    t: float
    at: datetime
    fact: Fact
