"""How a call insists: the longer nobody answers, the oftener and the more strokes. It never gives up.

The pauses are judgement, no source; what grows with time follows the graded signals of IEC 60601-1-8, where
the more urgent one is the more frequent one.
"""

from __future__ import annotations

import math
from typing import Literal

Urgency = Literal["soon", "now", "danger"]

GROWS_AFTER_SECONDS = (120.0, 300.0)
"""Seconds after which a call nobody has answered insists more, and then as much as it ever does."""
PAUSES_SECONDS = (30.0, 15.0, 10.0)
DANGER_SECONDS = 5.0
STROKES = (1, 2, 3)
WORDS_FOR_STROKES = 4.0
"""A line of words comes more seldom than a bell, by this factor: it takes longer to hear out."""


def level(urgency: Urgency, seconds: float) -> int:
    """How insistent a call is that has stood unanswered for so many seconds: 0, 1 or 2."""
    if urgency == "soon":
        return 0
    return sum(seconds >= bound for bound in GROWS_AFTER_SECONDS)


def pause_seconds(urgency: Urgency, seconds: float) -> float:
    """Seconds until it makes itself heard again; a heads-up is heard once."""
    if urgency == "soon":
        return math.inf
    return DANGER_SECONDS if urgency == "danger" else PAUSES_SECONDS[level(urgency, seconds)]


def strokes(urgency: Urgency, seconds: float) -> int:
    """Strokes of the bell each time."""
    return STROKES[level(urgency, seconds)]
