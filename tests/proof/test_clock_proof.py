"""Clocks that lie, on whole processes: no call early or more than a second late, and a guess is told as one.

The wall clock is another program's doing (libfaketime), the boot id and the clock that counts sleep are the
kernel's (namespaces). What is right is measured by the test's own clock, which nothing of that touches.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from killable import FACES, Face, OnScreen, Shed, calls_heard, elapsed, sheds_in
from sent_lines import Kept

from mashday.engine import facts as f
from mashday.session.journal import Journal

pytestmark = pytest.mark.proof

REST_SECONDS, MOST_LATE_SECONDS = 6.0, 1.0
RESTS = (
    """
format = 1
name = "Lock Seven short rests"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
"""
    + 9 * '[[step]]\nkind = "rest"\ntarget = "63 C"\ntime = "0.1 min"\nconfirm = true\n'
)
LONG_REST = RESTS.replace("0.1 min", "60 min", 1)
CENTRAL_EUROPE = "CET-1CEST,M3.5.0,M10.5.0/3"
"""Summer time from the last Sunday of March to that of October, at 1:00 UTC (directive 2000/84/EC)."""
SPRING, AUTUMN = datetime(2026, 3, 29, 1, 0, tzinfo=UTC), datetime(2026, 10, 25, 1, 0, tzinfo=UTC)
BOOT_ID = "/proc/sys/kernel/random/boot_id"
LIBRARIES = sorted(Path("/usr").glob("lib*/**/libfaketime.so.1"))
SHARED = Path("/dev/shm")
"""Where the library leaves what belongs to processes that were killed."""
HOUR = 3600.0


class Wall:
    """A wall clock that is off by what it is set to, for the processes it is given to."""

    def __init__(self, folder: Path, off_seconds: float = 0.0, zone: str = "UTC0") -> None:
        if not LIBRARIES:
            pytest.skip("libfaketime is not installed, so no wall clock can be made to lie")
        self._file = folder / "wall"
        self.environment = {
            "LD_PRELOAD": str(LIBRARIES[0]),
            "FAKETIME_TIMESTAMP_FILE": str(self._file),
            "FAKETIME_NO_CACHE": "1",
            "FAKETIME_DONT_FAKE_MONOTONIC": "1",
            "TZ": zone,
        }
        self.set(off_seconds)

    def set(self, off_seconds: float) -> None:
        """Sets it, for processes that run too."""
        unfinished = self._file.with_suffix(".new")
        unfinished.write_text(f"{off_seconds:+.0f}\n")
        unfinished.replace(self._file)


def until_then(moment: datetime) -> float:
    """How many seconds a wall clock that shows this moment is off."""
    return moment.timestamp() - time.time()


@pytest.fixture
def shed_of(tmp_path: Path) -> Iterator[Callable[..., Shed]]:
    with sheds_in(tmp_path, RESTS) as fresh:
        yield fresh
    for left in SHARED.glob("*faketime_*"):
        if not Path("/proc", left.name.rpartition("_")[2]).exists():
            left.unlink(missing_ok=True)


def begun(day: Face) -> tuple[float, float]:
    """Begins the day and its first rest; between which two moments that was."""
    day.tells("egin the day" if isinstance(day, OnScreen) else "Say 'start'")
    before = elapsed()
    day.say("start")
    day.tells("The day has begun")
    return before, elapsed()


def told_late(late: dict[str, float]) -> str:
    """The latest, in words."""
    return f"{max(late.values()):.2f} s"


@pytest.mark.parametrize("face", FACES)
def test_a_wall_clock_that_is_set_or_leaves_summer_time_moves_no_call(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    walls = {
        "set back an hour": (0.0, "UTC0", -HOUR),
        "set on an hour": (0.0, "UTC0", HOUR),
        "summer time begins": (until_then(SPRING) - 3.0, CENTRAL_EUROPE, None),
        "summer time ends": (until_then(AUTUMN) - 3.0, CENTRAL_EUROPE, None),
    }
    sheds = {name: shed_of() for name in walls}
    started = time.time()
    days, bounds, faked = {}, {}, {}
    for name, (off, zone, _) in walls.items():
        faked[name] = Wall(sheds[name].schedule.parent, off, zone)
        days[name] = sheds[name].begin(face, environment=faked[name].environment)
    for name, (off, _, step) in walls.items():
        if step is None:
            faked[name].set(off - (time.time() - started))
        bounds[name] = begun(days[name])
    time.sleep(1.0)
    for name, (_, _, step) in walls.items():
        if step is not None:
            faked[name].set(step)
    heard = calls_heard(days, REST_SECONDS + 5.0)
    late = {}
    for name, day in days.items():
        before, after = bounds[name]
        assert name in heard, f"{name}: never called\n{day.told}"
        assert heard[name] >= before + REST_SECONDS, f"{name}: early"
        assert heard[name] <= after + REST_SECONDS + MOST_LATE_SECONDS, f"{name}: late"
        late[name] = heard[name] - Kept(sheds[name].file).due_at()
        assert 0.0 <= late[name] <= MOST_LATE_SECONDS, name
        day.say("note after")
        day.tells("Note: after")
        offset = {entry.at.utcoffset() for entry in Kept(sheds[name].file).entries}
        assert len(offset) == (2 if "summer" in name else 1), f"{name}: the clock was not changed in the rest"
    proved(
        f"wall clock set by an hour, summer time within a rest, {face}",
        cases=len(walls),
        late=told_late(late),
        seen="none early",
    )


@pytest.mark.parametrize("face", FACES)
def test_a_day_taken_up_in_another_zone_calls_when_it_is_due(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    zones = ("UTC0", "EST5", "NZST-12")
    shed = shed_of()
    day = shed.begin(face, environment={"TZ": zones[0]})
    before, after = begun(day)
    for zone in zones[1:]:
        day.kill()
        day = shed.again(face, environment={"TZ": zone})
        day.tells("Back after")
    heard = calls_heard({"day": day}, REST_SECONDS + 5.0)["day"]
    assert before + REST_SECONDS <= heard
    late = heard - (after + REST_SECONDS)
    assert late <= MOST_LATE_SECONDS
    assert len({entry.at.utcoffset() for entry in Kept(shed.file).entries}) == len(zones)
    proved(
        f"taken up in another time zone, {face}",
        cases=len(zones) - 1,
        late=f"{max(late, 0.0):.2f} s",
        seen="none early",
    )


# Restarts of the machine


def of_another_boot(path: Path) -> None:
    """Writes the file anew as one that was kept before the machine was started again."""
    recovered = Journal.read(path)
    header = {**recovered.header, "boot_id": "an earlier one"}
    tables = [
        {**table, "boot_id": "an earlier one", "elapsed": table["elapsed"] + 1e6}
        if table["kind"] == "opened"
        else table
        for table in recovered.tables
    ]
    for old in path.parent.glob("*"):
        old.unlink()
    moment = tables[0]["at"]
    Journal.write_whole(path.parent, "after-a-restart", moment.date(), header, tables).close()


def resting(shed: Shed, face: str) -> tuple[float, float]:
    """A day in its long rest, killed there; between which two moments the rest began."""
    day = shed.begin(face)
    bounds = begun(day)
    day.say("note last")
    day.tells("Note: last")
    day.kill()
    return bounds


@pytest.mark.parametrize("face", FACES)
def test_after_a_restart_of_the_machine_the_time_is_told_as_estimated(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    walls = {"as it was": 0.0, "two hours on": 2 * HOUR, "half an hour on": HOUR / 2}
    worst = 0.0
    for off in walls.values():
        shed = shed_of(LONG_REST)
        before, after = resting(shed, face)
        of_another_boot(shed.file)
        wall = Wall(shed.schedule.parent, off)
        day = shed.again(face, environment=wall.environment)
        day.tells("estimated by the wall clock after a restart")
        opened = Kept(shed.file).entries[-1].fact
        assert isinstance(opened, f.Opened)
        assert opened.how == "estimated"
        left = HOUR - off
        if left > 0.0:
            told, now = day.seconds_left(), elapsed()
            low, high = before + left - now, after + left - now
            worst = max(worst, low - told, told - high)
            assert low - 2.0 <= told <= high + 2.0
        else:
            assert calls_heard({"day": day}, 5.0)["day"] - day.begun_at < 5.0
            day.tells("Rest: time is up, 1 h 00 min ago")
        day.kill()
    proved(
        f"taken up after a restart of the machine, {face}",
        cases=len(walls),
        seen=f"told as estimated; off by {worst:.1f} s at most",
    )


@pytest.mark.parametrize("face", FACES)
def test_a_clock_that_cannot_be_believed_after_a_restart_is_put_to_the_person(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    walls = {"gone back": -HOUR, "gone back days": -72 * HOUR, "more than a day on": 25 * HOUR}
    for off in walls.values():
        shed = shed_of(LONG_REST)
        resting(shed, face)
        of_another_boot(shed.file)
        kept = Kept(shed.file)
        wall = Wall(shed.schedule.parent, off)
        day = shed.again(face, environment=wall.environment)
        day.tells("away 25 h 00 min by the clock" if off > 0.0 else "the clock went back")
        day.tells("that is not believed, and the day goes on from its last entry")
        now = Kept(shed.file)
        opened = now.entries[-1]
        assert isinstance(opened.fact, f.Opened)
        assert opened.fact.how == "ask"
        assert 0.0 <= opened.t - kept.state.t < 1.0
        before, told = now.left(elapsed()), day.seconds_left()
        assert now.left(elapsed()) <= told <= before + 1.0
        day.kill()
    proved(
        f"wall clock gone back or a day on across a restart, {face}",
        cases=len(walls),
        seen="asked, not guessed: each went on from its last entry",
    )


def in_another_boot(folder: Path, *, boot: str | None, asleep_seconds: float) -> tuple[str, ...]:
    """What starts a program as after a restart of the machine, or so long asleep; skips without root."""
    if os.geteuid() != 0 or shutil.which("unshare") is None:
        pytest.skip("another boot id and another clock need root, for namespaces")
    words = ("unshare", "--mount", "--time", "--fork", "--kill-child", f"--boottime={asleep_seconds:.0f}")
    tried = subprocess.run([*words, "true"], capture_output=True, text=True, check=False)
    if tried.returncode != 0:
        pytest.skip(f"no namespaces of clocks here: {tried.stderr.strip()}")
    if boot is None:
        return words
    made = folder / "boot_id"
    made.write_text(f"{boot}\n", encoding="ascii")
    return (*words, "sh", "-c", f'mount --bind "{made}" {BOOT_ID} && exec "$@"', "sh")


@pytest.mark.parametrize("face", FACES)
def test_a_machine_that_was_started_again_or_slept_is_told_apart(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    asleep, restarted = shed_of(LONG_REST), shed_of(LONG_REST)
    slept = in_another_boot(asleep.schedule.parent, boot=None, asleep_seconds=2 * HOUR)
    _, after = resting(asleep, face)
    day = asleep.again(face, before=slept)
    day.tells("Back after 2 h 00 min; the clocks went on meanwhile.")
    day.tells("Rest: time is up, 1 h 00 min ago")
    day.end()
    new = "00000000-1111-2222-3333-444444444444"
    again = in_another_boot(restarted.schedule.parent, boot=new, asleep_seconds=60.0 - elapsed())
    before, after = resting(restarted, face)
    day = restarted.again(face, before=again)
    day.tells("estimated by the wall clock after a restart")
    opened = Kept(restarted.file).entries[-1].fact
    assert isinstance(opened, f.Opened)
    assert opened.boot_id == new
    assert opened.elapsed < 3 * 60.0
    told, now = day.seconds_left(), elapsed()
    assert before + HOUR - now - 2.0 <= told <= after + HOUR - now + 2.0
    day.end()
    proved(
        f"the machine slept two hours, or was started again, {face}",
        cases=2,
        seen="the sleep is told exactly and the call as overdue; the restart as estimated",
    )


# Stopped, and killed


@pytest.mark.parametrize("face", FACES)
def test_frozen_across_the_due_moment_it_calls_once_and_at_once_when_it_thaws(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    shed = shed_of()
    day = shed.begin(face)
    begun(day)
    due = Kept(shed.file).due_at()
    time.sleep(due - 2.0 - elapsed())
    os.kill(day.pid, signal.SIGSTOP)
    assert not calls_heard({"day": day}, 5.0)
    os.kill(day.pid, signal.SIGCONT)
    thawed = elapsed()
    late = calls_heard({"day": day}, 5.0)["day"] - thawed
    assert 0.0 <= late <= MOST_LATE_SECONDS
    day.say("left")
    day.tells("over the time of rest")
    again = elapsed() + 2.0
    while elapsed() < again:
        day.hear(0.1)
    assert day.told.count("time is up") == 1
    proved(
        f"frozen for 5 s across the due moment, {face}",
        cases=1,
        late=f"{late:.2f} s after it thawed",
        seen="one call, and by how long the time was over",
    )


@pytest.mark.parametrize("face", FACES)
def test_killed_in_a_rest_and_taken_up_after_its_end_it_calls_at_once(
    shed_of: Callable[..., Shed], face: str, proved: Callable[..., None]
) -> None:
    late, whole = {}, 0.0
    for seconds in (1.0, 75.0):
        shed = shed_of()
        day = shed.begin(face)
        begun(day)
        due = Kept(shed.file).due_at()
        day.kill()
        if seconds < 60.0:
            time.sleep(due + seconds - elapsed())
        else:
            _begun_earlier(shed.file, seconds)
        day = shed.again(face)
        while not day.told.strip():
            assert day.hear(1.0)
        stands = day.heard_at
        late[seconds] = calls_heard({"day": day}, 5.0)["day"] - stands
        whole = max(whole, day.heard_at - day.begun_at)
        day.tells("time is up, 1 min" if seconds > 60.0 else "time is up")
        day.kill()
    assert max(late.values()) <= MOST_LATE_SECONDS
    proved(
        f"killed in a rest, taken up after its end, {face}",
        cases=len(late),
        late=f"{max(late.values()):.2f} s after the first sign of life",
        seen=f"told as overdue, {whole:.1f} s after the program was started",
    )


def _begun_earlier(path: Path, seconds: float) -> None:
    """Writes the file anew as one of a day that began so much earlier on the same clock."""
    recovered = Journal.read(path)
    tables = [
        {**table, "elapsed": table["elapsed"] - seconds} if table["kind"] == "opened" else table
        for table in recovered.tables
    ]
    for old in path.parent.glob("*"):
        old.unlink()
    moment = tables[0]["at"]
    Journal.write_whole(path.parent, "begun-earlier", moment.date(), recovered.header, tables).close()
