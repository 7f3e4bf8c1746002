"""Names: what people type is found in any language, and what is not known is not guessed."""

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.formula.line import TRUSTED
from assistant.rulebook.model import Ingredient, IngredientClass, Rulebook
from assistant.rulebook.names import Names, nearest, plain
from assistant.rulebook.read import load


@cache
def packaged() -> tuple[Rulebook, Names]:
    book, _ = load()
    return book, Names(book)


def found(text: str) -> str:
    """The ingredient taken for sure, "" when none is."""
    matches = packaged()[1].find(text)
    return matches[0].id if matches and matches[0].confidence >= TRUSTED else ""


@pytest.mark.parametrize(
    ("typed", "ingredient"),
    [
        ("butter", "butter"),
        ("unsalted butter, melted", "butter"),
        ("BUTTER", "butter"),
        ("eggs", "egg"),
        ("large eggs", "egg"),
        ("Baking Soda", "baking-soda"),
        ("bicarbonate of soda", "baking-soda"),
        ("psyllium husks", "psyllium-husk"),
        ("psylium husk", "psyllium-husk"),
        ("cocnut oil", "coconut-oil"),
        ("corn starch", "cornstarch"),
        ("cornstarch", "cornstarch"),
        ("all purpose flour", "all-purpose-flour"),
        ("all-purpose flour", "all-purpose-flour"),
        ("sugar, brown", "brown-sugar"),
        ("milk, warm", "milk"),
        ("cream cheese (at room temperature)", "cream-cheese"),
        ("finely chopped walnuts", "walnut"),
        ("organic almond flour", "almond-flour"),
        ("activ dry yeast", "active-dry-yeast"),
        ("2% milk", "reduced-fat-milk"),
        ("Flohsamenschalen", "psyllium-husk"),
        ("levadura química", "baking-powder"),
        ("beurre", "butter"),
        ("burro", "butter"),
        ("manteiga", "butter"),
        ("Crème fraîche", "creme-fraiche"),
        ("creme fraiche", "creme-fraiche"),
    ],
)
def test_what_people_type_is_found(typed: str, ingredient: str) -> None:
    assert found(typed) == ingredient


LABELLED = [
    (language, str(typed), ingredient)
    for language, names in yaml.safe_load(Path(__file__).with_name("names.yaml").read_text()).items()
    for typed, ingredient in names.items()
]


def test_names_in_six_languages_are_labelled() -> None:
    assert len(LABELLED) >= 150
    assert {language for language, _, _ in LABELLED} == {"en", "de", "fr", "es", "it", "pt"}


@pytest.mark.parametrize(("language", "typed", "ingredient"), LABELLED)
def test_a_labelled_name_means_what_its_label_says(language: str, typed: str, ingredient: str) -> None:
    """Labels: tests/names.yaml, which says what they rest on. A brand means nothing, or a thing whose
    contents are said to be unknown."""
    meant = found(typed)
    if ingredient or not meant:
        assert meant == ingredient
    else:
        assert packaged()[0].ingredients[meant].compound


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "   ",
        "!!",
        "plutonium",
        "the usual",
        "oft flour",
        "sugar free",
        "egg free",
        "gluten free",
        "dairy free",
        "42",
    ],
)
def test_what_is_not_known_is_not_guessed(typed: str) -> None:
    assert found(typed) == ""


def test_a_brand_before_a_known_name_is_a_suggestion_and_no_more() -> None:
    best = packaged()[1].find("Hilltop almond flour")[0]
    assert best.id == "almond-flour" and best.confidence < TRUSTED


def test_every_name_in_the_rulebook_finds_what_it_names() -> None:
    book, names = packaged()
    for ingredient in book.ingredients.values():
        for name in (ingredient.name, ingredient.id, *ingredient.aliases):
            best = names.find(name)[0]
            assert (best.id, best.confidence) == (ingredient.id, 1.0), name


def test_every_name_in_another_language_is_known() -> None:
    book, names = packaged()
    for ingredient in book.ingredients.values():
        for name in (name for spoken in ingredient.names.values() for name in spoken):
            assert names.find(name)[0].confidence >= 0.7, name


def test_a_missing_letter_finds_the_right_thing_or_nothing() -> None:
    """Measured over the rulebook: fewer than 1 in 100 slips is taken for something else."""
    book, names = packaged()
    draw = random.Random(7)
    known = sorted({plain(n): i.id for i in book.ingredients.values() for n in (i.name, *i.aliases)}.items())
    wrong = right = 0
    for name, ingredient in draw.sample([item for item in known if len(item[0]) >= 6], 800):
        at = draw.randrange(len(name))
        typed = name[:at] + name[at + 1 :]
        best = names.find(typed)[:1]
        if best and TRUSTED <= best[0].confidence < 1:
            right += best[0].id == ingredient
            wrong += best[0].id != ingredient
    assert right > 400
    assert wrong < 8


def test_a_class_stands_for_what_people_mean_by_it() -> None:
    book, names = packaged()
    best = names.find("yeast")[0]
    assert best.id == book.classes["baker-yeast"].usual and best.of_class == "baker-yeast"
    assert TRUSTED <= best.confidence < 1
    assert names.class_of("Plant-based milk") == "plant-milk"
    assert names.class_of("granite") == ""


def test_a_class_without_a_usual_member_is_offered_and_not_taken() -> None:
    best = packaged()[1].find("plant milk")
    assert best and all(match.of_class == "plant-milk" and match.confidence < 0.5 for match in best)


def test_diets_products_and_allergens_are_found_by_what_they_are_called() -> None:
    book, names = packaged()
    for diet in book.diets.values():
        assert all(names.diet(name) == diet.id for name in (diet.id, diet.name, *diet.aliases))
    for product in book.products.values():
        assert all(names.product(name) == product.id for name in (product.name, *product.aliases))
    assert names.allergen("Soybeans") == "soybeans"
    assert (names.diet("stone age"), names.product("stone"), names.allergen("stone")) == ("", "", "")


def small(*ingredients: Ingredient, classes: tuple[IngredientClass, ...] = ()) -> Names:
    book, _ = packaged()
    return Names(
        replace(book, ingredients={i.id: i for i in ingredients}, classes={c.id: c for c in classes})
    )


def test_two_things_of_one_name_are_both_offered_by_id_and_neither_taken() -> None:
    names = small(
        Ingredient("b", "beta", "t", aliases=("same",)), Ingredient("a", "alpha", "t", aliases=("same",))
    )
    matches = names.find("same")
    assert [m.id for m in matches] == ["a", "b"]
    assert all(m.confidence < TRUSTED for m in matches)
    assert names.exact("same") is None and names.exact("alpha") is not None


def test_an_english_name_goes_before_the_same_word_in_another_language() -> None:
    names = small(
        Ingredient("cream", "nata", "t"), Ingredient("other", "other", "t", names={"es": ("nata",)})
    )
    assert [(m.id, m.confidence) for m in names.find("nata")] == [("cream", 1.0)]


def test_exact_never_guesses() -> None:
    names = packaged()[1]
    assert names.exact("buttr") is None and names.exact("cubed butter") is None
    butter = names.exact("Butter")
    assert butter is not None and butter.id == "butter"


@given(st.text(max_size=40))
def test_any_text_gets_an_answer_and_confidences_fall(text: str) -> None:
    matches = packaged()[1].find(text)
    confidences = [m.confidence for m in matches]
    assert confidences == sorted(confidences, reverse=True)
    assert all(0 < c <= 1 for c in confidences)


def test_capitals_do_not_matter() -> None:
    book, names = packaged()
    for ingredient in book.ingredients.values():
        assert names.find(ingredient.name.upper()) == names.find(ingredient.name)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("tomatoes", "tomato"),
        ("cherries", "cherry"),
        ("leaves", "leaf"),
        ("loaves", "loaf"),
        ("boxes", "box"),
        ("baker's yeast", "bakers yeast"),
        ("fiber", "fibre"),
        ("crème", "creme"),
        ("All-Purpose", "all purpose"),
        ("molasses", "molasses"),
        ("couscous", "couscous"),
        ("radishes", "radish"),
    ],
)
def test_spellings_that_mean_the_same_compare_equal(one: str, other: str) -> None:
    assert plain(one) == plain(other)


def test_the_nearest_key_is_none_when_none_is_near() -> None:
    assert nearest("saturted_g", ["saturated_g", "sugars_g"]) == "saturated_g"
    assert nearest("colour", ["saturated_g", "sugars_g"]) == ""
