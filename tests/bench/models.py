"""The starch and pot models against a general solver: how far apart, and how much faster.

    .venv/bin/python tests/bench/models.py

Exits 1 when a model is further from the solver than its docstring says or not at least as fast.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from oracles import exact_open_pot, exact_starch

from mashday.science import starch
from mashday.science.pot import PotTruth, SimulatedPot

CRUSHES = {"flour": 1.0, "fine": 0.22, "normal": 0.15, "coarse": 0.09}
TEMPERATURES = (50.0, 55.0, 58.0, 60.0, 62.0, 63.0, 65.0, 67.0, 70.0, 74.0, 78.0)
POINTS = {"flour": 0.6, "fine": 0.4, "normal": 0.4, "coarse": 0.4}
KELVIN = 0.02
SECONDS = 900.0


def milliseconds(work: Callable[[], object], times: int = 7) -> float:
    """Median time of one call, ms."""
    taken = []
    for _ in range(times):
        began = perf_counter()
        work()
        taken.append(1000.0 * (perf_counter() - began))
    return median(taken)


def starch_rows() -> bool:
    """An hour at each temperature, for each crush."""
    good = True
    print("starch, 60 min at 50-78 C, 3 L/kg: largest difference from LSODA, and time")
    for crush, rate in CRUSHES.items():
        converted = attenuation = 0.0
        for celsius in TEMPERATURES:
            ours = starch.advance(starch.FRESH, celsius, 60.0, thickness_l_per_kg=3.0, crush=crush)
            theirs = exact_starch(celsius, 60.0, 3.0, rate)
            converted = max(converted, abs(ours.released - theirs.released))
            attenuation = max(
                attenuation, abs(ours.attenuation_limit_percent - theirs.attenuation_limit_percent)
            )
        mine = milliseconds(
            lambda crush=crush: starch.advance(starch.FRESH, 63.0, 60.0, thickness_l_per_kg=3.0, crush=crush)
        )
        solver = milliseconds(lambda rate=rate: exact_starch(63.0, 60.0, 3.0, rate))
        good = good and attenuation <= POINTS[crush] and solver >= mine
        print(
            f"  {crush:7} converted {converted:.5f}  attenuation {attenuation:.2f} points  "
            f"{mine:.2f} ms against {solver:.2f} ms: {solver / mine:.0f} times as fast"
        )
    return good


def pot_row() -> bool:
    """A quarter of an hour of an open pot in which the grain was just stirred in."""

    def filled() -> SimulatedPot:
        pot = SimulatedPot(PotTruth(), water_kg=17.0, mash_celsius=71.0, vessel_celsius=71.0, stirring=True)
        pot.lid_on = False
        pot.add_grain(8.5, 20.0, 107.0, 5.0)
        return pot

    pot = filled()
    start = (pot.mash_celsius, pot.vessel_celsius, pot.water_kg, pot.probe_celsius)
    theirs = exact_open_pot(PotTruth(), start, SECONDS)
    pot.step(SECONDS)
    apart = max(abs(pot.mash_celsius - theirs[0]), abs(pot.vessel_celsius - theirs[1]))
    mine = milliseconds(lambda: filled().step(SECONDS))
    solver = milliseconds(lambda: exact_open_pot(PotTruth(), start, SECONDS))
    print("pot, 15 min open after dough-in: largest difference from LSODA, and time")
    print(f"  {apart:.4f} K  {mine:.2f} ms against {solver:.2f} ms: {solver / mine:.1f} times as fast")
    return apart <= KELVIN


if __name__ == "__main__":
    sys.exit(0 if all([starch_rows(), pot_row()]) else 1)
