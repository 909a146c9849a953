"""Water that goes into the pot: how much it should be, what was said of it, and what that comes to."""

from __future__ import annotations

from mashday.engine import asks, call_answers, intents, landing, plausible
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.decision import Decision, Doubt, Refused, told
from mashday.engine.state import State
from mashday.schedule.model import Schedule
from mashday.science import heat, water

LEAST_POURED_LITRES = 0.05
"""Less water than this is not told to be poured in: no jug measures it. Common practice, no source."""

NEAR_COLD_KELVIN = 2.0
"""Water that would have to be no warmer than this over the tap's is poured as it comes. Judgement: it costs
the mash half a kelvin."""
SPOKEN_SHARES = (0.5, 1.5)
"""Between what shares of the water that was to go in an amount is believed that was only heard. Judgement."""


def assume(schedule: Schedule, state: State, t: float) -> Decision:
    """The person cannot say how much went in: as much as was told to go in is assumed."""
    told = water_told(schedule, state)
    if told is None:
        return Refused("Nothing is known that could be assumed: type how many litres went in.")
    litres, celsius = told
    return _water_facts(schedule, state, litres, celsius, "unknown", assumed=True, t=t)


def water_told(schedule: Schedule, state: State) -> tuple[float, float] | None:
    """Litres as poured, and their Celsius, that were to go in when that was told: as the way was taken, or as
    the step that pours began; None where none were. It is poured then, whenever that is said."""
    way = state.untold.way_taken if state.untold else None
    if way is not None and way.water_celsius is not None:
        return way.litres, way.water_celsius
    record = state.current
    return water_to_pour(schedule, state, record.began) if record is not None else None


def water_to_pour(schedule: Schedule, state: State, t: float) -> tuple[float, float] | None:
    """Litres as poured, and their Celsius, that bring the pot from where it is now to the target of a step
    that pours; None if the step pours none or none would do.

    Mash water that was to cool cooked grain goes in whole: where less of it cold would do, all of it as warm
    as it has to be.
    """
    number = state.step
    celsius = pot.poured_celsius(schedule, number)
    target = landing.target_celsius(schedule, state, number)
    start = landing.expected_celsius(schedule, state, t)
    if celsius is None or target is None or start is None:
        return None
    capacity = landing.capacity_kj_per_k(schedule, state, number)
    kilograms = pot.water_needed_kg(capacity, start, target, celsius) or 0.0
    rest = pot.rest_to_pour_kg(schedule, state, number)
    if kilograms < rest:
        warm = target + capacity * (target - start) / (rest * water.SPECIFIC_HEAT)
        hottest = pot.boiling_celsius(schedule) - heat.POURING_KELVIN
        kilograms = rest
        if warm > celsius + NEAR_COLD_KELVIN:
            celsius = min(warm, hottest)
    litres = water.litres(kilograms, celsius)
    return (litres, celsius) if litres >= LEAST_POURED_LITRES else None


def spoken_window(told_litres: float) -> tuple[float, float]:
    """Between what an amount of water is believed that was only heard, litres, where so much was to go in."""
    least, most = SPOKEN_SHARES
    return least * told_litres, most * told_litres


def add_water(schedule: Schedule, state: State, intent: intents.AddWater, t: float) -> Decision:
    """Water that went into the pot; none, where it was asked how much did."""
    if intent.litres == 0.0 and not any(ask.quantity == "added water" for ask in asks.asks(schedule, state)):
        return Refused("Nothing asks for water just now: then there is nothing to write down.")
    why = plausible.impossible(schedule, state, "added water", intent.litres)
    if why is not None:
        return Refused(why)
    celsius = intent.celsius
    if celsius is None:
        celsius = _water_celsius(schedule, state)
        if celsius is None:
            return Refused("At what temperature? Say it like: added 1.2 L at 95 C (or: at tap, at boiling).")
    why = plausible.impossible(schedule, state, "sample temperature", celsius)
    if why is not None:
        return Refused(why)
    mash = pot.contents(schedule, state, state.step)
    level = mash.litres(60.0) + intent.litres
    if level > schedule.pot.volume_litres and not intent.sure:
        total = told(schedule, state, level, "volume")
        holds = told(schedule, state, schedule.pot.volume_litres, "volume")
        return Doubt(f"That would make {total} in a pot that holds {holds}. Keep it?")
    if intent.litres > 0.6 * schedule.pot.volume_litres and not intent.sure:
        return Doubt(f"{told(schedule, state, intent.litres, 'volume')} is a great deal of water. Keep it?")
    return _water_facts(schedule, state, intent.litres, celsius, intent.typed, assumed=False, t=t)


def _water_celsius(schedule: Schedule, state: State) -> float | None:
    """The temperature meant when none is said: of the way taken and not yet told, of the water the step
    pours, or of the way taken before in this step."""
    if state.untold is not None and state.untold.way_taken is not None:
        return state.untold.way_taken.water_celsius
    poured = pot.poured_celsius(schedule, state.step) if state.step else None
    meant = water_told(schedule, state) if poured is not None else None
    if meant is not None:
        return meant[1]
    way = state.offer.way_taken if state.offer else None
    if poured is not None or way is None or way.step != state.step:
        return poured
    return way.water_celsius


def _water_facts(
    schedule: Schedule, state: State, litres: float, celsius: float, typed: str, *, assumed: bool, t: float
) -> tuple[f.Fact, ...]:
    found: list[f.Fact] = []
    offer, untold = state.offer, state.untold
    number, step = None, state.step
    if offer is not None and offer.is_open:
        way = "hot water" if celsius > offer.options[0].target_celsius else "cold water"
        same = next((option for option in offer.options if option.way == way and option.possible), None)
        number = offer.number if same else None
        found.append(f.RemedyTaken(offer.number, same.option) if same else f.RemedyLeft(offer.number))
    elif untold is not None:
        number, step = untold.number, untold.options[0].step
    meant = untold.way_taken if untold is not None else None
    ice = meant is not None and meant.way == "ice" and celsius == meant.water_celsius
    kilograms = water.mass_kg(litres, 20.0 if ice else celsius)
    found.append(f.WaterAdded(step, litres, kilograms, celsius, typed, number, assumed, ice))
    return (*found, *call_answers.answered(schedule, state, t, "added water"))
