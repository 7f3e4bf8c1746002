"""Reading a formula: our YAML form, a recipe pasted as text, or the schema.org data of a page.

Every reader gives the formula and all faults at once; a fault that stops leaves no formula. What was not
understood is a fault with its place or stays in a note, never lost.

The YAML form:

    name: Seed rolls
    product: gel-bread            # id or name of a class; recognised when left out
    yield: {pieces: 8, piece: roll}
    altitude_m: 1900
    room_c: 18
    units: us                     # us, uk, metric or au: what cups and spoons hold here
    lines:
      - {ingredient: psyllium-husk, grams: 45}
      - {ingredient: egg, amount: 2, unit: each, note: beaten}
      - {name: something of the neighbour's, grams: 30, part: topping}
    steps:
      - {kind: mix, text: Stir it all together., minutes: 5, minutes_high: 8, temperature_c: 40, uses: [egg]}
    bake: {oven_c: 180, minutes: 60, minutes_low: 55, minutes_high: 65, pan: sheet, oven: still}
    note: What else there is to say.
"""

import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from errno import ELOOP
from functools import lru_cache
from math import isfinite
from pathlib import Path
from typing import Any

from assistant.formula.card import NONE, Written, read_card, read_yield
from assistant.formula.line import clean, quoted, read_line
from assistant.formula.method import PANS, Called, SoFar, bake_of, read_paragraph, sides_cm
from assistant.formula.model import MATERIALS, SHAPES, STEP_KINDS, Bake, Formula, Line, Step
from assistant.formula.page import read_page
from assistant.formula.recognise import ingredient_called, ingredients_of
from assistant.formula.resolve import (
    LINE_LIMIT_G,
    LONGEST_CHARS,
    Read,
    formula_of,
    line_faults,
    product_named,
    read_ingredient_line,
    tidy_g,
    too_long,
    too_much,
    weigh_amount,
)
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.names import Names
from assistant.words.faults import Fault, Place, stopping
from assistant.words.units import SYSTEMS, System, read_number, unit_named

LIMIT_BYTES = 1_000_000
"""A recipe is a page; anything longer was not meant to be read here."""
PAGE_LIMIT_BYTES = 10_000_000
"""Web pages carry a great deal besides their recipe; longer ones are not read."""
TYPED = "as typed"
STDIN = "-"
FORMS = {".yaml": "yaml", ".yml": "yaml", ".txt": "text", ".md": "text", ".text": "text", ".markdown": "text",
         ".json": "json", ".jsonld": "json", ".html": "html", ".htm": "html"}  # fmt: skip


def read_formula(
    path_or_text: Path | str, book: Rulebook, names: Names | None = None, system: System | None = None
) -> Read:
    """A formula from a file, from standard input ("-"), or from a text of more than one line.

    The form is told by the file's ending, for other texts by how they begin. `system` says what cups and
    spoons hold; without it British words in the text make it British, else US.
    """
    if isinstance(path_or_text, str) and "\n" in path_or_text:
        return read_text(path_or_text, book, TYPED, "", names, system)
    if path_or_text == STDIN:
        text, faults = decoded(sys.stdin.buffer.read(LIMIT_BYTES + 1), "standard input")
        return (None, faults) if text is None else read_text(text, book, "standard input", "", names, system)
    path = Path(path_or_text)
    form = FORMS.get(path.suffix.lower(), "")
    text, faults = read_file(path, limit_of(form))
    if text is None:
        return None, faults
    return read_text(text, book, str(path), form, names, system)


def limit_of(form: str) -> int:
    return PAGE_LIMIT_BYTES if form == "html" else LIMIT_BYTES


def read_file(path: Path, limit: int = LIMIT_BYTES) -> tuple[str | None, tuple[Fault, ...]]:
    """The text of a file, or why there is none."""
    where = Place(str(path))
    try:
        if path.is_dir():
            return None, (Fault(where, "this is a folder", "name a recipe file in it"),)
        with path.open("rb") as file:
            content = file.read(limit + 1)
    except (OSError, ValueError) as error:
        return None, (unread(error, where),)
    return decoded(content, str(path), limit)


def unread(error: OSError | ValueError, where: Place) -> Fault:
    """Why a file is not read."""
    if isinstance(error, FileNotFoundError):
        return Fault(where, "there is no such file", "check the name, or paste the recipe itself")
    if isinstance(error, OSError) and error.errno == ELOOP:
        return Fault(where, "this link leads back to itself", "name the file it should lead to")
    said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return Fault(where, f"the file can't be read: {said}", "check its name and your right to read it")


def longer(where: Place, limit: int = LIMIT_BYTES) -> Fault:
    """Why so much text is refused."""
    return Fault(
        where, f"this is longer than {limit / 1e6:.0f} MB, and no recipe is", "give the recipe alone"
    )


_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f]")
"""Characters no text has; a few slip in by copying."""


def decoded(content: bytes, source: str, limit: int = LIMIT_BYTES) -> tuple[str | None, tuple[Fault, ...]]:
    where = Place(source)
    if len(content) > limit:
        return None, (longer(where, limit),)
    for encoding in ("utf-16",) if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" not in text and len(_CONTROL.findall(text, 0, 4096)) <= 4:
            return text, ()
    return None, (Fault(where, "this is no text", "save the recipe as plain text (UTF-8)"),)


def read_text(
    text: str,
    book: Rulebook,
    source: str = TYPED,
    form: str = "",
    names: Names | None = None,
    system: System | None = None,
) -> Read:
    """A formula from a text; `form` is "yaml", "text", "json" or "html", or "" to see for oneself."""
    if len(text) > limit_of(form):
        return None, (longer(Place(source), limit_of(form)),)
    if not text.strip():
        return None, (Fault(Place(source), "there is nothing in it", "write or paste a recipe"),)
    known = names if names is not None else names_of(book)
    form = form or form_of(text)
    if form == "yaml":
        return _from_yaml(text, source, book, known, system)
    if form == "text":
        return formula_of(read_card(text, source), source, book, known, system or system_of(text))
    card, faults = read_page(text, source, form)
    if card is None:
        return None, faults
    formula, more = formula_of(card, source, book, known, system or system_of(text))
    return formula, (*faults, *more)


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """A rulebook told from others by being itself: its contents are too much to compare."""

    book: Rulebook

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and self.book is other.book

    def __hash__(self) -> int:
        return id(self.book)


def names_of(book: Rulebook) -> Names:
    """What a rulebook's ingredients are called; made once for each rulebook."""
    return _names(_Held(book))


@lru_cache(maxsize=4)
def _names(held: _Held) -> Names:
    return Names(held.book)


_YAML_SIGN = re.compile(r"^(?:name|lines|product|yield):(?:\s|$)", re.MULTILINE)
_BRITISH = re.compile(
    r"\b(?:gas mark|caster sugar|icing sugar|self[- ]raising|plain flour|bicarbonate of soda)\b",
    re.IGNORECASE,
)


def form_of(text: str) -> str:
    start = text.lstrip("\ufeff \t\r\n")[:1]
    if start in ("{", "["):
        return "json"
    if start == "<" or "application/ld+json" in text:
        return "html"
    return "yaml" if re.search(r"^lines:\s*$", text, re.MULTILINE) and _YAML_SIGN.search(text) else "text"


def system_of(text: str) -> System:
    return "uk" if _BRITISH.search(text) is not None else "us"


# -- YAML -----------------------------------------------------------------------------------------


class _Refused(Exception):
    """A YAML text that is not read, with the fault that says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.sentence)
        self.fault = fault


@dataclass(frozen=True)
class _Node:
    """A value of a YAML text and the line it stands on."""

    value: Any  # a scalar, a dict of str to _Node, or a list of _Node
    line: int | None


DEEPEST = 20


def _parse_yaml(text: str, source: str) -> _Node:
    import yaml

    if max((text.count(each) for each in "[{"), default=0) > 20_000:
        raise _Refused(
            Fault(Place(source), "this nests brackets as no recipe does", "write the recipe plainly")
        )
    loader = yaml.CSafeLoader(text)
    try:
        _check_depth(text, source)
        node = loader.get_single_node()
        if node is None:
            raise _Refused(Fault(Place(source), "there is nothing in it", "write or paste a recipe"))
        return _plain(node, loader, source, set())
    except yaml.YAMLError as error:
        raise _Refused(_yaml_fault(error, source)) from error
    finally:
        loader.dispose()


def _check_depth(text: str, source: str) -> None:
    import yaml

    depth = 0
    for event in yaml.parse(text, Loader=yaml.CSafeLoader):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > DEEPEST:
                line = None if event.start_mark is None else event.start_mark.line + 1
                raise _Refused(
                    Fault(Place(source, line), "this nests deeper than a recipe does", "write it plainly")
                )
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1


def _yaml_fault(error: Exception, source: str) -> Fault:
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None) or str(error).splitlines()[0]
    line = None if mark is None else mark.line + 1
    return Fault(
        Place(source, line),
        f"this is not YAML: {clean(str(problem))}",
        "check indents, quotes and brackets there",
    )


def _plain(node: Any, loader: Any, source: str, seen: set[int]) -> _Node:
    line = node.start_mark.line + 1
    if id(node) in seen:
        raise _Refused(
            Fault(Place(source, line), "a recipe repeats nothing by reference (&, *)", "write it out")
        )
    seen.add(id(node))
    if node.id == "scalar":
        return _Node(loader.construct_object(node), line)
    if node.id == "sequence":
        return _Node([_plain(each, loader, source, seen) for each in node.value], line)
    found: dict[str, _Node] = {}
    for key_node, value_node in node.value:
        key = str(_plain(key_node, loader, source, seen).value)
        if key in found:
            raise _Refused(
                Fault(
                    Place(source, key_node.start_mark.line + 1), f'"{key}" is given twice', "keep one of them"
                )
            )
        found[key] = _plain(value_node, loader, source, seen)
    return _Node(found, line)


class _Fields:
    """The fields of one entry, taken one by one; every slip is noted, what is left over is refused."""

    def __init__(self, node: _Node, source: str, what: str, faults: list[Fault]) -> None:
        self.source, self.what, self.faults, self.line = source, what, faults, node.line
        self.left: dict[str, _Node] = dict(node.value) if isinstance(node.value, dict) else {}
        if not isinstance(node.value, dict):
            self.slip(node.line, f"{what} should be written as `key: value`", "see the form of a recipe")

    def slip(self, line: int | None, what: str, mend: str, stops: bool = True) -> None:
        self.faults.append(Fault(Place(self.source, line), what, mend, stops))

    def take(self, key: str) -> _Node | None:
        node = self.left.pop(key, None)
        return None if node is None or node.value is None else node

    def text(self, key: str) -> str:
        node = self.take(key)
        if node is None:
            return ""
        if isinstance(node.value, dict | list):
            self.slip(node.line, f"{key} should be a text", f"write {key}: in words")
            return ""
        value = str(node.value)
        if len(value) > LONGEST_CHARS and key != "note":
            self.faults.append(too_long(Place(self.source, node.line)))
            return ""
        if clean_text(value) != value:
            self.slip(
                node.line,
                f"{key} holds characters that can't be printed; I left them out",
                "remove them",
                False,
            )
        return clean_text(value)

    def words(self, key: str) -> str:
        """A text on one line."""
        return " ".join(self.text(key).split())

    def number(self, key: str, low: float, high: float) -> float | None:
        node = self.take(key)
        if node is None:
            return None
        value = node.value
        if isinstance(value, str):
            taken = read_number(value)
            value = taken[0] if taken is not None and taken[1].strip() == "" else None
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            self.slip(
                node.line,
                f'{key} should be a number, and is "{clean(str(node.value))[:40]}"',
                f"write {key}: as a number",
            )
            return None
        if not low <= value <= high:
            self.slip(node.line, f"{key} is {value:g}, and runs from {low:g} to {high:g}", "check it")
            return None
        return float(value)

    def nodes(self, key: str) -> list[_Node]:
        node = self.take(key)
        if node is None:
            return []
        if not isinstance(node.value, list):
            self.slip(node.line, f"{key} should be a list", f"write each under {key}: with a dash before it")
            return []
        return node.value

    def done(self) -> None:
        for key, node in self.left.items():
            self.slip(
                node.line, f'{self.what} has no "{clean(key)[:40]}"', "remove it, or check its spelling"
            )


_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060\ufeff]")


def clean_text(text: str) -> str:
    """A text without characters that can't be printed; line ends stay, spaces at the ends go."""
    return "\n".join(line.strip() for line in _UNPRINTABLE.sub("", text).split("\n")).strip()


def _from_yaml(text: str, source: str, book: Rulebook, names: Names, system: System | None) -> Read:
    try:
        root = _parse_yaml(text, source)
    except _Refused as refused:
        return None, (refused.fault,)
    return _from_node(root, source, book, names, system)


def read_entry(entry: Any, where: Place, book: Rulebook) -> Read:
    """A formula from our YAML form, given as the values it holds: an object of JSON."""
    try:
        root = _noded(entry, where, 0)
    except _Refused as refused:
        return None, (refused.fault,)
    return _from_node(root, where.source, book, names_of(book), None)


def _noded(value: Any, where: Place, depth: int) -> _Node:
    if depth > DEEPEST:
        raise _Refused(Fault(where, "this nests deeper than a recipe does", "write it plainly"))
    if isinstance(value, list):
        value = [_noded(each, where, depth + 1) for each in value]
    elif isinstance(value, dict):
        value = {key: _noded(each, where, depth + 1) for key, each in value.items()}
    return _Node(value, where.line)


def _from_node(root: _Node, source: str, book: Rulebook, names: Names, system: System | None) -> Read:
    faults: list[Fault] = []
    fields = _Fields(root, source, "a recipe", faults)
    if faults:
        return None, (
            Fault(
                Place(source, root.line),
                "this is no recipe in our YAML form",
                "see README, or save it as .txt",
            ),
        )
    name = fields.words("name")
    kind_line = fields.left["product"].line if "product" in fields.left else root.line
    kind = fields.words("product")
    measures = fields.words("units")
    if measures and measures not in SYSTEMS:
        fields.slip(
            root.line,
            f'units are {", ".join(SYSTEMS)}, and "{measures}" is none of them',
            "write one of these",
        )
    chosen = next((each for each in SYSTEMS if each == measures), system or "us")
    pieces, piece_name = _yield_of(fields)
    unsaid = Formula("", "", ())
    altitude = fields.number("altitude_m", -450, 9000)
    room = fields.number("room_c", -10, 50)
    note, version = fields.text("note"), fields.number("version", 1, 1e9)
    lines = [_yaml_line(node, source, book, names, chosen, faults) for node in fields.nodes("lines")]
    found = ingredients_of(lines, book)
    step_nodes = fields.nodes("steps")
    steps = [_yaml_step(node, source, lines, found, faults) for node in step_nodes]
    bake_node = fields.take("bake")
    if bake_node is None:
        bake, bake_faults = bake_of(steps, [Place(source, node.line) for node in step_nodes])
        faults += bake_faults
    else:
        bake = None if bake_node.value == NONE else _yaml_bake(bake_node, source, faults)
    fields.done()
    if not name:
        faults.append(Fault(Place(source, root.line), "the recipe has no name", "write name: at its head"))
    if not lines:
        faults.append(
            Fault(Place(source, root.line), "the recipe has no lines", "write its ingredients under lines:")
        )
    formula = Formula(
        name=name,
        product="",
        lines=tuple(lines),
        steps=tuple(steps),
        bake=bake,
        pieces=pieces,
        piece_name=piece_name,
        altitude_m=unsaid.altitude_m if altitude is None else altitude,
        room_c=unsaid.room_c if room is None else room,
        note=note,
        version=unsaid.version if version is None else int(version),
    )
    product, product_faults = product_named(kind, Place(source, kind_line), formula, book)
    faults += product_faults
    if stopping(faults):
        return None, tuple(faults)
    return replace(formula, product=product), tuple(faults)


def _yield_of(fields: _Fields) -> tuple[int | None, str]:
    node = fields.take("yield")
    if node is None:
        return None, ""
    if isinstance(node.value, str | int):
        pieces, piece, faults = read_yield(str(node.value), Place(fields.source, node.line))
        fields.faults += faults
        return pieces, piece
    inner = _Fields(node, fields.source, "yield", fields.faults)
    count, piece = inner.number("pieces", 1, 10_000), inner.words("piece")
    inner.done()
    if count is not None and count != int(count):
        inner.slip(node.line, f"{count:g} is no number of pieces", "write a whole number")
    return None if count is None else int(count), piece


def _yaml_line(
    node: _Node, source: str, book: Rulebook, names: Names, system: System, faults: list[Fault]
) -> Line:
    where = Place(source, node.line)
    if isinstance(node.value, str):
        line, line_faults = read_ingredient_line(Written(node.value, where), book, names, system)
        faults += line_faults
        return line
    fields = _Fields(node, source, "a line", faults)
    called, own_name = fields.words("ingredient"), fields.words("name")
    grams = fields.number("grams", 0, float("inf"))
    amount = fields.number("amount", 0, 1e6)
    unit_written = fields.words("unit")
    note, text = fields.words("note"), fields.words("text")
    part = _part_of(fields)
    low, high = fields.number("low_g", 0, LINE_LIMIT_G), fields.number("high_g", 0, LINE_LIMIT_G)
    confidence = fields.number("confidence", 0, 1)
    fields.done()
    if low is not None or high is not None:
        low, high = grams if low is None else low, grams if high is None else high
    if not (called or own_name):
        fields.slip(node.line, "a line names no ingredient", "write ingredient: or name:")
    unit = unit_named(unit_written) if unit_written else ("each" if amount is not None else "")
    if unit is None:
        fields.slip(node.line, f'"{unit_written}" is no unit I know', "write g, ml, cup, tbsp, tsp, each ...")
        unit = ""
    if grams is not None and grams > LINE_LIMIT_G:
        faults.append(too_much(called or own_name, grams, where))
    ingredient, sure = _find(called or own_name, book, names, where, faults)
    if grams is None and amount is not None and unit:
        weighed = weigh_amount(amount, unit, ingredient, system)
        if weighed is None:
            of = called or own_name
            faults.append(Fault(where, f"how much a {unit} of {of} weighs is unknown", "write grams:", False))
        grams = tidy_g(weighed)
    elif grams is None:
        faults.append(
            Fault(
                where, f"{called or own_name} has no amount, so it counts as unknown", "write grams:", False
            )
        )
    default_name = called if ingredient is None else ingredient.name
    bare_grams = unit == "g" and amount == grams
    return Line(
        name=own_name or default_name or "?",
        ingredient=None if ingredient is None else ingredient.id,
        grams=grams,
        amount=None if bare_grams else amount,
        unit="" if bare_grams else unit,
        note=note,
        part=part,
        low_g=low,
        high_g=high,
        confidence=sure if confidence is None else confidence,
        text=text,
    )


def _find(
    called: str, book: Rulebook, names: Names, where: Place, faults: list[Fault]
) -> tuple[Ingredient | None, float]:
    """The ingredient an id or a name stands for, with how sure that is."""
    if called in book.ingredients:
        return book.ingredients[called], 1.0
    if not called:
        return None, 0.0
    parsed = read_line(f"? {quoted(called)}", names)
    faults += line_faults(parsed, where, True)
    return ingredient_called(parsed.ingredient, book), round(parsed.confidence, 3)


def _yaml_step(
    node: _Node, source: str, lines: Sequence[Line], found: Sequence[Ingredient | None], faults: list[Fault]
) -> Step:
    if isinstance(node.value, str):
        text = " ".join(clean_text(node.value).split())
        steps = read_paragraph(text, Called(lines, found), SoFar())
        return replace(steps[0], text=text) if steps else Step("other", text)
    fields = _Fields(node, source, "a step", faults)
    kind, text, part = fields.words("kind"), fields.words("text"), _part_of(fields)
    minutes, high = fields.number("minutes", 0, 1e5), fields.number("minutes_high", 0, 1e5)
    temperature = fields.number("temperature_c", -40, 500)
    uses: list[int] = []
    for used in fields.nodes("uses"):
        places = line_places(str(used.value), lines)
        if not places:
            fields.slip(
                used.line,
                f'"{clean(str(used.value))[:40]}" is none of the lines',
                "name an ingredient of the recipe",
                False,
            )
        uses += places
    fields.done()
    if part and part not in {line.part for line in lines}:
        fields.slip(node.line, f'no line is of the part "{part}"', "name a part that the lines have")
    if kind not in STEP_KINDS:
        fields.slip(node.line, f'"{kind}" is no kind of step', f"write one of: {', '.join(STEP_KINDS)}")
    return Step(kind, text, minutes, high, temperature, tuple(dict.fromkeys(uses)), part)


def _part_of(fields: _Fields) -> str:
    return " ".join(re.sub(r"[:.]", " ", fields.words("part")).lower().split())


def line_places(called: str, lines: Sequence[Line]) -> list[int]:
    """Places of the lines called so: by number ("line 3"), by id or by name; those with an id first."""
    number = re.fullmatch(r"line (\d+)", called)
    if number is not None:
        at = int(number[1]) - 1
        return [at] if 0 <= at < len(lines) else []
    by_id = [at for at, line in enumerate(lines) if line.ingredient == called]
    return by_id or [at for at, line in enumerate(lines) if line.name.lower() == called.lower()]


def _yaml_bake(node: _Node, source: str, faults: list[Fault]) -> Bake | None:
    fields = _Fields(node, source, "bake", faults)
    oven_c, minutes = fields.number("oven_c", 30, 500), fields.number("minutes", 0.1, 5000)
    low, high = fields.number("minutes_low", 0.1, 5000), fields.number("minutes_high", 0.1, 5000)
    pan, oven = fields.words("pan"), fields.words("oven")
    material, shape = fields.words("material"), fields.words("shape")
    size_cm = sides_cm(fields.words("size_cm"))
    litres, steam_min = fields.number("litres", 0.01, 30), fields.number("steam_min", 0, 60)
    fields.done()
    if material and material not in MATERIALS:
        known = ", ".join(MATERIALS)
        fields.slip(node.line, f'a pan of "{material}" is none I know', f"write one of: {known}")
        material = ""
    if shape and shape not in SHAPES:
        fields.slip(node.line, f'"{shape}" is no shape I know', f"write one of: {', '.join(SHAPES)}")
        shape = ""
    if oven and oven not in ("still", "fan"):
        fields.slip(node.line, f'an oven is "still" or "fan", and "{oven}" is neither', "write one of these")
    if pan and pan not in PANS:
        fields.slip(
            node.line, f'"{pan}" is nothing I know to bake in', f"write one of: {', '.join(sorted(PANS))}"
        )
    if oven_c is None or minutes is None:
        fields.slip(node.line, "the bake needs oven_c and minutes", "write both, or leave bake: out")
        return None
    if low is not None or high is not None:
        low, high = minutes if low is None else low, minutes if high is None else high
    return Bake(
        oven_c, minutes, low, high, pan, oven or "still", material, size_cm, litres, shape, steam_min or 0.0
    )
