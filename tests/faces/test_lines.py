"""The line words beside their table: US units, capitals, other scales, corrections, slips, strange text."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, gravity, starch, temperature, volume
from hypothesis import given
from hypothesis import strategies as st

from mashday.engine import intents, pouring
from mashday.faces.lines import _READERS, Command, Misunderstood, understood
from mashday.faces.vocabulary import ALIASES, COMMANDS, WORDS
from mashday.quantities import show
from mashday.schedule.door import load
from mashday.schedule.samples import sample_text

GALLON = 3.785411784  # litres, 231 cubic inches by definition (NIST Handbook 44, appendix C)
POUND = 0.45359237  # kilograms by definition (NIST SP 811, appendix B.8)


def said(line: str, day: Day) -> object:
    return understood(line, day.schedule, day.state, day.t)


def read(line: str, day: Day) -> intents.TakeReading:
    meant = said(line, day)
    assert isinstance(meant, intents.TakeReading), meant
    return meant


def wrong(line: str, day: Day) -> str:
    meant = said(line, day)
    assert isinstance(meant, Misunderstood), meant
    return meant.why


def resting(units: str = "") -> Day:
    return Day(load(BARLEY.replace("format = 1", f"format = 1\n{units}"))).to_step(4)


US = resting('units = "us"')


@pytest.mark.parametrize(
    ("line", "quantity", "metric", "unit"),
    [
        ("145.4", "temperature", 63.0, "F"),
        ("temp 145,4", "temperature", 63.0, "F"),
        ("temp 145.4 147.2", "temperature", 63.5, "F"),
        ("63 C", "temperature", 63.0, "C"),
        ("volume 4.5", "volume", 4.5 * GALLON, "gal"),
        ("volume 17 L", "volume", 17.0, "L"),
        ("volume 18 qt", "volume", 4.5 * GALLON, "qt"),
        ("volume 4 imp gal", "volume", 4 * 4.54609, "imp gal"),  # Units of Measurement Regulations 1995
        ("gravity 1.052 at 75.2", "gravity", 1.052, "SG"),
        ("sample 75.2", "sample temperature", 24.0, "F"),
    ],
)
def test_a_person_who_sees_us_units_may_leave_them_out(
    line: str, quantity: str, metric: float, unit: str
) -> None:
    meant = read(line, US)
    assert (meant.quantity, meant.unit) == (quantity, unit)
    assert meant.metric == pytest.approx(metric, abs=1e-6)


def test_amounts_of_a_us_day_are_pounds_gallons_and_quarts() -> None:
    weighed, measured = said("weighed 11", US), said("measured 4", US)
    assert isinstance(weighed, intents.GiveAmount) and weighed.amount == pytest.approx(11 * POUND)
    assert isinstance(measured, intents.GiveAmount) and measured.amount == pytest.approx(4 * GALLON)
    added = said("added 2 at 203", US)
    assert isinstance(added, intents.AddWater) and added.litres == pytest.approx(GALLON / 2)
    assert added.celsius == pytest.approx(95.0)


def test_a_sample_of_a_us_day_is_read_in_fahrenheit() -> None:
    assert read("gravity 1.052 at 75.2", US).sample_celsius == pytest.approx(24.0)
    assert wrong("sample", US).endswith("sample 22 F")


@pytest.mark.parametrize(
    ("line", "gravity", "unit"),
    [
        ("gravity 1052", 1.052, "SG"),
        ("gravity 1.052", 1.052, "SG"),
        ("gravity 1.052 SG", 1.052, "SG"),
        ("sg 1.052", 1.052, "SG"),
        ("gravity 12.5 P", 1.0505, "P"),  # table of Plato, from memory: 12.5 Plato is SG 1.0505
        ("gravity 12,5 plato", 1.0505, "P"),
    ],
)
def test_a_gravity_in_any_scale(line: str, gravity: float, unit: str) -> None:
    meant = read(line, resting())
    assert meant.metric == pytest.approx(gravity, abs=2e-4) and meant.unit == unit


def test_brix_takes_the_factor_of_the_refractometer_of_the_schedule() -> None:
    own = Day(load(BARLEY.replace("[place]", "[refractometer]\nfactor = 1.0\n[place]"))).to_step(4)
    assert read("gravity 12 Bx", own).metric == pytest.approx(read("gravity 12 P", own).metric)
    assert read("gravity 12 Bx", resting()).metric < read("gravity 12 P", resting()).metric


@pytest.mark.parametrize(
    ("shouted", "spoken"),
    [
        ("ADDED 1.2 L AT 95 C", "added 1.2 L at 95 C"),
        ("Added 1 L At Boiling", "added 1 L at boiling"),
        ("Added 1 L at TAP", "added 1 L at tap"),
        ("Gravity 1.052 At 24 C", "gravity 1.052 at 24 C"),
        ("Weighed 4.8 Kg Of Pale Barley Malt", "weighed 4.8 kg of pale barley malt"),
        ("weighed 4.8 OF pale barley malt", "weighed 4.8 of pale barley malt"),
        ("STARCH PASS", "starch pass"),
        ("Keep It", "keep it"),
        ("UNITS US", "units us"),
        ("Temp 146 f", "temp 146 F"),
        ("PH 5,4", "ph 5.4"),
    ],
)
def test_capitals_change_nothing(shouted: str, spoken: str) -> None:
    day = resting()
    one, other = said(shouted, day), said(spoken, day)
    assert isinstance(one, intents.Intent) and type(one) is type(other)
    for field in set(one.__dataclass_fields__) - {"typed", "unit"}:
        assert getattr(one, field) == getattr(other, field), field


@pytest.mark.parametrize(
    ("first", "line", "metric", "unit"),
    [
        (temperature(62.8), "63,1", 63.1, "C"),
        (temperature(62.8), "145.4 F", 63.0, "F"),
        (temperature(62.8), "62.9 63.1", 63.0, "C"),
        (gravity(1.070, 24.0), "1.072", 1.072, "SG"),
        (gravity(1.070, 24.0), "1072", 1.072, "SG"),
        (volume(17.0), "18.5", 18.5, "L"),
        (volume(17.0), "5 gal", 5 * GALLON, "gal"),
        (intents.TakeReading("ph", 5.4, "pH", "5.4", 5.4), "5,3", 5.3, "pH"),
    ],
)
def test_every_quantity_can_be_corrected(
    first: intents.TakeReading, line: str, metric: float, unit: str
) -> None:
    day = resting().after(minutes=6)
    day.send(first)
    number = day.state.readings[-1].number
    meant = said(f"correct {number} {line}", day)
    assert isinstance(meant, intents.Correct)
    assert (meant.of, meant.unit, meant.typed) == (number, unit, line)
    assert meant.metric == pytest.approx(metric, abs=1e-6)
    assert day.send(meant)


def test_a_starch_check_is_voided_and_not_corrected() -> None:
    day = Day(load(BARLEY)).to_step(5)
    day.send(starch(False))
    number = day.state.readings[-1].number
    for line in ("pass", "1", "63.5"):
        assert f"void {number}" in wrong(f"correct {number} {line}", day)


def test_a_correction_of_nothing_is_left_to_the_engine_to_refuse() -> None:
    day = resting().after(minutes=6)
    meant = said("correct 999 63", day)
    assert isinstance(meant, intents.Correct)
    assert "There is no reading 999" in day.refused(meant)


@pytest.mark.parametrize(
    ("step", "line", "quantity", "metric"),
    [
        (1, "20", "temperature", 20.0),
        (2, "45", "temperature", 45.0),
        (4, "62.9", "temperature", 62.9),
        (6, "1.070", "gravity", 1.070),
        (6, "17.5 P", "gravity", 1.072),  # table of Plato, from memory: 17.5 Plato is SG 1.0720
        (7, "30", "temperature", 30.0),
        (8, "23", "temperature", 23.0),
    ],
)
def test_a_bare_number_answers_the_question_of_the_step(
    step: int, line: str, quantity: str, metric: float
) -> None:
    meant = read(line, Day(load(BARLEY)).to_step(step))
    assert meant.quantity == quantity
    assert meant.metric == pytest.approx(metric, abs=3e-4)


def test_a_bare_number_after_a_way_with_water_is_what_went_in() -> None:
    day = resting().after(minutes=6)
    day.read(61.0)
    day.send(intents.TakeRemedy(1))
    meant = said("1,2", day)
    assert meant == intents.AddWater(1.2, "1,2")
    hotter = said("1.2 at 90", day)
    assert isinstance(hotter, intents.AddWater) and hotter.celsius == 90.0


def test_a_bare_number_while_starch_is_asked_says_the_two_answers() -> None:
    told = wrong("12", Day(load(BARLEY)).to_step(5))
    assert "starch pass" in told and "starch fail" in told


@pytest.mark.parametrize("word", sorted(word for word in WORDS if len(word) > 4))
def test_a_word_with_a_letter_left_out_is_offered_again(word: str) -> None:
    first = word.split(maxsplit=1)[0]
    told = wrong(first[:2] + first[3:], resting())
    assert f"'{word}'" in told or f"'{first}'" in told


IN_OWN_WORDS = {"note", "tick", "went-wrong", "mended", "change"}


@pytest.mark.parametrize("word", sorted(set(WORDS) - COMMANDS - IN_OWN_WORDS))
def test_a_word_with_too_much_behind_it_is_not_half_understood(word: str) -> None:
    line = f"{WORDS[word].written} parsnips \N{BLACK CHESS KNIGHT}"
    meant = said(line, resting())
    if word == "weighed":  # behind a weight stands the name of its grain
        assert isinstance(meant, intents.GiveAmount)
        assert "No grain of that name" in resting().refused(meant)
    else:
        assert isinstance(meant, Misunderstood), meant


def test_every_word_is_in_the_table_or_another_name_for_one() -> None:
    assert set(WORDS) == COMMANDS | set(_READERS)
    assert set(ALIASES.values()) <= COMMANDS | set(_READERS)


@pytest.mark.parametrize("alias", sorted(ALIASES))
def test_another_name_means_the_same_word(alias: str) -> None:
    day = resting()
    behind = {"temp": " 63", "volume": " 17 L", "gravity": " 1.052", "sample": " 22", "take": " 1"}.get(
        ALIASES[alias], ""
    )
    one, other = said(alias + behind, day), said(ALIASES[alias] + behind, day)
    assert one == other and not isinstance(one, Misunderstood)


HOSTILE = (
    "\x1b]0;owned\x07",
    "\x1b[2J63.5",
    "\u202e63.5",
    "63.5\u200b",
    "[/][@click=app.quit]x[/]",
    "done\x00",
    "temp \ud800",
    "note " + "a" * 5000,
    "9" * 5000,
    "1." + "0" * 400,
    "correct " + "9" * 300 + " 5",
    "e\u0301" * 300,
    "\N{FULLWIDTH DIGIT SIX}\N{FULLWIDTH DIGIT THREE}",
    "\N{ARABIC-INDIC DIGIT SIX}",
    "temp nan",
    "temp inf",
    "volume 1e999 L",
    "{0.__class__}",
    "%s%n",
    "; rm -rf /",
)


def moments() -> tuple[Day, ...]:
    """A day before it begins, in each step, with an offer, held, over and given up."""
    idle = Day(load(BARLEY))
    stepping = tuple(Day(load(BARLEY)).to_step(number) for number in range(1, 10))
    offered = resting().after(minutes=6)
    offered.read(61.0)
    held, over, given_up = resting(), resting(), resting()
    held.send(intents.Hold())
    over.send(intents.Finish(sure=True))
    given_up.send(intents.Abort(sure=True))
    rye = Day(load(sample_text("bargemans-rye"))).to_step(4)
    return (idle, *stepping, offered, held, over, given_up, rye)


MOMENTS = moments()


def fits(meant: object) -> bool:
    """True for a meaning, and for a sentence that is clean, short and ends as sentences do."""
    if isinstance(meant, Misunderstood):
        return meant.why.isprintable() and meant.why.isascii() and 10 < len(meant.why) < 300
    return isinstance(meant, intents.Intent | Command)


@pytest.mark.parametrize("text", HOSTILE, ids=[ascii(text[:12]) for text in HOSTILE])
def test_hostile_text_gets_a_clean_short_sentence_at_any_moment(text: str) -> None:
    for day in MOMENTS:
        assert fits(said(text, day)), day.state.phase


WORD = st.sampled_from([*WORDS, *ALIASES, "at", "of", "C", "F", "P", "Bx", "L", "gal", "kg", "min", "tap"])
NUMBER = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.integers(-(10**12), 10**12).map(str),
    st.decimals(-300, 300, places=2).map(lambda number: str(number).replace(".", ",")),
)


@given(
    st.sampled_from(MOMENTS),
    st.lists(st.one_of(WORD, NUMBER, st.text(max_size=6)), max_size=6).map(" ".join),
)
def test_no_mix_of_words_and_numbers_is_too_strange_at_any_moment(day: Day, line: str) -> None:
    meant = said(line, day)
    assert fits(meant), meant
    if isinstance(meant, intents.Intent) and not isinstance(meant, intents.KeepIt | intents.Wrong):
        decision = day.ask(meant)
        assert isinstance(decision, tuple) or decision.why.isprintable()


def test_water_is_asked_in_the_unit_its_amount_was_told_in() -> None:
    day = Day(load(sample_text("sluice-maize")))
    day.send(intents.Start())
    day.send(intents.ChooseUnits("us"))
    day.send(intents.Skip(sure=True))
    day.send(temperature(95.0, sure=True))
    day.send(intents.Done(sure=True))
    planned = pouring.water_to_pour(day.schedule, day.state, day.t)
    assert planned is not None and show(planned[0], "volume", "us").endswith("gal")
    meant = understood("2.6", day.schedule, day.state, day.t)
    assert isinstance(meant, intents.AddWater) and meant.litres == pytest.approx(2.6 * GALLON, rel=1e-6)
