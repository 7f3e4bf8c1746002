"""Checks across the rulebook: each fires on a small specimen, and none on the packaged rules."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from assistant.formula.model import Formula
from assistant.plan.coverage import coverage, lacking
from assistant.rulebook import check as checks
from assistant.rulebook import read
from assistant.rulebook.check import CHECKS, Check, check
from assistant.rulebook.graph import Link, Node, between, dangling, endless_needs, graph_of, serves, thing
from assistant.rulebook.model import Evidence, Example, Figure, Need, Rulebook, Source, Swap
from assistant.rulebook.read import load
from assistant.words.faults import Fault


@pytest.fixture(scope="module")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def own_cache(warm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read, "user_cache_path", lambda *_, **__: warm)
    monkeypatch.setattr(read, "user_data_path", lambda *_, **__: tmp_path)


@cache
def packaged() -> Rulebook:
    return load()[0]


@pytest.mark.parametrize("each", CHECKS, ids=lambda each: each.__name__)
def test_the_packaged_rules_pass(each: Check) -> None:
    found = tuple(each(packaged()))
    assert not found, "\n".join(fault.sentence for fault in found)


# ---- specimens ----

MEAL = """- id: specimen
  name: specimen meal
  classes: [flour]
  per_100g:
    source: usda-sr28 20016
    grade: measured
    water_g: 12
    energy_kcal: 343
    protein_g: 10
    fat_g: 2
    carbohydrate_g: 74.5
    ash_g: 1.5
    fibre_g: 9
    soluble_fibre_g: 2
    insoluble_fibre_g: 7
"""
SWAP = """- id: specimen
  title: butter to lard
  replaces: butter
  with: [{ingredient: lard, ratio: {low: 0.8, centre: 0.85, high: 0.9}}]
  because: Lard is all fat.
  evidence: [{source: common-practice, grade: common practice}]
  examples:
    - {name: holds, given: {product: scone, lines: {butter: 60 g}}, expect: {lard: "48..54 g"}}
    - {name: refused, given: {product: sponge, lines: {butter: 60 g}}, expect: refused}
"""
PRODUCT = """- id: specimen
  name: hut cake
  raised_by: yeast
  evidence: [{source: common-practice, grade: common practice}]
"""
NEED = """- id: specimen
  of: butter
  kind: water
  met_by: [lard]
  because: It does.
  evidence: [{source: common-practice, grade: common practice}]
"""

BLEND = """- id: specimen
  name: specimen blend
  replaces: [wheat-flour]
  works_in: [muffin]
  ratio: {low: 1, centre: 1, high: 1}
  parts:
    - {role: bulk, any_of: [rice-flour], share: {low: 40, centre: 60, high: 80}, because: body}
    - {role: starch, any_of: [cornstarch], share: {low: 20, centre: 40, high: 60}, because: lightness}
  aims: [{figure: protein_g, tolerance: 3, evidence: [{source: common-practice, grade: common practice}]}]
  because: It does.
  evidence: [{source: common-practice, grade: common practice}]
  examples:
    - {name: holds, given: {grams: 100, replaces: all-purpose-flour}, expect: {rice-flour: "40..80 g"}}
    - {name: refused, given: {grams: 100, replaces: all-purpose-flour, diets: [low-carb]}, expect: refused}
"""
CAUTION = """- id: specimen
  text: Mind the step.
  when: {has: [butter]}
  evidence: [{source: common-practice, grade: common practice}]
"""

# check: (file, text with the slip, what the fault says); the text with no slip is silent
SPECIMENS: dict[str, tuple[Check, str, str, str]] = {
    "name of another ingredient": (
        checks.names_are_unique,
        "ingredients",
        MEAL + "  aliases: [Buttermilks]\n",
        '"buttermilk" (en) is a name of specimen',
    ),
    "name of another in a language": (
        checks.names_are_unique,
        "ingredients",
        MEAL + "  names: {de: [Buttermilch]}\n",
        '"buttermilch" (de)',
    ),
    "name that another has in another language": (
        checks.names_are_unique,
        "ingredients",
        MEAL + "  names: {it: [Buttermilch]}\n",
        '"buttermilch" (it) is a name of specimen',
    ),
    "alias of another product": (
        checks.names_are_unique,
        "products",
        PRODUCT + "  aliases: [Scones]\n",
        '"scone" is a name of',
    ),
    "source cited nowhere": (
        checks.sources_are_known_and_cited,
        "sources",
        "- {id: specimen-1900, title: unread}\n",
        "specimen-1900 is cited nowhere",
    ),
    "orphan": (
        checks.no_ingredient_is_an_orphan,
        "ingredients",
        MEAL.replace("[flour]", "[]"),
        "belongs to no class",
    ),
    "too little in all": (
        checks.proximates_sum_to_100,
        "ingredients",
        MEAL.replace("water_g: 12", "water_g: 9"),
        "sum to 97.0 g",
    ),
    "too much in all": (
        checks.proximates_sum_to_100,
        "ingredients",
        MEAL.replace("water_g: 12", "water_g: 15"),
        "sum to 103.0 g",
    ),
    "fibre that does not add up": (
        checks.fibre_splits_into_its_kinds,
        "ingredients",
        MEAL.replace("soluble_fibre_g: 2", "soluble_fibre_g: 2.2", 1),
        "kinds sum to 9.20",
    ),
    "a part beyond the whole": (
        checks.no_part_exceeds_its_whole,
        "ingredients",
        MEAL + "    saturated_g: 5\n",
        "saturated_g of specimen is 5, more than its fat_g of 2",
    ),
    "energy in kJ": (
        checks.energy_agrees_with_the_macros,
        "ingredients",
        MEAL.replace("energy_kcal: 343", "energy_kcal: 450"),
        "energy of specimen is 450 kcal",
    ),
    "a laxative threshold of nothing": (
        checks.sweeteners_state_what_their_limits_are_of,
        "ingredients",
        MEAL + "  laxative_from: {value: 0.3, source: from-memory, grade: from memory}\n",
        "specimen has a laxative threshold and no polyols or allulose",
    ),
    "a most sweetness of flour": (
        checks.sweeteners_state_what_their_limits_are_of,
        "ingredients",
        MEAL + "  sweetest: {value: 10, source: from-memory, grade: from memory}\n",
        "specimen has a most sweetness and is no intense sweetener",
    ),
    "a cup of spoons": (
        checks.spoons_agree_with_cups,
        "ingredients",
        MEAL + "  measures: {source: from-memory, grade: from memory, cup: 120, tbsp: 25}\n",
        "4.8 times a tbsp",
    ),
    "class without members": (
        checks.classes_have_members,
        "swaps",
        SWAP + "  when: {has: [gravel]}\n",
        "gravel, which has no members",
    ),
    "replaces an empty class": (
        checks.no_swap_is_dead,
        "swaps",
        SWAP.replace("replaces: butter", "replaces: {any: gravel}"),
        "nothing is gravel",
    ),
    "serves what it can't": (
        checks.no_swap_is_dead,
        "swaps",
        SWAP + "  serves: [yeast-gas]\n",
        "serves as yeast-gas",
    ),
    "brings an empty class": (
        checks.no_swap_is_dead,
        "swaps",
        SWAP.replace("ingredient: lard", "any_of: gravel"),
        "nothing else is gravel",
    ),
    "product never raised so": (
        checks.no_swap_is_dead,
        "swaps",
        SWAP + "  when: {product: [lean-bread], raised_by: chemical}\n",
        "none of its products",
    ),
    "says what another says": (
        checks.no_two_swaps_say_the_same,
        "swaps",
        SWAP.replace("replaces: butter", "replaces: agar").replace("ingredient: lard", "ingredient: agar-flakes")
        + "  when: {product: [cookie, pie-crust, cake, filling]}\n",
        "specimen says the same as agar-to-flakes",
    ),
    "parts that make no whole": (
        checks.no_blend_is_dead,
        "blends",
        BLEND.replace("high: 80", "high: 60").replace("centre: 40, high: 60", "centre: 30, high: 39"),
        "make 60 to 99 % and never a whole",
    ),
    "parts that make more than a whole": (
        checks.no_blend_is_dead,
        "blends",
        BLEND.replace("low: 40", "low: 60").replace("low: 20", "low: 41").replace("centre: 40", "centre: 50"),
        "make 101 to 140 %",
    ),
    "blend of an empty class": (
        checks.classes_have_members,
        "blends",
        BLEND.replace("[cornstarch]", "[cornstarch, gravel]"),
        "gravel, which has no members",
    ),
    "blend without an example that is refused": (
        checks.swaps_have_evidence_and_examples,
        "blends",
        BLEND.replace("expect: refused", 'expect: {rice-flour: "40..80 g"}'),
        "an example that is refused",
    ),
    "caution that nobody reads": (
        checks.no_caution_is_dead,
        "cautions",
        CAUTION.replace("  when: {has: [butter]}\n", ""),
        "specimen has no condition and nothing names it",
    ),
    "cause of nothing": (
        checks.no_cause_is_dead,
        "causes",
        "- id: specimen\n  baked: true\n  says: Look at it.\n",
        "specimen is the cause of nothing",
    ),
    "trouble of which nothing is said": (
        checks.no_cause_is_dead,
        "troubles",
        "- id: specimen\n  name: specimen\n",
        "of specimen nothing is said",
    ),
    "no evidence": (
        checks.swaps_have_evidence_and_examples,
        "swaps",
        SWAP.replace("[{source: common-practice, grade: common practice}]", "[]"),
        "lacks evidence",
    ),
    "no refused example": (
        checks.swaps_have_evidence_and_examples,
        "swaps",
        SWAP.replace("expect: refused", 'expect: {lard: "1..2 g"}'),
        "an example that is refused",
    ),
    "no example that holds": (
        checks.swaps_have_evidence_and_examples,
        "swaps",
        SWAP.replace('{lard: "48..54 g"}', "refused"),
        "an example that holds",
    ),
    "a no without silence": (
        checks.swaps_have_evidence_and_examples,
        "swaps",
        SWAP.replace('{lard: "48..54 g"}', "refused") + "  refuse: It can't be.\n",
        "where it is silent",
    ),
    "need without evidence": (
        checks.rules_have_evidence,
        "needs",
        NEED.replace("[{source: common-practice, grade: common practice}]", "[]"),
        "specimen cites no evidence",
    ),
    "need of its own answer": (
        checks.every_need_has_an_exit,
        "needs",
        NEED.replace("met_by: [lard]", "met_by: [butter]"),
        "nothing closes specimen",
    ),
    "becomes without a turn": (
        checks.every_change_of_leavening_has_its_turn,
        "products",
        PRODUCT + "  becomes: {chemical: scone}\n",
        "no turn says",
    ),
    "sentence nobody fills": (
        checks.sentences_can_be_filled_in,
        "method",
        '- {id: rest-gel.en, kind: rest-gel, language: en, text: "Rest {hours} hours."}\n',
        'asks for "hours"',
    ),
    "sentence with a loose brace": (
        checks.sentences_can_be_filled_in,
        "method",
        '- {id: rest-gel.en, kind: rest-gel, language: en, text: "Rest {minutes hours."}\n',
        "can't be filled in",
    ),
    "step without English": (
        checks.every_step_is_said_in_english,
        "method",
        '- {id: nap.de, kind: nap, language: de, text: "Ruhen."}\n',
        "nap has no English",
    ),
}


def with_shelf(tmp_path: Path, **files: str) -> Rulebook:
    """The packaged rules with a shelf of these files."""
    folder = tmp_path / "own"
    folder.mkdir()
    for name, text in ({"classes": "- {id: gravel, name: gravel}\n"} | files).items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    book, faults = load(folder)
    assert not faults, "\n".join(fault.sentence for fault in faults)
    return book


@cache
def before(each: Check) -> frozenset[str]:
    """What a check finds without any shelf."""
    return frozenset(fault.what for fault in each(packaged()))


def found_by(each: Check, book: Rulebook) -> list[Fault]:
    return [fault for fault in each(book) if fault.what not in before(each)]


@pytest.mark.parametrize("slip", SPECIMENS)
def test_a_check_fires_on_its_specimen_and_tells_where_it_stands(slip: str, tmp_path: Path) -> None:
    each, file, text, what = SPECIMENS[slip]
    found = found_by(each, with_shelf(tmp_path, **{file: text}))
    told = [f for f in found if what in f.what]
    assert told, "\n".join(f.sentence for f in found) or "silence"
    assert (f"{file}.yaml", 1) in {(Path(f.where.source).name, f.where.line) for f in told}
    assert all(f.mend for f in found)


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("ingredients", MEAL),
        ("swaps", SWAP),
        ("blends", BLEND),
        ("cautions", CAUTION),
        ("products", PRODUCT),
        ("needs", NEED),
    ],
)
def test_every_check_is_silent_on_a_sound_specimen(file: str, text: str, tmp_path: Path) -> None:
    book = with_shelf(tmp_path, **{file: text})
    found = [fault.sentence for each in CHECKS for fault in found_by(each, book)]
    assert not found, "\n".join(found)


def test_every_check_has_a_specimen() -> None:
    shown = {each for each, _, _, _ in SPECIMENS.values()}
    assert set(CHECKS) - shown == {checks.every_id_resolves}  # below: the reader tells it first


DIET = """- id: specimen
  name: specimen diet
  definition: No flour of wheat.
  forbids: {class: [wheat-flour]}
  evidence: [{source: common-practice, grade: common practice}]
"""


@pytest.mark.parametrize(
    ("lacks", "told"),
    [
        ("", ["specimen has no plan for gluten in the packaged recipes, and does not say so"]),
        ("  lacks: {gluten: only wheat makes it}\n", []),
    ],
)
def test_a_diet_without_a_plan_for_a_function_says_so(
    lacks: str, told: list[str], tmp_path: Path, larch_hut: Callable[[str], Formula]
) -> None:
    book = with_shelf(tmp_path, diets=DIET + lacks)
    alone = replace(book, diets={"specimen": book.diets["specimen"]})
    reach = coverage(alone, [larch_hut("dinner-rolls")])
    assert [what for _, what in lacking(alone, reach)] == told


def test_an_id_that_is_none_is_told_where_it_is_named() -> None:
    swap = Swap("s", "s", "butter", False, (), (), cautions=("no-such-caution",))
    book = replace(packaged(), swaps={"s": swap})
    assert [f.what for f in checks.every_id_resolves(book)] == ['"no-such-caution" is no known caution']


def test_a_source_or_grade_that_is_none_is_told() -> None:
    butter = packaged().ingredients["butter"]
    fat = replace(butter.composition["fat_g"], source="nobody", grade="certain")  # type: ignore[arg-type]
    book = replace(packaged(), ingredients={"butter": replace(butter, composition={"fat_g": fat})})
    told = {f.what for f in checks.sources_are_known_and_cited(book) if "fat_g" in f.what}
    assert told == {
        'fat_g of butter cites "nobody", which is no known source',
        'fat_g of butter has the grade "certain"',
    }


def test_a_source_that_only_the_code_cites_is_cited() -> None:
    source = Source("cfr-101-9", "labelling")
    book = replace(empty(), sources={"cfr-101-9": source, "never-heard-of": Source("never-heard-of", "")})
    assert [f.what for f in checks.sources_are_known_and_cited(book)] == ["never-heard-of is cited nowhere"]


def test_energy_may_say_by_its_method_why_it_differs() -> None:
    butter = packaged().ingredients["butter"]
    wrong = {
        **butter.composition,
        "energy_kcal": replace(butter.composition["energy_kcal"], value=500.0, method=""),
    }
    excused = {**wrong, "energy_kcal": replace(wrong["energy_kcal"], method="measured by combustion")}
    books = (
        replace(empty(), ingredients={"butter": replace(butter, composition=table)})
        for table in (wrong, excused)
    )
    assert [len(list(checks.energy_agrees_with_the_macros(book))) for book in books] == [1, 0]


def test_acids_may_stand_beside_carbohydrate() -> None:
    parts = {"water_g": 94.0, "protein_g": 0.0, "fat_g": 0.0, "carbohydrate_g": 0.5, "ash_g": 0.3}
    figures = {name: Figure(value, "g", "usda-sr28", "measured") for name, value in parts.items()}
    sour = {**figures, "organic_acids_g": Figure(5.0, "g", "usda-sr28", "measured")}
    vinegar = packaged().ingredients["vinegar"]
    books = (
        replace(empty(), ingredients={"vinegar": replace(vinegar, composition=table)})
        for table in (figures, sour)
    )
    assert [len(list(checks.proximates_sum_to_100(book))) for book in books] == [1, 0]


def empty() -> Rulebook:
    sections = (
        "ingredients",
        "acids",
        "functions",
        "products",
        "turns",
        "swaps",
        "needs",
        "diets",
        "allergens",
        "reactions",
    )
    return Rulebook(**{name: {} for name in (*sections, "cautions", "steps", "sources")})


def test_all_faults_come_in_the_order_of_files_and_lines() -> None:
    places = [(f.where.source, f.where.line or 0) for f in check(packaged())]
    assert places == sorted(places)


# ---- the graph ----


def need(need_id: str, of: str, *met_by: str, kind: str = "water") -> Need:
    return Need(need_id, of, kind, met_by=met_by, evidence=(Evidence("common-practice", "common practice"),))


def with_needs(*needs: Need) -> Rulebook:
    return replace(packaged(), needs={n.id: n for n in needs})


@pytest.mark.parametrize(
    ("needs", "endless"),
    [
        ([need("a", "butter", "lard"), need("b", "lard", "butter")], ["a", "b"]),
        ([need("a", "butter", "lard", "water"), need("b", "lard", "butter")], []),  # water, and then butter
        ([need("a", "butter", "lard"), need("b", "lard", "water")], []),
        ([need("a", "butter", kind="rest")], []),
        ([need("a", "butter", "lard"), need("b", "lard", kind="rest")], []),
        ([need("a", "butter")], ["a"]),
    ],
)
def test_a_cycle_of_needs_has_an_exit_or_is_told(needs: Iterable[Need], endless: list[str]) -> None:
    assert [n.id for n in endless_needs(with_needs(*needs))] == endless


def test_nothing_in_the_packaged_graph_hangs_in_the_air() -> None:
    assert dangling(graph_of(packaged())) == ()


def test_links_are_typed() -> None:
    graph = graph_of(packaged())
    psyllium, gel = Node("ingredient", "psyllium-husk"), Node("class", "gel-fibre")
    assert graph.has_edge(psyllium, gel, key="member")
    assert graph.has_edge(psyllium, Node("function", "water-held"), key="serves")
    assert graph.has_edge(gel, Node("need", "gel-rest"), key="needs")
    assert graph.has_edge(Node("class", "wet-acid"), Node("need", "soda-acid"), key="satisfies")
    assert graph.has_edge(
        Node("class", "wet-acid"), thing(packaged().needs["soda-acid"].of, packaged()), key="activates"
    )
    assert graph.has_edge(
        Node("swap", "yeast-to-baking-powder"), Node("class", "baker-yeast"), key="replaces"
    )
    assert graph.has_edge(
        Node("swap", "yeast-to-baking-powder"), Node("ingredient", "baking-powder"), key="brings"
    )


def test_the_way_from_one_entry_to_another_is_the_shortest_and_the_same_every_time() -> None:
    graph = graph_of(packaged())
    way = between(graph, Node("ingredient", "psyllium-husk"), Node("need", "gel-rest"))
    assert way == (
        Link(Node("ingredient", "psyllium-husk"), "member", Node("class", "gel-fibre")),
        Link(Node("class", "gel-fibre"), "needs", Node("need", "gel-rest")),
    )
    assert between(graph, Node("ingredient", "nothing"), Node("need", "gel-rest")) == ()


def test_an_ingredient_serves_what_it_states_what_its_figures_give_and_what_it_brings() -> None:
    book = packaged()
    assert "water-held" in serves(book.ingredients["psyllium-husk"], book)  # stated
    assert "fat" in serves(book.ingredients["butter"], book)  # by fat_g
    assert "acid" in serves(book.ingredients["vinegar"], book)  # by its acid
    assert "fat" not in serves(book.ingredients["water"], book)


def test_an_example_counts_as_refused_only_when_it_says_so() -> None:
    swap = packaged().swaps["yeast-to-baking-powder"]
    silent = replace(swap, examples=(Example("n", {}, {"baking-powder": "8..14 g"}),))
    told = list(checks.swaps_have_evidence_and_examples(replace(empty(), swaps={swap.id: silent})))
    assert [f.what for f in told] == [f"{swap.id} lacks an example that is refused"]
