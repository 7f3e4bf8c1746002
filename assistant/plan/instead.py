"""What can stand in for an ingredient outside any recipe: from the swap rules alone, for a quantity."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assistant.plan.functions import is_any
from assistant.rulebook.model import Amount, Figure, Ingredient, Rulebook, Swap
from assistant.words.derivation import FULL, GRADES, Derivation, Grade, Notes, stated
from assistant.words.units import grams_of, household

USUAL_G = 100.0
"""For how much it is told when nobody said how much."""


@dataclass(frozen=True, slots=True)
class Component:
    """Something that comes in: grams, and the household measure a cook would use for them.

    `grams` None: it goes by the dough it comes into, not by what it replaces.
    """

    ingredient: str
    name: str
    grams: Derivation | None
    amount: float | None
    unit: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class StandIn:
    """One exchange: what comes in, what comes along, where it works and what printed tables say."""

    title: str
    components: tuple[Component, ...]
    companions: tuple[Component, ...]
    adjust: tuple[str, ...]
    works_in: tuple[str, ...]
    not_in: tuple[str, ...]
    printed: tuple[Mapping[str, Any], ...]
    verdict: str
    grade: Grade
    cautions: tuple[str, ...]
    because: str = ""


@dataclass(frozen=True, slots=True)
class StandIns:
    """Stand-ins for a quantity of an ingredient, the best tested first; `refused` says what does not work."""

    ingredient: str
    name: str
    grams: Derivation | None
    amount: float
    unit: str
    options: tuple[StandIn, ...]
    refused: tuple[str, ...] = ()


def instead(
    book: Rulebook,
    ingredient_id: str,
    amount: float | None = None,
    unit: str = "",
    product: str = "",
    notes: Notes = FULL,
) -> StandIns:
    """Stand-ins for a quantity of an ingredient; for 100 g when none is said.

    With `product` only those that work in that class. A quantity that no measure of the ingredient turns
    into grams leaves all grams unknown.
    """
    if amount is None:
        amount, unit = USUAL_G, "g"
    known = book.ingredients.get(ingredient_id)
    if known is None:
        return StandIns(ingredient_id, ingredient_id, None, amount, unit, ())
    replaced = _grams(known, amount, unit or "each", notes)
    found: list[StandIn] = []
    refused: list[str] = []
    for _, swap in sorted(book.swaps.items()):
        if swap.status == "retired" or not _speaks_of(swap, known):
            continue
        works, fails = _classes(swap.when, book)
        if product and product not in works:
            continue
        if swap.refuse:
            refused.append(swap.refuse)
        else:
            found.append(_stand_in(swap, known, replaced, works, fails, book, notes))
    found.sort(key=lambda s: (s.verdict != WORKS, GRADES.index(s.grade), len(s.companions), s.title))
    return StandIns(known.id, known.name, replaced, amount, unit, tuple(found), tuple(dict.fromkeys(refused)))


def _speaks_of(swap: Swap, ingredient: Ingredient) -> bool:
    return is_any(ingredient, (swap.replaces,)) if swap.replaces_any else swap.replaces == ingredient.id


def _measure(unit: str, figure: Figure) -> Derivation:
    return Derivation(
        f"g per {unit}",
        figure.value,
        "g",
        figure.source,
        (figure.source,),
        figure.grade,
        figure.low,
        figure.high,
    )


def _grams(ingredient: Ingredient, amount: float, unit: str, notes: Notes) -> Derivation | None:
    """The mass of a quantity, g; None when no measure of the ingredient gives it."""
    measures = {name: figure.value for name, figure in ingredient.measures.items()}
    grams = grams_of(amount, unit, measures)
    if grams is None:
        return None
    own = ingredient.measures.get(unit)
    if own is None:
        used = tuple(_measure(name, figure) for name, figure in sorted(ingredient.measures.items()))
        return notes.rule(f"{ingredient.name} replaced", grams, "assistant.words.units.grams_of",
                          stated("quantity", amount, unit), *used, unit="g", grade="derived")  # fmt: skip
    return notes.derive(
        f"{ingredient.name} replaced", _times, stated("quantity", amount, unit), _measure(unit, own), unit="g"
    )


def _times(amount: float, factor: float) -> float:
    return amount * factor


WORKS, LIMITED, UNTRIED = "works", "works within limits", "not tried"
OF_CLASSES = ("product", "raised_by")


def _stand_in(
    swap: Swap,
    replaced: Ingredient,
    grams: Derivation | None,
    works: tuple[str, ...],
    fails: tuple[str, ...],
    book: Rulebook,
    notes: Notes,
) -> StandIn:
    limits = tuple(
        f"only where {_limit(key, value)}" for key, value in swap.when.items() if key not in OF_CLASSES
    )
    usual: Grade = "common practice"
    grade: Grade = min((e.grade for e in swap.evidence), key=GRADES.index, default=usual)
    verdict = UNTRIED if swap.status == "proposed" else LIMITED if limits else WORKS
    components = tuple(_component(a, swap, replaced, grams, grade, book, notes) for a in swap.stand_ins)
    companions = tuple(_component(a, swap, replaced, grams, grade, book, notes) for a in swap.also)
    adjust = tuple(
        f"adjust the {name.replace('-', ' ')} until the dough feels as it should" for name in swap.adjust
    )
    cautions = tuple(book.cautions[c].text for c in swap.cautions if c in book.cautions)
    return StandIn(
        swap.title, components, companions, adjust, works, fails, swap.printed, verdict, grade,
        (*limits, *(f"gives up {what}" for what in swap.loses.values()), *cautions), swap.because,
    )  # fmt: skip


def _limit(key: str, value: Any) -> str:
    """A condition of a rule in words."""
    if isinstance(value, Mapping):
        return " and ".join(f"{what.replace('-', ' ')} {_said(bound)}" for what, bound in value.items())
    names = {
        "has": "there is",
        "lacks": "there is no",
        "serves": "it is there for",
        "only_binder": "it is the only binder",
    }
    return f"{names.get(key, key.replace('_', ' '))} {_said(value)}".removesuffix(" yes")


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple | list):
        return " or ".join(_said(v) for v in value)
    return str(value).replace("-", " ") if isinstance(value, str) else str(value)


def _component(
    amount: Amount,
    swap: Swap,
    replaced: Ingredient,
    grams: Derivation | None,
    grade: Grade,
    book: Rulebook,
    notes: Notes,
) -> Component:
    ingredient = (
        book.ingredients[amount.ingredient] if amount.ingredient else _usual(amount.any_of, replaced, book)
    )
    if amount.ratio is None or grams is None:
        why = "" if grams is None else "as much as the dough asks for"
        return Component(ingredient.id, ingredient.name, None, None, "", why)
    band = amount.ratio
    sources = tuple(dict.fromkeys(e.source for e in swap.evidence))
    ratio = notes.rule(
        "g for each g replaced",
        band.centre,
        swap.id,
        evidence=sources,
        grade=grade,
        low=band.low,
        high=band.high,
    )
    own = notes.derive(ingredient.name, _times, grams, ratio, unit="g", evidence=sources, grade=grade)
    measured = household(own.value, {name: figure.value for name, figure in ingredient.measures.items()})
    spoons, unit = (None, "") if measured is None else measured
    return Component(ingredient.id, ingredient.name, own, spoons, unit)


def _usual(class_id: str, replaced: Ingredient, book: Rulebook) -> Ingredient:
    """The usual member of a class, as the rulebook has it; else the one with the shortest name."""
    known = book.classes.get(class_id)
    if known is not None and known.usual in book.ingredients and known.usual != replaced.id:
        return book.ingredients[known.usual]
    members = [i for i in book.members(class_id) if i.id != replaced.id]
    return min(members, key=lambda i: (len(i.name), i.id))


def _classes(when: Mapping[str, Any], book: Rulebook) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Product classes in which a rule holds, and the others."""
    products = _each(when.get("product"))
    raised = _each(when.get("raised_by"))
    works = [
        p.id
        for p in book.products.values()
        if (not products or p.id in products) and (not raised or p.raised_by in raised)
    ]
    return tuple(works), tuple(p for p in book.products if p not in works)


def _each(value: Any) -> tuple[str, ...]:
    if value is None:
        return ()
    return (value,) if isinstance(value, str) else tuple(map(str, value))
