"""One answer for a kitchen at another height: what the laws change in this recipe, and what printed tables say."""

from dataclasses import dataclass, replace

from assistant.formula.model import Formula
from assistant.laws import altitude
from assistant.laws import bake as bake_law
from assistant.laws.ranges import sure_to
from assistant.plan.baking import Baking, baking_of
from assistant.plan.finish import before_of
from assistant.plan.functions import Context, mass
from assistant.plan.warmth import warmth_of
from assistant.plan.what_if import altered_mass
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, Derivation, Notes, stated

LEAVENERS = ("chemical-leavener", "soda", "leavening-acid")
LIQUIDS = ("water", "milk", "plant-milk", "cultured-milk")
SUGARS = ("sugar", "syrup")
TABLES_END_M = 3500.0
SUGAR_FROM_PCT = 10.0
"""Sugar in % of flours from which the tables for cakes speak of a recipe's sugar. Common practice."""
WHY = {
    "powder": "one printed rule serves all heights from 900 m, where the gas law goes by the pressure",
    "sugar": "no law here asks for less once the water is made up; the tables cut it because a crumb that boils "
    "cooler sets later",
    "liquid": "evaporation explains only this much; the tables also reckon with flour that is drier up there, so add "
    "the rest by feel",
    "oven": "heat flow asks for no other oven; the tables raise it so that the crumb sets before the gas has stretched "
    "it too far",
}
"""Why law and table part. Source: common practice, beside the laws themselves."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to change: as the recipe has it, by the laws, and the printed range; `kind` a key of WHY, "soda" or "rise"."""

    kind: str
    what: str
    before: Derivation
    law: Derivation
    printed: tuple[float, float] | None = None

    @property
    def parts(self) -> bool:
        """Whether law and table part by more than a kitchen scale or an oven dial tells."""
        if self.printed is None:
            return False
        room = 0.03 * abs(self.law.value)
        return not self.printed[0] - room <= self.law.value <= self.printed[1] + room


@dataclass(frozen=True, slots=True)
class Height:
    """What another height changes. `gas_room` is the room gas takes against before, `says` what the printed table
    has without a figure; `hotter` the printed oven (C) with the time it would take there, min; `soda_left` the soda that
    is left over as the recipe stands, g, where that is why the soda is not raised."""

    from_m: float
    to_m: float
    gas_room: Derivation
    boils: Derivation
    boiled: Derivation
    rows: tuple[Row, ...]
    changed: Formula
    table: str
    says: str = ""
    sources: tuple[str, ...] = ()
    hotter: tuple[Derivation, Derivation] | None = None
    soda_left: Derivation | None = None

    @property
    def printed(self) -> bool:
        """Whether a table has a figure for anything here."""
        return any(row.printed is not None for row in self.rows)

    @property
    def beyond(self) -> bool:
        """Whether it is higher than printed tables go."""
        return max(self.from_m, self.to_m) > TABLES_END_M

    @property
    def derivations(self) -> tuple[Derivation, ...]:
        """The numbers it is said from."""
        return (self.gas_room, self.boils, *(row.law for row in self.rows), *(self.hotter or ()))


@dataclass(frozen=True, slots=True)
class _Move:
    """A recipe on its way to another height, with what is printed of that."""

    context: Context
    here: Derivation
    there: Derivation
    printed: altitude.Adjustment
    notes: Notes

    @property
    def formula(self) -> Formula:
        return self.context.formula

    @property
    def gas_share(self) -> float:
        return gas_share(self.there.value, self.here.value)


def at_height(formula: Formula, to_m: float, book: Rulebook, notes: Notes) -> Height:
    """What changes in a recipe that was made for one height and is baked at another."""
    context = Context(formula, book).dough
    here, there = stated("height of the recipe", formula.altitude_m, "m"), stated("height here", to_m, "m")
    table = context.product.height_table if context.product is not None else ""
    printed, says, sources = _printed(formula.altitude_m, to_m, table)
    move = _Move(context, here, there, printed, notes)
    left = _soda_left(context, notes) if move.gas_share > 1 else None
    rows, changed = _leaveners(move, replace(formula, altitude_m=to_m), left is not None)
    rows += _sugar(move)
    more, changed = _liquid(move, changed)
    risen, changed = _rise(move, changed)
    oven = _oven(move)
    hotter = None
    if oven and oven[0].printed is not None:
        hotter = _hotter(formula, changed, sum(oven[0].printed) / 2, book)
    return Height(
        formula.altitude_m, to_m, notes.derive("room that gas takes", _room, there, here, evidence=("icao-7488",)),
        _boils(there, notes), _boils(here, notes), (*rows, *more, *risen, *oven), changed, table, says, sources, hotter,
        left,
    )  # fmt: skip


def _leaveners(move: _Move, changed: Formula, soda_stays: bool) -> tuple[list[Row], Formula]:
    """Powder, soda and their acids: as much gas by volume in thinner or thicker air."""
    rows = []
    soda = move.context.lines("soda") if soda_stays else ()
    for at in move.context.lines(*LEAVENERS):
        line = move.formula.lines[at]
        before = stated(line.name, mass(line), "g")
        printed = _times(move.printed.powder_share, before.value)
        if at in soda:
            rows.append(Row("soda", line.name, before, before, printed))
            continue
        law = move.notes.derive(
            line.name, _for_gas, before, move.there, move.here, unit="g", evidence=("icao-7488",)
        )
        rows.append(Row("powder", line.name, before, law, printed))
        changed = altered_mass(changed, at, round(law.value, 1))
    return rows, changed


def _sugar(move: _Move) -> list[Row]:
    """Sugar, where a table speaks of it and the recipe has enough of it; no law here changes it."""
    context, share = move.context, move.printed.sugar_share
    sugar = stated("sugar", context.grams(*SUGARS), "g")
    if share is None or sugar.value < SUGAR_FROM_PCT / 100 * context.base_weight_g:
        return []
    return [Row("sugar", "sugar", sugar, sugar, _times(share, sugar.value))]


def _liquid(move: _Move, changed: Formula) -> tuple[list[Row], Formula]:
    """What evaporates more is poured in more, to the line there is most of."""
    formula, product = move.formula, move.context.product
    lines = sorted(move.context.lines(*LIQUIDS), key=lambda at: -mass(formula.lines[at]))
    if not lines or formula.bake is None or product is None or product.loss_pct is None:
        return [], changed
    liquid = stated("liquid", sum(mass(formula.lines[at]) for at in lines), "g")
    low, centre, high = (
        formula.dough_g * pct / 100
        for pct in (product.loss_pct.low, product.loss_pct.centre, product.loss_pct.high)
    )
    lost = Derivation("weight lost in the oven", centre, "g", product.id, (), "common practice", low, high)
    oven = stated("oven", formula.bake.oven_c, "C")
    more = move.notes.derive(
        "water that evaporates more", altitude.water_lost_more, move.there, move.here, oven, lost, unit="g"
    )
    law = move.notes.derive("liquid", _sum, liquid, more, unit="g")
    poured = float(round(mass(formula.lines[lines[0]]) + more.value))
    row = Row("liquid", "liquid", liquid, law, _times(move.printed.liquid_share, liquid.value))
    return [row], altered_mass(changed, lines[0], poured)


def _rise(move: _Move, changed: Formula) -> tuple[list[Row], Formula]:
    """Yeast makes gas as fast at any height, so the time to a volume goes with the pressure."""
    rise = stated("rise", sum(step.minutes or 0.0 for step in changed.steps if step.kind == "proof"), "min")
    if move.context.raised_by != "yeast" or not rise.value:
        return [], changed
    law = move.notes.derive(
        "rise", _for_gas, rise, move.there, move.here, unit="min", evidence=("icao-7488",)
    )
    steps = tuple(
        replace(step, minutes=float(round(step.minutes * move.gas_share)))
        if step.kind == "proof" and step.minutes
        else step
        for step in changed.steps
    )
    return [Row("rise", "rise", rise, law)], replace(changed, steps=steps)


def _oven(move: _Move) -> list[Row]:
    bake, change = move.formula.bake, move.printed.oven_change_c
    if bake is None:
        return []
    oven = stated("oven", bake.oven_c, "C")
    printed = None if change is None else (bake.oven_c + change[0], bake.oven_c + change[1])
    return [Row("oven", "oven", oven, oven, printed)]


SODA_LEFT_G = 0.1
"""Soda left over from which more of it gives no lift worth its taste, g per 100 g of flours. Common practice."""


def _soda_left(context: Context, notes: Notes) -> Derivation | None:
    """Soda that no acid meets in the recipe as it stands, g; None where that is next to nothing."""
    found = before_of(context.formula, context.book, notes).chemistry.unneutralised_soda_g
    enough = SODA_LEFT_G * context.base_weight_g / 100
    return found if context.lines("soda") and found.value > enough else None


def _room(to_m: float, from_m: float) -> float:
    return float(altitude.gas_expansion(to_m) / altitude.gas_expansion(from_m))


def gas_share(to_m: float, from_m: float) -> float:
    """Share of the gas, or of the time in which yeast makes it, that gives the same volume at another height.

    >>> round(gas_share(1900.0, 0.0), 2)
    0.79
    """
    return float(altitude.powder_share(to_m, from_m))


@sure_to(lambda value, *_: vars(altitude.powder_share)["spread"](value))
def _for_gas(amount: float, to_m: float, from_m: float) -> float:
    return amount * gas_share(to_m, from_m)


def _sum(one: float, other: float) -> float:
    return float(one + other)


def _boils(height: Derivation, notes: Notes) -> Derivation:
    sources = ("icao-7488", "iapws-sr1-86")
    return notes.derive("water boils at", altitude.boiling_point_c, height, unit="C", evidence=sources)


def _printed(from_m: float, to_m: float, table: str) -> tuple[altitude.Adjustment, str, tuple[str, ...]]:
    """Printed shares of what stands in the recipe, where it may itself be written for a height."""
    if table not in altitude.PRINTED_TABLES or max(from_m, to_m) > TABLES_END_M:
        return altitude.Adjustment(), "", ()
    there, here = (altitude.printed_adjustment(height, table) for height in (to_m, from_m))
    if there is None and here is None:
        return altitude.Adjustment(), "", ()
    one, other = there or altitude.Adjustment(), here or altitude.Adjustment()
    oven = None
    if one.oven_change_c or other.oven_change_c:
        ends = zip(one.oven_change_c or (0.0, 0.0), other.oven_change_c or (0.0, 0.0), strict=True)
        low, high = (a - b for a, b in ends)
        oven = (min(low, high), max(low, high))
    relative = altitude.Adjustment(
        _relative(one.powder_share, other.powder_share), _relative(one.sugar_share, other.sugar_share),
        _relative(one.liquid_share, other.liquid_share), oven,
    )  # fmt: skip
    return relative, one.says, one.sources or other.sources


def _relative(there: altitude.Span | None, here: altitude.Span | None) -> altitude.Span | None:
    if there is None and here is None:
        return None
    low, high = (a / b for a, b in zip(there or (1.0, 1.0), here or (1.0, 1.0), strict=True))
    return min(low, high), max(low, high)


def _times(share: altitude.Span | None, amount: float) -> tuple[float, float] | None:
    return None if share is None else (share[0] * amount, share[1] * amount)


def _hotter(
    formula: Formula, changed: Formula, oven_c: float, book: Rulebook
) -> tuple[Derivation, Derivation] | None:
    """The printed oven, and the minutes the bake law gives for it."""
    assert formula.bake is not None and changed.bake is not None
    base = Context(formula, book)
    entry = warmth_of(base, BARE).oven_entry_c
    start = formula.room_c if entry is None else entry.value
    hot = replace(changed, bake=replace(changed.bake, oven_c=oven_c))
    here, there = baking_of(base, start), baking_of(Context(hot, book), start)
    if not isinstance(here, Baking) or not isinstance(there, Baking):
        return None
    change = bake_law.Change(here.case, formula.bake.minutes, here.core_c, (there.case,), (there.core_c,))
    (found,) = bake_law.predict_all([change], spread=False)
    if isinstance(found, str):
        return None
    oven = Derivation("oven as printed", oven_c, "C", "assistant.laws.altitude.printed_adjustment")
    return oven, Derivation(
        "minutes there", found[0].minutes, "min", "assistant.laws.bake.predict", ("bake-notes",)
    )
