"""What height above the sea does to a bake: thinner air, earlier boiling, larger gas."""

from dataclasses import dataclass

import numpy as np

from assistant.laws import thermal
from assistant.laws.ranges import lesser, margin, share, sure_to, within
from assistant.laws.thermal import STANDARD_PRESSURE_PA, Real

_EARTH_M = 6_356_766.0
_GRAVITY = 9.80665
_AIR_GAS_CONSTANT = 287.05287
_LAPSE = 0.0065
_SEA_K = 288.15
MARGIN_C = 1.5
"""How far under the boiling point a core can be asked to go. Source: common practice."""
WEATHER_C = 0.5
"""How far the weather moves the boiling point. Source: common practice."""


@sure_to(share(0.02))
def pressure_pa(altitude_m: Real) -> Real:
    """Air pressure of the standard atmosphere.

    Units:    m above the sea; returns Pa
    Range:    altitude_m -450 to 6000 m; else ValueError
    Source:   icao-7488 (same as ISO 2533 and us-atmosphere-1976 here)
    Spread:   2 %, by the weather (common-practice); none in the standard atmosphere

    >>> round(pressure_pa(1900.0))
    80493
    """
    within("altitude", altitude_m, -450, 6000, "m")
    height = _EARTH_M * altitude_m / (_EARTH_M + altitude_m)
    exponent = _GRAVITY / (_AIR_GAS_CONSTANT * _LAPSE)
    return STANDARD_PRESSURE_PA * (1 - _LAPSE * height / _SEA_K) ** exponent


@sure_to(margin(WEATHER_C))
def boiling_point_c(altitude_m: Real) -> Real:
    """Temperature at which water boils in the standard atmosphere.

    Units:    m; returns C
    Range:    as pressure_pa; else ValueError
    Source:   icao-7488 with iapws-sr1-86
    Spread:   0.5 C, by the weather (common-practice); none in the standard atmosphere

    >>> round(float(boiling_point_c(1900.0)), 1)
    93.7
    """
    return thermal.boiling_point_c(pressure_pa(altitude_m))


@sure_to(share(0.02))
def gas_expansion(altitude_m: Real) -> Real:
    """Volume of a given amount of gas against its volume at the sea, at one temperature.

    Units:    m; returns 1
    Range:    as pressure_pa; else ValueError
    Source:   ideal gas law with icao-7488
    Spread:   2 %, as pressure_pa

    >>> round(gas_expansion(1900.0), 2)
    1.26
    """
    return STANDARD_PRESSURE_PA / pressure_pa(altitude_m)


def _target_ends(_: Real, sea_level_c: Real, altitude_m: Real) -> tuple[Real, Real]:
    most = boiling_point_c(altitude_m) - MARGIN_C
    return lesser(sea_level_c, most - WEATHER_C), lesser(sea_level_c, most + WEATHER_C)


@sure_to(_target_ends)
def core_target_c(sea_level_c: Real, altitude_m: Real) -> Real:
    """Core temperature that says done at an altitude: the target, or just under boiling if that is lower.

    Not the target less the fall of the boiling point: starch and egg set at the same temperature anywhere.

    Units:    C; m; returns C
    Range:    sea_level_c 50 to 105 C; altitude_m -450 to 6000 m; else ValueError
    Source:   common-practice: the smaller of the target and the boiling point less 1.5 C
    Spread:   as boiling_point_c, where that is what sets it

    >>> round(float(core_target_c(96.0, 1900.0)), 1), core_target_c(88.0, 1900.0)
    (92.2, 88.0)
    """
    within("core target", sea_level_c, 50, 105, "C")
    return lesser(sea_level_c, boiling_point_c(altitude_m) - MARGIN_C)


@sure_to(share(0.03))
def powder_share(altitude_m: Real, from_altitude_m: Real = 0.0) -> Real:
    """Share of the chemical leavening that gives the same volume of gas at another altitude.

    Units:    m; returns 1
    Range:    altitude_m -450 to 6000 m; from_altitude_m -450 to 6000 m; else ValueError
    Source:   ideal gas law with icao-7488; printed tables cut 12-25 % where it gives 10-23 %
    Spread:   3 %, as pressure_pa at both heights

    >>> round(powder_share(1900.0), 2)
    0.79
    """
    return pressure_pa(altitude_m) / pressure_pa(from_altitude_m)


def flash_share(altitude_m: Real, oven_c: float = 177.0) -> Real:
    """How much faster a wet surface gives off water than at the sea, at the same oven temperature.

    The front that boils off stands colder, so the oven drives it harder: (oven - boiling) / (oven - 100).

    Units:    m; oven_c C; returns 1
    Range:    altitude_m -450 to 6000 m; oven_c 120 to 320 C; else ValueError
    Source:   heat balance of the drying front, `derived`
    Spread:   not told by its source

    >>> round(float(flash_share(1900.0)), 2)
    1.08
    """
    within("oven temperature", oven_c, 120, 320, "C")
    return (oven_c - boiling_point_c(altitude_m)) / (oven_c - boiling_point_c(0.0))


def water_lost_more(altitude_m: Real, from_altitude_m: Real, oven_c: float, loss_g: Real) -> Real:
    """Water that a bake loses beyond what it loses at another altitude, in the same oven and time.

    Units:    m; oven_c C; loss_g g, at `from_altitude_m`; returns g, less than 0 lower down
    Range:    as flash_share; from_altitude_m -450 to 6000 m; loss_g 0 to 1e6 g; else ValueError
    Source:   heat balance of the drying front, `derived`
    Spread:   not told by its source, as flash_share

    >>> round(float(water_lost_more(1900.0, 0.0, 177.0, 100.0)), 1)
    8.2
    """
    within("bake loss", loss_g, 0, 1e6, "g")
    return loss_g * (flash_share(altitude_m, oven_c) / flash_share(from_altitude_m, oven_c) - 1)


Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Adjustment:
    """Printed advice for an altitude, against the sea: what to change and by how much; None is not spoken of.

    Units:    powder_share 1 of the powder at the sea; sugar_share 1; liquid_share 1; oven_change_c C;
              each low and high. `says` is what is printed without a figure, `sources` where
    """

    powder_share: Span | None = None
    sugar_share: Span | None = None
    liquid_share: Span | None = None
    oven_change_c: Span | None = None
    says: str = ""
    sources: tuple[str, ...] = ()


_BAND_M = (914.4, 1524.0, 2133.6)  # 3000, 5000, 7000 ft
_POWDER_CUT = ((0.125, 0.125), (0.125, 0.25), (0.25, 0.25))  # tsp per tsp
_SUGAR_CUT = ((0.0, 1.0), (0.0, 2.0), (1.0, 3.0))  # tbsp per cup
_LIQUID_RISE = ((1.0, 2.0), (2.0, 4.0), (2.0, 4.0))  # tbsp per cup
_OVEN_RISE_C = (15.0 / 1.8, 25.0 / 1.8)
_TBSP_PER_CUP = 16.0
_ABOVE_3000_FT = {
    "quick bread": Adjustment(powder_share=(0.75, 0.75), sources=("utah-extension-altitude",)),
    "cookie": Adjustment(
        powder_share=(0.75, 0.88), oven_change_c=_OVEN_RISE_C, says="a little less sugar; often little need change",
        sources=("colorado-extension-altitude",),
    ),
    "foam cake": Adjustment(
        oven_change_c=_OVEN_RISE_C, says="less sugar; beat the whites to a soft peak only",
        sources=("colorado-extension-altitude",),
    ),
    "yeast bread": Adjustment(
        says="it rises faster: stop at double, with less yeast or one rise more; more liquid if the flour is dry",
        sources=("utah-extension-altitude", "wyoming-extension-altitude"),
    ),
}  # fmt: skip
"""Printed for 3,000 ft and all above."""
PRINTED_TABLES = ("cake", *_ABOVE_3000_FT)


def printed_adjustment(altitude_m: float, table: str = "cake") -> Adjustment | None:
    """What extension tables print for an altitude, between their rows; None below 3,000 ft, where they change
    nothing.

    Units:    m; returns shares of the sea-level amounts
    Range:    altitude_m -450 to 3500 m (tables end at 7,000 ft, whose row is carried that far); table one of
              PRINTED_TABLES; else ValueError
    Source:   cakes: wyoming-extension-altitude, utah-extension-altitude: 3,000, 5,000 and 7,000 ft; the others
              the same and, from memory, colorado-extension-altitude
    Spread:   returned: low and high of each, as the tables print them

    >>> printed_adjustment(500.0) is None
    True
    >>> tuple(round(share, 2) for share in printed_adjustment(1900.0).powder_share)
    (0.75, 0.8)
    >>> printed_adjustment(1900.0, "quick bread").powder_share
    (0.75, 0.75)
    """
    within("altitude", altitude_m, -450, 3500, "m")
    if table not in PRINTED_TABLES:
        raise ValueError(f"a printed table is one of {', '.join(PRINTED_TABLES)}, not {table!r}")
    if altitude_m < _BAND_M[0]:
        return None
    if table != "cake":
        return _ABOVE_3000_FT[table]

    def between(rows: tuple[Span, ...]) -> Span:
        low = float(np.interp(altitude_m, _BAND_M, [row[0] for row in rows]))
        return low, float(np.interp(altitude_m, _BAND_M, [row[1] for row in rows]))

    powder, sugar, liquid = between(_POWDER_CUT), between(_SUGAR_CUT), between(_LIQUID_RISE)
    return Adjustment(
        powder_share=(1 - powder[1], 1 - powder[0]),
        sugar_share=(1 - sugar[1] / _TBSP_PER_CUP, 1 - sugar[0] / _TBSP_PER_CUP),
        liquid_share=(1 + liquid[0] / _TBSP_PER_CUP, 1 + liquid[1] / _TBSP_PER_CUP),
        oven_change_c=_OVEN_RISE_C,
        sources=("wyoming-extension-altitude", "utah-extension-altitude"),
    )
