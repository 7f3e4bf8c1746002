"""What is asked for first: names of real recipes find the right ingredient, products know their usual bake.

published/ingredient_demand.csv counts names, crudely normalised, in 13,139 openly available recipes of baked
goods (counts only); names written fewer than eight times are left out. published/bake_ranges.csv holds the 10th,
50th and 90th percentile of the oven and time that the same recipes print, per kind of product.
"""

import csv
from functools import cache
from pathlib import Path

import pytest

from assistant.formula.line import read_line
from assistant.rulebook.model import Band
from assistant.rulebook.names import Names
from assistant.rulebook.read import load

PUBLISHED = Path(__file__).parent / "published"
BOOK, _ = load()


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a published table."""
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()))


@cache
def names() -> Names:
    return Names(BOOK)


def found(name: str) -> str | None:
    """The ingredient that a line of a recipe with this name is taken to mean."""
    return read_line(name, names()).ingredient


DEMAND = {row["name"]: int(row["times"]) for row in rows("ingredient_demand.csv")}


def test_at_least_97_of_100_lines_of_real_recipes_name_an_ingredient_of_the_rulebook() -> None:
    known = sum(times for name, times in DEMAND.items() if found(name) is not None)
    assert known >= 0.97 * sum(DEMAND.values())


def test_the_names_written_most_are_all_known() -> None:
    assert [name for name, times in DEMAND.items() if times >= 15 and found(name) is None] == []


SAMPLE = [(row["name"], row["ingredient"]) for row in rows("ingredient_sample.csv")]
"""Checked by hand: the sixty names written most, and sixty of the others drawn with a fixed seed."""


@pytest.mark.parametrize(("name", "ingredient"), SAMPLE)
def test_a_name_means_what_a_baker_means_by_it(name: str, ingredient: str) -> None:
    assert found(name) == ingredient


def test_the_sample_holds_120_names_that_are_counted() -> None:
    assert len(dict(SAMPLE)) == 120
    assert {name for name, _ in SAMPLE} <= set(DEMAND)
    assert [name for name, _ in SAMPLE[:60]] == list(DEMAND)[:60]


COMPOUND = ("cake mix", "pudding mix", "baking mix", "brownie mix", "frosting", "puff pastry", "pastry dough", "pie shell",
            "pie crusts", "tart shells", "crescent rolls", "biscuit dough", "crackers", "cookies", "caramels")  # fmt: skip
"""Words for what is bought ready-made: flour, fat, sugar and more in shares that only a label tells."""


@pytest.mark.parametrize("name", [n for n in DEMAND if n.endswith(COMPOUND)])
def test_what_is_bought_ready_made_says_what_is_unknown_about_it(name: str) -> None:
    ingredient = found(name)
    assert ingredient is not None and BOOK.ingredients[ingredient].compound


BAKES = [row for row in rows("bake_ranges.csv") if row["class"]]
HOTTER = {
    "lean-bread": "the counted loaves are mostly enriched and in tins; a lean loaf is baked hotter, 215 to 235 C"
}
"""Classes whose usual oven is above the counted range, and why."""


@pytest.mark.parametrize("row", BAKES, ids=lambda row: row["product"])
def test_a_class_of_product_knows_the_usual_oven_and_time(row: dict[str, str]) -> None:
    """The median recipe lies within the class's band."""
    product = BOOK.products[row["class"]]
    assert product.oven_c is not None and product.minutes is not None
    assert within(float(row["oven_c_median"]), product.oven_c)
    assert within(float(row["minutes_median"]), product.minutes)


OWN = [row for row in BAKES if int(row["recipes"]) >= 20 and row["product"] not in ("brownie", "cupcake")]
"""Kinds that are the class itself and not a member of it that is thinner or smaller than most."""


@pytest.mark.parametrize("row", OWN, ids=lambda row: row["product"])
def test_the_middle_of_a_class_is_what_four_recipes_in_five_print(row: dict[str, str]) -> None:
    product = BOOK.products[row["class"]]
    assert product.oven_c is not None and product.minutes is not None
    assert float(row["minutes_p10"]) <= product.minutes.centre <= float(row["minutes_p90"])
    if product.id not in HOTTER:
        assert float(row["oven_c_p10"]) <= product.oven_c.centre <= float(row["oven_c_p90"])


def within(value: float, band: Band) -> bool:
    return band.low <= value <= band.high
