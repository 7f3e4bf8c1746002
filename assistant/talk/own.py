"""A person's own shelf: ingredients typed off their packets, kept as files beside what they wrote there by
hand, and read by the same reader."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from assistant.formula.write import save
from assistant.rulebook.check import OF_INGREDIENTS, check
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.read import load
from assistant.talk.dialogue import Kept, Kitchen
from assistant.words.faults import Fault, Place, stopping

HEAD = "# From the packet's label, as typed. Change it freely: `crumbwright rules check` reads it.\n"
FOLDER = Path("ingredients")


@dataclass(frozen=True)
class OwnShelf:
    """The folder of a person's own rules; `kitchen_of` makes of a rulebook what a conversation stands on."""

    folder: Path
    kitchen_of: Callable[[Rulebook], Kitchen]

    def ingredients(self, book: Rulebook) -> tuple[str, ...]:
        """Ids of ingredients that stand here, by id."""
        return tuple(i for i in book.ingredients if self._is_ours(book.places[f"ingredients/{i}"]))

    def table(self, ident: str, book: Rulebook) -> Ingredient:
        """An ingredient as it is without the one of this shelf that is laid over it."""
        stands = book.places[f"ingredients/{ident}"]
        if not self._is_ours(stands):
            return book.ingredients[ident]
        without, _ = load(self.folder, instead={Path(stands.source).relative_to(self.folder): None})
        return without.ingredients.get(ident, book.ingredients[ident])

    def keep(self, entry: Mapping[str, object], book: Rulebook, anyway: bool = False) -> Kept:
        """Keep an own ingredient in a file of its own, whole or not at all.

        What the rules' reader or checks find wrong with it is told and nothing is kept; with `anyway` only
        what can't be read is refused.
        """
        import yaml

        ident = str(entry["id"])
        name = FOLDER / f"{ident}.yaml"
        stands = book.places.get(f"ingredients/{ident}")
        if stands is not None and self._is_ours(stands) and Path(stands.source) != self.folder / name:
            fault = Fault(stands, f"{ident} stands there already", "change it there", kind="not possible")
            return Kept(None, "", (fault,))
        plain = yaml.safe_dump([dict(entry)], sort_keys=False, allow_unicode=True, default_flow_style=None)
        text = HEAD + plain
        after, faults = load(self.folder, instead={name: text.encode()})
        here = str(self.folder / name)
        wrong = stopping(fault for fault in faults if fault.where.source == here)
        wrong = wrong or (() if anyway else tuple(f for f in check(after, OF_INGREDIENTS) if f.where.source == here))
        if wrong:
            return Kept(None, "", wrong)
        return self._written(name, text, after)

    def forget(self, ident: str, book: Rulebook) -> Kept:
        """Take an own ingredient off the shelf; one written by hand among others is left to the hand."""
        name = FOLDER / f"{ident}.yaml"
        path = self.folder / name
        stands = book.places.get(f"ingredients/{ident}")
        if stands is None or not self._is_ours(stands):
            what = f"{book.ingredients[ident].name} is not on your shelf"
            return Kept(None, "", (Fault(Place("as typed"), what, "my shelf lists what is", kind="not possible"),))
        if Path(stands.source) != path:
            fault = Fault(stands, f"{ident} was written there by hand", "take it out there", kind="not possible")
            return Kept(None, "", (fault,))
        after, _ = load(self.folder, instead={name: None})
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            said = f"it can't be taken away: {error.strerror or error}"
            return Kept(None, "", (Fault(Place(str(path)), said, "take the file away", kind="not possible"),))
        return Kept(self.kitchen_of(after), str(path))

    def _is_ours(self, stands: Place) -> bool:
        return Path(stands.source).is_relative_to(self.folder)

    def _written(self, name: Path, text: str, after: Rulebook) -> Kept:
        path = self.folder / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            said = f"there is no folder for it: {error.strerror or error}"
            return Kept(None, "", (Fault(Place(str(path)), said, "name another with --shelf", kind="not possible"),))
        fault = save(path, text, overwrite=True)
        return Kept(None, "", (fault,)) if fault is not None else Kept(self.kitchen_of(after), str(path))

