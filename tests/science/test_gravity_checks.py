"""Gravity, extract, alcohol and yeast against the values kept in checks/gravity.toml.

Each value has its kind and source: published and library values stand against the outside; computed and cross
values are regressions; memory is what it says.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import CoolProp.CoolProp
import iapws
import pytest

from mashday.science import alcohol, gravity, wort, yeast

CHECKS = tomllib.loads((Path(__file__).parent / "checks" / "gravity.toml").read_text("utf-8"))["check"]

WEIGHTS_DENSITY = 8390.0  # kg/m3, brass weights of the printed tables
POUND_PER_US_GALLON = 0.45359237 / 3.785411784  # kg/L, exact unit factors


def _apparent(i: dict[str, Any]) -> float:
    air = i["air_kg_m3"]
    return (gravity.sucrose_density(i["brix"], 20.0) - air) / (gravity.WATER_20 - air)


def _pounds_per_gallon_in_air(i: dict[str, Any]) -> float:
    density = gravity.sucrose_density(i["brix"], i["t_C"])
    in_air = (density - i["air_kg_m3"]) / (1.0 - i["air_kg_m3"] / i["weights_kg_m3"])
    return in_air / 1000.0 / POUND_PER_US_GALLON


def _mash(i: dict[str, Any]) -> dict[str, float]:
    return {
        "extract_as_is": i["extract_frac"],
        "moisture": i["moisture_frac"],
        "water_per_kg": i["liquor_kg_per_kg"],
    }


def _points(i: dict[str, Any]) -> float:
    found = gravity.gravity(i["plato"])
    return 1000.0 * (found - 1.0) / wort.extract_kg(1.0, found)


def _of_extracts(function: Callable[[float, float], float], i: dict[str, Any]) -> float:
    return function(gravity.gravity(i["original_extract_P"]), gravity.gravity(i["apparent_extract_P"]))


def _by_mass(abv_percent: float, celsius: float) -> float:
    """Mass fraction of a mixture whose % by volume is meant at a temperature, by halving."""
    low, high = 0.0, 1.0
    wanted = abv_percent / 100.0 * alcohol.ethanol_water_density(1.0, celsius)
    while high - low > 1e-13:
        middle = (low + high) / 2.0
        below = middle * alcohol.ethanol_water_density(middle, celsius) < wanted
        low, high = (middle, high) if below else (low, middle)
    return low


def _water_in_100_volumes(i: dict[str, Any]) -> float:
    by_mass = _by_mass(i["abv_pct"], i["t_C"])
    mixed = alcohol.ethanol_water_density(by_mass, i["t_C"])
    return 100.0 * (1.0 - by_mass) * mixed / alcohol.ethanol_water_density(0.0, i["t_C"])


def _gallons_per_pound_in_air(i: dict[str, Any]) -> float:
    celsius = (60.0 - 32.0) / 1.8
    density = alcohol.ethanol_water_density(_by_mass(i["proof"] / 2.0, celsius), celsius)
    air = 1.22  # kg/m3, dry air at 60 degF
    in_air = (density - air) / (1.0 - air / WEIGHTS_DENSITY)
    return POUND_PER_US_GALLON / (in_air / 1000.0)


def _three(i: dict[str, Any]) -> tuple[float, float, float]:
    return i["volume_L"], i["sg_now"], i["sg_target"]


ADAPTERS: dict[str, Callable[[dict[str, Any]], float]] = {
    "water_density": lambda i: gravity.sucrose_density(0.0, i["t_C"]),
    "sucrose_density": lambda i: gravity.sucrose_density(i["w_pct"], i["t_C"]),
    "pounds_per_gallon_in_air": _pounds_per_gallon_in_air,
    "apparent_gravity": _apparent,
    "gravity": lambda i: gravity.gravity(i["plato"]),
    "plato": lambda i: gravity.plato(i["sg"]),
    "hydrometer": lambda i: gravity.hydrometer_gravity(i["reading"], i["sample_t_C"], i["cal_t_C"]).gravity,
    "refractometer_correction": lambda i: gravity.refractometer_correction_brix(i["brix"], i["t_C"]),
    "laboratory_extract": lambda i: (
        100.0
        * wort.conversion(
            plato=i["plato"], extract_as_is=1.0, moisture=i["moisture_pct"] / 100.0, water_per_kg=8.0
        )
    ),
    "first_wort": lambda i: wort.first_wort_plato(conversion=i["conversion"], **_mash(i)),
    "no_sparge": lambda i: wort.no_sparge_efficiency(retained_kg_per_kg=i["retained_kg_per_kg"], **_mash(i)),
    "batch_sparge": lambda i: wort.batch_sparge_efficiency(
        retained_kg_per_kg=i["retained_kg_per_kg"],
        sparge_kg_per_kg=i["sparge_kg_per_kg"],
        sparges=i["n_sparges"],
        **_mash(i),
    ),
    "volume_at_20": lambda i: gravity.volume_at_20_factor(i["plato"], i["t_C"]),
    "points": _points,
    "extract": lambda i: wort.extract_kg(i["volume_L_20C"], i["sg"]),
    "dilution": lambda i: wort.dilution_litres(*_three(i)),
    "boil_down": lambda i: wort.boil_down_litres(*_three(i)),
    "sugar": lambda i: wort.sugar_kg(*_three(i), i["extract_fraction"]),
    "grist": lambda i: wort.grist_kg(
        wash_litres=i["volume_L"],
        gravity=gravity.gravity(i["plato"]),
        extract_as_is=i["extract_frac"],
        efficiency=i["efficiency"],
    ),
    "ethanol_water": lambda i: alcohol.ethanol_water_density(i["mass_fraction"], i.get("t_C", 20.0)),
    "mass_percent": lambda i: alcohol.mass_percent_from_abv(i["abv_pct"]),
    "density_from_abv": lambda i: alcohol.density_from_abv(i["abv_pct"]),
    "water_in_100_volumes": _water_in_100_volumes,
    "gallons_per_pound_in_air": _gallons_per_pound_in_air,
    "ethanol_mass": lambda i: alcohol.ethanol_kg_per_kg(i["substrate"]),
    "ethanol_volume": lambda i: alcohol.ethanol_kg_per_kg(i["substrate"]) / (alcohol.ETHANOL_20 / 1000.0),
    "must_potential": lambda i: alcohol.must_potential_abv_percent(i["sugar_g_per_L"]),
    "carbon_dioxide": lambda i: alcohol.carbon_dioxide_litres(i["extract_fermented_kg"]),
    "dry_yeast_per_litre": lambda i: yeast.dry_yeast_grams_per_litre(
        i["plato"], i["million_cells_per_mL_per_P"], i["viable_cells_per_g"]
    ),
    "laboratory_cubic": lambda i: gravity.laboratory_cubic_plato(i["sg"]),
    "three_term": lambda i: gravity.three_term_gravity(i["plato"]),
    "brix_from_refraction": lambda i: gravity.brix_from_refraction(i["nD"]),
    "alcohol_by_mass": lambda i: _of_extracts(alcohol.alcohol_by_mass_percent, i),
    "real_extract": lambda i: _of_extracts(alcohol.real_extract_plato, i),
    "abv": lambda i: alcohol.abv_percent(i["og"], i["fg"]),
    "true_rdf": lambda i: 100.0 * alcohol.true_rdf(i["og"], i["fg"]),
    "pure_alcohol": lambda i: alcohol.pure_alcohol_litres(i["wort_volume_L"], i["og"], i["fg"]),
    "final_gravity": lambda i: alcohol.final_gravity(i["og"], i["true_rdf_frac"]),
    "lowest_final_gravity": lambda i: alcohol.lowest_possible_final_gravity(i["og"]),
    "cells": lambda i: yeast.cells_to_pitch(i["volume_L"], i["plato"], i["million_cells_per_mL_per_P"]),
    "dry_yeast": lambda i: yeast.dry_yeast_grams(i["cells"], i["viable_cells_per_g"]),
}


@pytest.mark.parametrize("check", CHECKS, ids=[f"{check['kind']}-{check['name']}" for check in CHECKS])
def test_a_kept_value_of_gravity_and_alcohol_holds(check: dict[str, Any]) -> None:
    found = ADAPTERS[check["function"]](check["inputs"])
    assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["source"]


def test_every_adapter_of_the_gravity_checks_is_used() -> None:
    assert {check["function"] for check in CHECKS} == set(ADAPTERS)


@pytest.mark.parametrize("celsius", [1, 15.556, 20, 40, 65, 80, 99])
def test_sugar_free_wort_is_water(celsius: float) -> None:
    # library: IAPWS-95, computed now
    library = iapws.IAPWS95(T=celsius + 273.15, P=0.101325).rho
    assert gravity.sucrose_density(0.0, celsius) == pytest.approx(library, abs=0.006)


@pytest.mark.parametrize("mass_fraction", [0.02, 0.05, 0.08, 0.1, 0.15, 0.4, 0.6])
def test_ethanol_water_agrees_with_a_property_library(mass_fraction: float) -> None:
    # library: CoolProp, Melinder's ethyl alcohol and water, computed now
    library = CoolProp.CoolProp.PropsSI("D", "T", 293.15, "P", 101325.0, f"INCOMP::MEA[{mass_fraction}]")
    assert alcohol.ethanol_water_density(mass_fraction) == pytest.approx(library, abs=0.5)


@pytest.mark.parametrize("sg", [1.000, 1.010, 1.030, 1.050, 1.070, 1.090, 1.110])
def test_plato_agrees_with_the_laboratory_cubic(sg: float) -> None:
    # published: the ASBC third-order fit
    cubic = -616.868 + 1111.14 * sg - 630.272 * sg**2 + 135.997 * sg**3
    assert gravity.plato(sg) == pytest.approx(cubic, abs=0.025)


@pytest.mark.parametrize("plato", [0.5, 5, 10, 15, 20, 25, 30])
def test_gravity_agrees_with_the_three_term_fit(plato: float) -> None:
    # published: P = 28.14203 S + 202.4427 - 230.5870 / S, a fit to NBS Circular C440, inverted
    b = plato - 202.4427
    three_term = (b + (b * b + 4.0 * 28.14203 * 230.5870) ** 0.5) / (2.0 * 28.14203)
    assert gravity.gravity(plato) == pytest.approx(three_term, abs=6e-5)


@pytest.mark.parametrize(
    ("celsius", "trust"),
    [
        (4.9, "refused"),
        (5, "rough"),
        (9.9, "rough"),
        (10, "kept"),
        (30, "kept"),
        (30.1, "rough"),
        (50, "rough"),
        (50.1, "estimate"),
        (60, "estimate"),
        (60.1, "refused"),
        (98, "refused"),
    ],
)
def test_a_hydrometer_is_trusted_by_the_temperature_of_its_sample(celsius: float, trust: str) -> None:
    # derived: limits chosen from the size of the errors of surface tension, glass and thermometer
    assert gravity.hydrometer_gravity(1.040, celsius).trust == trust
