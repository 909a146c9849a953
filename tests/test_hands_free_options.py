"""The options for wet hands from outside: programs of the person's own are run, and bad words are refused."""

from __future__ import annotations

import argparse
import io
import json
import os
import pty
import re
import shlex
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from mashday.arguments import HANDS_FREE, parser
from mashday.channels.probe import ProbeSettings
from mashday.cli import main
from mashday.commands import beside, hands_free
from mashday.engine.intents import Start
from mashday.faces.tui import start as start_screen
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.schedule.samples import sample_text
from mashday.session.clock import VirtualClock
from mashday.session.rehearsal import Rehearsal
from mashday.session.session import begin

SENTENCE = re.compile(r"mashday: [^\n]+[.?)]\n")
NOTING = """
import json, os, sys
said = sys.stdin.read() if sys.argv[1] != "sound" else ""
told = {"as": sys.argv[1], "said": said.strip(), "last": sys.argv[-1],
        "urgency": os.environ.get("MASHDAY_CALL_URGENCY")}
with open(os.path.join(os.path.dirname(__file__), "noted"), "a") as file:
    file.write(json.dumps(told) + "\\n")
"""


@pytest.fixture(autouse=True)
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A person whose data lie in a folder of the test, with no variables of our own."""
    for key in [key for key in os.environ if key.startswith(("XDG", "MASHDAY"))]:
        monkeypatch.delenv(key)
    monkeypatch.setenv("MASHDAY_SESSIONS", str(tmp_path / "sessions"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(path for path in sys.path if path))


def noting(folder: Path, name: str) -> str:
    """A command that notes how it was called."""
    script = folder / "noting.py"
    script.write_text(NOTING)
    return shlex.join([sys.executable, str(script), name])


def noted(folder: Path) -> list[dict[str, str]]:
    path = folder / "noted"
    lines = path.read_text().splitlines(keepends=True) if path.exists() else []
    return [json.loads(line) for line in lines if line.endswith("\n")]


def until(found: Callable[[], bool], process: subprocess.Popen[str]) -> None:
    """Waits until it is so, while the program lives; gives up after a minute, so that no run hangs."""
    for _ in range(1200):
        if found():
            return
        assert process.poll() is None, process.stdout.read() if process.stdout else ""
        time.sleep(0.05)
    raise AssertionError("it did not come to that")


@pytest.fixture
def lines() -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Starts a day in lines that reads what is written to it; ended with the test."""
    started: list[subprocess.Popen[str]] = []

    def start(*words: str, **variables: str) -> subprocess.Popen[str]:
        process = subprocess.Popen(
            [sys.executable, "-m", "mashday", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, **variables},
        )
        started.append(process)
        return process

    yield start
    for process in started:
        process.kill()
        process.communicate()


def tell(process: subprocess.Popen[str], *said: str) -> None:
    assert process.stdin is not None
    process.stdin.write("".join(f"{line}\n" for line in said))
    process.stdin.flush()


def asked_for(
    *words: str, schedule: str = "", rehearsed: bool = False, plain: bool = False
) -> hands_free.Asked:
    options = parser().parse_args(["run", "x", *words])
    options.plain = plain
    return hands_free.asked(options, schedule_with(schedule), rehearsed=rehearsed)


def schedule_with(more: str) -> Schedule:
    return load(f"{sample_text('lock-seven-barley')}\n{more}")


# Programs of the person's own


@pytest.mark.parametrize("how", ["options", "variables"])
def test_signals_words_and_calls_go_to_the_programs_that_were_named(
    how: str, tmp_path: Path, lines: Callable[..., subprocess.Popen[str]]
) -> None:
    named = {name: noting(tmp_path, name) for name in ("sound", "say", "on_call")}
    words = ["run", "lock-seven-barley", "--plain", "--rehearse"]
    if how == "options":
        day = lines(*words, *[x for n, c in named.items() for x in (f"--{n.replace('_', '-')}", c)])
    else:
        day = lines(*words, **{f"MASHDAY_{name.upper()}": command for name, command in named.items()})

    def heard(name: str, what: str) -> bool:
        return any(one["as"] == name and what in one["said"] for one in noted(tmp_path))

    until(lambda: heard("say", "Did you hear that?") and heard("sound", ""), day)
    tell(day, "heard no")
    until(lambda: [one["said"] for one in noted(tmp_path)].count("Did you hear that?") == 2, day)
    tell(day, "heard yes", "start", "done", "keep it", "wait 60 min")
    until(lambda: heard("on_call", "Water temperature is due"), day)
    tell(day, "69.1")
    until(lambda: heard("say", "Taken: six nine point one degrees"), day)
    tell(day, "quit")
    out, _ = day.communicate()
    assert day.returncode == 0
    assert "A signal was played: did you hear it? Say: heard yes, or: heard no" in out
    assert "Good: calls will be heard." in out
    assert {one["urgency"] for one in noted(tmp_path) if one["as"] == "on_call"} <= {"soon", "now", "danger"}
    assert all(one["last"].endswith(".wav") for one in noted(tmp_path) if one["as"] == "sound")


def test_words_go_to_a_file(tmp_path: Path, lines: Callable[..., subprocess.Popen[str]]) -> None:
    said = tmp_path / "said.txt"
    day = lines("run", "lock-seven-barley", "--plain", "--say", f"file:{said}")
    tell(day, "heard yes", "start", "done", "keep it", "25")
    until(lambda: said.exists() and "Taken: two five degrees" in said.read_text(), day)


@pytest.mark.parametrize("option", ["--sound", "--say", "--on-call"])
def test_a_program_that_is_not_there_is_told_in_words_and_the_day_goes_on(
    option: str, lines: Callable[..., subprocess.Popen[str]]
) -> None:
    day = lines("run", "lock-seven-barley", "--plain", "--rehearse", option, "no-such-program --loud")
    told: list[str] = []
    tell(day, "start", "done", "keep it", "wait 60 min")
    assert day.stdout is not None
    for _ in range(400):
        tell(day, "wait 10 s")
        told.append(day.stdout.readline())
        if "'no-such-program' was not found; " in told[-1]:
            break
    assert told[-1].startswith("'no-such-program' was not found; "), told
    tell(day, "quit")
    day.communicate()
    assert day.returncode == 0


# What cannot be meant


@pytest.mark.parametrize("option", ["--sound", "--say", "--on-call", "--listen-to", "--pedal", "--probe"])
@pytest.mark.parametrize("text", ["", "  "])
def test_an_empty_word_is_refused_before_the_day_begins(
    option: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", "lock-seven-barley", "--plain", option, text]) == 2
    told = capsys.readouterr()
    assert SENTENCE.fullmatch(told.err) and option in told.err
    assert told.out == ""
    assert not (tmp_path / "sessions").exists()


@pytest.mark.parametrize("name", ["sound", "say", "on_call", "listen_to", "probe"])
@pytest.mark.parametrize("by_variable", [False, True])
def test_an_open_quotation_mark_is_refused(
    name: str, by_variable: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    where = f"--{name.replace('_', '-')}"
    words = ["run", "lock-seven-barley", "--plain"]
    if by_variable:
        where = f"MASHDAY_{name.upper()}"
        monkeypatch.setenv(where, "command 'it")
    else:
        words += [where, "command 'it" if name == "listen_to" else "'it"]
    assert main(words) == 2
    told = capsys.readouterr().err
    assert SENTENCE.fullmatch(told) and where in told


@pytest.mark.parametrize(
    "words",
    [
        ["--say", "file:"],
        ["--sound", "''"],
        ["--on-call", "beep\x1b[2J"],
        ["--probe", "one_wire:bright"],
        ["--probe", "mqtt:nowhere"],
        ["--probe", "serial:"],
        ["--listen-to", "neither-fifo-nor-program"],
    ],
)
def test_what_can_be_nothing_is_refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", "lock-seven-barley", "--plain", *words]) == 2
    told = capsys.readouterr().err
    assert SENTENCE.fullmatch(told) and "\x1b" not in told


def test_a_switch_by_variable_is_a_yes_or_a_no(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for said, means in (("1", True), ("yes", True), ("0", False), ("", False), ("NO", False)):
        monkeypatch.setenv("MASHDAY_HANDS_FREE", said)
        assert asked_for().hands_free == means
    monkeypatch.setenv("MASHDAY_HANDS_FREE", "maybe")
    assert main(["run", "lock-seven-barley", "--plain"]) == 2
    assert "MASHDAY_HANDS_FREE" in capsys.readouterr().err


def test_resume_refuses_too_and_leaves_the_day_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in (["run", "lock-seven-barley"], ["resume"]):
        monkeypatch.setattr(sys, "stdin", io.StringIO("start\nquit\n"))
        assert main([*words, "--plain"]) == 0
    (path,) = (tmp_path / "sessions").glob("*.toml")
    before = path.read_bytes()
    capsys.readouterr()
    assert main(["resume", "--plain", "--say", "'it"]) == 2
    assert SENTENCE.fullmatch(capsys.readouterr().err)
    assert path.read_bytes() == before


# What is set up where nothing is said


def test_by_itself_only_the_full_screen_of_a_real_day_sounds() -> None:
    assert asked_for() == hands_free.Asked(sound="auto")
    assert asked_for(rehearsed=True) == asked_for(plain=True) == hands_free.Asked()
    assert asked_for("--sound", "off").sound is None
    for quiet in ({"rehearsed": True}, {"plain": True}):
        assert asked_for("--sound", "auto", **quiet).sound == "auto"


def test_the_start_screen_goes_by_the_variables(monkeypatch: pytest.MonkeyPatch) -> None:
    options = parser().parse_args([])
    assert {name: getattr(options, name) for name in HANDS_FREE} == dict.fromkeys(HANDS_FREE)
    options.plain = False
    monkeypatch.setenv("MASHDAY_SAY", "auto")
    monkeypatch.setenv("MASHDAY_NOTIFY", "yes")
    found = hands_free.asked(options, schedule_with(""), rehearsed=False)
    assert (found.sound, found.say, found.notify) == ("auto", "auto", True)


def test_an_option_goes_before_its_variable_and_off_leaves_it_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MASHDAY_PEDAL", "f4")
    for name in ("sound", "say", "on_call"):
        monkeypatch.setenv(f"MASHDAY_{name.upper()}", "by variable")
    assert asked_for("--on-call", "by 'an option'").on_call == ("by", "an option")
    found = asked_for("--sound", "off", "--say", "off", "--on-call", "off", "--pedal", "off")
    assert found == hands_free.Asked()
    assert asked_for().pedal == "f4"


def test_a_pedal_is_for_the_full_screen() -> None:
    assert asked_for("--pedal", "presenter") == hands_free.Asked(sound="auto", pedal="presenter")
    assert "full screen" in asked_for("--pedal", "f4", plain=True).notices[0]


@pytest.mark.parametrize(
    ("variable", "free"), [(None, True), ("", True), ("1", True), ("0", False), ("off", False)]
)
def test_the_schedule_may_be_for_free_hands_and_a_variable_has_the_last_word(
    variable: str | None, free: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = sample_text("lock-seven-barley")
    options = parser().parse_args(["run", "x"])
    options.plain = False
    schedule = load(f"hands_free = true\n{first}")
    if variable is not None:
        monkeypatch.setenv("MASHDAY_HANDS_FREE", variable)
    assert hands_free.asked(options, schedule, rehearsed=False).hands_free == free


@pytest.mark.skipif(os.name == "nt", reason="FIFOs are of POSIX systems")
def test_a_fifo_that_was_left_behind_is_told_before_the_day(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "words", 0o600)
    (notice,) = asked_for("--listen-to", f"fifo:{tmp_path / 'words'}").notices
    assert notice.endswith(f"If a day that was broken off left it: rm {tmp_path / 'words'}.")
    assert asked_for("--listen-to", f"fifo:{tmp_path / 'others'}").notices == ()


def test_nothing_asked_for_sets_nothing_up() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    made = hands_free.apparatus(hands_free.Asked(), session, None)
    assert (made.herald, made.door, made.probing) == (None, None, None)


def test_what_was_asked_for_is_set_up_and_ended(tmp_path: Path) -> None:
    said = tmp_path / "shows"
    said.write_text("61.2 C\n")
    wanted = asked_for("--probe", f"file:{said}", "--listen-to", f"fifo:{tmp_path / 'words'}", "--notify")
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None)
    made = hands_free.apparatus(wanted, session, None)
    assert made.herald is not None and made.door is not None and made.probing is not None
    assert made.herald.notify is not None
    assert (tmp_path / "words").is_fifo()
    made.close()
    assert not (tmp_path / "words").exists()


def test_a_rehearsal_reads_the_simulated_pot_where_a_day_would_have_a_probe() -> None:
    session = begin(sample_text("lock-seven-barley"), VirtualClock(), folder=None, rehearsed=True, seed=1)
    session.send(Start())
    rehearsal = Rehearsal(session)
    assert hands_free.apparatus(hands_free.Asked(), session, rehearsal).probing is None
    wanted = asked_for("--probe", "read-probe --once", rehearsed=True)
    made = hands_free.apparatus(wanted, session, rehearsal)
    assert made.probing is not None
    for _ in range(10):
        list(rehearsal.wait(0.1))
        made.probing.look()
    assert made.probing.shown.celsius == pytest.approx(rehearsal.thermometer(), abs=2.0)


# The probe of a schedule

RUNS = '[probe]\ncommand = ["read-probe", "--of the pot"]\nunit = "F"\nlag = "8 s"\n'


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def probe_of_schedule(more: str, *words: str) -> tuple[ProbeSettings | None, tuple[str, ...]]:
    options: argparse.Namespace = parser().parse_args(["run", "x", *words])
    return hands_free.probe_settings(options, schedule_with(more), rehearsed=False)


SOURCES = [
    (RUNS, "by running: read-probe '--of the pot'", "Run it?"),
    ('[probe]\nmqtt = "lock-seven/mash"\n', "over the network, from: mqtt:lock-seven/mash", "Connect to it?"),
    ('[probe]\nfile = "/run/mash"\n', "from: file:/run/mash", "Read it?"),
    ('[probe]\nserial = "/dev/ttyUSB0"\n', "from: serial:/dev/ttyUSB0", "Read it?"),
    ('[probe]\none_wire = "28-0316a2795bff"\n', "from: one_wire:28-0316a2795bff", "Read it?"),
]


@pytest.mark.parametrize(("answer", "runs"), [("y\n", True), ("Yes\n", True), ("n\n", False), ("", False)])
@pytest.mark.parametrize(("more", "words", "question"), SOURCES)
def test_whatever_a_stranger_s_schedule_would_read_is_asked_for_first(
    more: str, words: str, question: str, answer: str, runs: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal(answer))
    monkeypatch.setattr(sys, "stdout", out)
    settings, notices = probe_of_schedule(more)
    assert words in out.getvalue() and out.getvalue().endswith(f"{question} y/N ")
    assert (settings is not None, bool(notices)) == (runs, not runs)


@pytest.mark.parametrize("more", [more for more, _, _ in SOURCES])
def test_what_is_asked_for_is_not_read_where_nobody_answers(
    more: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("y\n"))
    settings, (notice,) = probe_of_schedule(more)
    assert settings is None and "nobody could be asked" in notice
    allowed = shlex.split(notice[notice.index("--probe") :])
    assert probe_of_schedule(more, *allowed)[0] is not None


@pytest.mark.parametrize("way", ["run", "resume", "start"])
def test_every_way_into_a_day_asks_for_the_probe_of_its_schedule(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "strange.toml"
    file.write_text(f'{sample_text("lock-seven-barley")}\n[probe]\nfile = "/run/mash"\n')
    if way == "resume":
        monkeypatch.setattr(sys, "stdin", io.StringIO("start\nquit\n"))
        assert main(["run", str(file), "--plain"]) == 0
    found: list[hands_free.Asked] = []
    out = Terminal()
    monkeypatch.setattr(beside, "_refused_terminal", lambda options, plain="": None)
    monkeypatch.setattr(beside, "_beside_the_pot", lambda *day: found.append(day[-1]) or 0)
    monkeypatch.setattr(start_screen, "choose", lambda folder: start_screen.Choice(what=str(file)))
    monkeypatch.setattr(sys, "stdin", Terminal("n\n"))
    monkeypatch.setattr(sys, "stdout", out)
    assert main({"run": ["run", str(file)], "resume": ["resume"], "start": []}[way]) == 0
    assert "from: file:/run/mash\nRead it? y/N" in out.getvalue()
    assert [wanted.probe for wanted in found] == [None]


@pytest.mark.parametrize(
    "path", ["//host/share/x", "\\\\host\\share\\x", "/\\host/x", "\\??\\UNC\\host\\x", "\\\\.\\pipe\\x"]
)
@pytest.mark.parametrize("kind", ["file", "serial"])
def test_a_schedule_reaches_for_no_other_machine(
    kind: str, path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def touched(*path: object) -> None:
        raise AssertionError(f"looked at: {path}")

    out = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal("y\n"))
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(hands_free, "names_own_terminal", touched)
    settings, (notice,) = probe_of_schedule(f"[probe]\n{kind} = '{path}'\n")
    assert settings is None and "it may be on another machine" in notice
    assert out.getvalue() == ""


@pytest.mark.parametrize("kind", ["file", "serial"])
def test_the_terminal_of_the_day_is_no_thermometer(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    out = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal("y\n"))
    monkeypatch.setattr(sys, "stdout", out)
    settings, (notice,) = probe_of_schedule(f'[probe]\n{kind} = "/dev/tty"\n')
    assert settings is None and "where the keys of this day are typed" in notice
    assert out.getvalue() == ""
    with pytest.raises(ValueError, match=r"--probe: '/dev/tty' is where the keys of this day are typed"):
        probe_of_schedule("", "--probe", f"{kind}:/dev/tty")


def test_where_nobody_can_be_asked_it_is_not_run_and_it_is_told_how_to_allow_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("y\n"))
    settings, (notice,) = probe_of_schedule(RUNS)
    assert settings is None
    allowed = shlex.split(notice[notice.index("--probe") :])
    settings, notices = probe_of_schedule(RUNS, *allowed)
    assert settings is not None
    assert settings.command == ("read-probe", "--of the pot")
    # the schedule's own word for the same source says how it is read
    assert (settings.unit, settings.lag_seconds, notices) == ("F", 8.0, ())


def test_another_probe_by_the_command_line_is_the_persons_own_word() -> None:
    settings, _ = probe_of_schedule(RUNS, "--probe", "other-probe")
    assert settings == ProbeSettings(command=("other-probe",))
    assert probe_of_schedule(RUNS, "--probe", "off") == (None, ())


def test_in_a_rehearsal_nobody_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("n\n"))
    assert asked_for(schedule=RUNS, rehearsed=True).probe is not None


def test_without_a_terminal_the_command_of_a_schedule_never_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = json.dumps(shlex.split(noting(tmp_path, "sound")))
    file = tmp_path / "strange.toml"
    file.write_text(f"{sample_text('lock-seven-barley')}\n[probe]\ncommand = {words}\n")
    monkeypatch.setattr(sys, "stdin", io.StringIO("y\ny\nquit\n"))
    assert main(["run", str(file), "--plain"]) == 0
    assert "nobody could be asked" in capsys.readouterr().out
    assert noted(tmp_path) == []


@pytest.mark.parametrize("answer", ["y", "n"])
def test_at_a_terminal_the_command_of_a_schedule_runs_once_it_is_agreed_to(
    tmp_path: Path, answer: str
) -> None:
    words = json.dumps(shlex.split(noting(tmp_path, "sound")))
    file = tmp_path / "strange.toml"
    file.write_text(f"{sample_text('lock-seven-barley')}\n[probe]\ncommand = {words}\n")
    ours, theirs = pty.openpty()
    day = subprocess.Popen(
        [sys.executable, "-m", "mashday", "run", str(file), "--plain", "--sound", "off"],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        close_fds=True,
    )
    os.close(theirs)
    told = b""
    while b"y/N" not in told:
        told += os.read(ours, 1024)
    assert noted(tmp_path) == []
    os.write(ours, f"{answer}\n".encode())
    while b"Say 'start'" not in told:
        told += os.read(ours, 1024)
    while answer == "y" and not noted(tmp_path):
        assert day.poll() is None
        time.sleep(0.05)
    os.write(ours, b"quit\n")
    while day.poll() is None:
        try:
            os.read(ours, 1024)
        except OSError:
            break
    assert day.wait() == 0
    os.close(ours)
    assert bool(noted(tmp_path)) == (answer == "y")


def test_free_hands_without_a_probe_and_a_command_that_is_not_there_are_told_before_the_day() -> None:
    found = asked_for("--hands-free", "--on-call", "no-such-lamp --blink")
    assert any("no probe is read" in notice for notice in found.notices)
    assert any("no-such-lamp" in notice for notice in found.notices)
    assert asked_for("--on-call", sys.executable).notices == ()
