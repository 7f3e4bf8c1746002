"""How far the rules reach: for each diet and function the stand-ins there are, and over recipes whether a plan
works for every line that stands in the diet's way.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from assistant.formula.model import Formula, Line
from assistant.plan.assess import facts_of
from assistant.plan.constraints import Admission, Bound, Constraints, bounds_of, breaking, missed
from assistant.plan.draft import Choice, Draft, Wishes, draft
from assistant.plan.finish import before_of, without_absent
from assistant.plan.functions import Context
from assistant.plan.model import Assessment
from assistant.plan.nutrition import nutrition_of
from assistant.plan.swaps import candidates, replaces, usual_of
from assistant.rulebook.model import Amount, Ingredient, Rulebook, Swap
from assistant.words.derivation import BARE, GRADES, Derivation, Grade, stated

KEPT = 0.5
"""Share of a function that a plan must leave in the dough to have kept it, unless its rule says it does."""
IN_THE_WAY = 0.1
"""A line stands in the way of a figure when without it the recipe misses it by this share less ..."""
NOTICED = 0.02
"""... and by at least this share of the figure itself: a pinch of salt is in nobody's way."""
_LOSS = stated("bake loss", 0.0)


@dataclass(frozen=True, slots=True)
class Cell:
    """One function in one diet.

    `grades` counts the stand-ins that keep it by what they rest on. Of the lines of the recipes that serve it
    and stand in the diet's way, `asked`, `answered` have a plan that keeps it, and `sure` one that brings
    nothing which leaves the diet in doubt. `lacks` is the diet's own word why none can.
    """

    function: str
    grades: Mapping[Grade, int]
    asked: int
    answered: int
    sure: int
    lacks: str = ""

    @property
    def stand_ins(self) -> int:
        """How many rules keep the function in this diet."""
        return sum(self.grades.values())

    @property
    def gap(self) -> bool:
        """Whether recipes ask for it and nothing answers."""
        return self.asked > 0 and self.answered == 0


@dataclass(frozen=True, slots=True)
class Gap:
    """A line of a recipe that stands in a diet's way and that no plan replaces."""

    recipe: str
    ingredient: str
    functions: tuple[str, ...]
    because: str


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the rules reach in one diet, or with "" whoever eats anything: then every line and every
    ingredient is asked for.

    `asked` ingredients of the rulebook stand in its way, `answered` of them have a stand-in that the diet allows,
    `refused` only a plain no; `silent` are the others, by id.
    """

    diet: str
    cells: tuple[Cell, ...]
    gaps: tuple[Gap, ...]
    asked: int
    answered: int
    refused: int
    silent: tuple[str, ...] = ()


def coverage(book: Rulebook, recipes: Sequence[Formula]) -> tuple[Reach, ...]:
    """How far the rules reach in each diet, over these recipes."""
    here = [_Recipe(formula, book) for formula in recipes]
    return tuple(_Survey(book, diet).reach(here) for diet in ("", *sorted(book.diets)))


def lacking(book: Rulebook, found: Iterable[Reach]) -> Iterable[tuple[str, str]]:
    """(diet, sentence) where a diet has no plan for a function and does not say so, or says so for nothing."""
    for reach in found:
        for cell in reach.cells:
            name = book.functions[cell.function].name
            if cell.gap and not cell.lacks:
                yield reach.diet, f"{reach.diet} has no plan for {name} in the packaged recipes, and does not say so"
            if cell.answered and cell.lacks:
                yield reach.diet, f"{reach.diet} says it lacks {name}, and there is a plan for it"


@dataclass(frozen=True)
class _Plan:
    """A draft that replaces a line by a rule."""

    formula: Formula
    keeps: frozenset[str]
    arrivals: tuple[Ingredient, ...]


@dataclass(frozen=True)
class _Recipe:
    """A recipe with what can be done about each of its lines, worked out once for all diets."""

    formula: Formula
    book: Rulebook
    made: dict[tuple[int, str], _Plan | None] = field(default_factory=dict)

    @cached_property
    def context(self) -> Context:
        return Context(self.formula, self.book)

    @cached_property
    def before(self) -> Assessment:
        return before_of(self.formula, self.book, BARE)

    @cached_property
    def facts(self) -> Mapping[str, float]:
        return facts_of(self.before.chemistry, self.before.nutrition)

    @cached_property
    def loss(self) -> Derivation:
        """The share of the dough that this recipe loses in the oven; what replaces a line loses as much."""
        baked_g = self.before.nutrition.baked_piece_g.value * (self.formula.pieces or 1)
        return stated("bake loss", 1 - baked_g / self.formula.dough_g)

    def plans(self, at: int, admission: Admission) -> Iterable[_Plan]:
        """Plans for a line that bring in nothing a diet forbids."""
        held, _ = candidates(self.context, at, self.facts, admits=lambda i: not admission.refuses(i))
        for candidate in held:
            key = at, candidate.id
            if key not in self.made:
                made = draft((Choice(at, candidate),), self.context, self.facts, Wishes())
                self.made[key] = self.plan(at, candidate.swap, made) if isinstance(made, Draft) else None
            plan = self.made[key]
            if plan is not None and not any(map(admission.refuses, plan.arrivals)):
                yield plan

    def plan(self, at: int, swap: Swap, made: Draft) -> _Plan:
        after = Context(made.formula, self.book)
        base, now = self.context.around(at), after.around(at)
        kept = {f for f in self.context.matters[at] if now.total(f) >= KEPT * base.total(f)}
        new = tuple(i for i in after.ingredients[len(self.formula.lines) :] if i is not None)
        return _Plan(made.formula, frozenset(kept.union(swap.keeps)), new)

    def misses(self, formula: Formula, bounds: Sequence[Bound]) -> float:
        """By how much a formula misses figures, all told, as shares of them."""
        weighed = without_absent(formula, self.formula)
        return sum(m.share for m in missed(nutrition_of(weighed, self.book, BARE, self.loss), bounds))


@dataclass(frozen=True)
class _Survey:
    """One diet held against the rules."""

    book: Rulebook
    diet: str

    @cached_property
    def admission(self) -> Admission:
        return Admission(Constraints(diets=(self.diet,) if self.diet else ()), self.book)

    @cached_property
    def bounds(self) -> tuple[Bound, ...]:
        return bounds_of(self.admission.constraints, self.book)

    def reach(self, recipes: Iterable[_Recipe]) -> Reach:
        asked: Counter[str] = Counter()
        answered: Counter[str] = Counter()
        sure: Counter[str] = Counter()
        gaps: list[Gap] = []
        for recipe in recipes:
            for at, because in self.in_the_way(recipe).items():
                served = recipe.context.matters[at]
                plans = list(self.working(recipe, at))
                certain = [p for p in plans if not any(map(self.admission.doubts, p.arrivals))]
                asked.update(served)
                answered.update(f for f in served if any(f in plan.keeps for plan in plans))
                sure.update(f for f in served if any(f in plan.keeps for plan in certain))
                if not plans:
                    line = recipe.formula.lines[at]
                    gaps.append(Gap(recipe.formula.name, line.ingredient or line.name, served, because))
        lacks = self.book.diets[self.diet].lacks if self.diet else {}
        cells = tuple(
            Cell(f, self.grades(f), asked[f], answered[f], sure[f], lacks.get(f, "")) for f in self.book.functions
        )
        questions = self.questions()
        silent = tuple(i for i, answer in questions.items() if answer == "")
        told = Counter(questions.values())
        return Reach(self.diet, cells, tuple(gaps), len(questions), told["stand-in"], told["no"], silent)

    def in_the_way(self, recipe: _Recipe) -> dict[int, str]:
        """Lines that a diet forbids, and those that keep the recipe from its figures; with why."""
        if not self.diet:
            served = recipe.context.matters
            return {at: "" for at in range(len(recipe.formula.lines)) if served[at]}
        found = breaking(recipe.context, self.admission)
        bounds = self.bounds
        before = recipe.misses(recipe.formula, bounds)
        if before <= 0:
            return found
        least = max(IN_THE_WAY * before, NOTICED)
        said = " and ".join(map(str, bounds))
        for at, line in enumerate(recipe.formula.lines):
            without = replace(recipe.formula, lines=_with(recipe.formula.lines, at, replace(line, grams=0.0)))
            if recipe.context.matters[at] and before - recipe.misses(without, bounds) >= least:
                found.setdefault(at, f"{line.name} keeps it from {said}")
        return found

    def working(self, recipe: _Recipe, at: int) -> Iterable[_Plan]:
        """Plans for a line in the way that a diet allows and, where it counts figures, that come nearer to them."""
        before = recipe.misses(recipe.formula, self.bounds) if self.bounds else 0.0
        for plan in recipe.plans(at, self.admission):
            if not before or recipe.misses(plan.formula, self.bounds) < before:
                yield plan

    # rules alone

    @cached_property
    def rules(self) -> tuple[Swap, ...]:
        """Rules that bring in something, all of which the diet allows and which comes nearer to its figures."""
        return tuple(
            s for s in self.book.swaps.values()
            if s.status != "retired" and not s.refuse and self.brings(s) and self.nearer(s)
        )  # fmt: skip

    def grades(self, function_id: str) -> dict[Grade, int]:
        """Stand-ins that keep a function, by grade, the best first."""
        counted = Counter(
            min((e.grade for e in s.evidence), key=GRADES.index) for s in self.rules if function_id in s.keeps
        )
        return {grade: counted[grade] for grade in GRADES if counted[grade]}

    def brings(self, swap: Swap) -> bool:
        needed = [*swap.stand_ins, *(a for a in swap.also if a.ratio is None or a.ratio.low > 0)]
        return all(self.suiting(a) is not None for a in needed)

    def suiting(self, amount: Amount) -> Ingredient | None:
        """What a diet lets come in for an amount, the usual one of its class first."""
        if amount.ingredient:
            members = [self.book.ingredients[amount.ingredient]]
        else:
            usual = [self.book.ingredients[i] for i in usual_of(amount.any_of, self.book)]
            members = [*usual, *self.book.members(amount.any_of)]
        return next((m for m in members if not self.admission.refuses(m)), None)

    def nearer(self, swap: Swap) -> bool:
        """Whether what a rule brings, for the same mass replaced, has less of what a diet counts as too much and
        more of what it asks for. Where the rule goes by the dough, or a figure is unknown, it does not count."""
        if not self.bounds:
            return True
        if any(a.ratio is None for a in swap.stand_ins):
            return False
        replaced = next((i for i in self.book.ingredients.values() if replaces(swap, i)), None)
        if swap.replaces_any:
            usual = usual_of(swap.replaces, self.book)
            replaced = self.book.ingredients[usual[0]] if usual else replaced
        if replaced is None:
            return False
        brought = [
            Line(i.name, i.id, 100 * a.ratio.centre)
            for a in swap.stand_ins
            for i in (self.suiting(a),)
            if i is not None and a.ratio is not None
        ]
        before = nutrition_of(Formula("", "", (Line("", replaced.id, 100.0),)), self.book, BARE, _LOSS)
        after = nutrition_of(Formula("", "", tuple(brought)), self.book, BARE, _LOSS)
        for bound in self.bounds:
            old, new = before.per_piece.get(bound.nutrient), after.per_piece.get(bound.nutrient)
            if old is None or new is None or bound.nutrient in (*before.incomplete, *after.incomplete):
                return False
            if (bound.most is not None and new.value >= old.value) or (
                bound.least is not None and new.value <= old.value
            ):
                return False
        return True

    def questions(self) -> dict[str, str]:
        """Ingredients that a diet forbids: whether a "stand-in" it allows, only a "no", or nothing is known."""
        found = {}
        for ingredient in self.book.ingredients.values():
            if self.diet and not self.admission.refuses(ingredient):
                continue
            speaking = [s for s in self.book.swaps.values() if s.status != "retired" and replaces(s, ingredient)]
            allowed = any(s in self.rules for s in speaking if not s.refuse)
            found[ingredient.id] = "stand-in" if allowed else "no" if any(s.refuse for s in speaking) else ""
        return found


def _with(lines: Sequence[Line], at: int, line: Line) -> tuple[Line, ...]:
    return (*lines[:at], line, *lines[at + 1 :])
