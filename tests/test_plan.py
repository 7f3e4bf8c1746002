"""Judgement in its parts: balance, needs, diets, conditions, method."""

from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from assistant.formula.model import Formula, Line
from assistant.plan.balance import Goal, Unknown, balance
from assistant.plan.conditions import unmet
from assistant.plan.diets import allergens_of, ruling
from assistant.plan.finish import before_of
from assistant.plan.functions import Context
from assistant.plan.options import options
from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import Rulebook

masses = st.floats(min_value=1.0, max_value=500.0)


@given(masses, masses, st.floats(min_value=-100.0, max_value=900.0))
def test_a_balanced_mass_stays_within_its_bounds(first: float, second: float, target: float) -> None:
    low, high = sorted((first, second))
    goal = Goal("water", {0: 1.0, 1: 0.5}, target, 2.0)
    solved = balance([first, 40.0], [Unknown(0, low, high, first, 50.0)], [goal])
    assert low - 1e-6 <= solved[0] <= high + 1e-6
    assert solved[1] == 40.0


@given(st.lists(masses, min_size=3, max_size=3), masses)
def test_balance_agrees_with_an_independent_solver(start: list[float], target: float) -> None:
    """Against scipy.optimize.minimize (L-BFGS-B) on the same sum of squares."""
    import numpy as np
    from scipy.optimize import minimize

    goal = Goal("water", {0: 1.0, 1: 0.8, 2: 0.3}, target, 1.0)
    unknowns = [Unknown(at, 0.0, 300.0, s, 20.0) for at, s in enumerate(start)]
    solved = balance(start, unknowns, [goal])

    def cost(x: "np.ndarray") -> float:
        miss = (goal.total(list(x)) - goal.target) / goal.tolerance
        return float(miss**2 + sum(((v - min(s, 1e9)) / 20.0) ** 2 for v, s in zip(x, start, strict=True)))

    other = minimize(
        cost,
        np.clip(start, 0, 300),
        bounds=[(0, 300)] * 3,
        method="L-BFGS-B",
        options={"ftol": 1e-15, "gtol": 1e-10},
    )
    assert cost(np.array(solved)) <= other.fun * (1 + 1e-6) + 1e-6


def test_an_unknown_ingredient_leaves_diets_and_allergens_unconfirmed(book: Rulebook) -> None:
    formula = Formula("mystery", "", (Line("hut powder", None, 20.0), Line("water", "water", 100.0)))
    assert set(allergens_of(formula, book).values()) == {"cannot confirm"}
    for diet in book.diets.values():
        assert ruling(formula, diet, book, None).verdict != "yes", diet.id


def test_a_condition_on_a_number_nobody_knows_does_not_hold(
    book: Rulebook, larch_hut: Callable[[str], Formula]
) -> None:
    context = Context(larch_hut("seed-rolls"), book)
    assert unmet({"ph": Comparison.parse("> 7")}, context, None, {})
    assert not unmet({"ph": Comparison.parse("> 7")}, context, None, {"ph": 7.4})


def test_plans_do_not_depend_on_the_order_of_rules(
    book: Rulebook, larch_hut: Callable[[str], Formula]
) -> None:
    from dataclasses import replace

    rolls = larch_hut("seed-rolls")
    at = Context(rolls, book).lines("baker-yeast")[0]
    backwards = replace(
        book,
        swaps=dict(reversed(book.swaps.items())),
        ingredients=dict(reversed(book.ingredients.items())),
        needs=dict(reversed(book.needs.items())),
        functions=dict(reversed(book.functions.items())),
        digest="backwards",
    )
    first, second = options(rolls, at, book), options(rolls, at, backwards)
    assert [(o.title, o.score.value, o.formula.lines) for o in first.options] == [
        (o.title, o.score.value, o.formula.lines) for o in second.options
    ]


def test_a_pinned_line_neither_leaves_nor_moves(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    rolls = larch_hut("seed-rolls")
    context = Context(rolls, book)
    salt = context.lines("salt")[0]
    found = options(rolls, context.lines("baker-yeast")[0], book, pinned=frozenset({salt}))
    assert found.options
    for option in found.options:
        change = option.changes[salt]
        assert change.after_g is not None and change.after_g.value == rolls.lines[salt].grams


def test_a_thing_of_unknown_contents_confirms_no_diet_that_forbids_anything(book: Rulebook) -> None:
    unknown = next(i for _, i in sorted(book.ingredients.items()) if i.contains is None)
    formula = Formula("mystery", "", (Line(unknown.name, unknown.id, 100.0),))
    for diet in book.diets.values():
        if diet.forbids:
            assert ruling(formula, diet, book, None).verdict != "yes", diet.id


def test_a_line_whose_water_is_unknown_is_said_to_be_left_out(book: Rulebook) -> None:
    formula = Formula("mystery", "", (Line("hut powder", None, 20.0), Line("water", "water", 100.0)))
    assert any("How much water hut powder brings is unknown" in c for c in before_of(formula, book).cautions)
