"""The commands that look back: past days side by side, and what each pot has taught."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from mashday.commands import output, shared
from mashday.report.past_days import PastDay, days_csv, days_values, days_words, past_day
from mashday.report.pots import pots_values, pots_words, predicted
from mashday.report.summary import summary
from mashday.session.folder import named
from mashday.session.library import Day
from mashday.session.past import Unread, kept, pots_of
from mashday.session.session import moments
from mashday.text import cleaned


@dataclass(slots=True)
class LeftOut:
    """What is not among the past days: the days still open, and the files that cannot be read."""

    still_open: list[Path] = field(default_factory=list)
    unread: list[Path] = field(default_factory=list)

    def rows(self) -> Iterator[str]:
        """A line for each kind that there is, with what to do."""
        if self.still_open:
            name = named(self.still_open[0])
            yield f"Still open, not told here: {len(self.still_open)}. Take one up: mashday resume {name}"
        if self.unread:
            name = named(self.unread[0])
            yield f"Cannot be read, or are damaged: {len(self.unread)}. See why: mashday summary {name}"


def days(options: argparse.Namespace) -> int:
    """Past days side by side, the latest first."""
    left_out = LeftOut()
    found = list(islice(_fitting(options, left_out), options.last))
    if options.json:
        made = {
            "days": days_values(found),
            "still_open": [path.stem for path in left_out.still_open],
            "unread": [path.stem for path in left_out.unread],
        }
        return output.write(options, output.written_json(made))
    if options.csv:
        return output.write(options, days_csv(found))
    units = options.units or (found[0].units if found else "metric")
    told = [days_words(found, units), *left_out.rows()]
    return output.write(options, "\n".join(told))


def _fitting(options: argparse.Namespace, left_out: LeftOut) -> Iterator[PastDay]:
    """The days asked for; what is not told of is noted on the way."""
    for day in kept(shared.folder(options), options.since):
        if isinstance(day, Unread):
            left_out.unread.append(day.path)
        elif day.was_begun and day.rehearsed == options.rehearsed and _is_meant(day, options):
            if day.unfinished:
                left_out.still_open.append(day.path)
                continue
            made = summary(day.schedule, day.state, at=moments(day.state), rehearsed=day.rehearsed)
            yield past_day(day.path.stem, made)


def _is_meant(day: Day, options: argparse.Namespace) -> bool:
    return _is_in(options.schedule, day.schedule.name) and _is_in(options.pot, day.schedule.pot.name)


def _is_in(wanted: str | None, name: str) -> bool:
    return wanted is None or cleaned(wanted).casefold() in cleaned(name).casefold()


def pots(options: argparse.Namespace) -> int:
    """What each pot has taught, and what it predicts."""
    days = list(kept(shared.folder(options)))
    strike, found = None, pots_of(days)
    left_out = LeftOut(unread=[day.path for day in days if isinstance(day, Unread)])
    if options.predict is not None:
        schedule, _ = shared.found(options.predict)
        known = next((one.known for one in found if one.name == schedule.pot.name), None)
        strike = predicted(schedule, known)
    if options.json:
        made = pots_values(found, strike, predicts=options.predict is not None)
        made["unread"] = [path.stem for path in left_out.unread]
        return output.write(options, output.written_json(made))
    told = pots_words(found, options.units, strike)
    if options.predict is not None and strike is None:
        told += "\nThat day has no strike to predict: no grain goes into heated water there.\n"
    return output.write(options, "\n".join([told, *left_out.rows()]))
