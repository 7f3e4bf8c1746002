"""Lines of ingredient lists: what each of the labelled lines means, and that no text breaks the reader."""

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.formula.card import Written
from assistant.formula.line import clean, read_line, weigh
from assistant.formula.read import names_of
from assistant.formula.resolve import read_ingredient_line
from assistant.formula.write import line_text
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Place

LABELLED: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "lines.yaml").read_text(encoding="utf-8")
)
HERE = Place("as typed", 1)


def test_there_are_enough_labelled_lines() -> None:
    assert len(LABELLED) >= 120
    assert len({entry["line"] for entry in LABELLED}) == len(LABELLED)


@pytest.mark.parametrize("entry", LABELLED, ids=[entry["line"] for entry in LABELLED])
def test_a_line_means_what_its_label_says(entry: dict[str, Any], book: Rulebook) -> None:
    """Grams: as the line states them, else by USDA SR28 measures (sources in lines.yaml), to 0.5 %, the
    precision of three printed digits."""
    line, faults = read_ingredient_line(Written(entry["line"], HERE), book, names_of(book))
    assert line.ingredient == entry["ingredient"]
    grams = entry["grams"]
    assert line.grams == (None if grams is None else pytest.approx(grams, rel=5e-3))
    amount = entry.get("amount")
    assert line.amount == (None if amount is None else pytest.approx(amount, rel=1e-4))
    assert line.unit == entry.get("unit", "")
    for end, value in (("low", line.low_g), ("high", line.high_g)):
        assert value == (pytest.approx(entry[end], rel=5e-3) if end in entry else None)
    assert entry.get("note", "") in line.note
    flagged = entry.get("flagged", False) or grams is None
    assert bool(faults) == flagged, [fault.sentence for fault in faults]
    assert not any(fault.stops for fault in faults)


def test_an_unknown_name_is_kept_and_the_nearest_are_offered(book: Rulebook) -> None:
    line, faults = read_ingredient_line(Written("30 g moonroot", HERE), book, names_of(book))
    assert (line.name, line.ingredient, line.grams) == ("moonroot", None, 30.0)
    assert len(faults) == 1
    assert "moonroot" in faults[0].what
    assert not faults[0].stops


def test_another_thing_is_never_taken_for_what_only_ends_alike(book: Rulebook) -> None:
    """An allergy hangs on this: the word before the last one says what it is."""
    for text, not_this in (
        ("30 g marble butter", "butter"),
        ("100 g marble milk", "milk"),
        ("100 g marble flour", "all-purpose-flour"),
        ("1 tbsp marble oil", "olive-oil"),
    ):
        line, _ = read_ingredient_line(Written(text, HERE), book, names_of(book))
        assert line.ingredient is None, (text, line.ingredient)
        assert line.ingredient != not_this


def test_a_mass_that_the_measure_contradicts_is_remarked_upon(book: Rulebook) -> None:
    """A cup of all-purpose flour weighs 125 g (USDA SR28 20081); a line that says 300 g is asked about."""
    line, faults = read_ingredient_line(
        Written("1 cup (300 g) all-purpose flour", HERE), book, names_of(book)
    )
    assert line.grams == 300.0
    assert any("usually weighs 125 g" in fault.what for fault in faults)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1 cup sifted flour", 115.0),
        ("1 sifted cup flour", 115.0),
        ("1 cup flour, sifted before measuring", 115.0),
        ("1/2 cup sifted cake flour", 48.0),
        ("1 cup flour, sifted", 125.0),
        ("1 cup sifted natural cocoa powder", 86.0),
    ],
)
def test_what_is_sifted_before_it_is_measured_weighs_less(book: Rulebook, text: str, grams: float) -> None:
    """USDA Home and Garden Bulletin 72 (from memory): a cup of flour sifted and spooned 115 g, of cake flour 96 g;
    USDA SR28: unsifted 125 g. Read back from what is written of it, a line weighs the same."""
    line, faults = read_ingredient_line(Written(text, HERE), book, names_of(book))
    assert line.grams == grams
    assert any("sifted" in fault.what for fault in faults) == ("cocoa" in text)
    again, _ = read_ingredient_line(Written(line_text(line, book, names_of(book)), HERE), book, names_of(book))
    assert (again.grams, again.note) == (line.grams, line.note)


def test_control_characters_and_hidden_marks_go(book: Rulebook) -> None:
    assert clean("2 cups\x00 \u202emilk\u200b\x1b[31m") == "2 cups milk[31m"


@given(st.text(max_size=80))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
def test_any_text_is_read_as_a_line_without_a_crash(book: Rulebook, text: str) -> None:
    line, _ = read_ingredient_line(Written(text, HERE), book, names_of(book))
    assert line.grams is None or line.grams >= 0


def test_every_prefix_of_a_line_is_read_without_a_crash(book: Rulebook) -> None:
    names = names_of(book)
    for entry in LABELLED[::4]:
        for end in range(len(entry["line"])):
            parsed = read_line(entry["line"][:end], names)
            weigh(parsed, {"cup": 100.0, "each": 50.0})
