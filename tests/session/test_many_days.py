"""Many rehearsed days: their figures are those of the single days, whatever the number of workers."""

from __future__ import annotations

import json
from functools import cache
from statistics import fmean, median

import pytest

from mashday.cli import main
from mashday.report.days import Days, Spread
from mashday.schedule.door import load
from mashday.schedule.samples import find, sample_names, sample_text
from mashday.session.many import (
    DAYS_OF_A_POT,
    FEW_DAYS,
    UNCHECKED_DIAL,
    Lived,
    Pot,
    hand_rule_schedule,
    live,
    many_days,
    with_table,
)

BARLEY = find("lock-seven-barley")[1]
BY_HAND = hand_rule_schedule(BARLEY)


@cache
def found_in(days: int) -> Days:
    """So many days of the barley mash, lived once."""
    return many_days(BARLEY, days, dial=False)


def lived(days: int, seed: int) -> list[Lived]:
    """So many days, the pots one after the other."""
    firsts = range(0, days, DAYS_OF_A_POT)
    return [
        live(Pot(BARLEY, BY_HAND, seed + number, min(DAYS_OF_A_POT, days - first)))
        for number, first in enumerate(firsts)
    ]


def test_the_figures_are_those_of_the_single_days() -> None:
    pots = lived(4, seed=5)
    found = many_days(BARLEY, 4, seed=5, dial=False)
    rests = [rest for pot in pots for day in pot.advised for rest in day.rests]
    errors = [abs(rest.settled_celsius - rest.target_celsius) for rest in rests]
    before = [rest.first_celsius - rest.target_celsius for rest in rests]
    assert found.rests is not None and found.strike is not None and found.rests_before is not None
    assert found.rests.median == pytest.approx(median(errors))
    assert found.rests.max == pytest.approx(max(errors))
    assert found.rests_before.max == pytest.approx(max(abs(error) for error in before))
    assert found.strike_bias == pytest.approx(fmean(before))
    assert (found.days, found.pots, found.overflowed, found.unfinished) == (4, 2, 0, 0)


@pytest.mark.long
def test_several_workers_find_what_one_finds() -> None:
    so_far: list[tuple[int, int]] = []
    many = many_days(
        BARLEY, FEW_DAYS + 1, dial=False, lived_so_far=lambda lived, of: so_far.append((lived, of))
    )
    assert so_far == [(days, FEW_DAYS + 1) for days in range(3, FEW_DAYS + 2, 3)]
    single = [day for pot in lived(FEW_DAYS + 1, seed=1) for day in pot.advised]
    assert many.rests == Spread.of(
        [abs(rest.settled_celsius - rest.target_celsius) for day in single for rest in day.rests]
    )


@pytest.mark.parametrize(("days", "pots"), [(1, 1), (3, 1), (4, 2), (6, 2)])
def test_three_days_in_a_row_belong_to_one_pot(days: int, pots: int) -> None:
    found = found_in(days)
    assert (found.days, found.pots) == (days, pots)
    lived_so_often = [spread is not None for spread in found.strike_by_day]
    assert lived_so_often == [days >= 1, days >= 2, days >= 3]


def test_the_days_of_a_pot_differ_by_their_accidents_and_by_what_was_learned() -> None:
    pot = live(Pot(BARLEY, BY_HAND, seed=2, days=2))
    first, second = pot.advised
    assert first.truth.pot.vessel_kj_per_k == second.truth.pot.vessel_kj_per_k
    assert first.rests[0].first_celsius != second.rests[0].first_celsius
    assert pot.advised[1].truth == pot.by_hand[1].truth


@pytest.mark.long
def test_a_second_day_lands_nearer_than_the_first_where_the_first_was_far_off() -> None:
    """Among sixteen pots, those that landed over 1 K off: by less the next day on average (derived)."""
    pots = [live(Pot(BARLEY, None, seed, 2)) for seed in range(1, 17)]
    off = [[abs(day.rests[0].first_celsius - day.rests[0].target_celsius) for day in p.advised] for p in pots]
    far = [(first, second) for first, second in off if first > 1.0]
    assert far and fmean(second for _, second in far) < fmean(first for first, _ in far)


@pytest.mark.long
def test_no_way_offered_has_an_amount_that_cannot_be_and_no_pot_runs_over() -> None:
    for name in sample_names():
        found = many_days(sample_text(name), 6, dial=False)
        assert (found.absurd, found.overfull_litres, found.overflowed, found.unfinished) == (0, 0.0, 0, 0)


def test_the_hand_rule_heats_the_water_to_what_it_says() -> None:
    assert BY_HAND is not None
    heats = [step for step in load(BY_HAND).steps if step.kind == "heat"]
    # 63 + 0.41 / 3 (63 - 18), Palmer, How to Brew, ch. 16
    assert heats[0].target_celsius == pytest.approx(69.15, abs=0.01)


def test_the_hand_rules_are_lived_as_days_of_their_own() -> None:
    found = found_in(4)
    assert found.strike is not None and found.by_hand is not None and found.by_hand_rests is not None
    assert found.by_hand != found.strike


def test_a_grain_that_goes_into_what_was_cooked_has_no_hand_rule() -> None:
    found = many_days(sample_text("sluice-maize"), 1, dial=False)
    assert found.by_hand is None and found.as_json()["hand_rule"] is None


def test_an_unchecked_dial_is_reported_apart() -> None:
    found = many_days(BARLEY, 6)
    assert found.unchecked_dial is not None
    assert found.unchecked_dial.days == 2
    known = load(with_table(BARLEY, "thermometer", UNCHECKED_DIAL)).thermometer
    assert (known.kind, known.checked_at, known.offset_kelvin) == ("dial", None, 0.0)


def test_remedies_that_made_it_worse_are_among_those_taken() -> None:
    remedies = found_in(6).remedies
    assert remedies.taken >= remedies.worse >= remedies.by_the_thermometer >= 0
    assert remedies.taken > 0


def test_a_spread_of_nothing_is_nothing_and_of_one_is_that_one() -> None:
    assert Spread.of([]) is None
    assert Spread.of([0.4]) == Spread(0.4, 0.4, 0.4)
    assert Spread.of([float(n) for n in range(101)]) == Spread(50.0, 95.0, 100.0)


def test_many_days_are_told_as_json_with_the_keys_that_are_relied_upon(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["rehearse", "lock-seven-barley", "--days", "3", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert set(found) >= {
        "days",
        "rest_error_celsius",
        "strike_error_celsius",
        "hand_rule",
        "remedies_per_rest",
        "overflowed",
        "unfinished",
    }
    for key in ("rest_error_celsius", "rest_error_before_celsius", "hand_rule", "remedies_per_rest"):
        assert set(found[key]) == {"median", "p95", "max"}
    assert len(found["strike_error_by_day"]) == 3
    assert set(found["by_stirring"]) == {"quick", "slow"}
    assert found["unchecked_dial"]["days"] == 1


def test_many_days_are_told_as_a_table_in_the_units_of_the_person(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rehearse", "lock-seven-barley", "--days", "3", "--units", "us"]) == 0
    told = capsys.readouterr().out
    assert "3 rehearsed days with 1 pot" in told and " F" in told and "unfinished: 0" in told
    assert "third day with the pot" in told and "by the hand rules" in told and "a dial nobody" in told
    assert all(len(row) <= 80 for row in told.splitlines())


@pytest.mark.parametrize("wrong", ["0", "-1", "many"])
def test_a_number_of_days_that_is_none_is_refused(wrong: str) -> None:
    with pytest.raises(SystemExit) as refused:
        main(["rehearse", "lock-seven-barley", "--days", wrong])
    assert refused.value.code == 2
