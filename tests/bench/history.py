"""A day of so many entries as a session file keeps them, for the benchmarks of the journal.

The barley sample lived to its rest by a simulated person; then one turn beside the pot, entered through a
session on a virtual clock (notes, one of them taken back, two readings, a call answered, the ways offered
for the second, one of them taken and its water poured), over and over with its numbers moved on.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from dataclasses import fields, replace
from datetime import timedelta
from itertools import count
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from days import temperature

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.journal import Journal
from mashday.session.rehearsal import whole_day
from mashday.session.session import CODEC, Session, begin

TURN: tuple[tuple[float, intents.Intent], ...] = (
    (20.0, intents.WriteNote("stirred from the bottom up")),
    (300.0, temperature(62.7, sure=True)),
    (20.0, intents.WriteNote("lid on, wrapped")),
    (5.0, intents.Undo()),
    (600.0, temperature(61.0, sure=True)),
    (10.0, intents.TakeRemedy(1, sure=True)),
    (60.0, intents.AddWater(1.0, "1 L", 99.0, sure=True)),
)
"""Seconds to wait, then what is entered."""
NUMBERS_OF_ENTRIES = ("of", "offer", "entries")
"""Fields of facts that hold numbers to be moved on with the entries."""


def whole_acts(log: Iterable[f.Entry], number: int) -> Iterator[f.Entry]:
    """The first entries, so many, and what belongs to the act of the last."""
    act = 0
    for place, entry in enumerate(log):
        if place >= number and entry.act != act:
            return
        act = entry.act
        yield entry


def endless(session: Session, clock: VirtualClock) -> Iterator[f.Entry]:
    """The entries of a day in its rest, then turn upon turn."""
    before, began = len(session.state.log), session.t()
    for seconds, intent in TURN:
        clock.advance(seconds)
        outcome = session.send(intent)
        assert outcome.entries, outcome
    log = session.state.log
    yield from log[:before]
    turn, lasts = log[before:], session.t() - began
    for again in count():
        for entry in turn:
            yield moved(entry, again * len(turn), again * lasts)


def moved(entry: f.Entry, on: int, seconds: float) -> f.Entry:
    """The entry so many entries and seconds later."""
    fact = entry.fact
    changes: dict[str, Any] = {}
    for field in fields(fact):
        value = getattr(fact, field.name)
        if field.name in NUMBERS_OF_ENTRIES and value is not None:
            changes[field.name] = tuple(one + on for one in value) if isinstance(value, tuple) else value + on
    return replace(
        entry,
        seq=entry.seq + on,
        act=entry.act + on,
        t=entry.t + seconds,
        at=entry.at + timedelta(seconds=round(seconds)),
        fact=replace(fact, **changes),
    )


def written(folder: Path, number: int) -> Journal:
    """A session file of so many entries or a few more (no act is cut) in the folder, open to go on with."""
    clock = VirtualClock()
    session = begin(find("lock-seven-barley")[1], clock, folder=None, rehearsed=True, seed=1)
    whole_day(session, until="rest")
    log = [*whole_acts(endless(session, clock), number)]
    tables = [
        CODEC.encode(
            one.seq, one.act, one.t, one.at, one.fact, more=next_one is not None and next_one.act == one.act
        )
        for one, next_one in zip(log, [*log[1:], None], strict=True)
    ]
    return Journal.write_whole(folder, f"of-{number}", log[0].at.date(), session.header, tables)
