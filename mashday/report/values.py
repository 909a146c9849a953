"""The summary as plain values for JSON: always metric, the keys of the public format."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from mashday.engine import facts as f
from mashday.engine.state import Reading
from mashday.report.pot_taught import taught_values
from mashday.report.sugar import Sugar
from mashday.report.summary import RemedySummary, Summary


def summary_values(made: Summary) -> dict[str, Any]:
    """The summary as dictionaries, lists, numbers and texts."""
    corrected = {
        entry.fact.of: entry.fact for entry in made.log if isinstance(entry.fact, f.ReadingCorrected)
    }
    return {
        "schedule": made.schedule,
        "pot": made.pot,
        "started": made.started.isoformat() if made.started else None,
        "ended": made.ended.isoformat() if made.ended else None,
        "from_step": made.from_step,
        "state": made.state,
        "ending": made.ending,
        "left": made.left,
        "rehearsed": made.rehearsed,
        "steps": [
            {
                "number": step.number,
                "kind": step.kind,
                "title": step.title,
                "how": step.how,
                "planned_minute": rounded(step.planned_minute, 1),
                "planned_minutes": rounded(step.planned_minutes, 1),
                "actual_minutes": rounded(step.actual_minutes, 1),
                "target_celsius": rounded(step.target_celsius, 2),
                "held_celsius": rounded(step.held_celsius, 2),
                "last_celsius": rounded(step.last_celsius, 2),
            }
            for step in made.steps
        ],
        "readings": [_reading(made, reading, reading.number in corrected) for reading in made.readings],
        "additions": [
            {
                "seq": addition.seq,
                "minute": rounded(addition.minute, 1),
                "litres_cold": rounded(addition.litres_cold, 3),
                "litres_as_poured": rounded(addition.litres_as_poured, 3),
                "celsius": rounded(addition.celsius, 2),
                "after_celsius": rounded(addition.after_celsius, 2),
                "assumed": addition.assumed,
            }
            for addition in made.additions
        ],
        "remedies": [_remedy(remedy) for remedy in made.remedies],
        "amounts": [
            {
                "step": amount.step,
                "what": amount.what,
                "name": amount.name,
                "planned": rounded(amount.planned, 3),
                "given": rounded(amount.given, 3),
                "typed": amount.typed,
            }
            for amount in made.amounts
        ],
        "planned": _sugar(made.planned),
        "expected": _sugar(made.expected),
        "measured": _sugar(made.measured),
        "calls": [{"what": what, "late_seconds": rounded(late, 1)} for what, late in made.calls],
        "notes": [{"minute": rounded(minute, 1), "text": text} for minute, text in made.notes],
        "instruments": [
            {"point": one.point, "shown": rounded(one.shown, 4), "typed": one.typed} for one, _ in made.checks
        ],
        "closing": {which: text or None for which, text in made.closing.items()},
        "undone": list(made.undone),
        "away": [
            {"minute": rounded(away.minute, 1), "minutes": rounded(away.minutes, 1), "how": away.how}
            for away in made.away
        ],
        "learned": taught_values(made.learned),
    }


def rounded(value: float | None, digits: int) -> float | None:
    """A figure with so many places behind the point; None for none."""
    return None if value is None else round(value, digits)


def over(conversion: float | None, *, is_over: bool) -> bool | None:
    """Whether no conversion is told because more was read than the grain holds; None where none was read."""
    return None if conversion is None and not is_over else is_over


def _reading(made: Summary, reading: Reading, corrected: bool) -> dict[str, Any]:
    fact = reading.fact
    return {
        "seq": reading.number,
        "minute": rounded(made.minute(reading.t), 1),
        "step": reading.step,
        "quantity": fact.quantity,
        "value": fact.value,
        "unit": fact.unit,
        "typed": fact.typed,
        "celsius": fact.celsius,
        "gravity": rounded(fact.gravity, 5),
        "litres": fact.litres,
        "ph": fact.ph,
        "passed": fact.passed,
        "sample_celsius": fact.sample_celsius,
        "spots": list(fact.spots),
        "place": fact.place,
        "trust": fact.trust,
        "assumed": fact.assumed,
        "voided": reading.voided,
        "corrects": reading.typed[0] if corrected else None,
    }


def _remedy(remedy: RemedySummary) -> dict[str, Any]:
    return {
        "minute": rounded(remedy.minute, 1),
        "read_celsius": rounded(remedy.read_celsius, 2),
        "target_celsius": rounded(remedy.target_celsius, 2),
        "offered": [
            {key: value for key, value in asdict(way).items() if value is not None and key != "working"}
            for way in remedy.offered
        ],
        "taken": remedy.answer,
        "result_celsius": rounded(remedy.result_celsius, 2),
        "stale": remedy.stale,
    }


def _sugar(sugar: Sugar) -> dict[str, float | bool | None]:
    return {
        "first_runnings_gravity": rounded(sugar.first_runnings_gravity, 4),
        "wash_gravity": rounded(sugar.wash_gravity, 4),
        "wash_litres": rounded(sugar.wash_litres, 2),
        "conversion": rounded(sugar.conversion, 3),
        "conversion_over": over(sugar.conversion, is_over=sugar.is_over),
        "final_gravity": rounded(sugar.final_gravity, 4),
        "abv_percent": rounded(sugar.abv_percent, 2),
    }
