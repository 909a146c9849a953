"""What is believed of a live thermometer. Samples and expected values are derived by hand from the rules."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.probe_live import HIGHEST_CELSIUS, LOWEST_CELSIUS, Live, Shown


def fed(live: Live, samples) -> Live:
    for second, celsius in samples:
        live.take(second, celsius)
    return live


def standing(celsius: float = 64.0, seconds: int = 20) -> Live:
    return fed(Live(0.0), ((second, celsius) for second in range(seconds + 1)))


def test_nothing_is_known_at_first():
    assert Live(0.0).shown(1.0) == Shown()


def test_a_sample_is_shown_with_its_age():
    live = fed(Live(0.0), [(1.0, 64.5)])
    assert live.shown(4.0) == Shown(64.5, 3.0, False, None, None)


def test_a_calibrated_value_is_the_true_one():
    # shown = offset + slope * true: (64.7 - 0.5) / 1.07 = 60
    live = fed(Live(0.0, offset_kelvin=0.5, slope=1.07), [(1.0, 64.7)])
    assert live.shown(1.0).celsius == pytest.approx(60.0)


def test_a_thermometer_that_stands_is_steady():
    shown = standing().shown(20.5)
    assert shown.steady
    assert shown.celsius == 64.0
    assert shown.rising_per_minute == pytest.approx(0.0)


def test_a_few_samples_of_a_moment_are_not_steady():
    assert not standing(seconds=8).shown(8.0).steady
    assert not fed(Live(0.0), [(0.0, 64.0), (14.0, 64.0)]).shown(14.0).steady


def test_a_message_every_ten_seconds_can_be_steady():
    assert fed(Live(0.0), [(0.0, 64.0), (10.0, 64.1), (20.0, 64.0)]).shown(20.0).steady


@pytest.mark.parametrize("every", [11.0, 15.0, 30.0, 55.0])
def test_a_slow_probe_is_agreed_on_at_its_third_value_and_with_each_one_after(every):
    # 0.02 K a second is 1.2 K a minute
    live = Live(0.0)
    for place in range(8):
        live.take(place * every, 50.0 + 0.02 * place * every)
        shown = live.shown(place * every)
        assert shown.is_agreed == (place >= 2)
    assert shown.rising_per_minute == pytest.approx(1.2)
    assert shown.every_seconds == every


def test_a_slow_probe_in_a_mash_that_stands_is_steady_while_its_value_is_fresh():
    live = fed(Live(0.0), ((30.0 * place, 64.0) for place in range(4)))
    assert live.shown(91.0).steady
    assert not live.shown(110.0).steady


def test_a_value_far_off_is_a_jump_however_slow_the_probe_is():
    live = fed(Live(0.0), ((30.0 * place, 64.0) for place in range(4)))
    live.take(120.0, 97.0)
    shown = live.shown(120.0)
    assert (shown.celsius, shown.trouble) == (64.0, "jumped 33 C in 30 s: not believed")


def test_how_far_apart_values_come_is_no_gap_between_them_and_no_burst():
    assert fed(Live(0.0), [(0.0, 64.0), (1.0, 64.0)]).shown(1.0).every_seconds is None
    gap = fed(Live(0.0), [(0.0, 64.0), (1.0, 64.0), (2.0, 64.0), (50.0, 64.0), (51.0, 64.0)])
    assert gap.shown(51.0).every_seconds == 1.0
    bursts = ((40.0 * (place // 2) + 0.1 * (place % 2), 64.0) for place in range(8))
    assert fed(Live(0.0), bursts).shown(120.0).every_seconds == 40.0


def test_a_rise_is_told_and_is_not_steady():
    # 0.05 K a second is 3 K a minute
    live = fed(Live(0.0), ((second, 60.0 + 0.05 * second) for second in range(21)))
    shown = live.shown(20.0)
    assert shown.rising_per_minute == pytest.approx(3.0)
    assert not shown.steady


def test_a_cooling_mash_is_steady_enough():
    # a wrapped pot loses some tenths of a degree a minute
    live = fed(Live(0.0), ((second, 64.0 - 0.2 / 60 * second) for second in range(21)))
    assert live.shown(20.0).steady


def test_a_flicker_of_more_than_the_thermometers_step_is_not_steady():
    live = fed(Live(0.0), ((second, 64.0 + 0.9 * (second % 2)) for second in range(21)))
    assert not live.shown(20.0).steady


def test_a_lagging_probe_is_put_right_by_lag_times_slope():
    # behind by 0.05 K/s * 10 s = 0.5 K; the median of three is one sample late, 0.05 K
    live = fed(Live(0.0, lag_seconds=10.0), ((second, 60.0 + 0.05 * second) for second in range(21)))
    assert live.shown(20.0).celsius == pytest.approx(61.0 - 0.05 + 0.5)


def test_a_probe_that_is_just_being_put_in_is_put_right_by_five_kelvin_at_most():
    live = fed(Live(0.0, lag_seconds=60.0), ((second, 20.0 + 2.0 * second) for second in range(21)))
    assert live.shown(20.0).celsius == pytest.approx(58.0 + 5.0)


def test_one_spike_within_what_is_allowed_does_not_show():
    live = fed(Live(0.0), [(0.0, 64.0), (1.0, 64.0), (2.0, 67.0)])
    assert live.shown(2.0).celsius == 64.0


@pytest.mark.parametrize(
    ("celsius", "why"),
    [
        (150.0, "150 C cannot be"),
        (1062.0, "1062 C cannot be"),
        (64500.0, "64500 C cannot be"),
        (127.937, "128 C cannot be"),
        (-127.0, "-127 C cannot be"),
        (math.nan, "what it tells is no temperature"),
        (math.inf, "what it tells is no temperature"),
        (1e300, "what it tells is no temperature"),
    ],
)
def test_what_cannot_be_is_never_believed(celsius, why):
    live = fed(Live(0.0), [(1.0, celsius)])
    assert live.shown(1.0) == Shown(trouble=why)
    live = fed(standing(), [(21.0, celsius), (22.0, celsius), (23.0, celsius), (24.0, celsius)])
    shown = live.shown(24.0)
    assert (shown.celsius, shown.age_seconds, shown.trouble, shown.steady) == (64.0, 4.0, why, False)


def test_trouble_passes_with_the_next_sound_sample():
    assert fed(standing(), [(21.0, 150.0), (22.0, 64.0)]).shown(22.0).trouble is None


def test_words_are_in_the_units_of_the_person():
    assert fed(Live(0.0, units="us"), [(1.0, 150.0)]).shown(1.0).trouble == "302 F cannot be"
    assert fed(Live(0.0, units="us"), [(1.0, 85.0)]).shown(1.0).trouble == "185.0 F is the power-on value"
    live = fed(Live(0.0, units="us"), [(1.0, 60.0), (2.0, 70.0)])
    assert live.shown(2.0).trouble == "jumped 18 F in 1 s: not believed"


def test_a_jump_is_not_believed_by_itself():
    shown = fed(standing(), [(21.0, 76.0)]).shown(21.0)
    assert (shown.celsius, shown.age_seconds, shown.trouble) == (
        64.0,
        1.0,
        "jumped 12 C in 1 s: not believed",
    )


def test_a_jump_is_believed_when_three_samples_agree():
    live = fed(standing(), [(21.0, 76.0), (22.0, 76.1)])
    assert live.shown(22.0).celsius == 64.0
    live.take(23.0, 76.0)
    shown = live.shown(23.0)
    assert (shown.celsius, shown.trouble, shown.steady) == (76.0, None, False)


def test_a_burst_of_one_moment_is_not_three_samples():
    live = fed(standing(), [(20.1, 76.0), (20.15, 76.0), (20.2, 76.0), (20.3, 76.0)])
    assert live.shown(20.3).celsius == 64.0


def test_samples_fifty_a_second_after_a_jump_are_believed_after_half_a_second():
    live = fed(standing(), ((20.0 + n / 50, 76.0) for n in range(1, 40)))
    assert live.shown(20.8).celsius == 76.0


def test_jumps_that_do_not_agree_are_never_believed():
    live = fed(standing(), ((20.0 + n, (20.0, 100.0, 2.0)[n % 3]) for n in range(1, 4)))
    assert live.shown(23.0).celsius == 64.0


def test_a_first_sample_that_was_wrong_is_left_after_three_others():
    live = fed(Live(0.0), [(0.0, 4.5), (1.0, 64.0), (2.0, 64.1), (3.0, 64.0)])
    assert live.shown(3.0).celsius == pytest.approx(64.0)


def test_noise_of_quick_samples_is_no_jump():
    live = fed(Live(0.0), ((n / 50, 64.0 + 0.5 * (n % 2)) for n in range(200)))
    assert live.shown(4.0).trouble is None


def test_the_power_on_value_is_not_believed_alone():
    live = fed(Live(0.0), [(1.0, 85.0), (2.0, 85.0), (3.0, 85.0), (4.0, 85.0)])
    assert live.shown(4.0) == Shown(trouble="85.0 C is the power-on value", every_seconds=1.0)
    live = fed(standing(), [(21.0, 85.0)])
    assert live.shown(21.0).trouble == "85.0 C is the power-on value"


def test_the_power_on_value_is_a_temperature_where_its_neighbour_agrees():
    live = fed(Live(0.0), [(1.0, 84.8), (2.0, 84.9), (3.0, 85.0)])
    assert live.shown(3.0).age_seconds == 0.0
    assert live.shown(3.0).trouble is None


def test_the_power_on_value_after_a_pause_is_not_believed():
    assert fed(Live(0.0), [(1.0, 84.8), (30.0, 85.0)]).shown(30.0).trouble == "85.0 C is the power-on value"


def test_an_old_value_is_none():
    assert standing().shown(80.0).celsius == 64.0
    shown = standing().shown(90.0)
    assert shown == Shown(None, 70.0, False, None, "nothing heard for 70 s", 1.0)


def test_how_soon_a_value_is_old_can_be_said():
    live = fed(Live(0.0, stale_seconds=300.0), [(0.0, 64.0)])
    assert live.shown(290.0).celsius == 64.0


def test_silence_from_the_beginning_is_told():
    assert Live(100.0).shown(150.0).trouble is None
    assert Live(100.0).shown(170.0).trouble == "nothing heard for 70 s"


def test_a_steady_value_is_no_longer_steady_when_nothing_more_comes():
    assert standing().shown(30.0).steady
    assert not standing().shown(40.0).steady


def test_after_a_gap_it_starts_anew():
    shown = fed(standing(), [(100.0, 20.0)]).shown(100.0)
    assert shown == Shown(20.0, 0.0, False, None, None, 1.0)


def test_a_lost_thermometer_keeps_its_words_until_a_sample_comes():
    live = standing()
    live.lost(21.0, "unplugged: no 28-0316a2795bff on the wire")
    shown = live.shown(22.0)
    assert (shown.celsius, shown.steady) == (64.0, False)
    unplugged = "unplugged: no 28-0316a2795bff on the wire"
    assert live.shown(300.0) == Shown(None, 280.0, False, None, unplugged, 1.0)
    live.take(301.0, 64.0)
    assert live.shown(301.0).trouble is None


def test_a_retained_message_is_not_believed_alone():
    live = Live(0.0)
    live.take(1.0, 64.0, retained=True)
    assert live.shown(1.0) == Shown(trouble="a retained message may be old: waiting for a new one")
    live.take(2.0, 63.0)
    assert live.shown(2.0) == Shown(63.0, 0.0, False, None, None)


def test_a_retained_message_beside_fresh_ones_changes_nothing():
    live = standing()
    live.take(21.0, 20.0, retained=True)
    assert live.shown(21.0).celsius == 64.0
    assert live.shown(21.0).trouble is None


def test_a_line_that_cannot_be_read_is_told_only_where_no_other_can():
    live = Live(0.0)
    live.unreadable(1.0, "two numbers: '28-00 64.5'; give a pattern")
    assert live.shown(1.0).trouble == "two numbers: '28-00 64.5'; give a pattern"
    live.take(2.0, 64.0)
    live.unreadable(3.0, "'Humidity: 45' need not be a temperature")
    assert live.shown(3.0).trouble is None
    live.unreadable(30.0, "'Humidity: 45' need not be a temperature")
    assert live.shown(30.0).trouble == "'Humidity: 45' need not be a temperature"


SAMPLES = st.lists(
    st.tuples(
        st.floats(0.0, 30.0),
        st.one_of(
            st.sampled_from([64.0, 64.1, 85.0, 150.0, -127.0, math.nan, math.inf, -math.inf, 1e300]),
            st.floats(allow_nan=True, allow_infinity=True),
            st.floats(-60.0, 130.0),
        ),
        st.booleans(),
    ),
    max_size=60,
)


@given(SAMPLES, st.sampled_from([None, 10.0, 600.0]))
def test_whatever_comes_what_is_shown_is_possible(samples, lag):
    live = Live(0.0, lag_seconds=lag)
    now = 0.0
    for wait, celsius, retained in samples:
        now += wait
        live.take(now, celsius, retained=retained)
        shown = live.shown(now)
        if shown.celsius is not None:
            assert LOWEST_CELSIUS - 5 <= shown.celsius <= HIGHEST_CELSIUS + 5
            assert shown.age_seconds is not None and 0 <= shown.age_seconds <= 60
        assert not (shown.steady and (shown.trouble or shown.celsius is None))


@given(st.lists(st.floats(-0.2, 0.2), min_size=41, max_size=41))
def test_noise_within_the_band_is_shown_within_it(noise):
    live = fed(Live(0.0), ((second / 2, 64.0 + one) for second, one in enumerate(noise)))
    shown = live.shown(20.0)
    assert shown.trouble is None
    assert shown.celsius is not None and abs(shown.celsius - 64.0) <= 0.2 + 1e-9


@given(st.integers(0, 40), st.floats(70.0, 120.0))
def test_one_wild_sample_never_moves_the_value(place, wild):
    live = Live(0.0)
    for second in range(41):
        live.take(float(second), 64.0)
        if second == place:
            live.take(second + 0.4, wild)
            assert live.shown(second + 0.4).celsius == 64.0
    assert live.shown(40.0).celsius == 64.0


def test_one_value_after_a_silence_of_a_quick_probe_is_not_steady_and_shows_no_slope():
    quick = fed(Live(0.0), [(float(second), 65.0) for second in range(31)])
    assert quick.shown(30.0).steady
    quick.take(85.0, 65.3)
    assert not quick.shown(85.0).steady and quick.shown(85.0).rising_per_minute is None


def test_no_lag_is_put_right_by_a_slope_across_a_silence():
    behind = fed(Live(0.0, lag_seconds=30.0), [(float(second), 60.0) for second in range(31)])
    behind.take(80.0, 64.0)
    assert behind.shown(80.0).celsius == 64.0
