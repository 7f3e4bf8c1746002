"""What the rulebook has to know: names in five other languages, diets with their definitions and cautions, and
every allergen that the law of the EU or the US lists.
"""

from dataclasses import replace

import pytest

from assistant.formula.model import Formula, Line
from assistant.plan.constraints import Admission, Constraints
from assistant.plan.diets import ruling
from assistant.plan.examples import given_formula
from assistant.plan.safety import confirm
from assistant.rulebook.model import Allergen, Diet, Ingredient
from assistant.rulebook.names import Names
from assistant.rulebook.read import load
from assistant.talk.request import Avoid
from assistant.talk.utterance import Context, Vocabulary, understand

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


ANNEX_II = (
    "gluten-cereals", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "nuts", "celery", "mustard",
    "sesame", "sulphites", "lupin", "molluscs",
)  # fmt: skip
"""Regulation (EU) 1169/2011, Annex II, points 1 to 14 in their order."""
US_NINE = {"milk", "eggs", "fish", "crustaceans", "nuts", "peanuts", "wheat", "soybeans", "sesame"}
"""21 USC 321(qq): eight since the Food Allergen Labeling and Consumer Protection Act of 2004, sesame since the
FASTER Act of 2021."""


@pytest.mark.parametrize(("point", "allergen"), list(enumerate(ANNEX_II, 1)))
def test_an_allergen_of_the_eu_names_its_point_of_the_annex(point: int, allergen: str) -> None:
    cited = [
        e.gives for e in BOOK.allergens[allergen].evidence if e.source == "eu-1169-2011" and e.grade == "law"
    ]
    assert [gives.split(":")[0] for gives in cited] == [f"Annex II {point}"]


def test_the_eu_lists_these_fourteen_and_the_us_these_nine() -> None:
    """Wheat is one of the EU's cereals, and by itself one of the US nine."""
    assert {a.id for a in LISTED if a.eu and not a.part_of} == set(ANNEX_II)
    assert {a.id: a.part_of for a in LISTED if a.part_of} == {"wheat": "gluten-cereals"}
    assert {a.id for a in LISTED if a.us} == US_NINE
    laws = {a.id: {e.source for e in a.evidence} for a in LISTED if a.us}
    assert all(cited & {"falcpa-2004", "faster-act-2021"} for cited in laws.values())
    assert set(BOOK.diets["eu-fourteen-free"].forbids["allergen"]) == set(ANNEX_II)
    assert set(BOOK.diets["us-nine-free"].forbids["allergen"]) == US_NINE


@pytest.mark.parametrize("allergen", LISTED, ids=lambda allergen: allergen.id)
def test_each_allergen_can_be_left_out_by_itself_by_its_name_on_labels(allergen: Allergen) -> None:
    """And what holds it is then barred, by the choosing and by the last look alike."""
    names = Names(BOOK)
    assert names.allergen(allergen.name) == allergen.id
    said = allergen.name.rpartition(" and ")[2]
    request = understand(f"I am allergic to {said}", Vocabulary.of(BOOK, names), Context()).request
    assert isinstance(request, Avoid)
    assert (*(request.allergens or ()), *_kept(request)) == (allergen.id,)
    for holder in (i for i in BOOK.ingredients.values() if allergen.id in (i.contains or ())):
        line = Formula("dough", "", (Line(holder.name, holder.id, 10.0),))
        assert confirm(line, BOOK, allergens=[allergen.id]).broken
        assert Admission(Constraints(allergens=(allergen.id,)), BOOK).refuses(holder)


def _kept(request: Avoid) -> tuple[str, ...]:
    """Allergens that the diets of a request are about."""
    return tuple(a for d in request.diets or () for a in BOOK.diets[d].forbids.get("allergen", ()))


@pytest.mark.parametrize(
    ("warned", "diet", "verdict"),
    [
        ("wheat", "gluten-free", "cannot confirm"),  # wheat is a gluten cereal
        ("gluten-cereals", "wheat-free", "cannot confirm"),  # traces of gluten are mostly of wheat
        ("gluten-cereals", "us-nine-free", "cannot confirm"),
        ("wheat", "eu-fourteen-free", "cannot confirm"),
        ("sesame", "wheat-free", "yes"),
    ],
)
def test_traces_of_wheat_are_traces_of_gluten_and_the_other_way(warned: str, diet: str, verdict: str) -> None:
    salt = replace(BOOK.ingredients["salt"], contains=(), may_contain=(warned,))
    book = replace(BOOK, ingredients={**BOOK.ingredients, "salt": salt})
    dough = Formula("dough", "", (Line("salt", "salt", 10.0),))
    assert ruling(dough, book.diets[diet], book, None).verdict == verdict
    assert bool(confirm(dough, book, diets=[diet]).doubts) == (verdict != "yes")


def test_there_are_at_least_two_dozen_diets() -> None:
    assert len(BOOK.diets) >= 24


CERTIFIED: dict[str, set[str]] = {
    "allergen": {"kitchen-allergens", "kitchen-gluten", "powder-starch", "sulphites"},
    "origin": {"animal-processing", "kitchen-allergens", "religious-authority", "claims-for-sale"},
    "limit": {"claims-for-sale", "medical-diet"},
}
"""What a diet that leaves out an allergen or an origin, or counts a figure, has to warn of: one of these."""


@pytest.mark.parametrize("diet", BOOK.diets.values(), ids=lambda diet: diet.id)
def test_a_diet_says_that_swapping_ingredients_certifies_nothing(diet: Diet) -> None:
    kinds = [kind for kind in ("origin", "allergen") if diet.forbids.get(kind)][:1] + ["limit"] * bool(
        diet.limits
    )
    for kind in kinds:
        assert CERTIFIED[kind] & set(diet.cautions), kind


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


FORBIDDEN_BY_DEFINITION = {
    "vegan": ("milk", "eggs", "fish", "crustaceans", "molluscs"),
    "vegetarian": ("fish", "crustaceans", "molluscs"),
    "lacto-vegetarian": ("eggs", "fish"),
    "ovo-vegetarian": ("milk", "fish"),
    "kosher": ("crustaceans", "molluscs"),
    "lactose-free": ("milk",),
    "low-fodmap": ("milk", "wheat"),
}
"""What an ingredient must not contain to be confirmed; lactose and fructans come with milk and wheat."""


@pytest.mark.parametrize("diet_id", FORBIDDEN_BY_DEFINITION)
def test_no_diet_confirms_what_contains_what_it_leaves_out(diet_id: str) -> None:
    diet = BOOK.diets[diet_id]
    salt = BOOK.ingredients["salt"]
    for allergen in FORBIDDEN_BY_DEFINITION[diet_id]:
        own = replace(salt, id="own", contains=(allergen,))  # a packet that nobody gave another origin
        held = [i for i in BOOK.ingredients.values() if allergen in (i.contains or ())]
        for each in (own, *held):
            book = replace(BOOK, ingredients={each.id: each})
            assert ruling(_alone(each), diet, book, None).verdict != "yes", each.id


@pytest.mark.parametrize("diet", [d for d in BOOK.diets.values() if not d.limits], ids=lambda diet: diet.id)
def test_the_two_judges_of_diets_agree_on_every_ingredient(diet: Diet) -> None:
    """The choosing and the last look share no code."""
    for each in BOOK.ingredients.values():
        judged = confirm(_alone(each), BOOK, diets=[diet.id])
        verdict = "no" if judged.broken else "cannot confirm" if judged.doubts else "yes"
        assert ruling(_alone(each), diet, BOOK, None).verdict == verdict, each.id


def _alone(ingredient: Ingredient) -> Formula:
    return Formula("dough", "", (Line(ingredient.name, ingredient.id, 10.0),))
