"""One number on a line, or none: what a thermometer may write, and what is not taken for a temperature.

Expected values are what stands on the line; Fahrenheit is derived from (F - 32) * 5 / 9.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.probe_line import celsius_in, compiled
from mashday.quantities import Unreadable


@pytest.mark.parametrize(
    ("line", "celsius"),
    [
        ("64.5", 64.5),
        ("64,5", 64.5),
        ("64,500", 64.5),
        ("  -3.25\r", -3.25),
        ("\N{MINUS SIGN}3", -3.0),
        ("+4", 4.0),
        ("064.5", 64.5),
        ("\ufeff64.5", 64.5),
        ("T=64.5", 64.5),
        ("temp: 64.5 C", 64.5),
        ("Temperature 64.5", 64.5),
        ("[64.5]", 64.5),
        ('"64.5";', 64.5),
        ("64.5\N{DEGREE SIGN}C", 64.5),
        ("64.5 \N{REPLACEMENT CHARACTER}C", 64.5),
        ("64.5 degC", 64.5),
        ("64.5 deg", 64.5),
        ("148.1F", 64.5),
        ("148.1 deg F", 64.5),
        ("148.1 Fahrenheit", 64.5),
    ],
)
def test_one_number_is_read(line, celsius):
    assert celsius_in(line) == pytest.approx(celsius)


def test_a_number_without_a_unit_takes_that_of_the_probe_and_one_with_a_unit_its_own():
    assert celsius_in("148.1", "F") == pytest.approx(64.5)
    assert celsius_in("64.5 C", "F") == pytest.approx(64.5)


def test_a_number_is_never_cut_to_fit():
    assert celsius_in("1062") == 1062.0


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("28-00 64.5", "two numbers: '28-00 64.5'; give a pattern"),
        ("28-64.5", "two numbers"),
        ("64.5 12.0 3", "3 numbers"),
        ("1e5", "two numbers"),
        ("0x41", "two numbers"),
        ("6\x004.5", "two numbers"),
        ("\x1b[32m64.5\x1b[0m", "numbers"),
        ("64.5.2", "not one whole number"),
        ("64.", "not one whole number"),
        (".5", "not one whole number"),
        ("1,062.5", "not one whole number"),
        ("1,062", "could be thousands or decimals"),
        ("123456789", "not one whole number"),
        ("", "no number"),
        ("nan", "no number"),
        ("inf", "no number"),
        ("Error 12", "need not be a temperature"),
        ("Humidity: 45", "need not be a temperature"),
        ("45 %", "need not be a temperature"),
        ("64.5 K", "need not be a temperature"),
        ("64.5 Cats", "need not be a temperature"),
        ("Pt100", "need not be a temperature"),
        ("T-64.5", "need not be a temperature"),
        ("- 5", "need not be a temperature"),
        ("--5", "need not be a temperature"),
        ('{"temperature": 64.5}', "give a pattern"),
        ("\u0666\u0664", "not 0 to 9"),
        ("\uff16\uff14", "not 0 to 9"),
        ("6\u00b2", "not 0 to 9"),
    ],
)
def test_what_is_not_one_temperature_is_unreadable_and_says_why(line, why):
    with pytest.raises(Unreadable) as caught:
        celsius_in(line)
    assert why in str(caught.value)
    assert str(caught.value).isascii() and str(caught.value).isprintable()


PATTERN = compiled("T=(?P<value>[-0-9.,]+)")


@pytest.mark.parametrize(
    ("line", "unit", "celsius"),
    [
        ("28-00 T=64.5 H=40", "C", 64.5),
        ("28-00 T=-3,5", "C", -3.5),
        ("T=148.1", "F", 64.5),
        ("T=148.1F H=40", "C", 64.5),
        ("T=64.5 C", "F", 64.5),
    ],
)
def test_a_pattern_finds_the_number_among_others(line, unit, celsius):
    assert celsius_in(line, unit, PATTERN) == pytest.approx(celsius)


def test_a_message_in_json_is_read_by_a_pattern():
    pattern = compiled(r'"temperature"\s*:\s*(?P<value>-?[0-9.]+)')
    assert celsius_in('{"battery": 98, "temperature": 64.5, "unit": 1}', "C", pattern) == 64.5


@pytest.mark.parametrize(
    ("pattern", "line", "why"),
    [
        (PATTERN, "H=40", "finds nothing"),
        (PATTERN, "T=64.5 T=3", "more than one number"),
        (PATTERN, "T=-", "finds no number"),
        (PATTERN, "T=64.5.1", "not one whole number"),
        (PATTERN, "T=" + "6" * 600, "a line of 602 characters"),
        (compiled("T=(?P<value>[0-9])"), "T=64.5", "cuts a number"),
        (compiled("(?P<value>[0-9])$"), "64.5", "cuts a number"),
        (compiled("(?P<value>.*)"), "64.5 H", "finds no number"),
    ],
)
def test_a_pattern_that_does_not_find_one_number_is_told(pattern, line, why):
    with pytest.raises(Unreadable, match=why):
        celsius_in(line, "C", pattern)


@pytest.mark.parametrize("pattern", ["(", "[0-9]+", "(?P<other>[0-9]+)"])
def test_a_pattern_without_its_group_is_none(pattern):
    with pytest.raises(ValueError, match=r"not a regular|no group"):
        compiled(pattern)


@given(st.text(max_size=60), st.sampled_from([None, PATTERN]))
def test_any_line_is_read_or_refused(line, pattern):
    try:
        assert isinstance(celsius_in(line, "C", pattern), float)
    except Unreadable as error:
        assert str(error).isprintable()


@given(
    st.integers(-9999, 99999),
    st.sampled_from([".", ","]),
    st.sampled_from(["", " C", "C", " degC", "\N{DEGREE SIGN}C"]),
)
def test_every_way_to_write_a_number_is_read_as_that_number(hundredths, point, unit):
    sign, whole, part = "-" * (hundredths < 0), *divmod(abs(hundredths), 100)
    assert celsius_in(f"T = {sign}{whole}{point}{part:02d}{unit}") == pytest.approx(hundredths / 100)


@given(
    st.lists(st.integers(0, 150), min_size=2, max_size=4),
    st.sampled_from([" ", ";", "-", "/", " C, ", "e", ":"]),
)
def test_several_numbers_are_never_read_as_one(numbers, between):
    with pytest.raises(Unreadable):
        celsius_in(between.join(map(str, numbers)))
