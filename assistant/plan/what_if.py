"""What if something is left out, halved, or a little more goes in: the recipe as changed against as planned."""

from dataclasses import replace

from assistant.formula.model import Formula, Line
from assistant.plan.assess import Baked, assess
from assistant.plan.baking import Altered, Baking, Job, answers, baking_of
from assistant.plan.crumb import against
from assistant.plan.finish import before_of, told, without_absent
from assistant.plan.functions import Context, mass
from assistant.plan.method import timeline
from assistant.plan.model import BakeAnswer, Change, Option
from assistant.plan.sweetness import missing_body, missing_body_remark
from assistant.plan.warmth import warmth_of
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, FULL, Derivation, Notes, stated


def altered_mass(formula: Formula, at: int, grams: float) -> Formula:
    """The formula with another mass in one line; 0 leaves it out, but keeps its place."""
    lines = tuple(
        replace(line, grams=grams, amount=None, unit="") if place == at else line
        for place, line in enumerate(formula.lines)
    )
    return replace(formula, lines=lines)


def with_line(formula: Formula, line: Line) -> Formula:
    """The formula with one more line."""
    return replace(formula, lines=(*formula.lines, line))


def what_if(formula: Formula, changed: Formula, title: str, book: Rulebook, notes: Notes = FULL) -> Option:
    """How a recipe would come out with other masses in its lines (same order, arrivals last).

    The method is left as it is: a "what if" asks what happens when nothing else is done.
    """
    before = before_of(formula, book, notes)
    bake = _bake(formula, changed, book, notes)
    baked = (
        None
        if bake is None
        else Baked(
            notes.derive("share of the dough lost in the oven", _hundredth, bake.bake_loss_pct),
            formula.bake.minutes if formula.bake else None,
        )
    )
    after = assess(without_absent(told(changed, formula, book), formula), book, notes, baked)
    missing = missing_body(Context(formula, book).dough, Context(after.formula, book).dough, notes)
    after = replace(after, sweeteners={**after.sweeteners, **missing})
    return Option(
        title=title,
        swaps=(),
        score=Derivation("distance from the base", float(_moved(formula, changed)), "1"),
        against=against(before, after),
        changes=tuple(_change(formula, changed, at) for at in range(len(changed.lines))),
        before=before,
        after=after,
        bake=bake,
        method=changed.steps,
        timeline=timeline(changed.steps, book),
        cautions=tuple(c for c in after.cautions if c not in before.cautions),
        remarks=(*_remarks(before.formula, changed, book), *missing_body_remark(missing)),
        how_tested="worked out by the laws, not baked",
    )  # fmt: skip


def _hundredth(pct: float) -> float:
    return pct / 100


def _moved(formula: Formula, changed: Formula) -> int:
    return sum(
        1
        for at, line in enumerate(changed.lines)
        if at >= len(formula.lines) or line.grams != formula.lines[at].grams
    )


def _change(formula: Formula, changed: Formula, at: int) -> Change:
    line = changed.lines[at]
    before = formula.lines[at].grams if at < len(formula.lines) else 0.0
    after = None if line.grams is None else stated(line.name, line.grams, "g")
    because = "you asked" if before != line.grams else ""
    return Change(at, line.ingredient, line.name, before, after, because, line.part)


def _bake(formula: Formula, changed: Formula, book: Rulebook, notes: Notes) -> BakeAnswer | None:
    if formula.bake is None:
        return None
    base = Context(formula, book)
    entry = warmth_of(base, BARE).oven_entry_c
    start = formula.room_c if entry is None else entry.value
    here, there = baking_of(base, start), baking_of(Context(changed, book), start)
    if not isinstance(here, Baking) or not isinstance(there, Baking):
        return None
    ((answer,),) = answers([Job(here, formula.bake, (Altered(there, None),))], notes)
    return answer if isinstance(answer, BakeAnswer) else None


def _remarks(formula: Formula, changed: Formula, book: Rulebook) -> tuple[str, ...]:
    """Functions a line served that nothing serves any more."""
    base, now = Context(formula, book), Context(changed, book)
    said = []
    for at, served in enumerate(base.matters):
        if mass(changed.lines[at]) >= mass(formula.lines[at]) or not served:
            continue
        before, after = base.around(at), now.around(at)
        lost = [f for f in served if before.total(f) > 0 and after.total(f) < 0.5 * before.total(f)]
        if lost:
            names = ", ".join(book.functions[f].name for f in lost)
            said.append(f"Less than half is left of what {formula.lines[at].name} did: {names}.")
    return tuple(said)
