"""A formula made larger or smaller: by a factor, to a number of pieces, a piece's weight or a total; or one part
of it alone.

Every line is multiplied alike, so baker's percentages stay as they are; whatever a kitchen can't do with
the result (half an egg, a tenth of a gram) is said, never rounded away.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil, floor, gcd, isfinite

from assistant.formula.model import Formula, Line
from assistant.formula.parts import dough_places, only, oven_places, parts_of
from assistant.formula.recognise import ingredients_of
from assistant.formula.resolve import measures_of
from assistant.formula.retell import retold
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.faults import Fault, Place
from assistant.words.units import (
    cook_number,
    exact_number,
    grams_text,
    in_ml,
    kind_of,
    kitchen_measure,
    kitchen_number,
    ounces,
    read_number,
    unit_text,
)

KITCHEN_SCALE_G = 1.0
"""What an ordinary kitchen scale shows, g. Source: common practice."""
FINE_SCALE_G = 0.1
"""What a fine scale shows, g. Source: common practice."""
LARGEST_FACTOR = 1000.0
FLOURS = ("flour", "starch")
"""Classes that make up the 100 % of baker's percentages."""
WHOLE = ("egg", "egg-part")
"""Classes of what is cracked and not weighed: half of one is a nuisance."""
_NEARLY = 0.02
SMALLEST_SPOON_ML = 0.6
"""An eighth of a teaspoon, the smallest spoon of a common set, ml. Source: common practice."""


@dataclass(frozen=True, slots=True)
class Scaled:
    """A scaled formula, the factor that made it, and what to know about it.

    `formula` is None when it can't be scaled so; a fault then says why.
    """

    formula: Formula | None
    factor: float | None
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Portions:
    """Dough in all and per piece; the piece is None without a yield. g and oz are the same mass."""

    dough_g: float
    pieces: int | None
    piece_g: float | None
    piece_oz: float | None


def portions(formula: Formula) -> Portions:
    """Portion figures of a formula, from its known masses.

    >>> rolls = Formula("Rolls", "", (Line("flour", None, 500.0), Line("water", None, 300.0)), pieces=8)
    >>> figures = portions(rolls)
    >>> figures.dough_g, figures.piece_g, round(figures.piece_oz, 2)
    (800.0, 100.0, 3.53)
    """
    piece_g = formula.piece_g
    return Portions(formula.dough_g, formula.pieces, piece_g, None if piece_g is None else ounces(piece_g))


def flour_g(formula: Formula, book: Rulebook) -> float:
    """Weight of the flours and starches of the dough, g: the 100 % of baker's percentages."""
    return _flours(only(formula, dough_places(formula, book)), book)


def _flours(formula: Formula, book: Rulebook) -> float:
    return sum(
        line.grams
        for line, ingredient in _found(formula, book)
        if line.grams is not None and ingredient is not None and _is_any(ingredient, FLOURS)
    )


def bakers_percentages(formula: Formula, book: Rulebook) -> tuple[float | None, ...]:
    """Each line's mass over the flour weight, in %: that of the dough, or of the line's own part where that is no
    dough. None for an unknown mass or without flours."""
    dough = dough_places(formula, book)
    bodies = [dough, *(_of_part(part, formula) - dough for part in parts_of(formula))]
    shares: list[float | None] = [None] * len(formula.lines)
    for places in bodies:
        flours = _flours(only(formula, places), book)
        for at in places if flours > 0 else ():
            grams = formula.lines[at].grams
            shares[at] = None if grams is None else 100 * grams / flours
    return tuple(shares)


def _of_part(part: str, formula: Formula) -> frozenset[int]:
    return frozenset(at for at, line in enumerate(formula.lines) if line.part == part)


def scale(formula: Formula, factor: float, book: Rulebook, shows_g: float = KITCHEN_SCALE_G) -> Scaled:
    """Everything times a factor. The pieces keep their weight, as nearly as a whole number of them allows.

    `shows_g` is the smallest step of the scale in the kitchen, g.
    """
    refused = _refused(factor)
    if refused is not None:
        return Scaled(None, None, (refused,))
    pieces = formula.pieces
    faults: list[Fault] = []
    if pieces is not None:
        exact = pieces * factor
        pieces = max(1, floor(exact + 0.5))
        if abs(exact - pieces) > 1e-6:
            faults.append(
                Fault(
                    _PLACE,
                    f"{exact:.3g} pieces are no whole number, so I count {pieces}",
                    "choose the pieces instead",
                    False,
                )
            )
    return _scaled(formula, factor, pieces, book, shows_g, faults)


def to_pieces(formula: Formula, pieces: int, book: Rulebook, shows_g: float = KITCHEN_SCALE_G) -> Scaled:
    """As much dough as this many pieces of the same weight need."""
    if formula.pieces is None:
        return Scaled(None, None, (_no_yield(formula),))
    if pieces < 1:
        return Scaled(None, None, (_wrong(f"{pieces} is no number of pieces", "choose one or more"),))
    factor = pieces / formula.pieces
    refused = _refused(factor)
    if refused is not None:
        return Scaled(None, None, (refused,))
    return _scaled(formula, factor, pieces, book, shows_g, [])


def to_piece_g(formula: Formula, piece_g: float, book: Rulebook, shows_g: float = KITCHEN_SCALE_G) -> Scaled:
    """As many pieces as before, each of this dough weight, g."""
    before_g = formula.piece_g
    if before_g is None:
        return Scaled(None, None, (_no_yield(formula),))
    if before_g <= 0:
        return Scaled(None, None, (_weightless(formula),))
    factor = piece_g / before_g
    refused = _refused(factor)
    if refused is not None:
        return Scaled(None, None, (refused,))
    faults = []
    if formula.bake is not None and abs(factor - 1) > _NEARLY:
        faults.append(_other_bake(before_g, piece_g))
    return _scaled(formula, factor, formula.pieces, book, shows_g, faults)


def to_total_g(formula: Formula, total_g: float, book: Rulebook, shows_g: float = KITCHEN_SCALE_G) -> Scaled:
    """This much dough in all, g."""
    if formula.dough_g <= 0:
        return Scaled(None, None, (_weightless(formula),))
    return scale(formula, total_g / formula.dough_g, book, shows_g)


def scale_part(
    formula: Formula, places: frozenset[int], factor: float, book: Rulebook, shows_g: float = KITCHEN_SCALE_G
) -> Scaled:
    """The lines in these places times a factor, all others as they are; as many pieces as before."""
    refused = _refused(factor)
    if refused is not None:
        return Scaled(None, None, (refused,))
    lines = tuple(_line(line, factor) if at in places else line for at, line in enumerate(formula.lines))
    scaled = replace(formula, lines=lines)
    own, after = only(formula, places), only(scaled, places)
    steps = tuple(
        retold((step,), own, after, factor if places.issuperset(step.uses) else 1.0)[0] for step in formula.steps
    )
    faults = [*_whole_eggs(own, factor, book), *_too_small(own, after, shows_g), *_by_eye(own)]
    baked = [only(each, oven_places(each, book)).piece_g for each in (formula, scaled)]
    if formula.bake is not None and baked[0] and baked[1] and abs(baked[1] / baked[0] - 1) > _NEARLY:
        faults.append(_other_bake(baked[0], baked[1]))
    return Scaled(replace(scaled, steps=steps), factor, tuple(faults))


def part_to_g(
    formula: Formula, places: frozenset[int], grams: float, book: Rulebook, shows_g: float = KITCHEN_SCALE_G
) -> Scaled:
    """The lines in these places as much as this together, g; all others as they are."""
    before_g = only(formula, places).dough_g
    if before_g <= 0:
        return Scaled(None, None, (_weightless(formula),))
    return scale_part(formula, places, grams / before_g, book, shows_g)


_PLACE = Place("scaling")


def _wrong(what: str, mend: str) -> Fault:
    return Fault(_PLACE, what, mend, kind="not possible")


def _refused(factor: float) -> Fault | None:
    if isfinite(factor) and 0 < factor <= LARGEST_FACTOR:
        return None
    return _wrong(
        f"a recipe can't be made {factor:g} times as large",
        f"choose a factor above 0 and up to {LARGEST_FACTOR:g}",
    )


def _no_yield(formula: Formula) -> Fault:
    return _wrong(
        f"{formula.name} doesn't say how many pieces it makes", "say how many pieces, or scale by a factor"
    )


def _other_bake(before_g: float, after_g: float) -> Fault:
    said = f"the bake was for pieces of {grams_text(before_g)}, and these are {grams_text(after_g)}"
    return Fault(_PLACE, said, "reckon the time anew for this weight", False)


def _weightless(formula: Formula) -> Fault:
    return _wrong(f"no weight of {formula.name} is known", "give grams for its lines")


def _scaled(
    formula: Formula, factor: float, pieces: int | None, book: Rulebook, shows_g: float, faults: list[Fault]
) -> Scaled:
    if factor == 1:
        return Scaled(replace(formula, pieces=pieces), factor, tuple(faults))
    lines = tuple(_line(line, factor) for line in formula.lines)
    scaled = replace(formula, lines=lines, pieces=pieces)
    scaled = replace(scaled, steps=retold(formula.steps, formula, scaled, factor))
    faults += [*_whole_eggs(formula, factor, book), *_too_small(formula, scaled, shows_g), *_by_eye(formula)]
    return Scaled(scaled, factor, tuple(faults))


def altered(line: Line, grams: float, ingredient: Ingredient | None) -> Line:
    """A line set to another mass, g. What was written of it holds no more, so it is told in the measure a cook
    would use, whole pieces where it is counted, and else in grams alone."""
    measures = measures_of(ingredient)
    each = measures.get("each")
    if each is None or not (line.unit == "each" or (ingredient is not None and _is_any(ingredient, WHOLE))):
        found = kitchen_measure(grams, measures)
    else:
        found = (float(round(grams / each)), "each") if _is_whole(grams / each) else None
    amount, unit = found if found is not None and grams > 0 else (None, "")
    note = line.note if line.low_g is None else ", ".join(b for b in line.note.split(", ") if not _RANGE.fullmatch(b))
    return replace(line, grams=grams, amount=amount, unit=unit, note=note, low_g=None, high_g=None, text="")


_RANGE = re.compile(
    r"(?:(?P<times>[\d./ ]+) x )?(?P<low>\d[\d./ ]*) to (?P<high>\d[\d./ ]*?)(?P<unit> [a-z ]+)?"
)


def _line(line: Line, factor: float) -> Line:
    """A line times a factor; the words it was read from no longer hold."""

    def times(value: float | None) -> float | None:
        return None if value is None else kitchen_number(value * factor)

    return replace(
        line,
        grams=times(line.grams),
        amount=times(line.amount),
        low_g=times(line.low_g),
        high_g=times(line.high_g),
        note=line.note
        if line.low_g is None
        else ", ".join(_note(bit, factor) for bit in line.note.split(", ")),
        text="",
    )


def _note(bit: str, factor: float) -> str:
    """A range said in the note ("2 to 3 tbsp") scales with its line."""
    found = _RANGE.fullmatch(bit)
    if found is None:
        return bit
    ends = [read_number(found[end]) for end in ("low", "high")]
    if None in ends:
        return bit
    low, high = (exact_number(kitchen_number(end[0] * factor)) for end in ends if end is not None)
    times = f"{found['times']} x " if found["times"] else ""
    return f"{times}{low} to {high}{found['unit'] or ''}"


def _found(formula: Formula, book: Rulebook) -> Iterable[tuple[Line, Ingredient | None]]:
    return zip(formula.lines, ingredients_of(formula.lines, book), strict=True)


def _is_any(ingredient: Ingredient, classes: tuple[str, ...]) -> bool:
    return any(each in ingredient.classes for each in classes)


def egg_counts(formula: Formula, book: Rulebook) -> tuple[tuple[Line, float], ...]:
    """Lines of eggs or their parts, with how many that is."""
    counts = []
    for line, ingredient in _found(formula, book):
        if ingredient is None or not _is_any(ingredient, WHOLE):
            continue
        each = ingredient.measures.get("each")
        if line.unit == "each" and line.amount is not None:
            counts.append((line, line.amount))
        elif each is not None and line.grams is not None and line.unit == "":
            counts.append((line, line.grams / each.value))
    return tuple(counts)


def workable_factors(formula: Formula, factor: float, book: Rulebook) -> tuple[float, ...]:
    """The factors next to one, below and above, that leave every whole egg whole.

    Without eggs, or when they are not whole to begin with, any factor works: () then.
    """
    whole = [round(count) for _, count in egg_counts(formula, book) if _is_whole(count)]
    if not whole:
        return ()
    common = gcd(*whole)
    below, above = floor(factor * common + 1e-9), ceil(factor * common - 1e-9)
    return tuple(step / common for step in dict.fromkeys((below, above)) if step >= 1)


def _is_whole(count: float) -> bool:
    return round(count) >= 1 and abs(count - round(count)) <= _NEARLY * count


def _whole_eggs(formula: Formula, factor: float, book: Rulebook) -> Iterable[Fault]:
    """What to know when an egg count that was whole no longer is."""
    for line, count in egg_counts(formula, book):
        after = count * factor
        if not _is_whole(count) or _is_whole(after) or cook_number(after).isdigit():
            continue
        ways = tuple(
            f"{each:.4g} times{_pieces_said(formula, each)} ({round(count * each)} of {line.name})"
            for each in workable_factors(formula, factor, book)
        )
        mend = f"scale by {' or by '.join(ways)}"
        if line.grams is not None:
            mend += f", or beat and weigh out {grams_text(line.grams * factor)}"
        yield Fault(_PLACE, f"{line.name} comes to {cook_number(after)}", mend, False, choices=ways)


def _pieces_said(formula: Formula, factor: float) -> str:
    if formula.pieces is None:
        return ""
    made = formula.pieces * factor
    return f", {made:g} pieces" if abs(made - round(made)) < 1e-6 else ""


def _too_small(before: Formula, after: Formula, shows_g: float) -> Iterable[Fault]:
    """Lines that the scale in the kitchen can't show and no spoon measures."""
    for line in after.lines:
        if line.grams is None or not 0 < line.grams < shows_g or _by_spoon(line):
            continue
        finer = (
            "use a fine scale"
            if shows_g > FINE_SCALE_G and line.grams >= FINE_SCALE_G
            else "make a larger batch"
        )
        said = f"{line.grams:.2g} g"
        yield Fault(
            _PLACE,
            f"{line.name} comes to {said}, less than a scale that shows {shows_g:g} g can tell",
            finer,
            False,
        )


def _by_spoon(line: Line) -> bool:
    if line.amount is None or line.unit == "" or kind_of(line.unit) != "volume":
        return False
    return line.amount * in_ml(line.unit) >= SMALLEST_SPOON_ML


def _by_eye(formula: Formula) -> Iterable[Fault]:
    for line in formula.lines:
        if line.grams is not None:
            continue
        if line.amount is None:
            said = f"{line.name} has no amount to scale"
        else:
            amount = f"{cook_number(line.amount)} {unit_text(line.unit, line.amount)}"
            said = f"the weight of {line.name} ({amount}) is unknown, so it is scaled by its amount alone"
        yield Fault(_PLACE, said, "give grams", False)
