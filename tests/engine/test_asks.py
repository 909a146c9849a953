"""What is asked when: on the way up and down, in rests, after changes; and water that is still to be told."""

from __future__ import annotations

import math

import pytest
from days import BARLEY, Day, gravity, starch, temperature, volume

from mashday.engine import asks, calls, extract, intents, landing, pace, plausible, pouring
from mashday.engine import facts as f
from mashday.engine.moves import moves
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text

RAISED = BARLEY.replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "raise"\ntarget = "70 C"\nby = "hot water"\n[[step]]\nkind = "starch-check"',
)
COOLED_BY_WATER = BARLEY.replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "cool"\ntarget = "55 C"\nby = "cold water"\n[[step]]\nkind = "starch-check"',
)
PATIENT = BARLEY.replace('band = "1 C"', 'band = "1 C"\nconfirm = true')


def asked(day: Day) -> asks.Ask:
    ask = asks.question(day.schedule, day.state, day.t)
    assert ask is not None
    return ask


def water_of(found: tuple[f.Fact, ...]) -> f.WaterAdded:
    return next(fact for fact in found if isinstance(fact, f.WaterAdded))


def test_a_rest_does_not_go_on_by_itself_before_what_went_in_is_told_and_read(resting: Day) -> None:
    resting.after(minutes=59).read(61.0)
    resting.send(intents.TakeRemedy(1))
    resting.after(minutes=1.5)
    assert resting.tick() == ()
    resting.send(intents.AddWater(1.1, "1.1 L"))
    assert resting.tick() == ()
    resting.after(minutes=3).read(62.9)
    assert resting.tick()[0] == f.StepEnded(4, "by itself")


@pytest.mark.parametrize("answer", [intents.AddWater(1.1, "1.1 L"), intents.AnswerUnknown()])
def test_water_of_a_step_that_was_left_out_is_told_once(resting: Day, answer: intents.Intent) -> None:
    resting.after(minutes=10).read(61.0)
    resting.send(intents.TakeRemedy(1))
    offer = resting.state.offers[-1].number
    resting.send(intents.Skip(sure=True))
    assert asked(resting).quantity == "added water"
    water = water_of(resting.send(answer))
    assert (water.offer, water.step) == (offer, 4)
    assert water.celsius == pytest.approx(96.97, abs=0.05)
    assert asked(resting).quantity == "starch"
    resting.send(starch(True))
    resting.send(intents.Done(sure=True))
    assert resting.state.step == 6
    # the sparge is less by what went into the mash, once
    assert extract.sparge_litres(resting.schedule, resting.state) == pytest.approx(
        7.5 - water.kilograms / 0.9982, abs=0.01
    )


def test_a_look_between_the_portions_does_not_forget_the_water(resting: Day) -> None:
    resting.after(minutes=6).read(60.0)
    resting.send(intents.TakeRemedy(1))
    resting.after(minutes=1).read(61.7)
    assert not resting.state.offers[-1].is_open and len(resting.state.offers) == 1
    assert asked(resting).quantity == "added water"
    assert "added water" in resting.refused(intents.Done(sure=True))
    resting.send(intents.AddWater(1.5, "1.5 L"))
    resting.after(minutes=3).read(61.7)
    assert resting.state.offers[-1].is_open


def test_a_planned_pour_has_its_own_water_after_a_remedy_was_told() -> None:
    day = Day(load(COOLED_BY_WATER)).to_step(4)
    day.after(minutes=6).read(61.0)
    day.send(intents.TakeRemedy(1))
    day.send(intents.AddWater(1.2, "1.2 L"))
    day.after(minutes=54).read(62.8)
    day.send(intents.Done())
    assert asked(day).quantity == "added water"
    planned = pouring.water_to_pour(day.schedule, day.state, day.t)
    assert planned is not None and planned[1] == 12.0
    water = water_of(day.ask(intents.AddWater(3.0, "3 L")))  # type: ignore[arg-type]
    assert (water.celsius, water.offer, water.step) == (12.0, None, 5)
    assumed = water_of(day.send(intents.AnswerUnknown()))
    assert (assumed.litres, assumed.celsius) == planned
    # m = C (T2 - T1) / c (Ta - T2); 5 kg grain 8.0 kJ/K, pot 2.2, water 14.97 + 1.15 kg
    kilograms = (16.12 * 4.19 + 8.0 + 2.2) * (62.8 - 55.0) / (4.19 * (55.0 - 12.0))
    assert assumed.kilograms == pytest.approx(kilograms, rel=0.02)


def test_more_water_in_the_same_step_is_as_hot_as_the_remedy_was(resting: Day) -> None:
    resting.after(minutes=6).read(61.0)
    resting.send(intents.TakeRemedy(1))
    resting.send(intents.AddWater(0.8, "0.8 L"))
    more = water_of(resting.send(intents.AddWater(0.3, "0.3 L")))
    assert more.celsius == pytest.approx(96.97, abs=0.05) and more.offer is None


def test_water_of_no_known_temperature_is_asked_for_it(resting: Day) -> None:
    assert "At what temperature?" in resting.refused(intents.AddWater(1.0, "1 L"))


def test_a_raise_by_hot_water_asks_what_went_in_and_then_reads() -> None:
    day = Day(load(RAISED)).to_step(4)
    day.after(minutes=55).read(63.0)
    day.after(minutes=5).tick()
    assert (day.state.step, asked(day).quantity) == (5, "added water")
    assert intents.Done in moves(day.schedule, day.state, day.t)
    assert "added water" in day.refused(intents.Done())
    day.send(intents.AddWater(4.0, "4 L"))
    ask = asked(day)
    assert ask.quantity == "temperature" and ask.due == day.state.running(day.t) + 180.0


def test_heating_is_asked_when_two_readings_say_it_will_be_there(day: Day) -> None:
    day.to_step(2)
    day.after(minutes=10).read(40.0)
    assert "short of" in day.doubted(intents.Done())
    day.after(minutes=10).read(55.0)
    left = pace.minutes_left(day.schedule, day.state, 2)
    target = 69.0  # strike water of 15 L for 5 kg at 63 C, by the balance of test_remedies
    # 15 K in 10 min
    assert left == pytest.approx((target - 55.0) / 1.5, abs=0.3)
    assert asked(day).due == pytest.approx(day.state.running(day.t) + 60.0 * (left or 0.0))


def test_cooling_is_asked_when_newton_s_law_says_it_will_be_there(day: Day) -> None:
    day.to_step(7)
    day.read(70.0)
    day.after(minutes=10).read(45.0)
    left = pace.minutes_left(day.schedule, day.state, 7)
    # towards the tap at 12 C: (70-12)/(45-12) in 10 min, (45-12)/(24-12) still to go
    assert left == pytest.approx(10.0 * math.log(33.0 / 12.0) / math.log(58.0 / 33.0), abs=0.01)


def test_a_pot_that_does_not_move_over_its_heat_is_asked_again_by_what_the_heat_can_do(day: Day) -> None:
    day.to_step(2)
    day.after(minutes=10).read(40.0)
    day.after(minutes=10).read(40.0)
    # 29 K with 15 kg x 4.19 + 2.2 kJ/K by 2.5 kW x 0.8: 15.7 min, with the loss a little more
    due = (asked(day).due - day.state.running(day.t)) / 60.0
    assert due == pytest.approx(65.0 * 29.0 / 2.0 / 60.0, rel=0.1)


def test_a_pot_that_does_not_move_over_a_heat_of_unknown_power_is_asked_again_soon() -> None:
    day = Day(load(BARLEY.replace('heater = "2.5 kW"', ""))).to_step(2)
    day.after(minutes=10).read(40.0)
    day.after(minutes=10).read(40.0)
    assert asked(day).due == day.state.running(day.t) + 5 * 60.0


def test_a_reading_taken_badly_over_a_heat_silences_nothing(day: Day) -> None:
    day.to_step(2)
    for minutes, celsius in ((10, 55.0), (4, 61.0), (1, 58.0)):
        day.after(minutes=minutes).read(celsius)
    assert asked(day).due - day.state.running(day.t) < 10 * 60.0


def test_a_fire_is_read_three_minutes_after_it_should_have_done(resting: Day) -> None:
    resting.after(minutes=6).read(61.0)
    assert resting.state.offer is not None
    fire = next(way for way in resting.state.offer.options if way.way == "fire")
    # C 2 K / (2.5 kW x 0.8), C = 14.97 x 4.19 + 8.2 + 2.2 kJ/K; the loss adds a few percent
    assert fire.minutes == pytest.approx(73.1 * 2.0 / 2.0 / 60.0, rel=0.1)
    resting.send(intents.TakeRemedy(fire.option))
    due = resting.state.running(resting.t) + 60.0 * (fire.minutes + 3.0)
    assert asked(resting).due == pytest.approx(due) and asked(resting).required


def test_a_rest_without_a_rhythm_is_read_when_it_could_have_drifted_out() -> None:
    day = Day(load(BARLEY.replace('read_every = "20 min"\n', ""))).to_step(4)
    day.after(minutes=6).read(63.5)
    first = asked(day).due - day.state.running(day.t)
    assert 5 * 60.0 <= first <= 20 * 60.0
    day.after(minutes=1).read(62.1)
    assert asked(day).due - day.state.running(day.t) <= first


def test_towards_its_end_a_rest_asks_no_more(resting: Day) -> None:
    resting.after(minutes=40).read(62.9)
    assert asks.asks(resting.schedule, resting.state) == ()
    resting.send(intents.Extend(30.0))
    assert asked(resting).due == resting.state.running(resting.t) + 20 * 60.0


def test_gravity_and_volume_are_assumed_as_the_plan_expects_them_and_marked(day: Day) -> None:
    day.to_step(6)
    expected = plausible.expected_gravity(day.schedule, day.state, day.t)
    found = day.send(intents.AnswerUnknown())[0]
    assert isinstance(found, f.ReadingTaken) and found.quantity == "gravity"
    assert found.assumed and found.gravity == expected and found.typed == "unknown"
    litres = plausible.expected_litres(day.schedule, day.state, day.t)
    found = day.send(intents.AnswerUnknown())[0]
    assert isinstance(found, f.ReadingTaken) and found.quantity == "volume"
    assert found.assumed and found.litres == litres
    # 15 + 7.5 L of water less what 5 kg of squeezed malt keep at 0.5 L/kg (common practice); no sugar yet
    assert litres == pytest.approx(20.0, abs=0.05)
    assert asks.asks(day.schedule, day.state) == ()


def test_an_assumed_temperature_in_a_rest_is_what_was_expected_and_brings_no_remedy(resting: Day) -> None:
    resting.after(minutes=6)
    found = resting.send(intents.AnswerUnknown())
    assert isinstance(found[0], f.ReadingTaken) and found[0].assumed
    assert found[0].celsius == pytest.approx(63.0, abs=0.6)
    assert not any(isinstance(fact, f.RemedyOffered) for fact in found)


def test_an_assumed_value_can_be_put_right_by_a_real_one(day: Day) -> None:
    day.to_step(6)
    day.send(intents.AnswerUnknown())
    number = day.state.readings[-1].number
    day.send(intents.Correct(number, 1.081, "SG", "1.081", 1.081))
    reading = day.state.valid("gravity")[-1]
    assert not reading.fact.assumed and reading.typed == ("unknown", "1.081")
    assert asked(day).quantity == "sample temperature"


@pytest.mark.parametrize("below", [30.0, 35.0])
def test_what_goes_in_below_a_temperature_waits_for_it(below: float) -> None:
    step = f'[[step]]\nkind = "add"\nwhat = "yeast nutrient"\nbelow = "{below} C"\n[[step]]\nkind = "pitch"'
    day = Day(load(BARLEY.replace('[[step]]\nkind = "pitch"', step))).to_step(8)
    assert asked(day).due == day.state.running(day.t)
    day.read(below + 1.0)
    assert "not the right temperature" in day.doubted(intents.Done())
    assert asked(day).due == day.state.running(day.t) + 300.0
    day.after(minutes=5).read(below)
    assert asks.asks(day.schedule, day.state) == ()


def test_each_step_of_a_day_asks_about_what_is_in_the_pot() -> None:
    schedule = load(sample_text("sluice-maize"))
    found = {n: asks.subject(schedule, n) for n in range(1, len(schedule.steps) + 1)}
    kinds = {schedule.step(n).kind: what for n, what in found.items()}
    assert kinds["set-up"] == "water" and kinds["cook"] == "cook"
    assert kinds["dough-in"] == kinds["rest"] == kinds["starch-check"] == "mash"
    assert kinds["pitch"] == "wash"


def test_a_refractometer_is_refused_once_yeast_is_in(day: Day) -> None:
    day.to_step(8)
    brix = intents.TakeReading("gravity", 12.0, "Bx", "12 Bx", 1.0465)
    assert isinstance(day.ask(brix), tuple)
    day.to_step(9)
    assert "Use the hydrometer" in day.refused(brix)


@pytest.mark.parametrize("sample", [math.nan, math.inf, -5.0, 300.0])
def test_a_sample_cannot_have_any_temperature(day: Day, sample: float) -> None:
    day.to_step(6)
    for unit in ("SG", "Bx"):
        assert "cannot be" in day.refused(intents.TakeReading("gravity", 1.05, unit, "1.05", 1.05, sample))


def test_a_reading_that_is_asked_does_not_ring_again_once_acknowledged(resting: Day) -> None:
    resting.after(minutes=5).send(intents.Acknowledge())
    resting.after(minutes=5)
    assert not any(call.rings for call in calls.calls(resting.schedule, resting.state, resting.t))
    resting.read(62.9)
    resting.after(minutes=20)
    assert [c.rings for c in calls.calls(resting.schedule, resting.state, resting.t)] == [True]


def test_a_step_without_the_readings_it_asks_is_not_left() -> None:
    day = Day(load(PATIENT)).to_step(6)
    assert "gravity" in day.refused(intents.Done())
    day.send(gravity(1.078, 24.0))
    assert "volume" in day.refused(intents.Done())
    day.send(volume(20.5))
    day.send(intents.Done())
    assert day.state.step == 7


def test_a_temperature_does_not_answer_a_gravity(day: Day) -> None:
    day.to_step(6)
    day.send(temperature(58.0))
    assert asked(day).quantity == "gravity"


def test_what_cannot_be_is_not_assumed(day: Day) -> None:
    day.to_step(4).after(minutes=5)
    day.read(0.5, sure=True)
    days = {"ways": ("hot water",) * 6, "reckoned": (2.0,) * 6, "came": (3.0,) * 6}
    day.write((f.PotKnown(day.schedule.pot.name, 3, **days),))
    day.send(intents.AddWater(150.0, "150 L", 0.0, sure=True))
    day.after(minutes=6)
    expected = landing.expected_celsius(day.schedule, day.state, day.t)
    assert expected is not None and expected < 0.0
    assert "Nothing is known" in day.refused(intents.AnswerUnknown())
