"""The days past as their files tell them: which are told, which are named apart, what is to be changed."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from days import BARLEY, BEGAN

from mashday.engine import intents
from mashday.schedule.door import load
from mashday.session.clock import VirtualClock
from mashday.session.folder import sessions_in
from mashday.session.known import known_pot
from mashday.session.library import Day
from mashday.session.past import LONGEST_CHANGE, ToChange, Unread, kept, pots_of, to_change
from mashday.session.rehearsal import whole_day
from mashday.session.session import begin

SCHEDULE = load(BARLEY)
OTHER = BARLEY.replace("Lock Seven barley wash", "Lock Seven rye wash")
IN_ANOTHER_POT = OTHER.replace("lock-keeper's kettle", "tin bath")


def lived(
    folder: Path,
    days: int,
    change: str | None = None,
    *,
    text: str = BARLEY,
    rehearsed: bool = False,
    over: bool = True,
) -> Path:
    """A short day, so many days after the first."""
    clock = VirtualClock(BEGAN + timedelta(days=days))
    session = begin(text, clock, folder=folder, rehearsed=rehearsed)
    session.send(intents.Start())
    if over:
        session.send(intents.Finish(sure=True))
    if change is not None:
        session.send(intents.WriteClosingLine("change", change))
    session.close()
    assert session.path is not None
    return session.path


def test_days_are_told_latest_first_and_what_cannot_be_read_is_named_apart(tmp_path: Path) -> None:
    lived(tmp_path, 0)
    damaged = lived(tmp_path, 1)
    damaged.write_bytes(damaged.read_bytes().replace(b"day started", b"day starred"))
    lived(tmp_path, 2, rehearsed=True)
    (tmp_path / "2026-10-09-no-day.toml").write_text("a list of things\n")
    found = list(kept(tmp_path))
    assert [type(one) for one in found] == [Unread, Day, Unread, Day]
    assert [one.rehearsed for one in found if isinstance(one, Day)] == [True, False]


def test_only_days_from_a_date_on_are_read(tmp_path: Path) -> None:
    for days in range(3):
        lived(tmp_path, days)
    found = list(kept(tmp_path, BEGAN.date() + timedelta(days=1)))
    assert [one.path.name[:10] for one in found] == ["2026-10-05", "2026-10-04"]


def test_a_file_whose_day_went_on_in_another_is_not_told_twice(tmp_path: Path) -> None:
    first, second = lived(tmp_path, 0), lived(tmp_path, 1)
    first.with_name(f"{first.name}.moved").write_text(f"{second.name}\n")
    assert [one.path for one in kept(tmp_path)] == [second]


def test_pots_teach_what_the_next_day_in_them_begins_with(tmp_path: Path) -> None:
    for days in range(2):
        clock = VirtualClock(BEGAN + timedelta(days=days))
        session = begin(BARLEY, clock, folder=tmp_path, seed=4)
        whole_day(session, day=days + 1)
        session.close()
    lived(tmp_path, 5, text=IN_ANOTHER_POT)
    lived(tmp_path, 6, rehearsed=True)
    unbegun = begin(BARLEY, VirtualClock(BEGAN + timedelta(days=7)), folder=tmp_path)
    unbegun.close()
    lived(tmp_path, 8, text=IN_ANOTHER_POT, over=False)
    bath, kettle = pots_of(kept(tmp_path))
    assert (bath.name, bath.days, bath.known, bath.still_open) == ("tin bath", 2, None, 1)
    assert (kettle.name, kettle.days) == ("lock-keeper's kettle", 2)
    assert kettle.known == known_pot(tmp_path, "lock-keeper's kettle") is not None


def test_the_last_day_of_the_schedule_says_what_to_change(tmp_path: Path) -> None:
    assert to_change(tmp_path, SCHEDULE) is None
    lived(tmp_path, 0, "heat higher")
    lived(tmp_path, 1, "heat lower")
    lived(tmp_path, 2, "mill it finer", text=OTHER)
    lived(tmp_path, 3, "a rehearsed thing", rehearsed=True)
    lived(tmp_path, 4)
    found = to_change(tmp_path, SCHEDULE)
    assert found == ToChange(date(2026, 10, 4), "heat lower", same_schedule=True)
    assert str(found) == "To change, as written on 2026-10-04: heat lower"


def test_else_the_last_day_in_the_same_pot_says_it(tmp_path: Path) -> None:
    lived(tmp_path, 0, "mill it finer", text=OTHER)
    lived(tmp_path, 1, "patch the bath", text=IN_ANOTHER_POT)
    found = to_change(tmp_path, SCHEDULE)
    assert found == ToChange(date(2026, 10, 3), "mill it finer", same_schedule=False)
    assert "of another day in this pot: mill it finer" in str(found)


@pytest.mark.parametrize("spoiled", [b"day started", b"closing line"])
def test_a_damaged_day_changes_nothing(tmp_path: Path, spoiled: bytes) -> None:
    path = lived(tmp_path, 0, "heat higher")
    path.write_bytes(path.read_bytes().replace(spoiled, b"x" * len(spoiled)))
    assert to_change(tmp_path, SCHEDULE) is None


def test_a_long_change_is_cut_to_three_lines_and_is_clean(tmp_path: Path) -> None:
    lived(tmp_path, 0, "\x1b[2J" + "stir more " * 49)
    told = str(to_change(tmp_path, SCHEDULE))
    assert len(told) <= LONGEST_CHANGE and told.endswith("...") and told.isprintable()


def test_a_change_too_long_to_be_kept_is_none(tmp_path: Path) -> None:
    lived(tmp_path, 0, "stir more " * 60)
    assert to_change(tmp_path, SCHEDULE) is None


def test_looking_back_writes_nothing(tmp_path: Path) -> None:
    lived(tmp_path, 0, "heat higher")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    list(kept(tmp_path)), pots_of(kept(tmp_path)), to_change(tmp_path, SCHEDULE)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
    assert len(sessions_in(tmp_path)) == 1
