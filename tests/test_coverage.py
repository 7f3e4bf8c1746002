"""How far the rules reach is counted right: by hand over two rules and one dough, and whole over the packaged ones."""

import json
from dataclasses import replace

import pytest

from assistant.__main__ import main
from assistant.formula.model import Formula, Line
from assistant.plan.coverage import Cell, Reach, coverage, lacking
from assistant.plan.instead import StandIn, instead
from assistant.rulebook.model import Amount, Band, Evidence, Rulebook, Swap
from assistant.talk.recipes import packaged_names

BREAD = Formula(
    "dough", "lean-bread",
    (
        Line("flour", "bread-flour", 500.0),
        Line("water", "water", 320.0),
        Line("butter", "butter", 40.0),
        Line("salt", "salt", 10.0),
        Line("yeast", "instant-yeast", 5.0),
    ),
    pieces=1,
)  # fmt: skip


def rule(ident: str, replaced: str, brought: str, ratio: float, keeps: tuple[str, ...]) -> Swap:
    amount = Amount(brought, ratio=Band(ratio, ratio, ratio))
    evidence = (Evidence("common-practice", "common practice"),)
    return Swap(ident, ident, replaced, False, (), (amount,), keeps=keeps, evidence=evidence)


TO_OIL = rule("to-oil", "butter", "sunflower-oil", 0.8, ("fat", "tenderness"))
TO_LARD = rule("to-lard", "butter", "lard", 0.8, ("fat", "tenderness"))


def reach(book: Rulebook, diet: str, *swaps: Swap, dough: Formula = BREAD) -> Reach:
    small = replace(book, swaps={s.id: s for s in swaps}, digest="")
    return next(r for r in coverage(small, [dough]) if r.diet == diet)


def cell(found: Reach, function: str) -> Cell:
    return next(c for c in found.cells if c.function == function)


def test_a_line_a_diet_forbids_is_asked_for_and_a_stand_in_it_allows_answers(book: Rulebook) -> None:
    """Butter is milk and lard is pork: dairy-free may take both rules, a vegan one."""
    assert cell(reach(book, "dairy-free", TO_OIL, TO_LARD), "fat") == Cell("fat", {"common practice": 2}, 1, 1, 1)
    assert cell(reach(book, "vegan", TO_OIL, TO_LARD), "fat") == Cell("fat", {"common practice": 1}, 1, 1, 1)
    assert cell(reach(book, "vegan", TO_LARD), "fat") == Cell("fat", {}, 1, 0, 0)


def test_a_line_that_no_plan_replaces_is_a_gap_with_its_reason(book: Rulebook) -> None:
    found = reach(book, "vegan", TO_LARD)
    assert [(g.recipe, g.ingredient, g.because) for g in found.gaps] == [("dough", "butter", "unsalted butter is dairy")]
    assert "fat" in found.gaps[0].functions
    assert reach(book, "vegan", TO_OIL).gaps == ()


def test_a_plan_keeps_what_its_rule_names_or_what_half_of_is_left(book: Rulebook) -> None:
    """A rule that names nothing: 0.8 g of oil for each g of butter is as much fat, and 0.2 g a quarter of it."""
    silent = rule("to-oil", "butter", "sunflower-oil", 0.8, ())
    little = rule("to-oil", "butter", "sunflower-oil", 0.2, ())
    assert [cell(reach(book, "vegan", s), "fat").answered for s in (silent, little)] == [1, 0]


def test_what_leaves_a_diet_in_doubt_answers_but_not_for_sure(book: Rulebook) -> None:
    """Vegan rules leave margarine in doubt."""
    found = cell(reach(book, "vegan", rule("to-margarine", "butter", "margarine", 1.0, ("fat",))), "fat")
    assert (found.answered, found.sure) == (1, 0)


def test_ingredients_a_diet_forbids_are_counted_by_what_is_said_of_them(book: Rulebook) -> None:
    """Three ingredients that hold sesame in a rulebook of three; a stand-in for one, a no for another."""
    held = [i for i in book.ingredients.values() if "sesame" in (i.contains or ())][:3]
    assert len(held) == 3
    swap = rule("one", held[0].id, "sunflower-oil", 1.0, ())
    no = replace(rule("two", held[1].id, "sunflower-oil", 1.0, ()), stand_ins=(), refuse="No.")
    kept = {"sunflower-oil", *(i.id for i in held)}
    small = replace(book, ingredients={i: book.ingredients[i] for i in book.ingredients if i in kept})
    found = next(r for r in coverage(replace(small, swaps={"one": swap, "two": no}), []) if r.diet == "sesame-free")
    assert (found.asked, found.answered, found.refused, found.silent) == (3, 1, 1, (held[2].id,))


def test_a_diet_of_figures_asks_for_the_lines_that_keep_a_recipe_from_them(book: Rulebook) -> None:
    """10 g of salt in 875 g of dough is the sodium of this bread; butter is unsalted and not in the way."""
    less = rule("less", "salt", "potassium-salt", 1.0, ("salt",))
    more = rule("more", "salt", "baking-soda", 3.0, ("salt",))
    found = reach(book, "low-sodium", less, more)
    assert [(c.function, c.asked, c.answered) for c in found.cells if c.asked] == [("salt", 1, 1)]
    assert cell(found, "salt").stand_ins == 1  # three times as much soda brings no less sodium
    assert cell(reach(book, "low-sodium", more), "salt").answered == 0


def test_with_no_diet_every_line_that_does_something_is_asked_for(book: Rulebook) -> None:
    found = reach(book, "", TO_OIL)
    assert cell(found, "fat").asked == cell(found, "yeast-gas").asked == 1
    assert found.asked == len(book.ingredients) and found.answered == 1


def test_a_diet_says_what_it_lacks_and_only_that(book: Rulebook) -> None:
    def said(lacks: dict[str, str], *cells: Cell) -> list[str]:
        diet = replace(book.diets["vegan"], lacks=lacks)
        here = [replace(c, lacks=lacks.get(c.function, "")) for c in cells]
        with_diet = replace(book, diets={"vegan": diet})
        return [what for _, what in lacking(with_diet, [Reach("vegan", tuple(here), (), 0, 0, 0)])]

    gap, served = Cell("foam", {}, 2, 0, 0), Cell("foam", {}, 2, 1, 0)
    assert said({}, gap) == ["vegan has no plan for foam in the packaged recipes, and does not say so"]
    assert said({"foam": "nothing beats up"}, gap) == []
    assert said({"foam": "nothing beats up"}, served) == ["vegan says it lacks foam, and there is a plan for it"]
    assert said({}, served) == []


@pytest.fixture(scope="module")
def packaged_reach(book: Rulebook) -> tuple[Reach, ...]:
    from assistant.formula.read import read_formula
    from assistant.talk.recipes import packaged_recipe

    paths = [packaged_recipe(name) for name in packaged_names()]
    formulas = [read_formula(path, book)[0] for path in paths if path is not None]
    return coverage(book, [f for f in formulas if f is not None])


def test_every_diet_has_a_plan_for_each_function_of_the_packaged_recipes_or_says_what_it_lacks(
    book: Rulebook, packaged_reach: tuple[Reach, ...]
) -> None:
    assert list(lacking(book, packaged_reach)) == []
    assert {r.diet for r in packaged_reach} == {"", *book.diets}


def test_every_function_that_a_dough_has_is_kept_by_some_stand_in(packaged_reach: tuple[Reach, ...]) -> None:
    anybody = next(r for r in packaged_reach if not r.diet)
    assert [c.function for c in anybody.cells if c.asked and not c.stand_ins] == []


@pytest.mark.parametrize(
    ("diet", "asked"),
    [
        ("vegan", ("cream-cheese", "egg-yolk", "cheddar", "parmesan", "ricotta", "skim-milk-powder", "honey")),
        ("dairy-free", ("cream-cheese", "neufchatel", "gruyere", "feta", "cottage-cheese", "instant-nonfat-dry-milk", "whey-powder")),
        ("egg-free", ("egg-yolk",)),
        ("gluten-free", ("rolled-oats", "steel-cut-oats", "oat-flour", "rye-flour", "barley-flakes", "wheat-germ", "wheat-bran")),
        ("no-added-sugar", ("honey", "molasses", "light-corn-syrup", "maple-syrup")),
        ("alcohol-free", ("rum", "brandy", "whiskey")),
    ],
)
def test_what_is_asked_for_most_has_a_stand_in(
    diet: str, asked: tuple[str, ...], packaged_reach: tuple[Reach, ...]
) -> None:
    found = next(r for r in packaged_reach if r.diet == diet)
    assert set(asked) & set(found.silent) == set()


@pytest.mark.parametrize("asked", ["cream-cheese", "cheddar", "parmesan"])
def test_a_cheese_of_nuts_warns_of_them_and_who_may_not_eat_them_gets_another(asked: str, book: Rulebook) -> None:
    def nuts(option: StandIn) -> bool:
        return any("nuts" in book.ingredients[c.ingredient].contains for c in option.components)

    offered = instead(book, asked, 100.0, "g", diets=("vegan",)).options
    assert any(map(nuts, offered))
    warning = book.cautions["tree-nuts"].text
    assert all(warning in option.cautions for option in offered if nuts(option))
    spared = instead(book, asked, 100.0, "g", diets=("vegan", "nut-free")).options
    assert spared and not any(map(nuts, spared))


def test_the_command_prints_one_diet_or_all(capsys: pytest.CaptureFixture[str], book: Rulebook) -> None:
    assert main(["rules", "coverage", "yeast free", "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)["diets"]
    assert (told["diet"], told["name"]) == ("yeast-free", book.diets["yeast-free"].name)
    gas = next(f for f in told["functions"] if f["function"] == "yeast-gas")
    assert gas["gap"] and gas["lacks"] == book.diets["yeast-free"].lacks["yeast-gas"]
    assert {g["recipe"] for g in told["gaps"]} <= {"Saturday braid"}
    assert main(["rules", "coverage", "yeast-free"]) == 0
    assert "lacks raising by yeast" in capsys.readouterr().out


def test_a_diet_that_is_none_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "coverage", "moon"]) == 2
    assert "there is no such diet" in capsys.readouterr().err
