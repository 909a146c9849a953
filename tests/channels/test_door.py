"""The door with real FIFOs and real programs: writers that come and go, floods, deaths, and refusals."""

from __future__ import annotations

import os
import shlex
import stat
import subprocess
import sys

import pytest
from heard import until

from mashday.channels import child, file_lines, lines
from mashday.channels.door import LONGEST_LINE, MOST_WAITING, Door
from mashday.channels.file_lines import FileSource
from mashday.quantities import Unreadable

pytestmark = pytest.mark.skipif(os.name == "nt", reason="FIFOs are of POSIX systems")


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(file_lines, "POLL_SECONDS", 0.02)
    monkeypatch.setattr(FileSource, "RETRY_SECONDS", 0.02)
    monkeypatch.setattr(child, "PAUSES_SECONDS", (0.02,))
    monkeypatch.setattr(lines, "MOST_LINES_A_SECOND", 1000)


class Listened:
    """A door and all that came through it."""

    def __init__(self, where: str) -> None:
        self.door = Door(where)
        self.lines: list[str] = []
        self.troubles: list[str] = []

    def look(self) -> Listened:
        self.lines += self.door.lines()
        while (words := self.door.trouble()) is not None:
            self.troubles.append(words)
        return self

    def came(self, *lines: str) -> bool:
        return self.look().lines == list(lines)

    def told(self, words: str) -> bool:
        return any(words in trouble for trouble in self.look().troubles)


@pytest.fixture
def listen():
    doors = []

    def start(where) -> Listened:
        listened = Listened(str(where))
        doors.append(listened.door)
        listened.door.start()
        return listened

    yield start
    for door in doors:
        door.close()


@pytest.fixture
def fifo(tmp_path):
    path = tmp_path / "lock seven"
    os.mkfifo(path, 0o600)
    return path


def write(path, text: str) -> None:
    with open(path, "w") as writer:
        writer.write(text)


def program(script: str) -> str:
    return "command:" + shlex.join([sys.executable, "-c", script])


def test_a_line_written_to_a_fifo_comes_in(fifo, listen):
    door = listen(fifo)
    write(fifo, "sixty three point five\n")
    until(lambda: door.came("sixty three point five"))
    assert door.look().troubles == []


def test_a_writer_who_leaves_ends_nothing(fifo, listen):
    door = listen(fifo)
    for count in range(5):
        write(fifo, f"take {count}\n")
        until(lambda count=count: door.look().lines[-1:] == [f"take {count}"])
    assert door.came(*(f"take {count}" for count in range(5)))
    assert door.troubles == []


def test_a_half_line_waits_for_its_end_whoever_writes_it(fifo, listen):
    door = listen(fifo)
    write(fifo, "ok\n6")
    until(lambda: door.came("ok"))
    write(fifo, "3.5\n")
    until(lambda: door.came("ok", "63.5"))


def test_what_comes_in_is_clean_short_and_not_empty(fifo, listen):
    door = listen(fifo)
    write(fifo, "\x1b[2Jdone\n\n \x00 \n" + "a" * 600 + "\nend\n")
    until(lambda: door.look().lines[-1:] == ["end"])
    assert door.lines == ["[2Jdone", "a" * LONGEST_LINE, "end"]


FLOOD = "".join(f"{count}\n" for count in range(45))


def test_the_first_lines_of_a_flood_are_kept_and_the_others_dropped_and_said(fifo, listen):
    door = listen(fifo).door
    write(fifo, FLOOD)
    until(lambda: "dropped" in (door.trouble() or ""))
    assert door.lines() == [str(count) for count in range(MOST_WAITING)]


def test_a_flood_is_said_once(fifo, listen):
    door = listen(fifo)
    write(fifo, FLOOD)
    until(door.door.trouble)
    door.look()
    write(fifo, FLOOD)
    until(lambda: write(fifo, "end\n") or door.look().lines[-1:] == ["end"])
    assert door.troubles == []


def test_a_fifo_that_is_not_there_is_made_for_us_alone_and_removed(tmp_path, listen):
    path = tmp_path / "made"
    door = listen(path)
    status = os.stat(path)
    assert stat.S_ISFIFO(status.st_mode)
    assert stat.S_IMODE(status.st_mode) == 0o600
    write(path, "done\n")
    until(lambda: door.came("done"))
    door.door.close()
    assert not path.exists()


def test_a_fifo_that_was_there_stays(fifo, listen):
    listen(fifo).door.close()
    assert fifo.exists()


def test_a_fifo_a_day_left_that_was_broken_off_is_said_with_what_removes_it(tmp_path):
    path = tmp_path / "lock seven"
    script = f"""
import os
from mashday.channels.door import Door
Door({f"fifo:{path}"!r}).start()
os.kill(os.getpid(), 9)
"""
    here = {**os.environ, "PYTHONPATH": os.pathsep.join(entry for entry in sys.path if entry)}
    subprocess.run([sys.executable, "-c", script], env=here, check=False)
    assert path.is_fifo()
    stays = Door(str(path)).stays or ""
    assert "stays there after it" in stays
    subprocess.run(shlex.split(stays.rpartition(": ")[2]), check=True)
    assert not path.exists()


def test_a_fifo_that_is_made_or_is_not_like_ours_is_not_said_to_stay(fifo, tmp_path):
    fifo.chmod(0o620)
    for where in (str(fifo), str(tmp_path / "made"), "command:sh"):
        assert Door(where).stays is None, where


def test_what_somebody_else_put_in_its_place_is_not_removed(tmp_path, listen):
    path = tmp_path / "made"
    door = listen(path)
    path.unlink()
    path.write_text("mine\n")
    door.door.close()
    assert path.read_text() == "mine\n"


def test_a_fifo_that_vanishes_is_said_and_taken_up_again_when_it_comes_back(fifo, listen):
    door = listen(fifo)
    write(fifo, "ok\n")
    until(lambda: door.came("ok"))
    fifo.unlink()
    until(lambda: door.told("no such file"))
    os.mkfifo(fifo, 0o600)
    write(fifo, "done\n")
    until(lambda: door.came("ok", "done"))
    assert len(door.troubles) == 1
    fifo.unlink()
    until(lambda: len(door.look().troubles) == 2)


def test_a_fifo_that_others_may_write_to_is_taken_and_said_once(fifo, listen):
    fifo.chmod(0o622)
    door = listen(fifo)
    write(fifo, "ok\n")
    until(lambda: door.came("ok"))
    assert len(door.troubles) == 1
    assert "Others may write" in door.troubles[0] and "chmod 600" in door.troubles[0]


def test_a_fifo_that_cannot_be_made_after_all_is_said(tmp_path, listen, monkeypatch):
    def refused(path, mode):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "mkfifo", refused)
    door = listen(tmp_path / "made")
    assert door.told("no space left on device")


def test_a_file_put_where_the_fifo_stood_is_said(fifo, listen):
    listened = Listened(str(fifo))
    fifo.unlink()
    fifo.write_text("done\n")
    listened.door.start()
    assert listened.told("no FIFO any more")
    listened.door.close()


def test_the_lines_of_a_program_come_in(listen):
    door = listen(program("import time; print('done'); print('six three'); time.sleep(600)"))
    until(lambda: door.came("done", "six three"))
    assert door.troubles == []


def test_a_program_that_dies_is_said_once_and_started_again(listen, tmp_path):
    count = tmp_path / "count"
    script = f"open({str(count)!r}, 'a').write('.'); raise SystemExit(3)"
    door = listen(program(script))
    until(lambda: count.exists() and len(count.read_text()) >= 3)
    door.look()
    assert len(door.troubles) == 1
    assert "ended with code 3; it is started again" in door.troubles[0]


def test_a_program_that_ends_well_after_its_lines_is_said_once_too(listen):
    door = listen(program("print('ok')"))
    until(lambda: len(door.look().lines) >= 2)
    assert len(door.troubles) == 1 and "ended; it is started again" in door.troubles[0]


def test_a_program_that_is_not_there_is_said(listen):
    door = listen("command:no-such-program-of-lock-seven --words")
    until(lambda: door.told("there is no such program; it is tried again"))


def test_nothing_comes_in_after_the_end(fifo, listen):
    door = listen(fifo)
    write(fifo, "done\n")
    until(lambda: door.door._waiting)
    door.door.close()
    door.door.close()
    assert (door.door.lines(), door.door.trouble()) == ([], None)


def test_a_door_that_was_never_started_can_be_closed(tmp_path):
    path = tmp_path / "made"
    Door(str(path)).close()
    assert not path.exists()


def test_what_stands_there_tells_what_is_meant(fifo, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    os.mkfifo(tmp_path / "sh")
    for where in (str(fifo), f"fifo:{fifo}", f" fifo: {fifo}", "~/lock seven", "sh", "./new", "fifo:new"):
        assert Door(where)._fifo is not None, where
    (tmp_path / "sh").unlink()
    for where in ("sh", "sh -c 'echo ok'", "command:sh", f"{sys.executable} -c pass", "command: x/y z"):
        assert Door(where)._argv, where
    assert Door("sh -c 'echo ok'")._argv == ("sh", "-c", "echo ok")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lock seven"]


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("", "is empty"),
        ("a\x00b", "control character"),
        ("x" * 500, "500 characters"),
        ("door", "neither a FIFO nor a program"),
        ("no-such-program-of-lock-seven --words", "neither a FIFO nor a program"),
        ("no/such/program --words", "neither a FIFO nor a program"),
        ("fifo:", "no path stands after"),
        ("command:", "no program is named"),
        ("command:sh 'x", "no partner"),
        ("plain", "is no FIFO"),
        ("fifo:plain", "is no FIFO"),
        ("fifo:folder", "is no FIFO"),
        ("./folder", "is no FIFO"),
        ("fifo:no/such/place", "no FIFO can be made"),
        ("no/such/place", "no FIFO can be made"),
        ("/" + "n" * 390, "no FIFO can be made"),
    ],
)
def test_what_can_be_no_door_is_refused_with_what_would_do(tmp_path, monkeypatch, where, words):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plain").write_text("done\n")
    (tmp_path / "folder").mkdir()
    monkeypatch.setattr(os, "access", lambda path, mode: str(path) != "/")
    with pytest.raises(Unreadable) as refused:
        Door(where)
    assert words in refused.value.found
    assert refused.value.remedy


def test_a_folder_that_is_not_ours_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(Unreadable) as refused:
        Door(str(tmp_path / "made"))
    assert "no FIFO can be made" in refused.value.found


def test_where_the_system_has_no_fifos_a_command_is_asked_for(tmp_path, monkeypatch):
    monkeypatch.delattr(os, "mkfifo")
    with pytest.raises(Unreadable) as refused:
        Door(f"fifo:{tmp_path}/made")
    assert "no FIFOs" in refused.value.found and "command:" in refused.value.remedy
