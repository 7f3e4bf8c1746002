"""A recipe under many wishes at once: the best plans that keep them all, or what stands in the way."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from assistant.formula.model import Formula
from assistant.plan.assess import assess, foresee
from assistant.plan.case import Case, Dough, cost_of_batch
from assistant.plan.constraints import (
    Admission,
    Constraints,
    Missed,
    Part,
    missed,
    said,
)
from assistant.plan.finish import (
    AS_IT_IS,
    Plan,
    as_it_is,
    baked,
    before_of,
    choice_title,
    option,
    plan_of,
)
from assistant.plan.functions import mass
from assistant.plan.model import Assessment, BakeAnswer, Option, Options
from assistant.plan.safety import confirm
from assistant.plan.search import MOST_FURTHER, Found, cost_of
from assistant.plan.swaps import usual_of
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, FULL, Notes

BLOCKING = 3
"""Most wishes that are looked at together for what blocks."""
OTHERS = 3
"""Most members of a kind told beside the one a plan brings in."""
MOVED = 0.02
"""Share from which a moved amount is named in a title."""
REASONS = 3
"""Most reasons told of plans that could not be made."""
CHUNK = 64
"""Recipes whose plans are baked in one solve."""


# -- plans -----------------------------------------------------------------------------------------


def adapt(
    formula: Formula,
    constraints: Constraints,
    book: Rulebook,
    plans: int = 5,
    notes: Notes = FULL,
    patience: int | None = None,
) -> Options:
    """The best plans that keep all wishes, or what blocks them and the nearest that misses.

    A recipe that keeps them already comes back as it is, at distance 0. With `patience` no more than so many doughs
    are made after each plan to find one that is further off, for who waits for the answer.
    Errors: none; ids in `constraints` are the rulebook's (KeyError otherwise).
    """
    (found,) = best_of([formula], constraints, book, plans, notes, patience)
    return found


def best_of(
    formulas: Sequence[Formula],
    constraints: Constraints,
    book: Rulebook,
    plans: int = 1,
    notes: Notes = BARE,
    patience: int | None = None,
) -> list[Options]:
    """`adapt` for many recipes, baked together."""
    admission = Admission(constraints, book)
    before = before_of if len(formulas) < CHUNK else _assessed  # a long run asks for each recipe once
    found: list[Options] = []
    for first in range(0, len(formulas), CHUNK):
        part = formulas[first : first + CHUNK]
        foresee(part, book)
        cases = [Case(f, admission, before(f, book, notes)) for f in part]
        found += _together([_Queue(case, patience) for case in cases], plans, notes)
    return found


def _assessed(formula: Formula, book: Rulebook, notes: Notes) -> Assessment:
    return assess(formula, book, notes)


def conversion(
    constraints: Constraints, plans: int, notes: Notes, book: Rulebook
) -> Callable[[Sequence[Formula]], list[Options]]:
    """`best_of` with its wishes, for many recipes given a few at a time."""
    return lambda formulas: best_of(formulas, constraints, book, plans, notes)


Rules = tuple[tuple[int, str], ...]
"""What is done about which line: two plans that differ only in which oil or vinegar are one."""


def _rules(found: Found[Dough]) -> Rules:
    return tuple(sorted(way.rule for way in found.ways))


class _Queue:
    """Plans of one recipe as they come, the best of each set of rules."""

    def __init__(self, case: Case, patience: int | None = None) -> None:
        self.case = case
        self.patience = patience
        self.search = case.search()
        self._most = self.search.most
        self.shown: list[Option] = []
        self._seen: set[Rules] = set()
        self._coming = iter(self.search)

    def take(self, many: int) -> list[Found[Dough]]:
        """The next plans; for who waits one at first, since the bake or the last look at safety may cost it."""
        if self.patience is not None and not self.shown:
            many = min(many, 1)
        found: list[Found[Dough]] = []
        while len(found) < many and (one := self._next()) is not None:
            if _rules(one) not in self._seen:
                self._seen.add(_rules(one))
                found.append(one)
        return found

    def _next(self) -> Found[Dough] | None:
        if self.patience is not None and self.shown:
            self.search.most = min(self._most, self.search.made + self.patience)
        return next(self._coming, None)


def _together(queues: Sequence[_Queue], plans: int, notes: Notes) -> list[Options]:
    """Plans of several recipes: searched one by one, baked in one solve, and again for those that the bake or
    the last look at safety has cost a plan."""
    waiting = list(queues)
    while waiting:
        batch = [(queue, queue.take(plans - len(queue.shown))) for queue in waiting]
        finished = _finished([(queue.case, found) for queue, found in batch], notes)
        for (queue, _), made in zip(batch, finished, strict=True):
            queue.shown += [each for each in made if _kept(queue.case, each)]
        waiting = [queue for queue, found in batch if found and len(queue.shown) < plans]
    return [
        Options(queue.case.formula, tuple(queue.shown)) if queue.shown else _blocked(queue, notes)
        for queue in queues
    ]


def _finished(work: Sequence[tuple[Case, Sequence[Found[Dough]]]], notes: Notes) -> list[list[Option]]:
    planned = [
        (case, found, [plan_of(tuple(w.choice for w in f.ways), f.value.made, case.formula, case.book) for f in found])
        for case, found in work
    ]  # fmt: skip
    moved = [
        [plan for f, plan in zip(found, plans, strict=True) if not case.as_it_is(f)] for case, found, plans in planned
    ]
    ovens = baked([(case.base, plans) for (case, _, _), plans in zip(planned, moved, strict=True)], notes)
    made: list[list[Option]] = []
    for (case, found, plans), told in zip(planned, ovens, strict=True):
        answers = iter(told)
        made.append(
            [
                _unchanged(case, f, notes) if case.as_it_is(f) else _option(case, f, plan, next(answers), notes)
                for f, plan in zip(found, plans, strict=True)
            ]
        )
    return made


def _unchanged(case: Case, found: Found[Dough], notes: Notes) -> Option:
    made = as_it_is(case.before, case.book, notes, case.score(found, notes))
    doubts = _doubts(case, made)
    return replace(made, remarks=tuple(_unsure(case, made, doubts)), doubts=doubts)


def _option(
    case: Case, found: Found[Dough], plan: Plan, oven: BakeAnswer | str, notes: Notes
) -> Option:
    made = option(case.before, plan, oven, case.book, notes, case.score(found, notes))
    doubts = _doubts(case, made)
    remarks = dict.fromkeys((*made.remarks, *_others(case, found), *_unsure(case, made, doubts)))
    return replace(made, title=_title(case, found), remarks=tuple(remarks), doubts=doubts)


def _title(case: Case, found: Found[Dough]) -> str:
    """What is done about each line, and which amounts are moved."""
    said = [choice_title(way.choice, case.formula) for way in sorted(found.ways, key=lambda way: way.id)]
    said += [
        f"{case.formula.lines[at].name} set to {grams:g} g"
        for at, grams in sorted(case.amounts.items())
        if grams != mass(case.formula.lines[at])
    ]
    for at in case.movable:
        before, after = mass(case.formula.lines[at]), mass(found.value.made.formula.lines[at])
        if at not in found.value.made.gone and abs(after / before - 1) > MOVED:
            said.append(f"{'less' if after < before else 'more'} {case.formula.lines[at].name}")
    return "; ".join(said) or AS_IT_IS


def _others(case: Case, found: Found[Dough]) -> Iterable[str]:
    """What else of its kind would do in place of what a plan brings in."""
    for way in found.ways:
        candidate = way.choice.candidate
        for arrival in () if candidate is None else (*candidate.arrivals, *candidate.companions):
            kind = arrival.amount.any_of
            if not kind or arrival.ingredient.id in case.ways.here:
                continue
            others = [case.book.ingredients[i] for i in usual_of(kind, case.book) if i != arrival.ingredient.id]
            names = [i.name for i in others if case.admission.admits(i)][:OTHERS]
            if names:
                yield f"Instead of {arrival.ingredient.name} {' or '.join(names)} will do as well."


def _doubts(case: Case, made: Option) -> tuple[str, ...]:
    wishes = case.constraints
    return confirm(made.formula, case.book, wishes.diets, wishes.allergens).doubted


def _unsure(case: Case, made: Option, doubts: tuple[str, ...]) -> Iterable[str]:
    """What can't be confirmed of the wishes."""
    wishes = case.constraints
    if doubts:
        yield f"It cannot be confirmed, so look at the labels. {'; '.join(doubts)}."
    partly = [str(b) for b in case.bounds if b.nutrient in made.after.nutrition.incomplete]
    if partly:
        yield f"Told as far as it is known: {'; '.join(partly)}."
    if wishes.cost is not None:
        _, unpriced = cost_of_batch(made.formula, wishes, case.book)
        if unpriced:
            yield f"The price of {', '.join(unpriced)} is unknown, so the batch costs more than is reckoned."


def _kept(case: Case, made: Option) -> bool:
    """Whether a finished plan keeps what it should: safety looked at anew, figures as they come out of the oven."""
    wishes = case.constraints
    safe = confirm(made.formula, case.book, wishes.diets, wishes.allergens).kept
    return safe and not missed(made.after.nutrition, case.bounds)


# -- when there is none ----------------------------------------------------------------------------

SAFETY = ("diets", "allergens")
"""Wishes that no near miss may break."""


def _blocked(queue: _Queue, notes: Notes) -> Options:
    """The smallest set of wishes that block together, what each of them costs, and the nearest plan that misses."""
    case = queue.case
    parts = case.constraints.parts()
    blocking = _smallest(case, parts)
    told: list[str] = []
    names = [said(part, case.book) for part in blocking]
    near: Option | None = None
    misses: tuple[str, ...] = ()
    if len(names) == 1:
        told.append(f"{_upper(names[0])} can't be kept here.")
    elif names:
        told.append(f"These can't be kept together: {', '.join(names[:-1])} and {names[-1]}.")
    told += _reasons(case)
    missing = _nearest(queue, notes)
    if missing is not None:
        near, misses = missing
    for part in blocking if len(parts) > 1 else ():
        plan = _first(case, tuple(p for p in parts if p != part), notes)
        if plan is not None:
            what = "nothing has to change" if plan.title == AS_IT_IS else f"there is a plan: {plan.title}"
            told.append(f"Without \"{said(part, case.book)}\" {what}.")
            if near is None and part.kind not in SAFETY:
                near, misses = plan, (said(part, case.book),)
    if queue.search.cut:
        told.append(f"The search ended after {queue.search.made} doughs; a plan further off was not looked for.")
    return Options(case.formula, (), tuple(dict.fromkeys(told)), near, misses, tuple(names))


def _reasons(case: Case) -> Iterable[str]:
    """Why lines that must go have no way, and what came of those that had."""
    for one in case.ways.opens:
        if one.ways:
            continue
        if one.at is None:
            yield f"No way is known to raise this by {case.constraints.raised}."
            continue
        yield f"{_upper(case.ways.broken[one.at])}."
        yield from map(_upper, case.ways.reasons(one.at))
    yield from (f"{_upper(text)}." for text in list(dict.fromkeys(case.refused))[:REASONS])


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _smallest(case: Case, parts: Sequence[Part]) -> tuple[Part, ...]:
    """The first smallest set of wishes that has no plan; all of them when no small one is found."""
    for many in range(1, min(BLOCKING, len(parts) - 1) + 1):
        for some in combinations(parts, many):
            if _first_dough(case, some) is None:
                return some
    return tuple(parts)


def _relaxed(case: Case, parts: Iterable[Part]) -> Case:
    return Case(case.formula, Admission(case.constraints.only(parts), case.book), case.before)


def _first_dough(case: Case, parts: Iterable[Part]) -> Found[Dough] | None:
    return next(iter(_relaxed(case, parts).search()), None)


def _first(case: Case, parts: Iterable[Part], notes: Notes) -> Option | None:
    """The best plan under fewer wishes, if it stands the last look."""
    fewer = _relaxed(case, parts)
    found = next(iter(fewer.search()), None)
    if found is None:
        return None
    ((made,),) = _finished([(fewer, [found])], notes)
    return made if _kept(fewer, made) else None


def _nearest(queue: _Queue, notes: Notes) -> tuple[Option, tuple[str, ...]] | None:
    """The dough found that keeps all but a figure and misses it least, with what it misses.

    From the cheapest that misses, the further way that saves most is taken as often as ways may join.
    """
    case = queue.case
    if not queue.search.nearest:
        return None
    further = {way.id for way in case.ways.further}
    near = [
        f
        for f in queue.search.nearest
        if further.isdisjoint(way.id for way in f.ways) and all(m.value is not None for m in f.value.missed)
    ]
    if not near:
        return None
    best = min(near, key=lambda f: (_share(f.value), f.cost, [way.id for way in f.ways]))
    for _ in range(MOST_FURTHER):
        better = _nearer(case, best)
        if better is None:
            break
        best = better
    ((made,),) = _finished([(case, [best])], notes)
    wishes = case.constraints
    if not confirm(made.formula, case.book, wishes.diets, wishes.allergens).kept:
        return None
    return made, tuple(_miss(m) for m in missed(made.after.nutrition, case.bounds))


def _nearer(case: Case, found: Found[Dough]) -> Found[Dough] | None:
    """The same with the one further way that saves most, if that helps."""
    ways = case.saving(found.ways, found.value)
    settled = None if ways is None else case.made(ways)
    if ways is None or settled is None or settled.value is None or _share(settled.value) >= _share(found.value):
        return None
    return Found(round(cost_of(ways) + settled.extra, 6), ways, settled.value)


def _share(dough: Dough) -> float:
    return round(sum(m.share for m in dough.missed), 6)


def _miss(one: Missed) -> str:
    if one.value is None:
        return f"{one.bound}, and how much it is is unknown"
    return f"{one.bound}, and it is {one.value:.3g}"
