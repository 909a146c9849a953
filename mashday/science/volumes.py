"""Litres: what the mash fills, what the grain keeps, how the water is shared out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mashday.science import water
from mashday.science.limits import UnknownName, within

DISPLACEMENT = 0.67
"""Litres a kilogram of grain takes up in the mash. Common practice (0.32 qt/lb); component densities of
Choi and Okos 1986 give 0.67-0.68 (derived)."""

THICKNESS_REFUSED = 1.2
"""L/kg: below it the grain is not wetted. Judgement."""

THICKNESS_HARD_TO_STIR = 1.7
"""L/kg: below it a mash is hardly stirred by hand. Common practice, no source."""

THICKNESS_USUAL = (1.8, 7.0)
"""L/kg: outside it a warning is due. Common practice, no source."""

STIRRING_DEPTH_METRES = 0.04
"""Free rim kept for stirring, m. Common practice, no source."""

_ABSORPTION = {
    "squeezed bag": 0.5,
    "hung bag": 0.8,
    "drained": 1.0,
    "batch sparge": 1.0,
    "on the grain": 0.0,
}
SEPARATIONS = tuple(_ABSORPTION)
"""The ways of parting wort from grain, by name."""


@dataclass(frozen=True, slots=True)
class WaterSplit:
    """Litres of cold water for the mash and for the sparge."""

    mash_litres: float
    sparge_litres: float

    @property
    def total_litres(self) -> float:
        return self.mash_litres + self.sparge_litres


def absorption(method: str) -> float:
    """Water in less wort out per kilogram of grain, L/kg, by the way of separating.

    On the grain nothing is parted: 0. UnknownName for another method.

    Formula: table: squeezed bag 0.5, hung bag 0.8, drained 1.0, batch sparge 1.0, on the grain 0
    Takes: method one of SEPARATIONS
    Gives: L/kg
    Source: Owens, Craft of Whiskey Distilling, p. 25 (0.12 gal/lb), for drained; others common practice, no
        source
    Example: absorption("drained") = 1.0
    """
    if method not in _ABSORPTION:
        raise UnknownName("way of separating", method, _ABSORPTION)
    return _ABSORPTION[method]


def mash_litres(water_kg: float, grain_kg: float, celsius: float) -> float:
    """Volume of the mash in the pot, L.

    Formula: V = m_water / rho(T) + 0.67 m_grain
    Takes: water_kg 0..100000 kg; grain_kg 0..10000 kg; celsius 0..102 degC
    Gives: L
    Source: common practice for 0.67 L/kg; component densities of Choi and Okos 1986 give 0.67-0.68 (derived)
    Example: mash_litres(15.0, 5.0, 65.0) = 18.65
    """
    return water.litres(water_kg, celsius) + DISPLACEMENT * _grain(grain_kg)


def headroom_litres(pot_litres: float, diameter_metres: float | None = None) -> float:
    """Room a pot needs above the mash for stirring, L.

    Without a diameter the pot is taken to be as high as it is wide.

    Formula: 4 cm of rim over the surface, at least 5 % of the pot
    Takes: pot_litres 1..1000 L; diameter_metres 0..3 m or None
    Gives: L
    Source: common practice, no source
    Example: headroom_litres(30.0, 0.34) = 3.63
    """
    volume = within("pot volume", pot_litres, 1.0, 1000.0, "L", "pots for the home")
    if diameter_metres is None:
        diameter_metres = usual_diameter_metres(volume)
    within("pot diameter", diameter_metres, 0.0, 3.0, "m", "pots for the home")
    return max(0.05 * volume, 1000.0 * STIRRING_DEPTH_METRES * surface_m2(diameter_metres))


def usual_diameter_metres(pot_litres: float) -> float:
    """Diameter of a round pot that is as high as it is wide, m.

    Formula: d = (4 V / pi)^(1/3)
    Takes: pot_litres 1..1000 L
    Gives: m
    Source: volume of a cylinder
    Example: usual_diameter_metres(30.0) = 0.337
    """
    volume = within("pot volume", pot_litres, 1.0, 1000.0, "L", "pots for the home")
    return math.cbrt(4.0 * volume / 1000.0 / math.pi)


def surface_m2(diameter_metres: float) -> float:
    """Free surface of a round pot, m2.

    Formula: A = pi / 4 d^2
    Takes: diameter_metres 0..3 m
    Gives: m2
    Source: area of a circle
    Example: surface_m2(0.34) = 0.0908
    """
    return math.pi / 4.0 * within("pot diameter", diameter_metres, 0.0, 3.0, "m", "pots for the home") ** 2


def thickness_l_per_kg(water_litres: float, grain_kg: float) -> float:
    """Water per kilogram of grain, L/kg.

    Formula: r = V / m
    Takes: water_litres 0..10000 L; grain_kg 0.000001..10000 kg
    Gives: L/kg
    Source: by definition
    Example: thickness_l_per_kg(15.0, 5.0) = 3.0
    """
    within("grain mass", grain_kg, 1e-6, 1e4, "kg", "a mash has grain")
    return within("water volume", water_litres, 0.0, 1e4, "L", "a volume is not negative") / grain_kg


def first_runnings_litres(
    *, water_litres: float, grain_kg: float, absorption_l_per_kg: float, dead_litres: float = 0.0
) -> float:
    """Wort that runs off the grain, L.

    OutOfRange when the grain and the dead space would keep it all.

    Formula: V = water - absorption * grain - dead space
    Takes: water_litres grain_kg*absorption_l_per_kg+dead_litres..10000 L; grain_kg 0..10000 kg;
        absorption_l_per_kg 0..3 L/kg; dead_litres 0..1000 L
    Gives: L
    Source: volume balance (derived)
    Example: first_runnings_litres(water_litres=15.0, grain_kg=5.0, absorption_l_per_kg=1.0, dead_litres=1.0)
        = 9.0
    """
    kept = _kept(grain_kg, absorption_l_per_kg, dead_litres)
    return within("mash water", water_litres, kept, 1e4, "L", "what the grain and the dead space keep") - kept


def water_split(
    *,
    wash_litres: float,
    grain_kg: float,
    absorption_l_per_kg: float,
    dead_litres: float = 0.0,
    sparge: bool = False,
    most_mash_litres: float | None = None,
) -> WaterSplit:
    """Cold water for mash and sparge that leaves so much wash, L.

    Without a sparge all of it goes into the mash. With one, first and second runnings are equal.
    most_mash_litres caps the mash water, the rest then being sparged; OutOfRange when the cap leaves nothing
    to run off.

    Formula: mash = V + a m + d, or with a sparge V / 2 + a m + d and then V / 2
    Takes: wash_litres 0.1..10000 L; grain_kg 0..10000 kg; absorption_l_per_kg 0..3 L/kg;
        dead_litres 0..1000 L; sparge true or false;
        most_mash_litres grain_kg*absorption_l_per_kg+dead_litres..10000 L or None
    Gives: a WaterSplit
    Source: volume balance (derived); equal runnings common practice, no source
    Example: water_split(wash_litres=28.0, grain_kg=5.0, absorption_l_per_kg=1.0, dead_litres=1.0,
        sparge=True) = WaterSplit(mash_litres=20.0, sparge_litres=14.0)
    """
    wash = within("wash volume", wash_litres, 0.1, 1e4, "L", "a wash has a volume")
    kept = _kept(grain_kg, absorption_l_per_kg, dead_litres)
    mash = wash / 2.0 + kept if sparge else wash + kept
    if most_mash_litres is not None:
        mash = min(mash, within("mash water", most_mash_litres, kept, 1e4, "L", "what the grain keeps"))
    return WaterSplit(mash_litres=mash, sparge_litres=wash + kept - mash)


def spent_grain_water_kg_per_kg(*, moisture: float, extract_dry: float, spent_moisture: float) -> float:
    """Water that a kilogram of grain holds once it is spent, kg.

    Apparent absorption is about 0.47 less: the wort that runs off carries extract with it.

    Formula: (1 - x) (1 - E) w / (1 - w)
    Takes: moisture 0..0.2; extract_dry 0.05..1; spent_moisture 0..0.95
    Gives: kg/kg
    Source: dry mass balance (derived)
    Example: spent_grain_water_kg_per_kg(moisture=0.04, extract_dry=0.80, spent_moisture=0.80) = 0.768
    """
    source = "dry mass balance"
    dry = 1.0 - within("grain moisture", moisture, 0.0, 0.2, "", source)
    left = dry * (1.0 - within("dry extract", extract_dry, 0.05, 1.0, "", source))
    wet = within("moisture of the spent grain", spent_moisture, 0.0, 0.95, "", source)
    return left * wet / (1.0 - wet)


def largest_grain_kg(*, usable_litres: float, thickness: float, celsius: float = 65.0) -> float:
    """Heaviest grain bill that fits so many litres at a thickness, kg.

    Formula: m = V / (r rho(20) / rho(T) + 0.67)
    Takes: usable_litres 0..10000 L; thickness 1.2..20 L/kg; celsius 0..102 degC
    Gives: kg
    Source: volume balance with 0.67 L/kg, common practice (derived)
    Example: largest_grain_kg(usable_litres=27.0, thickness=3.0) = 7.25
    """
    within("usable volume", usable_litres, 0.0, 1e4, "L", "pots for the home")
    within("thickness", thickness, THICKNESS_REFUSED, 20.0, "L/kg", "a mash that wets")
    return usable_litres / (water.litres(water.mass_kg(thickness), celsius) + DISPLACEMENT)


def _grain(grain_kg: float) -> float:
    return within("grain mass", grain_kg, 0.0, 1e4, "kg", "a mass is not negative")


def _kept(grain_kg: float, absorption_l_per_kg: float, dead_litres: float) -> float:
    within("absorption", absorption_l_per_kg, 0.0, 3.0, "L/kg", "common practice, no source")
    within("dead space", dead_litres, 0.0, 1e3, "L", "a volume is not negative")
    return _grain(grain_kg) * absorption_l_per_kg + dead_litres
