"""A day begun in mid-mash: what is asked of the pot that stood, and what follows from the answers."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest
from days import BARLEY, BEGAN, Day, gravity, starch, temperature, volume
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.engine import asks, conversion, extract, intents, mid_mash, timetable
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.decision import Doubt, Refused
from mashday.engine.prospect import prospect
from mashday.engine.state import State
from mashday.faces import tell
from mashday.report.summary import summary
from mashday.report.values import summary_values
from mashday.report.words import summary_words
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.session import CODEC

KG_PER_LITRE = 0.9982041
"""Water at 20 C, published: Kell 1975."""

TWICE = BARLEY.replace(
    '[[step]]\nkind = "starch-check"',
    '[[step]]\nkind = "raise"\ntarget = "72 C"\nby = "hot water"\n[[step]]\nkind = "starch-check"',
)
"""The day of barley with a raise by hot water as step 5."""

RYE = BARLEY.replace(
    "[[step]]",
    '[[grain]]\nname = "rye malt"\nkind = "rye malt"\nmass = "1 kg"\n[[step]]',
    1,
)
"""The day of barley with a fifth of rye to it."""


def begun(number: int, text: str = BARLEY) -> Day:
    """A day begun at this step."""
    day = Day(load(text))
    day.send(intents.Start(number))
    return day


def told(what: f.Amount, amount: float, *, name: str | None = None, sure: bool = False) -> intents.GiveAmount:
    return intents.GiveAmount(what, amount, f"{amount}", name, sure)


def answered(number: int = 4, grain: float = 4.8, litres: float = 14.0, minutes: float = 20.0) -> Day:
    """A day begun at this step with all three answers given."""
    day = begun(number)
    day.send(told("grain in the pot", grain))
    day.send(told("water in the pot", litres))
    day.send(told("minutes mashed", minutes))
    return day


def asked(day: Day) -> str | None:
    found = asks.question(day.schedule, day.state, day.t)
    return found.quantity if found else None


def inside(day: Day, number: int | None = None) -> pot.Contents:
    return pot.contents(day.schedule, day.state, number or day.state.step)


def test_the_day_begins_at_once_at_the_step() -> None:
    day = Day(load(BARLEY))
    assert day.send(intents.Start(4)) == (f.DayStarted(4), f.StepBegun(4))
    assert (day.state.phase, day.state.step, day.state.from_step) == ("running", 4, 4)


@pytest.mark.parametrize("number", [0, -1, 10])
def test_a_step_that_is_none_is_refused(number: int) -> None:
    assert "the day has 9" in Day(load(BARLEY)).refused(intents.Start(number))


def test_the_first_step_is_an_ordinary_beginning() -> None:
    day, other = begun(1), Day(load(BARLEY))
    other.send(intents.Start())
    assert day.state == other.state
    assert asked(day) is None


def test_an_old_file_without_the_step_begins_at_the_first() -> None:
    table = CODEC.encode(1, 1, 0.0, BEGAN, f.DayStarted(4))
    assert CODEC.decode(table).fact == f.DayStarted(4)
    del table["from_step"]
    assert CODEC.decode(table).fact == f.DayStarted(1)


def test_grain_water_minutes_and_then_the_temperature_are_asked_at_once() -> None:
    day = begun(4)
    order = []
    for _ in range(3):
        order.append(asked(day))
        assert asks.due(day.schedule, day.state, day.t)
        day.send(intents.AnswerUnknown())
    assert order == ["grain in the pot", "water in the pot", "minutes mashed"]
    assert [ask.quantity for ask in asks.due(day.schedule, day.state, day.t)] == ["temperature"]


@pytest.mark.parametrize(
    ("number", "wanted"),
    [
        (2, ()),
        (3, ("water in the pot",)),
        (4, ("grain in the pot", "water in the pot", "minutes mashed")),
        (6, ("grain in the pot", "water in the pot", "minutes mashed")),
        (7, ()),
        (9, ()),
    ],
)
def test_only_what_can_be_in_the_pot_is_asked(number: int, wanted: tuple[str, ...]) -> None:
    day = begun(number)
    assert mid_mash.wanted(day.schedule, day.state) == wanted


def test_a_cook_is_grain_in_the_pot_but_no_mash_yet() -> None:
    maize = load(sample_text("sluice-maize"))
    number = next(n for n, step in enumerate(maize.steps, 1) if step.kind == "dough-in")
    assert mid_mash.wanted(maize, State(from_step=number)) == ("grain in the pot", "water in the pot")


def test_a_heat_begun_with_is_read_at_once() -> None:
    day = begun(2)
    assert [ask.quantity for ask in asks.due(day.schedule, day.state, day.t)] == ["temperature"]


def test_a_raise_begun_with_is_read_before_water_is_poured() -> None:
    day = begun(5, TWICE)
    for _ in range(3):
        day.send(intents.AnswerUnknown())
    assert asked(day) == "temperature"
    found = day.read(63.0)
    ways = [fact.way for fact in found if isinstance(fact, f.RemedyOffered)]
    assert "hot water" in ways


def test_the_step_cannot_end_before_the_pot_is_told() -> None:
    assert "grain in the pot" in begun(4).refused(intents.Done(sure=True))


def test_the_contents_are_what_was_told() -> None:
    mash = inside(answered())
    assert mash.grain_kg == pytest.approx(4.8)
    assert mash.water_kg == pytest.approx(14.0 * KG_PER_LITRE, rel=1e-6)
    # derived: 14 L of water at 20 C to 4.8 kg
    assert mash.thickness == pytest.approx(2.9114, abs=0.0005)


def test_until_it_is_told_the_pot_holds_what_was_planned() -> None:
    day = begun(4)
    plan = pot.contents(day.schedule, State(), 4)
    assert inside(day) == plan
    day.send(told("grain in the pot", 4.8))
    assert inside(day).water_kg == plan.water_kg
    assert inside(day).grain_kg == pytest.approx(4.8)


def test_unknown_is_assumed_as_planned_and_marked() -> None:
    day = begun(4)
    day.send(intents.AnswerUnknown())
    day.send(intents.AnswerUnknown())
    day.send(intents.AnswerUnknown())
    assert [(a.what, a.typed) for a in day.state.amounts] == [
        ("grain in the pot", "unknown"),
        ("water in the pot", "unknown"),
        ("minutes mashed", "unknown"),
    ]
    assert [a.amount for a in day.state.amounts] == pytest.approx([5.0, 15.0, 5.0])
    assert inside(day).kj_per_k == pytest.approx(pot.contents(day.schedule, State(), 4).kj_per_k)


def test_the_kinds_share_the_grain_as_planned() -> None:
    day = begun(4, RYE)
    day.send(told("grain in the pot", 4.8))
    # derived: five parts to one
    assert [kg for _, kg in inside(day).grains] == pytest.approx([4.0, 0.8])


def test_a_kind_weighed_by_name_counts_with_the_rest_as_told() -> None:
    day = begun(4, RYE)
    day.send(told("grain in the pot", 4.8))
    day.send(told("grain", 1.0, name="rye malt"))
    assert [kg for _, kg in inside(day).grains] == pytest.approx([4.0, 1.0])
    assert "it holds pale barley malt, rye malt" in day.refused(told("grain", 1.0, name="hay"))


def test_water_added_later_counts_on_top() -> None:
    day = answered()
    day.read(60.0)
    day.send(intents.AddWater(1.0, "1 L", 20.0))
    assert inside(day).water_kg == pytest.approx(15.0 * KG_PER_LITRE, rel=1e-6)


def test_a_dough_in_begun_with_puts_its_grain_into_the_water_told() -> None:
    day = begun(3)
    assert asked(day) == "water in the pot"
    day.send(told("water in the pot", 13.0))
    assert inside(day).grain_kg == pytest.approx(5.0)
    assert inside(day).water_kg == pytest.approx(13.0 * KG_PER_LITRE, rel=1e-6)


def test_the_remedy_is_by_the_heat_balance_of_what_was_told() -> None:
    day = answered()
    mash = inside(day)
    found = [fact for fact in day.read(58.0) if isinstance(fact, f.RemedyOffered)]
    hot = next(way for way in found if way.way == "hot water")
    assert hot.water_celsius is not None
    # derived: m = C (T2 - T1) / (c (Tw - T2))
    assert hot.kilograms == pytest.approx(mash.kj_per_k * 5.0 / (4.19 * (hot.water_celsius - 63.0)), rel=1e-3)


def test_no_remedy_is_offered_before_the_pot_is_told_and_then_at_once() -> None:
    day = begun(4)
    day.read(58.0)
    assert not day.state.offers
    day.send(told("grain in the pot", 4.8))
    day.send(told("water in the pot", 14.0))
    assert not day.state.offers
    late = day.send(told("minutes mashed", 20.0))
    assert [fact for fact in late if isinstance(fact, f.RemedyOffered)]
    early = answered()
    early.read(58.0)
    assert late[-2:] == tuple(day.state.offers[0].options[-2:])
    assert day.state.offers[0].options[0].litres == early.state.offers[0].options[0].litres
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))
    assert not made.remedies[0].stale


def test_an_answer_is_taken_back_and_asked_again() -> None:
    day = begun(4)
    day.send(told("grain in the pot", 4.8))
    undone = day.send(intents.Undo())
    assert undone == (f.Undone((3, 4), "amount 4.8"),)
    assert asked(day) == "grain in the pot"
    assert inside(day).grain_kg == pytest.approx(5.0)


def test_a_remedy_that_came_with_the_last_answer_goes_with_it() -> None:
    day = begun(4)
    day.read(58.0)
    for _ in range(3):
        day.send(intents.AnswerUnknown())
    assert day.state.offer is not None
    day.send(intents.Undo())
    assert day.state.offer is None
    assert asked(day) == "minutes mashed"


@pytest.mark.parametrize(
    "intent",
    [
        told("grain in the pot", 0.0),
        told("grain in the pot", -1.0),
        told("grain in the pot", math.nan),
        told("water in the pot", math.inf),
        told("water in the pot", 1001.0),
        told("minutes mashed", -1.0),
        told("minutes mashed", 2881.0),
    ],
)
def test_what_cannot_be_is_refused(intent: intents.GiveAmount) -> None:
    assert "Type" in begun(4).refused(intent)


def test_what_no_step_before_put_in_cannot_be_told() -> None:
    begun(2).refused(told("water in the pot", 14.0))
    begun(7).refused(told("minutes mashed", 30.0))


@pytest.mark.parametrize(
    ("intent", "piece"),
    [
        (told("grain in the pot", 48.0), "48.00 kg where 5.00 kg was planned"),
        (told("water in the pot", 5.0), "5.0 L where 15.0 L was planned"),
        (told("minutes mashed", 300.0), "300 min since the grain went in"),
    ],
)
def test_what_is_likely_a_slip_is_doubted(intent: intents.GiveAmount, piece: str) -> None:
    assert piece in begun(4).doubted(intent)


def test_more_than_the_pot_holds_is_doubted() -> None:
    day = begun(4)
    day.send(told("grain in the pot", 7.9))
    # derived: 23.9 L and 7.9 kg at about 0.7 L/kg are some 30 L
    assert not isinstance(day.ask(told("water in the pot", 23.9)), Doubt)
    small = Day(load(BARLEY.replace('volume = "33 L"', 'volume = "20 L"')))
    small.send(intents.Start(4))
    assert "in a pot that holds 20.0 L" in small.doubted(told("water in the pot", 17.5))


def test_weighed_and_measured_tell_of_the_pot_too() -> None:
    day = begun(4)
    assert day.send(told("water", 14.0))[0] == f.AmountGiven(4, "water in the pot", 14.0, "14.0")
    assert day.send(told("grain", 4.8))[0] == f.AmountGiven(4, "grain in the pot", 4.8, "4.8")
    assert asked(day) == "minutes mashed"
    day.send(told("grain", 4.6))
    assert inside(day).grain_kg == pytest.approx(4.6)


def test_weighed_at_a_dough_in_begun_with_is_its_own_grain() -> None:
    day = begun(3)
    assert day.send(told("grain", 4.8))[0] == f.AmountGiven(3, "grain", 4.8, "4.8")
    assert day.send(told("water", 14.0))[0] == f.AmountGiven(3, "water in the pot", 14.0, "14.0")


def test_skipping_past_the_separation_ends_the_questions() -> None:
    day = begun(6)
    assert asked(day) == "grain in the pot"
    day.send(intents.Skip(sure=True))
    assert asked(day) == "temperature"


def test_the_minutes_told_have_converted_starch_at_the_temperature_first_read() -> None:
    day = answered(minutes=40.0)
    day.read(65.0)
    grist = conversion.grist_of(day.schedule, day.state)
    assert grist is not None
    there = Day(load(BARLEY))
    straight = conversion.converted(there.schedule, day.state, [conversion.Stretch(40.0, 65.0, 65.0)])
    now = prospect(day.schedule, day.state, day.t).starch_now
    assert now.released == pytest.approx(straight.released, abs=0.01)
    assert now.beta == pytest.approx(straight.beta, abs=0.01)


def test_a_mash_not_read_yet_is_taken_at_the_target_of_the_last_step_before() -> None:
    day = answered(minutes=40.0)
    straight = conversion.converted(day.schedule, day.state, [conversion.Stretch(40.0, 63.0, 63.0)])
    assert prospect(day.schedule, day.state, day.t).conversion_now == pytest.approx(
        straight.released, abs=0.01
    )


def test_earlier_rests_are_lived_at_their_own_targets() -> None:
    stepped = load(sample_text("towpath-stepped"))
    day = Day(stepped)
    day.send(intents.Start(8))
    day.send(intents.AnswerUnknown())
    day.send(intents.AnswerUnknown())
    day.send(told("minutes mashed", 90.0))
    day.read(71.0)
    lived = conversion.past(stepped, day.state, day.t)
    assert sum(one.minutes for one in lived) == pytest.approx(90.0)
    assert lived[0].from_celsius == 52.0
    assert lived[-1].to_celsius == 71.0


def test_grain_that_went_in_just_now_is_new() -> None:
    day = answered(minutes=0.0)
    assert prospect(day.schedule, day.state, day.t).conversion_now == 0.0


@pytest.mark.parametrize(("minutes", "due_in"), [(2.0, 5.0), (20.0, 0.0)])
def test_grain_that_still_takes_up_water_is_left_to_settle(minutes: float, due_in: float) -> None:
    day = answered(minutes=minutes)
    found = asks.question(day.schedule, day.state, day.t)
    assert found is not None and found.quantity == "temperature"
    assert found.due == pytest.approx(60.0 * due_in)


def test_readings_after_the_beginning_go_on_from_there() -> None:
    day = answered(minutes=20.0)
    day.read(63.0)
    day.after(minutes=20)
    assert sum(one.minutes for one in conversion.past(day.schedule, day.state, day.t)) == pytest.approx(40.0)


def test_a_measured_gravity_overrules_the_minutes_told() -> None:
    day = answered(minutes=20.0)
    day.read(63.0)
    day.after(minutes=10)
    day.send(gravity(extract.first_wort_gravity(inside(day), 0.7), 20.0))
    # derived: the gravity was made from 70 %
    assert prospect(day.schedule, day.state, day.t).conversion_now == pytest.approx(0.7, abs=0.005)


def test_a_mash_whose_wort_has_run_off_converts_no_more() -> None:
    day = begun(7)
    first = prospect(day.schedule, day.state, day.t)
    later = prospect(day.schedule, day.state, day.t + 36000.0)
    assert first.starch_now == later.starch_now
    assert first.expected is not None


def test_two_failed_checks_count_the_minutes_told() -> None:
    day = answered(5, minutes=85.0)
    day.send(starch(False))
    day.after(minutes=15)
    day.send(starch(False))
    day.after(minutes=15)
    assert "after 115 min" in day.doubted(intents.Done())


def test_water_more_than_planned_is_taken_from_the_sparge() -> None:
    day = answered(litres=17.0)
    # derived: 7.5 L planned, 2 L too much in the mash already
    assert extract.sparge_litres(day.schedule, day.state) == pytest.approx(5.5, abs=0.01)
    assert extract.sparge_litres(day.schedule, answered(litres=14.0).state) == pytest.approx(7.5)


def test_the_gravity_to_come_follows_the_thickness_told() -> None:
    days = (answered(litres=17.0), answered(litres=13.0))
    thin, thick = (prospect(day.schedule, day.state).expected for day in days)
    assert thin is not None and thick is not None
    assert thin.first_runnings_gravity < thick.first_runnings_gravity


def test_any_warm_or_cold_first_reading_is_believed() -> None:
    for celsius in (40.0, 82.0):
        assert not isinstance(answered().ask(temperature(celsius)), Doubt | Refused)
    assert isinstance(begun(1).to_step(4).after(minutes=6).ask(temperature(40.0)), Doubt)


def test_the_steps_before_take_no_time_and_are_neither_done_nor_skipped() -> None:
    day = answered().after(minutes=10)
    outlook = prospect(day.schedule, day.state, day.t)
    assert [step.state for step in outlook.steps[:5]] == [
        "before",
        "before",
        "before",
        "under way",
        "to come",
    ]
    assert [step.minutes for step in outlook.steps[:3]] == [0.0, 0.0, 0.0]
    assert outlook.steps[3].starts_minute == 0.0
    assert outlook.steps[4].starts_minute == pytest.approx(60.0)
    assert outlook.strike is None


def test_the_plan_beside_it_is_that_of_the_schedule_begun_there() -> None:
    day = answered()
    shown = tell.view(day.schedule, day.state, day.t, lambda t: BEGAN + timedelta(seconds=t))
    assert [(step.mark, step.planned) for step in shown.steps[2:5]] == [
        ("before", "--:--"),
        ("now", "10:00"),
        ("to come", "11:00"),
    ]
    assert timetable.planned_minutes(day.schedule, 4)[:4] == [0.0, 0.0, 0.0, 60.0]
    assert timetable.planned_minutes(day.schedule)[3:] == timetable.planned_minutes(day.schedule, 4)[3:]


def test_the_summary_tells_where_it_began_and_what_was_in_the_pot() -> None:
    day = begun(4)
    day.send(told("grain in the pot", 4.8))
    day.send(intents.AnswerUnknown())
    day.send(told("minutes mashed", 20.0))
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))
    values = summary_values(made)
    assert values["from_step"] == 4
    assert [step["how"] for step in values["steps"][:4]] == ["before", "before", "before", "under way"]
    assert [step["planned_minute"] for step in values["steps"][3:5]] == [0.0, 60.0]
    assert [(one["what"], one["planned"], one["given"], one["typed"]) for one in values["amounts"]] == [
        ("grain in the pot", 5.0, 4.8, "4.8"),
        ("water in the pot", 15.0, 15.0, "unknown"),
        ("minutes mashed", 5.0, 20.0, "20.0"),
    ]
    words = summary_words(made, "metric")
    assert "Begun in mid-mash, at step 4 rest." in words
    assert "grain in the pot: 4.80 kg; planned 5.00 kg" in words
    assert "water in the pot: 15.0 L, assumed; planned 15.0 L" in words
    assert "OTHER AMOUNTS" not in words


def test_ending_early_counts_only_the_steps_of_this_day() -> None:
    assert "6 of 6 steps not done" in answered().doubted(intents.Finish())


def test_a_day_begun_so_and_lived_to_its_end_is_complete() -> None:
    day = answered()
    day.read(63.0)
    day.after(minutes=58).read(62.8)
    day.after(minutes=2).send(intents.Done(sure=True))
    day.send(starch(True))
    day.send(intents.Done(sure=True))
    day.after(minutes=20).send(gravity(1.07, 20.0))
    day.send(volume(17.0))
    while day.state.phase == "running":
        day.send(intents.Skip(sure=True))
    assert day.state.phase == "complete"


TEXTS = (BARLEY, TWICE, RYE, *(sample_text(name) for name in sample_names()))
SCHEDULES = tuple(load(text) for text in TEXTS)
AMOUNTS = st.none() | st.floats(0.01, 60.0) | st.sampled_from((0.0, -1.0, 1e9, math.nan, math.inf))


@pytest.mark.long
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_from_any_step_with_any_answers_the_day_goes_on(data: st.DataObject) -> None:
    day = Day(data.draw(st.sampled_from(SCHEDULES)))
    day.send(intents.Start(data.draw(st.integers(1, len(day.schedule.steps)))))
    for _ in range(data.draw(st.integers(0, 14))):
        day.after(minutes=data.draw(st.floats(0.0, 50.0)))
        what = mid_mash.question(day.schedule, day.state)
        amount = data.draw(AMOUNTS)
        intent: intents.Intent
        if what is not None and amount is not None:
            intent = told(what.what, amount, sure=True)
        else:
            intent = data.draw(
                st.sampled_from(
                    [
                        intents.AnswerUnknown(),
                        intents.Done(sure=True),
                        intents.Skip(sure=True),
                        intents.Undo(),
                        intents.LeaveIt(),
                        intents.TakeRemedy(1),
                        intents.AddWater(1.0, "1 L", 90.0, sure=True),
                        told("grain", 3.0, sure=True),
                        told("water", 11.0, sure=True),
                        temperature(data.draw(st.floats(5.0, 95.0)), sure=True),
                        gravity(1.05, 20.0),
                        starch(False),
                    ]
                )
            )
        decision = day.ask(intent)
        if not isinstance(decision, Refused | Doubt):
            day.write(decision)
        day.tick()
        for number in range(1, len(day.schedule.steps) + 1):
            held = inside(day, number)
            assert held.water_kg >= 0.0 and held.grain_kg >= 0.0 and held.kj_per_k > 0.0
        shown = tell.view(day.schedule, day.state, day.t, lambda t: BEGAN + timedelta(seconds=t))
        assert shown.instruction
        outlook = prospect(day.schedule, day.state, day.t)
        assert 0.0 <= outlook.conversion_now <= 1.0
        assert math.isfinite(outlook.ends_minute)
        assert extract.sparge_litres(day.schedule, day.state) >= 0.0
    made = summary(day.schedule, day.state, at=lambda t: BEGAN + timedelta(seconds=t))
    assert summary_words(made, "us") and summary_values(made)


TWO = BARLEY.replace(
    "[[grain]]",
    '[[grain]]\nname = "rye"\nkind = "rye malt"\nmass = "1 kg"\ntemperature = "18 C"\n[[grain]]',
    1,
)


def kilograms(day: Day) -> dict[str, float]:
    return {grain.name: kg for grain, kg in inside(day).grains}


def test_a_kind_that_was_weighed_stays_as_weighed_when_the_rest_is_unknown() -> None:
    day = begun(4, TWO)
    day.send(told("grain", 4.0, name="pale barley malt"))
    assert asked(day) == "grain in the pot"
    day.send(intents.AnswerUnknown())
    # 4 kg of the 5 kg of malt as told, the 1 kg of rye as planned
    assert kilograms(day) == {"rye": pytest.approx(1.0), "pale barley malt": pytest.approx(4.0)}


def test_grain_weighed_kind_by_kind_is_told() -> None:
    day = begun(4, TWO)
    day.send(told("grain", 4.0, name="pale barley malt"))
    day.send(told("grain", 0.8, name="rye"))
    assert asked(day) == "water in the pot"
    assert kilograms(day) == {"rye": 0.8, "pale barley malt": 4.0}


def test_the_temperature_of_grain_that_is_in_changes_nothing() -> None:
    assert "The grain is in" in begun(4).refused(told("grain temperature", 30.0))


def test_more_water_measured_comes_off_the_sparge_whenever_it_is_told() -> None:
    day = Day(load(BARLEY)).to_step(2)
    day.send(told("water", 18.0))
    # 3 L more than the 15 L planned, of 7.5 L to rinse with
    assert extract.sparge_litres(day.schedule, day.state) == pytest.approx(4.5)
    less = Day(load(BARLEY)).to_step(2)
    less.send(told("water", 13.0))
    assert extract.sparge_litres(less.schedule, less.state) == pytest.approx(7.5)
