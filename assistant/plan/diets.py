"""Allergens and diets of a formula, from ingredient facts alone. What cannot be confirmed is said."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.formula.model import Formula
from assistant.plan.functions import is_any
from assistant.plan.model import Nutrition, Status, Verdict
from assistant.rulebook.model import Diet, Ingredient, Rulebook


def allergens_of(formula: Formula, book: Rulebook) -> dict[str, Status]:
    """Each allergen that a line contains or may contain; all others "cannot confirm" when some line
    is unknown to the rulebook or does not say what it contains."""
    contains: set[str] = set()
    may: set[str] = set()
    unsure = False
    for line in formula.lines:
        ingredient = book.ingredients.get(line.ingredient) if line.ingredient else None
        if ingredient is None or ingredient.contains is None:
            unsure = True
        if ingredient is not None:
            contains.update(ingredient.contains or ())
            may.update(ingredient.may_contain)
    contains |= wholes(contains, book)
    may = traces(may, book)
    found: dict[str, Status] = {}
    for allergen in book.allergens:
        if allergen in contains:
            found[allergen] = "contains"
        elif allergen in may:
            found[allergen] = "may contain"
        elif unsure:
            found[allergen] = "cannot confirm"
    return found


def wholes(allergens: Iterable[str], book: Rulebook) -> set[str]:
    """What these allergens are part of: wheat is a gluten cereal."""
    return {book.allergens[a].part_of for a in allergens if a in book.allergens and book.allergens[a].part_of}


def traces(may_contain: Iterable[str], book: Rulebook) -> set[str]:
    """What may be in something with these traces: they, what they are part of, and what is part of them, since
    traces of gluten are mostly of wheat."""
    named = set(may_contain)
    return named | wholes(named, book) | {a.id for a in book.allergens.values() if a.part_of in named}


@dataclass(frozen=True, slots=True)
class Ruling:
    """Whether a formula suits a diet, and the lines or figures that decide."""

    diet: str
    verdict: Verdict
    because: tuple[str, ...] = ()
    lines: tuple[int, ...] = ()


def ruling(formula: Formula, diet: Diet, book: Rulebook, nutrition: Nutrition | None) -> Ruling:
    """Whether a formula suits a diet. "No" needs one breach; "yes" needs every line known and clear.

    A diet counted in figures cannot be confirmed without `nutrition` or while a figure it counts is a
    lower bound.
    """
    breaches: list[str] = []
    doubts: list[str] = []
    lines: list[int] = []
    for at, line in enumerate(formula.lines):
        ingredient = book.ingredients.get(line.ingredient) if line.ingredient else None
        if ingredient is None:
            doubts.append(f"{line.name} is not known to the rulebook")
            continue
        breach = forbidden(ingredient, diet, book)
        if breach:
            breaches.append(breach)
            lines.append(at)
        doubts += doubts_of(ingredient, diet, book)
    for limit in diet.limits:
        broken, doubt = _count(limit, nutrition)
        breaches += [broken] if broken else []
        doubts += [doubt] if doubt else []
    if breaches:
        return Ruling(diet.id, "no", tuple(breaches), tuple(lines))
    if doubts:
        return Ruling(diet.id, "cannot confirm", tuple(dict.fromkeys(doubts)))
    return Ruling(diet.id, "yes")


def verdicts(formula: Formula, book: Rulebook, nutrition: Nutrition) -> dict[str, Verdict]:
    """The verdict of `ruling` on every diet, by id."""
    barred: set[str] = set()
    doubted: set[str] = set()
    for line in formula.lines:
        ingredient = book.ingredients.get(line.ingredient) if line.ingredient else None
        if ingredient is None:
            doubted.update(book.diets)
            continue
        out, unsure = _told_apart(ingredient, book)
        barred |= out
        doubted |= unsure
    found: dict[str, Verdict] = {}
    for name, diet in sorted(book.diets.items()):
        counted = [_count(limit, nutrition) for limit in diet.limits]
        broken = name in barred or any(breach for breach, _ in counted)
        unclear = name in doubted or any(doubt for _, doubt in counted)
        found[name] = "no" if broken else "cannot confirm" if unclear else "yes"
    return found


def _told_apart(ingredient: Ingredient, book: Rulebook) -> tuple[frozenset[str], frozenset[str]]:
    """Diets that forbid an ingredient, and diets it leaves in doubt, remembered with the rulebook."""
    key = ("diets", ingredient.id)
    if key not in book.remembered:
        book.remembered[key] = (
            frozenset(name for name, diet in book.diets.items() if forbidden(ingredient, diet, book)),
            frozenset(name for name, diet in book.diets.items() if doubts_of(ingredient, diet, book)),
        )
    found: tuple[frozenset[str], frozenset[str]] = book.remembered[key]
    return found


def forbidden(ingredient: Ingredient, diet: Diet, book: Rulebook) -> str:
    """Why a diet forbids an ingredient, as a phrase; empty when it does not."""
    if ingredient.id in diet.certified:
        return ""
    if not set(ingredient.origin).isdisjoint(diet.forbids.get("origin", ())):
        source = ", ".join(o for o in ingredient.origin if o in diet.forbids["origin"])
        return f"{ingredient.name} is {source}"
    held = set(ingredient.contains or ())
    held |= wholes(held, book)
    for allergen in diet.forbids.get("allergen", ()):
        if allergen in held:
            return f"{ingredient.name} contains {book.allergens[allergen].name}"
    if is_any(ingredient, (*diet.forbids.get("class", ()), *diet.forbids.get("ingredient", ()))):
        return f"{ingredient.name} is left out of it"
    return ""


def doubts_of(ingredient: Ingredient, diet: Diet, book: Rulebook) -> list[str]:
    """Why it can't be confirmed that an ingredient suits a diet, as phrases."""
    beside = traces(ingredient.may_contain, book)
    inside = {*(ingredient.contains or ())} | wholes(ingredient.contains or (), book)
    doubts = []
    if ingredient.id in diet.certified:
        says = diet.certified[ingredient.id]
        doubts.append(f"{ingredient.name} suits it only with a label that says so: {says}")
    if ingredient.contains is None and diet.forbids:
        doubts.append(f"{ingredient.name} does not say what it contains")
    if "unknown" in ingredient.origin and diet.forbids.get("origin"):
        doubts.append(f"where {ingredient.name} comes from is unknown")
    doubts += [
        f"{ingredient.name} may contain {book.allergens[allergen].name}: see its label"
        for allergen in diet.doubt_when.get("allergen", diet.forbids.get("allergen", ()))
        if allergen in beside
    ]
    doubts += [
        f"{ingredient.name} contains {book.allergens[allergen].name}"
        for allergen in diet.doubt_when.get("allergen", ())
        if allergen in inside
    ]
    if is_any(ingredient, diet.doubt_when.get("class", ())) or is_any(
        ingredient, diet.doubt_when.get("ingredient", ())
    ):
        doubts.append(f"{ingredient.name} suits some who keep it and not others")
    return doubts


def _count(limit: Mapping[str, object], nutrition: Nutrition | None) -> tuple[str, str]:
    """The sentence of a broken limit, or of one that cannot be told."""
    nutrient = str(limit["nutrient"])
    per = str(limit["per"])
    if nutrition is None:
        return "", f"{nutrient} is not known"
    table = nutrition.per_piece if per == "piece" else nutrition.per_100g
    found = table.get(nutrient)
    value = None if found is None else float(found.value)
    least, most = limit.get("min"), limit.get("max")
    bound = nutrient in nutrition.incomplete
    if value is None:
        return "", f"{nutrient} is not known"
    if isinstance(most, int | float) and value > most:
        return f"{nutrient} {value:.1f} per {per} is above {most}", ""
    if isinstance(least, int | float) and value < least:
        shortfall = f"{nutrient} {value:.1f} per {per} is below {least}"
        return ("", shortfall + " as far as known") if bound else (shortfall, "")
    if bound and isinstance(most, int | float):
        return "", f"{nutrient} is only known to be at least {value:.1f} per {per}"
    return "", ""
