"""What becomes of hostile and of ordinary text."""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.text import MARKS_IN_A_ROW, UNSEEN_CATEGORIES, cleaned, nearest, problem, quoted, slug

any_text = st.text(st.characters(), max_size=80) | st.text(
    "e\u0301\u0308\u200b\x1b\u0b47\u0b3e \n\ud800가", max_size=40
)


@settings(max_examples=300, deadline=None)
@given(any_text)
def test_cleaned_text_holds_nothing_unseen_and_no_pile_of_marks(text: str) -> None:
    clean = cleaned(text)
    assert not {unicodedata.category(c) for c in clean} & UNSEEN_CATEGORIES
    assert clean == clean.strip() and "  " not in clean and unicodedata.is_normalized("NFC", clean)
    marks = "".join("m" if unicodedata.category(c)[0] == "M" else "." for c in clean)
    assert "m" * (MARKS_IN_A_ROW + 1) not in marks
    clean.encode("utf-8")


@settings(max_examples=300, deadline=None)
@given(any_text)
def test_cleaning_what_is_clean_changes_nothing(text: str) -> None:
    assert cleaned(cleaned(text)) == cleaned(text)


@given(st.text(st.characters(max_codepoint=0x7F)))
def test_a_text_of_common_letters_is_cleaned_as_one_beside_others(text: str) -> None:
    assert f"{cleaned(text)} ß".strip() == cleaned(f"{text} ß")


@settings(max_examples=300, deadline=None)
@given(any_text)
def test_a_sound_text_loses_no_letter_in_cleaning(text: str) -> None:
    if problem(text) is None:
        kept = "".join(unicodedata.normalize("NFC", text).split())
        assert "".join(cleaned(text).split()) == kept


@pytest.mark.parametrize(
    ("raw", "clean"),
    [
        ("  stir   twice ", "stir twice"),
        ("\x1b]0;title\x07wort", "]0;titlewort"),
        ("\x9b31mred", "31mred"),
        ("63.5\r99.9", "63.5 99.9"),
        ("one\ntwo\tthree\u2028four", "one two three four"),
        ("pass\u202eword\u2066", "password"),
        ("z\u200be\u200dr\ufeffo", "zero"),
        ("e\u0301", "\u00e9"),
        ("a\u0323\u0308\u0304\u0301\u0300", "\u1ea1\u0308\u0304"),
        ("\ud800lone", "lone"),
        ("\ue000\uffff\x00", ""),
        ("[strike] water [/]", "[strike] water [/]"),
        ("Gärung 20 °C", "Gärung 20 °C"),
    ],
)
def test_cleaned_leaves_the_words_and_takes_the_rest(raw: str, clean: str) -> None:
    assert cleaned(raw) == clean  # derived: Unicode categories of the characters


def test_cleaned_text_is_cut_at_its_limit_and_never_ends_in_a_space() -> None:
    assert cleaned("abc def", limit=4) == "abc"  # derived: four characters, the last of them a space
    assert len(cleaned("x" * 900)) == 500  # derived: the default limit


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("", "is empty"),
        (" \n ", "is empty"),
        ("x" * 61, "is 61 characters long, and 60 is the most"),
        ("a\x1b[2J", "holds an escape character (U+001B) at character 2"),
        ("two\nlines", "holds a line break (U+000A) at character 4"),
        ("a\x9b", "holds a control character (U+009B) at character 2"),
        ("a\u202eb", "holds an invisible format character (U+202E) at character 2"),
        ("\u2028x", "holds a line separator (U+2028) at character 1"),
        ("x\U000f0000", "holds a private-use character (U+F0000) at character 2"),
        ("e\u0301\u0302\u0303", "piles up more than 2 combining marks at character 4"),
    ],
)
def test_a_hostile_text_of_a_file_is_refused_in_words(raw: str, words: str) -> None:
    assert problem(raw, 60) == words  # derived: place and code point of the character


@pytest.mark.parametrize("sound", ["Lock Seven wash", "Gärung", "[/][@click=app.quit]x[/]", "ячмень", "大麦"])
def test_an_honest_text_of_a_file_is_not_refused(sound: str) -> None:
    assert problem(sound, 60) is None


@settings(max_examples=200, deadline=None)
@given(any_text)
def test_a_quotation_is_short_plain_and_printable(text: str) -> None:
    shown = quoted(text)
    assert shown.isascii() and shown.isprintable() and len(shown) <= 42
    assert shown[0] == shown[-1] and shown[0] in "'\""


def test_a_quotation_shows_a_short_text_whole_and_marks_a_cut_one() -> None:
    assert quoted("mash") == "'mash'"
    assert quoted("x\x1b") == "'x\\x1b'"
    assert quoted("abcdefghijkl", limit=10) == "'abcdefg...'"  # derived: ten characters between the marks


def test_the_nearest_known_word_is_offered_and_a_far_one_is_not() -> None:
    kinds = ["heat", "dough-in", "Rest", "starch-check"]
    assert nearest("dough_in", kinds) == "dough-in"
    assert nearest("REST", kinds) == "Rest"
    assert nearest("xylophone", kinds) is None
    assert nearest("heat" * 100_000, kinds) is None


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("Lock Seven barley wash", "lock-seven-barley-wash"),
        ("Größe & Rösti", "grosse-rosti"),
        ("../../etc/passwd", "etc-passwd"),
        ("-rf", "rf"),
        ("a\x00b\u202ec", "a-b-c"),
        ("ячмень", "session"),
        ("", "session"),
        ("...", "session"),
        ("con", "con"),
        ("x" * 300, "x" * 40),
        ("a" * 39 + " b", "a" * 39),
    ],
)
def test_a_file_name_part_is_made_of_letters_digits_and_dashes(name: str, part: str) -> None:
    assert slug(name) == part  # derived: the rule [a-z0-9-]{1,40}


@settings(max_examples=200, deadline=None)
@given(any_text)
def test_any_name_gives_a_harmless_part_of_a_file_name(name: str) -> None:
    assert re.fullmatch("[a-z0-9-]{1,40}", slug(name))
    assert slug(slug(name)) == slug(name)
