"""Reading the rules: every slip is told with its line, a shelf overlays, the cache changes nothing."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.rulebook import read
from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import Band, Rulebook
from assistant.rulebook.read import load
from assistant.words.places import packaged


@pytest.fixture(scope="module")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache that the tests of this module share, so that the packaged rules are read once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def no_shelf_of_their_own(warm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read, "user_cache_path", lambda *_, **__: warm)
    monkeypatch.setattr(read, "user_data_path", lambda *_, **__: tmp_path / "data")


@pytest.fixture
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of one test alone, with small rules."""
    folder = tmp_path / "cache"
    monkeypatch.setattr(read, "user_cache_path", lambda *_, **__: folder)
    monkeypatch.setattr(read, "packaged", lambda _: tmp_path / "small")
    source = "- {id: usda-sr28, title: composition}\n- {id: from-memory, title: recalled}\n"
    for name, text in {"classes": "- {id: flour, name: flour}\n", "sources": source}.items():
        (tmp_path / "small").mkdir(exist_ok=True)
        (tmp_path / "small" / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


def shelf(tmp_path: Path, **files: str) -> Path:
    """A shelf of files named like swaps__mine: folder swaps, file mine.yaml."""
    folder = tmp_path / "own"
    for name, text in files.items():
        path = folder / (name.replace("__", "/") + ".yaml")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def test_the_packaged_rules_have_no_faults() -> None:
    _, faults = load(fresh=True)
    assert not faults, "\n".join(fault.sentence for fault in faults)


INGREDIENT = """- id: barley-malt-meal
  name: barley malt meal
  classes: [flour]
  per_100g:
    source: usda-sr28 20016
    grade: measured
    protein_g: 10
"""
SWAP = """- id: mine
  title: butter to lard
  replaces: butter
  with: [{ingredient: lard, ratio: {low: 0.8, centre: 0.85, high: 0.9}}]
  because: Lard is all fat.
  evidence: [{source: common-practice, grade: common practice}]
"""

# (file, text, line of the fault, what it says, how it says to mend it)
SLIPS = {
    "unknown key": (
        "ingredients__x",
        INGREDIENT + "  aliasses: [meal]\n",
        8,
        '"aliasses" is no key',
        "aliases",
    ),
    "unknown figure": (
        "ingredients__x",
        INGREDIENT + "    fiber_g: 3\n",
        8,
        '"fiber_g" is no figure',
        "fibre_g",
    ),
    "text for a number": (
        "ingredients__x",
        INGREDIENT + "    fat_g: 3 g\n",
        8,
        '"3 g" is no number',
        "without a unit",
    ),
    "number out of range": ("ingredients__x", INGREDIENT + "    fat_g: 300\n", 8, "300 lies outside", "unit"),
    "negative number": ("ingredients__x", INGREDIENT + "    fat_g: -3\n", 8, "-3 lies outside", "unit"),
    "not a number": ("ingredients__x", INGREDIENT + "    fat_g: .nan\n", 8, "no number", ""),
    "figure without source": (
        "ingredients__x",
        INGREDIENT.replace("    source: usda-sr28 20016\n", ""),
        6,
        "no source",
        "source",
    ),
    "figure without any basis": (
        "ingredients__x",
        INGREDIENT + "  acids: [{species: acetic, meq_per_g: 0.8}]\n",
        8,
        "no source",
        "source",
    ),
    "unknown source": (
        "ingredients__x",
        INGREDIENT.replace("usda-sr28", "usda-sr82"),
        5,
        '"usda-sr82" is no known source',
        "usda-sr28",
    ),
    "unknown grade": (
        "ingredients__x",
        INGREDIENT.replace("grade: measured", "grade: mesured"),
        6,
        '"mesured"',
        "measured",
    ),
    "ends the wrong way round": (
        "ingredients__x",
        INGREDIENT + "    fat_g: {value: 3, low: 4, high: 5}\n",
        8,
        "between its own low and high",
        "",
    ),
    "unknown class": (
        "ingredients__x",
        INGREDIENT.replace("[flour]", "[flours]"),
        3,
        '"flours" is no known class',
        "flour",
    ),
    "unknown allergen": (
        "ingredients__x",
        INGREDIENT + "  allergens: {contains: [weat]}\n",
        8,
        '"weat"',
        "wheat",
    ),
    "unknown function": (
        "ingredients__x",
        INGREDIENT + "  does: {source: from-memory, grade: from memory, watr-held: 1}\n",
        8,
        '"watr-held"',
        "water-held",
    ),
    "unknown measure": (
        "ingredients__x",
        INGREDIENT + "  measures: {source: from-memory, grade: from memory, tbps: 5}\n",
        8,
        '"tbps"',
        "tbsp",
    ),
    "yes for a word": (
        "ingredients__x",
        INGREDIENT + "  flavour: [yes]\n",
        8,
        "means yes, no or nothing",
        "quotes",
    ),
    "a word for a list": (
        "ingredients__x",
        INGREDIENT + "  flavour: malty\n",
        8,
        "a list should stand here",
        "[",
    ),
    "key twice": ("ingredients__x", INGREDIENT + "  name: again\n", 8, '"name" stands here twice', "one"),
    "missing key": ("ingredients__x", "- id: nameless\n", 1, "needs name", "name:"),
    "comma in a flow text": (
        "swaps__x",
        SWAP.replace("grade: common practice}", "grade: common practice, gives: so, or so}"),
        6,
        '"or so"',
        "quotes",
    ),
    "same id twice": ("ingredients__x", INGREDIENT + INGREDIENT, 8, "twice", "another id"),
    "id with a space": (
        "ingredients__x",
        INGREDIENT.replace("id: barley-malt-meal", "id: barley malt"),
        1,
        '"barley malt"',
        "baking-powder",
    ),
    "no list of entries": ("ingredients__x", "id: alone\n", 1, "a list of entries", "- id"),
    "no YAML": ("ingredients__x", "- id: [unclosed\n", 2, "no YAML", "brackets"),
    "no such kind of file": ("ingredient__x", INGREDIENT, None, "no kind of rule", "ingredients"),
    "unknown ingredient": (
        "swaps__x",
        SWAP.replace("ingredient: lard", "ingredient: lardd"),
        4,
        '"lardd"',
        "lard",
    ),
    "unknown class replaced": (
        "swaps__x",
        SWAP.replace("replaces: butter", "replaces: {any: buter}"),
        3,
        '"buter"',
        "butter",
    ),
    "unknown condition": (
        "swaps__x",
        SWAP + "  when: {moon: full}\n",
        7,
        '"moon" is no key of `when`',
        "product",
    ),
    "no comparison": ("swaps__x", SWAP + "  when: {ph: acid}\n", 7, '"acid" is no comparison', ">= 3"),
    "comparison in a wrong unit": (
        "swaps__x",
        SWAP + '  when: {rest: "<= 3 d"}\n',
        7,
        '"d" is no unit',
        "min or h",
    ),
    "unknown product": ("swaps__x", SWAP + "  when: {product: [mufin]}\n", 7, '"mufin"', "muffin"),
    "unknown need": (
        "swaps__x",
        SWAP.replace("ratio: {low: 0.8, centre: 0.85, high: 0.9}", "closes: soda-acids"),
        4,
        '"soda-acids"',
        "soda-acid",
    ),
    "band that falls": (
        "swaps__x",
        SWAP.replace("low: 0.8", "low: 1.8"),
        4,
        "do not rise",
        "low <= centre <= high",
    ),
    "no amount": (
        "swaps__x",
        SWAP.replace(", ratio: {low: 0.8, centre: 0.85, high: 0.9}", ""),
        4,
        "how much",
        "ratio:",
    ),
    "neither with nor refuse": (
        "swaps__x",
        SWAP.replace("  with:", "  also:"),
        1,
        "neither brings something in nor refuses",
        "with:",
    ),
    "unknown nutrient in a limit": (
        "diets__x",
        "- {id: d, name: d, definition: d, limits: [{nutrient: net_carb_g, per: piece, max: 5}]}\n",
        1,
        '"net_carb_g"',
        "net_carbs_g",
    ),
    "unknown step": (
        "swaps__x",
        SWAP + "  steps: [{step: rest-gell, after: mix}]\n",
        7,
        '"rest-gell"',
        "rest-gel",
    ),
    "unknown stage": (
        "swaps__x",
        SWAP + "  steps: [{step: rest-gel, after: proofing}]\n",
        7,
        '"proofing"',
        "proof",
    ),
    "example with a volume": (
        "swaps__x",
        SWAP + "  examples: [{name: n, given: {lines: {butter: 1 cup}}, expect: refused}]\n",
        7,
        '"1 cup"',
        "60 g",
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_told_with_its_line_and_how_to_mend_it(slip: str, tmp_path: Path) -> None:
    name, text, line, what, mend = SLIPS[slip]
    _, faults = load(shelf(tmp_path, **{name: text}))
    assert faults, "nothing was noticed"
    told = [f for f in faults if what in f.what and mend in f.mend]
    assert told, "\n".join(f.sentence for f in faults)
    assert told[0].where.line == line
    assert told[0].where.source.endswith(name.replace("__", "/") + ".yaml")
    assert told[0].stops


def test_all_slips_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    bad = INGREDIENT + "    fiber_g: 3\n    fat_g: much\n  flavour: malty\n"
    _, faults = load(shelf(tmp_path, ingredients__x=bad, swaps__y=SWAP + "  when: {moon: full}\n"))
    assert len(faults) == 4
    assert [f.where.line for f in faults] == [8, 9, 10, 7]


def test_a_file_that_is_no_text_is_told_and_the_rest_is_read(tmp_path: Path) -> None:
    folder = shelf(tmp_path, ingredients__good=INGREDIENT)
    (folder / "ingredients" / "bad.yaml").write_bytes(b"- id: x\n  name: \xff\xfe\n")
    book, faults = load(folder)
    assert [(f.where.line, f.what) for f in faults] == [(2, "this is not UTF-8 text")]
    assert "barley-malt-meal" in book.ingredients


def test_a_missing_or_empty_file_is_an_empty_section(tmp_path: Path) -> None:
    book, faults = load(shelf(tmp_path, ingredients__none="# nothing yet\n", diets__none=""))
    assert not faults and book.ingredients


def test_a_slip_in_an_entry_leaves_the_rest_of_it_and_of_the_file(tmp_path: Path) -> None:
    book, _ = load(
        shelf(
            tmp_path, ingredients__x=INGREDIENT + "    fiber_g: 3\n" + INGREDIENT.replace("barley", "spelt")
        )
    )
    assert book.ingredients["barley-malt-meal"].composition["protein_g"].value == 10
    assert "spelt-malt-meal" in book.ingredients


# ---- what is read ----


def test_a_figure_takes_source_and_grade_of_its_block_unless_it_has_its_own(tmp_path: Path) -> None:
    own = "    fat_g: {value: 2, source: from-memory, grade: from memory, low: 1, high: 3, method: guess}\n"
    book, _ = load(shelf(tmp_path, ingredients__x=INGREDIENT + own))
    table = book.ingredients["barley-malt-meal"].composition
    protein, fat = table["protein_g"], table["fat_g"]
    assert (protein.value, protein.unit, protein.source, protein.locator, protein.grade) == (
        10,
        "g",
        "usda-sr28",
        "20016",
        "measured",
    )
    assert (fat.source, fat.grade, fat.low, fat.high, fat.method) == (
        "from-memory",
        "from memory",
        1,
        3,
        "guess",
    )
    assert table.get("fibre_g") is None and "fibre_g" not in table and set(table) == {"protein_g", "fat_g"}


def test_allergens_are_unknown_unless_stated(tmp_path: Path) -> None:
    stated = INGREDIENT.replace("barley", "oat") + "  allergens: {contains: [], may_contain: [wheat]}\n"
    unknown = INGREDIENT.replace("barley", "rye") + "  allergens: unknown\n"
    book, faults = load(shelf(tmp_path, ingredients__x=INGREDIENT + stated + unknown))
    assert not faults
    assert book.ingredients["barley-malt-meal"].contains is None
    assert book.ingredients["rye-malt-meal"].contains is None
    assert (book.ingredients["oat-malt-meal"].contains, book.ingredients["oat-malt-meal"].may_contain) == (
        (),
        ("wheat",),
    )


def test_a_label_after_eu_rules_becomes_total_carbohydrate_and_sodium(tmp_path: Path) -> None:
    label = "    convention: eu\n    carbohydrate_g: 8\n    fibre_g: 32\n    salt_g: 1\n"
    book, faults = load(shelf(tmp_path, ingredients__x=INGREDIENT + label))
    table = book.ingredients["barley-malt-meal"].composition
    assert not faults
    assert (table["carbohydrate_g"].value, table["sodium_mg"].value) == (40, 400)  # 8 + 32; 1 g salt over 2.5
    assert table["carbohydrate_g"].grade == "derived" and "salt_g" not in table


def test_an_eu_label_without_fibre_leaves_carbohydrate_open(tmp_path: Path) -> None:
    _, faults = load(
        shelf(tmp_path, ingredients__x=INGREDIENT + "    convention: eu\n    carbohydrate_g: 8\n")
    )
    assert len(faults) == 1 and "fibre" in faults[0].what


def test_conditions_become_comparisons(tmp_path: Path) -> None:
    when = 'product: muffin, rest: "<= 2 h", share: {gel-fibre: ">= 5 %"}, ph: "3..5", only_binder: true'
    book, faults = load(shelf(tmp_path, swaps__x=SWAP + f"  when: {{{when}}}\n"))
    assert not faults
    found = book.swaps["mine"].when
    assert found["product"] == ("muffin",) and found["only_binder"] is True
    assert (
        found["rest"].holds(120) and not found["rest"].holds(121) and str(found["rest"]) == "at most 120 min"
    )
    assert found["share"]["gel-fibre"].holds(5.0) and str(found["share"]["gel-fibre"]) == "at least 5"
    assert found["ph"] == Comparison(3.0, 5.0)


def test_a_swap_is_read_field_by_field(tmp_path: Path) -> None:
    book, _ = load(shelf(tmp_path, swaps__x=SWAP.replace("replaces: butter", "replaces: {any: butter}")))
    swap = book.swaps["mine"]
    assert (swap.replaces, swap.replaces_any, swap.stand_ins[0].ingredient) == ("butter", True, "lard")
    assert swap.stand_ins[0].ratio == Band(0.8, 0.85, 0.9)
    assert swap.evidence[0].source == "common-practice" and swap.serves == ()
    assert str(book.places["swaps/mine"]).endswith("own/swaps/x.yaml:1")


# ---- a person's shelf ----


def test_a_shelf_replaces_what_has_the_same_id_and_adds_what_is_new(tmp_path: Path) -> None:
    own = INGREDIENT.replace("barley-malt-meal", "butter").replace("barley malt meal", "my butter")
    plain, _ = load()
    book, faults = load(shelf(tmp_path, ingredients__x=own + INGREDIENT))
    assert not faults
    assert book.ingredients["butter"].name == "my butter"
    assert set(book.ingredients) == set(plain.ingredients) | {"barley-malt-meal"}
    assert book.digest != plain.digest


def test_a_product_of_the_shelf_is_recognised_before_the_packaged_ones(tmp_path: Path) -> None:
    plain, _ = load()
    book, _ = load(shelf(tmp_path, products="- {id: hut-cake, name: hut cake, raised_by: chemical}\n"))
    assert list(book.products) == ["hut-cake", *plain.products]


def test_a_shelf_in_the_users_data_folder_is_found(tmp_path: Path) -> None:
    folder = tmp_path / "data" / "shelf" / "ingredients"
    folder.mkdir(parents=True)
    (folder / "x.yaml").write_text(INGREDIENT, encoding="utf-8")
    book, _ = load()
    assert "barley-malt-meal" in book.ingredients


# ---- order and cache ----


def without_origin(book: Rulebook) -> Rulebook:
    """The rulebook without what must differ: digest, places and the name of each ingredient's file."""
    ingredients = {i.id: replace(i, family="") for i in book.ingredients.values()}
    return replace(book, digest="", places={}, ingredients=ingredients)


def test_the_rulebook_does_not_depend_on_the_order_of_files_and_entries(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain, _ = load()
    ordered = {"products.yaml", "functions.yaml", "turns.yaml"}
    for count, path in enumerate(sorted(packaged("rules").rglob("*.yaml"))):
        relative = path.relative_to(packaged("rules"))
        entries = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader) or []
        turned = entries if path.name in ordered else entries[::-1]
        name = f"{99 - count}-{path.name}" if len(relative.parts) > 1 else path.name
        target = tmp_path / "shuffled" / relative.with_name(name)
        target.parent.mkdir(parents=True, exist_ok=True)
        text = yaml.dump(turned, Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True)
        target.write_text(text, encoding="utf-8")
    monkeypatch.setattr(read, "packaged", lambda _: tmp_path / "shuffled")
    shuffled, faults = load()
    assert not faults
    assert without_origin(shuffled) == without_origin(plain)
    for section in ("ingredients", "swaps", "products", "diets", "needs"):
        assert list(getattr(shuffled, section)) == list(getattr(plain, section))


def caches(folder: Path) -> list[Path]:
    return sorted(folder.glob("rules-*.msgpack"))


def test_the_cache_gives_the_same_rulebook_and_faults(tmp_path: Path, own_cache: Path) -> None:
    folder = shelf(tmp_path, ingredients__x=INGREDIENT + "    fiber_g: 3\n")
    first = load(folder)
    assert first[1] and len(caches(own_cache)) == 1
    assert load(folder) == first == load(folder, fresh=True)


def test_the_packaged_rulebook_is_the_same_from_the_cache() -> None:
    assert load(fresh=True) == load()


def test_a_changed_file_is_read_anew(tmp_path: Path) -> None:
    load(shelf(tmp_path, ingredients__x=INGREDIENT))
    book, _ = load(shelf(tmp_path, ingredients__x=INGREDIENT.replace("protein_g: 10", "protein_g: 12")))
    assert book.ingredients["barley-malt-meal"].composition["protein_g"].value == 12


@pytest.mark.parametrize("damage", [b"", b"rubbish", None])
def test_a_damaged_cache_is_built_again(damage: bytes | None, tmp_path: Path, own_cache: Path) -> None:
    folder = shelf(tmp_path, ingredients__x=INGREDIENT)
    first = load(folder)
    for kept in own_cache.iterdir():
        whole = kept.read_bytes()
        kept.write_bytes(whole[:-1] + bytes([whole[-1] ^ 1]) if damage is None else damage)
    damaged = {kept: kept.read_bytes() for kept in own_cache.iterdir()}
    assert load(folder) == first
    assert all(kept.read_bytes() != before for kept, before in damaged.items())


def test_a_cache_folder_that_cannot_be_written_costs_only_time(tmp_path: Path, own_cache: Path) -> None:
    own_cache.write_text("a file stands where the folder should be", encoding="utf-8")
    book, faults = load(shelf(tmp_path, ingredients__x=INGREDIENT))
    assert "barley-malt-meal" in book.ingredients and not faults


def test_old_caches_are_cleared_away(tmp_path: Path, own_cache: Path) -> None:
    for protein in range(read.KEPT + 3):
        load(shelf(tmp_path, ingredients__x=INGREDIENT.replace("protein_g: 10", f"protein_g: {protein}")))
    assert len(caches(own_cache)) == read.KEPT


def test_an_edit_on_the_shelf_reads_no_packaged_file_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load()
    seen = []
    reading = read._entries
    monkeypatch.setattr(
        read, "_entries", lambda file, *rest: (seen.append(file.name), reading(file, *rest))[1]
    )
    load(shelf(tmp_path, ingredients__x=INGREDIENT))
    assert [Path(name).name for name in seen] == ["x.yaml"]


def test_a_warm_start_reads_no_yaml(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from assistant.rulebook import read\n"
        f"read.user_cache_path = lambda *_, **__: Path({str(tmp_path / 'warm')!r})\n"
        "read.load(); print('yaml' in sys.modules, 'rapidfuzz' in sys.modules, 'networkx' in sys.modules)"
    )
    said = [
        subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
        for _ in range(2)
    ]
    assert said[0].split()[0] == "True"
    assert said[1].split() == ["False", "False", "False"]


# ---- comparisons ----


@given(st.floats(-1e6, 1e6), st.sampled_from([">=", "<=", ">", "<", "=="]), st.integers(-1000, 1000))
def test_a_comparison_holds_as_arithmetic_says(value: float, sign: str, end: int) -> None:
    expected = {
        ">=": value >= end,
        "<=": value <= end,
        ">": value > end,
        "<": value < end,
        "==": value == end,
    }[sign]
    if value == end or abs(value - end) > 1e-3:
        assert Comparison.parse(f"{sign} {end}").holds(value) == expected


@given(st.integers(-100, 100), st.integers(0, 100), st.floats(-500, 500))
def test_a_range_holds_with_both_its_ends(low: int, width: int, value: float) -> None:
    found = Comparison.parse(f"{low}..{low + width}")
    assert found.holds(low) and found.holds(low + width) and not found.holds(float("nan"))
    if min(abs(value - low), abs(value - low - width)) > 1e-3:
        assert found.holds(value) == (low <= value <= low + width)


@pytest.mark.parametrize("text", ["", "3", "=> 3", ">= x", "5..3", "3...5", "a..b", ">= 3 4"])
def test_what_is_no_comparison_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="write"):
        Comparison.parse(text)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("number: ph_baked", "does not say what its number is held against"),
        ("number: ph_baked\n  is: '> 7'\n  beyond: {band: salt_pct, end: low}", "does not say what"),
        ("says: Look.", "holds always"),
        ("baked: true", "needs says"),
        ("number: sheen\n  is: '> 7'", "sheen"),
    ],
)
def test_a_cause_says_when_it_holds_and_what_it_means(text: str, what: str, tmp_path: Path) -> None:
    (tmp_path / "causes.yaml").write_text(f"- id: specimen\n  {text}\n")
    _, faults = load(tmp_path)
    assert any(what in fault.what for fault in faults), [fault.sentence for fault in faults]
