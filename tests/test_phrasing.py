"""What a person reads: kitchen words, sensible digits, ranges as ranges, 78 columns."""

import ast
import inspect
from collections.abc import Callable
from dataclasses import replace

import pytest

from assistant.formula.model import Formula
from assistant.plan.instead import instead
from assistant.plan.model import Options, Why
from assistant.publish.compare import compare
from assistant.rulebook.model import Rulebook
from assistant.talk import phrasing
from assistant.talk.judgement import Judgement
from assistant.words.derivation import Derivation, stated
from assistant.words.faults import Fault, Place
from tests.handmade import ROLLS, assessment, bake, number, nutrition, option


def flat(text: str) -> str:
    """The words of a screen in one line."""
    return " ".join(text.split())


def test_phrasing_imports_no_law_and_so_can_not_recompute() -> None:
    tree = ast.parse(inspect.getsource(phrasing))
    names = [n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    assert not [name for name in names if name and name.startswith("assistant.laws")]


def test_phrasing_does_no_arithmetic_on_numbers_of_an_answer() -> None:
    """Products, quotients and powers appear nowhere; what is added is widths and places."""
    tree = ast.parse(inspect.getsource(phrasing))
    ops = [n for n in ast.walk(tree) if isinstance(n, ast.BinOp) and isinstance(n.op, ast.Div | ast.Pow)]
    assert ops == []


def test_an_option_on_the_table_says_all_a_baker_decides_by(book: Rulebook) -> None:
    text = flat(phrasing.options(Options(ROLLS, (option(), option(title="soda"))), book, "Without yeast"))
    assert "Without yeast: 2 ways, the nearest first." in text
    for told in (
        "1 baking powder",
        "water 400 -> 390 g",
        "active dry yeast 6 g out",
        "baking powder 10 g (2 1/4 tsp) in",
        "oven 185 -> 175 °C",
        "about 62 min (was 40 min): start testing at 43 min, no later than 84 min",
        "net carbs 3.4 g",
        "soluble 5.6 g, insoluble 7.6 g, type unknown 1.2 g",
        "ketogenic ratio 0.74",
        "sodium 341 mg",
        "crumb: denser",
        "It brings its own acid.",
        "mind: The starch in baking powder may be wheat.",
        "how well tested: tried; common practice",
        "2 soda",
    ):
        assert told in text, told


def test_what_held_before_is_not_told_again_as_a_caution(book: Rulebook) -> None:
    assert "thermometer" not in phrasing.options(Options(ROLLS, (option(),)), book)


def test_a_chosen_option_shows_lines_method_times_and_the_bake(book: Rulebook) -> None:
    text = phrasing.option_full(option(), book)
    assert "  400 g -> 390 g  water" in text
    assert "    6 g ->     -  active dry yeast" in text
    assert "      - ->  10 g  baking powder" in text
    assert "  1  Sift it in. (3 min)" in text
    assert "+3 min  62 min  Bake it. (usual)" in text
    assert "heat flow explains x1.22 (0.94 to 1.60), the custom of this bread x1.27 (1.05 to 1.45)" in flat(
        text
    )
    assert "core temperature held for ten minutes; crust hard when tapped" in flat(text)


def test_no_line_of_any_screen_is_wider_than_78_columns(
    book: Rulebook, larch_hut: Callable[[str], Formula]
) -> None:
    formula = larch_hut("seed-rolls")
    judge = Judgement(book)
    here = judge.assess(formula)
    at = judge.line_of(formula, "active-dry-yeast")
    assert at is not None
    found = judge.options(formula, at)
    screens = [
        phrasing.options(found, book, "Without yeast", us=True),
        *(phrasing.option_full(o, book) for o in found.options),
        *(phrasing.working(o.bake.minutes, book) for o in found.options if o.bake is not None),
        phrasing.recipe(formula, book, us=True),
        phrasing.nutrition(here),
        phrasing.numbers(here),
        phrasing.crumb(here),
        phrasing.allergens(here, book),
        phrasing.diets(here, book),
        phrasing.cautions(here.cautions, book),
        phrasing.why(judge.why(formula, "acid"), book),
        phrasing.comparison(
            compare([here, *(o.after for o in found.options)], [None] * (1 + len(found.options)), book)
        ),
        phrasing.instead(instead(book, "buttermilk", 1.0, "cup"), book),
        phrasing.instead(instead(book, "egg", 2.0, "each"), book),
    ]
    for text in screens:
        assert max(len(line) for line in text.splitlines()) <= phrasing.WIDTH


def test_a_range_is_told_as_a_range() -> None:
    assert phrasing.amount(number("t", 34.0, "min", 30.0, 38.0)) == "34 min (30 to 38)"
    assert phrasing.amount(number("t", 34.0, "min", 33.9, 34.1)) == "34 min"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (4.234, "g", "4.2 g"),
        (168.4, "g", "168 g"),
        (-11.2, "g", "-11 g"),
        (0.02, "g", "under 0.1 g"),
        (312.4, "mg", "312 mg"),
        (230.6, "kcal", "231 kcal"),
        (61.7, "min", "62 min"),
        (174.9, "C", "175 °C"),
        (6.84, "pH", "6.8"),
        (33.94, "mmol", "33.9 mmol"),
        (1.2345, "1", "1.23"),
        (1234.5, "mL", "1230 ml"),
        (-0.0, "1", "0"),
        (None, "g", "unknown"),
    ],
)
def test_numbers_have_as_many_digits_as_a_kitchen_can_use(value: float | None, unit: str, text: str) -> None:
    assert phrasing.number(value, unit) == text


def test_what_only_orders_has_no_decimals_and_says_so() -> None:
    springs = Derivation("springiness", 19.4, "1", "assistant.laws.crumb.springiness", low=16.4, high=21.6)
    text = flat(phrasing.crumb(replace(assessment(ROLLS), crumb={"springiness": springs})))
    assert "springiness 19 (16 to 22)" in text
    assert text.endswith("To compare breads by, not to measure: springiness.")


def test_a_lower_bound_is_told_as_one() -> None:
    here = replace(assessment(ROLLS), nutrition=nutrition(incomplete=("sodium_mg", "net_carbs_g")))
    assert "sodium at least 310 mg" in flat(phrasing.macros_line(here))
    text = phrasing.nutrition(here)
    assert ">= 310 mg" in text
    assert "At least, since some line does not know it" in flat(text)


def test_a_figure_is_told_with_what_its_sources_leave_open() -> None:
    sure = Derivation("net carbs per piece", 4.83, "g", low=4.17, high=5.56)
    found = nutrition()
    here = replace(assessment(ROLLS), nutrition=replace(found, per_piece={**found.per_piece, "net_carbs_g": sure}))
    assert "4.8 g 4.2 to 5.6" in flat(phrasing.nutrition(here))
    assert "between" not in phrasing.nutrition(assessment(ROLLS))
    least = replace(here, nutrition=replace(here.nutrition, incomplete=("net_carbs_g",)))
    assert "between" not in phrasing.nutrition(least)  # what is told as a least has no range


def test_an_unknown_line_is_said_to_be_unknown(book: Rulebook) -> None:
    assert "the warden's seed mix (not known to the rulebook)" in phrasing.recipe(ROLLS, book)


def test_allergens_never_promise_that_something_is_free_of_anything(book: Rulebook) -> None:
    text = flat(phrasing.allergens(assessment(ROLLS), book))
    assert "cannot be confirmed: nuts" in text
    assert "does not make a kitchen free of anything" in text
    assert "free from" not in text


def test_a_working_shows_each_step_with_grade_and_source(book: Rulebook) -> None:
    soda = Derivation("soda in it", 3.5, "meq/g", "usda-sr28", ("usda-sr28",), "measured", 3.1, 3.6)
    top = Derivation(
        "soda",
        35.0,
        "mmol",
        "assistant.laws.leavening.base_mmol",
        (),
        "derived",
        premises=(stated("powder", 10.0, "g"), soda),
    )
    text = phrasing.working(top, book)
    assert text.splitlines()[0] == "soda: 35 mmol; by leavening: base mmol (derived)"
    assert "  powder: 10 g; as stated" in text
    assert "  soda in it: 3.5 meq/g (3.1 to 3.6); by usda-sr28 (measured) [usda-sr28]" in text
    assert book.sources["usda-sr28"].title in flat(text)


def test_a_working_tells_what_it_told_already_only_once(book: Rulebook) -> None:
    shared = Derivation("soda", 5.0, "g", "law", premises=(stated("written", 5.0, "g"),))
    text = phrasing.working(Derivation("both", 1.0, premises=(shared, shared)), book)
    assert text.count("written: 5 g") == 1
    assert "soda: 5 g (worked out above)" in text


def test_a_deep_working_is_cut_and_says_how_to_go_on(book: Rulebook) -> None:
    deep = stated("bottom", 1.0)
    for level in range(8):
        deep = Derivation(f"level {level}", 1.0, by="assistant.laws.made.law", premises=(deep,))
    text = phrasing.working(deep, book)
    assert "bottom" not in text
    assert 'working of" and its name' in text


def test_a_why_answer_gives_verdict_reason_numbers_and_source(book: Rulebook) -> None:
    why = Why(
        "acid",
        "needs",
        ("Soda gives its gas to an acid.",),
        (number("soda", 33.9, "mmol"),),
        ("atomic-weights",),
    )
    text = phrasing.why(why, book)
    assert text.splitlines()[:3] == ["Acid: needs.", "  Soda gives its gas to an acid.", "  soda: 33.9 mmol"]
    assert "[atomic-weights]" in text


def test_a_comparison_leaves_out_what_reads_the_same(book: Rulebook) -> None:
    text = phrasing.comparison(
        compare([assessment(ROLLS), assessment(option().formula, 1.001)], [None, bake()], book)
    )
    assert "baking powder" in text
    assert "protein" not in text


def test_many_recipes_are_numbered_and_set_beside_one_another_in_turns(book: Rulebook) -> None:
    sides = [assessment(ROLLS), *(assessment(option().formula, 1 + n / 10) for n in range(1, 5))]
    text = phrasing.comparison(compare(sides, [None] * 5, book))
    assert "  1  Hut rolls, version 1" in text
    assert text.count("energy per piece") == 2


def test_identical_recipes_are_said_not_to_differ(book: Rulebook) -> None:
    assert "do not differ" in phrasing.comparison(
        compare([assessment(ROLLS), assessment(ROLLS)], [None, None], book)
    )


@pytest.mark.parametrize(
    ("fault", "text"),
    [
        (
            Fault(Place("as typed"), "there is nothing to undo", "", kind="not possible"),
            "There is nothing to undo.",
        ),
        (
            Fault(Place("as typed"), "there is no line 9", "a number from 1 to 5", kind="not possible"),
            "There is no line 9. A number from 1 to 5.",
        ),
        (
            Fault(
                Place("as typed"),
                '"floor" may mean several things',
                "say which",
                kind="ambiguous",
                choices=("flour", "fluor"),
            ),
            '"floor" may mean several things. Say which.\n  1  flour\n  2  fluor',
        ),
        (
            Fault(Place("as typed"), 'I did not understand "x"', "for example", choices=("undo",)),
            'I did not understand "x": for example:\n  - undo',
        ),
    ],
)
def test_a_fault_is_one_sentence_and_choices_are_numbered(fault: Fault, text: str) -> None:
    assert phrasing.fault(fault) == text


def test_us_units_stand_beside_grams(book: Rulebook) -> None:
    text = phrasing.recipe(ROLLS, book, us=True)
    assert "(365 °F)" in text
    assert "400 g (1 2/3 cups)" in text
