"""Rubbish on the command line: arguments of sums and of the other commands, and names of files."""

from __future__ import annotations

import io
import json
import os
import re
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_forged import hostile_entries
from fuzz_schedules import changed_sample, samples
from fuzz_texts import NUMBERS, as_argument, hostile_text, quantity

from mashday import cli
from mashday.reckon.table import SUMS, Option

LONGEST_SENTENCE = 2000
LIKELY = 0.7
"""The share of values that are likely ones; the others are at the edge of what can be, or beyond."""
OF_A_SESSION = re.compile(r"\.?[0-9]{4}-[0-9]{2}-[0-9]{2}-[a-z0-9-]{1,43}\.toml(\.[a-z]+)?")
"""The names of a session file and of what lies beside it: made of the day and of letters, never of a path."""


def said(arguments: list[str]) -> tuple[int, str, str]:
    """The exit code of the command line, and what it wrote and what it complained of."""
    out, complaints = io.StringIO(), io.StringIO()
    try:
        with redirect_stdout(out), redirect_stderr(complaints):
            code = cli.main(arguments)
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    shown(out.getvalue(), complaints.getvalue())
    return code, out.getvalue(), complaints.getvalue()


def answered(arguments: list[str], *, codes: tuple[int, ...] = (0, 2)) -> Outcome:
    """Says so; AssertionError for a fault of ours, another exit code, or a refusal without a word."""
    code, out, complaints = said(arguments)
    assert code in codes, (code, complaints[-1500:])
    if code and complaints:
        last = complaints.strip().split("\n")[-1]
        assert last.startswith("mashday") and ": " in last and len(last) < LONGEST_SENTENCE, complaints
        return "refused"
    assert out
    return "answered" if code == 0 else "refused"


# Sums


def a_sum(chance: Random) -> list[str]:
    """The arguments of one sum: mostly what it wants, some of it rubbish."""
    name = chance.choice(list(SUMS))
    spoilt = chance.random() < 0.5
    arguments = ["reckon", name]
    for option in SUMS[name].options:
        if not option.missing and chance.random() < 0.6:
            continue
        if option.missing and chance.random() < 0.02:
            continue
        for _ in range(chance.choice((1, 2)) if option.repeat and chance.random() < 0.3 else 1):
            value = _rubbish(chance) if spoilt and chance.random() < 0.3 else _value(chance, option)
            arguments += [value] if option.positional else _option(chance, option.name, value)
    if chance.random() < 0.2:
        arguments.append("--json")
    if chance.random() < 0.2:
        arguments += ["--units", chance.choice(("us", "metric", "us", "metric", "stone"))]
    if spoilt and chance.random() < 0.1:
        arguments.insert(chance.randrange(1, len(arguments) + 1), _rubbish(chance))
    return arguments


def _option(chance: Random, name: str, value: str) -> list[str]:
    return [f"--{name}={value}"] if chance.random() < 0.5 else [f"--{name}", value]


def _rubbish(chance: Random) -> str:
    found = chance.choice(
        (
            quantity(chance),
            hostile_text(chance, halves=True),
            chance.choice(NUMBERS),
            chance.choice(("-h", "--no-such", "--json", "-", "@file")),
        )
    )
    return as_argument(found)


_VALUES: dict[str, tuple[str, ...]] = {
    "temperature": (
        "18 C",
        "63 C",
        "72 C",
        "145 F",
        "20 C",
        "0 C",
        "100 C",
        "212 F",
        "-5 C",
        "99.9 C",
        "24",
        "tap",
    ),
    "boiling or temperature": ("boiling", "97 C", "12 C", "tap", "200 F", "100 C"),
    "mass": ("5 kg", "11 lb", "12 oz", "500 g", "0 kg", "0.001 kg", "10000 kg", "1e3 kg", "2 lb 3 oz"),
    "volume": ("15 L", "4 gal", "20 L", "0 L", "0.1 L", "100000 L", "5 qt", "3 imp gal"),
    "time": ("60 min", "1.5 h", "20", "0 min", "100000 min", "90 s"),
    "power": ("2.5 kW", "2500 W", "0 W", "100 kW", "1e9 W"),
    "heat loss": ("4 W/K", "0 W/K", "1000 W/K"),
    "pot heat": ("2.5 kJ/K", "4.6 kg", "0 kJ/K", "100000 kJ/K"),
    "heat": ("100 kJ", "0 kJ", "-50 kJ", "1e9 kJ"),
    "specific heat": ("22 kJ/kg", "0 kJ/kg", "1e6 kJ/kg"),
    "length": ("40 m", "0 m", "6000 m", "-400 m", "130 ft"),
    "share": ("4 %", "80 %", "0.8", "0", "1", "100 %", "101 %"),
    "thickness": ("3 L/kg", "1.5 qt/lb", "0 L/kg", "40 L/kg"),
    "flow": ("6 L/min", "4 L/h", "0 L/h", "4"),
    "gravity": ("1.048", "1.060", "12 P", "1.0", "0.99", "1.19", "1.010", "12 Bx", "1048"),
    "brix": ("12 Bx", "12", "0", "45 Bx", "1.048"),
    "number": ("1.04", "1", "0", "5.4", "-1", "nan", "inf", "1e308", "0.1"),
    "kind and mass": (
        "barley malt=4 kg",
        "raw maize=1 kg",
        "rye malt=0 kg",
        "x=1 kg",
        "barley malt=",
        "=4 kg",
    ),
}


def _value(chance: Random, option: Option) -> str:
    if option.choices:
        return chance.choice(option.choices)
    values = _VALUES[option.kind]
    return chance.choice(values[:3] if chance.random() < LIKELY else values)


def met_sum(arguments: list[str], folder: Path) -> Outcome:
    """One sum asked for."""
    outcome = answered(arguments, codes=(0, 1, 2))
    if outcome == "answered" and "--json" in arguments and "-h" not in arguments:
        json.loads(said(arguments)[1], parse_constant=_no_json)
    for one in folder.iterdir():
        one.unlink()
    return outcome


def _no_json(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON (RFC 8259)")


# The other commands


@dataclass(frozen=True, slots=True)
class Asked:
    """Arguments, the file they name, what stands in it, and a line typed."""

    arguments: list[str]
    name: str
    data: bytes


def a_command(chance: Random) -> Asked:
    """A command about a file whose name is nobody's idea of one."""
    name = _file_name(chance)
    what = chance.choice(("check", "check", "plan", "summary", "from", "nonsense"))
    schedule = changed_sample(chance) if chance.random() < 0.3 else chance.choice(samples())
    more = chance.choice(([], ["--json"], ["--units", "us"], ["--units", as_argument(hostile_text(chance))]))
    match what:
        case "check":
            return Asked(
                ["check", name, *chance.choice(([], ["--json"], [_rubbish(chance)]))], name, schedule
            )
        case "plan":
            start = chance.choice(
                ([], ["--start", "10:00"], ["--start", _rubbish(chance)], ["--ready", "25:00"])
            )
            return Asked(["plan", name, *start, *more], name, schedule)
        case "summary":
            file = hostile_entries(chance).data
            return Asked(
                [
                    "summary",
                    name,
                    *more,
                    *chance.choice(([], ["--sessions", chance.choice(("x", "~nobody-here/x", "\x1b]0;x"))])),
                ],
                name,
                file,
            )
        case "from":
            word = step_word(chance)
            return Asked(["run", "--plain", name, "--from", word, "--sessions", "sessions"], name, schedule)
    words = [_rubbish(chance) for _ in range(chance.randint(1, 4))]
    words = [word for word in words if word not in ("-", "--")]
    return Asked(
        [chance.choice(("resume", "plan", "rehearse", "pla", "--version", "-x")), *words], name, schedule
    )


def _file_name(chance: Random) -> str:
    if chance.random() < 0.5:
        return chance.choice(("day.toml", "a day.toml", "-day.toml", "day"))
    text = as_argument(hostile_text(chance, halves=True)).replace("/", "_").lstrip("-")
    return os.fsdecode(os.fsencode(text)[:120]).strip(".") or "x"


def step_word(chance: Random) -> str:
    words = (
        "rest",
        "Starch-check",
        "starch check",
        "2",
        "0",
        "99",
        "9" * 30,
        "REST",
        "\u0665",
        "1.0",
        "-1",
        " ",
    )
    return chance.choice((chance.choice(words), as_argument(hostile_text(chance, halves=True))))


def met_command(asked: Asked, folder: Path) -> Outcome:
    """The command asked for, with the file in the folder."""
    try:
        (folder / asked.name).write_bytes(asked.data)
    except (OSError, ValueError):
        return "no such file can be"
    before = sys.stdin
    sys.stdin = io.StringIO("quit\n")
    try:
        outcome = answered(asked.arguments, codes=(0, 1, 2))
    finally:
        sys.stdin = before
        _emptied(folder)
    return outcome


def _emptied(folder: Path) -> None:
    """Files and the sessions of a command are taken away; nothing else may lie there."""
    for one in folder.iterdir():
        if one.is_dir():
            assert one.name in ("sessions", "mashday"), one
            for inside in one.iterdir():
                assert OF_A_SESSION.fullmatch(inside.name), inside
                inside.unlink()
            one.rmdir()
        else:
            one.unlink()


AREAS = (
    Area("sums", a_sum, met_sum, frozenset({"answered"}), 0.2),
    Area("commands", a_command, met_command, frozenset({"answered"}), 0.2),
)
