"""Runs the examples that rules of swaps and blends carry: one that holds and one that is refused."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from assistant.formula.model import Formula, Line, Step
from assistant.plan.blend import Asked, blend
from assistant.plan.draft import Choice, Draft, Refused, Wishes, draft
from assistant.plan.functions import Context, mass
from assistant.plan.swaps import candidates, replaces
from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import Blend, Example, Rulebook, Swap

_MASS = re.compile(r"^\s*([\d.]+)\s*g\s*$")


def given_formula(given: Mapping[str, Any]) -> Formula:
    """The formula an example gives: `product`, `lines` {ingredient: "60 g"}, and optionally `rest`,
    `pieces`, `altitude_m`.

    >>> given_formula({"product": "muffin", "lines": {"water": "100 g"}}).lines[0].grams
    100.0
    """
    lines = []
    for ingredient, amount in given.get("lines", {}).items():
        found = _MASS.match(str(amount))
        if found is None:
            raise ValueError(f'"{amount}" of {ingredient} is no mass in grams, like "60 g"')
        lines.append(Line(ingredient, ingredient, float(found[1])))
    rest = given.get("rest")
    minutes = None if rest is None else _minutes(str(rest))
    steps = () if minutes is None else (Step("rest", "Rest.", minutes),)
    return Formula(
        "example", str(given.get("product", "")), tuple(lines), steps, pieces=given.get("pieces"),
        altitude_m=float(given.get("altitude_m", 0)),
    )  # fmt: skip


def _minutes(text: str) -> float:
    number, _, unit = text.partition(" ")
    return float(number) * {"h": 60.0, "min": 1.0, "": 1.0}[unit.strip()]


def failures(swap: Swap, book: Rulebook) -> Iterable[str]:
    """A sentence for each example of a swap that does not come out as it says."""
    for example in swap.examples:
        failed = failure(swap, example, book)
        if failed:
            yield f"{swap.id}, example {example.name!r}: {failed}"


def failure(swap: Swap, example: Example, book: Rulebook) -> str:
    """What came out instead, or "" when the example holds."""
    formula = given_formula(example.given)
    context = Context(formula, book)
    places = [at for at, i in enumerate(context.ingredients) if i is not None and replaces(swap, i)]
    if not places:
        return "none of the lines given is what the swap replaces"
    held, blocked = candidates(context, places[0], {})
    mine = [c for c in held if c.swap.id == swap.id]
    if swap.refuse:
        says = swap.refuse in blocked
        return (
            ""
            if says == (example.expect == "refused")
            else f"it {'says' if says else 'does not say'} that it can't be done"
        )
    drafts = [draft((Choice(places[0], c),), context, {}, Wishes()) for c in mine]
    good = [d for d in drafts if isinstance(d, Draft)]
    if example.expect == "refused":
        return f"it was not refused: {_amounts(good[0])}" if good else ""
    if not good:
        reasons = [d.because for d in drafts if isinstance(d, Refused)] or list(blocked)
        return f"it was refused: {'; '.join(reasons)}"
    wrong = [_wrong(d, example.expect) for d in good]
    return "" if "" in wrong else wrong[0]


def _wrong(made: Draft, expect: Mapping[str, Any]) -> str:
    return _off(_amounts(made), expect)


def _off(masses: Mapping[str, float], expect: Mapping[str, Any]) -> str:
    """The first mass that is not as expected; "" when all are."""
    for ingredient, wanted in expect.items():
        if not Comparison.parse(str(wanted)).holds(masses.get(ingredient, 0.0)):
            return f"{ingredient} is {masses.get(ingredient, 0.0):.1f} g, not {wanted}"
    return ""


def _amounts(made: Draft) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in made.formula.lines:
        if line.ingredient:
            found[line.ingredient] = found.get(line.ingredient, 0.0) + mass(line)
    return found


def blend_failures(rule: Blend, book: Rulebook) -> Iterable[str]:
    """A sentence for each example of a blend that does not come out as it says."""
    for example in rule.examples:
        failed = blend_failure(rule, example, book)
        if failed:
            yield f"{rule.id}, example {example.name!r}: {failed}"


def blend_failure(rule: Blend, example: Example, book: Rulebook) -> str:
    """What came out instead, or "" when the example holds."""
    given = example.given
    product = str(given.get("product", ""))
    asked = Asked(str(given["replaces"]), float(given["grams"]), product, tuple(given.get("diets", ())))
    made = blend(rule, book, asked)
    if isinstance(made, str):
        return "" if example.expect == "refused" else f"it was refused: {made}"
    masses = {part.ingredient: float(part.grams.value) for part in made.portions}
    return f"it was not refused: {masses}" if example.expect == "refused" else _off(masses, example.expect)
