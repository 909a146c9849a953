"""pH of the mash: a meter reads a cooled sample, the mash itself is lower."""

from __future__ import annotations

from mashday.science.limits import within

FALL_PER_KELVIN = 0.0078
"""How much the pH of a mash falls for each kelvin above 20 degC. Briggs et al. 2004, Brewing: Science and
Practice, ch. 4, relayed: 0.35 lower at 65 degC, 0.45 at 78 degC."""

WANTED_AT_20 = (5.2, 5.6)
"""pH wanted, read at 20 degC. Common practice, no source; Briggs et al. 2004, table 4.9, relayed: shortest
saccharification at 5.7 cooled, most fermentable wort at 5.4-5.6."""

_SOURCE = "Briggs et al. 2004, Brewing: Science and Practice, ch. 4"


def in_the_mash(ph_at_20: float, celsius: float) -> float:
    """pH in the mash at its temperature, from that of a cooled sample.

    Formula: pH(T) = pH(20) - 0.0078 (T - 20)
    Takes: ph_at_20 2..10; celsius 0..102 degC
    Gives: pH
    Source: Briggs et al. 2004, Brewing: Science and Practice, ch. 4, relayed
    Example: in_the_mash(5.4, 65.0) = 5.05
    """
    read = within("pH", ph_at_20, 2.0, 10.0, "", _SOURCE)
    return read - FALL_PER_KELVIN * (within("mash temperature", celsius, 0.0, 102.0, "degC", _SOURCE) - 20.0)


def at_20(ph_in_the_mash: float, celsius: float) -> float:
    """pH a cooled sample will show, from that in the mash: the inverse of in_the_mash.

    Formula: pH(20) = pH(T) + 0.0078 (T - 20)
    Takes: ph_in_the_mash 2..10; celsius 0..102 degC
    Gives: pH
    Source: Briggs et al. 2004, Brewing: Science and Practice, ch. 4, relayed
    Example: at_20(5.05, 65.0) = 5.40
    """
    hot = within("pH", ph_in_the_mash, 2.0, 10.0, "", _SOURCE)
    return hot + FALL_PER_KELVIN * (within("mash temperature", celsius, 0.0, 102.0, "degC", _SOURCE) - 20.0)
