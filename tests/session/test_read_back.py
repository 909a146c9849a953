"""A session file read back as a day: entries of another hand are looked at as far as they can be believed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from days import BARLEY

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.session.clock import VirtualClock
from mashday.session.frames import ENTRY_LINE, HEADER_LINE, framed, framed_all
from mashday.session.journal import Journal
from mashday.session.read_back import Unreadable, read_back
from mashday.session.session import CODEC, Session, begin, look, resume


def written(path: Path, header: dict[str, Any], *more: f.Fact) -> Path:
    """A file with right sums: a day begun, then these facts."""
    session = begin(BARLEY, VirtualClock(), folder=None)
    session.send(intents.Start())
    tables = [CODEC.encode(e.seq, e.act, e.t, e.at, e.fact, more=e.seq == 2) for e in session.state.log]
    last = session.state.log[-1]
    for seq, fact in enumerate(more, last.seq + 1):
        tables.append(CODEC.encode(seq, seq, last.t, last.at, fact))
    head, crc = framed(HEADER_LINE, {**session.header, **header}, 0)
    body, _ = framed_all(tables, crc)
    assert body.startswith(ENTRY_LINE)
    path.write_bytes(head + body)
    return path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "2026-10-03-lock-seven.toml"


@pytest.mark.parametrize(
    "fact", [f.StepEnded(42, "done"), f.ItemTicked(1, 9), f.StepExtended(1, 1e300)], ids=str
)
def test_an_entry_that_cannot_follow_is_named_and_what_stands_before_it_is_kept(
    file: Path, fact: f.Fact
) -> None:
    written(file, {}, f.NoteWritten(1, "lid off"), fact, f.NoteWritten(1, "later"))
    day = read_back(Journal.read(file), file)
    assert day.trouble is not None and day.trouble.startswith(f"Entry 5 of {file.name} ")
    assert [note.text for note in day.state.notes] == ["lid off"]
    before = file.read_bytes()
    for opened in (lambda: look(file), lambda: resume(file, VirtualClock())):
        with pytest.raises(Unreadable, match="Entry 5 of"):
            opened()
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    "header",
    [
        {"rehearsed": True, "rate": 0.0},
        {"rehearsed": True, "rate": 1e300},
        {"rehearsed": True, "rate": "fast"},
        {"rehearsed": True, "seed": "[/] .5"},
        {"rehearsed": "yes"},
        {"rate": -1},
    ],
    ids=str,
)
def test_a_header_whose_rehearsal_could_not_go_on_is_refused_in_words(
    file: Path, header: dict[str, Any]
) -> None:
    with pytest.raises(Unreadable, match="does not say how its day was rehearsed"):
        look(written(file, header))


def test_a_rehearsed_day_says_how_and_is_read(file: Path) -> None:
    _, state, _ = look(written(file, {"rehearsed": True, "rate": 60, "seed": 7}))
    assert state.phase == "running"
    session: Session = resume(file, VirtualClock())
    assert session.rehearsed
    session.close()
