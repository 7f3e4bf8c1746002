"""Altitude against the standard atmosphere (fluids) and the steam tables (CoolProp); printed tables stand in
tests/published/altitude.csv."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from pytest import approx

from assistant.laws import altitude


@pytest.mark.parametrize("altitude_m", [-400, 0, 500, 1900, 3000, 4500, 6000])
def test_pressure_is_that_of_the_standard_atmosphere(altitude_m: float) -> None:
    """fluids, U.S. Standard Atmosphere 1976."""
    assert altitude.pressure_pa(altitude_m) == approx(ATMOSPHERE_1976(altitude_m).P, rel=1e-4)


@pytest.mark.parametrize("altitude_m", [0, 500, 1000, 1900, 2500, 4000])
def test_boiling_point_is_that_of_the_steam_tables(altitude_m: float) -> None:
    """CoolProp at the pressure of fluids' standard atmosphere."""
    boils_c = PropsSI("T", "P", ATMOSPHERE_1976(altitude_m).P, "Q", 0, "Water") - 273.15
    assert altitude.boiling_point_c(altitude_m) == approx(boils_c, abs=0.02)


def test_nothing_changes_below_three_thousand_feet_in_print() -> None:
    assert altitude.printed_adjustment(900.0) is None


def test_at_the_hut_gas_expands_by_a_quarter_and_powder_falls_by_a_fifth() -> None:
    """Common practice for 1,900 m: gas x1.26, powder about a fifth less."""
    assert altitude.gas_expansion(1900.0) == approx(1.26, abs=0.01)
    assert altitude.powder_share(1900.0) == approx(0.8, abs=0.01)


def test_expansion_and_powder_cancel() -> None:
    heights = np.linspace(0, 4000, 9)
    assert altitude.gas_expansion(heights) * altitude.powder_share(heights) == approx(1.0, rel=1e-12)
    assert altitude.powder_share(2500.0, 2500.0) == 1.0


def test_the_core_target_is_kept_until_boiling_comes_near() -> None:
    """The smaller of target and boiling point less 1.5 C, never the target less boiling's fall."""
    assert altitude.core_target_c(88.0, 1900.0) == 88.0
    assert altitude.core_target_c(98.0, 1900.0) == approx(float(altitude.boiling_point_c(1900.0)) - 1.5)
    assert altitude.core_target_c(98.0, 0.0) == 98.0


def test_everything_moves_one_way_with_height() -> None:
    heights = np.linspace(0, 6000, 25)
    assert np.all(np.diff(altitude.pressure_pa(heights)) < 0)
    assert np.all(np.diff(altitude.boiling_point_c(heights)) < 0)
    assert np.all(np.diff(altitude.flash_share(heights)) > 0)


@pytest.mark.parametrize("altitude_m", [-1000.0, 9000.0, float("nan")])
def test_heights_where_nobody_bakes_are_refused(altitude_m: float) -> None:
    with pytest.raises(ValueError, match="altitude"):
        altitude.pressure_pa(altitude_m)
