"""The cautions, each a sentence of its own. Reminders only; local codes and licensed trades go first.

Scald times: burn-foundation figures as public scald sheets quote them. Weight to lift: NIOSH lifting
equation (23 kg at best). Gas burners and carbon monoxide: public-health and fire-service bulletins. CO2 over
a ferment: NIOSH. Standing wort: extension service articles on botulism. Grain dust: NIOSH and OSHA, from
memory. Lids, boiling over, thick mash, iodine, glass, cleaners: common practice, no source.
"""

from __future__ import annotations

from mashday.quantities import Units, show

SCALD = "Hot water and mash scald in seconds, near the boil at once: gloves on, sleeves down."
HOT = "Hot: water and mash at 65 C scald in about two seconds. Gloves on, sleeves down."
LID = "Lids open away from you, so that the steam goes the other way."
FIRE = (
    "A gas ring belongs under the open sky, never under a roof, with a carbon-monoxide alarm at hand."
    " An electric heater wants residual-current protection. Your local codes go first."
)
COOK = "A thick mash throws hot blobs and stays hot for long: low fire, long paddle, scrape the bottom."
BOIL_OVER = "Watch for boiling over: room below the rim, heat down, stir, never lean over it."
LIFT = "Never lift a full pot alone: drain it first."
IODINE = "Iodine is poisonous: throw the sample away, never back into the pot."
GLASS = "Cool the sample below 30 C before the hydrometer goes in: glass can crack."
FIRST_OUT = "The first water out of the coil scalds: fix the hose."
STANDING = "Unfermented wort does not keep: never close it up, and have yeast in it by tomorrow."
GAS = "The CO2 of a ferment sinks and stays: let fresh air through the room and let the vessel breathe."
LAW = "Here the work is done when the yeast is in. What your law says of distilling is yours to find out."
LAW_ON_PAPER = (
    "Law: the plan stops where the yeast goes in. Making spirit at home needs a licence in many countries"
    " and is forbidden in others (United States: 27 CFR 19.51). Ask what holds where you live."
)
CLEANERS = "Cleaning: cover eyes and hands; pour acid into water; acid and chlorine never meet."
DUST = "Mill in the open air and away from flames: flour in the air harms lungs and can blow up."

_IN_US_UNITS = {
    HOT: "Hot: water and mash at 149 F scald in about two seconds. Gloves on, sleeves down.",
    GLASS: "Cool the sample below 86 F before the hydrometer goes in: glass can crack.",
}


def in_units(text: str, units: Units) -> str:
    """A caution with its numbers in these units."""
    return _IN_US_UNITS.get(text, text) if units == "us" else text


def lift(mash_kg: float, units: Units, *, more: bool) -> str:
    """Not to lift a pot with so many kilograms of mash in it, or with more than that."""
    weight = f"{'more than' if more else 'about'} {show(mash_kg, 'mass', units, 0)}"
    return f"Never lift a full pot alone: the mash weighs {weight} without it. Drain it first."
