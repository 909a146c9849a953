"""Instructions: the temperature a thermometer that is off shows where the target is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from days import BARLEY, BEGAN, Day, temperature

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.faces.instructions import instruction, step_instruction
from mashday.faces.moment import Moment
from mashday.schedule.door import load

ICE = "What does the thermometer show in melting ice?"
CHECKED = BARLEY.replace('"malt weighed", "drains shut"', f'"{ICE}"')
RAISED = CHECKED.replace(
    '[[step]]\nkind = "separate"',
    '[[step]]\nkind = "raise"\ntarget = "72 C"\nby = "fire"\n[[step]]\nkind = "separate"',
)
OFF = '[thermometer]\noffset = "2 K"\n[place]'


def begun(answer: str, text: str = CHECKED) -> Day:
    """A day whose thermometer was checked in ice."""
    day = Day(load(text))
    day.send(intents.Start())
    day.send(intents.TickItem(value=answer))
    return day


def now(day: Day) -> Moment:
    """The day as it stands."""
    return Moment(day.schedule, day.state, day.t, lambda t: BEGAN)


def test_what_a_thermometer_that_is_off_shows_at_the_target_is_told() -> None:
    # derived: 3 K too much in ice is 3 K too much everywhere
    day = begun("3").to_step(2)
    target = float(step_instruction(now(day), 2).partition(" to ")[2].partition(" C")[0])
    assert instruction(now(day)) == (
        f"Heat 15.0 L of water to {target:.1f} C (your thermometer then shows {target + 3.0:.1f} C)"
    )


def test_the_schedules_own_offset_is_told_too() -> None:
    day = Day(load(BARLEY.replace("[place]", OFF))).to_step(2)
    assert "(your thermometer then shows " in step_instruction(now(day), 2)
    assert step_instruction(now(day), 7) == (
        "Cool to 24.0 C (your thermometer then shows 26.0 C): run the coil and stir"
    )


@pytest.mark.parametrize("answer", ["0.0", "0.02"])
def test_one_that_is_right_is_told_nothing_of(answer: str) -> None:
    assert "thermometer" not in instruction(now(begun(answer).to_step(2)))


def test_it_is_told_in_the_units_of_the_person() -> None:
    # derived: 24 degC are 75.2 F, and 2 K are 3.6 F
    text = BARLEY.replace("[place]", OFF).replace('name = "Lock Seven', 'units = "us"\nname = "Lock Seven', 1)
    assert "Cool to 75.2 F (your thermometer then shows 78.8 F)" in step_instruction(now(Day(load(text))), 7)


def test_a_raise_over_the_heat_is_read_and_a_rest_is_left_alone() -> None:
    day = begun("3", RAISED)
    assert step_instruction(now(day), 6) == (
        "Raise the mash to 72.0 C (your thermometer then shows 75.0 C) over the heat, stirring;"
        " heat off a degree early"
    )
    assert "thermometer" not in step_instruction(now(day), 4)


def test_where_a_probe_is_read_nothing_is_told_of_the_thermometer() -> None:
    day = begun("3").to_step(2)
    day.send(replace(temperature(40.0), source=f.PROBE))
    assert "thermometer" not in step_instruction(now(day), 2)
    day.after(minutes=1.0).send(temperature(45.0, sure=True))
    assert "(your thermometer then shows" in step_instruction(now(day), 2)


def test_a_probe_that_the_schedule_names_is_taken_to_be_read() -> None:
    text = CHECKED.replace("[place]", '[probe]\nfile = "probe.txt"\n[place]')
    assert "thermometer" not in step_instruction(now(begun("3", text)), 2)
