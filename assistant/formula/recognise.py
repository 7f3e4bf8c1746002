"""Which class of product a formula is: by the words of its title and by what is in it.

The signs stand in the rulebook, from the most particular class to the most general; the first whose
signs all hold names the formula.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from assistant.formula.model import Formula, Line
from assistant.formula.parts import dough_of
from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import Ingredient, Rulebook

BASE_CLASSES = ("flour", "starch", "fibre", "gel-fibre", "protein-powder")
"""Classes that make up the weight shares are taken of: flours and fibre."""


def ingredient_called(ingredient_id: str | None, book: Rulebook) -> Ingredient | None:
    """The ingredient of an id, None where the rulebook does not know it."""
    return None if ingredient_id is None else book.ingredients.get(ingredient_id)


def ingredients_of(lines: Iterable[Line], book: Rulebook) -> tuple[Ingredient | None, ...]:
    """The ingredient of each line, None where the rulebook does not know it."""
    return tuple(ingredient_called(line.ingredient, book) for line in lines)


def recognise_product(formula: Formula, book: Rulebook) -> str:
    """The id of the class of product a formula belongs to, by its title and its dough; "" when no signs hold."""
    formula = dough_of(formula, book)
    ingredients = ingredients_of(formula.lines, book)
    grams: defaultdict[str, float] = defaultdict(float)
    base_g = 0.0
    for line, ingredient in zip(formula.lines, ingredients, strict=True):
        if ingredient is None or line.grams is None:
            continue
        for key in (ingredient.id, *ingredient.classes):
            grams[key] += line.grams
        if any(each in BASE_CLASSES for each in ingredient.classes):
            base_g += line.grams
    raised_by = raised(ingredients)
    title = formula.name.lower()
    for product in book.products.values():
        signs = product.signs
        if not signs:
            continue
        if _title_holds(signs.get("title"), title) and _raised_holds(signs.get("raised_by"), raised_by):
            shares = signs.get("share")
            if shares is None or _shares_hold(shares, grams, base_g):
                return product.id
    return ""


def raised(ingredients: tuple[Ingredient | None, ...]) -> str:
    """What raises a dough of these ingredients: yeast before a chemical leavener; else "none"."""
    known = [ingredient for ingredient in ingredients if ingredient is not None]
    if any(ingredient.does.get("yeast-gas") is not None for ingredient in known):
        return "yeast"
    return "chemical" if any("chemical-leavener" in ingredient.classes for ingredient in known) else "none"


def _title_holds(words: Any, title: str) -> bool:
    return words is None or any(re.search(rf"\b{re.escape(word.lower())}\b", title) for word in words)


def _raised_holds(wanted: Any, raised_by: str) -> bool:
    return wanted is None or raised_by in (wanted if isinstance(wanted, list | tuple) else (wanted,))


def _shares_hold(shares: Mapping[str, Comparison], grams: Mapping[str, float], base_g: float) -> bool:
    """Whether every class's share, in % of flours and fibre, is as the signs ask; a class that is absent
    has none of it."""
    if base_g <= 0:
        return False
    return all(
        comparison.holds(100 * grams[what] / base_g if what in grams else 0.0)
        for what, comparison in shares.items()
    )
