"""A session: writes before it evolves, survives a bad disk, is taken up where it was."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from days import BARLEY, EVERY_SAMPLE, temperature

from mashday.engine import calls, intents, landing
from mashday.engine import facts as f
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk, beside
from mashday.session.faults import Held, JournalFault
from mashday.session.journal import Journal
from mashday.session.library import days, meant
from mashday.session.rehearsal import whole_day
from mashday.session.session import Session, Unreadable, begin, look, resume

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)


class Machine(VirtualClock):
    """A clock with a boot of its own and a wall that can be set."""

    def __init__(self, boot: str = "one", elapsed: float = 1000.0, wall: datetime = MORNING) -> None:
        super().__init__(wall, elapsed)
        self._boot, self._step = boot, timedelta(0)

    def boot_id(self) -> str:
        return self._boot

    def wall(self) -> datetime:
        return super().wall() + self._step

    def set_wall(self, by: timedelta) -> None:
        self._step = by


def resting(folder: Path, clock: VirtualClock) -> Session:
    """A real day, some minutes into its rest."""
    session = begin(BARLEY, clock, folder=folder)
    session.send(intents.Start())
    for _ in range(2):
        session.send(intents.TickItem())
    session.send(intents.Done())
    session.send(temperature(69.0))
    session.send(intents.Done())
    clock.advance(480.0)
    session.send(intents.Done())
    clock.advance(360.0)
    session.send(temperature(62.8))
    return session


def left(session: Session) -> float:
    seconds = calls.remaining_seconds(session.schedule, session.state, session.t())
    assert seconds is not None
    return seconds


def test_a_refused_and_a_doubted_intent_write_nothing(tmp_path: Path) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    assert session.path is not None
    before = session.path.read_bytes()
    assert session.send(intents.Start()).refused
    assert session.send(intents.Done()).doubt
    assert session.path.read_bytes() == before
    assert session.send(intents.Wrong()).entries == ()
    assert session.send(intents.KeepIt()).refused


def test_keeping_to_a_doubt_carries_it_out(tmp_path: Path) -> None:
    session = resting(tmp_path, Machine())
    session.send(intents.Done())
    assert session.send(intents.KeepIt()).entries[0].fact == f.StepEnded(4, "done")


def test_the_file_holds_every_entry_before_it_is_told(tmp_path: Path) -> None:
    clock = Machine()
    session = begin(BARLEY, clock, folder=tmp_path)
    heard: list[int] = []

    def listener(entry: f.Entry) -> None:
        assert session.path is not None
        heard.append(len(Journal.read(session.path).tables))
        assert heard[-1] >= entry.seq

    session.listeners.append(listener)
    session.send(intents.Start())
    session.send(intents.WriteNote("a note"))
    assert len(heard) == 3


def test_a_day_taken_up_on_the_same_boot_goes_on_to_the_second(tmp_path: Path) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    before, state, path = left(session), session.state, session.path
    session.close()
    assert path is not None
    later = Machine(elapsed=clock.elapsed() + 754.0)
    later.set_wall(timedelta(hours=-3))
    again = resume(path, later)
    assert left(again) == before - 754.0
    assert again.state.readings == state.readings
    opened = again.state.log[-1].fact
    assert isinstance(opened, f.Opened) and (opened.how, opened.away_seconds) == ("exact", 754.0)
    again.close()


def test_after_a_restart_of_the_machine_the_wall_clock_estimates(tmp_path: Path) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    before, path, wall = left(session), session.path, clock.wall()
    session.close()
    assert path is not None
    again = resume(path, Machine("two", elapsed=5.0, wall=wall + timedelta(minutes=10)))
    opened = again.state.log[-1].fact
    assert isinstance(opened, f.Opened) and opened.how == "estimated"
    assert left(again) == pytest.approx(before - 600.0, abs=1.0)
    again.close()


@pytest.mark.parametrize("away", [timedelta(days=2), timedelta(hours=-5)])
def test_an_absence_that_cannot_be_is_not_counted(tmp_path: Path, away: timedelta) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    before, path, wall = left(session), session.path, clock.wall()
    session.close()
    assert path is not None
    again = resume(path, Machine("two", elapsed=5.0, wall=wall + away))
    opened = again.state.log[-1].fact
    assert isinstance(opened, f.Opened) and opened.how == "ask"
    assert left(again) == before
    again.close()


def test_a_rest_that_ended_meanwhile_is_called_at_once_with_how_late(tmp_path: Path) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    path, over_in = session.path, left(session)
    session.close()
    assert path is not None
    again = resume(path, Machine(elapsed=clock.elapsed() + over_in + 125.0))
    standing = calls.calls(again.schedule, again.state, again.t())
    late = [call.late_seconds for call in standing if call.kind == "time"]
    assert late == [pytest.approx(125.0)]
    again.close()


def test_a_second_instance_is_told_who_has_the_day(tmp_path: Path) -> None:
    session = resting(tmp_path, Machine())
    assert session.path is not None
    with pytest.raises(Held, match="process"):
        resume(session.path, Machine())
    session.close()


def test_a_finished_day_is_not_taken_up(tmp_path: Path) -> None:
    session = resting(tmp_path, Machine())
    session.send(intents.Finish(sure=True))
    path = session.path
    session.close()
    assert path is not None
    with pytest.raises(Unreadable, match="mashday summary"):
        resume(path, Machine())


def test_a_half_written_act_was_never_done(tmp_path: Path) -> None:
    clock = Machine()
    session = resting(tmp_path, clock)
    session.send(intents.Done())
    session.send(intents.KeepIt())
    path = session.path
    session.close()
    assert path is not None
    data = path.read_bytes()
    path.write_bytes(data[: data.rindex(b"[[entry]]")])
    beside(path, "bak").unlink()
    again = resume(path, Machine(elapsed=clock.elapsed()))
    assert again.state.step == 4
    assert again.torn is not None
    again.close()


class FullDisk(Disk):
    """Refuses every flush."""

    def fsync(self, descriptor: int) -> None:
        raise OSError(28, "No space left on device")


def test_a_full_disk_does_not_stop_the_day(tmp_path: Path) -> None:
    session = resting(tmp_path / "full", Machine())
    assert session._journal is not None
    session._journal._io = FullDisk()
    session.send(intents.WriteNote("not on the disk"))
    assert session.not_saved is not None
    assert [note.text for note in session.state.notes] == ["not on the disk"]
    path = session.save_whole(tmp_path / "elsewhere")
    assert session.not_saved is None
    session.send(intents.WriteNote("on the other disk"))
    state = session.state
    session.close()
    assert look(path)[1] == state


def test_a_folder_that_cannot_be_is_named_before_the_fire_is_lit(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(JournalFault, match="folder"):
        begin(BARLEY, Machine(), folder=tmp_path / "file")


def test_a_newer_file_is_only_looked_at(tmp_path: Path) -> None:
    session = begin(BARLEY, Machine(), folder=None)
    journal = Journal.create(
        tmp_path, "newer", MORNING.date(), {**session.header, "schema": 99, "app": "9.9"}
    )
    journal.close()
    with journal.path.open("ab") as file:
        file.write(b"[[entry]]\nseq = 1\nact = 1\n")
    written = journal.path.read_bytes()
    for reading in (lambda: resume(journal.path, Machine()), lambda: look(journal.path)):
        with pytest.raises(Unreadable, match=r"9\.9"):
            reading()
    assert journal.path.read_bytes() == written
    assert not journal.path.with_name(journal.path.name + ".torn").exists()
    assert Journal.read(journal.path).held_by is None


@pytest.mark.parametrize("name", EVERY_SAMPLE)
def test_every_sample_is_rehearsed_to_its_end_and_read_back_the_same(name: str, tmp_path: Path) -> None:
    session = begin(sample_text(name), VirtualClock(MORNING), folder=tmp_path, rehearsed=True, seed=3)
    result = whole_day(session)
    state, path = session.state, session.path
    session.close()
    assert path is not None
    assert result.finished and not result.overflowed
    _, again, recovered = look(path)
    assert again == state and recovered.damage is None and recovered.header["rehearsed"] is True


def test_the_same_seed_gives_the_same_day() -> None:
    def facts(seed: int) -> list[f.Fact]:
        clock = VirtualClock(MORNING)
        session = begin(sample_text("lock-seven-barley"), clock, folder=None, rehearsed=True, seed=seed)
        whole_day(session)
        return [entry.fact for entry in session.state.log]

    assert facts(5) == facts(5)
    assert facts(5) != facts(6)


def test_a_rehearsed_day_resumes_at_its_own_last_moment(tmp_path: Path) -> None:
    clock = VirtualClock(MORNING)
    session = begin(BARLEY, clock, folder=tmp_path, rehearsed=True, seed=1)
    session.send(intents.Start())
    clock.advance(300.0)
    session.send(intents.WriteNote("five minutes in"))
    path = session.path
    session.close()
    assert path is not None
    again = resume(path, VirtualClock(MORNING + timedelta(days=9), elapsed=77.0))
    assert again.t() == 300.0
    again.close()


def test_the_latest_real_unfinished_day_is_meant(tmp_path: Path) -> None:
    first = resting(tmp_path, Machine())
    first.close()
    second = begin(BARLEY, VirtualClock(MORNING), folder=tmp_path, rehearsed=True)
    second.close()
    assert meant(tmp_path, None, unfinished=True) == first.path
    assert {day.rehearsed for day in days(tmp_path)} == {True, False}


SEEDS = range(1, 11)


@pytest.mark.parametrize("name", EVERY_SAMPLE)
def test_remedies_bring_rests_near_their_target(name: str) -> None:
    """By the pot's own truth, over ten pots; a dial has a wider band and shows more wrong (judgement)."""
    for seed in SEEDS:
        clock = VirtualClock(MORNING)
        session = begin(sample_text(name), clock, folder=None, rehearsed=True, seed=seed)
        result = whole_day(session)
        assert result.finished and not result.overflowed
        wrong = abs(result.truth.pot.probe_bias_kelvin - session.schedule.thermometer.offset_kelvin)
        rests = [r.number for r in session.state.records if session.schedule.step(r.number).kind == "rest"]
        for number, rest in zip(rests, result.rests, strict=True):
            limit = max(2.2, landing.band_kelvin(session.schedule, number) + wrong + 0.5)
            if last_way(session, number) != "more time":  # that one leaves it where it is, on purpose
                assert abs(rest.settled_celsius - rest.target_celsius) < limit, (seed, rest)


def last_way(session: Session, number: int) -> str | None:
    """The way that was taken last in this rest."""
    taken = [offer.way_taken for offer in session.state.offers if offer.way_taken is not None]
    return next((way.way for way in reversed(taken) if way.step == number), None)
