"""A failed starch check in words: the likeliest cause, the others, and what else may be looked at."""

from __future__ import annotations

from mashday.engine import starch_left
from mashday.faces.moment import Moment, minutes
from mashday.science import ph


def likeliest(now: Moment) -> str:
    """What to do about the likeliest cause of starch that is left."""
    return _said(now, starch_left.advice(now.schedule, now.state, now.t)[0])


def hints(now: Moment) -> list[str]:
    """The further causes of starch that is left, and what else may be looked at; none after a pass."""
    checks = now.state.valid("starch", now.state.step)
    told = []
    if checks and not checks[-1].fact.passed:
        further = starch_left.advice(now.schedule, now.state, now.t)[1:]
        told += [f"Also: {_said(now, one)}" for one in further]
        low, high = ph.WANTED_AT_20
        told.append(f"The pH of a cooled sample should be {low} to {high}; husk and flour specks stay blue")
    if starch_left.on_the_grain(now.schedule):
        told.append("On the grain red-brown is enough: the rest converts in the fermenter")
    return told


def _said(now: Moment, one: starch_left.Advice) -> str:
    match one.cause:
        case "uncooked":
            return f"{one.name} went in uncooked; only boiling opens it, waiting does not"
        case "no enzyme":
            malt = now.kilograms(one.value)
            return f"the enzymes are all but gone; stir in {malt} of crushed malt, or alpha-amylase"
        case "weak grist":
            malt = now.kilograms(one.value)
            return f"the grist is weak in enzymes; {malt} more malt, or alpha-amylase, would do"
        case "too cool":
            return f"the mash is too cool; bring it to {now.celsius(one.value)}, stir, and check again"
        case "too hot":
            return f"the mash is too hot; cool it to {now.celsius(one.value)}, stir, and check again"
        case "go on":
            return f"after {minutes(one.value)} and two checks waiting is no more use; go on"
    return "stir, break the lumps, read in three places, and check again"
