"""A number and its reason come from one call: replayed, each step gives what it says."""

from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any

import pytest

from assistant.formula.model import Formula
from assistant.plan.functions import Context
from assistant.plan.options import options
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, FULL, Derivation, Notes

SIMULATIONS = {
    "assistant.laws.bake.calibrated",
    "assistant.laws.bake.predict",
    "assistant.laws.heat.end_states",
    "assistant.laws.altitude.core_target_c",
}
"""Told of by what went in; not a function of the premises alone."""


def derivations(found: Any) -> Iterator[Derivation]:
    """Every derivation inside an answer, and inside its premises."""
    if isinstance(found, Derivation):
        yield found
        for premise in found.premises:
            yield from derivations(premise)
    elif isinstance(found, dict):
        for value in found.values():
            yield from derivations(value)
    elif isinstance(found, tuple | list):
        for value in found:
            yield from derivations(value)
    elif hasattr(found, "__dataclass_fields__") and not isinstance(found, Formula):
        for name in found.__dataclass_fields__:
            yield from derivations(getattr(found, name))


def law_of(by: str) -> Callable[..., Any] | None:
    module, _, name = by.rpartition(".")
    if not module.startswith("assistant."):
        return None
    law = getattr(import_module(module), name, None)
    return law if callable(law) else None


def test_every_step_replays_from_its_premises(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    rolls = larch_hut("seed-rolls")
    found = options(rolls, Context(rolls, book).lines("baker-yeast")[0], book, shown=9)
    replayed = 0
    for d in {id(d): d for d in derivations(found.options)}.values():
        law = law_of(d.by)
        if law is None or d.by in SIMULATIONS or not d.premises:
            continue
        if d.by in {"assistant.plan.balance.balance", "assistant.plan.needs.without_reason"}:
            continue
        assert law(*(p.value for p in d.premises)) == pytest.approx(d.value), d.claim
        replayed += 1
    assert replayed > 300


def test_the_numbers_are_the_same_without_notes(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    rolls = larch_hut("seed-rolls")
    at = Context(rolls, book).lines("baker-yeast")[0]
    full, bare = (options(rolls, at, book, shown=9, notes=notes) for notes in (FULL, BARE))
    assert [o.title for o in full.options] == [o.title for o in bare.options]
    for a, b in zip(full.options, bare.options, strict=True):
        assert a.score.value == pytest.approx(b.score.value)
        assert a.formula == b.formula
        for key, value in a.after.nutrition.per_piece.items():
            other = b.after.nutrition.per_piece[key]
            assert (value is None) == (other is None)
            assert value is None or other is None or value.value == pytest.approx(other.value)


def test_a_spread_is_carried_in_quadrature() -> None:
    """JCGM 100:2008, 5.1.2: u^2 = sum of (df/dx u)^2."""

    def law(a: float, b: float) -> float:
        return a + 2 * b

    found = Notes().derive(
        "sum", law, Derivation("a", 1.0, low=0.7, high=1.3), Derivation("b", 1.0, low=0.8, high=1.2)
    )
    assert found.low is not None and found.high is not None
    assert (found.high - found.value) == pytest.approx((0.3**2 + 0.4**2) ** 0.5)
    assert (found.value - found.low) == pytest.approx(0.5)


def test_an_end_where_the_law_does_not_hold_moves_nothing() -> None:
    def law(a: float) -> float:
        if a > 1:
            raise ValueError("above 1")
        return a

    found = Notes().derive("a", law, Derivation("a", 0.9, low=0.8, high=1.1))
    assert found.high == pytest.approx(0.9)
    assert found.low == pytest.approx(0.8)
