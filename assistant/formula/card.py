"""A recipe as written: title, yield, ingredient lines, method, before anything is weighed.

Plain text is read by its layout: headings where there are any, else by what each line looks like. No
line is dropped: what is neither ingredient nor step stands in the note.
"""

import re
from dataclasses import dataclass, field, replace
from html import unescape

from assistant.formula.layout import laid_out, listed
from assistant.formula.line import clean, tidy
from assistant.formula.method import any_of, heats_in, kind_of_step, times_in
from assistant.formula.parts import WHOLE
from assistant.words.faults import Fault, Place
from assistant.words.units import FOOT_M, read_number, read_quantity, read_unit


@dataclass(frozen=True, slots=True)
class Written:
    """A piece of text, where it stood, and the part of the recipe it belongs to.

    `lead` is a heading that is said with it, since it stands first under it.
    """

    text: str
    where: Place
    part: str = ""
    after_gap: bool = False  # the line before it was empty
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """A recipe as written. Empty and None are unsaid."""

    name: str = ""
    lines: tuple[Written, ...] = ()
    steps: tuple[Written, ...] = ()
    pieces: int | None = None
    piece_name: str = ""
    kind: str = ""
    altitude_m: float | None = None
    room_c: float | None = None
    oven: Written | None = None
    note: str = ""
    version: int | None = None
    cook_min: float | None = None  # in the oven or on the stove, where data say so apart from the method
    faults: tuple[Fault, ...] = ()


# -- yield ----------------------------------------------------------------------------------------

_YIELD = re.compile(
    r"^(?:this (?:recipe )?)?(?P<verb>makes|yields?|serves|servings?|portions?|quantity|produces)\b"
    r"\s*[:=-]?\s*(?P<rest>.+)$",
    re.IGNORECASE,
)
_YIELD_AFTER = re.compile(
    r"^(?P<number>\d+(?:\s*-\s*\d+)?)\s+(?P<word>servings?|portions?)\.?$", re.IGNORECASE
)
_SIZE = re.compile(
    r"^(?:\(?\d+(?:[.,/]\d+)?\s*-?\s*(?:inch|in|cm|g|gram|kg|oz|ounce|lb|pound)\b\.?\)?[\s-]*"
    r"|(?:large|small|medium|big|good-sized)\s+)+",
    re.IGNORECASE,
)
_IRREGULAR = {"loaves": "loaf", "halves": "half"}
_IN_E = frozenset(
    {
        "cookie",
        "brownie",
        "pie",
        "blondie",
        "smoothie",
        "slice",
        "cake",
        "scone",
        "bite",
        "square",
        "wedge",
        "piece",
    }
)
"""Names of pieces that end in e, whose plural a rule for -es and -ies would get wrong."""


def singular(word: str) -> str:
    """One of several pieces.

    >>> singular("rolls"), singular("loaves"), singular("sandwiches"), singular("slices")
    ('roll', 'loaf', 'sandwich', 'slice')
    """
    last = word.split(" ")[-1]
    if last in _IRREGULAR:
        one = _IRREGULAR[last]
    elif last[:-1] in _IN_E:
        one = last[:-1]
    elif re.search(r"(?:ch|sh|ss|x)es$", last):
        one = last[:-2]
    elif last.endswith("ies") and len(last) > 4:
        one = last[:-3] + "y"
    elif last.endswith("s") and not last.endswith("ss") and len(last) > 3:
        one = last[:-1]
    else:
        one = last
    return word[: len(word) - len(last)] + one


def plural(word: str) -> str:
    """Several pieces.

    >>> plural("roll"), plural("loaf"), plural("sandwich"), plural("pastry"), plural("cookie")
    ('rolls', 'loaves', 'sandwiches', 'pastries', 'cookies')
    """
    for many, one in _IRREGULAR.items():
        if word == one or word.endswith(" " + one):
            return word[: len(word) - len(one)] + many
    if re.search(r"(?:ch|sh|ss|x)$", word):
        return word + "es"
    if re.search(r"[^aeiou]y$", word):
        return word[:-1] + "ies"
    return word + "s"


MOST_PIECES = 10_000
"""More pieces than a recipe makes."""


def read_yield(text: str, where: Place) -> tuple[int | None, str, tuple[Fault, ...]]:
    """Pieces and what one is called, from what follows "makes" or "serves".

    >>> [read_yield(text, Place("as typed"))[:2] for text in ("8 rolls", "about 2 dozen cookies")]
    [(8, 'roll'), (24, 'cookie')]
    >>> read_yield("one 9-inch loaf (12 slices)", Place("as typed"))[:2]
    (1, 'loaf')
    """
    bare = re.sub(
        r"^(?:about|approx\w*\.?|around|roughly|~|up to|at least)\s*", "", clean(text), flags=re.IGNORECASE
    )
    bare = re.sub(r"\s*\([^()]*\)?", "", bare).strip(" .")
    taken = None if re.match(r"an? (?:lot|few)\b", bare) else read_number(bare)
    if taken is None:
        return (
            None,
            "",
            (
                Fault(
                    where,
                    f'"{bare}" does not say how many pieces it makes',
                    "write a number of pieces",
                    False,
                ),
            ),
        )
    low, rest = taken
    dozen = re.match(r"\s*dozen\b", rest, re.IGNORECASE)
    if dozen is not None:
        low, rest = 12 * low, rest[dozen.end() :]
    ends = re.match(r"\s*(?:-|to|or)\s*", rest)
    second = read_number(rest[ends.end() :]) if ends is not None else None
    high = low
    if second is not None and second[0] > low:
        high, rest = second
    if re.match(r"\s*-?\s*(?:inch|in\b|cm|g\b|kg\b|oz\b|lb\b|pound|ounce|ml\b|l\b)", rest, re.IGNORECASE):
        low = high = 1.0
        rest = bare
    rest = re.sub(r"^\s*x\s+(?=\w)", "", rest)
    rest = re.split(r"[|•·]", rest)[0]
    words = _SIZE.sub("", rest.strip()).strip(" ,.").split(",")[0]
    name = re.sub(r"\s+(?:of|with|for)\b.*$", "", words.strip())
    middle = int((low + high) / 2 + 0.5)
    if middle < 1 or middle > MOST_PIECES or (low == high and low != int(low)):
        return None, "", (Fault(where, f"{low:g} is no number of pieces", "write a whole number", False),)
    faults: tuple[Fault, ...] = ()
    if low != high:
        faults = (
            Fault(
                where,
                f"it makes {low:g} to {high:g}; I count {middle}",
                "write one number",
                False,
                "ambiguous",
            ),
        )
    return middle, singular(name.lower()), faults


# -- plain text -----------------------------------------------------------------------------------

_INGREDIENTS = any_of(
    r"""
    ^(?:the\s+)?ingredients?(?:\s+list)?(?:\s*\(.*\))?$
    ^what you(?:['’]?ll| will)? need$
    ^you(?: will|['’]?ll)? need$
    ^shopping list$
    """
)
_METHOD = any_of(
    r"""
    ^(?:the\s+)?(?:method|directions?|instructions?|steps?|preparation|procedure|process)$
    ^how to (?:make|bake)(?: it)?.*$
    ^(?:to make|what to do)$
    """
)
_NOTES = any_of(
    r"""
    ^(?:(?:cook|baker|chef|recipe|my)(?:['’]?s)?\s+)?(?:notes?|tips?|storage|remarks?|comments?)$
    ^nutrition(?: facts)?$
    """
)
_LABEL = re.compile(
    r"^(?P<label>title|recipe|name|piece|kind|product|altitude|baked at|room|room temperature|oven|bake|note|"
    r"version|(?:prep|preparation|cook|cooking|bake|baking|total|rest|resting|rising|active) time|difficulty|"
    r"author|source|by|cuisine|course|category|keywords?|tags?)\s*:\s*(?P<value>.*)$",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"^(?:step\s*)?(\d{1,2})\s*(?:[.):]|\s-)\s+(?=\D)", re.IGNORECASE)
_STEP_NUMBER = re.compile(r"^(?:step\s*)?\d{1,3}\s*[.):]\s+", re.IGNORECASE)
_STEP_WORD = re.compile(r"^step\s*\d{1,2}\s*:?$", re.IGNORECASE)
_PART = re.compile(
    r"^for\s+(?:the\s+|an?\s+)?(?P<part>[^:.]{2,40}?)\s*:?$|"
    r"^(?:the\s+)?(?P<plain>[^:.\d]{2,40}?)\s*:$|"
    r"^to\s+(?P<end>finish|serve|decorate|top|glaze|garnish)\s*:?$",
    re.IGNORECASE,
)
NONE = "none"
"""What the oven line of a recipe says that is not baked."""
_MARKDOWN = re.compile(
    r"^\s*(?:#{1,6}\s+(?P<heading>.*?)\s*#*|\*\*(?P<bold>[^*]+)\*\*:?|__(?P<under>[^_]+)__:?)\s*$"
)
_RULE = re.compile(r"^\s*([-=*_~])(?:\s*\1){2,}\s*$")
_BULLETED = re.compile(r"^\s*(?:[*•●○◦▪▫■□▢☐☑✓·‣]\s*|[-+–]\s+|\[[ xX]?\]\s*)")


@dataclass
class _Layout:
    """What has been read so far, line by line."""

    source: str
    section: str = "top"
    part: str = ""
    name: str = ""
    explicit: bool = False  # the text has a heading for its ingredients
    method_named: bool = False  # and one for its method
    last_amount: int = 0  # the last line that begins with a measured amount, from 1
    numbered: bool = False  # steps carry numbers, so that a line without one goes on with the last
    gap: bool = True  # the line before was empty
    following: str = ""  # the line after
    lead: str = ""  # a heading inside the method, said with the step after it
    step_part: str = ""  # the part that this heading names, for all the steps under it
    lines: list[Written] = field(default_factory=list)
    steps: list[Written] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    labels: dict[str, Written] = field(default_factory=dict)
    yields: tuple[int | None, str] = (None, "")
    faults: list[Fault] = field(default_factory=list)


def read_card(text: str, source: str) -> Card:
    """A recipe in plain text or Markdown as a card.

    >>> text = "Hut rolls\\nMakes 8 rolls\\n\\n500 g flour\\n350 g water\\n\\n1. Mix. \\n2. Bake at 220 C."
    >>> card = read_card(text, "as typed")
    >>> card.name, card.pieces, [line.text for line in card.lines], [step.text for step in card.steps]
    ('Hut rolls', 8, ['500 g flour', '350 g water'], ['Mix.', 'Bake at 220 C.'])
    """
    numbered, faults = laid_out(text, source)
    raw = [line for _, line in numbered]
    layout = _Layout(source, faults=[*faults])
    headings = [_heading(line) for line in raw]
    layout.explicit = any(_INGREDIENTS.match(each) or _INLINE.match(each) for each in headings)
    layout.method_named = any(_METHOD.match(each) for each in headings)
    layout.last_amount = max((at for at, line in numbered if _measured(line)), default=0)
    for at, (number, line) in enumerate(numbered):
        layout.following = raw[at + 1] if at + 1 < len(raw) else ""
        _take(line, number, layout)
    return _card(layout)


def _measured(raw: str) -> bool:
    quantity = read_quantity(tidy(raw)) if len(raw) < 140 else None
    return quantity is not None and quantity[0].unit != ""


def _heading(line: str) -> str:
    markdown = _MARKDOWN.match(line)
    if markdown is not None:
        line = next(group for group in markdown.groups() if group is not None)
    return tidy(unescape(line)).rstrip(":").strip()


def _take(raw: str, number: int, layout: _Layout) -> None:
    if _RULE.match(raw):
        return
    raw = _row(unescape(raw), layout.section)
    line = tidy(raw)
    if line == "":
        layout.gap = True
        return
    where = Place(layout.source, number)
    inline = _INLINE.match(line) or _INLINE_METHOD.match(line)
    if inline is not None and layout.section != "notes":
        _new_section(inline["heading"], layout)
        for text in _SEVERAL.split(inline["rest"]) if layout.section == "ingredients" else (inline["rest"],):
            _take(text, number, layout)
        return
    heading = _heading(raw)
    marked = _MARKDOWN.match(raw) is not None
    if _new_section(heading, layout) or _labelled(line, where, layout) or _yielded(line, where, layout):
        layout.gap = False
        return
    several = listed(line) if layout.section in ("top", "ingredients") and not marked else [line]
    if len(several) > 1:
        for text in several:
            _take(text, number, layout)
        return
    taker = {"top": _take_top, "ingredients": _take_ingredient, "method": _take_step}.get(layout.section)
    if taker is None:
        layout.notes.append(line)
    else:
        taker(raw, line, heading if marked else "", where, layout)
    layout.gap = False


_INLINE = any_of(r"^(?P<heading>ingredients?|you(?: will|['’]?ll)? need)\s*:\s*(?P<rest>\S.*)$")
_INLINE_METHOD = any_of(r"^(?P<heading>method|directions?|instructions?|procedure)\s*:\s*(?P<rest>\S.*)$")
_SEVERAL = any_of(r"[,;]\s+(?=[\d½⅓⅔¼¾⅛⅜]|an?\s|half\b|one\b|two\b|pinch\b)")
"""Where one ingredient of a list in a single line ends and the next begins."""
_CELLS = re.compile(r"\s*[|\t]\s*")
_SHARE = re.compile(r"[\d.,]+\s*%")
_TABLE_RULE = re.compile(r"^[\s|:+-]+$")


def _row(raw: str, section: str) -> str:
    """A row of a table as a line: the name, then its amounts. Heads, rules and shares say nothing new."""
    table = raw.lstrip().startswith("|") or "\t" in raw.strip()
    if not table or section in ("method", "notes"):
        return raw
    if _TABLE_RULE.match(raw):
        return ""
    cells = [cell for cell in _CELLS.split(raw.strip().strip("|").strip()) if cell]
    if len(cells) < 2:
        return raw
    if not any(any(letter.isdigit() for letter in cell) for cell in cells):
        return "" if raw.strip().startswith("|") else " ".join(cells)
    cells = [cell for cell in cells if _SHARE.fullmatch(cell) is None]
    if read_number(cells[0]) is not None or len(cells) < 2:
        return " ".join(cells)
    if len(cells[0]) > 40:
        return raw
    first, *others = cells[1:]
    return f"{first} {cells[0]}" + (f" ({'; '.join(others)})" if others else "")


def _new_section(heading: str, layout: _Layout) -> bool:
    for section, pattern in (("ingredients", _INGREDIENTS), ("method", _METHOD), ("notes", _NOTES)):
        if pattern.match(heading):
            layout.section, layout.part, layout.lead, layout.step_part = section, "", "", ""
            return True
    return False


_FREE_LABELS = ("title", "recipe", "name")


def _labelled(line: str, where: Place, layout: _Layout) -> bool:
    label = _LABEL.match(line)
    if label is None or (layout.section in ("ingredients", "method") and not label["value"]):
        return False
    key, value = label["label"].lower(), label["value"].strip()
    if key != "note" and (
        layout.section == "notes" or (key in ("bake", "by") and layout.section == "method")
    ):
        return False
    if key in _FREE_LABELS and not layout.name:
        layout.name = value
    elif key in (
        "piece",
        "kind",
        "product",
        "altitude",
        "baked at",
        "room",
        "room temperature",
        "oven",
        "version",
        "bake",
    ):
        layout.labels[key] = Written(value, where)
    elif key == "note":
        layout.notes.append(value)
    else:
        layout.notes.append(line)
    return True


def _yielded(line: str, where: Place, layout: _Layout) -> bool:
    if layout.section == "notes" or len(line) > (50 if layout.section == "method" else 90):
        return False
    made = _YIELD.match(line)
    after = _YIELD_AFTER.match(line)
    if made is None and after is None:
        return False
    text = (
        after["number"] + " " + after["word"]
        if after is not None
        else made["rest"]
        if made is not None
        else ""
    )
    pieces, name, faults = read_yield(text, where)
    verb = made["verb"].lower() if made is not None else "serves"
    if not name and (verb.startswith(("serv", "portion"))):
        name = "serving"
    if layout.yields[0] is None:
        layout.yields = (pieces, name)
        layout.faults += faults
    else:
        layout.notes.append(line)
    return True


_SPOONFUL = any_of(
    r"^(?:an? )?(?:generous |small |large |good )?(?:pinch|dash|handful|knob|splash|sprinkle)\b"
)
_TO_TASTE = any_of(r"\bto taste\b")
_ENDS_IN_AMOUNT = any_of(
    r"(?:[:–=-]\s*|\s)(?:\d[\d.,/ ]*|[½⅓⅔¼¾⅛])\s*(?:g|kg|ml|dl|l|cups?|tbsps?|tsps?|oz|lbs?)\b\.?"
    r"(?: \([^()]*\))?$"
)
_NOT_OF_FOOD = any_of(r"\s*(?:minutes?|hours?|mins?|°|degrees)\b")


def _looks_like_ingredient(raw: str, line: str, layout: _Layout) -> bool:
    """Whether a line begins (after its bullet) or ends with an amount, or is a short bulleted word or two."""
    if _NUMBERED.match(line) and kind_of_step(_NUMBERED.sub("", line)) != "other":
        return False
    if _bare_step(line, layout) is not None:
        return False
    quantity = read_quantity(line)
    if quantity is not None and len(line) < 140:
        return quantity[0].unit != "" or _NOT_OF_FOOD.match(quantity[1]) is None
    if _SPOONFUL.match(line) or (len(line) < 60 and _TO_TASTE.search(line)):
        return True
    if len(line) < 80 and len(line.split()) <= 9 and _ENDS_IN_AMOUNT.search(line):
        return True
    return _BULLETED.match(raw) is not None and len(line.split()) <= 4 and not line.endswith(".")


_BARE_NUMBER = re.compile(r"^(?P<number>\d{1,2})\s+(?=[A-Z][a-z]+ )")


def _bare_step(line: str, layout: _Layout) -> re.Match[str] | None:
    """The number of a step without a full stop ("1 Mix the flours ..."), where that step is the next."""
    number = _BARE_NUMBER.match(line)
    if number is None or layout.method_named or int(number["number"]) != len(layout.steps) + 1:
        return None
    rest = line[number.end() :]
    if len(rest.split()) < 4 or read_unit(" " + rest)[0] or kind_of_step(rest) == "other":
        return None
    return number


def _looks_like_step(line: str, layout: _Layout) -> bool:
    if _NUMBERED.match(line) or _STEP_WORD.match(line) or _bare_step(line, layout) is not None:
        return True
    words = len(line.split())
    if words < 3 and (not layout.gap or words < 2 or "," in line):
        return False
    return kind_of_step(line) != "other" and (line.endswith(".") or len(line) > 40)


def _take_top(raw: str, line: str, marked: str, where: Place, layout: _Layout) -> None:
    """Before any heading: the title, what is said about the recipe, or the first ingredient."""
    if (
        not layout.explicit
        and _looks_like_ingredient(raw, line, layout)
        and not (not layout.name and _title_like(line))
    ):
        layout.section = "ingredients"
        _take_ingredient(raw, line, marked, where, layout)
    elif not layout.name:
        layout.name = (marked or line).strip(" *_#")
    elif not layout.explicit and _looks_like_step(line, layout) and not _talk(line, where, layout):
        layout.section = "method"
        _take_step(raw, line, marked, where, layout)
    elif not layout.explicit and _part(line, marked) and not marked:
        layout.section = "ingredients"
        layout.part = _part(line, marked)
    elif not layout.explicit and _heads_a_list(line, layout):
        layout.section = "ingredients"
        layout.part = _bare_part(line)
    else:
        layout.notes.append(line)


def _heads_a_list(line: str, layout: _Layout) -> bool:
    """Whether a few words after a gap stand right over an ingredient: "Poolish (the night before)"."""
    bare = _bare_part(line)
    few = 0 < len(bare.split()) <= 3 and bare.replace(" ", "").replace("-", "").isalpha()
    below = tidy(layout.following)
    return layout.gap and few and bool(below) and _looks_like_ingredient(layout.following, below, layout)


def _bare_part(line: str) -> str:
    return " ".join(re.sub(r"\([^()]*\)", " ", line).lower().rstrip(":").split())


def _talk(line: str, where: Place, layout: _Layout) -> bool:
    """Whether what reads like a step is only talk: it has no number, and the ingredients follow it."""
    return _NUMBERED.match(line) is None and where.line is not None and where.line < layout.last_amount


def _title_like(line: str) -> bool:
    """A title that begins with a number word: "One-bowl rolls", "A loaf for Sunday"."""
    return _WORDED.match(line) is not None and _WORDED_AMOUNT.match(line) is None


_WORDED = any_of(r"(?:an?|one|two|three|half)\b")
_WORDED_AMOUNT = any_of(
    r"(?:an?|one|two|three|half(?: an?)?)\s+(?:pinch|dash|cup|tsp|tbsp|teaspoon|tablespoon|egg|stick|pack)"
)


def _part(line: str, marked: str) -> str:
    """The part of the recipe a heading names, "" when the line is no heading."""
    match = _PART.match(marked or line)
    if match is not None:
        part = next(group for group in match.groups() if group is not None).strip().lower()
        return "" if part == WHOLE else part
    return marked.lower() if marked and len(marked) < 45 else ""


def heading_of(text: str) -> str | None:
    """The part an item of a list of ingredients is the heading of ("" for none in particular), None where
    it is no heading.

    >>> heading_of("For the glaze:"), heading_of("**Dough**"), heading_of("TOPPING"), heading_of("2 eggs")
    ('glaze', 'dough', 'topping', None)
    """
    if any(sign.isdigit() for sign in text):
        return None
    markdown = _MARKDOWN.match(text)
    if markdown is not None:
        text = next(group for group in markdown.groups() if group is not None)
    marked = markdown is not None or _SHOUTED.match(text) is not None
    if not marked and _PART.match(text) is None:
        return None
    return _part(text, text) if marked else _part(text, "")


def one_by_one(text: str) -> list[str]:
    """The ingredients of a list written in a single line.

    >>> one_by_one("2 eggs, 1 cup milk; a pinch of salt")
    ['2 eggs', '1 cup milk', 'a pinch of salt']
    """
    return _SEVERAL.split(text)


def without_step_number(text: str) -> str:
    """A step without its number.

    >>> without_step_number("Step 2: Bake."), without_step_number("2 eggs go in.")
    ('Bake.', '2 eggs go in.')
    """
    return _STEP_NUMBER.sub("", text, count=1)


def _take_ingredient(raw: str, line: str, marked: str, where: Place, layout: _Layout) -> None:
    if not marked and _looks_like_ingredient(raw, line, layout):
        pass
    elif layout.gap and "(" in line and not marked and _heads_a_list(line, layout):
        layout.part = _bare_part(line)
        return
    elif layout.gap and _SHOUTED.match(line) and not marked:
        layout.part = re.sub(r"^for (?:the )?", "", line.lower()).rstrip(":")
        return
    elif _PART.match(marked or line) or _part(line, marked):
        layout.part = _part(line, marked)
        return
    elif (
        _looks_like_step(line, layout)
        and (layout.lines or not layout.explicit)
        and _BULLETED.match(raw) is None
    ):
        layout.section = "method"
        _take_step(raw, line, marked, where, layout)
        return
    elif layout.lines and not layout.gap and re.match(r"\s{2,}[a-z(]", raw) is not None:
        last = layout.lines[-1]
        layout.lines[-1] = replace(last, text=f"{last.text} {line}")
        return
    elif not layout.explicit and layout.gap and layout.lines and len(line.split()) > 6:
        layout.section = "method"
        _take_step(raw, line, marked, where, layout)
        return
    text = re.sub(r"^\d{1,2}[.)]\s+(?=\d|[a-z]+\s)", "", line)
    layout.lines.append(Written(text, where, layout.part, layout.gap))


_SHOUTED = re.compile(r"^[A-Z][A-Z '&-]{2,40}:?$")
"""A heading in capitals, after an empty line."""
_NUTRITION = any_of(r"^(?:nutrition\w*|calories|net carbs|per (?:serving|slice|roll|piece|portion))\b")


def _take_step(raw: str, line: str, marked: str, where: Place, layout: _Layout) -> None:
    if _STEP_WORD.match(line):
        layout.numbered, layout.gap, layout.lead = True, True, ""
        layout.steps.append(Written("", where, layout.step_part))
        return
    numbered = _STEP_NUMBER.match(line) if layout.explicit or layout.numbered else _NUMBERED.match(line)
    numbered = numbered or _bare_step(line, layout)
    if numbered is None and _NUTRITION.match(line):
        layout.section = "notes"
        layout.notes.append(line)
        return
    if numbered is None and _DAY.match(line):
        layout.lead = f"{line.rstrip(':')}: "
        return
    if numbered is None and (marked or _heads_steps(line)):
        layout.step_part = _part(line, marked)
        layout.lead = f"{(marked or line).rstrip(':')}: " if layout.step_part else ""
        return
    text = line[numbered.end() :] if numbered is not None else line
    lead, layout.lead = layout.lead, ""
    goes_on = layout.numbered and numbered is None and not lead and _BULLETED.match(raw) is None
    if goes_on and layout.steps:
        last = layout.steps[-1]
        layout.steps[-1] = replace(last, text=f"{last.text} {text}".strip())
        return
    layout.numbered = layout.numbered or numbered is not None
    layout.steps.append(Written(text, where, layout.step_part, lead=lead))


_DAY = any_of(r"^(?:day|evening|morning|night)\s*(?:\d{1,2}|one|two|three)\s*:?$|^(?:the )?(?:next|day before|night before)[a-z ]{0,15}:?$")
"""When steps are done, on a line of its own."""


def _heads_steps(line: str) -> bool:
    """Whether a line of the method is the heading of steps: "For the icing:", "To finish"."""
    short = len(line.split()) <= 5 or (line.endswith(":") and line[:4].lower() == "for ")
    return short and _PART.match(line) is not None


def _card(layout: _Layout) -> Card:
    kind = layout.labels.get("kind") or layout.labels.get("product")
    altitude = layout.labels.get("altitude") or layout.labels.get("baked at")
    room = layout.labels.get("room") or layout.labels.get("room temperature")
    version, piece = layout.labels.get("version"), layout.labels.get("piece")
    if layout.lead:
        layout.notes.append(layout.lead.strip())
    oven = layout.labels.get("oven") or layout.labels.get("bake")
    return Card(
        name=layout.name,
        lines=tuple(layout.lines),
        steps=tuple(step for step in layout.steps if step.text),
        pieces=layout.yields[0],
        piece_name=layout.yields[1] if piece is None else piece.text,
        kind="" if kind is None else kind.text,
        altitude_m=None if altitude is None else _altitude_m(altitude, layout.faults),
        room_c=None if room is None else _room_c(room, layout.faults),
        oven=oven
        if oven is not None and (heats_in(oven.text) or times_in(oven.text) or oven.text == NONE)
        else None,
        note="\n".join(layout.notes),
        version=None if version is None or not version.text.isdigit() else int(version.text),
        faults=tuple(layout.faults),
    )


def _altitude_m(written: Written, faults: list[Fault]) -> float | None:
    match = re.match(r"(-?[\d.,]+)\s*(m|metres?|meters?|ft|feet)\b", written.text, re.IGNORECASE)
    number = None if match is None else read_number(match[1].lstrip("-"))
    if match is None or number is None:
        faults.append(
            Fault(written.where, f'"{written.text}" is no altitude', "write metres, as in 1900 m", False)
        )
        return None
    metres = number[0] * (FOOT_M if match[2][0] in "fF" else 1.0)
    return -metres if match[1].startswith("-") else metres


def _room_c(written: Written, faults: list[Fault]) -> float | None:
    match = re.match(r"(-?[\d.]+)\s*°?\s*C\b", written.text)
    heats = heats_in(written.text)
    if match is not None:
        return float(match[1])
    if heats:
        return heats[0].celsius
    faults.append(Fault(written.where, f'"{written.text}" is no temperature', "write it as in 18 C", False))
    return None
