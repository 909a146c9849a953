"""The power is cut at any moment on real file systems: what was told as saved is there after the restart.

Each restart is of the image as the device had it at the cut, so what was never flushed is gone. The same day
goes on after each. A writer that does not flush is cut too, and has to be caught.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import acknowledging
import pytest
from killable import TO_THE_REST, Shed
from power_cut import MEGABYTES, Cuttable, NotHere, cuttable

from mashday.session.clock import SystemClock
from mashday.session.faults import JournalFault
from mashday.session.moved import noted
from mashday.session.session import look, resume

pytestmark = pytest.mark.proof

CUTS, CUTS_OF_A_FILE = 40, 5
CUTS_OF_THE_PROGRAM = 12
CUTS_OF_A_BAD_WRITER = 12
SHORTEST_SECONDS, LONGEST_SECONDS = 0.01, 0.2
PAUSE_SECONDS = 0.1
"""So long a writer may wait after it told of a copy: nothing it does meanwhile brings that to the disk."""


@pytest.fixture(params=sorted(MEGABYTES))
def disk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Cuttable]:
    try:
        with cuttable(request.param, tmp_path) as made:
            yield made
    except NotHere as why:
        pytest.skip(str(why))


@dataclass(slots=True)
class Told:
    """What a writer told by the cut: how many notes there are, how many the copy holds, where the day is."""

    notes: int
    file: Path | None
    copied: int = 0
    wholes: list[Path] = field(default_factory=list)

    def take(self, line: str) -> None:
        """Takes in one line."""
        word, _, rest = line.partition(" ")
        if word == "note":
            self.notes = int(rest) + 1
        elif word == "copied":
            self.copied = int(rest)
        else:
            self.wholes.append(Path(rest))
            self.file, self.copied = self.wholes[-1], 0


def written(
    place: Path, told: Told, chance: random.Random, *left_out: str, pause_seconds: float = 0.0
) -> None:
    """Lets a writer write for a moment, kills it, and takes in what it told."""
    words = [sys.executable, acknowledging.__file__, str(place), str(pause_seconds), *left_out]
    path = os.pathsep.join([str(Path(acknowledging.__file__).parent), *sys.path[:1], *_python_path()])
    writer = subprocess.Popen(words, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": path})
    assert writer.stdout is not None
    first = writer.stdout.readline()
    time.sleep(chance.uniform(SHORTEST_SECONDS, LONGEST_SECONDS))
    writer.kill()
    rest = writer.stdout.read()
    writer.wait()
    assert first, "the writer could not write"
    for line in (first + rest).decode().split("\n")[:-1]:
        told.take(line)


def _python_path() -> list[str]:
    return os.environ.get("PYTHONPATH", "").split(os.pathsep)


def notes_of(path: Path) -> int:
    """How many notes a file holds, in order from the first on; none if it is not there or not a day."""
    try:
        _, state, recovered = look(path)
    except JournalFault:
        return 0
    assert recovered.damage is None
    assert [note.text for note in state.notes] == [f"note {i}" for i in range(len(state.notes))]
    return len(state.notes)


def newest(folder: Path) -> Path:
    """The file of the folder that holds most of the day; of two alike the one it went on in."""
    return max(folder.glob("*.toml"), key=lambda path: (notes_of(path), noted(path) is None))


def test_a_power_cut_takes_nothing_that_was_told_as_saved(
    disk: Cuttable, proved: Callable[..., None]
) -> None:
    chance = random.Random(f"cut {disk.kind}")
    saved = copies = wholes = beyond = torn = 0
    place, before = disk.mount, 0
    for number in range(CUTS):
        if number % CUTS_OF_A_FILE == 0:
            place, before = disk.mount / f"shed {number}", 0
            place.mkdir()
            os.sync()
        told = Told(before, place if place.is_file() else None)
        written(place, told, chance, pause_seconds=PAUSE_SECONDS * (number % 2))
        disk.cut()
        folder = place.parent if place.is_file() else place
        told.file = told.file or newest(folder)
        assert notes_of(told.file) >= told.notes, f"{told.notes - notes_of(told.file)} notes lost"
        assert all(notes_of(path) for path in told.wholes)
        copy = told.file.with_name(f"{told.file.name}.bak")
        if told.copied:
            assert notes_of(copy) >= told.copied
        saved, before = saved + told.notes - before, notes_of(told.file)
        copies, wholes = copies + (told.copied > 0), wholes + len(told.wholes)
        beyond += before - told.notes
        place = newest(folder)
        session = resume(place, SystemClock())
        torn += session.torn is not None
        before = len(session.state.notes)
        session.close()
    proved(
        f"power cut on {disk.kind}, a fast writer",
        cases=CUTS,
        lost=0,
        seen=f"{saved:,} notes, {copies} copies, {wholes} whole days told; {beyond} more notes, {torn} torn",
    )


def test_a_power_cut_takes_nothing_the_program_told_as_entered(
    disk: Cuttable, proved: Callable[..., None]
) -> None:
    chance = random.Random(f"program {disk.kind}")
    kept = 0
    shed = Shed(disk.mount)
    os.sync()
    day = shed.run()
    day.say(*TO_THE_REST)
    for turn in range(CUTS_OF_THE_PROGRAM):
        day.until("Step 4 of 9")
        for number in range(chance.randint(1, 30)):
            day.say(f"note turn {turn} {number}")
            time.sleep(chance.choice((0.0, 0.0, 0.02)))
        day.until("Note: turn")
        time.sleep(chance.uniform(0.0, 0.2))
        day.kill()
        told = re.findall(rf"Note: (turn {turn} \d+)", day.told)
        disk.cut()
        state = shed.state()
        texts = [note.text for note in state.notes if note.text.startswith(f"turn {turn} ")]
        assert texts[: len(told)] == told
        assert len(texts) <= len(told) + 1
        assert (state.step, state.phase) == (4, "running")
        copy = shed.file.with_name(f"{shed.file.name}.bak")
        assert look(copy)[1].record(3) is not None
        kept += len(told)
        day = shed.resume()
        day.until("Back after")
    shed.ended()
    proved(
        f"power cut on {disk.kind}, the program in plain lines",
        cases=CUTS_OF_THE_PROGRAM,
        lost=0,
        seen=f"{kept:,} notes told; the copy of the last step was there each time",
    )


@pytest.mark.parametrize("left_out", ["flush", "folder-flush"])
def test_a_writer_that_does_not_flush_is_caught(
    disk: Cuttable, left_out: str, proved: Callable[..., None]
) -> None:
    chance = random.Random(f"bad {disk.kind}")
    caught = 0
    for number in range(CUTS_OF_A_BAD_WRITER):
        place = disk.mount / f"shed {number}"
        place.mkdir()
        os.sync()
        told = Told(0, None)
        written(place, told, chance, left_out, pause_seconds=PAUSE_SECONDS)
        disk.cut()
        file = told.file or next(iter(place.glob("*.toml")), place / "none")
        lost = notes_of(file) < told.notes or not all(path.exists() for path in told.wholes)
        stale = told.copied and notes_of(file.with_name(f"{file.name}.bak")) < told.copied
        caught += bool(lost or stale)
    assert caught >= CUTS_OF_A_BAD_WRITER // 3
    proved(
        f"power cut on {disk.kind}, a writer without the {left_out.replace('-', ' ')}",
        cases=CUTS_OF_A_BAD_WRITER,
        seen=f"caught losing in {caught}, as it has to be",
    )
