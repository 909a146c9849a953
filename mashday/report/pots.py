"""What each pot has taught, with how surely it is known, and what that comes to for the strike of a day."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from mashday.engine import belief
from mashday.engine import contents as pot
from mashday.engine.facts import PotKnown, Way
from mashday.engine.prospect import prospect, strike_meant
from mashday.engine.state import State
from mashday.quantities import Units, show
from mashday.report.pot_taught import WHAT_TEACHES
from mashday.report.values import rounded
from mashday.report.worth import landing_kelvin
from mashday.schedule.model import Schedule
from mashday.science import fit
from mashday.text import cleaned

WIDTH = 80
WAYS: tuple[tuple[Way, str, float], ...] = (
    ("hot water", "water", belief.WATER_SPREAD),
    ("fire", "fire", belief.FIRE_SPREAD),
)
"""What moves a mash, what it is called here, and how surely it is reckoned before a pot is known."""


@dataclass(frozen=True, slots=True)
class PotTaught:
    """A pot: its real days, the schedule of the latest, and what they taught, None if nothing yet."""

    name: str
    days: int
    schedule: Schedule
    known: PotKnown | None
    still_open: int = 0


@dataclass(frozen=True, slots=True)
class Effect:
    """What share of a reckoned change comes, give or take, from how many changes."""

    share: float
    error: float
    changes: int


@dataclass(frozen=True, slots=True)
class Strike:
    """The strike of a day as the heat balance alone has it, and with what its pot has taught, Celsius.

    `lands_at_celsius` is what the mash is meant to land at; `written_celsius` what the schedule writes for
    the water in its place, and `written_lands_celsius` where the mash lands by that, None without.
    """

    schedule: Schedule
    pot: str
    alone_celsius: float
    learned_celsius: float | None
    lands_at_celsius: float
    written_celsius: float | None = None
    written_lands_celsius: float | None = None


def effect(known: PotKnown | None, way: Way, spread: float) -> Effect:
    """What a way brings in this pot, as it is now believed.

    The error is the standard deviation of the belief that `fit.believed_effect` takes the mean of: of weights
    1 / spread^2 and reckoned^2 / (2 0.3^2), 1 / sqrt(their sum) (derived; 0.3 K is judgement).
    """
    moves = belief.moves_known(known, way)
    weight = 1.0 / spread**2 + sum(r**2 / (2.0 * fit.CHANGE_READING_KELVIN**2) for r, _ in moves)
    return Effect(belief.effect(way, moves), 1.0 / math.sqrt(weight), len(moves))


def thickness(taught: PotTaught) -> float | None:
    """The mean thickness of its known dough-ins, L/kg; None without any."""
    known = taught.known
    if known is None or not known.thicknesses:
        return None
    return sum(known.thicknesses) / len(known.thicknesses)


def predicted(schedule: Schedule, known: PotKnown | None) -> Strike | None:
    """The strike of this day with and without what is known of its pot; None for a day without one."""
    plan = prospect(schedule, State(known=known))
    alone, learned, meant = prospect(schedule, State()).strike, plan.strike, strike_meant(schedule, plan)
    if alone is None or learned is None or meant is None:
        return None
    is_written = meant.celsius != meant.needed_celsius
    return Strike(
        schedule,
        schedule.pot.name,
        alone.celsius,
        None if known is None else learned.celsius,
        learned.lands_at_celsius,
        meant.celsius if is_written else None,
        meant.lands_at_celsius if is_written else None,
    )


def pots_words(pots: Sequence[PotTaught], units: Units | None, strike: Strike | None) -> str:
    """The pots as text of at most 80 columns, each in the units asked for or in those of its latest day."""
    rows = ["POTS"] if pots else ["No pot has taught anything yet: real days do, as they are written down."]
    for one in pots:
        rows += ["", *_pot_rows(one, units or one.schedule.units)]
    if strike is not None:
        rows += ["", *strike_rows(strike, units or strike.schedule.units)]
    return "\n".join(rows) + "\n"


def _pot_rows(taught: PotTaught, units: Units) -> list[str]:
    known = taught.known
    kept = "one day" if taught.days == 1 else f"{taught.days} days"
    if taught.still_open:
        kept += " (still open)" if taught.days == 1 else f" ({taught.still_open} still open)"
    name = cleaned(taught.name, 40)
    if known is None:
        return [f"{name}, {kept}: nothing learned yet", *_under(WHAT_TEACHES)]
    told = {
        "loses": _loss(taught, known, units),
        "dough-in": _lands(taught, known, units),
        **{word: _moves(effect(known, way, spread)) for way, word, spread in WAYS},
    }
    rows = [f"{name}, {kept}; learned from {known.days}"]
    for word, text in told.items():
        rows += textwrap.wrap(f"  {word:<9} {text}", WIDTH, subsequent_indent=" " * 12)
    return rows


def _under(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def _loss(taught: PotTaught, known: PotKnown, units: Units) -> str:
    usual = show(pot.usual_loss_w_per_k(taught.schedule), "heat loss", units)
    if known.loss_w_per_k is None or known.loss_error is None:
        return f"not read yet; such a pot about {usual}"
    believed = show(_believed_loss(taught), "heat loss", units)
    read = show(max(0.0, known.loss_w_per_k), "heat loss", units)
    error = show(known.loss_error, "heat loss", units)
    return f"about {believed}: read {read}, give or take {error}; such a pot {usual}"


def _believed_loss(taught: PotTaught) -> float:
    return belief.loss_w_per_k(taught.schedule, State(known=taught.known))


def _lands(taught: PotTaught, known: PotKnown, units: Units) -> str:
    usual = thickness(taught)
    count = len(known.dough_ins)
    if usual is None:
        return "not read yet"
    kelvin = belief.dough_in_kelvin(State(known=known), usual)
    aside = show(abs(kelvin), "temperature difference", units)
    within = show(landing_kelvin(count), "temperature difference", units)
    by = "one dough-in" if count == 1 else f"{count} dough-ins"
    return (
        f"lands {aside} {'warmer' if kelvin >= 0.0 else 'cooler'} than the sum, within {within}; by {by} at"
        f" {show(usual, 'thickness', units)}"
    )


def _moves(found: Effect) -> str:
    if not found.changes:
        return "no change by it was read yet"
    by = "one change" if found.changes == 1 else f"{found.changes} changes"
    return (
        f"moves the mash {100.0 * found.share:.0f} % as far as the sum says, give or take"
        f" {100.0 * found.error:.0f}; by {by}"
    )


def strike_rows(strike: Strike, units: Units) -> list[str]:
    """The strike in lines."""
    name, pot_name = cleaned(strike.schedule.name, 36), cleaned(strike.pot, 30)
    lands = show(strike.lands_at_celsius, "temperature", units)
    alone = show(strike.alone_celsius, "temperature", units)
    rows = [f"STRIKE  {name} in {pot_name}", f"  {alone} by the sum alone, to land at {lands}"]
    told = ", which is what a plan tells" if strike.written_celsius is None else ""
    if strike.learned_celsius is None:
        rows.append(f"  this pot has taught nothing yet{', so that is what a plan tells' if told else ''}")
    else:
        learned = show(strike.learned_celsius, "temperature", units)
        rows.append(f"  {learned} with what this pot has taught{told}")
    if strike.written_celsius is not None and strike.written_lands_celsius is not None:
        written, there = (
            show(celsius, "temperature", units)
            for celsius in (strike.written_celsius, strike.written_lands_celsius)
        )
        rows.append(f"  the schedule writes {written}, and by that it lands at {there}")
    return rows


def pots_values(pots: Sequence[PotTaught], strike: Strike | None, *, predicts: bool) -> dict[str, Any]:
    """The same as plain values, metric; the strike where it was asked for."""
    made: dict[str, Any] = {"pots": [_values(one) for one in pots]}
    if predicts:
        made["strike"] = None if strike is None else _strike_values(strike)
    return made


def _strike_values(strike: Strike) -> dict[str, Any]:
    learned = strike.learned_celsius
    return {
        "schedule": strike.schedule.name,
        "pot": strike.pot,
        "alone_celsius": round(strike.alone_celsius, 2),
        "learned_celsius": rounded(learned, 2),
        "lands_at_celsius": round(strike.lands_at_celsius, 2),
        "written_celsius": rounded(strike.written_celsius, 2),
        "written_lands_at_celsius": rounded(strike.written_lands_celsius, 2),
    }


def _values(taught: PotTaught) -> dict[str, Any]:
    known, usual = taught.known, thickness(taught)
    has_loss = known is not None and known.loss_w_per_k is not None and known.loss_error is not None
    made: dict[str, Any] = {
        "pot": taught.name,
        "days": taught.days,
        "learned_from_days": 0 if known is None else known.days,
        "usual_loss_w_per_k": round(pot.usual_loss_w_per_k(taught.schedule), 3),
        "loss_w_per_k": None,
        "loss_read_w_per_k": None,
        "loss_error_w_per_k": None,
        "dough_ins": 0 if known is None else len(known.dough_ins),
        "thickness_l_per_kg": rounded(usual, 3),
        "dough_in_kelvin": None,
        "dough_in_within_kelvin": None,
    }
    if known is not None and has_loss:
        made |= {
            "loss_w_per_k": round(_believed_loss(taught), 3),
            "loss_read_w_per_k": round(max(0.0, known.loss_w_per_k or 0.0), 3),
            "loss_error_w_per_k": round(known.loss_error or 0.0, 3),
        }
    if known is not None and usual is not None:
        made |= {
            "dough_in_kelvin": round(belief.dough_in_kelvin(State(known=known), usual), 3),
            "dough_in_within_kelvin": round(landing_kelvin(len(known.dough_ins)), 3),
        }
    for way, name, spread in WAYS:
        found = effect(known, way, spread)
        made[name] = {
            "share": round(found.share, 3),
            "error": round(found.error, 3),
            "changes": found.changes,
        }
    return made
