"""The door: a schedule comes in as TOML text and leaves as a `Schedule`, or as all that is wrong with it.

Before the text is parsed its size, its lines and its dotted keys are bounded, because a parser can be kept
busy by a small file. Nothing a file holds reaches a message except in quotation marks and plain ASCII.
"""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path as FilePath
from typing import Any, Literal

from mashday.schedule.agreement import disagreements
from mashday.schedule.lines import Path, key_lines, line_of
from mashday.schedule.model import Schedule
from mashday.schedule.parts import fields_of, is_table_list
from mashday.schedule.refusals import key_path, refusals
from mashday.text import quoted

LONGEST_FILE = 64 * 1024
LONGEST_LINE = 1000
MOST_DOTS = 40
DEEPEST = 4
MOST_PROBLEMS = 200

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong: where (key path with lists counted from 1, line), what was found, what would do."""

    severity: Severity
    key: str
    line: int | None
    found: str
    remedy: str

    def __str__(self) -> str:
        places = [f"line {self.line}"] * (self.line is not None) + [self.key] * bool(self.key)
        where = ", ".join(places)
        return f"{where}: {self.found}; {self.remedy}" if where else f"{self.found}; {self.remedy}"


class BadSchedule(ValueError):
    """A schedule that cannot be used; `problems` holds all that was found, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def load(text: str | bytes) -> Schedule:
    """The schedule written in `text`; BadSchedule with every problem if there is any."""
    text = decoded(text)
    _bound(text)
    data = _parsed(text)
    lines = key_lines(text)
    table = _tuples(data)
    problems = list(_problems(table, lines))
    if problems:
        raise BadSchedule(sorted(problems, key=lambda problem: problem.line or 0))
    return Schedule.model_validate(table)


def load_file(path: FilePath | str) -> tuple[Schedule, str]:
    """The schedule in the file and the file's text; BadSchedule if it cannot be read or used."""
    text = read_text(path)
    return load(text), text


def read_text(path: FilePath | str) -> str:
    """The text of a regular file of at most `LONGEST_FILE` bytes; BadSchedule if it is not that."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with open(descriptor, "rb") as file:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise _refused(f"{quoted(str(path))} is not a plain file", "name a schedule file")
            return decoded(file.read(LONGEST_FILE + 1))
    except (OSError, ValueError) as error:
        if isinstance(error, BadSchedule):
            raise
        reason = (error.strerror or "").lower() if isinstance(error, OSError) else "no such name can be"
        raise _refused(
            f"{quoted(str(path))} could not be read ({reason})", "check the name and who may read it"
        ) from error


def decoded(text: str | bytes) -> str:
    """The text without a byte order mark; BadSchedule if it is too long or not UTF-8."""
    size = len(text)
    if size <= LONGEST_FILE and isinstance(text, str):
        size = len(text.encode("utf-8", "surrogatepass"))
    if size > LONGEST_FILE:
        raise _refused(
            f"the file is longer than {LONGEST_FILE // 1024} KiB",
            "a schedule is a few pages of text: check that this is one",
        )
    if isinstance(text, str):
        return text.removeprefix("\ufeff")
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = text.count(b"\n", 0, error.start) + 1
        raise _refused("the file is not UTF-8 text", "save it as UTF-8 in the editor", line=line) from error


def _refused(found: str, remedy: str, *, key: str = "", line: int | None = None) -> BadSchedule:
    return BadSchedule([Problem("error", key, line, found, remedy)])


_QUOTED_OR_COMMENT = re.compile(r""""(?:\\.|[^"\\])*"|'[^']*'|#.*""")


def _bound(text: str) -> None:
    problems = []
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            found, remedy = (
                f"this line has {len(line)} characters",
                f"{LONGEST_LINE} is the most: break it up",
            )
            problems.append(Problem("error", "", number, found, remedy))
        elif _QUOTED_OR_COMMENT.sub("", line).count(".") > MOST_DOTS:
            found, remedy = "this line has too many dots outside quotation marks", f"{MOST_DOTS} is the most"
            problems.append(Problem("error", "", number, found, remedy))
    if problems:
        raise BadSchedule(problems)


def _parsed(text: str) -> dict[str, Any]:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(text, str(error)) from error
    except (RecursionError, ValueError, OverflowError) as error:
        raise _refused(
            "a number or a list in the file is too long or too deep to read",
            "write quantities as short text, and no list within a list",
        ) from error
    if _depth(data) > DEEPEST:
        raise _refused(f"tables and lists stand more than {DEEPEST} deep", "write no list within a list")
    return data


_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_BARE_QUANTITY = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=\s*([0-9][ -!$-&(-Z^-z|~]{0,40}?)\s*(?:#.*)?")
_BARE_WORD = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=\s*([A-Za-z][ -!$-&(-Z^-z|~]{0,40}?)\s*(?:#.*)?")
_TABLE = re.compile(r"\s*\[([A-Za-z_-]+)\]\s*(?:#.*)?")


def _not_toml(text: str, reason: str) -> BadSchedule:
    at = _AT_LINE.search(reason)
    rows = text.rstrip().split("\n")
    number = min(int(at[1]) if at else len(rows), len(rows))
    row = rows[number - 1].strip()
    found = f"this cannot be read: {quoted(row)}"
    return _refused(found, _syntax_remedy(row, reason), line=number)


def _syntax_remedy(row: str, reason: str) -> str:
    if match := _TABLE.fullmatch(row):
        name = match[1]
        field = fields_of(Schedule).get(name)
        if field is not None and is_table_list(field):
            return f"write [[{name}]] with two brackets, each time"
        return f"[{name}] may stand only once: put its keys together"
    if re.search("overwrite|twice|immutable|already", reason):
        return "the same key stands above already in this table: keep one of them"
    if match := _BARE_QUANTITY.fullmatch(row):
        return f'put quotation marks round the value, such as {match[1]} = "{match[2]}"'
    if match := _BARE_WORD.fullmatch(row):
        word = match[2].casefold()
        if word in ("true", "yes", "on"):
            return f"write {match[1]} = true"
        if word in ("false", "no", "off"):
            return f"write {match[1]} = false"
        return f'put quotation marks round the value, such as {match[1]} = "{match[2]}"'
    if row.count('"') % 2:
        return "a quotation mark is missing, at the beginning or at the end of a text"
    return 'each line is key = "value", [table], [[table]] or a # comment: check quotation marks and brackets'


def _depth(value: object) -> int:
    deepest = 0
    level: list[Any] = [value]
    while level:
        level = [item for item in level if isinstance(item, dict | list)]
        deepest += bool(level)
        level = [i for item in level for i in (item.values() if isinstance(item, dict) else item)]
    return deepest


def _tuples(value: Any) -> Any:
    """The same with tuples for lists, as the model holds them."""
    if isinstance(value, dict):
        return {key: _tuples(item) for key, item in value.items()}
    return tuple(_tuples(item) for item in value) if isinstance(value, list) else value


def _problems(table: Mapping[str, Any], lines: dict[Path, int]) -> Iterator[Problem]:
    refused = tuple(refusals(table, MOST_PROBLEMS + 1))
    told_of = {path for path, *_ in refused}
    told = chain(refused, (one for one in disagreements(table) if one.path not in told_of))
    for path, found, remedy in islice(told, MOST_PROBLEMS):
        yield Problem("error", key_path(path), line_of(path, lines), found, remedy)
    if next(told, None) is not None:
        yield Problem("error", "", None, "there are more problems than these", "mend these first")
