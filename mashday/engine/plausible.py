"""What a reading can be at all, and what it should be near just now.

`impossible` names what no instrument at a mash shows; `doubtful` what is more likely a slip of the key.
"""

from __future__ import annotations

from mashday.engine import asks, conversion, extract, landing
from mashday.engine import contents as pot
from mashday.engine.decision import told
from mashday.engine.state import State
from mashday.quantities import show
from mashday.schedule.model import Cook, Cool, DoughIn, Heat, MashOut, Pitch, Raise, Rest, Schedule

MOST_AMOUNT = 1000.0
"""Litres or kilograms beyond which nothing at a pot at home can be. Judgement."""
MASH_SLACK_KELVIN = 8.0
"""How far a mash reading may be from what is expected before it is asked about. Judgement."""


def impossible(schedule: Schedule, state: State, quantity: str, metric: float) -> str | None:
    """Why this value cannot be, as a sentence with what would do; None if it can."""
    if quantity in ("temperature", "sample temperature"):
        boiling = pot.boiling_celsius(schedule)
        if not 0.0 <= metric <= boiling + 2.0:
            shown = told(schedule, state, metric, "temperature")
            top = told(schedule, state, boiling, "temperature")
            return (
                f"{shown} cannot be: here water is ice or steam (it boils at {top}). Read again and type it."
            )
    if quantity == "gravity" and not 0.98 <= metric <= 1.2:
        return f"Gravity {metric:.3f} cannot be. Type it like 1.052, or 12.5 P."
    if quantity in ("volume", "added water") and not 0.0 < metric <= MOST_AMOUNT:
        shown = told(schedule, state, metric, "volume")
        return f"{shown} cannot be a volume here. Type litres like 17, or 4.5 gal."
    if quantity == "ph" and not 2.0 <= metric <= 10.0:
        return f"pH {metric:.1f} cannot be a mash. Type it like 5.4, read on a cooled sample."
    return None


def window(schedule: Schedule, state: State, quantity: str, t: float) -> tuple[float, float] | None:
    """Between what a reading of this quantity is believed without asking; None where nothing is known."""
    if quantity == "temperature":
        return _temperature_window(schedule, state, t)
    if quantity == "gravity":
        least, most = expected_gravity(schedule, state, t), _most_gravity(schedule, state, t)
        return (0.985, 1.13) if least is None or most is None else (least - 0.03, most + 0.01)
    if quantity == "volume":
        expected = expected_litres(schedule, state, t)
        return None if expected is None else (0.5 * expected, 1.4 * expected)
    if quantity == "ph":
        return (4.6, 6.4)
    return None


def _temperature_window(schedule: Schedule, state: State, t: float) -> tuple[float, float] | None:
    if not state.step:
        return None
    step = schedule.step(state.step)
    boiling = pot.boiling_celsius(schedule)
    coldest = min(schedule.place.tap_celsius, schedule.place.room_celsius) - 10.0
    if isinstance(step, Rest | DoughIn):
        expected = landing.expected_celsius(schedule, state, t)
        centre = expected if expected is not None else step.target_celsius
        low, high = sorted((centre, step.target_celsius))
        return low - MASH_SLACK_KELVIN, high + MASH_SLACK_KELVIN
    if isinstance(step, Heat | Cook | Cool):
        return coldest, boiling + 1.0
    if isinstance(step, Raise | MashOut):
        expected = landing.expected_celsius(schedule, state, t)
        low = expected if expected is not None else coldest
        return low - MASH_SLACK_KELVIN, min(step.target_celsius + MASH_SLACK_KELVIN, boiling + 1.0)
    if isinstance(step, Pitch):
        return 4.0, 45.0
    return coldest, boiling + 1.0


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
    result = extract.expected(schedule, state, converted)
    if result is None:
        return None
    ask = asks.question(schedule, state, t)
    of_wash = ask is not None and ask.subject == "wash"
    return result.wash_gravity if of_wash else result.first_runnings_gravity


def expected_litres(schedule: Schedule, state: State, t: float) -> float | None:
    """The volume the next measurement should show, litres."""
    result = extract.expected(schedule, state, conversion_now(schedule, state, t))
    return None if result is None else result.wash_litres


def doubtful(schedule: Schedule, state: State, quantity: str, metric: float, t: float) -> str | None:
    """Why this value is more likely a slip, as a question; None if it is believed."""
    span = window(schedule, state, quantity, t)
    if span is None or span[0] <= metric <= span[1]:
        return None
    if quantity == "temperature":
        shown = told(schedule, state, metric, "temperature")
        near = told(schedule, state, span[0], "temperature", 0)
        top = told(schedule, state, span[1], "temperature", 0)
        return f"{shown}? It should lie between {near} and {top}. Stir and read again, or keep it."
    if quantity == "gravity":
        return f"{metric:.3f}? It should lie between {span[0]:.3f} and {span[1]:.3f}. Read again, or keep it."
    if quantity == "volume":
        units = state.units or schedule.units
        low, high = (show(value, "volume", units) for value in span)
        return f"{show(metric, 'volume', units)}? It should lie between {low} and {high}. Keep it?"
    return f"{metric:.1f}? It should lie between {span[0]:.1f} and {span[1]:.1f}. Read again, or keep it."
