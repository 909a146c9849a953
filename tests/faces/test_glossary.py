"""The trade's words in plain language: every kind of step has some, and nothing on show goes unexplained."""

from __future__ import annotations

import inspect
import re
from datetime import datetime, timedelta
from functools import cache
from typing import get_args

import pytest
from days import BEGAN, Day
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces import glossary, instructions, overshot, questions, starch_checked, tell, ways
from mashday.faces.moment import TITLES
from mashday.faces.tell import view
from mashday.report import plan
from mashday.schedule import model
from mashday.schedule.door import load
from mashday.schedule.samples import sample_names, sample_text

KINDS = tuple(get_args(part.model_fields["kind"].annotation)[0] for part in model.StepPart.__subclasses__())

TRADE_WORDS = (
    *("mash", "wort", "wash", "strike", "dough-in", "grist", "crush", "rest", "thickness", "starch check"),
    *("gelatinise", "conversion", "converted", "fermentable", "attenuation", "diastatic power", "Lintner"),
    *("WK", "enzyme", "enzymes", "alpha-amylase", "beta-amylase", "decoction", "mash-out", "raise", "sparge"),
    *("batch sparge", "first runnings", "run-off", "bag", "absorption", "gravity", "Plato", "Brix"),
    *("hydrometer", "refractometer", "calibrated", "sample", "give or take", "band", "drift", "portion"),
    *("portions", "spare kettle", "coil", "ice bath", "pitch", "headroom", "iodine", "pH", "malt", "airlock"),
    *("fermenter", "sanitised", "false bottom", "spent grain", "nutrient", "residual-current", "ABV"),
    *("end gravity", "extract", "raw cereal", "raw maize", "cook", "boil", "tap", "hold", "snooze"),
    *("lauter", "vorlauf", "trub", "liquor", "saccharification", "dextrin", "backset", "krausen", "tun"),
)
"""Words a beginner asks about; the last row are words of the trade that the program does without."""

SAME = {"strike": "strike water", "raw maize": "raw cereal", "residual-current": "residual current"}
"""Parts of a trade word as they stand in a sentence, and the word to look up."""


def at(t: float) -> datetime:
    return BEGAN + timedelta(seconds=t)


@cache
def shown_on_a_day(name: str) -> tuple[tuple[str, str], ...]:
    """What a sample day shows at each step, as (kind, text)."""
    day = Day(load(sample_text(name)))
    found = []
    for number, step in enumerate(day.schedule.steps, 1):
        day.to_step(number)
        for minutes in (0.0, 4.0, 90.0):
            seen = view(day.schedule, day.state, day.after(minutes=minutes).t, at)
            texts = (seen.instruction, *seen.details, *seen.outlook, seen.target, seen.question, seen.remedy)
            found += [(step.kind, text) for text in texts if text]
    return tuple(found)


def used(text: str) -> set[str]:
    """The trade words in a text."""
    return {word for word in TRADE_WORDS if re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE)}


def known(word: str) -> bool:
    return glossary.meaning(SAME.get(word, word)) is not None


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_step_has_words_and_not_too_many(kind: str) -> None:
    words = glossary.at_step(kind)
    assert 5 <= len(words) <= glossary.MOST
    assert all(kind in entry.kinds for entry in words)
    assert len(set(words)) == len(words)


def test_the_kinds_are_those_of_the_schedule() -> None:
    assert set(KINDS) == set(TITLES)
    assert {kind for entry in glossary.everything() for kind in entry.kinds} == set(KINDS)


@pytest.mark.parametrize(
    ("kind", "word"),
    [
        ("heat", "strike water"),
        ("dough-in", "dough-in"),
        ("rest", "rest"),
        ("cook", "cook"),
        ("raise", "raise"),
        ("mash-out", "mash-out"),
        ("starch-check", "starch check"),
        ("boil", "boil"),
        ("pitch", "pitch"),
    ],
)
def test_what_the_step_is_called_comes_first(kind: str, word: str) -> None:
    assert glossary.at_step(kind)[0].word == word


@pytest.mark.parametrize("entry", glossary.everything(), ids=lambda entry: entry.word)
def test_every_word_is_explained_shortly_and_in_plain_letters(entry: glossary.Entry) -> None:
    assert entry.word.isascii() and entry.plain.isascii() and entry.plain.isprintable()
    assert 60 <= len(entry.plain) <= 160
    assert entry.plain[0].isupper() and entry.plain.endswith(".")
    assert entry.plain.count(". ") <= 1, "one sentence or two"
    assert not re.search(r"\d ?(C|F|K|L|kg|g|lb|gal|qt|oz|min|h)\b", entry.plain), "units switch"
    assert entry.kinds


def test_every_word_is_there_once_and_in_the_order_of_the_alphabet() -> None:
    words = [entry.word.casefold() for entry in glossary.everything()]
    assert words == sorted(set(words))


def test_a_word_is_found_whatever_its_case_hyphens_or_plural() -> None:
    for written in ("enzyme", "Enzymes", " ENZYME "):
        assert glossary.meaning(written) == glossary.meaning("enzyme") is not None
    assert glossary.meaning("Dough in") == glossary.meaning("dough-in") is not None
    assert glossary.meaning("mashes") == glossary.meaning("mash") is not None
    assert glossary.meaning("brix") == glossary.meaning("Brix") is not None
    for unknown in ("", "s", "es", "paddle steamer"):
        assert glossary.meaning(unknown) is None


@pytest.mark.parametrize(
    ("other", "word"),
    [
        ("give or take", "band"),
        ("final gravity", "end gravity"),
        ("ambient", "room"),
        ("squeezed bag", "bag"),
        ("Windisch-Kolbach", "WK"),
        ("ground-fault protection", "residual-current protection"),
    ],
)
def test_another_name_leads_to_the_same_entry(other: str, word: str) -> None:
    found = glossary.meaning(other)
    assert found is not None and found.word == word


@given(st.text(max_size=40))
def test_no_word_brings_the_glossary_down(word: str) -> None:
    found = glossary.meaning(word)
    assert found is None or found in glossary.everything()


def test_the_words_a_step_uses_itself_go_first_and_stand_once() -> None:
    words = glossary.at_step("cool", ("Ice bath", "never heard of", "pitch"))
    assert [entry.word for entry in words[:3]] == ["ice bath", "pitch", "wort"]
    assert [entry.word for entry in words].count("pitch") == 1
    assert len(glossary.at_step("rest", ("coil", "hung bag", "ABV"))) == glossary.MOST


def test_a_kind_that_does_not_exist_has_only_the_words_asked_for() -> None:
    assert glossary.at_step("nap") == ()
    assert [entry.word for entry in glossary.at_step("nap", ("coil",))] == ["coil"]


@pytest.mark.parametrize(("part", "key"), [(model.Separate, "by"), (model.Raise, "by")])
def test_most_ways_of_a_step_have_a_word(part: type[model.StepPart], key: str) -> None:
    plain = {"hot water", "fire"}
    annotation = part.model_fields[key].annotation
    inner = [one for one in get_args(annotation) if one is not type(None)]
    choices = inner if isinstance(inner[0], str) else get_args(inner[0])
    assert choices
    for way in set(choices) - plain:
        assert glossary.meaning(way) is not None, way


def test_entries_are_said_a_line_each() -> None:
    mash = glossary.meaning("mash")
    assert mash is not None
    assert glossary.lines([mash]) == (f"mash: {mash.plain}",)
    assert glossary.lines(()) == ()


@pytest.mark.parametrize("name", sample_names())
def test_every_trade_word_of_a_sample_day_is_explained(name: str) -> None:
    met = {word for _, text in shown_on_a_day(name) for word in used(text)}
    assert {"mash", "gravity", "first runnings", "give or take"} <= met
    assert [word for word in sorted(met) if not known(word)] == []


def test_every_trade_word_the_program_can_say_beside_the_pot_is_explained() -> None:
    rooms = (instructions, overshot, questions, starch_checked, tell, ways, plan, model)
    met = {word for room in rooms for word in used(inspect.getsource(room))}
    assert {"decoction", "batch sparge", "alpha-amylase", "portion"} <= met
    assert [word for word in sorted(met) if not known(word)] == []


@pytest.mark.parametrize("name", sample_names())
def test_every_trade_word_a_sample_is_written_with_is_explained(name: str) -> None:
    met = used(sample_text(name))
    assert "hydrometer" in met or "refractometer" in met or "sanitised" in met
    assert [word for word in sorted(met) if not known(word)] == []


def test_the_explanations_themselves_need_no_unexplained_word() -> None:
    met = {word for entry in glossary.everything() for word in used(entry.plain)}
    assert [word for word in sorted(met) if not known(word)] == []
