"""A thermometer on a serial line: an adapter or a small board on USB that writes lines.

pyserial reads it where it is installed; elsewhere a POSIX terminal line is set up here (POSIX.1-2017,
chapter 11), and on other systems the person is told which extra to install.
"""

from __future__ import annotations

import os
import select
import stat
import sys
from typing import Any, Protocol

from mashday.channels.lines import BREATH_SECONDS, CHUNK, Lines
from mashday.channels.own_terminal import IS_OURS, names_own_terminal
from mashday.channels.probe_sources import ThreadedSource
from mashday.text import cleaned, quoted

WAIT_SECONDS = 0.25
REMEDY = 'install the extra for serial lines: pip install "mashday[serial]"'


class Unplugged(Exception):
    """The line cannot be opened or is gone; its text says why."""


class Port(Protocol):
    """An open serial line."""

    def read(self) -> bytes:
        """What came, after waiting at most `WAIT_SECONDS`; Unplugged if the line is gone."""

    def close(self) -> None:
        """Let go of it."""


class SerialSource(ThreadedSource):
    """The lines of a serial device. It may be pulled out and plugged in again.

    What comes before the first line end is dropped: the line was opened in the middle of it.
    """

    def __init__(self, device: str, baud: int = 9600) -> None:
        super().__init__()
        self._device = device
        self._baud = baud

    def once(self) -> None:
        """Open the line and read it until it is gone."""
        try:
            port = opened(self._device, self._baud)
        except Unplugged as error:
            self.tell_lost(str(error))
            return
        lines = Lines(self.tell_line, from_middle=True)
        try:
            while not self.stopped:
                if lines.feed(port.read()):
                    self.wait(BREATH_SECONDS)
        except Unplugged as error:
            self.tell_lost(str(error))
        finally:
            port.close()


def opened(device: str, baud: int) -> Port:
    """The serial line, open; Unplugged with the reason if that cannot be.

    The terminal of the day is not even opened: it would be set to other rules than those its keys need.
    """
    if names_own_terminal(device):
        raise Unplugged(f"{quoted(device)} {IS_OURS}")
    try:
        import serial  # noqa: PLC0415
    except ImportError:
        return _Terminal(device, baud)
    return _ByPyserial(serial, device, baud)


class _ByPyserial:
    def __init__(self, serial: Any, device: str, baud: int) -> None:
        self._device = device
        self._faults = (serial.SerialException, OSError, ValueError, TypeError)
        try:
            self._port = serial.Serial(device, baud, timeout=WAIT_SECONDS)
        except self._faults as error:
            raise _unplugged(device, error) from error

    def read(self) -> bytes:
        try:
            return bytes(self._port.read(min(max(self._port.in_waiting, 1), CHUNK)))
        except self._faults as error:
            raise _unplugged(self._device, error) from error

    def close(self) -> None:
        try:
            self._port.close()
        except self._faults:
            return


class _Terminal:
    """A serial line as a POSIX terminal, raw: eight bits, no echo, no modem lines."""

    def __init__(self, device: str, baud: int) -> None:
        self._device = device
        if sys.platform == "win32":
            raise Unplugged(REMEDY)
        try:
            self._descriptor = os.open(device, os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        except (OSError, ValueError) as error:
            raise _unplugged(device, error) from error
        try:
            if not stat.S_ISCHR(os.fstat(self._descriptor).st_mode):
                raise Unplugged(f"{quoted(device)} is no serial device")
            self._set_up(baud)
        except Unplugged:
            self.close()
            raise

    def _set_up(self, baud: int) -> None:
        if sys.platform == "win32":
            raise Unplugged(REMEDY)
        import termios  # noqa: PLC0415

        speed = getattr(termios, f"B{baud}", None)
        if speed is None:
            raise Unplugged(f"{baud} baud is not known here; {REMEDY}")
        try:
            settings = termios.tcgetattr(self._descriptor)
            settings[0] = termios.IGNBRK | termios.IGNPAR
            settings[1] = 0
            settings[2] = termios.CS8 | termios.CREAD | termios.CLOCAL
            settings[3] = 0
            settings[4] = settings[5] = speed
            termios.tcsetattr(self._descriptor, termios.TCSANOW, settings)
        except termios.error as error:
            raise Unplugged(f"{quoted(self._device)} is no serial device") from error

    def read(self) -> bytes:
        try:
            ready, _, _ = select.select([self._descriptor], [], [], WAIT_SECONDS)
            data = os.read(self._descriptor, CHUNK) if ready else None
        except BlockingIOError:
            return b""
        except (OSError, ValueError) as error:
            raise _unplugged(self._device, error) from error
        if data == b"":
            raise Unplugged(f"unplugged: {quoted(self._device)} has ended")
        return data or b""

    def close(self) -> None:
        os.close(self._descriptor)


def _unplugged(device: str, error: BaseException) -> Unplugged:
    number = getattr(error, "errno", None)
    reason = os.strerror(number).lower() if isinstance(number, int) else cleaned(str(error), 80)
    return Unplugged(f"unplugged: {quoted(device)}: {reason}")
