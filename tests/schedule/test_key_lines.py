from __future__ import annotations

import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.schedule.lines import key_lines, line_of

TEXT = (
    '''\
format = 1  # a note with [brackets] and "marks"
name = "not # a note, not ] a bracket"
pot.volume = "33 L"

[place]
notes = """
room = "19 C"
[grain]
"""
"a.b" . 'c d' = 1
[[grain]]
name="malt"
[[step]]
kind = "rest"
checklist = [
    "one",  # a note, with a comma
    "two ]",
    ["deeper"],
]
inside = { a = 1.5, b = { c = 2026-10-03T07:32:00Z } }
[step.below]
key = 'it''s' # '''.replace("''s'", "s'")
    + """
[[step]]
kind = "boil"
"""
)


def test_each_key_table_and_item_has_its_line():
    tomllib.loads(TEXT)
    lines = key_lines(TEXT)
    assert lines[("format",)] == 1
    assert lines[("name",)] == 2
    assert lines[("pot",)] == 3
    assert lines[("pot", "volume")] == 3
    assert lines[("place",)] == 5
    assert lines[("place", "notes")] == 6
    assert ("place", "room") not in lines
    assert lines[("place", "a.b", "c d")] == 10
    assert lines[("grain", 0, "name")] == 12
    assert lines[("step", 0)] == 13
    assert lines[("step", 0, "checklist")] == 15
    assert lines[("step", 0, "checklist", 1)] == 17
    assert lines[("step", 0, "checklist", 2, 0)] == 18
    assert lines[("step", 0, "inside", "a")] == 20
    assert lines[("step", 0, "inside", "b", "c")] == 20
    assert lines[("step", 0, "below", "key")] == 22
    assert lines[("step", 1, "kind")] == 24


def test_a_key_that_is_missing_has_the_line_of_its_table():
    lines = key_lines(TEXT)
    assert line_of(("step", 1, "time"), lines) == 23
    assert line_of(("aim", "wash"), lines) is None
    assert line_of((), lines) is None


def test_lines_are_the_same_with_carriage_returns():
    assert key_lines(TEXT.replace("\n", "\r\n")) == key_lines(TEXT)


def paths(value, path=()):
    if isinstance(value, dict):
        for key, item in value.items():
            yield (*path, key)
            yield from paths(item, (*path, key))
    elif isinstance(value, list):
        for place, item in enumerate(value):
            yield (*path, place)
            yield from paths(item, (*path, place))


PIECES = st.sampled_from(
    [
        "a = 1\n",
        "b = 'x#]'\n",
        'c = """\nx = 1\n"""\n',
        "d = [1, [2,\n 3], {e = 1}]\n",
        "[t]\n",
        "[t.u]\n",
        "[[s]]\n",
        "[[s.v]]\n",
        "[s.w]\n",
        "k.l = 1.5\n",
        "# note '\n",
        "\n",
        "'q.r' = {x = {y = '}'}}\n",
    ]
)


@given(st.lists(PIECES, max_size=12))
@settings(max_examples=300, deadline=None)
def test_every_path_of_any_sound_text_has_a_line(pieces):
    text = "".join(pieces)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = key_lines(text)
    assert set(paths(data)) <= set(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())
