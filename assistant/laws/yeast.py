"""Baker's yeast: gas from sugar, how fast at which temperature, what slows it, what kills it."""

from math import e

from assistant.laws.leavening import GAS_CONSTANT, STANDARD_ATMOSPHERE_PA, ZERO_C_IN_K, molar_mass_g_mol
from assistant.laws.ranges import greater, lesser, share, sure_to, within

HEXOSE_G_MOL = molar_mass_g_mol("C6H12O6")
DISACCHARIDE_G_MOL = molar_mass_g_mol("C12H22O11")
ETHANOL_G_MOL = molar_mass_g_mol("C2H6O")
_ML_PER_MMOL = GAS_CONSTANT * (25.0 + ZERO_C_IN_K) / STANDARD_ATMOSPHERE_PA * 1000
"""Volume of dry gas at 25 C and 1 atm, at which all volumes here are counted."""

YIELD = (0.90, 0.93, 0.95)
"""Low, usual, high share of the sugar used that becomes CO2 and ethanol; the rest cells, glycerol, acids.
Source: yeast-literature; grade: from memory."""
GAS_RATE_FRESH_ML_H_G = (60.0, 95.0, 125.0)
GAS_RATE_INSTANT_ML_H_G = (190.0, 290.0, 380.0)
GAS_RATE_ACTIVE_DRY_ML_H_G = (140.0, 220.0, 290.0)
"""Low, usual, high mL CO2 per h and g of yeast, at 30 C in a lean dough of 2 % salt.

Fresh: derived from the sugar that 2 % of it uses in 3 h at 30 C, 1.5 to 3 % of flour (yeast-literature, from
memory): 63 to 126 mL. A loaf of 500 g flour that keeps 1.5 to 2.5 L by the oven, and a metabolic rate of 15
to 20 mmol CO2 per h and g of dry cells (112 to 150 mL), say the same. Dry forms by their solids (fresh 31 %,
dry 95 %), active dry with a quarter of its cells dead. Recalled figures of 10 to 15 mL for fresh and 25 to
45 for instant yeast are out of line with all three and would take a day to raise a loaf. Grade: derived."""
FRESH_TO_ACTIVE_DRY = (0.40, 0.45, 0.50)
"""g active dry yeast for 1 g fresh. Source: bread-textbook (0.40) and makers' tables; grade: handbook."""
FRESH_TO_INSTANT = (0.33, 0.36, 0.40)
"""g instant yeast for 1 g fresh. Source: bread-textbook (0.33) and makers' tables; grade: handbook."""
ACTIVE_DRY_TO_INSTANT = (0.75, 0.80, 0.83)
"""g instant for 1 g active dry; some packets print 1. Source: yeast-literature; grade: from memory."""
PROOF_EXPONENT = (-1.0, -0.9, -0.8)
"""Low, usual, high exponent of proof time by yeast mass. Source: yeast-literature; grade: from memory."""
ACID_FROM_SUGAR_MMOL_G = (0.1, 0.25, 0.5)
"""Low, usual, high mmol H+ of acid (mostly succinic, and the proton of ammonium taken up) per g of hexose
fermented: a straight dough of 12 mmol/kg/pH falls by some 0.4 pH while it uses 2 % of sugar.
Source: yeast-literature; grade: from memory."""
FERMENTATION_ACID_PKA = (4.2,)
"""pKa that this acid counts with in the charge balance: that of succinic acid's first proton, for each H+.
Source: crc-handbook; grade: from memory."""

SUGAR_SLOWS_REGULAR = (0.05, 0.07, 0.10)
SUGAR_SLOWS_OSMOTOLERANT = (0.015, 0.025, 0.04)
"""Low, usual, high fall of the gas rate per % sugar of flour above 5 %, as an exponent. An ordinary strain
is inhibited above 7 %; osmotolerant ones are sold for 7 to 50 %.
Source: yeast-encyclopedia (where it starts); grade of the slopes: from memory."""

D55_MIN = (1.0, 2.5, 5.0)
"""Low, usual, high minutes at 55 C that kill nine cells of ten in a moist dough. With z = 6.3 C: 15 min at
50 C, 0.4 min at 60. Source: yeast-literature (D50 10-30, D55 1-5, D60 0.1-0.5 min); grade: from memory."""
Z_C = 6.3
"""Rise of temperature that kills ten times as fast; food-preservation-handbook prints Z_PRINTED_C."""
Z_PRINTED_C = (4.4, 6.7)
LIVES_TO_C = 42.0
"""Below it heat does yeast no harm within a proof. Injury starts at 45 to 50 C; grade: from memory."""

BLOOM_BANDS = (
    (0.0, 20.0, "too cold", "yeast-literature", "from memory"),
    (20.0, 32.0, "slow", "yeast-literature", "from memory"),
    (32.0, 38.0, "gentle", "yeast-literature", "from memory"),
    (38.0, 43.0, "usual", "common-practice", "common practice"),
    (43.0, 46.0, "warm", "common-practice", "common practice"),
    (46.0, 49.0, "risky", "common-practice", "common practice"),
    (49.0, 54.0, "only for instant yeast in dry flour", "yeast-literature", "from memory"),
    (54.0, 60.0, "kills most", "figoni-2003", "handbook"),
    (60.0, 100.0, "kills all", "figoni-2003", "handbook"),
)
"""Water for blooming dry yeast: from, to (C), word, source, grade. Water under 20 C draws 20 to 50 % of the
activity out of active dry yeast; a rehydration note (yeast-rehydration-note) prints 38 to 41 C. Some home
practice blooms at 50 to 55 C: ten minutes there leave about a quarter at 50 and almost none at 55."""


# Gas from sugar


def hexose_g(disaccharide_g: float) -> float:
    """Hexose that a disaccharide (sucrose, maltose) gives when it is split.

    Units:    g; returns g
    Range:    disaccharide_g 0 to 1e7 g; else ValueError
    Source:   atomic-weights: C12H22O11 + H2O -> 2 C6H12O6
    Spread:   none of its own: stoichiometry

    >>> round(hexose_g(1.0), 4)
    1.0526
    """
    within("mass of sugar", disaccharide_g, 0.0, 1e7, "g")
    return disaccharide_g * 2 * HEXOSE_G_MOL / DISACCHARIDE_G_MOL


def co2_mmol_from_hexose(hexose_g: float, yield_share: float) -> float:
    """Carbon dioxide from fermented hexose: C6H12O6 -> 2 CO2 + 2 C2H5OH.

    Units:    g; share of the sugar that goes this way (YIELD), 0 to 1; returns mmol CO2
    Range:    hexose_g 0 to 1e7 g; yield_share 0 to 1; else ValueError
    Source:   stoichiometry: 1 g glucose gives 0.4886 g CO2, 271.6 mL at 25 C
    Spread:   none of its own: stoichiometry

    >>> round(co2_mmol_from_hexose(1.0, 1.0) * 0.044009, 4)
    0.4886
    """
    within("mass of sugar", hexose_g, 0.0, 1e7, "g")
    within("yield", yield_share, 0.0, 1.0)
    return 2000 * hexose_g / HEXOSE_G_MOL * yield_share


def gas_ml_from_hexose(hexose_g: float, yield_share: float) -> float:
    """Volume of carbon dioxide from fermented hexose, at 25 C and 1 atm.

    Units:    g; 0 to 1; returns mL
    Range:    as co2_mmol_from_hexose; else ValueError
    Source:   stoichiometry: 1 g sucrose gives 285.9 mL
    Spread:   none of its own: stoichiometry

    >>> round(gas_ml_from_hexose(hexose_g(1.0), 1.0), 1)
    285.9
    """
    return co2_mmol_from_hexose(hexose_g, yield_share) * _ML_PER_MMOL


def ethanol_g_from_hexose(hexose_g: float, yield_share: float) -> float:
    """Ethanol from fermented hexose; most of it leaves in the oven.

    Units:    g; 0 to 1; returns g
    Range:    as co2_mmol_from_hexose; else ValueError
    Source:   stoichiometry: 0.5114 g per g glucose
    Spread:   none of its own: stoichiometry

    >>> round(ethanol_g_from_hexose(1.0, 1.0), 4)
    0.5114
    """
    return co2_mmol_from_hexose(hexose_g, yield_share) * ETHANOL_G_MOL / 1000


def sugar_used_g(gas_ml: float, yield_share: float) -> float:
    """Hexose that yeast used for a volume of gas; it is gone from the bread's carbohydrate.

    Units:    mL at 25 C and 1 atm; 0 to 1; returns g hexose
    Range:    gas_ml 0 to 1e8 mL; yield_share 0.5 to 1; else ValueError
    Source:   stoichiometry
    Spread:   none of its own: stoichiometry

    >>> round(sugar_used_g(1500.0, 0.93), 1)
    5.9
    """
    within("gas", gas_ml, 0.0, 1e8, "mL")
    within("yield", yield_share, 0.5, 1.0)
    return gas_ml / _ML_PER_MMOL / 2000 * HEXOSE_G_MOL / yield_share


def fermentation_acid_mmol(hexose_used_g: float, acid_mmol_per_g: float) -> float:
    """Acid that yeast leaves in a dough while it ferments sugar.

    Units:    g; mmol H+ per g (ACID_FROM_SUGAR_MMOL_G); returns mmol H+, for FERMENTATION_ACID_PKA
    Range:    hexose_used_g 0 to 1e7 g; acid_mmol_per_g 0 to 2 mmol/g (bacteria, in sourdough, make far more);
              else ValueError
    Source:   yeast-literature (from memory)
    Spread:   that of ACID_FROM_SUGAR_MMOL_G

    >>> fermentation_acid_mmol(10.0, 0.25)
    2.5
    """
    within("sugar used", hexose_used_g, 0.0, 1e7, "g")
    within("acid per sugar", acid_mmol_per_g, 0.0, 2.0, "mmol/g")
    return hexose_used_g * acid_mmol_per_g


# Rate


def _heat_factor(temperature_c: float) -> float:
    over_r = 1 / GAS_CONSTANT
    inverse = 1 / (temperature_c + ZERO_C_IN_K)
    rise: float = e ** (52_000 * over_r * (1 / 303.15 - inverse))
    hot: float = e ** (300_000 * over_r * (1 / (43.3 + ZERO_C_IN_K) - inverse))
    cold: float = e ** (200_000 * over_r * (inverse - 1 / (8.0 + ZERO_C_IN_K)))
    return rise / (1 + hot + cold)


_AT_30 = _heat_factor(30.0)


def _heat_doubt(temperature_c: float) -> float:
    """How far `temperature_factor` may be off, a share of it: less from 15 to 42 C than outside."""
    return 0.15 if abs(temperature_c - 28.5) <= 13.5 else 0.40


@sure_to(lambda rate, temperature_c: share(_heat_doubt(temperature_c))(rate))
def temperature_factor(temperature_c: float) -> float:
    """Gas rate of yeast at a temperature over its rate at 30 C, while it is alive.

    Arrhenius' rise with reversible standstill in heat and cold (Schoolfield's form). Its constants were
    set so that 10 C more make 3 times from 10 to 20 C and 2 times from 20 to 35 C, with the peak at 39 C
    and a fall above 45 C.

    Units:    C; returns 1 at 30 C
    Range:    temperature_c 0 to 60 C; else ValueError
    Source:   schoolfield-1981 (form); yeast-literature: Q10 1.8-2.5, peak 38-40 C (from memory)
    Spread:   15 % from 15 to 42 C, 40 % outside, as Q10 of 1.8 to 2.5 differ
    Not for:  yeast that dies on the way: see viable_share

    >>> temperature_factor(30.0), round(temperature_factor(20.0), 2), round(temperature_factor(4.0), 3)
    (1.0, 0.48, 0.033)
    """
    within("dough temperature", temperature_c, 0.0, 60.0, "C")
    return _heat_factor(temperature_c) / _AT_30


@sure_to(lambda rate, salt_pct: share(0.03 * abs(salt_pct - 2.0))(rate))
def salt_factor(salt_pct: float) -> float:
    """Gas rate at a share of salt over that at 2 %, at which rates are quoted.

    Units:    % of flour weight; returns 1 at 2 %
    Range:    salt_pct 0 to 6 % of flour; else ValueError
    Source:   yeast-literature (from memory): 2 % takes 10 to 20 %, each 1 % more above 1.5 takes 10 to 15 %
    Spread:   3 % for each % of salt more or less than 2, for the 10 to 15 % of its source

    >>> round(salt_factor(0.0), 2), salt_factor(2.0), round(salt_factor(3.0), 2)
    (1.17, 1.0, 0.87)
    """
    within("salt", salt_pct, 0.0, 6.0, "% of flour")
    factor: float = e ** (0.16 - 0.04 * salt_pct - 0.02 * salt_pct * salt_pct)
    return factor


def sugar_factor(sugar_pct: float, slows_per_pct: float) -> float:
    """Gas rate at a share of sugar over that of a lean dough: a little helps, more draws water out of cells.

    Units:    % of flour weight, other solutes counted as sucrose_equal_g; exponent per % (SUGAR_SLOWS_REGULAR
              or SUGAR_SLOWS_OSMOTOLERANT); returns 1 without sugar
    Range:    sugar_pct 0 to 60 % of flour; slows_per_pct 0 to 0.2; else ValueError
    Source:   yeast-encyclopedia: helps to 3-5 %, slows from about 5 % upwards; slopes from memory
    Spread:   that of SUGAR_SLOWS_REGULAR or SUGAR_SLOWS_OSMOTOLERANT

    >>> [round(sugar_factor(*put), 2) for put in ((4.0, 0.07), (20.0, 0.07), (20.0, 0.025))]
    [1.08, 0.38, 0.76]
    """
    within("share of sugar", sugar_pct, 0.0, 60.0, "% of flour")
    within("slowing by sugar", slows_per_pct, 0.0, 0.2)
    slowed: float = e ** (-slows_per_pct * greater(sugar_pct - 5.0, 0.0))
    return (1 + 0.02 * lesser(sugar_pct, 5.0)) * slowed


def sucrose_equal_g(mass_g: float, molar_mass_g: float, particles: float) -> float:
    """Sucrose that draws as much water as something dissolved: polyols, glucose, salt.

    Units:    g; g/mol; particles each molecule gives (salt 2, else 1); returns g sucrose
    Range:    mass_g 0 to 1e7 g; molar_mass_g 30 to 1000 g/mol; particles 1 to 3; else ValueError
    Source:   equal osmolality; 1 g salt is 12 g sucrose, 1 g erythritol 2.8
    Spread:   none of its own: equal osmolality, counted in particles

    >>> round(sucrose_equal_g(1.0, 58.44, 2), 1), round(sucrose_equal_g(1.0, 122.12, 1), 1)
    (11.7, 2.8)
    """
    within("mass", mass_g, 0.0, 1e7, "g")
    within("molar mass", molar_mass_g, 30.0, 1000.0, "g/mol")
    within("particles", particles, 1.0, 3.0)
    return mass_g * particles * DISACCHARIDE_G_MOL / molar_mass_g


def gas_rate_ml_h(
    yeast_g: float, ml_h_g_at_30c: float, salt_factor: float, sugar_factor: float, viable_share: float
) -> float:
    """Gas a dough's yeast makes per hour at 30 C.

    Units:    g; mL/h per g of this yeast at 30 C in a lean dough of 2 % salt; factors 1; 0 to 1; returns mL/h
              at 25 C and 1 atm
    Range:    yeast_g 0 to 1e6 g; ml_h_g_at_30c 0 to 600 mL/h per g; salt_factor 0 to 2; sugar_factor 0 to 2;
              viable_share 0 to 1; else ValueError
    Source:   definition; rates GAS_RATE_FRESH_ML_H_G and its like
    Spread:   none of its own: a definition

    >>> gas_rate_ml_h(10.0, 95.0, 1.0, 1.0, 1.0)
    950.0
    """
    within("yeast", yeast_g, 0.0, 1e6, "g")
    within("gas rate", ml_h_g_at_30c, 0.0, 600.0, "mL/h per g")
    within("factor of salt", salt_factor, 0.0, 2.0)
    within("factor of sugar", sugar_factor, 0.0, 2.0)
    within("share alive", viable_share, 0.0, 1.0)
    return yeast_g * ml_h_g_at_30c * salt_factor * sugar_factor * viable_share


def _stage_ends(
    gas_ml: float, rate_ml_h: float, minutes: float, temperature_c: float, hexose_g: float, yield_share: float
) -> tuple[float, float]:
    by_time = rate_ml_h * temperature_factor(temperature_c) * minutes / 60
    less, more = share(_heat_doubt(temperature_c))(by_time)
    most = gas_ml_from_hexose(hexose_g, yield_share)
    return lesser(less, most), lesser(more, most)


@sure_to(_stage_ends)
def gas_in_stage_ml(
    rate_ml_h_at_30c: float,
    minutes: float,
    temperature_c: float,
    fermentable_hexose_g: float,
    yield_share: float,
) -> float:
    """Gas from yeast in one stage of a dough: rate times time, until its sugar is used up.

    Stages follow one another: take sugar_used_g of each from the sugar of the next.

    Units:    mL/h at 30 C (gas_rate_ml_h); min; C; g of hexose at the start (flour's own and what its
              enzymes free included); 0 to 1; returns mL at 25 C and 1 atm
    Range:    rate_ml_h_at_30c 0 to 1e7 mL/h; minutes 0 to 4320 min; temperature_c 0 to 60 C;
              fermentable_hexose_g 0 to 1e7 g; yield_share 0.5 to 1; else ValueError
    Source:   stoichiometry; temperature_factor
    Spread:   as temperature_factor, while there is sugar

    >>> gas_in_stage_ml(950.0, 60.0, 30.0, 20.0, 0.93), round(gas_in_stage_ml(950.0, 60.0, 30.0, 1.0, 0.93))
    (950.0, 253)
    """
    within("gas rate", rate_ml_h_at_30c, 0.0, 1e7, "mL/h")
    within("time", minutes, 0.0, 4320.0, "min")
    within("yield", yield_share, 0.5, 1.0)
    by_time = rate_ml_h_at_30c * temperature_factor(temperature_c) * minutes / 60
    return lesser(by_time, gas_ml_from_hexose(fermentable_hexose_g, yield_share))


@sure_to(lambda minutes, _gas, _rate, at_c: share(_heat_doubt(at_c))(minutes))
def minutes_for_gas(gas_ml: float, rate_ml_h_at_30c: float, temperature_c: float) -> float:
    """Minutes in which yeast makes a volume of gas.

    Units:    mL; mL/h at 30 C; C; returns min
    Range:    gas_ml 0 to 1e8 mL; rate_ml_h_at_30c 1e-6 to 1e7 mL/h; temperature_c 0 to 60 C; else ValueError
    Source:   definition; 500 mL at 120 mL/h take 4.17 h
    Spread:   as temperature_factor

    >>> round(minutes_for_gas(500.0, 120.0, 30.0) / 60, 2)
    4.17
    """
    within("gas", gas_ml, 0.0, 1e8, "mL")
    within("gas rate", rate_ml_h_at_30c, 1e-6, 1e7, "mL/h")
    return 60 * gas_ml / rate_ml_h_at_30c / temperature_factor(temperature_c)


def proof_minutes(minutes: float, yeast_ratio: float, exponent: float) -> float:
    """Proof time when the yeast is changed: t ~ m^-0.9, since cells grow meanwhile.

    Units:    min; new yeast over old; exponent (PROOF_EXPONENT); returns min
    Range:    minutes 0 to 4320 min; yeast_ratio 0.1 to 10 (and not under 0.2 % yeast of flour); exponent -1.2
              to -0.5; else ValueError
    Source:   yeast-literature (from memory)
    Spread:   that of PROOF_EXPONENT

    >>> round(proof_minutes(60.0, 0.5, -0.9))
    112
    """
    within("proof", minutes, 0.0, 4320.0, "min")
    within("yeast, new over old,", yeast_ratio, 0.1, 10.0)
    within("exponent", exponent, -1.2, -0.5)
    longer: float = yeast_ratio**exponent
    return minutes * longer


@sure_to(lambda minutes, _, *both_c: share(greater(*map(_heat_doubt, both_c)))(minutes))
def proof_minutes_at(minutes: float, from_c: float, to_c: float) -> float:
    """Proof time when the dough is warmer or cooler.

    Units:    min; C; C; returns min
    Range:    minutes 0 to 4320 min; from_c 2 to 45 C; to_c 2 to 45 C; else ValueError
    Source:   temperature_factor
    Spread:   as temperature_factor, at the less known of the two

    >>> round(proof_minutes_at(60.0, 30.0, 24.0))
    91
    """
    within("proof", minutes, 0.0, 4320.0, "min")
    within("dough temperature before", from_c, 2.0, 45.0, "C")
    within("dough temperature after", to_c, 2.0, 45.0, "C")
    return minutes * temperature_factor(from_c) / temperature_factor(to_c)


# Heat


def _decimal_ends(_: float, temperature_c: float, d55_min: float) -> tuple[float, float]:
    one, other = (d55_min * 10.0 ** ((55.0 - temperature_c) / z_c) for z_c in Z_PRINTED_C)
    return lesser(one, other), greater(one, other)


@sure_to(_decimal_ends)
def decimal_minutes(temperature_c: float, d55_min: float) -> float:
    """Minutes that kill nine yeast cells of ten in a moist dough.

    Units:    C; min at 55 C (D55_MIN); returns min
    Range:    temperature_c 45 to 80 C; d55_min 0.2 to 20 min; else ValueError
    Source:   yeast-literature: 15 min at 50 C, 2.5 at 55, 0.4 at 60 (from memory); z 4.4-6.7 C
              (food-preservation-handbook)
    Spread:   from z 4.4 to 6.7 C, as printed; besides that of D55_MIN

    >>> round(decimal_minutes(50.0, 2.5)), decimal_minutes(55.0, 2.5), round(decimal_minutes(60.0, 2.5), 1)
    (16, 2.5, 0.4)
    """
    within("temperature", temperature_c, 45.0, 80.0, "C")
    within("minutes at 55 C", d55_min, 0.2, 20.0, "min")
    minutes: float = d55_min * 10.0 ** ((55.0 - temperature_c) / Z_C)
    return minutes


def _decades_per_min(temperature_c: float, d55_min: float) -> float:
    """Powers of ten by which living yeast falls each minute; none up to LIVES_TO_C."""
    here: float = 10.0 ** ((temperature_c - 55.0) / Z_C) / d55_min
    lives: float = 10.0 ** ((LIVES_TO_C - 55.0) / Z_C) / d55_min
    return greater(here - lives, 0.0)


def viable_share(temperature_c: float, minutes: float, d55_min: float = D55_MIN[1]) -> float:
    """Share of yeast alive after a time at a temperature, moist.

    Units:    C; min; min at 55 C that kill nine of ten (D55_MIN); returns 0 to 1
    Range:    temperature_c 0 to 100 C; minutes 0 to 4320 min; d55_min 0.2 to 20 min; else ValueError
    Source:   as decimal_minutes, joined to no loss at 42 C; the spread is a factor 2 to 2.5 in time
    Spread:   that of D55_MIN
    Not for:  dry yeast, which stands far more heat

    >>> viable_share(35.0, 60.0), round(viable_share(50.0, 10.0), 2), round(viable_share(55.0, 10.0), 4)
    (1.0, 0.25, 0.0001)
    """
    within("temperature", temperature_c, 0.0, 100.0, "C")
    within("time", minutes, 0.0, 4320.0, "min")
    within("minutes at 55 C", d55_min, 0.2, 20.0, "min")
    share: float = 10.0 ** -lesser(_decades_per_min(temperature_c, d55_min) * minutes, 300.0)
    return share


def viable_share_cooling(
    start_c: float, room_c: float, time_constant_min: float, minutes: float, d55_min: float = D55_MIN[1]
) -> float:
    """Share of yeast alive in a dough mixed warm that cools as it rests (dough.cooled_c).

    Units:    C; C; min (dough.cooling_time_constant_min); min; min at 55 C; returns 0 to 1
    Range:    start_c 0 to 100 C; room_c 0 to 100 C; time_constant_min 0.01 to 1e6 min; minutes 0 to 4320 min;
              d55_min 0.2 to 20 min; else ValueError
    Source:   viable_share summed along Newton's cooling, 200 steps
    Spread:   that of D55_MIN

    >>> round(viable_share_cooling(50.0, 21.0, 127.0, 60.0), 3), viable_share_cooling(40.0, 21.0, 127.0, 60.0)
    (0.222, 1.0)
    """
    within("temperature at the start", start_c, 0.0, 100.0, "C")
    within("temperature of the room", room_c, 0.0, 100.0, "C")
    within("time constant", time_constant_min, 0.01, 1e6, "min")
    within("time", minutes, 0.0, 4320.0, "min")
    within("minutes at 55 C", d55_min, 0.2, 20.0, "min")
    steps = 200
    decades = 0.0
    for step in range(steps):
        passed = (step + 0.5) / steps * minutes
        now_c: float = room_c + (start_c - room_c) * e ** (-passed / time_constant_min)
        decades += _decades_per_min(now_c, d55_min) * minutes / steps
    share: float = 10.0 ** -lesser(decades, 300.0)
    return share


def bloom_word(temperature_c: float) -> str:
    """What the trade says of water this warm for blooming dry yeast.

    Units:    C; returns a word of BLOOM_BANDS
    Range:    temperature_c 0 to 100 C; else ValueError
    Source:   BLOOM_BANDS (yeast-literature, common-practice, figoni-2003)
    Spread:   an order only: steps of words

    >>> bloom_word(40.0), bloom_word(52.0), bloom_word(65.0)
    ('usual', 'only for instant yeast in dry flour', 'kills all')
    """
    within("water for the yeast", temperature_c, 0.0, 100.0, "C")
    here = (word for low, high, word, *_ in BLOOM_BANDS if low <= temperature_c < high)
    return next(here, BLOOM_BANDS[-1][2])


# Forms


def yeast_of_other_form_g(yeast_g: float, factor: float) -> float:
    """Mass of another form of yeast in place of one.

    Units:    g; g per g (FRESH_TO_ACTIVE_DRY, FRESH_TO_INSTANT, ACTIVE_DRY_TO_INSTANT or one over them);
              returns g
    Range:    yeast_g 0 to 1e6 g; factor 0.25 to 4 g per g; else ValueError
    Source:   bread-textbook
    Spread:   that of FRESH_TO_ACTIVE_DRY, FRESH_TO_INSTANT or ACTIVE_DRY_TO_INSTANT

    >>> round(yeast_of_other_form_g(30.0, 0.33), 1)
    9.9
    """
    within("yeast", yeast_g, 0.0, 1e6, "g")
    within("conversion", factor, 0.25, 4.0, "g per g")
    return yeast_g * factor


def equal_solids_factor(from_water_pct: float, to_water_pct: float) -> float:
    """Conversion between forms that keeps the dry matter; a dry yeast also holds dead cells, so use more.

    Units:    % water of each form; returns g per g
    Range:    from_water_pct 0 to 80 %; to_water_pct 0 to 80 %; else ValueError
    Source:   mass balance; usda-sr28: fresh 69.0 %, active dry 5.08 %
    Spread:   none of its own: a mass balance

    >>> round(equal_solids_factor(69.0, 5.08), 2)
    0.33
    """
    within("water of the one form", from_water_pct, 0.0, 80.0, "%")
    within("water of the other form", to_water_pct, 0.0, 80.0, "%")
    return (100 - from_water_pct) / (100 - to_water_pct)


def water_with_other_form_g(before_g: float, after_g: float) -> float:
    """Water to add when a drier form of yeast comes in (below zero: to leave out).

    Units:    g of the form that leaves; g of the form that comes; returns g
    Range:    before_g 0 to 1e6 g; after_g 0 to 1e6 g; else ValueError
    Source:   mass balance: 30 g fresh by 9.9 g instant takes 20.1 g water
    Spread:   none of its own: a mass balance

    >>> round(water_with_other_form_g(30.0, 9.9), 1)
    20.1
    """
    within("yeast before", before_g, 0.0, 1e6, "g")
    within("yeast after", after_g, 0.0, 1e6, "g")
    return before_g - after_g
