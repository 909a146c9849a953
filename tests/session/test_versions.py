"""Versions of the session file: older entries are lifted as they are read, newer ones only looked at."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from days import BARLEY

from mashday.session.clock import VirtualClock
from mashday.session.frames import ENTRY_LINE, HEADER_LINE, framed, framed_all
from mashday.session.read_back import OnlyToLookAt, Unreadable
from mashday.session.session import begin, look, resume
from mashday.session.versions import LIFTS, SCHEMA, lifted, of_a_newer_version
from mashday.session.watched import taken_up

PATH = Path("2026-10-03-lock-seven.toml")


def renamed(table: dict[str, Any]) -> dict[str, Any]:
    """A lift as a later version may need one: a key got another name."""
    return {("grade" if key == "value" else key): value for key, value in table.items()}


def doubled(table: dict[str, Any]) -> dict[str, Any]:
    """Another: a number is kept in halves."""
    return {**table, "grade": 2 * table["grade"]} if "grade" in table else table


LATER = {1: renamed, 2: doubled}


def test_every_older_schema_has_its_lift_and_no_other() -> None:
    assert set(LIFTS) == set(range(1, SCHEMA))


def test_entries_are_lifted_from_the_schema_that_wrote_them_to_the_newest() -> None:
    tables = [
        {"kind": "opened"},
        {"kind": "reading", "value": 60},
        {"kind": "opened", "schema": 2},
        {"kind": "reading", "grade": 60},
        {"kind": "opened", "schema": 3},
        {"kind": "reading", "grade": 120},
    ]
    found = list(lifted({"schema": 1}, tables, newest=3, lifts=LATER))
    assert [table["grade"] for table in found if table["kind"] == "reading"] == [120, 120, 120]
    assert tables[1] == {"kind": "reading", "value": 60}


def test_what_is_of_the_newest_schema_is_taken_as_it_is() -> None:
    tables = [{"kind": "opened", "schema": 3}, {"kind": "reading", "grade": 1}]
    assert list(lifted({"schema": 3}, tables, newest=3, lifts=LATER)) == tables


@pytest.mark.parametrize(
    ("header", "tables"),
    [
        ({"schema": 2, "app": "9.9"}, []),
        ({"schema": 1, "app": "0.1"}, [{"kind": "opened", "schema": 2, "app": "9.9"}]),
        ({"schema": "one", "app": "9.9"}, []),
        ({"schema": True, "app": "9.9"}, []),
        ({"schema": 0, "app": "9.9"}, []),
        ({"app": "9.9"}, []),
        ({"schema": 1.0, "app": "9.9"}, []),
    ],
)
def test_a_schema_that_is_not_known_is_told_with_its_version(
    header: Mapping[str, Any], tables: list[dict[str, Any]]
) -> None:
    told = of_a_newer_version(header, tables, 1, PATH)
    assert told == f"{PATH} was written by a newer mashday (9.9). Go on with that version."


def test_a_known_schema_is_gone_on_with() -> None:
    tables = [{"kind": "opened", "schema": 1}, {"kind": "note"}]
    assert of_a_newer_version({"schema": 1}, tables, 1, PATH) is None
    assert of_a_newer_version({"schema": 1}, [{"kind": "opened", "schema": 2}], 2, PATH) is None


def written(folder: Path, header: dict[str, Any], *more: dict[str, Any]) -> Path:
    """A file with right sums: a day begun, its header changed so, and these entries after its own."""
    session = begin(BARLEY, VirtualClock(), folder=folder)
    session.close()
    assert session.path is not None
    _, _, recovered = look(session.path)
    first, crc = framed(HEADER_LINE, {**recovered.header, **header}, 0)
    rest, _ = framed_all([*recovered.tables, *more], crc)
    session.path.write_bytes(first + rest)
    return session.path


def entry(kind: str, **keys: Any) -> dict[str, Any]:
    """The second entry of a day."""
    at = VirtualClock().wall()
    return {"seq": 2, "act": 2, "t": 0.0, "at": at, "kind": kind, **keys}


@pytest.mark.parametrize(
    ("header", "more", "words"),
    [
        ({"schema": 9, "app": "9.9"}, (), "written by a newer mashday (9.9)"),
        (
            {},
            (entry("note", step=0, text="malt"), entry("dreamt", of="malt") | {"seq": 3, "act": 3}),
            "'dreamt'",
        ),
        ({}, (entry("step ended", step=4, how="done"),), "Entry 2 of "),
        ({}, (entry("note", step=1, text=7),), "entry 2, text"),
    ],
)
def test_what_is_not_understood_is_looked_at_up_to_there_and_not_touched(
    tmp_path: Path, header: dict[str, Any], more: tuple[dict[str, Any], ...], words: str
) -> None:
    path = written(tmp_path, header, *more)
    data = path.read_bytes()
    with pytest.raises(OnlyToLookAt):
        resume(path, VirtualClock())
    with pytest.raises(Unreadable) as refused:
        look(path)
    assert words in str(refused.value)
    watched = taken_up(path, VirtualClock())
    assert words in watched.view_only
    assert watched.state.seq == (2 if "dreamt" in words else 1)
    assert path.read_bytes() == data
    assert data.count(ENTRY_LINE) == 1 + len(more)
