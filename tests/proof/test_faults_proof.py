"""A disk that fails under a running day: each system call in turn, and real disks, full, gone or read-only.

The program itself runs, in lines or on the screen. However its calls fail, what it told as saved is in the
file, what is not saved is told so in words until it is, and the day goes on.
"""

from __future__ import annotations

import dataclasses
import fcntl
import io
import itertools
import os
import re
import select
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from days import BARLEY
from real_terminal import RealTerminal
from system_calls import CALLS, Fault, Made, calls_in, under_strace, why_not

from mashday.engine import facts as f
from mashday.faces.plain import PlainFace
from mashday.session.clock import VirtualClock
from mashday.session.disk import beside
from mashday.session.folder import HOME_FOLDER
from mashday.session.session import begin, look

pytestmark = pytest.mark.proof

traced = pytest.mark.skipif(why_not() is not None, reason=str(why_not()))
by_root = pytest.mark.skipif(os.geteuid() != 0, reason="only root may mount a disk")

LINES = (
    *("start", "tick", "tick 4.9 kg", "done", "temp 69.0", "note the water is hot", "done", "done"),
    *("temp 63.2", "note lid on", "hold", "resume", "more 5", "ph 5.4", "undo", "note at rest"),
)
"""A day to the rest of its fourth step: three steps are ended, so three copies are made."""
AFTERWARDS = ("note kept elsewhere", "temp 63.0")
TIMED = {"app", "boot_id", "elapsed", "away_seconds", "late_seconds"}
"""What differs from one run of the same lines to the next."""
PATIENCE_SECONDS = 60.0
EXT4_IOC_SHUTDOWN = 0x8004587D
"""_IOR('X', 125, __u32) of Linux, fs/ext4/ext4.h: from then on every call fails, as if the disk were gone."""
_MARK = re.compile(r"'mark(\d+)' is no word here")
_CLOCK = re.compile(r"\d\d:\d\d")

Tell = Callable[..., None]
Shape = tuple[str, dict[str, Any]]


def shape(fact: f.Fact) -> Shape:
    """A fact without what differs from run to run."""
    values = {key: value for key, value in dataclasses.asdict(fact).items() if key not in TIMED}
    return type(fact).__name__, values


def kept_in(path: Path) -> tuple[Shape, ...]:
    """What a session file holds; it is not damaged."""
    _, state, recovered = look(path)
    assert recovered.damage is None, recovered.damage
    return tuple(shape(entry.fact) for entry in state.log)


@dataclass(frozen=True, slots=True)
class Expected:
    """What lines come to: the facts, and how many there are before the first line and after each."""

    facts: tuple[Shape, ...]
    counts: tuple[int, ...]


@cache
def expected(lines: tuple[str, ...]) -> Expected:
    """What these lines come to, in a process where nothing fails."""
    session = begin(BARLEY, VirtualClock(), folder=None)
    face = PlainFace(session, io.StringIO())
    counts = [len(session.state.log)]
    for line in lines:
        face.take(line)
        face.news()
        assert len(session.state.log) > counts[-1], line
        counts.append(len(session.state.log))
    return Expected(tuple(shape(entry.fact) for entry in session.state.log), tuple(counts))


@dataclass(frozen=True, slots=True)
class Answered:
    """What was told on one line, and whether it was told after it that the day is not saved."""

    told: tuple[str, ...]
    unsaved: bool


@dataclass(frozen=True, slots=True)
class Lived:
    """A run of the program: its exit code, what it told before the first line and on each, its errors."""

    code: int
    answers: tuple[Answered, ...]
    errors: str
    folder: Path

    @property
    def began(self) -> bool:
        """False if it was told that the day cannot be begun."""
        return bool(self.answers)

    @property
    def file(self) -> Path | None:
        """The session file, if there is one."""
        found = sorted(self.folder.glob("*.toml"))
        assert len(found) <= 1
        return found[0] if found else None


def answers_in(told: str) -> tuple[Answered, ...]:
    """What was told on each line; a word that is none stands behind every line as a mark."""
    found: list[Answered] = []
    block: list[str] = []
    for line in told.splitlines():
        if _MARK.search(line):
            unsaved = bool(block) and block[-1].startswith("NOT SAVED: ")
            kept = (_CLOCK.sub("--:--", one) for one in block if not one.startswith("NOT SAVED: "))
            found.append(Answered(tuple(kept), unsaved))
            block = []
        else:
            block.append(line)
    return tuple(found)


def script(lines: Sequence[str]) -> str:
    """The lines with their marks, the first mark before any of them."""
    return "".join(f"{line}\nmark{place}\n" for place, line in enumerate(["mark", *lines])) + "quit\n"


class Shed:
    """A schedule, and folders for as many runs of its day as are wanted."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.schedule = folder / "barley.toml"
        self.schedule.write_text(BARLEY)

    def words(self, sessions: Path) -> list[str]:
        """The command without the program."""
        return ["-m", "mashday", "run", str(self.schedule), "--plain", "--sessions", str(sessions)]

    def touched(self, sessions: Path) -> list[Path]:
        """The folder of the sessions and every file of a day that may be begun there now."""
        days = [date.today() + timedelta(days=days) for days in (0, 1)]
        names = [f"{day:%Y-%m-%d}-lock-seven-barley-wash.toml" for day in days]
        endings = ("", ".lock", ".torn", ".tmp", ".bak", ".bak.tmp")
        return [sessions, *(sessions / f"{name}{ending}" for name in names for ending in endings)]

    def live(self, sessions: Path, lines: Sequence[str], command: Sequence[str]) -> Lived:
        """The day lived by these lines."""
        state = {**os.environ, "XDG_STATE_HOME": str(self.folder / "state"), "HOME": str(self.folder)}
        ran = subprocess.run(
            command,
            input=script(lines),
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_SECONDS,
            env=state,
        )
        assert "Traceback" not in ran.stdout + ran.stderr, ran.stderr
        assert not list(self.folder.rglob("crash.txt"))
        return Lived(ran.returncode, answers_in(ran.stdout), ran.stderr, sessions)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    """A shed in memory where there is such a folder: the flushes of these runs are not about the medium."""
    if os.access("/dev/shm", os.W_OK):
        with tempfile.TemporaryDirectory(dir="/dev/shm") as folder:
            yield Shed(Path(folder))
    else:
        yield Shed(tmp_path)


def untroubled(shed: Shed) -> tuple[Lived, tuple[Made, ...]]:
    """The day with nothing wrong, and every call it makes on its files."""
    sessions, trace = shed.folder / "untroubled", shed.folder / "trace"
    lived = shed.live(
        sessions, LINES, under_strace(shed.words(sessions), shed.touched(sessions), trace=trace)
    )
    assert lived.code == 0 and not lived.errors and lived.file is not None
    assert kept_in(lived.file) == expected(LINES).facts
    assert not any(answer.unsaved for answer in lived.answers) and len(lived.answers) == len(LINES) + 1
    return lived, calls_in(trace)


LEFT_UNSAVED = re.compile(
    r"mashday: NOT SAVED where it was to be\. Not saved to [^\n]+ Saved whole in (?P<path>[^\n;]+\.toml);"
    r" the day goes on there\. Take it up with: mashday resume [^\n]+\.toml'?\n"
)


def is_true_to(lived: Lived, right: Lived, lines: Sequence[str], elsewhere: Path | None) -> str:
    """Holds a troubled run against an untroubled one; what came of the trouble.

    Nothing told as saved is missing; what is not saved is told so, and goes on in memory.
    """
    if not lived.began:
        assert lived.code == 1 and lived.file is None
        assert re.fullmatch(r"mashday: [^\n]+\.\n", lived.errors), lived.errors
        return "not begun"
    whole = expected(tuple(lines))
    at_save = len(LINES) + 1 if elsewhere is not None else len(lived.answers)
    unsaved = [answer.unsaved for answer in lived.answers[:at_save]]
    first = unsaved.index(True) if True in unsaved else len(unsaved)
    assert all(unsaved[first:]), "once not saved, it is told so each time"
    told = [
        tuple(line for line in answer.told if not line.startswith("No copy of "))
        for answer in lived.answers[: len(LINES) + 1]
    ]
    assert told == [answer.told for answer in right.answers]
    assert lived.file is not None
    kept = kept_in(lived.file)
    assert kept == whole.facts[: len(kept)]
    if first:
        assert len(kept) >= whole.counts[first - 1], "what was told as saved is there"
    if first < len(unsaved):
        assert len(kept) <= whole.counts[first], "after the first failure nothing more is written"
    if elsewhere is not None:
        (saved,) = elsewhere.glob("*.toml")
        assert kept_in(saved) == whole.facts
        assert not any(answer.unsaved for answer in lived.answers[at_save:])
        assert lived.answers[at_save].told == (f"Saved whole in {saved}; the day goes on there.",)
        assert lived.code == 0 and not lived.errors
    elif first < len(unsaved):
        assert lived.code == 1
        left = LEFT_UNSAVED.fullmatch(lived.errors)
        assert left is not None, lived.errors
        assert kept_in(Path(left["path"])) == whole.facts, "what was in memory is kept when the day is left"
    else:
        assert lived.code == 0 and not lived.errors and kept == whole.facts
    return "not saved" if first < len(unsaved) else "saved"


def puts_an_entry_on_the_disk(one: Made) -> bool:
    """Whether this call is one of those without which an entry is not saved."""
    looks = one.call == "newfstatat" and one.about.endswith(" = 0")
    return (one.call in ("write", "fsync") or looks) and re.search(r"\.toml[>\"]", one.about) is not None


def swept(shed: Shed, calls: Sequence[str], errors: Sequence[str], *, saves: bool) -> Counter[str]:
    """Each of these calls failing in turn, with each error; how many runs came to what."""
    right, made = untroubled(shed)
    found: Counter[str] = Counter()
    for error, one in itertools.product(errors, (one for one in made if one.call in calls)):
        sessions = shed.folder / f"{one.call}-{error}-{one.when}"
        elsewhere = sessions.with_name(f"{sessions.name}-elsewhere") if saves else None
        lines = [*LINES, f"save {elsewhere}", *AFTERWARDS] if saves else LINES
        fault = Fault(one.call, error, one.when)
        command = under_strace(shed.words(sessions), shed.touched(sessions), fault=fault)
        lived = shed.live(sessions, lines, command)
        try:
            outcome = is_true_to(lived, right, [*LINES, *AFTERWARDS] if saves else LINES, elsewhere)
            ends = "not saved" if puts_an_entry_on_the_disk(one) else "saved"
            assert outcome in ("not begun", ends), outcome
        except AssertionError as wrong:
            raise AssertionError(f"{fault} on {one.about}: {wrong}") from wrong
        found[outcome] += 1
        shutil.rmtree(sessions, ignore_errors=True)
    assert found
    return found


def told_of(found: Counter[str]) -> str:
    """How many of each."""
    return ", ".join(f"{number} {word}" for word, number in sorted(found.items()))


NAMING = ("openat", "rename", "ftruncate", "flock")
WRITING = ("write", "fsync", *NAMING)
OTHERS = tuple(call for call in CALLS if call not in WRITING)


@traced
@pytest.mark.parametrize("calls", [("write",), ("fsync",), NAMING], ids=" ".join)
def test_a_writing_that_fails_loses_nothing_and_the_day_is_kept_elsewhere(
    shed: Shed, calls: Sequence[str], proved: Tell
) -> None:
    found = swept(shed, calls, ("ENOSPC", "EDQUOT", "EROFS"), saves=True)
    what = f"ENOSPC, EDQUOT, EROFS at every {', '.join(calls)}, then saved elsewhere"
    proved(what, cases=found.total(), lost=0, seen=told_of(found))


@traced
@pytest.mark.parametrize("calls", [("write",), ("fsync",), NAMING, OTHERS], ids=" ".join)
def test_a_disk_error_at_any_call_is_told_to_the_end_where_nothing_is_done_about_it(
    shed: Shed, calls: Sequence[str], proved: Tell
) -> None:
    found = swept(shed, calls, ("EIO",), saves=False)
    what = "every other call" if calls == OTHERS else f"every {', '.join(calls)}"
    proved(f"EIO at {what}, left so", cases=found.total(), lost=0, seen=told_of(found))


TORN = b'[[entry]]\nseq = 900\nact = 900\nt = 9000.0\nkind = "note"\ntext = "half an entr'


@traced
@pytest.mark.parametrize(("error", "calls"), [("EIO", CALLS), ("ENOSPC", WRITING)])
def test_a_day_taken_up_on_a_failing_disk_loses_no_byte(
    shed: Shed, error: str, calls: Sequence[str], proved: Tell
) -> None:
    right, _ = untroubled(shed)
    assert right.file is not None
    before = right.file.read_bytes()
    lines = ("note back again", "temp 63.1")
    found: Counter[str] = Counter()
    for one in resumed_calls(shed, right.file, lines):
        if one.call not in calls:
            continue
        sessions = shed.folder / "taken-up"
        sessions.mkdir()
        path = sessions / right.file.name
        path.write_bytes(before + TORN)
        words = ["-m", "mashday", "resume", path.stem, "--plain", "--sessions", str(sessions)]
        fault = Fault(one.call, error, one.when)
        lived = shed.live(sessions, lines, under_strace(words, shed.touched(sessions), fault=fault))
        aside = beside(path, "torn")
        kept = path.read_bytes()
        set_aside = aside.read_bytes() if aside.exists() else b""
        assert kept.startswith(before) and (kept + set_aside).count(TORN) >= 1, fault
        assert len(lived.answers) in (0, 3), fault
        told = [line for answer in lived.answers for line in answer.told]
        if not told:
            outcome = "not taken up"
            assert lived.code in (1, 2), fault
            assert re.fullmatch(r"mashday: [^\n]+\.\n", lived.errors), fault
        elif any("ONLY A LOOK" in line for line in told):
            outcome = "only a look"
            assert lived.code == 1 and kept in (before + TORN, before), fault
            assert not any("Note: back again" in line for line in told), fault
        else:
            notes = [note.text for note in look(path)[1].notes]
            assert "The last entry was not finished" in " ".join(told), fault
            unsaved = [answer.unsaved for answer in lived.answers]
            outcome = "not saved" if True in unsaved else "saved"
            assert unsaved[1] or "back again" in notes, fault
            assert lived.code == int(unsaved[-1]) and ("NOT SAVED" in lived.errors) == unsaved[-1], fault
        found[outcome] += 1
        shutil.rmtree(sessions)
        shutil.rmtree(shed.folder / HOME_FOLDER, ignore_errors=True)
    proved(
        f"{error} at every call of a day taken up with a torn end",
        cases=found.total(),
        lost=0,
        seen=told_of(found),
    )


def resumed_calls(shed: Shed, file: Path, lines: Sequence[str]) -> tuple[Made, ...]:
    """Every call that taking up a file with a torn end makes on it."""
    sessions, trace = shed.folder / "traced", shed.folder / "trace-of-resume"
    sessions.mkdir()
    path = sessions / file.name
    path.write_bytes(file.read_bytes() + TORN)
    words = ["-m", "mashday", "resume", path.stem, "--plain", "--sessions", str(sessions)]
    shed.live(sessions, lines, under_strace(words, shed.touched(sessions), trace=trace))
    return calls_in(trace)


WITHOUT_THE_RIGHTS_OF_ROOT = """import os, ctypes
if os.geteuid() == 0:
    for override in (1, 2):
        ctypes.CDLL(None).prctl(24, override, 0, 0, 0)
"""
"""Leaves root only the rights that a file gives it: CAP_DAC_OVERRIDE and CAP_DAC_READ_SEARCH are dropped from
the bounding set (prctl(2), PR_CAPBSET_DROP; capabilities(7))."""


def after(before: str, words: Sequence[str]) -> list[str]:
    """The command that runs these lines of Python, then the program in their place."""
    runs = "import os, sys; os.execv(sys.executable, [sys.executable, *sys.argv[1:]])"
    return [sys.executable, "-c", f"{before}\n{runs}", *words]


class Beside:
    """A day in lines that is answered line by line."""

    def __init__(self, shed: Shed, sessions: Path, *, before: str = "") -> None:
        self._marks = 0
        self._told = ""
        state = {**os.environ, "XDG_STATE_HOME": str(shed.folder / "state"), "HOME": str(shed.folder)}
        self._child = subprocess.Popen(
            after(before, shed.words(sessions)),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=state,
        )
        self.greeting = self.say()

    @property
    def pid(self) -> int:
        """Its process."""
        return self._child.pid

    def say(self, *lines: str) -> Answered:
        """Says these lines, and what was told on them."""
        assert self._child.stdin is not None and self._child.stdout is not None
        self._marks += 1
        told = "".join(f"{line}\n" for line in (*lines, f"mark{self._marks}"))
        self._child.stdin.write(told.encode())
        self._child.stdin.flush()
        ends = time.monotonic() + PATIENCE_SECONDS
        while f"'mark{self._marks}'" not in self._told or not self._told.endswith("\n"):
            ready = select.select([self._child.stdout], [], [], 0.1)[0]
            more = os.read(self._child.stdout.fileno(), 65536).decode() if ready else ""
            self._told += more
            assert time.monotonic() < ends and (more or not ready), self._told[-800:]
        (answer,) = answers_in(self._told)
        self._told = ""
        return answer

    def note(self, text: str) -> bool:
        """Writes a note; true if it was told as saved."""
        answer = self.say(f"note {text}")
        assert f"--:--  Note: {text}" in answer.told
        return not answer.unsaved

    def leave(self) -> tuple[int, str]:
        """Leaves the day open; the exit code and what was told as an error."""
        _, errors = self._child.communicate(b"quit\n", timeout=PATIENCE_SECONDS)
        assert b"Traceback" not in errors
        return self._child.returncode, errors.decode()

    def kill(self) -> None:
        """Ends it if it still runs."""
        if self._child.poll() is None:
            self._child.kill()
            self._child.communicate()


@pytest.fixture
def beside_the_pot(shed: Shed) -> Iterator[Callable[..., Beside]]:
    """Begins days in lines; those that are still open are ended afterwards."""
    begun: list[Beside] = []

    def begin_day(sessions: Path, **options: Any) -> Beside:
        begun.append(Beside(shed, sessions, **options))
        return begun[-1]

    yield begin_day
    for day in begun:
        day.kill()


def notes_in(path: Path) -> list[str]:
    """The notes in a session file, which is not damaged."""
    _, state, recovered = look(path)
    assert recovered.damage is None, recovered.damage
    return [note.text for note in state.notes]


def only_file(sessions: Path) -> Path:
    """The one session file of a folder."""
    (found,) = sessions.glob("*.toml")
    return found


def goes_through(day: Beside, elsewhere: Path, *, most: int = 400) -> tuple[list[str], list[str]]:
    """Writes notes until one is told as not saved, then three more, saves the day elsewhere and writes on.

    All the notes, and those of them that were told as saved before the failure.
    """
    saved: list[str] = []
    while day.note(f"number {len(saved):03d}"):
        saved.append(f"number {len(saved):03d}")
        assert len(saved) < most
    notes = [*saved, f"number {len(saved):03d}", "on in memory 1", "on in memory 2", "on in memory 3"]
    for text in notes[-3:]:
        assert not day.note(text)
    answer = day.say(f"save {elsewhere}")
    assert not answer.unsaved
    path = only_file(elsewhere)
    assert answer.told == (f"Saved whole in {path}; the day goes on there.",)
    assert notes_in(path) == notes
    assert day.note("kept elsewhere")
    assert day.leave() == (0, "")
    assert notes_in(path) == [*notes, "kept elsewhere"]
    return notes, saved


def put_right_by_an_editor(path: Path) -> None:
    path.with_suffix(".edited").write_bytes(path.read_bytes())
    path.with_suffix(".edited").replace(path)


def appended(path: Path) -> None:
    with path.open("ab") as file:
        file.write(b"# a good day\n")


HAPPENINGS: dict[str, Callable[[Path], object]] = {
    "deleted": Path.unlink,
    "moved away": lambda path: path.rename(path.with_name("elsewhere.toml")),
    "replaced by an editor": put_right_by_an_editor,
    "cut by 5 bytes": lambda path: os.truncate(path, path.stat().st_size - 5),
    "emptied": lambda path: os.truncate(path, 0),
    "appended to": appended,
    "its folder removed": lambda path: shutil.rmtree(path.parent),
    "its folder renamed": lambda path: path.parent.rename(path.parent.with_name("renamed")),
}


def test_a_file_that_something_happens_to_under_a_running_day_is_told_at_the_next_entry(
    shed: Shed, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    for name, happens in HAPPENINGS.items():
        sessions, elsewhere = shed.folder / name, shed.folder / f"{name} elsewhere"
        day = beside_the_pot(sessions)
        day.say(*LINES[:5])
        happens(only_file(sessions))
        _, saved = goes_through(day, elsewhere)
        assert not saved, name
    proved(
        "file deleted, moved, replaced, cut, appended; folder gone",
        cases=len(HAPPENINGS),
        lost=0,
        seen="each told at once",
    )


def test_a_file_whose_rights_are_taken_away_is_still_written(
    shed: Shed, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    sessions = shed.folder / "sessions"
    day = beside_the_pot(sessions, before=WITHOUT_THE_RIGHTS_OF_ROOT)
    day.say(*LINES[:3])
    path = only_file(sessions)
    path.chmod(0)
    sessions.chmod(0o500)
    assert day.note("file and folder locked up")
    day.say(*LINES[3:7])
    assert day.note("after a step that was ended")
    assert day.leave() == (0, "")
    sessions.chmod(0o700)
    path.chmod(0o600)
    assert notes_in(path) == ["file and folder locked up", "the water is hot", "after a step that was ended"]
    proved("rights of file and folder taken away", cases=1, lost=0, seen="saved all the same, without a copy")


def test_a_folder_that_may_not_be_written_is_told_before_the_day_and_when_it_is_to_be_saved_there(
    shed: Shed, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    locked, sessions = shed.folder / "locked", shed.folder / "sessions"
    locked.mkdir(mode=0o500)
    for place in (locked, locked / "below"):
        refused = subprocess.run(
            after(WITHOUT_THE_RIGHTS_OF_ROOT, shed.words(place)),
            input="start\n",
            capture_output=True,
            text=True,
            check=False,
        )
        assert refused.returncode == 1 and "Step 1" not in refused.stdout
        assert re.fullmatch(
            r"mashday: [^\n]+: it is not allowed\. Name another folder with --sessions\.\n", refused.stderr
        )
    day = beside_the_pot(sessions, before=WITHOUT_THE_RIGHTS_OF_ROOT)
    day.say("start")
    only_file(sessions).unlink()
    assert not day.note("gone")
    answer = day.say(f"save {locked}")
    assert answer.unsaved and "NOT SAVED there either" in " ".join(answer.told)
    answer = day.say("save")
    assert not answer.unsaved and notes_in(only_file(shed.folder / "mashday")) == ["gone"]
    assert day.leave() == (0, "")
    assert not list(locked.iterdir())
    proved(
        "folder that may not be written: begin, save there, save",
        cases=4,
        lost=0,
        seen="told; kept in a spare folder",
    )


def test_a_file_that_may_grow_no_further_ends_in_a_short_write_and_loses_nothing_told(
    shed: Shed, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    sessions = shed.folder / "first"
    day = beside_the_pot(sessions)
    day.say("start")
    begun = only_file(sessions).stat().st_size
    day.note("number 000")
    entry = only_file(sessions).stat().st_size - begun
    day.leave()
    short = 0
    for more in range(0, entry + 1, 6):
        sessions, elsewhere = shed.folder / f"{more}", shed.folder / f"{more} elsewhere"
        limit = f"(resource.RLIMIT_FSIZE, ({begun + entry + more}, resource.RLIM_INFINITY))"
        day = beside_the_pot(sessions, before=f"import resource; resource.setrlimit(*{limit})")
        day.say("start")
        path = only_file(sessions)
        saved = [text for number in range(3) if day.note(text := f"number {number:03d}")]
        assert 1 <= len(saved) <= 2
        kept = notes_in(path)
        assert kept[: len(saved)] == saved and len(kept) <= len(saved) + 1
        short += path.stat().st_size not in (begun + entry, begun + 2 * entry)
        assert day.say(f"save {elsewhere}").unsaved
        code, errors = day.leave()
        assert code == 1 and errors.startswith("mashday: NOT SAVED where it was to be. ")
        assert "NOT SAVED there either" in errors
    assert short > 10
    proved(
        "RLIMIT_FSIZE at every 6th byte of an entry",
        cases=len(range(0, entry + 1, 6)),
        lost=0,
        seen=f"{short} short writes",
    )


@contextmanager
def mounted(folder: Path, *words: str) -> Iterator[Path]:
    """A disk mounted in a folder of its own; skips where that is not allowed."""
    folder.mkdir()
    tried = subprocess.run(["mount", *words, str(folder)], capture_output=True, text=True, check=False)
    if tried.returncode:
        pytest.skip(f"no disk can be mounted here: {tried.stderr.strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], capture_output=True, check=False)


@contextmanager
def ext4(folder: Path, megabytes: int) -> Iterator[Path]:
    """An ext4 disk of this size; skips where none can be made."""
    if shutil.which("mkfs.ext4") is None:
        pytest.skip("mkfs.ext4 is missing")
    image = folder / "image"
    with image.open("wb") as file:
        file.truncate(megabytes * 1_000_000)
    subprocess.run(["mkfs.ext4", "-q", "-m", "0", str(image)], check=True)
    with mounted(folder / "disk", "-o", "loop", str(image)) as disk:
        yield disk


def fill(disk: Path) -> None:
    """Fills a disk to its last byte."""
    with (disk / "filler").open("wb", buffering=0) as file:
        for size in (1 << 20, 1 << 12, 1):
            try:
                while file.write(bytes(size)) == size:
                    pass
            except OSError:
                continue
        os.fsync(file.fileno())


@by_root
@pytest.mark.parametrize("kind", ["tmpfs", "ext4"])
def test_a_disk_that_is_really_full_is_told_and_the_day_is_kept_elsewhere(
    shed: Shed, tmp_path: Path, beside_the_pot: Callable[..., Beside], kind: str, proved: Tell
) -> None:
    made = (
        mounted(tmp_path / "disk", "-t", "tmpfs", "-o", "size=16m", "none")
        if kind == "tmpfs"
        else ext4(tmp_path, 24)
    )
    with made as disk:
        day = beside_the_pot(disk / "sessions")
        day.say(*LINES[:5])
        path = only_file(disk / "sessions")
        fill(disk)
        notes, saved = goes_through(day, shed.folder / "elsewhere")
        (disk / "filler").unlink()
        kept = notes_in(path)
        assert kept[: len(saved)] == saved and kept == notes[: len(kept)]
    proved(
        f"a full disk ({kind})", cases=len(notes), lost=0, seen=f"{len(saved)} notes saved before it was full"
    )


@by_root
def test_a_disk_that_goes_away_is_told_and_the_day_is_kept_elsewhere(
    shed: Shed, tmp_path: Path, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    with ext4(tmp_path, 24) as disk:
        day = beside_the_pot(disk / "sessions")
        day.say(*LINES[:5])
        root = os.open(disk, os.O_RDONLY)
        fcntl.ioctl(root, EXT4_IOC_SHUTDOWN, struct.pack("I", 2))
        os.close(root)
        _, saved = goes_through(day, shed.folder / "elsewhere")
        assert not saved
    with mounted(tmp_path / "stick", "-t", "tmpfs", "-o", "size=16m", "none") as stick:
        day = beside_the_pot(stick / "sessions")
        day.say(*LINES[:5])
        subprocess.run(["umount", "-l", str(stick)], check=True)
        _, saved = goes_through(day, shed.folder / "elsewhere 2")
        assert not saved
    proved("a disk shut down (ext4), a stick pulled out (tmpfs)", cases=2, lost=0, seen="each told at once")


@by_root
def test_a_disk_that_can_only_be_read_is_told_before_the_day(
    shed: Shed, tmp_path: Path, proved: Tell
) -> None:
    with mounted(tmp_path / "disk", "-t", "tmpfs", "-o", "ro,size=16m", "none") as disk:
        for sessions in (disk, disk / "sessions"):
            refused = shed.live(sessions, ("start",), [sys.executable, *shed.words(sessions)])
            assert refused.code == 1 and not refused.answers
            assert refused.errors.endswith(
                ": the disk can only be read. Name another folder with --sessions.\n"
            )
    proved("read-only disk", cases=2, lost=0, seen="told before the day begins")


def test_links_planted_under_a_running_day_lead_nowhere(
    shed: Shed, beside_the_pot: Callable[..., Beside], proved: Tell
) -> None:
    victim, sessions = shed.folder / "victim", shed.folder / "sessions"
    victim.write_text("precious")
    sessions.mkdir()
    named = [path.name for path in shed.touched(sessions) if path.suffix == ".toml"]
    for name in named:
        (sessions / name).symlink_to(shed.folder / "not there yet")
    day = beside_the_pot(sessions)
    (path,) = (path for path in sessions.glob("*-2.toml"))
    beside(path, "bak").symlink_to(victim)
    day.say(*LINES[:5])
    assert day.note("a copy was made meanwhile")
    assert day.leave() == (0, "")
    assert victim.read_text() == "precious" and not (shed.folder / "not there yet").exists()
    assert not beside(path, "bak").is_symlink() and notes_in(beside(path, "bak")) == []
    assert notes_in(path) == ["a copy was made meanwhile"]
    proved("links at the names of file and copy", cases=len(named) + 1, lost=0, seen="none is followed")


class Watcher:
    """A day on the full screen, by its keys."""

    def __init__(self, shed: Shed, command: Sequence[str]) -> None:
        self.terminal = RealTerminal(
            ["-c", f"import os; os.execvp({command[0]!r}, {list(command)!r})"], shed.folder
        )

    def calm(self) -> None:
        """A moment without a key, after which the next one is no part of a burst."""
        end = time.monotonic() + 0.4
        while time.monotonic() < end:
            assert self.terminal.read(0.05), self.terminal.picture.text

    def line(self, key: str, asks: str, text: str) -> None:
        """Opens a line by its key, types the text into it and enters it."""
        self.calm()
        self.terminal.type(key)
        self.terminal.shows(asks)
        self.terminal.type(f"\x1b[200~{text}\x1b[201~")
        self.terminal.until(lambda: text[-12:] + "_" in self.terminal.picture.text, f"{text} typed")
        self.calm()
        self.terminal.type("\r")

    def note(self, text: str) -> None:
        """Writes a note and sees it told."""
        self.line("o", "> note", text)
        self.terminal.shows(f"Note: {text}")

    def says_not_saved(self) -> bool:
        """Whether the picture says so, once it stands still."""
        self.calm()
        return "NOT SAVED" in self.terminal.picture.text

    def leave(self) -> int:
        """Leaves the day open; the exit code."""
        for _ in range(2):
            self.calm()
            self.terminal.type("q")
        return self.terminal.ended()


@pytest.fixture
def on_screen(shed: Shed) -> Iterator[Callable[..., Watcher]]:
    """Opens terminals and closes them afterwards."""
    opened: list[Watcher] = []

    def open_one(command: Sequence[str]) -> Watcher:
        opened.append(Watcher(shed, command))
        return opened[-1]

    yield open_one
    for one in opened:
        one.terminal.close()


@traced
@pytest.mark.parametrize("when", [2, 3, 4, 6])
def test_not_saved_stays_on_the_screen_until_the_day_is_saved(
    shed: Shed, on_screen: Callable[..., Watcher], when: int, proved: Tell
) -> None:
    sessions, elsewhere = shed.folder / "sessions", shed.folder / "elsewhere"
    words = [word for word in shed.words(sessions) if word != "--plain"]
    files = [path for path in shed.touched(sessions) if path.suffix == ".toml"]
    seen = on_screen(under_strace(words, files, fault=Fault("fsync", "EIO", when)))
    seen.terminal.shows("begin the day")
    seen.calm()
    seen.terminal.type("b")
    seen.terminal.shows("ticks the next one")
    notes = []
    while not seen.says_not_saved():
        notes.append(f"number {len(notes)}")
        seen.note(notes[-1])
        assert len(notes) <= when + 1
    told_as_saved = notes[:-1]
    for size in ((100, 30), (40, 16), (120, 30)):
        seen.terminal.resize(*size)
        seen.terminal.shows("NOT SAVED")
        notes.append(f"at {size[0]} columns")
        seen.note(notes[-1])
        assert seen.says_not_saved()
    seen.terminal.shows("The day is kept in memory only.", ":save keeps the day elsewhere.")
    kept = notes_in(only_file(sessions))
    assert told_as_saved == kept[: len(told_as_saved)] and kept == notes[: len(kept)]
    assert len(kept) <= len(told_as_saved) + 1
    if when == 3:
        assert seen.leave() == 1
        assert "mashday: NOT SAVED where it was to be. Not saved to " in seen.terminal.written.decode()
        assert notes_in(only_file(shed.folder / "mashday")) == notes
        proved(
            "screen, EIO at flush 3, left so",
            cases=len(notes),
            lost=0,
            seen="told in words to the end, kept in the home folder",
        )
        return
    seen.line(":", ":", f"save {elsewhere}")
    seen.terminal.shows("Saved whole in")
    seen.terminal.hides("NOT SAVED")
    seen.note("kept elsewhere")
    assert not seen.says_not_saved()
    assert seen.leave() == 0
    assert notes_in(only_file(elsewhere)) == [*notes, "kept elsewhere"]
    assert not list(shed.folder.rglob("crash.txt"))
    proved(
        f"screen, EIO at flush {when}, saved elsewhere",
        cases=len(notes) + 1,
        lost=0,
        seen="NOT SAVED until saved",
    )


def test_a_second_instance_is_told_who_has_the_day_and_touches_nothing(
    shed: Shed, beside_the_pot: Callable[..., Beside], on_screen: Callable[..., Watcher], proved: Tell
) -> None:
    sessions = shed.folder / "sessions"
    first = beside_the_pot(sessions)
    first.say(*LINES[:6])
    path = only_file(sessions)
    before, changed_at = path.read_bytes(), path.stat().st_mtime_ns
    held = re.compile(rf"is in use: process {first.pid}, since \d{{4}}-")
    words = ["-m", "mashday", "resume", path.stem, "--sessions", str(sessions)]
    second = shed.live(
        sessions, ("note from the kitchen", "done", "undo", "abort"), [sys.executable, *words, "--plain"]
    )
    told = [line for answer in second.answers for line in answer.told]
    assert held.search(" ".join(told)) and sum("This is only a look." in line for line in told) == 4
    assert second.code == 1 and held.search(second.errors)

    seen = on_screen([sys.executable, *words])
    seen.terminal.shows("ONLY A LOOK", f"process {first.pid}")
    for key in "+tn-*y":
        seen.calm()
        seen.terminal.type(key)
    seen.calm()
    assert (path.read_bytes(), path.stat().st_mtime_ns) == (before, changed_at)
    assert {file.name for file in sessions.iterdir()} == {
        f"{path.name}{ending}" for ending in ("", ".lock", ".bak")
    }
    seen.terminal.resize(60, 20)
    seen.terminal.shows("ONLY A LOOK")
    assert first.note("the first goes on")
    seen.terminal.shows("Note: the first goes on")
    assert seen.leave() == 1
    assert first.note("and on")
    assert first.leave() == (0, "")
    assert notes_in(path) == ["the water is hot", "the first goes on", "and on"]
    proved(
        "a second instance, in lines and on the screen",
        cases=2,
        lost=0,
        seen="only a look; not one byte touched",
    )
