"""The model of a schedule: what the day should be, loaded once and never changed.

Each field has the name its value carries in the code (with its unit) and, as alias, the key it has in
the file. Temperatures are in Celsius, volumes in litres, masses in kilograms, times in minutes.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from mashday.schedule.fields import (
    Amount,
    BoilingOrCelsius,
    CalibratedCelsius,
    Celsius,
    Centimetres,
    Extract,
    GrainCelsius,
    Gravity,
    HotCelsius,
    Kelvin,
    Kilograms,
    Kilowatts,
    LimitKelvin,
    Lintner,
    Litres,
    LitresPerKilogram,
    LongText,
    Metres,
    Minutes,
    Moisture,
    Name,
    PotKilograms,
    PotLitres,
    RoomCelsius,
    Share,
    WattsPerKelvin,
)
from mashday.schedule.probe_fields import (
    Baud,
    Command,
    Device,
    LagSeconds,
    Location,
    OneWire,
    Pattern,
    Port,
    Slope,
    StaleSeconds,
    Topic,
)

Units = Literal["metric", "us"]
Crush = Literal["flour", "fine", "normal", "coarse"]
Separation = Literal["squeezed bag", "hung bag", "drained", "batch sparge", "on the grain"]
Cooling = Literal["coil", "ice bath", "cold water", "ice", "standing"]
Raising = Literal["hot water", "fire", "decoction"]
ThermometerKind = Literal["digital", "dial", "glass", "Pt100", "thermocouple"]
Material = Literal["stainless steel", "aluminium", "copper", "enamelled steel", "cast iron", "plastic"]

OTHER_GRAIN_TEMPERATURE = 18.0
"""Grain temperature where the schedule names none, Celsius. Common practice, no source."""


class Part(BaseModel):
    """A table of the schedule: frozen, keys by alias, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=False, strict=True)


class Pot(Part):
    """The vessel the mash stands in."""

    name: Name = "pot"
    volume_litres: PotLitres = Field(alias="volume")
    mass_kg: PotKilograms | None = Field(default=None, alias="mass")
    material: Material = "stainless steel"
    wrapped: bool = False
    water_heated_in_it: bool = True
    heater_kilowatts: Kilowatts | None = Field(default=None, alias="heater")
    heater_efficiency: Share = 0.8
    diameter_cm: Centimetres | None = Field(default=None, alias="diameter")
    dead_space_litres: Litres = Field(default=0.0, alias="dead_space")
    loss_w_per_k: WattsPerKelvin | None = Field(default=None, alias="loss_rate")
    lid: bool = True
    starts_at_celsius: Celsius | None = Field(default=None, alias="starts_at")


class Place(Part):
    """Where the day is held."""

    room_celsius: RoomCelsius = Field(default=20.0, alias="room")
    tap_celsius: RoomCelsius = Field(default=12.0, alias="tap")
    altitude_metres: Metres = Field(default=0.0, alias="altitude")


class Thermometer(Part):
    """The thermometer and what is known of its worth; `offset` is what it shows too much."""

    kind: ThermometerKind = "digital"
    offset_kelvin: Kelvin = Field(default=0.0, alias="offset")
    limit_kelvin: LimitKelvin | None = Field(default=None, alias="limit")
    checked_at: Name | None = None


class Probe(Part):
    """A thermometer the program reads by itself, from just one of the first five.

    Shown = offset + slope * true. `unit` is that of a number without one, `lag_seconds` None a lag not known.
    """

    command: Command | None = None
    file: Location | None = None
    one_wire: OneWire | None = None
    serial: Device | None = None
    mqtt: Topic | None = None
    baud: Baud = 9600
    port: Port = 1883
    unit: Literal["C", "F"] = "C"
    pattern: Pattern | None = None
    offset_kelvin: Kelvin = Field(default=0.0, alias="offset")
    slope: Slope = 1.0
    lag_seconds: LagSeconds | None = Field(default=None, alias="lag")
    stale_seconds: StaleSeconds = Field(default=60.0, alias="stale")


class Hydrometer(Part):
    """The hydrometer and the temperature its scale is true at."""

    calibrated_celsius: CalibratedCelsius = Field(default=20.0, alias="calibrated")


class Refractometer(Part):
    """The refractometer and the factor that turns its Brix into Plato of wort."""

    factor: Annotated[float, Field(ge=0.9, le=1.2)] = 1.04


class Spare(Part):
    """The second kettle, kept for corrections."""

    water_litres: Litres = Field(alias="water")
    temperature_celsius: BoilingOrCelsius = Field(default=None, alias="temperature")


class Container(Part):
    """Something at hand that amounts are also told in."""

    name: Name
    volume_litres: Litres = Field(alias="volume")


class Grain(Part):
    """One grain of the bill; figures left out come from the grain table."""

    name: Name
    kind: Name
    mass_kg: Kilograms = Field(alias="mass")
    temperature_celsius: GrainCelsius = Field(default=OTHER_GRAIN_TEMPERATURE, alias="temperature")
    crush: Crush = "normal"
    extract_dry: Extract | None = Field(default=None, alias="extract")
    moisture: Moisture | None = None
    lintner: Lintner | None = Field(default=None, alias="diastatic_power")
    gelatinises_celsius: Celsius | None = Field(default=None, alias="gelatinises")
    needs_cook: bool | None = None
    cooked: bool = False


class Aim(Part):
    """What is hoped for in the fermenter."""

    wash_litres: Litres | None = Field(default=None, alias="wash")
    gravity: Gravity | None = None


class StepPart(Part):
    """What every step may carry."""

    title: Name | None = None
    checklist: tuple[LongText, ...] = ()
    if_it_goes_wrong: tuple[LongText, ...] = ()
    style: Literal["read-do", "do-confirm"] | None = None
    confirm: bool | None = None


class SetUp(StepPart):
    """Laying everything out."""

    kind: Literal["set-up"]


class Heat(StepPart):
    """Heating water; without a target, to the strike temperature of the dough-in that follows."""

    kind: Literal["heat"]
    water_litres: Litres = Field(alias="water")
    target_celsius: HotCelsius | None = Field(default=None, alias="target")
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class DoughIn(StepPart):
    """Stirring grain in; `grain` left out means all that is not yet in and no other step takes."""

    kind: Literal["dough-in"]
    target_celsius: Celsius = Field(alias="target")
    grain: tuple[Name, ...] | None = None
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class Rest(StepPart):
    """Holding the mash at a temperature."""

    kind: Literal["rest"]
    target_celsius: Celsius = Field(alias="target")
    minutes: Minutes = Field(alias="time")
    read_every_minutes: Minutes | None = Field(default=None, alias="read_every")
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class Cook(StepPart):
    """Cooking raw cereal; its time begins when it has come to temperature."""

    kind: Literal["cook"]
    target_celsius: HotCelsius = Field(alias="target")
    minutes: Minutes = Field(alias="time")
    grain: tuple[Name, ...] | None = None
    water_litres: Litres | None = Field(default=None, alias="water")
    read_every_minutes: Minutes | None = Field(default=None, alias="read_every")
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class Raise(StepPart):
    """Bringing the mash up to the next temperature."""

    kind: Literal["raise"]
    target_celsius: Celsius = Field(alias="target")
    by: Raising | None = None
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class MashOut(StepPart):
    """Bringing the mash up to where its enzymes stop."""

    kind: Literal["mash-out"]
    target_celsius: Celsius = Field(default=76.0, alias="target")
    by: Raising | None = None
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class StarchCheck(StepPart):
    """The iodine drop, asked again until it passes."""

    kind: Literal["starch-check"]
    retry_minutes: Minutes = Field(default=15.0, alias="retry")


class Separate(StepPart):
    """Parting wort and grain, or leaving them together."""

    kind: Literal["separate"]
    by: Separation
    sparge_litres: Litres = Field(default=0.0, alias="sparge")
    sparge_celsius: HotCelsius | None = Field(default=None, alias="sparge_temperature")
    absorption_litres_per_kg: LitresPerKilogram | None = Field(default=None, alias="absorption")


class Boil(StepPart):
    """Boiling the wort; its time begins when it boils."""

    kind: Literal["boil"]
    minutes: Minutes = Field(alias="time")


class Cool(StepPart):
    """Bringing wort or mash down."""

    kind: Literal["cool"]
    target_celsius: Celsius | None = Field(default=None, alias="target")
    by: Cooling = "standing"
    read_every_minutes: Minutes | None = Field(default=None, alias="read_every")
    band_kelvin: Kelvin | None = Field(default=None, alias="band")


class Add(StepPart):
    """Putting something in, where needed only below or above a temperature."""

    kind: Literal["add"]
    what: Name
    amount: Amount | None = None
    above_celsius: HotCelsius | None = Field(default=None, alias="above")
    below_celsius: HotCelsius | None = Field(default=None, alias="below")


class Pitch(StepPart):
    """Adding the yeast."""

    kind: Literal["pitch"]
    yeast: Name = "yeast"
    amount: Amount | None = None


class CleanUp(StepPart):
    """Clearing up while it is still wet."""

    kind: Literal["clean-up"]


class Do(StepPart):
    """Anything else, in the person's own words."""

    kind: Literal["do"]
    text: LongText


Step = Annotated[
    SetUp
    | Heat
    | DoughIn
    | Rest
    | Cook
    | Raise
    | MashOut
    | StarchCheck
    | Separate
    | Boil
    | Cool
    | Add
    | Pitch
    | CleanUp
    | Do,
    Field(discriminator="kind"),
]


class Schedule(Part):
    """A whole day. Steps are numbered from 1 in the order of `steps`."""

    format: Literal[1]
    name: Name
    notes: LongText | None = None
    units: Units = "metric"
    hands_free: bool = False
    pot: Pot
    place: Place = Place()
    thermometer: Thermometer = Thermometer()
    probe: Probe | None = None
    hydrometer: Hydrometer = Hydrometer()
    refractometer: Refractometer | None = None
    spare: Spare | None = None
    containers: tuple[Container, ...] = Field(default=(), alias="container")
    grains: tuple[Grain, ...] = Field(default=(), alias="grain", max_length=20)
    aim: Aim = Aim()
    steps: tuple[Step, ...] = Field(alias="step", min_length=1, max_length=60)

    def step(self, number: int) -> Step:
        """The step with this number, counted from 1."""
        return self.steps[number - 1]

    def grain_named(self, name: str) -> Grain:
        """The grain of the bill with this name; KeyError if there is none."""
        for grain in self.grains:
            if grain.name == name:
                return grain
        raise KeyError(name)

    def grain_into(self, number: int) -> tuple[Grain, ...]:
        """The grain that goes in at step `number`: as named there, or all that no step names."""
        step = self.step(number)
        if not isinstance(step, DoughIn | Cook):
            return ()
        if step.grain is not None:
            return tuple(self.grain_named(name) for name in step.grain)
        named = {
            name for other in self.steps if isinstance(other, DoughIn | Cook) for name in other.grain or ()
        }
        takers = [n for n, s in enumerate(self.steps, 1) if isinstance(s, DoughIn | Cook) and s.grain is None]
        if takers[0] != number:
            return ()
        return tuple(grain for grain in self.grains if grain.name not in named)

    def confirms(self, number: int) -> bool:
        """True if the person moves on from step `number`; false if the next begins by itself.

        Unless the schedule says so, only a timed rest or cook goes on by itself, and only into a raise,
        a mash-out, a starch check or another rest of the same target.
        """
        step = self.step(number)
        if step.confirm is not None:
            return step.confirm
        if not isinstance(step, Rest | Cook) or number == len(self.steps):
            return True
        following = self.step(number + 1)
        if isinstance(following, Raise | MashOut | StarchCheck):
            return False
        return not (isinstance(following, Rest) and following.target_celsius == step.target_celsius)
