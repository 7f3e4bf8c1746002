"""What each line of a formula does here: strengths from the rulebook, amounts from the masses,
and whether an amount is enough to matter in this product."""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from assistant.formula.model import Formula, Line
from assistant.formula.parts import dough_places, kind_of_part, only, oven_places
from assistant.rulebook.model import Function, Ingredient, Product, Rulebook

ACID, BASE, GAS, FOOD, WATER_HELD, SALT = "acid", "base", "yeast-gas", "yeast-food", "water-held", "salt"
"""Functions that a law of chemistry speaks of by name; all others are known only to the rulebook."""

DOSE_CLASSES: Mapping[str, tuple[str, ...]] = {
    "flours": ("flour", "starch"),
    "flours and fibre": ("flour", "starch", "fibre", "gel-fibre", "protein-powder"),
}
"""Which classes count into the weight that doses and baker's percentages stand on."""


def strength(ingredient: Ingredient, function: Function) -> float | None:
    """How strongly a gram of an ingredient serves a function, in the function's unit; None unknown.

    An ingredient's own statement comes first, then the function's recipe from composition. An
    ingredient that states nothing about a function that no composition gives does not serve it: 0.
    """
    figure = ingredient.does.get(function.id)
    if figure is not None:
        return figure.value
    if function.id in (ACID, BASE):
        return sum(
            reactant.amount.value
            for reactant in (ingredient.acids if function.id == ACID else ingredient.bases)
        )
    if not function.of:
        return 0.0
    total = 0.0
    for nutrient, weight in function.of.items():
        amount = ingredient.composition.get(nutrient)
        if amount is None:
            return None
        total += weight * amount.value
    return total


def strengths(ingredient: Ingredient, book: Rulebook) -> Mapping[str, float | None]:
    """How strongly a gram of an ingredient of the rulebook serves each function; worked out once."""
    known: dict[str, dict[str, float | None]] = book.remembered.setdefault(__name__, {})
    found = known.get(ingredient.id)
    if found is None:
        found = known[ingredient.id] = {f.id: strength(ingredient, f) for f in book.functions.values()}
    return found


def served(ingredient: Ingredient, book: Rulebook) -> tuple[tuple[Function, float], ...]:
    """The functions that a gram of an ingredient of the rulebook adds to, and how much; worked out once."""
    known: dict[str, tuple[tuple[Function, float], ...]] = book.remembered.setdefault(f"{__name__}.served", {})
    found = known.get(ingredient.id)
    if found is None:
        each = strengths(ingredient, book)
        found = tuple((f, amount) for f in book.functions.values() if (amount := each[f.id]))
        known[ingredient.id] = found
    return found


@dataclass(frozen=True)
class Context:
    """A formula seen with the rulebook: masses by class, amounts of each function, what matters.

    `apart` says that it is a part made by itself, as an icing is: it is of a class of its own, and where it has no
    flours, shares and thresholds stand on all of it.
    """

    formula: Formula
    book: Rulebook
    apart: bool = False

    @property
    def dough(self) -> "Context":
        """The dough alone; the places of all other lines stay, empty."""
        return self._dough or self

    @property
    def oven(self) -> "Context":
        """What goes into the oven: the dough, and what bakes in or on it."""
        return self._oven or self

    @cached_property
    def _dough(self) -> "Context | None":
        return None if self.apart else self._of(self._dough_places)

    @cached_property
    def _oven(self) -> "Context | None":
        return None if self.apart else self._of(oven_places(self.formula, self.book))

    def body(self, part: str) -> "Context":
        """A part made by itself; with "" the dough."""
        if self.apart or not part:
            return self.dough
        found = self._bodies.get(part)
        if found is None:
            found = self._bodies[part] = self._body(part)
        return found

    @cached_property
    def _bodies(self) -> dict[str, "Context"]:
        return {}

    def _body(self, part: str) -> "Context":
        lines = self.formula.lines
        alone = only(self.formula, (at for at, line in enumerate(lines) if line.part == part))
        kind = kind_of_part(part, self.book)
        return Context(replace(alone, product="" if kind is None else kind.product), self.book, apart=True)

    def part_of(self, at: int) -> str:
        """The part made by itself that a line belongs to; "" for all of the dough."""
        return "" if self.apart or at in self._dough_places else self.formula.lines[at].part

    @cached_property
    def _dough_places(self) -> frozenset[int]:
        return dough_places(self.formula, self.book)

    def around(self, at: int) -> "Context":
        """What a line works in: the dough, or the part made by itself."""
        return self.body(self.part_of(at))

    def _of(self, places: frozenset[int]) -> "Context | None":
        """These places alone; None where they are all, so that no context holds on to itself."""
        formula = only(self.formula, places)
        return None if formula is self.formula else Context(formula, self.book)

    @cached_property
    def ingredients(self) -> tuple[Ingredient | None, ...]:
        """The ingredient of each line, None where the rulebook does not know it."""
        known = self.book.ingredients
        return tuple(known.get(line.ingredient) if line.ingredient else None for line in self.formula.lines)

    @cached_property
    def product(self) -> Product | None:
        """The product class, None when it is not recognised."""
        return self.book.products.get(self.formula.product)

    def lines(self, *classes: str) -> tuple[int, ...]:
        """Places of the lines whose ingredient is one of these ids or in one of these classes; lines that
        weigh nothing are no longer there."""
        if len(classes) == 1:
            return self._places.get(classes[0], ())
        found = self._together.get(classes)
        if found is None:
            places = {at for name in classes for at in self._places.get(name, ())}
            found = self._together[classes] = tuple(sorted(places))
        return found

    @cached_property
    def _together(self) -> dict[tuple[str, ...], tuple[int, ...]]:
        return {}

    @cached_property
    def memo(self) -> dict[Hashable, Any]:
        """What others have worked out from it once, under their own name."""
        return {}

    @cached_property
    def _places(self) -> dict[str, tuple[int, ...]]:
        """Places of the lines that are there, by all they are."""
        found: dict[str, tuple[int, ...]] = {}
        for at, ingredient in enumerate(self.ingredients):
            if ingredient is not None and self.formula.lines[at].grams != 0:
                for name in _names(ingredient, self.book):
                    found[name] = (*found.get(name, ()), at)
        return found

    def grams(self, *classes: str) -> float:
        """Known mass of the lines of these ids or classes, g."""
        return sum(mass(self.formula.lines[at]) for at in self.lines(*classes))

    @cached_property
    def flour_g(self) -> float:
        """The 100 % that baker's percentages stand on, g: flours and starches, or all dry
        structure-givers where there is hardly any flour."""
        return self.dose_weight_g("flours")

    def dose_weight_g(self, dose_on: str) -> float:
        """Mass that a dose is a percentage of, g."""
        return self.grams(*DOSE_CLASSES[dose_on])

    @cached_property
    def base_weight_g(self) -> float:
        """Weight that shares, doses and thresholds of this formula stand on, g."""
        weight_g = self.dose_weight_g(self.product.dose_on if self.product else "flours and fibre")
        return self.formula.dough_g if self.apart and weight_g <= 0 else weight_g

    def share_pct(self, class_or_id: str) -> float | None:
        """Mass of a class or ingredient per 100 g of the weight doses stand on; None without flours."""
        return None if self.base_weight_g <= 0 else 100 * self.grams(class_or_id) / self.base_weight_g

    def amount(self, at: int, function: Function) -> float | None:
        """How much of a function a line brings, in the function's unit; None unknown."""
        ingredient, line = self.ingredients[at], self.formula.lines[at]
        if ingredient is None or line.grams is None:
            return None
        per_gram = strengths(ingredient, self.book)[function.id]
        return None if per_gram is None else per_gram * line.grams

    def total(self, function_id: str) -> float:
        """How much of a function all lines bring that know it."""
        return sum((known[function_id] or 0.0) * grams for known, grams in self._strengths)

    @cached_property
    def _strengths(self) -> list[tuple[Mapping[str, float | None], float]]:
        """How strongly each known line serves each function, and its mass, g."""
        lines = zip(self.ingredients, self.formula.lines, strict=True)
        return [(strengths(i, self.book), line.grams) for i, line in lines if i is not None and line.grams]

    @cached_property
    def matters(self) -> tuple[tuple[str, ...], ...]:
        """For each line the functions it serves in its part, strongest against its threshold first.

        A function that answers a need (an acid for soda, food for yeast) counts only while something
        in the formula has that need.
        """
        bodies = {part: self.body(part) for part in {self.part_of(at) for at in range(len(self.formula.lines))}}
        return tuple(bodies[self.part_of(at)]._matters(at) for at in range(len(self.formula.lines)))

    def _matters(self, at: int) -> tuple[str, ...]:
        ingredient, grams = self.ingredients[at], self.formula.lines[at].grams
        if self.base_weight_g <= 0 or ingredient is None or not grams:
            return ()
        found = []
        for function, per_gram in served(ingredient, self.book):
            per_100g = 100 * per_gram * grams / self.base_weight_g
            if per_100g > 0 and per_100g >= function.matters_from and self.wanted(function.id):
                found.append((-per_100g / (function.matters_from or per_100g), function.id))
        return tuple(function_id for _, function_id in sorted(found))

    def wanted(self, function_id: str) -> bool:
        """Whether a function has a use in this formula: always, unless it only answers needs."""
        wanted = self._wanted.get(function_id)
        if wanted is None:
            answers = [need for need in self.book.needs.values() if function_id in need.met_by]
            wanted = self._wanted[function_id] = not answers or any(self.brings(need.of) for need in answers)
        return wanted

    @cached_property
    def _wanted(self) -> dict[str, bool]:
        return {}

    def brings(self, class_or_function: str) -> bool:
        """Whether any line is of a class, or serves a function at all."""
        function = self.book.functions.get(class_or_function)
        if function is None:
            return bool(self.lines(class_or_function))
        return any((self.amount(at, function) or 0) > 0 for at in range(len(self.formula.lines)))

    @cached_property
    def raised_by(self) -> str:
        """What raises the dough: its class says, else what is in it."""
        if self.product is not None:
            return self.product.raised_by
        return "yeast" if self.brings("yeast-gas") else "chemical" if self.brings("base") else "none"


CONTEXTS = 128
"""Contexts remembered: those of the recipes at hand, and of what they are turned into."""


def context_of(formula: Formula, book: Rulebook) -> Context:
    """The context of a formula, shared by all that ask for it while it is at hand."""
    held: dict[Formula, Context] = book.remembered.setdefault("contexts", {})
    found = held.get(formula)
    if found is None:
        if len(held) >= CONTEXTS:
            held.clear()
        found = held[formula] = Context(formula, book)
    return found


def is_any(ingredient: Ingredient, classes: Iterable[str]) -> bool:
    """Whether an ingredient is one of these ids, is like one, or belongs to one of these classes."""
    own = ingredient.classes
    for name in classes:  # noqa: SIM110 - asked hundreds of times a recipe: a loop takes half of what any() does
        if name in own or name == ingredient.id or name == ingredient.like:
            return True
    return False


def _names(ingredient: Ingredient, book: Rulebook) -> frozenset[str]:
    """All that an ingredient of the rulebook is, as `is_any` has it; worked out once."""
    known: dict[str, frozenset[str]] = book.remembered.setdefault(f"{__name__}.names", {})
    found = known.get(ingredient.id)
    if found is None:
        found = known[ingredient.id] = frozenset({ingredient.id, ingredient.like, *ingredient.classes})
    return found


def mass(line: Line) -> float:
    """A line's known mass, g; lines of unknown mass are told of elsewhere and weigh nothing here."""
    return 0.0 if line.grams is None else line.grams
