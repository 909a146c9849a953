"""How a call insists: it grows with time, never gives up, and a heads-up is heard once."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.faces import insistence

SECONDS = st.floats(0.0, 86_400.0)


@given(SECONDS, SECONDS, st.sampled_from(["now", "danger"]))
def test_the_longer_it_stands_the_more_it_insists(one: float, other: float, urgency: str) -> None:
    sooner, later = sorted((one, other))
    assert insistence.level(urgency, sooner) <= insistence.level(urgency, later)  # type: ignore[arg-type]
    assert insistence.pause_seconds(urgency, sooner) >= insistence.pause_seconds(urgency, later)  # type: ignore[arg-type]
    assert insistence.strokes(urgency, sooner) <= insistence.strokes(urgency, later)  # type: ignore[arg-type]
    assert insistence.pause_seconds(urgency, later) <= 30.0  # type: ignore[arg-type]


@given(SECONDS)
def test_danger_is_never_more_patient_than_a_call(seconds: float) -> None:
    # IEC 60601-1-8: the more urgent signal is the more frequent one
    assert insistence.pause_seconds("danger", seconds) < insistence.pause_seconds("now", seconds)


@pytest.mark.parametrize("seconds", [0.0, 60.0, 600.0])
def test_a_heads_up_is_heard_once_and_stays_low(seconds: float) -> None:
    assert insistence.pause_seconds("soon", seconds) == math.inf and insistence.strokes("soon", seconds) == 1
