"""The caution that applies at a step. Reminders only; local codes and licensed trades go first.

Scald times: burn-foundation figures as public scald sheets quote them. Weight to lift: NIOSH lifting
equation (23 kg at best). Gas burners and carbon monoxide: public-health and fire-service bulletins. CO2 over
a ferment: NIOSH. Standing wort: extension service articles on botulism. Grain dust: NIOSH and OSHA, from
memory. Lids, boiling over, thick mash, iodine, glass, cleaners: common practice, no source.
"""

from __future__ import annotations

from mashday.quantities import Units
from mashday.schedule.model import Cool, MashOut, Raise, Schedule, Separate, SetUp

HOT = "Hot: water and mash at 65 C scald in about two seconds. Gloves on, sleeves down."
LID = "Lids open away from you, so that the steam goes the other way."
FIRE = (
    "Gas burns outdoors only, never in a garage or under a carport, open doors or not; keep a carbon-monoxide"
    " alarm. An electric heater needs residual-current protection. Your local codes go first."
)
COOK = "Thick mash spits and holds its heat: heat down, long paddle, stir down to the bottom."
BOIL_OVER = "Watch for boiling over: room below the rim, heat down, stir, never lean over it."
LIFT = "Drain before you lift: 27 L of mash weighs about 29 kg without its pot, too much for one back."
IODINE = "Iodine is poisonous: throw the sample away, never back into the pot."
GLASS = "Cool the sample below 30 C before the hydrometer goes in: glass can crack."
FIRST_OUT = "The first water out of the coil scalds: fix the hose."
STANDING = "Do not keep unfermented wort sealed; pitch it the same or the next day."
GAS = "Fermenting gives off CO2, heavier than air: air the room, never seal the vessel."
LAW = "This day ends at the pitched wash. Check your own law on distilling."
CLEANERS = "Cleaners and acids: gloves and goggles; acid into water; never mix chlorine with acid."
DUST = "Milling outdoors, no flame near: grain dust irritates and can explode."

_IN_US_UNITS = {
    HOT: "Hot: water and mash at 149 F scald in about two seconds. Gloves on, sleeves down.",
    LIFT: "Drain before you lift: 7 gal of mash weighs about 63 lb without its pot, too much for one back.",
    GLASS: "Cool the sample below 86 F before the hydrometer goes in: glass can crack.",
}


def cautions(schedule: Schedule, number: int, units: Units = "metric") -> tuple[str, ...]:
    """The cautions of step `number`, their numbers in these units."""
    found = _of_step(schedule, number)
    return tuple(_IN_US_UNITS.get(text, text) for text in found) if units == "us" else found


def _of_step(schedule: Schedule, number: int) -> tuple[str, ...]:
    step = schedule.step(number)
    if isinstance(step, SetUp):
        return (DUST, FIRE)
    if isinstance(step, Cool):
        return (FIRST_OUT, STANDING) if step.by == "coil" else (STANDING,)
    if isinstance(step, Separate):
        return (GLASS,) if step.by == "on the grain" else (LIFT, HOT, GLASS)
    if isinstance(step, Raise | MashOut):
        return (HOT, LID)
    by_kind: dict[str, tuple[str, ...]] = {
        "heat": (FIRE,),
        "dough-in": (HOT, LID),
        "cook": (COOK, BOIL_OVER),
        "boil": (BOIL_OVER, LID),
        "starch-check": (IODINE,),
        "pitch": (GLASS, GAS, LAW),
        "clean-up": (CLEANERS,),
    }
    return by_kind.get(step.kind, ())
