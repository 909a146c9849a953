"""The readings as CSV: RFC 4180, metric and as typed, and never a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, starch, temperature, volume
from hypothesis import given
from hypothesis import strategies as st

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.report.csv_rows import COLUMNS, readings_csv
from mashday.report.summary import summary
from mashday.schedule.door import load


def written(day: Day) -> str:
    return readings_csv(summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t)))


def rows(day: Day) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(written(day), newline="")))


def at_rest(schedule: str = BARLEY) -> Day:
    return Day(load(schedule)).to_step(4)


def test_there_is_a_header_and_a_row_for_each_reading_with_crlf() -> None:
    day = at_rest().after(minutes=6)
    day.read(62.5)
    told = written(day)
    assert told.splitlines()[0] == ",".join(f'"{name}"' for name in COLUMNS)
    assert told.count("\r\n") == told.count("\n") == 1 + len(day.state.readings)
    assert told.endswith("\r\n")


def test_a_temperature_is_told_in_celsius_and_as_it_was_typed() -> None:
    day = at_rest().after(minutes=6)
    day.send(intents.TakeReading("temperature", 144.5, "F", "144.5 F", 62.5))
    last = rows(day)[-1]
    assert (last["value"], last["unit"], last["typed"]) == ("62.5", "C", "144.5 F")
    assert (last["typed_value"], last["typed_unit"]) == ("144.5", "F")
    assert (last["step"], last["step_title"], last["quantity"]) == ("4", "rest", "temperature")
    # derived: the day began at 10:00 UTC, and all steps before were gone through in no time
    assert (last["clock"], last["minute"]) == ("2026-10-03T10:06:00+00:00", "6.00")


def test_what_was_corrected_or_struck_out_is_there_and_says_so() -> None:
    day = at_rest().after(minutes=6)
    day.read(26.5, sure=True)
    day.send(intents.Correct(day.state.readings[-1].number, 62.5, "C", "62.5", 62.5))
    day.after(minutes=5).send(temperature(61.8))
    day.send(intents.Void(day.state.readings[-1].number))
    corrected, struck = rows(day)[-2:]
    assert (corrected["value"], corrected["corrected_from"], corrected["voided"]) == ("62.5", "26.5", "no")
    assert (struck["value"], struck["corrected_from"], struck["voided"]) == ("61.8", "", "yes")


def test_gravity_volume_and_starch_have_their_units() -> None:
    day = Day(load(BARLEY)).to_step(5)
    day.send(starch(False))
    day.after(minutes=15).send(starch(True))
    day.send(intents.Done())
    day.after(minutes=5).send(gravity(1.074, sample=20.0))
    day.send(volume(19.5))
    told = {row["quantity"]: row for row in rows(day)}
    assert (told["starch"]["value"], told["starch"]["unit"]) == ("gone", "")
    assert (told["gravity"]["unit"], told["gravity"]["sample_celsius"]) == ("SG", "20")
    # derived: read at the temperature the scale is true at, a gravity is as read
    assert float(told["gravity"]["value"]) == pytest.approx(1.074, abs=1e-5)
    assert told["gravity"]["trust"] == "kept"
    assert (told["volume"]["value"], told["volume"]["unit"]) == ("19.5", "L")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\uff1d", "\ufe62", "\uff0d", "\uff20"])
def test_no_text_is_a_formula(start: str) -> None:
    day = at_rest()
    fact = f.ReadingTaken(
        4, "temperature", "mash", 62.0, "C", f"{start}1+1", celsius=62.0, place=f"{start}A1"
    )
    day.write((fact,))
    last = rows(day)[-1]
    assert last["typed"].startswith("'") and last["place"].startswith("'")


def test_a_temperature_below_nought_stays_a_number() -> None:
    day = at_rest()
    day.write((f.ReadingTaken(4, "temperature", "mash", -2.0, "C", "-2", celsius=-2.0),))
    assert (rows(day)[-1]["value"], rows(day)[-1]["typed"]) == ("-2", "'-2")


def test_a_day_without_readings_has_its_header() -> None:
    assert written(Day(load(BARLEY))).count("\r\n") == 1


IN_A_CELL: tuple[Callable[[str], f.ReadingTaken], ...] = (
    lambda text: f.ReadingTaken(4, "temperature", "mash", 62.0, "C", text, celsius=62.0),
    lambda text: f.ReadingTaken(4, "temperature", "mash", 62.0, text, "62", celsius=62.0),
    lambda text: f.ReadingTaken(4, "temperature", "mash", 62.0, "C", "62", celsius=62.0, place=text),
    lambda text: f.ReadingTaken(4, "temperature", "mash", 62.0, "C", "62", celsius=62.0, trust=text),
)
TEXTS = st.text(max_size=20) | st.sampled_from(
    ("=1+1", "\t=x", "\r=x", ' "=x"', 'a","b', "a\r\nb", "@SUM(A1)", "\u200b=x", "\ud800", "-")
)


@given(TEXTS, st.sampled_from(IN_A_CELL))
def test_any_text_keeps_to_its_cell_and_begins_no_formula(
    text: str, fact: Callable[[str], f.ReadingTaken]
) -> None:
    day = Day(load(BARLEY))
    day.write((fact(text),))
    found = list(csv.reader(io.StringIO(written(day), newline=""), strict=True))
    assert [len(row) for row in found] == [len(COLUMNS)] * 2
    assert not [cell for cell in found[1] if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
