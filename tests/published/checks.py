"""A published check value, and ours beside it. One module for the tests and for the printed table.

Each table is `tests/published/<name>.csv`, one check a row:

- `id`, `quantity`: what is compared, in words
- `inputs`: the call that gives ours: arithmetic on public laws and their constants, and on tests/published/models.
  Laws of the table's own modules (`HOMES`) stand bare, others as `module.law`
- `value`: what is printed; a number, "low to high" where a range is, or words
- `unit`, `tolerance`: from the precision of the source; left empty it is half of the last printed digit
- `source`, `year`, `grade`: where it is printed, and how well that is tested
- `fails`: why ours differs, where it does; such a check is a strict xfail and stays in the table

    python -m tests.published

prints them all.
"""

import ast
import csv
import inspect
import pkgutil
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import assistant.laws

HERE = Path(__file__).parent
HOMES: dict[str, tuple[str, ...]] = {
    "leavening": ("leavening",),
    "leavening_acids": (),
    "acidity": ("acidity",),
    "typical_ph": ("acidity",),
    "yeast": ("yeast",),
    "dough": ("dough",),
    "thermal": ("thermal", "shape"),
    "bake": (),
    "altitude": ("altitude",),
    "crumb": ("crumb",),
    "sweetness": ("sweetness",),
    "nutrition": ("nutrition",),
}
"""Tables of checks, in the order they are printed, and the modules whose laws stand bare in their inputs."""

_ALLOWED = (
    ast.Expression, ast.Call, ast.keyword, ast.Name, ast.Load, ast.Attribute, ast.Subscript, ast.Constant,
    ast.Tuple, ast.BinOp, ast.UnaryOp, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow, ast.USub,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Check:
    """One row of a table of published values."""

    table: str
    id: str
    quantity: str
    inputs: str
    value: str
    unit: str
    tolerance: str
    source: str
    grade: str
    fails: str

    @property
    def bounds(self) -> tuple[float, float] | None:
        """The printed number twice, or the ends of the printed range; None where words are printed."""
        ends = self.value.split(" to ")
        try:
            return float(ends[0]), float(ends[-1])
        except ValueError:
            return None

    @property
    def tolerances(self) -> tuple[float, float]:
        """What the source's own precision leaves open below and above."""
        if self.tolerance:
            return float(self.tolerance), float(self.tolerance)
        ends = self.value.split(" to ")
        low, high = (0.5 * 10.0 ** -len(end.partition(".")[2]) for end in (ends[0], ends[-1]))
        return low, high


@dataclass(frozen=True, slots=True)
class Compared:
    """A check and what ours comes to. `error` is ours less the printed value, 0 within a printed range, None
    for words."""

    check: Check
    ours: float | str
    error: float | None
    passes: bool

    @property
    def said(self) -> str:
        """One line for a failing test."""
        check = self.check
        return (
            f"{check.quantity}: printed {check.value} {check.unit}, ours {shown(self.ours)} [{check.source}]"
        )


def shown(value: float | str) -> str:
    """A number as the table prints it.

    >>> shown(0.52391), shown(101417.9), shown("less than 1")
    ('0.5239', '101418', 'less than 1')
    """
    if isinstance(value, str):
        return value
    return f"{value:.0f}" if abs(value) >= 10_000 else f"{value:.4g}"


@cache
def checks(table: str) -> tuple[Check, ...]:
    """The checks of one table."""
    with (HERE / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        return tuple(_check(table, row) for row in csv.DictReader(file))


def _check(table: str, row: dict[str, str]) -> Check:
    source = ", ".join(part for part in (row["source"], row.get("year", "")) if part)
    return Check(
        table, row["id"], row["quantity"], row["inputs"], row["value"], row["unit"], row["tolerance"], source,
        row["grade"], row.get("fails", ""),
    )  # fmt: skip


@cache
def compared(check: Check) -> Compared:
    """A check with ours beside it."""
    ours = evaluated(check.inputs, check.table)
    if check.bounds is None or isinstance(ours, str):
        return Compared(check, str(ours), None, ours == check.value)
    ours, (low, high) = float(ours), check.bounds
    error = ours - min(max(ours, low), high)
    below, above = check.tolerances
    slack = 1e-9 * max(1.0, abs(ours))  # what binary floats lose
    return Compared(check, ours, error, -below - slack <= error <= above + slack)


def evaluated(inputs: str, table: str) -> Any:
    """What a row's inputs come to. Nothing but public laws, constants, models and arithmetic can stand there.

    >>> round(evaluated("soda_mmol(5.0)", "leavening"), 1)
    59.5
    >>> evaluated("__import__('os')", "leavening")
    Traceback (most recent call last):
    ...
    ValueError: "__import__('os')" may hold no name like __import__
    """
    tree = ast.parse(inputs, mode="eval")
    for node in ast.walk(tree):
        if not isinstance(node, _ALLOWED):
            raise ValueError(f'"{inputs}" may hold no {type(node).__name__}')
        name = getattr(node, "id", None) or getattr(node, "attr", "")
        if name.startswith("_"):
            raise ValueError(f'"{inputs}" may hold no name like {name}')
    return eval(compile(tree, f"<{table}.csv>", "eval"), {"__builtins__": {}, **_names(table)})


@cache
def _names(table: str) -> dict[str, Any]:
    modules = {found.name: _public(import_module(f"assistant.laws.{found.name}"))
               for found in pkgutil.iter_modules(assistant.laws.__path__)}  # fmt: skip
    names: dict[str, Any] = {"float": float, "int": int}
    names |= {name: SimpleNamespace(**public) for name, public in modules.items()}
    names |= _public(import_module("tests.published.models"))
    for home in HOMES[table]:
        names |= modules[home]
    return names


def _public(module: ModuleType) -> dict[str, Any]:
    """What a module defines itself and shows, and the constants it holds."""
    return {
        name: found
        for name, found in vars(module).items()
        if not name.startswith("_")
        and not isinstance(found, ModuleType)
        and (not inspect.isroutine(found) or found.__module__ == module.__name__)
    }
