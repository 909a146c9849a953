"""Session files of another hand: changed bytes of recorded days, and right sums around hostile entries."""

from __future__ import annotations

import dataclasses
import typing
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from functools import cache
from random import Random
from typing import Any

import tomli_w
from fuzz_days import lived
from fuzz_schedules import document
from fuzz_texts import (
    REAL_NUMBERS,
    WHOLE_NUMBERS,
    bytes_of_no_sense,
    changed,
    hostile_text,
)

from mashday.engine.facts import KINDS
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VIRTUAL_START, VirtualClock
from mashday.session.frames import ENTRY_LINE, HEADER_LINE
from mashday.session.rehearsal import whole_day
from mashday.session.session import CODEC, Session, begin

OF_TEXTS_ALONE = 0.3
"""The share of days whose entries follow one another as they should, and say what they should not."""
OWN_TEXTS = frozenset(
    {"app", "boot_id", "left", "typed", "unit", "place", "trust", "source", "text", "call", "working", "why"}
)


# Recorded days


@dataclass(frozen=True, slots=True)
class Recorded:
    """A day as it was recorded: its header and its entries."""

    header: dict[str, Any]
    tables: tuple[dict[str, Any], ...]


RECORDED = range(17)
"""The numbers of the recorded days."""


@cache
def recorded(number: int) -> Recorded:
    """The first are rehearsed days, one of each sample; the others were lived by chance."""
    names = sample_names()
    clock = VirtualClock()
    text = sample_text(names[number % len(names)])
    if number < len(names):
        session = begin(text, clock, folder=None, rehearsed=True, seed=number, rate=60.0)
        whole_day(session)
    else:
        session = begin(text, clock, folder=None)
        lived(session, clock, Random(number), 25)
    return _kept(session)


def _kept(session: Session) -> Recorded:
    log = session.state.log
    tables = [
        CODEC.encode(e.seq, e.act, e.t, e.at, e.fact, more=i + 1 < len(log) and log[i + 1].act == e.act)
        for i, e in enumerate(log)
    ]
    return Recorded(session.header, tuple(tables))


def framed(header: dict[str, Any], tables: Sequence[dict[str, Any]]) -> bytes:
    """The bytes of a file with a right sum behind every frame, whatever stands in it."""
    written, previous = [], 0
    for line, table in ((HEADER_LINE, header), *((ENTRY_LINE, table) for table in tables)):
        body = line + tomli_w.dumps(table).encode("utf-8", "replace")
        previous = zlib.crc32(body, previous)
        written.append(body + b'sum = "%08x"\n' % previous)
    return b"".join(written)


@cache
def _file(number: int) -> bytes:
    one = recorded(number)
    return framed(one.header, one.tables)


@dataclass(frozen=True, slots=True)
class Hostile:
    """The bytes of a session file, of the copy beside it (None: none), the seed of what is done with it."""

    data: bytes
    copy: bytes | None
    seed: int


def changed_file(chance: Random) -> Hostile:
    """A recorded file with bytes changed; beside it, at times, the copy as it was, or changed too."""
    if chance.random() < 0.05:
        return Hostile(bytes_of_no_sense(chance), None, 0)
    number = chance.choice(RECORDED)
    cut = _cut(chance, _file(number))
    others = (_file(number), _file(chance.choice(RECORDED)))
    data = changed(chance, cut, others)
    copy = chance.choice((None, None, None, cut[: cut.rfind(ENTRY_LINE)], changed(chance, cut, others)))
    return Hostile(data, copy, chance.randrange(2**32))


def _cut(chance: Random, whole: bytes) -> bytes:
    """The file as it stood after so many entries: short ones are looked at sooner."""
    places = [place for place in range(len(whole)) if whole.startswith(ENTRY_LINE, place)][1:]
    return whole[: chance.choice(places[: chance.choice((5, 40, 400))])]


# Hostile entries


def hostile_entries(chance: Random) -> Hostile:
    """A recorded day with some entries of another hand in it, every sum as it should be."""
    one = recorded(chance.choice(RECORDED))
    length = chance.randint(1, min(len(one.tables), chance.choice((12, 60, 60, 400))))
    tables = [dict(table) for table in one.tables[:length]]
    header = dict(one.header)
    if chance.random() < OF_TEXTS_ALONE:
        _say_otherwise(chance, header, tables)
    else:
        for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
            _meddle(chance, header, tables)
    if chance.random() < 0.8:
        _renumber(tables)
    return Hostile(framed(header, tables), None, chance.randrange(2**32))


def _say_otherwise(chance: Random, header: dict[str, Any], tables: list[dict[str, Any]]) -> None:
    """Every text that is a person's own, or another program's, becomes another; some numbers do too, within
    what they can be."""
    for table in (header, *tables):
        for key in sorted(OWN_TEXTS & table.keys()):
            if chance.random() < 0.5 and table[key] != "unknown":
                said = hostile_text(chance)[:1000]
                table[key] = [said, said] if isinstance(table[key], list) else said
        if table.get("kind") in ("call answered", "undo", "opened") and chance.random() < 0.5:
            table["how" if table["kind"] == "opened" else "what"] = hostile_text(chance)[:1000]
        if table.get("kind") == "item":
            table["value"] = hostile_text(chance)[:1000]
    for table in tables:
        for key in ("celsius", "lands_celsius", "litres", "late_seconds", "away_seconds", "minutes"):
            if isinstance(table.get(key), float) and chance.random() < 0.1:
                table[key] *= chance.choice((0.0, 0.5, 0.999, 1.001, 1.5))


def _renumber(tables: list[dict[str, Any]]) -> None:
    """Numbers the entries as one writing would have, in the acts they were in."""
    before, act_before, act = 0.0, None, 0
    for seq, table in enumerate(tables, 1):
        if table.get("act") != act_before or not seq > 1:
            act_before, act = table.get("act"), seq
        table["seq"], table["act"] = seq, act
        table.pop("more", None)
        t = table.get("t")
        if isinstance(t, int | float) and t >= before:
            before = t
        elif isinstance(t, int | float):
            table["t"] = before


def _meddle(chance: Random, header: dict[str, Any], tables: list[dict[str, Any]]) -> None:
    place = chance.randrange(len(tables)) if tables else 0
    match chance.randint(0, 15):
        case 0 if tables:
            del tables[place]
        case 1 if tables:
            tables.insert(chance.randrange(len(tables) + 1), dict(tables[place]))
        case 2 if tables:
            other = chance.randrange(len(tables))
            tables[place], tables[other] = tables[other], tables[place]
        case 3 if tables:
            chance.shuffle(tables)
        case 4 | 5 if tables:
            table = tables[place]
            key = chance.choice(list(table))
            table[key] = _like(chance, table[key])
        case 6 if tables:
            tables[place].pop(chance.choice(list(tables[place])), None)
        case 7 if tables:
            table = tables[place]
            table[chance.choice((*table, "step", "of", "offer", "item", hostile_key(chance)))] = any_value(
                chance
            )
        case 8:
            header[chance.choice((*header, "schema", "rate", "seed", "rehearsed", "x"))] = any_value(chance)
        case 9:
            _meddle_with_header(chance, header)
        case 10 if tables:
            tables[place]["kind"] = chance.choice((*KINDS, "tomorrow's kind", hostile_text(chance)))
        case _:
            where = chance.randrange(len(tables) + 1)
            near = tables[where - 1] if where else {"t": 0.0, "at": VIRTUAL_START}
            forged = _forged(chance, near)
            tables.insert(where, forged)


def _meddle_with_header(chance: Random, header: dict[str, Any]) -> None:
    match chance.randint(0, 5):
        case 0:
            header["schedule"] = sample_text(chance.choice(sample_names()))
        case 1:
            header["schedule"] = document(chance)
        case 2:
            header["schedule"] = _fewer_steps(str(header.get("schedule", "")))
        case 3:
            header.pop(chance.choice(list(header)))
        case 4:
            header["app"] = hostile_text(chance)
        case _:
            header |= {"rehearsed": True, "rate": chance.choice((0.0, -1.0, 1e300, float("nan"), 60.0, 1))}


def _fewer_steps(written: str) -> str:
    head, *steps = written.split("[[step]]")
    return "[[step]]".join([head, *steps[:4]])


def hostile_key(chance: Random) -> str:
    """The key of nothing we know."""
    return chance.choice(("x", "more", "sum", "act", "kind2", "tomorrow", "a.b", hostile_text(chance)))


def any_value(chance: Random) -> Any:
    """Any value that TOML can hold, and some a flat table cannot."""
    match chance.randint(0, 8):
        case 0 | 1:
            return hostile_text(chance)
        case 2 | 3:
            return chance.choice(WHOLE_NUMBERS)
        case 4 | 5:
            return chance.choice(REAL_NUMBERS)
        case 6:
            return chance.random() < 0.5
        case 7:
            return chance.choice((datetime.min, datetime.max, *_moments()))
        case _:
            items = [chance.choice((chance.choice(REAL_NUMBERS), chance.choice(WHOLE_NUMBERS), "x"))]
            return chance.choice((items, items * 40, [], {"a": 1}, [items]))


def _moments() -> tuple[datetime, ...]:
    return (
        VIRTUAL_START,
        datetime(1, 1, 1, tzinfo=UTC),
        datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC),
        datetime(9999, 12, 31, 23, 59, 59, tzinfo=timezone(timedelta(hours=-14))),
        datetime(1970, 1, 1, tzinfo=UTC),
        datetime(1960, 1, 1, tzinfo=UTC),
        datetime(2026, 10, 3, 10, 0, 0, 123456, tzinfo=timezone(timedelta(minutes=1))),
        datetime(2026, 10, 3, 10, 0),
    )


def _like(chance: Random, value: Any) -> Any:
    """Another value of the same type."""
    match value:
        case bool():
            return not value
        case int():
            return chance.choice((*WHOLE_NUMBERS, value + 1, value - 1))
        case float():
            return chance.choice((*REAL_NUMBERS, value * 10.0, -value, value + 1.0))
        case str():
            return hostile_text(chance)
        case datetime():
            return chance.choice(_moments())
        case list():
            return [*value, *value] if chance.random() < 0.5 else [_like(chance, one) for one in value]
    return value


def _forged(chance: Random, near: dict[str, Any]) -> dict[str, Any]:
    """An entry of any kind with values of the right types, mostly likely ones."""
    kind = chance.choice(list(KINDS))
    act = near.get("act", 1) if chance.random() < 0.5 else chance.randrange(10**6, 10**9)
    table: dict[str, Any] = {
        "seq": 1,
        "act": act,
        "t": near.get("t", 0.0),
        "at": near.get("at"),
        "kind": kind,
    }
    if table["at"] is None:
        table["at"] = VIRTUAL_START
    hints = typing.get_type_hints(KINDS[kind])
    for field in dataclasses.fields(KINDS[kind]):
        if field.default is dataclasses.MISSING or chance.random() < 0.5:
            value = _of_type(chance, field.name, hints[field.name])
            if value is not None:
                table[field.name] = value
    return table


_LIKELY: dict[str, Sequence[Any]] = {
    "step": (1, 2, 3, 4, 5, 6, 7, 8, 12, 60, 0, -1, 61),
    "from_step": (1, 2, 3, 4, 8, 0, 61),
    "item": (1, 2, 3, 0, -1, 9, 10**6),
    "of": (1, 2, 5, 10, 20, 30, 0, -1, 10**9),
    "offer": (1, 5, 10, 20, 30, 0),
    "option": (1, 2, 3, 0, -1),
    "celsius": (63.0, 61.2, 20.0, 100.0, 0.0, 101.9, -5.0, 1e6, -273.15, 66.0, 78.0),
    "read_celsius": (63.0, 61.2, 20.0, 1e9),
    "target_celsius": (63.0, 1e9),
    "lands_celsius": (63.0, 1e9),
    "water_celsius": (97.0, 12.0, 1e9),
    "gravity": (1.052, 1.0, 1.19, 0.0, -1.0, 5.0),
    "litres": (1.2, 0.0, 17.0, 1e9, -1.0, 1000.0),
    "kilograms": (1.2, 0.0, 17.0, 1e9, -1.0),
    "amount": (5.0, 0.0, 14.0, 20.0, 1e9, -1.0, 60.0),
    "minutes": (5.0, 0.0, -10.0, 600.0, 1e9, 1e300),
    "ph": (5.4, 0.0, -1.0, 1e9),
    "name": ("pale barley malt", "nobody's grain", "\x1b[2J"),
    "unit": ("C", "SG", "L", "pH", "P", "Bx", "\x1b]0;x\x07"),
    "how": (
        "new",
        "exact",
        "estimated",
        "ask",
        "complete",
        "early",
        "aborted",
        "done",
        "skipped",
        "by itself",
    ),
    "call": ("time-3", "ask-1", "begun-4", "fire-1", "way-1", "x"),
    "ways": ("hot water", "fire"),
}


def _of_type(chance: Random, name: str, hint: Any) -> Any:
    options = [one for one in typing.get_args(hint) if isinstance(one, str)]
    if typing.get_origin(hint) is typing.Literal:
        return chance.choice(options)
    inner = [one for one in typing.get_args(hint) if one is not type(None)]
    if typing.get_origin(hint) is tuple:
        return [_of_type(chance, name, inner[0]) for _ in range(chance.choice((0, 1, 2, 2, 9)))]
    if inner:
        return _of_type(chance, name, inner[0])
    if name in _LIKELY and chance.random() < 0.85:
        found = chance.choice(_LIKELY[name])
        if type(found) is hint or hint is float:
            return found
    if hint is bool:
        return chance.random() < 0.5
    if hint is int:
        return chance.choice((1, 2, 3, 5, 8, 13, *WHOLE_NUMBERS[:13]))
    if hint is float:
        return chance.choice((1.0, 5.0, 20.0, 60.0, *REAL_NUMBERS))
    return hostile_text(chance)
