"""What the rulebook holds, as frozen values. Each mirrors one kind of entry in `rules/`."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from assistant.rulebook.conditions import Comparison
from assistant.words.derivation import Grade
from assistant.words.faults import Place

NUTRIENTS: Mapping[str, str] = {
    "water_g": "g",
    "energy_kcal": "kcal",
    "protein_g": "g",
    "fat_g": "g",
    "saturated_g": "g",
    "carbohydrate_g": "g",
    "starch_g": "g",
    "sugars_g": "g",
    "sucrose_g": "g",
    "glucose_g": "g",
    "fructose_g": "g",
    "lactose_g": "g",
    "maltose_g": "g",
    "polyols_g": "g",
    "polyols_deducted_g": "g",
    "allulose_g": "g",
    "fibre_g": "g",
    "soluble_fibre_g": "g",
    "insoluble_fibre_g": "g",
    "ash_g": "g",
    "sodium_mg": "mg",
    "potassium_mg": "mg",
    "organic_acids_g": "g",
    "alcohol_g": "g",
}
"""Figures of composition, per 100 g as sold. `carbohydrate_g` is total, by difference;
`polyols_deducted_g` is the part of the polyols that net carbohydrate leaves out."""

PURPOSES = ("wheat-like", "neutral", "nutty", "soft", "chewy", "crisp")
"""What a blend of flours may be wanted to be like."""
TOLD = (
    "energy_kcal", "protein_g", "fat_g", "saturated_g", "carbohydrate_g", "available_carbohydrate_g",
    "net_carbs_g", "sugars_g", "polyols_g", "fibre_g", "soluble_fibre_g", "insoluble_fibre_g",
    "unsplit_fibre_g", "sodium_mg", "water_g", "ketogenic_ratio",
)  # fmt: skip
"""Nutrients that answers tell of a recipe and that diets may count, in their order."""

ORIGINS = (
    "plant", "dairy", "egg", "honey", "meat", "fish", "insect", "fungus", "mineral", "synthetic", "unknown",
)  # fmt: skip
ENTERS = ("dry", "wet", "fat", "yeast", "folded", "topping")
"""Where an ingredient joins the dough: with the flours, with the liquids, with the fat, in the yeast's
water, folded in at the end, or on top."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit, source key and grade; `low` and `high` where sources differ.

    `locator` is the row within the source (a food number, a table, a section); `method` how it was
    determined where that matters (fibre).
    """

    value: float
    unit: str
    source: str
    grade: Grade
    locator: str = ""
    low: float | None = None
    high: float | None = None
    method: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """A publication that figures and rules rest on."""

    id: str
    title: str
    author: str = ""
    year: str = ""
    place: str = ""  # edition, publisher, DOI
    read: str = ""  # date read, or "from memory"
    took: str = ""  # what we took from it


@dataclass(frozen=True, slots=True)
class Reactant:
    """An acid or base an ingredient brings: `amount` in meq per g of the ingredient."""

    species: str
    amount: Figure


@dataclass(frozen=True, slots=True)
class Buffer:
    """How an ingredient resists a change of pH: mmol H+ per kg and pH unit about its own pH."""

    strength: Figure
    own_ph: Figure


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One thing a baker buys: what it is made of, weighs, does, and whom it may harm.

    `sweetest` is the sweetness, in % sucrose, that an intense sweetener never passes however much is used;
    `laxative_from` how much of its polyols (or allulose) a sitting bears, in g per kg of body mass.
    `like` is the ingredient that an own one from a packet was said to be like; rules speak of both.
    """

    id: str
    name: str
    family: str  # the file it stands in
    plural: str = ""
    aliases: tuple[str, ...] = ()
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # by language tag
    classes: tuple[str, ...] = ()  # ids that swaps and diets may speak of
    enters: str = "dry"
    origin: tuple[str, ...] = ("unknown",)
    compound: str = ""  # what is unknown about it, when it is itself made of several things
    composition: Mapping[str, Figure] = field(default_factory=dict)
    measures: Mapping[str, Figure] = field(default_factory=dict)  # g per cup, tbsp, tsp, each, packet, ...
    does: Mapping[str, Figure] = field(default_factory=dict)  # function id -> strength in its unit
    acids: tuple[Reactant, ...] = ()
    bases: tuple[Reactant, ...] = ()
    buffer: Buffer | None = None
    sweetest: Figure | None = None
    laxative_from: Figure | None = None
    contains: tuple[str, ...] | None = None  # allergen ids; None is unknown
    may_contain: tuple[str, ...] = ()
    flavour: tuple[str, ...] = ()
    colour: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    like: str = ""

    def per_gram(self, nutrient: str) -> float | None:
        """A figure of composition per g, or None when unknown."""
        figure = self.composition.get(nutrient)
        return None if figure is None else figure.value / 100


@dataclass(frozen=True, slots=True)
class IngredientClass:
    """A kind of ingredient that rules speak of as one.

    `name` and `aliases` are what people call it; `usual` the ingredient they mean when they say no more
    than that, "" where nothing is usual. `may_hold` are figures of composition that tables leave out of
    foods without them and that this kind may have all the same. `moves` is how far its mass may be moved, as
    a share of what is written, while the recipe stays that recipe; from 0 it may be left out.
    """

    id: str
    name: str
    aliases: tuple[str, ...] = ()
    usual: str = ""
    offered: tuple[str, ...] = ()
    what: str = ""
    may_hold: tuple[str, ...] = ()
    moves: "Band | None" = None
    evidence: tuple["Evidence", ...] = ()


@dataclass(frozen=True, slots=True)
class Acid:
    """A species of the charge balance or a leavening acid with a tabulated neutralising value.

    `pka` are its steps at 25 C; `charge` the charge of the fully protonated form. `release` are the
    shares of its reaction with soda while mixing, on the bench and in the oven.
    """

    id: str
    name: str
    formula: str
    molar_mass: Figure  # g/mol
    pka: tuple[Figure, ...] = ()
    charge: int = 0
    neutralising_value: Figure | None = None  # g soda per 100 g
    release: Mapping[str, Figure] = field(default_factory=dict)  # mix, bench, oven -> share
    wakes_c: Figure | None = None  # temperature that starts a heat-woken acid


@dataclass(frozen=True, slots=True)
class Function:
    """Something an ingredient does in a dough.

    `of` gives the strength per g from figures of composition (weights per 100 g figure) where the
    ingredient itself states none; `tolerance` is the change nobody notices, in the unit, per 100 g of
    flours; `matters_from` the amount per 100 g of flours from which the function counts as present.
    `structure`: without it the crumb has nothing to stand on, so what served it can't just be left out.
    """

    id: str
    name: str
    unit: str
    what: str
    of: Mapping[str, float] = field(default_factory=dict)
    tolerance: float = 0.0
    matters_from: float = 0.0
    structure: bool = False
    evidence: tuple["Evidence", ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a rule rests on."""

    source: str
    grade: Grade
    gives: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """A range with its centre."""

    low: float
    centre: float
    high: float


@dataclass(frozen=True, slots=True)
class Product:
    """A class of baked goods and what the trade knows of it.

    `becomes` names the class this one turns into when it is raised another way; `cannot` says why it
    can't be, when it can't. Bands: `oven_c` C, `minutes` min, `hydration_pct` water of flour weight,
    `powder_pct` baking powder and `yeast_pct` instant dry yeast per 100 g of `dose_on`, `core_c` C,
    `loss_pct` bake loss of dough mass, `specific_volume` mL/g, `fill_pct` how full of dough its tin usually is.
    `height_table` names the printed table for high kitchens that speaks of it.
    """

    id: str
    name: str
    raised_by: str  # "yeast", "chemical", "foam", "none"
    dose_on: str = "flours"  # or "flours and fibre"
    becomes: Mapping[str, str] = field(default_factory=dict)  # "chemical" | "yeast" -> product id
    cannot: str = ""
    aliases: tuple[str, ...] = ()
    signs: Mapping[str, Any] = field(default_factory=dict)  # how a formula is recognised
    oven_c: Band | None = None
    minutes: Band | None = None
    hydration_pct: Band | None = None
    powder_pct: Band | None = None
    yeast_pct: Band | None = None
    salt_pct: Band | None = None
    core_c: Band | None = None
    loss_pct: Band | None = None
    specific_volume: Band | None = None
    gas_kept: Band | None = None  # share of gas released that the crumb keeps
    gas_fraction: Band | None = None  # of the raised dough entering the oven
    fill_pct: Band | None = None
    height_table: str = ""
    shape: Mapping[str, Any] = field(default_factory=dict)
    doneness: tuple[str, ...] = ()  # signals a baker looks for
    crumb: Mapping[str, float] = field(default_factory=dict)
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Turn:
    """What changes in the bake when one class of product becomes another: trade practice."""

    id: str
    source_product: str
    target_product: str
    oven_change_c: Band
    time_factor: Band  # product-class share, on top of what heat flow explains
    method: tuple[Mapping[str, Any], ...] = ()  # steps that arrive
    because: str = ""
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of a stand-in arrives, and what sets it.

    Either `ratio` (g per g replaced) or `dose` (a band of the target class, by its name in `Product`:
    "powder_pct", "yeast_pct") or `closes` (as much as the named need asks for).
    """

    ingredient: str = ""
    any_of: str = ""  # a class; any member may serve
    ratio: Band | None = None
    dose: str = ""
    closes: str = ""


@dataclass(frozen=True, slots=True)
class Example:
    """A case a rule must get right: what is given and what is expected ("refused" or amounts)."""

    name: str
    given: Mapping[str, Any]
    expect: Any


@dataclass(frozen=True, slots=True)
class Swap:
    """An exchange: what leaves, in which context, what comes in, what must come along."""

    id: str
    title: str
    replaces: str  # an ingredient id or, with replaces_any, a class
    replaces_any: bool
    serves: tuple[str, ...]
    stand_ins: tuple[Amount, ...]
    also: tuple[Amount, ...] = ()
    when: Mapping[str, Any] = field(default_factory=dict)
    adjust: tuple[str, ...] = ()  # classes of lines that balance may move
    raises: str = ""  # how the dough is raised afterwards, when that changes
    keeps: tuple[str, ...] = ()
    loses: Mapping[str, str] = field(default_factory=dict)
    steps: tuple[Mapping[str, Any], ...] = ()
    oven_change_c: float = 0.0
    because: str = ""
    refuse: str = ""  # when it does not work: why
    printed: tuple[Mapping[str, Any], ...] = ()
    evidence: tuple[Evidence, ...] = ()
    cautions: tuple[str, ...] = ()
    status: Literal["proposed", "tried", "retired"] = "tried"
    examples: tuple[Example, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A place in a blend: what it does there, who may take it, and how much.

    `any_of` are ingredients or classes, the usual ones first; `share` is in % of the blend by mass.
    An `optional` part may stay empty.
    """

    role: str  # bulk, starch, structure, binder, fibre, fat, flavour
    any_of: tuple[str, ...]
    share: Band
    because: str
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Aim:
    """A figure a blend should have: per 100 g for nutrients, per g for functions.

    `value` None: that of the flour it stands in for. `tolerance` is the change nobody notices; above `high`
    it is no such blend any more.
    """

    figure: str
    tolerance: float
    value: float | None = None
    high: float | None = None
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Apart:
    """Ingredients or classes that should not meet in one blend, and why."""

    together: tuple[str, ...]
    because: str


@dataclass(frozen=True, slots=True)
class Blend:
    """A blend of flours for a purpose: its places, what it aims at, where it works.

    `gives` are words people ask for it by ("soft", "neutral"); `replaces` ingredients or classes whose
    place it takes; `ratio` g of blend for each g replaced; `suits` diets whose figures it is made for.
    """

    id: str
    name: str
    replaces: tuple[str, ...]
    parts: tuple[Part, ...]
    aims: tuple[Aim, ...]
    works_in: tuple[str, ...]
    ratio: Band
    gives: tuple[str, ...] = ()
    suits: tuple[str, ...] = ()
    avoid: tuple[Apart, ...] = ()
    adjust: tuple[str, ...] = ()  # what else to change, sentences
    because: str = ""
    printed: tuple[Mapping[str, Any], ...] = ()
    evidence: tuple[Evidence, ...] = ()
    cautions: tuple[str, ...] = ()
    status: Literal["proposed", "tried", "retired"] = "proposed"
    examples: tuple[Example, ...] = ()


@dataclass(frozen=True, slots=True)
class Need:
    """What one thing in a dough asks of the rest: soda an acid, yeast food, psyllium a rest."""

    id: str
    of: str  # a class or function of the line that needs
    kind: str  # "acid", "food", "rest", "water", "warmth", "hydrate"
    when: Mapping[str, Any] = field(default_factory=dict)
    met_by: tuple[str, ...] = ()  # classes or functions that meet it
    minutes: Band | None = None
    amount: Band | None = None  # in the unit the kind names
    because: str = ""
    evidence: tuple[Evidence, ...] = ()
    examples: tuple[Example, ...] = ()


@dataclass(frozen=True, slots=True)
class Diet:
    """What a diet forbids and counts, with its definition's source.

    `forbids` maps "origin", "allergen", "class" or "ingredient" to ids; `limits` are nutrient bounds;
    `doubt_when` allergens or classes whose mere "may contain" leaves the diet unconfirmed. `certified` are
    ingredients made from what is forbidden, of which only what its label certifies stays below the law's
    limit: they are not forbidden, and never confirmed either. `lacks` names functions for which the rulebook
    knows no way in this diet, with the reason.
    """

    id: str
    name: str
    definition: str
    forbids: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    limits: tuple[Mapping[str, Any], ...] = ()
    doubt_when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    certified: Mapping[str, str] = field(default_factory=dict)  # ingredient id -> what the label must say
    lacks: Mapping[str, str] = field(default_factory=dict)  # function id -> why
    aliases: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    examples: tuple[Example, ...] = ()


@dataclass(frozen=True, slots=True)
class Allergen:
    """An allergen that some law lists. `near` are ingredients or classes that some laws or bodies count with it, `kin`
    allergens that many who react to it can't have either: whoever avoids it is not offered them, and where they are
    there already it is told."""

    id: str
    name: str
    eu: bool
    us: bool
    part_of: str = ""
    note: str = ""
    aliases: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    kin: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Reaction:
    """Chemistry that bites: what meets what, when, what is seen, what helps."""

    id: str
    name: str
    between: tuple[str, ...]  # classes or ingredient ids; one is enough, unless `all_of`
    when: Mapping[str, Any]  # ph_baked, ph, gas ...
    seen: str
    helps: str
    safe: bool
    because: str = ""
    evidence: tuple[Evidence, ...] = ()
    examples: tuple[Example, ...] = ()


@dataclass(frozen=True, slots=True)
class Caution:
    """Something to know though the answer stands. Shown when any condition of `when` holds."""

    id: str
    text: str
    when: Mapping[str, Any] = field(default_factory=dict)
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part that a recipe has beside its dough, and when it meets the oven.

    `baked`: "as dough", "inside", "on top" or "after"; `words` name it in a heading. One that is not `firm`
    goes by what the method says of it. `product` is the class it is of, where it is made by itself.
    """

    id: str
    baked: str
    words: tuple[str, ...]
    firm: bool = False
    product: str = ""
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """What the numbers of a recipe can show as the cause of a trouble; all that is given must hold.

    `comparison` is met by `number`, or `number` lies outside the class's `band` at its `end` ("low", "high").
    """

    id: str
    number: str = ""
    comparison: Comparison | None = None
    band: str = ""
    end: str = ""
    raised_by: str = ""
    reactions: tuple[str, ...] = ()
    baked: bool = False  # only where the bake has been worked out
    says: str = ""
    tells: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Trouble:
    """What goes wrong with a bake: causes that numbers may show, and what a baker looks at anyhow."""

    id: str
    name: str
    causes: tuple[str, ...] = ()
    usual: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class StepText:
    """How a kind of step is written in a language; `{dry}`, `{wet}`, `{minutes}` ... are filled in.

    `stage` is the kind of formula step it becomes: mix, rest, proof ...
    """

    id: str
    kind: str
    language: str
    text: str
    minutes: Band | None = None
    stage: str = ""
    temperature_c: float | None = None  # what its sentence speaks of: of the bloom, the liquid, the dough


@dataclass(frozen=True, slots=True)
class Rulebook:
    """Everything the rules say, by id. Read-only; a person's shelf gives a new one."""

    ingredients: Mapping[str, Ingredient]
    acids: Mapping[str, Acid]
    functions: Mapping[str, Function]
    products: Mapping[str, Product]
    turns: Mapping[str, Turn]
    swaps: Mapping[str, Swap]
    needs: Mapping[str, Need]
    diets: Mapping[str, Diet]
    allergens: Mapping[str, Allergen]
    reactions: Mapping[str, Reaction]
    cautions: Mapping[str, Caution]
    steps: Mapping[str, StepText]
    sources: Mapping[str, Source]
    classes: Mapping[str, IngredientClass] = field(default_factory=dict)
    blends: Mapping[str, Blend] = field(default_factory=dict)
    parts: Mapping[str, PartKind] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    troubles: Mapping[str, Trouble] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)  # "swaps/ID" -> where the entry stands
    digest: str = ""  # of the files it was read from
    remembered: dict[Hashable, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """What others have worked out from it once, under their own name; goes when it goes."""

    def members(self, class_id: str) -> tuple[Ingredient, ...]:
        """Ingredients of a class, by id."""
        key = ("members", class_id)
        if key not in self.remembered:
            self.remembered[key] = tuple(i for _, i in sorted(self.ingredients.items()) if class_id in i.classes)
        found: tuple[Ingredient, ...] = self.remembered[key]
        return found
