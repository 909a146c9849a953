"""Disks that fail, files that vanish, two programs at once: nothing acknowledged is lost unseen."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

import mashday
from mashday.session.disk import Disk
from mashday.session.faults import BackupFault, Held, JournalFault
from mashday.session.frames import Recovered
from mashday.session.journal import Journal

DAY = date(2026, 10, 3)
AT = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
HEADER = {"schema": 1, "app": "0.1.0"}
ROOT = Path(mashday.__file__).parent.parent

unix_only = pytest.mark.skipif(sys.platform == "win32", reason="signals and links as on Unix")


def act(number: int) -> list[dict[str, Any]]:
    """One act of two entries."""
    first = {"seq": 2 * number - 1, "act": 2 * number - 1, "more": True, "t": number * 1.5, "at": AT}
    return [first, {"seq": 2 * number, "act": 2 * number - 1, "t": number * 1.5, "text": f"note {number}"}]


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Journal]:
    with Journal.create(tmp_path, "lock-seven", DAY, HEADER) as journal:
        yield journal


class FailingDisk(Disk):
    """A disk whose calls are counted and of which one, by its number, fails."""

    def __init__(self, fails_at: int = 0, number: int = errno.EIO, short: bool = False) -> None:
        self.calls: list[str] = []
        self._fails_at = fails_at
        self._number = number
        self._short = short

    def _count(self, name: str) -> None:
        self.calls.append(name)
        if len(self.calls) == self._fails_at and not self._short:
            raise OSError(self._number, os.strerror(self._number))

    def open(self, path: Path, flags: int) -> int:
        self._count("open")
        return super().open(path, flags)

    def read(self, descriptor: int) -> bytes:
        self._count("read")
        return super().read(descriptor)

    def write(self, descriptor: int, data: bytes) -> int:
        self._count("write")
        if self._short and len(self.calls) == self._fails_at:
            return super().write(descriptor, data[: len(data) // 3])
        return super().write(descriptor, data)

    def fsync(self, descriptor: int) -> None:
        self._count("fsync")

    def fsync_folder(self, folder: Path) -> None:
        self._count("fsync_folder")

    def truncate(self, descriptor: int, size: int) -> None:
        self._count("truncate")
        super().truncate(descriptor, size)

    def replace(self, source: Path, target: Path) -> None:
        self._count("replace")
        super().replace(source, target)

    def stat(self, file: Path | int) -> os.stat_result:
        self._count("stat")
        return super().stat(file)

    def free_bytes(self, folder: Path) -> int:
        self._count("free_bytes")
        return super().free_bytes(folder)

    def make_folder(self, folder: Path) -> None:
        self._count("make_folder")
        super().make_folder(folder)


def acts_of(held: Recovered) -> list[int]:
    assert held.damage is None
    assert list(held.tables) == [table for n in range(1, len(held.tables) // 2 + 1) for table in act(n)]
    return list(range(1, len(held.tables) // 2 + 1))


def live_a_day(folder: Path, disk: Disk, acknowledged: list[int]) -> None:
    """Begin, append, copy, leave with a torn end, mend, append. `acknowledged` grows by each act saved."""
    with Journal.create(folder / "first", "lock-seven", DAY, HEADER, io=disk) as journal:
        path = journal.path
        for number in (1, 2):
            journal.append(act(number))
            acknowledged.append(number)
        journal.backup()
        journal.append(act(3))
        acknowledged.append(3)
    with path.open("ab") as file:
        file.write(b"[[entry]]\nseq = 7\nact = 7\n")
    journal, _ = Journal.open(path, io=disk)
    with journal:
        journal.append(act(4))
        acknowledged.append(4)


@pytest.mark.parametrize("fault", ["EIO", "ENOSPC", "EROFS", "short write"])
def test_whichever_call_fails_nothing_acknowledged_is_lost(tmp_path: Path, fault: str) -> None:
    untroubled = FailingDisk()
    live_a_day(tmp_path / "untroubled", untroubled, [])
    assert len(untroubled.calls) > 40
    refused = 0
    for k in range(1, len(untroubled.calls) + 1):
        folder = tmp_path / str(k)
        short = fault == "short write"
        disk = FailingDisk(k, 0 if short else getattr(errno, fault), short)
        acknowledged: list[int] = []
        try:
            live_a_day(folder, disk, acknowledged)
            assert short and untroubled.calls[k - 1] != "write"
        except JournalFault as error:
            refused += 1
            assert str(error).endswith(".") and str(folder) in str(error)
            assert ("the disk took only" in str(error)) == short
        path = folder / "first" / "2026-10-03-lock-seven.toml"
        if not acknowledged:
            continue
        held = acts_of(Journal.read(path))
        assert held[: len(acknowledged)] == acknowledged and len(held) <= len(acknowledged) + 1
        journal, _ = Journal.open(path)
        with journal:
            journal.append(act(len(held) + 1))
        assert acts_of(Journal.read(path)) == [*held, len(held) + 1]
    assert refused == (untroubled.calls.count("write") if fault == "short write" else len(untroubled.calls))


def test_after_one_fault_nothing_is_tried_again(tmp_path: Path) -> None:
    disk = FailingDisk()
    journal = Journal.create(tmp_path, "lock-seven", DAY, HEADER, io=disk)
    disk._fails_at = len(disk.calls) + 2
    with pytest.raises(JournalFault, match=r"Not saved to .*: the disk reports an error") as first:
        journal.append(act(1))
    tried = len(disk.calls)
    assert disk.calls[-2:] == ["write", "fsync"]
    for again in range(2):
        with pytest.raises(JournalFault) as later:
            journal.append(act(again + 2))
        assert str(later.value) == str(first.value) == journal.fault
    with pytest.raises(BackupFault, match="Not saved"):
        journal.backup()
    assert len(disk.calls) == tried
    with pytest.raises(Held):
        Journal.open(journal.path)
    journal.close()


def test_a_writing_that_is_broken_off_by_anything_closes_the_journal(tmp_path: Path) -> None:
    class Interrupted(FailingDisk):
        def write(self, descriptor: int, data: bytes) -> int:
            if self.calls.count("write"):
                raise KeyboardInterrupt
            return super().write(descriptor, data)

    with Journal.create(tmp_path, "lock-seven", DAY, HEADER, io=Interrupted()) as journal:
        with pytest.raises(KeyboardInterrupt):
            journal.append(act(1))
        with pytest.raises(JournalFault, match="was broken off"):
            journal.append(act(1))


def test_one_append_is_one_write_one_flush_and_a_look_at_the_place(tmp_path: Path) -> None:
    disk = FailingDisk()
    with Journal.create(tmp_path / "new", "lock-seven", DAY, HEADER, io=disk) as journal:
        made = ["make_folder", "fsync_folder", "free_bytes", "open", "open"]
        assert disk.calls == [*made, "write", "fsync", "stat", "stat", "fsync_folder"]
        disk.calls.clear()
        journal.append(act(1))
        assert disk.calls == ["write", "fsync", "stat", "stat"]
        disk.calls.clear()
        journal.backup()
        assert disk.calls == ["read", "open", "write", "fsync", "replace", "fsync_folder"]


def test_a_torn_end_is_safe_beside_the_file_before_it_is_cut_off(day: Journal) -> None:
    day.close()
    day.path.write_bytes(day.path.read_bytes() + b"[[entry]]\nse")
    disk = FailingDisk()
    journal, held = Journal.open(day.path, io=disk)
    journal.close()
    aside = ["open", "write", "fsync", "fsync_folder"]
    assert disk.calls == ["open", "open", "read", *aside, "truncate", "fsync"]
    assert held.torn == "[[entry]]\nse"


def test_what_is_taken_up_again_is_flushed_before_it_is_shown(day: Journal) -> None:
    day.append(act(1))
    day.close()
    disk = FailingDisk()
    Journal.open(day.path, io=disk)[0].close()
    assert disk.calls == ["open", "open", "read", "fsync"]


def test_a_day_that_cannot_be_begun_leaves_nothing_behind(tmp_path: Path) -> None:
    steps = FailingDisk()
    Journal.create(tmp_path / "untroubled", "lock-seven", DAY, HEADER, io=steps).close()
    for k in range(1, len(steps.calls) + 1):
        with pytest.raises(JournalFault):
            Journal.create(tmp_path / str(k), "lock-seven", DAY, HEADER, io=FailingDisk(k))
        assert not list(tmp_path.glob(f"{k}/*.toml"))


def test_a_day_written_whole_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    tables = [*act(1), *act(2)]
    steps = FailingDisk()
    Journal.write_whole(tmp_path / "untroubled", "lock-seven", DAY, HEADER, tables, io=steps).close()
    for k in range(1, len(steps.calls) + 1):
        with pytest.raises(JournalFault):
            Journal.write_whole(tmp_path / str(k), "lock-seven", DAY, HEADER, tables, io=FailingDisk(k))
        assert not [path for path in tmp_path.glob(f"{k}/*") if not path.name.endswith(".lock")]


def test_a_failed_copy_keeps_the_one_before_and_the_journal_goes_on(tmp_path: Path) -> None:
    for k in range(1, 7):  # derived: a copy is six calls
        disk = FailingDisk()
        with Journal.create(tmp_path / str(k), "lock-seven", DAY, HEADER, io=disk) as journal:
            journal.append(act(1))
            copy = journal.backup()
            journal.append(act(2))
            disk._fails_at = len(disk.calls) + k
            with pytest.raises(BackupFault, match=r"No copy of .* was made: the disk reports an error"):
                journal.backup()
            assert len(acts_of(Journal.read(copy))) in (1, 2)
            journal.append(act(3))
            assert acts_of(Journal.read(journal.path)) == [1, 2, 3]


def moved(path: Path) -> None:
    path.rename(path.with_name("elsewhere.toml"))


def replaced(path: Path) -> None:
    data = path.read_bytes()
    path.with_name("edited").write_bytes(data)
    path.with_name("edited").replace(path)


def cut(path: Path) -> None:
    os.truncate(path, path.stat().st_size - 5)


def written_to(path: Path) -> None:
    with path.open("ab") as file:
        file.write(b"x")


@pytest.mark.parametrize(
    ("happens", "words"),
    [
        (moved, "it is not there"),
        (Path.unlink, "it is not there"),
        (replaced, "the file was moved or replaced by something else"),
        (cut, "something else has written to the file or cut it"),
        (written_to, "something else has written to the file or cut it"),
    ],
)
def test_what_went_into_a_file_that_nobody_will_see_is_not_called_saved(
    day: Journal, happens: Callable[[Path], None], words: str
) -> None:
    day.append(act(1))
    happens(day.path)
    with pytest.raises(JournalFault, match=words):
        day.append(act(2))
    assert day.fault is not None and "kept in memory only" in day.fault


def test_a_name_taken_at_the_last_moment_is_left_to_its_owner(tmp_path: Path) -> None:
    class Raced(Disk):
        def open(self, path: Path, flags: int) -> int:
            if path.name == "2026-10-03-lock-seven.toml":
                path.write_text("another's day")
            return super().open(path, flags)

    with Journal.create(tmp_path, "lock-seven", DAY, HEADER, io=Raced()) as journal:
        assert journal.path.name == "2026-10-03-lock-seven-2.toml"
    assert (tmp_path / "2026-10-03-lock-seven.toml").read_text() == "another's day"


def test_too_little_space_is_said_before_the_day_begins(tmp_path: Path) -> None:
    class Full(Disk):
        def free_bytes(self, folder: Path) -> int:
            return 9_999_999

    with pytest.raises(
        JournalFault, match=r"could not be used: only 9 MB are free, and 10 MB are asked for.*--sessions"
    ):
        Journal.create(tmp_path / "new", "lock-seven", DAY, HEADER, io=Full())


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written_is_said_before_the_day_begins(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(JournalFault, match="it is not allowed"):
        Journal.create(tmp_path, "lock-seven", DAY, HEADER)


def test_a_forbidden_folder_and_a_read_only_disk_are_told_in_words(tmp_path: Path) -> None:
    for number, words in [(errno.EACCES, "it is not allowed"), (errno.EROFS, "the disk can only be read")]:
        with pytest.raises(JournalFault, match=f"could not be used: {words}"):
            Journal.create(tmp_path, "lock-seven", DAY, HEADER, io=FailingDisk(2, number))


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(JournalFault, match="a part of its path is no folder"):
            Journal.create(folder, "lock-seven", DAY, HEADER)


@unix_only
def test_a_link_a_pipe_a_folder_and_nothing_are_no_session_files(day: Journal, tmp_path: Path) -> None:
    day.close()
    link, pipe = tmp_path / "link.toml", tmp_path / "pipe.toml"
    link.symlink_to(day.path)
    os.mkfifo(pipe)
    for path, words in [
        (link, "it is a link, not a file"),
        (pipe, "is no ordinary file"),
        (tmp_path, "it is a folder|is no ordinary file"),
        (tmp_path / "nothing.toml", "it is not there"),
    ]:
        for reading in (Journal.open, Journal.read):
            with pytest.raises(JournalFault, match=words):
                reading(path)
        assert not path.with_name(path.name + ".lock").exists()


@unix_only
@pytest.mark.parametrize("ending", ["lock", "torn", "bak.tmp"])
def test_no_file_beside_the_session_is_written_through_a_link(day: Journal, ending: str) -> None:
    victim = day.path.with_name("victim")
    victim.write_text("precious")
    beside = day.path.with_name(f"{day.path.name}.{ending}")
    beside.unlink(missing_ok=True)
    beside.symlink_to(victim)
    if ending == "bak.tmp":
        with pytest.raises(BackupFault, match="it is a link, not a file"):
            day.backup()
    else:
        day.close()
        day.path.write_bytes(day.path.read_bytes() + b"torn")
        with pytest.raises(JournalFault, match="it is a link, not a file"):
            Journal.open(day.path)
        assert day.path.read_bytes().endswith(b"torn")
    assert victim.read_text() == "precious"


def test_a_second_program_is_told_who_holds_the_day_and_may_look_at_it(day: Journal) -> None:
    day.append(act(1))
    with pytest.raises(Held, match=f"is in use: process {os.getpid()}, since 20"):
        Journal.open(day.path)
    held = Journal.read(day.path)
    assert held.view_only and held.tables == tuple(act(1))
    assert held.held_by is not None and held.held_by.startswith(f"process {os.getpid()}, since 20")
    day.append(act(2))
    day.close()
    assert Journal.read(day.path).held_by is None
    Journal.open(day.path)[0].close()


WRITER = """
import sys, time
sys.path.insert(0, sys.argv[2])
from pathlib import Path
from mashday.session.journal import Journal
journal, held = Journal.open(Path(sys.argv[1]))
number = len(held.tables) // 2 + 1
while True:
    place = {"seq": 2 * number - 1, "act": 2 * number - 1}
    journal.append([{**place, "more": True}, {**place, "seq": 2 * number, "text": "x" * (number * 37 % 900)}])
    print(number, flush=True)
    number += 1
"""


@unix_only
def test_a_killed_program_loses_nothing_acknowledged_and_lets_go_of_the_day(day: Journal) -> None:
    day.close()
    acknowledged = 0
    for kill in range(5):
        command = [sys.executable, "-c", WRITER, str(day.path), str(ROOT)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            for _ in range(3 + 7 * kill):
                acknowledged = int(child.stdout.readline())
            with pytest.raises(Held, match=f"process {child.pid}, since"):
                Journal.open(day.path)
            child.send_signal(signal.SIGKILL)
            acknowledged = int([str(acknowledged), *child.stdout.read().split()][-1])
        journal, held = Journal.open(day.path)
        journal.close()
        assert held.damage is None
        numbers = [table["seq"] for table in held.tables]
        assert numbers == list(range(1, len(numbers) + 1))
        assert acknowledged <= len(numbers) // 2 <= acknowledged + 1
    assert acknowledged > 85  # derived: 3 + 10 + 17 + 24 + 31 acts were waited for
