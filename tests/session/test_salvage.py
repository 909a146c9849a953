"""Damaged session files: all that the sums vouch for is read, nothing else, and nothing is touched."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from mashday.session.disk import Disk, beside
from mashday.session.faults import JournalFault
from mashday.session.journal import Journal

DAY = date(2026, 10, 3)
AT = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
HEADER = {"schema": 1, "app": "x", "started": AT}


class QuickDisk(Disk):
    """A disk whose flushes cost nothing."""

    def fsync(self, descriptor: int) -> None:
        pass


def entry(number: int) -> dict[str, Any]:
    """One act of one entry."""
    return {"seq": number, "act": number, "t": 7.5 * number, "at": AT, "text": f"note {number}"}


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A day of nine entries, with a copy that was made after the sixth."""
    with Journal.create(tmp_path, "lock-seven", DAY, HEADER, io=QuickDisk()) as journal:
        for number in range(1, 10):
            journal.append([entry(number)])
            if number == 6:
                journal.backup()
        return journal.path


def changed(path: Path, was: bytes, now: bytes) -> bytes:
    """The file with these bytes changed; what it then holds."""
    data = path.read_bytes()
    assert data.count(was) == 1
    path.write_bytes(data.replace(was, now))
    return path.read_bytes()


def numbers(path: Path) -> list[int]:
    """The entries that can be believed."""
    held = Journal.read(path)
    assert list(held.tables) == [entry(table["seq"]) for table in held.tables]
    return [table["seq"] for table in held.tables]


@pytest.mark.parametrize(
    ("was", "now"),
    [
        (b"note 2", b"note 7"),
        (b"note 2", b"a longer note than it was"),
        (b"seq = 1\n", b""),
        (b"note 6", b"note 9"),
    ],
)
def test_an_entry_changed_before_the_copy_is_made_up_for_and_what_came_after_is_kept(
    kept: Path, was: bytes, now: bytes
) -> None:
    data = changed(kept, was, now)
    assert numbers(kept) == list(range(1, 10))
    damage = Journal.read(kept).damage
    assert damage is not None and damage.startswith("Entry ") and damage.endswith("Nothing was touched.")
    assert "With the copy beside it (.bak) 9 entries are sound" in damage
    assert kept.read_bytes() == data


def test_an_entry_changed_after_the_copy_leaves_what_stands_before_it(kept: Path) -> None:
    changed(kept, b"note 8", b"note 0")
    assert numbers(kept) == list(range(1, 8))
    assert "Before it 7 entries are sound" in (Journal.read(kept).damage or "")


def test_where_the_place_of_the_copys_end_is_damaged_too_the_copy_alone_is_read(kept: Path) -> None:
    data = kept.read_bytes()
    place = data.index(b"note 6")
    kept.write_bytes(data[: place - 100] + b"\0" * 200 + data[place + 100 :])
    assert numbers(kept) == list(range(1, 7))
    assert "In the copy beside it (.bak) 6 entries are sound" in (Journal.read(kept).damage or "")


def test_a_file_whose_beginning_is_gone_is_read_by_its_copy_and_its_end(kept: Path) -> None:
    kept.write_bytes(b"\0" * 64 + kept.read_bytes()[64:])
    assert numbers(kept) == list(range(1, 10))
    assert (Journal.read(kept).damage or "").startswith(str(kept))


def test_a_file_emptied_by_an_editor_is_read_by_its_copy(kept: Path) -> None:
    kept.write_bytes(b"")
    assert numbers(kept) == list(range(1, 7))


@pytest.mark.parametrize(
    "edited",
    [
        lambda data: data.replace(b"\n", b"\r\n"),
        lambda data: b"\xef\xbb\xbf" + data,
        lambda data: b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n"),
    ],
)
@pytest.mark.parametrize("copied", [True, False])
def test_line_ends_of_an_editor_hide_nothing_and_the_file_is_not_opened(
    kept: Path, edited: Callable[[bytes], bytes], copied: bool
) -> None:
    if not copied:
        beside(kept, "bak").unlink()
    data = edited(kept.read_bytes())
    kept.write_bytes(data)
    assert numbers(kept) == list(range(1, 10))
    with pytest.raises(JournalFault, match=r"Windows line ends|does not begin as a session file does"):
        Journal.open(kept)
    assert kept.read_bytes() == data and not beside(kept, "torn").exists()


def test_a_copy_of_another_day_makes_up_for_nothing(kept: Path, tmp_path: Path) -> None:
    folder = tmp_path / "other"
    with Journal.create(folder, "lock-seven", DAY, {**HEADER, "app": "y"}, io=QuickDisk()) as other:
        for number in range(1, 30):
            other.append([entry(number)])
        beside(kept, "bak").write_bytes(other.path.read_bytes())
    changed(kept, b"note 2", b"note 7")
    assert numbers(kept) == [1]


def test_a_copy_that_is_damaged_itself_or_no_file_makes_up_for_nothing(kept: Path) -> None:
    copy = beside(kept, "bak")
    copy.write_bytes(copy.read_bytes()[::-1])
    changed(kept, b"note 2", b"note 7")
    assert numbers(kept) == [1]
    copy.unlink()
    copy.mkdir()
    assert numbers(kept) == [1]


def test_a_sound_file_is_never_read_by_its_copy(kept: Path, tmp_path: Path) -> None:
    beside(kept, "bak").write_bytes(b"anything")
    assert numbers(kept) == list(range(1, 10)) and Journal.read(kept).damage is None


def test_a_name_whose_copy_still_lies_there_is_not_given_to_a_new_day(kept: Path) -> None:
    kept.unlink()
    with Journal.create(kept.parent, "lock-seven", DAY, HEADER, io=QuickDisk()) as journal:
        assert journal.path.name == "2026-10-03-lock-seven-2.toml"


def test_a_file_cut_clean_after_an_entry_is_found_out_by_its_copy(kept: Path) -> None:
    data = kept.read_bytes()
    kept.write_bytes(data[: data.index(b"[[entry]]\nseq = 4\n")])
    cut = kept.read_bytes()
    assert numbers(kept) == [1, 2, 3, 4, 5, 6]
    damage = Journal.read(kept).damage
    sound = "In the copy beside it (.bak) 6 entries are sound. Nothing was touched."
    assert damage == f"The end of {kept} is gone. {sound}"
    journal, held = Journal.open(kept)
    assert held.view_only and held.damage == damage and journal.fault == damage
    assert kept.read_bytes() == cut


def test_a_torn_end_is_no_end_that_is_gone(kept: Path) -> None:
    data = kept.read_bytes()
    kept.write_bytes(data[:-20])
    journal, held = Journal.open(kept)
    journal.close()
    assert held.damage is None and held.torn is not None and len(held.tables) == 8


def test_an_end_spoilt_at_the_same_length_is_damage_where_the_copy_holds_it(kept: Path) -> None:
    whole = kept.read_bytes()
    beside(kept, "bak").write_bytes(whole)
    for spoilt in (whole[:-30] + b"\0" * 30, whole.replace(b"note 9", b"note 0"), whole[:-30] + b"\n" * 30):
        kept.write_bytes(spoilt)
        journal, held = Journal.open(kept)
        assert held.view_only and journal.fault == held.damage
        assert [table["seq"] for table in held.tables] == list(range(1, 10))
        assert kept.read_bytes() == spoilt and not beside(kept, "torn").exists()


def test_entries_overwritten_by_empty_lines_are_told(kept: Path) -> None:
    beside(kept, "bak").unlink()
    data = kept.read_bytes()
    place = data.index(b"[[entry]]\nseq = 8\n")
    kept.write_bytes(data[:place] + b"\n" * (len(data) - place))
    held = Journal.read(kept)
    assert len(held.tables) == 7
    assert held.torn == f"{len(data) - place} bytes that hold no text"
