"""The sound player: one sound at a time, the newest first, nothing on the screen, troubles told once."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.player import LINUX_PLAYERS, Player, notification
from mashday.channels.tones import wav

ENOUGH_SECONDS = 30.0
"""How long something that must happen is waited for: no limit a slow machine meets."""


def until(true: Callable[[], object]) -> None:
    gives_up = time.monotonic() + ENOUGH_SECONDS
    while not true():
        assert time.monotonic() < gives_up, "it never came"
        time.sleep(0.01)


def until_quiet(player: Player) -> None:
    """Waits until nothing is heard and nothing waits."""
    until(lambda: player._turns.quiet)


def script(folder: Path, name: str, text: str) -> list[str]:
    """A player that is a small program; `out` is the file beside it."""
    path = folder / f"{name}.py"
    path.write_text(f"import os, sys, time\nout = {str(folder / 'out')!r}\n{text}\n")
    return [sys.executable, "-S", "-E", str(path)]


NOTES = "open(out, 'ab').write(open(sys.argv[-1], 'rb').read()[:44] + b'|')"
NAMES = "open(out, 'a').write(os.path.basename(sys.argv[-1]) + '\\n')"


def lines(folder: Path) -> list[str]:
    out = folder / "out"
    return out.read_text().splitlines() if out.exists() else []


def test_a_signal_reaches_the_player_as_a_file(tmp_path: Path) -> None:
    player = Player(script(tmp_path, "player", NOTES))
    player.sound("danger", 2)
    until_quiet(player)
    assert (tmp_path / "out").read_bytes() == wav("danger", 2)[:44] + b"|"
    assert player.trouble() is None
    player.close()


def test_the_newest_sound_cuts_off_the_one_before_and_never_two_at_once(tmp_path: Path) -> None:
    alone = (
        "if os.path.exists(out):\n"
        "    try:\n"
        "        os.kill(int(open(out).read().split()[1]), 0)\n"
        "        open(out, 'a').write('two at once\\n')\n"
        "    except OSError:\n"
        "        pass\n"
        "open(out, 'a').write(f'{os.path.basename(sys.argv[-1])} {os.getpid()}\\n')\n"
        "time.sleep(0 if 'danger' in sys.argv[-1] else 60)"
    )
    player = Player(script(tmp_path, "slow", alone))
    player.sound("soon")
    until(lambda: lines(tmp_path))
    player.sound("danger")
    until_quiet(player)
    assert [line.split()[0] for line in lines(tmp_path)] == ["soon-1.wav", "danger-1.wav"]
    assert player.trouble() is None, "what was cut off did not fail"
    player.close()


@pytest.mark.skipif(sys.platform == "win32", reason="a child on Windows is always ended at once")
def test_a_player_that_will_not_end_is_made_to(tmp_path: Path) -> None:
    stubborn = (
        "import signal; signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        f"{NAMES}\ntime.sleep(0 if 'danger' in sys.argv[-1] else 60)"
    )
    player = Player(script(tmp_path, "stubborn", stubborn))
    player.sound("soon")
    until(lambda: lines(tmp_path))
    player.sound("danger")
    until(lambda: lines(tmp_path) == ["soon-1.wav", "danger-1.wav"])
    player.close()


@pytest.mark.skipif(sys.platform == "win32", reason="process groups are of POSIX")
def test_what_a_player_started_ends_with_it(tmp_path: Path) -> None:
    starts = (
        "import subprocess\n"
        "child = subprocess.Popen([sys.executable, '-S', '-E', '-c', 'import time; time.sleep(60)'])\n"
        "open(out + '.new', 'w').write(str(child.pid)); os.rename(out + '.new', out)\n"
        "time.sleep(60)"
    )
    player = Player(script(tmp_path, "parent", starts))
    player.sound("now")
    until(lambda: lines(tmp_path))
    grandchild = int(lines(tmp_path)[0])
    player.close()
    until_quiet(player)
    until(lambda: not _runs(grandchild))


def _runs(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{number}/stat")
    return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] != "Z"


def test_a_player_that_fails_is_told_once_and_tried_again(tmp_path: Path) -> None:
    player = Player(script(tmp_path, "broken", f"{NAMES}\nsys.exit(3)"))
    for strokes in (1, 2):
        player.sound("now", strokes)
        until_quiet(player)
    assert lines(tmp_path) == ["now-1.wav", "now-2.wav"]
    name = Path(sys.executable).name
    assert player.trouble() == f"'{name}' failed (exit code 3); the bell and the words are all there is"
    assert player.trouble() is None
    player.close()


def test_a_player_that_hangs_is_ended_and_told(tmp_path: Path) -> None:
    player = Player(script(tmp_path, "hangs", "time.sleep(60)"), longest_seconds=0.1)
    player.sound("now")
    until_quiet(player)
    told = player.trouble()
    assert told is not None and "did not come to an end" in told
    player.close()


def test_a_command_that_is_not_there_is_told(tmp_path: Path) -> None:
    player = Player([str(tmp_path / "no-such-player")])
    player.sound("soon")
    until_quiet(player)
    assert player.trouble() == "'no-such-player' was not found; the bell and the words are all there is"
    player.close()


def test_where_no_player_is_found_it_is_told_before_anything_is_to_be_heard() -> None:
    player = Player("auto", platform="linux", which=lambda name: None)
    told = player.trouble()
    assert told == (
        "no sound player found: pw-play, paplay or aplay; the bell and the words are all there is"
    )
    player.sound("danger")
    assert player.trouble() is None
    mac = Player("auto", platform="darwin", which=lambda name: None).trouble()
    assert mac is not None and "afplay" in mac


@pytest.mark.skipif(sys.platform == "win32", reason="the players of Linux")
def test_the_next_player_is_tried_where_one_fails_and_kept(tmp_path: Path) -> None:
    def fake(name: str, code: int) -> str:
        path = tmp_path / name
        path.write_text(f"#!/bin/sh\necho {name} >> {tmp_path}/out\nexit {code}\n")
        path.chmod(0o755)
        return str(path)

    found = {"pw-play": fake("pw-play", 1), "aplay": fake("aplay", 0)}
    assert set(found) < set(LINUX_PLAYERS)
    player = Player("auto", platform="linux", which=found.get)
    player.sound("now")
    until_quiet(player)
    player.sound("now")
    until_quiet(player)
    assert lines(tmp_path) == ["pw-play", "aplay", "aplay"]
    assert player.trouble() is None
    player.close()


def test_what_a_player_prints_goes_nowhere(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    prints = "sys.stdout.write('x' * 3_000_000); sys.stderr.write('y' * 3_000_000)\n" + NAMES
    player = Player(script(tmp_path, "loud", prints))
    player.sound("now")
    until_quiet(player)
    assert lines(tmp_path) == ["now-1.wav"]
    assert capfd.readouterr() == ("", "")
    player.close()


def test_silence_is_no_trouble() -> None:
    player = Player(None)
    player.sound("danger", 3)
    assert player.trouble() is None
    player.close()


@given(st.text(max_size=300))
def test_a_notification_holds_nothing_that_steers_a_terminal(text: str) -> None:
    told = notification(text)
    inside = told.removeprefix("\x1b]9;").removesuffix("\x1b\\")
    assert told == f"\x1b]9;{inside}\x1b\\"
    assert inside.isprintable() and ";" not in inside and len(inside) <= 200
