from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Heat, StepPart
from mashday.schedule.samples import find, sample_names, sample_text

CAUTIONS = ("scald", "poisonous", "never sealed", "goggles")


def test_there_are_at_least_five_samples():
    assert len(sample_names()) >= 5
    assert "lock-seven-barley" in sample_names()


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_loads(name):
    assert load(sample_text(name)).name


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_is_plain_ascii_with_short_lines(name):
    text = sample_text(name)
    assert text.isascii()
    assert max(len(line) for line in text.splitlines()) <= 120


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_is_a_whole_day(name):
    kinds = [step.kind for step in load(sample_text(name)).steps]
    assert kinds[0] == "set-up"
    assert kinds[-2:] == ["pitch", "clean-up"]
    assert {"dough-in", "rest", "starch-check", "separate", "cool"} <= set(kinds)


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_leaves_the_strike_temperature_to_be_worked_out(name):
    heats = [step for step in load(sample_text(name)).steps if isinstance(step, Heat)]
    assert all(step.target_celsius is None for step in heats)


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_fits_its_pot_and_can_be_stirred(name):
    schedule = load(sample_text(name))
    water = sum(getattr(step, "water_litres", None) or 0.0 for step in schedule.steps)
    grain = sum(grain.mass_kg for grain in schedule.grains)
    # Common practice: 1.8 to 7 L/kg; grain displaces 0.67 L/kg; a tenth of the pot stays free.
    assert 1.8 <= water / grain <= 7.0
    assert water + 0.67 * grain <= 0.9 * schedule.pot.volume_litres


@pytest.mark.parametrize("name", sample_names())
def test_a_sample_warns_where_it_hurts_and_says_what_to_do_when_it_goes_wrong(name):
    steps: tuple[StepPart, ...] = load(sample_text(name)).steps
    said = " ".join(line for step in steps for line in step.checklist).lower()
    assert [word for word in CAUTIONS if word not in said] == []
    assert sum(bool(step.if_it_goes_wrong) for step in steps) >= 2
    assert all(len(step.checklist) <= 9 for step in steps)


def test_the_samples_between_them_show_every_kind_of_step():
    kinds = {step.kind for name in sample_names() for step in load(sample_text(name)).steps}
    assert kinds == {
        "set-up", "heat", "dough-in", "rest", "cook", "raise", "mash-out", "starch-check",
        "separate", "boil", "cool", "add", "pitch", "clean-up", "do",
    }  # fmt: skip


def test_a_sample_is_found_by_its_name_and_by_its_file_name():
    label, text = find("lock-seven-barley")
    assert label == "lock-seven-barley.toml"
    assert text == sample_text("lock-seven-barley")
    assert find("lock-seven-barley.toml") == (label, text)


def test_a_path_wins_over_a_sample(tmp_path, monkeypatch):
    (tmp_path / "lock-seven-barley.toml").write_text("mine")
    monkeypatch.chdir(tmp_path)
    assert find("lock-seven-barley.toml") == ("lock-seven-barley.toml", "mine")
    (tmp_path / "lock-seven-barley").write_text("mine too")
    assert find("lock-seven-barley") == ("lock-seven-barley", "mine too")


def test_a_name_that_is_nowhere_offers_the_nearest_sample():
    with pytest.raises(BadSchedule) as caught:
        find("lock-seven-barly")
    assert str(caught.value) == "no file and no sample is called 'lock-seven-barly'; write lock-seven-barley"
    with pytest.raises(BadSchedule) as caught:
        find("\x1b[2J")
    assert "name a file, or one of the samples: bargemans-rye, " in str(caught.value)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000, "", ".", "/", "/dev/zero"])
def test_a_path_that_is_no_schedule_file_is_refused(name):
    with pytest.raises(BadSchedule) as caught:
        find(name)
    assert str(caught.value).isprintable()


def test_a_sample_that_is_not_there_is_a_key_error():
    with pytest.raises(KeyError):
        sample_text("../pyproject")


def test_the_samples_are_found_in_an_installed_package(tmp_path):
    here = Path(__file__).parents[2]
    installed = tmp_path / "site"
    _copy(here / "mashday", installed / "mashday")
    _copy(here / "sample_schedules", installed / "mashday" / "sample_schedules")
    script = "from mashday.schedule.samples import *; import mashday; print(mashday.__file__, sample_names())"
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(installed)},
    )
    assert str(installed) in done.stdout
    assert "lock-seven-barley" in done.stdout


def _copy(source: Path, target: Path) -> None:
    for file in source.rglob("*"):
        if file.is_file() and "__pycache__" not in file.parts:
            into = target / file.relative_to(source)
            into.parent.mkdir(parents=True, exist_ok=True)
            into.write_bytes(file.read_bytes())


def test_loading_a_sample_with_the_words_of_the_trade_does_not_load_pint():
    script = (
        "import sys; from mashday.schedule.door import load; from mashday.schedule.samples import *\n"
        "for name in sample_names(): load(sample_text(name))\n"
        "print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
