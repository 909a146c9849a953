"""Plan and summary written as Markdown, HTML and CSV by the command line."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from mashday.cli import main


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """A folder with one rehearsed day in it."""
    folder = tmp_path / "sessions"
    monkeypatch.setenv("MASHDAY_SESSIONS", str(folder))
    assert main(["rehearse", "lock-seven-barley", "--sessions", str(folder)]) == 0
    capsys.readouterr()
    return folder


def session(folder: Path) -> str:
    (path,) = folder.glob("*.toml")
    return str(path)


@pytest.mark.parametrize(
    ("option", "begins"), [("--html", "<!DOCTYPE html>"), ("--markdown", "# Plan: Lock Seven barley wash")]
)
def test_the_plan_is_written_as_asked(
    option: str, begins: str, kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", "lock-seven-barley", option, "--start", "9:30"]) == 0
    told = capsys.readouterr().out
    assert told.startswith(begins) and "09:30" in told and told.endswith("\n")


@pytest.mark.parametrize(
    ("option", "begins"),
    [
        ("--html", "<!DOCTYPE html>"),
        ("--markdown", "# Summary: Lock Seven barley wash"),
        ("--csv", '"clock"'),
    ],
)
def test_the_summary_is_written_as_asked(
    option: str, begins: str, kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["summary", session(kept), option]) == 0
    assert capsys.readouterr().out.startswith(begins)


def test_a_page_is_in_the_units_asked_for(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["plan", "lock-seven-barley"], ["summary", session(kept)]):
        assert main([*words, "--html", "--units", "us"]) == 0
        told = capsys.readouterr().out
        assert "gal" in told and "145.4 F" in told


def test_the_csv_has_every_reading_of_the_json_and_keeps_its_line_ends_in_a_file(
    kept: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "readings.csv"
    assert main(["summary", session(kept), "--csv", "--units", "us", "-o", str(target)]) == 0
    assert capsys.readouterr().out == ""
    written = target.read_bytes()
    assert written.count(b"\r\n") == written.count(b"\n")
    with target.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert main(["summary", session(kept), "--json"]) == 0
    readings = json.loads(capsys.readouterr().out)["readings"]
    assert [row["typed"] for row in rows] == [reading["typed"] for reading in readings]
    assert [row["value"] for row in rows if row["quantity"] == "temperature"] == [
        f"{reading['celsius']:.6g}" for reading in readings if reading["quantity"] == "temperature"
    ]


@pytest.mark.parametrize(
    "options", [("--json", "--html"), ("--html", "--markdown"), ("--csv", "--json"), ("--csv", "--html")]
)
def test_one_way_of_writing_is_taken_and_no_more(
    options: tuple[str, str], kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["summary", session(kept), *options])
    assert ended.value.code == 2
    assert "not allowed with" in capsys.readouterr().err


def test_a_plan_has_no_readings_to_write_as_csv(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "lock-seven-barley", "--csv"]) == 2
    assert "--csv is not known here" in capsys.readouterr().err


def test_a_page_goes_to_a_file_that_can_be_written_and_is_refused_where_none_can(
    kept: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "plan.html"
    assert main(["plan", "lock-seven-barley", "--html", "-o", str(target)]) == 0
    assert target.read_text(encoding="utf-8").endswith("</html>\n")
    assert main(["plan", "lock-seven-barley", "--html", "-o", str(tmp_path / "no" / "x.html")]) == 1
    assert "Name a file" in capsys.readouterr().err
