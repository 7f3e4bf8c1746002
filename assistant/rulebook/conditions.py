"""Comparisons that rules write as text: ">= 3", "<= 15 min", "< 2", "3..5", "== 1"."""

import re
from dataclasses import dataclass
from functools import lru_cache

_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_RANGE = re.compile(rf"\s*({_NUMBER})\s*\.\.\s*({_NUMBER})\s*([A-Za-z%°]*)\s*")
_SINGLE = re.compile(rf"\s*(>=|<=|==|>|<)\s*({_NUMBER})\s*([A-Za-z%°]*)\s*")
_SLACK = 1e-9
"""Relative slack at an end that belongs to the range, so that 0.1 + 0.2 is still "<= 0.3"."""
_WORDS = {">=": "at least", ">": "above", "<=": "at most", "<": "below"}


@dataclass(frozen=True, slots=True)
class Comparison:
    """A range that a number must lie in; an end that is None is open-ended.

    `low_in` and `high_in` say whether the end itself belongs to it; `unit` is what was written behind
    the number, without any conversion.
    """

    low: float | None
    high: float | None
    low_in: bool = True
    high_in: bool = True
    unit: str = ""

    @staticmethod
    def parse(text: str) -> "Comparison":
        """Read a comparison; both ends of "3..5" belong to it.

        Errors: ValueError with a sentence when the text is none, or its ends are the wrong way round.

        >>> Comparison.parse(">= 3").holds(3.0), Comparison.parse("< 2").holds(2.0)
        (True, False)
        >>> print(Comparison.parse("<= 15 min"), "|", Comparison.parse("3..5"), "|", Comparison.parse("== 1"))
        at most 15 min | 3 to 5 | 1
        >>> Comparison.parse("about 3")
        Traceback (most recent call last):
        ...
        ValueError: "about 3" is no comparison; write one like ">= 3", "< 2", "== 1", "<= 15 min" or "3..5"
        """
        return _parsed(text)

    def holds(self, value: float) -> bool:
        """Whether a number lies in the range; NaN never does.

        >>> Comparison.parse("8..14 g").holds(0.1 * 80), Comparison.parse("> 7.5").holds(7.5)
        (True, False)
        """
        low, high = self.low, self.high
        slack = _SLACK * max(1.0, abs(value))
        return (low is None or (value >= low - slack if self.low_in else value > low + slack)) and (
            high is None or (value <= high + slack if self.high_in else value < high - slack)
        )

    def scaled(self, factor: float, unit: str = "") -> "Comparison":
        """The same range in another unit, `factor` of which make up one of this.

        >>> print(Comparison.parse("<= 2 h").scaled(60, "min"))
        at most 120 min
        """
        low, high = (None if end is None else end * factor for end in (self.low, self.high))
        return Comparison(low, high, self.low_in, self.high_in, unit)

    def __str__(self) -> str:
        """In words, with its unit."""
        unit = f" {self.unit}" if self.unit else ""
        if self.low is not None and self.high is not None:
            return f"{self.low:g}{unit}" if self.low == self.high else f"{self.low:g} to {self.high:g}{unit}"
        if self.low is not None:
            return f"{_WORDS['>=' if self.low_in else '>']} {self.low:g}{unit}"
        return f"{_WORDS['<=' if self.high_in else '<']} {self.high:g}{unit}"


@lru_cache(maxsize=1024)
def _parsed(text: str) -> Comparison:
    if (found := _RANGE.fullmatch(text)) is not None:
        low, high = float(found[1]), float(found[2])
        if low > high:
            raise ValueError(f'"{text}" runs from {low:g} down to {high:g}; write the smaller end first')
        return Comparison(low, high, unit=found[3])
    if (found := _SINGLE.fullmatch(text)) is None:
        raise ValueError(
            f'"{text}" is no comparison; write one like ">= 3", "< 2", "== 1", "<= 15 min" or "3..5"'
        )
    sign, end, unit = found[1], float(found[2]), found[3]
    return Comparison(
        low=end if sign in (">", ">=", "==") else None,
        high=end if sign in ("<", "<=", "==") else None,
        low_in=sign != ">",
        high_in=sign != "<",
        unit=unit,
    )
