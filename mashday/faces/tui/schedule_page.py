"""The page about one schedule: what the day is, when its steps would be, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from mashday.engine import contents as pot
from mashday.engine.facts import PotKnown
from mashday.engine.prospect import Prospect, prospect, strike_meant
from mashday.engine.state import State
from mashday.faces.moment import minutes, title
from mashday.faces.tui.start_page import Reading
from mashday.quantities import Kind, show
from mashday.schedule.model import Schedule
from mashday.science import water
from mashday.session.past import ToChange
from mashday.text import cleaned

REHEARSAL_RATE = 60.0
LABEL = 8


def fit(schedule: Schedule, plan: Prospect) -> str:
    """Whether the mash fits the pot, and by how much; "" for a day without a mash."""
    if plan.mash is None:
        return ""
    if plan.mash.fits:
        return f"fits, {show(plan.mash.headroom_litres, 'volume', schedule.units)} to the rim"
    holds = schedule.pot.volume_litres
    over = plan.mash.in_pot_litres + pot.headroom_litres(schedule) - holds
    return f"does not fit, {show(over, 'volume', schedule.units)} too much"


def schedule_page(
    schedule: Schedule, what: str, known: PotKnown | None, now: datetime, change: ToChange | None = None
) -> Reading:
    """What the day is, from `now` on, with what earlier days taught and want changed; 1 and 2 begin it."""
    plan = prospect(schedule, State(known=known))
    rehearsal = minutes(max(1.0, plan.ends_minute / REHEARSAL_RATE))
    to_mind = list(_to_mind(schedule))
    look_below = "; first see below what to mind" if to_mind else ""
    lines = [
        *([cleaned(schedule.notes), ""] if schedule.notes else []),
        *([cleaned(str(change)), ""] if change is not None else []),
        f"1  the real day, beside the pot{look_below}",
        f"2  a rehearsal beside a simulated pot: nothing is heated and nothing is at risk; the clock runs"
        f" {REHEARSAL_RATE:.0f} times as fast, so it takes about {rehearsal}",
        "",
        *_facts(schedule, plan, now),
        "",
        *to_mind,
        *_steps(schedule, plan, now),
    ]
    return Reading(cleaned(schedule.name, 60), tuple(lines), begins=what)


def _facts(schedule: Schedule, plan: Prospect, now: datetime) -> Iterator[str]:
    def shown(value: float, kind: Kind) -> str:
        return show(value, kind, schedule.units)

    grains = ", ".join(f"{shown(one.mass_kg, 'mass')} {cleaned(one.name, 50)}" for one in schedule.grains)
    yield _fact("Grain", grains)
    parts = ", all of it for the mash"
    if plan.sparge_litres > 0.0:
        mash, sparge = (shown(litres, "volume") for litres in (plan.mash_litres, plan.sparge_litres))
        parts = f" in all: {mash} for the mash, {sparge} to sparge"
    yield _fact("Water", shown(plan.total_litres, "volume") + parts)
    meant = strike_meant(schedule, plan)
    if plan.strike is not None and meant is not None:
        before = pot.contents(schedule, State(), plan.strike.dough_in - 1)
        litres = shown(water.litres(before.water_kg, 20.0), "volume")
        what = "the cooked mash" if before.grains else f"{litres} of water"
        lands = shown(meant.lands_at_celsius, "temperature")
        yield _fact("Strike", f"{what} at {shown(meant.celsius, 'temperature')}, to land at {lands}")
    if plan.mash is not None:
        inside, holds = (
            shown(value, "volume") for value in (plan.mash.in_pot_litres, schedule.pot.volume_litres)
        )
        yield _fact("Pot", f"{inside} in a pot of {holds}: {fit(schedule, plan)}")
    if plan.expected is not None:
        litres = shown(plan.expected.wash_litres, "volume")
        yield _fact("Gives", f"about {litres} of wash at {plan.expected.wash_gravity:.3f}")
    if plan.out_of_reach:
        yield _fact("Length", f"not known: step {plan.out_of_reach[0]} cannot be reached with this heater")
        return
    ends = now + timedelta(minutes=plan.ends_minute)
    later = "" if ends.date() == now.date() else " the day after"
    yield _fact("Length", f"about {minutes(plan.ends_minute)}; begun now, done about {ends:%H:%M}{later}")


def _fact(label: str, text: str) -> str:
    return f"{label:<{LABEL}}{text}"


def _steps(schedule: Schedule, plan: Prospect, now: datetime) -> Iterator[str]:
    yield "Steps, if begun now"
    for step in plan.steps:
        at, lasts = f"{now + timedelta(minutes=step.starts_minute):%H:%M}", minutes(step.minutes)
        if not plan.is_timed(step.number):
            at = lasts = "-"
        name = cleaned(title(schedule, step.number), 60)[:23]
        target = (
            "" if step.target_celsius is None else show(step.target_celsius, "temperature", schedule.units)
        )
        yield f"{step.number:2d}  {at:<5}  {name:<23}  {lasts:>10}  {target:>8}".rstrip()


def _to_mind(schedule: Schedule) -> Iterator[str]:
    from mashday.report.feasibility import findings  # noqa: PLC0415 - the first page stands sooner without it

    found = findings(schedule)
    if not found:
        return
    yield "To mind before you begin"
    for problem in found:
        yield f"-  {cleaned(f'{problem.found}: {problem.remedy}')}"
    yield ""
