"""Recipes in data for machines: schema.org Recipe as JSON-LD, and plainer JSON that lists ingredients.

What is not quite JSON is mended where only one reading is possible, and that is said; the rest is refused
with the line where it breaks.
"""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from html import unescape
from math import isfinite
from typing import Any

from assistant.formula.card import (
    MOST_PIECES,
    Card,
    Written,
    heading_of,
    one_by_one,
    read_yield,
    without_step_number,
)
from assistant.formula.line import tidy
from assistant.words.faults import Fault, Place
from assistant.words.units import exact_number, plain_marks, read_number

DEEPEST = 20
"""Data nested deeper than this hold no recipe."""
MOST_REFERENCES = 1000
"""Steps or ingredients given by reference in one recipe; more of them are no recipe."""

# -- JSON, well and badly formed --------------------------------------------------------------------

_WRAPPER = re.compile(r"\s*(?:<!--|(?://|/\*)?\s*<!\[CDATA\[\s*(?:\*/)?|\ufeff)")
_WRAPPER_END = re.compile(r"(?:(?://\s*)?-->|(?://|/\*)?\s*\]\]>\s*(?:\*/)?|;)\s*\Z")
_PIECE = re.compile(
    r'(?P<text>"(?:[^"\\]|\\.)*+(?:"|\Z))|(?P<comma>,)(?=\s*+[}\],])|(?P<remark>//[^\n]*+|/\*(?:.*?\*/|.*\Z))',
    re.DOTALL,
)
_GAP = re.compile(r'"(?:[^"\\]|\\.)*+(?:"|\Z)|(?P<end>[}\]])(?=\s*+[{\["])', re.DOTALL)
"""Where a value ends and another begins with no comma between them; what is in strings is passed over."""
_NEEDLESS_ESCAPE = re.compile(r"\\(?:(?P<kept>[\"\\/bfnrtu])|(?P<bare>[^\"\\/bfnrtuxv0-9]))", re.DOTALL)
_BETWEEN_VALUES = re.compile(r"[\s,;]*")


class NotJson(Exception):
    """Why a text is no JSON, as a sentence, and the line (from 1) where it breaks, where one is known."""

    def __init__(self, what: str, line: int | None) -> None:
        super().__init__(what)
        self.what, self.line = what, line


def loads(text: str) -> tuple[list[Any], tuple[str, ...]]:
    """The values in a JSON text (one, or several after one another), and what had to be mended.

    Mended are a byte order mark, comment and CDATA wrappers, remarks, commas too many, commas missing
    after a bracket, line ends inside strings, needless backslashes, and quotation marks written as &quot;.
    Errors: NotJson.

    >>> loads('<!-- {"a": [1, 2,],} -->')
    ([{'a': [1, 2]}], ('a wrapper around it', 'a comma too many'))
    """
    try:
        return [_load(text)], ()
    except (ValueError, RecursionError) as error:
        first = error
    mended, mends = _mended(text)
    spaced = _GAP.sub(lambda match: match[0] + ("," if match["end"] else ""), mended)
    for tried, more in ((mended, ()), (spaced, ("a comma missing",))):
        try:
            return _one_after_another(tried), (*mends, *more)
        except (ValueError, RecursionError):
            continue
    if isinstance(first, RecursionError):
        raise NotJson("it nests too deep", None)
    if isinstance(first, json.JSONDecodeError):
        raise NotJson(first.msg, first.lineno)
    raise NotJson("a number in it is too long", None)


def _load(text: str) -> Any:
    return json.loads(text, strict=False, parse_constant=_no_number)


def _no_number(_: str) -> None:
    """NaN and Infinity are no amounts."""


_DECODER = json.JSONDecoder(strict=False, parse_constant=_no_number)


def _one_after_another(text: str) -> list[Any]:
    values = []
    at = 0
    while at < len(text):
        value, at = _DECODER.raw_decode(text, at)
        values.append(value)
        between = _BETWEEN_VALUES.match(text, at)
        at = at if between is None else between.end()
    if not values:
        raise ValueError("there is nothing in it")
    return values


def _mended(text: str) -> tuple[str, tuple[str, ...]]:
    mends: dict[str, None] = {}
    body = text.strip()
    while (wrapper := _WRAPPER.match(body)) is not None:
        body = body[wrapper.end() :]
        mends["a wrapper around it"] = None
    tail = body[-200:]
    while (end := _WRAPPER_END.search(tail)) is not None:
        body = body[: len(body) - len(tail) + end.start()].rstrip()
        tail = body[-200:]
        mends["a wrapper around it"] = None
    if '"' not in body and "&quot;" in body:
        body = unescape(body)
        mends["quotation marks written as &quot;"] = None

    def mend(match: re.Match[str]) -> str:
        if match["comma"] is not None:
            mends["a comma too many"] = None
            return ""
        if match["remark"] is not None:
            mends["a remark"] = None
            return ""
        said = match["text"]
        if "\\" not in said:
            return said
        bare = _NEEDLESS_ESCAPE.sub(lambda m: m[0] if m["kept"] is not None else m["bare"], said)
        if bare != said:
            mends["a needless backslash"] = None
        return bare

    return _PIECE.sub(mend, body).strip(), tuple(mends)


# -- finding recipes --------------------------------------------------------------------------------

_INGREDIENTS = ("recipeIngredient", "ingredients", "recipeIngredients", "ingredient")
_INSTRUCTIONS = (
    "recipeInstructions",
    "instructions",
    "directions",
    "method",
    "steps",
    "recipeInstruction",
    "preparation",
)
_NAMES = ("name", "headline", "title")
_YIELDS = ("recipeYield", "yield", "yields", "servings", "recipeServings")


def recipes_in_data(data: Any, plain: bool = True) -> Iterator[Mapping[str, Any]]:
    """The recipes in data, in their order: objects of type Recipe wherever they stand, and, where `plain`,
    objects of no type that list ingredients. What stands inside a recipe is another one only where the
    outer has no ingredients.

    >>> [r["name"] for r in recipes_in_data({"@graph": [{"@type": ["Thing", "schema:Recipe"], "name": "a"}]})]
    ['a']
    """
    return _recipes(data, plain, 0)


def _recipes(data: Any, plain: bool, depth: int) -> Iterator[Mapping[str, Any]]:
    if depth > DEEPEST:
        return
    inside: Iterable[Any]
    if isinstance(data, dict):
        lists = _first_said(data, _INGREDIENTS) is not None
        if _is_recipe(data):
            nested = (
                [] if lists else [r for value in data.values() for r in _recipes(value, plain, depth + 1)]
            )
            nested = [recipe for recipe in nested if _first_said(recipe, _INGREDIENTS) is not None]
            yield from nested or [data]
            return
        if plain and lists and "@type" not in data:
            yield data
            return
        inside = data.values()
    elif isinstance(data, list):
        inside = data
    else:
        return
    for each in inside:
        if isinstance(each, dict | list):
            yield from _recipes(each, plain, depth + 1)


def _is_recipe(data: Mapping[str, Any]) -> bool:
    return any(re.split(r"[/#:]", kind)[-1].strip().lower() == "recipe" for kind in _kinds(data))


def _kinds(data: Mapping[str, Any]) -> list[str]:
    kinds = data.get("@type")
    return [kind for kind in (kinds if isinstance(kinds, list) else [kinds]) if isinstance(kind, str)]


def _first_said(recipe: Mapping[str, Any], keys: Iterable[str]) -> Any:
    """The first value of some keys that holds anything."""
    for key in keys:
        value = recipe.get(key)
        if value not in (None, "", [], {}) and not isinstance(value, bool):
            return value
    return None


def references(data: Any) -> dict[str, Any]:
    """Objects of JSON-LD by their @id, for what is given by reference elsewhere."""
    found: dict[str, Any] = {}
    waiting = [(data, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > DEEPEST:
            continue
        if isinstance(value, dict):
            name = value.get("@id")
            if isinstance(name, str) and len(value) > 1:
                found.setdefault(name, value)
            waiting += [(each, depth + 1) for each in value.values() if isinstance(each, dict | list)]
        elif isinstance(value, list):
            waiting += [(each, depth + 1) for each in value if isinstance(each, dict | list)]
    return found


class _Referred:
    """Objects by @id, and how many may still be put where they are referred to."""

    def __init__(self, by_id: Mapping[str, Any]) -> None:
        self._by_id = by_id
        self._left = MOST_REFERENCES

    def __call__(self, value: Any) -> Any:
        """The object a reference stands for, or the value itself."""
        if self._by_id and isinstance(value, dict) and len(value) <= 2 and self._left > 0:
            name = value.get("@id")
            if isinstance(name, str) and name in self._by_id:
                self._left -= 1
                return self._by_id[name]
        return value


# -- a recipe as a card -----------------------------------------------------------------------------


def card_of(recipe: Mapping[str, Any], where: Place, by_id: Mapping[str, Any] | None = None) -> Card:
    """A recipe in data as a card.

    >>> made = {"name": "Rolls", "recipeYield": 8, "recipeIngredient": ["For the dough:", "500 g flour"]}
    >>> card = card_of(made, Place("rolls.json"))
    >>> card.pieces, [(line.text, line.part) for line in card.lines]
    (8, [('500 g flour', 'dough')])
    """
    referred = _Referred({} if by_id is None else by_id)
    faults: list[Fault] = []
    pieces, piece_name, yield_faults = _yield_of(_first_said(recipe, _YIELDS), where)
    faults += yield_faults
    lines = _ingredients(recipe, where, referred, faults)
    said = _first_said(recipe, _INSTRUCTIONS)
    steps = tuple(
        Written(text, where, section, lead=f"{section}: " if first else "")
        for text, section, first in _instructions(said, referred, 0)
    )
    times, cook_min = _times(recipe, where, faults)
    names = [name for key in _NAMES for name in texts(recipe.get(key))]
    return Card(
        name=names[0] if names else "",
        lines=tuple(lines),
        steps=steps,
        pieces=pieces,
        piece_name=piece_name,
        note="\n".join([*texts(recipe.get("description")), *times]),
        cook_min=cook_min,
        faults=tuple(faults),
    )


_TAG = re.compile(r"<[^<>]{0,2000}>")
_BLOCK = re.compile(
    r"</?(?:p|div|li|ul|ol|h[1-6]|br|tr|table|section|article|header|main|dl|dt|dd)\b[^<>]{0,2000}>",
    re.IGNORECASE,
)


def plain_text(markup: str) -> str:
    """A text without its tags, blocks on lines of their own, signs as what they stand for.

    >>> plain_text("<p>1&frac12; cups</p><p>2 &amp;amp; 3</p>").split()
    ['1½', 'cups', '2', '&', '3']
    """
    if "<" in markup:
        markup = _TAG.sub("", _BLOCK.sub("\n", markup))
    if "&" in markup:
        markup = unescape(markup)
        if "&" in markup and ";" in markup:
            markup = unescape(markup)
        if "<" in markup:
            markup = _TAG.sub("", _BLOCK.sub("\n", markup))
    return markup


def texts(value: Any, depth: int = 0) -> list[str]:
    """Plain texts, one a line, in a value that may be a text, a number, a list of them, or an object that
    holds one."""
    if isinstance(value, str):
        return [text for text in map(tidy, plain_text(value).splitlines()) if text]
    if depth > DEEPEST:
        return []
    if isinstance(value, list):
        return [text for each in value for text in texts(each, depth + 1)]
    if isinstance(value, dict):
        return texts(_first_said(value, ("text", "name", "value", "@value", "description")), depth + 1)
    if isinstance(value, bool) or value is None or not isfinite(value):
        return []
    return [exact_number(float(value)) if abs(value) < 1e15 else f"{value:g}"]


def _ingredients(
    recipe: Mapping[str, Any], where: Place, referred: _Referred, faults: list[Fault]
) -> list[Written]:
    """The lines of a recipe with the part each belongs to."""
    given = [(key, list(_lines(recipe[key], referred, 0))) for key in _INGREDIENTS if key in recipe]
    given = [(key, lines) for key, lines in given if lines]
    if not given:
        return []
    _, said = given[0]
    known = set(said)
    for key, lines in given[1:]:
        more = [line for line in lines if line not in known]
        if more:
            what = f'"{key}" lists others, which I left out: {"; ".join(more)}'
            faults.append(Fault(where, what, "keep one list of ingredients", False, "ambiguous"))
    written = []
    part = ""
    for at, text in enumerate(said):
        heading = heading_of(text)
        if heading is not None and at + 1 < len(said) and heading_of(said[at + 1]) is None:
            part = heading
            continue
        written.append(Written(text, where, part))
    return written


_AMOUNTS = ("amount", "quantity", "qty", "value", "measure")
_UNITS = ("unitText", "unit", "units", "unitCode")
_WHAT = ("name", "ingredient", "item", "food", "product", "title")
_REMARKS = ("note", "notes", "preparation", "comment")
_INSIDE = ("itemListElement", "ingredients", "items", "recipeIngredient", "list")


def _lines(value: Any, referred: _Referred, depth: int) -> Iterator[str]:
    """Ingredient lines in a value of any of the forms they are given in."""
    value = referred(value)
    if depth > DEEPEST:
        return
    if isinstance(value, list):
        for each in value:
            if isinstance(each, str):
                said = texts(each)
                apart = len(value) == 1 or all(read_number(line) is not None for line in said)
                yield from said if apart or len(said) < 2 else (" ".join(said),)
            else:
                yield from _lines(each, referred, depth + 1)
    elif isinstance(value, dict):
        yield from _lines_of_object(value, referred, depth)
    else:
        said = texts(value)
        yield from one_by_one(said[0]) if len(said) == 1 and isinstance(value, str) else said


def _lines_of_object(value: Mapping[str, Any], referred: _Referred, depth: int) -> Iterator[str]:
    inside = _first_said(value, _INSIDE)
    if inside is not None:
        for name in texts(_first_said(value, _WHAT)):
            yield name if name.endswith(":") else f"{name}:"
        yield from _lines(inside, referred, depth + 1)
        return
    whole = _first_said(value, ("text", "original", "display"))
    if whole is not None:
        yield from texts(whole)
        return
    names = texts(_first_said(value, _WHAT))
    if names:
        amount = _first_said(value, _AMOUNTS)
        unit = texts(_first_said(value, _UNITS))
        if isinstance(amount, dict):
            unit = unit or texts(_first_said(amount, _UNITS))
            amount = _first_said(amount, _AMOUNTS)
        line = " ".join([*texts(amount), *unit, *names])
        remarks = texts(_first_said(value, _REMARKS))
        yield f"{line}, {' '.join(remarks)}" if remarks else line
        return
    for key, held in value.items():  # {"flour": "500 g"}
        if key.startswith("@"):
            continue
        if isinstance(held, dict | list):
            yield f"{key}:"
            yield from _lines(held, referred, depth + 1)
        else:
            yield tidy(plain_text(": ".join([key, *texts(held)])).replace("\n", " "))


_STEPS_INSIDE = ("itemListElement", "steps", "step", "instructions")


def _instructions(value: Any, referred: _Referred, depth: int) -> list[tuple[str, str, bool]]:
    """The steps, each with the section it stands in ("" for none) and whether it is the first there."""
    value = referred(value)
    if depth > DEEPEST:
        return []
    if isinstance(value, list):
        return [step for each in value for step in _instructions(each, referred, depth + 1)]
    if isinstance(value, dict):
        inside = _first_said(value, _STEPS_INSIDE)
        if inside is None:
            said = _first_said(value, ("text", "description", "name"))
            return [(text, "", False) for text in _steps(said)]
        steps = _instructions(inside, referred, depth + 1)
        names = texts(value.get("name"))
        if not names or not steps or not _is_section(value):
            return steps
        name = names[0].rstrip(":")
        return [(text, name, at == 0) for at, (text, _, _) in enumerate(steps)]
    return [(text, "", False) for text in _steps(value)]


def _is_section(value: Mapping[str, Any]) -> bool:
    return any(kind.endswith("HowToSection") for kind in _kinds(value))


def _steps(value: Any) -> list[str]:
    """The steps in a text: by its lines, or by their numbers where all stand in one line."""
    steps = []
    for text in texts(value):
        found = _NUMBERS_WITHIN.split(text) if _FIRST_NUMBER.match(text) is not None else [text]
        steps += [without_step_number(each) for each in found]
    return [step for step in steps if step]


_FIRST_NUMBER = re.compile(r"(?:step\s*)?1\s*[.):]\s+\D", re.IGNORECASE)
_NUMBERS_WITHIN = re.compile(r"(?<![Ss]tep)\s+(?=(?:[Ss]tep\s*)?\d{1,2}\s*[.):]\s+[A-Z])")


# -- yields and times -------------------------------------------------------------------------------

_MAKES = re.compile(
    r"^(?:this\s+(?:recipe\s+)?)?(?P<verb>makes?|serves?|servings?|portions?|yields?|quantity|produces)"
    r"\b\s*[:=-]?\s*",
    re.IGNORECASE,
)


def _yield_of(value: Any, where: Place) -> tuple[int | None, str, tuple[Fault, ...]]:
    """Pieces and what one is called: of several yields the first that names its pieces."""
    if isinstance(value, int | float) and not 1 <= value <= MOST_PIECES:
        said = Fault(where, f"{value:g} is no number of pieces", "write a whole number", False)
        return None, "", (said,)
    best: tuple[int | None, str, tuple[Fault, ...]] = (None, "", ())
    for text in _yield_texts(value):
        verb = _MAKES.match(text)
        pieces, name, faults = read_yield(text if verb is None else text[verb.end() :], where)
        if pieces is not None and not name and verb is not None and verb["verb"].lower()[:2] in ("se", "po"):
            name = "serving"
        first = best == (None, "", ())
        if first or (pieces is not None and (best[0] is None or (name and not best[1]))):
            best = pieces, name, faults
    return best


def _yield_texts(value: Any) -> list[str]:
    if isinstance(value, list):
        return [text for each in value for text in _yield_texts(each)]
    if isinstance(value, dict):
        number, unit = texts(_first_said(value, ("value", "amount"))), texts(_first_said(value, _UNITS))
        return [" ".join(number + unit)] if number else texts(value)
    return texts(value)


_ISO = re.compile(
    r"P(?:(?P<years>\d+)Y)?(?:(?P<months>\d+)M)?(?:(?P<weeks>\d+(?:[.,]\d+)?)W)?(?:(?P<days>\d+(?:[.,]\d+)?)D)?"
    r"(?:T(?:(?P<hours>\d+(?:[.,]\d+)?)H)?(?:(?P<minutes>\d+(?:[.,]\d+)?)M)?(?:(?P<seconds>\d+(?:[.,]\d+)?)S)?)?"
)
_LOOSE = re.compile(
    r"(?P<number>\d+\s+\d/\d|\d+/\d|\d+(?:[.,]\d+)?)\s*"
    r"(?P<unit>weeks?|w|days?|d|hours?|hrs?|hr|horas?|heures?|stunden?|std|h|minutes?|minut[eio]n?s?|mins?|min|m|"
    r"seconds?|secs?|s)?(?![a-z])\.?"
    r"(?:\s*(?:,|and|&|\+)\s*|\s*)",
    re.IGNORECASE,
)
_IN_MIN = {"w": 7 * 24 * 60.0, "d": 24 * 60.0, "h": 60.0, "m": 1.0, "s": 1 / 60}
_BELOW = {"d": "h", "h": "m", "m": "s"}


def read_duration(text: str) -> tuple[float | None, bool]:
    """Minutes in a duration, None where it can't be told, and whether it is written as ISO 8601 has it.

    Badly formed ones are read where only one thing can be meant: a number after the hours is minutes. A
    month is never meant in a kitchen, so P30M is 30 minutes; a number alone says nothing.
    Source: ISO 8601-1:2019, 5.5.2.

    >>> read_duration("PT1H30M"), read_duration("P0DT30M"), read_duration("PT1H30"), read_duration("1 hour 20 minutes")
    ((90.0, True), (30.0, True), (90.0, False), (80.0, False))
    >>> read_duration("P30M"), read_duration("90"), read_duration("soon")
    ((30.0, False), (None, False), (None, False))
    """
    bare = text.strip()
    if len(bare) > 80:
        return None, False
    iso = _ISO.fullmatch(bare)
    if iso is not None and bare[-1] not in "PT" and not int(iso["months"] or 0) and not int(iso["years"] or 0):
        kept = {unit: value for unit, value in iso.groupdict().items() if unit not in ("years", "months")}
        found = {unit: float(value.replace(",", ".")) for unit, value in kept.items() if value}
        return round(sum(_IN_MIN[unit[0]] * value for unit, value in found.items()), 4), True
    bare = re.sub(r"^(?:about|approx\.?|approximately|around|ca\.?|~)\s*", "", plain_marks(bare), flags=re.IGNORECASE)
    loose = re.sub(r"^P?T(?=\d)|^P(?=\d)|(?<=[DHMWdhmw])T(?=\d)", " ", bare, flags=re.IGNORECASE).strip()
    clock = re.fullmatch(r"(\d{1,2}):([0-5]\d)(?::[0-5]\d)?\s*(?:h|hrs?|hours?)?", loose, re.IGNORECASE)
    if clock is not None:
        return 60.0 * int(clock[1]) + int(clock[2]), False
    return _loose_minutes(loose), False


def _loose_minutes(text: str) -> float | None:
    total = 0.0
    last = ""
    at = 0
    while at < len(text):
        match = _LOOSE.match(text, at)
        number = None if match is None else read_number(match["number"])
        if match is None or number is None:
            return None
        unit = match["unit"][0].lower() if match["unit"] else _BELOW.get(last, "")
        if not unit or (last and _IN_MIN[unit] >= _IN_MIN[last]):
            return None
        total += number[0] * _IN_MIN[unit]
        last, at = unit, match.end()
    return round(total, 4) if last else None


_TIMES = (
    ("prepTime", "Preparation time"),
    ("cookTime", "Cooking time"),
    ("performTime", "Active time"),
    ("totalTime", "Total time"),
)


def _times(recipe: Mapping[str, Any], where: Place, faults: list[Fault]) -> tuple[list[str], float | None]:
    """What the data say of times, as notes, and the cooking time, min. No time at all is written as 0."""
    notes = []
    cook_min: float | None = None
    for key, label in _TIMES:
        for text in _duration_texts(recipe.get(key))[:1]:
            minutes, well = read_duration(text)
            if minutes is None:
                notes.append(f"{label}: {text}")
                faults.append(
                    Fault(where, f'{key} "{text[:80]}" is no length of time', "write it as in PT1H30M", False)
                )
                continue
            if minutes == 0:
                continue
            notes.append(f"{label}: {exact_number(minutes)} minutes")
            if not well:
                what = (
                    f'{key} "{text}" is not written as it should be; I read {exact_number(minutes)} minutes'
                )
                faults.append(Fault(where, what, "write it as in PT1H30M", False, "ambiguous"))
            if key == "cookTime":
                cook_min = minutes
    return notes, cook_min


def _duration_texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        return texts(_first_said(value, ("maxValue", "value", "@value", "text", "name")))
    return texts(value)
