"""A whole day of every sample from the numeric keypad alone: digits, the decimal mark, Enter and plus."""

from __future__ import annotations

import pytest

from mashday.engine import intents
from mashday.engine.decision import units_of
from mashday.faces.tui.desk import Desk
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.person import SimulatedPerson
from mashday.session.rehearsal import UNSEEN_SLICE_SECONDS, Rehearsal
from mashday.session.session import begin

KEYPAD = frozenset("0123456789.") | {"enter", "+"}
LONGEST_HOURS = 24


class KeypadPerson(SimulatedPerson):
    """Lives the day through with a keypad under a wet glove: sees the screen, knows nothing else."""

    def sample(self) -> str:
        """How warm the sample is."""
        return self._shown(20.0, "temperature")

    def _shown(self, metric: float, kind: str | None) -> str:
        """The number in the units the screen asks for."""
        us = units_of(self.session.schedule, self.session.state) == "us"
        factors = {"temperature": 1.8, "volume": 1.0 / 3.785412, "added water": 4.0 / 3.785412}
        number = metric * (factors[kind] if us and kind else 1.0) + (
            32.0 if us and kind == "temperature" else 0.0
        )
        return f"{number:.3f}"

    def keys(self, intent: intents.Intent) -> list[str]:
        """What is pressed for this."""
        if isinstance(intent, intents.TakeReading) and intent.quantity == "starch":
            return ["1" if intent.passed else "2", "enter"]
        if isinstance(intent, intents.TakeReading):
            kind = {"temperature": "temperature", "volume": "volume"}.get(intent.quantity)
            return [*self._shown(intent.value, kind), "enter"]
        if isinstance(intent, intents.AddWater):
            return [*self._shown(intent.litres, "added water"), "enter"]
        if isinstance(intent, intents.TakeRemedy):
            return [*str(intent.option), "enter"]
        if isinstance(intent, intents.LeaveIt):
            offer = self.session.state.offer
            assert offer is not None
            return [*str(next(w.option for w in offer.options if w.way == "leave it")), "enter"]
        if isinstance(intent, intents.TickItem):
            return ["1", "enter"] if intent.value else ["+"]
        if isinstance(intent, intents.Acknowledge):
            return ["enter"]
        assert isinstance(intent, intents.Start | intents.Done), intent
        return ["+"]


@pytest.mark.parametrize("name", sample_names())
def test_a_whole_day_is_run_from_the_keypad_alone(name: str) -> None:
    session = begin(sample_text(name), VirtualClock(), folder=None, rehearsed=True, seed=5)
    rehearsal = Rehearsal(session)
    desk, person = Desk(session, rehearsal), KeypadPerson(session, rehearsal.day)
    seconds = 0.0
    while not desk.leaving and session.t() < LONGEST_HOURS * 3600.0:
        keys = keys_now(desk, person)
        if not keys:
            for _ in rehearsal.wait(person.seconds_to_next() / 60.0, UNSEEN_SLICE_SECONDS):
                desk.heard(())
            continue
        for key in keys:
            assert key in KEYPAD
            desk.key(key, None if key == "enter" else key, seconds)
            seconds += 1.0
            desk.tick(seconds)
            while desk.outbox:
                asked = desk.outbox.popleft()
                assert isinstance(asked, intents.Intent)
                desk.told(asked, session.send(asked))
    assert session.state.phase == "complete" and desk.leaving
    skipped = [record.number for record in session.state.records if record.ended is None]
    assert not skipped and not any(reading.fact.assumed for reading in session.state.readings)


def keys_now(desk: Desk, person: KeypadPerson) -> list[str]:
    """What is pressed at this moment; a sample's temperature and the summary at the end are seen to here."""
    if desk.over:
        return ["enter"]
    if desk.doubt:
        return (
            ["+"]
            if "+ yes" in " ".join(f"{key} {label}" for key, label in desk.shown(desk.view()).hints)
            else ["enter"]
        )
    intent = person.next_intent()
    if isinstance(intent, intents.AnswerUnknown):
        assert desk.view().question == "temperature of the sample"
        return [*person.sample(), "enter"]
    return [] if intent is None else person.keys(intent)
