"""A formula: lines as masses, steps, and the bake. All frozen; a change is a new formula."""

from dataclasses import dataclass, replace

STEP_KINDS = ("prepare", "bloom", "mix", "rest", "proof", "shape", "bake", "cook", "cool", "other")
RAISED_BY = ("yeast", "chemical", "foam", "none")
TINS = ("loaf tin", "round tin", "square tin", "dish", "ring tin", "muffin tin")
"""Pans that a dough fills."""
MATERIALS = ("bright", "dark", "glass", "silicone", "ceramic", "cast iron")
"""What a pan is made of; bright and dark are thin metal."""
SHAPES = ("loaf", "roll", "ball", "baguette", "flat")
"""Shapes of pieces that stand free."""


@dataclass(frozen=True, slots=True)
class Line:
    """One ingredient of a formula.

    `ingredient` is a rules id, or None when the rulebook does not know it; `grams` None is an unknown
    mass and never zero. `amount` and `unit` are what was written ("1.5", "cup"), for writing it again;
    `low_g` and `high_g` the ends of a range. `part` names the part of the recipe it belongs to.
    """

    name: str
    ingredient: str | None
    grams: float | None
    amount: float | None = None
    unit: str = ""
    note: str = ""
    part: str = ""
    low_g: float | None = None
    high_g: float | None = None
    confidence: float = 1.0
    text: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the method. `uses` are places in `Formula.lines`, from 0.

    `minutes` to `minutes_high` is a range where one was given; None is unsaid. `part` is the part of the recipe
    whose heading it stands under, "" where there is none.
    """

    kind: str
    text: str
    minutes: float | None = None
    minutes_high: float | None = None
    temperature_c: float | None = None
    uses: tuple[int, ...] = ()
    part: str = ""


@dataclass(frozen=True, slots=True)
class Bake:
    """Oven temperature (C) and time (min), with the range where one was given, and what it stands in.

    `pan`: "sheet", "loaf tin", "round tin", "muffin tin", "stone", "skillet" ... or "" when unsaid; of what
    `material` it is and how large, `size_cm` (length and width or diameter, then perhaps its depth) or
    `litres`, where that is known; `shape` of a piece that stands free, where it is not that of its class;
    `oven`: "still" or "fan", with steam for its first `steam_min`.
    """

    oven_c: float
    minutes: float
    minutes_low: float | None = None
    minutes_high: float | None = None
    pan: str = ""
    oven: str = "still"
    material: str = ""
    size_cm: tuple[float, ...] = ()
    litres: float | None = None
    shape: str = ""
    steam_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Formula:
    """A recipe as masses, with its method and bake.

    `product` is a product-class id or "" when not recognised; `pieces` None when no yield is stated;
    `altitude_m` where it is baked; `room_c` the temperature flours and room have.
    """

    name: str
    product: str
    lines: tuple[Line, ...]
    steps: tuple[Step, ...] = ()
    bake: Bake | None = None
    pieces: int | None = None
    piece_name: str = ""
    altitude_m: float = 0.0
    room_c: float = 21.0
    note: str = ""
    version: int = 1

    @property
    def dough_g(self) -> float:
        """Total of the known masses, g."""
        return sum(line.grams for line in self.lines if line.grams is not None)

    @property
    def piece_g(self) -> float | None:
        """Dough per piece, g, or None when no yield is stated."""
        return None if not self.pieces else self.dough_g / self.pieces

    def with_lines(self, lines: tuple[Line, ...]) -> "Formula":
        """The same formula with other lines."""
        return replace(self, lines=lines)
