"""Session files of days gone by, kept in tests/golden/journals: they open, and add up to what they did then.

Beside each NAME.toml stand NAME.json, the state its entries added up to, and NAME.txt, the last lines it
told. MASHDAY_KEEP_JOURNALS=1 writes what is not there yet: the days of `DAYS` under the schema of today, and
what stands beside a journal. A journal and its state are never written anew, for they are the past; a text
may be taken away and kept anew when words were changed.
"""

from __future__ import annotations

import dataclasses
import io
import json
import os
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta, timezone
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from days import BARLEY

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.state import State
from mashday.faces.entries import entry_lines
from mashday.faces.lines import understood
from mashday.faces.plain import PlainFace
from mashday.schedule.samples import sample_names, sample_text
from mashday.session import frames
from mashday.session.afterwards import finished
from mashday.session.clock import VirtualClock
from mashday.session.frames import Recovered
from mashday.session.journal import Journal
from mashday.session.read_back import CODEC, read_back
from mashday.session.rehearsal import whole_day
from mashday.session.session import Session, begin, resume
from mashday.session.versions import SCHEMA, lifted

JOURNALS = Path(__file__).parents[1] / "golden" / "journals"
KEEPS = os.environ.get("MASHDAY_KEEP_JOURNALS") == "1"
KEPT = sorted(JOURNALS.glob("*.toml"))
LAST_ACTS = 3
SEEDS = {
    "bargemans-rye": 38,
    "lock-seven-barley": 38,
    "sluice-maize": 38,
    "towpath-stepped": 38,
    "winding-hole-box": 4,
}
"""Days in which a remedy was taken, and short ones, so that the files stay small."""

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=timezone(timedelta(hours=2)))
HOSTILE = 'forged\nsum = "12345678"\n[[entry]]\nseq = 9\n[/][@click=app.quit]x\x1b[2J\u202eGärung 大麦\u200b'
KNOWN = f.PotKnown(
    pot="lock-keeper's kettle",
    days=2,
    loss_w_per_k=4.1,
    loss_error=0.4,
    thicknesses=(3.0, 3.1),
    dough_ins=(0.3, -0.1),
    ways=("hot water", "fire"),
    reckoned=(1.8, 2.1),
    came=(1.6, 2.4),
)
Told = str | float | intents.Intent
"""A line, minutes that pass, or an intent. "away" and "restarted" leave the day for a while."""

A_REAL_DAY: tuple[Told, ...] = (
    *(
        "start",
        2,
        "tick",
        "tick 4.9 kg",
        "weighed 4.9 kg",
        "grain at 17 C",
        "units us",
        "units metric",
        "done",
    ),
    *(
        "measured 14.6 L",
        25,
        "temp 64.0",
        6,
        "temp 68.0 67.8 68.1",
        intents.WriteNote(HOSTILE),
        "done",
        "keep it",
    ),
    *(8, "done", 6, "61.0", "take 1", "1.1", 6, "temp 62.9", 12, "temp 60.9", "leave", "hold", 3, "resume"),
    *(
        "more 5",
        "temp 56.4",
        "keep it",
        "correct 43 63.4",
        "note wrong day",
        "undo",
        "away",
        15,
        "snooze 2",
        3,
    ),
    *("mute", 3, "63.1", "void 33", "restarted", 14, "ok", 1, "starch fail", 15, "starch pass", "done"),
    *(
        6,
        "gravity 1.062",
        "sample 24 C",
        "volume 21 L",
        "ph 5.4",
        "done",
        10,
        "unknown",
        10,
        "temp 24.1",
        "done",
    ),
    *("22.8", "gravity 1.060 at 22 C", "volume 19.5 L", "done", 5, "done"),
)
A_DAY_FROM_MID_MASH: tuple[Told, ...] = (
    *(
        intents.Start(4),
        "4.8 kg",
        "unknown",
        "20",
        "temp 60.0",
        6,
        "temp 60.2",
        "take 2",
        0.5,
        "undo",
        1,
        "heat off",
    ),
    *(5, "62.8", "added 0.3 L at boiling", 10, "skip", "keep it", 2, "abort", "keep it"),
)


A_DAY_TO_THE_WASH: tuple[Told, ...] = (
    *(
        "start",
        *("skip", "keep it") * 7,
        "gravity 1.061 at 24 C",
        "volume 20 L",
        "temp 22",
        "finish",
        "keep it",
    ),
    *("it landed 2 C low", "mended a litre of boiling water", "heat the water 2 C higher"),
)
CHECKED = BARLEY.replace(
    '["malt weighed", "drains shut"]',
    '["What does the thermometer show in melting ice?", "And what does the thermometer show at the boil?",'
    ' "What does the hydrometer show in water?"]',
)
A_DAY_CHECKED: tuple[Told, ...] = (
    *("start", "0.6", "tick 99.2 C", "tick 1.002 at 22 C", "temp 20.6", "gravity 1.004 at 20 C", "undo"),
    *("abort", "keep it"),
)
ADDED = ("gravity 0.998 at 18 C", "volume 19.5 L", "temp 19", "note racked off", "change heat it 3 C higher")


class ShedClock(VirtualClock):
    """The clock of a machine that can be started anew."""

    starts = 1

    def boot_id(self) -> str:
        return f"shed {self.starts}"


def rehearsed(name: str) -> Callable[[Path], Path]:
    """A whole rehearsed day of a sample, kept in a folder."""

    def live(folder: Path) -> Path:
        session = begin(
            sample_text(name), VirtualClock(MORNING), folder=folder, rehearsed=True, seed=SEEDS.get(name, 1)
        )
        assert whole_day(session).finished
        return closed(session)

    return live


def by_hand(
    told: Iterable[Told], known: f.PotKnown | None = None, schedule: str = BARLEY
) -> Callable[[Path], Path]:
    """A real day as somebody lives it beside the pot, kept in a folder."""

    def live(folder: Path) -> Path:
        clock = ShedClock(MORNING)
        session = begin(schedule, clock, folder=folder, known=known)
        face = PlainFace(session, io.StringIO())
        for one in told:
            before = len(session.state.log)
            if isinstance(one, float | int):
                for _ in range(round(2 * one)):
                    clock.advance(30.0)
                    face.news()
                continue
            if one in ("away", "restarted"):
                path = closed(session)
                clock.advance(300.0)
                clock.starts += one == "restarted"
                session = resume(path, clock)
                face = PlainFace(session, io.StringIO())
            elif isinstance(one, intents.Intent):
                session.send(one)
            else:
                face.take(one)
            assert len(session.state.log) > before or session.doubted is not None, one
        return closed(session)

    return live


def closed(session: Session) -> Path:
    assert session.path is not None
    session.close()
    return session.path


def added_to(live: Callable[[Path], Path], lines: Iterable[str]) -> Callable[[Path], Path]:
    """That day, and what is added to it days later, by a machine started anew since."""

    def add(folder: Path) -> Path:
        path = live(folder)
        clock = ShedClock(MORNING + timedelta(days=6))
        clock.starts = 3
        day = finished(path, clock)
        meant = [understood(line, day.schedule, day.state, day.t()) for line in lines]
        wanted = [one for one in meant if isinstance(one, intents.Intent)]
        assert len(day.write(wanted)) == len(meant)
        return closed(day)

    return add


DAYS: dict[str, Callable[[Path], Path]] = {
    **{name: rehearsed(name) for name in sample_names()},
    "a-real-day": by_hand(A_REAL_DAY, KNOWN),
    "a-day-from-mid-mash": by_hand(A_DAY_FROM_MID_MASH),
    "a-day-checked": by_hand(A_DAY_CHECKED, schedule=CHECKED),
    "a-day-added-to": added_to(by_hand(A_DAY_TO_THE_WASH), ADDED),
}


@cache
def read(path: Path) -> Recovered:
    """What a kept journal holds."""
    return Journal.read(path)


def state_of(recovered: Recovered, path: Path) -> State:
    """What its entries add up to; all of them are understood."""
    day = read_back(recovered, path)
    assert day.trouble is None
    return day.state


def written(state: State) -> str:
    """A state as text, a line for each thing in it; a fact that is an entry's own is told as that entry.

    What is None, false or an empty row is left out, so that a new field that is one of these changes nothing.
    """
    entries = {id(entry.fact): f"entry {entry.seq}" for entry in state.log}

    def plain(value: object) -> Any:
        if id(value) in entries:
            return entries[id(value)]
        if dataclasses.is_dataclass(value):
            found = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
            return {name: plain(one) for name, one in found.items() if not is_empty(one)}
        return [plain(one) for one in value] if isinstance(value, tuple) else value

    lines = []
    for name, value in plain(dataclasses.replace(state, log=())).items():
        parts = value if isinstance(value, list) else [value]
        told = [json.dumps(part, ensure_ascii=True) for part in parts]
        whole = "[\n    " + ",\n    ".join(told) + "\n  ]" if isinstance(value, list) else told[0]
        lines.append(f"  {json.dumps(name)}: {whole}")
    return "{\n" + ",\n".join(lines) + "\n}\n"


def is_empty(value: object) -> bool:
    return value is None or value is False or value == ()


def last_lines(recovered: Recovered, path: Path) -> str:
    """What the last acts told."""
    day = read_back(recovered, path)
    acts = sorted({entry.act for entry in day.state.log})[-LAST_ACTS:]
    told = [
        line
        for entry in day.state.log
        if entry.act in acts
        for line in entry_lines(entry, day.state, day.schedule)
    ]
    return "".join(f"{line}\n" for line in told)


def keep(path: Path, text: str) -> None:
    """Writes a file that is not there yet, where that is asked for."""
    if KEEPS and not path.exists():
        path.write_text(text, encoding="utf-8")


def test_every_day_to_be_kept_is_kept(tmp_path: Path) -> None:
    for name, live in DAYS.items():
        kept = JOURNALS / f"{name}-{SCHEMA}.toml"
        if KEEPS and not kept.exists():
            kept.write_bytes(live(tmp_path).read_bytes())
        assert kept.exists(), f"MASHDAY_KEEP_JOURNALS=1 keeps {kept.name}"


def test_every_kind_of_entry_is_in_a_kept_journal() -> None:
    kinds = {table["kind"] for path in KEPT for table in read(path).tables}
    assert kinds == set(f.KINDS)


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_a_kept_journal_opens_whole_and_is_not_touched(path: Path, tmp_path: Path) -> None:
    here = tmp_path / f"2026-10-03-{path.name}"
    here.write_bytes(path.read_bytes())
    journal, recovered = Journal.open(here, newest_schema=SCHEMA)
    with journal:
        assert (journal.fault, recovered.torn, recovered.damage) == (None, None, None)
        assert recovered.tables == read(path).tables
    assert here.read_bytes() == path.read_bytes()
    assert {file.name for file in tmp_path.iterdir()} == {here.name, f"{here.name}.lock"}


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_every_entry_of_a_kept_journal_is_understood_whole(path: Path) -> None:
    recovered = read(path)
    for table in lifted(recovered.header, recovered.tables):
        decoded = CODEC.decode(table)
        assert decoded.other == {}, table["seq"]
        again = CODEC.encode(decoded.seq, decoded.act, decoded.t, decoded.at, decoded.fact, decoded.more)
        assert {key: again.get(key) for key in table} == table
        assert not any(again[key] for key in set(again) - set(table)), "a new field is empty in an old entry"


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_a_kept_journal_adds_up_to_what_it_did_then(path: Path) -> None:
    state = written(state_of(read(path), path))
    kept = path.with_suffix(".json")
    keep(kept, state)
    assert state.splitlines() == kept.read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_a_kept_journal_tells_the_last_lines_it_told_then(path: Path) -> None:
    told = last_lines(read(path), path)
    kept = path.with_suffix(".txt")
    keep(kept, told)
    assert told.splitlines() == kept.read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("app", ["0.0.1", "99.9"])
def test_which_version_of_the_program_wrote_a_journal_changes_nothing(app: str, tmp_path: Path) -> None:
    path = JOURNALS / "a-real-day-1.toml"
    recovered = read(path)
    head, crc = frames.framed(frames.HEADER_LINE, {**recovered.header, "app": app}, 0)
    tables = [{**table, **({"app": app} if table["kind"] == "opened" else {})} for table in recovered.tables]
    body, _ = frames.framed_all(tables, crc)
    other = tmp_path / path.name
    other.write_bytes(head + body)
    assert written(state_of(Journal.read(other), other)) == path.with_suffix(".json").read_text()
    assert last_lines(Journal.read(other), other) == path.with_suffix(".txt").read_text()
