"""The curve as SVG: everything inside its frame, marks apart, labels that keep clear of each other."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.report.curve_svg import LETTER, WIDTH, Curve, Dot, Event, Stretch, curve_svg

BEGAN = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
REST = Stretch("4 rest", 40.0, 100.0, 63.0, 1.0)


def clock(minute: float) -> datetime:
    return BEGAN + timedelta(minutes=minute)


def from_hour(hour: int) -> Callable[[float], datetime]:
    return lambda minute: BEGAN.replace(hour=hour) + timedelta(minutes=minute)


def curve(*dots: Dot, stretches: tuple[Stretch, ...] = (REST,), ends: float = 170.0, **more: object) -> Curve:
    return Curve("Temperature", "what it shows", ends, stretches, dots, **more)  # type: ignore[arg-type]


def drawn(one: Curve, units: str = "metric", at: Callable[[float], datetime] = clock) -> ElementTree.Element:
    return ElementTree.fromstring(curve_svg(one, at, units))  # type: ignore[arg-type]


def texts(root: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in root.iter("text")]


def test_a_reading_on_its_target_lies_on_the_line_of_the_target() -> None:
    root = drawn(curve(Dot(60.0, 63.0)))
    (dot,) = root.iter("circle")
    line = next(one for one in root.iter("line") if one.get("stroke-width") == "1.4")
    assert dot.get("cy") == line.get("y1") == line.get("y2")
    assert float(line.get("x1") or 0) < float(dot.get("cx") or 0) < float(line.get("x2") or 0)


def test_the_band_reaches_as_far_up_as_down() -> None:
    root = drawn(curve(Dot(60.0, 63.0), Dot(61.0, 64.0), Dot(62.0, 62.0)))
    band = next(root.iter("rect"))
    _, top, bottom = (float(dot.get("cy") or 0) for dot in root.iter("circle"))
    assert float(band.get("y") or 0) == pytest.approx(top, abs=0.11)
    assert float(band.get("height") or 0) == pytest.approx(bottom - top, abs=0.21)


def test_each_kind_of_mark_is_its_own() -> None:
    root = drawn(
        curve(
            Dot(60.0, 63.0),
            Dot(65.0, 62.0, "assumed"),
            Dot(70.0, 62.5, "struck"),
            additions=(Event(50.0, "1.10 L"),),
            remedies=(Event(46.0, "1"),),
            holds=((80.0, 90.0),),
        )
    )
    filled = [dot.get("fill") for dot in root.iter("circle") if float(dot.get("r") or 0) < 5.0]
    assert filled == ["#000", "#fff"]
    assert len(list(root.iter("path"))) == 2
    assert {"1.10 L", "1", "held"} <= set(texts(root))


def test_an_amount_is_left_to_the_table_where_the_next_arrow_stands_on_it() -> None:
    near, apart = (
        texts(drawn(curve(additions=(Event(50.0, "1.10 L"), Event(minute, "0.30 L"))))) for minute in (54, 90)
    )
    assert "1.10 L" not in near and "0.30 L" in near
    assert {"1.10 L", "0.30 L"} <= set(apart)


def test_a_reading_struck_out_does_not_stretch_the_axis() -> None:
    plain, with_slip = (
        drawn(curve(Dot(60.0, 63.0))),
        drawn(curve(Dot(60.0, 63.0), Dot(61.0, 630.0, "struck"))),
    )
    assert next(plain.iter("circle")).get("cy") == next(with_slip.iter("circle")).get("cy")
    assert "630.0" in texts(with_slip)


def test_the_axis_is_in_the_units_of_the_person() -> None:
    metric, us = (texts(drawn(curve(Dot(60.0, 63.0)), units)) for units in ("metric", "us"))
    assert "C" in metric and "63" in metric
    assert "F" in us and "146" in us


def test_the_ticks_stand_at_round_clock_times() -> None:
    one = curve(Dot(60.0, 63.0), stretches=())
    shown = texts(
        drawn(one, at=lambda minute: BEGAN.replace(minute=7, second=31) + timedelta(minutes=minute))
    )
    ticks = [text for text in shown if re.fullmatch(r"\d\d:\d\d", text)]
    # derived: 170 minutes in at most eleven parts of 5, 10, 15 or 30 minutes are parts of 30
    assert ticks == ["10:30", "11:00", "11:30", "12:00", "12:30"]


def test_a_day_over_midnight_says_the_new_date() -> None:
    assert "2026-10-04" in texts(drawn(curve(Dot(200.0, 63.0), ends=300.0), at=from_hour(22)))
    assert "2026-10-04" not in texts(drawn(curve(Dot(60.0, 63.0))))


def test_every_step_is_named_with_its_clock_time() -> None:
    shown = texts(drawn(curve(stretches=(Stretch("1 set-up", 0.0, 40.0), REST))))
    assert {"10:00 1 set-up", "10:40 4 rest"} <= set(shown)


def test_the_names_of_steps_never_run_into_each_other() -> None:
    steps = tuple(Stretch(f"{n} a step of some name", 3.0 * n, 3.0 * n + 3.0, 60.0) for n in range(1, 17))
    root = drawn(curve(stretches=steps, ends=300.0))
    labels = [label for label in root.iter("text") if re.match(r"\d\d:\d\d \d", label.text or "")]
    assert len(labels) >= 6
    for one, other in combinations(labels, 2):
        if one.get("y") == other.get("y"):
            first, second = sorted((one, other), key=lambda label: float(label.get("x") or 0))
            end = float(first.get("x") or 0) + LETTER * len(first.text or "")
            assert end < float(second.get("x") or 0) + 1.0


@pytest.mark.parametrize("one", [curve(stretches=()), curve(stretches=(Stretch("1 set-up", 0.0, 20.0),))])
def test_without_reading_and_target_nothing_is_drawn(one: Curve) -> None:
    assert curve_svg(one, clock, "metric") == ""


def test_one_reading_and_nothing_else_is_drawn() -> None:
    root = drawn(curve(Dot(2.0, 63.0), stretches=(), ends=2.0))
    assert len(list(root.iter("circle"))) == 1


def test_it_is_told_to_who_cannot_see_it() -> None:
    root = drawn(curve(Dot(60.0, 63.0)))
    assert root.get("role") == "img"
    assert (root.findtext("title"), root.findtext("desc")) == ("Temperature", "what it shows")


def test_no_text_is_markup() -> None:
    one = Curve("<script>&", "</svg>", 100.0, (Stretch("<b>\u202e&", 0.0, 100.0, 60.0),), (Dot(1.0, 60.0),))
    assert "<script" not in curve_svg(one, clock, "metric")
    assert drawn(one).findtext("title") == "<script>&"


@given(
    st.lists(
        st.tuples(
            st.floats(-50.0, 5000.0), st.floats(-20.0, 2000.0), st.sampled_from(("read", "assumed", "struck"))
        ),
        max_size=20,
    ),
    st.lists(st.tuples(st.floats(0.0, 3000.0), st.floats(0.0, 2000.0), st.floats(0.0, 110.0)), max_size=8),
    st.floats(0.0, 100_000.0),
    st.sampled_from(("metric", "us")),
)
def test_whatever_the_day_was_everything_lies_inside_the_drawing(
    dots: list[tuple[float, float, str]],
    steps: list[tuple[float, float, float]],
    ends: float,
    units: str,
) -> None:
    stretches = tuple(Stretch("a step", began, began + long, target, 1.0) for began, long, target in steps)
    one = curve(*(Dot(*dot) for dot in dots), stretches=stretches, ends=ends)  # type: ignore[arg-type]
    if not dots and not steps:
        return
    root = drawn(one, units)
    height = float((root.get("viewBox") or "").split()[3])
    for circle in root.iter("circle"):
        assert 0.0 <= float(circle.get("cx") or -1) <= WIDTH
        assert 0.0 <= float(circle.get("cy") or -1) <= height
    for line in root.iter("line"):
        assert all(0.0 <= float(line.get(name) or -1) <= WIDTH for name in ("x1", "x2"))
        assert all(0.0 <= float(line.get(name) or -1) <= height for name in ("y1", "y2"))
    assert len(list(root.iter("text"))) < 120


def test_the_readings_of_a_step_are_joined_and_those_struck_out_are_not() -> None:
    (line,) = drawn(curve(Dot(20.0, 60.0), Dot(50.0, 62.0), Dot(60.0, 95.0, "struck"), Dot(70.0, 63.0))).iter(
        "polyline"
    )
    assert len((line.get("points") or "").split()) == 2
