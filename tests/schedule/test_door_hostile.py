"""Hostile files: each is refused with the one error, in bounded words; nothing else comes out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from mashday.schedule import door
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.samples import sample_text

SAMPLE = sample_text("lock-seven-barley")
BIG = "9" * 990

HOSTILE: dict[str, str | bytes] = {
    "nothing": "",
    "zero bytes": b"\0" * 100,
    "not utf-8": b"name = '\xff\xfe'",
    "utf-16": SAMPLE.encode("utf-16"),
    "latin-1": "name = 'Caf\u00e9'".encode("latin-1"),
    "too many bytes": b"#" * (door.LONGEST_FILE + 1),
    "too many bytes once encoded": "# \u00e9\n" * (door.LONGEST_FILE // 4 + 1),
    "a lone surrogate": 'name = "\ud800"',
    "a long line": "a = '" + "x" * 1000 + "'",
    "a dotted key": ".".join("a" * 60) + " = 1",
    "quoted dotted keys": ".".join(['"a"'] * 60) + " = 1",
    "storm of dotted keys": "\n".join(f"{'.'.join(f'k{i}' for _ in range(41))} = {i}" for i in range(400)),
    "deep lists": "a = " + "[" * 490 + "]" * 490,
    "deep lists over many lines": "a = " + ("[" * 900 + "\n") * 60,
    "deep tables": "a = " + "{b = " * 190 + "1" + "}" * 190,
    "a long number": f"a = {BIG}",
    "a long hex number": f"a = 0x{'f' * 990}",
    "a long number over format": f"format = {BIG}",
    "a long number for text": f"name = {BIG}",
    "a huge float": "a = 1e999",
    "nan and inf": "[pot]\nvolume = nan\nmass = -inf",
    "true for a number": "format = true\n[pot]\nheater_efficiency = true\n[refractometer]\nfactor = true",
    "an escape in a key": '"\\u001b[2J" = 1\n"\\u009b" = 2',
    "an escape in a step key": '[[step]]\nkind = "rest"\n"\\u001b]0;x\\u0007" = 1',
    "an escape in text": 'name = "\\u001b[2J"',
    "raw c1": 'name = "\u009b2J"',
    "bidi": 'name = "\u202eabc"',
    "zero width": 'name = "a\u200bb"',
    "a pile of marks": 'name = "a' + "\u0301" * 300 + '"',
    "a number too long inside a quantity": f'[pot]\nvolume = "{BIG} L"',
    "a power inside a quantity": '[pot]\nvolume = "9 L**9**9**9"',
    "thousands of unknown keys": "\n".join(f"k{i} = 0" for i in range(6000)),
    "thousands of quoted keys": "\n".join(f'"{i}"=0' for i in range(6000)),
    "thousands of steps": "[[step]]\n" * 6000,
    "thousands of grains": '[[grain]]\nkind="x"\n' * 3000,
    "thousands of same grains": "[[grain]]\nname='x'\n" * 3000,
    "thousands of list items": "step = [" + "1,\n" * 20000 + "]",
    "a table for everything": "\n".join(f"[{k}]" for k in ("format", "name", "pot", "step", "grain", "aim")),
    "a list for everything": "\n".join(
        f"{k} = []" for k in ("format", "name", "pot", "step", "grain", "aim")
    ),
    "thousands of strange units": "step = [" + ",\n".join("{band = '1 q w/e r'}" for _ in range(3000)) + "]",
    "thousands of long units": "step = ["
    + ",\n".join(f"{{band='1 {'mega' * 10}m'}}" for _ in range(1000))
    + "]",
    "lists for names": "[[step]]\nkind = ['rest']\n[[grain]]\nname = {a = 1}\nkind = []",
}


def only_bad_schedule(text: str | bytes) -> None:
    try:
        schedule = load(text)
    except BadSchedule as error:
        assert error.problems
        assert len(error.problems) <= door.MOST_PROBLEMS + 1
        for problem in error.problems:
            assert len(str(problem)) < 1000
            assert str(problem).isascii()
            assert str(problem).isprintable()
            assert problem.line is None or problem.line >= 1
    else:
        assert all(math.isfinite(number) for number in numbers(schedule))


def numbers(value: object):
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from numbers(getattr(value, name))
    elif isinstance(value, tuple):
        for item in value:
            yield from numbers(item)
    elif isinstance(value, float):
        yield value


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_in_bounded_words(name):
    with pytest.raises(BadSchedule):
        load(HOSTILE[name])
    only_bad_schedule(HOSTILE[name])


def test_the_largest_file_that_is_taken_is_taken():
    padding = "#\n" * ((door.LONGEST_FILE - len(SAMPLE)) // 2)
    assert load(SAMPLE + padding) == load(SAMPLE)


def test_a_comment_or_a_text_may_hold_many_dots():
    assert load(f"# {'.' * 200}\n" + SAMPLE.replace("notes = ", f'notes = "{"." * 200}" #'))


def test_sixty_steps_are_taken_and_one_more_is_not():
    head = SAMPLE[: SAMPLE.index("[[grain]]")]
    step = '[[step]]\nkind = "do"\ntext = "again"\n'
    assert len(load(head + step * 60).steps) == 60
    with pytest.raises(BadSchedule) as caught:
        load(head + step * 61)
    assert "there are 61 of them; 60 is the most" in str(caught.value)


def test_more_problems_than_anybody_reads_are_cut_with_a_word():
    with pytest.raises(BadSchedule) as caught:
        load("\n".join(f"k{i} = 0" for i in range(1000)))
    assert "there are more problems than these; mend these first" in str(caught.value)


@given(st.data())
@settings(max_examples=120, deadline=None)
def test_a_sample_with_bytes_changed_loads_or_is_a_bad_schedule(data):
    text = bytearray(SAMPLE.encode())
    for _ in range(data.draw(st.integers(1, 8))):
        place = data.draw(st.integers(0, len(text) - 1))
        match data.draw(st.integers(0, 2)):
            case 0:
                text[place] = data.draw(st.integers(0, 255))
            case 1:
                del text[place : place + data.draw(st.integers(1, 40))]
            case _:
                text[place:place] = data.draw(
                    st.sampled_from([b"[", b"]", b'"', b"=", b".", b"\n", b"nan", b"\xc2\x9b"])
                )
    only_bad_schedule(bytes(text))


KEYS = st.sampled_from(
    [
        "format",
        "name",
        "pot",
        "volume",
        "step",
        "kind",
        "grain",
        "time",
        "target",
        "water",
        "mass",
        "aim",
        "band",
        "x",
    ]
)
VALUES = st.recursive(
    st.one_of(
        st.sampled_from(["1", "0", "-1", "true", "nan", "inf", "1.5", "2026-10-03", "1e400"]),
        st.sampled_from(
            ["'rest'", "'63 C'", "'15 L'", "'60 min'", "'dough-in'", "'heat'", "'cook'", "'0 K'", "''"]
        ),
        st.text(max_size=10).map(lambda text: '"' + "".join(f"\\U{ord(c):08x}" for c in text) + '"'),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(KEYS, inner, max_size=3).map(
            lambda table: "{" + ", ".join(f"{key} = {value}" for key, value in table.items()) + "}"
        ),
    ),
    max_leaves=6,
)
LINES = st.one_of(
    st.tuples(KEYS, VALUES).map(lambda pair: f"{pair[0]} = {pair[1]}"),
    KEYS.map(lambda key: f"[{key}]"),
    KEYS.map(lambda key: f"[[{key}]]"),
)


@given(st.lists(LINES, max_size=25))
@settings(max_examples=120, deadline=None)
def test_any_document_loads_or_is_a_bad_schedule(lines):
    only_bad_schedule("\n".join(lines))


@given(st.one_of(st.text(max_size=200), st.binary(max_size=200)))
@settings(max_examples=100, deadline=None)
def test_any_text_or_bytes_load_or_are_a_bad_schedule(text):
    only_bad_schedule(text)
