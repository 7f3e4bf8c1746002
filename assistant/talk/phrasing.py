"""Answers as plain text in kitchen words, at most 78 columns wide, without colour.

Nothing is computed here: numbers come from derivations and are only rounded and written out.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from textwrap import wrap
from typing import Any

from assistant.formula.model import Bake, Formula, Line, Step
from assistant.formula.parts import weights_of
from assistant.plan.coverage import Reach
from assistant.plan.instead import Component, Printed, StandIn, StandIns
from assistant.plan.model import (
    Assessment,
    BakeAnswer,
    Change,
    Chemistry,
    Nutrition,
    Option,
    Options,
    TimelineEntry,
    Why,
)
from assistant.publish.compare import Comparison, Difference, parts_of
from assistant.publish.laws import only_orders
from assistant.rulebook.model import Figure, Ingredient, Rulebook
from assistant.rulebook.packet import OWN_LABEL
from assistant.words.derivation import Derivation
from assistant.words.faults import Fault
from assistant.words.units import (
    UNITS,
    borne_out,
    c_to_f,
    cook_measure,
    cook_number,
    dial_f,
    grams_text,
    household,
    kind_of,
    ounces_text,
    read_quantity,
    unit_text,
)

WIDTH = 78
DEEPEST = 3
"""Levels of a working shown; below that the working is asked for by its name."""

NUTRIENT_NAMES: Mapping[str, str] = {
    "energy_kcal": "energy",
    "protein_g": "protein",
    "fat_g": "fat",
    "saturated_g": "  saturated",
    "carbohydrate_g": "carbohydrate, total",
    "available_carbohydrate_g": "  available (EU)",
    "net_carbs_g": "  net carbs",
    "sugars_g": "  sugars",
    "polyols_g": "  polyols",
    "fibre_g": "fibre",
    "soluble_fibre_g": "  soluble",
    "insoluble_fibre_g": "  insoluble",
    "unsplit_fibre_g": "  type unknown",
    "sodium_mg": "sodium",
    "water_g": "water",
    "ketogenic_ratio": "ketogenic ratio",
}
UNIT_WORDS: Mapping[str, str] = {"C": "°C", "%": "%", "mL": "ml"}


# -- numbers ---------------------------------------------------------------------------------------


def number(value: object, unit: str = "1") -> str:
    """A value with its unit, with as many digits as a kitchen can use; None is unknown.

    >>> number(4.23, "g"), number(185.2, "C"), number(312.4, "mg"), number(None, "g"), number(0.7341)
    ('4.2 g', '185 °C', '312 mg', 'unknown', '0.73')
    >>> number(95.0, "min"), number(-12.0, "g"), number(6.14, "pH"), number(True, "")
    ('95 min', '-12 g', '6.1', 'yes')
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, int | float):
        return value if isinstance(value, str) else "several numbers"
    figures = _figures(float(value), unit)
    return figures if unit in ("1", "", "pH") else f"{figures} {UNIT_WORDS.get(unit, unit)}"


def _figures(value: float, unit: str) -> str:
    """The digits alone.

    >>> _figures(37.6, "min"), _figures(3.14159, "1"), _figures(1234.5, "mL"), _figures(0.00012, "1")
    ('38', '3.14', '1230', '0')
    """
    if unit == "g":
        return ("-" if value < 0 else "") + grams_text(abs(value), exact=True).removesuffix(" g")
    if unit in ("min", "kcal", "C", "m", "mg"):
        return _plain(value, 0)
    if unit in ("pH", "mmol", "h"):
        return _plain(value, 1)
    if unit == "%":
        return _plain(value, 0 if abs(value) >= 10 else 1)
    if unit == "mL" and abs(value) >= 100:
        return f"{float(f'{value:.3g}'):.0f}"
    size = abs(value)
    return _plain(value, 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 0.1 else 3)


def _plain(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def amount(derivation: Derivation | None) -> str:
    """A derived value, with its range where that shows in the digits; no digit is finer than the range bears.

    >>> amount(Derivation("t", 34.0, "min", low=30.0, high=38.0)), amount(None)
    ('34 min (30 to 38)', 'unknown')
    >>> amount(Derivation("t", 2.438, "days", low=1.432, high=2.771))
    '2.4 days (1.4 to 2.8)'
    >>> amount(Derivation("t", 19.4, "1", "assistant.laws.crumb.springiness", low=16.4, high=21.6))
    '19 (16 to 22)'
    """
    if derivation is None:
        return "unknown"
    between = _between(derivation)
    return _as_told(derivation) + (f" ({between})" if between else "")


def _as_told(derivation: Derivation) -> str:
    return number(_borne_out(derivation)[0], derivation.unit)


def _between(derivation: Derivation) -> str:
    """The range alone, "" where it does not show in the digits."""
    least, most = (None if end is None else _figures(end, derivation.unit) for end in _borne_out(derivation)[1:])
    return "" if least == most else f"{least} to {most}"


def _borne_out(derivation: Derivation) -> tuple[Any, float | None, float | None]:
    """A value and its range with the digits that can be told: what only orders has no decimals to speak of."""
    value, low, high = derivation.value, derivation.low, derivation.high
    if not isinstance(value, int | float) or isinstance(value, bool):
        return value, None, None
    if only_orders(derivation.by):
        value, low, high = (None if end is None else round(end, int(abs(end) < 2)) for end in (value, low, high))
    if value is None or low is None or high is None or low == high or derivation.unit == "1":
        return value, low, high
    return borne_out(value, low, high)


def _range(low: Derivation, high: Derivation) -> str:
    """Two derived ends as one range: "30 to 38 min"."""
    first, second = number(low.value, low.unit), number(high.value, high.unit)
    return first if first == second else f"{_figures(low.value, low.unit)} to {second}"


def oven(temperature_c: float, us: bool = False) -> str:
    """An oven temperature.

    >>> oven(175.0), oven(175.0, us=True)
    ('175 °C', '175 °C (350 °F)')
    """
    return number(temperature_c, "C") + (f" ({dial_f(temperature_c)} °F)" if us else "")


def mass(line_g: float | None, measures: Mapping[str, float] | None = None, us: bool = False) -> str:
    """A line's mass; with `us` also as a cook measures it.

    >>> mass(None), mass(28.0, {"cup": 112.0}, us=True), mass(100.0, None, us=True)
    ('unknown', '28 g (1/4 cup)', '100 g (3.5 oz)')
    """
    if line_g is None:
        return "unknown"
    text = number(line_g, "g")
    if not us or line_g <= 0:
        return text
    measured = household(line_g, measures) if measures else None
    if measured is None:
        return f"{text} ({ounces_text(line_g)})"
    return f"{text} ({cook_measure(*measured)})"


def clock(minutes: float) -> str:
    """Minutes as hours and minutes from two hours up.

    >>> clock(64.0), clock(135.0)
    ('64 min', '2 h 15 min')
    """
    whole = round(minutes)
    hours, rest = divmod(whole, 60)
    if whole < 120:
        return f"{whole} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


# -- paragraphs ------------------------------------------------------------------------------------


def paragraph(text: str, indent: int = 0, hang: int | None = None) -> str:
    """Text folded at the screen's width; following lines are indented by `hang`."""
    first, rest = " " * indent, " " * (indent if hang is None else hang)
    return (
        "\n".join(wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest, break_long_words=True))
        or first.rstrip()
    )


def bullets(texts: Iterable[str], indent: int = 2) -> list[str]:
    """One folded line for each text."""
    return [paragraph(f"- {text}", indent, indent + 2) for text in texts]


def choices(texts: Sequence[str]) -> str:
    """Choices, numbered from 1."""
    return "\n".join(paragraph(f"{at}  {text}", 2, 5) for at, text in enumerate(texts, 1))


def columns(rows: Sequence[Sequence[str]], right: Iterable[int] = (), indent: int = 2) -> list[str]:
    """Rows as a table; the columns in `right` are set to the right.

    >>> columns([["fat", "9.1 g"], ["protein", "12 g"]], right=[1])
    ['  fat      9.1 g', '  protein   12 g']
    """
    to_right = set(right)
    count = max((len(row) for row in rows), default=0)
    widths = [max(len(row[at]) for row in rows if at < len(row)) for at in range(count)]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(widths[at]) if at in to_right else cell.ljust(widths[at])
            for at, cell in enumerate(row)
        ]
        lines.append((" " * indent + "  ".join(cells)).rstrip())
    return lines


# -- recipe ----------------------------------------------------------------------------------------


def _measures(line: Line, book: Rulebook) -> Mapping[str, float]:
    known = book.ingredients.get(line.ingredient) if line.ingredient else None
    return {} if known is None else {unit: figure.value for unit, figure in known.measures.items()}


def recipe(formula: Formula, book: Rulebook, us: bool = False) -> str:
    """The recipe: yield, lines, bake."""
    head = f"{formula.name}, version {formula.version}"
    made = [] if not formula.pieces else [f"{formula.pieces} {_pieces(formula)}"]
    weights = weights_of(formula)
    dough = "" if weights else "dough "
    if formula.piece_g is not None:
        made.append(f"{number(formula.piece_g, 'g')} ({ounces_text(formula.piece_g)}) {dough}each")
    if formula.dough_g:
        made.append(f"{number(formula.dough_g, 'g')} ({ounces_text(formula.dough_g)}) in all")
    made += [f"{part or REST} {number(grams, 'g')}" for part, grams in weights.items()]
    if formula.altitude_m:
        made.append(f"baked at {number(formula.altitude_m, 'm')}")
    product = book.products.get(formula.product)
    if product is not None:
        made.append(product.name)
    parts: list[str] = [head, *([paragraph(", ".join(made), 2)] if made else []), ""]
    part = ""
    masses = [mass(line.grams, _measures(line, book), us) for line in formula.lines]
    leads = columns([[str(at), text] for at, text in enumerate(masses, 1)], right=(0, 1))
    for lead, line in zip(leads, formula.lines, strict=True):
        if line.part != part:
            parts.append(f"  {line.part or REST}:")
            part = line.part
        note = f", {line.note}" if line.note else ""
        unknown = "" if line.ingredient in book.ingredients else " (not known to the rulebook)"
        parts.append(_folded(f"{lead}  ", f"{line.name}{note}{unknown}"))
    if formula.bake is not None:
        parts += ["", paragraph(_stated_bake(formula, us), 2)]
    return "\n".join(parts)


REST = "the rest"
"""What lines of no part are called, in a recipe that has parts."""


def pieces(formula: Formula) -> str:
    """How many pieces there are, as "12 muffins"."""
    return f"{formula.pieces} {_pieces(formula)}"


def _pieces(formula: Formula) -> str:
    name = formula.piece_name or "piece"
    if formula.pieces == 1:
        return name
    return {"loaf": "loaves"}.get(name, name if name.endswith("s") else name + "s")


def piece(formula: Formula) -> str:
    """What a number is counted per: "roll", or the whole recipe."""
    return (formula.piece_name or "piece") if formula.pieces else "whole recipe"


def stated_bake(formula: Formula, us: bool = False) -> str:
    """The bake as the recipe states it."""
    return paragraph(_sentence(_stated_bake(formula, us)))


MATERIAL_WORDS = {"bright": "light metal", "dark": "dark metal"}


def in_what(bake: Bake) -> str:
    """What a bake stands in, as a phrase; "" when unsaid.

    >>> in_what(Bake(180, 40, pan="loaf tin", material="glass", size_cm=(23, 13))), in_what(Bake(180, 40, pan="sheet"))
    ('in a 23 x 13 cm glass loaf tin', 'on a sheet')
    """
    on = "on" if bake.pan in ("sheet", "stone") else "in"
    size = [" x ".join(number(side) for side in bake.size_cm) + " cm"] if bake.size_cm else []
    size = size if bake.litres is None else [f"{number(bake.litres)} litre"]
    material = [MATERIAL_WORDS.get(bake.material, bake.material)] if bake.material else []
    words = " ".join([*size, *material, *([bake.pan or "pan"] if bake.pan or material or size else [])])
    return f"{on} {'an' if words.startswith('8') else 'a'} {words}" if words else ""


def _stated_bake(formula: Formula, us: bool) -> str:
    bake = formula.bake
    if bake is None:
        return ""
    where = f" {in_what(bake)}" if in_what(bake) else ""
    fan = ", fan oven" if bake.oven == "fan" else ""
    fan += f", steam for {number(bake.steam_min, 'min')}" if bake.steam_min else ""
    if (
        bake.minutes_low is not None
        and bake.minutes_high is not None
        and bake.minutes_low != bake.minutes_high
    ):
        minutes = f"{_figures(bake.minutes_low, 'min')} to {number(bake.minutes_high, 'min')}"
    else:
        minutes = number(bake.minutes, "min")
    return f"bake{where} at {oven(bake.oven_c, us)}{fan} for {minutes}"


def line_of(formula: Formula, at: int, book: Rulebook, functions: Sequence[str], us: bool = False) -> str:
    """One line of the recipe, and what it does here."""
    line = formula.lines[at]
    said = [f"line {at + 1}: {line.name}, {mass(line.grams, _measures(line, book), us)}"]
    if line.note:
        said.append(line.note)
    text = ", ".join(said)
    if line.ingredient not in book.ingredients:
        return paragraph(f"{text}. The rulebook does not know it, so what it does is unknown.")
    does = ", ".join(book.functions[f].name for f in functions if f in book.functions)
    return paragraph(
        f"{text}. Here it is for {does}." if does else f"{text}. Nothing here depends on so little of it."
    )


def method(steps: Sequence[Step]) -> str:
    """The method, numbered."""
    if not steps:
        return "The recipe states no method."
    said: list[str] = []
    part = ""
    for at, step in enumerate(steps, 1):
        if step.part != part:
            part = step.part
            said.append(f"  {part or REST}:")
        said.append(paragraph(f"{at:>2}  {_step(step)}", 1, 5))
    return "\n".join(said)


def _step(step: Step) -> str:
    told = []
    if step.minutes is not None and step.kind != "bake":
        high = step.minutes_high
        if high is not None and high != step.minutes:
            told.append(f"{_figures(step.minutes, 'min')} to {number(high, 'min')}")
        else:
            told.append(number(step.minutes, "min"))
    if step.temperature_c is not None and step.kind != "bake":
        told.append(number(step.temperature_c, "C"))
    return f"{step.text} ({', '.join(told)})" if told else step.text


def timeline(
    entries: Sequence[TimelineEntry],
    ready: str | None = None,
    starts: Sequence[str] = (),
    brief: bool = False,
) -> str:
    """When each step starts, counted from the first, or by the clock when it must be ready at a time.

    `brief`: one line a step, for where the steps themselves stand beside it.
    """
    if not entries:
        return "The recipe states no times."
    rows = []
    for at, entry in enumerate(entries):
        start = starts[at] if starts else f"+{clock(entry.start_min)}"
        usual = "" if not entry.usual else " (usual)" if brief else " (usual time; the recipe states none)"
        rows.append([start, clock(entry.minutes), f"{entry.step}{usual}"])
    if ready:
        rows.append([ready, "", "ready"])
    wide = [max(len(row[at]) for row in rows) for at in (0, 1)]
    leads = [f"  {row[0]:>{wide[0]}}  {row[1]:>{wide[1]}}  " for row in rows]
    if brief:
        return "\n".join(
            lead + _cut(row[2], WIDTH - len(lead)) for lead, row in zip(leads, rows, strict=True)
        )
    return "\n".join(_folded(lead, row[2]) for lead, row in zip(leads, rows, strict=True))


# -- options ---------------------------------------------------------------------------------------


def options(found: Options, book: Rulebook, asked: str = "", us: bool = False) -> str:
    """Plans, numbered, best first; or what blocks them."""
    if not found.options:
        return "\n".join([blocked(found.blocked_by, asked), *_near_miss(found, book, us)])
    many = len(found.options)
    head = f"{asked + ': ' if asked else ''}{many} {'way' if many == 1 else 'ways'}, the nearest first."
    parts = [paragraph(head)]
    for at, option in enumerate(found.options, 1):
        parts += ["", option_brief(option, book, at, us)]
    last = "1" if many == 1 else f"1 to {many}"
    parts += ["", paragraph(f'Take one with its number ({last}), or ask "why 1", "compare" or "working".')]
    return "\n".join(parts)


LABELS_DECIDE = "Labels of your own packets decide, and a swap does not make a kitchen free of anything."


def adapted(found: Options, book: Rulebook, wanted: str = "", us: bool = False) -> str:
    """Plans that keep all wishes; or that nothing has to change; or what blocks them, and the nearest that misses."""
    best = found.options[0] if found.options else None
    if best is None or not best.unchanged:
        return options(found, book, "", us)
    asked = f"Asked for: {wanted}. " if wanted else ""
    nothing = f"{asked}Nothing in {found.base.name} stands against it."
    return "\n".join(paragraph(text) for text in (nothing, *best.remarks, LABELS_DECIDE))


def bakeable(
    found: Sequence[tuple[str, Options]], missing: Callable[[Formula], list[str]], wanted: str = ""
) -> str:
    """Recipes that go with what is in the house, the nearest to themselves first, and what the others lack."""
    can = [(name, told.options[0]) for name, told in found if told.options]
    kept = f", for {wanted}" if wanted else ""
    head = f"With what you have{kept}:" if can else f"None of the recipes goes with only what you have{kept}."
    rows = [f"{name}: {option.title}" for name, option in can]
    lacking = []
    for name, told in found:
        if not told.options:
            gone = missing(told.base)
            lacking.append(f"{name}: no {', '.join(gone)}" if gone else f"{name}: {told.blocked_by[0]}")
    parts = [paragraph(head), *bullets(rows)]
    if lacking:
        parts += ["It is not enough for:", *bullets(lacking)]
    return "\n".join([*parts, *([f"See one with: open {can[0][0]}"] if can else [])])


def blocked(reasons: Sequence[str], asked: str = "") -> str:
    """Why there is no plan."""
    head = f"{asked}: there is no way I can stand behind." if asked else "There is no way I can stand behind."
    return "\n".join([paragraph(head), *bullets(reasons)])


def _near_miss(found: Options, book: Rulebook, us: bool) -> list[str]:
    """The nearest plan, marked as what it is."""
    if found.nearest is None:
        return []
    missed = paragraph(f"The nearest that can be made MISSES this: {'; '.join(found.misses)}.")
    return ["", missed, option_brief(found.nearest, book, None, us)]


def option_brief(option: Option, book: Rulebook, at: int | None = None, us: bool = False) -> str:
    """One plan on one screen: what changes, oven and time, macros per piece, crumb, how well tested."""
    parts = [paragraph(f"{at}  {option.title}" if at is not None else option.title, 0, 3)]
    own = [change for change in option.changes if _moved(change)]
    parts.append(paragraph(", ".join(_change(c, option, book, us) for c in own) or "no line changes", 3))
    if option.bake is not None:
        parts.append(paragraph(bake_line(option.bake, option, us), 3))
    parts.append(paragraph(macros_line(option.after), 3))
    words = crumb_line(option)
    if words:
        parts.append(paragraph(words, 3))
    parts += [paragraph(text, 3) for text in _why_they_come([c for c in own if _arrived(c) and c.because], option, book, us)]
    parts += [paragraph(remark, 3) for remark in option.remarks]
    parts += [paragraph(f"mind: {caution}", 3) for caution in _new_cautions(option, book)[:BRIEF_CAUTIONS]]
    if option.how_tested:
        parts.append(paragraph(f"how well tested: {option.how_tested}", 3))
    return "\n".join(parts)


def tried(option: Option, book: Rulebook, us: bool = False) -> str:
    """How the recipe would come out changed; nothing is changed yet."""
    c, was = option.after.chemistry, option.before.chemistry
    rows = []
    for name, before, after in (
        ("gas until the core sets", was.gas_ml, c.gas_ml),
        ("soda left over", was.unneutralised_soda_g, c.unneutralised_soda_g),
        ("pH baked", was.ph_baked, c.ph_baked),
        ("dough feel (free water)", was.free_water_g, c.free_water_g),
    ):
        told = number(before.value, before.unit), number(after.value, after.unit)
        if told[0] != told[1]:
            rows.append([name, f"{told[0]} -> {told[1]}"])
    parts = [option_brief(option, book, None, us), *columns(rows, indent=3)]
    return "\n".join([*parts, paragraph("Nothing is changed yet: 1 takes it.")])


def changes(option: Option, book: Rulebook, us: bool = False) -> str:
    """What the plan that was taken changed, and why."""
    own = [change for change in option.changes if _moved(change)]
    texts = [_change(c, option, book, us) + (f": {_because(c.because)}" if c.because else "") for c in own]
    return "\n".join([paragraph(option.title), *bullets(texts)])


def _texts(cautions: Sequence[str], book: Rulebook) -> list[str]:
    """Cautions as sentences, whether given as sentences or as ids of the rulebook."""
    return [book.cautions[c].text if c in book.cautions else c for c in cautions]


def _why_they_come(arrived: Sequence[Change], option: Option, book: Rulebook, us: bool) -> Iterable[str]:
    """The reason for what the title names, as a sentence; all else is something to add, each reason told once."""
    told = {change.because for change in arrived if option.title.startswith(change.name)}
    for change in arrived:
        if option.title.startswith(change.name):
            yield change.because
            continue
        reason = "" if change.because in told else f", because {_because(change.because)}"
        told.add(change.because)
        yield f"also add: {_called(change, option)} {_after(change, book, us)}{reason}"


BRIEF_CAUTIONS = 2
"""Cautions told with a plan in a list; all of them when it is taken."""


def _new_cautions(option: Option, book: Rulebook) -> list[str]:
    """What is to be minded besides what held before."""
    known = set(_texts(option.before.cautions, book))
    return [text for text in _texts(option.cautions, book) if text not in known]


def _because(text: str) -> str:
    text = text.rstrip(".")
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


def _moved(change: Change) -> bool:
    after = None if change.after_g is None else change.after_g.value
    return change.before_g != after


def _arrived(change: Change) -> bool:
    return change.before_g == 0 and change.after_g is not None and bool(change.after_g.value)


def _after(change: Change, book: Rulebook, us: bool) -> str:
    if change.after_g is None:
        return "unknown"
    known = book.ingredients.get(change.ingredient) if change.ingredient else None
    measures = {} if known is None else {unit: figure.value for unit, figure in known.measures.items()}
    return mass(change.after_g.value, measures, us)


SPOONED_G = 25.0
"""Below this a kitchen without a fine scale goes by spoons, whatever units it counts in."""


def _spoons(change: Change, book: Rulebook) -> str:
    """A small amount in spoons, in brackets; "" for one that any scale shows, or that no spoon measures."""
    known = book.ingredients.get(change.ingredient) if change.ingredient else None
    if known is None or change.after_g is None or change.after_g.value >= SPOONED_G:
        return ""
    found = household(change.after_g.value, {unit: figure.value for unit, figure in known.measures.items()})
    return "" if found is None else f" ({cook_measure(*found)})"


def _change(change: Change, option: Option, book: Rulebook, us: bool) -> str:
    after = None if change.after_g is None else change.after_g.value
    name = _called(change, option)
    if after == 0:
        return f"{name} {number(change.before_g, 'g')} out"
    spoons = "" if us else _spoons(change, book)
    if change.before_g == 0:
        return f"{name} {_after(change, book, us)}{spoons} in"
    before = number(change.before_g, "g").removesuffix(" g")
    return f"{name} {before} -> {_after(change, book, us)}{spoons}"


def _called(change: Change, option: Option) -> str:
    """A line's name, with its part where the same name stands in another."""
    parts = {c.part for c in option.changes if c.name == change.name}
    return f"{change.name} in {f'the {change.part}' if change.part else REST}" if len(parts) > 1 else change.name


def bake_line(bake: BakeAnswer, option: Option | None = None, us: bool = False) -> str:
    """Oven, when to look and when it must be out."""
    stated = option.before.formula.bake if option is not None else None
    temperature = oven(bake.oven_c.value, us)
    if stated is not None and _figures(stated.oven_c, "C") != _figures(bake.oven_c.value, "C"):
        temperature = f"{_figures(stated.oven_c, 'C')} -> {temperature}"
    was = f" (was {number(stated.minutes, 'min')})" if stated is not None else ""
    centre, first, last = (
        number(d.value, "min") for d in (bake.minutes, bake.check_from_min, bake.no_later_than_min)
    )
    return f"oven {temperature}; about {centre}{was}: start testing at {first}, no later than {last}"


NOTHING = ("0 g", "under 0.1 g")


def macros_line(assessment: Assessment) -> str:
    """The numbers a low-carb baker reads first, per piece."""
    nutrition = assessment.nutrition
    short = set(nutrition.incomplete)

    def of(field: str, unit: str) -> str:
        found = nutrition.per_piece.get(field)
        if found is None or found.value is None:
            return "unknown"
        return ("at least " if field in short else "") + number(found.value, unit)

    kinds = [f"soluble {of('soluble_fibre_g', 'g')}", f"insoluble {of('insoluble_fibre_g', 'g')}"]
    unsplit = nutrition.per_piece.get("unsplit_fibre_g")
    if unsplit is not None and unsplit.value is not None and number(unsplit.value, "g") not in NOTHING:
        kinds.append(f"type unknown {of('unsplit_fibre_g', 'g')}")
    split = ", ".join(kinds)
    return (
        f"per {piece(assessment.formula)}: {of('energy_kcal', 'kcal')}, protein {of('protein_g', 'g')}, "
        f"fat {of('fat_g', 'g')}, net carbs {of('net_carbs_g', 'g')}, fibre {of('fibre_g', 'g')} ({split}), "
        f"ketogenic ratio {of('ketogenic_ratio', '1')}, sodium {of('sodium_mg', 'mg')}"
    )


SAME = ("the same", "keeps the same")
CRUMB_NOUNS: Mapping[str, str] = {
    "cell size": "cells",
    "crust colour": "crust",
    "moistness": "",
    "openness": "",
}
"""What a word of a crumb is said of, where the word does not say it itself."""


def crumb_line(option: Option) -> str:
    """Crumb, crust and taste against the recipe's, where they change, and as they are."""
    said = [_of_crumb(word, name) for name, word in option.against.items() if word not in SAME]
    now = ", ".join(_of_crumb(word, name) for name, word in option.after.crumb_words.items())
    if not said:
        return f"crumb: as before ({now})" if now else ""
    return f"crumb: {', '.join(said)}" + (f" ({now})" if now else "")


def _of_crumb(word: str, name: str) -> str:
    """A word with what it is said of.

    >>> _of_crumb("finer", "cell size"), _of_crumb("denser", "specific volume")
    ('finer cells', 'denser')
    """
    return f"{word} {CRUMB_NOUNS.get(name, '')}".strip()


def option_full(option: Option, book: Rulebook, us: bool = False) -> str:
    """A plan in full: lines before and after, method, timeline, bake."""
    parts = [paragraph(option.title), ""]
    rows = []
    for change in option.changes:
        gone = change.after_g is not None and change.after_g.value == 0
        mark = "" if gone or not _moved(change) else change.because
        before = number(change.before_g, "g") if change.before_g != 0 else "-"
        after = "-" if gone else _after(change, book, us)
        spoons = "" if gone or us or not _moved(change) else _spoons(change, book)
        rows.append((before, after, _called(change, option) + spoons, mark))
    width = max(len(before) for before, _, _, _ in rows) if rows else 0
    wide = max(len(after) for _, after, _, _ in rows) if rows else 0
    names = max(len(name) for _, _, name, _ in rows) if rows else 0
    for before, after, name, mark in rows:
        lead = (
            f"  {before:>{width}} -> {after:>{wide}}  "
            if before != after
            else f"  {'':>{width}}    {after:>{wide}}  "
        )
        text = f"{name:<{min(names, 24)}}  {mark}" if mark else name
        parts.append(paragraph(lead + text, 0, len(lead) + 2) if not mark else _folded(lead, text))
    parts += ["", "Method", method(option.method)]
    if option.timeline:
        parts += ["", "Times", timeline(option.timeline, brief=True)]
    if option.bake is not None:
        parts += ["", bake(option.bake, option, us)]
    parts += ["", paragraph(macros_line(option.after), 0, 2)]
    words = crumb_line(option)
    parts += [paragraph(words, 0, 2)] if words else []
    parts += [paragraph(remark) for remark in option.remarks]
    parts += [paragraph(f"mind: {caution}", 0, 2) for caution in _new_cautions(option, book)]
    parts += [paragraph(f"how well tested: {option.how_tested}", 0, 2)] if option.how_tested else []
    return "\n".join(parts)


def _folded(lead: str, text: str) -> str:
    """A table row whose last cell may run over several lines, blanks kept."""
    room = WIDTH - len(lead)
    if len(text) <= room:
        return lead + text
    cut = text.rfind(" ", 0, room + 1)
    cut = cut if cut > 0 else room
    rest = wrap(text[cut:].strip(), room - 2)
    return "\n".join([lead + text[:cut].rstrip(), *(" " * (len(lead) + 2) + line for line in rest)])


def bake(answer: BakeAnswer, option: Option | None = None, us: bool = False) -> str:
    """The bake: oven, when to test, what to look for, and what explains the time."""
    parts = [paragraph("Bake: " + bake_line(answer, option, us) + ".", 0, 2)]
    parts.append(
        paragraph(
            f"Done when the middle has reached {amount(answer.core_c)} and about "
            f"{amount(answer.bake_loss_pct)} of the dough's weight is gone.",
            2,
        )
    )
    if answer.doneness:
        parts.append(paragraph("Look for: " + "; ".join(answer.doneness) + ".", 2))
    if option is not None and option.before.formula.bake is not None:
        parts.append(
            paragraph(
                f"Against the bake you know: heat flow explains x{_ratio(answer.physics_ratio)}, "
                f"the custom of this bread x{_ratio(answer.class_ratio)}.",
                2,
            )
        )
    return "\n".join(parts)


def _ratio(derivation: Derivation) -> str:
    if derivation.value is None:
        return " unknown"
    text = f"{derivation.value:.2f}"
    if (
        derivation.low is None
        or derivation.high is None
        or f"{derivation.low:.2f}" == f"{derivation.high:.2f}"
    ):
        return text
    return f"{text} ({derivation.low:.2f} to {derivation.high:.2f})"


# -- numbers of a recipe ---------------------------------------------------------------------------


def nutrition(assessment: Assessment) -> str:
    """Nutrients per piece and per 100 g, as baked."""
    found = assessment.nutrition
    per = piece(assessment.formula)
    rows = [["", "per 100 g", f"per {per}", "between"]]
    for field, name in NUTRIENT_NAMES.items():
        each, per_100g = found.per_piece.get(field), found.per_100g.get(field)
        sure = "" if each is None or each.value is None or field in found.incomplete else _between(each)
        rows.append([name, _bounded(per_100g, field, found), _bounded(each, field, found), sure])
    if not any(row[-1] for row in rows[1:]):
        rows = [row[:-1] for row in rows]
    parts = [f"{assessment.formula.name}, as baked", *columns(rows, right=(1, 2))]
    if found.pieces:
        parts.append(
            paragraph(
                f"One {per} weighs {amount(found.baked_piece_g)} baked; "
                f"{found.pieces} {_pieces(assessment.formula)}.",
                2,
            )
        )
    if found.incomplete:
        names = ", ".join(NUTRIENT_NAMES.get(f, f).strip() for f in found.incomplete)
        parts.append(paragraph(f"At least, since some line does not know it: {names}.", 2))
    return "\n".join(parts)


def _bounded(derivation: Derivation | None, field: str, nutrition: Nutrition) -> str:
    if derivation is None or derivation.value is None:
        return "unknown"
    return (">= " if field in nutrition.incomplete else "") + _as_told(derivation)


def chemistry_rows(found: Chemistry) -> list[tuple[str, Derivation]]:
    """What the chemistry says, each number by its name on the screen."""
    rows = [
        ("gas until the core sets", found.gas_ml),
        ("gas from yeast", found.yeast_gas_ml),
        ("gas from soda and powder", found.soda_gas_ml),
        ("share before the oven", found.early_gas_share),
        ("acid for the soda", found.acid_mmol),
        ("soda", found.base_mmol),
        ("acid to spare", found.surplus_acid_mmol),
        ("soda left over", found.unneutralised_soda_g),
        ("pH of the dough", found.ph),
        ("pH baked", found.ph_baked),
        ("water", found.water_g),
        ("dough feel (free water)", found.free_water_g),
        ("hydration", found.hydration_pct),
        ("salt of flours", found.salt_pct),
    ]
    return [*rows, ("dough after mixing", found.mix_c)] if found.mix_c is not None else rows


def _in_hundred(share: Derivation) -> Derivation:
    """A share as a percentage, which is how a kitchen says it."""
    value, low, high = (None if end is None else 100 * end for end in (share.value, share.low, share.high))
    return Derivation(share.claim, value, "%", low=low, high=high)


def numbers(assessment: Assessment) -> str:
    """What the chemistry says of the dough."""
    rows = [[name, amount(_in_hundred(d) if d.unit == "1" else d)] for name, d in chemistry_rows(assessment.chemistry)]
    said = [_of_crumb(word, name) for name, word in assessment.crumb_words.items()]
    crumb = ["", paragraph("crumb: " + ", ".join(said))] if said else []
    hint = paragraph('Any of these with its reasons: "working of the pH".')
    return "\n".join([f"{assessment.formula.name}: numbers of the dough", *columns(rows), *crumb, "", hint])


def crumb(assessment: Assessment, option: Option | None = None) -> str:
    """Crumb, crust and taste: numbers, and words where there are some."""
    if not assessment.crumb:
        return "What kind of bread this is was not recognised, so its crumb can't be told."
    rows = []
    for name, found in assessment.crumb.items():
        word = assessment.crumb_words.get(name, "")
        against = option.against.get(name, "") if option is not None else ""
        rows.append([name, amount(found), ", ".join(w for w in (word, against) if w)])
    others = [
        f"{name} {word}" for name, word in assessment.crumb_words.items() if name not in assessment.crumb
    ]
    told = [f"{assessment.formula.name}: crumb, crust and taste", *columns(rows)]
    told += [paragraph(", ".join(others), 2)] if others else []
    compare = [name for name, found in assessment.crumb.items() if only_orders(found.by)]
    told += ["", paragraph(f"To compare breads by, not to measure: {', '.join(compare)}.")] if compare else []
    return "\n".join(told)


def allergens(assessment: Assessment, book: Rulebook) -> str:
    """What it contains, may contain, and what cannot be confirmed."""
    parts = [f"{assessment.formula.name}: allergens"]
    for status, head in (
        ("contains", "contains"),
        ("may contain", "may contain"),
        ("cannot confirm", "cannot be confirmed"),
    ):
        names = [
            book.allergens[a].name if a in book.allergens else a
            for a, s in assessment.allergens.items()
            if s == status
        ]
        if names:
            parts.append(paragraph(f"{head}: {', '.join(names)}", 2, 4))
    if not assessment.allergens:
        parts.append(paragraph("none of the listed allergens is among the ingredients.", 2))
    parts.append(
        paragraph(
            "The labels of your own packets decide; a swap does not make a kitchen free of anything.", 2
        )
    )
    return "\n".join(parts)


def diets(assessment: Assessment, book: Rulebook) -> str:
    """Which diets it suits."""
    rows = []
    for verdict in ("yes", "no", "cannot confirm"):
        names = [
            book.diets[d].name if d in book.diets else d for d, v in assessment.diets.items() if v == verdict
        ]
        if names:
            rows.append(paragraph(f"{verdict}: {', '.join(names)}", 2, 4))
    rows.append(paragraph(LABELS_DECIDE, 2))
    return "\n".join([f"{assessment.formula.name}: diets", *rows])


LABELS_DECIDE = (
    "This goes by the ingredients' own facts. The labels of your packets, certification where a diet asks "
    "for it, and licensed practice where health does, decide."
)


def target(
    name: str, per: str, found: Derivation, low: float | None, high: float | None, short: bool, bound: bool
) -> str:
    """Where a nutrient stands against what is wanted of it."""
    wanted = [f"at least {number(low, found.unit)}"] if low is not None else []
    wanted += [f"at most {number(high, found.unit)}"] if high is not None else []
    at_least = "at least " if bound else ""
    verdict = (
        "that is not met"
        if short
        else "that cannot be confirmed"
        if bound and high is not None
        else "that is met"
    )
    text = f"{name} per {per}: {at_least}{amount(found)}; wanted {' and '.join(wanted)}: {verdict}."
    return paragraph(text[0].upper() + text[1:])


def contributions(found: Derivation, most: int = 4) -> list[str]:
    """What a number is mostly made of, the greatest parts first."""
    parts = [p for p in parts_of(found) if isinstance(p.value, int | float) and p.value > 0]
    parts.sort(key=lambda p: (-float(p.value), p.claim))
    if not parts:
        return []
    told = ", ".join(f"{p.claim} {number(p.value, p.unit)}" for p in parts[:most])
    return [paragraph(f"In the whole recipe most of it comes from: {told}.")]


def cautions(texts: Sequence[str], book: Rulebook) -> str:
    """Things to know though the answer stands."""
    return "\n".join(bullets(_texts(texts, book), 0)) if texts else "Nothing to mind in particular."


# -- reasons ---------------------------------------------------------------------------------------


PLAIN_VERDICTS = ("", "does")
"""Verdicts that say nothing the sentences don't."""


def why(answer: Why, book: Rulebook) -> str:
    """A verdict, its sentences, and where they come from."""
    verdict = "" if answer.verdict in PLAIN_VERDICTS else f": {answer.verdict}"
    parts = [paragraph(f"{answer.subject[:1].upper()}{answer.subject[1:]}{verdict}.")]
    parts += [paragraph(text, 2) for text in answer.answer]
    parts += [paragraph(f"{d.claim}: {amount(d)}", 2, 4) for d in answer.derivations]
    if answer.sources:
        keys = " ".join(f"[{key}]" for key in dict.fromkeys(answer.sources))
        parts.append(paragraph(f"rests on: {keys}", 2, 4))
    return "\n".join(parts)


def sources(keys: Iterable[str], book: Rulebook) -> list[str]:
    """Sources by key, one folded line each; a key the rulebook does not hold as it is."""
    told = []
    for key in dict.fromkeys(keys):
        source = book.sources.get(key)
        if source is None:
            told.append(paragraph(f"[{key}]", 2, 4))
            continue
        bits = [bit for bit in (source.author, source.title, source.year) if bit]
        told.append(paragraph(f"[{key}] {', '.join(bits)}", 2, 4))
    return told


def working(derivation: Derivation, book: Rulebook) -> str:
    """How a number came about: each step with what it rests on, then the sources."""
    seen: set[int] = set()
    keys: list[str] = []
    lines = _tree(derivation, 0, seen, keys)
    deeper = any(line.endswith(MORE) for line in lines)
    hint = [paragraph('For what is cut short: "working of" and its name.')] if deeper else []
    return "\n".join([*lines, *hint, *sources(keys, book)])


MORE = " ..."


def _tree(derivation: Derivation, depth: int, seen: set[int], keys: list[str]) -> list[str]:
    indent = 2 * depth
    head = f"{derivation.claim}: {amount(derivation)}"
    if id(derivation) in seen and derivation.premises:
        return [paragraph(f"{head} (worked out above)", indent, indent + 4)]
    seen.add(id(derivation))
    keys += derivation.evidence
    cited = "".join(f" [{key}]" for key in derivation.evidence)
    cut = depth >= DEEPEST and bool(derivation.premises)
    lines = [paragraph(f"{head}; {_by(derivation)}{cited}{MORE if cut else ''}", indent, indent + 4)]
    if cut:
        return lines
    for premise in derivation.premises:
        lines += _tree(premise, depth + 1, seen, keys)
    return lines


def _by(derivation: Derivation) -> str:
    """Who says so, and how well it is tested."""
    if derivation.by == "stated":
        return "as stated"
    if derivation.by.startswith("assistant."):
        *_, place, law = derivation.by.split(".")
        return f"by {place}: {law.strip('_').replace('_', ' ')} ({derivation.grade})"
    return f"by {derivation.by} ({derivation.grade})"


def comparison(found: Comparison) -> str:
    """Recipes side by side, one row for each difference that shows in the digits.

    More than two are numbered and named above; as many stand beside one another as the screen holds.
    """
    told = [(d, [_value(v, d) for v in d.values]) for d in found.differences]
    told = [(d, values) for d, values in told if len(set(values)) > 1]
    if not told:
        return "They do not differ in anything I can tell."
    names = list(found.recipes)
    heads = names if len(names) <= 2 else [str(at) for at in range(1, len(names) + 1)]
    parts = [choices(names), ""] if len(names) > 2 else []
    room = (WIDTH - NAMED) // min(len(names), BESIDE) - 2
    for first in range(0, len(names), BESIDE):
        shown = slice(first, first + BESIDE)
        rows = [["", *(_cut(name, room) for name in heads[shown])]]
        rows += [[_cut(d.what, NAMED), *(_cut(value, room) for value in values[shown])] for d, values in told]
        parts += columns(rows, right=range(1, BESIDE + 1), indent=0)
    reasons = [f"{d.what}: {d.because}" for d, _ in told if d.because]
    parts += ["", *bullets(reasons, 0)] if reasons else []
    for name, suits in found.suits.items():
        others = [set(theirs) for other, theirs in found.suits.items() if other != name]
        own = [diet for diet in suits if not all(diet in theirs for theirs in others)]
        if own:
            parts.append(paragraph(f"{name} suits, and not all of them do: {', '.join(own)}", 0, 2))
    return "\n".join(parts)


BESIDE, NAMED = 3, 24
"""Recipes beside one another at most, and columns for the names of the rows."""


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: room - 1].rstrip() + "…"


def _value(value: Derivation | None, difference: Difference) -> str:
    return "unknown" if value is None else number(_borne_out(value)[0], difference.unit)


# -- faults and manners ----------------------------------------------------------------------------


def fault(found: Fault) -> str:
    """A fault as one sentence, with its choices numbered under it."""
    what = found.what[:1].upper() + found.what[1:]
    what = (
        what if what.endswith((".", "?", "!")) else what + ("." if found.mend or not found.choices else ":")
    )
    text = f"{what} {_sentence(found.mend)}" if found.mend else what
    if found.mend and found.choices and found.kind == "not understood":
        text = f"{what.rstrip('.')}: {found.mend}:"
    if not found.choices:
        return paragraph(text)
    if found.kind == "ambiguous":
        return "\n".join([paragraph(text), choices(found.choices)])
    return "\n".join([paragraph(text), *bullets(found.choices)])


def _sentence(text: str) -> str:
    text = text[0].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else text + "."


def convert_answer(name: str, quantity: str, grams: float | None, spoons: tuple[float, str] | None) -> str:
    """A household measure in grams, or grams in household measures."""
    if grams is None:
        return paragraph(
            f"How much {quantity} of {name} weighs is unknown: the rulebook has no measure for it."
        )
    if spoons is None:
        return paragraph(f"{quantity} of {name} is {number(grams, 'g')}.")
    return paragraph(
        f"{quantity} of {name} is about {cook_measure(*spoons)}."
    )


FULL_SHOWN, TITLES_SHOWN, REFUSALS_SHOWN, ROWS_SHOWN = 3, 6, 3, 2
"""Stand-ins told in full and by title, refusals and odd rows of tables: as many as one screen holds."""
RAISED: Mapping[str, str] = {
    "chemical": "quick goods",
    "yeast": "yeast doughs",
    "foam": "sponges",
    "none": "pastry and fillings",
}


def instead(found: StandIns, book: Rulebook) -> str:
    """Stand-ins for a quantity, outside any recipe, on about one screen."""
    quantity = _quantity(found.amount, found.unit, found.grams)
    counted = found.unit == "each" or found.unit not in UNITS
    many = book.ingredients[found.ingredient].plural if found.amount > 1 and counted else ""
    asked = f"{quantity} {many or found.name}"
    place = f" in {book.products[found.product].name}" if found.product else ""
    kept = f" ({', '.join(book.diets[diet].name for diet in found.diets)})" if found.diets else ""
    parts = []
    if found.options:
        parts.append(paragraph(f"Instead of {asked}{place}{kept}:"))
    elif found.blends:
        parts.append(paragraph(f"Instead of {asked}{place}{kept} no single thing, but a blend:"))
    elif found.refusals:
        parts.append(paragraph(f"Instead of {asked}{place}{kept}: don't."))
    else:
        parts.append(paragraph(f"For {asked}{place}{kept} the rulebook knows no stand-in."))
    for at, option in enumerate(found.options[:FULL_SHOWN], 1):
        parts += _stand_in(at, option, found, book)
    told = [_brief(option) for option in found.options]
    others = [each for each in dict.fromkeys(told[FULL_SHOWN:]) if each not in told[:FULL_SHOWN]]
    if others:
        more = "" if len(others) <= TITLES_SHOWN else f"; and {len(others) - TITLES_SHOWN} more"
        parts.append(paragraph(f"Or: {'; '.join(others[:TITLES_SHOWN])}{more}.", 0, 3))
    parts += _blends(found, book)
    parts += [paragraph(f"Don't: {text}", 0, 3) for text in found.refused[:REFUSALS_SHOWN]]
    if not found.options:
        rows = [row for refusal in found.refusals for row in refusal.printed]
        parts += [paragraph(row, 3, 5) for row in _rows(rows, book)[:ROWS_SHOWN]]
    if found.left_out:
        parts.append(paragraph(f"Left out: {'; '.join(found.left_out[:TITLES_SHOWN])}.", 0, 3))
    parts += [paragraph(_sentence(remark)) for remark in found.remarks]
    return "\n".join(parts)


def _blends(found: StandIns, book: Rulebook) -> list[str]:
    """Blends of flours: the first in full, the others by name; why there are none where one was looked for."""
    if not found.blends:
        looked_for = found.product or found.purposes
        return [paragraph(_sentence(why), 0, 3) for why in found.no_blends] if looked_for else []
    first, *others = found.blends
    gives = f" ({', '.join(first.gives)})" if first.gives else ""
    parts = [paragraph(f"A blend: {first.name}{gives}, {amount(first.total_g)}", 0, 3)]
    for part in first.portions:
        spoons = "" if part.spoons is None else f", {cook_measure(*part.spoons).removesuffix(' each')}"
        other = f" (or {' or '.join(part.others)})" if part.others else ""
        told = f"{amount(part.grams)} {part.name}{other}, {amount(part.share_pct)}{spoons}: {part.because}"
        parts.append(paragraph(told, 3, 5))
    parts.append(paragraph(_sentence(first.because), 3))
    parts.append(paragraph(f"100 g: {_told(first.per_100g)}. Replaced: {_told(first.replaced_per_100g)}.", 3, 5))
    if first.water_g is not None and abs(first.water_g.value) >= WATER_TOLD_G:
        how = "Add about" if first.water_g.value > 0 else "Hold back about"
        water = number(abs(first.water_g.value), "g")
        parts.append(paragraph(f"{how} {water} of water or milk for the same dough feel.", 3, 5))
    parts += [paragraph(said, 3, 5) for said in first.adjust]
    parts += [paragraph(f"Not together: {said}.", 3, 5) for said in first.avoid]
    held = [book.allergens[a].name for a, status in first.allergens.items() if status == "contains"]
    if held:
        parts.append(paragraph(f"Contains {', '.join(held)}.", 3, 5))
    if first.doubts:
        parts.append(paragraph(f"Can't confirm it: {'; '.join(first.doubts)}.", 3, 5))
    parts += [paragraph(f"Mind: {said}", 3, 5) for said in first.cautions[:1]]
    untried = ", not tried" if first.status == "proposed" else ""
    names = "; ".join(dict.fromkeys(_source(key, book) for key in first.sources[:SOURCES_SHOWN]))
    parts.append(paragraph(f"How well tested: {first.grade}{untried} ({names}).", 3, 5))
    if others:
        parts.append(paragraph(f"Other blends: {'; '.join(other.name for other in others)}.", 0, 3))
    return parts


WATER_TOLD_G = 5.0
"""Water from which a blend is told to hold more or less of it."""
BLEND_TOLD = ("energy_kcal", "protein_g", "fat_g", "net_carbs_g", "fibre_g")


def _told(figures: Mapping[str, Derivation | None]) -> str:
    """A few nutrients in one line; what is unknown is left out."""
    known = [(NUTRIENT_NAMES[n].strip(), figures.get(n)) for n in BLEND_TOLD]
    return ", ".join(f"{name} {amount(figure)}" for name, figure in known if figure is not None)


def _stand_in(at: int, option: StandIn, found: StandIns, book: Rulebook) -> list[str]:
    """One stand-in: amounts, what a baker would say of it, what changes, what tables print, how sure it is."""
    told = " + ".join(_component(c) for c in (*option.components, *option.companions))
    parts = [paragraph(f"{at}  {told}", 0, 3)]
    parts.append(paragraph(" ".join([option.because, *option.steps]), 3))
    changes = [f"gives up: {'; '.join(option.gives_up)}"] if option.gives_up else []
    if option.oven_change_c:
        way = "lower" if option.oven_change_c < 0 else "higher"
        degrees = abs(option.oven_change_c)
        changes.append(f"oven about {number(degrees, 'C')} ({1.8 * degrees:.0f} °F) {way}")
    if option.adjust:
        changes.append(f"watch the {', '.join(option.adjust)}")
    if changes:
        parts.append(paragraph(_sentence("; ".join(changes)), 3))
    spread = _spread_of(option, book)
    if spread:
        parts.append(paragraph(spread, 3, 5))
    odd = [row for row in option.printed if not row.agrees and (row.components or row.note)]
    parts += [paragraph(row, 3, 5) for row in _rows(odd, book)[:ROWS_SHOWN]]
    if option.doubts:
        parts.append(paragraph(f"Can't confirm it: {'; '.join(option.doubts)}.", 3, 5))
    parts += [paragraph(f"Mind: {caution}", 3, 5) for caution in option.cautions[:1]]
    where = option.verdict if found.product else f"{option.verdict} {_where(option, book)}"
    parts.append(paragraph(_sentence("; ".join([where, *option.limits])), 3, 5))
    names = "; ".join(dict.fromkeys(_source(key, book) for key in option.sources[:SOURCES_SHOWN]))
    parts.append(paragraph(f"How well tested: {option.grade} ({names}).", 3, 5))
    return parts


def _brief(option: StandIn) -> str:
    parts = (*option.components, *option.companions)
    told = " + ".join(_component(c, brief=True) for c in parts)
    return f"{told}, by the flour" if any(c.per_flour is not None for c in parts) else told


def _quantity(amount: float, unit: str, grams: Derivation | None) -> str:
    if unit == "g":
        return number(amount, "g")
    written = f"{cook_number(amount)} {unit_text(unit, amount) if unit in UNITS else unit}".removesuffix(" each")
    weighed = "" if grams is None else f" ({number(grams.value, 'g')})"
    return f"{written}{weighed}"


def _component(component: Component, brief: bool = False) -> str:
    """A component in the measure asked, in spoons or cups, and in grams."""
    others = f" (or {' or '.join(component.others)})" if component.others and not brief else ""
    name = f"{component.name}{others}"
    if component.grams is None:
        if component.per_flour is None:
            return f"{name}, {component.because}" if component.because else name
        if brief:
            return name
        return f"{name}, {amount(component.per_flour)} to 100 g of the flours"
    grams = number(component.grams.value, "g")
    measures = [] if component.spoons is None else [cook_measure(*component.spoons).removesuffix(" each")]
    if component.amount is not None and (component.amount, component.unit) != component.spoons:
        asked = _plain(component.amount, 0 if component.amount >= 10 else 1)
        measures.insert(0, f"{asked} {unit_text(component.unit, component.amount)}")
    if not measures:
        return f"{grams} {name}"
    inside = grams if len(measures) == 1 else f"{measures[1]}, {grams}"
    return f"{measures[0]} {name}" if brief else f"{measures[0]} ({inside}) {name}"


def _where(option: StandIn, book: Rulebook) -> str:
    """Classes of product where it works, by what raises them: whole groups, groups but a few, or names."""
    if not option.not_in:
        return "anywhere"
    told = []
    for raised, name in RAISED.items():
        group = [p.id for p in book.products.values() if p.raised_by == raised]
        works = [book.products[p].name for p in group if p in option.works_in]
        fails = [book.products[p].name for p in group if p not in option.works_in]
        if works and not fails:
            told.append(name)
        elif works and len(fails) < len(works):
            told.append(f"{name} but {' and '.join([', '.join(fails[:-1]), fails[-1]] if fails[1:] else fails)}")
        else:
            told += works
    return f"in {', '.join(told)}" if told else "in nothing known"


def _spread_of(option: StandIn, book: Rulebook) -> str:
    """The least and most that agreeing tables print, with who prints it."""
    agreeing = [row for row in option.printed if row.agrees]
    if not agreeing or not option.spread:
        return ""
    parts = []
    for component in (*option.components, *option.companions):
        ends = option.spread.get(component.ingredient)
        if ends is not None:
            low, high = (_spooned(component.ingredient, grams, book) for grams in ends)
            parts.append(f"{low if low == high else f'{low} to {high}'} {component.name}")
    printers = [row.source for row in agreeing if set(row.components) & set(option.spread)]
    names = "; ".join(dict.fromkeys(_source(source, book) for source in printers))
    return f"Printed: {', '.join(parts)} ({names})."


def _spooned(ingredient: str, grams: float, book: Rulebook) -> str:
    measures = {name: figure.value for name, figure in book.ingredients[ingredient].measures.items()}
    found = household(grams, measures)
    return number(grams, "g") if found is None else cook_measure(*found)


def _rows(rows: Iterable[Printed], book: Rulebook) -> list[str]:
    """Rows of tables that the rule does not follow, with the reason; what several print alike is told once."""
    alike: dict[tuple[bool, str], dict[str, None]] = {}
    for row in rows:
        names = {i: book.ingredients[i].name for i in row.components if i in book.ingredients}
        told = " + ".join(f"{_written(a)} {names.get(i, i.replace('-', ' '))}" for i, a in row.components.items())
        why = row.otherwise or row.note
        if row.soda_left is not None and row.soda_left.value >= LEFT_TOLD:
            left = f"leaves {number(100 * row.soda_left.value, '%')} of the soda over"
            why = f"{left}; {row.otherwise}" if row.otherwise else left
        text = f"{told} for {_written(row.amount)}" if told else row.note
        stop = ":" if told else ";"
        said = f"{text}{stop} {_sentence(why)[0].lower()}{_sentence(why)[1:]}" if why else f"{text}."
        alike.setdefault((told != "", said), {})[_source(row.source, book)] = None
    return [
        f"{' and '.join(sources)}{(' print' if len(sources) > 1 else ' prints') if prints else ':'} {said}"
        for (prints, said), sources in alike.items()
    ]


def _written(amount: str) -> str:
    """An amount of a table, in a cook's fractions where it is told by volume.

    >>> _written("0.75 cup"), _written("1.5-1.67 cup"), _written("1 tbsp lemon-juice"), _written("100 g")
    ('3/4 cup', '1 1/2 to 1 2/3 cups', '1 tbsp lemon juice', '100 g')
    """
    read = read_quantity(amount)
    if read is None:
        return amount
    quantity, rest = read
    if not quantity.unit or kind_of(quantity.unit) != "volume":
        return amount.removesuffix(rest) + rest.replace("-", " ")
    low, high = cook_number(quantity.low), cook_number(quantity.high)
    ends = low if low == high else f"{low} to {high}"
    return f"{ends} {unit_text(quantity.unit, quantity.high)}{rest.replace('-', ' ')}"


LEFT_TOLD = 0.1
"""Share of soda left over from which a table's row is told to leave it."""


def _source(key: str, book: Rulebook) -> str:
    """A source by its author and year, as short as it can be told."""
    source = book.sources.get(key)
    if source is None:
        return key
    year = f" {source.year}" if source.year[:1].isdigit() else ""
    return f"{_cut(source.author or source.title, SOURCE_ROOM)}{year}"


SOURCE_ROOM, SOURCES_SHOWN = 40, 3
"""Columns for the name of a source, and how many are named beside those of printed rows."""


def coverage(found: Iterable[Reach], book: Rulebook) -> str:
    """How far the rules reach: a table of functions for each diet, and what is missing."""
    parts = []
    for reach in found:
        name = book.diets[reach.diet].name if reach.diet else "Whoever eats anything"
        left_out = "ingredients" if not reach.diet else "ingredients that it leaves out"
        only_no = f", {reach.refused} only a no" if reach.refused else ""
        parts.append(
            paragraph(f"{name}: {reach.answered} of {reach.asked} {left_out} have a stand-in{only_no}.", 0, 2)
        )
        rows = [
            (
                book.functions[cell.function].name,
                str(cell.stand_ins),
                f"{cell.answered} of {cell.asked}" if cell.asked else "",
                ", ".join(f"{count} {grade}" for grade, count in cell.grades.items()),
            )
            for cell in reach.cells
            if cell.stand_ins or cell.asked
        ]
        parts += columns([("function", "stand-ins", "lines", "how well tested"), *rows], right=[1, 2])
        for cell in reach.cells:
            if cell.gap:
                why = cell.lacks or "nothing is known that keeps it"
                parts.append(paragraph(f"lacks {book.functions[cell.function].name}: {why}", 2, 4))
        for gap in reach.gaps if reach.diet else ():
            parts.append(paragraph(f"no plan in {gap.recipe}: {gap.because}", 2, 4))
        if reach.silent and reach.diet:
            parts.append(paragraph(f"nothing said of {', '.join(reach.silent)}", 2, 4))
        parts.append("")
    parts.append(
        paragraph(
            "Lines are those of the packaged recipes that serve the function and that the diet leaves out, or "
            "that keep the recipe from its figures: how many have a plan that keeps the function, of how many."
        )
    )
    return "\n".join(parts)


# -- the own shelf ---------------------------------------------------------------------------------

OF_A_LABEL: Mapping[str, str] = {
    "per": "per how much does its label tell? per 30 g serving, per 100 g",
    "weight": "what does that weigh? Type it in grams: per 30 g",
    "convention": "is that a US or an EU label? An EU label's carbohydrate leaves the fibre out",
    "energy_kcal": "energy, in kcal?",
    "fat_g": "fat, in g?",
    "carbohydrate_g": "carbohydrate, in g?",
    "fibre_g": "fibre, in g?",
    "protein_g": "protein, in g?",
}
TOLD_OF_A_LABEL = ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sugars_g", "sodium_mg", "water_g")


def packet_question(missing: str, name: str, like: str, first: bool) -> str:
    """What is asked next of a label; the first time also how it goes."""
    asked = f"{name}: {OF_A_LABEL[missing]}"
    if not first:
        return paragraph(asked)
    how = "Type what the label prints, all at once or as I ask; skip what it does not tell, cancel to leave it."
    return "\n".join([paragraph(f"A packet of {name}, like {like}. {how}"), paragraph(asked)])


def packet_kept(
    own: Ingredient, table: Ingredient, where: str, typed: tuple[Sequence[str] | None, Sequence[str] | None],
    unread: Sequence[str], book: Rulebook,
) -> str:  # fmt: skip
    """An own ingredient as it is kept, its label against the table, and what the label leaves out; `typed` are
    the allergens that were typed after "contains" and "may contain"."""
    rows = [["per 100 g", "your packet", "the table"]]
    untold = []
    for nutrient in TOLD_OF_A_LABEL:
        mine, usual = own.composition.get(nutrient), table.composition.get(nutrient)
        if mine is not None and mine.source == OWN_LABEL:
            rows.append([NUTRIENT_NAMES[nutrient].strip(), _figure_text(mine), _figure_text(usual)])
        else:
            untold.append(NUTRIENT_NAMES[nutrient].strip())
    said = [paragraph(f"On your shelf as {own.name}: {where}"), *columns(rows)]
    left = ", ".join([*untold, "kinds of fibre", "what it does in a dough"])
    said.append(paragraph(f"What the label leaves out goes by {table.name}: {left}."))
    told = [f"contains {_allergens_text(own.contains, typed[0], table, book)}"]
    if own.may_contain or typed[1] is not None:
        told.append(f"may contain {_allergens_text(own.may_contain, typed[1], table, book)}")
    again = "; where it says otherwise, type it again with contains, may contain" if None in typed else ""
    said.append(paragraph(f"Allergens: {'; '.join(told)}. The label decides{again}."))
    if unread:
        said.append(paragraph(f"Not used: {'; '.join(unread)}."))
    return "\n".join(said)


def _allergens_text(
    held: Sequence[str] | None, typed: Sequence[str] | None, table: Ingredient, book: Rulebook
) -> str:
    """Allergens by their names on labels, and who says so."""
    if held is None:
        return "nobody knows what"
    names = ", ".join(book.allergens[each].name for each in held) or "none that must be named"
    who = ["as you typed"] if typed is not None else []
    who += [f"as {table.name}"] if set(held) - set(typed or ()) or not who else []
    return f"{names} ({' and '.join(who)})"


def _figure_text(figure: Figure | None) -> str:
    if figure is None:
        return "unknown"
    return amount(Derivation("", figure.value, figure.unit, low=figure.low, high=figure.high))


def packet_counts(was: Formula, formula: Formula, before: Nutrition, now: Nutrition) -> str:
    """What the recipe comes to with the packet's figures, and what weighs otherwise by it."""
    weighs = [
        f"{line.name} {number(old.grams, 'g')} -> {number(line.grams, 'g')}"
        for old, line in zip(was.lines, formula.lines, strict=True)
        if old.grams is not None and line.grams is not None and old.grams != line.grams
    ]
    by_packet = f" By your packet's measure: {', '.join(weighs)}." if weighs else ""
    told = []
    for field in ("energy_kcal", "protein_g", "fat_g", "net_carbs_g", "fibre_g"):
        old, new = before.per_piece.get(field), now.per_piece.get(field)
        if old is not None and new is not None:
            texts = number(old.value, old.unit), number(new.value, new.unit)
            change = texts[1] if texts[0] == texts[1] else f"{texts[0]} -> {texts[1]}"
            told.append(f"{NUTRIENT_NAMES[field].strip()} {change}")
    return paragraph(f"It counts in {formula.name} from now on.{by_packet} Per {piece(formula)}: {', '.join(told)}.")


def shelf(own: Sequence[Ingredient]) -> str:
    """What stands on a person's own shelf."""
    if not own:
        return paragraph("Your shelf is empty. Type a packet's label to put it there, for example:") + (
            "\n  my flour: per 100 g 340 kcal, fat 1.2 g, carbs 70 g, fibre 3 g,\n  protein 11 g, EU label"
        )
    rows = []
    for each in own:
        figures = ", ".join(
            f"{NUTRIENT_NAMES[name].strip()} {_figure_text(each.composition.get(name))}"
            for name in ("protein_g", "fat_g", "carbohydrate_g", "fibre_g")
        )
        rows.append(f"{each.name}: per 100 g {figures}")
    return "\n".join(["On your shelf", *bullets(rows)])


def noted_bake(minutes: float | None, core_c: float | None, baked_g: float | None, remark: str | None) -> str:
    """A test bake in one sentence."""
    said = [f"{number(minutes, 'min')} in the oven"] if minutes is not None else []
    said += [f"core {number(core_c, 'C')}"] if core_c is not None else []
    said += [f"{number(baked_g, 'g')} out of the oven"] if baked_g is not None else []
    said += [remark] if remark else []
    return f"Test bake: {', '.join(said)}."


def help_text(examples: Sequence[str]) -> str:
    """What can be said, by example."""
    half = (len(examples) + 1) // 2
    rows = [[examples[at], examples[at + half] if at + half < len(examples) else ""] for at in range(half)]
    return "\n".join(["Say it in your own words. For example:", *columns(rows)])


def fahrenheit(temperature_c: float) -> str:
    """A temperature in F, to the degree.

    >>> fahrenheit(97.0)
    '207 °F'
    """
    return f"{c_to_f(temperature_c):.0f} °F"
