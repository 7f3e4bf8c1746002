"""Altitude against the standard atmosphere (fluids) and the steam tables (CoolProp); printed tables stand in
tests/published/altitude.csv."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from pytest import approx

from assistant.formula.model import Bake, Formula, Line
from assistant.laws import altitude
from assistant.plan.height import Height, Row, at_height
from assistant.rulebook.read import load
from assistant.talk import ovens
from assistant.words.derivation import FULL


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


# --- one answer for a kitchen -----------------------------------------------------------------------------


def cake(altitude_m: float = 0.0, product: str = "cake") -> Formula:
    """A plain cake for the sea: 4 % powder, baked at 175 C for 32 min."""
    grams = {"all-purpose-flour": 250, "sugar": 200, "butter": 110, "egg": 100, "milk": 180, "baking-powder": 10}
    lines = tuple(Line(name, name, float(mass_g)) for name, mass_g in grams.items())
    return Formula(
        "Plain cake", product, lines, bake=Bake(175, 32, pan="round tin"), pieces=2, piece_name="layer",
        altitude_m=altitude_m,
    )  # fmt: skip


def rows_of(found: Height) -> dict[str, Row]:
    return {row.kind: row for row in found.rows}


def test_a_cake_at_the_hut_by_the_laws_and_as_printed() -> None:
    """Powder by the air pressure (ICAO, 80,493 Pa at 1,900 m); print between 5,000 and 7,000 ft by hand:
    powder 3/4 to 4/5, sugar less 0.6 to 2.6 tbsp per cup, liquid 2 to 4 tbsp per cup more, oven 15-25 F hotter
    (University of Wyoming Extension, Altitude Adjusters: Cakes; Utah State University Extension, FAQ 204)."""
    book, _ = load()
    found = at_height(cake(), 1900.0, book, FULL)
    rows = rows_of(found)
    assert rows["powder"].law.value == approx(10 * 80_493 / 101_325, rel=1e-3)
    assert rows["powder"].printed == approx((7.5, 7.98), abs=0.01)
    part = (1900 - 1524) / (2133.6 - 1524)
    assert rows["sugar"].printed == approx((200 * (1 - (2 + part) / 16), 200 * (1 - part / 16)))
    assert rows["liquid"].printed == approx((180 * 18 / 16, 180 * 20 / 16))
    assert rows["oven"].printed == approx((175 + 15 / 1.8, 175 + 25 / 1.8))
    assert found.hotter is not None
    assert found.hotter[1].value < 32


def test_where_law_and_table_part_is_said() -> None:
    """Powder agrees; evaporation asks for a few grams of water where print adds 22 to 45; no law cuts the sugar."""
    book, _ = load()
    found = at_height(cake(), 1900.0, book, FULL)
    rows = rows_of(found)
    assert not rows["powder"].parts
    assert rows["sugar"].parts and rows["liquid"].parts and rows["oven"].parts
    more = rows["liquid"].law.value - 180
    assert 0 < more < 12
    assert rows["liquid"].law.low is not None and rows["liquid"].law.low > 180
    said = " ".join(ovens.height(found, "Plain cake", book).split())
    assert "Law and table part on liquid: evaporation explains only this much" in said
    assert "University of Wyoming Extension, Altitude Adjusters: Cakes" in said


def test_there_and_back_is_where_it_was() -> None:
    book, _ = load()
    up = at_height(cake(), 1900.0, book, FULL).changed
    down = rows_of(at_height(up, 0.0, book, FULL))
    assert down["powder"].law.value == approx(10, abs=0.1)  # rounded to 0.1 g on the way
    assert down["powder"].printed == approx((7.9 / 0.798, 7.9 / 0.75), abs=0.02)
    assert down["liquid"].law.value == approx(180, abs=1.5)


@pytest.mark.parametrize(
    ("product", "table", "powder"),
    [("muffin", "quick bread", (7.5, 7.5)), ("cookie", "cookie", (7.5, 8.8)), ("cake", "cake", (7.5, 7.98))],
)
def test_each_class_has_the_printed_table_that_speaks_of_it(
    product: str, table: str, powder: tuple[float, float]
) -> None:
    book, _ = load()
    found = at_height(cake(product=product), 1900.0, book, FULL)
    assert found.table == table
    assert rows_of(found)["powder"].printed == approx(powder, abs=0.01)


def test_low_and_very_high_kitchens_have_no_printed_table() -> None:
    """Nothing changes in print below 3,000 ft; tables end at 7,000 ft and are not carried beyond 3,500 m."""
    book, _ = load()
    low, high = (at_height(cake(), height, book, FULL) for height in (600.0, 4000.0))
    assert not low.printed and not high.printed
    assert high.beyond and not low.beyond
    assert rows_of(high)["powder"].law.value == approx(10 * altitude.pressure_pa(4000.0) / 101_325, rel=1e-3)
    assert "Printed tables end at 7,000 ft" in ovens.height(high, "Plain cake", book)


def test_what_a_table_does_not_know_is_refused() -> None:
    with pytest.raises(ValueError, match="printed table"):
        altitude.printed_adjustment(1900.0, "stew")


def test_every_class_names_a_table_there_is_or_none() -> None:
    book, _ = load()
    assert {product.height_table for product in book.products.values()} <= {"", *altitude.PRINTED_TABLES}
