"""What a recogniser writes, read as one line or none: never as another value than was said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.listener_lines import Asked
from mashday.faces.vocabulary import ALIASES, MOVE_OF, WORDS
from mashday.listener.strict import line
from mashday.listener.words import ANSWERS_TO_A_DOUBT, NEAR_A_DOUBT, PHRASES

ONES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = (
    *("ten", "eleven", "twelve", "thirteen", "fourteen"),
    *("fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")

# How models were seen to write what was said (synthetic speech); the readings are common practice.
SEEN: dict[tuple[str, Asked], str | None] = {
    ("60, 3.", "temperature"): "63",
    ("60. Three.", "temperature"): "63",
    ("60, 3.5.", "temperature"): "63.5",
    ("8,1", "temperature"): "81",
    ("8-1.", "temperature"): "81",
    ("6-3.5", "temperature"): "63.5",
    ("6, 3, 0.5", "temperature"): None,
    ("6 3 .5", "temperature"): "63.5",
    ("63 point 5.", "temperature"): "63.5",
    ("63½", "temperature"): "63.5",
    ("63 1/2 degrees", "temperature"): "63.5",
    ("Sixty-three and a half.", "temperature"): "63.5",
    ("64.5\N{DEGREE SIGN}", "temperature"): "64.5",
    ("ninety one on the half.", "temperature"): "91.5",
    ("eighty two points seven", "temperature"): "82.7",
    ("two of", "temperature"): None,
    ("64.5\N{DEGREE SIGN}C.", "temperature"): "64.5 C",
    ("Temperature 64.5", "temperature"): "64.5",
    ("1-45 degrees", "temperature"): "145",
    ("1, 0, 4", "temperature"): "104",
    ("63,5", "temperature"): None,
    ("60, 3, 5", "temperature"): None,
    ("6.3.5", "temperature"): None,
    ("64.55", "temperature"): None,
    ("645", "temperature"): None,
    ("-5", "temperature"): None,
    ("minus five", "temperature"): None,
    ("It's 63.", "temperature"): None,
    ("63 63", "temperature"): None,
    ("1062", "temperature"): None,
    ("1,062", "temperature"): None,
    ("10.41", "gravity"): "1.041",
    ("10:41", "gravity"): "1.041",
    ("10, 41.", "gravity"): "1.041",
    ("10, 40, 1.", "gravity"): "1.041",
    ("106.2", "gravity"): "1.062",
    ("one-oh-six-two", "gravity"): "1.062",
    ("1-0-6-2.", "gravity"): "1.062",
    ("1-O-6-2.", "gravity"): "1.062",
    ("1062", "gravity"): "1.062",
    ("1,062.", "gravity"): "1.062",
    ("1.062", "gravity"): "1.062",
    ("One point oh six two.", "gravity"): "1.062",
    ("11-0-5", "gravity"): "1.105",
    ("one point of five five.", "gravity"): "1.055",
    ("one of", "gravity"): None,
    ("11.05", "gravity"): "1.105",
    ("9-9-8", "gravity"): "0.998",
    ("0.998.", "gravity"): "0.998",
    ("12.5 Plato", "gravity"): "12.5 P",
    ("998", "gravity"): "0.998",
    ("Point nine nine eight", "gravity"): "0.998",
    ("98.5", "gravity"): None,
    ("99.8", "gravity"): None,
    ("ninety nine point eight", "gravity"): None,
    ("1.06", "gravity"): None,
    ("106", "gravity"): None,
    ("62", "gravity"): None,
    ("10,602", "gravity"): None,
    ("1 and 62", "gravity"): None,
    ("12.5 litres.", "volume"): "12.5 L",
    ("Twelve and a half liters", "volume"): "12.5 L",
    ("1,500 millilitres", "volume"): "1500 mL",
    ("1,2 litres", "volume"): None,
    ("0,5 litres", "volume"): None,
    ("3,4 gallons", "volume"): None,
    ("20, 5 litres", "volume"): None,
    ("Twenty, five litres.", "volume"): None,
    ("1. 2 litres.", "volume"): None,
    ("1-2 litres", "volume"): None,
    ("12, litres.", "volume"): "12 L",
    ("Twenty-five litres.", "volume"): "25 L",
    ("1,5 kilos", "mass"): None,
    ("10,5 minutes", "minutes"): None,
    ("oh five", "volume"): None,
    ("05 litres", "volume"): None,
    ("Oh point five litres.", "volume"): "0.5 L",
    ("0.5 litres", "volume"): "0.5 L",
    ("oh four", "temperature"): None,
    ("04", "temperature"): None,
    ("08.5", "temperature"): None,
    ("0.5", "temperature"): "0.5",
    ("01", "count"): None,
    ("05.4", "ph"): None,
    ("4.8 kilos", "mass"): "4.8 kilos",
    ("10 minutes.", "minutes"): "10 min",
    ("pH 5.4", "ph"): "ph 5.4",
    ("5.4", "ph"): "ph 5.4",
    ("Oh", "volume"): None,
    ("Oh, oh.", "temperature"): None,
    ("zero", "temperature"): "0",
    ("Two.", "count"): "2",
    ("Keep it!", "keep"): "keep it",
    ("Wrong.", "keep"): "wrong",
    ("63.5", "keep"): None,
    ("Next step", "keep"): None,
    ("Keep it. Keep it.", "keep"): None,
    ("Keep it?", "keep"): None,
    ("Wrong?", "keep"): None,
    ("Next step?", "words"): None,
    ("Heat off?", "temperature"): None,
    ("Next stop.", "words"): None,
    ("63.5", "words"): None,
    ("Take 1.", "words"): "take 1",
    ("Weigh 2.", "temperature"): "take 2",
    ("I don\N{RIGHT SINGLE QUOTATION MARK}t know.", "gravity"): "unknown",
    ("Snooze 2 minutes", "words"): "snooze 2",
    ("5 minutes more.", "words"): "more 5",
    ("", "temperature"): None,
    ("...", "words"): None,
    ("You", "words"): None,
    ("Thank you.", "words"): None,
}


@pytest.mark.parametrize(("text", "kind"), SEEN)
def test_a_writing_is_read_as_it_was_said(text: str, kind: Asked) -> None:
    assert line(text, kind) == SEEN[text, kind]


@pytest.mark.parametrize("text", NEAR_A_DOUBT)
def test_what_sounds_like_an_answer_to_a_doubt_is_none(text: str) -> None:
    assert line(text, "keep") is None


@pytest.mark.parametrize("word", ["yes", "no", "ok", "okay", "done", "keep", "next", "start", "undo", "quit"])
@pytest.mark.parametrize("kind", ["words", "keep", "temperature", "gravity", "count"])
def test_no_single_word_does_anything(word: str, kind: Asked) -> None:
    assert line(word, kind) is None


def test_every_line_of_the_table_is_one_of_the_line_mode() -> None:
    for meant in PHRASES.values():
        first = meant if meant in WORDS else meant.split()[0]
        assert first in WORDS and first not in ALIASES, meant


def test_nothing_that_is_said_leaves_or_ends_the_day_or_writes_a_file() -> None:
    barred = {"quit", "finish", "abort", "save", "sheet", "skip", "void", "correct"}
    barred |= {word for word, move in MOVE_OF.items() if move == "closing"}
    assert not barred & {meant.split()[0] for meant in PHRASES.values()}


def test_a_phrase_has_two_words_but_for_wrong() -> None:
    assert [phrase for phrase in PHRASES if " " not in phrase] == ["wrong"]
    assert set(ANSWERS_TO_A_DOUBT.values()) == {"keep it", "wrong"}


def spoken(whole: int) -> str:
    """A whole number below 200 in words."""
    if whole >= 100:
        return "one hundred" + (f" and {spoken(whole - 100)}" if whole > 100 else "")
    if whole < 20:
        return (*ONES, *TEENS)[whole]
    return TENS[whole // 10] + (f" {ONES[whole % 10]}" if whole % 10 else "")


def said_in_ones(whole: int, gap: str = " ") -> str:
    return gap.join(ONES[int(digit)] for digit in str(whole))


def written_in_parts(whole: int, gap: str) -> str:
    """Tens and units apart, as "60, 3"."""
    if whole < 20 or whole % 10 == 0 or whole >= 100:
        return str(whole)
    return f"{whole // 10}0{gap}{whole % 10}"


GAPS = (" ", ", ", "-", ". ", ",", "; ")
ENDS = ("", ".", "!", " degrees", " degrees.", "\N{DEGREE SIGN}")


@given(
    st.integers(0, 1100),
    st.sampled_from(GAPS),
    st.sampled_from(ENDS),
    st.booleans(),
    st.sampled_from(range(7)),
)
def test_a_temperature_is_read_as_itself_or_not_at_all(
    tenths: int, gap: str, end: str, lead: bool, way: int
) -> None:
    whole, tenth = divmod(tenths, 10)
    apart = gap.join(str(whole))
    ways = (
        f"{spoken(whole)} point {ONES[tenth]}",
        f"{said_in_ones(whole, gap)} point {ONES[tenth]}",
        f"{whole}.{tenth}",
        f"{written_in_parts(whole, gap)}.{tenth}",
        f"{written_in_parts(whole, gap)} point {tenth}",
        f"{apart}.{tenth}",
        f"{apart} point {tenth}",
    )
    text = f"{'Temperature ' if lead else ''}{ways[way]}{end}"
    found = line(text, "temperature")
    assert found is None or float(found) == tenths / 10.0, text


@given(st.integers(0, 110), st.sampled_from(GAPS), st.sampled_from(ENDS), st.sampled_from(range(6)))
def test_a_whole_temperature_too(whole: int, gap: str, end: str, way: int) -> None:
    ways = (
        spoken(whole),
        spoken(whole).replace(" ", gap),
        said_in_ones(whole, gap),
        str(whole),
        written_in_parts(whole, gap),
        gap.join(str(whole)),
    )
    found = line(ways[way] + end, "temperature")
    assert found is None or float(found) == whole, ways[way]


def test_the_plain_ways_of_every_temperature_are_understood() -> None:
    for tenths in range(1101):
        whole, tenth = divmod(tenths, 10)
        for text in (f"{spoken(whole)} point {ONES[tenth]}.", f"{whole}.{tenth} degrees", f"{whole}.{tenth}"):
            found = line(text, "temperature")
            assert found is not None and float(found) == tenths / 10.0, text


@given(st.integers(980, 1199), st.sampled_from(GAPS), st.sampled_from(range(6)))
def test_a_gravity_is_read_as_itself_or_not_at_all(points: int, gap: str, way: int) -> None:
    text = str(points)
    ways = (
        gap.join(ONES[int(digit)] for digit in text).replace("zero", "oh"),
        gap.join(text),
        f"{points / 1000.0:.3f}",
        text,
        f"{text[:-2]}{gap}{text[-2:]}",
        f"{spoken(points // 100)}{gap}{'oh ' if points % 100 < 10 else ''}{spoken(points % 100)}",
    )
    found = line(ways[way], "gravity")
    assert found is None or float(found) == points / 1000.0, ways[way]


@given(st.integers(980, 1199), st.sampled_from(GAPS))
def test_a_gravity_that_lost_a_digit_is_none(points: int, gap: str) -> None:
    for lost in range(len(str(points))):
        left = str(points)[:lost] + str(points)[lost + 1 :]
        found = line(gap.join(left), "gravity")
        assert found is None or len(str(points)) == 4, left
        if found is not None:
            assert left[:2] in ("98", "99")


@given(st.text(max_size=250), st.sampled_from(["temperature", "gravity", "volume", "count", "keep", "words"]))
def test_any_text_is_read_without_harm(text: str, kind: Asked) -> None:
    found = line(text, kind)
    assert found is None or (found.isascii() and found.isprintable() and len(found) < 40)
