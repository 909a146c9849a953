"""The answers of a new day read from what a person types: quantities, choices, pots, washes, grain bills."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, NamedTuple, get_args

from pydantic_core import PydanticCustomError

from mashday.quantities import Kind, Unreadable, in_units, parse, parse_gravity, unit_word
from mashday.reckon.answers import LONGEST_NAME, Fuel, GrainAsked
from mashday.reckon.day_amounts import short
from mashday.reckon.given import Refused
from mashday.schedule import fields
from mashday.schedule.model import Cooling, Material, Separation, ThermometerKind, Units
from mashday.science import grain as grain_table
from mashday.science import gravity as gravities
from mashday.science.limits import OutOfRange, UnknownName
from mashday.text import cleaned, quoted

COOLINGS: tuple[Cooling, ...] = ("coil", "ice bath", "standing")
"""The ways of cooling that put no water into the wash."""

PITCHINGS = ("same evening", "next morning")

THINNEST_GRAVITY = 1.005
"""A gravity up to here is that of water, or a slip. Judgement."""

STRONGEST_GRAVITY = 1.19
"""What a schedule takes at most."""

_GRAVITIES = f"write over {THINNEST_GRAVITY:.3f} and up to {STRONGEST_GRAVITY:.3f}, such as 1.060"

SEPARATIONS: tuple[Separation, ...] = get_args(Separation)
MATERIALS: tuple[Material, ...] = get_args(Material)
THERMOMETERS: tuple[ThermometerKind, ...] = get_args(ThermometerKind)


SUCH: dict[Kind, dict[Units, str]] = {
    "temperature": {"metric": "20 C", "us": "68 F"},
    "volume": {"metric": "20 L", "us": "5 gal"},
    "mass": {"metric": "5 kg", "us": "11 lb"},
    "length": {"metric": "40 m", "us": "130 ft"},
    "power": {"metric": "2.5 kW", "us": "2.5 kW"},
}
"""How a quantity may be written, in a person's own units."""


def quantity(kind: Any, text: str, bare: str = "", units: Units = "metric") -> float:
    """The value of a text as a schedule would hold it; `bare` is the unit a number alone takes.

    `kind` is a type of `schedule.fields`. Refused where a schedule could not hold it, with an example in
    these units.
    """
    lone = not any(letter.isalpha() for letter in text)
    written = f"{text.strip()} {bare}" if bare and lone and text.strip() else text
    field = get_args(kind)[1]
    if isinstance(field, fields.Quantity) and field.kind in SUCH:
        return _within(field, written, units)
    try:
        value = field.read(written)
    except PydanticCustomError as error:
        context = error.context or {}
        raise Refused(f"{context['found']}; {context['remedy']}.") from error
    assert isinstance(value, float)
    return value


def _within(field: fields.Quantity, text: str, units: Units) -> float:
    such = f'such as "{SUCH[field.kind][units]}"'
    try:
        value = parse(text, field.kind)
    except Unreadable as error:
        remedy = f"write it with its unit, {such}" if '"' in error.remedy else error.remedy
        raise Refused(f"{error.found}; {remedy}.") from error
    if field.low <= value <= field.high:
        return value
    low, high = (in_units(bound, field.kind, units) for bound in (field.low, field.high))
    span = f"{short(low, 1)} to {short(high, 1)} {unit_word(field.kind, units)}"
    raise Refused(f"{quoted(text)} is not from {span}; write a {field.kind} within that, {such}.")


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


class HeaterAsked(NamedTuple):
    """The power of a heater, kW, and what it burns."""

    kilowatts: float
    fuel: Fuel


def heater(text: str, bare: str = "", units: Units = "metric") -> HeaterAsked | None:
    """What heats the pot, written as "2500 W electric" or "gas 12000 BTU/h"; None for "none".

    BTU/h are those of a gas ring, kW and W those of an electric heater, unless it is said.
    """
    if _folded(text) in ("none", "no", "nothing", "0"):
        return None
    said = [word.casefold() for word in re.findall(_FUELS, text, re.I)]
    figure = re.sub(
        rf"{_FUELS}(?:\s+(?:ring|burner|hob|hotplate|plate|element|heater|kettle))?", " ", text, flags=re.I
    )
    figure = figure.strip(" ,")
    if said and not figure:
        raise Refused(f"How much? Write its figure, too, such as {_such_heater(said[0])}.")
    figure = re.sub(r"btus?\s*(?:/\s*h(?:r|our)?|per\s+hour|h)\b", "BTU/h", figure, flags=re.I)
    if re.fullmatch(rf"{_NUMBER}\s*btus?", figure, re.I):
        raise Refused(f"{quoted(text)} is an amount of heat: for the power write {figure}/h.")
    power = quantity(fields.Kilowatts, figure, bare, units)
    gas = said[-1].startswith(("gas", "propane")) if said else figure.endswith("BTU/h")
    return HeaterAsked(power, "gas" if gas else "electric") if power > 0.0 else None


_FUELS = r"\b(?:gas|propane|electric(?:al|ity)?)\b"


def _such_heater(fuel: str) -> str:
    return "2500 W electric" if fuel.startswith("electric") else "gas 12000 BTU/h"


class PotAsked(NamedTuple):
    """How much the pot holds and, where it was said, what it is made of."""

    litres: float
    material: Material | None


def pot(text: str, bare: str = "", units: Units = "metric") -> PotAsked:
    """A pot written as "33 L" or "33 L aluminium"."""
    parted = re.fullmatch(
        rf"({_NUMBER}\s*(?:imp\s+|us\s+)?({_UNITS_OF_VOLUME})?)[\s,]+(.+)", text.strip(), re.I
    )
    if parted is None or re.fullmatch(rf"(?:imp\s+|us\s+)?(?:{_UNITS_OF_VOLUME})", parted[3], re.I):
        return PotAsked(quantity(fields.PotLitres, text, bare, units), None)
    material = chosen(parted[3], MATERIALS, "stuff of a pot")
    return PotAsked(quantity(fields.PotLitres, parted[1], bare, units), material)  # type: ignore[arg-type]


class WashAsked(NamedTuple):
    """How much wash and, where it was said, of what gravity."""

    litres: float
    gravity: float | None


def wash(text: str, bare: str = "", units: Units = "metric") -> WashAsked:
    """A wash written as "20 L at 1.060", or "20 L" alone."""
    parted = re.fullmatch(r"(.+?)(?:\s+(?:at|of|@)\s+|[,;]\s+)(.+)", text.strip())
    litres = quantity(fields.Litres, parted[1] if parted else text, bare, units)
    return WashAsked(litres, gravity(parted[2]) if parted else None)


def gravity(text: str) -> float:
    """A specific gravity from a gravity, Plato or Brix; Refused for that of water."""
    try:
        value, scale = parse_gravity(text)
        value = value if scale == "SG" else gravities.gravity(value)
    except Unreadable as error:
        raise Refused(f"{error.found}; {error.remedy}.") from error
    except OutOfRange as error:
        raise Refused(f"{quoted(text)} is no gravity of wort: {_GRAVITIES}.") from error
    if value <= THINNEST_GRAVITY:
        raise Refused(f"{quoted(text)} is no more than water: {_GRAVITIES}.")
    if value > STRONGEST_GRAVITY:
        raise Refused(f"{quoted(text)} is more than a mash gives: {_GRAVITIES}.")
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
    such = "68 F, 54 F, 130 ft" if units == "us" else "20 C, 12 C, 40 m"
    kinds = [
        ("room_celsius", "temperature", fields.RoomCelsius, degree),
        ("tap_celsius", "temperature", fields.RoomCelsius, degree),
        ("altitude_metres", "length", fields.Metres, length),
    ]
    for part in parts:
        is_length = _is_length(part)
        fits = [one for one in kinds if is_length is None or (one[1] == "length") == is_length]
        if not fits:
            raise Refused(f"{quoted(text)}: write room, tap water and altitude, such as {such}.")
        key, _, kind, bare = fits[0]
        found[key] = quantity(kind, part, bare, units)
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


def grains(text: str, units: Units = "metric") -> tuple[GrainAsked, ...]:
    """A grain bill written in one line: "barley malt 4 kg, rye malt 1 kg"."""
    parts = re.split(r";|\+|\s+and\s+|,(?![0-9])|(?<![0-9]),", text)
    return tuple(grain(part, (), units) for part in parts if part.strip())


_UNITS_OF_VOLUME = "l|lit(?:re|er)s?|gal|gallons?|qt|quarts?"
_UNITS_OF_MASS = "kgs?|kilos?|kilograms?|g|grams?|lbs?|pounds?|oz|ounces?|%|percent|per cent"
_NUMBER = r"[0-9][0-9.,]*"


def grain(text: str, forms: tuple[str, ...] = (), units: Units = "metric") -> GrainAsked:
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
    return replace(asked, kilograms=quantity(fields.Kilograms, amount, "", units))


class UnclearGrain(Refused):
    """A word for no one kind of grain; `brief` says it to somebody who can ask for the kinds."""

    def __init__(self, sentence: str, brief: str) -> None:
        super().__init__(sentence)
        self.brief = brief


_SAID_OTHERWISE = ((r"\bcorn\b", "maize"), (r"\b(?:[26]|two|six) row(?: malt)?$", "barley malt"))
"""Words of the trade for a grain, folded, and those of the grain table. Two-row and six-row are barleys."""


def _kind_meant(text: str, forms: tuple[str, ...]) -> tuple[str, str]:
    """The person's name for a grain and its kind: by its name, by a name in it, by beginnings of words."""
    name = named(text)
    kinds = {
        known: grain_table.kind(known)
        for known in (*grain_table.KINDS, *grain_table.ALIASES)
        if (not forms or grain_table.kind(known).form in forms)
    }
    folded = _folded(name)
    if not _inside(folded, kinds):
        for said, meant_by_it in _SAID_OTHERWISE:
            folded = re.sub(said, meant_by_it, folded)
    inside = _inside(folded, kinds)
    if inside:
        found = kinds[max(inside, key=len)]
        _refuse_sugar(found.name, found.form)
        return name, found.name
    mashed = [known for known in kinds if known in grain_table.KINDS and kinds[known].form != "sugar"]
    meant = _begun(folded, mashed)
    if len(meant) == 1:
        return (name if folded != _folded(name) else meant[0]), meant[0]
    if meant:
        others = ", ..." if len(meant) > FEW else ""
        raise UnclearGrain(
            f"{quoted(name)} could be {', '.join(meant)}: which of them?",
            f"{quoted(name)} could be {', '.join(meant[:FEW])}{others}: which of them?",
        )
    try:
        found = grain_table.kind(name)
    except UnknownName as unknown:
        for near in unknown.nearest:
            _refuse_sugar(near, grain_table.kind(near).form)
        nearest = f" Near it: {', '.join(unknown.nearest)}." if unknown.nearest else ""
        said = f"{quoted(name)} is no kind of grain known here.{nearest}"
        raise UnclearGrain(f"{said} Kinds: {', '.join(mashed)}.", f"{said} ? lists the kinds.") from unknown
    said = f"{found.name} is not meant here"
    raise UnclearGrain(f"{said}: one of {', '.join(mashed)}.", f"{said}, only raw grain. ? lists the kinds.")


FEW = 4
"""Of more kinds than this only these are named where the rest can be asked for."""


def _inside(folded: str, kinds: Iterable[str]) -> list[str]:
    return [known for known in kinds if re.search(rf"\b{re.escape(_folded(known))}\b", folded)]


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
