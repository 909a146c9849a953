"""Entries of another hand: what cannot follow is not folded in, and what `decide` makes always can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, temperature, volume

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.fold import replay
from mashday.engine.sound import RANGES, believed
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

SCHEDULE = load(BARLEY)
Log = tuple[f.Entry, ...]


def lived() -> Log:
    """A day with most that can happen in it: a list, readings, a remedy, water, a hold, things taken back."""
    day = Day(SCHEDULE)
    day.write((f.Opened("0", "boot", 0.0),))
    day.send(intents.Start())
    day.after(minutes=1).send(intents.TickItem())
    day.send(intents.Undo())
    day.send(intents.GiveAmount("grain", 4.8, "4.8 kg"))
    day.to_step(4).after(minutes=6)
    day.read(61.0)
    day.send(intents.Hold())
    day.after(minutes=1).read(61.2, sure=True)
    day.send(intents.Resume())
    day.send(intents.TakeRemedy(1))
    day.after(minutes=2).send(intents.AddWater(0.5, "0.5 L"))
    day.after(minutes=4).send(
        intents.Correct(day.state.readings[-1].number, 62.0, "C", "62", 62.0, sure=True)
    )
    day.send(intents.Void(day.state.readings[-1].number))
    day.send(intents.Undo())
    day.after(minutes=60).send(intents.WriteNote("lid left off"))
    return day.state.log


LOG = lived()


def told(fact: f.Fact, log: Log = LOG) -> tuple[int, str | None]:
    """How many entries are believed with this one written behind them, and why the next is not."""
    last = log[-1]
    entry = f.Entry(last.seq + 1, last.seq + 1, last.t, last.at, fact)
    state, why = believed(SCHEDULE, (*log, entry))
    return len(state.log), why


def test_a_day_that_was_lived_is_believed_whole_and_folds_to_what_it_was() -> None:
    state, why = believed(SCHEDULE, LOG)
    assert why is None
    assert state == replay(LOG)
    assert len({type(entry.fact) for entry in LOG}) >= 14


@pytest.mark.parametrize("name", sample_names())
def test_a_rehearsed_day_of_each_sample_is_believed(name: str) -> None:
    session = begin(sample_text(name), VirtualClock(), folder=None, rehearsed=True, seed=5)
    whole_day(session)
    assert believed(session.schedule, session.state.log) == (session.state, None)


def test_every_number_of_a_fact_has_its_range() -> None:
    for kind in f.KINDS.values():
        for field in fields(kind):
            if "float" in str(field.type):
                assert field.name in RANGES, f"{kind.__name__}.{field.name}"


READING = f.ReadingTaken(4, "temperature", "mash", 63.0, "C", "63", celsius=63.0)
OFFER = next(entry.fact for entry in LOG if isinstance(entry.fact, f.RemedyOffered))


@pytest.mark.parametrize(
    "fact",
    [
        f.StepBegun(99),
        f.StepBegun(4),
        f.StepEnded(3, "done"),
        f.StepEnded(0, "done"),
        f.ClockStarted(7),
        f.StepExtended(9, 5.0),
        f.ItemTicked(4, 1),
        f.ItemTicked(1, 3),
        f.ItemTicked(1, -1),
        f.Resumed(),
        f.DayStarted(),
        f.DayStarted(99),
        replace(READING, step=99),
        replace(READING, step=-3),
        replace(READING, celsius=None),
        replace(READING, quantity="gravity"),
        f.ReadingCorrected(1, 63.0, "C", "63", celsius=63.0),
        f.ReadingVoided(10**9),
        f.SampleTemperatureGiven(1, 20.0, 1.05, "kept", "20"),
        f.WaterAdded(4, 1.0, 1.0, 95.0, "1 L", offer=3),
        f.WaterAdded(61, 1.0, 1.0, 95.0, "1 L"),
        f.AmountGiven(3, "grain", 5.0, "5 kg", "nobody's grain"),
        f.AmountGiven(3, "grain", -5.0, "-5 kg"),
        f.RemedyTaken(999, 1),
        f.RemedyLeft(999),
        replace(OFFER, option=3),
        f.NoteWritten(99, "x"),
        f.PotKnown("pot", 1, thicknesses=(3.0,)),
        f.Undone((999,), "reading"),
        f.Undone((1,), "the opening"),
        f.Undone((0,), "nothing"),
    ],
    ids=str,
)
def test_what_does_not_follow_is_not_believed(fact: f.Fact) -> None:
    assert told(fact) == (len(LOG), "does not follow from those before it")


@pytest.mark.parametrize(
    ("fact", "said"),
    [
        (replace(READING, celsius=1e300), "celsius = 1e+300"),
        (replace(READING, celsius=-273.15), "celsius = -273.15"),
        (replace(READING, spots=(63.0, 1e16)), "spots = 1e+16"),
        (f.WaterAdded(4, 1e9, 1.0, 95.0, "x"), "litres = 1e+09"),
        (f.WaterAdded(4, 1.0, -1.0, 95.0, "x"), "kilograms = -1"),
        (f.StepExtended(4, 1e300), "minutes = 1e+300"),
        (f.CallAnswered("ask", "x", -1e16), "late_seconds = -1e+16"),
        (f.PotKnown("pot", 1, loss_w_per_k=0.0), "loss_w_per_k = 0"),
    ],
    ids=str,
)
def test_a_number_that_cannot_be_is_not_believed(fact: f.Fact, said: str) -> None:
    assert told(fact) == (len(LOG), f"says {said}, which cannot be")


def at_place(log: Log, place: int, **changes: object) -> Log:
    """The log with this entry changed."""
    return (*log[:place], replace(log[place], **changes), *log[place + 1 :])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        (lambda log: at_place(log, 9, seq=9), "has another number than the next one"),
        (lambda log: at_place(log, 9, act=1), "has another number than the next one"),
        (lambda log: (*log[:9], *log[10:]), "has another number than the next one"),
        (lambda log: at_place(log, 9, t=0.0), "has a time that cannot be"),
        (lambda log: at_place(log, 9, t=1e12), "has a time that cannot be"),
        (lambda log: at_place(log, 9, t=float("nan")), "has a time that cannot be"),
        (lambda log: at_place(log, 9, at=datetime(9999, 12, 31, tzinfo=UTC)), "has a time that cannot be"),
        (lambda log: at_place(log, 9, at=datetime(1, 1, 1, tzinfo=UTC)), "has a time that cannot be"),
    ],
)
def test_an_entry_out_of_its_place_ends_what_is_believed(changed: Callable[[Log], Log], why: str) -> None:
    state, found = believed(SCHEDULE, changed(LOG))
    assert (len(state.log), found) == (9, why)
    assert state == replay(LOG[:9])


def test_a_day_cut_between_two_steps_is_believed_up_to_the_step_before() -> None:
    place = next(i for i, entry in enumerate(LOG) if isinstance(entry.fact, f.StepEnded))
    state, why = believed(SCHEDULE, LOG[: place + 1])
    assert (len(state.log), why) == (place, "ends between two steps")
    assert state.current is not None


def test_what_is_taken_back_by_an_entry_that_is_not_believed_counts_again() -> None:
    day = Day(SCHEDULE).to_step(4).after(minutes=6)
    day.read(63.0)
    number = day.state.readings[-1].number
    both = (f.Undone((number,), "reading"), f.Undone((number,), "reading"))
    first, second = (day.state.seq + 1, day.state.seq + 2)
    log = (
        *day.state.log,
        *(f.Entry(n, n, day.t, BEGAN, one) for n, one in zip((first, second), both, strict=True)),
    )
    state, why = believed(SCHEDULE, log)
    assert (state.seq, why) == (first, "does not follow from those before it")
    assert state.readings[-1].voided
    state, _ = believed(SCHEDULE, (*day.state.log, replace(log[-2], t=0.0)))
    assert not state.readings[-1].voided


def test_entries_that_add_up_to_no_day_leave_none() -> None:
    entries = tuple(
        f.Entry(n, n, 0.0, BEGAN + timedelta(seconds=n), f.Undone((n,), "itself")) for n in range(1, 60)
    )
    state, why = believed(SCHEDULE, entries)
    assert state.log == () and why == "does not follow from those before it"


def test_readings_of_every_kind_are_believed() -> None:
    day = Day(SCHEDULE).to_step(6)
    for intent in (gravity(1.06, 24.0), volume(18.0), temperature(60.0)):
        day.send(replace(intent, sure=True))
    assert believed(SCHEDULE, day.state.log) == (day.state, None)


def test_a_day_of_a_clock_that_was_never_set_and_of_one_gram_in_a_tub_is_believed() -> None:
    never_set = datetime(1969, 12, 31, 19, 0, tzinfo=UTC)
    log = tuple(replace(entry, at=never_set) for entry in LOG)
    assert believed(SCHEDULE, log)[1] is None
    away = f.Opened("0", "boot", 1e6, away_seconds=-1.8e9, how="ask")
    assert told(away)[1] is None
    # WaterAdded of a tub into a mash of a gram: reckoned figures are as large as they come out (derived)
    assert told(replace(OFFER, offer=LOG[-1].seq + 1, option=1, step=4, thickness=1e6))[1] is None
