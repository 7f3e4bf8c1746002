"""Everything about one formula as it stands: the same for before, after, and "what if"."""

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.formula.model import Formula
from assistant.laws.dough import minutes_to_cool
from assistant.laws.nutrition import baked_mass_g
from assistant.plan.baking import Baking, baking_of, own_loss, prepare
from assistant.plan.chemistry import chemistry_of
from assistant.plan.conditions import Facts, failing, unmet
from assistant.plan.crumb import crumb_of, words
from assistant.plan.diets import allergens_of, verdicts
from assistant.plan.functions import Context, context_of
from assistant.plan.model import Assessment, Chemistry, Nutrition
from assistant.plan.nutrition import nutrition_of
from assistant.plan.sweetness import sugar_alcohols_of, sweetener_cautions
from assistant.plan.warmth import Warmth, warmth_of
from assistant.rulebook.model import Rulebook
from assistant.words.derivation import BARE, FULL, Derivation, Notes, stated

USUAL_LOSS_PCT = (8.0, 11.0, 14.0)
"""Low, usual, high weight lost in the oven where neither bake nor class tells, %. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Baked:
    """How a formula comes out of the oven: share of dough mass lost, and minutes when known."""

    loss: Derivation
    minutes: float | None = None


def baked_of(context: Context, warmth: Warmth, notes: Notes) -> Baked:
    """Weight lost in the stated bake by the bake law, else as usual for the class, else as usual at all."""
    formula = context.formula
    baking = _baking(context, warmth)
    if isinstance(baking, Baking) and formula.bake is not None:
        loss = own_loss(context, baking)
        if loss is not None:
            return Baked(_share(loss, notes), formula.bake.minutes)
    return baked_as_usual(context, notes)


def baked_as_usual(context: Context, notes: Notes) -> Baked:
    """Weight lost as usual for the class, else as usual at all."""
    formula, product = context.formula, context.product
    minutes = None if formula.bake is None else formula.bake.minutes
    if product is not None and product.loss_pct is not None:
        band = product.loss_pct
        usual = Derivation(
            f"usual weight loss of {product.name}", band.centre, "%", product.id,
            tuple(dict.fromkeys(e.source for e in product.evidence)), "handbook", band.low, band.high,
        )  # fmt: skip
        return Baked(_share(usual, notes), minutes)
    low, centre, high = USUAL_LOSS_PCT
    usual = Derivation(
        "usual weight loss",
        centre,
        "%",
        "assistant.plan.assess.USUAL_LOSS_PCT",
        ("common-practice",),
        "common practice",
        low,
        high,
    )
    return Baked(_share(usual, notes), minutes)


def _baking(context: Context, warmth: Warmth) -> Baking | str:
    start_c = context.formula.room_c if warmth.oven_entry_c is None else warmth.oven_entry_c.value
    return baking_of(context, start_c)


def foresee(formulas: Iterable[Formula], book: Rulebook) -> None:
    """Solve the stated bakes of many recipes side by side, which takes a fraction of one after another; `assess`
    then finds them solved."""
    bases = []
    for formula in formulas:
        context = context_of(formula, book)
        baking = _baking(context, warmth_of(context, BARE))
        if isinstance(baking, Baking) and formula.bake is not None:
            bases.append((baking, formula.bake.minutes))
    prepare(bases)


def _share(loss_pct: Derivation, notes: Notes) -> Derivation:
    return notes.derive(
        "share of the dough lost in the oven",
        _hundredth,
        loss_pct,
        evidence=loss_pct.evidence,
        grade=loss_pct.grade,
    )


def _hundredth(pct: float) -> float:
    return pct / 100


def assess(
    formula: Formula,
    book: Rulebook,
    notes: Notes = FULL,
    baked: Baked | None = None,
    named: frozenset[str] = frozenset(),
) -> Assessment:
    """Chemistry and crumb of a formula's dough; nutrition, allergens, diets and cautions of all of it.

    `baked` is what a bake answer already foresees; without it the stated bake is followed. `named` are
    ids of cautions that a swap calls for.
    """
    context = context_of(formula, book)
    warmth = warmth_of(context, notes)
    out = baked_of(context, warmth, notes) if baked is None else baked
    chemistry = chemistry_of(context, warmth, notes, out.loss)
    loss = _of_all(context, out.loss, notes)
    nutrition = nutrition_of(formula, book, notes, loss)
    numbers = crumb_of(context, chemistry, warmth, out.loss, out.minutes, notes)
    facts = facts_of(chemistry, nutrition)
    baked_g = notes.derive("baked weight", baked_mass_g, stated("dough", formula.dough_g, "g"), loss, unit="g")  # fmt: skip
    sweeteners = sugar_alcohols_of(context, baked_g, notes)
    return Assessment(
        formula=formula,
        chemistry=chemistry,
        nutrition=nutrition,
        crumb=numbers,
        crumb_words=words(numbers),
        allergens=allergens_of(formula, book),
        diets=verdicts(formula, book, nutrition),
        cautions=(
            *cautions_of(context, facts, named),
            *_heat(context.dough, warmth),
            *_reactions(context.dough, facts),
            *_small(formula),
            *_dry_unknown(context.dough),
            *sweetener_cautions(context, sweeteners),
        ),
        functions=dict(enumerate(context.matters)),
        sweeteners=sweeteners,
    )


def _of_all(context: Context, loss: Derivation, notes: Notes) -> Derivation:
    """The share that all parts together lose in the oven: what goes on after the bake loses nothing."""
    all_g, oven_g = context.formula.dough_g, context.oven.formula.dough_g
    if all_g == oven_g:
        return loss
    into, whole = stated("what goes into the oven", oven_g, "g"), stated("all parts", all_g, "g")
    return notes.derive("share of all parts lost in the oven", share_of_all, loss, into, whole)


def share_of_all(loss_share: float, oven_g: float, all_g: float) -> float:
    """Loss in the oven over what is eaten, where some of it never went in.

    >>> share_of_all(0.1, 900.0, 1000.0)
    0.09
    """
    return loss_share * oven_g / all_g


NUMBERS = ("ph", "ph_baked", "mix_c", "net_carbs_per_100g")
"""Conditions of rules that ask for a number of the whole dough."""


def facts_of(chemistry: Chemistry, nutrition: Nutrition) -> Facts:
    """Numbers that conditions of rules may ask for."""
    numbers = (chemistry.ph, chemistry.ph_baked, chemistry.mix_c, nutrition.per_100g.get("net_carbs_g"))
    found = dict(zip(NUMBERS, numbers, strict=True))
    return {name: float(d.value) for name, d in found.items() if d is not None and d.value is not None}


def cautions_of(context: Context, facts: Facts, named: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Texts of the cautions that lines (or `named`) call for, and of those whose condition holds; any one does.

    A caution about a number (how warm, how alkaline) is shown only when that number is so.
    """
    called = named | {c for i in context.ingredients if i is not None for c in i.cautions}
    shown = []
    for caution in context.book.cautions.values():
        named_here = caution.id in called and caution.when.keys().isdisjoint(NUMBERS)
        if named_here or any(not failing(key, wanted, context, None, facts) for key, wanted in caution.when.items()):
            shown.append(caution.text)
    return tuple(dict.fromkeys(shown))


def _reactions(context: Context, facts: Facts) -> tuple[str, ...]:
    """Chemistry that bites, where both its partners and its conditions are there."""
    found = []
    for reaction in context.book.reactions.values():
        if context.lines(*reaction.between) and not unmet(reaction.when, context, None, facts):
            found.append(f"{reaction.name}: {reaction.seen}; {reaction.helps}.")
    return tuple(found)


def _dry_unknown(context: Context) -> tuple[str, ...]:
    """Lines whose water nobody knows: what is told of water leaves them out, and says so."""
    dark = [
        line.name
        for line, i in zip(context.formula.lines, context.ingredients, strict=True)
        if line.grams is None or (line.grams > 0 and (i is None or "water_g" not in i.composition))
    ]
    if not dark:
        return ()
    names = ", ".join(dict.fromkeys(dark))
    return (f"How much water {names} brings is unknown: dough feel, pH and weight loss are told without it.",)


def _small(formula: Formula) -> tuple[str, ...]:
    """Amounts that an ordinary kitchen scale does not show."""
    tiny = [line.name for line in formula.lines if line.grams is not None and 0 < line.grams < 1]
    return (
        (
            f"Less than 1 g of {', '.join(tiny)}: an ordinary kitchen scale does not show it; use a fine scale or a level spoon.",
        )
        if tiny
        else ()
    )


YEAST_MOST_C, POWDER_MOST_C, EGG_SETS_C = 46.0, 40.0, 60.0
"""C above which yeast begins to die (yeast-literature, 45-50 C, from memory), powder with slow acids wakes
(mcgee-2004: 38-40 C), and egg white sets (mcgee-2004: ovotransferrin from about 60 C)."""


def _heat(context: Context, warmth: Warmth) -> tuple[str, ...]:
    """What meets a dough too hot for it, and how long to wait."""
    limits = (
        ("baker-yeast", YEAST_MOST_C, "yeast begins to die above"),
        ("chemical-leavener", POWDER_MOST_C, "slow powder acids wake above"),
        ("egg", EGG_SETS_C, "egg white sets above"),
    )
    said = []
    for class_id, most_c, what in limits:
        hot = [
            (at, met)
            for at in context.lines(class_id)
            if (met := warmth.met_c.get(at)) is not None and met.value > most_c
        ]
        for at, met in hot[:1]:
            name = context.formula.lines[at].name
            said.append(
                f"The dough is about {met.value:.0f} °C when the {name} goes in, and {what} {most_c:.0f} °C{_wait(context, warmth, met.value, most_c)}."
            )
    return tuple(said)


def _wait(context: Context, warmth: Warmth, now_c: float, most_c: float) -> str:
    if warmth.time_constant_min is None or most_c <= context.formula.room_c:
        return ""
    minutes = minutes_to_cool(now_c, most_c, context.formula.room_c, warmth.time_constant_min.value)
    return f": wait about {minutes:.0f} min more, or spread it out"
