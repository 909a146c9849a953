"""After a failed starch check: what may be the cause, by the history of the mash, and so what to do.

Order and limits after the trade: stir and read, temperature, raw cereal, enzymes, pH, patience. Common
practice, no source, where nothing else is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mashday.engine import contents as pot
from mashday.engine import conversion, landing
from mashday.engine.state import State
from mashday.schedule.model import DoughIn, Schedule, Separate
from mashday.science import grain as grain_table
from mashday.science.overshoot import COOL_TO_CELSIUS
from mashday.science.starch import FULL_LINTNER

Cause = Literal["uncooked", "no enzyme", "weak grist", "too cool", "too hot", "patience", "go on"]

COOLEST_CELSIUS, HOTTEST_CELSIUS = 60.0, 70.0
"""Outside it the temperature itself is the likeliest cause. Common practice, no source."""

WARM_TO_CELSIUS = 64.0
"""Where a mash too cool to convert is best brought. Common practice (63-65), no source."""

LONGEST_MASH_MINUTES = 90.0
"""After two failed checks and so long a mash, waiting further is no use. Common practice, no source."""

ENOUGH_LINTNER = FULL_LINTNER
"""Power a whole grist should have. An encyclopaedia's figure, relayed."""

RESTORING_LINTNER = grain_table.kind("barley malt").lintner
"""Power of the malt that is taken to be at hand."""


@dataclass(frozen=True, slots=True)
class Advice:
    """One likely cause, with the number that goes with it: degC to go to, kg of malt, minutes mashed."""

    cause: Cause
    value: float = 0.0
    name: str = ""


def advice(schedule: Schedule, state: State, t: float) -> tuple[Advice, ...]:
    """What may be behind starch that is left at session time `t`, likeliest first; never empty."""
    found = [Advice("uncooked", name=name) for name in pot.uncooked(schedule)]
    now = conversion.by_now(schedule, state, t)
    number = pot.first_step(schedule, DoughIn) or state.step
    mash = pot.contents(schedule, state, state.step)
    grains = mash.grains or pot.contents(schedule, state, number).grains
    power = pot.grist_lintner(schedule, state)
    if grains and (now.stalled or (power < ENOUGH_LINTNER and not pot.adds_enzyme(schedule, state))):
        kilograms = grain_table.restoring_malt_kg(
            grist_kg=sum(kg for _, kg in grains),
            grist_lintner=power,
            activity_left=now.alpha,
            target_lintner=ENOUGH_LINTNER,
            malt_lintner=RESTORING_LINTNER,
        )
        found.append(Advice("no enzyme" if now.stalled else "weak grist", kilograms))
    celsius = landing.expected_celsius(schedule, state, t)
    if celsius is not None and celsius < COOLEST_CELSIUS:
        found.append(Advice("too cool", WARM_TO_CELSIUS))
    elif celsius is not None and celsius > HOTTEST_CELSIUS:
        found.append(Advice("too hot", COOL_TO_CELSIUS))
    minutes = sum(one.minutes for one in conversion.past(schedule, state, t))
    failed = sum(not reading.fact.passed for reading in state.valid("starch"))
    if failed >= 2 and minutes >= LONGEST_MASH_MINUTES:
        return (Advice("go on", minutes), *found)
    return tuple(found) or (Advice("patience"),)


def on_the_grain(schedule: Schedule) -> bool:
    """Whether the mash ferments with its grain in, where large dextrins still become sugar."""
    number = pot.first_step(schedule, Separate)
    step = schedule.step(number) if number is not None else None
    return isinstance(step, Separate) and step.by == "on the grain"
