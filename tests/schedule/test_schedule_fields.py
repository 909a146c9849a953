"""What each type of value takes and what it becomes. Conversions are derived from exact factors."""

from __future__ import annotations

import datetime
import math
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from mashday.schedule import fields


def read(of: Any, value: object) -> Any:
    return TypeAdapter(of).validate_python(value)


def refused(of: Any, value: object) -> tuple[str, str]:
    with pytest.raises(ValidationError) as caught:
        read(of, value)
    [error] = caught.value.errors()
    assert error["type"] == fields.REFUSED
    return error["ctx"]["found"], error["ctx"]["remedy"]


QUANTITIES = {
    "Celsius": ("62 C", 62.0),
    "HotCelsius": ("208.4 F", 98.0),
    "BoilingOrCelsius": ("90 C", 90.0),
    "Kelvin": ("1.8 F", 1.0),
    "Kilograms": ("11 lb", 4.98952),
    "Litres": ("5 qt", 4.73176),
    "Minutes": ("1.5 h", 90.0),
    "Kilowatts": ("2500 W", 2.5),
    "WattsPerKelvin": ("4 W/K", 4.0),
    "Metres": ("130 ft", 39.624),
    "Centimetres": ("14 in", 35.56),
    "Share": ("4.5 %", 0.045),
    "LitresPerKilogram": ("0.5 qt/lb", 1.04318),
    "Lintner": ("250 WK", 76.0),
    "Gravity": ("1048", 1.048),
}


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_becomes_a_float(name):
    text, value = QUANTITIES[name]
    assert read(getattr(fields, name), text) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize("name", QUANTITIES)
@pytest.mark.parametrize(
    "value",
    [True, math.nan, math.inf, -math.inf, 10**400, [], {}, datetime.date(2026, 10, 3), "", "many", "nan C"],
    ids=repr,
)
def test_what_is_no_quantity_is_refused(name, value):
    found, remedy = refused(getattr(fields, name), value)
    assert found.isascii()
    assert len(found) < 120
    assert '"' in remedy


@pytest.mark.parametrize(
    ("name", "low", "high", "under", "over"),
    [
        ("Celsius", "0 C", "100 C", "-0.1 C", "212.1 F"),
        ("Kelvin", "-20 K", "20 K", "-20.1 K", "36.1 F"),
        ("RoomCelsius", "0 C", "60 C", "-0.1 C", "61 C"),
        ("CalibratedCelsius", "0 C", "40 C", "-0.1 C", "41 C"),
        ("GrainCelsius", "0 C", "90 C", "-0.1 C", "91 C"),
        ("LimitKelvin", "0 K", "15 K", "-0.1 K", "16 K"),
        ("PotKilograms", "1 g", "100 kg", "0 g", "101 kg"),
        ("PotLitres", "3 L", "300 L", "2.9 L", "301 L"),
        ("Extract", "30 %", "1", "0.29", "101 %"),
        ("Moisture", "0", "20 %", "-0.1", "21 %"),
        ("Kilograms", "1 g", "500 kg", "0 g", "501 kg"),
        ("Litres", "0 L", "1000 L", "-1 mL", "265 gal"),
        ("Minutes", "6 s", "24 h", "5 s", "24.1 h"),
        ("Kilowatts", "0 W", "50 kW", "-1 W", "51 kW"),
        ("WattsPerKelvin", "0 W/K", "200 W/K", "-1 W/K", "201 W/K"),
        ("Metres", "-500 m", "6000 m", "-501 m", "20000 ft"),
        ("Centimetres", "1 cm", "200 cm", "9 mm", "7 ft"),
        ("Share", "0", "100 %", "-0.1", "101 %"),
        ("LitresPerKilogram", "0 L/kg", "3 L/kg", "-1 L/kg", "3.1 L/kg"),
        ("Lintner", "0 WK", "300 Lintner", "-1 Lintner", "1800 WK"),
        ("Gravity", "0.98", "1.19", "0.979", "1.191"),
    ],
)
def test_both_ends_of_a_range_are_taken_and_nothing_beyond(name, low, high, under, over):
    of = getattr(fields, name)
    assert read(of, low) <= read(of, high)
    assert refused(of, under)
    assert refused(of, over)


def test_a_share_and_a_gravity_may_be_bare_numbers():
    assert read(fields.Share, 0.045) == 0.045
    assert read(fields.Share, 1) == 1.0
    assert read(fields.Gravity, 1.048) == 1.048
    assert read(fields.Gravity, 1048) == 1.048


def test_a_bare_share_over_one_is_refused():
    assert refused(fields.Share, 4.5) == (
        "the number 4.5 is not a share",
        'for a percentage write "4.5 %"',
    )


def test_plato_and_brix_become_a_specific_gravity():
    # ASBC table of extract: 12 P is 1.0484 (from memory); ICUMSA SPS-4 gives 1.04833.
    assert read(fields.Gravity, "12 P") == pytest.approx(1.0483, abs=2e-4)
    assert read(fields.Gravity, "12 Bx") == read(fields.Gravity, "12 P")
    assert refused(fields.Gravity, "90 P")[0] == "'90 P' is no gravity of wort"


def test_boiling_is_a_temperature_where_it_may_stand():
    assert read(fields.HotCelsius, "boiling") == fields.BOILING_CELSIUS
    assert read(fields.HotCelsius, " Boiling ") == fields.BOILING_CELSIUS
    assert read(fields.BoilingOrCelsius, "boiling") is None
    assert refused(fields.Celsius, "boiling")


def test_a_name_is_cleaned():
    assert read(fields.Name, "  Lock   Seven ") == "Lock Seven"
    assert read(fields.Name, "Cafe\u0301") == "Caf\u00e9"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "x" * 61,
        "a\nb",
        "a\x1b[2J",
        "a\u202eb",
        "a\u200bb",
        "a\x9bb",
        "\ud800",
        "a\u0301\u0301\u0301",
    ],
)
def test_a_hostile_name_is_refused_in_plain_words(text):
    found, remedy = refused(fields.Name, text)
    assert found.isascii()
    assert found.isprintable()
    assert remedy == "write it on one line in at most 60 plain characters"


def test_an_amount_is_text_as_written():
    assert read(fields.Amount, "2 sachets") == "2 sachets"
    assert refused(fields.Amount, 16) == (
        "the number 16 is not text",
        'put it in quotation marks, such as "16 g", "5 mL" or "2 sachets"',
    )


def test_long_text_may_be_500_characters():
    assert len(read(fields.LongText, "x" * 500)) == 500
    assert refused(fields.LongText, "x" * 501)
