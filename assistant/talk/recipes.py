"""Where recipes are found and kept: the packaged ones, and a person's own in their data directory."""

import re
from dataclasses import dataclass
from functools import cached_property
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


def own_folder() -> Path:
    """Folder of a person's own recipes and history; it need not exist yet."""
    from platformdirs import user_data_path

    return user_data_path(PROGRAM)


def slug(name: str) -> str:
    """A name as a file is called.

    >>> slug("Quick rolls, 2nd try")
    'quick-rolls-2nd-try'
    """
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-")


@dataclass(frozen=True)
class Recipes:
    """Packaged recipes and those in `folder`, read with one rulebook."""

    book: Rulebook
    ingredients: Names
    folder: Path

    @cached_property
    def _packaged(self) -> dict[str, Path]:
        root = packaged("scenarios")
        paths = sorted(root.glob("*/*.yaml"))
        return {path.stem: path for path in paths} | {
            path.relative_to(root).with_suffix("").as_posix(): path for path in paths
        }

    def names(self) -> tuple[str, ...]:
        """Names that can be opened: a person's own first."""
        own = sorted(path.stem for path in self.folder.glob("*.yaml"))
        return tuple(
            dict.fromkeys(name.replace("-", " ") for name in (*own, *self._packaged) if "/" not in name)
        )

    def find(self, name: str) -> tuple[Formula | None, tuple[Fault, ...]]:
        """A recipe by its name, or by the path of a file."""
        path = self._path(name)
        if path is None:
            known = self.names()
            near = nearest(name.casefold(), known)
            choices = (near,) if near else known[:5]
            what = f'there is no recipe called "{name}"'
            return None, (
                Fault(TYPED, what, "name one of these, or a file", True, "not understood", choices),
            )
        return read_formula(path, self.book, self.ingredients)

    def _path(self, name: str) -> Path | None:
        own = self.folder / f"{slug(name)}.yaml"
        if slug(name) and own.is_file():
            return own
        for spoken in (name.strip(), slug(name)):
            if spoken in self._packaged:
                return self._packaged[spoken]
        given = Path(name).expanduser()
        return given if given.suffix and given.is_file() else None

    def save(self, formula: Formula, name: str) -> tuple[str, Fault | None]:
        """Keep a recipe among a person's own; one of that name that stands there is kept beside it."""
        if not slug(name):
            return "", Fault(
                TYPED, f'"{name}" is no name for a file', "use letters or digits", kind="not possible"
            )
        path = self.folder / f"{slug(name)}.yaml"
        fault = self._write(path, to_yaml(formula), keep_old=True)
        return str(path), fault

    def publish(self, assessment: Assessment, form: str, locale: str) -> tuple[str, Fault | None]:
        """A card as plain text, beside a person's own recipes."""
        if form != "txt" or locale != "en":
            what = f"a card as {form} in {locale} is not made in the conversation"
            return "", Fault(TYPED, what, f"use `{PROGRAM} publish`, or publish as text", kind="not possible")
        path = self.folder / f"{slug(assessment.formula.name)}.txt"
        fault = self._write(path, to_text(assessment.formula, self.book, self.ingredients), keep_old=False)
        return str(path), fault

    def _write(self, path: Path, text: str, keep_old: bool) -> Fault | None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if keep_old and path.is_file() and path.read_text(encoding="utf-8") != text:
                path.replace(path.with_suffix(".yaml~"))
        except OSError as error:
            said = error.strerror or str(error)
            return Fault(
                Place(str(path)), f"it can't be kept there: {said}", "save it elsewhere", kind="not possible"
            )
        return save(path, text, overwrite=True)
