"""A way that was taken, stage by stage: pour, look, stir, read, each with its own timer."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from days import BARLEY, BEGAN, Day

from mashday.engine import calls, intents
from mashday.engine import facts as f
from mashday.faces import guide, ways
from mashday.faces.entries import entry_lines
from mashday.faces.moment import Moment
from mashday.faces.reasons import why
from mashday.faces.tell import view
from mashday.faces.view import View
from mashday.schedule.door import load


def at(t: float) -> datetime:
    return BEGAN + timedelta(seconds=t)


def seen(day: Day) -> View:
    return view(day.schedule, day.state, day.t, at)


def taking(way: str, celsius: float) -> Day:
    """A day whose rest was read at so much, with this way taken."""
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(celsius, sure=True)
    option = next(one for one in day.state.offers[-1].options if one.way == way)
    assert option.possible, option.why
    day.send(intents.TakeRemedy(option.option))
    return day


def now_doing(day: Day) -> str:
    return next(stage.text for stage in seen(day).stages if stage.mark == "now")


def test_water_is_poured_looked_at_told_stirred_and_read() -> None:
    day = taking("hot water", 61.0)
    heard = [now_doing(day)]
    day.after(minutes=2)
    heard.append(now_doing(day))
    day.send(intents.AddWater(1.0, "1 L"))
    heard.append(now_doing(day))
    day.after(minutes=3)
    heard.append(now_doing(day))
    firsts = [text.split()[0] for text in heard]
    assert firsts == ["pour", "look", "stir", "read"]
    day.read(62.9)
    assert seen(day).stages == ()


def test_each_stage_of_the_water_has_its_own_timer() -> None:
    day = taking("hot water", 61.0)
    assert (seen(day).countdown, seen(day).countdown_label) == ("02:00", "to the look")
    day.after(minutes=1)
    assert seen(day).countdown == "01:00"
    day.send(intents.AddWater(1.0, "1 L"))
    assert (seen(day).countdown, seen(day).countdown_label) == ("03:00", "of stirring, then read")


def test_what_is_left_of_the_rest_stands_beside_the_timer_of_a_stage() -> None:
    day = taking("hot water", 61.0)
    assert seen(day).step_left == "54:00"  # derived: 60 min, six of them gone
    day.send(intents.AddWater(1.0, "1 L"))
    day.after(minutes=3).read(62.9)
    assert seen(day).step_left == ""


def test_the_first_portion_and_the_rest_make_the_whole() -> None:
    day = taking("hot water", 61.0)
    way = day.state.offers[-1].way_taken
    assert way is not None
    shown = seen(day)
    rest = f"{way.litres - way.first_litres:.2f} L"
    assert f"{way.first_litres:.2f} L" in shown.stages[0].text and rest in shown.stages[1].text


@pytest.mark.parametrize(
    ("way", "celsius", "first", "then", "urgency"),
    [
        ("fire", 61.0, "lift the bag off the bottom, heat on", "Heat off", "danger"),
        ("lid off", 65.0, "take the lid off", "Lid on again", "now"),
        ("decoction", 61.0, "draw off", "Stir the boiled part back in", "now"),
        ("part out", 65.0, "take out", "Stir the cooled part back in", "now"),
    ],
)
def test_the_end_of_a_way_without_water_calls(
    way: str, celsius: float, first: str, then: str, urgency: str
) -> None:
    day = taking(way, celsius)
    taken = day.state.offers[-1].way_taken
    assert taken is not None
    assert now_doing(day).startswith(first)
    day.after(seconds=60.0 * taken.minutes - 1.0)
    assert seen(day).calls == () and now_doing(day).startswith(first)
    day.after(seconds=1.0)
    (call,) = seen(day).calls
    assert call.text.startswith(then) and call.rings and call.urgency == urgency
    day.send(intents.Acknowledge())
    assert not seen(day).calls[0].rings
    day.after(minutes=3).read(63.0)
    assert all(not call.text.startswith(then) for call in seen(day).calls)


def test_a_call_for_the_heat_is_answered_by_saying_so_alone_and_kept_with_how_late() -> None:
    day = taking("fire", 61.0)
    day.after(minutes=9).read(63.0)
    assert called(day) and not any(answered.what.startswith("fire in ") for answered in day.state.answered)
    day.send(intents.Acknowledge())
    assert called(day) == []
    assert any(answered.what.startswith("fire in ") for answered in day.state.answered)


def test_waiting_with_the_lid_on_ends_with_the_reading_alone() -> None:
    day = taking("wait", 64.1)
    way = day.state.offers[-1].way_taken
    assert way is not None
    day.after(minutes=way.minutes + 1.0)
    assert seen(day).calls == () and now_doing(day) == "stir"


def test_a_held_day_leads_through_nothing() -> None:
    day = taking("fire", 61.0)
    day.send(intents.Hold())
    moment = Moment(day.schedule, day.state, day.t, at)
    assert guide.stages(moment) == () and guide.timer(moment) is None


def test_more_time_has_no_stages() -> None:
    day = taking("more time", 61.0)
    assert seen(day).stages == () and calls.way_under_way(day.state) is None


def test_a_way_taken_back_leads_through_nothing() -> None:
    day = taking("fire", 61.0)
    day.send(intents.Undo())
    assert seen(day).stages == ()


WEAK = BARLEY.replace('heater = "2.5 kW"', 'heater = "0.6 kW"')


def heating(celsius: float = 60.0) -> Day:
    """A day in its rest with a weak fire on: some nine minutes of it for 3 K."""
    day = Day(load(WEAK)).to_step(4).after(minutes=11)
    day.read(celsius)
    option = next(one for one in day.state.offers[-1].options if one.way == "fire")
    assert option.minutes > 6.0
    day.send(intents.TakeRemedy(option.option))
    return day


def called(day: Day) -> list[str]:
    return [call.text for call in seen(day).calls if call.rings and call.urgency == "danger"]


def test_a_reading_while_the_heat_is_on_leaves_the_heat_to_be_turned_off() -> None:
    day = heating()
    way = day.state.offers[-1].way_taken
    assert way is not None
    day.after(minutes=3).read(61.0)
    assert "heat on" in now_doing(day) and day.state.offers[-1].way_taken is way
    day.after(minutes=way.minutes - 3.0)
    assert called(day) == ["Heat off now"] and now_doing(day) == "heat off; stir"


def test_a_mash_that_is_there_sooner_calls_for_the_heat_at_once() -> None:
    day = heating()
    day.after(minutes=3)
    assert called(day) == []
    day.read(63.4)
    assert called(day) == ["Heat off now"] and now_doing(day) == "heat off; stir"


def test_a_mash_too_hot_while_the_heat_is_on_is_answered_with_what_cools_it() -> None:
    day = heating()
    day.after(minutes=3).read(66.0, sure=True)
    assert called(day) == ["Heat off now"]
    shown = seen(day)
    assert shown.remedy == "heat off; 66.0 C read, 3.0 C above 63.0 C"
    assert any("lid off" in way.headline for way in shown.ways)
    day.send(intents.Acknowledge())
    assert called(day) == [] and seen(day).remedy == "66.0 C read, 3.0 C above 63.0 C"


def test_a_step_that_ends_with_the_heat_on_calls_for_it_in_the_next() -> None:
    day = heating()
    day.after(minutes=1).send(intents.Skip(sure=True))
    assert called(day) == ["Heat off now"]
    day.send(intents.Acknowledge())
    assert called(day) == []


def test_a_step_that_heats_itself_goes_on_with_the_heat_on() -> None:
    raised = '[[step]]\nkind = "raise"\ntarget = "72 C"\nby = "fire"\n[[step]]\nkind = "starch-check"'
    day = Day(load(WEAK.replace('[[step]]\nkind = "starch-check"', raised))).to_step(4).after(minutes=11)
    day.read(60.0)
    option = next(one for one in day.state.offers[-1].options if one.way == "fire")
    day.send(intents.TakeRemedy(option.option))
    day.after(minutes=1).send(intents.Skip(sure=True))
    assert day.schedule.step(day.state.step).kind == "raise" and called(day) == []


def test_a_lid_is_put_on_again_when_the_mash_has_come_down_sooner() -> None:
    day = taking("lid off", 65.0)
    day.after(minutes=2).read(64.5)
    assert now_doing(day).startswith("take the lid off")
    day.after(minutes=1).read(62.9)
    assert now_doing(day).endswith("lid on; stir")
    assert [call.text for call in seen(day).calls] == ["Lid on again now"]


@pytest.mark.parametrize(
    ("minutes", "told"),
    [
        (1.0 / 3.0, "20 s"),
        (4.0 / 3.0, "1 min 20 s"),
        (4.0, "4 min"),
        (62.0 / 60.0, "1 min"),
        (13.4, "13 min"),
    ],
)
def test_a_time_is_told_as_it_can_be_held(minutes: float, told: str) -> None:
    # steps of 5 s below 2 min, 10 s below 10 min, whole minutes beyond (judgement)
    assert ways.time_said(minutes) == told


@pytest.mark.parametrize(
    ("by", "first"), [("hung bag", "lift the bag off the bottom, heat on"), ("drained", "heat on")]
)
def test_no_fire_is_lit_under_a_bag_that_lies_on_the_bottom(by: str, first: str) -> None:
    day = Day(load(BARLEY.replace('"squeezed bag"', f'"{by}"'))).to_step(4).after(minutes=6)
    day.read(61.0)
    fire = next(way for way in seen(day).ways if "heat on" in way.headline)
    assert fire.headline.startswith(first)
    day.send(intents.TakeRemedy(fire.number))
    assert now_doing(day).startswith(first)


def test_a_short_fire_is_told_in_seconds_wherever_it_is_told() -> None:
    small = BARLEY.replace('"33 L"', '"10 L"').replace('"4.6 kg"', '"1.5 kg"').replace('"5 kg"', '"1.5 kg"')
    day = Day(load(small.replace('water = "15 L"', 'water = "4.5 L"'))).to_step(4).after(minutes=6)
    day.read(61.5)
    fire = next(way for way in seen(day).ways if "heat on" in way.headline)
    # 1.5 K into 22.1 kJ/K at 1.9 kW are 17 s, held as 15 s: 5 K a minute (heat balance, derived)
    assert fire.headline == "lift the bag off the bottom, heat on for about 15 s, stirring"
    assert "over 1.0 C it scorches: stir all the while" in fire.details[1]
    day.send(intents.TakeRemedy(fire.number))
    assert now_doing(day) == "lift the bag off the bottom, heat on, stirring all the time, about 15 s"
    assert seen(day).countdown == "00:15"


WITHOUT_SPARE = BARLEY.replace('[spare]\nwater = "3 L"\ntemperature = "boiling"\n', "")


def test_without_a_hot_spare_kettle_it_is_said_to_boil_the_water() -> None:
    day = Day(load(WITHOUT_SPARE)).to_step(4).after(minutes=6)
    day.read(60.5)
    water = next(way for way in seen(day).ways if "hot water" in way.headline)
    assert water.headline.startswith("boil and add ")
    day.send(intents.TakeRemedy(water.number))
    assert now_doing(day).startswith("boil it first; pour in ")


def test_more_water_for_the_grain_is_told_with_what_the_grain_then_wants() -> None:
    day = Day(load(BARLEY)).to_step(2)
    day.read(80.0)
    shown = seen(day)
    cold = next(way for way in shown.ways if "cold water" in way.headline)
    # 15 L at 69.0 C or 18.3 L at 67.9 C make the same mash (heat balance of the dough-in, derived)
    assert shown.remedy == "80.0 C read, 11.0 C above 69.0 C"
    assert "with so much water 67.9 C is what the grain wants" in cold.details


def test_no_water_poured_is_told_as_such() -> None:
    day = taking("hot water", 61.0)
    day.send(intents.AddWater(0.0, "0 L"))
    added = next(one for one in day.state.log if isinstance(one.fact, f.WaterAdded))
    (line,) = entry_lines(added, day.state, day.schedule)
    assert line.endswith("Written down: no water went in.")


def test_the_working_of_a_raise_by_water_too_cool_for_it_says_so() -> None:
    raised = '[[step]]\nkind = "raise"\ntarget = "72 C"\nby = "hot water"\n[[step]]\nkind = "starch-check"'
    text = BARLEY.replace('[[step]]\nkind = "starch-check"', raised).replace('"boiling"', '"70 C"')
    day = Day(load(text)).to_step(4).after(minutes=6)
    day.read(63.0)
    day.send(intents.Skip(sure=True))
    lines = why(Moment(day.schedule, day.state, day.t, at))
    assert lines[-1] == "water at 70.0 C brings no mash to 72.0 C: heat it further, or raise by fire"


def test_what_cools_the_mash_is_not_begun_over_a_fire_that_is_forgotten() -> None:
    day = heating()
    day.after(minutes=3).read(66.0, sure=True)
    cooling = next(one for one in day.state.offers[-1].options if one.way == "cold water")
    day.send(intents.TakeRemedy(cooling.option))
    assert called(day) == ["Heat off now"] and now_doing(day).startswith("pour in")
    day.after(minutes=2).send(intents.AddWater(cooling.litres, f"{cooling.litres} L"))
    assert called(day) == ["Heat off now, 2 min 00 s ago"]
    day.after(minutes=3).read(63.2)
    assert called(day) == ["Heat off now, 5 min 00 s ago"]
    day.send(intents.Acknowledge())
    assert called(day) == []


def test_a_day_of_an_older_version_that_took_water_where_none_was_possible_is_still_told() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.send(intents.AddWater(3.0, "3 L at 95 C", 95.0))
    day.after(minutes=4).read(60.0, sure=True)
    offer = day.state.offers[-1]
    hot = next(one for one in offer.options if one.way == "hot water")
    assert not hot.possible and hot.litres == 0.0
    day.write(
        (f.RemedyTaken(offer.number, hot.option), f.WaterAdded(4, 1.0, 0.96, 95.0, "1 L", offer.number))
    )
    assert [stage.text.split()[0] for stage in seen(day).stages] == ["stir", "read"]
    assert "stir" in guide.told(Moment(day.schedule, day.state, day.t, at), hot)


def test_heat_off_is_to_be_done_until_it_is_said() -> None:
    day = taking("fire", 61.0)
    way = day.state.offers[-1].way_taken
    assert way is not None
    day.after(minutes=way.minutes + 5)
    assert now_doing(day) == "heat off; stir" and called(day)[0].startswith("Heat off now")
    day.send(intents.Acknowledge())
    assert now_doing(day).startswith("read in")


@pytest.mark.parametrize("way", ["hot water", "fire"])
def test_a_reading_that_is_assumed_ends_a_way_but_no_fire_that_may_be_on(way: str) -> None:
    day = taking(way, 61.0)
    if way == "fire":
        day.after(minutes=10)
    else:
        day.after(minutes=2).send(intents.AddWater(1.0, "1 L"))
        day.after(minutes=3)
    day.send(intents.AnswerUnknown())
    if way == "fire":
        assert now_doing(day) == "heat off; stir"
        day.send(intents.Acknowledge())
    assert seen(day).stages == () and seen(day).instruction.startswith("Rest at")


def test_a_lid_that_is_off_is_put_on_though_the_reading_is_assumed_early() -> None:
    day = taking("lid off", 65.0)
    day.after(minutes=1).send(intents.AnswerUnknown())
    way = day.state.offers[-1].way_taken
    assert way is not None
    day.after(minutes=way.minutes)
    assert [call.way for call in calls.calls(day.schedule, day.state, day.t) if call.kind == "way"] == [
        "lid off"
    ]
