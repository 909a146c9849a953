"""What the person tells of a mash that stood before the day began: checked, or assumed where unknown."""

from __future__ import annotations

from dataclasses import replace

from mashday.engine import call_answers, intents, mid_mash, plausible, readings, remedy
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.decision import Decision, Doubt, Refused, told
from mashday.engine.fold import foreseen
from mashday.engine.state import State
from mashday.schedule.model import Schedule


def meant(schedule: Schedule, state: State, what: f.Amount) -> f.Told | None:
    """What of the pot a weight or measure tells; None if it belongs to a step of the day.

    It tells of the pot while that is asked, and later where no step since has taken any.
    """
    about: f.Told
    if what == "grain":
        about = "grain in the pot"
    elif what == "water":
        about = "water in the pot"
    elif what == "grain temperature":
        return None
    else:
        return what
    if about not in mid_mash.wanted(schedule, state):
        return None
    number = readings.amount_step(schedule, state, what)
    since = number is not None and number >= state.from_step
    return None if since and about not in mid_mash.untold(schedule, state) else about


def tell(schedule: Schedule, state: State, intent: intents.GiveAmount, t: float) -> Decision:
    """An answer about the pot: refused if it cannot be, doubted if unlikely."""
    what = intent.what
    assert what in ("grain in the pot", "water in the pot", "minutes mashed")
    if what not in mid_mash.wanted(schedule, state):
        return Refused("Nothing of that kind stood in the pot when the day began.")
    why = plausible.impossible(schedule, state, what, intent.amount)
    if why is not None:
        return Refused(why)
    names = [grain.name for grain, _ in mid_mash.grains(schedule, state)]
    if intent.name is not None and intent.name not in names:
        return Refused(f"No grain of that name is in the pot; it holds {', '.join(names)}.")
    doubt = None if intent.sure else _doubt(schedule, state, intent, what)
    if doubt is not None:
        return Doubt(doubt)
    return _facts(schedule, state, what, intent.amount, intent.typed, intent.name, t)


def assume(schedule: Schedule, state: State, what: f.Told, t: float) -> tuple[f.Fact, ...]:
    """The person cannot say: what the schedule says is assumed, beside the kinds that were weighed."""
    amount = mid_mash.planned(schedule, state, what)
    if what == "grain in the pot":
        amount = pot.stood(schedule, state).grain_kg
    return _facts(schedule, state, what, amount, "unknown", None, t)


def _doubt(schedule: Schedule, state: State, intent: intents.GiveAmount, what: f.Told) -> str | None:
    shown = told(schedule, state, intent.amount, mid_mash.KINDS[what])
    if what == "minutes mashed":
        late = intent.amount > plausible.LONGEST_STAND_MINUTES
        return f"{shown} since the grain went in? Keep it?" if late else None
    planned = mid_mash.planned(schedule, state, what)
    if intent.name is not None:
        planned = sum(kg for grain, kg in mid_mash.grains(schedule, state) if grain.name == intent.name)
    if not 0.5 <= intent.amount / planned <= 1.6:
        there = told(schedule, state, planned, mid_mash.KINDS[what])
        return f"{shown} where {there} was planned? Keep it?"
    given = f.AmountGiven(state.from_step, what, intent.amount, intent.typed, intent.name)
    level = mid_mash.litres_in_pot(schedule, replace(state, amounts=(*state.amounts, given)))
    if level <= schedule.pot.volume_litres:
        return None
    total, holds = (told(schedule, state, one, "volume") for one in (level, schedule.pot.volume_litres))
    return f"That would make {total} in a pot that holds {holds}. Keep it?"


def _facts(
    schedule: Schedule, state: State, what: f.Told, amount: float, typed: str, name: str | None, t: float
) -> tuple[f.Fact, ...]:
    given = f.AmountGiven(state.from_step, what, amount, typed, name)
    after = foreseen(state, t, given)
    found: tuple[f.Fact, ...] = (given, *call_answers.answered(schedule, state, t, what))
    taken = state.valid("temperature")
    held_back = mid_mash.untold(schedule, state) and not mid_mash.untold(schedule, after)
    if not held_back or not taken or taken[-1].step != state.step or taken[-1].fact.assumed:
        return found
    return (*found, *remedy.offers(schedule, after, taken[-1].metric, t, state.seq + 1))
