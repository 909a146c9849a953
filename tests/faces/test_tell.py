"""A moment of the day in words: instruction, countdown, verdict, question, remedy, outlook, why."""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, starch, temperature, volume
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decision import Refused
from mashday.engine.moves import ALL
from mashday.faces import at_hand
from mashday.faces.entries import _TELLERS, entry_lines
from mashday.faces.lines import understood
from mashday.faces.moment import Moment, countdown, lateness, minutes
from mashday.faces.plain import PlainFace
from mashday.faces.tell import MOVES, view
from mashday.faces.telling import view_of
from mashday.faces.view import View
from mashday.faces.vocabulary import WORDS
from mashday.schedule import cautions
from mashday.schedule.door import load
from mashday.schedule.model import Container
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import Session, begin

JUG = Container(name="jug", volume="1.5 L")
CUP = Container(name="cup", volume="250 mL")
SAMPLES = ("lock-seven-barley", "sluice-maize", "towpath-stepped", "bargemans-rye", "winding-hole-box")


def at(t: float) -> datetime:
    return BEGAN + timedelta(seconds=t)


def seen(day: Day, **more: str) -> View:
    return view(day.schedule, day.state, day.t, at, **more)


def fresh(extra: str = "") -> Day:
    return Day(load(BARLEY + extra))


def sampled(name: str) -> Day:
    return Day(load(sample_text(name)))


def low_by_two() -> Day:
    """A rest read two degrees low, with its remedy open."""
    day = fresh().to_step(4).after(minutes=6)
    day.read(61.0)
    return day


def option(day: Day, way: str) -> f.RemedyOffered:
    return next(one for one in day.state.offers[-1].options if one.way == way)


def strings(value: object) -> Iterator[str]:
    """Every text of a view, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple | frozenset):
        for one in value:
            yield from strings(one)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from strings(getattr(value, field.name))


# derived: what is left is rounded up to the second, what is over is rounded down
@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        (0.001, "00:01"),
        (0.0, "00:00"),
        (59.2, "01:00"),
        (60.0, "01:00"),
        (3599.5, "1:00:00"),
        (3600.0, "1:00:00"),
        (36061.0, "10:01:01"),
        (-0.4, "+00:00"),
        (-59.9, "+00:59"),
        (-3601.0, "+1:00:01"),
    ],
)
def test_the_countdown_is_rounded_up_and_what_is_over_is_rounded_down(seconds: float, shown: str) -> None:
    assert countdown(seconds) == shown


@given(st.floats(min_value=1e-3, max_value=1e5))
def test_nothing_is_shown_as_due_while_anything_is_left(seconds: float) -> None:
    assert countdown(seconds) != "00:00"


def test_long_and_late_times_are_said_in_hours() -> None:
    assert (minutes(12.4), minutes(119.0), minutes(125.0)) == ("12 min", "119 min", "2 h 05 min")
    assert (lateness(9.9), lateness(200.0), lateness(3700.0)) == ("9 s", "3 min 20 s", "1 h 01 min")


# derived: the volume over the container's
@pytest.mark.parametrize(
    ("litres", "said"),
    [
        (1.4, "about a jug"),
        (0.75, "about half a jug"),
        (1.1, "about three quarters of a jug"),
        (2.25, "about one and a half jugs"),
        (3.0, "about two jugs"),
        (6.0, "about 4 jugs"),
        (15.0, "about 10 jugs"),
        (60.0, None),
        (0.01, None),
        (0.0, None),
    ],
)
def test_volumes_are_told_in_jugs(litres: float, said: str | None) -> None:
    assert at_hand.about(litres, (JUG,)) == said


def test_of_two_containers_the_one_that_fits_is_taken() -> None:
    assert at_hand.about(0.25, (JUG, CUP)) == "about a cup"
    assert at_hand.about(1.5, (JUG, CUP)) == "about a jug"
    assert at_hand.about(0.5, (CUP,)) == "about two cups"
    assert at_hand.about(1.0, ()) is None


@pytest.mark.parametrize(
    ("name", "one", "two"),
    [
        ("glass", "a glass", "two glasses"),
        ("ladle", "a ladle", "two ladles"),
        ("ewer", "an ewer", "two ewers"),
        ("caddy", "a caddy", "two caddies"),
        ("tray", "a tray", "two trays"),
    ],
)
def test_containers_are_counted_by_the_english_plural(name: str, one: str, two: str) -> None:
    container = Container(name=name, volume="1 L")
    assert at_hand.about(1.0, (container,)) == f"about {one}"
    assert at_hand.about(2.0, (container,)) == f"about {two}"


@given(st.floats(min_value=0.0, max_value=100.0), st.floats(min_value=0.01, max_value=20.0))
def test_about_is_never_far_off(litres: float, holds: float) -> None:
    container = Container(name="jug", volume=f"{holds:.6f} L")
    counts = {"about a jug": 1.0, "about half a jug": 0.5, "about two jugs": 2.0, None: None}
    count = counts.get(at_hand.about(litres, (container,)))
    # derived from NEAR_ENOUGH, 15 % of the volume
    assert count is None or abs(count * container.volume_litres - litres) <= 0.16 * litres


def test_before_the_day_it_says_to_start() -> None:
    shown = seen(fresh())
    assert shown.phase == "idle" and shown.instruction.startswith("Start the day")
    assert shown.step_number == 0 and shown.countdown == "" and shown.question == ""
    assert "start" in shown.moves and "start" in shown.words and "done" not in shown.words


def test_heating_says_how_much_to_what_and_where_it_would_land() -> None:
    day = fresh().to_step(2).after(minutes=10)
    shown = seen(day)
    assert shown.instruction.startswith("Heat 15.0 L of water to 69.")
    assert (shown.question, shown.question_unit) == ("water temperature", "C")
    day.read(45.0)
    shown = seen(day)
    assert any("would land at about" in line for line in shown.details)
    assert any("to go by the last reading" in line for line in shown.details)


def test_a_step_on_its_way_is_not_judged() -> None:
    day = fresh().to_step(2).after(minutes=10)
    day.read(45.0)
    shown = seen(day)
    assert shown.good is None and shown.verdict.endswith("to go")


def test_cooling_is_not_judged_on_its_way_and_good_when_there() -> None:
    day = fresh().to_step(7).after(minutes=10)
    day.read(40.0)
    assert (seen(day).good, seen(day).verdict) == (None, "16.0 C to go")  # derived: 40 - 24
    day.after(minutes=10).read(24.4)
    assert (seen(day).good, seen(day).verdict) == (True, "0.4 C high, good")
    assert seen(day).instruction.startswith("Cool enough")


@pytest.mark.parametrize(
    ("read", "verdict", "good"),
    [
        (63.0, "on target", True),
        (62.2, "0.8 C low, good", True),
        (63.9, "0.9 C high, good", True),
        (61.2, "1.8 C low", False),
        (65.1, "2.1 C high", False),
    ],
)
def test_a_rest_is_judged_by_its_target_and_band(read: float, verdict: str, good: bool) -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(read)
    assert (seen(day).verdict, seen(day).good) == (verdict, good)


def test_the_verdict_is_in_the_units_of_the_person() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(62.0)
    day.send(intents.ChooseUnits("us"))
    assert seen(day).verdict == "1.8 F low, good"  # derived: 1 K is 1.8 F


def test_a_rest_counts_down_its_own_time_and_names_the_next_reading() -> None:
    day = fresh().to_step(4).after(minutes=2)
    shown = seen(day)
    assert (shown.countdown, shown.countdown_label, shown.overdue) == ("58:00", "left of rest", False)
    assert (shown.question, shown.question_due) == ("mash temperature", "in 3 min")
    assert shown.next_due == f"{at(day.t + 180.0):%H:%M}"


def test_a_due_reading_is_what_there_is_to_do() -> None:
    shown = seen(fresh().to_step(4).after(minutes=5, seconds=1))
    assert shown.instruction.startswith("Stir, then read the mash temperature")
    assert shown.question_due == "due now" and shown.details[0].startswith("Why: ")
    assert [(call.text, call.rings) for call in shown.calls] == [("Mash temperature is due", True)]


def test_a_late_call_says_by_how_much() -> None:
    shown = seen(fresh().to_step(4).after(minutes=8, seconds=20))
    assert shown.calls[0].text == "Mash temperature is due, 3 min 20 s ago"


def test_an_open_remedy_is_told_with_its_ways() -> None:
    day = fresh('\n[[container]]\nname = "jug"\nvolume = "1.5 L"\n').to_step(4).after(minutes=6)
    day.read(61.0)
    shown = seen(day)
    assert shown.remedy == "61.0 C read, 2.0 C below 63.0 C"
    assert "of hot water" in shown.ways[0].headline and "of a jug" in shown.ways[0].headline
    assert any("lands at about 63.0 C" in line for line in shown.ways[0].details)
    assert shown.ways[-1].headline == "leave it as it is"
    assert {"take", "leave"} <= set(shown.words)
    assert shown.why[0].startswith("hot water: ")


def test_water_to_pour_is_told_most_of_it_first() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(1))
    shown = seen(day)
    assert shown.instruction.startswith("Pour in 0.") and shown.instruction.endswith(" water, stirring")
    assert shown.stages[1].text.startswith("look at the thermometer for about 62.")
    assert " more; then say how much" in shown.stages[1].text
    assert (shown.question, shown.question_unit) == ("how much water went in", "L")


def test_between_the_water_and_the_next_reading_it_says_to_stir() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(1))
    day.send(intents.AddWater(1.0, "1 L"))
    assert seen(day).instruction == "Stir well, lid on; the next reading shows what it did"
    day.after(minutes=4).read(62.9)
    assert seen(day).instruction.startswith("Rest at 63.0 C")


def test_while_the_heat_is_on_nobody_is_told_to_leave_it_alone() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(option(day, "fire").option))
    day.after(seconds=10)
    assert "heat on, stirring all the time, about " in seen(day).instruction
    day.after(minutes=10).read(62.9)
    assert seen(day).instruction.startswith("Rest at 63.0 C")


def test_while_it_cools_by_waiting_the_lid_is_off() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(65.0)
    wait = option(day, "lid off")
    assert wait.possible
    day.send(intents.TakeRemedy(wait.option))
    day.after(seconds=10)
    assert seen(day).instruction.startswith("Take the lid off, about ")


def test_a_way_that_cannot_be_taken_says_why() -> None:
    day = Day(load(BARLEY.replace("33 L", "20 L"))).to_step(4).after(minutes=6)
    day.read(59.0, sure=True)
    shown = next(way for way in seen(day).ways if "hot water" in way.headline)
    assert not shown.possible and shown.details == ()
    assert "not possible, it does not fit" in shown.headline


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (1, "Nothing goes on by itself"),
        (2, "The fire does not stop by itself"),
        (4, "goes on cooling and converting"),
        (6, "goes on running"),
        (7, "keep it covered"),
    ],
)
def test_a_hold_says_what_goes_on_in_the_pot(step: int, says: str) -> None:
    day = fresh().to_step(step)
    day.send(intents.Hold())
    assert seen(day).phase == "held" and says in seen(day).instruction
    assert says in entry_lines(day.state.log[-1], day.state, day.schedule)[0]


def test_the_countdown_stands_while_held() -> None:
    day = fresh().to_step(4).after(minutes=2)
    day.send(intents.Hold())
    before = seen(day).countdown
    assert seen(day.after(minutes=30)).countdown == before == "58:00"


def test_when_the_starch_check_failed_it_says_to_wait_for_the_next() -> None:
    day = fresh().to_step(5)
    day.send(starch(False))
    assert seen(day).instruction.startswith("Still starch")
    assert seen(day).question_unit == "1 gone, 2 left"
    day.after(minutes=15).send(starch(True))
    assert seen(day).instruction.startswith("The starch is gone")


def test_the_sparge_that_is_left_is_told_after_water_went_into_the_mash() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(1))
    day.send(intents.AddWater(1.0, "1 L"))
    shown = seen(day.to_step(6))
    assert "(of 7.5 L planned; the rest went into the mash)" in shown.instruction
    assert any(line.startswith("sparge with 6.") for line in shown.outlook)  # derived: 7.5 less about 1


def test_the_outlook_names_wash_and_end() -> None:
    told = " | ".join(seen(fresh().to_step(4).after(minutes=6)).outlook)
    for piece in ("converted", "first runnings about 1.0", "wash about ", "done about "):
        assert piece in told


def test_steps_have_their_planned_and_actual_times() -> None:
    day = fresh()
    day.send(intents.Start())
    day.after(minutes=45).send(intents.Done(sure=True))
    steps = seen(day).steps
    assert [step.mark for step in steps[:3]] == ["done", "now", "to come"]
    assert steps[1].planned == "10:20"  # common practice: set-up takes 20 minutes, timetable.USUAL_MINUTES
    assert (steps[1].actual, steps[3].target) == ("10:45", "63.0 C")


def test_the_curve_keeps_readings_bands_and_water_but_nothing_assumed() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(1))
    day.send(intents.AddWater(1.0, "1 L"))
    day.after(minutes=4).send(intents.AnswerUnknown())
    curve = seen(day).curve
    assert [celsius for _, celsius in curve.readings] == [69.0, 61.0]
    assert curve.additions == pytest.approx([6.0])
    assert (curve.bands[0].celsius, curve.bands[0].band_kelvin) == (63.0, 1.0)


def test_a_failed_starch_check_says_what_to_do_and_what_else_to_look_at() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(56.0, sure=True)
    day.send(intents.LeaveIt())
    day.after(minutes=20).to_step(5)
    day.send(starch(False))
    assert "the mash is too cool; bring it to 64.0 C" in seen(day).instruction
    assert any("pH of a cooled sample should be 5.2 to 5.6" in line for line in seen(day).details)
    day.send(intents.ChooseUnits("us"))
    assert "bring it to 147.2 F" in seen(day).instruction  # 64 C


def test_on_the_grain_red_brown_is_said_to_be_enough() -> None:
    day = sampled("bargemans-rye")
    number = next((n for n, one in enumerate(day.schedule.steps, 1) if one.kind == "starch-check"), None)
    separation = next(one for one in day.schedule.steps if one.kind == "separate")
    assert number is not None
    told = seen(day.to_step(number)).details
    assert any("red-brown is enough" in line for line in told) == (separation.by == "on the grain")


def test_a_mash_read_too_hot_says_what_is_left_and_what_to_do() -> None:
    day = fresh().to_step(4).after(minutes=3)
    day.read(74.0, sure=True)
    day.after(minutes=10)
    told = " ".join(seen(day).details)
    # regression of the model: after 10 min at 74 C no beta-amylase and half of the alpha-amylase are left
    assert "Too hot: about" in told and "beta-amylase about 0 %" in told
    assert "Cool it to about 62.5 C" in told and "1.00 kg of fresh malt" in told
    late = fresh().to_step(4).after(minutes=6)
    late.read(63.0)
    late.after(minutes=44).read(74.0, sure=True)
    assert "No harm done" in " ".join(seen(late).details)
    fine = fresh().to_step(4).after(minutes=6)
    fine.read(63.4)
    assert not any("Too hot" in line for line in seen(fine).details)


def test_a_weak_wash_is_told_with_what_would_do() -> None:
    day = fresh('\n[aim]\nwash = "20 L"\ngravity = "1.060"\n').to_step(8)
    day.send(gravity(1.050, 20.0))
    day.send(volume(20.0))
    told = seen(day).details
    assert any(line.startswith("Gravity 1.050 for 1.060") for line in told)
    # computed: 20 L from 1.050 to 1.060: 0.579 kg of sucrose, makes 20.36 L
    assert any("dissolve 0.58 kg of sugar; makes 20.4 L" in line for line in told)


def test_malt_is_held_back_while_the_water_is_too_hot() -> None:
    heated = '[[step]]\nkind = "dough-in"'
    text = BARLEY.replace(heated, f'[[step]]\nkind = "cool"\nby = "standing"\n\n{heated}')
    assert text != BARLEY

    def told(celsius: float) -> list[str]:
        day = Day(load(text)).to_step(3).after(minutes=20)
        day.read(celsius, sure=True)
        return [line for line in seen(day).details if "the mash would land" in line]

    # derived: 15 L at 84 C fall by some 5 C when 5 kg of grain at 18 C go in
    assert re.fullmatch(r"Not yet: at 84.0 C the mash would land at about 7\d.\d C; .*", told(84.0)[0])
    assert told(67.5)[0].startswith("At 67.5 C the mash would land at about 6")


def test_what_has_gone_in_is_told_as_a_running_total() -> None:
    day = fresh().to_step(4).after(minutes=6)
    assert "in the pot 5.00 kg of grain, 15.0 L of water" in seen(day).outlook
    day.read(61.0)
    day.send(intents.TakeRemedy(1))
    day.send(intents.AddWater(1.0, "added 1 L at 97 C", 97.0))
    # library: 1 L at 97 C weighs 0.9605 kg, 0.962 L cold
    assert "in the pot 5.00 kg of grain, 16.0 L of water" in seen(day).outlook
    day.to_step(7)
    assert not any(line.startswith("in the pot") for line in seen(day).outlook)


def test_why_shows_the_working_of_what_is_on_show() -> None:
    day = fresh().to_step(2)
    assert seen(day).why[0].startswith("heat the strike water to: 69")
    day.to_step(3)
    assert seen(day).why[0].startswith("the mash should land at: 6")
    day.to_step(4).after(minutes=6)
    day.read(62.9)
    assert any("exp(-UA t / C)" in line for line in seen(day).why)
    day.to_step(6).after(minutes=6)
    assert any("extract of the mash liquid" in line for line in seen(day).why)
    day.send(gravity(1.070, 24.0))
    assert any(line.startswith("gravity at 20/20 C") for line in seen(day).why)


def test_why_shows_what_the_starch_has_come_to_and_how_much_yeast_is_wanted() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(63.0)
    day.after(minutes=44).to_step(5)
    # regression of the model: 98 % within 49 min at 63 C, normal crush, 3 L/kg
    assert any(line.startswith("starch converted: about 9") for line in seen(day).why)
    day.to_step(6).send(gravity(1.075, 20.0))
    day.send(volume(20.0))
    day.to_step(8)
    assert any(line.startswith("dry yeast: about") for line in seen(day).why)


def test_a_day_left_standing_for_days_can_still_be_seen() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(63.0)
    assert seen(day.after(minutes=5000)).why


def test_the_dough_in_is_told_where_it_will_land_by_what_the_water_read() -> None:
    day = fresh().to_step(2)
    day.read(72.0, sure=True)
    if day.state.offer is not None:
        day.send(intents.LeaveIt())
    day.to_step(3)
    told = re.search(r"it should land at ([\d.]+) C", seen(day).instruction)
    assert told is not None
    why = re.search(r"the mash should land at: ([\d.]+) C", seen(day).why[0])
    assert why is not None
    assert told[1] == why[1]


def test_why_starts_from_a_measured_gravity() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(63.0)
    day.after(minutes=30).send(gravity(1.060, 20.0))
    assert any("converted, as measured" in line for line in seen(day).why)


def test_why_explains_a_way_without_water_too() -> None:
    day = fresh().to_step(2)
    day.read(73.0, sure=True)  # strike water too hot: the lid comes off
    offer = day.state.offer
    assert offer is not None and offer.options[0].way == "lid off"
    assert seen(day).why[0].startswith("lid off: ")
    assert any(line.startswith("lid off for: about") for line in seen(day).why)


def test_why_is_told_in_us_units_to_whoever_reads_them() -> None:
    day = fresh().to_step(2)
    day.send(intents.ChooseUnits("us"))
    assert seen(day).why[0].startswith("heat the strike water to: 15")
    assert not any(METRIC_NUMBER.search(line) for line in seen(day).why if line.count("=") == 1)


def test_a_mash_out_of_enzymes_is_not_forecast() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(88.0, sure=True)
    day.send(intents.LeaveIt())
    day.after(minutes=10)
    told = seen(day).outlook
    assert any("not enough enzyme is left" in line for line in told)
    assert not any(line.startswith(("wash about", "first runnings about")) for line in told)


def test_why_knows_a_hydrometer_in_plato_too() -> None:
    day = fresh().to_step(6).after(minutes=6)
    meant = understood("gravity 17 P at 20 C", day.schedule, day.state, day.t)
    assert isinstance(meant, intents.TakeReading)
    day.send(meant)
    # 17 Plato is SG 1.0698 by the table of Plato, from memory; a sample at 20 C needs no correction
    assert any(line.startswith("gravity at 20/20 C: 1.069") for line in seen(day).why)


def test_the_words_that_are_usable_are_those_the_moment_allows() -> None:
    for step in range(1, 10):
        day = fresh().to_step(step).after(minutes=3)
        shown = seen(day)
        assert shown.moves <= set(MOVES.values())
        for word in ("hold", "note", "ok", "tick", "units", "mute"):
            meant = understood(WORDS[word].written, day.schedule, day.state, day.t)
            assert isinstance(meant, intents.Intent)
            assert (word in shown.words) is not isinstance(day.ask(meant), Refused), (step, word)


def test_words_for_a_doubt_and_for_a_rehearsal_are_usable_only_there() -> None:
    day = fresh().to_step(4)
    assert not {"keep it", "wrong", "wait"} & set(seen(day).words)
    assert {"keep it", "wrong", "wait"} <= set(seen(day, doubt="Is it so?", thermometer="63.0 C").words)


def test_what_stands_around_a_moment_is_passed_on() -> None:
    shown = seen(fresh(), doubt="so?", not_saved="disk full", thermometer="63.0 C")
    assert (shown.doubt, shown.not_saved) == ("so?", "disk full")
    assert shown.thermometer == "63.0 C"


@pytest.mark.parametrize("name", SAMPLES)
def test_every_step_of_every_sample_has_its_instruction_and_its_words(name: str) -> None:
    day = sampled(name)
    day.send(intents.Start())
    for number in range(1, len(day.schedule.steps) + 1):
        if number > 1:
            if day.state.offer is not None and day.state.offer.is_open:
                day.send(intents.LeaveIt())
            day.after(minutes=7).send(intents.Skip(sure=True))
        shown = seen(day)
        assert shown.step_number == number and len(shown.instruction) > 10
        assert "None" not in shown.instruction and "nan" not in " ".join(shown.outlook)
        assert all(text.isprintable() for text in strings(shown))
        assert len(cautions.cautions(day.schedule, number)) <= 3


def test_a_us_day_is_told_in_us_units_alone() -> None:
    shown = seen(sampled("bargemans-rye").to_step(2).after(minutes=5))
    assert shown.units == "us" and shown.question_unit == "F"
    assert "gal of water to 1" in shown.instruction and " F" in shown.instruction
    assert " C" not in shown.instruction + shown.target and " L" not in shown.instruction


SAID: list[tuple[Callable[[Day], object], str]] = [
    (lambda day: day.read(62.4), "Reading 12: mash temperature 62.4 C, 0.6 C low, good."),
    (lambda day: day.read(61.0), "Reading 12: mash temperature 61.0 C, 2.0 C low."),
    (lambda day: day.send(intents.AnswerUnknown()), "Assumed, marked as not read: mash temperature"),
    (lambda day: day.send(intents.WriteNote("lid off")), "Note: lid off"),
    (lambda day: day.send(intents.Extend(10.0)), "10 min more for Rest."),
    (lambda day: day.send(intents.Snooze(2)), "Quiet for 2 min"),
    (lambda day: day.send(intents.GiveAmount("grain", 4.8, "4.8 kg")), "grain 4.80 kg instead of"),
    (lambda day: day.send(volume(17.0)), "17.0 L"),
]


@pytest.mark.parametrize(("does", "said"), SAID, ids=[said for _, said in SAID])
def test_what_happened_is_told_in_a_short_line(does: Callable[[Day], object], said: str) -> None:
    day = fresh().to_step(4).after(minutes=6)
    while day.state.seq < 11:
        day.send(intents.WriteNote("so that readings have two digits"))
    does(day)
    told = [line for entry in day.state.log[11:] for line in entry_lines(entry, day.state, day.schedule)]
    assert any(said in line for line in told), told
    assert told[0].startswith(f"{at(day.t):%H:%M}  ")


def test_the_ways_of_a_remedy_stand_under_one_time_of_day() -> None:
    day = low_by_two()
    offered = [entry for entry in day.state.log if isinstance(entry.fact, f.RemedyOffered)]
    told = [line for entry in offered for line in entry_lines(entry, day.state, day.schedule)]
    assert [line[:5].strip() != "" for line in told] == [True, *(False for _ in offered)]
    assert [line.strip()[:2] for line in told[1:]] == [f"{place}:" for place in range(1, len(offered) + 1)]


def test_a_correction_and_an_undo_are_told() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.read(62.4)
    number = day.state.readings[-1].number
    day.send(intents.Correct(number, 62.9, "C", "62.9", 62.9))
    told = entry_lines(day.state.log[-1], day.state, day.schedule)
    assert told == (f"{at(day.t):%H:%M}  Reading {number} corrected to 62.9, 0.1 C low, good.",)
    day.send(intents.Undo())
    assert "Taken back: correction" in entry_lines(day.state.log[-1], day.state, day.schedule)[0]


def test_every_kind_of_fact_can_be_told() -> None:
    assert set(_TELLERS) == set(f.KINDS.values())


def test_texts_from_a_person_cannot_steer_a_terminal() -> None:
    day = fresh()
    day.send(intents.Start())
    day.send(intents.WriteNote("a\x1b[31mb\u202ec"))
    told = entry_lines(day.state.log[-1], day.state, day.schedule)
    assert told and all(line.isprintable() for line in told)


def test_a_reading_is_said_in_the_units_chosen() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.send(temperature(62.6))
    entry = next(e for e in reversed(day.state.log) if isinstance(e.fact, f.ReadingTaken))
    day.send(intents.ChooseUnits("us"))
    assert "144.7 F" in entry_lines(entry, day.state, day.schedule)[0]  # derived: 62.6 * 1.8 + 32 = 144.68


A_VERB = re.compile(
    r"(Add|Bring|Check|Choose|Clean|Cook|Cool|Drain|Go|Heat|Keep|Lay|Leave|Lift|Pitch|Pour|Put|Raise|Read|Rest"
    r"|Say|Sieve|Start|Stir|Take)\b"
)
"""What an instruction may begin with."""
SAYS_FIRST_HOW_IT_STANDS = (
    "Cool enough; go on",
    "Given up. See that",
    "Held. ",
    "Still starch: stir",
    "The boil is over: heat off; go on",
    "The cook is over: heat off; go on",
    "The day is over; the summary follows",
    "The rest is over; go on",
    "The starch is gone; go on",
)
METRIC_NUMBER, US_NUMBER = re.compile(r"\d (C|L|mL|kg|g)\b"), re.compile(r"\d (F|gal|qt|lb|oz)\b")


def begins_with_a_verb(instruction: str) -> bool:
    return bool(A_VERB.match(instruction)) or instruction.startswith(SAYS_FIRST_HOW_IT_STANDS)


def check(shown: View) -> None:
    """What holds of every moment of every day."""
    told = list(strings(shown))
    assert all(text.isprintable() and text.isascii() for text in told), told
    assert begins_with_a_verb(shown.instruction), shown.instruction
    assert shown.overdue is (shown.countdown[:1] == "+" or shown.countdown == "00:00")
    assert bool(shown.countdown) is bool(shown.countdown_label)
    assert shown.moves <= set(MOVES.values())
    marks = [step.mark for step in shown.steps]
    assert marks.count("now") == (1 if shown.phase in ("running", "held") else 0)
    assert "to come" not in marks[: max(0, shown.step_number - 1)]
    assert all(mark == "to come" for mark in marks[shown.step_number :])
    assert all(call.late_seconds >= 0.0 for call in shown.calls)
    assert bool(shown.ways) is bool(shown.remedy)
    assert len(shown.cautions) <= 3
    other = METRIC_NUMBER if shown.units == "us" else US_NUMBER
    own = dataclasses.replace(shown, why=(), checklist=(), if_it_goes_wrong=())
    assert not [text for text in strings(own) if other.search(text)]


def whole(name: str) -> tuple[Session, list[View]]:
    """A day lived through beside the simulated pot, and what was to be seen after each entry."""
    session = begin(sample_text(name), VirtualClock(), folder=None, rehearsed=True, seed=1)
    found: list[View] = []
    assert whole_day(session, lambda entry: found.append(view_of(session))).finished
    return session, found


@pytest.mark.parametrize("name", SAMPLES)
def test_a_whole_day_is_told_from_its_first_moment_to_its_last(name: str) -> None:
    session, views = whole(name)
    for shown in views:
        check(shown)
    assert {shown.step_number for shown in views} == set(range(1, len(session.schedule.steps) + 1))
    assert views[-1].phase == "complete"
    assert {step.mark for step in views[-1].steps} == {"done"}
    assert any(shown.calls for shown in views) and any(shown.good for shown in views)


@pytest.mark.parametrize("name", SAMPLES)
def test_every_step_of_every_sample_is_told_early_late_and_held(name: str) -> None:
    day = sampled(name)
    for number in range(1, len(day.schedule.steps) + 1):
        day.to_step(number)
        for minutes_on in (0.0, 3.0, 200.0):
            check(seen(day.after(minutes=minutes_on)))
        day.send(intents.Hold())
        held = seen(day.after(minutes=5))
        check(held)
        assert held.phase == "held" and held.calls == () and held.next_due == ""
        day.send(intents.Resume())


@pytest.mark.parametrize(
    ("ends", "phase", "says"),
    [
        (intents.Finish(sure=True), "complete", "The day is over"),
        (intents.Abort(sure=True), "aborted", "Given up"),
    ],
)
def test_an_ended_day_asks_counts_and_calls_nothing(ends: intents.Intent, phase: str, says: str) -> None:
    day = low_by_two()
    day.send(ends)
    shown = seen(day.after(minutes=90))
    assert shown.phase == phase and shown.instruction.startswith(says)
    assert (shown.countdown, shown.question, shown.next_due, shown.remedy) == ("", "", "", "")
    assert shown.calls == () and shown.ways == () and shown.moves == {"note", "closing", "reading", "units"}
    assert "done" not in shown.words and "note" in shown.words


def test_a_day_given_up_says_first_of_all_that_the_heat_must_be_off() -> None:
    day = fresh().to_step(2)
    day.send(intents.Abort(sure=True))
    assert "the heat is off" in seen(day).instruction


def test_a_rest_over_its_time_is_overdue_by_the_second_and_not_before() -> None:
    text = BARLEY.replace('time = "60 min"', 'time = "60 min"\nconfirm = true')
    day = Day(load(text)).to_step(4).after(minutes=6)
    day.read(63.0)
    day.after(minutes=30).read(63.0)
    day.after(minutes=23, seconds=59.5).read(62.9)
    assert (seen(day).countdown, seen(day).overdue) == ("00:01", False)
    assert (seen(day.after(seconds=0.5)).countdown, seen(day).overdue) == ("00:00", True)
    late = seen(day.after(minutes=2, seconds=5.9))
    assert (late.countdown, late.countdown_label) == ("+02:05", "over the time of rest")
    assert late.instruction == "The rest is over; go on to the next step"
    assert [(call.text, call.urgency) for call in late.calls][:1] == [
        ("Rest: time is up, 2 min 05 s ago", "now")
    ]


def test_a_question_counts_down_to_its_moment_and_up_from_there() -> None:
    day = fresh().to_step(7)
    assert seen(day).countdown_label == "to the wort temperature" and not seen(day).overdue
    late = seen(day.after(minutes=60))
    assert late.countdown.startswith("+") and late.countdown_label == "since the wort temperature was due"
    assert late.question_due.startswith("due ") and late.question_due.endswith(" min ago")


def test_a_step_that_began_by_itself_calls_until_it_is_acknowledged() -> None:
    day = fresh().to_step(4).after(minutes=6)
    for _ in range(4):
        day.read(63.0)
        day.after(minutes=18)
    day.tick()
    assert "Starch check has begun" in [call.text for call in seen(day).calls]
    day.send(intents.Acknowledge())
    assert not [call for call in seen(day).calls if "has begun" in call.text and not call.acknowledged]


def test_a_cook_is_on_its_way_until_its_time_runs_and_judged_from_there() -> None:
    day = sampled("sluice-maize").to_step(2)
    while day.schedule.step(day.state.step).kind != "cook":
        day.send(intents.Skip(sure=True))
    assert seen(day).instruction.startswith("Bring ") and seen(day).countdown_label.startswith("to the ")
    day.after(minutes=20).read(60.0)
    assert seen(day).good is None and seen(day).verdict.endswith(" to go")
    target = day.schedule.step(day.state.step).target_celsius  # type: ignore[union-attr]
    day.after(minutes=30).read(target)
    assert seen(day).good is True and seen(day).countdown_label == "left of cook"


def test_an_assumed_reading_is_said_to_be_assumed() -> None:
    day = fresh().to_step(4).after(minutes=6)
    day.send(intents.AnswerUnknown())
    assert seen(day.after(minutes=2)).last_reading.endswith(", 2 min ago, assumed")
    day.read(62.9)
    assert seen(day).last_reading == "62.9 C, just now"


# the cautions that the trade and the public bulletins give, by where they apply; sources in cautions.py
CAUTIONS = [
    ("lock-seven-barley", "set-up", "flour in the air harms lungs"),
    ("lock-seven-barley", "set-up", "carbon-monoxide alarm"),
    ("lock-seven-barley", "heat", "never under a roof"),
    ("lock-seven-barley", "heat", "residual-current protection"),
    ("lock-seven-barley", "dough-in", "at 65 C scald in about two seconds"),
    ("lock-seven-barley", "dough-in", "open away from you"),
    ("towpath-stepped", "raise", "scald"),
    ("towpath-stepped", "mash-out", "scald"),
    ("sluice-maize", "cook", "throws hot blobs and stays hot"),
    ("sluice-maize", "cook", "boiling over"),
    ("towpath-stepped", "boil", "boiling over"),
    ("lock-seven-barley", "starch-check", "never back into the pot"),
    ("lock-seven-barley", "separate", "the mash weighs about 20 kg without it"),  # 14.97 + 5 kg
    ("lock-seven-barley", "separate", "below 30 C before the hydrometer goes in"),
    ("lock-seven-barley", "cool", "out of the coil scalds"),
    ("lock-seven-barley", "cool", "by tomorrow"),
    ("bargemans-rye", "cool", "never close it up"),
    ("lock-seven-barley", "pitch", "sinks and stays"),
    ("lock-seven-barley", "pitch", "What your law says"),
    ("lock-seven-barley", "clean-up", "acid and chlorine never meet"),
    ("bargemans-rye", "dough-in", "at 149 F scald"),  # 65 C
    ("bargemans-rye", "separate", "the mash weighs about 54 lb without it"),  # 5 gal, 12.5 lb of grain
    ("bargemans-rye", "pitch", "below 86 F before the hydrometer goes in"),  # 30 C
]


@pytest.mark.parametrize(("name", "kind", "piece"), CAUTIONS)
def test_a_caution_stands_at_the_step_where_it_applies(name: str, kind: str, piece: str) -> None:
    day = sampled(name)
    number = next(n for n, step in enumerate(day.schedule.steps, 1) if step.kind == kind)
    shown = seen(day.to_step(number))
    assert any(piece.lower() in caution.lower() for caution in shown.cautions), shown.cautions


@pytest.mark.parametrize(("by", "word"), [("fire", "about"), ("hot water", "more than"), (None, "about")])
def test_what_is_poured_in_to_raise_a_mash_comes_on_top_of_its_weight(by: str | None, word: str) -> None:
    text = sample_text("towpath-stepped").replace('by = "fire"', f'by = "{by}"' if by else "")
    schedule = load(text)
    told = cautions.of_the_day(schedule)
    # 19 L of water are 18.97 kg; 5.5 kg of malt
    assert any(f"the mash weighs {word} 24 kg without it" in caution for caution in told), told


def test_cautions_change_their_units_with_the_person() -> None:
    day = fresh().to_step(6)
    day.send(intents.ChooseUnits("us"))
    assert not any(METRIC_NUMBER.search(text) for text in seen(day).cautions)
    assert any("44 lb" in text for text in seen(day).cautions)


def test_a_sample_is_put_right_to_a_temperature_the_person_knows() -> None:
    day = fresh().to_step(6).after(minutes=6)
    day.send(gravity(1.070))
    day.send(intents.ChooseUnits("us"))
    day.send(intents.TakeReading("sample temperature", 75.2, "F", "75.2", 24.0))
    entry = next(e for e in reversed(day.state.log) if isinstance(e.fact, f.SampleTemperatureGiven))
    assert "at 68.0 F" in entry_lines(entry, day.state, day.schedule)[0]  # 20 C


def test_water_is_told_in_the_container_of_a_us_day() -> None:
    day = sampled("bargemans-rye").to_step(4).after(minutes=6)
    day.read(63.0)
    day.send(intents.TakeRemedy(1))
    assert re.match(r"Pour in \d\.\d+ (qt|gal) \(about .*(quart jug|cup)", seen(day).instruction)


HOSTILE = "[/][@click=app.quit]x[/] 50% {0} \\n $(id) `x`"


def hostile() -> Day:
    """A day whose every name is written like markup, a format or a command."""
    text = BARLEY.replace("Lock Seven barley wash", HOSTILE.replace("\\", ""))
    text = text.replace("pale barley malt", "[red]malt[/]").replace("malt weighed", "[b]x[/b] $(id)")
    text = text.replace('kind = "rest"', 'kind = "rest"\ntitle = "[@click=app.quit]rest[/]"')
    text = text.replace("dry distiller's yeast", "[link=x]yeast[/link]")
    return Day(load(text + '\n[[container]]\nname = "[blink]jug[/]"\nvolume = "1.5 L"\n'))


def test_names_like_markup_are_passed_on_letter_by_letter() -> None:
    assert HOSTILE.replace("\\", "") in seen(hostile()).instruction
    shown = seen(hostile().to_step(1))
    assert shown.checklist[0].text == "[b]x[/b] $(id)"
    assert "[red]malt[/]" in seen(hostile().to_step(3)).instruction
    rest = seen(hostile().to_step(4))
    assert rest.step_title == "[@click=app.quit]rest[/]"
    assert rest.countdown_label == "left of [@click=app.quit]rest[/]"
    pitching = hostile().to_step(8).after(minutes=1)
    pitching.read(23.0)
    for reading in (gravity(1.060, 20.0), volume(19.0)):
        pitching.send(reading)
    assert seen(pitching).instruction == "Pitch [link=x]yeast[/link]"


@pytest.mark.parametrize("step", range(1, 10))
def test_the_same_moment_is_told_the_same_way_and_nothing_is_changed_by_looking(step: int) -> None:
    for day in (hostile(), fresh()):
        day.to_step(step).after(minutes=7)
        before = day.state
        first, second = seen(day), seen(day)
        assert first == second and day.state is before


def test_every_kind_of_intent_has_its_move() -> None:
    assert set(MOVES) == set(ALL)
    assert len(set(MOVES.values())) == len(MOVES)


MOVING = [
    "start",
    "done",
    "skip",
    "hold",
    "resume",
    "undo",
    "more 5",
    "keep it",
    "wrong",
    "ok",
    "unknown",
    "",
]
ENTERING = [
    "62.9",
    "60",
    "66",
    "69.1",
    "24",
    "95",
    "1.05",
    "1.070",
    "1.060 at 24 C",
    "17 L",
    "1",
    "2",
    "leave",
]
OTHERS = ["starch pass", "starch fail", "added 1 L at boiling", "added 2 L at tap", "weighed 4.8 kg", "tick"]
LOOKING = ["measured 14 L", "units", "void 12", "correct 12 62", "note x", "snooze 2", "mute", "again", "why"]


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(SAMPLES),
    st.lists(
        st.tuples(
            st.sampled_from([0.0, 0.5, 3.0, 12.0, 70.0]),
            st.sampled_from([*MOVING, *ENTERING, *OTHERS, *LOOKING]),
        ),
        max_size=40,
    ),
)
def test_whatever_is_done_the_moment_can_be_told(name: str, script: list[tuple[float, str]]) -> None:
    clock = VirtualClock()
    session = begin(sample_text(name), clock, folder=None)
    out = io.StringIO()
    face = PlainFace(session, out)
    face.take("start")
    for passed, line in script:
        clock.advance(60.0 * passed)
        face.news()
        face.take(line)
        shown = view_of(session)
        assert shown.instruction and all(text.isprintable() for text in strings(shown))
        assert all(step.actual for step in shown.steps)
        now = Moment(session.schedule, session.state, session.t(), session.at)
        assert now.clock(session.t()) == shown.time_of_day
    assert out.getvalue().isascii()


def test_a_reading_after_a_change_and_a_second_check_stand_in_the_step_list() -> None:
    day = low_by_two()
    day.send(intents.TakeRemedy(1))
    day.send(intents.AnswerUnknown())
    extra = [step for step in seen(day).steps if step.extra]
    assert [step.title for step in extra] == ["read again"]
    assert seen(day).steps.index(extra[0]) == day.state.step
    checked = fresh().to_step(5)
    assert not any(step.extra for step in seen(checked).steps)
    checked.send(starch(False))
    (again,) = [step for step in seen(checked).steps if step.extra]
    assert again.title == "starch check again" and again.place == " +"
    # a quarter of an hour after the failed one, as the schedule says
    assert again.actual == f"{at(checked.t + 900.0):%H:%M}"


def test_a_known_pot_says_at_the_heat_what_its_days_taught() -> None:
    day = fresh()
    day.write((f.PotKnown("kettle", 2, thicknesses=(3.0, 3.0), dough_ins=(-0.9, -0.7)),))
    day.to_step(2)
    assert any("By 2 days this pot lands 0.7 C cooler than the sum" in line for line in seen(day).details)
    assert seen(day).why[0].startswith("by 2 dough-ins this pot lands 0.7 C cooler")


def test_a_wort_with_next_to_no_sugar_is_told_like_any_other() -> None:
    day = Day(load(BARLEY)).to_step(8)
    day.send(dataclasses.replace(gravity(1.002, 20.0), sure=True))
    day.send(dataclasses.replace(volume(20.0), sure=True))
    shown = view(day.schedule, day.state, day.t, lambda t: BEGAN + timedelta(seconds=t))
    assert not any("dry yeast" in line for line in shown.why)


def test_why_a_way_of_an_entry_of_another_hand_cannot_be_taken_acts_on_no_terminal() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=10)
    found = day.read(70.0, sure=True)
    offer = next(one for one in found if isinstance(one, f.RemedyOffered))
    number = day.state.seq + 1
    forged = [
        dataclasses.replace(offer, offer=number, option=n, possible=n > 1, why="no\x1b[2J\u202e")
        for n in (1, 2)
    ]
    day.write((day_reading(70.1), *forged))
    shown = view(day.schedule, day.state, day.t, lambda t: BEGAN + timedelta(seconds=t))
    told = [line for way in shown.ways for line in (way.headline, *way.details)]
    assert len(shown.ways) == 2 and all(line.isprintable() for line in told)


def day_reading(celsius: float) -> f.ReadingTaken:
    return f.ReadingTaken(4, "temperature", "mash", celsius, "C", f"{celsius}", celsius=celsius)
