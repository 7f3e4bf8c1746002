"""What the crumb of a formula will be like, each word with the number behind it."""

from collections.abc import Callable, Mapping

from assistant.laws import acidity, crumb, leavening
from assistant.laws.altitude import gas_expansion
from assistant.laws.yeast import sugar_used_g
from assistant.plan.functions import FOOD, Context, mass
from assistant.plan.model import Chemistry
from assistant.plan.warmth import Warmth
from assistant.rulebook.model import Product
from assistant.words.derivation import Derivation, Notes, stated

VOLUME, CELLS, SPRING, MOIST, CRUST = (
    "specific volume",
    "cell size",
    "springiness",
    "moistness",
    "crust colour",
)
SOUR, SWEET, BITTER, KEEPS = "sourness", "sweetness", "bitterness", "keeping"

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


def against(before: Mapping[str, Derivation], after: Mapping[str, Derivation]) -> dict[str, str]:
    """A word for each number of a crumb against that of the base."""
    return {
        name: say(after[name].value, before[name].value)
        for name, say in WORDS.items()
        if name in before and name in after
    }


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


def crumb_of(
    context: Context,
    chemistry: Chemistry,
    warmth: Warmth,
    loss: Derivation,
    minutes: float | None,
    notes: Notes,
) -> dict[str, Derivation]:
    """The numbers of the crumb that can be told. `loss` is the share of dough mass lost, `minutes` in the oven."""
    formula, product = context.formula, context.product
    flours = context.base_weight_g
    if product is None or product.specific_volume is None or flours <= 0 or formula.dough_g <= 0:
        return {}
    found: dict[str, Derivation] = {}
    volume = _volume(context, product, chemistry, notes)
    found[VOLUME] = volume
    density = Derivation("density without gas", GAS_FREE_G_ML, "g/mL", evidence=("choi-okos-1986",))
    gas = notes.derive("share of gas in the crumb", leavening.gas_fraction, _at_least(volume), density)
    waits = stated("minutes from mixing to the oven", warmth.rest_min, "min")
    at_mix = Derivation(
        "cells when mixing ends",
        crumb.CELLS_AT_MIX_PER_MM3[1],
        "per mm3",
        "assistant.laws.crumb.CELLS_AT_MIX_PER_MM3",
        ("bubble-literature",),
        "from memory",
        crumb.CELLS_AT_MIX_PER_MM3[0],
        crumb.CELLS_AT_MIX_PER_MM3[2],
    )
    half_life = Derivation(
        "half-life of cells",
        crumb.CELL_HALF_LIFE_MIN[1],
        "min",
        "assistant.laws.crumb.CELL_HALF_LIFE_MIN",
        ("bubble-literature",),
        "from memory",
        crumb.CELL_HALF_LIFE_MIN[0],
        crumb.CELL_HALF_LIFE_MIN[2],
    )
    cells = notes.derive(
        "cells still apart", crumb.cells_left_per_mm3, at_mix, waits, half_life, unit="per mm3"
    )
    found[CELLS] = notes.derive(CELLS, crumb.cell_diameter_mm, gas, cells, unit="mm", grade="from memory")
    per = 100 / flours
    gel = stated("gel fibre of flours", min(context.grams("gel-fibre") * per, 60.0), "%")
    worked = "kneaded" if context.raised_by == "yeast" and context.total("gluten") * per >= 4 else "folded"
    found[SPRING] = notes.derive(
        SPRING, crumb.springiness, stated("gluten of flours", min(context.total("gluten") * per, 100.0), "%"),
        Derivation(f"gluten developed when {worked}", crumb.DEVELOPED[worked], "1", "assistant.laws.crumb.DEVELOPED", ("common-practice",), "common practice"),
        gel, stated("egg of flours", min(context.grams("egg") * per, 400.0), "%"), gas, grade="from memory",
    )  # fmt: skip
    lost = notes.derive(
        "water lost in the oven",
        _lost,
        chemistry.water_g,
        stated("dough", formula.dough_g, "g"),
        loss,
        unit="g",
    )
    water = notes.derive(
        "water of the baked piece",
        crumb.crumb_water_pct,
        chemistry.water_g,
        stated("dough", formula.dough_g, "g"),
        lost,
        unit="%",
    )
    found[MOIST] = notes.derive(MOIST, crumb.moistness, water, volume, unit="g per 100 mL")
    fat, sugar = _per_flours(context, "fat_g", "fat"), _per_flours(context, "sugars_g", "sugars")
    crumb_g = stated("baked weight", formula.dough_g * (1 - loss.value), "g")
    if formula.bake is not None and minutes is not None and chemistry.ph.known:
        exposure = notes.derive(
            "browning",
            crumb.browning_exposure,
            stated("oven", formula.bake.oven_c, "C"),
            stated("minutes", min(minutes, 240.0), "min"),
            evidence=("zanoni-1995",),
        )
        browns = stated("sugars that brown", min(context.total("browning") * per, 100.0), "%")
        by_sugar = notes.derive(
            "effect of sugars",
            crumb.browning_factor_of_sugar,
            browns,
            evidence=("maillard-literature",),
            grade="from memory",
        )
        by_ph = notes.derive(
            "effect of pH",
            acidity.browning_factor_of_ph,
            _clipped(chemistry.ph, 3.0, 10.0),
            evidence=("maillard-literature",),
            grade="from memory",
        )
        found[CRUST] = notes.derive(
            CRUST, crumb.crust_colour, exposure, by_sugar, by_ph, evidence=("zanoni-1995",)
        )
    if chemistry.ph_baked.known:
        kg = stated("baked weight", crumb_g.value / 1000, "kg")
        species = notes.derive(
            "protonated acid in the crumb",
            acidity.sour_species_mmol_per_kg,
            chemistry.acids_left,
            chemistry.ph_baked,
            kg,
            unit="mmol/kg",
            evidence=("sour-taste-2007",),
            grade="from memory",
        )
        found[SOUR] = notes.derive(
            SOUR,
            crumb.sourness,
            species,
            chemistry.surplus_acid_mmol,
            crumb_g,
            unit="mmol/kg",
            grade="from memory",
        )
        residual = notes.derive(
            "leftover soda in the crumb", _pct, chemistry.unneutralised_soda_g, crumb_g, unit="%"
        )
        soapy = notes.derive(
            "soapiness",
            acidity.soapiness,
            residual,
            _clipped(chemistry.ph_baked, 2.0, 12.0),
            evidence=("baking-powder-literature",),
            grade="from memory",
        )
        pyro = stated("acid pyrophosphate of flours", _pyrophosphate_g(context) * per, "%")
        found[BITTER] = notes.derive(
            BITTER, crumb.bitterness, soapy, pyro, evidence=("baking-powder-literature",), grade="from memory"
        )
        mould = notes.derive(
            "days until mould",
            crumb.mould_days,
            water,
            _clipped(chemistry.ph_baked, 3.0, 10.0),
            sugar,
            unit="days",
            evidence=("common-practice",),
            grade="common practice",
        )
        stale = notes.derive(
            "days until stale",
            crumb.staling_days,
            fat,
            sugar,
            gel,
            unit="days",
            evidence=("common-practice",),
            grade="common practice",
        )
        found[KEEPS] = notes.derive(
            KEEPS, crumb.keeping_days, stale, mould, unit="days", grade="common practice"
        )
    eaten = (
        min(context.total(FOOD), sugar_used_g(chemistry.yeast_gas_ml.value, 0.93))
        if chemistry.yeast_gas_ml.value > 0
        else 0.0
    )
    sweet = stated(
        "sweetness, what yeast ate left out", max(context.total("sweetness") - eaten, 0.0), "g sucrose"
    )
    found[SWEET] = notes.derive(SWEET, crumb.sweetness_pct, sweet, crumb_g, unit="%")
    return found


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
