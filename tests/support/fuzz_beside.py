"""Rubbish beside the day: variables, a file of keys, thermometers and their addresses, words for a step."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_commands import LONGEST_SENTENCE, step_word
from fuzz_schedules import samples
from fuzz_texts import ESCAPES, NUMBERS, PATHS, TOKENS, UNITS, as_argument, hostile_text

from mashday import arguments
from mashday.channels.lines import LONGEST_LINE, Lines
from mashday.channels.mqtt_topic import address_of, message_of
from mashday.channels.one_wire import celsius_of_w1_slave
from mashday.channels.probe import Probe, ProbeSettings, probe_of
from mashday.channels.probe_line import PATTERN_EXAMPLE, celsius_in, compiled
from mashday.commands import hands_free
from mashday.commands.own_keys import own_keys
from mashday.commands.steps import no_such_step, step_meant
from mashday.faces.tui.keys import KEYS, remapped, with_pedal
from mashday.quantities import Unreadable
from mashday.schedule.door import load
from mashday.schedule.model import Schedule
from mashday.schedule.probe_fields import pattern_trouble


def set_up(chance: Random) -> dict[str, str]:
    """Variables for wet hands, by name; some are meant well."""
    well = {
        "probe": (
            "file:/tmp/probe",
            "one_wire:28-0316a2795bff",
            "mqtt:localhost/mash",
            "serial:/dev/ttyUSB9",
            "off",
        ),
        "hands_free": ("1", "no", "yes", "0"),
        "say": ("auto", "off", "file:said.txt", "espeak-ng -v en"),
        "sound": ("auto", "off", "aplay -q"),
        "on_call": ("ring-the-bell --loud", "off", "'a b' c"),
        "listen_to": ("fifo:/tmp/lock-seven", "command:listener --words", "off"),
        "pedal": ("presenter", "enter", "f4", "f7 f8", "off"),
        "notify": ("1", "off"),
    }
    found = {}
    for name, values in well.items():
        if chance.random() < 0.5:
            rubbish = as_argument(hostile_text(chance, halves=True))
            odd = (
                rubbish,
                rubbish,
                "'",
                '"x',
                "file:",
                "mqtt:",
                "mqtt:a/+",
                "serial:",
                "one_wire:../../x",
                "~x/y",
                "\\",
            )
            found[name] = chance.choice(values) if chance.random() < 0.7 else chance.choice(odd)
    return found


def met_set_up(found: dict[str, str], folder: Path) -> Outcome:
    """The variables as they are understood for a day; nothing is begun."""
    schedule = _schedules()[0]
    blank = argparse.Namespace(plain=True, units=None, **dict.fromkeys(arguments.HANDS_FREE))
    with _variables({f"MASHDAY_{name.upper()}": text for name, text in found.items()}):
        try:
            wanted = hands_free.asked(blank, schedule, rehearsed=False)
            keys = with_pedal(KEYS, wanted.pedal)
        except ValueError as refused:
            _one_sentence(str(refused))
            return "refused"
    assert keys
    shown(*wanted.notices)
    return "understood"


@contextmanager
def _variables(found: dict[str, str]) -> Iterator[None]:
    kept = {**os.environ}
    os.environ.update(found)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(kept)


def _one_sentence(text: str) -> None:
    assert text.strip() and "\n" not in text and len(text) < LONGEST_SENTENCE, text
    shown(text)


# The file of other keys


def keys_file(chance: Random) -> bytes:
    """A table of keys, changed, or bytes that are none."""
    lines = []
    for _ in range(chance.randint(0, 6)):
        name = chance.choice([key.name for key in KEYS])
        key = chance.choice(
            ("f5", "#", "ctrl+x", "~", "A", "space", "1", ".", "", "n", "a" * 30, hostile_text(chance))
        )
        lines.append(
            f"{name} = {json.dumps(chance.choice((key, [key], [key, 'f9'], [], 5, True, {'a': 1})))}"
        )
    data = "\n".join(lines).encode("utf-8", "surrogatepass")
    match chance.randint(0, 5):
        case 0:
            place = chance.randint(0, len(data))
            return data[:place] + chance.choice(TOKENS) + data[place:]
        case 1:
            return chance.choice(
                (
                    b"a = " + b"9" * 5000,
                    b"a." * 4000 + b"b = 1",
                    b"a = " + b"[" * 5000,
                    b"#" * 20000,
                    b"\xff\xfe" + data,
                    chance.randbytes(200),
                    ("next = '" + "\u202e" * 9 + "'").encode(),
                )
            )
    return data


def met_keys_file(data: bytes, folder: Path) -> Outcome:
    """The file named by its variable, and the keys it makes."""
    path = folder / "keys.toml"
    path.write_bytes(data)
    with _variables({"MASHDAY_KEYS": str(path)}):
        try:
            keys = remapped(own_keys())
        except ValueError as refused:
            _one_sentence(str(refused))
            assert "keys" in str(refused)
            return "refused"
    shown(*(f"{key.shown} {key.first}" for key in keys))
    return "taken"


# Thermometers


@dataclass(frozen=True, slots=True)
class Wrote:
    """What a thermometer wrote, the unit of a bare number, a pattern (None: none)."""

    data: bytes
    unit: str
    pattern: str | None


def a_thermometer(chance: Random) -> Wrote:
    """Lines such as thermometers write, good and bad."""
    rows = [_row(chance) for _ in range(chance.choice((1, 2, 5, 60)))]
    data = chance.choice(("\n", "\r\n", "\r")).join(rows).encode("utf-8", "surrogatepass") + b"\n"
    if chance.random() < 0.1:
        data = data[: chance.randint(0, len(data))] + chance.randbytes(chance.choice((1, 30, 9000)))
    pattern = _pattern(chance) if chance.random() < 0.3 else None
    return Wrote(data, chance.choice("CF"), pattern)


def _row(chance: Random) -> str:
    number = chance.choice(
        (f"{chance.uniform(15, 75):.2f}", f"{chance.uniform(15, 75):.1f}", chance.choice(NUMBERS))
    )
    unit = chance.choice(("", " C", " F", "\u00b0C", " deg C", "degC", chance.choice(UNITS)))
    label = chance.choice(
        ("", "temp: ", "T=", "Mash = ", "[probe] ", "humidity ", "ts=17000 ", hostile_text(chance))
    )
    match chance.randint(0, 6):
        case 0:
            return hostile_text(chance)
        case 1:
            return json.dumps(
                {"payload": chance.choice((number, 63.5, None, [1], 10**30)), "retain": chance.choice((0, 1))}
            )
        case 2:
            return " ".join(["T=61.2"] * chance.choice((1, 2, 200)))
    return f"{label}{number}{unit}"


def _pattern(chance: Random) -> str:
    pieces = [
        "(?P<value>[-0-9.,]+)",
        "T=",
        ".*",
        "a+",
        "[0-9]*",
        "(a|b)",
        "(x+)+",
        "(?=y)",
        "\\1",
        "|",
        "\\s+",
        ".",
        "?",
    ]
    made = "".join(chance.choice(pieces) for _ in range(chance.randint(1, 7)))
    return chance.choice((PATTERN_EXAMPLE, made, f"{made}(?P<value>[0-9.]+)", hostile_text(chance)[:200]))


def met_thermometer(found: Wrote, folder: Path) -> Outcome:
    """What it wrote, cut into lines and read as a live probe reads it."""
    pattern = found.pattern
    if pattern is not None and pattern_trouble(pattern) is not None:
        shown(*(pattern_trouble(pattern) or ()))
        pattern = None
    second = [0.0]
    settings = ProbeSettings(command=("x",), unit=found.unit, pattern=pattern)  # type: ignore[arg-type]
    probe = Probe(settings, lambda: second[0])
    lines: list[str] = []
    cutter = Lines(lines.append, seconds=lambda: second[0])
    cutter.feed(found.data)
    cutter.end()
    read = 0
    for one in lines:
        assert len(one) <= LONGEST_LINE
        second[0] += 1.5
        read += _read(one, found.unit, pattern)
        probe._took(one)
        told = probe.look()
        shown(
            *(
                text
                for text in (getattr(told, name) for name in told.__dataclass_fields__)
                if isinstance(text, str)
            )
        )
    return "read" if read else "unreadable"


def _read(line: str, unit: str, pattern: str | None) -> bool:
    message = message_of(line)
    if message is not None:
        line = message[0]
    try:
        celsius = celsius_in(line, unit, compiled(pattern) if pattern else None)  # type: ignore[arg-type]
    except Unreadable as why:
        _one_sentence(str(why))
        return False
    assert isinstance(celsius, float) and abs(celsius) <= 1e8
    return True


def an_address(chance: Random) -> str:
    """Where a thermometer is to be found, or nowhere."""
    host = chance.choice(
        ("localhost", "[::1]", "10.0.0.9", "a" * 300, "lock-seven:1883", "x:99999", hostile_text(chance))
    )
    topic = chance.choice(("mash/temperature", "+", "#", "a/+/b", "", hostile_text(chance), *PATHS))
    kind = chance.choice(("mqtt:", "serial:", "file:", "one_wire:", "", "mqtt", chance.choice(ESCAPES)))
    return f"{kind}{host}/{topic}" if chance.random() < 0.7 else f"{kind}{topic}"


def met_address(text: str, folder: Path) -> Outcome:
    """An address as a probe, as a topic, and as what a one-wire file holds."""
    found = address_of(text.removeprefix("mqtt:"))
    if found is not None:
        shown(*found[::2])  # type: ignore[arg-type]
        assert found.port is None or 0 < found.port < 65536
    try:
        celsius_of_w1_slave(text)
    except Unreadable as why:
        _one_sentence(str(why))
    try:
        settings = probe_of(text)
    except Unreadable as why:
        _one_sentence(str(why))
        return "refused"
    assert any((settings.command, settings.file, settings.one_wire, settings.serial, settings.mqtt))
    return "understood"


def a_step(chance: Random) -> tuple[int, str]:
    """A sample, and the word for one of its steps."""
    return chance.randrange(len(samples())), step_word(chance)


def met_step(found: tuple[int, str], folder: Path) -> Outcome:
    """The step meant, or the sentence that says which there are."""
    schedule = _schedules()[found[0]]
    number = step_meant(schedule, found[1])
    if number is None:
        _one_sentence(no_such_step(schedule, found[1]))
        return "refused"
    assert 1 <= number <= len(schedule.steps)
    return "understood"


@cache
def _schedules() -> tuple[Schedule, ...]:
    return tuple(load(text) for text in samples())


AREAS = (
    Area("set up by variables", set_up, met_set_up, frozenset({"understood"}), 0.2),
    Area("keys file", keys_file, met_keys_file, frozenset({"taken"}), 0.1),
    Area("thermometer", a_thermometer, met_thermometer, frozenset({"read"}), 0.3),
    Area("addresses", an_address, met_address, frozenset({"understood"}), 0.2),
    Area("steps", a_step, met_step, frozenset({"understood"}), 0.2),
)
