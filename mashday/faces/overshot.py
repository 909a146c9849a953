"""A mash that was read too hot, in words: what is left, and what to do about it."""

from __future__ import annotations

from mashday.engine import overshot
from mashday.faces.moment import Moment
from mashday.science.overshoot import Move


def lines(now: Moment) -> list[str]:
    """What is left of the enzymes and the best next move; none where the mash was not too hot."""
    found = overshot.overshot(now.schedule, now.state, now.t)
    if found is None:
        return []
    starch, best = found.starch, found.best
    told = [
        f"Too hot: about {100.0 * starch.released:.0f} % converted, alpha-amylase about"
        f" {100.0 * starch.alpha:.0f} % left, beta-amylase about {100.0 * starch.beta:.0f} %"
    ]
    if best.move is Move.LEAVE_IT:
        told.append(f"No harm done: {best.move.advice}")
        return told
    cool = f"Cool it to about {now.celsius(best.cool_to_celsius)}, stir and hold"
    held, helped = best.attenuation_held_percent, best.attenuation_with_malt_percent
    if best.malt_share > 0.0:
        malt = now.kilograms(found.malt_kg)
        told.append(
            f"{cool}; then {malt} of fresh malt would bring about {helped:.0f} % attenuation instead of"
            f" {held:.0f} %: part of the loss, not all of it"
        )
    else:
        told.append(f"{cool}: about {held:.0f} % attenuation after an hour")
    return told
