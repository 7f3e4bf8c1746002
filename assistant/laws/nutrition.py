"""Nutrients of what is weighed: sums, what baking concentrates, carbohydrate by several countings, energy.

Carbohydrate is total by difference (100 less water, protein, fat and ash), fibre included, unless a name
says otherwise.
"""

from math import floor

import numpy as np

from assistant.laws.ranges import greater, lesser, within

MOST_G = 1e7
"""No recipe is asked about that is heavier, g: ten tonnes."""
SALT_PER_SODIUM = 2.5
"""g salt per g sodium, by definition. Source: eu-1169-2011, Annex I; grade: law."""
EU_KCAL = {
    "carbohydrate": 4.0,
    "polyols": 2.4,
    "protein": 4.0,
    "fat": 9.0,
    "alcohol": 7.0,
    "acids": 3.0,
    "fibre": 2.0,
}
EU_KJ = {
    "carbohydrate": 17.0,
    "polyols": 10.0,
    "protein": 17.0,
    "fat": 37.0,
    "alcohol": 29.0,
    "acids": 13.0,
    "fibre": 8.0,
}
"""Energy per g; erythritol has none. Source: eu-1169-2011, Annex XIV; grade: law."""
EU_LAXATIVE_PCT = 10.0
"""% of added polyols above which a food must say that much of it may be laxative. Source: eu-1169-2011,
Annex III 2.4; grade: law."""


def contribution(mass_g: float, per_100g: float) -> float:
    """What a mass of an ingredient brings of a nutrient.

    Units:    mass_g g; per_100g the nutrient's unit per 100 g; returns the nutrient's unit
    Range:    mass_g 0 to 1e7 g; per_100g 0 to 1e6; else ValueError
    Source:   definition of a composition table
    Spread:   none of its own: a definition

    >>> contribution(250.0, 10.3)
    25.75
    """
    within("mass", mass_g, 0.0, MOST_G, "g")
    within("figure per 100 g", per_100g, 0.0, 1e6)
    return mass_g * per_100g / 100


def total(*parts: float) -> float:
    """Sum of what all lines bring.

    Units:    all alike
    Range:    sum(parts) -1e12 to 1e12; else ValueError
    Source:   conservation of mass
    Spread:   none of its own: a sum

    >>> total(25.75, 0.5)
    26.25
    """
    whole = sum(parts)
    within("the sum", whole, -1e12, 1e12)
    return whole


def net_carbohydrate(
    carbohydrate_g: float, fibre_g: float, polyols_deducted_g: float, allulose_g: float
) -> float:
    """Carbohydrate less fibre, less the polyols that are not counted, less allulose.

    Which polyols are deducted the rulebook says (`polyols_deducted_g`): all of erythritol, part of others.
    Fibre by assay may exceed carbohydrate by difference a little; then none is left, not less than none.

    Units:    all g, of one portion; returns g
    Range:    carbohydrate_g 0 to 1e7 g; fibre_g 0 to 1e7 g; polyols_deducted_g 0 to 1e7 g; allulose_g 0 to
              1e7 g; else ValueError
    Source:   common-practice; no law defines it. FDA guidance leaves allulose out of sugars
    Spread:   none of its own: a way of counting
    Not for:  EU labels, whose carbohydrate leaves fibre out already

    >>> net_carbohydrate(16.25, 9.27, 0.0, 0.0)
    6.98
    """
    for what, grams in (
        ("carbohydrate", carbohydrate_g),
        ("fibre", fibre_g),
        ("polyols", polyols_deducted_g),
        ("allulose", allulose_g),
    ):
        within(what, grams, 0.0, MOST_G, "g")
    return greater(0.0, carbohydrate_g - fibre_g - polyols_deducted_g - allulose_g)


def available_carbohydrate(carbohydrate_g: float, fibre_g: float) -> float:
    """Carbohydrate as EU labels count it: without fibre, polyols included.

    Units:    g, of one portion; returns g
    Range:    carbohydrate_g 0 to 1e7 g; fibre_g 0 to 1e7 g; not less than none comes out where fibre by assay
              exceeds it; else ValueError
    Source:   eu-1169-2011, Annex I 6 and 7
    Spread:   none of its own: a definition

    >>> round(available_carbohydrate(71.2, 10.7), 2)
    60.5
    """
    within("carbohydrate", carbohydrate_g, 0.0, MOST_G, "g")
    within("fibre", fibre_g, 0.0, MOST_G, "g")
    return greater(0.0, carbohydrate_g - fibre_g)


def total_carbohydrate_from_eu(available_g: float, fibre_g: float) -> float:
    """Total carbohydrate from what an EU label tells.

    Units:    g per 100 g; returns g per 100 g
    Range:    available_g 0 to 100 g; fibre_g 0 to 100 g; else ValueError
    Source:   eu-1169-2011, Annex I 6 and 7
    Spread:   none of its own: a definition

    >>> total_carbohydrate_from_eu(8.0, 32.0)
    40.0
    """
    within("carbohydrate", available_g, 0.0, 100.0, "g")
    within("fibre", fibre_g, 0.0, 100.0, "g")
    return available_g + fibre_g


def unsplit_fibre(fibre_g: float, soluble_fibre_g: float, insoluble_fibre_g: float) -> float:
    """Fibre of which no one says whether it is soluble.

    Units:    g; returns g
    Range:    fibre_g 0 to 1e7 g; soluble_fibre_g 0 to 1e7 g; insoluble_fibre_g 0 to 1e7 g; not less than none
              comes out where rounded figures overlap; else ValueError
    Source:   definition: fibre is soluble, insoluble or of unknown kind
    Spread:   none of its own: a definition

    >>> unsplit_fibre(12.0, 3.0, 7.5)
    1.5
    """
    for what, grams in (
        ("fibre", fibre_g),
        ("soluble fibre", soluble_fibre_g),
        ("insoluble fibre", insoluble_fibre_g),
    ):
        within(what, grams, 0.0, MOST_G, "g")
    return greater(0.0, fibre_g - soluble_fibre_g - insoluble_fibre_g)


def ketogenic_ratio(fat_g: float, protein_g: float, net_carbohydrate_g: float) -> float:
    """Fat over protein and net carbohydrate, by mass.

    Units:    g, of one portion; returns 1
    Range:    fat_g 0 to 1e7 g; protein_g 0 to 1e7 g; net_carbohydrate_g 0 to 1e7 g; protein_g +
              net_carbohydrate_g 1e-6 and more; else ValueError
    Source:   ketogenic-diets-2012, Table 2
    Spread:   none of its own: a definition

    >>> ketogenic_ratio(117.0, 18.0, 21.0)
    3.0
    """
    for what, grams in (("fat", fat_g), ("protein", protein_g), ("net carbohydrate", net_carbohydrate_g)):
        within(what, grams, 0.0, MOST_G, "g")
    if np.any(protein_g + net_carbohydrate_g < 1e-6):
        raise ValueError("without protein and carbohydrate there is no ketogenic ratio")
    return fat_g / (protein_g + net_carbohydrate_g)


def energy_general_factors(protein_g: float, carbohydrate_g: float, fat_g: float) -> float:
    """Energy by 4, 4 and 9 kcal per g; carbohydrate with its fibre.

    Units:    g; returns kcal
    Range:    protein_g 0 to 1e7 g; carbohydrate_g 0 to 1e7 g; fat_g 0 to 1e7 g; else ValueError
    Source:   cfr-101-9, (c)(1)(i)(B)
    Spread:   none of its own: a regulation
    Not for:  foods with much fibre or polyols: it tells too much

    >>> energy_general_factors(21.0, 22.0, 50.0)
    622.0
    """
    for what, grams in (("protein", protein_g), ("carbohydrate", carbohydrate_g), ("fat", fat_g)):
        within(what, grams, 0.0, MOST_G, "g")
    return 4 * protein_g + 4 * carbohydrate_g + 9 * fat_g


def energy_eu(
    protein_g: float,
    available_carbohydrate_g: float,
    fat_g: float,
    fibre_g: float = 0.0,
    polyols_g: float = 0.0,
    erythritol_g: float = 0.0,
    organic_acids_g: float = 0.0,
    alcohol_g: float = 0.0,
) -> float:
    """Energy by the EU's factors, in kcal.

    `available_carbohydrate_g` holds the polyols, `polyols_g` those with erythritol, which has no energy.

    Units:    g; returns kcal
    Range:    protein_g 0 to 1e7 g; available_carbohydrate_g 0 to 1e7 g; fat_g 0 to 1e7 g; fibre_g 0 to 1e7 g;
              polyols_g 0 to available_carbohydrate_g; erythritol_g 0 to polyols_g; organic_acids_g 0 to 1e7
              g; alcohol_g 0 to 1e7 g; else ValueError
    Source:   eu-1169-2011, Annex XIV
    Spread:   none of its own: a regulation

    >>> energy_eu(21.0, 10.0, 50.0, fibre_g=12.0)
    598.0
    >>> energy_eu(0.0, 30.0, 0.0, polyols_g=30.0)
    72.0
    >>> energy_eu(0.0, 30.0, 0.0, polyols_g=30.0, erythritol_g=30.0)
    0.0
    """
    return _energy(
        EU_KCAL,
        protein_g,
        available_carbohydrate_g,
        fat_g,
        fibre_g,
        polyols_g,
        erythritol_g,
        organic_acids_g,
        alcohol_g,
    )


def energy_eu_kj(
    protein_g: float,
    available_carbohydrate_g: float,
    fat_g: float,
    fibre_g: float = 0.0,
    polyols_g: float = 0.0,
    erythritol_g: float = 0.0,
    organic_acids_g: float = 0.0,
    alcohol_g: float = 0.0,
) -> float:
    """Energy by the EU's factors, in kJ; these are factors of their own, not kcal times 4.184.

    Units:    g; returns kJ
    Range:    as energy_eu; else ValueError
    Source:   eu-1169-2011, Annex XIV
    Spread:   none of its own: a regulation

    >>> energy_eu_kj(21.0, 10.0, 50.0, fibre_g=12.0)
    2473.0
    """
    return _energy(
        EU_KJ,
        protein_g,
        available_carbohydrate_g,
        fat_g,
        fibre_g,
        polyols_g,
        erythritol_g,
        organic_acids_g,
        alcohol_g,
    )


def _energy(
    per_g: dict[str, float],
    protein_g: float,
    available_carbohydrate_g: float,
    fat_g: float,
    fibre_g: float,
    polyols_g: float,
    erythritol_g: float,
    organic_acids_g: float,
    alcohol_g: float,
) -> float:
    for what, grams in (
        ("protein", protein_g),
        ("carbohydrate", available_carbohydrate_g),
        ("fat", fat_g),
        ("fibre", fibre_g),
        ("organic acids", organic_acids_g),
        ("alcohol", alcohol_g),
    ):
        within(what, grams, 0.0, MOST_G, "g")
    within("polyols", polyols_g, 0.0, available_carbohydrate_g, "g")
    within("erythritol", erythritol_g, 0.0, polyols_g, "g")
    return (
        per_g["protein"] * protein_g
        + per_g["carbohydrate"] * (available_carbohydrate_g - polyols_g)
        + per_g["polyols"] * (polyols_g - erythritol_g)
        + per_g["fat"] * fat_g
        + per_g["fibre"] * fibre_g
        + per_g["acids"] * organic_acids_g
        + per_g["alcohol"] * alcohol_g
    )


def salt_from_sodium(sodium_mg: float) -> float:
    """Salt as EU labels tell it: all sodium times 2.5, wherever it comes from.

    Units:    mg; returns g
    Range:    sodium_mg 0 to 1e10 mg; else ValueError
    Source:   eu-1169-2011, Annex I 11
    Spread:   none of its own: a regulation

    >>> salt_from_sodium(400.0)
    1.0
    """
    within("sodium", sodium_mg, 0.0, 1000 * MOST_G, "mg")
    return SALT_PER_SODIUM * sodium_mg / 1000


def sodium_mg_from_salt(salt_g: float) -> float:
    """Sodium from the salt an EU label tells.

    Units:    g; returns mg
    Range:    salt_g 0 to 1e7 g; else ValueError
    Source:   eu-1169-2011, Annex I 11
    Spread:   none of its own: a regulation

    >>> sodium_mg_from_salt(1.0)
    400.0
    """
    within("salt", salt_g, 0.0, MOST_G, "g")
    return 1000 * salt_g / SALT_PER_SODIUM


def baked_mass_g(dough_g: float, bake_loss: float) -> float:
    """Mass after baking.

    Units:    g; bake_loss share of dough mass; returns g
    Range:    dough_g 0 to 1e7 g; bake_loss 0 to 0.6; else ValueError
    Source:   definition of bake loss
    Spread:   none of its own: a definition

    >>> baked_mass_g(1000.0, 0.12)
    880.0
    """
    within("dough", dough_g, 0.0, MOST_G, "g")
    within("bake loss", bake_loss, 0.0, 0.6)
    return dough_g * (1 - bake_loss)


def water_after_bake_g(water_g: float, dough_g: float, bake_loss: float) -> float:
    """Water left after baking: all that a bake loses is water.

    A yeast dough also loses alcohol and gas of its fermentation, 1 to 2 % of the flour, counted as water.

    Units:    g; bake_loss share of dough mass; returns g
    Range:    as baked_mass_g; water_g 0 to 1e7 g; dough_g * bake_loss 0 to water_g; else ValueError
    Source:   bake-notes; the loss of aroma and gas is below the error of weighing a loaf
    Spread:   none of its own: a mass balance, within the error of weighing a loaf

    >>> water_after_bake_g(380.0, 1000.0, 0.12)
    260.0
    """
    lost_g = dough_g - baked_mass_g(dough_g, bake_loss)
    within("water", water_g, 0.0, MOST_G, "g")
    within("water lost", lost_g, 0.0, water_g, "g")
    return water_g - lost_g


def per_piece(amount: float, pieces: float) -> float:
    """Share of one piece.

    Units:    any; returns the same
    Range:    amount -1e12 to 1e12; pieces 1 to 1e6; else ValueError
    Source:   arithmetic
    Spread:   none of its own: arithmetic

    >>> per_piece(1800.0, 8)
    225.0
    """
    within("amount", amount, -1e12, 1e12)
    within("pieces", pieces, 1.0, 1e6)
    return amount / pieces


def per_100g(amount: float, mass_g: float) -> float:
    """Amount in 100 g of a mass that holds it.

    Units:    any, of mass_g g; returns the same per 100 g
    Range:    amount -1e12 to 1e12; mass_g 1e-6 to 1e7 g; else ValueError
    Source:   arithmetic
    Spread:   none of its own: arithmetic

    >>> per_100g(44.0, 880.0)
    5.0
    """
    within("amount", amount, -1e12, 1e12)
    within("mass", mass_g, 1e-6, MOST_G, "g")
    return 100 * amount / mass_g


def laxative_statement_due(polyols_g_per_100g: float) -> bool:
    """Whether an EU label must say that much of the food may be laxative.

    Units:    g added polyols per 100 g; returns true or false
    Range:    polyols_g_per_100g 0 to 100 g; else ValueError
    Source:   eu-1169-2011, Annex III 2.4
    Spread:   none of its own: a regulation

    >>> laxative_statement_due(12.0), laxative_statement_due(10.0)
    (True, False)
    """
    within("polyols", polyols_g_per_100g, 0.0, 100.0, "g")
    return polyols_g_per_100g > EU_LAXATIVE_PCT


# ---- rounding for labels ----


def _to(amount: float, step: float) -> float:
    """To the nearest multiple of a step, halves up; a little slack for what binary floats lose."""
    return floor(amount / step + 0.5 + 1e-9) * step


def _said(amount: float, step: float) -> str:
    decimals = 0 if step >= 1 else 1 if step >= 0.1 else 2
    return f"{_to(amount, step):.{decimals}f}"


def us_label(nutrient: str, amount: float) -> str:
    """An amount per serving as a US label rounds it, without its unit.

    `nutrient`: energy_kcal, fat_g, saturated_g, cholesterol_mg, sodium_mg, potassium_mg, carbohydrate_g,
    fibre_g, soluble_fibre_g, insoluble_fibre_g, sugars_g, polyols_g or protein_g.

    Units:    the nutrient's own, per serving; returns words
    Range:    amount 0 to 1e7; an unknown nutrient is refused; else ValueError
    Source:   cfr-101-9, (c)(1) to (c)(7); fda-labeling-guide-2009, Appendix H
    Spread:   none of its own: a regulation

    >>> us_label("energy_kcal", 47.0), us_label("fat_g", 0.49), us_label("sodium_mg", 146.0)
    ('45', '0', '150')
    >>> us_label("carbohydrate_g", 0.7), us_label("fat_g", 4.3)
    ('less than 1', '4.5')
    """
    within(nutrient, amount, 0.0, 1e7)
    if nutrient == "energy_kcal":
        return "0" if amount < 5 else _said(amount, 5.0 if amount <= 50 else 10.0)
    if nutrient in ("fat_g", "saturated_g"):
        if amount < 0.5:
            return "0"
        return f"{_to(amount, 0.5):g}" if amount < 5 else _said(amount, 1.0)
    if nutrient == "cholesterol_mg":
        return "0" if amount < 2 else "less than 5" if amount < 5 else _said(amount, 5.0)
    if nutrient in ("sodium_mg", "potassium_mg"):
        return "0" if amount < 5 else _said(amount, 5.0 if amount <= 140 else 10.0)
    if nutrient in _US_WHOLE_GRAMS:
        return "0" if amount < 0.5 else "less than 1" if amount < 1 else _said(amount, 1.0)
    raise ValueError(f"US rules do not say how {nutrient} is rounded")


_US_WHOLE_GRAMS = (
    "carbohydrate_g",
    "fibre_g",
    "soluble_fibre_g",
    "insoluble_fibre_g",
    "sugars_g",
    "polyols_g",
    "protein_g",
)


def eu_label(nutrient: str, amount: float) -> str:
    """An amount per 100 g as an EU label rounds it, without its unit.

    `nutrient`: energy_kcal, energy_kj, fat_g, saturated_g, carbohydrate_g, sugars_g, polyols_g, starch_g,
    fibre_g, protein_g or salt_g.

    Units:    the nutrient's own, per 100 g; returns words
    Range:    amount 0 to 1e7; an unknown nutrient is refused; else ValueError
    Source:   eu-rounding-2012, table 4
    Spread:   none of its own: a regulation

    >>> eu_label("fat_g", 12.4), eu_label("fat_g", 4.36), eu_label("sugars_g", 0.4), eu_label("salt_g", 0.456)
    ('12', '4.4', '<0.5', '0.46')
    """
    within(nutrient, amount, 0.0, 1e7)
    if nutrient in ("energy_kcal", "energy_kj"):
        return _said(amount, 1.0)
    if nutrient == "salt_g":
        if amount <= 0.0125:
            return "<0.01" if amount > 0 else "0"
        return _said(amount, 0.1 if amount >= 1 else 0.01)
    least = 0.1 if nutrient == "saturated_g" else 0.5 if nutrient in _EU_GRAMS else None
    if least is None:
        raise ValueError(f"EU guidance does not say how {nutrient} is rounded")
    if amount <= least:
        return f"<{least:g}" if amount > 0 else "0"
    return _said(amount, 1.0 if amount >= 10 else 0.1)


_EU_GRAMS = ("fat_g", "carbohydrate_g", "sugars_g", "polyols_g", "starch_g", "fibre_g", "protein_g")


# ---- what a rounded label leaves open ----

_US_STEPS = {
    "energy_kcal": ((5.0, 5.0), (50.0, 10.0)),
    "fat_g": ((0.5, 0.5), (5.0, 1.0)),
    "saturated_g": ((0.5, 0.5), (5.0, 1.0)),
    "cholesterol_mg": ((5.0, 5.0),),
    "sodium_mg": ((5.0, 5.0), (140.0, 10.0)),
    "potassium_mg": ((5.0, 5.0), (140.0, 10.0)),
    **dict.fromkeys(_US_WHOLE_GRAMS, ((1.0, 1.0),)),
}
_EU_STEPS = {
    "energy_kcal": ((0.5, 1.0),),
    "energy_kj": ((0.5, 1.0),),
    "saturated_g": ((0.1, 0.1), (10.0, 1.0)),
    "salt_g": ((0.0125, 0.01), (1.0, 0.1)),
    **dict.fromkeys(_EU_GRAMS, ((0.5, 0.1), (10.0, 1.0))),
}
"""From which amount on a label rounds to which step; what lies below the first is told as nothing or as
"less than". Sources as us_label and eu_label."""


def us_label_ends(nutrient: str, printed: float) -> tuple[float, float]:
    """Between which amounts a number on a US label was rounded; finer than the rule asks, by its last digit.

    Units:    the nutrient's own, per serving; returns the same, least and most
    Range:    printed 0 to 1e7; an unknown nutrient is refused; else ValueError
    Source:   cfr-101-9, (c)(1) to (c)(7); fda-labeling-guide-2009, Appendix H
    Not for:  arrays
    Spread:   returned: what rounding leaves open, not the fifth by which the law lets a food differ from its label

    >>> us_label_ends("fat_g", 15.0), us_label_ends("fat_g", 4.5), us_label_ends("energy_kcal", 170.0)
    ((14.5, 15.5), (4.25, 4.75), (165.0, 175.0))
    >>> us_label_ends("fibre_g", 0.0), us_label_ends("sodium_mg", 5.0)
    ((0.0, 1.0), (5.0, 7.5))
    """
    return _ends(_US_STEPS, nutrient, printed, "US rules do not say")


def eu_label_ends(nutrient: str, printed: float) -> tuple[float, float]:
    """Between which amounts a number on an EU label was rounded; finer than the rule asks, by its last digit.

    Units:    the nutrient's own, per 100 g; returns the same, least and most
    Range:    printed 0 to 1e7; an unknown nutrient is refused; else ValueError
    Source:   eu-rounding-2012, table 4
    Not for:  arrays
    Spread:   returned: what rounding leaves open, not the tolerances that the same guidance allows

    >>> eu_label_ends("fat_g", 12.0), eu_label_ends("fat_g", 49.9), eu_label_ends("energy_kcal", 580.0)
    ((11.5, 12.5), (49.85, 49.95), (579.5, 580.5))
    >>> eu_label_ends("sugars_g", 0.0), eu_label_ends("carbohydrate_g", 10.0)
    ((0.0, 0.5), (9.95, 10.5))
    """
    return _ends(_EU_STEPS, nutrient, printed, "EU guidance does not say")


def _ends(
    steps: dict[str, tuple[tuple[float, float], ...]], nutrient: str, printed: float, unsaid: str
) -> tuple[float, float]:
    within(nutrient, printed, 0.0, 1e7)
    if nutrient not in steps:
        raise ValueError(f"{unsaid} how {nutrient} is rounded")
    bands = steps[nutrient]
    least = bands[0][0]
    if printed == 0:
        return 0.0, least
    below = next((step for start, step in reversed(bands) if start < printed), bands[0][1])
    above = next((step for start, step in reversed(bands) if start <= printed), bands[0][1])
    if abs(printed / below - round(printed / below)) > 1e-6:
        below = above = _last_digit(printed)
    low = printed - below / 2
    return round(max(low, least) if printed >= least else low, 9), round(printed + above / 2, 9)


def _last_digit(printed: float) -> float:
    """The step of the last decimal that is written."""
    _, _, decimals = f"{printed:.9f}".rstrip("0").partition(".")
    return 10.0 ** -len(decimals)


def water_by_difference(
    known_low_g: float, known_high_g: float, expected_g: float
) -> tuple[float, float, float]:
    """Water of a food whose label tells all else, since carbohydrate is what is left of the whole.

    Labels round, so the difference has a spread; within it the water that such foods usually hold is the
    likelier.

    Units:    g per 100 g: protein, fat, total carbohydrate and ash together, least and most; the water
              such food usually holds; returns least, likely and most water
    Range:    known_low_g 0 to 100 g; known_high_g known_low_g to 200; expected_g 0 to 100 g; else ValueError
    Source:   usda-sr28: carbohydrate is 100 less water, protein, fat and ash
    Spread:   returned: least and most

    >>> water_by_difference(90.0, 96.0, 4.3)
    (4.0, 4.3, 10.0)
    >>> water_by_difference(12.0, 12.4, 60.0)
    (87.6, 87.6, 88.0)
    """
    within("least of what is known", known_low_g, 0.0, 100.0, "g")
    within("most of what is known", known_high_g, known_low_g, 200.0, "g")
    within("usual water", expected_g, 0.0, 100.0, "g")
    low, high = greater(0.0, 100 - known_high_g), 100 - known_low_g
    return low, lesser(greater(low, expected_g), high), high
