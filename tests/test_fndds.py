"""Nutrients of baked foods: grams of each ingredient in, nutrients per 100 g out, against the published ones.

USDA FNDDS 2021-2023 (usda-fndds-2021) publishes for each food its ingredients in grams, the change of
moisture and the nutrients per 100 g. Ingredients are the rulebook's own wherever it holds the food of that
SR number (usda-sr28), else the row carried in published/sr28_rows.csv. Left out are recipes that use another
prepared food of the survey. FNDDS uses flour values that are newer than SR28: most misses in protein come
from that.
"""

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path
from statistics import median

import pytest

from assistant.formula.model import Formula, Line
from assistant.plan.model import Nutrition
from assistant.plan.nutrition import nutrition_of
from assistant.rulebook.model import NUTRIENTS, Figure, Ingredient, Rulebook
from assistant.rulebook.read import load
from assistant.words.derivation import BARE, Derivation

PUBLISHED = Path(__file__).parent / "published"
TAP_WATER = {"14411", "14429"}
"""SR numbers of tap water."""
COMPARED = {
    "energy_kcal": 1.0, "protein_g": 0.1, "fat_g": 0.1, "saturated_g": 0.1, "carbohydrate_g": 0.1,
    "fibre_g": 0.1, "sugars_g": 0.1, "sodium_mg": 5.0, "water_g": 0.1,
}  # fmt: skip
"""Nutrients compared, and the least amount per 100 g whose relative error says anything."""


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


FOODS = {row["food_code"]: row for row in rows("fndds_nutrients.csv")}


def carried_food(row: dict[str, str]) -> Ingredient:
    figures = {
        nutrient: Figure(float(row[nutrient]), NUTRIENTS[nutrient], row["source"], "measured", row["ndb_no"])
        for nutrient in COMPARED
        if row[nutrient] != ""
    }
    return Ingredient(row["ndb_no"], row["description"], "carried", composition=figures)


@cache
def book() -> Rulebook:
    """The packaged rulebook, with the carried foods under their SR numbers."""
    packaged, _ = load()
    carried = {row["ndb_no"]: carried_food(row) for row in rows("sr28_rows.csv")}
    return replace(packaged, ingredients={**packaged.ingredients, **carried})


@cache
def ids_by_sr_number() -> dict[str, str]:
    """The rulebook's ingredient for an SR number: the one whose energy was measured on that very food, the
    plainest id where several were."""
    found: dict[str, str] = dict.fromkeys(TAP_WATER, "water")
    for ingredient in sorted(book().ingredients.values(), key=lambda i: (len(i.id), i.id)):
        energy = ingredient.composition.get("energy_kcal")
        if energy is not None and energy.source == "usda-sr28" and energy.grade == "measured":
            found.setdefault(energy.locator.partition(" ")[0], ingredient.id)
    return found


@cache
def computed(food_code: str) -> Nutrition:
    recipe = [row for row in rows("fndds_recipes.csv") if row["food_code"] == food_code]
    lines = [Line(r["ingredient"], ids_by_sr_number()[r["ndb_no"]], float(r["grams"])) for r in recipe]
    change_pct = float(recipe[0]["moisture_change_pct"])
    if change_pct > 0:
        soaked_g = sum(line.grams or 0.0 for line in lines) * change_pct / 100
        lines.append(Line("water taken up", ids_by_sr_number()["14429"], soaked_g))
    loss = Derivation("bake loss", max(0.0, -change_pct / 100), "1", "usda-fndds-2021")
    return nutrition_of(Formula(FOODS[food_code]["food"], "", tuple(lines)), book(), BARE, loss)


def errors_pct(nutrient: str) -> dict[str, float]:
    """Relative error by food, in %; foods that hold next to nothing of the nutrient are left out."""
    found = {}
    for code, row in FOODS.items():
        value = computed(code).per_100g[nutrient]
        published = float(row[nutrient])
        if published >= COMPARED[nutrient]:
            assert value is not None, f"{nutrient} of {row['food']} is unknown"
            found[code] = 100 * (value.value - published) / published
    return found


def test_at_least_25_foods_are_compared() -> None:
    assert len(FOODS) >= 25


@pytest.mark.parametrize("code", FOODS, ids=lambda code: FOODS[code]["food"])
def test_every_macro_of_a_published_recipe_is_known(code: str) -> None:
    macros = {"energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "water_g", "sodium_mg"}
    assert not macros & set(computed(code).incomplete)


# Within what the two tables differ by themselves: FNDDS rounds, and takes flours and spices newer than SR28.
@pytest.mark.parametrize(
    ("nutrient", "within_pct"),
    [("energy_kcal", 2.0), ("carbohydrate_g", 2.0), ("protein_g", 5.0), ("fat_g", 5.0)],
)
def test_median_error_is_small(nutrient: str, within_pct: float) -> None:
    assert median(abs(error) for error in errors_pct(nutrient).values()) <= within_pct


def test_no_food_is_far_off() -> None:
    """Prints (-s) median and worst error of every nutrient. Energy and carbohydrate hardly depend on which
    year's flour was analysed, so the worst food must be near too."""
    print()
    for nutrient in COMPARED:
        errors = errors_pct(nutrient)
        worst = max(errors, key=lambda code: abs(errors[code]))
        middle = median(map(abs, errors.values()))
        print(f"{nutrient:15} median {middle:5.2f} %, worst {errors[worst]:+6.1f} % ({FOODS[worst]['food']})")
    assert max(map(abs, errors_pct("energy_kcal").values())) < 5
    assert max(map(abs, errors_pct("carbohydrate_g").values())) < 6
