"""Beginning, appending, copying and finding session files."""

from __future__ import annotations

import os
import re
import stat
import tomllib
import unicodedata
import zlib
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.session import frames
from mashday.session.disk import Disk
from mashday.session.faults import BackupFault, JournalFault
from mashday.session.folder import NoSession, find_session, sessions_folder, sessions_in
from mashday.session.journal import Journal

DAY = date(2026, 10, 3)
AT = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
HEADER = {"schema": 1, "app": "0.1.0", "schedule": 'name = "Lock Seven"\n[[step]]\nkind = "rest"\n'}


def entry(seq: int, text: str = "stirred", act: int | None = None, more: bool = False) -> dict[str, Any]:
    place: dict[str, Any] = {"seq": seq, "act": act or seq}
    if more:
        place["more"] = True
    return {**place, "t": seq * 7.5, "at": AT, "kind": "note", "text": text, "spots": [63.5, 64.0]}


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Journal]:
    with Journal.create(tmp_path / "sessions", "lock-seven", DAY, HEADER) as journal:
        yield journal


def test_a_new_day_is_named_by_its_date_and_is_its_owners_alone(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        with Journal.create(tmp_path / "data" / "sessions", "lock-seven", DAY, HEADER) as journal:
            assert journal.path == tmp_path / "data" / "sessions" / "2026-10-03-lock-seven.toml"
            assert stat.S_IMODE(journal.path.stat().st_mode) == 0o600
            assert stat.S_IMODE(journal.path.parent.stat().st_mode) == 0o700
            assert Journal.read(journal.path).header == HEADER
    finally:
        os.umask(before)


def test_further_days_of_one_date_are_numbered_and_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "2026-10-03-lock-seven-2.toml").write_text("a stranger's file")
    (tmp_path / "2026-10-03-lock-seven-3.toml").symlink_to(tmp_path / "nowhere")
    names = []
    for _ in range(3):
        with Journal.create(tmp_path, "lock-seven", DAY, HEADER) as journal:
            names.append(journal.path.name)
    assert names == [
        "2026-10-03-lock-seven.toml",
        "2026-10-03-lock-seven-4.toml",
        "2026-10-03-lock-seven-5.toml",
    ]
    assert (tmp_path / "2026-10-03-lock-seven-2.toml").read_text() == "a stranger's file"
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "a\x00b", "-rf", "CON", "x" * 300, "\u202e", "C:\\x", ""]
)
def test_a_hostile_name_stays_in_the_folder(tmp_path: Path, name: str) -> None:
    with Journal.create(tmp_path, name, DAY, HEADER) as journal:
        assert journal.path.parent == tmp_path
        assert re.fullmatch(r"2026-10-03-[a-z0-9-]{1,40}\.toml", journal.path.name)


def test_the_file_is_plain_toml_and_every_sum_is_the_chained_crc(day: Journal) -> None:
    day.append([entry(1, "Gärung")])
    day.append([entry(2, act=2, more=True), entry(3, act=2)])
    data = day.path.read_bytes()
    whole = tomllib.loads(data.decode())
    assert [e["seq"] for e in whole["entry"]] == [1, 2, 3] and whole["session"]["schema"] == 1
    previous, frame, sums = 0, b"", 0
    for line in data.splitlines(keepends=True):
        if line.startswith(b"sum = "):
            previous = zlib.crc32(frame, previous)
            assert line == b'sum = "%08x"\n' % previous  # derived: the rule, with zlib
            frame, sums = b"", sums + 1
        else:
            frame += line
    assert (frame, sums) == (b"", 4)
    assert data.startswith(b"[session]\n") and data.count(b"\n[[entry]]\n") == 3


HOSTILE = [
    'x\nsum = "00000000"\n[[entry]]\nseq = 99\n',
    "\x1b]0;title\x07 \x9b31m \x7f \x00",
    "pass\u202eword \u2066\u2069 \u200b\u200d\ufeff \u2028\u2029",
    '"""\\u0041\\',
    "\U000e0001\U000f0000 \ue000",
    "大麦 Gärung",
]


def test_hostile_text_comes_back_as_it_was_and_shows_nothing_in_the_file(day: Journal) -> None:
    for seq, text in enumerate(HOSTILE, start=1):
        day.append([{**entry(seq, text), "rows": [text, text]}])
    written = day.path.read_text("utf-8")
    unseen = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    assert not [c for c in written if unicodedata.category(c) in unseen and c != "\n"]
    assert "大麦 Gärung" in written
    tables = Journal.read(day.path).tables
    assert [table["text"] for table in tables] == HOSTILE
    assert [table["rows"] for table in tables] == [[text, text] for text in HOSTILE]
    assert [e["text"] for e in tomllib.loads(written)["entry"]] == HOSTILE


class QuickDisk(Disk):
    """A disk whose flushes cost nothing, for tests that are not about flushes."""

    def fsync(self, descriptor: int) -> None:
        pass


@settings(max_examples=60, deadline=None)
@given(texts=st.lists(st.text(st.characters(exclude_categories=["Cs"])), max_size=5))
def test_any_text_comes_back_as_it_was(tmp_path_factory: pytest.TempPathFactory, texts: list[str]) -> None:
    folder = tmp_path_factory.mktemp("any")
    with Journal.create(folder, "any", DAY, HEADER, io=QuickDisk()) as journal:
        tables = [entry(seq, text) for seq, text in enumerate(texts, start=1)]
        for table in tables:
            journal.append([table])
        back = Journal.read(journal.path)
    assert (list(back.tables), back.torn, back.damage) == (tables, None, None)


def test_a_day_is_gone_on_with_where_it_was_left(day: Journal) -> None:
    day.append([entry(1)])
    day.close()
    again, held = Journal.open(day.path)
    with again:
        assert (held.header, held.tables) == (HEADER, (entry(1),))
        assert (held.torn, held.damage, held.view_only, held.held_by) == (None, None, False, None)
        again.append([entry(2)])
    assert [table["seq"] for table in Journal.read(day.path).tables] == [1, 2]


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ([], "an act without entries"),
        ([entry(1), entry(2)], "several acts"),
        ([entry(1, act=1), entry(2, act=1)], "more follow"),
        ([entry(1, more=True)], "more follow"),
        ([{**entry(1), "sum": "00000000"}], "not flat"),
        ([{**entry(1), "deep": {"a": 1}}], "not flat"),
        ([{**entry(1), "deep": [[1]]}], "not flat"),
        ([{**entry(1), "deep": [{"a": 1}]}], "not flat"),
        ([{**entry(1), "a key\n": 1}], "not flat"),
        ([{**entry(1), "value": float("nan")}], "not flat"),
        ([{**entry(1), "value": 2**63}], "not flat"),
        ([{**entry(1), "text": "\ud800"}], "not flat"),
        ([entry(1, "x" * 17_000)], "a frame of"),
        ([entry(n, "x" * 15_000, 1, n < 5) for n in range(1, 6)], "one act of"),
    ],
)
def test_what_could_not_be_read_back_is_refused_and_the_journal_goes_on(
    day: Journal, tables: list[dict[str, Any]], words: str
) -> None:
    before = day.path.read_bytes()
    with pytest.raises(ValueError, match=words):
        day.append(tables)
    assert day.path.read_bytes() == before and day.fault is None
    day.append([entry(1)])
    assert len(Journal.read(day.path).tables) == 1


def test_a_header_holds_a_schedule_of_256_kib_and_not_much_more(tmp_path: Path) -> None:
    schedule = "title = 'stir the mash well'\n" * (256 * 1024 // 29)
    with Journal.create(tmp_path, "long", DAY, {**HEADER, "schedule": schedule}) as journal:
        assert Journal.read(journal.path).header["schedule"] == schedule
    with pytest.raises(ValueError, match="a frame of"):
        Journal.create(tmp_path, "longer", DAY, {**HEADER, "schedule": schedule * 2})
    assert not list(tmp_path.glob("*longer*"))


def test_a_full_session_file_is_closed_for_good(day: Journal, monkeypatch: pytest.MonkeyPatch) -> None:
    day.append([entry(1)])
    monkeypatch.setattr(frames, "LARGEST_FILE_BYTES", day.path.stat().st_size + 20)
    with pytest.raises(JournalFault, match="the session file is full"):
        day.append([entry(2)])
    assert day.fault is not None
    assert len(Journal.read(day.path).tables) == 1


def test_a_file_larger_than_any_session_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "2026-10-03-huge.toml"
    with path.open("wb") as file:
        file.truncate(9 * 1024 * 1024)
    with pytest.raises(JournalFault, match="is no session file: over 8388608 bytes"):
        Journal.read(path)


def test_a_copy_is_made_whole_and_takes_the_place_of_the_one_before(day: Journal) -> None:
    day.append([entry(1)])
    assert day.backup() == day.path.with_name("2026-10-03-lock-seven.toml.bak")
    day.append([entry(2)])
    copy = day.backup()
    assert copy.read_bytes() == day.path.read_bytes()
    assert len(Journal.read(copy).tables) == 2
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert not list(day.path.parent.glob("*.tmp"))


def test_a_damaged_file_never_replaces_its_good_copy(day: Journal) -> None:
    day.append([entry(1)])
    copy = day.backup()
    good = copy.read_bytes()
    day.append([entry(2)])
    day.path.write_bytes(day.path.read_bytes().replace(b"stirred", b"staired", 1))
    with pytest.raises(BackupFault, match="has been changed since it was written"):
        day.backup()
    assert copy.read_bytes() == good
    assert day.fault is None


def test_a_lost_day_is_written_whole_into_another_folder_and_goes_on_there(tmp_path: Path) -> None:
    tables = [entry(1), entry(2, act=2, more=True), entry(3, act=2)]
    elsewhere = tmp_path / "elsewhere"
    with Journal.write_whole(elsewhere, "lock-seven", DAY, HEADER, tables) as journal:
        journal.append([entry(4)])
        assert stat.S_IMODE(journal.path.stat().st_mode) == 0o600
        with pytest.raises(JournalFault, match="is in use"):
            Journal.open(journal.path)
    held = Journal.read(journal.path)
    assert (held.header, held.tables) == (HEADER, (*tables, entry(4)))
    assert {path.name for path in elsewhere.iterdir()} == {journal.path.name, journal.path.name + ".lock"}


def test_a_day_written_whole_does_not_overwrite_another(day: Journal) -> None:
    day.append([entry(1)])
    with Journal.write_whole(day.path.parent, "lock-seven", DAY, HEADER, [entry(1), entry(2)]) as other:
        assert other.path.name == "2026-10-03-lock-seven-2.toml"
    assert len(Journal.read(day.path).tables) == 1


def test_a_closed_journal_takes_nothing_more(day: Journal) -> None:
    day.close()
    day.close()
    with pytest.raises(ValueError, match="closed"):
        day.append([entry(1)])
    with pytest.raises(BackupFault, match="closed"):
        day.backup()


def test_the_folder_is_the_option_else_the_environment_else_the_users_data(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("MASHDAY_SESSIONS", str(tmp_path / "env"))
    assert sessions_folder(str(tmp_path / "option")) == tmp_path / "option"
    assert sessions_folder(None) == tmp_path / "env"
    monkeypatch.setenv("MASHDAY_SESSIONS", "")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    assert sessions_folder(None).name == "sessions" and "mashday" in sessions_folder(None).parts
    monkeypatch.setenv("MASHDAY_SESSIONS", "~/brew")
    assert sessions_folder(None) == tmp_path / "brew"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """Four sessions, the last written one not of the latest day, and things that are none."""
    names = ["2026-09-01-rye", "2026-10-03-barley", "2026-10-03-barley-2", "2026-10-03-barley-10"]
    for moment, name in enumerate(names):
        path = tmp_path / f"{name}.toml"
        path.write_text("[session]\n")
        os.utime(path, (1000 + moment, 1000 + moment))
    os.utime(tmp_path / "2026-09-01-rye.toml", (9999, 9999))
    for other in ["2026-12-01-x.toml.bak", "notes.toml", "2026-12-24-UPPER.toml"]:
        (tmp_path / other).write_text("[session]\n")
    (tmp_path / "2026-12-02-empty.toml").write_text("")
    (tmp_path / "2026-12-03-folder.toml").mkdir()
    (tmp_path / "2026-12-04-link.toml").symlink_to(tmp_path / "2026-09-01-rye.toml")
    return tmp_path


def test_sessions_are_listed_latest_day_first_and_nothing_else_is(shelf: Path) -> None:
    assert [path.stem for path in sessions_in(shelf)] == [
        "2026-10-03-barley-10",
        "2026-10-03-barley-2",
        "2026-10-03-barley",
        "2026-09-01-rye",
    ]
    assert sessions_in(shelf / "nowhere") == ()


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        (None, "2026-10-03-barley-10"),
        ("2026-10-03-barley", "2026-10-03-barley"),
        ("2026-10-03-barley-2.toml", "2026-10-03-barley-2"),
        ("2026-09", "2026-09-01-rye"),
    ],
)
def test_a_session_is_found_by_its_name_or_a_beginning_of_it(
    shelf: Path, name: str | None, stem: str
) -> None:
    assert find_session(shelf, name) == shelf / f"{stem}.toml"


def test_a_path_wins_over_a_name(shelf: Path) -> None:
    assert find_session(shelf / "nowhere", str(shelf / "notes.toml")) == shelf / "notes.toml"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (
            "2026-10",
            "'2026-10' fits several sessions: 2026-10-03-barley-10, 2026-10-03-barley-2, 2026-10-03-b",
        ),
        ("2026-09-01-rey", "No session is called '2026-09-01-rey'. Is 2026-09-01-rye meant?"),
        ("zz\x1b[2J", "is called 'zz\\x1b[2J'. The latest is 2026-10-03-barley-10."),
        ("a\x00b", "is called 'a\\x00b'"),
        ("y" * 5000, "is called 'yyyy"),
    ],
)
def test_a_name_that_fits_none_or_several_is_refused_with_the_candidates(
    shelf: Path, name: str, words: str
) -> None:
    with pytest.raises(NoSession) as caught:
        find_session(shelf, name)
    assert words in str(caught.value)


def test_an_empty_shelf_says_so(tmp_path: Path) -> None:
    with pytest.raises(NoSession, match="There is no session in"):
        find_session(tmp_path, None)


def test_a_home_that_is_nobody_s_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MASHDAY_SESSIONS", "~nobody-of-that-name/days")
    with pytest.raises(NoSession, match="Name the sessions folder by its whole path"):
        sessions_folder(None)
