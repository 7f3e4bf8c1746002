"""Nutrients of a formula, per piece and per 100 g, raw and baked: sums over its lines, every one with its figure."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assistant.formula.model import Formula
from assistant.laws import nutrition as law
from assistant.plan.model import Nutrition
from assistant.rulebook.model import Rulebook
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
FIELDS = (
    "energy_kcal", "protein_g", "fat_g", "saturated_g", "carbohydrate_g", "available_carbohydrate_g", "net_carbs_g",
    "sugars_g", "polyols_g", "fibre_g", "soluble_fibre_g", "insoluble_fibre_g", "unsplit_fibre_g", "sodium_mg", "water_g",
    "ketogenic_ratio",
)  # fmt: skip
"""Nutrients of the JSON contract, in its order."""

Table = dict[str, Derivation | None]


@dataclass(frozen=True, slots=True)
class _Sum:
    """A total over lines: None when no line knows it; `whole` when every line does."""

    total: Derivation | None
    whole: bool


def nutrition_of(formula: Formula, book: Rulebook, notes: Notes, bake_loss: Derivation) -> Nutrition:
    """Nutrients of a formula. `bake_loss` is the share of dough mass lost in the oven, all of it water.

    A field is None when no line knows it, a lower bound named in `incomplete` when only some do; a
    difference of bounds, or a ratio whose denominator is not above 0, is None. Without a yield the
    whole recipe is one piece.
    """
    sums = {nutrient: _summed(formula, book, nutrient, notes) for nutrient in SUMMED}
    pieces = stated("pieces", float(formula.pieces or 1), "pieces")
    raw_g = stated("dough", formula.dough_g, "g")
    baked_g = notes.derive("baked weight", law.baked_mass_g, raw_g, bake_loss, unit="g")
    weighed = all(line.grams is not None for line in formula.lines)
    wet = sums["water_g"]
    lost_g = formula.dough_g * bake_loss.value
    after = None if wet.total is None or wet.total.value < lost_g else notes.derive("water after baking", law.water_after_bake_g, wet.total, raw_g, bake_loss, unit="g")
    as_baked = sums | {"water_g": _Sum(after, wet.whole and after is not None)}
    incomplete = tuple(field for field in FIELDS if field in sums and not sums[field].whole)

    def table(of: Mapping[str, _Sum], divide: Callable[[str, Derivation], Derivation]) -> Table:
        return _fields({key: None if s.total is None else divide(key, s.total) for key, s in of.items()}, of, notes)

    def portion(key: str, whole: Derivation) -> Derivation:
        name, unit = SUMMED[key]
        return notes.derive(f"{name} per piece" if formula.pieces else f"{name} of the recipe", law.per_piece, whole, pieces, unit=unit)

    def hundredth(mass_g: Derivation, when: str) -> Callable[[str, Derivation], Derivation]:
        return lambda key, whole: notes.derive(f"{SUMMED[key][0]} per 100 g {when}", law.per_100g, whole, mass_g, unit=SUMMED[key][1])

    empty: Table = dict.fromkeys(FIELDS)
    some = formula.dough_g > 0
    return Nutrition(
        per_piece=table(as_baked, portion),
        per_100g=table(as_baked, hundredth(baked_g, "baked")) if some else empty,
        per_100g_raw=table(sums, hundredth(raw_g, "raw")) if some else empty,
        pieces=formula.pieces,
        baked_piece_g=notes.derive("baked piece", law.per_piece, baked_g, pieces, unit="g"),
        incomplete=incomplete if weighed else FIELDS,
    )


def _summed(formula: Formula, book: Rulebook, nutrient: str, notes: Notes) -> _Sum:
    name, unit = SUMMED[nutrient]
    parts: list[Derivation] = []
    whole = True
    for line in formula.lines:
        if line.grams == 0:
            continue
        ingredient = book.ingredients.get(line.ingredient) if line.ingredient else None
        found = None if ingredient is None else ingredient.composition.get(nutrient)
        if found is None or line.grams is None:
            whole = False
            continue
        source = f"{found.source} {found.locator}".strip()
        per_100g = Derivation(f"{name} per 100 g {line.name}", found.value, unit, source, (found.source,), found.grade, found.low, found.high)
        parts.append(notes.derive(f"{name} of the {line.name}", law.contribution, stated(line.name, line.grams, "g"), per_100g,
                                  unit=unit, evidence=per_100g.evidence, grade=found.grade))  # fmt: skip
    if not parts:
        return _Sum(None, False)
    return _Sum(notes.derive(f"{name} of the dough", law.total, *parts, unit=unit), whole)


def _fields(amounts: Mapping[str, Derivation | None], of: Mapping[str, _Sum], notes: Notes) -> Table:
    """The sums, and what is reckoned from them where all that goes in is whole."""
    table: Table = {field: amounts.get(field) for field in FIELDS}

    def whole(*keys: str) -> list[Derivation] | None:
        found = [amounts[key] for key in keys if of[key].whole]
        return [d for d in found if d is not None] if len(found) == len(keys) else None

    if (parts := whole("carbohydrate_g", "fibre_g")) is not None:
        table["available_carbohydrate_g"] = notes.derive("available carbohydrate", law.available_carbohydrate, *parts, unit="g", evidence=("eu-1169-2011",))
    if (parts := whole("carbohydrate_g", "fibre_g", "polyols_deducted_g", "allulose_g")) is not None:
        table["net_carbs_g"] = notes.derive("net carbs", law.net_carbohydrate, *parts, unit="g")
    fibre, soluble, insoluble = (amounts[key] for key in ("fibre_g", "soluble_fibre_g", "insoluble_fibre_g"))
    if of["fibre_g"].whole and fibre is not None and soluble is not None and insoluble is not None:
        table["unsplit_fibre_g"] = notes.derive("fibre, type unknown", law.unsplit_fibre, fibre, soluble, insoluble, unit="g")
    elif of["fibre_g"].whole and fibre is not None and soluble is None and insoluble is None:
        table["unsplit_fibre_g"] = fibre
    net, parts = table["net_carbs_g"], whole("fat_g", "protein_g")
    if net is not None and parts is not None and parts[1].value + net.value > 0:
        table["ketogenic_ratio"] = notes.derive("ketogenic ratio", law.ketogenic_ratio, *parts, net)
    return table

