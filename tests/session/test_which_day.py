"""Which of the days in a folder is the latest, and which is meant where none is named."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

from days import BARLEY, BEGAN

from mashday.engine import intents
from mashday.session.clock import VirtualClock
from mashday.session.folder import sessions_in
from mashday.session.library import meant
from mashday.session.session import begin


def lived(folder: Path, hours: float, *, begun: bool = True, over: bool = True) -> Path:
    """A day started so many hours after the first."""
    session = begin(BARLEY, VirtualClock(BEGAN + timedelta(hours=hours)), folder=folder)
    if begun:
        session.send(intents.Start())
    if over:
        session.send(intents.Finish(sure=True))
    session.close()
    assert session.path is not None
    return session.path


def test_what_is_written_later_makes_no_day_the_latest(tmp_path: Path) -> None:
    first, second, third = lived(tmp_path, 0), lived(tmp_path, 2), lived(tmp_path, 24)
    now = BEGAN.timestamp()
    for seconds, path in enumerate((third, second, first)):
        os.utime(path, (now + seconds, now + seconds))
    assert sessions_in(tmp_path) == (third, second, first)
    assert meant(tmp_path, None) == third


def test_a_file_that_does_not_say_when_it_was_started_goes_by_its_last_writing(tmp_path: Path) -> None:
    first, second = lived(tmp_path, 0), lived(tmp_path, 2)
    untold = first.with_name(f"{first.name[:10]}-untold.toml")
    untold.write_text("started = yesterday\n")
    between = (BEGAN + timedelta(hours=1)).timestamp()
    os.utime(untold, (between, between))
    assert sessions_in(tmp_path) == (second, untold, first)


def test_a_name_without_a_day_of_the_calendar_is_no_session(tmp_path: Path) -> None:
    path = lived(tmp_path, 0)
    for name in ("2026-13-45-a-day.toml", "2026-02-30-a-day.toml", "0000-01-01-a-day.toml"):
        (tmp_path / name).write_bytes(path.read_bytes())
    assert sessions_in(tmp_path) == (path,)


def test_a_day_that_was_never_begun_is_meant_only_where_there_is_no_other(tmp_path: Path) -> None:
    unbegun = lived(tmp_path, 24, begun=False, over=False)
    given_up = lived(tmp_path, 25, begun=False)
    assert meant(tmp_path, None) == given_up
    begun = lived(tmp_path, 0)
    assert meant(tmp_path, None) == begun
    assert meant(tmp_path, None, unfinished=True) == unbegun
