"""The house keeps its own rules: floors, types, style, light start, and silence about the workshop."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)


def test_imports_go_down_only() -> None:
    done = run(sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()")
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_type_is_sound() -> None:
    done = run(sys.executable, "-m", "mypy")
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize("words", [("check",), ("format", "--check")])
def test_the_style_is_kept(words: tuple[str, ...]) -> None:
    done = run(sys.executable, "-m", "ruff", *words, "mashday", "tests")
    assert done.returncode == 0, done.stdout + done.stderr


def _loaded_by(arguments: list[str]) -> set[str]:
    script = (
        "import sys\n"
        "from mashday.cli import main\n"
        "try:\n"
        f"    main({arguments!r})\n"
        "except SystemExit:\n"
        "    pass\n"
        "print('\\n' + ' '.join(sorted(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(done.stderr.splitlines()[-1].split())


@pytest.mark.parametrize("arguments", [["--help"], ["run", "--help"], ["--version"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    heavy = {"textual", "pint", "rich", "asyncio", "pydantic"}
    assert not heavy & _loaded_by(arguments)


def test_a_command_without_a_screen_loads_no_screen_toolkit() -> None:
    loaded = _loaded_by(["check", "lock-seven-barley"])
    assert not {"textual", "rich", "pint"} & loaded


def test_the_core_knows_no_clock_disk_screen_or_chance() -> None:
    barred = re.compile(r"^\s*(?:from|import) (time|random|os|pathlib|socket|textual|pint|secrets)\b", re.M)
    for floor in ("science", "engine"):
        for path in sorted((ROOT / "mashday" / floor).rglob("*.py")):
            assert not barred.search(path.read_text()), path


def test_no_dependency_is_without_a_range_and_a_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    reasons = (ROOT / "DEVELOPERS.md").read_text()
    everything = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    for one in everything:
        name = re.match(r"[A-Za-z0-9_-]+", one)
        assert name is not None
        assert ">=" in one and "<" in one, one
        assert f"| {name[0]} |" in reasons, f"{name[0]} has no line in DEVELOPERS.md"


def test_every_room_has_its_line_in_the_guide() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text()
    for path in sorted((ROOT / "mashday").rglob("*.py")):
        if path.name != "__init__.py":
            room = path.relative_to(ROOT / "mashday").as_posix()
            assert f"`{room}`" in guide, f"{room} has no line in DEVELOPERS.md"
