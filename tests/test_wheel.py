"""The wheel as people install it: built here, installed into an empty environment, run from elsewhere."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from mashday import __version__
from mashday.schedule.samples import sample_names

pytestmark = pytest.mark.long

HERE = Path(__file__).parents[1]


def run(*command: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    clean = {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "MASHDAY", "XDG"))
    }
    data = {"XDG_DATA_HOME": str(cwd / "data"), "XDG_STATE_HOME": str(cwd / "state"), "HOME": str(cwd)}
    return subprocess.run(
        command, cwd=cwd, env={**clean, **data}, capture_output=True, text=True, check=False, timeout=300
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    built = run(sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", ".", str(HERE), cwd=folder)
    if built.returncode:
        pytest.skip(f"no wheel can be built here: {built.stderr[-300:]}")
    (found,) = folder.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def program(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """The command in an environment that holds nothing else, and a folder to run it in."""
    folder = tmp_path_factory.mktemp("empty")
    made = run(sys.executable, "-m", "venv", "venv", cwd=folder)
    assert made.returncode == 0, made.stderr
    scripts = folder / "venv" / ("Scripts" if os.name == "nt" else "bin")
    installed = run(str(scripts / "python"), "-m", "pip", "install", "-q", str(wheel), cwd=folder)
    if installed.returncode:
        pytest.skip(f"what it depends on cannot be had here: {installed.stderr[-300:]}")
    yield str(scripts / "mashday"), folder


def test_samples_schema_and_looks_are_inside(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {f"mashday/sample_schedules/{name}.toml" for name in sample_names()} <= set(names)
    assert {"mashday/schedule/schema.json", "mashday/report/page.css"} <= set(names)
    assert not [name for name in names if name.startswith("tests/")]


def test_it_tells_its_version_and_its_commands(program: tuple[str, Path]) -> None:
    command, folder = program
    assert run(command, "--version", cwd=folder).stdout == f"mashday {__version__}\n"
    told = run(str(Path(command).with_name("python")), "-m", "mashday", "--help", cwd=folder)
    assert told.returncode == 0 and "rehearse" in told.stdout


def test_from_nothing_to_a_plan_a_rehearsed_day_and_a_page(program: tuple[str, Path]) -> None:
    command, folder = program
    new = run(
        command, "new", "--yes", "--wash", "20 L at 1.060", "--pot", "33 L", "-o", "day.toml", cwd=folder
    )
    assert new.returncode == 0, new.stderr
    assert run(command, "check", "day.toml", cwd=folder).returncode == 0
    page = run(command, "plan", "day.toml", "--html", cwd=folder)
    assert page.returncode == 0 and page.stdout.lower().startswith("<!doctype html>")
    lived = run(command, "rehearse", "day.toml", "--json", "--sessions", "kept", cwd=folder)
    assert lived.returncode == 0 and json.loads(lived.stdout)["finished"]
    rows = run(
        command,
        "summary",
        "--sessions",
        "kept",
        "--csv",
        next((folder / "kept").glob("*.toml")).stem,
        cwd=folder,
    )
    assert rows.returncode == 0 and rows.stdout.count("\n") > 5


def test_what_is_not_installed_is_said_in_words(program: tuple[str, Path]) -> None:
    command, folder = program
    told = run(command, "completion", "bash", cwd=folder)
    assert told.returncode == 1 and "pip install 'mashday[completion]'" in told.stderr
