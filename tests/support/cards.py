"""The cards of the science floor, read from its docstrings, and the index made of them.

Print the index with `python tests/support/cards.py > mashday/science/FORMULAS.md`.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import mashday.science

SCIENCE = Path(mashday.science.__file__).parent
TESTS = Path(__file__).parent.parent / "science"
INDEX = SCIENCE / "FORMULAS.md"

LABELS = ("Formula", "Takes", "Gives", "Source", "Example")
WITHOUT_CARDS = {"working"}
"""Rooms whose functions tell sums and make none."""

_LABELLED = re.compile(r"([A-Z][a-z]+): (.*)")
_PARAMETER = re.compile(
    r"(?P<name>\w+) "
    r"(?:(?P<low>\S*)\.\.(?P<high>\S*)(?: (?!or None)(?P<unit>.+?))?"
    r"|one of (?P<table>[\w.]+)"
    r"|(?!one of )(?P<words>(?:(?!\.\.).)+?))"
    r"(?P<optional> or None)?"
)


class Malformed(ValueError):
    """A docstring that is not a card; the message says where and what is wrong."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """One entry of Takes; low and high are expressions, empty where that end is open."""

    name: str
    low: str
    high: str
    unit: str
    table: str
    optional: bool


@dataclass(frozen=True, slots=True)
class Example:
    """A call and what it prints."""

    call: str
    printed: str


@dataclass(frozen=True, slots=True)
class Card:
    """What the docstring of a public function says by its labels."""

    formula: str
    takes: tuple[Parameter, ...]
    gives: str
    source: str
    examples: tuple[Example, ...]


Function = Callable[..., Any]


def rooms() -> dict[str, ModuleType]:
    """Every room of the science floor by its name."""
    names = sorted(path.stem for path in SCIENCE.glob("*.py") if path.stem != "__init__")
    return {name: importlib.import_module(f"mashday.science.{name}") for name in names}


def functions(room: ModuleType) -> list[Function]:
    """The public functions a room defines, in the order they are written."""
    tree = ast.parse(inspect.getsource(room))
    return [
        getattr(room, node.name)
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def carded() -> Iterator[tuple[str, Function]]:
    """Every function that has to have a card, with the name of its room."""
    for name, room in rooms().items():
        if name not in WITHOUT_CARDS:
            yield from ((name, function) for function in functions(room))


def title(function: Function) -> str:
    """room.function, as people look it up."""
    return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"


def card(function: Function) -> Card:
    """The card in a function's docstring; Malformed when it is none."""
    said = _labelled(function)
    if tuple(said) != LABELS:
        raise Malformed(f"{title(function)}: labels {', '.join(said) or 'missing'}; due: {', '.join(LABELS)}")
    return Card(
        formula=said["Formula"],
        takes=tuple(_parameter(function, entry) for entry in said["Takes"].split("; ")),
        gives=said["Gives"],
        source=said["Source"],
        examples=tuple(_example(function, entry) for entry in said["Example"].split("; ")),
    )


def namespace(function: Function) -> dict[str, Any]:
    """The names an example or an end may use: every room, then what the function's own room knows."""
    return {**rooms(), **vars(inspect.getmodule(function) or mashday.science)}


def _labelled(function: Function) -> dict[str, str]:
    said: dict[str, str] = {}
    last = ""
    for line in inspect.cleandoc(function.__doc__ or "").split("\n"):
        found = _LABELLED.fullmatch(line)
        if found and (said or found[1] == LABELS[0]):
            last = found[1]
            if last in said:
                raise Malformed(f"{title(function)}: {last} is said twice")
            said[last] = found[2]
        elif last and line.startswith("    "):
            said[last] += " " + line.strip()
        elif last:
            raise Malformed(f"{title(function)}: {line!r} stands among the labels")
    return said


def _parameter(function: Function, entry: str) -> Parameter:
    found = _PARAMETER.fullmatch(entry)
    if found is None:
        raise Malformed(f"{title(function)}: Takes has {entry!r}")
    given = {name: found[name] or "" for name in ("name", "low", "high", "unit", "table")}
    return Parameter(**given, optional=found["optional"] is not None)


def _example(function: Function, entry: str) -> Example:
    call, equals, printed = entry.rpartition(" = ")
    if not equals:
        raise Malformed(f"{title(function)}: Example has {entry!r}")
    return Example(call, printed)


def index() -> str:
    """Every formula of the science floor with its source and what it was held against, as Markdown."""
    rows, others = _exercised()
    parts = [_HEAD]
    for name, room in rooms().items():
        if name in WITHOUT_CARDS or not functions(room):
            continue
        purpose = (room.__doc__ or "").split("\n", 1)[0]
        parts.append(f"\n## {name}\n\n{purpose}\n\n{_COLUMNS}")
        for function in functions(room):
            told, where = card(function), title(function)
            checks = [f"{key}: {_counted(kinds)}" for key, kinds in sorted(rows.get(where, {}).items())]
            checks += [f"test_{stem}" for stem in sorted(others.get(where, ()))]
            held = "<br>".join(checks) or "its example"
            cells = (f"`{told.formula}`", f"`{where}`", told.gives, told.source, held)
            parts.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n")
    return "".join(parts)


_HEAD = """\
# Formulas

Made from the docstrings of `mashday/science`, where the ranges and an example of each stand, by
`python tests/support/cards.py > mashday/science/FORMULAS.md`.

Checks: `file/row: number kind` counts the rows of `tests/science/checks/file.toml` that go through the
function, by where the expected value came from. `test_...` is a file of `tests/science` that calls it
directly. `its example`: nothing but the example of its card is held. Every example and every end of a
range is held by `tests/science/test_cards.py`.
"""
_COLUMNS = "| Formula | Function | Gives | Source | Checks |\n|---|---|---|---|---|\n"


def _counted(kinds: Counter[str]) -> str:
    return ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))


def _exercised() -> tuple[dict[str, dict[str, Counter[str]]], dict[str, set[str]]]:
    """By function: rows of checks and their kinds, by `file/row`; and the test files that call it besides."""
    known = {title(function) for _, function in carded()}
    tables = {path.stem: _kinds_by_row(path) for path in sorted((TESTS / "checks").glob("*.toml"))}
    rows: dict[str, dict[str, Counter[str]]] = {}
    others: dict[str, set[str]] = {}
    for path in sorted(TESTS.glob("test_*.py")):
        test = _TestFile(path, known)
        for stem, kinds in tables.items():
            for row, adapter in test.adapters(stem, set(kinds)).items():
                for where in test.reached(adapter):
                    rows.setdefault(where, {})[f"{stem}/{row}"] = kinds[row]
        for where in test.reached_directly():
            others.setdefault(where, set()).add(path.stem.removeprefix("test_"))
    return rows, others


def _kinds_by_row(path: Path) -> dict[str, Counter[str]]:
    kinds: dict[str, Counter[str]] = {}
    for check in tomllib.loads(path.read_text("utf-8"))["check"]:
        kinds.setdefault(check["function"], Counter())[check["kind"]] += 1
    return kinds


class _TestFile:
    """A test file as its syntax tree: which science functions its parts reach, through its own helpers."""

    def __init__(self, path: Path, known: set[str]) -> None:
        self._text = path.read_text("utf-8")
        self._known = known
        self._body = ast.parse(self._text).body
        self._helpers = {node.name: node for node in self._body if isinstance(node, ast.FunctionDef)}
        self._imported: dict[str, str] = {}
        for node in self._body:
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("mashday.science"):
                room = (node.module or "").removeprefix("mashday.science").lstrip(".")
                for name in node.names:
                    self._imported[name.asname or name.name] = f"{room}.{name.name}".lstrip(".")

    def adapters(self, stem: str, rows: set[str]) -> dict[str, ast.expr]:
        """The table of this file that has an adapter for every row of a file of checks it reads."""
        if f"{stem}.toml" not in self._text:
            return {}
        for table in self._tables().values():
            if rows <= set(table):
                return {row: table[row] for row in rows}
        return {}

    def reached(self, node: ast.AST, seen: frozenset[str] = frozenset()) -> set[str]:
        """Science functions named in a part of the file or in the helpers it uses."""
        found: set[str] = set()
        for part in ast.walk(node):
            if isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
                found.add(f"{self._imported.get(part.value.id, '')}.{part.attr}")
            elif isinstance(part, ast.Name):
                found.add(self._imported.get(part.id, ""))
                if part.id in self._helpers and part.id not in seen:
                    found |= self.reached(self._helpers[part.id], seen | {part.id})
        return found & self._known

    def reached_directly(self) -> set[str]:
        """Science functions its tests and their parameters reach without a file of checks."""
        found: set[str] = set()
        for node in self._body:
            helper = isinstance(node, ast.FunctionDef) and not node.name.startswith("test_")
            if not helper and node not in self._tables():
                found |= self.reached(node)
        return found

    def _tables(self) -> dict[ast.stmt, dict[str, ast.expr]]:
        return {
            node: {
                key.value: value
                for key, value in zip(node.value.keys, node.value.values, strict=True)
                if isinstance(key, ast.Constant) and isinstance(key.value, str)
            }
            for node in self._body
            if isinstance(node, ast.AnnAssign) and isinstance(node.value, ast.Dict)
        }


if __name__ == "__main__":
    print(index(), end="")
