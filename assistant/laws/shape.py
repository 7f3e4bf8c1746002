"""The one-dimensional body that bakes like a piece of a given shape.

Heat enters a piece from all sides. One coordinate serves if the area of its shells grows as r^m:
m is 0 in a slab, 1 in a cylinder, 2 in a ball, and something between in a loaf. Taking m from the
surface-to-volume ratio is 13-29 % wrong for the centre; here m is the one whose centre gets to the
wanted temperature at the same time as that of the real shape, by the series solutions.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan2, cos, exp, inf, isfinite, log, pi, prod, sin, sqrt

from assistant.laws.ranges import margin, share, sure_to, within


@dataclass(frozen=True, slots=True)
class Block:
    """A shape as the meeting of slabs and of at most one round bar, with the share of it that is open.

    Units:    half thicknesses of the slabs and radii of the bars in m, inf where it does not end;
              ball True for a sphere with that radius; open_share 1, of the surface, free of tin;
              gathers 1, how much more heat its tin takes in than its own walls would
    """

    slabs_m: tuple[float, ...] = ()
    bar_m: float | None = None
    ball_m: float | None = None
    open_share: float = 1.0
    gathers: float = 1.0

    @property
    def half_thickness_m(self) -> float:
        """The smallest distance from the centre to the surface, m."""
        return min(self.extents, key=lambda extent: extent[1])[1]

    @property
    def surface_per_volume(self) -> float:
        """Surface over volume, 1/m."""
        return sum((exponent + 1) / extent_m for exponent, extent_m in self.extents)

    @property
    def extents(self) -> tuple[tuple[int, float], ...]:
        """Exponent and half thickness of each body that meets in it."""
        slabs = tuple((0, half_m) for half_m in self.slabs_m if isfinite(half_m))
        bar = () if self.bar_m is None else ((1, self.bar_m),)
        ball = () if self.ball_m is None else ((2, self.ball_m),)
        return (*slabs, *bar, *ball)


@sure_to(margin(5e-8))
def bessel_j0(x: float) -> float:
    """Bessel function of the first kind, order 0.

    Units:    1
    Range:    x 0 to 100; else ValueError
    Source:   abramowitz-stegun 9.4.1 and 9.4.3, within 5e-8
    Spread:   5e-8 by its source
    Not for:  arrays

    >>> round(bessel_j0(1.0), 6), round(bessel_j0(5.0), 6)
    (0.765198, -0.177597)
    """
    within("argument", x, 0, 100)
    if x <= 3:
        y = (x / 3) ** 2
        return 1 + y * (-2.2499997 + y * (1.2656208 + y * (-0.3163866 + y * (
            0.0444479 + y * (-0.0039444 + y * 0.0002100)))))  # fmt: skip
    y = 3 / x
    size = 0.79788456 + y * (-0.00000077 + y * (-0.00552740 + y * (-0.00009512 + y * (
        0.00137237 + y * (-0.00072805 + y * 0.00014476)))))  # fmt: skip
    turn = x - 0.78539816 + y * (-0.04166397 + y * (-0.00003954 + y * (0.00262573 + y * (
        -0.00054125 + y * (-0.00029333 + y * 0.00013558)))))  # fmt: skip
    return size * cos(turn) / sqrt(x)


@sure_to(margin(9e-8))
def bessel_j1(x: float) -> float:
    """Bessel function of the first kind, order 1.

    Units:    1
    Range:    x 0 to 100; else ValueError
    Source:   abramowitz-stegun 9.4.4 and 9.4.6, within 9e-8
    Spread:   9e-8 by its source
    Not for:  arrays

    >>> round(bessel_j1(1.0), 6), round(bessel_j1(5.0), 6)
    (0.440051, -0.327579)
    """
    within("argument", x, 0, 100)
    if x <= 3:
        y = (x / 3) ** 2
        return x * (0.5 + y * (-0.56249985 + y * (0.21093573 + y * (-0.03954289 + y * (
            0.00443319 + y * (-0.00031761 + y * 0.00001109))))))  # fmt: skip
    y = 3 / x
    size = 0.79788456 + y * (0.00000156 + y * (0.01659667 + y * (0.00017105 + y * (
        -0.00249511 + y * (0.00113653 - y * 0.00020033)))))  # fmt: skip
    turn = x - 2.35619449 + y * (0.12499612 + y * (0.00005650 + y * (-0.00637879 + y * (
        0.00074348 + y * (0.00079824 - y * 0.00029166)))))  # fmt: skip
    return size * cos(turn) / sqrt(x)


_TERMS = 6
_J0_ZEROS = (2.4048255577, 5.5200781103, 8.6537279129, 11.7915344391, 14.9309177086, 18.0710639679)
_J1_ZEROS = (0.0, 3.8317059702, 7.0155866698, 10.1734681351, 13.3236919363, 16.4706300509)
"""Source: abramowitz-stegun table 9.5."""
_FIRST = {0: (pi / 2, 2.139), 1: (_J0_ZEROS[0], 2.238), 2: (pi, 2.314)}


def _known_body(exponent: int) -> None:
    if exponent not in _FIRST:
        raise ValueError(f"a slab, a cylinder and a ball have exponents 0, 1 and 2, not {exponent}")


def eigenvalues(exponent: int, biot: float) -> tuple[float, ...]:
    """First eigenvalues of a slab (0), cylinder (1) or ball (2) with convection at its surface.

    Units:    exponent 1; biot h R / k, 1; returns rad
    Range:    exponent one of 0, 1, 2; biot 1e-4 to 1e6; else ValueError
    Source:   eigenvalue conditions of incropera-2007 sec. 5.5-5.6, solved by Newton's method from the start
              of yovanovich-1996 (first root) and from the phase of the others
    Spread:   none of its own: roots, to the last digit
    Not for:  arrays

    >>> [round(eigenvalues(exponent, 1.0)[0], 4) for exponent in (0, 1, 2)]
    [0.8603, 1.2558, 1.5708]
    """
    _known_body(exponent)
    within("Biot number", biot, 1e-4, 1e6)
    end, power = _FIRST[exponent]
    start = end / (1 + (end / sqrt((exponent + 1) * biot)) ** power) ** (1 / power)
    roots = []
    for at in range(_TERMS):
        if exponent == 0:
            root = start if at == 0 else at * pi + atan2(biot, (at + 0.25) * pi)
        elif exponent == 1:
            low, high = _J1_ZEROS[at], _J0_ZEROS[at]
            root = start if at == 0 else low + (high - low) * atan2(biot, high) * 2 / pi
        else:
            root = start if at == 0 else (at + 1) * pi - atan2((at + 0.75) * pi, biot - 1)
        for _ in range(4):
            root -= _miss(exponent, biot, root)
        roots.append(root)
    return tuple(roots)


def _miss(exponent: int, biot: float, root: float) -> float:
    """Newton's step at a guessed eigenvalue."""
    if exponent == 0:
        value = root * sin(root) - biot * cos(root)
        return value / ((1 + biot) * sin(root) + root * cos(root))
    if exponent == 1:
        j0, j1 = bessel_j0(root), bessel_j1(root)
        return (root * j1 - biot * j0) / (root * j0 + biot * j1)
    value = (1 - biot) * sin(root) - root * cos(root)
    return value / (-biot * cos(root) + root * sin(root))


def series_factor(exponent: int, root: float) -> float:
    """Factor of one term of the centre temperature of a slab (0), cylinder (1) or ball (2).

    Units:    exponent 1; root rad; returns 1
    Range:    exponent one of 0, 1, 2; root 1e-4 to 100 rad; else ValueError
    Source:   incropera-2007 eq. 5.42b, 5.50b, 5.51b
    Spread:   none of its own: a series, to the last digit
    Not for:  arrays

    >>> round(series_factor(0, 0.8603), 4), round(series_factor(1, 1.2558), 4)
    (1.1191, 1.2071)
    """
    _known_body(exponent)
    within("eigenvalue", root, 1e-4, 100, "rad")
    if exponent == 0:
        return 2 * sin(root) / (root + sin(root) * cos(root))
    if exponent == 1:
        return 2 * bessel_j1(root) / (root * (bessel_j0(root) ** 2 + bessel_j1(root) ** 2))
    return 2 * (sin(root) - root * cos(root)) / (root - sin(root) * cos(root))


@lru_cache(maxsize=4096)
def _series(exponent: int, biot: float) -> tuple[tuple[float, float], ...]:
    roots = eigenvalues(exponent, biot)
    return tuple((series_factor(exponent, root), root**2) for root in roots)


@sure_to(share(1e-5))
def centre_left(exponent: int, biot: float, fourier: float) -> float:
    """What is left of the way to the oven's temperature at the centre of a slab, cylinder or ball.

    Units:    exponent, biot h R / k, fourier a t / R2, returned (oven - centre) / (oven - start): 1
    Range:    as eigenvalues; fourier 0 to 1e6 (under 0.02 the centre has not noticed); else ValueError
    Source:   incropera-2007 sec. 5.5-5.6, six terms
    Spread:   0.001 %, as far as its checks C049 to C054
    Not for:  arrays

    >>> round(centre_left(0, 1.0, 0.5), 4)
    0.7725
    """
    terms = _series(exponent, biot)
    within("Fourier number", fourier, 0, 1e6)
    if fourier < 0.02:
        return 1.0
    return min(sum(factor * exp(-square * fourier) for factor, square in terms), 1.0)


def equivalent_exponent(block: Block, film_w_m2k: float, conductivity_w_mk: float, left: float) -> float:
    """The m whose centre gets to a temperature when the centre of the real shape does.

    `left` is what is left of the way: (oven - core wanted) / (oven - start). The product of the
    series of the bodies that meet gives the time; the centre of the body r^m at that time is
    interpolated (parabola of the logarithm) between slab, cylinder and ball.

    Units:    film W/(m2 K); conductivity W/(m K); left 1; returns m, 1
    Range:    left 0.02 to 0.98; film_w_m2k 0.1 to 1e4 W/(m2 K); conductivity_w_mk 0.01 to 500 W/(m K);
              refused too: a Biot number outside 1e-4 to 1e6; else ValueError
    Source:   incropera-2007 sec. 5.8 (products of solutions in one dimension); root of the match `derived`
    Spread:   none of its own: matched so that the centre's time is met within 1 %
    Not for:  arrays

    >>> round(equivalent_exponent(Block(ball_m=0.03), 20, 0.5, 0.5), 2)
    2.0
    >>> round(equivalent_exponent(Block(slabs_m=(0.03, 0.03, 0.03)), 20, 0.5, 0.5), 2)
    1.4
    """
    within("the share of the way that is left", left, 0.02, 0.98)
    within("film coefficient", film_w_m2k, 0.1, 1e4, "W/(m2 K)")
    within("conductivity", conductivity_w_mk, 0.01, 500, "W/(m K)")
    return _equivalent(block, film_w_m2k, conductivity_w_mk, left)


@lru_cache(maxsize=4096)
def _equivalent(block: Block, film_w_m2k: float, conductivity_w_mk: float, left: float) -> float:
    half_m = block.half_thickness_m
    bodies = [
        (exponent, film_w_m2k * extent_m / conductivity_w_mk, (half_m / extent_m) ** 2)
        for exponent, extent_m in block.extents
    ]
    early, late = 0.0, 1.0
    while _together(bodies, late) > left:
        early, late = late, 2 * late
    late = _where_zero(lambda fourier: log(_together(bodies, fourier) / left), early, late)
    biot = film_w_m2k * half_m / conductivity_w_mk
    slab, bar, ball = (log(centre_left(exponent, biot, late)) - log(left) for exponent in (0, 1, 2))
    bend, tilt = (ball - 2 * bar + slab) / 2, (4 * bar - ball - 3 * slab) / 2
    if slab <= 0:
        return 0.0
    return min(-2 * slab / (tilt - sqrt(max(tilt**2 - 4 * bend * slab, 0.0))), 3.0)


def _where_zero(falling: Callable[[float], float], low: float, high: float) -> float:
    """Where a falling function is 0 between two ends (false position; an end that stays twice counts half)."""
    above, below, before = falling(low), falling(high), 0.0
    for _ in range(60):
        middle = (low * below - high * above) / (below - above)
        here = falling(middle)
        if abs(here) < 1e-12:
            return middle
        if here > 0:
            low, above, below = middle, here, below / 2 if before > 0 else below
        else:
            high, below, above = middle, here, above / 2 if before < 0 else above
        before = here
    return (low + high) / 2


def _together(bodies: Sequence[tuple[int, float, float]], fourier: float) -> float:
    """What is left at the centre where several bodies meet: the product of what each leaves."""
    return prod(centre_left(exponent, biot, fourier * share) for exponent, biot, share in bodies)


SHAPES = (
    "ball", "roll", "loaf", "baguette", "loaf tin", "round layer", "square pan", "sheet", "muffin cup",
    "tube pan", "flat",
)  # fmt: skip
"""Shapes a piece may have. Round pieces and pans take one dimension, the diameter; others length and
width; a tube pan its outer diameter."""

_TALL = {"roll": 0.55, "loaf": 0.7, "baguette": 0.75}
"""Height over width of pieces that stand free, after proof. Source: common practice."""
_LONG = {"loaf": 2.0, "baguette": 9.0}
"""Length over width of loaves that stand free. Source: common practice."""
_USUAL_M = {
    "loaf tin": (0.215, 0.11),  # 8.5 x 4.5 in
    "round layer": (0.23,),  # 9 in
    "square pan": (0.215, 0.215),  # 8 x 8 in, outside 8.5
    "sheet": (0.33, 0.23),  # 13 x 9 in
    "muffin cup": (0.063,),  # halfway up a 2.75 in cup
    "tube pan": (0.25,),  # 10 in
}
"""Length and width, or diameter, of a usual pan. Source: common practice (trade sizes of pans)."""
_TUBE_SHARE = 0.32
"""Diameter of the tube over that of its pan. Source: common practice."""
_FLAT_M = 0.012
"""Thickness of a flat bread as it bakes, m. Source: common practice."""


_USUAL_DEPTH_M = {
    "loaf tin": 0.07, "round layer": 0.05, "square pan": 0.05, "sheet": 0.05, "muffin cup": 0.035, "tube pan": 0.10,
}  # fmt: skip
"""Depth of a usual pan: 2 in cake pans, 2.5-3 in loaf tins. Source: common practice (trade sizes of pans)."""
_RIM_M = {"muffin cup": (0.07,)}
"""Where the usual pan's own width above is not that of its rim."""
TAPER = (0.82, 0.88, 0.95)
"""What a pan holds over rim area times depth: low, usual, high. Source: `derived` from kitchen charts of pan volumes
(rows P.. of tests/published/bake.csv, `from memory`); sides slope, and charts round to cups."""


def usual_sides_m(
    shape: str, sides_m: tuple[float, ...] = (), volume_m3: float | None = None
) -> tuple[float, ...]:
    """Length and width, or diameter, of a pan of which perhaps one side or only the volume is known.

    Units:    m; m3; returns m
    Range:    shape a pan's of SHAPES; sides_m[*] 0.01 to 1 m; volume_m3 1e-5 to 0.03 m3; else ValueError
    Source:   proportions of the usual pan (common-practice)
    Spread:   not told by its source: pans of one name differ

    >>> usual_sides_m("loaf tin", (0.23, 0.13))
    (0.23, 0.13)
    >>> [round(side, 3) for side in usual_sides_m("loaf tin", volume_m3=0.0015)]
    [0.217, 0.111]
    """
    if shape not in _USUAL_M:
        raise ValueError(f"a pan's shape is one of {', '.join(_USUAL_M)}, not {shape!r}")
    for side_m in sides_m:
        within("a side of the pan", side_m, 0.01, 1.0, "m")
    usual = _RIM_M.get(shape, _USUAL_M[shape])
    if len(sides_m) >= len(usual):
        return sides_m[: len(usual)]
    if sides_m:
        return tuple(sides_m[0] * side / usual[0] for side in usual)
    if volume_m3 is None:
        return usual
    within("volume of the pan", volume_m3, 1e-5, 0.03, "m3")
    scale = (volume_m3 / pan_volume_m3(shape, usual)) ** (1 / 3)
    return tuple(scale * side for side in usual)


@sure_to(share(0.1))
def usual_depth_m(shape: str) -> float:
    """Depth of a usual pan.

    Units:    returns m
    Range:    shape a pan's of SHAPES; else ValueError
    Source:   trade sizes of pans (common-practice)
    Spread:   10 %, as loaf tins are 2.5 to 3 in deep (charts P06 and P07)

    >>> usual_depth_m("loaf tin")
    0.07
    """
    usual_sides_m(shape)
    return _USUAL_DEPTH_M[shape]


def pan_volume_m3(
    shape: str, sides_m: tuple[float, ...] = (), depth_m: float | None = None, taper: float = TAPER[1]
) -> float:
    """What a pan holds to its rim, from its sides at the rim; a usual pan's sides and depth where unsaid.

    Units:    m; returns m3
    Range:    shape a pan's of SHAPES; sides_m[*] 0.01 to 1 m; depth_m 0.005 to 0.3 m; taper 0.5 to 1; else
              ValueError
    Source:   geometry; TAPER (common-practice)
    Spread:   that of TAPER

    >>> round(1e6 * pan_volume_m3("round layer", (0.20,)))
    1382
    >>> round(1e6 * pan_volume_m3("loaf tin", (0.23, 0.13), 0.07))
    1842
    """
    sides = usual_sides_m(shape, sides_m)
    depth = usual_depth_m(shape) if depth_m is None else depth_m
    within("depth of the pan", depth, 0.005, 0.3, "m")
    within("taper of the pan", taper, 0.5, 1)
    if shape == "tube pan":
        return taper * depth * pi / 4 * sides[0] ** 2 * (1 - _TUBE_SHARE**2)
    return taper * depth * (pi / 4 * sides[0] ** 2 if len(sides) == 1 else sides[0] * sides[1])


MIXED_GAS = (0.03, 0.08, 0.15)
"""Share of gas in a yeast dough as it comes from mixing: low, usual, high. Source: from memory."""


def dough_volume_ml(dough_g: float, density_kg_m3: float, gas_fraction: float) -> float:
    """Room that a dough takes: its matter and the gas in it.

    Units:    g; kg/m3 without gas; 1; returns mL
    Range:    dough_g 0.1 to 1e6 g; density_kg_m3 700 to 1700 kg/m3; gas_fraction 0 to 0.95; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> round(dough_volume_ml(900, 1200, 0.32))
    1103
    """
    within("dough", dough_g, 0.1, 1e6, "g")
    within("density of the dough", density_kg_m3, 700, 1700, "kg/m3")
    within("gas fraction", gas_fraction, 0, 0.95)
    return 1000 * dough_g / density_kg_m3 / (1 - gas_fraction)


def baked_volume_ml(dough_g: float, loss_share: float, specific_volume_ml_g: float) -> float:
    """Room that the baked piece takes.

    Units:    g of dough; share of it lost in the oven; mL per g baked; returns mL
    Range:    dough_g 0.1 to 1e6 g; loss_share 0 to 0.6; specific_volume_ml_g 0.7 to 12 mL/g; else ValueError
    Source:   mass balance
    Spread:   none of its own: a mass balance

    >>> round(baked_volume_ml(900, 0.1, 2.1))
    1701
    """
    within("dough", dough_g, 0.1, 1e6, "g")
    within("share lost in the oven", loss_share, 0, 0.6)
    within("specific volume", specific_volume_ml_g, 0.7, 12, "mL/g")
    return dough_g * (1 - loss_share) * specific_volume_ml_g


def block_of(shape: str, volume_m3: float, pan_m: tuple[float, ...] = ()) -> Block:
    """The block that a piece of a shape and volume makes, standing free or in its pan.

    Without the dimensions of a pan the usual one of the trade is taken; a loaf tin is scaled to its
    dough. Free pieces keep usual proportions, or the length and width (or diameter) given.

    Units:    volume m3; pan length and width, or diameter, m; returns m
    Range:    shape one of SHAPES; volume_m3 1e-6 to 0.03 m3; pan_m[*] 0.01 to 1 m; refused too: a piece
              thinner than 2 mm or thicker than 25 cm; else ValueError
    Source:   geometry; proportions are `common practice`
    Spread:   none of its own: geometry, of usual proportions where none are given

    >>> layer = block_of("round layer", 0.0012, (0.23,))
    >>> round(100 * 2 * layer.half_thickness_m, 1), round(layer.open_share, 2)
    (2.9, 0.4)
    """
    if shape not in SHAPES:
        raise ValueError(f"no such shape as {shape!r}; shapes are {', '.join(SHAPES)}")
    within("volume of a piece", volume_m3 * 1e6, 1, 30_000, "mL")
    for side_m in pan_m:
        within("a side of the pan", side_m * 100, 1, 100, "cm")
    block = _standing(shape, volume_m3, pan_m) if shape in _FREE else _panned(shape, volume_m3, pan_m)
    within("thickness of a piece", 200 * block.half_thickness_m, 0.2, 25, "cm")
    return block


_FREE = frozenset({"ball", "roll", "loaf", "baguette", "flat"})


def _standing(shape: str, volume_m3: float, sides_m: tuple[float, ...]) -> Block:
    if shape == "ball":
        return Block(ball_m=(0.75 * volume_m3 / pi) ** (1 / 3))
    if shape in _LONG:
        width_m = (4 * volume_m3 / (pi * _TALL[shape] * _LONG[shape])) ** (1 / 3)
        length_m = sides_m[0] if sides_m else _LONG[shape] * width_m
        across_m2 = volume_m3 / (pi * length_m)  # half width times half height
        bar_m = sqrt(across_m2)
        return Block(slabs_m=(length_m / 2,), bar_m=bar_m, open_share=_free_share(_TALL[shape]))
    if sides_m:
        area_m2 = pi / 4 * sides_m[0] ** 2 if len(sides_m) == 1 else sides_m[0] * sides_m[1]
        height_m = volume_m3 / area_m2
    elif shape == "flat":
        height_m = _FLAT_M
        area_m2 = volume_m3 / height_m
    else:
        height_m = (4 * volume_m3 * _TALL[shape] ** 2 / pi) ** (1 / 3)
        area_m2 = volume_m3 / height_m
    bar_m = sqrt(area_m2 / pi)
    return Block(slabs_m=(height_m / 2,), bar_m=bar_m, open_share=_free_share(height_m / (2 * bar_m)))


def _free_share(height_over_width: float) -> float:
    """Share of the surface that does not stand on the sheet, of a flat round piece."""
    return (1 + 4 * height_over_width) / (2 + 4 * height_over_width)


def _panned(shape: str, volume_m3: float, sides_m: tuple[float, ...]) -> Block:
    sides_m = sides_m or _USUAL_M[shape]
    if shape == "loaf tin" and sides_m is _USUAL_M[shape]:
        scale = (volume_m3 / 0.0018) ** (1 / 3)
        sides_m = tuple(side_m * scale for side_m in sides_m)
    if shape == "tube pan":
        ring_m = sides_m[0] * (1 - _TUBE_SHARE) / 2
        around_m = pi * sides_m[0] * (1 + _TUBE_SHARE) / 2
        height_m = volume_m3 / (ring_m * around_m)
        return Block(slabs_m=(ring_m / 2, height_m / 2), open_share=_top_share(ring_m, inf, height_m))
    if len(sides_m) == 1:
        height_m = volume_m3 / (pi / 4 * sides_m[0] ** 2)
        share = _top_share(sides_m[0], sides_m[0], height_m)
        gathers = _gathers(sides_m[0], height_m) if shape == "muffin cup" else 1.0
        return Block(slabs_m=(height_m / 2,), bar_m=sides_m[0] / 2, open_share=share, gathers=gathers)
    long_m, wide_m = sides_m
    height_m = volume_m3 / (long_m * wide_m)
    share = _top_share(long_m, wide_m, height_m)
    return Block(slabs_m=(long_m / 2, wide_m / 2, height_m / 2), open_share=share)


_TRAY_PER_CUP = 2.4
"""Area of a muffin tray over that of its cups, at half their height. Source: common practice, 35 x 26.5 cm for
12 cups."""
_TRAY_EFFICIENCY = 0.9
"""Source: `derived`, a fin of 0.7 mm of steel or aluminium, 1 to 1.5 cm from cup to cup, takes up 0.85-0.97 of
what it would if it were as cool as the cup (incropera-2007 sec. 3.6)."""


def _gathers(across_m: float, height_m: float) -> float:
    """How much more heat comes to a muffin through its tray than through the walls of its cup.

    The plate between the cups is a fin. One of its faces is counted: below, cups shade it and each other.
    """
    mouth_m2 = pi / 4 * across_m**2
    wall_m2 = mouth_m2 + pi * across_m * height_m
    return 1 + _TRAY_EFFICIENCY * (_TRAY_PER_CUP - 1) * mouth_m2 / wall_m2


def _top_share(long_m: float, wide_m: float, height_m: float) -> float:
    """Share of a filled pan's surface that is open at the top."""
    return 1 / (2 + 2 * height_m * (1 / long_m + 1 / wide_m))
