"""The answers of a new day read from what a person types: quantities, choices, pots, washes, grain bills."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple, get_args

from pydantic_core import PydanticCustomError

from mashday.quantities import Unreadable, parse
from mashday.reckon.answers import LONGEST_NAME, GrainAsked
from mashday.reckon.given import Refused
from mashday.schedule import fields
from mashday.schedule.model import Cooling, Material, Separation, ThermometerKind, Units
from mashday.science import grain as grain_table
from mashday.science.limits import UnknownName
from mashday.text import cleaned, quoted

COOLINGS: tuple[Cooling, ...] = ("coil", "ice bath", "standing")
"""The ways of cooling that put no water into the wash."""

PITCHINGS = ("same evening", "next morning")

THINNEST_GRAVITY = 1.005
"""A gravity up to here is that of water, or a slip. Judgement."""

SEPARATIONS: tuple[Separation, ...] = get_args(Separation)
MATERIALS: tuple[Material, ...] = get_args(Material)
THERMOMETERS: tuple[ThermometerKind, ...] = get_args(ThermometerKind)


def quantity(kind: Any, text: str, bare: str = "") -> float:
    """The value of a text as a schedule would hold it; `bare` is the unit a number alone takes.

    `kind` is a type of `schedule.fields`. Refused, in its words, where a schedule could not hold it.
    """
    lone = not any(letter.isalpha() for letter in text)
    try:
        value = get_args(kind)[1].read(f"{text.strip()} {bare}" if bare and lone and text.strip() else text)
    except PydanticCustomError as error:
        context = error.context or {}
        raise Refused(f"{context['found']}; {context['remedy']}.") from error
    assert isinstance(value, float)
    return value


def chosen(text: str, choices: Sequence[str], what: str) -> str:
    """The choice meant by its number, its name, or the beginnings of its words; Refused if that is none."""
    folded = _folded(text)
    if folded.isdecimal() and 1 <= int(folded[:4]) <= len(choices):
        return choices[int(folded) - 1]
    meant = _begun(folded, choices)
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise Refused(f"{quoted(text)} could be {' or '.join(meant)}: write a little more of it.")
    raise Refused(f"{quoted(text)} is no {what}: one of {', '.join(choices)}.")


def yes_or_no(text: str) -> bool:
    """Whether the answer is yes."""
    return chosen(text, ("yes", "no"), "answer") == "yes"


def named(text: str) -> str:
    """A person's own words as they can stand in a schedule; Refused where nothing of them is left."""
    name = cleaned(text, LONGEST_NAME)
    if not name:
        raise Refused("Nothing that can be read is written: give it a word.")
    return name


def heater(text: str, bare: str = "") -> float | None:
    """The power that heats the pot, kW; None for "none"."""
    if _folded(text) in ("none", "no", "nothing", "0"):
        return None
    power = quantity(fields.Kilowatts, text, bare)
    return power if power > 0.0 else None


class PotAsked(NamedTuple):
    """How much the pot holds and, where it was said, what it is made of."""

    litres: float
    material: Material | None


def pot(text: str, bare: str = "") -> PotAsked:
    """A pot written as "33 L" or "33 L aluminium"."""
    parted = re.fullmatch(
        rf"({_NUMBER}\s*(?:imp\s+|us\s+)?({_UNITS_OF_VOLUME})?)[\s,]+(.+)", text.strip(), re.I
    )
    if parted is None or re.fullmatch(rf"(?:imp\s+|us\s+)?(?:{_UNITS_OF_VOLUME})", parted[3], re.I):
        return PotAsked(quantity(fields.PotLitres, text, bare), None)
    material = chosen(parted[3], MATERIALS, "stuff of a pot")
    return PotAsked(quantity(fields.PotLitres, parted[1], bare), material)  # type: ignore[arg-type]


class WashAsked(NamedTuple):
    """How much wash and, where it was said, of what gravity."""

    litres: float
    gravity: float | None


def wash(text: str, bare: str = "") -> WashAsked:
    """A wash written as "20 L at 1.060", or "20 L" alone."""
    parted = re.fullmatch(r"(.+?)(?:\s+(?:at|of|@)\s+|[,;]\s+)(.+)", text.strip())
    litres = quantity(fields.Litres, parted[1] if parted else text, bare)
    return WashAsked(litres, gravity(parted[2]) if parted else None)


def gravity(text: str) -> float:
    """A specific gravity from a gravity, Plato or Brix; Refused for that of water."""
    value = quantity(fields.Gravity, text)
    if value <= THINNEST_GRAVITY:
        raise Refused(f"{quoted(text)} is no more than water: a wash lies at 1.020 to 1.100, such as 1.060.")
    return value


def yeast(text: str) -> str:
    """The words for a yeast; Refused for an amount, which is worked out."""
    name = named(text)
    try:
        parse(name, "mass")
    except Unreadable:
        return name
    raise Refused(
        f"{quoted(name)} is an amount, and it is worked out: say which yeast, such as dry ale yeast."
    )


def place(text: str, units: Units) -> dict[str, float]:
    """Room, tap water and altitude as written in one line, "20 C, 12 C, 40 m"; any may be left out."""
    parts = [part.strip() for part in re.split(r";|,(?![0-9])|(?<![0-9]),", text) if part.strip()]
    found: dict[str, float] = {}
    degree, length = ("F", "ft") if units == "us" else ("C", "m")
    kinds = [
        ("room_celsius", "temperature", fields.RoomCelsius, degree),
        ("tap_celsius", "temperature", fields.RoomCelsius, degree),
        ("altitude_metres", "length", fields.Metres, length),
    ]
    for part in parts:
        is_length = _is_length(part)
        fits = [one for one in kinds if is_length is None or (one[1] == "length") == is_length]
        if not fits:
            raise Refused(f"{quoted(text)}: write room, tap water and altitude, such as 20 C, 12 C, 40 m.")
        key, _, kind, bare = fits[0]
        found[key] = quantity(kind, part, bare)
        kinds = kinds[kinds.index(fits[0]) + 1 :]
    return found


def _is_length(part: str) -> bool | None:
    if not any(letter.isalpha() for letter in part):
        return None
    try:
        parse(part, "length")
    except Unreadable:
        return False
    return True


def grains(text: str) -> tuple[GrainAsked, ...]:
    """A grain bill written in one line: "barley malt 4 kg, rye malt 1 kg"."""
    parts = re.split(r";|\+|\s+and\s+|,(?![0-9])|(?<![0-9]),", text)
    return tuple(grain(part) for part in parts if part.strip())


_UNITS_OF_VOLUME = "l|lit(?:re|er)s?|gal|gallons?|qt|quarts?"
_UNITS_OF_MASS = "kgs?|kilos?|kilograms?|g|grams?|lbs?|pounds?|oz|ounces?|%|percent|per cent"
_NUMBER = r"[0-9][0-9.,]*"


def grain(text: str, forms: tuple[str, ...] = ()) -> GrainAsked:
    """One grain written as "barley malt", "barley malt=5 kg", "5 kg barley malt" or "raw maize 60 %".

    `forms` are the forms of the grain table a word may stand for; all but sugar where none are named.
    """
    first = re.fullmatch(rf"\s*({_NUMBER}\s*(?:{_UNITS_OF_MASS}))\s+(?:of\s+)?(\D.*)", text, re.IGNORECASE)
    if first is not None:
        name, amount = first[2], first[1]
    else:
        last = re.fullmatch(r"\s*(.*?\S)\s*=\s*(.*)", text) or re.fullmatch(
            r"\s*(.*?\S)[\s:]+([-+]?[0-9](?![0-9]*-[a-z]).*)", text, re.IGNORECASE
        )
        name, amount = (last[1], last[2]) if last is not None else (text, None)
    asked = GrainAsked(*_kind_meant(name, forms))
    if amount is None:
        return asked
    if "%" in amount or "cent" in amount.casefold():
        share = quantity(fields.Share, amount)
        if not 0.0 < share <= 1.0:
            raise Refused(f"{quoted(text)}: a share of the grain lies over 0 % and up to 100 %.")
        return replace(asked, share=share)
    return replace(asked, kilograms=quantity(fields.Kilograms, amount))


def _kind_meant(text: str, forms: tuple[str, ...]) -> tuple[str, str]:
    """The person's name for a grain and its kind: by its name, by a name in it, by beginnings of words."""
    name = named(text)
    kinds = {
        known: grain_table.kind(known)
        for known in (*grain_table.KINDS, *grain_table.ALIASES)
        if (not forms or grain_table.kind(known).form in forms)
    }
    folded = _folded(name)
    inside = [known for known in kinds if re.search(rf"\b{re.escape(_folded(known))}\b", folded)]
    if inside:
        found = kinds[max(inside, key=len)]
        _refuse_sugar(found.name, found.form)
        return name, found.name
    mashed = [known for known in kinds if known in grain_table.KINDS and kinds[known].form != "sugar"]
    meant = _begun(folded, mashed)
    if len(meant) == 1:
        return meant[0], meant[0]
    if meant:
        raise Refused(f"{quoted(name)} could be {', '.join(meant)}: which of them?")
    try:
        found = grain_table.kind(name)
    except UnknownName as unknown:
        for near in unknown.nearest:
            _refuse_sugar(near, grain_table.kind(near).form)
        nearest = f" Near it: {', '.join(unknown.nearest)}." if unknown.nearest else ""
        raise Refused(
            f"{quoted(name)} is no kind of grain known here.{nearest} Kinds: {', '.join(mashed)}."
        ) from unknown
    raise Refused(f"{found.name} is not meant here: one of {', '.join(mashed)}.")


def _refuse_sugar(name: str, form: str) -> None:
    if form == "sugar":
        raise Refused(f"{name} is not mashed: leave it out here, and add a step for it to the file.")


def _begun(folded: str, choices: Iterable[str]) -> list[str]:
    """The choices meant: the one of just this name, else those whose words begin with these in order."""
    listed = list(choices)
    exact = [one for one in listed if _folded(one) == folded]
    return exact or [one for one in listed if folded and _begins(folded.split(), _folded(one).split())]


def _begins(typed: list[str], words: list[str]) -> bool:
    left = iter(words)
    return all(any(word.startswith(piece) for word in left) for piece in typed)


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("\u2019", "'").replace("-", " ").split())
