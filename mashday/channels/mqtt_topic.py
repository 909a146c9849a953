"""A thermometer that is published under an MQTT topic (MQTT 3.1.1, OASIS standard).

By the package paho-mqtt where it is installed, else by the program mosquitto_sub, else the person is told
what to install. A message the broker had kept (its RETAIN flag, section 3.3.1.3) is handed on as such.
"""

from __future__ import annotations

import json
import re
import shutil
import threading
from collections.abc import Callable
from typing import Any, NamedTuple

from mashday.channels.child import Child
from mashday.channels.lines import LONGEST_LINE, Lines
from mashday.channels.probe_sources import Lost, Source, TakeLine
from mashday.text import cleaned, quoted

PORT = 1883
"""The port of MQTT (IANA registry of service names)."""
KEEP_ALIVE_SECONDS = 30
PROGRAM = "mosquitto_sub"
REMEDY = 'install the extra for MQTT: pip install "mashday[mqtt]", or the program mosquitto_sub'

_ADDRESS = re.compile(
    r"(?P<host>\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9._-]{1,253})(?::(?P<port>[0-9]{1,5}))?/(?P<topic>.+)"
)


class Address(NamedTuple):
    """Where a topic is: the broker's name, its port if one was said, the topic."""

    host: str
    port: int | None
    topic: str


def address_of(text: str) -> Address | None:
    """The address in "host/topic" or "host:port/topic"; None if it is none or names several topics."""
    match = _ADDRESS.fullmatch(text)
    if match is None or "+" in match["topic"] or "#" in match["topic"] or not match["topic"].isprintable():
        return None
    port = None if match["port"] is None else int(match["port"])
    if port is not None and not 0 < port < 65536:
        return None
    return Address(match["host"].strip("[]"), port, match["topic"])


class MqttSource:
    """The messages of one topic as lines. The broker may go and come back."""

    def __init__(self, address: str, port: int = PORT) -> None:
        """`address` is "host/topic"; ValueError if it is not that. `port` holds where it names none."""
        found = address_of(address)
        if found is None:
            raise ValueError(f"{quoted(address)} is not host/topic of one topic")
        self._address = found if found.port is not None else found._replace(port=port)
        self._source: Source | None = None
        self._stopping = threading.Event()

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Begin, once; returns at once: loading the package takes a while, so that is done in a thread."""
        threading.Thread(target=self._begin, args=(take_line, lost), name="mqtt", daemon=True).start()

    def stop(self) -> None:
        """End; returns at once."""
        self._stopping.set()
        source = self._source
        if source is not None:
            source.stop()

    def _begin(self, take_line: TakeLine, lost: Lost) -> None:
        source = _by_package(self._address) or _by_program(self._address)
        if source is None:
            lost(REMEDY)
            return
        source.start(take_line, lost)
        self._source = source
        if self._stopping.is_set():
            source.stop()


def _by_package(address: Address) -> Source | None:
    try:
        from paho.mqtt import client  # noqa: PLC0415
    except ImportError:
        return None
    return ByPackage(client, address)


def _by_program(address: Address) -> Source | None:
    program = shutil.which(PROGRAM)
    return None if program is None else ByProgram(program, address)


class ByPackage:
    """The topic by paho-mqtt, which reads in a thread of its own and connects again by itself."""

    def __init__(self, client: Any, address: Address) -> None:
        self._address = address
        self._stopping = threading.Event()
        self._was_lost = False
        self._client = client.Client(client.CallbackAPIVersion.VERSION2)
        self._client.reconnect_delay_set(1, 60)

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Begin, once; returns at once."""
        fresh, kept = _line_cutters(take_line)
        where = f"{quoted(self._address.host)} port {self._address.port}"

        def connected(client: Any, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
            if reason.is_failure:
                self._tell(lost, f"the MQTT broker at {where} refuses: {cleaned(str(reason), 60).lower()}")
            else:
                client.subscribe(self._address.topic)
                if self._was_lost:
                    self._tell(lost, f"the MQTT broker at {where} is back, nothing came yet")

        def disconnected(_client: Any, _data: Any, _flags: Any, _reason: Any, _properties: Any) -> None:
            self._tell(lost, f"the MQTT broker at {where} is gone")

        def not_connected(_client: Any, _data: Any) -> None:
            self._tell(lost, f"no MQTT broker answers at {where}")

        def came(_client: Any, _data: Any, message: Any) -> None:
            if not self._stopping.is_set():
                cutter = kept if message.retain else fresh
                cutter.feed(bytes(message.payload[:LONGEST_LINE]) + b"\n")

        self._client.on_connect = connected
        self._client.on_disconnect = disconnected
        self._client.on_connect_fail = not_connected
        self._client.on_message = came
        self._client.connect_async(self._address.host, self._address.port, KEEP_ALIVE_SECONDS)
        self._client.loop_start()

    def stop(self) -> None:
        """End; returns at once."""
        self._stopping.set()
        threading.Thread(target=self._end, name="mqtt's end", daemon=True).start()

    def _tell(self, lost: Lost, words: str) -> None:
        self._was_lost = True
        if not self._stopping.is_set():
            lost(words)

    def _end(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


class ByProgram:
    """The topic by mosquitto_sub, which writes each message as a JSON object on a line."""

    def __init__(self, program: str, address: Address) -> None:
        self._argv = (program, "-h", address.host, "-p", str(address.port), "-F", "%j", "-t", address.topic)
        self._where = f"{quoted(address.host)} port {address.port}"
        self._child: Child | None = None

    def start(self, take_line: TakeLine, lost: Lost) -> None:
        """Begin, once; returns at once."""
        fresh, kept = _line_cutters(take_line)

        def took(line: str) -> None:
            message = message_of(line)
            if message is not None:
                payload, retained = message
                (kept if retained else fresh).feed(payload.encode("utf-8", "replace") + b"\n")

        def ended(_code: int | None, words: str) -> None:
            lost(f"no MQTT broker answers at {self._where}: {PROGRAM} {words}")

        self._child = Child(self._argv, took, ended)
        self._child.start()

    def stop(self) -> None:
        """End; returns at once."""
        if self._child is not None:
            self._child.stop()


def message_of(line: str) -> tuple[str, bool] | None:
    """Payload and whether it was retained, of a line of mosquitto_sub; None if it is none."""
    try:
        message = json.loads(line)
    except (ValueError, RecursionError):
        return None
    if not isinstance(message, dict) or not isinstance(message.get("payload"), str | int | float):
        return None
    return str(message["payload"]), message.get("retain") not in (0, False)


def _line_cutters(take_line: TakeLine) -> tuple[Lines, Lines]:
    """What cuts fresh payloads into lines, and what cuts retained ones."""

    def took_retained(line: str) -> None:
        take_line(line, retained=True)

    took: Callable[[str], None] = take_line
    return Lines(took), Lines(took_retained)
