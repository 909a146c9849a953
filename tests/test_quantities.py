"""Quantities as text and back. Factors are exact by definition unless a source stands beside them."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import get_args

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.quantities import (
    _US_WORDS,
    EXAMPLES,
    TABLE,
    Kind,
    Unreadable,
    in_units,
    parse,
    parse_gravity,
    show,
    system_of,
    unit_word,
)

KINDS = get_args(Kind)

# What pint calls the words that it reads otherwise or not at all; every other word is given to it as it is.
PINT_NAMES = {
    "c": "degC",
    "deg c": "degC",
    "degree c": "degC",
    "degrees c": "degC",
    "degc": "degC",
    "f": "degF",
    "deg f": "degF",
    "degree f": "degF",
    "degrees f": "degF",
    "degf": "degF",
    "k": "kelvin",
    "kilo": "kilogram",
    "kilos": "kilogram",
    "dl": "decilitre",
    "cl": "centilitre",
    "hl": "hectolitre",
    "ml": "millilitre",
    "us gal": "gallon",
    "us qt": "quart",
    "us pt": "pint",
    "fl oz": "fluid_ounce",
    "imp gal": "imperial_gallon",
    "imp qt": "imperial_quart",
    "imp pt": "imperial_pint",
    "imp fl oz": "imperial_fluid_ounce",
    "kw": "kilowatt",
    "w": "watt",
    "btu/h": "british_thermal_unit/hour",
    "w/k": "watt/kelvin",
    "w/c": "watt/delta_degC",
    "kw/k": "kilowatt/kelvin",
    "kj/k": "kilojoule/kelvin",
    "kj/c": "kilojoule/delta_degC",
    "j/k": "joule/kelvin",
    "kj": "kilojoule",
    "j": "joule",
    "wh": "watt_hour",
    "kwh": "kilowatt_hour",
    "btu": "british_thermal_unit",
    "kj/kg": "kilojoule/kilogram",
    "j/g": "joule/gram",
    "btu/lb": "british_thermal_unit/pound",
    "btu/f": "british_thermal_unit/delta_degF",
    "btu/h/f": "british_thermal_unit/hour/delta_degF",
    "btu/(h f)": "british_thermal_unit/hour/delta_degF",
    "kj/(kg k)": "kilojoule/kilogram/kelvin",
    "kj/kg/k": "kilojoule/kilogram/kelvin",
    "j/g/k": "joule/gram/kelvin",
    "btu/(lb f)": "british_thermal_unit/pound/delta_degF",
    "btu/lb/f": "british_thermal_unit/pound/delta_degF",
    "%": "percent",
    "per cent": "percent",
}
OWN_UNITS = {
    "temperature": "degC",
    "temperature difference": "delta_degC",
    "mass": "kilogram",
    "volume": "litre",
    "time": "minute",
    "power": "kilowatt",
    "heat loss": "watt/kelvin",
    "heat capacity": "kilojoule/kelvin",
    "heat": "kilojoule",
    "specific heat": "kilojoule/kilogram",
    "specific heat capacity": "kilojoule/kilogram/kelvin",
    "length": "metre",
    "share": "dimensionless",
    "thickness": "litre/kilogram",
    "flow": "litre/minute",
}
WORDS = [(kind, word) for kind in OWN_UNITS for word in TABLE[kind]]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("kind", "word"), WORDS)
def test_the_table_agrees_with_pint_for_every_word(kind, word, registry):
    name = PINT_NAMES.get(word, word)
    if kind == "temperature difference":
        name = {"degC": "delta_degC", "celsius": "delta_degC", "fahrenheit": "delta_degF"}.get(name, name)
        name = {"degF": "delta_degF"}.get(name, name)
    expected = registry.Quantity(7.25, name).to(OWN_UNITS[kind]).magnitude
    # pint rounds the British thermal unit to 1055.056 J; ISO 31-4 gives 1055.05585262 J, 1.4e-7 less.
    assert parse(f"7.25 {word}", kind) == pytest.approx(expected, rel=2e-7, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("62 C", "temperature", 62.0),
        ("62 degC", "temperature", 62.0),
        ("62 °C", "temperature", 62.0),
        ("62°c", "temperature", 62.0),
        ("63,5 C", "temperature", 63.5),
        ("144 F", "temperature", 62.2222222),  # derived: (144 - 32) * 5 / 9
        ("-40 F", "temperature", -40.0),  # where the two scales meet
        ("335.15 K", "temperature", 62.0),
        ("2 F", "temperature difference", 1.1111111),  # derived: 2 * 5 / 9
        ("-1.5 K", "temperature difference", -1.5),
        ("0.2 C", "temperature difference", 0.2),
        ("5 kg", "mass", 5.0),
        ("5kg", "mass", 5.0),
        ("11 lb", "mass", 4.98951607),  # NIST SP 811: 0.45359237 kg
        ("16 oz", "mass", 0.45359237),
        ("16 g", "mass", 0.016),
        ("15 L", "volume", 15.0),
        ("15 l", "volume", 15.0),
        (".5 L", "volume", 0.5),
        ("4 gal", "volume", 15.141647136),  # NIST Handbook 44: 231 cubic inches
        ("4 qt", "volume", 3.785411784),
        ("8 pt", "volume", 3.785411784),
        ("16 cups", "volume", 3.785411784),
        ("128 fl oz", "volume", 3.785411784),
        ("1 imp gal", "volume", 4.54609),
        ("4 imp qt", "volume", 4.54609),
        ("1.5 h", "time", 90.0),
        ("90 s", "time", 1.5),
        ("2500 W", "power", 2.5),
        ("4 W/K", "heat loss", 4.0),
        ("4 W / K", "heat loss", 4.0),
        ("2.5 kJ/K", "heat capacity", 2.5),
        ("130 ft", "length", 39.624),
        ("40 cm", "length", 0.4),
        ("0.045", "share", 0.045),
        ("0,045", "share", 0.045),
        ("4.5 %", "share", 0.045),
        ("4.5%", "share", 0.045),
        ("1", "share", 1.0),
        ("1.5 qt/lb", "thickness", 3.1295267),  # derived: 1.5 * 0.946352946 / 0.45359237
        ("250 WK", "diastatic power", 76.0),  # derived: (250 + 16) / 3.5, Oxford Companion to Beer
        ("0 WK", "diastatic power", 0.0),
        ("100 L", "diastatic power", 100.0),
        ("100 Lintner", "diastatic power", 100.0),
        ("4 L/h", "flow", 0.0666667),
    ],
)
def test_a_quantity_is_read(text, kind, value):
    assert parse(text, kind) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("2 tablespoon", "volume", 0.0295735),  # a US tablespoon is half a fluid ounce
        ("558.27 rankine", "temperature", 37.0),  # derived: 558.27 * 5 / 9 - 273.15
        ("9 rankine", "temperature difference", 5.0),
        ("1 stone", "mass", 6.35029318),  # 14 lb
        ("1 Btu/degF", "heat capacity", 1.8991),  # derived: 1.055056 kJ / (5/9 K)
    ],
)
def test_any_other_unit_is_left_to_pint(text, kind, value):
    assert parse(text, kind) == pytest.approx(value, rel=1e-4)


def test_a_bare_number_takes_the_unit_that_is_shown():
    assert parse("149", "temperature", bare="F") == pytest.approx(65.0)
    assert parse("4.5", "share", bare="%") == pytest.approx(0.045)
    assert parse("62 C", "temperature", bare="F") == 62.0


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "share"])
def test_a_bare_number_elsewhere_says_what_would_do(kind):
    with pytest.raises(Unreadable) as caught:
        parse("15", kind)
    assert caught.value.found == "'15' has no unit"
    offered = caught.value.remedy.split('"')[1]
    assert math.isfinite(parse(offered, kind))


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("4.5", "share", "'4.5' is more than the whole; for a percentage write \"4.5 %\""),
        (
            "2,500 W",
            "power",
            "'2,500 W' could be 2500 or 2.5; write the number without a comma for the thousands "
            "and with a point for the decimals",
        ),
        ("-5 kg", "mass", '\'-5 kg\' is less than nothing; write for example "5 kg" or "11 lb"'),
        ("62 kg", "temperature", '\'62 kg\' is not a temperature; write for example "62 C" or "144 F"'),
        (
            "62 degrees",
            "temperature",
            '\'62 degrees\' is not a temperature; write for example "62 C" or "144 F"',
        ),
        ("warm", "temperature", '\'warm\' does not begin with a number; write for example "62 C" or "144 F"'),
        ("", "mass", 'nothing is written; write for example "5 kg" or "11 lb"'),
        (
            "1.2.3 L",
            "volume",
            '\'1.2.3 L\' does not begin with a number; write for example "15 L" or "4 gal"',
        ),
        ("5 oz", "volume", '\'5 oz\' is not a volume; write for example "15 L" or "4 gal"'),
    ],
)
def test_what_cannot_be_read_is_told_in_one_sentence(text, kind, message):
    with pytest.raises(Unreadable) as caught:
        parse(text, kind)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "text", ["nan C", "inf C", "1e5 C", "0x10 C", "1_000 C", "C", "٣ C", "12345678901 C"]
)
def test_only_plain_decimal_numbers_are_numbers(text):
    with pytest.raises(Unreadable):
        parse(text, "temperature")


@pytest.mark.parametrize(
    "word",
    ["10**10**10 m", "m**9", "m^2", "(m)", "__import__", "lambda", "m;m", "m" * 50, "\u202em", "\x1b[2J"],
)
def test_a_unit_that_is_no_word_never_reaches_pint(word):
    with pytest.raises(Unreadable) as caught:
        parse(f"5 {word}", "length")
    assert str(caught.value).isascii()
    assert str(caught.value).isprintable()


@given(st.text(max_size=80), st.sampled_from(KINDS))
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_finite_number_or_unreadable(text, kind):
    try:
        assert math.isfinite(parse(text, kind))
    except Unreadable as error:
        assert str(error).isascii()
        assert str(error).isprintable()


@given(
    st.from_regex(r"[0-9]{1,3}(\.[0-9]{1,2})? [A-Za-z]{1,5}( ?[/*] ?[A-Za-z]{1,4})?", fullmatch=True),
    st.sampled_from(KINDS),
)
@settings(max_examples=300, deadline=None)
def test_any_unit_word_is_a_finite_number_or_unreadable(text, kind):
    try:
        assert math.isfinite(parse(text, kind))
    except Unreadable as error:
        assert error.found
        assert error.remedy


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1.048", (1.048, "SG")),
        ("1,048", (1.048, "SG")),
        ("1048", (1.048, "SG")),
        ("1.048 SG", (1.048, "SG")),
        ("0.998", (0.998, "SG")),
        ("12 P", (12.0, "P")),
        ("12 °P", (12.0, "P")),
        ("12,5 Plato", (12.5, "P")),
        ("12 Bx", (12.0, "Bx")),
        ("-0.4 Brix", (-0.4, "Bx")),
    ],
)
def test_a_gravity_is_read_with_its_scale(text, expected):
    assert parse_gravity(text) == expected


@pytest.mark.parametrize("text", ["12", "48", "1.9", "", "12 L", "heavy"])
def test_a_gravity_without_a_clear_scale_is_unreadable(text):
    with pytest.raises(Unreadable) as caught:
        parse_gravity(text)
    assert '"12 ' in str(caught.value) or "for Plato" in str(caught.value)


@pytest.mark.parametrize(
    ("value", "kind", "units", "shown"),
    [
        (63.0, "temperature", "metric", "63.0 C"),
        (63.0, "temperature", "us", "145.4 F"),
        (1.0, "temperature difference", "us", "1.8 F"),
        (1.4, "volume", "metric", "1.4 L"),
        (0.35, "volume", "metric", "0.35 L"),
        (0.0, "volume", "metric", "0.0 L"),
        (1.4, "volume", "us", "1.5 qt"),
        (15.141647136, "volume", "us", "4.0 gal"),
        (5.0, "mass", "metric", "5.00 kg"),
        (5.0, "mass", "us", "11.0 lb"),
        (60.0, "time", "metric", "60 min"),
        (2.5, "power", "metric", "2.5 kW"),
        (40.0, "length", "us", "131 ft"),
        (0.045, "share", "metric", "4.5 %"),
        (3.0, "thickness", "metric", "3.00 L/kg"),
        (3.0, "thickness", "us", "1.44 qt/lb"),
        (76.0, "diastatic power", "metric", "76 Lintner"),
    ],
)
def test_a_value_is_shown_in_the_units_of_the_person(value, kind, units, shown):
    assert show(value, kind, units) == shown


def test_the_digits_shown_can_be_chosen():
    assert show(63.04, "temperature", "metric", 0) == "63 C"
    assert show(0.3512, "volume", "metric", 3) == "0.351 L"


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", KINDS)
def test_nought_is_never_shown_with_a_sign(kind, units):
    assert not show(-1e-9, kind, units).startswith("-0")
    assert show(-1e-9, kind, units).isascii()


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_shown_can_be_typed_again(kind, units):
    word = unit_word(kind, units)
    assert parse(f"{in_units(0.5, kind, units):.9f} {word}", kind) == pytest.approx(0.5, abs=1e-6)
    assert parse(show(0.5, kind, units, 6), kind) == pytest.approx(0.5, abs=1e-5)


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_can_be_read(kind):
    for example in EXAMPLES[kind]:
        assert math.isfinite(parse(example, kind))


def test_the_words_of_the_trade_do_not_load_pint():
    script = (
        "import sys; from mashday.quantities import EXAMPLES, parse, show\n"
        "for kind, examples in EXAMPLES.items():\n"
        "    for example in examples: show(parse(example, kind), kind, 'us')\n"
        "print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("text", "kilograms"),
    # exact: 0.45359237 kg to the pound, 16 ounces to the pound
    [("5 lb 8 oz", 5.5), ("5lb8oz", 5.5), ("12 pounds, 4 ounces", 12.25), ("0 lb 4.5 oz", 4.5 / 16)],
)
def test_pounds_and_ounces_go_together(text, kilograms):
    assert parse(text, "mass") == pytest.approx(kilograms * 0.45359237)


@pytest.mark.parametrize(
    ("text", "system"),
    [
        ("144 F", "us"),
        ("4 gal", "us"),
        ("5 lb 8 oz", "us"),
        ("5000 ft", "us"),
        ("62 degC", "metric"),
        ("5kg", "metric"),
        ("2.5 kJ/K", "metric"),
        ("60 min", None),
        ("80 %", None),
        ("1.048", None),
        ("2 kW", None),
        ("boiling", None),
        ("0.8 stone", None),
    ],
)
def test_a_quantity_tells_the_system_it_is_written_in(text, system):
    assert system_of(text) == system


def test_every_us_word_stands_in_the_table():
    assert set().union(*TABLE.values()) >= _US_WORDS
