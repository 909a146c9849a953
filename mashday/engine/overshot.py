"""After a mash was read too hot: what is left of its enzymes and the best next move."""

from __future__ import annotations

from typing import NamedTuple

from mashday.engine import contents as pot
from mashday.engine import conversion, extract, landing
from mashday.engine.state import State
from mashday.schedule.model import DoughIn, Rest, Schedule
from mashday.science import overshoot
from mashday.science.overshoot import NextMove
from mashday.science.starch import Starch

LEAST_HOT_CELSIUS = 66.0
"""A mash no hotter than this loses its enzymes slowly: beta-amylase halves in 6.5 min there. Judgement."""


class Overshot(NamedTuple):
    """The starch as it is now, the best next move, and fresh malt to stir in, kg."""

    starch: Starch
    best: NextMove
    malt_kg: float


def overshot(schedule: Schedule, state: State, t: float) -> Overshot | None:
    """What is left and what to do, when the last reading of a rest was too hot; else None."""
    record = state.current
    if record is None or not isinstance(schedule.step(record.number), Rest | DoughIn):
        return None
    taken = [r for r in state.valid("temperature", record.number) if not r.fact.assumed]
    target = landing.target_celsius(schedule, state, record.number)
    mash = pot.contents(schedule, state, record.number)
    grist = conversion.grist_of(schedule, state)
    if not taken or target is None or grist is None or not extract.is_mash(mash):
        return None
    read = taken[-1].metric
    if read <= max(LEAST_HOT_CELSIUS, target + landing.band_kelvin(schedule, record.number)):
        return None
    now = conversion.by_now(schedule, state, t)
    found = overshoot.next_move(
        now,
        read,
        thickness_l_per_kg=grist.thickness_l_per_kg,
        crush=grist.crush,
    )
    return Overshot(now, found, found.malt_share * mash.grain_kg)
