"""Candidates: which swap rules hold for a line of a formula, and which say that it can't be done."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import islice, product

from assistant.plan.conditions import Facts, unmet
from assistant.plan.functions import Context, is_any
from assistant.rulebook.model import Amount, Ingredient, Rulebook, Swap

Admits = Callable[[Ingredient], bool]
"""Whether an ingredient may come in."""


def anything(ingredient: Ingredient) -> bool:
    """Nothing is barred."""
    return True


MEMBERS_SHOWN = 3
"""How many members of a class are tried when nobody named one: those the recipe has, then by id."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """An ingredient that comes in, and what sets its amount."""

    ingredient: Ingredient
    amount: Amount


@dataclass(frozen=True, slots=True)
class Candidate:
    """A swap with its stand-ins settled to ingredients."""

    swap: Swap
    arrivals: tuple[Arrival, ...]
    companions: tuple[Arrival, ...]

    @property
    def id(self) -> str:
        """Distinct per set of stand-ins, so that ties break the same way every time."""
        return " ".join([self.swap.id, *(a.ingredient.id for a in (*self.arrivals, *self.companions))])


def replaces(swap: Swap, ingredient: Ingredient) -> bool:
    """Whether a swap speaks of this ingredient."""
    if swap.replaces_any:
        return is_any(ingredient, (swap.replaces,))
    return swap.replaces in (ingredient.id, ingredient.like)


def swaps_of(ingredient: Ingredient, book: Rulebook) -> tuple[Swap, ...]:
    """Swaps in use that speak of an ingredient of the rulebook, by id; looked up once."""
    known: dict[str, tuple[Swap, ...]] = book.remembered.setdefault(__name__, {})
    found = known.get(ingredient.id)
    if found is None:
        spoken = (s for _, s in sorted(book.swaps.items()) if s.status != "retired" and replaces(s, ingredient))
        found = known[ingredient.id] = tuple(spoken)
    return found


def candidates(
    context: Context,
    at: int,
    facts: Facts,
    wanted: Ingredient | None = None,
    admits: Admits = anything,
) -> tuple[tuple[Candidate, ...], tuple[str, ...]]:
    """Swaps that hold for a line, and sentences for those that don't or that say "don't".

    With `wanted`, only those that bring it in; nothing comes in that `admits` bars, and a companion that
    need not be there stays away rather than bar its swap. A product that cannot be raised another way
    blocks every swap that would. A line of a part made by itself is judged by that part, of which the numbers of
    the dough say nothing.
    """
    context = context.around(at)
    facts = {} if context.apart else facts
    ingredient = context.ingredients[at]
    if ingredient is None:
        return (), (
            f"{context.formula.lines[at].name} is not in the rulebook, so what it does here is unknown",
        )
    held: list[Candidate] = []
    blocked: list[str] = []
    for swap in swaps_of(ingredient, context.book):
        if wanted is not None and not _may_bring(swap, wanted, context):
            continue
        failed = unmet(swap.when, context, at, facts)
        if swap.refuse:
            if not failed:
                blocked.append(swap.refuse)
            continue
        if not failed:
            failed = RAISES_NOTHING if swap.raises and context.apart else _cannot_be_raised(swap, context)
        if failed:
            blocked.append(f"{swap.title}: {failed}")
            continue
        held += _settled(swap, context, ingredient, wanted, admits)
    return tuple(held), tuple(dict.fromkeys(blocked))


RAISES_NOTHING = "nothing in this part raises the dough"


def _may_bring(swap: Swap, wanted: Ingredient, context: Context) -> bool:
    if swap.refuse and not swap.stand_ins:
        return True
    return any(
        amount.ingredient in (wanted.id, wanted.like or wanted.id) or (amount.any_of != "" and amount.any_of in wanted.classes)
        for amount in (*swap.stand_ins, *swap.also)
    )


def _cannot_be_raised(swap: Swap, context: Context) -> str:
    here = context.product
    if not swap.raises or here is None or swap.raises == here.raised_by:
        return ""
    if here.cannot:
        return here.cannot
    if swap.raises not in here.becomes:
        return f"a {here.name} raised by {swap.raises} is not known to the rulebook"
    return ""


def _settled(
    swap: Swap, context: Context, replaced: Ingredient, wanted: Ingredient | None, admits: Admits
) -> Iterable[Candidate]:
    """The swap with each "any of a class" settled, at most MEMBERS_SHOWN ways."""
    settled = [(a, _members(a, context, replaced, wanted, admits)) for a in (*swap.stand_ins, *swap.also)]
    cut = len(swap.stand_ins)
    needed = [(a, m) for at, (a, m) in enumerate(settled) if m or at < cut or not _spared(a)]
    for chosen in islice(product(*(m for _, m in needed)), MEMBERS_SHOWN):
        arrivals = tuple(Arrival(i, a) for i, (a, _) in zip(chosen, needed, strict=True))
        yield Candidate(swap, arrivals[:cut], arrivals[cut:])


def _spared(amount: Amount) -> bool:
    """Whether a rule holds without a companion as well."""
    return amount.ratio is not None and amount.ratio.low == 0


def _members(
    amount: Amount, context: Context, replaced: Ingredient, wanted: Ingredient | None, admits: Admits
) -> list[Ingredient]:
    book = context.book
    if amount.ingredient:
        meant = book.ingredients[amount.ingredient]
        own = wanted is not None and wanted.like == meant.id
        return [i for i in (wanted if own and wanted is not None else meant,) if admits(i)]
    members = [i for i in book.members(amount.any_of) if i.id != replaced.id and admits(i)]
    if wanted is not None and wanted in members:
        return [wanted]
    here = [i for i in members if context.lines(i.id)]
    usual = usual_of(amount.any_of, context.book)
    return (
        here
        or sorted((i for i in members if i.id in usual), key=lambda i: usual.index(i.id))
        or members[:MEMBERS_SHOWN]
    )


def usual_of(class_id: str, book: Rulebook) -> tuple[str, ...]:
    """Members of a class that a baker reaches for first: the class's own usual one, those it offers, then
    those that needs name, in their order; looked up once."""
    remembered: dict[str, tuple[str, ...]] = book.remembered.setdefault(f"{__name__}.usual", {})
    found = remembered.get(class_id)
    if found is None:
        found = remembered[class_id] = _usual_of(class_id, book)
    return found


def _usual_of(class_id: str, book: Rulebook) -> tuple[str, ...]:
    known = book.classes.get(class_id)
    named = [m for _, need in sorted(book.needs.items()) for m in need.met_by if m in book.ingredients]
    first = [] if known is None else [*((known.usual,) if known.usual else ()), *known.offered]
    return tuple(
        i
        for i in dict.fromkeys((*first, *named))
        if i in book.ingredients and class_id in book.ingredients[i].classes
    )


def products_after(swap: Swap, context: Context) -> str:
    """The product class after a swap: another one when the dough is raised another way."""
    here = context.product
    if here is None or not swap.raises or swap.raises == here.raised_by:
        return context.formula.product
    return here.becomes[swap.raises]
