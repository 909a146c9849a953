"""The command that lives a whole simulated day through without a terminal."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path

from mashday.commands import output, shared
from mashday.engine.facts import Entry
from mashday.faces.entries import entry_lines
from mashday.report.days import days_words
from mashday.report.feasibility import told_errors
from mashday.session.clock import VirtualClock
from mashday.session.many import many_days
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin


def rehearse(options: argparse.Namespace) -> int:
    """Prints a day's lines and summary, or many days' figures; a file is kept only with --sessions."""
    schedule, written = shared.found(options.file)
    print(told_errors(options.file, schedule), end="", file=sys.stderr)
    if options.days is not None:
        lived = many_days(written, options.days, options.seed, lived_so_far=_progress)
        if options.json:
            return output.write(options, output.written_json(lived.as_json()))
        return output.write(options, days_words(schedule.name, lived, options.units or schedule.units))
    morning = datetime.now().astimezone().replace(hour=10, minute=0, second=0, microsecond=0)
    kept_in = Path(options.sessions) if options.sessions else None
    session = begin(written, VirtualClock(morning), folder=kept_in, rehearsed=True, seed=options.seed)
    lines: list[str] = []

    def told(entry: Entry) -> None:
        lines.extend(entry_lines(entry, session.state, session.schedule))

    try:
        result = whole_day(session, told)
    finally:
        session.close()
    if options.json:
        made = shared.summary_json(session.schedule, session.state, rehearsed=True)
        return output.write(options, output.written_json({**result.as_json(), "summary": made}))
    ending = shared.summary_text(session.schedule, session.state, rehearsed=True, units=options.units)
    return output.write(options, "\n".join([*lines, "", ending]))


def _progress(lived: int, of: int) -> None:
    """Tells a terminal, in place, how far it is; leaves nothing standing at the end."""
    if sys.stderr is not None and sys.stderr.isatty():
        told = f"{lived} of {of} days lived"
        print(f"\r{told}" if lived < of else f"\r{' ' * len(told)}\r", end="", file=sys.stderr, flush=True)
