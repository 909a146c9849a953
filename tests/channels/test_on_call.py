"""The person's own command with each call: what it is given, how often it runs, and that it always ends."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from mashday.channels.on_call import OnCall
from mashday.channels.process import Process
from mashday.channels.tones import Urgency
from mashday.channels.turns import begun

ENOUGH_SECONDS = 30.0
"""How long something that must happen is waited for: no limit a slow machine meets."""
URGENCIES: tuple[Urgency, ...] = ("soon", "now", "danger")
KEEPS = "open(out, 'a').write(sys.stdin.read().strip() + '\\n')\n"


def until(true: Callable[[], object]) -> None:
    gives_up = time.monotonic() + ENOUGH_SECONDS
    while not true():
        assert time.monotonic() < gives_up, "it never came"
        time.sleep(0.01)


def script(folder: Path, text: str) -> list[str]:
    """A command that is a small program; `out` is a file for what it was given."""
    path = folder / "lamp.py"
    path.write_text(f"import os, sys, time\nout = {str(folder / 'out')!r}\n{text}\n")
    return [sys.executable, "-S", "-E", str(path)]


def kept(folder: Path) -> list[str]:
    out = folder / "out"
    return out.read_text().splitlines() if out.exists() else []


def test_a_call_is_handed_over_whole(tmp_path: Path) -> None:
    gives = (
        "e = os.environ\n"
        "open(out, 'w').write('|'.join([sys.stdin.read(), e['MASHDAY_CALL_URGENCY'], e['MASHDAY_CALL_TEXT'],"
        " e['MASHDAY_CALL_LATE_SECONDS'], 'PATH' in e and 'PATH']))"
    )
    command = OnCall(script(tmp_path, gives))
    command.call("danger", "Heat off: its minutes are over\x1b[2J", 83.2)
    until(lambda: command.quiet)
    text = "Heat off: its minutes are over[2J"
    assert (tmp_path / "out").read_text() == f"{text}\n|danger|{text}|83|PATH"
    assert command.trouble() is None


class Gate:
    """Notes what is started and when; the first start waits until the gate is opened."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.texts: list[str] = []
        self.times: list[float] = []
        self.opened = threading.Event()
        monkeypatch.setattr("mashday.channels.on_call.begun", self._start)

    def _start(self, argv: Any, text: str, environment: Any) -> Process:
        self.texts.append(text)
        self.opened.wait(ENOUGH_SECONDS)
        self.times.append(time.monotonic())
        return begun(argv, text, environment)


def test_calls_come_no_oftener_than_the_pause_and_the_gravest_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate = Gate(monkeypatch)
    command = OnCall(script(tmp_path, KEEPS), least_pause_seconds=0.2)
    command.call("now", "first")
    until(lambda: gate.texts)
    for urgency in URGENCIES:
        command.call(urgency, urgency)
    gate.opened.set()
    until(lambda: command.quiet)
    assert gate.texts == ["first", "danger", "now", "soon"]
    assert all(later - sooner >= 0.2 for sooner, later in pairwise(gate.times[1:]))


def test_of_too_many_calls_the_least_urgent_and_oldest_are_dropped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate = Gate(monkeypatch)
    command = OnCall(script(tmp_path, KEEPS), least_pause_seconds=0.0)
    command.call("now", "first")
    until(lambda: gate.texts)
    command.call("soon", "soon")
    for text in ("one", "two", "three"):
        command.call("now", text)
    command.call("danger", "danger")
    gate.opened.set()
    until(lambda: command.quiet)
    assert gate.texts == ["first", "danger", "two", "three"]


def test_two_run_at_most(tmp_path: Path) -> None:
    waits = KEEPS + "while not os.path.exists(out + '.go'): time.sleep(0.01)"
    command = OnCall(script(tmp_path, waits), least_pause_seconds=0.0)
    for text in ("one", "two", "three"):
        command.call("now", text)
    until(lambda: len(kept(tmp_path)) == 2)
    time.sleep(0.1)
    assert sorted(kept(tmp_path)) == ["one", "two"]
    (tmp_path / "out.go").touch()
    until(lambda: command.quiet)
    assert sorted(kept(tmp_path)) == ["one", "three", "two"]


def test_a_command_that_does_not_end_is_ended_and_told(tmp_path: Path) -> None:
    command = OnCall(script(tmp_path, "time.sleep(60)"), longest_seconds=0.1)
    command.call("now", "one")
    until(lambda: command.quiet)
    name = Path(sys.executable).name
    assert command.trouble() == f"'{name}' was ended after 0.1 s; the day goes on without it"
    assert command.trouble() is None


@pytest.mark.parametrize(
    ("what", "said"), [("sys.exit(4)", "failed (exit code 4)"), ("raise ValueError", "failed (exit code 1)")]
)
def test_a_command_that_fails_is_told_once_and_run_again(tmp_path: Path, what: str, said: str) -> None:
    command = OnCall(script(tmp_path, KEEPS + what), least_pause_seconds=0.0)
    command.call("now", "one")
    command.call("now", "two")
    until(lambda: command.quiet)
    assert sorted(kept(tmp_path)) == ["one", "two"]
    told = command.trouble()
    assert told is not None and said in told
    assert command.trouble() is None


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("no-such-lamp on", "'no-such-lamp' was not found; the day goes on without it"),
        ("'open", "the command for calls has an open quotation mark; the day goes on without it"),
        ("", "the command for calls is empty; the day goes on without it"),
    ],
)
def test_a_command_that_cannot_be_run_is_told(line: str, said: str) -> None:
    command = OnCall(line)
    command.call("danger", "Heat off")
    until(lambda: command.quiet)
    assert command.trouble() == said


def test_what_a_command_prints_goes_nowhere(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    command = OnCall(
        script(tmp_path, "print('x' * 3_000_000); print('y' * 3_000_000, file=sys.stderr)\n" + KEEPS)
    )
    command.call("now", "loud")
    until(lambda: command.quiet)
    assert kept(tmp_path) == ["loud"]
    assert capfd.readouterr() == ("", "")


def test_stop_ends_what_runs_and_drops_what_waits(tmp_path: Path) -> None:
    command = OnCall(script(tmp_path, KEEPS + "time.sleep(60)"))
    command.call("now", "one")
    until(lambda: kept(tmp_path))
    command.call("now", "two")
    command.stop()
    until(lambda: command.quiet)
    assert kept(tmp_path) == ["one"] and command.trouble() is None
