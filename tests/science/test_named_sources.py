"""Each source the sums lean on, by its name: what it prints or a library makes of it, against our functions.

The whole of what is kept of them stands in checks/*.toml; here is one plain test for each.
"""

from __future__ import annotations

import CoolProp.CoolProp
import iapws
import pytest

from mashday.science import alcohol, cooling, gravity, heat, thermometer, water

AIR = 1.2  # kg/m3, for apparent gravities


@pytest.mark.parametrize("celsius", [5.0, 20.0, 65.0, 99.0])
def test_iapws_gives_the_density_and_the_heat_of_water(celsius: float) -> None:
    # library: IAPWS-95 of iapws and of CoolProp, computed now
    state = iapws.IAPWS95(T=celsius + 273.15, P=0.101325)
    assert 1000.0 * water.density(celsius) == pytest.approx(state.rho, abs=0.016)
    assert water.specific_heat(celsius) == pytest.approx(state.cp, abs=0.004)
    other = CoolProp.CoolProp.PropsSI("C", "T", celsius + 273.15, "P", 101325.0, "Water") / 1000.0
    assert water.specific_heat(celsius) == pytest.approx(other, abs=0.004)


def test_iapws_gives_the_heat_of_melting_ice() -> None:
    # library: IAPWS-95 liquid and IAPWS R10-06 ice at 0 degC and 101.325 kPa, computed now
    ice = iapws._iapws._Ice(273.1525, 0.101325)["h"]
    liquid = iapws.IAPWS95(T=273.1526, P=0.101325).h
    assert pytest.approx(liquid - ice, abs=0.2) == cooling.HEAT_OF_FUSION


def test_iapws_if97_gives_the_boiling_point_by_altitude_in_iso_2533_air() -> None:
    # published: ISO 2533:1975, 89.87 kPa at 1000 m; library: IAPWS-IF97
    assert water.pressure_kpa(1000.0) == pytest.approx(89.87, abs=0.01)
    assert water.boiling_celsius(1000.0) == pytest.approx(
        iapws.IAPWS97(P=0.089875, x=0).T - 273.15, abs=0.002
    )


@pytest.mark.parametrize(("percent", "density"), [(2, 1006.0), (15, 1059.2), (30, 1127.0), (40, 1176.5)])
def test_the_crc_handbook_gives_the_density_of_sugar_solutions(percent: float, density: float) -> None:
    # published: CRC Handbook of Chemistry and Physics, concentrative properties, sucrose at 20 degC
    assert gravity.sucrose_density(percent, 20.0) == pytest.approx(density, abs=0.12)


@pytest.mark.parametrize(("brix", "printed"), [(0.1, 1.00039), (4.0, 1.01569), (7.9, 1.03139)])
def test_the_usda_table_gives_the_gravity_in_air(brix: float, printed: float) -> None:
    # published: USDA AMS sucrose conversion table, file code 135-A-50, apparent gravity 20/20
    in_air = (gravity.sucrose_density(brix, 20.0) - AIR) / (gravity.WATER_20 - AIR)
    assert in_air == pytest.approx(printed, abs=3e-5)


def test_nbs_circular_c440_gives_the_gravity_of_ten_brix() -> None:
    # from memory: NBS Circular C440 (1942), table 114, apparent gravity 20/20
    in_air = (gravity.sucrose_density(10.0, 20.0) - AIR) / (gravity.WATER_20 - AIR)
    assert in_air == pytest.approx(1.04003, abs=3e-5)


@pytest.mark.parametrize("plato", [5.0, 12.0, 20.0])
def test_the_fit_to_nbs_circular_c440_gives_our_gravity(plato: float) -> None:
    assert gravity.three_term_gravity(plato) == pytest.approx(gravity.gravity(plato), abs=6e-5)


@pytest.mark.parametrize(
    ("mass_fraction", "celsius", "density"),
    [
        (0.0, 20.0, 998.20123),
        (1.0, 20.0, 789.23908),
    ],
)
def test_oiml_r_22_gives_the_density_of_ethanol_and_water(
    mass_fraction: float, celsius: float, density: float
) -> None:
    # published: OIML R 22 (1975), A1 for water; the sum of A1 to A12 for ethanol
    assert alcohol.ethanol_water_density(mass_fraction, celsius) == pytest.approx(density, abs=0.002)


@pytest.mark.parametrize("brix", [5.0, 10.0, 15.0, 20.0])
def test_oiv_refraction_is_the_brix_of_the_refractometer(brix: float) -> None:
    # published: OIV-MA-AS2-02, tables I and II: nothing to correct at 20 degC
    assert gravity.refractometer_correction_brix(brix, 20.0) == pytest.approx(0.0, abs=1e-9)


def test_iec_60751_gives_the_limits_of_a_pt100() -> None:
    # published: IEC 60751:2008, classes A and B at 0 and 100 degC
    assert thermometer.pt100_limit_kelvin("A", 0.0) == 0.15
    assert thermometer.pt100_limit_kelvin("A", 100.0) == pytest.approx(0.35)
    assert thermometer.pt100_limit_kelvin("B", 100.0) == pytest.approx(0.8)


@pytest.mark.parametrize(("moisture", "printed"), [(0.0, 1.59), (0.04, 1.67), (0.08, 1.76)])
def test_the_brewing_room_book_gives_the_specific_heat_of_malt(moisture: float, printed: float) -> None:
    # published: Pauls & Whites Brewing Room Book 1984/85, two digits in cal/(g K)
    assert heat.grain_specific_heat(moisture) == pytest.approx(printed, abs=0.06)
