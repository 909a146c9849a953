"""Numbers as people say them: every common way of saying one, and nothing guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces.aloud import aloud, cardinal
from mashday.faces.said_numbers import LONGEST, Kind, number, spoken_digits, written
from mashday.faces.vocabulary import WORDS
from mashday.quantities import parse, parse_gravity

# Ways of saying a number: common practice, no source.
TEMPERATURES = {
    "sixty three point five": "63.5",
    "six three point five": "63.5",
    "sixty-three and a half": "63.5",
    "Sixty three, degrees": None,
    "sixty three degrees.": "63",
    "sixty three comma five degrees celsius": "63.5 C",
    "one hundred and forty-five point four fahrenheit": "145.4 F",
    "one forty five point four degrees fahrenheit": "145.4 F",
    "two twelve": "212",
    "a hundred and four": "104",
    "one oh four": "104",
    "two hundred twelve": "212",
    "minus five": "-5",
    "63 and a half": "63.5",
    "63 point 5": "63.5",
    "63.5 C": "63.5 C",
    "12,5": "12.5",
    "sixty five four": None,
    "sixty three five": None,
    "sixty zero": None,
    "sixty three sixty five": None,
    "60 3": None,
    "60 three": None,
    "hundred twelve": None,
    "point five": None,
    "sixty three point": None,
    "sixty three point fifty": None,
    "sixty three point five six four": None,
    "six five four": None,
    "oh": None,
    "oh six": None,
    "about sixty three": None,
    "sixty three litres": None,
    "degrees": None,
    "and a half": None,
    "a degree": None,
    "": None,
}
GRAVITIES = {
    "one point oh six two": "1.062",
    "one point zero six two": "1.062",
    "one point oh sixty two": "1.062",
    "one oh six two": "1.062",
    "one oh sixty two": "1.062",
    "ten sixty two": "1.062",
    "ten fifty-two": "1.052",
    "ten oh five": "1.005",
    "ten fifteen": "1.015",
    "eleven oh five": "1.105",
    "eleven hundred": "1.100",
    "one thousand and sixty two": "1.062",
    "one thousand": "1.000",
    "nine nine eight": "0.998",
    "nine ninety eight": "0.998",
    "zero point nine nine eight": "0.998",
    "point nine nine eight": "0.998",
    "ten sixty two SG": "1.062",
    "1062": "1.062",
    "10 62": "1.062",
    "1,062": "1.062",
    "twelve point five plato": "12.5 P",
    "fourteen brix": "14 Bx",
    "one point oh six": None,
    "one point zero": None,
    "1.06": None,
    "ten five": None,
    "ten": None,
    "one sixty two": None,
    "one ten five": None,
    "ten point sixty two": None,
    "nine eight": None,
    "one two three four": None,
    "sixty three point five": None,
    "ten sixty two ten": None,
}
VOLUMES = {
    "twelve and a half litres": "12.5 L",
    "one two point five": "12.5",
    "zero point eight six litres": "0.86 L",
    "oh point eight six": "0.86",
    "point eight liters": "0.8 L",
    "half a litre": "0.5 L",
    "three quarters of a litre": "0.75 L",
    "a litre and a half": "1.5 L",
    "two and three quarters gallons": "2.75 gal",
    "five hundred millilitres": "500 mL",
    "three point two quarts": "3.2 qt",
    "1,500": None,
    "litres": None,
    "minus two litres": None,
    "five kilos": None,
}
MINUTES = {
    "ninety": "90",
    "ten minutes": "10 min",
    "minus five minutes": "-5 min",
    "two hours": "2 h",
    "half an hour": "0.5 h",
    "an hour and a half": "1.5 h",
    "one minute twenty seconds": None,
}
COUNTS = {"two": "2", "twelve": "12", "one hundred and twenty": "120", "two point five": None, "to": None}
ALL: dict[Kind, dict[str, str | None]] = {
    "temperature": TEMPERATURES,
    "gravity": GRAVITIES,
    "volume": VOLUMES,
    "minutes": MINUTES,
    "count": COUNTS,
}


@pytest.mark.parametrize(("kind", "text"), [(kind, text) for kind, texts in ALL.items() for text in texts])
def test_a_number_is_read_as_it_is_said_or_not_at_all(kind: Kind, text: str) -> None:
    assert number(text, kind) == ALL[kind][text]


@pytest.mark.parametrize(
    ("line", "asked", "meant"),
    [
        ("sixty three point five", "temperature", "63.5"),
        ("sixty three point five", None, "63.5"),
        ("temp sixty-three and a half", None, "temp 63.5"),
        ("temp 63.5 64.1 62.8", "temperature", "temp 63.5 64.1 62.8"),
        ("temp sixty five four", None, "temp sixty five four"),
        ("ten sixty two", "gravity", "1.062"),
        ("ten sixty two at twenty", "gravity", "1.062 at 20"),
        ("one point oh six", "gravity", "one point oh six"),
        ("gravity ten fifty two at twenty four degrees", "temperature", "gravity 1.052 at 24"),
        ("added one point two litres at boiling", None, "added 1.2 L at boiling"),
        ("added one litre at ninety five", "volume", "added 1 L at 95"),
        ("grain at twenty four", None, "grain at 24"),
        ("weighed four point eight kilos of pale malt", None, "weighed 4.8 kilos of pale malt"),
        ("correct twelve sixty five point four", None, "correct 12 65.4"),
        ("correct twelve ten sixty two", None, "correct 12 1.062"),
        ("correct one two sixty", None, "correct one two sixty"),
        ("more minus five", None, "more -5"),
        ("take one", "temperature", "take 1"),
        ("two", "gravity", "2"),
        ("ph five point four", None, "ph 5.4"),
        ("sixty five, four degrees", "temperature", "sixty five, four degrees"),
        ("sixty three, sixty four", "temperature", "sixty three, sixty four"),
        ("note the lid was off for two minutes", "temperature", "note the lid was off for two minutes"),
        ("save /media/one", None, "save /media/one"),
        ("It is sixty three point five, here.", None, "It is 63.5, here."),
        ("keep it", "temperature", "keep it"),
        ("63,5", "temperature", "63,5"),
    ],
)
def test_the_number_words_of_a_line_become_digits(line: str, asked: Kind | None, meant: str) -> None:
    assert written(line, asked) == meant


@given(st.integers(0, 2999), st.sampled_from([" C", " F", ""]))
def test_a_temperature_said_aloud_is_understood_as_itself(tenths: int, unit: str) -> None:
    heard = number(aloud(f"{tenths / 10:.1f}{unit}"), "temperature")
    assert heard is not None
    assert parse(heard, "temperature", bare="C") == tenths / 10


@given(st.integers(980, 1200))
def test_a_gravity_said_aloud_in_any_way_is_understood_as_itself(thousandths: int) -> None:
    shown = f"{thousandths / 1000:.3f}"
    for said in (aloud(shown), spoken_digits(shown), cardinal(thousandths)):
        heard = number(said, "gravity")
        assert heard is not None and parse_gravity(heard) == (thousandths / 1000, "SG")


@given(st.integers(0, 9999), st.integers(0, 999))
def test_a_volume_read_back_digit_by_digit_is_understood_as_itself(whole: int, thousandths: int) -> None:
    value = f"{whole}.{thousandths:03d}"
    heard = number(spoken_digits(f"{value} L"), "volume")
    assert heard is not None
    assert float(heard.removesuffix(" L")) == float(value)


PIECES = (
    *(
        "oh",
        "zero",
        "one",
        "two",
        "nine",
        "ten",
        "fifteen",
        "twenty",
        "sixty",
        "hundred",
        "thousand",
        "point",
    ),
    *("comma", "and", "a", "half", "quarter", "of", "at", "minus", "degrees", "celsius", "litres", "minutes"),
    *("6", "63", "63.5", "12,5", "1062", "take", "temp", "correct", "gravity", ",", ".", "-"),
)
SAID = st.lists(
    st.sampled_from(PIECES),
    max_size=9,
).map(" ".join)


@given(st.one_of(SAID, st.text(max_size=60)), st.sampled_from(list(ALL)))
def test_any_words_come_to_a_sound_number_or_to_none(text: str, kind: Kind) -> None:
    found = number(text, kind)
    if found is not None:
        value = float(found.split()[0])
        assert found.isascii()
        assert kind != "temperature" or abs(value) <= 300
        assert kind != "gravity" or " " in found or 0.98 <= value <= 1.2
        assert number(found, kind) == found
    line = written(text, kind)
    assert written(line, kind) == line


@given(st.text(alphabet="0123456789., CF-", max_size=40), st.sampled_from([None, *ALL]))
def test_what_is_typed_in_digits_is_never_touched(text: str, kind: Kind | None) -> None:
    assert written(text, kind) == text


@pytest.mark.parametrize("word", WORDS.values(), ids=list(WORDS))
def test_no_word_of_the_line_mode_is_changed(word: object) -> None:
    assert written(word.written, "temperature") == word.written  # type: ignore[attr-defined]


def test_a_line_too_long_to_be_a_number_is_left_alone() -> None:
    long = "sixty " * LONGEST
    assert number(long, "temperature") is None and written(long) == long


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("63.5", "six three point five"),
        ("1.062", "one point zero six two"),
        ("12,5 L", "one two point five litres"),
        ("-5 C", "minus five degrees"),
        ("", ""),
    ],
)
def test_a_value_is_read_back_digit_by_digit(value: str, said: str) -> None:
    assert spoken_digits(value) == said
