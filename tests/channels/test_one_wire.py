"""The kernel's one-wire files, in a tree made up here that changes while it is read.

The form of the files is that of the kernel documentation, w1/slaves/w1_therm.
"""

from __future__ import annotations

import shutil

import pytest
from heard import Heard, until
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.one_wire import (
    OneWireSource,
    celsius_of_temperature,
    celsius_of_w1_slave,
    is_device_name,
)
from mashday.quantities import Unreadable

NAME = "28-0316a2795bff"
BYTES = "08 04 4b 46 7f ff 0c 10 1c"


def slave(thousandths: int | str, *, sound: str = "YES", row: str = BYTES) -> str:
    return f"{row} : crc=1c {sound}\n{row} t={thousandths}\n"


@pytest.mark.parametrize(("written", "celsius"), [(64500, 64.5), (-1062, -1.062), (0, 0.0), (85000, 85.0)])
def test_both_files_tell_thousandths_of_a_degree(written, celsius):
    assert celsius_of_w1_slave(slave(written)) == celsius
    assert celsius_of_temperature(f"{written}\n") == celsius


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (slave(64500, sound="NO"), "checksum wrong"),
        (slave(0, row=" ".join(["00"] * 9)), "noughts only"),
        ("", "empty or cut short"),
        (slave(64500).splitlines()[0], "empty or cut short"),
        (slave("6.4"), "no number"),
        (slave(""), "no number"),
        (slave("\u0666"), "no number"),
        ("rubbish\nt=64500\n", "empty or cut short"),
    ],
)
def test_a_file_that_cannot_be_trusted_says_why(text, why):
    with pytest.raises(Unreadable, match=why):
        celsius_of_w1_slave(text)


@given(st.text(max_size=120))
def test_any_file_is_read_or_refused(text):
    for read in (celsius_of_w1_slave, celsius_of_temperature):
        try:
            assert isinstance(read(text), float)
        except Unreadable as error:
            assert error.remedy


@pytest.mark.parametrize("name", ["28-0316a2795bf", "../28-0316a2795bff", "28-0316A2795BFF", ""])
def test_a_name_that_is_none_is_refused(name):
    assert not is_device_name(name)
    with pytest.raises(ValueError, match="no name of a one-wire device"):
        OneWireSource(name)


@pytest.fixture
def heard():
    return Heard()


@pytest.fixture
def folder(tmp_path, heard, monkeypatch):
    monkeypatch.setattr(OneWireSource, "RETRY_SECONDS", 0.02)
    folder = tmp_path / "sys/bus/w1/devices" / NAME
    folder.mkdir(parents=True)
    source = OneWireSource(NAME, tmp_path)
    source.start(heard.take, heard.lost)
    yield folder
    source.stop()


def put(folder, name, text):
    fresh = folder / "fresh"
    fresh.write_text(text)
    fresh.rename(folder / name)


def test_a_device_is_read_as_it_changes_fails_vanishes_and_comes_back(folder, heard):
    until(lambda: heard.words == [f"unplugged: no {NAME} on the wire"])
    put(folder, "w1_slave", slave(64500))
    until(lambda: heard.lines[-1:] == ["64.500 C"])
    put(folder, "w1_slave", slave(64500, sound="NO"))
    until(lambda: heard.words[-1] == "checksum wrong")
    put(folder, "w1_slave", slave(-1062))
    until(lambda: heard.lines[-1] == "-1.062 C")
    shutil.rmtree(folder)
    until(lambda: heard.words[-1].startswith("unplugged"))
    folder.mkdir()
    put(folder, "w1_slave", slave(85000))
    until(lambda: heard.lines[-1] == "85.000 C")


def test_a_device_that_shows_the_temperature_alone_is_read_too(folder, heard):
    put(folder, "temperature", "")
    until(lambda: "the file of the thermometer holds no number" in heard.words)
    put(folder, "temperature", "64562\n")
    until(lambda: heard.lines[-1:] == ["64.562 C"])
