"""Writing a formula and reading it again: YAML gives the very same value, text all that text carries."""

import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.formula.method import PANS
from assistant.formula.model import STEP_KINDS, Bake, Formula, Line, Step
from assistant.formula.read import read_formula, read_text
from assistant.formula.scale import scale
from assistant.formula.write import amount_written, carried, save, to_text, to_yaml
from assistant.rulebook.model import Rulebook
from assistant.rulebook.read import load
from assistant.words.units import UNITS

BOOK = load(None)[0]
KNOWN = sorted(BOOK.ingredients)[::7]
PRODUCTS = ["", *sorted(BOOK.products)]

grams = st.one_of(st.integers(1, 2000).map(float), st.floats(0.05, 5000).map(lambda g: round(g, 2)))
minutes = st.one_of(st.integers(1, 720).map(float), st.floats(0.5, 720).map(lambda m: round(m, 2)))
text = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"]), max_size=60).map(
    lambda words: " ".join(words.split())
)
words = st.lists(
    st.sampled_from(
        [
            "mix",
            "bake",
            "the",
            "dough",
            "for 10 minutes",
            "at 180 C",
            "with",
            "water",
            "350°F,",
            "gently.",
            "(2 cups)",
            "1/2",
            "½",
            "x;",
            "[rest]",
            "oven",
            "&amp;",
            "1.",
            "to taste",
            '"',
            "plus 2 tbsp",
            "3 to 4 g",
            "Note: so",
            "-",
        ]
    ),
    max_size=9,
).map(" ".join)
TITLES = [
    "Hut rolls",
    "Makes 8 rolls",
    "Ingredients",
    "500 g bread",
    "Rolls: the best",
    "A 2 x 2",
    "- *best* ½",
]
moonish = st.sampled_from(
    ["moonroot", "grated moonroot", "mooncap, dried", "2 moon", "moon (red)", "moon or sunroot", "Moon & co"]
)


@st.composite
def lines(draw: st.DrawFn) -> Line:
    """A line as reading gives them: known under its own name, or unknown under one that no name is like."""
    known = draw(st.booleans())
    ingredient = draw(st.sampled_from(KNOWN)) if known else None
    own = st.just(BOOK.ingredients[ingredient].name) if ingredient else st.nothing()
    name = draw(own | moonish)
    amount = draw(st.none() | st.sampled_from([0.125, 0.25, 1 / 3, 0.5, 1.0, 1.5, 2.0, 2.4, 12.0]))
    unit = draw(st.sampled_from([unit for unit in UNITS if unit != "g"])) if amount is not None else ""
    mass = draw(grams)
    ends = draw(st.none() | st.tuples(grams, grams).map(sorted).filter(lambda pair: pair[0] < pair[1]))
    return Line(
        name=name,
        ingredient=ingredient,
        grams=mass,
        amount=amount,
        unit=unit,
        note=draw(st.just("") | words | text),
        part=draw(st.sampled_from(["", "", "filling", "glaze for the top"])),
        low_g=None if ends is None else ends[0],
        high_g=None if ends is None else ends[1],
        confidence=1.0 if known else 0.0,
    )


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    """A formula with everything a formula can hold."""
    some = draw(st.lists(lines(), min_size=1, max_size=5))
    parts = sorted({"", *(line.part for line in some)})
    places = st.lists(st.integers(0, len(some) - 1), unique=True, max_size=3).map(
        lambda each: tuple(sorted(each))
    )
    steps = draw(
        st.lists(
            st.builds(
                Step,
                st.sampled_from(STEP_KINDS),
                words | text,
                st.none() | minutes,
                st.none(),
                st.none() | st.floats(1, 260).map(lambda c: round(c, 1)),
                places,
                st.sampled_from(parts),
            ),
            max_size=4,
        )
    )
    pans, ovens = st.sampled_from(["", *sorted(PANS)]), st.sampled_from(["still", "fan"])
    bakes = st.builds(Bake, st.integers(100, 260).map(float), minutes, st.none(), st.none(), pans, ovens)
    ranged = bakes.map(
        lambda bake: replace(bake, minutes_low=bake.minutes - 0.25, minutes_high=bake.minutes + 2)
    )
    return Formula(
        name=draw(st.sampled_from(TITLES)),
        product=draw(st.sampled_from(PRODUCTS)),
        lines=tuple(some),
        steps=tuple(steps),
        bake=draw(st.none() | bakes | ranged),
        pieces=draw(st.none() | st.integers(1, 200)),
        piece_name=draw(st.sampled_from(["", "roll", "loaf", "slice", "large roll of 50 g", "pastry"])),
        altitude_m=draw(st.sampled_from([0.0, 1900.0, 1234.5, -12.0])),
        room_c=draw(st.sampled_from([21.0, 18.0, 24.5, -2.0])),
        note="\n".join(line for line in draw(st.lists(words | text, max_size=3)) if line),
        version=draw(st.integers(1, 9)),
    )


def as_carried(formula: Formula) -> Formula:
    return replace(formula, lines=tuple(carried(line) for line in formula.lines))


@given(formulas())
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_yaml_reads_back_as_the_very_same_formula(formula: Formula) -> None:
    again, faults = read_text(to_yaml(formula), BOOK, "again.yaml", "yaml")
    assert again is not None, [fault.sentence for fault in faults]
    assert again == formula


@given(formulas())
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_text_reads_back_as_all_that_text_carries(formula: Formula) -> None:
    written = to_text(formula, BOOK)
    again, faults = read_text(written, BOOK, "again.txt", "text")
    if not any(line.ingredient for line in formula.lines):
        assert again is None
        return
    assert again is not None, [fault.sentence for fault in faults]
    assert as_carried(again) == as_carried(formula), written


def recipes() -> list[Path]:
    return sorted((Path(__file__).parent.parent / "scenarios").rglob("*.yaml"))


@pytest.mark.parametrize("path", recipes(), ids=lambda path: path.stem)
def test_every_packaged_recipe_survives_both_ways_of_writing(path: Path, book: Rulebook) -> None:
    formula, _ = read_formula(path, book)
    assert formula is not None
    assert read_text(to_yaml(formula), book, "again", "yaml")[0] == formula
    again, _ = read_text(to_text(formula, book), book, "again", "text")
    assert again is not None
    assert as_carried(again) == as_carried(formula)


@pytest.mark.parametrize("path", recipes(), ids=lambda path: path.stem)
def test_written_text_is_written_alike_once_read(path: Path, book: Rulebook) -> None:
    formula, _ = read_formula(path, book)
    assert formula is not None
    written = to_text(formula, book)
    again, _ = read_text(written, book, "again", "text")
    assert again is not None
    assert to_text(again, book) == written


@pytest.mark.parametrize("path", recipes(), ids=lambda path: path.stem)
def test_a_scaled_recipe_survives_both_ways_of_writing(path: Path, book: Rulebook) -> None:
    formula, _ = read_formula(path, book)
    assert formula is not None
    scaled = scale(formula, 1 / 3, book).formula
    assert scaled is not None
    assert read_text(to_yaml(scaled), book, "again", "yaml")[0] == scaled
    again, _ = read_text(to_text(scaled, book), book, "again", "text")
    assert again is not None
    assert as_carried(again) == as_carried(scaled)


def test_text_puts_grams_first_and_the_measure_in_brackets(book: Rulebook) -> None:
    formula, _ = read_text("Rolls\n\n1 1/2 cups (168 g) almond flour\n2 large eggs\n", book)
    assert formula is not None
    written = to_text(formula, book)
    assert "168 g almond flour (1 1/2 cups)" in written
    assert "(2), large" in written


def test_a_range_is_written_with_its_ends(book: Rulebook) -> None:
    formula, _ = read_text("Rolls\n\n500 g bread flour\n2-3 tbsp butter\n50-60 g milk\n", book)
    assert formula is not None
    written = to_text(formula, book)
    assert "(2 1/2 tbsp; 28.4 to 42.6 g), 2 to 3 tbsp" in written
    assert "50 to 60 g " in written
    again, _ = read_text(written, book)
    assert again is not None
    assert (again.lines[1].low_g, again.lines[1].high_g) == (28.4, 42.6)


def test_an_amount_is_what_was_written_or_grams() -> None:
    assert amount_written(Line("a", None, 5.0)) == (5.0, "g")
    assert amount_written(Line("a", None, 5.0, 1.0, "tsp")) == (1.0, "tsp")
    assert amount_written(Line("a", None, None)) == (None, "")


# -- files ----------------------------------------------------------------------------------------


def test_a_file_is_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "rolls.yaml"
    assert save(path, "name: Rolls\n") is None
    assert path.read_text(encoding="utf-8") == "name: Rolls\n"
    assert [each.name for each in tmp_path.iterdir()] == ["rolls.yaml"]


def test_a_file_that_stands_already_is_kept_unless_asked(tmp_path: Path) -> None:
    path = tmp_path / "rolls.yaml"
    path.write_text("mine", encoding="utf-8")
    fault = save(path, "theirs")
    assert fault is not None
    assert "already" in fault.what
    assert path.read_text(encoding="utf-8") == "mine"
    assert save(path, "theirs", overwrite=True) is None
    assert path.read_text(encoding="utf-8") == "theirs"


def test_what_cannot_be_written_is_a_fault_and_leaves_nothing_behind(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none" / "rolls.yaml", tmp_path / ("x" * 300), Path("a\0b")):
        fault = save(path, "text", overwrite=True)
        assert fault is not None
        assert fault.stops
    assert list(tmp_path.iterdir()) == []


def test_a_failure_in_the_midst_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "rolls.yaml"
    path.write_text("mine", encoding="utf-8")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    fault = save(path, "theirs", overwrite=True)
    assert fault is not None
    assert "No space left" in fault.what
    assert path.read_text(encoding="utf-8") == "mine"
    assert [each.name for each in tmp_path.iterdir()] == ["rolls.yaml"]
