"""The starch and pot models beside a general solver: how far apart, and how much faster.

    .venv/bin/python tests/bench/models.py [--quick]

An hour of mash at each of eleven temperatures for each crush, and a quarter of an hour of an open pot in
which the grain was just stirred in. The floor is the same equations in the hands of scipy's solve_ivp
(LSODA, relative error 1e-9, `tests/support/oracles.py`). How far apart the two may be is a promise of the
models' docstrings; the limits of the ratio are judgement: how much is gained by not asking a general
solver.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from oracles import exact_open_pot, exact_starch
from table import Row, Taken, alone, in_turn, milliseconds, seconds

from mashday.science import starch
from mashday.science.pot import PotTruth, SimulatedPot

CRUSHES = {"flour": 1.0, "fine": 0.22, "normal": 0.15, "coarse": 0.09}
TEMPERATURES = (50.0, 55.0, 58.0, 60.0, 62.0, 63.0, 65.0, 67.0, 70.0, 74.0, 78.0)
POINTS = {"flour": 0.6, "fine": 0.4, "normal": 0.4, "coarse": 0.4}
KELVIN = 0.02
POT_SECONDS = 900.0
ROUNDS, QUICK_ROUNDS = 51, 15
STARCH_LIMIT, POT_LIMIT = 0.5, 1.3


@dataclass(frozen=True, slots=True)
class Apart:
    """How far model and solver are apart, and may be at most."""

    seen: float
    most: float
    unit: str


def starch_row(crush: str, rounds: int) -> Row:
    """The largest difference over all temperatures, and the time at 63 C."""
    rate = CRUSHES[crush]

    def ours(celsius: float) -> starch.Starch:
        return starch.advance(starch.FRESH, celsius, 60.0, thickness_l_per_kg=3.0, crush=crush)

    def theirs(celsius: float) -> starch.Starch:
        return exact_starch(celsius, 60.0, 3.0, rate)

    apart = max(
        abs(ours(celsius).attenuation_limit_percent - theirs(celsius).attenuation_limit_percent)
        for celsius in TEMPERATURES
    )
    taken = in_turn(seconds(lambda: ours(63.0)), seconds(lambda: theirs(63.0)), rounds)
    return compared(f"starch, {crush}", taken, STARCH_LIMIT, Apart(apart, POINTS[crush], "points"))


def pot_row(rounds: int) -> Row:
    """The difference of mash and vessel at the end, and the time."""

    def filled() -> SimulatedPot:
        pot = SimulatedPot(PotTruth(), water_kg=17.0, mash_celsius=71.0, vessel_celsius=71.0, stirring=True)
        pot.lid_on = False
        pot.add_grain(8.5, 20.0, 107.0, 5.0)
        return pot

    pot = filled()
    start = (pot.mash_celsius, pot.vessel_celsius, pot.water_kg, pot.probe_celsius)
    theirs = exact_open_pot(PotTruth(), start, POT_SECONDS)
    pot.step(POT_SECONDS)
    apart = max(abs(pot.mash_celsius - theirs[0]), abs(pot.vessel_celsius - theirs[1]))
    solver = seconds(lambda: exact_open_pot(PotTruth(), start, POT_SECONDS))
    taken = in_turn(seconds(lambda: filled().step(POT_SECONDS)), solver, rounds)
    return compared("pot", taken, POT_LIMIT, Apart(apart, KELVIN, "K"))


def compared(name: str, taken: Taken, limit: float, apart: Apart) -> Row:
    """The row of one model."""
    return Row(
        f"{name} / solve_ivp",
        f"{milliseconds(taken.ours)}, {apart.seen:.4f} {apart.unit} apart",
        milliseconds(taken.floor),
        taken.ratio,
        limit,
        f"{apart.most:g} {apart.unit} apart",
        apart.seen <= apart.most,
    )


def rows(quick: bool = False) -> Iterator[Row]:
    """One a crush, and the pot."""
    rounds = QUICK_ROUNDS if quick else ROUNDS
    for crush in CRUSHES:
        yield starch_row(crush, rounds)
    yield pot_row(rounds)


if __name__ == "__main__":
    sys.exit(alone(rows, __doc__))
