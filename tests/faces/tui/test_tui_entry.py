"""Typing a number without a field, and the guard against bursts."""

from __future__ import annotations

import pytest

from mashday.faces.tui.entry import KeyGuard, LineEntry, NumberEntry


def typed(text: str, entry: NumberEntry | None = None) -> NumberEntry:
    entry = entry or NumberEntry()
    for place, character in enumerate(text):
        entry.feed(character, 0.1 * place)
    return entry


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("65.3", "65.3"),
        ("65,3", "65,3"),
        (".5", ".5"),
        ("146f", "146f"),
        ("17L", "17L"),
        ("12.5 P", "12.5 P"),
        ("1.052 at 24 C", "1.052 at 24 C"),
        ("4.5 gal", "4.5 gal"),
        ("63.5 64.1 62.8", "63.5 64.1 62.8"),
        ("6.5.3", "6.53"),
        ("n65", "65"),
        ("65n", "65"),
        ("65cc", "65c"),
        ("-5", "5"),
        ("٦٥", ""),
        ("６５", ""),
        ("  7", "7"),
    ],
)
def test_only_what_can_be_a_number_and_its_unit_is_taken(text: str, kept: str) -> None:
    assert typed(text).text == kept


def test_fewer_minutes_may_be_asked_with_a_minus() -> None:
    assert typed("-5", NumberEntry(prefix="more")).take() == "more -5"


def test_a_number_has_an_end() -> None:
    assert len(typed("1" * 100).text) == 24  # derived: LONGEST


def test_erasing_goes_letter_by_letter_and_then_drops_the_word_before() -> None:
    entry = typed("1", NumberEntry(prefix="more"))
    entry.erase(1.0)
    assert (entry.text, entry.prefix) == ("", "more")
    entry.erase(1.0)
    assert entry.prefix == ""


def test_a_number_left_standing_is_set_aside_and_comes_back() -> None:
    entry = typed("65.3")
    assert not entry.stale(20.2)  # the last key came at 0.3 s
    assert entry.stale(20.4)
    assert (entry.text, entry.aside) == ("", "65.3")
    assert entry.recall(21.0)
    assert entry.text == "65.3"
    assert not entry.stale(40.0)


def test_minutes_left_standing_are_dropped_in_silence() -> None:
    entry = typed("10", NumberEntry(prefix="more", aside="65.3"))
    assert not entry.stale(60.0)
    assert (entry.text, entry.prefix, entry.aside) == ("", "", "65.3")


def test_a_burst_is_dropped_and_all_is_quiet_for_a_second_after_it() -> None:
    guard = KeyGuard()
    assert [guard.drops(0.02 * place) for place in range(10)] == [False] * 5 + [True] * 5
    assert guard.drops(1.0)
    assert not guard.drops(2.1)


def test_quick_typing_is_no_burst() -> None:
    guard = KeyGuard()
    assert not any(guard.drops(0.06 * place) for place in range(60))


def test_a_line_grows_and_shrinks_at_its_end() -> None:
    line = LineEntry("note ")
    for character in "lid off":
        line.key(character, character)
    line.key("left_shift", None)
    line.key("enter", "\r")
    assert line.text == "note lid off"
    line.key("backspace", "\x7f")
    line.key("ctrl+w", "\x17")
    assert line.text == "note lid"
    line.key("ctrl+u", "\x15")
    assert line.text == ""


def test_a_pasted_line_loses_what_a_terminal_would_act_on_and_has_an_end() -> None:
    line = LineEntry()
    line.feed("a\x1b[2Jb\nc" * 200)
    assert line.text.startswith("a[2Jbca[2Jbc")
    assert len(line.text) == 400  # derived: LONGEST_LINE
