"""Why a bake went wrong: what the numbers of the recipe say first, then what a baker looks at."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from assistant.plan.functions import Context
from assistant.plan.model import Assessment, Option, Why
from assistant.rulebook.model import Band, Product, Rulebook
from assistant.words.derivation import Derivation

SODA_TOLD_G, ALKALINE_PH, EARLY_SHARE, YEAST_MOST_C = 0.3, 7.5, 0.6, 45.0
"""From where a number is told as a cause: soda left over that is tasted, an alkaline crumb, gas spent in the
bowl, a dough that harms yeast. Common practice."""
PRACTICE = ("common-practice",)
SEEN, POSSIBLE = "the numbers point to a cause", "nothing in the numbers; these are the usual causes"
"""Verdicts."""


@dataclass(frozen=True, slots=True)
class _Case:
    """What a cause is judged from."""

    here: Assessment
    option: Option | None
    context: Context

    @property
    def product(self) -> Product | None:
        return self.context.product


Finding = tuple[str, tuple[Derivation, ...]]
Cause = Callable[[_Case], Finding | None]


def diagnose(here: Assessment, option: Option | None, fault: str, book: Rulebook) -> Why:
    """Likely causes of a fault, those that the numbers of this recipe show before the usual ones.

    `fault` is a name of the trade ("gummy", "dense" ...); one that is not known gets the general advice.
    """
    case = _Case(here, option, Context(here.formula, book).dough)
    found = [finding for cause in _CAUSES.get(fault, ()) if (finding := cause(case)) is not None]
    usual = _USUAL.get(fault, _GENERAL)
    said = (*(text for text, _ in found), *usual)
    derivations = tuple(dict.fromkeys(d for _, numbers in found for d in numbers))
    sources = tuple(dict.fromkeys((*(key for d in derivations for key in d.evidence), *PRACTICE)))
    return Why(fault, SEEN if found else POSSIBLE, said, derivations, sources)


def _outside(number: Derivation, band: Band | None, above: bool) -> bool:
    if band is None or number.value is None:
        return False
    return bool(number.value > band.high) if above else bool(number.value < band.low)


def _too_wet(case: _Case) -> Finding | None:
    hydration = case.here.chemistry.hydration_pct
    if case.product is None or not _outside(hydration, case.product.hydration_pct, True):
        return None
    return "There is more water than this kind of bread usually takes; hold back 5 to 10 % of it.", (
        hydration,
        case.here.chemistry.free_water_g,
    )


def _too_dry(case: _Case) -> Finding | None:
    hydration = case.here.chemistry.hydration_pct
    if case.product is None or not _outside(hydration, case.product.hydration_pct, False):
        return None
    return "There is less water than this kind of bread usually takes; add it a spoonful at a time.", (
        hydration,
        case.here.chemistry.free_water_g,
    )


def _short_bake(case: _Case) -> Finding | None:
    bake = case.option.bake if case.option is not None else None
    if bake is None or bake.core_c.value is None:
        return None
    return (
        "Judge it by its core and by weighing it, not by a skewer or the crust: "
        "below that core, or with less weight gone, it is not baked through.",
        (bake.core_c, bake.bake_loss_pct, bake.no_later_than_min),
    )


def _soda_left(case: _Case) -> Finding | None:
    left, base = case.here.chemistry.unneutralised_soda_g, case.here.chemistry.base_mmol
    if left.value is None or left.value < SODA_TOLD_G:
        return None
    return "Soda is left over; it needs more acid, or less soda.", (left, base)


def _alkaline(case: _Case) -> Finding | None:
    ph = case.here.chemistry.ph_baked
    if ph.value is None or ph.value < ALKALINE_PH:
        return None
    return "The crumb is alkaline; an acid brings it down.", (ph,)


def _sour(case: _Case) -> Finding | None:
    surplus = case.here.chemistry.surplus_acid_mmol
    if surplus.value is None or surplus.value <= 0:
        return None
    return "There is acid to spare that nothing uses up.", (surplus, case.here.chemistry.ph_baked)


def _little_gas(case: _Case) -> Finding | None:
    chemistry, product = case.here.chemistry, case.product
    if product is None or product.powder_pct is None or case.context.raised_by != "chemical":
        return None
    share = case.context.share_pct("chemical-leavener")
    if share is None or share >= product.powder_pct.low:
        return None
    return "There is less leavening than this kind of bread usually takes.", (chemistry.gas_ml,)


def _early_gas(case: _Case) -> Finding | None:
    early = case.here.chemistry.early_gas_share
    if early.value is None or early.value < EARLY_SHARE or case.context.raised_by != "chemical":
        return None
    return "Most of the gas comes before the oven: bake at once, and keep the liquid cool.", (early,)


def _too_hot(case: _Case) -> Finding | None:
    mix = case.here.chemistry.mix_c
    if mix is None or mix.value is None or mix.value <= YEAST_MOST_C or case.context.raised_by != "yeast":
        return None
    return "The dough is warm enough to kill yeast.", (mix,)


def _salty(case: _Case) -> Finding | None:
    salt, product = case.here.chemistry.salt_pct, case.product
    if product is None or not _outside(salt, product.salt_pct, True):
        return None
    return "There is more salt than this kind of bread usually has, that of the leavening counted in.", (
        salt,
    )


def _bland(case: _Case) -> Finding | None:
    salt, product = case.here.chemistry.salt_pct, case.product
    if product is None or not _outside(salt, product.salt_pct, False):
        return None
    return "There is less salt than this kind of bread usually has.", (salt,)


def _reacts(case: _Case) -> Finding | None:
    ph = case.here.chemistry.ph_baked
    told = [text for text in case.here.cautions if "green" in text.lower()]
    return None if not told else (told[0], (ph,))


_CAUSES: Mapping[str, tuple[Cause, ...]] = {
    "gummy": (_too_wet, _short_bake),
    "raw inside": (_short_bake, _too_wet),
    "dense": (_little_gas, _too_hot, _early_gas, _too_dry),
    "flat": (_little_gas, _too_hot, _early_gas, _too_wet),
    "collapsed": (_too_wet, _early_gas, _short_bake),
    "dry": (_too_dry,),
    "crumbly": (_too_dry,),
    "soapy": (_soda_left, _alkaline),
    "bitter": (_soda_left, _alkaline),
    "green": (_reacts, _alkaline, _soda_left),
    "sour": (_sour,),
    "salty": (_salty,),
    "bland": (_bland,),
    "burnt": (_alkaline,),
    "wet dough": (_too_wet,),
    "stiff dough": (_too_dry,),
    "tough": (_too_dry,),
}

_USUAL: Mapping[str, tuple[str, ...]] = {
    "gummy": (
        "Cut too soon: fibre breads need an hour to cool, gluten-free loaves two.",
        "Taken out too early, or the oven is cooler than its dial: check with a thermometer.",
        "Fibre powder used for husk: it takes up far more water by the spoon.",
    ),
    "raw inside": (
        "Too hot an oven browns the crust before the middle is done: 15 °C less and longer.",
        "The piece is bigger or taller than the time was meant for.",
    ),
    "dense": (
        "Leavening that has lost its strength: a spoon of powder in hot water must froth.",
        "Worked too much after the leavening went in, or left standing before the oven.",
        "Flour measured by the cup: weigh it.",
    ),
    "flat": (
        "Old leavening, or yeast killed by liquid above 46 °C.",
        "A yeast dough left too long, until it could rise no more in the oven.",
    ),
    "collapsed": (
        "Too much leavening for the dough to hold.",
        "Taken out, or the door opened, before it had set.",
    ),
    "dry": ("Baked too long or too cool.", "Flour measured by the cup: weigh it."),
    "crumbly": ("Too little binder for flour without gluten.", "Cut while still warm."),
    "burnt": (
        "The oven runs hot, or the rack stands too high.",
        "More sugar or milk than the oven temperature suits.",
    ),
    "pale": (
        "The oven is cooler than its dial, or the bake was short.",
        "Hardly any sugar or protein at the surface: brush with egg or milk.",
    ),
    "green": ("Sunflower seed meets soda: an acid in the dough holds it off. It is harmless.",),
    "soapy": ("Baking soda where baking powder was meant, or not mixed through.",),
    "sour": ("Too long a rise, or more acid than the soda takes.",),
    "bitter": ("Old nuts, seeds or whole-grain flour: taste them raw.", "Too much baking powder."),
    "hollow": (
        "Air folded in while shaping, or an oven too hot at the start.",
        "Too much dusting flour between the folds.",
    ),
    "cracked": ("Not scored, or the skin dried before the oven.", "Proofed too little."),
    "wet dough": ("Wait ten minutes: fibres and gums take up water slowly.",),
    "stiff dough": ("Flour measured by the cup: weigh it.",),
    "tough": ("Worked too much after the liquid went in.", "Baked too long."),
    "eggy": ("More egg white than the taste can hide: spice, vanilla or a little less egg.",),
    "purple": ("Some psyllium colours the crumb violet; another brand does not. It is harmless.",),
}
_GENERAL = (
    "Say how it felt, looked or tasted: gummy, dense, dry, crumbly, sour, soapy, pale, burnt, green.",
)
