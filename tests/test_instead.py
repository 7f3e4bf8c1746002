"""Stand-ins outside a recipe, held against what tables print."""

from dataclasses import replace

import pytest

from assistant.formula.model import Formula, Line
from assistant.plan.diets import ruling
from assistant.plan.functions import BASE, strength
from assistant.plan.instead import StandIns, instead
from assistant.rulebook.model import Rulebook
from assistant.talk import phrasing
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


# ---- what does not work, and is told ----

TOLD_TO: list[tuple[str, str, float, str, str, str]] = [
    ("more than two eggs", "egg", 3, "each", "muffin", "Up to two eggs can be exchanged"),
    ("an egg stand-in with egg in it", "egg", 1, "each", "cake", "oil with egg in it"),
    ("a sponge", "egg", 2, "each", "sponge", "hold no foam that sets"),
    ("sunflower beside soda", "peanut-butter", 1, "cup", "cookie", "it turns green"),
    (
        "raw fruit and gelatine",
        "gelatine",
        1,
        "packet",
        "filling",
        "raw pineapple, kiwi, papaya, fig or ginger",
    ),
    ("acid and starch", "cornstarch", 1, "tbsp", "filling", "acid thins"),
    ("spelt for who may not have wheat", "all-purpose-flour", 100, "g", "pancake", "Spelt is a wheat"),
    ("barley for who may not have gluten", "all-purpose-flour", 100, "g", "muffin", "has gluten too"),
    ("oats and coeliac disease", "all-purpose-flour", 100, "g", "cookie", "only those labelled gluten-free"),
    (
        "lupin and peanut",
        "all-purpose-flour",
        100,
        "g",
        "cake",
        "lupin may be one to whoever reacts to peanut",
    ),
    ("coconut and the law", "heavy-cream", 1, "cup", "scone", "coconut, chestnut, pine nut"),
    ("oil for layers", "butter", 250, "g", "laminated", "oil soaks in"),
    ("polyols for yeast", "sugar", 1, "tbsp", "gel-bread", "yeast, which cannot eat polyols"),
    ("coconut flour one for one", "all-purpose-flour", 1, "cup", "muffin", "an egg to every 30 g of it"),
    ("acid in canning", "bottled-lemon-juice", 2, "tbsp", "preserve", "Follow a tested canning instruction"),
    ("pectin for pectin", "liquid-pectin", 85, "g", "preserve", "don't stand in for each other"),
    ("lye for pretzels", "baking-soda", 1, "tbsp", "lean-bread", "for colour and bite, not for gas"),
]
"""What is asked, and words of the answer. Where each stands printed is in the rule: evidence of rules/swaps."""


@pytest.mark.parametrize(
    ("ingredient", "amount", "unit", "product", "words"),
    [pytest.param(*told, id=what) for what, *told in TOLD_TO],
)
def test_what_does_not_work_is_told(
    ingredient: str, amount: float, unit: str, product: str, words: str, book: Rulebook
) -> None:
    found = instead(book, ingredient, amount, unit, product)
    assert words in " ".join(_said(found))


def _said(found: StandIns) -> list[str]:
    """Every sentence of an answer, shown on one screen or not."""
    said = list(found.refused)
    for option in found.options:
        said += [option.because, *option.cautions, *option.gives_up]
        said += [row.otherwise for row in option.printed]
    return said


def test_no_stand_in_for_the_acid_of_a_jar(book: Rulebook) -> None:
    """Fraser and Lackey 2004, citing So Easy to Preserve: a jar is soured by a tested instruction."""
    for acid in (*book.members("wet-acid"), *book.members("leavening-acid")):
        found = instead(book, acid.id, 10, "g", "preserve")
        assert not found.options, acid.id
        assert any("tested canning instruction" in text for text in found.refused), acid.id


@pytest.mark.parametrize("flour", ["barley-flour", "rye-flour"])
def test_wheat_free_is_not_gluten_free(flour: str, book: Rulebook) -> None:
    """21 CFR 101.91 and Annex II 1 count rye and barley with the gluten cereals; neither is wheat."""
    alone = Formula("dough", "", (Line(flour, flour, 100.0),))
    assert ruling(alone, book.diets["wheat-free"], book, None).verdict != "no"
    assert ruling(alone, book.diets["gluten-free"], book, None).verdict == "no"


@pytest.mark.parametrize(
    ("ingredient", "diet", "verdict"),
    [
        ("spelt-flour", "wheat-free", "no"),  # Annex II 1: wheat, such as spelt and khorasan wheat
        ("egg-substitute", "egg-free", "no"),  # egg white in a carton
        ("mayonnaise", "egg-free", "no"),
        ("rolled-oats", "gluten-free", "no"),  # Regulation (EU) 828/2014: oats have to be specially produced
        ("gluten-free-rolled-oats", "gluten-free", "cannot confirm"),  # and a few people react to those too
        ("gluten-free-flour-blend", "gluten-free", "cannot confirm"),  # a label has to say it
        ("ghee", "dairy-free", "no"),  # Annex II 7
    ],
)
def test_a_stand_in_that_a_diet_bars_or_leaves_in_doubt(
    ingredient: str, diet: str, verdict: str, book: Rulebook
) -> None:
    alone = Formula("dough", "", (Line(ingredient, ingredient, 100.0),))
    assert ruling(alone, book.diets[diet], book, None).verdict == verdict
    replaced = {"egg-free": "egg", "dairy-free": "butter"}.get(diet, "all-purpose-flour")
    offered = {
        c.ingredient for o in instead(book, replaced, 100, "g", diets=[diet]).options for c in o.components
    }
    assert verdict != "no" or ingredient not in offered


@pytest.mark.parametrize(
    ("ingredient", "source", "components", "low", "high"),
    [
        # McGee 2004: a teaspoon of lemon juice or vinegar to half a teaspoon of soda, several times too little
        ("active-dry-yeast", "mcgee-2004", {"lemon-juice": "1 tsp"}, 0.8, 0.9),
        # Henneman, and Utah State 2011: a quarter teaspoon of soda with five eighths of cream of tartar
        (
            "baking-powder",
            "unl-henneman",
            {"baking-soda": "0.25 tsp", "cream-of-tartar": "0.625 tsp"},
            0.2,
            0.3,
        ),
        # the usual kitchen ratio of one to two by the spoon
        (
            "baking-powder",
            "mitchell-1909",
            {"baking-soda": "0.5 tsp", "cream-of-tartar": "1 tsp"},
            0.38,
            0.46,
        ),
        # Utah State 2011: half a teaspoon of vinegar, likely a misprint for tablespoon
        (
            "baking-powder",
            "usu-2011",
            {"baking-soda": "0.25 tsp", "vinegar": "0.5 tsp", "milk": "0.5 cup"},
            0.8,
            0.9,
        ),
    ],
)
def test_a_table_that_leaves_soda_over_is_found_out(
    ingredient: str, source: str, components: dict[str, str], low: float, high: float, book: Rulebook
) -> None:
    """By formula weights: 84.01 g of soda take 60.05 g of acetic acid or 188.18 g of cream of tartar."""
    found = instead(book, ingredient, wanted=tuple(components))
    rows = [
        row
        for option in found.options
        for row in option.printed
        if row.source == source and dict(row.components) == components
    ]
    assert rows
    for row in rows:
        assert row.soda_left is not None and low <= row.soda_left.value <= high
        assert not row.agrees and row.otherwise


def test_what_several_tables_print_alike_is_told_once(book: Rulebook) -> None:
    told = " ".join(phrasing.instead(instead(book, "baking-powder", 1, "tsp"), book).split())
    assert told.count("5/8 tsp cream of tartar for 1 tsp") == 1
    assert "Henneman and Utah State University Extension 2011 print" in told


def test_a_table_is_named_only_for_what_it_prints(book: Rulebook) -> None:
    """Soy milk for milk stands in NDSU's table; of the convention only oat and almond milk are noted."""
    told = " ".join(phrasing.instead(instead(book, "milk", 1, "cup"), book).split())
    _, _, printed = told.partition("Printed: 1 cup unsweetened soy milk (")
    assert "NDSU Extension" in printed.partition(")")[0]
    assert "Home-baking convention" not in printed.partition(")")[0]


def test_a_diet_that_counts_a_figure_is_offered_nothing_with_as_much_of_it(book: Rulebook) -> None:
    """USDA SR28: honey holds 82 g of sugars in 100 g, dextrose 91; erythritol none."""
    found = instead(book, "sugar", 200, "g", diets=["keto"])
    offered = {c.ingredient for option in found.options for c in option.components}
    assert "erythritol" in offered
    assert not offered & {"honey", "dextrose", "brown-sugar", "fructose"}
    assert any("hardly less net carbs" in text for text in found.left_out)
    assert "honey" in {c.ingredient for o in instead(book, "sugar", 200, "g").options for c in o.components}


def test_a_baker_is_offered_what_is_usual_and_baked_before_the_rest(book: Rulebook) -> None:
    flour = [o.rule for o in instead(book, "bread-flour", 500, "g").options]
    assert flour.index("bread-flour-to-plain") < flour.index("flour-that-thickens-to-starch")
    nut_free = instead(book, "almond-flour", 1, "cup", diets=["nut-free"]).options
    assert nut_free[0].components[0].ingredient == "sunflower-seed-flour-full-fat"


def test_the_law_of_self_raising_flour_is_kept_by_what_takes_its_place(book: Rulebook) -> None:
    """21 CFR 137.180: at least 0.5 % carbon dioxide, at most 4.5 parts of soda and acid to 100 of flour."""
    found = instead(book, "self-raising-flour", 100, "g", "scone")
    option = next(o for o in found.options if len(o.components) > 1)
    powder_g = next(c.grams.value for c in option.components if c.ingredient == "baking-powder" and c.grams)
    soda_meq = powder_g * (strength(book.ingredients["baking-powder"], book.functions[BASE]) or 0.0)
    assert soda_meq * CO2_G_PER_MEQ >= 0.5
    assert soda_meq * SODA_AND_ACID_G_PER_MEQ <= 4.5


CO2_G_PER_MEQ = 0.04401
SODA_AND_ACID_G_PER_MEQ = 0.084007 + 0.18818
"""Soda with the heaviest of its usual acids, cream of tartar."""


@pytest.mark.parametrize(
    ("ingredient", "diet"), [("egg", "vegan"), ("milk", "vegan"), ("butter", "vegan"), ("honey", "vegan")]
)
def test_an_answer_for_a_diet_fits_one_screen_and_brings_nothing_barred(
    ingredient: str, diet: str, book: Rulebook
) -> None:
    found = instead(book, ingredient, 100, "g", diets=[diet])
    assert found.options
    assert all((option.diets or {})[diet] != "no" for option in found.options)
    assert len(phrasing.instead(found, book).splitlines()) < 60
