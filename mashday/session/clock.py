"""Clocks: how long a session has run, also through sleep and restarts, and what the wall clock says.

Durations come from a clock that goes on while the machine sleeps and that nobody can set; the wall clock
is a label, and the only witness across a restart of the machine.
"""

from __future__ import annotations

import math
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Literal, Protocol

VIRTUAL_BOOT_ID = "virtual"
"""The boot id of a clock that no machine keeps."""

VIRTUAL_START = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)
"""Where a virtual clock begins unless told otherwise: a fixed moment, so that a rehearsal can be repeated."""

LONGEST_ABSENCE_SECONDS = 24 * 3600.0
"""An absence longer than this is put to the person. Common practice, no source."""

CLOCK_SLACK_SECONDS = 1.0
"""How far back a clock may seem to go before it is doubted: wall labels are whole seconds."""


class Clock(Protocol):
    """What a session needs to know of time."""

    def elapsed(self) -> float:
        """Seconds on a clock that never goes back and goes on while the machine sleeps; its zero is free."""

    def wall(self) -> datetime:
        """The wall clock, aware, with the local offset as a fixed one, in whole seconds."""

    def boot_id(self) -> str:
        """Names the stretch within which `elapsed` can be compared; empty if that is not known."""


class SystemClock:
    """The machine's clocks.

    Linux: CLOCK_BOOTTIME (clock_gettime(2)). macOS: CLOCK_MONOTONIC, which counts sleep there
    (clock_gettime(3)). Elsewhere `time.monotonic`.
    """

    def elapsed(self) -> float:
        """Seconds since the machine was started, sleep included."""
        if sys.platform == "linux":
            return time.clock_gettime(time.CLOCK_BOOTTIME)
        elif sys.platform == "darwin":
            return time.clock_gettime(time.CLOCK_MONOTONIC)
        else:
            return time.monotonic()

    def wall(self) -> datetime:
        """The wall clock with the local offset, in whole seconds."""
        return datetime.now().astimezone().replace(microsecond=0)

    def boot_id(self) -> str:
        """The kernel's name for this start of the machine; empty where it tells none."""
        try:
            if sys.platform == "linux":
                return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
            elif sys.platform == "darwin":
                return subprocess.run(
                    ["/usr/sbin/sysctl", "-n", "kern.bootsessionuuid"],
                    capture_output=True,
                    check=True,
                    encoding="ascii",
                    timeout=2,
                ).stdout.strip()
            else:
                return ""
        except (OSError, ValueError, subprocess.SubprocessError):
            return ""


class VirtualClock:
    """A clock that stands still until it is moved on."""

    def __init__(self, start: datetime | None = None, elapsed: float = 0.0) -> None:
        """Begin at the aware moment `start`, with `elapsed` seconds already on the elapsed clock."""
        self._start = _instant(VIRTUAL_START if start is None else start)
        self._zero = self._elapsed = float(elapsed)

    def elapsed(self) -> float:
        """Seconds that have been passed to `advance`, on top of those it began with."""
        return self._elapsed

    def wall(self) -> datetime:
        """The start plus what has passed since, in whole seconds."""
        return _later(self._start, self._elapsed - self._zero)

    def boot_id(self) -> str:
        """Always "virtual"."""
        return VIRTUAL_BOOT_ID

    def advance(self, seconds: float) -> None:
        """Move on by `seconds`. ValueError if that is less than nothing or no number."""
        self._elapsed += _forward(seconds)


class FastClock:
    """A clock that runs `rate` times as fast as another, and can jump ahead: a rehearsal on the screen."""

    def __init__(
        self, rate: float, inner: Clock | None = None, start: datetime | None = None, elapsed: float = 0.0
    ) -> None:
        """Run from `start` (left out: the inner clock's now), with `elapsed` seconds already passed."""
        if not 0 < rate < math.inf:
            raise ValueError(f"a clock cannot run {rate} times as fast; the rate must be above zero")
        self._rate = rate
        self._inner: Clock = SystemClock() if inner is None else inner
        self._inner_zero = self._inner.elapsed()
        self._start = _instant(self._inner.wall() if start is None else start)
        self._zero = float(elapsed)
        self._jumped = 0.0

    def elapsed(self) -> float:
        """Seconds passed on this clock, on top of those it began with."""
        return self._zero + self._passed()

    def wall(self) -> datetime:
        """The start plus what has passed on this clock, in whole seconds."""
        return _later(self._start, self._passed())

    def boot_id(self) -> str:
        """Always "virtual": its seconds are no machine's."""
        return VIRTUAL_BOOT_ID

    def jump(self, seconds: float) -> None:
        """Move on by `seconds` at once. ValueError if that is less than nothing or no number."""
        self._jumped += _forward(seconds)

    def _passed(self) -> float:
        return (self._inner.elapsed() - self._inner_zero) * self._rate + self._jumped


@dataclass(frozen=True, slots=True)
class Opening:
    """What the clocks said when a session was last opened, at its own second `t`."""

    t: float
    elapsed: float
    boot_id: str


@dataclass(frozen=True, slots=True)
class Resumption:
    """Where a session goes on: its second `t`, how long nobody was there, and how surely that is known.

    "exact" by the elapsed clock of the same start of the machine, "estimated" by the wall clock, "ask" where
    neither can be believed: then `t` is the last one written and `away_seconds` what the clocks claim.
    """

    t: float
    away_seconds: float
    how: Literal["exact", "estimated", "ask"]


def resumed_t(
    *,
    last_opened: Opening,
    last_t: float,
    last_wall: datetime,
    elapsed: float,
    wall: datetime,
    boot_id: str,
) -> Resumption:
    """The second at which a session goes on, from its last entry (`last_t`, `last_wall`) and the clocks now.

    A clock that went back, or an absence over `LONGEST_ABSENCE_SECONDS`, is put to the person ("ask").
    """
    exact = boot_id != "" and boot_id == last_opened.boot_id
    if exact:
        away = last_opened.t + (elapsed - last_opened.elapsed) - last_t
    else:
        away = (_instant(wall).astimezone(UTC) - _instant(last_wall).astimezone(UTC)).total_seconds()
    if not -CLOCK_SLACK_SECONDS <= away <= LONGEST_ABSENCE_SECONDS:
        return Resumption(last_t, away, "ask")
    away = max(away, 0.0)
    return Resumption(last_t + away, away, "exact" if exact else "estimated")


def _forward(seconds: float) -> float:
    if not 0 <= seconds < math.inf:
        raise ValueError(f"a clock only goes forward, not by {seconds} seconds")
    return seconds


def _instant(moment: datetime) -> datetime:
    """The same instant at a fixed offset: arithmetic within one time zone forgets its summer time."""
    offset = moment.utcoffset()
    if offset is None:
        raise ValueError(f"{moment} has no offset from UTC, so it is no certain moment")
    return moment.astimezone(timezone(offset))


def _later(start: datetime, seconds: float) -> datetime:
    return (start + timedelta(seconds=seconds)).replace(microsecond=0)
