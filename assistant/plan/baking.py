"""Oven and time of a formula: physics from the base bake that works, class practice on top."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import sqrt

from assistant.formula.model import Bake
from assistant.laws import bake, heat
from assistant.laws.altitude import core_target_c, pressure_pa
from assistant.laws.shape import usual_sides_m
from assistant.laws.thermal import Composition
from assistant.plan.functions import Context, mass
from assistant.plan.model import BakeAnswer
from assistant.plan.warmth import composition_of
from assistant.rulebook.model import Product, Rulebook, Turn
from assistant.words.derivation import Derivation, Notes, stated

FINISH = {"sheet": "none", "stone": "none", "skillet": "cast iron"}
"""What a pan is made of where it is not said; tins are bright."""
SHAPE_IN = {
    "loaf tin": "loaf tin",
    "round tin": "round layer",
    "muffin tin": "muffin cup",
    "square tin": "square pan",
    "dish": "sheet",
    "ring tin": "tube pan",
}
"""Shape a pan gives; on a sheet or stone a piece keeps the shape of its class, or the one asked for."""
OVEN_MOST_START_C = 55.0
KITCHEN_SPREAD = 0.08
"""Share by which the same bake varies from one day and oven shelf to another. Common practice, no source:
printed times give 5 to 10 % either way."""


KITCHENS = 256
"""Heights, and with each class of product core targets there, remembered: a kitchen stays where it is."""


@dataclass(frozen=True, slots=True)
class Baking:
    """How a formula enters the oven, and what its class says of being done."""

    case: heat.Case
    core_c: float
    product: Product


def baking_of(context: Context, start_c: float) -> Baking | str:
    """A formula as one piece in its oven, with what bakes in or on it, or why it can't be told."""
    context = context.oven
    formula, product = context.formula, context.product
    if formula.bake is None:
        return "no oven temperature and time are stated"
    if product is None or product.gas_fraction is None or product.core_c is None:
        return "what kind of bread this is was not recognised"
    dough = dough_of(context)
    if isinstance(dough, str):
        return dough
    shape = shape_of(formula.bake, product)
    piece_g = formula.piece_g or formula.dough_g
    pressure = _pressure_pa(formula.altitude_m)
    try:
        case = heat.Case(
            mass_g=piece_g, dough=dough, gas_fraction=_gas_fraction(product, dough),
            shape=shape, oven_c=formula.bake.oven_c, start_c=min(max(start_c, 0.0), OVEN_MOST_START_C),
            pan_cm=pan_cm(formula.bake, shape), finish=finish_of(formula.bake, shape), oven=formula.bake.oven,
            pressure_pa=pressure, steam_min=formula.bake.steam_min,
        )  # fmt: skip
        return Baking(case, _core_target_c(product.core_c.centre, formula.altitude_m), product)
    except ValueError as outside:
        return str(outside)


@lru_cache(maxsize=KITCHENS)
def _pressure_pa(altitude_m: float) -> float:
    return float(pressure_pa(altitude_m))


@lru_cache(maxsize=KITCHENS)
def _core_target_c(sea_level_c: float, altitude_m: float) -> float:
    return float(core_target_c(sea_level_c, altitude_m))


def dough_of(context: Context) -> Composition | str:
    """What a dough is made of, or why it can't be told."""
    parts = [
        (mass(line), composition_of(i, context.book))
        for i, line in zip(context.ingredients, context.formula.lines, strict=True)
        if i is not None
    ]
    known = [(m, c) for m, c in parts if c is not None and m > 0]
    whole = sum(m for m, _ in known)
    if whole < 0.8 * context.formula.dough_g or whole <= 0:
        return "what more than a fifth of the dough is made of is unknown"
    return Composition(*(sum(m * c.parts[at] for m, c in known) / whole for at in range(6)))


def shape_of(bake: Bake, product: Product) -> str:
    """Shape of a piece: its pan's, else the one asked for, else that of its class."""
    return SHAPE_IN.get(bake.pan) or bake.shape or str(product.shape.get("kind", "loaf"))


def finish_of(bake: Bake, shape: str) -> str:
    """What a piece stands in, as the law calls it."""
    usual = "bright" if shape in SHAPE_IN.values() else "none"
    return bake.material or FINISH.get(bake.pan, usual)


def pan_cm(bake: Bake, shape: str) -> tuple[float, ...]:
    """Sides of a pan as far as they were said, the others in proportion, cm; none where nothing was."""
    if shape not in SHAPE_IN.values() or not (bake.size_cm or bake.litres):
        return ()
    sides_m = tuple(side / 100 for side in bake.size_cm)
    litres = None if bake.litres is None else bake.litres / 1000
    return tuple(100 * side for side in usual_sides_m(shape, sides_m, litres))


def _gas_fraction(product: Product, dough: Composition) -> float:
    """Gas of a piece as it bakes: between what goes in and the crumb that comes out, as usual for the class."""
    assert product.gas_fraction is not None
    entering = product.gas_fraction.centre
    if product.specific_volume is None:
        return entering
    return heat.baking_gas_fraction(dough, entering, product.specific_volume.centre)


def turn_between(source: str, target: str, book: Rulebook) -> Turn | None:
    """The practice of turning one class of product into another; None when none is recorded."""
    for _, turn in sorted(book.turns.items()):
        if turn.source_product == source and turn.target_product == target:
            return turn
    return None


def dial_c(temperature_c: float) -> float:
    """To what an oven dial shows: 5 C.

    >>> dial_c(173.0)
    175.0
    """
    return 5.0 * round(temperature_c / 5)


def altered_bake(base: Bake, turn: Turn | None, oven_change_c: float) -> Bake:
    """The bake after a change: the oven as practice has it, on the dial; the time still the base's."""
    change = oven_change_c + (turn.oven_change_c.centre if turn is not None else 0.0)
    oven_c = dial_c(base.oven_c + change) if change else base.oven_c
    return replace(base, oven_c=oven_c, minutes_low=None, minutes_high=None)


@dataclass(frozen=True, slots=True)
class Altered:
    """An altered formula in its oven, with the turn that brought it there."""

    baking: Baking
    turn: Turn | None


@dataclass(frozen=True, slots=True)
class Job:
    """Alterations of one base, to be baked together."""

    base: Baking
    stated: Bake
    altered: tuple[Altered, ...]

    def change(self) -> bake.Change:
        """As the law wants it."""
        return bake.Change(
            self.base.case, self.stated.minutes, self.base.core_c,
            tuple(a.baking.case for a in self.altered),
            tuple(a.baking.core_c for a in self.altered),
            tuple(_practice(a.turn) for a in self.altered),
        )  # fmt: skip


def answers(jobs: Sequence[Job], notes: Notes) -> list[tuple[BakeAnswer | str, ...]]:
    """Bake answers for all alterations of all bases in a single solve; a sentence where the law refuses."""
    asked = [job for job in jobs if job.altered]
    solved = iter(bake.predict_all([job.change() for job in asked]))
    return [_answered(job, next(solved), notes) if job.altered else () for job in jobs]


def _answered(
    job: Job, found: tuple[bake.Prediction, ...] | str, notes: Notes
) -> tuple[BakeAnswer | str, ...]:
    if isinstance(found, str) and len(job.altered) > 1:  # one that never gets done must not stop the others
        alone = [Job(job.base, job.stated, (each,)) for each in job.altered]
        return tuple(answer for told in answers(alone, notes) for answer in told)
    if isinstance(found, str):
        return (found,)
    return tuple(_answer(job.stated, a, p, notes) for a, p in zip(job.altered, found, strict=True))


def unchanged(base: Baking, stated_bake: Bake, notes: Notes) -> BakeAnswer | str:
    """The answer for a base as it is: its own time, with nothing left open by heat flow."""
    found = bake.calibrated(base.case, stated_bake.minutes, base.core_c)
    if isinstance(found, str):
        return found
    itself = bake.Prediction(
        1.0, 1.0, 1.0, stated_bake.minutes, found.core_c, found.loss_pct, stated_bake.minutes, False, found.film_factor, 1.0
    )
    return _answer(stated_bake, Altered(base, None), itself, notes)


def _practice(turn: Turn | None) -> float:
    return 1.0 if turn is None else turn.time_factor.centre


def minutes_after(base_min: float, physics_ratio: float, class_ratio: float) -> float:
    """Time of the altered bake, min: base time x what heat flow explains x what the class's practice adds.

    >>> minutes_after(40.0, 1.25, 1.2)
    60.0
    """
    return base_min * physics_ratio * class_ratio


def _answer(base_bake: Bake, altered: Altered, p: bake.Prediction, notes: Notes) -> BakeAnswer:
    turn, case = altered.turn, altered.baking.case
    base_min = stated("minutes of the base bake", base_bake.minutes, "min")
    physics = Derivation(
        "time against the base that heat flow explains", p.physics_ratio, "1", "assistant.laws.bake.predict",
        ("bake-notes", "purlis-2009", "choi-okos-1986"), "derived", p.ratio_low, p.ratio_high,
        (base_min, stated("oven before", base_bake.oven_c, "C"), stated("oven after", case.oven_c, "C"), stated("piece", case.mass_g, "g"),
         Derivation("share of gas in the raised dough", case.gas_fraction, "1", altered.baking.product.id, _sources(altered.baking.product)),
         Derivation("water in the dough", case.dough.water, "1", "assistant.plan.warmth.composition_of")),
    )  # fmt: skip
    if turn is None:
        practice = Derivation(
            "practice of the class", 1.0, "1", "the class of product stays the same", (), "derived"
        )
    else:
        practice = notes.rule(
            "practice of the class on top of heat flow", turn.time_factor.centre, turn.id, unit="1",
            evidence=tuple(dict.fromkeys(e.source for e in turn.evidence)), low=turn.time_factor.low, high=turn.time_factor.high,
        )  # fmt: skip
    minutes = notes.derive("minutes in the oven", minutes_after, base_min, physics, practice, unit="min")
    low, high = _ends(base_bake, p, turn)
    oven = notes.rule("oven", case.oven_c, "the base bake" if turn is None else turn.id, stated("oven before", base_bake.oven_c, "C"), unit="C",
                      evidence=() if turn is None else tuple(dict.fromkeys(e.source for e in turn.evidence)))  # fmt: skip
    core = Derivation(
        "core temperature when done", altered.baking.core_c, "C", "assistant.laws.altitude.core_target_c", _sources(altered.baking.product), "handbook",
        premises=(Derivation("target of the class", altered.baking.product.core_c.centre if altered.baking.product.core_c else None, "C", altered.baking.product.id),
                  Derivation("pressure here", case.pressure_pa, "Pa")),
    )  # fmt: skip
    return BakeAnswer(
        oven_c=oven,
        minutes=minutes,
        check_from_min=notes.rule("start testing at", low, "assistant.plan.baking", minutes, unit="min", grade="derived"),
        no_later_than_min=notes.rule("no later than", high, "assistant.plan.baking", minutes, unit="min", grade="derived"),
        core_c=core,
        bake_loss_pct=Derivation("weight lost in the oven", p.loss_pct, "%", "assistant.laws.bake.predict", ("purlis-2009",), "derived", premises=(minutes,)),
        physics_ratio=physics,
        class_ratio=practice,
        doneness=altered.baking.product.doneness,
    )  # fmt: skip


def _ends(base_bake: Bake, p: bake.Prediction, turn: Turn | None) -> tuple[float, float]:
    """Earliest and latest time, min: the spreads of physics, practice and kitchen are independent, so they add
    in quadrature; a stated range of the base widens both."""
    low, centre, high = (
        (1.0, 1.0, 1.0)
        if turn is None
        else (turn.time_factor.low, turn.time_factor.centre, turn.time_factor.high)
    )
    first = base_bake.minutes_low or base_bake.minutes
    last = base_bake.minutes_high or base_bake.minutes
    down = sqrt((1 - p.ratio_low / p.physics_ratio) ** 2 + (1 - low / centre) ** 2 + KITCHEN_SPREAD**2)
    up = sqrt((p.ratio_high / p.physics_ratio - 1) ** 2 + (high / centre - 1) ** 2 + KITCHEN_SPREAD**2)
    return first * p.physics_ratio * centre * (1 - down), last * p.physics_ratio * centre * (1 + up)


def _sources(product: Product) -> tuple[str, ...]:
    return tuple(dict.fromkeys(e.source for e in product.evidence))


def prepare(bases: Iterable[tuple[Baking, float]]) -> None:
    """Calibrate the ovens of many bases, each with its minutes, in one solve: what asks for one finds it at hand."""
    bake.calibrated_all([(base.case, minutes, base.core_c) for base, minutes in bases])


def own_loss(context: Context, baking: Baking) -> Derivation | None:
    """Weight a formula loses in its stated bake, %, in the oven that bake must have had; None when the law
    refuses it."""
    stated_bake = context.formula.bake
    assert stated_bake is not None
    found = bake.calibrated(baking.case, stated_bake.minutes, baking.core_c)
    if isinstance(found, str):
        return None
    return Derivation(
        "weight lost in the oven",
        found.loss_pct,
        "%",
        "assistant.laws.bake.calibrated",
        ("purlis-2009",),
        "derived",
    )
