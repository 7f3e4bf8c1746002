"""What a piece of dough does in the oven: heat inward, water outward, a crust between.

One body, one coordinate. A wet core conducts heat; in its pores vapour carries heat too. Its surface
gives water off; behind that surface a dried crust grows, through which heat must come in and vapour
go out, so that a moist surface at first, a skin later and a boiling front in the end are one law and
no switch. Any number of cases, each with a time step of its own, go through one call.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import log
from typing import Any

import numpy as np

from assistant.laws import thermal
from assistant.laws.ranges import sure_to, within
from assistant.laws.shape import Block, block_of, equivalent_exponent
from assistant.laws.thermal import KELVIN, STANDARD_PRESSURE_PA, VAPOUR_GAS_CONSTANT, Composition

Array = np.ndarray[Any, np.dtype[np.float64]]

OVENS = ("still", "fan")
Spread = tuple[float, float, float]
"""Low, usual and high."""


@dataclass(frozen=True, slots=True)
class Wall:
    """What the wall of a pan is to heat: how black it is, and what it is made of.

    `heat_j_m3k` is density times specific heat.

    Units:    emissivity 1; thickness mm; conductivity W/(m K); heat J/(m3 K)
    """

    emissivity: Spread
    thickness_mm: Spread
    conductivity_w_mk: float
    heat_j_m3k: float

    def blackness(self, quick: float) -> float:
        """Emissivity of a pan that takes heat as slowly (-1), usually (0) or quickly (1) as its kind may."""
        return float(np.interp(quick, (-1, 0, 1), self.emissivity))

    def thickness_m(self, quick: float) -> float:
        """Thickness of such a pan, m."""
        return float(np.interp(-quick, (-1, 0, 1), self.thickness_mm)) / 1000


WALLS: Mapping[str, Wall] = {
    "none": Wall((0.9, 0.9, 0.9), (0, 0, 0), 1.0, 0.0),
    "bright": Wall((0.25, 0.45, 0.65), (0.5, 0.7, 1.0), 50, 3.6e6),
    "dark": Wall((0.8, 0.9, 0.95), (0.5, 0.7, 1.0), 50, 3.6e6),
    "glass": Wall((0.85, 0.9, 0.95), (4, 5, 7), 1.1, 1.85e6),
    "silicone": Wall((0.85, 0.9, 0.95), (1.5, 2.5, 4), 0.25, 1.5e6),
    "ceramic": Wall((0.85, 0.9, 0.95), (5, 7, 10), 1.3, 1.95e6),
    "cast iron": Wall((0.85, 0.9, 0.95), (4, 5, 6), 50, 3.3e6),
}
"""What a piece stands in: nothing (a sheet or a stone, taken as black), a light tin, a dark or coated one ...

Source: heat-transfer-handbook, from memory: emissivity of polished tin plate and aluminium 0.05-0.2, of used
and oxidised ones 0.2-0.7, of black enamel, glass, glaze, rubber and rusty iron 0.85-0.95 (glass is opaque to
what an oven radiates, beyond 4 um); steel 50 W/(m K), glass 1.1, stoneware 1-1.5, silicone rubber 0.2-0.3.
Thickness is `common practice`."""
FINISHES = tuple(WALLS)


@dataclass(frozen=True, slots=True)
class Priors:
    """What is held of ovens, crusts and crumbs before anything was baked.

    Units:    films W/(m2 K); bare 1 (emissivity of dough and crust); pore_share 1; pore_cap W/(m K);
              residue kg water per kg of solids left in the crust; crust_open 1, of the diffusivity of vapour
              in air; loss_power 1
    Source:   films midway in 7-10 for still air and 20-25 with a fan, 0.9 for bare dough: `common practice`
              (baik-1999 and asb-convection find 20-120 with radiation and faster air). Pores: weakly known,
              between krischer-kast and the white crumb of purlis-2009. The crust's openness is `derived`:
              printed base bakes are then done in their time without raising the film. The power is fitted
              to printed pairs, whole sources left out (0.6-0.7)
    """

    still_film: float = 8.5
    fan_film: float = 22.0
    bare: float = 0.9
    pore_share: float = 0.8
    pore_cap: float = 1.5
    residue: float = 0.03
    crust_open: float = 0.012
    loss_power: float = 0.65

    def film_w_m2k(self, oven: str) -> float:
        """Convective film coefficient of an oven, W/(m2 K)."""
        films = {"still": self.still_film, "fan": self.fan_film}
        if oven not in films:
            raise ValueError(f"an oven is one of {', '.join(OVENS)}, not {oven!r}")
        return films[oven]


PRIORS = Priors()


STEAM_PA: Spread = (20_000.0, 40_000.0, 60_000.0)
"""Vapour in a home oven into which a cup of water was thrown: it would fill the oven several times over, and
leaks. Source: `derived`, 250 g as steam at 200 C is 540 L against 50-70 L of oven; `from memory` that such
ovens are not tight."""


@lru_cache(maxsize=64)
def _boiling_c(pressure_pa: float) -> float:
    """`thermal.boiling_point_c` of an oven: a house has one pressure, and a thousand bakes."""
    return float(thermal.boiling_point_c(pressure_pa))


@dataclass(frozen=True, slots=True)
class Case:
    """One piece of dough in one oven.

    Units:    mass_g g per piece (or per pan); gas_fraction of the volume as it bakes, 1; temperatures C;
              pan_cm length and width, or diameter, cm (empty: the usual one); Pa
    Range:    mass_g 1 to 2e4 g; gas_fraction 0 to 0.9; oven_c 100 to 320 C; start_c -5 to 60 C; pressure_pa
              4e4 to 1.1e5 Pa; vapour_pa 0 to 6e4 Pa; steam_min 0 to 60 min; steam_pa 0 to 6e4 Pa; quick -1 to
              1; dough.water 0.08 to 0.8; else ValueError

    For the first `steam_min` minutes the oven holds steam at `steam_pa`. `quick` says whether its pan is of
    the slow (-1) or the quick (1) ones of its kind.
    """

    mass_g: float
    dough: Composition
    gas_fraction: float
    shape: str
    oven_c: float
    start_c: float = 25.0
    pan_cm: tuple[float, ...] = ()
    finish: str = "none"
    oven: str = "still"
    pressure_pa: float = STANDARD_PRESSURE_PA
    vapour_pa: float = 3_000.0
    steam_min: float = 0.0
    steam_pa: float = STEAM_PA[1]
    quick: float = 0.0

    def __post_init__(self) -> None:
        within("mass of a piece", self.mass_g, 1, 20_000, "g")
        within("gas fraction", self.gas_fraction, 0, 0.9)
        within("oven temperature", self.oven_c, 100, 320, "C")
        within("dough temperature", self.start_c, -5, 60, "C")
        within("air pressure", self.pressure_pa, 40_000, 110_000, "Pa")
        within("vapour pressure in the oven", self.vapour_pa, 0, 60_000, "Pa")
        within("water in the dough", self.dough.water, 0.08, 0.80, "kg/kg")
        PRIORS.film_w_m2k(self.oven)
        within("time with steam", self.steam_min, 0, 60, "min")
        within("steam in the oven", self.steam_pa, 0, 60_000, "Pa")
        within("how quick a pan is of its kind", self.quick, -1, 1)
        if self.finish not in WALLS:
            raise ValueError(f"a pan is one of {', '.join(FINISHES)}, not {self.finish!r}")

    @property
    def boiling_c(self) -> float:
        """Where water boils in its oven, C."""
        return _boiling_c(self.pressure_pa)

    @property
    def block(self) -> Block:
        """Its shape as it bakes."""
        density = float(thermal.density_kg_m3(self.dough, 25.0)) * (1 - self.gas_fraction)
        return block_of(self.shape, self.mass_g / 1000 / density, tuple(cm / 100 for cm in self.pan_cm))


def _gas_ends(midway: float, _: Composition, entering: float, __: float) -> tuple[float, float]:
    leaving = 2 * midway - entering
    return min(entering, leaving), max(entering, leaving)


@sure_to(_gas_ends)
def baking_gas_fraction(dough: Composition, entering: float, specific_volume_ml_g: float) -> float:
    """Gas fraction of a piece as it bakes: midway between what goes in and the crumb that comes out.

    Units:    entering 1 (of the volume at the oven's door); mL per g of the baked piece; returns 1
    Range:    entering 0 to 0.9; specific_volume_ml_g 0.9 to 9 mL/g; else ValueError
    Source:   densities of choi-okos-1986; taking the mean is `common practice`
    Spread:   from what goes in to what comes out, between which it lies
    Not for:  arrays

    >>> muffin = Composition(0.37, 0.06, 0.13, 0.40, 0.02, 0.02)
    >>> round(baking_gas_fraction(muffin, 0.32, 2.3), 2)
    0.48
    """
    within("gas fraction", entering, 0, 0.9)
    within("specific volume", specific_volume_ml_g, 0.9, 9, "mL/g")
    dense = float(thermal.density_kg_m3(dough, 25.0)) / 1000
    leaving = min(max(1 - 1 / (specific_volume_ml_g * dense), 0.0), 0.9)
    return (entering + leaving) / 2


@dataclass(frozen=True, slots=True)
class Rows:
    """Cases as numbers, one place per case: what the solve itself needs.

    Units:    SI, temperatures C. `matrix` are the parabola of the matrix conductivity over temperature,
              shape (3, cases); `open_share` the share of the surface that vapour leaves by;
              `surface_gain` surface over volume of the real shape over that of the body r^m
    """

    half_m: Array
    exponent: Array
    storage_j_m3k: Array
    matrix: Array
    gas_fraction: Array
    pore_share: Array
    pore_cap: Array
    crust_w_mk: Array
    crust_open: Array
    crust_j_kgk: Array  # heat the crust's solids take up, per kg of water gone
    film: Array
    reach: Array  # share of the film that gets through, or more where a tray gathers heat for its cups
    view: Array  # emissivity, the same way
    pan_j_m2k: Array  # heat its pan takes up, over all its surface
    oven_c: Array
    start_c: Array
    pressure_pa: Array
    vapour_pa: Array
    steam_pa: Array
    steam_s: Array
    density: Array
    evaporable: Array  # kg of water that may leave, per m3
    open_share: Array
    surface_gain: Array

    @property
    def count(self) -> int:
        """Number of cases."""
        return int(self.half_m.size)


@dataclass(frozen=True, slots=True)
class Histories:
    """What each case went through; arrays of shape (moments, cases), the first moment is the start.

    Heat is per m3 of the piece as it went in, since the start: `heat` that came in by its surface is
    `kept` in the moist core and its pan, `shed` with what the front leaves behind, or `spent` on evaporation; only
    the start of these where the balance was not asked for.

    Units:    minutes min (each case its own); temperatures C; loss kg/kg of dough; heats J/m3
    """

    minutes: Array
    core_c: Array
    surface_c: Array
    loss: Array
    heat: Array
    kept: Array
    shed: Array
    spent: Array

    @property
    def colour(self) -> Array:
        """Integral of the browning rate of the crust up to each moment, 1."""
        return browned(self.minutes, self.surface_c)


def browned(minutes: Array, surface_c: Array) -> Array:
    """Integral of the browning rate of a crust up to each moment.

    Units:    min and C, of shape (moments, cases); returns 1
    Range:    any history of `march`
    Source:   zanoni-1995: first order, 42000 1/s, 64.151 kJ/mol
    Spread:   not told by its source, as crumb.browning_rate_per_min

    >>> brown = browned(np.array([[0.0], [10.0]]), np.array([[150.0], [150.0]]))
    >>> round(float(brown[-1, 0]), 2)  # 600 s x 42000 exp(-64151 / (8.314 x 423.15)) by hand
    0.3
    """
    rate = 42_000 * np.exp(-64_151 / (thermal.GAS_CONSTANT * (surface_c + KELVIN)))
    steps = np.diff(minutes * 60, axis=0) * (rate[1:] + rate[:-1]) / 2
    return np.concatenate([np.zeros((1, minutes.shape[1])), np.cumsum(steps, axis=0)])


@dataclass(frozen=True, slots=True)
class _Saturation:
    """Water near saturation, fast: tables over 0-120 C in steps of 0.25 K, and an invertible fit."""

    pressure_pa: Array
    carried: Array  # heat that vapour carries in a pore, times (P - psat)
    a: float  # ln psat = a - b / (T + c) through 30, 65 and 100 C, within 0.1 % between
    b: float
    c: float

    def at(self, temp_c: Array) -> Array:
        """Places of temperatures in the tables."""
        return np.minimum(np.maximum(temp_c * 4, 0), self.pressure_pa.size - 1).astype(np.intp)


@cache
def _saturation() -> _Saturation:
    temps = np.arange(0.0, 120.01, 0.25)
    flow = thermal.vapour_diffusivity_m2_s(temps, STANDARD_PRESSURE_PA) * STANDARD_PRESSURE_PA
    flow = flow / (VAPOUR_GAS_CONSTANT * (temps + KELVIN))
    carried = thermal.latent_heat_j_kg(temps) * thermal.saturation_slope_pa_k(temps) * flow
    low, middle, high = (log(float(thermal.saturation_pressure_pa(t))) for t in (30.0, 65.0, 100.0))
    bend = (middle - low) / (high - middle)
    c = (bend * 30 - 100) / (1 - bend)
    b = (high - low) * (30 + c) * (100 + c) / 70
    return _Saturation(thermal.saturation_pressure_pa(temps), carried, low + b / (30 + c), b, c)


@dataclass(frozen=True, slots=True)
class _Grid:
    """Shells of the moist core over its radius, finer towards the front; per case where m matters."""

    cells: int
    volume: Array  # of each shell over r^(m+1)
    inside: Array  # of all within each outer face
    area: Array  # of each outer face over the distance between its nodes
    weight: Array  # of the outer node in the temperature of a face
    middle: float  # extrapolates the two inmost nodes to the centre

    @classmethod
    def of(cls, exponent: Array, cells: int) -> "_Grid":
        faces = 1 - (1 - np.arange(cells + 1) / cells) ** 1.3
        nodes = np.append((faces[1:] + faces[:-1]) / 2, 1.0)
        gaps = np.diff(nodes)
        m = exponent[:, None]
        inside = faces[None, :] ** (m + 1) / (m + 1)
        middle = float(nodes[0] ** 2 / (nodes[1] ** 2 - nodes[0] ** 2))
        weight = (faces[1:] - nodes[:-1]) / gaps
        return cls(cells, np.diff(inside, axis=1), inside[:, 1:], faces[None, 1:] ** m / gaps, weight, middle)

    def swept(self, temp_c: Array) -> Array:
        """What each shell hands outward when the front moves in by a unit of volume, K."""
        face = temp_c[:, :-1] * (1 - self.weight) + temp_c[:, 1:] * self.weight
        face *= self.inside
        face[:, 1:] -= face[:, :-1].copy()
        return face


def _crumb_w_mk(rows: Rows, temp_c: Array, water: _Saturation) -> Array:
    """Conductivity of the moist crumb at each node: matrix, air and vapour in its pores."""
    at = water.at(temp_c)
    room = rows.pressure_pa[:, None] - water.pressure_pa[at]
    vapour = rows.pore_share[:, None] * water.carried[at]
    vapour /= np.maximum(room, 0.003 * rows.pressure_pa[:, None])
    pore = vapour / (1 + vapour / rows.pore_cap[:, None])
    pore += _AIR_W_MK[0] + _AIR_W_MK[1] * temp_c
    solid = rows.matrix[2][:, None] * temp_c
    solid += rows.matrix[1][:, None]
    solid *= temp_c
    solid += rows.matrix[0][:, None]
    total = 2 * solid + pore
    lack = rows.gas_fraction[:, None] * (solid - pore)
    return np.asarray(solid * (total - 2 * lack) / (total + lack))


_AIR_W_MK = (0.0243, 7.4e-5)
"""Conductivity of air, W/(m K), as a line over 20-100 C: within 1 % of `air_conductivity_w_mk`."""

_LEAST_PA = 700.0
"""The front's vapour pressure does not fall below that of water at 2 C."""
_RAMP = 1.5
"""Moments up to the horizon go as (step / steps) ^ ramp: short steps first."""


def prepare() -> None:
    """Load what the first bake needs (about 0.2 s), so that it need not wait in a conversation."""
    import scipy.linalg.lapack  # noqa: F401

    _saturation()


def _pace(step: int, steps: int) -> float:
    """A step's share of the horizon."""
    upto = min(step, steps)
    return float((upto / steps) ** _RAMP - ((upto - 1) / steps) ** _RAMP)


def march(
    rows: Rows,
    horizon_s: Array,
    done: Callable[[Array, Array, Array], bool],
    steps: int = 48,
    cells: int = 12,
    most: float = 4.0,
    evaporates: bool = True,
    conducts: Callable[[Array], Array] | None = None,
    heats: bool = False,
) -> Histories:
    """Bake all cases side by side until `done`, at most about `most` horizons.

    Finite volumes in the moist core, whose outer face is the drying front and moves inward; implicit in
    time, of second order (BDF2 with a variable step); what moves with temperature and front is taken as it will
    be, from the step before; the front's balance of heat and vapour is solved within each step. All cases are one symmetric tridiagonal system. The crust holds no heat of its
    own beyond what its drying took up; a pan is as warm as the front.

    Units:    horizon_s s per case, reached in `steps` steps, short ones first
    Range:    cells 4 to 200; steps 10 to 2000; most 1 to 100; refused too: a horizon outside 1 to 2e5 s; else
              ValueError
    Source:   heat balance `derived`; crust and front after purlis-2009; vapour by the Stefan law through
              the film (chilton-colburn-1934) and the crust
    Spread:   as bake.predict, which moves what is weakly known

    `done` is asked with time (s), core (C) and loss (kg/kg), first at the horizon; `conducts` replaces
    the conductivity (W/(m K) at each node's temperature); with `heats` the balance of heat is kept too.

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> rows = rows_of([Case(60, lean, 0.7, "roll", 200)])
    >>> track = march(rows, np.array([840.0]), lambda *_: True)
    >>> round(float(track.minutes[-1, 0]), 6)
    14.0
    """
    from scipy.linalg.lapack import dptsv

    within("cells", cells, 4, 200)
    within("steps", steps, 10, 2000)
    within("the horizon", horizon_s, 1, 2e5, "s")
    within("horizons at most", most, 1, 100)
    water, grid = _saturation(), _Grid.of(rows.exponent, cells)
    n, count, m = cells, rows.count, rows.exponent
    film_c = (rows.oven_c + 90) / 2
    walls_k = rows.oven_c + KELVIN
    radiant = rows.view * thermal.STEFAN_BOLTZMANN
    reaching = rows.film * rows.reach
    vapour_film = thermal.vapour_film_m_s(rows.film, film_c, rows.pressure_pa) * rows.open_share
    through = thermal.vapour_diffusivity_m2_s(110.0, rows.pressure_pa) * rows.crust_open
    vapour_kg_m3 = rows.pressure_pa / (VAPOUR_GAS_CONSTANT * (film_c + KELVIN))
    superheat = thermal.VAPOUR_CP_J_KGK + rows.crust_j_kgk
    per_dough = rows.surface_gain / rows.density

    temp = np.repeat(rows.start_c[:, None].astype(float), n + 1, axis=1)
    temp_before = temp
    spread = np.empty((count, n + 1))
    surface = temp[:, n].copy()
    left = np.ones(count)  # volume of the moist core over the first volume
    left_now = left_before = left
    flow = zero = np.zeros(count)
    gone = gone_before = zero
    totals = totals_before = np.zeros((3, count))  # heat, shed, spent
    start = kept = rows.storage_j_m3k * rows.start_c
    off, diagonal = np.zeros((count, n + 1)), np.empty((count, n + 1))
    rhs = np.zeros((2, count, n + 1))
    rhs[1, :, n] = 1.0
    time_s, pace_before = zero, 1.0
    keep = [(time_s, temp[:, 0], surface, gone)]
    balance = [(zero, zero, zero, zero)]
    for step in range(1, int(steps * most) + 1):
        pace = _pace(step, steps)
        dt = horizon_s * pace
        grow = 0.0 if step == 1 else pace / pace_before
        pace_before = pace
        lead = (1 + 2 * grow) / (1 + grow)
        recent, older = (1 + grow) / lead, grow**2 / (1 + grow) / lead
        dt = dt / lead
        if conducts is not None:
            spread = conducts(temp)
        elif step < 6 or step % 2:
            ahead = grow if step < 5 else 1.5 * grow  # from the fifth step on it serves two
            spread = _crumb_w_mk(rows, temp + ahead * (temp - temp_before), water)

        # the crust: what heat and vapour pass on their way
        narrow = left ** (1 / (m + 1))
        front_m = rows.half_m * narrow
        widen = narrow**-m  # surface over front
        crust_m = (rows.half_m - front_m) * 2 / (1 + widen)
        surface_k = surface + KELVIN
        radiation = radiant * (surface_k + walls_k) * (surface_k**2 + walls_k**2)
        resist = crust_m / rows.crust_w_mk
        passes = 1 / (1 / ((reaching + radiation) * widen) + resist)
        scale = dt / (rows.storage_j_m3k * front_m)
        strength = passes * scale
        pan = rows.pan_j_m2k * widen / (rows.storage_j_m3k * front_m)

        # the moist core: one implicit step, and its answer to a unit of heat taken at the front
        between = spread[:, :-1] + spread[:, 1:]
        between *= (0.5 * scale / front_m)[:, None]
        np.multiply(grid.area, between, out=off[:, :-1])
        diagonal[:, :-1] = grid.volume + off[:, :-1]
        diagonal[:, 1:-1] += off[:, :-2]
        diagonal[:, n] = off[:, n - 1] + strength + pan
        moved = recent * left_now - older * left_before - left
        swept = grid.swept(temp)
        held = (
            recent * (left_now / left)[:, None] * temp[:, :-1]
            - older * (left_before / left)[:, None] * temp_before[:, :-1]
        )
        held *= grid.volume
        held -= swept * (moved / left)[:, None]
        rhs[0, :, :n] = held
        rhs[0, :, n] = strength * rows.oven_c + pan * (recent * temp[:, n] - older * temp_before[:, n])
        _, _, both, info = dptsv(diagonal.ravel(), -off.ravel()[:-1], rhs.reshape(2, -1).T, overwrite_e=1)
        if info:
            raise ArithmeticError("the heat balance of a step has no solution")
        resting, answer = both.T.reshape(2, count, n + 1)
        temp_before, left_before, left_now = temp, left_now, left
        per_volume = (m + 1) / rows.half_m * narrow**m  # front over first volume
        if evaporates:
            head = rows.pressure_pa - np.where(time_s < rows.steam_s, rows.steam_pa, rows.vapour_pa)
            latent = 2.5009e6 - 2386 * temp[:, n] + superheat * np.maximum(surface - temp[:, n], 0)
            drop = answer[:, n] * latent * scale  # K per kg/(m2 s)
            conduct = vapour_kg_m3 / (1 / (vapour_film * widen) + crust_m / through)
            least = conduct * np.log(head / (rows.pressure_pa - _LEAST_PA))
            flow = np.maximum(flow, least)
            for _ in range(6 if step < 6 else 2):
                fall = np.exp(-flow / conduct) * head
                under = rows.pressure_pa - fall  # vapour pressure at the front
                gap = water.a - np.log(under)
                miss = resting[:, n] - drop * flow - (water.b / gap - water.c)
                flow = np.maximum(flow + miss / (drop + water.b / (gap * gap * under) * fall / conduct), least)
            flow = np.minimum(flow, 0.25 * left * rows.evaporable / (per_volume * dt))
            temp = resting - answer * (latent * scale * flow)[:, None]
        else:
            latent = zero
            temp = resting.copy()

        into = passes * (rows.oven_c - temp[:, n])
        surface = temp[:, n] + into * resist
        rate = per_volume * dt
        gone, gone_before = recent * gone - older * gone_before + flow * rate, gone
        moist = 1 - np.maximum(gone, 0) / rows.evaporable
        going = (gone - gone_before) / rows.evaporable * (_pace(step + 1, steps) / pace)
        left = np.minimum(np.maximum(moist - np.minimum(going, moist / 4), 1e-3), left)
        time_s = time_s + horizon_s * pace
        core = temp[:, 0] - (temp[:, 1] - temp[:, 0]) * grid.middle
        keep.append((time_s, core, surface, gone))
        if heats:
            shed = moved * rows.storage_j_m3k * (m + 1) * swept.sum(axis=1)
            came = np.array([into * rate, shed, latent * flow * rate])
            totals, totals_before = recent * totals - older * totals_before + came, totals
            kept = rows.storage_j_m3k * (m + 1) * left_now * (grid.volume * temp[:, :-1]).sum(axis=1)
            kept = kept + (m + 1) / rows.half_m * rows.pan_j_m2k * (temp[:, n] - rows.start_c)
            balance.append((totals[0], kept - start, totals[1], totals[2]))
        if step >= steps and step % 2 == 0 and done(time_s, core, gone * per_dough):
            break
    moments, cores, surfaces, losses = (np.array(series) for series in zip(*keep, strict=True))
    kinds = (np.array(series) for series in zip(*balance, strict=True))
    return Histories(moments / 60, cores, surfaces, losses * per_dough, *kinds)


def rows_of(cases: Sequence[Case], priors: Priors = PRIORS) -> Rows:
    """The numbers the solve needs, from pieces of dough and what is held of ovens.

    Units:    SI
    Range:    refused too: no case; else ValueError
    Source:   thermal laws (choi-okos-1986, maxwell-eucken) at 60 C for storage, through 20, 60 and 100 C for
              conduction, at 120 C for crust
    Spread:   as bake.predict, which moves what is weakly known
    """
    if not cases:
        raise ValueError("no dough to bake")

    def each(value: Callable[[Case], float]) -> Array:
        return np.array([value(case) for case in cases], dtype=float)

    dough = Composition(*(np.array([case.dough.parts[at] for case in cases], dtype=float) for at in range(6)))
    gas, oven, start = each(lambda c: c.gas_fraction), each(lambda c: c.oven_c), each(lambda c: c.start_c)
    low, middle, high = (thermal.conductivity_w_mk(dough, temp) for temp in (20.0, 60.0, 100.0))
    bend = (high - 2 * middle + low) / 3200
    tilt = (high - low) / 80 - bend * 120
    matrix = np.array([low - tilt * 20 - bend * 400, tilt, bend])
    dense = thermal.density_kg_m3(dough, 60.0)
    density = dense * (1 - gas)
    solids = 1 - dough.water
    evaporable_share = dough.water - priors.residue * solids
    dry = dough.dried(np.full(len(cases), priors.residue / (1 + priors.residue)))
    voids = gas + (1 - gas) * evaporable_share * dense / thermal.component_density_kg_m3("water", 60.0)
    crust = thermal.porous_conductivity_w_mk(
        thermal.conductivity_w_mk(dry, 120.0), thermal.air_conductivity_w_mk(120.0), np.minimum(voids, 0.98)
    )
    film = each(lambda c: priors.film_w_m2k(c.oven))
    blocks = [case.block for case in cases]
    bare, gathers = (np.array([getattr(b, name) for b in blocks]) for name in ("open_share", "gathers"))
    black = each(lambda c: WALLS[c.finish].blackness(c.quick))
    thick = each(lambda c: WALLS[c.finish].thickness_m(c.quick))
    radiant = thermal.radiative_coefficient_w_m2k(np.minimum(95.0, oven), oven, 1.0)
    outside = film + black * radiant
    resist = thick / each(lambda c: WALLS[c.finish].conductivity_w_mk)
    by_pan = (1 - bare) * gathers / (1 + gathers * outside * resist)
    reach, view = bare + by_pan, bare * priors.bare + by_pan * black
    walls = film * reach + view * radiant
    half = np.array([block.half_thickness_m for block in blocks])
    left = np.clip((oven - 95) / (oven - np.maximum(start, 0)), 0.05, 0.95)
    exponent = np.array(
        [
            equivalent_exponent(block, round(float(h), 1), 0.5, round(float(rest), 2))
            for block, h, rest in zip(blocks, walls, left, strict=True)
        ]
    )
    gain = np.array([block.surface_per_volume for block in blocks]) * half / (exponent + 1)
    ones = np.ones(len(cases))
    return Rows(
        half_m=half,
        exponent=exponent,
        storage_j_m3k=density * thermal.specific_heat_j_kgk(dough, 60.0),
        matrix=matrix,
        gas_fraction=gas,
        pore_share=priors.pore_share * ones,
        pore_cap=priors.pore_cap * ones,
        crust_w_mk=crust,
        crust_open=priors.crust_open * ones,
        crust_j_kgk=0.5 * solids / evaporable_share * thermal.specific_heat_j_kgk(dry, 110.0),
        film=film,
        reach=reach,
        view=view,
        pan_j_m2k=(1 - bare) * gathers * thick * each(lambda c: WALLS[c.finish].heat_j_m3k),
        oven_c=oven,
        start_c=start,
        pressure_pa=each(lambda c: c.pressure_pa),
        vapour_pa=each(lambda c: min(c.vapour_pa, 0.9 * c.pressure_pa)),
        steam_pa=each(lambda c: min(c.steam_pa, 0.9 * c.pressure_pa)),
        steam_s=60 * each(lambda c: c.steam_min),
        density=density,
        evaporable=density * evaporable_share,
        open_share=bare,
        surface_gain=gain,
    )


def solve(cases: Sequence[Case], minutes: float | Sequence[float], priors: Priors = PRIORS) -> Histories:
    """Bake pieces side by side, for one time or each for its own.

    Units:    minutes min
    Range:    minutes[*] 0.5 to 600 min; refused too: no case, another number of times than of pieces; else
              ValueError
    Source:   `march`
    Spread:   as bake.predict, which moves what is weakly known

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> track = solve([Case(60, lean, 0.7, "roll", 200), Case(60, lean, 0.7, "roll", 180)], [14, 18])
    >>> track.minutes[-1].round(6).tolist()
    [14.0, 18.0]
    """
    rows = rows_of(cases, priors)
    times = np.asarray(minutes, dtype=float)
    if times.ndim and times.size != rows.count:
        raise ValueError(f"{rows.count} pieces need as many times in the oven, not {times.size}")
    within("time in the oven", times, 0.5, 600, "min")
    return march(rows, np.broadcast_to(60.0 * times, (rows.count,)), lambda *_: True, heats=True)


def end_states(
    cases: Sequence[Case], minutes: Sequence[float], film_factor: float = 1.0, priors: Priors = PRIORS
) -> tuple[tuple[float, float], ...]:
    """Core temperature and bake loss of pieces that each come out after a time of their own.

    Units:    min per case; film_factor 1 (Prediction); returns C and % of dough mass for each
    Range:    minutes[*] 0.5 to 600 min; film_factor 1 to 3; refused too: no case, another number of times
              than of pieces; else ValueError
    Source:   `march`
    Spread:   as bake.predict, which moves what is weakly known

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> ((core_c, loss_pct),) = end_states([Case(60, lean, 0.7, "roll", 200)], [16.0], 1.0)
    >>> core_c > 90, loss_pct < 20
    (True, True)
    """
    if len(minutes) != len(cases):
        raise ValueError(f"{len(cases)} pieces need as many times, not {len(minutes)}")
    for time_min in minutes:
        within("time in the oven", time_min, 0.5, 600, "min")
    within("film factor", film_factor, 1.0, 3.0)
    rows = rows_of(cases, priors)
    rows = replace(rows, film=rows.film * film_factor)
    history = march(rows, 60 * np.array(minutes, dtype=float), lambda *_: True)
    ends = zip(history.core_c[-1], 100 * history.loss[-1], strict=True)
    return tuple((float(core_c), float(loss_pct)) for core_c, loss_pct in ends)
