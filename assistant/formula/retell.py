"""The words of a method once its recipe makes more or fewer pieces: counts, piece weights, and amounts it names.

Only what can mean nothing else is touched: a count beside what the pieces are called, an amount beside the name
of a line. All other words stay the baker's.
"""

import re
from collections.abc import Iterable
from dataclasses import replace

from assistant.formula.card import plural, singular
from assistant.formula.model import Formula, Step
from assistant.words.units import cook_number, kind_of, read_number, unit_named, unit_text

_WORDS = (
    *("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)
_PIECES = ("piece", "portion", "part", "ball", "round", "log", "bun", "roll", "loaf", "slice", "bar", "square", "scoop")
"""What a shaped piece may be called, whatever the recipe calls it when baked."""
_SAME_G = 0.03
"""Share by which a weight in the words may part from the piece's and still be it: cooks round."""
_NUMBER = r"\d+(?:[.,]\d+)?(?:\s+\d/\d)?|\d/\d|[½⅓⅔¼¾]"


_CUT = re.compile(
    r"\b(?:divide|cut|portion|shape|form)\b[^.;]*?\b(?P<number>\d{1,3}|__WORDS__)"
    r"(?:\s+(?:equal|even|small|large|flat|round)(?:-sized)?)*\s+(?P<name>__NAMES__)\b".replace("__WORDS__", "|".join(_WORDS)).replace(
        "__NAMES__", "|".join(plural(name) for name in (*_PIECES, "cookie", "scone", "biscuit", "muffin", "baguette"))
    ),
    re.IGNORECASE,
)
_NO_NAME = frozenset({"piece", "portion", "part"})
"""What says nothing of what the pieces are."""


def pieces_cut(steps: Iterable[Step]) -> tuple[int, str] | None:
    """How many pieces a method shapes, and what it calls one; None where it does not say, or says several numbers.

    >>> pieces_cut([Step("shape", "Roll up and cut into 12 rolls.")]), pieces_cut([Step("shape", "Cut into strips.")])
    ((12, 'roll'), None)
    """
    found = {
        (_WORDS.index(number) + 2 if number in _WORDS else int(number), singular(cut["name"].lower()))
        for step in steps
        for cut in _CUT.finditer(step.text)
        if (number := cut["number"].lower())
    }
    counts = {count for count, _ in found}
    if len(counts) != 1 or min(counts) < 2:
        return None
    names = {name for _, name in found} - _NO_NAME
    return counts.pop(), names.pop() if len(names) == 1 else ""


def retold(steps: Iterable[Step], before: Formula, after: Formula, factor: float) -> tuple[Step, ...]:
    """Steps with the counts, piece weights and amounts of the scaled recipe; `factor` is that of the lines.

    >>> rolls = Formula("Rolls", "", (), pieces=8, piece_name="roll")
    >>> twice = Formula("Rolls", "", (), pieces=16, piece_name="roll")
    >>> [step.text for step in retold([Step("shape", "Divide into 8 and shape eight rolls.")], rolls, twice, 2.0)]
    ['Divide into 16 and shape 16 rolls.']
    """
    return tuple(_retold(step, before, after, factor) for step in steps)


def _retold(step: Step, before: Formula, after: Formula, factor: float) -> Step:
    text = _counted(step.text, before, after)
    text = _weighed(text, before, after)
    text = _measured(text, step, before, factor)
    return step if text == step.text else replace(step, text=text)


def _counted(text: str, before: Formula, after: Formula) -> str:
    """The number of pieces, where it stands before their name or alone after "into"."""
    was, now = before.pieces, after.pieces
    if was is None or now is None or was == now or was < 2:
        return text
    names = {*_PIECES, *([before.piece_name] if before.piece_name else [])}
    called = "|".join(sorted(map(re.escape, {*names, *map(plural, names)}), key=len, reverse=True))
    number = "|".join([str(was), *([_WORDS[was - 2]] if was - 2 < len(_WORDS) else [])])
    counts = re.compile(
        rf"\b(?:{number})(?P<after>(?:\s+(?!of\b)[a-z-]+){{0,2}}\s+(?:{called})\b)"
        rf"|(?P<before>\binto\s+)(?:{number})(?P<end>(?=\s*(?:[.,;]|$|and\b|\()))",
        re.IGNORECASE,
    )
    return counts.sub(lambda found: f"{found['before'] or ''}{now}{found['after'] or ''}", text)


def _weighed(text: str, before: Formula, after: Formula) -> str:
    """The weight of a piece, where the pieces are made heavier or lighter."""
    was, now = before.piece_g, after.piece_g
    if not was or not now or abs(now / was - 1) <= _SAME_G:
        return text
    ratio = now / was

    def sub(found: re.Match[str]) -> str:
        grams = float(found["grams"])
        return f"{grams * ratio:.0f}{found['unit']}" if abs(grams / was - 1) <= _SAME_G else found.group()

    return re.sub(r"\b(?P<grams>\d+)(?P<unit>\s?g(?:rams?)?\b)", sub, text)


def _measured(text: str, step: Step, before: Formula, factor: float) -> str:
    """Amounts of lines that the step uses: "2 tbsp of the milk"."""
    if factor == 1 or not step.uses:
        return text
    names = {word for at in step.uses for word in before.lines[at].name.lower().split() if len(word) > 3 or word == "egg"}

    def sub(found: re.Match[str]) -> str:
        unit, number = unit_named(found["unit"]), read_number(found["number"])
        words = re.findall(r"[a-z]+", found["words"].lower())
        if unit is None or number is None or kind_of(unit) == "count" or not names & {w.rstrip("s") for w in words} | names & set(words):
            return found.group()
        amount = number[0] * factor
        said = f"{amount:.0f}" if unit in ("g", "ml") and amount >= 10 else cook_number(amount)
        written = found["unit"] if unit_text(unit, 2) == unit else unit_text(unit, amount)
        return f"{said}{found['gap']}{written}{found['words']}"

    return re.sub(
        rf"(?<![\d./-])(?P<number>{_NUMBER})(?P<gap>\s?)(?P<unit>g|kg|ml|dl|l|cups?|tbsps?|tsps?|tablespoons?|teaspoons?|oz|lbs?)"
        r"\b(?P<words>(?:\s+of)?(?:\s+the)?(?:\s+[a-z-]+){1,2})",
        sub,
        text,
        flags=re.IGNORECASE,
    )
