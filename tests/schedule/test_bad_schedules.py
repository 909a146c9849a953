"""Every bad schedule kept in tests/golden tells all its problems, in the words kept beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from mashday.schedule.door import BadSchedule, load_file

BAD = Path(__file__).parents[1] / "golden" / "bad_schedules"
NAMES = sorted(path.stem for path in BAD.glob("*.toml"))


def problems_of(name: str) -> BadSchedule:
    with pytest.raises(BadSchedule) as caught:
        load_file(BAD / f"{name}.toml")
    return caught.value


def test_there_are_bad_schedules():
    assert len(NAMES) >= 15


@pytest.mark.parametrize("name", NAMES)
def test_a_bad_schedule_tells_all_its_problems(name):
    assert str(problems_of(name)) + "\n" == (BAD / f"{name}.txt").read_text("utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_a_problem_is_plain_and_says_what_would_do(name):
    for problem in problems_of(name).problems:
        assert problem.severity == "error"
        assert str(problem).isascii()
        assert str(problem).isprintable()
        assert problem.found
        assert problem.remedy


@pytest.mark.parametrize("name", NAMES)
def test_no_wording_of_the_validator_or_the_parser_reaches_the_person(name):
    words = str(problems_of(name))
    for foreign in (
        "Input should",
        "Extra inputs",
        "Field required",
        "at line",
        "column",
        "pydantic",
        "tuple",
        "dict",
    ):
        assert foreign not in words
