"""Working of the waters of a day: mash and sparge, and whether the mash fits the pot."""

from __future__ import annotations

from mashday.science import volumes, water
from mashday.science.limits import within
from mashday.science.working import Answer, Figure, Line, Working, line


def waters(
    *,
    grain_kg: float,
    wash_litres: float,
    method: str,
    pot_litres: float | None = None,
    mash_celsius: float = 65.0,
    dead_litres: float = 0.0,
) -> Working:
    """Waters in cold litres that leave so much wash by a way of separating, and the room they take.

    volumes.water_split with the absorption of the method; a batch sparge is split in two, and where the
    mash would not fit, water is moved to the sparge as far as the thickness allows.
    """
    absorbed = volumes.absorption(method)
    sparged = method == "batch sparge"
    most = _most_mash_litres(pot_litres, grain_kg, mash_celsius) if sparged else None
    split = volumes.water_split(
        wash_litres=wash_litres,
        grain_kg=grain_kg,
        absorption_l_per_kg=absorbed,
        dead_litres=dead_litres,
        sparge=sparged,
        most_mash_litres=most,
    )
    in_pot = volumes.mash_litres(water.mass_kg(split.mash_litres), grain_kg, mash_celsius)
    thickness = within(
        "thickness of the mash",
        volumes.thickness_l_per_kg(split.mash_litres, grain_kg),
        volumes.THICKNESS_REFUSED,
        40.0,
        "L/kg",
        "less water does not wet the grain: take less grain, more wash or a larger pot",
    )
    fits = None
    steps = [
        line("the grain keeps {}: {}", (absorbed, "L/kg"), (absorbed * grain_kg, "L")),
        line("grain takes up {} in the mash", (volumes.DISPLACEMENT, "L/kg")),
        line("thickness {}", (thickness, "L/kg")),
    ]
    inputs = [Figure("grain", grain_kg, "kg"), Figure("wash", wash_litres, "L")]
    if pot_litres is not None:
        room = pot_litres - volumes.headroom_litres(pot_litres)
        fits = in_pot <= room
        inputs.append(Figure("pot", pot_litres, "L"))
        steps.append(line("the pot takes {} and leaves room to stir", (room, "L")))
        if not fits:
            most = volumes.largest_grain_kg(usable_litres=room, thickness=thickness, celsius=mash_celsius)
            steps.append(line("that is {} too much", (in_pot - room, "L")))
            steps.append(line("as thick as this, {} of grain would fit", (most, "kg")))
    return Working(
        answers=(
            Answer("mash_litres", "water for the mash", split.mash_litres, "L"),
            Answer("sparge_litres", "water for the sparge", split.sparge_litres, "L"),
            Answer("total_litres", "water in all", split.total_litres, "L"),
            Answer("in_pot_litres", "mash in the pot", in_pot, "L"),
            Answer("fits", "fits the pot", fits, otherwise="not asked: name the pot"),
        ),
        formulas=(
            "mash + sparge = wash + absorption * grain + dead space",
            "in the pot = water at mash temperature + displacement * grain",
        ),
        inputs=tuple(inputs),
        steps=tuple(steps),
        assumes=_assumed(method, mash_celsius, dead_litres),
        source=(
            "volume balance; absorption and displacement: common practice "
            "(drained: Owens, Craft of Whiskey Distilling, p. 25)"
        ),
        cautions=(*thickness_cautions(thickness), *_heavy(water.mass_kg(split.mash_litres) + grain_kg)),
    )


def _most_mash_litres(pot_litres: float | None, grain_kg: float, celsius: float) -> float | None:
    if pot_litres is None:
        return None
    room = pot_litres - volumes.headroom_litres(pot_litres) - volumes.DISPLACEMENT * grain_kg
    return water.litres(max(0.0, room) * water.density(celsius), 20.0)


def _assumed(method: str, mash_celsius: float, dead_litres: float) -> tuple[Line, ...]:
    assumed = [line("volumes are cold; the mash stands at {}", (mash_celsius, "degC"))]
    if dead_litres == 0.0:
        assumed.append(Line("nothing stays behind in pipes or under a false bottom"))
    if method == "on the grain":
        assumed.append(Line("nothing is parted: grain and wash go into the fermenter together"))
    elif method == "batch sparge":
        assumed.append(Line("two runnings of the same size, each drained fully"))
    else:
        assumed.append(Line("no rinsing: all the water goes into the mash"))
    return tuple(assumed)


HEAVIEST_LIFT_KG = 23.0
"""What one person may lift at best. NIOSH lifting equation (1994): 51 lb."""


def _heavy(mash_kg: float) -> tuple[Line, ...]:
    if mash_kg <= HEAVIEST_LIFT_KG:
        return ()
    return (
        line("The mash weighs {} without its pot: never lift it alone, drain it first.", (mash_kg, "kg")),
    )


def thickness_cautions(thickness: float) -> tuple[Line, ...]:
    """What to say of a mash of so many L/kg; nothing of a usual one. Limits of science.volumes."""
    if thickness < volumes.THICKNESS_HARD_TO_STIR:
        return (
            line(
                "{} is too thick to stir by hand: take less grain or more water, at least {}.",
                (thickness, "L/kg"),
                (volumes.THICKNESS_HARD_TO_STIR, "L/kg"),
            ),
        )
    low, high = volumes.THICKNESS_USUAL
    if not low <= thickness <= high:
        return (line("{} is unusual: {} to {} is met.", (thickness, "L/kg"), (low, "L/kg"), (high, "L/kg")),)
    return ()
