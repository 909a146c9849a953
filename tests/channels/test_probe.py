"""A probe from its source to what is shown: real programs, files and a made-up one-wire tree."""

from __future__ import annotations

import itertools
import os
import shutil
import sys
import threading

import pytest
from heard import until

from mashday.channels import file_lines
from mashday.channels.file_lines import FileSource
from mashday.channels.one_wire import OneWireSource
from mashday.channels.probe import MOST_WAITING, Probe, ProbeSettings, Shown, probe_of
from mashday.quantities import Unreadable


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(file_lines, "POLL_SECONDS", 0.02)
    monkeypatch.setattr(FileSource, "RETRY_SECONDS", 0.02)
    monkeypatch.setattr(OneWireSource, "RETRY_SECONDS", 0.02)
    monkeypatch.setattr("mashday.channels.child.PAUSES_SECONDS", (0.05,))


@pytest.fixture
def begin():
    probes = []

    def start(settings, *more, **settings_of_probe):
        probe = Probe(settings, *more, **settings_of_probe)
        probes.append(probe)
        probe.start()
        return probe

    yield start
    for probe in probes:
        probe.stop()


@pytest.mark.parametrize(
    ("text", "settings"),
    [
        ("one_wire:28-0316A2795BFF", ProbeSettings(one_wire="28-0316a2795bff")),
        ("serial:/dev/ttyUSB0", ProbeSettings(serial="/dev/ttyUSB0")),
        ("serial:COM3", ProbeSettings(serial="COM3")),
        ("mqtt:localhost/mash/temperature", ProbeSettings(mqtt="localhost/mash/temperature")),
        ("file:/run/mash probe", ProbeSettings(file="/run/mash probe")),
        ("read-probe --name 'Lock Seven'", ProbeSettings(command=("read-probe", "--name", "Lock Seven"))),
    ],
)
def test_a_text_names_a_probe(text, settings):
    assert probe_of(text) == settings


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "the probe is empty"),
        ("a\nb", "the probe holds a line break"),
        ("one_wire:../etc", "'../etc' is no one-wire thermometer"),
        ("mqtt:localhost", "'localhost' is no host and topic"),
        ("serial: ", "no path stands after serial:"),
        ("file:", "no path stands after file:"),
        ("read 'probe", "has no partner"),
    ],
)
def test_a_text_that_names_none_is_refused_with_what_would_do(text, why):
    with pytest.raises(Unreadable, match=why) as caught:
        probe_of(text)
    assert caught.value.remedy


@pytest.mark.parametrize("named", [{}, {"file": "a", "serial": "b"}, {"file": ""}])
def test_settings_name_one_source(named):
    with pytest.raises(ValueError, match="one of: command, file, one_wire, serial, mqtt"):
        ProbeSettings(**named)


def test_a_pattern_without_its_group_is_refused_at_once():
    with pytest.raises(ValueError, match="no group"):
        Probe(ProbeSettings(file="a", pattern="[0-9]+"))


def test_a_probe_that_was_never_started_tells_nothing():
    assert Probe(ProbeSettings(file="a"), lambda: 0.0).look() == Shown()


SCRIPT = """
import itertools, time
for n in itertools.count():
    print(f"T={64 + n % 2 / 10}")
    time.sleep(0.02)
"""


def test_a_program_that_does_not_flush_is_heard_all_the_same(begin):
    probe = begin(ProbeSettings(command=(sys.executable, "-c", SCRIPT)))
    until(lambda: probe.look().celsius is not None)
    assert 64.0 <= (probe.look().celsius or 0.0) <= 64.1


@pytest.mark.skipif(os.name == "nt", reason="the program here is a script of a POSIX shell")
def test_a_program_that_dies_is_told_and_comes_back(tmp_path, begin):
    gone = tmp_path / "gone"
    script = f"[ -e {gone} ] && exit 4; while [ ! -e {gone} ]; do echo 64.5; sleep 0.02; done; exit 3"
    probe = begin(ProbeSettings(command=("sh", "-c", script), stale_seconds=0.3))
    until(lambda: probe.look().celsius == 64.5)
    gone.touch()
    until(lambda: probe.look().trouble == "'sh' ended with code 4")
    until(lambda: probe.look().celsius is None)
    gone.unlink()
    until(lambda: probe.look().celsius == 64.5)
    assert probe.look().trouble is None


def test_a_program_that_is_not_there_is_told(begin):
    probe = begin(ProbeSettings(command=("no-such-program-of-lock-seven",)))
    until(lambda: probe.look().trouble)
    assert (
        probe.look().trouble == "'no-such-program-of-lock-seven' cannot be started: there is no such program"
    )


def test_a_file_in_fahrenheit_is_told_in_true_celsius(tmp_path, begin):
    path = tmp_path / "now"
    path.write_text("probe 3 reads 150.8 now\n")
    settings = ProbeSettings(
        file=str(path), unit="F", pattern="reads (?P<value>[0-9.]+)", offset_kelvin=0.5, slope=1.0
    )
    probe = begin(settings)
    until(lambda: probe.look().celsius is not None)
    # (150.8 - 32) * 5 / 9 = 66, less an offset of 0.5
    assert probe.look().celsius == pytest.approx(65.5)


def test_lines_that_cannot_be_read_say_what_would_do(tmp_path, begin):
    path = tmp_path / "now"
    path.write_text("28-00 64.5\n")
    probe = begin(ProbeSettings(file=str(path)))
    until(lambda: probe.look().trouble)
    assert probe.look().celsius is None
    assert "two numbers: '28-00 64.5'; give a pattern" in (probe.look().trouble or "")


def test_a_one_wire_thermometer_is_read_doubted_lost_and_found(tmp_path, begin):
    name = "28-0316a2795bff"
    folder = tmp_path / "sys/bus/w1/devices" / name

    def put(thousandths, sound="YES"):
        folder.mkdir(parents=True, exist_ok=True)
        row = "08 04 4b 46 7f ff 0c 10 1c"
        (tmp_path / "fresh").write_text(f"{row} : crc=1c {sound}\n{row} t={thousandths}\n")
        (tmp_path / "fresh").rename(folder / "w1_slave")

    put(85000)
    probe = begin(ProbeSettings(one_wire=name), root=tmp_path)
    until(lambda: probe.look().trouble == "85.0 C is the power-on value")
    assert probe.look().celsius is None
    put(64500)
    until(lambda: probe.look().celsius == 64.5)
    assert probe.look().trouble is None
    put(64500, "NO")
    until(lambda: probe.look().trouble == "checksum wrong")
    put(127937)
    until(lambda: probe.look().trouble == "128 C cannot be")
    shutil.rmtree(folder)
    until(lambda: probe.look().trouble == f"unplugged: no {name} on the wire")
    assert probe.look().celsius == 64.5
    put(64437)
    until(lambda: probe.look().trouble is None)


def test_nobody_looking_for_long_costs_no_memory_and_the_newest_is_kept():
    seconds = itertools.count()
    probe = Probe(ProbeSettings(file="a"), lambda: float(next(seconds)))
    for _ in range(MOST_WAITING * 3):
        probe._took("64.5")
    probe._took("64.6")
    shown = probe.look()
    assert (shown.age_seconds, shown.trouble) == (1.0, None)
    assert len(probe._events) == 0


def test_looks_and_lines_at_once_do_not_disturb_each_other():
    probe = Probe(ProbeSettings(file="a"))
    threads = [threading.Thread(target=lambda: [probe._took("64.5") for _ in range(2000)]) for _ in range(3)]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        assert probe.look().celsius in (None, 64.5)
    assert probe.look().celsius == 64.5
