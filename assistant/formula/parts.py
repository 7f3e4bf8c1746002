"""Parts of a recipe: which of them is the dough, what bakes in or on it, and what goes on once it is baked.

What headings mean stands in the rulebook; where a heading leaves it open, the method decides.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache

from assistant.formula.model import Formula, Line, Step
from assistant.rulebook.model import PartKind, Rulebook

DOUGH, INSIDE, ON_TOP, AFTER = "as dough", "inside", "on top", "after"
"""When a part meets the oven, as the rulebook says it."""
HEADINGS = 256
"""Headings remembered: a recipe's are asked for again and again."""
WHOLE = "whole"
"""The part that a heading for lines of no part names: "For the whole:"."""


def parts_of(formula: Formula) -> tuple[str, ...]:
    """The parts in the order of their lines; () where no line names one.

    >>> parts_of(Formula("Buns", "", (Line("flour", None, 300.0, part="dough"), Line("sugar", None, 90.0, part="icing"))))
    ('dough', 'icing')
    """
    named = tuple(dict.fromkeys(line.part for line in formula.lines))
    return named if any(named) else ()


def weights_of(formula: Formula) -> Mapping[str, float]:
    """What each part weighs, g, as far as its masses are known; empty where there are no parts."""
    lines = formula.lines
    return {part: sum(line.grams or 0.0 for line in lines if line.part == part) for part in parts_of(formula)}


def kind_of_part(part: str, book: Rulebook) -> PartKind | None:
    """What kind of part a heading names: by the last of the rulebook's words in it; None when none stands there."""
    known: dict[str, PartKind | None] = book.remembered.setdefault(__name__, {})
    if part not in known:
        if len(known) >= HEADINGS:
            known.clear()
        known[part] = _kind_of_part(part, book)
    return known[part]


def _kind_of_part(part: str, book: Rulebook) -> PartKind | None:
    said = " ".join(_singular(word) for word in part.lower().partition(" for ")[0].split())
    best: tuple[int, int, PartKind] | None = None
    for _, kind in sorted(book.parts.items()):
        for word in kind.words:
            for found in re.finditer(rf"\b{re.escape(word)}\b", said):
                if best is None or (found.end(), len(word)) > best[:2]:
                    best = found.end(), len(word), kind
    return None if best is None else best[2]


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def baked_when(formula: Formula, book: Rulebook) -> Mapping[str, str]:
    """For each part when it meets the oven: with or as the dough, inside, on top, or after."""
    return {part: _when(part, formula, book) for part in parts_of(formula)}


def _when(part: str, formula: Formula, book: Rulebook) -> str:
    kind = kind_of_part(part, book) if part else None
    if kind is None:
        return DOUGH
    bakes = [at for at, step in enumerate(formula.steps) if step.kind == "bake"]
    if kind.firm or not bakes:
        return kind.baked
    words = "|".join(map(re.escape, sorted({part, *(w for w in kind.words if w in part)}, key=len, reverse=True)))
    named = re.compile(rf"\b(?:{words})s?\b", re.IGNORECASE)
    lines = {at for at, line in enumerate(formula.lines) if line.part == part}
    spoken = [
        at
        for at, step in enumerate(formula.steps)
        if step.part == part or lines & set(step.uses) or named.search(step.text)
    ]
    if spoken and spoken[0] > bakes[-1]:
        return AFTER
    if spoken and spoken[-1] <= bakes[-1] and kind.baked == AFTER:
        return ON_TOP
    return kind.baked


@lru_cache(maxsize=256)
def _places(parts: tuple[str, ...], steps: tuple[Step, ...], digest: str, held: "_Held") -> tuple[frozenset[int], frozenset[int]]:
    """Places of the lines of the dough, and of those that go into the oven."""
    formula = Formula("", "", tuple(Line("", None, None, part=part) for part in parts), steps)
    when = baked_when(formula, held.book)
    baked = frozenset(at for at, part in enumerate(parts) if when[part] != AFTER) or frozenset(range(len(parts)))
    dough = frozenset(at for at, part in enumerate(parts) if when[part] == DOUGH)
    return dough or baked, baked


class _Held:
    """A rulebook as a key: the digest says whether it is the same."""

    __slots__ = ("book",)

    def __init__(self, book: Rulebook) -> None:
        self.book = book

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)


def _told(formula: Formula, book: Rulebook) -> tuple[frozenset[int], frozenset[int]]:
    if not parts_of(formula):
        every = frozenset(range(len(formula.lines)))
        return every, every
    return _places(tuple(line.part for line in formula.lines), formula.steps, book.digest, _Held(book))


def dough_places(formula: Formula, book: Rulebook) -> frozenset[int]:
    """Places of the lines that make up the dough: all of them where no part says otherwise. A recipe without
    a dough has as its dough all that is baked."""
    return _told(formula, book)[0]


def oven_places(formula: Formula, book: Rulebook) -> frozenset[int]:
    """Places of the lines that go into the oven: the dough, and what bakes in or on it."""
    return _told(formula, book)[1]


def only(formula: Formula, places: Iterable[int]) -> Formula:
    """The formula as if it had no other lines; their places stay, empty, and their steps go.

    Where a line stays away, so do the steps after the last bake: they finish what is no part of this.
    """
    kept = frozenset(places)
    if len(kept) == len(formula.lines):
        return formula
    lines = tuple(line if at in kept else _absent(line) for at, line in enumerate(formula.lines))
    return replace(formula, lines=lines, steps=_steps(formula.steps, tuple(line.part for line in lines), kept))


def _absent(line: Line) -> Line:
    """A line of which nothing is there."""
    return Line(line.name, None, 0.0, None, "", line.note, line.part, None, None, line.confidence, line.text)


@lru_cache(maxsize=256)
def _steps(steps: tuple[Step, ...], parts: tuple[str, ...], kept: frozenset[int]) -> tuple[Step, ...]:
    """The steps of these places alone."""
    named = {parts[at] for at in kept}
    bakes = [at for at, step in enumerate(steps) if step.kind == "bake"]
    found = []
    for at, step in enumerate(steps):
        uses = tuple(use for use in step.uses if use in kept)
        elsewhere = (step.uses and not uses) or (not step.uses and step.part and step.part not in named)
        if not elsewhere and not (bakes and at > bakes[-1]):
            found.append(replace(step, uses=uses))
    return tuple(found)


def dough_of(formula: Formula, book: Rulebook) -> Formula:
    """The dough alone: what chemistry, water, baker's percentages and crumb are told of."""
    return only(formula, dough_places(formula, book))


def oven_of(formula: Formula, book: Rulebook) -> Formula:
    """What goes into the oven: what bake and weight loss are told of."""
    return only(formula, oven_places(formula, book))


def part_named(words: str, formula: Formula, book: Rulebook) -> frozenset[int]:
    """Places of the lines of the part that words mean ("icing", "the lemon icing", "dough"); empty when no part,
    or several, may be meant."""
    said = re.sub(r"^(?:for |in )?(?:the |my |our )?", "", words.lower().strip())
    said = " ".join(_singular(word) for word in said.split())
    found = {part: " ".join(_singular(word) for word in part.split()) for part in parts_of(formula) if part}
    exact = [part for part, plain in found.items() if plain == said]
    ending = exact or [part for part, plain in found.items() if plain.endswith(f" {said}") or said.endswith(f" {plain}")]
    if len(ending) == 1:
        return frozenset(at for at, line in enumerate(formula.lines) if line.part == ending[0])
    kind = kind_of_part(said, book)
    if not ending and found and kind is not None and kind.baked == DOUGH:
        return dough_places(formula, book)
    return frozenset()
