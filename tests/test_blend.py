"""Blends of flours: what comes out against figures by hand, and what must hold for every rule and diet."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import pytest

from assistant.__main__ import DONE, WRONG_REQUEST, main
from assistant.formula.model import Formula, Line
from assistant.plan.blend import Asked, Blended, blend, blends
from assistant.plan.functions import is_any
from assistant.plan.safety import confirm
from assistant.rulebook.model import Aim, Apart, Band, Blend, Evidence, Ingredient, Part, Rulebook
from assistant.rulebook.read import load
from assistant.words.derivation import Derivation

BOOK = load()[0]
WITHOUT = (
    "gluten-free",
    "vegan",
    "nut-free",
    "egg-free",
    "dairy-free",
    "soy-free",
    "corn-free",
    "sesame-free",
)
"""Diets that leave something out, which any blend may be asked to keep."""
KITCHEN_STEP_G = 0.5
"""Half of the coarsest step that a kitchen weighs to."""
SLICE_G = 50.0
"""Bread that US law takes as a portion (21 CFR 101.12)."""


def asked(rule: Blend, *diets: str, grams: float = 200.0) -> Asked:
    """A blend of the rule for the first thing that it replaces."""
    first = rule.replaces[0]
    replaced = first if first in BOOK.ingredients else BOOK.classes[first].usual or BOOK.members(first)[0].id
    return Asked(replaced, grams, rule.works_in[0], diets)


def made(rule: Blend, *diets: str) -> Blended | str:
    return blend(rule, BOOK, asked(rule, *diets))


CASES = [
    (rule, diets) for rule in BOOK.blends.values() for diets in [(), *((d,) for d in (*rule.suits, *WITHOUT))]
]
MADE = [
    pytest.param(found, id=f"{rule.id} {' '.join(diets)}".strip())
    for rule, diets in CASES
    if not isinstance(found := made(rule, *diets), str)
]


def parts_of(found: Blended) -> list[tuple[Ingredient, float]]:
    return [(BOOK.ingredients[p.ingredient], float(p.grams.value)) for p in found.portions]


def known(figure: Derivation | None) -> float:
    assert figure is not None
    return float(figure.value)


# -- proportions -----------------------------------------------------------------------------------


def simple(*aims: Aim, avoid: Sequence[Apart] = (), second: str = "tapioca-starch") -> Blend:
    """Half rice flour and half of something else, as free as can be."""
    halves = [Part("bulk", (name,), Band(0.0, 50.0, 100.0), "body") for name in ("rice-flour", second)]
    usual = BOOK.blends["gluten-free-soft"]
    return replace(usual, parts=tuple(halves), aims=aims, avoid=tuple(avoid), ratio=Band(1.0, 1.0, 1.0))


HAND = (Evidence("common-practice", "common practice"),)


@pytest.mark.parametrize(
    ("aim", "rice_pct"),
    [
        # USDA SR28 20061: 5.95 g protein per 100 g of rice flour, none in tapioca starch; 4 / 5.95
        (Aim("protein_g", 0.05, 4.0, evidence=HAND), 67.2),
        # 1.05 g of water held a gram against 0.45: (0.6 - 0.45) / (1.05 - 0.45)
        (Aim("water-held", 0.005, 0.6, evidence=HAND), 25.0),
        # more than rice flour alone gives: all of it
        (Aim("protein_g", 0.05, 9.0, evidence=HAND), 100.0),
    ],
)
def test_two_flours_come_to_what_is_aimed_at_as_worked_by_hand(aim: Aim, rice_pct: float) -> None:
    found = blend(simple(aim), BOOK, Asked("all-purpose-flour", 1000.0))
    assert isinstance(found, Blended)
    shares = {p.ingredient: float(p.share_pct.value) for p in found.portions}
    assert shares["rice-flour"] == pytest.approx(rice_pct, abs=0.5)


def test_rice_and_starches_are_mixed_about_as_the_extension_service_prints() -> None:
    """CSU Extension 9.329 (Kendall 2013): 2/3 cup rice flour, 2/9 cup potato starch, 1/9 cup tapioca starch, which
    by our cups is 69, 23 and 9 %. A cup of flour weighs 15 % more or less with how it is filled: within 6 points."""
    rule = BOOK.blends["gluten-free-soft"]
    (printed,) = (row for row in rule.printed if row["source"] == "csu-9329")
    cups = {name: float(said.split()[0]) for name, said in printed["components"].items()}
    grams = {name: amount * BOOK.ingredients[name].measures["cup"].value for name, amount in cups.items()}
    found = made(rule)
    assert isinstance(found, Blended)
    ours = {p.ingredient: float(p.share_pct.value) for p in found.portions}
    assert set(grams) < set(ours)
    for name, mass in grams.items():
        assert ours[name] == pytest.approx(100 * mass / sum(grams.values()), abs=6), name


@pytest.mark.parametrize("found", MADE)
def test_shares_make_a_whole_within_the_bounds_of_the_rule(found: Blended) -> None:
    rule = BOOK.blends[found.rule]
    assert sum(float(p.share_pct.value) for p in found.portions) == pytest.approx(100, abs=0.05)
    wanted_g = 200.0 * rule.ratio.centre
    assert known(found.total_g) == pytest.approx(wanted_g, abs=KITCHEN_STEP_G * len(found.portions))
    for portion in found.portions:
        places = [p for p in rule.parts if p.role == portion.role and _may_take(portion.ingredient, p)]
        least = min(p.share.low for p in places) / 100 * wanted_g - KITCHEN_STEP_G
        most = max(p.share.high for p in places) / 100 * wanted_g + KITCHEN_STEP_G
        assert least <= float(portion.grams.value) <= most, portion.ingredient


def _may_take(ingredient: str, part: Part) -> bool:
    return is_any(BOOK.ingredients[ingredient], part.any_of)


@pytest.mark.parametrize("found", MADE)
def test_nutrients_and_water_are_the_weighed_sum_of_the_parts(found: Blended) -> None:
    parts = parts_of(found)
    whole = sum(mass for _, mass in parts)
    for nutrient in ("protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg"):
        by_hand = sum(i.composition[nutrient].value * mass for i, mass in parts) / whole
        assert known(found.per_100g[nutrient]) == pytest.approx(by_hand, rel=1e-6, abs=1e-9), nutrient
    net = sum(_net_carbs_g(i) * mass for i, mass in parts) / whole
    assert known(found.per_100g["net_carbs_g"]) == pytest.approx(net, rel=1e-6)
    replaced = BOOK.ingredients[asked(BOOK.blends[found.rule]).ingredient]
    held = sum(i.does["water-held"].value * mass for i, mass in parts)
    assert known(found.water_g) == pytest.approx(held - 200.0 * replaced.does["water-held"].value)


def _net_carbs_g(ingredient: Ingredient) -> float:
    """Carbohydrate less fibre, polyols that count so, and allulose, per 100 g."""
    left = ("fibre_g", "polyols_deducted_g", "allulose_g")
    away = sum(ingredient.composition[n].value for n in left if n in ingredient.composition)
    return ingredient.composition["carbohydrate_g"].value - away


# -- diets and safety ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "diets"), [pytest.param(rule, diets, id=" ".join((rule.id, *diets))) for rule, diets in CASES]
)
def test_nothing_in_a_blend_breaks_the_diet_it_was_asked_for(rule: Blend, diets: tuple[str, ...]) -> None:
    """Judged by the last look at safety, which shares nothing with the choosing."""
    found = made(rule, *diets)
    if isinstance(found, str):
        assert rule.name in found
        assert diets and diets[0] not in rule.suits, found
        return
    formula = Formula("blend", "", tuple(Line(i.name, i.id, mass) for i, mass in parts_of(found)))
    judged = confirm(formula, BOOK, diets)
    assert judged.broken == ()
    assert bool(judged.doubts) <= bool(found.doubts)
    assert not judged.doubts or set(found.diets.values()) == {"cannot confirm"}


@pytest.mark.parametrize(
    ("rule", "diet"),
    [
        pytest.param(rule, diet, id=f"{rule.id} {diet}")
        for rule in BOOK.blends.values()
        for diet in rule.suits
    ],
)
def test_bread_of_a_blend_keeps_the_figures_of_the_diets_it_is_made_for(rule: Blend, diet: str) -> None:
    """What a diet allows at most is not passed by the dry blend itself, which a dough only thins; what it asks at
    least for is there in blend and all the water that it holds, which an oven only dries."""
    (limit,) = BOOK.diets[diet].limits
    nutrient = str(limit["nutrient"])
    portion_g = SLICE_G if limit["per"] == "piece" else 100.0
    for replaced in (i for i in BOOK.ingredients.values() if is_any(i, rule.replaces)):
        found = blend(rule, BOOK, Asked(replaced.id, 200.0, "", (diet,)))
        assert isinstance(found, Blended), found
        parts = parts_of(found)
        whole = sum(mass for _, mass in parts)
        per_100g = {i.id: _net_carbs_g(i) for i, _ in parts}
        if nutrient != "net_carbs_g":
            per_100g = {i.id: i.composition[nutrient].value for i, _ in parts}
        in_portion = sum(per_100g[i.id] * mass for i, mass in parts) / whole * portion_g / 100
        held = sum(i.does["water-held"].value * mass for i, mass in parts) / whole
        assert "max" not in limit or in_portion <= limit["max"], replaced.id
        assert "min" not in limit or in_portion / (1 + held) >= limit["min"], replaced.id


@pytest.mark.parametrize(
    "rule", [r for r in BOOK.blends.values() if "without gluten" in r.name], ids=lambda rule: rule.id
)
def test_what_is_called_without_gluten_cereals_offers_none(rule: Blend) -> None:
    for part in rule.parts:
        for name in part.any_of:
            members = (BOOK.ingredients[name],) if name in BOOK.ingredients else BOOK.members(name)
            assert all(
                i.contains is not None and {"gluten-cereals", "wheat"}.isdisjoint(i.contains) for i in members
            ), name


@pytest.mark.parametrize("found", MADE)
def test_what_should_not_meet_does_not(found: Blended) -> None:
    there = [i for i, _ in parts_of(found)]
    for apart in BOOK.blends[found.rule].avoid:
        for pair in combinations(there, len(apart.together)):
            met = all(any(is_any(i, (name,)) for i in pair) for name in apart.together)
            assert not met, apart.because


def test_a_blend_of_nothing_but_what_should_not_meet_is_refused() -> None:
    apart = Apart(("rice-flour", "tapioca-starch"), "they quarrel")
    found = blend(simple(avoid=[apart]), BOOK, Asked("all-purpose-flour", 200.0))
    assert isinstance(found, str)
    assert found.endswith("no proportions of what is allowed come to what it should be.")


def test_above_what_an_aim_bears_there_is_no_blend() -> None:
    """Rice and tapioca starch hold 77 to 87 g of net carbohydrate in 100 g, whatever the shares."""
    few = Aim("net_carbs_g", 1.0, 8.0, 14.0, evidence=HAND)
    assert isinstance(blend(simple(few), BOOK, Asked("all-purpose-flour", 200.0)), str)


def test_doubt_is_avoided_where_it_can_be_and_the_usual_taken_where_it_can_not() -> None:
    """Rice flour is milled beside wheat, so another gum makes nothing surer; sugar alone is clear."""
    coeliac = asked(BOOK.blends["gluten-free-soft"], "gluten-free")
    found = blend(BOOK.blends["gluten-free-soft"], BOOK, coeliac)
    assert isinstance(found, Blended)
    assert found.doubts
    assert {p.role: p.ingredient for p in found.portions}["binder"] == "xanthan-gum"
    free = [i.id for i in BOOK.members("sugar") if i.contains == () and not i.may_contain][:1]
    doubtful = Part("bulk", ("rice-flour", *free), Band(0.0, 50.0, 100.0), "body")
    alone = replace(simple(), parts=(doubtful,))
    found = blend(alone, BOOK, replace(coeliac, product=""))
    assert isinstance(found, Blended)
    assert [p.ingredient for p in found.portions] == free
    assert found.doubts == ()


# -- asking for one --------------------------------------------------------------------------------


def test_blends_named_for_the_purpose_come_first_whatever_the_order_of_the_rules(book: Rulebook) -> None:
    wanted = Asked("all-purpose-flour", 200.0, "muffin", ("gluten-free",), ("soft",))
    turned = replace(book, blends=dict(sorted(book.blends.items(), reverse=True)))
    names = [[found.rule for found in blends(each, wanted)[0]] for each in (book, turned)]
    assert names[0] == names[1]
    firsts = [book.blends[rule].gives[0] == "soft" for rule in names[0]]
    assert firsts == sorted(firsts, reverse=True)
    assert all("soft" in book.blends[rule].gives for rule in names[0])


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["instead", *words])
    said = capsys.readouterr()
    return code, " ".join(said.out.split()), said.err


def test_almond_flour_in_a_psyllium_bread_is_answered_with_a_blend(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = run(capsys, "200 g almond flour", "--in", "high-fibre gel bread")
    assert code == DONE
    assert out.startswith("Instead of 200 g almond flour in psyllium bread:")
    assert "A blend: low-carb blend of seed flours (nutty, soft), 200 g 156 g sunflower-seed flour" in out
    assert "Add about 33 g of water or milk for the same dough feel." in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ["250 g flour", "--in", "muffin", "--like", "chewy"],
            "No chewy blend is known for all-purpose flour in muffin.",
        ),
        (["2 large eggs", "--like", "soft"], "No soft blend is known for whole egg."),
        (
            ["250 g flour", "--in", "muffin", "--diet", "low-fat", "--like", "neutral"],
            "Soft flour blend without gluten cereals is not made to be low in fat.",
        ),
        (
            [
                "500 g bread flour",
                "--in",
                "lean-bread",
                "--diet",
                "gluten-free",
                "--diet",
                "low-carb",
                "--like",
                "chewy",
            ],
            "vital wheat gluten contains cereals containing gluten.",
        ),
    ],
)
def test_where_there_is_no_blend_a_sentence_says_why(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = run(capsys, *words)
    assert told in out
    assert "A blend:" not in out


def test_an_unknown_purpose_is_told_with_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "250 g flour", "--like", "fluffy")
    assert (code, out) == (WRONG_REQUEST, "")
    assert err.strip() == (
        "--like fluffy: blends are not told by that; there are wheat-like, neutral, nutty, soft, chewy, crisp"
    )
