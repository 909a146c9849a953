"""Every area of rubbish by its name, and one case of it again."""

from __future__ import annotations

import tempfile
from pathlib import Path

import fuzz
import fuzz_beside
import fuzz_commands
import fuzz_days
import fuzz_keys
import fuzz_lines
import fuzz_schedules
import fuzz_sessions

AREAS: tuple[fuzz.Area, ...] = (
    *fuzz_schedules.AREAS,
    *fuzz_sessions.AREAS,
    *fuzz_days.AREAS,
    *fuzz_lines.AREAS,
    *fuzz_keys.AREAS,
    *fuzz_commands.AREAS,
    *fuzz_beside.AREAS,
)


def named(name: str) -> fuzz.Area:
    """The area of this name; KeyError if there is none."""
    return {area.name: area for area in AREAS}[name]


def again(name: str, number: int) -> None:
    """Does one case once more, and says what it was and what became of it."""
    area = named(name)
    print(repr(area.input_of(number))[: fuzz.LONGEST_SHOWN])
    with tempfile.TemporaryDirectory() as folder:
        print(fuzz.run(area, [number], Path(folder)).told())
