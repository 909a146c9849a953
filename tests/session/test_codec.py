"""Facts into flat tables and back, without a difference."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from typing import Any, Literal, NewType
from zoneinfo import ZoneInfo

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.session.codec import BadEntry, Codec, UnknownKind

Warmth = NewType("Warmth", float)
AT = datetime(2026, 10, 3, 10, 0, 7, tzinfo=timezone(timedelta(hours=2)))


@dataclass(frozen=True, slots=True)
class Stirred:
    """Nothing to tell."""


@dataclass(frozen=True, slots=True)
class Read:
    warmth: Warmth
    unit: Literal["C", "F"]
    spots: tuple[float, ...] = ()
    passed: bool | None = None
    share: float | None = None
    place: str | None = None


@dataclass(frozen=True, slots=True)
class Ticked:
    item: int
    done: bool
    words: tuple[str, ...]
    of: tuple[int, ...] | None = None
    tries: int = 1
    marks: tuple[bool, ...] = field(default_factory=tuple)


CODEC = Codec({"stirred": Stirred, "read": Read, "ticked": Ticked})

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
numbers = st.floats(allow_nan=False, allow_infinity=False)
whole_numbers = st.integers(-(2**63) + 1, 2**63 - 1)
facts = st.one_of(
    st.just(Stirred()),
    st.builds(
        Read,
        warmth=numbers,
        unit=st.sampled_from(["C", "F"]),
        spots=st.lists(numbers, max_size=4).map(tuple),
        passed=st.none() | st.booleans(),
        share=st.none() | numbers,
        place=st.none() | texts,
    ),
    st.builds(
        Ticked,
        item=whole_numbers,
        done=st.booleans(),
        words=st.lists(texts, max_size=3).map(tuple),
        of=st.none() | st.lists(whole_numbers, max_size=3).map(tuple),
        tries=whole_numbers,
        marks=st.lists(st.booleans(), max_size=3).map(tuple),
    ),
)
offsets = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
moments = st.datetimes(datetime(1, 1, 3), datetime(9999, 12, 29), timezones=offsets)


@settings(max_examples=300, deadline=None)
@given(
    seq=st.integers(1, 10**6),
    act=st.integers(1, 10**6),
    more=st.booleans(),
    t=st.floats(0, 1e9),
    at=moments,
    fact=facts,
)
def test_what_is_written_and_read_back_is_the_same_to_the_last_bit(
    *, seq: int, act: int, more: bool, t: float, at: datetime, fact: object
) -> None:
    table = CODEC.encode(seq, act, t, at, fact, more)
    written = tomllib.loads(tomli_w.dumps(table))
    assert written == table
    back = CODEC.decode(written)
    assert back == (seq, act, more, t, at, fact, {})
    assert repr(back.fact) == repr(fact)
    assert CODEC.encode(*back[:2], back.t, back.at, back.fact, back.more) == table


def test_an_entry_is_flat_and_says_its_place_first() -> None:
    table = CODEC.encode(3, 2, 61.5, AT, Read(Warmth(63.5), "C", (63.0, 64.0), True), more=True)
    assert list(table) == ["seq", "act", "more", "t", "at", "kind", "warmth", "unit", "spots", "passed"]
    assert table["more"] is True and table["kind"] == "read" and table["spots"] == [63.0, 64.0]


def test_nothing_is_written_for_what_is_not_there() -> None:
    table = CODEC.encode(1, 1, 0.0, AT, Read(Warmth(63.5), "C"))
    assert list(table) == ["seq", "act", "t", "at", "kind", "warmth", "unit", "spots"]
    assert CODEC.decode(table).fact == Read(Warmth(63.5), "C")


def test_a_whole_number_in_a_field_for_any_number_becomes_one() -> None:
    table = CODEC.encode(1, 1, 7, AT, Read(Warmth(63), "C", (1, 2)))
    values = [table["t"], table["warmth"], *table["spots"]]
    assert values == [7.0, 63.0, 1.0, 2.0] and all(type(value) is float for value in values)
    back = CODEC.decode({**table, "warmth": 63, "t": 7})
    assert type(back.fact.warmth) is float and type(back.t) is float


def test_a_missing_field_takes_its_default_and_an_unknown_one_is_handed_on() -> None:
    table = {
        "seq": 4,
        "act": 4,
        "t": 1.0,
        "at": AT,
        "kind": "ticked",
        "item": 2,
        "done": True,
        "words": ["a"],
    }
    back = CODEC.decode({**table, "colour": "amber", "depth": [1]})
    assert back.fact == Ticked(2, True, ("a",))
    assert back.other == {"colour": "amber", "depth": [1]}


def test_the_offset_is_kept_as_a_fixed_one_of_whole_minutes() -> None:
    berlin = datetime(2025, 3, 30, 3, 30, tzinfo=ZoneInfo("Europe/Berlin"))
    written = CODEC.encode(1, 1, 0.0, berlin, Stirred())["at"]
    assert written == berlin and written.tzinfo == timezone(timedelta(hours=2))
    odd = datetime(1890, 1, 1, tzinfo=timezone(timedelta(minutes=53, seconds=28)))
    assert tomllib.loads(tomli_w.dumps(CODEC.encode(1, 1, 0.0, odd, Stirred())))["at"] == odd


GOOD = CODEC.encode(5, 5, 1.0, AT, Ticked(1, True, ("lid off",)))
GOOD_READ = CODEC.encode(6, 6, 1.0, AT, Read(Warmth(63.5), "C", (63.0,)))


@pytest.mark.parametrize(
    ("base", "key", "value", "words"),
    [
        (GOOD, "seq", True, "an entry, seq: expected a whole number, found true"),
        (GOOD, "seq", 0, "an entry, seq: expected a whole number from 1, found 0"),
        (GOOD, "seq", None, "an entry, seq: expected a whole number, found nothing"),
        (GOOD, "act", 1.0, "entry 5, act: expected a whole number, found 1.0"),
        (GOOD, "more", 1, "entry 5, more: expected true or false, found 1"),
        (GOOD, "t", True, "entry 5, t: expected a number, found true"),
        (GOOD, "t", -0.5, "entry 5, t: expected seconds from 0, found -0.5"),
        (GOOD, "t", float("nan"), "entry 5, t: expected a finite number, found nan"),
        (GOOD, "at", AT.replace(tzinfo=None), "expected a time with its offset from UTC"),
        (GOOD, "at", AT.date(), "entry 5, at: expected a date and time, found a date"),
        (
            GOOD,
            "at",
            datetime.max.replace(tzinfo=timezone(-timedelta(seconds=50))),
            "between the years 1 and",
        ),
        (GOOD, "kind", 3, "entry 5, kind: expected a text, found 3"),
        (GOOD, "item", 2**63, "expected a whole number of at most 63 bits, found a number too large"),
        (GOOD, "item", "2", "entry 5, item: expected a whole number, found '2'"),
        (GOOD, "done", 1, "entry 5, done: expected true or false, found 1"),
        (GOOD, "words", "lid off", "entry 5, words: expected a row of values, found 'lid off'"),
        (GOOD, "words", ["a", 1], "entry 5, words: expected a text, found 1"),
        (GOOD, "words", [None], "entry 5, words: expected a text, found nothing"),
        (GOOD, "of", [True], "entry 5, of: expected a whole number, found true"),
        (GOOD_READ, "warmth", False, "entry 6, warmth: expected a number, found false"),
        (GOOD_READ, "warmth", float("inf"), "entry 6, warmth: expected a finite number, found inf"),
        (GOOD_READ, "warmth", 10**400, "expected a whole number of at most 63 bits, found a number too"),
        (GOOD_READ, "warmth", {"a": 1}, "entry 6, warmth: expected a number, found a dict"),
        (GOOD_READ, "spots", [63.0, "x\x1b"], "entry 6, spots: expected a number, found 'x\\x1b'"),
        (GOOD_READ, "unit", "K", "entry 6, unit: expected 'C' or 'F', found 'K'"),
        (GOOD_READ, "place", "\ud800", "entry 6, place: expected a text of whole characters"),
    ],
)
def test_a_value_of_another_type_is_refused_with_its_place(
    base: dict[str, Any], key: str, value: object, words: str
) -> None:
    with pytest.raises(BadEntry) as caught:
        CODEC.decode({**base, key: value})
    assert words in str(caught.value) and str(caught.value).isascii()
    assert f"{caught.value.where}: {caught.value.what}" == str(caught.value)


@pytest.mark.parametrize("missing", ["item", "done", "words"])
def test_a_field_that_must_be_there_is_missed(missing: str) -> None:
    with pytest.raises(BadEntry, match=f"entry 5, {missing}: is missing"):
        CODEC.decode({key: value for key, value in GOOD.items() if key != missing})


@pytest.mark.parametrize(
    ("fact", "where"),
    [
        (Read(Warmth(float("nan")), "C"), "entry 1, warmth"),
        (Read(True, "C"), "entry 1, warmth"),  # type: ignore[arg-type]
        (Read(Warmth(1.0), "C", (float("inf"),)), "entry 1, spots"),
        (Read(Warmth(1.0), "C", place="\udc80"), "entry 1, place"),
        (Ticked(1.5, True, ()), "entry 1, item"),  # type: ignore[arg-type]
        (Ticked(2**63, True, ()), "entry 1, item"),
        (Ticked(1, None, ()), "entry 1, done"),  # type: ignore[arg-type]
    ],
)
def test_what_could_not_be_read_back_is_never_written(fact: object, where: str) -> None:
    with pytest.raises(BadEntry) as caught:
        CODEC.encode(1, 1, 0.0, AT, fact)
    assert caught.value.where == where


def test_an_unknown_kind_is_named_both_ways() -> None:
    with pytest.raises(UnknownKind) as caught:
        CODEC.decode({**GOOD, "kind": "sung\x1b[2J"})
    assert caught.value.name == "sung\x1b[2J" and str(caught.value).isascii()
    with pytest.raises(UnknownKind) as caught:
        CODEC.encode(1, 1, 0.0, AT, object())
    assert caught.value.name == "object"


@dataclass(frozen=True)
class Deep:
    parts: dict[str, int]


@dataclass(frozen=True)
class Choice:
    value: int | str


@dataclass(frozen=True)
class Pair:
    both: tuple[int, int]


@dataclass(frozen=True)
class Taken:
    kind: str


@dataclass(frozen=True)
class Halfway:
    share: Literal[None]


@pytest.mark.parametrize("unfit", [Deep, Choice, Pair, Taken, Halfway, int])
def test_a_kind_that_cannot_be_flat_is_refused_at_once(unfit: type) -> None:
    with pytest.raises(TypeError):
        Codec({"unfit": unfit})


def test_one_type_cannot_be_two_kinds() -> None:
    with pytest.raises(TypeError, match="two kinds"):
        Codec({"stirred": Stirred, "mixed": Stirred})
