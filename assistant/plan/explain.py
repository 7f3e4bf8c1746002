"""Why something is in a recipe, or has to be: a verdict, sentences, and the numbers behind them."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from assistant.formula.model import Formula
from assistant.laws import leavening, yeast
from assistant.laws.acidity import ph_word, soapy_word, tang_word
from assistant.plan.chemistry import figure
from assistant.plan.finish import before_of
from assistant.plan.functions import ACID, GAS, Context, is_any, mass
from assistant.plan.model import Assessment, Option, Why
from assistant.plan.needs import active
from assistant.plan.what_if import altered_mass
from assistant.rulebook.model import Ingredient, Need, Rulebook
from assistant.words.derivation import FULL, Derivation, Notes, ranged, stated

NEEDS, HELPS, NOT_NEEDED, DOES, UNKNOWN = "needs", "helps", "not needed", "does", "unknown"
ACIDS_SHOWN = 6
CHOICES = ("wet-acid", "leavening-acid", "cultured-milk")
"""Classes of acids a baker has on hand."""
NOTICED_MMOL_PER_100G = 0.5
"""Bare soda below this, per 100 g flours, is no reason for an acid: a flour takes that much up itself
(assistant.laws.acidity.soda_met_by_buffer_mmol, 12 mmol/kg/pH over half a pH)."""


def why_acid(formula: Formula, book: Rulebook, notes: Notes = FULL) -> Why:
    """Whether this dough needs an acid, is only helped by one, or has no use for it; with the numbers."""
    context = Context(formula, book).dough
    here = before_of(formula, book, notes)
    if here.chemistry.base_mmol.value <= 0:
        said = ["There is no soda in this dough, so nothing here needs an acid."]
        if here.chemistry.acid_mmol.value > 0:
            said.append(
                f"What acid there is ({here.chemistry.acid_mmol.value:.0f} mmol) is for taste and keeping."
            )
        return Why("acid", NOT_NEEDED, tuple(said), (here.chemistry.base_mmol, here.chemistry.acid_mmol), ())
    bare = _bare_soda(context, notes)
    if bare.value > NOTICED_MMOL_PER_100G * context.base_weight_g / 100:
        return _needs_acid(context, here, bare, notes)
    return _helped_by_acid(context, here, notes)


def _bare_soda(context: Context, notes: Notes) -> Derivation:
    """Soda that brings no acid of its own: bases of all lines less those inside complete powders."""
    parts = [
        notes.derive(
            f"soda of the {i.name}",
            leavening.acid_mmol_from_meq,
            stated(i.name, mass(line), "g"),
            figure(f"soda in {i.name}", base.amount),
            unit="mmol",
        )
        for i, line in zip(context.ingredients, context.formula.lines, strict=True)
        if i is not None and not i.acids and mass(line) > 0
        for base in i.bases
    ]
    return notes.derive("soda that brings no acid of its own", _sum, *parts, unit="mmol")


def _sum(*parts: float) -> float:
    return sum(parts)


def _free_acids(context: Context) -> list[int]:
    """Lines that bring acid and no soda."""
    return [
        at
        for at, i in enumerate(context.ingredients)
        if i is not None and i.acids and not i.bases and mass(context.formula.lines[at]) > 0
    ]


def _without(formula: Formula, places: Iterable[int]) -> Formula:
    for at in places:
        formula = altered_mass(formula, at, 0.0)
    return formula


def _needs_acid(context: Context, here: Assessment, bare: Derivation, notes: Notes) -> Why:
    formula, book, c = context.formula, context.book, here.chemistry
    acids = _free_acids(context)
    removed = _without(formula, acids)
    without = before_of(removed, book, notes).chemistry
    named = _names(formula, acids)
    said = [
        "Baking soda gives its gas to an acid: NaHCO3 + H+ -> Na+ + H2O + CO2, one for one. 84 g of soda take one mole of acid.",
        f"Here {bare.value:.0f} mmol of soda stand without an acid of their own; the dough's acids come to {c.acid_mmol.value:.0f} mmol against {c.base_mmol.value:.0f} mmol of soda in all.",
    ]
    if acids:
        said.append(
            f"With {named}: {c.soda_gas_ml.value:.0f} mL gas from soda and {c.unneutralised_soda_g.value:.1f} g soda left over. "
            f"Without: {without.soda_gas_ml.value:.0f} mL and {without.unneutralised_soda_g.value:.1f} g left over."
        )
    else:
        said.append(
            f"As it stands there is {c.soda_gas_ml.value:.0f} mL gas from soda, only what heat drives out, and {c.unneutralised_soda_g.value:.1f} g soda left over."
        )
    said.append(_taste("With it", here) if acids else _taste("As it stands", here))
    if acids:
        said.append(_taste("Without", before_of(removed, book, notes)))
    elsewhere = _other_acid(context, acids)
    wanted = notes.derive(
        "acid that the soda asks for",
        _left_over,
        bare,
        Derivation("acid of other lines", elsewhere, "mmol"),
        unit="mmol",
    )
    choices = tuple(_would_do(context, acids, wanted, notes))
    if choices:
        amounts = "; ".join(
            f"{d.value:.0f} g {d.claim}" if d.value >= 10 else f"{d.value:.1f} g {d.claim}" for d in choices
        )
        said.append(
            f"Any one of these would do: {amounts}. A little under is no fault: flour takes up some soda itself, and slightly alkaline crusts brown better."
        )
    derivations = (
        bare,
        c.base_mmol,
        c.acid_mmol,
        c.soda_gas_ml,
        without.soda_gas_ml,
        c.unneutralised_soda_g,
        without.unneutralised_soda_g,
        c.ph,
        c.ph_baked,
        without.ph_baked,
        *choices,
    )
    return Why("acid", NEEDS, tuple(said), derivations, _sources(derivations, _acid_need(book)))


def _left_over(base_mmol: float, acid_mmol: float) -> float:
    return max(base_mmol - acid_mmol, 0.0)


def _other_acid(context: Context, acids: list[int]) -> float:
    """Acid of lines that bring soda too, beyond what that soda uses: a powder made with acid to spare."""
    spare = 0.0
    for at, i in enumerate(context.ingredients):
        if i is not None and at not in acids and i.bases:
            per_g = sum(r.amount.value for r in i.acids) - sum(r.amount.value for r in i.bases)
            spare += max(per_g, 0.0) * mass(context.formula.lines[at])
    return spare


def _would_do(context: Context, acids: list[int], wanted: Derivation, notes: Notes) -> Iterable[Derivation]:
    here = [i for at in acids if (i := context.ingredients[at]) is not None]
    usual = [i for name in CHOICES for i in context.book.members(name)]
    seen: dict[str, Ingredient] = {}
    for i in (*here, *usual):
        seen.setdefault(i.id, i)
    for i in list(seen.values())[:ACIDS_SHOWN]:
        per_g = sum(r.amount.value for r in i.acids)
        if per_g < 0.001:
            continue
        yield notes.derive(
            i.name, leavening.acid_mass_for_base, wanted, Derivation(f"acid in {i.name}", per_g, "meq/g", i.acids[0].amount.source, (i.acids[0].amount.source,), i.acids[0].amount.grade),
            unit="g", evidence=("atomic-weights", i.acids[0].amount.source),
        )  # fmt: skip


def _helped_by_acid(context: Context, here: Assessment, notes: Notes) -> Why:
    formula, book, c = context.formula, context.book, here.chemistry
    acids = _free_acids(context)
    powder = notes.derive("soda inside the powder", _sum, c.base_mmol, unit="mmol")
    if not acids:
        alone = (
            "The baking powder here is complete: it brings its own acid, so nothing has to be added.",
            f"Its {c.base_mmol.value:.0f} mmol of soda meet {c.acid_mmol.value:.0f} mmol of its own acid; {c.unneutralised_soda_g.value:.1f} g soda is left over. The crumb comes to about pH {_ph(c.ph_baked)}.",
            "A teaspoon of vinegar would add a little tang and keep a little longer, and would spend part of the powder cold.",
        )
        return Why(
            "acid",
            NOT_NEEDED,
            alone,
            (c.base_mmol, c.acid_mmol, c.unneutralised_soda_g, c.ph_baked),
            _sources((c.ph_baked,), _acid_need(book)),
        )
    removed = _without(formula, acids)
    bare = before_of(removed, book, notes)
    named = _names(formula, acids)
    added = Derivation(
        f"acid of the {named}",
        c.acid_mmol.value - bare.chemistry.acid_mmol.value,
        "mmol",
        premises=(c.acid_mmol, bare.chemistry.acid_mmol),
    )
    cold = notes.derive(
        "share of the powder's soda spent in the bowl", leavening.soda_spent_cold_share, powder, added
    )
    own = bare.chemistry.acid_mmol
    unspent = notes.derive(
        "slow acid left unspent", leavening.slow_acid_unspent_mmol, powder, added, own, unit="mmol"
    )
    said = [
        f"The baking powder is complete without it, so the {named} is surplus: {added.value:.0f} mmol of acid beside {c.base_mmol.value:.0f} mmol of soda that the powder's own acid already meets.",
        f"What it helps: {_tang(here, bare)}; the crumb comes to about pH {_ph(c.ph_baked)} instead of {_ph(bare.chemistry.ph_baked)}{_keeping(here, bare)}{_greening(context, here, bare)}.",
        f"What it costs: it spends {100 * cold.value:.0f} % of the powder's soda cold, in the bowl, and leaves {unspent.value:.0f} mmol of slow acid unspent.",
        f"Before the oven comes {100 * c.early_gas_share.value:.0f} % of the gas with it, {100 * bare.chemistry.early_gas_share.value:.0f} % without.",
    ]
    derivations = (
        added,
        c.base_mmol,
        c.surplus_acid_mmol,
        cold,
        unspent,
        c.early_gas_share,
        bare.chemistry.early_gas_share,
        c.ph_baked,
        bare.chemistry.ph_baked,
    )
    return Why("acid", HELPS, tuple(said), derivations, _sources(derivations, _acid_need(book)))


def _tang(here: Assessment, bare: Assessment) -> str:
    with_it, without = here.crumb.get("sourness"), bare.crumb.get("sourness")
    if with_it is None or without is None:
        return "tang"
    sour, plain = tang_word(with_it.value), tang_word(without.value)
    if sour == plain:
        return f"taste hardly (so little is {sour} either way)"
    return f"taste ({sour} rather than {plain})"


def _keeping(here: Assessment, bare: Assessment) -> str:
    with_it, without = here.crumb.get("keeping"), bare.crumb.get("keeping")
    if with_it is None or without is None or with_it.value - without.value < 0.1:
        return ""
    return f", and it keeps about {with_it.value:.1f} days rather than {without.value:.1f}"


def _greening(context: Context, here: Assessment, bare: Assessment) -> str:
    """A colour reaction that the acid holds off, when there is one."""
    avoided = [c for c in bare.cautions if c not in here.cautions]
    named = [
        r.name for r in context.book.reactions.values() if any(c.startswith(f"{r.name}:") for c in avoided)
    ]
    return f", and it holds this off: {' and '.join(named).lower()}" if named else ""


def _ph(ph: Derivation) -> str:
    if ph.value is None:
        return "unknown"
    return (
        f"{ph.value:.1f}"
        if ph.low is None or ph.high is None
        else f"{ph.value:.1f} ({ph.low:.1f} to {ph.high:.1f})"
    )


def _taste(when: str, seen: Assessment) -> str:
    c = seen.chemistry
    if c.ph_baked.value is None:
        return f"{when} the pH can't be told: nothing here has a known buffering."
    sour, bitter = seen.crumb.get("sourness"), seen.crumb.get("bitterness")
    words = [ph_word(c.ph_baked.value)]
    words += [tang_word(sour.value)] if sour is not None else []
    words += [soapy_word(bitter.value)] if bitter is not None else []
    return f"{when}: crumb about pH {_ph(c.ph_baked)}; {', '.join(words)}."


def _names(formula: Formula, places: Iterable[int]) -> str:
    return " and ".join(dict.fromkeys(formula.lines[at].name for at in places))


def _acid_need(book: Rulebook) -> tuple[Need, ...]:
    return tuple(need for need in book.needs.values() if ACID in need.met_by)


def _sources(derivations: Iterable[Derivation], needs: Iterable[Need]) -> tuple[str, ...]:
    found: dict[str, None] = {}

    def walk(d: Derivation) -> None:
        found.update(dict.fromkeys(d.evidence))
        for premise in d.premises:
            walk(premise)

    for d in derivations:
        walk(d)
    for need in needs:
        found.update(dict.fromkeys(e.source for e in need.evidence))
    return tuple(found)


def why_line(
    formula: Formula, at: int, book: Rulebook, notes: Notes = FULL, option: Option | None = None
) -> Why:
    """What a line does here, which needs it meets or has, and what a plan did to it."""
    context = Context(formula, book).around(at)
    ingredient, line = context.ingredients[at], formula.lines[at]
    if ingredient is None:
        return Why(
            line.name,
            UNKNOWN,
            (f"{line.name} is not in the rulebook, so what it does here is unknown.",),
            (),
            (),
        )
    if (
        ingredient.acids
        and not ingredient.bases
        and not context.apart
        and before_of(formula, book, notes).chemistry.base_mmol.value > 0
    ):
        return replace(why_acid(formula, book, notes), subject=line.name)
    said: list[str] = []
    derivations: list[Derivation] = []
    whose = f"the {line.part}'s" if context.apart else "the dough's"
    for function_id in context.matters[at]:
        function = book.functions[function_id]
        amount = context.amount(at, function)
        if amount is None:
            continue
        total = context.total(function_id)
        share = f", {100 * amount / total:.0f} % of {whose}" if total > amount else f", all of {whose}"
        derivations.append(
            Derivation(
                f"{function.name} of the {line.name}",
                amount,
                function.unit,
                function.id,
                tuple(e.source for e in function.evidence),
            )
        )
        said.append(f"{function.name.capitalize()}: {amount:.3g} {function.unit}{share}. {function.what}")
    for need in book.needs.values():
        if is_any(ingredient, (need.of,)) and active(need, context, {}):
            said.append(need.because)
        elif any(m in context.matters[at] or is_any(ingredient, (m,)) for m in need.met_by) and active(
            need, context, {}
        ):
            said.append(f"It answers a need: {need.because[0].lower()}{need.because[1:]}")
    if ingredient.enters == BLOOMED and GAS in ingredient.does:
        blooming, shares = _blooming(context, notes)
        said += blooming
        derivations += shares
    if option is not None:
        said += [
            f"In the plan: {c.because}."
            for c in option.changes
            if c.ingredient == ingredient.id and c.because
        ]
    said = list(dict.fromkeys(said)) or [
        f"{line.name.capitalize()} does nothing here that the numbers can see: flavour, colour or habit."
    ]
    verdict = DOES if context.matters[at] else NOT_NEEDED
    twice = sum(each.ingredient == line.ingredient for each in formula.lines) > 1
    return Why(f"{line.name} in the {line.part}" if twice and line.part else line.name, verdict, tuple(said), tuple(derivations), _sources(derivations, ()))


BLOOMED = "yeast"
"""How an ingredient enters a dough that is woken in water of its own first."""


def _blooming(context: Context, notes: Notes) -> tuple[list[str], list[Derivation]]:
    """What the trade says of water this warm for waking dry yeast, and what ten minutes in it leave alive."""
    ten = stated("minutes in the water", 10.0, "min")
    deadly = ranged(
        "minutes at 55 C that kill nine of ten",
        yeast.D55_MIN,
        "min",
        "assistant.laws.yeast.D55_MIN",
        ("yeast-literature",),
    )
    said = [
        "Practice wakes it anywhere from 38 to 55 °C; ten minutes in the water, and the yeast that is alive after them:"
    ]
    found = []
    for low_c, high_c, word, source, grade in yeast.BLOOM_BANDS:
        if not 38.0 <= low_c < 60.0:
            continue
        middle = stated("water", (low_c + high_c) / 2, "C")
        alive = notes.derive(
            f"yeast alive after 10 min at {middle.value:.0f} C", yeast.viable_share, middle, ten, deadly,
            evidence=(source, "yeast-literature"), grade="from memory",
        )  # fmt: skip
        said.append(
            f"{low_c:.0f} to {high_c:.0f} °C: {word}; about {100 * alive.value:.0f} % alive ({grade})."
        )
        found.append(alive)
    bloom = [
        step for step in context.formula.steps if step.kind == "bloom" and step.temperature_c is not None
    ]
    said += [
        f"Here it is woken at {step.temperature_c:.0f} °C: {yeast.bloom_word(step.temperature_c)}."
        for step in bloom
        if step.temperature_c is not None
    ]
    return said, found


def why_change(option: Option, ingredient_id: str, name: str) -> Why:
    """Why a plan took something out, brought it in or changed it."""
    reasons = tuple(
        f"{c.name}: {c.because}." for c in option.changes if c.ingredient == ingredient_id and c.because
    )
    derivations = tuple(
        c.after_g for c in option.changes if c.ingredient == ingredient_id and c.after_g is not None
    )
    return Why(
        name,
        DOES if reasons else UNKNOWN,
        reasons or (f"The plan leaves {name} as it is.",),
        derivations,
        _sources(derivations, ()),
    )


def why_bake(option: Option) -> Why:
    """Why a plan's oven and time are what they are: what heat flow explains and what practice adds."""
    bake = option.bake
    if bake is None:
        return Why("bake", UNKNOWN, option.remarks or ("No bake is worked out for this.",), (), ())
    said = [
        f"Heat flow alone makes it x{bake.physics_ratio.value:.2f} ({bake.physics_ratio.low:.2f} to {bake.physics_ratio.high:.2f}): size, density, water and oven."
        if bake.physics_ratio.low is not None and bake.physics_ratio.high is not None
        else f"Heat flow alone makes it x{bake.physics_ratio.value:.2f}.",
        f"The custom of this bread makes it x{bake.class_ratio.value:.2f} more."
        if bake.class_ratio.value != 1
        else "The kind of bread stays the same, so custom adds nothing.",
        f"So start testing at {bake.check_from_min.value:.0f} min and bake no later than {bake.no_later_than_min.value:.0f} min; it is done when the middle has {bake.core_c.value:.0f} °C.",
        *[r for r in option.remarks if "bake" in r or "oven" in r or "heat" in r],
    ]
    derivations = (
        bake.oven_c,
        bake.minutes,
        bake.physics_ratio,
        bake.class_ratio,
        bake.check_from_min,
        bake.no_later_than_min,
        bake.core_c,
    )
    return Why("bake", DOES, tuple(said), derivations, _sources(derivations, ()))


def why_topic(
    formula: Formula, topic: str, book: Rulebook, notes: Notes = FULL, option: Option | None = None
) -> Why | None:
    """Why a thing that is no ingredient is as it is: "acid", "bake time", "water", "crumb" ...; None when
    the topic is not one of these.

    With a plan on the table the answer is about the plan against the recipe it starts from.
    """
    if topic == "acid":
        return why_acid(formula, book, notes)
    if topic in ("bake time", "oven temperature", "core temperature"):
        return None if option is None else replace(why_bake(option), subject=topic)
    here = before_of(formula, book, notes) if option is None else option.after
    told = _TOPICS.get(topic)
    if told is None:
        return None
    said, derivations = told(here, option, book)
    return Why(topic, DOES, said, derivations, _sources(derivations, ()))


Told = tuple[tuple[str, ...], tuple[Derivation, ...]]


def _moved(option: Option | None, what: str) -> list[str]:
    """Reasons for what a plan changed in lines whose name holds a word."""
    return (
        []
        if option is None
        else [f"{c.name}: {c.because}." for c in option.changes if c.because and what in c.name.lower()]
    )


def _told_water(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    c = here.chemistry
    said = [
        f"The flours, fibres and gums can hold all but {c.free_water_g.value:.0f} g of the {c.water_g.value:.0f} g of water; that free water is what the hands feel."
    ]
    found = [c.free_water_g, c.water_g, c.hydration_pct]
    if option is not None:
        said.append(f"Before it was {option.before.chemistry.free_water_g.value:.0f} g free.")
        found.append(option.before.chemistry.free_water_g)
    return (*said, *_moved(option, "water"), *_moved(option, "milk")), tuple(found)


def _told_salt(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    sodium = here.nutrition.per_piece.get("sodium_mg")
    said = [f"All sodium counted as salt, the dough has {here.chemistry.salt_pct.value:.1f} % of its flours."]
    if sodium is not None:
        said.append(f"That is {sodium.value:.0f} mg sodium a piece.")
    found = [here.chemistry.salt_pct, *([sodium] if sodium is not None else [])]
    return (*said, *_moved(option, "salt")), tuple(found)


def _told_gas(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    c = here.chemistry
    said = [
        f"From mixing until the core sets: {c.gas_ml.value:.0f} mL of gas, {c.soda_gas_ml.value:.0f} from soda and {c.yeast_gas_ml.value:.0f} from yeast (25 °C, before losses)."
    ]
    if c.soda_gas_ml.value > 0:
        said.append(f"{100 * c.early_gas_share.value:.0f} % of the soda's gas comes before the oven.")
    said.append(
        "Chemical leaveners are dosed by the kind of bread; they are not meant to match the gas of a long rise."
    )
    return tuple(said), (c.gas_ml, c.soda_gas_ml, c.yeast_gas_ml, c.early_gas_share)


def _told_ph(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    c = here.chemistry
    said = (
        f"Acids: {c.acid_mmol.value:.0f} mmol; soda: {c.base_mmol.value:.0f} mmol; soda left over: {c.unneutralised_soda_g.value:.1f} g.",
        f"Dough at the end of mixing about pH {_ph(c.ph)}, crumb about {_ph(c.ph_baked)}.",
        _taste("As it stands", here),
    )
    return said, (c.acid_mmol, c.base_mmol, c.unneutralised_soda_g, c.ph, c.ph_baked)


def _told_rest(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    context = Context(here.formula, book).dough
    said = [
        need.because
        for need in book.needs.values()
        if need.kind in ("rest", "hydrate") and active(need, context, {})
    ]
    found = [
        Derivation(
            f"rest for {need.of}",
            need.minutes.centre,
            "min",
            need.id,
            tuple(e.source for e in need.evidence),
            "common practice",
            need.minutes.low,
            need.minutes.high,
        )
        for need in book.needs.values()
        if need.minutes is not None and need.kind in ("rest", "hydrate") and active(need, context, {})
    ]
    return tuple(said) or ("Nothing in this dough asks for a rest.",), tuple(found)


def _told_crumb(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    said = [
        f"{name}: {d.value:.2g} {d.unit if d.unit != '1' else ''}".rstrip()
        + (f", {option.against[name]}" if option is not None and name in option.against else "")
        + "."
        for name, d in here.crumb.items()
    ]
    return tuple(said) or (
        "What kind of bread this is was not recognised, so its crumb can't be told.",
    ), tuple(here.crumb.values())


def _told_nutrition(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    n = here.nutrition
    shown = (
        "energy_kcal",
        "carbohydrate_g",
        "fibre_g",
        "polyols_g",
        "net_carbs_g",
        "fat_g",
        "protein_g",
        "ketogenic_ratio",
    )
    found = [d for key in shown if (d := n.per_piece.get(key)) is not None and d.value is not None]
    said = [f"{d.claim}: {d.value:.3g} {d.unit if d.unit != '1' else ''}".rstrip() + "." for d in found]
    said.append("Net carbs are carbohydrate less all fibre, the polyols that count as none, and allulose.")
    return tuple(said), tuple(found)


def _told_order(here: Assessment, option: Option | None, book: Rulebook) -> Told:
    if option is None:
        return ("There are no plans on the table.",), ()
    parts = sorted(option.score.premises, key=lambda d: -float(d.value))
    return tuple(f"{d.claim}: {d.value:.1f}." for d in parts if d.value > 0), (option.score,)


_TOPICS: Mapping[str, Callable[[Assessment, Option | None, Rulebook], Told]] = {
    "water": _told_water,
    "salt": _told_salt,
    "sodium": _told_salt,
    "gas": _told_gas,
    "ph": _told_ph,
    "soda left over": _told_ph,
    "rest": _told_rest,
    "crumb": _told_crumb,
    "colour": _told_crumb,
    "taste": _told_crumb,
    "net carbs": _told_nutrition,
    "nutrition": _told_nutrition,
    "fibre": _told_nutrition,
    "order": _told_order,
}
