"""The simulated person: follows the schedule, answers what is asked, and is not perfect at it.

Reads after stirring, pours what was advised give or take a few percent, and takes some seconds for
everything. Knows only what the thermometer, the hydrometer and the iodine show.
"""

from __future__ import annotations

import random

from mashday.engine import asks, calls, intents, landing, moves, readings
from mashday.engine import contents as pot
from mashday.schedule.model import Add, Boil, Cook, DoughIn, StarchCheck
from mashday.session.session import Session
from mashday.session.simulation import SimulatedDay

SAMPLE_CELSIUS = 24.0
DOUGH_IN_MINUTES = 7.0
PATIENCE_MINUTES = {"separate": 25.0, "pitch": 8.0, "do": 4.0, "add": 2.0, "set-up": 3.0, "clean-up": 5.0}
"""The least a step takes the simulated person, minutes. Judgement."""
POURING_SPREAD = 0.03


class SimulatedPerson:
    """Decides what a person beside the pot does now."""

    def __init__(self, session: Session, day: SimulatedDay, seed: int) -> None:
        self.session = session
        self.day = day
        self.chance = random.Random(seed + 2)

    def next_intent(self) -> intents.Intent | None:
        """What the person does at this moment; None to wait."""
        schedule, state, t = self.session.schedule, self.session.state, self.session.t()
        if state.phase == "idle":
            return intents.Start()
        if state.offer is not None and state.offer.is_open:
            best = next((way for way in state.offer.options if way.possible), None)
            return intents.TakeRemedy(best.option) if best else intents.LeaveIt()
        due = asks.due(schedule, state, t)
        if due:
            return self._answer(due[0])
        if moves.unticked(schedule, state):
            return intents.TickItem()
        standing = [call for call in calls.calls(schedule, state, t) if not call.acknowledged]
        if any(call.kind == "begun" for call in standing):
            return intents.Acknowledge()
        return intents.Done() if self._ready() else None

    def _answer(self, ask: asks.Ask) -> intents.Intent:
        if ask.quantity == "temperature":
            shown = round(self.day.thermometer(), 1)
            return intents.TakeReading("temperature", shown, "C", f"{shown}", shown)
        if ask.quantity == "gravity":
            shown = self.day.gravity_reading(SAMPLE_CELSIUS)
            typed = f"{shown:.3f} at {SAMPLE_CELSIUS:.0f} C"
            return intents.TakeReading("gravity", shown, "SG", typed, shown, sample_celsius=SAMPLE_CELSIUS)
        if ask.quantity == "volume":
            shown = self.day.litres_reading()
            return intents.TakeReading("volume", shown, "L", f"{shown} L", shown)
        if ask.quantity == "starch":
            passed = self.day.starch_gone()
            word = "starch pass" if passed else "starch fail"
            return intents.TakeReading("starch", float(passed), "", word, float(passed), passed=passed)
        if ask.quantity == "added water":
            return self._pour()
        return intents.AnswerUnknown()

    def _pour(self) -> intents.Intent:
        state = self.session.state
        way = state.untold.way_taken if state.untold else None
        if way is not None:
            litres = way.litres
        else:
            planned = readings.water_to_pour(self.session.schedule, state, self.session.t())
            if planned is None:
                return intents.AnswerUnknown()
            litres = planned[0]
        measured = round(litres * self.chance.gauss(1.0, POURING_SPREAD), 2)
        return intents.AddWater(measured, f"{measured} L")

    def _ready(self) -> bool:
        """True when the person sees that this step is done."""
        schedule, state, t = self.session.schedule, self.session.state, self.session.t()
        record = state.current
        if record is None:
            return False
        step = schedule.step(record.number)
        gone = (state.running(t) - record.began_run) / 60.0
        if isinstance(step, Boil | Cook) and record.clock_run is None:
            target = landing.target_celsius(schedule, state, record.number)
            band = landing.band_kelvin(schedule, record.number)
            return target is not None and self.day.thermometer() >= target - band
        left = calls.remaining_seconds(schedule, state, t)
        if left is not None:
            return left <= 0.0
        if any(ask.required or isinstance(step, Add) for ask in asks.asks(schedule, state)):
            return False
        if isinstance(step, DoughIn):
            return gone >= DOUGH_IN_MINUTES
        if isinstance(step, StarchCheck):
            return (
                bool(state.valid("starch", record.number)) and state.valid("starch")[-1].fact.passed is True
            )
        if step.kind in PATIENCE_MINUTES:
            return gone >= PATIENCE_MINUTES[step.kind]
        if pot.contents(schedule, state, record.number).water_kg <= 0.0:
            return True
        return asks.reached(schedule, state, record.number)

    def seconds_for(self, intent: intents.Intent) -> float:
        """How long the person takes before doing this, seconds."""
        if isinstance(intent, intents.TakeReading):
            return self.chance.uniform(30.0, 90.0)
        if isinstance(intent, intents.AddWater):
            return self.chance.uniform(40.0, 120.0)
        if isinstance(intent, intents.TickItem):
            return self.chance.uniform(15.0, 60.0)
        return self.chance.uniform(5.0, 25.0)
