"""The versions of the session file: which can be gone on with, and how older entries become those of today.

The header says the schema of the entries after it; each "opened" entry says it anew, for a day may be taken
up by a later version. The bytes of an older file are never changed: its entries are lifted as they are read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from mashday.text import cleaned

SCHEMA = 1
Lift = Callable[[dict[str, Any]], dict[str, Any]]
LIFTS: Mapping[int, Lift] = {}
"""From each older schema to the one after it: what an entry of it is called today. Schema 1 is the first."""


def schemas_of(header: Mapping[str, Any], tables: Iterable[Mapping[str, Any]]) -> Iterator[object]:
    """The schema of the header, then the one of each entry."""
    schema: object = header.get("schema")
    yield schema
    for table in tables:
        if table.get("kind") == "opened":
            schema = table.get("schema", schema)
        yield schema


def of_a_newer_version(
    header: Mapping[str, Any], tables: Sequence[Mapping[str, Any]], newest: int, path: Path
) -> str | None:
    """A sentence if anything in the file is of a schema that is no number or above the newest known."""
    for table, schema in zip((header, *tables), schemas_of(header, tables), strict=True):
        if not (type(schema) is int and 1 <= schema <= newest):
            version = cleaned(str(table.get("app", "no version named")), 40)
            name = cleaned(path.name, 300)
            return f"{name} was written by a newer mashday ({version}). Go on with that version."
    return None


def lifted(
    header: Mapping[str, Any],
    tables: Iterable[dict[str, Any]],
    *,
    newest: int = SCHEMA,
    lifts: Mapping[int, Lift] = LIFTS,
) -> Iterator[dict[str, Any]]:
    """The entries as the newest schema has them; those already of it as they are."""
    kept = tuple(tables)
    schemas = schemas_of(header, kept)
    next(schemas)
    for table, schema in zip(kept, schemas, strict=True):
        found = table
        for version in range(schema if isinstance(schema, int) else newest, newest):
            found = lifts[version](found)
        yield found
