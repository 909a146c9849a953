"""The cautions, each a sentence of its own. Reminders only; local codes and licensed trades go first.

Scald times: burn-foundation figures as public scald sheets quote them. Weight to lift: NIOSH lifting
equation (23 kg at best). Gas burners and carbon monoxide: public-health and fire-service bulletins. CO2 over
a ferment: NIOSH. Standing wort: extension service articles on botulism. Grain dust: NIOSH and OSHA, from
memory. Lids, boiling over, thick mash, iodine, glass, cleaners: common practice, no source.
"""

from __future__ import annotations

from mashday.quantities import Units

HOT = "Hot: water and mash at 65 C scald in about two seconds. Gloves on, sleeves down."
LID = "Lids open away from you, so that the steam goes the other way."
FIRE = (
    "Gas burns outdoors only, never in a garage or under a carport, open doors or not; keep a carbon-monoxide"
    " alarm. An electric heater needs residual-current protection. Your local codes go first."
)
COOK = "A thick mash throws hot blobs and stays hot for long: low fire, long paddle, scrape the bottom."
BOIL_OVER = "Watch for boiling over: room below the rim, heat down, stir, never lean over it."
LIFT = "Drain before you lift: 27 L of mash weighs about 29 kg without its pot, too much for one back."
IODINE = "Iodine is poisonous: throw the sample away, never back into the pot."
GLASS = "Cool the sample below 30 C before the hydrometer goes in: glass can crack."
FIRST_OUT = "The first water out of the coil scalds: fix the hose."
STANDING = "Do not keep unfermented wort sealed; pitch it the same or the next day."
GAS = "Fermenting gives off CO2, heavier than air: air the room, never seal the vessel."
LAW = "This day ends at the pitched wash. Check your own law on distilling."
CLEANERS = "Cleaning: cover eyes and hands; pour acid into water; acid and chlorine never meet."
DUST = "Milling outdoors, no flame near: grain dust irritates and can explode."

_IN_US_UNITS = {
    HOT: "Hot: water and mash at 149 F scald in about two seconds. Gloves on, sleeves down.",
    LIFT: "Drain before you lift: 7 gal of mash weighs about 63 lb without its pot, too much for one back.",
    GLASS: "Cool the sample below 86 F before the hydrometer goes in: glass can crack.",
}


def in_units(text: str, units: Units) -> str:
    """A caution with its numbers in these units."""
    return _IN_US_UNITS.get(text, text) if units == "us" else text


BY_NAME: dict[str, str] = {
    "HOT": HOT,
    "LID": LID,
    "FIRE": FIRE,
    "COOK": COOK,
    "BOIL_OVER": BOIL_OVER,
    "LIFT": LIFT,
    "STANDING": STANDING,
    "GAS": GAS,
    "LAW": LAW,
}
"""The cautions that go with a sum, by name."""
