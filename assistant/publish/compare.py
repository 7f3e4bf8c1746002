"""Recipes side by side: what differs, by how much, and mostly why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isclose

from assistant.plan.model import Assessment, BakeAnswer
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import Derivation, stated

SAME = 0.005
"""Share by which two numbers may part and still count as the same to a reader."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which recipes differ: a value for each, in order; None is unknown."""

    what: str
    values: tuple[Derivation | None, ...]
    unit: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Recipes side by side, and the diets each suits, by its name here."""

    recipes: tuple[str, ...]
    differences: tuple[Difference, ...]
    suits: Mapping[str, tuple[str, ...]]


NUTRIENTS: Mapping[str, str] = {
    "energy_kcal": "energy",
    "protein_g": "protein",
    "fat_g": "fat",
    "carbohydrate_g": "carbohydrate",
    "net_carbs_g": "net carbs",
    "sugars_g": "sugars",
    "fibre_g": "fibre",
    "soluble_fibre_g": "soluble fibre",
    "insoluble_fibre_g": "insoluble fibre",
    "sodium_mg": "sodium",
    "ketogenic_ratio": "ketogenic ratio",
}


RATIOS = ("ketogenic_ratio",)
"""Figures that are the same whatever they are counted per."""


def compare(
    assessments: Sequence[Assessment], bakes: Sequence[BakeAnswer | None], book: Rulebook
) -> Comparison:
    """Lines, nutrition per piece, chemistry, crumb and bake in which the recipes differ.

    `bakes` holds what is foreseen for each; where there is none the stated bake counts.
    """
    rows = [
        *_lines(assessments),
        *_nutrition(assessments),
        *_chemistry(assessments),
        *_crumb(assessments),
        *_bakes(assessments, bakes),
    ]
    names = _names(assessments)
    suits = {
        name: tuple(
            book.diets[d].name if d in book.diets else d for d, verdict in a.diets.items() if verdict == "yes"
        )
        for name, a in zip(names, assessments, strict=True)
    }
    return Comparison(names, tuple(row for row in rows if _differs(row)), suits)


def _names(assessments: Sequence[Assessment]) -> tuple[str, ...]:
    """Names that tell the recipes apart."""
    found: list[str] = []
    for a in assessments:
        name = a.formula.name
        if sum(other.formula.name == name for other in assessments) > 1:
            name = f"{name}, version {a.formula.version}"
        while name in found:
            name += "'"
        found.append(name)
    return tuple(found)


def _lines(assessments: Sequence[Assessment]) -> list[Difference]:
    """Each ingredient's mass; several lines of one ingredient together."""
    order: dict[str, str] = {}
    masses: list[dict[str, Derivation | None]] = []
    for a in assessments:
        mine: dict[str, list[float | None]] = {}
        for line in a.formula.lines:
            key = line.ingredient or line.name
            order.setdefault(key, line.name)
            mine.setdefault(key, []).append(line.grams)
        masses.append(
            {
                key: None
                if any(g is None for g in grams)
                else stated(order[key], sum(g for g in grams if g is not None), "g")
                for key, grams in mine.items()
            }
        )
    absent = {key: stated(f"{name}, which is not in it", 0.0, "g") for key, name in order.items()}
    return [
        Difference(name, tuple(mine.get(key, absent[key]) for mine in masses), "g")
        for key, name in order.items()
    ]


def _nutrition(assessments: Sequence[Assessment]) -> list[Difference]:
    rows = []
    for field, name in NUTRIENTS.items():
        values = [a.nutrition.per_piece.get(field) for a in assessments]
        ratio = field in RATIOS
        rows.append(_row(name if ratio else f"{name} per piece", values, not ratio))
    return rows


def _chemistry(assessments: Sequence[Assessment]) -> list[Difference]:
    found = [a.chemistry for a in assessments]
    return [
        _row("gas", [c.gas_ml for c in found], True),
        _row("soda left over", [c.unneutralised_soda_g for c in found]),
        _row("pH of the dough", [c.ph for c in found]),
        _row("pH baked", [c.ph_baked for c in found]),
        _row("dough feel (free water)", [c.free_water_g for c in found]),
    ]


def _crumb(assessments: Sequence[Assessment]) -> list[Difference]:
    words = dict.fromkeys(word for a in assessments for word in a.crumb)
    return [_row(word.replace("_", " "), [a.crumb.get(word) for a in assessments]) for word in words]


def _bakes(assessments: Sequence[Assessment], bakes: Sequence[BakeAnswer | None]) -> list[Difference]:
    ovens: list[Derivation | None] = []
    times: list[Derivation | None] = []
    for a, bake in zip(assessments, bakes, strict=True):
        said = a.formula.bake
        if bake is not None:
            ovens.append(bake.oven_c)
            times.append(bake.minutes)
        else:
            ovens.append(None if said is None else stated("oven", said.oven_c, "C"))
            times.append(None if said is None else stated("time in the oven", said.minutes, "min"))
    return [_row("oven", ovens), _row("time in the oven", times)]


def _row(what: str, values: Sequence[Derivation | None], explained: bool = False) -> Difference:
    unit = next((v.unit for v in values if v is not None), "1")
    return Difference(what, tuple(values), unit, _because(values) if explained else "")


def _because(values: Sequence[Derivation | None]) -> str:
    """The part that moves most between the first and the last, when it moves at least half the way."""
    first, last = values[0], values[-1]
    if first is None or last is None or first.value is None or last.value is None:
        return ""
    found = ""
    for _ in range(DEEPEST):
        before, after = _parts(first), _parts(last)
        moves = {
            claim: _number(after.get(claim)) - _number(before.get(claim))
            for claim in dict.fromkeys([*before, *after])
        }
        whole = sum(moves.values())
        claim = max(moves, key=lambda c: (abs(moves[c]), c), default="")
        if not whole or abs(moves[claim]) < abs(whole) / 2 or moves[claim] * whole < 0:
            break
        found = f"mostly {claim}"
        first, last = before.get(claim), after.get(claim)
    return found


DEEPEST = 4
"""Sums within sums that are followed for a reason."""


def _parts(derivation: Derivation | None) -> dict[str, Derivation]:
    """What a number is a sum of, by claim; nothing when it is no sum."""
    found = {} if derivation is None else {part.claim: part for part in parts_of(derivation)}
    return found if len(found) > 1 else {}


def parts_of(derivation: Derivation) -> tuple[Derivation, ...]:
    """The parts of the first sum beneath a number: several premises that add up to it.

    On the way down a share, a loss or a yield is passed by, on the side where a sum lies.
    """
    for _ in range(DEEPEST + 4):
        if _adds_up(derivation):
            return derivation.premises
        if not derivation.premises:
            return ()
        derivation = max(derivation.premises, key=_sums)
    return ()


def _adds_up(derivation: Derivation) -> bool:
    parts = [p.value for p in derivation.premises if p.unit == derivation.unit]
    if len(parts) < 2 or len(parts) < len(derivation.premises):
        return False
    numbers = [float(part) for part in parts if isinstance(part, int | float)]
    if len(numbers) < len(parts) or not isinstance(derivation.value, int | float):
        return False
    return isclose(sum(numbers), float(derivation.value), rel_tol=ADDED_WITHIN)


ADDED_WITHIN = 1e-6
"""Relative slack within which parts add up to a whole: rounding of floats alone."""


def _sums(derivation: Derivation) -> bool:
    """Whether a sum stands here or in the next two steps."""
    near = (derivation, *derivation.premises, *(p for each in derivation.premises for p in each.premises))
    return any(_adds_up(each) for each in near)


def _number(derivation: Derivation | None) -> float:
    """What a premise adds: nothing where it is not there."""
    value = None if derivation is None else derivation.value
    return float(value) if isinstance(value, int | float) else 0.0


def _differs(row: Difference) -> bool:
    values = [None if v is None else v.value for v in row.values]
    if all(value is None for value in values):
        return False
    if any(value is None for value in values):
        return True
    numbers = [float(value) for value in values if isinstance(value, int | float)]
    if len(numbers) != len(values):
        return len(set(map(str, values))) > 1
    return max(numbers) - min(numbers) > SAME * max(abs(n) for n in numbers)
