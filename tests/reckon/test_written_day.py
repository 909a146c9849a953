"""The text of a new day: it loads, agrees with what was worked out, explains itself, and holds any name."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.cautions import LAW
from mashday.reckon.answer_texts import named
from mashday.reckon.answers import Answers, GrainAsked, usual
from mashday.reckon.given import Refused
from mashday.reckon.new_day import new_day
from mashday.reckon.written_day import WIDTH, written
from mashday.report.feasibility import findings
from mashday.schedule.door import load

RAW = (GrainAsked("maize meal", "raw maize", share=0.6), GrainAsked("distiller's malt", "distiller's malt"))
DAYS = {
    "malt": Answers(name="Lock Seven barley wash"),
    "raw": Answers(name="Sluice maize", grains=RAW, by="on the grain"),
    "sparged": Answers(name="Rinsed", by="batch sparge", sparge=True, cooled_by="standing"),
    "us": Answers(name="Bargeman's", units="us", grains=RAW, sparge=True, heater_kilowatts=3.5),
    "box": Answers(name="Box", heater_kilowatts=None, material="plastic", by="drained", sparge=True),
}
CAUTIONS = ("own law", "scalds", "poisonous", "never sealed", "goggles", "cracks glass")


@pytest.mark.parametrize("answers", DAYS.values(), ids=DAYS)
def test_the_text_loads_as_the_day_that_was_worked_out(answers: Answers) -> None:
    made = new_day(answers)
    assert load(written(made)) == made.schedule
    assert findings(load(written(made))) == ()


@pytest.mark.parametrize("answers", DAYS.values(), ids=DAYS)
def test_without_its_comments_the_text_is_the_tables(answers: Answers) -> None:
    made = new_day(answers)
    held = tomllib.loads(written(made))
    as_lists = tomllib.loads(written(made).replace("# ", "#"))
    assert held == as_lists
    assert held["name"] == made.table["name"]
    assert [step["kind"] for step in held["step"]] == [step["kind"] for step in made.table["step"]]
    assert set(held) == set(made.table)


@pytest.mark.parametrize("answers", DAYS.values(), ids=DAYS)
def test_the_text_explains_each_choice_and_warns_where_it_hurts(answers: Answers) -> None:
    made = new_day(answers)
    text = written(made)
    lines = text.splitlines()
    assert text.isascii()
    assert max(len(line) for line in lines if line.startswith("#")) <= WIDTH
    assert max(map(len, lines)) <= 130
    remarks = " ".join(line.removeprefix("# ") for line in lines if line.startswith("# "))
    assert LAW in remarks
    said = " ".join(item for step in made.schedule.steps for item in step.checklist)
    assert [word for word in CAUTIONS if word not in said] == []
    before = [lines[place - 1] for place, line in enumerate(lines) if line == "[[step]]"]
    assert sum(line.startswith("# ") for line in before) >= len(before) - 2


def test_the_quantities_are_in_the_person_s_own_units() -> None:
    us = tomllib.loads(written(new_day(DAYS["us"])))
    assert us["units"] == "us"
    assert {grain["mass"].split()[-1] for grain in us["grain"]} <= {"lb", "oz"}
    assert us["step"][1]["water"].split()[-1] in ("gal", "qt")
    assert us["place"]["room"] == "68 F"
    for answers in (DAYS["us"], replace(usual("us"), sparge=True)):
        text = written(new_day(answers))
        assert not re.search(r'"[^"]*[0-9] (?:K|C|L|kg|g)\b', text), text
        assert not any(" qt" in line and " gal" in line for line in text.splitlines()), text
    metric = tomllib.loads(written(new_day(DAYS["malt"])))
    assert metric["grain"][0]["mass"].endswith(" kg")
    assert metric["aim"] == {"wash": "20 L", "gravity": "1.060"}


def test_what_ferments_on_the_grain_is_not_measured_off() -> None:
    assert "wash" not in tomllib.loads(written(new_day(DAYS["raw"])))["aim"]


def test_a_heavy_pot_has_its_caution_and_a_light_one_has_not() -> None:
    assert "Never lift a full pot alone" in written(new_day(DAYS["malt"]))
    assert "Never lift a full pot" not in written(new_day(Answers(wash_litres=8.0, pot_litres=15.0)))


def test_soft_raw_grain_is_not_said_to_open_only_where_malt_dies() -> None:
    rye = Answers(grains=(GrainAsked("rye", "raw rye", share=0.3), GrainAsked("malt", "barley malt")))
    assert "where malt would lose" not in written(new_day(rye)).replace("\n# ", " ")
    assert "where malt would lose" in written(new_day(DAYS["raw"])).replace("\n# ", " ")


def test_liquid_yeast_is_told_in_cells() -> None:
    table = tomllib.loads(written(new_day(Answers(yeast="liquid ale yeast"))))
    pitch = next(step for step in table["step"] if step["kind"] == "pitch")
    assert pitch["amount"].endswith(" billion cells")


@pytest.mark.parametrize(
    "name",
    [
        "quo\"tes and 'single' \\ back",
        "\x1b[31mred\x1b[0m",
        "two\nlines\r\n[[step]]",
        "# no comment",
        "Шлюз семь 水門 قفل",
        "e\u0301\u0301\u0301\u0301 piled",
        "\u202eright to left\u200b",
        "x" * 500,
        '"""',
    ],
)
def test_any_name_makes_a_sound_file(name: str) -> None:
    answers = Answers(name=named(name), yeast=named(name), grains=(GrainAsked(named(name), "barley malt"),))
    made = new_day(answers)
    assert load(written(made)) == made.schedule
    assert load(written(made)).name.isprintable()


@settings(max_examples=40)
@given(st.text(max_size=90))
def test_any_text_for_a_name_makes_a_sound_file_or_is_refused(text: str) -> None:
    try:
        name = named(text)
    except Refused:
        return
    made = new_day(Answers(name=name, yeast=name, grains=(GrainAsked(name, "barley malt"),)))
    assert load(written(made)) == made.schedule
