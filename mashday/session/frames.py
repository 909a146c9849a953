"""The frames of a session file: how entries become checked bytes, and what bytes can be believed.

A frame is a header line (`[session]` once, then `[[entry]]`), a flat TOML table, and a line
`sum = "xxxxxxxx"`: the CRC-32 (RFC 1952, section 8) of all bytes since the previous sum line, started from
that sum. So every byte belongs to a frame, and a dropped, doubled or swapped frame is seen. Strings stand on
one line with all unseen characters escaped, so no text can pass for a line of the file.
"""

from __future__ import annotations

import itertools
import re
import tomllib
import unicodedata
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomli_w

from mashday.session.faults import JournalFault, shown
from mashday.text import UNSEEN_CATEGORIES, cleaned, quoted

LARGEST_HEADER_BYTES = 300 * 1024
LARGEST_ENTRY_BYTES = 16 * 1024
LARGEST_ACT_BYTES = 64 * 1024
LARGEST_FILE_BYTES = 8 * 1024 * 1024
SHORTEST_ENTRY_BYTES = 64
"""No entry is shorter: fewer blank bytes at the end were put there by an editor and are not worth a word."""
HEADER_LINE = b"[session]\n"
ENTRY_LINE = b"[[entry]]\n"
_SUM_LINE = re.compile(rb'^sum = "([0-9a-f]{8})"(?:\n|\Z)', re.MULTILINE)
_ACT_LINE = re.compile(rb"^act = (\d+)\n", re.MULTILINE)
_FLAT_LINES = re.compile(rb"(?:[A-Za-z0-9_-]+ = (?:[^\[{\n][^\n]*|\[\]|\[\n(?:    [^\[{\s][^\n]*,\n)+\])\n)*")
_TYPED_LINE = re.compile(r'^(?:typed|text|value) = "?(.+?)"?$', re.MULTILINE)
_NOT_ASCII = re.compile(r"[^\x00-\x7f]")


@dataclass(frozen=True, slots=True)
class Recovered:
    """What a session file holds.

    `tables` are the whole entries without their sums. `torn` is the readable text of an unfinished act, which
    was set aside (or, view-only, left out). `damage` says which entry was changed; the tables before it are
    sound. `held_by` says which running program has the session.
    """

    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]
    torn: str | None = None
    damage: str | None = None
    view_only: bool = False
    held_by: str | None = None


def framed(first_line: bytes, table: Mapping[str, Any], previous: int) -> tuple[bytes, int]:
    """The bytes of one frame and its sum. ValueError for a table that would not be read back the same."""
    limit = LARGEST_HEADER_BYTES if first_line == HEADER_LINE else LARGEST_ENTRY_BYTES
    text = _NOT_ASCII.sub(_escaped, tomli_w.dumps(table))
    body = first_line + text.encode("utf-8")
    crc = zlib.crc32(body, previous)
    if len(body) > limit:
        raise ValueError(f"a frame of {len(body)} bytes, and {limit} is the most")
    if "sum" in table or _table_of(body, first_line, previous, crc) != table:
        raise ValueError(f"a table that is not flat or would not read back the same: {quoted(text, 200)}")
    return body + b'sum = "%08x"\n' % crc, crc


def framed_all(tables: Sequence[Mapping[str, Any]], previous: int) -> tuple[bytes, int]:
    """The bytes of entries in a row and the last sum. ValueError as `framed`."""
    frames = []
    for table in tables:
        frame, previous = framed(ENTRY_LINE, table, previous)
        frames.append(frame)
    return b"".join(frames), previous


def _escaped(match: re.Match[str]) -> str:
    """An unseen character as a TOML escape; outside ASCII, characters stand in strings only."""
    character = match[0]
    if unicodedata.category(character) not in UNSEEN_CATEGORIES:
        return character
    return f"\\u{ord(character):04x}" if ord(character) <= 0xFFFF else f"\\U{ord(character):08x}"


def check_one_act(tables: Sequence[Mapping[str, Any]]) -> None:
    """ValueError unless the entries are one act: the same `act`, and `more` in all but the last."""
    if not tables:
        raise ValueError("an act without entries")
    if len({table.get("act") for table in tables}) != 1:
        raise ValueError("entries of several acts in one writing")
    if [table.get("more", False) for table in tables] != [True] * (len(tables) - 1) + [False]:
        raise ValueError("all entries of an act but the last say that more follow")


def _table_of(body: bytes, first_line: bytes, previous: int, stored: int) -> dict[str, Any] | None:
    """The table of a frame whose sum is right; None if anything about it is wrong."""
    limit = LARGEST_HEADER_BYTES if first_line == HEADER_LINE else LARGEST_ENTRY_BYTES
    if len(body) > limit or zlib.crc32(body, previous) != stored:
        return None
    text = body.lstrip(b"\n")
    if not text.startswith(first_line) or not _FLAT_LINES.fullmatch(text, len(first_line)):
        return None
    try:
        table = tomllib.loads(text[len(first_line) :].decode("utf-8"))
    except (ValueError, RecursionError):
        return None
    values = itertools.chain(*(value if isinstance(value, list) else (value,) for value in table.values()))
    if any(isinstance(value, int) and value.bit_length() > 63 for value in values):
        return None
    return table


@dataclass(frozen=True, slots=True)
class Scan:
    """What the bytes of a session file hold: whole acts up to `end`, where the sum is `crc`, then `tail`."""

    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]
    end: int
    crc: int
    tail: bytes
    ends_with_newline: bool
    damage: str | None

    def recovered(self, *, view_only: bool, held_by: str | None = None) -> Recovered:
        """What the file holds, with its unfinished act made readable."""
        torn = None
        if (self.tail.strip() or len(self.tail) >= SHORTEST_ENTRY_BYTES) and self.damage is None:
            lines = self.tail.decode("utf-8", errors="replace").splitlines()
            torn = "\n".join(filter(None, (cleaned(line, LARGEST_ENTRY_BYTES) for line in lines)))
            torn = torn or f"{len(self.tail)} bytes that hold no text"
        return Recovered(self.header, self.tables, torn, self.damage, view_only, held_by)


def scanned(data: bytes, path: Path) -> Scan:
    """Read the frames. JournalFault if the bytes do not begin with a whole header."""
    if len(data) > LARGEST_FILE_BYTES:
        raise JournalFault(f"{shown(path)} is no session file: over {LARGEST_FILE_BYTES} bytes.")
    good: list[tuple[int, int, dict[str, Any]]] = []
    start = previous = 0
    unsound = sound_after = False
    for line in _SUM_LINE.finditer(data):
        stored = int(line[1], 16)
        first_line = ENTRY_LINE if good else HEADER_LINE
        table = _table_of(data[start : line.start()], first_line, previous, stored)
        if table is None:
            unsound = True
        elif unsound:
            sound_after = True
            break
        else:
            good.append((line.end(), stored, table))
        start, previous = line.end(), stored
    if not good:
        raise JournalFault(_no_header(data, path))
    changed = len(good)
    while good[1:] and good[-1][2].get("more") is True:
        good.pop()
    end, crc, _ = good[-1]
    tail = data[end:]
    damage = None
    if sound_after or not _is_unfinished_act(tail):
        damage = (
            f"Entry {changed} of {shown(path)} was changed after it was written, or is no entry at all. "
            f"{said_sound('Before it', len(good) - 1)}"
        )
    tables = tuple(table for *_, table in good[1:])
    return Scan(good[0][2], tables, end, crc, tail, data[end - 1 : end] == b"\n", damage)


def typed_in(torn: str) -> str | None:
    """What a person had typed of the last entry of an unfinished act; None where it was no person's."""
    typed = _TYPED_LINE.findall(torn)
    return typed[-1] if typed else None


def said_sound(where: str, entries: int) -> str:
    """How much can be believed of a damaged file, and that it was left alone; "Before it", 12."""
    count = "one entry is" if entries == 1 else f"{entries} entries are"
    return f"{where} {count} sound. Nothing was touched."


def ends_in(data: bytes, crc: int) -> bool:
    """Whether every frame of the bytes is as its sum says, and the last sum is `crc`."""
    start = previous = 0
    for line in _SUM_LINE.finditer(data):
        stored = int(line[1], 16)
        if zlib.crc32(data[start : line.start()], previous) != stored:
            return False
        start, previous = line.end(), stored
    return start == len(data) and previous == crc


def _is_unfinished_act(tail: bytes) -> bool:
    """Whether the bytes can be what is left of one act that was never acknowledged."""
    if len(tail) > LARGEST_ACT_BYTES:
        return False
    whole_entries = re.split(rb"^\[\[entry\]\]\n", tail, flags=re.MULTILINE)[1:-1]
    return all(map(_ACT_LINE.search, whole_entries)) and len(set(_ACT_LINE.findall(tail))) <= 1


def _no_header(data: bytes, path: Path) -> str:
    if not data:
        return f"{shown(path)} is empty."
    if b"\r\n" in data:
        return (
            f"{shown(path)} was saved by an editor with Windows line ends, so nothing in it can be checked. "
            "Save it with Unix line ends (LF), or take the copy beside it (.bak)."
        )
    return f"{shown(path)} does not begin as a session file does, or its beginning was changed."
