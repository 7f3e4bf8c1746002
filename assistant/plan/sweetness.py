"""What sweetens a formula: how sweet it comes out, the sugar alcohols in a piece, and sugar's body when it is missing."""

from collections.abc import Iterable

from assistant.formula.model import Line
from assistant.laws import sweetness as law
from assistant.plan.chemistry import figure, weight
from assistant.plan.functions import Context, mass, strength
from assistant.rulebook.model import Ingredient
from assistant.words.derivation import Derivation, Notes, ranged, stated

SWEET, BULK = "sweetness", "bulk"
PER_PIECE, SITTING, ADDED = (
    "sugar alcohols per piece",
    "share of what a sitting bears",
    "added sugar alcohols of the baked goods",
)
MISSING, MISSING_ML = "sugar's body that is missing", "room it took in the dough"
SWEETENERS = ("sugar", "syrup", "polyol", "intense-sweetener")
"""Classes whose dry matter is the body of what sweetens."""
MISSED_FROM = 1 / 3
"""Share of the sweet body from which its absence is told. Common practice, no source."""
HALF_A_SITTING = 0.5
"""From here on two pieces reach what a sitting bears, and it is worth saying."""


def sweetness_of(context: Context, baked: Derivation, notes: Notes) -> Derivation:
    """Sweetness of all lines, as g of sucrose in the baked goods; sweeteners are taken to add.

    An intense sweetener counts by its strength at the level it is used at; whatever else is sweet by its ratio.
    Lines whose sweetness nobody knows are left out.
    """
    return notes.derive("sweetness of all lines", _total, *_sweet(context, baked, notes), unit="g sucrose")


def _sweet(context: Context, baked: Derivation, notes: Notes) -> Iterable[Derivation]:
    function = context.book.functions[SWEET]
    for ingredient, line in _here(context):
        per_g = strength(ingredient, function)
        if per_g is None or per_g <= 0:
            continue
        told = ingredient.does.get(SWEET)
        claim = f"sweetness of {ingredient.name} against sugar"
        times = (
            Derivation(claim, per_g, function.unit, f"{function.id} of its composition")
            if told is None
            else figure(claim, told)
        )
        name, unit = f"sweetness of the {line.name}", "g sucrose"
        if ingredient.sweetest is None:
            yield notes.derive(
                name, law.sucrose_equal_g, weight(line), times, unit=unit, evidence=times.evidence, grade=times.grade
            )  # fmt: skip
        else:
            most = figure(f"most sweetness of {ingredient.name}", ingredient.sweetest)
            yield notes.derive(
                name, law.intense_sucrose_equal_g, weight(line), baked, times, most,
                unit=unit, evidence=(*times.evidence, *most.evidence), grade=most.grade,
            )  # fmt: skip


def sugar_alcohols_of(context: Context, baked: Derivation, notes: Notes) -> dict[str, Derivation]:
    """Sugar alcohols (and allulose) of a piece, against what a sitting bears, and as the EU counts those added.

    Only of lines whose threshold is known; per piece only where the recipe says how many it makes.
    """
    drawn = [(i, line) for i, line in _here(context) if i.laxative_from is not None]
    found: dict[str, Derivation] = {}
    added = list(_amounts(drawn, ("polyols_g",), notes))
    if added and baked.value > 0:
        grams = notes.derive("sugar alcohols added", _total, *added, unit="g")
        found[ADDED] = notes.derive(
            ADDED, law.added_polyols_pct, grams, baked, unit="%", evidence=("eu-1169-2011",)
        )
    pieces = context.formula.pieces
    amounts = list(_amounts(drawn, ("polyols_g", "allulose_g"), notes))
    if not amounts or pieces is None:
        return found
    of_one = [
        notes.derive(f"{d.claim} per piece", _shared, d, stated("pieces", float(pieces), "pieces"), unit="g")
        for d in amounts
    ]
    found[PER_PIECE] = notes.derive(PER_PIECE, _total, *of_one, unit="g")
    body = ranged(
        "body of an adult", law.BODY_KG, "kg", "assistant.laws.sweetness.BODY_KG", ("efsa-2012-defaults",)
    )
    pairs: list[Derivation] = []
    for (ingredient, _), grams in zip(drawn, of_one, strict=True):
        assert ingredient.laxative_from is not None
        per_kg = figure(f"{ingredient.name} that a sitting bears, per kg", ingredient.laxative_from)
        bears = notes.derive(
            f"{ingredient.name} that a sitting bears", law.laxation_threshold_g, per_kg, body,
            unit="g", evidence=per_kg.evidence, grade=per_kg.grade,
        )  # fmt: skip
        pairs += [grams, bears]
    found[SITTING] = notes.derive(SITTING, law.laxation_share, *pairs, grade="from memory")
    return found


def _amounts(
    drawn: Iterable[tuple[Ingredient, Line]], nutrients: tuple[str, ...], notes: Notes
) -> Iterable[Derivation]:
    for ingredient, line in drawn:
        figures = [f for n in nutrients if (f := ingredient.composition.get(n)) is not None and f.value > 0]
        if figures:
            parts = [
                notes.derive(
                    f"sugar alcohols of the {line.name}",
                    _per_100,
                    weight(line),
                    figure("per 100 g", f),
                    unit="g",
                    evidence=(f.source,),
                    grade=f.grade,
                )
                for f in figures
            ]
            yield notes.derive(f"sugar alcohols of the {line.name}", _total, *parts, unit="g")


def sweetener_cautions(context: Context, numbers: dict[str, Derivation]) -> tuple[str, ...]:
    """What to know of the sugar alcohols in a formula, said from its numbers."""
    said = []
    sitting, grams = numbers.get(SITTING), numbers.get(PER_PIECE)
    if sitting is not None and grams is not None and sitting.value >= HALF_A_SITTING:
        piece = context.formula.piece_name or "piece"
        what = " and ".join(dict.fromkeys(i.name for i, _ in _here(context) if i.laxative_from is not None))
        acts = (
            "it may act as a laxative, sooner in a child"
            if sitting.value >= 1
            else "two of them may act as a laxative, and less in a child"
        )
        said.append(
            f"With {what}, one {piece} holds about {grams.value:.0f} g that the gut takes up badly, {100 * sitting.value:.0f} % of what an adult bears at one sitting: {acts}."
        )
    added = numbers.get(ADDED)
    if added is not None and law.laxative_statement_due(added.value):
        said.append(
            f'About {added.value:.0f} % of the baked goods are added sugar alcohols: for sale in the EU, above 10 %, the label must say "excessive consumption may produce laxative effects".'
        )
    return tuple(said)


def missing_body(before: Context, after: Context, notes: Notes) -> dict[str, Derivation]:
    """Dry body of sweeteners that a swap took out and nothing took the place of; empty where it is not missed.

    What other dry matter came in stands for it; less than the tolerance of bulk, or than a third of what
    sweetened (a syrup for sugar), is not missed.
    """
    body = [_body(each, notes) for each in (before, after)]
    if body[0] is None or body[1] is None or before.base_weight_g <= 0:
        return {}
    gone = notes.derive("sweet body that left", law.bulk_missing_g, body[0], body[1], unit="g")
    whole = [stated(f"dry matter {when}", each.total(BULK), "g") for when, each in (("before", before), ("now", after))]  # fmt: skip
    left = notes.derive("dry matter that left", law.bulk_missing_g, *whole, unit="g")
    missing = notes.derive(MISSING, _lesser, gone, left, unit="g")
    noticed = before.book.functions[BULK].tolerance * before.base_weight_g / 100
    if missing.value <= max(noticed, MISSED_FROM * body[0].value):
        return {}
    per_g = ranged(
        "volume of a gram dissolved", law.DISSOLVED_ML_G, "mL/g", "assistant.laws.sweetness.DISSOLVED_ML_G",
        ("crc-handbook",),
    )  # fmt: skip
    room = notes.derive(MISSING_ML, law.dissolved_volume_ml, missing, per_g, unit="mL")
    return {MISSING: missing, MISSING_ML: room}


def missing_body_remark(numbers: dict[str, Derivation]) -> tuple[str, ...]:
    """What it means that sugar's body is missing."""
    if MISSING not in numbers:
        return ()
    grams, room = numbers[MISSING].value, numbers[MISSING_ML].value
    return (
        f"About {grams:.0f} g of sugar's body is missing, {room:.0f} mL once it would have dissolved: expect less of it, drier and tougher, unless something with body and little taste takes its place.",
    )


def _body(context: Context, notes: Notes) -> Derivation | None:
    """Dry matter of what sweetens; None where the water of one of them is unknown."""
    parts = []
    for at in context.lines(*SWEETENERS):
        ingredient, line = context.ingredients[at], context.formula.lines[at]
        if ingredient is None or line.grams is None or "water_g" not in ingredient.composition:
            return None
        parts.append(
            notes.derive(
                f"body of the {line.name}",
                _dry,
                weight(line),
                figure("water per 100 g", ingredient.composition["water_g"]),
                unit="g",
            )
        )
    return notes.derive("body of what sweetens", _total, *parts, unit="g")


def _here(context: Context) -> Iterable[tuple[Ingredient, Line]]:
    for ingredient, line in zip(context.ingredients, context.formula.lines, strict=True):
        if ingredient is not None and mass(line) > 0:
            yield ingredient, line


def _total(*parts: float) -> float:
    return sum(parts)


def _shared(amount: float, pieces: float) -> float:
    return amount / pieces


def _per_100(mass_g: float, per_100g: float) -> float:
    return mass_g * per_100g / 100


def _dry(mass_g: float, water_per_100g: float) -> float:
    return mass_g * (1 - water_per_100g / 100)


def _lesser(a: float, b: float) -> float:
    return min(a, b)
