"""Reading recipes: our YAML form, pasted text, schema.org data; and what is said when they can't be read."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.formula.card import read_yield
from assistant.formula.method import heats_in, kind_of_step, read_steps, times_in
from assistant.formula.model import STEP_KINDS, Bake, Formula
from assistant.formula.read import LIMIT_BYTES, Read, read_formula, read_text
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Fault, Place

SEED_ROLLS = """\
Seeded hut rolls

A roll for the way up.
Makes 8 rolls

Ingredients:
• 1 1/2 cups (168 g) almond flour
• 45 g psyllium husk
• 2 tsp baking powder
• 1 cup boiling water
• 3 large egg whites

For the topping:
1 tbsp butter, melted (optional)

Instructions
1. Preheat the oven to 350°F (175°C). Line a baking sheet with parchment.
2. Whisk the almond flour, psyllium husk and baking powder in a bowl.
3. Stir in the egg whites, then the boiling water. Let the dough rest 5 minutes.
4. With wet hands, shape 8 rolls.
5. Bake for 50-60 minutes. Let cool 10 minutes on a rack.

Notes
Keep three days in a cloth.
"""

PLAIN = """\
Larch loaf

500 g bread flour
350 ml lukewarm water
1 packet (7 g) active dry yeast
2 tbsp olive oil

Dissolve the yeast in the water and wait 10 minutes until foamy.
Stir in the flour and oil and knead for 8 to 10 minutes.
Cover and let rise until doubled, 1 to 1 1/2 hours.
Shape into a loaf and place in a loaf tin. Proof 40 minutes.
Bake at gas mark 7 for 35 minutes.
"""


def formula(text: str, book: Rulebook, form: str = "text") -> Formula:
    found, faults = read_text(text, book, "as typed", form)
    assert found is not None, [fault.sentence for fault in faults]
    return found


def only_fault(read: Read) -> Fault:
    """The one fault that left nothing to go on with."""
    found, faults = read
    assert found is None
    assert len(faults) == 1, [fault.sentence for fault in faults]
    assert faults[0].stops
    assert faults[0].mend
    return faults[0]


# -- text -----------------------------------------------------------------------------------------


def test_a_pasted_recipe_is_read_whole(book: Rulebook) -> None:
    found = formula(SEED_ROLLS, book)
    assert (found.name, found.pieces, found.piece_name) == ("Seeded hut rolls", 8, "roll")
    assert [line.ingredient for line in found.lines] == [
        "almond-flour",
        "psyllium-husk",
        "baking-powder",
        "water",
        "egg-white",
        "butter",
    ]
    assert [line.grams for line in found.lines] == [168.0, 45.0, 9.2, 237.0, 99.0, pytest.approx(14.2)]
    assert [line.part for line in found.lines] == [""] * 5 + ["topping"]
    assert [step.kind for step in found.steps] == ["prepare", "mix", "mix", "rest", "shape", "bake", "cool"]
    assert found.bake == Bake(175.0, 55.0, 50.0, 60.0, "sheet", "still")
    assert found.steps[1].uses == (0, 1, 2)
    assert found.note == "A roll for the way up.\nKeep three days in a cloth."


def test_a_recipe_without_headings_is_told_apart_by_its_lines(book: Rulebook) -> None:
    found = formula(PLAIN, book)
    assert found.name == "Larch loaf"
    assert len(found.lines) == 4
    assert [step.kind for step in found.steps] == ["bloom", "mix", "proof", "shape", "proof", "bake"]
    assert [(step.minutes, step.minutes_high) for step in found.steps] == [
        (10, None),
        (8, 10),
        (60, 90),
        (None, None),
        (40, None),
        (35, None),
    ]
    assert found.bake is not None
    assert (found.bake.oven_c, found.bake.pan) == (pytest.approx(218.3), "loaf tin")  # 425 F, SP 811 B.8


def test_markdown_headings_and_rules_are_only_layout(book: Rulebook) -> None:
    text = (
        "# Hut bread\n---\n**Makes:** 1 loaf\n\n## Ingredients\n\n### For the dough\n* 300 g bread flour\n"
        "* 200 g water\n\n## Method\n\n1. **Mix** all.\n2. Bake at 220 °C for 30 minutes.\n"
    )
    found = formula(text.replace("**", ""), book)
    assert (found.name, found.pieces, found.piece_name) == ("Hut bread", 1, "loaf")
    assert [line.part for line in found.lines] == ["dough", "dough"]
    assert found.bake is not None


LAYOUTS = {
    "a list in one line": (
        "SCONES\n\nINGREDIENTS: 2 cups all-purpose flour, 1 tsp baking soda, 3/4 cup buttermilk\n"
        "DIRECTIONS: Mix all. Cut into 8 wedges. Bake at 425F for 14 minutes.\nYield: 8 scones\n"
    ),
    "a table": (
        "Scones\n\n| Ingredient | Amount | % |\n|---|---|---|\n| All-purpose flour | 250 g | 100% |\n"
        "| Baking soda | 4.6 g | 1.8% |\n| Buttermilk | 183.75 g | 73.5% |\n\nMakes 8 scones\n\n"
        "Mix all. Cut into 8 wedges. Bake at 425F for 14 minutes.\n"
    ),
    "tabs and old line ends": (
        "Scones\r\n\r\nAll-purpose flour\t250g\r\nBaking soda\t1 tsp\r\nButtermilk\t3/4 cup\r\n\r\n"
        "Step 1\r\nMix all. Cut into 8 wedges.\r\n\r\nStep 2\r\nBake at 425F for 14 minutes.\r\n\r\n"
        "Makes 8 scones\r\n"
    ),
    "steps numbered without a full stop": (
        "Scones\nMakes 8 scones\n\nYou will need:\n250 g all-purpose flour\n1 tsp baking soda\n"
        "3/4 cup buttermilk\n\n"
        "1 Mix all of it together.\n2 Cut it into 8 wedges.\n3 Bake at 425F for 14 minutes.\n"
    ),
    "talk before and figures after": (
        "Scones (the tall ones!)\nby the warden\nPrep time: 10 min\nServings: 8\nCalories: 150\n\n"
        "I bake these with 2 friends, and we eat them in 5 minutes, so make more than you think you need.\n\n"
        "2 cups all-purpose flour\n1 tsp baking soda\n\n3/4 cup buttermilk\n\nMix all.\nCut into 8 wedges.\n"
        "Bake at 425F for 14 minutes.\n\nNutrition per scone: Fat 1 g\n"
    ),
}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_recipe_is_the_same_however_it_is_laid_out(layout: str, book: Rulebook) -> None:
    """2 cups of flour at 125 g, a teaspoon of soda at 4.6 g, 3/4 cup of buttermilk at 245 g: USDA SR28."""
    found = formula(LAYOUTS[layout], book)
    assert [line.ingredient for line in found.lines] == ["all-purpose-flour", "baking-soda", "buttermilk"]
    assert [line.grams for line in found.lines] == pytest.approx([250.0, 4.6, 183.75])
    assert found.pieces == 8
    assert [step.kind for step in found.steps] == ["mix", "shape", "bake"]
    assert found.bake is not None
    assert (found.bake.oven_c, found.bake.minutes) == (218.3, 14.0)
    assert found.name.lower().startswith("scones")


def test_headings_of_parts_are_known_without_a_colon(book: Rulebook) -> None:
    text = (
        "Buns\n\nIngredients\n\nFOR THE DOUGH\n500 g bread flour\n\nFILLING\n100 g butter\n\n"
        "The glaze\n30 g milk\n5 g honey\n"
    )
    assert [line.part for line in formula(text, book).lines] == ["dough", "filling", "the glaze", "the glaze"]


def test_a_recipe_without_a_title_is_called_after_its_file(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "sunday_loaf.txt"
    path.write_text("Ingredients\n500 g bread flour\n", encoding="utf-8")
    found, faults = read_formula(path, book)
    assert found is not None
    assert found.name == "Sunday loaf"
    assert any("no title" in fault.what for fault in faults)


def test_nothing_that_is_written_is_lost(book: Rulebook) -> None:
    """Every word of a recipe stands in its name, lines, steps, yield or note."""
    found = formula(SEED_ROLLS, book)
    kept = " ".join(
        [
            found.name,
            found.note,
            found.piece_name,
            str(found.pieces),
            *(line.text for line in found.lines),
            *(line.part for line in found.lines),
            *(step.text for step in found.steps),
        ]
    )
    layout = {"Makes", "rolls", "Ingredients:", "•", "For", "the", "topping:", "Instructions", "Notes"}
    words = {word for word in SEED_ROLLS.split() if not word.rstrip(".").isdigit()} - layout
    assert [word for word in sorted(words) if word not in kept] == []


def test_two_ingredients_in_one_line_become_two(book: Rulebook) -> None:
    found = formula("Custard\n\n1 egg plus 1 egg yolk\n250 ml milk\n", book)
    assert [(line.ingredient, line.grams) for line in found.lines[:2]] == [("egg", 50.0), ("egg-yolk", 17.0)]


def test_british_words_make_british_measures(book: Rulebook) -> None:
    """A UK pint holds 568.26 ml (NIST SP 811 B.8), a US pint 473.18 ml."""
    british = formula(
        "Batter\n\n200 g plain flour\n1 pint water\n\nHeat to gas mark 6. Bake 20 minutes.\n", book
    )
    american = formula(
        "Batter\n\n200 g all-purpose flour\n1 pint water\n\nBake at 400 F for 20 minutes.\n", book
    )
    ours, theirs = british.lines[1].grams, american.lines[1].grams
    assert ours is not None
    assert theirs is not None
    assert ours / theirs == pytest.approx(568.26125 / 473.1765, rel=1e-3)


def test_signs_of_html_are_read_as_what_they_stand_for(book: Rulebook) -> None:
    found = formula("Bread &amp; butter\n\n&frac12; cup butter\n1&nbsp;1/4 cups all-purpose flour\n", book)
    assert found.name == "Bread & butter"
    assert [line.amount for line in found.lines] == [0.5, 1.25]


def test_an_unknown_ingredient_stays_with_a_fault_that_does_not_stop(book: Rulebook) -> None:
    found, faults = read_text("Bread\n\n500 g bread flour\n30 g moonroot\n", book, "paste")
    assert found is not None
    assert (found.lines[1].name, found.lines[1].ingredient, found.lines[1].grams) == ("moonroot", None, 30.0)
    mine = [fault for fault in faults if "moonroot" in fault.what]
    assert [(fault.where, fault.stops) for fault in mine] == [(Place("paste", 4), False)]


@pytest.mark.parametrize(
    ("text", "pieces", "piece"),
    [
        ("8 rolls", 8, "roll"),
        ("12", 12, ""),
        ("about 24 cookies", 24, "cookie"),
        ("2 dozen muffins", 24, "muffin"),
        ("one 9-inch loaf", 1, "loaf"),
        ("1 large loaf (16 slices)", 1, "loaf"),
        ("2 loaves", 2, "loaf"),
        ("10 to 12 scones", 11, "scone"),
        ("4 servings", 4, "serving"),
        ("16 small brownies", 16, "brownie"),
    ],
)
def test_a_yield_is_a_number_of_pieces_and_their_name(text: str, pieces: int, piece: str) -> None:
    assert read_yield(text, Place("as typed"))[:2] == (pieces, piece)


# -- steps ----------------------------------------------------------------------------------------

KINDS = [
    ("Preheat the oven to 180 C.", "prepare"),
    ("Heat oven to 350 F.", "prepare"),
    ("Grease and line a loaf tin.", "prepare"),
    ("Line a baking sheet with parchment.", "prepare"),
    ("Whisk the dry ingredients together.", "mix"),
    ("Sift the flour with the baking powder.", "mix"),
    ("Knead until smooth, about 8 minutes.", "mix"),
    ("Fold in the raisins.", "mix"),
    ("Cream the butter and sugar.", "mix"),
    ("Add the flour before baking soda is wet.", "mix"),
    ("Dissolve the yeast in the warm water.", "bloom"),
    ("Sprinkle the yeast over the milk and wait until frothy.", "bloom"),
    ("Let the dough rest for 10 minutes.", "rest"),
    ("Chill for an hour.", "rest"),
    ("Leave for 10 minutes to thicken.", "rest"),
    ("Cover and let rise until doubled.", "proof"),
    ("Proof for 45 minutes.", "proof"),
    ("Leave to prove in a warm place.", "proof"),
    ("Shape into 8 rolls.", "shape"),
    ("Divide the dough into 12 pieces.", "shape"),
    ("Scrape the batter into the tin.", "shape"),
    ("Pour into the prepared tin.", "shape"),
    ("Place the rolls on the tray.", "shape"),
    ("Score the top.", "shape"),
    ("Bake for 25-30 minutes until golden.", "bake"),
    ("Bake at 180 C.", "bake"),
    ("Return to the oven for 5 minutes.", "bake"),
    ("Cook for 2 minutes on each side.", "cook"),
    ("Bring the milk to a boil.", "cook"),
    ("Melt the butter.", "cook"),
    ("Cool on a wire rack.", "cool"),
    ("Let cool completely.", "cool"),
    ("Leave to cool in the tin.", "cool"),
    ("Serve warm.", "other"),
    ("Enjoy!", "other"),
]


@pytest.mark.parametrize(("text", "kind"), KINDS)
def test_the_kind_of_a_step_is_told_by_its_verbs(text: str, kind: str) -> None:
    assert kind_of_step(text) == kind


def test_every_kind_of_step_can_be_recognised() -> None:
    assert {kind for _, kind in KINDS} == set(STEP_KINDS)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("for 25 minutes", 25, 25),
        ("25-30 minutes", 25, 30),
        ("25 to 30 min", 25, 30),
        ("1 1/2 hours", 90, 90),
        ("1½ hours", 90, 90),
        ("1 hour 15 minutes", 75, 75),
        ("1 hr 15 min", 75, 75),
        ("1 to 1 1/2 hours", 60, 90),
        ("an hour", 60, 60),
        ("half an hour", 30, 30),
        ("30 seconds", 0.5, 0.5),
        ("50 mins - 1 hour", 50, 60),
        ("1-2 hours", 60, 120),
        ("overnight", 480, 720),
        ("45min", 45, 45),
        ("one and a half hours", 90, 90),
    ],
)
def test_a_time_is_read_in_minutes(text: str, low: float, high: float) -> None:
    assert [(spell.low, spell.high) for spell in times_in(text)] == [(low, high)]


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("350 F", [176.7]),
        ("350°F", [176.7]),
        ("350 degrees F", [176.7]),
        ("350 degrees Fahrenheit", [176.7]),
        ("350 degrees", [176.7]),
        ("175°C/350°F", [175.0, 176.7]),
        ("180C fan", [180.0]),
        ("gas mark 4", [176.7]),
        ("gas 4", [176.7]),
        ("gas mark 1/2", [121.1]),
        ("180 degrees", [180.0]),
        ("warm water (110 degrees)", [43.3]),
        ("375ºF", [190.6]),
        ("45 to 50 °C", [47.5]),
        ("1 cup flour", []),
        ("bake 25 minutes", []),
        ("5 C-clamps", []),
    ],
)
def test_a_temperature_is_read_in_celsius(text: str, celsius: list[float]) -> None:
    """Conversions by SP 811 B.8, to a tenth."""
    assert [heat.celsius for heat in heats_in(text)] == celsius


@pytest.mark.parametrize(
    ("method", "bake"),
    [
        ("Preheat the oven to 200 C. Bake 20 minutes.", (200.0, 20.0, "still")),
        ("Bake at 200 C for 20 to 24 minutes until 96 C inside.", (200.0, 22.0, "still")),
        ("Heat the oven to 180C/160C fan/gas 4. Bake 1 hour.", (180.0, 60.0, "still")),
        ("Heat the oven to 160C fan. Bake 1 hour.", (160.0, 60.0, "fan")),
        ("Bake at 220°C (fan 200°C) for 24 minutes.", (220.0, 24.0, "still")),
        (
            "Bake for 10 minutes at 220 C, then reduce to 190 C and bake 25 minutes more.",
            (190.0, 35.0, "still"),
        ),
        ("Bake at 350 F for 30 minutes; cool 10 minutes.", (176.7, 30.0, "still")),
        ("Preheat to 350 degrees. Bake for 40 minutes. Let cool for 1 hour.", (176.7, 40.0, "still")),
    ],
)
def test_the_bake_is_found_in_the_method(method: str, bake: tuple[float, float, str], book: Rulebook) -> None:
    found = formula(f"Bread\n\n500 g bread flour\n300 g water\n\n{method}\n", book)
    assert found.bake is not None
    assert (found.bake.oven_c, found.bake.minutes, found.bake.oven) == bake


def test_a_bake_without_a_temperature_is_said_with_its_place(book: Rulebook) -> None:
    found, faults = read_text(
        "Bread\n\n500 g bread flour\n300 g water\n\nBake for 30 minutes.\n", book, "paste"
    )
    assert found is not None
    assert found.bake is None
    assert [(str(f.where), f.what) for f in faults] == [("paste:6", "the bake step says no oven temperature")]


def test_a_bake_without_a_time_is_said(book: Rulebook) -> None:
    found, faults = read_text(
        "Bread\n\n500 g bread flour\n300 g water\n\nBake at 200 C until golden.\n", book
    )
    assert found is not None
    assert found.bake is None
    assert [f.what for f in faults] == ["the bake step says no time"]


def test_neighbouring_sentences_of_one_kind_stay_one_step() -> None:
    steps = read_steps("Mix the flour. Stir in the water. Cover. Let rise 1 hour. Bake 30 minutes.")
    assert [(step.kind, step.minutes) for step in steps] == [("mix", None), ("proof", 60), ("bake", 30)]


@given(st.text(max_size=120))
def test_any_text_is_read_as_steps_without_a_crash(text: str) -> None:
    assert all(step.kind in STEP_KINDS for step in read_steps(text))


# -- product class --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "product"),
    [
        ("Buns\n\n300 g bread flour\n150 g milk\n40 g butter\n5 g instant yeast\n", "enriched-bread"),
        ("Loaf\n\n500 g bread flour\n325 g water\n5 g instant yeast\n", "lean-bread"),
        (
            "Blueberry muffins\n\n300 g all-purpose flour\n12 g baking powder\n240 g milk\n100 g egg\n",
            "muffin",
        ),
        (
            "Rolls\n\n168 g almond flour\n45 g psyllium husk\n9 g baking powder\n237 g water\n",
            "gel-quick-bread",
        ),
        ("Rolls\n\n168 g almond flour\n45 g psyllium husk\n7 g instant yeast\n237 g water\n", "gel-bread"),
        ("Rice loaf\n\n300 g rice flour\n7 g instant yeast\n300 g water\n", "gluten-free-bread"),
        ("Challah\n\n500 g bread flour\n7 g instant yeast\n100 g egg\n200 g water\n", "braid"),
        ("Soda bread\n\n450 g all-purpose flour\n5 g baking soda\n380 g buttermilk\n", "soda-bread"),
    ],
)
def test_a_product_is_recognised_by_its_title_and_what_is_in_it(
    text: str, product: str, book: Rulebook
) -> None:
    assert formula(text, book).product == product


def test_a_stated_class_is_taken_by_id_or_name(book: Rulebook) -> None:
    for said in ("muffin", "Muffin"):
        text = f"Things\nKind: {said}\n\n300 g all-purpose flour\n12 g baking powder\n"
        assert formula(text, book).product == "muffin"
    found, faults = read_text("Things\nKind: moon cake\n\n300 g all-purpose flour\n", book)
    assert found is not None
    assert any("moon cake" in fault.what for fault in faults)


# -- YAML -----------------------------------------------------------------------------------------

YAML = """\
name: Hut rolls
product: lean-bread
yield: {pieces: 8, piece: roll}
altitude_m: 1900
room_c: 18
lines:
  - {ingredient: bread-flour, grams: 500}
  - {ingredient: water, grams: 330, note: lukewarm}
  - {ingredient: instant yeast, amount: 2, unit: tsp}
  - {ingredient: egg, amount: 2, unit: each, part: Glaze}
  - {name: moonroot, grams: 4}
steps:
  - {kind: mix, text: Mix., minutes: 5, minutes_high: 8, temperature_c: 26, uses: [bread-flour, moonroot]}
bake: {oven_c: 220, minutes: 30, minutes_low: 28, minutes_high: 34, pan: sheet, oven: fan}
note: Keeps two days.
"""


def test_our_yaml_form_says_all_of_a_formula(book: Rulebook) -> None:
    found, faults = read_text(YAML, book, "rolls.yaml", "yaml")
    assert found is not None
    assert [fault.what for fault in faults] == ['"moonroot" is no ingredient I know, so it stays as written']
    assert (found.pieces, found.piece_name, found.altitude_m, found.room_c) == (8, "roll", 1900.0, 18.0)
    assert found.lines[2].ingredient == "instant-yeast"
    assert found.lines[3].grams == 100.0  # two large eggs, USDA SR28 01123
    assert found.lines[3].part == "glaze"
    assert found.steps[0].uses == (0, 4)
    assert found.bake == Bake(220.0, 30.0, 28.0, 34.0, "sheet", "fan")
    assert found.note == "Keeps two days."


def test_every_packaged_recipe_is_read_without_a_fault(book: Rulebook) -> None:
    recipes = sorted((Path(__file__).parent.parent / "scenarios").rglob("*.yaml"))
    assert len(recipes) >= 7
    for path in recipes:
        found, faults = read_formula(path, book)
        assert found is not None, [fault.sentence for fault in faults]
        assert faults == (), (path, [fault.sentence for fault in faults])
        assert all(line.ingredient and line.grams for line in found.lines), path
        assert found.product, path


def yaml_with(old: str, new: str) -> str:
    assert old in YAML
    return YAML.replace(old, new)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (yaml_with("grams: 330", "grams: -330"), 8, "grams is -330"),
        (yaml_with("grams: 330", "grams: 330000"), 8, "more than 50 kg in one line"),
        (yaml_with("grams: 330", "grams: lots"), 8, "grams should be a number"),
        (yaml_with("grams: 330", "grams: .nan"), 8, "grams should be a number"),
        (yaml_with("unit: tsp", "unit: hogshead"), 9, '"hogshead" is no unit I know'),
        (yaml_with("grams: 330", "gramms: 330"), 8, 'a line has no "gramms"'),
        (yaml_with("room_c: 18", "room_k: 291"), 5, 'a recipe has no "room_k"'),
        (yaml_with("room_c: 18", "room_c: 80"), 5, "room_c is 80"),
        (yaml_with("kind: mix", "kind: dance"), 13, '"dance" is no kind of step'),
        (yaml_with("pieces: 8", "pieces: 2.5"), 3, "2.5 is no number of pieces"),
        (yaml_with("oven: fan", "oven: wood"), 14, 'an oven is "still" or "fan"'),
        (yaml_with("pan: sheet", "pan: helmet"), 14, '"helmet" is nothing I know to bake in'),
        (yaml_with("oven_c: 220, ", ""), 14, "the bake needs oven_c and minutes"),
        (yaml_with("room_c: 18", "name: Again"), 5, '"name" is given twice'),
        (yaml_with("{pieces: 8, piece: roll}", "{pieces: 8, piece: roll"), 4, "this is not YAML"),
        (yaml_with("room_c: 18", "room_c: &a 18"), None, ""),
    ],
)
def test_a_slip_in_yaml_is_said_with_its_line(
    text: str, line: int | None, words: str, book: Rulebook
) -> None:
    found, faults = read_text(text, book, "rolls.yaml", "yaml")
    if line is None:
        assert found is not None
        return
    said = [fault for fault in faults if fault.stops]
    assert found is None
    assert words in " ".join(fault.what for fault in said)
    assert line in {fault.where.line for fault in said}
    assert all(fault.mend for fault in said)


def test_all_slips_of_a_file_are_said_at_once(book: Rulebook) -> None:
    text = (
        yaml_with("grams: 330", "gramms: 330")
        .replace("kind: mix", "kind: dance")
        .replace("room_c: 18", "room_c: 99")
    )
    _, faults = read_text(text, book, "rolls.yaml", "yaml")
    assert len([fault for fault in faults if fault.stops]) == 3


def test_a_name_with_control_characters_is_cleaned_and_said(book: Rulebook) -> None:
    found, faults = read_text(YAML.replace("Hut rolls", '"Hut\\e[31m rolls"'), book, "rolls.yaml", "yaml")
    assert found is not None
    assert found.name == "Hut[31m rolls"
    assert any("can't be printed" in fault.what for fault in faults)


def test_a_yaml_bomb_is_refused(book: Rulebook) -> None:
    bomb = "a: &a [x, x]\nb: &b [*a, *a]\nlines: [*b, *b]\n"
    assert "by reference" in only_fault(read_text(bomb, book, "bomb.yaml", "yaml")).what
    assert only_fault(read_text("lines: " + "[" * 5000, book, "deep.yaml", "yaml")).stops
    code = "name: !!python/object/apply:os.getcwd []\nlines: []\n"
    assert read_text(code, book, "x.yaml", "yaml")[0] is None


# -- schema.org -----------------------------------------------------------------------------------

LD = {
    "@context": "https://schema.org",
    "@graph": [
        {"@type": "WebSite", "name": "A page"},
        {
            "@type": ["Recipe"],
            "name": "Hut rolls &amp; butter",
            "recipeYield": ["8", "8 rolls"],
            "recipeIngredient": ["500 g bread flour", "330 g water", "7 g instant yeast"],
            "recipeInstructions": [
                {
                    "@type": "HowToSection",
                    "name": "Dough",
                    "itemListElement": [{"@type": "HowToStep", "text": "Mix <b>all</b>."}],
                },
                {"@type": "HowToStep", "text": "Let rise 1 hour."},
                "Bake at 220 °C for 25 minutes.",
            ],
            "description": "For the way down.",
        },
    ],
}


def check_ld(found: Formula | None) -> None:
    assert found is not None
    assert (found.name, found.pieces, found.piece_name) == ("Hut rolls & butter", 8, "roll")
    assert [line.grams for line in found.lines] == [500.0, 330.0, 7.0]
    assert [step.kind for step in found.steps] == ["mix", "proof", "bake"]
    assert found.bake == Bake(220.0, 25.0)
    assert found.note == "For the way down."


def test_schema_org_data_are_read(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "rolls.json"
    path.write_text(json.dumps(LD), encoding="utf-8")
    check_ld(read_formula(path, book)[0])


def test_schema_org_data_in_a_page_are_read(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "rolls.html"
    data = f'<script type="application/ld+json">{json.dumps(LD)}</script>'
    page = f"<html><script>var x;</script>{data}<p>Hi</p></html>"
    path.write_text(page, encoding="utf-8")
    check_ld(read_formula(path, book)[0])


def test_a_page_without_data_is_read_by_its_text(book: Rulebook) -> None:
    page = (
        "<html><head><style>p {}</style></head><body><h1>Hut bread</h1><h2>Ingredients</h2>"
        "<ul><li>500 g bread flour</li><li>330&nbsp;g water</li></ul>"
        "<h2>Method</h2><p>Mix.</p><p>Bake at 220 C for 30 minutes.</p></body></html>"
    )
    found = formula(page, book, "html")
    assert found.name == "Hut bread"
    assert [line.grams for line in found.lines] == [500.0, 330.0]
    assert found.bake == Bake(220.0, 30.0)


def test_data_that_hold_no_recipe_are_refused(book: Rulebook) -> None:
    assert "no schema.org Recipe" in only_fault(read_text('{"a": 1}', book, "x.json", "json")).what
    assert "not JSON" in only_fault(read_text('{"a": ', book, "x.json", "json")).what
    assert only_fault(read_text("[" * 200_000, book, "x.json", "json")).stops


# -- what can't be read ---------------------------------------------------------------------------


def test_a_missing_file_and_a_folder_are_said(book: Rulebook, tmp_path: Path) -> None:
    assert "no such file" in only_fault(read_formula(tmp_path / "none.yaml", book)).what
    assert "folder" in only_fault(read_formula(tmp_path, book)).what
    assert only_fault(read_formula("x" * 5000, book)).stops
    assert only_fault(read_formula("a\0b", book)).stops


def test_too_long_a_text_is_refused_in_a_sentence(book: Rulebook, tmp_path: Path) -> None:
    assert "longer than 1 MB" in only_fault(read_text("500 g flour\n" * 500_000, book)).what
    path = tmp_path / "long.txt"
    path.write_bytes(b"x" * (LIMIT_BYTES + 1))
    assert "longer than 1 MB" in only_fault(read_formula(path, book)).what


@pytest.mark.parametrize("content", [b"", b"  \n\n", b"\x00\x01\x02\xff" * 50])
def test_a_file_with_nothing_to_read_is_refused(content: bytes, book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "odd.txt"
    path.write_bytes(content)
    assert only_fault(read_formula(path, book)).stops


@pytest.mark.parametrize(
    "text",
    [
        "The mountain stood still.\nNo bread was baked that day, and the warden went to bed.\n",
        "def main():\n    return 0\n\nif True:\n    main()\n",
        "3 bolts M8\n2 washers\n1 spanner\n",
        "a,b,c\n1,2,3\n4,5,6\n",
    ],
)
def test_a_text_that_is_no_food_is_refused_with_one_fault(text: str, book: Rulebook) -> None:
    assert "no recipe I can read" in only_fault(read_text(text, book, "paste", "text")).what


def test_more_than_a_kitchen_holds_is_refused(book: Rulebook) -> None:
    found, faults = read_text("Bread\n\n500 kg bread flour\n300 g water\n", book)
    assert found is None
    assert any("more than 50 kg" in fault.what and fault.where.line == 3 for fault in faults)


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("Bread\n\n500 g bread flour\n\n" + "let it " * 40_000, "text"),
        ("Bread\n\n500 g " + "flour " * 40_000, "text"),
        ("Bread\n\n" + "1 to " * 40_000, "text"),
        ("Bread\n\n500 g flour " + "(1 cup) " * 30_000, "text"),
        ("<script " * 40_000, "html"),
        ('<script type="application/ld+json">' * 8_000, "html"),
        ("<" * 200_000, "html"),
        ('name: x\nlines:\n- {ingredient: "' + "a" * 200_000 + '", grams: 5}\n', "yaml"),
    ],
    ids=lambda value: value[:24] if len(value) > 10 else value,
)
def test_a_text_made_to_choke_the_reader_is_refused_at_once(text: str, form: str, book: Rulebook) -> None:
    """Each of these takes minutes where a pattern looks back over what it has read."""
    found, faults = read_text(text, book, "choke", form)
    assert found is None
    assert any(fault.stops for fault in faults)


def test_every_prefix_of_a_recipe_is_read_without_a_crash(book: Rulebook) -> None:
    for text in (SEED_ROLLS, PLAIN):
        for end in range(0, len(text), 3):
            read_text(text[:end], book, "prefix", "text")


def test_every_prefix_of_a_yaml_recipe_is_read_without_a_crash(book: Rulebook) -> None:
    for end in range(0, len(YAML), 5):
        found, faults = read_text(YAML[:end], book, "prefix", "yaml")
        assert found is not None or faults


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=300))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
def test_any_text_is_answered_with_a_formula_or_a_fault(book: Rulebook, text: str) -> None:
    for form in ("text", "yaml", "json", "html"):
        found, faults = read_text(text, book, "any", form)
        assert found is not None or faults


def test_the_same_text_gives_the_same_formula(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    assert formula(SEED_ROLLS, book) == formula(SEED_ROLLS, book)
    assert larch_hut("seed-rolls") == larch_hut("seed-rolls")


# -- the ways people write ------------------------------------------------------------------------


def masses(text: str, book: Rulebook) -> tuple[dict[str, float | None], Formula, str]:
    """Masses by ingredient (the sum where one stands twice), the recipe, and what was said of it."""
    found, faults = read_text(text, book, "as typed", "text")
    assert found is not None, [fault.sentence for fault in faults]
    grams: dict[str, float | None] = {}
    for line in found.lines:
        so_far = grams.get(line.ingredient or line.name, 0.0)
        grams[line.ingredient or line.name] = None if line.grams is None or so_far is None else so_far + line.grams
    return grams, found, "\n".join(fault.sentence for fault in faults)


BLOG = """\
My grandmother's apple cake

When I was little, every Sunday smelled of this cake. We had 3 apple trees and 2 lazy cats.

Jump to recipe | Print | Pin

Why you'll love it
- It takes one bowl
- 10 minutes of work

Recipe: Apple cake
Cook time: 45 mins
Servings: 8

Ingredients
▢ 125 g (1/2 cup + 1 tbsp) unsalted butter, softened
▢ 3 large eggs, at room temperature
▢ 200 g (1 2/3 cups) plain flour
▢ 3-4 tart apples (about 600g/1lb 5oz), peeled and quartered
▢ icing sugar, for dusting

Instructions
1. Preheat your oven to 180°C (160°C fan / 350°F / gas mark 4) and line a 26cm/10in springform tin.
2. Beat the butter and eggs, fold in the flour.
3. Top with apples and bake for 40-45 minutes until golden.

Notes
You can use pears instead. Use 4 pears, 500 g.

Leave a comment
Anna says: I used 200 g sugar and it was too sweet!
"""


def test_a_page_of_talk_is_read_for_its_recipe(book: Rulebook) -> None:
    """Three large eggs are 150 g (USDA SR28 01123)."""
    grams, found, _ = masses(BLOG, book)
    assert grams == {"butter": 125, "egg": 150, "all-purpose-flour": 200, "apple": 600, "powdered-sugar": None}
    assert (found.pieces, found.bake) == (8, Bake(180.0, 42.5, 40.0, 45.0, "round tin"))


def test_ingredients_beside_the_method_are_read_down_their_column(book: Rulebook) -> None:
    text = """\
SEEDED HUT LOAF                     makes 1 loaf

Ingredients                         Method
400 g strong white flour            1. Mix everything but the seeds.
100 g wholemeal flour               2. Let rise 1 hour.
340 g water                         3. Work in the seeds.
50 g sunflower seeds                4. Bake at 220 C for 35 minutes.
"""
    for each in (text, text.replace("Ingredients                         Method\n", "")):
        grams, found, _ = masses(each, book)
        assert grams == {"bread-flour": 400, "whole-wheat-flour": 100, "water": 340, "sunflower-seed": 50}
        assert [step.kind for step in found.steps] == ["mix", "proof", "mix", "bake"]
        assert (found.name, found.pieces) == ("SEEDED HUT LOAF", 1)


@pytest.mark.parametrize(
    "table",
    [
        "Ingredient        %      grams\nBread flour       90     900\nRye flour         10     100\nWater  70  700\nSalt  2  20\nTotal  172  1720",
        "| Ingredient | g | % |\n|---|---|---|\n| Bread flour | 900 | 90 |\n| Rye flour | 100 | 10 |\n| Water | 700 | 70 |\n| Salt | 20 | 2 |",
        "Ingredient\tBaker's %\tWeight (g)\nBread flour\t90\t900\nRye flour\t10\t100\nWater\t70\t700\nSalt\t2\t20",
    ],
    ids=["blanks", "bars", "tabs"],
)
def test_a_table_of_bakers_percentages_is_read_by_its_weights(table: str, book: Rulebook) -> None:
    grams, _, said = masses(f"Hut bread\n\n{table}\n\nMix and bake at 230 C for 35 minutes.\n", book)
    assert list(grams.values()) == [900, 100, 700, 20]
    assert "only baker's percentages" not in said


def test_percentages_alone_are_taken_of_a_kilo_of_flour(book: Rulebook) -> None:
    """65 % of 1000 g."""
    grams, _, said = masses("Hut bread\n\nBread flour 100%\nWater 65%\nSalt 2%\nInstant yeast 0.8%\n\nBake at 230 C for 35 minutes.\n", book)
    assert grams == {"bread-flour": 1000, "water": 650, "salt": 20, "instant-yeast": 8}
    assert "only baker's percentages are given; I took 1000 g" in said


def test_metric_and_us_side_by_side_are_one_amount(book: Rulebook) -> None:
    text = (
        "Banana bread\n\n| Ingredient | Metric | US |\n|---|---|---|\n| All-purpose flour | 250 g | 2 cups |\n"
        "| Bananas, very ripe | 350 g | 3 medium |\n| Butter, melted | 115 g | 1 stick |\n| Eggs | 100 g | 2 large |\n"
    )
    grams, _, said = masses(text, book)
    assert list(grams.values()) == [250, 350, 115, 100]
    assert "Took" not in said


PREFERMENT = """\
Poolish baguettes
Makes 4 baguettes

Poolish (the night before)
250 g bread flour
250 g water
0.5 g instant yeast

Final dough
{poolish}
500 g bread flour
235 g water
15 g salt

Mix everything, bulk 90 minutes, divide into 4, shape, proof 45 min, bake at 240 C for 24 minutes.
"""


@pytest.mark.parametrize("line", ["all of the poolish", "the poolish", "500 g poolish (from above)", "Poolish, ripe"])
def test_a_preferment_is_counted_once(line: str, book: Rulebook) -> None:
    """250 + 500 g flour and 250 + 235 g water: 64.7 % hydration."""
    grams, found, said = masses(PREFERMENT.format(poolish=line), book)
    assert grams == {"bread-flour": 750, "water": 485, "instant-yeast": 0.5, "salt": 15}
    assert [each.part for each in found.lines] == ["poolish"] * 3 + ["final dough"] * 3
    assert "is counted by the lines of the poolish" in said
    assert "though" not in said


def test_a_preferment_of_which_not_all_goes_in_is_said(book: Rulebook) -> None:
    _, _, said = masses(PREFERMENT.format(poolish="300 g poolish"), book)
    assert "all 500 g of it though 300 g go in" in said


def test_a_sentence_that_tells_the_whole_day_is_its_steps(book: Rulebook) -> None:
    _, found, _ = masses(PREFERMENT.format(poolish="the poolish"), book)
    assert [(step.kind, step.minutes) for step in found.steps] == [
        ("mix", None), ("proof", 90.0), ("shape", None), ("proof", 45.0), ("bake", 24.0)
    ]  # fmt: skip


def test_quantities_may_follow_the_names(book: Rulebook) -> None:
    """150 ml of milk weigh 154.7 g (USDA SR28 01077: 244 g a cup); a pinch of salt 0.4 g (a sixteenth of 6 g)."""
    text = (
        "Scones for tea\n\nFlour ........ 250 g\nBaking powder ... 3 tsp\nButter, cold - 60g\nSugar  40g\nSalt: pinch\n"
        "Milk 150ml\nEgg, 1, to glaze\n\nBake 12 min at 220C.\n"
    )
    grams, found, _ = masses(text, book)
    assert grams == {
        "all-purpose-flour": 250, "baking-powder": pytest.approx(13.8), "butter": 60, "sugar": 40,
        "salt": pytest.approx(0.38, abs=0.03), "milk": pytest.approx(154.7, abs=0.2), "egg": 50,
    }  # fmt: skip
    assert found.lines[-1].note == "to glaze"


def test_a_recipe_told_in_a_breath_is_read(book: Rulebook) -> None:
    text = (
        "Irish soda bread. You need 450g plain flour, 1 tsp bicarb, 1 tsp salt and about 400ml buttermilk. Mix the dry "
        "things and stir in the buttermilk. Shape into a round and bake at 200C for 40 min.\n"
    )
    grams, found, _ = masses(text, book)
    assert list(grams) == ["all-purpose-flour", "baking-soda", "salt", "buttermilk"]
    assert grams["all-purpose-flour"] == 450
    assert found.name == "Irish soda bread"
    assert found.bake is not None


def test_a_part_in_a_line_is_a_list(book: Rulebook) -> None:
    text = (
        "Lemon drizzle cake\nServes 10 | Prep 15 min | Bake 45-50 min\n\n"
        "Cake: 225g unsalted butter, 225g caster sugar, 4 eggs, 225g self-raising flour, zest of 1 lemon\n"
        "Drizzle: juice 1½ lemons, 85g caster sugar\n\nSTEP 1\nBake in a loaf tin at 180C for 45-50 mins.\n"
        "STEP 2\nMix the lemon juice and sugar and pour over the drizzle.\n"
    )
    _, found, _ = masses(text, book)
    assert [line.part for line in found.lines] == ["cake"] * 5 + ["drizzle"] * 2
    assert [line.grams for line in found.lines[:4]] == [225, 225, 200, 225]
    assert (found.pieces, found.piece_name) == (10, "serving")
    assert found.steps[-1].uses == (5, 6)


def test_two_heats_with_a_time_each_are_two_stretches(book: Rulebook) -> None:
    text = "Bread\n\n500 g bread flour\n350 g water\n\nBake 20 min at 250°C with steam, then 25 min at 220°C.\n"
    _, found, said = masses(text, book)
    assert found.bake is not None
    assert found.bake.minutes == 45
    assert "it bakes at 220 and 250 C" in said


@pytest.mark.parametrize("text", ["a " * 50_000, "a: 1 " * 20_000, "you need 1 a, " * 5_000, " " * 100_000 + "5 %"])
def test_a_line_without_end_costs_no_time(text: str, book: Rulebook) -> None:
    found, faults = read_text(text, book, "as typed", "text")
    assert found is None
    assert faults


def test_a_frosting_that_is_also_sold_in_a_tub_heads_its_list(book: Rulebook) -> None:
    text = (
        "Cinnamon rolls\n\nDough\n400 g flour\n240 g milk\n7 g active dry yeast\n80 g butter\n\n"
        "Cream cheese frosting\n115 g cream cheese\n60 g butter\n\n"
        "Knead the butter into the flour and milk.\nRoll up and cut into 12 rolls.\nBake at 180 C for 25 minutes.\n"
        "Beat the cream cheese with the butter and spread over the rolls.\n"
    )
    _, found, said = masses(text, book)
    assert [line.part for line in found.lines] == ["dough"] * 4 + ["cream cheese frosting"] * 2
    assert found.steps[0].uses == (0, 1, 3)
    assert found.steps[-1].uses == (4, 5)
    assert "has no amount" not in said


@pytest.mark.parametrize(
    ("method", "pieces", "piece"),
    [
        ("Cut into 12 rolls.", 12, "roll"),
        ("Divide the dough into eight equal pieces and shape 8 small buns.", 8, "bun"),
        ("Shape two loaves.", 2, "loaf"),
        ("Cut into strips and bake.", None, ""),
        ("Divide into 4 pieces, then cut each in 3 rolls; shape 12 rolls.", None, ""),
    ],
)
def test_pieces_are_counted_by_the_method_where_no_yield_is_said(
    method: str, pieces: int | None, piece: str, book: Rulebook
) -> None:
    _, found, said = masses(f"Bread\n\n500 g bread flour\n300 g water\n\n{method}\nBake at 220 C for 20 minutes.\n", book)
    assert (found.pieces, found.piece_name) == (pieces, piece)
    assert ("by its method I count" in said) == (pieces is not None)
