"""From a line a thermometer wrote to a temperature, or why it is none. Nothing is guessed.

A line may hold one number, alone or after a word for a temperature, with or without a unit. Anything else
(two numbers, another quantity, a sensor's own name) is read by a pattern of the person's, or not at all.
"""

from __future__ import annotations

import re
import warnings
from typing import Literal, NoReturn

from mashday.quantities import Unreadable, parse
from mashday.text import quoted

ThermometerUnit = Literal["C", "F"]

VALUE = "value"
"""The name of the group of a pattern that holds the number."""
LONGEST_MATCHED = 512
"""A pattern is tried on no longer a line than this, so that none keeps the program busy."""

PATTERN_EXAMPLE = "pattern = 'T=(?P<value>[-0-9.,]+)'"

_MINUS = "\N{MINUS SIGN}"
_RUN = re.compile(r"[0-9.,]*[0-9][0-9.,]*")
_NUMBER = re.compile(r"[0-9]{1,7}(?:[.,][0-9]{1,9})?")
_COULD_BE_THOUSANDS = re.compile(r"[1-9],[0-9]{3}")
_UNIT = re.compile(
    r"[\s]*(?:[\N{DEGREE SIGN}\N{MASCULINE ORDINAL INDICATOR}\N{REPLACEMENT CHARACTER}]|deg(?:rees?)?\b)?\s*"
    r"(?P<unit>(?:celsius|fahrenheit|[cf])(?![a-z0-9_/]))?",
    re.IGNORECASE,
)
_UNIT_GLUED = re.compile(r"deg(?P<unit>[cf])(?![a-z0-9_/])", re.IGNORECASE)
_LABEL = re.compile(r"(?:[\[(\"']*(?P<label>[a-z]+)[\])\"']*(?:\s*[=:]\s*|\s+))?[\[(\"']*", re.IGNORECASE)
_LABELS = frozenset(
    {"t", "temp", "temperature", "celsius", "mash", "pot", "probe", "reading", "sensor", "value"}
)
_AFTER = re.compile(r"[\s\])\"';,.]*")


def compiled(pattern: str) -> re.Pattern[str]:
    """The pattern, ready; ValueError if it is none or has no group named `value`."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", FutureWarning)
            ready = re.compile(pattern)
    except (re.error, RecursionError, OverflowError, FutureWarning) as error:
        raise ValueError(f"{quoted(pattern)} is not a regular expression") from error
    if VALUE not in ready.groupindex:
        raise ValueError(f"{quoted(pattern)} has no group (?P<{VALUE}>...)")
    return ready


def celsius_in(line: str, unit: ThermometerUnit = "C", pattern: re.Pattern[str] | None = None) -> float:
    """The one temperature on this line as shown, degC; Unreadable if there is not exactly one.

    A C or an F behind the number goes before `unit`. A comma may stand for the decimal point.
    """
    text = line.strip().removeprefix("\ufeff").replace(_MINUS, "-")
    _without_foreign_digits(text)
    return _by_itself(text, unit) if pattern is None else _by_pattern(text, unit, pattern)


def _without_foreign_digits(text: str) -> None:
    if any(not character.isascii() and character.isnumeric() for character in text):
        raise Unreadable(f"the digits of {quoted(text)} are not 0 to 9", "let it write plain digits")


def _by_itself(text: str, unit: ThermometerUnit) -> float:
    runs = list(_RUN.finditer(text))
    if not runs:
        raise Unreadable(f"no number: {quoted(text)}", "see what the thermometer writes")
    if len(runs) > 1:
        words = sum(any(digit in word for digit in "0123456789") for word in text.split())
        count = "two" if words <= 2 else str(words)
        raise Unreadable(f"{count} numbers: {quoted(text)}", f"give a pattern, such as {PATTERN_EXAMPLE}")
    start, end = runs[0].span()
    before, number = text[:start], runs[0][0]
    if number.endswith((",", ".")) and not text[end:]:
        _cut_short(text)
    sign = ""
    if before.endswith(("-", "+")):
        before, sign = before[:-1], before[-1]
    label = _LABEL.fullmatch(before)
    if label is None or (label["label"] and label["label"].casefold() not in _LABELS):
        _unsure(text)
    said, behind = _unit_at(text, end)
    if not _AFTER.fullmatch(text, behind):
        _unsure(text)
    return _celsius(sign + number, said or unit, text)


def _by_pattern(text: str, unit: ThermometerUnit, pattern: re.Pattern[str]) -> float:
    if len(text) > LONGEST_MATCHED:
        raise Unreadable(
            f"a line of {len(text)} characters", f"a pattern is tried on {LONGEST_MATCHED} at the most"
        )
    found = [match for match in pattern.finditer(text) if match[VALUE]]
    if len(found) != 1:
        count = "nothing" if not found else "more than one number"
        raise Unreadable(f"the pattern finds {count} in {quoted(text)}", "change the pattern")
    start, end = found[0].span(VALUE)
    if re.match(r"[.,]?[0-9]", text[end:]) or re.search(r"[0-9][.,]?$", text[:start]):
        raise Unreadable(f"the pattern cuts a number of {quoted(text)} in two", "change the pattern")
    value = found[0][VALUE].strip()
    number = re.match(r"[+-]?[0-9.,]+", value)
    if number is None:
        raise Unreadable(f"the pattern finds no number in {quoted(text)}", "change the pattern")
    inside, behind = _unit_at(value, number.end())
    if value[behind:].strip():
        raise Unreadable(f"the pattern finds no number in {quoted(text)}", "change the pattern")
    return _celsius(number[0], inside or _unit_at(text, end)[0] or unit, text)


def _unit_at(text: str, place: int) -> tuple[ThermometerUnit | None, int]:
    """The unit written at this place, if any, and where what follows begins."""
    spaces = len(text[place:]) - len(text[place:].lstrip())
    match = _UNIT_GLUED.match(text, place + spaces) or _UNIT.match(text, place)
    if match is None:
        return None, place
    word = match["unit"]
    said: ThermometerUnit | None = None if not word else "C" if word[0] in "cC" else "F"
    return said, match.end()


def _celsius(number: str, unit: ThermometerUnit, text: str) -> float:
    if not _NUMBER.fullmatch(number.lstrip("+-")):
        _cut_short(text)
    if _COULD_BE_THOUSANDS.fullmatch(number.lstrip("+-")):
        raise Unreadable(f"{quoted(text)} could be thousands or decimals", "let it write a decimal point")
    return parse(f"{number.replace(',', '.')} {unit}", "temperature")


def _cut_short(text: str) -> NoReturn:
    raise Unreadable(f"{quoted(text)} is not one whole number", "see what the thermometer writes")


def _unsure(text: str) -> NoReturn:
    raise Unreadable(
        f"{quoted(text)} need not be a temperature", f"give a pattern, such as {PATTERN_EXAMPLE}"
    )
