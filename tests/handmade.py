"""A recipe, a plan and a judge made by hand: small numbers that can be checked by eye."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.formula.model import Bake, Formula, Line, Step
from assistant.plan.adapt import adapt, best_of
from assistant.plan.constraints import Constraints
from assistant.plan.model import (
    Assessment,
    BakeAnswer,
    Change,
    Chemistry,
    Nutrition,
    Option,
    Options,
    TimelineEntry,
    Why,
)
from assistant.publish.document import NUTRIENTS
from assistant.rulebook.read import load
from assistant.talk.request import WhatIf
from assistant.words.derivation import Derivation, stated

UNITS: Mapping[str, str] = {"energy_kcal": "kcal", "sodium_mg": "mg", "ketogenic_ratio": "1"}
PER_PIECE: Mapping[str, float | None] = {
    "energy_kcal": 231.0,
    "protein_g": 17.8,
    "fat_g": 14.1,
    "carbohydrate_g": 16.2,
    "net_carbs_g": 3.1,
    "fibre_g": 13.1,
    "soluble_fibre_g": 5.1,
    "insoluble_fibre_g": 6.9,
    "unsplit_fibre_g": 1.1,
    "sodium_mg": 310.0,
    "ketogenic_ratio": 0.67,
}


def number(
    claim: str, value: float | None, unit: str = "1", low: float | None = None, high: float | None = None
) -> Derivation:
    """A conclusion with one premise and one source."""
    premise = stated(f"what {claim} rests on", 2.0, "g")
    return Derivation(
        claim,
        value,
        unit,
        "assistant.laws.made.by_hand",
        ("common-practice",),
        "derived",
        low,
        high,
        (premise,),
    )


def nutrition(factor: float = 1.0, incomplete: tuple[str, ...] = ()) -> Nutrition:
    """Nutrients per piece; twice that per 100 g."""

    def table(times: float) -> dict[str, Derivation | None]:
        return {
            name: None
            if (value := PER_PIECE.get(name)) is None
            else number(name, value * times, UNITS.get(name, "g"))
            for name in NUTRIENTS
        }

    return Nutrition(
        table(factor), table(2 * factor), table(1.7 * factor), 8, number("baked piece", 95.0, "g"), incomplete
    )


def chemistry(gas_ml: float = 900.0, left_g: float = 0.0) -> Chemistry:
    """Gas, acid and base of a dough."""
    return Chemistry(
        gas_ml=number("gas", gas_ml, "mL", gas_ml * 0.9, gas_ml * 1.1),
        yeast_gas_ml=number("gas from yeast", 0.0, "mL"),
        soda_gas_ml=number("gas from soda", gas_ml, "mL"),
        early_gas_share=number("early share", 0.2),
        acid_mmol=number("acid", 33.9, "mmol"),
        base_mmol=number("soda", 33.9, "mmol"),
        surplus_acid_mmol=number("acid to spare", 0.0, "mmol"),
        unneutralised_soda_g=number("soda left over", left_g, "g"),
        ph=number("pH", 6.8, "pH", 6.6, 7.0),
        ph_baked=number("pH baked", 6.6, "pH", 6.3, 6.8),
        water_g=number("water", 555.0, "g"),
        free_water_g=number("free water", -11.0, "g"),
        hydration_pct=number("hydration", 168.0, "%"),
        salt_pct=number("salt", 1.0, "%"),
        mix_c=None,
        acids_left=Derivation("acids left", ((0.1, (4.7,), 0),), ""),
    )


ROLLS = Formula(
    "Hut rolls",
    "",
    (
        Line("psyllium husk", "psyllium-husk", 45.0),
        Line("water", "water", 400.0),
        Line("active dry yeast", "active-dry-yeast", 6.0),
        Line("cider vinegar", "cider-vinegar", 15.0),
        Line("the warden's seed mix", None, 30.0),
    ),
    (
        Step("mix", "Stir it together.", 5.0, uses=(0, 1)),
        Step("proof", "Let it rise.", 45.0),
        Step("bake", "Bake it.", 40.0, temperature_c=185.0),
    ),
    Bake(185.0, 40.0, pan="sheet"),
    pieces=8,
    piece_name="roll",
    altitude_m=1900.0,
)


def assessment(formula: Formula, factor: float = 1.0) -> Assessment:
    """Everything about a formula, by hand."""
    return Assessment(
        formula,
        chemistry(),
        nutrition(factor),
        {"specific volume": number("specific volume", 2.2 * factor, "mL/g")},
        {"openness": "close"},
        {"gluten-cereals": "contains", "milk": "may contain", "nuts": "cannot confirm"},
        {"vegan": "yes", "gluten-free": "no", "keto": "cannot confirm"},
        ("Have a thermometer at hand.",),
        {0: ("binder", "water-held")},
    )


def bake() -> BakeAnswer:
    """A bake that takes half as long again."""
    return BakeAnswer(
        number("oven", 175.0, "C"),
        number("minutes in the oven", 62.0, "min", 43.0, 84.0),
        number("start testing at", 43.0, "min"),
        number("no later than", 84.0, "min"),
        number("core", 92.0, "C"),
        number("bake loss", 17.0, "%"),
        number("heat flow", 1.22, "1", 0.94, 1.6),
        number("custom", 1.27, "1", 1.05, 1.45),
        ("core temperature held for ten minutes", "crust hard when tapped"),
    )


def option(base: Formula = ROLLS, title: str = "baking powder") -> Option:
    """Yeast out, baking powder in, a little less water."""
    lines = (
        *base.lines[:1],
        replace(base.lines[1], grams=390.0),
        *base.lines[3:],
        Line("baking powder", "baking-powder", 10.0),
    )
    after = replace(base, lines=lines, version=base.version + 1, bake=Bake(175.0, 62.0, 43.0, 84.0, "sheet"))
    changes = (
        Change(0, "psyllium-husk", "psyllium husk", 45.0, stated("psyllium husk", 45.0, "g"), ""),
        Change(1, "water", "water", 400.0, number("water", 390.0, "g"), "brought back to the dough feel"),
        Change(
            2, "active-dry-yeast", "active dry yeast", 6.0, stated("active dry yeast", 0.0, "g"), "replaced"
        ),
        Change(3, "cider-vinegar", "cider vinegar", 15.0, stated("cider vinegar", 15.0, "g"), ""),
        Change(4, None, "the warden's seed mix", 30.0, stated("the warden's seed mix", 30.0, "g"), ""),
        Change(
            5,
            "baking-powder",
            "baking powder",
            0.0,
            number("baking powder", 10.0, "g"),
            "It brings its own acid.",
        ),
    )
    return Option(
        title,
        ("by-hand",),
        number("distance", 3.2),
        {"specific volume": "denser", "sourness": "the same"},
        changes,
        assessment(base),
        assessment(after, 1.1),
        bake(),
        (Step("mix", "Sift it in.", 3.0), Step("bake", "Bake it.", 62.0, temperature_c=175.0)),
        (TimelineEntry("Sift it in.", 0.0, 3.0), TimelineEntry("Bake it.", 3.0, 62.0, usual=True)),
        ("Have a thermometer at hand.", "The starch in baking powder may be wheat."),
        ("This is another product.",),
        "tried; common practice",
    )


def _other_yeast(base: Formula) -> Option:
    """The same plan with another yeast coming in."""
    made = option(base, "instant yeast")
    yeast = replace(made.changes[-1], ingredient="instant-yeast", name="instant yeast")
    return replace(made, changes=(*made.changes[:-1], yeast))


@dataclass(frozen=True)
class HandmadeJudge:
    """A judge with three plans for everything, one of them another yeast; it blocks what it is told to."""

    blocks: str = ""

    def line_of(self, formula: Formula, words: str) -> int | None:
        """By id or name."""
        for at, line in enumerate(formula.lines):
            if words in (line.ingredient, line.name):
                return at
        return None

    def elsewhere(self, formula: Formula, at: int) -> tuple[int, ...]:
        """Nowhere: it knows no parts."""
        return ()

    def options(self, formula: Formula, line_index: int, substitute: str | None = None, without: str = "") -> Options:
        """Three plans, or one for a named stand-in."""
        if formula.lines[line_index].ingredient == self.blocks:
            return Options(formula, (), ("a braid can't be raised another way",))
        titles = ("baking powder", "baking soda with vinegar") if substitute is None else (substitute,)
        plans = tuple(option(formula, title) for title in titles)
        return Options(formula, plans if substitute or without else (*plans, _other_yeast(formula)))

    def adapt(self, formula: Formula, wishes: Constraints) -> Options:
        """As it really is."""
        return adapt(formula, wishes, load()[0])

    def best_of(self, formulas: Sequence[Formula], wishes: Constraints) -> list[Options]:
        """As it really is."""
        return best_of(formulas, wishes, load()[0])

    def assess(self, formula: Formula) -> Assessment:
        """By hand."""
        return assessment(formula)

    def why(self, formula: Formula, subject: str, option: Option | None = None) -> Why:
        """A verdict about the subject."""
        told = "against the plan" if option is not None else "as it stands"
        return Why(
            subject, "helps", (f"It helps, {told}.",), (number("acid", 33.9, "mmol"),), ("common-practice",)
        )

    def what_if(self, formula: Formula, request: WhatIf) -> Option | str:
        """A plan, except for what is not there."""
        words = request.omit or request.ingredient or ""
        if self.line_of(formula, words) is None:
            return f"There is no {words} in this recipe."
        return option(formula, f"without {words}" if request.omit else f"other {words}")
