"""Parts of a recipe in what a person types: "double the icing", "swap the butter in the icing for oil".

The part is taken out of the words, and what is then understood is about that part alone.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from assistant.formula.model import Line
from assistant.talk.request import Clarify, Explain, Replace, Request, Scale, WhatIf

DOUGH = "dough"
"""What the part is called that a recipe's other parts go in, on or over."""


@dataclass(frozen=True, slots=True)
class Portion:
    """Words without the part they spoke of; `whole` where they are about the part itself, not a line in it."""

    words: str
    part: str
    whole: bool


def portions_in(text: str, lines: Sequence[Line]) -> Iterator[Portion]:
    """Ways to read a text as one about a part of the recipe; none where it has no parts, or speaks of none.

    >>> lines = (Line("flour", None, 300.0, part="dough"), Line("sugar", None, 90.0, part="lemon icing"))
    >>> [(p.words, p.part, p.whole) for p in portions_in("swap the sugar in the icing for honey", lines)]
    [('swap the sugar for honey', 'lemon icing', False)]
    >>> [p.words for p in portions_in("scale the dough to 900 g", lines)]
    ['scale it to 900 g', 'scale the recipe to 900 g', 'scale to 900 g']
    """
    called = _called(lines)
    if not called:
        return
    names = "|".join(map(re.escape, sorted(called, key=lambda name: (-len(name), name))))
    within = re.search(rf"\s+(?:in|for|of|from)\s+(?:the|my|our)\s+(?P<name>{names})\b(?!\s+[a-z]*(?:sugar|flour))", text, re.IGNORECASE)
    if within is not None:
        yield Portion(text[: within.start()] + text[within.end() :], called[within["name"].lower()], False)
    about = re.search(
        rf"\b(?:of\s+)?(?:(?:the|my|our)\s+)?(?P<name>{names})(?=\s*(?:$|[.!?]|(?:to|by|x|times|twice|up|down|please|again|in half)\b))",
        text,
        re.IGNORECASE,
    )
    if about is not None:
        for stand_in in ("it", "the recipe", ""):
            words = " ".join(f"{text[: about.start()]}{stand_in}{text[about.end() :]}".split())
            yield Portion(words, called[about["name"].lower()], True)


def _called(lines: Iterable[Line]) -> dict[str, str]:
    """What the parts may be called: by their whole name, or its last word where no other part ends so."""
    parts = list(dict.fromkeys(line.part for line in lines if line.part))
    last = [part.split()[-1] for part in parts]
    called = {DOUGH: DOUGH} if parts else {}
    called |= {word: part for word, part in zip(last, parts, strict=True) if last.count(word) == 1}
    return called | {part: part for part in parts}


def of_portion(request: Request, portion: Portion) -> Request | None:
    """A request made about a part alone; None where that makes no sense."""
    match request:
        case Scale(pieces=None, piece_g=None) if portion.whole:
            return replace(request, part=portion.part)
        case Scale(pieces=None, piece_g=float(grams)) if portion.whole and "each" not in portion.words:
            return Scale(total_g=grams, part=portion.part)
        case Replace() | WhatIf() | Explain() if not portion.whole:
            return replace(request, part=portion.part)
        case Clarify(choices, requests) if not portion.whole:
            told = [of_portion(each, portion) for each in requests]
            return Clarify(choices, tuple(each for each in told if each is not None)) if all(told) else None
        case _:
            return None
