"""What the machine itself may spoil of a long day: an empty battery, a screen that goes dark, sleep.

Linux tells its supplies in sysfs (kernel documentation, ABI/testing/sysfs-class-power) and the blanking of
its own console as a parameter (kernel parameter `consoleblank`, seconds, 0: never). macOS tells the battery
with pmset(1), Windows with GetSystemPowerStatus. What cannot be told is None, and no look is ever an error.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

LOW_PERCENT = 50
"""At most this much in a battery is low for a day of hours. Judgement, no source."""
NEARLY_EMPTY_PERCENT = 20
"""At most this much is little even beside a charger. Judgement, no source."""
MOST_SUPPLIES = 32
MOST_CHARACTERS = 64
MOST_SECONDS = 1.0
"""How long another program may take to answer."""


@dataclass(frozen=True, slots=True)
class Machine:
    """What is known of the machine; None where it cannot be told.

    `blanks_minutes` is when the screen goes dark, 0 for never.
    """

    on_battery: bool | None = None
    battery_percent: int | None = None
    blanks_minutes: float | None = None


def look(root: Path = Path("/"), environment: Mapping[str, str] | None = None) -> Machine:
    """The machine as it is now. Never raises; takes at most about a second.

    `root` is where the file system of a Linux begins; `environment` is the process's own where left out.
    """
    variables = os.environ if environment is None else environment
    if sys.platform == "darwin":
        return _told_by_pmset()
    elif sys.platform == "win32":
        return _told_by_windows()
    else:
        on_battery, percent = _supplies(root / "sys/class/power_supply")
        on_console = variables.get("TERM") == "linux"
        return Machine(on_battery, percent, _blanks_minutes(root) if on_console else None)


def warnings(machine: Machine) -> tuple[str, ...]:
    """What may spoil the day, each with what would do, the weightiest first; none where nothing may."""
    return (*_of_battery(machine), *_of_darkness(machine))


def _of_battery(machine: Machine) -> tuple[str, ...]:
    percent = machine.battery_percent
    left = "" if percent is None else f", {percent} %"
    if machine.on_battery:
        return (f"This machine runs on battery{left}: plug it in, the day takes hours",)
    if percent is None:
        return ()
    if machine.on_battery is None and percent <= LOW_PERCENT:
        return (f"The battery is at {percent} %: see that the machine is plugged in, the day takes hours",)
    if percent <= NEARLY_EMPTY_PERCENT:
        return (f"The battery is at {percent} %: leave the plug in, it would not last through a power cut",)
    return ()


def _of_darkness(machine: Machine) -> tuple[str, ...]:
    blanks = machine.blanks_minutes
    if blanks is None:
        return (
            "This cannot see whether the screen goes dark or the machine sleeps: switch both off for today"
            f"{_for_example()}",
        )
    if blanks <= 0.0:
        return ()
    return (f"The screen goes dark after {_minutes(blanks)}; to keep it lit today type: setterm --blank 0",)


def _for_example() -> str:
    """How a machine of this make is kept awake, as an aside; empty where no ordinary command does it."""
    if sys.platform == "darwin":
        return " (for example: caffeinate -di mashday run FILE)"
    elif sys.platform == "linux":
        return " (for example: systemd-inhibit --what=idle:sleep mashday run FILE)"
    else:
        return ""


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes >= 1.0 else "less than a minute"


@dataclass(frozen=True, slots=True)
class _Supply:
    """One supply of sysfs: `on` is whether a mains feeds or a battery is drained; None if not told."""

    is_battery: bool
    on: bool | None
    percent: int | None


def _supplies(folder: Path) -> tuple[bool | None, int | None]:
    """Whether the machine runs on battery, and what its batteries hold on the mean, percent."""
    try:
        found = [_supply(path) for path in sorted(folder.iterdir())[:MOST_SUPPLIES]]
    except (OSError, ValueError):
        return None, None
    told = [supply for supply in found if supply is not None]
    batteries = [supply for supply in told if supply.is_battery]
    mains = [supply.on for supply in told if not supply.is_battery and supply.on is not None]
    percents = [supply.percent for supply in batteries if supply.percent is not None]
    percent = round(sum(percents) / len(percents)) if percents else None
    if not batteries:
        return (False if any(mains) else None), None
    if any(mains):
        return False, percent
    drained = [supply.on for supply in batteries if supply.on is not None]
    if any(drained):
        return True, percent
    return (True if mains else False if drained else None), percent


def _supply(path: Path) -> _Supply | None:
    """The supply in this folder; None if it is none of the machine's own (a mouse's battery) or broken."""
    kind = _word(path / "type").casefold()
    if _word(path / "scope").casefold() == "device":
        return None
    if kind == "battery":
        if _word(path / "present") == "0":
            return None
        status = _word(path / "status").casefold()
        on = status == "discharging" if status in _STATUSES else None
        return _Supply(True, on, _percent(_word(path / "capacity")))
    if kind in _CHARGERS or kind.startswith("usb"):
        online = _word(path / "online")
        return _Supply(False, online != "0" if online in {"0", "1", "2"} else None, None)
    return None


_CHARGERS = frozenset({"mains", "wireless"})
_STATUSES = frozenset({"charging", "discharging", "not charging", "full"})


def _blanks_minutes(root: Path) -> float | None:
    """After how many minutes the console goes dark, 0 for never; None if the kernel does not say."""
    seconds = _word(root / "sys/module/kernel/parameters/consoleblank")
    return int(seconds) / 60.0 if re.fullmatch("[0-9]{1,6}", seconds) else None


def _word(path: Path) -> str:
    """What a file of sysfs says; empty if it cannot be read or is no short text."""
    try:
        if not path.is_file():
            return ""
        with path.open("rb") as file:
            return file.read(MOST_CHARACTERS).decode("ascii").strip()
    except (OSError, ValueError):
        return ""


def _percent(text: str) -> int | None:
    """A share from 0 to 100; None if it is none."""
    return int(text) if re.fullmatch("[0-9]{1,3}", text) and int(text) <= 100 else None


def _told_by_pmset() -> Machine:
    try:
        done = subprocess.run(
            ["/usr/bin/pmset", "-g", "batt"],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=True,
            timeout=MOST_SECONDS,
        )
    except (OSError, ValueError, subprocess.SubprocessError):
        return Machine()
    return _of_pmset(done.stdout.decode("ascii", "replace"))


def _of_pmset(text: str) -> Machine:
    """The machine as `pmset -g batt` tells it."""
    source = re.search(r"drawing from '(AC|Battery|UPS) Power'", text)
    internal = re.search(r"InternalBattery[^\n]*?\b([0-9]{1,3})%", text)
    on_battery = None if source is None else source[1] != "AC"
    return Machine(on_battery, None if internal is None else _percent(internal[1]))


def _told_by_windows() -> Machine:
    """By GetSystemPowerStatus of kernel32 (Windows API, winbase.h)."""
    try:
        import ctypes  # noqa: PLC0415

        status = (ctypes.c_ubyte * 12)()
        library = getattr(ctypes, "windll").kernel32  # noqa: B009
        told = library.GetSystemPowerStatus(ctypes.byref(status))
    except (ImportError, AttributeError, OSError, ValueError):
        return Machine()
    return _of_windows(bytes(status)) if told else Machine()


def _of_windows(status: bytes) -> Machine:
    """The machine as the first bytes of a SYSTEM_POWER_STATUS tell it: line, flags, percent.

    Line 0 is off, 1 on; flag 128 is no battery; a percent of 255 is not known.
    """
    line, flags, percent = status[0], status[1], status[2]
    on_battery = {0: True, 1: False}.get(line)
    no_battery = flags != 255 and bool(flags & 128)
    return Machine(on_battery, percent if percent <= 100 and not no_battery else None)
