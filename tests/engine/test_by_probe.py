"""What a live thermometer has to say: news, and what may be taken without hands."""

from __future__ import annotations

import pytest
from days import BARLEY, Day

from mashday.engine import by_probe, calls, intents, pace
from mashday.engine import facts as f
from mashday.engine.by_probe import Live, News
from mashday.engine.decision import Doubt
from mashday.schedule.door import load

STRIKE = 69.0
"""What the water of this day is heated to, C: the heat balance of `science.heat`, checked there."""


def a_day(text: str = BARLEY) -> Day:
    return Day(load(text))


def says(day: Day, celsius: float, *, steady: bool = True, rising: float | None = None) -> News | None:
    return by_probe.news(day.schedule, day.state, day.t, Live(celsius, steady, rising))


def probe(celsius: float) -> intents.TakeReading:
    """What the probe shows, as a reading."""
    return intents.TakeReading("temperature", celsius, "C", f"{celsius} C", celsius, source=f.PROBE)


def kinds(day: Day) -> list[str]:
    return [call.kind for call in calls.calls(day.schedule, day.state, day.t) if call.rings]


def test_nothing_is_news_before_the_day_begins() -> None:
    assert says(a_day(), 68.0) is None


def test_water_far_from_its_target_is_no_news_until_it_is_asked_for() -> None:
    day = a_day().to_step(2).after(minutes=5.0)
    assert says(day, 30.0) is None
    found = says(day.after(minutes=60.0), 50.0)
    assert found is not None and (found.why, found.needs_steady) == ("asked", False)


def test_water_is_called_before_its_target_by_what_the_heater_still_gives() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    coast = pace.coast_kelvin(day.schedule, day.state, 2)
    # 2.5 kW at 0.8 into 15 kg of water and 4.6 kg of steel: 1.8 K a minute, half of it in 30 s (derived).
    assert coast == pytest.approx(0.9, abs=0.1)
    assert says(day, STRIKE - coast - 0.2, rising=1.8) is None
    found = says(day, STRIKE - coast + 0.1, rising=1.8)
    assert found is not None and found.why == "there"


def test_water_that_does_not_rise_any_more_is_not_called_early() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    assert says(day, STRIKE - 0.6, rising=0.0) is None


def test_heat_off_is_called_and_then_that_the_water_is_there() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    day.send(probe(STRIKE - 0.7))
    assert kinds(day) == ["near"]
    day.send(intents.Acknowledge())
    assert kinds(day) == []
    day.after(minutes=1.0).send(probe(STRIKE - 0.1))
    assert kinds(day) == ["there"]
    assert says(day, STRIKE) is None


def test_a_heating_that_stood_short_of_its_target_is_called_again_once_it_is_there() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    day.send(probe(STRIKE - 0.7))
    day.send(intents.Acknowledge())
    assert by_probe.coasts(day.schedule, day.state, day.t) == "rises"
    assert says(day, STRIKE, rising=1.0) is None
    day.after(minutes=3.0).send(probe(STRIKE - 0.65))
    assert by_probe.coasts(day.schedule, day.state, day.t) == "stands"
    # within what is still good below the target, 0.3 K (engine.landing), and no sooner
    assert says(day, STRIKE - 0.5, rising=1.0) is None
    found = says(day, STRIKE - 0.25, rising=1.0)
    assert found is not None and (found.why, found.needs_steady) == ("there", False)
    day.after(minutes=2.0).send(probe(STRIKE - 0.5))
    assert by_probe.coasts(day.schedule, day.state, day.t) == "stands", "it heats once more"
    day.send(probe(STRIKE - 0.25))
    assert kinds(day) == ["there"] and says(day, STRIKE, rising=1.0) is None


def test_a_heating_that_fell_back_is_not_read_again_before_it_is_there() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    day.send(probe(STRIKE - 0.7))
    day.after(minutes=3.0).send(probe(STRIKE - 1.5))
    assert says(day, STRIKE - 0.6, rising=1.0) is None
    assert says(day, STRIKE - 0.2, rising=1.0) is not None


def test_who_reads_a_thermometer_is_not_called_to_what_it_shows() -> None:
    day = a_day().to_step(2).after(minutes=20.0)
    day.read(STRIKE)
    assert "there" not in kinds(day)


def watched(kelvin: float) -> Day:
    """A day with a raise by fire, whose water rose by so much after the probe had called it."""
    raised = 'kind = "raise"\ntarget = "72 C"\nby = "fire"\n[[step]]\nkind = "starch-check"'
    day = a_day(BARLEY.replace('kind = "starch-check"', raised)).to_step(2).after(minutes=20.0)
    day.send(probe(STRIKE - kelvin))
    day.after(minutes=2.0).send(probe(STRIKE))
    day.send(intents.Done(sure=True))
    return day


def test_a_heating_that_was_watched_teaches_the_next_one() -> None:
    little, much = watched(0.3), watched(0.9)
    coasts = [pace.coast_kelvin(day.schedule, day.state, 5) for day in (little, much)]
    # As far as it rose, 0.9 K against 0.3 K: the pace of the heater is the same in both (derived).
    assert coasts[1] == pytest.approx(3.0 * coasts[0])


def test_a_probes_value_is_true_already_and_the_thermometers_offset_is_not_taken_off_again() -> None:
    day = a_day(BARLEY + '[thermometer]\noffset = "2 K"\n').to_step(4).after(minutes=6.0)
    (taken, *_) = day.send(probe(63.0))
    assert isinstance(taken, f.ReadingTaken)
    assert (taken.celsius, taken.source) == (63.0, "probe")


def test_a_mash_is_read_a_minute_after_it_was_called_and_sooner_once_that_was_heard() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    found = says(day, 63.0)
    assert found is not None and (found.why, found.wait_seconds, found.needs_steady) == ("asked", 60.0, True)
    day.send(intents.Acknowledge())
    heard = says(day, 63.0)
    assert heard is not None and heard.wait_seconds == 20.0


def test_a_rest_that_has_left_its_band_is_news_once_and_does_not_come_and_go() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(probe(63.0))
    day.after(minutes=6.0)
    assert says(day, 61.9) is None
    found = says(day, 61.6)
    assert found is not None and found.why == "drifted"
    live = Live(61.9, steady=False)
    assert by_probe.news(day.schedule, day.state, day.t, live, found.key) == found
    assert says(day, 61.6, steady=False) is None


def test_the_last_minutes_of_a_rest_are_left_in_peace() -> None:
    day = a_day().to_step(4).after(minutes=50.0)
    day.send(probe(62.8))
    assert says(day.after(minutes=6.0), 61.0) is None


def test_no_drift_is_told_while_a_remedy_is_under_way() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(probe(61.5))
    assert says(day.after(minutes=6.0), 60.9) is None


def test_a_mash_on_fire_that_is_there_calls_before_its_minutes_are_over() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(probe(60.5))
    offer = day.state.offer
    assert offer is not None
    fire = next(way for way in offer.options if way.way == "fire")
    day.send(intents.TakeRemedy(fire.option))
    day.after(seconds=60.0)
    assert says(day, fire.target_celsius - 0.1) is None
    found = says(day, fire.target_celsius + 0.1)
    assert found is not None and found.why == "there"
    day.send(probe(fire.target_celsius + 0.1))
    assert any(call.way == "fire" for call in calls.calls(day.schedule, day.state, day.t))


def test_from_the_separation_on_one_value_is_taken_by_hand_first() -> None:
    day = a_day().to_step(4)
    assert by_probe.takes_itself(day.schedule, day.state)
    day = a_day().to_step(7).after(minutes=10.0)
    assert not by_probe.takes_itself(day.schedule, day.state)
    day.send(probe(30.0))
    assert by_probe.takes_itself(day.schedule, day.state)
    found = says(day, 24.5, rising=-2.0)
    assert found is not None and found.why == "there"


def test_what_the_person_took_back_is_not_taken_again_in_that_step() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(probe(63.0))
    day.send(intents.Void(day.state.readings[-1].number))
    assert not by_probe.takes_itself(day.schedule, day.state)


def test_an_undone_reading_is_not_taken_again_in_that_step() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(probe(63.0))
    day.send(intents.Undo())
    assert not by_probe.takes_itself(day.schedule, day.state)


def test_a_value_out_of_its_window_is_doubted_like_anybodys() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    assert isinstance(day.ask(probe(52.0)), Doubt)


def test_a_held_day_hears_no_news() -> None:
    day = a_day().to_step(4).after(minutes=6.0)
    day.send(intents.Hold())
    assert says(day, 55.0) is None
