"""From chosen swaps to an altered formula: what leaves, what arrives, and how much of each.

However many lines are replaced, needs are closed once, a companion two swaps bring is shared, and amounts are
balanced once for the whole dough.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.formula.model import Formula, Line
from assistant.laws.altitude import powder_share
from assistant.laws.leavening import FRESH_POWDER_CO2_PCT, co2_mmol_from_powder
from assistant.plan.balance import Goal, Unknown, balance
from assistant.plan.conditions import Facts
from assistant.plan.functions import ACID, BASE, GAS, SALT, WATER_HELD, Context, mass, strengths
from assistant.plan.needs import can_meet, obligations, without_reason
from assistant.plan.swaps import Admits, Arrival, Candidate, anything, products_after, replaces, usual_of
from assistant.rulebook.model import Band, Ingredient, Need, Product, Rulebook

LIQUIDS = (("water",), ("milk", "plant-milk"), ("cultured-milk",))
"""Classes that carry a dough's water, the most neutral first: the first that is there is adjusted."""
FREE_G = 1e4
"""Freedom of a line that nothing printed holds back, g: no ridge to speak of."""
CLOSURES = 5
"""Rounds of needs that bring needs; no kitchen goes deeper."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What is done about one line: a candidate swap, or None when it leaves and nothing takes its place."""

    at: int
    candidate: Candidate | None


@dataclass(frozen=True, slots=True)
class Aim:
    """A figure of composition to reach in the whole dough: weights of nutrients, and of mass itself.

    Sodium under 1.2 g in 100 g of a dough that bakes to nine tenths: `of` {"sodium_mg": 1}, `per_g` -10.8,
    `target` 0.
    """

    name: str
    of: Mapping[str, float]
    per_g: float
    target: float
    tolerance: float

    def goal(self, context: Context) -> Goal:
        """The aim as a total over lines; a figure nobody knows does not weigh."""
        weights = {}
        for at, ingredient in enumerate(context.ingredients):
            if ingredient is None:
                continue
            figures = ((w, ingredient.per_gram(nutrient)) for nutrient, w in self.of.items())
            weights[at] = self.per_g + sum(w * value for w, value in figures if value is not None)
        return Goal(self.name, weights, self.target, self.tolerance)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What else a draft keeps to.

    `pinned` lines neither leave nor change; `amounts` are masses that lines are set to, g (they are pinned
    too); only ingredients that are `admitted` come in of themselves; `aims` are totals to reach beside those
    a dough keeps, and `moves` how far a line may be moved for them, as shares of its mass.
    """

    pinned: frozenset[int] = frozenset()
    amounts: Mapping[int, float] = field(default_factory=dict)
    admitted: Admits = anything
    aims: tuple[Aim, ...] = ()
    moves: Mapping[int, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a candidate can't be made to work here."""

    because: str


@dataclass(frozen=True, slots=True)
class Draft:
    """An altered formula, lines in the old order and arrivals last, with the reason for each change."""

    formula: Formula
    because: Mapping[int, str]
    gone: frozenset[int]
    arrived: tuple[int, ...]
    rules: Mapping[int, str]  # what set each changed mass: a rule's id, or the balance
    goals: tuple[Goal, ...]


@dataclass(slots=True)
class _Work:
    """Masses while a draft is made. What arrives joins the part of what it stands in for."""

    lines: list[Line]
    low: dict[int, float]
    high: dict[int, float]
    free: dict[int, float]
    because: dict[int, str]
    rules: dict[int, str]
    gone: set[int]
    brought: list[int]  # lines that are new

    def formula(self, base: Formula, product: str) -> Formula:
        return replace(base, lines=tuple(self.lines), product=product)

    def remove(self, at: int, because: str, rule: str) -> None:
        self.lines[at] = replace(self.lines[at], grams=0.0)
        self.gone.add(at)
        self.because[at] = because
        self.rules[at] = rule

    def share(self, ingredient: Ingredient, grams: float, band: tuple[float, float], part: str) -> bool:
        """Whether another swap has brought a companion already: then there is at least what the needier of the
        two asks for, and at most what both do."""
        low, high = band
        for at in self.brought:
            if self.lines[at].ingredient == ingredient.id and self.lines[at].part == part:
                self.lines[at] = replace(self.lines[at], grams=max(mass(self.lines[at]), grams))
                self.low[at], self.high[at] = max(self.low[at], low), self.high[at] + high
                self.free[at] = max(self.free[at], (self.high[at] - self.low[at]) / 2)
                return True
        return False

    def bring(
        self, ingredient: Ingredient, grams: float, band: tuple[float, float], because: str, rule: str,
        part: str, body: frozenset[int],
    ) -> int:  # fmt: skip
        """Add to the line of `body` that has the ingredient already, else as a new last line of a part."""
        low, high = band
        for at, line in enumerate(self.lines):
            here = at in body or (at in self.brought and line.part == part)
            if line.ingredient == ingredient.id and here and at not in self.gone:
                start = mass(line)
                self.lines[at] = replace(line, grams=start + grams)
                self.low[at], self.high[at] = start + low, start + high
                break
        else:
            at = len(self.lines)
            self.lines.append(Line(ingredient.name, ingredient.id, grams, part=part))
            self.low[at], self.high[at] = low, high
            self.brought.append(at)
        self.free[at] = max((high - low) / 2, grams / 10, 0.1)
        self.because[at] = because
        self.rules[at] = rule
        return at


def draft(choices: Sequence[Choice], base: Context, facts: Facts, wishes: Wishes) -> Draft | Refused:
    """The formula after chosen swaps, its needs closed and its amounts balanced and rounded.

    Refused when a pinned line would have to leave, two swaps speak of one line or would raise the dough
    two ways, a need has nothing to meet it, or a rule's limits leave no amount.
    """
    pinned = wishes.pinned | frozenset(wishes.amounts)
    leaving: dict[int, Choice] = {}
    for choice in choices:
        for place in leaving_with(choice, base, pinned):
            if place in leaving:
                return Refused(f"{base.formula.lines[place].name} can't be replaced twice")
            leaving[place] = choice
    for place in sorted(leaving):
        if place in pinned:
            return Refused(f"{base.formula.lines[place].name} is to be kept")
    swaps = [c.candidate.swap for c in choices if c.candidate is not None]
    kinds = {s.raises for s in swaps if s.raises}
    if len(kinds) > 1:
        return Refused("a dough is raised one way, not two")
    product_id = next((products_after(s, base) for s in swaps if s.raises), base.formula.product)
    work = _Work(list(base.formula.lines), {}, {}, {}, {}, {}, set(), [])
    for place, grams in wishes.amounts.items():
        work.lines[place] = replace(work.lines[place], grams=grams, amount=None, unit="")
        work.because[place], work.rules[place] = "set so", "stated"
    for place, choice in leaving.items():
        work.remove(place, *_why_gone(choice, place))
    closers: dict[str, Ingredient] = {}
    for choice in choices:
        if choice.candidate is None:
            continue
        replaced_g = sum(mass(base.formula.lines[at]) for at, c in leaving.items() if c is choice)
        if replaced_g <= 0 and any(a.amount.ratio for a in choice.candidate.arrivals):
            return Refused(f"how much {base.formula.lines[choice.at].name} there is is unknown")
        refused = _arrive(work, choice, base, product_id, replaced_g, closers)
        if refused is not None:
            return refused
    refused = _close(work, base, product_id, facts, closers, pinned, wishes.admitted)
    if refused is not None:
        return refused
    _release(work, base, product_id, pinned)
    touched = (*leaving, *wishes.amounts, *wishes.moves)
    goals = _balance(work, base, product_id, wishes, pinned, set(leaving), {base.part_of(at) for at in touched} or {""})
    _round(work, base)
    formula = work.formula(base.formula, product_id)
    for place in sorted(pinned):
        if mass(formula.lines[place]) != wishes.amounts.get(place, mass(base.formula.lines[place])):
            return Refused(f"{base.formula.lines[place].name} is to be kept as it is")
    refused = _left_owing(Context(formula, base.book), base, facts)
    if refused is not None:
        return refused
    arrived = tuple(range(len(base.formula.lines), len(work.lines)))
    return Draft(formula, work.because, frozenset(work.gone), arrived, work.rules, goals)


def leaving_with(choice: Choice, base: Context, pinned: frozenset[int]) -> list[int]:
    """Lines that go with a choice: its own and, when the dough is raised another way, what raised it so far."""
    swap = None if choice.candidate is None else choice.candidate.swap
    return [
        place
        for place, ingredient in enumerate(base.around(choice.at).ingredients)
        if place == choice.at
        or (
            swap is not None
            and swap.raises
            and ingredient is not None
            and replaces(swap, ingredient)
            and place not in pinned
        )
    ]


def _why_gone(choice: Choice, place: int) -> tuple[str, str]:
    if choice.candidate is None:
        return LEFT_OUT, "assistant.plan.draft.LEFT_OUT"
    swap = choice.candidate.swap
    return (f"replaced: {swap.because}" if place == choice.at else "it raises nothing any more"), swap.id


LEFT_OUT = "left out: nothing has to take its place here"


def _arrive(
    work: _Work,
    choice: Choice,
    base: Context,
    product_id: str,
    replaced_g: float,
    closers: dict[str, Ingredient],
) -> Refused | None:
    """What a swap brings, each at its starting amount; what only closes a need waits for that."""
    candidate = choice.candidate
    assert candidate is not None
    here, part = base.around(choice.at), base.formula.lines[choice.at].part
    body = _body(base, base.part_of(choice.at))
    target = None if here.apart else base.book.products.get(product_id)
    for arrival in (*candidate.arrivals, *candidate.companions):
        if arrival.amount.closes:
            closers[arrival.amount.closes] = arrival.ingredient
            continue
        sized = size(arrival, here, target, replaced_g)
        if isinstance(sized, Refused):
            return sized
        grams, band = sized
        poured = any(c in arrival.ingredient.classes for group in LIQUIDS for c in group)
        if arrival in candidate.companions and not poured and work.share(arrival.ingredient, grams, band, part):
            continue
        work.bring(arrival.ingredient, grams, band, candidate.swap.because, candidate.swap.id, part, body)
    return None


def _body(base: Context, part: str) -> frozenset[int]:
    """Places of the lines of the dough, or of a part made by itself."""
    return frozenset(at for at in range(len(base.formula.lines)) if base.part_of(at) == part)


def size(
    arrival: Arrival, base: Context, target: Product | None, replaced_g: float
) -> tuple[float, tuple[float, float]] | Refused:
    """Start and limits of an arrival, g: by ratio to what left, or by a dose band of the target class.

    Refused when neither is known; what only closes a need has no size of its own.
    """
    amount = arrival.amount
    if not amount.dose:
        ratio = amount.ratio
        if ratio is None:
            return Refused(f"how much {arrival.ingredient.name} to use is not known")
        return ratio.centre * replaced_g, (ratio.low * replaced_g, ratio.high * replaced_g)
    dose: Band | None = None if target is None else getattr(target, amount.dose)
    weight = 0.0 if target is None else base.dose_weight_g(target.dose_on)
    if dose is None:
        return Refused(f"the usual dose of {arrival.ingredient.name} for this product is unknown")
    if weight <= 0:
        return Refused("a dose goes by the weight of the flours, and there are none")
    low, centre, high = (
        weight * pct / 100 * per_dose(arrival.ingredient, base.book)
        for pct in (dose.low, dose.centre, dose.high)
    )
    if arrival.ingredient.bases:  # gas takes more room in thin air, so less of it does
        centre = max(low, centre * float(powder_share(base.formula.altitude_m)))
    return centre, (low, high)


def per_dose(ingredient: Ingredient, book: Rulebook) -> float:
    """g of an ingredient that does what 1 g of the dose's own kind does.

    Doses count baking powder and instant yeast. Soda without an acid of its own goes by the gas that
    powder gives; another yeast by its gas rate against the liveliest there is.
    """
    if ingredient.bases and not ingredient.acids:
        return co2_mmol_from_powder(1.0, FRESH_POWDER_CO2_PCT[1]) / sum(
            b.amount.value for b in ingredient.bases
        )
    rate = ingredient.does.get(GAS)
    if rate is not None and rate.value > 0:
        return max(i.does[GAS].value for i in book.ingredients.values() if GAS in i.does) / rate.value
    return 1.0


LEFT_OPEN = 4.0
"""Changes nobody notices by which a need may stay open when other wishes pull the other way."""
OWED = 0.02
"""Share of what a need misses that is no more than rounding."""


def _close(
    work: _Work,
    base: Context,
    product_id: str,
    facts: Facts,
    closers: Mapping[str, Ingredient],
    pinned: frozenset[int],
    admitted: Admits,
) -> Refused | None:
    """Put in what needs ask for, using what the formula has before adding; then what that needs."""
    body = _body(base, "")
    part = max((base.formula.lines[at] for at in body), key=mass).part if body else ""
    for _ in range(CLOSURES):
        context = Context(work.formula(base.formula, product_id), base.book).dough
        opened = _owing(context, base, facts)
        if not opened:
            return None
        for need, missing in opened:
            function_ids = [f for f in need.met_by if f in base.book.functions]
            ingredient = (
                closers.get(need.id)
                or _already(context, need.met_by, pinned, work)
                or _commonest(need.met_by, base.book, admitted)
            )
            if ingredient is None or not can_meet(need, ingredient):
                return Refused(f"nothing known meets this: {need.because}")
            per_gram = sum(strengths(ingredient, base.book)[f] or 0 for f in function_ids)
            if per_gram <= 0:
                return Refused(f"how much {ingredient.name} would do is unknown")
            grams = missing / per_gram
            work.bring(ingredient, grams, (0.0, 1.5 * grams), need.because, need.id, part, body)
    return Refused("what it needs keeps asking for more")


def _owing(context: Context, base: Context, facts: Facts) -> list[tuple[Need, float]]:
    """Needs that are open, and how much more each misses than it did in the recipe.

    What the recipe went without is left as it was: soda over, for colour, is no slip to be mended.
    """
    opened = obligations(context.dough, facts)
    if not opened:
        return []
    before = {o.need.id: o.missing for o in obligations(base.dough, facts)}
    return [
        (o.need, missing)
        for o in opened
        if (missing := o.missing - before.get(o.need.id, 0.0)) > OWED * o.missing
    ]


def _left_owing(context: Context, base: Context, facts: Facts) -> Refused | None:
    """A need that the balance left open by more than a little."""
    scale = base.base_weight_g / 100
    for need, missing in _owing(context, base, facts):
        tolerance = max((f.tolerance for i in need.met_by if (f := base.book.functions.get(i))), default=0.0)
        if missing > LEFT_OPEN * tolerance * scale:
            return Refused(f"no amount within the limits meets this: {need.because}")
    return None


def _already(
    context: Context, met_by: tuple[str, ...], pinned: frozenset[int], work: _Work
) -> Ingredient | None:
    """An ingredient of the formula, of a class the need names, that may be raised to meet it."""
    classes = [m for m in met_by if m not in context.book.functions]
    for at in context.lines(*classes):
        if at not in pinned and at not in work.gone:
            return context.ingredients[at]
    return None


def _commonest(met_by: tuple[str, ...], book: Rulebook, admitted: Admits) -> Ingredient | None:
    """The first ingredient the need names, or the usual member of the first class it names, that may come in."""
    for name in met_by:
        if name in book.ingredients and name not in book.classes:
            named: tuple[Ingredient, ...] = (book.ingredients[name],)
        else:
            named = (*(book.ingredients[u] for u in usual_of(name, book)), *book.members(name))
        for ingredient in named:
            if admitted(ingredient):
                return ingredient
    return None


def _release(work: _Work, base: Context, product_id: str, pinned: frozenset[int]) -> None:
    """Lines whose only use has gone leave too; again until nothing more goes."""
    for _ in range(CLOSURES):
        after = Context(work.formula(base.formula, product_id), base.book).dough
        idle = without_reason(base.dough, after, pinned)
        if not idle:
            return
        for at, did in idle.items():
            names = " and ".join(base.book.functions[f].name for f in did)
            work.remove(
                at, f"its only use here was {names}, and that has gone", "assistant.plan.needs.without_reason"
            )


WEIGHED_G = 0.05
"""What a kitchen scale of tenths of a gram can't tell apart."""


def _balance(
    work: _Work,
    base: Context,
    product_id: str,
    wishes: Wishes,
    pinned: frozenset[int],
    leaving: set[int],
    parts: set[str],
) -> tuple[Goal, ...]:
    """Free water, salt, acid against soda, and what the replaced line did: met as well as limits let, in the dough
    and in each part made by itself that is touched."""
    book = base.book
    target = book.products.get(product_id)
    now = Context(work.formula(base.formula, product_id), book)
    turned = product_id != base.formula.product
    unknowns: dict[int, Unknown] = {
        at: Unknown(at, work.low[at], work.high[at], mass(work.lines[at]), work.free[at]) for at in work.low
    }
    kept: list[Goal] = []
    wet: dict[int, float] = {}
    for part in sorted(parts):
        before, after = base.body(part), now.body(part)
        kept += _goals(before, after, None if part else target, leaving, turned and not part)
        liquid = _liquid(after, work, pinned)
        if liquid is None:
            continue
        wet[liquid] = start = mass(work.lines[liquid])
        if liquid not in unknowns:
            unknowns[liquid] = Unknown(liquid, 0.0, 2 * start + 50, start, FREE_G)
    dough = now.dough
    salt = _salt_line(dough, work, pinned)
    if salt is not None and target is not None and target.salt_pct is not None and turned:
        start = mass(work.lines[salt])
        low, high = (dough.base_weight_g * pct / 100 for pct in (target.salt_pct.low, target.salt_pct.high))
        unknowns[salt] = Unknown(salt, min(low, start), min(high, start) if target.raised_by != "yeast" else max(high, start),
                                 dough.base_weight_g * target.salt_pct.centre / 100, dough.base_weight_g / 100)  # fmt: skip
    for at, (least, most) in sorted(wishes.moves.items()):
        start = mass(work.lines[at])
        if at not in work.gone and at not in unknowns and start > 0:
            unknowns[at] = Unknown(at, least * start, most * start, start, start / 2)
    goals = (
        *(goal if goal.name in BY_LIQUID else _dry(goal, wet) for goal in kept),
        *(_dry(aim.goal(now), wet) for aim in wishes.aims),
    )
    masses = [mass(line) for line in work.lines]
    solved = balance(masses, [u for at, u in sorted(unknowns.items()) if at not in pinned], goals)
    for at in unknowns:
        if at in pinned:
            continue
        was = mass(base.formula.lines[at]) if at < len(base.formula.lines) else 0.0
        if at not in work.rules and abs(solved[at] - was) <= WEIGHED_G:
            continue
        if abs(solved[at] - was) > WEIGHED_G:
            work.rules.setdefault(at, "assistant.plan.balance.balance")
            work.because.setdefault(at, _why_moved(at == salt, was, solved[at]))
        work.lines[at] = replace(work.lines[at], grams=max(solved[at], 0.0))
    return goals


BY_LIQUID = frozenset({"free water", "acid against soda"})
"""Goals that a dough's liquid is moved for."""


def _dry(goal: Goal, wet: Mapping[int, float]) -> Goal:
    """A goal with the liquids as they are: pouring in more of them is no way to make up for sugar's colour or an egg's
    hold, nor to meet a figure per 100 g."""
    others = {line: weight for line, weight in goal.per_g.items() if line not in wet}
    still = sum(goal.per_g.get(at, 0.0) * grams for at, grams in wet.items())
    return Goal(goal.name, others, goal.target - still, goal.tolerance)


def _why_moved(salt: bool, before_g: float, after_g: float) -> str:
    if not salt:
        return "brought back to the dough feel it should have"
    if after_g < before_g:
        return "what raises the dough brings sodium of its own"
    return "the leavener's sodium has gone, so salt goes back to what this bread takes"


def _liquid(context: Context, work: _Work, pinned: frozenset[int]) -> int | None:
    for classes in LIQUIDS:
        places = [
            at
            for at in context.lines(*classes)
            if at not in pinned and at not in work.gone and at not in work.low
        ]
        if places:
            return max(places, key=lambda at: (mass(work.lines[at]), -at))
    return None


def _salt_line(context: Context, work: _Work, pinned: frozenset[int]) -> int | None:
    places = [at for at in context.lines("salt") if at not in pinned and at not in work.gone]
    return places[0] if places else None


def _goals(
    base: Context, now: Context, target: Product | None, leaving: set[int], turned: bool
) -> tuple[Goal, ...]:
    """What the altered dough should keep or reach; the weights are what nobody notices."""
    book = base.book
    scale = max(now.base_weight_g, 1.0) / 100
    everything = range(len(now.formula.lines))

    def per_g(function_id: str) -> dict[int, float]:
        found = {}
        for at in everything:
            ingredient = now.ingredients[at]
            value = None if ingredient is None else strengths(ingredient, book)[function_id]
            if value:
                found[at] = value
        return found

    water = {
        at: w
        for at in everything
        if (i := now.ingredients[at]) is not None and (w := i.per_gram("water_g") or 0.0)
    }
    held = per_g(WATER_HELD)
    free = {at: water.get(at, 0.0) - held.get(at, 0.0) for at in water.keys() | held.keys()}
    goals = [
        Goal(
            "free water",
            free,
            free_water_g(base) + _wetter(base, target, turned) * scale,
            book.functions[WATER_HELD].tolerance * scale,
        )
    ]
    goals.append(
        Goal("sodium as salt", per_g(SALT), base.total(SALT), 4 * book.functions[SALT].tolerance * scale)
    )
    if now.total(BASE) > 0 and not _only_powder(now):
        acid, soda = per_g(ACID), per_g(BASE)
        surplus = {at: acid.get(at, 0.0) - soda.get(at, 0.0) for at in acid.keys() | soda.keys()}
        over = 0.0 if turned else min(base.total(ACID) - base.total(BASE), 0.0)
        goals.append(Goal("acid against soda", surplus, over, book.functions[ACID].tolerance * scale))
    kept = {f for at in leaving for f in base.matters[at]} - {ACID, BASE, SALT, WATER_HELD}
    for function_id in sorted(kept):
        function = book.functions[function_id]
        serving = per_g(function_id)
        if function.tolerance > 0 and any(
            at in serving for at in everything if mass(now.formula.lines[at]) > 0
        ):
            goals.append(Goal(function.name, serving, base.total(function_id), function.tolerance * scale))
    return tuple(goals)


def _only_powder(context: Context) -> bool:
    """Whether every base here comes with its own acid, as in a complete powder."""
    return all(
        not i.bases or i.acids
        for at, i in enumerate(context.ingredients)
        if i is not None and mass(context.formula.lines[at]) > 0
    )


def free_water_g(context: Context) -> float:
    """Water of all lines less the water that flours, fibres and gums hold, g."""
    water = sum(
        (i.per_gram("water_g") or 0.0) * mass(line)
        for i, line in zip(context.ingredients, context.formula.lines, strict=True)
        if i
    )
    return water - context.total(WATER_HELD)


def _wetter(base: Context, target: Product | None, turned: bool) -> float:
    """How much wetter the target class is made than this one, g water per 100 g flours.

    Nothing where either class states no hydration, or is judged by dough feel alone.
    """
    here = base.product
    if (
        not turned
        or target is None
        or here is None
        or target.hydration_pct is None
        or here.hydration_pct is None
    ):
        return 0.0
    return target.hydration_pct.centre - here.hydration_pct.centre


def _round(work: _Work, base: Context) -> None:
    """To what a kitchen can weigh and count: half grams of leaveners, grams, five grams, whole eggs."""
    for at in list(work.rules):
        line = work.lines[at]
        grams = mass(line)
        if grams <= 0:
            continue
        ingredient = base.book.ingredients.get(line.ingredient or "")
        each = ingredient.measures.get("each") if ingredient and "egg" in ingredient.classes else None
        step = each.value if each else 0.5 if grams < 20 else 1.0 if grams < 250 else 5.0
        work.lines[at] = replace(
            line, grams=round(grams / step) * step or round(grams, 1), amount=None, unit=""
        )
