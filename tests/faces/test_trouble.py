"""When it goes wrong: every kind of step has lines of its own, short, safe, and in the person's units."""

from __future__ import annotations

import re
import tomllib
from typing import Any, get_args

import pytest
from days import BARLEY

from mashday.faces import trouble
from mashday.faces.moment import TITLES
from mashday.quantities import Units
from mashday.schedule.door import load
from mashday.schedule.model import Cooling, Raising, Schedule, Separation
from mashday.schedule.samples import sample_names, sample_text
from mashday.science.yeast import PitchVerdict, pitch_verdict

HEAD = """
format = 1
name = "Lock Seven"
[pot]
name = "kettle"
volume = "33 L"
{pot}
[place]
tap = "12 C"
[[grain]]
name = "malt"
kind = "barley malt"
mass = "5 kg"
[[grain]]
name = "maize"
kind = "raw maize"
mass = "1 kg"
"""

NEEDED = {
    "set-up": "",
    "heat": 'water = "15 L"',
    "dough-in": 'target = "63 C"',
    "rest": 'target = "63 C"\ntime = "60 min"',
    "cook": 'target = "95 C"\ntime = "60 min"\ngrain = ["maize"]',
    "raise": 'target = "72 C"',
    "mash-out": "",
    "starch-check": "",
    "separate": 'by = "drained"',
    "boil": 'time = "60 min"',
    "cool": 'target = "24 C"',
    "add": 'what = "nutrient"',
    "pitch": "",
    "clean-up": "",
    "do": 'text = "Open the shed door."',
}
"""What a step of each kind needs beside its kind."""

HEATED = 'heater = "2.5 kW"'
SPARE = '[spare]\nwater = "3 L"\ntemperature = "boiling"'


def step(kind: str, more: str | None = None) -> str:
    needed = NEEDED[kind] if more is None else more
    return f'[[step]]\nkind = "{kind}"\n{needed}\n'


def day(*steps: str, pot: str = "") -> Schedule:
    """Steps by themselves: what a whole day must have besides is left out."""
    return Schedule.model_validate(held(tomllib.loads(HEAD.format(pot=pot) + "".join(steps))))


def held(value: Any) -> Any:
    """The same with tuples for lists, as the model holds them."""
    if isinstance(value, dict):
        return {key: held(item) for key, item in value.items()}
    return tuple(held(item) for item in value) if isinstance(value, list) else value


def said(schedule: Schedule, number: int = 1, units: Units = "metric") -> str:
    return "\n".join(trouble.lines(schedule, number, units))


def fair(found: tuple[str, ...]) -> None:
    """Two to four lines, each what one sees and then what to do, short and plain."""
    assert 2 <= len(found) <= 4
    assert len(set(found)) == len(found)
    for line in found:
        assert len(line) <= 130 and line.isascii() and line.isprintable(), line
        sees, does = line.split(": ", 1)
        assert sees[0].isupper() and does and does[0].islower(), line
        assert not line.endswith("."), line


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", NEEDED)
def test_every_kind_of_step_has_two_to_four_short_lines(kind: str, units: Units) -> None:
    for pot in ("", HEATED):
        fair(trouble.lines(day(step(kind), pot=pot), 1, units))


def test_no_kind_of_step_is_left_out() -> None:
    assert set(NEEDED) == set(TITLES)


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(
    ("kind", "needed", "ways"),
    [
        ("separate", "", get_args(Separation)),
        ("cool", 'target = "24 C"\n', get_args(Cooling)),
        ("raise", 'target = "72 C"\n', get_args(Raising)),
        ("mash-out", "", get_args(Raising)),
    ],
)
def test_every_way_of_a_step_has_lines_of_its_own(
    kind: str, needed: str, ways: tuple[str, ...], units: Units
) -> None:
    found = {way: trouble.lines(day(step(kind, f'{needed}by = "{way}"')), 1, units) for way in ways}
    for lines in found.values():
        fair(lines)
    assert len(set(found.values())) == len(ways)


@pytest.mark.parametrize("name", sample_names())
@pytest.mark.parametrize("units", ["metric", "us"])
def test_in_the_samples_the_schedules_own_lines_come_first_and_ours_follow(name: str, units: Units) -> None:
    schedule = load(sample_text(name))
    for number, one in enumerate(schedule.steps, 1):
        found = trouble.lines(schedule, number, units)
        own = len(one.if_it_goes_wrong)
        assert found[:own] == one.if_it_goes_wrong
        assert 1 <= len(found[own:]) <= 4
        troubles = [line.split(":")[0].casefold() for line in found]
        assert len(set(troubles)) == len(troubles)


def test_the_schedules_own_lines_are_cleaned_and_take_the_place_of_ours() -> None:
    lumps, *others = trouble.lines(day(step("dough-in")), 1, "metric")
    assert lumps.startswith("Dry lumps: ")
    own = 'if_it_goes_wrong = ["Door   stuck:  lift it", "dry lumps: crush them"]'
    schedule = day(step("dough-in", f'target = "63 C"\n{own}'))
    found = trouble.lines(schedule, 1, "metric")
    assert found == ("Door stuck: lift it", "dry lumps: crush them", *others)


@pytest.mark.parametrize("kind", NEEDED)
def test_a_person_with_us_units_reads_no_metric_number(kind: str) -> None:
    found = "\n".join(trouble.lines(day(step(kind), pot=HEATED), 1, "us"))
    assert not re.search(r"\d (C|K|L|kg)\b", found)
    metric = "\n".join(trouble.lines(day(step(kind), pot=HEATED), 1, "metric"))
    assert not re.search(r"\d (F|gal|qt|lb)\b", metric)


def test_numbers_are_said_in_the_persons_units() -> None:
    schedule = day(step("set-up"), step("pitch"), step("cool", 'target = "24 C"\nby = "coil"'))
    # common knowledge: ice melts at 0 C, 32 F; derived: 20 C is 68.0 F, 40 C is 104 F, 12 C is 53.6 F
    assert "not at 0 C in melting ice" in said(schedule) and "water of 20.0 C" in said(schedule)
    assert "not at 32 F in melting ice" in said(schedule, 1, "us")
    assert "water of 68.0 F" in said(schedule, 1, "us")
    assert "at 40 C it dies" in said(schedule, 2) and "at 104 F it dies" in said(schedule, 2, "us")
    assert "warmer than 12.0 C" in said(schedule, 3) and "warmer than 53.6 F" in said(schedule, 3, "us")


def test_the_heat_that_kills_yeast_is_that_of_the_science() -> None:
    assert pitch_verdict(trouble.YEAST_DIES_CELSIUS + 0.1) == PitchVerdict.DEADLY
    assert pitch_verdict(trouble.YEAST_DIES_CELSIUS) != PitchVerdict.DEADLY


def test_a_cold_landing_is_warmed_with_what_is_there() -> None:
    dough_in = step("dough-in")
    assert "from the spare kettle" in said(load(BARLEY), 3)
    assert "low heat on" in said(day(dough_in, pot=HEATED))
    bag = step("separate", 'by = "hung bag"')
    assert "lift the bag off the bottom, put low heat on" in said(day(dough_in, bag, pot=HEATED))
    assert "add boiling water by portions" in said(day(dough_in))


def test_malt_for_a_cooked_mash_is_kept_out_while_a_place_is_too_hot() -> None:
    schedule = day(step("cook"), step("dough-in"))
    assert "still over 66 C: keep the malt out" in said(schedule, 2)
    assert "still over 151 F" in said(schedule, 2, "us")  # derived: 150.8 F
    assert "keep the malt out" not in said(day(step("dough-in")))


def test_water_heated_beside_a_mash_does_not_ask_for_room_in_the_pot() -> None:
    schedule = day(step("heat"), step("dough-in"), step("heat"))
    assert "Too little room for the grain" in said(schedule)
    assert "room" not in said(schedule, 3) and "leave the mash resting" in said(schedule, 3)


def test_a_power_cut_is_spoken_of_wherever_something_is_hot_on_a_heater() -> None:
    for kind in ("rest", "cook", "raise", "mash-out", "boil"):
        assert "Power or gas gone" in said(day(step(kind), pot=HEATED)), kind
    assert "Element cuts out" in said(day(step("heat"))) and "Gas runs out" in said(day(step("heat")))
    assert "Power" not in said(day(step("rest")))  # a box without a heater stands by its own heat


def test_a_pot_without_a_heater_is_raised_with_hot_water() -> None:
    assert "more boiling water" in said(day(step("raise")))
    assert "Smells burnt" in said(day(step("raise"), pot=HEATED))


def test_starch_that_was_never_cooked_is_not_waited_for() -> None:
    raw = day(step("dough-in"), step("starch-check"))
    assert "only boiling opens it" in said(raw, 2)
    cooked = day(step("cook"), step("dough-in"), step("starch-check"))
    assert "only boiling opens it" not in said(cooked, 3) and "third time" in said(cooked, 3)


def test_wort_that_does_not_cool_is_never_sealed_and_pitched_by_tomorrow() -> None:
    for way in get_args(Cooling):
        schedule = day(step("cool", f'target = "24 C"\nby = "{way}"'), step("pitch"))
        assert "never seal it" in said(schedule) and "tomorrow" in said(schedule)


def test_a_mash_that_cools_towards_its_malt_is_not_spoken_of_as_wort() -> None:
    schedule = day(step("cook"), step("cool", 'target = "66 C"'), step("dough-in"))
    assert "tomorrow" not in said(schedule, 2) and "Cooled too far" in said(schedule, 2)


def test_what_goes_in_only_above_or_below_a_temperature_is_kept_back() -> None:
    plain = day(step("add"))
    bound = day(step("add", 'what = "nutrient"\nbelow = "35 C"\nabove = "20 C"'))
    assert "keep it back" not in said(plain)
    assert "Still over 35.0 C" in said(bound) and "Not yet over 20.0 C" in said(bound)
    assert "Still over 95.0 F" in said(bound, 1, "us")  # derived: 35 * 9/5 + 32
    fair(trouble.lines(bound, 1, "us"))


def test_nothing_is_said_of_what_comes_after_the_pitched_wash() -> None:
    everything = "\n".join(said(day(step(kind), pot=HEATED)) for kind in NEEDED)
    assert not re.search(r"\b(distil|still head|spirit|vapou?r|column|low wines)", everything, re.IGNORECASE)
