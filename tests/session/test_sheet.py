"""The sheet of paper: a fresh file, never over another one, never through a link."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest

from mashday.session.sheet import NoSheet, write_sheet

DAY = date(2026, 10, 3)


def test_each_sheet_is_a_file_of_its_own(tmp_path: Path) -> None:
    names = [write_sheet(tmp_path, "lock-seven", DAY, f"sheet {n}").name for n in range(3)]
    assert names == [
        "2026-10-03-lock-seven-plan.txt",
        "2026-10-03-lock-seven-plan-2.txt",
        "2026-10-03-lock-seven-plan-3.txt",
    ]
    assert (tmp_path / names[1]).read_text(encoding="utf-8") == "sheet 1"


def test_a_link_that_lies_there_is_not_followed(tmp_path: Path) -> None:
    aim = tmp_path / "aim"
    os.symlink(aim, tmp_path / "2026-10-03-x-plan.txt")
    assert write_sheet(tmp_path, "x", DAY, "text").name == "2026-10-03-x-plan-2.txt"
    assert not aim.exists()


def test_a_folder_that_is_none_is_said(tmp_path: Path) -> None:
    with pytest.raises(NoSheet, match="No sheet can be written in"):
        write_sheet(tmp_path / "nowhere", "x", DAY, "text")


def test_a_hundred_sheets_of_a_day_are_enough(tmp_path: Path) -> None:
    for _ in range(99):
        write_sheet(tmp_path, "x", DAY, "")
    with pytest.raises(NoSheet, match="99 sheets"):
        write_sheet(tmp_path, "x", DAY, "")
