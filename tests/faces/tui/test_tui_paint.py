"""The board as rows: sizes, what must be on it, and text that would harm a terminal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces.tui import digits
from mashday.faces.tui.paint import DIGITS_LEAST, Shown, paint
from mashday.faces.tui.rows import fold, harmless, text_of, width_of
from mashday.faces.view import CallLine, Curve, ItemLine, StepLine, View, WayLine

SIZES = [(60, 20), (80, 24), (120, 40), (200, 60)]
VIEW = View(
    name="Lock Seven barley wash",
    phase="running",
    time_of_day="10:52",
    step_number=4,
    step_count=9,
    step_title="Rest",
    instruction="Rest at 63.0 C: lid on, leave it alone",
    countdown="45:30",
    countdown_label="left of rest",
    target="63.0 C, give or take 1.0 C",
    last_reading="61.2 C, 9 min ago",
    verdict="1.8 C low",
    good=False,
    question="mash temperature",
    question_unit="C",
    question_due="in 11 min",
    steps=tuple(
        StepLine(
            number,
            f"Step {number}",
            "now" if number == 4 else "to come",
            "10:00",
            "10:05",
            "30 min",
            "63.0 C",
        )
        for number in range(1, 10)
    ),
    curve=Curve(readings=((35.0, 63.0), (50.0, 62.4)), now_minute=52.0),
    outlook=("wash about 19.8 L at 1.065",),
    cautions=("Hot: gloves on.",),
)
CALL = CallLine("temperature-4-1", "Mash temperature is due", "now", True, False)
HOSTILE = "[/b][@click=app.quit]x[/] \x1b]0;owned\x07\x9b31m\r\u202eabc"


def rows_lit(shown: Shown, width: int, height: int) -> int:
    """Rows in which a cell of the large digits is lit."""
    return sum(any("digits" in style for _, style in row) for row in paint(shown, width, height))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "countdown", ["59:48", "00:07", "1:29:48", "12:29:48", "+02:34", "+12:34", "+1:12:34"]
)
def test_the_digits_take_a_fifth_of_the_rows(size: tuple[int, int], countdown: str) -> None:
    width, height = size
    shown = Shown(view=replace(VIEW, countdown=countdown, calls=(CALL,)))
    assert rows_lit(shown, width, height) >= DIGITS_LEAST * height  # 21 %: more than 14 mm at three metres


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "word", ["45:30", "10:52", "63.0 C", "61.2 C, 9 min ago", "1.8 C low", "Step 4", "in 11 min"]
)
def test_what_matters_stands_at_every_size_as_plain_text(size: tuple[int, int], word: str) -> None:
    assert word in text_of(paint(Shown(view=VIEW), *size))


@pytest.mark.parametrize("size", SIZES[1:])
def test_the_curve_stands_from_eighty_columns_on(size: tuple[int, int]) -> None:
    assert "●" in text_of(paint(Shown(view=VIEW), *size))


@pytest.mark.parametrize("size", SIZES)
def test_a_call_and_not_saved_stand_in_words_and_in_reverse(size: tuple[int, int]) -> None:
    view = replace(VIEW, calls=(CALL,), not_saved="The disk is full.", doubt="Is it 36.2? (Enter keeps it)")
    rows = paint(Shown(view=view), *size)
    text = text_of(rows)
    assert "CALL  Mash temperature is due" in text
    assert "NOT SAVED :save keeps the day elsewhere. The disk is full." in " ".join(text.split())
    assert "Is it 36.2?" in text
    reverse = [row for row in rows if row and row[0][1] in ("call", "danger")]
    assert len(reverse) >= 3
    assert all(width_of(row) == size[0] for row in reverse)


def test_more_calls_than_fit_are_counted() -> None:
    calls = tuple(replace(CALL, key=str(number)) for number in range(6))
    # derived: three of six are shown, MOST_CALLS
    assert "and 3 more" in text_of(paint(Shown(view=replace(VIEW, calls=calls)), 60, 20))


def test_an_acknowledged_call_leaves_the_board() -> None:
    view = replace(VIEW, calls=(replace(CALL, acknowledged=True),))
    assert "CALL" not in text_of(paint(Shown(view=view), 80, 24))


def test_a_snoozed_call_stays_and_says_how_long_it_is_quiet() -> None:
    view = replace(VIEW, calls=(replace(CALL, rings=False, quiet_seconds=118.2),))
    assert "(quiet 1:59 more)" in text_of(paint(Shown(view=view), 80, 24))


@pytest.mark.parametrize("size", SIZES)
def test_every_way_of_a_remedy_stands_with_its_number(size: tuple[int, int]) -> None:
    ways = tuple(
        WayLine(number, number != 3, f"way {number} of doing it", ("lands at about 63.0 C",))
        for number in range(1, 6)
    )
    view = replace(VIEW, remedy="61.2 C read, 1.8 C below 63.0 C", ways=ways, calls=(CALL,))
    text = text_of(paint(Shown(view=view), *size))
    assert all(f" {number}  way {number}" in text for number in range(1, 6))
    assert "1.8 C below 63.0 C" in text


@pytest.mark.parametrize("size", SIZES)
def test_a_checklist_shows_the_last_item_done_and_the_next(size: tuple[int, int]) -> None:
    items = tuple(
        ItemLine(number, f"item {number}", number <= 4, "ok" if number == 4 else "")
        for number in range(1, 13)
    )
    text = text_of(paint(Shown(view=replace(VIEW, countdown="", checklist=items)), *size))
    assert "4 of 12 done" in text
    assert "[x] item 4: ok" in text
    assert "[>] item 5" in text
    assert "item 3" not in text


def test_a_number_being_typed_stands_with_what_it_answers() -> None:
    text = text_of(paint(Shown(view=VIEW, entry="61.2", entry_label="mash temperature (C)"), 60, 20))
    assert "> 61.2_  mash temperature (C)" in text


@pytest.mark.parametrize(
    "size", [(20, 5), (25, 6), (33, 9), (40, 12), (1, 1), (5, 3), (19, 30), (300, 4), (300, 100)]
)
def test_no_size_breaks_the_board(size: tuple[int, int]) -> None:
    width, height = size
    view = replace(
        VIEW, calls=(CALL,), doubt="Sure?", not_saved="No.", remedy="off", ways=(WayLine(1, True, "x"),)
    )
    for shown in (
        Shown(view=view),
        Shown(view=VIEW),
        Shown(),
        Shown(page_title="Keys", page=("a" * 90, "b")),
    ):
        rows = paint(shown, width, height)
        assert len(rows) == height
        assert all(width_of(row) <= width for row in rows)


def test_a_terminal_too_small_to_read_says_so_and_still_calls() -> None:
    text = text_of(paint(Shown(view=replace(VIEW, calls=(CALL,))), 19, 8)).replace("\n", " ")
    assert "45:30" in text
    assert "CALL Mash temperature is due" in text
    assert "Terminal too small" in text


def test_the_smallest_board_still_says_what_to_do_and_what_calls() -> None:
    text = text_of(paint(Shown(view=replace(VIEW, calls=(CALL,))), 20, 5))
    assert "Rest at 63.0 C" in text
    assert "45:30" in text


def test_calls_stand_over_an_open_page() -> None:
    text = text_of(paint(Shown(view=replace(VIEW, calls=(CALL,)), page_title="Keys", page=("one",)), 60, 20))
    assert "CALL  Mash temperature is due" in text
    assert "45:30" in text


def test_a_long_page_can_be_read_to_its_end() -> None:
    page = tuple(f"line {number}" for number in range(100))
    shown = Shown(view=VIEW, page_title="Keys", page=page)
    assert "line 99" not in text_of(paint(shown, 80, 24))
    assert "line 99" in text_of(paint(replace(shown, page_top=10_000), 80, 24))


def test_nothing_but_ascii_is_drawn_where_the_terminal_takes_no_more() -> None:
    for size in SIZES:
        assert text_of(paint(Shown(view=VIEW, ascii_only=True), *size)).isascii()


def test_without_half_cells_the_digits_still_stand_large() -> None:
    rows = rows_lit(Shown(view=VIEW, ascii_only=True), 80, 24)
    assert rows == 5  # derived: five pixels of one row; 20.8 % of 24 rows


@given(st.text(max_size=60), st.integers(1, 130), st.integers(1, 45))
def test_no_text_leaves_its_row(text: str, width: int, height: int) -> None:
    view = replace(
        VIEW,
        name=text,
        step_title=text,
        instruction=text,
        last_reading=text,
        verdict=text,
        question=text,
        countdown_label=text,
        calls=(replace(CALL, text=text),),
        steps=(replace(VIEW.steps[0], title=text),),
        cautions=(text,),
        outlook=(text,),
    )
    shown = Shown(
        view=view, message=text, entry=text, entry_label=text, hints=((text, text), ("?", "help"), ("q", "l"))
    )
    for one in (shown, replace(shown, page_title=text, page=(text,))):
        assert all(width_of(row) <= width for row in paint(one, width, height))


@given(st.text(max_size=200), st.integers(4, 80))
def test_folding_keeps_every_line_within_its_width(text: str, width: int) -> None:
    assert all(width_of([(line, "")]) <= width for line in fold(text, width, 3))


def test_nothing_reaches_the_terminal_that_it_would_act_on() -> None:
    assert harmless("a\x1b[31mb\x9bc\u202ed\r\ne") == "a [31mb c d  e"


def test_brackets_are_shown_as_they_were_written() -> None:
    for size in SIZES:
        text = text_of(paint(Shown(view=replace(VIEW, instruction="[/b] [@click=app.quit]x[/]")), *size))
        assert "[/b] [@click=app.quit]x[/]" in text


@pytest.mark.parametrize(
    "state",
    [
        *("before", "set-up", "heating", "resting", "called", "off-target", "remedy", "pouring", "stirring"),
        *(
            "heat-off",
            "overdue",
            "soon",
            "starch",
            "held",
            "entry",
            "doubt",
            "finished",
            "live",
            "to-take",
            "stir",
        ),
    ],
)
@pytest.mark.parametrize("size", SIZES)
def test_the_screens_are_as_they_were_kept(
    state: str, size: tuple[int, int], day: Callable[[str], Any], as_kept: Callable[[str, str], None]
) -> None:
    as_kept(f"{state}-{size[0]}x{size[1]}", day(state).screen(*size))


def test_the_digits_are_drawn_from_the_countdown() -> None:
    rows = paint(Shown(view=VIEW, ascii_only=True), 80, 24)
    lit = [
        "".join("#" * len(text) if style == "digits" else " " * len(text) for text, style in row)
        for row in rows
    ]
    found = [line.strip() for line in lit if "#" in line]
    drawn = digits.bitmap("45:30", 3, 1)
    assert found == [row.replace("0", " ").replace("1", "#").strip() for row in drawn]


PROBE = "63.4 C, rising 1.5 C a minute"


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_what_a_probe_shows_stands_beside_what_can_be_typed(width: int, height: int) -> None:
    text = text_of(paint(Shown(VIEW, entry_label="a temperature, any time", probe=PROBE), width, height))
    assert "probe 63.4 C" in text


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_what_one_key_takes_stands_where_a_typed_number_would(width: int, height: int) -> None:
    label = "Enter takes what the probe shows: 63.4 C, steady"
    rows = paint(Shown(VIEW, entry_label=label, probe="63.4 C, steady", prefill="63.4 C"), width, height)
    (line,) = [text for text in text_of(rows).splitlines() if "Enter takes" in text]
    assert line.startswith(" > 63.4 C  Enter takes")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_live_number_is_large_where_the_step_waits_for_it(width: int, height: int) -> None:
    shown = Shown(VIEW, probe=PROBE, live="63.4")
    assert rows_lit(shown, width, height) >= DIGITS_LEAST * height
    assert "probe: 63.4 C" in text_of(paint(shown, width, height))
    typed = replace(shown, entry="70")
    assert paint(typed, width, height) != paint(shown, width, height)


def test_heat_off_stands_large_before_any_live_number() -> None:
    fire = CallLine("way-9", "Heat off now", "danger", True, False, way="fire")
    with_probe = Shown(replace(VIEW, calls=(fire,)), probe=PROBE, live="63.4")
    without = Shown(replace(VIEW, calls=(fire,)))
    large = [
        [row for row in paint(one, 80, 24) if any("digits" in s for _, s in row)]
        for one in (with_probe, without)
    ]
    assert [[text_of([row])[:40] for row in rows] for rows in large[:1]] == [
        [text_of([row])[:40] for row in rows] for rows in large[1:]
    ]
