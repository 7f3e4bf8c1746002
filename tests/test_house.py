"""The floors of the house: which module may import which, and where knowledge may stand."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).resolve().parent.parent
FLOORS = ["words", "laws", "rulebook", "formula", "plan", "trials", "publish", "batch", "talk"]
ONLY_IN = {
    "pint": {"words/units.py"},
    "networkx": {"rulebook/graph.py"},
    "prompt_toolkit": {"talk/prompt.py"},
    "yaml": {"rulebook/read.py", "formula/read.py", "formula/write.py", "talk/own.py"},
    "msgpack": {"rulebook/read.py"},
    "tqdm": {"batch/progress.py"},
    "distributed": {"batch/cluster.py"},
    "rapidfuzz": {"rulebook/names.py", "rulebook/read.py", "talk/utterance.py"},
}
LATE = {"pint", "scipy", "networkx", "yaml", "prompt_toolkit", "rapidfuzz", "tqdm", "distributed"}
"""Too slow to load before they are needed: never imported at the top of a module that start-up touches."""
MODULES = sorted((ROOT / "assistant").rglob("*.py"))
IDS = [str(path.relative_to(ROOT)) for path in MODULES]


def floor(path: Path) -> int:
    part = path.relative_to(ROOT / "assistant").parts[0]
    return FLOORS.index(part) if part in FLOORS else len(FLOORS)


def imports(tree: ast.AST) -> list[str]:
    names = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide the floor they reach"
            names.append(node.module or "")
            names += [f"{node.module}.{alias.name}" for alias in node.names]
    return names


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_a_module_imports_only_its_own_and_lower_floors(path: Path) -> None:
    here = floor(path)
    for name in imports(ast.parse(path.read_text())):
        parts = name.split(".")
        if parts[0] == "assistant" and len(parts) > 1 and parts[1] in FLOORS:
            assert FLOORS.index(parts[1]) <= here, f"{path.name} reaches up to {name}"


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_a_heavy_library_is_known_to_few_modules(path: Path) -> None:
    where = str(path.relative_to(ROOT / "assistant"))
    for name in imports(ast.parse(path.read_text())):
        allowed = ONLY_IN.get(name.split(".")[0])
        assert allowed is None or where in allowed, f"{where} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_only_the_prompt_and_the_command_line_print(path: Path) -> None:
    where = str(path.relative_to(ROOT / "assistant"))
    if where in {"talk/prompt.py", "__main__.py"}:
        return
    calls = [
        n.func.id
        for n in ast.walk(ast.parse(path.read_text()))
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
    ]
    assert not {"print", "input"} & set(calls)


@cache
def rule_ids() -> frozenset[str]:
    """Ids of ingredients, swaps, diets and products: knowledge that must not stand in code."""
    files = [*(ROOT / "rules" / "ingredients").glob("*.yaml"), *(ROOT / "rules" / "swaps").glob("*.yaml"),
             *(ROOT / "rules" / "diets").glob("*.yaml"), ROOT / "rules" / "products.yaml"]  # fmt: skip
    return frozenset(re.findall(r"^- id: (\S+)", "\n".join(f.read_text() for f in files), re.MULTILINE))


PLAIN_WORDS = frozenset(
    ["allulose", "baking-powder", "butter", "cake", "cookie", "egg", "erythritol", "honey", "milk", "muffin", "pancake", "salt", "scone", "sponge", "sugar", "water"]
)
"""Ids that are also English words, classes, origins, or nutrients that a label law names, so that finding them
in a string proves nothing."""


@pytest.mark.parametrize("path", MODULES, ids=IDS)
def test_no_ingredient_swap_diet_or_product_is_named_in_code(path: Path) -> None:
    tree = ast.parse(path.read_text())
    docstrings = {id(n.body[0].value) for n in ast.walk(tree)
                  if isinstance(n, ast.Module | ast.FunctionDef | ast.ClassDef) and n.body and isinstance(n.body[0], ast.Expr)}  # fmt: skip
    named = {
        n.value
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in docstrings
    }
    assert not (named & rule_ids()) - PLAIN_WORDS


def test_there_are_rules_to_look_for() -> None:
    assert len(rule_ids()) >= 200


def test_the_top_level_holds_only_what_belongs_there() -> None:
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "assistant",
        "rules",
        "tests",
        "scenarios",
        "LICENSE",
    }
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".") and p.name not in {"build", "dist"}}
    assert found <= allowed


def test_yaml_of_every_rule_file_parses() -> None:
    for path in (ROOT / "rules").rglob("*.yaml"):
        assert yaml.load(path.read_text(), Loader=yaml.CSafeLoader) is not None, path
