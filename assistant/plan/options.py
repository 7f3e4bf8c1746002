"""From "I have no yeast" to ranked plans: candidates, drafts, one bake for all, assessments, ranking."""

from dataclasses import dataclass, replace
from functools import cache

from assistant.formula.model import Bake, Formula
from assistant.plan.assess import Baked, assess, facts_of
from assistant.plan.baking import Altered, Baking, altered_bake, answers, baking_of, turn_between
from assistant.plan.crumb import against
from assistant.plan.draft import Choice, Draft, Refused, Wishes, draft
from assistant.plan.functions import Context, mass
from assistant.plan.method import bake_numbers, rewritten, timeline
from assistant.plan.model import Assessment, BakeAnswer, Change, Option, Options
from assistant.plan.score import score_of
from assistant.plan.swaps import Candidate, candidates
from assistant.plan.sweetness import missing_body, missing_body_remark
from assistant.plan.warmth import warmth_of
from assistant.rulebook.model import Ingredient, Rulebook, Turn
from assistant.words.derivation import BARE, FULL, Derivation, Grade, Notes, stated

SHOWN = 5


@dataclass(frozen=True, slots=True)
class _Plan:
    """A drafted candidate on its way to an option."""

    candidate: Candidate
    made: Draft
    formula: Formula  # with the altered oven, before the method is rewritten
    turn: Turn | None


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
    held, blocked = candidates(base, at, facts_of(before.chemistry, before.nutrition), wanted)
    held = tuple(c for c in held if not _brings(c, without))
    plans: list[_Plan] = []
    refused: list[str] = list(blocked)
    for candidate in held:
        made = draft(
            (Choice(at, candidate),), base, facts_of(before.chemistry, before.nutrition), Wishes(pinned)
        )
        if isinstance(made, Refused):
            refused.append(f"{candidate.swap.title}: {made.because}")
            continue
        turn = turn_between(formula.product, made.formula.product, book) if candidate.swap.raises else None
        oven = (
            None if formula.bake is None else altered_bake(formula.bake, turn, candidate.swap.oven_change_c)
        )
        plans.append(_Plan(candidate, made, replace(made.formula, bake=oven), turn))
    baked = _baked(base, plans, notes)
    found = [_option(before, plan, answer, book, notes) for plan, answer in zip(plans, baked, strict=True)]
    found = _distinct(sorted(found, key=lambda o: (o.score.value, o.swaps, o.title)))
    return Options(formula, tuple(found[:shown]), tuple(dict.fromkeys(refused)) if not found else ())


def _brings(candidate: Candidate, class_id: str) -> bool:
    return any(class_id in a.ingredient.classes for a in (*candidate.arrivals, *candidate.companions))


def before_of(formula: Formula, book: Rulebook, notes: Notes = FULL) -> Assessment:
    """The assessment of a formula, remembered: a conversation asks for the same one again and again."""
    return _remembered(formula, book.digest, _Held(book), notes.keep)


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """A rulebook as a key: the digest says whether it is the same."""

    book: Rulebook

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)


@cache
def _remembered(formula: Formula, digest: str, held: _Held, keep: bool) -> Assessment:
    return assess(formula, held.book, FULL if keep else BARE)


def _distinct(found: list[Option]) -> list[Option]:
    """One of those that bring in and take out the same ingredients, the better one."""
    seen: set[tuple[tuple[str, bool], ...]] = set()
    kept = []
    for option in found:
        key = tuple(
            sorted(
                (c.ingredient or c.name, c.after_g is not None and c.after_g.value > 0)
                for c in option.changes
                if _comes_or_goes(c)
            )
        )
        if key not in seen:
            seen.add(key)
            kept.append(option)
    return kept


def _comes_or_goes(change: Change) -> bool:
    after = 0.0 if change.after_g is None else change.after_g.value
    return (change.before_g or 0.0) == 0.0 or after == 0.0


def _baked(base: Context, plans: list[_Plan], notes: Notes) -> list[BakeAnswer | str]:
    """Bake answers of all plans in one solve; a sentence for each that can't be told."""
    start = _oven_entry_c(base)
    here = baking_of(base, start)
    if isinstance(here, str) or base.formula.bake is None:
        return [here if isinstance(here, str) else "no bake is stated" for _ in plans]
    told: list[BakeAnswer | str] = []
    altered: list[Altered] = []
    places: list[int] = []
    for place, plan in enumerate(plans):
        context = Context(plan.formula, base.book)
        there = baking_of(context, start if plan.turn is None else plan.formula.room_c)
        if isinstance(there, Baking):
            altered.append(Altered(there, plan.turn))
            places.append(place)
        told.append("" if isinstance(there, Baking) else there)
    for place, answer in zip(places, answers(here, base.formula.bake, altered, notes), strict=True):
        told[place] = answer
    return told


def _oven_entry_c(context: Context) -> float:
    warmth = warmth_of(context, BARE)
    return context.formula.room_c if warmth.oven_entry_c is None else warmth.oven_entry_c.value


def _option(
    before: Assessment, plan: _Plan, answer: BakeAnswer | str, book: Rulebook, notes: Notes
) -> Option:
    base, swap = before.formula, plan.candidate.swap
    bake = answer if isinstance(answer, BakeAnswer) else None
    numbers = {} if bake is None else bake_numbers(bake.oven_c, bake.minutes, bake.core_c)
    steps = rewritten(base, plan.formula, plan.turn, swap.steps, book, numbers)
    oven = plan.formula.bake
    if bake is not None and oven is not None:
        oven = Bake(
            bake.oven_c.value,
            round(bake.minutes.value),
            round(bake.check_from_min.value),
            round(bake.no_later_than_min.value),
            oven.pan,
            oven.oven,
        )
    full = replace(plan.formula, steps=steps, bake=oven)
    baked = (
        None
        if bake is None
        else Baked(
            notes.derive("share of the dough lost in the oven", _hundredth, bake.bake_loss_pct),
            bake.minutes.value,
        )
    )
    after = assess(without_absent(full, base), book, notes, baked, frozenset(swap.cautions))
    changes = _changes(base, plan, notes)
    missing = missing_body(Context(base, book), Context(after.formula, book), notes)
    after = replace(after, sweeteners={**after.sweeteners, **missing})
    remarks = (*_remarks(before, after, plan, answer, book), *missing_body_remark(missing))
    return Option(
        title=_title(base, plan),
        swaps=(swap.id,),
        score=score_of(before, after, plan.made, swap, book, notes),
        against=against(before, after),
        changes=changes,
        before=before,
        after=after,
        bake=bake,
        method=steps,
        timeline=timeline(steps, book),
        cautions=after.cautions,
        remarks=remarks,
        how_tested=_how_tested(plan),
    )  # fmt: skip


def _hundredth(pct: float) -> float:
    return pct / 100


def without_absent(full: Formula, base: Formula) -> Formula:
    """The formula without the lines that left, steps pointing at the new places."""
    keep = [at for at, line in enumerate(full.lines) if line.grams is None or mass(line) > 0]
    places = {old: new for new, old in enumerate(keep)}
    steps = tuple(replace(s, uses=tuple(places[u] for u in s.uses if u in places)) for s in full.steps)
    return replace(full, lines=tuple(full.lines[at] for at in keep), steps=steps, version=base.version + 1)


def _changes(base: Formula, plan: _Plan, notes: Notes) -> tuple[Change, ...]:
    """Every line in recipe order, arrivals last; absent is 0."""
    made, swap = plan.made, plan.candidate.swap
    sources = tuple(dict.fromkeys(e.source for e in swap.evidence))
    goals = tuple(
        Derivation(g.name, g.target, "per dough", "assistant.plan.balance.Goal", premises=())
        for g in made.goals
    )
    changes = []
    for at, line in enumerate(made.formula.lines):
        before = base.lines[at].grams if at < len(base.lines) else 0.0
        if line.grams is None:
            changes.append(Change(at, line.ingredient, line.name, before, None, ""))
            continue
        because = made.because.get(at, "")
        if at not in made.rules or (before is not None and abs(before - line.grams) < 0.05):
            after = stated(line.name, line.grams, "g")
            because = because if at in made.gone else ""
        else:
            after = notes.rule(
                f"{line.name} in the altered recipe",
                line.grams,
                made.rules[at],
                *goals,
                unit="g",
                evidence=sources,
                grade=_grade(plan),
            )
        changes.append(Change(at, line.ingredient, line.name, before, after, because))
    return tuple(changes)


def _grade(plan: _Plan) -> Grade:
    """The grade of what the swap first rests on: its amounts."""
    evidence = plan.candidate.swap.evidence
    return evidence[0].grade if evidence else "common practice"


def _how_tested(plan: _Plan) -> str:
    status = plan.candidate.swap.status
    return f"{status}; {_grade(plan)}"


def _title(base: Formula, plan: _Plan) -> str:
    book_names = [a.ingredient.name for a in (*plan.candidate.arrivals, *plan.candidate.companions)]
    return (
        " with ".join([book_names[0], " and ".join(book_names[1:])])
        if len(book_names) > 1
        else book_names[0]
        if book_names
        else plan.candidate.swap.title
    )


def _remarks(
    before: Assessment, after: Assessment, plan: _Plan, answer: BakeAnswer | str, book: Rulebook
) -> tuple[str, ...]:
    said = []
    source, target = before.formula.product, after.formula.product
    if source != target and target in book.products:
        said.append(
            f"This is another product: {book.products[target].name} instead of {book.products[source].name}."
        )
        if plan.turn is not None and plan.turn.because:
            said.append(plan.turn.because)
    if isinstance(answer, str) and answer:
        said.append(f"Oven and time are not worked out: {answer}.")
    left, base_mmol = after.chemistry.unneutralised_soda_g.value, after.chemistry.base_mmol.value
    if base_mmol > 0 and left * 1000 / 84.0 > 0.15 * base_mmol:
        said.append(
            f"About {left:.1f} g of the soda finds no acid: it browns, and tastes of soap when there is more of it."
        )
    said += [f"What it costs: {what}." for what in plan.candidate.swap.loses.values()]
    return tuple(said)
