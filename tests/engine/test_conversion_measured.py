"""A gravity measured in the mash overrules the model of the starch; a mash out of enzymes is not forecast."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity

from mashday.engine import contents as pot
from mashday.engine import conversion, extract, intents
from mashday.engine.prospect import Prospect, prospect
from mashday.report.summary import summary
from mashday.schedule.door import load
from mashday.science import starch


def resting(minutes: float = 30.0) -> Day:
    """A barley mash so many minutes into its rest, read once on target."""
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(63.0)
    return day.after(minutes=minutes - 6.0)


def seen(day: Day) -> Prospect:
    return prospect(day.schedule, day.state, day.t)


def as_dissolved(day: Day, share: float) -> float:
    """The gravity of the mash liquid with this share of the extract dissolved."""
    return extract.first_wort_gravity(pot.contents(day.schedule, day.state, day.state.step), share)


def test_a_measured_gravity_overrules_the_model() -> None:
    day = resting()
    by_model = seen(day).conversion_now
    assert by_model > 0.85
    day.send(gravity(as_dissolved(day, 0.70), 20.0))
    # derived: the gravity was made from 70 %, so 70 % is what it says
    assert seen(day).conversion_now == pytest.approx(0.70, abs=0.005)
    assert prospect(day.schedule, day.state, day.t, overruled=False).conversion_now == pytest.approx(by_model)


def test_the_model_goes_on_from_what_was_measured() -> None:
    day = resting()
    mash = pot.contents(day.schedule, day.state, 4)
    day.send(gravity(as_dissolved(day, 0.70), 20.0))
    start = seen(day).starch_now
    day.after(minutes=20)
    onward = starch.advance(
        start,
        63.0,
        20.0,
        thickness_l_per_kg=mash.thickness,
        extract_dry=extract.mean_extract_dry(mash.grains),
        moisture=extract.mean_moisture(mash.grains),
    )
    assert seen(day).conversion_now == pytest.approx(onward.released, abs=1e-9)
    assert 0.70 < seen(day).conversion_now < 1.0


def test_a_later_gravity_overrules_an_earlier_one_and_a_struck_one_counts_for_nothing() -> None:
    day = resting()
    by_model = seen(day).conversion_now
    day.send(gravity(as_dissolved(day, 0.60), 20.0))
    day.send(gravity(as_dissolved(day, 0.80), 20.0))
    assert seen(day).conversion_now == pytest.approx(0.80, abs=0.005)
    day.send(intents.Undo())
    day.send(intents.Undo())
    assert seen(day).conversion_now == pytest.approx(by_model)


def test_more_than_all_of_the_extract_is_all_of_it() -> None:
    day = resting()
    day.send(gravity(as_dissolved(day, 1.02), 20.0))
    assert seen(day).conversion_now == pytest.approx(1.0, abs=1e-9)


def test_water_that_goes_in_later_changes_nothing_about_what_was_measured() -> None:
    day = resting()
    day.send(gravity(as_dissolved(day, 0.70), 20.0))
    before = seen(day.after(minutes=1)).conversion_now
    day.send(intents.AddWater(3.0, "added 3 L at 66 C", 66.0))
    assert seen(day).conversion_now == pytest.approx(before, abs=0.005)


def test_a_gravity_that_cannot_be_overrules_nothing() -> None:
    day = resting()
    by_model = seen(day).conversion_now
    day.send(replace(gravity(as_dissolved(day, 1.10), 20.0), sure=True))
    assert seen(day).conversion_now == pytest.approx(by_model)


def test_first_runnings_settle_what_the_wash_will_be() -> None:
    day = Day(load(BARLEY)).to_step(6).after(minutes=6)
    promised = seen(day).expected
    assert promised is not None
    day.send(gravity(promised.first_runnings_gravity - 0.010, 20.0))
    settled = seen(day).expected
    assert settled is not None
    assert settled.first_runnings_gravity == pytest.approx(
        promised.first_runnings_gravity - 0.010, abs=0.0005
    )
    assert settled.wash_gravity < promised.wash_gravity - 0.005


def test_the_summary_still_sets_the_model_beside_what_was_measured() -> None:
    day = Day(load(BARLEY)).to_step(6).after(minutes=6)
    promised = seen(day).expected
    assert promised is not None
    day.send(gravity(promised.first_runnings_gravity - 0.010, 20.0))
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t), rehearsed=False)
    assert made.expected.first_runnings_gravity == pytest.approx(promised.first_runnings_gravity, abs=0.0005)
    assert made.measured.conversion is not None and made.expected.conversion is not None
    assert made.measured.conversion < made.expected.conversion - 0.05


def test_stretches_parted_and_put_together_are_the_same() -> None:
    day = resting(50.0)
    lived = conversion.past(day.schedule, day.state, day.t)
    whole = conversion.converted(day.schedule, day.state, lived)
    for minutes in (0.0, 3.3, 20.0, 500.0):
        before, after = conversion._parted(lived, minutes)
        again = conversion.converted(
            day.schedule, day.state, after, conversion.converted(day.schedule, day.state, before)
        )
        assert again.released == pytest.approx(whole.released, abs=2e-4)
        assert sum(one.minutes for one in (*before, *after)) == pytest.approx(50.0, abs=0.01)
