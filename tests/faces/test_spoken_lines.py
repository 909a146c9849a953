"""Lines with numbers in words, lines that come by the door, and what is said back of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from days import BARLEY, Day, gravity, volume
from hypothesis import given
from hypothesis import strategies as st

from mashday.engine import intents, plausible
from mashday.faces.aloud import aloud, cardinal, digits
from mashday.faces.heard import _DOES, _SAID, heard, read_back, unlikely
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.said_numbers import spoken_digits
from mashday.faces.vocabulary import ALIASES, WORDS
from mashday.schedule.door import load


def said(line: str, day: Day) -> Understood:
    return understood(line, day.schedule, day.state, day.t)


def by_door(line: str, day: Day) -> Understood:
    return heard(line, day.schedule, day.state, day.t)


def wrong(meant: Understood) -> str:
    assert isinstance(meant, Misunderstood), meant
    return meant.why


def resting() -> Day:
    return Day(load(BARLEY)).to_step(4).after(minutes=6)


def offered() -> Day:
    day = resting()
    day.read(61.0)
    return day


def asked_gravity() -> Day:
    return Day(load(BARLEY)).to_step(6)


def asked_volume() -> Day:
    day = asked_gravity()
    day.send(gravity(1.070, 24.0))
    return day


RESTING, OFFERED, GRAVITY, VOLUME = resting(), offered(), asked_gravity(), asked_volume()


# What each line means is what the same line means in digits: tests/faces/test_lines.py and test_line_words.py
# hold those.
@pytest.mark.parametrize(
    ("words", "typed", "day"),
    [
        ("sixty three point five", "63.5", RESTING),
        ("six three point five", "63.5", RESTING),
        ("Sixty-three and a half.", "63.5", RESTING),
        ("sixty three point five degrees", "63.5", RESTING),
        ("sixty three point five degrees celsius", "63.5 C", RESTING),
        ("temp one forty five point four fahrenheit", "temp 145.4 F", RESTING),
        ("12,5", "12,5", RESTING),
        ("ten fifty-two", "1.052", GRAVITY),
        ("one point oh six two", "1.062", GRAVITY),
        ("ten fifty two at twenty four degrees", "1.052 at 24", GRAVITY),
        ("twelve point five plato", "12.5 P", GRAVITY),
        ("gravity ten fifty two at twenty four degrees", "gravity 1.052 at 24", RESTING),
        ("seventeen and a half litres", "17.5 L", VOLUME),
        ("added one point two litres at boiling", "added 1.2 L at boiling", RESTING),
        ("more ten", "more 10", RESTING),
        ("more minus five", "more -5", RESTING),
        ("take two", "take 2", RESTING),
        ("two", "2", OFFERED),
        ("one", "1", OFFERED),
        ("void twelve", "void 12", RESTING),
        ("snooze five minutes", "snooze 5", RESTING),
        ("snooze two", "snooze 2", RESTING),
        ("ph five point four", "ph 5.4", RESTING),
        ("correct twelve sixty five point four", "correct 12 65.4", RESTING),
        ("grain at twenty four degrees", "grain at 24", RESTING),
        ("measured fourteen litres", "measured 14 L", RESTING),
        ("weighed four and a half kilos", "weighed 4.5 kilos", RESTING),
        ("weighed half a kilo of two row malt", "weighed 0.5 kilos of two row malt", RESTING),
        ("tick sixty five point four", "tick 65.4", RESTING),
        ("tick ten fifty two", "tick 1.052", RESTING),
        ("why two", "why 2", OFFERED),
    ],
)
def test_a_number_in_words_means_what_it_means_in_digits(words: str, typed: str, day: Day) -> None:
    meant = said(words, day)
    assert meant == said(typed, day)
    assert not isinstance(meant, Misunderstood)


def test_degrees_may_be_said_behind_digits() -> None:
    for line in ("63.5 degrees", "temp 63.5 degrees", "gravity 1.052 at 24 degrees", "grain at 24 degrees"):
        assert not isinstance(said(line, RESTING), Misunderstood), line


def test_the_words_of_a_name_or_an_answer_stay_words() -> None:
    day = RESTING
    assert said("tick the two clips are on", day) == intents.TickItem(value="the two clips are on")
    assert said("note six clips left", day) == intents.WriteNote("six clips left")
    meant = said("weighed 4.8 kg of two row malt", day)
    assert isinstance(meant, intents.GiveAmount) and meant.name == "two row malt"
    assert said("save /media/one", day) == Command("save", "/media/one")


def test_a_temperature_of_two_degrees_takes_no_way() -> None:
    assert isinstance(said("two degrees", OFFERED), intents.TakeReading)


def test_an_item_of_the_checklist_takes_any_number() -> None:
    text = BARLEY.replace('"malt weighed"', '"water at ...?"')
    day = Day(load(text))
    day.send(intents.Start())
    assert said("sixty five point four", day) == said("65.4", day)


@pytest.mark.parametrize(
    ("line", "day", "words"),
    [
        ("ten fifty two", RESTING, "no temperature"),
        ("sixty five four", RESTING, "sixty three point five"),
        ("temp sixty five four", RESTING, "six three point five"),
        ("sixty three point five please", RESTING, "no temperature"),
        ("one point oh six", GRAVITY, "ten fifty two"),
        ("gravity one point oh six", RESTING, "one point zero five two"),
        ("sixty three point five", GRAVITY, "no gravity"),
        ("one litre two", VOLUME, "one point two litres"),
        ("weighed four point eight two row malt", RESTING, "four point eight kilos"),
        ("ph five", RESTING, "five point four"),
        ("take two point five", RESTING, "no number"),
        ("more ten fifty", RESTING, "ten minutes"),
        ("snooze one and a half minutes", RESTING, "whole minutes"),
        ("correct one two sixty", RESTING, "correct 12 65.4"),
    ],
)
def test_words_that_are_no_sound_number_are_refused_with_what_would_do(
    line: str, day: Day, words: str
) -> None:
    assert words in wrong(said(line, day))
    assert words in wrong(by_door(line, day))


@pytest.mark.parametrize("line", ["yes", "Yes.", "keep", "YES!", "yes  ", "keep."])
def test_no_stray_yes_by_the_door_keeps_anything(line: str) -> None:
    assert wrong(by_door(line, RESTING)) == "Say keep it, or wrong."


def test_the_few_words_by_the_door() -> None:
    assert by_door("keep it", RESTING) == intents.KeepIt()
    assert by_door("Keep it.", RESTING) == intents.KeepIt()
    assert by_door("no", RESTING) == intents.Wrong()
    assert by_door("ok", RESTING) == intents.Acknowledge()
    assert by_door("Done.", RESTING) == intents.Done()
    assert by_door("two", OFFERED) == intents.TakeRemedy(2)


@pytest.mark.parametrize("line", ["", "   ", ".", "...", "\x1b"])
def test_nothing_by_the_door_acknowledges_nothing(line: str) -> None:
    assert isinstance(said("", RESTING), intents.Acknowledge)
    assert "Nothing was heard" in wrong(by_door(line, RESTING))


def test_an_unlikely_value_by_the_door_is_asked_for_again_and_never_doubted() -> None:
    day = resting()
    typed = said("36", day)
    assert isinstance(typed, intents.TakeReading) and day.doubted(typed)
    told = wrong(by_door("thirty six", day))
    low, high = plausible.window(day.schedule, day.state, "temperature", day.t) or (0.0, 0.0)
    assert told == (
        f"Heard three six degrees. It should lie between {low:.0f} C and {high:.0f} C."
        " If it is right, say it again, digit by digit."
    )
    assert by_door("sixty three", day) == said("63", day)


def test_each_place_of_a_mash_must_be_likely_by_the_door() -> None:
    assert isinstance(by_door("temp 63.5 62.8", RESTING), intents.TakeReading)
    assert "Heard" in wrong(by_door("temp 63.5 26.8", RESTING))


def test_a_gravity_a_volume_and_a_ph_out_of_all_likelihood_are_asked_for_again() -> None:
    mashed = Day(load(BARLEY)).to_step(4).after(minutes=60).to_step(6)
    assert "Heard zero point nine nine zero. It should" in wrong(by_door("0.990", mashed))
    assert "Heard one zero zero litres. It should" in wrong(by_door("a hundred litres", VOLUME))
    assert "Heard three point two. It should" in wrong(by_door("ph three point two", GRAVITY))


def test_a_correction_by_the_door_must_be_likely_while_its_step_is_under_way() -> None:
    day = resting()
    day.read(62.8)
    number = day.state.readings[-1].number
    assert isinstance(by_door(f"correct {number} 63.1", day), intents.Correct)
    assert "Heard three six degrees" in wrong(by_door(f"correct {number} 36", day))
    day.to_step(5)
    assert isinstance(by_door(f"correct {number} 36", day), intents.Correct)


def test_what_the_thermometer_shows_wrong_is_allowed_for() -> None:
    text = BARLEY.replace("[[grain]]", '[thermometer]\noffset = "4 K"\n[[grain]]', 1)
    day = Day(load(text)).to_step(4).after(minutes=6)
    assert isinstance(by_door("67", day), intents.TakeReading)
    assert "Heard" in wrong(by_door("61", replaced(day, 63.0)))


def replaced(day: Day, celsius: float) -> Day:
    """The day after a reading that truly was `celsius`."""
    day.read(celsius + day.schedule.thermometer.offset_kelvin, sure=True)
    return day.after(minutes=5)


@pytest.mark.parametrize(
    ("line", "day", "back"),
    [
        ("sixty three point five", RESTING, ""),
        ("starch fail", RESTING, ""),
        ("added 1.2 L at 95 C", RESTING, ""),
        ("correct 12 63.1", RESTING, ""),
        ("weighed 4.8 kg", RESTING, "Came in: four point eight kilograms"),
        ("more 10", RESTING, "The time: one zero minutes longer"),
        ("more -2.5", RESTING, "The time: two point five minutes shorter"),
        ("snooze 5", RESTING, "Quiet for five minutes"),
        ("void 12", RESTING, "Striking reading one two"),
        ("take 2", RESTING, "Way two is the one"),
        ("tick", RESTING, "Ticking it off"),
        ("tick 65.4", RESTING, "Ticking it off: six five point four"),
        ("note lid left off", RESTING, "Written down: lid left off"),
        ("change heat higher", RESTING, "For next time: heat higher"),
        ("units us", RESTING, "Showing pounds and gallons"),
        ("units", RESTING, "Showing the others"),
        ("next", RESTING, "Moving along"),
        ("undo", RESTING, "Taking it back"),
        ("ok", RESTING, "That is understood"),
        ("heat off", RESTING, "That is understood"),
        ("keep it", RESTING, "Then it counts"),
        ("why", RESTING, ""),
        ("xyzzy", RESTING, ""),
    ],
)
def test_what_came_by_the_door_is_said_back(line: str, day: Day, back: str) -> None:
    assert read_back(line, by_door(line, day)) == back


SAID_BACK_ONCE_TAKEN = {intents.TakeReading, intents.Correct, intents.AddWater}
ENDS_THE_DAY = {intents.Finish, intents.Abort}


def test_every_intent_a_line_can_be_is_said_back_by_a_name_of_its_own() -> None:
    kinds = {type(said(word.written, RESTING)) for word in WORDS.values()} - {Command, Misunderstood}
    assert kinds - SAID_BACK_ONCE_TAKEN - ENDS_THE_DAY == set(_SAID) | set(_DOES)
    assert read_back("some new\x1b word", intents.Intent()) == "Came in: some new word"


STATES = {
    "idle": Day(load(BARLEY)),
    "resting": RESTING,
    "offered": OFFERED,
    "gravity": GRAVITY,
    "volume": VOLUME,
}
NUMBERS = ("63.5", "sixty three point five", "1", "two", "1.050", "17 L", "5.4", "12.5 P", "63.5 62.8")


@pytest.mark.parametrize("when", STATES)
def test_nothing_that_is_said_back_is_itself_obeyed(when: str) -> None:
    """A microphone hears the loudspeaker, and a program that writes down speech leaves out the marks."""
    day, obeyed = STATES[when], 0
    written = [word.written for word in WORDS.values()]
    lines = [*written, *WORDS, *ALIASES, *NUMBERS, "units us", "starch 2", "snooze 5", "note done", "more -5"]
    for line in lines:
        meant = by_door(line, day)
        back = read_back(line, meant)
        obeyed += bool(back)
        bare = "".join(mark for mark in back.lower() if mark not in ".,:;")
        for again in (back, bare):
            assert isinstance(by_door(again, day), Misunderstood), (line, again)
    assert obeyed > 20


def test_what_a_word_does_is_said_without_a_word_of_the_day() -> None:
    """For a program that listens for single words."""
    words = {word for said in _DOES.values() for word in said.split()}
    assert not words & {part for word in (*WORDS, *ALIASES) for part in word.split()} - {"it"}


def test_a_number_without_end_is_not_said_back_digit_by_digit() -> None:
    reading = replace(volume(1e12), typed="1e12")
    told = unlikely(reading, VOLUME.schedule, VOLUME.state, VOLUME.t)
    assert told is not None and told.startswith("Heard a very long number. It should")


UNASKED = Day(load(BARLEY)).to_step(2)


@given(st.integers(0, 1100), st.sampled_from(["", " C"]))
def test_a_temperature_said_aloud_or_digit_by_digit_comes_back_as_itself(tenths: int, unit: str) -> None:
    celsius = tenths / 10
    for line in (aloud(f"{celsius:.1f}{unit}"), spoken_digits(f"{celsius:.1f}{unit}"), f"temp {celsius}"):
        meant = said(line, UNASKED)
        assert isinstance(meant, intents.TakeReading), line
        assert (meant.quantity, meant.value) == ("temperature", celsius)
        answered = by_door(line, UNASKED)
        assert answered == meant or "Heard" in wrong(answered)


def in_pairs(thousandths: int) -> str:
    """ "ten fifty two", "ten oh five", "eleven hundred", "nine ninety"."""
    if thousandths < 1000:
        return f"nine {cardinal(thousandths - 900)}"
    head, tail = divmod(thousandths, 100)
    if tail == 0:
        return f"{cardinal(head)} hundred" if head > 10 else "one thousand"
    return f"{cardinal(head)} oh {cardinal(tail)}" if tail < 10 else f"{cardinal(head)} {cardinal(tail)}"


@given(st.integers(990, 1120))
def test_a_gravity_said_in_any_common_way_comes_back_as_itself(thousandths: int) -> None:
    text = f"{thousandths / 1000:.3f}"
    whole, _, decimals = text.partition(".")
    pointed = f"{digits(whole)} point {digits(decimals)}"
    in_ones = digits(text.replace(".", "").removeprefix("0"))
    for words in (in_pairs(thousandths), pointed, in_ones, aloud(text)):
        for line in (words, f"gravity {words}", words.replace("-", " ")):
            meant = said(line, GRAVITY)
            assert isinstance(meant, intents.TakeReading), line
            assert (meant.quantity, meant.metric) == ("gravity", thousandths / 1000)
            answered = by_door(line, GRAVITY)
            assert answered == meant or "Heard" in wrong(answered)


IDLE, HEATING = Day(load(BARLEY)), Day(load(BARLEY)).to_step(2).after(minutes=10)
HEATING.read(40.0)
PIECES = st.sampled_from(
    [
        *(
            "oh",
            "zero",
            "one",
            "two",
            "nine",
            "ten",
            "fifteen",
            "sixty",
            "hundred",
            "thousand",
            "point",
            "half",
        ),
        *(
            "and",
            "a",
            "of",
            "at",
            "minus",
            "degrees",
            "celsius",
            "litres",
            "kilos",
            "minutes",
            "63.5",
            "1052",
        ),
        *("9" * 30, "-1", "yes", "keep", "it", ".", "\x1b", *WORDS, *ALIASES),
    ]
)


@given(
    st.one_of(st.text(max_size=80), st.lists(PIECES, max_size=8).map(" ".join)),
    st.sampled_from([IDLE, HEATING, RESTING, OFFERED, GRAVITY, VOLUME]),
)
def test_no_text_is_too_strange_for_the_door(line: str, day: Day) -> None:
    for meant in (said(line, day), by_door(line, day)):
        assert isinstance(meant, intents.Intent | Command | Misunderstood)
        back = read_back(line, meant)
        assert back.isprintable() and len(back) < 1500
        if isinstance(meant, Misunderstood):
            assert meant.why.isprintable() and 10 < len(meant.why) < 300 and back == ""
    if isinstance(meant, intents.KeepIt):
        assert "keep it" in line.lower()
