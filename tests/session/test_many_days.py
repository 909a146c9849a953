"""Many rehearsed days: their figures are those of the single days, whatever the number of workers."""

from __future__ import annotations

import json
from statistics import median

import pytest

from mashday.cli import main
from mashday.report.days import Spread
from mashday.schedule.samples import find
from mashday.session.many import FEW_DAYS, _lived, many_days

BARLEY = find("lock-seven-barley")[1]


def test_the_figures_are_those_of_the_single_days() -> None:
    lived = [_lived(BARLEY, seed) for seed in (5, 6, 7)]
    found = many_days(BARLEY, 3, seed=5)
    errors = [abs(rest.settled_celsius - rest.target_celsius) for day in lived for rest in day.rests]
    assert found.rests is not None
    assert found.rests.median == pytest.approx(median(errors))
    assert found.rests.max == pytest.approx(max(errors))
    assert (found.days, found.overflowed, found.unfinished) == (3, 0, 0)


def test_several_workers_find_what_one_finds() -> None:
    many = many_days(BARLEY, FEW_DAYS + 1)
    single = [_lived(BARLEY, seed) for seed in range(1, FEW_DAYS + 2)]
    assert many.rests == Spread.of(
        [abs(rest.settled_celsius - rest.target_celsius) for day in single for rest in day.rests]
    )


def test_the_hand_rule_is_set_beside_the_balance() -> None:
    found = many_days(BARLEY, 4)
    assert found.strike is not None and found.by_hand is not None
    assert found.by_hand != found.strike


def test_a_spread_of_nothing_is_nothing_and_of_one_is_that_one() -> None:
    assert Spread.of([]) is None
    assert Spread.of([0.4]) == Spread(0.4, 0.4, 0.4)
    assert Spread.of([float(n) for n in range(101)]) == Spread(50.0, 95.0, 100.0)


def test_many_days_are_told_as_a_table_or_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rehearse", "lock-seven-barley", "--days", "3", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {
        "days",
        "rest_error_celsius",
        "strike_error_celsius",
        "hand_rule",
        "remedies_per_rest",
        "overflowed",
        "unfinished",
    }
    assert set(found["rest_error_celsius"]) == {"median", "p95", "max"}
    assert main(["rehearse", "lock-seven-barley", "--days", "3", "--units", "us"]) == 0
    told = capsys.readouterr().out
    assert "3 rehearsed days" in told and " F" in told and "unfinished: 0" in told
    assert all(len(row) <= 80 for row in told.splitlines())


@pytest.mark.parametrize("wrong", ["0", "-1", "many"])
def test_a_number_of_days_that_is_none_is_refused(wrong: str) -> None:
    with pytest.raises(SystemExit) as refused:
        main(["rehearse", "lock-seven-barley", "--days", wrong])
    assert refused.value.code == 2
