"""Parts of a recipe: read, kept, told apart, scaled and exchanged, each by itself.

The sums are done by hand from the masses of Larch Hut's walnut buns and from USDA SR28: whole milk 01077 (88.13 g
water per 100 g), whole egg 01123 (76.15), unsalted butter 01145 (17.94), bread flour 20083 (13.36).
"""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.formula.model import Formula
from assistant.formula.parts import baked_when, dough_of, kind_of_part, oven_of, part_named
from assistant.formula.read import read_formula, read_text
from assistant.formula.scale import bakers_percentages, part_to_g, scale, scale_part
from assistant.formula.write import to_text, to_yaml
from assistant.plan.assess import assess
from assistant.plan.functions import Context
from assistant.plan.model import Assessment
from assistant.plan.options import options
from assistant.plan.what_if import what_if
from assistant.publish import document
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.talk.dialogue import Kitchen, State, begin, turn
from assistant.talk.judgement import Judgement
from assistant.talk.recipes import Shelf
from assistant.talk.utterance import Vocabulary

DOUGH, FILLING, ICING = range(7), range(7, 11), range(11, 14)
"""Places of the lines of the buns."""


@pytest.fixture
def buns(larch_hut: Callable[[str], Formula]) -> Formula:
    return larch_hut("walnut-buns")


def plain(formula: Formula, places: range) -> Formula:
    """Some lines of a recipe as a recipe of its own, without a word of parts, and with the steps that are its own."""
    steps = [step for step in formula.steps if not step.uses or set(step.uses) <= set(places)]
    steps = [replace(s, uses=tuple(u - places[0] for u in s.uses), part="") for s in steps if s.part != "filling"]
    return replace(
        formula, lines=tuple(replace(formula.lines[at], part="") for at in places), steps=tuple(steps[:6])
    )


# -- which part is what ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "baked"),
    [
        ("dough", "as dough"),
        ("poolish", "as dough"),
        ("dry ingredients", "as dough"),
        ("cream puff dough", "as dough"),
        ("nut filling", "inside"),
        ("pastry cream", "inside"),
        ("filling and crumb topping", "on top"),
        ("streusel topping", "on top"),
        ("lemon glaze", "after"),
        ("cream cheese frosting", "after"),
        ("icing for the cake", "after"),
    ],
)
def test_the_last_word_of_a_heading_says_when_a_part_is_baked(heading: str, baked: str, book: Rulebook) -> None:
    kind = kind_of_part(heading, book)
    assert kind is not None
    assert kind.baked == baked


def test_a_heading_nobody_knows_names_a_dough(book: Rulebook) -> None:
    assert kind_of_part("the warden's secret", book) is None


CAKE = """\
Hut cake

For the cake:
200 g cake flour
200 g sugar
4 eggs

For the {part}:
300 g cream
30 g sugar

1. Whisk the eggs with the sugar and fold in the flour.
{before}2. Bake at 180 C for 30 minutes.
{after}3. Serve.
"""


@pytest.mark.parametrize(
    ("part", "before", "after", "baked"),
    [
        ("filling", "Spread with the filling.\n", "", "inside"),
        ("filling", "", "Whip the cream and spread the filling between two layers.\n", "after"),
        ("glaze", "Brush with the glaze.\n", "", "on top"),
        ("glaze", "", "Pour on the glaze.\n", "after"),
        ("icing", "Stir the icing while the oven heats.\n", "", "after"),
    ],
)
def test_the_method_decides_where_a_heading_leaves_it_open(
    part: str, before: str, after: str, baked: str, book: Rulebook
) -> None:
    found, _ = read_text(CAKE.format(part=part, before=before, after=after), book, "cake", "text")
    assert found is not None
    assert baked_when(found, book) == {"cake": "as dough", part: baked}


# -- read and kept --------------------------------------------------------------------------------

TEXT = """\
Larch buns

For the dough:
500 g bread flour
250 g milk
60 g sugar
60 g butter
7 g instant yeast

For the lemon icing:
150 g icing sugar
15 g butter
25 g lemon juice

Method

For the dough:
1. Mix the flour, milk, sugar and yeast and knead in the butter.
2. Let rise for 70 minutes.
3. Bake at 185 C for 24 minutes.

To make the icing:
4. Melt the butter with the lemon juice.
"""


@pytest.fixture
def typed(book: Rulebook) -> Formula:
    found, faults = read_text(TEXT, book, "buns.txt", "text")
    assert found is not None, faults
    return found


def test_a_step_takes_what_is_of_its_own_part(typed: Formula) -> None:
    """Lines 4 and 7 are butter; 3 and 6 sugar."""
    assert [step.part for step in typed.steps] == ["dough", "dough", "dough", "lemon icing"]
    assert typed.steps[0].uses == (0, 1, 2, 3, 4)
    assert typed.steps[-1].uses == (6, 7)


def test_a_heading_that_says_more_than_the_part_stays_with_its_step(typed: Formula) -> None:
    assert typed.steps[0].text.startswith("Mix the flour")
    assert typed.steps[-1].text.startswith("To make the icing: Melt")


def test_without_headings_the_other_names_of_a_sentence_tell_the_part(book: Rulebook) -> None:
    text = TEXT.replace("For the dough:\n1.", "1.").replace("To make the icing:\n", "").replace(
        "Melt the butter with", "Melt the butter and stir it into"
    )
    found, _ = read_text(text, book, "buns.txt", "text")
    assert found is not None
    assert [step.uses for step in found.steps] == [(0, 1, 2, 3, 4), (), (), (6, 7)]


@pytest.mark.parametrize("form", ["yaml", "text"])
def test_parts_are_the_same_once_written_and_read(form: str, typed: Formula, buns: Formula, book: Rulebook) -> None:
    for formula in (typed, buns):
        written = to_yaml(formula) if form == "yaml" else to_text(formula, book)
        again, faults = read_text(written, book, f"again.{form}", form)
        assert again is not None, faults
        assert [line.part for line in again.lines] == [line.part for line in formula.lines]
        assert again.steps == formula.steps


def test_sections_of_schema_org_data_are_parts(book: Rulebook, tmp_path: Path) -> None:
    recipe = {
        "@type": "Recipe",
        "name": "Larch buns",
        "recipeIngredient": ["For the dough:", "500 g bread flour", "250 g milk", "7 g instant yeast", "20 g butter",
                             "Icing:", "150 g icing sugar", "15 g butter"],
        "recipeInstructions": [
            {"@type": "HowToSection", "name": "Dough", "itemListElement": ["Mix all with the butter.", "Bake at 185 C for 24 minutes."]},
            {"@type": "HowToSection", "name": "Make the icing", "itemListElement": ["Whisk the sugar into the butter."]},
        ],
    }  # fmt: skip
    path = tmp_path / "buns.json"
    path.write_text(json.dumps(recipe), encoding="utf-8")
    found, _ = read_formula(path, book)
    assert found is not None
    assert [line.part for line in found.lines] == ["dough"] * 4 + ["icing"] * 2
    assert [(step.part, step.uses) for step in found.steps] == [("dough", (3,)), ("dough", ()), ("icing", (4, 5))]
    read = document.read(found, (), book)
    assert [line["part"] for line in read["lines"]] == ["dough"] * 4 + ["icing"] * 2
    assert [step["part"] for step in read["steps"]] == ["dough", "dough", "icing"]


def test_a_step_of_a_part_that_no_line_has_is_a_fault(buns: Formula, book: Rulebook) -> None:
    text = to_yaml(buns).replace("part: icing, minutes: 5", "part: frosting, minutes: 5")
    found, faults = read_text(text, book, "buns.yaml", "yaml")
    assert found is None
    assert 'no line is of the part "frosting"' in faults[0].what


# -- told apart -----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def judged(book: Rulebook) -> Assessment:
    path = Path(__file__).parent.parent / "scenarios" / "larch-hut" / "walnut-buns.yaml"
    found, _ = read_formula(path, book)
    assert found is not None
    return assess(found, book)


def test_masses_are_summed_part_by_part(buns: Formula, book: Rulebook) -> None:
    """Dough 500+250+50+60+60+8+7, filling 150+60+75+3, icing 150+15+25."""
    assert dough_of(buns, book).dough_g == 935
    assert oven_of(buns, book).dough_g == 935 + 288
    assert buns.dough_g == 935 + 288 + 190


def test_bakers_percentages_stand_on_the_flour_of_the_dough(buns: Formula, book: Rulebook) -> None:
    shares = bakers_percentages(buns, book)
    assert [shares[at] for at in DOUGH] == pytest.approx([100, 50, 10, 12, 12, 1.6, 1.4])
    assert [shares[at] for at in (*FILLING, *ICING)] == [None] * 7


def test_a_streusel_stands_on_its_own_flour(book: Rulebook) -> None:
    text = "Cake\n\nFor the cake:\n400 g flour\n\nFor the streusel:\n100 g flour\n80 g butter\n"
    found, _ = read_text(text, book, "cake", "text")
    assert found is not None
    assert bakers_percentages(found, book) == (100, 100, pytest.approx(80))


def test_water_and_hydration_are_the_doughs(judged: Assessment) -> None:
    """Milk 250 g x 0.8813, egg 50 x 0.7615, butter 60 x 0.1794; flour brings 500 x 0.1336 of its own."""
    added = 250 * 0.8813 + 50 * 0.7615 + 60 * 0.1794
    assert judged.chemistry.hydration_pct.value == pytest.approx(100 * added / 500, abs=0.5)
    assert judged.chemistry.water_g.value == pytest.approx(added + 500 * 0.1336, abs=2)


def test_the_icings_lemon_meets_no_soda_and_its_sugar_is_no_food(buns: Formula, judged: Assessment, book: Rulebook) -> None:
    alone = assess(plain(buns, DOUGH), book)
    assert judged.chemistry.acid_mmol.value == 0
    for number in ("yeast_gas_ml", "ph", "free_water_g", "salt_pct", "mix_c"):
        here, there = getattr(judged.chemistry, number), getattr(alone.chemistry, number)
        assert here.value == pytest.approx(there.value), number
    for word, found in judged.crumb.items():
        assert found.value == pytest.approx(alone.crumb[word].value, rel=0.15), word


def test_soda_in_the_batter_stays_unmet_by_the_icings_acid(book: Rulebook) -> None:
    """3 g of soda are 35.7 mmol (84.007 g/mol); 30 g of lemon juice at 0.75 meq/g would meet 22 of them."""
    text = "Hut cake\n\nFor the batter:\n300 g plain flour\n3 g baking soda\n200 g milk\n\nFor the icing:\n{}\n200 g icing sugar\n"
    found = [read_text(text.format(acid), book, "cake", "text")[0] for acid in ("30 g lemon juice", "30 g water")]
    left = [assess(each, book).chemistry.unneutralised_soda_g.value for each in found if each is not None]
    assert left[0] == pytest.approx(left[1])
    assert left[0] == pytest.approx(3.0, abs=0.3)


def test_nutrition_is_of_the_whole(buns: Formula, judged: Assessment, book: Rulebook) -> None:
    kcal = sum(line.grams * book.ingredients[line.ingredient].composition["energy_kcal"].value / 100
               for line in buns.lines if line.ingredient and line.grams)  # fmt: skip
    energy = judged.nutrition.per_piece["energy_kcal"]
    assert energy is not None
    assert energy.value == pytest.approx(kcal / 12)
    assert judged.allergens["nuts"] == "contains"


def test_what_never_goes_into_the_oven_loses_nothing_there(buns: Formula, judged: Assessment, book: Rulebook) -> None:
    """A bun loses what it would without its icing, so it weighs that much more: 190 g / 12."""
    bare = assess(oven_of(buns, book), book)
    gained = judged.nutrition.baked_piece_g.value - bare.nutrition.baked_piece_g.value
    assert gained == pytest.approx(190 / 12, abs=0.05)


def test_the_filling_bakes_along_and_the_icing_does_not(buns: Formula, book: Rulebook) -> None:
    def minutes(places: range, factor: float) -> float:
        changed = scale_part(buns, frozenset(places), factor, book).formula
        assert changed is not None
        bake = what_if(buns, changed, "", book).bake
        assert bake is not None
        return float(bake.minutes.value)

    assert minutes(ICING, 3) == pytest.approx(24, abs=0.01)
    assert minutes(FILLING, 3) > 24.5


def test_a_line_does_in_its_part_what_it_does_there(buns: Formula, book: Rulebook) -> None:
    matters = Context(buns, book).matters
    assert "yeast-food" in matters[3]
    assert "yeast-food" not in matters[8] + matters[11]
    assert {"fat", "tenderness"} <= set(matters[12])


# -- raw egg --------------------------------------------------------------------------------------

ROYAL = """\
Hut cookies

For the dough:
300 g plain flour
150 g butter
100 g sugar
{dough}
For the {part}:
40 g egg white
200 g icing sugar

1. Mix the flour, butter and sugar.
{before}2. Bake at 180 C for 12 minutes.
3. {after}
"""


@pytest.mark.parametrize(
    ("part", "before", "after", "raw"),
    [
        ("icing", "", "Beat the egg white with the icing sugar and pipe it on.", True),
        ("icing", "", "Pour a boiling syrup of the icing sugar over the egg white and beat.", True),
        ("icing", "", "Whisk the egg white and icing sugar over simmering water to 71 C, then spread.", False),
        ("meringue", "Beat the egg white with the icing sugar and spread the meringue on top.\n", "Cool.", False),
        ("meringue", "", "Beat the egg white with the icing sugar and spread the meringue on top.", True),
    ],
)
def test_egg_white_that_stays_raw_is_told(part: str, before: str, after: str, raw: bool, book: Rulebook) -> None:
    found, _ = read_text(ROYAL.format(part=part, before=before, after=after, dough=""), book, "cookies", "text")
    assert found is not None
    told = assess(found, book).cautions
    assert (book.cautions["egg-stays-raw"].text in told) == raw


def test_the_egg_in_a_dough_is_baked(judged: Assessment, book: Rulebook) -> None:
    assert book.cautions["egg-stays-raw"].text not in judged.cautions
    assert book.cautions["flour-stays-raw"].text not in judged.cautions


# -- scaled ---------------------------------------------------------------------------------------


def test_one_part_is_scaled_and_all_else_stays(buns: Formula, book: Rulebook) -> None:
    twice = scale_part(buns, part_named("icing", buns, book), 2, book).formula
    assert twice is not None
    assert [line.grams for line in twice.lines[11:]] == [300, 30, 50]
    assert twice.lines[:11] == buns.lines[:11]
    assert (twice.pieces, twice.bake) == (buns.pieces, buns.bake)


def test_a_dough_is_brought_to_a_weight(buns: Formula, book: Rulebook) -> None:
    """900 of 935 g: a bun goes into the oven at (900 + 288) / 12 = 99 g instead of 101.9."""
    scaled = part_to_g(buns, part_named("the dough", buns, book), 900, book)
    assert scaled.formula is not None
    assert dough_of(scaled.formula, book).dough_g == pytest.approx(900)
    assert scaled.formula.lines[0].grams == pytest.approx(500 * 900 / 935)
    assert scaled.formula.lines[7:] == buns.lines[7:]
    assert "these are 99 g" in " ".join(fault.what for fault in scaled.faults)


def test_everything_scaled_keeps_its_parts(buns: Formula, book: Rulebook) -> None:
    twice = scale(buns, 2, book).formula
    assert twice is not None
    assert [line.part for line in twice.lines] == [line.part for line in buns.lines]
    assert [step.part for step in twice.steps] == [step.part for step in buns.steps]
    assert "cut into 24 buns" in twice.steps[4].text


# -- exchanged ------------------------------------------------------------------------------------


def test_a_swap_in_the_icing_leaves_the_dough_alone(buns: Formula, book: Rulebook) -> None:
    found = options(buns, 12, book, book.ingredients["margarine"])
    (plan,) = found.options
    moved = {c.name for c in plan.changes if c.before_g != (None if c.after_g is None else c.after_g.value)}
    assert moved == {"unsalted butter", "margarine, stick, 80 % fat"}
    (new,) = [line for line in plan.formula.lines if line.ingredient == "margarine"]
    assert (new.grams, new.part, new.amount, new.unit) == (15.0, "icing", 3.25, "tsp")  # 4.7 g a teaspoon
    assert plan.formula.lines[-1] == new
    icing = [step for step in plan.method if step.part == "icing"]
    assert icing[0].text.startswith("Melt the margarine, whisk it with the icing sugar")
    assert [step.text for step in plan.method if step.part == "dough"] == [
        step.text for step in buns.steps if step.part == "dough"
    ]


def test_a_swap_in_the_dough_leaves_the_icing_alone(buns: Formula, book: Rulebook) -> None:
    """Milk stands in dough and filling: only the dough's goes, and what comes goes there."""
    for plan in options(buns, 1, book).options:
        lines = [line for line in plan.formula.lines if line.part in ("filling", "icing")]
        assert [(line.ingredient, line.grams) for line in lines] == [
            (line.ingredient, line.grams) for line in buns.lines[7:]
        ]
        parts = [line.part for line in plan.formula.lines]
        assert parts == sorted(parts, key=["dough", "filling", "icing"].index)


def test_nothing_raises_an_icing(book: Rulebook) -> None:
    text = "Cake\n\nFor the cake:\n300 g flour\n9 g baking powder\n200 g milk\n\nFor the icing:\n200 g icing sugar\n5 g baking powder\n"
    found, _ = read_text(text, book, "cake", "text")
    assert found is not None
    assert not any(o.formula.product != found.product for o in options(found, 4, book).options)


# -- in the conversation --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def kitchen(book: Rulebook, tmp_path_factory: pytest.TempPathFactory) -> Kitchen:
    names = Names(book)
    shelf = Shelf(book, names, tmp_path_factory.mktemp("hut"))
    return Kitchen(book, Vocabulary.of(book, names), Judgement(book), shelf)


def say(state: State, text: str, kitchen: Kitchen) -> tuple[State, str]:
    after, said = turn(state, text, kitchen)
    return after, said.reply


@pytest.mark.parametrize(
    ("words", "place", "grams"),
    [
        ("double the icing", 11, 300.0),
        ("halve the filling", 7, 75.0),
        ("make 1.5 times the icing", 13, 37.5),
        ("scale the dough to 900 g", 0, 500 * 900 / 935),
        ("make 380 g of icing", 11, 300.0),
        ("double it", 11, 300.0),
    ],
)
def test_a_part_is_scaled_by_a_word(words: str, place: int, grams: float, buns: Formula, kitchen: Kitchen) -> None:
    after, _ = say(begin(buns), words, kitchen)
    assert after.formula.lines[place].grams == pytest.approx(grams)
    whole = words == "double it"
    assert (after.formula.dough_g == pytest.approx(2 * 1413)) == whole


def test_what_stands_in_two_parts_is_asked_after(buns: Formula, kitchen: Kitchen) -> None:
    state, asked = say(begin(buns), "I have no butter", kitchen)
    assert "unsalted butter in the dough, 60 g" in asked
    assert "unsalted butter in the icing, 15 g" in asked
    _, told = say(state, "2", kitchen)
    assert "unsalted butter in the icing 15 g out" in told


def test_a_swap_may_name_the_part(buns: Formula, kitchen: Kitchen) -> None:
    _, told = say(begin(buns), "swap the butter in the icing for margarine", kitchen)
    assert "unsalted butter in the icing 15 g out" in told
    assert "60 g out" not in told
    _, told = say(begin(buns), "swap the walnuts in the icing for almonds", kitchen)
    assert "no" in told and "icing" in told


def test_why_is_answered_for_the_part(buns: Formula, kitchen: Kitchen) -> None:
    _, told = say(begin(buns), "why the sugar in the dough", kitchen)
    assert "white sugar in the dough" in told.lower()
    _, told = say(begin(buns), "why the lemon juice", kitchen)
    assert "soda" not in told


def test_the_recipe_is_shown_part_by_part(buns: Formula, kitchen: Kitchen) -> None:
    _, told = say(begin(buns), "show the recipe", kitchen)
    assert "dough 935 g, filling 288 g, icing 190 g" in " ".join(told.split())
    assert [line.strip() for line in told.splitlines() if line.endswith(":")] == ["dough:", "filling:", "icing:"]


def test_words_that_only_sound_like_a_part_are_an_ingredient(buns: Formula, kitchen: Kitchen) -> None:
    after, told = say(begin(buns), "what if I double the icing sugar", kitchen)
    assert "powdered sugar" in told
    assert after.formula == buns
