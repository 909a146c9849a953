"""What is to come: the plan before the day, the outlook during it, what had been after it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from days import BARLEY, Day, gravity, starch, volume

from mashday.engine import extract, intents
from mashday.engine.prospect import Prospect, prospect
from mashday.engine.state import State
from mashday.schedule.door import load


def seen(day: Day) -> Prospect:
    return prospect(day.schedule, day.state, day.t)


def test_the_plan_runs_through_all_steps_without_a_gap(day: Day) -> None:
    outlook = seen(day).steps
    assert [step.number for step in outlook] == list(range(1, 10))
    assert {step.state for step in outlook} == {"to come"}
    for before, after in pairwise(outlook):
        assert after.starts_minute == pytest.approx(before.starts_minute + before.minutes)
    assert outlook[3].minutes == 60.0
    assert seen(day).ends_minute == pytest.approx(outlook[-1].starts_minute + outlook[-1].minutes)


def test_the_waters_of_the_plan_add_up(day: Day) -> None:
    plan = seen(day)
    assert plan.mash_litres == pytest.approx(15.0) and plan.sparge_litres == 7.5
    assert plan.total_litres == pytest.approx(22.5)
    assert plan.grist_kg == 5.0
    # room in the pot: 14.97 kg of water at 65 C (0.9806 kg/L, IAPWS-95) and 0.67 L a kg of malt
    assert plan.mash is not None and plan.mash.in_pot_litres == pytest.approx(15.27 + 5.0 * 0.67, abs=0.4)
    assert plan.mash.fits and plan.mash.headroom_litres == pytest.approx(33.0 - plan.mash.in_pot_litres)


def test_what_is_past_stands_as_it_was_and_the_rest_follows_it(day: Day) -> None:
    day.send(intents.Start())
    day.after(minutes=11).send(intents.Done(sure=True))
    day.after(minutes=44).read(69.0)
    day.send(intents.Done())
    outlook = seen(day).steps
    assert [step.state for step in outlook[:4]] == ["done", "done", "under way", "to come"]
    assert [step.starts_minute for step in outlook[:3]] == [0.0, 11.0, 55.0]
    assert outlook[1].minutes == 44.0
    assert outlook[3].starts_minute == pytest.approx(55.0 + outlook[2].minutes)


def test_a_step_that_takes_longer_than_planned_pushes_the_others_on(day: Day) -> None:
    day.to_step(3)
    planned = seen(day).ends_minute
    day.after(minutes=48)
    assert seen(day).ends_minute == pytest.approx(planned + 40.0)


@pytest.mark.parametrize("minutes", [20.0, -20.0])
def test_more_or_fewer_minutes_move_the_end(resting: Day, minutes: float) -> None:
    before = seen(resting).ends_minute
    resting.send(intents.Extend(minutes))
    assert seen(resting).ends_minute == pytest.approx(before + minutes)


def test_the_conversion_of_the_mash_only_grows(resting: Day) -> None:
    resting.after(minutes=6).read(63.0)
    now = [seen(resting.after(minutes=5)).conversion_now for _ in range(11)]
    assert now == sorted(now) and 0.0 < now[0] < now[-1] <= 1.0
    outlook = seen(resting)
    assert outlook.conversion_end >= outlook.conversion_now


def test_a_mash_too_cool_has_converted_less(resting: Day) -> None:
    resting.after(minutes=6).read(63.0)
    good = seen(resting).conversion_now
    resting.send(intents.Undo())
    resting.read(48.0, sure=True)
    assert seen(resting).conversion_now < 0.5 * good


def test_water_added_thins_the_wort_that_is_expected(resting: Day) -> None:
    resting.after(minutes=6).read(61.0)
    before = seen(resting)
    resting.send(intents.AddWater(1.2, "1.2 L at 95 C", 95.0))
    after = seen(resting)
    assert before.expected is not None and after.expected is not None
    assert after.expected.first_runnings_gravity < before.expected.first_runnings_gravity
    assert after.mash_litres + after.sparge_litres == pytest.approx(22.5, abs=0.01)
    assert after.expected.wash_litres == pytest.approx(before.expected.wash_litres, abs=0.15)


def test_the_first_runnings_say_how_far_it_converted(resting: Day) -> None:
    mash_now = extract.expected(resting.schedule, resting.state, 0.93)
    assert mash_now is not None
    inside = seen(resting).mash
    assert inside is not None
    from_there = extract.conversion_from(contents(resting), mash_now.first_runnings_gravity)
    assert from_there == pytest.approx(0.93, abs=0.002)


def contents(day: Day) -> extract.pot.Contents:
    return extract.pot.contents(day.schedule, day.state, 4)


def test_after_the_day_every_step_is_past(day: Day) -> None:
    day.to_step(5)
    day.send(starch(True))
    day.after(minutes=5).send(intents.Done())
    day.send(gravity(1.078, 24.0))
    day.send(volume(20.5))
    day.after(minutes=30).send(intents.Finish(sure=True))
    outlook = seen(day)
    assert [step.state for step in outlook.steps[:5]].count("to come") == 0
    assert outlook.steps[6].state == "to come"
    assert outlook.expected is not None


def test_raw_grain_alone_has_too_little_enzyme() -> None:
    text = BARLEY.replace('kind = "barley malt"', 'kind = "raw maize"')
    plan = prospect(load(text), Day(load(text)).state)
    assert plan.lintner == 0.0 and plan.verdict.name == "TOO_LITTLE"


def test_a_mash_like_a_loaf_has_an_outlook() -> None:
    # 5 kg of malt in 3.5 L: 53 Plato by the balance, and no liquid holds that (judgement: 40 at most).
    plan = prospect(load(BARLEY.replace('water = "15 L"', 'water = "3.5 L"')), State())
    assert plan.mash is not None and plan.mash.thickness < 0.8
    assert plan.expected is None or plan.expected.first_runnings_gravity < 1.18
