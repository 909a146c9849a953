"""Sums of a mash: strike, landing, addition, decoction, fire, drift, volumes, starch, enzyme power."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from mashday.reckon.given import TAP_CELSIUS, Given, Refused
from mashday.science import heat, losses, volumes, water
from mashday.science.heat import POURING_KELVIN
from mashday.science.limits import OutOfRange, within
from mashday.science.water import SPECIFIC_HEAT
from mashday.science.working import Line, Working, line
from mashday.science.workings import dough_in, mash, starch
from mashday.science.workings import pot as pots
from mashday.science.workings import volumes as waters

WETTEST_PRINTED = 0.08
"""Moisture up to which heats of hydration are printed. Pauls & Whites Brewing Room Book 1984/85."""

MALT_MOISTURE = 0.04
"""Moisture of kilned malt where none is told. Common practice (3-5 %), no source."""

ROOM_CELSIUS = 20.0
"""Room where none is told. An assumption, said in every answer that uses it."""

HEATER_EFFICIENCY = 0.8
"""Share of an electric hotplate's power that reaches the pot. US DOE cooktop tests as widely reported."""

USUAL_MASH_CELSIUS = (35.0, 80.0)
"""Outside it a mash is doubted. Common practice, no source."""

OPEN_MINUTES = 5.0
"""How long a slow dough-in leaves the lid off. Common practice, no source."""

MOST_ADDED = 0.4
"""Share of the mash's water beyond which an addition is worth a word. Judgement, no source."""

WEATHER_KELVIN = 1.0
"""How much higher than in standard air the weather lets water boil, K. Derived from IAPWS-IF97."""

USUAL_THICKNESS = 3.0
"""Water to grain where none is told, L/kg. Common practice (2.5-4), no source."""

FULL_SHARE = 0.72
"""How full a pot is taken to be where only its contents are known. Judgement, no source."""


class _Inside(NamedTuple):
    grain_kg: float
    water_litres: float
    water_kg: float
    grain_kj_per_k: float
    vessel_kj_per_k: float
    assumed: tuple[Line, ...]

    @property
    def mash_kj_per_k(self) -> float:
        return SPECIFIC_HEAT * self.water_kg + self.grain_kj_per_k

    @property
    def kj_per_k(self) -> float:
        return self.mash_kj_per_k + self.vessel_kj_per_k


def strike(given: Given) -> Working:
    """The strike water of a dough-in."""
    inside = _wet(_inside(given))
    made = dough_in.strike(
        target_celsius=given.number("target"),
        contents_kj_per_k=SPECIFIC_HEAT * inside.water_kg,
        boiling_celsius=_boiling(given),
        thickness_l_per_kg=volumes.thickness_l_per_kg(inside.water_litres, inside.grain_kg),
        **_dough_in(given, inside),
    )
    made = _assuming(made, *inside.assumed, *_hydrated(given), *_open_loss(given, inside))
    return _warned(made, inside, given.number("target"))


def landing(given: Given) -> Working:
    """Where a dough-in lands."""
    inside = _wet(_inside(given))
    made = dough_in.landing(
        contents_kj_per_k=SPECIFIC_HEAT * inside.water_kg,
        contents_celsius=_unboiled(given, "water temperature", given.number("water-temp")),
        **_dough_in(given, inside),
    )
    landed = made.answer
    assert isinstance(landed, float)
    return _warned(_assuming(made, *inside.assumed, *_hydrated(given)), inside, landed)


def addition(given: Given) -> Working:
    """Hot or cold water that brings a mash to a temperature."""
    inside = _inside(given)
    added = _unboiled(given, "temperature of the added water", given.poured("with", _boiling(given)))
    made = mash.addition(
        capacity_kj_per_k=inside.kj_per_k,
        from_celsius=given.number("from"),
        to_celsius=given.number("to"),
        with_celsius=added,
        mash=(inside.water_litres, inside.grain_kg),
    )
    boiled = given.asked.get("with_celsius") == "boiling"
    arrives = line("boiling water arrives {} below the boil", (POURING_KELVIN, "K"))
    tap = line("tap water has {}", (TAP_CELSIUS, "degC"))
    from_tap = given.asked.get("with_celsius") == "tap"
    told = (*((arrives,) if boiled else ()), *((tap,) if from_tap else ()))
    made = _assuming(made, *_vessel(inside), *inside.assumed, *told)
    kilograms = made.answer
    assert isinstance(kilograms, float)
    if kilograms > MOST_ADDED * inside.water_kg:
        much = line(
            "That is {} of the water in the mash: look whether the pot has room, and at the thickness.",
            (kilograms / inside.water_kg, "share"),
        )
        return replace(made, cautions=(much,))
    return made


def decoction(given: Given) -> Working:
    """Mash to pull, boil and give back."""
    inside = _inside(given)
    start = given.number("from")
    made = mash.decoction(
        capacity_kj_per_k=inside.kj_per_k,
        mash_kj_per_k=inside.mash_kj_per_k,
        mash_litres=volumes.mash_litres(inside.water_kg, inside.grain_kg, start),
        from_celsius=start,
        to_celsius=given.number("to"),
        return_celsius=_unboiled(
            given,
            "temperature of the returned pull",
            given.number("return", _boiling(given) - POURING_KELVIN),
        ),
    )
    return _assuming(made, *_vessel(inside), *inside.assumed)


def fire(given: Given) -> Working:
    """Minutes of fire."""
    inside = _inside(given)
    loss, assumed = _loss(given, inside)
    if not given.has("efficiency"):
        assumed += (
            line(
                "{} of the power reaches the pot; gas gives about half of that", (HEATER_EFFICIENCY, "share")
            ),
        )
    if not given.has("room"):
        assumed += (line("the room has {}", (ROOM_CELSIUS, "degC")),)
    made = pots.fire(
        capacity_kj_per_k=inside.kj_per_k,
        from_celsius=given.number("from"),
        to_celsius=_unboiled(given, "temperature to reach", given.number("to")),
        kilowatts=given.number("power"),
        efficiency=given.number("efficiency", HEATER_EFFICIENCY),
        loss_w_per_k=loss,
        room_celsius=given.number("room", ROOM_CELSIUS),
    )
    return _assuming(made, *_vessel(inside), *inside.assumed, *assumed)


def drift(given: Given) -> Working:
    """Where a standing mash is after a while."""
    inside = _inside(given)
    loss, assumed = _loss(given, inside)
    made = pots.drift(
        from_celsius=_unboiled(given, "temperature of the mash", given.number("at")),
        minutes=given.number("minutes"),
        capacity_kj_per_k=inside.kj_per_k,
        loss_w_per_k=loss,
        room_celsius=given.number("room"),
    )
    return _assuming(made, *_vessel(inside), *inside.assumed, *assumed)


def waters_of_the_day(given: Given) -> Working:
    """Waters for mash and sparge, and whether the mash fits."""
    return waters.waters(
        grain_kg=given.number("grain"),
        wash_litres=given.number("wash"),
        method=given.word("by"),
        pot_litres=given.maybe("pot"),
        dead_litres=given.number("dead-space", 0.0),
    )


def converted(given: Given) -> Working:
    """The starch after the temperatures held."""
    return _usual_thickness(
        given,
        starch.starch(
            _held(given),
            thickness_l_per_kg=given.number("thickness", USUAL_THICKNESS),
            crush=given.word("crush", "normal"),
        ),
    )


def next_move(given: Given) -> Working:
    """The best next move after an overshoot."""
    return _usual_thickness(
        given,
        starch.next_move(
            _held(given),
            thickness_l_per_kg=given.number("thickness", USUAL_THICKNESS),
            crush=given.word("crush", "normal"),
            grain_kg=given.maybe("grain"),
        ),
    )


def bottled(given: Given) -> Working:
    """Bottled enzyme for a mash."""
    if given.has("ph") and not given.has("at"):
        raise Refused("How warm is the mash? Its pH alone does not tell. Give it with --at.")
    return starch.bottled(given.word("kind"), given.number("grain"), given.maybe("at"), given.maybe("ph"))


def enzyme_power(given: Given) -> Working:
    """The enzyme power of a grist."""
    return starch.enzyme_power(given.parts("grain"))


def _held(given: Given) -> tuple[tuple[float, float], ...]:
    """Temperatures and the minutes they were held."""
    temperatures, minutes = given.numbers("at"), given.numbers("minutes")
    if len(temperatures) != len(minutes):
        raise Refused(
            f"--at stands {len(temperatures)} times and --minutes {len(minutes)} times. "
            "Give both for every stretch, in the order they were held."
        )
    return tuple(zip(temperatures, minutes, strict=True))


def _usual_thickness(given: Given, made: Working) -> Working:
    if given.has("thickness"):
        return made
    return _assuming(made, line("water and grain at {}", (USUAL_THICKNESS, "L/kg")))


def _inside(given: Given) -> _Inside:
    """What is in the pot."""
    grain_kg, litres = given.number("grain"), given.number("water")
    moisture = given.number("moisture", MALT_MOISTURE)
    assumed: tuple[Line, ...] = ()
    if grain_kg and not given.has("moisture"):
        assumed = (line("grain of {} moisture, as kilned malt has; raw grain has more", (moisture, "share")),)
    return _Inside(
        grain_kg,
        litres,
        water.mass_kg(litres),
        grain_kg * heat.grain_specific_heat(moisture),
        given.number("pot-heat", 0.0),
        (*assumed, line("the water is measured cold, at {}", (20.0, "degC"))),
    )


def _wet(inside: _Inside) -> _Inside:
    """What is in the pot, if its water can wet its grain."""
    grain_kg = within("grain mass", inside.grain_kg, 0.001, 1e4, "kg", "a mash has grain")
    thickness = inside.water_litres / grain_kg
    within(
        "thickness", thickness, volumes.THICKNESS_REFUSED, 40.0, "L/kg", "less water does not wet the grain"
    )
    return inside


def _warned(made: Working, inside: _Inside, mash_celsius: float) -> Working:
    """With a word on a mash that is hard to stir, unusually thin, or hardly meant so cool or hot."""
    told = list(waters.thickness_cautions(inside.water_litres / inside.grain_kg))
    low, high = USUAL_MASH_CELSIUS
    if not low <= mash_celsius <= high:
        told.append(line("A mash of {} is unusual: is the unit the one you meant?", (mash_celsius, "degC")))
    return replace(made, cautions=tuple(told))


def _open_loss(given: Given, inside: _Inside) -> tuple[Line, ...]:
    """What stirring in with the lid off would cost, where no loss was told."""
    if given.has("loss"):
        return ()
    pot_litres = volumes.mash_litres(inside.water_kg, inside.grain_kg, 65.0) / FULL_SHARE
    if not 1.0 <= pot_litres <= 1000.0:
        return ()
    surface = volumes.surface_m2(volumes.usual_diameter_metres(pot_litres))
    target = min(100.0, max(0.0, given.number("target")))
    kilojoules = losses.open_surface_watts(target, ROOM_CELSIUS, surface) * 0.06 * OPEN_MINUTES
    if kilojoules <= 0.0:
        return ()
    return (
        line(
            "stirred in fast: {} with the lid off would cost {}, or {} more in the water; --loss counts it",
            (OPEN_MINUTES, "min"),
            (kilojoules, "kJ"),
            (kilojoules / (SPECIFIC_HEAT * inside.water_kg + inside.vessel_kj_per_k), "K"),
        ),
    )


def _dough_in(given: Given, inside: _Inside) -> dict[str, float]:
    """The terms that strike and landing share."""
    moisture = given.number("moisture", MALT_MOISTURE)
    terms = {
        "grain_kj_per_k": inside.grain_kj_per_k,
        "grain_celsius": given.number("grain-temp"),
        "hydration_kj": inside.grain_kg * given.number("hydration", heat.hydration_heat(moisture)),
        "vessel_kj_per_k": inside.vessel_kj_per_k,
        "loss_kj": given.number("loss", 0.0),
    }
    if given.has("poured-into"):
        if inside.vessel_kj_per_k == 0.0:
            raise Refused("How much heat does the vessel it is poured into take up? Give it with --pot-heat.")
        terms["vessel_celsius"] = given.number("poured-into")
    return terms


def _hydrated(given: Given) -> tuple[Line, ...]:
    if given.has("hydration"):
        return ()
    moisture = given.number("moisture", MALT_MOISTURE)
    gives = line("wetted grain gives off {} by its moisture", (heat.hydration_heat(moisture), "kJ/kg"))
    if moisture > WETTEST_PRINTED:
        return (gives, line("above {} of moisture that is extrapolated", (WETTEST_PRINTED, "share")))
    return (gives, line("for malt {} to {} is plausible", (15.0, "kJ/kg"), (45.0, "kJ/kg")))


def _vessel(inside: _Inside) -> tuple[Line, ...]:
    return () if inside.vessel_kj_per_k else (Line("the vessel takes up no heat"),)


def _loss(given: Given, inside: _Inside) -> tuple[float, tuple[Line, ...]]:
    """Heat loss of the pot, and what was assumed of it."""
    if given.has("loss-rate"):
        return given.number("loss-rate"), ()
    loss = usual_loss_w_per_k(volumes.mash_litres(inside.water_kg, inside.grain_kg, 65.0))
    told = line(
        "a bare pot of this size with its lid on loses about {}; wrapped, a quarter of that", (loss, "W/K")
    )
    return loss, (told,)


def usual_loss_w_per_k(filled_litres: float) -> float:
    """Heat loss of a bare pot that holds so much, W/K; refused where no usual one is known."""
    try:
        return losses.loss_w_per_k(filled_litres / FULL_SHARE, False)
    except OutOfRange:
        raise Refused(
            "No usual heat loss is known for a pot of that size. Give it with --loss-rate."
        ) from None


def _unboiled(given: Given, quantity: str, celsius: float) -> float:
    """A temperature that water can have at this altitude, the weather allowed for."""
    boiling = _boiling(given) + WEATHER_KELVIN
    return within(quantity, celsius, -40.0, boiling, "degC", "water boils there at this altitude")


def _boiling(given: Given) -> float:
    return water.boiling_celsius(given.number("altitude", 0.0))


def _assuming(made: Working, *further: Line) -> Working:
    return replace(made, assumes=(*further, *made.assumes))
