"""Answers beside the swap: stand-ins outside a recipe, what went wrong, recipes side by side."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from assistant.formula.model import Formula
from assistant.plan.assess import assess
from assistant.plan.diagnose import POSSIBLE, SEEN, diagnose
from assistant.plan.instead import instead
from assistant.publish.compare import compare, parts_of
from assistant.rulebook.model import Rulebook
from assistant.talk.english import FAULTS
from assistant.words.derivation import Derivation, stated
from tests.handmade import ROLLS, assessment, bake, chemistry, option


def test_a_cup_of_buttermilk_is_a_cup_of_milk_with_a_spoon_of_acid(book: Rulebook) -> None:
    """ISU Litchfield 2020, LSU Agan 2020, NDSU Sargent 2016: 1 tbsp vinegar or lemon juice to the cup."""
    found = instead(book, "buttermilk", 1.0, "cup")
    soured = next(o for o in found.options if o.title.startswith("buttermilk to milk soured"))
    milk, acid = soured.components
    assert milk.unit == "cup"
    assert milk.amount == pytest.approx(0.94, abs=0.07)
    assert acid.unit == "tbsp"
    assert acid.amount == pytest.approx(1.0, abs=0.1)
    assert len(soured.printed) >= 3


def test_twice_the_quantity_takes_twice_of_everything(book: Rulebook) -> None:
    once, twice = (instead(book, "buttermilk", amount, "cup") for amount in (1.0, 2.0))
    for one, two in zip(once.options, twice.options, strict=True):
        for a, b in zip(one.components, two.components, strict=True):
            assert (a.grams is None) == (b.grams is None)
            if a.grams is not None and b.grams is not None:
                assert b.grams.value == pytest.approx(2 * a.grams.value)


def test_a_quantity_that_no_measure_weighs_leaves_all_grams_unknown(book: Rulebook) -> None:
    found = instead(book, "buttermilk", 1.0, "clove")
    assert found.grams is None
    assert all(c.grams is None for o in found.options for c in o.components)


def test_in_one_kind_of_bread_only_what_works_there_is_told(book: Rulebook) -> None:
    found = instead(book, "buttermilk", 1.0, "cup", product="soda-bread")
    assert found.options
    assert all("soda-bread" in o.works_in for o in found.options)
    assert len(found.options) <= len(instead(book, "buttermilk", 1.0, "cup").options)


def test_what_the_rulebook_does_not_know_has_no_stand_in(book: Rulebook) -> None:
    assert instead(book, "no-such-thing", 1.0, "cup").options == ()


def test_what_nobody_tried_comes_last_and_what_tables_print_first(book: Rulebook) -> None:
    found = instead(book, "egg", 1.0, "each").options
    untried = [o.verdict == "not tried" for o in found]
    assert untried == sorted(untried)
    assert any(row.agrees for row in found[0].printed)


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_every_fault_that_is_understood_gets_causes(fault: str, book: Rulebook) -> None:
    found = diagnose(assessment(ROLLS), None, fault, book)
    assert found.answer
    assert found.verdict in (SEEN, POSSIBLE)
    assert all(key in book.sources for key in found.sources)


def test_soda_left_over_is_told_as_the_cause_of_a_soapy_crumb(book: Rulebook) -> None:
    left = replace(assessment(ROLLS), chemistry=chemistry(left_g=1.2))
    found = diagnose(left, None, "soapy", book)
    assert found.verdict == SEEN
    assert "left over" in found.answer[0]
    assert 1.2 in [d.value for d in found.derivations]
    assert diagnose(assessment(ROLLS), None, "soapy", book).verdict == POSSIBLE


def test_a_sour_bread_without_acid_to_spare_is_not_blamed_on_acid(book: Rulebook) -> None:
    assert diagnose(assessment(ROLLS), None, "sour", book).derivations == ()


def test_a_comparison_names_the_line_that_moves_a_figure_most(book: Rulebook) -> None:
    def with_sodium(powder_mg: float) -> Derivation:
        parts = (stated("sodium of the salt", 100.0, "mg"), stated("sodium of the powder", powder_mg, "mg"))
        whole = Derivation("sodium", 100.0 + powder_mg, "mg", premises=parts)
        return Derivation("sodium per piece", whole.value / 8, "mg", premises=(whole, stated("pieces", 8)))

    sides = []
    for mg in (0.0, 500.0):
        here = assessment(ROLLS)
        table = {**here.nutrition.per_piece, "sodium_mg": with_sodium(mg)}
        sides.append(replace(here, nutrition=replace(here.nutrition, per_piece=table)))
    rows = {row.what: row for row in compare(sides, [None, None], book).differences}
    assert rows["sodium per piece"].because == "mostly sodium of the powder"


def test_a_number_that_is_no_sum_has_no_parts() -> None:
    grams = Derivation(
        "fat", 2.0, "g", premises=(stated("mass", 10.0, "g"), stated("fat per 100 g", 20.0, "g"))
    )
    assert parts_of(grams) == ()


def test_an_unknown_mass_is_unknown_in_a_comparison(book: Rulebook) -> None:
    lines = (replace(ROLLS.lines[0], grams=None), *ROLLS.lines[1:])
    found = compare([assessment(ROLLS), assessment(replace(ROLLS, lines=lines))], [None, None], book)
    row = next(r for r in found.differences if r.what == "psyllium husk")
    assert row.values[1] is None


def test_the_foreseen_bake_counts_before_the_stated_one(book: Rulebook) -> None:
    found = compare([assessment(ROLLS), assessment(option().formula)], [None, bake()], book)
    row = next(r for r in found.differences if r.what == "time in the oven")
    assert [v.value for v in row.values if v is not None] == [40.0, 62.0]


def test_recipes_of_one_name_are_told_apart(book: Rulebook) -> None:
    found = compare([assessment(ROLLS), assessment(ROLLS)], [None, None], book)
    assert len(set(found.recipes)) == 2


def test_yeast_rolls_and_quick_rolls_differ_in_what_raises_them(
    book: Rulebook, larch_hut: Callable[[str], Formula]
) -> None:
    from assistant.talk.judgement import Judgement

    judge = Judgement(book)
    sides = [judge.assess(larch_hut(name)) for name in ("seed-rolls", "seed-rolls-quick")]
    what = [row.what for row in compare(sides, [None, None], book).differences]
    assert "active dry yeast" in what
    assert "time in the oven" in what


def test_every_trouble_is_one_that_is_understood(book: Rulebook) -> None:
    assert {trouble.name for trouble in book.troubles.values()} == set(FAULTS)


@pytest.mark.parametrize(
    ("trouble", "numbers", "says"),
    [
        ("gummy", {"hydration_pct": 260.0}, "more water than"),  # psyllium bread: 110 to 185 %
        ("dry", {"hydration_pct": 60.0}, "less water than"),
        ("salty", {"salt_pct": 4.0}, "more salt than"),
        ("bland", {"salt_pct": 0.1}, "less salt than"),
        ("sour", {"surplus_acid_mmol": 20.0}, "acid to spare"),
        ("soapy", {"ph_baked": 7.8}, "alkaline"),
        ("flat", {"mix_c": 52.0}, "kill yeast"),
    ],
)
def test_a_number_out_of_its_range_is_told_and_one_within_is_not(
    trouble: str, numbers: dict[str, float], says: str, larch_hut: Callable[[str], Formula], book: Rulebook
) -> None:
    rolls = assess(larch_hut("seed-rolls"), book)
    given = {name: replace(getattr(rolls.chemistry, name), value=value) for name, value in numbers.items()}
    off = diagnose(replace(rolls, chemistry=replace(rolls.chemistry, **given)), None, trouble, book)
    assert off.verdict == SEEN
    assert says in off.answer[0]
    assert set(numbers.values()) <= {d.value for d in off.derivations}
    calm = {name: 7.0 if name == "ph_baked" else 0.0 for name in ("ph_baked", "surplus_acid_mmol", "unneutralised_soda_g")}
    calm |= {"hydration_pct": 170.0, "salt_pct": 1.7, "mix_c": 30.0}
    within = {name: replace(getattr(rolls.chemistry, name), value=value) for name, value in calm.items()}
    fine = diagnose(replace(rolls, chemistry=replace(rolls.chemistry, **within)), None, trouble, book)
    assert fine.verdict == POSSIBLE


def test_a_dough_that_no_yeast_raises_is_not_too_hot_for_it(
    larch_hut: Callable[[str], Formula], book: Rulebook
) -> None:
    quick = assess(larch_hut("seed-rolls-quick"), book)
    hot = replace(quick.chemistry, mix_c=Derivation("dough after mixing", 60.0, "C"))
    assert "The dough is warm" not in diagnose(replace(quick, chemistry=hot), None, "flat", book).answer[0]


def test_little_powder_is_told_of_a_dense_bread(larch_hut: Callable[[str], Formula], book: Rulebook) -> None:
    quick = larch_hut("seed-rolls-quick")
    lines = tuple(replace(x, grams=2.0) if x.ingredient == "baking-powder" else x for x in quick.lines)
    told = diagnose(assess(quick.with_lines(lines), book), None, "dense", book)
    assert told.answer[0].startswith("There is less leavening")
    assert "less leavening" not in diagnose(assess(quick, book), None, "dense", book).answer[0]
