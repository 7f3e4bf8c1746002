"""What the rulebook has to know: names in five other languages, diets with their definitions and cautions, and
every allergen that the law of the EU or the US lists.
"""

import pytest

from assistant.plan.diets import ruling
from assistant.plan.examples import given_formula
from assistant.rulebook.names import Names
from assistant.rulebook.read import load

BOOK, _ = load()
LANGUAGES = {"de", "fr", "es", "it", "pt"}


def test_every_ingredient_is_named_in_german_french_spanish_italian_and_portuguese() -> None:
    nameless = {
        i.id: sorted(LANGUAGES - set(i.names)) for i in BOOK.ingredients.values() if LANGUAGES - set(i.names)
    }
    assert nameless == {}


@pytest.mark.parametrize(
    ("typed", "ingredient"),
    [
        ("AP flour", "all-purpose-flour"),
        ("plain flour", "all-purpose-flour"),
        ("strong flour", "bread-flour"),
        ("bicarb", "baking-soda"),
        ("bicarbonate", "baking-soda"),
        ("00", "flour-00"),
        ("type 405", "cake-flour"),
        ("icing sugar", "powdered-sugar"),
        ("castor sugar", "caster-sugar"),
        ("corn flour", "cornstarch"),
        ("double cream", "heavy-cream"),
        ("wholemeal flour", "whole-wheat-flour"),
        ("self raising flour", "self-raising-flour"),
        ("sultanas", "golden-raisin"),
        ("yoghurt", "yogurt"),
        ("black treacle", "treacle"),
        ("cinamon", "cinnamon"),
        ("vanila extract", "vanilla-extract"),
        ("buttermillk", "buttermilk"),
        ("Hefe", "fresh-yeast"),
        ("farine", "all-purpose-flour"),
        ("huevos", "egg"),
        ("latte", "milk"),
        ("fermento em pó", "baking-powder"),
    ],
)
def test_a_name_a_baker_types_is_known(typed: str, ingredient: str) -> None:
    found = Names(BOOK).find(typed)
    assert found and (found[0].id, found[0].confidence >= 0.8) == (ingredient, True)


DIETS = (
    "vegan", "vegetarian", "lacto-vegetarian", "ovo-vegetarian", "dairy-free", "lactose-free", "egg-free",
    "gluten-free", "wheat-free", "grain-free", "keto", "keto-ratio", "low-carb", "high-protein", "high-fibre",
    "low-sodium", "low-sugar", "no-added-sugar", "low-fat", "low-fodmap", "nut-free", "peanut-free", "soy-free",
    "sesame-free", "lupin-free", "yeast-free", "corn-free", "halal", "kosher", "pregnancy",
)  # fmt: skip


@pytest.mark.parametrize("diet_id", DIETS)
def test_a_diet_people_keep_is_known(diet_id: str) -> None:
    assert diet_id in BOOK.diets


@pytest.mark.parametrize("diet", BOOK.diets.values(), ids=lambda diet: diet.id)
def test_a_diet_has_a_definition_a_source_reasons_and_cautions(diet: object) -> None:
    found = BOOK.diets[diet.id]  # type: ignore[attr-defined]
    assert found.definition.endswith(".")
    assert found.evidence and all(e.source in BOOK.sources for e in found.evidence)
    assert found.forbids or found.limits
    assert all(limit["because"] for limit in found.limits)
    assert found.cautions and all(caution in BOOK.cautions for caution in found.cautions)


LISTED = [a for a in BOOK.allergens.values() if a.eu or a.us]


def test_the_law_lists_fourteen_in_the_eu_and_nine_in_the_us() -> None:
    """Regulation (EU) 1169/2011 Annex II; 21 USC 343(w) with the FASTER Act of 2021. Wheat is one of the EU's
    cereals and by itself one of the US nine."""
    assert len([a for a in LISTED if a.eu and not a.part_of]) == 14
    assert len([a for a in LISTED if a.us]) == 9


@pytest.mark.parametrize("allergen", LISTED, ids=lambda allergen: allergen.id)
def test_every_listed_allergen_has_a_diet_of_its_own(allergen: object) -> None:
    ident = allergen.id  # type: ignore[attr-defined]
    own = [d for d in BOOK.diets.values() if d.forbids.get("allergen") == (ident,)]
    assert own


@pytest.mark.parametrize("allergen", LISTED, ids=lambda allergen: allergen.id)
def test_what_may_contain_an_allergen_leaves_its_diet_unconfirmed(allergen: object) -> None:
    ident = allergen.id  # type: ignore[attr-defined]
    diet = next(d for d in BOOK.diets.values() if d.forbids.get("allergen") == (ident,))
    traces = next(
        (i for i in BOOK.ingredients.values() if ident in i.may_contain and ident not in (i.contains or ())),
        None,
    )
    if traces is None:
        traces = next(i for i in BOOK.ingredients.values() if i.contains is None)
    found = ruling(given_formula({"lines": {traces.id: "10 g"}}), diet, BOOK, None)
    assert found.verdict != "yes" and found.because
