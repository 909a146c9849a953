"""Whole rehearsed days, painted after every entry at a size that changes each time."""

from __future__ import annotations

from itertools import cycle

import pytest
from days import EVERY_SAMPLE

from mashday.engine.facts import Entry
from mashday.faces.tui.desk import Desk
from mashday.faces.tui.paint import paint
from mashday.faces.tui.rows import text_of, width_of
from mashday.schedule.samples import find
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin


@pytest.mark.parametrize("sample", EVERY_SAMPLE)
def test_every_moment_of_a_day_can_be_shown(sample: str) -> None:
    session = begin(find(sample)[1], VirtualClock(), folder=None, rehearsed=True, seed=7)
    desk = Desk(session)
    sizes = cycle([(60, 20), (80, 24), (120, 40), (200, 60), (20, 5)])
    seen: set[str] = set()

    def look(_: Entry) -> None:
        width, height = next(sizes)
        view = desk.view()
        rows = paint(desk.shown(view), width, height)
        assert len(rows) == height
        assert all(width_of(row) <= width for row in rows)
        text = text_of(rows)
        assert view.time_of_day in text
        seen.update(word for word in ("CALL", "takes one", "[>]", "●") if word in text)

    assert whole_day(session, look).finished
    assert {"[>]", "●"} <= seen
