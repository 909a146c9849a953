"""Large digits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces.tui import digits


def test_a_bitmap_is_what_was_drawn() -> None:
    # drawn by hand
    assert digits.bitmap("7", 1, 1) == ("111", "001", "010", "010", "010")
    assert digits.bitmap(":", 1, 1) == ("0", "1", "0", "1", "0")
    assert digits.bitmap("7:", 2, 1)[0] == "111111" + "00" + "00"


def test_no_two_digits_look_alike() -> None:
    assert len({digits.bitmap(one, 1, 1) for one in "0123456789"}) == 10


def test_a_countdown_says_its_hours_with_an_h_once_the_seconds_are_gone() -> None:
    assert digits.shorter("1:29:48") == ("1:29:48", "1h29")
    assert digits.shorter("+12:34") == ("+12:34", "+12'")
    assert digits.shorter("+02:34") == ("+02:34", "+2:34")
    assert digits.shorter("00:12") == ("00:12",)


@given(st.integers(1, 250), st.integers(1, 70), st.booleans())
def test_digits_never_leave_their_room(width: int, height: int, half: bool) -> None:
    for text in ("59:48", "1:29:48", "1h29", "+12'", "+1:12:34"):
        drawn = digits.cells(text, width, height, half=half)
        if drawn is not None:
            assert len(drawn) <= height
            assert {len(row) for row in drawn} == {len(drawn[0])}
            assert len(drawn[0]) <= width


@given(st.integers(20, 200), st.integers(5, 40))
def test_without_half_cells_every_cell_is_whole(width: int, height: int) -> None:
    drawn = digits.cells("12:05", width, height, half=False)
    assert drawn is not None
    assert {cell for row in drawn for cell in row} <= {("0", "0"), ("1", "1")}


@pytest.mark.parametrize("text", ["", "12:x5", "later"])
def test_what_has_no_shape_is_not_drawn(text: str) -> None:
    assert digits.cells(text, 80, 24, half=True) is None


def test_a_pixel_is_at_most_a_quarter_higher_than_wide() -> None:
    size = digits.scale("59:48", 60, 40, half=True)
    assert size is not None
    across, down = size
    assert down <= math.ceil(across * digits.TALLEST)
