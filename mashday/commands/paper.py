"""The commands that only tell: plan, check and summary."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace

from mashday.commands import output, shared
from mashday.report.check import check_values, check_words
from mashday.report.csv_rows import readings_csv
from mashday.report.document import Document
from mashday.report.feasibility import findings
from mashday.report.html import html
from mashday.report.markdown import markdown
from mashday.report.plan import plan_values, plan_words
from mashday.report.plan_page import plan_document
from mashday.report.summary import summary as summary_of
from mashday.report.summary_page import summary_document
from mashday.schedule.door import BadSchedule
from mashday.session.known import known_pot
from mashday.session.library import meant
from mashday.session.moved import where
from mashday.session.past import to_change
from mashday.session.session import look, moments


def plan(options: argparse.Namespace) -> int:
    """The day on paper."""
    schedule, _ = shared.found(options.file)
    known = known_pot(shared.folder(options), schedule.pot.name)
    found = to_change(shared.folder(options), schedule)
    change = None if found is None else str(found)
    if options.json:
        made = {**plan_values(schedule, known), "to_change": change}
        return output.write(options, output.written_json(made))
    units = options.units or schedule.units
    if options.html or options.markdown:
        document = plan_document(schedule, units, options.start, options.ready, known)
        if change is not None:
            document = replace(document, under=(*document.under, change))
        return output.write(options, _page(options, document))
    told = plan_words(schedule, units, options.start, options.ready, known, change)
    return output.write(options, told)


def _page(options: argparse.Namespace, document: Document) -> str:
    return html(document) if options.html else markdown(document)


def check(options: argparse.Namespace) -> int:
    """Is each file sound and its day feasible."""
    results = []
    for file in options.files:
        try:
            schedule, _ = shared.found(file)
            results.append((file, findings(schedule)))
        except BadSchedule as bad:
            results.append((file, bad.problems))
    told = output.written_json(check_values(results)) if options.json else check_words(results)
    written = output.write(options, told)
    errors = any(problem.severity == "error" for _, problems in results for problem in problems)
    return output.REFUSED if errors else written


def summary(options: argparse.Namespace) -> int:
    """The summary of a day."""
    path = meant(shared.folder(options), options.session)
    schedule, state, recovered = look(path)
    to = where(path, recovered)
    if to is not None:
        print(f"mashday: {to} What is shown ends before that.", file=sys.stderr)
    if recovered.damage is not None:
        print(f"mashday: {recovered.damage} What can be believed is shown.", file=sys.stderr)
    rehearsed = bool(recovered.header.get("rehearsed", False))
    if options.json:
        made = shared.summary_json(schedule, state, rehearsed=rehearsed)
        return output.write(options, output.written_json(made))
    if options.csv or options.html or options.markdown:
        day = summary_of(schedule, state, at=moments(state), rehearsed=rehearsed)
        if options.csv:
            return output.write(options, readings_csv(day))
        return output.write(options, _page(options, summary_document(day, options.units or day.units)))
    told = shared.summary_text(schedule, state, rehearsed=rehearsed, units=options.units)
    return output.write(options, told)
