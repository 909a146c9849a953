"""The starch model and the grain table against the values kept in checks/conversion.toml.

Each value has its kind and source: outside and table values stand against the outside; model and identity
values are regressions.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from mashday.science import alcohol, grain, gravity, heat, ph, starch, wort
from mashday.science.starch import FRESH, Starch

HERE = Path(__file__).parent / "checks"
CHECKS = tomllib.loads((HERE / "conversion.toml").read_text("utf-8"))["check"]
DISAGREEMENTS = tomllib.loads((HERE / "disagreements.toml").read_text("utf-8"))["check"]


def _held(i: dict[str, Any]) -> Starch:
    return starch.advance(
        FRESH,
        i["T_degC"],
        i["minutes"],
        thickness_l_per_kg=i.get("L_per_kg", 3.0),
        crush=i.get("crush", "normal"),
    )


def _falling(i: dict[str, Any]) -> float:
    state, quarters = FRESH, 4 * i["minutes"]
    for quarter in range(quarters):
        share = (quarter + 0.5) / quarters
        celsius = i["T_start_degC"] + share * (i["T_end_degC"] - i["T_start_degC"])
        state = starch.advance(state, celsius, 0.25, thickness_l_per_kg=i["L_per_kg"], crush=i["crush"])
    return state.attenuation_limit_percent


def _overshoot(i: dict[str, Any]) -> float:
    mash = {"thickness_l_per_kg": i["L_per_kg"], "crush": i["crush"]}
    state = starch.advance(FRESH, i["overshoot_degC"], i["overshoot_min"], **mash)
    state = starch.with_fresh_malt(state, i.get("fresh_malt_frac_of_grist", 0.0))
    return starch.advance(state, i["then_degC"], i["then_min"], **mash).attenuation_limit_percent


def _fermentability_gap(i: dict[str, Any]) -> float:
    mash = {"L_per_kg": i["L_per_kg"], "crush": i["crush"]}
    cool = _held({"T_degC": 62.7, "minutes": 30, **mash}).attenuation_limit_percent
    hot = _held({"T_degC": 65.5, "minutes": 60, **mash}).attenuation_limit_percent
    return abs(cool - hot)


def _points_of_sucrose(i: dict[str, Any]) -> float:
    low, high = 0.0, 20.0
    while high - low > 1e-9:
        plato = (low + high) / 2.0
        grams_per_litre = plato / 100.0 * gravity.sucrose_density(plato, 20.0)
        low, high = (plato, high) if grams_per_litre < 100.0 * i["sucrose_kg"] else (low, plato)
    return 1000.0 * (gravity.gravity(low) - 1.0) / 0.1


def _sugar_early_over_late(i: dict[str, Any]) -> float:
    late = _held({**i, "T_degC": 65.0, "minutes": 60})
    return _held(i).fermentable / late.fermentable


def _thick_over_thin(i: dict[str, Any]) -> float:
    thick = _held({**i, "L_per_kg": i["thick_L_per_kg"]}).fermentable
    return thick / _held({**i, "L_per_kg": i["thin_L_per_kg"]}).fermentable


ADAPTERS: dict[str, Callable[[dict[str, Any]], Any]] = {
    "lintner": lambda i: grain.lintner_from_windisch_kolbach(i["wk_degWK"]),
    "windisch_kolbach": lambda i: grain.windisch_kolbach_from_lintner(i["lintner_degL"]),
    "grist_lintner": lambda i: grain.grist_lintner(zip(i["masses_kg"], i["dp_degL"], strict=True)),
    "first_wort_as_used": lambda i: wort.first_wort_plato(
        extract_as_is=i["extract_frac_as_used"],
        moisture=0.0,
        water_per_kg=i["water_kg"] / i["malt_kg"],
        conversion=i["conversion"],
    ),
    "first_wort": lambda i: wort.first_wort_plato(
        extract_as_is=i["extract_dry_frac"] * (1.0 - i["moisture_frac"]),
        moisture=i["moisture_frac"],
        water_per_kg=i["L_per_kg"],
        conversion=i["conversion"],
    ),
    "points": _points_of_sucrose,
    "gelatinisation_half": lambda i: math.log(2) / starch.gelatinisation_per_minute(i["T_eff_degC"]),
    "alpha_half": lambda i: math.log(2) / starch.alpha_death_per_minute(i["T_degC"]),
    "beta_half": lambda i: math.log(2) / starch.beta_death_per_minute(i["T_degC"]),
    "alpha_left": lambda i: _held(i).alpha,
    "beta_left": lambda i: _held(i).beta,
    "converted": lambda i: _held(i).converted,
    "attenuation": lambda i: _held(i).attenuation_limit_percent,
    "fermentability_gap": _fermentability_gap,
    "minutes_to_98": lambda i: starch.minutes_to(
        FRESH, 0.98, i["T_degC"], thickness_l_per_kg=i["L_per_kg"], crush=i["crush"]
    ),
    "falling": _falling,
    "overshoot": _overshoot,
    "overshoot_fresh_malt": _overshoot,
    "restoring_malt": lambda i: grain.restoring_malt_kg(
        grist_kg=i["grist_kg"],
        grist_lintner=i["grist_dp_degL"],
        activity_left=i["activity_left"],
        target_lintner=i["target_dp_degL"],
        malt_lintner=i["fresh_malt_dp_degL"],
    ),
    "gelatinises": lambda i: grain.kind(i["kind"]).gelatinises,
    "malt_opens": lambda i: {"pasting": grain.MALT_PASTING, "saccharified": grain.MALT_SACCHARIFIED}[
        i["what"]
    ],
    "mash_ph": lambda i: ph.in_the_mash(i["pH_at_20C"], i["mash_degC"]),
    "malt_alcohol": lambda i: alcohol.malt_alcohol_litres_per_tonne(i["fermentable_extract_pct"]),
    "lauter_from_volumes": lambda i: wort.lauter_efficiency_from_volumes(
        water_l_per_kg=i["L_per_kg"],
        extract_kg_per_kg=0.80 * 0.955,
        retained_l_per_kg=i["retain_L_per_kg"],
        sparge_l_per_kg=i["sparge_L_per_kg"],
        sparges=i["sparges"],
    ),
}

DISAGREEING: dict[str, Callable[[dict[str, Any]], float]] = {
    "hydration_heat": lambda i: heat.hydration_heat(i["moisture_pct"] / 100.0),
    "beta_left": lambda i: _held(i).beta,
    "converted": lambda i: _held(i).converted,
    "sugar_early_over_late": _sugar_early_over_late,
    "thick_over_thin": _thick_over_thin,
}


def _agrees(found: Any, check: dict[str, Any]) -> bool:
    if "expected_min" not in check:
        return bool(found == pytest.approx(check["expected"], abs=check["tolerance"]))
    if isinstance(found, tuple):
        return found == (check["expected_min"], check["expected_max"])
    return bool(check["expected_min"] <= found <= check["expected_max"])


@pytest.mark.parametrize("check", CHECKS, ids=[f"{check['kind']}-{check['name']}" for check in CHECKS])
def test_a_kept_value_of_conversion_holds(check: dict[str, Any]) -> None:
    found = ADAPTERS[check["function"]](check["inputs"])
    assert _agrees(found, check), (found, check["source"])


def test_every_adapter_of_the_conversion_checks_is_used() -> None:
    assert {check["function"] for check in CHECKS} == set(ADAPTERS)


@pytest.mark.parametrize("check", DISAGREEMENTS, ids=[check["name"] for check in DISAGREEMENTS])
def test_a_known_disagreement_is_as_large_as_it_is_written_down(check: dict[str, Any]) -> None:
    found = DISAGREEING[check["function"]](check["inputs"])
    assert found == pytest.approx(check["model_gives"], rel=0.03), check["source"]
    assert not _agrees(found, check), "it agrees now: move it to the checks"
