"""Every sample as a day: it loads, plans, checks clean and is lived through beside five different pots."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache

import pytest

from mashday.engine import facts as f
from mashday.report.feasibility import findings
from mashday.report.plan import plan_values
from mashday.report.summary import summary
from mashday.report.values import summary_values
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Result, whole_day
from mashday.session.session import Session, begin, moments

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
SEEDS = range(1, 6)
DAYS = [(name, seed) for name in sample_names() for seed in SEEDS]


@cache
def lived(name: str, seed: int) -> tuple[Session, Result]:
    """A whole day of a sample beside the pot of a seed; lived once for all the tests that look at it."""
    session = begin(sample_text(name), VirtualClock(MORNING), folder=None, rehearsed=True, seed=seed)
    return session, whole_day(session)


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_loads_plans_and_checks_without_a_word_against_it(name: str) -> None:
    schedule = load(sample_text(name))
    assert findings(schedule) == ()
    plan = plan_values(schedule)
    assert plan["warnings"] == []
    assert len(plan["steps"]) == len(schedule.steps)
    for part in ("strike", "mash", "grist", "water", "expected"):
        assert None not in plan[part].values()


@pytest.mark.parametrize("name", sample_names())
def test_the_waters_of_a_sample_fit_its_pot_and_its_hopes(name: str) -> None:
    schedule = load(sample_text(name))
    plan = plan_values(schedule)
    assert plan["mash"]["fits"] and plan["mash"]["headroom_litres"] > 0.0
    # Water goes nowhere: what is poured, less what the grain keeps (at most 1.1 L/kg, Owens, Craft of
    # Whiskey Distilling, p. 25, drained) and what is boiled off, is wash; its sugar adds to its volume.
    poured, wash = plan["water"]["total_litres"], plan["expected"]["wash_litres"]
    assert wash < poured + 0.63 * plan["grist"]["mass_kg"]
    boils = any(step.kind == "boil" for step in schedule.steps)
    assert boils or wash > poured - 1.1 * plan["grist"]["mass_kg"] - schedule.pot.dead_space_litres
    if schedule.aim.wash_litres is not None:
        assert wash == pytest.approx(schedule.aim.wash_litres, rel=0.05)
    if schedule.aim.gravity is not None:
        assert plan["expected"]["wash_gravity"] == pytest.approx(schedule.aim.gravity, abs=0.006)


@pytest.mark.parametrize(("name", "seed"), DAYS)
def test_a_sample_is_lived_through_to_its_end_without_running_over(name: str, seed: int) -> None:
    session, result = lived(name, seed)
    assert result.finished and not result.overflowed
    assert session.state.phase == "complete"
    ended = [record.number for record in session.state.records if record.ended is not None]
    assert ended == list(range(1, len(session.schedule.steps) + 1))
    assert all(record.how != "skipped" for record in session.state.records)


@pytest.mark.parametrize(("name", "seed"), DAYS)
def test_a_day_of_a_sample_is_one_a_person_can_live(name: str, seed: int) -> None:
    session, result = lived(name, seed)
    made = summary_values(summary(session.schedule, session.state, at=moments(session.state), rehearsed=True))
    hours = session.state.t / 3600.0
    # Judgement: a day beside the pot is a morning or a long afternoon, not a night.
    assert 2.0 < hours < 8.0
    assert not any(reading["assumed"] for reading in made["readings"])
    # Judgement: a rest that needs more than three mendings was planned wrong, or its thermometer is.
    wrong = abs(result.truth.pot.probe_bias_kelvin - session.schedule.thermometer.offset_kelvin)
    assert max(rest.remedies for rest in result.rests) <= (3 if wrong < 0.5 else 5)
    for rest in result.rests:
        assert abs(rest.mean_celsius - rest.target_celsius) < 3.0 + wrong
    assert made["measured"]["wash_gravity"] == pytest.approx(made["expected"]["wash_gravity"], abs=0.006)


@pytest.mark.parametrize(("name", "seed"), DAYS)
def test_no_entry_of_a_day_goes_back_in_time(name: str, seed: int) -> None:
    session, _ = lived(name, seed)
    log = session.state.log
    assert [entry.seq for entry in log] == list(range(1, len(log) + 1))
    assert [entry.t for entry in log] == sorted(entry.t for entry in log)
    assert isinstance(log[0].fact, f.Opened) and isinstance(log[-1].fact, f.DayEnded)


@pytest.mark.parametrize("name", sample_names())
def test_different_pots_make_different_days(name: str) -> None:
    settled = {lived(name, seed)[1].rests[0].settled_celsius for seed in SEEDS}
    assert len(settled) == len(SEEDS)
