"""Between facts and the flat tables of a session file.

What is written is what counts: a fact that has been encoded and decoded again equals itself, so the session
takes up the decoded one and a replay of the file sees the same. The kinds of facts are handed in.
"""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any, Literal, NamedTuple, TypeVar

from mashday.text import quoted

PLACE_KEYS = ("seq", "act", "more", "t", "at", "kind")
"""The keys of an entry that say where it stands in the day; no fact may have a field of such a name."""

LARGEST_WHOLE_NUMBER = 2**63 - 1
"""TOML 1.0.0, Integer: 64-bit signed."""

_CHECKSUM_KEY = "sum"
_T = TypeVar("_T")


class BadEntry(ValueError):
    """An entry that is not what its kind says: `where` it stands, `what` was found and what is expected."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(f"{where}: {what}")
        self.where = where
        self.what = what


class UnknownKind(ValueError):
    """An entry of a kind that this version does not know; `name` is the kind as written."""

    def __init__(self, name: str) -> None:
        super().__init__(f"an entry of the unknown kind {quoted(name)}")
        self.name = name


class Decoded(NamedTuple):
    """One entry: its place in the day, its fact, and the keys that this version does not know."""

    seq: int
    act: int
    more: bool
    t: float
    at: datetime
    fact: Any
    other: dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Field:
    name: str
    read: Callable[[object], object]
    nullable: bool
    required: bool


class Codec:
    """Encodes and decodes the facts of the kinds it is given: frozen flat dataclasses by their written name.

    A field is text, a whole number, a number, a truth, a Literal of these, or a row of them
    (`tuple[X, ...]`); each may be None. TypeError for any other field, or a name used twice.
    """

    def __init__(self, kinds: Mapping[str, type]) -> None:
        self._types = dict(kinds)
        self._names = {fact_type: name for name, fact_type in kinds.items()}
        if len(self._names) != len(self._types):
            raise TypeError("a type of fact has two kinds")
        self._fields = {name: _fields(fact_type) for name, fact_type in kinds.items()}

    def encode(
        self, seq: int, act: int, t: float, at: datetime, fact: object, more: bool = False
    ) -> dict[str, Any]:
        """The flat table of one entry, place first, in the order in which it is to be written.

        `t` is in seconds of the session. Fields that are None are left out, whole numbers in fields for any
        number become floats. BadEntry for a value of another type, NaN, infinity, half a character, or an
        `at` without an offset; UnknownKind for a fact of a type that was not handed in.
        """
        kind = self._names.get(type(fact))
        if kind is None:
            raise UnknownKind(type(fact).__name__)
        where = f"entry {seq}"
        table: dict[str, Any] = {
            "seq": _read_at(where, "seq", _count, seq),
            "act": _read_at(where, "act", _count, act),
        }
        if more:
            table["more"] = True
        table["t"] = _read_at(where, "t", _seconds, t)
        table["at"] = _read_at(where, "at", _moment, at)
        table["kind"] = kind
        for field in self._fields[kind]:
            value = getattr(fact, field.name)
            if value is None and field.nullable:
                continue
            read = _read_at(where, field.name, field.read, value)
            table[field.name] = list(read) if isinstance(read, tuple) else read
        return table

    def decode(self, table: Mapping[str, Any]) -> Decoded:
        """The entry of a table.

        A field that is missing is None where it may be, else its default. Keys that the kind does not know
        are handed on in `other`. UnknownKind or BadEntry where the table is no entry.
        """
        seq = _read_at("an entry", "seq", _count, table.get("seq"))
        where = f"entry {seq}"
        act = _read_at(where, "act", _count, table.get("act"))
        more = _read_at(where, "more", _truth, table.get("more", False))
        t = _read_at(where, "t", _seconds, table.get("t"))
        at = _read_at(where, "at", _moment, table.get("at"))
        kind = _read_at(where, "kind", _text, table.get("kind"))
        fields = self._fields.get(kind)
        if fields is None:
            raise UnknownKind(kind)
        values: dict[str, object] = {}
        for field in fields:
            if field.name in table:
                values[field.name] = _read_at(where, field.name, field.read, table[field.name])
            elif field.nullable:
                values[field.name] = None
            elif field.required:
                raise BadEntry(f"{where}, {field.name}", "is missing")
        known = {*PLACE_KEYS, *(field.name for field in fields)}
        other = {key: value for key, value in table.items() if key not in known}
        return Decoded(seq, act, more, t, at, self._types[kind](**values), other)


def _fields(fact_type: type) -> tuple[_Field, ...]:
    if not dataclasses.is_dataclass(fact_type):
        raise TypeError(f"{fact_type.__name__} is not a dataclass")
    hints = typing.get_type_hints(fact_type)
    fields = []
    for field in dataclasses.fields(fact_type):
        where = f"{fact_type.__name__}.{field.name}"
        if field.name in (*PLACE_KEYS, _CHECKSUM_KEY):
            raise TypeError(f"{where}: the name is taken by the entry itself")
        hint, nullable = _without_none(hints[field.name])
        required = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        fields.append(_Field(field.name, _reader(hint, where), nullable, required))
    return tuple(fields)


def _without_none(hint: Any) -> tuple[Any, bool]:
    """A type hint without its None, and whether it had one."""
    if typing.get_origin(hint) in (types.UnionType, typing.Union):
        left = [member for member in typing.get_args(hint) if member is not types.NoneType]
        if len(left) == 1 and len(typing.get_args(hint)) == 2:
            return left[0], True
    return hint, False


def _reader(hint: Any, where: str) -> Callable[[object], object]:
    if isinstance(hint, typing.NewType):
        return _reader(hint.__supertype__, where)
    if typing.get_origin(hint) is Literal:
        return _one_of(typing.get_args(hint), where)
    if typing.get_origin(hint) is tuple and typing.get_args(hint)[1:] == (...,):
        return _row_of(_reader(typing.get_args(hint)[0], where))
    if isinstance(hint, type) and hint in _SCALARS:
        return _SCALARS[hint]
    raise TypeError(f"{where}: {hint} cannot stand in a flat table")


def _one_of(words: tuple[object, ...], where: str) -> Callable[[object], object]:
    if not all(type(word) in (str, int, bool) for word in words):
        raise TypeError(f"{where}: only texts, whole numbers and truths can stand in a flat table")
    expected = " or ".join(ascii(word) for word in words)

    def read(value: object) -> object:
        for word in words:
            if type(value) is type(word) and value == word:
                return word
        raise _Unfit(f"expected {expected}", value)

    return read


def _row_of(read_one: Callable[[object], object]) -> Callable[[object], object]:
    def read(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise _Unfit("expected a row of values", value)
        return tuple(read_one(item) for item in value)

    return read


class _Unfit(Exception):
    """A value that does not fit, before it is known where."""

    def __init__(self, expected: str, found: object) -> None:
        self.what = f"{expected}, found {_named(found)}"


def _named(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, int):
        return str(value) if abs(value) <= LARGEST_WHOLE_NUMBER else "a number too large to be written"
    if isinstance(value, datetime):
        return str(value)
    return f"a {type(value).__name__}"


def _read_at(where: str, name: str, read: Callable[[object], _T], value: object) -> _T:
    try:
        return read(value)
    except _Unfit as unfit:
        raise BadEntry(f"{where}, {name}", unfit.what) from None


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise _Unfit("expected a text", value)
    if any("\ud800" <= character <= "\udfff" for character in value):
        raise _Unfit("expected a text of whole characters", value)
    return str.__str__(value)


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise _Unfit("expected a whole number", value)
    if abs(value) > LARGEST_WHOLE_NUMBER:
        raise _Unfit("expected a whole number of at most 63 bits", value)
    return int(value)


def _count(value: object) -> int:
    count = _whole(value)
    if count < 1:
        raise _Unfit("expected a whole number from 1", value)
    return count


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _Unfit("expected a number", value)
    if isinstance(value, int):
        value = _whole(value)
    if not math.isfinite(value):
        raise _Unfit("expected a finite number", value)
    return float(value)


def _seconds(value: object) -> float:
    seconds = _number(value)
    if seconds < 0:
        raise _Unfit("expected seconds from 0", value)
    return seconds


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise _Unfit("expected true or false", value)
    return value


def _moment(value: object) -> datetime:
    """An aware moment at a fixed offset of whole minutes, the only kind that TOML can hold."""
    if not isinstance(value, datetime):
        raise _Unfit("expected a date and time", value)
    offset = value.utcoffset()
    if offset is None:
        raise _Unfit("expected a time with its offset from UTC", value)
    minutes = timedelta(minutes=round(offset / timedelta(minutes=1)))
    try:
        return value.astimezone(timezone(minutes))
    except (OverflowError, ValueError):
        raise _Unfit("expected a time between the years 1 and 9999", value) from None


_SCALARS: dict[type, Callable[[object], object]] = {str: _text, int: _whole, float: _number, bool: _truth}
