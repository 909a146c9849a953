from __future__ import annotations

import copy
import json
import tomllib

import jsonschema
import pytest

from mashday.schedule.samples import sample_names, sample_text
from mashday.schedule.schema import kept_schema_text, schema, schema_text

CHECK = jsonschema.Draft202012Validator(schema())


def sample(name: str = "lock-seven-barley") -> dict:
    return tomllib.loads(sample_text(name))


def test_the_schema_in_the_package_is_that_of_the_model():
    assert kept_schema_text() == schema_text(), "write schema_text() into mashday/schedule/schema.json"


def test_the_schema_is_itself_sound():
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("name", sample_names())
def test_the_schema_takes_every_sample(name):
    assert [error.message for error in CHECK.iter_errors(sample(name))] == []


@pytest.mark.parametrize("place", [(), ("pot",), ("step", 3), ("grain", 0)])
def test_the_schema_refuses_an_unknown_key(place):
    data = sample()
    table = data
    for key in place:
        table = table[key]
    table["colour"] = "amber"
    assert not CHECK.is_valid(data)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("format",), 2),
        (("pot", "volume"), 33),
        (("pot", "wrapped"), "yes"),
        (("pot", "material"), "wood"),
        (("step", 3, "kind"), "nap"),
        (("step", 3, "time"), None),
        (("name",), ""),
        (("step",), []),
    ],
)
def test_the_schema_refuses_a_wrong_value(place, value):
    data = copy.deepcopy(sample())
    table = data
    for key in place[:-1]:
        table = table[key]
    table[place[-1]] = value
    assert not CHECK.is_valid(data)


def test_a_share_and_a_gravity_may_be_numbers_in_the_schema():
    data = sample()
    data["grain"][0]["moisture"] = 0.045
    data["aim"]["gravity"] = 1.06
    assert CHECK.is_valid(data)


def test_the_schema_speaks_of_nothing_a_toml_file_cannot_hold():
    assert '"null"' not in schema_text()
    assert json.loads(schema_text())["$schema"].startswith("https://json-schema.org/")
