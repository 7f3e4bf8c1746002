"""What things in a dough ask of the rest, and which lines have lost their reason."""

from dataclasses import dataclass

from assistant.plan.conditions import Facts, unmet
from assistant.plan.functions import ACID, BASE, Context, is_any, mass
from assistant.rulebook.model import Ingredient, Need

ENOUGH = 0.9
"""Share of the base that acid must reach for soda to count as served, where the need itself says none: slightly under-acid goods brown
better and the flour itself takes up a few mmol (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Obligation:
    """A need that is open: how much of what is missing, in the unit of the functions that meet it."""

    need: Need
    missing: float


def active(need: Need, context: Context, facts: Facts) -> bool:
    """Whether something in the formula has this need."""
    return context.brings(need.of) and not unmet(need.when, context, None, facts)


def obligations(context: Context, facts: Facts) -> tuple[Obligation, ...]:
    """Needs for something to be put in (acid for soda, food for yeast) that nothing here meets."""
    found = []
    for need in sorted(context.book.needs.values(), key=lambda n: n.id):
        if not active(need, context, facts):
            continue
        missing = _missing(need, context)
        if missing > 0:
            found.append(Obligation(need, missing))
    return tuple(found)


def _missing(need: Need, context: Context) -> float:
    serving = [f for f in need.met_by if f in context.book.functions]
    if not serving:
        return 0.0
    there = sum(context.total(function_id) for function_id in serving)
    if ACID in serving:
        wanted = context.total(BASE)
        enough = ENOUGH if need.amount is None else need.amount.low
        return wanted - there if there < enough * wanted else 0.0
    if need.amount is None:
        return 0.0
    scale = context.base_weight_g / 100
    return need.amount.centre * scale - there if there < need.amount.low * scale else 0.0


def can_meet(need: Need, ingredient: Ingredient) -> bool:
    """Whether an ingredient serves what a need asks for."""
    if is_any(ingredient, need.met_by):
        return True
    if ACID in need.met_by and ingredient.acids:
        return True
    return any(f in ingredient.does and ingredient.does[f].value > 0 for f in need.met_by)


def without_reason(before: Context, after: Context, kept: frozenset[int]) -> dict[int, tuple[str, ...]]:
    """Lines that did something before and do nothing after, with what they did.

    Lines are matched by place. A line that did nothing measurable before is left alone: its use is one
    the numbers do not see.
    """
    idle = {}
    for at, did in enumerate(before.matters):
        if not did or at in kept or mass(after.formula.lines[at]) <= 0:
            continue
        if not after.matters[at]:
            idle[at] = did
    return idle
