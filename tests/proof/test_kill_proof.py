"""Killed with -9 at any moment, on both faces: what was told as entered is there, the day stands as it did.

The parent notes what it was told, kills, reads the file, and lets the same file be resumed.
"""

from __future__ import annotations

import itertools
import os
import random
import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from killable import FACES, PATIENCE_SECONDS, TO_THE_REST, Killable, OnScreen, Shed, elapsed, single_spaced
from sent_lines import REST, Act, Kept, SentLines, acts_of, told_in_order
from traced import killed_at, traced_or_skipped

from mashday.engine import facts as f
from mashday.faces import telling
from mashday.faces.lines import Command
from mashday.session.clock import SystemClock
from mashday.session.moved import noted
from mashday.session.read_back import OnlyToLookAt
from mashday.session.session import resume

pytestmark = pytest.mark.proof

SHARDS = (1, 2, 3, 4)
KILLS = 125
KILLS_OF_A_FILE = 25
KILLS_AT_THE_START = 45
MOST_AFTER_SECONDS = 0.06
"""How long after a word was told, or a line sent, the kill comes at most."""
JUST_AFTER_SECONDS = 0.02
"""How long after the folder was touched it comes at most."""
KEY_GAP_SECONDS, PACE_SECONDS = 0.3, 0.13
"""Between a number typed and the keys before it, and between lines: so these are no burst."""


@dataclass(slots=True)
class Tally:
    """What many kills came to."""

    kills: int = 0
    told: int = 0
    lost: int = 0
    beyond: int = 0
    torn: int = 0

    def count(self, lines: SentLines, told: int, now: Kept) -> int:
        """Takes in one kill: so many of the lines sent were told, and this is the file. How many it holds."""
        there = lines.kept_of_it(now)
        self.kills += 1
        self.told += told
        self.lost += max(0, told - there)
        self.beyond += max(0, there - told)
        self.torn += now.recovered.torn is not None
        assert there >= told, f"lost: {lines.sent[there:told]}"
        assert there <= told + 1, f"never told: {lines.sent[told:there]}"
        return there

    def seen(self) -> str:
        """The rest of it in words."""
        return f"{self.told:,} acts told, {self.beyond} more saved before they were told, {self.torn} torn"


@pytest.fixture
def sheds(tmp_path: Path) -> Iterator[Callable[[], Shed]]:
    made: list[Shed] = []

    def fresh() -> Shed:
        for one in made:
            one.ended()
        folder = tmp_path / f"shed {len(made)}"
        folder.mkdir()
        made.append(Shed(folder))
        return made[-1]

    yield fresh
    for one in made:
        one.ended()


def stands_as_it_did(kept: Kept, left: Callable[[], float]) -> None:
    """The seconds left of the rest, as shown now, are what the file and the elapsed clock give."""
    assert kept.clock_went_on()
    if kept.state.step != REST:
        return
    before = kept.left(elapsed())
    shown = left()
    assert kept.left(elapsed()) <= shown <= before + 1.0


# Plain lines


def taken_up_in_lines(day: Killable, kept: Kept) -> None:
    """The face tells the day as the file has it."""
    state = kept.state
    if state.phase == "idle":
        day.until("Say 'start'")
    else:
        day.until("Back after")
        day.until(f"Step {state.step} of 9, ")
    now = Kept(kept.path)
    assert (now.state.phase, now.state.records) == (state.phase, state.records)
    stands_as_it_did(now, day.seconds_left)
    day.say("log", "hold" if state.phase == "held" else "resume")
    for line in telling.answer(now.session(), Command("log"), None):
        day.until(re.escape(line))
    day.until({"idle": "not begun", "running": "running already", "held": "held; resume"}[state.phase])


def lines_sent(day: Killable, lines: SentLines, chance: random.Random) -> int:
    """Sends lines at a pace, kills, and returns how many of them were told as entered."""
    count, pace = chance.randint(1, 14), chance.choice((0.0, 0.0, 0.01, 0.03))
    waits_for = chance.randint(0, count)
    for _ in range(count):
        day.say(lines.next().line)
        time.sleep(pace * chance.random())
    for act in lines.sent[:waits_for]:
        day.until(re.escape(act.told))
    time.sleep(MOST_AFTER_SECONDS * chance.random() ** 2)
    day.kill()
    return max(waits_for, told_in_order(day.told, lines.sent))


@pytest.mark.parametrize("shard", SHARDS)
def test_plain_lines_killed_at_any_moment_lose_nothing_that_was_told(
    sheds: Callable[[], Shed], shard: int, proved: Callable[..., None]
) -> None:
    chance, tally = random.Random(4100 + shard), Tally()
    while tally.kills < KILLS:
        shed = sheds()
        day = shed.run()
        day.until("Say 'start'")
        for turn in range(KILLS_OF_A_FILE):
            lines = SentLines(Kept(shed.file), chance)
            told = lines_sent(day, lines, chance)
            kept = Kept(shed.file)
            tally.count(lines, told, kept)
            if turn < KILLS_OF_A_FILE - 1:
                day = shed.resume()
                taken_up_in_lines(day, kept)
    proved(
        f"kill -9 of plain lines, part {shard} of {len(SHARDS)}",
        cases=tally.kills,
        lost=tally.lost,
        seen=tally.seen(),
    )


# The full screen


def words_of(kept: Kept) -> list[str]:
    """What has to stand on the screen of the day as its file has it."""
    view = kept.view(elapsed())
    shown = [f"{view.step_number}/{view.step_count} {view.step_title}", view.last_reading, view.verdict]
    return [word for word in (*shown, "HELD" if view.phase == "held" else "") if word]


def taken_up_on_screen(day: OnScreen, kept: Kept) -> None:
    """The screen shows the day as the file has it."""
    if kept.state.phase == "idle":
        day.until("begin the day")
    else:
        day.until("Back after", *words_of(kept))
    assert ("HELD" in day.told) == (kept.state.phase == "held")
    now = Kept(kept.path)
    assert (now.state.phase, now.state.records) == (kept.state.phase, kept.state.records)
    stands_as_it_did(now, day.seconds_left)


def typed(day: OnScreen, line: str, *, by_digits: bool) -> None:
    """Types a line, or a temperature by its digits alone."""
    if by_digits:
        time.sleep(KEY_GAP_SECONDS)
        day.terminal.type(f"{line.removeprefix('temp ')}\r")
    else:
        day.say(line)


def shown_in_turn(day: OnScreen, lines: SentLines, chance: random.Random) -> int:
    """Types lines, each once the one before is shown as taken; kills; returns how many were shown."""
    count = chance.randint(1, 6)
    shown, hurries = 0, chance.random() < 0.5
    for number in range(count):
        act = lines.next()
        by_digits = act.line.startswith("temp") and number < count - 1 and chance.random() < 0.3
        typed(day, act.line, by_digits=by_digits)
        if hurries and number == count - 1:
            break
        day.until(act.told)
        shown += 1
        time.sleep(KEY_GAP_SECONDS if by_digits else PACE_SECONDS)
    time.sleep(MOST_AFTER_SECONDS * chance.random() ** 2)
    day.kill()
    return shown + (shown < count and single_spaced(lines.sent[-1].told) in day.told)


@pytest.mark.parametrize("shard", SHARDS)
def test_the_screen_killed_at_any_moment_loses_nothing_that_was_shown(
    sheds: Callable[[], Shed], shard: int, proved: Callable[..., None]
) -> None:
    chance, tally = random.Random(4200 + shard), Tally()
    while tally.kills < KILLS:
        shed = sheds()
        day = shed.on_screen("run", str(shed.schedule))
        day.until("begin the day")
        for turn in range(KILLS_OF_A_FILE):
            lines = SentLines(Kept(shed.file), chance)
            shown = shown_in_turn(day, lines, chance)
            kept = Kept(shed.file)
            there = tally.count(lines, shown, kept)
            if there == shown == len(lines.sent):
                assert all(single_spaced(word) in day.told for word in words_of(kept)), day.told
            if turn < KILLS_OF_A_FILE - 1:
                day = shed.on_screen("resume", shed.file.stem)
                taken_up_on_screen(day, kept)
                time.sleep(KEY_GAP_SECONDS)
    proved(
        f"kill -9 of the full screen, part {shard} of {len(SHARDS)}",
        cases=tally.kills,
        lost=tally.lost,
        seen=tally.seen(),
    )


# While it begins and is taken up


def when_it_writes(shed: Shed, begin: Callable[[], Killable | OnScreen], chance: random.Random) -> None:
    """Begins a process and kills it a moment after the first thing it does to the folder."""
    before = signature(shed.folder)
    day = begin()
    ends = time.monotonic() + PATIENCE_SECONDS
    while signature(shed.folder) == before:
        assert time.monotonic() < ends
        time.sleep(0.0002)
    time.sleep(JUST_AFTER_SECONDS * chance.random() ** 2)
    day.kill()


def signature(folder: Path) -> list[tuple[str, int, int]]:
    """What tells the files of a folder from what they were."""
    found = []
    for name in sorted(os.listdir(folder)):
        with suppress(OSError):
            stat = (folder / name).stat()
            found.append((name, stat.st_mtime_ns, stat.st_size))
    return found


def half_an_entry(number: int) -> bytes:
    """What is left of a note that was never finished."""
    return (
        f'[[entry]]\nseq = 9{number}\nact = 9{number}\nt = 5.0\nkind = "note"\ntext = "half {number}'.encode()
    )


@pytest.mark.parametrize("face", FACES)
def test_killed_while_a_day_begins_or_is_taken_up_it_can_be_taken_up_still(
    sheds: Callable[[], Shed], face: str, proved: Callable[..., None]
) -> None:
    chance, shed = random.Random(4300), sheds()
    day = shed.run()
    day.say(*TO_THE_REST, "note before")
    day.until("Note: before")
    day.kill()
    path = shed.file
    kept, aside, half = Kept(path), path.with_name(f"{path.name}.torn"), b""
    torn = 0
    for number in range(KILLS_AT_THE_START):
        if number % 3 == 0:
            when_it_writes(shed, lambda: shed.begin(face), chance)
            assert path.read_bytes() == kept.bytes
            continue
        if kept.recovered.torn is None and number % 3 == 1:
            half = half_an_entry(number)
            with path.open("ab") as file:
                file.write(half)
        when_it_writes(shed, lambda: shed.again(face, path), chance)
        now = Kept(path)
        assert now.bytes.startswith(kept.whole)
        new = [entry.fact for entry in now.entries[len(kept.entries) :]]
        assert all(isinstance(fact, f.Opened) for fact in new)
        assert len(new) <= 1
        torn += now.recovered.torn is not None
        assert half in now.bytes + (aside.read_bytes() if aside.exists() else b"")
        kept = now
    for other in set(shed.folder.glob("*.toml")) - {path}:
        if other.read_bytes():
            assert Kept(other).state.phase == "idle"
    again = shed.plain("resume", path.stem)
    again.until("Back after")
    again.until("Step 4 of 9")
    assert [note.text for note in Kept(path).state.notes] == ["before"]
    proved(
        f"kill -9 while a day begins or is taken up, {face}",
        cases=KILLS_AT_THE_START,
        lost=0,
        seen=f"an unfinished entry was still to be set aside in {torn}",
    )


CALLS_OF_THE_DISK = ("write", "fsync", "ftruncate", "/^rename", "/^mkdir", "flock")


def told_to_the_end(day: Killable) -> bool:
    """Hears all it tells; true if it was killed before it had said everything."""
    while day.hear(1.0):
        pass
    ended = day.child.wait(timeout=PATIENCE_SECONDS)
    assert ended in (0, -signal.SIGKILL), day.told
    return ended != 0


def day_in(path: Path, sent: Sequence[Act], told: int) -> int:
    """How many of the acts a file holds: what was told, at most one more, and nothing else; it goes on."""
    kept = Kept(path)
    facts = [entry.fact for entry in kept.entries if not isinstance(entry.fact, f.Opened)]
    count = 0
    while facts:
        act = sent[count].facts
        assert tuple(facts[: len(act)]) == act
        facts, count = facts[len(act) :], count + 1
    assert told <= count <= told + 1
    if noted(path) is None:
        resume(path, SystemClock()).close()
    else:
        with pytest.raises(OnlyToLookAt):
            resume(path, SystemClock())
    return count


def test_killed_at_every_call_of_the_disk_a_day_is_whole_wherever_it_was_told_to_be(
    tmp_path: Path, proved: Callable[..., None]
) -> None:
    traced_or_skipped()
    lines = (*TO_THE_REST[:4], "note one", "temp 69.0", "save {}", "note two", "quit")
    whole = Shed(fresh(tmp_path, "whole"))
    day = whole.run()
    day.say(*(line.format(whole.folder.parent / "other") for line in lines))
    assert not told_to_the_end(day)
    acts = acts_of(Kept(next((whole.folder.parent / "other").glob("*.toml"))))
    before = len(acts) - 1
    kills = in_the_copy = empty = 0
    for call in CALLS_OF_THE_DISK:
        for number in itertools.count(1):
            shed = Shed(fresh(tmp_path, f"{call.strip('/^')} {number}"))
            other = shed.folder.parent / "other"
            day = shed.run(before=killed_at(call, number))
            with suppress(BrokenPipeError):
                day.say(*(line.format(other) for line in lines))
            killed = told_to_the_end(day)
            day.end()
            told = told_in_order(day.told, acts)
            moved = "Saved whole" in day.told
            there = [path for folder in (shed.folder, other) for path in folder.glob("*.toml")]
            for path in there:
                if not path.read_bytes():
                    empty += 1
                    assert told == 0 or (path.parent == other and not moved)
                elif path.parent == other:
                    assert day_in(path, acts, told) >= before
                    in_the_copy += 1
                else:
                    day_in(path, acts, min(told, before))
            assert len([path for path in there if path.read_bytes()]) >= (told > 0) + moved
            for copy in shed.folder.glob("*.bak"):
                assert there[0].read_bytes().startswith(copy.read_bytes())
            shutil.rmtree(shed.folder.parent)
            if not killed:
                break
            kills += 1
    assert kills > len(lines)
    proved(
        "kill -9 at each call of the disk, from a new day to save FOLDER",
        cases=kills,
        lost=0,
        seen=f"the new copy was there in {in_the_copy}, a file not begun in {empty}",
    )


def test_killed_at_every_call_of_the_disk_while_an_unfinished_entry_is_set_aside_none_of_it_is_gone(
    tmp_path: Path, proved: Callable[..., None]
) -> None:
    traced_or_skipped()
    base = Shed(fresh(tmp_path, "base"))
    day = base.run()
    day.say(*TO_THE_REST, "note one")
    day.until("Note: one")
    day.kill()
    with base.file.open("ab") as file:
        file.write(half_an_entry(1))
    kills = mended = 0
    for call in CALLS_OF_THE_DISK:
        for number in itertools.count(1):
            shed = Shed(fresh(tmp_path, f"{call.strip('/^')} {number}"))
            shutil.copytree(base.folder, shed.folder)
            day = shed.resume(before=killed_at(call, number))
            with suppress(BrokenPipeError):
                day.say("note two", "quit")
            killed = told_to_the_end(day)
            day.end()
            kept, aside = Kept(shed.file), shed.file.with_name(f"{shed.file.name}.torn")
            texts = [note.text for note in kept.state.notes]
            assert texts[:1] == ["one"]
            assert texts[1:] in (["two"], [] if "Note: two" not in day.told else ["two"])
            mended += kept.recovered.torn is None
            assert half_an_entry(1) in kept.bytes + (aside.read_bytes() if aside.exists() else b"")
            resume(shed.file, SystemClock()).close()
            assert half_an_entry(1) in aside.read_bytes()
            shutil.rmtree(shed.folder.parent)
            if not killed:
                break
            kills += 1
    assert kills > len(CALLS_OF_THE_DISK)
    proved(
        "kill -9 at each call of the disk while a torn entry is set aside",
        cases=kills,
        lost=0,
        seen=f"set aside by then in {mended}",
    )


def fresh(folder: Path, name: str) -> Path:
    """A new folder of this name."""
    made = folder / name
    made.mkdir()
    return made
