"""The commands that look back, as a whole: days, pots, and what an earlier day wants changed."""

from __future__ import annotations

import csv
import io
import json
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from days import BARLEY, BEGAN

from mashday.cli import main
from mashday.engine import intents
from mashday.session.clock import VirtualClock
from mashday.session.known import known_pot
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

Told = tuple[int, str, str]
POT = "lock-keeper's kettle"
OTHER = BARLEY.replace("Lock Seven barley wash", "=Lock Seven rye wash").replace(POT, "tin bath")


@pytest.fixture(scope="module")
def three_days(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Three real days lived by the simulated person, a week apart: name and bytes of each file."""
    folder = tmp_path_factory.mktemp("days")
    for week in range(3):
        clock = VirtualClock(BEGAN + timedelta(days=7 * week))
        session = begin(BARLEY, clock, folder=folder, seed=4, known=known_pot(folder, POT))
        whole_day(session, day=week + 1)
        session.send(intents.WriteClosingLine("change", f"heed the lid, week {week}"))
        session.close()
    return {path.name: path.read_bytes() for path in folder.glob("*.toml")}


@pytest.fixture
def sessions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, three_days: dict[str, bytes]) -> Path:
    """A sessions folder with these three days."""
    folder = tmp_path / "sessions"
    folder.mkdir()
    for name in ("XDG_STATE_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("MASHDAY_SESSIONS", str(folder))
    monkeypatch.chdir(tmp_path)
    for name, data in three_days.items():
        (folder / name).write_bytes(data)
    (tmp_path / "my-day.toml").write_text(BARLEY)
    (tmp_path / "rye.toml").write_text(OTHER)
    return folder


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Callable[..., Told]:
    def run(*words: str, typed: str = "") -> Told:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        try:
            code = main(list(words))
        except SystemExit as left:
            code = int(left.code or 0)
        told = capfd.readouterr()
        return code, told.out, told.err

    return run


Says = Callable[..., Told]


def another_day(folder: Path, *, over: bool = True, rehearsed: bool = False) -> Path:
    """A day in another pot, much later."""
    clock = VirtualClock(BEGAN + timedelta(days=60))
    session = begin(OTHER, clock, folder=folder, rehearsed=rehearsed)
    session.send(intents.Start())
    if over:
        session.send(intents.Finish(sure=True))
    session.close()
    assert session.path is not None
    return session.path


def dates(told: str) -> list[str]:
    return [line[:10] for line in told.splitlines() if line[:4] == "2026"]


def test_days_stand_side_by_side_latest_first_in_80_columns(sessions: Path, says: Says) -> None:
    code, told, complained = says("days")
    assert (code, complained) == (0, "")
    assert told.startswith("DAYS  3 past days, the latest first\n")
    assert dates(told) == ["2026-10-17", "2026-10-10", "2026-10-03"]
    assert all(len(line) <= 80 for line in told.splitlines())
    assert "complete" in told and POT in told and " L " in told
    assert " gal " in says("days", "--units", "us")[1]


@pytest.mark.parametrize(
    ("words", "count"),
    [
        (("--last", "2"), 2),
        (("--since", "2026-10-10"), 3),
        (("--schedule", "BARLEY"), 3),
        (("--schedule", "rye"), 1),
        (("--pot", "tin bath"), 1),
        (("--pot", "kettle", "--since", "2026-10-10", "--last", "1"), 1),
        (("--schedule", "oats"), 0),
    ],
)
def test_days_are_picked_out(sessions: Path, says: Says, words: tuple[str, ...], count: int) -> None:
    another_day(sessions)
    code, told, _ = says("days", *words, "--json")
    assert code == 0 and len(json.loads(told)["days"]) == count


@pytest.mark.parametrize("words", [("--last", "0"), ("--since", "last week"), ("--last", "many")])
def test_a_filter_that_is_none_is_refused(sessions: Path, says: Says, words: tuple[str, ...]) -> None:
    assert says("days", *words)[0] == 2


def test_rehearsed_days_are_told_only_when_asked_for(sessions: Path, says: Says) -> None:
    another_day(sessions, rehearsed=True)
    assert len(dates(says("days")[1])) == 3
    assert dates(says("days", "--rehearsed")[1]) == ["2026-12-02"]


def test_open_days_and_files_that_cannot_be_read_are_counted_with_how_to_see_why(
    sessions: Path, says: Says
) -> None:
    unfinished = another_day(sessions, over=False)
    first = min(sessions.glob("*.toml"))
    first.write_bytes(first.read_bytes().replace(b"day started", b"day starred"))
    _, told, _ = says("days")
    assert len(dates(told)) == 2
    assert f"Still open, not told here: 1. Take one up: mashday resume {unfinished.stem}" in told
    assert told.endswith(f"Cannot be read, or are damaged: 1. See why: mashday summary {first.stem}\n")


def test_days_are_told_in_the_units_of_the_latest(sessions: Path, says: Says) -> None:
    assert " F " not in says("days")[1]
    session = begin(
        BARLEY,
        VirtualClock(BEGAN + timedelta(days=60)),
        folder=sessions,
    )
    session.send(intents.Start())
    session.send(intents.ChooseUnits("us"))
    session.send(intents.Finish(sure=True))
    session.close()
    assert " F " in says("days")[1] and " F " not in says("days", "--units", "metric")[1]


def test_without_a_day_that_is_said(tmp_path: Path, sessions: Path, says: Says) -> None:
    assert says("days", "--sessions", str(tmp_path / "none")) == (0, "No past day fits.\n", "")
    assert "No pot has taught anything yet" in says("pots", "--sessions", str(tmp_path / "none"))[1]


def test_days_as_csv_go_to_a_file_and_hold_no_formula(sessions: Path, says: Says, tmp_path: Path) -> None:
    another_day(sessions)
    code, told, _ = says("days", "--csv", "-o", "days.csv")
    assert (code, told) == (0, "")
    data = (tmp_path / "days.csv").read_bytes()
    assert data.count(b"\r\n") == 5
    rows = list(csv.DictReader(io.StringIO(data.decode(), newline="")))
    assert rows[0]["schedule"] == "'=Lock Seven rye wash" and rows[1]["date"] == "2026-10-17"


def test_what_is_read_later_stands_beside_the_day(sessions: Path, says: Says) -> None:
    says("later", "2026-10-03", "--gravity", "0.998 at 20 C")
    days = json.loads(says("days", "--json")[1])["days"]
    assert [day["final_gravity"] for day in days] == [None, None, pytest.approx(0.998, abs=1e-4)]
    assert days[2]["abv_percent"] > 7.0


def test_pots_tell_what_they_taught_and_predict_the_strike_a_plan_tells(sessions: Path, says: Says) -> None:
    another_day(sessions)
    code, told, _ = says("pots", "--predict", "my-day.toml")
    assert code == 0 and "lock-keeper's kettle, 3 days; learned from 3" in told
    assert "tin bath, one day: nothing learned yet" in told
    made = json.loads(says("pots", "--predict", "my-day.toml", "--json")[1])
    planned = json.loads(says("plan", "my-day.toml", "--json")[1])["strike"]["water_celsius"]
    assert made["strike"]["learned_celsius"] == pytest.approx(planned, abs=0.05)
    assert made["strike"]["alone_celsius"] != made["strike"]["learned_celsius"]
    assert "taught nothing yet" in says("pots", "--predict", "rye.toml")[1]
    assert says("pots", "--predict", "no-such-file")[0] == 2


def test_the_next_start_tells_what_the_last_day_wants_changed(sessions: Path, says: Says) -> None:
    wanted = "To change, as written on 2026-10-17: heed the lid, week 2"
    assert wanted in says("plan", "my-day.toml")[1]
    assert wanted in says("run", "my-day.toml", "--plain", typed="quit\n")[1]
    assert wanted not in says("run", "my-day.toml", "--plain", "--rehearse", typed="quit\n")[1]
    assert "To change" not in says("plan", "rye.toml")[1]
    assert "To change" not in says("run", "rye.toml", "--plain", typed="start\nquit\n")[1]


def test_a_day_taken_up_again_is_not_told_it_anew(sessions: Path, says: Says) -> None:
    says("run", "my-day.toml", "--plain", typed="start\nquit\n")
    assert "To change, as" not in says("resume", "--plain", typed="quit\n")[1]


def test_a_day_that_was_never_begun_is_not_counted_as_still_open(sessions: Path, says: Says) -> None:
    begin(OTHER, VirtualClock(BEGAN + timedelta(days=60)), folder=sessions).close()
    _, told, _ = says("days")
    assert "3 past days" in told and "Still open" not in told


def test_a_day_given_up_before_it_began_is_no_past_day(sessions: Path, says: Says) -> None:
    session = begin(OTHER, VirtualClock(BEGAN + timedelta(days=60)), folder=sessions)
    session.send(intents.Abort(sure=True))
    session.close()
    assert "3 past days" in says("days")[1] and "tin bath" not in says("pots")[1]


def test_what_is_to_be_typed_names_the_folder_that_was_named(
    sessions: Path, says: Says, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("MASHDAY_SESSIONS")
    folder = sessions.rename(tmp_path / "my days")
    named = f"--sessions '{folder}'"
    unfinished = another_day(folder, over=False)
    first = min(folder.glob("*.toml"))
    first.write_bytes(first.read_bytes().replace(b"day started", b"day starred"))
    for command in ("days", "pots"):
        _, told, _ = says(command, "--sessions", str(folder))
        assert told.endswith(f"are damaged: 1. See why: mashday summary {first.stem} {named}\n")
    assert f"mashday resume {unfinished.stem} {named}" in says("days", "--sessions", str(folder))[1]
    _, told, _ = says("run", "my-day.toml", "--plain", "--sessions", str(folder), typed="start\nquit\n")
    assert told.rstrip().endswith(named) and "Go on with: mashday resume 20" in told
    assert named in says("later", unfinished.stem, "--note", "x", "--sessions", str(folder))[2]
    assert named in says("resume", "2026-10-10", "--plain", "--sessions", str(folder))[2]


def test_pots_name_files_that_cannot_be_read(sessions: Path, says: Says) -> None:
    first = min(sessions.glob("*.toml"))
    first.write_bytes(first.read_bytes().replace(b"day started", b"day starred"))
    assert json.loads(says("pots", "--json")[1])["unread"] == [first.stem]


def test_a_file_named_after_a_day_that_is_none_stops_no_plan(sessions: Path, says: Says) -> None:
    """Its bytes are those of a day that says what to change."""
    data = max(sessions.glob("*.toml")).read_bytes()
    (sessions / "2026-13-45-a-day.toml").write_bytes(data)
    code, told, complained = says("plan", "my-day.toml")
    assert (code, complained) == (0, "") and "heed the lid, week 2" in told
