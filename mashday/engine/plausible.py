"""What a reading can be at all, and what it should be near just now.

`impossible` names what no instrument at a mash shows; `doubtful` what is more likely a slip of the key.
"""

from __future__ import annotations

import math

from mashday.engine import asks, calls, conversion, extract, landing, mid_mash, pace
from mashday.engine import contents as pot
from mashday.engine.decision import told
from mashday.engine.state import Offer, Reading, State
from mashday.quantities import Kind, show
from mashday.schedule.model import (
    Cook,
    Cool,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    StarchCheck,
)
from mashday.science import thermometer, water

MOST_AMOUNT = 1000.0
"""Litres or kilograms beyond which nothing at a pot at home can be. Judgement."""
LONGEST_STAND_MINUTES = 240.0
"""A mash that is said to have stood longer when the day is begun is asked about. Judgement."""
MOST_STAND_MINUTES = 2880.0
"""Minutes beyond which nothing that stood is a mash any more: two days. Judgement."""
LEAST_GRAVITY, MOST_GRAVITY = 0.98, 1.18
"""Beyond these no wash and no wort can be: sugar itself would be left undissolved in a mash. Judgement."""
GRAIN_CELSIUS = (-20.0, 60.0)
"""Between what grain can stand in a shed. Judgement."""
MASH_SLACK_KELVIN = 8.0
"""How far the mean of several places of a mash may be from what is expected before it is asked about.
Judgement."""
LEAST_SLACK_KELVIN = 2.5
"""How far a single reading of a mash may be from it at least. Judgement."""
STANDARD_ERRORS = 3.0
"""Standard errors of reading and expectation together beyond which a single reading is asked about
(JCGM 100:2008, 6.3.3: nearly all of a normal distribution lies within)."""
NEW_POT_KELVIN, KNOWN_POT_KELVIN = 1.0, 0.65
"""Standard error of where a dough-in lands, K: in a new pot, in one of known dough-ins (derived by JCGM
100:2008, 5.1.2 from 0.5 K of water, 2 K and 1 % of grain, 2 % of water, 8 kJ/kg of hydration, 0.5 K of
loss)."""
CHANGE_SHARE = 0.15
"""Standard error of a change that was made, as a share of it. Judgement."""
DRIFT_SHARE = 0.25
"""Standard error of what a standing pot loses, as a share of it (correlations for free convection)."""
HEARD_KELVIN = 3.0
"""How far what is heard may lie from what a heating or cooling can have come to, K. Judgement."""
FASTEST_PACE = 2.0
"""Nothing heats so many times faster than its pace so far says. Judgement."""
FALL_KELVIN = 20.0
"""Cold water nobody wrote down takes a pot on the fire, or a mash that stands, no further down. Judgement."""
STANDING_KELVIN_PER_MINUTE = 0.2
"""No pot at home loses more by standing, K a minute. Judgement."""
WIDEST_SPREAD_KELVIN = 2.0
"""Places of a mash further apart than this are not stirred together. Common practice, no source."""


def impossible(schedule: Schedule, state: State, quantity: str, metric: float) -> str | None:
    """Why this value cannot be, as a sentence with what would do; None if it can."""
    if quantity in ("temperature", "sample temperature"):
        boiling = pot.boiling_celsius(schedule)
        if not 0.0 <= metric <= min(boiling + 2.0, water.HOTTEST_CELSIUS):
            shown = told(schedule, state, metric, "temperature")
            top = told(schedule, state, boiling, "temperature")
            return (
                f"{shown} cannot be: here water is ice or steam (it boils at {top}). Read again and type it."
            )
    if quantity == "gravity" and not LEAST_GRAVITY <= metric <= MOST_GRAVITY:
        return f"Gravity {metric:.3f} cannot be. Type it like 1.052, or 12.5 P."
    nothing = quantity == "added water" and metric == 0.0
    if quantity in ("volume", "added water") and not nothing and not 0.0 < metric <= MOST_AMOUNT:
        shown = told(schedule, state, metric, "volume")
        return f"{shown} cannot be a volume here. Type litres like 17, or 4.5 gal."
    if quantity in ("grain in the pot", "water in the pot") and not 0.0 < metric <= MOST_AMOUNT:
        kind: Kind = "mass" if quantity == "grain in the pot" else "volume"
        return f"{told(schedule, state, metric, kind)} cannot be in the pot. Type it like 4.8 kg, or 14 L."
    if quantity == "minutes mashed" and not 0.0 <= metric <= MOST_STAND_MINUTES:
        return f"{told(schedule, state, metric, 'time')} cannot be. Type minutes like 25, or 1.5 h."
    if quantity == "ph" and not 2.0 <= metric <= 10.0:
        return f"pH {metric:.1f} cannot be a mash. Type it like 5.4, read on a cooled sample."
    return None


def window(
    schedule: Schedule, state: State, quantity: str, t: float, places: int = 1
) -> tuple[float, float] | None:
    """Between what a reading of this quantity is believed without asking; None where nothing is known.

    The mean of several places of a mash is believed further off than a single reading.
    """
    if quantity == "temperature":
        return _temperature_window(schedule, state, t, places)
    if quantity == "gravity":
        least, most = expected_gravity(schedule, state, t), _most_gravity(schedule, state, t)
        return (0.985, 1.13) if least is None or most is None else (least - 0.03, most + 0.01)
    if quantity == "volume":
        expected = expected_litres(schedule, state, t)
        return None if expected is None else (0.5 * expected, 1.4 * expected)
    if quantity == "ph":
        return (4.6, 6.4)
    return None


def spoken_window(
    schedule: Schedule, state: State, quantity: str, t: float, places: int = 1
) -> tuple[float, float] | None:
    """Between what a value is believed that was only heard, in Celsius, SG, litres or pH; None where nothing
    is known. Judgement throughout.

    As `window`, but a temperature on its way up or down must be one the pot can have come to since it was
    last read: digits that changed places mostly are not. What is true and lies outside has to be typed.
    """
    wide = window(schedule, state, quantity, t, places)
    if quantity != "temperature" or wide is None:
        return wide
    return _on_the_way(schedule, state, t) or wide


def _on_the_way(schedule: Schedule, state: State, t: float) -> tuple[float, float] | None:
    """Where the pot can be in a step that heats or cools, Celsius; None where no more is known."""
    record = state.current
    if record is None:
        return None
    number = record.number
    step = schedule.step(number)
    target = landing.target_celsius(schedule, state, number)
    taken = [r for r in state.valid("temperature", number) if r.t >= record.began]
    latest = taken[-1] if taken and not taken[-1].fact.assumed else None
    coldest = min(schedule.place.tap_celsius, schedule.place.room_celsius) - 10.0
    boiling = pot.boiling_celsius(schedule) + 1.0
    if latest is not None and isinstance(step, Cool):
        return min(coldest, latest.metric - HEARD_KELVIN), latest.metric + HEARD_KELVIN
    if target is None or not calls.heats(schedule, number) or record.clock_run is not None:
        return None
    if latest is not None:
        low, high = _since(schedule, state, t, latest, target)
        return low, min(high, boiling)
    if isinstance(step, Raise | MashOut):
        return None
    return coldest, min(max(coldest, target) + MASH_SLACK_KELVIN, boiling)


def _since(schedule: Schedule, state: State, t: float, latest: Reading, target: float) -> tuple[float, float]:
    """Where a pot on its way up can be now that read `latest`, Celsius."""
    minutes = max(0.0, t - latest.t) / 60.0
    low = latest.metric - HEARD_KELVIN - STANDING_KELVIN_PER_MINUTE * minutes
    high = max(target, latest.metric) + MASH_SLACK_KELVIN
    left = pace.minutes_left(schedule, state, latest.step)
    if left is not None and 0.0 < left < math.inf and latest.metric < target:
        rise = FASTEST_PACE * (target - latest.metric) * minutes / left
        high = min(high, latest.metric + rise + HEARD_KELVIN)
    expected = landing.expected_celsius(schedule, state, t)
    if expected is not None and any(a.t >= latest.t and a.fact.litres > 0.0 for a in state.additions):
        return min(low, expected - MASH_SLACK_KELVIN), max(high, expected + MASH_SLACK_KELVIN)
    return low, high


def _slack_kelvin(schedule: Schedule, state: State, t: float, places: int) -> float:
    """How far a mash may read from what is expected without being asked about, K."""
    if places > 1:
        return MASH_SLACK_KELVIN
    taken = [r for r in state.valid("temperature", state.step) if not r.fact.assumed]
    since = taken[-1].t if taken else -1.0
    run = taken[-1].run if taken else -1.0
    if any(o.taken_run is not None and o.taken_run >= run for o in state.offers if _is_dry(o)):
        return MASH_SLACK_KELVIN
    if taken:
        drifted = landing.expected_celsius(schedule, state, since)
        now = landing.expected_celsius(schedule, state, t)
        apart = 0.0 if drifted is None or now is None else abs(now - drifted)
        expectation = math.hypot(thermometer.STIRRING_KELVIN, DRIFT_SHARE * apart)
    else:
        known = state.known is not None and state.known.dough_ins
        expectation = KNOWN_POT_KELVIN if known else NEW_POT_KELVIN
    moved = sum(
        abs(fact.celsius - taken[-1].metric if taken else 0.0) * fact.kilograms
        for fact in (a.fact for a in state.additions if a.t >= since >= 0.0)
    )
    capacity = pot.contents(schedule, state, state.step).kj_per_k
    change = water.SPECIFIC_HEAT * moved / capacity if capacity > 0.0 else 0.0
    worth = thermometer.standard_uncertainty(schedule.thermometer.kind, schedule.thermometer.limit_kelvin)
    whole = math.hypot(expectation, CHANGE_SHARE * change, worth)
    return min(MASH_SLACK_KELVIN, max(LEAST_SLACK_KELVIN, STANDARD_ERRORS * whole))


def _is_dry(offer: Offer) -> bool:
    """True for an offer whose way taken moves the mash without water, which nothing expected reckons with."""
    way = offer.way_taken
    return way is not None and way.litres <= 0.0


def _temperature_window(
    schedule: Schedule, state: State, t: float, places: int
) -> tuple[float, float] | None:
    if not state.step:
        return None
    step = schedule.step(state.step)
    boiling = pot.boiling_celsius(schedule)
    coldest = min(schedule.place.tap_celsius, schedule.place.room_celsius) - 10.0
    if isinstance(step, Rest | DoughIn):
        expected = landing.expected_celsius(schedule, state, t)
        if expected is None and mid_mash.is_first(state, state.step):
            return coldest, boiling + 1.0
        centre = expected if expected is not None else step.target_celsius
        low, high = sorted((centre, step.target_celsius))
        slack = _slack_kelvin(schedule, state, t, places)
        return low - slack, high + slack
    if isinstance(step, Heat | Cook | StarchCheck):
        return max(coldest, _coldest_since(schedule, state, t)), boiling + 1.0
    if isinstance(step, Raise | MashOut):
        expected = landing.expected_celsius(schedule, state, t)
        low = expected if expected is not None else coldest
        return low - MASH_SLACK_KELVIN, min(step.target_celsius + MASH_SLACK_KELVIN, boiling + 1.0)
    if isinstance(step, Pitch):
        return 4.0, 45.0
    return coldest, boiling + 1.0


def _coldest_since(schedule: Schedule, state: State, t: float) -> float:
    """How far a heated pot, or a mash that stands, can have come down since it was last read, Celsius.

    No bound where it was not read.
    """
    number = state.step
    latest = next((r for r in reversed(state.valid("temperature")) if not r.fact.assumed), None)
    stands = isinstance(schedule.step(number), StarchCheck)
    if latest is None or not (stands or latest.step == number):
        return -math.inf
    lost = STANDING_KELVIN_PER_MINUTE * max(0.0, t - latest.t) / 60.0
    low = latest.metric - FALL_KELVIN - lost
    if not any(a.t >= latest.t and a.fact.litres > 0.0 for a in state.additions):
        return low
    expected = landing.expected_celsius(schedule, state, t)
    return -math.inf if expected is None else min(low, expected - FALL_KELVIN)


def conversion_now(schedule: Schedule, state: State, t: float) -> float:
    """The fraction converted by session time `t`, by the model and the last gravity of the mash."""
    return conversion.by_now(schedule, state, t).released


def expected_gravity(schedule: Schedule, state: State, t: float) -> float | None:
    """The gravity the next sample should have: of the mash up to the separation, of the wash after it."""
    return _gravity_at(schedule, state, t, conversion_now(schedule, state, t))


def _most_gravity(schedule: Schedule, state: State, t: float) -> float | None:
    """The gravity of the next sample if all there is had dissolved: no mash gives more."""
    return _gravity_at(schedule, state, t, 1.0)


def _gravity_at(schedule: Schedule, state: State, t: float, converted: float) -> float | None:
    result = extract.expected(schedule, state, converted, until=state.step)
    if result is None:
        return None
    ask = asks.question(schedule, state, t)
    of_wash = ask is not None and ask.subject == "wash"
    return result.wash_gravity if of_wash else result.first_runnings_gravity


def expected_litres(schedule: Schedule, state: State, t: float) -> float | None:
    """The volume the next measurement should show, litres."""
    result = extract.expected(schedule, state, conversion_now(schedule, state, t), until=state.step)
    return None if result is None else result.wash_litres


def doubtful(
    schedule: Schedule,
    state: State,
    quantity: str,
    metric: float,
    t: float,
    places: int = 1,
) -> str | None:
    """Why this value is more likely a slip, as a question; None if it is believed.

    `places` are those of the mash it is the mean of.
    """
    span = window(schedule, state, quantity, t, places)
    if span is None or span[0] <= metric <= span[1]:
        return None
    if quantity == "temperature":
        shown = told(schedule, state, metric, "temperature")
        near = told(schedule, state, span[0], "temperature", 0)
        top = told(schedule, state, span[1], "temperature", 0)
        how = "in two or three places and type them all, or keep it"
        if not isinstance(schedule.step(state.step), Rest | DoughIn):
            how = "again, or keep it"
        return f"{shown}? It should lie between {near} and {top}. Stir, read {how}."
    if quantity == "gravity":
        return f"{metric:.3f}? It should lie between {span[0]:.3f} and {span[1]:.3f}. Read again, or keep it."
    if quantity == "volume":
        units = state.units or schedule.units
        low, high = (show(value, "volume", units) for value in span)
        return f"{show(metric, 'volume', units)}? It should lie between {low} and {high}. Keep it?"
    return f"{metric:.1f}? It should lie between {span[0]:.1f} and {span[1]:.1f}. Read again, or keep it."


def weak(schedule: Schedule, state: State, t: float, spots: tuple[float, ...]) -> str | None:
    """Why a temperature of the mash says little, whatever it is: not stirred together, or read too soon."""
    if not state.step or not isinstance(schedule.step(state.step), Rest | DoughIn):
        return None
    spread = max(spots) - min(spots) if spots else 0.0
    if spread > WIDEST_SPREAD_KELVIN:
        apart = told(schedule, state, spread, "temperature difference")
        return f"The places are {apart} apart: the mash is not mixed. Stir, read again, or keep it."
    poured = [a.run for a in state.additions if a.fact.step == state.step and a.fact.kilograms > 0.0]
    early = asks.SOONEST_AFTER_ADDITION * 60.0
    if poured and state.running(t) < poured[-1] + early:
        left = poured[-1] + early - state.running(t)
        return f"The water is hardly stirred in. Stir on and read again in {left:.0f} s, or keep it."
    return None
