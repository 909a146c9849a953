"""Every state a call can be in, on the screen, by a clock moved by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mashday.engine import calls
from mashday.faces.tui.bell import Bell
from mashday.schedule.samples import sample_text

Days = Callable[[str], Any]
BOILED = sample_text("lock-seven-barley").replace(
    '[[step]]\nkind = "cool"', '[[step]]\nkind = "boil"\ntime = "20 min"\n\n[[step]]\nkind = "cool"'
)


def on(at: Any) -> list[tuple[str, str, bool, bool]]:
    """Kind, urgency, whether it rings and whether it is acknowledged, of each call."""
    found = calls.calls(at.session.schedule, at.session.state, at.session.t())
    return [(call.kind, call.urgency, call.rings, call.acknowledged) for call in found]


def boiling(day_of: Callable[[str], Any]) -> Any:
    """A day of a schedule with a boil, at its boil with the time running."""
    at = day_of(BOILED)
    at.say("start")
    while at.session.schedule.step(at.session.state.step).kind != "boil":
        at.say("skip")
    at.say("done")
    return at


def test_nothing_calls_until_it_is_due(day: Days) -> None:
    at = day("resting")
    assert on(at) == [] and "CALL" not in at.screen()


def test_a_reading_that_is_due_calls_until_it_is_given(day: Days) -> None:
    at = day("called")
    assert on(at) == [("ask", "now", True, False)] and "CALL  Mash temperature is due" in at.screen()
    at.type("63.0", "enter")
    assert on(at) == []


def test_a_call_that_was_heard_is_quiet_but_its_reading_stays_asked(day: Days) -> None:
    at = day("called")
    at.press("enter")
    assert on(at) == [("ask", "now", False, True)]
    assert "CALL" not in at.screen() and "Stir, then read" in at.screen()
    assert at.session.state.answered[-1].late_seconds == pytest.approx(90.0, abs=1.0)


@pytest.mark.parametrize("minutes", ["1", "2", "5"])
def test_a_snoozed_call_counts_down_and_comes_back_by_itself(day: Days, minutes: str) -> None:
    at = day("called")
    at.press("s", minutes)
    assert on(at) == [("ask", "now", False, False)] and f"(quiet {minutes}:00 more)" in at.screen()
    at.wait(60.0 * int(minutes) - 2.0)
    assert not on(at)[0][2] and "(quiet 0:0" in at.screen()
    at.wait(2.0)
    assert on(at)[0][2] and "quiet" not in at.screen()


def test_mute_is_broken_through_by_what_comes_due_after_it(day: Days) -> None:
    at = day("soon")
    at.press("m")
    assert on(at) == [("soon", "soon", False, False)]
    at.wait(85.0)  # the rest ends and the starch check begins by itself
    at.session.tick()
    assert any(rings for _, _, rings, _ in on(at)) and "has begun" in at.screen()


def test_a_heads_up_comes_two_minutes_before_and_gives_way_to_the_call(day: Days) -> None:
    at = day("soon")
    assert on(at)[0][:2] == ("soon", "soon") and "SOON  Rest: over in 1 min" in at.screen()
    at.wait(90.0)
    assert all(kind != "soon" for kind, *_ in on(at))


def test_a_boil_that_is_over_is_a_danger(day_of: Callable[[str], Any]) -> None:
    at = boiling(day_of)
    at.wait(20 * 60.0 - 1.0)
    assert [kind for kind, *_ in on(at)] == ["soon"]
    at.wait(1.0)
    assert on(at)[0] == ("time", "danger", True, False)
    assert "DANGER  Boil: time is up" in at.screen()


def test_heat_that_is_to_go_off_is_a_danger(day: Days) -> None:
    at = day("heat-off")
    assert on(at)[0][:3] == ("way", "danger", True) and "DANGER  Heat off" in at.screen()


def test_an_overdue_call_says_by_how_much_and_grows(day: Days) -> None:
    at = day("called")
    rows = at.screen().count("CALL")
    bars = [len(at.screen().split("CALL")[0].splitlines())]
    for _ in range(2):
        at.wait(200.0)
        bars.append(len(at.screen().split("CALL")[0].splitlines()))
    assert "8 min 10 s ago" in at.screen() and rows == 1
    assert bars[2] > bars[0]  # a bar of reverse video stands above it by now


def test_a_call_is_never_early_and_shows_within_a_second(day: Days) -> None:
    at = day("resting")
    due = calls.next_due(at.session.schedule, at.session.state)
    assert due is not None
    left = due - at.session.state.running(at.session.t())
    at.wait(left - 0.25)
    assert "CALL" not in at.screen()
    at.wait(0.25)
    assert "CALL" in at.screen()


def test_the_bell_rings_for_what_rings_and_for_nothing_else(day: Days) -> None:
    at, bell = day("called"), Bell()
    assert bell.rings(at.desk.view().calls, 0.0)
    at.press("s", "2")
    assert not bell.rings(at.desk.view().calls, 60.0)
    at.wait(120.0)
    assert bell.rings(at.desk.view().calls, 180.0)
    at.press("enter")
    assert not any(bell.rings(at.desk.view().calls, 180.0 + second) for second in range(600))
