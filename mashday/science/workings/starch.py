"""Workings of the starch: what a history of temperatures makes of it; the enzyme power of a grist."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from mashday.science import enzymes, grain, iodine, overshoot
from mashday.science import starch as starches
from mashday.science.overshoot import Move
from mashday.science.starch import Starch
from mashday.science.working import Answer, Figure, Line, Working, line

LEAST_TO_FERMENT = 0.2
"""Share converted below which no attenuation is told: the wort is hardly one. Judgement."""

DONE = 0.98
"""Share of the starch at which a mash is called converted. Common practice, no source."""


def starch(
    held: Sequence[tuple[float, float]],
    *,
    thickness_l_per_kg: float,
    crush: str,
    extract_dry: float = 0.80,
    moisture: float = 0.045,
    start: Starch = starches.FRESH,
) -> Working:
    """Working of starch.advance along temperatures (degC) held for minutes, from dough-in or a start on.

    The last answer is the time still to go at the last temperature; none where the enzymes give out first:
    then what was converted by that moment is told, for the model itself does not stop there.
    """
    now = start
    steps = []
    if start.power < 1.0:
        steps.append(line("little enzyme: {} of what a grist needs slows it", (start.power, "share")))
    if start.converted > 0.0:
        steps.append(line("from {} converted, as measured", (start.converted, "share")))
    gave_out_at = start.converted
    for celsius, minutes in held:
        before = now

        def after(some: float, before: Starch = before, celsius: float = celsius) -> Starch:
            return starches.advance(
                before,
                celsius,
                some,
                thickness_l_per_kg=thickness_l_per_kg,
                crush=crush,
                extract_dry=extract_dry,
                moisture=moisture,
            )

        now = after(minutes)
        if now.stalled and not before.stalled:
            gave_out_at = _gave_out_at(after, minutes)
        steps.append(
            line(
                f"after {{}} at {{}}: {'no more than ' if now.stalled else ''}{{}} converted,"
                " alpha-amylase {} left, beta-amylase {} left",
                (minutes, "min"),
                (celsius, "degC"),
                (gave_out_at if now.stalled else now.converted, "share"),
                (now.alpha, "share"),
                (now.beta, "share"),
            )
        )
    colour = iodine.Colour.BLUE_BLACK if now.stalled else iodine.expected_colour(now.converted)
    steps.append(Line(f"a drop of iodine would show {colour}: {colour.meaning}"))
    steps.append(Line(f"if it does: {colour.advice}"))
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
                (overshoot.COOL_TO_CELSIUS, "degC"),
            ),
        )
    return Working(
        answers=(
            Answer(
                "converted",
                "starch converted, at most" if now.stalled else "starch converted",
                gave_out_at if now.stalled else now.converted,
                "share",
                about=True,
            ),
            Answer("fermentable", "of all starch, fermentable", now.fermentable, "share", about=True),
            Answer(
                "attenuation_percent",
                "apparent attenuation the wort allows",
                now.attenuation_limit_percent if now.converted >= LEAST_TO_FERMENT else None,
                "%",
                about=True,
                otherwise="too little is converted to say",
            ),
            Answer("alpha_left", "alpha-amylase left", now.alpha, "share", about=True),
            Answer("beta_left", "beta-amylase left", now.beta, "share", about=True),
            Answer(
                "minutes_to_98",
                "still to go to 98 % at the last temperature",
                None if now.stalled or math.isinf(still) else still,
                "min",
                about=True,
                otherwise="never, at this temperature",
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
            Line(starches.TRUST),
            Line("attenuation is that of boiled wort: an unboiled wash ends lower"),
        ),
        source=f"{starches.BRANDAM}; sugar fitted to a published attenuation study, relayed",
        cautions=cautions,
    )


def _gave_out_at(after: Callable[[float], Starch], minutes: float) -> float:
    """The share converted when the enzymes were first all but gone, within these minutes."""
    steps = math.ceil(minutes / starches.LONGEST_STEP_MINUTES)
    for step in range(1, steps):
        found = after(step * starches.LONGEST_STEP_MINUTES)
        if found.stalled:
            return found.converted
    return after(minutes).converted


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
        assumes=(Line("usual figures of each kind: a maltster's sheet is better"),),
        source=f"{grain.LINTNER}; 30 and 70 Lintner as limits: common practice, no source",
        cautions=tuple(
            Line(f"{name} has to be boiled first: uncooked it does not convert, whatever the enzymes.")
            for name in cooks
        ),
    )


def next_move(
    held: Sequence[tuple[float, float]],
    *,
    thickness_l_per_kg: float,
    crush: str,
    grain_kg: float | None = None,
) -> Working:
    """Working of overshoot.next_move after temperatures (degC) held for minutes, the last one now.

    With the weight of the grain, the fresh malt is told in kilograms.
    """
    now = starches.FRESH
    for celsius, minutes in held:
        now = starches.advance(now, celsius, minutes, thickness_l_per_kg=thickness_l_per_kg, crush=crush)
    found = overshoot.next_move(now, held[-1][0], thickness_l_per_kg=thickness_l_per_kg, crush=crush)
    answers = [
        Answer("move", "best next move", str(found.move)),
        Answer(
            "cool_to_celsius",
            "cool to",
            None if found.move in (Move.LEAVE_IT, Move.HOLD) else found.cool_to_celsius,
            "degC",
            otherwise="no need",
        ),
        Answer("malt_share", "fresh malt, of the grist", found.malt_share, "share", about=True),
    ]
    if grain_kg is not None:
        answers.append(
            Answer("malt_kilograms", "that is, fresh malt", found.malt_share * grain_kg, "kg", about=True)
        )
    answers += [
        Answer(
            "attenuation_held_percent",
            "attenuation after an hour there",
            found.attenuation_held_percent,
            "%",
            about=True,
        ),
        Answer(
            "attenuation_with_malt_percent",
            "with the malt",
            found.attenuation_with_malt_percent,
            "%",
            about=True,
        ),
    ]
    return Working(
        answers=tuple(answers),
        formulas=("the model, held for an hour as it is, and with fresh malt averaged in",),
        inputs=(Figure("thickness", thickness_l_per_kg, "L/kg"),),
        steps=(
            line("converted {}", (now.converted, "share")),
            line("alpha-amylase left {}", (now.alpha, "share")),
            line("beta-amylase left {}", (now.beta, "share")),
            Line(f"{found.move}: {found.move.advice}"),
        ),
        assumes=(
            Line(f"{crush} crush; the fresh malt is as strong as the first was"),
            Line(starches.TRUST),
        ),
        source=f"{starches.BRANDAM}; the limits between the moves: judgement, no source",
    )


def bottled(name: str, grain_kg: float, celsius: float | None, ph_at_20: float | None) -> Working:
    """Working of enzymes.dose_grams, and of enzymes.verdict where the mash's temperature is known."""
    kind = enzymes.enzyme(name)
    low, high = enzymes.dose_grams(name, grain_kg)
    answers = [
        Answer("least_grams", f"{name}, at least", low, "g", about=True),
        Answer("most_grams", f"{name}, at most", high, "g", about=True),
    ]
    steps = [
        Line(f"it {kind.does}"),
        line("goes in at {} to {}", (kind.adds_at[0], "degC"), (kind.adds_at[1], "degC")),
        line("destroyed above {}", (kind.destroyed_above, "degC")),
        Line(f"likes a pH of {_span(kind.ph)}, works at {_span(kind.ph_at_all)}"),
    ]
    found = None if celsius is None else enzymes.verdict(name, celsius, ph_at_20)
    answers.append(
        Answer("verdict", "now", None if found is None else str(found), otherwise="not asked: give --at")
    )
    if found is not None:
        steps.append(Line(f"{found}: {found.advice}"))
    return Working(
        answers=tuple(answers),
        formulas=("grams = dose * dry grain",),
        inputs=(Figure("grain", grain_kg, "kg"),),
        steps=tuple(steps),
        assumes=(
            Line("the label wins: strengths differ tenfold between makers"),
            Line("a liquid weighs about a gram for each millilitre"),
            Line("alpha-amylase first, then cool, then glucoamylase; never both in a hot mash"),
        ),
        source="; ".join(f"{figure.replace('_', ' ')}: {mark}" for figure, mark in kind.marks.items()),
    )


def _span(ends: tuple[float, float]) -> str:
    return f"{ends[0]:g} to {ends[1]:g}"
