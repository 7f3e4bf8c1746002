"""Answers as the JSON documents of the contract. Nothing is computed here.

Every number that was worked out is put in its place as a value, and once more in `derivations` as a D that
points at it: claim, value, unit, spread, who says so, sources, grade, and what it rests on. A conclusion that
is already written elsewhere in the document is afterwards written with `same_as`, the pointer to it, and
without its premises.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import isfinite
from typing import Any

from assistant.formula.model import Formula, Line
from assistant.plan.blend import Blended
from assistant.plan.coverage import Reach
from assistant.plan.instead import Component, Printed, StandIn, StandIns
from assistant.plan.model import (
    Assessment,
    BakeAnswer,
    Nutrition,
    Option,
    Options,
    TimelineEntry,
    Why,
)
from assistant.publish.compare import Comparison
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import Derivation, stated
from assistant.words.faults import Fault

Json = dict[str, Any]

NUTRIENTS: tuple[str, ...] = (
    "energy_kcal",
    "protein_g",
    "fat_g",
    "saturated_g",
    "carbohydrate_g",
    "available_carbohydrate_g",
    "net_carbs_g",
    "sugars_g",
    "polyols_g",
    "fibre_g",
    "soluble_fibre_g",
    "insoluble_fibre_g",
    "unsplit_fibre_g",
    "sodium_mg",
    "water_g",
    "ketogenic_ratio",
)
"""The nutrients N of the contract, in order."""


def pointer(*keys: str | int) -> str:
    """A JSON pointer (RFC 6901).

    >>> pointer("options", 0, "a/b")
    '/options/0/a~1b'
    """
    return "".join(map(_step, keys))


@lru_cache(maxsize=1024)
def _step(key: str | int) -> str:
    return "/" + str(key).replace("~", "~0").replace("/", "~1")


class _Notebook:
    """Collects the derivations of one list of a document, or with `keep` false none; what was written is known to
    all its lists."""

    def __init__(self, where: str, written: dict[int, tuple[Derivation, str]], keep: bool = True) -> None:
        self.where = where
        self.written = written
        self.keep = keep
        self.entries: list[Json] = []

    def put(self, derivation: Derivation | None, *place: str | int) -> Any:
        """The value for a place of the document, noted; null when unknown."""
        if derivation is None:
            return None
        if self.keep:
            at = f"{self.where}/{len(self.entries)}"
            self.entries.append(self._entry(derivation, at, pointer(*place)))
        return _value(derivation.value)

    def alone(self, derivation: Derivation) -> None:
        """A number that stands in no other place: it points at itself."""
        at = f"{self.where}/{len(self.entries)}"
        self.entries.append(self._entry(derivation, at, f"{at}/value"))

    def _entry(self, derivation: Derivation, at: str, of: str | None) -> Json:
        entry: Json = {
            "claim": derivation.claim,
            "value": _value(derivation.value),
            "unit": derivation.unit,
            "low": _value(derivation.low),
            "high": _value(derivation.high),
            "by": derivation.by,
            "evidence": list(derivation.evidence),
            "grade": derivation.grade,
            "of": of,
        }
        known = self.written.get(id(derivation))
        if known is not None:
            entry["same_as"] = known[1]
            return entry
        self.written[id(derivation)] = (derivation, at)
        entry["premises"] = [
            self._entry(premise, f"{at}/premises/{place}", None)
            for place, premise in enumerate(derivation.premises)
        ]
        return entry


def _value(value: Any) -> Any:
    """A value as JSON has it: numbers, texts and truth as they are, other things as text."""
    if isinstance(value, float):
        return float(value) if isfinite(value) else None
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, tuple | list):
        return [_value(each) for each in value]
    return str(value)


def _keys(root: str) -> tuple[str, ...]:
    return (root,) if root else ()


def _notebook(root: str) -> _Notebook:
    return _Notebook(pointer(*_keys(root), "derivations"), {})


# -- read, nutrition -------------------------------------------------------------------------------


def read(formula: Formula, faults: Iterable[Fault], book: Rulebook, root: str = "") -> Json:
    """What was understood of a recipe. `root` is the key the document will stand under."""
    notes, at = _notebook(root), _keys(root)
    masses = [_mass(line, book) for line in formula.lines]
    lines = [
        {
            "line": number + 1,
            "text": line.text,
            "ingredient": line.ingredient,
            "name": line.name,
            "grams": notes.put(masses[number], *at, "lines", number, "grams"),
            "amount": line.amount,
            "unit": line.unit,
            "note": _noted(line),
            "part": line.part,
            "confidence": line.confidence,
        }
        for number, line in enumerate(formula.lines)
    ]
    known = tuple(mass for mass in masses if mass is not None)
    dough = Derivation(
        "dough", formula.dough_g, "g", "assistant.formula.model.Formula.dough_g", premises=known
    )
    pieces = formula.pieces
    piece = (
        None
        if formula.piece_g is None or pieces is None
        else Derivation(
            "dough per piece",
            formula.piece_g,
            "g",
            "assistant.formula.model.Formula.piece_g",
            premises=(dough, stated("pieces", pieces)),
        )
    )
    return {
        "name": formula.name,
        "class": formula.product or None,
        "pieces": pieces,
        "piece_g": notes.put(piece, *at, "piece_g"),
        "dough_g": notes.put(dough, *at, "dough_g"),
        "lines": lines,
        "steps": [
            {
                "kind": step.kind,
                "text": step.text,
                "minutes": step.minutes,
                "temperature_c": step.temperature_c,
                "part": step.part,
            }
            for step in formula.steps
        ],
        "bake": None
        if formula.bake is None
        else {"oven_c": formula.bake.oven_c, "minutes": formula.bake.minutes},
        "faults": [{"where": str(fault.where), "what": fault.what, "mend": fault.mend} for fault in faults],
        "derivations": notes.entries,
    }


def unread(faults: Iterable[Fault]) -> Json:
    """The read document of something that could not be read as a recipe: faults, and nothing else known."""
    return {
        "name": None,
        "class": None,
        "pieces": None,
        "piece_g": None,
        "dough_g": None,
        "lines": [],
        "steps": [],
        "bake": None,
        "derivations": [],
        "faults": [{"where": str(fault.where), "what": fault.what, "mend": fault.mend} for fault in faults],
    }


def _mass(line: Line, book: Rulebook) -> Derivation | None:
    """A line's mass: as stated, or weighed from a household measure."""
    if line.grams is None:
        return None
    if line.amount is None or line.unit in ("", "g"):
        return Derivation(line.name, line.grams, "g", low=line.low_g, high=line.high_g)
    known = book.ingredients.get(line.ingredient) if line.ingredient else None
    figures = {} if known is None else known.measures
    premises = [stated("amount", line.amount, line.unit)]
    premises += [
        Derivation(f"g per {unit}", f.value, "g", f.source, (f.source,), f.grade, f.low, f.high)
        for unit, f in figures.items()
    ]
    evidence = tuple(dict.fromkeys(figure.source for figure in figures.values()))
    return Derivation(
        line.name,
        line.grams,
        "g",
        "assistant.words.units.grams_of",
        evidence,
        "derived",
        line.low_g,
        line.high_g,
        tuple(premises),
    )


def _noted(line: Line) -> str:
    """The note, with the ends of a range of mass where the midpoint stands for it."""
    if line.low_g is None or line.high_g is None or line.low_g == line.high_g:
        return line.note
    ends = f"{line.low_g:g} to {line.high_g:g} g"
    return line.note if ends in line.note else ", ".join(bit for bit in (line.note, ends) if bit)


def nutrition(found: Nutrition, root: str = "") -> Json:
    """Nutrients per piece and per 100 g."""
    notes = _notebook(root)
    return {**_nutrition(found, notes, _keys(root)), "derivations": notes.entries}


def _nutrition(found: Nutrition, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    def table(name: str, values: Mapping[str, Derivation | None]) -> Json:
        return {field: notes.put(values.get(field), *at, name, field) for field in NUTRIENTS}

    return {
        "per_piece": table("per_piece", found.per_piece),
        "per_100g": table("per_100g", found.per_100g),
        "per_100g_raw": table("per_100g_raw", found.per_100g_raw),
        "pieces": found.pieces,
        "baked_piece_g": notes.put(found.baked_piece_g, *at, "baked_piece_g"),
        "incomplete": list(found.incomplete),
        "complete": not found.incomplete,
    }


# -- swap, adapt -----------------------------------------------------------------------------------


def options(found: Options, root: str = "") -> Json:
    """Plans, best first, or what blocks them: the swap document."""
    return _options(found, root, {})


def adapted(found: Options, root: str = "") -> Json:
    """The adapt document: as `options`, and where there is no plan the nearest that misses, with what it misses."""
    written: dict[int, tuple[Derivation, str]] = {}
    told = _options(found, root, written)
    near = found.nearest
    told["nearest"] = None if near is None else _option(near, (*_keys(root), "nearest"), written)
    return {**told, "misses": list(found.misses)}


def _options(found: Options, root: str, written: dict[int, tuple[Derivation, str]]) -> Json:
    at = _keys(root)
    return {
        "formula": found.base.name,
        "options": [_option(o, (*at, "options", number), written) for number, o in enumerate(found.options)],
        "blocked_by": list(found.blocked_by),
    }


def _option(option: Option, at: tuple[str | int, ...], written: dict[int, tuple[Derivation, str]]) -> Json:
    notes = _Notebook(pointer(*at, "derivations"), written, keep=option.worked)
    before, after = option.before, option.after

    def both(name: str, first: Derivation | None, second: Derivation | None) -> Json:
        return {
            "before": notes.put(first, *at, name, "before"),
            "after": notes.put(second, *at, name, "after"),
        }

    lines = []
    for number, change in enumerate(option.changes):
        place = (*at, "lines", number)
        was = None if change.before_g is None else stated(change.name, change.before_g, "g")
        lines.append(
            {
                "line": change.line + 1,
                "ingredient": change.ingredient,
                "name": change.name,
                "grams_before": notes.put(was, *place, "grams_before"),
                "grams_after": notes.put(change.after_g, *place, "grams_after"),
                "because": change.because,
                "part": change.part,
            }
        )
    told, was_told = after.chemistry, before.chemistry
    return {
        "title": option.title,
        "score": notes.put(option.score, *at, "score"),
        "lines": lines,
        "gas_ml": both("gas_ml", was_told.gas_ml, told.gas_ml),
        "acid_mmol": notes.put(told.acid_mmol, *at, "acid_mmol"),
        "base_mmol": notes.put(told.base_mmol, *at, "base_mmol"),
        "surplus_acid_mmol": notes.put(told.surplus_acid_mmol, *at, "surplus_acid_mmol"),
        "unneutralised_soda_g": notes.put(told.unneutralised_soda_g, *at, "unneutralised_soda_g"),
        "ph": both("ph", was_told.ph, told.ph),
        "ph_baked": both("ph_baked", was_told.ph_baked, told.ph_baked),
        "free_water_g": both("free_water_g", was_told.free_water_g, told.free_water_g),
        "bake": _bake(option, notes, (*at, "bake")),
        "nutrition": {
            "before": _nutrition(before.nutrition, notes, (*at, "nutrition", "before")),
            "after": _nutrition(after.nutrition, notes, (*at, "nutrition", "after")),
        },
        "crumb": _crumb(option, notes, (*at, "crumb")),
        "sweeteners": {
            name: {
                "before": notes.put(before.sweeteners.get(name), *at, "sweeteners", name, "before"),
                "after": notes.put(after.sweeteners.get(name), *at, "sweeteners", name, "after"),
            }
            for name in dict.fromkeys((*before.sweeteners, *after.sweeteners))
        },
        "method": [step.text for step in option.method],
        "timeline": _timeline(option.timeline, notes, (*at, "timeline")),
        "allergens": [{"id": allergen, "status": status} for allergen, status in after.allergens.items()],
        "diets": dict(after.diets),
        "cautions": [*option.cautions],
        "remarks": [*option.remarks],
        "how_tested": option.how_tested,
        "derivations": notes.entries,
    }


def _bake(option: Option, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    said = option.before.formula.bake
    before = (
        None
        if said is None
        else {
            "oven_c": notes.put(stated("oven", said.oven_c, "C"), *at, "before", "oven_c"),
            "minutes": notes.put(stated("time in the oven", said.minutes, "min"), *at, "before", "minutes"),
        }
    )
    after = (
        None
        if option.bake is None
        else {
            name: notes.put(derivation, *at, "after", name)
            for name, derivation in _bake_fields(option.bake).items()
        }
    )
    return {"before": before, "after": after}


def _bake_fields(bake: BakeAnswer) -> dict[str, Derivation]:
    return {
        "oven_c": bake.oven_c,
        "minutes": bake.minutes,
        "check_from_min": bake.check_from_min,
        "no_later_than_min": bake.no_later_than_min,
        "core_c": bake.core_c,
        "bake_loss_pct": bake.bake_loss_pct,
        "physics_ratio": bake.physics_ratio,
        "class_ratio": bake.class_ratio,
    }


def _crumb(option: Option, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    """The number behind each word before and after, and the word of comparison where there is one."""
    before, after = option.before, option.after
    found: Json = {}
    for word in dict.fromkeys((*before.crumb, *after.crumb)):
        found[word] = {
            "before": notes.put(before.crumb.get(word), *at, word, "before"),
            "after": notes.put(after.crumb.get(word), *at, word, "after"),
        }
        if word in option.against:
            found[word]["against"] = option.against[word]
    return found


def _timeline(entries: tuple[TimelineEntry, ...], notes: _Notebook, at: tuple[str | int, ...]) -> list[Json]:
    found = []
    before: tuple[Derivation, ...] = ()
    for number, entry in enumerate(entries):
        start = Derivation(
            f"start of: {entry.step}",
            entry.start_min,
            "min",
            "assistant.plan.method.timeline",
            premises=before,
        )
        minutes = (
            stated(entry.step, entry.minutes, "min")
            if not entry.usual
            else Derivation(
                entry.step,
                entry.minutes,
                "min",
                "assistant.plan.method.timeline",
                ("common-practice",),
                "common practice",
            )
        )
        found.append(
            {
                "step": entry.step,
                "start_min": notes.put(start, *at, number, "start_min"),
                "minutes": notes.put(minutes, *at, number, "minutes"),
            }
        )
        before = (start, minutes)
    return found


# -- why, instead, compare -------------------------------------------------------------------------


def why(found: Why, book: Rulebook, root: str = "") -> Json:
    """A verdict, the sentences, the numbers they were said from, and the sources by title."""
    notes = _notebook(root)
    for derivation in found.derivations:
        notes.alone(derivation)
    grades: dict[str, str] = {}
    for derivation in found.derivations:
        _grades(derivation, grades)
    sources = []
    for key in found.sources:
        source = book.sources.get(key)
        sources.append(
            {
                "key": key,
                "title": None if source is None else source.title,
                "year": None if source is None else source.year or None,
                "grade": grades.get(key),
            }
        )
    return {
        "subject": found.subject,
        "answer": " ".join(found.answer),
        "verdict": found.verdict,
        "derivations": notes.entries,
        "sources": sources,
    }


def _grades(derivation: Derivation, found: dict[str, str]) -> None:
    """The grade with which each source is cited first."""
    for key in derivation.evidence:
        found.setdefault(key, derivation.grade)
    for premise in derivation.premises:
        _grades(premise, found)


def instead(found: StandIns, root: str = "") -> Json:
    """Stand-ins for a quantity of an ingredient."""
    notes, at = _notebook(root), _keys(root)
    return {
        "for": {
            "ingredient": found.ingredient,
            "grams": notes.put(found.grams, *at, "for", "grams"),
            "amount": found.amount,
            "unit": found.unit,
        },
        "options": [
            _stand_in(option, notes, (*at, "options", number)) for number, option in enumerate(found.options)
        ],
        "refused": list(found.refused),
        "refusals": [
            {
                "text": refusal.text,
                "in": list(refusal.in_classes),
                "printed": [
                    _printed(row, notes, (*at, "refusals", number, "printed", place))
                    for place, row in enumerate(refusal.printed)
                ],
                "sources": list(refusal.sources),
            }
            for number, refusal in enumerate(found.refusals)
        ],
        "left_out": list(found.left_out),
        "remarks": list(found.remarks),
        "blends": [_blend(blended, notes, (*at, "blends", number)) for number, blended in enumerate(found.blends)],
        "no_blends": list(found.no_blends),
        "derivations": notes.entries,
    }


def _stand_in(option: StandIn, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    def parts(name: str, components: tuple[Component, ...], because: bool) -> list[Json]:
        found = []
        for number, part in enumerate(components):
            place = (*at, name, number)
            spoons = None if part.spoons is None else _measured(part, *part.spoons)
            asked = None if part.amount is None else _measured(part, part.amount, part.unit)
            entry: Json = {
                "ingredient": part.ingredient,
                "grams": notes.put(part.grams, *place, "grams"),
                "amount": notes.put(asked, *place, "amount"),
                "unit": part.unit,
                "spoons": None
                if spoons is None
                else {"amount": notes.put(spoons, *place, "spoons", "amount"), "unit": spoons.unit},
                "per_100g_flour": notes.put(part.per_flour, *place, "per_100g_flour"),
                "or": list(part.others),
            }
            found.append({**entry, "because": part.because or option.because} if because else entry)
        return found

    return {
        "title": option.title,
        "components": parts("components", option.components, False),
        "companions": parts("companions", option.companions, True),
        "adjust": list(option.adjust),
        "works_in": list(option.works_in),
        "not_in": list(option.not_in),
        "printed": [
            _printed(row, notes, (*at, "printed", number)) for number, row in enumerate(option.printed)
        ],
        "verdict": option.verdict,
        "grade": option.grade,
        "because": option.because,
        "limits": list(option.limits),
        "gives_up": list(option.gives_up),
        "steps": list(option.steps),
        "diets": dict(option.diets or {}),
        "doubts": list(option.doubts),
        "cautions": list(option.cautions),
        "sources": list(option.sources),
    }


def _blend(blended: Blended, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    def table(name: str, figures: Mapping[str, Derivation | None]) -> Json:
        return {n: notes.put(figures.get(n), *at, name, n) for n in NUTRIENTS}

    return {
        "rule": blended.rule,
        "name": blended.name,
        "gives": list(blended.gives),
        "parts": [
            {
                "role": part.role,
                "ingredient": part.ingredient,
                "share_pct": notes.put(part.share_pct, *at, "parts", number, "share_pct"),
                "grams": notes.put(part.grams, *at, "parts", number, "grams"),
                "because": part.because,
                "or": list(part.others),
            }
            for number, part in enumerate(blended.portions)
        ],
        "total_g": notes.put(blended.total_g, *at, "total_g"),
        "aims": {
            name: {
                "reached": notes.put(reached, *at, "aims", name, "reached"),
                "wanted": notes.put(wanted, *at, "aims", name, "wanted"),
            }
            for name, (reached, wanted) in blended.reached.items()
        },
        "uncounted": list(blended.uncounted),
        "per_100g": table("per_100g", blended.per_100g),
        "replaced_per_100g": table("replaced_per_100g", blended.replaced_per_100g),
        "incomplete": list(blended.incomplete),
        "water_g": notes.put(blended.water_g, *at, "water_g"),
        "tastes": list(blended.tastes),
        "avoid": list(blended.avoid),
        "adjust": list(blended.adjust),
        "diets": dict(blended.diets),
        "doubts": list(blended.doubts),
        "allergens": [{"id": a, "status": status} for a, status in blended.allergens.items()],
        "works_in": list(blended.works_in),
        "printed": [dict(row) for row in blended.printed],
        "because": blended.because,
        "status": blended.status,
        "grade": blended.grade,
        "cautions": list(blended.cautions),
        "sources": list(blended.sources),
    }


def _measured(part: Component, amount: float, unit: str) -> Derivation:
    """A measure for a mass, as a conclusion from it."""
    by = "assistant.words.units.household"
    premises = () if part.grams is None else (part.grams,)
    return Derivation(f"{part.name} in {unit}", amount, unit, by, premises=premises)


def _printed(row: Printed, notes: _Notebook, at: tuple[str | int, ...]) -> Json:
    return {
        "source": row.source,
        "amount": row.amount,
        "components": dict(row.components),
        "note": row.note,
        "agrees": row.agrees,
        "otherwise": row.otherwise,
        "soda_left": notes.put(row.soda_left, *at, "soda_left"),
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_plain(each) for each in value]
    return _value(value)


def comparison(found: Comparison, root: str = "") -> Json:
    """Recipes side by side."""
    notes, at = _notebook(root), _keys(root)
    return {
        "recipes": list(found.recipes),
        "differences": [
            {
                "what": row.what,
                "values": [
                    notes.put(value, *at, "differences", number, "values", place)
                    for place, value in enumerate(row.values)
                ],
                "unit": row.unit,
                "because": row.because,
            }
            for number, row in enumerate(found.differences)
        ],
        "suits": {name: list(diets) for name, diets in found.suits.items()},
        "derivations": notes.entries,
    }


# -- coverage --------------------------------------------------------------------------------------


def coverage(found: Iterable[Reach], book: Rulebook) -> Json:
    """How far the rules reach, by diet and function; the diet null is whoever eats anything."""
    return {
        "diets": [
            {
                "diet": reach.diet or None,
                "name": book.diets[reach.diet].name if reach.diet else None,
                "ingredients": {
                    "asked": reach.asked,
                    "answered": reach.answered,
                    "refused": reach.refused,
                    "silent": list(reach.silent),
                },
                "functions": [
                    {
                        "function": cell.function,
                        "stand_ins": cell.stand_ins,
                        "grades": dict(cell.grades),
                        "lines": {"asked": cell.asked, "answered": cell.answered, "sure": cell.sure},
                        "gap": cell.gap,
                        "lacks": cell.lacks or None,
                    }
                    for cell in reach.cells
                ],
                "gaps": [
                    {
                        "recipe": gap.recipe,
                        "ingredient": gap.ingredient,
                        "functions": list(gap.functions),
                        "because": gap.because,
                    }
                    for gap in reach.gaps
                ],
            }
            for reach in found
        ]
    }


# -- any of them, and a turn -----------------------------------------------------------------------


ADAPT = "adapt"
"""The command whose plans answer several wishes at once."""


def document(answer: object, book: Rulebook, root: str = "") -> Json | None:
    """The document of an answer, whatever it is, under the command `root`; None when it has none."""
    match answer:
        case Formula():
            return read(answer, (), book, root)
        case Nutrition():
            return nutrition(answer, root)
        case Assessment():
            return nutrition(answer.nutrition, root)
        case Options():
            return adapted(answer, root) if root == ADAPT else options(answer, root)
        case Why():
            return why(answer, book, root)
        case StandIns():
            return instead(answer, root)
        case Comparison():
            return comparison(answer, root)
        case _:
            return None


def turn(
    text: str,
    kind: str,
    slots: Mapping[str, object],
    confidence: float,
    reply: str,
    formula: Formula,
    command: str,
    answer: object,
    book: Rulebook,
) -> Json:
    """A chat turn; the document of the command it amounts to stands under that command's name."""
    found: Json = {
        "text": text,
        "understood": {
            "kind": kind,
            "slots": {k: _plain(v) for k, v in slots.items()},
            "confidence": confidence,
        },
        "reply": reply,
        "formula": {"name": formula.name, "version": formula.version},
    }
    made = document(answer, book, command) if command else None
    return found if made is None else {**found, command: made}
