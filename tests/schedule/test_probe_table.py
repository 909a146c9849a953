"""The `[probe]` table at the door: what it takes, what it becomes, and every refusal with its remedy."""

from __future__ import annotations

import re
import tomllib

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mashday.channels.mqtt_topic import address_of
from mashday.channels.one_wire import is_device_name
from mashday.channels.probe import ProbeSettings
from mashday.channels.probe_line import compiled
from mashday.schedule.door import BadSchedule, load
from mashday.schedule.model import Probe
from mashday.schedule.probe_fields import pattern_trouble
from mashday.schedule.samples import sample_text
from mashday.schedule.schema import schema

DAY = sample_text("lock-seven-barley")


def with_probe(keys: str) -> str:
    return f"{DAY}\n[probe]\n{keys}\n"


def probe(keys: str) -> Probe:
    found = load(with_probe(keys)).probe
    assert found is not None
    return found


def problems(keys: str) -> list[str]:
    with pytest.raises(BadSchedule) as caught:
        load(with_probe(keys))
    first = with_probe(keys)[: -len(keys) - 1].count("\n")
    told = []
    for problem in caught.value.problems:
        assert problem.line is not None and problem.line >= first, problem
        told.append(f"{problem.key}: {problem.found}; {problem.remedy}")
    return told


def test_a_day_without_a_probe_has_none():
    assert load(DAY).probe is None


def test_all_that_is_left_out_has_its_usual_value():
    found = probe('file = "/run/mash-probe"')
    assert (found.unit, found.baud, found.port, found.pattern) == ("C", 9600, 1883, None)
    assert (found.offset_kelvin, found.slope, found.lag_seconds, found.stale_seconds) == (
        0.0,
        1.0,
        None,
        60.0,
    )


@pytest.mark.parametrize(
    ("keys", "name", "value"),
    [
        ('command = ["read-probe", "--once"]', "command", ("read-probe", "--once")),
        ("command = 'read-probe --name \"Lock Seven\"'", "command", ("read-probe", "--name", "Lock Seven")),
        ('file = "/run/mash probe"', "file", "/run/mash probe"),
        ('one_wire = "28-0316A2795BFF"', "one_wire", "28-0316a2795bff"),
        ('serial = "/dev/ttyUSB0"\nbaud = 115200', "baud", 115200),
        ('mqtt = "localhost/mash/temperature"\nport = 1884', "mqtt", "localhost/mash/temperature"),
        ('mqtt = "[::1]/mash"', "mqtt", "[::1]/mash"),
        ("file = \"x\"\npattern = 'T=(?P<value>[-0-9.,]+)'", "pattern", "T=(?P<value>[-0-9.,]+)"),
        ('file = "x"\noffset = "0.2 K"', "offset_kelvin", 0.2),
        ('file = "x"\noffset = "-1.8 F"', "offset_kelvin", -1.0),
        ('file = "x"\nslope = 1.01', "slope", 1.01),
        ('file = "x"\nlag = "10 s"', "lag_seconds", 10.0),
        ('file = "x"\nstale = "5 min"', "stale_seconds", 300.0),
        ('file = "x"\nunit = "F"', "unit", "F"),
    ],
)
def test_each_key_becomes_its_value(keys, name, value):
    # Derived from the exact factors 60 s a minute and 5/9 K a degree Fahrenheit.
    assert getattr(probe(keys), name) == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    "keys",
    ['command = "read-probe"', 'file = "x"', 'one_wire = "28-0316a2795bff"', 'serial = "x"', 'mqtt = "a/b"'],
)
def test_a_probe_of_a_schedule_is_the_settings_of_a_channel(keys):
    settings = ProbeSettings(**probe(keys + '\nlag = "10 s"').model_dump())
    assert settings.lag_seconds == 10.0


def test_both_floors_hold_the_same_to_be_a_name_and_an_address():
    assert is_device_name(probe('one_wire = "28-0316A2795BFF"').one_wire or "")
    assert address_of(probe('mqtt = "[::1]/mash"').mqtt or "") == ("::1", None, "mash")


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        (
            'unit = "C"',
            "probe: nothing says where the probe is read; add one of: command, file, one_wire, serial, mqtt",
        ),
        (
            'file = "x"\nserial = "y"',
            "probe.serial: the probe is read by file already; keep either file or serial",
        ),
        ('file = "x"\nbaud = 9600', "probe.baud: file has no baud; leave baud out"),
        ('file = "x"\nport = 1883', "probe.port: file has no port; leave port out"),
        ('one_wire = "28-0316a2795bff"\nunit = "F"', "probe.unit: one_wire has no unit; leave unit out"),
        (
            'one_wire = "../../etc"',
            "probe.one_wire: '../../etc' is not the name of a one-wire thermometer;"
            ' write for example "28-0316a2795bff"',
        ),
        (
            'mqtt = "localhost"',
            "probe.mqtt: 'localhost' is not a host and one topic;"
            ' write for example "localhost/mash/temperature"',
        ),
        (
            'mqtt = "localhost/mash/#"',
            "probe.mqtt: 'localhost/mash/#' is not a host and one topic;"
            ' write for example "localhost/mash/temperature"',
        ),
        (
            'serial = "x"\nbaud = "9600"',
            "probe.baud: '9600' is not a whole number; write digits without quotation marks",
        ),
        ('serial = "x"\nbaud = 9', "probe.baud: the number 9 is out of range; 50 is the least"),
        (
            'serial = "x"\nbaud = true',
            "probe.baud: true is not a whole number; write digits without quotation marks",
        ),
        ('file = "x"\nslope = nan', "probe.slope: the number nan is out of range; 1.25 is the most"),
        ('file = "x"\nunit = "K"', "probe.unit: 'K' is not known here; write one of: C, F"),
        (
            "command = []",
            "probe.command: the command is empty;"
            ' write the program and its words, such as ["read-probe", "--once"]',
        ),
        (
            "command = 'read \"probe'",
            "probe.command: a quotation mark in 'read \"probe' has no partner;"
            ' write a list, such as ["read-probe", "--once"]',
        ),
        (
            'command = ["a", 1]',
            "probe.command: the number 1 in the command is not text; put each word in quotation marks",
        ),
        ("command = 7", 'probe.command: the number 7 is not a command; write ["read-probe", "--once"]'),
        (
            'file = "x"\nlag = "11 min"',
            "probe.lag: '11 min' is not from 0.1 to 600 s;"
            ' write a time within that, such as "10 s" or "1 min"',
        ),
    ],
)
def test_a_refusal_says_where_what_and_what_would_do(keys, told):
    assert problems(keys) == [told]


def test_an_unknown_key_is_told_with_those_that_are_known():
    [told] = problems('file = "x"\ncolour = "red"')
    assert "known here are: command, file, one_wire" in told


def test_all_problems_of_a_table_are_told_at_once():
    keys = 'file = "x"\nmqtt = "a/b"\nunit = "K"\nlag = "0 s"\npattern = "x"\nslope = 9.0'
    assert {line.split(":")[0] for line in problems(keys)} == {
        "probe.mqtt",
        "probe.unit",
        "probe.lag",
        "probe.pattern",
        "probe.slope",
    }


@pytest.mark.parametrize(
    "pattern",
    [
        "T=(?P<value>[-0-9.,]+)",
        r'"temperature"\s*:\s*(?P<value>-?\d+(?:\.\d+)?)',
        r"^\S+ (?P<value>\d+[.,]\d)",
        r".*mash.*?(?P<value>[0-9.]{2,6})",
        r"(?P<value>[0-9.]+) ?[CF]$",
    ],
)
def test_an_ordinary_pattern_is_taken(pattern):
    assert pattern_trouble(pattern) is None


@pytest.mark.parametrize(
    ("pattern", "why"),
    [
        ("T=([0-9.]+)", "no group named value"),
        ("T=(?P<value>[0-9.]+", "not a regular expression"),
        ("(?P<value>(a+)+)", "repeats a group"),
        ("(?P<value>(a|a)*)", "repeats a group"),
        ("(?P<value>a){1,99}", "repeats a group"),
        ("(?P<value>.*.*.*)", "too many repeats"),
        ("(?P<value>" + "a?" * 20 + ")", "too many repeats"),
        ("(?P<value>" + "(a|a)" * 20 + ")", "too many repeats or alternatives"),
        ("T=(?P<value>[0-9]+)[[x]", "has a [set] within a [set]"),
        (r"(?P<value>.)\1", "looks back at a group"),
        (r"(?P<value>.)(?P=value)", "group of another kind"),
        (r"(?x)(?P<value>(a+) +)", "group of another kind"),
        (r"(?P<value>.)(?<=a)", "group of another kind"),
    ],
)
def test_a_pattern_that_could_take_for_ever_or_has_no_number_is_refused(pattern, why):
    trouble = pattern_trouble(pattern)
    assert trouble is not None and why in trouble[0] and trouble[1]
    assert why in problems(f"file = 'x'\npattern = '{pattern}'")[0]


def test_a_pattern_of_over_200_characters_is_refused():
    assert "200 is the most" in problems(f"file = 'x'\npattern = '(?P<value>{'a' * 200})'")[0]


@given(st.text(alphabet="aT=.*+?{}()[]|\\d1:P<>value^", max_size=60))
def test_what_is_taken_as_a_pattern_is_one_a_channel_takes(text):
    try:
        compiled(text)
    except ValueError:
        assert pattern_trouble(text) is not None
    else:
        if pattern_trouble(text) is None:
            assert not re.search(r"\)[*+{]", re.sub(r"\\.|\[\^?\]?[^\]]*\]", "", text))


@pytest.mark.parametrize("sound", ['command = ["a"]', 'command = "a b"', 'serial = "x"\nbaud = 9600'])
def test_the_schema_takes_a_sound_probe(sound):
    check = jsonschema.Draft202012Validator(schema())
    assert check.is_valid(tomllib.loads(with_probe(sound)))


@pytest.mark.parametrize("wrong", ["command = []", 'serial = "x"\nbaud = "9600"', "file = 3", 'unit = "K"'])
def test_the_schema_refuses_a_wrong_probe(wrong):
    check = jsonschema.Draft202012Validator(schema())
    assert not check.is_valid(tomllib.loads(with_probe(wrong)))
