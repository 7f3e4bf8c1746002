"""Thermal laws against published values, the steam tables (CoolProp) and themselves."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from pytest import approx

from assistant.laws.shape import Block, block_of, eigenvalues, equivalent_exponent
from assistant.laws.thermal import (
    COMPONENTS,
    Composition,
    air_conductivity_w_mk,
    air_density_kg_m3,
    air_specific_heat_j_kgk,
    boiling_point_c,
    component_conductivity_w_mk,
    component_density_kg_m3,
    component_specific_heat_j_kgk,
    conductivity_w_mk,
    density_kg_m3,
    diffusivity_m2_s,
    latent_heat_j_kg,
    porous_conductivity_w_mk,
    radiative_coefficient_w_m2k,
    saturation_pressure_pa,
    saturation_slope_pa_k,
    specific_heat_j_kgk,
    vapour_diffusivity_m2_s,
    vapour_film_m_s,
    vapour_transport_w_mk,
    volume_fractions,
    wet_pore_conductivity_w_mk,
)

LEAN = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)


@pytest.mark.parametrize("temp_c", [20, 40, 60, 80, 99])
def test_water_as_a_component_is_the_water_of_the_steam_tables(temp_c: float) -> None:
    """CoolProp (IAPWS-95, IAPWS 2011 conductivity); the polynomials follow 1 %, 2 % at 5 C."""
    state = ("T", temp_c + 273.15, "P", 101_325, "Water")
    assert component_conductivity_w_mk("water", temp_c) == approx(PropsSI("L", *state), rel=0.01)
    assert component_density_kg_m3("water", temp_c) == approx(PropsSI("D", *state), rel=0.005)
    assert component_specific_heat_j_kgk("water", temp_c) == approx(PropsSI("C", *state), rel=0.006)


@pytest.mark.parametrize("temp_c", [1, 25, 60, 93.5, 100, 140, 200])
def test_saturation_is_that_of_the_steam_tables(temp_c: float) -> None:
    """CoolProp (IAPWS-95); the auxiliary equations follow it within 0.02 %."""
    kelvin = temp_c + 273.15
    assert saturation_pressure_pa(temp_c) == approx(PropsSI("P", "T", kelvin, "Q", 0, "Water"), rel=2e-4)
    heat = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
    assert latent_heat_j_kg(temp_c) == approx(heat, rel=5e-4)


@pytest.mark.parametrize("pressure_pa", [50e3, 80.5e3, 101_325.0, 110e3])
def test_water_boils_where_the_steam_tables_say(pressure_pa: float) -> None:
    """CoolProp (IAPWS-95)."""
    boils_c = PropsSI("T", "P", pressure_pa, "Q", 0, "Water") - 273.15
    assert boiling_point_c(pressure_pa) == approx(boils_c, abs=0.002)


def test_the_slope_of_saturation_is_its_derivative() -> None:
    temps = np.linspace(5, 130, 26)
    rise = (saturation_pressure_pa(temps + 0.01) - saturation_pressure_pa(temps - 0.01)) / 0.02
    assert saturation_slope_pa_k(temps) == approx(rise, rel=1e-5)


def test_boiling_undoes_saturation() -> None:
    pressures = np.linspace(40e3, 110e3, 15)
    assert saturation_pressure_pa(boiling_point_c(pressures)) == approx(pressures, rel=1e-9)


@pytest.mark.parametrize("temp_c", [20, 60, 100, 150, 200])
def test_air_is_that_of_the_tables(temp_c: float) -> None:
    """CoolProp (Lemmon 2000, 2004) for dry air; table precision 2 %."""
    state = ("T", temp_c + 273.15, "P", 101_325, "Air")
    assert air_conductivity_w_mk(temp_c) == approx(PropsSI("L", *state), rel=0.02)
    assert air_density_kg_m3(temp_c) == approx(PropsSI("D", *state), rel=0.001)
    assert air_specific_heat_j_kgk(temp_c) == approx(PropsSI("C", *state), rel=0.002)


@pytest.mark.parametrize("temp_c", [0.0, 25.0, 60.0, 100.0, 150.0])
def test_no_component_turns_unphysical_over_the_range(temp_c: float) -> None:
    """The misprinted slope of fat (-2.7604e-3) would make its conductivity negative from 65 C."""
    for name in COMPONENTS:
        assert 0.1 < component_conductivity_w_mk(name, temp_c) < 0.75
        assert 850 < component_density_kg_m3(name, temp_c) < 2500
        assert 1000 < component_specific_heat_j_kgk(name, temp_c) < 4400


def test_a_mixture_of_one_component_is_that_component() -> None:
    water = Composition(1.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert conductivity_w_mk(water, 60.0) == approx(component_conductivity_w_mk("water", 60.0))
    assert density_kg_m3(water, 60.0) == approx(component_density_kg_m3("water", 60.0))
    assert diffusivity_m2_s(water, 60.0) == approx(
        component_conductivity_w_mk("water", 60.0)
        / component_density_kg_m3("water", 60.0)
        / component_specific_heat_j_kgk("water", 60.0)
    )


def test_volume_fractions_fill_the_volume() -> None:
    assert sum(volume_fractions(LEAN, 60.0)) == approx(1.0, abs=1e-12)


def test_arrays_give_what_their_scalars_give() -> None:
    temps = np.array([20.0, 55.0, 90.0])
    for law in (density_kg_m3, specific_heat_j_kgk, conductivity_w_mk, diffusivity_m2_s):
        assert law(LEAN, temps) == approx([law(LEAN, float(temp)) for temp in temps], rel=1e-12)
    waters = Composition(*(np.array([part, part]) for part in LEAN.parts))
    assert density_kg_m3(waters, 25.0) == approx([density_kg_m3(LEAN, 25.0)] * 2)


def test_drying_keeps_the_solids_in_proportion() -> None:
    dry = LEAN.dried(0.05)
    assert sum(dry.parts) == approx(1.0)
    assert dry.protein / dry.carbohydrate == approx(LEAN.protein / LEAN.carbohydrate)


def test_pores_join_matrix_and_gas_at_the_ends_and_lie_between() -> None:
    assert porous_conductivity_w_mk(0.48, 0.03, 0.0) == approx(0.48)
    assert porous_conductivity_w_mk(0.48, 0.48, 0.6) == approx(0.48)
    falls = porous_conductivity_w_mk(0.48, 0.03, np.linspace(0, 0.9, 10))
    assert np.all(np.diff(falls) < 0)
    parallel = 0.48 * 0.5 + 0.03 * 0.5
    series = 1 / (0.5 / 0.48 + 0.5 / 0.03)
    assert series < porous_conductivity_w_mk(0.48, 0.03, 0.5) < parallel


def test_maxwell_is_first_order_exact_for_few_pores() -> None:
    """Maxwell (1873): k/km = 1 - 3 f (km - kp)/(2 km + kp) for small f."""
    few = 1e-4
    slope = (porous_conductivity_w_mk(0.48, 0.03, few) / 0.48 - 1) / few
    assert slope == approx(-3 * 0.45 / (2 * 0.48 + 0.03), rel=1e-3)


def test_a_wet_pore_conducts_better_than_dense_dough_once_it_is_hot() -> None:
    """Above roughly 55-60 C vapour carries more than the dough around conducts (de Vries 1958)."""
    dough = conductivity_w_mk(LEAN, 60.0)
    assert wet_pore_conductivity_w_mk(40.0, 101_325.0, 1.0, 1e3) < dough
    assert wet_pore_conductivity_w_mk(65.0, 101_325.0, 1.0, 1e3) > dough


def test_a_capped_pore_stays_under_its_cap_and_a_closed_one_is_air() -> None:
    assert wet_pore_conductivity_w_mk(97.0, 101_325.0, 1.0, 1.5) < 1.5 + 0.04
    assert wet_pore_conductivity_w_mk(80.0, 101_325.0, 0.0, 1.5) == approx(air_conductivity_w_mk(80.0))


def test_thin_air_lets_vapour_carry_more() -> None:
    assert vapour_transport_w_mk(80.0, 80_000.0) > vapour_transport_w_mk(80.0, 101_325.0)
    assert vapour_diffusivity_m2_s(60.0, 50_000.0) == approx(2 * vapour_diffusivity_m2_s(60.0, 100_000.0))


def test_vapour_diffusivity_in_air_is_the_handbook_one() -> None:
    """Incropera table A.8: 0.26e-4 m2/s at 298 K and 1 atm."""
    assert vapour_diffusivity_m2_s(25.0, 101_325.0) == approx(0.26e-4, abs=0.005e-4)


def test_lewis_factor_of_water_in_air_is_near_one() -> None:
    """h / (hm rho cp) = Le^(2/3), about 0.9 for water in air (Incropera sec. 6.7)."""
    factor = 10.0 / (vapour_film_m_s(10.0, 60.0, 101_325.0) * 1.0595 * 1007.5)
    assert factor == approx(0.9, abs=0.03)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Composition(0.5, 0.5, 0.5, 0.0, 0.0, 0.0),
        lambda: Composition(1.2, -0.2, 0.0, 0.0, 0.0, 0.0),
        lambda: Composition.of_masses(0, 0, 0, 0, 0, 0),
        lambda: component_conductivity_w_mk("water", 200.0),
        lambda: porous_conductivity_w_mk(0.4, 0.03, 1.2),
        lambda: saturation_pressure_pa(-20.0),
        lambda: vapour_transport_w_mk(101.0, 101_325.0),
        lambda: radiative_coefficient_w_m2k(100.0, 180.0, 1.4),
        lambda: boiling_point_c(10.0),
        lambda: block_of("dodecahedron", 1e-3),
        lambda: block_of("ball", 0.02),
        lambda: eigenvalues(3, 1.0),
        lambda: equivalent_exponent(Block(ball_m=0.03), 20, 0.5, 1.5),
    ],
)
def test_what_is_out_of_range_is_refused_with_a_sentence(call: object) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+ \w+"):
        call()  # type: ignore[operator]
