"""Whether a dough fits its tin, and what the custom for dark and glass pans is worth here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil

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
OWN_TIN_PCT = 20.0
"""How full of it one piece must make a tin, %, to have that tin alone; smaller ones go in together. Common practice."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How a dough fills its tin; volumes mL of one tin, shares % of it.

    `usual_pct` is how full of dough the tin of this class usually is and `fits_g` how much dough that is, both
    None where the class has no custom; `rises` whether the dough stands in it before it is baked.
    """

    pan: str
    sides_cm: tuple[float, ...]
    depth_cm: float | None  # None where only the volume is known
    tins: int
    tin_ml: Derivation
    dough_g: Derivation  # per tin
    before_pct: Derivation
    baked_pct: Derivation
    usual_pct: Derivation | None
    fits_g: Derivation | None
    rises: bool

    @property
    def verdict(self) -> str:
        """"as usual", "too full" or "low" against the custom of the class; "" where there is none."""
        usual = self.usual_pct
        if usual is None or usual.low is None or usual.high is None:
            return ""
        share = self.before_pct.value
        return "too full" if share > 1.02 * usual.high else "low" if share < 0.98 * usual.low else "as usual"

    @property
    def tins_needed(self) -> int:
        """Tins of this size in which it is no fuller than usual."""
        if self.usual_pct is None or self.usual_pct.high is None:
            return self.tins
        return int(ceil(self.tins * self.before_pct.value / (1.02 * self.usual_pct.high)))

    @property
    def derivations(self) -> tuple[Derivation, ...]:
        """The numbers it is said from."""
        found = (self.tin_ml, self.dough_g, self.before_pct, self.baked_pct, self.usual_pct, self.fits_g)
        return tuple(each for each in found if each is not None)


def fit(context: Context, notes: Notes) -> Fit | str:
    """How the dough of a formula fills the tin its bake names, or why that can't be told."""
    context = context.oven
    formula, product = context.formula, context.product
    bake = formula.bake
    if bake is None or bake.pan not in SHAPE_IN:
        where = f"on a {bake.pan}" if bake is not None and bake.pan else "in no tin that it names"
        return f"{formula.name} bakes {where}, so there is nothing to fill; name a tin, as in: will it fit a 1.5 litre tin"
    if product is None or product.gas_fraction is None or product.specific_volume is None or product.loss_pct is None:
        return "what kind of bread this is was not recognised, so how far it rises is unknown"
    dough = dough_of(context)
    if isinstance(dough, str):
        return dough
    try:
        return _fit(formula, bake, product, float(thermal.density_kg_m3(dough, 25.0)), notes)
    except ValueError as outside:
        return str(outside)


def _fit(formula: Formula, bake: Bake, product: Product, dense_kg_m3: float, notes: Notes) -> Fit:
    shape, tins = SHAPE_IN[bake.pan], formula.pieces or 1
    tin, sides_cm, depth_cm = _tin(bake, shape, notes)
    dough_g = stated("dough in one tin", formula.dough_g / tins, "g")
    rises = product.raised_by == "yeast"
    assert product.gas_fraction is not None and product.specific_volume is not None and product.loss_pct is not None
    gas = (
        ranged("gas in a dough just mixed", shapes.MIXED_GAS, "1", "assistant.laws.shape.MIXED_GAS")
        if rises
        else _of_class("gas in the batter as it goes in", product.gas_fraction, product, "1")
    )
    dense = Derivation("density of the dough without gas", dense_kg_m3, "kg/m3", evidence=("choi-okos-1986",))
    dough_ml = notes.derive("room the dough takes", shapes.dough_volume_ml, dough_g, dense, gas, unit="mL")
    loss = _of_class("share lost in the oven", product.loss_pct, product, "1", 0.01)
    volume = _of_class("volume of a gram baked", product.specific_volume, product, "mL/g")
    baked_ml = notes.derive("room the baked piece takes", shapes.baked_volume_ml, dough_g, loss, volume, unit="mL")
    usual = fits = None
    if product.fill_pct is not None:
        usual = _of_class("how full of dough such a tin usually is", product.fill_pct, product, "%")
        fits = notes.derive("dough that fits", _fits_g, usual, tin, dough_ml, dough_g, unit="g")
        ends = (product.fill_pct.low, product.fill_pct.high)
        low, high = (_fits_g(end, tin.value, dough_ml.value, dough_g.value) for end in ends)
        fits = replace(fits, low=low, high=high)
    return Fit(
        bake.pan, sides_cm, depth_cm, tins, tin, dough_g,
        notes.derive("how full the dough makes the tin", _share_pct, dough_ml, tin, unit="%"),
        notes.derive("how full the baked piece makes it", _share_pct, baked_ml, tin, unit="%"),
        usual, fits, rises,
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


def _fits_g(fill_pct: float, tin_ml: float, dough_ml: float, dough_g: float) -> float:
    return fill_pct / 100 * tin_ml * dough_g / dough_ml


def _of_class(claim: str, band: Band, product: Product, unit: str, per: float = 1.0) -> Derivation:
    evidence = tuple(dict.fromkeys(e.source for e in product.evidence))
    return Derivation(
        claim, band.centre * per, unit, product.id, evidence, "common practice", band.low * per, band.high * per
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


CUSTOM_C = 25 / 1.8
"""25 F, by which dark and glass pans are customarily baked cooler."""
CUSTOM_FOR = {"dark": "cake-mix-directions", "glass": "common-practice"}
"""Pans it is said of, and where."""


@dataclass(frozen=True, slots=True)
class Custom:
    """The custom of a cooler oven in another pan, held against the law.

    Against the base bake: the time in an oven 25 F lower, and how brown the crust gets in the same oven and in that
    one, each at its own time.
    """

    finish: str
    cooler: Derivation
    browns: Derivation
    browns_cooler: Derivation


def custom_check(formula: Formula, changed: Formula, book: Rulebook) -> Custom | None:
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
    times = [minutes, *(minutes * each.physics_ratio for each in found)]
    brown = bake_law.solve([b.case for b in bakings], times).colour[-1]
    finish = bakings[1].case.finish
    source = (CUSTOM_FOR[finish],)
    return Custom(
        finish,
        Derivation("time in an oven 25 F lower", found[1].physics_ratio, "1", "assistant.laws.bake.predict", source),
        *(
            Derivation(claim, float(brown[at] / brown[0]), "1", "assistant.laws.heat.solve", ("zanoni-1995",))
            for at, claim in ((1, "browning in this pan"), (2, "browning in an oven 25 F lower"))
        ),
    )
