"""How long a command takes that needs no screen: the help beside a bare argparse, a sum beside a bare pint.

    .venv/bin/python tests/bench/start.py [--quick]

Wall time of whole processes. The floor of `mashday --help` is a script that imports nothing but argparse
and prints the help of a parser with as many commands, options and positionals, each with a help text of the
same length. That of a sum is a process that imports pint and makes one quantity. Limits: judgement.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from table import Measure, Row, alone, in_turn, seconds

from mashday.cli import parser

ROUNDS, QUICK_ROUNDS = 15, 5
HELP_LIMIT, SUM_LIMIT = 1.6, 1.3
BARE_PINT = "import pint; registry = pint.UnitRegistry(); registry.Quantity(5.0, 'kilogram')"
BARE_ARGPARSE = """
import argparse

def fill(parser, shape):
    for names, text in shape["options"]:
        parser.add_argument(*names, help=text)
    if shape["commands"]:
        commands = parser.add_subparsers()
        for name, inner in shape["commands"].items():
            fill(commands.add_parser(name, help="x" * 40), inner)

parser = argparse.ArgumentParser(prog="bare")
fill(parser, {shape!r})
parser.parse_args()
"""
SUM = "import sys; from mashday.cli import main; sys.exit(main({arguments!r}))"
SUMS = {
    "a strike in metric units": ["--grain", "5 kg", "--water", "15 L", "--grain-temp", "18 C"],
    "a strike in US units": ["--grain", "11 lb", "--water", "4 gal", "--grain-temp", "64 F"],
    "a strike in a unit only pint knows": ["--grain", "0.8 stone", "--water", "15 L", "--grain-temp", "18 C"],
}


def shape_of(made: argparse.ArgumentParser) -> dict[str, Any]:
    """The commands of a parser and the options and positionals of each, with texts of the same length."""
    shape: dict[str, Any] = {"options": [], "commands": {}}
    for action in made._actions:
        if isinstance(action, argparse._SubParsersAction):
            shape["commands"] = {name: shape_of(inner) for name, inner in action.choices.items()}
        elif not isinstance(action, argparse._HelpAction):
            names = tuple(action.option_strings) or (action.dest,)
            shape["options"].append((names, "x" * len(action.help or "")))
    return shape


def process(*words: str) -> Measure:
    """Wall seconds of a whole Python process with these words."""
    return seconds(lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True))


def rows(quick: bool = False) -> Iterator[Row]:
    """The help, then the sums."""
    rounds = QUICK_ROUNDS if quick else ROUNDS
    with TemporaryDirectory() as folder:
        script = Path(folder) / "bare.py"
        script.write_text(BARE_ARGPARSE.replace("{shape!r}", repr(shape_of(parser()))), encoding="utf-8")
        taken = in_turn(process("-m", "mashday", "--help"), process(str(script), "--help"), 2 * rounds)
    yield taken.row("mashday --help / bare argparse", HELP_LIMIT)
    for name, arguments in SUMS.items():
        script_text = SUM.format(arguments=["reckon", "strike", *arguments, "--target", "63 C"])
        taken = in_turn(process("-c", script_text), process("-c", BARE_PINT), rounds)
        yield taken.row(f"{name} / bare pint", SUM_LIMIT)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
