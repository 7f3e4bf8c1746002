"""The worked example of a law, as its docstring calls it, and calls moved from there within what it states."""

import doctest
import math
import random
from collections.abc import Callable, Iterable, Iterator
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from inspect import Signature, signature
from io import StringIO
from itertools import pairwise
from types import CodeType
from typing import Any

import numpy as np

from assistant.laws.thermal import Composition
from assistant.publish.laws import Bound, Law, parts

Place = tuple[Any, ...]
"""Where a number stands in a call: the parameter's name, then the index in each tuple on the way."""


@dataclass(frozen=True)
class Call:
    """Arguments of a law by name; tuples where it takes several."""

    law: Callable[..., Any]
    arguments: dict[str, Any]

    @property
    def given(self) -> tuple[Any, ...]:
        """The arguments by place."""
        bound = _signature(self.law).bind_partial()
        bound.arguments.update(self.arguments)
        assert not bound.kwargs
        return bound.args

    def made(self) -> Any:
        """What the law says of them."""
        return self.law(*self.given)

    def at(self, place: Place) -> Any:
        """What stands at a place."""
        here = self.arguments[place[0]]
        for index in place[1:]:
            here = here[index]
        return here

    def put(self, place: Place, value: Any) -> "Call":
        """The same call with another number at one place."""
        whole = _replaced(self.arguments[place[0]], place[1:], value)
        return Call(self.law, {**self.arguments, place[0]: whole})


def _replaced(whole: Any, place: Place, value: Any) -> Any:
    if not place:
        whole_number = isinstance(whole, int) and isinstance(value, float) and value.is_integer()
        return int(value) if whole_number else value
    parts = list(whole)
    parts[place[0]] = _replaced(parts[place[0]], place[1:], value)
    return tuple(parts)


@cache
def _signature(law: Callable[..., Any]) -> Signature:
    return signature(law)


def worked(law: Callable[..., Any]) -> Call:
    """The fullest call of a law in its own docstring."""
    return max(calls(law), key=lambda call: len(list(_numbers(tuple(call.arguments.values()), ()))))


def showing(law: Callable[..., Any], bound: Bound) -> Call:
    """The first call in a law's docstring that has the quantity a bound is about."""
    return next(call for call in calls(law) if each(bound, call))


@cache
def calls(law: Callable[..., Any]) -> tuple[Call, ...]:
    """The calls of a law in its own docstring; a law that shows none is an error."""
    module = import_module(law.__module__)
    seen: list[Call] = []

    def watched(*args: Any, **kwargs: Any) -> Any:
        bound = _signature(law).bind(*args, **kwargs)
        bound.apply_defaults()
        seen.append(Call(law, {name: _tupled(value) for name, value in bound.arguments.items()}))
        return law(*args, **kwargs)

    names = {**vars(module), law.__name__: watched}
    with redirect_stdout(StringIO()):
        for example in doctest.DocTestParser().get_examples(law.__doc__ or ""):
            exec(example.source, names)
    if not seen:
        raise LookupError(f"the docstring of {law.__name__} shows no call of it")
    return tuple(seen)


def _tupled(value: Any) -> Any:
    return tuple(map(_tupled, value)) if isinstance(value, list | tuple) else value


@cache
def _compiled(expression: str) -> CodeType:
    return compile(expression, expression, "eval")


def found(expression: str, call: Call) -> Any:
    """What arithmetic on the arguments of a call comes to."""
    return eval(_compiled(expression), {"sum": sum, "len": len}, call.arguments)


def value_of(expression: str, call: Call) -> float:
    """Arithmetic on the arguments of a call; NaN where there is none, as over zero."""
    try:
        return float(found(expression, call))
    except ZeroDivisionError:
        return math.nan


def _number(expression: str, call: Call) -> bool:
    try:
        return isinstance(found(expression, call), int | float)
    except IndexError:
        return False


def each(bound: Bound, call: Call) -> list[str]:
    """The expressions that a bound speaks of: one, or as many as there are things for its `[*]`."""
    spoken = [bound.of]
    while spoken and "[*]" in spoken[0]:
        spoken = [
            one.replace("[*]", f"[{at}]", 1)
            for one in spoken
            for at in range(len(found(one.partition("[*]")[0].rpartition(" ")[2], call)))
        ]
    return [one for one in spoken if found(one, call) is not None]


def ends(bound: Bound, call: Call) -> tuple[float, float]:
    """Low and high of a bound for a call."""
    low, high = (value_of(end, call) if isinstance(end, str) else end for end in (bound.low, bound.high))
    return low, high


def holds(bound: Bound, call: Call) -> bool:
    """Whether a call keeps within a bound."""
    if bound.choices:
        return True  # words and whole numbers, not moved here
    low, high = ends(bound, call)
    return all(low <= value_of(one, call) <= high for one in each(bound, call))


@cache
def places(law: Callable[..., Any], expression: str) -> tuple[Place, ...]:
    """The numbers of a law's worked example that an expression rests on."""
    call = next(call for call in calls(law) if _number(expression, call))
    before = value_of(expression, call)
    return tuple(
        place
        for name, argument in call.arguments.items()
        for place in _numbers(argument, (name,))
        if value_of(expression, call.put(place, call.at(place) * 1.001 + 1e-3)) != before
    )


def _numbers(argument: Any, place: Place) -> Iterator[Place]:
    if isinstance(argument, tuple):
        for at, part in enumerate(argument):
            yield from _numbers(part, (*place, at))
    elif isinstance(argument, int | float | np.ndarray) and not isinstance(argument, bool):
        yield place


def elsewhere(call: Call, bounds: tuple[Bound, ...], draw: random.Random) -> Call:
    """The call with its numbers drawn anew from what is stated of each alone."""
    for bound in bounds:
        for one in () if bound.choices else each(bound, call):
            rests = places(call.law, one)
            low, high = ends(bound, call)
            if len(rests) == 1 and value_of(one, call) == call.at(rests[0]) and low <= high:
                call = call.put(rests[0], drawn(low, high, draw))
    return call


def mended(call: Call, bounds: Iterable[Bound], kept: Place, draw: random.Random) -> Call:
    """The call with numbers moved, all but one, to where bounds on several of them hold."""
    for bound in bounds:
        for one in () if holds(bound, call) else each(bound, call):
            rests = [place for place in places(call.law, one) if place != kept]
            low, high = ends(bound, call)
            if rests and low <= high:
                call = moved_to(call, one, draw.choice(rests), drawn(low, high, draw)) or call
    return call


def drawn(low: float, high: float, draw: random.Random) -> float:
    """A number between ends, now and then one of them; by size where these lie far apart."""
    low, high = max(low, -1e12), min(high, 1e12)
    if draw.random() < 0.3:
        return draw.choice((low, high))
    if low >= 0 and high > 1000 * max(low, 1e-9):
        return float(min(max(high * 10 ** -draw.uniform(0, 12), low), high))
    return draw.uniform(low, high)


def moved_to(call: Call, expression: str, place: Place, wanted: float) -> Call | None:
    """The call with one number moved until an expression comes to what is wanted; None where it never does."""
    now = call.at(place)
    if value_of(expression, call) == now:
        return call.put(place, wanted)

    def miss(number: float) -> float:
        return value_of(expression, call.put(place, number)) - wanted

    straight = miss(now), miss(2 * now + 1)
    if straight[0] != straight[1]:
        guess = now - straight[0] * (now + 1) / (straight[1] - straight[0])
        if abs(miss(guess)) <= max(1e-9 * abs(wanted), 1e-10):
            return call.put(place, guess)
    steps = sorted({now, 0.0, *(sign * 10.0**power for power in range(-9, 14) for sign in (1, -1))})
    misses = [miss(step) for step in steps]
    for at, (less, more) in enumerate(pairwise(misses)):
        if less * more <= 0:
            low, high = steps[at], steps[at + 1]
            for _ in range(90):
                middle = (low + high) / 2
                low, high = (middle, high) if less * miss(middle) > 0 else (low, middle)
            if abs(miss(high)) <= max(1e-9 * abs(wanted), 1e-10):
                return call.put(place, high)
    return None


def takes_arrays(law: Law) -> bool:
    """Whether a law gives numbers for plain numbers, and so takes arrays too unless it says it does not."""
    shape = _signature(law.function)
    plain = all(
        parameter.annotation in (float, Any, int, str, Composition) for parameter in shape.parameters.values()
    )
    gives = shape.return_annotation in (float, Any) or "tuple[" in str(shape.return_annotation)
    numbers = any(parameter.annotation in (float, Any) for parameter in shape.parameters.values())
    return plain and numbers and gives and "arrays" not in parts(law.function).get("Not for", "")


def draws(law: Law, count: int) -> Call:
    """A call with arrays: numbers a little off those of the worked example, all within the law's range."""
    call, draw = worked(law.function), np.random.default_rng(3)
    for name, argument in call.arguments.items():
        if _signature(law.function).parameters[name].annotation in (float, Any):
            for place in _numbers(argument, (name,)):
                call = call.put(place, call.at(place) * draw.uniform(0.9, 1.1, 4 * count))
    inside = np.ones(4 * count, dtype=bool)
    for bound in law.bounds:
        if not bound.choices:
            low, high = (found(end, call) if isinstance(end, str) else end for end in (bound.low, bound.high))
            for one in each(bound, call):
                inside &= (low <= found(one, call)) & (found(one, call) <= high)
    return row(call, np.flatnonzero(inside)[:count])


def row(call: Call, at: Any) -> Call:
    """Of a call with arrays, the one with what stands at a place of each, or at several."""
    for name, argument in call.arguments.items():
        for place in _numbers(argument, (name,)):
            if isinstance(many := call.at(place), np.ndarray):
                call = call.put(place, many[at] if isinstance(at, np.ndarray) else float(many[at]))
    return call
