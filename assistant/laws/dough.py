"""Water and temperature of a dough: what is in it, what is held, how warm it comes out and how it cools."""

from collections.abc import Sequence
from math import e, pi

import numpy as np

from assistant.laws.ranges import greater, share, sure_to, within

# Water


def contributed_water_g(mass_g: float, water_per_100g: float) -> float:
    """Water inside an ingredient.

    Units:    g; g per 100 g; returns g
    Range:    mass_g 0 to 1e7 g; water_per_100g 0 to 100 g/100 g; else ValueError
    Source:   mass balance; a large egg (50 g at 76.15 %, usda-sr28 01123) brings 38.1 g
    Spread:   none of its own: a mass balance

    >>> round(contributed_water_g(50.0, 76.15), 1)
    38.1
    """
    within("mass", mass_g, 0.0, 1e7, "g")
    within("water content", water_per_100g, 0.0, 100.0, "g/100 g")
    return mass_g * water_per_100g / 100


def water_held_g(mass_g: float, held_g_per_g: float) -> float:
    """Water that a flour, fibre or gum takes up in a dough.

    Units:    g; g water per g; returns g
    Range:    mass_g 0 to 1e7 g; held_g_per_g 0 to 200 g/g (gums); else ValueError
    Source:   definition; white flour 0.54 to 0.62 (farinograph), psyllium husk 8 to 20
              (hydrocolloids-from-memory)
    Spread:   none of its own: a definition

    >>> round(water_held_g(25.0, 12.0), 1)
    300.0
    """
    within("mass", mass_g, 0.0, 1e7, "g")
    within("water held", held_g_per_g, 0.0, 200.0, "g/g")
    return mass_g * held_g_per_g


def together_g(*masses_g: float) -> float:
    """Sum of masses: all the water of a dough, all that is held, all flours.

    Units:    g each; returns g
    Range:    masses_g[*] 0 to 1e7 g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> together_g(310.0, 38.1, 60.0)
    408.1
    """
    for mass_g in masses_g:
        within("mass", mass_g, 0.0, 1e7, "g")
    return sum(masses_g)


def free_water_g(water_g: float, held_g: float) -> float:
    """Water that nothing holds; below zero when flours and fibres could hold more than there is.

    Against the original dough it keeps a dough a dough.

    Units:    g; g; returns g
    Range:    water_g 0 to 1e7 g; held_g 0 to 1e9 g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> free_water_g(370.0, 300.0), free_water_g(310.0, 380.0)
    (70.0, -70.0)
    """
    within("water", water_g, 0.0, 1e7, "g")
    within("water held", held_g, 0.0, 1e9, "g")
    return water_g - held_g


def water_for_free_g(free_water_g: float, held_g: float, contributed_g: float) -> float:
    """Water to add for a wanted free water, given what is held and what other lines bring.

    Units:    g each; returns g; below zero: the other lines bring too much already
    Range:    free_water_g -1e9 to 1e7 g; held_g 0 to 1e9 g; contributed_g 0 to 1e7 g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> water_for_free_g(70.0, 380.0, 60.0)
    390.0
    """
    within("free water", free_water_g, -1e9, 1e7, "g")
    within("water held", held_g, 0.0, 1e9, "g")
    within("contributed water", contributed_g, 0.0, 1e7, "g")
    return free_water_g + held_g - contributed_g


def bakers_percentage(mass_g: float, flour_weight_g: float) -> float:
    """Mass of a line over flour weight.

    Units:    g; g; returns %
    Range:    mass_g 0 to 1e7 g; flour_weight_g 0.001 to 1e7 g; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> bakers_percentage(10.0, 500.0)
    2.0
    """
    within("mass", mass_g, 0.0, 1e7, "g")
    within("flour weight", flour_weight_g, 0.001, 1e7, "g")
    return 100 * mass_g / flour_weight_g


def hydration_pct(water_g: float, flour_weight_g: float) -> float:
    """Water over flour weight: added water and what egg, milk and butter contribute; not the flour's own.

    Units:    g; g; returns %
    Range:    water_g 0 to 1e7 g; flour_weight_g 0.001 to 1e7 g; 100 * water_g / flour_weight_g 0 to 1000 % (a
              pouring custard, no dough); else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> hydration_pct(310.0, 500.0)
    62.0
    """
    within("water", water_g, 0.0, 1e7, "g")
    within("flour weight", flour_weight_g, 0.001, 1e7, "g")
    hydration = 100 * water_g / flour_weight_g
    within("hydration", hydration, 0.0, 1000.0, "%")
    return hydration


def free_water_per_dry(free_water_g: float, dry_g: float) -> float:
    """Free water over dry matter, the number behind how a dough feels.

    Units:    g; g of dough less all its water; returns g/g
    Range:    dry_g 0.001 to 1e7 g; free_water_g / dry_g -20 to 20 g/g; else ValueError
    Source:   definition
    Spread:   none of its own: a definition

    >>> round(free_water_per_dry(70.0, 440.0), 2)
    0.16
    """
    within("dry matter", dry_g, 0.001, 1e7, "g")
    ratio = free_water_g / dry_g
    within("free water", ratio, -20.0, 20.0, "g per g dry matter")
    return ratio


CONSISTENCY = (
    (0.03, "stiff"),
    (0.11, "firm"),
    (0.18, "workable"),
    (0.27, "soft"),
    (0.42, "slack"),
    (0.65, "scoopable batter"),
    (1.20, "pourable batter"),
)
"""Free water per dry matter (g/g) below which a dough is called so; above the last, "thin batter".

Derived from ordinary doughs with 0.60 g water held per g of white flour: bagel at 55 % hydration 0.08,
pan bread at 62 % 0.16, at 68 % 0.23, wet hearth bread at 78 % 0.34, muffin batter 0.3 to 0.5, pancake
batter 0.9, thin pancakes 1.5. Grade: derived, words common practice. A gel of fibre can hold more water
than there is and still be pliable: judge it against its own base, not by the word alone."""


def consistency_word(free_water_per_dry: float) -> str:
    """How a dough feels, from its free water per dry matter.

    Units:    g/g (free_water_per_dry); returns a word
    Range:    free_water_per_dry -20 to 20 g per g dry matter; else ValueError
    Source:   CONSISTENCY (common-practice)
    Spread:   an order only: steps of words

    >>> consistency_word(0.16), consistency_word(0.9), consistency_word(-0.2)
    ('workable', 'pourable batter', 'stiff')
    """
    within("free water", free_water_per_dry, -20.0, 20.0, "g per g dry matter")
    return next((word for end, word in CONSISTENCY if free_water_per_dry < end), "thin batter")


def consistency_against_word(free_water_per_dry: float, base_free_water_per_dry: float) -> str:
    """How a dough feels against the dough it is made from.

    Units:    g/g; g/g; returns a word
    Range:    free_water_per_dry -20 to 20 g per g dry matter; base_free_water_per_dry -20 to 20 g per g dry
              matter; else ValueError
    Source:   0.02 g/g is about 1 % of hydration in a white dough, which a baker feels (common-practice)
    Spread:   an order only: steps of words

    >>> consistency_against_word(0.16, 0.15), consistency_against_word(0.25, 0.16)
    ('the same', 'wetter')
    """
    within("free water", free_water_per_dry, -20.0, 20.0, "g per g dry matter")
    within("free water of the base", base_free_water_per_dry, -20.0, 20.0, "g per g dry matter")
    change = free_water_per_dry - base_free_water_per_dry
    size = abs(change)
    if size < 0.02:
        return "the same"
    word = "wetter" if change > 0 else "stiffer"
    return f"a little {word}" if size < 0.06 else word if size < 0.15 else f"much {word}"


# Preferments


def preferment_flour_g(preferment_g: float, hydration_pct: float) -> float:
    """Flour inside a preferment or starter; it belongs to the flour weight.

    Units:    g; % of its flour; returns g
    Range:    preferment_g 0 to 1e7 g; hydration_pct 40 to 300 %; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> preferment_flour_g(200.0, 100.0)
    100.0
    """
    within("preferment", preferment_g, 0.0, 1e7, "g")
    within("hydration of the preferment", hydration_pct, 40.0, 300.0, "%")
    return preferment_g / (1 + hydration_pct / 100)


def preferment_water_g(preferment_g: float, hydration_pct: float) -> float:
    """Water inside a preferment or starter.

    Units:    g; % of its flour; returns g
    Range:    as preferment_flour_g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> round(preferment_water_g(160.0, 60.0), 1)
    60.0
    """
    return preferment_g - preferment_flour_g(preferment_g, hydration_pct)


# Temperature


WETTING_C = 2.0
"""How much warmer than reckoned flour's heat of wetting may leave a dough. Source: common practice."""


@sure_to(lambda mixed_c, *_: (mixed_c, mixed_c + WETTING_C))
def mix_temperature(
    masses_g: Sequence[float],
    specific_heats_j_gk: Sequence[float],
    temperatures_c: Sequence[float],
    friction_j: float,
) -> float:
    """Temperature of a dough after mixing: heat the warm parts give is heat the cold parts take.

    Units:    g, J/(g K) and C, part by part in the same order; J of kneading work that stays as heat;
              returns C
    Range:    masses_g[*] 0 to 1e7 g; sum(masses_g) 0.001 and more; specific_heats_j_gk[*] 0.5 to 4.5 J/(g K);
              temperatures_c[*] -30 to 100 C (no ice: melting is not counted, so parts below 0 C must be free
              of it); friction_j / sum(masses_g) 0 to 60 J/g; else ValueError
    Source:   heat balance; wheat's heat of wetting (some 2 C) and the bowl left out
    Spread:   up to 2 C warmer, by the heat of wetting (common-practice)

    >>> round(mix_temperature((300.0, 200.0), (4.18, 1.8), (100.0, 21.0), 0.0), 1)   # boiling water, flour
    82.4
    """
    if not len(masses_g) == len(specific_heats_j_gk) == len(temperatures_c):
        raise ValueError("each part needs a mass, a specific heat and a temperature; one of them is missing")
    capacity = heat = mass = 0.0
    for mass_g, cp, temperature_c in zip(masses_g, specific_heats_j_gk, temperatures_c, strict=True):
        within("mass", mass_g, 0.0, 1e7, "g")
        within("specific heat", cp, 0.5, 4.5, "J/(g K)")
        within("temperature", temperature_c, -30.0, 100.0, "C")
        capacity += mass_g * cp
        heat += mass_g * cp * temperature_c
        mass += mass_g
    if mass < 0.001:
        raise ValueError("there is nothing to mix: the masses sum to nothing")
    within("kneading work", friction_j, 0.0, 60.0 * mass, "J")
    return (heat + friction_j) / capacity


def _liquid_ends(
    needed_c: float, _target_c: float, rest_j_k: float, _rest_c: float, liquid_j_k: float, _friction_j: float
) -> tuple[float, float]:
    return needed_c - WETTING_C * (1 + rest_j_k / liquid_j_k), needed_c


@sure_to(_liquid_ends)
def liquid_temperature_for(
    target_c: float,
    rest_capacity_j_k: float,
    rest_temperature_c: float,
    liquid_capacity_j_k: float,
    friction_j: float,
) -> float:
    """Temperature the liquid needs for a wanted dough temperature.

    Units:    C; J/K of all else (mass times specific heat); C of all else; J/K of the liquid; J; returns C
    Range:    target_c 0 to 60 C; rest_capacity_j_k 0 to 1e8 J/K; rest_temperature_c -30 to 110 C;
              liquid_capacity_j_k 0.001 to 1e8 J/K; friction_j 0 to 1e8 J; refused too: an answer outside 0 to
              100 C (ice, or no water that hot); else ValueError
    Source:   heat balance, as mix_temperature
    Spread:   as mix_temperature, in the other direction

    >>> round(liquid_temperature_for(26.0, 900.0, 21.0, 1300.0, 4000.0), 1)
    26.4
    """
    within("wanted temperature", target_c, 0.0, 60.0, "C")
    within("heat capacity of the rest", rest_capacity_j_k, 0.0, 1e8, "J/K")
    within("temperature of the rest", rest_temperature_c, -30.0, 110.0, "C")
    within("heat capacity of the liquid", liquid_capacity_j_k, 0.001, 1e8, "J/K")
    within("kneading work", friction_j, 0.0, 1e8, "J")
    lacking_j = rest_capacity_j_k * (target_c - rest_temperature_c) - friction_j
    needed = target_c + lacking_j / liquid_capacity_j_k
    within("temperature the liquid would need", needed, 0.0, 100.0, "C")
    return needed


FRICTION_J_PER_G = {"folded": 0.0, "hand": 3.0, "mixer": 12.0}
"""Kneading work kept as heat, J per g of dough: none when folded; by hand about 1 C; 8 to 10 min of a mixer
about 4 to 5 C (2.7 J/g K). Source: common-practice; grade: from memory."""

FILM_W_M2K = (6.0, 9.0, 12.0)
"""Low, usual, high heat transfer from a dough to a still room, convection and radiation together.
Source: heat-transfer-handbook (still air 3-6, radiation about 5.5); grade: from memory."""
DOUGH_CONDUCTIVITY_W_MK = (0.35, 0.42, 0.5)
"""Low, usual, high. Source: rask-1989 (wheat dough, 44 % water); grade: from memory."""


def dough_surface_cm2(dough_g: float, density_g_ml: float, shape_factor: float) -> float:
    """Surface of a piece of dough: that of a ball of its volume, times a factor for its shape.

    Units:    g; g/mL; 1 ball, 1.1 a lump in a bowl, 1.3 a loaf, 2 and more a flat sheet; returns cm2
    Range:    dough_g 0.1 to 1e5 g; density_g_ml 0.2 to 1.4 g/mL; shape_factor 1 to 5; else ValueError
    Source:   geometry
    Spread:   none of its own: geometry

    >>> round(dough_surface_cm2(850.0, 1.2, 1.1))
    423
    """
    within("dough", dough_g, 0.1, 1e5, "g")
    within("density", density_g_ml, 0.2, 1.4, "g/mL")
    within("shape factor", shape_factor, 1.0, 5.0)
    area: float = (36 * pi) ** (1 / 3) * (dough_g / density_g_ml) ** (2 / 3) * shape_factor
    return area


@sure_to(share(0.03))
def cooling_time_constant_min(
    dough_g: float,
    specific_heat_j_gk: float,
    surface_cm2: float,
    film_w_m2k: float,
    conductivity_w_mk: float,
    density_g_ml: float,
) -> float:
    """Minutes in which a resting dough comes e times nearer the room: Newton's law of cooling.

    The film outside and the dough's own resistance act in a row; for a ball the second is r/5k for the
    mean temperature (linear driving force), with r = 3 V / A.

    Units:    g; J/(g K); cm2; W/(m2 K) (FILM_W_M2K); W/(m K) (DOUGH_CONDUCTIVITY_W_MK); g/mL; returns min
    Range:    dough_g 0.1 to 1e5 g; specific_heat_j_gk 1 to 4.5 J/(g K); surface_cm2 0.1 to 1e6 cm2;
              film_w_m2k 1 to 100 W/(m2 K); conductivity_w_mk 0.1 to 0.7 W/(m K); density_g_ml 0.2 to 1.4
              g/mL; else ValueError
    Source:   heat-transfer-handbook; checked against the series of a cooling sphere, mean within 3 %
    Spread:   3 %, by the series of a sphere; besides that of FILM_W_M2K and DOUGH_CONDUCTIVITY_W_MK
    Not for:  cooling in water, or the first minutes (a tenth of the time constant)

    >>> round(cooling_time_constant_min(850.0, 2.8, 423.0, 9.0, 0.42, 1.2))
    127
    """
    within("dough", dough_g, 0.1, 1e5, "g")
    within("specific heat", specific_heat_j_gk, 1.0, 4.5, "J/(g K)")
    within("surface", surface_cm2, 0.1, 1e6, "cm2")
    within("heat transfer", film_w_m2k, 1.0, 100.0, "W/(m2 K)")
    within("conductivity", conductivity_w_mk, 0.1, 0.7, "W/(m K)")
    within("density", density_g_ml, 0.2, 1.4, "g/mL")
    radius_m = 3 * dough_g / density_g_ml / surface_cm2 / 100
    through = 1 / (1 / film_w_m2k + radius_m / 5 / conductivity_w_mk)
    return dough_g * specific_heat_j_gk / (through * surface_cm2 * 1e-4) / 60


def cooled_c(start_c: float, room_c: float, minutes: float, time_constant_min: float) -> float:
    """Mean temperature of a dough that has rested in a room.

    Units:    C; C; min; min; returns C
    Range:    start_c -30 to 110 C; room_c -30 to 110 C; minutes 0 to 1e5 min; time_constant_min 0.01 to 1e6
              min; else ValueError
    Source:   Newton's law of cooling (heat-transfer-handbook)
    Spread:   that of its arguments

    >>> round(cooled_c(60.0, 20.0, 127.0, 127.0), 1)
    34.7
    """
    within("temperature at the start", start_c, -30.0, 110.0, "C")
    within("temperature of the room", room_c, -30.0, 110.0, "C")
    within("time", minutes, 0.0, 1e5, "min")
    within("time constant", time_constant_min, 0.01, 1e6, "min")
    kept: float = e ** (-minutes / time_constant_min)
    return room_c + (start_c - room_c) * kept


def minutes_to_cool(start_c: float, target_c: float, room_c: float, time_constant_min: float) -> float:
    """Minutes until a dough has cooled to a target; 0 when it is there already.

    Units:    C; C; C; min; returns min
    Range:    start_c -30 to 110 C; target_c up to 110 C; room_c -30 and more; target_c - room_c 1e-6
              and more; time_constant_min 0.01 to 1e6 min; else ValueError
    Source:   Newton's law of cooling (heat-transfer-handbook)
    Spread:   that of its arguments

    >>> round(minutes_to_cool(60.0, 35.0, 20.0, 127.0))
    125
    """
    within("temperature at the start", start_c, -30.0, 110.0, "C")
    within("temperature of the room", room_c, -30.0, 110.0, "C")
    within("temperature to cool to", target_c, -30.0, 110.0, "C")
    within("time constant", time_constant_min, 0.01, 1e6, "min")
    if np.any(target_c - room_c < 1e-6):
        raise ValueError("a dough never cools to the temperature of its room, nor under it")
    ways: float = np.log((greater(start_c, target_c) - room_c) / (target_c - room_c))
    return time_constant_min * ways
