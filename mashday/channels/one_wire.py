"""A thermometer on the kernel's one-wire bus, by the files Linux shows of it.

`w1_slave` tells the nine bytes with their checksum and the temperature (kernel documentation, w1/slaves/
w1_therm); `temperature`, where that is missing, the temperature alone. Both are in thousandths of a degree.
"""

from __future__ import annotations

import re
from pathlib import Path

from mashday.channels.probe_sources import ThreadedSource
from mashday.quantities import Unreadable
from mashday.text import quoted

READ_SECONDS = 1.0
"""How often it is read; a conversion takes up to 0.75 s (data sheet, from memory)."""
MOST_BYTES = 1024
DEVICES = Path("sys/bus/w1/devices")

_NAME = re.compile(r"[0-9a-f]{2}-[0-9a-f]{12}")
_THOUSANDTHS = re.compile(r"-?[0-9]{1,7}")
_FIRST = re.compile(r"(?P<bytes>(?:[0-9a-f]{2} ){9}): crc=[0-9a-f]{2} (?P<sound>YES|NO)")


def is_device_name(text: str) -> bool:
    """True of a name such as "28-0316a2795bff": the family and the serial number, in hexadecimal."""
    return _NAME.fullmatch(text) is not None


def celsius_of_w1_slave(text: str) -> float:
    """The temperature in a `w1_slave` file, degC; Unreadable with the reason if it holds none to trust."""
    rows = text.splitlines()
    first = _FIRST.match(rows[0]) if len(rows) >= 2 else None
    if first is None:
        raise Unreadable(
            "the file of the thermometer is empty or cut short", "see whether it sits in its plug"
        )
    if first["sound"] == "NO":
        raise Unreadable("checksum wrong", "look at the cable and its resistor")
    if set(first["bytes"].split()) == {"00"}:
        raise Unreadable("the wire tells noughts only", "look for a short circuit")
    return celsius_of_temperature(rows[1].rpartition("t=")[2])


def celsius_of_temperature(text: str) -> float:
    """The temperature in a `temperature` file, degC; Unreadable if there is none."""
    number = text.strip()
    if not _THOUSANDTHS.fullmatch(number):
        raise Unreadable("the file of the thermometer holds no number", "see whether it sits in its plug")
    return int(number) / 1000.0


class OneWireSource(ThreadedSource):
    """Reads the device's file once a second and hands on its temperature as a line."""

    RETRY_SECONDS = READ_SECONDS

    def __init__(self, name: str, root: Path = Path("/")) -> None:
        """`root` is where the file system begins."""
        super().__init__()
        if not is_device_name(name):
            raise ValueError(f"{quoted(name)} is no name of a one-wire device")
        self._name = name
        self._folder = root / DEVICES / name

    def once(self) -> None:
        """One reading, or why there is none."""
        try:
            self.tell_line(f"{self._celsius():.3f} C")
        except Unreadable as error:
            self.tell_lost(error.found)
        except PermissionError:
            self.tell_lost(f"{self._name} on the wire may not be read by this person")
        except OSError:
            self.tell_lost(f"unplugged: no {self._name} on the wire")

    def _celsius(self) -> float:
        try:
            return celsius_of_w1_slave(_start_of(self._folder / "w1_slave"))
        except FileNotFoundError:
            return celsius_of_temperature(_start_of(self._folder / "temperature"))


def _start_of(path: Path) -> str:
    with path.open("rb") as file:
        return file.read(MOST_BYTES).decode("ascii", "replace")
