"""The types of the values in `[probe]`: what may be written for each, and what it becomes."""

from __future__ import annotations

import re
import shlex
import warnings
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field
from pydantic.json_schema import JsonSchemaValue

from mashday.schedule.fields import Quantity, Words, Written, described, refusal
from mashday.text import problem, quoted

LONGEST_COMMAND = 500
MOST_WORDS = 40
LONGEST_PATTERN = 200
VALUE_GROUP = "(?P<value>"
PATTERN_EXAMPLE = "T=(?P<value>[-0-9.,]+)"

MOST_REPEATS = 6
MOST_WIDE_REPEATS = 2
MOST_ALTERNATIVES = 8
"""With no more than these a pattern is done with any ordinary line of 512 characters in a moment: two wide
repeats take the cube of its length at worst (derived)."""


@dataclass(frozen=True, slots=True)
class CommandWords(Written):
    """A program and its words, as a list or as one text that is split as a shell would, without a shell."""

    def read(self, value: object) -> tuple[str, ...]:
        if isinstance(value, str):
            return self._split(value)
        if not isinstance(value, tuple | list):
            raise refusal(f"{described(value)} is not a command", f"write {self.example()}")
        words = tuple(self._word(word) for word in value)
        if not words or len(words) > MOST_WORDS or sum(map(len, words)) > LONGEST_COMMAND:
            raise refusal(
                f"a command of {len(words)} words is too long" if words else "the command is empty",
                f"write the program and its words, such as {self.example()}",
            )
        return words

    def _word(self, word: object) -> str:
        if not isinstance(word, str):
            raise refusal(f"{described(word)} in the command is not text", "put each word in quotation marks")
        reason = problem(word, LONGEST_COMMAND)
        if reason is not None:
            raise refusal(f"{described(word)} in the command {reason}", "write each word in plain characters")
        return word

    def _split(self, text: str) -> tuple[str, ...]:
        reason = problem(text, LONGEST_COMMAND)
        if reason is not None:
            raise refusal(f"{quoted(text)} {reason}", f"write for example {self.example()}")
        try:
            return self.read(tuple(shlex.split(text)))
        except ValueError as error:
            raise refusal(
                f"a quotation mark in {quoted(text)} has no partner",
                f"write a list, such as {self.example()}",
            ) from error

    def described_as(self) -> JsonSchemaValue:
        return {
            "description": "A program and its words: a list, or one text split as a shell would.",
            "anyOf": [
                {"type": "string", "minLength": 1, "maxLength": LONGEST_COMMAND},
                {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": MOST_WORDS},
            ],
            "examples": [["read-probe", "--once"]],
        }

    def example(self) -> str:
        return '["read-probe", "--once"]'


@dataclass(frozen=True, slots=True)
class Shaped(Words):
    """Words of one shape, such as an address; `shape` is a regular expression, `lower` makes them small."""

    shape: str = ".+"
    called: str = ""
    lower: bool = False

    def read(self, value: object) -> str:
        text = Words.read(self, value)
        text = text.lower() if self.lower else text
        if re.fullmatch(self.shape, text):
            return text
        raise refusal(f"{described(value)} is not {self.called}", f"write for example {self.example()}")

    def described_as(self) -> JsonSchemaValue:
        return {**Words.described_as(self), "description": f"Must be {self.called}."}


@dataclass(frozen=True, slots=True)
class LinePattern(Written):
    """A regular expression with one group named `value`, of a kind that cannot keep a program busy."""

    def read(self, value: object) -> str:
        if not isinstance(value, str):
            raise refusal(f"{described(value)} is not text", f"write for example {self.example()}")
        reason = problem(value, LONGEST_PATTERN)
        if reason is not None:
            raise refusal(f"{quoted(value)} {reason}", f"write for example {self.example()}")
        found = pattern_trouble(value)
        if found is not None:
            raise refusal(f"{quoted(value)} {found[0]}", found[1])
        return value

    def described_as(self) -> JsonSchemaValue:
        return {
            "type": "string",
            "minLength": 1,
            "maxLength": LONGEST_PATTERN,
            "description": "A regular expression with one group named value, which holds the number.",
            "examples": [PATTERN_EXAMPLE],
        }

    def example(self) -> str:
        return f"'{PATTERN_EXAMPLE}'"


_TOKEN = re.compile(
    r"(?P<escaped>\\.)|(?P<set>\[\^?\]?(?:\\.|[^\]\\])*\])|(?P<group>\((?:\?(?P<kind>P<[A-Za-z_]\w*>|:|.))?)"
    r"|(?P<repeat>[*+?][?+]?|\{[0-9,]+\}[?+]?)|(?P<other>.)",
    re.ASCII,
)
_NARROW = re.compile(r"\\[ds]|\[(?:0-9|\\[ds]|[-+.,0-9 ])+\]|\\[^\w]|[^.\\\[(]", re.ASCII)


def pattern_trouble(text: str) -> tuple[str, str] | None:
    """What is wrong with a pattern as the end of a sentence, and what would do; None if it is sound."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", FutureWarning)
            groups = re.compile(text).groupindex
    except FutureWarning:
        return "has a [set] within a [set]", "put a backslash before the inner [, and before -- && ~~ and ||"
    except (re.error, RecursionError, OverflowError):
        return "is not a regular expression", f"write for example '{PATTERN_EXAMPLE}'"
    if "value" not in groups:
        return (
            "has no group named value",
            f"put {VALUE_GROUP}...) round the number, as in '{PATTERN_EXAMPLE}'",
        )
    repeats = wide = alternatives = 0
    before = ""
    for token in _TOKEN.finditer(text):
        kind = token["kind"]
        if kind is not None and kind != ":" and not kind.startswith("P<"):
            return "has a group of another kind than (...), (?:...) and (?P<value>...)", "write it without"
        if token["escaped"] and token["escaped"][1] in "123456789":
            return "looks back at a group", "write it without the number after the backslash"
        alternatives += token["other"] == "|"
        if token["repeat"]:
            repeats += 1
            once_at_most = token["repeat"][0] == "?"
            if before == ")" and not once_at_most:
                return "repeats a group, which may take for ever", "repeat a character or a [set] instead"
            wide += not once_at_most and not _NARROW.fullmatch(before)
        before = token[0]
    if repeats > MOST_REPEATS or wide > MOST_WIDE_REPEATS or alternatives > MOST_ALTERNATIVES:
        return (
            "has too many repeats or alternatives, which may take for ever",
            f"write at most {MOST_REPEATS} of * + ? and {{}}, {MOST_WIDE_REPEATS} of them after a . or a set",
        )
    return None


Command = Annotated[tuple[str, ...], CommandWords()]
Location = Annotated[str, Words(300, ("/run/mash-probe", "/dev/ttyUSB0"))]
Device = Annotated[str, Words(300, ("/dev/ttyUSB0", "COM3"))]
OneWire = Annotated[
    str,
    Shaped(
        40,
        ("28-0316a2795bff",),
        shape="[0-9a-f]{2}-[0-9a-f]{12}",
        called="the name of a one-wire thermometer",
        lower=True,
    ),
]
Topic = Annotated[
    str,
    Shaped(
        300,
        ("localhost/mash/temperature",),
        shape=r"(\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9._-]{1,253})/[^+#]+",
        called="a host and one topic",
    ),
]
Pattern = Annotated[str, LinePattern()]
Baud = Annotated[int, Field(ge=50, le=4_000_000)]
Port = Annotated[int, Field(ge=1, le=65535)]
Slope = Annotated[float, Field(ge=0.8, le=1.25)]
LagSeconds = Annotated[float, Quantity("time", "s", 0.1, 600.0, per_unit=60.0, examples=("10 s", "1 min"))]
StaleSeconds = Annotated[float, Quantity("time", "s", 1.0, 3600.0, per_unit=60.0, examples=("60 s", "5 min"))]
