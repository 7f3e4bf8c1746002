"""What must hold across the whole rulebook, beyond what each entry shows by itself.

Every check is a function of the rulebook and gives faults; `check` runs them all. Whether the examples of
swaps come out as they say is for `plan` to run.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from string import Formatter
from typing import Any

from assistant.laws.nutrition import energy_general_factors
from assistant.rulebook.graph import Node, dangling, endless_needs, graph_of, serves, thing
from assistant.rulebook.model import Amount, Blend, Evidence, Figure, Ingredient, Rulebook, Swap
from assistant.rulebook.names import plain
from assistant.rulebook.packet import OWN_LABEL
from assistant.words.derivation import GRADES
from assistant.words.faults import Fault, Place

Check = Callable[[Rulebook], Iterable[Fault]]

PROXIMATES = ("water_g", "protein_g", "fat_g", "carbohydrate_g", "ash_g")
PROXIMATES_WITHIN_G = 2.0
"""Per 100 g: tables round each figure and take some from other samples."""
FIBRE_WITHIN_G = 0.15
ENERGY_WITHIN, ENERGY_WITHIN_KCAL = 0.05, 10.0
"""Share, and least difference, by which stated energy may part from what the macros give."""
WHOLES = (
    ("saturated_g", "fat_g"),
    ("sugars_g", "carbohydrate_g"),
    ("starch_g", "carbohydrate_g"),
    ("fibre_g", "carbohydrate_g"),
    ("polyols_g", "carbohydrate_g"),
    ("allulose_g", "carbohydrate_g"),
    ("polyols_deducted_g", "polyols_g"),
    ("soluble_fibre_g", "fibre_g"),
    ("insoluble_fibre_g", "fibre_g"),
)
"""A part and the whole it can't exceed."""
PART_WITHIN_G, PART_WITHIN = 0.5, 0.05
INTENSE_FROM = 2.0
"""Times sucrose from which a sweetener loses strength as it gets sweeter."""
SPOONS = (("cup", "tbsp", 16.0), ("tbsp", "tsp", 3.0))
"""Household measures that should stand to each other as their volumes do."""
SPOONS_WITHIN = 2.0
STEP_WORDS = frozenset(
    (
        "dry",
        "wet",
        "fat",
        "yeast",
        "folded",
        "topping",
        "minutes",
        "pieces",
        "piece_g",
        "temperature_c",
        "oven_c",
        "core_c",
    )
)
"""What the sentences of the method may leave to be filled in."""


def check(book: Rulebook, checks: Iterable[Check] | None = None) -> tuple[Fault, ...]:
    """Faults of the rulebook as a whole, by file and line; of all `checks` when none are named."""
    found = [fault for each in (CHECKS if checks is None else checks) for fault in each(book)]
    return tuple(sorted(found, key=lambda f: (f.where.source, f.where.line or 0, f.what)))


def _at(book: Rulebook, kind: str, entry_id: str) -> Place:
    return book.places.get(f"{kind}/{entry_id}", Place(f"{kind} {entry_id}"))


def _kind(node_kind: str) -> str:
    """The section of the rulebook that holds a kind of node.

    >>> _kind("swap"), _kind("class")
    ('swaps', 'classes')
    """
    return node_kind + ("es" if node_kind.endswith("s") else "s")


# ---- ids, names, sources ----


def every_id_resolves(book: Rulebook) -> Iterable[Fault]:
    """Nothing is named that no entry is."""
    for node, namers in dangling(graph_of(book)):
        for link in namers or ():
            kind, entry_id = link.source
            yield Fault(
                _at(book, _kind(kind), entry_id),
                f'"{node.id}" is no known {node.kind}',
                "name one that is, or add it",
            )


def names_are_unique(book: Rulebook) -> Iterable[Fault]:
    """No two ingredients share a name, within a language or across them, so that a name means one thing."""
    seen: dict[str, str] = {}
    for ingredient in book.ingredients.values():
        spoken = {
            "en": (ingredient.name, ingredient.plural, ingredient.id.replace("-", " "), *ingredient.aliases)
        } | dict(ingredient.names)
        for language, names in spoken.items():
            for name in dict.fromkeys(plain(n) for n in names if n):
                first = seen.setdefault(name, ingredient.id)
                if first != ingredient.id:
                    what = f'"{name}" ({language}) is a name of {ingredient.id} and of {first}'
                    yield Fault(
                        _at(book, "ingredients", ingredient.id), what, "keep it for the one people mean by it"
                    )
    diets = {d.id: (d.name, *d.aliases) for d in book.diets.values()}
    products = {p.id: (p.name, *p.aliases) for p in book.products.values()}
    for kind, called in (("diets", diets), ("products", products)):
        taken: dict[str, str] = {}
        for entry_id, names in sorted(called.items()):
            for name in dict.fromkeys(map(plain, names)):
                first = taken.setdefault(name, entry_id)
                if first != entry_id:
                    what = f'"{name}" is a name of {entry_id} and of {first}'
                    yield Fault(_at(book, kind, entry_id), what, "keep it for one of them")


def sources_are_known_and_cited(book: Rulebook) -> Iterable[Fault]:
    """Every figure and rule cites a known source with a known grade, and no source stands there uncited.

    A source that only a law or a judgement cites is found by its key in the program's own text.
    """
    cited = set()
    for kind, entry_id, what, source, grade in _citations(book):
        cited.add(source)
        if source not in book.sources:
            yield Fault(
                _at(book, kind, entry_id),
                f'{what} cites "{source}", which is no known source',
                "add it to rules/sources",
            )
        if grade not in GRADES:
            yield Fault(
                _at(book, kind, entry_id),
                f'{what} has the grade "{grade}"',
                f"write one of {', '.join(GRADES)}",
            )
    unused = set(book.sources) - cited
    if unused:
        unused -= _keys_in_code()
    for source in sorted(unused):
        yield Fault(
            _at(book, "sources", source),
            f"{source} is cited nowhere",
            "cite it where it is used, or take it out",
        )


def _keys_in_code() -> set[str]:
    code = Path(__file__).resolve().parent.parent.rglob("*.py")
    return {
        key
        for path in code
        for key in re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", path.read_text(encoding="utf-8"))
    }


def _citations(book: Rulebook) -> Iterator[tuple[str, str, str, str, str]]:
    """(kind, id, what cites, source, grade) of everything that cites."""
    for kind in ("ingredients", "acids"):
        for entry_id, entry in getattr(book, kind).items():
            for what, figure in _figures(entry):
                yield kind, entry_id, f"{what} of {entry_id}", figure.source, figure.grade
    for kind in (
        "functions",
        "products",
        "turns",
        "swaps",
        "needs",
        "diets",
        "allergens",
        "reactions",
        "cautions",
        "parts",
        "causes",
        "troubles",
    ):
        for entry_id, entry in getattr(book, kind).items():
            evidence: tuple[Evidence, ...] = entry.evidence
            for each in evidence:
                yield kind, entry_id, entry_id, each.source, each.grade
    for blend in book.blends.values():
        for each in (*blend.evidence, *(e for aim in blend.aims for e in aim.evidence)):
            yield "blends", blend.id, blend.id, each.source, each.grade
    for kind, rule in [("swaps", s) for s in book.swaps.values()] + [("blends", b) for b in book.blends.values()]:
        for printed in rule.printed:
            yield kind, rule.id, f"what is printed for {rule.id}", printed["source"], "handbook"


def _figures(entry: Any) -> Iterator[tuple[str, Figure]]:
    """Every figure of an ingredient or an acid, with what it is called."""
    if isinstance(entry, Ingredient):
        for table in (entry.composition, entry.measures, entry.does):
            yield from table.items()
        for reactant in (*entry.acids, *entry.bases):
            yield reactant.species, reactant.amount
        if entry.buffer is not None:
            yield "buffer", entry.buffer.strength
            yield "own pH", entry.buffer.own_ph
        for what, figure in (("most sweetness", entry.sweetest), ("laxative threshold", entry.laxative_from)):
            if figure is not None:
                yield what, figure
        return
    yield "molar mass", entry.molar_mass
    for pka in entry.pka:
        yield "pKa", pka
    yield from entry.release.items()
    for what, figure in (
        ("neutralising value", entry.neutralising_value),
        ("waking temperature", entry.wakes_c),
    ):
        if figure is not None:
            yield what, figure


# ---- ingredients ----


def no_ingredient_is_an_orphan(book: Rulebook) -> Iterable[Fault]:
    """Every ingredient belongs to a class or is named by a rule, so that some rule can speak of it."""
    named = set(_named_by_rules(book))
    for ingredient in book.ingredients.values():
        if not ingredient.classes and ingredient.id not in named:
            what = f"{ingredient.id} belongs to no class and no rule names it"
            yield Fault(_at(book, "ingredients", ingredient.id), what, "give it a class")


def _per_100g(ingredient: Ingredient, *nutrients: str) -> list[float] | None:
    """These figures, or None when one of them is unknown."""
    found = [ingredient.composition.get(nutrient) for nutrient in nutrients]
    return [figure.value for figure in found if figure is not None] if None not in found else None


def proximates_sum_to_100(book: Rulebook) -> Iterable[Fault]:
    """Water, protein, fat, carbohydrate and ash (and alcohol) make up the whole, where all are known.

    Acids may be part of the carbohydrate or stand beside it, as tables differ; an ash that says by its
    `method` why it isn't all of the mineral part (soda loses gas on ashing) is taken at its word, and so is a
    label, whose water is what is left.
    """
    for ingredient in book.ingredients.values():
        parts = _per_100g(ingredient, *PROXIMATES)
        labelled = any(figure.source == OWN_LABEL for figure in ingredient.composition.values())
        if parts is None or labelled or ingredient.composition["ash_g"].method:
            continue
        least = sum(parts) + sum(_per_100g(ingredient, "alcohol_g") or ())
        most = least + sum(_per_100g(ingredient, "organic_acids_g") or ())
        if least - 100 > PROXIMATES_WITHIN_G or 100 - most > PROXIMATES_WITHIN_G:
            what = (
                f"water, protein, fat, carbohydrate and ash of {ingredient.id} sum to {least:.1f} g per 100 g"
            )
            yield Fault(
                _at(book, "ingredients", ingredient.id),
                what,
                "take all of them from one row, or say why in `method` of ash_g",
            )


def fibre_splits_into_its_kinds(book: Rulebook) -> Iterable[Fault]:
    """Soluble and insoluble fibre make up the fibre, where all three are known."""
    for ingredient in book.ingredients.values():
        parts = _per_100g(ingredient, "fibre_g", "soluble_fibre_g", "insoluble_fibre_g")
        if parts is not None and abs(parts[0] - parts[1] - parts[2]) > FIBRE_WITHIN_G:
            what = f"fibre of {ingredient.id} is {parts[0]:g} g, its kinds sum to {parts[1] + parts[2]:.2f} g"
            yield Fault(
                _at(book, "ingredients", ingredient.id),
                what,
                "take the shares of one source and apply them to the total",
            )


def no_part_exceeds_its_whole(book: Rulebook) -> Iterable[Fault]:
    """Saturated fat is part of fat, sugars are part of carbohydrate, and so on."""
    for ingredient in book.ingredients.values():
        for part, whole in WHOLES:
            found = _per_100g(ingredient, part, whole)
            if found is not None and found[0] > found[1] * (1 + PART_WITHIN) + PART_WITHIN_G:
                what = f"{part} of {ingredient.id} is {found[0]:g}, more than its {whole} of {found[1]:g}"
                yield Fault(
                    _at(book, "ingredients", ingredient.id), what, "check both figures and their units"
                )


def energy_agrees_with_the_macros(book: Rulebook) -> Iterable[Fault]:
    """Stated energy is near 4-4-9, or near factors that count fibre, polyols, acids and alcohol apart, or
    says by its `method` why not."""
    for ingredient in book.ingredients.values():
        stated = ingredient.composition.get("energy_kcal")
        macros = _per_100g(ingredient, "protein_g", "carbohydrate_g", "fat_g")
        if stated is None or macros is None or stated.method:
            continue
        low, high = _energies(ingredient, *macros)
        least, most = stated.value, stated.value
        if stated.source == OWN_LABEL:  # each figure lies anywhere between the ends that rounding leaves
            ends = [_ends(ingredient.composition[each]) for each in ("protein_g", "carbohydrate_g", "fat_g")]
            low, high = (_energies(ingredient, *macros)[at] for at, macros in enumerate(zip(*ends, strict=True)))
            least, most = _ends(stated)
        off = max(low - most, least - high, 0.0)
        if off > max(ENERGY_WITHIN * stated.value, ENERGY_WITHIN_KCAL):
            what = (
                f"energy of {ingredient.id} is {stated.value:g} kcal, its macros give {low:.0f} to {high:.0f}"
            )
            yield Fault(
                _at(book, "ingredients", ingredient.id),
                what,
                "check the figures, or say why in `method` of energy_kcal",
            )


def _ends(figure: Figure) -> tuple[float, float]:
    return (
        figure.value if figure.low is None else figure.low,
        figure.value if figure.high is None else figure.high,
    )


def _energies(
    ingredient: Ingredient, protein_g: float, carbohydrate_g: float, fat_g: float
) -> tuple[float, float]:
    """Least and most energy that usual factors give, kcal; polyols have 0 to 2.4."""

    def known(nutrient: str) -> float:
        return sum(_per_100g(ingredient, nutrient) or ())

    alcohol = 7 * known("alcohol_g")
    general = energy_general_factors(protein_g, carbohydrate_g, fat_g) + alcohol
    apart = known("fibre_g") + known("polyols_g") + known("allulose_g") + known("organic_acids_g")
    counted = energy_general_factors(protein_g, max(0.0, carbohydrate_g - apart), fat_g) + alcohol
    counted += 2 * known("fibre_g") + 0.4 * known("allulose_g") + 3 * known("organic_acids_g")
    with_polyols = counted + 2.4 * known("polyols_g")
    return min(general, counted), max(general, with_polyols)


def sweeteners_state_what_their_limits_are_of(book: Rulebook) -> Iterable[Fault]:
    """A laxative threshold is of polyols or allulose in the ingredient, a most sweetness of an intense strength."""
    for ingredient in book.ingredients.values():
        drawn = sum(_per_100g(ingredient, "polyols_g") or ()) + sum(_per_100g(ingredient, "allulose_g") or ())
        strength = ingredient.does.get("sweetness")
        if ingredient.laxative_from is not None and drawn <= 0:
            what = f"{ingredient.id} has a laxative threshold and no polyols or allulose"
            yield Fault(_at(book, "ingredients", ingredient.id), what, "state polyols_g or allulose_g")
        if ingredient.sweetest is not None and (strength is None or strength.value < INTENSE_FROM):
            what = f"{ingredient.id} has a most sweetness and is no intense sweetener"
            mend = f"state a sweetness of at least {INTENSE_FROM:g}, or leave `sweetest` out"
            yield Fault(_at(book, "ingredients", ingredient.id), what, mend)


def spoons_agree_with_cups(book: Rulebook) -> Iterable[Fault]:
    """A cup weighs about sixteen tablespoons and a tablespoon about three teaspoons, however it is filled."""
    for ingredient in book.ingredients.values():
        for more, less, times in SPOONS:
            if more in ingredient.measures and less in ingredient.measures:
                ratio = ingredient.measures[more].value / ingredient.measures[less].value / times
                if not 1 / SPOONS_WITHIN <= ratio <= SPOONS_WITHIN:
                    off = f"{ratio * times:.1f} times a {less}, not about {times:g}"
                    what = f"a {more} of {ingredient.id} weighs {off}"
                    yield Fault(_at(book, "ingredients", ingredient.id), what, "check both measures")


# ---- rules ----


def _conditions(when: Mapping[str, Any]) -> Iterator[str]:
    """Ingredients and classes that conditions name."""
    for key in ("share", "count", "has", "lacks", "raw"):
        yield from when.get(key, ())


def _named(book: Rulebook) -> Iterator[tuple[str, str, str]]:
    """(kind, id, ingredient or class it names) of every rule."""
    for swap in book.swaps.values():
        brought = (amount.ingredient or amount.any_of for amount in (*swap.stand_ins, *swap.also))
        for name in (swap.replaces, *brought, *swap.adjust, *_conditions(swap.when)):
            yield "swaps", swap.id, name
    for blend in book.blends.values():
        apart = (name for each in blend.avoid for name in each.together)
        for name in (*blend.replaces, *(name for part in blend.parts for name in part.any_of), *apart):
            yield "blends", blend.id, name
    for need in book.needs.values():
        for name in (need.of, *need.met_by, *_conditions(need.when)):
            yield "needs", need.id, name
    for reaction in book.reactions.values():
        for name in (*reaction.between, *_conditions(reaction.when)):
            yield "reactions", reaction.id, name
    for caution in book.cautions.values():
        for name in _conditions(caution.when):
            yield "cautions", caution.id, name
    for diet in book.diets.values():
        for forbidden in (diet.forbids, diet.doubt_when):
            for name in (*forbidden.get("class", ()), *forbidden.get("ingredient", ())):
                yield "diets", diet.id, name
    for product in book.products.values():
        for name in _conditions(product.signs):
            yield "products", product.id, name


def _named_by_rules(book: Rulebook) -> Iterator[str]:
    return (name for _, _, name in _named(book))


def classes_have_members(book: Rulebook) -> Iterable[Fault]:
    """A class that a rule names holds some ingredient."""
    told = set()
    for kind, entry_id, name in _named(book):
        if (
            thing(name, book) == Node("class", name)
            and not book.members(name)
            and (entry_id, name) not in told
        ):
            told.add((entry_id, name))
            yield Fault(
                _at(book, kind, entry_id),
                f"{entry_id} names the class {name}, which has no members",
                "give some ingredient this class",
            )


def no_swap_is_dead(book: Rulebook) -> Iterable[Fault]:
    """Some ingredient can be what a swap replaces and serve there as it asks, and something can come in."""
    for swap in book.swaps.values():
        because = _dead(swap, book)
        if because and swap.status != "retired":
            yield Fault(
                _at(book, "swaps", swap.id),
                f"{swap.id} can never hold: {because}",
                "mend it, or retire it with the reason",
            )


def _dead(swap: Swap, book: Rulebook) -> str:
    replaced = [
        i
        for i in book.ingredients.values()
        if (swap.replaces in i.classes if swap.replaces_any else swap.replaces == i.id)
    ]
    if not replaced:
        return f"nothing is {swap.replaces}"
    if swap.serves and not any(set(swap.serves) & set(serves(i, book)) for i in replaced):
        return f"nothing that is {swap.replaces} serves as {' or '.join(swap.serves)}"
    for amount in (*swap.stand_ins, *swap.also):
        if not _can_come(amount, book, replaced):
            return f"nothing else is {amount.ingredient or amount.any_of}"
    products = swap.when.get("product", ())
    raised = swap.when.get("raised_by", ())
    if (
        products
        and raised
        and not any(book.products[p].raised_by in raised for p in products if p in book.products)
    ):
        return "none of its products is raised that way"
    return ""


def _can_come(amount: Amount, book: Rulebook, replaced: list[Ingredient]) -> bool:
    if amount.ingredient:
        return amount.ingredient in book.ingredients
    members = book.members(amount.any_of)
    return len(members) > 1 or (len(members) == 1 and members != tuple(replaced))


def no_two_swaps_say_the_same(book: Rulebook) -> Iterable[Fault]:
    """No two swaps in use put the same in the place of the same under the same conditions."""
    said: dict[object, str] = {}
    for swap in book.swaps.values():
        if swap.status == "retired":
            continue
        brought = frozenset(amount.ingredient or amount.any_of for amount in (*swap.stand_ins, *swap.also))
        tells = (swap.replaces_any, swap.replaces, bool(swap.refuse), brought, _unordered(swap.when))
        first = said.setdefault(tells, swap.id)
        if first != swap.id:
            what = f"{swap.id} says the same as {first}: the same stand-ins for {swap.replaces}, in the same place"
            yield Fault(_at(book, "swaps", swap.id), what, "make them one, or tell them apart under `when`")


def _unordered(value: Any) -> object:
    """Conditions as a value that compares equal however they are ordered."""
    if isinstance(value, Mapping):
        return frozenset((key, _unordered(inner)) for key, inner in value.items())
    return frozenset(value) if isinstance(value, tuple | list) else value


def no_blend_is_dead(book: Rulebook) -> Iterable[Fault]:
    """The parts of a blend can make a whole, and its aims are of figures that there are."""
    for blend in book.blends.values():
        least = sum(part.share.low for part in blend.parts if not part.optional)
        most = sum(part.share.high for part in blend.parts)
        if not least <= 100 <= most:
            what = f"the parts of {blend.id} make {least:g} to {most:g} % and never a whole"
            yield Fault(_at(book, "blends", blend.id), what, "widen the shares")


def no_cause_is_dead(book: Rulebook) -> Iterable[Fault]:
    """Every cause belongs to some trouble, and every trouble has a cause or something to look at."""
    named = {cause for trouble in book.troubles.values() for cause in trouble.causes}
    for cause_id in sorted(set(book.causes) - named):
        what = f"{cause_id} is the cause of nothing"
        yield Fault(_at(book, "causes", cause_id), what, "name it in rules/troubles.yaml, or take it out")
    for trouble in book.troubles.values():
        if not trouble.causes and not trouble.usual:
            what = f"of {trouble.id} nothing is said"
            yield Fault(_at(book, "troubles", trouble.id), what, "write causes: or usual:")


def no_caution_is_dead(book: Rulebook) -> Iterable[Fault]:
    """Every caution has a condition, or something names it."""
    named = set()
    for kind in ("ingredients", "swaps", "blends", "diets"):
        for entry in getattr(book, kind).values():
            named.update(entry.cautions)
    for caution in book.cautions.values():
        if not caution.when and caution.id not in named:
            what = f"{caution.id} has no condition and nothing names it, so nobody ever reads it"
            yield Fault(_at(book, "cautions", caution.id), what, "give it `when`, or name it where it counts")


def swaps_have_evidence_and_examples(book: Rulebook) -> Iterable[Fault]:
    """Every swap and blend cites evidence and shows a case that holds and one that is refused; a rule that says
    no, a case where it does and one where it is silent."""
    for swap in book.swaps.values():
        held = "an example where it is silent" if swap.refuse else "an example that holds"
        yield from _unshown(book, "swaps", swap, held)
    for blend in book.blends.values():
        yield from _unshown(book, "blends", blend, "an example that holds")


def _unshown(book: Rulebook, kind: str, rule: Swap | Blend, held: str) -> Iterator[Fault]:
    lacking = [] if rule.evidence else ["evidence"]
    refused = [example for example in rule.examples if example.expect == "refused"]
    lacking += [] if refused else ["an example that is refused"]
    lacking += [held] if len(refused) == len(rule.examples) else []
    if lacking:
        yield Fault(_at(book, kind, rule.id), f"{rule.id} lacks {' and '.join(lacking)}", "add it")


def rules_have_evidence(book: Rulebook) -> Iterable[Fault]:
    """Needs, diets, turns and reactions cite evidence too."""
    for kind in ("needs", "diets", "turns", "reactions", "products", "functions", "parts", "causes", "troubles"):
        for entry_id, entry in getattr(book, kind).items():
            if not entry.evidence:
                yield Fault(
                    _at(book, kind, entry_id),
                    f"{entry_id} cites no evidence",
                    "add evidence: [{source: ..., grade: ..., gives: ...}]",
                )


def every_need_has_an_exit(book: Rulebook) -> Iterable[Fault]:
    """What meets a need does not, whatever is chosen, bring another need that can't be met."""
    for need in endless_needs(book):
        yield Fault(
            _at(book, "needs", need.id),
            f"nothing closes {need.id}: all that meets it needs something itself, without end",
            "name something in met_by that has no open need",
        )


def every_change_of_leavening_has_its_turn(book: Rulebook) -> Iterable[Fault]:
    """Where a product becomes another when raised another way, a turn says what changes in the bake."""
    turns = {(turn.source_product, turn.target_product) for turn in book.turns.values()}
    for product in book.products.values():
        for target in dict.fromkeys(product.becomes.values()):
            if target != product.id and (product.id, target) not in turns:
                what = f"{product.id} becomes {target}, and no turn says what changes"
                yield Fault(_at(book, "products", product.id), what, "add one to rules/turns.yaml")


def sentences_can_be_filled_in(book: Rulebook) -> Iterable[Fault]:
    """The method's sentences ask only for what the writer of steps knows."""
    for step in book.steps.values():
        try:
            asked = {name for _, name, _, _ in Formatter().parse(step.text) if name is not None}
        except ValueError as error:
            yield Fault(
                _at(book, "steps", step.id),
                f"the sentence of {step.id} can't be filled in: {error}",
                "check its braces",
            )
            continue
        for name in sorted(asked - STEP_WORDS):
            what = f'the sentence of {step.id} asks for "{name}", which nothing gives'
            yield Fault(_at(book, "steps", step.id), what, f"it may ask for {', '.join(sorted(STEP_WORDS))}")


def every_step_is_said_in_english(book: Rulebook) -> Iterable[Fault]:
    """Kinds of step have a text at least in English, and every other language's are known there."""
    english = {step.kind for step in book.steps.values() if step.language == "en"}
    for step in book.steps.values():
        if step.kind not in english:
            yield Fault(
                _at(book, "steps", step.id),
                f"{step.kind} has no English sentence",
                "add it to rules/method/en.yaml",
            )


OF_INGREDIENTS: tuple[Check, ...] = (
    names_are_unique,
    no_ingredient_is_an_orphan,
    proximates_sum_to_100,
    fibre_splits_into_its_kinds,
    no_part_exceeds_its_whole,
    energy_agrees_with_the_macros,
    sweeteners_state_what_their_limits_are_of,
    spoons_agree_with_cups,
)
"""What an ingredient by itself, or its name, can get wrong."""
CHECKS: tuple[Check, ...] = (
    every_id_resolves,
    sources_are_known_and_cited,
    *OF_INGREDIENTS,
    classes_have_members,
    no_swap_is_dead,
    no_two_swaps_say_the_same,
    no_blend_is_dead,
    no_caution_is_dead,
    no_cause_is_dead,
    swaps_have_evidence_and_examples,
    rules_have_evidence,
    every_need_has_an_exit,
    every_change_of_leavening_has_its_turn,
    sentences_can_be_filled_in,
    every_step_is_said_in_english,
)
"""Everything that is checked."""
