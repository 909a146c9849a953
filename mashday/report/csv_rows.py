"""The readings of a day as CSV, a row each: RFC 4180, with a header, every cell quoted, lines ending in CRLF.

No text in it is taken for a formula by a spreadsheet program: one that begins like a formula gets an
apostrophe before it.
"""

from __future__ import annotations

import csv
import io
import unicodedata

from mashday.engine.state import Reading
from mashday.report.summary import Summary
from mashday.text import cleaned

COLUMNS = (
    "clock", "minute", "step", "step_title", "subject", "quantity", "value", "unit", "typed", "typed_value",
    "typed_unit", "sample_celsius", "place", "trust", "assumed", "voided", "corrected_from",
)  # fmt: skip
METRIC_UNITS = {"temperature": "C", "gravity": "SG", "volume": "L", "ph": "pH"}
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a cell begins with that spreadsheet programs take for a formula. Common practice, no source."""


def readings_csv(made: Summary) -> str:
    """The readings as CSV text; `value` and `unit` are metric, `clock` is ISO 8601."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(_row(made, reading) for reading in made.readings)
    return written.getvalue()


def _row(made: Summary, reading: Reading) -> list[str]:
    fact = reading.fact
    titles = {step.number: step.title for step in made.steps}
    return [
        made.at(reading.t).isoformat(timespec="seconds"),
        f"{made.minute(reading.t):.2f}",
        str(reading.step),
        text_cell(titles.get(reading.step, "")),
        text_cell(fact.subject),
        text_cell(fact.quantity),
        _value(reading),
        METRIC_UNITS.get(fact.quantity, ""),
        text_cell(reading.typed[-1]),
        _number(fact.value),
        text_cell(fact.unit),
        "" if fact.sample_celsius is None else _number(fact.sample_celsius),
        text_cell(fact.place or ""),
        text_cell(fact.trust or ""),
        _yes(fact.assumed),
        _yes(reading.voided),
        text_cell(reading.typed[0]) if len(reading.typed) > 1 else "",
    ]


def _value(reading: Reading) -> str:
    if reading.quantity == "starch":
        return "gone" if reading.fact.passed else "left"
    return _number(reading.metric)


def _number(value: float) -> str:
    return f"{value:.6g}"


def _yes(truth: bool) -> str:
    return "yes" if truth else "no"


def text_cell(text: str) -> str:
    """Words of a person, cleaned; never a formula, whatever width its first character is written in."""
    clean = cleaned(text)
    first = unicodedata.normalize("NFKC", clean[:1])
    return f"'{clean}" if first.startswith(FORMULA_STARTS) else clean
