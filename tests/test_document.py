"""JSON documents: the shape of the contract, and every number pointed to by its derivation."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from assistant.formula.model import Formula
from assistant.plan.instead import instead
from assistant.plan.model import Options, Why
from assistant.publish import document
from assistant.publish.compare import compare
from assistant.publish.document import NUTRIENTS, pointer
from assistant.rulebook.model import Rulebook
from assistant.talk.judgement import Judgement
from assistant.words.derivation import GRADES, Derivation, stated
from assistant.words.faults import Fault, Place
from tests.handmade import ROLLS, assessment, bake, nutrition, option

D_KEYS = {"claim", "value", "unit", "low", "high", "by", "evidence", "grade", "of"}
OPTION_KEYS = {
    "title",
    "score",
    "lines",
    "gas_ml",
    "acid_mmol",
    "base_mmol",
    "surplus_acid_mmol",
    "unneutralised_soda_g",
    "ph",
    "ph_baked",
    "free_water_g",
    "bake",
    "nutrition",
    "crumb",
    "method",
    "timeline",
    "allergens",
    "diets",
    "cautions",
    "derivations",
}
"""Fields of an option, as the contract lists them."""


def at(made: Any, where: str) -> Any:
    """What a JSON pointer points at (RFC 6901)."""
    for key in where.split("/")[1:]:
        key = key.replace("~1", "/").replace("~0", "~")
        made = made[int(key)] if isinstance(made, list) else made[key]
    return made


def derivations(made: Any) -> Iterator[dict[str, Any]]:
    """Every D of a document, premises included."""
    if isinstance(made, dict):
        if set(made) >= D_KEYS:
            yield made
        for each in made.values():
            yield from derivations(each)
    elif isinstance(made, list):
        for each in made:
            yield from derivations(each)


def numbers(made: Any, where: str = "") -> Iterator[str]:
    """Pointers to every number that stands outside the derivations."""
    if isinstance(made, bool):
        return
    if isinstance(made, int | float):
        yield where
    elif isinstance(made, dict):
        for key, each in made.items():
            if key != "derivations":
                yield from numbers(each, where + pointer(key))
    elif isinstance(made, list):
        for place, each in enumerate(made):
            yield from numbers(each, where + pointer(place))


STATED = ("line", "pieces", "amount", "confidence", "minutes", "temperature_c", "oven_c", "version")
"""Numbers that were said by a person or count places, and are not worked out."""


def check(made: dict[str, Any], said: tuple[str, ...] = STATED) -> None:
    """Every worked-out number is pointed to, every pointer holds, every `same_as` leads to the same."""
    written = json.loads(json.dumps(made, allow_nan=False))
    pointed = set()
    for entry in derivations(written):
        assert entry["grade"] in GRADES
        if entry["of"] is not None:
            pointed.add(entry["of"])
            assert at(written, entry["of"]) == entry["value"]
        if "same_as" in entry:
            assert "premises" not in entry
            first = at(written, entry["same_as"])
            assert (first["claim"], first["value"]) == (entry["claim"], entry["value"])
            assert "premises" in first
        else:
            assert isinstance(entry["premises"], list)
    missing = [w for w in numbers(written) if w not in pointed and w.rsplit("/", 1)[-1] not in said]
    assert missing == []


def test_a_swap_document_has_the_fields_of_the_contract() -> None:
    made = document.options(Options(ROLLS, (option(), option(title="soda"))))
    assert set(made) == {"formula", "options", "blocked_by"}
    first = made["options"][0]
    assert set(first) >= OPTION_KEYS
    assert first["lines"][2] == {
        "line": 3,
        "ingredient": "active-dry-yeast",
        "name": "active dry yeast",
        "grams_before": 6.0,
        "grams_after": 0.0,
        "because": "replaced",
        "part": "",
    }
    assert first["lines"][4]["ingredient"] is None
    assert set(first["bake"]["before"]) == {"oven_c", "minutes"}
    assert set(first["bake"]["after"]) == {
        "oven_c",
        "minutes",
        "check_from_min",
        "no_later_than_min",
        "core_c",
        "bake_loss_pct",
        "physics_ratio",
        "class_ratio",
    }
    assert set(first["nutrition"]) == {"before", "after"}
    assert first["allergens"][0] == {"id": "gluten-cereals", "status": "contains"}
    assert first["diets"]["keto"] == "cannot confirm"
    assert first["timeline"][1] == {"step": "Bake it.", "start_min": 3.0, "minutes": 62.0}
    assert set(first["crumb"]["specific volume"]) >= {"before", "after"}


def test_every_number_of_a_swap_document_is_pointed_to() -> None:
    check(document.options(Options(ROLLS, (option(), option(title="soda")))), said=("line", "pieces"))


def test_a_blocked_swap_says_what_blocks_it() -> None:
    made = document.options(Options(ROLLS, (), ("it is a braid",)))
    assert made == {"formula": "Hut rolls", "options": [], "blocked_by": ["it is a braid"]}


def test_a_nutrition_document_has_all_nutrients_and_says_what_is_a_bound() -> None:
    made = document.nutrition(nutrition(incomplete=("sodium_mg",)))
    assert set(made) - {"derivations"} == {
        "per_piece",
        "per_100g",
        "per_100g_raw",
        "pieces",
        "baked_piece_g",
        "incomplete",
        "complete",
    }
    for table in ("per_piece", "per_100g", "per_100g_raw"):
        assert tuple(made[table]) == NUTRIENTS
    assert made["per_piece"]["water_g"] is None
    assert (made["incomplete"], made["complete"]) == (["sodium_mg"], False)
    check(made)


def test_unknown_is_null_and_zero_is_zero() -> None:
    made = document.options(Options(ROLLS, (option(),)))
    assert made["options"][0]["gas_ml"]["after"] == 900.0
    assert made["options"][0]["lines"][5]["grams_before"] == 0.0
    assert made["options"][0]["nutrition"]["after"]["per_piece"]["polyols_g"] is None


def test_what_rests_on_the_same_is_written_once() -> None:
    shared = Derivation("soda", 5.0, "g", premises=(stated("written", 5.0, "g"),))
    both = tuple(Derivation(f"gas {n}", 1.0, "mL", "law", premises=(shared,)) for n in (1, 2))
    made = document.why(Why("gas", "does", ("It rises.",), both, ()), Rulebook(*({} for _ in range(14))))
    second = made["derivations"][1]["premises"][0]
    assert second["same_as"] == "/derivations/0/premises/0"
    assert "premises" not in second
    check(made)


def test_a_why_document_names_its_sources(book: Rulebook) -> None:
    why = Why(
        "acid",
        "needs",
        ("Soda needs acid.", "84 g take a mole."),
        (stated("soda", 5.0, "g"),),
        ("atomic-weights",),
    )
    made = document.why(why, book)
    assert set(made) == {"subject", "answer", "verdict", "derivations", "sources"}
    assert made["answer"] == "Soda needs acid. 84 g take a mole."
    assert made["sources"][0]["key"] == "atomic-weights"
    assert made["sources"][0]["title"] == book.sources["atomic-weights"].title
    check(made)


def test_a_compare_document_has_a_value_for_each_recipe(book: Rulebook) -> None:
    made = document.comparison(
        compare([assessment(ROLLS), assessment(option().formula, 1.1)], [None, bake()], book)
    )
    assert set(made) - {"derivations"} == {"recipes", "differences", "suits"}
    assert made["recipes"] == ["Hut rolls, version 1", "Hut rolls, version 2"]
    rows = {row["what"]: row for row in made["differences"]}
    assert rows["active dry yeast"]["values"] == [6.0, 0.0]
    assert rows["time in the oven"] == {
        "what": "time in the oven",
        "values": [40.0, 62.0],
        "unit": "min",
        "because": "",
    }
    assert "soda left over" not in rows
    check(made)


def test_a_read_document_keeps_what_was_written_and_where_it_is_faulty(book: Rulebook) -> None:
    fault = Fault(Place("rolls.yaml", 7), '"warden\'s mix" is no ingredient I know', "name another", False)
    made = document.read(ROLLS, (fault,), book)
    assert set(made) - {"derivations"} == {
        "name",
        "class",
        "pieces",
        "piece_g",
        "dough_g",
        "lines",
        "steps",
        "bake",
        "faults",
    }
    assert set(made["lines"][0]) == {
        "line",
        "text",
        "ingredient",
        "name",
        "grams",
        "amount",
        "unit",
        "note",
        "part",
        "confidence",
    }
    assert made["lines"][4]["ingredient"] is None
    assert made["dough_g"] == 496.0
    assert made["piece_g"] == 62.0
    assert made["faults"] == [{"where": "rolls.yaml:7", "what": fault.what, "mend": "name another"}]
    assert made["steps"][1] == {
        "kind": "proof",
        "text": "Let it rise.",
        "minutes": 45.0,
        "temperature_c": None,
            "part": "",
        }
    check(made)


def test_an_instead_document_has_components_in_grams_and_spoons(book: Rulebook) -> None:
    made = document.instead(instead(book, "buttermilk", 1.0, "cup"))
    assert made["for"]["ingredient"] == "buttermilk"
    assert made["for"]["grams"] == pytest.approx(245, abs=1)  # USDA SR28 01088, cup 245 g
    assert made["options"]
    for each in made["options"]:
        assert set(each) >= {
            "title",
            "components",
            "companions",
            "adjust",
            "works_in",
            "not_in",
            "printed",
            "verdict",
            "grade",
            "cautions",
        }
        assert each["components"]
        assert set(each["works_in"]) | set(each["not_in"]) == set(book.products)
    check(made, said=("amount",))


def test_a_turn_keeps_pointers_within_its_own_object(book: Rulebook) -> None:
    found = Options(ROLLS, (option(),))
    made = document.turn("no yeast", "replace", {"ingredient": "x"}, 1.0, "Ways.", ROLLS, "swap", found, book)
    assert made["formula"] == {"name": "Hut rolls", "version": 1}
    entries = made["swap"]["options"][0]["derivations"]
    assert "/swap/options/0/score" in [entry["of"] for entry in entries]
    check(made, said=("line", "pieces", "version", "confidence"))


def test_documents_of_a_real_swap_hold_together(book: Rulebook, larch_hut: Callable[[str], Formula]) -> None:
    """The packaged rolls without yeast: all options, every number, every shared premise."""
    formula = larch_hut("seed-rolls")
    judgement = Judgement(book)
    at_line = judgement.line_of(formula, "active-dry-yeast")
    assert at_line is not None
    made = document.options(judgement.options(formula, at_line))
    assert len(made["options"]) >= 3
    check(made, said=("line", "pieces"))
