"""What is written and read once a day is over: its closing lines, and the wash when it has fermented."""

from __future__ import annotations

from dataclasses import replace

import pytest
from days import BARLEY, Day, gravity, starch, temperature, volume

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.afterwards import last_read, wash_gravity, wash_litres
from mashday.engine.sound import believed
from mashday.schedule.door import load


@pytest.fixture
def over() -> Day:
    """A day that ended with 20 L of wash at 1.060, three days ago."""
    day = Day(load(BARLEY)).to_step(8)
    day.send(gravity(1.060, 20.0))
    day.send(volume(20.0))
    day.send(intents.Finish(sure=True))
    return day.after(minutes=3 * 24 * 60)


def test_the_last_closing_line_of_each_kind_counts(over: Day) -> None:
    over.send(intents.WriteClosingLine("wrong", "it landed  low\x1b"))
    over.send(intents.WriteClosingLine("wrong", "it landed 2 C low"))
    assert over.state.closing_line("wrong") == "it landed 2 C low"
    assert over.state.closing_line("change") == ""
    assert over.state.closing[0].text == "it landed low"


def test_a_closing_line_waits_for_the_end_of_the_day(day: Day) -> None:
    day.to_step(4)
    assert "not over" in day.refused(intents.WriteClosingLine("change", "heat higher"))
    day.send(intents.Abort(sure=True))
    day.send(intents.WriteClosingLine("change", "heat higher"))
    assert "Nothing was written" in day.refused(intents.WriteClosingLine("change", " \u200b"))


def test_an_end_gravity_is_the_wash_s_and_leaves_the_readings_of_the_pot_alone(over: Day) -> None:
    of_the_pot = over.state.readings
    over.send(gravity(0.998, 20.0))
    over.send(volume(19.5))
    over.send(temperature(21.0))
    assert over.state.readings == of_the_pot
    assert [reading.fact.subject for reading in over.state.later] == ["wash"] * 3
    assert last_read(over.state, "gravity") == pytest.approx(0.998, abs=1e-4)
    assert last_read(over.state, "volume") == 19.5
    assert wash_gravity(over.state) == pytest.approx(1.060, abs=1e-4)
    assert wash_litres(over.state) == 20.0


def test_a_later_reading_is_believed_when_it_is_read_back(over: Day) -> None:
    over.send(gravity(0.998, 20.0))
    over.send(intents.WriteClosingLine("change", "heat higher"))
    assert believed(over.schedule, over.state.log) == (over.state, None)


def test_an_end_gravity_above_that_of_the_wash_cannot_be(over: Day) -> None:
    why = over.refused(replace(gravity(1.063, 20.0), sure=True))
    assert why.startswith("1.0630 cannot be: this wash began at 1.0600") and why.endswith(".")


def test_a_wash_that_has_not_begun_to_ferment_may_read_a_little_higher(over: Day) -> None:
    """Within the errors of two readings (`RISE`)."""
    why = over.doubted(gravity(1.061, 20.0))
    assert why == "1.0610? It began at 1.0600: then nothing of it has fermented yet."
    (fact,) = over.send(replace(gravity(1.061, 20.0), sure=True))
    assert isinstance(fact, f.ReadingTaken) and fact.kept
    assert believed(over.schedule, over.state.log) == (over.state, None)


def test_a_thermometer_with_an_offset_is_told_by_what_was_typed_too() -> None:
    text = BARLEY.replace("[place]", '[thermometer]\noffset = "-0.2 C"\n[place]', 1)
    day = Day(load(text)).to_step(8)
    day.send(intents.Finish(sure=True))
    assert day.doubted(temperature(70.0)).startswith("70.0 C, which is ")
    assert "70.0 C?" in day.doubted(replace(temperature(70.0), source="probe"))


def test_an_end_gravity_below_the_lowest_possible_cannot_be(over: Day) -> None:
    """1.060 fermented out stands at 0.9869 (Balling, OIML R 22; derived in the gravity tables)."""
    why = over.refused(replace(gravity(0.9860, 20.0), sure=True))
    assert "would stand at 0.9869" in why
    over.send(replace(gravity(0.9872, 20.0), sure=True))


@pytest.mark.parametrize(
    ("value", "doubt"),
    [(1.040, "less than half"), (0.9875, "next to nothing")],
)
def test_an_unlikely_end_gravity_is_asked_about_and_kept_when_sure(
    over: Day, value: float, doubt: str
) -> None:
    assert doubt in over.doubted(gravity(value, 20.0))
    (fact,) = over.send(replace(gravity(value, 20.0), sure=True))
    assert isinstance(fact, f.ReadingTaken) and fact.kept


def test_a_gravity_that_rises_again_is_asked_about(over: Day) -> None:
    over.send(gravity(0.998, 20.0))
    over.send(gravity(1.0, 20.0))
    assert "does not rise again" in over.doubted(gravity(1.004, 20.0))


def test_another_volume_than_was_pitched_and_a_hot_wash_are_asked_about(over: Day) -> None:
    assert "20.0 L went into the fermenter" in over.doubted(volume(9.0))
    assert "not that warm or cold" in over.doubted(temperature(63.0))
    assert "cannot be" in over.refused(temperature(130.0))


def test_what_is_no_reading_of_a_wash_is_refused(over: Day) -> None:
    assert "a gravity, a volume" in over.refused(starch(True))
    in_brix = intents.TakeReading("gravity", 5.0, "Bx", "5 Bx", 1.02)
    assert "Use the hydrometer" in over.refused(in_brix)
    assert "cannot be" in over.refused(gravity(1.5))
    assert "hydrometer can crack" in over.refused(gravity(1.0, 80.0))


def test_a_day_that_never_began_has_no_wash(day: Day) -> None:
    day.send(intents.Finish(sure=True))
    assert "never began" in day.refused(gravity(0.998, 20.0))
    log = (*day.state.log, f.Entry(2, 2, day.t, day.state.log[0].at, f.ReadingTaken(
        0, "gravity", "wash", 0.998, "SG", "0.998", gravity=0.998)))  # fmt: skip
    assert believed(day.schedule, log)[1] is not None


def test_without_a_gravity_of_the_wash_any_likely_end_gravity_is_taken(day: Day) -> None:
    day.to_step(8).send(intents.Finish(sure=True))
    day.send(gravity(0.998, 20.0))
    assert wash_gravity(day.state) is None and last_read(day.state, "gravity") is not None
