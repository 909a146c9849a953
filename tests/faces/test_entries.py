"""The line told for each fact, where it tells more than what was entered."""

from __future__ import annotations

from days import BARLEY, Day, gravity

from mashday.engine import intents
from mashday.faces.entries import entry_lines
from mashday.schedule.door import load

CHECKED = BARLEY.replace('"malt weighed"', '"What does the hydrometer show in water?"')


def told(day: Day) -> str:
    return " ".join(entry_lines(day.state.log[-1], day.state, day.schedule))


def test_a_gravity_that_was_put_right_is_told_with_what_the_hydrometer_showed() -> None:
    day = Day(load(CHECKED))
    day.send(intents.Start())
    day.send(intents.TickItem(value="1.002"))
    day.to_step(6)
    day.send(gravity(1.055))
    assert "gravity of the first runnings 1.0530; the hydrometer showed 1.055." in told(day)


def test_what_is_taken_back_is_named_with_its_number_and_unit() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(63.0)
    number = day.state.readings[-1].number
    day.send(intents.Undo())
    assert f"Taken back: reading {number}, 63.0 C." in told(day)


def test_a_note_as_long_as_it_is_kept_is_told_whole() -> None:
    day = Day(load(BARLEY))
    day.send(intents.WriteNote("x" * 500))
    assert told(day).endswith("Note: " + "x" * 500)
