"""Whether a dough fits its tin, and what the custom for dark and glass pans is worth here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil, log

from assistant.formula.model import Bake, Formula
from assistant.laws import bake as bake_law
from assistant.laws import shape as shapes
from assistant.laws import thermal
from assistant.plan.baking import SHAPE_IN, Baking, baking_of, dough_of
from assistant.plan.functions import Context
from assistant.plan.warmth import warmth_of
from assistant.rulebook.model import Band, Product, Rulebook
from assistant.words.derivation import BARE, Derivation, Notes, ranged, stated

PIECE_IN: Mapping[str, str] = {
    "loaf tin": "loaf",
    "round tin": "round",
    "muffin tin": "muffin",
    "square tin": "square",
    "dish": "tray",
    "ring tin": "ring",
}
"""What comes out of a tin."""
NEARLY = 0.03
"""Share of a dough by which no tin is too small or too large. Common practice."""
OWN_TIN_PCT = 20.0
"""How full of it one piece must make a tin, %, to have that tin alone; smaller ones go in together. Common practice."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How a dough fills its tin; volumes mL of one tin, shares % of it.

    `usual_pct` is how full of dough the tin of this class usually is and `fits_g` how much dough that is, both
    None where the class has no custom; `rises` whether the dough stands in it before it is baked.
    """

    pan: str
    said: bool  # whether its size was said; else it is the usual one
    sides_cm: tuple[float, ...]
    depth_cm: float | None  # None where only the volume is known
    tins: int
    tin_ml: Derivation
    dough_g: Derivation  # per tin
    before_pct: Derivation
    baked_pct: Derivation
    usual_pct: Derivation | None
    fits_g: Derivation | None
    over_g: Derivation | None  # dough beyond the most that fits; None where there is none
    rises: bool

    @property
    def verdict(self) -> str:
        """Verdict "as usual", "too full" or "low" against the custom of the class; "" where there is none."""
        if self.usual_pct is None or self.usual_pct.low is None:
            return ""
        low = self.before_pct.value < (1 - NEARLY) * self.usual_pct.low
        return "too full" if self.over_g is not None else "low" if low else "as usual"

    @property
    def tins_needed(self) -> int:
        """Tins of this size in which it is no fuller than usual."""
        if self.usual_pct is None or self.usual_pct.high is None:
            return self.tins
        needed: int = ceil(self.tins * self.before_pct.value / self.usual_pct.high)
        return needed

    @property
    def derivations(self) -> tuple[Derivation, ...]:
        """The numbers it is said from."""
        found = (
            self.tin_ml, self.dough_g, self.before_pct, self.baked_pct, self.usual_pct, self.fits_g, self.over_g,
        )  # fmt: skip
        return tuple(each for each in found if each is not None)


def fit(context: Context, notes: Notes) -> Fit | str:
    """How the dough of a formula fills the tin its bake names, or why that can't be told."""
    context = context.oven
    formula, product = context.formula, context.product
    bake = formula.bake
    if bake is None or bake.pan not in SHAPE_IN:
        return f"{formula.name} names no tin to fill"
    if (
        product is None
        or product.gas_fraction is None
        or product.specific_volume is None
        or product.loss_pct is None
    ):
        return "what kind of bread this is was not recognised, so how far it rises is unknown"
    dough = dough_of(context)
    if isinstance(dough, str):
        return dough
    try:
        return _fit(formula, bake, product, float(thermal.density_kg_m3(dough, 25.0)), notes)
    except ValueError as outside:
        return str(outside)


def tin_needed(context: Context, notes: Notes) -> Derivation | None:
    """What a tin must hold for all of a dough to fill it as usual, mL; None where the class has no such custom."""
    context = context.oven
    product, dough = context.product, dough_of(context)
    if product is None or product.fill_pct is None or product.gas_fraction is None or isinstance(dough, str):
        return None
    whole = stated("dough", context.formula.dough_g, "g")
    room = _room(whole, product, float(thermal.density_kg_m3(dough, 25.0)), notes)
    usual = _of_class("how full of dough such a tin usually is", product.fill_pct, product, "%")
    fill = product.fill_pct
    low, high = (_tin_ml(room.value, end) for end in (fill.high, fill.low))
    return replace(notes.derive("what a tin must hold", _tin_ml, room, usual, unit="mL"), low=low, high=high)


def _tin_ml(dough_ml: float, fill_pct: float) -> float:
    return 100 * dough_ml / fill_pct


def _room(dough_g: Derivation, product: Product, dense_kg_m3: float, notes: Notes) -> Derivation:
    """Room a dough takes as it goes into its tin: a yeast dough just mixed, a batter with the gas it has by then."""
    assert product.gas_fraction is not None
    gas = (
        ranged("gas in a dough just mixed", shapes.MIXED_GAS, "1", "assistant.laws.shape.MIXED_GAS")
        if product.raised_by == "yeast"
        else _of_class("gas in the batter as it goes in", product.gas_fraction, product, "1")
    )
    dense = Derivation(
        "density of the dough without gas", dense_kg_m3, "kg/m3", "assistant.laws.thermal.density_kg_m3",
        ("choi-okos-1986",), "handbook",
    )  # fmt: skip
    return notes.derive("room the dough takes", shapes.dough_volume_ml, dough_g, dense, gas, unit="mL")


def _fit(formula: Formula, bake: Bake, product: Product, dense_kg_m3: float, notes: Notes) -> Fit:
    shape, tins = SHAPE_IN[bake.pan], formula.pieces or 1
    tin, sides_cm, depth_cm = _tin(bake, shape, notes)
    dough_g = stated("dough in one tin", formula.dough_g / tins, "g")
    assert product.specific_volume is not None and product.loss_pct is not None
    dough_ml = _room(dough_g, product, dense_kg_m3, notes)
    loss = _of_class("share lost in the oven", product.loss_pct, product, "1", 0.01)
    volume = _of_class("volume of a gram baked", product.specific_volume, product, "mL/g")
    baked_ml = notes.derive(
        "room the baked piece takes", shapes.baked_volume_ml, dough_g, loss, volume, unit="mL"
    )
    usual = fits = over = None
    if product.fill_pct is not None:
        usual = _of_class("how full of dough such a tin usually is", product.fill_pct, product, "%")
        fits = notes.derive("dough that fits", _fits_g, usual, tin, dough_ml, dough_g, unit="g")
        ends = (product.fill_pct.low, product.fill_pct.high)
        low, high = (_fits_g(end, tin.value, dough_ml.value, dough_g.value) for end in ends)
        fits = replace(fits, low=low, high=high)
        over = notes.derive(
            "dough too much for it", _over_g, dough_g, stated("most that fits", high, "g"), unit="g"
        )
    return Fit(
        bake.pan, bool(bake.size_cm or bake.litres), sides_cm, depth_cm, tins, tin, dough_g,
        notes.derive("how full the dough makes the tin", _share_pct, dough_ml, tin, unit="%"),
        notes.derive("how full the baked piece makes it", _share_pct, baked_ml, tin, unit="%"),
        usual, fits, over if over is not None and over.value > NEARLY * dough_g.value else None,
        product.raised_by == "yeast",
    )  # fmt: skip


def _tin(bake: Bake, shape: str, notes: Notes) -> tuple[Derivation, tuple[float, ...], float | None]:
    """What the tin holds, mL, with its sides and depth, cm."""
    if bake.litres is not None:
        return stated("what the tin holds", 1000 * bake.litres, "mL"), (), None
    round_ = len(shapes.usual_sides_m(shape)) == 1
    said_m = tuple(side / 100 for side in bake.size_cm)
    sides_m = shapes.usual_sides_m(shape, said_m[: 1 if round_ else 2])
    deep = said_m[len(sides_m)] if len(said_m) > len(sides_m) else None
    depth_m = shapes.usual_depth_m(shape) if deep is None else deep
    depth = stated("depth of the tin", depth_m, "m") if deep else Derivation(
        "depth of a usual tin", depth_m, "m", "assistant.laws.shape.usual_depth_m", ("common-practice",), "common practice",
        0.85 * depth_m, 1.15 * depth_m,
    )  # fmt: skip
    held = notes.derive(
        "what the tin holds", _held_ml, Derivation("shape of the tin", shape, ""),
        Derivation("sides of the tin", sides_m, "m", "stated" if said_m else "assistant.laws.shape.usual_sides_m"),
        depth, ranged("share of rim area times depth", shapes.TAPER, "1", "assistant.laws.shape.TAPER"), unit="mL",
    )  # fmt: skip
    return held, tuple(100 * side for side in sides_m), 100 * depth_m


def _held_ml(shape: str, sides_m: tuple[float, ...], depth_m: float, taper: float) -> float:
    return 1e6 * shapes.pan_volume_m3(shape, sides_m, depth_m, taper)


def _share_pct(part_ml: float, tin_ml: float) -> float:
    return 100 * part_ml / tin_ml


def _over_g(dough_g: float, most_g: float) -> float:
    return dough_g - most_g


def _fits_g(fill_pct: float, tin_ml: float, dough_ml: float, dough_g: float) -> float:
    return fill_pct / 100 * tin_ml * dough_g / dough_ml


def _of_class(claim: str, band: Band, product: Product, unit: str, per: float = 1.0) -> Derivation:
    evidence = tuple(dict.fromkeys(e.source for e in product.evidence))
    return Derivation(
        claim,
        band.centre * per,
        unit,
        product.id,
        evidence,
        "common practice",
        band.low * per,
        band.high * per,
    )


def in_tin(formula: Formula, book: Rulebook) -> Formula:
    """The formula with as many pieces as its tins take: one tin each, or, if they are small, all in one tin; muffins
    as many as fill their cups as usual."""
    bake = formula.bake
    if bake is None or bake.pan not in SHAPE_IN:
        return formula
    name = PIECE_IN[bake.pan]
    one = replace(formula, pieces=1, piece_name=name)
    whole = fit(Context(one, book), BARE)
    if isinstance(whole, str):
        return formula
    if bake.pan == "muffin tin":
        usual = whole.fits_g or whole.dough_g
        return replace(one, pieces=max(1, round(formula.dough_g / usual.value)))
    alone = whole.before_pct.value / (formula.pieces or 1)
    return formula if formula.pieces and alone >= OWN_TIN_PCT else one


SHAPED: Mapping[str, tuple[str, str, float | None]] = {
    "loaf": ("loaf", "loaf", None),
    "round": ("roll", "round", None),
    "rolls": ("roll", "roll", 80.0),
    "baguette": ("baguette", "baguette", 300.0),
    "flat": ("flat", "flat bread", 120.0),
}
"""Shapes asked for: as the law has it, what a piece is called, and its usual dough, g (None: all of it). Common practice."""


def usual_tin(product: Product | None) -> str:
    """The tin a class of product is baked in, where a tin is spoken of and not which."""
    kind = "" if product is None else str(product.shape.get("kind", ""))
    return next((pan for pan, shape in SHAPE_IN.items() if shape == kind), "loaf tin")


def rebaked(
    formula: Formula, bake: Bake | None, book: Rulebook, shape: str = "", pieces: int | None = None
) -> Formula:
    """The formula with another bake, in as many pieces as the pan or the shape asked for takes, if not told."""
    before = formula.bake
    altered = replace(formula, bake=bake)
    if shape:
        kind, name, usual_g = SHAPED[shape]
        count = 1 if usual_g is None else max(1, round(formula.dough_g / usual_g))
        same = formula.pieces and (formula.pieces > 1) == (count > 1)
        free = bake and replace(
            bake, pan="sheet" if bake.pan in SHAPE_IN else bake.pan, size_cm=(), litres=None, shape=kind
        )
        return replace(
            altered, bake=free, pieces=pieces or (formula.pieces if same else count), piece_name=name
        )
    another = bake is not None and (
        before is None or (bake.pan, bake.size_cm, bake.litres) != (before.pan, before.size_cm, before.litres)
    )
    if pieces is not None:
        name = (
            PIECE_IN[bake.pan]
            if bake is not None and bake.pan in SHAPE_IN and another
            else formula.piece_name
        )
        return replace(altered, pieces=pieces, piece_name=name)
    return in_tin(altered, book) if another else altered


def needs_tin(product: Product | None) -> bool:
    """Whether a class of product is a batter that only a tin keeps together."""
    return product is not None and product.shape.get("kind") in SHAPE_IN.values()


def why_not(formula: Formula, changed: Formula, book: Rulebook) -> str:
    """Why the bake of a changed formula can't be told."""
    base = Context(formula, book)
    entry = warmth_of(base, BARE).oven_entry_c
    start = formula.room_c if entry is None else entry.value
    told = [baking_of(each, start) for each in (base, Context(changed, book))]
    for each in told:
        if isinstance(each, str):
            return each
    assert formula.bake is not None
    here, there = (each for each in told if isinstance(each, Baking))
    change = bake_law.Change(here.case, formula.bake.minutes, here.core_c, (there.case,), (there.core_c,))
    (found,) = bake_law.predict_all([change], spread=False)
    return found if isinstance(found, str) else "the bake law gives no answer"


CUSTOM_C = 25 / 1.8
"""25 F, by which dark and glass pans are customarily baked cooler."""
CUSTOM_FOR = {"dark": "cake-mix-directions", "glass": "common-practice"}
"""Pans it is said of, and where."""


@dataclass(frozen=True, slots=True)
class Custom:
    """The custom of a cooler oven in another pan, held against the law.

    Against the base bake: the time in an oven 25 F lower, and how brown the crust gets in the same oven and in that
    one, each at its own time; `keeps_c` is the change of the oven that leaves the crust as it was, C.
    """

    finish: str
    cooler: Derivation
    browns: Derivation
    browns_cooler: Derivation
    keeps_c: Derivation

    @property
    def derivations(self) -> tuple[Derivation, ...]:
        """The numbers it is said from."""
        return self.cooler, self.browns, self.browns_cooler, self.keeps_c


def custom_check(formula: Formula, changed: Formula, book: Rulebook, notes: Notes) -> Custom | None:
    """What 25 F lower does in a pan for which that is customary; None for others, and where the law refuses."""
    if formula.bake is None or changed.bake is None:
        return None
    base = Context(formula, book)
    entry = warmth_of(base, BARE).oven_entry_c
    start = formula.room_c if entry is None else entry.value
    cooler = replace(changed, bake=replace(changed.bake, oven_c=changed.bake.oven_c - CUSTOM_C))
    told = [baking_of(Context(each, book), start) for each in (formula, changed, cooler)]
    bakings = [each for each in told if isinstance(each, Baking)]
    if len(bakings) < 3 or bakings[1].case.finish not in CUSTOM_FOR:
        return None
    here, *there = bakings
    minutes = formula.bake.minutes
    change = bake_law.Change(
        here.case, minutes, here.core_c, tuple(b.case for b in there), tuple(b.core_c for b in there)
    )
    (found,) = bake_law.predict_all([change], spread=False)
    if isinstance(found, str):
        return None
    finish = bakings[1].case.finish
    source = (CUSTOM_FOR[finish],)
    here_too, lower = (
        Derivation(claim, each.browning, "1", "assistant.laws.bake.predict", ("zanoni-1995",))
        for each, claim in zip(found, ("browning in this pan", "browning in an oven 25 F lower"), strict=True)
    )
    return Custom(
        finish,
        Derivation("time in an oven 25 F lower", found[1].physics_ratio, "1", "assistant.laws.bake.predict", source),
        here_too, lower,
        notes.derive("change of the oven that keeps the crust", _keeps_c, here_too, lower, unit="C"),
    )  # fmt: skip


def _keeps_c(browns: float, browns_cooler: float) -> float:
    """Oven change at which the browning is as before, on the line of its logarithm, C; at most 25 F either way.

    >>> round(_keeps_c(1.2, 0.95), 1)
    -10.8
    """
    steep = log(browns / browns_cooler) / CUSTOM_C
    return 0.0 if steep <= 0 else max(-CUSTOM_C, min(CUSTOM_C, -log(browns) / steep))
