"""What is typed, piped or spoken, understood."""

from __future__ import annotations

import pytest
from days import BARLEY, Day, gravity, starch
from hypothesis import given
from hypothesis import strategies as st

from mashday.engine import calls, intents
from mashday.faces.lines import Command, Misunderstood, understood
from mashday.faces.tell import MOVES
from mashday.faces.vocabulary import ALIASES, COMMANDS, MOVE_OF, WORDS
from mashday.schedule.door import load

PLAIN = [
    ("start", intents.Start()),
    ("done", intents.Done()),
    ("next", intents.Done()),
    ("DONE", intents.Done()),
    ("hold", intents.Hold()),
    ("resume", intents.Resume()),
    ("skip", intents.Skip()),
    ("undo", intents.Undo()),
    ("unknown", intents.AnswerUnknown()),
    ("leave", intents.LeaveIt()),
    ("leave it", intents.LeaveIt()),
    ("yes", intents.KeepIt()),
    ("no", intents.Wrong()),
    ("keep it", intents.KeepIt()),
    ("wrong", intents.Wrong()),
    ("ok", intents.Acknowledge()),
    ("mute", intents.Mute()),
    ("finish", intents.Finish()),
    ("abort", intents.Abort()),
    ("more 10", intents.Extend(10.0)),
    ("more 0.5 h", intents.Extend(30.0)),
    ("more -5", intents.Extend(-5.0)),
    ("tick", intents.TickItem()),
    ("tick 65.4", intents.TickItem(value="65.4")),
    ("take 2", intents.TakeRemedy(2)),
    ("void 12", intents.Void(12)),
    ("snooze 5", intents.Snooze(5)),
    ("note lid  left off", intents.WriteNote("lid left off")),
    ("units", intents.ChooseUnits()),
    ("units us", intents.ChooseUnits("us")),
    ("units metric", intents.ChooseUnits("metric")),
    ("why", Command("why")),
    ("left", Command("left")),
    ("again", Command("again")),
    ("help", Command("help")),
    ("quit", Command("quit")),
    ("wait 15 min", Command("wait", "15 min")),
    ("save /tmp/x", Command("save", "/tmp/x")),
]


def said(line: str, day: Day) -> object:
    return understood(line, day.schedule, day.state, day.t)


@pytest.fixture
def resting() -> Day:
    return Day(load(BARLEY)).to_step(4)


@pytest.mark.parametrize(("line", "meant"), PLAIN, ids=[line for line, _ in PLAIN])
def test_words_mean_what_the_table_says(resting: Day, line: str, meant: object) -> None:
    assert said(line, resting) == meant


TEMPERATURES = [
    ("63.5", 63.5),
    ("63,5", 63.5),
    ("63.5 C", 63.5),
    ("63.5C", 63.5),
    ("146.3 F", 63.5),
    ("146.3F", 63.5),
    ("temp 63.5", 63.5),
    ("temperature 63.5 degC", 63.5),
    ("temp 63.5 64.1 62.8", 63.4667),
    ("63.5 64.1 62.8", 63.4667),
    ("temp 146 147 F", 63.6111),
    ("146 F 147 F", 63.6111),
    ("63.5, 64.1; 62.8", 63.4667),
    ("63.5 deg C", 63.5),
    ("63.5\N{DEGREE SIGN}C", 63.5),
    ("+63.5", 63.5),
]


@pytest.mark.parametrize(("line", "celsius"), TEMPERATURES)
def test_temperatures(resting: Day, line: str, celsius: float) -> None:
    meant = said(line, resting)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "temperature"
    assert meant.metric == pytest.approx(celsius, abs=1e-3)


def test_several_places_are_kept_beside_their_mean(resting: Day) -> None:
    meant = said("temp 63.5 64.1 62.8", resting)
    assert isinstance(meant, intents.TakeReading) and meant.spots == (63.5, 64.1, 62.8)


GRAVITIES = [
    ("gravity 1.052 at 24 C", 1.052, "SG", 24.0),
    ("gravity 1052 at 75 F", 1.052, "SG", 23.8889),
    ("gravity 1,052", 1.052, "SG", None),
    ("gravity 12 P", 1.0483, "P", None),  # ASBC tables: 12 Plato is SG 1.0484
    ("gravity 12 Bx", 1.0464, "Bx", None),  # 12 / 1.04 = 11.54 Plato, common practice
]


@pytest.mark.parametrize(("line", "value", "unit", "sample"), GRAVITIES)
def test_gravities(resting: Day, line: str, value: float, unit: str, sample: float | None) -> None:
    meant = said(line, resting)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "gravity"
    assert meant.metric == pytest.approx(value, abs=3e-4)
    assert meant.unit == unit
    assert meant.sample_celsius == (None if sample is None else pytest.approx(sample, abs=1e-3))


WATERS = [
    ("added 1.2 L at 95 C", 1.2, 95.0),
    ("added 1 qt at 200 F", 0.94635, 93.3333),
    ("added 500 mL at tap", 0.5, 12.0),
    ("added 1 L at boiling", 1.0, 96.97),
    ("added 1.2 L", 1.2, None),
    ("added 1,2", 1.2, None),
]


@pytest.mark.parametrize(("line", "litres", "celsius"), WATERS)
def test_water_added(resting: Day, line: str, litres: float, celsius: float | None) -> None:
    meant = said(line, resting)
    assert isinstance(meant, intents.AddWater)
    assert meant.litres == pytest.approx(litres, abs=1e-4)
    assert meant.celsius == (None if celsius is None else pytest.approx(celsius, abs=0.01))


def test_amounts_volumes_ph_and_starch(resting: Day) -> None:
    assert said("weighed 4.8 kg", resting) == intents.GiveAmount("grain", 4.8, "4.8 kg")
    meant = said("weighed 11 lb of pale barley malt", resting)
    assert isinstance(meant, intents.GiveAmount) and meant.name == "pale barley malt"
    assert meant.amount == pytest.approx(4.98952, abs=1e-4)  # the pound is 0.45359237 kg by definition
    assert said("measured 14 L", resting) == intents.GiveAmount("water", 14.0, "14 L")
    volume = said("volume 17 L", resting)
    assert isinstance(volume, intents.TakeReading) and volume.metric == 17.0
    ph = said("ph 5.4", resting)
    assert isinstance(ph, intents.TakeReading) and (ph.quantity, ph.metric) == ("ph", 5.4)
    for line, passed in (("starch pass", True), ("starch fail", False)):
        meant = said(line, resting)
        assert isinstance(meant, intents.TakeReading) and meant.passed is passed


def test_a_bare_number_answers_what_is_asked() -> None:
    day = Day(load(BARLEY)).to_step(4)
    day.after(minutes=61).read(62.9)
    day.to_step(5)
    assert isinstance(said("12", day), Misunderstood)
    day.send(starch(True))
    day.to_step(6)
    meant = said("1.070", day)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "gravity"
    day.send(gravity(1.070))
    meant = said("22", day)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "sample temperature"
    day.send(meant)
    meant = said("18.5", day)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "volume"


def test_a_bare_number_takes_the_units_shown(resting: Day) -> None:
    resting.send(intents.ChooseUnits("us"))
    meant = said("145.4", resting)
    assert isinstance(meant, intents.TakeReading) and meant.metric == pytest.approx(63.0)
    assert (meant.value, meant.unit) == (145.4, "F")


def test_a_correction_is_read_as_its_reading_is(resting: Day) -> None:
    resting.after(minutes=6).read(62.8)
    number = resting.state.readings[-1].number
    meant = said(f"correct {number} 62.9", resting)
    assert meant == intents.Correct(number, 62.9, "C", "62.9", 62.9)


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("doen", "done"),
        ("gravty 1.05", "gravity"),
        ("temp", "temp 63.5"),
        ("take", "take 1"),
        ("more", "more 10"),
        ("gravity", "gravity 1.052"),
        ("gravity 1.6", "1.048"),
        ("added", "added 1.2 L"),
        ("correct", "correct 12"),
        ("63 parsecs", "C"),
        ("done now", "alone"),
        ("", "help"),
        ("xyzzy", "help"),
        ("starch maybe", "starch pass"),
        ("units furlong", "units us"),
        ("ph five", "ph 5.4"),
        ("63.5.2", "not a number"),
        ("68-2", "not a number"),
        ("6e1", "not a number"),
        ("63 C 64 F", "temperature"),
        ("weighed 4.8 parsnips", "kg"),
        ("weighed", "weighed 4.8 kg"),
        ("leave that", "alone"),
        ("correct 99999999999999999999 3", "correct 12"),
    ],
)
def test_what_is_not_understood_says_what_would_do(resting: Day, line: str, word: str) -> None:
    meant = said(line, resting)
    assert isinstance(meant, Misunderstood) and word in meant.why


def test_every_word_of_the_table_is_understood(resting: Day) -> None:
    for name, word in WORDS.items():
        meant = said(word.written, resting)
        assert not isinstance(meant, Misunderstood), (name, meant)
    assert set(WORDS) >= COMMANDS
    assert all(target in WORDS for target in ALIASES.values())


DAY = Day(load(BARLEY)).to_step(4)


@given(st.one_of(st.text(max_size=80), st.from_regex(r"[a-z]{0,9} ?[0-9.,\-+eE]{0,9} ?[A-Za-z%/]{0,6}")))
def test_no_text_is_too_strange(line: str) -> None:
    meant = understood(line, DAY.schedule, DAY.state, DAY.t)
    assert isinstance(meant, intents.Intent | Command | Misunderstood)
    if isinstance(meant, Misunderstood):
        assert meant.why.isprintable() and len(meant.why) < 400


def test_while_a_remedy_is_offered_a_small_number_takes_that_way() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(61.0)
    assert said("2", day) == intents.TakeRemedy(2)
    for line in ("62.9", "9", "1.0", "temp 2"):
        assert isinstance(said(line, day), intents.TakeReading), line
    day.send(intents.LeaveIt())
    assert isinstance(said("2", day), intents.TakeReading)


def test_enter_alone_acknowledges_what_calls_and_does_nothing_else() -> None:
    day = Day(load(BARLEY)).to_step(4)
    assert isinstance(said("", day), Misunderstood)
    day.after(minutes=6)
    assert said("  ", day) == intents.Acknowledge()
    day.send(intents.Acknowledge())
    assert isinstance(said("", day), Misunderstood)


@pytest.mark.parametrize(
    ("line", "kilograms", "name"),
    [
        ("weighed 4.8", 4.8, None),
        ("weighed 4800 g", 4.8, None),
        ("weighed 4.8 kg Pale Barley Malt", 4.8, "pale barley malt"),
        ("weighed 4.8 of pale barley malt", 4.8, "pale barley malt"),
        ("weighed 4.8 pale barley malt", 4.8, "pale barley malt"),
        ("weighed 4.8 kg turnips", 4.8, "turnips"),
    ],
)
def test_a_weight_may_name_its_grain(resting: Day, line: str, kilograms: float, name: str | None) -> None:
    meant = said(line, resting)
    assert isinstance(meant, intents.GiveAmount)
    assert (meant.amount, meant.name) == (pytest.approx(kilograms), name)


def test_a_volume_keeps_the_unit_it_was_typed_in(resting: Day) -> None:
    meant = said("volume 4.5 gal", resting)
    assert isinstance(meant, intents.TakeReading)
    assert (meant.value, meant.unit, meant.typed) == (4.5, "gal", "4.5 gal")
    assert meant.metric == pytest.approx(17.0344, abs=1e-3)  # the gallon is 3.785411784 L by definition


def test_water_is_asked_in_quarts_of_a_person_who_sees_us_units() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6)
    day.read(61.0)
    day.send(intents.TakeRemedy(1))
    day.send(intents.ChooseUnits("us"))
    meant = said("1", day)
    # a quart is a quarter of 3.785411784 L by definition
    assert isinstance(meant, intents.AddWater) and meant.litres == pytest.approx(0.94635, abs=1e-4)


def test_a_correction_does_not_drop_a_sample_temperature_silently() -> None:
    day = Day(load(BARLEY)).to_step(6).after(minutes=6)
    day.send(gravity(1.070, 24.0))
    number = day.state.readings[-1].number
    meant = said(f"correct {number} 1.072 at 40 C", day)
    assert isinstance(meant, Misunderstood) and f"void {number}" in meant.why


def test_each_word_of_the_day_has_its_move() -> None:
    assert set(MOVE_OF) == set(WORDS) - COMMANDS - {"keep it", "wrong"}
    assert set(MOVE_OF.values()) == set(MOVES.values())


def test_heat_off_answers_the_fire_even_while_its_call_is_quiet() -> None:
    day = Day(load(BARLEY)).to_step(4).after(minutes=6.0)
    day.read(60.5)
    offer = day.state.offer
    assert offer is not None
    fire = next(way for way in offer.options if way.way == "fire")
    day.send(intents.TakeRemedy(fire.option))
    assert "Nothing" in day.refused(said("heat off", day))  # type: ignore[arg-type]
    day.after(minutes=fire.minutes, seconds=1.0).send(intents.Snooze(5))
    assert not any(call.rings for call in calls.calls(day.schedule, day.state, day.t))
    day.send(said("heat is off", day))  # type: ignore[arg-type]
    assert all(
        call.acknowledged for call in calls.calls(day.schedule, day.state, day.t) if call.way == "fire"
    )


def test_a_temperature_that_no_mash_has_is_the_one_asked_of_the_sample() -> None:
    day = Day(load(BARLEY)).to_step(6)
    day.send(gravity(1.060))
    meant = said("temp 20", day)
    assert isinstance(meant, intents.TakeReading) and meant.quantity == "sample temperature"
    mash = said("temp 62", day)
    assert isinstance(mash, intents.TakeReading) and mash.quantity == "temperature"
    assert isinstance(day.ask(meant), tuple)


def test_plain_words_for_the_start_and_for_what_a_starch_check_found() -> None:
    day = Day(load(BARLEY))
    assert said("begin", day) == intents.Start()
    assert isinstance(said("pass", day), Misunderstood)
    day.to_step(5)
    for word, gone in (("pass", True), ("fail", False)):
        meant = said(word, day)
        assert isinstance(meant, intents.TakeReading) and (meant.quantity, meant.passed) == ("starch", gone)
