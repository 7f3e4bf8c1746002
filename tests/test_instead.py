"""Stand-ins outside a recipe, held against what tables print."""

from dataclasses import replace

import pytest

from assistant.rulebook.model import Rulebook
from tests.published.substitutions_table import MISSING, Row, rows, told

CASES = [
    pytest.param(
        row,
        id=f"{row.id}-{row.source}",
        marks=[pytest.mark.xfail(reason=row.fails, strict=True)] if row.fails else [],
    )
    for row in rows()
]


@pytest.mark.parametrize("row", CASES)
def test_a_printed_substitution_is_answered_or_told_with_a_reason(row: Row, book: Rulebook) -> None:
    became, _ = told(row, book)
    assert became != MISSING, row.said


@pytest.mark.parametrize("factor", [0.2, 5.0])
def test_a_wrong_amount_in_a_printed_row_is_found_out(factor: float, book: Rulebook) -> None:
    served = [row for row in rows() if not row.fails and row.components]
    assert len(served) > 60
    unnoticed = [row.id for row in served if told(_planted(row, factor), book)[0] != MISSING]
    assert unnoticed == []


def _planted(row: Row, factor: float) -> Row:
    """The row with its first amount wrong."""
    name, *_ = row.components
    amount, _, unit = row.components[name].removeprefix("up to ").partition(" ")
    low, *rest = amount.split("-")
    wrong = "-".join(f"{factor * float(end):g}" for end in (low, *rest))
    return replace(row, components={**row.components, name: f"{wrong} {unit}"})


def test_every_printed_row_names_a_source_and_stands_once(book: Rulebook) -> None:
    assert {row.source for row in rows() if not row.fails} <= set(book.sources)
    assert len({row.id for row in rows()}) == len(rows())
