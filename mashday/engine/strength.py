"""The wort that was made against the one wanted: too much water or too little sugar, and what would do.

No advice within two thousandths: that is inside the errors of hydrometer and thermometer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mashday.engine import extract
from mashday.engine.prospect import prospect
from mashday.engine.state import Reading, State
from mashday.schedule.model import Pitch, Schedule, Separate
from mashday.science import water, wort
from mashday.science.limits import OutOfRange

Way = Literal["leave it", "dilute", "boil down", "sugar"]

NEAR_ENOUGH = 0.002
"""Difference of gravity that is left alone. From the errors of hydrometer and temperature (judgement)."""

CLEAR_SHARE = 0.03
"""Share of the sugar or of the volume by which it has to differ to be named. Judgement."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to the gravity wanted: cold litres of water, kg of sugar, minutes of boil; litres after it."""

    way: Way
    litres: float = 0.0
    kilograms: float = 0.0
    minutes: float | None = None
    final_litres: float = 0.0


@dataclass(frozen=True, slots=True)
class Strength:
    """Wort measured and wanted; shares are measured over planned, None where nothing was planned."""

    gravity: float
    litres: float
    wanted: float
    sugar_share: float | None
    volume_share: float | None
    ways: tuple[Remedy, ...]

    @property
    def too_little_sugar(self) -> bool:
        """Whether clearly less sugar came out of the grain than planned."""
        return self.sugar_share is not None and self.sugar_share < 1.0 - CLEAR_SHARE

    @property
    def too_much_water(self) -> bool:
        """Whether there is clearly more wort than planned."""
        return self.volume_share is not None and self.volume_share > 1.0 + CLEAR_SHARE


def strength(schedule: Schedule, state: State) -> Strength | None:
    """The wort of the step under way (a separation's last gravity, or the wash before its yeast).

    None until both its gravity and its volume are read, and where no gravity is hoped for or planned.
    """
    record = state.current
    if record is None or not isinstance(schedule.step(record.number), Separate | Pitch):
        return None
    separating = isinstance(schedule.step(record.number), Separate)
    gravity, litres = (
        _last(state, "gravity", record.number, separating),
        _last(state, "volume", record.number),
    )
    planned = prospect(schedule, State()).expected
    wanted = schedule.aim.gravity
    if wanted is None:
        wanted = planned.wash_gravity if planned is not None else None
    if gravity is None or litres is None or wanted is None or not 1.005 < gravity.metric < 1.17:
        return None
    now, volume = gravity.metric, litres.metric
    if volume <= 0.1:
        return None
    sugar = volume_share = None
    if planned is not None:
        sugar = wort.extract_kg(volume, now) / wort.extract_kg(planned.wash_litres, planned.wash_gravity)
        volume_share = volume / planned.wash_litres
    return Strength(now, volume, wanted, sugar, volume_share, _ways(schedule, now, volume, wanted))


def _last(
    state: State, quantity: Literal["gravity", "volume"], number: int, second: bool = False
) -> Reading | None:
    """The last reading of a step; with `second`, not the first one: that is of first runnings."""
    taken = [r for r in state.valid(quantity, number) if not r.fact.assumed]
    if second and len(taken) < 2:
        return None
    return taken[-1] if taken else None


def _ways(schedule: Schedule, now: float, litres: float, wanted: float) -> tuple[Remedy, ...]:
    leave = Remedy("leave it", final_litres=litres)
    if round(abs(now - wanted), 6) <= NEAR_ENOUGH:
        return (leave,)
    try:
        if now > wanted:
            added = wort.dilution_litres(litres, now, wanted)
            mass = wort.wort_kg(litres, now) + water.mass_kg(added)
            return (Remedy("dilute", added, final_litres=wort.wort_litres(mass, wanted)), leave)
        off = wort.boil_down_litres(litres, now, wanted)
        sugar = wort.sugar_kg(litres, now, wanted)
        mass = wort.wort_kg(litres, now)
        boiled = wort.wort_litres(mass - water.mass_kg(off), wanted)
        sweetened = wort.wort_litres(mass + sugar, wanted)
    except OutOfRange:
        return (leave,)
    return (
        Remedy("boil down", off, minutes=_boil_minutes(schedule, off), final_litres=boiled),
        Remedy("sugar", kilograms=sugar, final_litres=sweetened),
        leave,
    )


def _boil_minutes(schedule: Schedule, litres: float) -> float | None:
    """Minutes of boiling that drive off so much water, by the heater; None without one that boils."""
    by_heater = extract.boil_off_kg_per_minute(schedule)
    return water.mass_kg(litres) / by_heater if by_heater else None
