"""What a person types for a new day, as it is read: quantities, choices, pots, washes, grain bills."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.reckon import answer_texts as texts
from mashday.reckon.answers import Answers, GrainAsked, agreed, cooling, usual_name
from mashday.reckon.given import Refused
from mashday.schedule import fields
from mashday.science.grain import KINDS

# Conversions are those of mashday.quantities, tested there: 1 lb is 0.45359237 kg, 1 US gal 3.785411784 L.
GALLON = 3.785411784


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("barley malt", GrainAsked("barley malt", "barley malt")),
        ("pale barley malt", GrainAsked("pale barley malt", "barley malt")),
        ("Pale Barley Malt=5 kg", GrainAsked("Pale Barley Malt", "barley malt", 5.0)),
        ("5 kg of rye malt", GrainAsked("rye malt", "rye malt", 5.0)),
        ("pils 4,5 kg", GrainAsked("pilsner malt", "pilsner malt", 4.5)),
        ("raw maize 60 %", GrainAsked("raw maize", "raw maize", share=0.6)),
        ("cracked corn=40%", GrainAsked("cracked corn", "raw maize", share=0.4)),
        ("6-row barley malt = 3 kg", GrainAsked("6-row barley malt", "barley malt", 3.0)),
        ("Munich", GrainAsked("Munich malt", "Munich malt")),
    ],
)
def test_a_grain_is_understood_as_people_write_it(typed: str, meant: GrainAsked) -> None:
    assert texts.grain(typed) == meant


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("maize", "raw maize, flaked maize, torrefied maize: which of them?"),
        ("bread", "no kind of grain known here"),
        ("barley malt=5", "has no unit"),
        ("barley malt -5 kg", "less than nothing"),
        ("barley malt 5 sacks", "is not a mass"),
        ("barley malt=", "nothing is written"),
        ("barley malt 0 %", "over 0 %"),
        ("barley malt 120 %", "0 to 1"),
        ("barley malt=nan kg", "does not begin with a number"),
        ("table sugar=1 kg", "not mashed"),
        ("sugar", "not mashed"),
        ("", "Nothing that can be read"),
        ("\x1b[2J", "no kind of grain known here"),
    ],
)
def test_what_is_no_grain_is_refused_in_a_sentence(typed: str, said: str) -> None:
    with pytest.raises(Refused, match=r"[.?]$") as refused:
        texts.grain(typed)
    assert said in str(refused.value)
    assert str(refused.value).isprintable()


def test_a_word_stands_for_the_raw_kind_where_only_raw_grain_is_asked_for() -> None:
    assert texts.grain("maize 50 %", ("raw",)) == GrainAsked("raw maize", "raw maize", share=0.5)
    with pytest.raises(Refused, match="not meant here"):
        texts.grain("barley malt", ("raw",))


@pytest.mark.parametrize("kind", [kind for kind in KINDS if KINDS[kind].form != "sugar"])
def test_every_kind_of_the_table_is_known_by_its_name(kind: str) -> None:
    assert texts.grain(kind.upper()).kind == kind
    assert texts.grain(f"{kind}=2 kg") == GrainAsked(kind, kind, 2.0)


def test_a_bill_is_parted_by_commas_that_are_no_decimal_commas() -> None:
    bill = texts.grains("barley malt 4,5 kg, rye malt 1 kg and wheat malt 0,5 kg")
    assert [(grain.kind, grain.kilograms) for grain in bill] == [
        ("barley malt", 4.5),
        ("rye malt", 1.0),
        ("wheat malt", 0.5),
    ]


@pytest.mark.parametrize(
    ("typed", "litres", "material"),
    [
        ("33 L", 33.0, None),
        ("33", 33.0, None),
        ("33,5 L, stainless", 33.5, "stainless steel"),
        ("9 gal copper", 9.0 * GALLON, "copper"),
        ("33 alu", 33.0, "aluminium"),
        ("7 imp gal", 7.0 * 4.54609, None),
    ],
)
def test_a_pot_may_name_its_stuff(typed: str, litres: float, material: str | None) -> None:
    asked = texts.pot(typed, "L")
    assert asked.litres == pytest.approx(litres)
    assert asked.material == material


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("33 L lead", "no stuff of a pot"),
        ("33 L steel", "stainless steel or enamelled steel"),
        ("1 L", "3 to 300 L"),
        ("1000 L", "3 to 300 L"),
        ("big", "does not begin with a number"),
        ("", "nothing is written"),
    ],
)
def test_a_pot_that_is_none_is_refused(typed: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        texts.pot(typed, "L")
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("typed", "litres", "gravity"),
    [
        ("20 L at 1.060", 20.0, 1.060),
        ("20 L", 20.0, None),
        ("20 of 1060", 20.0, 1.060),
        ("20,5 L, 1.050", 20.5, 1.050),
        ("5 gal @ 1.070", 5.0 * GALLON, 1.070),
    ],
)
def test_a_wash_may_name_its_gravity(typed: str, litres: float, gravity: float | None) -> None:
    asked = texts.wash(typed, "L")
    assert asked.litres == pytest.approx(litres)
    assert asked.gravity == gravity


@pytest.mark.parametrize("typed", ["20 L at", "20 L at 3", "20 L at 1.3", "-20 L", "2000 L"])
def test_a_wash_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(Refused):
        texts.wash(typed, "L")


def test_the_place_is_read_in_its_order_and_what_is_left_out_is_left_alone() -> None:
    assert texts.place("20 C, 12 C, 40 m", "metric") == {
        "room_celsius": 20.0,
        "tap_celsius": 12.0,
        "altitude_metres": 40.0,
    }
    assert texts.place("68, 50, 1000", "us") == pytest.approx(
        {"room_celsius": 20.0, "tap_celsius": 10.0, "altitude_metres": 304.8}
    )
    assert texts.place("500 m", "metric") == {"altitude_metres": 500.0}
    assert texts.place("19,5 C", "metric") == {"room_celsius": 19.5}
    for wrong in ("12 C, 9 C, 4 C", "warm", "90 C", "9000 m"):
        with pytest.raises(Refused):
            texts.place(wrong, "metric")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("1", "squeezed bag"), ("drained", "drained"), ("hung", "hung bag"), ("o", "on the grain")],
)
def test_a_choice_is_made_by_number_or_by_the_beginning_of_a_word(typed: str, meant: str) -> None:
    assert texts.chosen(typed, texts.SEPARATIONS, "way") == meant


@pytest.mark.parametrize("typed", ["0", "6", "99999999999999999999", "b", "", "soup", "²"])
def test_what_is_no_choice_is_refused_with_the_choices(typed: str) -> None:
    with pytest.raises(Refused, match=r"one of squeezed bag|could be"):
        texts.chosen(typed, texts.SEPARATIONS, "way")


def test_no_heater_is_an_answer() -> None:
    assert texts.heater("none") is None
    assert texts.heater("0", "kW") is None


@pytest.mark.parametrize(
    ("typed", "kilowatts", "fuel"),
    [
        ("2500 W", 2.5, "electric"),
        ("2", 2.0, "electric"),
        ("2500 W electric", 2.5, "electric"),
        ("electric hotplate 1.5 kW", 1.5, "electric"),
        # One Btu is 1.05505585 kJ (ISO 31-4), so 12000 an hour are 3.5169 kW.
        ("12000 BTU/h", 3.5169, "gas"),
        ("gas 12000 BTU/h", 3.5169, "gas"),
        ("12000 btu/hr gas ring", 3.5169, "gas"),
        ("gas 5 kW", 5.0, "gas"),
        ("5000 BTU/h electric", 1.4654, "electric"),
    ],
)
def test_a_heater_is_gas_or_electric(typed: str, kilowatts: float, fuel: str) -> None:
    asked = texts.heater(typed, "kW")
    assert asked is not None
    assert (asked.kilowatts, asked.fuel) == (pytest.approx(kilowatts, abs=1e-4), fuel)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("gas", "such as gas 12000 BTU/h"),
        ("electric", "such as 2500 W electric"),
        ("7000 BTU", "write 7000 BTU/h"),
        ("hot", "does not begin with a number"),
    ],
)
def test_a_heater_that_is_none_is_refused(typed: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        texts.heater(typed, "kW")
    assert said in str(refused.value)


@pytest.mark.parametrize("word", ["maize", "corn", "rye", "wheat", "oats", "rice", "barley"])
def test_a_plain_word_is_the_raw_kind_where_raw_grain_is_asked_for(word: str) -> None:
    assert texts.grain("corn", ("raw",)) == GrainAsked("corn", "raw maize")
    assert texts.grain(f"{word} 30 %", ("raw",)).kind == f"raw {'maize' if word == 'corn' else word}"


@pytest.mark.parametrize("typed", ["2-row", "2-row 4 kg", "two-row malt", "6-row", "pale 2-row"])
def test_two_row_and_six_row_are_barley_malt(typed: str) -> None:
    assert texts.grain(typed).kind == "barley malt"


@pytest.mark.parametrize("typed", ["1.0", "1", "1.2", "50 P", "1.195"])
def test_a_gravity_that_is_none_is_refused_with_the_same_limits(typed: str) -> None:
    with pytest.raises(Refused, match=r"over 1\.005 and up to 1\.190"):
        texts.gravity(typed)


WRONG = (
    "",
    "x",
    "5",
    "1000000 L",
    "900 C",
    "99999 m",
    "0.00001 kg",
    "-3 L",
    "1,000 L",
    "50 kW gas",
    "7000 BTU",
)


@pytest.mark.parametrize("typed", WRONG)
def test_no_refusal_in_us_units_names_a_metric_one(typed: str) -> None:
    reads = (
        lambda: texts.grain(f"barley malt={typed}", (), "us"),
        lambda: texts.pot(typed, "", "us"),
        lambda: texts.wash(typed, "", "us"),
        lambda: texts.place(typed, "us"),
        lambda: texts.place(f"{typed}, {typed}, {typed}, {typed}", "us"),
        lambda: texts.quantity(fields.RoomCelsius, typed, "", "us"),
        lambda: texts.quantity(fields.Metres, typed, "", "us"),
    )
    for read in reads:
        try:
            read()
        except Refused as refused:
            said = str(refused).replace(repr(typed), "").replace(typed, "") if typed else str(refused)
            assert not METRIC.search(said), said


METRIC = re.compile(r"[0-9] ?(?:C|L|kg|g|m|mL|K)\b")


@given(st.text(max_size=80))
def test_whatever_is_typed_is_read_or_refused_in_a_printable_sentence(typed: str) -> None:
    for read in (texts.grains, texts.grain, texts.pot, texts.wash, texts.gravity, texts.heater, texts.named):
        try:
            read(typed)
        except Refused as refused:
            assert str(refused).isprintable()
            assert str(refused)[-1] in ".?"


MAIZE = GrainAsked("maize", "raw maize", share=0.5)
MALT = GrainAsked("malt", "barley malt")


def test_shares_that_are_not_named_divide_what_is_left() -> None:
    bill = (MAIZE, MALT, GrainAsked("rye", "rye malt"))
    assert Answers(grains=bill).shares == pytest.approx((0.5, 0.25, 0.25))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"grains": (GrainAsked("maize", "raw maize"),)}, "without malt"),
        ({"grains": (MALT, MALT)}, "stands twice"),
        ({"grains": (GrainAsked("malt", "barley malt", 5.0), GrainAsked("rye", "rye malt"))}, "no weight"),
        ({"grains": (GrainAsked("malt", "barley malt", 0.05),)}, "weigh out 0.10 kg to"),
        ({"grains": (GrainAsked("malt", "barley malt", 301.0),)}, "to 300.00 kg"),
        ({"wash_litres": 0.5}, "ask for 1.0 L to"),
        ({"wash_litres": 301.0}, "to 300.0 L"),
        ({"grains": (MAIZE, GrainAsked("malt", "barley malt", share=0.4))}, "come to 90 %"),
        (
            {"grains": (GrainAsked("malt", "barley malt", share=0.25),)},
            "such as malt 25 %, raw maize 75 %; or leave a share out.",
        ),
        # Derived: 6 Lintner of pale malt's 60; 30 of 60 is 50 %, 30 of 200 is 15 %.
        (
            {"grains": (GrainAsked("maize", "raw maize", share=0.9), GrainAsked("pale malt", "pale malt"))},
            "6 Lintner of enzyme, and a mash wants 30. Take 50 % of pale malt or more, 15 % of",
        ),
        ({"grains": (GrainAsked("maize", "raw maize", share=1.0), MALT)}, "leave nothing"),
        ({"grains": (MAIZE, MALT), "heater_kilowatts": None}, "nothing heats it"),
        ({"by": "on the grain", "sparge": True}, "nothing is parted"),
        ({"by": "batch sparge", "sparge": False}, "is a sparge"),
        (
            {"grains": (GrainAsked("malt", "barley malt", 5.0),), "wash_litres": 20.0, "gravity": 1.06},
            "give only one of them",
        ),
    ],
)
def test_answers_that_do_not_go_together_are_refused(changed: dict[str, object], said: str) -> None:
    with pytest.raises(Refused) as refused:
        agreed(Answers(**changed))  # type: ignore[arg-type]
    assert said in str(refused.value)


def test_when_it_is_pitched_follows_from_how_it_is_cooled() -> None:
    assert cooling(None, "next morning") == "standing"
    assert cooling(None, "same evening") == "coil"
    assert cooling("ice bath", "same evening") == "ice bath"
    assert cooling("coil", None) == "coil"
    for way, when in (("coil", "next morning"), ("standing", "same evening")):
        with pytest.raises(Refused, match="leave one of the two out"):
            cooling(way, when)


def test_a_day_without_a_name_is_named_after_its_grain() -> None:
    assert usual_name((MAIZE, MALT)) == "Maize and malt wash"
