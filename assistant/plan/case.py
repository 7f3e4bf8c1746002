"""One recipe under its wishes: sets of changes made into doughs, and what they cost and miss."""

from dataclasses import dataclass
from functools import cached_property

from assistant.formula.model import Formula
from assistant.plan.assess import facts_of
from assistant.plan.constraints import (
    Admission,
    Constraints,
    Missed,
    bounds_of,
    breaking,
    missed,
)
from assistant.plan.draft import LIQUIDS, Aim, Draft, Refused, Wishes, draft, size
from assistant.plan.finish import (
    LOST,
    choice_title,
)
from assistant.plan.functions import ACID, BASE, WATER_HELD, Context, context_of, is_any, mass, strengths
from assistant.plan.model import Assessment
from assistant.plan.nutrition import nutrition_of
from assistant.plan.score import WEIGHT, soda_left
from assistant.plan.search import Found, Search, Settled, Way, cost_of
from assistant.plan.swaps import products_after
from assistant.plan.targets import Line, lines_of, movable
from assistant.plan.ways import Ways, is_bought
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.derivation import BARE, Derivation, Notes

ROUNDS = 3
"""How often amounts are balanced anew for a figure that is still missed."""
SLACK = 2.0
"""How far, in changes nobody notices, a figure may push free water from where the dough wants it."""
NEAR = 0.9
"""Share of a gap that further ways must be able to close, reckoned before the dough is balanced."""
WORTH = 0.02
"""Share of a gap that a further way must close to be worth taking."""


@dataclass(frozen=True, slots=True)
class Dough:
    """A set of ways made into a dough, with the parts of what that adds to its cost."""

    made: Draft
    extras: tuple[tuple[str, float], ...]
    missed: tuple[Missed, ...]


class Case:
    """One recipe under its wishes."""

    def __init__(self, formula: Formula, admission: Admission, before: Assessment) -> None:
        self.formula = formula
        self.admission = admission
        self.constraints = admission.constraints
        self.book = admission.book
        self.before = before
        self.base = context_of(formula, self.book)
        self.facts = facts_of(before.chemistry, before.nutrition)
        self.ways = Ways(self.base, admission, self.facts)
        self.bounds = bounds_of(self.constraints, self.book)
        self.refused: list[str] = []

    @cached_property
    def loss(self) -> Derivation:
        """Share of the dough lost in the oven, as the recipe stands."""
        baked_g = self.before.nutrition.baked_piece_g.value * (self.formula.pieces or 1)
        dough_g = self.formula.dough_g
        return Derivation(LOST, 1 - baked_g / dough_g if dough_g > 0 else 0.0)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """All bounds as totals over lines."""
        pieces, loss = self.formula.pieces, float(self.loss.value)
        return tuple(line for bound in self.bounds for line in lines_of(bound, pieces, loss))

    @cached_property
    def movable(self) -> dict[int, tuple[float, float]]:
        """Lines that may be moved to reach the figures."""
        return movable(self.base, self.ways.kept, self.lines)

    @cached_property
    def amounts(self) -> dict[int, float]:
        """Masses that lines are set to, g; of several lines that a name means, each its share."""
        found: dict[int, float] = {}
        for name, grams in self.constraints.amounts.items():
            places = [
                at
                for at, (line, i) in enumerate(zip(self.formula.lines, self.base.ingredients, strict=True))
                if line.name == name or (i is not None and is_any(i, (name,)))
            ]
            whole = sum(mass(self.formula.lines[at]) for at in places)
            for at in places:
                share = mass(self.formula.lines[at]) / whole if whole > 0 else 1 / len(places)
                found[at] = grams * share
        return found

    def search(self) -> Search[Dough]:
        """The search for sets of ways, not yet begun."""
        further = self.ways.further if self.bounds or self.constraints.cost is not None else ()
        return Search(self.ways.opens, self.settle, further)

    def settle(self, ways: tuple[Way, ...]) -> Settled[Dough] | None:
        """A set of ways as a dough that keeps all wishes but perhaps a figure; None when it can't be made.

        What is far from a figure, all that its rules and movable lines allow counted in, is not made at all; ways may
        still join it.
        """
        far = self._far(ways)
        if far:
            return Settled(0.0, None, lambda way, left: self._helps(ways, way, left, far, frozenset()))
        return self.made(ways)

    def made(self, ways: tuple[Way, ...]) -> Settled[Dough] | None:
        """`settle`, with the dough made whatever it misses."""
        made = self._drafted(ways, ())
        if isinstance(made, Refused):
            titles = "; ".join(choice_title(way.choice, self.formula) for way in ways) or self.formula.name
            self.refused.append(f"{titles}: {made.because}")
            return None
        off = self._missed(made)
        aims: dict[str, Aim] = {}
        for _ in range(ROUNDS):
            here = {str(m.bound) for m in off}
            dough_g = made.formula.dough_g
            new = {str(line.bound): line.aim(dough_g) for line in self.lines if str(line.bound) in here}
            if not new.keys() - aims.keys():
                break
            aims |= new
            moved = self._drafted(ways, tuple(aims.values()))
            if isinstance(moved, Refused) or _water_off(moved):
                break
            made, off = moved, self._missed(moved)
        if self._too_dear(made):
            return Settled(0.0, None, lambda way, left: self._cheapens(way))
        extras = self._extras(ways, made)
        dough = Dough(made, extras, off)
        extra = round(sum(cost for _, cost in extras), 6)
        if not off:
            return Settled(extra, dough)
        gaps = self._gaps(dough)
        return Settled(extra, dough, lambda way, left: self._helps(ways, way, left, gaps, made.gone))

    def _far(self, ways: tuple[Way, ...]) -> list[tuple[int, float]]:
        """Which totals stay over their most whatever the amounts, and how far; none for ways that settle what is open,
        which are made to see what they miss."""
        if not self.bounds or self._further.isdisjoint(way.id for way in ways):
            return []
        gaps = []
        for at, (over, spare) in enumerate(self._reach):
            left = over - spare - sum(self._saved(way, at) for way in ways)
            if left > (1 - NEAR) * over:
                gaps.append((at, left))
        return gaps

    @cached_property
    def _followers(self) -> dict[int, tuple[int, ...]]:
        """For each line those that may leave with it: all they do here is to meet its needs, as sugar does yeast's."""
        found = {}
        for at, ingredient in enumerate(self.base.ingredients):
            own = set() if ingredient is None else {i for i, amount in strengths(ingredient, self.book).items() if amount}
            met = {
                function
                for need in self.book.needs.values()
                if ingredient is not None and (need.of in own or is_any(ingredient, (need.of,)))
                for function in need.met_by
            }
            found[at] = tuple(
                other
                for other, does in enumerate(self.base.matters)
                if other != at and does and met.issuperset(does) and other not in self.ways.kept
            )
        return found

    @cached_property
    def _further(self) -> frozenset[tuple[int, str]]:
        return frozenset(way.id for way in self.ways.further)

    @cached_property
    def _reach(self) -> list[tuple[float, float]]:
        """How far the recipe is over each total, and by how much its movable lines could lower it."""
        found = []
        slack_g = SLACK * self.book.functions[WATER_HELD].tolerance * self.base.base_weight_g / 100
        for line, of_water in zip(self.lines, self._of_water, strict=True):
            spare = max(-of_water, 0.0) * slack_g
            for at, (low, high) in self.movable.items():
                ingredient = self.base.ingredients[at]
                per_gram = 0.0 if ingredient is None else line.per_gram(ingredient)
                spare += max(per_gram * (1 - low), per_gram * (1 - high), 0.0) * mass(self.formula.lines[at])
            found.append((line.over(self.base), spare))
        return [(over, spare) for over, spare in found]

    def _gaps(self, dough: Dough) -> list[tuple[int, float]]:
        """Which totals are over their most, and how far."""
        after = Context(dough.made.formula, self.book)
        missing = {m.bound for m in dough.missed}
        return [
            (at, over)
            for at, line in enumerate(self.lines)
            if line.bound in missing and (over := line.over(after)) > 0
        ]

    def _drafted(self, ways: tuple[Way, ...], aims: tuple[Aim, ...]) -> Draft | Refused:
        """A draft that keeps everything but figures, or why there is none."""
        if not ways and not aims and not self.amounts:
            return Draft(self.formula, {}, frozenset(), (), {}, ())
        moves = self.movable if aims else {}
        wishes = Wishes(self.ways.kept, self.amounts, self.admission.admits, aims, moves)
        made = draft([way.choice for way in ways], self.base, self.facts, wishes)
        if isinstance(made, Refused):
            return made
        after = Context(made.formula, self.book)
        for why in breaking(after, self.admission).values():
            return Refused(why)
        if not self.ways.stands((way.choice for way in ways), after):
            return Refused("nothing would hold the crumb")
        newest = self.constraints.newest
        new = self._new(made)
        if newest is not None and len(new) > newest:
            return Refused(f"it brings {len(new)} new ingredients")
        return made

    def _too_dear(self, made: Draft) -> bool:
        """Whether a dough costs more than a batch may; what comes in has to have a price. Told among the reasons."""
        most = self.constraints.cost
        if most is None:
            return False
        price, unpriced = cost_of_batch(made.formula, self.constraints, self.book)
        dark = [name for name in unpriced if name not in {line.name for line in self.formula.lines}]
        if price > most:
            self.refused.append(f"a batch costs {price:.2f}" + (" at least" if unpriced else ""))
        elif dark:
            self.refused.append(f"what {' and '.join(dark)} cost{'s' if len(dark) == 1 else ''} is unknown")
        return price > most or bool(dark)

    def _cheapens(self, way: Way) -> bool:
        """Whether a way may make a batch cost less, at the least its rule allows; all it brings has to have a price."""
        prices = self.constraints.prices
        candidate = way.choice.candidate
        leaving = [self.formula.lines[place] for place in way.covers]
        priced = [(prices[name], mass(line)) for line in leaving if (name := line.ingredient or line.name) in prices]
        saved = sum(price * grams for price, grams in priced)
        replaced_g = sum(mass(line) for line in leaving)
        for arrival in () if candidate is None else (*candidate.arrivals, *candidate.companions):
            if not is_bought(arrival.ingredient):
                continue
            if arrival.ingredient.id not in prices:
                return False
            if arrival.amount.ratio is not None:
                saved -= prices[arrival.ingredient.id] * arrival.amount.ratio.low * replaced_g
        return saved > 0

    def _new(self, made: Draft) -> frozenset[str]:
        """What has to be in the house that the recipe had not."""
        known = (self.book.ingredients.get(line.ingredient or "") for line in made.formula.lines if mass(line) > 0)
        return frozenset(i.id for i in known if i is not None and is_bought(i)) - self.ways.here

    def _missed(self, made: Draft) -> tuple[Missed, ...]:
        """Figures a dough misses, as the base bakes."""
        after = Context(made.formula, self.book)
        found = []
        for bound in self.bounds:
            value = next((line.value(after) for line in self.lines if line.bound == bound), None)
            if value is None:
                return missed(nutrition_of(made.formula, self.book, BARE, self.loss), self.bounds)
            share = bound.misses(value)
            if share > 0:
                found.append(Missed(bound, value, share))
        return tuple(found)

    def _extras(self, ways: tuple[Way, ...], made: Draft) -> tuple[tuple[str, float], ...]:
        """What a dough costs beyond its ways, by name."""
        after = Context(made.formula, self.book)
        new = self._new(made) - frozenset().union(*(way.new for way in ways))
        fresh = {x for i in after.ingredients if i is not None and i.id in new for x in i.contains or ()}
        fresh -= self.ways.allergens.union(*(way.allergens for way in ways))
        moved = sum(
            abs(mass(made.formula.lines[at]) / mass(self.formula.lines[at]) - 1)
            for at in self.movable.keys() | self.amounts.keys()
            if at not in made.gone and mass(self.formula.lines[at]) > 0
        )
        other = made.formula.product != self.formula.product
        soda = max(soda_left(after.dough) - soda_left(self.base.dough), 0.0) if ways or self.amounts else 0.0
        parts = (
            ("new things that the changes ask for", WEIGHT["new"] * len(new)),
            ("allergens of those", WEIGHT["allergen"] * len(fresh)),
            ("another product", WEIGHT["product"] * other),
            ("soda left over", soda),
            ("amounts moved", WEIGHT["moved"] * moved),
        )
        return tuple((name, round(cost, 6)) for name, cost in parts if cost > 0)

    def _helps(
        self, ways: tuple[Way, ...], way: Way, left: int, gaps: list[tuple[int, float]], gone: frozenset[int]
    ) -> bool:
        """Whether a way brings a missed figure nearer, and with the best that may still join could close every gap."""
        if not gone.isdisjoint(way.covers):
            return False  # what it replaces leaves anyway
        taken = way.covers.union(gone, *(w.covers for w in ways))
        helps = False
        for at, over in gaps:
            own = self._saved(way, at)
            others = sorted((best for place, best in self._best[at].items() if place not in taken), reverse=True)
            if own + sum(others[: left - 1]) < NEAR * over:
                return False
            helps = helps or own > WORTH * over
        return helps

    def saving(self, ways: tuple[Way, ...], dough: Dough) -> tuple[Way, ...] | None:
        """Ways with the further one that saves most of what a dough misses; None when none saves anything."""
        gaps = self._gaps(dough)
        taken = dough.made.gone.union(*(way.covers for way in ways))
        best = max(
            (
                (sum(min(self._saved(way, at) / over, 1.0) for at, over in gaps), -way.own, way.id, way)
                for way in self.ways.further
                if taken.isdisjoint(way.covers)
            ),
            default=None,
            key=lambda one: one[:3],
        )
        return None if best is None or best[0] <= 0 else (*ways, best[3])

    def _saved(self, way: Way, at: int) -> float:
        """By how much a way lowers a total at most, within the limits of its rule."""
        leaving = [(self.base.ingredients[p], mass(self.formula.lines[p])) for p in way.covers]
        saved = sum(self._weight(at, i) * grams for i, grams in leaving if i is not None)
        for follower in {f for p in way.covers for f in self._followers[p]} - way.covers:
            ingredient = self.base.ingredients[follower]
            if ingredient is not None:
                saved += max(self._weight(at, ingredient), 0.0) * mass(self.formula.lines[follower])
        for ingredient, low, high in self._coming(way):
            weight = self._weight(at, ingredient)
            saved -= min(weight * low, weight * high)
        return saved

    def _coming(self, way: Way) -> list[tuple[Ingredient, float, float]]:
        """What a way brings, with the least and the most of it, g; acids that close a need as the way's own soda asks."""
        candidate = way.choice.candidate
        if candidate is None:
            return []
        if way.id not in self._brought:
            around = self.base.around(way.choice.at)
            target = self.book.products.get(products_after(candidate.swap, self.base))
            replaced_g = sum(mass(self.formula.lines[p]) for p in way.covers)
            arrivals = (*candidate.arrivals, *candidate.companions)
            sized = [(a.ingredient, size(a, around, target, replaced_g)) for a in arrivals if not a.amount.closes]
            found = [(i, *amount[1]) for i, amount in sized if not isinstance(amount, Refused)]
            soda = sum((strengths(i, self.book)[BASE] or 0.0) * high for i, _, high in found)
            for arrival in arrivals:
                sour = strengths(arrival.ingredient, self.book)[ACID] or 0.0
                if arrival.amount.closes and sour > 0:
                    found.append((arrival.ingredient, 0.0, soda / sour))
            self._brought[way.id] = found
        return self._brought[way.id]

    @cached_property
    def _brought(self) -> dict[tuple[int, str], list[tuple[Ingredient, float, float]]]:
        return {}

    def _weight(self, at: int, ingredient: Ingredient) -> float:
        """What a gram of an ingredient adds to a total, with the liquid that the dough then takes or spares."""
        key = at, ingredient.id
        if key not in self._weights:
            line = self.lines[at]
            self._weights[key] = line.per_gram(ingredient) - self._free_water(ingredient) * self._of_water[at]
        return self._weights[key]

    @cached_property
    def _weights(self) -> dict[tuple[int, str], float]:
        return {}

    @cached_property
    def _of_water(self) -> list[float]:
        """What a gram of free water more adds to each total, by the liquid that the dough is brought back with."""
        dough, kept = self.base.dough, self.ways.kept
        places = next((p for kind in LIQUIDS if (p := frozenset(dough.lines(*kind)) - kept)), ())
        main = max(places, key=lambda at: (mass(self.formula.lines[at]), -at), default=None)
        liquid = None if main is None else self.base.ingredients[main]
        wet = 0.0 if liquid is None else self._free_water(liquid)
        return [0.0 if liquid is None or wet <= 0 else line.per_gram(liquid) / wet for line in self.lines]

    def _free_water(self, ingredient: Ingredient) -> float:
        """Water in a gram of an ingredient less what it holds, as far as that is known: it only guides the search."""
        return (ingredient.per_gram("water_g") or 0.0) - (strengths(ingredient, self.book)[WATER_HELD] or 0.0)

    @cached_property
    def _best(self) -> list[dict[int, float]]:
        """For each bound, the most that any way of a line that may stay saves."""
        best: list[dict[int, float]] = []
        for at in range(len(self.lines)):
            of_line: dict[int, float] = {}
            for way in self.ways.further:
                place = way.choice.at
                of_line[place] = max(of_line.get(place, 0.0), self._saved(way, at))
            best.append(of_line)
        return best

    def as_it_is(self, found: Found[Dough]) -> bool:
        """Whether a plan changes nothing."""
        return found.value.made.formula is self.formula

    def score(self, found: Found[Dough], notes: Notes) -> Derivation:
        """The cost of a plan with its parts."""
        parts = [
            Derivation(choice_title(way.choice, self.formula), way.own, "1", way.rule[1])
            for way in found.ways
        ]
        shared = round(cost_of(found.ways) - sum(way.own for way in found.ways), 6)
        parts.append(Derivation("new things, new allergens, doubts", shared, "1"))
        parts += [Derivation(name, cost, "1") for name, cost in found.value.extras]
        return notes.derive("distance from the base", _sum, *parts, grade="common practice")


def _sum(*parts: float) -> float:
    return round(sum(parts), 3)


def _water_off(made: Draft) -> bool:
    """Whether the dough got too slack or too stiff."""
    masses = [mass(line) for line in made.formula.lines]
    return any(
        goal.name == "free water" and abs(goal.total(masses) - goal.target) > SLACK * goal.tolerance
        for goal in made.goals
    )


def cost_of_batch(
    formula: Formula, constraints: Constraints, book: Rulebook
) -> tuple[float, tuple[str, ...]]:
    """What a recipe costs at the prices told, and the lines whose price nobody told; in the money of the prices.

    Water without a price comes from the tap.
    """
    total, unpriced = 0.0, []
    for line in formula.lines:
        known = book.ingredients.get(line.ingredient or "")
        tap = known is not None and not is_bought(known) and known.id not in constraints.prices
        if tap or (line.grams is not None and line.grams <= 0):
            continue
        price = constraints.prices.get(line.ingredient or line.name)
        if price is None or line.grams is None:
            unpriced.append(line.name)
        else:
            total += price * line.grams / 1000
    return total, tuple(unpriced)
