"""Why a bake went wrong: what the numbers of the recipe say first, then what a baker looks at.

Which numbers tell of what, and from where on, stands in the rulebook.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.plan.functions import Context
from assistant.plan.model import Assessment, Option, Why
from assistant.rulebook.model import Band, Cause, Rulebook, Trouble
from assistant.words.derivation import Derivation

LEAVENER_PCT, LEAVENERS = "leavener_pct", "chemical-leavener"
"""The one number of a cause that no derivation holds, and the class it is the share of."""
GENERAL = "Say how it felt, looked or tasted: gummy, dense, dry, crumbly, sour, soapy, pale, burnt, green."
"""What is said of a trouble nobody knows."""
SEEN, POSSIBLE = "the numbers point to a cause", "nothing in the numbers; these are the usual causes"
"""Verdicts."""


@dataclass(frozen=True, slots=True)
class _Case:
    """What a cause is judged from."""

    here: Assessment
    option: Option | None
    context: Context

    def number(self, name: str) -> Derivation | None:
        """A number of the dough or of its bake; None where it is not told."""
        for found in (self.here.chemistry, None if self.option is None else self.option.bake):
            derivation = getattr(found, name, None)
            if isinstance(derivation, Derivation) and derivation.value is not None:
                return derivation
        return None

    def value(self, name: str) -> float | None:
        """The same as a plain number, with the share of the leaveners among them."""
        if name == LEAVENER_PCT:
            return self.context.share_pct(LEAVENERS)
        derivation = self.number(name)
        return None if derivation is None else float(derivation.value)


def diagnose(here: Assessment, option: Option | None, trouble: str, book: Rulebook) -> Why:
    """Likely causes of a trouble, those that the numbers of this recipe show before the usual ones.

    `trouble` is a name of the trade ("gummy", "dense" ...); one that is not known gets the general advice.
    """
    case = _Case(here, option, Context(here.formula, book).dough)
    known = next((t for t in book.troubles.values() if t.name == trouble), Trouble("", trouble, usual=(GENERAL,)))
    found = [(cause, said) for cause in _causes(known, book) if (said := _said(cause, case, book))]
    numbers = dict.fromkeys(d for cause, _ in found for d in _told(cause, case))
    cited = [e.source for evidence in (known.evidence, *(c.evidence for c, _ in found)) for e in evidence]
    sources = dict.fromkeys((*(key for d in numbers for key in d.evidence), *cited))
    answer = (*(said for _, said in found), *known.usual)
    return Why(trouble, SEEN if found else POSSIBLE, answer, tuple(numbers), tuple(sources))


def _causes(trouble: Trouble, book: Rulebook) -> Iterable[Cause]:
    return (book.causes[cause] for cause in trouble.causes)


def _said(cause: Cause, case: _Case, book: Rulebook) -> str:
    """What is said of a cause where it holds here; "" where it does not."""
    if cause.raised_by and case.context.raised_by != cause.raised_by:
        return ""
    if cause.baked and case.number("core_c") is None:
        return ""
    if cause.number and not _shows(cause, case):
        return ""
    if cause.reactions:
        names = tuple(f"{book.reactions[each].name}:" for each in cause.reactions)
        return next((text for text in case.here.cautions if text.startswith(names)), "")
    return cause.says


def _shows(cause: Cause, case: _Case) -> bool:
    """Whether a number is as its cause has it."""
    value = case.value(cause.number)
    if value is None:
        return False
    if cause.comparison is not None:
        return cause.comparison.holds(value)
    band: Band | None = getattr(case.context.product, cause.band, None)
    if band is None:
        return False
    return value > band.high if cause.end == "high" else value < band.low


def _told(cause: Cause, case: _Case) -> Iterable[Derivation]:
    """The numbers that a cause is told with."""
    names = (cause.number, *cause.tells) if cause.number else cause.tells
    return (found for name in names if (found := case.number(name)) is not None)
