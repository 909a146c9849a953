"""A way of a remedy once it is taken: its stages one after the other, and which of them is now.

Water: pour the first portion, look, pour the rest, say what went in, stir, read. Heat, waiting and parts of
the mash: begin, end it when its minutes are over, stir, read. Each stage that takes time has its own timer.
"""

from __future__ import annotations

from collections.abc import Sequence

from mashday.engine import asks, calls
from mashday.engine import facts as f
from mashday.engine.state import Offer
from mashday.faces.moment import Moment
from mashday.faces.view import StageLine
from mashday.faces.ways import bag_first, time_said

SMALLEST_REST_LITRES = 0.05
"""A second portion smaller than this is not worth a stage of its own."""
READ = "read in two or three places"
STIR = "stir well, lid on; the next reading shows what it did"

_BEGIN = {
    "fire": "heat on, stirring all the time",
    "wait": "leave the lid on",
    "lid off": "take the lid off",
    "decoction": "draw off {pulled} of mash and boil it, stirring",
    "part out": "take out {pulled} of mash and stand it in cold water",
}
_END = {
    "fire": "heat off; stir",
    "wait": "stir",
    "lid off": "put the lid on; stir",
    "decoction": "stir it back in a ladle at a time",
    "part out": "stir it back in a ladle at a time",
}
CALLED = {
    "fire": "Heat off now",
    "lid off": "Lid on again now",
    "decoction": "Stir the boiled part back in: its minutes are over",
    "part out": "Stir the cooled part back in: its minutes are over",
}
"""What a call says when a way is over."""
TAKES_TIME = frozenset(_BEGIN)
"""The ways that are begun and ended. One by water that has no amount is only stirred and read: days of older
versions took it where it was not possible."""


def stages(now: Moment) -> tuple[StageLine, ...]:
    """The stages of the way under way, in their order; none where no way is."""
    under_way = calls.way_under_way(now.state) if now.state.phase == "running" else None
    if under_way is None:
        return ()
    texts = _texts(now, under_way[1])
    at = _place(now, *under_way, count=len(texts))
    return tuple(
        StageLine(text, "done" if place < at else "now" if place == at else "to come")
        for place, text in enumerate(texts)
    )


def told(now: Moment, way: f.RemedyOffered) -> str:
    """All the stages of a way in one line, for the log."""
    if way.way == "more time":
        return f"leave it as it is; it rests {time_said(way.minutes)} longer"
    return "; ".join(_texts(now, way))


def instruction(now: Moment) -> str:
    """The stage that is now, as the one thing to do; "" where no way is under way."""
    text = next((stage.text for stage in stages(now) if stage.mark == "now"), "")
    return text[:1].upper() + text[1:]


def timer(now: Moment) -> tuple[float, str] | None:
    """Seconds to the end of the stage that is now, and what they count to; None where no way is under way."""
    under_way = calls.way_under_way(now.state) if now.state.phase == "running" else None
    if under_way is None:
        return None
    offer, way = under_way
    running = now.state.running(now.t)
    ends = calls.way_ends(now.state, offer, way)
    if way.litres <= 0.0 and running < ends:
        return ends - running, f"to: {_END[way.way]}"
    ask = asks.question(now.schedule, now.state, now.t)
    if ask is None:
        return None
    seconds = ask.due - running
    if ask.quantity == "added water":
        return seconds, "to the look" if seconds > 0.0 else "since the look was due"
    return seconds, "of stirring, then read" if seconds > 0.0 else "since the reading was due"


def _texts(now: Moment, way: f.RemedyOffered) -> Sequence[str]:
    if way.way == "ice":
        all_of_it = now.litres(way.litres)
        return (
            f"stir in {now.kilograms(way.kilograms)} of clean ice by the handful, until it is melted",
            f"say how much water it made: {all_of_it} if it all went in",
            STIR,
            READ,
        )
    if way.litres > 0.0:
        return _water(now, way)
    if way.way not in TAKES_TIME:
        return (STIR, READ)
    pulled = now.measured(way.pulled_litres)
    about = time_said(way.minutes)
    first = bag_first(now.schedule) if way.way == "fire" else ""
    return (f"{first}{_BEGIN[way.way].format(pulled=pulled)}, about {about}", _END[way.way], READ)


def _water(now: Moment, way: f.RemedyOffered) -> Sequence[str]:
    very_hot = way.water_celsius is not None and way.water_celsius > 90.0
    kind = "boiling-hot" if very_hot else way.way.split()[0]
    boil = "boil it first; " if way.way == "hot water" and now.schedule.spare is None else ""
    rest = way.litres - way.first_litres
    tell = f"say how much went in ({now.litres(way.litres)} if all of it, 0 if none)"
    if rest < SMALLEST_REST_LITRES:
        return (f"{boil}pour in {now.measured(way.litres)} of {kind} water, stirring", tell, STIR, READ)
    expected = "" if way.first_celsius is None else f" for about {now.celsius(way.first_celsius)}"
    target = now.celsius(way.target_celsius)
    more = now.litres(rest)
    short = "below" if way.target_celsius > way.read_celsius else "above"
    return (
        f"{boil}pour in {now.measured(way.first_litres)} of {kind} water, stirring",
        f"look at the thermometer{expected}; {short} {target} pour up to {more} more; then {tell}",
        STIR,
        READ,
    )


def _place(now: Moment, offer: Offer, way: f.RemedyOffered, *, count: int) -> int:
    """Which stage is now, from 0."""
    running = now.state.running(now.t)
    if way.litres > 0.0 and now.state.untold is not None:
        assert offer.taken_run is not None
        return 0 if running < offer.taken_run + 60.0 * asks.POURING_MINUTES else 1
    if way.litres <= 0.0 and running < calls.way_ends(now.state, offer, way):
        return 0
    if way.way == "fire" and calls.fire_on(now.schedule, now.state, now.t) is not None:
        return 1
    due = asks.due(now.schedule, now.state, now.t)
    return count - 1 if due else count - 2
