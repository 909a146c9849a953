"""What a wash has come to once it has fermented: attenuation, alcohol, and how far to trust them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from mashday.engine import afterwards
from mashday.engine.state import Reading, State
from mashday.quantities import Units, show
from mashday.report import sugar
from mashday.report.values import rounded
from mashday.schedule.model import Schedule
from mashday.science import alcohol
from mashday.science.limits import OutOfRange

METHOD_PERCENT = 0.15
"""How far alcohol by volume from two gravities lies from what is measured, % vol: means of five sets of beers
(Cutaia, Reid & Speers 2009, J. Inst. Brew. 115(4):318-327, Table III)."""
READING_GRAVITY = {"kept": 0.001, "rough": 0.002, "estimate": 0.004}
"""How far a gravity may be off by the trust in it: a line of the hydrometer, more in a warm sample. Common
practice, no source."""
VOLUME_SHARE = 0.03
"""How far a volume read in a fermenter may be off, as a share of it. Judgement, no source."""


@dataclass(frozen=True, slots=True)
class EndOfWash:
    """A wash at its end: attenuations as shares, alcohol in % by volume and litres; None where not known.

    The errors are what to give or take. `litres_later` is true where its volume was read after the day.
    """

    original: float | None
    final: float | None
    litres: float | None
    litres_later: bool = False
    apparent: float | None = None
    real: float | None = None
    abv_percent: float | None = None
    abv_error: float | None = None
    pure_litres: float | None = None
    pure_error: float | None = None


def end_of_wash(schedule: Schedule, state: State) -> EndOfWash:
    """What was read of the wash, and what that comes to."""
    read = sugar.measured(schedule, state)
    later = afterwards.last_read(state, "volume")
    litres = read.wash_litres if later is None else later
    original, final = read.wash_gravity, read.final_gravity
    found = EndOfWash(original, final, litres, litres_later=later is not None)
    if original is None or final is None:
        return found
    try:
        abv = alcohol.abv_percent(original, final)
        real = alcohol.true_rdf(original, final)
        apparent = alcohol.apparent_attenuation(original, final)
        per_wort = alcohol.wash_litres_per_wort_litre(original, final)
    except OutOfRange:
        return found
    error = _abv_error(state, original, final, abv)
    pure = None if litres is None else litres * (1.0 if later is not None else per_wort) * abv / 100.0
    return EndOfWash(
        original,
        final,
        litres,
        later is not None,
        apparent,
        real,
        abv,
        error,
        pure,
        None if pure is None else pure * math.hypot(VOLUME_SHARE, error / abv if abv > 0.0 else 0.0),
    )


def _abv_error(state: State, original: float, final: float, abv: float) -> float:
    """How far off the alcohol may be, % vol: by the method and by both readings (JCGM 100:2008, 5.1.2)."""
    per_gravity = abv / (original - final) if original > final else 0.0
    trusts = [
        next((r.fact.trust for r in reversed(readings) if _of_wash(r)), None)
        for readings in (state.valid(), state.later)
    ]
    readings_error = math.hypot(*(READING_GRAVITY.get(trust or "kept", 0.001) for trust in trusts))
    return math.hypot(METHOD_PERCENT, per_gravity * readings_error)


def _of_wash(reading: Reading) -> bool:
    """True for a gravity that was read of the wash: those of the mash and the runnings tell nothing of it."""
    return reading.quantity == "gravity" and reading.fact.subject == "wash" and not reading.fact.assumed


def end_words(end: EndOfWash, units: Units) -> list[str]:
    """The same in lines; where something is not known, what is wanting."""
    if end.final is None:
        return ["No end gravity is written down yet; add it with --gravity, once it is read."]
    rows = [f"end gravity {end.final:.4f}"]
    if end.original is None:
        return [
            *rows,
            "No gravity of the wash was read that day; without it no alcohol can be told.",
        ]
    if end.abv_percent is None or end.apparent is None or end.real is None or end.abv_error is None:
        return [*rows, f"From {end.original:.4f}, alcohol cannot be told."]
    rows = [
        f"gravity      from {end.original:.4f} to {end.final:.4f}",
        f"attenuation  {100.0 * end.apparent:.0f} % apparent, {100.0 * end.real:.0f} % real",
        f"alcohol      about {end.abv_percent:.1f} % vol, give or take {end.abv_error:.1f}",
    ]
    if end.pure_litres is None or end.litres is None or end.pure_error is None:
        return [*rows, "Its volume was not read: how much alcohol is in it cannot be told."]
    pure, error = (show(value, "volume", units) for value in (end.pure_litres, end.pure_error))
    when = "as read later" if end.litres_later else "as it was pitched"
    wash = show(end.litres, "volume", units)
    return [
        *rows,
        f"in the wash  about {pure} of pure alcohol, give or take {error}",
        f"             by {wash} of wash, {when}",
    ]


def end_values(end: EndOfWash) -> dict[str, Any]:
    """The same as plain values, metric; shares as fractions."""
    return {
        "wash_gravity": rounded(end.original, 4),
        "final_gravity": rounded(end.final, 4),
        "wash_litres": rounded(end.litres, 2),
        "wash_litres_read_later": end.litres_later,
        "apparent_attenuation": rounded(end.apparent, 3),
        "real_attenuation": rounded(end.real, 3),
        "abv_percent": rounded(end.abv_percent, 2),
        "abv_error_percent": rounded(end.abv_error, 2),
        "pure_alcohol_litres": rounded(end.pure_litres, 3),
        "pure_alcohol_error_litres": rounded(end.pure_error, 3),
    }
