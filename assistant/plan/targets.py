"""Figures to stay within, as totals over lines that the balance can reach, and lines that may be moved for them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.plan.constraints import Bound
from assistant.plan.draft import Aim
from assistant.plan.functions import Context, mass
from assistant.plan.nutrition import RECKONED, SUMMED
from assistant.rulebook.model import Ingredient

SHORT_OF = 0.02
"""Share by which a figure is aimed inside its bound: amounts are rounded, and a bake loses a little more or less."""
CLOSE = 0.005
"""Tolerance of an aim, as a share of it."""

LESS: Mapping[str, Mapping[str, float]] = {
    name: {RECKONED[name][0]: 1.0, **dict.fromkeys(RECKONED[name][1:], -1.0)}
    for name in ("available_carbohydrate_g", "net_carbs_g")
}
"""Figures that are one sum less others."""


@dataclass(frozen=True, slots=True)
class Line:
    """A bound as weights over composition and mass: a dough keeps it when the total is at most `most`."""

    bound: Bound
    of: Mapping[str, float]
    per_g: float
    most: float
    pieces: int = 1
    kept: float = 1.0  # share of the dough that the oven leaves
    sign: float = 1.0  # -1 where it is a least

    def value(self, context: Context) -> float | None:
        """The figure itself, as nutrition tells it; None where a line does not know all that counts, or it is a
        ratio."""
        total = 0.0
        for i, line in zip(context.ingredients, context.formula.lines, strict=True):
            if mass(line) > 0:
                if i is None or any(i.per_gram(nutrient) is None for nutrient in self.of):
                    return None
                total += self.brings(i) * mass(line)
        if self.bound.nutrient == "ketogenic_ratio" or total == 0:
            return None
        whole = self.pieces if self.bound.per == "piece" else context.formula.dough_g * self.kept / 100
        return self.sign * total / whole

    def brings(self, ingredient: Ingredient) -> float:
        """What is in a gram of an ingredient of the figures that count, those that help below 0; what nobody
        knows is left out."""
        known = ((w, ingredient.per_gram(nutrient)) for nutrient, w in self.of.items())
        return sum(w * value for w, value in known if value is not None)

    def per_gram(self, ingredient: Ingredient) -> float:
        """What a gram of an ingredient adds to the total."""
        return self.per_g + self.brings(ingredient)

    def over(self, context: Context) -> float:
        """How far a dough is over, in the unit of the total."""
        lines = zip(context.ingredients, context.formula.lines, strict=True)
        return sum(self.per_gram(i) * mass(line) for i, line in lines if i is not None) - self.most

    def aim(self, dough_g: float) -> Aim:
        """What the balance is to reach: a little inside the bound."""
        scale = max(abs(self.most), abs(self.per_g) * dough_g)
        inside = SHORT_OF * scale
        return Aim(str(self.bound), self.of, self.per_g, self.most - inside, max(CLOSE * scale, 1e-3))


def lines_of(bound: Bound, pieces: int | None, loss: float) -> tuple[Line, ...]:
    """A bound as totals, one for each end it has; none for what is no sum over lines (water as baked).

    Units:    loss is the share of the dough lost in the oven
    Range:    0 <= loss < 1
    Source:   arithmetic: a most of x per 100 g baked is a total less x (1 - loss) / 100 of each gram raw

    >>> carbs = Bound("carbohydrate_g", most=20.0)
    >>> [(line.of, line.per_g, line.most) for line in lines_of(carbs, 8, 0.1)]
    [({'carbohydrate_g': 1.0}, 0.0, 160.0)]
    """
    found = []
    for sign, end in ((1.0, bound.most), (-1.0, bound.least)):
        if end is None:
            continue
        if bound.nutrient == "ketogenic_ratio":
            net = {name: sign * -end * w for name, w in LESS["net_carbs_g"].items()}
            found.append(Line(bound, {"fat_g": sign, "protein_g": sign * -end, **net}, 0.0, 0.0))
            continue
        weights = LESS.get(bound.nutrient) or ({bound.nutrient: 1.0} if bound.nutrient in SUMMED else {})
        if not weights or bound.nutrient == "water_g":
            continue
        of = {name: sign * w for name, w in weights.items()}
        if bound.per == "piece":
            found.append(Line(bound, of, 0.0, sign * end * (pieces or 1), pieces or 1, sign=sign))
        else:
            found.append(Line(bound, of, -sign * end * (1 - loss) / 100, 0.0, kept=1 - loss, sign=sign))
    return tuple(found)


def movable(context: Context, kept: Iterable[int], lines: Iterable[Line]) -> dict[int, tuple[float, float]]:
    """How far lines may be moved for these bounds, as shares of their mass: the narrowest of their kinds', and
    only less of what a figure has too much of, or more of what it lacks. Nothing is put in to thin the rest.
    """
    found: dict[int, tuple[float, float]] = {}
    still, asked = frozenset(kept), tuple(lines)
    for at, ingredient in enumerate(context.ingredients):
        if ingredient is None or at in still or mass(context.formula.lines[at]) <= 0:
            continue
        bands = [
            kind.moves
            for name in ingredient.classes
            if (kind := context.book.classes.get(name)) is not None and kind.moves is not None
        ]
        brought = [line.brings(ingredient) for line in asked]
        low = max((b.low for b in bands), default=1.0) if any(b > 0 for b in brought) else 1.0
        high = min((b.high for b in bands), default=1.0) if any(b < 0 for b in brought) else 1.0
        if low < high:
            found[at] = low, high
    return found
