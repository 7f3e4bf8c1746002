"""Sweetness, bulk, freezing, browning and laxation: laws against printed values, and what a person is told."""

from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pytest import approx

from assistant.formula.model import Bake, Formula, Line
from assistant.laws import sweetness as law
from assistant.plan.assess import assess
from assistant.plan.functions import Context
from assistant.plan.sweetness import ADDED, MISSING, MISSING_ML, PER_PIECE, SITTING, missing_body
from assistant.plan.what_if import altered_mass, what_if, with_line
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, FULL, Derivation

SHARE = st.floats(1e-6, 5.0)


def muffins(sweetener: str, grams: float, pieces: int | None = 6) -> Formula:
    """Muffins of the hut's own making, 250 g flour, with any sweetener."""
    lines = (
        Line("flour", "all-purpose-flour", 250.0),
        Line(sweetener, sweetener, grams),
        Line("milk", "milk", 200.0),
        Line("egg", "egg", 50.0),
        Line("powder", "baking-powder", 11.0),
    )
    return Formula("muffins", "muffin", lines, (), Bake(190.0, 22.0), pieces=pieces, piece_name="muffin")


# ---- laws ----


@given(share=SHARE, more=st.floats(1.01, 3.0), strength=st.floats(20, 2000), most=st.floats(8, 20))
def test_more_of_an_intense_sweetener_is_sweeter_and_each_gram_less_so(
    share: float, more: float, strength: float, most: float
) -> None:
    less, then = (law.sweetness_of_intense_pct(s, strength, most) for s in (share, share * more))
    assert less <= then < most
    assert then / (share * more) <= less / share * (1 + 1e-9)


@given(strength=st.floats(20, 2000), most=st.floats(8, 20), part=st.floats(0.01, 0.98))
def test_strength_and_sweetness_are_each_others_inverse(strength: float, most: float, part: float) -> None:
    sweet_pct = part * most
    share_pct = sweet_pct / law.intensity_at(strength, sweet_pct, most)
    assume(share_pct <= 20.0)  # where the law stops
    assert law.sweetness_of_intense_pct(share_pct, strength, most) == approx(sweet_pct)


def test_the_stated_strength_is_that_at_five_per_cent_sugar() -> None:
    assert law.intensity_at(250.0, law.STATED_AT_PCT, 14.0) == approx(250.0)


def test_freezing_falls_with_all_that_is_dissolved_whatever_it_is() -> None:
    # equal mol, equal fall: 34.2 g sucrose and 18.0 g glucose in water enough for neither to hold much
    sugar = law.freezing_point_c(1000.0, law.dissolved_mol(34.23, 342.3, 1), 0.0)
    glucose = law.freezing_point_c(1000.0, law.dissolved_mol(18.016, 180.16, 1), 0.0)
    assert sugar == approx(glucose) == approx(-0.1858, abs=0.0005)


def test_allulose_lowers_the_freezing_point_about_twice_as_far_as_sugar() -> None:
    # half the molar mass; its reference calls it very soft when frozen
    sugar = law.freezing_point_c(90.0, law.dissolved_mol(10.0, 342.3, 1), law.SUGAR_HYDRATION["disaccharide"])
    allulose = law.freezing_point_c(90.0, law.dissolved_mol(10.0, 180.16, 1), law.SUGAR_HYDRATION["monosaccharide"])  # fmt: skip
    assert 1.8 <= allulose / sugar <= 2.0


def test_mass_is_kept_when_sucrose_splits() -> None:
    split = law.hexose_from_sucrose_g(342.30, 1.0)
    assert split - 342.30 == approx(18.015, abs=0.01)  # one water


def test_the_rulebook_counts_sucrose_for_browning_as_the_law_splits_it(book: Rulebook) -> None:
    weights = book.functions["browning"].of
    usual = law.browning_sugar_g(0.0, 1.0, law.INVERTED_IN_CRUST[1])
    assert weights["sucrose_g"] * 100 == approx(usual, abs=0.01)
    assert all(weights[sugar] * 100 == 1.0 for sugar in ("glucose_g", "fructose_g", "lactose_g", "maltose_g"))


def test_what_has_no_reducing_group_browns_nothing(book: Rulebook) -> None:
    for kind in ("polyol", "intense-sweetener"):
        for ingredient in book.members(kind):
            assert ingredient.does["browning"].value == 0, ingredient.id


def test_half_of_each_threshold_is_one_sitting() -> None:
    assert law.laxation_share(23.1, 46.2, 13.0, 26.0) == approx(1.0)
    assert law.laxation_share() == 0.0


REFUSED: dict[str, tuple[float, ...]] = {
    "intensity_at": (200.0, 18.3, 18.3),
    "sweetness_of_intense_pct": (30.0, 200.0, 18.3),
    "intense_sucrose_equal_g": (1.0, 0.0, 200.0, 18.3),
    "sucrose_equal_g": (-1.0, 1.0),
    "bulk_missing_g": (-1.0, 0.0),
    "dissolved_volume_ml": (100.0, 1.6),
    "sugar_solution_density_g_ml": (80.0, 0.62),
    "dissolved_mol": (1.0, 5.0, 1.0),
    "freezing_point_c": (10.0, 0.2, 2.0),
    "hexose_from_sucrose_g": (1.0, 1.2),
    "browning_sugar_g": (-1.0, 1.0, 0.5),
    "laxation_threshold_g": (0.0, 70.0),
    "laxation_share": (10.0, 0.0),
    "added_polyols_pct": (60.0, 50.0),
    "laxative_statement_due": (120.0,),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_law_refuses_what_is_outside_its_range(name: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        getattr(law, name)(*REFUSED[name])


def test_an_amount_without_its_threshold_is_refused() -> None:
    with pytest.raises(ValueError, match="needs its threshold"):
        law.laxation_share(1.0)


# ---- the rulebook's figures ----


def test_each_intense_sweetener_states_how_sweet_it_gets_or_keeps_its_ratio(book: Rulebook) -> None:
    known = {i.id for i in book.members("intense-sweetener") if i.sweetest is not None}
    assert len(known) >= 8
    # mogrosides: no dose-response read, so a constant ratio with its spread
    constant = book.ingredients["monk-fruit-extract"]
    assert constant.sweetest is None and constant.does["sweetness"].low is not None


def test_thresholds_order_as_studies_do(book: Rulebook) -> None:
    # polyol-thresholds: erythritol is borne best, then xylitol, maltitol, lactitol, sorbitol
    names = ("erythritol", "xylitol", "maltitol", "lactitol", "sorbitol")
    found = [book.ingredients[name].laxative_from for name in names]
    values = [f.value for f in found if f is not None]
    assert len(values) == 5 and all(a > b for a, b in pairwise(values))


def test_every_sweetening_polyol_states_its_threshold(book: Rulebook) -> None:
    missing = {i.id for i in book.members("polyol") if i.laxative_from is None}
    assert missing <= {"glycerine"}  # no threshold of it was read


# ---- what a person is told ----


def test_doubling_stevia_does_not_double_the_sweetness(book: Rulebook) -> None:
    once, twice = (assess(muffins("stevia-extract", g), book).crumb["sweetness"] for g in (0.15, 0.3))
    milk = assess(muffins("stevia-extract", 0.0), book).crumb["sweetness"]
    assert once.value < twice.value < 2 * once.value - milk.value - 1.0


def test_doubling_sugar_does(book: Rulebook) -> None:
    none, once, twice = (
        assess(muffins("sugar", g), book).crumb["sweetness"].value * _baked(book, g) for g in (0.0, 60.0, 120.0)
    )  # fmt: skip
    assert twice - none == approx(2 * (once - none), rel=0.02)


def _baked(book: Rulebook, grams: float) -> float:
    found = assess(muffins("sugar", grams), book).nutrition.baked_piece_g.value
    assert isinstance(found, float)
    return found


def test_sweetness_carries_the_spread_of_its_ratios(book: Rulebook) -> None:
    sweet = assess(muffins("erythritol", 130.0), book).crumb["sweetness"]
    assert sweet.low is not None and sweet.high is not None
    assert sweet.low < sweet.value < sweet.high


def test_xylitol_beyond_a_sitting_is_told_with_its_grams(book: Rulebook) -> None:
    # 160 g of 99.9 % in four muffins: 40 g each, against 0.37 g/kg x 70 kg = 25.9 g
    found = assess(muffins("xylitol", 160.0, pieces=4), book)
    assert found.sweeteners[PER_PIECE].value == approx(39.96)
    assert found.sweeteners[SITTING].value == approx(39.96 / 25.9)
    assert any("one muffin holds about 40 g" in c and "it may act as a laxative" in c for c in found.cautions)


def test_half_a_sitting_speaks_of_two_and_little_says_nothing(book: Rulebook) -> None:
    half = assess(muffins("xylitol", 130.0), book)
    assert any("two of them may act as a laxative" in c for c in half.cautions)
    little = assess(muffins("xylitol", 20.0), book)
    assert not any("at one sitting" in c for c in little.cautions)


def test_several_sugar_alcohols_add_up(book: Rulebook) -> None:
    one, two = muffins("erythritol", 60.0), muffins("xylitol", 60.0)
    both = with_line(one, Line("xylitol", "xylitol", 60.0))
    shares = [assess(f, book).sweeteners[SITTING].value for f in (one, two, both)]
    assert shares[0] + shares[1] == approx(shares[2])


def test_the_eu_statement_is_due_above_a_tenth_of_the_baked_goods(book: Rulebook) -> None:
    much, less = (assess(muffins("erythritol", g), book) for g in (60.0, 30.0))
    assert much.sweeteners[ADDED].value > 10 > less.sweeteners[ADDED].value
    words = "excessive consumption may produce laxative effects"
    assert any(words in c for c in much.cautions) and not any(words in c for c in less.cautions)


def test_allulose_is_no_polyol_for_the_statement_and_fills_a_sitting_all_the_same(book: Rulebook) -> None:
    found = assess(muffins("allulose", 140.0), book)
    assert ADDED not in found.sweeteners
    # 140 g x 99.5 % / 6 against 0.4 g/kg x 70 kg
    assert found.sweeteners[SITTING].value == approx(140 * 0.995 / 6 / 28.0)


def test_without_a_number_of_pieces_nobody_knows_a_sitting(book: Rulebook) -> None:
    found = assess(muffins("xylitol", 130.0, pieces=None), book)
    assert SITTING not in found.sweeteners and ADDED in found.sweeteners


def test_sugar_has_no_sugar_alcohols(book: Rulebook) -> None:
    assert not assess(muffins("sugar", 100.0), book).sweeteners


def test_missing_body_is_told_when_an_intense_sweetener_stands_in(book: Rulebook) -> None:
    base = muffins("sugar", 100.0)
    changed = with_line(altered_mass(base, 1, 0.0), Line("stevia-extract", "stevia-extract", 0.4))
    found = what_if(base, changed, "stevia for sugar", book)
    # 99.98 g dry sugar less 0.384 g dry stevia
    assert found.after.sweeteners[MISSING].value == approx(99.98 - 0.384)
    assert found.after.sweeteners[MISSING_ML].value == approx(0.62 * (99.98 - 0.384))
    assert any("100 g of sugar's body is missing" in r for r in found.remarks)


def test_body_is_not_missed_when_another_takes_its_place(book: Rulebook) -> None:
    base = muffins("sugar", 100.0)
    for stand_in, grams in (("erythritol", 130.0), ("honey", 110.0), ("allulose", 140.0)):
        changed = with_line(altered_mass(base, 1, 0.0), Line(stand_in, stand_in, grams))
        found = missing_body(Context(base, book), Context(changed, book), FULL)
        assert not found, stand_in


def test_a_fibre_that_comes_along_fills_the_gap(book: Rulebook) -> None:
    base = muffins("sugar", 100.0)
    changed = with_line(altered_mass(base, 1, 0.0), Line("stevia-extract", "stevia-extract", 0.4))
    filled = with_line(changed, Line("inulin", "inulin", 100.0))
    assert MISSING in missing_body(Context(base, book), Context(changed, book), FULL)
    assert not missing_body(Context(base, book), Context(filled, book), FULL)


def test_numbers_are_the_same_with_and_without_their_derivations(book: Rulebook) -> None:
    formula = muffins("xylitol", 130.0)
    kept, bare = (assess(formula, book, notes) for notes in (FULL, BARE))
    assert {k: d.value for k, d in kept.sweeteners.items()} == {
        k: d.value for k, d in bare.sweeteners.items()
    }
    assert kept.cautions == bare.cautions


def test_every_number_rests_on_something(book: Rulebook) -> None:
    found = assess(muffins("xylitol", 130.0), book)
    for name, derivation in (*found.sweeteners.items(), ("sweetness", found.crumb["sweetness"])):
        assert derivation.premises, name
        assert any(_cited(derivation)), name


def _cited(derivation: Derivation) -> list[str]:
    return [*derivation.evidence, *(key for p in derivation.premises for key in _cited(p))]


def test_the_hut_rolls_are_told_no_laxation(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    assert not assess(larch_hut("seed-rolls"), book).sweeteners
