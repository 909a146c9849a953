"""Speech: one line after the other, three announcements wait at most, an urgent one cuts in."""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import sys
import threading
import time
import wave
from array import array
from collections.abc import Callable
from pathlib import Path

import pytest

from mashday.channels.speaker import Speaker

ENOUGH_SECONDS = 30.0
"""How long something that must happen is waited for: no limit a slow machine meets."""
HEARS = "text = sys.stdin.buffer.read().decode('utf-8', 'replace').strip()\n"
KEEPS = "open(out, 'a', encoding='utf-8').write(text + '\\n')\n"
HOLDS = "time.sleep(60 if text.startswith('long') else 0)\n"


def until(true: Callable[[], object]) -> None:
    gives_up = time.monotonic() + ENOUGH_SECONDS
    while not true():
        assert time.monotonic() < gives_up, "it never came"
        time.sleep(0.01)


def until_quiet(speaker: Speaker) -> None:
    """Waits until nothing is heard and nothing waits."""
    until(lambda: speaker._turns.quiet)


def script(folder: Path, text: str) -> list[str]:
    """A speech command that is a small program; `out` is the file it keeps what it heard in."""
    path = folder / "speech.py"
    path.write_text(f"import sys, time\nout = {str(folder / 'out')!r}\n{text}\n")
    return [sys.executable, "-S", "-E", str(path)]


def heard(folder: Path) -> list[str]:
    out = folder / "out"
    return out.read_text(encoding="utf-8").splitlines() if out.exists() else []


WAITS = "import os\nwhile not os.path.exists(out + '.go'): time.sleep(0.01)"


def busy(folder: Path) -> Speaker:
    """A voice that is in the middle of a line until the file "out.go" is there."""
    speaker = Speaker(script(folder, HEARS + KEEPS + WAITS))
    speaker.say("said")
    until(lambda: heard(folder) == ["said"])
    return speaker


def test_lines_reach_the_command_in_their_order_and_never_as_options(tmp_path: Path) -> None:
    speaker = Speaker(script(tmp_path, HEARS + "text += f' ({len(sys.argv) - 1} arguments)'\n" + KEEPS))
    for line in (
        "-5 degrees",
        "--version",
        "gr\N{LATIN SMALL LETTER U WITH DIAERESIS}n\x1b[2J\n; echo $(id)",
    ):
        speaker.say(line)
    until_quiet(speaker)
    assert heard(tmp_path) == [
        "-5 degrees (0 arguments)",
        "--version (0 arguments)",
        "gr\N{LATIN SMALL LETTER U WITH DIAERESIS}n[2J ; echo $(id) (0 arguments)",
    ]
    assert speaker.trouble() is None


def test_three_single_lines_wait_at_most_and_the_oldest_is_dropped(tmp_path: Path) -> None:
    speaker = busy(tmp_path)
    for line in ("one", "two", "three", "four", "five"):
        speaker.say(line)
    (tmp_path / "out.go").touch()
    until_quiet(speaker)
    assert heard(tmp_path) == ["said", "three", "four", "five"]


def test_a_step_that_begins_is_said_whole_and_single_lines_make_room_for_it(tmp_path: Path) -> None:
    speaker = busy(tmp_path)
    step = ("Stir in five kilograms of malt", "Steam scalds", "Gloves on", "Next, weigh the malt")
    speaker.say(*step, begins=True)
    for line in ("one", "two", "three", "four"):
        speaker.say(line)
    (tmp_path / "out.go").touch()
    until_quiet(speaker)
    assert heard(tmp_path) == ["said", *step, "three", "four"]


def test_of_a_step_that_is_over_nothing_more_is_said_but_single_lines_are(tmp_path: Path) -> None:
    speaker = busy(tmp_path)
    speaker.say("Heat off", "at once", urgent=True)
    speaker.say("Rest", "Lid on", begins=True)
    speaker.say("Came in")
    speaker.say("Raise", "Stir", begins=True)
    (tmp_path / "out.go").touch()
    until_quiet(speaker)
    assert heard(tmp_path) == ["said", "Heat off", "at once", "Came in", "Raise", "Stir"]


def test_an_urgent_line_cuts_in_and_is_never_dropped_for_what_comes_after(tmp_path: Path) -> None:
    speaker = Speaker(script(tmp_path, HEARS + KEEPS + HOLDS))
    speaker.say("long story")
    until(lambda: heard(tmp_path) == ["long story"])
    speaker.say("waiting")
    speaker.say("Heat off", urgent=True)
    for line in ("one", "two", "three"):
        speaker.say(line)
    until_quiet(speaker)
    assert heard(tmp_path)[:2] == ["long story", "Heat off"]
    assert heard(tmp_path)[-1] == "three"
    assert speaker.trouble() is None, "what was cut off did not fail"


def test_stop_is_silence_and_speech_can_go_on_after_it(tmp_path: Path) -> None:
    speaker = Speaker(script(tmp_path, HEARS + KEEPS + HOLDS))
    speaker.say("long story")
    until(lambda: heard(tmp_path))
    speaker.say("never heard")
    speaker.stop()
    until_quiet(speaker)
    speaker.say("heard")
    until_quiet(speaker)
    assert heard(tmp_path) == ["long story", "heard"]


def test_how_long_it_is_quiet_is_counted_from_the_end_of_what_was_said(tmp_path: Path) -> None:
    speaker = Speaker(script(tmp_path, HEARS + KEEPS + HOLDS))
    assert speaker.quiet_seconds == math.inf
    speaker.say("long story")
    assert speaker.quiet_seconds == 0.0
    until(lambda: heard(tmp_path))
    assert speaker.quiet_seconds == 0.0
    before = time.monotonic()
    speaker.stop()
    until_quiet(speaker)
    assert 0.0 < speaker.quiet_seconds <= time.monotonic() - before
    until(lambda: speaker.quiet_seconds > 0.2)


@pytest.mark.parametrize("command", ["file:{folder}/out", "no-such-speech", None])
def test_what_no_ear_can_hear_is_quiet(command: str | None, tmp_path: Path) -> None:
    speaker = Speaker(command.format(folder=tmp_path) if command else None)
    speaker.say("Undo")
    until_quiet(speaker)
    assert speaker.quiet_seconds == math.inf


def test_a_voice_is_audible_until_it_fails_and_a_file_never_is(tmp_path: Path) -> None:
    for command in (f"file:{tmp_path / 'out'}", "", None):
        assert not Speaker(command).audible
    speaker = Speaker(script(tmp_path, "sys.exit(7)"))
    assert speaker.audible
    speaker.say("one")
    until(lambda: not speaker.audible)


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("sys.exit(7)", "failed (exit code 7)"),
        ("import os; os.abort()", "failed (exit code "),
        ("raise SystemError", "failed (exit code 1)"),
    ],
)
def test_a_command_that_fails_is_told_once(tmp_path: Path, what: str, said: str) -> None:
    speaker = Speaker(script(tmp_path, what))
    speaker.say("one")
    speaker.say("two")
    until_quiet(speaker)
    told = speaker.trouble()
    assert told is not None and said in told and told.endswith("; nothing is said aloud")
    assert speaker.trouble() is None


def test_a_command_that_never_ends_is_ended_and_told(tmp_path: Path) -> None:
    speaker = Speaker(script(tmp_path, "time.sleep(60)"), longest_seconds=0.1)
    speaker.say("one")
    until_quiet(speaker)
    told = speaker.trouble()
    assert told is not None and "did not come to an end" in told


def test_a_command_that_reads_nothing_and_prints_megabytes_holds_nobody_up(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    loud = (
        "sys.stdout.write('x' * 3_000_000); sys.stderr.write('y' * 3_000_000); open(out, 'w').write('done')"
    )
    speaker = Speaker(script(tmp_path, loud))
    speaker.say("word " * 5000)
    until_quiet(speaker)
    assert heard(tmp_path) == ["done"]
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ("no-such-speech --loud", "'no-such-speech' was not found; nothing is said aloud"),
        ("'open", "the speech command has an open quotation mark; nothing is said aloud"),
        ("", "the speech command is empty; nothing is said aloud"),
        ([], "the speech command is empty; nothing is said aloud"),
        (["a\0b"], "could not be used"),
        ("file:/no/such/folder/out", "'/no/such/folder/out' was not found; nothing is said aloud"),
    ],
)
def test_a_command_that_cannot_be_run_is_told(command: str | list[str], said: str) -> None:
    speaker = Speaker(command)
    speaker.say("one")
    until_quiet(speaker)
    told = speaker.trouble()
    assert told is not None and said in told
    assert speaker.trouble() is None


def test_a_command_line_is_parted_without_a_shell(tmp_path: Path) -> None:
    argv = script(tmp_path, HEARS + "text += repr(sys.argv[1:])\n" + KEEPS)
    speaker = Speaker(" ".join([*(f'"{part}"' for part in argv), "'two words'", "$HOME", "|", "cat"]))
    speaker.say("said ")
    until_quiet(speaker)
    assert heard(tmp_path) == ["said['two words', '$HOME', '|', 'cat']"]


def test_lines_are_kept_in_a_file_each_as_it_comes(tmp_path: Path) -> None:
    path = tmp_path / "said.txt"
    path.write_text("before\n")
    speaker = Speaker(f"file:{path}")
    said = [f"line {number}" for number in range(20)]
    for line in said:
        speaker.say(line)
    until_quiet(speaker)
    assert path.read_text().splitlines() == ["before", *said]
    assert speaker.trouble() is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="FIFOs are of POSIX systems")
def test_a_fifo_that_nobody_reads_is_told_and_heard_of_once_somebody_does(tmp_path: Path) -> None:
    path = tmp_path / "said"
    os.mkfifo(path)
    speaker = Speaker(f"file:{path}")
    speaker.say("one")
    until_quiet(speaker)
    told = speaker.trouble()
    assert told is not None and told.endswith(
        "could not be used: nobody reads this FIFO; nothing is said aloud"
    )
    reader = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    speaker.say("two")
    until_quiet(speaker)
    assert os.read(reader, 100) == b"two\n"
    os.close(reader)


OUTLIVES = """
import os, sys, time
from mashday.channels.speaker import Speaker
speaker = Speaker(sys.argv[2:])
speaker.say("long story")
while not os.path.exists(sys.argv[1]):
    time.sleep(0.01)
speaker.stop()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a child on Windows is always ended at once")
def test_a_voice_that_will_not_end_does_not_outlive_the_program(tmp_path: Path) -> None:
    stubborn = (
        "import os, signal; signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        "open(out + '.new', 'w').write(str(os.getpid())); os.rename(out + '.new', out)\ntime.sleep(60)"
    )
    command = script(tmp_path, stubborn)
    here = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    subprocess.run([sys.executable, "-c", OUTLIVES, str(tmp_path / "out"), *command], env=here, check=True)
    with pytest.raises(ProcessLookupError):
        os.kill(int(heard(tmp_path)[0]), 0)


@pytest.mark.parametrize(
    ("platform", "there", "missing"),
    [
        ("linux", (), "espeak-ng or spd-say"),
        ("darwin", (), "say"),
        ("win32", (), "powershell"),
        ("linux", ("spd-say",), None),
    ],
)
def test_auto_takes_what_the_machine_has_or_says_what_is_missing(
    platform: str, there: tuple[str, ...], missing: str | None
) -> None:
    speaker = Speaker("auto", platform=platform, which=lambda name: name if name in there else None)
    said = None if missing is None else f"no speech command found: {missing}; nothing is said aloud"
    assert speaker.trouble() == said


def test_silence_is_no_trouble() -> None:
    speaker = Speaker(None)
    speaker.say("nothing", urgent=True)
    speaker.stop()
    assert speaker.trouble() is None


@pytest.mark.skipif(sys.platform == "win32", reason="commands of POSIX")
def test_many_threads_may_speak_at_once(tmp_path: Path) -> None:
    speaker = Speaker(f"file:{tmp_path / 'out'}")
    threads = [
        threading.Thread(target=lambda name=name: [speaker.say(f"{name} {n}") for n in range(25)])  # type: ignore[misc]
        for name in ("one", "two", "three", "four")
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    until_quiet(speaker)
    assert len(heard(tmp_path)) == 100
    assert [line for line in heard(tmp_path) if line.startswith("one")] == [f"one {n}" for n in range(25)]


ESPEAK = shutil.which("espeak-ng")


@pytest.mark.skipif(ESPEAK is None, reason="espeak-ng is not installed: no speech is made for real")
def test_a_real_speech_command_makes_speech_of_a_line(tmp_path: Path) -> None:
    assert ESPEAK is not None
    speaker = Speaker([ESPEAK, "-v", "en", "-w", str(tmp_path / "said.wav"), "--stdin"])
    speaker.say("Stir in five kilograms of malt, it should land at sixty-three point five degrees")
    until_quiet(speaker)
    assert speaker.trouble() is None
    with wave.open(str(tmp_path / "said.wav"), "rb") as file:
        samples = array("h", file.readframes(file.getnframes()))
        seconds = file.getnframes() / file.getframerate()
    assert 2.0 < seconds < 12.0  # fourteen words at about 175 a minute
    assert math.sqrt(sum(sample * sample for sample in samples) / len(samples)) > 500.0
