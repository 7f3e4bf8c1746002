"""Thermal properties of doughs and crumbs, of water and of oven air.

Every law takes floats or NumPy arrays of one shape and gives back the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from assistant.laws.ranges import margin, share, sure_to, within

Real = Any
"""A float, or a NumPy array of floats."""

COMPONENTS = ("water", "protein", "fat", "carbohydrate", "fibre", "ash")
KELVIN = 273.15
GAS_CONSTANT = 8.314462618
"""J/(mol K). Source: SI (2019), exact."""
WATER_MOLAR_KG = 0.01801528
VAPOUR_GAS_CONSTANT = GAS_CONSTANT / WATER_MOLAR_KG
"""Of water vapour, J/(kg K)."""
VAPOUR_CP_J_KGK = 1890.0
"""Specific heat of steam at 100-150 C and 1 atm, within 5 %. Source: common steam tables, from memory."""
STANDARD_PRESSURE_PA = 101_325.0
STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m2 K4). Source: CODATA 2018, exact since the SI of 2019."""

Polynomials = Mapping[str, tuple[float, float, float]]

_CONDUCTIVITY: Polynomials = {
    "water": (0.57109, 1.7625e-3, -6.7036e-6),
    "protein": (0.17881, 1.1958e-3, -2.7178e-6),
    "fat": (0.18071, -2.7604e-4, -1.7749e-7),  # some reprints show -2.7604e-3: below 0 from 65 C
    "carbohydrate": (0.20141, 1.3874e-3, -4.3312e-6),
    "fibre": (0.18331, 1.2497e-3, -3.1683e-6),
    "ash": (0.32962, 1.4011e-3, -2.9069e-6),
}
_DENSITY: Polynomials = {
    "water": (997.18, 3.1439e-3, -3.7574e-3),
    "protein": (1329.9, -0.5184, 0.0),
    "fat": (925.59, -0.41757, 0.0),
    "carbohydrate": (1599.1, -0.31046, 0.0),
    "fibre": (1311.5, -0.36589, 0.0),
    "ash": (2423.8, -0.28063, 0.0),
}
_SPECIFIC_HEAT: Polynomials = {
    # Reprints differ: 4128.9 with opposite signs lies 1.5 % under the steam tables, this within 0.3 %.
    "water": (4176.2, -0.090864, 5.4731e-3),
    "protein": (2008.2, 1.2089, -1.3129e-3),
    # 1.4733 is disputed: one reprint has a tenth of it, 8 % lower at 100 C.
    "fat": (1984.2, 1.4733, -4.8008e-3),
    "carbohydrate": (1548.8, 1.9625, -5.9399e-3),
    "fibre": (1845.9, 1.8306, -4.6509e-3),
    "ash": (1092.6, 1.8896, -3.6817e-3),
}


@dataclass(frozen=True, slots=True)
class Composition:
    """Mass fractions of a dough or crumb without its gas; they sum to 1.

    Units:    kg/kg; floats or arrays of one shape; carbohydrate without the fibre
    Range:    each 0 to 1, the sum 1 within 0.001; else ValueError
    """

    water: Real
    protein: Real
    fat: Real
    carbohydrate: Real
    fibre: Real
    ash: Real

    def __post_init__(self) -> None:
        for name in COMPONENTS:
            within(f"the fraction of {name}", getattr(self, name), -1e-9, 1 + 1e-9)
        within("the sum of the fractions", sum(self.parts), 0.999, 1.001)

    @property
    def parts(self) -> tuple[Real, ...]:
        """The fractions in the order of `COMPONENTS`."""
        return (self.water, self.protein, self.fat, self.carbohydrate, self.fibre, self.ash)

    @classmethod
    def of_masses(
        cls, water_g: Real, protein_g: Real, fat_g: Real, carbohydrate_g: Real, fibre_g: Real, ash_g: Real
    ) -> "Composition":
        """The fractions of a mixture given by masses.

        Units:    g, carbohydrate without fibre
        Range:    none negative, not all 0; else ValueError

        >>> Composition.of_masses(50, 10, 5, 30, 4, 1).water
        0.5
        """
        masses = (water_g, protein_g, fat_g, carbohydrate_g, fibre_g, ash_g)
        total = sum(masses)
        if not np.all(np.greater(total, 0)):
            raise ValueError("a mixture without mass has no composition")
        return cls(*(mass / total for mass in masses))

    def dried(self, water: Real) -> "Composition":
        """The same solids with another fraction of water.

        >>> round(Composition.of_masses(50, 10, 5, 30, 4, 1).dried(0.0).carbohydrate, 3)
        0.6
        """
        within("the fraction of water", self.water, 0, 1 - 1e-9)
        keep = (1 - water) / (1 - self.water)
        return Composition(water, *(part * keep for part in self.parts[1:]))


def _polynomial(of: Polynomials, component: str, temp_c: Real) -> Real:
    if component not in of:
        raise ValueError(f"a component is one of {', '.join(COMPONENTS)}, not {component!r}")
    within("temperature", temp_c, 0, 150, "C")
    c0, c1, c2 = of[component]
    return c0 + temp_c * (c1 + temp_c * c2)


@sure_to(share(0.05))
def component_conductivity_w_mk(component: str, temp_c: Real) -> Real:
    """Thermal conductivity of one pure component of a food.

    Units:    temp_c C; returns W/(m K)
    Range:    component one of COMPONENTS; temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986; fat's slope is -2.7604e-4, which some reprints misprint
    Spread:   5 %, as conductivity_w_mk

    >>> round(component_conductivity_w_mk("water", 60.0), 3)
    0.653
    """
    return _polynomial(_CONDUCTIVITY, component, temp_c)


@sure_to(share(0.04))
def component_density_kg_m3(component: str, temp_c: Real) -> Real:
    """Density of one pure component of a food.

    Units:    temp_c C; returns kg/m3
    Range:    component one of COMPONENTS; temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986
    Spread:   4 %, as density_kg_m3

    >>> round(component_density_kg_m3("fat", 25.0), 1)
    915.2
    """
    return _polynomial(_DENSITY, component, temp_c)


@sure_to(share(0.08))
def component_specific_heat_j_kgk(component: str, temp_c: Real) -> Real:
    """Specific heat of one pure component of a food.

    Units:    temp_c C; returns J/(kg K)
    Range:    component one of COMPONENTS; temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986; water in the 4176.2 form, fat's slope from memory of
              ashrae-refrigeration ch. 9 (a reprint with a tenth of it exists)
    Spread:   8 %, as specific_heat_j_kgk; reprints of fat's differ by as much

    >>> round(component_specific_heat_j_kgk("water", 80.0))
    4204
    """
    return _polynomial(_SPECIFIC_HEAT, component, temp_c)


@sure_to(share(0.04))
def density_kg_m3(composition: Composition, temp_c: Real) -> Real:
    """Density of a gas-free dough, its volumes added.

    Units:    temp_c C; returns kg/m3
    Range:    temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986
    Spread:   4 %, as far as its check TPD28

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> round(density_kg_m3(lean, 25.0))
    1233
    """
    parts = zip(COMPONENTS, composition.parts, strict=True)
    return 1 / sum(part / component_density_kg_m3(name, temp_c) for name, part in parts)


def volume_fractions(composition: Composition, temp_c: Real) -> tuple[Real, ...]:
    """Share of the gas-free volume that each component takes, in the order of `COMPONENTS`.

    Units:    temp_c C; returns m3/m3
    Range:    temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986
    Spread:   as density_kg_m3, each

    >>> round(volume_fractions(Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01), 25.0)[0], 3)
    0.521
    """
    density = density_kg_m3(composition, temp_c)
    parts = zip(COMPONENTS, composition.parts, strict=True)
    return tuple(part * density / component_density_kg_m3(name, temp_c) for name, part in parts)


@sure_to(share(0.08))
def specific_heat_j_kgk(composition: Composition, temp_c: Real) -> Real:
    """Specific heat of a dough, its components added by mass.

    Units:    temp_c C; returns J/(kg K)
    Range:    temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986
    Spread:   8 %, as far as its checks TPD08 and TPD09

    >>> round(specific_heat_j_kgk(Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01), 25.0))
    2726
    """
    parts = zip(COMPONENTS, composition.parts, strict=True)
    return sum(part * component_specific_heat_j_kgk(name, temp_c) for name, part in parts)


@sure_to(share(0.05))
def conductivity_w_mk(composition: Composition, temp_c: Real) -> Real:
    """Thermal conductivity of a gas-free dough, its components side by side (parallel model).

    Units:    temp_c C; returns W/(m K)
    Range:    temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986
    Spread:   5 %, as far as its checks TPD06 and TPD07

    >>> round(conductivity_w_mk(Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01), 80.0), 3)
    0.479
    """
    volumes = zip(COMPONENTS, volume_fractions(composition, temp_c), strict=True)
    return sum(volume * component_conductivity_w_mk(name, temp_c) for name, volume in volumes)


@sure_to(share(0.11))
def diffusivity_m2_s(composition: Composition, temp_c: Real) -> Real:
    """Thermal diffusivity of a gas-free dough, k / (rho cp).

    Units:    temp_c C; returns m2/s
    Range:    temp_c 0 to 150 C; else ValueError
    Source:   choi-okos-1986 for the three; its own diffusivity polynomials are not used
    Spread:   11 %, as conductivity_w_mk, density_kg_m3 and specific_heat_j_kgk together

    >>> f"{diffusivity_m2_s(Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01), 80.0):.2e}"
    '1.42e-07'
    """
    storage = density_kg_m3(composition, temp_c) * specific_heat_j_kgk(composition, temp_c)
    return conductivity_w_mk(composition, temp_c) / storage


@sure_to(share(0.25))
def porous_conductivity_w_mk(matrix_w_mk: Real, pore_w_mk: Real, gas_fraction: Real) -> Real:
    """Conductivity of a crumb: pores dispersed in a continuous matrix (Maxwell-Eucken).

    Units:    W/(m K); gas_fraction m3/m3; returns W/(m K)
    Range:    gas_fraction 0 to 0.999; matrix_w_mk 1e-9 to 1e6 W/(m K); pore_w_mk 1e-9 to 1e6 W/(m K); else
              ValueError
    Source:   maxwell-eucken (Eucken 1940, after Maxwell 1873)
    Spread:   25 %, as far as its check TPD10

    >>> round(porous_conductivity_w_mk(0.48, 0.03, 0.5), 3)
    0.213
    """
    within("gas fraction", gas_fraction, 0, 0.999)
    within("conductivity", matrix_w_mk, 1e-9, 1e6, "W/(m K)")
    within("conductivity", pore_w_mk, 1e-9, 1e6, "W/(m K)")
    sum_ = 2 * matrix_w_mk + pore_w_mk
    difference = matrix_w_mk - pore_w_mk
    return matrix_w_mk * (sum_ - 2 * gas_fraction * difference) / (sum_ + gas_fraction * difference)


_PSAT = ((-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0),
         (22.6807411, 3.5), (-15.9618719, 4.0), (1.80122502, 7.5))  # fmt: skip
_LIQUID = ((1.99274064, 1 / 3), (1.09965342, 2 / 3), (-0.510839303, 5 / 3),
           (-1.75493479, 16 / 3), (-45.5170352, 43 / 3), (-6.74694450e5, 110 / 3))  # fmt: skip
_VAPOUR = ((-2.03150240, 2 / 6), (-2.68302940, 4 / 6), (-5.38626492, 8 / 6),
           (-17.2991605, 18 / 6), (-44.7586581, 37 / 6), (-63.9201063, 71 / 6))  # fmt: skip
_CRITICAL_K, _CRITICAL_PA, _CRITICAL_KG_M3 = 647.096, 22.064e6, 322.0


@sure_to(share(1e-4))
def saturation_pressure_pa(temp_c: Real) -> Real:
    """Vapour pressure of pure water.

    Units:    temp_c C; returns Pa
    Range:    temp_c 0 to 350 C; else ValueError
    Source:   iapws-sr1-86 eq. 1 (Wagner and Pruss 1993)
    Spread:   0.01 %, by its source

    >>> round(float(saturation_pressure_pa(100.0)))
    101418
    """
    within("temperature", temp_c, 0, 350, "C")
    ratio = (temp_c + KELVIN) / _CRITICAL_K
    return _CRITICAL_PA * np.exp(sum(a * (1 - ratio) ** power for a, power in _PSAT) / ratio)


@sure_to(share(1e-4))
def saturation_slope_pa_k(temp_c: Real) -> Real:
    """Rise of the vapour pressure of water with temperature.

    Units:    temp_c C; returns Pa/K
    Range:    as saturation_pressure_pa; else ValueError
    Source:   iapws-sr1-86 eq. 1, differentiated
    Spread:   0.01 %, as far as its checks TPD23 and TPD24

    >>> round(float(saturation_slope_pa_k(100.0)))
    3619
    """
    ratio = (temp_c + KELVIN) / _CRITICAL_K
    pressure = saturation_pressure_pa(temp_c)
    inner = sum(a * power * (1 - ratio) ** (power - 1) for a, power in _PSAT)
    return -pressure / (temp_c + KELVIN) * (np.log(pressure / _CRITICAL_PA) + inner)


@sure_to(margin(1e-3))
def boiling_point_c(pressure_pa: Real) -> Real:
    """Temperature at which pure water boils under a pressure.

    Units:    Pa; returns C
    Range:    pressure_pa 1000 to 3e5 Pa; else ValueError
    Source:   iapws-sr1-86 eq. 1, solved by Newton's method on the logarithm of pressure
    Spread:   0.001 C, as far as its checks TPD20 to TPD22

    >>> round(float(boiling_point_c(101325.0)), 2)
    99.97
    """
    within("pressure", pressure_pa, 1e3, 3e5, "Pa")
    temp_c = 1 / (1 / (100 + KELVIN) - np.log(pressure_pa / 101_418) / 5100) - KELVIN
    for _ in range(4):
        reached = saturation_pressure_pa(temp_c)
        temp_c = temp_c - np.log(reached / pressure_pa) * reached / saturation_slope_pa_k(temp_c)
    return temp_c


@sure_to(share(1e-4))
def latent_heat_j_kg(temp_c: Real) -> Real:
    """Heat that evaporates water, from the slope of its vapour pressure (Clausius-Clapeyron).

    Units:    temp_c C; returns J/kg
    Range:    as saturation_pressure_pa; else ValueError
    Source:   iapws-sr1-86 eq. 1-3
    Spread:   0.01 %, as far as its checks C075 to C077

    >>> round(float(latent_heat_j_kg(100.0) / 1000), 1)
    2256.6
    """
    slope = saturation_slope_pa_k(temp_c)
    kelvin = temp_c + KELVIN
    left = 1 - kelvin / _CRITICAL_K
    liquid = _CRITICAL_KG_M3 * (1 + sum(b * left**power for b, power in _LIQUID))
    vapour = _CRITICAL_KG_M3 * np.exp(sum(c * left**power for c, power in _VAPOUR))
    return kelvin * slope * (1 / vapour - 1 / liquid)


@sure_to(share(0.06))
def vapour_diffusivity_m2_s(temp_c: Real, pressure_pa: Real) -> Real:
    """Diffusivity of water vapour in air.

    Units:    temp_c C; pressure_pa Pa; returns m2/s
    Range:    temp_c 0 to 300 C; pressure_pa 30000 to 3e5 Pa; else ValueError
    Source:   krischer-kast (Schirmer 1938), from memory: 2.3e-5 (98.1 kPa / P) (T / 273 K)^1.81
    Spread:   6 %, as far as its checks TPD25 to TPD27

    >>> f"{vapour_diffusivity_m2_s(60.0, 101325.0):.2e}"
    '3.19e-05'
    """
    within("temperature", temp_c, 0, 300, "C")
    within("pressure", pressure_pa, 3e4, 3e5, "Pa")
    return 2.3e-5 * (98_100 / pressure_pa) * ((temp_c + KELVIN) / 273.0) ** 1.81


@sure_to(share(0.06))
def vapour_transport_w_mk(temp_c: Real, pressure_pa: Real) -> Real:
    """Heat that vapour carries through a wet pore, as a conductivity.

    Water evaporates on the warm wall, diffuses through the still air and condenses on the cold one:
    k = L D / (Rv T) * P / (P - psat) * dpsat/dT.

    Units:    temp_c C; pressure_pa Pa; returns W/(m K)
    Range:    temp_c 0 to 130 C; pressure_pa 3e4 to 3e5 Pa; refused too: from 0.2 K under the boiling point;
              else ValueError
    Source:   krischer-kast; de-vries-1958
    Spread:   6 %, as vapour_diffusivity_m2_s

    >>> round(float(vapour_transport_w_mk(60.0, 101325.0)), 2)
    0.56
    """
    within("temperature", temp_c, 0, 130, "C")
    saturated = saturation_pressure_pa(temp_c)
    if not np.all(np.less_equal(saturated, 0.993 * np.asarray(pressure_pa))):
        raise ValueError("a pore at the boiling point carries heat by flow, not by diffusion")
    flow = vapour_diffusivity_m2_s(temp_c, pressure_pa) / (VAPOUR_GAS_CONSTANT * (temp_c + KELVIN))
    blown = pressure_pa / (pressure_pa - saturated)
    return latent_heat_j_kg(temp_c) * flow * blown * saturation_slope_pa_k(temp_c)


def wet_pore_conductivity_w_mk(temp_c: Real, pressure_pa: Real, open_share: Real, cap_w_mk: Real) -> Real:
    """Conductivity of a moist pore: its air, and vapour transport held under a cap.

    The share of pores that are open, and the cap that walls and liquid supply set, are weakly known.

    Units:    temp_c C; Pa; open_share 1; cap_w_mk W/(m K); returns W/(m K)
    Range:    as vapour_transport_w_mk; open_share 0 to 1; cap_w_mk 1e-6 to 1000 W/(m K); refused too: from
              0.2 K under the boiling point; else ValueError
    Source:   krischer-kast for the transport; the cap is `derived` (series of two resistances)
    Spread:   that of its open share and its cap, which are weakly known

    >>> round(float(wet_pore_conductivity_w_mk(60.0, 101325.0, 1.0, 2.0)), 2)
    0.47
    """
    within("open share", open_share, 0, 1)
    within("cap", cap_w_mk, 1e-6, 1e3, "W/(m K)")
    vapour = open_share * vapour_transport_w_mk(temp_c, pressure_pa)
    return air_conductivity_w_mk(temp_c) + vapour / (1 + vapour / cap_w_mk)


@sure_to(share(0.013))
def air_conductivity_w_mk(temp_c: Real) -> Real:
    """Thermal conductivity of dry air.

    Units:    temp_c C; returns W/(m K)
    Range:    temp_c 0 to 350 C; else ValueError
    Source:   sutherland-air: 2.646e-3 T^1.5 / (T + 245.4 * 10^(-12 / T)) (US Standard Atmosphere 1976)
    Spread:   1.3 %, as far as its checks TPD11 to TPD14

    >>> round(air_conductivity_w_mk(100.0), 4)
    0.0317
    """
    within("temperature", temp_c, 0, 350, "C")
    kelvin = temp_c + KELVIN
    return 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))


@sure_to(share(4e-4))
def air_density_kg_m3(temp_c: Real, pressure_pa: Real = STANDARD_PRESSURE_PA) -> Real:
    """Density of dry air, as an ideal gas.

    Units:    temp_c C; Pa; returns kg/m3
    Range:    temp_c 0 to 350 C; pressure_pa 30000 to 3e5 Pa; else ValueError
    Source:   ideal gas with 28.9652 g/mol (cipm-2007)
    Spread:   0.04 %, as far as its checks TPD18 and TPD19

    >>> round(air_density_kg_m3(20.0), 3)
    1.204
    """
    within("temperature", temp_c, 0, 350, "C")
    within("pressure", pressure_pa, 3e4, 3e5, "Pa")
    return pressure_pa * 0.0289652 / (GAS_CONSTANT * (temp_c + KELVIN))


@sure_to(share(0.007))
def air_specific_heat_j_kgk(temp_c: Real) -> Real:
    """Specific heat of dry air.

    Units:    temp_c C; returns J/(kg K)
    Range:    temp_c 0 to 350 C; else ValueError
    Source:   dry-air-tables, from memory: a parabola through 1006 (20 C), 1011 (100 C), 1026 (200 C)
    Spread:   0.7 %, as far as its checks TPD15 to TPD17

    >>> round(air_specific_heat_j_kgk(150.0))
    1017
    """
    within("temperature", temp_c, 0, 350, "C")
    return 1005.77 + temp_c * (-0.0025 + temp_c * 5.194e-4)


def radiative_coefficient_w_m2k(surface_c: Real, walls_c: Real, emissivity_view: Real) -> Real:
    """Radiation between a surface and the walls around it, as a film coefficient on their difference.

    Units:    C; emissivity times view 1; returns W/(m2 K)
    Range:    surface_c 0 to 400 C; walls_c 0 to 400 C; emissivity_view 0 to 1; else ValueError
    Source:   Stefan-Boltzmann law (codata-2018): sigma e (Ts + Tw)(Ts^2 + Tw^2)
    Spread:   none of its own: the law of black bodies, linear by definition

    >>> round(radiative_coefficient_w_m2k(100.0, 180.0, 0.9), 1)
    14.5
    """
    within("temperature", surface_c, 0, 400, "C")
    within("temperature", walls_c, 0, 400, "C")
    within("emissivity times view", emissivity_view, 0, 1)
    surface, walls = surface_c + KELVIN, walls_c + KELVIN
    return emissivity_view * STEFAN_BOLTZMANN * (surface + walls) * (surface**2 + walls**2)


def vapour_film_m_s(film_w_m2k: Real, film_c: Real, pressure_pa: Real) -> Real:
    """Mass-transfer coefficient that goes with a heat film, by the Lewis (Chilton-Colburn) analogy.

    Units:    W/(m2 K), of convection alone; C; Pa; returns m/s
    Range:    film_w_m2k 0 to 200 W/(m2 K); film_c 0 to 300 C; pressure_pa 3e4 to 3e5 Pa; else ValueError
    Source:   chilton-colburn-1934: h / (rho cp Le^(2/3)), Le = k / (rho cp D)
    Spread:   not told by its source

    >>> round(vapour_film_m_s(10.0, 120.0, 101325.0), 4)
    0.0123
    """
    within("film coefficient", film_w_m2k, 0, 200, "W/(m2 K)")
    storage = air_density_kg_m3(film_c, pressure_pa) * air_specific_heat_j_kgk(film_c)
    lewis = air_conductivity_w_mk(film_c) / (storage * vapour_diffusivity_m2_s(film_c, pressure_pa))
    return film_w_m2k / (storage * lewis ** (2 / 3))
