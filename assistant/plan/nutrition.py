"""Nutrients of a formula, per piece and per 100 g, raw and baked: sums over its lines, each with its figure.

A figure that an ingredient does not state is unknown, except where two rules, which a derivation then names,
say that there is none: no part of what is not there (PART_OF), and what tables leave out of foods that have
none (UNREPORTED).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assistant.formula.model import Formula
from assistant.laws import nutrition as law
from assistant.plan.model import Nutrition
from assistant.rulebook.model import TOLD, Ingredient, Rulebook
from assistant.words.derivation import Derivation, Notes, stated

SUMMED: Mapping[str, tuple[str, str]] = {
    "energy_kcal": ("energy", "kcal"),
    "protein_g": ("protein", "g"),
    "fat_g": ("fat", "g"),
    "saturated_g": ("saturated fat", "g"),
    "carbohydrate_g": ("carbohydrate", "g"),
    "sugars_g": ("sugars", "g"),
    "polyols_g": ("polyols", "g"),
    "fibre_g": ("fibre", "g"),
    "soluble_fibre_g": ("soluble fibre", "g"),
    "insoluble_fibre_g": ("insoluble fibre", "g"),
    "sodium_mg": ("sodium", "mg"),
    "water_g": ("water", "g"),
    "polyols_deducted_g": ("polyols that are not counted", "g"),
    "allulose_g": ("allulose", "g"),
}
"""Figures that are sums over lines: what they are called, and their unit."""
RECKONED: Mapping[str, tuple[str, ...]] = {
    "available_carbohydrate_g": ("carbohydrate_g", "fibre_g"),
    "net_carbs_g": ("carbohydrate_g", "fibre_g", "polyols_deducted_g", "allulose_g"),
    "unsplit_fibre_g": ("fibre_g",),
    "ketogenic_ratio": (
        "fat_g",
        "protein_g",
        "carbohydrate_g",
        "fibre_g",
        "polyols_deducted_g",
        "allulose_g",
    ),
}
"""Differences and ratios, with the sums that must be whole for them."""
PART_OF: Mapping[str, str] = {
    "saturated_g": "fat_g",
    "sugars_g": "carbohydrate_g",
    "fibre_g": "carbohydrate_g",
    "polyols_g": "carbohydrate_g",
    "allulose_g": "carbohydrate_g",
    "soluble_fibre_g": "fibre_g",
    "insoluble_fibre_g": "fibre_g",
    "polyols_deducted_g": "polyols_g",
}
"""Where the whole is a known zero, so is an unstated part of it."""
UNREPORTED = ("polyols_g", "allulose_g")
"""Composition tables report these only for foods that have them: where carbohydrate is stated and they are
not, there is none, unless a class the ingredient belongs to may hold them (`may_hold` in rules/classes) or
it is itself made of several things. Grade: common practice."""

Table = dict[str, Derivation | None]
Weighed = list[tuple[Ingredient | None, Derivation]]
Divide = Callable[[str, Derivation], Derivation]


@dataclass(frozen=True, slots=True)
class _Sum:
    """A total over lines: None when no line knows it; `whole` when every line does."""

    total: Derivation | None
    whole: bool


def nutrition_of(formula: Formula, book: Rulebook, notes: Notes, bake_loss: Derivation) -> Nutrition:
    """Nutrients of a formula. `bake_loss` is the share of dough mass lost in the oven, all of it water.

    A field is None when no line knows it, a lower bound when only some do; a difference of bounds, or a
    ratio whose denominator is not above 0, is None. `incomplete` names every field that some line does not
    know. Lines of unknown mass are left out of the dough, so that what is told per 100 g is told of what
    is weighed. Without a yield the whole recipe is one piece.
    """
    here = _weighed(formula, book)
    sums = {nutrient: _summed(here, nutrient, book, notes) for nutrient in SUMMED}
    pieces = stated("pieces", float(formula.pieces or 1), "pieces")
    raw_g = stated("dough", formula.dough_g, "g")
    baked_g = notes.derive("baked weight", law.baked_mass_g, raw_g, bake_loss, unit="g")
    as_baked = sums | {"water_g": _after_baking(sums["water_g"], raw_g, bake_loss, notes)}
    whose = "per piece" if formula.pieces else "of the recipe"
    empty: Table = dict.fromkeys(TOLD)
    some = formula.dough_g > 0
    return Nutrition(
        per_piece=_table(as_baked, _divided(law.per_piece, pieces, whose, notes), notes),
        per_100g=_table(as_baked, _divided(law.per_100g, baked_g, "per 100 g baked", notes), notes)
        if some
        else empty,
        per_100g_raw=_table(sums, _divided(law.per_100g, raw_g, "per 100 g raw", notes), notes)
        if some
        else empty,
        pieces=formula.pieces,
        baked_piece_g=notes.derive("baked piece", law.per_piece, baked_g, pieces, unit="g"),
        incomplete=_incomplete(formula, as_baked),
    )


def _incomplete(formula: Formula, of: Mapping[str, _Sum]) -> tuple[str, ...]:
    """Fields that some line does not know; all of them while a line's mass is unknown."""
    if any(line.grams is None for line in formula.lines):
        return TOLD
    known = {field: all(of[key].whole for key in RECKONED.get(field, (field,))) for field in TOLD}
    return tuple(field for field in TOLD if not known[field])


def _weighed(formula: Formula, book: Rulebook) -> Weighed:
    """Lines that weigh something, with their ingredients; one of unknown mass counts as one not known."""
    here: Weighed = []
    for line in formula.lines:
        ingredient = book.ingredients.get(line.ingredient) if line.ingredient else None
        if line.grams is None:
            here.append((None, stated(line.name, 0.0, "g")))
        elif line.grams > 0:
            here.append((ingredient, stated(line.name, line.grams, "g")))
    return here


def _summed(here: Weighed, nutrient: str, book: Rulebook, notes: Notes) -> _Sum:
    name, unit = SUMMED[nutrient]
    parts = [
        (grams, found)
        for ingredient, grams in here
        if ingredient is not None and (found := _remembered(ingredient, nutrient, book, notes)) is not None
    ]
    if not parts:
        return _Sum(None, False)
    total = notes.summed(f"{name} of the dough", law.total, law.contribution, f"{name} of the {{}}", parts, unit)
    return _Sum(total, len(parts) == len(here))


def _remembered(ingredient: Ingredient, nutrient: str, book: Rulebook, notes: Notes) -> Derivation | None:
    """`_figure`, the same for every recipe."""
    key = ("figure", ingredient.id, nutrient, notes.keep)
    if key not in book.remembered:
        book.remembered[key] = _figure(ingredient, nutrient, book, notes)
    found: Derivation | None = book.remembered[key]
    return found


def _figure(ingredient: Ingredient, nutrient: str, book: Rulebook, notes: Notes) -> Derivation | None:
    """What an ingredient has of a nutrient per 100 g, stated or known to be nothing; None when unknown."""
    name, unit = SUMMED[nutrient]
    found = ingredient.composition.get(nutrient)
    if found is not None:
        claim = f"{name} per 100 g {ingredient.name}"
        by = f"{found.source} {found.locator}" if found.locator else found.source
        return Derivation(claim, found.value, unit, by, (found.source,), found.grade, found.low, found.high)
    if nutrient not in PART_OF:
        return None
    whole = _figure(ingredient, PART_OF[nutrient], book, notes)
    if whole is None:
        return None
    claim = f"{name} per 100 g {ingredient.name}"
    if whole.value == 0:
        rule = f"{__name__}.PART_OF"
        return notes.rule(claim, 0.0, rule, whole, unit=unit, evidence=whole.evidence, grade=whole.grade)
    if nutrient in UNREPORTED and _has_none(ingredient, nutrient, book):
        return notes.rule(
            claim, 0.0, f"{__name__}.UNREPORTED", whole, unit=unit, evidence=("common-practice",)
        )
    return None


def _has_none(ingredient: Ingredient, nutrient: str, book: Rulebook) -> bool:
    """Whether an ingredient is of a kind that has none of what tables leave out."""
    classes = [book.classes.get(class_id) for class_id in ingredient.classes]
    return (
        bool(classes)
        and not ingredient.compound
        and not any(each is None or nutrient in each.may_hold for each in classes)
    )


def _after_baking(water: _Sum, raw_g: Derivation, bake_loss: Derivation, notes: Notes) -> _Sum:
    """Water less what bakes off; unknown when less is known than that."""
    if water.total is None or water.total.value < raw_g.value * bake_loss.value:
        return _Sum(None, False)
    left = notes.derive("water after baking", law.water_after_bake_g, water.total, raw_g, bake_loss, unit="g")
    return _Sum(left, water.whole)


def _divided(by: Callable[..., float], share: Derivation, of_what: str, notes: Notes) -> Divide:
    """How a total becomes an amount per piece or per 100 g."""

    def divide(nutrient: str, total: Derivation) -> Derivation:
        name, unit = SUMMED[nutrient]
        return notes.derive(f"{name} {of_what}", by, total, share, unit=unit)

    return divide


def _table(of: Mapping[str, _Sum], divide: Divide, notes: Notes) -> Table:
    """The sums as amounts per piece or per 100 g, and what is reckoned from those that are whole."""
    amounts = {key: divide(key, each.total) for key, each in of.items() if each.total is not None}
    table: Table = {field: amounts.get(field) for field in TOLD}
    whole = {field for field, keys in RECKONED.items() if all(of[key].whole for key in keys)}

    def premises(field: str) -> list[Derivation]:
        return [amounts[key] for key in RECKONED[field]]

    if "available_carbohydrate_g" in whole:
        parts = premises("available_carbohydrate_g")
        table["available_carbohydrate_g"] = notes.derive(
            "available carbohydrate", law.available_carbohydrate, *parts, unit="g", evidence=("eu-1169-2011",)
        )
    if "net_carbs_g" in whole:
        table["net_carbs_g"] = notes.derive(
            "net carbs", law.net_carbohydrate, *premises("net_carbs_g"), unit="g"
        )
    if "unsplit_fibre_g" in whole:
        kinds = [_told(amounts, key) for key in ("soluble_fibre_g", "insoluble_fibre_g")]
        table["unsplit_fibre_g"] = notes.derive(
            "fibre, type unknown", law.unsplit_fibre, amounts["fibre_g"], *kinds, unit="g", spread=False
        )
    net = table["net_carbs_g"]
    fat, protein = amounts.get("fat_g"), amounts.get("protein_g")
    if "ketogenic_ratio" in whole and net and fat and protein and protein.value + net.value > 0:
        table["ketogenic_ratio"] = notes.derive("ketogenic ratio", law.ketogenic_ratio, fat, protein, net)
    return table


def _told(amounts: Mapping[str, Derivation], key: str) -> Derivation:
    """What lines tell of a kind of fibre; what none tells is of unknown kind and no part of this one."""
    return amounts[key] if key in amounts else stated(f"{SUMMED[key][0]} that any line tells", 0.0, "g")
