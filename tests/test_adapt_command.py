"""The command `adapt` as people and scripts use it: what it writes, its exit status, and one sentence for what is wrong."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml

from assistant.__main__ import main
from assistant.formula.write import to_text, to_yaml
from assistant.rulebook.model import Rulebook
from tests.corpus import recipes

ROOT = Path(__file__).resolve().parent.parent
LOAF = """\
name: Lamp-room loaf
product: soda-bread
yield: {pieces: 1, piece: loaf}
lines:
  - {ingredient: all-purpose-flour, grams: 400}
  - {ingredient: buttermilk, grams: 330}
  - {ingredient: butter, grams: 30}
  - {ingredient: baking-soda, grams: 5}
  - {ingredient: salt, grams: 6}
steps:
  - {kind: mix, text: Mix everything., minutes: 5}
  - {kind: bake, text: Bake., minutes: 40, temperature_c: 205}
bake: {oven_c: 205, minutes: 40}
"""
CARD = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Cellar loaf",
    "recipeYield": "1 loaf",
    "recipeIngredient": ["400 g all-purpose flour", "250 g milk", "60 g butter", "10 g baking powder", "6 g salt"],
    "recipeInstructions": ["Mix everything.", "Bake at 200 C for 40 minutes."],
}


class Ran(NamedTuple):
    status: int
    out: str
    err: str

    @property
    def documents(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.out.splitlines()]

    @property
    def document(self) -> dict[str, Any]:
        (one,) = self.documents
        return one

    @property
    def best(self) -> dict[str, Any]:
        found: dict[str, Any] = self.document["options"][0]
        return found


Adapt = Callable[..., Ran]


@pytest.fixture
def adapt(capsys: pytest.CaptureFixture[str], book: Rulebook, monkeypatch: pytest.MonkeyPatch) -> Adapt:
    """Runs the command in this process, with the rulebook loaded before."""
    monkeypatch.setattr("assistant.rulebook.read.load", lambda shelf: (book, ()))

    def ran(*words: object) -> Ran:
        capsys.readouterr()
        try:
            status: Any = main(["adapt", *map(str, words)])
        except SystemExit as ended:
            status = ended.code
        return Ran(status, *capsys.readouterr())

    return ran


@pytest.fixture
def loaf(tmp_path: Path) -> Path:
    path = tmp_path / "loaf.yaml"
    path.write_text(LOAF, encoding="utf-8")
    return path


def grams(plan: dict[str, Any], after: bool = True) -> dict[str, float]:
    """Masses by ingredient (by name where none is known), of lines that are there."""
    key = "grams_after" if after else "grams_before"
    return {line["ingredient"] or line["name"]: line[key] for line in plan["lines"] if line[key]}


# -- one recipe -----------------------------------------------------------------------------------


def test_a_person_reads_plans_and_a_script_one_document(loaf: Path, adapt: Adapt) -> None:
    told = adapt(loaf, "--diet", "vegan")
    assert (told.status, told.err) == (0, "")
    assert "for cultured buttermilk" in told.out
    document = adapt(loaf, "--diet", "vegan", "--json").document
    assert set(document) >= {"formula", "options", "blocked_by"}
    assert (document["formula"], document["blocked_by"]) == ("Lamp-room loaf", [])
    scores = [plan["score"] for plan in document["options"]]
    assert scores == sorted(scores)
    for plan in document["options"]:
        assert plan["diets"]["vegan"] != "no"
        assert plan["derivations"]
        assert not {"buttermilk", "butter"} & set(grams(plan))
        assert grams(plan, after=False)["buttermilk"] == 330


def test_without_a_plan_the_status_is_1_and_what_blocks_is_told(loaf: Path, adapt: Adapt) -> None:
    wishes = (loaf, "--diet", "vegan", "--keep", "buttermilk")
    document = adapt(*wishes, "--json").document
    assert document["options"] == []
    assert "vegan" in document["blocked_by"][0]
    assert "buttermilk" in document["blocked_by"][0]
    told = adapt(*wishes)
    assert (told.status, told.err) == (1, "")
    assert document["blocked_by"][0] in " ".join(told.out.split())


def test_plans_and_derivations_are_as_many_as_asked_for(loaf: Path, adapt: Adapt) -> None:
    five = adapt(loaf, "--without", "milk", "--json").document["options"]
    assert 1 < len(five) <= 5
    told = adapt(loaf, "--without", "milk", "--json", "--plans", 1, "--no-working")
    assert told.best == five[0] | {"derivations": []}
    assert len(told.document["options"]) == 1
    assert five[0]["derivations"]


def test_a_kept_line_stays_and_a_set_line_is_set_also_when_it_is_unknown(loaf: Path, adapt: Adapt) -> None:
    loaf.write_text(LOAF.replace("steps:", "  - {name: grated moonroot, grams: 20}\nsteps:"), encoding="utf-8")
    plan = adapt(loaf, "--without", "buttermilk", "--keep", "butter", "--set", "salt=8 g", "--keep", "grated moonroot", "--json").best  # fmt: skip
    after = grams(plan)
    assert "buttermilk" not in after
    assert (after["butter"], after["salt"], after["grated moonroot"]) == (30, 8, 20)


def test_the_cupboard_is_all_there_is(loaf: Path, adapt: Adapt) -> None:
    here = "all-purpose flour, soy milk, cider vinegar, water, butter, baking soda, salt"
    after = grams(adapt(loaf, "--have", here, "--json").best)
    assert "buttermilk" not in after
    here_too = {"all-purpose-flour", "soy-milk", "cider-vinegar", "water", "butter", "baking-soda", "salt"}
    assert after.keys() <= here_too


def test_a_target_is_kept_as_it_is_told(tmp_path: Path, adapt: Adapt) -> None:
    before = adapt("larch-hut/walnut-buns", "--target", "fibre >= 0 g", "--json", "--plans", 1).best
    now = before["nutrition"]["before"]["per_piece"]["fibre_g"]
    told = adapt("larch-hut/walnut-buns", "--target", f"fibre >= {now + 1:.2f} g", "--json", "--plans", 1)
    assert told.status == 0
    assert told.best["nutrition"]["after"]["per_piece"]["fibre_g"] >= now + 1 - 0.005


def test_how_it_is_raised_and_how_much_is_new(adapt: Adapt) -> None:
    plan = adapt("larch-hut/dinner-rolls", "--raised", "powder", "--json", "--plans", 1).best
    assert any("yeast" in ingredient for ingredient in grams(plan, after=False))
    assert not any("yeast" in ingredient for ingredient in grams(plan))
    told = adapt("larch-hut/dinner-rolls", "--raised", "powder", "--newest", 0, "--json")
    assert told.status == 1
    assert "at most 0 new ingredients" in told.document["blocked_by"][0]


PRICES = [f"--price={what}" for what in ("buttermilk=3", "butter=10", "all-purpose flour=1", "soy milk=2", "vinegar=2", "margarine=5")]


def test_a_batch_costs_no_more_than_told(loaf: Path, adapt: Adapt) -> None:
    """0.40 of flour and 0.58 of soy milk at least; what comes in has to have a price."""
    fits = adapt(loaf, *PRICES, "--diet", "vegan", "--cost", 9, "--json", "--plans", 1)
    assert fits.status == 0
    assert any("The price of baking soda" in said for said in fits.best["remarks"])
    blocked = adapt(loaf, *PRICES, "--diet", "vegan", "--cost", 0.5, "--json")
    assert blocked.status == 1
    assert any("A batch costs" in why for why in blocked.document["blocked_by"])


def test_a_recipe_that_costs_too_much_does_not_stay_as_it_is(loaf: Path, adapt: Adapt) -> None:
    """0.40 of flour, 0.99 of buttermilk and 0.30 of butter."""
    assert adapt(loaf, *PRICES, "--cost", 0.5).status == 1


def test_a_recipe_comes_from_standard_input_too(adapt: Adapt, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "typed"
    path.write_text(LOAF, encoding="utf-8")
    with path.open(encoding="utf-8") as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        assert adapt("-", "--diet", "vegan", "--json").document["formula"] == "Lamp-room loaf"


# -- what is wrong is told in one sentence --------------------------------------------------------

WRONG: tuple[tuple[Sequence[str], Sequence[str]], ...] = (
    (["--diet", "vegn"], ["--diet vegn", "did you mean vegan?"]),
    (["--diet", "moonish"], ["--diet moonish", "there are", "vegetarian"]),
    (["--without", "buttermlik powder x"], ["--without buttermlik powder x", "no such ingredient"]),
    (["--without", "moonroot"], ["--without moonroot", "write its usual name"]),
    (["--have", "xyzzy"], ["--have xyzzy", "write its usual name"]),
    (["--keep", "butr"], ["--keep butr", "did you mean unsalted butter"]),
    (["--target", "net carbs"], ["--target net carbs", "write it like"]),
    (["--target", "moon <= 3 g"], ["moon is no figure", "ketogenic ratio"]),
    (["--target", "net crabs <= 3 g"], ["net crabs is no figure", "did you mean net carbs?"]),
    (["--target", "fat <= 3 kcal"], ["fat is not told in kcal", "write it in g"]),
    (["--target", "fat <= 1/0 g"], ["1/0 is no number"]),
    (["--target", "fat <= 5 g", "--target", "fat >= 9 g"], ["fat at least 9 g and at most 5 g", "drop one"]),
    (["--keep", "butter", "--without", "butter"], ["butter can't stay and be left out", "drop one"]),
    (["--set", "salt=lots"], ["--set salt=lots", "psyllium=6 g"]),
    (["--set", "salt=-5 g"], ["--set salt=-5 g", "psyllium=6 g"]),
    (["--set", "salt=8 g", "--set", "salt=9 g"], ["--set salt=9 g", "give it one amount"]),
    (["--set", "walnut=6 g"], ["--set", "walnut", "Lamp-room loaf has no such line", "buttermilk"]),
    (["--keep", "walnut", "--diet", "vegan"], ["--keep", "walnut", "Lamp-room loaf has no such line"]),
    (["--raised", "prayer"], ["--raised prayer", "yeast, or powder"]),
    (["--newest", "-1"], ["--newest", "whole number"]),
    (["--plans", "0", "--diet", "vegan"], ["--plans", "1 or more"]),
    (["--price", "butter=cheap"], ["--price butter=cheap", "butter=9.50"]),
    (["--price", "xyzzy=3"], ["--price xyzzy", "no such ingredient"]),
    (["--diet", "vegan", "--cost", "nan"], ["--cost nan", "--cost 4.50"]),
    (["--diet", "vegan", "--cost=-3"], ["--cost -3", "--cost 4.50"]),
    (["--diet", "vegan", "--cost", "much"], ["--cost", "much"]),
    (["--diet", "vegan", "--moon"], ["--moon", "--help"]),
    (["--diet", " , "], ["nothing is wished for", "--diet"]),
    ([], ["nothing is wished for", "--target"]),
)


@pytest.mark.parametrize("wishes, told", WRONG, ids=[" ".join(wishes) or "none" for wishes, _ in WRONG])
def test_a_wrong_wish_is_status_2_and_one_sentence(
    loaf: Path, adapt: Adapt, wishes: Sequence[str], told: Sequence[str]
) -> None:
    ran = adapt(loaf, *wishes)
    assert (ran.status, ran.out) == (2, "")
    (sentence,) = ran.err.splitlines()
    assert all(part in sentence for part in told), sentence


def folder_without_recipes(at: Path) -> Path:
    (at / "photos").mkdir()
    (at / "photos" / "loaf.png").write_bytes(b"x")
    return at / "photos"


def loop(at: Path) -> Path:
    (at / "a.yaml").symlink_to(at / "b.yaml")
    (at / "b.yaml").symlink_to(at / "a.yaml")
    return at / "a.yaml"


def written(name: str, content: str | bytes) -> Callable[[Path], Path]:
    def write(at: Path) -> Path:
        path = at / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


BAD_PATHS: tuple[tuple[str, Callable[[Path], Path | str], int, str], ...] = (
    ("missing", lambda at: at / "none.yaml", 2, "there is no such file, folder or packaged recipe"),
    ("a slip in a packaged name", lambda at: "larch-hut/sed-rolls", 2, "larch-hut/seed-rolls"),
    ("an empty name", lambda at: "", 2, "one of the names is empty"),
    ("a name too long", lambda at: "n" * 5000, 2, "there is no such file"),
    ("a folder with no recipe", folder_without_recipes, 2, "no recipe in this folder"),
    ("a link to itself", loop, 1, "leads back to itself"),
    ("an empty file", written("empty.yaml", ""), 1, "empty.yaml"),
    ("an empty list", written("empty.json", "[]"), 1, "empty.json"),
    ("broken JSON", written("broken.json", '{"name": '), 1, "not JSON"),
    ("no text", written("noise.yaml", bytes(range(256)) * 4), 1, "noise.yaml"),
    ("a page without a recipe", written("page.html", "<html><body>Snow today.</body></html>"), 1, "page.html"),
)


@pytest.mark.parametrize("make, status, told", [row[1:] for row in BAD_PATHS], ids=[row[0] for row in BAD_PATHS])
def test_what_is_no_recipe_is_told_in_one_sentence(
    tmp_path: Path, adapt: Adapt, make: Callable[[Path], Path | str], status: int, told: str
) -> None:
    ran = adapt(make(tmp_path), "--diet", "vegan")
    assert (ran.status, ran.out) == (status, "")
    (sentence,) = ran.err.splitlines()
    assert told in sentence
    assert "; " in sentence


def test_where_results_can_t_go_is_a_wrong_request(loaf: Path, tmp_path: Path, adapt: Adapt) -> None:
    for out, told in (
        (loaf, "can't be a folder for results"),
        (loaf / "below", "can't be a folder for results"),
        (tmp_path, "very folder of the recipes"),
    ):
        ran = adapt(tmp_path, "--diet", "vegan", "--out", out)
        assert (ran.status, ran.out) == (2, "")
        (sentence,) = ran.err.splitlines()
        assert str(out) in sentence
        assert told in sentence
        assert "--out" in sentence or "name another folder" in sentence
    assert loaf.read_text(encoding="utf-8") == LOAF


# -- many recipes, in all forms -------------------------------------------------------------------

WISHES = ("--diet", "vegan", "--plans", "1")
BROKEN = 51
"""The line that is broken."""


def page(*recipes: dict[str, Any]) -> str:
    """A page that carries recipes as it should, among other things."""
    data = json.dumps({"@context": "https://schema.org", "@graph": [{"@type": "WebSite"}, *recipes]})
    return f'<html><body><script type="application/ld+json">{data}</script><p>Snow today.</p></body></html>'


def card(name: str) -> dict[str, Any]:
    return CARD | {"name": name}


@pytest.fixture(scope="module")
def mixed(book: Rulebook, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with recipes in all forms, and a broken one; enough for several chunks."""
    folder = tmp_path_factory.mktemp("mixed")
    (folder / "below").mkdir()
    many = list(recipes(64))
    for number, formula in enumerate(many[:4]):
        (folder / "below" / f"{number}.yaml").write_text(to_yaml(formula), encoding="utf-8")
    (folder / "below" / "typed.txt").write_text(to_text(many[4], book), encoding="utf-8")
    lines = [json.dumps(yaml.safe_load(to_yaml(formula))) for formula in many[5:]]
    lines.insert(BROKEN - 1, "{broken")
    (folder / "lines.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "list.json").write_text(json.dumps([card("listed first"), card("listed second")]), encoding="utf-8")
    (folder / "one.jsonld").write_text(json.dumps(card("alone")), encoding="utf-8")
    (folder / "page.html").write_text(page(card("on a page"), card("beside it")), encoding="utf-8")
    (folder / "photo.png").write_bytes(b"x")
    return folder


def crumbwright(*words: object) -> "subprocess.Popen[bytes]":
    command = [sys.executable, "-m", "assistant", *map(str, words)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


FILES = ("results.jsonl", "unreadable.jsonl", "summary.csv", "summary.json")


@pytest.fixture(scope="module")
def whole(mixed: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of an undisturbed run of one process."""
    out = tmp_path_factory.mktemp("whole") / "out"
    with crumbwright("adapt", mixed, *WISHES, "--no-working", "--out", out, "--workers", 1) as run:
        said, shown = run.communicate()
    assert (run.returncode, said) == (1, b""), shown.decode()
    assert b"Traceback" not in shown
    return out


def content(folder: Path) -> dict[str, bytes]:
    """All that a folder holds but the journal, which tells of chunks and not of recipes."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name != "journal.jsonl"}


def test_each_recipe_of_a_folder_of_all_forms_is_done_once(mixed: Path, whole: Path) -> None:
    documents = [json.loads(line) for line in (whole / "results.jsonl").read_bytes().splitlines()]
    keys = [document["recipe"] for document in documents]
    below = [*(str(mixed / "below" / f"{number}.yaml") for number in range(4)), str(mixed / "below" / "typed.txt")]
    lines = [f"{mixed / 'lines.jsonl'}:{number}" for number in range(1, 61) if number != BROKEN]
    others = [
        *(f"{mixed / 'list.json'}#{number}" for number in (1, 2)),
        str(mixed / "one.jsonld"),
        *(f"{mixed / 'page.html'}#{number}" for number in (1, 2)),
    ]
    assert sorted(keys) == sorted([*below, *lines, *others])
    names = {document["recipe"]: document["formula"] for document in documents}
    assert [names[key] for key in others] == ["listed first", "listed second", "alone", "on a page", "beside it"]
    for document in documents:
        assert document["options"] or document["blocked_by"]
        for plan in document["options"]:
            assert plan["diets"]["vegan"] != "no"
    of_cards = [document["options"][0]["lines"] for document in documents if document["recipe"] in others]
    assert all(told == of_cards[0] for told in of_cards)
    assert any(line["ingredient"] == "milk" and line["grams_after"] == 0 for line in of_cards[0])


def test_the_counts_are_those_of_the_results(mixed: Path, whole: Path) -> None:
    assert content(whole).keys() == set(FILES)
    (aside,) = (json.loads(line) for line in (whole / "unreadable.jsonl").read_bytes().splitlines())
    assert aside["recipe"] == f"{mixed / 'lines.jsonl'}:{BROKEN}"
    assert aside["faults"][0]["mend"]
    counts = json.loads((whole / "summary.json").read_bytes())
    documents = [json.loads(line) for line in (whole / "results.jsonl").read_bytes().splitlines()]
    blocked = [document["blocked_by"][0] for document in documents if not document["options"]]
    assert counts["recipes"] == len(documents) + 1
    assert counts["unreadable"] == 1
    assert counts["blocked"] == len(blocked)
    assert set(blocked) == {"Vegan can't be kept here."}
    assert counts["blocked_by"] == [{"what": "vegan", "recipes": len(blocked)}]
    assert counts["done"] + counts["done_with_cautions"] == len(documents) - len(blocked)


def test_two_processes_print_and_write_what_one_does(mixed: Path, whole: Path, tmp_path: Path, adapt: Adapt) -> None:
    out = tmp_path / "out"
    ran = adapt(mixed, *WISHES, "--no-working", "--json", "--out", out, "--workers", 2)
    assert ran.status == 1
    assert ran.out.encode() == (whole / "results.jsonl").read_bytes()
    assert content(out) == content(whole)


def test_killed_in_the_middle_it_goes_on_to_the_same_bytes(
    mixed: Path, whole: Path, tmp_path: Path, adapt: Adapt
) -> None:
    out = tmp_path / "out"
    words = (mixed, *WISHES, "--no-working", "--out", out, "--workers", 1)
    journal = out / "journal.jsonl"
    with crumbwright("adapt", *words) as run:
        end = time.monotonic() + 60
        while not (journal.exists() and journal.read_bytes().count(b"\n") >= 2):
            assert time.monotonic() < end, "waited in vain"
            time.sleep(0.01)
        os.kill(run.pid, signal.SIGKILL)
    assert run.returncode == -signal.SIGKILL
    assert not set(FILES) & {path.name for path in out.iterdir()}
    resumed = adapt(*words)
    assert resumed.status == 1
    assert "of them done before" in resumed.err
    assert content(out) == content(whole)


def test_what_is_done_is_not_done_again_and_not_mixed_with_another_request(
    mixed: Path, whole: Path, adapt: Adapt, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = content(whole)
    monkeypatch.setattr("assistant.plan.adapt.best_of", None)
    again = adapt(mixed, *WISHES, "--no-working", "--out", whole)
    assert (again.status, again.out) == (1, "")
    assert "70 recipes, 70 of them done before" in again.err
    for other in (["--diet", "vegan", "--plans", 2, "--no-working"], ["--diet", "keto", "--plans", 1, "--no-working"], WISHES):
        ran = adapt(mixed, *other, "--out", whole)
        assert (ran.status, ran.out) == (2, "")
        (sentence,) = ran.err.splitlines()
        assert "results of another request, with other wishes" in sentence
        assert "name another folder with --out" in sentence
    assert content(whole) == before


def test_several_on_a_screen_are_a_line_each(tmp_path: Path, loaf: Path, adapt: Adapt) -> None:
    (tmp_path / "page.html").write_text(page(card("on a page")), encoding="utf-8")
    told = adapt(loaf, tmp_path / "page.html", "larch-hut/soda-bread", "--diet", "vegan")
    assert told.status == 0
    assert [line.partition(":")[0] for line in told.out.splitlines()] == ["Lamp-room loaf", "on a page", "Hut soda bread"]
    assert told.err.startswith("3 recipes")
    one = adapt(tmp_path / "page.html", "--diet", "vegan", "--json", "--no-working")
    assert one.document["formula"] == "on a page"
    several = adapt(loaf, tmp_path / "page.html", "--keep", "buttermilk", "--diet", "vegan", "--json", "--no-working")
    assert several.status == 1
    assert [len(document["options"]) > 0 for document in several.documents] == [False, True]


HUGE_BYTES = 200_000_000


def memory_mb(*words: object) -> tuple[int, str, float]:
    """Status, what was said, and peak memory of a run in a process of its own (Linux tells kB)."""
    with crumbwright("adapt", *words, "--workers", 1) as run:
        _, shown = run.stdout.read(), run.stderr.read()  # type: ignore[union-attr]
        _, status, usage = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(status)
    return run.returncode, shown.decode(), usage.ru_maxrss / 1000


@pytest.mark.skipif(sys.platform != "linux", reason="memory is told in kB on Linux alone")
def test_huge_files_are_set_aside_and_memory_stays_flat(loaf: Path, tmp_path: Path) -> None:
    _, _, alone_mb = memory_mb(loaf, "--diet", "vegan")
    for name in ("huge.jsonl", "huge.json", "huge.yaml", "huge.html"):
        with (tmp_path / name).open("wb") as file:
            file.truncate(HUGE_BYTES)
    status, shown, with_huge_mb = memory_mb(tmp_path, "--diet", "vegan")
    assert status == 1
    assert len([line for line in shown.splitlines() if "longer than" in line and "; to mend: " in line]) == 4
    assert "Traceback" not in shown
    assert with_huge_mb < alone_mb + HUGE_BYTES / 1e6 / 4


@pytest.mark.parametrize("name", ["huge.jsonl", "huge.json", "huge.yaml", "huge.html"])
def test_a_huge_file_alone_is_told_in_one_sentence(tmp_path: Path, adapt: Adapt, name: str) -> None:
    with (tmp_path / name).open("wb") as file:
        file.truncate(HUGE_BYTES)
    ran = adapt(tmp_path / name, "--diet", "vegan")
    assert (ran.status, ran.out) == (1, "")
    (sentence,) = ran.err.splitlines()
    assert "longer than" in sentence
    assert "; to mend: " in sentence


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_under_the_output_is_one_sentence(loaf: Path) -> None:
    command = [sys.executable, "-m", "assistant", "adapt", str(loaf), "--diet", "vegan", "--json"]
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run(command, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert ran.returncode == 1
    assert ran.stderr.splitlines() == ["standard output: No space left on device; make room, or name another place"]
