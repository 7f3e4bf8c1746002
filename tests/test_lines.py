"""Labelled ingredient lines (tests/published/lines.csv): most are read right, hardly any wrong unnoticed."""

import pytest

from assistant.rulebook.model import Rulebook
from tests.published.lines_table import PARTS, Row, not_right, read_as, rows, score, simple

LEAST_RIGHT = 0.95
"""The aim for lines of one amount of one thing."""
FLAGGED = {
    "2 msk honung",  # Swedish units are known, Swedish names are not
    "2,5 dl mælk",  # Danish
}
"""Readable lines that are not read, and say so."""
SHOWN = [row for row in rows() if row.part != "held"]


@pytest.mark.parametrize("part", PARTS)
def test_simple_lines_are_read_right(part: str, book: Rulebook) -> None:
    got = score(book, simple(part))
    assert got.total >= 60
    assert got.right >= LEAST_RIGHT * got.total, got


@pytest.mark.parametrize("row", SHOWN, ids=[row.line for row in SHOWN])
def test_a_line_is_right_or_a_person_is_told(row: Row, book: Rulebook) -> None:
    assert read_as(row, book) in ("right", "flagged")


def test_the_lines_that_are_not_read_are_these(book: Rulebook) -> None:
    assert {row.line for _, row in not_right(book)} == FLAGGED


def test_of_the_lines_nobody_looked_at_hardly_any_is_wrong_unnoticed(book: Rulebook) -> None:
    """Counted when the reader was done: 3 of 129."""
    assert score(book, [row for row in rows() if row.part == "held"]).wrong <= 3


def test_what_is_unknown_or_two_things_is_always_flagged(book: Rulebook) -> None:
    """An unknown name or a second thing in the line is never passed over in silence."""
    doubtful = [row for row in SHOWN if row.form in ("unknown", "compound")]
    assert len(doubtful) >= 30
    assert [row.line for row in doubtful if read_as(row, book) != "flagged"] == []
