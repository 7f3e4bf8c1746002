"""A recipe as written, found in the rulebook and weighed: a card becomes a formula.

What could not be found or weighed stays in the formula, with a fault that says so at its place.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from assistant.formula.card import NONE, Card, Written
from assistant.formula.line import ParsedLine, clean, read_line, weigh
from assistant.formula.method import (
    PANS,
    Called,
    bake_of,
    best_heat,
    heats_in,
    oven_heats,
    pan_in,
    read_method,
    sides_cm,
    times_in,
)
from assistant.formula.model import MATERIALS, SHAPES, Bake, Formula, Line, Step
from assistant.formula.parts import AFTER, kind_of_part
from assistant.formula.recognise import ingredient_called, ingredients_of, recognise_product
from assistant.formula.retell import pieces_cut
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.names import SLIP, Names
from assistant.words.faults import Fault, Place, stopping
from assistant.words.units import System, grams_of, read_number, read_quantity, unit_named

Read = tuple[Formula | None, tuple[Fault, ...]]

LONGEST_CHARS = 5000
"""A line or step longer than this is something else."""
LINE_LIMIT_G = 50_000.0
"""More of one ingredient than any small kitchen mixes: a slip of the pen."""
STICK_TBSP = 8.0
"""A US stick of butter or other fat is 8 tablespoons. Source: common practice (marked on the wrapper)."""
UNKNOWN = "unknown"
"""What a recipe says whose class of product is known to be none of ours."""


def formula_of(card: Card, source: str, book: Rulebook, names: Names, system: System) -> Read:
    """A recipe as written, weighed and with its ingredients found."""
    faults: list[Fault] = list(card.faults)
    for written in (*card.lines, *card.steps):
        if len(written.text) > LONGEST_CHARS:
            return None, (too_long(written.where),)
    lines: list[Line] = []
    listed = tuple(_with_bare_headings(card.lines, book, names))
    parts = {written.part for written in listed} - {""}
    made: list[tuple[Written, str]] = []
    for written in listed:
        part = _of_other_part(written, parts)
        if part:
            made.append((written, part))
            continue
        for text in _two_in_one(written.text, names):
            line, line_faults = read_ingredient_line(replace(written, text=text), book, names, system)
            lines.append(line)
            faults += line_faults
    if not any(line.ingredient is not None and line.confidence > SLIP for line in lines):
        what = "no ingredient line was found" if not lines else "no line names an ingredient I know"
        return None, (Fault(Place(source), f"{what}, so this is no recipe I can read",
                            "give lines with amounts, as in 500 g flour"),)  # fmt: skip
    faults += [_counted_there(written, part, lines) for written, part in made]
    ingredients = ingredients_of(lines, book)
    under = tuple(_under_part(card.steps, {line.part for line in lines}))
    paragraphs = read_method(under, Called(lines, ingredients))
    steps = tuple(step for paragraph in paragraphs for step in paragraph)
    places = [
        written.where for written, paragraph in zip(card.steps, paragraphs, strict=True) for _ in paragraph
    ]
    bake, bake_faults = _oven_line(card.oven) if card.oven is not None else bake_of(steps, places)
    if bake is None and card.cook_min is not None and card.oven is None:
        bake, bake_faults = _bake_by_cook_time(steps, card.cook_min, Place(source)) or (bake, bake_faults)
    if bake is not None and not bake.pan and card.oven is None:
        bake = replace(bake, pan=pan_in([card.name]))
    faults += bake_faults
    name = card.name or _name_of(source)
    if not card.name:
        faults.append(
            Fault(
                Place(source),
                f"the recipe has no title; I call it {name}",
                "write its name on the first line",
                False,
            )
        )
    pieces, piece_name = card.pieces, card.piece_name
    if pieces is None and (cut := pieces_cut(steps)) is not None:
        pieces, piece_name = cut[0], piece_name or cut[1]
        what = f"it does not say how many it makes; by its method I count {pieces}"
        faults.append(Fault(Place(source), what, 'write it as in "makes 12 rolls"', False, "ambiguous"))
    unsaid = Formula("", "", ())
    formula = Formula(
        name=name,
        product="",
        lines=tuple(lines),
        steps=steps,
        bake=bake,
        pieces=pieces,
        piece_name=piece_name,
        altitude_m=unsaid.altitude_m if card.altitude_m is None else card.altitude_m,
        room_c=unsaid.room_c if card.room_c is None else card.room_c,
        note=card.note,
        version=unsaid.version if card.version is None else card.version,
    )
    product, product_faults = product_named(card.kind, Place(source), formula, book)
    faults += product_faults
    if stopping(faults):
        return None, tuple(faults)
    return replace(formula, product=product), tuple(faults)


def _under_part(steps: Iterable[Written], parts: Collection[str]) -> Iterable[tuple[str, str]]:
    """The steps with the part they stand under. A heading that is no more than a part's name need not be said
    with its step; any other is part of the text."""
    for written in steps:
        said = re.sub(r"^(?:(?:to )?make|prepare|for)\s+(?:the |an? )?", "", written.part.lower()).strip()
        near = [part for part in parts if part and (part.endswith(f" {said}") or said.endswith(f" {part}"))]
        part = said if said in parts else near[0] if said and len(near) == 1 else ""
        yield (written.text if part and part == said else written.lead + written.text), part


def _bake_by_cook_time(
    steps: Sequence[Step], cook_min: float, where: Place
) -> tuple[Bake, tuple[Fault, ...]] | None:
    """The bake of a method that says how hot and not how long, where the recipe states a cooking time."""
    bakes = [step for step in steps if step.kind == "bake"]
    heat = best_heat([heat for step in (*bakes, *steps) for heat in oven_heats(step.text)])
    if not bakes or heat is None:
        return None
    what = f"no step says how long it bakes; I took the cooking time, {cook_min:g} minutes"
    bake = Bake(heat.celsius, cook_min, pan=pan_in([*(step.text for step in (*bakes, *steps))]),
                oven="fan" if heat.fan else "still")  # fmt: skip
    return bake, (Fault(where, what, 'write it as in "bake 25 to 30 minutes"', False, "ambiguous"),)


NAMELESS = "Untitled recipe"


def _name_of(source: str) -> str:
    """What to call a recipe without a title: after its file, where there is one."""
    path = Path(source)
    stem = " ".join(re.findall(r"[^\W_]+", path.stem)) if path.suffix else ""
    return stem.capitalize() or NAMELESS


def too_long(where: Place) -> Fault:
    """Why a text of this length is refused."""
    return Fault(
        where, "this is longer than any line or step of a recipe", "break it up, or give the recipe alone"
    )


def _with_bare_headings(lines: Sequence[Written], book: Rulebook, names: Names) -> Iterable[Written]:
    """The lines, save a word or two after a gap that names nothing known, or a part: the heading of what follows."""
    within: str | None = None  # the part the last bare heading stood in
    part = ""
    for at, written in enumerate(lines):
        last = at + 1 == len(lines) or lines[at + 1].after_gap
        if written.after_gap and not last and len(written.text.split()) <= 3:
            parsed = read_line(written.text, names)
            named = parsed.ingredient is not None or not parsed.name.replace(" ", "").isalpha()
            if parsed.quantity is None and (not named or _names_a_part(written.text, book)):
                within, part = written.part, parsed.text.lower()
                continue
        yield replace(written, part=part) if written.part == within else written


_ALL_OF = re.compile(r"^(?:all(?: of)?|the|your|ripe|active|remaining|prepared|\s)*|\s*\([^()]*\)|,.*$|\s+(?:from )?above$")


def _of_other_part(written: Written, parts: Collection[str]) -> str:
    """The part of the recipe that a line of another part is: "150 g levain (from above)", "all of the poolish"."""
    text = clean(written.text).lower()
    quantity = read_quantity(text)
    name = _ALL_OF.sub("", (text if quantity is None else quantity[1]).strip().removeprefix("of ")).strip()
    return name if name in parts and name != written.part else ""


def _counted_there(written: Written, part: str, lines: Sequence[Line]) -> Fault:
    """A part that goes into another is counted by its own lines, and not once more."""
    said = f'"{written.text}" is counted by the lines of the {part}'
    made = sum(line.grams or 0.0 for line in lines if line.part == part)
    quantity = read_quantity(clean(written.text))
    goes = quantity[0].amount if quantity is not None and quantity[0].unit == "g" else made
    if abs(goes - made) <= 0.05 * made:
        return Fault(written.where, said, "call it otherwise if it is another thing", False)
    said += f", all {made:.0f} g of it though {goes:g} g go in"
    return Fault(written.where, said, "give only what goes in", False)


def _names_a_part(text: str, book: Rulebook) -> bool:
    """Whether words that are also sold in a tub ("cream cheese frosting") end as the heading of a part does."""
    kind = kind_of_part(text, book)
    last = clean(text).lower().rstrip(":").split()[-1:]
    return kind is not None and (last == [kind.id] or (kind.firm and kind.baked == AFTER))


def _two_in_one(text: str, names: Names) -> tuple[str, ...]:
    """ "1 egg plus 1 egg yolk", "salt and pepper" and "zest and juice of 1 lemon" as two lines, when each
    half is a known thing."""
    fruit = _ZEST_AND_JUICE.match(text)
    if fruit is not None:
        halves = tuple(f"{part} of {fruit['before'] or fruit['after']}" for part in ("zest", "juice"))
        if all(read_line(half, names).ingredient is not None for half in halves):
            return halves
    between = re.search(r"\s+(?:plus|and|\+|&)\s+", text)
    if between is None:
        return (text,)
    halves = (text[: between.start()], text[between.end() :])
    if _PAIRED.search(text) is not None:
        return (text,)
    whole = read_line(text, names)
    if whole.ingredient is not None and not whole.remarks:
        return (text,)
    parsed = [read_line(half, names) for half in halves]
    return (
        halves if all(half.ingredient is not None and half.confidence >= 1.0 for half in parsed) else (text,)
    )


_ZEST_AND_JUICE = re.compile(
    r"(?:the\s+)?(?:(?:finely\s+)?grated\s+)?(?:zest and juice|juice and zest)\s+(?:of|from)\s+(?P<after>.+)$|"
    r"(?P<before>[^,]+),?\s+(?:zested and juiced|juiced and zested|(?:(?:finely\s+)?grated\s+)?zest and juice|juice and (?:grated )?zest)$",
    re.IGNORECASE,
)
_PAIRED = re.compile(r"\bhalf[- ]and[- ]half\b|\(|\bzest and juice\b|\bjuice and zest\b", re.IGNORECASE)


def read_ingredient_line(
    written: Written, book: Rulebook, names: Names, system: System = "us"
) -> tuple[Line, list[Fault]]:
    """One line of an ingredient list, found in the rulebook and weighed, with what is to be said of it."""
    parsed = read_line(written.text, names)
    ingredient = ingredient_called(parsed.ingredient, book)
    return _weighed_line(parsed, ingredient, written.part, written.where, system)


def _weighed_line(
    parsed: ParsedLine, ingredient: Ingredient | None, part: str, where: Place, system: System
) -> tuple[Line, list[Fault]]:
    weighed = weigh(parsed, measures_of(ingredient), system)
    faults = line_faults(parsed, where, weighed.grams is not None or parsed.quantity is None)
    faults += [Fault(where, remark, "check the amount", False) for remark in weighed.remarks]
    in_grams = parsed.quantity is not None and parsed.quantity.unit == "g"
    grams, low, high = (
        value if in_grams else tidy_g(value) for value in (weighed.grams, weighed.low_g, weighed.high_g)
    )
    amount = parsed.amount
    if grams is None and (ingredient is not None or parsed.quantity is None):
        faults.append(_no_mass(parsed, ingredient, where))
    elif grams is not None and grams > LINE_LIMIT_G:
        faults.append(too_much(parsed.name, grams, where))
    line = Line(
        name=parsed.name or parsed.text or "?",
        ingredient=None if ingredient is None else ingredient.id,
        grams=grams,
        amount=amount,
        unit=parsed.unit if amount is not None else "",
        note=parsed.note,
        part=part,
        low_g=low,
        high_g=high,
        confidence=round(parsed.confidence, 3),
        text=parsed.text,
    )
    return line, faults


def measures_of(ingredient: Ingredient | None) -> dict[str, float]:
    """Grams per household measure, by the names units have here; a stick of a fat is 8 US tablespoons."""
    if ingredient is None:
        return {}
    measures = {unit_named(key) or key: figure.value for key, figure in ingredient.measures.items()}
    stick = grams_of(STICK_TBSP, "tbsp", measures) if ingredient.enters == "fat" else None
    return measures if stick is None else {"stick": stick} | measures


def tidy_g(mass_g: float | None) -> float | None:
    """Hundredths of a gram, thousandths below one: finer than any figure behind a household measure."""
    return None if mass_g is None else round(mass_g, 2 if mass_g >= 1 else 3)


def line_faults(parsed: ParsedLine, where: Place, weighed: bool) -> list[Fault]:
    """What is to be said of a line: a name nobody knows, and what was decided in reading it."""
    faults = []
    if parsed.ingredient is None:
        faults.append(_unknown(parsed.name or parsed.text, parsed.nearest, where, weighed))
    for remark in parsed.remarks:
        faults.append(
            Fault(
                where, remark, "name another if that is not what you use", False, "ambiguous", parsed.nearest
            )
        )
    return faults


def _unknown(name: str, nearest: Sequence[str], where: Place, weighed: bool) -> Fault:
    near = f"write {_or(nearest)} if you mean that" if nearest else "write its usual name"
    what = "it stays as written" if weighed else "it stays as written and its weight is unknown"
    return Fault(where, f'"{name}" is no ingredient I know, so {what}', near, False, choices=tuple(nearest))


def _or(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1]


def _no_mass(parsed: ParsedLine, ingredient: Ingredient | None, where: Place) -> Fault:
    if parsed.quantity is None:
        return Fault(where, f'"{parsed.text}" has no amount, so it counts as unknown', "write grams", False)
    unit = parsed.quantity.unit or "one"
    of = parsed.name if ingredient is None else ingredient.name
    return Fault(where, f"how much a {unit} of {of} weighs is unknown" if unit != "one" else
                 f"how much one {of} weighs is unknown", "write grams", False)  # fmt: skip


def too_much(name: str, grams: float, where: Place) -> Fault:
    """Why a line of this mass is refused."""
    return Fault(
        where,
        f"{grams:,.0f} g of {name} is more than {LINE_LIMIT_G / 1000:.0f} kg in one line",
        "check the amount",
    )


def product_named(kind: str, where: Place, formula: Formula, book: Rulebook) -> tuple[str, tuple[Fault, ...]]:
    """The class of product as stated, else as recognised."""
    if not kind:
        return recognise_product(formula, book), ()
    wanted = kind.strip().lower()
    if wanted == UNKNOWN:
        return "", ()
    for product in book.products.values():
        if wanted in (product.id, product.name.lower(), *(alias.lower() for alias in product.aliases)):
            return product.id, ()
    known = ", ".join(product.name for product in book.products.values())
    return recognise_product(formula, book), (
        Fault(where, f'"{kind}" is no class of product I know', f"write one of: {known}", False),
    )


def _oven_line(written: Written) -> tuple[Bake | None, tuple[Fault, ...]]:
    """`Oven: 180 C fan, 25 to 30 minutes, loaf tin`, with `about 26` where the middle is another."""
    if written.text == NONE:
        return None, ()
    heat = best_heat(heats_in(written.text))
    spells = times_in(written.text)
    if heat is None or not spells:
        missing = "temperature" if heat is None else "time"
        return None, (
            Fault(
                written.where, f"the oven line says no {missing}", 'write it as in "180 C, 30 minutes"', False
            ),
        )
    low, high = spells[0].low, spells[0].high
    plain = re.search(r"(?<![\d.])([\d.]+)(?: to ([\d.]+))? minutes", written.text)
    if plain is not None:
        low = float(plain[1])
        high = float(plain[2]) if plain[2] else low
    mean = re.search(r"\babout ([\d.]+)", written.text)
    ranged = low != high or mean is not None or (plain is not None and plain[2] is not None)
    exact = re.match(r"\s*([\d.]+) C\b", written.text)
    return (
        _tin(Bake(
            oven_c=heat.celsius if exact is None else float(exact[1]),
            minutes=(low + high) / 2 if mean is None else float(mean[1]),
            minutes_low=low if ranged else None,
            minutes_high=high if ranged else None,
            pan=_pan_named(written.text),
            oven="fan" if heat.fan else "still",
        ), _parts(written.text)[1:]),
        (),
    )


def _pan_named(text: str) -> str:
    """The pan an oven line names: one of our names for pans, else by the words for it."""
    named = [part for part in _parts(text) if part in PANS]
    return named[0] if named else pan_in([text])


def _parts(text: str) -> list[str]:
    return [part.strip().lower() for part in text.split(",")]


def _tin(bake: Bake, parts: Sequence[str]) -> Bake:
    """The bake with what the rest of an oven line says of its pan, shape and steam."""
    for part in parts:
        number = read_number(part)
        if part in MATERIALS:
            bake = replace(bake, material=part)
        elif part.endswith(" cm"):
            bake = replace(bake, size_cm=sides_cm(part))
        elif part.endswith(" litres") and number is not None:
            bake = replace(bake, litres=number[0])
        elif part.removeprefix("shaped as ") in SHAPES:
            bake = replace(bake, shape=part.removeprefix("shaped as "))
        elif part.startswith("steam for ") and (spoken := read_number(part.removeprefix("steam for "))):
            bake = replace(bake, steam_min=spoken[0])
    return bake


def weigh_amount(
    amount: float, unit: str, ingredient: Ingredient | None, system: System = "us"
) -> float | None:
    """Mass of an amount of an ingredient by its household measures, g; None when they don't say."""
    return grams_of(amount, unit, measures_of(ingredient), system)
