"""The table of keys."""

from __future__ import annotations

import pytest

from mashday.faces.tell import MOVES
from mashday.faces.tui import keys as table
from mashday.faces.tui.keys import KEYS, NUMBER_ROW, name_of, remapped, rows


def test_no_key_has_two_meanings() -> None:
    pressed = [one for key in KEYS for one in key.keys]
    assert len(pressed) == len(set(pressed))


def test_no_key_begins_a_number() -> None:
    assert not {one for key in KEYS for one in key.keys} & set("0123456789.,")


def test_every_move_a_key_needs_is_a_move_of_the_view() -> None:
    assert {key.move for key in KEYS if key.move} <= set(MOVES.values())


def test_whatever_moves_the_day_on_waits_for_a_lone_key() -> None:
    assert {"next", "skip", "undo", "start", "hold", "quit"} <= {key.name for key in KEYS if key.calm}


def test_enter_and_space_move_nothing_on() -> None:
    assert name_of(KEYS, "enter", "\r") == "commit"
    assert name_of(KEYS, "space", " ") == "ok"


@pytest.mark.parametrize(
    ("key", "character", "name"),
    [
        ("plus", "+", "next"),
        ("add", "+", "next"),
        ("n", "n", "done"),
        ("N", "N", "done"),
        ("subtract", "-", "undo"),
        ("ctrl+j", "\n", "commit"),
        ("ctrl+c", "\x03", "quit"),
        ("left_shift", None, None),
        ("home", None, None),
        ("é", "é", None),
    ],
)
def test_a_key_goes_by_its_character(key: str, character: str | None, name: str | None) -> None:
    # key names of keypads under the kitty protocol: as the toolkit's parser gives them
    assert name_of(KEYS, key, character) == name


def test_other_keys_can_be_given() -> None:
    keys = remapped({"next": ["f5", "#"], "why": "%"})
    assert name_of(keys, "f5", None) == "next"
    assert name_of(keys, "percent_sign", "%") == "why"
    assert name_of(keys, "plus", "+") is None


def test_control_c_leaves_whatever_is_said() -> None:
    assert name_of(remapped({"quit": "$"}), "ctrl+c", "\x03") == "quit"


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"nxt": "n"}, "no key is called 'nxt'"),
        ({"next": "7"}, "begins a number"),
        ({"next": ","}, "begins a number"),
        ({"next": "w"}, "two meanings"),
        ({"next": []}, "no key left"),
        ({"next": ""}, "no key"),
        ({"next": "\x1b[2J"}, "no key"),
    ],
)
def test_keys_that_cannot_be_are_refused_in_a_sentence(other: dict[str, str], said: str) -> None:
    with pytest.raises(ValueError, match=said) as refused:
        remapped(other)
    assert "\x1b" not in str(refused.value)


def test_the_help_page_and_the_readme_table_name_every_key() -> None:
    page, readme = "\n".join((NUMBER_ROW, *rows(KEYS))), table.table()
    for key in KEYS:
        assert key.does in page
        assert key.does in readme
        assert key.shown in page
