"""Chemical leavening: gas from soda and acid, what is left over, when the gas comes, how far it raises.

Amounts of acid and base are in mmol of H+ and of bicarbonate. Gas volumes are of dry ideal gas unless a
name says otherwise.
"""

import re

import numpy as np

from assistant.laws.ranges import greater, lesser, share, sure_to, within

GAS_CONSTANT = 8.314462618
"""J/(mol K), exact by definition of the SI. Source: codata-2018."""
STANDARD_ATMOSPHERE_PA = 101_325.0
"""Exact by definition. Source: codata-2018."""
ZERO_C_IN_K = 273.15

ATOMIC_WEIGHTS = {
    "H": 1.008,
    "C": 12.011,
    "N": 14.007,
    "O": 15.999,
    "Na": 22.98977,
    "Mg": 24.305,
    "Al": 26.98154,
    "P": 30.97376,
    "S": 32.06,
    "Cl": 35.45,
    "K": 39.0983,
    "Ca": 40.078,
}
"""g/mol. Source: atomic-weights (IUPAC abridged standard atomic weights, 2021)."""

US_MINIMUM_CO2_PCT = 12.0
"""Least available CO2 of a baking powder, % by mass. Source: bakers-dictionary; grade: handbook."""
CANADA_MINIMUM_CO2_PCT = 10.0
"""Least CO2 of a baking powder, % by mass. Source: canada-food-drug B.03.002; grade: law."""
FRESH_POWDER_CO2_PCT = (13.0, 14.0, 15.0)
"""Low, usual, high: a fresh household powder is made richer than the minimum, to last. Grade: from memory."""

DECOMPOSED_IN_CRUMB = (0.1, 0.3, 0.6)
"""Low, usual, high: share of the leftover soda that heat turns to carbonate in a crumb at or below 100 C.

Dry soda starts to decompose near 50 C and is done near 270 C; in a wet crumb it goes only part of the
way. Source: baking-powder-literature; grade: from memory."""

POWDER_LOSS_PER_MONTH_SEALED = (0.004, 0.008, 0.015)
POWDER_LOSS_PER_MONTH_OPEN = (0.015, 0.03, 0.08)
"""Low, usual, high share of the available CO2 lost per month: dry and closed; opened often, humid.

A powder made with 14 % holds 12 % after the printed shelf life of about 18 months at 0.8 % a month.
Grade: from memory (opened) and derived from shelf life (sealed)."""

BENCH_MIN = 10.0
"""Minutes of bench rest after which the tabulated bench share of an acid has reacted. Grade: from memory."""
WOKEN_HALF_LIFE_MIN = (5.0, 15.0, 30.0)
"""Low, usual, high: half-life of a heat-woken acid in a dough held at its waking temperature.

Recalled orders of magnitude: little happens in a cool dough of an hour's rest, all of it within the few
minutes that an oven takes to pass it by 20-30 C. Grade: from memory."""

_PART = re.compile(r"([A-Z][a-z]?|\(|\))(\d*)")


def molar_mass_g_mol(formula: str) -> float:
    """Molar mass of a compound from its formula; water of crystallisation after a dot.

    Units:    returns g/mol
    Range:    elements H C N O Na Mg Al P S Cl K Ca; else ValueError
    Source:   atomic-weights
    Spread:   none of its own: a sum of atomic weights

    >>> round(molar_mass_g_mol("NaHCO3"), 3), round(molar_mass_g_mol("Ca(H2PO4)2.H2O"), 2)
    (84.006, 252.06)
    """
    total = 0.0
    for unit in formula.split("."):
        count, body = re.fullmatch(r"(\d*)(.*)", unit).groups()  # type: ignore[union-attr]
        if not body or "".join(a + b for a, b in _PART.findall(body)) != body:
            raise ValueError(f'"{formula}" is no chemical formula that can be read')
        groups = [0.0]
        for part, number in _PART.findall(body):
            times = int(number) if number else 1
            if part == "(":
                groups.append(0.0)
            elif part == ")":
                if len(groups) < 2:
                    raise ValueError(f'"{formula}" closes a bracket it never opened')
                closed = groups.pop() * times
                groups[-1] += closed
            elif part in ATOMIC_WEIGHTS:
                groups[-1] += ATOMIC_WEIGHTS[part] * times
            else:
                raise ValueError(f'"{formula}" holds {part}, whose atomic weight is not listed')
        if len(groups) > 1:
            raise ValueError(f'"{formula}" opens a bracket it never closes')
        total += groups[0] * (int(count) if count else 1)
    return total


SODA_G_MOL = molar_mass_g_mol("NaHCO3")
CO2_G_MOL = molar_mass_g_mol("CO2")
CARBONATE_G_MOL = molar_mass_g_mol("Na2CO3")
POTASSIUM_BICARBONATE_G_MOL = molar_mass_g_mol("KHCO3")
AMMONIUM_BICARBONATE_G_MOL = molar_mass_g_mol("NH4HCO3")


# Soda and acid


def soda_mmol(soda_g: float) -> float:
    """Bicarbonate in a mass of baking soda.

    Units:    soda_g g; returns mmol
    Range:    soda_g 0 to 1e6 g; else ValueError
    Source:   atomic-weights
    Spread:   none of its own: stoichiometry

    >>> round(soda_mmol(5.0), 1)
    59.5
    """
    within("soda", soda_g, 0.0, 1e6, "g")
    return soda_g * 1000 / SODA_G_MOL


def soda_g(base_mmol: float) -> float:
    """Mass of baking soda that holds an amount of bicarbonate.

    Units:    base_mmol mmol; returns g
    Range:    base_mmol 0 to 1e7 mmol; else ValueError
    Source:   atomic-weights
    Spread:   none of its own: stoichiometry

    >>> round(soda_g(59.52), 2)
    5.0
    """
    within("bicarbonate", base_mmol, 0.0, 1e7, "mmol")
    return base_mmol * SODA_G_MOL / 1000


def neutralising_value(molar_mass_g: float, protons: float) -> float:
    """Parts of soda, by mass, that 100 parts of an acid neutralise.

    Units:    molar_mass_g g/mol of the acid; protons 1, those that react with soda; returns 1
    Range:    molar_mass_g 20 to 1000 g/mol; protons 0.01 to 14; else ValueError
    Source:   atomic-weights; cream of tartar, one proton, gives the printed 44.6
              (food-additives-data-book-2003)
    Spread:   none of its own: stoichiometry
    Not for:  phosphates and alums, where the protons that react follow no whole number: use the table

    >>> round(neutralising_value(188.177, 1), 1), round(neutralising_value(192.123, 3), 1)
    (44.6, 131.2)
    """
    within("molar mass", molar_mass_g, 20.0, 1000.0, "g/mol")
    within("protons that react", protons, 0.01, 14.0)
    return 100 * protons * SODA_G_MOL / molar_mass_g


def acid_for_soda(soda_g: float, neutralising_value: float) -> float:
    """Mass of leavening acid that neutralises a mass of baking soda.

    The neutralising value (NV) is the parts of soda, by mass, that 100 parts
    of the acid neutralise, so acid_g = 100 * soda_g / NV.

    Units:    soda_g g; neutralising_value 1; returns g
    Range:    soda_g 0 to 1e6 g; neutralising_value 30 to 150; else ValueError
    Source:   definition; food-additives-data-book-2003: 2.24 parts cream of tartar (NV 44.6) per part soda
    Spread:   none of its own: a definition
    Not for:  soda left over on purpose, for browning or spread

    >>> round(acid_for_soda(5.0, 44.6), 1)
    11.2
    """
    within("soda", soda_g, 0.0, 1e6, "g")
    within("neutralising value", neutralising_value, 30.0, 150.0)
    return 100 * soda_g / neutralising_value


def soda_for_acid(acid_g: float, neutralising_value: float) -> float:
    """Mass of baking soda that a mass of leavening acid neutralises.

    Units:    acid_g g; neutralising_value 1; returns g
    Range:    acid_g 0 to 1e6 g; neutralising_value 30 to 150; else ValueError
    Source:   definition, as acid_for_soda
    Spread:   none of its own: a definition

    >>> round(soda_for_acid(11.2, 44.6), 1)
    5.0
    """
    within("acid", acid_g, 0.0, 1e6, "g")
    within("neutralising value", neutralising_value, 30.0, 150.0)
    return acid_g * neutralising_value / 100


def acid_mmol_from_neutralising_value(acid_g: float, neutralising_value: float) -> float:
    """Acid that a mass of leavening acid has for soda.

    Units:    acid_g g; neutralising_value 1; returns mmol H+
    Range:    as soda_for_acid; else ValueError
    Source:   definition, as acid_for_soda
    Spread:   none of its own: a definition

    >>> round(acid_mmol_from_neutralising_value(6.0, 44.64), 1)
    31.9
    """
    return soda_mmol(soda_for_acid(acid_g, neutralising_value))


def acid_mmol_from_meq(mass_g: float, meq_per_g: float) -> float:
    """Acid or base in a mass of something with a known titratable acidity (or alkalinity).

    Units:    mass_g g; meq_per_g meq/g; returns mmol
    Range:    mass_g 0 to 1e6 g; meq_per_g 0 to 25 meq/g; else ValueError
    Source:   definition; 1 tbsp (14.9 g) of 5 % vinegar at 0.833 meq/g
    Spread:   none of its own: a definition

    >>> round(acid_mmol_from_meq(14.9, 0.833), 1)
    12.4
    """
    within("mass", mass_g, 0.0, 1e6, "g")
    within("titratable acidity", meq_per_g, 0.0, 25.0, "meq/g")
    return mass_g * meq_per_g


def acid_mass_for_base(base_mmol: float, meq_per_g: float) -> float:
    """Mass of an acid ingredient that neutralises an amount of soda.

    Units:    base_mmol mmol; meq_per_g meq/g; returns g
    Range:    base_mmol 0 to 1e7 mmol; meq_per_g 0.001 to 25 meq/g (below, nothing would do); else ValueError
    Source:   definition; vinegar at 0.833 meq/g
    Spread:   none of its own: a definition

    >>> round(acid_mass_for_base(12.4, 0.833), 1)
    14.9
    """
    within("bicarbonate", base_mmol, 0.0, 1e7, "mmol")
    within("titratable acidity", meq_per_g, 0.001, 25.0, "meq/g")
    return base_mmol / meq_per_g


def co2_mmol_from_soda(base_mmol: float, acid_mmol: float) -> float:
    """Carbon dioxide from soda met by acid, one for one; soda beyond the acid gives nothing here.

    HCO3- + H+ -> CO2 + H2O

    Units:    mmol; returns mmol CO2
    Range:    base_mmol 0 to 1e7 mmol; acid_mmol 0 to 1e7 mmol; else ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> co2_mmol_from_soda(54.8, 31.9), co2_mmol_from_soda(10.0, 31.9)
    (31.9, 10.0)
    """
    within("bicarbonate", base_mmol, 0.0, 1e7, "mmol")
    within("acid", acid_mmol, 0.0, 1e7, "mmol")
    return lesser(base_mmol, acid_mmol)


def soda_left_mmol(base_mmol: float, acid_mmol: float) -> float:
    """Soda that no acid meets, before heat decomposes any of it; flour's own buffering left out.

    Units:    mmol; returns mmol
    Range:    as co2_mmol_from_soda; else ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> round(soda_left_mmol(54.8, 31.9), 1)
    22.9
    """
    return base_mmol - co2_mmol_from_soda(base_mmol, acid_mmol)


def soda_left_g(base_mmol: float, acid_mmol: float) -> float:
    """Unneutralised soda by mass: soda_left_mmol times its molar mass.

    Units:    mmol; returns g
    Range:    as co2_mmol_from_soda; else ValueError
    Source:   atomic-weights
    Spread:   none of its own: stoichiometry

    >>> round(soda_left_g(54.8, 31.9), 2)
    1.92
    """
    return soda_g(soda_left_mmol(base_mmol, acid_mmol))


def surplus_acid_mmol(base_mmol: float, acid_mmol: float) -> float:
    """Acid that no soda meets.

    Units:    mmol; returns mmol
    Range:    as co2_mmol_from_soda; else ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> round(surplus_acid_mmol(10.0, 31.9), 1)
    21.9
    """
    return acid_mmol - co2_mmol_from_soda(base_mmol, acid_mmol)


def share_neutralised(base_mmol: float, acid_mmol: float) -> float:
    """Share of the soda that acid neutralises; 1 when there is no soda to neutralise.

    Units:    mmol; returns 0 to 1
    Range:    as co2_mmol_from_soda; else ValueError
    Source:   stoichiometry; 1 tsp soda (4.6 g) with 2 tsp cream of tartar (6.0 g), usda-sr28 spoons
    Spread:   none of its own: stoichiometry

    >>> round(share_neutralised(54.76, 31.88), 3)
    0.582
    """
    met = co2_mmol_from_soda(base_mmol, acid_mmol)
    return _share_of(met, base_mmol, 1.0)


def _share_of(part: float, whole: float, of_nothing: float) -> float:
    """Part over whole, and what that is where the whole is nothing."""
    if isinstance(whole, int | float):
        return part / whole if whole else of_nothing
    return np.where(whole == 0, of_nothing, part / np.where(whole == 0, 1.0, whole))


# Heat


def co2_mmol_from_heat(soda_left_mmol: float, decomposed_share: float) -> float:
    """Carbon dioxide from leftover soda that heat decomposes: 2 NaHCO3 -> Na2CO3 + CO2 + H2O.

    Units:    mmol of leftover soda; share 0 to 1 of it that decomposes (DECOMPOSED_IN_CRUMB); returns mmol
    Range:    soda_left_mmol 0 to 1e7 mmol; decomposed_share 0 to 1; else ValueError
    Source:   stoichiometry; all of 1 g (11.90 mmol) gives 0.2619 g CO2
    Spread:   none of its own: stoichiometry

    >>> round(co2_mmol_from_heat(11.904, 1.0) * 0.044009, 4)
    0.2619
    """
    within("soda left over", soda_left_mmol, 0.0, 1e7, "mmol")
    within("share decomposed by heat", decomposed_share, 0.0, 1.0)
    return soda_left_mmol * decomposed_share / 2


def carbonate_left_g(soda_left_mmol: float, decomposed_share: float) -> float:
    """Sodium carbonate that decomposed soda leaves in the crumb; the soapy part.

    Units:    mmol of leftover soda; share 0 to 1; returns g Na2CO3
    Range:    as co2_mmol_from_heat; else ValueError
    Source:   stoichiometry, atomic-weights
    Spread:   none of its own: stoichiometry

    >>> round(carbonate_left_g(20.0, 0.5), 3)
    0.53
    """
    return co2_mmol_from_heat(soda_left_mmol, decomposed_share) * CARBONATE_G_MOL / 1000


# Volumes and masses of gas


def co2_g(co2_mmol: float) -> float:
    """Mass of an amount of carbon dioxide.

    Units:    mmol; returns g
    Range:    co2_mmol 0 to 1e7 mmol; else ValueError
    Source:   atomic-weights; 1 g soda (11.904 mmol) with enough acid gives 0.5239 g
    Spread:   none of its own: stoichiometry

    >>> round(co2_g(11.904), 4)
    0.5239
    """
    within("carbon dioxide", co2_mmol, 0.0, 1e7, "mmol")
    return co2_mmol * CO2_G_MOL / 1000


@sure_to(share(0.006))
def gas_ml(co2_mmol: float, temperature_c: float, pressure_pa: float) -> float:
    """Volume of dry gas: n R T / P.

    Units:    mmol; C; Pa; returns mL
    Range:    co2_mmol 0 to 1e7 mmol; temperature_c -20 to 300 C; pressure_pa 3e4 to 1.2e5 Pa (9,000 m and
              lower); else ValueError
    Source:   codata-2018; ideal gas, within 0.6 % for CO2 at 25 C and 1 atm
    Spread:   0.6 %, by how far CO2 is from an ideal gas at 25 C and 1 atm

    >>> round(gas_ml(1.0, 25.0, 101325.0), 3), round(gas_ml(11.904, 100.0, 101325.0), 1)
    (24.465, 364.5)
    """
    within("gas", co2_mmol, 0.0, 1e7, "mmol")
    within("gas temperature", temperature_c, -20.0, 300.0, "C")
    within("air pressure", pressure_pa, 30e3, 120e3, "Pa")
    return co2_mmol * GAS_CONSTANT * (temperature_c + ZERO_C_IN_K) / pressure_pa * 1000


@sure_to(share(0.006))
def wet_gas_ml(co2_mmol: float, temperature_c: float, pressure_pa: float, vapour_pa: float) -> float:
    """Volume of gas that stands over wet dough and so holds water vapour too: n R T / (P - p_vapour).

    Units:    mmol of dry gas; C; Pa; vapour_pa the vapour pressure of the dough's water, Pa; returns mL
    Range:    as gas_ml; vapour_pa / pressure_pa 0 to 0.95 (at the boil the volume has no bound); else
              ValueError
    Source:   Dalton's law; water at 70 C has 31.2 kPa (crc-handbook)
    Spread:   0.6 %, as gas_ml

    >>> round(wet_gas_ml(1.0, 70.0, 101325.0, 31200.0), 1)
    40.7
    """
    dry_ml = gas_ml(co2_mmol, temperature_c, pressure_pa)
    within("share of vapour in the gas", vapour_pa / pressure_pa, 0.0, 0.95)
    return dry_ml / (1 - vapour_pa / pressure_pa)


# Baking powder


def available_co2_pct(soda_pct: float, *acids_pct_and_neutralising_values: float) -> float:
    """Available CO2 of a baking powder from its parts: what its acids and its soda set free together.

    Units:    soda % by mass of the powder; then for each acid its % and its neutralising value by turns;
              returns % by mass
    Range:    soda_pct 0 and more; acids_pct_and_neutralising_values[::2][*] 0 and more;
              acids_pct_and_neutralising_values[1::2][*] 30 to 150; soda_pct +
              sum(acids_pct_and_neutralising_values[::2]) up to 100 %; else ValueError
    Source:   stoichiometry; 12 % needs 22.91 % soda
    Spread:   none of its own: stoichiometry

    >>> available = [available_co2_pct(*put) for put in ((30.0, 43.0, 72.0), (28.0, 10.0, 80.0, 20.0, 100.0))]
    >>> [round(pct, 2) for pct in available]
    [15.72, 14.67]
    """
    parts, values = acids_pct_and_neutralising_values[::2], acids_pct_and_neutralising_values[1::2]
    if len(parts) != len(values):
        raise ValueError("each acid has its share and its neutralising value; one of them is missing")
    within("soda in the powder", soda_pct, 0.0, 100.0, "%")
    within("soda and acids in the powder", soda_pct + sum(parts), 0.0, 100.0, "%")
    met = sum(soda_for_acid(part, value) for part, value in zip(parts, values, strict=True))
    return lesser(soda_pct, met) * CO2_G_MOL / SODA_G_MOL


def residual_co2_pct(soda_pct: float, *acids_pct_and_neutralising_values: float) -> float:
    """CO2 that stays bound in a powder's surplus soda; total = available + residual.

    Units:    as available_co2_pct; returns % by mass
    Range:    as available_co2_pct; else ValueError
    Source:   definition of the gasometric methods (aacc-12): available = total - residual
    Spread:   none of its own: a definition

    >>> round(residual_co2_pct(30.0, 36.0, 72.0), 2)
    2.14
    """
    available = available_co2_pct(soda_pct, *acids_pct_and_neutralising_values)
    return soda_pct * CO2_G_MOL / SODA_G_MOL - available


def soda_pct_for_co2(available_co2_pct: float) -> float:
    """Share of soda a powder must hold to give an available CO2 with enough acid.

    Units:    % by mass; returns % by mass
    Range:    available_co2_pct 0 to 25 %; else ValueError
    Source:   stoichiometry; 12 % (United States) needs 22.91, 10 % (Canada) 19.09
    Spread:   none of its own: stoichiometry

    >>> round(soda_pct_for_co2(12.0), 2), round(soda_pct_for_co2(10.0), 2)
    (22.91, 19.09)
    """
    within("available CO2", available_co2_pct, 0.0, 25.0, "%")
    return available_co2_pct * SODA_G_MOL / CO2_G_MOL


def co2_mmol_from_powder(powder_g: float, available_co2_pct: float) -> float:
    """Carbon dioxide a mass of baking powder gives in all.

    Units:    g; % by mass; returns mmol
    Range:    powder_g 0 to 1e6 g; available_co2_pct 0 to 25 %; else ValueError
    Source:   atomic-weights
    Spread:   none of its own: stoichiometry

    >>> round(gas_ml(co2_mmol_from_powder(1.0, 12.0), 100.0, 101325.0), 1)
    83.5
    """
    within("baking powder", powder_g, 0.0, 1e6, "g")
    within("available CO2", available_co2_pct, 0.0, 25.0, "%")
    return powder_g * available_co2_pct / 100 * 1000 / CO2_G_MOL


def powder_equal_to_soda_g(soda_g: float, available_co2_pct: float) -> float:
    """Baking powder that gives as much gas as a mass of soda with enough acid.

    Units:    g; % by mass; returns g
    Range:    soda_g 0 to 1e6 g; available_co2_pct 5 to 25 %; else ValueError
    Source:   stoichiometry: 4.37 g at 12 %, 3.74 g at 14 %. The kitchen's three for one supposes 17 %
    Spread:   none of its own: stoichiometry

    >>> round(powder_equal_to_soda_g(1.0, 12.0), 2), round(powder_equal_to_soda_g(1.0, 14.0), 2)
    (4.37, 3.74)
    """
    within("soda", soda_g, 0.0, 1e6, "g")
    within("available CO2", available_co2_pct, 5.0, 25.0, "%")
    return soda_g * CO2_G_MOL / SODA_G_MOL / available_co2_pct * 100


def powder_equivalent_soda(powder_g: float, available_co2_pct: float = FRESH_POWDER_CO2_PCT[1]) -> float:
    """Baking soda that, with enough acid, gives as much gas as a mass of baking powder.

    Units:    g; % by mass, that of a fresh household powder (14 %) unless its own is known; returns g
    Range:    powder_g 0 to 1e6 g; available_co2_pct 5 to 25 %; else ValueError
    Source:   stoichiometry; 14 % from baking-powder-literature (13 to 15, from memory)
    Spread:   that of FRESH_POWDER_CO2_PCT

    >>> round(powder_equivalent_soda(12.0), 2), round(powder_equivalent_soda(12.0, 12.0), 2)
    (3.21, 2.75)
    """
    within("available CO2", available_co2_pct, 5.0, 25.0, "%")
    return soda_g(co2_mmol_from_powder(powder_g, available_co2_pct))


def most_co2_pct_from_sodium(sodium_mg_per_100g: float) -> float:
    """The most CO2 a powder can hold, if all the sodium on its label were baking soda.

    Units:    mg Na per 100 g of powder; returns % by mass
    Range:    sodium_mg_per_100g 0 to 27367 mg/100 g (pure soda); else ValueError
    Source:   stoichiometry; usda-sr28 18370 (7,893 mg) gives 15.11
    Spread:   none of its own: stoichiometry

    >>> round(most_co2_pct_from_sodium(7893.0), 2)
    15.11
    """
    within("sodium", sodium_mg_per_100g, 0.0, 27_367.0, "mg/100 g")
    return sodium_mg_per_100g / 1000 / ATOMIC_WEIGHTS["Na"] * CO2_G_MOL


def most_co2_pct_from_potassium(potassium_mg_per_100g: float) -> float:
    """The most CO2 a low-sodium powder can hold, if all its potassium were potassium bicarbonate.

    Units:    mg K per 100 g of powder; returns % by mass
    Range:    potassium_mg_per_100g 0 to 39060 mg/100 g (pure potassium bicarbonate); else ValueError
    Source:   stoichiometry; usda-sr28 18371 (10,100 mg) gives 11.37
    Spread:   none of its own: stoichiometry

    >>> round(most_co2_pct_from_potassium(10100.0), 2)
    11.37
    """
    within("potassium", potassium_mg_per_100g, 0.0, 39_060.0, "mg/100 g")
    return potassium_mg_per_100g / 1000 / ATOMIC_WEIGHTS["K"] * CO2_G_MOL


def aged_powder_co2_pct(available_co2_pct: float, months: float, loss_per_month: float) -> float:
    """Available CO2 of a powder after storage: a constant share goes each month.

    Units:    % by mass; months; share per month (POWDER_LOSS_PER_MONTH_SEALED or _OPEN); returns % by mass
    Range:    available_co2_pct 0 to 25 %; months 0 to 60 months; loss_per_month 0 to 0.3; else ValueError
    Source:   baking-powder-literature (from memory): 14 % when made, 12 % after a shelf life of 18 months
    Spread:   that of POWDER_LOSS_PER_MONTH_SEALED or _OPEN

    >>> round(aged_powder_co2_pct(14.0, 18.0, 0.008), 1), round(aged_powder_co2_pct(14.0, 12.0, 0.03), 1)
    (12.1, 9.7)
    """
    within("available CO2", available_co2_pct, 0.0, 25.0, "%")
    within("age of the powder", months, 0.0, 60.0, "months")
    within("loss per month", loss_per_month, 0.0, 0.3)
    kept: float = (1 - loss_per_month) ** months
    return available_co2_pct * kept


def powder_dose_pct(powder_g: float, flours_g: float) -> float:
    """Baking powder as a baker's percentage.

    Units:    g; g; returns % of flour weight
    Range:    powder_g 0 to 1e6 g; flours_g 0.001 to 1e7 g; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> powder_dose_pct(12.0, 300.0)
    4.0
    """
    within("baking powder", powder_g, 0.0, 1e6, "g")
    within("flour weight", flours_g, 0.001, 1e7, "g")
    return 100 * powder_g / flours_g


def powder_for_dose_g(flours_g: float, dose_pct: float) -> float:
    """Baking powder for a dose by flour weight (at altitude: times its gas factor's inverse).

    Units:    g; % of flour weight; returns g
    Range:    flours_g 0 to 1e7 g; dose_pct 0 to 12 % (above, nothing tastes right); else ValueError
    Source:   definition; doses by product class: baking-powder-literature
    Spread:   none of its own: a definition

    >>> powder_for_dose_g(300.0, 4.0)
    12.0
    """
    within("flour weight", flours_g, 0.0, 1e7, "g")
    within("dose of baking powder", dose_pct, 0.0, 12.0, "%")
    return flours_g * dose_pct / 100


# When the gas comes


def _woken(mix_c: float, wakes_c: float, minutes: float, half_life_min: float) -> float:
    speed = greater(2.0 ** ((mix_c - wakes_c) / 10) - 0.5, 0.0) / 0.5
    asleep: float = 0.5 ** (speed * minutes / half_life_min)
    return 1 - asleep


def _woken_ends(_: float, mix_c: float, wakes_c: float, minutes: float) -> tuple[float, float]:
    fast, _usual, slow = WOKEN_HALF_LIFE_MIN
    return _woken(mix_c, wakes_c, minutes, slow), _woken(mix_c, wakes_c, minutes, fast)


@sure_to(_woken_ends)
def woken_share(mix_c: float, wakes_c: float, minutes: float) -> float:
    """Share of a heat-woken acid that reacts already in a warm dough.

    First order; the half-life at the waking temperature is 15 min and halves every 10 C; 10 C below it
    the acid sleeps. So the share tends to one in a dough mixed with boiling water.

    Units:    C; C; min; returns 0 to 1
    Range:    mix_c 0 to 100 C; wakes_c 0 to 100 C; minutes 0 to 1440 min; else ValueError
    Source:   waking temperatures: mcgee-2004 (38-40, 40-44, 57-60, above 60 C); speed: from memory
    Spread:   WOKEN_HALF_LIFE_MIN between its low and high

    >>> round(woken_share(25.0, 40.0, 30.0), 2), round(woken_share(55.0, 40.0, 10.0), 2)
    (0.0, 0.88)
    """
    within("dough temperature", mix_c, 0.0, 100.0, "C")
    within("waking temperature", wakes_c, 0.0, 100.0, "C")
    within("time before the oven", minutes, 0.0, 1440.0, "min")
    return _woken(mix_c, wakes_c, minutes, WOKEN_HALF_LIFE_MIN[1])


def early_acid_mmol(
    acid_mmol: float, mix_share: float, bench_share: float, rest_min: float, woken_share: float
) -> float:
    """Acid that has met soda (or would, were there enough) before the dough enters the oven.

    Mixing takes its share at once, the bench its share evenly over the first 10 min of rest, and heat
    that part of the rest which a hot dough wakes.

    Units:    mmol; shares 0 to 1 of the acid's whole; min; returns mmol
    Range:    acid_mmol 0 to 1e7 mmol; mix_share 0 and more; bench_share 0 and more; mix_share + bench_share
              up to 1;
              rest_min 0 to 1440 min; woken_share 0 to 1; else ValueError
    Source:   shares by acid: rules/acids.yaml (cereal-leavening-handbooks); progress: from-memory
    Spread:   not told by its source

    >>> round(early_acid_mmol(10.0, 0.65, 0.05, 5.0, 0.0), 2)
    6.75
    """
    within("acid", acid_mmol, 0.0, 1e7, "mmol")
    within("share released while mixing", mix_share, 0.0, 1.0)
    within("share released while mixing and on the bench", mix_share + bench_share, 0.0, 1.0 + 1e-9)
    within("share released on the bench", bench_share, 0.0, 1.0)
    within("rest", rest_min, 0.0, 1440.0, "min")
    within("share woken by heat", woken_share, 0.0, 1.0)
    asleep = 1 - mix_share - bench_share
    return acid_mmol * (mix_share + bench_share * lesser(rest_min / BENCH_MIN, 1.0) + asleep * woken_share)


def early_gas_share(base_mmol: float, early_acid_mmol: float, acid_mmol: float) -> float:
    """Share of all the gas from soda and acid that is set free before the oven; 0 when there is none.

    Units:    mmol of soda; mmol of acid released early, all acids together; mmol of all acid; returns 0 to 1
    Range:    as co2_mmol_from_soda; early_acid_mmol 0 to acid_mmol; else ValueError
    Source:   stoichiometry: acid that comes first takes the soda first
    Spread:   none of its own: stoichiometry

    >>> early_gas_share(20.0, 12.0, 20.0), early_gas_share(10.0, 12.0, 20.0)
    (0.6, 1.0)
    """
    whole = co2_mmol_from_soda(base_mmol, acid_mmol)
    within("acid released early", early_acid_mmol, 0.0, acid_mmol * (1 + 1e-9), "mmol")
    return _share_of(co2_mmol_from_soda(base_mmol, early_acid_mmol), whole, 0.0)


def oven_gas_mmol(base_mmol: float, early_acid_mmol: float, acid_mmol: float) -> float:
    """Carbon dioxide still to come when the dough enters the oven.

    Units:    mmol; returns mmol
    Range:    as co2_mmol_from_soda; early_acid_mmol 0 to acid_mmol; else ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> oven_gas_mmol(20.0, 12.0, 20.0)
    8.0
    """
    whole = co2_mmol_from_soda(base_mmol, acid_mmol)
    within("acid released early", early_acid_mmol, 0.0, acid_mmol * (1 + 1e-9), "mmol")
    return whole - co2_mmol_from_soda(base_mmol, early_acid_mmol)


def soda_spent_cold_share(base_mmol: float, added_fast_acid_mmol: float) -> float:
    """Share of a powder's soda that an added fast acid spends in the bowl; 0 when there is no soda.

    Units:    mmol of the powder's soda; mmol of vinegar, juice or cultured milk added to it; returns 0 to 1
    Range:    base_mmol 0 to 1e7 mmol; added_fast_acid_mmol 0 to 1e7 mmol; else ValueError
    Source:   stoichiometry; 1 tbsp vinegar (12 mmol) into 12 g powder of 28 % soda (40 mmol)
    Spread:   none of its own: stoichiometry

    >>> soda_spent_cold_share(40.0, 12.0)
    0.3
    """
    return _share_of(co2_mmol_from_soda(base_mmol, added_fast_acid_mmol), base_mmol, 0.0)


def slow_acid_unspent_mmol(base_mmol: float, fast_acid_mmol: float, slow_acid_mmol: float) -> float:
    """Slow acid that finds no soda in the oven, because fast acid has had it: a sour or bitter remainder.

    Units:    mmol; returns mmol
    Range:    base_mmol 0 to 1e7 mmol; fast_acid_mmol 0 to 1e7 mmol; slow_acid_mmol 0 to 1e7 mmol; else
              ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> slow_acid_unspent_mmol(40.0, 24.0, 28.0)
    12.0
    """
    return surplus_acid_mmol(soda_left_mmol(base_mmol, fast_acid_mmol), slow_acid_mmol)


# How far gas raises


def specific_volume_raised(gas_free_density_g_ml: float, gas_kept_ml: float, dough_g: float) -> float:
    """Specific volume of a dough with the gas it has kept.

    Units:    g/mL; mL at the temperature and pressure of the dough (wet_gas_ml times the share kept);
              g of dough; returns mL/g
    Range:    gas_free_density_g_ml 0.7 to 1.6 g/mL; gas_kept_ml 0 to 1e9 mL; dough_g 0.001 to 1e7 g; else
              ValueError
    Source:   volumes add; wheat dough without gas 1.23 g/mL (choi-okos-1986)
    Spread:   none of its own: volumes add

    >>> round(specific_volume_raised(1.23, 1500.0, 850.0), 2)
    2.58
    """
    within("gas-free density", gas_free_density_g_ml, 0.7, 1.6, "g/mL")
    within("gas kept", gas_kept_ml, 0.0, 1e9, "mL")
    within("dough", dough_g, 0.001, 1e7, "g")
    return 1 / gas_free_density_g_ml + gas_kept_ml / dough_g


def gas_fraction(specific_volume_ml_g: float, gas_free_density_g_ml: float) -> float:
    """Share of a dough's or crumb's volume that is gas: 1 - 1 / (density x specific volume).

    Units:    mL/g; g/mL; returns 0 to 1
    Range:    gas_free_density_g_ml 0.7 to 1.6 g/mL; specific_volume_ml_g * gas_free_density_g_ml 1 to 32;
              else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> round(gas_fraction(2.58, 1.23), 3)
    0.685
    """
    within("gas-free density", gas_free_density_g_ml, 0.7, 1.6, "g/mL")
    within("specific volume", specific_volume_ml_g * gas_free_density_g_ml, 1.0 - 1e-9, 32.0, "of gas-free")
    return 1 - 1 / (specific_volume_ml_g * gas_free_density_g_ml)


def specific_volume_of_gas_fraction(gas_fraction: float, gas_free_density_g_ml: float) -> float:
    """Specific volume of a dough or crumb with a share of gas.

    Units:    0 to 1; g/mL; returns mL/g
    Range:    gas_fraction 0 to 0.97; gas_free_density_g_ml 0.7 to 1.6 g/mL; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> round(specific_volume_of_gas_fraction(0.55, 1.23), 2)
    1.81
    """
    within("gas fraction", gas_fraction, 0.0, 0.97)
    within("gas-free density", gas_free_density_g_ml, 0.7, 1.6, "g/mL")
    return 1 / (gas_free_density_g_ml * (1 - gas_fraction))


def share_of_gas_kept(
    specific_volume_ml_g: float, gas_free_density_g_ml: float, dough_g: float, gas_ml: float
) -> float:
    """Share of the gas set free that a crumb of known specific volume must have kept.

    Units:    mL/g; g/mL; g; mL at the crumb's temperature and pressure; returns 0 upwards (above 1: air or
              steam raised it as well)
    Range:    as gas_fraction; dough_g 0.001 to 1e7 g; gas_ml 0.001 to 1e9 mL; else ValueError
    Source:   volumes add
    Spread:   none of its own: volumes add

    >>> round(share_of_gas_kept(2.1, 1.2, 800.0, 2500.0), 2)
    0.41
    """
    within("gas-free density", gas_free_density_g_ml, 0.7, 1.6, "g/mL")
    within("specific volume", specific_volume_ml_g * gas_free_density_g_ml, 1.0 - 1e-9, 32.0, "of gas-free")
    within("dough", dough_g, 0.001, 1e7, "g")
    within("gas set free", gas_ml, 0.001, 1e9, "mL")
    return (specific_volume_ml_g - 1 / gas_free_density_g_ml) * dough_g / gas_ml
