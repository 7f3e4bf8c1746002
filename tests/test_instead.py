"""Stand-ins outside a recipe, held against what tables print."""

from dataclasses import replace

import pytest

from assistant.rulebook.model import Rulebook
from tests.published.substitutions_table import MISSING, Row, answer, rows, told

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
    found = answer(row, book)
    assert told(row, found, book)[0] != MISSING, row.said
    if row.components:
        assert told(_planted(row), found, book)[0] == MISSING, "a wrong amount goes unnoticed"


def _planted(row: Row) -> Row:
    """The row with its first amount ten times what is printed."""
    name, *_ = row.components
    amount, _, unit = row.components[name].removeprefix("up to ").partition(" ")
    low, *rest = amount.split("-")
    wrong = "-".join(f"{10 * float(end):g}" for end in (low, *rest))
    return replace(row, components={**row.components, name: f"{wrong} {unit}"})


def test_every_printed_row_names_a_source_and_stands_once(book: Rulebook) -> None:
    assert {row.source for row in rows()} <= set(book.sources)
    assert len({row.id for row in rows()}) == len(rows())
