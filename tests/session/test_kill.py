"""Real processes killed with -9: what was told as entered is there again, and the clocks have gone on."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from killable import PATIENCE_SECONDS, TO_THE_REST, Shed, elapsed

from mashday.engine import facts as f

pytestmark = pytest.mark.long


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    made = Shed(tmp_path)
    yield made
    made.ended()


def test_five_kills_in_one_rest_lose_nothing_and_the_clock_goes_on(shed: Shed) -> None:
    day = shed.run()
    day.say(*TO_THE_REST[:-1])
    day.until("Step 3 of 9")
    asked = elapsed()
    day.say(TO_THE_REST[-1])
    day.until("Step 4 of 9")
    begun, whole = elapsed(), 3600.0
    notes: list[str] = []
    temperatures: list[float] = []
    for turn in range(5):
        day.say(f"temp 63.{turn}", f"note turn {turn}", "more 1")
        day.until(rf"Reading \d+: mash temperature 63\.{turn} C")
        day.until(f"Note: turn {turn}")
        day.until("1 min more for Rest")
        notes.append(f"turn {turn}")
        temperatures.append(63.0 + turn / 10.0)
        whole += 60.0
        day.kill()

        state = shed.state()
        assert [note.text for note in state.notes] == notes
        read = [reading.metric for reading in state.valid("temperature", 4)]
        assert read == pytest.approx(temperatures)
        assert (state.step, state.phase) == (4, "running")

        day = shed.resume()
        day.until("Back after")
        before = elapsed()
        left = day.seconds_left()
        # The rest began between `asked` and `begun`, and was told between `before` and now, rounded up.
        assert whole - (elapsed() - asked) <= left <= whole - (before - begun) + 1.0
    assert sum(isinstance(entry.fact, f.Opened) for entry in shed.state().log) == 6


@pytest.mark.parametrize("acknowledged", [0, 3])
def test_killed_amid_a_burst_of_lines_the_file_holds_the_beginning_of_what_was_sent(
    shed: Shed, acknowledged: int
) -> None:
    day = shed.run()
    day.say("start")
    day.until("Step 1 of 9")
    sent = [f"number {number:03d}" for number in range(300)]
    day.say(*(f"note {text}" for text in sent))
    for text in sent[:acknowledged]:
        day.until(f"Note: {text}")
    day.kill()
    told = re.findall(r"Note: (number \d+)", day.told)
    kept = [note.text for note in shed.state().notes]
    assert len(told) >= acknowledged
    assert kept == sent[: len(kept)] and len(kept) >= len(told)
    day = shed.resume()
    day.say("note after all")
    day.until("Note: after all")
    assert [note.text for note in shed.state().notes] == [*kept, "after all"]


def test_a_held_day_is_held_still_and_its_clock_has_stood(shed: Shed) -> None:
    day = shed.run()
    day.say(*TO_THE_REST)
    day.until("Step 4 of 9")
    day.say("hold")
    day.until("Held: the clocks stand")
    before = day.seconds_left()
    day.kill()
    assert shed.state().phase == "held"
    time.sleep(1.2)
    day = shed.resume()
    day.until("Back after")
    after = day.seconds_left()
    assert after == before
    day.say("resume")
    day.until("Going on; the clocks run again")


def test_a_day_killed_before_it_was_begun_can_be_begun(shed: Shed) -> None:
    shed.run().until("Say 'start'")
    shed.begun[0].kill()
    day = shed.resume()
    day.until("Say 'start'")
    day.say("start")
    day.until("Step 1 of 9")


def test_an_open_doubt_is_forgotten_and_an_open_offer_is_not(shed: Shed) -> None:
    day = shed.run()
    day.say(*TO_THE_REST)
    day.until("Step 4 of 9")
    day.say("temp 60.5")
    day.until(r"Reading \d+: mash temperature 60\.5 C")
    day.say("temp 26")
    day.until("keep it")
    day.kill()
    state = shed.state()
    assert [reading.metric for reading in state.valid("temperature", 4)] == [60.5]
    day = shed.resume()
    day.until("Back after")
    day.say("keep it")
    day.until("Nothing waits for that answer")
    assert shed.state().readings == state.readings
    assert shed.state().offers == state.offers


def test_a_day_killed_once_it_was_over_is_over(shed: Shed) -> None:
    day = shed.run()
    day.say("start", "abort", "keep it")
    day.until("given up")
    if day.child.poll() is None:
        day.child.kill()
    day.child.wait(timeout=PATIENCE_SECONDS)
    day.close()
    assert shed.state().phase == "aborted"
    again = shed.resume()
    again.until("is over")
    assert again.child.wait(timeout=PATIENCE_SECONDS) == 1


def test_a_rehearsed_day_goes_on_at_its_own_last_moment_after_every_kill(shed: Shed) -> None:
    day = shed.run("--rehearse")
    day.say(*TO_THE_REST)
    day.until("Step 4 of 9")
    minutes = 0
    for turn in range(3):
        day.say("wait 7 min", f"note turn {turn}")
        minutes += 7
        day.until(f"Note: turn {turn}")
        left = day.seconds_left()
        assert left == 3600.0 - 60.0 * minutes
        day.kill()
        told = shed.state()
        assert [note.text for note in told.notes] == [f"turn {number}" for number in range(turn + 1)]
        time.sleep(0.3)
        day = shed.resume()
        again = day.seconds_left()
        assert again == left
        assert shed.state().t == told.t
    opened = [entry.fact for entry in shed.state().log if isinstance(entry.fact, f.Opened)]
    assert [one.how for one in opened] == ["new", *["rehearsed"] * 3]
    assert all(one.away_seconds == 0.0 for one in opened)


def test_a_lock_left_by_the_killed_one_holds_nobody_up_but_a_living_one_does(shed: Shed) -> None:
    day = shed.run()
    day.until("Say 'start'")
    second = shed.resume()
    second.until(str(day.child.pid))
    second.say("quit")
    assert second.child.wait(timeout=PATIENCE_SECONDS) == 1
    day.kill()
    shed.resume().until("Say 'start'")
