"""Reading session files that were cut, changed, mixed up or forged: never a guess, never an unseen change."""

from __future__ import annotations

import random
import re
import tempfile
import zlib
from collections.abc import Sequence
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from mashday.session.disk import Disk
from mashday.session.faults import JournalFault
from mashday.session.frames import Recovered
from mashday.session.journal import Journal

DAY = date(2026, 10, 3)
AT = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
NOTES = [
    "lid off",
    'forged\nsum = "12345678"\n[[entry]]\nseq = 9\n',
    "Gärung 大麦",
    "zero\u200bwidth",
    "63.5\r99.9",
]
SESSION = Path("2026-10-03-lock-seven.toml")

Tables = tuple[dict[str, Any], ...]


class QuickDisk(Disk):
    """A disk whose flushes cost nothing, for tests that are not about flushes."""

    def fsync(self, descriptor: int) -> None:
        pass


class HeldInMemory(Disk):
    """A disk on which every file holds the same bytes."""

    def __init__(self, data: bytes) -> None:
        self._data = data

    def open(self, path: Path, flags: int) -> int:
        return super().open(Path(__file__), flags)

    def read(self, descriptor: int) -> bytes:
        return self._data


def looked_at(data: bytes) -> Recovered | None:
    """What a file of these bytes holds, or None if it is refused whole."""
    try:
        return Journal.read(SESSION, io=HeldInMemory(data))
    except JournalFault:
        return None


@cache
def recorded(acts: int) -> tuple[bytes, tuple[int, ...], Tables]:
    """The bytes of a session, where its header and each of its acts end, and its entries.

    Every fourth act has three entries.
    """
    tables: list[dict[str, Any]] = []
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal.create(Path(folder), "lock-seven", DAY, {"schema": 1, "app": "x"}, io=QuickDisk())
        ends = [journal.path.stat().st_size]
        with journal:
            for act in range(1, acts + 1):
                size = 3 if act % 4 == 0 else 1
                first = len(tables) + 1
                entries = [
                    {
                        "seq": seq,
                        "act": first,
                        **({"more": True} if seq < first + size - 1 else {}),
                        "t": seq * 7.25,
                        "at": AT,
                        "kind": "note",
                        "text": NOTES[seq % len(NOTES)],
                        "value": 1000 + seq,
                    }
                    for seq in range(first, first + size)
                ]
                journal.append(entries)
                tables += entries
                ends.append(journal.path.stat().st_size)
            data = journal.path.read_bytes()
    return data, tuple(ends), tuple(tables)


def whole_before(cut: int, ends: Sequence[int], tables: Tables) -> Tables:
    """The entries of the acts that end at or before `cut`; a final newline may be missing."""
    acts = sum(1 for end in ends[1:] if end - 1 <= cut)
    firsts = list(dict.fromkeys(table["act"] for table in tables))[:acts]
    return tuple(table for table in tables if table["act"] in firsts)


def frame(
    table: dict[str, Any] | bytes, previous: int, first_line: bytes = b"[[entry]]\n"
) -> tuple[bytes, int]:
    """A frame with a right sum, made without the journal."""
    text = table if isinstance(table, bytes) else tomli_w.dumps(table).encode()
    crc = zlib.crc32(first_line + text, previous)
    return first_line + text + b'sum = "%08x"\n' % crc, crc


def test_a_session_cut_at_any_byte_gives_its_whole_acts_and_sets_the_rest_aside() -> None:
    data, ends, tables = recorded(9)
    assert len(tables) == 13  # derived: 7 acts of one entry and 2 of three
    for cut in range(len(data) + 1):
        held = looked_at(data[:cut])
        if cut < ends[0] - 1:
            assert held is None
            continue
        assert held is not None and held.damage is None and held.view_only
        assert held.tables == whole_before(cut, ends, tables)
        assert (held.torn is None) == (cut in ends or cut + 1 in ends)


def test_a_cut_session_is_mended_loses_no_byte_and_goes_on(tmp_path: Path) -> None:
    data, ends, tables = recorded(20)
    cuts = {
        *range(ends[0] - 1, len(data), 37),
        *ends,
        *(end - 1 for end in ends),
        *(end + 1 for end in ends[:-1]),
    }
    for cut in sorted(cuts):
        path = tmp_path / f"{cut}.toml"
        path.write_bytes(data[:cut])
        journal, held = Journal.open(path, io=QuickDisk())
        expected = whole_before(cut, ends, tables)
        end = max(end for end in ends if end - 1 <= cut)
        aside = path.with_name(path.name + ".torn")
        with journal:
            assert held.tables == expected and not held.view_only
            assert (aside.read_bytes() if aside.exists() else b"") == data[end:cut]
            assert path.read_bytes() == data[:end]
            journal.append([{"seq": 99, "act": 99}])
        assert Journal.read(path).tables == (*expected, {"seq": 99, "act": 99})


def test_an_act_that_is_not_whole_was_never_acknowledged_and_is_set_aside(tmp_path: Path) -> None:
    data, ends, tables = recorded(4)
    cut = data.rindex(b"\n[[entry]]\n") + 1
    path = tmp_path / SESSION
    path.write_bytes(data[:cut])
    assert data[ends[3] : cut].count(b"\nsum = ") == 2  # derived: two of the three frames are whole
    journal, held = Journal.open(path)
    journal.close()
    assert held.tables == tables[:3]
    assert held.torn is not None and held.torn.split("\n").count("[[entry]]") == 2
    assert path.with_name(path.name + ".torn").read_bytes() == data[ends[3] : cut]


@pytest.mark.long
def test_every_value_of_every_byte_of_a_very_short_session_is_noticed() -> None:
    header, crc = frame({"schema": 1}, 0, b"[session]\n")
    first, crc = frame({"seq": 1, "act": 1, "v": 63.5}, crc)
    second, crc = frame({"seq": 2, "act": 2}, crc)
    data = header + first + second
    tables = ({"seq": 1, "act": 1, "v": 63.5}, {"seq": 2, "act": 2})
    intact = looked_at(data)
    assert intact is not None and intact.tables == tables
    for place, now in enumerate(data):
        for value in range(256):
            if value != now:
                held = looked_at(data[:place] + bytes([value]) + data[place + 1 :])
                assert_noticed(held, tables, place < len(header))


def test_changed_bytes_of_a_short_session_are_noticed() -> None:
    data, ends, tables = recorded(4)
    for place, now in enumerate(data):
        for value in {now ^ 1, now ^ 0x20, now ^ 0x80, 0, ord("\n"), ord('"')} - {now}:
            held = looked_at(data[:place] + bytes([value]) + data[place + 1 :])
            assert_noticed(held, tables, place < ends[0])


def test_a_byte_deleted_or_put_in_anywhere_is_noticed() -> None:
    data, ends, tables = recorded(4)
    for place in range(len(data) - 1):
        assert_noticed(looked_at(data[:place] + data[place + 1 :]), tables, place < ends[0])
        for extra in (b"\n", b"0", b"\x00"):
            held = looked_at(data[:place] + extra + data[place:])
            assert_noticed(held, tables, place < ends[0])


def assert_noticed(held: Recovered | None, tables: Tables, in_header: bool) -> None:
    """A changed file is refused, called damaged, or lacks what was changed and says so."""
    if held is None:
        assert in_header
        return
    assert held.tables == tables[: len(held.tables)]
    assert held.damage is not None or (held.torn is not None and len(held.tables) < len(tables))


@pytest.mark.parametrize("what", ["dropped", "doubled", "swapped"])
def test_a_dropped_doubled_or_swapped_frame_is_noticed(what: str) -> None:
    data, ends, tables = recorded(20)
    frames = [b"[[entry]]\n" + part for part in re.split(rb"(?m)^\[\[entry\]\]\n", data)[1:]]
    assert data[: ends[0]] + b"".join(frames) == data
    for place in range(len(frames) - 1):
        changed = list(frames)
        if what == "dropped":
            del changed[place]
        elif what == "doubled":
            changed.insert(place, changed[place])
        else:
            changed[place : place + 2] = reversed(changed[place : place + 2])
        assert_noticed(looked_at(data[: ends[0]] + b"".join(changed)), tables, in_header=False)


def test_the_last_frame_doubled_is_set_aside_and_nothing_is_counted_twice() -> None:
    data, ends, tables = recorded(5)
    held = looked_at(data + data[ends[-2] :])
    assert held is not None and held.tables == tables and held.torn is not None


@pytest.mark.parametrize("filling", [b"\x00", b"\xff", b"\n", b"x"])
def test_a_filled_sector_is_noticed(filling: bytes) -> None:
    data, ends, tables = recorded(20)
    for place in range(0, len(data) - 64, 64):
        changed = data[:place] + (filling * 512)[: len(data) - place] + data[place + 512 :]
        assert_noticed(looked_at(changed), tables, place < ends[0])


@pytest.mark.parametrize(
    "tail",
    [
        b"\x00" * 4096,
        b'[[entry]]\nseq = 31\nact = 31\ntext = "ha' + b"\x00" * 300,
        b"\x00" * 100 + b'f"\nsum = "1234abcd"\n',
        random.Random(7).randbytes(3000),
        b"\x1b]0;title\x07\x9b2J",
    ],
)
def test_a_tail_that_is_no_entry_is_set_aside_and_shown_without_harm(tmp_path: Path, tail: bytes) -> None:
    data, _, tables = recorded(20)
    path = tmp_path / SESSION
    path.write_bytes(data + tail)
    journal, held = Journal.open(path)
    journal.close()
    assert held.tables == tables and held.damage is None
    assert held.torn and all(line.isprintable() for line in held.torn.split("\n"))
    assert path.with_name(path.name + ".torn").read_bytes() == tail
    assert path.read_bytes() == data


def test_a_change_within_the_last_act_of_several_entries_is_damage_and_not_an_unfinished_act() -> None:
    data, ends, tables = recorded(4)
    place = data.index(b"value = 1004", ends[3])
    held = looked_at(data[:place] + b"value = 1005" + data[place + 12 :])
    assert held is not None and held.torn is None and held.tables == tables[:3]
    assert held.damage is not None and held.damage.startswith("Entry 4 of")


def test_entries_that_do_not_say_their_act_are_no_unfinished_act() -> None:
    data, _, tables = recorded(4)
    held = looked_at(data + b"[[entry]]\nseq = 7\n[[entry]]\nseq = 8\n")
    assert held is not None and held.tables == tables and held.damage is not None


@pytest.mark.parametrize("tail", [b"\x00" * 70_000, b"two acts"])
def test_a_tail_of_more_than_one_act_is_damage(tmp_path: Path, tail: bytes) -> None:
    data, ends, tables = recorded(5)
    if tail == b"two acts":
        tail = data[ends[2] : ends[3]] + data[ends[0] : ends[1]]
    path = tmp_path / SESSION
    path.write_bytes(data + tail)
    journal, held = Journal.open(path)
    assert held.view_only and held.tables == tables
    assert held.damage is not None and held.damage.startswith(
        "Entry 8 of"
    )  # derived: seven entries are sound
    assert path.read_bytes() == data + tail
    assert journal.fault == held.damage


def test_a_changed_entry_in_the_middle_is_named_and_nothing_is_touched(tmp_path: Path) -> None:
    data, _, tables = recorded(5)
    changed = data.replace(b"value = 1002", b"value = 1003", 1)
    path = tmp_path / SESSION
    path.write_bytes(changed)
    journal, held = Journal.open(path)
    assert held.view_only and held.tables == tables[:1] and held.torn is None
    assert held.damage is not None and held.damage.startswith("Entry 2 of")
    with pytest.raises(JournalFault, match="Entry 2 of"):
        journal.append([{"seq": 9, "act": 9}])
    assert path.read_bytes() == changed
    assert Journal.read(path).damage == held.damage


def of_schema(schema: Any, tail: bytes) -> bytes:
    """A session of two entries by this schema, then other bytes."""
    header, crc = frame({"schema": schema, "app": "9.9\x1b[2J"}, 0, b"[session]\n")
    first, crc = frame({"seq": 1, "act": 1}, crc)
    second, _ = frame({"seq": 2, "act": 2}, crc)
    return header + first + second + tail


@pytest.mark.parametrize("schema", [3, "two"])
@pytest.mark.parametrize("tail", [b"[[entry]]\nseq = 3\nact = 3\n", b"\n", b""])
def test_the_end_of_a_file_of_a_newer_version_is_not_cut(tmp_path: Path, schema: Any, tail: bytes) -> None:
    data = of_schema(schema, tail)
    path = tmp_path / SESSION
    path.write_bytes(data)
    journal, held = Journal.open(path, newest_schema=2)
    assert held.view_only and held.tables == ({"seq": 1, "act": 1}, {"seq": 2, "act": 2})
    assert held.damage is None
    assert journal.fault == (
        "2026-10-03-lock-seven.toml was written by a newer mashday (9.9[2J). Go on with that version."
    )
    with pytest.raises(JournalFault, match="newer mashday"):
        journal.append([{"seq": 3, "act": 3}])
    assert path.read_bytes() == data
    assert {file.name for file in tmp_path.iterdir()} == {path.name, path.name + ".lock"}
    assert Journal.read(path).held_by is None


def test_a_missing_final_newline_of_a_newer_version_is_not_put_back(tmp_path: Path) -> None:
    data = of_schema(3, b"").removesuffix(b"\n")
    path = tmp_path / SESSION
    path.write_bytes(data)
    Journal.open(path, newest_schema=2)
    assert path.read_bytes() == data


@pytest.mark.parametrize("newest", [2, 3, None])
def test_the_torn_end_of_a_file_of_a_known_version_is_cut(tmp_path: Path, newest: int | None) -> None:
    path = tmp_path / SESSION
    path.write_bytes(of_schema(2, b"[[entry]]\nseq = 3\nact = 3\n"))
    journal, held = Journal.open(path, newest_schema=newest)
    with journal:
        assert held.torn is not None and journal.fault is None
        journal.append([{"seq": 3, "act": 3}])
    assert [table["seq"] for table in Journal.read(path).tables] == [1, 2, 3]


def test_a_changed_entry_of_a_newer_version_is_named_too(tmp_path: Path) -> None:
    path = tmp_path / SESSION
    path.write_bytes(of_schema(3, b"").replace(b"seq = 1", b"seq = 7"))
    journal, held = Journal.open(path, newest_schema=2)
    assert journal.fault is not None and "newer mashday" in journal.fault
    assert held.view_only and held.damage is not None and held.damage.startswith("Entry 1 of")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"[session]\nschema = 1\n", "does not begin as a session file does"),
        (b'schema = 1\nsum = "00000000"\n', "does not begin as a session file does"),
        (b"\xff\xfe\x00", "does not begin as a session file does"),
    ],
)
def test_a_file_without_a_sound_header_is_refused_and_not_touched(
    tmp_path: Path, data: bytes, words: str
) -> None:
    path = tmp_path / SESSION
    path.write_bytes(data)
    for reading in (Journal.open, Journal.read):
        with pytest.raises(JournalFault, match=words):
            reading(path)
    assert path.read_bytes() == data
    assert not path.with_name(path.name + ".torn").exists()


def test_a_missing_final_newline_is_put_back(tmp_path: Path) -> None:
    data, _, tables = recorded(5)
    path = tmp_path / SESSION
    path.write_bytes(data[:-1])
    assert Journal.read(path).torn is None
    journal, held = Journal.open(path)
    with journal:
        assert held.tables == tables and held.torn is None
        assert path.read_bytes() == data
        journal.append([{"seq": 99, "act": 99}])
    assert len(Journal.read(path).tables) == len(tables) + 1


def test_an_empty_line_put_at_the_end_by_an_editor_is_taken_away_without_a_word(tmp_path: Path) -> None:
    data, _, tables = recorded(5)
    path = tmp_path / SESSION
    path.write_bytes(data + b"\n")
    journal, held = Journal.open(path)
    journal.close()
    assert held.tables == tables and held.torn is None
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    "text",
    [
        b"a" + b".a" * 7000 + b" = 1\n",
        b"a = " + b"{a=" * 2000 + b"1" + b"}" * 2000 + b"\n",
        b"a = " + b"[" * 5000 + b"]" * 5000 + b"\n",
        b"[deep.table]\na = 1\n",
        b"a = " + b"9" * 5000 + b"\n",
        b"a = 0x" + b"f" * 12_000 + b"\n",
        b"a = [\n    0x" + b"f" * 12_000 + b",\n]\n",
        b'"quoted\\u001b[2J" = 1\n',
        b"a = 1\na = 2\n",
        b'a = "\xff"\n',
    ],
)
def test_a_forged_frame_with_a_right_sum_is_no_entry(text: bytes) -> None:
    data, _, tables = recorded(5)
    crc = int(data[-10:-2], 16)
    forged, crc = frame(text, crc)
    held = looked_at(data + forged)
    assert held is not None and held.tables == tables and (held.torn or held.damage)
    good, _ = frame({"seq": 9, "act": 9}, crc)
    held = looked_at(data + forged + good)
    assert held is not None and held.tables == tables and held.damage is not None


def test_a_second_header_is_no_entry() -> None:
    data, _, tables = recorded(5)
    header, _ = frame({"schema": 1}, int(data[-10:-2], 16), b"[session]\n")
    held = looked_at(data + header)
    assert held is not None and held.tables == tables and held.torn is not None


def test_an_empty_line_between_frames_is_part_of_the_frame_after_it() -> None:
    header, crc = frame({"schema": 1}, 0, b"[session]\n")
    crc = zlib.crc32(b"\n[[entry]]\nseq = 1\n", crc)
    held = looked_at(header + b'\n[[entry]]\nseq = 1\nsum = "%08x"\n' % crc)
    assert held is not None and held.tables == ({"seq": 1},) and held.damage is None
