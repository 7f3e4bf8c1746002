"""Where recipes are found and kept: the packaged ones, and files of a person's own."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.formula.model import Formula
from assistant.formula.read import read_formula
from assistant.formula.write import save, to_text, to_yaml
from assistant.plan.model import Assessment
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names, nearest
from assistant.words.faults import Fault, Place
from assistant.words.places import packaged

PROGRAM = "crumbwright"
TYPED = Place("as typed")
TEXT_ENDINGS = (".txt", ".text", ".md", ".markdown")
"""Endings of files that are written as plain text rather than in our YAML form."""
OPENED = (".yaml", ".yml", *TEXT_ENDINGS, ".json", ".jsonld", ".html", ".htm")


def own_folder() -> Path:
    """Folder of what the program keeps for a person (lines typed before); it need not exist yet."""
    from platformdirs import user_data_path

    return user_data_path(PROGRAM)


@cache
def _packaged() -> dict[str, Path]:
    """Packaged recipes by their full name, like `larch-hut/seed-rolls`."""
    root = packaged("scenarios")
    return {path.relative_to(root).with_suffix("").as_posix(): path for path in sorted(root.glob("*/*.yaml"))}


def packaged_names() -> tuple[str, ...]:
    """Full names of the packaged recipes."""
    return tuple(_packaged())


def packaged_recipe(name: str) -> Path | None:
    """The file of a packaged recipe, by its full name or by its own: "larch-hut/seed-rolls", "seed rolls".

    >>> packaged_recipe("Seed rolls").name, packaged_recipe("../secrets")
    ('seed-rolls.yaml', None)
    """
    known = _packaged()
    if name in known:
        return known[name]
    return next((path for path in known.values() if path.stem == slug(name)), None)


def packaged_script(name: str) -> Path | None:
    """The file of a packaged conversation, named like `no-yeast`; None when there is none."""
    found = (path for path in sorted(packaged("scenarios").glob("*/scripts/*.txt")) if path.stem == name)
    return next(found, None)


def nearest_names(name: str, known: Iterable[str]) -> tuple[str, ...]:
    """What a name that is not known may be a slip for.

    >>> nearest_names("larch-hut/sed-rolls", ["larch-hut/seed-rolls", "larch-hut/soda-bread"])
    ('larch-hut/seed-rolls',)
    """
    by_last = {each.rsplit("/", 1)[-1]: each for each in known}
    found = nearest(slug(name.rsplit("/", 1)[-1]), by_last)
    return (by_last[found],) if found else ()


def slug(name: str) -> str:
    """A name as a file is called.

    >>> slug("Quick rolls, 2nd try")
    'quick-rolls-2nd-try'
    """
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-")


@dataclass(frozen=True)
class Shelf:
    """Packaged recipes and a person's own in a folder, read with one rulebook."""

    book: Rulebook
    ingredients: Names
    folder: Path

    def names(self) -> tuple[str, ...]:
        """Names that can be opened, a person's own first."""
        own = sorted(path.stem for path in self.folder.glob("*.yaml"))
        return tuple(dict.fromkeys((*own, *(name.rsplit("/", 1)[-1] for name in packaged_names()))))

    def find(self, name: str) -> tuple[Formula | None, tuple[Fault, ...]]:
        """A recipe by the path of a file, or by its name: in the folder, then among the packaged ones."""
        path = self._path(name)
        if path is not None:
            return read_formula(path, self.book, self.ingredients)
        choices = nearest_names(name, self.names()) or self.names()
        what = f'there is no recipe called "{name}"'
        return None, (Fault(TYPED, what, "name one of these, or a file", True, "not understood", choices),)

    def _path(self, name: str) -> Path | None:
        given = Path(name).expanduser()
        if given.suffix.lower() in OPENED and given.is_file():
            return given
        own = self.folder / f"{slug(name)}.yaml"
        return own if slug(name) and own.is_file() else packaged_recipe(name)

    def save(self, formula: Formula, name: str) -> tuple[str, Fault | None]:
        """Keep a recipe in the folder, or where a path says; an older one is kept beside it with a `~`."""
        stated = Path(name).expanduser()
        if stated.parent != Path() or stated.suffix in OPENED[:2] + TEXT_ENDINGS:
            as_text = stated.suffix in TEXT_ENDINGS
            text = to_text(formula, self.book, self.ingredients) if as_text else to_yaml(formula)
            return str(stated), self._write(stated, text, keep_old=True)
        if not slug(name):
            mend = "use letters or digits"
            return "", Fault(TYPED, f'"{name}" is no name for a file', mend, kind="not possible")
        path = self.folder / f"{slug(name)}.yaml"
        return str(path), self._write(path, to_yaml(formula), keep_old=True)

    def publish(self, assessment: Assessment, form: str, locale: str) -> tuple[str, Fault | None]:
        """A card as plain text in the folder."""
        if form not in ("txt", "md") or locale != "en":
            what = f"a card as {form} in {locale} is not made in the conversation"
            return "", Fault(TYPED, what, "publish it as text", kind="not possible")
        path = self.folder / f"{slug(assessment.formula.name)}.{form}"
        text = to_text(assessment.formula, self.book, self.ingredients)
        return str(path), self._write(path, text, keep_old=False)

    def _write(self, path: Path, text: str, keep_old: bool) -> Fault | None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if keep_old and path.is_file() and path.read_bytes() != text.encode():
                path.replace(path.with_suffix(path.suffix + "~"))
        except OSError as error:
            said = error.strerror or str(error)
            mend = "save it elsewhere"
            return Fault(Place(str(path)), f"it can't be kept there: {said}", mend, kind="not possible")
        return save(path, text, overwrite=True)
