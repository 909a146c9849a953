"""What the desk has on show: told by the clock often, reckoned whole seldom, never behind what happened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from mashday.faces import telling
from mashday.faces.tui.showing import WHOLE_AGAIN_SECONDS, Sight

Days = Callable[[str], Any]


@pytest.mark.parametrize(
    "name", ["set-up", "heating", "resting", "called", "pouring", "heat-off", "soon", "starch", "held"]
)
def test_what_goes_by_the_clock_is_as_if_all_of_it_were_told_anew(day: Days, name: str) -> None:
    at = day(name)
    sight = Sight(at.session, None)
    for _ in range(40):
        at.clock.advance(1.0)
        shown, whole = sight.view(""), telling.view_of(at.session)
        slow = {"details": whole.details, "steps": whole.steps, "outlook": whole.outlook, "why": whole.why}
        assert replace(shown, **slow, curve=whole.curve) == whole
    assert WHOLE_AGAIN_SECONDS <= 5.0


def test_nothing_is_told_anew_while_nothing_has_changed(day: Days) -> None:
    at = day("resting")
    sight = Sight(at.session, None)
    first = sight.view("")
    assert sight.view("") is first
    at.clock.advance(1.0)
    assert sight.view("") is not first


def test_what_happened_shows_at_once(day: Days) -> None:
    at = day("resting")
    sight = Sight(at.session, None)
    assert sight.view("").remedy == ""
    at.say("61.0")
    assert sight.view("").remedy and sight.view("").ways


def test_a_doubt_shows_at_once_and_goes_at_once(day: Days) -> None:
    sight = Sight(day("resting").session, None)
    assert sight.view("so?").doubt == "so?" and sight.view("").doubt == ""
