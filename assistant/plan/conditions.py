"""Whether a rule's `when` holds for a line of a formula: a closed set of keys, all must hold."""

from collections.abc import Callable, Mapping
from typing import Any

from assistant.formula.method import Called, heated_in
from assistant.formula.parts import oven_places
from assistant.plan.functions import Context, mass
from assistant.rulebook.conditions import Comparison

Facts = Mapping[str, float]
"""Numbers a caller already has and a condition may ask for: ph, ph_baked, mix_c, net_carbs_per_100g."""


def unmet(when: Mapping[str, Any], context: Context, at: int | None, facts: Facts) -> str:
    """The first condition that fails, as a phrase, or "" when all hold.

    `at` is the line a swap would replace. A number nobody knows fails its condition: a rule that
    depends on it is not used rather than used blindly.
    """
    for key, wanted in when.items():
        failed = failing(key, wanted, context, at, facts)
        if failed:
            return failed
    return ""


def failing(key: str, wanted: Any, context: Context, at: int | None, facts: Facts) -> str:
    """Why a single condition fails, or "" when it holds."""
    test = _TESTS.get(key)
    return _fact(key, wanted, facts) if test is None else test(wanted, context, at)


def _each(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple) else (value,)


def _product(wanted: Any, context: Context, at: int | None) -> str:
    if context.formula.product in _each(wanted):
        return ""
    here = context.product.name if context.product else "a product I don't recognise"
    named = [context.book.products[p].name for p in _each(wanted) if p in context.book.products]
    return f"it is for {' or '.join(named)}, and this is {here}"


def _raised_by(wanted: Any, context: Context, at: int | None) -> str:
    return "" if context.raised_by in _each(wanted) else f"the dough is raised by {context.raised_by}"


def _serves(wanted: Any, context: Context, at: int | None) -> str:
    if at is None or set(_each(wanted)) & set(context.matters[at]):
        return ""
    return f"{context.formula.lines[at].name} does not serve as {' or '.join(_each(wanted))} here"


def _share(wanted: Mapping[str, Comparison], context: Context, at: int | None) -> str:
    for what, comparison in wanted.items():
        share = context.share_pct(what)
        if share is None or not comparison.holds(share):
            return f"{what} should be {comparison} % of the flours" + (
                "" if share is None else f", and is {share:.1f} %"
            )
    return ""


BATCH_G = 250.0
"""Flours of the recipe that a printed count ("up to two eggs") has in mind: two cups. Common practice, no source."""


def _count(wanted: Mapping[str, Comparison], context: Context, at: int | None) -> str:
    """How many there are, of a larger batch to so much of it as is usual: doubled, a recipe takes the same swaps."""
    batches = max(context.base_weight_g / BATCH_G, 1.0)
    for what, comparison in wanted.items():
        count = 0.0
        for place in context.lines(what):
            ingredient = context.ingredients[place]
            each = ingredient.measures.get("each") if ingredient else None
            if each is None:
                return f"how much one {what} weighs is unknown"
            count += mass(context.formula.lines[place]) / each.value
        if not comparison.holds(round(count / batches, 2)):
            to = f" to {BATCH_G:.0f} g of flours" if batches > 1 else ""
            return f"it holds for {comparison} of {what}, and there are {count / batches:.3g}{to}"
    return ""


def _has(wanted: Any, context: Context, at: int | None) -> str:
    missing = [w for w in _each(wanted) if not context.lines(w)]
    return f"the recipe has no {' or '.join(missing)}" if len(missing) == len(_each(wanted)) else ""


def _lacks(wanted: Any, context: Context, at: int | None) -> str:
    present = [w for w in _each(wanted) if context.lines(w)]
    return f"the recipe has {' and '.join(present)}" if present else ""


def _raw(wanted: Any, context: Context, at: int | None) -> str:
    formula = context.formula
    baked = oven_places(formula, context.book)
    late = {place for name in _each(wanted) for place in context.lines(name)} - baked
    if late:
        called = Called(formula.lines, context.ingredients)
        cooked = {place for step in formula.steps for place in heated_in(step.text, called) if place in step.uses}
        late -= cooked
    return "" if late else f"no {' or '.join(_each(wanted))} stays raw"


def _only_binder(wanted: bool, context: Context, at: int | None) -> str:
    function = context.book.functions["binder"]
    total = context.total("binder") + context.total("gluten")
    own = sum(context.amount(place, function) or 0 for place in ([] if at is None else [at]))
    only = total > 0 and own > 0.8 * total
    return (
        "" if only == wanted else ("something else binds too" if wanted else "nothing else binds this dough")
    )


def _rest(wanted: Comparison, context: Context, at: int | None) -> str:
    minutes = sum(step.minutes or 0 for step in context.formula.steps if step.kind in ("rest", "proof"))
    return "" if wanted.holds(minutes) else f"the dough should rest {wanted}, and rests {minutes:g} min"


def _altitude(wanted: Comparison, context: Context, at: int | None) -> str:
    here = context.formula.altitude_m
    return "" if wanted.holds(here) else f"it is for {wanted} m, and this is baked at {here:g} m"


def _fact(key: str, wanted: Comparison, facts: Facts) -> str:
    if key not in facts:
        return f"{key} is not known"
    return "" if wanted.holds(facts[key]) else f"{key} should be {wanted}, and is {facts[key]:.3g}"


_TESTS: Mapping[str, Callable[[Any, Context, int | None], str]] = {
    "product": _product,
    "raised_by": _raised_by,
    "serves": _serves,
    "share": _share,
    "count": _count,
    "has": _has,
    "lacks": _lacks,
    "raw": _raw,
    "only_binder": _only_binder,
    "rest": _rest,
    "altitude_m": _altitude,
}
