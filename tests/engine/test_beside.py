"""Water heated beside the mash, as for the sparge: it is read, and the mash has nothing to do with it."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, starch

from mashday.engine import asks, by_probe, calls, conversion, intents, landing, pace, starch_left
from mashday.engine import facts as f
from mashday.schedule.door import load

WATER = '[[step]]\nkind = "heat"\nwater = "5 L"\ntarget = "78 C"\n'
BESIDE = BARLEY.replace('[[step]]\nkind = "starch-check"', WATER + '[[step]]\nkind = "starch-check"')
AFTER_A_COOK = BARLEY.replace(
    '[[step]]\nkind = "heat"\nwater = "15 L"\n',
    '[[step]]\nkind = "cook"\ntarget = "95 C"\ntime = "30 min"\nwater = "15 L"\ngrain = ["maize"]\n'
    '[[step]]\nkind = "cool"\nby = "standing"\n' + WATER,
).replace("[[grain]]", '[[grain]]\nname = "maize"\nkind = "raw maize"\nmass = "1 kg"\n[[grain]]', 1)


def heating_beside() -> Day:
    """A mash that rested for an hour, and water on the way to 78 C beside it."""
    day = Day(load(BESIDE)).to_step(4).after(minutes=6)
    day.read(62.8)
    for _ in range(2):
        day.after(minutes=20).read(62.4)
    day.after(minutes=15).send(intents.Done(sure=True))
    assert day.schedule.step(day.state.step).kind == "heat"
    return day


def probe(celsius: float) -> intents.TakeReading:
    return intents.TakeReading("temperature", celsius, "C", f"{celsius} C", celsius, source=f.PROBE)


def test_its_temperature_is_asked_for_and_kept_as_that_of_water() -> None:
    day = heating_beside()
    ask = asks.question(day.schedule, day.state, day.t)
    assert ask is not None and ask.subject == "water"
    day.after(minutes=20).read(78.1)
    assert day.state.readings[-1].fact.subject == "water"
    day.send(intents.Undo())
    day.send(intents.AnswerUnknown())
    assert day.state.readings[-1].fact.subject == "water"


@pytest.mark.parametrize("said", ["water", "mash"])  # days of older versions called it a mash
def test_what_it_reads_is_no_history_of_the_mash(said: str) -> None:
    day = heating_beside()
    day.after(minutes=20)
    expected = landing.expected_celsius(day.schedule, day.state, day.t)
    beta = conversion.by_now(day.schedule, day.state, day.t).beta
    day.read(78.1)
    read = day.state.readings[-1].fact
    day.send(intents.Undo())
    assert isinstance(read, f.ReadingTaken)
    day.write((f.ReadingTaken(read.step, "temperature", said, 78.1, "C", "78.1", celsius=78.1),))  # type: ignore[arg-type]
    day.after(minutes=5)
    # at 62 C a mash loses well under half a kelvin in five minutes (Newton's law, engine.landing)
    assert landing.expected_celsius(day.schedule, day.state, day.t) == pytest.approx(expected, abs=0.5)
    # beta-amylase halves in some 16 min at 63 C, in seconds at 78 C (science.starch)
    assert conversion.by_now(day.schedule, day.state, day.t).beta > 0.5 * beta
    day.to_step(6).send(starch(False))
    causes = [one.cause for one in starch_left.advice(day.schedule, day.state, day.t)]
    assert "too hot" not in causes and "no enzyme" not in causes


def test_water_that_came_too_hot_is_no_mash_to_be_cooled() -> None:
    day = heating_beside()
    found = day.after(minutes=20).read(85.0)
    assert not any(isinstance(fact, f.RemedyOffered) for fact in found)


def test_its_water_says_nothing_of_the_dough_in_after_it() -> None:
    day = Day(load(AFTER_A_COOK))
    number = next(n for n, step in enumerate(day.schedule.steps, 1) if step.kind == "dough-in")
    day.to_step(number - 3).read(95.0)
    day.after(minutes=31).read(94.5)
    day.send(intents.Done(sure=True))
    day.after(minutes=60).read(72.0)
    lands = landing.dough_in_lands_at(day.schedule, day.state, number)
    assert lands is not None
    day.send(intents.Done(sure=True))
    day.after(minutes=10).read(78.0)
    assert landing.dough_in_lands_at(day.schedule, day.state, number) == lands


def test_a_probe_in_the_mash_does_not_answer_for_it_until_one_value_was_taken_by_hand() -> None:
    day = heating_beside()
    assert not by_probe.takes_itself(day.schedule, day.state)
    day.after(minutes=20).send(probe(77.0))
    assert by_probe.takes_itself(day.schedule, day.state)


def test_a_probe_in_the_mash_calls_no_heat_off_for_it() -> None:
    day = heating_beside().after(minutes=60)
    assert not by_probe.moves(day.schedule, day.state)
    live = by_probe.Live(78.0, steady=False, rising_per_minute=1.0)
    news = by_probe.news(day.schedule, day.state, day.t, live)
    assert news is not None and (news.why, news.needs_steady) == ("asked", True)
    day.send(probe(78.0))
    kinds = [call.kind for call in calls.calls(day.schedule, day.state, day.t)]
    assert "near" not in kinds and "there" not in kinds


def test_what_a_probe_saw_of_it_teaches_nothing_of_the_pots_heater() -> None:
    day = heating_beside()
    before = pace.coast_kelvin(day.schedule, day.state, 2)
    day.after(minutes=20).send(probe(70.0))
    day.after(minutes=2).send(probe(78.0))
    day.send(intents.Done(sure=True))
    assert pace.coast_kelvin(day.schedule, day.state, 2) == before
