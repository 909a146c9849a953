"""A live thermometer beside the pot: its lines are read in threads, and a look at it costs nothing.

What it tells is a suggestion for the person beside the pot; nothing here moves a day on.
"""

from __future__ import annotations

import re
import shlex
import sys
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from mashday.channels.file_lines import FileSource
from mashday.channels.mqtt_topic import PORT, MqttSource, address_of
from mashday.channels.one_wire import OneWireSource, is_device_name
from mashday.channels.probe_line import ThermometerUnit, celsius_in, compiled
from mashday.channels.probe_live import Live, Shown
from mashday.channels.probe_sources import CommandSource, Source
from mashday.channels.serial_line import SerialSource
from mashday.quantities import Units, Unreadable
from mashday.text import problem, quoted

__all__ = ["Probe", "ProbeSettings", "Shown", "probe_of"]

MOST_WAITING = 500
"""So many events wait for a look; older ones make room."""
LONGEST_TEXT = 500
SOURCES = ("command", "file", "one_wire", "serial", "mqtt")


@dataclass(frozen=True, slots=True)
class ProbeSettings:
    """Where a thermometer is read (just one of the five) and how: shown = offset + slope * true.

    `unit` is that of a number without one; `lag_seconds` None is a lag not known; a value older than
    `stale_seconds` is none.
    """

    command: tuple[str, ...] | None = None
    file: str | None = None
    one_wire: str | None = None
    serial: str | None = None
    baud: int = 9600
    mqtt: str | None = None
    port: int = PORT
    unit: ThermometerUnit = "C"
    pattern: str | None = None
    offset_kelvin: float = 0.0
    slope: float = 1.0
    lag_seconds: float | None = None
    stale_seconds: float = 60.0

    def __post_init__(self) -> None:
        if sum(bool(getattr(self, name)) for name in SOURCES) != 1:
            raise ValueError(f"a probe is read from one of: {', '.join(SOURCES)}")


def probe_of(text: str) -> ProbeSettings:
    """The probe a person names in one text; Unreadable if there is none.

    "one_wire:NAME", "serial:DEVICE", "mqtt:HOST/TOPIC", "file:PATH", and anything else is a command.
    """
    reason = problem(text, LONGEST_TEXT)
    if reason is not None:
        raise Unreadable(f"the probe {reason}", 'name it such as "serial:/dev/ttyUSB0"')
    kind, _, rest = text.strip().partition(":")
    match kind:
        case "one_wire":
            if not is_device_name(rest.strip().lower()):
                raise Unreadable(
                    f"{quoted(rest)} is no one-wire thermometer", 'write its name, such as "28-0316a2795bff"'
                )
            return ProbeSettings(one_wire=rest.strip().lower())
        case "mqtt":
            if address_of(rest.strip()) is None:
                raise Unreadable(
                    f"{quoted(rest)} is no host and topic", 'write "mqtt:localhost/mash/temperature"'
                )
            return ProbeSettings(mqtt=rest.strip())
        case "serial":
            return ProbeSettings(serial=_path(kind, rest))
        case "file":
            return ProbeSettings(file=_path(kind, rest))
    return ProbeSettings(command=_words_of(text))


def _path(kind: str, text: str) -> str:
    if not text.strip():
        raise Unreadable(f"no path stands after {kind}:", f'write it behind, such as "{kind}:/dev/ttyUSB0"')
    return text.strip()


def _words_of(text: str) -> tuple[str, ...]:
    try:
        words = shlex.split(text, posix=sys.platform != "win32")
    except ValueError as error:
        raise Unreadable(f"a quotation mark of {quoted(text)} has no partner", "close it") from error
    return tuple(word.strip('"') if sys.platform == "win32" else word for word in words)


class _Event(NamedTuple):
    """What a reader's thread found: a sample, a line that is none, or that nothing can be had."""

    second: float
    celsius: float | None = None
    retained: bool = False
    unreadable: str | None = None
    lost: str | None = None


class Probe:
    """One thermometer, read from `start` to `stop`. `look` may be called as often as a screen is painted."""

    def __init__(
        self,
        settings: ProbeSettings,
        seconds: Callable[[], float] = time.monotonic,
        *,
        units: Units = "metric",
        root: Path = Path("/"),
    ) -> None:
        """`units` are those of the words for trouble; `root` is where the file system begins.

        A clock that goes on while the machine sleeps keeps an old value from looking new after it.
        """
        self._settings = settings
        self._seconds = seconds
        self._pattern: re.Pattern[str] | None = None
        if settings.pattern is not None:
            self._pattern = compiled(settings.pattern)
        self._events: deque[_Event] = deque(maxlen=MOST_WAITING)
        self._live = Live(
            seconds(),
            offset_kelvin=settings.offset_kelvin,
            slope=settings.slope,
            lag_seconds=settings.lag_seconds,
            stale_seconds=settings.stale_seconds,
            units=units,
        )
        self._source = _source(settings, root)

    def start(self) -> None:
        """Begin to read, once; returns at once, and whatever fails is told as trouble."""
        self._source.start(self._took, self._lost)

    def stop(self) -> None:
        """End reading; returns at once."""
        self._source.stop()

    def look(self) -> Shown:
        """What the thermometer tells at this moment. Never blocks, never raises."""
        while self._events:
            self._heed(self._events.popleft())
        return self._live.shown(self._seconds())

    def _heed(self, event: _Event) -> None:
        if event.celsius is not None:
            self._live.take(event.second, event.celsius, retained=event.retained)
        elif event.unreadable is not None:
            self._live.unreadable(event.second, event.unreadable)
        elif event.lost is not None:
            self._live.lost(event.second, event.lost)

    def _took(self, line: str, *, retained: bool = False) -> None:
        now = self._seconds()
        try:
            celsius = celsius_in(line, self._settings.unit, self._pattern)
        except Unreadable as error:
            self._events.append(_Event(now, unreadable=str(error)))
        else:
            self._events.append(_Event(now, celsius, retained))

    def _lost(self, words: str) -> None:
        self._events.append(_Event(self._seconds(), lost=words))


def _source(settings: ProbeSettings, root: Path) -> Source:
    if settings.command:
        return CommandSource(settings.command)
    if settings.file:
        return FileSource(settings.file)
    if settings.one_wire:
        return OneWireSource(settings.one_wire, root)
    if settings.serial:
        return SerialSource(settings.serial, settings.baud)
    return MqttSource(settings.mqtt or "", settings.port)
