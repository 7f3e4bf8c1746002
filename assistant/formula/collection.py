"""Many recipes: all that a folder, a file, JSON lines or a page holds, one after another.

Two steps, so that the second can be done elsewhere: `sheets_in` goes through the files and holds one text
at a time, `recipes_on` reads what stands in it. Nothing a file holds raises: a recipe that can't be read
is found with the faults that say why, and the rest go on.
"""

import json
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from assistant.formula.card import Card
from assistant.formula.data import NotJson, card_of, loads, recipes_in_data, references
from assistant.formula.model import Formula
from assistant.formula.page import MEND, NO_RECIPE, cards_in, mended, not_json
from assistant.formula.read import (
    FORMS,
    LIMIT_BYTES,
    decoded,
    form_of,
    limit_of,
    longer,
    names_of,
    read_entry,
    read_file,
    read_text,
    system_of,
    unread,
)
from assistant.formula.resolve import Read, formula_of
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Fault, Place

DATA_LIMIT_BYTES = 64_000_000
"""JSON of many recipes is held in memory as a whole, so a longer file is refused; JSON lines have no limit."""
LINE_FORMS = (".jsonl", ".ndjson")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A text that holds one recipe or several: a file, or a line of JSON lines; or why it is not read.

    `key` names its place for good: the file, and ":line" in JSON lines. `form` is as for `read_text`.
    """

    key: str
    where: Place
    text: str
    form: str
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """One recipe: the formula, or why it is set aside; faults that don't stop only remark.

    `key` is that of its sheet, and "#number" where several stand on it.
    """

    key: str
    formula: Formula | None
    faults: tuple[Fault, ...]


def recipes_in(path: Path, book: Rulebook) -> Iterator[Found]:
    """Every recipe in a file or folder, in its order: our YAML, a text, JSON (one, a list, a graph), JSON
    lines (read line by line, whatever their length), or the data of a page."""
    for sheet in sheets_in(path):
        yield from recipes_on(sheet, book)


# -- files ----------------------------------------------------------------------------------------


def sheets_in(path: Path, without: Path | None = None) -> Iterator[Sheet]:
    """The texts of a file, or of all recipe files in a folder and those below it, by name.

    `without` is a folder below that is passed over.
    """
    if not path.is_dir():
        yield from _sheets_of_file(path)
        return
    some = False
    for each in _files_below(path, without):
        some = True
        yield from (each,) if isinstance(each, Sheet) else _sheets_of_file(each)
    if not some:
        endings = ", ".join(sorted((*FORMS, *LINE_FORMS)))
        yield _refused(path, "there is no recipe in this folder", f"name one with files in it ({endings})")


def _refused(path: Path, what: str, mend: str) -> Sheet:
    return Sheet(str(path), Place(str(path)), "", "", (Fault(Place(str(path)), what, mend),))


def _files_below(folder: Path, without: Path | None) -> Iterator[Path | Sheet]:
    """Recipe files by name, each folder once; links to folders come last, and a loop of them is said."""
    seen = set() if without is None or not without.is_dir() else {_identity(without)}
    waiting = [folder]
    linked: list[Path] = []
    while waiting or linked:
        is_link = not waiting
        here = waiting.pop() if waiting else linked.pop(0)
        try:
            identity = _identity(here)
            if identity in seen:
                if is_link:
                    yield _refused(here, "this link leads to a folder read before", "remove the link")
                continue
            seen.add(identity)
            entries = sorted(os.scandir(here), key=lambda entry: entry.name)
        except OSError as error:
            yield Sheet(str(here), Place(str(here)), "", "", (unread(error, Place(str(here))),))
            continue
        below: list[Path] = []
        for entry in entries:
            if entry.name.startswith("."):
                continue
            at = Path(entry.path)
            if at.is_dir():
                (linked if entry.is_symlink() else below).append(at)
            elif at.suffix.lower() in (*FORMS, *LINE_FORMS) and (at.is_file() or not at.exists()):
                yield at
        waiting += reversed(below)


def _identity(folder: Path) -> tuple[int, int]:
    """What tells a folder from others, whatever it is called."""
    status = folder.stat()
    return status.st_dev, status.st_ino


def _sheets_of_file(path: Path) -> Iterator[Sheet]:
    form = FORMS.get(path.suffix.lower(), "")
    if path.suffix.lower() in LINE_FORMS or (form == "json" and _holds_lines(path)):
        yield from _sheets_of_lines(path)
        return
    if form == "json" and _size_bytes(path) > DATA_LIMIT_BYTES:
        what = f"this is longer than {DATA_LIMIT_BYTES / 1e6:.0f} MB, and would fill the memory"
        yield _refused(
            path, what, "write it as JSON lines (.jsonl), one recipe a line; those may be of any length"
        )
        return
    text, faults = read_file(path, DATA_LIMIT_BYTES if form == "json" else limit_of(form))
    yield Sheet(str(path), Place(str(path)), text or "", form, faults)


def _size_bytes(path: Path) -> int:
    try:
        return path.stat().st_size
    except (OSError, ValueError):  # said when it is read
        return 0


def _holds_lines(path: Path) -> bool:
    """Whether a file called JSON is JSON lines: its first line is an object, and others follow."""
    try:
        with path.open("rb") as file:
            first = file.readline(LIMIT_BYTES)
            if not (first.startswith(b"{") and first.endswith(b"}\n") and file.readline(2).startswith(b"{")):
                return False
        return isinstance(json.loads(first), dict)
    except (OSError, ValueError, RecursionError):
        return False


def _sheets_of_lines(path: Path) -> Iterator[Sheet]:
    """JSON lines one by one; a line too long to be a recipe is passed over without being held."""
    try:
        with path.open("rb") as file:
            number = 0
            while line := file.readline(LIMIT_BYTES + 1):
                number += 1
                where, key = Place(str(path), number), f"{path}:{number}"
                if len(line) > LIMIT_BYTES:
                    while line and not line.endswith(b"\n"):
                        line = file.readline(LIMIT_BYTES)
                    yield Sheet(key, where, "", "json", (longer(where),))
                    continue
                text, faults = decoded(line, where.source)
                if text is None or text.strip():
                    said = tuple(replace(fault, where=where) for fault in faults)
                    yield Sheet(key, where, text or "", "json", said)
    except (OSError, ValueError) as error:
        yield Sheet(str(path), Place(str(path)), "", "", (unread(error, Place(str(path))),))


# -- recipes --------------------------------------------------------------------------------------


def recipes_on(sheet: Sheet, book: Rulebook) -> Iterator[Found]:
    """Every recipe in a text, in its order."""
    if sheet.faults:
        yield Found(sheet.key, None, sheet.faults)
        return
    form = sheet.form or form_of(sheet.text)
    if form == "json" and sheet.text.strip():
        yield from _in_json(sheet.text, sheet.where, sheet.key, book)
    elif form == "html" and sheet.text.strip():
        cards, faults = cards_in(sheet.text, sheet.where.source, form)
        found = [Found("", *_weighed(card, sheet.where, book)) for card in cards]
        yield from _keyed(found, sheet.key, faults)
    else:
        yield Found(sheet.key, *read_text(sheet.text, book, sheet.where.source, form))


def _in_json(text: str, where: Place, key: str, book: Rulebook) -> Iterator[Found]:
    """Recipes in a JSON text. An entry of a list that holds none is set aside, save data of other kinds
    beside a recipe."""
    try:
        values, mends = loads(text)
    except NotJson as error:
        yield Found(key, None, (not_json(error, where),))
        return
    entries = values[0] if len(values) == 1 and isinstance(values[0], list) else values
    by_id = references(values) if '"@id"' in text else {}
    typed = any(isinstance(each, dict) and "@type" in each for each in entries)
    yield from _keyed(_in_entries(entries, where, by_id, typed, book), key, mended(mends, where))


def _in_entries(
    entries: Sequence[Any], where: Place, by_id: dict[str, Any], typed: bool, book: Rulebook
) -> Iterator[Found]:
    some = False
    for entry in entries:
        if _is_ours(entry):
            some = True
            yield Found("", *read_entry(entry, where, book))
            continue
        recipes = list(recipes_in_data(entry))
        for recipe in recipes:
            some = True
            yield Found("", *_weighed(card_of(recipe, where, by_id), where, book))
        if not recipes and not typed:
            some = True
            yield Found("", None, (Fault(where, NO_RECIPE, MEND),))
    if not some:
        yield Found("", None, (Fault(where, NO_RECIPE, MEND),))


def _is_ours(entry: Any) -> bool:
    """Whether an object is a recipe in our YAML form, which is also JSON."""
    return isinstance(entry, dict) and isinstance(entry.get("lines"), list) and "name" in entry


def _weighed(card: Card, where: Place, book: Rulebook) -> Read:
    words = "\n".join(written.text for written in (*card.lines, *card.steps))
    return formula_of(card, str(where), book, names_of(book), system_of(words))


def _keyed(found: Iterable[Found], key: str, faults: tuple[Fault, ...]) -> Iterator[Found]:
    """Found recipes under their keys; one alone has the key of its place. What is said of the whole is
    said with the first."""
    waiting: Found | None = None
    number = 0
    for each in found:
        if waiting is not None:
            number += 1
            yield replace(waiting, key=f"{key}#{number}")
        waiting = replace(each, faults=(*faults, *each.faults))
        faults = ()
    if waiting is not None:
        yield replace(waiting, key=key if number == 0 else f"{key}#{number + 1}")
