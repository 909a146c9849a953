"""What a failed starch check asks for: the likeliest cause by the history of the mash, first."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, starch

from mashday.engine import starch_left
from mashday.engine.starch_left import Advice
from mashday.schedule.door import load


def checked(celsius: float = 63.0, text: str = BARLEY, rested: float = 40.0) -> Day:
    """A day at its starch check after a rest read at a temperature, the first drop still blue."""
    day = Day(load(text)).to_step(4).after(minutes=6)
    day.read(celsius, sure=True)
    day.after(minutes=rested).to_step(5)
    day.send(starch(False))
    return day


def advised(day: Day) -> tuple[Advice, ...]:
    return starch_left.advice(day.schedule, day.state, day.t)


def causes(day: Day) -> list[str]:
    return [one.cause for one in advised(day)]


def test_a_sound_mash_needs_patience() -> None:
    assert causes(checked()) == ["patience"]


@pytest.mark.parametrize(
    ("celsius", "cause", "to"),
    # common practice: raise to 63-65 below 60, cool above 70; 62.5: optimum of Hamilton and Lewis 1974
    [(56.0, "too cool", 64.0), (72.5, "too hot", 62.5)],
)
def test_a_mash_off_its_temperature_is_brought_back(celsius: float, cause: str, to: float) -> None:
    found = advised(checked(celsius, rested=10.0))
    assert [(one.cause, one.value) for one in found if one.cause == cause] == [(cause, to)]


def test_raw_maize_that_was_not_cooked_comes_first() -> None:
    raw = BARLEY.replace('kind = "barley malt"', 'kind = "raw maize"')
    first = advised(checked(text=raw))[0]
    assert (first.cause, first.name) == ("uncooked", "pale barley malt")
    cooked = raw.replace('mass = "5 kg"', 'mass = "5 kg"\ncooked = true')
    assert "uncooked" not in causes(checked(text=cooked))


def test_a_weak_grist_is_told_how_much_malt_it_wants() -> None:
    weak = BARLEY.replace('mass = "5 kg"', 'mass = "5 kg"\ndiastatic_power = "25 Lintner"')
    found = {one.cause: one.value for one in advised(checked(text=weak))}
    # derived: 5 kg (40 - 25 r) / (90 - 40), r the alpha-amylase left after the rest, 0.7 to 0.85
    assert 1.8 < found["weak grist"] < 2.3


def test_scalded_malt_is_told_that_its_enzymes_are_gone() -> None:
    found = advised(checked(88.0, rested=10.0))
    assert found[0].cause == "no enzyme"
    assert found[0].value > 3.0  # derived: 5 kg (40 - 0) / (90 - 40) = 4 kg with nothing left


def test_after_two_checks_and_ninety_minutes_it_is_time_to_go_on() -> None:
    day = checked(rested=50.0)
    assert causes(day) == ["patience"]
    day.after(minutes=15).send(starch(False))
    if causes(day)[0] != "go on":
        day.after(minutes=40).send(starch(False))
    assert causes(day)[0] == "go on"
    assert advised(day)[0].value >= 90.0


def test_on_the_grain_is_known() -> None:
    assert not starch_left.on_the_grain(load(BARLEY))
    grain_in = BARLEY.replace('by = "squeezed bag"', 'by = "on the grain"').replace('sparge = "7.5 L"\n', "")
    assert starch_left.on_the_grain(load(grain_in))
