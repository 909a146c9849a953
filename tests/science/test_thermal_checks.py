"""Water, heat, volumes and the simulated pot against the values kept in checks/thermal.toml.

Each value has its kind and source: published and library values stand against the outside; derived ones are
regressions.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import CoolProp.CoolProp
import iapws
import pytest

from mashday import quantities
from mashday.science import cooling, fit, heat, losses, thermometer, volumes, water
from mashday.science.losses import open_surface_watts
from mashday.science.pot import PotTruth, SimulatedPot

CHECKS = tomllib.loads((Path(__file__).parent / "checks" / "thermal.toml").read_text("utf-8"))["check"]

CALORIE_RATIO = 4.187  # kJ/(kg K), specific heat of water in the handbook's tables
LITRES_PER_QUART, KILOGRAMS_PER_POUND = 0.946352946, 0.45359237  # exact unit factors
QUART_PER_POUND = LITRES_PER_QUART / KILOGRAMS_PER_POUND


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def _mixing(i: dict[str, Any]) -> dict[str, Any]:
    vessel = i["T_vessel_C"]
    return {
        "contents_kj_per_k": water.SPECIFIC_HEAT * i["m_water_kg"],
        "grain_kj_per_k": i["m_grain_kg"] * i["c_grain_kJ_kgK"],
        "grain_celsius": i["T_grain_C"],
        "hydration_kj": i["m_grain_kg"] * i["q_hydration_kJ_kg"],
        "vessel_kj_per_k": i["C_vessel_kJ_K"],
        "vessel_celsius": None if vessel == "same_as_water" else vessel,
        "loss_kj": i["Q_loss_kJ"],
    }


def _pot_capacity(i: dict[str, Any]) -> float:
    grain = i["m_grain_kg"] * i["c_grain_kJ_kgK"]
    return water.SPECIFIC_HEAT * i["m_water_kg"] + grain + float(i["C_vessel_kJ_K"])


def _handbook_landing(i: dict[str, Any]) -> float:
    wetted = i["L_per_kg"] + i["S"]
    return heat.landing_celsius(
        contents_kj_per_k=CALORIE_RATIO * i["L_per_kg"],
        contents_celsius=i["T_liquor_C"],
        grain_kj_per_k=CALORIE_RATIO * i["S"],
        grain_celsius=i["T_grist_C"],
        hydration_kj=CALORIE_RATIO * wetted * i["slaking_corr_C"],
    )


def _hand_rule_us(i: dict[str, Any]) -> float:
    strike = heat.hand_rule_strike_celsius(
        target_celsius=_celsius(i["T_target_F"]),
        grain_celsius=_celsius(i["T_grain_F"]),
        thickness_l_per_kg=i["r_qt_per_lb"] * QUART_PER_POUND,
        factor_l_per_kg=i["k"] * QUART_PER_POUND,
    )
    return 32.0 + 1.8 * strike


def _hand_rule_addition_us(i: dict[str, Any]) -> float:
    litres = heat.hand_rule_addition_litres(
        water_litres=i["Wm_qt"] * LITRES_PER_QUART,
        grain_kg=i["G_lb"] * KILOGRAMS_PER_POUND,
        from_celsius=_celsius(i["T1_F"]),
        to_celsius=_celsius(i["T2_F"]),
        with_celsius=_celsius(i["Tw_F"]),
        factor_l_per_kg=i["k"] * QUART_PER_POUND,
    )
    return litres / LITRES_PER_QUART


def _hand_rule_drop_us(i: dict[str, Any]) -> float:
    return (
        _hand_rule_us(
            {
                "T_target_F": i["T_target_F"],
                "T_grain_F": i["T_grain_F"],
                "r_qt_per_lb": 4.0 * i["water_gal_us"] / i["grain_lb"],
                "k": 0.2,
            }
        )
        - i["T_target_F"]
    )


def _coil(i: dict[str, Any]) -> float:
    carried = cooling.coil_w_per_k(
        w_per_m2_k=i["U_W_m2K"], area_m2=i["A_m2"], coolant_l_per_minute=60.0 * i["m_dot_kg_s"]
    )
    return cooling.coil_minutes(
        capacity_kj_per_k=i["C_kJ_K"],
        from_celsius=i["T1_C"],
        to_celsius=i["T2_C"],
        coolant_celsius=i["T_in_C"],
        w_per_k=carried,
    )


def _truth(i: dict[str, Any], **further: float) -> PotTruth:
    return PotTruth(
        loss_w_per_k=i["UA_va_W_K"],
        vessel_kj_per_k=i["C_v_J_K"] / 1000.0,
        stirred_w_per_k=i["UA_mv_W_K"],
        room_celsius=i["T_amb_C"],
        **further,
    )


def _pot(i: dict[str, Any]) -> tuple[float, float]:
    pot = SimulatedPot(
        _truth(i),
        water_kg=i["C_m_J_K"] / 1000.0 / water.SPECIFIC_HEAT,
        mash_celsius=i["T_m0_C"],
        vessel_celsius=i["T_v0_C"],
        stirring=True,
    )
    pot.step(i["t_s"])
    return pot.mash_celsius, pot.vessel_celsius


def _hotplate_seconds(i: dict[str, Any]) -> float:
    truth = _truth(
        i,
        heater_efficiency=1.0,
        burner_kj_per_k=i["C_b_J_K"] / 1000.0,
        burner_to_vessel_w_per_k=i["UA_bv_W_K"],
        burner_to_room_w_per_k=i["UA_ba_W_K"],
    )
    start = i["T0_all_C"]
    pot = SimulatedPot(
        truth,
        water_kg=i["C_m_J_K"] / 1000.0 / water.SPECIFIC_HEAT,
        mash_celsius=start,
        vessel_celsius=start,
        burner_celsius=start,
        stirring=True,
    )
    pot.set_power(i["P_b_W"] / 1000.0)
    seconds = 0.0
    while pot.mash_celsius < i["T_target_C"]:
        pot.step(0.2)
        seconds += 0.2
    return seconds


def _water_split(i: dict[str, Any]) -> volumes.WaterSplit:
    return volumes.water_split(
        wash_litres=i["V_pre_L"],
        grain_kg=i["m_grain_kg"],
        absorption_l_per_kg=i["absorb_L_per_kg"],
        dead_litres=i["dead_L"],
        sparge=True,
    )


def _standing(i: dict[str, Any]) -> dict[str, float]:
    return {
        "capacity_kj_per_k": i["C_kJ_K"],
        "from_celsius": i["T1_C"],
        "to_celsius": i["T2_C"],
        "loss_w_per_k": i["UA_W_K"],
        "room_celsius": i["T_amb_C"],
    }


ADAPTERS: dict[str, Callable[[dict[str, Any]], Any]] = {
    "density": lambda i: 1000.0 * water.density(i["T_C"]),
    "specific_heat": lambda i: water.SPECIFIC_HEAT,
    "specific_heat_at": lambda i: water.specific_heat(i["T_C"]),
    "latent_heat": lambda i: water.latent_heat(i["T_C"]),
    "saturation_pressure": lambda i: water.saturation_pressure_kpa(i["T_C"]),
    "saturation_celsius": lambda i: water.saturation_celsius(i["p_kPa"]),
    "fusion": lambda i: cooling.HEAT_OF_FUSION,
    "mass": lambda i: water.mass_kg(i["V_L"], i["T_C"]),
    "pressure": lambda i: water.pressure_kpa(i["z_m"]),
    "boiling": lambda i: water.boiling_celsius(i["z_m"]),
    "grain_specific_heat": lambda i: heat.grain_specific_heat(i["moisture_pct"] / 100.0),
    "hydration_heat": lambda i: heat.hydration_heat(i["moisture_pct"] / 100.0),
    "handbook_landing": _handbook_landing,
    "hand_rule": lambda i: heat.hand_rule_strike_celsius(
        target_celsius=i["T_target_C"],
        grain_celsius=i["T_grain_C"],
        thickness_l_per_kg=i["r_L_per_kg"],
        factor_l_per_kg=i["k"],
    ),
    "hand_rule_us": _hand_rule_us,
    "hand_rule_drop_us": _hand_rule_drop_us,
    "strike": lambda i: heat.strike_from_capacity(target_celsius=i["T_target_C"], **_mixing(i)),
    "landing": lambda i: heat.landing_celsius(contents_celsius=i["T_water_C"], **_mixing(i)),
    "addition": lambda i: heat.addition_kg(
        capacity_kj_per_k=_pot_capacity(i),
        from_celsius=i["T1_C"],
        to_celsius=i["T2_C"],
        with_celsius=i["T_added_C"],
    ),
    "after_addition": lambda i: heat.after_addition_celsius(
        capacity_kj_per_k=_pot_capacity(i),
        from_celsius=i["T1_C"],
        added_kg=i["m_added_kg"],
        added_celsius=i["T_added_C"],
    ),
    "addition_to_capacity": lambda i: heat.addition_kg(
        capacity_kj_per_k=i["C_kJ_K"],
        from_celsius=i["T1_C"],
        to_celsius=i["T2_C"],
        with_celsius=i["T_added_C"],
    ),
    "decoction_fraction": lambda i: heat.decoction_fraction(
        from_celsius=i["T1_C"], to_celsius=i["T2_C"], return_celsius=i["T_decoction_C"]
    ),
    "heating": lambda i: losses.heating_minutes(
        kilowatts=i["P_W"] / 1000.0, efficiency=i["eta"], **_standing(i)
    ),
    "minutes_until": lambda i: losses.minutes_until(**_standing(i)),
    "coil": _coil,
    "ice": lambda i: cooling.ice_kg(
        capacity_kj_per_k=i["C_kJ_K"],
        from_celsius=i["T1_C"],
        to_celsius=i["T2_C"],
        ice_celsius=i["T_ice_C"],
    ),
    "open_surface_us": lambda i: open_surface_watts(
        _celsius(i["T_water_F"]), _celsius(i["T_air_F"]), 1.0, relative_humidity=0.6
    ),
    "pt100_limit": lambda i: thermometer.pt100_limit_kelvin(i["cls"], i["T_C"]),
    "probe_lag": lambda i: thermometer.lagging_celsius(
        from_celsius=i["T0_C"], true_celsius=i["T_C"], seconds=i["t_s"], lag_seconds=i["tau_s"]
    ),
    "mash_water": lambda i: _water_split(i).mash_litres,
    "sparge_water": lambda i: _water_split(i).sparge_litres,
    "hand_rule_addition_us": _hand_rule_addition_us,
    "cooling_rate": lambda i: fit.cooling_rate_per_hour(
        tuple(zip(i["t_min"], i["T_C"], strict=True)), i["T_amb_C"]
    ),
    "fitted_loss": lambda i: fit.loss_w_per_k_from_rate(i["rate_per_h"], i["C_kJ_K"]),
    "slope_error": lambda i: fit.slope_error_kelvin_per_hour(
        reading_kelvin=i["sigma_C"], readings=i["n"], span_hours=i["span_h"]
    ),
    "capacity_from_addition": lambda i: fit.capacity_from_addition(
        added_kg=i["m_added_kg"],
        added_celsius=i["T_added_C"],
        from_celsius=i["T1_C"],
        to_celsius=i["T2_C"],
    ),
    "correction_error": lambda i: fit.correction_relative_error(
        reading_kelvin=i["sigma_T_C"],
        deviation_kelvin=i["dev_C"],
        capacity_share=i["rel_u_C"],
        water_kelvin=i["sigma_Ta_C"],
        gap_kelvin=i["Ta_minus_T2_C"],
    ),
    "spent_grain_water": lambda i: volumes.spent_grain_water_kg_per_kg(
        moisture=i["moisture"], extract_dry=i["extract_dry"], spent_moisture=i["spent_moisture"]
    ),
    "quarts_per_pound": lambda i: quantities.parse(f"{i['k_qt_per_lb']} qt/lb", "thickness"),
    "gallons_per_pound": lambda i: quantities.parse(f"{i['value']} {i['unit']}", "thickness"),
    "pot": _pot,
    "hotplate_time": _hotplate_seconds,
}


@pytest.mark.parametrize("check", CHECKS, ids=[f"{check['kind']}-{check['name']}" for check in CHECKS])
def test_a_kept_thermal_value_holds(check: dict[str, Any]) -> None:
    found = ADAPTERS[check["function"]](check["inputs"])
    assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["source"]


def test_every_adapter_of_the_thermal_checks_is_used() -> None:
    assert {check["function"] for check in CHECKS} == set(ADAPTERS)


@pytest.mark.parametrize("celsius", [1, 20, 35, 50, 65, 80, 95, 99.9])
def test_water_agrees_with_two_property_libraries(celsius: float) -> None:
    kelvin = celsius + 273.15
    # library: iapws (IAPWS-95, IAPWS-IF97) and CoolProp, computed now
    assert 1000.0 * water.density(celsius) == pytest.approx(
        iapws.IAPWS95(T=kelvin, P=0.101325).rho, abs=0.016
    )
    coolprop = CoolProp.CoolProp.PropsSI("D", "T", kelvin, "P", 101325.0, "Water")
    assert 1000.0 * water.density(celsius) == pytest.approx(coolprop, abs=0.016)
    steam, liquid = iapws.IAPWS97(T=kelvin, x=1), iapws.IAPWS97(T=kelvin, x=0)
    assert water.saturation_pressure_kpa(celsius) == pytest.approx(1000.0 * steam.P, rel=1e-6)
    assert water.latent_heat(celsius) == pytest.approx(steam.h - liquid.h, abs=0.04)


@pytest.mark.parametrize("altitude", [-400, 0, 300, 1500, 4000, 6000])
def test_water_boils_where_a_property_library_says(altitude: float) -> None:
    # library: IAPWS-IF97 saturation under ISO 2533 pressure
    megapascal = water.pressure_kpa(altitude) / 1000.0
    assert water.boiling_celsius(altitude) == pytest.approx(
        iapws.IAPWS97(P=megapascal, x=0).T - 273.15, abs=1e-4
    )


@pytest.mark.parametrize("altitude", [0, 500, 1000, 2000, 3000, 4000])
def test_the_boiling_point_falls_by_a_degree_every_three_hundred_metres(altitude: float) -> None:
    # derived: straight line through ISO 2533 and IAPWS-IF97
    assert water.boiling_celsius(altitude) == pytest.approx(99.974 - altitude / 300.0, abs=0.025)


@pytest.mark.parametrize(("low", "high"), [(0.01, 99.9), (14, 70), (15, 70), (20, 99), (60, 70)])
def test_one_constant_specific_heat_is_enough(low: float, high: float) -> None:
    # library: IAPWS-95 enthalpies; the worst span (14 to 70 degC) errs by 0.097 K
    rise = iapws.IAPWS95(T=high + 273.15, P=0.101325).h - iapws.IAPWS95(T=low + 273.15, P=0.101325).h
    assert rise / water.SPECIFIC_HEAT == pytest.approx(high - low, abs=0.1)
