"""What an entry changes of the rest of the day is said in one line, and only then."""

from __future__ import annotations

import io
from datetime import UTC, datetime

from days import BARLEY, BEGAN, Day, starch

from mashday.engine import intents
from mashday.faces.carried import carried
from mashday.faces.moment import Moment
from mashday.faces.plain import PlainFace
from mashday.schedule.door import load
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import begin, moments


def after(day: Day, intent: intents.Intent) -> str:
    """The line for what this intent makes."""
    before, count = day.state, len(day.state.log)
    day.send(intent)
    now = Moment(day.schedule, day.state, day.t, moments(day.state))
    return carried(now, before, day.state.log[count:])


def resting() -> Day:
    return Day(load(BARLEY)).to_step(4).after(minutes=6)


def test_water_comes_off_the_sparge() -> None:
    line = after(resting(), intents.AddWater(1.0, "1 L at 95 C", 95.0))
    # a litre at 95 C is 0.9619 kg (IAPWS-95), 0.964 L cold: 7.5 L less that
    assert line.startswith("From here: sparge now 6.5 L")
    assert "first runnings about 1.0" in line and "done about" not in line


def test_more_time_moves_the_later_steps() -> None:
    day = resting()
    line = after(day, intents.Extend(20.0))
    ends = BEGAN.hour
    assert "Starch check about 1" in line and "done about 1" in line and ends == 10
    assert "sparge" not in line


def test_less_grain_before_the_dough_in_tells_the_new_strike() -> None:
    day = Day(load(BARLEY)).to_step(2)
    line = after(day, intents.GiveAmount("grain", 4.0, "4 kg"))
    assert line.startswith("From here: heat to 6")
    assert "wash about" in line


def test_a_failed_starch_check_moves_the_end() -> None:
    day = Day(load(BARLEY)).to_step(5)
    assert "done about" in after(day, starch(False))


def test_what_changes_nothing_is_not_told() -> None:
    day = resting()
    assert after(day, intents.WriteNote("lid on")) == ""
    assert after(day, intents.TakeReading("temperature", 63.0, "C", "63", 63.0)) == ""


def test_the_plain_face_tells_it_below_the_entry() -> None:
    session = begin(BARLEY, VirtualClock(datetime(2026, 10, 3, tzinfo=UTC)), folder=None, rehearsed=True)
    out = io.StringIO()
    face = PlainFace(session, out, Rehearsal(session))
    for line in ("start", "done", "keep it", "weighed 4.5 kg"):
        face.take(line)
    told = out.getvalue().splitlines()
    place = next(i for i, one in enumerate(told) if "instead of what was planned" in one)
    assert told[place + 1].strip().startswith("From here: heat to ")
