"""Bottled enzymes, the colour of iodine, the move after an overshoot, when yeast may go in."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mashday.science import alcohol, enzymes, gravity, iodine, overshoot, starch, wort, yeast
from mashday.science.limits import OutOfRange, UnknownName
from mashday.science.overshoot import Move
from mashday.science.starch import FRESH, Starch

quick = settings(max_examples=60, deadline=None)
MASH = {"thickness_l_per_kg": 3.0}
EVERY_FIGURE = {"adds_at", "destroyed_above", "ph", "ph_at_all", "grams_per_kg"}


@pytest.mark.parametrize("kind", enzymes.KINDS.values(), ids=list(enzymes.KINDS))
def test_every_figure_of_a_bottled_enzyme_has_its_mark(kind: enzymes.BottledEnzyme) -> None:
    assert set(kind.marks) == EVERY_FIGURE and all(kind.marks.values())
    assert kind.adds_at[0] < kind.adds_at[1] < kind.destroyed_above
    assert kind.ph_at_all[0] <= kind.ph[0] < kind.ph[1] <= kind.ph_at_all[1]
    assert 0.0 < kind.grams_per_kg[0] < kind.grams_per_kg[1] <= 1.0


@pytest.mark.parametrize(
    ("name", "celsius", "cooled_ph", "verdict"),
    [
        # relayed: ordinary alpha 56-74 C; glucoamylase destroyed above 75 C, best at pH 4.0-4.5
        ("alpha-amylase", 65.0, None, enzymes.Verdict.GOOD),
        ("alpha-amylase", 65.0, 5.4, enzymes.Verdict.GOOD),
        ("alpha-amylase", 65.0, 3.5, enzymes.Verdict.WRONG_PH),
        # relayed: active at pH 4.5-7
        ("alpha-amylase", 65.0, 4.5, enzymes.Verdict.GOOD),
        ("alpha-amylase", 65.0, 7.0, enzymes.Verdict.GOOD),
        ("alpha-amylase", 65.0, 7.1, enzymes.Verdict.WRONG_PH),
        ("alpha-amylase", 40.0, None, enzymes.Verdict.TOO_COOL),
        ("alpha-amylase", 80.0, None, enzymes.Verdict.TOO_HOT),
        ("alpha-amylase", 95.0, None, enzymes.Verdict.DESTROYED),
        ("heat-stable alpha-amylase", 90.0, None, enzymes.Verdict.GOOD),
        ("glucoamylase", 58.0, 4.2, enzymes.Verdict.GOOD),
        ("glucoamylase", 65.0, None, enzymes.Verdict.TOO_HOT),
        ("glucoamylase", 76.0, None, enzymes.Verdict.DESTROYED),
        ("glucoamylase", 28.0, None, enzymes.Verdict.GOOD),
    ],
)
def test_an_enzyme_is_judged_by_temperature_and_ph(
    name: str, celsius: float, cooled_ph: float | None, verdict: enzymes.Verdict
) -> None:
    assert enzymes.verdict(name, celsius, cooled_ph) is verdict
    assert verdict.advice


def test_starch_is_made_thin_before_it_is_made_sweet() -> None:
    order = sorted(enzymes.KINDS.values(), key=lambda kind: kind.turn)
    assert order[-1].name == "glucoamylase"


def test_an_enzyme_nobody_knows_is_refused_with_those_known() -> None:
    with pytest.raises(UnknownName, match="glucoamylase"):
        enzymes.dose_grams("glucoamilase", 5.0)


def test_iodine_turns_from_blue_to_yellow_as_the_starch_goes() -> None:
    seen = [iodine.expected_colour(share / 100.0) for share in range(101)]
    assert list(dict.fromkeys(seen)) == [
        iodine.Colour.BLUE_BLACK,
        iodine.Colour.RED_BROWN,
        iodine.Colour.YELLOW,
    ]
    # outside: Troester 2011, 90 % of the extract when iodine first stayed yellow
    assert iodine.expected_colour(0.90) is iodine.Colour.YELLOW
    assert iodine.expected_colour(0.89) is iodine.Colour.RED_BROWN
    assert all(colour.meaning and colour.advice for colour in iodine.Colour)


def test_red_brown_is_good_enough_on_the_grain_only() -> None:
    assert iodine.Colour.RED_BROWN.good_enough(on_the_grain=True)
    assert not iodine.Colour.RED_BROWN.good_enough(on_the_grain=False)
    assert not iodine.Colour.BLUE_BLACK.good_enough(on_the_grain=True)
    assert iodine.Colour.YELLOW.good_enough(on_the_grain=False)


def _after(*stretches: tuple[float, float]) -> Starch:
    now = FRESH
    for celsius, minutes in stretches:
        now = starch.advance(now, celsius, minutes, **MASH)
    return now


@pytest.mark.parametrize(
    ("stretches", "move"),
    [
        # judgement after the model: early is dear, after half an hour nearly free
        (((74.0, 10.0),), Move.COOL_AND_ADD),
        (((65.0, 20.0), (74.0, 5.0)), Move.LEAVE_IT),
        (((63.0, 45.0), (74.0, 10.0)), Move.LEAVE_IT),
        (((68.0, 8.0),), Move.COOL_AND_HOLD),
        (((85.0, 4.0),), Move.NOT_ENOUGH_LEFT),
        (((68.0, 6.0), (62.0, 2.0)), Move.HOLD),
    ],
)
def test_the_next_move_goes_by_what_is_left(stretches: tuple[tuple[float, float], ...], move: Move) -> None:
    found = overshoot.next_move(_after(*stretches), stretches[-1][0], **MASH)
    assert found.move is move
    assert move.advice
    assert (found.malt_share > 0.0) == (move in (Move.COOL_AND_ADD, Move.NOT_ENOUGH_LEFT))
    assert found.cool_to_celsius <= 62.5


def test_malt_mends_an_early_overshoot_in_part_and_a_late_one_not_at_all() -> None:
    early = overshoot.next_move(_after((74.0, 10.0)), 74.0, **MASH)
    gained = early.attenuation_with_malt_percent - early.attenuation_held_percent
    spared = _after((63.0, 60.0)).attenuation_limit_percent
    assert gained > 5.0
    assert early.attenuation_with_malt_percent < spared - 5.0
    late = overshoot.next_move(_after((65.0, 30.0), (74.0, 10.0)), 74.0, **MASH)
    assert late.attenuation_with_malt_percent - late.attenuation_held_percent < 1.0


@quick
@given(st.floats(50.0, 85.0), st.floats(0.0, 60.0))
def test_what_lives_through_a_rest_is_what_the_model_leaves(celsius: float, minutes: float) -> None:
    alpha, beta = overshoot.left_after(celsius, minutes)
    left = starch.advance(FRESH, celsius, minutes, **MASH)
    assert (left.alpha, left.beta) == pytest.approx((alpha, beta), abs=1e-9)


@pytest.mark.parametrize(
    ("celsius", "minutes", "beta", "alpha"),
    [(68.0, 2.0, 0.60, 0.96), (70.0, 5.0, 0.05, 0.86), (74.0, 10.0, 0.0, 0.47), (78.0, 20.0, 0.0, 0.02)],
)
def test_the_survivors_are_those_of_the_model(
    celsius: float, minutes: float, beta: float, alpha: float
) -> None:
    # model: regression of the reduced model's table of survivors
    assert overshoot.left_after(celsius, minutes) == pytest.approx((alpha, beta), abs=0.006)


@pytest.mark.parametrize(
    ("celsius", "verdict"),
    [
        # common practice, no source
        (10.0, yeast.PitchVerdict.TOO_COLD),
        (24.0, yeast.PitchVerdict.GOOD),
        (32.0, yeast.PitchVerdict.WARM),
        (38.0, yeast.PitchVerdict.TOO_HOT),
        (60.0, yeast.PitchVerdict.DEADLY),
    ],
)
def test_yeast_goes_in_when_the_wash_is_cool_enough(celsius: float, verdict: yeast.PitchVerdict) -> None:
    assert yeast.pitch_verdict(celsius) is verdict
    assert verdict.advice


@pytest.mark.parametrize(
    ("slurry", "wash", "verdict"),
    [
        # published: a yeast maker's advice, at most 10 K
        (30.0, 22.0, yeast.SlurryVerdict.GOOD),
        (12.0, 22.0, yeast.SlurryVerdict.GOOD),
        (4.0, 22.0, yeast.SlurryVerdict.TOO_FAR),
        (35.0, 22.0, yeast.SlurryVerdict.TOO_FAR),
    ],
)
def test_a_slurry_meets_a_wash_about_as_warm(
    slurry: float, wash: float, verdict: yeast.SlurryVerdict
) -> None:
    assert yeast.slurry_verdict(slurry, wash) is verdict
    assert verdict.advice


def test_a_fermentation_cannot_warm_its_wash_by_more_than_its_heat() -> None:
    # from memory: about 20 K for 15 Plato if all of it ferments and nothing is lost
    assert yeast.fermentation_rise_kelvin(15.0, 1.0) == pytest.approx(22.0, abs=2.5)
    assert yeast.fermentation_rise_kelvin(0.0) == 0.0


@quick
@given(st.floats(0.0, 100.0))
def test_alcohol_by_volume_goes_to_mass_and_back(abv: float) -> None:
    by_mass = alcohol.mass_percent_from_abv(abv) / 100.0
    back = 100.0 * by_mass * alcohol.ethanol_water_density(by_mass) / alcohol.ETHANOL_20
    assert back == pytest.approx(abv, abs=1e-3)
    assert alcohol.density_from_abv(abv) == pytest.approx(alcohol.ethanol_water_density(by_mass))


@quick
@given(st.floats(0.5, 0.85), st.floats(0.0, 0.12), st.floats(1.5, 8.0), st.floats(0.3, 1.1))
def test_the_water_for_a_first_wort_makes_that_first_wort(
    extract: float, moisture: float, water: float, conversion: float
) -> None:
    mash = {"extract_as_is": extract, "moisture": moisture, "conversion": conversion}
    plato = wort.first_wort_plato(water_per_kg=water, **mash)
    assert wort.water_for_first_wort(plato=plato, **mash) == pytest.approx(water)


@quick
@given(st.floats(1.0, 20.0), st.floats(2.0, 8.0))
def test_extract_is_conserved_on_the_grain(grain: float, thickness: float) -> None:
    mash = {"extract_as_is": 0.78, "moisture": 0.04}
    strength, litres = wort.on_the_grain(grain_kg=grain, water_kg=grain * thickness, **mash)
    assert wort.extract_kg(litres, strength) == pytest.approx(0.78 * grain, rel=1e-6)


@quick
@given(st.floats(5.0, 50.0), st.floats(1.02, 1.10), st.floats(0.5, 1.0))
def test_a_grist_holds_the_extract_of_its_wash(litres: float, wanted: float, efficiency: float) -> None:
    kilograms = wort.grist_kg(wash_litres=litres, gravity=wanted, extract_as_is=0.77, efficiency=efficiency)
    assert kilograms * 0.77 * efficiency == pytest.approx(wort.extract_kg(litres, wanted))


def test_carbon_dioxide_and_ethanol_are_what_balling_left_of_the_sugar() -> None:
    # published: Nielsen et al. 2007: 2.0665 g of extract give 1 g of ethanol, 0.9565 of CO2, 0.11 of yeast
    assert alcohol.carbon_dioxide_kg(2.0665) == pytest.approx(0.9565)
    assert pytest.approx(1.0 + 0.9565 + 0.11) == alcohol.BALLING_EXTRACT


def test_two_ways_to_reckon_a_lauter_agree_within_a_few_points() -> None:
    by_mass = wort.batch_sparge_efficiency(
        extract_as_is=0.764, moisture=0.045, water_per_kg=3.0, retained_kg_per_kg=1.0, sparge_kg_per_kg=2.47
    )
    by_volume = wort.lauter_efficiency_from_volumes(
        water_l_per_kg=3.0,
        extract_kg_per_kg=0.764,
        retained_l_per_kg=1.0,
        sparge_l_per_kg=2.47,
        sparges=1,
    )
    assert by_mass == pytest.approx(by_volume, abs=0.02)


def test_grain_that_would_keep_it_all_is_refused() -> None:
    with pytest.raises(OutOfRange):
        wort.lauter_efficiency_from_volumes(water_l_per_kg=1.0, extract_kg_per_kg=0.0, retained_l_per_kg=2.0)


@pytest.mark.parametrize("plato", [0.5, 5, 10, 15, 20, 25, 30])
def test_the_refractive_index_of_a_printed_table_gives_its_brix(plato: float) -> None:
    # from memory: ICUMSA SPS-3, refractive index at 20 degC
    indices = {0.5: 1.33371, 5: 1.34026, 10: 1.34782, 15: 1.35568, 20: 1.36384, 25: 1.37233, 30: 1.38115}
    assert gravity.brix_from_refraction(indices[plato]) == pytest.approx(plato, abs=0.01)
