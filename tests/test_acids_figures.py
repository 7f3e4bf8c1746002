"""Figures of acids, bases, powders and sour ingredients against an independent chemistry library, the
sodium and potassium of SR28, and printed values (tests/published/leavening_acids.csv)."""

import csv
from pathlib import Path

import pytest
from chempy import Substance
from pytest import approx

from assistant.rulebook.model import Acid, Ingredient
from assistant.rulebook.read import load

BOOK, _ = load()
PUBLISHED = Path(__file__).parent / "published" / "leavening_acids.csv"
ROWS = list(csv.DictReader(PUBLISHED.read_text(encoding="utf-8").splitlines()))
POWDERS = sorted(i.id for i in BOOK.members("baking-powder"))
SODA_G_MOL = Substance.from_formula("NaHCO3").mass

PROTONS = {
    "acetic": 1, "lactic": 1, "gluconic": 1, "propionic": 1, "formic": 1, "quinic": 1, "pyroglutamic": 1,
    "citric": 3, "citric-monohydrate": 3, "tartaric": 2, "malic": 2, "succinic": 2, "oxalic": 2,
    "adipic": 2, "fumaric": 2,
    "phosphoric": 2, "ascorbic": 1, "bitartrate": 1, "gdl": 1, "bisulphate": 1, "alum": 3, "sas": 3,
}  # fmt: skip
"""Protons a molecule gives to soda, from its structure: carboxyls; two of phosphoric acid; three by
hydrolysis of aluminium; the first of ascorbic acid. Other phosphates follow no whole number."""


def substance(acid: Acid) -> Substance:
    return Substance.from_formula(acid.formula.replace(".", ".."))  # the library's way to write hydrates


def independent_mass(acid: Acid) -> float:
    mass = substance(acid).mass
    assert isinstance(mass, float)
    return mass


def rows(quantity: str) -> list[dict[str, str]]:
    found = [row for row in ROWS if row["quantity"] == quantity]
    assert found
    return found


def id_of(value: object) -> str:
    return value["entry"] if isinstance(value, dict) else str(value)


def within(value: float, row: dict[str, str]) -> bool:
    """Whether a value lies within what is printed, to half of the last printed digit."""
    low, high = row["low"] or row["value"], row["high"] or row["value"]
    half = [0.5 * 10.0 ** -len(end.partition(".")[2]) for end in (low, high)]
    return float(low) - half[0] <= value <= float(high) + half[1]


def meq_per_g(ingredient: Ingredient) -> float:
    return sum(reactant.amount.value for reactant in ingredient.acids)


def parts_pct(powder: Ingredient) -> dict[str, float]:
    """Mass of each part of a powder, % of it: bases by their molar mass, acids by neutralising value."""
    parts = {b.species: b.amount.value * independent_mass(BOOK.acids[b.species]) / 10 for b in powder.bases}
    for reactant in powder.acids:
        value = BOOK.acids[reactant.species].neutralising_value
        assert value is not None
        parts[reactant.species] = reactant.amount.value * SODA_G_MOL / 10 / (value.value / 100)
    return parts


def element_pct(parts: dict[str, float], number: int) -> float:
    """Share of an element in the parts of a powder, %, by atomic number."""
    total = 0.0
    for species, pct in parts.items():
        found = substance(BOOK.acids[species])
        total += pct * found.composition.get(number, 0) * {11: 22.98977, 19: 39.0983}[number] / found.mass
    return total


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
    printed = {row["entry"] for row in rows("neutralising value")}
    assert {a.id for a in BOOK.acids.values() if a.neutralising_value} <= printed | set(PROTONS)


@pytest.mark.parametrize("row", rows("neutralising value"), ids=id_of)
def test_a_neutralising_value_lies_within_the_printed_ones(row: dict[str, str]) -> None:
    value = BOOK.acids[row["entry"]].neutralising_value
    assert value is not None and within(value.value, row)


@pytest.mark.parametrize("row", rows("parts per part soda"), ids=id_of)
def test_parts_of_acid_per_part_of_soda_are_as_printed(row: dict[str, str]) -> None:
    value = BOOK.acids[row["entry"]].neutralising_value
    assert value is not None and 100 / value.value == approx(float(row["value"]), abs=0.005)


@pytest.mark.parametrize("row", rows("protons used"), ids=id_of)
def test_protons_used_at_the_tabulated_value_are_as_printed(row: dict[str, str]) -> None:
    acid = BOOK.acids[row["entry"]]
    assert acid.neutralising_value is not None
    used = acid.neutralising_value.value / 100 * independent_mass(acid) / SODA_G_MOL
    assert used == approx(float(row["value"]), abs=0.01)


@pytest.mark.parametrize("row", rows("wakes"), ids=id_of)
def test_a_heat_woken_acid_wakes_where_it_is_printed(row: dict[str, str]) -> None:
    wakes = BOOK.acids[row["entry"]].wakes_c
    assert wakes is not None and within(wakes.value, row)


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


@pytest.mark.parametrize("powder_id", ["baking-powder", "baking-powder-phosphate"])
def test_the_parts_of_a_powder_close_the_sodium_of_sr28(powder_id: str) -> None:
    row = next(r for r in rows("sodium") if r["entry"] == powder_id)
    sodium_mg = 1000 * element_pct(parts_pct(BOOK.ingredients[powder_id]), 11)
    assert sodium_mg == approx(float(row["value"]), rel=0.01)


@pytest.mark.parametrize(
    "powder_id", ["baking-powder-tartrate", "baking-powder-aluminium-free", "baking-powder-single-acting"]
)
def test_the_sodium_of_a_powder_without_a_table_row_is_that_of_its_parts(powder_id: str) -> None:
    powder = BOOK.ingredients[powder_id]
    sodium_mg = 1000 * element_pct(parts_pct(powder), 11)
    assert powder.composition["sodium_mg"].value == approx(sodium_mg, rel=0.01)


def test_the_potassium_of_a_low_sodium_powder_is_all_bicarbonate() -> None:
    row = next(r for r in rows("potassium") if r["entry"] == "baking-powder-low-sodium")
    potassium_mg = 1000 * element_pct(parts_pct(BOOK.ingredients[row["entry"]]), 19)
    assert potassium_mg == approx(float(row["value"]), rel=0.01)


def test_baking_soda_is_pure_by_its_sodium() -> None:
    row = next(r for r in rows("sodium") if r["entry"] == "baking-soda")
    soda = BOOK.ingredients[row["entry"]]
    assert soda.composition["sodium_mg"].value == float(row["value"])
    assert soda.bases[0].amount.value * 22.98977 * 100 == approx(float(row["value"]), rel=0.001)


@pytest.mark.parametrize("row", rows("soda"), ids=id_of)
def test_the_soda_of_a_powder_lies_within_its_printed_share(row: dict[str, str]) -> None:
    assert within(parts_pct(BOOK.ingredients[row["entry"]])["bicarbonate"], row)


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


@pytest.mark.parametrize("row", rows("acidity"), ids=id_of)
def test_acidity_lies_within_the_published_values(row: dict[str, str]) -> None:
    assert within(meq_per_g(BOOK.ingredients[row["entry"]]), row)


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
