"""From "I have no yeast" to ranked plans: candidates, drafts, one bake for all, assessments, ranking."""

from assistant.formula.model import Formula
from assistant.plan.assess import facts_of
from assistant.plan.draft import Choice, Refused, Wishes, draft
from assistant.plan.finish import Plan, baked, before_of, brought, option, plan_of
from assistant.plan.functions import Context
from assistant.plan.model import Assessment, Options
from assistant.plan.score import score_of
from assistant.plan.swaps import Candidate, candidates
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.derivation import FULL, Derivation, Notes

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
    ranked = sorted(((_score(before, plan, book, notes), plan) for plan in plans), key=_order)
    best = _distinct(ranked, formula)[:shown]  # only what is told is baked and assessed
    (ovens,) = baked([(base, [plan for _, plan in best])], notes)
    found = [
        option(before, plan, oven, book, notes, score)
        for (score, plan), oven in zip(best, ovens, strict=True)
    ]
    return Options(formula, tuple(found), tuple(dict.fromkeys(refused)) if not found else ())


Ranked = tuple[Derivation, Plan]


def _score(before: Assessment, plan: Plan, book: Rulebook, notes: Notes) -> Derivation:
    (swap,) = plan.swaps
    return score_of(before, plan.made, swap, book, notes)


def _order(ranked: Ranked) -> tuple[float, str, str]:
    score, plan = ranked
    (swap,) = plan.swaps
    return score.value, swap.id, brought(plan.candidates[0])


def _brings(candidate: Candidate, class_id: str) -> bool:
    return any(class_id in a.ingredient.classes for a in (*candidate.arrivals, *candidate.companions))


def _distinct(ranked: list[Ranked], base: Formula) -> list[Ranked]:
    """One of those that bring in and take out the same ingredients, the better one."""
    seen: set[tuple[tuple[str, bool], ...]] = set()
    kept = []
    for each in ranked:
        _, plan = each
        lines = plan.made.formula.lines
        was = [line.grams for line in base.lines] + [0.0] * (len(lines) - len(base.lines))
        key = tuple(
            sorted(
                (line.ingredient or line.name, line.grams is not None and line.grams > 0)
                for line, before_g in zip(lines, was, strict=True)
                if (before_g or 0.0) == 0.0 or (line.grams or 0.0) == 0.0
            )
        )
        if key not in seen:
            seen.add(key)
            kept.append(each)
    return kept
