"""What laws share: refusing what is outside their range, saying how sure they are, lesser and greater of numbers
or arrays."""

from collections.abc import Callable
from typing import Any, TypeAlias, TypeVar

import numpy as np

Ends: TypeAlias = Callable[..., tuple[Any, Any]]
"""Low and high of a law, from its value and its arguments."""
_Law = TypeVar("_Law", bound=Callable[..., Any])


def sure_to(ends: Ends) -> Callable[[_Law], _Law]:
    """Say how sure a law is by itself, as its `Spread` tells; what its arguments leave open comes on top.

    It stands in the law's `spread`, where a conclusion drawn with the law looks for it.

    >>> @sure_to(share(0.15))
    ... def half(mass_g: float) -> float:
    ...     return mass_g / 2
    >>> half.spread(half(200.0), 200.0)
    (85.0, 115.0)
    """

    def of(law: _Law) -> _Law:
        vars(law)["spread"] = ends
        return law

    return of


def share(down: float, up: float | None = None) -> Ends:
    """Ends that lie a share of the value under and over it; as much over as under if not told.

    >>> share(0.05, 0.0)(2.0)
    (1.9, 2.0)
    """

    def ends(value: Any, *_: Any) -> tuple[Any, Any]:
        return value - down * abs(value), value + (down if up is None else up) * abs(value)

    return ends


def margin(by: float) -> Ends:
    """Ends that lie so much under and over the value, in its unit.

    >>> margin(0.5)(98.0)
    (97.5, 98.5)
    """
    return lambda value, *_: (value - by, value + by)


def factor(by: float) -> Ends:
    """Ends that are so many times less and more than the value.

    >>> factor(1.5)(3.0)
    (2.0, 4.5)
    """
    return lambda value, *_: (value / by, value * by)


def within(what: str, value: Any, low: Any, high: Any, unit: str = "") -> None:
    """Refuse a number (or an array holding one) outside `low` to `high`, ends included; NaN is outside.

    The ends may be arrays too; the sentence tells of the first place that is outside.

    Errors: ValueError with a sentence naming the quantity, its value and its range.

    >>> within("mix temperature", 25.0, 0.0, 100.0, "C")
    >>> within("mix temperature", 140.0, 0.0, 100.0, "C")
    Traceback (most recent call last):
    ...
    ValueError: mix temperature is 140 C; the law holds from 0 to 100 C
    >>> within("polyols", np.array([5.0, 9.0]), 0.0, np.array([6.0, 8.0]), "g")
    Traceback (most recent call last):
    ...
    ValueError: polyols is 9 g; the law holds from 0 to 8 g
    """
    inside = (value >= low) & (value <= high)
    if inside is True or (inside is not False and inside.all()):
        return
    first = int(np.argmin(inside))
    said, least, most = (float(each.flat[first]) for each in np.broadcast_arrays(value, low, high))
    unit = f" {unit}" if unit else ""
    raise ValueError(f"{what} is {said:g}{unit}; the law holds from {least:g} to {most:g}{unit}")


def lesser(a: float, b: float) -> float:
    """The smaller of two numbers, or of two arrays place by place.

    >>> lesser(2.0, 3.0), lesser(np.array([1.0, 4.0]), 3.0).tolist()
    (2.0, [1.0, 3.0])
    """
    if isinstance(a, int | float) and isinstance(b, int | float):
        return min(a, b)
    return np.minimum(a, b)


def greater(a: float, b: float) -> float:
    """The larger of two numbers, or of two arrays place by place.

    >>> greater(2.0, 3.0), greater(np.array([1.0, 4.0]), 3.0).tolist()
    (3.0, [3.0, 4.0])
    """
    if isinstance(a, int | float) and isinstance(b, int | float):
        return max(a, b)
    return np.maximum(a, b)
