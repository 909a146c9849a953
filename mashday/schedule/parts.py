"""Which part of the model a place in the file belongs to, and what may stand there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from mashday.schedule.fields import Written
from mashday.schedule.lines import Path
from mashday.schedule.model import Part, Schedule, Step


@cache
def step_parts() -> Mapping[str, type[Part]]:
    """The model's part for each kind of step."""
    return {_kind_of(part): part for part in _parts_in(Step)}


def part_at(path: Path, schedule: Mapping[str, Any]) -> type[Part] | None:
    """The part whose keys may stand in the table at this path; None where there is no such table."""
    part: type[Part] = Schedule
    here: Any = schedule
    for key in path:
        here = _inside(here, key)
        if isinstance(key, int):
            continue
        parts = list(_parts_in(fields_of(part)[key].annotation)) if key in fields_of(part) else []
        if not parts:
            return None
        part = parts[0]
    if path[:1] != ("step",):
        return part
    kind = here.get("kind") if isinstance(here, Mapping) else None
    return step_parts().get(kind) if isinstance(kind, str) else None


def fields_of(part: type[Part]) -> dict[str, FieldInfo]:
    """The fields of a part by the key each has in the file."""
    return {field.alias or name: field for name, field in part.model_fields.items()}


def tables_with(key: str) -> list[str]:
    """Where else in a file this key is known: "the top of the file", "[pot]", "[[grain]]"."""
    places = ["the top of the file, above every [table]"] if key in fields_of(Schedule) else []
    for name, field in fields_of(Schedule).items():
        parts = [part for part in _parts_in(field.annotation) if key in fields_of(part)]
        if name != "step" and parts:
            places.append(f"[[{name}]]" if _is_list(field.annotation) else f"[{name}]")
    return places


def options(field: FieldInfo) -> tuple[str, ...]:
    """The words a field may hold, if it is a choice among words."""
    return tuple(str(option) for option in _options_in(field.annotation))


_WORDS = {"name": "Lock Seven", "kind": "barley malt", "what": "gypsum"}


def example(key: str, field: FieldInfo) -> str:
    """The key with a value it may hold, as it would stand in the file."""
    for written in _written_in(field):
        word = f'"{_WORDS[key]}"' if key in _WORDS else written.example()
        return f"{key} = [{word}]" if _is_list(field.annotation) else f"{key} = {word}"
    for part in _parts_in(field.annotation):
        inside = [example(name, one) for name, one in fields_of(part).items() if one.is_required()]
        header = f"[[{key}]]" if _is_list(field.annotation) else f"[{key}]"
        return f"{header} and below it {', '.join(inside)}" if inside else header
    option = next(_options_in(field.annotation), True)
    return f'{key} = "{option}"' if isinstance(option, str) else f"{key} = {str(option).lower()}"


def is_table_list(field: FieldInfo) -> bool:
    """True if the field is written as one [[table]] after another."""
    return _is_list(field.annotation) and bool(list(_parts_in(field.annotation)))


def _inside(table: Any, key: str | int) -> Any:
    if isinstance(key, int):
        return table[key] if isinstance(table, tuple) and key < len(table) else None
    return table.get(key) if isinstance(table, Mapping) else None


def _kind_of(part: type[Part]) -> str:
    return str(get_args(part.model_fields["kind"].annotation)[0])


def _parts_in(annotation: Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for argument in get_args(annotation):
        yield from _parts_in(argument)


def _options_in(annotation: Any) -> Iterator[object]:
    if get_origin(annotation) is Literal:
        yield from get_args(annotation)
        return
    for argument in get_args(annotation):
        yield from _options_in(argument)


def _written_in(field: FieldInfo) -> Iterator[Written]:
    candidates = [*field.metadata, *_arguments(field.annotation)]
    return (candidate for candidate in candidates if isinstance(candidate, Written))


def _arguments(annotation: Any) -> Iterator[Any]:
    for argument in get_args(annotation):
        yield argument
        yield from _arguments(argument)


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(get_origin(a) is tuple for a in get_args(annotation))
