"""Past days side by side: the figures, the width of the text, the cells of the CSV."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, volume

from mashday.engine import intents
from mashday.report.past_days import COLUMNS, PastDay, RestRead, days_csv, days_values, days_words, past_day
from mashday.report.summary import summary
from mashday.schedule.door import load


def told(day: Day) -> PastDay:
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))
    return past_day("2026-10-03-lock-seven-barley-wash", made)


@pytest.fixture
def lived() -> PastDay:
    """A mash that landed at 61.5 C for 63 C, left so, was read at 62 C twenty minutes on; 20 L at 1.060."""
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(61.5, sure=True)
    day.after(minutes=20).read(62.0, sure=True)
    day.to_step(8)
    day.send(replace(gravity(1.060, 20.0), sure=True))
    day.send(replace(volume(20.0), sure=True))
    day.after(minutes=34).send(intents.Finish(sure=True))
    day.after(minutes=9999).send(gravity(0.998, 20.0))
    return told(day)


def test_the_figures_of_a_day_are_told(lived: PastDay) -> None:
    assert lived.strike_miss_kelvin == pytest.approx(-1.5)
    assert lived.rest is not None
    assert lived.rest.mean_celsius == pytest.approx(61.75)
    assert lived.rest.spread_kelvin == pytest.approx(0.5)
    assert lived.wash_litres == 20.0 and lived.ending == "early"
    assert lived.hours == pytest.approx(1.0)
    assert lived.abv_percent == pytest.approx(8.19, abs=0.02)
    """20 L 1.060 -> 0.998 is 8.19 % vol (Balling and OIML R 22, derived)."""


def test_the_text_is_at_most_80_columns_in_either_units(lived: PastDay) -> None:
    wide = replace(lived, schedule="barley and rye " * 9, pot="a pot of many words " * 5, hours=123.4)
    for units, shown in (
        ("metric", "-1.5 C 61.8 C 63.0 C 0.5 C"),
        ("us", "-2.7 F 143.1 F 145.4 F 0.9 F"),
    ):
        text = days_words([lived, wide], units)  # type: ignore[arg-type]
        assert shown in " ".join(text.split()) and "8.2 % vol" in text
        assert max(len(line) for line in text.splitlines()) <= 80


def test_what_is_not_known_is_a_dash_and_no_number() -> None:
    day = Day(load(BARLEY))
    day.send(intents.Finish(sure=True))
    bare = told(day)
    assert bare.strike_miss_kelvin is None and bare.rest is None
    text = days_words([bare], "metric")
    assert text.count(" -") == 9 and "None" not in text
    assert days_values([bare])[0]["rests"] == []
    assert days_words([], "metric") == "No past day fits.\n"


def test_a_mash_that_landed_warm_has_a_plus(lived: PastDay) -> None:
    assert "+1.5 C" in days_words([replace(lived, strike_miss_kelvin=1.5)], "metric")
    assert " 0.0 C" in days_words([replace(lived, strike_miss_kelvin=0.01)], "metric")


def test_the_longest_of_several_rests_is_told(lived: PastDay) -> None:
    rests = (RestRead(4, 52.0, 51.0, 0.2, 15.0), RestRead(6, 63.0, 62.5, 0.4, 60.0))
    assert replace(lived, rests=rests).rest == rests[1]


def test_the_csv_has_a_row_a_day_and_no_text_a_spreadsheet_runs(lived: PastDay) -> None:
    """RFC 4180: CRLF, every row of one length."""
    names = ("=1+1", "+1", "-1", "@x", "\tx", "＝1")
    days = [replace(lived, schedule=name, pot=name) for name in names]
    written = days_csv(days)
    assert written.count("\r\n") == len(days) + 1
    rows = list(csv.DictReader(io.StringIO(written, newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert all(row["schedule"][0] not in "=+-@\t" for row in rows)
    assert rows[0]["strike_miss_kelvin"] == "-1.5" and rows[0]["final_gravity"] == "0.998"


def test_the_values_are_metric(lived: PastDay) -> None:
    (made,) = days_values([lived])
    assert made["rests"][0] == {
        "step": 4, "target_celsius": 63.0, "mean_celsius": 61.75, "spread_kelvin": 0.5, "minutes": 26.0,
    }  # fmt: skip
    assert made["session"] == "2026-10-03-lock-seven-barley-wash" and made["hours"] == 1.0


def test_more_than_the_grain_holds_is_a_word_in_the_text_and_elsewhere(lived: PastDay) -> None:
    over = replace(lived, conversion=None, is_over=True)
    text = days_words([over], "metric")
    assert " over " in text and "over: more than the grain holds" in text
    assert max(len(line) for line in text.splitlines()) <= 80
    (made, usual, unread) = days_values([over, replace(lived, conversion=0.9), lived])
    assert (made["conversion"], made["conversion_over"]) == (None, True)
    assert usual["conversion_over"] is False and unread["conversion_over"] is None
    (row,) = csv.DictReader(io.StringIO(days_csv([over]), newline=""))
    assert row["conversion"] == "over"
    assert "over:" not in days_words([lived], "metric")
