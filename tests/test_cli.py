"""The command line from outside: every command for every sample, streams that fail, files that are none."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import struct
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from days import BARLEY

from mashday import __version__
from mashday.cli import main
from mashday.schedule.samples import sample_names, sample_text

SIGNALS = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
SENTENCE = re.compile(r"mashday: [^\n]+[.?)]\n")
PLAN_KEYS = ("strike", "mash", "grist", "water", "expected", "steps", "ends_minute", "warnings")
REHEARSE_KEYS = ("seed", "truth", "rests", "overflowed", "finished", "summary")
REST_KEYS = ("target_celsius", "first_celsius", "settled_celsius", "mean_celsius", "remedies")


@pytest.fixture
def sessions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The sessions folder of a person whose data and state lie in a folder of the test."""
    for key in [key for key in os.environ if key.startswith(("XDG", "MASHDAY", "PYTHONIO"))]:
        monkeypatch.delenv(key)
    folder = tmp_path / "sessions"
    monkeypatch.setenv("MASHDAY_SESSIONS", str(folder))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(path for path in sys.path if path))
    return folder


def in_a_process(*words: str, typed: str | bytes = "", **more: Any) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "mashday", *words]
    done = subprocess.run(command, input=_bytes(typed), capture_output=True, check=False, timeout=60, **more)
    return subprocess.CompletedProcess(words, done.returncode, _text(done.stdout), _text(done.stderr))


def run(*words: str, typed: str | bytes = "") -> subprocess.CompletedProcess[str]:
    """The program here, with streams of its own: the same as `in_a_process`, many times faster."""
    typed_in, told, complained = (io.TextIOWrapper(io.BytesIO(data)) for data in (_bytes(typed), b"", b""))
    handlers = {number: signal.getsignal(number) for number in SIGNALS}
    with pytest.MonkeyPatch.context() as here:
        here.setattr(sys, "stdin", typed_in)
        here.setattr(sys, "stdout", told)
        here.setattr(sys, "stderr", complained)
        try:
            code = main(list(words))
        except SystemExit as left:
            code = int(left.code or 0)
        finally:
            for number, handler in handlers.items():
                signal.signal(number, handler)
    return subprocess.CompletedProcess(words, code, _written(told), _written(complained))


def _bytes(typed: str | bytes) -> bytes:
    return typed.encode() if isinstance(typed, str) else typed


def _text(told: bytes) -> str:
    return told.decode("utf-8", "replace")


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer = stream.buffer
    assert isinstance(buffer, io.BytesIO)
    return _text(buffer.getvalue())


@pytest.mark.usefixtures("sessions")
def test_the_version_is_told() -> None:
    done = in_a_process("--version")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"mashday {__version__}\n", "")


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("name", sample_names())
def test_every_command_on_paper_takes_every_sample(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["plan", name], ["plan", name, "--units", "us", "--start", "9"], ["check", name]):
        assert main(words) == 0
        told = capsys.readouterr()
        assert told.out and told.err == ""
    assert main(["plan", name, "--json"]) == 0
    assert set(PLAN_KEYS) <= set(json.loads(capsys.readouterr().out))
    assert main(["check", name, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [{"file": name, "ok": True, "problems": []}]


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize(
    ("typed", "told"),
    [
        *(("9", "09:00"), ("9:30", "09:30"), ("09:30", "09:30"), ("0:05", "00:05"), ("9.30", "09:30")),
        *(
            ("9am", "09:00"),
            ("9 pm", "21:00"),
            ("4:30 p.m.", "16:30"),
            ("12 am", "00:00"),
            ("12 PM", "12:00"),
        ),
    ],
)
def test_a_time_of_day_is_taken_as_people_write_it(
    typed: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", "lock-seven-barley", "--start", typed]) == 0
    assert re.search(rf" 1 set-up +{told} ", capsys.readouterr().out)
    assert main(["plan", "lock-seven-barley", "--ready", typed]) == 0
    assert f"done about {told}" in capsys.readouterr().out


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize(
    "typed", ["24:00", "9:60", "noon", "", "-1", "9:30+02:00", "9:30:10", "13 pm", "0 am"]
)
def test_what_is_no_time_of_day_is_refused_with_how_to_write_it(
    typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["plan", "lock-seven-barley", f"--start={typed}"])
    assert ended.value.code == 2
    assert "write it like 10:00" in capsys.readouterr().err


@pytest.mark.parametrize("name", sample_names())
def test_every_sample_is_rehearsed_kept_and_summed_up_again(
    name: str, sessions: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rehearse", name, "--json", "--seed", "3", "--sessions", str(sessions)]) == 0
    rehearsed = json.loads(capsys.readouterr().out)
    assert set(REHEARSE_KEYS) <= set(rehearsed)
    assert all(set(REST_KEYS) <= set(rest) for rest in rehearsed["rests"])
    assert rehearsed["finished"] and not rehearsed["overflowed"]
    (path,) = sessions.glob("*.toml")
    assert main(["summary", path.stem, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == rehearsed["summary"]
    for units in ("metric", "us"):
        assert main(["summary", str(path), "--units", units]) == 0
        told = capsys.readouterr().out
        assert "Complete." in told and "A rehearsed day" in told
        assert set(re.findall(r"\d ([CF])\b", told)) == {"F" if units == "us" else "C"}


def test_a_rehearsal_is_told_the_same_for_a_seed(sessions: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for seed in ("7", "7", "8"):
        assert main(["rehearse", "lock-seven-barley", "--seed", seed]) == 0
        told.append(capsys.readouterr().out)
    assert told[0] == told[1] != told[2]
    assert "10:00  The day has begun" in told[0] and "SUMMARY" in told[0]
    assert not sessions.exists()


@pytest.mark.usefixtures("sessions")
def test_a_rehearsal_without_the_option_keeps_nothing_though_a_folder_is_set(tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    assert run("rehearse", "lock-seven-barley").returncode == 0
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.usefixtures("sessions")
def test_a_rehearsed_day_is_no_day_to_sum_up_or_resume_unnamed(sessions: Path) -> None:
    assert main(["rehearse", "lock-seven-barley", "--sessions", str(sessions)]) == 0
    done = run("summary")
    assert done.returncode == 2 and "rehearsed" in done.stderr and "barley" in done.stderr


@pytest.mark.usefixtures("sessions")
def test_what_is_written_to_a_file_is_what_would_have_been_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "out"
    for words in (
        ["plan", "sluice-maize"],
        ["plan", "sluice-maize", "--json"],
        ["check", "sluice-maize"],
        ["rehearse", "sluice-maize"],
    ):
        assert main(words) == 0
        shown = capsys.readouterr().out
        assert main([*words, "-o", str(target)]) == 0
        assert capsys.readouterr().out == ""
        assert target.read_text(encoding="utf-8") == shown


@pytest.mark.usefixtures("sessions")
def test_several_files_are_checked_whatever_the_first_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "bad.toml").write_text(BARLEY.replace('kind = "rest"', 'kind = "rst"'))
    assert main(["check", "bad.toml", "nowhere.toml", "sluice-maize", "--json"]) == 2
    files = json.loads(capsys.readouterr().out)["files"]
    assert [(file["file"], file["ok"]) for file in files] == [
        ("bad.toml", False),
        ("nowhere.toml", False),
        ("sluice-maize", True),
    ]


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("words", [("plan",), ("rehearse",), ("run", "--plain")])
def test_every_problem_of_a_broken_schedule_is_told_with_its_line(
    words: tuple[str, ...], tmp_path: Path, sessions: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changes = (
        ('volume = "33 L"', 'volume = "33"'),
        ('mass = "5 kg"', 'mass = "-5 kg"'),
        ('time = "60 min"', 'tiem = "60 min"'),
        ('by = "coil"', 'by = "wind"'),
    )
    broken, lines = BARLEY, []
    for old, new in changes:
        lines.append(BARLEY[: BARLEY.index(old)].count("\n") + 1)
        broken = broken.replace(old, new)
    (tmp_path / "bad.toml").write_text(broken)
    assert main([*words, "bad.toml"]) == 2
    told = capsys.readouterr()
    assert told.out == "" and not sessions.exists()
    complained = told.err.splitlines()
    assert all(line.startswith("mashday: line ") for line in complained)
    assert set(lines) <= {int(line.split()[2].rstrip(",")) for line in complained}
    assert "tiem" in told.err and "time" in told.err


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("word", ["plan", "rehearse"])
@pytest.mark.parametrize("what", ["nowhere.toml", ".", "\x1b[2J", "", "a\nb"])
def test_what_is_no_file_is_refused_in_one_clean_line(
    word: str, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([word, what]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.startswith("mashday: ")
    assert told.err.count("\n") == 1 and told.err.rstrip("\n").isprintable()


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("near", ["lock-seven-barly", "sluice-mais", "Towpath-stepped", "bargeman-rye"])
def test_the_nearest_sample_is_offered(near: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", near]) == 2
    offered = re.search(r"write (\S+)\n", capsys.readouterr().err)
    assert offered is not None and offered[1] in sample_names()
    assert offered[1][:5] == near.lower()[:5]


def test_a_path_wins_over_a_sample(
    sessions: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = sample_text("lock-seven-barley").replace("Lock Seven barley wash", "My own barley")
    (tmp_path / "lock-seven-barley").write_text(own)
    assert main(["plan", "lock-seven-barley"]) == 0
    assert "My own barley" in capsys.readouterr().out


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize(
    "words", [("run", "lock-seven-barley", "--plain"), ("rehearse", "lock-seven-barley")]
)
def test_a_folder_that_cannot_be_written_is_said_in_one_sentence(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("x")
    done = run(*words, "--sessions", str(tmp_path / "file"))
    assert done.returncode == 1 and done.stdout == ""
    assert SENTENCE.fullmatch(done.stderr) and "--sessions" in done.stderr


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere, so no folder is shut to it")
@pytest.mark.usefixtures("sessions")
def test_a_folder_that_is_shut_is_said_in_one_sentence(tmp_path: Path) -> None:
    shut = tmp_path / "shut"
    shut.mkdir(mode=0o500)
    done = run("run", "lock-seven-barley", "--plain", "--sessions", str(shut))
    assert done.returncode == 1 and SENTENCE.fullmatch(done.stderr)


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("target", ["no/such/folder/x", ".", "/dev/full"])
def test_a_file_that_cannot_be_written_is_not_done(target: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "lock-seven-barley", "-o", target]) == 1
    assert SENTENCE.fullmatch(capsys.readouterr().err)


@pytest.mark.usefixtures("sessions")
def test_a_full_disk_behind_standard_output_is_not_done() -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "mashday", "plan", "lock-seven-barley"],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            timeout=60,
        )
    assert done.returncode != 0 and b"Traceback" not in done.stderr


@pytest.mark.usefixtures("sessions")
def test_a_reader_that_has_seen_enough_is_no_fault() -> None:
    command = f"'{sys.executable}' -m mashday rehearse lock-seven-barley; echo code $? >&2"
    child = subprocess.Popen(["sh", "-c", command], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert child.stdout is not None and child.stderr is not None
    child.stdout.close()
    assert child.stderr.read() == "code 0\n"
    child.stderr.close()
    child.wait(timeout=60)


def test_the_end_of_the_input_leaves_the_day_open(sessions: Path) -> None:
    for typed in ("", "start\n", "start\nnote no line end"):
        done = run("run", "lock-seven-barley", "--plain", typed=typed)
        assert done.returncode == 0 and "mashday resume" in done.stdout
    assert "no line end" in done.stdout


@pytest.mark.parametrize("more", [(), ("--rehearse",)])
def test_bytes_that_are_no_text_end_nothing(
    sessions: Path, more: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONIOENCODING", "utf-8:strict")
    typed = b"start\n\xff\xfe\x00\x1b[2J\nnote heard\nquit\n"
    done = in_a_process("run", "lock-seven-barley", "--plain", *more, typed=typed)
    assert done.returncode == 0 and done.stderr == ""
    assert "heard" in done.stdout and "\x1b" not in done.stdout


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("words", [("plan",), ("check",), ("rehearse",), ("run", "--plain")])
def test_a_letter_the_output_does_not_know_ends_nothing(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "Schleuse Z\N{LATIN SMALL LETTER U WITH DIAERESIS}g \N{SNOWMAN}"
    (tmp_path / "own.toml").write_text(BARLEY.replace("Lock Seven barley wash", name), encoding="utf-8")
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    done = in_a_process(*words, "own.toml", typed="start\nquit\n")
    assert done.returncode == 0 and done.stderr == ""
    assert "Schleuse Z?g ?" in done.stdout or words == ("check",)


@pytest.mark.parametrize("closed", ["<&-", ">&-"])
def test_a_closed_stream_leaves_the_day_open(sessions: Path, closed: str) -> None:
    command = f"echo quit | '{sys.executable}' -m mashday run lock-seven-barley --plain {closed}"
    done = subprocess.run(["sh", "-c", command], capture_output=True, check=False, timeout=60)
    assert done.returncode == 0 and done.stderr == b""
    assert len(list(sessions.glob("*.toml"))) == 1


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("words", [("run", "lock-seven-barley"), ("run", "x.toml", "--rehearse"), ()])
def test_without_a_terminal_there_is_one_sentence(words: tuple[str, ...]) -> None:
    done = run(*words)
    assert done.returncode == 2 and done.stdout == ""
    assert SENTENCE.fullmatch(done.stderr) and "--plain" in done.stderr


def on_terminal(*words: str, columns: int = 80, rows: int = 24, **settings: str) -> tuple[int, str]:
    """The exit code of a command on a terminal of its own, and what it said there."""
    fcntl, pty, termios = (pytest.importorskip(name) for name in ("fcntl", "pty", "termios"))
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    done = subprocess.run(
        [sys.executable, "-m", "mashday", *words],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env={**os.environ, **settings},
        check=False,
        timeout=60,
    )
    told = os.read(master, 65536).decode()
    os.close(slave)
    os.close(master)
    return done.returncode, told


@pytest.mark.parametrize(
    ("size", "settings", "piece"),
    [
        ((80, 24), {"TERM": "dumb"}, "cannot place text"),
        ((80, 24), {"TERM": "unknown"}, "cannot place text"),
        ((19, 24), {}, "19 columns"),
        ((80, 4), {}, "4 rows"),
    ],
)
def test_a_terminal_that_cannot_carry_the_screen_is_told_what_can(
    sessions: Path, size: tuple[int, int], settings: dict[str, str], piece: str
) -> None:
    columns, rows = size
    code, told = on_terminal("run", "lock-seven-barley", columns=columns, rows=rows, **settings)
    assert code == 2
    assert told.startswith("mashday: ") and told.count("\n") == 1
    assert piece in told and "--plain" in told
    assert not sessions.exists()


def day(sessions: Path, *lines: str) -> Path:
    """A real day in plain lines, left open, and its file."""
    assert run("run", "lock-seven-barley", "--plain", typed="\n".join([*lines, "quit", ""])).returncode == 0
    return max(sessions.glob("*.toml"), key=lambda path: path.stat().st_mtime_ns)


def test_an_unfinished_day_is_summed_up_and_stays_open(sessions: Path) -> None:
    path = day(sessions, "start", "note the malt smells sweet")
    before = path.read_bytes()
    told = run("summary")
    assert told.returncode == 0 and told.stderr == ""
    assert "Still open." in told.stdout and "the malt smells sweet" in told.stdout
    made = json.loads(run("summary", path.stem, "--json").stdout)
    assert (made["state"], made["ended"], made["rehearsed"]) == ("running", None, False)
    assert path.read_bytes() == before


def test_a_torn_end_is_left_out_of_the_summary_and_the_file_untouched(sessions: Path) -> None:
    path = day(sessions, "start", "note first", "note second")
    whole = path.read_bytes()
    path.write_bytes(whole[:-30])
    done = run("summary")
    assert done.returncode == 0
    assert "first" in done.stdout and "second" not in done.stdout
    assert path.read_bytes() == whole[:-30]


def test_a_damaged_file_says_where_and_shows_what_stands_before_it(sessions: Path) -> None:
    path = day(sessions, "start", "note first", "note then another", "note third")
    damaged = path.read_bytes().replace(b"then another", b"then an ether")
    path.write_bytes(damaged)
    done = run("summary")
    assert done.returncode == 0
    assert "first" in done.stdout and "third" not in done.stdout and "an ether" not in done.stdout
    assert SENTENCE.fullmatch(done.stderr) and "What can be believed is shown." in done.stderr
    taken_up = run("resume", "--plain", typed="note fourth\nquit\n")
    assert taken_up.returncode == 1 and SENTENCE.fullmatch(taken_up.stderr)
    assert path.read_bytes() == damaged


@pytest.mark.parametrize(
    "content", [b"", b"\x00" * 300, BARLEY.encode(), b"[session]\nschema = 1\n", b"\xff"]
)
@pytest.mark.parametrize("words", [("summary",), ("resume", "--plain")])
def test_a_file_that_is_no_session_is_said_in_one_sentence(
    sessions: Path, tmp_path: Path, content: bytes, words: tuple[str, ...]
) -> None:
    other = tmp_path / "other.toml"
    other.write_bytes(content)
    done = run(*words, str(other))
    assert done.returncode == 1 and done.stdout == ""
    assert SENTENCE.fullmatch(done.stderr)
    assert other.read_bytes() == content


def test_the_beginning_of_a_name_is_enough_unless_it_fits_several(sessions: Path) -> None:
    first = day(sessions, "start")
    second = day(sessions, "note another one")
    assert run("summary", first.stem[:-1]).returncode == 2
    told = run("summary", first.stem[:4])
    assert told.returncode == 2 and first.stem in told.stderr and second.stem in told.stderr
    assert "another one" in run("summary", second.stem).stdout
    missing = run("summary", "lock")
    assert missing.returncode == 2 and SENTENCE.fullmatch(missing.stderr)


def test_a_finished_day_is_not_taken_up(sessions: Path) -> None:
    path = day(sessions, "start", "abort", "keep it")
    done = run("resume", path.stem, "--plain")
    assert done.returncode == 1 and done.stderr.count("\n") == 1
    assert f"See it with: mashday summary {path.stem}" in done.stderr
    assert "Given up." in run("summary").stdout


def test_the_option_names_the_folder_over_the_environment(sessions: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    done = run("run", "lock-seven-barley", "--plain", "--sessions", str(other), typed="quit\n")
    assert done.returncode == 0
    assert len(list(other.glob("*.toml"))) == 1 and not sessions.exists()
    assert run("summary").returncode == 2
    assert run("summary", "--sessions", str(other)).returncode == 0


def test_units_change_what_is_shown_of_a_day(sessions: Path) -> None:
    done = run("run", "lock-seven-barley", "--plain", "--units", "us", typed="start\nquit\n")
    assert done.returncode == 0
    for told, unit in ((done, "F"), (run("summary"), "F"), (run("summary", "--units", "metric"), "C")):
        assert set(re.findall(r"\d ([CF])\b", told.stdout[told.stdout.index("STEPS") :])) == {unit}


FAULT = """\
import sys
import mashday.commands.paper
from mashday.cli import main
def broken(options):
    raise AssertionError("a fault of ours")
mashday.commands.paper.plan = broken
sys.exit(main(["plan", "lock-seven-barley"]))
"""


@pytest.mark.usefixtures("sessions")
@pytest.mark.parametrize("can_be_kept", [True, False])
def test_our_own_fault_is_owned_up_to_and_never_lost(tmp_path: Path, can_be_kept: bool) -> None:
    if not can_be_kept:
        (tmp_path / "state").write_text("a file where the folder should be")
    done = subprocess.run(
        [sys.executable, "-c", FAULT], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 3 and done.stdout == ""
    assert "our fault" in done.stderr
    note = tmp_path / "state" / "mashday" / "crash.txt"
    kept = note.read_text() if can_be_kept else done.stderr
    assert "a fault of ours" in kept and "Traceback" in kept
    assert f"mashday {__version__}" in kept or not can_be_kept


@pytest.mark.parametrize(
    "arguments",
    [
        ["reckon", "strike", "--grain=--"],
        ["reckon", "enzyme-power", "--grain=--"],
        ["plan", "lock-seven-barley", "--output=--"],
        ["rehearse", "lock-seven-barley", "--days=--"],
        ["run", "--plain", "--rehearse", "lock-seven-barley", "--seed=--"],
        ["run", "--plain", "lock-seven-barley", "--say=--"],
        ["run", "--plain", "lock-seven-barley", "--from=--"],
    ],
    ids=" ".join,
)
def test_two_dashes_are_no_value(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert capsys.readouterr().err.startswith("mashday: -- stands where a value belongs")


@pytest.mark.parametrize("argument", ["--=\x1b[2J", "--version=\u202e", "\x1b]0;x\x07"])
def test_what_the_parser_repeats_of_an_argument_acts_on_no_terminal(
    argument: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        code: object = main([argument])
    except SystemExit as left:
        code = left.code
    assert code == 2
    told = capsys.readouterr()
    assert (told.out + told.err).replace("\n", "").isprintable()


@pytest.fixture
def too_small(tmp_path: Path) -> Path:
    """The first sample in a pot its mash does not fit into."""
    path = tmp_path / "small.toml"
    path.write_text(sample_text("lock-seven-barley").replace('"33 L"', '"17 L"'), encoding="utf-8")
    return path


def test_a_day_that_cannot_be_done_is_not_begun_unless_anyway(sessions: Path, too_small: Path) -> None:
    refused = run("run", str(too_small), "--plain", typed="\n")
    assert refused.returncode == 2 and refused.stdout == ""
    assert "error: pot.volume" in refused.stderr
    assert refused.stderr.splitlines()[-1].endswith(f"mashday run {too_small} --anyway")
    assert not list(sessions.glob("*.toml"))
    begun = run("run", str(too_small), "--plain", "--anyway", typed="\n")
    assert begun.returncode == 0 and "mashday resume" in begun.stdout
    assert "error: pot.volume" not in begun.stderr and list(sessions.glob("*.toml"))


@pytest.mark.parametrize("words", [("run", "{}", "--plain", "--rehearse"), ("rehearse", "{}")])
def test_a_rehearsal_of_a_day_that_cannot_be_done_says_so_and_goes_on(
    words: tuple[str, ...], sessions: Path, too_small: Path
) -> None:
    lived = run(*(word.format(too_small) for word in words), typed="\n")
    assert "error: pot.volume" in lived.stderr and lived.returncode == 0 and lived.stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("pla",), "'pla' is no command. Did you mean: mashday plan"),
        (("sumary",), "Did you mean: mashday summary"),
        (("my day.toml",), "Did you mean: mashday run 'my day.toml'"),
        (("lock-seven-barley",), "Did you mean: mashday run lock-seven-barley"),
        (("\x1b[2Jzzzz",), "is no command. See: mashday --help"),
        (("--plain",), "--plain is not known here. Did you mean: mashday run FILE --plain"),
        ((), "Use mashday run FILE --plain for plain lines."),
    ],
)
def test_what_is_no_command_is_told_with_the_one_that_was_meant(
    words: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO())
    assert main(list(words)) == 2
    told = capsys.readouterr().err
    assert says in told and told.rstrip("\n").isprintable()
