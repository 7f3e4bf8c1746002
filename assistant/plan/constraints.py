"""What an altered recipe must keep to, all at once: diets, allergens, a cupboard, figures, lines to keep."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from assistant.plan.diets import doubts_of, forbidden, traces
from assistant.plan.functions import Context, is_any, mass
from assistant.plan.model import Nutrition
from assistant.rulebook.model import Diet, Ingredient, Rulebook


@dataclass(frozen=True, slots=True)
class Bound:
    """A figure to stay within: a nutrient of the contract, per piece or per 100 g as baked, in its own unit.

    `of` is the diet that asks for it, or "" when the person does.
    """

    nutrient: str
    per: str = "piece"
    least: float | None = None
    most: float | None = None
    of: str = ""

    def __str__(self) -> str:
        name = self.nutrient.rpartition("_")[0].replace("_", " ") or self.nutrient
        unit = self.nutrient.rpartition("_")[2]
        name, unit = (name, f" {unit}") if unit in ("g", "mg", "kcal") else (self.nutrient.replace("_", " "), "")
        per = "per piece" if self.per == "piece" else "per 100 g"
        ends = [
            *([f"at least {self.least:g}{unit}"] if self.least is not None else []),
            *([f"at most {self.most:g}{unit}"] if self.most is not None else []),
        ]
        return f"{name} {' and '.join(ends)} {per}"

    def misses(self, value: float) -> float:
        """By what share of the bound a value misses it; 0 when it is kept.

        >>> Bound("net_carbs_g", most=5.0).misses(6.0)
        0.2
        >>> Bound("protein_g", least=10.0).misses(12.0)
        0.0
        """
        over = 0.0 if self.most is None else value - self.most
        under = 0.0 if self.least is None else self.least - value
        worst = max(over, under, 0.0)
        scale = abs((self.most if over >= under else self.least) or 0.0)
        return worst if scale == 0 else worst / scale


@dataclass(frozen=True, slots=True)
class Constraints:
    """Everything wished for at once. Diets, allergens, ingredients and classes by rules id.

    `without` may also hold a name the rulebook does not know, for a line that is called so. `have` is the
    cupboard: with it nothing else comes in, and what is not in it goes; empty, anything may. `keep` are
    ingredients (or names) of lines that neither leave nor change; `amounts` lines set to a mass, g.
    `raised` is how the dough should be raised ("yeast", "chemical"); `newest` the most new ingredients.
    `prices` are per kg, by ingredient; `cost` the most a batch may cost, in the same money.
    """

    diets: tuple[str, ...] = ()
    allergens: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    have: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    amounts: Mapping[str, float] = field(default_factory=dict)
    bounds: tuple[Bound, ...] = ()
    raised: str = ""
    newest: int | None = None
    prices: Mapping[str, float] = field(default_factory=dict)
    cost: float | None = None

    def parts(self) -> tuple["Part", ...]:
        """Each single thing asked for, so that it can be told which of them block."""
        return (
            *(Part("diets", d) for d in self.diets),
            *(Part("allergens", a) for a in self.allergens),
            *(Part("without", w) for w in self.without),
            *((Part("have", ""),) if self.have else ()),
            *(Part("keep", k) for k in self.keep),
            *(Part("amounts", a, g) for a, g in sorted(self.amounts.items())),
            *(Part("bounds", b) for b in self.bounds),
            *((Part("raised", self.raised),) if self.raised else ()),
            *((Part("newest", str(self.newest)),) if self.newest is not None else ()),
            *((Part("cost", f"{self.cost:g}"),) if self.cost is not None else ()),
        )

    def only(self, parts: Iterable["Part"]) -> "Constraints":
        """The same wishes, of which only these parts stand. Prices are no wish and stay."""
        kept = frozenset(parts)
        return replace(
            self,
            diets=tuple(d for d in self.diets if Part("diets", d) in kept),
            allergens=tuple(a for a in self.allergens if Part("allergens", a) in kept),
            without=tuple(w for w in self.without if Part("without", w) in kept),
            have=self.have if Part("have", "") in kept else (),
            keep=tuple(k for k in self.keep if Part("keep", k) in kept),
            amounts={a: g for a, g in self.amounts.items() if Part("amounts", a, g) in kept},
            bounds=tuple(b for b in self.bounds if Part("bounds", b) in kept),
            raised=self.raised if Part("raised", self.raised) in kept else "",
            newest=self.newest if Part("newest", str(self.newest)) in kept else None,
            cost=self.cost if any(p.kind == "cost" for p in kept) else None,
        )


@dataclass(frozen=True, slots=True)
class Part:
    """One thing asked for: its field in Constraints, and what stands there (with the grams it is set to)."""

    kind: str
    what: "str | Bound"
    grams: float = 0.0


def said(part: Part, book: Rulebook) -> str:
    """A single wish in words.

    >>> said(Part("raised", "yeast"), None)
    'raised by yeast'
    """
    what = str(part.what)
    if part.kind == "diets":
        return book.diets[what].name
    if part.kind == "allergens":
        return f"no {book.allergens[what].name}"
    known = book.ingredients.get(what) or book.classes.get(what) if book is not None else None
    name = what if known is None else known.name
    return {
        "without": f"no {name}",
        "have": "only what is in the cupboard",
        "keep": f"keep the {name}",
        "amounts": f"{name} at {part.grams:g} g",
        "bounds": what,
        "raised": f"raised by {what}",
        "newest": f"at most {what} new ingredients",
        "cost": f"a batch at most {what}",
    }[part.kind]


def wished(constraints: Constraints, book: Rulebook) -> str:
    """All that is wished for, in words.

    >>> wished(Constraints(raised="yeast", newest=0), None)
    'raised by yeast and at most 0 new ingredients'
    """
    *first, last = [said(part, book) for part in constraints.parts()] or ["nothing"]
    return f"{', '.join(first)} and {last}" if first else last


def contradiction(constraints: Constraints, book: Rulebook) -> str:
    """Two wishes that no recipe could keep, whatever is in it, as a phrase; "" when there are none.

    >>> contradiction(Constraints(bounds=(Bound("fibre_g", least=10.0), Bound("fibre_g", most=5.0))), None)
    "fibre at least 10 g and at most 5 g per piece can't be"
    """
    for name in (*constraints.keep, *constraints.amounts, *constraints.have):
        if name in constraints.without:
            known = book.ingredients.get(name) or book.classes.get(name)
            return f"{name if known is None else known.name} can't stay and be left out"
    for name in constraints.amounts:
        if name in constraints.keep:
            known = book.ingredients.get(name) or book.classes.get(name)
            return f"{name if known is None else known.name} can't stay as it is and be set"
    ends: dict[tuple[str, str], Bound] = {}
    for bound in constraints.bounds:
        held = ends.get((bound.nutrient, bound.per), bound)
        least = max((b.least for b in (held, bound) if b.least is not None), default=None)
        most = min((b.most for b in (held, bound) if b.most is not None), default=None)
        both = ends[bound.nutrient, bound.per] = Bound(bound.nutrient, bound.per, least, most)
        if least is not None and most is not None and least > most:
            return f"{both} can't be"
    return ""


def bounds_of(constraints: Constraints, book: Rulebook) -> tuple[Bound, ...]:
    """The figures to stay within: those said, and those that the diets count."""
    counted = [
        Bound(str(limit["nutrient"]), str(limit["per"]), limit.get("min"), limit.get("max"), diet)
        for diet in constraints.diets
        for limit in book.diets[diet].limits
    ]
    return (*constraints.bounds, *counted)


class Admission:
    """Which ingredients the wishes let in, remembered for one run over many recipes."""

    def __init__(self, constraints: Constraints, book: Rulebook) -> None:
        self.constraints = constraints
        self.book = book
        self.diets: tuple[Diet, ...] = tuple(book.diets[d] for d in constraints.diets)
        self.allergens = frozenset(constraints.allergens) | {
            a.id for a in book.allergens.values() if a.part_of in constraints.allergens
        }
        avoided = self.allergens.union(*(diet.forbids.get("allergen", ()) for diet in self.diets))
        known = [book.allergens[a] for a in avoided if a in book.allergens]
        self.near = frozenset(n for a in known for n in a.near)
        self.kin = frozenset(k for a in known for k in a.kin)
        self._refused: dict[str, str] = {}
        self._doubted: dict[str, bool] = {}

    def refuses(self, ingredient: Ingredient) -> str:
        """Why an ingredient must not be in the recipe, as a phrase; empty when it may."""
        known = self._refused.get(ingredient.id)
        if known is None:
            known = self._refused[ingredient.id] = self._why(ingredient)
        return known

    def doubts(self, ingredient: Ingredient) -> bool:
        """Whether an ingredient leaves a wished-for diet or allergen unconfirmed."""
        known = self._doubted.get(ingredient.id)
        if known is None:
            beside = traces(ingredient.may_contain, self.book)
            known = self._doubted[ingredient.id] = (
                any(doubts_of(ingredient, diet, self.book) for diet in self.diets)
                or self._beside(ingredient)
                or (bool(self.allergens) and ingredient.contains is None)
                or not self.allergens.isdisjoint(beside)
            )
        return known

    def admits(self, ingredient: Ingredient) -> bool:
        """Whether an ingredient may come in: nothing refuses it, no law counts it with what is avoided, and its
        contents are known where that matters, or certified by a label."""
        return not self.refuses(ingredient) and not self._beside(ingredient) and (
            ingredient.contains is not None
            or not (self.allergens or any(d.forbids and ingredient.id not in d.certified for d in self.diets))
        )

    def _beside(self, ingredient: Ingredient) -> bool:
        """Whether an ingredient is counted with what is avoided by some, or is kin to it."""
        return is_any(ingredient, self.near) or not self.kin.isdisjoint(ingredient.contains or ())

    def _why(self, ingredient: Ingredient) -> str:
        for diet in self.diets:
            breach = forbidden(ingredient, diet, self.book)
            if breach:
                return breach
        for allergen in sorted(self.allergens & set(ingredient.contains or ())):
            return f"{ingredient.name} contains {self.book.allergens[allergen].name}"
        if is_any(ingredient, self.constraints.without):
            return f"{ingredient.name} is to be left out"
        if self.constraints.have and not is_any(ingredient, (*self.constraints.have, "water")):
            return f"{ingredient.name} is not in the cupboard"
        return ""


def breaking(context: Context, admission: Admission) -> dict[int, str]:
    """Lines that break a wish, with why. A line that weighs nothing is not there."""
    found = {}
    for at, (line, ingredient) in enumerate(zip(context.formula.lines, context.ingredients, strict=True)):
        if line.grams is not None and mass(line) <= 0:
            continue
        if ingredient is None:
            if line.name in admission.constraints.without:
                found[at] = f"{line.name} is to be left out"
            continue
        why = admission.refuses(ingredient)
        if why:
            found[at] = why
    return found


def kept_lines(context: Context, constraints: Constraints) -> frozenset[int]:
    """Places of the lines that are to stay as they are, or as they were set."""
    named = (*constraints.keep, *constraints.amounts)
    return frozenset(
        at
        for at, (line, i) in enumerate(zip(context.formula.lines, context.ingredients, strict=True))
        if line.name in named or (i is not None and is_any(i, named))
    )


@dataclass(frozen=True, slots=True)
class Missed:
    """A figure that is not kept: the bound, the value (None unknown), by what share."""

    bound: Bound
    value: float | None
    share: float


def missed(nutrition: Nutrition, bounds: Iterable[Bound]) -> tuple[Missed, ...]:
    """Bounds that a recipe does not keep, as far as is known; an unknown figure is not kept."""
    found = []
    for bound in bounds:
        table = nutrition.per_piece if bound.per == "piece" else nutrition.per_100g
        number = table.get(bound.nutrient)
        value = None if number is None or number.value is None else float(number.value)
        if value is None:
            found.append(Missed(bound, None, 1.0))
            continue
        share = bound.misses(value)
        if share > 0:
            found.append(Missed(bound, value, share))
    return tuple(found)
