"""Faults are values: where, what is wrong, how to mend. Readers return all of them at once."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Kind = Literal["not understood", "not possible", "ambiguous"]


@dataclass(frozen=True, slots=True)
class Place:
    """Where something was read: a file (or "as typed") and a line in it, counted from 1.

    >>> str(Place("rules/diets/vegan.yaml", 7))
    'rules/diets/vegan.yaml:7'
    """

    source: str
    line: int | None = None

    def __str__(self) -> str:
        return self.source if self.line is None else f"{self.source}:{self.line}"


@dataclass(frozen=True, slots=True)
class Fault:
    """Something to mend. `stops` says that nothing can be done until it is mended.

    `choices` are what the person may have meant, best first, to be offered numbered.

    >>> print(Fault(Place("rolls.yaml", 4), '"floor" is no ingredient I know', "write flour").sentence)
    rolls.yaml:4: "floor" is no ingredient I know; to mend: write flour
    """

    where: Place
    what: str
    mend: str
    stops: bool = True
    kind: Kind = "not understood"
    choices: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """One line: where, what, how to mend."""
        return f"{self.where}: {self.what}; to mend: {self.mend}" if self.mend else f"{self.where}: {self.what}"


def own_slip(error: Exception) -> str:
    """A mistake of the program's own, in words for who meets it.

    >>> own_slip(KeyError("rye"))
    "a mistake of the program's own (KeyError 'rye')"
    """
    return f"a mistake of the program's own ({type(error).__name__} {error})"


def stopping(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Those faults that leave nothing to go on with."""
    return tuple(fault for fault in faults if fault.stops)
