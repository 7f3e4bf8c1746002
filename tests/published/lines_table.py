"""How lines of ingredient lists are read, held against their labels: python -m tests.published.lines_table

Each row of lines.csv is a line as people write it with what it means. A reading is right when the amount,
its unit, the ingredient and the grams the line itself states are all as labelled; it is flagged when a
person is told that something is unknown or was decided; else it is wrong, and nobody would know.
With --open the lines that are not right are shown; the held ones are only ever counted.
"""

import csv
import sys
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import isclose
from pathlib import Path

from assistant.formula.card import Written
from assistant.formula.data import plain_text
from assistant.formula.line import ParsedLine, read_line, weigh
from assistant.formula.read import names_of
from assistant.formula.resolve import measures_of, read_ingredient_line
from assistant.rulebook.model import Rulebook
from assistant.rulebook.read import load
from assistant.words.faults import Place
from assistant.words.units import in_g, in_ml, kind_of

ROWS = Path(__file__).with_name("lines.csv")
SIMPLE = ("plain", "fraction", "words", "range", "note", "decimal")
"""Forms of a single amount of a single thing, however it is spelt."""
AMOUNT_REL, GRAMS_REL = 1e-4, 1e-3
"""Precision the labels are written to: five digits of an amount, hundredths of a gram above 7 g."""


@dataclass(frozen=True)
class Row:
    """A line and its label; None is absent."""

    line: str
    form: str
    part: str
    low: float | None
    high: float | None
    unit: str
    ingredient: str
    grams: float | None

    @property
    def readable(self) -> bool:
        """Whether one line of one ingredient with its amount can say what is meant."""
        return self.low is not None and self.ingredient != ""


@cache
def rows() -> tuple[Row, ...]:
    """All labelled lines."""
    text = [line for line in ROWS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return tuple(
        Row(
            each["line"],
            each["form"],
            each["part"],
            float(each["low"]) if each["low"] else None,
            float(each["high"] or each["low"]) if each["low"] else None,
            each["unit"],
            each["ingredient"],
            float(each["grams"]) if each["grams"] else None,
        )
        for each in csv.DictReader(text)
    )


def read_as(row: Row, book: Rulebook) -> str:
    """ "right", "flagged" or "wrong"."""
    text = plain_text(row.line)
    parsed = read_line(text, names_of(book))
    _, faults = read_ingredient_line(Written(text, Place("as typed", 1)), book, names_of(book))
    if row.readable and is_right(row, parsed):
        return "right"
    if row.low is None and row.ingredient and parsed.quantity is None and parsed.ingredient == row.ingredient:
        return "right"
    return "flagged" if faults else "wrong"


def is_right(row: Row, parsed: ParsedLine) -> bool:
    """Whether amount, unit, ingredient and stated grams are as labelled."""
    same = (parsed.ingredient or "") == row.ingredient
    return same and amount_is_right(row, parsed) and mass_is_right(row, parsed)


def amount_is_right(row: Row, parsed: ParsedLine) -> bool:
    """Whether the amount as a person would write it again, all that is added included, is the labelled one."""
    shown = parsed.measure or parsed.quantity
    if shown is None or row.low is None or row.high is None:
        return shown is None and row.low is None
    added = sum(
        more.amount * in_units(more.unit, shown.unit)
        for more in (parsed.plus if shown is parsed.quantity else ())
    )
    ends = (shown.times * shown.low + added, shown.times * shown.high + added)
    return (shown.unit or "each") == row.unit and all(
        isclose(ours, label, rel_tol=AMOUNT_REL)
        for ours, label in zip(ends, (row.low, row.high), strict=True)
    )


def in_units(unit: str, of: str) -> float:
    """How many of one unit another is."""
    if unit == of:
        return 1.0
    return in_ml(unit) / in_ml(of) if kind_of(unit) == "volume" else in_g(unit) / in_g(of)


def mass_is_right(row: Row, parsed: ParsedLine) -> bool:
    """Whether the mass that the line itself states is as labelled. What is known of the ingredient only
    tells whether a mass beside several packs is that of one or of all."""
    unclear = any(per == "unclear" for _, per in parsed.stated)
    ingredient = load()[0].ingredients.get(row.ingredient) if unclear else None
    grams = weigh(parsed, measures_of(ingredient)).grams
    if row.grams is None or grams is None:
        return grams is row.grams
    return isclose(grams, row.grams, rel_tol=GRAMS_REL)


# -- scores ---------------------------------------------------------------------------------------

OUTCOMES = ("right", "flagged", "wrong")
PARTS = ("open", "held", "fresh", "late")


@dataclass(frozen=True)
class Score:
    """How many rows were read how."""

    right: int
    flagged: int
    wrong: int

    @property
    def total(self) -> int:
        return self.right + self.flagged + self.wrong

    def __str__(self) -> str:
        return f"{self.right:4} right {self.flagged:4} flagged {self.wrong:3} wrong of {self.total:3}"


def simple(part: str) -> tuple[Row, ...]:
    """Lines of a part with one amount of one thing; a line that is to be flagged is none."""
    return tuple(row for row in rows() if row.part == part and row.form in SIMPLE and row.readable)


def not_right(book: Rulebook) -> tuple[tuple[str, Row], ...]:
    """The lines that may be looked at and are not right, with how they were read, save those that no
    reading of one line can get right and that are flagged."""
    read = ((read_as(row, book), row) for row in rows() if row.part != "held")
    return tuple(
        (outcome, row)
        for outcome, row in read
        if outcome == "wrong" or (outcome == "flagged" and row.readable)
    )


def score(book: Rulebook, some: Iterable[Row]) -> Score:
    counted = Counter(read_as(row, book) for row in some)
    return Score(*(counted[outcome] for outcome in OUTCOMES))


def main() -> None:
    """Print the scores by form and part, and with --open the lines that are not right."""
    book, _ = load()
    forms = list(dict.fromkeys(row.form for row in rows()))
    for form in forms:
        print(f"{form:12} {score(book, [row for row in rows() if row.form == form])}")
    for part in PARTS:
        print(f"\n{part:12} {score(book, [row for row in rows() if row.part == part])}")
        got = score(book, simple(part))
        print(f"{'  simple':12} {got}  {100 * got.right / got.total:.1f} % right")
    for outcome, row in not_right(book) if "--open" in sys.argv else ():
        print(f"\n{outcome:8} {row}\n         {read_line(plain_text(row.line), names_of(book))}")


if __name__ == "__main__":
    main()
