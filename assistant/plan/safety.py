"""The last word on safety: whether an altered recipe keeps diets and allergens, from the facts of its ingredients.

Nothing of this is shared with the search that found the recipe: what one of them gets wrong the other must
not repeat.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.formula.model import Formula
from assistant.rulebook.model import Diet, Ingredient, Rulebook


@dataclass(frozen=True, slots=True)
class Confirmation:
    """What was found, in phrases: `broken` wishes, and `doubts` that the facts can't settle: whose, and which."""

    broken: tuple[str, ...]
    doubts: tuple[tuple[str, str], ...]

    @property
    def kept(self) -> bool:
        """Whether nothing is broken; what is in doubt is said, not passed over."""
        return not self.broken

    @property
    def doubted(self) -> tuple[str, ...]:
        """The doubts, those of one kind together: "rice flour, potato starch: may contain milk"."""
        names: dict[str, list[str]] = {}
        for name, what in self.doubts:
            names.setdefault(what, []).append(name)
        return tuple(f"{', '.join(dict.fromkeys(who))}: {what}" for what, who in names.items())


def confirm(
    formula: Formula, book: Rulebook, diets: Iterable[str] = (), allergens: Iterable[str] = ()
) -> Confirmation:
    """Each diet's and allergen's standing in a recipe, line by line. Ids are the rulebook's.

    >>> from assistant.formula.model import Line
    >>> from assistant.rulebook.read import load
    >>> book, _ = load()
    >>> dough = Formula("dough", "", (Line("spelt", "spelt-flour", 200.0), Line("gran's powder", None, 5.0)))
    >>> found = confirm(dough, book, allergens=["wheat"])
    >>> found.kept, found.broken, found.doubts
    (False, ('white spelt flour contains wheat',), (("gran's powder", 'what it is made of is unknown'),))
    """
    broken: list[str] = []
    doubts: list[tuple[str, str]] = []
    wanted_away = tuple(allergens)
    kept_diets = [book.diets[d] for d in diets]
    for line in formula.lines:
        if line.grams is not None and line.grams <= 0:
            continue
        known = book.ingredients.get(line.ingredient or "")
        if known is None:
            if wanted_away or kept_diets:
                doubts.append((line.name, "what it is made of is unknown"))
            continue
        _allergens(known, wanted_away, book, broken, doubts)
        for diet in kept_diets:
            _diet(known, diet, book, broken, doubts)
    return Confirmation(tuple(dict.fromkeys(broken)), tuple(dict.fromkeys(doubts)))


def _carried(names: Iterable[str], book: Rulebook) -> set[str]:
    """Allergens with the groups that law counts them into."""
    found = set(names)
    for name in tuple(found):
        group = book.allergens[name].part_of if name in book.allergens else ""
        if group:
            found.add(group)
    return found


def _traced(known: Ingredient, book: Rulebook) -> set[str]:
    """Allergens that it may contain: who warns of gluten may mean wheat, and who warns of wheat means gluten."""
    warned = set(known.may_contain)
    return _carried(warned, book) | {each for each, law in book.allergens.items() if law.part_of in warned}


def _allergens(
    known: Ingredient, away: tuple[str, ...], book: Rulebook, broken: list[str], doubts: list[tuple[str, str]]
) -> None:
    if not away:
        return
    if known.contains is None:
        doubts.append((known.name, "what it contains is unknown"))
    inside, beside = _carried(known.contains or (), book), _traced(known, book)
    for allergen in away:
        if allergen in inside:
            broken.append(f"{known.name} contains {book.allergens[allergen].name}")
        elif allergen in beside:
            doubts.append((known.name, f"may contain {book.allergens[allergen].name}"))
        elif {known.id, known.like, *known.classes} & set(book.allergens[allergen].near):
            doubts.append((known.name, f"some count it with {book.allergens[allergen].name}"))
        elif inside & set(book.allergens[allergen].kin):
            doubts.append((known.name, f"many who react to {book.allergens[allergen].name} can't have it"))


def _diet(known: Ingredient, diet: Diet, book: Rulebook, broken: list[str], doubts: list[tuple[str, str]]) -> None:
    if known.id in diet.certified:
        doubts.append((known.name, f"suits {diet.name} only as its label certifies"))
        return
    barred = {kind: set(names) for kind, names in diet.forbids.items()}
    kinds = {known.id, *known.classes}
    for origin in known.origin:
        if origin in barred.get("origin", ()):
            broken.append(f"{known.name} comes from {origin}, which {diet.name} leaves out")
    for allergen in sorted(_carried(known.contains or (), book) & barred.get("allergen", set())):
        broken.append(f"{known.name} contains {book.allergens[allergen].name}, which {diet.name} leaves out")
    if kinds & (barred.get("class", set()) | barred.get("ingredient", set())):
        broken.append(f"{known.name} is left out of {diet.name}")
    if barred and known.contains is None:
        doubts.append((known.name, "what it contains is unknown"))
    if "unknown" in known.origin and barred.get("origin"):
        doubts.append((known.name, "where it comes from is unknown"))
    watched = set(diet.doubt_when.get("allergen", barred.get("allergen", ())))
    for allergen in sorted(_traced(known, book) & watched):
        doubts.append((known.name, f"may contain {book.allergens[allergen].name}"))
    for allergen in sorted(_carried(known.contains or (), book) & set(diet.doubt_when.get("allergen", ()))):
        doubts.append((known.name, f"contains {book.allergens[allergen].name}"))
    if kinds & {*diet.doubt_when.get("class", ()), *diet.doubt_when.get("ingredient", ())}:
        doubts.append((known.name, f"suits some who keep {diet.name}, and others not"))
