"""The temperature curve as lines of text."""

from __future__ import annotations

from mashday.faces.tui.curve import curve_rows
from mashday.faces.view import Band, Curve

RESTING = Curve(
    readings=((5.0, 30.0), (40.0, 63.0), (60.0, 61.0)),
    bands=(Band(35.0, 60.0, 63.0, 1.0),),
    additions=(50.0,),
    now_minute=60.0,
)


def drawn(
    curve: Curve = RESTING, width: int = 60, height: int = 12, *, ascii_only: bool = False
) -> list[str]:
    return curve_rows(curve, width, height, "metric", ascii_only=ascii_only)


def test_it_fills_its_room_exactly() -> None:
    rows = drawn()
    assert len(rows) == 12
    assert all(len(row) <= 60 for row in rows)


def test_a_reading_below_the_band_stands_below_it() -> None:
    rows = drawn()
    band = [y for y, row in enumerate(rows) if "░" in row]
    marks = [y for y, row in enumerate(rows) if "●" in row]
    assert len(marks) == 2  # the one before the rest is left out
    assert marks[0] in band
    assert marks[1] > band[-1]


def test_the_target_is_marked_on_the_axis_without_colour() -> None:
    marked = [row for row in drawn() if "╪" in row]
    assert len(marked) == 1
    assert marked[0].startswith(" 63.0")


def test_water_added_has_its_mark() -> None:
    assert "^" in "\n".join(drawn())


def test_it_can_do_with_ascii() -> None:
    assert "\n".join(drawn(ascii_only=True)).isascii()
    assert "o" in "\n".join(drawn(ascii_only=True))


def test_it_shows_the_persons_units() -> None:
    rows = curve_rows(RESTING, 60, 12, "us", ascii_only=False)
    assert any(row.startswith("145.4") for row in rows)  # derived: 63 C = 145.4 F


def test_a_long_day_shows_its_newest_two_hours() -> None:
    curve = Curve(readings=((10.0, 20.0), (290.0, 30.0), (300.0, 25.0)), now_minute=300.0)
    assert drawn(curve)[-1].split()[0] == "180"  # derived: 300 - 120


def test_nothing_is_drawn_where_there_is_nothing_or_no_room() -> None:
    assert drawn(Curve()) == []
    assert drawn(width=23) == []
    assert drawn(height=3) == []
