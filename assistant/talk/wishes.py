"""Wishes as they are typed on the command line, read into what planning keeps to."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TypeVar

from assistant.formula.model import Formula
from assistant.plan.constraints import Bound, Constraints, contradiction
from assistant.plan.functions import is_any
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names, nearest
from assistant.talk.english import NUTRIENTS, RAISED, by_word
from assistant.words.faults import Fault, Place
from assistant.words.units import read_number, read_quantity

T = TypeVar("T")
UNITS = {"g": {"g": 1.0, "mg": 0.001}, "mg": {"mg": 1.0, "g": 1000.0}, "kcal": {"kcal": 1.0, "kj": 1 / 4.184}}
"""What a figure's unit may be typed in, and how much of its own that is."""
_TARGET = re.compile(
    r"(?P<figure>[a-z_ ]+?)\s*(?P<sign><=|>=|<|>|≤|≥|\bat most\b|\bat least\b|\bunder\b|\bover\b|\bmax\b|\bmin\b)"
    r"\s*(?P<amount>[\d.,/ ]+?)\s*(?P<unit>[a-z]+)?(?:\s+(?:per|a|an)\s+(?P<per>[\w ]+))?",
    re.IGNORECASE,
)
_LEAST = (">", ">=", "≥", "at least", "over", "min")
_HUNDRED = re.compile(r"(?:100|hundred)\s*(?:g|grams?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Typed:
    """Wishes word for word, by the option they were given with. Several may stand in one word, with commas."""

    diet: Sequence[str] = ()
    without: Sequence[str] = ()
    have: Sequence[str] = ()
    keep: Sequence[str] = ()
    target: Sequence[str] = ()
    set: Sequence[str] = ()
    price: Sequence[str] = ()
    raised: str | None = None
    newest: int | None = None
    cost: float | None = None


class _Refused(Exception):
    def __init__(self, option: str, said: str, what: str, mend: str) -> None:
        super().__init__(said)
        self.fault = Fault(Place(f"--{option} {said}".rstrip() if option else "adapt"), what, mend)


def constraints_of(
    typed: Typed, book: Rulebook, names: Names, lines: Iterable[str] = ()
) -> Constraints | Fault:
    """The wishes by rules id, or what is wrong with the first that can't be read.

    `lines` are the names of the recipe's lines where there is one recipe: a line the rulebook does not know
    can be kept, set or left out by its name.

    >>> from assistant.rulebook.read import load
    >>> book, _ = load()
    >>> found = constraints_of(Typed(diet=["vegan"], target=["net carbs <= 5 g"]), book, Names(book))
    >>> found.diets, str(found.bounds[0])
    (('vegan',), 'net carbs at most 5 g per piece')
    >>> constraints_of(Typed(diet=["vegn"]), book, Names(book)).sentence
    '--diet vegn: there is no such diet; to mend: did you mean vegan?'
    """
    try:
        return _read(typed, book, _Reader(book, names, tuple(lines)))
    except _Refused as refused:
        return refused.fault


def _read(typed: Typed, book: Rulebook, reader: "_Reader") -> Constraints:
    allergens = {said: reader.names.allergen(said) for said in _each(typed.without)}
    found = Constraints(
        diets=_once(reader.diet(said) for said in _each(typed.diet)),
        allergens=_once(ident for ident in allergens.values() if ident),
        without=_once(reader.thing("without", said) for said, allergen in allergens.items() if not allergen),
        have=_once(reader.thing("have", said) for said in _each(typed.have)),
        keep=_once(reader.thing("keep", said) for said in _each(typed.keep)),
        amounts=_amounts(typed.set, reader),
        bounds=_once(_bound(said) for said in typed.target),
        raised=_raised(typed.raised),
        newest=typed.newest,
        prices=dict(reader.price(said) for said in typed.price),
        cost=_cost(typed.cost),
    )
    clash = contradiction(found, book)
    if clash:
        raise _Refused("", "", clash, "drop one of the two wishes")
    return found


def absent(wishes: Constraints, formula: Formula, book: Rulebook) -> Fault | None:
    """A fault when a line that is to stay, or to be set, is none of the recipe's."""
    lines = [(line.name, book.ingredients.get(line.ingredient or "")) for line in formula.lines]
    for option, names in (("keep", wishes.keep), ("set", wishes.amounts)):
        for name in names:
            if not any(name == own or (i is not None and is_any(i, (name,))) for own, i in lines):
                known = book.ingredients.get(name) or book.classes.get(name)
                there = ", ".join(dict.fromkeys(own for own, _ in lines))
                where = Place(f"--{option} {known.name if known is not None else name}")
                return Fault(where, f"{formula.name} has no such line", f"name one of these: {there}")
    return None


def _each(said: Iterable[str]) -> list[str]:
    return [one.strip() for text in said for one in text.split(",") if one.strip()]


def _once(found: Iterable[T]) -> tuple[T, ...]:
    return tuple(dict.fromkeys(found))


class _Reader:
    """Names looked up, a slip met with what is nearest."""

    def __init__(self, book: Rulebook, names: Names, lines: tuple[str, ...]) -> None:
        self.book, self.names, self.lines = book, names, lines

    def diet(self, said: str) -> str:
        found = self.names.diet(said)
        if not found:
            known = [name for d in self.book.diets.values() for name in (d.name, *d.aliases)]
            names = (d.name for d in self.book.diets.values())
            raise _Refused("diet", said, "there is no such diet", meant(said, known, names))
        return found

    def thing(self, option: str, said: str) -> str:
        """A line's own name, the id of a class, or of an ingredient.

        What is in the house or has a price is one thing, and not all of its class.
        """
        if said in self.lines and self.names.exact(said) is None:
            return said
        kind = self.names.class_of(said)
        if kind and option not in ("have", "price"):
            return kind
        found = self.names.find(said)
        if not found or found[0].confidence < SURE:
            near = " or ".join(dict.fromkeys(match.name for match in found[:3] if match.confidence >= LIKELY))
            mend = f"did you mean {near}?" if near else "write its usual name"
            raise _Refused(option, said, "there is no such ingredient", mend)
        return found[0].id

    def amount(self, said: str) -> tuple[str, float]:
        name, _, amount = said.partition("=")
        quantity = read_quantity(amount.strip())
        grams = None if quantity is None or quantity[1].strip() else _GRAMS.get(quantity[0].unit or "g")
        if quantity is None or grams is None or not name.strip():
            raise _Refused("set", said, "this is no amount of a line", 'write it like "psyllium=6 g"')
        return self.thing("set", name.strip()), quantity[0].amount * grams

    def price(self, said: str) -> tuple[str, float]:
        name, _, amount = said.partition("=")
        value = read_number(amount.strip())
        if value is None or value[1].strip() or value[0] < 0:
            raise _Refused("price", said, "this is no price", 'write what a kilogram costs: "butter=9.50"')
        return self.thing("price", name.strip()), value[0]


SURE = 0.8
"""Confidence in a name from which it is taken for the ingredient."""
LIKELY = 0.6
"""Confidence in a name from which it is offered."""
_GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""Grams in a unit of mass (NIST Handbook 44, appendix C)."""


def _bound(said: str) -> Bound:
    match = _TARGET.fullmatch(" ".join(said.split()))
    words = by_word(NUTRIENTS) | {name: name for name in NUTRIENTS}
    if match is None:
        raise _Refused("target", said, "this is no target", 'write it like "net carbs <= 5 g" or "protein >= 10 g per 100 g"')
    figure = words.get(match["figure"].strip().casefold())
    if figure is None:
        mend = meant(match["figure"], words, (first for first, *_ in NUTRIENTS.values()))
        raise _Refused("target", said, f"{match['figure'].strip()} is no figure I reckon", mend)
    read = read_number(match["amount"].strip())
    if read is None or read[1].strip():
        raise _Refused("target", said, f"{match['amount'].strip()} is no number", 'write it like "net carbs <= 5 g"')
    own = figure.rpartition("_")[2]
    spoken = (match["unit"] or "").casefold().removesuffix("s").replace("gram", "g") or own
    factor = UNITS.get(own, {own: 1.0}).get(spoken)
    if factor is None:
        raise _Refused("target", said, f"{match['figure'].strip()} is not told in {match['unit']}", f"write it in {own}")
    per = "100g" if match["per"] and _HUNDRED.fullmatch(match["per"].strip()) else "piece"
    value = read[0] * factor
    least = match["sign"].casefold() in _LEAST
    return Bound(figure, per, value if least else None, None if least else value)


def _amounts(said: Iterable[str], reader: _Reader) -> dict[str, float]:
    found: dict[str, float] = {}
    for one in said:
        name, grams = reader.amount(one)
        if found.setdefault(name, grams) != grams:
            raise _Refused("set", one, "this line is set to another amount too", "give it one amount")
    return found


def _cost(said: float | None) -> float | None:
    if said is not None and not (isfinite(said) and said >= 0):
        raise _Refused("cost", f"{said:g}", "nothing costs that", "write what a batch may cost: --cost 4.50")
    return said


def _raised(said: str | None) -> str:
    if said is None:
        return ""
    found = by_word(RAISED).get(said.casefold())
    if found is None:
        raise _Refused("raised", said, "nothing is raised by that", "write yeast, or powder")
    return found


def meant(said: str, known: Iterable[str], told: Iterable[str] = ()) -> str:
    """What a word may be a slip for, else all that there is, or of it what is to be told."""
    known = list(known)
    close = nearest(said, known)
    return f"did you mean {close}?" if close else "there are " + ", ".join(tuple(told) or known)
