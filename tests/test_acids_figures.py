"""Figures of acids, bases, powders and sour ingredients against an independent chemistry library and each
other; printed values stand in tests/published/leavening_acids.csv."""

import pytest
from pytest import approx

from assistant.rulebook.model import Acid, Ingredient
from tests.published.checks import checks
from tests.published.models import (
    SODA_G_MOL,
    book,
    independent_mass,
    meq_per_g,
    mineral_of_parts_mg,
    parts_pct,
    substance,
)

BOOK = book()
POWDERS = sorted(i.id for i in BOOK.members("baking-powder"))

PROTONS = {
    "acetic": 1, "lactic": 1, "gluconic": 1, "propionic": 1, "formic": 1, "quinic": 1, "pyroglutamic": 1,
    "citric": 3, "citric-monohydrate": 3, "tartaric": 2, "malic": 2, "succinic": 2, "oxalic": 2,
    "adipic": 2, "fumaric": 2,
    "phosphoric": 2, "ascorbic": 1, "bitartrate": 1, "gdl": 1, "bisulphate": 1, "alum": 3, "sas": 3,
}  # fmt: skip
"""Protons a molecule gives to soda, from its structure: carboxyls; two of phosphoric acid; three by
hydrolysis of aluminium; the first of ascorbic acid. Other phosphates follow no whole number."""


# ---- species ----


@pytest.mark.parametrize("acid", BOOK.acids.values(), ids=lambda acid: acid.id)
def test_a_molar_mass_agrees_with_an_independent_library(acid: Acid) -> None:
    assert acid.molar_mass.value == approx(independent_mass(acid), abs=0.015)  # printed to 0.01


@pytest.mark.parametrize("name", sorted(PROTONS))
def test_a_neutralising_value_is_its_protons_over_its_mass(name: str) -> None:
    value = BOOK.acids[name].neutralising_value
    assert value is not None
    stoichiometric = 100 * PROTONS[name] * SODA_G_MOL / independent_mass(BOOK.acids[name])
    assert value.value == approx(stoichiometric, abs=0.15)  # the table prints one decimal


def test_every_neutralising_value_is_checked_somewhere() -> None:
    printed = {check.inputs for check in checks("leavening_acids")}
    for acid in BOOK.acids.values():
        if acid.neutralising_value:
            assert acid.id in PROTONS or f'nv("{acid.id}")' in printed, acid.id


@pytest.mark.parametrize("acid", [a for a in BOOK.acids.values() if a.release], ids=lambda acid: acid.id)
def test_shares_of_release_make_a_whole(acid: Acid) -> None:
    assert set(acid.release) == {"mix", "bench", "oven"}
    assert sum(share.value for share in acid.release.values()) == approx(1.0, abs=0.001)


@pytest.mark.parametrize("acid", BOOK.acids.values(), ids=lambda acid: acid.id)
def test_pka_rise_step_by_step(acid: Acid) -> None:
    steps = [step.value for step in acid.pka]
    assert steps == sorted(steps)


def test_charge_counts_the_metal_already_in_the_salt() -> None:
    metals = {11: 1, 19: 1, 20: 2}  # sodium, potassium, calcium
    for acid in BOOK.acids.values():
        composition = substance(acid).composition
        if acid.pka and not {13, 7, 16} & set(composition):  # aluminium, nitrogen and sulphur go otherwise
            assert acid.charge == sum(n * composition.get(z, 0) for z, n in metals.items()), acid.id


# ---- powders ----


@pytest.mark.parametrize("powder_id", POWDERS)
def test_acid_balances_soda_in_fresh_powder(powder_id: str) -> None:
    powder = BOOK.ingredients[powder_id]
    base = sum(reactant.amount.value for reactant in powder.bases)
    assert meq_per_g(powder) == approx(base, rel=0.01)


@pytest.mark.parametrize(
    "powder_id", ["baking-powder-tartrate", "baking-powder-aluminium-free", "baking-powder-single-acting"]
)
def test_the_sodium_of_a_powder_without_a_table_row_is_that_of_its_parts(powder_id: str) -> None:
    sodium_mg = mineral_of_parts_mg(powder_id, "sodium")
    assert BOOK.ingredients[powder_id].composition["sodium_mg"].value == approx(sodium_mg, rel=0.01)


def test_baking_soda_is_pure_by_its_sodium() -> None:
    soda = BOOK.ingredients["baking-soda"]
    sodium_mg = soda.composition["sodium_mg"].value  # usda-sr28 18372, in the published table
    assert soda.bases[0].amount.value * 22.98977 * 100 == approx(sodium_mg, rel=0.001)


@pytest.mark.parametrize("powder_id", POWDERS)
def test_the_parts_and_starch_of_a_powder_fit_into_it(powder_id: str) -> None:
    powder = BOOK.ingredients[powder_id]
    held = sum(parts_pct(powder).values()) + powder.composition["starch_g"].value
    assert held <= 100.5  # the rest is water and filler


@pytest.mark.parametrize("powder_id", POWDERS)
def test_fresh_powder_holds_the_carbon_dioxide_asked_of_it(powder_id: str) -> None:
    base = sum(reactant.amount.value for reactant in BOOK.ingredients[powder_id].bases)
    least_pct = 10.0  # canada-food-drug B.03.002; the low-sodium powder misses the US 12 (bakers-dictionary)
    assert min(base, meq_per_g(BOOK.ingredients[powder_id])) * 44.0095 / 10 >= least_pct


def test_every_powder_warns_of_its_starch_and_those_with_alum_of_aluminium() -> None:
    for powder_id in POWDERS:
        powder = BOOK.ingredients[powder_id]
        assert "powder-starch" in powder.cautions and "gluten-cereals" in powder.may_contain
        alum = any(13 in substance(BOOK.acids[reactant.species]).composition for reactant in powder.acids)
        assert ("aluminium" in powder.cautions) == alum


# ---- sour things ----


@pytest.mark.parametrize("ingredient", BOOK.members("leavening-acid"), ids=lambda i: i.id)
def test_a_dry_acid_brings_what_its_neutralising_value_says(ingredient: Ingredient) -> None:
    reactant = ingredient.acids[0]
    acid = BOOK.acids[reactant.species]
    assert acid.neutralising_value is not None
    purity = {"lactic-acid-powder": 0.60, "citric-acid-monohydrate": 192.12 / 210.14}.get(ingredient.id, 1.0)
    assert reactant.amount.value == approx(purity * acid.neutralising_value.value / SODA_G_MOL * 10, rel=0.01)


def test_milk_buffers_and_brings_no_acid() -> None:
    for ingredient in BOOK.members("milk"):
        if "cultured-milk" not in ingredient.classes:
            assert not ingredient.acids, ingredient.id


def test_cultured_milk_brings_lactic_acid() -> None:
    for ingredient in BOOK.members("cultured-milk"):
        assert [a.species for a in ingredient.acids] == ["lactic"], ingredient.id


def test_cream_of_tartar_leaves_no_digestible_carbohydrate() -> None:
    tartar = BOOK.ingredients["cream-of-tartar"].composition
    left = tartar["carbohydrate_g"].value - tartar["fibre_g"].value - tartar["organic_acids_g"].value
    assert left == approx(0.0, abs=0.05)


# ---- yeast ----


def test_yeast_forms_stand_as_the_trade_converts_them() -> None:
    forms = ("fresh-yeast", "active-dry-yeast", "instant-yeast")
    fresh, active, instant = (BOOK.ingredients[form].does["yeast-gas"].value for form in forms)
    assert 0.40 <= fresh / active <= 0.50  # bread-textbook: g active dry for 1 g fresh
    assert 0.30 <= fresh / instant <= 0.40  # bread-textbook 0.33; makers to 0.40


def test_a_packet_of_dry_yeast_is_two_and_a_quarter_spoons() -> None:
    for name in ("active-dry-yeast", "instant-yeast"):
        measures = BOOK.ingredients[name].measures
        assert measures["packet"].value / measures["tsp"].value == approx(2.25, abs=0.02)  # common practice
        assert measures["tsp"].high == 4.0  # usda-sr28 18375, shown as the upper end
