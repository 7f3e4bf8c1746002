"""How far an altered formula is from its base: lower is better, 0 is unchanged."""

from assistant.plan.diets import allergens_of
from assistant.plan.draft import Draft
from assistant.plan.functions import ACID, BASE, FOOD, GAS, Context
from assistant.plan.model import Assessment
from assistant.rulebook.model import Rulebook, Swap
from assistant.words.derivation import GRADES, Derivation, Notes

MOST_STEPS = 8.0
"""Most that one function may count: beyond it the function is lost, and further is no worse."""
WEIGHT = {
    "new": 1.0, "allergen": 3.0, "doubt": 1.0, "grade": 0.5, "untried": 3.0, "product": 2.0, "soda": 1.5, "moved": 4.0,
    "rarer": 0.3,
}  # fmt: skip
"""What each new line, each new allergen, each new thing whose contents leave a wish in doubt, each step down in
evidence, a swap nobody has tried, another product, each tolerance of leftover soda, doubling a line, and each member of
its kind that a baker would reach for before weigh, in changes nobody notices. Common practice, no source: they order plans, nothing else."""


def score_of(before: Assessment, made: Draft, swap: Swap, book: Rulebook, notes: Notes) -> Derivation:
    """Distance of a plan from its base: changes of function in steps nobody notices, new things to buy, new
    allergens, how well the swap is tested, another product."""
    parts = [*_functions(before, made, book)]
    allergens = allergens_of(made.formula, book)
    new = [
        at
        for at in made.arrived
        if made.formula.lines[at].ingredient not in {line.ingredient for line in before.formula.lines}
    ]
    parts.append(Derivation("new things in the recipe", WEIGHT["new"] * len(new), "1"))
    fresh = [
        a for a, s in allergens.items() if s == "contains" and before.allergens.get(a) != "contains"
    ]
    parts.append(Derivation("new allergens", WEIGHT["allergen"] * len(fresh), "1"))
    grade = GRADES.index(swap.evidence[0].grade) if swap.evidence else len(GRADES)
    parts.append(Derivation("how well it is tested", WEIGHT["grade"] * grade, "1", swap.id))
    parts.append(
        Derivation(
            "another product", WEIGHT["product"] * (before.formula.product != made.formula.product), "1"
        )
    )
    left = Context(made.formula, book).dough
    if left.base_weight_g > 0:
        parts.append(Derivation("soda left over", soda_left(left), "1"))
    return notes.derive("distance from the base", _sum, *parts, grade="common practice")


def _sum(*parts: float) -> float:
    return round(sum(parts), 3)


def soda_left(context: Context) -> float:
    """What soda that finds no acid costs, in changes nobody notices."""
    tolerance = context.book.functions[BASE].tolerance * context.base_weight_g / 100
    if tolerance <= 0:
        return 0.0
    excess = max(context.total(BASE) - context.total(ACID), 0.0) / tolerance
    return WEIGHT["soda"] * min(excess, MOST_STEPS)


def _functions(before: Assessment, made: Draft, book: Rulebook) -> list[Derivation]:
    base, now = Context(before.formula, book), Context(made.formula, book)
    scale = base.base_weight_g / 100
    found = []
    for function in book.functions.values():
        if function.tolerance <= 0 or scale <= 0 or function.id in ELSEWHERE:
            continue
        steps = abs(now.total(function.id) - base.total(function.id)) / (function.tolerance * scale)
        if steps > 0.5:
            found.append(Derivation(f"change of {function.name}", min(steps, MOST_STEPS), "1", function.id))
    return found


ELSEWHERE = frozenset({ACID, BASE, GAS, FOOD})
"""Functions judged otherwise: soda by what is left over, gas by the dose of the class."""
