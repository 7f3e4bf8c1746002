"""What can stand in for an ingredient outside any recipe: from the swap rules alone, for a quantity."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.formula.model import Formula, Line
from assistant.plan.blend import Asked, Blended, blends, figure
from assistant.plan.diets import ruling
from assistant.plan.draft import per_dose
from assistant.plan.functions import ACID, BASE, is_any, strength
from assistant.plan.model import Verdict
from assistant.plan.swaps import replaces, usual_of
from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import (
    TOLD,
    Amount,
    Band,
    Diet,
    Figure,
    Ingredient,
    Need,
    Product,
    Rulebook,
    Swap,
)
from assistant.words.derivation import BARE, FULL, GRADES, Derivation, Grade, Notes, stated
from assistant.words.units import grams_of, household, in_g, kind_of, read_quantity

USUAL_G = 100.0
"""For how much it is told when nobody said how much."""
PER_FLOUR_G = 100.0
"""Weight of flours that what goes by the dough is told for."""
NEAR = 0.15
"""Share of a mass within which a printed amount and a rule say the same."""
NO_LESS = 0.75
"""Share of a nutrient, of what was replaced, from which a stand-in is no help to who keeps that nutrient low."""
OTHERS_TOLD = 2
"""How many further members of a class are named beside the one that amounts are told for."""
WORKS, LIMITED, UNTRIED = "works", "works within limits", "not tried"
VERDICTS = (WORKS, LIMITED, UNTRIED)
UP_TO = "up to "
"""What stands before a printed amount that is the most of it."""
MEASURED = ("mix_c", "ph", "ph_baked", "net_carbs_per_100g", "altitude_m", "rest")
"""Conditions of a caution that only a whole recipe can meet."""
UNRAISED = "none"
FROM_MEMORY = "from memory"
"""When a source was read that nobody has looked up again."""
OF_CLASSES = ("product", "raised_by")
"""Conditions that are told as the classes of product where a rule holds."""


@dataclass(frozen=True, slots=True)
class Component:
    """Something that comes in: grams, the measure asked in, and spoons or cups.

    `grams` None: it goes by the dough it comes into, `per_flour` g to PER_FLOUR_G of flours, or is unknown
    altogether. `others` are names of further ingredients that would do as well; `kind` the class they
    are of.
    """

    ingredient: str
    name: str
    grams: Derivation | None
    amount: float | None
    unit: str
    because: str = ""
    spoons: tuple[float, str] | None = None
    per_flour: Derivation | None = None
    others: tuple[str, ...] = ()
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Printed:
    """What a published table prints for the same exchange.

    `grams` are its amounts as masses for the quantity asked, low and high, by ingredient; None where no
    measure turns them into grams. `agrees`: all of them are within NEAR of the rule's, which has nothing to say
    against it. `otherwise` says why the rule decides otherwise. `soda_left` is the share of the table's soda that its acids leave over.
    """

    source: str
    amount: str
    components: Mapping[str, str]
    note: str = ""
    otherwise: str = ""
    grams: Mapping[str, tuple[float, float] | None] | None = None
    agrees: bool = False
    soda_left: Derivation | None = None


@dataclass(frozen=True, slots=True)
class StandIn:
    """One exchange: what comes in, what comes along, where it works and what printed tables say.

    `spread` is the least and most of each component that agreeing tables print, g; `diets` what each diet
    asked for says of it, with the doubts that keep it from a yes.
    """

    rule: str
    title: str
    components: tuple[Component, ...]
    companions: tuple[Component, ...]
    adjust: tuple[str, ...]
    works_in: tuple[str, ...]
    not_in: tuple[str, ...]
    printed: tuple[Printed, ...]
    verdict: str
    grade: Grade
    cautions: tuple[str, ...]
    because: str = ""
    limits: tuple[str, ...] = ()
    gives_up: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    oven_change_c: float = 0.0
    spread: Mapping[str, tuple[float, float]] | None = None
    sources: tuple[str, ...] = ()
    diets: Mapping[str, Verdict] | None = None
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A plain "don't": why, the classes of product it is said of, and what tables print all the same."""

    rule: str
    title: str
    text: str
    in_classes: tuple[str, ...]
    printed: tuple[Printed, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StandIns:
    """Stand-ins for a quantity of an ingredient, the best tested first, and blends of flours.

    `refusals` say what does not work, `left_out` what the diets asked for forbid, `remarks` what they count
    on the whole recipe; `no_blends` say why blends that are meant for it are none, for the `purposes` asked for.
    """

    ingredient: str
    name: str
    grams: Derivation | None
    amount: float
    unit: str
    options: tuple[StandIn, ...]
    refusals: tuple[Refusal, ...] = ()
    product: str = ""
    diets: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    blends: tuple[Blended, ...] = ()
    no_blends: tuple[str, ...] = ()
    purposes: tuple[str, ...] = ()

    @property
    def refused(self) -> tuple[str, ...]:
        """The sentences of what does not work, each once."""
        return tuple(dict.fromkeys(each.text for each in self.refusals))


def instead(
    book: Rulebook,
    ingredient_id: str,
    amount: float | None = None,
    unit: str = "",
    product: str = "",
    diets: Sequence[str] = (),
    wanted: Sequence[str] = (),
    purposes: Sequence[str] = (),
    notes: Notes = FULL,
) -> StandIns:
    """Stand-ins for a quantity of an ingredient; for 100 g when none is said.

    `unit` is a unit of words.units or a household measure of the ingredient. With `product` only those
    that work in that class; with `diets` none that one of them forbids, and what can't be confirmed says
    so; `wanted` are members of open classes to be told before the usual ones; `purposes` are words for what a
    blend should be like. A quantity that no measure of the ingredient turns into grams leaves all grams
    unknown; a blend is then told for 100 g.

    Errors: KeyError for a diet that is not in the rulebook.
    """
    if amount is None:
        amount, unit = USUAL_G, "g"
    known = book.ingredients.get(ingredient_id)
    kept = tuple(book.diets[diet] for diet in diets)
    if known is None:
        return StandIns(ingredient_id, ingredient_id, None, amount, unit, (), product=product, diets=tuple(diets))
    unit = unit or "each"
    asked = _Asked(book, known, amount, unit, _grams(known, amount, unit, notes), product, kept, tuple(wanted), notes)
    found: list[StandIn] = []
    refusals: list[Refusal] = []
    left_out: list[str] = []
    beyond: dict[str, list[Swap]] = {}
    for _, swap in sorted(book.swaps.items()):
        if swap.status == "retired" or not replaces(swap, known) or _not_of(swap, known):
            continue
        works = asked.works(swap)
        if product and product not in works:
            continue
        over = asked.beyond(swap)
        if swap.refuse:
            if not over:
                refusals.append(asked.refusal(swap, swap.refuse, works))
            continue
        if over:
            beyond.setdefault(over, []).append(swap)
            continue
        made = asked.stand_in(swap, works)
        if isinstance(made, str):
            left_out.append(made)
        else:
            found.append(made)
    for over, swaps in beyond.items():
        titles = ", ".join(swap.title for swap in swaps)
        refusals.append(asked.refusal(swaps[0], f"These hold for {over} only: {titles}.", asked.works(swaps[0])))
    found.sort(key=lambda s: _rank(s, known, book))
    grams = USUAL_G if asked.grams is None else float(asked.grams.value)
    of = Asked(known.id, grams, product, tuple(diets), tuple(purposes))
    blended, no_blends = blends(book, of, notes)
    return StandIns(
        known.id, known.name, asked.grams, amount, unit, tuple(found), _told_once(refusals), product,
        tuple(diets), tuple(dict.fromkeys(left_out)), tuple(_counted(diet) for diet in kept if diet.limits),
        blended, no_blends, tuple(purposes),
    )  # fmt: skip


def _told_once(refusals: Iterable[Refusal]) -> tuple[Refusal, ...]:
    return tuple({each.text: each for each in refusals}.values())


def _counted(diet: Diet) -> str:
    nutrients = ", ".join(dict.fromkeys(_nutrient(str(limit["nutrient"])) for limit in diet.limits))
    return f"{diet.name} is counted on the whole recipe ({nutrients}), so no stand-in alone can confirm it"


def _nutrient(name: str) -> str:
    """A nutrient's name without its unit.

    >>> _nutrient("net_carbs_g"), _nutrient("ketogenic_ratio")
    ('net carbs', 'ketogenic ratio')
    """
    return re.sub(r"_(g|mg|kcal)$", "", name).replace("_", " ")


def _rank(option: StandIn, replaced: Ingredient, book: Rulebook) -> tuple[Any, ...]:
    """What a baker would reach for first: confirmed for the diet, tried, of things that are usual, for
    something baked, made for this very ingredient, read in most tables, without limits, best tested, of
    widest use, simplest."""
    swap = book.swaps[option.rule]
    general = swap.replaces_any and book.classes[swap.replaces].usual != replaced.id
    read = {p.source for p in option.printed if p.agrees and book.sources[p.source].read != FROM_MEMORY}
    return (
        any(verdict != "yes" for verdict in (option.diets or {}).values()),
        option.verdict == UNTRIED,
        any(_unusual(c, book) for c in option.components),
        all(c.grams is None for c in option.components),
        not any(_baked(book.products[p]) for p in option.works_in),
        general,
        -len(read),
        VERDICTS.index(option.verdict),
        GRADES.index(option.grade),
        -len(option.works_in),
        len(option.components) + len(option.companions),
        option.title,
    )


def _unusual(component: Component, book: Rulebook) -> bool:
    """Whether it is none of what a baker reaches for first where any of its class would do."""
    usual = usual_of(component.kind, book) if component.kind else ()
    return bool(usual) and component.ingredient not in usual


def _baked(product: Product) -> bool:
    """Whether a class of product goes into an oven or on a griddle."""
    return product.oven_c is not None or product.raised_by != UNRAISED


def _not_of(swap: Swap, ingredient: Ingredient) -> bool:
    """Whether a rule over a class leaves this member out, by asking that the recipe has none of it."""
    return is_any(ingredient, _each(swap.when.get("lacks")))


# -- one request -----------------------------------------------------------------------------------

_Brought = tuple[Amount, Ingredient, tuple[str, ...]]
"""An amount of a rule, the ingredient it is told for, and names of others that would do."""


@dataclass(frozen=True)
class _Asked:
    """What was asked for, and the rulebook to answer it from."""

    book: Rulebook
    replaced: Ingredient
    amount: float
    unit: str
    grams: Derivation | None
    product: str
    diets: tuple[Diet, ...]
    wanted: tuple[str, ...]
    notes: Notes

    # where and how far a rule holds

    def works(self, swap: Swap) -> tuple[str, ...]:
        """Product classes in which a rule holds."""
        products, raised = _each(swap.when.get("product")), _each(swap.when.get("raised_by"))
        return tuple(
            p.id
            for p in self.book.products.values()
            if (not products or p.id in products)
            and (not raised or p.raised_by in raised)
            and (not swap.raises or swap.raises == p.raised_by or (swap.raises in p.becomes and not p.cannot))
        )

    def beyond(self, swap: Swap) -> str:
        """The bound of a rule that a counted quantity is out of, "" when it is within."""
        if kind_of(self.unit) != "count":
            return ""
        for what, bound in _table(swap.when.get("count")).items():
            if is_any(self.replaced, (what,)) and not bound.holds(self.amount):
                return str(bound)
        return ""

    def limits(self, swap: Swap) -> tuple[str, ...]:
        """Conditions of a rule in words, but for those told as classes of product."""
        return tuple(
            said
            for key, value in swap.when.items()
            if key not in OF_CLASSES and not (key == "count" and kind_of(self.unit) == "count")
            for said in (_limit(key, value, swap, self.replaced, self.book),)
            if said
        )

    def refusal(self, swap: Swap, text: str, works: tuple[str, ...]) -> Refusal:
        """A rule that says no."""
        printed = tuple(self.printed(swap, ()))
        return Refusal(swap.id, swap.title, text, works, printed, _sources(swap, printed))

    # what comes in

    def stand_in(self, swap: Swap, works: tuple[str, ...]) -> StandIn | str:
        """A rule's answer; a sentence when a diet forbids something it brings."""
        brought: list[_Brought] = []
        cut = 0
        for at, amount in enumerate((*swap.stand_ins, *swap.also)):
            settled = self.settled(amount)
            if isinstance(settled, str):
                if amount.ratio is not None and amount.ratio.low == 0 and at >= len(swap.stand_ins):
                    continue
                return f"{swap.title}: {settled}"
            brought.append((amount, *settled))
            cut += at < len(swap.stand_ins)
        usual: Grade = "common practice"
        grade: Grade = min((e.grade for e in swap.evidence), key=GRADES.index, default=usual)
        parts = self.components(swap, brought, grade, works)
        no_better = self.no_better(parts)
        if no_better:
            return f"{swap.title}: {no_better}"
        limits = self.limits(swap)
        printed = tuple(self.printed(swap, parts, brought))
        said = {diet.id: self.verdict([i for _, i, _ in brought], diet) for diet in self.diets}
        cautions = [self.book.cautions[c] for c in swap.cautions if c in self.book.cautions]
        return StandIn(
            swap.id, swap.title, parts[:cut], parts[cut:], _adjust(swap, self.book), works,
            tuple(p for p in self.book.products if p not in works), printed,
            UNTRIED if swap.status == "proposed" else LIMITED if limits else WORKS, grade,
            tuple(c.text for c in cautions if not set(c.when) & set(MEASURED)), swap.because, limits,
            tuple(dict.fromkeys(swap.loses.values())), self.steps(swap), swap.oven_change_c,
            _spread(parts, printed), _sources(swap, printed),
            {diet: verdict for diet, (verdict, _) in said.items()},
            tuple(dict.fromkeys(doubt for _, doubts in said.values() for doubt in doubts)),
        )  # fmt: skip

    def settled(self, amount: Amount) -> tuple[Ingredient, tuple[str, ...]] | str:
        """The ingredient to tell amounts for, and names of others of its class; a phrase when all are
        forbidden."""
        members = [self.book.ingredients[amount.ingredient]] if amount.ingredient else self.members(amount.any_of)
        suiting: list[tuple[int, Ingredient]] = []
        breach = ""
        for member in members:
            said = [self.verdict([member], diet) for diet in self.diets]
            broken = [doubts[0] for verdict, doubts in said if verdict == "no"]
            breach = breach or (broken[0] if broken else "")
            if not broken:
                suiting.append((sum(verdict != "yes" for verdict, _ in said), member))
        if not suiting:
            return breach or "nothing else is of that kind"
        least = min(doubts for doubts, _ in suiting)
        sure = [member for doubts, member in suiting if doubts == least]
        usual = usual_of(amount.any_of, self.book) if amount.any_of else ()
        return sure[0], tuple(m.name for m in sure[1:] if m.id in usual)[:OTHERS_TOLD]

    def members(self, class_id: str) -> list[Ingredient]:
        """Members of a class: those wanted, those a baker reaches for first, the others by name."""
        usual = usual_of(class_id, self.book)

        def order(member: Ingredient) -> tuple[int, int, int, str]:
            first = self.wanted.index(member.id) if member.id in self.wanted else len(self.wanted)
            known = usual.index(member.id) if member.id in usual else len(usual)
            return first, known, len(member.name), member.id

        return sorted((m for m in self.book.members(class_id) if m.id != self.replaced.id), key=order)

    def verdict(self, ingredients: Sequence[Ingredient], diet: Diet) -> tuple[Verdict, tuple[str, ...]]:
        """Whether a diet allows ingredients, figures of the whole recipe left aside, and why not."""
        formula = Formula("", "", tuple(Line(i.name, i.id, 1.0) for i in ingredients))
        found = ruling(formula, replace(diet, limits=()), self.book, None)
        if found.verdict == "yes" and diet.limits:
            return "cannot confirm", ()
        return found.verdict, found.because

    def no_better(self, parts: Sequence[Component]) -> str:
        """Why what comes in is of no use to a diet that keeps a nutrient low; "" when it is, or is unknown."""
        if self.grams is None:
            return ""
        weighed = [(self.book.ingredients[part.ingredient], part.grams.value) for part in parts if part.grams]
        for limit in (limit for diet in self.diets for limit in diet.limits if "max" in limit):
            nutrient = str(limit["nutrient"])
            had = self.holds(nutrient, [(self.replaced, self.grams.value)])
            brings = self.holds(nutrient, weighed)
            if had is None or brings is None:
                continue
            if brings > self.grams.value * limit["max"] / 100 and brings >= NO_LESS * had:
                return f"hardly less {_nutrient(nutrient)}"
        return ""

    def holds(self, nutrient: str, weighed: Iterable[tuple[Ingredient, float]]) -> float | None:
        """How much of a nutrient weighed ingredients hold; None where it is counted otherwise or unknown."""
        if nutrient not in TOLD:
            return None
        held = [(figure(nutrient, ingredient, self.book, BARE), grams) for ingredient, grams in weighed]
        if any(each is None for each, _ in held):
            return None
        return sum(float(each.value) * grams / 100 for each, grams in held if each is not None)

    # how much

    def components(
        self,
        swap: Swap,
        brought: Sequence[_Brought],
        grade: Grade,
        works: tuple[str, ...],
    ) -> tuple[Component, ...]:
        """What comes in with its amounts; what a need asks for last, since it goes by the rest."""
        sized: dict[int, tuple[Derivation | None, Derivation | None]] = {}
        for at, (amount, ingredient, _) in enumerate(brought):
            if amount.dose:
                sized[at] = None, self.dosed(swap, amount, ingredient, works)
            elif amount.ratio is not None:
                sized[at] = self.by_ratio(swap, amount.ratio, ingredient, grade), None
        for at, (amount, ingredient, _) in enumerate(brought):
            if at not in sized:
                need = self.book.needs[amount.closes]
                others = [(brought[other][1], *sized[other]) for other in sized]
                sized[at] = self.closing(need, ingredient, others)
        return tuple(
            self.component(ingredient, *sized[at], others, amount.any_of)
            for at, (amount, ingredient, others) in enumerate(brought)
        )

    def by_ratio(self, swap: Swap, band: Band, ingredient: Ingredient, grade: Grade) -> Derivation | None:
        """Grams by a ratio to what is replaced."""
        if self.grams is None:
            return None
        sources = tuple(dict.fromkeys(e.source for e in swap.evidence))
        ratio = self.notes.rule(
            "g for each g replaced", band.centre, swap.id, evidence=sources, grade=grade, low=band.low,
            high=band.high,
        )  # fmt: skip
        return self.notes.derive(
            ingredient.name, _times, self.grams, ratio, unit="g", evidence=sources, grade=grade
        )

    def dosed(self, swap: Swap, amount: Amount, ingredient: Ingredient, works: tuple[str, ...]) -> Derivation | None:
        """Grams to PER_FLOUR_G of flours, over the classes of product that the dough may become."""
        products = [self.book.products[p] for p in ((self.product,) if self.product else works)]
        targets = [self.book.products[p.becomes.get(swap.raises, p.id)] for p in products]
        bands = [band for p in targets for band in (getattr(p, amount.dose),) if band is not None]
        if not bands:
            return None
        each = per_dose(ingredient, self.book) * PER_FLOUR_G / 100
        centres = sorted(band.centre for band in bands)
        return self.notes.rule(
            f"{ingredient.name} to {PER_FLOUR_G:g} g of flours",
            centres[len(centres) // 2] * each,
            swap.id,
            unit="g",
            evidence=tuple(dict.fromkeys(e.source for e in swap.evidence)),
            low=min(band.low for band in bands) * each,
            high=max(band.high for band in bands) * each,
        )

    def closing(
        self,
        need: Need,
        ingredient: Ingredient,
        others: Sequence[tuple[Ingredient, Derivation | None, Derivation | None]],
    ) -> tuple[Derivation | None, Derivation | None]:
        """Grams of an acid that meets the soda coming in, or that is worth the acid going out; and the same
        to PER_FLOUR_G of flours, where the soda goes by them."""
        per_gram = self.per_gram(ingredient, ACID)
        if need.kind != ACID or not per_gram or need.amount is None:
            return None, None
        asked = Derivation(
            "acid for each part of soda", need.amount.centre, "1", need.id,
            tuple(dict.fromkeys(e.source for e in need.evidence)), "derived", need.amount.low, need.amount.high,
        )  # fmt: skip
        strong = stated(f"acid in a gram of {ingredient.name}", per_gram, "meq")
        found: list[Derivation | None] = []
        for which in (0, 1):
            meq = sum(
                grams.value * (self.per_gram(source, BASE) - self.per_gram(source, ACID))
                for source, *doses in others
                if (grams := doses[which]) is not None
            )
            soda = stated("acid that the soda asks for", meq, "meq")
            found.append(
                self.notes.derive(ingredient.name, _acid_for, soda, asked, strong, unit="g") if meq > 0 else None
            )
        own = self.per_gram(self.replaced, ACID)
        if not any(found) and own > 0 and self.grams is not None:
            lost = stated(f"acid in a gram of {self.replaced.name}", own, "meq")
            return self.notes.derive(ingredient.name, _as_sour, self.grams, lost, strong, unit="g"), None
        return found[0], found[1]

    def per_gram(self, ingredient: Ingredient, function_id: str) -> float:
        """Acid or base in a gram, meq; nothing known is none."""
        return strength(ingredient, self.book.functions[function_id]) or 0.0

    def component(
        self,
        ingredient: Ingredient,
        grams: Derivation | None,
        per_flour: Derivation | None,
        others: tuple[str, ...],
        kind: str,
    ) -> Component:
        """A component with its measures."""
        if grams is None:
            why = "as much as the dough asks for" if self.grams is not None and per_flour is None else ""
            return Component(
                ingredient.id, ingredient.name, None, None, "", why, None, per_flour, others, kind
            )
        measures = {name: figure.value for name, figure in ingredient.measures.items()}
        spoons = household(grams.value, measures)
        one = measures.get(self.unit) if kind_of(self.unit) == "count" else None
        if spoons is None and one is None:
            pieces = {name: g for name, g in measures.items() if kind_of(name) == "count"}
            if len(set(pieces.values())) == 1:
                spoons = grams.value / next(iter(pieces.values())), next(iter(pieces))
        if one is not None and (spoons is None or grams.value / one >= 0.9):
            spoons = grams.value / one, self.unit
        amount, unit = self.in_unit_asked(grams.value, measures) or spoons or (None, "")
        many = spoons is not None and spoons[1] == "each" and spoons[0] > 1
        name = ingredient.plural if many and ingredient.plural else ingredient.name
        return Component(ingredient.id, name, grams, amount, unit, "", spoons, per_flour, others, kind)

    def in_unit_asked(self, grams: float, measures: Mapping[str, float]) -> tuple[float, str] | None:
        """A mass in the unit asked, where that is a mass or a metric volume; spoons and cups go by size."""
        if self.unit not in MASSES_AND_METRIC:
            return None
        if kind_of(self.unit) == "mass":
            return (grams / in_g(self.unit), self.unit) if self.unit != "g" else None
        one_g = grams_of(1.0, self.unit, measures)
        return None if one_g is None else (grams / one_g, self.unit)

    def steps(self, swap: Swap) -> tuple[str, ...]:
        """What has to be done beside weighing, where its sentence names no line of a recipe."""
        found = []
        for edit in swap.steps:
            step = next(
                (s for s in self.book.steps.values() if s.kind == edit.get("step") and s.language == "en"), None
            )
            if step is None:
                continue
            minutes = "" if step.minutes is None else f"{step.minutes.centre:g}"
            degrees = "" if step.temperature_c is None else f"{step.temperature_c:g}"
            text = step.text.replace("{minutes}", minutes).replace("{temperature_c}", degrees)
            if "{" not in text:
                found.append(text)
        return tuple(found)

    # what tables print

    def printed(
        self, swap: Swap, parts: Sequence[Component], brought: Sequence[_Brought] = ()
    ) -> Iterable[Printed]:
        """Rows of published tables about this exchange and this ingredient, for the quantity asked.

        A row may be of an amount of something that comes in (the acid to half a teaspoon of soda), or of
        flours where the stand-in goes by them. It is held against the answer with the members that it
        names itself.
        """
        for row in swap.printed:
            components = dict(row.get("components") or {})
            read = read_quantity(str(row.get("amount", "")))
            of = "" if read is None else _id_of(read[1])
            told = self.naming(swap, parts, brought, components | ({of: ""} if of else {}))
            base = next((p for p in told if p.ingredient == of), None)
            by_flour = any(p.per_flour is not None for p in told)
            of_another = of in self.book.ingredients and of != self.replaced.id
            if of_another and (self.replaced.id in components or (base is None and not by_flour)):
                continue
            part_of = None if base is None or base.ingredient == self.replaced.id else base.grams or base.per_flour
            grams = self.printed_grams(read, components, of, part_of)
            held = grams if part_of is None else grams | {of: (part_of.value, part_of.value)}
            otherwise = str(row.get("otherwise", ""))
            agrees = not otherwise and _agree(held, told, self.book)
            yield Printed(
                str(row["source"]), str(row.get("amount", "")), components, str(row.get("note", "")),
                otherwise, grams, agrees, self.soda_left(held),
            )  # fmt: skip

    def naming(
        self, swap: Swap, parts: Sequence[Component], brought: Sequence[_Brought], names: Iterable[str]
    ) -> Sequence[Component]:
        """The answer with the members of open classes that a row names, whose strength may differ."""
        named = [self.book.ingredients[name] for name in names if name in self.book.ingredients]
        instead_of = {
            at: other
            for at, (amount, ingredient, _) in enumerate(brought)
            if amount.any_of and amount.closes
            for other in named
            if other.id != ingredient.id and is_any(other, (amount.any_of,))
        }
        if not instead_of:
            return parts
        settled = [(a, instead_of.get(at, i), others) for at, (a, i, others) in enumerate(brought)]
        return self.components(swap, settled, "derived", self.works(swap))

    def printed_grams(
        self,
        read: tuple[Any, str] | None,
        components: Mapping[str, str],
        of: str = "",
        part_of: Derivation | None = None,
    ) -> dict[str, tuple[float, float] | None]:
        """A row's amounts as masses for the quantity asked, or for PER_FLOUR_G of the flours it is of."""
        about = self.book.ingredients.get(of, self.replaced)
        asked = part_of.value if part_of is not None else None if self.grams is None else self.grams.value
        if about.id != self.replaced.id and part_of is None:
            asked = PER_FLOUR_G
        if read is None or asked is None:
            return dict.fromkeys(components)
        base = printed_mass(read[0].low, read[0].high, read[0].unit, "" if about.id == of else read[1], about)
        found: dict[str, tuple[float, float] | None] = {}
        for name, text in components.items():
            ingredient = self.book.ingredients.get(name)
            usual = usual_of(name, self.book) if ingredient is None else ()
            ingredient = self.book.ingredients[usual[0]] if usual else ingredient
            amount = read_quantity(text.removeprefix(UP_TO))
            part = (
                None
                if ingredient is None or amount is None
                else printed_mass(amount[0].low, amount[0].high, amount[0].unit, amount[1], ingredient)
            )
            if base is None or part is None or base[1] <= 0:
                found[name] = None
            else:
                scale = 2 * asked / (base[0] + base[1])
                least = 0.0 if text.startswith(UP_TO) else part[0]
                found[name] = least * scale, part[1] * scale
        return found

    def soda_left(self, grams: Mapping[str, tuple[float, float] | None]) -> Derivation | None:
        """The share of a row's soda that its acids leave over; None without soda and acid, or unknown."""
        base = acid = 0.0
        for name, mass in grams.items():
            ingredient = self.book.ingredients.get(name)
            if ingredient is None or mass is None:
                return None
            middle = (mass[0] + mass[1]) / 2
            base += middle * self.per_gram(ingredient, BASE)
            acid += middle * self.per_gram(ingredient, ACID)
        if base <= 0 or acid <= 0:
            return None
        return self.notes.derive(
            "share of the soda left over", _left, stated("acid", acid, "meq"), stated("soda", base, "meq")
        )


MASSES_AND_METRIC = frozenset({"g", "kg", "mg", "oz", "lb", "ml", "cl", "dl", "l"})
"""Units that stand-ins are told in as well, when the question is in them."""


def _acid_for(soda_meq: float, share: float, meq_per_g: float) -> float:
    return soda_meq * share / meq_per_g


def _as_sour(grams: float, meq_per_g_lost: float, meq_per_g: float) -> float:
    return grams * meq_per_g_lost / meq_per_g


def _left(acid_meq: float, soda_meq: float) -> float:
    return max(0.0, 1 - acid_meq / soda_meq)


def _times(amount: float, factor: float) -> float:
    return amount * factor


# -- masses ----------------------------------------------------------------------------------------


def _measure(unit: str, figure: Figure) -> Derivation:
    return Derivation(
        f"g per {unit}", figure.value, "g", figure.source, (figure.source,), figure.grade, figure.low, figure.high
    )  # fmt: skip


def _grams(ingredient: Ingredient, amount: float, unit: str, notes: Notes) -> Derivation | None:
    """The mass of a quantity, g; None when no measure of the ingredient gives it."""
    own = ingredient.measures.get(unit)
    if own is not None:
        asked = stated("quantity", amount, unit)
        return notes.derive(f"{ingredient.name} replaced", _times, asked, _measure(unit, own), unit="g")
    grams = _weighed(amount, unit, ingredient)
    if grams is None:
        return None
    used = tuple(_measure(name, figure) for name, figure in sorted(ingredient.measures.items()))
    return notes.rule(f"{ingredient.name} replaced", grams, "assistant.words.units.grams_of",
                      stated("quantity", amount, unit), *used, unit="g", grade="derived")  # fmt: skip


def _weighed(amount: float, unit: str, ingredient: Ingredient) -> float | None:
    return grams_of(amount, unit, {name: figure.value for name, figure in ingredient.measures.items()})


def printed_mass(
    low: float, high: float, unit: str, rest: str, ingredient: Ingredient
) -> tuple[float, float] | None:
    """The mass of a printed amount, g, low and high; parts and percentages are taken by mass.

    `rest` is what stands behind the amount: a household measure of the ingredient, "part" or "%", or words
    that matter to nobody.
    """
    word = rest.strip().split(" ")[0].rstrip("s") if rest.strip() else ""
    if not unit and word in ("part", "%"):
        return low, high
    for name in (unit, word if not unit else "", "each"):
        if not name:
            continue
        least, most = _weighed(low, name, ingredient), _weighed(high, name, ingredient)
        if least is not None and most is not None:
            return least, most
    return None


def _id_of(words: str) -> str:
    return "-".join(words.split())


def _agree(
    grams: Mapping[str, tuple[float, float] | None], parts: Sequence[Component], book: Rulebook
) -> bool:
    """Whether a row brings what a stand-in brings, each within NEAR of it."""
    if not grams or not parts:
        return False
    left = list(parts)
    for name, mass in grams.items():
        part = next((p for p in left if _same(name, p, book)), None)
        told = None if part is None else part.grams or part.per_flour
        if part is None or told is None or mass is None:
            return False
        left.remove(part)
        if not mass[0] * (1 - NEAR) <= told.value <= mass[1] * (1 + NEAR):
            return False
    return True


def _same(name: str, part: Component, book: Rulebook) -> bool:
    """Whether a printed name is a component, or another member of the class that is open there."""
    if name == part.ingredient or (part.kind and name == part.kind):
        return True
    ingredient = book.ingredients.get(name)
    return ingredient is not None and part.kind != "" and is_any(ingredient, (part.kind,))


def _spread(parts: Sequence[Component], printed: Sequence[Printed]) -> dict[str, tuple[float, float]]:
    """Least and most of each component that agreeing rows print, g, by ingredient; rows that print another
    member of its class leave it out."""
    found: dict[str, tuple[float, float]] = {}
    for part in parts:
        rows = [p.grams.get(part.ingredient) for p in printed if p.agrees and p.grams is not None]
        known = [mass for mass in rows if mass is not None]
        if known:
            found[part.ingredient] = min(low for low, _ in known), max(high for _, high in known)
    return found


# -- words of rules --------------------------------------------------------------------------------


def _sources(swap: Swap, printed: Sequence[Printed]) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*(e.source for e in swap.evidence), *(p.source for p in printed)]))


def _adjust(swap: Swap, book: Rulebook) -> tuple[str, ...]:
    """Lines that may have to move to bring the dough back, by the names of their classes."""
    return tuple(_name(name, book) for name in swap.adjust)


def _name(class_or_id: str, book: Rulebook) -> str:
    """A class by its id's plain words, which stand where one of many is meant ("milk"); else an ingredient's name."""
    if class_or_id in book.ingredients and class_or_id not in book.classes:
        return book.ingredients[class_or_id].name
    return class_or_id.replace("-", " ")


def _limit(key: str, value: Any, swap: Swap, replaced: Ingredient, book: Rulebook) -> str:
    """A condition of a rule in words; "" for one that only leaves out what comes in or members of its class."""
    if key == "lacks":
        coming = {amount.ingredient or amount.any_of for amount in swap.stand_ins}
        others = [what for what in _each(value) if what not in coming and not _sibling(what, swap, book)]
        return f"where there is no {_either(others, book)}" if others else ""
    if key == "has":
        return f"where there is {_either(_each(value), book)}"
    if key == "serves":
        if set(_each(value)) == set(swap.serves):
            return ""
        functions = [book.functions[f].name for f in _each(value) if f in book.functions]
        return f"where it is there for {' or '.join(functions)}"
    if key == "share":
        return " and ".join(
            f"where {_name(what, book)} is {bound} % of the flours" for what, bound in _table(value).items()
        )
    if key == "count":
        return " and ".join(
            f"for {bound} {book.classes[what].name if what in book.classes else _name(what, book)}"
            for what, bound in _table(value).items()
        )
    if key == "only_binder":
        return "where it alone binds" if value else "where something else binds too"
    if key == "rest":
        return f"where the batter stands {value}"
    return f"where {key.replace('_', ' ')} is {value}"


def _sibling(what: str, swap: Swap, book: Rulebook) -> bool:
    """Whether a class or ingredient lies within the class that a rule replaces."""
    members = book.members(what) if what in book.classes else (book.ingredients[what],)
    return swap.replaces_any and bool(members) and all(is_any(member, (swap.replaces,)) for member in members)


def _either(names: Sequence[str], book: Rulebook) -> str:
    return " or ".join(_name(name, book) for name in names)


def _table(value: Any) -> Mapping[str, Comparison]:
    return value if isinstance(value, Mapping) else {}


def _each(value: Any) -> tuple[str, ...]:
    if value is None:
        return ()
    return (value,) if isinstance(value, str) else tuple(map(str, value))
