"""Recipes made up for tests and benches: of the usual make-up of each kind of bake, with what it may be made of drawn
by chance. The shares are invented, about as bakers have them; the same seed gives the same recipe.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from assistant.formula.model import Bake, Formula, Line, Step

FLOURS = ("all-purpose-flour", "bread-flour", "whole-wheat-flour", "rye-flour", "spelt-flour")
NUT_FLOURS = ("almond-flour", "hazelnut-flour", "sunflower-seed-flour", "coconut-flour")
MILKS = ("milk", "buttermilk", "soy-milk", "water", "yogurt")
FATS = ("butter", "vegetable-oil", "olive-oil", "coconut-oil", "margarine")
SUGARS = ("sugar", "brown-sugar", "honey", "maple-syrup", "coconut-sugar")
FOLDED = ("walnut", "almond", "raisins", "semisweet-chocolate", "sunflower-seed", "sesame-seed")
SPICES = ("cinnamon", "vanilla-extract", "cocoa-powder", "lemon-juice")


@dataclass(frozen=True)
class Kind:
    """A kind of bake: percent of its flours of each thing, as (choices, low, high); some only now and then."""

    product: str
    name: str
    flours: tuple[str, ...]
    always: tuple[tuple[tuple[str, ...], float, float], ...]
    sometimes: tuple[tuple[tuple[str, ...], float, float], ...]
    bake: tuple[float, float]
    pieces: tuple[int, int]


KINDS = (
    Kind("lean-bread", "loaf", FLOURS, ((("water",), 60, 75), (("instant-yeast", "active-dry-yeast"), 0.6, 1.4), (("salt",), 1.6, 2.1)),
         ((SUGARS, 1, 3), (FATS, 1, 3), (FOLDED, 8, 20)), (230, 35), (1, 2)),
    Kind("enriched-bread", "bun", FLOURS[:2], ((MILKS[:3], 50, 60), (("instant-yeast",), 1, 2), (("salt",), 1.4, 2), (("egg",), 8, 20), (FATS, 8, 18), (SUGARS, 6, 14)),
         ((FOLDED, 8, 20), (SPICES, 0.5, 2)), (190, 22), (8, 16)),
    Kind("quick-bread", "loaf", FLOURS[:3], ((MILKS, 70, 95), (("baking-powder",), 3, 5), (("salt",), 0.8, 1.5), (("egg",), 20, 45), (FATS, 20, 40), (SUGARS, 25, 60)),
         ((FOLDED, 15, 35), (SPICES, 0.5, 2)), (175, 55), (1, 1)),
    Kind("soda-bread", "loaf", FLOURS[:3], ((("buttermilk",), 75, 90), (("baking-soda",), 1, 1.5), (("salt",), 1, 1.6)),
         ((FATS, 3, 6), (FOLDED, 8, 20), (SUGARS, 2, 6)), (205, 40), (1, 1)),
    Kind("muffin", "muffin", FLOURS[:3], ((MILKS, 70, 90), (("baking-powder",), 3, 5), (("salt",), 0.6, 1.2), (("egg",), 20, 40), (FATS, 20, 40), (SUGARS, 30, 60)),
         ((FOLDED, 15, 35), (SPICES, 0.5, 2)), (190, 20), (10, 12)),
    Kind("cake", "cake", FLOURS[:1], ((MILKS[:3], 50, 80), (("baking-powder",), 2.5, 4.5), (("salt",), 0.4, 1), (("egg",), 45, 90), (FATS, 45, 80), (SUGARS[:2], 70, 110)),
         ((SPICES, 0.5, 3),), (175, 32), (8, 12)),
    Kind("cookie", "cookie", FLOURS[:3], ((FATS, 45, 70), (SUGARS[:2], 45, 80), (("egg",), 12, 25), (("salt",), 0.5, 1.2)),
         ((FOLDED, 15, 40), (("baking-soda", "baking-powder"), 0.8, 1.4), (SPICES, 0.5, 2)), (180, 12), (18, 30)),
    Kind("pancake", "pancake", FLOURS[:3], ((MILKS[:3], 110, 140), (("baking-powder",), 3, 5), (("egg",), 25, 50), (("salt",), 0.6, 1.2), (FATS, 6, 15)),
         ((SUGARS, 4, 12),), (190, 4), (8, 12)),
    Kind("scone", "scone", FLOURS[:2], ((("milk", "buttermilk"), 50, 62), (("baking-powder",), 4.5, 6), (("salt",), 0.8, 1.4), (("butter", "margarine"), 18, 28)),
         ((SUGARS[:2], 8, 15), (("egg",), 10, 20), (FOLDED, 10, 25)), (215, 14), (8, 12)),
    Kind("gel-bread", "roll", NUT_FLOURS, ((("psyllium-husk",), 22, 30), (("water",), 220, 260), (("active-dry-yeast", "instant-yeast"), 2, 3.5), (("salt",), 2.4, 3.2), (("egg",), 40, 60)),
         ((("oat-fibre", "bamboo-fibre"), 15, 25), (("vital-wheat-gluten",), 20, 32), (("sugar",), 2, 4), (FATS, 5, 10)), (185, 42), (8, 10)),
)  # fmt: skip


def recipe(seed: int) -> Formula:
    """The recipe of a seed."""
    chance = Random(seed)
    kind = KINDS[chance.randrange(len(KINDS))]
    flour_g = float(chance.randrange(200, 601, 10))
    flours = chance.sample(kind.flours, min(len(kind.flours), chance.choice((1, 1, 2))))
    shares = [1.0] if len(flours) == 1 else [0.7, 0.3]
    lines = [(name, round(flour_g * share, 1)) for name, share in zip(flours, shares, strict=True)]
    asked = [*kind.always, *(one for one in kind.sometimes if chance.random() < 0.4)]
    for names, low, high in asked:
        pct = low + chance.random() * (high - low)
        lines.append((chance.choice(names), round(flour_g * pct / 100, 1 if pct < 10 else 0)))
    merged: dict[str, float] = {}
    for name, grams in lines:
        merged[name] = merged.get(name, 0.0) + grams
    oven_c, minutes = kind.bake
    places = tuple(range(len(merged)))
    yeast = any("yeast" in name for name in merged)
    steps = (
        Step("mix", "Mix everything.", 8.0, uses=places),
        *((Step("proof", "Let it rise.", 60.0, temperature_c=26.0),) if yeast else ()),
        Step("bake", "Bake.", minutes, temperature_c=oven_c),
    )
    return Formula(
        f"{kind.name} {seed}",
        kind.product,
        tuple(Line(name, name, grams) for name, grams in merged.items()),
        steps,
        Bake(oven_c, minutes),
        chance.randint(*kind.pieces),
        kind.name,
    )


def recipes(number: int, first: int = 0) -> Iterator[Formula]:
    """So many recipes, one for each seed."""
    return (recipe(seed) for seed in range(first, first + number))
