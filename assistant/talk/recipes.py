"""Where recipes are found and kept: packaged ones by name, a person's own by path."""

from dataclasses import dataclass
from pathlib import Path

from assistant.formula.model import Formula
from assistant.formula.read import read_formula
from assistant.formula.write import save, to_text, to_yaml
from assistant.plan.model import Assessment
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.words.faults import Fault, Place
from assistant.words.places import packaged

TEXT_ENDINGS = (".txt", ".md")


def packaged_names() -> tuple[str, ...]:
    """Names of the packaged recipes, like `larch-hut/seed-rolls`."""
    folder = packaged("scenarios")
    return tuple(sorted(str(path.relative_to(folder).with_suffix("")) for path in folder.glob("*/*.yaml")))


def packaged_recipe(name: str) -> Path | None:
    """The file of a packaged recipe, by its name with or without its scenario; None when there is none."""
    folder = packaged("scenarios")
    wanted = name.strip().casefold().replace(" ", "-").removesuffix(".yaml")
    for known in packaged_names():
        if wanted in (known, known.rpartition("/")[2]):
            return folder / f"{known}.yaml"
    return None


def packaged_script(name: str) -> Path | None:
    """The file of a packaged conversation, named like `no-yeast`; None when there is none."""
    scripts = {path.stem: path for path in sorted(packaged("scenarios").glob("*/scripts/*.txt"))}
    return scripts.get(name)


def nearest_names(name: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Known names that a misspelt one may mean."""
    from difflib import get_close_matches

    short = {k.rpartition("/")[2]: k for k in known}
    close = get_close_matches(name.rpartition("/")[2].casefold().replace(" ", "-"), list(short), 3, 0.5)
    return tuple(short[c] for c in close)


@dataclass(frozen=True, slots=True)
class Shelf:
    """Recipes that a conversation may open, and where it saves."""

    book: Rulebook
    lexicon: Names
    folder: Path

    def names(self) -> tuple[str, ...]:
        """Names that can be opened: packaged ones, and files of the folder."""
        own = sorted(p.name for p in self.folder.glob("*.yaml")) if self.folder.is_dir() else []
        return (*packaged_names(), *own)

    def find(self, name: str) -> tuple[Formula | None, tuple[Fault, ...]]:
        """A recipe by path, by file name in the folder, or by packaged name."""
        for path in (Path(name).expanduser(), self.folder / name, self.folder / f"{_filed(name)}.yaml"):
            if path.is_file():
                return read_formula(path, self.book, self.lexicon)
        packaged_path = packaged_recipe(name)
        if packaged_path is not None:
            return read_formula(packaged_path, self.book, self.lexicon)
        close = nearest_names(name, self.names())
        mend = (
            f"did you mean {' or '.join(close)}?"
            if close
            else "give a file, or one of " + ", ".join(packaged_names())
        )
        return None, (Fault(Place(name), "there is no such recipe", mend, choices=close),)

    def save(self, formula: Formula, name: str) -> tuple[str, Fault | None]:
        """Write a recipe as YAML, or as text when the name ends so; an older version of it is replaced."""
        path = Path(name).expanduser()
        if not path.suffix:
            path = self.folder / f"{_filed(name)}.yaml"
        text = to_text(formula, self.book, self.lexicon) if path.suffix in TEXT_ENDINGS else to_yaml(formula)
        fault = save(path, text, overwrite=True)
        return str(path), fault

    def publish(self, assessment: Assessment, form: str, locale: str) -> tuple[str, Fault | None]:
        """Cards are written as plain text; other forms are not made yet, and that is said."""
        if form not in ("txt", "text"):
            return "", Fault(
                Place("as typed"),
                f"a card can't be written as {form}",
                "ask for txt, or save the recipe as YAML",
                kind="not possible",
            )
        path = self.folder / f"{_filed(assessment.formula.name)}.txt"
        return str(path), save(path, to_text(assessment.formula, self.book, self.lexicon), overwrite=True)


def _filed(name: str) -> str:
    """A file's name from a recipe's: words joined by hyphens, nothing that a file system minds.

    >>> _filed("Quick seed rolls / 2")
    'quick-seed-rolls-2'
    """
    kept = "".join(c if c.isalnum() else " " for c in name.casefold())
    return "-".join(kept.split()) or "recipe"
