"""Recipes in web pages: the data a page carries for machines (JSON-LD, microdata), else the text a person
reads.

A page is gone through once for each of these, so that half-open tags cost no more than its length.
"""

import re
from collections.abc import Iterable
from html import unescape

from assistant.formula.card import Card, read_card
from assistant.formula.data import NotJson, card_of, loads, plain_text, recipes_in_data, references
from assistant.words.faults import Fault, Place

NO_RECIPE = "it holds no schema.org Recipe"
MEND = "give the recipe as text or in our YAML form"


def read_page(text: str, source: str, form: str) -> tuple[Card | None, tuple[Fault, ...]]:
    """A card from JSON ("json") or a page ("html"): by its data for machines, else by its text.

    Of several recipes the first that has ingredients is taken, and that is said.
    """
    cards, faults = cards_in(text, source, form)
    if not cards:
        return None, faults
    card = next((each for each in cards if each.lines), cards[0])
    if len(cards) > 1:
        what = f'it holds {len(cards)} recipes; I read "{card.name}"'
        said = Fault(Place(source), what, "give the one you mean", False, "ambiguous")
        faults = (*faults, said)
    return card, faults


def cards_in(text: str, source: str, form: str) -> tuple[tuple[Card, ...], tuple[Fault, ...]]:
    """All recipes in JSON ("json") or a page ("html"), in their order, each once; with what is to be said
    of the whole. A page without data for machines is one recipe, by its text."""
    if form == "json":
        return _of_json(text, Place(source))
    cards, faults = _of_blocks(text, source)
    if not any(card.lines for card in cards):
        found = _of_microdata(text, source)
        cards = found or cards
    if not cards:
        cards = (read_card(_text_of_page(text), source),)
    return cards, faults


def _of_json(text: str, where: Place) -> tuple[tuple[Card, ...], tuple[Fault, ...]]:
    try:
        values, mends = loads(text)
    except NotJson as error:
        return (), (not_json(error, where),)
    by_id = references(values) if '"@id"' in text else {}
    cards = _once(card_of(recipe, where, by_id) for value in values for recipe in recipes_in_data(value))
    if not cards:
        return (), (Fault(where, NO_RECIPE, MEND),)
    return cards, mended(mends, where)


def not_json(error: NotJson, where: Place) -> Fault:
    """Why a text is not read as JSON; a place with a line keeps it, as that of a line of its own."""
    line = where.line if where.line is not None else error.line
    return Fault(
        Place(where.source, line), f"this is not JSON: {error.what}", "check quotes and commas there"
    )


def mended(mends: tuple[str, ...], where: Place) -> tuple[Fault, ...]:
    """What had to be put right before data could be read."""
    if not mends:
        return ()
    what = f"the data are not quite JSON; I read them without {', '.join(mends)}"
    return (Fault(where, what, "check that nothing is missing", False),)


def _once(cards: Iterable[Card]) -> tuple[Card, ...]:
    """The cards without those that repeat an earlier one: pages give a recipe in several places."""
    kept: dict[tuple[object, ...], Card] = {}
    for card in cards:
        key = (card.name, *((line.text, line.part) for line in card.lines))
        if key not in kept:
            kept[key] = card
    return tuple(kept.values())


# -- JSON-LD in pages -------------------------------------------------------------------------------


def _of_blocks(page: str, source: str) -> tuple[tuple[Card, ...], tuple[Fault, ...]]:
    where = Place(source)
    faults: list[Fault] = []
    values = []
    for block in _data_blocks(page):
        try:
            found, mends = loads(block)
        except NotJson as error:
            if "recipe" in block.lower():
                what = f"the data of this page are not JSON ({error.what}), so I went by the rest of it"
                faults.append(Fault(where, what, "check that nothing is missing", False))
            continue
        values += found
        if "recipe" in block.lower():
            faults += mended(mends, where)
    by_id = references(values) if values and "@id" in page else {}
    recipes = (recipe for value in values for recipe in recipes_in_data(value, plain=False))
    return _once(card_of(recipe, where, by_id) for recipe in recipes), tuple(faults)


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
        if "application/ld+json" in unescape(page[start:inside]).lower():
            yield page[inside:end]


# -- microdata --------------------------------------------------------------------------------------

_RECIPE_SCOPE = re.compile(r"itemtype\s*=\s*[\"']?\s*https?://(?:www\.)?schema\.org/Recipe\b", re.IGNORECASE)
_TAG_PARTS = re.compile(
    r"<(?P<close>/)?(?P<name>[a-zA-Z][a-zA-Z0-9]*)(?P<attributes>[^<>]{0,4000})>|<!--.*?-->", re.DOTALL
)
_ATTRIBUTE = re.compile(
    r"(?P<name>itemprop|itemtype|itemscope|content|datetime)\b(?:\s*=\s*"
    r"(?:\"(?P<double>[^\"]*)\"|'(?P<single>[^']*)'|(?P<bare>[^\s\"'>]+)))?",
    re.IGNORECASE,
)
_VOID = frozenset(
    ["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"]
)
_WANTED = {
    each.lower(): each
    for each in (
        "name",
        "description",
        "recipeIngredient",
        "ingredients",
        "recipeInstructions",
        "recipeYield",
        "prepTime",
        "cookTime",
        "totalTime",
    )
}


def _of_microdata(page: str, source: str) -> tuple[Card, ...]:
    """Recipes marked up in the page itself (schema.org microdata), by one pass over its tags."""
    if _RECIPE_SCOPE.search(page) is None:
        return ()
    recipes: list[dict[str, list[str]]] = []
    open_tags: list[tuple[str, str, int, bool]] = []  # name, wanted property, where its text starts, foreign
    current: dict[str, list[str]] | None = None
    depth = -1  # how many tags were open where the recipe began
    foreign = 0  # scopes of other things inside the recipe, whose names are not the recipe's
    reading = False  # inside a wanted property already
    for tag in _TAG_PARTS.finditer(page):
        name = (tag["name"] or "").lower()
        if name == "":
            continue
        if tag["close"]:
            if not any(each[0] == name for each in open_tags[-40:]):
                continue
            while open_tags:
                opened, wanted, start, other = open_tags.pop()
                foreign -= other
                if wanted and current is not None:
                    current.setdefault(wanted, []).append(page[start : tag.start()])
                    reading = False
                if opened == name:
                    break
            if len(open_tags) <= depth:
                current, depth, foreign = None, -1, 0
            continue
        marks = _marks(tag["attributes"])
        other = False
        if current is None:
            if _RECIPE_SCOPE.search(tag["attributes"]) is not None:
                current, depth = {}, len(open_tags)
                recipes.append(current)
            wanted = ""
        else:
            keys = marks["itemprop"].lower().split() if "itemprop" in marks else []
            wanted = next((_WANTED[key] for key in keys if key in _WANTED), "")
            other = "itemscope" in marks and not wanted
            if reading or foreign:
                wanted = ""
        if wanted and current is not None:
            said = marks.get("content") or marks.get("datetime")
            if said or name in _VOID:
                current.setdefault(wanted, []).append(said or "")
                wanted = ""
        if name in _VOID or tag["attributes"].endswith("/"):
            continue
        open_tags.append((name, wanted, tag.end(), other))
        foreign += other
        reading = reading or bool(wanted)
    return _once(card_of(recipe, Place(source)) for recipe in recipes)


def _marks(attributes: str) -> dict[str, str]:
    return {
        match["name"].lower(): match["double"] or match["single"] or match["bare"] or ""
        for match in _ATTRIBUTE.finditer(attributes)
    }


# -- text -------------------------------------------------------------------------------------------

_HIDDEN = ("script", "style", "head", "nav", "footer", "svg")


def _text_of_page(page: str) -> str:
    """What a person reads of a page that carries no data: its text, block by block."""
    for name in _HIDDEN:
        page = "\n".join(_around(page, name))
    lines = (re.sub(r"[ \t]+", " ", line).strip() for line in plain_text(page).splitlines())
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()
