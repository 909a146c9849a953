"""Lines said aloud: as a person would say them, in letters only, and only what is worth saying."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces.aloud import LONGEST, aloud, announce, cardinal
from mashday.faces.telling import view_of
from mashday.faces.view import CallLine, Curve, View
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

JUG = "Pour in 1.0 L (about three quarters of a jug) at 95.0 C"


# How a person says a value: common practice, no source.
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("63.5 C", "sixty-three point five degrees"),
        ("63.0 C", "sixty-three degrees"),
        ("1.0 C low", "one degree low"),
        ("145.4 F", "one hundred and forty-five point four degrees"),
        ("-5 C", "minus five degrees"),
        ("1.062", "one point oh six two"),
        ("1.050", "one point oh five oh"),
        ("0.998", "zero point nine nine eight"),
        ("0.86 L", "zero point eight six litres"),
        ("3.2 qt", "three point two quarts"),
        ("5.00 kg of malt", "five kilograms of malt"),
        ("3.13 L/kg", "three point one three litres per kilogram"),
        ("99 % converted", "ninety-nine percent converted"),
        ("pH 5.40", "p H five point four"),
        ("5 min", "five minutes"),
        ("1 min 20 s", "one minute twenty seconds"),
        ("2 h 05 min", "two hours five minutes"),
        ("2-3 min", "two to three minutes"),
        ("10:42", "ten forty-two"),
        ("11:05", "eleven oh five"),
        ("10:00", "ten o'clock"),
        ("00:00", "midnight"),
        ("04:59 left of rest.", "four minutes fifty-nine seconds left of rest."),
        ("+00:12 over the time of rest.", "twelve seconds over the time of rest."),
        ("1:04:01 left", "one hour four minutes one second left"),
        (JUG, "Pour in one litre, about three quarters of a jug, at ninety-five degrees"),
        ("SOON   Rest: over in 2 min.", "Soon, Rest, over in two minutes."),
        ("CALL   Mash temperature is due.", "Mash temperature is due."),
        ("DANGER Heat off: its minutes are over.", "Danger. Heat off, its minutes are over."),
        ("NOW    Rest at 63.0 C: lid on.", "Rest at sixty-three degrees, lid on."),
        ("ASKED  mash temperature (C)", "Asked, mash temperature, in degrees Celsius"),
        ("ASKED  starch check (1 gone, 2 left)", "Asked, starch check, one gone, two left"),
        ("ASKED  gravity of the wash (SG)", "Asked, gravity of the wash"),
        ("10:02  [x] 4 of 8  Hydrometer?: fine", "ten oh two, Done, four of eight, Hydrometer. fine"),
        ("Say 'keep it' or \"wrong\".", "Say keep it or wrong."),
        ("lock-keeper's kettle, e.g. 33 L", "lock-keeper's kettle, for example thirty-three litres"),
        ("\x1b]2J63.5 \N{DEGREE SIGN}C", "two J sixty-three point five C"),
        ("", ""),
    ],
)
def test_a_line_is_said_as_a_person_would(text: str, said: str) -> None:
    assert aloud(text) == said


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (0, "zero"),
        (15, "fifteen"),
        (80, "eighty"),
        (104, "one hundred and four"),
        (1062, "one thousand and sixty-two"),
        (12_345, "twelve thousand three hundred and forty-five"),
        (1_000_000, "one oh oh oh oh oh oh"),
    ],
)
def test_whole_numbers_are_counted(number: int, said: str) -> None:
    assert cardinal(number) == said


PIECES = (
    *("63.5 C", "1.062", "0.86 L", "(about", "a jug)", "10:42", "+00:12", "1:04:59", "[x]", "[ ]", "ASKED "),
    *(
        "NOW  ",
        "DANGER",
        "pH",
        "5-6",
        "%",
        "/",
        "-5",
        "e.g.",
        "...",
        "...x",
        "it's",
        "-",
        "'",
        "12,5",
        "3.2.1",
    ),
    *("2026-10-03", "\N{DEGREE SIGN}", "\n", "  ", "4 L/kg"),
)
LINES = st.lists(
    st.one_of(
        st.sampled_from(PIECES),
        st.text(max_size=8),
        st.floats(allow_nan=True).map(str),
    ),
    max_size=80,
).map(" ".join)


@given(st.one_of(LINES, st.text(max_size=600)))
def test_only_words_come_out_and_never_too_many(text: str) -> None:
    said = aloud(text)
    assert all(character.isalpha() or character in " ,.-'" for character in said)
    assert len(said) <= LONGEST
    assert "  " not in said and said == said.strip()


def test_a_long_line_ends_behind_a_clause() -> None:
    said = aloud("stir it well and read again; " * 20)
    assert said.endswith("read again") and LONGEST - 30 < len(said) <= LONGEST


def shown(**more: object) -> View:
    return replace(View(phase="running", step_number=4, instruction="Rest at 63.0 C: lid on"), **more)  # type: ignore[arg-type]


def call(key: str, urgency: str = "now", rings: bool = True) -> CallLine:
    return CallLine(key, f"{key} is due", urgency, rings, not rings)  # type: ignore[arg-type]


def test_a_new_call_is_said_first_then_the_instruction_then_the_question() -> None:
    now = shown(
        instruction="Stir, then read",
        calls=(call("Soon"), call("Mash temperature"), call("Heat off", "danger")),
        question="mash temperature",
        question_unit="C",
        question_due="due now",
    )
    assert announce(shown(), now) == (
        "Danger. Heat off is due",
        "Soon is due",
        "Mash temperature is due",
        "Stir, then read",
        "Asked, mash temperature, in degrees Celsius",
    )
    assert announce(now, now) == ()


def test_a_call_that_is_quiet_is_not_said_until_it_rings_again() -> None:
    ringing, quiet = shown(calls=(call("Heat off"),)), shown(calls=(call("Heat off", rings=False),))
    assert announce(shown(), quiet) == ()
    assert announce(ringing, quiet) == ()
    assert announce(quiet, ringing) == ("Heat off is due",)


def test_numbers_that_only_time_has_changed_are_not_said_again() -> None:
    before, now = shown(instruction="Pour in 0.70 L"), shown(instruction="Pour in 0.71 L")
    assert announce(before, now) == ()
    read = replace(now, curve=Curve(readings=((6.0, 61.0),)))
    assert announce(before, read) == ("Pour in zero point seven one litres",)


def test_a_question_is_said_when_it_is_due_and_not_before() -> None:
    early = shown(question="mash temperature", question_unit="C", question_due="in 5 min")
    due = replace(early, question_due="due now")
    late = replace(early, question_due="due 3 min ago")
    assert announce(shown(), early) == ()
    assert announce(early, due) == ("Asked, mash temperature, in degrees Celsius",)
    assert announce(due, late) == ()


def test_a_doubt_is_the_question_and_an_unsaved_day_is_said_last() -> None:
    doubted = shown(doubt="16.0 C is far from the 63.0 C expected.", not_saved="the disk is full")
    assert announce(shown(), doubted) == (
        "sixteen degrees is far from the sixty-three degrees expected. Say keep it, or wrong.",
        "Not saved, the disk is full",
    )


def test_the_first_look_at_a_day_says_what_to_do() -> None:
    assert announce(None, shown()) == ("Rest at sixty-three degrees, lid on",)
    assert announce(None, View(instruction="Start the day when you are ready")) == ()


@pytest.mark.parametrize("name", ["lock-seven-barley", "sluice-maize"])
def test_a_whole_day_is_announced_in_words(name: str) -> None:
    session = begin(sample_text(name), VirtualClock(), folder=None, rehearsed=True, seed=1)
    views: list[View] = []
    assert whole_day(session, lambda entry: views.append(view_of(session))).finished
    said = [
        line for before, now in zip([None, *views], views, strict=False) for line in announce(before, now)
    ]
    assert len(said) > len(session.schedule.steps)
    assert all(character.isalpha() or character in " ,.-'" for line in said for character in line)
    assert any(line.startswith("Stir in") and "kilograms" in line for line in said)


def test_a_step_that_begins_says_how_long_it_lasts_and_what_to_take_care_of() -> None:
    before = View(phase="running", step_number=3, instruction="Stir in")
    now = View(
        phase="running",
        step_number=4,
        instruction="Rest at 63.0 C: lid on, leave it alone",
        countdown="60:00",
        countdown_label="left of rest",
        cautions=("Hot: gloves on.", "Steam scalds.", "A third one."),
    )
    assert announce(before, now) == (
        "Rest at sixty-three degrees, lid on, leave it alone",
        "sixty minutes left of rest",
        "Hot, gloves on.",
        "Steam scalds.",
    )
    assert announce(now, now) == ()


def test_how_a_doubt_is_answered_by_voice_is_said_where_a_voice_is_listened_to() -> None:
    now = View(phase="running", doubt="75 C? Keep it?")
    assert announce(None, now)[-1].endswith("Say keep it, or wrong.")
    assert "wrong" not in announce(None, now, by_voice=False)[-1]
