"""What can be done about the lines of a recipe under its wishes, and what each way costs by itself."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from assistant.plan.conditions import Facts
from assistant.plan.constraints import Admission, breaking, kept_lines
from assistant.plan.diets import wholes
from assistant.plan.draft import Choice, Refused, leaving_with, size
from assistant.plan.functions import WATER_HELD, Context, is_any, mass, served, strengths
from assistant.plan.score import ELSEWHERE, MOST_STEPS, WEIGHT
from assistant.plan.search import Open, Way
from assistant.plan.swaps import Arrival, Candidate, candidates, products_after, usual_of
from assistant.rulebook.model import Function, Ingredient, Rulebook
from assistant.words.derivation import GRADES

LEFT_OUT_OF = ("folded", "topping")
"""Ways to join a dough that nothing else stands on: what is folded in or strewn on top can stay away."""


@dataclass(frozen=True)
class Ways:
    """The ways of one recipe under its wishes."""

    base: Context
    admission: Admission
    facts: Facts

    @cached_property
    def kept(self) -> frozenset[int]:
        """Lines that neither leave nor change."""
        return kept_lines(self.base, self.admission.constraints)

    @cached_property
    def broken(self) -> dict[int, str]:
        """Lines that break a wish, with why."""
        return breaking(self.base, self.admission)

    @cached_property
    def opens(self) -> tuple[Open, ...]:
        """What is to be settled. A line of which the rest may do the work can also be left out."""
        opens = [Open(at, self.of(at)) for at in sorted(self.broken)]
        wanted = self.admission.constraints.raised
        if wanted and wanted != self.base.raised_by:
            raising = (way for at in range(len(self.base.ingredients)) for way in self.of(at) if _raises(way))
            opens.insert(0, Open(None, tuple(raising)))
        return tuple(self._without_spare(opens))

    @cached_property
    def further(self) -> tuple[Way, ...]:
        """Ways for lines that may stay, taken only to reach a figure."""
        return tuple(
            way
            for at, ingredient in enumerate(self.base.ingredients)
            if at not in self.broken and ingredient is not None and mass(self.base.formula.lines[at]) > 0
            for way in self.of(at)
            if not way.choice.candidate or not way.choice.candidate.swap.raises or _raises(way)
        )

    def of(self, at: int) -> tuple[Way, ...]:
        """The ways for one line, by id: swaps that hold and bring nothing barred, and leaving it out."""
        if at in self.kept:
            return ()
        held, _ = candidates(self.base, at, self.facts, admits=self.admission.admits)
        ways = [way for c in held if self._fits(c) and (way := self._swap(at, c)) is not None]
        if self.may_go(at):
            ways.append(self._gone(at))
        return tuple(sorted(ways, key=lambda way: way.id))

    def reasons(self, at: int) -> tuple[str, ...]:
        """Why there is no way for a line, in sentences: what is kept, what never works, what is barred itself."""
        line, ingredient = self.base.formula.lines[at], self.base.ingredients[at]
        if at in self.kept:
            return (f"{line.name} is to be kept.",)
        if ingredient is None:
            return (f"What {line.name} does here is unknown, so nothing is known to take its place.",)
        held, blocked = candidates(self.base, at, self.facts)
        never = {swap.refuse for swap in self.base.book.swaps.values() if swap.refuse}
        arriving = {a.ingredient.id: a.ingredient for c in held for a in (*c.arrivals, *c.companions)}
        barred = [i.name for _, i in sorted(arriving.items()) if not self.admission.admits(i)]
        elsewhere = sum(text not in never for text in blocked)
        said = [text for text in blocked if text in never]
        if barred:
            said.append(f"What could take the place of {line.name} is barred too or not known well enough: {', '.join(barred)}.")
        if elsewhere:
            said.append(f"{elsewhere} more exchange{'s are' * (elsewhere > 1) or ' is'} known for {line.name}, not in a bake like this.")
        return tuple(said) or (f"Nothing is known to do what {line.name} does here.",)

    def may_go(self, at: int) -> bool:
        """Whether a line can be left out as it is: its kind may be, or nothing stands on it."""
        ingredient = self.base.ingredients[at]
        if ingredient is None:
            return False
        kinds = [k for c in ingredient.classes if (k := self.base.book.classes.get(c)) is not None]
        return ingredient.enters in LEFT_OUT_OF or any(k.moves is not None and k.moves.low == 0 for k in kinds)

    def structure_of(self, at: int) -> tuple[Function, ...]:
        """What a line does here that the crumb stands on; nothing, where it is no line of the dough."""
        if self.base.part_of(at):
            return ()
        functions = self.base.book.functions
        return tuple(functions[f] for f in self.base.matters[at] if functions[f].structure)

    def stands(self, choices: Iterable[Choice], after: Context) -> bool:
        """Whether the rest does what the lines did that are only left out."""
        before, now = self.base.dough, after.dough
        scale = before.base_weight_g / 100
        return all(
            now.total(f.id) >= before.total(f.id) - f.tolerance * scale
            for choice in choices
            if choice.candidate is None and not self.may_go(choice.at)
            for f in self.structure_of(choice.at)
        )

    def _without_spare(self, opens: list[Open]) -> Iterable[Open]:
        """Opens, with leaving a line out where all the crumb asks of it may come with a way of another."""
        for one in opens:
            if one.at is None or one.at in self.kept or self.may_go(one.at):
                yield one
                continue
            asked = self.structure_of(one.at)
            others = [way for other in opens if other is not one for way in other.ways]
            if asked and all(any(_brings(way, f, self.base.book) for way in others) for f in asked):
                yield Open(one.at, tuple(sorted((*one.ways, self._gone(one.at)), key=lambda way: way.id)))
            else:
                yield one

    def _fits(self, candidate: Candidate) -> bool:
        """Whether a swap raises the dough as wished for."""
        wanted, raises = self.admission.constraints.raised, candidate.swap.raises
        return not wanted or not raises or raises == wanted

    def _swap(self, at: int, candidate: Candidate) -> Way | None:
        choice = Choice(at, candidate)
        covers = frozenset(leaving_with(choice, self.base, self.kept))
        replaced_g = sum(mass(self.base.formula.lines[place]) for place in covers)
        target = self.base.book.products.get(products_after(candidate.swap, self.base))
        brought: dict[str, float] = {}
        arrivals = (*candidate.arrivals, *candidate.companions)
        for arrival in arrivals:
            if arrival.amount.closes:
                continue
            sized = size(arrival, self.base.around(at), target, replaced_g)
            if isinstance(sized, Refused) or (replaced_g <= 0 and arrival.amount.ratio):
                return None
            brought[arrival.ingredient.id] = brought.get(arrival.ingredient.id, 0.0) + sized[0]
        swap = candidate.swap
        grade = GRADES.index(swap.evidence[0].grade) if swap.evidence else len(GRADES)
        own = self._steps(covers, brought) + WEIGHT["grade"] * grade
        own += WEIGHT["untried"] * (swap.status == "proposed")
        here = self.here
        own += WEIGHT["rarer"] * sum(self._rank(a) for a in arrivals if a.ingredient.id not in here)
        return Way(
            choice,
            covers,
            round(own, 6),
            frozenset(a.ingredient.id for a in arrivals if is_bought(a.ingredient)) - here,
            frozenset(x for a in arrivals for x in a.ingredient.contains or ()) - self.allergens,
            frozenset(a.ingredient.id for a in arrivals if self.admission.doubts(a.ingredient)) - here,
        )

    def _rank(self, arrival: Arrival) -> int:
        """How many of its kind a baker would reach for before, of those that may come in."""
        kind = arrival.amount.any_of
        usual = [i for i in usual_of(kind, self.base.book) if self.admission.admits(self.base.book.ingredients[i])]
        return usual.index(arrival.ingredient.id) if arrival.ingredient.id in usual else 0

    def _gone(self, at: int) -> Way:
        spared = frozenset() if self.may_go(at) else frozenset(f.id for f in self.structure_of(at))
        return Way(Choice(at, None), frozenset({at}), round(self._steps(frozenset({at}), {}, spared), 6))

    @cached_property
    def here(self) -> frozenset[str]:
        """Ingredients of the recipe."""
        return frozenset(line.ingredient for line in self.base.formula.lines if line.ingredient)

    @cached_property
    def allergens(self) -> frozenset[str]:
        """What the recipe contains already."""
        held = {x for i in self.base.ingredients if i is not None for x in i.contains or ()}
        return frozenset(held | wholes(held, self.base.book))

    def _steps(
        self, covers: frozenset[int], brought: dict[str, float], spared: frozenset[str] = frozenset()
    ) -> float:
        """Changes of function in steps nobody notices, when lines leave and ingredients (g) come."""
        scale = self.base.base_weight_g / 100
        if scale <= 0:
            return 0.0
        book, lines = self.base.book, self.base.formula.lines
        moved = [(self.base.ingredients[at], -mass(lines[at])) for at in sorted(covers)]
        moved += [(book.ingredients[ident], grams) for ident, grams in brought.items()]
        change: dict[str, float] = {}
        for ingredient, grams in moved:
            for function, per_gram in () if ingredient is None else served(ingredient, book):
                change[function.id] = change.get(function.id, 0.0) + per_gram * grams
        total = 0.0
        for ident, amount in change.items():
            tolerance = book.functions[ident].tolerance
            if tolerance <= 0 or ident in ELSEWHERE or ident in spared or ident == WATER_HELD:
                continue
            steps = abs(amount) / (tolerance * scale)
            total += min(steps, MOST_STEPS) if steps > 0.5 else 0.0
        return total


def is_bought(ingredient: Ingredient) -> bool:
    """Whether it has to be in the house: water always is."""
    return not is_any(ingredient, ("water",))


def _raises(way: Way) -> bool:
    return way.choice.candidate is not None and bool(way.choice.candidate.swap.raises)


def _brings(way: Way, function: Function, book: Rulebook) -> bool:
    candidate = way.choice.candidate
    if candidate is None:
        return False
    arrivals = (*candidate.arrivals, *candidate.companions)
    return any((strengths(a.ingredient, book)[function.id] or 0.0) > 0 for a in arrivals)
