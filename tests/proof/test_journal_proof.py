"""Every way a session file can be changed, tried in full: nothing is read as something else without a word.

A day is recorded through the session, then its bytes are changed: each byte to each value, cut, pushed
apart, frames taken out and mixed up, bits flipped, sectors filled, saved by an editor. What is read of it may
only be the true beginning, in whole acts, and what is missing must be told.
"""

from __future__ import annotations

import io
import itertools
import os
import random
import re
import tempfile
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from days import BARLEY

from mashday.faces.plain import PlainFace
from mashday.session import frames
from mashday.session.clock import VirtualClock
from mashday.session.disk import Disk
from mashday.session.faults import JournalFault
from mashday.session.journal import Journal
from mashday.session.session import SCHEMA, begin

pytestmark = pytest.mark.proof

SCHEDULE = """format = 1
name = "Lock Seven"
[pot]
volume = "33 L"
[[grain]]
name = "malt"
kind = "barley malt"
mass = "5 kg"
[[step]]
kind = "heat"
water = "15 L"
[[step]]
kind = "dough-in"
target = "63 C"
[[step]]
kind = "rest"
target = "63 C"
time = "60 min"
"""
SHORT = ("start", "temp 69.1", "note lid off, 2 cm of Gärschaum", "hold", "resume", "undo")
LONG_BEGINS = (
    *("start", "tick", "tick 4.9 kg", "done", "temp 69.1", "done", "done"),
    *(f"note stirred {n} min" for n in range(1, 9)),
    *("temp 61.0", "take 1", "added 1 L"),
)
LONG_GOES_ON = (
    'note turn {n}: sum = "12345678" [[entry]]',
    "temp 63.{n} C",
    "temp 62.9 63.1 63.{n} C",
    "more 2",
    "hold",
    "resume",
    "ph 5.{n}",
    "units",
    "note 大麦 {n}",
    "temp 63.0 C",
    "undo",
)
SESSION = Path("2026-10-03-lock-seven.toml")
SEED = 20261003
SHARDS = 4

Tell = Callable[..., None]


@dataclass(frozen=True, slots=True)
class Recorded:
    """The bytes of a session file, and what they hold as any reader of TOML sees it.

    `ends` are where its header and each of its acts end; `whole` how many entries there are by then; `frames`
    the bytes of each entry.
    """

    data: bytes
    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]
    ends: tuple[int, ...]
    whole: tuple[int, ...]
    frames: tuple[bytes, ...]


class HeldInMemory(Disk):
    """A disk that holds one file, the same bytes under every name but that of the copy."""

    def __init__(self, data: bytes) -> None:
        self._data = data

    def open(self, path: Path, flags: int) -> int:
        if path.suffix == ".bak":
            raise FileNotFoundError(path)
        return super().open(Path(__file__), os.O_RDONLY)

    def read(self, descriptor: int) -> bytes:
        return self._data


class QuickDisk(Disk):
    """A disk whose flushes cost nothing: these proofs are about bytes."""

    def fsync(self, descriptor: int) -> None:
        pass


def recorded(schedule: str, lines: Iterable[str], entries: int) -> Recorded:
    """A day lived by these lines through the session and its file, until it has so many entries."""
    clock = VirtualClock()
    with tempfile.TemporaryDirectory() as folder:
        session = begin(schedule, clock, folder=Path(folder))
        assert session._journal is not None and session.path is not None
        session._journal._io = QuickDisk()
        face = PlainFace(session, io.StringIO())
        for line in lines:
            clock.advance(37.5)
            before = len(session.state.log)
            face.take(line)
            if session.doubted is not None:
                face.take("keep it")
            assert len(session.state.log) > before, line
            if len(session.state.log) >= entries:
                break
        assert len(session.state.log) == entries
        data = session.path.read_bytes()
        session.close()
    read = tomllib.loads(data.decode())
    tables = [{key: value for key, value in table.items() if key != "sum"} for table in read["entry"]]
    places = [found.end() for found in re.finditer(rb'(?m)^sum = "[0-9a-f]{8}"\n', data)]
    assert places[-1] == len(data) and len(places) == len(tables) + 1
    ends_act = [number for number, table in enumerate(tables, 1) if "more" not in table]
    header = {key: value for key, value in read["session"].items() if key != "sum"}
    return Recorded(
        data,
        header,
        tuple(tables),
        (places[0], *(places[number] for number in ends_act)),
        (0, *ends_act),
        tuple(data[start:end] for start, end in itertools.pairwise(places)),
    )


@cache
def short_day() -> Recorded:
    """A day of nine frames: opened, started (two), a reading, a note, a hold, its end, an undo."""
    return recorded(SCHEDULE, SHORT, 8)


@cache
def long_day() -> Recorded:
    """A day of two hundred entries."""
    turns = (line.format(n=n) for n in itertools.count() for line in LONG_GOES_ON)
    return recorded(BARLEY, itertools.chain(LONG_BEGINS, turns), 200)


@pytest.fixture(autouse=True)
def frames_not_changed_are_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a frame holds follows from its bytes alone, so that the same bytes need not be parsed again."""
    monkeypatch.setattr(frames, "_table_of", lru_cache(maxsize=4096)(frames._table_of))


def fate(changed: bytes, day: Recorded) -> str:
    """What becomes of a changed file: refused, damaged, torn or unharmed.

    What is read of it is a true beginning of the day in whole acts, whatever is said of it.
    """
    try:
        held = Journal.read(SESSION, io=HeldInMemory(changed))
    except JournalFault:
        return "refused"
    count = len(held.tables)
    assert held.header == day.header
    assert held.tables == day.tables[:count] and count in day.whole
    if held.damage is not None:
        return "damaged"
    if held.torn is not None:
        return "torn"
    assert changed.rstrip() == day.data.rstrip() and count == len(day.tables), (len(changed), count)
    return "unharmed"


def told(fates: Counter[str]) -> str:
    """How many of each."""
    return ", ".join(f"{number:,} {word}" for word, number in sorted(fates.items()))


@pytest.mark.parametrize("shard", range(SHARDS))
def test_every_byte_as_every_other_value_is_noticed(shard: int, proved: Tell) -> None:
    day = short_day()
    fates: Counter[str] = Counter()
    for place in range(shard, len(day.data), SHARDS):
        before, now, after = day.data[:place], day.data[place], day.data[place + 1 :]
        for value in range(256):
            if value != now:
                found = fate(before + bytes((value,)) + after, day)
                assert found != "unharmed", (place, value)
                assert found != "refused" or place < day.ends[0], (place, value)
                fates[found] += 1
    what = f"every byte to every other value, 9 frames ({shard + 1} of {SHARDS})"
    proved(what, cases=fates.total(), lost=0, seen=told(fates))


@pytest.mark.parametrize("shard", range(SHARDS))
def test_a_byte_put_in_anywhere_is_noticed(shard: int, proved: Tell) -> None:
    day = short_day()
    fates: Counter[str] = Counter()
    for place in range(shard, len(day.data) + 1, SHARDS):
        before, after = day.data[:place], day.data[place:]
        for value in range(256):
            found = fate(before + bytes((value,)) + after, day)
            assert found != "unharmed" or place >= len(day.data) - 1, (place, value)
            fates[found] += 1
    what = f"every byte put in at every place, 9 frames ({shard + 1} of {SHARDS})"
    proved(what, cases=fates.total(), lost=0, seen=told(fates))


def test_a_byte_taken_out_anywhere_is_noticed(proved: Tell) -> None:
    fates: Counter[str] = Counter()
    for day, stride in ((short_day(), 1), (long_day(), 8)):
        for place in range(0, len(day.data), stride):
            found = fate(day.data[:place] + day.data[place + 1 :], day)
            assert found != "unharmed" or place == len(day.data) - 1, place
            fates[found] += 1
    proved(
        "a byte taken out at every place (201 frames: every 8th)",
        cases=fates.total(),
        lost=0,
        seen=told(fates),
    )


@pytest.mark.parametrize("shard", range(2))
def test_a_file_cut_at_any_byte_gives_its_whole_acts_and_names_the_rest(shard: int, proved: Tell) -> None:
    day = long_day()
    fates: Counter[str] = Counter()
    for cut in range(shard, len(day.data) + 1, 2):
        data = day.data[:cut]
        if cut < day.ends[0] - 1:
            assert fate(data, day) == "refused"
            fates["refused"] += 1
            continue
        held = Journal.read(SESSION, io=HeldInMemory(data))
        acts = max(number for number, end in enumerate(day.ends) if end - 1 <= cut)
        assert held.damage is None and held.tables == day.tables[: day.whole[acts]]
        assert (held.torn is None) == (cut in day.ends or cut + 1 in day.ends)
        fates["ends with an act" if held.torn is None else "torn"] += 1
    what = f"cut at every byte, 200 entries ({shard + 1} of 2)"
    proved(what, cases=fates.total(), lost=0, seen=told(fates))


def test_frames_dropped_doubled_or_swapped_anywhere_are_noticed(proved: Tell) -> None:
    day = long_day()
    header, kept = day.data[: day.ends[0]], list(day.frames)
    fates: Counter[str] = Counter()
    for place in range(len(kept)):
        ways = [
            [*kept[: place + 1], *kept[place:]],
            [*kept[:place], *kept[place + 1 : place + 2], kept[place], *kept[place + 2 :]],
            [*kept[:place], *kept[place + 1 :]],
        ]
        for changed in ways:
            data = header + b"".join(changed)
            if day.data.startswith(data) and len(data) in (*day.ends, len(day.data)):
                continue
            found = fate(data, day)
            assert found in ("damaged", "torn"), place
            fates[found] += 1
    assert (
        fates.total() == 3 * 200 - 2
    )  # derived: the last cannot be swapped, and without it the day is shorter
    proved("a frame dropped, doubled, swapped at every place", cases=fates.total(), lost=0, seen=told(fates))


def test_no_other_order_and_no_other_choice_of_the_frames_passes_for_the_day(proved: Tell) -> None:
    day = short_day()
    header = day.data[: day.ends[0]]
    fates: Counter[str] = Counter()
    orders = itertools.permutations(day.frames)
    choices = (
        tuple(itertools.compress(day.frames, chosen))
        for chosen in itertools.product((True, False), repeat=len(day.frames))
    )
    for order in itertools.chain(orders, choices):
        data = header + b"".join(order)
        if day.data.startswith(data) and len(data) in day.ends:
            continue
        found = fate(data, day)
        assert found in ("damaged", "torn"), [day.frames.index(one) for one in order]
        fates[found] += 1
    proved("every order and every choice of 8 frames", cases=fates.total(), lost=0, seen=told(fates))


def flipped(data: bytes, bits: Sequence[int]) -> bytes:
    """The bytes with these bits the other way."""
    changed = bytearray(data)
    for bit in bits:
        changed[bit >> 3] ^= 1 << (bit & 7)
    return bytes(changed)


def held_frame(day: Recorded) -> tuple[int, int]:
    """Where the shortest frame of a day begins and ends."""
    shortest = min(day.frames, key=len)
    start = day.data.index(shortest)
    return start, start + len(shortest)


@pytest.mark.parametrize("shard", range(SHARDS))
def test_any_two_bits_of_a_frame_flipped_are_noticed(shard: int, proved: Tell) -> None:
    day = short_day()
    start, end = held_frame(day)
    fates: Counter[str] = Counter()
    for first in range(8 * start + shard, 8 * end, SHARDS):
        once = flipped(day.data, (first,))
        for second in range(first + 1, 8 * end):
            found = fate(flipped(once, (second,)), day)
            assert found in ("damaged", "torn"), (first, second)
            fates[found] += 1
    what = f"every 2 bits of a frame of {end - start} bytes ({shard + 1} of {SHARDS})"
    proved(what, cases=fates.total(), lost=0, seen=told(fates))


def test_three_and_more_bits_of_a_frame_flipped_are_noticed(proved: Tell) -> None:
    day = short_day()
    chance = random.Random(SEED)
    last = (day.ends[-2], day.ends[-1])
    for how_many in (3, 4, 8):
        fates: Counter[str] = Counter()
        for turn in range(60_000 if how_many == 3 else 10_000):
            start, end = held_frame(day) if turn % 2 else last
            bits = chance.sample(range(8 * start, 8 * end), how_many)
            found = fate(flipped(day.data, bits), day)
            assert found in ("damaged", "torn"), bits
            fates[found] += 1
        proved(f"{how_many} bits of a frame, by chance", cases=fates.total(), lost=0, seen=told(fates))


@pytest.mark.parametrize("filled_with", ["zeros", "ones", "newlines", "garbage", "another sector"])
def test_a_sector_that_holds_something_else_is_noticed(filled_with: str, proved: Tell) -> None:
    day = long_day()
    chance = random.Random(SEED)
    fates: Counter[str] = Counter()
    for place in range(0, len(day.data), 64):
        filling = {
            "zeros": b"\x00" * 512,
            "ones": b"\xff" * 512,
            "newlines": b"\n" * 512,
            "garbage": chance.randbytes(512),
            "another sector": day.data[(place + 4096) % (len(day.data) - 512) :][:512],
        }[filled_with]
        end = min(place + 512, len(day.data))
        changed = day.data[:place] + filling[: end - place] + day.data[end:]
        if changed.rstrip(b"\n") + b"\n" == day.data[:place] and place in day.ends:
            continue
        found = fate(changed, day)
        assert found in ("damaged", "torn") or place < day.ends[0], place
        fates[found] += 1
    what = f"512 bytes of {filled_with} at every 64th byte"
    proved(what, cases=fates.total(), lost=0, seen=told(fates))


def tails(day: Recorded) -> Iterator[bytes]:
    """What a power cut may leave behind the last whole act: zeros, garbage, half of an act and either."""
    chance = random.Random(SEED)
    act = day.data[day.ends[-2] : day.ends[-1]]
    for size in (1, 2, 17, 511, 512, 4095, 4096, 16 * 1024, 60 * 1024, 70 * 1024):
        yield b"\x00" * size
        yield b"\xff" * size
        yield chance.randbytes(size)
    for cut in range(1, len(act)):
        yield act[:cut] + b"\x00" * (4096 - cut)
        yield b"\x00" * cut + act[cut:]
        yield act[:cut] + chance.randbytes(64)


def test_a_tail_that_is_no_act_is_set_aside_and_costs_no_entry(proved: Tell) -> None:
    day = long_day()
    fates: Counter[str] = Counter()
    for tail in tails(day):
        found = fate(day.data + tail, day)
        held = Journal.read(SESSION, io=HeldInMemory(day.data + tail))
        assert held.tables == day.tables
        assert found == "torn" or (found == "damaged" and len(tail) > frames.LARGEST_ACT_BYTES)
        fates[found] += 1
    proved("zeros, garbage, half an act behind the end", cases=fates.total(), lost=0, seen=told(fates))


def formatted(data: bytes) -> bytes:
    """The same table of TOML, written anew by a formatter."""
    return tomli_w.dumps(tomllib.loads(data.decode())).encode()


MISCHIEF: dict[str, Callable[[bytes], bytes]] = {
    "saved with Windows line ends": lambda data: data.replace(b"\n", b"\r\n"),
    "saved with old Macintosh line ends": lambda data: data.replace(b"\n", b"\r"),
    "saved with a byte order mark": lambda data: b"\xef\xbb\xbf" + data,
    "saved with both": lambda data: b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n"),
    "saved as UTF-16": lambda data: data.decode().encode("utf-16"),
    "saved as Latin-1": lambda data: data.decode().encode("latin-1", errors="replace"),
    "trailing spaces stripped": lambda data: re.sub(rb"(?m)[ \t]+$", b"", data),
    "tabs expanded": lambda data: data.replace(b"\t", b" " * 8),
    "trailing spaces put in": lambda data: data.replace(b"\n", b" \n"),
    "final newline stripped": lambda data: data.removesuffix(b"\n"),
    "empty lines at the end": lambda data: data + b"\n\n\n",
    "empty lines between the entries": lambda data: data.replace(b"[[entry]]", b"\n[[entry]]"),
    "written anew by a formatter": formatted,
    "a comment at the top": lambda data: b"# my first day\n" + data,
    "a comment at the end": lambda data: data + b"# a good day\n",
    "keys aligned": lambda data: re.sub(rb"(?m)^(\w+) = ", lambda found: found[1].ljust(14) + b" = ", data),
    "single quotes": lambda data: re.sub(rb'(?m) = "([^"\\]*)"$', rb" = '\1'", data),
    "one figure put right by hand": lambda data: data.replace(b"69.1", b"68.1"),
    "emptied": lambda data: b"",
}


def opened(folder: Path, data: bytes, day: Recorded) -> str:
    """What becomes of a file of these bytes that is opened to go on with it.

    Its bytes are all there afterwards, in the file or set aside, and what is told of it is as it was read.
    """
    path = folder / SESSION.name
    aside, lock = path.with_name(f"{path.name}.torn"), path.with_name(f"{path.name}.lock")
    path.write_bytes(data)
    aside.unlink(missing_ok=True)
    try:
        journal, held = Journal.open(path, newest_schema=SCHEMA, io=QuickDisk())
    except JournalFault:
        assert path.read_bytes() == data and not aside.exists()
        return "refused"
    with journal:
        assert held.tables == day.tables[: len(held.tables)] and len(held.tables) in day.whole
        found = path.read_bytes()
        if journal.fault is not None:
            assert found == data and not aside.exists()
            return "damaged"
        kept = aside.read_bytes() if aside.exists() else b""
        assert found + kept in (data, data + b"\n")
        assert found == day.data[: len(found)] and len(found) in day.ends
        place = {"seq": 900, "act": 900, "t": 9000.0}
        journal.append([place])
    again = Journal.read(path, io=QuickDisk())
    assert again.tables == (*held.tables, place) and (again.torn, again.damage) == (None, None)
    assert {file.name for file in folder.iterdir()} <= {path.name, aside.name, lock.name}
    return "torn" if held.torn is not None else "unharmed"


@pytest.mark.parametrize("length", ["9 frames", "201 frames"])
def test_no_mischief_of_an_editor_empties_a_file_or_passes_for_the_day(
    tmp_path: Path, length: str, proved: Tell
) -> None:
    day = short_day() if length == "9 frames" else long_day()
    becomes: dict[str, str] = {}
    for name, change in MISCHIEF.items():
        data = change(day.data)
        becomes[name] = opened(tmp_path, data, day)
        kept = (tmp_path / SESSION.name).read_bytes()
        assert len(kept) >= 0.75 * len(data), name
        fate(data, day)
    harmless = {name for name, found in becomes.items() if found == "unharmed"}
    assert harmless == {
        "trailing spaces stripped",
        "tabs expanded",
        "final newline stripped",
        "empty lines at the end",
    }
    # No line of the file ends in a space and none holds a tab: nothing there for an editor to change.
    assert MISCHIEF["tabs expanded"](day.data) == MISCHIEF["trailing spaces stripped"](day.data) == day.data
    assert becomes["a comment at the end"] == "torn"
    seen = told(Counter(becomes.values()))
    proved(f"an editor's mischief, {length}", cases=len(MISCHIEF), lost=0, seen=seen)


def changes(day: Recorded, chance: random.Random) -> bytes:
    """The bytes of a day with one thing wrong, by chance."""
    data = day.data
    place = chance.randrange(day.ends[0] if chance.random() < 0.9 else 0, len(data))
    if chance.random() < 0.4:
        place = chance.randrange(day.ends[-3], len(data))
    kind = chance.randrange(7)
    if kind == 0:
        return data[:place]
    if kind == 1:
        return data[:place] + chance.randbytes(1) + data[place + 1 :]
    if kind == 2:
        return data[:place] + data[place + 1 :]
    if kind == 3:
        return data[:place] + chance.randbytes(1) + data[place:]
    if kind == 4:
        return data[:place] + bytes(512)[: len(data) - place] + data[place + 512 :]
    if kind == 5:
        return data[:place] + chance.randbytes(chance.randrange(1, 5000))
    return data + data[chance.choice(day.ends[:-1]) :][: chance.randrange(1, 2000)]


@pytest.mark.parametrize("length", ["9 frames", "201 frames"])
def test_opening_a_changed_file_loses_no_byte_of_it(tmp_path: Path, length: str, proved: Tell) -> None:
    day, cases = (short_day(), 5_000) if length == "9 frames" else (long_day(), 3_000)
    chance = random.Random(SEED)
    fates: Counter[str] = Counter()
    for _ in range(cases):
        fates[opened(tmp_path, changes(day, chance), day)] += 1
    assert {"torn", "damaged", "refused"} <= set(fates)
    proved(f"changed by chance and opened to go on, {length}", cases=cases, lost=0, seen=told(fates))
