"""A day for tests: virtual seconds, intents in, entries out, and the same day replayed after each."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decide import by_itself, decide
from mashday.engine.decision import Decision, Doubt, Refused
from mashday.engine.fold import evolve, replay
from mashday.engine.state import State
from mashday.schedule.model import Schedule
from mashday.schedule.samples import sample_names

EVERY_SAMPLE = [
    name if name == "lock-seven-barley" else pytest.param(name, marks=pytest.mark.long)
    for name in sample_names()
]
"""Every sample by name, for whole days; all but one run with the long tests."""


BEGAN = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)

BARLEY = """
format = 1
name = "Lock Seven barley wash"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
mass = "4.6 kg"
wrapped = true
heater = "2.5 kW"
[place]
room = "19 C"
tap = "12 C"
[spare]
water = "3 L"
temperature = "boiling"
[[grain]]
name = "pale barley malt"
kind = "barley malt"
mass = "5 kg"
temperature = "18 C"
[[step]]
kind = "set-up"
checklist = ["malt weighed", "drains shut"]
[[step]]
kind = "heat"
water = "15 L"
[[step]]
kind = "dough-in"
target = "63 C"
[[step]]
kind = "rest"
target = "63 C"
time = "60 min"
read_every = "20 min"
band = "1 C"
[[step]]
kind = "starch-check"
retry = "15 min"
[[step]]
kind = "separate"
by = "squeezed bag"
sparge = "7.5 L"
[[step]]
kind = "cool"
target = "24 C"
by = "coil"
[[step]]
kind = "pitch"
yeast = "dry distiller's yeast"
[[step]]
kind = "clean-up"
"""


class Day:
    """One day in virtual seconds."""

    def __init__(self, schedule: Schedule) -> None:
        self.schedule = schedule
        self.state = State()
        self.t = 0.0

    def after(self, minutes: float = 0.0, seconds: float = 0.0) -> Day:
        """Lets time pass without looking."""
        self.t += 60.0 * minutes + seconds
        return self

    def ask(self, intent: intents.Intent) -> Decision:
        """What the intent would come to; nothing is written."""
        return decide(self.schedule, self.state, intent, self.t)

    def send(self, intent: intents.Intent) -> tuple[f.Fact, ...]:
        """Carries an intent out; a refusal or a doubt fails the test."""
        decision = self.ask(intent)
        assert not isinstance(decision, Refused | Doubt), decision
        return self.write(decision)

    def refused(self, intent: intents.Intent) -> str:
        """The sentence an intent is refused with; state and log stay as they are."""
        decision = self.ask(intent)
        assert isinstance(decision, Refused), decision
        return decision.why

    def doubted(self, intent: intents.Intent) -> str:
        """The sentence an intent is doubted with."""
        decision = self.ask(intent)
        assert isinstance(decision, Doubt), decision
        return decision.why

    def tick(self) -> tuple[f.Fact, ...]:
        """Lets begin by itself what is due."""
        return self.write(by_itself(self.schedule, self.state, self.t))

    def write(self, found: tuple[f.Fact, ...]) -> tuple[f.Fact, ...]:
        """Folds facts in, and holds the state against a replay of the whole log."""
        act = self.state.seq + 1
        for fact in found:
            at = BEGAN + timedelta(seconds=self.t)
            self.state = evolve(self.state, f.Entry(self.state.seq + 1, act, self.t, at, fact))
        assert replay(self.state.log) == self.state
        return found

    def read(self, celsius: float, *, sure: bool = False) -> tuple[f.Fact, ...]:
        """Takes a temperature."""
        return self.send(temperature(celsius, sure=sure))

    def to_step(self, number: int) -> Day:
        """Goes straight on to step `number`, as a hurried person would."""
        if self.state.phase == "idle":
            self.send(intents.Start())
        while self.state.step < number:
            if self.schedule.step(self.state.step).kind == "heat":
                self.read(69.0)
            if self.state.offer is not None and self.state.offer.is_open:
                self.send(intents.LeaveIt())
            self.send(intents.Skip(sure=True) if self._in_the_way() else intents.Done(sure=True))
        return self

    def _in_the_way(self) -> bool:
        return isinstance(self.ask(intents.Done(sure=True)), Refused)


def temperature(celsius: float, *, sure: bool = False) -> intents.TakeReading:
    """A temperature as typed in Celsius."""
    return intents.TakeReading("temperature", celsius, "C", f"{celsius}", celsius, sure=sure)


def gravity(value: float, sample: float | None = None) -> intents.TakeReading:
    """A gravity as typed."""
    return intents.TakeReading("gravity", value, "SG", f"{value}", value, sample_celsius=sample)


def starch(passed: bool) -> intents.TakeReading:
    """A starch check."""
    return intents.TakeReading("starch", float(passed), "", "starch", float(passed), passed=passed)


def volume(litres: float) -> intents.TakeReading:
    """A volume as typed in litres."""
    return intents.TakeReading("volume", litres, "L", f"{litres} L", litres)
