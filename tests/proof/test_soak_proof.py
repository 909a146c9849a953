"""Minutes of real time beside a busy machine and a slow disk: every call in its second, on both faces.

When a call is due follows from the session file and the clock that counts sleep; when it is told is when the
test reads it. `MASHDAY_SOAK_MINUTES` says how long the soak lasts, 5 if left out.
"""

from __future__ import annotations

import math
import os
import random
import resource
import select
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median, quantiles

import pytest
from beside_a_load import load
from killable import FACES, Face, OnScreen, Shed, elapsed, sheds_in
from sent_lines import Kept
from traced import traced_or_skipped, with_a_slow_flush

from mashday.engine import facts as f

pytestmark = pytest.mark.proof

MINUTES = float(os.environ.get("MASHDAY_SOAK_MINUTES", "5"))
BUSY = 3
REST_SECONDS, MOST_LATE_SECONDS = 6.0, 1.0
SHORTEST_MINUTES, LONGEST_MINUTES = 0.03, 0.08
SLOW_MINUTES, SLOW_SECONDS = 1.0, 1.0
AHEAD_SECONDS = 0.7
"""So long before a call a note is told, whose flush is then under way."""
DAYS_OF_A_FACE = 2
STEPS_BY_ITSELF, FULL_MINUTES = 3, 0.25
STEP_EVERY = 8
"""After so many calls the step is over and the next rest begins."""
WRITTEN_SECONDS = 0.001
"""Times stand in the file to the millisecond."""
MANY_RESTS = (
    """
format = 1
name = "Lock Seven many rests"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
"""
    + 60 * '[[step]]\nkind = "rest"\ntarget = "63 C"\ntime = "0.1 min"\nconfirm = true\n'
)


@pytest.fixture
def shed_of(tmp_path: Path) -> Iterator[Callable[..., Shed]]:
    with sheds_in(tmp_path, MANY_RESTS) as fresh:
        yield fresh


class Soaked:
    """A day that is answered each time it calls.

    One that `overlaps` is told a note just before each call, so that it is saving when that is due.
    """

    def __init__(self, shed: Shed, day: Face, chance: random.Random, *, overlaps: bool = False) -> None:
        self.shed = shed
        self.day = day
        self.called_at: list[float] = []
        """When each call was heard, by `elapsed`."""
        self.saved_after: list[float] = []
        """Seconds from each answer to the word that it is entered."""
        self.was_saving = False
        self._on_screen = isinstance(day, OnScreen)
        self._chance = chance
        self._overlaps = overlaps
        self._seen = self._told_before = 0
        self._said_at = elapsed()
        self._waits_for = ""
        self._to_say: list[tuple[str, str]] = []
        self._due = self._noted = math.inf

    def begin(self) -> None:
        """Begins the day."""
        self.day.tells("egin the day" if self._on_screen else "Say 'start'")
        self._say([("start", "The day has begun")])

    def look(self) -> None:
        """Takes in what has been told: a call is answered, an answer that is told is done with."""
        assert self.day.hear(0.0), self.day.told
        self.was_saving |= "saving..." in self.day.told
        if self._waits_for:
            if self._is_told():
                self.saved_after.append(self.day.heard_at - self._said_at)
                self._say(self._to_say)
        elif self.day.called() > self._seen:
            self.called_at.append(self.day.heard_at)
            self._answer()

    def moment(self) -> None:
        """Tells it a note if its call is near, and it is to be saving then."""
        if self._overlaps and self._noted != self._due and elapsed() >= self._due - AHEAD_SECONDS:
            self.day.say(f"note before call {len(self.called_at) + 1}")
            self._noted = self._due

    def _is_told(self) -> bool:
        if self._on_screen:
            return self._waits_for in self.day.told and (bool(self._to_say) or not self.day.called())
        return self.day.told.count(self._waits_for) > self._told_before

    def _answer(self) -> None:
        turn = len(self.called_at)
        if turn % STEP_EVERY == 0:
            self._say([("temp 63.0", "Reading"), ("done", f"Step {turn // STEP_EVERY + 1} of 60")])
        else:
            minutes = self._chance.uniform(SHORTEST_MINUTES, LONGEST_MINUTES)
            self._say([(f"more {minutes:.4f}", "more for Rest")])

    def _say(self, lines: list[tuple[str, str]]) -> None:
        """Says the first of these lines; the next once it is told, by the words beside it."""
        if lines:
            (line, self._waits_for), *self._to_say = lines
            self._said_at, self._due = elapsed(), math.inf
            self._told_before = self.day.told.count(self._waits_for)
            self.day.say(line)
        else:
            self._waits_for, self._seen = "", 0 if self._on_screen else self.day.called()
            if self._overlaps:
                self._due = Kept(self.shed.file).due_at()

    def late(self, file: Path | None = None) -> list[float]:
        """How late each call was against the moment it was due, by what the file says was begun and given."""
        kept, due = Kept(file or self.shed.file), []
        for entry in kept.entries:
            if isinstance(entry.fact, f.StepBegun):
                due.append(entry.t + REST_SECONDS)
            elif isinstance(entry.fact, f.StepExtended):
                due.append(due[-1] + 60.0 * entry.fact.minutes)
        return [heard - t + kept.t(0.0) for heard, t in zip(self.called_at, due, strict=False)]


def soaked(days: list[Soaked], minutes: float) -> None:
    """Answers the calls of these days for so many minutes."""
    ends = elapsed() + 60.0 * minutes
    while elapsed() < ends:
        ready = select.select([one.day.fd for one in days], [], [], 0.05)[0]
        for one in days:
            if one.day.fd in ready:
                one.look()
            one.moment()


def in_time(late: list[float]) -> None:
    """No call early, none more than a second late."""
    assert min(late) >= -WRITTEN_SECONDS, f"early: {sorted(late)[:3]}"
    assert max(late) <= MOST_LATE_SECONDS, f"late: {sorted(late)[-3:]}"


def row(late: list[float]) -> str:
    """Median, 99th percentile and most, in seconds."""
    return f"{median(late):.2f} / {quantiles(late, n=100, method='inclusive')[98]:.2f} / {max(late):.2f} s"


def test_beside_a_busy_machine_every_call_of_both_faces_comes_in_its_second(
    shed_of: Callable[..., Shed], tmp_path: Path, proved: Callable[..., None]
) -> None:
    chance = random.Random(4400)
    days: dict[str, list[Soaked]] = {}
    for face in FACES * DAYS_OF_A_FACE:
        shed = shed_of()
        days.setdefault(face, []).append(Soaked(shed, shed.begin(face), chance))
    everyone = [one for ones in days.values() for one in ones]
    for one in everyone:
        one.begin()
    with load(BUSY, tmp_path):
        soaked(everyone, MINUTES)
    for face, ones in days.items():
        late = [seconds for one in ones for seconds in one.late()]
        assert all(len(one.called_at) >= 5.0 * MINUTES for one in ones)
        in_time(late)
        proved(
            f"{MINUTES:g} min beside {BUSY} busy processes and a flushing one, {face}",
            cases=len(late),
            late=row(late),
            seen="late: median, 99th percentile, most; none early",
        )


def test_beside_a_slow_disk_the_calls_come_in_time_and_nothing_is_told_before_it_is_saved(
    shed_of: Callable[..., Shed], proved: Callable[..., None]
) -> None:
    traced_or_skipped()
    chance, before = random.Random(4401), with_a_slow_flush(SLOW_SECONDS)
    ones = {
        face: Soaked(shed, shed.begin(face, before=before), chance, overlaps=True)
        for face in FACES
        for shed in [shed_of()]
    }
    for one in ones.values():
        one.begin()
    soaked(list(ones.values()), SLOW_MINUTES)
    for face, one in ones.items():
        late = one.late()
        in_time(late)
        assert min(one.saved_after) >= SLOW_SECONDS
        assert one.was_saving == (face != FACES[0])
        assert "NOT SAVED" not in one.day.told
        proved(
            f"each flush takes {SLOW_SECONDS:g} s, one under way at each call, {face}",
            cases=len(late),
            late=row(late),
            seen=f"told as entered {min(one.saved_after):.1f} s after it was said at the soonest",
        )


@pytest.mark.parametrize("face", FACES)
def test_a_step_that_begins_by_itself_is_called_before_a_slow_disk_has_it(
    shed_of: Callable[..., Shed], proved: Callable[..., None], face: str
) -> None:
    traced_or_skipped()
    shed = shed_of(MANY_RESTS.replace("confirm = true", "confirm = false").replace("0.1 min", "0.2 min"))
    day = shed.begin(face, before=with_a_slow_flush(SLOW_SECONDS))
    on_screen, late = isinstance(day, OnScreen), []
    day.tells("egin the day" if on_screen else "Say 'start'")
    day.say("start")
    for number in range(1, STEPS_BY_ITSELF + 1):
        day.tells(f"{number}/60 Rest" if on_screen else f"Step {number} of 60, Rest")
        if number > 1:
            day.say("ok")
        if isinstance(day, OnScreen):
            day.terminal.until(lambda: not day.called(), "no call")
        day.say("temp 63.0")
        day.tells("63.0 C, just now on target" if on_screen else "63.0 C, on target")
        seen, due = day.called(), Kept(shed.file).due_at()
        while day.called() == seen:
            assert day.hear(0.1), day.told
        late.append(day.heard_at - due)
    in_time(late)
    proved(
        f"each flush takes {SLOW_SECONDS:g} s, steps that begin by themselves, {face}",
        cases=len(late),
        late=row(late),
        seen="late: median, 99th percentile, most; none early",
    )


def test_a_disk_that_takes_no_more_is_told_in_words_that_stay_and_the_calls_go_on(
    shed_of: Callable[..., Shed], tmp_path: Path, proved: Callable[..., None]
) -> None:
    chance = random.Random(4402)
    ones = {face: Soaked(shed, shed.begin(face), chance) for face in FACES for shed in [shed_of()]}
    for one in ones.values():
        one.begin()
    soaked(list(ones.values()), FULL_MINUTES / 2.0)
    allowed = resource.getrlimit(resource.RLIMIT_FSIZE)
    for one in ones.values():
        size = one.shed.file.stat().st_size
        resource.prlimit(one.day.pid, resource.RLIMIT_FSIZE, (size, allowed[1]))
    soaked(list(ones.values()), FULL_MINUTES)
    for face, one in ones.items():
        elsewhere = tmp_path / f"elsewhere, {face}"
        one.day.tells("NOT SAVED")
        one.day.say(f"save {elsewhere}")
        one.day.tells("NOT SAVED there either")
        assert "Saved whole" not in one.day.told
        resource.prlimit(one.day.pid, resource.RLIMIT_FSIZE, allowed)
        one.day.say(f"save {elsewhere}")
        one.day.tells("Saved whole")
        (kept,) = map(Kept, elsewhere.glob("*.toml"))
        late = one.late(kept.path)
        assert len(late) == len(one.called_at)
        in_time(late)
        proved(
            f"the disk takes no more half way, {face}",
            cases=len(late),
            lost=0,
            late=row(late),
            seen="NOT SAVED is told and stays; saved whole elsewhere once there is room",
        )
