"""The fold: prefixes, the codec, running time through any holds, which reading an offer belongs to."""

from __future__ import annotations

from datetime import timedelta
from itertools import accumulate

import pytest
from days import BEGAN, Day
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.fold import evolve, replay
from mashday.engine.state import State
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import CODEC, begin


def test_every_prefix_of_a_whole_day_replays_to_what_was_shown_then() -> None:
    session = begin(sample_text("towpath-stepped"), VirtualClock(BEGAN), folder=None, rehearsed=True, seed=2)
    shown: list[State] = []
    session.listeners.append(lambda entry: shown.append(session.state))
    whole_day(session)
    log = session.state.log
    live = State()
    for number, entry in enumerate(log, 1):
        live = evolve(live, entry)
        assert replay(log[:number]) == live
    assert live == session.state
    assert shown[-1] == session.state and {state.log == log[: state.seq] for state in shown} == {True}


def test_a_whole_day_written_and_read_again_folds_to_the_same_state() -> None:
    session = begin(sample_text("sluice-maize"), VirtualClock(BEGAN), folder=None, rehearsed=True, seed=4)
    whole_day(session)
    tables = [CODEC.encode(e.seq, e.act, e.t, e.at, e.fact) for e in session.state.log]
    again = [CODEC.decode(table) for table in tables]
    assert replay(f.Entry(d.seq, d.act, d.t, d.at, d.fact) for d in again) == session.state


@given(pauses=st.lists(st.tuples(st.floats(0.0, 3600.0), st.floats(0.0, 7200.0)), max_size=6))
@settings(max_examples=60, deadline=None)
def test_running_time_is_what_passed_outside_the_holds(pauses: list[tuple[float, float]]) -> None:
    state, t, found = State(), 0.0, []
    for run, held in pauses:
        for fact, seconds in ((f.Held(), run), (f.Resumed(), held)):
            t += seconds
            found.append((t, fact))
    for seq, (moment, fact) in enumerate(found, 1):
        entry = f.Entry(seq, seq, moment, BEGAN + timedelta(seconds=moment), fact)
        state = evolve(state, entry)
    assert state.running(t + 10.0) == pytest.approx(10.0 + sum(run for run, _ in pauses), abs=1e-6)
    moments = accumulate((run + held for run, held in pauses), initial=0.0)
    assert t == pytest.approx(list(moments)[-1], abs=1e-6)


def test_running_time_stands_still_while_held(resting: Day) -> None:
    resting.after(minutes=7).send(intents.Hold())
    stood = resting.state.running(resting.t)
    assert resting.state.running(resting.t + 9999.0) == stood


def test_an_offer_belongs_to_the_reading_that_counts_not_to_one_struck_after_it(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    number = resting.state.readings[-1].number
    resting.after(minutes=2).read(60.0, sure=True)
    resting.send(intents.Undo())
    resting.send(intents.Correct(number, 60.5, "C", "60.5", 60.5))
    assert resting.state.offer is not None and resting.state.offer.reading == number
    resting.send(intents.Correct(number, 62.9, "C", "62.9", 62.9))
    assert resting.state.offer is None


def test_a_voided_reading_takes_its_offer_along(resting: Day) -> None:
    resting.after(minutes=6).read(60.5)
    resting.send(intents.Void(resting.state.readings[-1].number))
    assert resting.state.offer is None and resting.state.offers[0].stale


def test_a_correction_offers_for_the_corrected_value(resting: Day) -> None:
    resting.after(minutes=6).read(60.5)
    number = resting.state.readings[-1].number
    resting.send(intents.Correct(number, 61.2, "C", "61.2", 61.2))
    old, new = resting.state.offers
    assert old.stale and new.is_open
    assert {way.read_celsius for way in new.options} == {61.2}


def test_a_correction_of_an_earlier_reading_makes_no_offer(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    number = resting.state.readings[-1].number
    resting.after(minutes=5).read(62.6)
    assert len(resting.send(intents.Correct(number, 60.0, "C", "60", 60.0))) == 1


def test_a_remedy_already_taken_stays_when_its_reading_is_corrected(resting: Day) -> None:
    resting.after(minutes=6).read(60.5)
    number = resting.state.readings[-1].number
    resting.send(intents.TakeRemedy(1))
    resting.send(intents.AddWater(1.2, "1.2 L"))
    resting.send(intents.Correct(number, 62.5, "C", "62.5", 62.5))
    assert [offer.taken for offer in resting.state.offers] == [1]
    assert resting.state.additions[-1].fact.litres == 1.2


def test_what_was_typed_stays_readable_through_a_chain_of_corrections(resting: Day) -> None:
    resting.after(minutes=6).read(62.1)
    number = resting.state.readings[-1].number
    for celsius in (62.3, 62.5, 62.6):
        resting.send(intents.Correct(number, celsius, "C", f"{celsius}", celsius))
    reading = resting.state.valid("temperature", 4)[-1]
    assert (reading.number, reading.metric) == (number, 62.6)
    assert reading.typed == ("62.1", "62.3", "62.5", "62.6")
    resting.send(intents.Undo())
    assert resting.state.valid("temperature", 4)[-1].typed == ("62.1", "62.3", "62.5")
