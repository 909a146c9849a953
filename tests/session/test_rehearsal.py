"""Rehearsals: a pot that follows the facts, also when they are taken back, and is the same for a seed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from days import BARLEY, temperature

from mashday.engine import facts as f
from mashday.engine import intents, landing
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import SystemClock, VirtualClock
from mashday.session.rehearsal import Rehearsal, whole_day
from mashday.session.session import Session, begin, resume
from mashday.session.simulation import truth_of

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)


class Beside:
    """Somebody beside a simulated pot."""

    def __init__(self, folder: Path | None = None, text: str = BARLEY) -> None:
        clock = VirtualClock(MORNING)
        self.session = begin(text, clock, folder=folder, rehearsed=True, seed=1)
        self.rehearsal = Rehearsal(self.session)

    def send(self, *wanted: intents.Intent) -> Beside:
        for intent in wanted:
            outcome = self.session.send(intent)
            assert outcome.entries, outcome
        return self

    def wait(self, minutes: float) -> Beside:
        for _ in self.rehearsal.wait(minutes):
            pass
        return self

    def heated(self) -> Beside:
        """Strike water at its temperature, read."""
        self.send(intents.Start(), intents.Done(sure=True)).wait(45.0)
        return self.send(temperature(round(self.rehearsal.thermometer(), 1)))

    @property
    def celsius(self) -> float:
        return self.rehearsal.day.pot.mash_celsius


def test_the_pot_follows_the_facts() -> None:
    beside = Beside().heated()
    assert beside.celsius == pytest.approx(68.0, abs=1.0)
    beside.send(intents.Done()).wait(8.0)
    pot = beside.rehearsal.day.pot
    assert pot.grain_kg == pytest.approx(5.0) and pot.water_kg == pytest.approx(14.97, abs=0.1)
    assert beside.celsius == pytest.approx(63.0, abs=3.0)


SLIPS: dict[str, Callable[[Beside], Beside]] = {
    "the step was not done yet": lambda b: b.send(intents.Done()).wait(1.0).send(intents.Undo()),
    "water that was not poured": lambda b: b.send(intents.AddWater(2.0, "2 L at tap", 12.0)).send(
        intents.Undo()
    ),
    "water measured wrong": lambda b: b.send(intents.GiveAmount("water", 12.0, "12 L")).send(intents.Undo()),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_what_was_taken_back_did_not_happen_to_the_pot_either(slip: str) -> None:
    ends = []
    for make in (lambda b: b.wait(1.0), SLIPS[slip]):
        beside = make(Beside().heated())
        beside.send(intents.Done()).wait(8.0)
        pot = beside.rehearsal.day.pot
        assert pot.grain_kg == pytest.approx(5.0) and pot.water_kg == pytest.approx(14.97, abs=0.1)
        ends.append(beside.celsius)
    assert ends[0] == pytest.approx(ends[1], abs=0.2)


def test_the_pot_is_still_followed_after_something_was_taken_back() -> None:
    beside = Beside().heated().send(intents.WriteNote("hm"), intents.Undo())
    beside.send(intents.AddWater(1.0, "1 L at tap", 12.0))
    assert beside.rehearsal.day.pot.water_kg == pytest.approx(15.97, abs=0.1)
    assert beside.rehearsal.day.state == beside.session.state


def test_a_rehearsed_day_taken_up_again_has_the_same_pot(tmp_path: Path) -> None:
    beside = Beside(tmp_path).heated()
    beside.send(intents.Done()).wait(8.0)
    beside.send(intents.Done()).wait(6.0)
    beside.send(intents.WriteNote("killed here"))
    was = beside.celsius
    path = beside.session.path
    beside.session.close()
    assert path is not None
    again = Rehearsal(resume(path, VirtualClock(MORNING, elapsed=4000.0)))
    again.day.follow(again.session.t())
    assert again.day.pot.mash_celsius == pytest.approx(was, abs=0.1)
    again.session.close()


def test_waiting_lets_begin_by_itself_what_is_due() -> None:
    text = BARLEY.replace('time = "60 min"', 'time = "10 min"')
    beside = Beside(text=text).heated().send(intents.Done()).wait(8.0)
    beside.send(intents.Done()).wait(6.0)
    beside.send(temperature(63.0))
    found = [entry.fact for outcome in beside.rehearsal.wait(5.0) for entry in outcome.entries]
    assert found == [f.StepEnded(4, "by itself"), f.StepBegun(5, True)]


def test_the_truth_of_a_pot_is_drawn_round_its_schedule_and_kept_by_its_seed() -> None:
    schedule = load(BARLEY)
    truths = {seed: truth_of(schedule, seed) for seed in range(40)}
    assert truths == {seed: truth_of(schedule, seed) for seed in range(40)}
    assert len({truth.pot.loss_w_per_k for truth in truths.values()}) == 40
    vessels = sorted(truth.pot.vessel_kj_per_k for truth in truths.values())
    assert vessels[0] < 4.6 * 0.477 < vessels[-1]  # 18/8 steel (Incropera)
    assert all(0.0 < truth.extract_factor <= 1.03 for truth in truths.values())


def test_a_real_clock_is_never_moved_on() -> None:
    session = begin(BARLEY, SystemClock(), folder=None, rehearsed=True)
    with pytest.raises(TypeError, match="real day"):
        next(Rehearsal(session).wait(1.0))


def spent(session: Session, number: int) -> bool:
    """True if the last offer of this step had no way left but to leave it."""
    offers = [offer for offer in session.state.offers if offer.options[0].step == number]
    return bool(offers) and not any(way.possible for way in offers[-1].options[:-1])


@pytest.mark.parametrize("name", sample_names())
def test_rests_settle_near_their_target_while_there_is_something_to_mend_them_with(name: str) -> None:
    """Within 1.5 C or the band where that is wider, by the pot's own truth."""
    for seed in range(1, 4):
        session = begin(sample_text(name), VirtualClock(MORNING), folder=None, rehearsed=True, seed=seed)
        result = whole_day(session)
        assert result.finished and not result.overflowed
        rests = [r.number for r in session.state.records if session.schedule.step(r.number).kind == "rest"]
        for number, rest in zip(rests, result.rests, strict=True):
            limit = max(1.5, landing.band_kelvin(session.schedule, number))
            near = abs(rest.settled_celsius - rest.target_celsius) <= limit
            assert near or spent(session, number), (seed, rest)
