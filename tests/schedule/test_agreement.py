from __future__ import annotations

import pytest
from days import BARLEY

from mashday.schedule.door import BadSchedule, load
from mashday.science.grain import ALIASES, KINDS

HEAD = 'format = 1\nname = "Lock Seven"\n[pot]\nvolume = "33 L"\n'
HEAT = '[[step]]\nkind = "heat"\nwater = "15 L"\n'
DOUGH_IN = '[[step]]\nkind = "dough-in"\ntarget = "63 C"\n'


def grain(name: str, kind: str = "pale malt") -> str:
    return f'[[grain]]\nname = "{name}"\nkind = "{kind}"\nmass = "5 kg"\n'


def found(text: str) -> dict[str, str]:
    with pytest.raises(BadSchedule) as caught:
        load(HEAD + text)
    return {problem.key: problem.found for problem in caught.value.problems}


@pytest.mark.parametrize("kind", [*KINDS, *ALIASES])
def test_every_kind_of_the_grain_table_is_known(kind):
    assert load(HEAD + grain("malt", kind) + HEAT + DOUGH_IN).grains[0].kind == kind


def test_a_kind_of_grain_that_is_not_in_the_table_is_told():
    assert found(grain("malt", "lawn") + HEAT + DOUGH_IN) == {
        "grain[1].kind": "the grain table has no 'lawn'"
    }


def test_two_grains_may_not_have_one_name():
    assert found(grain("malt") + grain("malt ") + HEAT + DOUGH_IN) == {
        "grain[2].name": "'malt' is the name of grain[1] too"
    }


def test_a_step_may_name_only_grain_of_the_bill():
    names = 'grain = ["malt", "rye"]\n'
    assert found(grain("malt") + HEAT + DOUGH_IN + names) == {
        "step[2].grain[2]": "no [[grain]] is named 'rye'"
    }


def test_a_grain_goes_in_once():
    names = 'grain = ["malt"]\n'
    assert found(grain("malt") + HEAT + DOUGH_IN + names + DOUGH_IN + names) == {
        "step[3].grain[1]": "'malt' goes in at step[2] already"
    }


def test_a_grain_that_no_step_puts_in_is_told():
    names = 'grain = ["malt"]\n'
    assert found(grain("malt") + grain("rye") + HEAT + DOUGH_IN + names) == {
        "grain[2]": "no step puts 'rye' in"
    }
    assert found(grain("malt") + HEAT.replace("water", 'target = "70 C"\nwater')) == {
        "grain[1]": "no step puts 'malt' in"
    }


def test_a_dough_in_with_no_grain_left_is_told():
    nothing = "no grain is left for this dough-in"
    assert found(grain("malt") + HEAT + DOUGH_IN + DOUGH_IN) == {"step[3]": nothing}
    assert found(HEAT + DOUGH_IN) == {"step[2]": nothing}


def test_a_cook_may_take_no_grain_when_the_mash_is_in():
    cook = '[[step]]\nkind = "cook"\ntarget = "90 C"\ntime = "30 min"\n'
    assert load(HEAD + grain("maize", "raw maize") + HEAT + DOUGH_IN + cook).steps


def test_a_heat_without_target_needs_a_dough_in_after_it():
    assert found(grain("malt") + HEAT + DOUGH_IN + HEAT) == {
        "step[3]": "this heat has no target, and no dough-in follows to work it out from"
    }


def test_a_dough_in_needs_water():
    assert found(grain("malt") + DOUGH_IN) == {"step[1]": "no water is there for this dough-in"}


def test_a_cook_brings_its_own_water():
    cook = '[[step]]\nkind = "cook"\ntarget = "95 C"\ntime = "60 min"\nwater = "15 L"\ngrain = ["maize"]\n'
    assert load(HEAD + grain("maize", "raw maize") + grain("malt") + cook + DOUGH_IN).steps


@pytest.mark.parametrize("band", ["0 K", "0 F", "-1 K"])
def test_a_band_of_nothing_is_told(band):
    assert found(grain("malt") + HEAT + DOUGH_IN + f'band = "{band}"\n') == {
        "step[2].band": f"'{band}' is not more than nothing"
    }


def test_a_pot_without_room_and_a_heater_without_effect_are_told():
    text = '[[step]]\nkind = "set-up"\n'
    with pytest.raises(BadSchedule) as caught:
        load(HEAD.replace("33 L", "0 L") + "heater_efficiency = 0\n" + text)
    assert [problem.key for problem in caught.value.problems] == ["pot.volume", "pot.heater_efficiency"]


def test_an_addition_between_limits_that_cross_is_told():
    assert found('[[step]]\nkind = "add"\nwhat = "gypsum"\nabove = "60 C"\nbelow = "60 C"\n') == {
        "step[1].above": "nothing lies above this and below the step's other limit"
    }


def test_unknown_steps_do_not_raise_false_alarms_about_grain_and_water():
    assert set(found(grain("malt") + '[[step]]\nkind = "doughin"\n')) == {"step[1].kind"}


def test_a_value_out_of_range_is_told_once() -> None:
    with pytest.raises(BadSchedule) as caught:
        load(BARLEY.replace('volume = "33 L"', 'volume = "0 L"'))
    (problem,) = caught.value.problems
    assert "is not from 3 to 300 L" in problem.found
