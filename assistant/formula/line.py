"""One line of an ingredient list: how much of what, and what was said besides.

Pure: text and names in, a value out. Nothing is dropped: words that are neither amount nor ingredient
stay in the note, and whatever was decided for the person (the first of two alternatives, a bracket
read per tin) is said in `remarks`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from assistant.rulebook.names import SECOND_SLIP, Match, Names
from assistant.words.units import (
    Quantity,
    System,
    exact_number,
    grams_of,
    in_g,
    in_ml,
    kind_of,
    kitchen_number,
    plain_marks,
    read_quantity,
    read_unit,
    unit_named,
)

TRUSTED = SECOND_SLIP
"""From this confidence on a name that is not written exactly as known is taken for the known one."""
WORTH_OFFERING = 0.5
"""Below this confidence a known name is no help to someone who meant another."""


@dataclass(frozen=True, slots=True)
class ParsedLine:
    """A line of an ingredient list, understood as far as it goes.

    `quantity` is what was written first, `plus` what is added to it, `also` other measures of the same,
    `stated` the masses given beside a household measure, with whether they are for one pack ("each"), for
    all of them ("all") or either ("unclear"). `measure` is the one to write again, None for bare grams.
    `ingredient` is None when no known name fits; `nearest` are then the names that come closest.
    `range_g` is a range of mass given beside a single mass. `sifted` is whether it was sifted before it was
    measured: "1 cup sifted flour", not "1 cup flour, sifted".
    """

    text: str
    name: str
    ingredient: str | None = None
    confidence: float = 1.0
    quantity: Quantity | None = None
    measure: Quantity | None = None
    also: tuple[Quantity, ...] = ()
    plus: tuple[Quantity, ...] = ()
    stated: tuple[tuple[Quantity, str], ...] = ()
    range_g: tuple[float, float] | None = None
    size: str = ""
    note: str = ""
    nearest: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    sifted: bool = False

    @property
    def amount(self) -> float | None:
        """The amount as written, everything added to it included, in `unit`; None when none was written
        or only grams were."""
        shown = self.measure
        if shown is None:
            return None
        total = shown.amount
        for more in self.plus if shown is self.quantity else ():
            total += more.amount * _ratio(more.unit, self.unit)
        return kitchen_number(total)

    @property
    def unit(self) -> str:
        """The unit of `amount`: "each" for what is counted, "" without an amount."""
        return "" if self.measure is None else self.measure.unit or "each"


def _ratio(unit: str, into: str) -> float:
    if unit == into:
        return 1.0
    if kind_of(unit) == kind_of(into) == "volume":
        return in_ml(unit) / in_ml(into)
    return in_g(unit) / in_g(into)


# -- words ----------------------------------------------------------------------------------------


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


NAME_WORDS = 12
"""A name of more words is none, and the parts of a text that long are too many to try."""
SIZES = frozenset({"small", "medium", "large", "jumbo", "extra-large", "xl"})
_STATE = _words(
    """about additional approximately at barely beaten best big blood-warm boiled boiling bottled chilled
    chopped coarsely cold cool cooled cored crumbled crushed cubed cut deseeded diced divided drained extra
    favorite favourite filtered fine-ground finely firmly free-range fresh freshly frozen generous good
    good-quality grated halved hand-hot heaped heaping homemade hot ice-cold iced just level lightly
    lightly-beaten loosely lukewarm mashed melted minced more natural of organic overripe packed peeled
    pitted pure quality quartered rinsed ripe room-temperature roughly rounded scant seeded separated shaken
    shop-bought shredded sifted sliced slightly soft softened some squeezed stirred stoned store-bought
    strained tap tepid thawed the thickly thinly tightly toasted torn trimmed unpeeled very warm washed
    well well-beaten whisked your zested"""
)
"""Words that say in what state a thing is, and not what it is."""
_MAY_MATTER = _words(
    """blanched bleached coarse dark fine full-fat golden ground light lite low-fat mild premium raw roasted
    salted strong superfine thick thin unblanched unbleached unsalted unsweetened"""
)
"""Words that may change what a thing is made of, though the thing without them is near enough to go on."""

SIFTED, SIFTED_BEFORE = "sifted", "sifted before measuring"
SIFTED_CUP = "sifted cup"
"""The measure of an ingredient that tells what a cup holds of it when it was sifted into the cup."""

_CLEAN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u2028-\u202e\u2060\ufeff]")
_BULLET = re.compile(r"^\s*(?:[-*+•●○◦▪▫■□▢☐☑✓·‣–—>]+|\[[ xX]?\])\s*(?=\S)")
_SPACES = re.compile(r"\s+")
_ABOUT = re.compile(
    r"(?:about|approx\.?|approximately|around|roughly|ca\.|circa|c\.|~|≈|up to|at least|nearly|almost|"
    r"(?:a\s+)?(?:scant|generous|heaping|heaped|rounded|level|good))\s*(?=[\d\w.])",
    re.IGNORECASE,
)
_HOW_FILLED = re.compile(
    r"\s*(\(?(?:(?:very\s+)?(?:heaping|heaped|level|rounded|scant|generous|good|big|large|small|medium|"
    r"(?:lightly |firmly |loosely |tightly |well[- ])?packed|[a-z]+-(?:sized?)))\)?)\s+(?=[a-z])",
    re.IGNORECASE,
)
_PACK = re.compile(r"\s*\(\s*([^()]*\d[^()]*)\)\s*")
_PACK_BARE = re.compile(
    r"\s*((?:\d+(?:[./]\d+)?|\d+\s+\d/\d)\s*-?\s*(?:g|kg|ml|l|oz|ounce|lb|pound|fl\.? ?oz)\b\.?)"
    r"\s*-?\s*(?=[a-z])",
    re.IGNORECASE,
)
_EQUAL = re.compile(r"\s*(?:/|=|\||,|;|\bor\b|-)\s*(?:about|approx\.?|~|≈)?\s*(?=[\d.])", re.IGNORECASE)
_PLUS = re.compile(
    r"\s*,?\s*(?:\bplus\b|\+|\band\b|&)\s*(?=[\d.]|an?\s|half\b|one\b|two\b|three\b)", re.IGNORECASE
)
_PURPOSE = re.compile(
    r"\s*[,;]?\s*\b("
    r"to taste|as needed|as required|if needed|if necessary|if desired|for (?:the |your )?\w+ing\b.*|"
    r"for (?:the )?(?:top|pan|tin|work surface|surface|bowl|garnish|hands|board)\b.*|"
    r"at room temp(?:erature)?\b.*|room temp(?:erature)?\b|"
    r"plus (?:more|extra|some|additional)\b.*|and (?:more|extra)\b.*|divided\b.*|\(?optional\)?.*|"
    r"or (?:more|less)\b.*|or as needed\b.*|or to taste|or so\b|in total\b|such as\b.*|see notes?\b.*|"
    r"cut in(?:to)?\b.*|from (?:a|one|the)\b.*|of (?:your )?(?:choice|choosing)|your choice)\s*$",
    re.IGNORECASE,
)
_LONE_UNIT = re.compile(
    r"(?:(?:an?|one)\s+)?(?:(?:generous|small|large|good|big|tiny|heaping|scant)\s+)?"
    r"(pinch|dash|drop|smidgen|handful|knob|sprig|bunch|packet|sachet|can|tin|cup|tablespoon|teaspoon|stick|slice)"
    r"(?:es|s)?\s+(?:of\s+)?(?=[a-z])",
    re.IGNORECASE,
)
_UNMEASURED = re.compile(
    r"(?:an?\s+)?(?:little\s+)?(splash|drizzle|glug|sprinkle|sprinkling|some|few|little)\s+(?:of\s+)?"
    r"(?:(sprigs|leaves|drops|slices|cloves)\s+(?:of\s+)?)?",
    re.IGNORECASE,
)
_PART_OF = re.compile(
    r"(?:the\s+)?(?:(?:grated|finely grated|freshly squeezed)\s+)?(juice|zest|rind|peel|whites?|yolks?)\s+"
    r"(?:(?:of|from)\s+(?=\S)|(?=\d))",
    re.IGNORECASE,
)
_PAIR = re.compile(r"(?P<which>between|from)\s+(?=\d)", re.IGNORECASE)
_COUNTED_TIMES = re.compile(r"\d+\s*[xX*]\s*(?=\d)")
_TIMES_THING = re.compile(r"\s*[xX]\s+(?=[a-z])", re.IGNORECASE)
_OF_A_PACK = re.compile(r"\s+of\s+an?\s+(?=\(?\d)", re.IGNORECASE)
_FRACTION_PACK = re.compile(
    r"(\d+)\s+(?=\d/\d\s*-\s*(?:oz|ounce|lb|pound)\.?\s+(?:packet|sachet|envelope|package|pkg|can|tin|bag|bar)s?\b)",
    re.IGNORECASE,
)
"""One quarter-ounce envelope, "1 1/4-oz. envelope": the hyphen binds the fraction to the ounces."""
_AND_A_PART = re.compile(r"\s+(?:and|&)\s+(?=(?:an?|one)[\s-]+(?:half|quarter|third)\b)", re.IGNORECASE)
_LESS = re.compile(r"\s*,?\s*(?:less|minus)\s+(?=[\d.]|an?\s|half\b|one\b|two\b|three\b)", re.IGNORECASE)
_OF = re.compile(
    r"^(?:of\s+(?:the\s+)?|d(?:e|i|el|ella|ell'|u|a|o)\s+(?:la\s+|l')?|d['’])(?=\S)", re.IGNORECASE
)
"""Between an amount and its thing, in the languages that say so."""
_UNIT_IN_BRACKETS = re.compile(r"\s*\(\s*([a-z]+)\.?\s*\)", re.IGNORECASE)
_FIRST_IN_BRACKETS = re.compile(r"\(([^()]*\d[^()]*)\)\s*(?=[a-z])", re.IGNORECASE)
_LAST_IN_BRACKETS = re.compile(r"(?P<name>[^()]*[a-z][^()]*)\(\s*(?P<amount>[^()]*)\)\s*$", re.IGNORECASE)
_LENGTH = re.compile(
    r"\s*\(?\d+(?:\s*\d/\d)?(?:\s*(?:-|to)\s*\d+)?\s*-?\s*(?:inch(?:es)?|in\.|cm|\")(?:\s*-?\s*(?:long|wide|square|round))?"
    r"\)?[\s-]+(?=[a-z])",
    re.IGNORECASE,
)
_SIFTED_CUP = re.compile(r"\bsifted (cups?) (?:of )?(?=[a-z])", re.IGNORECASE)
_SIZED = re.compile(r"\b(small|medium|large)-?\s?(?:sized?)\b", re.IGNORECASE)
_EACH = re.compile(
    r"\s*(each|apiece|per \w+|total|in total|altogether|drained|net|weight|by weight|without (?:the )?shells?|"
    r"shelled|peeled|pitted|trimmed|packed)\b.*$",
    re.IGNORECASE,
)
_STRICT = re.compile(
    r'^(?:(?P<grams>[\d.]+) g |\? )"(?P<name>(?:[^"]|"")+)"(?: \[(?P<id>[^\]]+)\])?'
    r"(?: \((?P<inside>[^()]*)\))?(?:; (?P<note>.*))?$"
)
_NOT_A_NUMBER = re.compile(
    r"half[- ]and[- ]half|one[- ](?!\d)[a-z]+-|\d+[- ]?(?:grain|seed)|00?\b\s*(?:flour|pizza)", re.IGNORECASE
)
_NEXT_NUMBER = re.compile(r"\s*,?\s*(?=\d)")
_PACKS = frozenset({"packet", "can", "jar", "bottle", "bag", "box", "carton", "tub", "block", "bar"})
_SMALLER = {"lb": "oz", "kg": "g", "cup": "tbsp", "tbsp": "tsp", "l": "ml", "pint": "fl oz"}
_LATER_NUMBER = re.compile(r"(?<![\w.,/])(?=[\d.])")


def tidy(text: str) -> str:
    """A line without its bullet, hidden characters and needless spaces, its own signs kept.

    >>> tidy("  • 1½\\tcups   almond flour ")
    '1½ cups almond flour'
    """
    return " ".join(_BULLET.sub("", _CLEAN.sub("", text), count=1).split())


def clean(text: str) -> str:
    """A line as one line of plain characters, its bullet taken off.

    >>> clean("  • 1½\\tcups   almond flour ")
    '1 1/2 cups almond flour'
    """
    return " ".join(plain_marks(tidy(text)).split())


_BRACKETS = str.maketrans("[]{}（）", "()()()")


def quoted(name: str) -> str:
    """A name as it stands where it is meant literally: in quotation marks, its own ones doubled.

    >>> quoted("flour 00") == '"flour 00"', quoted('a "b" c') == '"a ""b"" c"'
    (True, True)
    """
    return '"' + name.replace('"', '""') + '"'


# -- reading --------------------------------------------------------------------------------------


class _Reader:
    """What has been found of one line so far."""

    __slots__ = ("notes", "plus", "quantity", "range_g", "remarks", "sifted", "size", "stated", "written")

    def __init__(self) -> None:
        self.quantity: Quantity | None = None
        self.written: list[Quantity] = []  # further amounts that are no mass
        self.plus: list[Quantity] = []
        self.stated: list[tuple[Quantity, str]] = []
        self.range_g: tuple[float, float] | None = None
        self.size = ""
        self.sifted = False
        self.notes: list[str] = []
        self.remarks: list[str] = []

    def equal(self, quantity: Quantity, per: str) -> None:
        """The same amount, written another way."""
        if quantity.unit and kind_of(quantity.unit) == "mass":
            first = self.quantity
            if quantity.is_range and first is not None and first.unit == "g" and not first.is_range:
                self.range_g = (quantity.low, quantity.high)
            elif first is not None and first.unit == "g" and quantity.unit != "g":
                self.written.append(quantity)
            else:
                self.stated.append((quantity, per))
        else:
            self.written.append(quantity)

    def bracket(self, inside: str, packs: bool) -> None:
        """What stands in brackets: the amount again, or a remark."""
        kept: list[str] = []
        for piece in re.split(r"\s*(?:;|=|\||\s/\s|(?<=[a-z])/(?=\d)|,(?!\d)|\bor\b)\s*", inside):
            if not piece:
                continue
            found = _whole_quantity(piece)
            if found is None:
                kept.append(piece)
                continue
            quantity, tail = found
            each = (
                "each"
                if re.match(r"each|apiece|per", tail)
                else "all"
                if re.search(r"total|altogether", tail)
                else ""
            )
            self.equal(quantity, each or ("unclear" if packs else "all"))
        if kept:
            self.notes.append(
                inside if len(kept) > 1 and not self.stated and not self.written else ", ".join(kept)
            )


def _whole_quantity(piece: str) -> tuple[Quantity, str] | None:
    """A text that is a quantity and nothing else, save "each" and the like."""
    bare = _ABOUT.sub("", piece.strip(), count=1) if not piece[:1].isdigit() else piece.strip()
    found = read_quantity(bare)
    if found is None:
        return None
    quantity, rest = found
    tail = rest.strip().lower()
    if tail in SIZES:
        return quantity, ""
    if tail and _EACH.fullmatch(rest) is None:
        unit = unit_named(tail.split()[0])
        if unit is not None and kind_of(unit) == "count" and quantity.times != 1.0:
            return quantity, "all"
        return None
    return quantity, tail


def read_line(text: str, names: Names) -> ParsedLine:
    """A line of an ingredient list as amount, ingredient and notes.

    Never raises: what cannot be understood stays in `name` or `note`.
    """
    line = tidy(text)
    strict = _STRICT.match(line)
    if strict is not None:
        return _strict_line(line, strict, names)
    found = _Reader()
    plain = _SIFTED_CUP.sub(r"\1 sifted ", clean(text).translate(_BRACKETS))
    rest = _amount_first(_SIZED.sub(r"\1", plain), found)
    if found.quantity is None:
        rest = _amount_last(rest, found)
    return _finish(line, _name_part(rest, found), found, names)


def _strict_line(line: str, match: re.Match[str], names: Names) -> ParsedLine:
    """The form a writer falls back to: `168 g "name" [id] (1 1/2 cups; 160 to 176 g); note`.

    Everything in it is meant literally, so no note is made up and no name cut short.
    """
    found = _Reader()
    if match["grams"] is not None:
        grams = float(match["grams"])
        found.quantity = Quantity(grams, grams, "g")
    if match["inside"] is not None:
        found.bracket(match["inside"], packs=False)
    if found.quantity is None and found.written:
        found.quantity = found.written.pop(0)
    name = match["name"].replace('""', '"')
    ingredient, confidence, _, nearest, remarks = _resolve(match["id"] or name, names)
    parsed = _parsed(line, name, ingredient, confidence, nearest, remarks, found)
    return replace(parsed, note="" if match["note"] is None else match["note"])


def _amount_first(line: str, found: _Reader) -> str:
    """Take the amount a line begins with; returns what follows it."""
    part = _PART_OF.match(line)
    if part is not None and read_quantity(line[part.end() :]) is not None:
        rest = _amount_first(line[part.end() :], found)
        whole = re.sub(r"(?<=[a-z]{2})s$", "", rest.strip())
        return f"{whole} {part.group(1).lower()}"
    rest = line
    about = _ABOUT.match(rest)
    if about is not None:
        word = about.group().strip().lower()
        if read_quantity(rest[about.end() :]) is not None or read_unit(rest[about.end() :])[0]:
            found.notes.append(word.removeprefix("a "))
            rest = rest[about.end() :]
    if _NOT_A_NUMBER.match(rest) is not None or _LENGTH.match(rest) is not None:
        return rest
    bracketed = _FIRST_IN_BRACKETS.match(rest)
    if bracketed is not None and _whole_quantity(bracketed.group(1)) is not None:
        rest = f"{bracketed.group(1)} {rest[bracketed.end() :]}"
    pair = _PAIR.match(rest)
    if pair is not None:
        rest = rest[pair.end() :]
        rest = rest.replace(" and ", " to ", 1) if pair["which"].lower() == "between" else rest
    some = _UNMEASURED.match(rest)
    if some is not None:
        found.notes += [word.lower() for word in some.groups() if word is not None]
        return rest[some.end() :]
    fraction = _FRACTION_PACK.match(rest)
    if fraction is not None:
        rest = f"{fraction.group(1)} x {rest[fraction.end() :]}"
    taken = read_quantity(rest)
    if taken is None:
        lone = _LONE_UNIT.match(rest)
        if lone is not None:
            unit = unit_named(lone.group(1))
            assert unit is not None
            found.quantity = Quantity(1.0, 1.0, unit)
            return rest[lone.end() :]
        return rest
    counted = _COUNTED_TIMES.match(rest) is not None
    quantity, rest = taken
    if quantity.unit == "":
        times = _TIMES_THING.match(rest) or _OF_A_PACK.match(rest)
        rest = rest if times is None else " " + rest[times.end() :]
        length = _LENGTH.match(rest)
        if length is not None:
            found.notes.append(length.group().strip(" ()"))
            rest = " " + rest[length.end() :]
        quantity, rest = _unit_later(quantity, rest, found)
    if quantity.unit and kind_of(quantity.unit) != "count":
        unit, after = read_unit(rest)
        if unit in _PACKS and after.strip():
            if counted:
                found.stated.append((Quantity(quantity.low, quantity.high, quantity.unit), "each"))
                quantity = Quantity(quantity.times, quantity.times, unit)
            else:
                found.notes.append(unit)
            rest = after
    found.quantity = quantity
    return _more_amounts(rest, found)


def _unit_later(quantity: Quantity, rest: str, found: _Reader) -> tuple[Quantity, str]:
    """A unit that stands after a pack's size or after "heaping": `1 (14 oz) can`, `1 14-oz can`."""
    inside = _UNIT_IN_BRACKETS.match(rest)
    unit = None if inside is None else unit_named(inside.group(1))
    if inside is not None and unit is not None:
        return Quantity(quantity.low, quantity.high, unit, quantity.times), rest[inside.end() :]
    filled = _HOW_FILLED.match(rest)
    if filled is not None:
        unit, after = read_unit(" " + rest[filled.end() :])
        if unit:
            found.notes.append(filled.group(1).strip("()").lower())
            return Quantity(quantity.low, quantity.high, unit, quantity.times), after
    for form in (_PACK, _PACK_BARE):
        pack = form.match(rest)
        if pack is None:
            continue
        unit, after = read_unit(" " + rest[pack.end() :])
        inner = _whole_quantity(pack.group(1))
        if inner is None or inner[0].unit == "" or (form is _PACK_BARE and not unit):
            continue
        if unit and kind_of(unit) == "count":
            size = inner[0]
            if unit == "bottle" and size.unit == "oz":  # what is poured is sold by volume
                size = Quantity(size.low, size.high, "fl oz")
            found.stated.append((size, "each"))
            return Quantity(quantity.low, quantity.high, unit, quantity.times), after
    return quantity, rest


def _more_amounts(rest: str, found: _Reader) -> str:
    """The same amount again, or more of it, right after the first."""
    first = found.quantity
    assert first is not None
    while True:
        pack = _PACK.match(rest) if rest.lstrip().startswith("(") else None
        if pack is not None:
            found.bracket(pack.group(1), packs=_is_pack(first))
            rest = " " + rest[pack.end() :]
            continue
        part = _AND_A_PART.match(rest) if first.unit else None
        if part is not None:
            taken = read_quantity(rest[part.end() :])
            if taken is not None and not taken[0].unit:
                found.plus.append(Quantity(taken[0].low, taken[0].high, first.unit))
                rest = taken[1]
                continue
        more, less = _PLUS.match(rest), _LESS.match(rest)
        after = more or less
        if after is not None:
            taken = read_quantity(rest[after.end() :])
            if taken is not None and taken[0].unit and first.unit and _addable(taken[0].unit, first.unit):
                sign = 1 if more is not None else -1
                found.plus.append(Quantity(sign * taken[0].low, sign * taken[0].high, taken[0].unit))
                rest = taken[1]
                continue
        smaller = _NEXT_NUMBER.match(rest)
        if smaller is not None and not found.plus:
            taken = read_quantity(rest[smaller.end() :])
            if taken is not None and taken[0].unit and taken[0].unit == _SMALLER.get(first.unit):
                found.plus.append(taken[0])
                rest = taken[1]
                continue
        equal = _EQUAL.match(rest)
        if equal is not None and (first.unit or equal.group().strip() != "/"):
            taken = read_quantity(rest[equal.end() :])
            if taken is not None and taken[0].unit and taken[0].unit != first.unit:
                found.equal(taken[0], "unclear" if _is_pack(first) else "all")
                rest = taken[1]
                continue
        return rest


def _addable(unit: str, to: str) -> bool:
    return unit == to or (kind_of(unit) == kind_of(to) and kind_of(unit) != "count")


def _is_pack(quantity: Quantity) -> bool:
    return quantity.unit != "" and kind_of(quantity.unit) == "count"


_PINCH_LAST = re.compile(
    r"(?P<name>[a-z][^:–=]*?)\s*(?:[:–=]|\s-)\s*(?:an?\s+|one\s+)?(?:(?:good|generous|small|large)\s+)?"
    r"(?P<unit>pinch|dash|handful|knob)\b(?P<after>.*)$",
    re.IGNORECASE,
)
"""A little of something, said after its name: "salt: a pinch"."""


def _amount_last(rest: str, found: _Reader) -> str:
    """Take an amount that follows the name: `almond flour: 168 g`, `salt 5g`, `eggs x 2`, `eggs (2)`."""
    little = _PINCH_LAST.match(rest)
    if little is not None:
        found.quantity = Quantity(1.0, 1.0, little["unit"].lower())
        return little["name"] + little["after"]
    inside = _LAST_IN_BRACKETS.match(rest)
    if inside is not None:
        whole = _whole_quantity(inside["amount"])
        if whole is not None and (whole[0].unit or inside["amount"].strip().isdigit()):
            found.quantity = whole[0]
            return inside["name"].strip()
    for spot in _LATER_NUMBER.finditer(rest):
        at = spot.start()
        before = rest[:at].rstrip()
        if before == "" or before.endswith("("):
            continue
        taken = read_quantity(rest[at:])
        if taken is None:
            continue
        quantity, after = taken
        tail = after.strip()
        marked = (
            before.endswith((":", "-", "=", ",")) or re.search(r"\sx$", before, re.IGNORECASE) is not None
        )
        if not quantity.unit and not (marked and tail[:1] in ("", ",")):
            continue
        if tail and not re.match(r"[(,;/=|+]|plus\b", tail):
            continue
        found.quantity = quantity
        return (
            re.sub(r"(\s*[:=,-]|\s+x)$", "", before, flags=re.IGNORECASE)
            + " "
            + _more_amounts(after, found).strip()
        )
    return rest


def _name_part(rest: str, found: _Reader) -> str:
    """What is left once notes in brackets, after commas and of purpose are taken off."""
    packs = found.quantity is not None and _is_pack(found.quantity)

    def take(match: re.Match[str]) -> str:
        found.bracket(match.group(1).strip(), packs)
        return " "

    rest = re.sub(r"\(([^()]*)\)?", take, rest)
    rest = _SPACES.sub(" ", rest.replace(")", " ")).strip(" ,;:.*")
    if found.quantity is not None:
        rest = _OF.sub("", rest, count=1)
    rest = _plus_later(rest, found)
    purpose = _PURPOSE.search(rest)
    if purpose is not None and purpose.start() > 0:
        found.notes.insert(0, purpose.group(1).strip())
        rest = rest[: purpose.start()].strip(" ,;:")
    return rest.strip()


_PLUS_LATER = re.compile(r"\s*,?\s*(?:plus|\+)\s+(?=[\d.]|an?\s|half\b)", re.IGNORECASE)


def _plus_later(rest: str, found: _Reader) -> str:
    """Take "plus 2 tbsp" off the end: more of it, unless a purpose of its own is said ("for dusting")."""
    plus = _PLUS_LATER.search(rest)
    if plus is None or found.quantity is None or not found.quantity.unit:
        return rest
    taken = read_quantity(rest[plus.end() :])
    if taken is None or not taken[0].unit:
        return rest
    if taken[1].strip(" ,") == "" and _addable(taken[0].unit, found.quantity.unit):
        found.plus.append(taken[0])
    else:
        found.notes.append(rest[plus.start() :].strip(" ,"))
    return rest[: plus.start()]


def _finish(line: str, rest: str, found: _Reader, names: Names) -> ParsedLine:
    """Split what is left into the name and the note, and find the ingredient."""
    head, tail = _split_note(rest, names)
    found.sifted = SIFTED in head.lower().split()[:-1] or SIFTED_BEFORE in tail.lower()
    if head == "" and found.quantity is not None and found.quantity.unit and _is_pack(found.quantity):
        head = found.quantity.unit if found.quantity.amount == 1 else found.quantity.unit + "s"
        found.quantity = Quantity(found.quantity.low, found.quantity.high, "", found.quantity.times)
    if tail:
        found.notes.insert(0, tail) if not found.notes or found.notes[0] not in SIZES else found.notes.append(
            tail
        )
    for note in found.notes:  # "yeast (instant)" is instant yeast, "chocolate (70% cocoa)" 70% chocolate
        share = re.match(r"\d\d ?%", note)
        kind = note if share is None else share.group().replace(" ", "")
        if len(kind.split()) <= 2 and names.exact(f"{kind} {head}") is not None:
            head = f"{kind} {head}"
            if share is None:
                found.notes.remove(note)
            break
    unit = "" if found.quantity is None else found.quantity.unit
    if (unit in _AS_GROWN or "sprigs" in found.notes) and names.exact(f"fresh {head}") is not None:
        head = f"fresh {head}"
    if _BOTH_PARTS.search(tail) is not None:
        found.remarks.append(f"zest and juice are two things; I took it for {head} as a whole")
    ingredient, confidence, name, nearest, remarks = _resolve(head, names, found)
    if found.sifted:
        found.notes = [SIFTED_BEFORE if note.lower() == SIFTED else note for note in found.notes]
    return _parsed(line, name, ingredient, confidence, nearest, remarks, found)


_PART_TAKEN = re.compile(r"(?:finely |freshly )?(juice|zest)d$", re.IGNORECASE)
_BOTH_PARTS = re.compile(r"\b(?:zest(?:ed)? and juiced?|juiced? and zest(?:ed)?)\b", re.IGNORECASE)
_AS_GROWN = frozenset({"piece", "knob", "bunch", "sprig", "leaf", "stalk"})
"""Measures of what is fresh: a piece of ginger is no powder."""


def _split_note(rest: str, names: Names) -> tuple[str, str]:
    head, comma, tail = rest.partition(",")
    if not comma:
        head, dash, tail = rest.partition(" - ")
        if not dash:
            head, _, tail = rest.partition(";")
        return head.strip(), tail.strip()
    head, tail = head.strip(), tail.strip()
    turned = tail.partition(",")
    part = _PART_TAKEN.match(turned[0])
    if part is not None and names.exact(f"{head} {part.group(1)}") is not None:
        return f"{head} {part.group(1)}", turned[2].strip()
    if names.exact(f"{turned[0]} {head}") is not None:
        return f"{turned[0]} {head}", turned[2].strip()
    words = head.lower().split()
    if words and all(word in _STATE or word in SIZES or word in _MAY_MATTER for word in words):
        first, _, last = tail.partition(",")
        return f"{head} {first.strip()}", last.strip()
    return head, tail


_Resolved = tuple[str | None, float, str, tuple[str, ...], tuple[str, ...]]


def _resolve(phrase: str, names: Names, found: _Reader | None = None) -> _Resolved:
    """The ingredient a phrase means: (id, confidence, name, nearest names, remarks)."""
    phrase = phrase.strip(" .,:;*")
    if phrase == "":
        return None, 0.0, "", (), ()
    known = _known(phrase, names, found)
    if known is not None:
        return known
    first = _first_alternative(phrase, names)
    if first is not None:
        chosen, others = first
        known = _known(chosen, names, found)
        if known is not None:
            said = f'took {known[2]}, the first of "{phrase}"'
            if found is not None:
                found.notes.append(others)
            return known[0], known[1], known[2], known[3], (*known[4], said)
    bare = _without_state(phrase, found)
    if len(bare.split()) > NAME_WORDS:
        return None, 0.0, bare, (), ()
    matches = names.find(bare)
    nearest = tuple(match.name for match in matches[:3] if match.confidence >= WORTH_OFFERING)
    if matches and matches[0].confidence >= TRUSTED:
        best = matches[0]
        return best.id, best.confidence, bare, nearest, (f'took "{bare}" for {best.name}',)
    return None, 0.0, bare, nearest, ()


def _known(phrase: str, names: Names, found: _Reader | None) -> _Resolved | None:
    """The longest part of a phrase that is a known name, when only harmless words are left over."""
    words = phrase.split()
    if len(words) > NAME_WORDS:
        return None
    whole = names.exact(phrase)
    if whole is not None:
        return whole.id, 1.0, _without_own_state(whole, words, names, found).name, (), ()
    free = [_freedom(word) for word in words]
    spans = sorted(
        ((start, end) for start in range(len(words)) for end in range(start + 1, len(words) + 1)),
        key=lambda span: (span[0] - span[1], -span[1]),
    )
    for start, end in spans[1:]:
        outside = free[:start] + free[end:]
        if 0 in outside:
            continue
        match = names.exact(" ".join(words[start:end]))
        if match is None:
            continue
        left = " ".join(words[:start] + words[end:]).strip(" ,")
        if found is not None and left:
            _set_aside(left, found)
        if 1 in outside:
            return match.id, 0.8, match.name, (), (f'took "{phrase}" for {match.name}',)
        return match.id, 1.0, match.name, (), ()
    return None


def _without_own_state(whole: Match, words: list[str], names: Names, found: _Reader | None) -> Match:
    """A size or state at the head of a known name ("large eggs", "boiling water") is kept in the note,
    where the name without it means the same ingredient."""
    for start in range(1, len(words)):
        if _freedom(words[start - 1]) != 2:
            break
        inner = names.exact(" ".join(words[start:]))
        if inner is not None and inner.id == whole.id:
            if found is not None:
                _set_aside(" ".join(words[:start]), found)
            return inner
    return whole


def _freedom(word: str) -> int:
    """0 when a word says what a thing is, 1 when it may matter, 2 when it only says in what state."""
    bare = word.lower().strip(".,*")
    if bare in _STATE or bare in SIZES or bare == "and":
        return 2
    return 1 if bare in _MAY_MATTER else 0


def _set_aside(words: str, found: _Reader) -> None:
    """Keep words left over: a size as the size, all of them in the note."""
    for word in words.lower().split():
        if word in SIZES:
            found.size = word
    found.notes.insert(0, words)


def _without_state(phrase: str, found: _Reader | None) -> str:
    words = phrase.split()
    start, end = 0, len(words)
    while start < end - 1 and _freedom(words[start]) == 2:
        start += 1
    while end > start + 1 and _freedom(words[end - 1]) == 2:
        end -= 1
    left = " ".join(words[:start] + words[end:])
    if found is not None and left:
        _set_aside(left, found)
    return " ".join(words[start:end])


_LENT = frozenset({"zest", "juice", "peel"})
"""What two fruits share, said once: "lemon or orange zest". Butter or almond milk is no buttermilk."""
_OR = re.compile(r"\s+(?:or|and/or|and|&)\s+|\s*/\s*", re.IGNORECASE)


def _first_alternative(phrase: str, names: Names) -> tuple[str, str] | None:
    """Of "butter or margarine" the first, and the rest; "vegetable or olive oil" lends its last word."""
    between = _OR.search(phrase)
    if between is None:
        return None
    first, rest = phrase[: between.start()].strip(" ,"), phrase[between.start() :].strip()
    if not first or not phrase[between.end() :].strip():
        return None
    last = phrase.split()[-1]
    lent = f"{first} {last}"
    if names.exact(lent) is not None and (last.lower() in _LENT or _known(first, names, None) is None):
        return lent, rest
    return first, rest


def _parsed(
    line: str,
    name: str,
    ingredient: str | None,
    confidence: float,
    nearest: tuple[str, ...],
    remarks: tuple[str, ...],
    found: _Reader,
) -> ParsedLine:
    measure = found.quantity
    if measure is not None and measure.unit == "g":
        measure = found.written[0] if found.written else None
    if measure is not None and measure.is_range:
        found.notes.append(_range_text(measure))
    elif found.quantity is not None and found.quantity.is_range:
        found.notes.append(_range_text(found.quantity))
    notes = list(dict.fromkeys(note.strip(" ,;") for note in found.notes if note.strip(" ,;")))
    return ParsedLine(
        text=line,
        name=name,
        ingredient=ingredient,
        confidence=confidence,
        quantity=found.quantity,
        measure=measure,
        also=tuple(found.written),
        plus=tuple(found.plus),
        stated=tuple(found.stated),
        range_g=found.range_g,
        size=found.size,
        note=", ".join(notes),
        nearest=nearest,
        remarks=(*found.remarks, *remarks),
        sifted=found.sifted,
    )


def _range_text(quantity: Quantity) -> str:
    times = "" if quantity.times == 1.0 else f"{exact_number(quantity.times)} x "
    unit = f" {quantity.unit}" if quantity.unit else ""
    return f"{times}{exact_number(quantity.low)} to {exact_number(quantity.high)}{unit}"


# -- weighing -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Weighed:
    """Mass of a line, g, with the ends of a range; None is unknown. `remarks` say what was decided."""

    grams: float | None
    low_g: float | None = None
    high_g: float | None = None
    remarks: tuple[str, ...] = ()


def measured_as(parsed: ParsedLine, measures: Mapping[str, float]) -> tuple[float | None, str]:
    """How much of it, by the measure of the ingredient that is meant: a large egg, a cup of sifted flour.

    Errors: none; no amount where none was written.
    """
    amount, unit = parsed.amount, parsed.unit
    if amount is None and parsed.quantity is not None:
        amount, unit = parsed.quantity.amount, parsed.quantity.unit
    if parsed.size in measures:
        return amount, parsed.size
    if parsed.sifted and SIFTED_CUP in measures and amount is not None and unit and kind_of(unit) == "volume":
        return amount * _ratio(unit, "cup"), SIFTED_CUP
    return amount, unit


NOT_SIFTED = "how much less a cup holds of it once sifted is not known, so it counts as a cup unsifted"
AGREE = 0.25
"""How far a stated mass may be from what the measure gives before it is remarked upon."""


def weigh(parsed: ParsedLine, measures: Mapping[str, float], system: System = "us") -> Weighed:
    """Mass of a parsed line: as stated in the line, else by the ingredient's household measures."""
    quantity = parsed.quantity
    if quantity is None:
        return Weighed(None)
    unsifted = parsed.sifted and SIFTED_CUP not in measures and quantity.unit == "cup"
    if parsed.sifted and SIFTED_CUP in measures:
        measures = {"cup": measures[SIFTED_CUP]}
    by_measure = _by_measure(quantity, parsed.plus, parsed.size, measures, system)
    for other in parsed.also:
        if by_measure is None:
            by_measure = _by_measure(other, (), parsed.size, measures, system)
    stated = _stated(parsed, quantity, by_measure, measures, system)
    if stated is None:
        if by_measure is None:
            return Weighed(None)
        low, high = by_measure
        return _weighed(low, high, parsed, (NOT_SIFTED,) if unsifted else ())
    low, high = stated
    remarks: tuple[str, ...] = ()
    if by_measure is not None and parsed.stated:
        usual = (by_measure[0] + by_measure[1]) / 2
        if usual > 0 and abs((low + high) / 2 - usual) > AGREE * usual:
            remarks = (
                f"the line says {(low + high) / 2:.4g} g, and that measure usually weighs {usual:.4g} g",
            )
    return _weighed(low, high, parsed, remarks)


def _weighed(low: float, high: float, parsed: ParsedLine, remarks: tuple[str, ...]) -> Weighed:
    if low == high:
        ends_g = parsed.range_g if parsed.range_g is not None else (None, None)
        return Weighed(low, ends_g[0], ends_g[1], remarks)
    return Weighed((low + high) / 2, low, high, remarks)


def _by_measure(
    quantity: Quantity, plus: tuple[Quantity, ...], size: str, measures: Mapping[str, float], system: System
) -> tuple[float, float] | None:
    """Ends of the mass by an amount and all that is added to it."""
    unit = quantity.unit or "each"
    if unit == "each" and size in measures:
        one = measures[size]
        return quantity.times * quantity.low * one, quantity.times * quantity.high * one
    ends = []
    for end in (quantity.low, quantity.high):
        total = grams_of(quantity.times * end, unit, measures, system)
        if total is None:
            return None
        for more in plus:
            added = grams_of(abs(more.amount), more.unit, measures, system)
            if added is None:
                return None
            total += added if more.amount > 0 else -added
        ends.append(total)
    return ends[0], ends[1]


def _stated(
    parsed: ParsedLine,
    quantity: Quantity,
    by_measure: tuple[float, float] | None,
    measures: Mapping[str, float],
    system: System,
) -> tuple[float, float] | None:
    """Ends of the mass the line itself gives, metric before ounces; a pack's volume counts with them."""
    if quantity.unit and kind_of(quantity.unit) == "mass" and quantity.unit in ("g", "kg", "mg"):
        return by_measure
    given = sorted(parsed.stated, key=lambda each: each[0].unit in ("oz", "lb"))
    for mass, per in given:
        if mass.unit == "oz" and by_measure is not None and _is_fluid(mass, quantity, system):
            continue
        low = grams_of(mass.times * mass.low, mass.unit, measures, system)
        high = grams_of(mass.times * mass.high, mass.unit, measures, system)
        if low is None or high is None:
            continue
        packs = quantity.amount if _is_pack(quantity) or not quantity.unit else 1.0
        one = by_measure[0] / packs if by_measure is not None and packs else None
        if per == "each" or (per == "unclear" and (one is None or abs(low - one) <= abs(low - one * packs))):
            return low * packs, high * packs
        return low, high
    return None


def _is_fluid(mass: Quantity, quantity: Quantity, system: System) -> bool:
    """Whether ounces beside a volume are fluid ounces: `1 cup (8 oz) milk`."""
    if not quantity.unit or kind_of(quantity.unit) != "volume":
        return False
    volume = quantity.amount * in_ml(quantity.unit, system)
    return abs(mass.amount * in_ml("fl oz", system) - volume) <= 0.02 * volume
