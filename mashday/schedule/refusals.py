"""What the model refuses, in our own sentences: none of the validator's wording reaches a person."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from mashday.schedule.fields import REFUSED, described
from mashday.schedule.lines import Path
from mashday.schedule.model import Schedule
from mashday.schedule.parts import (
    example,
    fields_of,
    is_table_list,
    options,
    part_at,
    step_parts,
    tables_with,
)
from mashday.text import nearest, quoted

Told = tuple[Path, str, str]
"""Where, what was found, what would do."""

_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")


def refusals(schedule: Mapping[str, Any], most: int) -> Iterator[Told]:
    """What the model refuses in the tables of a file, at most `most` of it."""
    if type(schedule.get("format")) in (bool, float):
        yield ("format",), f"{described(schedule['format'])} is no format", "write format = 1"
    try:
        Schedule.model_validate(schedule)
    except ValidationError as error:
        for detail in error.errors(include_url=False)[:most]:
            path = _path(detail)
            told = _translated(detail, path, schedule)
            if told is not None:
                yield path, *told


def key_path(path: Path) -> str:
    """The path as people read it, lists counted from 1: `step[4].target`."""
    text = ""
    for key in path:
        if isinstance(key, int):
            text += f"[{key + 1}]"
        else:
            text += f".{_plain(key)}" if text else _plain(key)
    return text


def _path(detail: ErrorDetails) -> Path:
    """The path as in the file: pydantic puts the kind of a step behind its place."""
    path = detail["loc"]
    if detail["type"].startswith("union_tag"):
        return (*path, "kind")
    return (*path[:2], *path[3:]) if path[0] == "step" and len(path) > 2 else path


def _translated(detail: ErrorDetails, path: Path, table: Mapping[str, Any]) -> tuple[str, str] | None:
    """What was found and what would do; None where another problem says it already."""
    context = detail.get("ctx", {})
    value = detail["input"]
    match detail["type"]:
        case str(name) if name == REFUSED:
            return context["found"], context["remedy"]
        case "missing":
            return _missing(path, table)
        case "extra_forbidden":
            return _unknown_key(path, table)
        case "literal_error":
            return _not_among(value, options(_field(path, table)))
        case "union_tag_invalid":
            return _not_among(value["kind"], tuple(step_parts()))
        case "union_tag_not_found":
            return "this step has no kind", f"write kind = and one of: {_words(tuple(step_parts()))}"
        case "bool_type":
            return (
                f"{described(value)} is not true or false",
                f"write {_plain(path[-1])} = true or {_plain(path[-1])} = false",
            )
        case "float_type":
            return f"{described(value)} is not a number", "write a number without quotation marks"
        case "int_type":
            return f"{described(value)} is not a whole number", "write digits without quotation marks"
        case "greater_than_equal":
            return f"{described(value)} is out of range", f"{context['ge']:g} is the least"
        case "less_than_equal":
            return f"{described(value)} is out of range", f"{context['le']:g} is the most"
        case "too_long":
            return f"there are {context['actual_length']} of them", f"{context['max_length']} is the most"
        case "too_short":
            return (
                None
                if value
                else (f"there is no {_plain(path[-1])}", f"write at least one [[{_plain(path[-1])}]]")
            )
        case "tuple_type":
            return _not_a_list(path, value, table)
    return f"{described(value)} is not a table", f"write {_as_table(path)} and its keys below it"


def _missing(path: Path, schedule: Mapping[str, Any]) -> tuple[str, str]:
    return f"{_plain(path[-1])} is missing", f"add {example(str(path[-1]), _field(path, schedule))}"


def _unknown_key(path: Path, schedule: Mapping[str, Any]) -> tuple[str, str]:
    word = str(path[-1])
    part = part_at(path[:-1], schedule)
    known = tuple(fields_of(part)) if part is not None else ()
    near = nearest(word, known)
    elsewhere = [place for place in tables_with(word) if path[:-1] or not place.startswith("the top")]
    if near is not None:
        remedy = f"write {near}, or one of: {_words(known)}"
    elif elsewhere:
        remedy = f"move it to {' or '.join(elsewhere[:2])}; known here are: {_words(known)}"
    else:
        remedy = f"known here are: {_words(known)}"
    return f"{quoted(word)} is not a key of this table", remedy


def _not_among(value: object, known: tuple[str, ...]) -> tuple[str, str]:
    if known == ("1",):
        return f"{described(value)} is no format known here", "write format = 1"
    near = nearest(value, known) if isinstance(value, str) else None
    remedy = f'write "{near}", or one of: {_words(known)}' if near else f"write one of: {_words(known)}"
    return f"{described(value)} is not known here", remedy


def _not_a_list(path: Path, value: object, schedule: Mapping[str, Any]) -> tuple[str, str]:
    field = _field(path, schedule)
    if is_table_list(field):
        return (
            f"{described(value)} stands where [[{path[-1]}]] belongs",
            f"write [[{path[-1]}]] with two brackets",
        )
    return f"{described(value)} is not a list", f'put it in square brackets, such as {path[-1]} = ["..."]'


def _field(path: Path, schedule: Mapping[str, Any]) -> FieldInfo:
    part = part_at(path[:-1], schedule) or Schedule
    return fields_of(part)[str(path[-1])]


def _as_table(path: Path) -> str:
    return f"[[{path[0]}]]" if isinstance(path[-1], int) else f"[{_plain(path[-1])}]"


def _words(known: tuple[str, ...]) -> str:
    return ", ".join(known)


def _plain(key: str | int) -> str:
    return str(key) if isinstance(key, int) or _PLAIN_KEY.fullmatch(key) else quoted(key)
