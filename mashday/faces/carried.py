"""What an entry changes of the rest of the day, in one line: sparge water, gravity, wash, when it is done."""

from __future__ import annotations

from mashday.engine import facts as f
from mashday.engine.prospect import Prospect, prospect
from mashday.engine.state import State
from mashday.faces.moment import Moment, title
from mashday.text import cleaned

CARRY_ON = (
    f.WaterAdded,
    f.AmountGiven,
    f.StepExtended,
    f.Undone,
    f.ReadingCorrected,
    f.SampleTemperatureGiven,
)
"""The kinds of entry whose consequences are told; a gravity or a failed starch check is one too."""


def carried(now: Moment, before: State, entries: tuple[f.Entry, ...]) -> str:
    """The line for these entries, `before` being the state before them; "" where nothing changes."""
    if now.state.phase not in ("running", "held") or not any(_counts(entry.fact) for entry in entries):
        return ""
    was, will = prospect(now.schedule, before, now.t), prospect(now.schedule, now.state, now.t)
    told = [
        new
        for old, new in zip(_said(now, before, was), _said(now, now.state, will), strict=True)
        if old != new
    ]
    return f"From here: {', '.join(one for one in told if one)}" if any(told) else ""


def _counts(fact: f.Fact) -> bool:
    if isinstance(fact, f.ReadingTaken):
        return fact.quantity == "starch" and not fact.passed
    return isinstance(fact, CARRY_ON)


def _said(now: Moment, state: State, outlook: Prospect) -> tuple[str, ...]:
    """What is expected, each in words that change only when it does."""
    expected = outlook.expected
    strike = outlook.strike
    heated = strike is None or any(r.number >= strike.dough_in for r in state.records)
    started = state.started if state.started is not None else now.t
    done = now.clock(started + 60.0 * outlook.ends_minute)
    following = next((step for step in outlook.steps if step.state == "to come"), None)
    starts = None if following is None else now.clock(started + 60.0 * following.starts_minute)
    return (
        "" if strike is None or heated else f"heat to {now.celsius(strike.celsius)}",
        f"sparge now {now.litres(outlook.sparge_litres)}",
        "" if expected is None else f"first runnings about {expected.first_runnings_gravity:.3f}",
        ""
        if expected is None
        else f"wash about {now.litres(expected.wash_litres)} at {expected.wash_gravity:.3f}",
        "" if following is None else f"{cleaned(title(now.schedule, following.number), 40)} about {starts}",
        f"done about {done}",
    )
