"""Attenuation and alcohol of a wash that has fermented, with how far to trust them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, volume

from mashday.engine import intents
from mashday.report.end_of_wash import EndOfWash, end_of_wash, end_values, end_words
from mashday.report.summary import summary
from mashday.report.words import summary_words
from mashday.schedule.door import load


def ended(*later: intents.Intent, pitched: float | None = 20.0, original: float | None = 1.060) -> EndOfWash:
    day = Day(load(BARLEY)).to_step(8)
    if original is not None:
        day.send(replace(gravity(original, 20.0), sure=True))
    if pitched is not None:
        day.send(replace(volume(pitched), sure=True))
    day.send(intents.Finish(sure=True))
    for intent in later:
        day.send(intent)
    return end_of_wash(day.schedule, day.state)


def test_twenty_litres_of_1060_ended_at_0998() -> None:
    """20 L 1.060 -> 0.998: 8.19 % vol, 85.0 % real, 1.628 L pure (Balling and OIML R 22, derived)."""
    end = ended(gravity(0.998, 20.0))
    assert end.abv_percent == pytest.approx(8.19, abs=0.02)
    assert end.real == pytest.approx(0.850, abs=0.002)
    assert end.apparent == pytest.approx(1.035, abs=0.002)
    assert end.pure_litres == pytest.approx(1.628, abs=0.005)


def test_the_error_joins_that_of_the_method_and_of_both_readings() -> None:
    """0.15 by the method, 0.19 by a thousandth on each gravity at 132 % vol a unit (derived)."""
    end = ended(gravity(0.998, 20.0))
    assert end.abv_error == pytest.approx(0.24, abs=0.01)
    assert end.pure_error == pytest.approx(1.628 * 0.042, abs=0.003)
    warm = ended(gravity(0.998, 35.0))
    assert warm.abv_error is not None and warm.abv_error > 0.24


def test_a_volume_read_later_is_that_of_the_wash_itself() -> None:
    end = ended(gravity(0.998, 20.0), volume(19.0))
    assert end.abv_percent is not None
    assert end.pure_litres == pytest.approx(19.0 * end.abv_percent / 100.0)
    assert "by 19.0 L of wash, as read later" in end_words(end, "metric")[-1]


def test_what_is_wanting_is_said() -> None:
    assert "add it with" in end_words(ended(), "metric")[0]
    no_original = ended(gravity(0.998, 20.0), original=None)
    assert "without it no alcohol can be told" in end_words(no_original, "metric")[-1]
    no_volume = ended(gravity(0.998, 20.0), pitched=None)
    assert "how much alcohol is in it cannot be told" in end_words(no_volume, "metric")[-1]
    assert end_values(no_volume)["pure_alcohol_litres"] is None


def test_the_lines_are_narrow_and_in_the_persons_units() -> None:
    end = ended(gravity(0.998, 20.0))
    assert all(len(row) <= 72 for row in end_words(end, "metric"))
    assert "qt of pure alcohol" in end_words(end, "us")[-2]
    assert end_values(end)["abv_percent"] == pytest.approx(8.19, abs=0.02)


def test_a_summary_tells_the_date_of_what_was_read_days_later() -> None:
    day = Day(load(BARLEY)).to_step(8)
    day.send(replace(gravity(1.060, 20.0), sure=True))
    day.send(intents.WriteNote("evening"))
    day.send(intents.Finish(sure=True))
    day.after(minutes=6 * 1440).send(gravity(0.998, 20.0))
    day.send(intents.WriteNote("racked off"))
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))
    told = summary_words(made, "metric")
    assert "  2026-10-09 10:00  wash gravity  0.9980, read as 0.998 at 20.0 C" in told
    assert "  10:00  evening\n  2026-10-09 10:00  racked off" in told
    assert made.lasted_minutes < 1440.0 and made.away == ()


def test_only_readings_of_the_wash_tell_how_far_its_gravity_is_trusted() -> None:
    """A rough gravity, read once the wash of 1.060 was, of something else."""
    day = Day(load(BARLEY)).to_step(8)
    day.send(replace(gravity(1.060, 20.0), sure=True))
    of_wash = day.state.readings[-1]
    runnings = replace(
        of_wash, number=of_wash.number + 1, fact=replace(of_wash.fact, subject="wort", trust="estimate")
    )
    day.send(intents.Finish(sure=True))
    day.send(gravity(0.998, 20.0))
    state = replace(day.state, readings=(*day.state.readings, runnings))
    assert end_of_wash(day.schedule, state) == end_of_wash(day.schedule, day.state)


def test_a_wash_that_reads_higher_than_it_began_tells_no_alcohol() -> None:
    end = ended(replace(gravity(1.061, 20.0), sure=True))
    assert end.final == pytest.approx(1.061) and end.abv_percent is None
    assert "alcohol cannot be told" in end_words(end, "metric")[-1]
