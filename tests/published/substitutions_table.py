"""Printed substitutions, and what `instead` answers to each. One module for the test and for the printed table.

Each row of `tests/published/substitutions.csv` is one line of a published table:

- `original`, `amount`, `unit`: what is replaced, by our id of it
- `components`: what takes its place, amounts of our ids; none where the table says that nothing does
- `source`: its key in rules/sources
- `printed`, `note`: its own words, and what else it says
- `asked`: the question that the row is told under, where it prints an acid for so much soda or a dose for so much
  flour and not a stand-in for either
- `fails`: why the assistant can't tell it; such a row is a strict xfail and stays in the table

    python -m tests.published.substitutions_table

prints them all, with what became of each.
"""

import csv
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.plan.instead import Printed, StandIn, StandIns, instead
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.units import grams_of, read_quantity

ROWS = Path(__file__).parent / "substitutions.csv"
WITHIN = 0.15
"""Share of a printed mass within which the answer holds the same swap."""
FLOURS_G = 100.0
"""Weight of flours that an answer is told for where it goes by them."""
BY_MASS = ("part", "%")
SAME, SHOWN, REFUSED, MISSING = "within 15 %", "shown with a reason", "refused with its reason", "missing"


@dataclass(frozen=True, slots=True)
class Row:
    """One printed substitution; `components` are amounts as printed, by ingredient."""

    id: str
    original: str
    amount: float
    unit: str
    components: Mapping[str, str]
    source: str
    printed: str
    note: str
    asked: str
    fails: str

    @property
    def said(self) -> str:
        """One line for a failing test."""
        told = " + ".join(f"{amount} {name}" for name, amount in self.components.items()) or "nothing"
        return f"{self.source} prints {told} for {self.amount:g} {self.unit} {self.original}"


@cache
def rows() -> tuple[Row, ...]:
    """Every printed row, in the order of the table."""
    with ROWS.open(encoding="utf-8", newline="") as lines:
        return tuple(
            Row(
                r["id"], r["original"], float(r["amount"]), r["unit"], dict(_components(r["components"])),
                r["source"], r["printed"], r["note"], r["asked"], r["fails"],
            )
            for r in csv.DictReader(lines)
        )  # fmt: skip


def _components(text: str) -> Iterable[tuple[str, str]]:
    for part in filter(None, text.split("; ")):
        amount, _, name = part.rpartition(" ")
        yield name, amount


def answer(row: Row, book: Rulebook) -> StandIns:
    """What the assistant says to the question that a row belongs under, with the members it names wanted."""
    amount, unit = (None, "") if row.asked else (row.amount, "g" if row.unit in BY_MASS else row.unit)
    return instead(book, row.asked or row.original, amount, unit, wanted=tuple(row.components))


def told(row: Row, found: StandIns, book: Rulebook) -> tuple[str, str]:
    """What became of a printed row in an answer, and why where the answer is another."""
    if any(holds(row, option, book) for option in found.options) or weighs(row, found, book):
        return SAME, ""
    for printed, refusal in _printed(found):
        if is_of(printed, row) and (printed.otherwise or refusal):
            return (REFUSED if refusal else SHOWN), printed.otherwise or refusal
    return MISSING, "; ".join(option.title for option in found.options)


def holds(row: Row, option: StandIn, book: Rulebook) -> bool:
    """Whether a stand-in is the printed one: nothing else takes the place, and each amount is within WITHIN.

    A row that prints only what comes along, such as the gum to a cup of flour, leaves open what takes the place.
    """
    answer = {
        part.ingredient: part.grams or part.per_flour for part in (*option.components, *option.companions)
    }
    brought = {c.ingredient for c in option.components}
    if not row.components or not (row.asked or brought <= {*row.components, row.original}):
        return False
    printed = {name: weighed(text, book.ingredients[name]) for name, text in row.components.items()}
    replaced = weighed(f"{row.amount:g} {row.unit}", book.ingredients[row.original])
    if replaced is None:
        return False
    asked_g = replaced[0]
    if row.asked:
        of = answer.get(row.original)
        asked_g = FLOURS_G if of is None else of.value
    for name, mass in printed.items():
        ours = answer.get(name)
        if ours is None or mass is None:
            return False
        low, high = (each * asked_g / replaced[0] for each in mass)
        if not low * (1 - WITHIN) <= ours.value <= high * (1 + WITHIN):
            return False
    return True


def weighs(row: Row, found: StandIns, book: Rulebook) -> bool:
    """Whether a row that prints the same thing in another measure weighs what the answer says that it does."""
    if found.grams is None or set(row.components) != {row.original}:
        return False
    mass = weighed(row.components[row.original], book.ingredients[row.original])
    return mass is not None and abs(mass[0] / found.grams.value - 1) <= WITHIN


def is_of(printed: Printed, row: Row) -> bool:
    """Whether a row that an answer shows is this one, with the very amounts that are printed."""
    amount = f"{row.amount:g} {row.unit}"
    amounts = {f"{amount} {row.original}", f"{amount} {row.original.replace('-', ' ')}"}
    if not row.asked:
        amounts.add(amount)
    same = (printed.source, dict(printed.components)) == (row.source, row.components)
    return same and printed.amount in amounts


def _printed(found: StandIns) -> Iterable[tuple[Printed, str]]:
    """Rows that an answer shows, with the sentence of the rule that says no."""
    yield from ((printed, "") for option in found.options for printed in option.printed)
    yield from ((printed, refusal.text) for refusal in found.refusals for printed in refusal.printed)


def weighed(text: str, ingredient: Ingredient) -> tuple[float, float] | None:
    """A printed amount as a mass, g, low and high; parts and percentages go by mass.

    An "up to" is from nothing; None where no measure of the ingredient gives a mass.
    """
    least_is_none = text.startswith("up to ")
    read = read_quantity(text.removeprefix("up to "))
    if read is None:
        return None
    quantity, rest = read
    word = quantity.unit or rest.strip()
    measures = {name: figure.value for name, figure in ingredient.measures.items()}
    if word in BY_MASS:
        each: float | None = 1.0
    elif word in measures:
        each = measures[word]
    elif quantity.unit:
        return _ends(
            grams_of(quantity.low, word, measures), grams_of(quantity.high, word, measures), least_is_none
        )
    else:
        each = measures.get("each")
    return None if each is None else _ends(quantity.low * each, quantity.high * each, least_is_none)


def _ends(low: float | None, high: float | None, least_is_none: bool) -> tuple[float, float] | None:
    if low is None or high is None:
        return None
    return (0.0, high) if least_is_none else (low, high)


def main() -> None:
    """Print every row with what became of it, and how many of each."""
    from assistant.rulebook.read import load

    book, _ = load()
    counted: Counter[str] = Counter()
    for row in rows():
        became, why = told(row, answer(row, book), book)
        counted[became] += 1
        print(f"{row.id}  {became}: {row.said}" + (f"\n      {why or row.fails}" if why or row.fails else ""))
    print(", ".join(f"{count} {became}" for became, count in counted.most_common()), f"of {len(rows())}")


if __name__ == "__main__":
    main()
