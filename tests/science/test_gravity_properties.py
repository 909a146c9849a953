"""What must hold of every gravity, extract and alcohol sum, whatever the numbers."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mashday.science import alcohol, gravity, wort
from mashday.science.limits import OutOfRange

quick = settings(max_examples=60, deadline=None)

gravities = st.floats(0.985, 1.150)
worts = st.floats(1.010, 1.120)
platos = st.floats(-3.0, 40.0)
sample_temperatures = st.floats(10.0, 60.0)
extracts = st.floats(0.5, 0.85)
moistures = st.floats(0.0, 0.14)
liquors = st.floats(1.5, 8.0)
volumes = st.floats(1.0, 60.0)


@quick
@given(platos)
def test_plato_and_gravity_undo_each_other(extract: float) -> None:
    assert gravity.plato(gravity.gravity(extract)) == pytest.approx(extract, abs=1e-7)


@quick
@given(platos, platos, st.floats(0.0, 100.0))
def test_more_sugar_is_denser_at_any_temperature(one: float, other: float, celsius: float) -> None:
    low, high = sorted((one, other))
    assume(high - low > 1e-6)
    assert gravity.sucrose_density(low, celsius) < gravity.sucrose_density(high, celsius)


@quick
@given(platos, st.floats(5.0, 99.0))
def test_a_warmer_wort_is_lighter(extract: float, celsius: float) -> None:
    assume(extract >= 0.0)
    assert gravity.sucrose_density(extract, celsius + 1.0) < gravity.sucrose_density(extract, celsius)


def test_pure_water_is_the_zero_of_both_scales() -> None:
    # derived: by definition
    assert gravity.plato(1.0) == 0.0
    assert gravity.gravity(0.0) == 1.0


@pytest.mark.parametrize(("sg", "plato"), [(0.998, -0.519), (0.995, -1.30), (0.990, -2.615)])
def test_a_gravity_below_water_has_a_slightly_negative_extract(sg: float, plato: float) -> None:
    # derived: continuation of ICUMSA SPS-4 below nought
    assert gravity.plato(sg) == pytest.approx(plato, abs=0.01)


@quick
@given(gravities)
def test_a_hydrometer_in_a_sample_at_its_own_temperature_reads_the_gravity(reading: float) -> None:
    assert gravity.hydrometer_gravity(reading, 20.0).gravity == pytest.approx(reading, abs=1e-9)


@quick
@given(gravities, sample_temperatures)
def test_a_hydrometer_rises_with_its_reading_and_its_temperature(reading: float, celsius: float) -> None:
    corrected = gravity.hydrometer_gravity(reading, celsius).gravity
    assert gravity.hydrometer_gravity(reading + 0.001, celsius).gravity > corrected
    assert gravity.hydrometer_gravity(reading, celsius + 1.0).gravity > corrected


@pytest.mark.parametrize("celsius", [10.0, 25.0, 30.0, 40.0])
def test_a_hydrometer_marked_for_sixty_fahrenheit_needs_its_own_correction(celsius: float) -> None:
    # derived: a scale marked 60/60 degF shows 0.7 to 0.8 points less at 20 degC, at any temperature
    marked_20 = gravity.hydrometer_gravity(1.050, celsius, 20.0).gravity
    marked_60f = gravity.hydrometer_gravity(1.050, celsius, 15.5556).gravity
    assert marked_60f - marked_20 == pytest.approx(0.00074, abs=0.00006)


@quick
@given(extracts, moistures, liquors, st.floats(0.1, 1.1))
def test_the_conversion_undoes_the_first_wort(
    extract: float, moisture: float, liquor: float, converted: float
) -> None:
    mash = {"extract_as_is": extract, "moisture": moisture, "water_per_kg": liquor}
    plato = wort.first_wort_plato(conversion=converted, **mash)
    assert wort.conversion(plato=plato, **mash) == pytest.approx(converted, rel=1e-9)
    thinner = {**mash, "water_per_kg": liquor + 0.5}
    assert wort.first_wort_plato(conversion=converted, **thinner) < plato


@quick
@given(extracts, moistures, liquors, st.floats(0.2, 1.2), st.floats(0.5, 4.0), st.integers(1, 4))
def test_a_sparge_gains_and_more_sparges_gain_more(
    extract: float, moisture: float, liquor: float, retained: float, sparge: float, sparges: int
) -> None:
    mash = {
        "extract_as_is": extract,
        "moisture": moisture,
        "water_per_kg": liquor,
        "retained_kg_per_kg": retained,
    }
    without = wort.no_sparge_efficiency(**mash)
    fewer = wort.batch_sparge_efficiency(sparge_kg_per_kg=sparge, sparges=sparges, **mash)
    more = wort.batch_sparge_efficiency(sparge_kg_per_kg=sparge, sparges=sparges + 1, **mash)
    assert 0.0 < without < fewer < more < 1.0
    assert wort.batch_sparge_efficiency(sparge_kg_per_kg=sparge, sparges=0, **mash) == without
    assert wort.batch_sparge_efficiency(sparge_kg_per_kg=0.0, sparges=1, **mash) == pytest.approx(without)


@quick
@given(volumes, worts, st.floats(0.1, 0.9))
def test_diluting_keeps_the_extract_and_boiling_down_undoes_it(
    litres: float, original: float, share: float
) -> None:
    target = 1.0005 + share * (original - 1.0005)
    added = wort.dilution_litres(litres, original, target)
    mass = wort.wort_kg(litres, original) + added * gravity.WATER_20 / 1000.0
    thinned = wort.wort_litres(mass, target)
    # derived: mass balance
    assert wort.extract_kg(thinned, target) == pytest.approx(wort.extract_kg(litres, original), rel=1e-7)
    assert wort.boil_down_litres(thinned, target, original) == pytest.approx(added, rel=1e-6, abs=1e-9)


@quick
@given(volumes, worts, st.floats(0.0005, 0.030), st.sampled_from([1.0, wort.DEXTROSE_EXTRACT]))
def test_sugar_brings_its_own_extract_and_volume(
    litres: float, original: float, rise: float, extract: float
) -> None:
    sugar = wort.sugar_kg(litres, original, original + rise, extract)
    grown = wort.wort_litres(wort.wort_kg(litres, original) + sugar, original + rise)
    held = wort.extract_kg(grown, original + rise)
    assert held == pytest.approx(wort.extract_kg(litres, original) + extract * sugar, rel=1e-7)
    assert grown > litres


def test_nothing_is_added_to_a_wort_on_its_gravity() -> None:
    assert wort.dilution_litres(20.0, 1.06, 1.06) == 0.0
    assert wort.sugar_kg(20.0, 1.06, 1.06) == 0.0
    assert wort.boil_down_litres(20.0, 1.06, 1.06) == 0.0


@pytest.mark.parametrize(
    ("function", "target"),
    [(wort.dilution_litres, 1.07), (wort.boil_down_litres, 1.05), (wort.sugar_kg, 1.05)],
)
def test_water_does_not_raise_a_gravity_nor_sugar_lower_it(function, target: float) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match="gravity aimed at"):
        function(20.0, 1.06, target)


def test_a_refractometer_is_divided_by_its_factor_and_warmed_to_twenty() -> None:
    # common practice: 1.04
    assert gravity.refractometer_plato(15.6) == pytest.approx(15.0)
    assert gravity.refractometer_plato(15.0, 1.0, 20.0) == pytest.approx(15.0)
    # published: OIV-MA-AS2-02, table I, 15 Brix at 10 degC: -0.62
    assert gravity.refractometer_plato(15.0, 1.0, 10.0) == pytest.approx(14.38, abs=0.012)


@quick
@given(worts, st.floats(0.3, 0.99))
def test_the_degree_of_fermentation_and_the_final_gravity_undo_each_other(
    original: float, rdf: float
) -> None:
    final = alcohol.final_gravity(original, rdf)
    assert alcohol.true_rdf(original, final) == pytest.approx(rdf, abs=1e-6)
    assert alcohol.lowest_possible_final_gravity(original) - 1e-6 <= final < original


@quick
@given(worts, st.floats(0.05, 0.97))
def test_more_fermentation_is_more_alcohol_and_a_lower_gravity(original: float, rdf: float) -> None:
    less, more = alcohol.final_gravity(original, rdf), alcohol.final_gravity(original, rdf + 0.02)
    assert more < less
    assert alcohol.abv_percent(original, more) > alcohol.abv_percent(original, less)


@quick
@given(volumes, worts, st.floats(0.3, 0.95))
def test_the_pure_alcohol_is_that_of_the_wash_by_volume(litres: float, original: float, rdf: float) -> None:
    final = alcohol.final_gravity(original, rdf)
    wash = litres * alcohol.wash_litres_per_wort_litre(original, final)
    pure = alcohol.pure_alcohol_litres(litres, original, final)
    assert pure == pytest.approx(wash * alcohol.abv_percent(original, final) / 100.0, rel=1e-5)
    # derived: Balling, 1 / 2.0665 kg of ethanol and 0.6131 L per kg of extract fermented
    fermented = wort.extract_kg(litres, original) * alcohol.true_rdf(original, final)
    assert pure == pytest.approx(fermented * 0.6131, rel=2e-3)


@quick
@given(worts)
def test_an_unfermented_wort_holds_no_alcohol(original: float) -> None:
    assert alcohol.abv_percent(original, original) == 0.0
    assert alcohol.true_rdf(original, original) == 0.0
    assert alcohol.apparent_attenuation(original, original) == 0.0
    assert alcohol.final_gravity(original, 0.0) == original


@quick
@given(st.floats(1.010, 1.120), st.floats(0.001, 0.02))
def test_a_final_gravity_above_the_original_or_below_the_floor_is_refused(
    original: float, off: float
) -> None:
    floor = alcohol.lowest_possible_final_gravity(original)
    for wrong in (original + off, floor - off):
        with pytest.raises(OutOfRange, match="final gravity"):
            alcohol.abv_percent(original, wrong)


def test_apparent_attenuation_may_pass_the_whole() -> None:
    # derived: (OE - AE) / OE with AE below nought
    assert alcohol.apparent_attenuation(1.050, 0.997) == pytest.approx(1.063, abs=0.002)
