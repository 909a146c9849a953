"""The command that makes a new day, as a person answers it and as a script calls it."""

from __future__ import annotations

import argparse
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from mashday.cli import main, parser
from mashday.commands import new as command
from mashday.commands.day_questions import QUESTIONS, UNITS
from mashday.schedule.door import load_file
from mashday.schedule.model import Separate

LOCK_SEVEN = (
    *("new", "--name", "Lock Seven barley wash", "--wash", "20 L", "--gravity", "1.060"),
    *("--grain", "pale barley malt", "--pot", "33 L", "--by", "squeezed bag"),
)
FILE = Path("lock-seven-barley-wash.toml")
QUESTIONS_OF_A_PLAIN_DAY = 14
"""About a dozen: what the day's name, its units and the questions that apply to malt in a bag come to."""


class Keyboard(io.TextIOWrapper):
    """What a person types at a terminal, its end being the end of the input."""

    def isatty(self) -> bool:
        return True


class Stopped(Keyboard):
    """A terminal at which ctrl-c is pressed where an answer is waited for."""

    def readline(self, size: int = -1, /) -> str:
        raise KeyboardInterrupt


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of the test to stand in, with an empty home."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("MASHDAY_SESSIONS", str(tmp_path / "sessions"))
    return tmp_path


def run(
    *words: str, answers: list[str] | None = None, keyboard: type[Keyboard] = Keyboard
) -> subprocess.CompletedProcess[str]:
    """The program in this process: beside a person who answers, or without a terminal."""
    typed = "".join(f"{answer}\n" for answer in answers or []).encode()
    stdin = io.TextIOWrapper(io.BytesIO(typed)) if answers is None else keyboard(io.BytesIO(typed))
    told, complained = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with pytest.MonkeyPatch.context() as streams:
        streams.setattr(sys, "stdin", stdin)
        streams.setattr(sys, "stdout", told)
        streams.setattr(sys, "stderr", complained)
        code = main(list(words))
    texts = []
    for stream in (told, complained):
        stream.flush()
        assert isinstance(stream.buffer, io.BytesIO)
        texts.append(stream.buffer.getvalue().decode())
    return subprocess.CompletedProcess(words, code, *texts)


def files() -> list[str]:
    return sorted(path.name for path in Path().glob("*.toml"))


def test_a_script_gets_a_ready_day_of_its_flags() -> None:
    done = run(*LOCK_SEVEN)
    assert (done.returncode, done.stderr) == (0, "")
    assert files() == [FILE.name]
    for piece in (f"Written: {FILE}", "22.6 L of water at", "26.5 L in the pot", "20.0 L at 1.060", "3 h"):
        assert piece in done.stdout
    for next_one in ("plan", "rehearse", "run"):
        assert f"mashday {next_one} {FILE}\n" in done.stdout + "\n"
    schedule, _ = load_file(FILE)
    assert schedule.grains[0].name == "pale barley malt"
    assert schedule.aim.wash_litres == 20.0


def test_the_day_is_sound_and_can_be_rehearsed() -> None:
    run(*LOCK_SEVEN)
    assert run("check", str(FILE)).stdout == f"{FILE}: sound, and the day is feasible\n"
    lived = json.loads(run("rehearse", str(FILE), "--json").stdout)
    assert lived["finished"] and not lived["overflowed"]


def test_a_raw_cereal_day_can_be_rehearsed() -> None:
    bill = ("--grain", "raw maize=60 %", "--grain", "distiller's malt", "--by", "on the grain")
    assert run("new", *bill, "-o", "maize.toml", "--heater", "3 kW").returncode == 0
    lived = json.loads(run("rehearse", "maize.toml", "--json").stdout)
    assert lived["finished"] and not lived["overflowed"]


def test_without_a_terminal_nothing_is_asked_and_the_usual_is_taken() -> None:
    done = run("new")
    assert (done.returncode, done.stderr) == (0, "")
    assert files() == ["barley-malt-wash.toml"]
    assert "[" not in done.stdout


def test_yes_asks_nothing_even_at_a_terminal() -> None:
    assert run("new", "--yes", answers=[]).returncode == 0


def test_every_question_answered_with_enter_gives_the_same_day_as_yes() -> None:
    run("new", "--yes")
    done = run("new", answers=[""] * QUESTIONS_OF_A_PLAIN_DAY)
    assert done.returncode == 0, done.stdout
    assert done.stdout.count("> ") == QUESTIONS_OF_A_PLAIN_DAY
    assert Path("barley-malt-wash-2.toml").read_text() == Path("barley-malt-wash.toml").read_text()


def test_every_question_says_why_it_is_asked_and_more_when_asked() -> None:
    for question in (UNITS, *QUESTIONS):
        assert question.asks[-1] in "?)"
        assert question.why.endswith(".") and question.more.endswith(".")
        assert len(question.why) < 100
        assert len(question.more) > len(question.why) or question.flags[0] in ("name", "thermometer", "room")


def test_every_flag_has_its_question_and_every_question_its_flag() -> None:
    asked = {flag for question in (UNITS, *QUESTIONS) for flag in question.flags}
    assert asked == {*command.FLAGS, "units"}
    choices = next(a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)).choices
    known = {action.dest for action in choices["new"]._actions}
    assert asked <= known


def test_answers_make_the_day() -> None:
    done = run(
        "new",
        answers=[
            *("us", "barley malt, rye malt 20 %", "4 gal at 15 P", "maize 20 %", "10 gal copper", "3500 W"),
            *("yes", "hung", "yes", "64, 50, 5000 ft", "ice", "dry ale yeast", "dial", "Towpath mix"),
        ],
    )
    assert done.returncode == 0, done.stdout
    schedule, _ = load_file("towpath-mix.toml")
    assert (schedule.name, schedule.units) == ("Towpath mix", "us")
    assert [grain.kind for grain in schedule.grains] == ["raw maize", "barley malt", "rye malt"]
    assert (schedule.pot.material, schedule.pot.wrapped, schedule.pot.heater_kilowatts) == (
        "copper",
        True,
        3.5,
    )
    assert schedule.aim.wash_litres == pytest.approx(4 * 3.785411784)  # exact by definition of the gallon
    assert schedule.place.altitude_metres == pytest.approx(1524.0)  # exact by definition of the foot
    assert schedule.thermometer.kind == "dial"
    kinds = [step.kind for step in schedule.steps]
    assert kinds[:4] == ["set-up", "cook", "cool", "dough-in"]
    separate = schedule.step(kinds.index("separate") + 1)
    assert isinstance(separate, Separate)
    assert separate.by == "hung bag" and separate.sparge_litres > 0.0


def test_what_a_flag_tells_is_not_asked() -> None:
    done = run(*LOCK_SEVEN, answers=[""] * 9)
    assert done.returncode == 0
    for told in ("Which malt", "How much wash", "raw cereal", "does the pot hold", "parted", "called"):
        assert told not in done.stdout
    for asked in (
        "Which units",
        "What power",
        "wrapped",
        "sparge",
        "How warm",
        "cooled",
        "yeast",
        "thermometer",
    ):
        assert asked in done.stdout


def test_a_wash_without_its_gravity_has_that_asked_for() -> None:
    done = run("new", "--wash", "18 L", "--units", "metric", answers=["barley malt", "1.050", *[""] * 11])
    assert done.returncode == 0, done.stdout
    schedule, _ = load_file("barley-malt-wash.toml")
    assert (schedule.aim.wash_litres, schedule.aim.gravity) == (18.0, 1.05)


def test_a_bare_number_takes_the_unit_shown_while_a_question_is_open() -> None:
    done = run(
        "new", answers=["us", "", "4 at 1.055", "", "8", "3", "", "", "", "70, 60, 100", "", "", "", ""]
    )
    assert done.returncode == 0, done.stdout
    schedule, _ = load_file("barley-malt-wash.toml")
    assert schedule.pot.volume_litres == pytest.approx(8 * 3.785411784, abs=0.001)  # exact by definition
    assert schedule.place.altitude_metres == pytest.approx(30.48, abs=0.2)  # exact by definition of the foot
    assert schedule.pot.heater_kilowatts == 3.0


def test_the_gravity_of_water_is_refused_where_it_is_asked_for() -> None:
    done = run("new", answers=["", "", "20 L at 1", "20 L", "1", "1.050", *[""] * 11])
    assert done.returncode == 0 and done.stdout.count("is no more than water") == 2
    schedule, _ = load_file("barley-malt-wash.toml")
    assert schedule.aim.gravity == 1.05


def test_weighed_grain_has_only_a_gravity_asked_for() -> None:
    done = run("new", answers=["", "barley malt 3 kg, rye malt 1 kg", "1.055", "maize 1 kg", *[""] * 10])
    assert done.returncode == 0, done.stdout
    assert "How much wash" not in done.stdout
    (file,) = files()
    schedule, _ = load_file(file)
    assert [grain.mass_kg for grain in schedule.grains] == [1.0, 3.0, 1.0]
    assert schedule.aim.gravity == 1.055


def test_a_sparge_is_not_asked_for_where_there_is_none_to_choose() -> None:
    by = (*("--units", "metric"), *("--by", "on the grain"))
    assert "a sparge?" not in run("new", *by, answers=[""] * 11).stdout


@pytest.mark.parametrize(
    ("place", "wrong", "said"),
    [
        (0, "imperial", "is no system of units: one of metric, us."),
        (1, "bread", "no kind of grain known here"),
        (1, "raw maize", "without malt no starch turns to sugar"),
        (2, "20 kg", "is not a volume"),
        (3, "bread", "no kind of grain known here"),
        (4, "33 L lead", "no stuff of a pot"),
        (5, "hot", "does not begin with a number"),
        (5, "gas", "How much? Write its figure, too, such as gas 12000 BTU/h."),
        (5, "7000 BTU", "for the power write 7000 BTU/h."),
        (6, "perhaps", "is no answer: one of yes, no."),
        (7, "9", "is no way of separating"),
        (9, "hot", "does not begin with a number"),
        (10, "cold water", "puts no water into the wash"),
        (12, "mercury", "is no kind of thermometer"),
    ],
)
def test_a_bad_answer_is_refused_in_a_sentence_and_asked_again(place: int, wrong: str, said: str) -> None:
    answers = [""] * QUESTIONS_OF_A_PLAIN_DAY
    answers.insert(place, wrong)
    done = run("new", answers=answers)
    assert done.returncode == 0, done.stdout
    assert said in " ".join(done.stdout.split())


def test_a_question_mark_explains_and_asks_again() -> None:
    answers = [one for question in range(QUESTIONS_OF_A_PLAIN_DAY) for one in ("?", "")]
    done = run("new", answers=answers)
    assert done.returncode == 0
    said = " ".join(done.stdout.split())
    for question in (UNITS, *QUESTIONS):
        if question.asks in said:
            assert " ".join(question.more.split()) in said


@pytest.mark.parametrize("count", range(QUESTIONS_OF_A_PLAIN_DAY))
def test_input_that_ends_writes_nothing_and_says_so(count: int) -> None:
    done = run("new", answers=[""] * count)
    assert done.returncode == 1
    assert done.stderr == "\nmashday: The answers ended. Nothing was written.\n"
    assert files() == []


def test_ctrl_c_writes_nothing_and_says_so() -> None:
    done = run("new", answers=[], keyboard=Stopped)
    assert done.returncode == 130
    assert "Nothing was written" in done.stderr
    assert files() == []


def test_a_mash_that_does_not_fit_is_refused_with_what_would_do() -> None:
    done = run("new", "--wash", "30 L at 1.060")
    assert done.returncode == 2
    assert "10.4 L more than a pot of 33.0 L" in done.stderr
    assert "With --fit the largest that fits is written." in done.stderr
    assert files() == []


def test_fit_writes_the_largest_that_fits() -> None:
    assert run("new", "--wash", "30 L at 1.060", "--fit").returncode == 0
    assert run("check", "barley-malt-wash.toml").stdout.endswith("feasible\n")


def test_a_person_is_asked_whether_the_largest_will_do() -> None:
    asked = ["", "", "30 L at 1.060", *[""] * 11]
    done = run("new", answers=[*asked, "maybe", ""])
    assert done.returncode == 0
    assert "is no answer" in done.stdout
    done = run("new", answers=[*asked, "no", "18 L at 1.060"])
    assert done.returncode == 0, done.stdout
    schedule, _ = load_file("barley-malt-wash-2.toml")
    assert schedule.aim.wash_litres == 18.0


def test_a_gravity_out_of_reach_is_asked_for_anew() -> None:
    done = run("new", answers=["", "", "20 L at 1.180", *[""] * 11, "20 L at 1.060"])
    assert done.returncode == 0, done.stdout
    assert "more than this grain gives" in done.stdout
    assert run("new", "--gravity", "1.180").returncode == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--pot", "big"], "--pot: 'big' does not begin with a number"),
        (["--grain", "bread"], "--grain: 'bread' is no kind of grain"),
        (["--grain", "unicorn"], "Kinds: barley malt, pilsner malt"),
        (["--yeast", "2 g"], "--yeast: '2 g' is an amount"),
        (["--gravity", "1"], "--gravity: '1' is no more than water"),
        (["--grain", "barley malt=5"], "has no unit"),
        (["--wash", "20"], "--wash: '20' has no unit"),
        (["--wash", "20 L at 1.05", "--gravity", "1.06"], "--wash and --gravity tell the same"),
        (["--pot", "33 L copper", "--material", "copper"], "--pot and --material tell the same"),
        (["--by", "sieve"], "--by: 'sieve' is no way of separating"),
        (["--by", "batch sparge", "--no-sparge"], "A batch sparge is a sparge"),
        (["--by", "on the grain", "--sparge"], "nothing is parted"),
        (["--cool", "coil", "--pitch", "next morning"], "leave one of the two out"),
        (["--cool", "cold water"], "puts no water into the wash"),
        (["--grain", "raw maize=50 %", "--grain", "barley malt", "--heater", "none"], "nothing heats it"),
        (["--grain", "barley malt=5 kg", "--wash", "20 L", "--gravity", "1.05"], "give only one of them"),
        (["--tap", "45 C"], "cool it in an ice bath"),
        (["--altitude", "9 km"], "--altitude: '9 km' is not from -500 to 6000 m"),
        (["--name", "\x1b"], "--name: Nothing that can be read"),
        (["--wash", "1 L", "--pot", "200 L", "--room", "0 C"], "the strike water would need"),
    ],
)
def test_a_bad_flag_is_refused_in_a_sentence_and_nothing_is_written(words: list[str], said: str) -> None:
    done = run("new", *words)
    assert done.returncode == 2
    assert done.stderr.startswith("mashday: ") and done.stderr.count("\n") == 1
    assert said in done.stderr
    assert files() == []


def test_a_negative_altitude_is_a_value_and_no_option() -> None:
    assert run("new", "--altitude", "-20 m").returncode == 0


def test_flags_in_us_units_make_a_day_in_us_units() -> None:
    run("new", "--wash", "4 gal at 1.055", "--pot", "8 gal", "--grain", "barley malt")
    assert load_file("barley-malt-wash.toml")[0].units == "us"
    run("new", "--wash", "4 gal at 1.055", "--pot", "33 L", "-o", "mixed.toml")
    assert load_file("mixed.toml")[0].units == "metric"
    run("new", "--wash", "4 gal", "--units", "metric", "-o", "told.toml")
    assert load_file("told.toml")[0].units == "metric"


def test_no_file_is_written_over() -> None:
    for _ in range(3):
        run(*LOCK_SEVEN)
    stem = FILE.stem
    assert files() == [f"{stem}-2.toml", f"{stem}-3.toml", f"{stem}.toml"]
    before = FILE.read_text()
    done = run("new", "--wash", "15 L", "-o", str(FILE))
    assert done.returncode == 2
    assert "is there already" in done.stderr
    assert FILE.read_text() == before


def test_force_writes_over_the_file_that_is_named() -> None:
    run(*LOCK_SEVEN)
    assert run("new", "--wash", "15 L", "-o", str(FILE), "--force").returncode == 0
    assert load_file(FILE)[0].aim.wash_litres == 15.0
    assert files() == [FILE.name]
    done = run("new", "-o", "fresh.toml", "--force")
    assert done.returncode == 0 and "fresh.toml" in files()


def test_a_link_to_nowhere_is_no_free_name() -> None:
    FILE.symlink_to("elsewhere")
    assert run(*LOCK_SEVEN).returncode == 0
    assert not Path("elsewhere").exists()
    assert Path(f"{FILE.stem}-2.toml").exists()


def test_a_folder_that_takes_no_file_is_told(here: Path) -> None:
    assert run("new", "-o", "nowhere/day.toml").returncode == 1
    (here / "a-folder").mkdir()
    assert run("new", "-o", "a-folder").returncode == 2
    assert run("new", "-o", "a-folder", "--force").returncode == 2


def test_a_disk_that_fills_leaves_no_half_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int, *_: object, **__: object) -> io.TextIOWrapper:
        os.close(descriptor)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(command.os, "fdopen", full)
    done = run(*LOCK_SEVEN)
    assert done.returncode == 1
    assert files() == []


@pytest.mark.parametrize("name", ['quo"te', "../../etc/day", "水門", "two\nlines", "-o", "con" * 40])
def test_a_hostile_name_stays_in_the_folder_and_makes_a_sound_file(name: str, here: Path) -> None:
    done = run("new", f"--name={name}")
    assert done.returncode == 0, done.stderr
    (file,) = files()
    assert (here / file).is_file()
    assert run("check", file).returncode == 0


def test_a_program_is_told_file_and_plan_in_metric_numbers() -> None:
    told = json.loads(run(*LOCK_SEVEN, "--json", "--units", "us", answers=[]).stdout)
    assert told["file"] == str(FILE)
    assert told["plan"]["expected"]["wash_litres"] == pytest.approx(20.0, abs=0.2)
    assert told["plan"]["warnings"] == []


def test_what_is_worth_a_thought_is_told() -> None:
    bill = ("--grain", "raw maize=80 %", "--grain", "pale malt", "--wash", "8 L")
    refused = run("new", *bill)
    assert refused.returncode == 2 and "It cannot be done: 12 Lintner" in refused.stderr and files() == []
    done = run("new", *bill, "--enzyme", "-o", "day.toml")
    assert done.returncode == 0 and "Lintner" not in done.stdout
    assert run("check", "day.toml").stdout.endswith("feasible\n")


def test_the_law_and_the_weight_are_told() -> None:
    said = " ".join(run(*LOCK_SEVEN).stdout.split())
    assert "Here the work is done when the yeast is in." in said
    assert "Pot and mash weigh about 33 kg. Never lift a full pot alone" in said
    assert "Never lift" not in run("new", "--wash", "6 L", "--pot", "12 L").stdout


def test_a_new_day_teaches_nothing_and_begins_nothing(here: Path) -> None:
    run(*LOCK_SEVEN)
    assert not (here / "sessions").exists()


@pytest.mark.parametrize("force", [[], ["--force"]])
def test_the_file_of_a_day_is_never_written_over(force: list[str]) -> None:
    day = Path("day.session")
    day.write_text("[session]\nname = 'kept'\n")
    done = run("new", "-o", str(day), *force)
    assert done.returncode == 2 and "is the file of a day" in done.stderr
    assert day.read_text() == "[session]\nname = 'kept'\n"


def test_what_is_written_over_keeps_its_mode() -> None:
    FILE.write_text("mine\n")
    FILE.chmod(0o600)
    assert run("new", "-o", str(FILE), "--force").returncode == 0
    assert FILE.stat().st_mode & 0o777 == 0o600
    assert FILE.read_text() != "mine\n"


@pytest.mark.parametrize("force", [[], ["--force"]])
def test_a_link_that_leads_nowhere_has_a_sentence_of_its_own(force: list[str]) -> None:
    Path("link.toml").symlink_to("elsewhere")
    done = run("new", "-o", "link.toml", *force)
    assert done.returncode == 2 and "leads nowhere" in done.stderr and "--force" not in done.stderr
    assert not Path("elsewhere").exists()


@pytest.mark.parametrize("name", ["con", "NUL", "Com1", "lpt9", "aux."])
def test_no_file_has_the_name_of_a_device(name: str) -> None:
    assert run("new", "--name", name).returncode == 0
    assert files()[0].endswith("-day.toml")


@pytest.mark.parametrize(
    "more", [["--wrapped"], ["--pot", "100 L", "--wash", "20 L"], ["--wrapped", "--units", "us"]]
)
def test_what_is_unwrapped_for_the_night_may_stand(more: list[str]) -> None:
    done = run("new", "--yes", "--cool", "standing", "--pitch", "next morning", *more)
    assert (done.returncode, done.stderr) == (0, "")


def test_where_the_mash_lands_is_told_once() -> None:
    bill = ("--grain", "barley malt=2 kg", "--grain", "raw oats=0.3 kg", "--room", "12 C")
    done = run("new", *bill, "-o", "oats.toml")
    assert done.returncode == 0 and done.stdout.count("lands at") == 1 and "Mind" not in done.stdout
    (lands,) = re.findall("lands at ([0-9.]+ C)", done.stdout)
    assert f"lands at {lands}" in run("plan", "oats.toml").stdout


def test_what_cannot_be_is_refused_in_the_words_of_the_questions() -> None:
    said = run("new", "--wash", "1 L", "--pot", "200 L", "--room", "0 C").stderr
    assert "a larger wash" in said and "step" not in said


def test_a_refusal_is_two_lines_and_puts_the_question_again_with_its_default() -> None:
    wrong = [
        *("imperial", "bread", "50 kg", "bread", "33 L lead", "gas", "perhaps", "9", "perhaps", "900 C"),
        *("cold water", "2 g", "mercury"),
    ]
    typed = [one for answer in wrong for one in (answer, "")]
    done = run("new", answers=[*typed, ""])
    assert done.returncode == 0, done.stdout
    blocks = done.stdout.split("\n> ")[1:]
    assert (len(wrong) == 13 and len(blocks) == 0) or all(len(block) < 2000 for block in blocks)
    for question in (UNITS, *(one for one in QUESTIONS if one.flags not in (("gravity",), ("name",)))):
        asks = re.escape(question.asks)
        again = re.search(rf"{asks} \[([^\]]*)\]\n(?:  .*\n)+> ((?:  .*\n)*){asks} \[(.*)\]\n> ", done.stdout)
        assert again is not None, question.asks
        assert again[1] == again[3]
        assert 1 <= again[2].count("\n") <= 2, again[2]


def test_bad_words_for_grain_do_not_push_the_question_away() -> None:
    done = run("new", answers=["", "malt", "unicorn", "barley malt 25 %", *[""] * QUESTIONS_OF_A_PLAIN_DAY])
    said = [one for one in done.stdout.split("> ") if "Which malt" in one and "Kinds" not in one]
    assert len(said) == 4 and all(one.count("\n") <= 4 for one in said[1:])


def test_no_question_in_us_units_names_a_metric_one() -> None:
    asked = run(
        "new", answers=["us", *[one for _ in range(QUESTIONS_OF_A_PLAIN_DAY - 1) for one in ("?", "")]]
    )
    assert asked.returncode == 0
    wrong = ["us", "barley malt=5", "", "20", "5 gal at 9", "", "maize 2", "", "1000 gal", "", "7000 BTU", ""]
    told = run("new", answers=[*wrong, "x", "", "x", "", "x", "", "900 F, 1, 1, 1", "900 F", *[""] * 6])
    weighed = run("new", answers=["us", "barley malt 9 lb", "2.0", "", "maize 20 %", "", *[""] * 9])
    flags = run("new", "--units", "us", "--room", "900 F", "--pot", "9")
    for done in (asked, told, weighed, flags):
        shown = re.sub(r"\(1 gal.*|'[^']*'", "", done.stdout + done.stderr)
        assert not re.search(r"[0-9] ?(?:C|L|kg|g|m|mL|K)\b", shown), shown


def test_a_gas_ring_gives_the_pot_less_of_its_heat() -> None:
    assert run("new", "--heater", "gas 12000 BTU/h", "-o", "gas.toml").returncode == 0
    assert run("new", "--heater", "3.517 kW", "-o", "electric.toml").returncode == 0
    gas, electric = (load_file(name)[0].pot for name in ("gas.toml", "electric.toml"))
    assert gas.heater_kilowatts == pytest.approx(electric.heater_kilowatts, abs=0.001)
    assert (gas.heater_efficiency, electric.heater_efficiency) == (0.4, 0.8)
    assert "common practice" in Path("gas.toml").read_text()
    assert "never under a roof" in Path("gas.toml").read_text()
