"""Durations, wall labels, and where a session goes on after an absence."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.session.clock import (
    VIRTUAL_START,
    Clock,
    FastClock,
    Opening,
    Resumption,
    SystemClock,
    VirtualClock,
    resumed_t,
)

SUMMER = timezone(timedelta(hours=2))
NINE = datetime(2026, 3, 28, 9, 0, tzinfo=SUMMER)


def test_the_system_clock_goes_forward_and_tells_the_local_offset() -> None:
    clock: Clock = SystemClock()
    first = clock.elapsed()
    assert clock.elapsed() >= first > 0
    wall = clock.wall()
    assert wall.utcoffset() is not None and wall.microsecond == 0
    assert abs((datetime.now(UTC) - wall).total_seconds()) < 60


@pytest.mark.skipif(sys.platform != "linux", reason="the kernel tells its boot id in /proc on Linux only")
def test_on_linux_the_boot_id_is_the_kernels_and_the_clock_is_the_uptime() -> None:
    assert SystemClock().boot_id() == Path("/proc/sys/kernel/random/boot_id").read_text().strip()
    uptime = float(Path("/proc/uptime").read_text().split()[0])  # proc(5): seconds, suspend included
    assert SystemClock().elapsed() == pytest.approx(uptime, abs=5)


def test_a_virtual_clock_stands_until_it_is_moved_on() -> None:
    clock = VirtualClock(NINE, elapsed=50.0)
    assert (clock.elapsed(), clock.wall(), clock.boot_id()) == (50.0, NINE, "virtual")
    clock.advance(90.5)
    assert clock.elapsed() == 140.5
    assert clock.wall() == NINE + timedelta(seconds=90)  # derived: whole seconds
    assert VirtualClock().wall() == VIRTUAL_START


def test_a_virtual_clock_passes_the_change_to_summer_time_without_losing_an_hour() -> None:
    start = datetime(2025, 3, 30, 1, 30, tzinfo=ZoneInfo("Europe/Berlin"))
    clock = VirtualClock(start)
    clock.advance(3600)
    assert clock.wall().astimezone(UTC) == datetime(
        2025, 3, 30, 1, 30, tzinfo=UTC
    )  # derived: 00:30 UTC + 1 h


@pytest.mark.parametrize("seconds", [-1.0, float("nan"), float("inf")])
def test_no_clock_goes_back(seconds: float) -> None:
    with pytest.raises(ValueError, match="only goes forward"):
        VirtualClock().advance(seconds)
    with pytest.raises(ValueError, match="only goes forward"):
        FastClock(60, VirtualClock()).jump(seconds)


def test_a_start_without_an_offset_is_refused() -> None:
    with pytest.raises(ValueError, match="no offset"):
        VirtualClock(datetime(2026, 3, 28, 9, 0))


def test_a_fast_clock_runs_at_its_rate_and_jumps() -> None:
    inner = VirtualClock(NINE)
    clock = FastClock(60, inner, elapsed=10.0)
    inner.advance(2)
    assert clock.elapsed() == 130.0  # derived: 10 + 2 * 60
    assert clock.wall() == NINE + timedelta(minutes=2)
    clock.jump(15 * 60)
    assert clock.elapsed() == 1030.0
    assert clock.wall() == NINE + timedelta(minutes=17)
    assert clock.boot_id() == "virtual"


def test_a_fast_clock_can_take_up_another_day() -> None:
    clock = FastClock(60, VirtualClock(NINE), start=VIRTUAL_START, elapsed=500.0)
    assert (clock.wall(), clock.elapsed()) == (VIRTUAL_START, 500.0)


@pytest.mark.parametrize("rate", [0, -1, float("nan"), float("inf")])
def test_a_fast_clock_needs_a_rate_above_zero(rate: float) -> None:
    with pytest.raises(ValueError, match="rate must be above zero"):
        FastClock(rate, VirtualClock())


def resume(
    *,
    elapsed: float,
    wall: datetime,
    boot_id: str = "boot-a",
    last_t: float = 100.0,
    opened_boot: str = "boot-a",
) -> Resumption:
    """An absence from a session opened at t = 40, elapsed = 1000, whose last entry is of nine o'clock."""
    return resumed_t(
        last_opened=Opening(t=40.0, elapsed=1000.0, boot_id=opened_boot),
        last_t=last_t,
        last_wall=NINE,
        elapsed=elapsed,
        wall=wall,
        boot_id=boot_id,
    )


@pytest.mark.parametrize("wall_step_hours", [-30, -1, 0, 1, 30])
def test_within_one_start_of_the_machine_the_absence_is_exact_whatever_the_wall_clock_did(
    wall_step_hours: int,
) -> None:
    wall = NINE + timedelta(hours=wall_step_hours)
    # derived: 40 + (1360 - 1000) = 400, of which 300 after the last entry
    assert resume(elapsed=1360.0, wall=wall) == Resumption(400.0, 300.0, "exact")


def test_after_a_restart_the_absence_is_estimated_by_the_wall_clock() -> None:
    back = resume(elapsed=5.0, wall=NINE + timedelta(minutes=10), boot_id="boot-b")
    assert back == Resumption(700.0, 600.0, "estimated")  # derived: 100 + 600


def test_an_unknown_boot_id_is_never_taken_for_the_same() -> None:
    back = resume(elapsed=1360.0, wall=NINE + timedelta(minutes=10), boot_id="", opened_boot="")
    assert back.how == "estimated"


def test_a_change_of_time_zone_or_of_summer_time_changes_no_duration() -> None:
    travelled = (NINE + timedelta(minutes=10)).astimezone(timezone(timedelta(hours=-5)))
    assert resume(elapsed=5.0, wall=travelled, boot_id="b").away_seconds == 600.0
    berlin = ZoneInfo("Europe/Berlin")
    back = resumed_t(
        last_opened=Opening(0.0, 0.0, "a"),
        last_t=0.0,
        last_wall=datetime(2025, 3, 30, 1, 30, tzinfo=berlin),
        elapsed=0.0,
        wall=datetime(2025, 3, 30, 3, 30, tzinfo=berlin),
        boot_id="b",
    )
    assert back.away_seconds == 3600.0  # derived: 01:30+01:00 to 03:30+02:00


@pytest.mark.parametrize(
    "away", [timedelta(seconds=-2), timedelta(hours=24, seconds=1), timedelta(days=-400)]
)
def test_an_absence_that_cannot_be_believed_is_put_to_the_person(away: timedelta) -> None:
    back = resume(elapsed=5.0, wall=NINE + away, boot_id="boot-b")
    assert back == Resumption(100.0, away.total_seconds(), "ask")
    assert resume(elapsed=1060.0 + away.total_seconds(), wall=NINE).how == "ask"


def test_a_day_and_night_away_is_still_believed() -> None:
    assert resume(elapsed=5.0, wall=NINE + timedelta(hours=24), boot_id="b").how == "estimated"


def test_a_label_in_whole_seconds_never_turns_the_session_back() -> None:
    back = resume(elapsed=1059.5, wall=NINE)
    assert back == Resumption(100.0, 0.0, "exact")  # derived: half a second of slack, taken as none


@settings(max_examples=200, deadline=None)
@given(
    st.floats(-1e6, 1e6),
    st.floats(-1e6, 1e6),
    st.sampled_from(["", "boot-a", "boot-b"]),
)
def test_a_resumed_session_never_goes_back(elapsed: float, wall_step: float, boot_id: str) -> None:
    back = resume(elapsed=elapsed, wall=NINE + timedelta(seconds=wall_step), boot_id=boot_id)
    assert back.t >= 100.0
    assert back.how == "ask" or 0.0 <= back.away_seconds <= 24 * 3600.0
