"""What readings make the day believe of its pot: its loss, its dough-in, how it answers to a change."""

from __future__ import annotations

import math
import random
from statistics import mean

import pytest
from days import BARLEY, Day
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from mashday.engine import belief, intents, landing, lessons, plausible
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.fold import evolve
from mashday.engine.state import State
from mashday.schedule.door import load
from mashday.science import fit

SCHEDULE = load(BARLEY)
KNOWN = f.PotKnown(
    pot="lock-keeper's kettle", days=3, thicknesses=(3.0, 3.0, 3.0), dough_ins=(-0.7, -0.5, -0.6)
)


def stood(loss_w_per_k: float, noise: float = 0.0, seed: int = 1) -> Day:
    """A day in its rest whose readings fall as Newton's law has it for this loss."""
    chance = random.Random(seed)
    day = Day(SCHEDULE).to_step(4)
    capacity = pot.contents(SCHEDULE, day.state, 4).kj_per_k
    for minute in (10.0, 25.0, 40.0, 55.0):
        day.t += 60.0 * (minute - (day.state.running(day.t) - day.state.records[-1].began_run) / 60.0)
        true = 19.0 + 44.0 * math.exp(-loss_w_per_k * 60.0 * (minute - 10.0) / 1000.0 / capacity)
        day.read(true + chance.gauss(0.0, noise), sure=True)
        if day.state.offer is not None and day.state.offer.is_open:
            day.send(intents.LeaveIt())
    return day


@pytest.mark.parametrize("loss", [0.5, 1.0, 2.0, 4.0])
def test_a_standing_mash_tells_its_loss(loss: float) -> None:
    day = stood(loss)
    found = belief.loss_today(SCHEDULE, day.state)
    assert found is not None
    # Newton's law put in (derived); the fit gives it back
    assert found.w_per_k == pytest.approx(loss, rel=0.01)


def test_the_error_of_the_loss_is_that_of_the_slope() -> None:
    found = belief.loss_today(SCHEDULE, stood(1.0).state)
    assert found is not None
    capacity = pot.contents(SCHEDULE, stood(1.0).state, 4).kj_per_k
    # ordinary least squares: four readings of 0.3 K over 45 min (textbook formula), about 44 K over the room
    slope = 0.3 / 0.75 * math.sqrt(12.0 * 3.0 / (4.0 * 5.0))
    assert found.error == pytest.approx(slope / 44.0 * capacity / 3.6, rel=0.02)


@pytest.mark.long
def test_the_error_is_what_many_noisy_days_scatter_by() -> None:
    fits = [belief.loss_today(SCHEDULE, stood(1.5, 0.3, seed).state) for seed in range(200)]
    values = [one.w_per_k for one in fits if one is not None]
    assert len(values) == 200
    scatter = math.sqrt(mean((value - 1.5) ** 2 for value in values))
    assert mean(one.error for one in fits if one is not None) == pytest.approx(scatter, rel=0.15)


def test_what_is_believed_lies_between_what_is_usual_and_what_was_read() -> None:
    usual = pot.usual_loss_w_per_k(SCHEDULE)
    day = stood(3.0)
    read = belief.loss_today(SCHEDULE, day.state)
    assert read is not None
    assert usual < belief.loss_w_per_k(SCHEDULE, day.state) < read.w_per_k


def test_readings_that_rise_are_believed_as_little_loss_not_as_none() -> None:
    day = Day(SCHEDULE).to_step(4)
    for minutes, celsius in ((11.0, 62.5), (20.0, 63.0), (20.0, 63.3)):
        day.after(minutes=minutes).read(celsius)
    usual = pot.usual_loss_w_per_k(SCHEDULE)
    assert 0.3 * usual < belief.loss_w_per_k(SCHEDULE, day.state) < usual


def test_water_between_two_readings_parts_them() -> None:
    day = Day(SCHEDULE).to_step(4)
    day.after(minutes=11).read(63.0)
    day.after(minutes=10).read(62.6)
    day.after(minutes=1).send(intents.AddWater(0.5, "0.5 L at 90 C", 90.0))
    day.after(minutes=5).read(63.4)
    day.after(minutes=10).read(63.0)
    whole = belief.standing(SCHEDULE, day.state)
    assert [[reading.metric for reading in one] for one in whole] == [[63.0, 62.6], [63.4, 63.0]]


def test_readings_while_the_grain_takes_up_water_say_nothing() -> None:
    day = Day(SCHEDULE).to_step(4)
    day.after(minutes=5).read(63.0)
    day.after(minutes=4).read(62.0)
    assert belief.standing(SCHEDULE, day.state) == ()


def test_two_beliefs_join_as_two_normal_distributions_do() -> None:
    found = belief.joined((belief.Fitted(1.0, 0.5), belief.Fitted(2.0, 1.0)))
    assert found is not None
    # product of two normal densities (derived; scipy.stats): its peak is where their product is largest
    grid = [1.0 + place / 1000.0 for place in range(1001)]
    peak = max(grid, key=lambda x: norm.pdf(x, 1.0, 0.5) * norm.pdf(x, 2.0, 1.0))
    assert found.w_per_k == pytest.approx(peak, abs=0.001)
    assert found.error == pytest.approx(1.0 / math.sqrt(1.0 / 0.25 + 1.0))
    assert belief.joined(()) is None


def test_a_known_pot_is_heated_for_what_its_dough_ins_taught() -> None:
    new, known = State(), State(known=KNOWN)
    before, after = landing.strike(SCHEDULE, new, 2), landing.strike(SCHEDULE, known, 2)
    assert before is not None and after is not None
    # n / (n + 0.4) of the mean miss: 3 / 3.4 of 0.6 K (derived), so that much more in the mash
    assert after.learned_kelvin == pytest.approx(-0.6 * 3.0 / 3.4, abs=0.01)
    assert landing.lands_at(before, after.celsius) == pytest.approx(63.0 - after.learned_kelvin, abs=1e-6)
    assert landing.lands_at(after, after.celsius) == pytest.approx(63.0, abs=1e-6)


def test_a_dough_in_of_another_thickness_teaches_less() -> None:
    near = belief.dough_in_kelvin(State(known=KNOWN), 3.0)
    far = belief.dough_in_kelvin(State(known=KNOWN), 5.0)
    assert near < far < 0.0


@given(
    moves=st.lists(st.tuples(st.floats(-30.0, 30.0), st.floats(-40.0, 40.0)), max_size=12),
    spread=st.floats(0.01, 1.0),
)
@settings(max_examples=200, deadline=None)
def test_no_change_makes_a_pot_believed_absurd(moves: list[tuple[float, float]], spread: float) -> None:
    assert 0.7 <= fit.believed_effect(moves, spread) <= 1.3


def test_a_pot_that_answers_less_is_believed_the_more_the_oftener() -> None:
    once, often = (belief.effect("hot water", ((3.0, 2.4),) * count) for count in (1, 8))
    assert 0.8 < often < once < 1.0


def test_what_is_known_is_written_down_and_folded() -> None:
    day = Day(SCHEDULE)
    day.write((KNOWN,))
    assert day.state.known == KNOWN and day.state.phase == "idle"
    assert evolve(State(), day.state.log[0]).known == KNOWN


def test_a_day_teaches_where_its_dough_in_landed() -> None:
    day = Day(SCHEDULE).to_step(2)
    day.read(69.0)
    day.send(intents.Done(sure=True))
    day.after(minutes=7).send(intents.Done())
    day.after(minutes=6).read(62.1)
    (landed,) = lessons.lesson(SCHEDULE, day.state).landed
    plan = landing.strike(SCHEDULE, State(), 2)
    assert plan is not None
    assert landed.reckoned_celsius == pytest.approx(landing.lands_at(plan, 69.0), abs=1e-6)
    assert landed.kelvin == pytest.approx(62.1 - landed.reckoned_celsius)
    assert landed.thickness == pytest.approx(15.0 * 0.9982 / 5.0, rel=1e-3)


@pytest.mark.parametrize("celsius", [55.0, 70.0])
def test_a_dough_in_that_landed_strangely_teaches_nothing(celsius: float) -> None:
    day = Day(SCHEDULE).to_step(4)
    day.after(minutes=6).read(celsius, sure=True)
    assert lessons.lesson(SCHEDULE, day.state).landed == ()


def test_a_dough_in_with_water_before_its_first_reading_teaches_nothing() -> None:
    day = Day(SCHEDULE).to_step(4)
    day.after(minutes=1).send(intents.AddWater(1.0, "1 L at 90 C", 90.0))
    day.after(minutes=6).read(64.0, sure=True)
    assert lessons.lesson(SCHEDULE, day.state).landed == ()


def test_a_change_teaches_what_it_did_against_what_was_reckoned() -> None:
    day = Day(SCHEDULE).to_step(4)
    day.after(minutes=6).read(61.0)
    day.send(intents.TakeRemedy(1))
    day.after(minutes=1).send(intents.AddWater(1.1, "1.1 L"))
    day.after(minutes=3).read(62.2)
    (change,) = lessons.changes(SCHEDULE, day.state)
    assert change.way == "hot water"
    capacity = pot.contents(SCHEDULE, day.state, 4).kj_per_k - day.state.additions[0].fact.kilograms * 4.19
    poured = day.state.additions[0].fact
    # heat balance (derived): C T1 + m c Ta over C + m c
    lands = (capacity * 61.0 + poured.kilograms * 4.19 * poured.celsius) / (
        capacity + poured.kilograms * 4.19
    )
    assert change.reckoned_kelvin == pytest.approx(lands - 61.0, abs=0.01)
    # came: the 1.2 K read, and what the pot lost in four minutes (some 2 K an hour) put back
    assert change.came_kelvin == pytest.approx(1.2 + 4.0 / 60.0 * 2.2, abs=0.06)


def test_the_next_amount_makes_up_for_what_the_last_did_not_do() -> None:
    amounts = []
    for answer in (61.8, 61.2):
        day = Day(load(BARLEY.replace('water = "3 L"', 'water = "9 L"'))).to_step(4)
        day.after(minutes=6).read(60.5)
        day.send(intents.TakeRemedy(1))
        day.send(intents.AnswerUnknown())
        day.after(minutes=5).read(answer, sure=True)
        offer = day.state.offer
        assert offer is not None
        way = next(one for one in offer.options if one.way == "hot water")
        amounts.append(way.litres / (63.0 - answer))
    # what was assumed to have gone in teaches nothing
    assert amounts[0] == pytest.approx(amounts[1], rel=0.02)


def test_days_teach_the_same_whenever_they_are_read() -> None:
    days = [(SCHEDULE, stood(1.5, 0.3, seed).state) for seed in range(5)]
    assert lessons.learned(days) == lessons.learned(list(days))
    known = lessons.learned(days)
    assert known is not None and known.days == 5 and known.pot == "lock-keeper's kettle"
    assert lessons.learned(()) is None
    assert lessons.learned([(SCHEDULE, State())]) is None


def test_only_the_latest_days_teach() -> None:
    days = [(SCHEDULE, stood(1.5, 0.3, seed).state) for seed in range(lessons.MOST_DAYS + 3)]
    assert lessons.learned(days) == lessons.learned(days[3:])


def test_more_days_know_the_loss_more_surely() -> None:
    days = [(SCHEDULE, stood(2.5, 0.3, seed).state) for seed in range(6)]
    few, many = lessons.learned(days[:1]), lessons.learned(days)
    assert few is not None and many is not None
    assert few.loss_error is not None and many.loss_error is not None
    # standard error of a mean: sqrt(6)
    assert few.loss_error / many.loss_error == pytest.approx(math.sqrt(6.0), rel=0.05)


def settled_after(minutes: float, celsius: float, *, held: float = 0.0) -> Day:
    """A day whose mash is first read so long after its grain was in, some of it held."""
    day = Day(load(BARE)).to_step(2)
    day.read(69.0)
    day.send(intents.Done(sure=True))
    day.after(minutes=7).send(intents.Done())
    if held:
        day.send(intents.Hold())
        day.after(minutes=held).send(intents.Resume())
    day.after(minutes=minutes - held).read(celsius, sure=True)
    return day


BARE = BARLEY.replace("wrapped = true", "wrapped = false")


@pytest.mark.parametrize(("minutes", "held"), [(16.0, 0.0), (35.0, 0.0), (36.0, 30.0)])
def test_a_mash_first_read_late_teaches_nothing_of_where_it_landed(minutes: float, held: float) -> None:
    # later than a quarter of an hour by the clock on the wall, which a held day does not stop (judgement)
    assert lessons.lesson(SCHEDULE, settled_after(minutes, 60.0, held=held).state).landed == ()


def test_what_a_mash_lost_before_its_first_reading_is_no_cold_dough_in() -> None:
    schedule = load(BARE)
    plan = landing.strike(schedule, State(), 2)
    assert plan is not None
    lands = landing.lands_at(plan, 69.0)
    capacity = pot.contents(schedule, settled_after(6.0, 62.0).state, 4).kj_per_k
    loss = pot.usual_loss_w_per_k(schedule)
    # Newton's law over the 8 min after those 6 that the landing is meant for (derived)
    read = 19.0 + (lands - 19.0) * math.exp(-loss * 8.0 * 60.0 / 1000.0 / capacity)
    assert lands - read > 0.5
    (landed,) = lessons.lesson(schedule, settled_after(14.0, read).state).landed
    assert landed.kelvin == pytest.approx(0.0, abs=0.01)


def test_an_assumed_first_reading_does_not_make_a_late_one_a_landing() -> None:
    day = Day(load(BARE)).to_step(4).after(minutes=6)
    day.send(intents.AnswerUnknown())
    day.after(minutes=20).read(61.0)
    assert lessons.lesson(day.schedule, day.state).landed == ()


def test_a_mash_too_thin_to_be_one_teaches_nothing() -> None:
    day = Day(SCHEDULE).to_step(2)
    # 15 L to 0.1 kg is 150 L/kg, beyond the 100 L/kg of the formula card of believed_dough_in_kelvin
    day.send(intents.GiveAmount("grain", 0.1, "0.1 kg", sure=True))
    day.read(64.0)
    day.send(intents.Done(sure=True))
    day.after(minutes=7).send(intents.Done())
    day.after(minutes=6).read(63.0, sure=True)
    assert lessons.learned([(SCHEDULE, day.state)]) is None


def test_a_day_that_began_with_an_impossible_thickness_goes_on() -> None:
    known = f.PotKnown(pot="kettle", days=2, thicknesses=(150.0, 3.0), dough_ins=(1.0, -0.7))
    # the one mash that was one: 1 / 1.4 of its miss (derived: n / (n + 0.4))
    assert belief.dough_in_kelvin(State(known=known), 3.0) == pytest.approx(-0.7 / 1.4)
    assert landing.strike(SCHEDULE, State(known=known), 2) is not None


def fire_in(day: Day) -> f.RemedyOffered:
    """Takes the way by fire of the open offer."""
    assert day.state.offer is not None
    way = next(one for one in day.state.offer.options if one.way == "fire")
    day.send(intents.TakeRemedy(way.option))
    return way


def heated(day: Day, way: f.RemedyOffered, kilowatts: float) -> float:
    """Where the mash stands three minutes after such a fire of so many kW that reach it.

    C dT/dt = P - UA (T - 19), second by second (derived).
    """
    capacity = 1000.0 * pot.contents(day.schedule, day.state, 4).kj_per_k
    loss = pot.usual_loss_w_per_k(day.schedule)
    celsius = way.read_celsius
    burning = round(60.0 * way.minutes)
    for second in range(burning + 180):
        watts = 1000.0 * kilowatts if second < burning else 0.0
        celsius += (watts - loss * (celsius - 19.0)) / capacity
    return celsius


def fired(text: str, share: float, known: f.PotKnown | None = None) -> tuple[Day, float]:
    """A day with a remedy by fire of which this share comes, and where it stood after it."""
    schedule = load(text)
    day = Day(schedule)
    if known is not None:
        day.write((known,))
    day.to_step(4).after(minutes=6).read(60.0, sure=True)
    way = fire_in(day)
    assert schedule.pot.heater_kilowatts is not None
    celsius = heated(day, way, share * 0.8 * schedule.pot.heater_kilowatts)
    day.after(minutes=way.minutes + 3.0).read(celsius, sure=True)
    return day, celsius


@pytest.mark.parametrize("heater", ["2.5 kW", "1 kW", "0.8 kW"])
def test_a_fire_that_is_what_it_says_teaches_nothing_else(heater: str) -> None:
    day, _ = fired(BARE.replace("2.5 kW", heater), 1.0)
    (change,) = lessons.changes(day.schedule, day.state)
    # the very heat of the balance went in: all of it came
    assert change.came_kelvin / change.reckoned_kelvin == pytest.approx(1.0, abs=0.02)


def test_what_a_fire_really_brings_is_found_out_however_it_was_aimed() -> None:
    days, known = [], None
    for _ in range(10):
        day, celsius = fired(BARLEY, 0.75, known)
        days.append((day.schedule, day.state))
        known = lessons.learned(days)
    # the true share that was put in; each day is aimed by what the days before it taught
    assert belief.effect("fire", belief.moves_known(known, "fire")) == pytest.approx(0.75, abs=0.01)
    # at the target but for half a step of 10 s at 1.2 K a minute, and three minutes at 1.5 K an hour
    assert celsius == pytest.approx(63.0, abs=0.2)


def test_a_fire_that_was_not_held_to_its_minutes_teaches_nothing() -> None:
    sooner = Day(load(BARLEY.replace("2.5 kW", "0.6 kW"))).to_step(4).after(minutes=6)
    sooner.read(60.0)
    way = fire_in(sooner)
    sooner.after(minutes=3).read(63.2, sure=True)
    sooner.after(minutes=way.minutes).read(63.0, sure=True)
    assert lessons.changes(sooner.schedule, sooner.state) == ()
    held = Day(SCHEDULE).to_step(4).after(minutes=6)
    held.read(60.0)
    way = fire_in(held)
    held.after(minutes=1).send(intents.Hold())
    held.after(minutes=2).send(intents.Resume())
    held.after(minutes=way.minutes + 3.0).read(64.0, sure=True)
    assert lessons.changes(SCHEDULE, held.state) == ()


@pytest.mark.parametrize(("way", "celsius"), [("lid off", 66.0), ("part out", 66.0), ("decoction", 60.0)])
def test_only_water_and_fire_teach_what_a_way_does(way: str, celsius: float) -> None:
    day = Day(SCHEDULE).to_step(4).after(minutes=6)
    day.read(celsius, sure=True)
    taken = next(one for one in day.state.offers[-1].options if one.way == way)
    day.send(intents.TakeRemedy(taken.option))
    day.after(minutes=taken.minutes + 3.0).read(63.5, sure=True)
    assert lessons.changes(SCHEDULE, day.state) == ()


@pytest.mark.parametrize(("way", "celsius", "later"), [("fire", 60.0, 60.9), ("lid off", 66.0, 65.3)])
def test_readings_while_something_is_done_to_the_mash_say_nothing_of_its_loss(
    way: str, celsius: float, later: float
) -> None:
    day = Day(load(BARLEY.replace("2.5 kW", "0.6 kW"))).to_step(4).after(minutes=11)
    day.read(celsius, sure=True)
    taken = next(one for one in day.state.offers[-1].options if one.way == way)
    assert taken.minutes > 6.0
    day.send(intents.TakeRemedy(taken.option))
    day.after(minutes=3).read(later, sure=True)
    # a minute after its end; from two minutes on a reading shows a standing mash again (common practice)
    day.after(minutes=taken.minutes - 2.0).read(63.2, sure=True)
    day.after(minutes=1).read(63.1)
    day.after(minutes=15).read(62.9)
    whiles = belief.standing(day.schedule, day.state)
    assert [[reading.metric for reading in one] for one in whiles] == [[63.1, 62.9]]


def test_waiting_with_the_lid_on_is_standing() -> None:
    day = Day(SCHEDULE).to_step(4).after(minutes=11)
    day.read(64.1)
    taken = next(one for one in day.state.offers[-1].options if one.way == "wait")
    day.send(intents.TakeRemedy(taken.option))
    day.after(minutes=12).read(63.8)
    assert [len(one) for one in belief.standing(SCHEDULE, day.state)] == [2]


def test_a_slip_of_the_key_is_no_loss() -> None:
    day = Day(SCHEDULE).to_step(4).after(minutes=11)
    day.read(63.0)
    day.after(seconds=75.0).read(25.0, sure=True)
    # 38 K in 75 s is some 2000 W/K, a thousand times what is usual (Newton's law, derived)
    assert belief.loss_today(SCHEDULE, day.state) is None
    assert belief.loss_w_per_k(SCHEDULE, day.state) == pot.usual_loss_w_per_k(SCHEDULE)


def test_a_day_that_began_with_an_impossible_loss_goes_on() -> None:
    known = f.PotKnown(pot="kettle", days=1, loss_w_per_k=1951.0, loss_error=18.0)
    usual = pot.usual_loss_w_per_k(SCHEDULE)
    assert usual < belief.loss_w_per_k(SCHEDULE, State(known=known)) <= 5.0 * usual


def test_only_a_pot_whose_dough_ins_are_known_is_expected_to_land_the_nearer() -> None:
    spans = []
    for known in (None, f.PotKnown(pot="kettle", days=1, loss_w_per_k=1.5, loss_error=0.5), KNOWN):
        day = Day(SCHEDULE)
        if known is not None:
            day.write((known,))
        day.to_step(4).after(minutes=6)
        span = plausible.window(SCHEDULE, day.state, "temperature", day.t)
        assert span is not None
        # from the coolest to the warmest believed, less what lies between expectation and target
        expected = landing.expected_celsius(SCHEDULE, day.state, day.t)
        assert expected is not None
        spans.append(span[1] - span[0] - abs(expected - 63.0))
    # three standard errors of 1.0 K beside the reading's, or of 0.65 K (JCGM 100:2008, 5.1.2 and 6.3.3)
    assert spans[0] == pytest.approx(spans[1], abs=0.01) and spans[2] < spans[1] - 0.5
