"""What was given to a sum: option texts read as numbers, and the refusal that says what would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mashday.quantities import Kind, Unreadable, parse, parse_gravity
from mashday.reckon.table import Option, Sum
from mashday.science import gravity
from mashday.text import quoted

ARRIVES_COOLER_KELVIN = 3.0
"""How much cooler boiling water enters a mash than it boiled, K. Common practice (2-5), no source."""

_SUFFIXES: dict[str, str] = {
    "mass": "kilograms",
    "volume": "litres",
    "temperature": "celsius",
    "time": "minutes",
    "power": "kilowatts",
    "heat loss": "watts_per_kelvin",
    "heat capacity": "kilojoules_per_kelvin",
    "heat": "kilojoules",
    "specific heat": "kilojoules_per_kilogram",
    "length": "metres",
    "thickness": "litres_per_kilogram",
    "flow": "litres_per_minute",
}


class Refused(ValueError):
    """A sum that cannot be done as asked; the message says what is missing or wrong and what would do."""


class Given:
    """The options of one sum as they were written, read once each as they are wanted."""

    def __init__(self, name: str, what: Sum, written: Mapping[str, str | Sequence[str] | None]) -> None:
        self.name = name
        self._options = {option.name: option for option in what.options}
        self._written = {key: value for key, value in written.items() if value not in (None, [])}
        self.asked: dict[str, object] = {"what": name}
        self._refuse_what_is_missing()

    def has(self, option: str) -> bool:
        """Whether this option was written."""
        return option in self._written

    def number(self, option: str, default: float | None = None) -> float:
        """The one number of an option in the unit of the science floor, else the default."""
        if not self.has(option):
            assert default is not None, option
            return default
        found = self._read(self._options[option], str(self._written[option]))
        self.asked[_key(self._options[option])] = found
        return found

    def maybe(self, option: str) -> float | None:
        """The number of an option; None where it was left out."""
        return self.number(option) if self.has(option) else None

    def numbers(self, option: str) -> tuple[float, ...]:
        """Every number of an option that may be repeated."""
        found = tuple(self._read(self._options[option], text) for text in self._written.get(option) or ())
        self.asked[_key(self._options[option])] = list(found)
        return found

    def word(self, option: str, default: str = "") -> str:
        """The word of an option, one of its choices."""
        if not self.has(option):
            return default
        choices = self._options[option].choices
        folded = {choice.replace("-", " "): choice for choice in choices}
        written = " ".join(str(self._written[option]).casefold().replace("-", " ").split())
        if written not in folded:
            raise Refused(f"--{option} {quoted(written)} is not known here. Known are: {', '.join(choices)}.")
        self.asked[option.replace("-", "_")] = folded[written]
        return folded[written]

    def poured(self, option: str, boiling_celsius: float) -> float:
        """A temperature at which water arrives; "boiling" is the boiling point less what pouring costs."""
        if str(self._written.get(option, "")).strip().casefold() == "boiling":
            self.asked[_key(self._options[option])] = "boiling"
            return boiling_celsius - ARRIVES_COOLER_KELVIN
        return self.number(option)

    def parts(self, option: str) -> tuple[tuple[str, float], ...]:
        """Names and kilograms of an option written NAME=MASS, repeated."""
        found = []
        for text in self._written.get(option) or ():
            name, sign, mass = text.partition("=")
            if not sign or not name.strip():
                raise Refused(
                    f'--{option} {quoted(text)} wants a kind and its weight, as "barley malt=4 kg".'
                )
            found.append((name.strip(), self._parsed(option, mass, "mass")))
        self.asked[option.replace("-", "_")] = dict(found)
        return tuple(found)

    def _refuse_what_is_missing(self) -> None:
        missing = [
            option for option in self._options.values() if option.missing and option.name not in self._written
        ]
        if not missing:
            return
        asks = " ".join(option.missing for option in missing)
        names = " ".join(
            option.name.upper() if option.positional else f"--{option.name}" for option in missing
        )
        raise Refused(f"{asks} Give it with {names}.")

    def _read(self, option: Option, text: str) -> float:
        match option.kind:
            case "gravity":
                return _gravity(option, text)
            case "brix":
                value, scale = _scaled(option, text)
                if scale == "SG":
                    raise Refused(
                        f'--{option.name} {quoted(text)} is no refractometer reading; write "12 Bx".'
                    )
                return value
            case "number":
                return self._bare(option, text)
            case "boiling or temperature":
                return self._parsed(option.name, text, "temperature")
        return self._parsed(option.name, text, option.kind, option.bare)

    def _parsed(self, option: str, text: str, kind: str, bare: str | None = None) -> float:
        try:
            return parse(text, _kind(kind), bare=bare)
        except Unreadable as unreadable:
            raise Refused(f"--{option}: {unreadable.found}; {unreadable.remedy}.") from unreadable

    def _bare(self, option: Option, text: str) -> float:
        try:
            return float(text.strip().replace(",", "."))
        except ValueError:
            raise Refused(f"--{option.name} {quoted(text)} is no number; write one such as 1.04.") from None


def _kind(kind: str) -> Kind:
    return kind  # type: ignore[return-value]


def _key(option: Option) -> str:
    stem = option.name.replace("-", "_")
    kind = "temperature" if option.kind == "boiling or temperature" else option.kind
    return f"{stem}_{_SUFFIXES[kind]}" if kind in _SUFFIXES else stem


def _scaled(option: Option, text: str) -> tuple[float, str]:
    try:
        return parse_gravity(text)
    except Unreadable as unreadable:
        where = option.name.upper() if option.positional else f"--{option.name}"
        raise Refused(f"{where}: {unreadable.found}; {unreadable.remedy}.") from unreadable


def _gravity(option: Option, text: str) -> float:
    value, scale = _scaled(option, text)
    return value if scale == "SG" else gravity.gravity(value)
