"""After a mash got too hot: what is left, and the best next move."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from mashday.science import starch as starches
from mashday.science.limits import within
from mashday.science.starch import BRANDAM, Starch

COOL_TO_CELSIUS = 62.5
"""Where a mash that got too hot is best held: the optimum of Hamilton and Lewis 1974."""

WARM_ENOUGH_CELSIUS = 63.0
"""A mash no warmer than this need not be cooled. Judgement: beta-amylase halves in 24 min there."""

WORTH_MALT_PERCENT = 5.0
"""Points of attenuation for which fresh malt is worth stirring in: what the model is good to. Judgement."""

HOLD_MINUTES = 60.0
"""How long it is then held. Common practice, no source."""

MALT_SHARE = 0.2
"""Fresh malt that is worth stirring in, a share of the grist: 0.1-0.2. Judgement from the model."""


class Move(StrEnum):
    """The best next move."""

    LEAVE_IT = "leave it"
    HOLD = "hold"
    COOL_AND_HOLD = "cool and hold"
    COOL_AND_ADD = "cool, then add malt or enzyme"
    NOT_ENOUGH_LEFT = "not enough enzyme left"

    @property
    def advice(self) -> str:
        """The move in a sentence."""
        return _ADVICE[self]


_ADVICE = {
    Move.LEAVE_IT: "it is as good as converted: hold as planned",
    Move.HOLD: "it is no longer too hot: hold it as planned and check the starch",
    Move.COOL_AND_HOLD: "cool it now, stir, and hold; what is lost is lost, and it is little",
    Move.COOL_AND_ADD: (
        "cool it first, then stir in fresh crushed malt; glucoamylase in the cooled wash does more. "
        "It mends part of the loss, not all of it"
    ),
    Move.NOT_ENOUGH_LEFT: "it cannot finish by itself: cool it, then add malt or alpha-amylase",
}


@dataclass(frozen=True, slots=True)
class NextMove:
    """What to do after an overshoot, and what it is worth after an hour: apparent attenuation of the wort, %.

    malt_share: fresh malt to stir in, a share of the grist's mass; 0 where it would not help.
    """

    move: Move
    cool_to_celsius: float
    malt_share: float
    attenuation_held_percent: float
    attenuation_with_malt_percent: float


def next_move(
    starch: Starch, celsius: float, *, thickness_l_per_kg: float, crush: str = "normal"
) -> NextMove:
    """The best next move for a mash that got too hot, from what is left of its starch and enzymes.

    Early it is dear, after half an hour nearly free. Malt repairs beta-amylase only in part: 10 minutes at
    74 degC from dough-in leave about 58 of 85 points of attenuation, a fifth of fresh malt brings 69.

    Formula: the model held at 62.5 degC for 60 min, as it is and with a fifth of fresh malt
    Takes: starch a Starch; celsius 0..102 degC; thickness_l_per_kg 0.8..20 L/kg; crush one of starch.CRUSHES
    Gives: a NextMove
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52, reduced; the limits of the moves are judgement
    Example: next_move(starch.Starch(0.95, 0.6, 0.8, 0.3), 70.0, thickness_l_per_kg=3.0).move = leave it
    """
    within("mash temperature", celsius, 0.0, 102.0, "degC", BRANDAM)
    mash = {"thickness_l_per_kg": thickness_l_per_kg}
    held = starches.advance(starch, COOL_TO_CELSIUS, HOLD_MINUTES, crush=crush, **mash)
    helped = starches.advance(
        starches.with_fresh_malt(starch, MALT_SHARE), COOL_TO_CELSIUS, HOLD_MINUTES, crush=crush, **mash
    )
    gained = helped.attenuation_limit_percent - held.attenuation_limit_percent
    move = _move(starch, celsius, gained)
    return NextMove(
        move=move,
        cool_to_celsius=min(celsius, COOL_TO_CELSIUS),
        malt_share=MALT_SHARE if move in (Move.COOL_AND_ADD, Move.NOT_ENOUGH_LEFT) else 0.0,
        attenuation_held_percent=held.attenuation_limit_percent,
        attenuation_with_malt_percent=helped.attenuation_limit_percent,
    )


def _move(starch: Starch, celsius: float, gained_percent: float) -> Move:
    if starch.stalled:
        return Move.NOT_ENOUGH_LEFT
    if gained_percent >= WORTH_MALT_PERCENT and starch.beta < 0.1:
        return Move.COOL_AND_ADD
    if starch.released >= 0.98 or (starch.alpha >= 0.4 and starch.released >= 0.9):
        return Move.LEAVE_IT
    return Move.COOL_AND_HOLD if celsius > WARM_ENOUGH_CELSIUS else Move.HOLD


def left_after(celsius: float, minutes: float) -> tuple[float, float]:
    """Shares of alpha- and beta-amylase that live through so many minutes at a temperature.

    Formula: exp(-k t) for each
    Takes: celsius 0..102 degC; minutes 0..2880 min
    Gives: share of alpha-amylase, share of beta-amylase
    Source: Brandam et al. 2003, Biochem. Eng. J. 13:43-52; beta-amylase taken 2 K cooler
    Example: left_after(70.0, 2.0) = (0.94, 0.31)
    """
    at = within("mash temperature", celsius, 0.0, 102.0, "degC", BRANDAM)
    time = within("time", minutes, 0.0, 2880.0, "min", BRANDAM)
    alpha, beta = starches.alpha_death_per_minute(at), starches.beta_death_per_minute(at)
    return math.exp(-alpha * time), math.exp(-beta * time)
