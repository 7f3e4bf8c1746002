"""A drafted plan made whole: its oven and time, its method, its numbers before and after, what it costs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from assistant.formula.model import Formula
from assistant.formula.parts import parts_of
from assistant.formula.scale import altered
from assistant.plan.assess import Baked, assess, baked_as_usual
from assistant.plan.baking import (
    Altered,
    Baking,
    Job,
    altered_bake,
    answers,
    baking_of,
    turn_between,
    unchanged,
)
from assistant.plan.crumb import against
from assistant.plan.draft import Choice, Draft
from assistant.plan.functions import Context, mass
from assistant.plan.method import bake_numbers, rewritten, timeline
from assistant.plan.model import Assessment, BakeAnswer, Change, Option
from assistant.plan.swaps import Candidate
from assistant.plan.sweetness import missing_body, missing_body_remark
from assistant.plan.warmth import warmth_of
from assistant.rulebook.model import Rulebook, Swap, Turn
from assistant.words.derivation import BARE, FULL, GRADES, Derivation, Grade, Notes, stated


@dataclass(frozen=True, slots=True)
class Plan:
    """Choices drafted into one dough, on their way to an option."""

    choices: tuple[Choice, ...]
    made: Draft
    formula: Formula  # with the altered oven, before the method is rewritten
    turn: Turn | None

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """The swaps, without lines that are only left out."""
        return tuple(c.candidate for c in self.choices if c.candidate is not None)

    @property
    def swaps(self) -> tuple[Swap, ...]:
        """Their rules."""
        return tuple(c.swap for c in self.candidates)


def plan_of(choices: tuple[Choice, ...], made: Draft, base: Formula, book: Rulebook) -> Plan:
    """A draft in the oven it needs. Two swaps that ask for a cooler oven ask for the same one: both brown."""
    swaps = [c.candidate.swap for c in choices if c.candidate is not None]
    raised_anew = any(swap.raises for swap in swaps)
    turn = turn_between(base.product, made.formula.product, book) if raised_anew else None
    change_c = max((swap.oven_change_c for swap in swaps), key=abs, default=0.0)
    oven = None if base.bake is None else altered_bake(base.bake, turn, change_c)
    return Plan(choices, made, replace(made.formula, bake=oven), turn)


KEPT = 64
"""Assessments remembered: more than a conversation has versions in mind, and no more than a long run can bear."""


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


@lru_cache(maxsize=KEPT)
def _remembered(formula: Formula, digest: str, held: _Held, keep: bool) -> Assessment:
    return assess(formula, held.book, FULL if keep else BARE)


def baked(
    jobs: Sequence[tuple[Context, Sequence[Plan]]], notes: Notes
) -> list[list[BakeAnswer | str]]:
    """Bake answers of all plans of all these recipes in one solve; a sentence for each that can't be told."""
    ready = [_job(base, plans) for base, plans in jobs]
    solved = iter(answers([job for _, job, _ in ready if job is not None], notes))
    told: list[list[BakeAnswer | str]] = []
    for said, job, places in ready:
        answered: list[BakeAnswer | str] = list(said)
        if job is not None:
            for place, answer in zip(places, next(solved), strict=True):
                answered[place] = answer
        told.append(answered)
    return told


def _job(base: Context, plans: Sequence[Plan]) -> tuple[list[str], Job | None, list[int]]:
    """What can't be told of each plan, the solve for the others, and which those are."""
    bake = base.formula.bake
    if bake is None or not plans:
        return ["no bake is stated" for _ in plans], None, []
    start = _oven_entry_c(base)
    here = baking_of(base, start)
    if isinstance(here, str):
        return [here for _ in plans], None, []
    said: list[str] = []
    altered: list[Altered] = []
    places: list[int] = []
    for place, plan in enumerate(plans):
        context = Context(plan.formula, base.book)
        there = baking_of(context, start if plan.turn is None else plan.formula.room_c)
        if isinstance(there, Baking):
            altered.append(Altered(there, plan.turn))
            places.append(place)
        said.append("" if isinstance(there, Baking) else there)
    return said, Job(here, bake, tuple(altered)), places


def _oven_entry_c(context: Context) -> float:
    warmth = warmth_of(context, BARE)
    return context.formula.room_c if warmth.oven_entry_c is None else warmth.oven_entry_c.value


def option(
    before: Assessment, plan: Plan, answer: BakeAnswer | str, book: Rulebook, notes: Notes,
    score: Derivation,
) -> Option:  # fmt: skip
    """A plan with everything a person asks of it; `score` is its distance from the base."""
    base = before.formula
    bake = answer if isinstance(answer, BakeAnswer) else None
    numbers = {} if bake is None else bake_numbers(bake.oven_c, bake.minutes, bake.core_c)
    steps = rewritten(base, plan.formula, plan.turn, _steps(plan), book, numbers)
    oven = plan.formula.bake
    if bake is not None and oven is not None:
        oven = replace(
            oven,
            oven_c=bake.oven_c.value,
            minutes=round(bake.minutes.value),
            minutes_low=round(bake.check_from_min.value),
            minutes_high=round(bake.no_later_than_min.value),
        )
    full = replace(plan.formula, steps=steps, bake=oven)
    share = None if bake is None else notes.derive(LOST, _hundredth, bake.bake_loss_pct)
    usual = baked_as_usual(Context(full, book), notes)
    out = usual if bake is None or share is None else Baked(share, bake.minutes.value)
    named = frozenset(caution for swap in plan.swaps for caution in swap.cautions)
    after = assess(without_absent(told(full, base, book), base), book, notes, out, named)
    changes = _changes(base, plan, notes)
    missing = missing_body(Context(base, book).dough, Context(after.formula, book).dough, notes)
    after = replace(after, sweeteners={**after.sweeteners, **missing})
    remarks = (*_remarks(before, after, plan, answer, book), *missing_body_remark(missing))
    return Option(
        title=_title(base, plan),
        swaps=tuple(swap.id for swap in plan.swaps),
        score=score,
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


def as_it_is(before: Assessment, book: Rulebook, notes: Notes, score: Derivation) -> Option:
    """The plan to change nothing."""
    base = before.formula
    context = Context(base, book)
    here = "no bake is stated" if base.bake is None else baking_of(context, _oven_entry_c(context))
    bake = None if base.bake is None or isinstance(here, str) else unchanged(here, base.bake, notes)
    return Option(
        title=AS_IT_IS,
        swaps=(),
        score=score,
        against=against(before, before),
        changes=tuple(
            Change(at, line.ingredient, line.name, line.grams, stated(line.name, line.grams, "g"), "")
            for at, line in enumerate(base.lines)
        ),
        before=before,
        after=before,
        bake=bake if isinstance(bake, BakeAnswer) else None,
        method=base.steps,
        timeline=timeline(base.steps, book),
        cautions=before.cautions,
        how_tested="as it was",
    )


def _steps(plan: Plan) -> tuple[Mapping[str, Any], ...]:
    """Steps that the swaps bring, each once."""
    found: list[Mapping[str, Any]] = []
    for swap in plan.swaps:
        found += [step for step in swap.steps if step not in found]
    return tuple(found)


LOST = "share of the dough lost in the oven"


def _hundredth(pct: float) -> float:
    return pct / 100


def told(full: Formula, base: Formula, book: Rulebook) -> Formula:
    """The formula with the lines whose mass is new told in a kitchen's measures, the others as they were written."""
    lines = list(full.lines)
    for at, line in enumerate(full.lines):
        was = base.lines[at] if at < len(base.lines) else None
        if was is not None and was.grams == line.grams:
            lines[at] = replace(was, ingredient=line.ingredient, name=line.name)
        elif line.grams is not None:
            lines[at] = altered(was or line, line.grams, book.ingredients.get(line.ingredient or ""))
    return full.with_lines(tuple(lines))


def without_absent(full: Formula, base: Formula) -> Formula:
    """The formula without the lines that left, arrivals with their part, steps pointing at the new places."""
    parts = parts_of(full)
    keep = [at for at, line in enumerate(full.lines) if line.grams is None or mass(line) > 0]
    if parts:
        keep.sort(key=lambda at: (parts.index(full.lines[at].part), at))
    places = {old: new for new, old in enumerate(keep)}
    named = {full.lines[at].part for at in keep}
    steps = tuple(
        replace(s, uses=tuple(places[u] for u in s.uses if u in places), part=s.part if s.part in named else "")
        for s in full.steps
    )
    return replace(full, lines=tuple(full.lines[at] for at in keep), steps=steps, version=base.version + 1)


def _changes(base: Formula, plan: Plan, notes: Notes) -> tuple[Change, ...]:
    """Every line in recipe order, arrivals last; absent is 0."""
    made = plan.made
    sources = tuple(dict.fromkeys(e.source for swap in plan.swaps for e in swap.evidence))
    goals = tuple(
        Derivation(g.name, g.target, "per dough", "assistant.plan.balance.Goal", premises=())
        for g in made.goals
    )
    changes = []
    for at, line in enumerate(made.formula.lines):
        before = base.lines[at].grams if at < len(base.lines) else 0.0
        if line.grams is None:
            changes.append(Change(at, line.ingredient, line.name, before, None, "", line.part))
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
        changes.append(Change(at, line.ingredient, line.name, before, after, because, line.part))
    return tuple(changes)


def _grade(plan: Plan) -> Grade:
    """The grade of what the swaps first rest on, their amounts; the weakest of several."""
    grades = [swap.evidence[0].grade if swap.evidence else "common practice" for swap in plan.swaps]
    return max(grades, key=GRADES.index, default="common practice")


def _how_tested(plan: Plan) -> str:
    statuses = {swap.status for swap in plan.swaps}
    return f"{'proposed' if 'proposed' in statuses else 'tried'}; {_grade(plan)}"


def _title(base: Formula, plan: Plan) -> str:
    """What comes in; with several lines changed, what for."""
    if len(plan.choices) == 1 and plan.candidates:
        return brought(plan.candidates[0])
    return "; ".join(choice_title(choice, base) for choice in plan.choices) or AS_IT_IS


AS_IT_IS = "as it is"


def choice_title(choice: Choice, base: Formula) -> str:
    """What is done about one line, in a phrase."""
    line = base.lines[choice.at]
    apart = any(each.ingredient == line.ingredient and each.part != line.part for each in base.lines)
    name = f"{line.name} in the {line.part}" if apart and line.part else line.name
    return f"without {name}" if choice.candidate is None else f"{brought(choice.candidate)} for {name}"


def brought(candidate: Candidate) -> str:
    """What a swap brings in, the companions after what takes the place."""
    first, *rest = [a.ingredient.name for a in (*candidate.arrivals, *candidate.companions)] or [""]
    return " with ".join([first, " and ".join(rest)]) if rest else first or candidate.swap.title


def _remarks(
    before: Assessment, after: Assessment, plan: Plan, answer: BakeAnswer | str, book: Rulebook
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
    said += [f"What it costs: {what}." for swap in plan.swaps for what in swap.loses.values()]
    return tuple(dict.fromkeys(said))
