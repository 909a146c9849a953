"""Numbers as people say them, turned into the digits a line is read with, and read back digit by digit.

Strict: a text is one number of its kind as a whole, or it is none. Nothing is guessed: "sixty five four" is
no temperature, "one point oh six" no gravity, for a digit may have gone unheard.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal

from mashday.faces.aloud import TENS, UNITS, UP_TO_NINETEEN, digits
from mashday.text import cleaned

Kind = Literal["temperature", "gravity", "volume", "mass", "minutes", "ph", "count"]
Words = Sequence[str]

LONGEST = 200
"""Characters of a line that are looked at; a longer one is left as it is."""
HOTTEST = 300.0
"""No thermometer beside a mash shows more, in either unit."""
LEAST_GRAVITY, MOST_GRAVITY = 0.980, 1.200
"""What a wash or a wort can read, for a spoken gravity. Judgement."""

KIND_OF: Mapping[str, Kind] = {
    **dict.fromkeys(("temperature", "sample temperature"), "temperature"),
    "gravity": "gravity",
    **dict.fromkeys(("volume", "added water", "water in the pot"), "volume"),
    "grain in the pot": "mass",
    "minutes mashed": "minutes",
    "ph": "ph",
    "starch": "count",
}
"""The kind of number that answers a question about this quantity; others are read as any number is."""
SAID_LIKE: Mapping[Kind, tuple[str, str]] = {
    "temperature": ("temperature", "sixty three point five, or six three point five"),
    "gravity": ("gravity", "ten fifty two, or one point zero five two"),
    "volume": ("volume", "one point two litres"),
    "mass": ("weight", "four point eight kilos"),
    "minutes": ("time", "ten minutes"),
    "ph": ("pH", "ph 5.4, or ph five point four"),
    "count": ("number here", "two"),
}
"""What each kind is called, and how it is said so that it is understood."""

_KIND_OF_WORD: Mapping[str, Kind] = {
    **dict.fromkeys(("temp", "temperature", "sample", "grain"), "temperature"),
    **dict.fromkeys(("gravity", "sg"), "gravity"),
    **dict.fromkeys(("volume", "vol", "added", "measured"), "volume"),
    **dict.fromkeys(("more", "wait", "snooze"), "minutes"),
    **dict.fromkeys(("take", "way", "void"), "count"),
    "weighed": "mass",
    "ph": "ph",
}
_LEFT_ALONE = ("note", "went-wrong", "mended", "change", "explain", "save", "sheet")

_UNITS_HEARD = {word: number for number, word in enumerate(UP_TO_NINETEEN[:10])} | {"nought": 0}
_TEENS = {word: number for number, word in enumerate(UP_TO_NINETEEN) if number >= 10}
_TENS = {word: 10 * number for number, word in enumerate(TENS) if number >= 2}
_POINTS = ("point", "comma")
_NUMBER_WORDS = frozenset({*_UNITS_HEARD, *_TEENS, *_TENS, *_POINTS, "hundred", "thousand", "half"}) | {
    "quarter",
    "quarters",
}
_JOINTS = frozenset({"a", "and", "oh", "minus"})
_IN_PARTS = ("volume", "mass", "minutes")
"""Kinds of which there is "half a" and "a" for one."""
_FRACTIONS = {("half",): "5", ("a", "half"): "5", ("a", "quarter"): "25", ("three", "quarters"): "75"}

_UNIT_WORDS: Mapping[Kind, Mapping[str, str]] = {
    "temperature": {
        **dict.fromkeys(("degree", "degrees"), ""),
        **dict.fromkeys(("c", "celsius", "centigrade"), "C"),
        **dict.fromkeys(("f", "fahrenheit"), "F"),
    },
    "gravity": {"sg": "", "p": "P", "plato": "P", "bx": "Bx", "brix": "Bx"},
    "volume": {
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "L"),
        **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), "mL"),
        **dict.fromkeys(("gal", "gallon", "gallons"), "gal"),
        **dict.fromkeys(("qt", "quart", "quarts"), "qt"),
        **dict.fromkeys(("pint", "pints"), "pt"),
        **dict.fromkeys(("cup", "cups"), "cups"),
    },
    "mass": {
        **dict.fromkeys(("kg", "kilogram", "kilograms"), "kg"),
        **dict.fromkeys(("kilo", "kilos"), "kilos"),
        **dict.fromkeys(("g", "gram", "grams"), "g"),
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
        **dict.fromkeys(("oz", "ounce", "ounces"), "oz"),
    },
    "minutes": {
        **dict.fromkeys(("min", "minute", "minutes"), "min"),
        **dict.fromkeys(("h", "hour", "hours"), "h"),
        **dict.fromkeys(("s", "second", "seconds"), "s"),
    },
    "ph": {},
    "count": {},
}
_DECIMALS: Mapping[Kind, tuple[int, int]] = {
    "temperature": (0, 2),
    "gravity": (0, 1),
    "volume": (0, 3),
    "mass": (0, 3),
    "minutes": (0, 2),
    "ph": (1, 2),
    "count": (0, 0),
}
"""How many decimals each kind has at least and at most: no pH meter shows none."""

_READ_BACK = re.compile(r"[0-9]+|[.,](?=[0-9])|-(?=[0-9])|[^\W\d_]+(?:/[^\W\d_]+)?|%")
BARE = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+")
"""A number without a unit, as it is typed."""
AS_TYPED = 0.005
"""Nearer than this, in litres or kilograms, an amount is the number that was typed: half of its last place as
it is shown."""
_WHOLE = re.compile(r"[0-9]{1,4}")
_WRITTEN = re.compile(r"([0-9]{1,4})[.,]([0-9]{1,3})")
_GRAVITY = re.compile(r"(1)[.,]?([0-2][0-9]{2})|0?[.,]?(9[89][0-9])")
_GRAVITY_SHAPES = frozenset({(1, 1, 1, 1), (2, 2), (2, 1, 1), (1, 1, 2), (1, 1, 1), (1, 2), (4,), (3,), (5,)})


def number(text: str, kind: Kind) -> str | None:
    """The text as a number of this kind in digits, with its unit if one was said; None if it is none.

    "sixty three point five" is "63.5", "ten sixty two" as a gravity "1.062", "twelve and a half litres"
    "12.5 L". The word degrees is dropped.
    """
    if len(text) > LONGEST:
        return None
    words = _words(text)
    sign = ""
    if words[:1] == ["minus"] and kind in ("temperature", "minutes"):
        words, sign = words[1:], "-"
    words, unit = _unit_taken(words, kind)
    found = _gravity(words) if kind == "gravity" and not unit else _of_kind(words, kind)
    return f"{sign}{found} {unit}".strip() if found is not None else None


def written(text: str, asked: Kind | None = None) -> str:
    """The line with its number words as digits, all else as it stands.

    A line that begins with a word of the line mode is read as the kind that word takes, a bare number as the
    kind that is `asked`; where it is no sound number of that kind, the line stays as it is.
    """
    if len(text) > LONGEST or not _NUMBER_WORDS & set(_words(text)):
        return text
    first, _, rest = text.partition(" ")
    word = first.lower()
    if word in _LEFT_ALONE:
        return text
    if word == "correct":
        return _corrected(rest) or text
    if word == "tick":
        return f"{first} {_value(rest) or rest}"
    if word == "weighed":
        return _weighed(first, rest) or text
    kind = _KIND_OF_WORD.get(word)
    if kind is not None:
        found = _with_sample(rest, kind)
        return text if found is None else f"{first} {found}"
    found = None if asked is None else _with_sample(text, asked) or _choice(text)
    if found is not None:
        return found
    begins_with_a_number = bool(_NUMBER_WORDS & set(_words(first)))
    return text if asked is not None and begins_with_a_number else _in_passing(text)


def unread(line: str, asked: Kind | None = None) -> Kind | None:
    """The kind of number this line, as it was `written`, should have brought and did not; None if it did."""
    words = _words(line)
    kind = _KIND_OF_WORD.get(words[0]) if words else None
    place = 0 if kind is None else 1
    begins_in_words = words[place : place + 1] != [] and words[place] in _NUMBER_WORDS | {"minus"}
    return (kind or asked or "temperature") if begins_in_words else None


def spoken_digits(value_text: str) -> str:
    """A value read back digit by digit: "63.5" is "six three point five", "0.86 L" ends in "litres"."""
    said = []
    for part in _READ_BACK.findall(cleaned(value_text)):
        if part.isdecimal():
            said.append(digits(part, nought="zero"))
        elif part in (".", ","):
            said.append("point")
        else:
            said.append("minus" if part == "-" else UNITS.get(part, ("", part))[1])
    return " ".join(word for word in said if word)


HEARD = " (heard: "


def with_raw(typed: str, raw: str) -> str:
    """What was typed, with what was heard for it behind."""
    return f"{typed}{HEARD}{raw})" if raw else typed


def with_unit(typed: str, metric: float, unit: str) -> str:
    """What was typed as it was meant; a bare number that is in this `unit` with the unit behind it."""
    meant = as_meant(typed).strip()
    is_metric = BARE.fullmatch(meant) and abs(float(meant.replace(",", ".")) - metric) < AS_TYPED
    return f"{meant} {unit}".strip() if is_metric else meant


def as_meant(typed: str) -> str:
    """What was typed, without what was heard for it."""
    return typed.partition(HEARD)[0]


def _words(text: str) -> list[str]:
    """The words of a line in small letters, without hyphens inside and stops at the end."""
    lowered = cleaned(text).lower().rstrip(".,!?; ").replace("\N{DEGREE SIGN}", " ")
    parted = re.sub(r"(?<=[a-z])-(?=[a-z])", " ", lowered)
    return re.sub(r"(?<=[0-9])(?=[a-z])", " ", parted).split()


def _unit_taken(words: list[str], kind: Kind) -> tuple[list[str], str]:
    """The words without their unit, and the unit as it is written; "" where none was said."""
    units = _UNIT_WORDS[kind]
    for place, joint in ((-4, ("and", "a", "half")), (-4, ("and", "a", "quarter"))):
        if tuple(words[place + 1 :]) == joint and words[place:][0] in units:
            return _one(words[:place], kind) + list(joint), units[words[place]]
    unit = ""
    kept = list(words)
    while kept and kept[-1] in units and (not unit or kept[-1] in ("degree", "degrees")):
        unit = units[kept.pop()] or unit
    if len(kept) < len(words) and kept[-1:] in (["a"], ["an"]) and kind in _IN_PARTS:
        before = kept[:-2] if kept[-2:-1] == ["of"] else kept[:-1]
        return (before if before else ["one"]), unit
    return kept, unit


def _one(words: list[str], kind: Kind) -> list[str]:
    """ "a" before a unit is one."""
    return ["one"] if words in (["a"], ["an"]) and kind in _IN_PARTS else words


def _of_kind(words: Words, kind: Kind) -> str | None:
    found = _decimal(words, hundreds=kind == "temperature", bare_point=kind == "volume")
    if found is None:
        return None
    _, _, decimals = found.partition(".")
    least, most = _DECIMALS[kind]
    if not least <= len(decimals) <= most or (kind == "temperature" and float(found) > HOTTEST):
        return None
    return found


def _gravity(words: Words) -> str | None:
    """A specific gravity: all four digits, in ones, or ten, eleven or twelve and what follows."""
    pieces = [piece for piece in _pieces(words) if piece != "."]
    text = "".join(_pieces(words))
    match = _GRAVITY.fullmatch(text)
    if match is None or tuple(map(len, pieces)) not in _GRAVITY_SHAPES:
        return None
    found = f"1.{match[2]}" if match[1] else f"0.{match[3]}"
    return found if LEAST_GRAVITY <= float(found) <= MOST_GRAVITY else None


def _pieces(words: Words) -> list[str]:
    """The digits of each word, with "." for the point; empty where a word is no number."""
    counted = _cardinal(words)
    if counted is not None:
        return [str(counted)]
    found: list[str] = []
    tens = 0
    for word in words:
        unit = 0 if word == "oh" else _UNITS_HEARD.get(word)
        if unit and tens:
            found[-1] = str(tens + unit)
        elif unit is not None:
            found.append(str(unit))
        elif word in _TEENS or word in _TENS:
            found.append(str(_TEENS.get(word) or _TENS[word]))
        elif _WHOLE.fullmatch(word) or _WRITTEN.fullmatch(word):
            found.append(word)
        elif word in _POINTS:
            found.append(".")
        else:
            return []
        tens = _TENS.get(word, 0)
    return found


def _decimal(words: Words, *, hundreds: bool, bare_point: bool = True) -> str | None:
    """A number with or without decimals: "63.5"; None if the words are not one number."""
    if len(words) == 1 and (match := _WRITTEN.fullmatch(words[0])) is not None:
        thousands = "," in words[0] and len(match[2]) == 3
        return None if thousands else f"{int(match[1])}.{match[2]}"
    place = next((place for place, word in enumerate(words) if word in _POINTS), None)
    if place is not None:
        before, decimals = words[:place], _ones(words[place + 1 :])
        if not before and not bare_point:
            return None
        whole = "0" if list(before) in ([], ["oh"]) else _whole(before, hundreds=hundreds)
        return f"{whole}.{decimals}" if whole is not None and decimals else None
    for fraction, decimals in _FRACTIONS.items():
        if tuple(words) == fraction:
            return f"0.{decimals}"
        if tuple(words[-len(fraction) - 1 :]) == ("and", *fraction) and fraction != ("half",):
            whole = _whole(words[: -len(fraction) - 1], hundreds=hundreds)
            return f"{whole}.{decimals}" if whole is not None else None
    return _whole(words, hundreds=hundreds)


def _whole(words: Words, *, hundreds: bool) -> str | None:
    """A whole number: counted, in ones ("one oh four"), with `hundreds` also as in "one forty five"."""
    counted = _cardinal(words)
    if counted is not None:
        return str(counted)
    if len(words) == 1:
        return str(int(words[0])) if _WHOLE.fullmatch(words[0]) else None
    ones = "" if any(word.isdigit() for word in words) else _ones(words)
    if ones:
        return None if ones.startswith("0") or len(ones) > 4 else ones
    rest = _below_hundred(words[1:]) if hundreds and words[:1] in (["one"], ["two"]) else None
    return f"{_UNITS_HEARD[words[0]]}{rest}" if rest is not None and rest >= 10 else None


def _ones(words: Words) -> str:
    """Single digits in a row, "" if they are anything else; one written group of digits will do."""
    if len(words) == 1 and words[0].isascii() and words[0].isdigit():
        return words[0]
    found = ["0" if word == "oh" else str(_UNITS_HEARD.get(word, "")) for word in words]
    return "".join(found) if all(found) else ""


def _cardinal(words: Words) -> int | None:
    """A counted number up to 9999: "a hundred and four"; None if it is none."""
    for word, size, most in (("thousand", 1000, 10), ("hundred", 100, 100)):
        if word in words:
            place = list(words).index(word)
            head = 1 if list(words[:place]) == ["a"] else _below_hundred(words[:place])
            tail = words[place + 1 :]
            rest = _cardinal(tail[1:] if tail[:1] == ["and"] else tail) if tail else 0
            if head is None or not 0 < head < most or rest is None or (tail and not 0 < rest < size):
                return None
            return head * size + rest
    return _below_hundred(words)


def _below_hundred(words: Words) -> int | None:
    if len(words) == 1:
        word = words[0]
        return next((table[word] for table in (_UNITS_HEARD, _TEENS, _TENS) if word in table), None)
    if len(words) == 2 and words[0] in _TENS and _UNITS_HEARD.get(words[1], 0) > 0:
        return _TENS[words[0]] + _UNITS_HEARD[words[1]]
    return None


def _with_sample(text: str, kind: Kind) -> str | None:
    """A number of this kind, with the temperature behind "at" if one was said; None if either is none."""
    value, *behind = re.split(r"(^at | at )", text, maxsplit=1, flags=re.IGNORECASE)
    found = [_unchanged_or_read(value, kind), *behind[:1]]
    found += [_unchanged_or_read(sample, "temperature") for sample in behind[1:]]
    sound = [part for part in found if part is not None]
    return "".join(sound) if len(sound) == len(found) else None


def _unchanged_or_read(text: str, kind: Kind) -> str | None:
    """The text as it stands where no number word is in it, else what it is read as."""
    return number(text, kind) if _NUMBER_WORDS & set(_words(text)) else text


def _choice(text: str) -> str | None:
    """A lone "two" as the number of a way; None for anything else."""
    number_said = _UNITS_HEARD.get(" ".join(_words(text)), 0)
    return str(number_said) if number_said else None


def _value(text: str) -> str | None:
    """The answer to an item of a checklist, where it is one number as a whole."""
    kinds: tuple[Kind, ...] = ("temperature", "volume", "gravity")
    return next((found for kind in kinds if (found := number(text, kind)) is not None), None)


def _weighed(first: str, rest: str) -> str | None:
    """A weight in words, with the name of its grain behind "of" as it stands."""
    weight, of, name = rest.partition(" of ")
    found = number(weight, "mass") if _NUMBER_WORDS & set(_words(weight)) else None
    return None if found is None else f"{first} {found}{of}{name}"


def _corrected(rest: str) -> str | None:
    """Which reading and what it should be; None unless exactly one way of parting the words makes sense."""
    words = _words(rest)
    kinds: tuple[Kind, ...] = ("temperature", "gravity")
    found = set()
    for place in range(1, len(words)):
        which = number(" ".join(words[:place]), "count")
        for kind in kinds:
            value = number(" ".join(words[place:]), kind)
            if which is not None and value is not None:
                found.add(f"correct {which} {value}")
    return found.pop() if len(found) == 1 else None


def _in_passing(text: str) -> str:
    """The text with each run of number words that is one number as digits."""
    parts = re.split(r"(\s+)", text)
    at = 0
    while at < len(parts):
        end = at
        while end < len(parts) and _may_stand_in(parts[end]):
            end += 2
        while end > at and not _NUMBER_WORDS & set(_words(parts[end - 2])):
            end -= 2
        run = "".join(parts[at : max(end - 1, at)])
        digits_of = _decimal(_words(run), hundreds=False) if run else None
        if digits_of is not None:
            stop = re.search(r"[.,;:!?]*$", run)
            parts[at : end - 1] = [digits_of + (stop[0] if stop else "")]
            at += 2
        else:
            at = max(end, at + 2)
    return "".join(parts)


def _may_stand_in(part: str) -> bool:
    words = _words(part)
    return bool(words) and all(
        word in _NUMBER_WORDS | _JOINTS or _WHOLE.fullmatch(word) or _WRITTEN.fullmatch(word)
        for word in words
    )
