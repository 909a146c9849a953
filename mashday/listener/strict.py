"""A text as a recogniser writes it, read as one whole line of the line mode, or as none. Nothing is guessed.

A model writes one number in many ways: "60, 3.", "8,1", "10.41", "one-oh-six-two". Stops and hyphens are
taken as the pauses they stand for; all else is left to the strict reader of spoken numbers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from mashday.channels.listener_lines import Asked
from mashday.faces.said_numbers import LONGEST, Kind, number
from mashday.listener.words import (
    ANSWERS_TO_A_DOUBT,
    DIGITS,
    LEADS,
    NOUGHTS,
    PHRASES,
    POINT,
    REPAIRS,
    SOUNDS_LIKE_OH,
)
from mashday.text import cleaned

_WORD_OF = {digit: word for word, digit in DIGITS.items()}
_MINUS = re.compile(r"(?:^|\s)[-\N{MINUS SIGN}\N{EN DASH}]\s*[0-9.]|\bminus\b")
_THOUSANDS = re.compile(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))")
_PAUSES = re.compile(r"[,;:!?\"\N{HORIZONTAL ELLIPSIS}\N{EN DASH}\N{EM DASH}-]|\.(?![0-9])")
_WHOLE = re.compile(r"[0-9]+")
_DIGIT_ON = re.compile(r"([0-9])((?:\.[0-9]+)?)")
_DECIMALS = re.compile(r"\.[0-9]+")
_TENS = re.compile(r"[2-9]0")
_UNIT = re.compile(r"[1-9]")
_TWO_ON = re.compile(r"[1-9][0-9](?:\.[0-9]+)?")
_HUNDREDTHS = re.compile(r"\.[0-9]{2}")
_GRAVITY = re.compile(r"1([0-2][0-9]{2})")
_GRAVITY_BELOW_ONE = re.compile(r"(?:0|0?\.)?(9[89][0-9])")
_GRAVITY_PIECE = re.compile(r"[0-9]+(?:\.[0-9]+)*|\.")
_NUMBER_WORD = "|".join((*DIGITS, *NOUGHTS, "hundred", "thousand"))
_INNER_HYPHEN = re.compile(r"(?<=[a-z])-(?=[a-z])")
_PARTED = re.compile(
    rf"(?:[0-9]|\b(?:{_NUMBER_WORD}))(?:\s*(?:{_PAUSES.pattern}))+\s*(?:\.?[0-9]|(?:{_NUMBER_WORD})\b)"
)
_COMMA_MAY_BE_A_POINT: tuple[Kind, ...] = ("volume", "mass", "minutes")
"""Kinds of which any size is likely: in "1,2" and "20, 5" a mark may stand for a point as well as a pause."""
_NOUGHT_FIRST = re.compile(r"0 ?[0-9].*")


def line(text: str, kind: Asked) -> str | None:
    """The line of the line mode that was said, where the whole text is one: a phrase, or a number of the kind
    that was asked. None for all else. Beside a doubt ("keep") only what answers it is understood."""
    if len(text) > LONGEST:
        return None
    if kind == "keep":
        return ANSWERS_TO_A_DOUBT.get(_phrase(text))
    found = PHRASES.get(_phrase(text))
    if found is not None or kind == "words":
        return found
    value = _value(text, kind)
    return f"ph {value}" if value is not None and kind == "ph" else value


def _lowered(text: str) -> str:
    lowered = cleaned(text).lower()
    for sign, words in REPAIRS.items():
        lowered = lowered.replace(sign, words)
    return lowered


def _phrase(text: str) -> str:
    """The words of a text without stops, its small numbers as words; empty for a question."""
    if "?" in text:
        return ""
    return " ".join(_WORD_OF.get(word, word) for word in _PAUSES.sub(" ", _lowered(text)).split())


def _value(text: str, kind: Kind) -> str | None:
    """The number, as it was written and as it sounds with its pauses; None where these do not agree."""
    lowered = _lowered(text)
    if _MINUS.search(lowered):
        return None
    lowered = _THOUSANDS.sub("", lowered)
    if kind in _COMMA_MAY_BE_A_POINT and _PARTED.search(_INNER_HYPHEN.sub(" ", lowered)):
        return None
    words = _PAUSES.sub(" ", lowered).split()
    if words and words[0] in LEADS.get(kind, ()):
        words = words[1:]
    if all(word in NOUGHTS for word in words):
        return None
    digits = ["0" if word in NOUGHTS else DIGITS.get(word, word) for word in words]
    if kind != "gravity" and _NOUGHT_FIRST.fullmatch(" ".join(digits)):
        return None
    sounded = _gravity(digits) if kind == "gravity" else number(" ".join(_joined(digits, kind)), kind)
    found = {value for value in (number(" ".join(words), kind), sounded) if value is not None}
    value = found.pop() if len(found) == 1 else ""
    return None if not value or (kind == "temperature" and _HUNDREDTHS.search(value)) else value


def _joined(words: Sequence[str], kind: Kind) -> list[str]:
    """The digits put together that one number was written in: "60 3" is 63, "6 4.5" is 64.5, "64 .5" too."""
    joined: list[str] = []
    alone = False
    for word in words:
        before = joined[-1] if joined else ""
        digit = _DIGIT_ON.fullmatch(word)
        hundred = kind == "temperature" and joined in (["1"], ["2"])
        if digit and digit[1] != "0" and _TENS.fullmatch(before):
            joined[-1] = f"{before[0]}{word}"
        elif (
            (digit and alone)
            or (_WHOLE.fullmatch(before) and _DECIMALS.fullmatch(word))
            or (hundred and _TWO_ON.fullmatch(word))
        ):
            joined[-1] = f"{before}{word}"
        else:
            joined.append(word)
            alone = digit is not None
        alone = alone and digit is not None and not digit[2]
    return joined


def _gravity(words: Sequence[str]) -> str | None:
    """All digits in a row: four wherever the point was written, or three from 980 on with none among them."""
    pieces = ["." if word == POINT else "0" if word == SOUNDS_LIKE_OH else word for word in words]
    if not pieces or not all(_GRAVITY_PIECE.fullmatch(piece) for piece in pieces):
        return None
    text = "".join(_tens_joined(pieces))
    below = _GRAVITY_BELOW_ONE.fullmatch(text)
    if below is not None:
        return number(f"0.{below[1]}", "gravity")
    match = _GRAVITY.fullmatch(text.replace(".", ""))
    return number(f"1.{match[1]}", "gravity") if match is not None else None


def _tens_joined(pieces: Sequence[str]) -> list[str]:
    joined: list[str] = []
    for piece in pieces:
        if joined and _TENS.fullmatch(joined[-1]) and _UNIT.fullmatch(piece):
            joined[-1] = f"{joined[-1][0]}{piece}"
        else:
            joined.append(piece)
    return joined
