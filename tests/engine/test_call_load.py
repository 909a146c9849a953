"""How often a day will call: counted from its plan, and said by check where it is too much."""

from __future__ import annotations

import pytest
from days import BARLEY

from mashday.engine.call_load import PlannedCall, busiest_hour, planned_calls, steady_per_hour
from mashday.report.feasibility import findings
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import sample_names, sample_text

SHORT = '[[step]]\nkind = "rest"\ntarget = "63 C"\ntime = "6 min"\n'


def reading_every(minutes: str) -> Schedule:
    return load(BARLEY.replace('read_every = "20 min"', f'read_every = "{minutes} min"'))


def said(schedule: Schedule) -> list[str]:
    return [
        problem.found
        for problem in findings(schedule)
        if "calls" in problem.found or "readings an" in problem.found
    ]


@pytest.mark.parametrize("name", sample_names())
def test_no_sample_calls_too_often(name: str) -> None:
    assert said(load(sample_text(name))) == []


@pytest.mark.parametrize(("minutes", "rate"), [("5", "12"), ("9", "7"), ("1", "60"), ("0.1", "600")])
def test_readings_closer_than_ten_minutes_are_said(minutes: str, rate: str) -> None:
    (found,) = said(reading_every(minutes))
    assert found.startswith(f"{rate} readings an hour")  # EEMUA 191: one call in ten minutes is manageable


@pytest.mark.parametrize("minutes", ["10", "15", "30"])
def test_a_reading_every_ten_minutes_or_more_is_nothing_to_say(minutes: str) -> None:
    assert said(reading_every(minutes)) == []


def test_many_short_rests_in_a_row_are_said() -> None:
    chain = BARLEY.replace('[[step]]\nkind = "starch-check"', SHORT * 8 + '[[step]]\nkind = "starch-check"')
    (found,) = said(load(chain))
    assert "calls in the hour from here on" in found


def test_the_busiest_hour_is_found_wherever_it_lies() -> None:
    calls = tuple(
        PlannedCall(float(minute), step) for step, minute in enumerate((0, 100, 110, 159, 160, 300), 1)
    )
    assert busiest_hour(calls) == (3, 2)
    assert busiest_hour(()) == (0, 0)


def test_the_calls_of_a_rest_are_its_readings_and_its_end() -> None:
    schedule = reading_every("15")
    rest = [call.minute for call in planned_calls(schedule) if call.step == 4]
    starts = next(call.minute for call in planned_calls(schedule) if call.step == 4) - 5.0
    assert [minute - starts for minute in rest] == [5.0, 20.0, 35.0, 50.0, 60.0]


def test_a_rest_without_a_word_on_reading_is_left_to_its_drift() -> None:
    assert steady_per_hour(load(BARLEY.replace('read_every = "20 min"', "")), 4) is None
