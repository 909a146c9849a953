"""A result that shows its working: formula, numbers put in, steps between, assumptions, source.

A Working is made of numbers in the units of the science floor and becomes text only when it is read,
in metric or US units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from mashday.quantities import Kind, Units, in_units, show, unit_word

_KINDS: dict[str, tuple[Kind, int, int]] = {
    "degC": ("temperature", 1, 1),
    "K": ("temperature difference", 1, 1),
    "kg": ("mass", 2, 2),
    "L": ("volume", 2, 2),
    "min": ("time", 1, 1),
    "kW": ("power", 2, 2),
    "W/K": ("heat loss", 2, 2),
    "kJ/K": ("heat capacity", 2, 2),
    "kJ": ("heat", 1, 1),
    "kJ/kg": ("specific heat", 1, 1),
    "kJ/(kg K)": ("specific heat capacity", 2, 3),
    "m": ("length", 0, 0),
    "L/kg": ("thickness", 2, 2),
    "L/min": ("flow", 2, 2),
    "Lintner": ("diastatic power", 0, 0),
    "share": ("share", 1, 1),
}
"""Units of the science floor that people read in their own: kind, metric and US decimals."""

_DECIMALS = {
    "Plato": 2,
    "SG": 4,
    "kg/kg": 2,
    "kg/m3": 2,
    "% vol": 2,
    "% mass": 2,
    "%": 1,
    "g": 1,
    "L/h": 2,
    "kPa": 2,
}
_GALLON_LITRES = 231 * 0.254**3
_IN_US_UNITS = {
    "kg/kg": ("lb/lb", 1.0),
    "L/h": ("gal/h", _GALLON_LITRES),
    "kg/m3": ("lb/gal", 0.45359237 / _GALLON_LITRES * 1000.0),
    "kPa": ("inHg", 3.386389),
}
"""Further units that change for US readers: the word, and its size. The US gallon is 231 cubic inches; the
conventional inch of mercury is that of NIST SP 811, appendix B.8."""
_BARE = {"SG"}


LONGEST_IN_MINUTES = 180.0
"""Minutes from which a time is told in hours."""


class Amount(NamedTuple):
    """A number and its unit of the science floor; "share" is a fraction of 1, read as per cent."""

    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number put in, by the letter it has in the formula."""

    name: str
    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence with amounts in it, each where a pair of braces stands."""

    text: str
    amounts: tuple[Amount, ...] = ()


def line(text: str, *amounts: tuple[float, str]) -> Line:
    """A sentence with its amounts, in order: line("heat wanted = {}", (12.0, "kJ"))."""
    return Line(text, tuple(Amount(*one) for one in amounts))


@dataclass(frozen=True, slots=True)
class Answer:
    """One result: the key it has for programs, its name for people, its value.

    A value of None is null to programs and `otherwise` to people.
    """

    key: str
    name: str
    value: float | str | bool | None
    unit: str = ""
    about: bool = False
    otherwise: str = "none"


@dataclass(frozen=True, slots=True)
class Working:
    """Results and how they came about. The first answer is the one asked for."""

    answers: tuple[Answer, ...]
    formulas: tuple[str, ...]
    inputs: tuple[Figure, ...]
    steps: tuple[Line, ...]
    assumes: tuple[Line, ...]
    source: str
    cautions: tuple[Line, ...] = ()

    @property
    def answer(self) -> float | str | bool | None:
        """The result asked for, in the unit of the science floor."""
        return self.answers[0].value

    def lines(self, units: Units = "metric") -> tuple[str, ...]:
        """The whole of it in plain lines, answers first."""
        return (
            *self.answer_lines(units),
            *self.working_lines(units),
            *(f"assumes: {one}" for one in self.assumed_lines(units)),
            f"source: {self.source}",
        )

    def answer_lines(self, units: Units = "metric") -> tuple[str, ...]:
        """Each answer in a line."""
        return tuple(f"{one.name}: {answered(one, units)}" for one in self.answers)

    def working_lines(self, units: Units = "metric") -> tuple[str, ...]:
        """Formulas, numbers put in and steps between, one a line."""
        return (
            *self.formulas,
            *(f"{one.name} = {told(one.value, one.unit, units)}" for one in self.inputs),
            *(filled(one, units) for one in self.steps),
        )

    def assumed_lines(self, units: Units = "metric") -> tuple[str, ...]:
        """Each assumption in a line."""
        return tuple(filled(one, units) for one in self.assumes)

    def caution_lines(self, units: Units = "metric") -> tuple[str, ...]:
        """Each caution in a line."""
        return tuple(filled(one, units) for one in self.cautions)


def told(value: float, unit: str = "", units: Units = "metric") -> str:
    """A number with its unit as this person reads it, rounded as the unit is used in practice."""
    if math.isinf(value):
        return "never"
    if unit == "min" and value >= LONGEST_IN_MINUTES:
        return f"{value // 60.0:.0f} h {value % 60.0:.0f} min"
    if unit in _KINDS:
        kind, metric_digits, us_digits = _KINDS[unit]
        return show(value, kind, units, metric_digits if units == "metric" else us_digits)
    if unit in _DECIMALS:
        word, size = _IN_US_UNITS.get(unit, (unit, 1.0)) if units == "us" else (unit, 1.0)
        number = f"{value / size:.{_DECIMALS[unit]}f}"
        return number if unit in _BARE else f"{number} {word}"
    return f"{value:.4g} {unit}".rstrip()


def plainly(value: float, unit: str = "", units: Units = "metric") -> str:
    """A number with its unit in as many digits as it has, as a limit is told: "12.5 C", "0.25 kW"."""
    if unit in _KINDS and math.isfinite(value):
        kind = _KINDS[unit][0]
        return f"{_digits(in_units(value, kind, units))} {unit_word(kind, units)}"
    return f"{_digits(value)} {unit}".rstrip()


def _digits(value: float) -> str:
    return f"{value:.0f}" if 1e3 <= abs(value) < 1e15 else f"{value:.5g}"


def answered(answer: Answer, units: Units = "metric") -> str:
    """The value of an answer as this person reads it."""
    if answer.value is None:
        return answer.otherwise
    if isinstance(answer.value, bool):
        return "yes" if answer.value else "no"
    if isinstance(answer.value, str):
        return answer.value
    said = told(answer.value, answer.unit, units)
    return f"about {said}" if answer.about else said


def filled(one: Line, units: Units = "metric") -> str:
    """A sentence with its amounts filled in."""
    return one.text.format(*(told(amount.value, amount.unit, units) for amount in one.amounts))
