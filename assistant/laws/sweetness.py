"""Sweetness at the level of use, the body that sugar leaves behind, freezing, reducing sugars, and how much of
a sugar alcohol a sitting bears.

Relative sweetness is against sucrose, mass for mass. Sugars and polyols keep their ratio (with its spread) at any
level; intense sweeteners lose strength as they get sweeter, since each has a sweetness it never passes.
"""

import numpy as np

from assistant.laws.ranges import greater, share, sure_to, within

STATED_AT_PCT = 5.0
"""% sucrose at which the strength of an intense sweetener is usually stated. Source: dubois-1991, from memory."""
FREEZING_K_KG_MOL = 1.858
"""Freezing point depression of water per mol/kg. Source: crc-handbook; grade: from memory."""
SUGAR_HYDRATION = {"disaccharide": 5.0, "monosaccharide": 2.0, "none": 0.0}
"""Molecules of water that a dissolved sugar holds back from freezing, by its kind: fitted so that the printed
freezing points of sucrose, glucose and glycerol up to 30 % are met within 3 %.
Source: scatchard-1921 (form and sucrose); grade: derived."""
WATER_G_MOL = 18.015
DISSOLVED_ML_G = (0.60, 0.62, 0.70)
"""Low, usual, high volume that a gram of dissolved sugar or polyol takes up, mL/g: sucrose 0.617 at 10 % and
0.628 at 60 %. Source: crc-handbook (densities of sucrose solutions); low and high for other sugars and polyols;
grade: from memory."""
WATER_ML_G = 1 / 0.99823
SUCROSE_G_MOL, HEXOSES_G_MOL = 342.30, 360.31
"""Sucrose, and the glucose and fructose it splits into. Source: atomic-weights."""
INVERTED_IN_CRUST = (0.2, 0.475, 0.9)
"""Low, usual, high share of a quick bread's sucrose that splits where the crust browns. Grade: from memory."""
BODY_KG = (50.0, 70.0, 90.0)
"""Low, usual, high mass of an adult; children are lighter. Source: efsa-2012-defaults; grade: from memory."""
STATEMENT_ABOVE_PCT = 10.0
"""Added polyols, % of the food, above which the EU asks for "excessive consumption may produce laxative
effects". Source: eu-1169-2011 annex III 2.4; grade: law."""


# Sweetness


@sure_to(share(0.15))
def intensity_at(intensity: float, sucrose_pct: float, most_pct: float) -> float:
    """Relative sweetness of an intense sweetener where it is as sweet as a given sugar solution.

    Its sweetness tends to an end: R = most x C / (k + C). So its strength against sucrose falls in a straight line
    with the sweetness it is used at, from what is stated at 5 % sucrose.

    Units:    intensity, times sucrose, as stated at 5 % (STATED_AT_PCT); % sucrose of equal sweetness; most_pct,
              the sweetness it never passes, % sucrose; returns times sucrose
    Range:    intensity 1 to 20000 times sucrose; most_pct 6 to 40 % sucrose; sucrose_pct 0 to most_pct (short
              of it); else ValueError
    Source:   dubois-1991 (form); sweeteners-fsb-2022: steviol glycosides 200 at 5 %, 130 to 150 at 8 to 10 %
    Spread:   15 % (from-memory); tables of strength differ by more

    >>> round(intensity_at(200.0, 9.0, 18.3))
    140
    """
    within("strength of an intense sweetener", intensity, 1.0, 20_000.0, "times sucrose")
    within("most sweetness of a sweetener", most_pct, STATED_AT_PCT + 1, 40.0, "% sucrose")
    within("sweetness", sucrose_pct, 0.0, most_pct * (1 - 1e-9), "% sucrose")
    return intensity * (most_pct - sucrose_pct) / (most_pct - STATED_AT_PCT)


@sure_to(share(0.15))
def sweetness_of_intense_pct(share_pct: float, intensity: float, most_pct: float) -> float:
    """Sweetness that a share of an intense sweetener gives.

    Units:    % of the food's mass; times sucrose, as stated at 5 % sucrose; most_pct % sucrose; returns % sucrose
    Range:    share_pct 0 to 20 %; intensity 1 to 20000 times sucrose; most_pct 6 to 40 % sucrose; else
              ValueError
    Source:   dubois-1991 (form): the inverse of `intensity_at`
    Spread:   15 %, as intensity_at, besides that of the strength

    >>> [round(sweetness_of_intense_pct(share, 250.0, 18.3), 1) for share in (0.01, 0.02, 0.05)]
    [2.9, 5.0, 8.9]
    """
    within("share of an intense sweetener", share_pct, 0.0, 20.0, "%")
    within("strength of an intense sweetener", intensity, 1.0, 20_000.0, "times sucrose")
    within("most sweetness of a sweetener", most_pct, STATED_AT_PCT + 1, 40.0, "% sucrose")
    at_first = share_pct * intensity * most_pct / (most_pct - STATED_AT_PCT)
    return at_first / (1 + at_first / most_pct)


@sure_to(share(0.15))
def intense_sucrose_equal_g(sweetener_g: float, food_g: float, intensity: float, most_pct: float) -> float:
    """Sucrose that is as sweet as an intense sweetener in a food.

    Units:    g; g of the food it sweetens; times sucrose at 5 %; % sucrose; returns g sucrose
    Range:    as sweetness_of_intense_pct; food_g 0.001 to 1e7 g; 100 * sweetener_g / food_g 0 to 20 %; else
              ValueError
    Source:   dubois-1991 (form)
    Spread:   15 %, as intensity_at, besides that of the strength

    >>> round(intense_sucrose_equal_g(0.1, 500.0, 250.0, 18.3))
    25
    """
    within("food", food_g, 0.001, 1e7, "g")
    return sweetness_of_intense_pct(100 * sweetener_g / food_g, intensity, most_pct) * food_g / 100


def sucrose_equal_g(sweetener_g: float, relative_sweetness: float) -> float:
    """Sucrose that is as sweet as a mass of a sugar, syrup or polyol, whose ratio holds at any level.

    Units:    g; times sucrose; returns g sucrose
    Range:    sweetener_g 0 to 1e7 g; relative_sweetness 0 to 20000 times sucrose; else ValueError
    Source:   definition of relative sweetness; ratios in rules/ingredients with their spread
    Spread:   none of its own: a definition

    >>> sucrose_equal_g(100.0, 0.65)
    65.0
    """
    within("sweetener", sweetener_g, 0.0, 1e7, "g")
    within("relative sweetness", relative_sweetness, 0.0, 20_000.0, "times sucrose")
    return sweetener_g * relative_sweetness


# Bulk


def bulk_missing_g(before_g: float, after_g: float) -> float:
    """Dry body that is missing after a swap of sweeteners; 0 when there is as much or more.

    Units:    g of dry matter that sweetens, before and after; returns g
    Range:    before_g 0 to 1e7 g; after_g 0 to 1e7 g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> bulk_missing_g(200.0, 1.0), bulk_missing_g(100.0, 130.0)
    (199.0, 0.0)
    """
    within("what sweetened before", before_g, 0.0, 1e7, "g")
    within("what sweetens now", after_g, 0.0, 1e7, "g")
    return greater(before_g - after_g, 0.0)


def dissolved_volume_ml(dry_g: float, ml_per_g: float) -> float:
    """Volume that sugar takes up in a batter once it has dissolved: much less than its cups.

    Units:    g of dry sugar or polyol; mL/g (DISSOLVED_ML_G); returns mL
    Range:    dry_g 0 to 1e7 g; ml_per_g 0.55 to 0.75 mL/g; else ValueError
    Source:   crc-handbook: densities of sucrose solutions; a cup of 200 g makes 124 mL
    Spread:   that of DISSOLVED_ML_G: 2 % for sucrose, 10 % for polyols

    >>> round(dissolved_volume_ml(200.0, 0.62))
    124
    """
    within("dissolved sugar", dry_g, 0.0, 1e7, "g")
    within("volume of dissolved sugar", ml_per_g, 0.55, 0.75, "mL/g")
    return dry_g * ml_per_g


@sure_to(share(0.003))
def sugar_solution_density_g_ml(sugar_pct: float, ml_per_g: float) -> float:
    """Density of sugar dissolved in water at 20 C: volumes of water and dissolved sugar add.

    Units:    % sugar by mass; mL/g of dissolved sugar (DISSOLVED_ML_G); returns g/mL
    Range:    sugar_pct 0 to 50 %; as dissolved_volume_ml; else ValueError
    Source:   crc-handbook: sucrose 10 % 1.0381, 40 % 1.1765; additivity of volumes
    Spread:   0.3 %, as far as its checks BLK01 to BLK04

    >>> round(sugar_solution_density_g_ml(40.0, 0.62), 3)
    1.178
    """
    within("sugar", sugar_pct, 0.0, 50.0, "%")
    water_ml = (100 - sugar_pct) * WATER_ML_G
    return 100 / (water_ml + dissolved_volume_ml(sugar_pct, ml_per_g))


# Freezing


def dissolved_mol(dry_g: float, molar_mass_g_mol: float, particles: float) -> float:
    """Dissolved particles of a mass of sugar, polyol or salt.

    Units:    g; g/mol; particles per molecule (salt 2, which count as `share_of_ions`); returns mol
    Range:    dry_g 0 to 1e7 g; molar_mass_g_mol 10 to 1000 g/mol; particles 1 to 4; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> round(dissolved_mol(100.0, 342.3, 1), 3)
    0.292
    """
    within("dissolved matter", dry_g, 0.0, 1e7, "g")
    within("molar mass", molar_mass_g_mol, 10.0, 1000.0, "g/mol")
    within("particles per molecule", particles, 1.0, 4.0)
    return dry_g / molar_mass_g_mol * particles


@sure_to(share(0.02))
def share_of_ions(salt_mol_kg: float) -> float:
    """Share of their number at which the two ions of a dissolved salt count for freezing: they draw each other.

    The osmotic coefficient that goes with the Davies equation, by Gibbs and Duhem; ions of single charge.

    Units:    mol of salt per kg of free water; returns 1 (times `dissolved_mol` of two particles each)
    Range:    salt_mol_kg 0 to 0.25 mol/kg (1.4 % salt; beyond, the equation turns); else ValueError
    Source:   davies-1962: ln g = -1.17 (sqrt I/(1 + sqrt I) - 0.3 I)
    Spread:   2 %, as far as its check FRZ09

    >>> round(float(share_of_ions(0.1728)), 3)
    0.935
    """
    within("salt", salt_mol_kg, 0.0, 0.25, "mol/kg")
    root = salt_mol_kg**0.5
    drawn = 1 + root - 1 / (1 + root) - 2 * np.log(1 + root)
    counts: float = 1 - 1.172 * (drawn / greater(salt_mol_kg, 1e-12) - 0.15 * salt_mol_kg)
    return counts


def _freezing_ends(freezes_c: float, *_: float) -> tuple[float, float]:
    return share(0.05 if freezes_c < -1.5 * FREEZING_K_KG_MOL else 0.03)(freezes_c)


@sure_to(_freezing_ends)
def freezing_point_c(water_g: float, dissolved_mol: float, held_mol_per_mol: float) -> float:
    """Where ice begins to form in sweet or salt water: below 0 C by 1.858 C per mol in a kg of free water.

    Units:    g of all water; mol of particles; molecules of water each holds back (SUGAR_HYDRATION);
              returns C
    Range:    water_g 0.001 to 1e7 g; dissolved_mol 0 to 2e4 mol; held_mol_per_mol 0 to 10; 1000 *
              dissolved_mol / (water_g - 18.015 * held_mol_per_mol * dissolved_mol) 0 to 3 mol per kg of free
              water; else ValueError
    Source:   crc-handbook (1.858 C kg/mol), scatchard-1921 (water held): sucrose 20 % -1.47 C
    Spread:   3 % to 1.5 mol/kg, 5 % beyond, by its fit (checks FRZ01 to FRZ08 within 2 %)
    Not for:  how much ice there is further down, or the glass that sugar makes

    >>> round(freezing_point_c(80.0, 20 / 342.3, 5.0), 2)
    -1.45
    """
    within("water", water_g, 0.001, 1e7, "g")
    within("dissolved matter", dissolved_mol, 0.0, 2e4, "mol")
    within("water held by a molecule", held_mol_per_mol, 0.0, 10.0)
    free_g = water_g - held_mol_per_mol * dissolved_mol * WATER_G_MOL
    within("free water", free_g, 1e-6, 1e7, "g")
    per_kg = 1000 * dissolved_mol / free_g
    within("what is dissolved", per_kg, 0.0, 3.0, "mol per kg of free water")
    return -FREEZING_K_KG_MOL * per_kg


# Browning


def hexose_from_sucrose_g(sucrose_g: float, inverted_share: float) -> float:
    """Glucose and fructose that split off sucrose: it browns only so, and gains a twentieth in water.

    Units:    g sucrose; share that splits (yeast: all, in minutes; a crust: INVERTED_IN_CRUST); returns g
    Range:    sucrose_g 0 to 1e7 g; inverted_share 0 to 1; else ValueError
    Source:   atomic-weights: 360.31 over 342.30
    Spread:   none of its own: stoichiometry

    >>> round(hexose_from_sucrose_g(100.0, 1.0), 1)
    105.3
    """
    within("sucrose", sucrose_g, 0.0, 1e7, "g")
    within("share of sucrose that splits", inverted_share, 0.0, 1.0)
    return sucrose_g * inverted_share * HEXOSES_G_MOL / SUCROSE_G_MOL


def browning_sugar_g(reducing_g: float, sucrose_g: float, inverted_share: float) -> float:
    """Sugars that can brown with protein: the reducing ones, and sucrose as far as it has split.

    Polyols and intense sweeteners have no reducing group and add nothing.

    Units:    g of glucose, fructose, maltose, lactose, allulose; g sucrose; share that splits; returns g
    Range:    reducing_g 0 to 1e7 g; as hexose_from_sucrose_g; else ValueError
    Source:   atomic-weights; sweeteners-fsb-2022 (sugar alcohols do not brown)
    Spread:   none of its own: stoichiometry

    >>> round(browning_sugar_g(10.0, 100.0, 0.475), 1)
    60.0
    """
    within("reducing sugars", reducing_g, 0.0, 1e7, "g")
    return reducing_g + hexose_from_sucrose_g(sucrose_g, inverted_share)


# Laxation


@sure_to(share(1 / 3))
def laxation_threshold_g(threshold_g_kg: float, body_kg: float) -> float:
    """Most of a sugar alcohol at one sitting that loosens nobody's bowels, or nearly nobody's.

    Units:    g per kg of body mass, at one sitting; kg; returns g
    Range:    threshold_g_kg 0.05 to 5 g per kg; body_kg 10 to 200 kg; else ValueError
    Source:   thresholds in rules/ingredients (polyol-thresholds); proportional to body mass
    Spread:   a third, as tables of thresholds differ; people differ too, and get used to it

    >>> round(laxation_threshold_g(0.66, 70.0))
    46
    """
    within("threshold", threshold_g_kg, 0.05, 5.0, "g per kg")
    within("body", body_kg, 10.0, 200.0, "kg")
    return threshold_g_kg * body_kg


@sure_to(share(1 / 3))
def laxation_share(*amounts_and_thresholds_g: float) -> float:
    """How far several sugar alcohols eaten together fill what a sitting bears; 1 is the threshold.

    Units:    g, g threshold, again and again in pairs; returns a share (none: 0)
    Range:    amounts_and_thresholds_g[::2][*] 0 to 1e4 g; amounts_and_thresholds_g[1::2][*] 0.5 to 1000 g;
              else ValueError
    Source:   from-memory: they add, since all draw water into the gut
    Spread:   a third, as laxation_threshold_g

    >>> laxation_share(23.0, 46.0, 10.5, 21.0)
    1.0
    """
    if len(amounts_and_thresholds_g) % 2:
        raise ValueError("every amount of a sugar alcohol needs its threshold")
    full = 0.0
    for grams, bears_g in zip(amounts_and_thresholds_g[::2], amounts_and_thresholds_g[1::2], strict=True):
        within("sugar alcohol", grams, 0.0, 1e4, "g")
        within("threshold of a sitting", bears_g, 0.5, 1000.0, "g")
        full += grams / bears_g
    return full


def added_polyols_pct(polyols_g: float, baked_g: float) -> float:
    """Added sugar alcohols of the baked goods, as the EU counts them.

    Units:    g; g baked; returns % by mass
    Range:    baked_g 0.001 to 1e7 g; polyols_g / baked_g 0 to 1; else ValueError
    Source:   eu-1169-2011 annex III 2.4
    Spread:   none of its own: a regulation

    >>> added_polyols_pct(60.0, 500.0)
    12.0
    """
    within("baked weight", baked_g, 0.001, 1e7, "g")
    within("sugar alcohols over the baked weight", polyols_g / baked_g, 0.0, 1.0)
    return 100 * polyols_g / baked_g


def laxative_statement_due(added_polyols_pct: float) -> bool:
    """Whether food for sale in the EU must say "excessive consumption may produce laxative effects".

    Units:    % added polyols; returns true above 10
    Range:    added_polyols_pct 0 to 100 %; else ValueError
    Source:   eu-1169-2011 annex III 2.4: "more than 10 % added polyols"
    Spread:   none of its own: a regulation

    >>> laxative_statement_due(12.0), laxative_statement_due(10.0)
    (True, False)
    """
    within("added sugar alcohols", added_polyols_pct, 0.0, 100.0, "%")
    return added_polyols_pct > STATEMENT_ABOVE_PCT
