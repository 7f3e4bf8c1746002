"""Every example that a rule carries comes out as the rule says: swaps, diets, reactions and needs."""

from typing import Any

import pytest

from assistant.plan.assess import assess
from assistant.plan.conditions import unmet
from assistant.plan.diets import ruling
from assistant.plan.examples import failure, given_formula
from assistant.plan.functions import Context, is_any
from assistant.plan.needs import active, obligations
from assistant.rulebook.model import Example
from assistant.rulebook.read import load

BOOK, FAULTS = load()


def cases(kind: str) -> list[Any]:
    """Each example of each entry of a kind, called by its file, its rule and its name."""
    found = []
    for entry in getattr(BOOK, kind).values():
        place = BOOK.places[f"{kind}/{entry.id}"].source.removeprefix("rules/")
        found += [pytest.param(entry, e, id=f"{place}::{entry.id}::{e.name}") for e in entry.examples]
    return found


@pytest.mark.parametrize(("swap", "example"), cases("swaps"))
def test_a_swap_does_what_its_example_says(swap: Any, example: Example) -> None:
    assert failure(swap, example, BOOK) == ""


@pytest.mark.parametrize(("diet", "example"), cases("diets"))
def test_a_diet_rules_as_its_example_says(diet: Any, example: Example) -> None:
    formula = given_formula(example.given)
    nutrition = assess(formula, BOOK).nutrition if diet.limits else None
    found = ruling(formula, diet, BOOK, nutrition)
    assert found.verdict == example.expect, found.because


@pytest.mark.parametrize(("reaction", "example"), cases("reactions"))
def test_a_reaction_is_seen_where_its_example_says(reaction: Any, example: Example) -> None:
    context = Context(given_formula(example.given), BOOK)
    facts = {name: float(example.given[name]) for name in ("ph", "ph_baked") if name in example.given}
    here = any(i is not None and is_any(i, reaction.between) for i in context.ingredients)
    assert (here and not unmet(reaction.when, context, None, facts)) == (example.expect == "seen")


@pytest.mark.parametrize(("need", "example"), cases("needs"))
def test_a_need_is_there_where_its_example_says(need: Any, example: Example) -> None:
    """`none`: nothing asks for it; `open`: it is asked for; `met`: and something there meets it."""
    context = Context(given_formula(example.given), BOOK)
    assert active(need, context, {}) == (example.expect != "none")
    if example.expect == "met":
        assert need.id not in {obligation.need.id for obligation in obligations(context, {})}


@pytest.mark.parametrize("kind", ["swaps", "diets", "reactions", "needs"])
def test_every_rule_has_an_example(kind: str) -> None:
    assert [entry.id for entry in getattr(BOOK, kind).values() if not entry.examples] == []


def test_every_swap_has_an_example_that_holds_and_one_refused() -> None:
    one_sided = [
        swap.id
        for swap in BOOK.swaps.values()
        if {example.expect == "refused" for example in swap.examples} != {True, False}
    ]
    assert one_sided == []
