"""Packets: a label as typed, what it becomes, the shelf it is kept on, and the conversation that asks for it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.formula.model import Formula, Line
from assistant.laws.nutrition import eu_label, eu_label_ends, us_label, us_label_ends
from assistant.plan.diets import ruling
from assistant.plan.examples import failures
from assistant.rulebook import read
from assistant.rulebook.check import check
from assistant.rulebook.model import Figure, Ingredient, Rulebook
from assistant.rulebook.names import Names
from assistant.rulebook.packet import counted, figures_of_label
from assistant.rulebook.read import load
from assistant.talk.dialogue import Kitchen, State, Turn, begin, turn
from assistant.talk.judgement import Judgement
from assistant.talk.label import Label, read_label
from assistant.talk.own import OwnShelf
from assistant.talk.recipes import Shelf
from assistant.talk.utterance import Vocabulary

# -- what rounding leaves open ---------------------------------------------------------------------

US_ROUNDED = ("energy_kcal", "fat_g", "saturated_g", "sodium_mg", "carbohydrate_g", "fibre_g", "protein_g")
EU_ROUNDED = ("energy_kcal", "fat_g", "saturated_g", "salt_g", "carbohydrate_g", "fibre_g", "protein_g")


@pytest.mark.parametrize("nutrient", US_ROUNDED)
@given(amount=st.floats(0, 100))
def test_what_a_us_label_rounds_lies_between_the_ends_it_is_read_with(nutrient: str, amount: float) -> None:
    printed = us_label(nutrient, amount)
    if printed.startswith("less"):
        return
    low, high = us_label_ends(nutrient, float(printed))
    assert low - 1e-9 <= amount <= high + 1e-9


@pytest.mark.parametrize("nutrient", EU_ROUNDED)
@given(amount=st.floats(0, 100))
def test_what_an_eu_label_rounds_lies_between_the_ends_it_is_read_with(nutrient: str, amount: float) -> None:
    printed = eu_label(nutrient, amount)
    if printed.startswith("<"):
        return
    low, high = eu_label_ends(nutrient, float(printed))
    assert low - 1e-9 <= amount <= high + 1e-9


Three = tuple[float, float, float]


@pytest.mark.parametrize(
    ("per_g", "convention", "printed", "nutrient", "low", "value", "high"),
    [
        # 21 CFR 101.9(c)(2): fat of 5 g and more to the nearest gram, so 14.5 to 15.5 in 30 g
        (30, "us", {"fat_g": (15.0, False)}, "fat_g", 48.333, 50.0, 51.667),
        # 21 CFR 101.9(c)(1): energy above 50 kcal to the nearest 10
        (30, "us", {"energy_kcal": (170.0, False)}, "energy_kcal", 550.0, 566.667, 583.333),
        # EU guidance 2012, table 4: fat of 10 g and more to the nearest gram
        (100, "eu", {"fat_g": (12.0, False)}, "fat_g", 11.5, 12.0, 12.5),
        # "less than 1 g" in 30 g is anything up to 3.33 g per 100 g
        (30, "us", {"fibre_g": (1.0, True)}, "fibre_g", 0.0, 1.667, 3.333),
        (100, "eu", {"fat_g": (0.5, True)}, "fat_g", 0.0, 0.25, 0.5),
        # 1 kcal is 4.184 kJ; the last digit is what is rounded
        (100, "eu", {"energy_kj": (1400.0, False)}, "energy_kcal", 334.49, 334.61, 334.73),
        # Regulation 1169/2011, annex I: salt is sodium times 2.5
        (100, "eu", {"salt_g": (1.0, False)}, "sodium_mg", 398.0, 400.0, 420.0),
        # Regulation 1169/2011: carbohydrate of an EU label leaves fibre out; 19.5 + 39.5 to 20.5 + 40.5
        (
            100,
            "eu",
            {"carbohydrate_g": (20.0, False), "fibre_g": (40.0, False)},
            "carbohydrate_g",
            59.0,
            60.0,
            61.0,
        ),
        # 21 CFR 101.9(c)(6): carbohydrate of a US label holds it
        (
            100,
            "us",
            {"carbohydrate_g": (60.0, False), "fibre_g": (40.0, False)},
            "carbohydrate_g",
            59.5,
            60.0,
            60.5,
        ),
    ],
)
def test_a_printed_figure_becomes_one_per_100_g_with_its_ends(
    per_g: float,
    convention: str,
    printed: dict[str, tuple[float, bool]],
    nutrient: str,
    low: float,
    value: float,
    high: float,
) -> None:
    found = counted(figures_of_label(per_g, convention, printed), convention)
    assert isinstance(found, dict)
    figure = found[nutrient]
    assert figure[1] == nutrient.rpartition("_")[2]
    assert (figure[5], figure[0], figure[6]) == pytest.approx((low, value, high), abs=0.006)


def test_salt_and_kilojoules_count_only_where_sodium_and_kilocalories_are_not_told() -> None:
    printed = {
        "energy_kj": (1400.0, False),
        "energy_kcal": (340.0, False),
        "salt_g": (0.2, False),
        "sodium_mg": (90.0, False),
    }
    found = counted(figures_of_label(100, "eu", printed), "eu")
    assert isinstance(found, dict)
    assert {name: figure[0] for name, figure in found.items()} == {"energy_kcal": 340.0, "sodium_mg": 90.0}


@pytest.mark.parametrize(
    ("convention", "printed", "why"),
    [
        ("eu", {"carbohydrate_g": (20.0, False)}, "leaves fibre out, and no fibre is given"),
        ("us", {"fat_g": (60.0, False), "protein_g": (50.0, False)}, "make 109 g of 100 g"),
    ],
)
def test_a_label_that_can_not_be_says_why(
    convention: str, printed: dict[str, tuple[float, bool]], why: str
) -> None:
    found = counted(figures_of_label(100, convention, printed), convention)
    assert isinstance(found, str)
    assert why in found


# -- a label in words ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "label"),
    [
        (
            "my almond flour: per 30 g serving 170 kcal, fat 15 g, carbs 6 g, US label",
            Label("almond flour", (30, "g"), None, "us", {"energy_kcal": 170, "fat_g": 15, "carbohydrate_g": 6}),
        ),
        (
            "My Rye Flour per 100 g energy 1370 kJ, fat 1.6 g of which saturates 0.2 g, carbohydrate 60 g, salt <0.01 g",
            Label(
                "Rye Flour", (100, "g"), None, "eu",
                {"energy_kj": 1370, "fat_g": 1.6, "saturated_g": 0.2, "carbohydrate_g": 60, "salt_g": 0.01}, ("salt_g",),
            ),
        ),
        (
            "my almond meal: 1/4 cup (28 g) serving, 160 calories, sodium 0.1 g, less than 1 g dietary fiber",
            Label("almond meal", (28, "g"), (0.25, "cup"), "", {"energy_kcal": 160, "sodium_mg": 100, "fibre_g": 1}, ("fibre_g",)),
        ),
        (
            "my bran: per 100 g fat 4,5 g, protein 15,5 g, contains wheat and milk; may contain traces of nuts",
            Label("bran", (100, "g"), None, "", {"fat_g": 4.5, "protein_g": 15.5}, contains=("wheat", "milk"), may_contain=("nuts",)),
        ),
        (
            "my bran: per 100 g fat 4 g, protein 15 g, calcium 20 mg, contains nothing",
            Label("bran", (100, "g"), None, "", {"fat_g": 4, "protein_g": 15}, contains=(), unread=("calcium 20 mg",)),
        ),
    ],
)  # fmt: skip
def test_a_typed_label_is_read(text: str, label: Label) -> None:
    assert read_label(text) == label


def test_labels_are_read_as_they_are_printed() -> None:
    """A US panel typed in one line, and an EU table."""
    us = read_label(
        "my protein powder - Serving size 1 scoop (30g), Calories 120, Total Fat 1.5g, Saturated Fat 0g, Trans Fat 0g, "
        "Cholesterol 5mg, Sodium 160mg, Total Carbohydrate 3g, Dietary Fiber 0g, Total Sugars 1g, Includes 0g Added "
        "Sugars, Protein 24g. Contains: Milk, Soy. US label"
    )
    assert us is not None
    assert (us.name, us.per, us.household, us.contains) == (
        "protein powder",
        (30.0, "g"),
        (1.0, "scoop"),
        ("milk", "soy"),
    )
    assert dict(us.figures) == {
        "energy_kcal": 120, "fat_g": 1.5, "saturated_g": 0, "sodium_mg": 160, "carbohydrate_g": 3, "fibre_g": 0,
        "sugars_g": 1, "protein_g": 24,
    }  # fmt: skip
    assert us.unread == ("trans fat 0g", "cholesterol 5mg", "includes 0g added sugars")
    eu = read_label(
        "my Mandelmehl: per 100 g Energy 2 450 kJ / 592 kcal; Fat 52 g of which saturates 4 g; Carbohydrate 5,5 g of "
        "which sugars 4,2 g; Fibre 9,8 g; Protein 24 g; Salt 0,02 g. Contains: nuts. May contain peanuts"
    )
    assert eu is not None
    assert (eu.name, eu.convention, eu.contains, eu.may_contain) == (
        "Mandelmehl",
        "eu",
        ("nuts",),
        ("peanuts",),
    )
    assert (eu.figures["carbohydrate_g"], eu.figures["sugars_g"], eu.figures["salt_g"]) == (5.5, 4.2, 0.02)
    assert (eu.figures["energy_kj"], eu.figures["energy_kcal"]) == (2450, 592)


@pytest.mark.parametrize(
    "text",
    [
        "my bread took 40 minutes at 200 C",
        "my limit is 5 g net carbs per roll",
        "I want 20 g fat and 30 g protein",
        "swap my butter for 30 g oil",
        "my flour",
        "",
        "my : per 100 g fat 4 g, protein 15 g",
    ],
)
def test_what_is_no_label_is_none(text: str) -> None:
    assert read_label(text) is None


@given(st.text(max_size=80))
def test_no_text_breaks_the_reading_of_labels(text: str) -> None:
    for wanting in ("", "per", "like", "fat_g"):
        read_label(text, wanting)
        read_label(f"my {text}: per 30 g fat 3 g {text}", wanting)


# -- the shelf and the conversation ----------------------------------------------------------------


@pytest.fixture(scope="module")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def own_cache(warm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read, "user_cache_path", lambda *_, **__: warm)
    monkeypatch.setattr(read, "user_data_path", lambda *_, **__: tmp_path / "nobody")


MUFFINS = Formula(
    "muffins", "muffin",
    (
        Line("almond flour", "almond-flour", 96.0, amount=1.0, unit="cup"),
        Line("egg", "egg", 100.0),
        Line("butter", "butter", 50.0),
        Line("sunny flour", None, None, amount=2.0, unit="cup"),
    ),
    pieces=6,
)  # fmt: skip


@dataclass
class Talk:
    """A conversation beside a shelf."""

    folder: Path
    kitchen: Kitchen
    state: State

    def say(self, *lines: str) -> Turn:
        """The last of what was answered to these lines."""
        for line in lines:
            self.state, said = turn(self.state, line, self.kitchen)
            self.kitchen = said.kitchen or self.kitchen
        return said

    def reply(self, *lines: str) -> str:
        """The last answer, in one line."""
        return " ".join(self.say(*lines).reply.split())

    def own(self, ident: str) -> Ingredient:
        """An ingredient as the conversation knows it."""
        return self.kitchen.book.ingredients[ident]

    def files(self) -> list[str]:
        """What stands on the shelf."""
        return sorted(str(path.relative_to(self.folder)) for path in self.folder.rglob("*") if path.is_file())


def kitchen_on(folder: Path, book: Rulebook) -> Kitchen:
    judgement = Judgement(book)
    shelf = Shelf(book, judgement.names, folder)
    own = OwnShelf(folder, lambda changed: kitchen_on(folder, changed))
    return Kitchen(book, Vocabulary.of(book, judgement.names), judgement, shelf, own)


@pytest.fixture
def talk(tmp_path: Path) -> Talk:
    folder = tmp_path / "shelf"
    folder.mkdir()
    return Talk(folder, kitchen_on(folder, load(folder)[0]), begin(MUFFINS))


ALMOND = "my almond flour: per 1/4 cup (30 g) 170 kcal, fat 15 g, carbs 6 g, fibre 3 g, protein 6 g, US label"
COCONUT = "my coconut flour: per 100 g 350 kcal, fat 12 g, carbs 20 g, fibre 40 g, protein 20 g, salt 0.2 g, EU label"


def three(figure: Figure) -> tuple[float | None, float, float | None]:
    return figure.low, figure.value, figure.high


def test_carbohydrate_of_an_eu_label_leaves_net_carbs_as_printed(talk: Talk) -> None:
    """20 g beside 40 g of fibre is 60 g in all and 20 g net, never 20 less 40."""
    talk.say(COCONUT)
    own = talk.own("coconut-flour").composition
    assert own["carbohydrate_g"].value == 60.0
    assert own["carbohydrate_g"].value - own["fibre_g"].value == 20.0
    assert (own["sodium_mg"].value, own["sodium_mg"].unit) == (80.0, "mg")


def test_a_label_says_what_it_is_against_the_table_and_what_goes_by_the_table(talk: Talk) -> None:
    said = talk.reply(COCONUT)
    assert "energy 350 kcal 438 kcal" in said
    assert "goes by coconut flour: sugars, water, kinds of fibre, what it does in a dough." in said
    table = load()[0].ingredients["coconut-flour"]
    own = talk.own("coconut-flour")
    share = table.composition["soluble_fibre_g"].value / table.composition["fibre_g"].value
    assert own.composition["soluble_fibre_g"].value == pytest.approx(40 * share)
    assert own.does == table.does
    assert own.composition["water_g"].source != "own-label"


def test_a_serving_in_cups_weighs_the_lines_measured_in_cups(talk: Talk) -> None:
    """A quarter cup of 30 g is a cup of 120 g; the recipe has one."""
    said = talk.reply(ALMOND)
    own = talk.own("almond-flour").measures
    assert [own[each].value for each in ("cup", "tbsp", "tsp")] == [120.0, 7.5, 2.5]  # 16 and 48 to a cup
    assert [own[each].grade for each in ("cup", "tbsp", "tsp")] == ["handbook", "derived", "derived"]
    assert talk.state.formula.lines[0].grams == 120.0
    assert "By your packet's measure: almond flour 96 g -> 120 g." in said
    assert talk.say("undo").formula.lines[0].grams == 96.0


def test_the_packet_counts_in_the_recipe(talk: Talk) -> None:
    """120 g of the label's 20 g of protein per 100 g in place of 96 g of the table's, shared by six."""
    table = talk.kitchen.judgement.assess(MUFFINS).nutrition.per_piece["protein_g"]
    usual_g = talk.own("almond-flour").composition["protein_g"].value
    talk.say(ALMOND)
    now = talk.kitchen.judgement.assess(talk.state.formula).nutrition.per_piece["protein_g"]
    assert table is not None and now is not None
    assert now.value - table.value == pytest.approx((1.2 * 20.0 - 0.96 * usual_g) / 6)


def test_a_line_that_nobody_knew_is_known_by_its_packet_till_it_is_forgotten(talk: Talk) -> None:
    label = "my sunny flour: per 1/2 cup (50 g) 280 kcal, fat 25 g, carbs 10 g, fibre 5 g, protein 11 g, US"
    asked = talk.reply(label)
    assert asked.startswith("What is sunny flour like?")
    talk.say("sunflower-seed flour, full-fat")
    line = talk.state.formula.lines[3]
    assert (line.ingredient, line.grams) == ("sunny-flour", 200.0)
    assert "it is unknown now" in talk.reply("forget my sunny flour")
    assert "sunny flour (not known to the rulebook)" in talk.reply("show recipe")
    assert "cannot be confirmed" in talk.reply("allergens")


SEVERAL = [
    ("I have a packet of my rye flour", "per how much does its label tell?"),
    ("skip", "per how much does its label tell?"),  # without it no figure means anything
    ("per 1/4 cup (30 g)", "US or an EU label?"),
    ("skip", "US or an EU label?"),  # nor without it
    ("US", "energy, in kcal?"),
    ("100", "fat, in g?"),
    ("fat 0.5", "carbohydrate, in g?"),
    ("23 g", "fibre, in g?"),
    ("<1", "protein, in g?"),
    ("skip", "On your shelf as medium rye flour"),
]


def test_a_label_is_asked_for_turn_by_turn(talk: Talk) -> None:
    for line, answer in SEVERAL:
        assert answer in talk.reply(line), line
    own, table = talk.own("rye-flour").composition, load()[0].ingredients["rye-flour"].composition
    assert three(own["fibre_g"]) == pytest.approx((0.0, 5 / 3, 10 / 3))
    assert own["protein_g"].value == table["protein_g"].value  # what was skipped goes by the table
    assert talk.own("rye-flour").measures["cup"].value == 120.0


def test_a_question_about_a_packet_is_no_trap(talk: Talk) -> None:
    talk.say("my keto mix: per 30 g 100 kcal, fat 5 g, carbs 6 g, fibre 4 g, protein 8 g, US")
    assert talk.state.wanting == "like"
    assert talk.reply("my shelf").startswith("Your shelf is empty.")
    assert talk.reply("forget my rye bread flour").startswith('There is no "rye bread flour"')
    assert talk.reply("undo") == "There is nothing to undo."
    assert "On your shelf as keto mix" in talk.reply("it is like almond flour")
    assert talk.state.packet is None


def test_another_label_leaves_the_one_that_is_being_typed_alone(talk: Talk) -> None:
    talk.say("my mix: per 30 g 100 kcal, fat 5 g, carbs 6 g, fibre 4 g, protein 8 g, US")
    said = talk.reply(
        "my butter: per 100 g 740 kcal, fat 82 g, carbs 0.5 g, protein 0.5 g, fibre 0, salt 0.02 g, EU"
    )
    assert "On your shelf as unsalted butter" in said
    assert talk.files() == ["ingredients/butter.yaml"]


def test_figures_without_commas_are_told_apart(talk: Talk) -> None:
    talk.say(
        "add my own ingredient called spelt bran", "per 100g 300 kcal fat 5 carbs 25 fibre 45 protein 16 EU"
    )
    said = talk.reply("wheat bran")
    assert "energy 300 kcal" in said
    assert "fat 5 g" in said


def test_a_packet_can_be_left(talk: Talk) -> None:
    talk.say("I have a packet of my rye flour")
    assert talk.reply("cancel") == "Nothing is kept of the packet of rye flour."
    assert talk.files() == []


# -- allergens -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "contains", "may"),
    [
        ("contains almonds", ("nuts",), ("gluten-cereals",)),  # what may be in it stays as the table has it
        ("contains tree nuts and soy, may contain peanuts", ("nuts", "soybeans"), ("peanuts",)),
        (
            "contains nothing, may contain traces of wheat",
            (),
            ("wheat", "nuts"),
        ),  # almonds are nuts: not confirmed
        ("may contain sesame or coconut", ("nuts",), ("sesame",)),  # coconut is on neither list
        ("", ("nuts",), ("gluten-cereals",)),
    ],
)
def test_allergens_are_as_labelled_else_as_the_table_has_them(
    typed: str, contains: tuple[str, ...], may: tuple[str, ...], talk: Talk
) -> None:
    said = talk.reply(f"{ALMOND}, {typed}")
    own = talk.own("almond-flour")
    assert (own.contains, own.may_contain) == (contains, may)
    assert said.count("as you typed") == typed.startswith("contains") + ("may" in typed)


def test_a_us_label_is_silent_about_gluten_and_takes_none_of_it_away(talk: Talk) -> None:
    """21 USC 321(qq) lists wheat, and neither rye nor barley."""
    rye = (
        "my rye flour: per 30 g 100 kcal, fat 0.5 g, carbs {} label, fibre 4 g, protein 3 g, contains nothing"
    )
    talk.say(rye.format("22 g, US"))
    assert talk.own("rye-flour").contains == ("gluten-cereals",)
    for _ in range(2):  # the table decides what is in doubt, and not the label typed before
        said = talk.reply(rye.format("18 g, EU"))
        assert talk.own("rye-flour").contains == ()
        assert talk.own("rye-flour").may_contain == ("wheat", "gluten-cereals")
        assert "energy 333 kcal (332 to 335) 349 kcal" in said


def test_an_allergen_that_nobody_knows_is_told_and_nothing_is_kept(talk: Talk) -> None:
    assert talk.reply(f"{ALMOND}, contains almods") == (
        '"almods" is no allergen of the EU or US list. Name it as the label does.'
    )
    assert talk.files() == []


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [("contains wheat", "no"), ("contains nothing, may contain wheat", "cannot confirm")],
)
def test_wheat_on_a_label_is_gluten_to_a_coeliac(typed: str, verdict: str, talk: Talk) -> None:
    talk.say(f"{COCONUT}, {typed}")
    dough = Formula("dough", "", (Line("coconut flour", "coconut-flour", 100.0),))
    book = talk.kitchen.book
    assert ruling(dough, book.diets["gluten-free"], book, None).verdict == verdict


def test_milk_on_a_label_is_milk_to_a_vegan_whatever_it_is_like(talk: Talk) -> None:
    talk.say(f"{COCONUT}, contains milk")
    dough = Formula("dough", "", (Line("coconut flour", "coconut-flour", 100.0),))
    book = talk.kitchen.book
    assert [ruling(dough, book.diets[diet], book, None).verdict for diet in ("vegan", "lactose-free")] == [
        "no",
        "cannot confirm",
    ]


# -- the file --------------------------------------------------------------------------------------


def told_of(folder: Path) -> list[str]:
    """What `rules check` finds wrong with the files of a shelf."""
    book, faults = load(folder)
    here = [f.sentence for f in (*faults, *check(book)) if f.where.source.startswith(str(folder))]
    own = [s for s in book.swaps.values() if book.places[f"swaps/{s.id}"].source.startswith(str(folder))]
    return here + [text for swap in own for text in failures(swap, book)]


def test_the_file_is_whole_and_reads_back_the_same(talk: Talk) -> None:
    talk.say(f"{ALMOND}, contains almonds, may contain peanuts", COCONUT)
    assert talk.files() == ["ingredients/almond-flour.yaml", "ingredients/coconut-flour.yaml"]
    assert told_of(talk.folder) == []
    book, _ = load(talk.folder)
    for ident in ("almond-flour", "coconut-flour"):
        assert book.ingredients[ident] == talk.own(ident)


def test_a_later_label_takes_the_place_of_the_first(talk: Talk) -> None:
    talk.say(ALMOND, ALMOND.replace("fat 15", "fat 14"))
    assert talk.own("almond-flour").composition["fat_g"].value == pytest.approx(14 / 0.3)
    assert talk.files() == ["ingredients/almond-flour.yaml"]


def test_an_unwritable_shelf_is_told_in_a_sentence_and_nothing_is_lost(talk: Talk) -> None:
    blocked = talk.folder / "ingredients"
    blocked.write_text("in the way", encoding="utf-8")
    said = talk.reply(ALMOND)
    assert "There is no folder for it: " in said
    assert "Nothing is kept yet." in said
    assert talk.state.packet is not None
    assert talk.state.formula == MUFFINS
    blocked.unlink()
    assert "On your shelf as almond flour" in talk.reply("keep it")


def test_figures_that_do_not_add_up_are_told_and_kept_only_when_asked(talk: Talk) -> None:
    wrong = ALMOND.replace("170 kcal", "370 kcal")
    assert talk.reply(wrong).startswith("Energy of almond-flour is 1233.33 kcal, its macros give 5")
    assert talk.files() == []
    assert "On your shelf as almond flour" in talk.reply("170 kcal")
    talk.say(wrong)
    assert "On your shelf as almond flour" in talk.reply("keep it anyway")
    (told,) = told_of(talk.folder)
    assert "almond-flour.yaml:2: energy of almond-flour is 1233.33 kcal" in told


def test_what_is_on_the_shelf_is_listed_and_forgotten(talk: Talk) -> None:
    assert talk.reply("my shelf").startswith("Your shelf is empty.")
    talk.say(ALMOND)
    assert "almond flour: per 100 g protein 20 g" in talk.reply("my shelf")
    assert talk.reply("forget my almond flour") == (
        "Your packet of almond flour is off the shelf; the table's figures count again."
    )
    assert talk.files() == []
    assert talk.own("almond-flour") == load()[0].ingredients["almond-flour"]
    assert talk.reply("forget my butter").startswith("Unsalted butter is not on your shelf.")


BY_HAND = """- id: hut-rye
  name: hut rye flour
  like: rye-flour
  label: {per: 100 g, convention: eu, fat_g: 1.6, carbohydrate_g: 60, fibre_g: 14, protein_g: 9.5}
"""


def test_what_was_written_by_hand_is_left_to_the_hand(tmp_path: Path) -> None:
    (tmp_path / "ingredients").mkdir()
    (tmp_path / "ingredients" / "mine.yaml").write_text(BY_HAND, encoding="utf-8")
    talk = Talk(tmp_path, kitchen_on(tmp_path, load(tmp_path)[0]), begin(MUFFINS))
    assert "hut rye flour" in talk.reply("my shelf")
    assert "was written there by hand" in talk.reply("forget my hut rye flour")
    said = talk.reply(
        "my hut rye flour: per 100 g fat 2 g, carbs 60 g, fibre 14 g, protein 9 g, 340 kcal, EU label"
    )
    assert "stands there already" in said
    assert (tmp_path / "ingredients" / "mine.yaml").read_text(encoding="utf-8") == BY_HAND


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Müller's finest flour", "muller-finest-flour"),
        ("мука", "own-43c-443-43a-430"),
        ("../../../etc/flour", "etc-flour"),
        ("flour {a: [b", "flour-a-b"),
    ],
)
def test_any_name_makes_a_file_on_the_shelf(name: str, file: str, talk: Talk) -> None:
    talk.say(f"my {name} label")
    talk.say(
        "like bread flour", "per 100 g 340 kcal, fat 1.2 g, carbs 70 g, fibre 3 g, protein 11 g, EU label"
    )
    assert talk.files() == [f"ingredients/{file}.yaml"]
    assert told_of(talk.folder) == []


def test_without_a_shelf_it_is_said(talk: Talk) -> None:
    kitchen = Kitchen(
        talk.kitchen.book, talk.kitchen.vocabulary, talk.kitchen.judgement, talk.kitchen.recipes
    )
    _, said = turn(begin(MUFFINS), ALMOND, kitchen)
    assert said.reply.startswith("There is no shelf to keep it on")


# -- a shelf written by hand -----------------------------------------------------------------------

DEVELOPERS = Path(__file__).parent.parent / "DEVELOPERS.md"


def documented() -> Iterable[tuple[str, str]]:
    """Files of the shelf that the guide shows."""
    blocks = re.findall(
        r"```yaml\n# my-shelf/(\S+)\n(.*?)```", DEVELOPERS.read_text(encoding="utf-8"), re.DOTALL
    )
    assert [path.split("/")[0] for path, _ in blocks] == ["ingredients", "swaps", "diets"]
    return blocks


def test_the_shelf_of_the_guide_loads_and_works(tmp_path: Path) -> None:
    for path, text in documented():
        (tmp_path / path).parent.mkdir()
        (tmp_path / path).write_text(text, encoding="utf-8")
    assert told_of(tmp_path) == []
    book, _ = load(tmp_path)
    names = Names(book)
    (rye,) = names.find("hut rye flour")
    assert three(book.ingredients[rye.id].composition["carbohydrate_g"]) == pytest.approx((73.0, 74.0, 75.0))
    scones = Formula(
        "scones", "scone", (Line("flour", "all-purpose-flour", 250.0), Line("butter", "butter", 60.0))
    )
    found = Judgement(book).options(scones, 1, "lard")
    assert ("butter-to-hut-lard",) in [option.swaps for option in found.options]
    with_lard = Formula("scones", "scone", (Line("lard", "lard", 51.0),))
    diet = book.diets[names.diet("friday table")]
    assert [ruling(f, diet, book, None).verdict for f in (scones, with_lard)] == ["yes", "no"]
