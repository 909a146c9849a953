"""A result that goes into a file: what is not written over, and what is said where it fails."""

from __future__ import annotations

import io
import json
import os
import stat
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from days import BARLEY, BEGAN

from mashday.cli import main
from mashday.engine import intents
from mashday.session.clock import VirtualClock
from mashday.session.disk import beside
from mashday.session.session import begin, look

Told = tuple[int, str, str]
Says = Callable[..., Told]
IS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0


@pytest.fixture
def day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of a day that is over, of the schedule in my-day.toml."""
    for name in ("XDG_STATE_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("MASHDAY_SESSIONS", str(tmp_path / "sessions"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-day.toml").write_text(BARLEY)
    session = begin(BARLEY, VirtualClock(BEGAN), folder=tmp_path / "sessions")
    session.send(intents.Start())
    session.send(intents.Finish(sure=True))
    session.close()
    assert session.path is not None
    return session.path


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Says:
    def run(*words: str) -> Told:
        monkeypatch.setattr(sys, "stdin", io.StringIO())
        code = main(list(words))
        told = capfd.readouterr()
        return code, told.out, told.err

    return run


def test_a_day_is_not_written_over_and_nothing_is_added_to_it(day: Path, says: Says, tmp_path: Path) -> None:
    copy, linked = tmp_path / "day.txt", tmp_path / "linked.txt"
    copy.write_bytes(day.read_bytes())
    linked.symlink_to(day)
    before = day.read_bytes()
    for output in (day, copy, linked, beside(day, "bak")):
        beside(day, "bak").write_bytes(before)
        code, told, complained = says("later", day.stem, "--note", "racked", "-o", str(output))
        assert (code, told) == (2, "") and complained.count("\n") == 1
        assert "is the file of a day" in complained and str(output.name) in complained
        assert day.read_bytes() == output.read_bytes() == before


@pytest.mark.parametrize("name", ["my-day.toml", "my-day.txt", "empty.toml"])
def test_a_schedule_is_not_written_over(day: Path, says: Says, tmp_path: Path, name: str) -> None:
    (tmp_path / "my-day.txt").write_text("\ufeff" + BARLEY, encoding="utf-8")
    (tmp_path / "empty.toml").write_text("")
    before = (tmp_path / name).read_bytes()
    for words in (("plan", "my-day.toml"), ("check", "my-day.toml"), ("summary", day.stem, "--json")):
        code, told, complained = says(*words, "-o", name)
        assert (code, told) == (2, "") and "TOML" in complained and complained.count("\n") == 1
        assert (tmp_path / name).read_bytes() == before


def test_a_result_is_written_over_an_earlier_one(day: Path, says: Says, tmp_path: Path) -> None:
    page = tmp_path / "page.txt"
    page.write_text("")
    page.chmod(0o640)
    for words in (("--markdown",), ("--html",), ("--json",), ()):
        for _ in range(2):
            assert says("plan", "my-day.toml", *words, "-o", "page.txt") == (0, "", "")
        assert page.stat().st_size > 1000 and stat.S_IMODE(page.stat().st_mode) == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["my-day.toml", "page.txt", "sessions"]


@pytest.mark.parametrize(
    "words",
    [
        ("check", "my-day.toml"),
        ("reckon", "boiling", "--altitude", "300 m"),
        ("reckon", "gravity", "--reading", "1.050", "--at", "30 C"),
        ("days",),
        ("days", "--csv"),
        ("pots",),
        ("summary",),
        ("summary", "--csv"),
    ],
)
def test_no_result_is_taken_for_what_a_person_wrote(day: Path, says: Says, words: tuple[str, ...]) -> None:
    first = says(*words, "-o", "told.txt")
    assert first[0] == 0 and says(*words, "-o", "told.txt") == first


def test_a_new_file_has_the_mode_of_any_other(day: Path, says: Says, tmp_path: Path) -> None:
    (tmp_path / "usual").touch()
    says("plan", "my-day.toml", "-o", "plan.txt")
    assert (tmp_path / "plan.txt").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_behind_a_link_lies_what_is_written(day: Path, says: Says, tmp_path: Path) -> None:
    (tmp_path / "plan.txt").write_text("an old one")
    (tmp_path / "link").symlink_to("plan.txt")
    assert says("plan", "my-day.toml", "-o", "link")[0] == 0
    assert (tmp_path / "link").is_symlink() and "Lock Seven" in (tmp_path / "plan.txt").read_text()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device")
def test_a_device_is_written_straight_and_its_fault_names_it(day: Path, says: Says) -> None:
    assert says("plan", "my-day.toml", "-o", "/dev/null") == (0, "", "")
    code, _, complained = says("plan", "my-day.toml", "-o", "/dev/full")
    assert (
        code == 1
        and complained
        == "mashday: /dev/full could not be written: the disk is full. Name a file that can be written.\n"
    )


def test_where_the_result_cannot_be_written_the_day_has_what_was_added(
    day: Path, says: Says, tmp_path: Path
) -> None:
    for output in ("sessions", "nowhere/note.txt"):
        code, told, complained = says("later", day.stem, "--note", "racked", "-o", output)
        assert (code, told) == (1, "") and complained.startswith(
            f"mashday: Written to the day, but {output} "
        )
        assert complained.count("\n") == 1
    assert [note.text for note in look(day)[1].notes] == ["racked", "racked"]


@pytest.mark.skipif(IS_ROOT, reason="may write anything")
def test_a_file_that_is_only_to_be_read_is_not_replaced(day: Path, says: Says, tmp_path: Path) -> None:
    (tmp_path / "plan.txt").write_text("an old one")
    (tmp_path / "plan.txt").chmod(0o444)
    code, _, complained = says("plan", "my-day.toml", "-o", "plan.txt")
    assert code == 1 and "plan.txt could not be written: it is not allowed" in complained
    assert (tmp_path / "plan.txt").read_text() == "an old one"


def test_a_check_that_cannot_be_written_is_no_sound_one(day: Path, says: Says) -> None:
    assert says("check", "my-day.toml", "-o", "nowhere/check.txt")[0] == 1


def test_every_plan_tells_what_the_last_day_wants_changed(day: Path, says: Says) -> None:
    for words in ((), ("--html",), ("--markdown",)):
        assert "To change, as written on" not in says("plan", "my-day.toml", *words)[1]
    assert json.loads(says("plan", "my-day.toml", "--json")[1])["to_change"] is None
    assert says("later", day.stem, "--change", "heat <higher>")[0] == 0
    change = f"To change, as written on {day.name[:10]}: heat <higher>"
    assert change in says("plan", "my-day.toml")[1]
    assert change.replace("<", "&lt;").replace(">", "&gt;") in says("plan", "my-day.toml", "--html")[1]
    assert "To change, as written on" in says("plan", "my-day.toml", "--markdown")[1]
    assert json.loads(says("plan", "my-day.toml", "--json")[1])["to_change"] == change
