"""The laws that the answers rest on, as their own docstrings tell: what each computes, where it holds, its source.

A docstring's `Range` is a list of statements parted by semicolons, which say when the law refuses:

- `soda_g 0 to 1e6 g`: a parameter with its lowest and highest value, ends included, and its unit
- `vapour_pa / pressure_pa 0 to 0.95`, `to_ph from_ph to 14`: arithmetic on parameters; a parameter as an end
- `masses_g[*] 0 to 1e7 g`: each of several
- `protein_g + fat_g 1e-6 and more`, `target_c up to 110 C`: no highest, or no lowest value
- `exponent one of 0, 1, 2`: a choice
- `as gas_ml`: what that law of the same module states of parameters of the same name

Whatever follows in brackets, and any other statement, is for people: what else a law refuses.

Its `Spread` says how sure the law is by itself, and opens in one of these ways (`KINDS`):

- `none of its own: a definition`: exact, whatever its arguments leave open
- `that of D55_MIN`: what is weakly known are its arguments, which bring their own low and high
- `returned: low and high`: what it gives back tells it
- `as temperature_factor`: another law's
- `an order only: of crumbs`: it says which of two is more, and no number of it can be read
- `not told by its source`
- anything else is a figure, `15 %, by its source`; or `5 %, as far as its checks TPD06 and TPD07`: the greatest
  error among these published values. `@sure_to` on the law gives it to conclusions
"""

import ast
import inspect
import pkgutil
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from math import inf
from typing import Any

import assistant.laws

_PART = re.compile(
    r"^ *(Units|Range|Source|Spread|Not for): *(.*?)(?=^ *(?:Units|Range|Source|Spread|Not for|>>>)|^\s*$|\Z)",
    re.MULTILINE | re.DOTALL,
)
_END = r"-?\d[\d.]*(?:e-?\d+)?|[a-z_]\w*"
_BOUND = re.compile(rf"(?P<of>.+?) (?P<low>{_END}) (?:to (?P<high>{_END})|and more)(?: (?P<unit>.+))?")
_MOST = re.compile(rf"(?P<of>.+?) up to (?P<high>{_END})(?: (?P<unit>.+))?")
_CHOICE = re.compile(r"(?P<of>\w+) one of (?P<choices>.+)")
_KEY = re.compile(r"\b[a-z]+[a-z0-9]*(?:-[a-z0-9]+)+\b")
_FUNCTIONS = frozenset({"sum", "len"})

KINDS = {
    "none of its own: ": "exact",
    "that of ": "arguments",
    "returned: ": "returned",
    "as ": "another law",
    "an order only: ": "order",
    "not told by its source": "not told",
}
"""Kinds of `Spread`, by how it opens; what opens otherwise is a figure."""


@dataclass(frozen=True, slots=True)
class Bound:
    """Between which ends a quantity of a law may lie, or the numbers it may be.

    `of` is a parameter or arithmetic on parameters, where `[*]` stands for each of several; an end is a
    number or the name of a parameter.
    """

    of: str
    low: float | str
    high: float | str
    unit: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Law:
    """One law: its name, what it computes, its units, where it holds, how sure it is, where it is published.

    `holds` is what its docstring says, `bounds` what a program can read of it and `besides` what is left;
    `sources` are the keys of the rulebook in `source`, those of the laws it leans on included.
    """

    name: str
    computes: str
    units: str
    holds: str
    source: str
    spread: str
    bounds: tuple[Bound, ...]
    besides: tuple[str, ...]
    sources: tuple[str, ...]
    function: Callable[..., Any]

    @property
    def spread_kind(self) -> str:
        """Which kind its spread is: one of `KINDS`, "checked" (a figure from published check values) or "figure"."""
        return _kind(self.spread)


def _kind(spread: str) -> str:
    opening = (kind for start, kind in KINDS.items() if spread.startswith(start))
    return next(opening, "checked" if "as far as its check" in spread else "figure")


@cache
def only_orders(name: str) -> bool:
    """Whether a law, by the full name that conclusions know it by, tells no more than which of two is more.

    >>> from assistant.laws import crumb
    >>> only_orders("assistant.laws.crumb.springiness"), only_orders("assistant.laws.crumb.moistness")
    (True, False)
    """
    home, _, law = name.rpartition(".")
    found = getattr(sys.modules.get(home), law, None)
    return home.startswith("assistant.laws.") and _kind(parts(found).get("Spread", "")) == "order"


@cache
def laws() -> tuple[Law, ...]:
    """Every public law, by name.

    >>> [law.units for law in laws() if law.name == "leavening.acid_for_soda"]
    ['soda_g g; neutralising_value 1; returns g']
    """
    return tuple(sorted(map(_law, _functions()), key=lambda law: law.name))


def document() -> dict[str, Any]:
    """The laws as one document; an end that a bound has not is null.

    >>> document()["laws"][0]["holds"][0]
    {'of': 'acids[*][0]', 'low': 0.0, 'high': 10000000000.0, 'unit': 'mmol', 'one_of': []}
    """
    return {
        "laws": [
            {
                "name": law.name,
                "computes": law.computes,
                "units": law.units,
                "range": law.holds,
                "holds": [_told(bound) for bound in law.bounds],
                "source": law.source,
                "sources": list(law.sources),
                "spread": law.spread,
                "spread_kind": law.spread_kind,
            }
            for law in laws()
        ]
    }


def _told(bound: Bound) -> dict[str, Any]:
    low, high = (None if end in (-inf, inf) else end for end in (bound.low, bound.high))
    return {"of": bound.of, "low": low, "high": high, "unit": bound.unit, "one_of": list(bound.choices)}


def _functions() -> Iterator[Callable[..., Any]]:
    for module_info in pkgutil.iter_modules(assistant.laws.__path__):
        module = import_module(f"assistant.laws.{module_info.name}")
        for name, found in inspect.getmembers(module, inspect.isfunction):
            if found.__module__ == module.__name__ and not name.startswith("_") and "Source" in parts(found):
                yield found


def _law(function: Callable[..., Any]) -> Law:
    told = parts(function)
    stated, besides = bounds(function)
    computes = " ".join((inspect.getdoc(function) or "").split("\n\n")[0].split())
    return Law(
        f"{function.__module__.rpartition('.')[2]}.{function.__name__}",
        computes,
        told.get("Units", ""),
        told.get("Range", ""),
        told["Source"],
        told.get("Spread", ""),
        stated,
        besides,
        tuple(dict.fromkeys(_keys(function))),
        function,
    )


def parts(documented: Any) -> dict[str, str]:
    """The labelled parts of a docstring: Units, Range, Source, Spread, Not for."""
    return {label: " ".join(text.split()) for label, text in _PART.findall(documented.__doc__ or "")}


def bounds(documented: Any) -> tuple[tuple[Bound, ...], tuple[str, ...]]:
    """What a docstring's `Range` states of parameters, and what else it says is refused.

    >>> def half(mass_g: float) -> float:
    ...     '''Range:    mass_g 0 to 1e3 g (a kilogram); not on Sundays; else ValueError'''
    >>> bounds(half)
    ((Bound(of='mass_g', low=0.0, high=1000.0, unit='g', choices=()),), ('not on Sundays',))
    """
    parameters = frozenset(inspect.signature(documented).parameters)
    read: list[Bound] = []
    besides: list[str] = []
    for statement in parts(documented).get("Range", "").split("; "):
        plain = re.sub(r" \([^;]*\)$", "", statement.removeprefix("else ValueError").strip())
        if lent := re.fullmatch(r"as `?(\w+)`?", plain):
            whole, more = bounds(vars(import_module(documented.__module__))[lent[1]])
            read += [bound for bound in whole if _names(bound.of) <= parameters | _FUNCTIONS]
            besides += more
        elif bound := _bound(plain, parameters):
            read.append(bound)
        elif plain:
            besides.append(plain)
    return tuple(dict.fromkeys(read)), tuple(dict.fromkeys(besides))


def _bound(statement: str, parameters: frozenset[str]) -> Bound | None:
    choice, most, ends = (form.fullmatch(statement) for form in (_CHOICE, _MOST, _BOUND))
    found = choice or most or ends
    if not found or not _names(found["of"]) <= parameters | _FUNCTIONS:
        return None
    if choice:
        return Bound(choice["of"], -inf, inf, "", tuple(choice["choices"].split(", ")))
    if most:
        return Bound(most["of"], -inf, _end(most["high"]), most["unit"] or "")
    assert ends
    return Bound(ends["of"], _end(ends["low"]), _end(ends["high"] or "inf"), ends["unit"] or "")


def _end(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _names(expression: str) -> frozenset[str]:
    """The names in an expression; an impossible one where it is none."""
    try:
        tree = ast.parse(expression.replace("[*]", "[0]"), mode="eval")
    except SyntaxError:
        return frozenset({"?"})
    return frozenset(node.id for node in ast.walk(tree) if isinstance(node, ast.Name))


def _keys(function: Callable[..., Any], seen: frozenset[str] = frozenset()) -> Iterable[str]:
    """Keys of the rulebook's sources in a law's `Source`, then those of what it names: laws and constants."""
    source = parts(function).get("Source", "")
    yield from _KEY.findall(source)
    namesakes = vars(import_module(function.__module__))
    for name in re.findall(r"\b[a-z]\w*\b", source):
        other = namesakes.get(name)
        if inspect.isfunction(other) and name not in seen:
            yield from _keys(other, seen | {name, function.__name__})
