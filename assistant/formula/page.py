"""Recipes in web pages and in data for machines: schema.org Recipe (JSON-LD), or the text a person reads.

A page is gone through once, so that half-open tags cost no more than its length.
"""

import json
import re
from collections.abc import Iterable, Mapping
from html import unescape
from typing import Any

from assistant.formula.card import Card, Written, read_card, read_yield
from assistant.formula.line import tidy
from assistant.words.faults import Fault, Place

DEEPEST = 20
"""Data nested deeper than this hold no recipe."""

_TAG = re.compile(r"<[^>]{0,2000}>")


def read_page(text: str, source: str, form: str) -> tuple[Card | None, tuple[Fault, ...]]:
    """A card from JSON ("json") or a page ("html"): by its data for machines, else by its text."""
    for block in [text] if form == "json" else _data_blocks(text):
        try:
            data = json.loads(block.strip(), strict=False)
        except (json.JSONDecodeError, RecursionError) as error:
            if form == "json":
                return None, (_no_json(error, source),)
            continue
        recipe = _recipe_in(data)
        if recipe is not None:
            return _recipe_card(recipe, source), ()
    if form == "html":
        return read_card(_text_of_page(text), source), ()
    mend = "give the recipe as text or in our YAML form"
    return None, (Fault(Place(source), "it holds no schema.org Recipe", mend),)


def _no_json(error: json.JSONDecodeError | RecursionError, source: str) -> Fault:
    mend = "check quotes and commas there"
    if isinstance(error, json.JSONDecodeError):
        return Fault(Place(source, error.lineno), f"this is not JSON: {error.msg}", mend)
    return Fault(Place(source), "this is not JSON: it nests too deep", mend)


def _spans(page: str, name: str) -> Iterable[tuple[int, int, int, int]]:
    """Elements of a page: where each starts, where its content starts and ends, and where it ends.

    One pass, so that a page of half-open tags costs no more than its length.
    """
    opening = re.compile(rf"<{name}(?=[\s/>])", re.IGNORECASE)
    closing = re.compile(rf"</{name}(?=[\s>])", re.IGNORECASE)
    at = 0
    while (start := opening.search(page, at)) is not None:
        inside = page.find(">", start.end())
        end = None if inside < 0 else closing.search(page, inside)
        close = -1 if end is None else page.find(">", end.end())
        if end is None or close < 0:
            return
        yield start.start(), inside + 1, end.start(), close + 1
        at = close + 1


def _around(page: str, name: str) -> Iterable[str]:
    """A page without its elements of a name, in pieces."""
    at = 0
    for start, _, _, close in _spans(page, name):
        yield page[at:start]
        at = close
    yield page[at:]


def _data_blocks(page: str) -> Iterable[str]:
    """The data a page carries for machines (JSON-LD)."""
    for start, inside, end, _ in _spans(page, "script"):
        if "application/ld+json" in page[start:inside].lower():
            yield page[inside:end]


def _recipe_in(data: Any, depth: int = 0) -> Mapping[str, Any] | None:
    """The first object whose @type is Recipe."""
    if depth > DEEPEST:
        return None
    if isinstance(data, dict):
        kind = data.get("@type")
        if kind == "Recipe" or (isinstance(kind, list) and "Recipe" in kind):
            return data
        inside: Iterable[Any] = data.values()
    elif isinstance(data, list):
        inside = data
    else:
        return None
    found = (_recipe_in(each, depth + 1) for each in inside if isinstance(each, dict | list))
    return next((each for each in found if each is not None), None)


def _recipe_card(recipe: Mapping[str, Any], source: str) -> Card:
    where = Place(source)
    pieces, piece_name, faults = _recipe_yield(recipe.get("recipeYield"), where)
    ingredients = recipe.get("recipeIngredient", recipe.get("ingredients"))
    steps = [Written(text, where) for text in _instructions(recipe.get("recipeInstructions"))]
    note = "\n".join(_texts(recipe.get("description")))
    lines = tuple(Written(text, where) for text in _texts(ingredients))
    return Card(
        name=" ".join(_texts(recipe.get("name"))[:1]),
        lines=lines,
        steps=tuple(steps),
        pieces=pieces,
        piece_name=piece_name,
        note=note,
        faults=faults,
    )


def _recipe_yield(value: Any, where: Place) -> tuple[int | None, str, tuple[Fault, ...]]:
    best: tuple[int | None, str, tuple[Fault, ...]] = (None, "", ())
    for text in _texts(value):
        found = read_yield(re.sub(r"^(?:makes|serves|yields?)\s*:?\s*", "", text, flags=re.IGNORECASE), where)
        if best[0] is None or (found[0] is not None and found[1] and not best[1]):
            best = found
    return best


def _texts(value: Any) -> list[str]:
    """Plain texts in a value that may be a text, a number, or a list of them."""
    if isinstance(value, list):
        return [text for each in value for text in _texts(each)]
    if isinstance(value, dict):
        return _texts(value.get("text", value.get("name", value.get("value"))))
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return []
    lines = _TAG.sub("", _BLOCK.sub("\n", unescape(str(value)))).splitlines()
    return [text for text in (tidy(line) for line in lines) if text]


def _instructions(value: Any, depth: int = 0) -> list[str]:
    if depth > DEEPEST:
        return []
    if isinstance(value, list):
        return [text for each in value for text in _instructions(each, depth + 1)]
    if isinstance(value, dict):
        inside = value.get("itemListElement")
        if inside is not None:
            return _instructions(inside, depth + 1)
        said = value.get("text")
        return _texts(said if said is not None else value.get("name"))
    return _texts(value)


_HIDDEN = ("script", "style", "head", "nav", "footer", "svg")
_BLOCK = re.compile(
    r"</?(?:p|div|li|ul|ol|h[1-6]|br|tr|table|section|article|header|main)\b[^>]{0,2000}>", re.IGNORECASE
)


def _text_of_page(page: str) -> str:
    """What a person reads of a page that carries no data: its text, block by block."""
    for name in _HIDDEN:
        page = "\n".join(_around(page, name))
    shown = _BLOCK.sub("\n", page)
    lines = (re.sub(r"[ \t]+", " ", line).strip() for line in unescape(_TAG.sub("", shown)).splitlines())
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()
