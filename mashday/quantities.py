"""Quantities as people write them, and as the rest of the program holds them.

Inside, every value is a float in one unit per kind: Celsius, kelvin, kilograms, litres, minutes,
kilowatts, W/K, kJ/K, kJ, kJ/kg, kJ/(kg K), metres, a fraction, L/kg, L/min, degrees Lintner. Text becomes
such a float here and only here, and such a float becomes text again.

A table of the trade's unit words stands before pint, because pint reads `C` as coulomb, `F` as farad and
`P` as poise; any other unit is left to pint, which is loaded only then.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

if TYPE_CHECKING:
    import pint

Kind = Literal[
    "temperature",
    "temperature difference",
    "mass",
    "volume",
    "time",
    "power",
    "heat loss",
    "heat capacity",
    "heat",
    "specific heat",
    "specific heat capacity",
    "length",
    "share",
    "thickness",
    "flow",
    "diastatic power",
]
Units = Literal["metric", "us"]
GravityScale = Literal["SG", "P", "Bx"]


class Unreadable(ValueError):
    """Text that is not the quantity asked for: `found` says what was read, `remedy` what would do."""

    def __init__(self, found: str, remedy: str) -> None:
        super().__init__(f"{found}; {remedy}")
        self.found = found
        self.remedy = remedy


class Unit(NamedTuple):
    """A unit as the way into the program's own: value = (written + shift) * factor."""

    factor: float
    shift: float = 0.0


# Exact by definition: the inch and the avoirdupois pound (NIST SP 811, 2008, appendix B.8), the US gallon of
# 231 cubic inches (NIST Handbook 44, appendix C), the imperial gallon (UK Units of Measurement Regulations
# 1995, schedule), the British thermal unit of the International Tables (ISO 31-4:1992, annex B).
_INCH = 0.0254
_POUND = 0.45359237
_GALLON = 231 * (10 * _INCH) ** 3
_IMPERIAL_GALLON = 4.54609
_BTU = 1.05505585262

_CELSIUS, _FAHRENHEIT, _KELVIN = Unit(1.0), Unit(5 / 9, -32.0), Unit(1.0, -273.15)
_DEGREE, _FAHRENHEIT_DEGREE = Unit(1.0), Unit(5 / 9)

# Windisch-Kolbach to Lintner: (WK + 16) / 3.5, Oxford Companion to Beer, "Lintner". Nought stays nought.
_LINTNER, _WINDISCH_KOLBACH = Unit(1.0), Unit(1 / 3.5, 16.0)

TABLE: dict[Kind, dict[str, Unit]] = {
    "temperature": {
        **dict.fromkeys(("c", "degc", "deg c", "degree c", "degrees c", "celsius"), _CELSIUS),
        **dict.fromkeys(("f", "degf", "deg f", "degree f", "degrees f", "fahrenheit"), _FAHRENHEIT),
        **dict.fromkeys(("k", "kelvin"), _KELVIN),
    },
    "temperature difference": {
        **dict.fromkeys(("k", "kelvin", "c", "degc", "deg c", "degree c", "degrees c", "celsius"), _DEGREE),
        **dict.fromkeys(("f", "degf", "deg f", "degree f", "degrees f", "fahrenheit"), _FAHRENHEIT_DEGREE),
    },
    "mass": {
        **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), Unit(1.0)),
        **dict.fromkeys(("g", "gram", "grams"), Unit(0.001)),
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), Unit(_POUND)),
        **dict.fromkeys(("oz", "ounce", "ounces"), Unit(_POUND / 16)),
    },
    "volume": {
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), Unit(1.0)),
        **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), Unit(0.001)),
        "dl": Unit(0.1),
        "cl": Unit(0.01),
        "hl": Unit(100.0),
        **dict.fromkeys(("gal", "gallon", "gallons", "us gal"), Unit(_GALLON)),
        **dict.fromkeys(("qt", "quart", "quarts", "us qt"), Unit(_GALLON / 4)),
        **dict.fromkeys(("pt", "pint", "pints", "us pt"), Unit(_GALLON / 8)),
        **dict.fromkeys(("cup", "cups"), Unit(_GALLON / 16)),
        **dict.fromkeys(("fl oz", "floz"), Unit(_GALLON / 128)),
        "imp gal": Unit(_IMPERIAL_GALLON),
        "imp qt": Unit(_IMPERIAL_GALLON / 4),
        "imp pt": Unit(_IMPERIAL_GALLON / 8),
        "imp fl oz": Unit(_IMPERIAL_GALLON / 160),
    },
    "time": {
        **dict.fromkeys(("min", "mins", "minute", "minutes"), Unit(1.0)),
        **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), Unit(60.0)),
        **dict.fromkeys(("s", "sec", "second", "seconds"), Unit(1 / 60)),
    },
    "power": {"kw": Unit(1.0), "w": Unit(0.001), "btu/h": Unit(_BTU / 3600)},
    "heat loss": {
        **dict.fromkeys(("w/k", "w/c"), Unit(1.0)),
        "kw/k": Unit(1000.0),
        **dict.fromkeys(("btu/h/f", "btu/(h f)"), Unit(_BTU / 3.6 / (5 / 9))),
    },
    "heat capacity": {
        **dict.fromkeys(("kj/k", "kj/c"), Unit(1.0)),
        "j/k": Unit(0.001),
        "btu/f": Unit(_BTU / (5 / 9)),
    },
    "heat": {"kj": Unit(1.0), "j": Unit(0.001), "wh": Unit(3.6), "kwh": Unit(3600.0), "btu": Unit(_BTU)},
    "specific heat": {"kj/kg": Unit(1.0), "j/g": Unit(1.0), "btu/lb": Unit(_BTU / _POUND)},
    "specific heat capacity": {
        **dict.fromkeys(("kj/(kg k)", "kj/kg/k", "j/g/k"), Unit(1.0)),
        **dict.fromkeys(("btu/(lb f)", "btu/lb/f"), Unit(_BTU / _POUND / (5 / 9))),
    },
    "length": {
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Unit(1.0)),
        "cm": Unit(0.01),
        "mm": Unit(0.001),
        **dict.fromkeys(("ft", "foot", "feet"), Unit(12 * _INCH)),
        **dict.fromkeys(("in", "inch", "inches"), Unit(_INCH)),
    },
    "share": {**dict.fromkeys(("%", "percent", "per cent"), Unit(0.01)), "ppm": Unit(1e-6)},
    "thickness": {
        "l/kg": Unit(1.0),
        "qt/lb": Unit(_GALLON / 4 / _POUND),
        "gal/lb": Unit(_GALLON / _POUND),
    },
    "flow": {
        "l/min": Unit(1.0),
        "l/h": Unit(1 / 60),
        "gal/min": Unit(_GALLON),
        "gal/h": Unit(_GALLON / 60),
        "qt/min": Unit(_GALLON / 4),
    },
    "diastatic power": {**dict.fromkeys(("lintner", "l", "dp"), _LINTNER), "wk": _WINDISCH_KOLBACH},
}
"""The trade's unit words, in small letters, for each kind."""

_US_WORDS = frozenset(
    {
        *("f", "degf", "deg f", "degree f", "degrees f", "fahrenheit"),
        *("lb", "lbs", "pound", "pounds", "oz", "ounce", "ounces"),
        *("gal", "gallon", "gallons", "us gal", "qt", "quart", "quarts", "us qt"),
        *("pt", "pint", "pints", "us pt", "cup", "cups", "fl oz", "floz"),
        *("ft", "foot", "feet", "in", "inch", "inches"),
        *("qt/lb", "gal/lb", "gal/min", "gal/h", "qt/min"),
        *("btu", "btu/h", "btu/f", "btu/h/f", "btu/(h f)", "btu/lb", "btu/(lb f)", "btu/lb/f"),
    }
)
_EITHER_WAY: frozenset[Kind] = frozenset({"time", "power", "share", "diastatic power"})

EXAMPLES: dict[Kind, tuple[str, ...]] = {
    "temperature": ("62 C", "144 F"),
    "temperature difference": ("1 K", "2 F"),
    "mass": ("5 kg", "11 lb"),
    "volume": ("15 L", "4 gal"),
    "time": ("60 min", "1.5 h"),
    "power": ("2.5 kW", "2500 W"),
    "heat loss": ("4 W/K",),
    "heat capacity": ("2.5 kJ/K",),
    "heat": ("100 kJ",),
    "specific heat": ("22 kJ/kg",),
    "specific heat capacity": ("1.7 kJ/(kg K)",),
    "length": ("40 m", "130 ft"),
    "share": ("0.045", "4.5 %"),
    "thickness": ("3 L/kg", "1.5 qt/lb"),
    "flow": ("6 L/min", "1.5 gal/min"),
    "diastatic power": ("75 Lintner", "250 WK"),
}
"""One way or two to write each kind."""

GRAVITY_EXAMPLES = ("1.048", "12 P", "12 Bx")

_PINT_UNITS: dict[Kind, str] = {
    "temperature": "degC",
    "temperature difference": "kelvin",
    "mass": "kilogram",
    "volume": "litre",
    "time": "minute",
    "power": "kilowatt",
    "heat loss": "watt / kelvin",
    "heat capacity": "kilojoule / kelvin",
    "heat": "kilojoule",
    "specific heat": "kilojoule / kilogram",
    "specific heat capacity": "kilojoule / kilogram / kelvin",
    "length": "metre",
    "thickness": "litre / kilogram",
    "flow": "litre / minute",
}

_MAY_BE_NEGATIVE: frozenset[Kind] = frozenset({"temperature", "temperature difference", "length", "heat"})

_NUMBER = re.compile(r"(?P<number>[+-]?(?:[0-9]{1,9}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12}))(?![0-9.,])")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_WORD = re.compile(r"[A-Za-z][A-Za-z_ ]*(?:[/*] ?[A-Za-z][A-Za-z_ ]*){0,3}")
_POUNDS_AND_OUNCES = re.compile(
    r"(?P<pounds>[0-9]{1,4}) ?(?:lbs?|pounds?),? ?(?P<ounces>[0-9]{1,2}(?:[.][0-9]{1,3})?) ?(?:oz|ounces?)",
    re.IGNORECASE,
)
_LONGEST = 60


def parse(text: str, kind: Kind, *, bare: str | None = None) -> float:
    """The value of `text` in the program's own unit for `kind`.

    A bare number takes the unit `bare`; where that is None it is Unreadable, except a share, which is then
    a fraction from 0 to 1. A comma may stand for the decimal point.
    """
    if kind == "mass" and (both := _POUNDS_AND_OUNCES.fullmatch(" ".join(text.split()))) is not None:
        return (float(both["pounds"]) + float(both["ounces"]) / 16.0) * _POUND
    number, word = _number_and_word(text, EXAMPLES[kind])
    if not word and bare is None:
        if kind == "share":
            return _fraction(number, text)
        raise Unreadable(f"{_shown(text)} has no unit", f"say which, such as {_written(number, kind)}")
    value = float(number.replace(",", "."))
    if _THOUSANDS.fullmatch(number):
        raise Unreadable(
            f"{_shown(text)} could be {number.replace(',', '')} or {value:g}",
            "write the number without a comma for the thousands and with a point for the decimals",
        )
    if value < 0 and kind not in _MAY_BE_NEGATIVE:
        raise Unreadable(
            f"{_shown(text)} is less than nothing", f"write for example {_either(EXAMPLES[kind])}"
        )
    known = TABLE[kind].get(_folded(word or bare or ""))
    if known is not None:
        return 0.0 if kind == "diastatic power" and value == 0 else (value + known.shift) * known.factor
    return _by_pint(value, word or bare or "", kind, text)


def system_of(text: str) -> Units | None:
    """The system of the unit a quantity is written in; None where it has none or both systems use it."""
    if _POUNDS_AND_OUNCES.fullmatch(" ".join(text.split())):
        return "us"
    match = _NUMBER.match(" ".join(text.split()))
    word = _folded(text.split(match["number"], 1)[1]) if match is not None else ""
    if word in _US_WORDS:
        return "us"
    known = any(word in words for kind, words in TABLE.items() if kind not in _EITHER_WAY)
    return "metric" if word and known else None


def parse_gravity(text: str) -> tuple[float, GravityScale]:
    """The number and the scale of a gravity: specific gravity ("1.048", also "1048"), Plato or Brix."""
    number, word = _number_and_word(text, GRAVITY_EXAMPLES)
    value = float(number.replace(",", "."))
    match _folded(word):
        case "p" | "plato" | "deg p" | "degp":
            return value, "P"
        case "bx" | "brix" | "deg bx" | "degbx":
            return value, "Bx"
        case "" | "sg":
            if 900 <= value <= 1300:
                return value / 1000, "SG"
            if 0.9 <= value <= 1.3:
                return value, "SG"
            raise Unreadable(
                f"{_shown(text)} is not a specific gravity",
                f'write it as 1.048, or say "{number} P" for Plato or "{number} Bx" for Brix',
            )
    raise Unreadable(f"{_shown(text)} is not a gravity", f"write for example {_either(GRAVITY_EXAMPLES)}")


class _Look(NamedTuple):
    metric: str
    us: str
    metric_digits: int
    us_digits: int


_LOOKS: dict[Kind, _Look] = {
    "temperature": _Look("C", "F", 1, 1),
    "temperature difference": _Look("C", "F", 1, 1),
    "mass": _Look("kg", "lb", 2, 1),
    "volume": _Look("L", "gal", 1, 1),
    "time": _Look("min", "min", 0, 0),
    "power": _Look("kW", "kW", 1, 1),
    "heat loss": _Look("W/K", "Btu/h/F", 1, 1),
    "heat capacity": _Look("kJ/K", "Btu/F", 2, 2),
    "heat": _Look("kJ", "Btu", 0, 0),
    "specific heat": _Look("kJ/kg", "Btu/lb", 1, 1),
    "specific heat capacity": _Look("kJ/(kg K)", "Btu/(lb F)", 2, 2),
    "length": _Look("m", "ft", 0, 0),
    "share": _Look("%", "%", 1, 1),
    "thickness": _Look("L/kg", "qt/lb", 2, 2),
    "flow": _Look("L/min", "gal/min", 1, 1),
    "diastatic power": _Look("Lintner", "Lintner", 0, 0),
}


def unit_word(kind: Kind, units: Units) -> str:
    """The word of the unit this person sees for this kind."""
    look = _LOOKS[kind]
    return look.metric if units == "metric" else look.us


def in_units(value: float, kind: Kind, units: Units) -> float:
    """`value` in the unit named by `unit_word`."""
    unit = TABLE[kind][unit_word(kind, units).casefold()]
    return value / unit.factor - unit.shift


def show(value: float, kind: Kind, units: Units, digits: int | None = None) -> str:
    """`value` as this person reads it, in ASCII: "63.0 C", "145.4 F", "1.4 L", "1.5 qt", "4.0 gal".

    US volumes under a gallon are told in quarts. Litres, quarts and pounds below one get a second decimal,
    unless `digits` says how many there are to be.
    """
    look = _LOOKS[kind]
    word = unit_word(kind, units)
    number = in_units(value, kind, units)
    places = look.metric_digits if units == "metric" else look.us_digits
    if kind == "volume" and units == "us" and 0 < abs(number) < 1:
        word, number = "qt", number * 4
    if kind in ("volume", "mass") and 0 < abs(number) < 1:
        places = 2
    return f"{_plain(number, places if digits is None else digits)} {word}"


def _plain(number: float, digits: int) -> str:
    text = f"{number:.{digits}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _number_and_word(text: str, examples: tuple[str, ...]) -> tuple[str, str]:
    if len(text) > _LONGEST:
        raise Unreadable(f"{_shown(text)} is too long", f"write for example {_either(examples)}")
    spaced = " ".join(text.replace("\N{DEGREE SIGN}", " ").replace("\N{MINUS SIGN}", "-").split())
    match = _NUMBER.match(spaced)
    if match is None:
        raise Unreadable(
            f"{_shown(text)} does not begin with a number" if spaced else "nothing is written",
            f"write for example {_either(examples)}",
        )
    return match["number"], spaced[match.end() :].strip()


def _fraction(number: str, text: str) -> float:
    value = float(number.replace(",", "."))
    if 0 <= value <= 1:
        return value
    if value < 0:
        raise Unreadable(
            f"{_shown(text)} is less than nothing", f"write for example {_either(EXAMPLES['share'])}"
        )
    raise Unreadable(f"{_shown(text)} is more than the whole", f'for a percentage write "{number} %"')


def _by_pint(value: float, word: str, kind: Kind, text: str) -> float:
    refusal = Unreadable(
        f"{_shown(text)} is not a {kind}",
        f"write for example {_either(EXAMPLES[kind])}",
    )
    if kind not in _PINT_UNITS or not _WORD.fullmatch(word):
        raise refusal
    from pint.errors import PintError  # noqa: PLC0415

    registry = _registry()
    try:
        unit = registry.parse_units(word)
        written: Any = registry.Quantity(value, unit).to(_PINT_UNITS[kind])
        if kind == "temperature difference":
            written = written - registry.Quantity(0.0, unit).to(_PINT_UNITS[kind])
    except (PintError, ValueError, TypeError) as error:
        raise refusal from error
    return float(written.magnitude)


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint  # noqa: PLC0415

    return pint.UnitRegistry()


def _folded(word: str) -> str:
    return re.sub(r" ?/ ?", "/", word.strip().casefold().replace("\N{DEGREE SIGN}", ""))


def _written(number: str, kind: Kind) -> str:
    return _either(tuple(f"{number} {example.split(' ', 1)[1]}" for example in EXAMPLES[kind]))


def _either(examples: tuple[str, ...]) -> str:
    quoted = [f'"{example}"' for example in examples]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def _shown(text: str) -> str:
    return ascii(text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "...")
