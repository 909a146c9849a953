"""A sheet of paper for the day: a text file beside everything else, never over another one."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from mashday.session.faults import reason, shown

MOST_SHEETS = 99
_FLAGS = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)


class NoSheet(OSError):
    """The sheet could not be written; the text is a sentence for the person."""


def write_sheet(folder: Path, name: str, day: date, text: str) -> Path:
    """Writes the text to a fresh file "2026-10-03-NAME-plan.txt" of `folder` and returns its path.

    Raises NoSheet where the folder takes none.
    """
    for number in range(1, MOST_SHEETS + 1):
        more = "" if number == 1 else f"-{number}"
        path = folder / f"{day.isoformat()}-{name}-plan{more}.txt"
        try:
            with os.fdopen(os.open(path, _FLAGS, 0o644), "w", encoding="utf-8") as file:
                file.write(text)
        except FileExistsError:
            continue
        except OSError as fault:
            raise NoSheet(f"No sheet can be written in {shown(folder)}: {reason(fault)}.") from fault
        return path
    raise NoSheet(f"{shown(folder)} has {MOST_SHEETS} sheets of this day already; name another folder.")
