"""What was given to a sum: option texts read as numbers, and the refusal that says what would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mashday.quantities import Kind, Unreadable, parse, parse_gravity, system_of
from mashday.reckon.table import Option, Sum
from mashday.science import gravity, heat
from mashday.science.heat import POURING_KELVIN
from mashday.text import quoted

TAP_CELSIUS = 12.0
"""Tap water where none is told. An assumption, said in every answer that uses it."""

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
        self._written = {key: self._once(key, value) for key, value in written.items() if value}
        self._taken: set[str] = set()
        self.asked: dict[str, object] = {"what": name}
        self._refuse_what_is_missing()

    def has(self, option: str) -> bool:
        """Whether this option was written."""
        return option in self._written

    def refuse_what_has_no_part(self) -> None:
        """Refuses an option that was written and that this sum, as asked, does not take."""
        idle = [f"--{option}" for option in self._written if option not in self._taken]
        if idle:
            raise Refused(f"{' '.join(idle)} has no part in this sum. Leave it out.")

    def number(self, option: str, default: float | None = None) -> float:
        """The one number of an option in the unit of the science floor, else the default."""
        if not self.has(option):
            assert default is not None, option
            return default
        self._taken.add(option)
        asked = self._options[option]
        found = self._read(asked, str(self._written[option]))
        if found == 0.0 and asked.kind in ("mass", "volume") and not asked.nought:
            raise Refused(f"--{option} is nothing. How much is it?")
        self.asked[_key(self._options[option])] = found
        return found

    def maybe(self, option: str) -> float | None:
        """The number of an option; None where it was left out."""
        return self.number(option) if self.has(option) else None

    def numbers(self, option: str) -> tuple[float, ...]:
        """Every number of an option that may be repeated."""
        self._taken.add(option)
        found = tuple(self._read(self._options[option], text) for text in self._written.get(option) or ())
        self.asked[_key(self._options[option])] = list(found)
        return found

    def word(self, option: str, default: str = "") -> str:
        """The word of an option, one of its choices."""
        if not self.has(option):
            return default
        self._taken.add(option)
        choices = self._options[option].choices
        folded = {choice.replace("-", " "): choice for choice in choices}
        written = " ".join(str(self._written[option]).casefold().replace("-", " ").split())
        if written not in folded:
            raise Refused(f"--{option} {quoted(written)} is not known here. Known are: {', '.join(choices)}.")
        self.asked[option.replace("-", "_")] = folded[written]
        return folded[written]

    def poured(self, option: str, boiling_celsius: float) -> float:
        """A temperature at which water arrives; "boiling" is the boiling point less what pouring costs.

        "tap" is water from the tap where nothing is told of it.
        """
        if str(self._written.get(option, "")).strip().casefold() == "tap":
            self._taken.add(option)
            self.asked[_key(self._options[option])] = "tap"
            return TAP_CELSIUS
        if str(self._written.get(option, "")).strip().casefold() == "boiling":
            self._taken.add(option)
            self.asked[_key(self._options[option])] = "boiling"
            return boiling_celsius - POURING_KELVIN
        return self.number(option)

    def parts(self, option: str) -> tuple[tuple[str, float], ...]:
        """Names and kilograms of an option written NAME=MASS, repeated."""
        self._taken.add(option)
        found = []
        for text in self._written.get(option) or ():
            name, sign, mass = text.partition("=")
            if not sign or not name.strip():
                raise Refused(
                    f'--{option} {quoted(text)} wants a kind and its weight, as "barley malt=4 kg".'
                )
            found.append((name.strip(), self._parsed(option, mass, "mass")))
        self.asked[option.replace("-", "_")] = [{"kind": name, "kilograms": mass} for name, mass in found]
        return tuple(found)

    def _once(self, option: str, written: str | Sequence[str]) -> str | Sequence[str]:
        """The one text of an option that may stand once; all of one that may be repeated."""
        if isinstance(written, str) or self._options[option].repeat:
            return written
        if len(written) > 1:
            raise Refused(
                f"--{option} stands {len(written)} times: {', '.join(written)}. Which one is meant?"
            )
        return written[0]

    def looks_us(self) -> bool:
        """Whether what was written is in US units, all of it that has any."""
        texts = [text for one in self._written.values() for text in ([one] if isinstance(one, str) else one)]
        return {system_of(text) for text in texts} - {None} == {"us"}

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
                value, scale = _scaled(option, f"{text} Bx" if _only_brix(text) else text)
                if scale != "Bx":
                    raise Refused(
                        f'--{option.name} {quoted(text)} is not what a refractometer shows; write "12 Bx".'
                    )
                return value
            case "pot heat":
                return self._pot_heat(option, text)
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

    def _pot_heat(self, option: Option, text: str) -> float:
        """The heat capacity of a pot, written as such or as the weight of stainless steel it is made of."""
        try:
            return heat.vessel_heat_capacity(parse(text, "mass"), "stainless steel")
        except Unreadable:
            return self._parsed(option.name, text, "heat capacity")

    def _bare(self, option: Option, text: str) -> float:
        try:
            return float(text.strip().replace(",", "."))
        except ValueError:
            raise Refused(f"--{option.name} {quoted(text)} is no number; write one such as 1.04.") from None


def _only_brix(text: str) -> bool:
    """Whether a reading without a unit can only be Brix: no specific gravity looks like it."""
    if any(letter.isalpha() for letter in text):
        return False
    try:
        parse_gravity(text)
    except Unreadable:
        return True
    return False


def _kind(kind: str) -> Kind:
    return kind  # type: ignore[return-value]


def _key(option: Option) -> str:
    stem = option.name.replace("-", "_")
    kind = {"boiling or temperature": "temperature", "pot heat": "heat capacity"}.get(
        option.kind, option.kind
    )
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
