"""Scaling: percentages stay, eggs stay whole or it is said, portions agree in g and oz."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.formula.model import Bake, Formula, Line, Step
from assistant.formula.read import read_text
from assistant.formula.scale import (
    FINE_SCALE_G,
    Scaled,
    altered,
    bakers_percentages,
    flour_g,
    portions,
    scale,
    to_piece_g,
    to_pieces,
    to_total_g,
    workable_factors,
)
from assistant.rulebook.model import Rulebook
from assistant.rulebook.read import load

BOOK = load(None)[0]
ROLLS = """\
Larch rolls
Makes 12 rolls

500 g bread flour
300 g milk
3 eggs
6 g instant yeast
9 g salt
2-3 tbsp butter
salt to taste

Bake at 200 C for 20 minutes.
"""


@pytest.fixture
def rolls() -> Formula:
    found, faults = read_text(ROLLS, BOOK, "as typed", "text")
    assert found is not None, faults
    return found


def done(scaled: Scaled) -> Formula:
    assert scaled.formula is not None, scaled.faults
    return scaled.formula


def said(scaled: Scaled) -> str:
    return "\n".join(fault.sentence for fault in scaled.faults)


factors = st.floats(0.05, 30)


@given(factors)
def test_scaling_leaves_bakers_percentages_alone(factor: float) -> None:
    found, _ = read_text(ROLLS, BOOK, "as typed", "text")
    assert found is not None
    before, after = (
        bakers_percentages(found, BOOK),
        bakers_percentages(done(scale(found, factor, BOOK)), BOOK),
    )
    assert [each is None for each in before] == [each is None for each in after]
    assert [each for each in after if each is not None] == pytest.approx(
        [each for each in before if each is not None]
    )


@given(factors, factors)
def test_scaling_twice_is_scaling_by_the_product(first: float, second: float) -> None:
    found, _ = read_text(ROLLS, BOOK, "as typed", "text")
    assert found is not None
    twice = done(scale(done(scale(found, first, BOOK)), second, BOOK))
    once = done(scale(found, first * second, BOOK))
    assert twice.dough_g == pytest.approx(once.dough_g)
    for a, b in zip(twice.lines, once.lines, strict=True):
        assert (a.amount is None) == (b.amount is None)
        if a.amount is not None:
            assert a.amount == pytest.approx(b.amount)


def test_scaling_leaves_the_formula_it_was_given_alone(rolls: Formula) -> None:
    before = replace(rolls)
    scale(rolls, 3, BOOK)
    assert rolls == before


def test_a_factor_of_one_changes_nothing(rolls: Formula) -> None:
    assert scale(rolls, 1, BOOK) == Scaled(rolls, 1)


def test_grams_amounts_and_both_ends_of_a_range_are_scaled(rolls: Formula) -> None:
    """Butter: 14.2 g a tablespoon (USDA SR28 01001)."""
    butter = done(scale(rolls, 2, BOOK)).lines[5]
    assert (butter.grams, butter.amount, butter.unit) == (pytest.approx(71.0), 5.0, "tbsp")
    assert (butter.low_g, butter.high_g) == (pytest.approx(56.8), pytest.approx(85.2))
    assert butter.note == "4 to 6 tbsp"
    assert butter.text == ""


def test_pieces_grow_with_the_dough(rolls: Formula) -> None:
    assert done(scale(rolls, 2, BOOK)).pieces == 24
    scaled = done(to_pieces(rolls, 20, BOOK))
    assert scaled.pieces == 20
    assert scaled.piece_g == pytest.approx(rolls.piece_g)


def test_a_piece_weight_keeps_the_pieces_and_asks_for_another_bake(rolls: Formula) -> None:
    scaled = to_piece_g(rolls, 60, BOOK)
    assert done(scaled).piece_g == pytest.approx(60)
    assert done(scaled).pieces == 12
    assert "the bake was for pieces of" in said(scaled)
    assert "the bake was for pieces of" not in said(scale(rolls, 2, BOOK))


def test_a_total_is_met(rolls: Formula) -> None:
    assert done(to_total_g(rolls, 2000, BOOK)).dough_g == pytest.approx(2000)


def test_pieces_that_would_be_no_whole_number_are_said(rolls: Formula) -> None:
    scaled = scale(rolls, 0.7, BOOK)
    assert done(scaled).pieces == 8
    assert "8.4 pieces are no whole number" in said(scaled)


# -- eggs -----------------------------------------------------------------------------------------


def test_a_fractional_egg_is_said_with_the_nearest_factors_that_keep_it_whole(rolls: Formula) -> None:
    """3 eggs times 1.5 are 4.5; 4 eggs are 4/3 and 5 eggs 5/3 of the recipe, 16 and 20 rolls."""
    scaled = scale(rolls, 1.5, BOOK)
    fault = next(fault for fault in scaled.faults if "egg" in fault.what)
    assert "4 1/2" in fault.what
    assert not fault.stops
    assert fault.choices == (
        "1.333 times, 16 pieces (4 of whole egg)",
        "1.667 times, 20 pieces (5 of whole egg)",
    )
    assert "225 g" in fault.mend  # 4.5 eggs of 50 g, USDA SR28 01123


def test_whole_eggs_pass_without_a_word(rolls: Formula) -> None:
    for factor in (1 / 3, 2 / 3, 2, 5 / 3):
        assert "egg" not in said(scale(rolls, factor, BOOK))


def test_eggs_given_in_grams_are_counted_too() -> None:
    """Two large eggs weigh 100 g (USDA SR28 01123)."""
    found, _ = read_text("Batter\n\n100 g eggs\n200 g bread flour\n", BOOK, "as typed", "text")
    assert found is not None
    assert "comes to 1/2" in said(scale(found, 0.25, BOOK))
    assert workable_factors(found, 0.25, BOOK) == (0.5,)


def test_eggs_that_were_never_whole_are_left_in_peace() -> None:
    found, _ = read_text("Batter\n\n120 g eggs\n200 g bread flour\n", BOOK, "as typed", "text")
    assert found is not None
    assert scale(found, 0.3, BOOK).faults == ()


def test_several_egg_lines_must_all_come_out_whole() -> None:
    """4 eggs and 6 yolks have the common divisor 2: halves of the recipe work, thirds don't."""
    found, _ = read_text("Custard\n\n4 eggs\n6 egg yolks\n500 ml milk\n", BOOK, "as typed", "text")
    assert found is not None
    assert workable_factors(found, 0.6, BOOK) == (0.5, 1.0)
    assert "egg" not in said(scale(found, 0.5, BOOK))
    assert "whole egg" in said(scale(found, 1 / 3, BOOK))


# -- what a scale can't show ----------------------------------------------------------------------


def test_less_than_the_scale_shows_is_said(rolls: Formula) -> None:
    """6 g yeast times 0.1 are 0.6 g: under 1 g, not under 0.1 g."""
    coarse, fine = scale(rolls, 0.1, BOOK), scale(rolls, 0.1, BOOK, FINE_SCALE_G)
    assert "yeast comes to 0.6 g, less than a scale that shows 1 g can tell" in said(coarse)
    assert "use a fine scale" in said(coarse)
    assert "less than a scale" not in said(fine)


def test_what_a_spoon_measures_needs_no_scale() -> None:
    found, _ = read_text("Bread\n\n500 g bread flour\n1 tsp cinnamon\n", BOOK, "as typed", "text")
    assert found is not None
    assert "cinnamon" not in said(scale(found, 0.25, BOOK))  # 0.65 g is a quarter teaspoon
    assert "cinnamon" in said(scale(found, 0.05, BOOK))  # a twentieth of one is no spoon


def test_an_unknown_weight_is_scaled_by_eye_and_said(rolls: Formula) -> None:
    assert "salt has no amount to scale" in said(scale(rolls, 2, BOOK))


# -- refused --------------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0, -1, float("nan"), float("inf"), 1001])
def test_a_factor_that_makes_no_sense_is_refused(factor: float, rolls: Formula) -> None:
    scaled = scale(rolls, factor, BOOK)
    assert scaled.formula is None
    assert [fault.kind for fault in scaled.faults] == ["not possible"]


def test_pieces_can_only_be_asked_of_a_recipe_with_a_yield(rolls: Formula) -> None:
    unsaid = replace(rolls, pieces=None)
    for scaled in (to_pieces(unsaid, 8, BOOK), to_piece_g(unsaid, 80, BOOK), to_pieces(rolls, 0, BOOK)):
        assert scaled.formula is None
        assert scaled.faults[0].mend


def test_a_recipe_of_unknown_weight_has_no_total() -> None:
    empty = Formula("Nothing", "", (Line("salt", None, None),), pieces=2)
    assert to_total_g(empty, 100, BOOK).formula is None
    assert to_piece_g(empty, 100, BOOK).formula is None


# -- portions -------------------------------------------------------------------------------------


@given(st.floats(10, 5000), st.integers(1, 60))
def test_portion_figures_agree(dough: float, pieces: int) -> None:
    """28.349523125 g an ounce (NIST SP 811 B.8, from the exact pound)."""
    figures = portions(Formula("Rolls", "", (Line("dough", None, dough),), pieces=pieces))
    assert figures.piece_g is not None
    assert figures.piece_oz is not None
    assert figures.piece_g * pieces == pytest.approx(figures.dough_g)
    assert figures.piece_oz * 28.349523125 == pytest.approx(figures.piece_g)


def test_without_a_yield_no_piece_weighs_anything() -> None:
    figures = portions(Formula("Rolls", "", (Line("dough", None, 500.0),)))
    assert (figures.pieces, figures.piece_g, figures.piece_oz) == (None, None, None)


def test_bakers_percentages_stand_on_flours_and_starches(
    larch_hut: Callable[[str], Formula], book: Rulebook
) -> None:
    found = larch_hut("dinner-rolls")
    assert flour_g(found, book) == 500.0
    assert bakers_percentages(found, book)[1] == pytest.approx(58.0)  # 290 g milk on 500 g flour
    bare = Formula("Butter", "", (Line("butter", None, 100.0),), bake=Bake(180, 10))
    assert bakers_percentages(bare, book) == (None,)


# -- the method's words ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Divide into 12 and shape.", "Divide into 24 and shape."),
        ("Divide the dough into twelve equal pieces.", "Divide the dough into 24 equal pieces."),
        ("Shape 12 small rolls, 6 to a sheet.", "Shape 24 small rolls, 6 to a sheet."),
        ("Knead for 12 minutes; cut into 12 balls.", "Knead for 12 minutes; cut into 24 balls."),
        ("Roll out to 12 cm and cut into 3 strips.", "Roll out to 12 cm and cut into 3 strips."),
        ("Add 2 tbsp of the milk to the flour.", "Add 4 tbsp of the milk to the flour."),
        ("Add 100 g of the bread flour.", "Add 200 g of the bread flour."),
        ("Heat the milk for 100 g and more.", "Heat the milk for 100 g and more."),
    ],
)
def test_the_method_counts_along(text: str, told: str, rolls: Formula) -> None:
    step = Step("mix", text, uses=(0, 1))
    twice = done(scale(replace(rolls, steps=(step,)), 2, BOOK))
    assert twice.steps == (replace(step, text=told),)


def test_a_piece_weight_in_the_words_follows_the_pieces(rolls: Formula) -> None:
    """991.6 g of dough (500 + 300 + 150 + 6 + 9 + 35.5 g butter, salt to taste left out) are 12 pieces of 83 g."""
    step = Step("shape", "Divide into 12 pieces of 83 g and rest for 15 minutes.")
    scaled = done(to_piece_g(replace(rolls, steps=(step,)), 60, BOOK))
    assert scaled.steps[0].text == "Divide into 12 pieces of 60 g and rest for 15 minutes."
    assert done(scale(replace(rolls, steps=(step,)), 2, BOOK)).steps[0].text.startswith("Divide into 24 pieces of 83 g")


def test_the_larch_hut_rolls_are_counted_in_their_method(larch_hut: Callable[[str], Formula]) -> None:
    sixteen = done(to_pieces(larch_hut("seed-rolls"), 16, BOOK))
    assert "shape 16 rolls" in " ".join(step.text for step in sixteen.steps)


# -- a line set to another mass -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ingredient", "grams", "amount", "unit"),
    [
        ("all-purpose-flour", 250.0, 2.0, "cup"),  # 125 g a cup (USDA SR28 20081)
        ("baking-powder", 10.0, 2.25, "tsp"),  # 4.6 g a teaspoon (18369)
        ("water", 237.0, 1.0, "cup"),  # 236.6 ml (NIST SP 811)
        ("egg", 150.0, 3.0, "each"),  # 50 g each (01123)
        ("egg", 130.0, None, ""),  # 2.6 eggs are weighed
        ("vital-wheat-gluten", 0.0, None, ""),
    ],
)
def test_an_altered_line_is_told_as_a_cook_measures(
    ingredient: str, grams: float, amount: float | None, unit: str
) -> None:
    line = altered(Line("it", ingredient, 40.0, 3.0, "tbsp", text="3 tbsp it"), grams, BOOK.ingredients[ingredient])
    assert (line.grams, line.amount, line.unit, line.text) == (grams, amount, unit, "")


def test_a_range_does_not_outlive_its_line(rolls: Formula) -> None:
    butter = altered(rolls.lines[5], 100.0, BOOK.ingredients["butter"])
    assert (butter.low_g, butter.high_g, butter.note) == (None, None, "")
