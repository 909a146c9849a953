"""The equations of the starch and pot models in the hands of a general solver: scipy's LSODA."""

from __future__ import annotations

import math

from scipy.integrate import solve_ivp

from mashday.science import starch, water
from mashday.science.losses import CONVECTION_W_PER_M2_K, EVAPORATION_W_PER_M2_KPA
from mashday.science.pot import FAST_SECONDS, SLOW_SECONDS, PotTruth
from mashday.science.starch import Starch


def exact_starch(celsius: float, minutes: float, thickness: float, crush_per_minute: float) -> Starch:
    """The starch after so many minutes at a temperature, from dough-in."""
    kelvin = celsius + 273.15
    alpha_death, beta_death = starch.alpha_death_per_minute(celsius), starch.beta_death_per_minute(celsius)
    by_alpha = 0.0335 * math.exp(-95000.0 / 8.314 * (1.0 / kelvin - 1.0 / 338.15))
    by_beta = 0.100 * math.exp(-50000.0 / 8.314 * (1.0 / kelvin - 1.0 / 338.15))

    def slopes(_: float, y: list[float]) -> list[float]:
        released, fermentable, alpha, beta = y
        dissolved = 0.80 * 0.955 * (0.15 + 0.85 * released)
        plato = 100.0 * dissolved / (dissolved + thickness + 0.045)
        effective = celsius - max(0.0, (plato - 12.0) / 2.5)
        rate = 1.0 / (1.0 / starch.gelatinisation_per_minute(effective) + 1.0 / crush_per_minute)
        release = rate * (1.0 - released)
        missing = max(0.0, 0.79 * released - fermentable)
        sugar = (0.05 + 0.40 * beta) * release + (by_alpha * alpha + by_beta * beta) * missing
        return [release, sugar, -alpha_death * alpha, -beta_death * beta]

    end = solve_ivp(slopes, (0.0, minutes), [0.0, 0.0, 1.0, 1.0], method="LSODA", rtol=1e-9, atol=1e-11)
    return Starch(*(float(value) for value in end.y[:, -1]))


def exact_open_pot(truth: PotTruth, start: tuple[float, ...], seconds: float) -> tuple[float, ...]:
    """Mash, vessel, water (kg) and probe of an open pot in which 107 kJ of hydration begin to show.

    start holds the same four; 8.5 kJ/K of grain, lid off, stirred, no fire.
    """
    room_kpa = 0.5 * water.saturation_pressure_kpa(20.0)

    def slopes(t: float, y: list[float]) -> list[float]:
        mash, vessel, kg, probe = y
        hydration = 53.5e3 * (
            math.exp(-t / FAST_SECONDS) / FAST_SECONDS + math.exp(-t / SLOW_SECONDS) / SLOW_SECONDS
        )
        vapour = (
            truth.surface_m2 * EVAPORATION_W_PER_M2_KPA * (water.saturation_pressure_kpa(mash) - room_kpa)
        )
        convected = truth.surface_m2 * CONVECTION_W_PER_M2_K * (mash - 20.0)
        from_vessel = 100.0 * (vessel - mash)
        capacity = 4190.0 * kg + 8500.0
        return [
            (from_vessel + hydration - vapour - convected) / capacity,
            (-from_vessel - 4.0 * (vessel - 20.0)) / 2500.0,
            -vapour / 1000.0 / water.latent_heat(mash),
            (mash - probe) / 10.0,
        ]

    end = solve_ivp(slopes, (0.0, seconds), start, method="LSODA", rtol=1e-9, atol=1e-9)
    return tuple(float(value) for value in end.y[:, -1])
