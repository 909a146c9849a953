"""How much yeast a wort asks for."""

from __future__ import annotations

from mashday.science.limits import within

PITCH_RATE = 1.0
"""Million viable cells per mL and Plato. A yeast maker's published advice; ales 0.75, lagers 1.25-1.5."""

DRY_CELLS_PER_GRAM = 20e9
"""Live cells in a gram of dry yeast. A published figure; labels promise at least 5-6e9, the packet wins."""

_PRACTICE = "common practice, no source"


def cells_to_pitch(litres: float, plato: float, rate: float = PITCH_RATE) -> float:
    """Viable cells for so much wort, for 0-45 Plato: 3.0e11 for 20 L at 15 Plato."""
    within("wort volume", litres, 0.0, 1e5, "L", _PRACTICE)
    within("extract", plato, 0.0, 45.0, "Plato", _PRACTICE)
    within("pitching rate", rate, 0.1, 5.0, "million cells per mL and Plato", _PRACTICE)
    return rate * 1e6 * litres * 1000.0 * plato


def dry_yeast_grams(cells: float, cells_per_gram: float = DRY_CELLS_PER_GRAM) -> float:
    """Dry yeast holding so many viable cells, g."""
    within("cells", cells, 0.0, 1e16, "", _PRACTICE)
    return cells / within("cells in a gram", cells_per_gram, 1e9, 5e10, "per g", _PRACTICE)
