"""Workings of the wash: alcohol and yeast."""

from __future__ import annotations

from mashday.science import alcohol as fermented
from mashday.science import yeast as yeasts
from mashday.science.gravity import plato
from mashday.science.limits import within
from mashday.science.working import Answer, Figure, Line, Working, line

LEAST_GRAVITY = 1.005
"""Below this there is no sugar to reckon yeast by. Judgement."""


def alcohol(original: float, final: float, wort_litres: float | None = None) -> Working:
    """Working of alcohol.abv_percent; with a volume of wort, the pure alcohol in the wash too."""
    by_volume = fermented.abv_percent(original, final)
    answers = [Answer("abv_percent", "alcohol in the wash", by_volume, "% vol", about=True)]
    steps = [
        line("OE = {} at {}", (plato(original), "Plato"), (original, "SG")),
        line("AE = {} at {}", (plato(final), "Plato"), (final, "SG")),
        line("A = {}", (fermented.alcohol_by_mass_percent(original, final), "% mass")),
        line("real extract left RE = {}", (fermented.real_extract_plato(original, final), "Plato")),
        line(
            "of the extract {} is fermented (apparent attenuation {})",
            (fermented.true_rdf(original, final), "share"),
            (fermented.apparent_attenuation(original, final), "share"),
        ),
        line("the lowest it could go is {}", (fermented.lowest_possible_final_gravity(original), "SG")),
    ]
    inputs: tuple[Figure, ...] = ()
    assumes = [
        Line("both gravities are read near 20 C, the final one without bubbles"),
        Line("good to about 0.15 % vol, and 0.2 more for every 0.001 of doubt in both readings"),
        Line("no sugar was added between the two readings"),
    ]
    if wort_litres is not None:
        pure = fermented.pure_alcohol_litres(wort_litres, original, final)
        ratio = fermented.wash_litres_per_wort_litre(original, final)
        answers.append(Answer("pure_alcohol_litres", "pure alcohol in the wash", pure, "L", about=True))
        inputs = (Figure("V", wort_litres, "L"),)
        steps.append(line("of {} of wort comes {} of wash", (wort_litres, "L"), (ratio * wort_litres, "L")))
        assumes.append(Line("the volume is that of the wort when it was pitched; yeast and losses come off"))
    return Working(
        answers=tuple(answers),
        formulas=(
            "A = (OE - RE) / (2.0665 - 0.010665 OE), RE = (AE + 0.4654 A - 0.003615 A^2) / 0.9962",
            "% vol = A * density of the wash / density of ethanol at 20 C",
        ),
        inputs=inputs,
        steps=tuple(steps),
        assumes=tuple(assumes),
        source=(
            "Balling; Cutaia, Reid and Speers 2009, J. Inst. Brew. 115:318-327 for its accuracy; "
            "OIML R 22 (1975) for ethanol"
        ),
    )


def yeast(litres: float, gravity: float, rate: float) -> Working:
    """Working of yeast.cells_to_pitch and yeast.dry_yeast_grams; rate in million cells per mL and Plato."""
    extract = plato(within("gravity of the wort", gravity, LEAST_GRAVITY, 1.19, "", "a wort has sugar"))
    cells = yeasts.cells_to_pitch(litres, extract, rate)
    return Working(
        answers=(
            Answer("dry_grams", "dry yeast", yeasts.dry_yeast_grams(cells), "g", about=True),
            Answer("billion_cells", "live cells", cells / 1e9, "billion", about=True),
        ),
        formulas=("cells = rate * 10^6 * V (mL) * P; grams = cells / cells in a gram",),
        inputs=(Figure("V", litres, "L"), Figure("rate", rate, "million per mL and Plato")),
        steps=(
            line("P = {} at {}", (extract, "Plato"), (gravity, "SG")),
            Line(f"a gram of dry yeast holds {yeasts.DRY_CELLS_PER_GRAM / 1e9:.0f} billion live cells"),
        ),
        assumes=(
            Line("the packet wins: where it gives grams for a volume, take those"),
            Line("fresh yeast, kept cold and dry"),
        ),
        source="A yeast maker's published advice for the rate; a published count for the cells of a gram",
    )
