"""Leavening laws against printed tables, an independent chemistry library, and conservation of matter."""

import inspect

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from assistant.laws import leavening
from assistant.laws.leavening import (
    CARBONATE_G_MOL,
    CO2_G_MOL,
    DECOMPOSED_IN_CRUMB,
    POWDER_LOSS_PER_MONTH_OPEN,
    POWDER_LOSS_PER_MONTH_SEALED,
    SODA_G_MOL,
    US_MINIMUM_CO2_PCT,
    WOKEN_HALF_LIFE_MIN,
    acid_for_soda,
    acid_mass_for_base,
    acid_mmol_from_meq,
    acid_mmol_from_neutralising_value,
    aged_powder_co2_pct,
    available_co2_pct,
    carbonate_left_g,
    co2_g,
    co2_mmol_from_heat,
    co2_mmol_from_powder,
    co2_mmol_from_soda,
    early_acid_mmol,
    early_gas_share,
    gas_fraction,
    gas_ml,
    molar_mass_g_mol,
    most_co2_pct_from_sodium,
    oven_gas_mmol,
    powder_dose_pct,
    powder_equal_to_soda_g,
    powder_equivalent_soda,
    powder_for_dose_g,
    residual_co2_pct,
    share_neutralised,
    share_of_gas_kept,
    slow_acid_unspent_mmol,
    soda_for_acid,
    soda_g,
    soda_left_g,
    soda_left_mmol,
    soda_mmol,
    soda_spent_cold_share,
    specific_volume_of_gas_fraction,
    specific_volume_raised,
    surplus_acid_mmol,
    wet_gas_ml,
    woken_share,
)

AMOUNT = st.floats(0.0, 500.0)
SHARE = st.floats(0.0, 1.0)


# Against chempy (independent atomic weights and balancing)

CHEMPY_FORMULA = {
    "NaHCO3": "NaHCO3",
    "KHCO3": "KHCO3",
    "NH4HCO3": "NH4HCO3",
    "Na2CO3": "Na2CO3",
    "CO2": "CO2",
    "H2O": "H2O",
    "CH3COOH": "CH3COOH",
    "C3H6O3": "C3H6O3",
    "C6H8O7": "C6H8O7",
    "C6H8O7.H2O": "C6H8O7..H2O",
    "C4H6O6": "C4H6O6",
    "KHC4H4O6": "KHC4H4O6",
    "Na2H2P2O7": "Na2H2P2O7",
    "Ca(H2PO4)2": "Ca(H2PO4)2",
    "Ca(H2PO4)2.H2O": "Ca(H2PO4)2..H2O",
    "NaAl(SO4)2": "NaAl(SO4)2",
    "KAl(SO4)2.12H2O": "KAl(SO4)2..12H2O",
    "NaH14Al3(PO4)8.4H2O": "NaH14Al3(PO4)8..4H2O",
    "MgHPO4.3H2O": "MgHPO4..3H2O",
    "CaHPO4.2H2O": "CaHPO4..2H2O",
    "NaHSO4": "NaHSO4",
    "NaCl": "NaCl",
    "C12H22O11": "C12H22O11",
}


@pytest.mark.parametrize("formula", CHEMPY_FORMULA)
def test_a_molar_mass_agrees_with_an_independent_library(formula: str) -> None:
    from chempy import Substance

    assert molar_mass_g_mol(formula) == approx(Substance.from_formula(CHEMPY_FORMULA[formula]).mass, rel=1e-4)


REACTIONS = [
    ({"NaHCO3"}, {"Na2CO3", "CO2", "H2O"}, "NaHCO3", 0.5),
    ({"NaHCO3", "CH3COOH"}, {"NaCH3COO", "CO2", "H2O"}, "NaHCO3", 1.0),
    ({"NaHCO3", "KHC4H4O6"}, {"NaKC4H4O6", "CO2", "H2O"}, "NaHCO3", 1.0),
    ({"NaHCO3", "C6H8O7"}, {"Na3C6H5O7", "CO2", "H2O"}, "NaHCO3", 1.0),
    ({"NaHCO3", "Na2H2P2O7"}, {"Na4P2O7", "CO2", "H2O"}, "NaHCO3", 1.0),
]


@pytest.mark.parametrize(("reactants", "products", "base", "co2_per_base"), REACTIONS)
def test_carbon_dioxide_per_soda_agrees_with_an_independently_balanced_reaction(
    reactants: set[str], products: set[str], base: str, co2_per_base: float
) -> None:
    from chempy import balance_stoichiometry

    left, right = balance_stoichiometry(reactants, products)
    assert float(right["CO2"]) / float(left[base]) == co2_per_base
    ours = co2_mmol_from_heat(10.0, 1.0) if len(reactants) == 1 else co2_mmol_from_soda(10.0, 10.0)
    assert ours == 10.0 * co2_per_base


def test_mass_is_kept_when_heat_decomposes_soda() -> None:
    soda, water = 84.006, molar_mass_g_mol("H2O") / 2
    left = co2_g(co2_mmol_from_heat(soda_mmol(soda), 1.0)) + carbonate_left_g(soda_mmol(soda), 1.0) + water
    assert left == approx(soda, rel=1e-6)


def test_gas_law_agrees_with_an_independent_equation_of_state() -> None:
    import CoolProp.CoolProp as cp  # CO2, Span-Wagner

    for temperature_c, pressure_pa in ((25.0, 101325.0), (80.0, 101325.0), (95.0, 80500.0)):
        density = cp.PropsSI("D", "T", temperature_c + 273.15, "P", pressure_pa, "CO2")
        assert gas_ml(1.0, temperature_c, pressure_pa) == approx(CO2_G_MOL / density * 1000 / 1000, rel=6e-3)


# What a baker knows


def test_soda_is_left_over_when_two_spoons_of_cream_of_tartar_meet_one_of_soda() -> None:
    # Food Additives Data Book: 2.24 parts to one; usda-sr28 spoons 3.0 g and 4.6 g
    tartar = 6000 / molar_mass_g_mol("KHC4H4O6")
    assert soda_left_g(soda_mmol(4.6), tartar) == approx(4.6 * (1 - 0.582), abs=0.05)


def test_the_three_for_one_spoon_rule_falls_short_in_gas_at_the_legal_strength() -> None:
    # published_substitutions: 3 tsp powder for 1 tsp soda; stoichiometry at 12 to 14 % needs 3.7 to 4.4
    assert powder_equal_to_soda_g(1.0, US_MINIMUM_CO2_PCT) > 3.0 * 1.4
    assert powder_equal_to_soda_g(1.0, 17.5) == approx(3.0, abs=0.02)


def test_powder_and_its_equivalent_soda_give_the_same_gas() -> None:
    soda = powder_equivalent_soda(12.0, 12.0)
    assert co2_g(soda_mmol(soda)) == approx(co2_g(co2_mmol_from_powder(12.0, 12.0)))


def test_a_powder_within_its_printed_composition_reaches_the_legal_minimum() -> None:
    # textbook household powder: 30 % soda, acid pyrophosphate 40 % at NV 72
    assert available_co2_pct(30.0, 40.0, 72.0) > US_MINIMUM_CO2_PCT
    # textbook double-acting powder: 28 % soda, 10 % monocalcium phosphate (NV 80), 20 % soda alum (NV 100)
    assert available_co2_pct(28.0, 10.0, 80.0, 20.0, 100.0) > US_MINIMUM_CO2_PCT
    # sodium on a label bounds it: usda-sr28 18370 cannot hold more soda than 28.8 %
    assert most_co2_pct_from_sodium(7893.0) * SODA_G_MOL / CO2_G_MOL == approx(28.8, abs=0.1)


def test_available_and_residual_gas_sum_to_all_the_soda_holds() -> None:
    for acid_pct in (0.0, 20.0, 36.0, 60.0):
        total = available_co2_pct(30.0, acid_pct, 72.0) + residual_co2_pct(30.0, acid_pct, 72.0)
        assert total == approx(30.0 * CO2_G_MOL / SODA_G_MOL)


def test_a_sealed_powder_outlasts_its_shelf_life_and_an_open_one_does_not() -> None:
    assert aged_powder_co2_pct(14.0, 18.0, POWDER_LOSS_PER_MONTH_SEALED[1]) >= US_MINIMUM_CO2_PCT
    assert aged_powder_co2_pct(14.0, 12.0, POWDER_LOSS_PER_MONTH_OPEN[1]) < US_MINIMUM_CO2_PCT


def test_a_spoon_of_vinegar_spends_a_quarter_to_a_third_of_the_soda_in_a_powder_cold() -> None:
    # practice: 12 mmol against 10 to 15 g powder of 28 % soda
    shares = [soda_spent_cold_share(soda_mmol(0.28 * powder), 12.0) for powder in (12.0, 14.0)]
    assert all(0.25 <= share <= 0.33 for share in shares)


def test_vinegar_in_a_complete_powder_leaves_as_much_slow_acid_unspent() -> None:
    base, slow, fast = 40.0, 28.0, 12.0
    assert slow_acid_unspent_mmol(base, fast, slow) == 0.0
    assert slow_acid_unspent_mmol(base, fast + 12.0, slow) == approx(12.0)


def test_hot_dough_wakes_slow_acid_and_cool_dough_does_not() -> None:
    # mcgee-2004: sodium aluminium phosphate wakes at 38-40 C
    assert woken_share(25.0, 39.0, 20.0) == 0.0
    assert 0.3 < woken_share(39.0, 39.0, 15.0) < 0.7
    assert woken_share(60.0, 39.0, 15.0) > 0.95


def test_a_fast_acid_gives_its_gas_before_the_oven_and_a_slow_one_in_it() -> None:
    fast = early_acid_mmol(20.0, 0.70, 0.02, 5.0, 0.0)  # cream of tartar: 70 % in the mix
    slow = early_acid_mmol(20.0, 0.21, 0.09, 5.0, 0.0)  # sodium aluminium phosphate: 20-22 % and 8-10 %
    assert early_gas_share(20.0, fast, 20.0) > 0.7
    assert early_gas_share(20.0, slow, 20.0) < 0.3


def test_gas_takes_a_quarter_more_room_at_1900_m() -> None:
    # ICAO standard atmosphere at 1,900 m: 80.5 kPa; practice: x 1.26
    assert gas_ml(1.0, 25.0, 80_500.0) / gas_ml(1.0, 25.0, 101_325.0) == approx(1.26, abs=0.005)


def test_vapour_swells_gas_in_hot_dough() -> None:
    # crc-handbook: 31.2 kPa at 70 C
    wet, dry = wet_gas_ml(1.0, 70.0, 101_325.0, 31_200.0), gas_ml(1.0, 70.0, 101_325.0)
    assert wet / dry == approx(1.445, abs=0.002)


def test_a_quick_loaf_of_usual_volume_keeps_part_of_its_gas() -> None:
    # 250 g flour with 12 g powder at 14 %; batter 600 g at 1.2 g/mL; specific volume 2.1 mL/g (typical)
    gas = gas_ml(co2_mmol_from_powder(12.0, 14.0), 80.0, 101_325.0)
    assert 0.3 < share_of_gas_kept(2.1, 1.2, 600.0, gas) < 1.0


# Fixed points that a law must pass through exactly


def test_definitions_pass_through_their_fixed_points() -> None:
    tartar = molar_mass_g_mol("KHC4H4O6")
    whole = acid_mmol_from_neutralising_value(10.0, 100 * SODA_G_MOL / tartar)
    assert whole == approx(10_000 / tartar)
    assert acid_mass_for_base(acid_mmol_from_meq(14.9, 0.833), 0.833) == approx(14.9)
    assert soda_left_g(50.0, 20.0) == approx(30.0 * SODA_G_MOL / 1000)
    assert available_co2_pct(30.0, 60.0, 72.0) == approx(30.0 * CO2_G_MOL / SODA_G_MOL)
    assert powder_for_dose_g(250.0, powder_dose_pct(12.0, 250.0)) == approx(12.0)
    assert powder_dose_pct(12.0, 300.0) == approx(4.0)
    assert soda_spent_cold_share(40.0, 10.0) + soda_left_mmol(40.0, 10.0) / 40.0 == approx(1.0)


def test_a_powder_ages_by_the_same_share_every_month() -> None:
    assert aged_powder_co2_pct(14.0, 0.0, 0.03) == 14.0
    in_two = aged_powder_co2_pct(aged_powder_co2_pct(14.0, 5.0, 0.03), 7.0, 0.03)
    assert aged_powder_co2_pct(14.0, 12.0, 0.03) == approx(in_two)
    assert aged_powder_co2_pct(14.0, 1.0, 0.03) == approx(14.0 * 0.97)


def test_a_heat_woken_acid_is_half_spent_after_a_half_life_at_its_waking_temperature() -> None:
    assert woken_share(40.0, 40.0, WOKEN_HALF_LIFE_MIN[1]) == approx(0.5)
    assert woken_share(40.0, 40.0, 2 * WOKEN_HALF_LIFE_MIN[1]) == approx(0.75)


# Properties


@given(base=AMOUNT, acid=AMOUNT)
def test_carbon_and_acid_are_conserved(base: float, acid: float) -> None:
    met = co2_mmol_from_soda(base, acid)
    assert met + soda_left_mmol(base, acid) == approx(base, abs=1e-9)
    assert met + surplus_acid_mmol(base, acid) == approx(acid, abs=1e-9)
    assert min(soda_left_mmol(base, acid), surplus_acid_mmol(base, acid)) == 0.0
    assert 0.0 <= share_neutralised(base, acid) <= 1.0


@given(base=AMOUNT, acid=AMOUNT, share=SHARE)
def test_sodium_is_conserved_through_heat(base: float, acid: float, share: float) -> None:
    left = soda_left_mmol(base, acid)
    carbonate_mmol = carbonate_left_g(left, share) * 1000 / CARBONATE_G_MOL
    bicarbonate_mmol = left - 2 * co2_mmol_from_heat(left, share)
    assert bicarbonate_mmol + 2 * carbonate_mmol == approx(left, abs=1e-9)


@given(base=AMOUNT, acid=AMOUNT, mix=SHARE, bench=SHARE, rest=st.floats(0, 600), woken=SHARE)
def test_early_and_oven_gas_sum_to_all_gas(
    base: float, acid: float, mix: float, bench: float, rest: float, woken: float
) -> None:
    early = early_acid_mmol(acid, mix, bench * (1 - mix), rest, woken)
    before = early_gas_share(base, early, acid) * co2_mmol_from_soda(base, acid)
    assert before + oven_gas_mmol(base, early, acid) == approx(co2_mmol_from_soda(base, acid), abs=1e-6)


@given(mix_c=st.floats(0, 99), warmer=st.floats(0, 1), minutes=st.floats(0, 200), wakes=st.floats(30, 70))
def test_a_warmer_dough_never_wakes_less(mix_c: float, warmer: float, minutes: float, wakes: float) -> None:
    assert woken_share(mix_c + warmer, wakes, minutes) >= woken_share(mix_c, wakes, minutes)


@given(soda=st.floats(0, 500), nv=st.floats(30, 150))
def test_acid_for_soda_and_soda_for_acid_are_inverse(soda: float, nv: float) -> None:
    assert soda_for_acid(acid_for_soda(soda, nv), nv) == approx(soda, abs=1e-9)
    assert soda_g(soda_mmol(soda)) == approx(soda, abs=1e-9)


@given(share=st.floats(0.0, 0.95), density=st.floats(0.8, 1.5))
def test_gas_fraction_and_specific_volume_are_inverse(share: float, density: float) -> None:
    assert gas_fraction(specific_volume_of_gas_fraction(share, density), density) == approx(share, abs=1e-9)


def test_the_gas_that_is_kept_makes_the_volume_it_was_read_from() -> None:
    volume = specific_volume_raised(1.2, 900.0, 600.0)
    assert share_of_gas_kept(volume, 1.2, 600.0, 1800.0) == approx(0.5)


def test_arrays_work_as_well_as_numbers() -> None:
    base, acid = np.array([10.0, 20.0, 0.0]), np.array([15.0, 5.0, 3.0])
    assert co2_mmol_from_soda(base, acid).tolist() == [10.0, 5.0, 0.0]
    temps = np.array([25.0, 60.0, 100.0])
    assert gas_ml(11.904, temps, 101_325.0) == approx([291.2, 325.4, 364.5], abs=0.1)
    assert woken_share(temps, 40.0, 10.0) == approx([woken_share(t, 40.0, 10.0) for t in temps.tolist()])
    with pytest.raises(ValueError, match="soda"):
        soda_mmol(np.array([1.0, -1.0]))


# Every law refuses what it does not hold for

REFUSED: dict[str, tuple[object, ...]] = {
    "molar_mass_g_mol": ("UO2",),
    "soda_mmol": (-1.0,),
    "soda_g": (-1.0,),
    "neutralising_value": (188.0, 0.0),
    "acid_for_soda": (5.0, 10.0),
    "soda_for_acid": (5.0, 200.0),
    "acid_mmol_from_neutralising_value": (-1.0, 72.0),
    "acid_mmol_from_meq": (10.0, 40.0),
    "acid_mass_for_base": (10.0, 0.0),
    "co2_mmol_from_soda": (-1.0, 1.0),
    "soda_left_mmol": (1.0, -1.0),
    "soda_left_g": (1.0, -1.0),
    "surplus_acid_mmol": (float("nan"), 1.0),
    "share_neutralised": (-1.0, 1.0),
    "co2_mmol_from_heat": (1.0, 1.2),
    "carbonate_left_g": (-1.0, 0.3),
    "co2_g": (-1.0,),
    "gas_ml": (1.0, 25.0, 10.0),
    "wet_gas_ml": (1.0, 99.0, 101_325.0, 101_000.0),
    "available_co2_pct": (60.0, 50.0, 72.0),
    "residual_co2_pct": (-1.0, 50.0, 72.0),
    "soda_pct_for_co2": (60.0,),
    "co2_mmol_from_powder": (10.0, 60.0),
    "powder_equal_to_soda_g": (1.0, 0.0),
    "powder_equivalent_soda": (-1.0,),
    "most_co2_pct_from_sodium": (40_000.0,),
    "most_co2_pct_from_potassium": (60_000.0,),
    "aged_powder_co2_pct": (14.0, -3.0, 0.01),
    "powder_dose_pct": (10.0, 0.0),
    "powder_for_dose_g": (300.0, 30.0),
    "woken_share": (140.0, 40.0, 10.0),
    "early_acid_mmol": (10.0, 0.8, 0.5, 5.0, 0.0),
    "early_gas_share": (10.0, 12.0, 5.0),
    "oven_gas_mmol": (10.0, 12.0, 5.0),
    "soda_spent_cold_share": (10.0, -1.0),
    "slow_acid_unspent_mmol": (10.0, 1.0, -1.0),
    "specific_volume_raised": (9.0, 100.0, 100.0),
    "gas_fraction": (0.5, 1.2),
    "specific_volume_of_gas_fraction": (1.0, 1.2),
    "share_of_gas_kept": (2.0, 1.2, 600.0, 0.0),
}


def test_every_law_is_asked_for_something_outside_its_range() -> None:
    found = inspect.getmembers(leavening, inspect.isfunction)
    laws = {name for name, law in found if law.__module__ == leavening.__name__}
    assert {name for name in laws if not name.startswith("_")} == set(REFUSED)


@pytest.mark.parametrize("name", REFUSED)
def test_a_law_refuses_what_is_outside_its_range(name: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        getattr(leavening, name)(*REFUSED[name])


@pytest.mark.parametrize("formula", ["", "NaHCO", "Na HCO3", "Ca(H2PO4", "CaH2)PO4", "nahco3", "Na2*CO3"])
def test_what_is_no_formula_is_refused_or_plainly_another(formula: str) -> None:
    if formula == "NaHCO":
        assert molar_mass_g_mol(formula) < SODA_G_MOL
    else:
        with pytest.raises(ValueError, match=r"formula|bracket"):
            molar_mass_g_mol(formula)


def test_the_share_decomposed_by_heat_is_a_range_and_says_so() -> None:
    low, usual, high = DECOMPOSED_IN_CRUMB
    assert 0 < low < usual < high < 1
