"""What the crumb of a formula will be like, each word with the number behind it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from assistant.laws import acidity, crumb, leavening
from assistant.laws.altitude import gas_expansion
from assistant.laws.nutrition import baked_mass_g
from assistant.laws.yeast import YIELD, sugar_used_g
from assistant.plan.functions import FOOD, Context, mass
from assistant.plan.model import Assessment, Chemistry
from assistant.plan.sweetness import sweetness_of
from assistant.plan.warmth import KNEADED_FROM, Warmth
from assistant.rulebook.model import Product
from assistant.words.derivation import Derivation, Notes, ranged, stated

VOLUME, CELLS, SPRING, MOIST, CRUST = (
    "specific volume",
    "cell size",
    "springiness",
    "moistness",
    "crust colour",
)
SOUR, SWEET, BITTER, KEEPS = "sourness", "sweetness", "bitterness", "keeping"

UNCHANGED = "the same"
WORDS: Mapping[str, Callable[[float, float], str]] = {
    VOLUME: crumb.volume_word,
    CELLS: crumb.cells_word,
    SPRING: crumb.springiness_word,
    MOIST: crumb.moistness_word,
    CRUST: crumb.crust_word,
    SOUR: crumb.sourness_word,
    SWEET: crumb.sweetness_word,
    BITTER: crumb.bitterness_word,
    KEEPS: crumb.keeping_word,
}
"""How each number is said against the base's."""


SURPLUS_MMOL = 1.0
"""Surplus acid below this is what rounding to half grams leaves."""


def against(before: Assessment, after: Assessment) -> dict[str, str]:
    """A word for each number of a crumb against that of the base.

    Acid that no soda meets is told even where it is too little to taste.
    """
    said = {
        name: say(after.crumb[name].value, before.crumb[name].value)
        for name, say in WORDS.items()
        if name in before.crumb and name in after.crumb
    }
    gained = after.chemistry.surplus_acid_mmol.value - before.chemistry.surplus_acid_mmol.value
    if said.get(SOUR) == UNCHANGED and gained > SURPLUS_MMOL:
        said[SOUR] = "barely sourer"
    return said


def words(numbers: Mapping[str, Derivation]) -> dict[str, str]:
    """A word for each number that has one of its own."""
    said = {}
    if VOLUME in numbers:
        said["openness"] = crumb.openness_word(
            leavening.gas_fraction(max(numbers[VOLUME].value, 1 / GAS_FREE_G_ML), GAS_FREE_G_ML)
        )
    if MOIST in numbers:
        said[MOIST] = crumb.moist_word(numbers[MOIST].value)
    if CRUST in numbers:
        said[CRUST] = crumb.crust_colour_word(numbers[CRUST].value)
    return said


GAS_FREE_G_ML = 1.2
"""Density of crumb without its gas, g/mL: Choi-Okos for 35 to 55 % water (assistant.laws.thermal)."""


def dosed_volume(
    gas_ml: float, usual_gas_ml: float, centre_ml_g: float, high_ml_g: float, gas_free_ml_g: float
) -> float:
    """Baked specific volume of a chemically raised class for a dose of gas against the usual dose.

    The class's usual dose gives its usual volume; more or less gas raises in proportion, up to the most
    that a crumb of this class holds.

    Units:    mL; mL; mL/g; mL/g; mL/g; returns mL/g
    Range:    usual gas > 0, gas >= 0; else ValueError
    Source:   volumes add (assistant.laws.leavening.specific_volume_raised), the share kept read off the class

    >>> round(dosed_volume(500.0, 1000.0, 1.8, 2.2, 0.8), 2)
    1.3
    """
    if usual_gas_ml <= 0 or gas_ml < 0:
        raise ValueError("a class without a usual dose of gas tells nothing of what gas does")
    return min(gas_free_ml_g + (centre_ml_g - gas_free_ml_g) * gas_ml / usual_gas_ml, high_ml_g)


@dataclass(frozen=True)
class _Seen:
    """A formula as its crumb is foretold from it."""

    context: Context
    product: Product
    chemistry: Chemistry
    warmth: Warmth
    loss: Derivation
    minutes: float | None
    notes: Notes

    @property
    def per_100(self) -> float:
        """What makes a mass a percentage of the flours."""
        return 100 / self.context.base_weight_g

    def of_flours(self, name: str, grams: float, most: float) -> Derivation:
        """A mass in % of the flours, no more than the laws hold for."""
        return stated(f"{name} of flours", min(grams * self.per_100, most), "%")

    @cached_property
    def dough(self) -> Derivation:
        """Mass of the dough, g."""
        return stated("dough", self.context.formula.dough_g, "g")

    @cached_property
    def baked(self) -> Derivation:
        """Mass when baked, g."""
        return self.notes.derive("baked weight", baked_mass_g, self.dough, self.loss, unit="g")

    @cached_property
    def volume(self) -> Derivation:
        """Baked specific volume, mL/g."""
        return _volume(self.context, self.product, self.chemistry, self.notes)

    @cached_property
    def gas(self) -> Derivation:
        """Share of gas in the crumb."""
        density = Derivation("density without gas", GAS_FREE_G_ML, "g/mL", evidence=("choi-okos-1986",))
        return self.notes.derive(
            "share of gas in the crumb", leavening.gas_fraction, _at_least(self.volume), density
        )

    @cached_property
    def water(self) -> Derivation:
        """Water of the baked piece, %."""
        water = self.chemistry.water_g
        lost = self.notes.derive("water lost in the oven", _lost, water, self.dough, self.loss, unit="g")
        return self.notes.derive(
            "water of the baked piece", crumb.crumb_water_pct, water, self.dough, lost, unit="%"
        )


def crumb_of(
    context: Context,
    chemistry: Chemistry,
    warmth: Warmth,
    loss: Derivation,
    minutes: float | None,
    notes: Notes,
) -> dict[str, Derivation]:
    """The numbers of the crumb that can be told. `loss` is the share of dough mass lost, `minutes` in the oven.

    A number whose law does not hold for this dough is left out rather than guessed.
    """
    context = context.dough
    product = context.product
    if product is None or product.specific_volume is None or context.base_weight_g <= 0:
        return {}
    seen = _Seen(context, product, chemistry, warmth, loss, minutes, notes)
    found: dict[str, Derivation] = {}
    for tell in (
        _told_volume,
        _told_spring,
        _told_moistness,
        _told_crust,
        _told_taste,
        _told_sweetness,
        _told_keeping,
    ):
        try:
            found |= tell(seen)
        except ValueError:
            continue
    return found


def _told_volume(seen: _Seen) -> dict[str, Derivation]:
    waits = stated("minutes from mixing to the oven", seen.warmth.rest_min, "min")
    at_mix = ranged(
        "cells when mixing ends", crumb.CELLS_AT_MIX_PER_MM3, "per mm3", "assistant.laws.crumb.CELLS_AT_MIX_PER_MM3",
        ("bubble-literature",),
    )  # fmt: skip
    half = ranged(
        "half-life of cells", crumb.CELL_HALF_LIFE_MIN, "min", "assistant.laws.crumb.CELL_HALF_LIFE_MIN",
        ("bubble-literature",),
    )  # fmt: skip
    apart = seen.notes.derive(
        "cells still apart", crumb.cells_left_per_mm3, at_mix, waits, half, unit="per mm3"
    )
    size = seen.notes.derive(CELLS, crumb.cell_diameter_mm, seen.gas, apart, unit="mm", grade="from memory")
    return {VOLUME: seen.volume, CELLS: size}


def _told_spring(seen: _Seen) -> dict[str, Derivation]:
    context = seen.context
    gluten = seen.of_flours("gluten", context.total("gluten"), 100.0)
    worked = "kneaded" if context.raised_by == "yeast" and gluten.value >= KNEADED_FROM else "folded"
    developed = Derivation(
        f"gluten developed when {worked}", crumb.DEVELOPED[worked], "1", "assistant.laws.crumb.DEVELOPED",
        ("common-practice",), "common practice",
    )  # fmt: skip
    gel = seen.of_flours("gel fibre", context.grams("gel-fibre"), 60.0)
    egg = seen.of_flours("egg", context.grams("egg"), 400.0)
    spring = seen.notes.derive(
        SPRING, crumb.springiness, gluten, developed, gel, egg, seen.gas, grade="from memory"
    )
    return {SPRING: spring}


def _told_moistness(seen: _Seen) -> dict[str, Derivation]:
    return {MOIST: seen.notes.derive(MOIST, crumb.moistness, seen.water, seen.volume, unit="g per 100 mL")}


def _told_crust(seen: _Seen) -> dict[str, Derivation]:
    bake = seen.context.formula.bake
    if bake is None or seen.minutes is None or not seen.chemistry.ph.known:
        return {}
    oven, time = stated("oven", bake.oven_c, "C"), stated("minutes", min(seen.minutes, 240.0), "min")
    exposure = seen.notes.derive("browning", crumb.browning_exposure, oven, time, evidence=("zanoni-1995",))
    browns = seen.of_flours("sugars that brown", seen.context.total("browning"), 100.0)
    recalled = ("maillard-literature",)
    by_sugar = seen.notes.derive(
        "effect of sugars", crumb.browning_factor_of_sugar, browns, evidence=recalled, grade="from memory"
    )
    by_ph = seen.notes.derive(
        "effect of pH", acidity.browning_factor_of_ph, _clipped(seen.chemistry.ph, 3.0, 10.0),
        evidence=recalled, grade="from memory",
    )  # fmt: skip
    colour = seen.notes.derive(
        CRUST, crumb.crust_colour, exposure, by_sugar, by_ph, evidence=("zanoni-1995",)
    )
    return {CRUST: colour}


def _told_taste(seen: _Seen) -> dict[str, Derivation]:
    chemistry, notes = seen.chemistry, seen.notes
    if not chemistry.ph_baked.known:
        return {}
    kg = notes.derive("baked weight", _kg, seen.baked, unit="kg")
    protonated = notes.derive(
        "protonated acid in the crumb", acidity.sour_species_mmol_per_kg, chemistry.acids_left, chemistry.ph_baked, kg,
        unit="mmol/kg", evidence=("sour-taste-2007",), grade="from memory",
    )  # fmt: skip
    sour = notes.derive(
        SOUR,
        crumb.sourness,
        protonated,
        chemistry.surplus_acid_mmol,
        seen.baked,
        unit="mmol/kg",
        grade="from memory",
    )
    residual = notes.derive(
        "leftover soda in the crumb", _pct, chemistry.unneutralised_soda_g, seen.baked, unit="%"
    )
    printed = ("baking-powder-literature",)
    soapy = notes.derive(
        "soapiness", acidity.soapiness, residual, _clipped(chemistry.ph_baked, 2.0, 12.0),
        evidence=printed, grade="from memory",
    )  # fmt: skip
    pyro = seen.of_flours("acid pyrophosphate", _pyrophosphate_g(seen.context), 10.0)
    bitter = notes.derive(BITTER, crumb.bitterness, soapy, pyro, evidence=printed, grade="from memory")
    return {SOUR: sour, BITTER: bitter}


def _told_sweetness(seen: _Seen) -> dict[str, Derivation]:
    gas = seen.chemistry.yeast_gas_ml.value
    eaten = min(seen.context.total(FOOD), sugar_used_g(gas, YIELD[1])) if gas > 0 else 0.0
    every = sweetness_of(seen.context, seen.baked, seen.notes)
    sweet = seen.notes.derive(
        "sweetness, what yeast ate left out", _less, every, stated("sugar that yeast ate", eaten, "g"), unit="g sucrose"
    )  # fmt: skip
    return {SWEET: seen.notes.derive(SWEET, crumb.sweetness_pct, sweet, seen.baked, unit="%")}


def _told_keeping(seen: _Seen) -> dict[str, Derivation]:
    if not seen.chemistry.ph_baked.known:
        return {}
    sugar = _per_flours(seen.context, "sugars_g", "sugars")
    gel = seen.of_flours("gel fibre", seen.context.grams("gel-fibre"), 60.0)
    common = ("common-practice",)
    mould = seen.notes.derive(
        "days until mould", crumb.mould_days, seen.water, _clipped(seen.chemistry.ph_baked, 3.0, 10.0), sugar,
        unit="days", evidence=common, grade="common practice",
    )  # fmt: skip
    stale = seen.notes.derive(
        "days until stale", crumb.staling_days, _per_flours(seen.context, "fat_g", "fat"), sugar, gel,
        unit="days", evidence=common, grade="common practice",
    )  # fmt: skip
    return {
        KEEPS: seen.notes.derive(
            KEEPS, crumb.keeping_days, stale, mould, unit="days", grade="common practice"
        )
    }


def _kg(mass_g: float) -> float:
    return mass_g / 1000


def _less(whole: float, part: float) -> float:
    return max(whole - part, 0.0)


def _volume(context: Context, product: Product, chemistry: Chemistry, notes: Notes) -> Derivation:
    """Baked specific volume: a yeast dough is proofed to its class's, whatever the clock says; a chemically
    raised one goes by its dose."""
    band = product.specific_volume
    assert band is not None
    sources = tuple(dict.fromkeys(e.source for e in product.evidence))
    usual = Derivation(
        f"usual volume of {product.name}",
        band.centre,
        "mL/g",
        product.id,
        sources,
        "handbook",
        band.low,
        band.high,
    )
    if (
        product.raised_by != "chemical"
        or product.powder_pct is None
        or (chemistry.soda_gas_ml.value <= 0 and chemistry.yeast_gas_ml.value > 0)
    ):
        return usual
    powder = stated(
        "usual powder", context.dose_weight_g(product.dose_on) * product.powder_pct.centre / 100, "g"
    )
    co2 = Derivation(
        "available CO2 of fresh powder",
        leavening.FRESH_POWDER_CO2_PCT[1],
        "%",
        "assistant.laws.leavening.FRESH_POWDER_CO2_PCT",
        ("from-memory",),
        "from memory",
    )
    mmol = notes.derive("gas of the usual powder", leavening.co2_mmol_from_powder, powder, co2, unit="mmol")
    if mmol.value <= 0:
        return usual
    dose = notes.derive(
        "gas of the usual powder",
        leavening.gas_ml,
        mmol,
        stated("told at", 25.0, "C"),
        stated("told at", leavening.STANDARD_ATMOSPHERE_PA, "Pa"),
        unit="mL",
    )
    least = Derivation("volume without gas", 1 / GAS_FREE_G_ML, "mL/g", evidence=("choi-okos-1986",))
    most = Derivation(f"most that {product.name} holds", band.high, "mL/g", product.id, sources)
    return notes.derive(
        VOLUME,
        dosed_volume,
        _aloft(context, chemistry, notes),
        dose,
        usual,
        most,
        least,
        unit="mL/g",
        evidence=sources,
        grade="common practice",
    )


def _aloft(context: Context, chemistry: Chemistry, notes: Notes) -> Derivation:
    """The gas as it counts where it is baked: thinner air gives it more room."""
    here = stated("altitude", context.formula.altitude_m, "m")
    more = notes.derive(
        "room that gas takes here against the sea", gas_expansion, here, evidence=("icao-7488",)
    )
    return notes.derive("gas, as it raises here", _times, chemistry.gas_ml, more, unit="mL")


def _times(amount: float, factor: float) -> float:
    return amount * float(factor)


def _lost(water_g: float, dough_g: float, loss_share: float) -> float:
    return min(loss_share * dough_g, 0.98 * water_g)


def _pct(part_g: float, whole_g: float) -> float:
    return min(100 * part_g / whole_g, 10.0)


def _at_least(volume: Derivation) -> Derivation:
    floor = 1 / GAS_FREE_G_ML
    return (
        volume
        if volume.value >= floor
        else Derivation(
            volume.claim,
            floor,
            volume.unit,
            volume.by,
            volume.evidence,
            volume.grade,
            premises=volume.premises,
        )
    )


def _clipped(d: Derivation, low: float, high: float) -> Derivation:
    """A value held to a law's range, its ends too."""
    held = [None if v is None else min(max(v, low), high) for v in (d.value, d.low, d.high)]
    return Derivation(d.claim, held[0], d.unit, d.by, d.evidence, d.grade, held[1], held[2], d.premises)


def _per_flours(context: Context, nutrient: str, name: str) -> Derivation:
    grams = sum(
        (i.per_gram(nutrient) or 0.0) * mass(line)
        for i, line in zip(context.ingredients, context.formula.lines, strict=True)
        if i
    )
    return stated(f"{name} of flours", min(100 * grams / context.base_weight_g, 200.0), "%")


def _pyrophosphate_g(context: Context) -> float:
    """Acid pyrophosphate in the powders, by what soda it neutralises and its neutralising value."""
    grams = 0.0
    for ingredient, line in zip(context.ingredients, context.formula.lines, strict=True):
        for reactant in ingredient.acids if ingredient else ():
            species = context.book.acids[reactant.species]
            if "P2O7" in species.formula and species.neutralising_value is not None:
                grams += (
                    reactant.amount.value
                    * mass(line)
                    * leavening.SODA_G_MOL
                    / 1000
                    / (species.neutralising_value.value / 100)
                )
    return grams
