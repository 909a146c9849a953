"""What the machine itself may spoil, read from made-up trees of sysfs and made-up answers."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.session import machine
from mashday.session.machine import Machine, look, warnings

CONSOLE = {"TERM": "linux"}
WINDOW = {"TERM": "xterm-256color"}
LIT = 0.0
"""A screen that never goes dark."""


@pytest.fixture
def linux(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")


pytestmark = pytest.mark.usefixtures("linux")


def supply(root: Path, name: str, **files: str | bytes) -> None:
    """A supply of sysfs: a folder with a small file for each thing it tells."""
    folder = root / "sys/class/power_supply" / name
    folder.mkdir(parents=True)
    for file, text in files.items():
        (folder / file).write_bytes(text if isinstance(text, bytes) else f"{text}\n".encode())


def blanks(root: Path, text: str) -> None:
    folder = root / "sys/module/kernel/parameters"
    folder.mkdir(parents=True)
    (folder / "consoleblank").write_text(text, encoding="ascii")


def power(root: Path) -> tuple[bool | None, int | None]:
    found = look(root, WINDOW)
    return found.on_battery, found.battery_percent


def test_of_a_machine_that_tells_nothing_nothing_is_known(tmp_path: Path) -> None:
    assert (
        look(tmp_path, WINDOW) == look(tmp_path, {}) == look(tmp_path, CONSOLE) == Machine(None, None, None)
    )
    (tmp_path / "sys/class").mkdir(parents=True)
    (tmp_path / "sys/class/power_supply").write_text("no folder")
    assert look(tmp_path, WINDOW) == Machine()


def test_this_machine_can_be_looked_at() -> None:
    found = look()
    assert found.battery_percent is None or 0 <= found.battery_percent <= 100
    assert all(line.isascii() for line in warnings(found))


# kernel documentation, sysfs-class-power: type, online, status, capacity
@pytest.mark.parametrize(
    ("online", "status", "on_battery"),
    [("1", "Charging", False), ("1", "Full", False), ("0", "Discharging", True), ("0", "Unknown", True)],
)
def test_the_mains_say_whether_the_battery_is_drained(
    tmp_path: Path, online: str, status: str, on_battery: bool
) -> None:
    supply(tmp_path, "AC", type="Mains", online=online)
    supply(tmp_path, "BAT0", type="Battery", status=status, capacity="81")
    assert power(tmp_path) == (on_battery, 81)


@pytest.mark.parametrize(
    ("status", "on_battery"),
    [("Discharging", True), ("Charging", False), ("Not charging", False), ("Full", False), ("Unknown", None)],
)
def test_without_mains_the_battery_says_it_itself(
    tmp_path: Path, status: str, on_battery: bool | None
) -> None:
    supply(tmp_path, "BAT0", type="Battery", status=status, capacity="42")
    assert power(tmp_path) == (on_battery, 42)


def test_a_charger_on_one_of_several_sockets_is_enough(tmp_path: Path) -> None:
    supply(tmp_path, "AC", type="Mains", online="0")
    supply(tmp_path, "ucsi-source-psy-1", type="USB", online="0")
    supply(tmp_path, "ucsi-source-psy-2", type="USB", online="1")
    supply(tmp_path, "BAT0", type="Battery", status="Charging", capacity="30")
    supply(tmp_path, "BAT1", type="Battery", status="Unknown", capacity="61")
    assert power(tmp_path) == (False, 46)  # derived: the mean of 30 and 61, 45.5


def test_the_battery_of_a_mouse_does_not_count(tmp_path: Path) -> None:
    supply(tmp_path, "hid-mouse", type="Battery", scope="Device", status="Discharging", capacity="5")
    assert power(tmp_path) == (None, None)
    supply(tmp_path, "AC", type="Mains", online="1")
    assert power(tmp_path) == (False, None)


def test_an_empty_bay_and_an_unknown_kind_do_not_count(tmp_path: Path) -> None:
    supply(tmp_path, "BAT1", type="Battery", present="0", status="Discharging", capacity="0")
    supply(tmp_path, "heater", type="BrickOven", online="1")
    (tmp_path / "sys/class/power_supply/loose file").write_text("Battery")
    assert power(tmp_path) == (None, None)


@pytest.mark.parametrize(
    "rubbish", [b"", b"\xff\xfe\x00", b"-3", b"250", b"4 2", b"9" * 5000, "\u0664".encode()]
)
def test_rubbish_in_a_file_is_not_known(tmp_path: Path, rubbish: bytes) -> None:
    supply(tmp_path, "AC", type="Mains", online=rubbish)
    supply(tmp_path, "BAT0", type="Battery", status=rubbish, capacity=rubbish)
    supply(tmp_path, "BAT1", type=rubbish, status="Discharging", capacity="5")
    assert power(tmp_path) == (None, None)


def test_a_folder_where_a_file_should_be_is_not_known(tmp_path: Path) -> None:
    supply(tmp_path, "BAT0", type="Battery", status="Discharging")
    (tmp_path / "sys/class/power_supply/BAT0/capacity").mkdir()
    assert power(tmp_path) == (True, None)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes in the file system there")
def test_a_file_that_never_answers_is_not_waited_for(tmp_path: Path) -> None:
    supply(tmp_path, "BAT0", type="Battery", status="Discharging")
    os.mkfifo(tmp_path / "sys/class/power_supply/BAT0/capacity")
    assert power(tmp_path) == (True, None)


@pytest.mark.parametrize(
    ("text", "minutes"), [("600\n", 10.0), ("0\n", 0.0), ("-1", None), ("soon", None), ("", None)]
)
def test_when_the_console_goes_dark_is_told_in_minutes(
    tmp_path: Path, text: str, minutes: float | None
) -> None:
    blanks(tmp_path, text)
    assert look(tmp_path, CONSOLE).blanks_minutes == minutes  # derived: seconds over 60
    assert look(tmp_path, WINDOW).blanks_minutes is None  # the console's blanking says nothing of a window


PMSET = """Now drawing from '{source} Power'
 -InternalBattery-0 (id=1234567)\t{percent}%; discharging; 3:12 remaining present: true
"""


@pytest.mark.parametrize(("source", "on_battery"), [("Battery", True), ("AC", False), ("UPS", True)])
def test_a_mac_tells_its_battery(monkeypatch: pytest.MonkeyPatch, source: str, on_battery: bool) -> None:
    asked: list[dict[str, Any]] = []

    def answer(words: list[str], **how: Any) -> subprocess.CompletedProcess[bytes]:
        asked.append(how)
        return subprocess.CompletedProcess(words, 0, PMSET.format(source=source, percent=64).encode(), b"")

    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(subprocess, "run", answer)
    assert look() == Machine(on_battery, 64, None)
    assert asked[0]["stdin"] == subprocess.DEVNULL and asked[0]["timeout"] <= 1.0


@pytest.mark.parametrize(
    "fault",
    [
        FileNotFoundError(),
        PermissionError(),
        subprocess.TimeoutExpired("pmset", 1.0),
        subprocess.CalledProcessError(1, "pmset"),
    ],
)
def test_a_mac_that_does_not_answer_is_not_known(monkeypatch: pytest.MonkeyPatch, fault: Exception) -> None:
    def fail(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(subprocess, "run", fail)
    assert look() == Machine()


@pytest.mark.parametrize(
    "text", ["", "Now drawing from 'AC Power'\n", "Battery Power 50%", "InternalBattery 900%"]
)
def test_a_mac_without_a_battery_has_no_percent(text: str) -> None:
    assert machine._of_pmset(text).battery_percent is None


# Windows API, SYSTEM_POWER_STATUS: line 0 off, 1 on; flag 128 no battery; 255 is not known
@pytest.mark.parametrize(
    ("line", "flags", "percent", "told"),
    [
        (0, 1, 77, Machine(True, 77)),
        (1, 8, 99, Machine(False, 99)),
        (1, 128, 255, Machine(False, None)),
        (1, 128, 0, Machine(False, None)),
        (255, 255, 255, Machine(None, None)),
    ],
)
def test_windows_tells_line_and_battery(line: int, flags: int, percent: int, told: Machine) -> None:
    assert machine._of_windows(bytes([line, flags, percent, *[0] * 9])) == told


@pytest.mark.skipif(hasattr(__import__("ctypes"), "windll"), reason="there it would really be asked")
def test_a_windows_that_cannot_be_asked_is_not_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    assert look() == Machine()


@pytest.mark.parametrize("percent", [100, 51, 42, 3])
def test_a_day_on_battery_is_warned_of_whatever_is_in_it(percent: int) -> None:
    (told,) = warnings(Machine(True, percent, LIT))
    assert f"{percent} %" in told and "plug it in" in told
    (untold,) = warnings(Machine(True, None, LIT))
    assert "%" not in untold and "plug it in" in untold


def test_a_low_battery_is_warned_of_where_it_is_not_known_what_feeds_it() -> None:
    (told,) = warnings(Machine(None, 50, LIT))
    assert "50 %" in told and "plugged in" in told
    assert warnings(Machine(None, 51, LIT)) == ()


def test_on_the_mains_only_a_nearly_empty_battery_is_worth_a_word() -> None:
    assert warnings(Machine(False, 100, LIT)) == warnings(Machine(False, 21, LIT)) == ()
    (told,) = warnings(Machine(False, 20, LIT))
    assert "leave the plug in" in told
    assert warnings(Machine(False, None, LIT)) == warnings(Machine(None, None, LIT)) == ()


def test_a_console_that_goes_dark_is_warned_of_with_what_would_do() -> None:
    (told,) = warnings(Machine(False, None, 10.0))
    assert "dark after 10 min" in told and "setterm --blank 0" in told
    assert "less than a minute" in warnings(Machine(False, None, 0.5))[0]


@pytest.mark.parametrize(
    ("platform", "command"), [("linux", "systemd-inhibit"), ("darwin", "caffeinate"), ("win32", None)]
)
def test_where_darkness_and_sleep_cannot_be_seen_it_says_so_once(
    monkeypatch: pytest.MonkeyPatch, platform: str, command: str | None
) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    (told,) = warnings(Machine())
    assert "cannot see whether the screen goes dark or the machine sleeps: switch both off for today" in told
    assert command in told if command else "example" not in told


@given(
    st.one_of(st.none(), st.booleans()),
    st.one_of(st.none(), st.integers(0, 100)),
    st.one_of(st.none(), st.floats(0.0, 1e4)),
)
def test_every_warning_is_one_plain_sentence_and_the_battery_comes_first(
    on_battery: bool | None, percent: int | None, dark: float | None
) -> None:
    found = warnings(Machine(on_battery, percent, dark))
    assert len(found) <= 2
    for line in found:
        assert line.isascii() and line.isprintable() and line[0].isupper() and len(line) <= 170
    if on_battery:
        assert "battery" in found[0]
