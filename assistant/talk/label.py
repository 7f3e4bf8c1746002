"""What a person types off a packet: "per 30 g serving 170 kcal, fat 15 g, US label". Words in, figures out.

Nothing is looked up here: names of ingredients and allergens stay words. What was not understood is kept, to
be said.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from assistant.talk.english import CONVENTIONS, LABEL, by_word
from assistant.words.units import plain_marks, read_number, unit_named

_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = r"(?:kcal|kj|cal|calories|mg|g|grams?|gr)\b"
_LESS = r"(?:<|less than|under)\s*"
_HOUSEHOLD = r"(?:(?:\d+\s+)?\d+(?:[./]\d+)?\s*)?(?:cups?|tbsp|tablespoons?|tsp|teaspoons?|scoops?)\b"
_WEIGHED = rf"(?P<n>{_NUMBER})\s*(?P<u>grams?|g|ml|oz)\b"
_PER = (
    rf"(?:per|serving|portion)(?:\s+(?:size|of))*\s*(?:is|of|:)?\s*(?:(?P<h>{_HOUSEHOLD})\s*[(,=]?\s*)?"
    rf"{_WEIGHED}\)?(?:\s*\(?(?P<h2>{_HOUSEHOLD})\)?)?(?:\s*(?:serving|portion))?",
    rf"(?:(?P<h>{_HOUSEHOLD})\s*[(,=]?\s*)?{_WEIGHED}\)?\s*(?:serving|portion)",
)
_ALONE = rf"\s*(?:(?P<h>{_HOUSEHOLD})\s*[(,=]?\s*)?{_WEIGHED}\)?(?:\s*\(?(?P<h2>{_HOUSEHOLD})\)?)?\s*"
_MAY = re.compile(r"\bmay (?:also )?contain (?:traces of )?(?P<what>[^.;:\d]+)")
_CONTAINS = re.compile(r"\b(?:allergens?:?|contains?:?) (?:only )?(?P<what>[^.;:\d]+)")
_LIKE = re.compile(
    r"\b(?:(?:it is|its|it's) )?(?:like|similar to|a kind of) (?:an? |the |my )?(?P<what>[^,.;:\d]+)"
)
_HEAD = re.compile(
    r"(?:(?:this is|here is|heres|here's|add|note|enter|put|i have|ive got|i've got|use) )?(?:my(?: own)?|our|a new|new"
    r"|own) (?P<name>[^:,]+?)\s*(?:[:,]|\s-\s|\b(?:is|has|says|label|packet)\b:?|(?=\b(?:per|serving|nutrition)\b|\d))(?P<rest>.*)",
    re.DOTALL,
)
_THOUSANDS = re.compile(r"(?<=\b\d)\s(?=\d{3}\s*kj\b)")
"""The gap in "2 450 kJ"."""
_NONE = frozenset(("nothing", "nothing else", "none", "no allergen", "no allergens", "no listed allergens"))
LEAST_FIGURES = 2
"""Figures, the serving counted as one, from which a line that nobody asked for is a label."""


@dataclass(frozen=True, slots=True)
class Label:
    """What a line tells of a packet. `per` is amount and unit, `household` what that fills ("1/4 cup");
    `figures` are as printed, those of `less` printed as "less than"; None is unsaid."""

    name: str = ""
    per: tuple[float, str] | None = None
    household: tuple[float, str] | None = None
    convention: str = ""
    figures: Mapping[str, float] = field(default_factory=dict)
    less: tuple[str, ...] = ()
    like: str = ""
    contains: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] | None = None
    unread: tuple[str, ...] = ()


def read_label(text: str, wanting: str = "") -> Label | None:
    """The label in a typed line; None when it is none. `wanting` is what was asked for, "" when no packet is
    being written: then only a line that names a thing and tells several figures of it counts.

    >>> found = read_label("my almond flour: per 30 g serving 170 kcal, fat 15 g, carbs 6 g, US label")
    >>> found.name, found.per, found.convention, dict(found.figures)
    ('almond flour', (30.0, 'g'), 'us', {'energy_kcal': 170.0, 'fat_g': 15.0, 'carbohydrate_g': 6.0})
    >>> read_label("my bread took 40 minutes at 200 C")
    >>> read_label("<1", "fibre_g").less
    ('fibre_g',)
    """
    plain = _THOUSANDS.sub("", plain_marks(text).strip().rstrip("?!. ").casefold())
    head = _HEAD.fullmatch(plain)
    name = "" if head is None else head["name"].strip()
    found = _read(head["rest"] if head else plain, wanting)
    told = len(found.figures) + (found.per is not None)
    if name and told >= LEAST_FIGURES and name not in by_word(LABEL):
        said = re.search(re.escape(name), text, re.IGNORECASE)
        return replace(found, name=said.group() if said else name)
    if not wanting:
        return None
    allergens = (found.contains, found.may_contain) != (None, None)
    sure = told or found.like or allergens or (found.convention and not found.unread)
    return found if sure else None


def _read(text: str, wanting: str) -> Label:
    rest, may_contain = _listed_after(_MAY, text)
    rest, contains = _listed_after(_CONTAINS, rest)
    like = _LIKE.search(rest)
    if like is not None:
        rest = _without(rest, like)
    per = next((m for pattern in _PER if (m := re.search(pattern, rest))), None)
    if per is None and wanting == "per":
        per = re.fullmatch(_ALONE, rest)
    if per is not None:
        rest = _without(rest, per)
    rest, convention = _convention(rest)
    figures: dict[str, float] = {}
    less: list[str] = []
    alone = re.fullmatch(rf"\s*(?P<less>{_LESS})?(?P<n>{_NUMBER})\s*(?P<u>{_UNIT})?\s*", rest)
    if alone is not None and wanting in LABEL:
        _note(wanting, alone["n"], alone["u"] or "", alone["less"], figures, less)
        rest = ""
    rest = _amounts().sub(lambda m: _amount(m, figures, less), rest)
    if not convention and (figures.keys() & {"energy_kj", "salt_g"} or "of which" in text):
        convention = "eu"
    return Label(
        per=None if per is None else (_float(per["n"]), "g" if per["u"].startswith("g") else per["u"]),
        household=_household(per),
        convention=convention,
        figures=figures,
        less=tuple(less),
        like=like["what"].strip() if like is not None else "",
        contains=contains,
        may_contain=may_contain,
        unread=tuple(bit for part in re.split(r"[,;/|\n]", rest) if (bit := _meaning(part))),
    )


def _without(text: str, match: re.Match[str]) -> str:
    return text[: match.start()] + " , " + text[match.end() :]


def _listed_after(pattern: re.Pattern[str], text: str) -> tuple[str, tuple[str, ...] | None]:
    """What follows "contains", in words, with the text that is left."""
    match = pattern.search(text)
    if match is None:
        return text, None
    listed = [each.strip() for each in re.split(r",|\band\b|\bor\b|&", match["what"]) if each.strip()]
    return _without(text, match), tuple(each for each in listed if each not in _NONE)


def _convention(text: str) -> tuple[str, str]:
    """Whose label it is, and the text without the words that say so."""
    for words, convention in sorted(by_word(CONVENTIONS).items(), key=lambda each: -len(each[0])):
        match = re.search(rf"\b(?:an? |the )?{words}(?: (?:label|packet|convention|rules|style))?\b", text)
        if match is not None:
            return _without(text, match), convention
    return text, ""


def _household(per: re.Match[str] | None) -> tuple[float, str] | None:
    """The cup or spoons that the serving fills."""
    groups = {} if per is None else per.groupdict()
    said = groups.get("h") or groups.get("h2")
    read = read_number(said) if said else None
    unit = None if read is None else unit_named(read[1].strip()) or read[1].strip().rstrip("s")
    return None if read is None or not unit else (read[0], unit)


@cache
def _amounts() -> re.Pattern[str]:
    """A nutrient before its amount, an amount before its nutrient, or energy by its unit alone."""
    words = "|".join(re.escape(word) for word in sorted(by_word(LABEL), key=lambda word: -len(word)))
    return re.compile(
        rf"\b(?P<w1>{words})\b\s*[:=]?\s*(?:is |of |are )?(?P<l1>{_LESS})?(?P<n1>{_NUMBER})\s*(?P<u1>{_UNIT})?"
        rf"|(?P<n3>{_NUMBER})\s*(?P<u3>kcal|kj|cal|calories)\b"
        rf"|(?P<l2>{_LESS})?(?P<n2>{_NUMBER})\s*(?P<u2>{_UNIT})?\s*(?:of )?\b(?P<w2>{words})\b"
    )


def _amount(match: re.Match[str], figures: dict[str, float], less: list[str]) -> str:
    """Notes one amount; what labels print and nobody here counts by is left standing."""
    which = next(at for at in "123" if match[f"n{at}"])
    nutrient = "energy_kcal" if which == "3" else by_word(LABEL)[match[f"w{which}"]]
    if nutrient == "not counted":
        return match.group()
    _note(
        nutrient,
        match[f"n{which}"],
        match[f"u{which}"] or "",
        which != "3" and match[f"l{which}"],
        figures,
        less,
    )
    return " , "


def _note(
    nutrient: str, digits: str, unit: str, is_less: object, figures: dict[str, float], less: list[str]
) -> None:
    amount = _float(digits)
    if nutrient in ("energy_kcal", "energy_kj"):
        nutrient = "energy_kj" if unit == "kj" or (nutrient == "energy_kj" and not unit) else "energy_kcal"
    elif nutrient.endswith("_mg") and unit.startswith("g"):
        amount *= 1000
    elif nutrient.endswith("_g") and unit == "mg":
        amount /= 1000
    figures.setdefault(nutrient, amount)
    if is_less and nutrient not in less:
        less.append(nutrient)


def _float(digits: str) -> float:
    """A number; a comma is a decimal mark, save before three digits that end it.

    >>> _float("15,5"), _float("1,200")
    (15.5, 1200.0)
    """
    return float(digits.replace(",", "" if re.fullmatch(r"\d,\d{3}", digits) else "."))


_EMPTY = frozenset(
    (
        "a", "an", "and", "are", "each", "energy", "facts", "has", "in", "information", "is", "it", "its", "label",
        "my", "nutrition", "of", "on", "packet", "per", "says", "serving", "the", "total", "which", "with",
    )
)  # fmt: skip
"""Words of a label that tell nothing by themselves."""


def _meaning(part: str) -> str:
    """A part that was not read, less what tells nothing."""
    words = (word.strip(".") for word in re.findall(r"[^\s():]+", part))
    return " ".join(word for word in words if word and word not in _EMPTY)
