"""Completion for shells, and the examples under every --help."""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from mashday.arguments import EXAMPLES, SHELLS, parser
from mashday.cli import main


def commands() -> dict[str, argparse.ArgumentParser]:
    """The parser of each command."""
    (found,) = (action for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    return dict(found.choices)


COMPLETED = {
    "re": {"resume", "rehearse", "reckon"},
    "plan --mark": {"--markdown"},
    "plan my": {"my-day.toml"},
}


@pytest.mark.parametrize("shell", SHELLS)
def test_every_command_and_option_is_completed(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    told = capsys.readouterr().out
    for name, made in commands().items():
        assert name in told
        for option in re.findall(r"--([a-z][a-z-]+)", made.format_usage()):
            assert option in told, (name, option)


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_bash_completes_a_command_an_option_and_a_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["completion", "bash"]) == 0
    script = tmp_path / "completion"
    script.write_text(capsys.readouterr().out)
    (tmp_path / "my-day.toml").touch()
    for typed, wanted in (
        ("re", {"resume", "rehearse", "reckon"}),
        ("plan --mark", {"--markdown"}),
        ("plan my", {"my-day.toml"}),
    ):
        words = ["mashday", *typed.split(" ")]
        line = " ".join(words)
        ask = (
            f". {script}; COMP_WORDS=({shlex.join(words)}); COMP_CWORD={len(words) - 1};"
            f" COMP_LINE={shlex.quote(line)}; COMP_POINT={len(line)};"
            " f=$(complete -p mashday | sed 's/.*-F \\([^ ]*\\).*/\\1/'); $f mashday"
            f" {shlex.quote(words[-1])} {shlex.quote(words[-2])}; printf '%s\\n' \"${{COMPREPLY[@]}}\""
        )
        done = subprocess.run(["bash", "-c", ask], capture_output=True, text=True, check=True, cwd=tmp_path)
        assert set(done.stdout.split()) == wanted, (typed, done)


def test_without_the_extra_it_says_how_to_have_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "shtab", None)
    assert main(["completion", "zsh"]) == 1
    assert "pip install 'mashday[completion]'" in capsys.readouterr().err


def test_every_command_has_examples_and_every_example_a_command() -> None:
    assert set(EXAMPLES) == set(commands())


def lines() -> Iterator[str]:
    for shown in EXAMPLES.values():
        yield from (line for line, _ in shown)


@pytest.mark.parametrize("line", list(lines()))
def test_every_example_is_one_that_is_understood(line: str) -> None:
    words = shlex.split(line.partition(" > ")[0])
    options, unknown = parser().parse_known_args(words)
    assert unknown == [] and options.command


@pytest.mark.parametrize("name", EXAMPLES)
def test_help_shows_the_examples_in_80_columns(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    with pytest.raises(SystemExit):
        main([name, "--help"])
    told = capsys.readouterr().out
    examples = told[told.index("examples:") :].splitlines()
    assert all(f"mashday {line}" in told for line, _ in EXAMPLES[name])
    assert max(map(len, examples)) <= 80
