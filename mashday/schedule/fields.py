"""The types of a schedule's values: what may be written for each, and the float or text it becomes."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from mashday.quantities import EXAMPLES, GRAVITY_EXAMPLES, Kind, Unreadable, parse, parse_gravity
from mashday.science.gravity import gravity
from mashday.science.limits import OutOfRange
from mashday.text import cleaned, problem, quoted

REFUSED = "refused"
"""The error type under which a value refused here carries `found` and `remedy` in its context."""

BOILING_CELSIUS = 100.0
"""What the word "boiling" loads as: 100 C, and so the boiling point wherever that is lower."""


def described(value: object) -> str:
    """A value of a TOML file in words and plain ASCII, for an error message."""
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            written = repr(value)
            return f"the number {written if len(written) <= 40 else written[:37] + '...'}"
        case str():
            return quoted(value)
        case list() | tuple():
            return "a list"
        case dict():
            return "a table"
    return "a date or clock time"


def choice(examples: tuple[str, ...]) -> str:
    """The examples as alternatives, each in quotation marks."""
    marked = [f'"{example}"' for example in examples]
    return marked[0] if len(marked) == 1 else f"{', '.join(marked[:-1])} or {marked[-1]}"


def refusal(found: str, remedy: str) -> PydanticCustomError:
    """The error that carries what was found and what would do to the door."""
    return PydanticCustomError(REFUSED, "{found}; {remedy}", {"found": found, "remedy": remedy})


@dataclass(frozen=True, slots=True)
class Written(ABC):
    """A value written as text and read by `read`; the base of the types below."""

    @abstractmethod
    def read(self, value: object) -> object:
        """The value it stands for; a `refusal` if there is none."""

    @abstractmethod
    def described_as(self) -> JsonSchemaValue:
        """What may be written, as JSON Schema."""

    @abstractmethod
    def example(self) -> str:
        """One way to write it, as it would stand in the file."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return self.described_as()


@dataclass(frozen=True, slots=True)
class Quantity(Written):
    """A quantity of one kind, `low` to `high` in `unit`, as a float in that unit.

    `per_unit` is how many of `unit` make one of the program's own. A word of `words` stands for its value.
    """

    kind: Kind
    unit: str
    low: float
    high: float
    per_unit: float = 1.0
    words: Mapping[str, float | None] = field(default_factory=dict, hash=False)
    examples: tuple[str, ...] = ()

    def read(self, value: object) -> float | None:
        if isinstance(value, str) and value.strip().casefold() in self.words:
            return self.words[value.strip().casefold()]
        number = self._number(value)
        if self.low <= number <= self.high:
            return float(number)
        raise refusal(
            f"{described(value)} is not from {self._span()}",
            f"write a {self.kind} within that, such as {choice(self._examples())}",
        )

    def _number(self, value: object) -> float:
        if isinstance(value, int | float) and not isinstance(value, bool):
            return self._bare(value)
        if not isinstance(value, str):
            raise refusal(
                f"{described(value)} is not a {self.kind}",
                f"write it as text with its unit, such as {choice(self._examples())}",
            )
        try:
            return parse(value, self.kind) * self.per_unit
        except Unreadable as error:
            raise refusal(error.found, error.remedy) from error

    def _bare(self, value: float) -> float:
        if self.kind == "share" and not 1 < value <= 100:
            return value
        try:
            return parse(repr(value), self.kind)
        except Unreadable as error:
            unit_would_do = -1e9 < value < 1e9 and self.kind != "share"
            lack = "has no unit" if unit_would_do else f"is not a {self.kind}"
            raise refusal(f"{described(value)} {lack}", error.remedy) from error

    def _span(self) -> str:
        return f"{self.low:g} to {self.high:g} {self.unit}".strip()

    def _examples(self) -> tuple[str, ...]:
        return (self.examples or EXAMPLES[self.kind]) + tuple(self.words)

    def described_as(self) -> JsonSchemaValue:
        return {
            "type": ["string", "number"] if self.kind == "share" else "string",
            "description": f"A {self.kind} from {self._span()}, with its unit.",
            "examples": list(self._examples()),
        }

    def example(self) -> str:
        return f'"{self._examples()[0]}"'


@dataclass(frozen=True, slots=True)
class GravityText(Written):
    """A gravity as specific gravity, Plato or Brix, `low` to `high`, as a specific gravity."""

    low: float
    high: float

    def read(self, value: object) -> float:
        number = self._gravity(value)
        if self.low <= number <= self.high:
            return number
        raise refusal(
            f"{described(value)} is not from {self.low:g} to {self.high:g}",
            f"write a gravity within that, such as {choice(GRAVITY_EXAMPLES)}",
        )

    def _gravity(self, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise refusal(
                f"{described(value)} is not a gravity", f"write for example {choice(GRAVITY_EXAMPLES)}"
            )
        try:
            number, scale = parse_gravity(value if isinstance(value, str) else repr(value))
        except Unreadable as error:
            raise refusal(error.found, error.remedy) from error
        try:
            return number if scale == "SG" else gravity(number)
        except OutOfRange as error:
            raise refusal(
                f"{described(value)} is no gravity of wort", f"write for example {choice(GRAVITY_EXAMPLES)}"
            ) from error

    def described_as(self) -> JsonSchemaValue:
        return {
            "type": ["string", "number"],
            "description": f"A gravity from {self.low:g} to {self.high:g}, or the same in Plato or Brix.",
            "examples": list(GRAVITY_EXAMPLES),
        }

    def example(self) -> str:
        return f'"{GRAVITY_EXAMPLES[0]}"'


@dataclass(frozen=True, slots=True)
class Words(Written):
    """Text on one line, at most `limit` characters, cleaned."""

    limit: int
    examples: tuple[str, ...]

    def read(self, value: object) -> str:
        if not isinstance(value, str):
            raise refusal(
                f"{described(value)} is not text",
                f"put it in quotation marks, such as {choice(self.examples)}",
            )
        reason = problem(value, self.limit)
        if reason is not None:
            raise refusal(
                f"{described(value)} {reason}",
                f"write it on one line in at most {self.limit} plain characters",
            )
        return cleaned(value, self.limit)

    def described_as(self) -> JsonSchemaValue:
        return {"type": "string", "minLength": 1, "maxLength": self.limit, "examples": list(self.examples)}

    def example(self) -> str:
        return f'"{self.examples[0]}"'


Celsius = Annotated[float, Quantity("temperature", "C", 0.0, 100.0)]
HotCelsius = Annotated[float, Quantity("temperature", "C", 0.0, 100.0, words={"boiling": BOILING_CELSIUS})]
"""A temperature, or the word "boiling" for `BOILING_CELSIUS`."""
BoilingOrCelsius = Annotated[float | None, Quantity("temperature", "C", 0.0, 100.0, words={"boiling": None})]
"""A temperature, or the word "boiling" for None: whatever the boiling point is."""
# The ranges from here on are those the science floor reckons with: what it cannot is refused at the door.
RoomCelsius = Annotated[float, Quantity("temperature", "C", 0.0, 60.0)]
CalibratedCelsius = Annotated[float, Quantity("temperature", "C", 0.0, 40.0)]
GrainCelsius = Annotated[float, Quantity("temperature", "C", 0.0, 90.0)]
Kelvin = Annotated[float, Quantity("temperature difference", "K", -20.0, 20.0)]
LimitKelvin = Annotated[float, Quantity("temperature difference", "K", 0.0, 15.0)]
Kilograms = Annotated[float, Quantity("mass", "kg", 0.001, 500.0)]
PotKilograms = Annotated[float, Quantity("mass", "kg", 0.001, 100.0)]
Litres = Annotated[float, Quantity("volume", "L", 0.0, 1000.0)]
PotLitres = Annotated[float, Quantity("volume", "L", 3.0, 300.0)]
Minutes = Annotated[float, Quantity("time", "min", 0.1, 1440.0)]
Kilowatts = Annotated[float, Quantity("power", "kW", 0.0, 50.0)]
WattsPerKelvin = Annotated[float, Quantity("heat loss", "W/K", 0.0, 200.0)]
Metres = Annotated[float, Quantity("length", "m", -500.0, 6000.0)]
Centimetres = Annotated[
    float, Quantity("length", "cm", 1.0, 200.0, per_unit=100.0, examples=("36 cm", "14 in"))
]
Share = Annotated[float, Quantity("share", "", 0.0, 1.0)]
Extract = Annotated[float, Quantity("share", "", 0.3, 1.0)]
Moisture = Annotated[float, Quantity("share", "", 0.0, 0.2)]
LitresPerKilogram = Annotated[float, Quantity("thickness", "L/kg", 0.0, 3.0)]
Lintner = Annotated[float, Quantity("diastatic power", "Lintner", 0.0, 300.0)]
Gravity = Annotated[float, GravityText(0.98, 1.19)]
Name = Annotated[str, Words(60, ("Lock Seven",))]
Amount = Annotated[str, Words(60, ("16 g", "5 mL", "2 sachets"))]
LongText = Annotated[str, Words(500, ("stir down to the bottom",))]
