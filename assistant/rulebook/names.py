"""Finding entries of the rulebook by what people call them, in any language they are named in.

Better "not known" than a wrong guess: only what is written as some name is written, or is that name with
an obvious slip, gets a confidence to act on; everything else is a suggestion.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from unicodedata import combining, normalize

from assistant.rulebook.model import Rulebook

EXACT, STRIPPED, TURNED, USUAL = 1.0, 0.98, 0.96, 0.9
"""Confidence in a name as written, without words of preparation, with its words in another order, and in
the usual member where only a class was named."""
SLIP, SECOND_SLIP = 0.93, 0.88
"""Confidence in a name with one or two letters wrong."""
DOUBTED = 0.78
"""The most for what is no more than alike, or fits two things equally well: to be offered, not taken."""
SHOWN = 5
"""Candidates given."""
_REMEMBERED = 4096


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_PREPARATION = _words(
    """about all and at beaten big boiled boiling chilled chopped coarsely cold cool cooled cored crumbled
    crushed cubed cut deseeded diced divided drained extra fine finely firmly freshly fresh good grated
    halved homemade hot into large lightly loosely lukewarm mashed medium melted minced organic packed peeled
    pitted pure quality quartered rinsed ripe room roughly seeded shredded sifted sliced small soft
    softened stirred stoned strained tap temperature thawed thickly thinly tightly toasted torn trimmed very
    warm warmed washed well whisked your plain natural piece chunk cube slice of the some a an
    for dusting taste optional"""
)
"""Words that say in what state a thing is, how much of it, or what for."""
_QUALITY = _words("blanched golden mild premium raw roasted salted unsalted unsweetened unbleached bleached")
"""Words that may change what a thing is made of, though it is near enough without them."""
_SPELT = {
    "fiber": "fibre",
    "flavor": "flavour",
    "flavoring": "flavouring",
    "colored": "coloured",
    "litre": "liter",
}
_FLOWER = re.compile(r"(?<= )flower$")
"""What sounds like flour is taken for it at the end of a name, where nothing is called as it is written."""
_WORD = re.compile(r"[^\W_]+")


@dataclass(frozen=True, slots=True)
class Match:
    """An ingredient some words may mean, and how surely: 1 is exact. `of_class` is the class that was
    named, when it was one."""

    id: str
    name: str
    confidence: float
    of_class: str = ""


@lru_cache(maxsize=1 << 15)
def _singular(word: str) -> str:
    if len(word) <= 3 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "xes", "sses")):
        return word[:-2]
    if word.endswith(("alves", "eaves", "oaves")):
        return word[:-3] + "f"
    return word[:-1]


def plain(text: str) -> str:
    """Words without capitals, accents, marks and plurals, so that spellings compare.

    >>> plain("Crème fraîche"), plain("Baker's yeasts"), plain("All-Purpose Flour"), plain("tomatoes")
    ('creme fraiche', 'baker yeast', 'all purpose flour', 'tomato')
    """
    bare = normalize(
        "NFKD", text.casefold().replace("'s", " ").replace("’s", " ").replace("'", "").replace("’", "")
    )
    words = _WORD.findall("".join(letter for letter in bare if not combining(letter)))
    return " ".join(_singular(_SPELT.get(word, word)) for word in words)


def stripped(text: str) -> str:
    """The name without brackets, what follows a comma, and words of preparation at either end.

    >>> stripped("unsalted butter, melted"), stripped("large organic eggs"), stripped("chopped walnuts")
    ('unsalted butter', 'egg', 'walnut')
    """
    head = re.split(r"[,;(]", text, maxsplit=1)[0]
    return _trimmed(plain(head if head.strip() else text), _PREPARATION)


def _trimmed(words: str, leaving: frozenset[str]) -> str:
    kept = words.split()
    while len(kept) > 1 and kept[0] in leaving:
        del kept[0]
    while len(kept) > 1 and kept[-1] in leaving:
        del kept[-1]
    return " ".join(kept)


class Names:
    """What a rulebook's ingredients, classes, diets, products and allergens are called."""

    def __init__(self, book: Rulebook) -> None:
        self._book = book
        self._known: dict[str, tuple[Match, ...]] = {}

    def find(self, text: str) -> tuple[Match, ...]:
        """Ingredients some words may mean, surest first, ties by id; none where nothing is like it."""
        found = self._known.get(text)
        if found is None:
            if len(self._known) >= _REMEMBERED:
                self._known.clear()
            found = self._known[text] = self._sought(text)
        return found

    def exact(self, text: str) -> Match | None:
        """The one ingredient that is called exactly this, or None; never guesses, and is quick."""
        held = self._index.get(plain(text)) or self._joined.get(plain(text).replace(" ", ""))
        return self._match(held[0], EXACT) if held is not None and len(held) == 1 else None

    def class_of(self, text: str) -> str:
        """The id of the class some words name, "" for none."""
        return self._classes.get(plain(text), "")

    def diet(self, text: str) -> str:
        """The id of the diet some words name, "" for none."""
        return self._diets.get(plain(text), "")

    def product(self, text: str) -> str:
        """The id of the class of product some words name, "" for none."""
        return self._products.get(plain(text), "")

    def allergen(self, text: str) -> str:
        """The id of the allergen some words name, "" for none."""
        return self._allergens.get(plain(text), "")

    # ---- how they are found ----

    def _sought(self, text: str) -> tuple[Match, ...]:
        whole = plain(text)
        if not whole:
            return ()
        bare = stripped(text)
        for words, confidence in (
            (whole, EXACT),
            (bare, STRIPPED),
            (_trimmed(bare, _PREPARATION | _QUALITY), USUAL),
            (_FLOWER.sub("flour", bare), SLIP),
        ):
            found = self._written(words, confidence)
            if found:
                return found
        return self._like(bare)

    def _written(self, words: str, confidence: float) -> tuple[Match, ...]:
        """What is called so: one thing, or several in doubt; a class stands for its usual member."""
        held = self._index.get(words) or self._joined.get(words.replace(" ", ""))
        if held is not None:
            return self._several(held, confidence)
        class_id = self._classes.get(words)
        if class_id is not None:
            return self._of_class(class_id, min(confidence, USUAL))
        held = self._turned.get(" ".join(sorted(words.split()))) if " " in words else None
        return () if held is None else self._several(held, min(confidence, TURNED))

    def _several(self, ids: tuple[str, ...], confidence: float) -> tuple[Match, ...]:
        sure = confidence if len(ids) == 1 else min(confidence, DOUBTED)
        return tuple(self._match(each, sure) for each in ids[:SHOWN])

    def _of_class(self, class_id: str, confidence: float) -> tuple[Match, ...]:
        usual = self._book.classes[class_id].usual
        if usual in self._book.ingredients:
            return (replace(self._match(usual, confidence), of_class=class_id),)
        members = self._book.members(class_id)[:SHOWN]
        return tuple(Match(i.id, i.name, DOUBTED / 2, class_id) for i in members)

    def _match(self, ingredient_id: str, confidence: float) -> Match:
        return Match(ingredient_id, self._book.ingredients[ingredient_id].name, confidence)

    def _like(self, words: str) -> tuple[Match, ...]:
        """What is written nearly so: slips of the finger surely enough to act on, the rest as suggestions."""
        from rapidfuzz import fuzz, process

        best: dict[str, float] = {}
        for name, score, _ in process.extract(
            words, self._keys, scorer=fuzz.ratio, score_cutoff=60, limit=24
        ):
            slips = _slips(words, name)
            sure = DOUBTED * score / 100 if slips is None else SLIP if slips == 1 else SECOND_SLIP
            for each in self._index[name]:
                best[each] = max(sure, best[each]) if each in best else sure
        for at in range(1, words.count(" ") + 1):
            tail = " ".join(words.split()[at:])
            for each in self._index.get(tail, ()):
                sure = DOUBTED if " " in tail else DOUBTED / 2
                best[each] = max(sure, best[each]) if each in best else sure
        ranked = sorted(best.items(), key=lambda item: (-item[1], item[0]))[:SHOWN]
        if len(ranked) > 1 and ranked[0][1] == ranked[1][1]:
            ranked = [(each, min(sure, DOUBTED)) for each, sure in ranked]
        return tuple(self._match(each, sure) for each, sure in ranked)

    # ---- what is called how ----

    @cached_property
    def _index(self) -> Mapping[str, tuple[str, ...]]:
        """Ids by plain name. A name, plural or id goes before an alias, English before other languages."""
        ranked: dict[str, dict[str, int]] = {}
        for i in self._book.ingredients.values():
            groups = ((i.name, i.plural, i.id.replace("-", " ")), i.aliases, *i.names.values())
            for rank, names in enumerate(groups):
                for name in names:
                    ids = ranked.setdefault(plain(name), {})
                    ids[i.id] = min(rank, 2, ids.get(i.id, 2))
        ranked.pop("", None)
        return {
            name: tuple(sorted(each for each, rank in ids.items() if rank == min(ids.values())))
            for name, ids in ranked.items()
        }

    @cached_property
    def _keys(self) -> list[str]:
        return sorted(self._index)

    @cached_property
    def _joined(self) -> Mapping[str, tuple[str, ...]]:
        """Ids by name written in one word: "corn starch" is "cornstarch"."""
        return _merged((name.replace(" ", ""), ids) for name, ids in self._index.items())

    @cached_property
    def _turned(self) -> Mapping[str, tuple[str, ...]]:
        """Ids by the words of a name in any order: "sugar, brown"."""
        return _merged(
            (" ".join(sorted(name.split())), ids) for name, ids in self._index.items() if " " in name
        )

    @cached_property
    def _classes(self) -> Mapping[str, str]:
        return _named(
            (c.id, (c.id.replace("-", " "), c.name, *c.aliases)) for c in self._book.classes.values()
        )

    @cached_property
    def _diets(self) -> Mapping[str, str]:
        return _named((d.id, (d.id.replace("-", " "), d.name, *d.aliases)) for d in self._book.diets.values())

    @cached_property
    def _products(self) -> Mapping[str, str]:
        return _named(
            (p.id, (p.id.replace("-", " "), p.name, *p.aliases)) for p in self._book.products.values()
        )

    @cached_property
    def _allergens(self) -> Mapping[str, str]:
        return _named((a.id, (a.id.replace("-", " "), a.name, *a.aliases)) for a in self._book.allergens.values())


def _merged(names: Iterable[tuple[str, tuple[str, ...]]]) -> dict[str, tuple[str, ...]]:
    merged: dict[str, tuple[str, ...]] = {}
    for name, ids in names:
        merged[name] = tuple(sorted({*merged[name], *ids})) if name in merged else ids
    return merged


def _named(entries: Iterable[tuple[str, tuple[str, ...]]]) -> dict[str, str]:
    """Ids by plain name; of two entries that share one, the first by id has it."""
    found: dict[str, str] = {}
    for entry_id, names in sorted(entries):
        for name in names:
            found.setdefault(plain(name), entry_id)
    return found


def _slips(said: str, name: str) -> int | None:
    """Letters wrong between two spellings, where that can be a slip: one in a word of five letters or
    more, two in one of nine, never the first letter of a word; None where it can't."""
    from rapidfuzz.distance import OSA

    ours, theirs = said.split(), name.split()
    if len(ours) != len(theirs):
        return None
    slips = 0
    for a, b in zip(ours, theirs, strict=True):
        if a == b:
            continue
        wrong = OSA.distance(a, b)
        allowed = (
            0 if a[0] != b[0] or a.isdigit() or b.isdigit() else 2 if len(b) >= 9 else 1 if len(b) >= 5 else 0
        )
        if wrong > allowed:
            return None
        slips += wrong
    return slips if 1 <= slips <= 2 else None


def nearest(word: str, known: Iterable[str], least: float = 70.0) -> str:
    """The known word that a misspelt one comes closest to, "" when none is close (least of 100).

    >>> nearest("fiber_g", ["fibre_g", "fat_g"]), nearest("xyz", ["fibre_g"])
    ('fibre_g', '')
    """
    from rapidfuzz import fuzz, process

    found = process.extractOne(word, sorted(known), scorer=fuzz.ratio, score_cutoff=least)
    return "" if found is None else str(found[0])
