"""Past days side by side: as text of at most 80 columns, as plain values, as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from mashday.quantities import Kind, Units, show
from mashday.report.csv_rows import text_cell
from mashday.report.said import NOTHING, OVER, OVER_MEANS, gravity_said
from mashday.report.summary import StepSummary, Summary
from mashday.report.values import over, rounded
from mashday.text import cleaned

ENDED = {"complete": "complete", "early": "early", "aborted": "given up", None: "open"}
_HEAD = (
    f"{'date':<10}  {'schedule':<26}  {'pot':<20}  {'hours':>5}  ended",
    f"  {'strike':>8} {'rest':>8} {'for':>8} {'spread':>7} {'conv':>5}"
    f" {'wash':>6} {'volume':>8} {'end':>6} {'alcohol':>9}",
)
COLUMNS = (
    "session", "date", "schedule", "pot", "strike_miss_kelvin", "rest_target_celsius", "rest_mean_celsius",
    "rest_spread_kelvin", "conversion", "wash_gravity", "wash_litres", "final_gravity", "abv_percent",
    "hours", "ended", "rehearsed",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RestRead:
    """A rest that was read: target and mean over time, Celsius, and from its lowest to its highest, K."""

    step: int
    target_celsius: float | None
    mean_celsius: float
    spread_kelvin: float
    minutes: float


@dataclass(frozen=True, slots=True)
class PastDay:
    """One past day. `strike_miss_kelvin` is how much warmer than its target the mash was first read, `units`
    what its person reads; `is_over` is true where more than the grain holds was read, and no conversion."""

    session: str
    began: datetime | None
    schedule: str
    pot: str
    strike_miss_kelvin: float | None
    rests: tuple[RestRead, ...]
    conversion: float | None
    is_over: bool
    wash_gravity: float | None
    wash_litres: float | None
    final_gravity: float | None
    abv_percent: float | None
    hours: float
    ending: str | None
    rehearsed: bool
    units: Units

    @property
    def rest(self) -> RestRead | None:
        """The longest rest that was read."""
        return max(self.rests, key=lambda rest: rest.minutes, default=None)


def past_day(session: str, made: Summary) -> PastDay:
    """The figures of a day, from its summary."""
    return PastDay(
        session=session,
        began=made.started,
        schedule=made.schedule,
        pot=made.pot,
        strike_miss_kelvin=_strike_miss(made),
        rests=tuple(rest for step in made.steps if (rest := _rest(made, step)) is not None),
        conversion=made.measured.conversion,
        is_over=made.measured.is_over,
        wash_gravity=made.measured.wash_gravity,
        wash_litres=made.measured.wash_litres,
        final_gravity=made.measured.final_gravity,
        abv_percent=made.measured.abv_percent,
        hours=made.lasted_minutes / 60.0,
        ending=made.ending,
        rehearsed=made.rehearsed,
        units=made.units,
    )


def _read_in(made: Summary, *numbers: int) -> list[float]:
    """The temperatures read in these steps that count, Celsius."""
    return [
        reading.metric
        for reading in made.readings
        if reading.quantity == "temperature"
        and reading.step in numbers
        and reading.fact.subject == "mash"
        and not (reading.voided or reading.fact.assumed)
    ]


def _strike_miss(made: Summary) -> float | None:
    """The first reading of the mash at its first dough-in, or in the rest after it, against its target, K."""
    dough_in = next((step for step in made.steps if step.kind == "dough-in"), None)
    if dough_in is None or dough_in.target_celsius is None:
        return None
    following = [step.number for step in made.steps[dough_in.number :][:1] if step.kind == "rest"]
    read = _read_in(made, dough_in.number, *following)
    return read[0] - dough_in.target_celsius if read else None


def _rest(made: Summary, step: StepSummary) -> RestRead | None:
    read = _read_in(made, step.number)
    if step.kind != "rest" or not read or step.held_celsius is None:
        return None
    lasted = step.actual_minutes or 0.0
    return RestRead(step.number, step.target_celsius, step.held_celsius, max(read) - min(read), lasted)


def days_words(days: Sequence[PastDay], units: Units) -> str:
    """The days as text, two lines each, as they come."""
    if not days:
        return "No past day fits.\n"
    what = "rehearsed" if days[0].rehearsed else "past"
    count = f"one {what} day" if len(days) == 1 else f"{len(days)} {what} days, the latest first"
    rows = [f"DAYS  {count}", "", *(row.rstrip() for row in _HEAD)]
    for day in days:
        rows += ["", *_rows(day, units)]
    rows += [
        "",
        "strike: how far from its target the mash was first read; rest: the longest one,",
        "its mean over time, and from its lowest to its highest reading.",
        *([f"{OVER}: {OVER_MEANS}."] if any(day.is_over for day in days) else []),
    ]
    return "\n".join(rows) + "\n"


def _rows(day: PastDay, units: Units) -> tuple[str, str]:
    date = NOTHING if day.began is None else f"{day.began:%Y-%m-%d}"
    rest = day.rest
    miss = _shown(day.strike_miss_kelvin, "temperature difference", units)
    if day.strike_miss_kelvin is not None and day.strike_miss_kelvin > 0.0 and not miss.startswith("0.0"):
        miss = f"+{miss}"
    mean, target, spread = (
        (NOTHING, NOTHING, NOTHING)
        if rest is None
        else (
            _shown(rest.mean_celsius, "temperature", units),
            _shown(rest.target_celsius, "temperature", units),
            _shown(rest.spread_kelvin, "temperature difference", units),
        )
    )
    converted = OVER if day.is_over else NOTHING
    converted = converted if day.conversion is None else f"{100.0 * day.conversion:.0f} %"
    wash = gravity_said(day.wash_gravity)
    litres = _shown(day.wash_litres, "volume", units)
    abv = NOTHING if day.abv_percent is None else f"{day.abv_percent:.1f} % vol"
    schedule, pot = cleaned(day.schedule, 26), cleaned(day.pot, 20)
    return (
        f"{date:<10}  {schedule:<26}  {pot:<20}  {day.hours:5.1f}  {ENDED.get(day.ending, NOTHING)}",
        f"  {miss:>8} {mean:>8} {target:>8} {spread:>7} {converted:>5} {wash:>6} {litres:>8}"
        f" {gravity_said(day.final_gravity):>6} {abv:>9}",
    )


def _shown(value: float | None, kind: Kind, units: Units) -> str:
    return NOTHING if value is None else show(value, kind, units)


def days_values(days: Sequence[PastDay]) -> list[dict[str, Any]]:
    """The days as plain values, metric."""
    return [
        {
            "session": day.session,
            "started": None if day.began is None else day.began.isoformat(),
            "schedule": day.schedule,
            "pot": day.pot,
            "strike_miss_kelvin": rounded(day.strike_miss_kelvin, 2),
            "rests": [
                {
                    "step": rest.step,
                    "target_celsius": rounded(rest.target_celsius, 2),
                    "mean_celsius": rounded(rest.mean_celsius, 2),
                    "spread_kelvin": rounded(rest.spread_kelvin, 2),
                    "minutes": rounded(rest.minutes, 1),
                }
                for rest in day.rests
            ],
            "conversion": rounded(day.conversion, 3),
            "conversion_over": over(day.conversion, is_over=day.is_over),
            "wash_gravity": rounded(day.wash_gravity, 4),
            "wash_litres": rounded(day.wash_litres, 2),
            "final_gravity": rounded(day.final_gravity, 4),
            "abv_percent": rounded(day.abv_percent, 2),
            "hours": rounded(day.hours, 2),
            "ending": day.ending,
            "rehearsed": day.rehearsed,
        }
        for day in days
    ]


def _cell(figure: float | str | None) -> str:
    if figure is None:
        return ""
    return figure if isinstance(figure, str) else f"{figure:g}"


def days_csv(days: Sequence[PastDay]) -> str:
    """The days as CSV with a header (RFC 4180), metric, a row each, the longest rest of each."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for day in days:
        rest = day.rest
        figures = (
            rounded(day.strike_miss_kelvin, 2),
            None if rest is None else rounded(rest.target_celsius, 2),
            None if rest is None else rounded(rest.mean_celsius, 2),
            None if rest is None else rounded(rest.spread_kelvin, 2),
            OVER if day.is_over else rounded(day.conversion, 3),
            rounded(day.wash_gravity, 4),
            rounded(day.wash_litres, 2),
            rounded(day.final_gravity, 4),
            rounded(day.abv_percent, 2),
            rounded(day.hours, 2),
        )
        writer.writerow(
            [
                text_cell(day.session),
                "" if day.began is None else f"{day.began:%Y-%m-%d}",
                text_cell(day.schedule),
                text_cell(day.pot),
                *(_cell(figure) for figure in figures),
                ENDED.get(day.ending, ""),
                "yes" if day.rehearsed else "no",
            ]
        )
    return written.getvalue()
