"""Many recipes: every one of a file or folder is found or set aside with its reason, whatever else is there."""

import json
import os
import tracemalloc
from pathlib import Path
from typing import Any

import pytest

from assistant.formula.collection import DATA_LIMIT_BYTES, Found, recipes_in, recipes_on, sheets_in
from assistant.formula.read import LIMIT_BYTES
from assistant.formula.write import to_yaml
from assistant.rulebook.model import Rulebook

TEXT = "Hut bread\n\n500 g bread flour\n330 g water\n10 g salt\n\nMix.\nBake at 220 C for 30 minutes.\n"


def data(name: str, **more: Any) -> dict[str, Any]:
    made = {"@type": "Recipe", "name": name, "recipeIngredient": ["500 g bread flour", "330 g water"]}
    return made | more


def found(path: Path, book: Rulebook) -> list[Found]:
    return list(recipes_in(path, book))


def names(path: Path, book: Rulebook) -> list[str]:
    """What was found: the name of each recipe, or why it is set aside."""
    return [each.faults[0].what if each.formula is None else each.formula.name for each in found(path, book)]


def only_fault(path: Path, book: Rulebook) -> str:
    """The one sentence for what holds nothing to read; it says how to mend it too."""
    (each,) = found(path, book)
    assert each.formula is None
    (fault,) = each.faults
    assert fault.stops
    assert fault.mend
    assert str(path) in fault.sentence
    return fault.what


# -- one after another ----------------------------------------------------------------------------


def test_json_lines_are_read_one_by_one_and_a_bad_one_stops_no_other(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "all.jsonl"
    lines = [json.dumps(data("one")), "{broken", "", json.dumps({"@type": "Person"}), json.dumps(data("two"))]
    path.write_text("\n".join(lines), encoding="utf-8")
    assert [each.key for each in found(path, book)] == [f"{path}:{number}" for number in (1, 2, 4, 5)]
    said = names(path, book)
    assert (said[0], said[3]) == ("one", "two")
    assert "not JSON" in said[1]
    assert "no schema.org Recipe" in said[2]


def test_a_fault_in_json_lines_names_its_line(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "all.ndjson"
    path.write_text(json.dumps(data("one")) + "\n[1, 2\n", encoding="utf-8")
    assert str(found(path, book)[1].faults[0].where) == f"{path}:2"


def test_json_lines_under_the_name_of_json_are_lines_too(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "dump.json"
    path.write_text("".join(json.dumps(data(name)) + "\n" for name in "ab"), encoding="utf-8")
    assert [each.key for each in found(path, book)] == [f"{path}:1", f"{path}:2"]


@pytest.mark.parametrize(
    "value",
    [
        [data("a"), data("b")],
        {"@graph": [data("a"), {"@type": "WebSite"}, data("b")]},
        {"@type": "ItemList", "itemListElement": [{"@type": "ListItem", "item": data(n)} for n in "ab"]},
    ],
    ids=["list", "graph", "item list"],
)
def test_all_recipes_of_one_json_text_are_found(value: Any, book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "two.json"
    path.write_text(json.dumps(value), encoding="utf-8")
    assert [(each.key, each.formula and each.formula.name) for each in found(path, book)] == [
        (f"{path}#1", "a"),
        (f"{path}#2", "b"),
    ]


def test_all_recipes_of_a_page_are_found_once_each(book: Rulebook, tmp_path: Path) -> None:
    block = '<script type="application/ld+json">{}</script>'
    blocks = "".join(block.format(json.dumps(data(name))) for name in ("a", "b", "a"))
    path = tmp_path / "two.html"
    path.write_text(f"<html><head>{blocks}</head><body>Hello</body></html>", encoding="utf-8")
    assert names(path, book) == ["a", "b"]


def test_our_own_form_is_read_as_json_as_it_is_as_yaml(book: Rulebook, tmp_path: Path) -> None:
    import yaml

    text = tmp_path / "bread.txt"
    text.write_text(TEXT, encoding="utf-8")
    formula = found(text, book)[0].formula
    assert formula is not None
    path = tmp_path / "ours.jsonl"
    path.write_text(json.dumps(yaml.safe_load(to_yaml(formula))) + "\n", encoding="utf-8")
    assert found(path, book)[0].formula == formula
    deep: Any = "x"
    for _ in range(30):
        deep = [deep]
    path.write_text(json.dumps({"name": "deep", "lines": deep}) + "\n", encoding="utf-8")
    assert "deeper" in only_fault_of_line(path, book)


def only_fault_of_line(path: Path, book: Rulebook) -> str:
    (each,) = found(path, book)
    assert each.formula is None
    return each.faults[0].what


def test_sheets_read_elsewhere_give_the_same_recipes(book: Rulebook, tmp_path: Path) -> None:
    """The two steps apart are the one, so that the second may be done in another process."""
    import pickle

    (tmp_path / "a.txt").write_text(TEXT, encoding="utf-8")
    (tmp_path / "b.jsonl").write_text(json.dumps(data("b")) + "\n{", encoding="utf-8")
    sent = [pickle.loads(pickle.dumps(sheet)) for sheet in sheets_in(tmp_path)]
    assert [each for sheet in sent for each in recipes_on(sheet, book)] == found(tmp_path, book)


# -- folders --------------------------------------------------------------------------------------


def test_a_folder_is_gone_through_by_name_with_those_below(book: Rulebook, tmp_path: Path) -> None:
    for at in ("b.txt", "a.md", "deeper/c.txt", ".hidden/d.txt", "picture.png", "deeper/.e.txt"):
        file = tmp_path / at
        file.parent.mkdir(exist_ok=True)
        file.write_text(TEXT.replace("Hut bread", at), encoding="utf-8")
    (tmp_path / "broken.yaml").write_text("lines: [", encoding="utf-8")
    said = names(tmp_path, book)
    assert [said[0], said[1], said[3]] == ["a.md", "b.txt", "deeper/c.txt"]
    assert "not YAML" in said[2]
    assert len(said) == 4


def test_a_folder_without_a_recipe_is_said(book: Rulebook, tmp_path: Path) -> None:
    assert "no recipe in this folder" in only_fault(tmp_path, book)
    (tmp_path / "picture.png").write_bytes(b"x")
    assert "no recipe in this folder" in only_fault(tmp_path, book)


def test_a_loop_of_links_ends_and_is_said(book: Rulebook, tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "bread.txt").write_text(TEXT, encoding="utf-8")
    (tmp_path / "a" / "back").symlink_to(tmp_path)
    (tmp_path / "self.txt").symlink_to(tmp_path / "self.txt")
    (tmp_path / "gone.txt").symlink_to(tmp_path / "nowhere.txt")
    assert names(tmp_path, book) == [
        "there is no such file",
        "this link leads back to itself",
        "Hut bread",
        "this link leads to a folder read before",
    ]
    assert "leads back to itself" in only_fault(tmp_path / "self.txt", book)


def test_a_link_to_another_folder_is_followed(book: Rulebook, tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "far" / "bread.txt").write_text(TEXT, encoding="utf-8")
    (tmp_path / "near").mkdir()
    (tmp_path / "near" / "link").symlink_to(tmp_path / "far")
    assert [each.key for each in found(tmp_path / "near", book)] == [
        str(tmp_path / "near" / "link" / "bread.txt")
    ]


def test_a_pipe_in_a_folder_is_passed_over(book: Rulebook, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.txt")
    (tmp_path / "bread.txt").write_text(TEXT, encoding="utf-8")
    assert names(tmp_path, book) == ["Hut bread"]


# -- what can't be read ---------------------------------------------------------------------------


def of_length(path: Path, size: int) -> Path:
    """A file of that many bytes that takes no room on the disk."""
    with path.open("wb") as file:
        file.truncate(size)
    return path


@pytest.mark.parametrize("ending", ["txt", "yaml", "html", "json", "unknown"])
def test_a_file_of_200_mb_is_refused_in_a_sentence(ending: str, book: Rulebook, tmp_path: Path) -> None:
    what = only_fault(of_length(tmp_path / f"long.{ending}", 200_000_000), book)
    assert "longer than" in what


def test_long_json_is_told_to_come_as_lines(book: Rulebook, tmp_path: Path) -> None:
    (each,) = found(of_length(tmp_path / "long.json", DATA_LIMIT_BYTES + 1), book)
    assert ".jsonl" in each.faults[0].mend


def test_a_missing_file_is_said(book: Rulebook, tmp_path: Path) -> None:
    for name in ("none.txt", "none.jsonl", "none.json"):
        assert only_fault(tmp_path / name, book) == "there is no such file"


@pytest.mark.parametrize(
    "content",
    [
        bytes(range(256)) * 20,
        b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + b"\x01\x02" * 50,
        b"\x1f\x8b\x08\x03\x04\x05\x06\x07\x0e\x0f\x10\x11" * 20,
    ],
    ids=["all bytes", "picture", "packed"],
)
@pytest.mark.parametrize("ending", ["txt", "json", "html", "yaml", ""])
def test_a_binary_file_is_no_text(content: bytes, ending: str, book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / f"odd.{ending}"
    path.write_bytes(content)
    assert only_fault(path, book) == "this is no text"


def test_a_line_too_long_is_passed_over_and_the_next_is_read(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "long.jsonl"
    long = json.dumps(data("long", description="x" * (2 * LIMIT_BYTES)))
    path.write_text(f"{json.dumps(data('a'))}\n{long}\n{json.dumps(data('b'))}\n", encoding="utf-8")
    said = names(path, book)
    assert (said[0], said[2]) == ("a", "b")
    assert "longer than 1 MB" in said[1]


def test_memory_does_not_grow_with_the_number_of_lines(book: Rulebook, tmp_path: Path) -> None:
    """Ten times the lines take no more at the peak, to a tenth for what Python keeps of its own."""
    peaks = []
    for count in (40, 400):
        path = tmp_path / f"{count}.jsonl"
        lines = (json.dumps(data(f"r{at}", description="x" * 5000)) for at in range(count))
        path.write_text("\n".join(lines), encoding="utf-8")
        sum(1 for _ in recipes_in(path, book))
        tracemalloc.start()
        assert sum(each.formula is not None for each in recipes_in(path, book)) == count
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.1 * peaks[0] + 20_000
