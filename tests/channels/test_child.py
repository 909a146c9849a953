"""Real programs as children: what they write, how they end, and that they end when told to."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from heard import until

from mashday.channels.child import Child

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the programs here are scripts of a POSIX shell")


class Told:
    def __init__(self) -> None:
        self.lines: list[str] = []
        self.ends: list[tuple[int | None, str]] = []

    def end(self, code: int | None, words: str) -> None:
        self.ends.append((code, words))


def shell(script: str, told: Told, **settings) -> Child:
    child = Child(["sh", "-c", script], told.lines.append, told.end, **settings)
    child.start()
    return child


def is_alive(number: int) -> bool:
    stat = Path(f"/proc/{number}/stat")
    try:
        if stat.parent.parent.joinpath("self").exists():
            return stat.read_text().rpartition(")")[2].split()[0] != "Z"
        os.kill(number, 0)
    except (OSError, IndexError):
        return False
    return True


def test_lines_come_whole_and_the_end_is_told():
    told = Told()
    shell("printf 6; sleep 0.05; echo 4.5; echo 64.6; exit 3", told, again=False)
    until(lambda: told.ends)
    assert told.lines == ["64.5", "64.6"]
    assert told.ends == [(3, "ended with code 3")]


def test_the_last_line_without_its_end_counts_only_if_the_program_ended_well():
    well, badly = Told(), Told()
    shell("printf 64.5", well, again=False)
    shell("printf 6; exit 1", badly, again=False)
    until(lambda: well.ends and badly.ends)
    assert (well.lines, badly.lines) == (["64.5"], [])


def test_a_program_that_is_not_there_is_told():
    told = Told()
    Child(["no-such-program-of-lock-seven"], told.lines.append, told.end, again=False).start()
    until(lambda: told.ends)
    assert told.ends == [(None, "cannot be started: there is no such program")]


def test_a_program_that_may_not_be_run_and_a_name_that_cannot_be_are_told(tmp_path):
    plain = tmp_path / "plain"
    plain.write_text("64.5\n")
    for name in (str(plain), "a\x00b"):
        told = Told()
        Child([name], told.lines.append, told.end, again=False).start()
        until(lambda told=told: told.ends)
        assert told.ends[0][0] is None
        assert told.ends[0][1].startswith("cannot be started: ")


def test_it_has_no_terminal_and_nothing_to_read_and_its_complaints_go_nowhere(capfd):
    told = Told()
    shell("cat; echo complaint >&2; [ -t 0 ] || [ -t 2 ] || echo none", told, again=False)
    until(lambda: told.ends)
    assert told.lines == ["none"]
    assert capfd.readouterr() == ("", "")


def test_it_finds_a_text_on_its_standard_input():
    told = Told()
    shell("cat", told, text="64.5\n64.6\n", again=False)
    until(lambda: told.ends)
    assert told.lines == ["64.5", "64.6"]


def test_a_program_that_does_not_read_its_text_holds_nothing_up():
    told = Told()
    shell("exit 0", told, text="x" * 1_000_000, again=False)
    until(lambda: told.ends)
    assert told.ends == [(0, "ended")]


def test_a_program_that_dies_is_started_again_ever_more_slowly(monkeypatch):
    monkeypatch.setattr("mashday.channels.child.PAUSES_SECONDS", (0.01, 0.02, 1000.0))
    told = Told()
    child = shell("echo 64.5; exit 1", told)
    until(lambda: len(told.ends) == 3)
    time.sleep(0.1)
    assert told.lines == ["64.5"] * 3
    child.stop()


def test_a_program_that_tells_a_value_and_leaves_is_asked_again_and_again(monkeypatch):
    monkeypatch.setattr("mashday.channels.child.PAUSES_SECONDS", (0.01, 1000.0))
    told = Told()
    child = shell("echo 64.5", told)
    until(lambda: len(told.lines) >= 4)
    child.stop()


def test_when_stopped_the_program_and_those_it_started_end():
    told = Told()
    child = shell("sleep 1000 & echo $!; echo $$; wait", told)
    until(lambda: len(told.lines) == 2)
    numbers = [int(line) for line in told.lines]
    assert all(map(is_alive, numbers))
    child.stop()
    until(lambda: not any(map(is_alive, numbers)))
    assert told.ends == []


def test_a_program_that_does_not_listen_is_killed(monkeypatch):
    monkeypatch.setattr("mashday.channels.child.MERCY_SECONDS", 0.1)
    told = Told()
    child = shell("trap '' TERM; echo $$; while :; do sleep 0.05; done", told)
    until(lambda: told.lines)
    child.stop()
    until(lambda: not is_alive(int(told.lines[0])))


def test_a_child_stopped_before_it_began_does_no_harm():
    told = Told()
    child = Child(["sh", "-c", "echo $$; sleep 1000"], told.lines.append, told.end)
    child.stop()
    child.start()
    child.stop()
    time.sleep(0.05)
    assert told.lines == []


def test_a_flood_is_taken_in_part_and_the_program_still_ends():
    told = Told()
    child = Child(["yes", "64.5"], told.lines.append, told.end)
    child.start()
    until(lambda: child.noise > 10_000)
    assert len(told.lines) < 1000
    child.stop()


def test_a_program_outlives_no_session():
    script = (
        "import sys, time\n"
        "from mashday.channels.child import Child\n"
        "lines = []\n"
        "Child(['sh', '-c', 'echo $$; exec sleep 1000'], lines.append, print).start()\n"
        "while not lines: time.sleep(0.01)\n"
        "print(lines[0])\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    until(lambda: not is_alive(int(done.stdout)))
