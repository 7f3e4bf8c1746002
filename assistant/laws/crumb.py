"""What a baked crumb is like, in numbers and in the trade's words, each against the bread it is made from.

Volumes, water and browning rest on physics and published kinetics; springiness, taste scales and keeping are
indices that only order breads of one kind rightly (grade: from memory unless a law says otherwise).
"""

from math import e, pi

from assistant.laws.leavening import GAS_CONSTANT, ZERO_C_IN_K
from assistant.laws.ranges import factor, greater, lesser, share, sure_to, within

CELLS_AT_MIX_PER_MM3 = (3.0, 8.0, 30.0)
"""Low, usual, high number of gas cells per mm3 of gas-free dough when mixing ends.
Source: bubble-literature; grade: from memory."""
CELL_HALF_LIFE_MIN = (30.0, 45.0, 90.0)
"""Low, usual, high minutes in which half the cells of a rising dough have run together or shrunk away; the
fewer are left, the slower it goes. Set so that pan bread proofed 2 h has cells near 1.5 mm.
Grade: from memory."""

DEVELOPED = {"kneaded": 1.0, "folded": 0.4, "stirred": 0.25}
"""Share of the gluten that forms an elastic network, by how a dough is worked. Grade: common practice."""
GLUTEN_FOR_SPRING_PCT = 8.0
GEL_FOR_SPRING_PCT = 5.0
EGG_FOR_SPRING_PCT = 60.0
"""% of flour weight of gluten, of dry gel fibre or of egg that alone give a springiness of 63.
Grade: from memory."""

BROWNING_J_MOL = 64_151.0
BROWNING_PER_S = 42_000.0
"""First-order browning of bread crust, 140 to 250 C. Source: zanoni-1995; grade: measured."""

LEAN_SUGAR_PCT = 2.0
"""Sugar that a lean wheat dough has left when it meets the oven, % of flour. Grade: from memory."""
SOUR_WEIGHT_OF_SURPLUS = 0.2
"""What a mmol of surplus acid adds to sourness besides its protonated part, through the saliva it takes to
neutralise it. Grade: from memory."""
PYRO_PCT = 1.75
"""Acid pyrophosphate, % of flour, from which its aftertaste shows (1.5 to 2).
Source: baking-powder-literature; grade: from memory."""


# Volume and cells


@sure_to(share(0.05, 0.0))
def baked_specific_volume(raised_ml_g: float, bake_loss_share: float) -> float:
    """Specific volume of the baked piece: the raised dough's volume over the mass that is left.

    Units:    mL per g of dough (leavening.specific_volume_raised); share of the dough's mass lost; returns
              mL/g
    Range:    raised_ml_g 0.6 to 12 mL/g; bake_loss_share 0 to 0.5; else ValueError
    Source:   mass balance; shrinkage on cooling left out (some 5 %)
    Spread:   up to 5 % less, by shrinkage on cooling

    >>> round(baked_specific_volume(2.0, 0.12), 2)
    2.27
    """
    within("specific volume", raised_ml_g, 0.6, 12.0, "mL/g")
    within("bake loss", bake_loss_share, 0.0, 0.5)
    return raised_ml_g / (1 - bake_loss_share)


def cells_left_per_mm3(cells_per_mm3: float, minutes: float, half_life_min: float) -> float:
    """Gas cells still apart after a dough has stood, per mm3 of gas-free dough.

    Two must meet to become one, so the loss goes by the square of their number: n = n0 / (1 + t / t_half).

    Units:    per mm3; min from the end of mixing (or the last knock-back) to the oven; min; returns per mm3
    Range:    cells_per_mm3 0.01 to 1000 per mm3; minutes 0 to 1440 min; half_life_min 5 to 1000 min; else
              ValueError
    Source:   smoluchowski-1917 (form); CELLS_AT_MIX_PER_MM3, CELL_HALF_LIFE_MIN (from memory)
    Spread:   that of CELLS_AT_MIX_PER_MM3 and CELL_HALF_LIFE_MIN

    >>> cells_left_per_mm3(8.0, 135.0, 45.0)
    2.0
    """
    within("gas cells", cells_per_mm3, 0.01, 1000.0, "per mm3")
    within("time", minutes, 0.0, 1440.0, "min")
    within("half-life of cells", half_life_min, 5.0, 1000.0, "min")
    return cells_per_mm3 / (1 + minutes / half_life_min)


def cell_diameter_mm(gas_fraction: float, cells_per_mm3: float) -> float:
    """Mean diameter of the crumb's cells: the gas shared among the cells.

    Units:    0 to 1; per mm3 of gas-free dough; returns mm
    Range:    gas_fraction 0 to 0.95; cells_per_mm3 1e-4 to 1000 per mm3; else ValueError
    Source:   geometry of equal spheres; merging of cells in the oven left out, so it orders crumbs rather
              than measuring them (grade: from memory)
    Spread:   that of its arguments; cells that merge in the oven are left out

    >>> round(cell_diameter_mm(0.78, 2.0), 1), round(cell_diameter_mm(0.55, 8.0), 1)
    (1.5, 0.7)
    """
    within("gas fraction", gas_fraction, 0.0, 0.95)
    within("gas cells", cells_per_mm3, 1e-4, 1000.0, "per mm3")
    diameter: float = (6 / pi * gas_fraction / (1 - gas_fraction) / cells_per_mm3) ** (1 / 3)
    return diameter


def springiness(
    gluten_pct: float, developed_share: float, gel_pct: float, egg_pct: float, gas_fraction: float
) -> float:
    """How far a pressed crumb comes back, 0 to 100: elastic network, and gas in it to be pressed.

    Units:    gluten-forming protein, dry gel fibre and egg in % of flour weight; share of gluten developed
              (DEVELOPED); gas fraction of the crumb; returns index 0 to 100
    Range:    gluten_pct 0 to 100 % of flour; developed_share 0 to 1; gel_pct 0 to 60 % of flour; egg_pct 0 to
              400 % of flour; gas_fraction 0 to 0.95; else ValueError
    Source:   index of our own, rising with each (from-memory)
    Spread:   an order only: of breads of one kind

    >>> round(springiness(9.5, 1.0, 0.0, 0.0, 0.78)), round(springiness(9.5, 0.4, 0.0, 0.0, 0.6))
    (54, 23)
    """
    within("gluten", gluten_pct, 0.0, 100.0, "% of flour")
    within("share of gluten developed", developed_share, 0.0, 1.0)
    within("gel fibre", gel_pct, 0.0, 60.0, "% of flour")
    within("share of egg", egg_pct, 0.0, 400.0, "% of flour")
    within("gas fraction", gas_fraction, 0.0, 0.95)
    network = (
        gluten_pct * developed_share / GLUTEN_FOR_SPRING_PCT
        + gel_pct / GEL_FOR_SPRING_PCT
        + egg_pct / EGG_FOR_SPRING_PCT
    )
    unheld: float = e**-network
    return 100 * (1 - unheld) * gas_fraction


# Water


def crumb_water_pct(water_g: float, dough_g: float, bake_loss_g: float) -> float:
    """Water of the baked piece, crust and crumb together; what the bake loses is water.

    Units:    g of all water in the dough; g of dough; g lost; returns %
    Range:    dough_g 0.001 to 1e7 g; water_g / dough_g 0 to 1; bake_loss_g 0 to water_g; bake_loss_g /
              dough_g 0 to 0.999; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> round(crumb_water_pct(370.0, 850.0, 95.0), 1)
    36.4
    """
    within("dough", dough_g, 0.001, 1e7, "g")
    within("water over dough", water_g / dough_g, 0.0, 1.0)
    within("bake loss", bake_loss_g, 0.0, water_g, "g")
    within("bake loss over dough", bake_loss_g / dough_g, 0.0, 0.999)
    return 100 * (water_g - bake_loss_g) / (dough_g - bake_loss_g)


def moistness(crumb_water_pct: float, specific_volume_ml_g: float) -> float:
    """How moist a bite is: water in 100 mL of crumb, so a dense crumb of equal water is the moister.

    Units:    % water; mL/g; returns g per 100 mL
    Range:    crumb_water_pct 0 to 90 %; specific_volume_ml_g 0.6 to 12 mL/g; else ValueError
    Source:   definition; white pan bread (38 %, 4.8 mL/g) 8, quick loaf (37 %, 2.1 mL/g) 18
    Spread:   none of its own: a definition

    >>> round(moistness(38.0, 4.8)), round(moistness(37.0, 2.1))
    (8, 18)
    """
    within("water of the crumb", crumb_water_pct, 0.0, 90.0, "%")
    within("specific volume", specific_volume_ml_g, 0.6, 12.0, "mL/g")
    return crumb_water_pct / specific_volume_ml_g


def gumminess_risk(free_water_per_dry: float, gel_pct: float, core_short_c: float) -> float:
    """Risk that a crumb comes out gummy, 0 to 1: free water not set, gel, and a core not hot enough.

    Units:    g free water per g dry matter after the bake; % dry gel fibre of flours; C that the core stayed
              under its target (0: reached); returns 0 to 1
    Range:    free_water_per_dry -20 to 20 g per g dry matter; gel_pct 0 to 60 % of flour; core_short_c 0 to
              60 C; else ValueError
    Source:   index of our own; psyllium breads are dried further and to 98 C (common-practice)
    Spread:   an order only: of breads of one kind

    >>> round(gumminess_risk(0.1, 0.0, 0.0), 2), round(gumminess_risk(0.2, 12.0, 5.0), 2)
    (0.05, 0.65)
    """
    within("free water", free_water_per_dry, -20.0, 20.0, "g per g dry matter")
    within("gel fibre", gel_pct, 0.0, 60.0, "% of flour")
    within("core below its target", core_short_c, 0.0, 60.0, "C")
    load = 0.5 * greater(free_water_per_dry, 0.0) + 0.03 * gel_pct + 0.12 * core_short_c
    clear: float = e**-load
    return 1 - clear


# Crust


def browning_rate_per_min(surface_c: float) -> float:
    """Rate at which a dry crust browns toward its darkest.

    Units:    C of the surface; returns 1/min
    Range:    surface_c 100 to 260 C (fitted from 140 to 250, carried on by the same line); else ValueError
    Source:   zanoni-1995: 42,000/s, 64.151 kJ/mol; 157 C against 147 C is 1.53 times as fast
    Spread:   not told by its source

    >>> round(browning_rate_per_min(157.0) / browning_rate_per_min(147.0), 2)
    1.53
    """
    within("surface temperature", surface_c, 100.0, 260.0, "C")
    rate: float = BROWNING_PER_S * e ** (-BROWNING_J_MOL / GAS_CONSTANT / (surface_c + ZERO_C_IN_K))
    return 60 * rate


@sure_to(lambda _, oven_c: (100 + 0.5 * (oven_c - 100), 100 + 0.65 * (oven_c - 100)))
def crust_surface_c(oven_c: float) -> float:
    """Temperature of the crust in the second half of a bake: some 60 % of the way from 100 C to the oven.

    Units:    C; returns C
    Range:    oven_c 100 to 300 C; else ValueError
    Source:   from-memory: 150 to 165 C in an oven of 200 C; a bake simulation is better
    Spread:   from half to 65 % of the way, for the 150 to 165 C

    >>> crust_surface_c(200.0)
    160.0
    """
    within("oven", oven_c, 100.0, 300.0, "C")
    return 100 + 0.6 * (oven_c - 100)


def _exposure_ends(_: float, oven_c: float, minutes: float) -> tuple[float, float]:
    paler, darker = (browning_rate_per_min(100 + way * (oven_c - 100)) * 0.6 * minutes for way in (0.5, 0.65))
    return paler, darker


@sure_to(_exposure_ends)
def browning_exposure(oven_c: float, minutes: float) -> float:
    """Browning of a lean crust without a bake simulation: its rate over the time the surface is dry.

    The surface dries and warms for four tenths of the bake, and browns for the rest.

    Units:    C; min; returns rate x time, 1 (0 pale, 1 golden brown, 2 dark)
    Range:    oven_c 100 to 300 C (under 167 C the rate is carried on below its fit); minutes 0 to 240 min; else
              ValueError
    Source:   zanoni-1995 for the rate; surface and drying time from memory
    Spread:   as crust_surface_c

    >>> round(browning_exposure(200.0, 35.0), 2)
    0.97
    """
    within("bake", minutes, 0.0, 240.0, "min")
    return browning_rate_per_min(crust_surface_c(oven_c)) * 0.6 * minutes


def browning_factor_of_sugar(sugar_pct: float) -> float:
    """How much faster a crust browns than a lean wheat dough's, by the sugars that can brown.

    Units:    % of flour weight of sugars that brown, less what yeast ate: sucrose, glucose, fructose,
              lactose, allulose; not polyols; returns 1 at 2 % (LEAN_SUGAR_PCT)
    Range:    sugar_pct 0 to 100 % of flour; else ValueError
    Source:   maillard-literature; saturating curve of our own, grade: from memory
    Spread:   an order only: of crusts

    >>> browning_factor_of_sugar(2.0), browning_factor_of_sugar(0.0), round(browning_factor_of_sugar(10.0), 2)
    (1.0, 0.4, 1.4)
    """
    within("browning sugars", sugar_pct, 0.0, 100.0, "% of flour")
    return 0.4 + 1.2 * sugar_pct / (sugar_pct + LEAN_SUGAR_PCT)


def crust_colour(exposure: float, sugar_factor: float, ph_factor: float) -> float:
    """Colour of the crust on its way from dough to its darkest, 0 to 100.

    Units:    rate x time of a lean crust (browning_exposure, or the integral of a bake simulation); factors
              of sugar and of pH (acidity.browning_factor_of_ph); returns index 0 to 100
    Range:    exposure 0 to 20; sugar_factor 0 to 3; ph_factor 0 to 4; else ValueError
    Source:   zanoni-1995: colour tends to its end exponentially
    Spread:   an order only: of crusts, besides that of its arguments

    >>> [round(crust_colour(0.97, *factors)) for factors in ((1.0, 1.0), (0.4, 1.0), (1.4, 1.3))]
    [62, 32, 83]
    """
    within("browning", exposure, 0.0, 20.0)
    within("factor of sugar", sugar_factor, 0.0, 3.0)
    within("factor of pH", ph_factor, 0.0, 4.0)
    unbrowned: float = e ** (-exposure * sugar_factor * ph_factor)
    return 100 * (1 - unbrowned)


# Taste


def sourness(sour_species_mmol_per_kg: float, surplus_acid_mmol: float, crumb_g: float) -> float:
    """Sourness of a crumb: protonated acid, and a fifth of the acid that no soda met.

    Units:    mmol per kg (acidity.sour_species_mmol_per_kg); mmol (leavening.surplus_acid_mmol); g of crumb;
              returns index in mmol per kg: below 2 not sour, 5 faint, 12 mild, 25 clear
    Range:    sour_species_mmol_per_kg 0 to 5000 mmol/kg; surplus_acid_mmol 0 to 1e6 mmol; crumb_g 0.001 to
              1e7 g; else ValueError
    Source:   sour-taste-2007 (protonated species); the share of surplus from memory
    Spread:   an order only: of crumbs

    >>> round(sourness(6.4, 12.0, 500.0), 1)
    11.2
    """
    within("sour species", sour_species_mmol_per_kg, 0.0, 5000.0, "mmol/kg")
    within("surplus acid", surplus_acid_mmol, 0.0, 1e6, "mmol")
    within("crumb", crumb_g, 0.001, 1e7, "g")
    return sour_species_mmol_per_kg + SOUR_WEIGHT_OF_SURPLUS * surplus_acid_mmol / crumb_g * 1000


def sweetness_pct(sucrose_equal_g: float, crumb_g: float) -> float:
    """Sweetness of a crumb as % sucrose, what yeast ate left out.

    Units:    g sucrose of equal sweetness; g of crumb; returns %
    Range:    sucrose_equal_g 0 to 1e7 g sucrose; crumb_g 0.001 to 1e7 g; sucrose_equal_g / crumb_g 0 to 2;
              else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> round(sweetness_pct(15.0, 750.0), 1)
    2.0
    """
    within("sweetness", sucrose_equal_g, 0.0, 1e7, "g sucrose")
    within("crumb", crumb_g, 0.001, 1e7, "g")
    within("sweetness over crumb", sucrose_equal_g / crumb_g, 0.0, 2.0)
    return 100 * sucrose_equal_g / crumb_g


@sure_to(lambda _, soapiness, pct: (greater(soapiness, pct / 2.0), greater(soapiness, pct / 1.5)))
def bitterness(soapiness: float, pyrophosphate_pct: float) -> float:
    """Bitter, soapy or metallic aftertaste of the leavening: 1 is where most notice.

    Units:    index (acidity.soapiness); % acid pyrophosphate of flour weight; returns index
    Range:    soapiness 0 to 1e6; pyrophosphate_pct 0 to 10 % of flour; else ValueError
    Source:   baking-powder-literature: aftertaste from 1.5 to 2 % (from memory)
    Spread:   an order only: of aftertastes; pyrophosphate's shows from 1.5 to 2 %

    >>> bitterness(0.2, 3.5)
    2.0
    """
    within("soapiness", soapiness, 0.0, 1e6)
    within("acid pyrophosphate", pyrophosphate_pct, 0.0, 10.0, "% of flour")
    return greater(soapiness, pyrophosphate_pct / PYRO_PCT)


# Keeping


@sure_to(factor(1.5))
def staling_days(fat_pct: float, sugar_pct: float, gel_pct: float) -> float:
    """Days at room temperature, wrapped, before a crumb is called stale.

    Units:    % of flour weight of fat, sugar, dry gel fibre or gum; returns days
    Range:    fat_pct 0 to 200 % of flour; sugar_pct 0 to 200 % of flour; gel_pct 0 to 60 % of flour; else
              ValueError
    Source:   common-practice: lean bread 1 to 2 days, enriched 3 to 4, pound cake a week; within a factor 1.5
    Spread:   a factor 1.5, by its source

    >>> staling_days(0.0, 0.0, 0.0), staling_days(10.0, 10.0, 0.0), round(staling_days(2.0, 0.0, 8.0), 1)
    (1.5, 3.5, 4.2)
    """
    within("fat", fat_pct, 0.0, 200.0, "% of flour")
    within("share of sugar", sugar_pct, 0.0, 200.0, "% of flour")
    within("gel fibre", gel_pct, 0.0, 60.0, "% of flour")
    held = fat_pct / 12 + sugar_pct / 20 + gel_pct / 5
    return 1.5 * (1 + held)


@sure_to(factor(1.5))
def mould_days(crumb_water_pct: float, ph: float, sugar_pct: float) -> float:
    """Days at room temperature, wrapped, before mould shows, without a preservative.

    Acid and sugar delay it, water hastens it: ten points of water less keep a third longer.

    Units:    % water of the crumb; pH of the crumb; % sugar of flour weight; returns days
    Range:    crumb_water_pct 5 to 70 %; ph 3 to 10; sugar_pct 0 to 200 % of flour; else ValueError
    Source:   common-practice: white bread (38 %, pH 5.5) 4 to 5 days, sourdough 6 to 8; within a factor 1.5
    Spread:   a factor 1.5, by its source

    >>> [round(mould_days(*crumb, 0.0), 1) for crumb in ((38.0, 5.5), (40.0, 7.3), (40.0, 4.2))]
    [4.5, 2.6, 6.1]
    """
    within("water of the crumb", crumb_water_pct, 5.0, 70.0, "%")
    within("pH of the crumb", ph, 3.0, 10.0)
    within("share of sugar", sugar_pct, 0.0, 200.0, "% of flour")
    slower: float = 10.0 ** (0.12 * (5.5 - ph) + 0.012 * (38.0 - crumb_water_pct) + 0.003 * sugar_pct)
    return 4.5 * slower


def keeping_days(staling_days: float, mould_days: float) -> float:
    """Days a bread keeps at room temperature: until it is stale or mouldy, whichever comes first.

    Units:    days; days; returns days
    Range:    staling_days 0.01 to 10000 days; mould_days 0.01 to 10000 days; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> keeping_days(1.5, 4.5)
    1.5
    """
    within("days to staleness", staling_days, 0.01, 1e4, "days")
    within("days to mould", mould_days, 0.01, 1e4, "days")
    return lesser(staling_days, mould_days)


# Words


def against_word(value: float, base: float, noticeable: float, less: str, more: str) -> str:
    """A word for a value against its base: same, a little, plainly, much.

    Units:    value and base in one unit; noticeable, the change that a taster just finds, in that unit;
              two words; returns words
    Range:    value -1e9 to 1e9; base -1e9 to 1e9; noticeable 1e-9 to 1e9; else ValueError
    Source:   definition: less than one step nothing, up to two "a little", from five "much"
    Spread:   an order only: steps of words

    >>> [against_word(value, 2.2, 0.15, "denser", "more open") for value in (1.6, 2.3)]
    ['denser', 'the same']
    """
    within("what is compared", value, -1e9, 1e9)
    within("what it is compared with", base, -1e9, 1e9)
    within("change just noticed", noticeable, 1e-9, 1e9)
    change = value - base
    steps = abs(change) / noticeable
    if steps < 1:
        return "the same"
    word = more if change > 0 else less
    return f"a little {word}" if steps < 2 else word if steps < 5 else f"much {word}"


def volume_word(specific_volume_ml_g: float, base_ml_g: float) -> str:
    """Denser or lighter than the base.

    Units:    mL/g; mL/g; returns words
    Range:    specific_volume_ml_g 0.6 to 12 mL/g; base_ml_g 0.6 to 12 mL/g; else ValueError
    Source:   6 % of the base's volume is just seen (common-practice)
    Spread:   an order only: steps of words

    >>> volume_word(1.6, 2.2), volume_word(2.25, 2.2)
    ('denser', 'the same')
    """
    within("specific volume", specific_volume_ml_g, 0.6, 12.0, "mL/g")
    within("specific volume of the base", base_ml_g, 0.6, 12.0, "mL/g")
    return against_word(specific_volume_ml_g, base_ml_g, 0.06 * base_ml_g, "denser", "lighter")


def cells_word(diameter_mm: float, base_mm: float) -> str:
    """Finer or coarser cells than the base's.

    Units:    mm; mm; returns words
    Range:    diameter_mm 0 to 30 mm; base_mm 0 to 30 mm; else ValueError
    Source:   15 % of a diameter is just seen, and no cell under a tenth of a millimetre (common-practice)
    Spread:   an order only: steps of words

    >>> cells_word(0.7, 1.5), cells_word(0.0, 0.0)
    ('finer', 'the same')
    """
    within("cell diameter", diameter_mm, 0.0, 30.0, "mm")
    within("cell diameter of the base", base_mm, 0.0, 30.0, "mm")
    return against_word(diameter_mm, base_mm, max(0.15 * base_mm, 0.1), "finer", "coarser")


def springiness_word(springiness: float, base: float) -> str:
    """Springier, or shorter and more crumbly, than the base.

    Units:    index; index; returns words
    Range:    springiness 0 to 100; base 0 to 100; else ValueError
    Source:   5 points are just felt (from-memory)
    Spread:   an order only: steps of words

    >>> springiness_word(23.0, 55.0)
    'much more crumbly'
    """
    within("springiness", springiness, 0.0, 100.0)
    within("springiness of the base", base, 0.0, 100.0)
    return against_word(springiness, base, 5.0, "more crumbly", "springier")


def moistness_word(moistness: float, base: float) -> str:
    """Moister or drier than the base.

    Units:    g water per 100 mL; same; returns words
    Range:    moistness 0 to 150 g/100 mL; base 0.01 to 150 g/100 mL; else ValueError
    Source:   8 % of the base is just felt (from-memory)
    Spread:   an order only: steps of words

    >>> moistness_word(18.0, 15.0)
    'moister'
    """
    within("moistness", moistness, 0.0, 150.0, "g/100 mL")
    within("moistness of the base", base, 0.01, 150.0, "g/100 mL")
    return against_word(moistness, base, 0.08 * base, "drier", "moister")


def crust_word(crust_colour: float, base: float) -> str:
    """Darker or paler than the base.

    Units:    index; index; returns words
    Range:    crust_colour 0 to 100; base 0 to 100; else ValueError
    Source:   5 points are just seen (from-memory)
    Spread:   an order only: steps of words

    >>> crust_word(32.0, 62.0)
    'much paler'
    """
    within("crust colour", crust_colour, 0.0, 100.0)
    within("crust colour of the base", base, 0.0, 100.0)
    return against_word(crust_colour, base, 5.0, "paler", "darker")


def sourness_word(sourness: float, base: float) -> str:
    """Sourer or milder than the base.

    Units:    index (sourness); same; returns words
    Range:    sourness 0 to 10000 mmol/kg; base 0 to 10000 mmol/kg; else ValueError
    Source:   2 mmol/kg are just tasted (sour-taste-2007; step from memory)
    Spread:   an order only: steps of words

    >>> sourness_word(5.0, 1.5), sourness_word(0.5, 1.5)
    ('a little sourer', 'the same')
    """
    within("sourness", sourness, 0.0, 1e4, "mmol/kg")
    within("sourness of the base", base, 0.0, 1e4, "mmol/kg")
    return against_word(sourness, base, 2.0, "milder", "sourer")


def sweetness_word(sweetness_pct: float, base_pct: float) -> str:
    """Sweeter or less sweet than the base.

    Units:    % sucrose; %; returns words
    Range:    sweetness_pct 0 to 200 %; base_pct 0 to 200 %; else ValueError
    Source:   0.7 % sucrose, or a tenth of the base where that is more, is just tasted (from-memory)
    Spread:   an order only: steps of words

    >>> sweetness_word(2.0, 0.5), sweetness_word(20.0, 19.0)
    ('sweeter', 'the same')
    """
    within("sweetness", sweetness_pct, 0.0, 200.0, "%")
    within("sweetness of the base", base_pct, 0.0, 200.0, "%")
    return against_word(sweetness_pct, base_pct, greater(0.7, 0.1 * base_pct), "less sweet", "sweeter")


def bitterness_word(bitterness: float, base: float) -> str:
    """More or less bitter or soapy than the base.

    Units:    index; index; returns words
    Range:    bitterness 0 to 1e6; base 0 to 1e6; else ValueError
    Source:   half the level that most notice (from-memory)
    Spread:   an order only: steps of words

    >>> bitterness_word(1.2, 0.1)
    'more bitter or soapy'
    """
    within("bitterness", bitterness, 0.0, 1e6)
    within("bitterness of the base", base, 0.0, 1e6)
    return against_word(bitterness, base, 0.5, "less bitter or soapy", "more bitter or soapy")


def keeping_word(keeping_days: float, base_days: float) -> str:
    """Keeps longer or shorter than the base.

    Units:    days; days; returns words
    Range:    keeping_days 0.01 to 10000 days; base_days 0.01 to 10000 days; else ValueError
    Source:   half a day, or a fifth of the base where that is more (common-practice)
    Spread:   an order only: steps of words

    >>> keeping_word(3.5, 1.5)
    'keeps longer'
    """
    within("days it keeps", keeping_days, 0.01, 1e4, "days")
    within("days the base keeps", base_days, 0.01, 1e4, "days")
    steps = abs(keeping_days - base_days) / greater(0.5, 0.2 * base_days)
    if steps < 1:
        return "keeps the same"
    return "keeps longer" if keeping_days > base_days else "keeps shorter"


_OPENNESS = ((0.50, "dense"), (0.66, "close"), (0.76, "even"), (0.85, "open"))
_CRUST = ((15.0, "pale"), (40.0, "light gold"), (65.0, "golden"), (85.0, "brown"))
_MOIST = ((6.0, "dry"), (11.0, "light"), (17.0, "moist"), (24.0, "very moist"))


def openness_word(gas_fraction: float) -> str:
    """A word for how open a crumb is.

    Units:    0 to 1 (leavening.gas_fraction of the baked specific volume); returns a word
    Range:    gas_fraction 0 to 0.97; else ValueError
    Source:   steps (common-practice) between published crumbs: corn bread 0.65, sponge 0.73, pan bread 0.83,
              French bread 0.90 (porosity-ct-2015 for all but pan bread)
    Spread:   an order only: steps of words

    >>> openness_word(0.46), openness_word(0.60), openness_word(0.83), openness_word(0.90)
    ('dense', 'close', 'open', 'airy')
    """
    within("gas fraction", gas_fraction, 0.0, 0.97)
    return next((word for end, word in _OPENNESS if gas_fraction < end), "airy")


def crust_colour_word(crust_colour: float) -> str:
    """A word for the colour of a crust.

    Units:    index 0 to 100; returns a word
    Range:    crust_colour 0 to 100; else ValueError
    Source:   steps common-practice
    Spread:   an order only: steps of words

    >>> crust_colour_word(32.0), crust_colour_word(62.0)
    ('light gold', 'golden')
    """
    within("crust colour", crust_colour, 0.0, 100.0)
    return next((word for end, word in _CRUST if crust_colour < end), "dark")


def moist_word(moistness: float) -> str:
    """A word for how moist a crumb is.

    Units:    g water per 100 mL of crumb; returns a word
    Range:    moistness 0 to 150 g/100 mL; else ValueError
    Source:   steps common-practice
    Spread:   an order only: steps of words

    >>> moist_word(8.0), moist_word(18.0)
    ('light', 'very moist')
    """
    within("moistness", moistness, 0.0, 150.0, "g/100 mL")
    return next((word for end, word in _MOIST if moistness < end), "wet")
