"""The starch check: what the colour of a drop of iodine means."""

from __future__ import annotations

from enum import StrEnum

from mashday.science.limits import within

_SOURCE = "Noonan 1996, relayed; limits of conversion: judgement, no source"

FALSE_BLUE = ("husk or flour in the drop", "grits the mash has not reached", "the plate or paper itself")
"""What turns blue although the mash is done. Trade notes, relayed."""

FALSE_YELLOW = (
    "the sample was hot",
    "the sample was alkaline or held sulphite or ascorbic acid",
    "clear liquid was taken from above lumps that are still dry",
)
"""What stays yellow although starch is left. From memory."""


class Colour(StrEnum):
    """Colour of a cooled drop of mash liquid with iodine, against pure iodine on the same plate."""

    BLUE_BLACK = "blue-black"
    RED_BROWN = "purple to red-brown"
    YELLOW = "yellow"

    @property
    def meaning(self) -> str:
        """What the colour tells. Noonan 1996, relayed."""
        return _MEANINGS[self]

    @property
    def advice(self) -> str:
        """What to do. Common practice, no source."""
        return _ADVICE[self]

    @property
    def least_converted(self) -> float:
        """Share of the starch converted at least, 0-1. Judgement from mashes measured beside iodine."""
        return _LEAST[self]

    def good_enough(self, on_the_grain: bool) -> bool:
        """Whether the mash may go on: on the grain large dextrins still convert in the fermenter."""
        return self is Colour.YELLOW or (on_the_grain and self is Colour.RED_BROWN)


_MEANINGS = {
    Colour.BLUE_BLACK: "starch is left: not done",
    Colour.RED_BROWN: "large dextrins are left: nearly done, hold 10 to 15 minutes more",
    Colour.YELLOW: "no starch is left that iodine shows; the last of the extract may still be coming",
}
_ADVICE = {
    Colour.BLUE_BLACK: (
        "stir, break the lumps, read the temperature in three places and test again in 15 to 20 minutes; "
        "raw grain that was not cooked stays blue until it is"
    ),
    Colour.RED_BROWN: "wait 10 to 15 minutes and test again; a mash fermented on the grain may go on",
    Colour.YELLOW: "go on",
}
_LEAST = {Colour.BLUE_BLACK: 0.0, Colour.RED_BROWN: 0.8, Colour.YELLOW: 0.9}


def expected_colour(converted: float) -> Colour:
    """Colour to expect when a share of the starch is converted.

    Iodine goes negative before the extract is complete: 90 % of it was there when a measured mash first
    stayed yellow at 30 minutes (Troester 2011).

    Formula: table: yellow from 0.9 on, red-brown from 0.8 on
    Takes: converted 0..1
    Gives: a Colour
    Source: Troester 2011, a measured mash, for 0.9; 0.8: judgement, no source
    Example: expected_colour(0.95) = yellow
    """
    share = within("share converted", converted, 0.0, 1.0, "", _SOURCE)
    if share >= Colour.YELLOW.least_converted:
        return Colour.YELLOW
    return Colour.RED_BROWN if share >= Colour.RED_BROWN.least_converted else Colour.BLUE_BLACK
