"""Gas that the yeast of a dough gives, stage by stage, until its food is gone or the oven stops it."""

from assistant.laws import yeast
from assistant.plan.functions import FOOD, GAS, Context, mass
from assistant.plan.warmth import Warmth
from assistant.words.derivation import Derivation, Notes, stated

OVEN_MIN = (3.0, 5.0, 8.0)
"""Low, usual, high minutes in which yeast still works in the oven, before the dough passes 50 C.
Common practice, no source: oven spring of pieces and small loaves."""
OVEN_C = 38.0
"""Temperature at which it works meanwhile: about its fastest (assistant.laws.yeast.temperature_factor)."""
FLOUR_SUGAR_SHARE = (0.015, 0.02, 0.03)
"""Low, usual, high g fermentable sugar that wheat and starchy flours give per g, their own and what their
amylases free in some hours. Source: from memory (1.5-3 % of flour is used in 3 h)."""
STARCHY = ("wheat-flour", "whole-grain", "gluten-free-flour")


def yeast_gas_ml(context: Context, warmth: Warmth, notes: Notes) -> Derivation:
    """CO2 from yeast from mixing until the oven stops it, mL at 25 C and 1 atm; 0 without yeast."""
    function = context.book.functions[GAS]
    rates: list[Derivation] = []
    for at, ingredient in enumerate(context.ingredients):
        if ingredient is None or GAS not in ingredient.does or mass(context.formula.lines[at]) <= 0:
            continue
        rates.append(_rate(context, at, warmth, notes))
    if not rates or context.base_weight_g <= 0:
        return Derivation("gas from yeast", 0.0, "mL", f"no line serves as {function.name}")
    rate = notes.derive("gas rate of the yeast at 30 C", _sum, *rates, unit="mL/h")
    sugar = _food(context, notes)
    share = Derivation("share of sugar that becomes gas", yeast.YIELD[1], "1", "assistant.laws.yeast.YIELD",
                       ("yeast-literature",), "from memory", yeast.YIELD[0], yeast.YIELD[2])  # fmt: skip
    waits = [(s.kind, stated(s.kind, s.minutes, "min"), s.temperature_c) for s in warmth.stages]
    oven = Derivation(
        "minutes it still works in the oven",
        OVEN_MIN[1],
        "min",
        "assistant.plan.yeast.OVEN_MIN",
        ("common-practice",),
        "common practice",
        OVEN_MIN[0],
        OVEN_MIN[2],
    )
    stages = [*waits, ("oven", oven, Derivation("dough in the oven meanwhile", OVEN_C, "C"))]
    parts: list[Derivation] = []
    for kind, minutes, temperature in stages:
        held = Derivation(
            temperature.claim,
            min(max(temperature.value, 0.0), 60.0),
            "C",
            temperature.by,
            temperature.evidence,
            temperature.grade,
            premises=temperature.premises,
        )
        gas = notes.derive(
            f"gas in the {kind}",
            yeast.gas_in_stage_ml,
            rate,
            minutes,
            held,
            sugar,
            share,
            unit="mL",
            evidence=("yeast-literature",),
            grade="from memory",
        )
        used = notes.derive(
            f"sugar used in the {kind}", yeast.sugar_used_g, gas, share, unit="g", spread=False
        )
        sugar = notes.derive("sugar left", _left, sugar, used, unit="g", spread=False)
        parts.append(gas)
    return notes.derive("gas from yeast", _sum, *parts, unit="mL")


def _sum(*amounts: float) -> float:
    return sum(amounts)


def _left(sugar_g: float, used_g: float) -> float:
    return max(sugar_g - used_g, 0.0)


def _rate(context: Context, at: int, warmth: Warmth, notes: Notes) -> Derivation:
    ingredient = context.ingredients[at]
    assert ingredient is not None
    found = ingredient.does[GAS]
    per_g = Derivation(
        f"gas rate of {ingredient.name}",
        found.value,
        "mL/h per g",
        found.source,
        (found.source,),
        found.grade,
        found.low,
        found.high,
    )
    flours = context.base_weight_g or context.formula.dough_g  # of a dough without flours, all of it
    salt = Derivation("salt", min(100 * context.total("salt") / flours, 6.0), "%")
    sugar = Derivation("sugar", min(100 * context.total(FOOD) / flours, 60.0), "%")
    slows = Derivation("how sugar slows an ordinary strain", yeast.SUGAR_SLOWS_REGULAR[1], "1/%", "assistant.laws.yeast.SUGAR_SLOWS_REGULAR",
                       ("yeast-encyclopedia",), "from memory", yeast.SUGAR_SLOWS_REGULAR[0], yeast.SUGAR_SLOWS_REGULAR[2])  # fmt: skip
    with_salt = notes.derive(
        "effect of salt", yeast.salt_factor, salt, evidence=("yeast-literature",), grade="from memory"
    )
    with_sugar = notes.derive(
        "effect of sugar",
        yeast.sugar_factor,
        sugar,
        slows,
        evidence=("yeast-encyclopedia",),
        grade="from memory",
    )
    return notes.derive(
        f"gas rate of the {ingredient.name}", yeast.gas_rate_ml_h,
        stated(ingredient.name, mass(context.formula.lines[at]), "g"), per_g, with_salt, with_sugar, alive(at, context, warmth, notes),
        unit="mL/h", evidence=per_g.evidence, grade=per_g.grade,
    )  # fmt: skip


def alive(at: int, context: Context, warmth: Warmth, notes: Notes) -> Derivation:
    """Share of a yeast line alive after its bloom, and after cooling with the dough it was mixed into."""
    share = Derivation("yeast alive", 1.0, "1")
    d55 = Derivation("minutes at 55 C that kill nine of ten", yeast.D55_MIN[1], "min", "assistant.laws.yeast.D55_MIN",
                     ("yeast-literature",), "from memory", yeast.D55_MIN[0], yeast.D55_MIN[2])  # fmt: skip
    ingredient = context.ingredients[at]
    if warmth.bloom is not None and ingredient is not None and ingredient.enters == "yeast":
        lived = notes.derive(
            "yeast alive after the bloom", yeast.viable_share,
            stated("bloom", warmth.bloom[0], "C"), stated("bloom", warmth.bloom[1], "min"), d55,
            evidence=("yeast-literature",), grade="from memory",
        )  # fmt: skip
        share = notes.derive("yeast alive", _both, share, lived)
    met = warmth.met_c.get(at)
    if met is not None and warmth.time_constant_min is not None and met.value > yeast.LIVES_TO_C:
        lived = notes.derive(
            "yeast alive after meeting the dough", yeast.viable_share_cooling, met, stated("room", context.formula.room_c, "C"),
            warmth.time_constant_min, stated("waits", warmth.rest_min, "min"), d55,
            evidence=("yeast-literature",), grade="from memory",
        )  # fmt: skip
        share = notes.derive("yeast alive", _both, share, lived)
    return share


def _both(first_share: float, second_share: float) -> float:
    return first_share * second_share


def _food(context: Context, notes: Notes) -> Derivation:
    """Fermentable sugar of the lines, and what starchy flours give of their own."""
    added = stated("fermentable sugar of the lines", context.total(FOOD), "g")
    starchy = stated("wheat and starchy flours", context.grams(*STARCHY), "g")
    share = Derivation("fermentable sugar that flours give", FLOUR_SUGAR_SHARE[1], "g/g", "assistant.plan.yeast.FLOUR_SUGAR_SHARE",
                       ("from-memory",), "from memory", FLOUR_SUGAR_SHARE[0], FLOUR_SUGAR_SHARE[2])  # fmt: skip
    return notes.derive("food for the yeast", _all_food, added, starchy, share, unit="g")


def _all_food(added_g: float, starchy_g: float, share: float) -> float:
    return added_g + starchy_g * share
