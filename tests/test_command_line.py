"""The command line as a person meets it: exit codes, one clear sentence for each thing that can be wrong."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from mashday.cli import main
from mashday.schedule.samples import sample_names
from mashday.session.library import days
from mashday.session.session import look

pytestmark = pytest.mark.long


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """An environment whose data and state lie in a folder of the test."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("XDG", "MASHDAY"))}
    return {
        **kept,
        "MASHDAY_SESSIONS": str(tmp_path / "sessions"),
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "TERM": "xterm-256color",
    }


@pytest.fixture
def here(environment: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The same for commands run in this process."""
    for key in ("MASHDAY_SESSIONS", "XDG_STATE_HOME"):
        monkeypatch.setenv(key, environment[key])


def run(
    *words: str, environment: dict[str, str], typed: str = "", cwd: Path | None = None
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "mashday", *words],
        input=typed,
        capture_output=True,
        text=True,
        env=environment,
        cwd=cwd,
        check=False,
        timeout=60,
    )


def test_version_and_help(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["--version"], ["--help"], ["run", "--help"]):
        with pytest.raises(SystemExit) as ended:
            main(words)
        assert ended.value.code == 0
    assert "mashday" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words", [["fly"], ["run"], ["plan", "a", "--start", "25:00"], ["run", "x", "--rate", "0"]]
)
def test_wrong_usage_is_refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    try:
        code: object = main(words)
    except SystemExit as ended:
        code = ended.code
    assert code == 2
    told = capsys.readouterr().err
    assert "usage" in told or "See: mashday --help" in told


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("name", sample_names())
def test_every_sample_is_found_by_name(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", name]) == 0
    assert main(["plan", name, "--json"]) == 0
    out = capsys.readouterr().out
    assert json.loads(out[out.index("{") :])["warnings"] == []


@pytest.mark.usefixtures("here")
def test_a_missing_file_offers_the_nearest_sample(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "lock-seven-barly"]) == 2
    assert "lock-seven-barley" in capsys.readouterr().err


@pytest.mark.usefixtures("here")
def test_all_problems_of_a_file_are_told_with_their_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('format = 1\nname = "x"\n[pot]\nvolume = "33 parsecs"\n[[step]]\nkind = "rst"\n')
    assert main(["run", "--plain", str(bad)]) == 2
    told = capsys.readouterr().err
    assert "line 4" in told and "line 6" in told and "rest" in told
    assert main(["check", str(bad), "--json"]) == 2
    files = json.loads(capsys.readouterr().out)["files"]
    assert files[0]["ok"] is False
    assert {"severity", "key", "line", "found", "remedy"} == set(files[0]["problems"][0])


@pytest.mark.usefixtures("here")
def test_an_infeasible_day_is_refused_by_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from mashday.schedule.samples import sample_text  # noqa: PLC0415

    small = tmp_path / "small.toml"
    small.write_text(sample_text("lock-seven-barley").replace('volume = "33 L"', 'volume = "16 L"', 1))
    assert main(["check", str(small)]) == 2
    assert "larger pot" in capsys.readouterr().out


@pytest.mark.usefixtures("here")
def test_output_goes_to_the_file_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "plan.txt"
    assert main(["plan", "lock-seven-barley", "--ready", "16:30", "-o", str(target)]) == 0
    assert capsys.readouterr().out == ""
    assert "done about 16:30" in target.read_text()
    assert main(["plan", "lock-seven-barley", "-o", str(tmp_path / "no" / "folder" / "x")]) == 1
    assert "plan" not in capsys.readouterr().out


@pytest.mark.usefixtures("here")
def test_a_rehearsed_day_is_the_same_for_a_seed_and_kept_only_on_request(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rehearse", "lock-seven-barley", "--seed", "4", "--json"]) == 0
    first = json.loads(capsys.readouterr().out)
    assert main(["rehearse", "lock-seven-barley", "--seed", "4", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["rests"] == first["rests"]
    assert set(first) >= {"seed", "truth", "rests", "overflowed", "finished", "summary"}
    assert not list(tmp_path.rglob("*-barley-wash.toml"))
    assert main(["rehearse", "lock-seven-barley", "--sessions", str(tmp_path / "kept")]) == 0
    assert len(list((tmp_path / "kept").glob("*.toml"))) == 1
    assert "SUMMARY" in capsys.readouterr().out


def test_a_day_in_plain_lines_is_left_open_and_resumed_by_name(
    environment: dict[str, str], tmp_path: Path
) -> None:
    done = run("run", "lock-seven-barley", "--plain", environment=environment, typed="start\ntick\nquit\n")
    assert done.returncode == 0
    assert "SUMMARY" in done.stdout and "mashday resume 20" in done.stdout
    again = run("resume", "--plain", environment=environment, typed="tick\nfinish\nkeep it\n")
    assert again.returncode == 0 and "[x] 2 of 8" in again.stdout
    assert run("resume", "--plain", environment=environment).returncode == 2
    summary = run("summary", "--json", environment=environment)
    assert json.loads(summary.stdout)["state"] == "complete"
    assert "Ended early" in run("summary", environment=environment).stdout


def test_nothing_to_resume_or_to_summarise_says_so(environment: dict[str, str]) -> None:
    for word in ("resume", "summary"):
        done = run(word, *(["--plain"] if word == "resume" else []), environment=environment)
        assert done.returncode == 2
        assert done.stderr.count("\n") == 1 and "mashday run FILE" in done.stderr


def test_without_a_terminal_one_sentence_offers_the_line_mode(environment: dict[str, str]) -> None:
    done = run("run", "lock-seven-barley", environment=environment)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1 and "--plain" in done.stderr
    assert not (Path(environment["MASHDAY_SESSIONS"])).exists()


def test_a_folder_that_is_none_is_said_before_the_fire_is_lit(
    environment: dict[str, str], tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("x")
    done = run(
        "run", "lock-seven-barley", "--plain", "--sessions", str(tmp_path / "file"), environment=environment
    )
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1


def test_a_damaged_file_is_shown_and_not_gone_on_with(environment: dict[str, str]) -> None:
    run("run", "lock-seven-barley", "--plain", environment=environment, typed="start\ntick\ntick\nquit\n")
    path = next(Path(environment["MASHDAY_SESSIONS"]).glob("*.toml"))
    before = path.read_bytes()
    broken = before.replace(b"step begun", b"step begin", 1)
    assert broken != before
    path.write_bytes(broken)
    done = run("resume", path.stem, "--plain", environment=environment)
    assert done.returncode == 1 and "entry" in done.stderr
    assert path.read_bytes() == broken
    assert "ONLY A LOOK" in done.stdout and "Say save to go on with it in a new file." in done.stdout
    went_on = run("resume", path.stem, "--plain", environment=environment, typed="save\nnote on\nquit\n")
    assert went_on.returncode == 0 and "Note: on" in went_on.stdout
    assert path.read_bytes() == broken
    assert run("resume", "--plain", environment=environment, typed="quit\n").returncode == 0
    assert run("summary", str(path), environment=environment).returncode in (0, 1)


def test_our_own_fault_is_said_and_written_down(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(options: object) -> int:
        raise AssertionError("a fault of ours")

    monkeypatch.setenv("XDG_STATE_HOME", environment["XDG_STATE_HOME"])
    monkeypatch.setattr("mashday.commands.paper.plan", broken)
    assert main(["plan", "lock-seven-barley"]) == 3
    told = capsys.readouterr().err
    assert "our fault" in told and told.count("\n") == 1
    assert "a fault of ours" in (Path(environment["XDG_STATE_HOME"]) / "mashday" / "crash.txt").read_text()


class Beside:
    """A real plain day as a child process."""

    def __init__(self, *words: str, environment: dict[str, str]) -> None:
        self.child = subprocess.Popen(
            [sys.executable, "-m", "mashday", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment,
        )
        self.told = ""

    def say(self, line: str) -> None:
        assert self.child.stdin is not None
        self.child.stdin.write(f"{line}\n".encode())
        self.child.stdin.flush()

    def until(self, word: str) -> None:
        assert self.child.stdout is not None
        ends = time.monotonic() + 30.0
        while word not in self.told and time.monotonic() < ends:
            if select.select([self.child.stdout], [], [], 0.2)[0]:
                self.told += os.read(self.child.stdout.fileno(), 65536).decode()
        assert word in self.told, self.told[-500:]

    def end(self, number: int) -> int:
        self.child.send_signal(number)
        code = self.child.wait(timeout=30)
        for stream in (self.child.stdin, self.child.stdout, self.child.stderr):
            assert stream is not None
            stream.close()
        return code


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_a_signal_leaves_the_day_open(environment: dict[str, str], number: int, code: int) -> None:
    day = Beside("run", "lock-seven-barley", "--plain", environment=environment)
    day.say("start")
    day.until("Set-up begins")
    assert day.end(number) == code
    kept = days(Path(environment["MASHDAY_SESSIONS"]))
    assert [one.unfinished for one in kept] == [True]


def test_a_day_open_elsewhere_is_not_taken_twice(environment: dict[str, str]) -> None:
    day = Beside("run", "lock-seven-barley", "--plain", environment=environment)
    day.say("start")
    day.until("Set-up begins")
    second = run("resume", "--plain", environment=environment, typed="note from the kitchen\n")
    assert second.returncode == 1 and str(day.child.pid) in second.stderr
    assert "ONLY A LOOK" in second.stdout and "Note:" not in second.stdout
    assert "This is only a look." in second.stdout
    day.end(signal.SIGKILL)
    assert run("resume", "--plain", environment=environment, typed="quit\n").returncode == 0


def test_what_was_told_survives_kill_nine_and_the_rest_goes_on(environment: dict[str, str]) -> None:
    notes: list[str] = []
    folder = Path(environment["MASHDAY_SESSIONS"])
    for turn in range(6):
        words = ("run", "lock-seven-barley", "--plain") if turn == 0 else ("resume", "--plain")
        day = Beside(*words, environment=environment)
        if turn == 0:
            day.until("Say 'start'")
            for line in ("start", "done", "keep it", "unknown", "done", "done", "keep it"):
                day.say(line)
            day.until("Step 4 of 9")
        for _ in range(4):
            notes.append(f"note {len(notes)}")
            day.say(f"note {notes[-1]}")
            day.until(f"Note: {notes[-1]}")
        assert day.end(signal.SIGKILL) == -signal.SIGKILL
        _, state, recovered = look(next(folder.glob("*.toml")))
        assert recovered.damage is None
        assert [note.text for note in state.notes][: len(notes)] == notes
        assert state.step == 4 and state.phase == "running"
    began = next(record.began for record in state.records if record.number == 4)
    again = run("resume", "--plain", environment=environment, typed="left\nquit\n")
    counted = re.search(r"(\d+):(\d\d) left of rest", again.stdout)
    assert counted is not None
    _, state, _ = look(next(folder.glob("*.toml")))
    seconds = 60 * int(counted[1]) + int(counted[2])
    assert seconds == pytest.approx(3600.0 - (state.t - began), abs=1.5)


def test_a_rehearsed_day_killed_goes_on_at_its_own_last_moment(environment: dict[str, str]) -> None:
    day = Beside("run", "lock-seven-barley", "--plain", "--rehearse", environment=environment)
    for line in (
        "start",
        "done",
        "keep it",
        "unknown",
        "done",
        "wait 8 min",
        "done",
        "keep it",
        "wait 20 min",
    ):
        day.say(line)
    day.say("note here")
    day.until("Note: here")
    day.end(signal.SIGKILL)
    path = next(Path(environment["MASHDAY_SESSIONS"]).glob("*.toml"))
    again = run("resume", path.stem, "--plain", environment=environment, typed="left\nquit\n")
    assert "40:00 left of rest" in again.stdout


def test_a_terminal_too_small_is_said(environment: dict[str, str]) -> None:
    import fcntl  # noqa: PLC0415
    import struct  # noqa: PLC0415
    import termios  # noqa: PLC0415

    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 3, 10, 0, 0))
    done = subprocess.run(
        [sys.executable, "-m", "mashday", "run", "lock-seven-barley"],
        stdin=slave,
        stdout=subprocess.PIPE,
        stderr=slave,
        env=environment,
        check=False,
        timeout=60,
    )
    told = os.read(master, 4096).decode()
    os.close(slave)
    os.close(master)
    assert done.returncode == 2 and "80 by 24" in told


def test_a_day_that_went_on_in_another_folder_is_named_by_its_path(
    environment: dict[str, str], tmp_path: Path
) -> None:
    other = tmp_path / "a stick"
    done = run(
        *("run", "lock-seven-barley", "--plain"),
        environment=environment,
        typed=f"start\nsave {other}\nquit\n",
    )
    path = next(other.glob("*.toml"))
    assert done.stdout.rstrip().endswith(f"Go on with: mashday resume '{path}'")
    assert run("resume", str(path), "--plain", environment=environment, typed="quit\n").returncode == 0
    told = run("summary", environment=environment)
    assert told.returncode == 0 and "SUMMARY" in told.stdout
    assert told.stderr.startswith("mashday: This day went on in another file. Take it up with")


@pytest.mark.parametrize("leaves", ["quit", "the input ends", "SIGTERM", "SIGTERM and SIGHUP"])
def test_a_day_that_is_left_not_saved_is_kept_in_the_home_folder(
    environment: dict[str, str], tmp_path: Path, leaves: str
) -> None:
    home = {**environment, "HOME": str(tmp_path / "home"), "USERPROFILE": str(tmp_path / "home")}
    day = Beside("run", "lock-seven-barley", "--plain", environment=home)
    day.until("Say 'start'")
    day.say("start")
    day.until("Step 1 of 9")
    next(Path(environment["MASHDAY_SESSIONS"]).glob("*.toml")).unlink()
    day.say("note in memory only")
    day.until("NOT SAVED")
    if leaves == "SIGTERM":
        assert day.end(signal.SIGTERM) == 128 + signal.SIGTERM
    elif leaves == "SIGTERM and SIGHUP":
        day.child.send_signal(signal.SIGTERM)
        time.sleep(0.0005)
        assert day.end(signal.SIGHUP) in (128 + signal.SIGTERM, 128 + signal.SIGHUP)
    else:
        if leaves == "quit":
            day.say("quit")
        assert day.child.stdin is not None
        day.child.stdin.close()
        assert day.child.wait(timeout=60) == 1
    (kept,) = (tmp_path / "home" / "mashday").glob("*.toml")
    _, state, _ = look(kept)
    assert [note.text for note in state.notes] == ["in memory only"]
    again = run("resume", "--plain", environment=home)
    assert again.returncode == 2 and str(kept) in again.stderr
