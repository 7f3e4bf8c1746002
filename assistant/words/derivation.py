"""Why a number holds: the law or rule that gave it, what it rests on, where that is published.

A value is computed and noted by one call, so the number and its explanation
cannot drift apart. A note-taker that keeps nothing (`BARE`) runs the same laws
and gives the same numbers.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import Any, Final, Literal, get_args

Grade = Literal["measured", "law", "handbook", "derived", "common practice", "from memory"]
GRADES: tuple[Grade, ...] = get_args(Grade)
"""How well something is tested; best first. `law` is regulation."""


@dataclass(slots=True, eq=False)
class Derivation:
    """A conclusion: a claim with its value, and what it was concluded from. Never changed once made.

    That is held by the type checker alone: hundreds are made for a recipe, and a frozen one takes six times as long.

    `unit` is "1" for a pure number and "" for what is no number. `low` and `high` bound the value
    where its sources say how sure it is. `by` is a function's full name, a rule's id, or "stated".
    """

    claim: Final[str]
    value: Final[Any]
    unit: Final[str] = "1"
    by: Final[str] = "stated"
    evidence: Final[tuple[str, ...]] = ()
    grade: Final[Grade] = "derived"
    low: Final[float | None] = None
    high: Final[float | None] = None
    premises: Final[tuple["Derivation", ...]] = ()

    @property
    def known(self) -> bool:
        """Whether there is a value at all: None means unknown and is never zero."""
        return self.value is not None


def stated(claim: str, value: Any, unit: str = "1") -> Derivation:
    """What the recipe or the person says.

    >>> stated("soda", 5.0, "g").by
    'stated'
    """
    return Derivation(claim, value, unit)


def ranged(
    claim: str,
    band: tuple[float, float, float],
    unit: str,
    by: str,
    evidence: tuple[str, ...] = (),
    grade: Grade = "from memory",
) -> Derivation:
    """A weakly known constant: low, usual and high, the name it stands under, and its sources.

    >>> cells = ranged("half-life of cells", (30.0, 45.0, 90.0), "min", "crumb.CELL_HALF_LIFE_MIN")
    >>> cells.value, cells.low, cells.high
    (45.0, 30.0, 90.0)
    """
    low, usual, high = band
    return Derivation(claim, usual, unit, by, evidence, grade, low, high)


class Notes:
    """Applies laws to conclusions, and keeps (or does not keep) what they rest on."""

    def __init__(self, keep: bool = True) -> None:
        self.keep = keep

    def derive(
        self,
        claim: str,
        law: Callable[..., Any],
        *premises: Derivation,
        unit: str = "1",
        evidence: tuple[str, ...] = (),
        grade: Grade = "derived",
        spread: bool = True,
    ) -> Derivation:
        """Apply a law to what is already concluded, and remember having done so.

        The law is called with the premises' values, in order. When premises carry `low` and `high`
        and `spread` is true, each is moved alone and the effects are added in quadrature (first-order
        propagation of independent uncertainties); so is what the law itself leaves open, where it has a
        `spread` that tells low and high from its value and arguments.
        Source of the propagation rule: JCGM 100:2008 (GUM), 5.1.2.

        >>> def twice(mass_g: float) -> float: return 2 * mass_g
        >>> soda = Derivation("soda", 5.0, "g", low=4.5, high=5.5)
        >>> double = Notes().derive("twice the soda", twice, soda, unit="g")
        >>> double.value, double.low, double.high, double.premises[0].claim
        (10.0, 9.0, 11.0, 'soda')
        >>> Notes(keep=False).derive("twice the soda", twice, soda, unit="g").premises
        ()
        """
        values = [premise.value for premise in premises]
        value = law(*values)
        if not self.keep:
            return Derivation(claim, value, unit)
        low, high = _spread(law, values, premises, value) if spread else (None, None)
        return Derivation(
            claim, value, unit, f"{law.__module__}.{law.__name__}", evidence, grade, low, high, premises
        )

    def summed(
        self,
        claim: str,
        total: Callable[..., Any],
        each: Callable[..., Any],
        of_each: str,
        parts: Iterable[tuple[Derivation, ...]],
        unit: str = "1",
    ) -> Derivation:
        """What many alike come to: the law `each` of every part, and the law `total` of them.

        A part is what `each` rests on: after its first premise it is called, as `of_each` has it, and from its
        last it has evidence and grade.

        >>> def times(grams: float, share: float) -> float: return grams * share
        >>> def plus(*parts: float) -> float: return sum(parts)
        >>> parts = [(stated("flour", 100.0, "g"), stated("fat", 0.01)), (stated("oil", 10.0, "g"), stated("fat", 1.0))]
        >>> fat = Notes().summed("fat", plus, times, "fat of the {}", parts, "g")
        >>> fat.value, fat.premises[1].claim, Notes(keep=False).summed("fat", plus, times, "", parts, "g").value
        (11.0, 'fat of the oil', 11.0)
        """
        if not self.keep:
            values = [each(*[premise.value for premise in premises]) for premises in parts]
            return Derivation(claim, total(*values), unit)
        told = [
            self.derive(
                of_each.format(premises[0].claim), each, *premises,
                unit=unit, evidence=premises[-1].evidence, grade=premises[-1].grade,
            )
            for premises in parts
        ]  # fmt: skip
        return self.derive(claim, total, *told, unit=unit)

    def rule(
        self,
        claim: str,
        value: Any,
        rule_id: str,
        *premises: Derivation,
        unit: str = "1",
        evidence: tuple[str, ...] = (),
        grade: Grade = "common practice",
        low: float | None = None,
        high: float | None = None,
    ) -> Derivation:
        """What a rule of the rulebook says, with its evidence."""
        if not self.keep:
            return Derivation(claim, value, unit, low=low, high=high)
        return Derivation(claim, value, unit, rule_id, evidence, grade, low, high, premises)


def _spread(
    law: Callable[..., Any], values: list[Any], premises: tuple[Derivation, ...], value: Any
) -> tuple[float | None, float | None]:
    if not isinstance(value, int | float) or not isfinite(value):
        return None, None
    down = up = 0.0
    moved = False
    for at, premise in enumerate(premises):
        if premise.low is None or premise.high is None or premise.low == premise.high:
            continue
        moved = True
        ends = [_end(law, values, at, end, value) for end in (premise.low, premise.high)]
        down += min(0.0, *(end - value for end in ends)) ** 2
        up += max(0.0, *(end - value for end in ends)) ** 2
    if own := getattr(law, "spread", None):
        moved = True
        least, most = own(value, *values)
        down += (value - least) ** 2
        up += (most - value) ** 2
    return (value - sqrt(down), value + sqrt(up)) if moved else (None, None)


def _end(law: Callable[..., Any], values: list[Any], at: int, end: float, value: float) -> float:
    """The law with one premise moved; an end where the law does not hold tells nothing, and moves nothing."""
    try:
        return float(law(*values[:at], end, *values[at + 1 :]))
    except ValueError:
        return value


FULL = Notes()
BARE = Notes(keep=False)
