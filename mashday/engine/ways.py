"""The ways to bring a pot to another temperature: how much, how long, where it lands, what it does.

Each function gives one way as a `RemedyOffered` without its place among the others, or None where it is no
way here. What keeps one from being taken stands in `why`; which is best is not decided here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from mashday.engine import contents as pot
from mashday.engine import extract, landing
from mashday.engine.decision import units_of
from mashday.engine.facts import RemedyOffered, WaterAdded, Way
from mashday.engine.state import Addition, State
from mashday.quantities import Units, show
from mashday.schedule.model import Heat, Schedule
from mashday.science import cooling, heat, water
from mashday.science.limits import OutOfRange
from mashday.science.working import Working, filled, line
from mashday.science.workings import mash as workings

LEAST_LITRES = 0.2
"""Water below this is not worth adding: no jug at a pot measures it. Common practice, no source."""
LARGEST_PULL = 0.5
"""Share of the mash beyond which nothing is taken out: enzymes and time are lost. Judgement, no source."""
POURING_MINUTES, STIRRING_MINUTES = 2.0, 3.0
"""Minutes to pour, and from there until it is read. Common practice, no source."""
KETTLE_KILOWATTS = 2.0
"""What boils water where no spare kettle is hot: a kitchen kettle. Common practice, no source."""
AIMING_ROUNDS = 8
"""Each brings a target that moves with the water ten times nearer (derived: 0.3 K/L and 0.3 L/K)."""
BOILING_PULL_MINUTES = 20.0
"""Minutes to draw off a part, boil it and give it back. Common practice, no source."""
COOLING_PART_MINUTES = 12.0
"""Minutes in which a small pot of mash cools in cold water. Common practice, no source."""
COOLED_PART_KELVIN = 25.0
"""How much warmer than the tap a part then is. Judgement, no source."""


@dataclass(frozen=True, slots=True)
class Miss:
    """A pot that reads `celsius` and should read `target`, at step `number`.

    `water_effect` and `fire_effect` are the shares of a reckoned change that come in this pot.
    """

    schedule: Schedule
    state: State
    number: int
    celsius: float
    target: float
    water_effect: float = 1.0
    fire_effect: float = 1.0

    @property
    def units(self) -> Units:
        """The units its workings are told in."""
        return units_of(self.schedule, self.state)

    @property
    def inside(self) -> pot.Contents:
        """What is to be moved: the mash with its pot, or water alone that is heated apart."""
        inside = pot.contents(self.schedule, self.state, self.number)
        if isinstance(self.schedule.step(self.number), Heat) and not self.schedule.pot.water_heated_in_it:
            return replace(inside, vessel_kj_per_k=0.0)
        return inside


def hot_water(miss: Miss) -> RemedyOffered | None:
    """Hot water from the spare kettle, as much as it still has; without one it is boiled first."""
    with_celsius = pot.spare_celsius(miss.schedule)
    miss = _aimed(miss, lambda one: _water_kg(one, with_celsius))
    kilograms = _water_kg(miss, with_celsius)
    if kilograms is None:
        return None
    offered = _by_water(miss, "hot water", kilograms, with_celsius, spare_litres(miss.schedule, miss.state))
    if miss.schedule.spare is not None:
        return offered
    boiled = water.SPECIFIC_HEAT * kilograms * (with_celsius - miss.schedule.place.tap_celsius)
    return replace(offered, takes_minutes=offered.takes_minutes + boiled / KETTLE_KILOWATTS / 60.0)


def cold_water(miss: Miss) -> RemedyOffered | None:
    """Cold water from the tap."""
    tap = miss.schedule.place.tap_celsius
    miss = _aimed(miss, lambda one: _water_kg(one, tap))
    kilograms = _water_kg(miss, tap)
    return None if kilograms is None else _by_water(miss, "cold water", kilograms, tap, None)


def spare_litres(schedule: Schedule, state: State) -> float | None:
    """Hot water still in the spare kettle, litres; None if the schedule names no spare kettle."""
    if schedule.spare is None:
        return None
    hot = sum(a.fact.litres for a in state.additions if a.fact.celsius > 60.0)
    return max(0.0, schedule.spare.water_litres - hot)


def _aimed(miss: Miss, kilograms: Callable[[Miss], float | None]) -> Miss:
    """The miss with the target that water for grain has once the kilograms it takes are in.

    More water wants less heat: aimed at the target before it, it would stay too hot for the grain.
    """
    if landing.strike(miss.schedule, miss.state, miss.number) is None:
        return miss
    for _ in range(AIMING_ROUNDS):
        added = kilograms(miss)
        if added is None:
            return miss
        poured = WaterAdded(miss.number, added, added, miss.celsius, "")
        after = replace(
            miss.state, additions=(*miss.state.additions, Addition(0, miss.state.t, miss.state.t, poured))
        )
        target = landing.target_celsius(miss.schedule, after, miss.number)
        assert target is not None
        miss = replace(miss, target=target)
    return miss


def _water_kg(miss: Miss, with_celsius: float) -> float | None:
    """Water that brings it to the target, given how this pot answers to water, kg."""
    aimed = miss.celsius + (miss.target - miss.celsius) / miss.water_effect
    return pot.water_needed_kg(miss.inside, miss.celsius, aimed, with_celsius)


def _lands(miss: Miss, kilograms: float, with_celsius: float) -> float:
    """Where so much water brings it, given how this pot answers to water, Celsius."""
    reckoned = heat.after_addition_celsius(
        capacity_kj_per_k=miss.inside.kj_per_k,
        from_celsius=miss.celsius,
        added_kg=kilograms,
        added_celsius=with_celsius,
    )
    return miss.celsius + miss.water_effect * (reckoned - miss.celsius)


def _by_water(
    miss: Miss, way: Way, kilograms: float, water_celsius: float, limit_litres: float | None
) -> RemedyOffered:
    litres = water.litres(kilograms, water_celsius)
    why = None
    if limit_litres is not None and litres > limit_litres:
        why = "the spare kettle is empty"
        if limit_litres >= LEAST_LITRES:
            shown = show(limit_litres, "volume", miss.units)
            why = f"the spare kettle has only {shown}"
        litres = limit_litres
        kilograms = water.mass_kg(litres, water_celsius)
    offered = replace(
        plain(miss, way, lands=_lands(miss, kilograms, water_celsius)),
        litres=round(litres, 2),
        first_litres=round(litres * heat.FIRST_PORTION, 2),
        first_celsius=_lands(miss, kilograms * heat.FIRST_PORTION, water_celsius),
        water_celsius=water_celsius,
        kilograms=kilograms,
        takes_minutes=POURING_MINUTES + STIRRING_MINUTES,
        why=why,
        working=_water_working(miss, water_celsius),
    )
    return _in_the_pot(miss, offered)


def _in_the_pot(miss: Miss, offered: RemedyOffered) -> RemedyOffered:
    """What more water does: whether it fits, and thickness, gravity and sparge with it."""
    mash = miss.inside
    after = pot.Contents(mash.water_kg + offered.kilograms, mash.grains, mash.vessel_kj_per_k)
    in_pot = after.litres(offered.lands_celsius)
    volume = miss.schedule.pot.volume_litres
    headroom = pot.headroom_litres(miss.schedule)
    room = volume - headroom - in_pot
    why = offered.why
    if room < 0.0:
        too_much, free = (show(value, "volume", miss.units) for value in (-room, headroom))
        why = f"it does not fit: {too_much} too much, with {free} left free for stirring"
    elif offered.litres < LEAST_LITRES:
        why = "too little to measure" if why is None else why
    before_gravity = after_gravity = None
    if extract.is_mash(mash) and extract.is_mash(after):
        before_gravity = extract.first_wort_gravity(mash, 1.0)
        after_gravity = extract.first_wort_gravity(after, 1.0)
    sparge = extract.sparge_litres(miss.schedule, miss.state)
    return replace(
        offered,
        possible=room >= 0.0 and offered.litres >= LEAST_LITRES,
        in_pot_litres=in_pot,
        room_litres=room,
        thickness=after.thickness if after.grains else None,
        gravity_before=before_gravity,
        gravity_after=after_gravity,
        sparge_litres=max(0.0, sparge - water.litres(offered.kilograms, 20.0)) if sparge else None,
        why=why,
    )


def _water_working(miss: Miss, water_celsius: float) -> tuple[str, ...]:
    """The heat balance of an addition, line by line, in the person's units."""
    mash = miss.inside
    sum_of_heats = line(
        "C = water {} + grain {} + pot {} = {}",
        (water.SPECIFIC_HEAT * mash.water_kg, "kJ/K"),
        (mash.grain_kj_per_k, "kJ/K"),
        (mash.vessel_kj_per_k, "kJ/K"),
        (mash.kj_per_k, "kJ/K"),
    )
    made = workings.addition(
        capacity_kj_per_k=mash.kj_per_k,
        from_celsius=miss.celsius,
        to_celsius=miss.target,
        with_celsius=water_celsius,
    )
    told = [filled(sum_of_heats, miss.units), *made.lines(miss.units)]
    if abs(miss.water_effect - 1.0) >= 0.005:
        told.append(
            f"in this pot water has moved it {100.0 * miss.water_effect:.0f} % as far as the sum:"
            " the amount offered makes up for that"
        )
    return tuple(told)


def ice(miss: Miss) -> RemedyOffered | None:
    """Clean ice from a freezer, melted into it; None where it would have to stay frozen."""
    miss = _aimed(miss, lambda one: _ice_kg(_ice(one)))
    made = _ice(miss)
    kilograms = _ice_kg(made)
    if made is None or kilograms is None:
        return None
    litres = water.litres(kilograms, 20.0)
    first = cooling.after_ice_celsius(
        capacity_kj_per_k=miss.inside.kj_per_k,
        from_celsius=miss.celsius,
        ice_kilograms=heat.FIRST_PORTION * kilograms,
        ice_celsius=pot.FREEZER_CELSIUS,
    )
    offered = replace(
        plain(miss, "ice", lands=miss.target, working=made.lines(miss.units)),
        litres=round(litres, 2),
        first_litres=round(litres * heat.FIRST_PORTION, 2),
        first_celsius=miss.celsius + miss.water_effect * (first - miss.celsius),
        water_celsius=0.0,
        kilograms=kilograms,
        takes_minutes=POURING_MINUTES + STIRRING_MINUTES + 1.0,
    )
    return _in_the_pot(miss, offered)


def _ice(miss: Miss) -> Working | None:
    """The working of the ice that brings it to the target, given how this pot answers to water."""
    try:
        return workings.ice(
            capacity_kj_per_k=miss.inside.kj_per_k,
            from_celsius=miss.celsius,
            to_celsius=max(0.0, miss.celsius + (miss.target - miss.celsius) / miss.water_effect),
            ice_celsius=pot.FREEZER_CELSIUS,
        )
    except OutOfRange:
        return None


def _ice_kg(made: Working | None) -> float | None:
    kilograms = None if made is None else made.answer
    assert kilograms is None or isinstance(kilograms, float)
    return kilograms


def decoction(miss: Miss) -> RemedyOffered | None:
    """A part of the mash drawn off, boiled and given back; None where there is no mash."""
    boiled = pot.boiling_celsius(miss.schedule) - heat.POURING_KELVIN
    mash = miss.inside
    if not mash.grains or boiled <= miss.target:
        return None
    try:
        made = workings.decoction(**_pulled_of(miss), return_celsius=boiled)
    except OutOfRange:
        return plain(miss, "decoction", lands=miss.celsius, why="more than the mash would have to be boiled")
    return _pulled(miss, "decoction", made.answer, BOILING_PULL_MINUTES, made.lines(miss.units))


def part_out(miss: Miss) -> RemedyOffered | None:
    """A part of the mash taken out, cooled in cold water and given back; None where there is no mash."""
    cooled = miss.schedule.place.tap_celsius + COOLED_PART_KELVIN
    if not miss.inside.grains or cooled >= miss.target:
        return None
    try:
        made = workings.part_out(**_pulled_of(miss), return_celsius=cooled)
    except OutOfRange:
        return plain(
            miss, "part out", lands=miss.celsius, why="more than the mash would have to be taken out"
        )
    return _pulled(miss, "part out", made.answer, COOLING_PART_MINUTES, made.lines(miss.units))


def _pulled_of(miss: Miss) -> dict[str, float]:
    mash = miss.inside
    return {
        "capacity_kj_per_k": mash.kj_per_k,
        "mash_kj_per_k": mash.kj_per_k - mash.vessel_kj_per_k,
        "mash_litres": mash.litres(miss.celsius),
        "from_celsius": miss.celsius,
        "to_celsius": miss.target,
    }


def _pulled(
    miss: Miss, way: Way, share: float | str | bool | None, minutes: float, working: tuple[str, ...]
) -> RemedyOffered:
    assert isinstance(share, float)
    litres = share * miss.inside.litres(miss.celsius)
    offered = replace(
        plain(miss, way, lands=miss.target, working=working),
        pulled_litres=round(litres, 1),
        minutes=minutes,
        takes_minutes=minutes + STIRRING_MINUTES,
    )
    if share > LARGEST_PULL:
        return replace(offered, possible=False, why="more than half the mash would have to be taken out")
    if litres < LEAST_LITRES:
        return replace(offered, possible=False, why="too little to measure")
    return offered


def leave_it(miss: Miss) -> RemedyOffered:
    """Nothing is done."""
    return plain(miss, "leave it", lands=miss.celsius)


def more_time(miss: Miss, minutes: float) -> RemedyOffered:
    """It stays as it is and rests so many minutes longer; impossible where no time makes up for it."""
    if math.isinf(minutes):
        return plain(miss, "more time", lands=miss.celsius, why="at this temperature no more time helps")
    return replace(
        plain(miss, "more time", lands=miss.celsius),
        minutes=float(math.ceil(minutes)),
        takes_minutes=minutes,
    )


def plain(
    miss: Miss, way: Way, *, lands: float, why: str | None = None, working: tuple[str, ...] = ()
) -> RemedyOffered:
    """A way that so far only says where it lands, Celsius, and what keeps it from being taken."""
    return RemedyOffered(
        offer=0,
        option=0,
        step=miss.number,
        way=way,
        possible=why is None,
        read_celsius=miss.celsius,
        target_celsius=miss.target,
        lands_celsius=lands,
        why=why,
        working=working,
    )
