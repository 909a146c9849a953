from __future__ import annotations

import os
from itertools import pairwise

import pytest

from mashday.schedule.door import BadSchedule, Problem, load, load_file
from mashday.schedule.fields import BOILING_CELSIUS
from mashday.schedule.parts import step_parts
from mashday.schedule.samples import sample_text

HEAD = 'format = 1\nname = "Lock Seven"\n[pot]\nvolume = "33 L"\n'
MALT = '[[grain]]\nname = "malt"\nkind = "pale malt"\nmass = "5 kg"\n'

STEPS = {
    "set-up": 'checklist = ["paddle", "jug"]',
    "heat": 'water = "15 L"\ntarget = "75 C"\nband = "2 K"',
    "dough-in": 'target = "63 C"\ngrain = ["malt"]\nband = "2 F"',
    "rest": 'target = "63 C"\ntime = "60 min"\nread_every = "15 min"\nband = "1 C"',
    "cook": 'target = "boiling"\ntime = "45 min"\nwater = "12 L"\ngrain = ["malt"]',
    "raise": 'target = "72 C"\nby = "decoction"',
    "mash-out": 'target = "170 F"\nby = "hot water"',
    "starch-check": 'retry = "15 min"',
    "separate": 'by = "hung bag"\nsparge = "7.5 L"\nsparge_temperature = "boiling"\nabsorption = "0.8 L/kg"',
    "boil": 'time = "1 h"',
    "cool": 'target = "24 C"\nby = "ice bath"\nread_every = "10 min"',
    "add": 'what = "yeast nutrient"\namount = "10 g"\nabove = "20 C"\nbelow = "95 F"',
    "pitch": 'yeast = "dry yeast"\namount = "2 sachets"',
    "clean-up": "confirm = true",
    "do": 'text = "Open the door."',
}


def with_step(kind: str) -> str:
    before = '[[step]]\nkind = "heat"\nwater = "15 L"\ntarget = "70 C"\n'
    after = '[[step]]\nkind = "dough-in"\ntarget = "63 C"\n' if kind not in ("dough-in", "cook") else ""
    return f'{HEAD}{MALT}{before}[[step]]\nkind = "{kind}"\n{STEPS[kind]}\n{after}'


def problems(text: str | bytes) -> list[tuple[str, int | None]]:
    with pytest.raises(BadSchedule) as caught:
        load(text)
    return [(problem.key, problem.line) for problem in caught.value.problems]


def test_every_kind_of_step_is_tried_here():
    assert set(STEPS) == set(step_parts())


@pytest.mark.parametrize("kind", STEPS)
def test_every_kind_of_step_loads(kind):
    step = load(with_step(kind)).step(2)
    assert step.kind == kind
    assert isinstance(step, step_parts()[kind])


@pytest.mark.parametrize("kind", STEPS)
def test_every_step_may_have_a_title_a_checklist_and_lines_for_trouble(kind):
    extra = 'title = "Now"\nif_it_goes_wrong = ["stir"]\nstyle = "do-confirm"\n'
    extra += 'confirm = false\nchecklist = ["look"]\n'
    text = with_step(kind).replace(
        f'kind = "{kind}"\n{STEPS[kind]}', f'kind = "{kind}"\n{STEPS[kind]}\n{extra}'
    )
    for key in ("checklist", "confirm"):
        if f"\n{key} =" in f"\n{STEPS[kind]}":
            text = text.replace(f"{STEPS[kind]}\n", "", 1)
    step = load(text).step(2)
    assert (step.title, step.checklist, step.if_it_goes_wrong) == ("Now", ("look",), ("stir",))
    assert (step.style, step.confirm) == ("do-confirm", False)


def test_the_values_of_a_schedule_are_floats_in_our_units():
    schedule = load(sample_text("lock-seven-barley"))
    assert schedule.pot.volume_litres == 33.0
    assert schedule.grains[0].mass_kg == 5.0
    assert schedule.thermometer.offset_kelvin == 0.2
    assert schedule.aim.gravity == 1.06
    assert [step.kind for step in schedule.steps][:3] == ["set-up", "heat", "dough-in"]


def test_us_units_become_the_same_floats():
    schedule = load(sample_text("bargemans-rye"))
    assert schedule.pot.volume_litres == pytest.approx(37.85411784)  # 10 US gallons, NIST Handbook 44
    assert schedule.step(3).target_celsius == pytest.approx(65.0)  # 149 F
    assert schedule.step(3).band_kelvin == pytest.approx(2 * 5 / 9)
    assert schedule.step(4).minutes == 75.0


def test_boiling_is_none_in_the_spare_kettle_and_a_hundred_elsewhere():
    text = with_step("cook").replace("[pot]", '[spare]\nwater = "3 L"\ntemperature = "boiling"\n[pot]')
    schedule = load(text)
    assert schedule.spare is not None
    assert schedule.spare.temperature_celsius is None
    assert schedule.step(2).target_celsius == BOILING_CELSIUS


def test_windows_text_loads_the_same():
    text = sample_text("towpath-stepped")
    windows = b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    assert load(windows) == load(text)
    assert load("\ufeff" + text) == load(text)


def test_a_schedule_never_changes():
    schedule = load(sample_text("lock-seven-barley"))
    with pytest.raises(ValueError, match="frozen"):
        schedule.name = "another"  # type: ignore[misc]


def test_problems_stand_in_the_order_of_the_file():
    lines = [
        line or 0 for _, line in problems(HEAD + "x = 1\n[place]\ny = 2\n[[step]]\nz = 3\n[aim]\nw = 4\n")
    ]
    assert len(lines) == 4
    assert all(earlier <= later for earlier, later in pairwise(lines))


def test_lists_are_counted_from_one():
    assert problems(HEAD + '[[step]]\nkind = "set-up"\n[[step]]\nkind = "boil"\n') == [("step[2].time", 7)]
    assert problems(HEAD + '[[step]]\nkind = "set-up"\nchecklist = ["a",\n"",\n]\n') == [
        ("step[1].checklist[2]", 8)
    ]


def test_a_problem_says_where_what_and_what_would_do():
    problem = Problem("error", "pot.volume", 4, "'33' has no unit", 'say which, such as "33 L"')
    assert str(problem) == "line 4, pot.volume: '33' has no unit; say which, such as \"33 L\""
    assert str(Problem("error", "", None, "it is empty", "write something")) == "it is empty; write something"


def test_a_file_is_loaded_with_its_text(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xef\xbb\xbf" + with_step("rest").encode())
    assert load_file(path) == (load(with_step("rest")), with_step("rest"))


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(BadSchedule) as caught:
        load_file(tmp_path / "nowhere.toml")
    [problem] = caught.value.problems
    assert "could not be read (no such file or directory)" in problem.found
    assert problem.remedy == "check the name and who may read it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", tmp_path):
        with pytest.raises(BadSchedule) as caught:
            load_file(path)
        assert "plain file" in str(caught.value) or "could not be read" in str(caught.value)
