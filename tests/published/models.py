"""What a published value is compared with where it takes more than one law: short chains of laws, or figures of
the rulebook, for the conditions the source names."""

from functools import cache

import numpy as np
from chempy import Substance

from assistant.formula.model import Bake, Formula, Line
from assistant.laws import thermal
from assistant.laws.bake import PRIORS, Case, minutes_from_nothing, solve
from assistant.laws.heat import Histories
from assistant.laws.thermal import Composition
from assistant.plan.assess import assess
from assistant.rulebook.model import Acid, Ingredient, Rulebook
from assistant.rulebook.read import load
from assistant.words.derivation import Derivation

LEAN = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
"""A lean wheat dough at 62 % hydration."""
CAKE = Composition(0.34, 0.055, 0.11, 0.47, 0.01, 0.015)
"""A layer-cake batter."""
ATOMIC_NUMBERS = {"sodium": 11, "potassium": 19}
ATOMIC_WEIGHTS = {"sodium": 22.98977, "potassium": 39.0983}


@cache
def book() -> Rulebook:
    """The packaged rulebook."""
    found, _ = load()
    return found


# ---- leavening acids, powders and sour ingredients, as the rulebook has them ----


def substance(acid: Acid) -> Substance:
    """An acid's formula, read by an independent library."""
    return Substance.from_formula(acid.formula.replace(".", ".."))  # the library's way to write hydrates


def independent_mass(acid: Acid) -> float:
    """Molar mass of an acid by an independent library, g/mol."""
    mass = substance(acid).mass
    assert isinstance(mass, float)
    return mass


SODA_G_MOL = Substance.from_formula("NaHCO3").mass


def nv(acid: str) -> float:
    """Neutralising value of a leavening acid."""
    value = book().acids[acid].neutralising_value
    assert value is not None, acid
    return value.value


def protons_used(acid: str) -> float:
    """Protons that a molecule gives to soda at its tabulated neutralising value."""
    return nv(acid) / 100 * independent_mass(book().acids[acid]) / SODA_G_MOL


def wakes_c(acid: str) -> float:
    """Where a heat-woken acid wakes, C."""
    wakes = book().acids[acid].wakes_c
    assert wakes is not None, acid
    return wakes.value


def meq_per_g(ingredient: Ingredient) -> float:
    """All the acid of an ingredient, meq/g."""
    return sum(reactant.amount.value for reactant in ingredient.acids)


def acidity_meq_g(ingredient: str) -> float:
    """All the acid that an ingredient of the rulebook has for soda, meq/g."""
    return meq_per_g(book().ingredients[ingredient])


def parts_pct(powder: Ingredient) -> dict[str, float]:
    """Mass of each part of a powder, % of it: bases by their molar mass, acids by neutralising value."""
    acids = book().acids
    parts = {b.species: b.amount.value * independent_mass(acids[b.species]) / 10 for b in powder.bases}
    for reactant in powder.acids:
        parts[reactant.species] = reactant.amount.value * SODA_G_MOL / 10 / (nv(reactant.species) / 100)
    return parts


def soda_pct(powder: str) -> float:
    """Share of a baking powder that is baking soda, %."""
    return parts_pct(book().ingredients[powder])["bicarbonate"]


def mineral_of_parts_mg(powder: str, mineral: str) -> float:
    """Sodium or potassium that the soda and the acids of a powder hold, mg per 100 g."""
    total = 0.0
    for species, pct in parts_pct(book().ingredients[powder]).items():
        found = substance(book().acids[species])
        total += (
            pct * found.composition.get(ATOMIC_NUMBERS[mineral], 0) * ATOMIC_WEIGHTS[mineral] / found.mass
        )
    return 1000 * total


def figure(ingredient: str, nutrient: str) -> float:
    """A composition figure of an ingredient of the rulebook, per 100 g."""
    return book().ingredients[ingredient].composition[nutrient].value


# ---- whole doughs ----


def crumb_ph(product: str, grams: str) -> float:
    """pH of the baked crumb of a formula written "flour 100, milk 70": everything the program knows of it.

    The formulas in the tables are usual ones of the trade (common practice); none was fitted to a pH.
    """
    ph = _crumb_ph(product, grams).value
    assert isinstance(ph, float)
    return ph


def crumb_ph_ends(product: str, grams: str) -> tuple[float, float]:
    """Between which ends the program says that this pH lies."""
    ph = _crumb_ph(product, grams)
    assert ph.low is not None and ph.high is not None
    return ph.low, ph.high


def _crumb_ph(product: str, grams: str) -> Derivation:
    lines = tuple(
        Line(name, name, float(g)) for name, g in (part.rsplit(" ", 1) for part in grams.split(", "))
    )
    return assess(Formula(product, product, lines, bake=Bake(180.0, 30.0)), book()).chemistry.ph_baked


# ---- bakes ----


def browning_ratio(hotter_c: float, cooler_c: float) -> float:
    """How much faster a crust browns in the bake solve at one temperature than at another."""
    two = np.array([[0.0, 0.0], [1.0, 1.0]])
    hot = np.array([[hotter_c, cooler_c], [hotter_c, cooler_c]])
    colour = Histories(two, hot, hot, two, two, two, two, two).colour[1]
    return float(colour[0] / colour[1])


def hearth_loss_pct(dough_g: float) -> float:
    """Loss of a free-standing lean loaf at the oven's door, baked 38 min at 220 C, % of its dough."""
    return float(100 * solve([Case(dough_g, LEAN, 0.72, "loaf", 220)], 38).loss[-1, 0])


def cake_minutes(batter_g: float, pan_cm: float, oven_c: float) -> float:
    """Minutes of a layer cake in a bright round pan without any known bake: core 96 C, loss 10 %."""
    layer = Case(batter_g, CAKE, 0.5, "round layer", oven_c, pan_cm=(pan_cm,), finish="bright")
    return minutes_from_nothing([layer], [96.0], [10.0])[0].minutes


def crumb_w_mk(dough: Composition, temp_c: float, gas_fraction: float) -> float:
    """Conductivity of a moist crumb in the bake solve: matrix, air, and vapour in its pores."""
    pores = thermal.wet_pore_conductivity_w_mk(temp_c, 101_325.0, PRIORS.pore_share, PRIORS.pore_cap)
    matrix = thermal.conductivity_w_mk(dough, temp_c)
    return float(thermal.porous_conductivity_w_mk(matrix, pores, gas_fraction))


def crumb_diffusivity(gas_fraction: float, density_kg_m3: float) -> float:
    """Diffusivity of bread crumb of a measured density while it is heated: mean over 25 to 95 C."""
    storage = density_kg_m3 * thermal.specific_heat_j_kgk(LEAN, 60.0)
    conducts = [crumb_w_mk(LEAN, float(t), gas_fraction) for t in np.linspace(25, 95, 15)]
    return float(np.mean(conducts)) / storage
