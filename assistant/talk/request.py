"""What a person may ask, one frozen value per kind of chat turn of the JSON contract."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import ClassVar, Literal

System = Literal["metric", "us"]


@dataclass(frozen=True, slots=True)
class Request:
    """Something asked for. `kind` and `slots()` are what scripts read.

    Ingredients are rules ids, or the words of a line the rulebook does not know.

    >>> Replace("buttermilk").kind, Replace("buttermilk").slots()
    ('replace', {'ingredient': 'buttermilk'})
    """

    kind: ClassVar[str] = "unknown"
    unspoken: ClassVar[frozenset[str]] = frozenset()
    """Fields that are for us and no slots."""

    def slots(self) -> dict[str, object]:
        """What was filled in: None is left out, a tuple becomes a list."""
        found = {f.name: getattr(self, f.name) for f in fields(self) if f.name not in self.unspoken}
        return {k: _plain(v) for k, v in found.items() if v is not None}


def _plain(value: object) -> object:
    if isinstance(value, Request):
        return value.slots()
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return dict(value) if isinstance(value, Mapping) else value


@dataclass(frozen=True, slots=True)
class Replace(Request):
    """Something is missing or unwanted; `ingredient` None is "the one we spoke of", `part` the part of the recipe
    it is meant in, where that was said.

    `all_of` is the class that was named when it was a whole kind ("no yeast"): none of it will do.
    """

    kind = "replace"
    unspoken = frozenset({"all_of"})
    ingredient: str | None = None
    substitute: str | None = None
    all_of: str = ""
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Avoid(Request):
    """What a recipe must keep to, all at once, by rules id; a line the rulebook does not know by its name.

    Besides diets and allergens: what to leave `without`, lines to `keep`, `amounts` that lines are set to (g),
    figures as `targets`, `only_have` for nothing but what is in the house, how it is `raised` ("yeast",
    "chemical"), and the most new ingredients (`newest`).
    """

    kind = "avoid"
    diets: tuple[str, ...] = ()
    allergens: tuple[str, ...] = ()
    without: tuple[str, ...] | None = None
    keep: tuple[str, ...] | None = None
    amounts: Mapping[str, float] | None = None
    targets: "tuple[Target, ...] | None" = None
    only_have: bool | None = None
    raised: str | None = None
    newest: int | None = None

    def with_more(self, more: "Avoid") -> "Avoid":
        """Both together; of one amount, figure or number the later word counts.

        >>> Avoid(("vegan",)).with_more(Avoid(keep=("psyllium-husk",))).slots()
        {'diets': ['vegan'], 'allergens': [], 'keep': ['psyllium-husk']}
        """
        amounts = {**(self.amounts or {}), **(more.amounts or {})}
        later = {(t.nutrient, t.per, t.min is None) for t in more.targets or ()}
        targets = [t for t in self.targets or () if (t.nutrient, t.per, t.min is None) not in later]
        return Avoid(
            _both(self.diets, more.diets),
            _both(self.allergens, more.allergens),
            _both(self.without, more.without) or None,
            tuple(k for k in _both(self.keep, more.keep) if k not in amounts) or None,
            amounts or None,
            (*targets, *(more.targets or ())) or None,
            self.only_have or more.only_have,
            more.raised or self.raised,
            self.newest if more.newest is None else more.newest,
        )


def _both(one: tuple[str, ...] | None, other: tuple[str, ...] | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*(one or ()), *(other or ()))))


@dataclass(frozen=True, slots=True)
class Explain(Request):
    """Why something is so: an ingredient (in a `part`), a topic ("acid", "bake time"), "option 2"."""

    kind = "explain"
    subject: str = ""
    part: str | None = None


@dataclass(frozen=True, slots=True)
class WhatIf(Request):
    """A change to try: `omit`, or an ingredient with a `factor`, `delta_g` (g) or `substitute`; in a `part`."""

    kind = "whatif"
    omit: str | None = None
    ingredient: str | None = None
    factor: float | None = None
    delta_g: float | None = None
    substitute: str | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Scale(Request):
    """Another yield: a factor, a number of pieces, dough per piece or in all (g); `part`: of that part alone."""

    kind = "scale"
    factor: float | None = None
    pieces: int | None = None
    piece_g: float | None = None
    total_g: float | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Target(Request):
    """A bound on a nutrient of the contract, per piece or `per` "100g" baked; in the unit its name ends with."""

    kind = "target"
    nutrient: str = ""
    min: float | None = None
    max: float | None = None
    per: str | None = None


@dataclass(frozen=True, slots=True)
class Show(Request):
    """Something to see; `of` names the number whose working is asked for."""

    kind = "show"
    what: str = "recipe"
    of: str | None = None


@dataclass(frozen=True, slots=True)
class Compare(Request):
    """Options side by side, numbered from 1; 0 is the recipe as it was opened; none: all on the table."""

    kind = "compare"
    options: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Choose(Request):
    """An option by its number from 1; -1 is the last."""

    kind = "choose"
    option: int = 1


@dataclass(frozen=True, slots=True)
class Undo(Request):
    """The recipe as it was before; `all`: as it was opened."""

    kind = "undo"
    all: bool = False


@dataclass(frozen=True, slots=True)
class Redo(Request):
    """The change just undone, again."""

    kind = "redo"


@dataclass(frozen=True, slots=True)
class Bake(Request):
    """Where and in what it is baked; `oven` is "still" or "fan".

    The pan's `material`, its sides (`size_cm`, length and width or diameter, then perhaps depth) or what it holds
    (`litres`), minutes of steam at the start, and the most an oven can do (`at_most_C`).
    """

    kind = "bake"
    altitude_m: float | None = None
    oven: str | None = None
    pan: str | None = None
    shape: str | None = None
    pieces: int | None = None
    temperature_C: float | None = None
    material: str | None = None
    size_cm: tuple[float, ...] | None = None
    litres: float | None = None
    steam_min: float | None = None
    at_most_C: float | None = None


@dataclass(frozen=True, slots=True)
class Fit(Request):
    """Whether the dough fits a pan; without one, the recipe's own."""

    kind = "fit"
    pan: str | None = None
    size_cm: tuple[float, ...] | None = None
    litres: float | None = None


@dataclass(frozen=True, slots=True)
class Schedule(Request):
    """When it must be ready, as HH:MM."""

    kind = "schedule"
    ready: str = ""


@dataclass(frozen=True, slots=True)
class Units(Request):
    """Grams, or cups and spoons beside them."""

    kind = "units"
    system: System = "metric"


@dataclass(frozen=True, slots=True)
class Convert(Request):
    """A household measure of an ingredient in grams, or grams in household measures."""

    kind = "convert"
    ingredient: str = ""
    quantity: float = 1.0
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Pantry(Request):
    """What is in the house, by rules id; `bake` asks what can be baked with it."""

    kind = "pantry"
    have: tuple[str, ...] = ()
    bake: bool | None = None


@dataclass(frozen=True, slots=True)
class Open(Request):
    """Another recipe."""

    kind = "open"
    name: str = ""


@dataclass(frozen=True, slots=True)
class Save(Request):
    """Keep the recipe, under a name or under its own."""

    kind = "save"
    name: str | None = None


@dataclass(frozen=True, slots=True)
class Publish(Request):
    """A card or page to hand on; `locale` is a language tag."""

    kind = "publish"
    format: str | None = None
    locale: str | None = None


@dataclass(frozen=True, slots=True)
class Record(Request):
    """How a test bake went: minutes in the oven, mass out of it (g), core (C), and a remark."""

    kind = "record"
    minutes: float | None = None
    baked_g: float | None = None
    core_C: float | None = None
    remark: str | None = None


@dataclass(frozen=True, slots=True)
class Diagnose(Request):
    """What went wrong with a bake: "gummy", "dense" ..."""

    kind = "diagnose"
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Instead(Request):
    """A stand-in outside any recipe, for a quantity as written ("1 cup"), that keeps to `diets` and, where flours
    are blended, to `purposes` ("soft")."""

    kind = "instead"
    ingredient: str = ""
    quantity: str | None = None
    diets: tuple[str, ...] | None = None
    purposes: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Packet(Request):
    """An own ingredient, as its packet's label tells it, so far as it was said.

    `ingredient` is as the person calls it, `like` and the allergens are rules ids; `figures` as printed for
    `per` ("30 g"), those of `less` printed as "less than". `skipped` are figures the label does not tell,
    `keep` that it may be kept though it does not add up.
    """

    kind = "packet"
    unspoken = frozenset({"unread", "keep", "skipped", "less", "household"})
    ingredient: str | None = None
    per: str | None = None
    convention: str | None = None
    figures: Mapping[str, float] | None = None
    like: str | None = None
    contains: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] | None = None
    less: tuple[str, ...] = ()
    household: tuple[float, str] | None = None
    skipped: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    keep: bool = False

    def with_more(self, more: "Packet") -> "Packet":
        """With what was said since; what was said before stays where nothing new was."""
        figures = {**(self.figures or {}), **(more.figures or {})}
        given = {f.name: v for f in fields(more) if (v := getattr(more, f.name)) not in (None, (), False)}
        less = (*(name for name in self.less if name not in (more.figures or {})), *more.less)
        skipped = tuple(name for name in (*self.skipped, *more.skipped) if name not in figures)
        return replace(self, **given | {"figures": figures, "less": less, "skipped": skipped})


@dataclass(frozen=True, slots=True)
class Forget(Request):
    """An own ingredient that is to go from the shelf, as the person calls it."""

    kind = "forget"
    ingredient: str = ""


@dataclass(frozen=True, slots=True)
class Help(Request):
    """What can be asked."""

    kind = "help"


@dataclass(frozen=True, slots=True)
class Quit(Request):
    """The end; `discard`: what is unsaved may go."""

    kind = "quit"
    unspoken = frozenset({"discard"})
    discard: bool = False


@dataclass(frozen=True, slots=True)
class Clarify(Request):
    """Several things may be meant: the choices as sentences, and the request behind each."""

    kind = "clarify"
    unspoken = frozenset({"requests"})
    choices: tuple[str, ...] = ()
    requests: tuple[Request, ...] = ()


@dataclass(frozen=True, slots=True)
class Decline(Request):
    """Nothing is to be done: the person wants none of it, or it is not ours to answer (`because`)."""

    kind = "decline"
    unspoken = frozenset({"because"})
    because: str = ""


@dataclass(frozen=True, slots=True)
class Unknown(Request):
    """Not understood."""

    kind = "unknown"
