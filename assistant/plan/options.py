"""From "I have no yeast" to ranked plans: candidates, drafts, one bake for all, assessments, ranking."""

from assistant.formula.model import Formula
from assistant.plan.assess import facts_of
from assistant.plan.draft import Choice, Refused, Wishes, draft
from assistant.plan.finish import Plan, baked, before_of, option, plan_of
from assistant.plan.functions import Context
from assistant.plan.model import Assessment, BakeAnswer, Change, Option, Options
from assistant.plan.score import score_of
from assistant.plan.swaps import Candidate, candidates
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.derivation import FULL, Notes

SHOWN = 5


def options(
    formula: Formula, at: int, book: Rulebook, wanted: Ingredient | None = None,
    shown: int = SHOWN, notes: Notes = FULL, pinned: frozenset[int] = frozenset(), without: str = "",
) -> Options:  # fmt: skip
    """Ranked plans for replacing a line; with `wanted`, only those that bring it in.

    `without` names a class that is not in the house: who has no yeast has none of another make either.

    Errors: none; what can't be done is said in `blocked_by`.
    """
    base = Context(formula, book)
    before = before_of(formula, book, notes)
    facts = facts_of(before.chemistry, before.nutrition)
    held, blocked = candidates(base, at, facts, wanted)
    plans: list[Plan] = []
    refused: list[str] = list(blocked)
    for candidate in held:
        if _brings(candidate, without):
            continue
        choices = (Choice(at, candidate),)
        made = draft(choices, base, facts, Wishes(pinned))
        if isinstance(made, Refused):
            refused.append(f"{candidate.swap.title}: {made.because}")
        else:
            plans.append(plan_of(choices, made, formula, book))
    (ovens,) = baked([(base, plans)], notes)
    found = [_scored(before, plan, oven, book, notes) for plan, oven in zip(plans, ovens, strict=True)]
    found = _distinct(sorted(found, key=lambda o: (o.score.value, o.swaps, o.title)))
    return Options(formula, tuple(found[:shown]), tuple(dict.fromkeys(refused)) if not found else ())


def _scored(
    before: Assessment, plan: Plan, oven: BakeAnswer | str, book: Rulebook, notes: Notes
) -> Option:
    (swap,) = plan.swaps
    return option(
        before, plan, oven, book, notes,
        lambda after: score_of(before, after, plan.made, swap, book, notes),
    )  # fmt: skip


def _brings(candidate: Candidate, class_id: str) -> bool:
    return any(class_id in a.ingredient.classes for a in (*candidate.arrivals, *candidate.companions))


def _distinct(found: list[Option]) -> list[Option]:
    """One of those that bring in and take out the same ingredients, the better one."""
    seen: set[tuple[tuple[str, bool], ...]] = set()
    kept = []
    for each in found:
        key = tuple(
            sorted(
                (c.ingredient or c.name, c.after_g is not None and c.after_g.value > 0)
                for c in each.changes
                if _comes_or_goes(c)
            )
        )
        if key not in seen:
            seen.add(key)
            kept.append(each)
    return kept


def _comes_or_goes(change: Change) -> bool:
    after = 0.0 if change.after_g is None else change.after_g.value
    return (change.before_g or 0.0) == 0.0 or after == 0.0
