"""Every law holds what its docstring tells: units, range, sources, spread; walked from what `rules laws` publishes."""

import inspect
import linecache
import math
import pkgutil
import random
import re
from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any

import numpy as np
import pytest

import assistant.laws
from assistant.laws import heat, ranges
from assistant.laws.heat import Case
from assistant.laws.thermal import COMPONENTS, Composition
from assistant.publish.laws import Bound, Law, document, laws
from assistant.rulebook.read import load
from assistant.words.derivation import Notes, stated
from tests import worked
from tests.published.checks import HOMES, Check, checks, compared
from tests.published.models import LEAN
from tests.worked import Call, calls, each, ends, holds, places, showing, takes_arrays

LAWS = laws()
SOURCES = frozenset(load()[0].sources)
NOT_LAWS = (
    ranges.within,
    ranges.lesser,
    ranges.greater,
    ranges.share,
    ranges.margin,
    ranges.factor,
    ranges.sure_to,
    heat.prepare,
)
EXACT = (
    "arithmetic", "atomic-weights", "bake-notes", "cfr-101-9", "conservation", "definition", "equal osmolality",
    "eu-1169-2011", "eu-rounding-2012", "geometry", "heat balance", "Henderson", "incropera-2007", "ketogenic-diets",
    "linearity", "mass balance", "Stefan-Boltzmann law", "stoichiometry", "volumes add", "eigenvalue conditions",
    "common-practice; no law defines it", "MISS_PLACE", "sour-taste-2007",
)  # fmt: skip
"""How the `Source` of a law begins that adds no doubt of its own: definitions, balances, series, regulations."""
FIGURES: tuple[tuple[str, Callable[[float, float], tuple[float, float]]], ...] = (
    (r"([\d.]+) %(?! for| from| to)", lambda said, value: (value - said / 100 * abs(value), value + said / 100 * abs(value))),
    (r"(\S+)(?: pH| C)?(?=,| by| in)", lambda said, value: (value - said, value + said)),
    (r"a (third)", lambda _, value: (value * 2 / 3, value * 4 / 3)),
    (r"a factor ([\d.]+)", lambda said, value: (value / said, value * said)),
    (r"up to ([\d.]+) C warmer", lambda said, value: (value, value + said)),
    (r"up to ([\d.]+) % less", lambda said, value: (value * (1 - said / 100), value)),
)  # fmt: skip
"""Plain figures at the head of a `Spread`, and the ends each leaves a value."""
_MUFFIN = Composition(0.37, 0.06, 0.13, 0.40, 0.02, 0.02)
BY_HAND: dict[str, tuple[tuple[Any, ...], float, float]] = {
    "acidity.browning_factor_of_ph": ((8.0,), 1.1**2, 1.5**2),
    "acidity.soapiness": ((0.3, 7.2), 0.3 / 0.4, 0.3 / 0.2),
    "altitude.core_target_c": ((96.0, 1900.0), 93.65 - 1.5 - 0.5, 93.65 - 1.5 + 0.5),
    "crumb.bitterness": ((0.2, 3.5), 3.5 / 2, 3.5 / 1.5),
    "crumb.browning_exposure": ((200.0, 35.0), 0.638, 1.191),  # at 150 and 165 C, 21 min
    "crumb.crust_surface_c": ((200.0,), 150.0, 165.0),
    "dough.liquid_temperature_for": ((26.0, 900.0, 21.0, 1300.0, 4000.0), 26.385 - 2 * 2200 / 1300, 26.385),
    "heat.baking_gas_fraction": ((_MUFFIN, 0.32, 2.3), 0.32, 0.637),
    "leavening.woken_share": ((40.0, 40.0, 15.0), 1 - 0.5 ** (15 / 30), 1 - 0.5 ** (15 / 5)),
    "sweetness.freezing_point_c": ((80.0, 20 / 342.3, 5.0), -1.4526 * 1.03, -1.4526 * 0.97),
    "yeast.decimal_minutes": ((50.0, 2.5), 2.5 * 10 ** (5 / 6.7), 2.5 * 10 ** (5 / 4.4)),
    "yeast.gas_in_stage_ml": ((950.0, 60.0, 30.0, 20.0, 0.93), 950 * 0.85, 950 * 1.15),
    "yeast.minutes_for_gas": ((500.0, 120.0, 30.0), 250 * 0.85, 250 * 1.15),
    "yeast.proof_minutes_at": ((60.0, 30.0, 4.0), 1828.4 * 0.6, 1828.4 * 1.4),
    "yeast.salt_factor": ((0.0,), 1.1735 * 0.94, 1.1735 * 1.06),
    "yeast.temperature_factor": ((4.0,), 0.032816 * 0.6, 0.032816 * 1.4),
}
"""Laws whose `Spread` is more than a plain figure: a call, and low and high as it says, by hand."""

by_name = pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)


def _public() -> Iterator[Callable[..., Any]]:
    for module_info in pkgutil.iter_modules(assistant.laws.__path__):
        module = import_module(f"assistant.laws.{module_info.name}")
        for name, found in inspect.getmembers(module, inspect.isfunction):
            if found.__module__ == module.__name__ and not name.startswith("_"):
                yield found


def test_every_public_function_of_the_laws_is_published() -> None:
    assert set(_public()) - set(NOT_LAWS) == {law.function for law in LAWS}
    assert [told["name"] for told in document()["laws"]] == [law.name for law in LAWS]


@by_name
def test_a_law_tells_its_units_its_range_and_sources_of_the_rulebook(law: Law) -> None:
    assert law.computes and law.units and law.holds
    assert not set(law.sources) - SOURCES
    assert law.sources or law.source.startswith(EXACT), law.source


@by_name
def test_every_number_that_a_law_takes_has_a_range(law: Law) -> None:
    told = " ".join(bound.of for bound in law.bounds)
    for name, parameter in inspect.signature(law.function).parameters.items():
        if parameter.annotation in (float, int, Any) or parameter.kind is parameter.VAR_POSITIONAL:
            assert re.search(rf"\b{name}\b", told), name


# Where it stops


def _refusal(call: Call) -> str:
    """The sentence by which a law refuses a call, raised or returned; empty where it answers."""
    words = inspect.signature(call.law).return_annotation is str
    try:
        answer = call.made()
    except ValueError as refused:
        trace = refused.__traceback__
        while trace and trace.tb_next:
            trace = trace.tb_next
        assert trace
        file = trace.tb_frame.f_code.co_filename
        assert "assistant/laws/" in file and linecache.getline(file, trace.tb_lineno).lstrip().startswith(
            "raise"
        )
        answer, words = str(refused), False
    if words or not isinstance(answer, str):
        assert _finite(answer), answer
        return ""
    assert re.fullmatch(r"[^\n]{20,400}", answer) and not answer.endswith("."), answer
    return answer


def _finite(answer: Any) -> bool:
    numbers = answer if isinstance(answer, tuple) else (answer,)
    return all(np.all(np.isfinite(one)) for one in numbers if isinstance(one, int | float | np.ndarray))


def _moved(law: Law, bound: Bound, end: int, outward: float, tries: int = 100) -> Iterator[Call]:
    """Calls with the bound's quantity at one of its ends, or so far outside; the others keep within theirs."""
    draw = random.Random(law.name + bound.of)
    others = [other for other in law.bounds if other != bound]
    for attempt in range(tries):
        call = showing(law.function, bound)
        call = worked.elsewhere(call, law.bounds, draw) if attempt else call
        for one in each(bound, call):
            for place in places(law.function, one):
                wanted = ends(bound, call)[end]
                step = outward * max(abs(wanted), 0.01)
                moved = worked.moved_to(call, one, place, wanted + (step if end else -step))
                if moved and attempt:
                    moved = worked.mended(moved, others, place, draw)
                if moved and holds(bound, moved) == (outward <= 0) and all(holds(o, moved) for o in others):
                    yield moved


def _ends(law: Law) -> Iterator[tuple[Bound, int]]:
    for bound in law.bounds:
        for end in (0, 1):
            if not bound.choices and (bound.low, bound.high)[end] not in (-math.inf, math.inf):
                yield bound, end


def _alone(bound: Bound) -> bool:
    return re.fullmatch(r"\w+(\[[^\]]*\])*", bound.of) is not None and not isinstance(bound.high, str)


ENDS = [
    pytest.param(law, bound, end, id=f"{law.name}: {bound.of} {'from' if end == 0 else 'to'} {(bound.low, bound.high)[end]}")
    for law in LAWS for bound, end in _ends(law)
]  # fmt: skip


@pytest.mark.parametrize("law, bound, end", ENDS)
def test_a_law_holds_at_the_ends_of_its_range(law: Law, bound: Bound, end: int) -> None:
    refused = ""
    for call in _moved(law, bound, end, 0.0 if _alone(bound) else -1e-7):
        refused = _refusal(call)
        if not refused or (law.besides and "the law holds from" not in refused):
            return
        assert law.besides, refused  # only a law that says what else it refuses may refuse here
    pytest.fail(refused or "no call comes to this end, so it states nothing")


@pytest.mark.parametrize("law, bound, end", ENDS)
def test_a_law_refuses_what_lies_just_outside_its_range(law: Law, bound: Bound, end: int) -> None:
    call = next(_moved(law, bound, end, 1e-6, 20), None) or _outside(law, bound, end)
    assert _refusal(call)


def _outside(law: Law, bound: Bound, end: int) -> Call:
    """The worked example with one number so far off that the bound is passed, whatever else is."""
    call = showing(law.function, bound)
    one = each(bound, call)[0]
    wanted = ends(bound, call)[end]
    step = 1e-6 * max(abs(wanted), 0.01)
    moved = (
        worked.moved_to(call, one, place, wanted + (step if end else -step))
        for place in places(law.function, one)
    )
    return next(found for found in moved if found and not holds(bound, found))


@by_name
def test_a_law_refuses_what_is_no_quantity(law: Law) -> None:
    for bound in law.bounds:
        call = showing(law.function, bound)
        for one in () if bound.choices else each(bound, call):
            for place in places(law.function, one):
                for nonsense in (math.nan, math.inf, -math.inf, -1e30, 1e30):
                    assert _refusal(call.put(place, nonsense)), f"{place} {nonsense}"


@pytest.mark.parametrize(
    "law, bound",
    [
        pytest.param(law, bound, id=f"{law.name}: {bound.of}")
        for law in LAWS
        for bound in law.bounds
        if bound.choices
    ],
)
def test_a_law_refuses_what_is_none_of_its_choices(law: Law, bound: Bound) -> None:
    for call in calls(law.function):
        assert not _refusal(call)
        none_of_them = -7 if isinstance(call.arguments[bound.of], int) else "none of them"
        assert _refusal(call.put((bound.of,), none_of_them))


@pytest.mark.parametrize("made", [Case, Composition])
def test_a_piece_of_dough_refuses_what_is_no_quantity(made: type) -> None:
    whole = {"dough": LEAN, "mass_g": 60.0, "gas_fraction": 0.7, "shape": "roll", "oven_c": 200.0}
    right = whole if made is Case else dict(zip(COMPONENTS, LEAN.parts, strict=True))
    made(**right)
    for name, value in right.items():
        for nonsense in (math.nan, math.inf, -math.inf, -1.0, 1e30):
            if isinstance(value, float):
                with pytest.raises(ValueError, match="the law holds from"):
                    made(**{**right, name: nonsense})


# Many at once


@pytest.mark.parametrize("law", [law for law in LAWS if takes_arrays(law)], ids=lambda law: law.name)
def test_a_thousand_at_once_are_a_thousand_alone(law: Law) -> None:
    many = worked.draws(law, 1000)
    together = many.made()
    alone = [worked.row(many, at).made() for at in range(1000)]
    for part, one in (
        zip(together, zip(*alone, strict=True), strict=True)
        if isinstance(alone[0], tuple)
        else [(together, alone)]
    ):
        assert np.shape(part) == (1000,)
        np.testing.assert_allclose(part, one, rtol=1e-12, atol=1e-12)


def test_most_laws_take_arrays() -> None:
    assert sum(takes_arrays(law) for law in LAWS) > 120


# How sure it is


@by_name
def test_a_law_tells_how_sure_it_is(law: Law) -> None:
    kind, gives = law.spread_kind, inspect.signature(law.function).return_annotation
    words = gives in (str, bool)
    assert law.spread
    if kind == "exact":
        assert words or law.source.startswith(EXACT), law.source
    if words:
        assert kind in ("exact", "order")
    carries = hasattr(law.function, "spread")
    if kind == "another law":
        other = _lender(law)
        assert carries == (gives in (float, Any) and hasattr(other.function, "spread"))
    elif kind != "order":
        assert carries == (kind in ("figure", "checked")), kind


@by_name
def test_what_is_weakly_known_stands_as_low_usual_and_high(law: Law) -> None:
    constants = vars(import_module(law.function.__module__))
    for name in re.findall(r"\b[A-Z][A-Z0-9_]{3,}\b", law.spread) if law.spread_kind == "arguments" else ():
        ends = [band for known, band in constants.items() if known.endswith(name)]
        assert ends and all(low < usual < high for low, usual, high in ends), name


def _lender(law: Law) -> Law:
    named = re.match(r"as ([\w.]+)", law.spread)
    assert named
    home = law.name.partition(".")[0]
    (other,) = (one for one in LAWS if one.name in (named[1], f"{home}.{named[1]}"))
    return other


CARRIED = [law for law in LAWS if hasattr(law.function, "spread")]


@pytest.mark.parametrize("law", CARRIED, ids=lambda law: law.name)
def test_what_a_law_says_of_itself_is_what_conclusions_get(law: Law) -> None:
    ends_of = vars(law.function)["spread"]
    wide = False
    for call in calls(law.function):
        value = call.made()
        low, high = ends_of(value, *call.given)
        assert low <= value <= high
        wide |= low < high
        if said := _stated(law.spread, value):
            assert (low, high) == pytest.approx(said)
    assert wide
    if law.name in BY_HAND:
        given, *said = BY_HAND[law.name]
        assert ends_of(law.function(*given), *given) == pytest.approx(tuple(said), rel=1e-3)


def _stated(spread: str, value: float) -> tuple[float, float] | None:
    for form, ends_by in FIGURES:
        if told := re.match(form, spread):
            return ends_by(1 / 3 if told[1] == "third" else float(told[1]), value)
    return None


def test_every_figure_is_read_or_reckoned_by_hand() -> None:
    assert {law.name for law in CARRIED if not _stated(law.spread, 1.0)} == set(BY_HAND)


@pytest.mark.parametrize(
    "law", [law for law in LAWS if law.spread_kind == "checked"], ids=lambda law: law.name
)
def test_a_figure_from_checks_is_their_greatest_error(law: Law) -> None:
    worst = 0.0
    for check in _checks_named(law.spread):
        found = compared(check)
        assert law.name.partition(".")[2] in check.inputs
        assert found.error is not None and isinstance(found.ours, float)
        value = found.ours - found.error
        low, _ = _stated(law.spread, value) or (0.0, 0.0)
        worst = max(worst, abs(found.error) / (value - low))
    assert 0.5 <= worst <= 1.0


def _checks_named(spread: str) -> list[Check]:
    """Of "C078 to C081", "TPD06 and TPD07" or "FRZ09": the checks."""
    first, joined, last = re.findall(r"as far as its checks? (\w+)(?: (to|and) (\w+))?", spread)[0]
    every = [check for table in HOMES for check in checks(table)]
    if joined == "to":
        return [check for check in every if first <= check.id <= last and len(check.id) == len(first)]
    return [check for check in every if check.id in (first, last)]


def test_a_conclusion_is_no_surer_than_its_law() -> None:
    for law in LAWS:
        if hasattr(law.function, "spread"):
            for call in calls(law.function):
                known = [stated("given", value) for value in call.given]
                drawn = Notes().derive("concluded", law.function, *known)
                low, high = law.function.spread(drawn.value, *call.given)
                assert (drawn.low, drawn.high) == pytest.approx((low, high)), law.name
