"""A day that is over, opened once more: what is written days later, by which clock, and what is refused."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from days import BARLEY, BEGAN, gravity, volume

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.session import frames
from mashday.session.afterwards import LATER, finished, seconds_now
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.faults import Held, JournalFault
from mashday.session.folder import NoSession
from mashday.session.journal import Journal
from mashday.session.read_back import OnlyToLookAt, Unreadable
from mashday.session.session import begin, look, resume

DAY = 86400.0


class Machine(VirtualClock):
    """A machine's clock: it names the start of the machine."""

    started = "one"

    def boot_id(self) -> str:
        return self.started


def kept(folder: Path, *, over: bool = True, rehearsed: bool = False, clock: Machine | None = None) -> Path:
    """A day with 20 L of wash at 1.060 in a file; half an hour long."""
    clock = clock or Machine(BEGAN)
    session = begin(BARLEY, clock, folder=folder, rehearsed=rehearsed)
    session.send(intents.Start(8))
    session.send(replace(gravity(1.060, 20.0), sure=True))
    session.send(replace(volume(20.0), sure=True))
    clock.advance(1800.0)
    if over:
        assert session.send(intents.Finish(sure=True)).entries
    session.close()
    assert session.path is not None
    return session.path


def later(clock: Machine, days: float = 6.0, *, started: str = "one") -> Machine:
    clock.advance(DAY * days)
    clock.started = started
    return clock


def machine_started_anew(days: float) -> Machine:
    """Another start of the machine: only the wall clock tells how long it was."""
    clock = Machine(BEGAN + timedelta(days=days))
    clock.started = f"two, after {days} days"
    return clock


def test_what_is_read_days_later_goes_into_the_same_file_and_is_read_back(tmp_path: Path) -> None:
    clock = Machine(BEGAN)
    path = kept(tmp_path, clock=clock)
    day = finished(path, later(clock))
    day.write([gravity(0.998, 20.0), volume(19.5), intents.WriteNote("racked off")])
    told = day.state
    day.close()
    _, state, recovered = look(path)
    assert recovered.damage is None and state == told
    assert [reading.quantity for reading in state.later] == ["gravity", "volume"]
    assert state.later[0].t == pytest.approx(6 * DAY + 1800.0)


@pytest.mark.parametrize("days", [0.5, 6.0, 400.0])
def test_after_a_new_start_of_the_machine_the_wall_clock_tells_how_long_it_was(
    tmp_path: Path, days: float
) -> None:
    path = kept(tmp_path)
    day = finished(path, machine_started_anew(days))
    day.write([gravity(0.998, 20.0)])
    day.close()
    _, state, _ = look(path)
    assert state.later[0].t == pytest.approx(days * DAY)
    assert state.log[-1].at == BEGAN + timedelta(days=days)
    opened = state.log[-2].fact
    assert isinstance(opened, f.Opened) and opened.how == LATER
    assert opened.away_seconds == pytest.approx(days * DAY - 1800.0)


@pytest.mark.parametrize("days", [-3.0, 4000.0])
def test_a_clock_that_cannot_be_right_leaves_the_day_where_it_ended(tmp_path: Path, days: float) -> None:
    path = kept(tmp_path)
    day = finished(path, machine_started_anew(days))
    assert day.t() == 1800.0
    day.write([gravity(0.998, 20.0)])
    day.close()
    assert look(path)[1].later[0].t == 1800.0


def test_a_file_can_be_added_to_again_and_again(tmp_path: Path) -> None:
    path = kept(tmp_path)
    for days, value in ((3.0, 1.004), (6.0, 0.999), (9.0, 0.998)):
        day = finished(path, machine_started_anew(days))
        day.write([gravity(value, 20.0)])
        day.close()
    _, state, _ = look(path)
    assert [round(reading.metric, 3) for reading in state.later] == [1.004, 0.999, 0.998]
    assert seconds_now(state, machine_started_anew(10.0), 0.0) == pytest.approx(10 * DAY)


def test_what_cannot_all_be_written_is_not_written_at_all(tmp_path: Path) -> None:
    path = kept(tmp_path)
    before = path.read_bytes()
    day = finished(path, machine_started_anew(6.0))
    wanted = [gravity(0.998, 20.0), gravity(1.080, 20.0), gravity(1.003, 20.0)]
    outcomes = day.weighed(wanted)
    assert [bool(outcome.refused) for outcome in outcomes] == [False, True, False]
    assert outcomes[2].doubt is not None and "does not rise again" in outcomes[2].doubt
    with pytest.raises(ValueError, match="refused"):
        day.write(wanted)
    day.close()
    assert path.read_bytes() == before


def test_what_is_written_at_once_is_one_act(tmp_path: Path) -> None:
    path = kept(tmp_path)
    day = finished(path, machine_started_anew(6.0))
    entries = day.write([gravity(0.998, 20.0), volume(19.5), intents.WriteNote("racked off")])
    day.close()
    _, state, recovered = look(path)
    assert recovered.damage is None
    acts = {entry.act for entry in state.log[-4:]}
    assert len(acts) == 1 and [entry.fact for entry in state.log[-3:]] == [entry.fact for entry in entries]


def test_where_the_disk_takes_a_part_none_of_it_stands_and_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = kept(tmp_path)
    _, before, _ = look(path)
    day = finished(path, machine_started_anew(6.0))

    def full(disk: Disk, descriptor: int, data: bytes) -> int:
        os.write(descriptor, data[: len(data) - 20])
        raise OSError(errno.ENOSPC, "no space")

    with monkeypatch.context() as patch:
        patch.setattr(Disk, "write", full)
        with pytest.raises(JournalFault) as fault:
            day.write([gravity(0.998, 20.0), volume(19.5)])
    day.close()
    told = str(fault.value)
    assert "the disk is full" in told and f"mashday summary {path.stem}" in told and "memory" not in told
    assert look(path)[1] == before
    again = finished(path, machine_started_anew(7.0))
    again.write([gravity(0.998, 20.0)])
    again.close()
    assert len(look(path)[1].later) == 1


def test_a_day_that_is_still_open_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NoSession, match="still open: enter readings there, with: mashday resume"):
        finished(kept(tmp_path, over=False), Machine(BEGAN))


def test_a_rehearsed_day_is_refused_unless_it_is_asked_for(tmp_path: Path) -> None:
    path = kept(tmp_path, rehearsed=True)
    with pytest.raises(NoSession, match="rehearsed day: nothing was brewed"):
        finished(path, Machine(BEGAN))
    day = finished(path, machine_started_anew(6.0), rehearsed=True)
    day.write([gravity(0.998, 20.0)])
    day.close()


def test_a_day_that_another_has_open_is_refused(tmp_path: Path) -> None:
    path = kept(tmp_path)
    day = finished(path, Machine(BEGAN))
    with pytest.raises(Held, match="in use"):
        finished(path, Machine(BEGAN))
    day.close()
    with pytest.raises(Unreadable, match="is over"):
        resume(path, Machine(BEGAN))


def test_a_damaged_day_and_one_of_a_newer_version_are_refused_and_not_touched(tmp_path: Path) -> None:
    path = kept(tmp_path)
    recovered = Journal.read(path)
    head, crc = frames.framed(frames.HEADER_LINE, {**recovered.header, "schema": 2}, 0)
    newer = tmp_path / "2026-10-02-newer.toml"
    newer.write_bytes(head + frames.framed_all(recovered.tables, crc)[0])
    path.write_bytes(path.read_bytes().replace(b"value = 20.0", b"value = 21.0"))
    for file, why in ((path, "damaged|changed|believed"), (newer, "newer mashday")):
        before = file.read_bytes()
        with pytest.raises(OnlyToLookAt, match=why):
            finished(file, Machine(BEGAN))
        assert file.read_bytes() == before
