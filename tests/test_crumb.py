"""Crumb predictions: how a yeast-raised and a quick version of one dough must order; published volumes."""

import inspect
from math import exp, log, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from assistant.laws import crumb
from assistant.laws.acidity import (
    LEAVENER_END_PH,
    LEAVENER_OWN_PH,
    Species,
    browning_factor_of_ph,
    buffer_mmol_per_ph,
    buffers_together,
    leavener_buffer_mmol_per_ph,
    own_ph_together,
    ph_baked,
    soapiness,
    sour_species_mmol_per_kg,
)
from assistant.laws.crumb import (
    CELL_HALF_LIFE_MIN,
    CELLS_AT_MIX_PER_MM3,
    DEVELOPED,
    against_word,
    baked_specific_volume,
    bitterness,
    browning_exposure,
    browning_factor_of_sugar,
    browning_rate_per_min,
    cell_diameter_mm,
    cells_left_per_mm3,
    cells_word,
    crumb_water_pct,
    crust_colour,
    crust_surface_c,
    gumminess_risk,
    keeping_days,
    moistness,
    moistness_word,
    mould_days,
    openness_word,
    sourness,
    sourness_word,
    springiness,
    staling_days,
    sweetness_pct,
    volume_word,
)
from assistant.laws.leavening import (
    gas_fraction,
    share_of_gas_kept,
    soda_g,
    soda_left_mmol,
    specific_volume_raised,
    surplus_acid_mmol,
    wet_gas_ml,
)

# One dough, both ways: 500 g white flour; yeast-raised with 310 g water, 850 g; quick with 350 g, 890 g

YEAST_GAS_MMOL, POWDER_MMOL = 80.0, 75.0  # 2 % fresh yeast for some 2 h; 5 % powder at 14 %
KEPT_YEAST, KEPT_QUICK = 0.75, 0.30  # a developed dough holds most of its gas, a folded one a third (assumed)
SET_C, SET_VAPOUR_PA = (
    75.0,
    38_600.0,
)  # where crumb walls set, and water's vapour pressure there (crc-handbook)


def volume(gas_mmol: float, kept: float, dough_g: float, loss: float) -> float:
    kept_ml = wet_gas_ml(gas_mmol * kept, SET_C, 101_325.0, SET_VAPOUR_PA)
    return baked_specific_volume(specific_volume_raised(1.23, kept_ml, dough_g), loss)


YEAST_ML_G = volume(YEAST_GAS_MMOL, KEPT_YEAST, 850.0, 0.106)
QUICK_ML_G = volume(POWDER_MMOL, KEPT_QUICK, 890.0, 0.10)


def cells(volume_ml_g: float, minutes: float) -> float:
    left = cells_left_per_mm3(CELLS_AT_MIX_PER_MM3[1], minutes, CELL_HALF_LIFE_MIN[1])
    return cell_diameter_mm(gas_fraction(volume_ml_g, 1.23), left)


def sour(base_mmol: float, powder_acid_mmol: float, vinegar_mmol: float) -> float:
    """Sourness of 800 g crumb of 500 g flour, with vinegar and a powder's acid against soda."""
    flour = buffer_mmol_per_ph(0.5, 12.0)
    leavener = leavener_buffer_mmol_per_ph(powder_acid_mmol, LEAVENER_OWN_PH[1], LEAVENER_END_PH[1])
    own = own_ph_together(flour, 6.0, leavener, LEAVENER_OWN_PH[1])
    acids: tuple[Species, ...] = ((vinegar_mmol, (4.756,), 0),)
    acid = powder_acid_mmol + vinegar_mmol
    left = soda_left_mmol(base_mmol, acid)
    ph = ph_baked(0.3, base_mmol, acids, buffers_together(flour, leavener), own, left, 0.3)
    return sourness(sour_species_mmol_per_kg(acids, ph, 0.8), surplus_acid_mmol(base_mmol, acid), 800.0)


def test_the_quick_version_is_denser_than_the_yeast_raised() -> None:
    assert volume_word(QUICK_ML_G, YEAST_ML_G).endswith("denser")
    assert openness_word(gas_fraction(YEAST_ML_G, 1.23)) in ("even", "open")
    assert openness_word(gas_fraction(QUICK_ML_G, 1.23)) in ("close", "dense")


def test_the_quick_version_is_finer_than_the_yeast_raised() -> None:
    assert cells_word(cells(QUICK_ML_G, 5.0), cells(YEAST_ML_G, 120.0)).endswith("finer")


def test_the_quick_version_is_moister_than_the_yeast_raised() -> None:
    raised = moistness(crumb_water_pct(370.0, 850.0, 0.106 * 850.0), YEAST_ML_G)
    quick = moistness(crumb_water_pct(410.0, 890.0, 0.10 * 890.0), QUICK_ML_G)
    assert moistness_word(quick, raised).endswith("moister")


def test_the_quick_version_is_sourer_just_when_acid_is_in_surplus() -> None:
    yeast_raised = sour(0.0, 0.0, 0.0)
    balanced = sour(60.0, 60.0, 0.0)
    vinegar_neutralised = sour(72.0, 60.0, 12.0)
    vinegar_in_surplus = sour(60.0, 60.0, 12.0)
    assert sourness_word(balanced, yeast_raised) == "the same"
    assert sourness_word(vinegar_neutralised, yeast_raised) == "the same"
    assert sourness_word(vinegar_in_surplus, yeast_raised).endswith("sourer")


def test_published_volumes_ask_for_part_of_the_gas_and_yeast_dough_keeps_more_of_it() -> None:
    # white pan bread 4.8, quick bread loaf 2.1 mL/g (typical literature values, from memory)
    shares = []
    for baked_ml_g, loss, dough_g, gas_mmol in (
        (4.8, 0.106, 850.0, YEAST_GAS_MMOL),
        (2.1, 0.10, 890.0, POWDER_MMOL),
    ):
        gas = wet_gas_ml(gas_mmol, SET_C, 101_325.0, SET_VAPOUR_PA)
        shares.append(share_of_gas_kept(baked_ml_g * (1 - loss), 1.23, dough_g, gas))
    assert 0.2 < shares[1] < shares[0] < 1.0


# Published volumes and crumbs


def test_porosity_of_hearth_bread_comes_from_its_volume() -> None:
    # Dessev et al. 2020: 5.0 mL/g and 86 +/- 2 %; crumb without gas 1.3 g/mL (Choi-Okos at 40 % water)
    assert 100 * gas_fraction(5.0, 1.3) == approx(86.0, abs=2.0)


@pytest.mark.parametrize(
    ("name", "density_g_ml", "word"),
    [
        ("French bread", 0.124, "airy"),
        ("rye bread", 0.224, "open"),
        ("sponge cake", 0.343, "even"),
        ("corn bread", 0.439, "close"),
    ],
)
def test_breads_of_measured_density_get_the_word_they_deserve(
    name: str, density_g_ml: float, word: str
) -> None:
    # densities: J Food Eng 159:36-41 table 5 (2015)
    assert openness_word(gas_fraction(1 / density_g_ml, 1.25)) == word, name


def test_cells_of_pan_bread_are_a_little_over_a_millimetre() -> None:
    # bread crumb, from memory: mean cell 1 to 2 mm
    assert 1.0 < cells(4.8, 120.0) < 2.0


def test_an_egg_replaced_by_a_seed_gel_gives_a_denser_sponge() -> None:
    # J Food Quality 2022:9673074 table 4: specific volume 2.46 -> 2.00
    assert volume_word(2.00, 2.46) == "denser"


def test_a_loaf_baked_as_usual_is_golden_and_a_low_carb_one_paler() -> None:
    # common practice: 35 min at 200 C; practice: low-carb crusts need a sugar that browns
    lean = browning_exposure(200.0, 35.0)
    normal = crust_colour(lean, browning_factor_of_sugar(2.0), browning_factor_of_ph(5.5))
    without = crust_colour(lean, browning_factor_of_sugar(0.0), browning_factor_of_ph(5.5))
    assert crumb.crust_colour_word(normal) == "golden"
    assert crumb.crust_word(without, normal).endswith("paler")


def test_browning_rises_with_sugar_heat_time_and_alkali() -> None:
    base = crust_colour(
        browning_exposure(190.0, 30.0), browning_factor_of_sugar(2.0), browning_factor_of_ph(6.0)
    )
    more = [
        crust_colour(
            browning_exposure(200.0, 30.0), browning_factor_of_sugar(2.0), browning_factor_of_ph(6.0)
        ),
        crust_colour(
            browning_exposure(190.0, 35.0), browning_factor_of_sugar(2.0), browning_factor_of_ph(6.0)
        ),
        crust_colour(
            browning_exposure(190.0, 30.0), browning_factor_of_sugar(6.0), browning_factor_of_ph(6.0)
        ),
        crust_colour(
            browning_exposure(190.0, 30.0), browning_factor_of_sugar(2.0), browning_factor_of_ph(7.5)
        ),
    ]
    assert all(colour > base for colour in more)


def test_kneaded_wheat_is_springier_than_folded_and_gel_than_nothing() -> None:
    kneaded = springiness(9.5, DEVELOPED["kneaded"], 0.0, 0.0, 0.75)
    folded = springiness(9.5, DEVELOPED["folded"], 0.0, 0.0, 0.75)
    assert kneaded > folded > springiness(9.5, DEVELOPED["stirred"], 0.0, 0.0, 0.75)
    assert springiness(0.0, 1.0, 10.0, 0.0, 0.6) > springiness(0.0, 1.0, 0.0, 0.0, 0.6) == 0.0


def test_soda_left_over_makes_a_crumb_bitter() -> None:
    left_pct = 100 * soda_g(soda_left_mmol(60.0, 20.0)) / 800.0
    assert bitterness(soapiness(left_pct, 8.2), 0.0) > 1.0 > bitterness(soapiness(0.0, 7.1), 0.5)


def test_enriched_bread_keeps_longer_than_lean_and_mould_ends_what_gel_keeps_soft() -> None:
    # common practice: lean 1 to 2 days, enriched 3 to 4; moist gel breads mould in under a week
    lean = keeping_days(staling_days(0.0, 0.0, 0.0), mould_days(38.0, 5.5, 0.0))
    rich = keeping_days(staling_days(12.0, 10.0, 0.0), mould_days(35.0, 5.5, 10.0))
    gel = keeping_days(staling_days(15.0, 0.0, 15.0), mould_days(48.0, 7.3, 0.0))
    assert 1.0 <= lean <= 2.0 < 3.0 <= rich <= 4.5
    assert gel == mould_days(48.0, 7.3, 0.0) < 3.0


def test_a_gel_crumb_short_of_its_core_temperature_is_at_risk_of_gumminess() -> None:
    assert gumminess_risk(0.1, 12.0, 8.0) > 0.6 > 0.4 > gumminess_risk(0.1, 12.0, 0.0)


def test_sweetness_is_counted_per_crumb() -> None:
    assert sweetness_pct(15.0, 750.0) == approx(2.0)


# Monotone in the right direction

PORTION = st.floats(0.0, 0.9)


@given(gas=PORTION, more=st.floats(0, 0.05), cells_mm3=st.floats(0.01, 100))
def test_more_gas_makes_larger_cells_and_more_cells_smaller_ones(
    gas: float, more: float, cells_mm3: float
) -> None:
    here = cell_diameter_mm(gas, cells_mm3)
    assert cell_diameter_mm(gas + more, cells_mm3) >= here
    assert cell_diameter_mm(gas, cells_mm3 * 2) <= here


@given(cells_mm3=st.floats(0.01, 100), minutes=st.floats(0, 700), longer=st.floats(0, 700))
def test_cells_only_become_fewer_and_two_waits_are_one(
    cells_mm3: float, minutes: float, longer: float
) -> None:
    left = cells_left_per_mm3(cells_mm3, minutes, 45.0)
    assert cells_left_per_mm3(cells_mm3, minutes + longer, 45.0) <= left <= cells_mm3


@given(water=st.floats(50, 500), loss=st.floats(0, 40), more=st.floats(0, 9))
def test_a_longer_bake_never_leaves_a_moister_crumb(water: float, loss: float, more: float) -> None:
    assert crumb_water_pct(water, 600.0, loss + more) <= crumb_water_pct(water, 600.0, loss) + 1e-9


@given(water=st.floats(50, 500), loss=st.floats(0, 49))
def test_dry_matter_is_kept_through_the_bake(water: float, loss: float) -> None:
    dry = (600.0 - loss) * (1 - crumb_water_pct(water, 600.0, loss) / 100)
    assert dry == approx(600.0 - water)


@given(protonated=st.floats(0, 100), surplus=st.floats(0, 100), more=st.floats(0, 50))
def test_more_acid_is_never_less_sour(protonated: float, surplus: float, more: float) -> None:
    assert sourness(protonated + more, surplus, 500.0) >= sourness(protonated, surplus, 500.0)
    assert sourness(protonated, surplus + more, 500.0) >= sourness(protonated, surplus, 500.0)


@given(temperature=st.floats(100, 250), hotter=st.floats(0, 10))
def test_a_hotter_crust_never_browns_slower(temperature: float, hotter: float) -> None:
    assert browning_rate_per_min(temperature + hotter) >= browning_rate_per_min(temperature)


@given(value=st.floats(0, 100), base=st.floats(0, 100))
def test_a_word_against_the_base_turns_with_the_difference(value: float, base: float) -> None:
    there, back = (
        against_word(value, base, 2.0, "less", "more"),
        against_word(base, value, 2.0, "less", "more"),
    )
    assert (there == "the same") == (back == "the same") == (abs(value - base) / 2.0 < 1)
    if there != "the same":
        assert there.replace("more", "less") == back.replace("more", "less") != there + back


def test_steps_of_a_difference_have_their_words() -> None:
    said = [against_word(10.0 + change, 10.0, 1.0, "less", "more") for change in (0.9, 1.5, 3.0, 6.0, -6.0)]
    assert said == ["the same", "a little more", "more", "much more", "much less"]


# Fixed points that a law must pass through exactly


def test_indices_stand_where_they_are_defined() -> None:
    assert crust_colour(0.0, 1.0, 1.0) == 0.0
    assert crust_colour(log(2), 1.0, 1.0) == approx(50.0)
    assert browning_factor_of_sugar(2.0) == approx(1.0)
    assert crust_surface_c(100.0) == approx(100.0)
    assert sourness(5.0, 0.0, 500.0) == approx(5.0)
    assert bitterness(0.7, 0.0) == approx(0.7)
    assert staling_days(0.0, 0.0, 0.0) == approx(1.5)
    assert mould_days(38.0, 5.5, 0.0) == approx(4.5)
    assert springiness(8.0, 1.0, 0.0, 0.0, 0.8) == approx(80 * (1 - exp(-1)))
    assert gumminess_risk(0.0, 0.0, 0.0) == 0.0
    assert gumminess_risk(2.0, 0.0, 0.0) == approx(1 - exp(-1))


def test_browning_follows_the_printed_constants() -> None:
    # Zanoni, Peri & Bruno 1995: 42,000 1/s and 64.151 kJ/mol; gas constant 8.31446
    by_hand = 42_000 * exp(-64_151 / 8.31446 / (160 + 273.15)) * 60
    assert browning_rate_per_min(160.0) == approx(by_hand, rel=1e-5)
    assert browning_exposure(200.0, 35.0) == approx(by_hand * 0.6 * 35, rel=1e-5)


def test_volume_gas_and_water_are_kept() -> None:
    assert baked_specific_volume(2.0, 0.12) * (1 - 0.12) == approx(2.0)
    for gas, number in ((0.5, 8.0), (0.83, 2.0)):
        assert number * pi / 6 * cell_diameter_mm(gas, number) ** 3 == approx(gas / (1 - gas))
    # 100 mL of crumb of 2 mL/g and 40 % water weigh 50 g and hold 20 g
    assert moistness(40.0, 2.0) == approx(20.0)


def test_arrays_work_as_well_as_numbers() -> None:
    surface = np.array([150.0, 160.0, 170.0])
    assert browning_rate_per_min(surface) == approx([browning_rate_per_min(t) for t in surface.tolist()])
    water = np.array([35.0, 40.0])
    assert mould_days(water, 5.5, 0.0) == approx([mould_days(w, 5.5, 0.0) for w in water.tolist()])


# Every law refuses what it does not hold for

REFUSED: dict[str, tuple[object, ...]] = {
    "baked_specific_volume": (2.0, 0.9),
    "cells_left_per_mm3": (8.0, -1.0, 45.0),
    "cell_diameter_mm": (1.0, 8.0),
    "springiness": (9.5, 2.0, 0.0, 0.0, 0.7),
    "crumb_water_pct": (370.0, 850.0, 400.0),
    "moistness": (38.0, 0.0),
    "gumminess_risk": (0.1, -1.0, 0.0),
    "browning_rate_per_min": (20.0,),
    "crust_surface_c": (500.0,),
    "browning_exposure": (200.0, -1.0),
    "browning_factor_of_sugar": (-1.0,),
    "crust_colour": (-1.0, 1.0, 1.0),
    "sourness": (1.0, 1.0, 0.0),
    "sweetness_pct": (-1.0, 500.0),
    "bitterness": (0.0, 50.0),
    "staling_days": (-1.0, 0.0, 0.0),
    "mould_days": (38.0, 12.0, 0.0),
    "keeping_days": (0.0, 3.0),
    "against_word": (1.0, 2.0, 0.0, "less", "more"),
    "volume_word": (2.0, 50.0),
    "cells_word": (31.0, 1.0),
    "springiness_word": (120.0, 10.0),
    "moistness_word": (10.0, 0.0),
    "crust_word": (10.0, -1.0),
    "sourness_word": (-1.0, 1.0),
    "sweetness_word": (1.0, 300.0),
    "bitterness_word": (-1.0, 0.0),
    "keeping_word": (0.0, 1.0),
    "openness_word": (1.2,),
    "crust_colour_word": (101.0,),
    "moist_word": (-1.0,),
}


def test_every_law_is_asked_for_something_outside_its_range() -> None:
    found = inspect.getmembers(crumb, inspect.isfunction)
    laws = {name for name, law in found if law.__module__ == crumb.__name__}
    assert {name for name in laws if not name.startswith("_")} == set(REFUSED)


@pytest.mark.parametrize("name", REFUSED)
def test_a_law_refuses_what_is_outside_its_range(name: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        getattr(crumb, name)(*REFUSED[name])
