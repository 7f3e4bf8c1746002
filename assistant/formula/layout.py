"""The ways people lay a recipe out, brought to one line each: two columns, tables of baker's percentages, lists
within a line. Text in, lines out; each keeps the number of the line it was written in.
"""

import re
from collections import Counter
from collections.abc import Sequence

from assistant.words.faults import Fault, Place
from assistant.words.units import plain_marks, read_number, read_quantity

Lines = list[tuple[int, str]]

LONGEST, LONGEST_LIST = 200, 1200
"""Longer lines than this are no rows, and longer ones than that no lists."""
FLOUR_G = 1000
"""Weight of the flours taken where a recipe gives only baker's percentages, g."""
_GAP = re.compile(r"\s{3,}(?=\S)")
_CELLS = re.compile(r"\s*[|\t]\s*|\s{2,}")


def laid_out(text: str, source: str) -> tuple[Lines, tuple[Fault, ...]]:
    """The lines of a text, columns one after the other and tables row by row, with what was decided in reading.

    >>> laid_out("Bread flour  100 %\\nWater  65 %\\nSalt  2 %", "as typed")[0]
    [(1, '1000 g Bread flour'), (2, '650 g Water'), (3, '20 g Salt')]
    """
    return _by_percent(_beside(list(enumerate(text.splitlines(), start=1))), source)


# -- two columns ----------------------------------------------------------------------------------

_HEADS = re.compile(
    r"^\s*(?:the\s+)?ingredients?:?\s{3,}(?P<right>method|directions?|instructions?|preparation|steps?):?\s*$",
    re.IGNORECASE,
)
_MADE = re.compile(r"\s{3,}(?=(?:makes|serves|yields?)\b)", re.IGNORECASE)
_NEAR = 6
"""How far from the head of its column a line of it may begin."""


def _beside(lines: Lines) -> Lines:
    """Ingredients beside the method: first all of the left column, then all of the right."""
    out: Lines = []
    for number, text in lines:
        made = _MADE.search(text.strip()) if len(text) <= LONGEST else None
        title, after = (text, "") if made is None else (text.strip()[: made.start()], text.strip()[made.end() :])
        out += [(number, title), (number, after)] if made is not None else [(number, text)]
    heads = [(at, m.start("right")) for at, (_, text) in enumerate(out) if (m := _HEADS.match(text))]
    first, last, column = (heads[0][0], len(out), heads[0][1]) if heads else _column(out)
    if column == 0:
        return out
    left, right = [], []
    for number, text in out[first:last]:
        cut = _cut(text, column)
        left.append((number, text[:cut].rstrip()))
        right.append((number, text[cut:].strip()))
    return [*out[:first], *left, (right[0][0], ""), *right, *out[last:]]


def _column(lines: Lines) -> tuple[int, int, int]:
    """First and last line and place of a right column that has no head: where words begin again and again beside
    amounts; place 0 where there is none."""
    starts = {
        at: gap.end()
        for at, (_, text) in enumerate(lines)
        if len(text) <= LONGEST and (gap := _GAP.search(text)) and _measured(text[: gap.start()]) and len(text[gap.end() :].split()) >= 3
    }
    column, often = Counter(starts.values()).most_common(1)[0] if starts else (0, 0)
    places = [at for at, start in starts.items() if start == column]
    return (places[0], places[-1] + 1, column) if often >= 3 else (0, 0, 0)


def _cut(text: str, column: int) -> int:
    """Where the right column begins in a line."""
    if not text[:column].strip():
        return min(column, len(text))
    near = [gap.end() for gap in re.finditer(r"\s{2,}(?=\S)", text) if abs(gap.end() - column) <= _NEAR]
    return min(near, key=lambda end: abs(end - column)) if near else len(text)


def _measured(text: str) -> bool:
    found = read_quantity(plain_marks(text.strip(" -*•▢")))
    return found is not None and found[0].unit != ""


# -- baker's percentages --------------------------------------------------------------------------

_WEIGHT = re.compile(r"^(?:weight|mass|amount|metric|quantity)?\s*[(\[]?(?:g|grams?|weight|mass)[)\]]?$", re.IGNORECASE)
_PERCENT = re.compile(r"^(?:baker'?s?'?\s*)?(?:%|percent(?:age)?s?|pct)$", re.IGNORECASE)
_BARE = re.compile(r"^\d+(?:[.,]\d+)?$")
_SHARE = re.compile(r"(?P<share>\d+(?:[.,]\d+)?)\s*%$")
_TOTAL = re.compile(r"^(?:total|sum|yield)\b", re.IGNORECASE)
_RULE = re.compile(r"^[\s|:=+-]*$")


def _by_percent(lines: Lines, source: str) -> tuple[Lines, tuple[Fault, ...]]:
    """Tables whose weights stand in a column of bare numbers, and lists of percentages alone."""
    out: Lines = []
    faults: list[Fault] = []
    heads: list[str] = []
    shares = _only_shares(lines)
    for number, text in lines:
        cells = _cells(text)
        if _is_head(cells):
            heads = cells
            out.append((number, ""))
            continue
        if heads and _RULE.match(text):
            out.append((number, ""))
            heads = [] if not text.strip() else heads
            continue
        row = _row(cells, heads) or (_share(text) if shares else None)
        if row is None:
            heads = []
            out.append((number, text))
            continue
        name, grams, by_share = row
        out.append((number, "" if _TOTAL.match(name) else f"{grams} g {name}"))
        if by_share and not faults:
            what = f"only baker's percentages are given; I took {FLOUR_G} g of flours"
            faults.append(Fault(Place(source, number), what, "give the weight of one line", False, "ambiguous"))
    return out, tuple(faults)


def _cells(text: str) -> list[str]:
    if len(text) > LONGEST:
        return []
    return [cell for cell in _CELLS.split(plain_marks(text).strip().strip("|").strip()) if cell]


def _is_head(cells: Sequence[str]) -> bool:
    """Whether cells are the heads of a table with a column of weights or percentages."""
    named = len(cells) >= 2 and not any(any(c.isdigit() for c in cell) for cell in cells)
    return named and any(_WEIGHT.match(cell) or _PERCENT.match(cell) for cell in cells[1:])


def _row(cells: Sequence[str], heads: Sequence[str]) -> tuple[str, str, bool] | None:
    """Name and grams of a row, and whether they come of its percentage; None where it is no such row."""
    if len(cells) < 2 or len(cells) > len(heads) or read_number(cells[0]) is not None:
        return None
    by_head = list(zip(heads, cells, strict=False))[1:]
    weights = [cell for head, cell in by_head if _WEIGHT.match(head)]
    if weights:
        return (cells[0], weights[0], False) if _BARE.match(weights[0]) else None
    shares = [cell.rstrip("% ") for head, cell in by_head if _PERCENT.match(head)]
    return (cells[0], _grams(shares[0]), True) if len(by_head) == 1 and shares and _BARE.match(shares[0]) else None


def _only_shares(lines: Lines) -> bool:
    """Whether a list gives percentages and no weights, one of them the whole of the flours."""
    found = [row for _, text in lines if (row := _share(text))]
    measured = any(_measured(text) for _, text in lines)
    return len(found) >= 3 and not measured and any(float(grams) >= FLOUR_G / 2 for _, grams, _ in found)


def _share(text: str) -> tuple[str, str, bool] | None:
    text = text.strip(" -*•▢")
    found = _SHARE.search(text) if text.endswith("%") and len(text) <= LONGEST else None
    name = "" if found is None else text[: found.start()].rstrip(" :.–-")
    if found is None or not name or any(sign.isdigit() or sign == "%" for sign in name):
        return None
    return name, _grams(found["share"]), True


def _grams(share: str) -> str:
    return f"{float(share.replace(',', '.')) * FLOUR_G / 100:g}"


# -- lists within a line --------------------------------------------------------------------------

_AMOUNT = r"(?:(?:about|approx\.?|around|roughly|ca\.)\s+)?(?:[\d½⅓⅔¼¾⅛⅜]|an?\s|half\b|one\b|two\b|pinch\b|juice\b|zest\b)"
_SEVERAL = re.compile(rf"\s*(?:[,;]\s*(?:and\s+)?|\s+and\s+)(?={_AMOUNT})", re.IGNORECASE)
_OF_PART = re.compile(r"^\s*(?:for\s+(?:the\s+)?)?(?P<part>[a-z][a-z '&-]{2,30}?)\s*:\s+(?P<list>\S.*)$", re.IGNORECASE)
_NO_PART = re.compile(r"^(?:ingredients?|you need|notes?|tips?|method|makes|serves|yields?|nutrition|calories|per\b.*|step.*)$", re.IGNORECASE)
_NEEDED = re.compile(
    rf"^(?P<before>(?:.*?[.!]\s+)?)(?:you(?:['’]?ll| will)? need|take|use)\s+(?P<list>{_AMOUNT}.*?)"
    r"(?:[.!]\s+(?P<after>[A-Z].*))?$",
    re.IGNORECASE,
)


def listed(text: str) -> list[str]:
    """A line that holds a list of ingredients, as one line for each; any other line as it is.

    >>> listed("Drizzle: juice of 1 lemon, 85 g sugar"), listed("Note: 2 days")
    (['For the drizzle:', 'juice of 1 lemon', '85 g sugar', ''], ['Note: 2 days'])
    """
    if len(text) > LONGEST_LIST:
        return [text]
    part = _OF_PART.match(text)
    if part is not None and _NO_PART.match(part["part"]) is None and _is_list(_SEVERAL.split(part["list"])):
        return [f"For the {part['part'].lower()}:", *_SEVERAL.split(part["list"].rstrip(".")), ""]
    needed = _NEEDED.match(text)
    if needed is not None and _is_list(_SEVERAL.split(needed["list"])):
        before, after = needed["before"].strip(" ."), needed["after"]
        items = _SEVERAL.split(needed["list"].rstrip("."))
        return [*([before, ""] if before else []), *items, "", *([after] if after else [])]
    return [text]


def _is_list(items: Sequence[str]) -> bool:
    """Whether pieces of a line are ingredients: several, each with an amount, and some with a unit."""
    short = all(len(item) < 60 and re.search(r"[\d½⅓⅔¼¾⅛⅜]|^(?:an?|half|one|two|pinch)\b", item.strip()) for item in items)
    return len(items) >= 2 and short and any(_measured(item.strip()) for item in items)
