"""The README says what the code does: its two commands, its tables, its example."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest

from mashday.cli import parser
from mashday.faces.tui.keys import table
from mashday.faces.vocabulary import WORDS
from mashday.reckon.table import SUMS
from mashday.report.feasibility import findings
from mashday.schedule.door import load
from mashday.science.grain import KINDS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def section(heading: str) -> str:
    return README.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]


def first_block(heading: str) -> list[str]:
    found = re.search(r"```\w*\n(.*?)```", section(heading), re.DOTALL)
    assert found is not None
    return found[1].strip().splitlines()


def test_the_first_paragraph_states_the_job() -> None:
    first = README.split("\n\n")[1]
    for piece in (
        "schedule",
        "what to do now",
        "times",
        "temperature",
        "put a missed reading right",
        "summary",
    ):
        assert piece in first


@pytest.mark.parametrize("heading", ["A whole day, without a pot", "Run the tests"])
def test_each_of_the_two_commands_is_one_line_that_sets_itself_up(heading: str) -> None:
    lines = first_block(heading)
    assert len(lines) == 1
    assert lines[0].startswith("python3 -m venv .venv && .venv/bin/pip install")


def test_every_command_stands_in_the_table() -> None:
    choices = next(a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)).choices
    told = re.findall(r"^\| `mashday ?(\w*)", section("Commands"), re.MULTILINE)
    assert sorted(told) == sorted(["", *choices])


def test_every_option_stands_in_the_table() -> None:
    choices = next(a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)).choices
    told = section("Commands")
    for name, command in choices.items():
        for action in command._actions:
            long = [option for option in action.option_strings if option.startswith("--")]
            assert not long or long[0] == "--help" or f"`{long[0]}" in told, (name, long)


def test_the_keys_are_those_of_the_screen() -> None:
    assert table().strip() in section("Keys of the full screen")


def test_the_words_are_those_of_the_line_mode() -> None:
    told = dict(re.findall(r"^\| `([^`]+)` \| (.+) \|$", section("Words of the line mode"), re.MULTILINE))
    assert told == {word.written: word.does for word in WORDS.values()}


def test_the_example_schedule_is_sound_and_feasible() -> None:
    assert findings(load("\n".join(first_block("The schedule")))) == ()


def test_every_sum_stands_with_its_options() -> None:
    told = re.findall(r"^\| `([\w-]+)` \| (.+?) \| `(.+?)` \|$", section("One sum on the spot"), re.MULTILINE)
    assert told == [
        (
            name,
            what.does,
            " ".join(
                shown if option.missing else f"[{shown}]"
                for option in what.options
                for shown in [option.name.upper() if option.positional else f"--{option.name}"]
            ),
        )
        for name, what in SUMS.items()
    ]


def test_every_kind_of_grain_stands_in_the_list() -> None:
    told = re.search(r"Kinds of grain the table knows: (.+)\.", section("The schedule"))
    assert told is not None
    assert re.findall(r"`([^`]+)`", told[1]) == list(KINDS)
