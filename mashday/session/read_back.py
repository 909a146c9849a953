"""What a session file holds, read back as a day: its schedule, its state, and where it goes on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mashday.engine import facts as f
from mashday.engine.sound import believed
from mashday.engine.state import State
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Schedule
from mashday.session.clock import Clock, Opening, Resumption, resumed_t
from mashday.session.codec import BadEntry, Codec, UnknownKind
from mashday.session.folder import named
from mashday.session.frames import Recovered
from mashday.session.versions import SCHEMA, lifted, of_a_newer_version
from mashday.text import cleaned

CODEC = Codec(f.KINDS)
SLOWEST_RATE, FASTEST_RATE = 1.0, 3600.0
"""How fast the clock of a rehearsal can run beside that of the machine."""


class Unreadable(Exception):
    """A session file that cannot be gone on with; its text is one sentence."""


class OnlyToLookAt(Unreadable):
    """A session file that can be looked at, and no more; the text says why."""


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A day as its file tells it; `trouble` says why the entries end before those of the file do.

    What is of a newer version, or of no kind known here, is not gone on with by this one (`is_foreign`).
    """

    schedule: Schedule
    state: State
    trouble: str | None = None
    is_foreign: bool = False


def read_back(recovered: Recovered, path: Path, loaded: dict[str, Schedule] | None = None) -> ReadBack:
    """The day of a session file, as far as its entries can be understood.

    `loaded` keeps the schedules met by their text, where many files are read. Unreadable, in a sentence, if
    there is no schedule in it that loads.
    """
    loaded = {} if loaded is None else loaded
    newer = of_a_newer_version(recovered.header, recovered.tables, SCHEMA, path)
    try:
        written = str(recovered.header["schedule"])
        schedule = loaded[written] = loaded.get(written) or load(written)
    except KeyError:
        raise Unreadable(newer or f"{cleaned(path.name, 300)} holds no schedule.") from None
    except BadSchedule as bad:
        first = cleaned(str(bad.problems[0]), 300)
        raise Unreadable(
            newer or f"The schedule in {cleaned(path.name, 300)} does not load: {first}"
        ) from bad
    amiss = _amiss_in_header(recovered.header, path)
    if amiss is not None:
        raise Unreadable(newer or amiss)
    entries, trouble, is_foreign = [], None, newer is not None
    try:
        for table in recovered.tables if newer else lifted(recovered.header, recovered.tables):
            entries.append(entry_of(table))
    except (BadEntry, UnknownKind) as bad:
        is_foreign = True
        trouble = f"{cleaned(path.name, 300)}: {cleaned(str(bad), 300)}."
    state, why = believed(schedule, entries)
    if why is not None:
        trouble = trouble or f"Entry {state.seq + 1} of {cleaned(path.name, 300)} {why}."
    return ReadBack(schedule, state, newer or trouble, is_foreign)


def _amiss_in_header(header: Mapping[str, Any], path: Path) -> str | None:
    """A sentence for a header whose rehearsal could not be gone on with; None if it could."""
    rehearsed, seed, rate = header.get("rehearsed", False), header.get("seed", 0), header.get("rate", 1.0)
    runs = type(rate) in (int, float) and SLOWEST_RATE <= rate <= FASTEST_RATE
    if type(rehearsed) is bool and type(seed) is int and runs:
        return None
    return f"{cleaned(path.name, 300)} does not say how its day was rehearsed."


def entry_of(table: dict[str, object]) -> f.Entry:
    """The entry of a table. BadEntry or UnknownKind where it is none."""
    decoded = CODEC.decode(table)
    return f.Entry(decoded.seq, decoded.act, decoded.t, decoded.at, decoded.fact)


def is_over(state: State, path: Path) -> str | None:
    """A sentence if the day has ended; None while it can be gone on with."""
    if not state.is_over:
        return None
    return f"The day in {cleaned(path.stem, 300)} is over. See it with: mashday summary {named(path)}"


def goes_on(state: State, clock: Clock, elapsed: float | None = None) -> Resumption:
    """Where a real day goes on if it is taken up now, or was at this reading of the elapsed clock."""
    last = state.log[-1]
    opened = next((entry for entry in reversed(state.log) if isinstance(entry.fact, f.Opened)), None)
    if opened is None or not isinstance(opened.fact, f.Opened):
        return Resumption(last.t, 0.0, "ask")
    return resumed_t(
        last_opened=Opening(opened.t, opened.fact.elapsed, opened.fact.boot_id),
        last_t=last.t,
        last_wall=last.at,
        elapsed=clock.elapsed() if elapsed is None else elapsed,
        wall=clock.wall(),
        boot_id=clock.boot_id(),
    )
