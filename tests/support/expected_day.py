"""What a day must look like by a clock of its own: a small model that shares nothing with the engine.

It knows what was entered and when, by the test's own clock, and works out from that alone how long the day
has run, what is due, and what was read. Where it does not know (when a heating should be there, how fast a
mash drifts) it says nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from mashday.engine import facts as f
from mashday.schedule.model import Boil, Cook, DoughIn, Pitch, Rest, Schedule, Separate, SetUp, StarchCheck

ASKED = ("temperature", "gravity", "volume", "ph", "starch", "sample temperature", "added water")


@dataclass(frozen=True, slots=True)
class Happened:
    """An entry as the test saw it: at second `t` of the day by its own count, and by its clocks then."""

    seq: int
    act: int
    t: float
    passed: float
    wall: datetime
    boot: str
    fact: f.Fact


@dataclass(frozen=True, slots=True)
class Dues:
    """What is due when, in running seconds, by the name of the call; `sure` names all that is known of.

    What is in `sure` and not in `when` must not call.
    """

    when: dict[str, float]
    sure: frozenset[str]


class ExpectedDay:
    """One day as it happened."""

    def __init__(self, schedule: Schedule) -> None:
        self.schedule = schedule
        self.happened: list[Happened] = []
        self._stands: list[Happened] = []

    def note(self, *happened: Happened) -> None:
        """More has happened."""
        self.happened += happened
        struck = {n for one in self.happened if isinstance(one.fact, f.Undone) for n in one.fact.entries}
        self._stands = [one for one in self.happened if one.seq not in struck]

    def forget_after(self, seq: int) -> None:
        """What came after entry `seq` was never written down."""
        kept = self.happened[:seq]
        self.happened = []
        self.note(*kept)

    def of(self, *kinds: type) -> list[Any]:
        """What happened of these kinds and was not taken back."""
        return [one for one in self._stands if isinstance(one.fact, kinds)]

    @property
    def phase(self) -> str:
        """Where the day stands, in the words of its state."""
        ended = self.of(f.DayEnded)
        if ended:
            return "aborted" if ended[-1].fact.how == "aborted" else "complete"
        if not self.of(f.DayStarted):
            return "idle"
        holds = self.of(f.Held, f.Resumed)
        return "held" if holds and isinstance(holds[-1].fact, f.Held) else "running"

    def running(self, t: float) -> float:
        """Seconds up to `t` in which the day was not held."""
        total, since, held = 0.0, 0.0, False
        for one in self.of(f.Held, f.Resumed):
            if one.t > t:
                break
            if isinstance(one.fact, f.Resumed):
                since, held = one.t, False
            elif not held:
                total, held = total + one.t - since, True
        return total if held else total + t - since

    @property
    def begun(self) -> Happened | None:
        """The beginning of the step that is under way; None if none is."""
        moves = self.of(f.StepBegun, f.StepEnded)
        return moves[-1] if moves and isinstance(moves[-1].fact, f.StepBegun) else None

    def valid(self, quantity: str, step: int | None = None) -> list[Happened]:
        """The readings that count."""
        void = {one.fact.of for one in self.of(f.ReadingVoided)}
        return [
            one
            for one in self.of(f.ReadingTaken)
            if one.seq not in void and one.fact.quantity == quantity and step in (None, one.fact.step)
        ]

    def readings(self) -> dict[int, tuple[float | None, bool]]:
        """Each reading's Celsius, gravity, litres or pH as it was last put right, and whether it counts."""
        changes = self.of(f.ReadingCorrected, f.SampleTemperatureGiven)
        void = {one.fact.of for one in self.of(f.ReadingVoided)}
        standing = {one.seq for one in self._stands}
        found = {}
        for one in self.happened:
            if isinstance(one.fact, f.ReadingTaken):
                values = [one.fact, *(change.fact for change in changes if change.fact.of == one.seq)]
                counts = one.seq in standing and one.seq not in void
                found[one.seq] = (_measured(values[-1] if one.seq in standing else one.fact), counts)
        return found

    def timer(self) -> tuple[float, float] | None:
        """The running second in which the step's own time began, and its length in seconds."""
        begun = self.begun
        if begun is None:
            return None
        number, since = begun.fact.step, begun
        step = self.schedule.step(number)
        if not isinstance(step, Rest | Cook | Boil):
            return None
        if not isinstance(step, Rest):
            started = [one for one in self.of(f.ClockStarted) if one.fact.step == number]
            if not started:
                return None
            since = started[-1]
        more = sum(one.fact.minutes for one in self.of(f.StepExtended) if one.fact.step == number)
        return self.running(since.t), max(0.0, step.minutes + more) * 60.0

    def dues(self, t: float) -> Dues:
        """What is due when, as far as is known."""
        everything = frozenset({"time", "soon", "begun", "long", *(f"ask {one}" for one in ASKED)})
        begun = self.begun
        if begun is None or self.phase != "running":
            return Dues({}, everything)
        when: dict[str, float] = {}
        began = self.running(begun.t)
        timer = self.timer()
        if timer is not None:
            when["time"] = sum(timer)
            if timer[1] >= 600.0 and self.running(t) < sum(timer):
                when["soon"] = sum(timer) - 120.0
        if begun.fact.by_itself:
            when["begun"] = began
        when |= self._long(began, self.running(t))
        asked, sure = self._asked(begun.fact.step, began)
        when |= {f"ask {quantity}": due for quantity, due in asked.items()}
        unsure = frozenset(f"ask {quantity}" for quantity in ASKED if quantity not in sure)
        return Dues(when, everything - unsure)

    def answered(self, key: str) -> float:
        """The running second in which this call was answered last, minus infinity if it was not."""
        answers = [one for one in self.of(f.CallAnswered) if one.fact.call == key]
        return self.running(answers[-1].t) if answers else -math.inf

    def quiet(self, key: str, due: float, t: float) -> float:
        """For how long this call keeps quiet because the person asked it to since it was due."""
        quiet = [0.0]
        snoozed = [one for one in self.of(f.CallSnoozed) if one.fact.call == key]
        if snoozed and self.running(snoozed[-1].t) >= due:
            quiet.append(snoozed[-1].t + 60.0 * snoozed[-1].fact.minutes - t)
        muted = self.of(f.CallsMuted)
        if muted and self.running(muted[-1].t) >= due:
            quiet.append(muted[-1].t + 120.0 - t)
        return max(quiet)

    def _long(self, began: float, now: float) -> dict[str, float]:
        """A dough-in that takes over 20 minutes, a boil that has not come up in 40; again after 10 more."""
        assert self.begun is not None
        number = self.begun.fact.step
        step = self.schedule.step(number)
        if not (isinstance(step, DoughIn) or (isinstance(step, Boil) and self.timer() is None)):
            return {}
        due = began + (1200.0 if isinstance(step, DoughIn) else 2400.0)
        answers = [a for a in self.of(f.CallAnswered) if a.fact.call.startswith(f"long-{number}-")]
        if answers and now >= self.running(answers[-1].t) + 600.0:
            due = max(due, self.running(answers[-1].t) + 600.0)
        return {"long": due}

    def _asked(self, number: int, began: float) -> tuple[dict[str, float], frozenset[str]]:
        """What is asked and when it is due, and of which quantities that is all there is to know."""
        everything = frozenset(ASKED)
        first = {"sample temperature": self._open_sample(), "added water": self._pouring()}
        owed = {quantity: due for quantity, due in first.items() if due is not None}
        if owed:
            return owed, everything
        step = self.schedule.step(number)
        if isinstance(step, SetUp) or (
            isinstance(step, DoughIn) and isinstance(self.schedule.step(number + 1), Rest)
        ):
            return {}, everything
        if isinstance(step, Rest):
            return self._in_a_rest(number, began, step)
        if isinstance(step, StarchCheck):
            return self._of_starch(number, began, step.retry_minutes), everything
        if isinstance(step, Separate):
            wanted = {"gravity": began + 300.0, "volume": began + 1200.0}
            return {q: due for q, due in wanted.items() if not self.valid(q, number)}, everything
        if isinstance(step, Pitch):
            wanted = {"temperature": began, "gravity": began + 120.0, "volume": began + 240.0}
            asked = {q: due for q, due in wanted.items() if not self.valid(q, number)}
            return asked, everything if "temperature" in asked else everything - {"temperature"}
        return {}, everything - {"temperature", "added water"}

    def _open_sample(self) -> float | None:
        """The running second of the first gravity of which it is not known how warm its sample was."""
        for one in self.valid("gravity"):
            changed = [c.fact for c in self.of(f.ReadingCorrected) if c.fact.of == one.seq]
            given = any(sample.fact.of == one.seq for sample in self.of(f.SampleTemperatureGiven))
            fact, unit = one.fact, changed[-1].unit if changed else one.fact.unit
            known = given or fact.sample_celsius is not None or (fact.assumed and not changed)
            if not known and unit in ("SG", "P"):
                return self.running(one.t)
        return None

    def _pouring(self) -> float | None:
        """When to tell what went in: 2 minutes after the oldest way with water of which nobody told."""
        told = {one.fact.offer for one in self.of(f.WaterAdded)}
        wet = {(one.fact.offer, one.fact.option) for one in self.of(f.RemedyOffered) if one.fact.litres > 0.0}
        taken = [
            one
            for one in self.of(f.RemedyTaken)
            if (one.fact.offer, one.fact.option) in wet and one.fact.offer not in told
        ]
        return self.running(min(taken, key=lambda one: one.fact.offer).t) + 120.0 if taken else None

    def _in_a_rest(self, number: int, began: float, step: Rest) -> tuple[dict[str, float], frozenset[str]]:
        everything = frozenset(ASKED)
        here = {one.fact.offer for one in self.of(f.RemedyOffered) if one.fact.step == number}
        if any(one.fact.offer in here for one in self.of(f.RemedyTaken)) or step.read_every_minutes is None:
            return {}, everything - {"temperature"}
        wet = [one for one in self.of(f.WaterAdded) if one.fact.step == number and one.fact.litres > 0.0]
        poured = [self.running(one.t) for one in wet]
        read = [self.running(one.t) for one in self.valid("temperature", number)]
        timer = self.timer()
        assert timer is not None
        after_grain = isinstance(self.schedule.step(number - 1), DoughIn)
        settled = min(began + (300.0 if after_grain else 180.0), sum(timer))
        soonest = max(poured) + 120.0 if poured else -math.inf
        if not read:
            return {"temperature": soonest + 60.0 if poured else settled}, everything
        again, last = read[-1] + 60.0 * step.read_every_minutes, sum(timer) - 300.0
        if any(
            abs(one - other) < 0.1 for one, other in ((read[-1], soonest), (read[-1], settled), (again, last))
        ):
            return {}, everything - {"temperature"}
        if read[-1] < soonest:
            return {"temperature": soonest + 60.0}, everything
        if after_grain and read[-1] < settled:
            return {"temperature": settled}, everything
        return ({} if again > last else {"temperature": again}), everything

    def _of_starch(self, number: int, began: float, retry_minutes: float) -> dict[str, float]:
        checks = self.valid("starch", number)
        if not checks:
            return {"starch": began}
        return {} if checks[-1].fact.passed else {"starch": self.running(checks[-1].t) + 60.0 * retry_minutes}


def _measured(fact: Any) -> float | None:
    """What was measured, in Celsius, as a gravity, in litres or as pH; None of a starch check."""
    names = ("celsius", "gravity", "litres", "ph")
    if isinstance(fact, f.SampleTemperatureGiven):
        return fact.gravity
    values: list[float] = [v for name in names if (v := getattr(fact, name)) is not None]
    return values[0] if values else None
