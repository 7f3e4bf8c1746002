"""What a piece of dough does in the oven: heat inward, water outward, a crust between.

One body, one coordinate. A wet core conducts heat; in its pores vapour carries heat too. Its surface
gives water off; behind that surface a dried crust grows, through which heat must come in and vapour
go out, so that a moist surface at first, a skin later and a boiling front in the end are one law and
no switch. Any number of cases, each with a time step of its own, go through one call.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import hypot, log
from typing import Any

import numpy as np

from assistant.laws import thermal
from assistant.laws.ranges import within
from assistant.laws.shape import Block, block_of, equivalent_exponent
from assistant.laws.thermal import KELVIN, STANDARD_PRESSURE_PA, VAPOUR_GAS_CONSTANT, Composition

Array = np.ndarray[Any, np.dtype[np.float64]]

OVENS = ("still", "fan")
FINISHES = ("none", "bright", "dark", "glass")
"""What a piece stands in: nothing (a sheet or a stone), a bright tin, a dark or coated tin, glass."""


@dataclass(frozen=True, slots=True)
class Priors:
    """What is held of ovens, crusts and crumbs before anything was baked.

    Units:    films W/(m2 K); views 1 (emissivity times view); pore_share 1; pore_cap W/(m K); residue kg
              water per kg of solids left in the crust; crust_open 1, of the diffusivity of vapour in air;
              loss_power 1
    Source:   films midway in 7-10 for still air and 20-25 with a fan, views 0.9 bare and 0.6 in a bright
              tin: `common practice` (baik-1999 and asb-convection find 20-120 with radiation and faster
              air). Pores: weakly known, between krischer-kast and the white crumb of purlis-2009. The
              crust's openness is `derived`: printed base bakes are then done in their time without
              raising the film. The power is fitted to printed pairs, whole sources left out (0.6-0.7)
    """

    still_film: float = 8.5
    fan_film: float = 22.0
    view_none: float = 0.9
    view_bright: float = 0.6
    view_dark: float = 0.85
    view_glass: float = 0.8
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

    def view(self, finish: str) -> float:
        """Emissivity times view of what a piece stands in, 1."""
        views = {"none": self.view_none, "bright": self.view_bright, "dark": self.view_dark,
                 "glass": self.view_glass}  # fmt: skip
        if finish not in views:
            raise ValueError(f"a pan's finish is one of {', '.join(FINISHES)}, not {finish!r}")
        return views[finish]


PRIORS = Priors()


@dataclass(frozen=True, slots=True)
class Case:
    """One piece of dough in one oven.

    Units:    mass_g g per piece (or per pan); gas_fraction of the volume as it bakes, 1; temperatures C;
              pan_cm length and width, or diameter, cm (empty: the usual one); Pa
    Range:    1 g to 20 kg; gas 0 to 0.9; start -5 to 60 C; oven 100 to 320 C; 40 to 110 kPa;
              vapour_pa 0 to 60 kPa; water 8 to 80 % of the dough; else ValueError
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

    def __post_init__(self) -> None:
        within("mass of a piece", self.mass_g, 1, 20_000, "g")
        within("gas fraction", self.gas_fraction, 0, 0.9)
        within("oven temperature", self.oven_c, 100, 320, "C")
        within("dough temperature", self.start_c, -5, 60, "C")
        within("air pressure", self.pressure_pa, 40_000, 110_000, "Pa")
        within("vapour pressure in the oven", self.vapour_pa, 0, 60_000, "Pa")
        within("water in the dough", self.dough.water, 0.08, 0.80, "kg/kg")
        PRIORS.film_w_m2k(self.oven)
        PRIORS.view(self.finish)

    @property
    def boiling_c(self) -> float:
        """Where water boils in its oven, C."""
        return float(thermal.boiling_point_c(self.pressure_pa))

    @property
    def block(self) -> Block:
        """Its shape as it bakes."""
        density = float(thermal.density_kg_m3(self.dough, 25.0)) * (1 - self.gas_fraction)
        return block_of(self.shape, self.mass_g / 1000 / density, tuple(cm / 100 for cm in self.pan_cm))


def baking_gas_fraction(dough: Composition, entering: float, specific_volume_ml_g: float) -> float:
    """Gas fraction of a piece as it bakes: midway between what goes in and the crumb that comes out.

    Units:    entering 1 (of the volume at the oven's door); mL per g of the baked piece; returns 1
    Range:    entering 0 to 0.9; 0.9 to 9 mL/g; else ValueError
    Source:   densities of choi-okos-1986; taking the mean is `common practice`

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
    view: Array
    oven_c: Array
    start_c: Array
    pressure_pa: Array
    vapour_pa: Array
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
    `kept` in the moist core, `shed` with what the front leaves behind, or `spent` on evaporation.

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
        """Integral of the browning rate of the crust up to each moment, 1.

        Source: zanoni-1995: first order, 42000 1/s, 64.151 kJ/mol
        """
        rate = 42_000 * np.exp(-64_151 / (thermal.GAS_CONSTANT * (self.surface_c + KELVIN)))
        steps = np.diff(self.minutes * 60, axis=0) * (rate[1:] + rate[:-1]) / 2
        return np.concatenate([np.zeros((1, self.minutes.shape[1])), np.cumsum(steps, axis=0)])


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
        return np.clip(temp_c * 4, 0, self.pressure_pa.size - 1).astype(np.intp)


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

_RAMP = 1.5
"""Moments up to the horizon go as (step / steps) ^ ramp: short steps first."""


def prepare() -> None:
    """Load what the first bake needs (about 0.2 s), so that it need not wait in a conversation."""
    import scipy.linalg.lapack  # noqa: F401

    _saturation()


def march(
    rows: Rows,
    horizon_s: Array,
    done: Callable[[Array, Array, Array], bool],
    steps: int = 110,
    cells: int = 12,
    most: float = 4.0,
    evaporates: bool = True,
    conducts: Callable[[Array], Array] | None = None,
) -> Histories:
    """Bake all cases side by side until `done`, at most about `most` horizons.

    Finite volumes in the moist core, whose outer face is the drying front and moves inward; implicit in
    time, of second order (BDF2 with a variable step); the front's balance of heat and vapour is solved
    within each step. All cases are one symmetric tridiagonal system. The crust holds no heat of its
    own beyond what its drying took up.

    Units:    horizon_s s per case, reached in `steps` steps, short ones first
    Range:    cells 4 or more, steps 10 or more; else ValueError
    Source:   heat balance `derived`; crust and front after purlis-2009; vapour by the Stefan law through
              the film (chilton-colburn-1934) and the crust

    `done` is asked with time (s), core (C) and loss (kg/kg), first at the horizon; `conducts` replaces
    the conductivity (W/(m K) at each node's temperature).
    """
    from scipy.linalg.lapack import dptsv

    within("cells", cells, 4, 200)
    within("steps", steps, 10, 100_000)
    water, grid = _saturation(), _Grid.of(rows.exponent, cells)
    n, count, m = cells, rows.count, rows.exponent
    film_c = (rows.oven_c + 90) / 2
    walls_k = rows.oven_c + KELVIN
    radiant = rows.view * thermal.STEFAN_BOLTZMANN
    vapour_film = thermal.vapour_film_m_s(rows.film, film_c, rows.pressure_pa) * rows.open_share
    through = thermal.vapour_diffusivity_m2_s(110.0, rows.pressure_pa) * rows.crust_open
    vapour_kg_m3 = rows.pressure_pa / (VAPOUR_GAS_CONSTANT * (film_c + KELVIN))
    head = rows.pressure_pa - rows.vapour_pa
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
    keep = [(time_s, temp[:, 0], surface, gone, totals[0], zero, totals[1], totals[2])]
    for step in range(1, int(steps * most) + 1):
        upto = min(step, steps)
        pace = (upto / steps) ** _RAMP - ((upto - 1) / steps) ** _RAMP
        dt = horizon_s * pace
        grow = 0.0 if step == 1 else pace / pace_before
        pace_before = pace
        lead = (1 + 2 * grow) / (1 + grow)
        recent, older = (1 + grow) / lead, grow**2 / (1 + grow) / lead
        dt = dt / lead
        if conducts is not None:
            spread = conducts(temp)
        elif step < 6 or step % 2:
            spread = _crumb_w_mk(rows, temp, water)

        # the crust: what heat and vapour pass on their way
        narrow = left ** (1 / (m + 1))
        front_m = rows.half_m * narrow
        widen = narrow**-m  # surface over front
        crust_m = (rows.half_m - front_m) * 2 / (1 + widen)
        surface_k = surface + KELVIN
        radiation = radiant * (surface_k + walls_k) * (surface_k**2 + walls_k**2)
        resist = crust_m / rows.crust_w_mk
        passes = 1 / (1 / ((rows.film + radiation) * widen) + resist)
        scale = dt / (rows.storage_j_m3k * front_m)
        strength = passes * scale

        # the moist core: one implicit step, and its answer to a unit of heat taken at the front
        between = spread[:, :-1] + spread[:, 1:]
        between *= (0.5 * scale / front_m)[:, None]
        np.multiply(grid.area, between, out=off[:, :-1])
        diagonal[:, :-1] = grid.volume + off[:, :-1]
        diagonal[:, 1:-1] += off[:, :-2]
        diagonal[:, n] = off[:, n - 1] + strength
        moved = recent * left_now - older * left_before - left
        swept = grid.swept(temp)
        held = (
            recent * (left_now / left)[:, None] * temp[:, :-1]
            - older * (left_before / left)[:, None] * temp_before[:, :-1]
        )
        held *= grid.volume
        held -= swept * (moved / left)[:, None]
        rhs[0, :, :n] = held
        rhs[0, :, n] = strength * rows.oven_c
        _, _, both, info = dptsv(diagonal.ravel(), -off.ravel()[:-1], rhs.reshape(2, -1).T, overwrite_e=1)
        if info:
            raise ArithmeticError("the heat balance of a step has no solution")
        resting, answer = both.T.reshape(2, count, n + 1)
        temp_before, left_before, left_now = temp, left_now, left
        per_volume = (m + 1) / rows.half_m * narrow**m  # front over first volume
        if evaporates:
            latent = 2.5009e6 - 2386 * temp[:, n] + superheat * np.maximum(surface - temp[:, n], 0)
            drop = answer[:, n] * latent * scale  # K per kg/(m2 s)
            conduct = vapour_kg_m3 / (1 / (vapour_film * widen) + crust_m / through)
            for _ in range(6 if step < 6 else 2):
                fall = np.exp(-flow / conduct) * head
                under = np.maximum(rows.pressure_pa - fall, 700.0)  # vapour pressure at the front
                gap = water.a - np.log(under)
                miss = resting[:, n] - drop * flow - (water.b / gap - water.c)
                flow = flow + miss / (drop + water.b / (gap * gap * under) * fall / conduct)
            flow = np.minimum(flow, 0.25 * left * rows.evaporable / (per_volume * dt))
            temp = resting - answer * (latent * scale * flow)[:, None]
        else:
            latent = zero
            temp = resting.copy()

        into = passes * (rows.oven_c - temp[:, n])
        surface = temp[:, n] + into * resist
        rate = per_volume * dt
        shed = moved * rows.storage_j_m3k * (m + 1) * swept.sum(axis=1)
        came = np.array([into * rate, shed, latent * flow * rate])
        totals, totals_before = recent * totals - older * totals_before + came, totals
        gone, gone_before = recent * gone - older * gone_before + flow * rate, gone
        left = np.clip(1 - np.maximum(gone, 0) / rows.evaporable, 1e-3, left)
        time_s = time_s + horizon_s * pace
        core = temp[:, 0] - (temp[:, 1] - temp[:, 0]) * grid.middle
        kept = rows.storage_j_m3k * (m + 1) * left_now * (grid.volume * temp[:, :-1]).sum(axis=1)
        keep.append((time_s, core, surface, gone, totals[0], kept - start, totals[1], totals[2]))
        if step >= steps and step % 5 == 0 and done(time_s, core, gone * per_dough):
            break
    moments, cores, surfaces, losses, *heats = (np.array(series) for series in zip(*keep, strict=True))
    return Histories(moments / 60, cores, surfaces, losses * per_dough, *heats)


def rows_of(cases: Sequence[Case], priors: Priors = PRIORS) -> Rows:
    """The numbers the solve needs, from pieces of dough and what is held of ovens.

    Units:    SI
    Range:    at least one case; else ValueError
    Source:   thermal laws at 60 C for storage, through 20, 60 and 100 C for conduction, at 120 C for crust
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
    film, view = each(lambda c: priors.film_w_m2k(c.oven)), each(lambda c: priors.view(c.finish))
    walls = film + thermal.radiative_coefficient_w_m2k(np.minimum(95.0, oven), oven, view)
    blocks = [case.block for case in cases]
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
        view=view,
        oven_c=oven,
        start_c=start,
        pressure_pa=each(lambda c: c.pressure_pa),
        vapour_pa=each(lambda c: min(c.vapour_pa, 0.9 * c.pressure_pa)),
        density=density,
        evaporable=density * evaporable_share,
        open_share=np.array([block.open_share for block in blocks]),
        surface_gain=gain,
    )


def solve(cases: Sequence[Case], minutes: float, priors: Priors = PRIORS) -> Histories:
    """Bake pieces side by side for a given time.

    Units:    minutes min
    Range:    0.5 to 600 min; else ValueError
    Source:   `march`
    """
    within("time in the oven", minutes, 0.5, 600, "min")
    rows = rows_of(cases, priors)
    return march(rows, np.full(rows.count, 60.0 * minutes), lambda *_: True)


def end_states(
    cases: Sequence[Case], minutes: Sequence[float], film_factor: float = 1.0, priors: Priors = PRIORS
) -> tuple[tuple[float, float], ...]:
    """Core temperature and bake loss of pieces that each come out after a time of their own.

    Units:    min per case; film_factor 1 (Prediction); returns C and % of dough mass for each
    Range:    0.5 to 600 min; film factor 1 to 3; else ValueError
    Source:   `march`
    """
    if len(minutes) != len(cases):
        raise ValueError(f"{len(cases)} pieces need as many times, not {len(minutes)}")
    for time_min in minutes:
        within("time in the oven", time_min, 0.5, 600, "min")
    within("film factor", film_factor, 1.0, 3.0)
    rows = rows_of(cases, priors)
    rows = replace(rows, film=rows.film * film_factor)
    history = march(rows, 60 * np.array(minutes, dtype=float), lambda *_: True)
    return tuple(
        (float(core), 100 * float(loss)) for core, loss in zip(history.core_c[-1], history.loss[-1], strict=True)
    )


@dataclass(frozen=True, slots=True)
class Prediction:
    """How long an altered piece bakes against a base bake that is known to work.

    Units:    ratios 1 (minutes over the base's minutes); low and high from the weakly known numbers and
              from what the law missed on printed pairs, three of four of which they hold; minutes min;
              core_c C and loss_pct % of dough mass, both as it leaves the oven; minutes_to_core min until
              the core is at its target; core_limited whether that, not bake loss, sets the time;
              film_factor 1, by which the oven had to be better than expected for the base to be done
    """

    physics_ratio: float
    ratio_low: float
    ratio_high: float
    minutes: float
    core_c: float
    loss_pct: float
    minutes_to_core: float
    core_limited: bool
    film_factor: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """One weakly known number moved to one of its ends."""

    film: float = 1.0
    crust: float = 1.0
    pore_share: float = 1.0
    pore_cap: float = 1.0
    gas_change: float = 1.0


DOUBTS = (
    (Doubt(film=0.75), Doubt(film=1.35)),
    (Doubt(crust=0.7), Doubt(crust=1.4)),
    (Doubt(pore_share=0.5, pore_cap=0.5), Doubt(pore_share=1.4, pore_cap=2.0)),
    (Doubt(gas_change=0.75), Doubt(gas_change=1.25)),
)
"""Ends of what is weakly known, in pairs. Source: common practice; the spread of the priors' sources."""

LOSS_POWERS = (0.5, 0.85)
"""Ends of the power that leads from equal bake loss to time. Source: fits with whole sources left out."""


MISS_PLACE, MISS_DOUGH = 0.14, 0.22
"""Log error that stays between this law and printed pairs: when size, pan or oven change; when the dough
itself changes. Source: `derived` from the pairs in tests/published, whole sources left out."""


MISS_NOTHING = 0.25
"""Log error of a time without any known bake, on the same printed bakes. Source: `derived`, as above."""


def unexplained(base: Case, altered: Case, priors: Priors = PRIORS) -> float:
    """Log error to expect beyond what the doubts explain: none without a change, growing to what pairs show.

    Units:    returns 1 (0.14 is about 15 %)
    Range:    any two cases
    Source:   MISS_PLACE, MISS_DOUGH; the growth with the size of the change is `common practice`

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> roll = Case(60, lean, 0.7, "roll", 200)
    >>> unexplained(roll, roll), round(unexplained(roll, replace(roll, mass_g=120)), 2)
    (0.0, 0.14)
    """
    blocks = base.block, altered.block
    films = [priors.film_w_m2k(case.oven) + 15 * priors.view(case.finish) for case in (base, altered)]
    place = (
        abs(log(blocks[1].half_thickness_m / blocks[0].half_thickness_m))
        + abs(log(blocks[1].surface_per_volume / blocks[0].surface_per_volume))
        + abs(log((altered.oven_c - 80) / (base.oven_c - 80)))
        + abs(log(films[1] / films[0]))
        + abs(log(altered.pressure_pa / base.pressure_pa))
        + abs(altered.start_c - base.start_c) / 100
        + abs(altered.vapour_pa - base.vapour_pa) / 50_000
    )
    parts = zip(base.dough.parts, altered.dough.parts, strict=True)
    dough = (
        abs(altered.gas_fraction - base.gas_fraction)
        + sum(abs(after - before) for before, after in parts) / 2
    )
    return hypot(MISS_PLACE * min(place / 0.25, 1.0), MISS_DOUGH * min(dough / 0.2, 1.0))


def _doubted(rows: Rows, doubt: Doubt) -> Rows:
    return replace(
        rows,
        film=rows.film * doubt.film,
        crust_w_mk=rows.crust_w_mk * doubt.crust,
        pore_share=np.minimum(rows.pore_share * doubt.pore_share, 1.0),
        pore_cap=rows.pore_cap * doubt.pore_cap,
    )


def _joined(parts: Sequence[Rows]) -> Rows:
    names = Rows.__dataclass_fields__
    return Rows(**{name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names})


def _first_time(series: Array, wanted: Array, minutes: Array) -> Array:
    """Minutes at which each case's series first is at what is wanted; NaN when it never is."""
    there = series >= wanted
    at = np.argmax(there, axis=0)
    column = np.arange(series.shape[1])
    before = np.maximum(at - 1, 0)
    low, high = series[before, column], series[at, column]
    part = np.where(high > low, (wanted - low) / np.where(high > low, high - low, 1.0), 0.0)
    found = minutes[before, column] + np.clip(part, 0, 1) * (minutes[at, column] - minutes[before, column])
    return np.where(there.any(axis=0), found, np.nan)


def _guess_s(rows: Rows, base_s: float) -> Array:
    """A first guess of the time each case takes, s, from thickness and drive alone; sets time steps only."""
    drive = (rows.oven_c - 80) * (rows.film + 12 * rows.view)
    bulk = rows.storage_j_m3k * rows.half_m / (rows.exponent + 1)
    guess = (bulk / drive) / (bulk[0] / drive[0])
    return np.asarray(base_s * np.clip(guess, 0.1, 6.0))


def _at(minutes: Array, series: Array, when: float) -> float:
    return float(np.interp(when, minutes, series))


def predict(
    base: Case,
    base_minutes: float,
    base_core_c: float,
    altered: Sequence[Case],
    core_c: Sequence[float],
    priors: Priors = PRIORS,
) -> tuple[Prediction, ...]:
    """Time and end state of altered pieces, from a base bake that is known to work.

    The oven stays as expected, unless the base would not be done in it: then its film is raised until it
    is. The base's bake loss at its stated time is read off; an altered piece is out when
    time / base time = (time to that loss / base time to that loss) ^ power, never before its core is
    done. A base piece without any change takes exactly its own time. Not for what a change of product
    adds on top (a gel that is dried further); that is a matter of product classes.

    Units:    min, C; one core target per altered piece, under the boiling point (see altitude)
    Range:    2 to 300 min; core targets 50 C to the boiling point less 0.5 C; a base that no oven would
              have done by then, or that would have dried through: ValueError
    Source:   `march`; calibration `derived`, its errors on printed pairs in tests/published
    """
    within("base time", base_minutes, 2, 300, "min")
    if len(core_c) != len(altered):
        raise ValueError(f"{len(altered)} altered pieces need as many core targets, not {len(core_c)}")
    pieces = [(base, base_core_c), *zip(altered, core_c, strict=True)]
    for case, target_c in pieces:
        within("core target", target_c, 50, case.boiling_c - 0.5, "C")
    unique = list(dict.fromkeys(pieces))
    places = [unique.index(piece) for piece in pieces[1:]]
    factor = 1.0
    track = _Track.of(unique, base_minutes, factor, priors)
    if track.late_c > 1.0:
        factor = _film_factor(base, base_minutes, base_core_c, priors)
        track = _Track.of(unique, base_minutes, factor, priors)
    if track.dried > 0.9:
        raise ValueError(
            f"{base_minutes:g} min at {base.oven_c:g} C would dry a piece of {base.mass_g:g} g through: "
            "check its mass, shape, oven and time"
        )
    misses = [unexplained(base, case, priors) for case in altered]
    return tuple(
        track.prediction(place, base_minutes, factor, priors, miss)
        for place, miss in zip(places, misses, strict=True)
    )


_FILM_FACTORS = (1.0, 1.3, 1.7, 2.2, 3.0)


def _film_factor(base: Case, base_minutes: float, core_c: float, priors: Priors) -> float:
    """How much better than expected the oven's film must be for the base to be done in its time.

    Up to 8 C short of the target with the highest film is still taken as a base (thermometers and
    centres are off by as much); more is refused.
    """
    rows = rows_of([base] * len(_FILM_FACTORS), priors)
    rows = replace(rows, film=rows.film * np.array(_FILM_FACTORS))
    cores = march(rows, np.full(rows.count, 60 * base_minutes), lambda *_: True).core_c[-1]
    if cores[-1] < core_c - 8:
        raise ValueError(
            f"after {base_minutes:g} min at {base.oven_c:g} C the core of a piece of {base.mass_g:g} g "
            f"({base.shape}) is at about {cores[0]:.0f} C, far from {core_c:g} C: "
            "check mass, shape, oven and time"
        )
    return float(np.interp(core_c, np.maximum.accumulate(cores), _FILM_FACTORS))


@dataclass(frozen=True, slots=True)
class _Track:
    """A batch that was baked: all pieces as expected, then all pieces under each doubt."""

    pieces: int
    history: Histories
    loss_min: Array  # (doubts, pieces)
    core_min: Array
    late_c: float
    dried: float

    @classmethod
    def of(
        cls, unique: Sequence[tuple[Case, float]], minutes: float, factor: float, priors: Priors
    ) -> "_Track":
        cases = [case for case, _ in unique]
        rows = rows_of(cases, priors)
        rows = replace(rows, film=rows.film * factor)
        batch = [rows]
        for pair in DOUBTS:
            for doubt in pair:
                moved = rows
                if doubt.gas_change != 1.0:
                    moved = rows_of([_regassed(case, cases[0], doubt.gas_change) for case in cases], priors)
                    moved = replace(moved, film=moved.film * factor)
                batch.append(_doubted(moved, doubt))
        joined = _joined(batch)
        count = len(cases)
        targets = np.array([target for _, target in unique])
        horizon = np.tile(_guess_s(rows, 60 * minutes), len(batch))
        aims = _Aims(count, targets, 60 * minutes, priors.loss_power)
        history = march(joined, horizon, aims.met)
        loss_min = _first_time(history.loss, aims.loss, history.minutes).reshape(-1, count)
        core_min = _first_time(history.core_c, aims.core, history.minutes).reshape(-1, count)
        late_c = float(targets[0] - _at(history.minutes[:, 0], history.core_c[:, 0], minutes))
        dried = float(aims.loss[0] * rows.density[0] / (rows.surface_gain[0] * rows.evaporable[0]))
        return cls(count, history, loss_min, core_min, late_c, dried)

    def prediction(
        self, place: int, base_minutes: float, factor: float, priors: Priors, miss: float
    ) -> Prediction:
        """What the batch says of one of its pieces, with the spread of the doubts."""
        logs = np.log(self._ratios(place, base_minutes, priors.loss_power))
        middle = float(logs[0])
        down = up = miss**2
        pairs = [logs[at : at + 2] for at in range(1, logs.size, 2)]
        pairs.append(
            np.array([float(np.log(self._ratios(place, base_minutes, power)[0])) for power in LOSS_POWERS])
        )
        for pair in pairs:
            down += min(0.0, *(float(end) - middle for end in pair)) ** 2
            up += max(0.0, *(float(end) - middle for end in pair)) ** 2
        ratio = float(np.exp(middle))
        minutes = base_minutes * ratio
        times = self.history.minutes[:, place]
        core_min = float(self.core_min[0, place])
        return Prediction(
            physics_ratio=ratio,
            ratio_low=ratio * float(np.exp(-np.sqrt(down))),
            ratio_high=ratio * float(np.exp(np.sqrt(up))),
            minutes=minutes,
            core_c=_at(times, self.history.core_c[:, place], minutes),
            loss_pct=100 * _at(times, self.history.loss[:, place], minutes),
            minutes_to_core=core_min,
            core_limited=bool(core_min > base_minutes * self._by_loss(place, priors.loss_power)[0] * 1.0001),
            film_factor=factor,
        )

    def _by_loss(self, place: int, power: float) -> Array:
        return np.asarray((self.loss_min[:, place] / self.loss_min[:, 0]) ** power)

    def _ratios(self, place: int, base_minutes: float, power: float) -> Array:
        by_core = self.core_min[:, place] / np.maximum(self.core_min[:, 0], base_minutes)
        return np.asarray(np.maximum(self._by_loss(place, power), by_core))


def _regassed(case: Case, base: Case, share: float) -> Case:
    """The case with its change of gas fraction against the base scaled."""
    gas = base.gas_fraction + (case.gas_fraction - base.gas_fraction) * share
    return replace(case, gas_fraction=min(max(gas, 0.0), 0.9))


class _Aims:
    """What each row of a batch must reach: the base's bake loss and its own core target."""

    def __init__(self, count: int, targets: Array, base_s: float, power: float) -> None:
        self.count, self.targets, self.base_s, self.power = count, targets, base_s, power
        self.loss = self.core = np.empty(0)

    def met(self, time_s: Array, core: Array, loss: Array) -> bool:
        """Whether every row has run long enough; the first call sets the aims, when the base is out."""
        if not self.loss.size:
            self.loss = np.repeat(loss.reshape(-1, self.count)[:, 0], self.count)
            short = np.maximum(self.targets[0] - core.reshape(-1, self.count)[:, 0], 0.0)
            self.core = (self.targets[None, :] - short[:, None]).ravel()
            self.until = np.zeros(loss.size)
        there = (loss >= self.loss) & (core >= self.core)
        late = self.base_s * np.maximum((time_s / self.base_s) ** self.power, time_s / self.base_s)
        self.until = np.where(there & (self.until == 0), late, self.until)
        return bool(there.all() and (time_s >= self.until).all())


@dataclass(frozen=True, slots=True)
class FromNothing:
    """Time of a piece of which no bake is known.

    Units:    minutes_low to minutes_high min; core_c C and loss_pct % of dough mass at `minutes`
    """

    minutes: float
    minutes_low: float
    minutes_high: float
    core_c: float
    loss_pct: float


def minutes_from_nothing(
    cases: Sequence[Case], core_c: Sequence[float], loss_pct: Sequence[float], priors: Priors = PRIORS
) -> tuple[FromNothing, ...]:
    """Time until the core is at its target and the usual bake loss of the class is reached.

    Units:    core_c C; loss_pct % of dough mass, 0 when only the core counts
    Range:    core targets 50 C to the boiling point less 0.5 C; loss 0 to 40 %; not done within
              6 h: ValueError
    Source:   `march`; spread from the same doubts as `predict`
    """
    if not len(cases) == len(core_c) == len(loss_pct):
        raise ValueError("each piece needs a core target and a bake loss")
    for case, target_c, percent in zip(cases, core_c, loss_pct, strict=True):
        within("core target", target_c, 50, case.boiling_c - 0.5, "C")
        within("bake loss", percent, 0, 40, "%")
    rows = rows_of(cases, priors)
    batch = [rows, *(_doubted(rows, doubt) for pair in DOUBTS for doubt in pair)]
    targets, losses = np.tile(core_c, len(batch)), np.tile(loss_pct, len(batch)) / 100
    joined = _joined(batch)
    bulk = joined.storage_j_m3k * joined.half_m / (joined.exponent + 1)
    first_s = np.clip(2000 * bulk / ((joined.film + 6 * joined.view) * (joined.oven_c - 80)), 120, 7200)

    def met(time_s: Array, core: Array, loss: Array) -> bool:
        return bool(((core >= targets) & (loss >= losses)).all())

    history = march(joined, first_s, met, most=5.0)
    by_core = _first_time(history.core_c, targets, history.minutes)
    by_loss = _first_time(history.loss, losses, history.minutes)
    when = np.maximum(by_core, by_loss).reshape(len(batch), -1)
    found = []
    for place, case in enumerate(cases):
        centre = float(when[0, place])
        if np.isnan(centre):
            raise ValueError(
                f"a piece of {case.mass_g:g} g ({case.shape}) does not get to {core_c[place]:g} C and "
                f"{loss_pct[place]:g} % bake loss at {case.oven_c:g} C: check its mass, shape and oven"
            )
        logs = np.log(when[1:, place] / centre)
        logs = np.where(np.isnan(logs), 1.0, logs).reshape(-1, 2)
        down = float(np.sqrt((np.minimum(logs.min(axis=1), 0) ** 2).sum() + MISS_NOTHING**2))
        up = float(np.sqrt((np.maximum(logs.max(axis=1), 0) ** 2).sum() + MISS_NOTHING**2))
        times = history.minutes[:, place]
        found.append(
            FromNothing(
                minutes=centre,
                minutes_low=centre * float(np.exp(-down)),
                minutes_high=centre * float(np.exp(up)),
                core_c=_at(times, history.core_c[:, place], centre),
                loss_pct=100 * _at(times, history.loss[:, place], centre),
            )
        )
    return tuple(found)
