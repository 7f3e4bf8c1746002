"""Nutrition: laws against printed rules and tables, sums over lines against what must stay true."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from importlib import import_module

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from assistant.formula.model import Formula, Line
from assistant.laws import nutrition as law
from assistant.plan.model import Nutrition
from assistant.plan.nutrition import PART_OF, RECKONED, nutrition_of
from assistant.rulebook.model import NUTRIENTS, TOLD, Figure, Ingredient, Rulebook
from assistant.rulebook.read import load
from assistant.words.derivation import BARE, FULL, Derivation, Notes

GRAMS = st.floats(0.1, 2000.0)

# ---- laws ----


@pytest.mark.parametrize(
    ("nutrient", "amount", "rounded"),
    [  # 21 CFR 101.9(c): to 5 up to 50, to 10 above; halves up. FDA Food Labeling Guide, Appendix H
        ("energy_kcal", 50.0, "50"),
        ("energy_kcal", 55.0, "60"),
        ("energy_kcal", 5.0, "5"),
        ("fat_g", 0.5, "0.5"),
        ("fat_g", 4.74, "4.5"),
        ("fat_g", 5.4, "5"),
        ("saturated_g", 1.3, "1.5"),
        ("sodium_mg", 140.0, "140"),
        ("sodium_mg", 137.6, "140"),
        ("sodium_mg", 132.0, "130"),
        ("protein_g", 0.99, "less than 1"),
        ("sugars_g", 1.5, "2"),
    ],
)
def test_us_rounding_changes_step_where_the_rule_says(nutrient: str, amount: float, rounded: str) -> None:
    assert law.us_label(nutrient, amount) == rounded


@pytest.mark.parametrize(
    ("nutrient", "amount", "rounded"),
    [  # EU guidance of December 2012, table 4
        ("fat_g", 9.96, "10.0"),
        ("fat_g", 10.4, "10"),
        ("fat_g", 0.5, "<0.5"),
        ("fat_g", 0.54, "0.5"),
        ("fat_g", 0.0, "0"),
        ("salt_g", 0.0125, "<0.01"),
        ("salt_g", 0.013, "0.01"),
        ("salt_g", 0.996, "1.00"),
        ("energy_kj", 2472.6, "2473"),
    ],
)
def test_eu_rounding_changes_step_where_the_guidance_says(nutrient: str, amount: float, rounded: str) -> None:
    assert law.eu_label(nutrient, amount) == rounded


@given(st.floats(0, 5000), st.sampled_from(["energy_kcal", "fat_g", "sodium_mg", "carbohydrate_g"]))
def test_a_label_never_strays_further_than_its_largest_step(amount: float, nutrient: str) -> None:
    half_step = {"energy_kcal": 5, "fat_g": 0.5, "sodium_mg": 5, "carbohydrate_g": 0.5}[nutrient]
    said = law.us_label(nutrient, amount)
    if not said.startswith("less"):
        assert abs(float(said) - amount) <= half_step + 1e-6


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        ("contribution(-1.0, 3.0)", "mass"),
        ("contribution(1.0, float('nan'))", "figure"),
        ("net_carbohydrate(1.0, -1.0, 0.0, 0.0)", "fibre"),
        ("ketogenic_ratio(80.0, 0.0, 0.0)", "no ketogenic ratio"),
        ("energy_eu(0.0, 5.0, 0.0, polyols_g=6.0)", "polyols"),
        ("energy_eu(0.0, 5.0, 0.0, polyols_g=2.0, erythritol_g=3.0)", "erythritol"),
        ("baked_mass_g(100.0, 0.7)", "bake loss"),
        ("water_after_bake_g(5.0, 100.0, 0.1)", "water lost"),
        ("per_piece(100.0, 0)", "pieces"),
        ("per_100g(1.0, 0.0)", "mass"),
        ("us_label('water_g', 3.0)", "water_g"),
        ("eu_label('water_g', 3.0)", "water_g"),
    ],
)
def test_a_law_refuses_what_it_does_not_hold_for(call: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        eval(call, vars(law).copy())


@given(st.floats(0, 100), st.floats(0, 100))
def test_an_eu_label_read_and_told_again_is_the_same(available_g: float, fibre_g: float) -> None:
    whole = law.total_carbohydrate_from_eu(available_g, fibre_g)
    assert law.available_carbohydrate(whole, fibre_g) == approx(available_g, abs=1e-9)


@given(st.floats(0, 1e5))
def test_salt_and_sodium_are_each_others_inverse(sodium_mg: float) -> None:
    assert law.sodium_mg_from_salt(law.salt_from_sodium(sodium_mg)) == approx(sodium_mg)


# ---- a formula ----

FLOUR = {
    "water_g": 12,
    "energy_kcal": 360,
    "protein_g": 10,
    "fat_g": 1,
    "saturated_g": 0.2,
    "carbohydrate_g": 76,
    "sugars_g": 1,
    "fibre_g": 3,
    "soluble_fibre_g": 1,
    "insoluble_fibre_g": 1.5,
    "sodium_mg": 2,
}
WATER = {"water_g": 100, "energy_kcal": 0, "protein_g": 0, "fat_g": 0, "carbohydrate_g": 0, "sodium_mg": 3}
OIL = {
    "water_g": 0,
    "energy_kcal": 884,
    "protein_g": 0,
    "fat_g": 100,
    "saturated_g": 14,
    "carbohydrate_g": 0,
    "sodium_mg": 0,
}
HUSK = {
    "water_g": 8,
    "energy_kcal": 200,
    "protein_g": 2,
    "fat_g": 0.5,
    "saturated_g": 0.1,
    "carbohydrate_g": 85,
    "sugars_g": 0,
    "fibre_g": 80,
    "sodium_mg": 50,
}
SWEET = {
    "water_g": 0,
    "energy_kcal": 20,
    "protein_g": 0,
    "fat_g": 0,
    "carbohydrate_g": 100,
    "sugars_g": 0,
    "fibre_g": 0,
    "polyols_g": 100,
    "polyols_deducted_g": 100,
    "allulose_g": 0,
    "sodium_mg": 0,
}
BLANK = {"energy_kcal": 300.0}
LOSS = Derivation("bake loss", 0.1, "1", "test", low=0.08, high=0.12)


def ingredient(name: str, figures: dict[str, float], classes: tuple[str, ...]) -> Ingredient:
    table = {
        n: Figure(float(v), NUTRIENTS[n], "usda-sr28", "measured", f"of {name}") for n, v in figures.items()
    }
    return Ingredient(name, name, "test", classes=classes, composition=table)


KINDS = {
    "flour": (FLOUR, ("flour",)),
    "water": (WATER, ("water",)),
    "oil": (OIL, ("oil",)),
    "husk": (HUSK, ("gel-fibre",)),
    "sweet": (SWEET, ("polyol",)),
    "blank": (BLANK, ("spice",)),
    "syrup": ({"carbohydrate_g": 70.0, "fibre_g": 0.0}, ("syrup",)),
    "odd": ({"carbohydrate_g": 70.0}, ()),
}


@cache
def small_book() -> Rulebook:
    """The packaged rules with a few made-up ingredients, whose sums are easily done by hand."""
    packaged, _ = load()
    made = {name: ingredient(name, figures, classes) for name, (figures, classes) in KINDS.items()}
    return replace(packaged, ingredients=made)


@pytest.fixture
def book() -> Rulebook:
    return small_book()


def dough(pieces: int | None = None, **grams: float | None) -> Formula:
    lines = tuple(Line(name, None if name == "mystery" else name, g) for name, g in grams.items())
    return Formula("test", "", lines, pieces=pieces)


def value(found: Derivation | None) -> float:
    assert found is not None
    return float(found.value)


def test_per_100g_raw_is_the_sum_of_the_lines(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=300.0, water=200.0), book, BARE, LOSS)
    assert value(found.per_100g_raw["protein_g"]) == approx(300 * 10 / 500)  # by hand
    assert value(found.per_100g_raw["water_g"]) == approx((300 * 0.12 + 200) / 5)
    assert value(found.per_100g_raw["sodium_mg"]) == approx((300 * 0.02 + 200 * 0.03) / 5)


def test_what_bakes_off_is_water_and_nothing_else(book: Rulebook) -> None:
    found = nutrition_of(dough(5, flour=300.0, water=200.0), book, BARE, LOSS)
    assert value(found.baked_piece_g) == approx(90.0)
    assert value(found.per_piece["protein_g"]) == approx(6.0)
    assert value(found.per_100g["protein_g"]) == approx(6.0 / 90 * 100)
    assert value(found.per_piece["water_g"]) == approx((300 * 0.12 + 200 - 50) / 5)


def test_without_a_yield_a_piece_is_the_whole_recipe(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=300.0, water=200.0), book, BARE, LOSS)
    assert found.pieces is None
    assert value(found.per_piece["protein_g"]) == approx(30.0)


def test_a_figure_one_line_does_not_know_is_a_lower_bound_and_named(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=300.0, blank=10.0), book, BARE, LOSS)
    assert value(found.per_piece["protein_g"]) == approx(30.0)
    assert "protein_g" in found.incomplete
    assert "energy_kcal" not in found.incomplete


def test_a_figure_no_line_knows_is_unknown_and_not_zero(book: Rulebook) -> None:
    found = nutrition_of(dough(blank=10.0), book, BARE, LOSS)
    assert found.per_piece["protein_g"] is None and found.per_100g["protein_g"] is None
    assert value(found.per_piece["energy_kcal"]) == approx(30.0)


def test_a_difference_of_bounds_is_unknown(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=300.0, blank=10.0), book, BARE, LOSS)
    for field in RECKONED:
        assert found.per_piece[field] is None
        assert field in found.incomplete


@pytest.mark.parametrize("stranger", [{"mystery": 20.0}, {"flour": None}])
def test_an_unknown_ingredient_or_mass_makes_every_field_incomplete(
    book: Rulebook, stranger: dict[str, float | None]
) -> None:
    found = nutrition_of(dough(water=200.0, oil=50.0, **stranger), book, BARE, LOSS)
    assert found.incomplete == TOLD
    assert value(found.per_piece["fat_g"]) == approx(50.0)


def test_a_line_of_nothing_leaves_nothing_open(book: Rulebook) -> None:
    assert nutrition_of(dough(flour=300.0, water=200.0, blank=0.0), book, BARE, LOSS).incomplete == ()


def test_net_carbs_leave_out_fibre_and_deducted_polyols(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=100.0, husk=50.0, sweet=30.0, water=200.0), book, BARE, LOSS)
    assert value(found.per_piece["carbohydrate_g"]) == approx(76 + 42.5 + 30)
    assert value(found.per_piece["net_carbs_g"]) == approx(76 + 42.5 + 30 - 3 - 40 - 30)
    assert value(found.per_piece["available_carbohydrate_g"]) == approx(76 + 42.5 + 30 - 3 - 40)


def test_fibre_is_soluble_insoluble_and_of_unknown_type(book: Rulebook) -> None:
    found = nutrition_of(dough(flour=100.0, husk=50.0, water=200.0), book, BARE, LOSS)
    kinds = [value(found.per_piece[k]) for k in ("soluble_fibre_g", "insoluble_fibre_g", "unsplit_fibre_g")]
    assert kinds == approx([1.0, 1.5, 0.5 + 40])
    assert sum(kinds) == approx(value(found.per_piece["fibre_g"]))
    assert "soluble_fibre_g" in found.incomplete and "unsplit_fibre_g" not in found.incomplete


def test_fibre_of_which_no_line_tells_the_type_is_all_of_unknown_type(book: Rulebook) -> None:
    found = nutrition_of(dough(husk=50.0), book, BARE, LOSS)
    assert found.per_piece["soluble_fibre_g"] is None
    assert value(found.per_piece["unsplit_fibre_g"]) == approx(40.0)


def test_the_ketogenic_ratio_is_by_mass_and_needs_a_denominator(book: Rulebook) -> None:
    mixed = nutrition_of(dough(flour=100.0, oil=80.0), book, BARE, LOSS)
    assert value(mixed.per_piece["ketogenic_ratio"]) == approx(81 / (10 + 73))
    pure = nutrition_of(dough(oil=80.0), book, BARE, Derivation("bake loss", 0.0))
    assert pure.per_piece["ketogenic_ratio"] is None
    assert "ketogenic_ratio" not in pure.incomplete  # everything is known; there is just no such ratio


def test_water_is_unknown_when_more_bakes_off_than_is_there(book: Rulebook) -> None:
    found = nutrition_of(dough(oil=80.0), book, BARE, LOSS)
    assert found.per_100g["water_g"] is None and value(found.per_100g_raw["water_g"]) == 0.0


def test_an_unstated_part_of_nothing_is_nothing_and_says_why(book: Rulebook) -> None:
    found = nutrition_of(dough(oil=80.0, water=100.0), book, FULL, LOSS)
    assert value(found.per_piece["fibre_g"]) == 0.0 and "fibre_g" not in found.incomplete
    rules = {d.by for d in every(found.per_piece["fibre_g"])}
    assert "assistant.plan.nutrition.PART_OF" in rules


def test_unstated_polyols_of_a_plain_flour_are_none_and_of_a_syrup_unknown(book: Rulebook) -> None:
    plain = nutrition_of(dough(flour=100.0), book, FULL, LOSS)
    assert value(plain.per_piece["polyols_g"]) == 0.0
    assert "assistant.plan.nutrition.UNREPORTED" in {d.by for d in every(plain.per_piece["polyols_g"])}
    assert nutrition_of(dough(syrup=100.0), book, BARE, LOSS).per_piece["polyols_g"] is None
    assert nutrition_of(dough(odd=100.0), book, BARE, LOSS).per_piece["polyols_g"] is None


def test_a_part_is_of_something_that_is_summed_too() -> None:
    assert set(PART_OF) | set(PART_OF.values()) <= set(NUTRIENTS)


def every(found: Derivation | None) -> Iterator[Derivation]:
    if found is not None:
        yield found
        for premise in found.premises:
            yield from every(premise)


def all_of(found: Nutrition) -> Iterator[Derivation]:
    for table in (found.per_piece, found.per_100g, found.per_100g_raw):
        for each in table.values():
            yield from every(each)


def test_every_number_goes_back_to_what_the_recipe_says_and_a_source(book: Rulebook) -> None:
    found = nutrition_of(dough(4, flour=300.0, husk=30.0, sweet=20.0, water=200.0), book, FULL, LOSS)
    for table in (found.per_piece, found.per_100g, found.per_100g_raw):
        for field in TOLD:
            leaves = [d for d in every(table[field]) if not d.premises]
            assert any(d.by == "stated" and d.claim == "flour" and d.value == 300.0 for d in leaves), field
            assert any(d.by == "usda-sr28 of flour" and d.evidence == ("usda-sr28",) for d in leaves), field


def test_every_step_follows_from_its_premises(book: Rulebook) -> None:
    found = nutrition_of(dough(4, flour=300.0, husk=30.0, sweet=20.0, water=200.0), book, FULL, LOSS)
    replayed = 0
    for each in all_of(found):
        module, _, name = each.by.rpartition(".")
        if module == "assistant.laws.nutrition":
            assert each.value == approx(
                getattr(import_module(module), name)(*(p.value for p in each.premises))
            )
            replayed += 1
    assert replayed > 100


def test_taking_no_notes_changes_no_number(book: Rulebook) -> None:
    formula = dough(4, flour=300.0, husk=30.0, blank=5.0, water=200.0)
    numbers = [
        [
            None if d is None else d.value
            for table in (n.per_piece, n.per_100g, n.per_100g_raw)
            for d in table.values()
        ]
        for n in (nutrition_of(formula, book, notes, LOSS) for notes in (Notes(), Notes(keep=False)))
    ]
    assert numbers[0] == numbers[1]


def test_doubt_about_the_bake_loss_is_told_per_100g_and_not_per_piece(book: Rulebook) -> None:
    found = nutrition_of(dough(4, flour=300.0, water=200.0), book, FULL, LOSS)
    protein = found.per_100g["protein_g"]
    assert protein is not None and protein.low is not None and protein.low < protein.value
    assert found.per_piece["protein_g"] is not None and found.per_piece["protein_g"].low is None


@given(flour=GRAMS, water=GRAMS, husk=GRAMS, factor=st.floats(0.1, 50.0))
def test_scaling_a_recipe_leaves_100_g_of_it_alone(
    flour: float, water: float, husk: float, factor: float
) -> None:
    small = nutrition_of(dough(flour=flour, water=water, husk=husk), small_book(), BARE, LOSS)
    large = nutrition_of(
        dough(flour=factor * flour, water=factor * water, husk=factor * husk), small_book(), BARE, LOSS
    )
    for field in TOLD:
        a, b = small.per_100g[field], large.per_100g[field]
        assert (a is None) == (b is None)
        assert a is None or b is None or b.value == approx(a.value, rel=1e-6, abs=1e-9)


@given(flour=GRAMS, husk=GRAMS, order=st.permutations(["flour", "husk", "water", "oil"]))
def test_the_order_of_lines_does_not_matter(flour: float, husk: float, order: list[str]) -> None:
    grams = {"flour": flour, "husk": husk, "water": 100.0, "oil": 10.0}
    first = nutrition_of(dough(**grams), small_book(), BARE, LOSS)
    other = nutrition_of(dough(**{name: grams[name] for name in order}), small_book(), BARE, LOSS)
    assert value(first.per_piece["energy_kcal"]) == approx(value(other.per_piece["energy_kcal"]))
    assert first.incomplete == other.incomplete
