"""The packet in hand: its label's figures as printed become composition, and what no label tells is taken
from the ingredient it is like. Plain data in and out, as `forms` reads and `merge` lays them over each other.
"""

from collections.abc import Callable, Mapping
from typing import Any

from assistant.laws.nutrition import (
    eu_label_ends,
    per_100g,
    sodium_mg_from_salt,
    total_carbohydrate_from_eu,
    us_label_ends,
    water_by_difference,
)
from assistant.words.derivation import GRADES

OWN_LABEL = "own-label"
"""Source of every figure that a label of the person's own tells."""
KJ_PER_KCAL = 4.184
"""By definition of the thermochemical calorie, which food tables use."""
WHOLE_OF: Mapping[str, str] = {
    "saturated_g": "fat_g",
    "starch_g": "carbohydrate_g",
    "sugars_g": "carbohydrate_g",
    "polyols_g": "carbohydrate_g",
    "allulose_g": "carbohydrate_g",
    "fibre_g": "carbohydrate_g",
    "sucrose_g": "sugars_g",
    "glucose_g": "sugars_g",
    "fructose_g": "sugars_g",
    "lactose_g": "sugars_g",
    "maltose_g": "sugars_g",
    "polyols_deducted_g": "polyols_g",
    "soluble_fibre_g": "fibre_g",
    "insoluble_fibre_g": "fibre_g",
}
"""Parts that a label may leave out, each with the whole it is a share of; wholes stand before their parts."""
MACROS = ("protein_g", "fat_g", "carbohydrate_g")
MOST_G = 100.5
"""What the macros of 100 g make at most; tables and labels round."""
Law = Callable[[float], float]
Plain = tuple[Any, ...]
"""A figure as the forms give it: value, unit, source, grade, locator, and low, high, method where given."""


def figures_of_label(
    per_g: float, convention: str, printed: Mapping[str, tuple[float, bool]]
) -> dict[str, Plain]:
    """Figures per 100 g of what is printed for so many grams; with `True` beside it, "less than" that.

    Each keeps the ends that rounding leaves open. Energy in kJ, salt and the EU's carbohydrate keep their
    names; `counted` turns them.
    """
    ends_of = eu_label_ends if convention == "eu" else us_label_ends
    found: dict[str, Plain] = {}
    for nutrient, (amount, less) in printed.items():
        low, value, high = (0.0, amount / 2, amount) if less else _rounded(ends_of, nutrient, amount)
        found[nutrient] = (
            per_100g(value, per_g),
            unit_of(nutrient),
            OWN_LABEL,
            "handbook" if per_g == 100 else "derived",
            f"{'less than ' if less else ''}{amount:g} per {per_g:g} g",
            per_100g(low, per_g),
            per_100g(high, per_g),
            "",
        )
    return found


def unit_of(nutrient: str) -> str:
    """The unit that the name of a nutrient ends with.

    >>> unit_of("sodium_mg"), unit_of("energy_kcal")
    ('mg', 'kcal')
    """
    return nutrient.rpartition("_")[2]


def _rounded(ends_of: Callable[[str, float], tuple[float, float]], nutrient: str, amount: float) -> tuple[float, float, float]:
    """Least, printed and most; a nutrient for which a rule gives no rounding is taken as printed."""
    try:
        low, high = ends_of(nutrient, amount)
    except ValueError:
        low = high = amount
    return min(low, amount), amount, max(high, amount)


def counted(printed: Mapping[str, Plain], convention: str) -> dict[str, Plain] | str:
    """What labels tell in their own way, in what the rulebook counts in; or why that can't be.

    Energy in kJ and salt count only where energy in kcal and sodium are not given.
    """
    found = {name: figure for name, figure in printed.items() if name not in ("energy_kj", "salt_g")}
    if "energy_kj" in printed:
        kcal = _turned(printed["energy_kj"], lambda kj: kj / KJ_PER_KCAL, "kcal", "from kJ on the label")
        found.setdefault("energy_kcal", kcal)
    if "salt_g" in printed:
        sodium = _turned(printed["salt_g"], sodium_mg_from_salt, "mg", "from salt on the label")
        found.setdefault("sodium_mg", sodium)
    if convention == "eu" and "carbohydrate_g" in found:
        if "fibre_g" not in found:
            return "an EU label's carbohydrate leaves fibre out, and no fibre is given"
        eu = found["carbohydrate_g"]
        low, value, high = map(total_carbohydrate_from_eu, _three(eu), _three(found["fibre_g"]))
        found["carbohydrate_g"] = _altered(eu, low, value, high, "g", "EU label plus fibre")
    least = sum(_three(found[macro])[0] for macro in MACROS if macro in found)
    return f"protein, fat and carbohydrate make {least:.0f} g of 100 g" if least > MOST_G else found


def _three(plain: Plain) -> tuple[float, float, float]:
    """Low, value and high; a figure without ends is sharp."""
    low, high = plain[5:7] if len(plain) > 5 else (None, None)
    return plain[0] if low is None else low, plain[0], plain[0] if high is None else high


def _altered(plain: Plain, low: float, value: float, high: float, unit: str, method: str) -> Plain:
    ends = (None, None) if low == high else (low, high)
    return value, unit, plain[2], _no_better(plain[3]), plain[4], *ends, method


def _no_better(grade: str) -> str:
    """The grade of what is derived from a figure: never better than the figure's own."""
    return max(grade, "derived", key=GRADES.index)


def _turned(plain: Plain, law: Law, unit: str, method: str) -> Plain:
    low, value, high = map(law, _three(plain))
    return _altered(plain, low, value, high, unit, method)


# ---- what no label tells ----


def as_alike(own: Mapping[str, Any], base: Mapping[str, Any]) -> dict[str, Any]:
    """An entry with all that it leaves unsaid taken from the ingredient it is like.

    Names add up only where both are one ingredient. Of the composition, parts of what is stated keep the
    share they have there, and water is what is left of 100 g; energy is not taken over once a macro differs.
    """
    same = own["id"] == base["id"]
    unnamed = {"aliases", "names", "plural"} if not same else set()
    found = {key: value for key, value in base.items() if key not in unnamed} | dict(own)
    found["like"] = own["like"]
    found["family"] = base["family"]
    if same and own.get("name", base["name"]) != base["name"]:
        found["aliases"] = (*own.get("aliases", ()), base["name"], *base.get("aliases", ()))
    stated, usual = own.get("composition", {}), base.get("composition", {})
    if stated:
        found["composition"] = _completed(stated, usual, base["name"])
    for block in ("measures", "does"):
        if block in own:
            found[block] = {**base.get(block, {}), **own[block]}
    return found


def _completed(stated: Mapping[str, Plain], usual: Mapping[str, Plain], like: str) -> dict[str, Plain]:
    found = dict(stated)
    changed = any(macro in stated for macro in MACROS)
    for nutrient, figure in usual.items():
        if nutrient in found or nutrient in WHOLE_OF or (changed and nutrient in ("energy_kcal", "water_g")):
            continue
        found[nutrient] = _as(figure, figure[0], f"as {like}")
    for part, whole in WHOLE_OF.items():
        if part not in found and part in usual and whole in usual and whole in found:
            share = usual[part][0] / usual[whole][0] if usual[whole][0] else 0.0
            least, value, most = (share * each for each in _three(found[whole]))
            figure = _as(usual[part], value, f"the share it has in {like}")
            found[part] = figure if least == most else _altered(figure, least, value, most, figure[1], figure[-1])
    if "water_g" not in found and "water_g" in usual and all(macro in found for macro in MACROS):
        ends = [_three(found[each]) for each in (*MACROS, "ash_g") if each in found]
        least, most = sum(low for low, _, _ in ends), sum(high for _, _, high in ends)
        low, water, high = water_by_difference(min(least, 100.0), max(least, most), usual["water_g"][0])
        found["water_g"] = _altered(usual["water_g"], low, water, high, "g", "what is left of 100 g")
    return found


def _as(figure: Plain, value: float, method: str) -> Plain:
    """A figure of the ingredient it is like, said to be no more than that."""
    if value == 0 and figure[0] == 0:
        return figure
    return value, figure[1], figure[2], _no_better(figure[3]), figure[4], None, None, method
