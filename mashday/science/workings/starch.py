"""Workings of the starch: what a history of temperatures makes of it; the enzyme power of a grist."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mashday.science import grain
from mashday.science import starch as starches
from mashday.science.working import Answer, Figure, Line, Working, line

DONE = 0.98
"""Share of the starch at which a mash is called converted. Common practice, no source."""


def starch(
    held: Sequence[tuple[float, float]],
    *,
    thickness_l_per_kg: float,
    crush: str,
    extract_dry: float = 0.80,
    moisture: float = 0.045,
) -> Working:
    """Working of starch.advance along temperatures (degC) held for minutes, from dough-in on.

    The last answer is the time still to go at the last temperature; none where the enzymes give out first.
    """
    now = starches.FRESH
    steps = []
    for celsius, minutes in held:
        now = starches.advance(
            now,
            celsius,
            minutes,
            thickness_l_per_kg=thickness_l_per_kg,
            crush=crush,
            extract_dry=extract_dry,
            moisture=moisture,
        )
        steps.append(
            line(
                "after {} at {}: {} converted, alpha-amylase {} left, beta-amylase {} left",
                (minutes, "min"),
                (celsius, "degC"),
                (now.converted, "share"),
                (now.alpha, "share"),
                (now.beta, "share"),
            )
        )
    still = starches.minutes_to(
        now,
        DONE,
        held[-1][0],
        thickness_l_per_kg=thickness_l_per_kg,
        crush=crush,
        extract_dry=extract_dry,
        moisture=moisture,
    )
    cautions: tuple[Line, ...] = ()
    if now.stalled:
        cautions = (
            line(
                "Not enough enzyme is left to finish: cool to {} or so, then add malt or alpha-amylase.",
                (62.5, "degC"),
            ),
        )
    return Working(
        answers=(
            Answer("converted", "starch converted", now.converted, "share", about=True),
            Answer("fermentable", "of all starch, fermentable", now.fermentable, "share", about=True),
            Answer(
                "attenuation_percent",
                "apparent attenuation the wort allows",
                now.attenuation_limit_percent,
                "%",
                about=True,
            ),
            Answer("alpha_left", "alpha-amylase left", now.alpha, "share", about=True),
            Answer("beta_left", "beta-amylase left", now.beta, "share", about=True),
            Answer(
                "minutes_to_98",
                "still to go to 98 % at the last temperature",
                None if math.isinf(still) else still,
                "min",
                about=True,
            ),
        ),
        formulas=(
            "starch is released at 1 / (1 / k_gelatinisation + 1 / k_crush), enzymes die as exp(-k t), "
            "sugar forms by what is left of them; stepped a quarter of a minute at a time",
        ),
        inputs=(
            Figure("thickness", thickness_l_per_kg, "L/kg"),
            Figure("extract, dry", extract_dry, "share"),
            Figure("moisture", moisture, "share"),
        ),
        steps=tuple(steps),
        assumes=(
            Line(f"{crush} crush; malt or opened grain with enzyme enough, pH near 5.4"),
            Line(
                "about 5 points of attenuation and 30 % of the time either way; malts differ more than that"
            ),
            Line("attenuation is that of boiled wort: an unboiled wash ends lower"),
        ),
        source=f"{starches.BRANDAM}; sugar fitted to a published attenuation study, relayed",
        cautions=cautions,
    )


def enzyme_power(parts: Sequence[tuple[str, float]]) -> Working:
    """Working of grain.grist_lintner and grain.power_verdict for kinds of grain and their kg."""
    listed = [(grain.kind(name), kilograms) for name, kilograms in parts]
    power = grain.grist_lintner((kilograms, kind.lintner) for kind, kilograms in listed)
    verdict = grain.power_verdict(power)
    cooks = [kind.name for kind, _ in listed if kind.needs_cook]
    return Working(
        answers=(
            Answer("lintner", "enzyme power of the grist", power, "Lintner", about=True),
            Answer("verdict", "verdict", str(verdict)),
        ),
        formulas=("power = sum(m D) / sum(m)",),
        inputs=(),
        steps=(
            *(
                line(f"{kind.name}: {{}} of {{}}", (kilograms, "kg"), (kind.lintner, "Lintner"))
                for kind, kilograms in listed
            ),
            Line(f"{verdict}: {verdict.advice}"),
        ),
        assumes=(
            Line("usual figures of each kind: a maltster's sheet is better"),
            *(Line(f"{name} is cooked first: its starch does not open in the mash") for name in cooks),
        ),
        source=f"{grain.LINTNER}; 30 and 70 Lintner as limits: common practice, no source",
    )
