"""Blends of flours: what a single flour can't do, several can.

A rule gives the places of a blend (bulk, starch, structure ...), who may take each and how much, and the
figures the blend should come to. Of what is allowed the usual comes first; the proportions are a bounded
least-squares problem between those figures and the usual shares, and are then weighed as a kitchen weighs.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.formula.model import Formula, Line
from assistant.plan.balance import Goal, Unknown, balance
from assistant.plan.diets import allergens_of, doubts_of, forbidden, ruling
from assistant.plan.functions import WATER_HELD, is_any, strength
from assistant.plan.model import Status, Verdict
from assistant.plan.nutrition import nutrition_of
from assistant.rulebook.model import TOLD, Aim, Apart, Blend, Diet, Ingredient, Part, Rulebook
from assistant.words.derivation import BARE, FULL, Derivation, Grade, Notes, stated
from assistant.words.units import household

TRIED = 3
"""How many ingredients are tried in the largest place, the usual ones first."""
LESS_USUAL = 4.0
"""What each step away from the usual one weighs, in squared changes nobody notices: two such changes are felt
(common practice)."""
OTHERS_TOLD = 2
"""How many further ingredients are named that could take a place."""
STEPS = ((10.0, 1.0), (2.0, 0.5), (0.0, 0.1))
"""From how many grams a kitchen weighs to how much: 1 g from 10 g, 0.5 g from 2 g, else 0.1 g (common practice)."""
NOTHING_G = 0.01
"""Less than this of a part is none of it."""
_WHOLE, _WHOLE_WITHIN = 100.0, 0.001
_UNBAKED = stated("bake loss", 0.0)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a blend is wanted for: a mass of an ingredient, in which class of product, for which diets, and words
    for what it should be like."""

    ingredient: str
    grams: float
    product: str = ""
    diets: tuple[str, ...] = ()
    purposes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Portion:
    """One ingredient of a blend: what it is there for, its share in %, its grams, in spoons or cups.

    `others` are names of ingredients that could take its place.
    """

    role: str
    ingredient: str
    name: str
    share_pct: Derivation
    grams: Derivation
    spoons: tuple[float, str] | None
    because: str
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Blended:
    """A blend as weighed.

    `reached` are the figures the rule aims at as this blend has them, each with what is aimed at; `uncounted`
    those that some part does not state. `per_100g` and `replaced_per_100g` are the nutrients of the blend and of
    the flour it stands in for. `water_g` is the water to add (below 0: to hold back) for the same dough feel.
    """

    rule: str
    name: str
    gives: tuple[str, ...]
    portions: tuple[Portion, ...]
    total_g: Derivation
    reached: Mapping[str, tuple[Derivation, Derivation]]
    uncounted: tuple[str, ...]
    per_100g: Mapping[str, Derivation | None]
    replaced_per_100g: Mapping[str, Derivation | None]
    incomplete: tuple[str, ...]
    water_g: Derivation | None
    tastes: tuple[str, ...]
    avoid: tuple[str, ...]
    adjust: tuple[str, ...]
    diets: Mapping[str, Verdict]
    doubts: tuple[str, ...]
    allergens: Mapping[str, Status]
    cautions: tuple[str, ...]
    works_in: tuple[str, ...]
    printed: tuple[Mapping[str, object], ...]
    because: str
    status: str
    grade: Grade
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Mix:
    """Who takes which place, with the share of each in % and how far it is from what is aimed at."""

    parts: tuple[Part, ...]
    chosen: tuple[Ingredient, ...]
    shares: tuple[float, ...]
    cost: float


def blends(book: Rulebook, asked: Asked, notes: Notes = FULL) -> tuple[tuple[Blended, ...], tuple[str, ...]]:
    """Blends for what was asked, those made for it first, and sentences why others that are meant for it are none;
    one sentence where a purpose was asked for and nothing is meant for it.

    Errors: KeyError for an ingredient, a class of product or a diet that is not in the rulebook.
    """
    replaced = book.ingredients[asked.ingredient]
    meant = [
        rule
        for rule in book.blends.values()
        if rule.status != "retired"
        and is_any(replaced, rule.replaces)
        and (not asked.product or asked.product in rule.works_in)
        and set(asked.purposes) <= set(rule.gives)
    ]
    if asked.purposes and not meant:
        place = f" in {book.products[asked.product].name}" if asked.product else ""
        return (), (f"No {' and '.join(asked.purposes)} blend is known for {replaced.name}{place}.",)
    made = [blend(rule, book, asked, notes) for rule in sorted(meant, key=lambda rule: _fit(rule, asked))]
    return tuple(b for b in made if not isinstance(b, str)), tuple(b for b in made if isinstance(b, str))


def _fit(rule: Blend, asked: Asked) -> tuple[int, int, str]:
    """What sorts a rule before others: made for more of the diets asked for, named for what it should be like."""
    suited = sum(diet in rule.suits for diet in asked.diets)
    return -suited, sum(rule.gives.index(purpose) for purpose in asked.purposes), rule.id


def blend(rule: Blend, book: Rulebook, asked: Asked, notes: Notes = FULL) -> Blended | str:
    """The blend of a rule for what was asked, or a sentence why there is none.

    Where every place has something that leaves no diet in doubt, that goes before the usual.

    Errors: KeyError for an ingredient or a diet that is not in the rulebook.
    """
    diets = [book.diets[diet] for diet in asked.diets]
    uncounted = [d.name for d in diets if d.limits and d.id not in rule.suits]
    if uncounted:
        return f"{rule.name} is not made to be {' and '.join(uncounted)}."
    replaced = book.ingredients[asked.ingredient]
    allowed: list[list[Ingredient]] = []
    for part in rule.parts:
        members, breaches = _allowed(part, book, replaced, diets)
        if not members and not part.optional:
            why = f": {'; '.join(breaches)}" if breaches else ""
            return f"{rule.name} has nothing for its {part.role}{why}."
        allowed.append(members)
    if all(
        part.optional or _clear(members, diets, book)
        for part, members in zip(rule.parts, allowed, strict=True)
    ):
        allowed = [sorted(members, key=lambda i: not _clear((i,), diets, book)) for members in allowed]
    largest = max(range(len(rule.parts)), key=lambda at: (rule.parts[at].share.centre, -at))
    mixes = []
    for place, first in enumerate(allowed[largest][:TRIED]):
        chosen = _fill(rule, allowed, largest, first)
        mix = None if chosen is None else _solve(rule, chosen, replaced, book)
        if mix is not None:
            mixes.append(replace(mix, cost=mix.cost + LESS_USUAL * place))
    if not mixes:
        return f"{rule.name}: no proportions of what is allowed come to what it should be."
    best = min(mixes, key=lambda mix: (mix.cost, [i.id for i in mix.chosen]))
    return _weighed(best, rule, allowed, replaced, book, asked, notes)


# -- choosing ------------------------------------------------------------------------------------------


def _allowed(
    part: Part, book: Rulebook, replaced: Ingredient, diets: Sequence[Diet]
) -> tuple[list[Ingredient], list[str]]:
    """Who may take a place, the usual first; and why others can't."""
    members: dict[str, Ingredient] = {}
    breaches = []
    for name in part.any_of:
        for each in (book.ingredients[name],) if name in book.ingredients else book.members(name):
            breach = next((b for d in diets if (b := forbidden(each, d, book))), "")
            if breach:
                breaches.append(breach)
            elif each.id != replaced.id:
                members[each.id] = each
    return list(members.values()), breaches


def _clear(members: Iterable[Ingredient], diets: Sequence[Diet], book: Rulebook) -> bool:
    """Whether one of these leaves no diet in doubt."""
    return any(not any(doubts_of(i, d, book) for d in diets) for i in members)


def _fill(
    rule: Blend, allowed: Sequence[Sequence[Ingredient]], largest: int, first: Ingredient
) -> dict[int, Ingredient] | None:
    """An ingredient for each place, by its number: none twice, and none beside what it should not meet."""
    chosen = {largest: first}
    for at, part in enumerate(rule.parts):
        if at == largest:
            continue
        free = (
            i for i in allowed[at] if i not in chosen.values() and not _apart(rule, (*chosen.values(), i))
        )
        found = next(free, None)
        if found is not None:
            chosen[at] = found
        elif not part.optional:
            return None
    return dict(sorted(chosen.items()))


def _apart(rule: Blend, there: Sequence[Ingredient]) -> bool:
    """Whether things that should not meet are all there."""
    return any(all(any(is_any(i, (name,)) for i in there) for name in a.together) for a in rule.avoid)


def _solve(
    rule: Blend, chosen: Mapping[int, Ingredient], replaced: Ingredient, book: Rulebook
) -> _Mix | None:
    """The shares of a choice, or None when they make no whole or pass what an aim bears."""
    parts = tuple(rule.parts[at] for at in chosen)
    there = tuple(chosen.values())
    if not sum(p.share.low for p in parts) <= _WHOLE <= sum(p.share.high for p in parts):
        return None
    goals = [Goal("whole", dict.fromkeys(range(len(parts)), 1.0), _WHOLE, _WHOLE_WITHIN)]
    most: dict[str, float] = {}
    for aim in rule.aims:
        goal = _goal(rule, aim, there, replaced, book)
        if goal is not None:
            goals.append(goal)
        elif aim.high is not None:
            return None
        if aim.high is not None:
            most[aim.figure] = aim.high
    unknowns = [
        Unknown(at, p.share.low, p.share.high, p.share.centre, max((p.share.high - p.share.low) / 2, 0.1))
        for at, p in enumerate(parts)
    ]
    shares = balance([0.0] * len(parts), unknowns, goals)
    if any(goal.total(shares) > most.get(goal.name, float("inf")) for goal in goals):
        return None
    cost = sum(((goal.total(shares) - goal.target) / goal.tolerance) ** 2 for goal in goals[1:])
    return _Mix(parts, there, shares, cost)


def _goal(
    rule: Blend, aim: Aim, there: Sequence[Ingredient], replaced: Ingredient, book: Rulebook
) -> Goal | None:
    """An aim as a total over shares in %; None where a figure is unknown."""
    per_unit = {at: figure(aim.figure, i, book, BARE) for at, i in enumerate(there)}
    wanted = _wanted(rule, aim, replaced, book, BARE)
    known = {at: f.value / _WHOLE for at, f in per_unit.items() if f is not None}
    return (
        None
        if wanted is None or len(known) < len(there)
        else Goal(aim.figure, known, wanted.value, aim.tolerance)
    )


def figure(name: str, ingredient: Ingredient, book: Rulebook, notes: Notes) -> Derivation | None:
    """A figure that blends aim at, of an ingredient: a nutrient per 100 g, or a function's strength per g.

    None where it is unknown; how much water a dry ingredient holds is unknown while it does not say.
    """
    if name in TOLD:
        nutrition = nutrition_of(_formula([(ingredient, 100.0)]), book, notes, _UNBAKED)
        return None if name in nutrition.incomplete else nutrition.per_100g_raw[name]
    function = book.functions[name]
    claim = f"{function.name} of {ingredient.name}, per g"
    own = ingredient.does.get(name)
    if own is not None:
        return Derivation(
            claim, own.value, function.unit, own.source, (own.source,), own.grade, own.low, own.high
        )
    value = None if name == WATER_HELD else strength(ingredient, function)
    return None if value is None else Derivation(claim, value, function.unit, name)


def _wanted(rule: Blend, aim: Aim, replaced: Ingredient, book: Rulebook, notes: Notes) -> Derivation | None:
    if aim.value is None:
        return figure(aim.figure, replaced, book, notes)
    sources = tuple(e.source for e in aim.evidence)
    return Derivation(f"{_called(aim.figure, book)} aimed at", aim.value, _unit(aim.figure, book),
                      rule.id, sources, aim.evidence[0].grade)  # fmt: skip


def _called(name: str, book: Rulebook) -> str:
    return book.functions[name].name if name in book.functions else name.rpartition("_")[0].replace("_", " ")


def _unit(name: str, book: Rulebook) -> str:
    return book.functions[name].unit if name in book.functions else name.rpartition("_")[2]


# -- weighing ------------------------------------------------------------------------------------------


def _weighed(
    mix: _Mix, rule: Blend, allowed: Sequence[Sequence[Ingredient]], replaced: Ingredient, book: Rulebook,
    asked: Asked, notes: Notes,
) -> Blended:  # fmt: skip
    """A mix as the grams of a kitchen, with all that is to be known of it."""
    sources = tuple(
        dict.fromkeys(e.source for e in (*rule.evidence, *(e for a in rule.aims for e in a.evidence)))
    )
    grade = rule.evidence[0].grade
    ratio = notes.rule("g of blend for each g replaced", rule.ratio.centre, rule.id, evidence=sources, grade=grade,
                       low=rule.ratio.low, high=rule.ratio.high)  # fmt: skip
    replaced_g = stated(f"{replaced.name} replaced", asked.grams, "g")
    wanted_g = notes.derive("blend wanted", _times, replaced_g, ratio, unit="g", spread=False)
    masses = [_kitchen_g(share, wanted_g.value) for share in mix.shares]
    wanted = [w for aim in rule.aims if (w := _wanted(rule, aim, replaced, book, notes)) is not None]
    portions = []
    for part, ingredient, share, mass in zip(mix.parts, mix.chosen, mix.shares, masses, strict=True):
        share_pct = notes.rule(f"share of {ingredient.name}", round(share, 2), "assistant.plan.balance.balance", *wanted,
                               unit="%", evidence=sources, grade=grade, low=part.share.low,
                               high=part.share.high)  # fmt: skip
        if mass <= 0:
            continue
        grams = notes.derive(ingredient.name, _kitchen_g, share_pct, wanted_g, unit="g", evidence=sources,
                             grade=grade, spread=False)  # fmt: skip
        spoons = household(mass, {name: f.value for name, f in ingredient.measures.items()})
        place = rule.parts.index(part)
        others = tuple(i.name for i in allowed[place] if i not in mix.chosen)[:OTHERS_TOLD]
        portions.append(
            Portion(part.role, ingredient.id, ingredient.name, share_pct, grams, spoons, part.because, others)
        )
    weighed = [(i, mass) for i, mass in zip(mix.chosen, masses, strict=True) if mass > 0]
    formula = _formula(weighed)
    nutrition = nutrition_of(formula, book, notes, _UNBAKED)
    reached = _reached(rule, weighed, replaced, book, notes)
    rulings = {d: ruling(formula, replace(book.diets[d], limits=()), book, None) for d in asked.diets}
    warned = dict.fromkeys((*rule.cautions, *(c for i, _ in weighed for c in i.cautions)))
    return Blended(
        rule=rule.id,
        name=rule.name,
        gives=rule.gives,
        portions=tuple(sorted(portions, key=lambda p: -p.grams.value)),
        total_g=notes.derive("the blend", _sum, *(p.grams for p in portions), unit="g"),
        reached=reached,
        uncounted=tuple(_called(a.figure, book) for a in rule.aims if a.figure not in reached),
        per_100g=nutrition.per_100g_raw,
        replaced_per_100g=nutrition_of(_formula([(replaced, 100.0)]), book, notes, _UNBAKED).per_100g_raw,
        incomplete=nutrition.incomplete,
        water_g=_water(weighed, replaced, asked.grams, book, notes),
        tastes=tuple(dict.fromkeys(note for i, share in zip(mix.chosen, mix.shares, strict=True)
                                   if share >= TASTED_PCT for note in i.flavour)),
        avoid=tuple(_warning(a, book) for a in rule.avoid if any(is_any(i, a.together) for i in mix.chosen)),
        adjust=rule.adjust,
        diets={d: "cannot confirm" if r.verdict == "yes" and book.diets[d].limits else r.verdict
               for d, r in rulings.items()},
        doubts=tuple(dict.fromkeys(b for r in rulings.values() for b in r.because)),
        allergens=allergens_of(formula, book),
        cautions=tuple(book.cautions[c].text for c in warned),
        works_in=rule.works_in,
        printed=rule.printed,
        because=rule.because,
        status=rule.status,
        grade=grade,
        sources=tuple(dict.fromkeys((*sources, *(str(row["source"]) for row in rule.printed)))),
    )  # fmt: skip


def _warning(apart: Apart, book: Rulebook) -> str:
    """What should not meet, and why: "walnut flour and baking soda (walnut skins turn purple)"."""
    names = [
        book.ingredients[n].name if n in book.ingredients else book.classes[n].name for n in apart.together
    ]
    return f"{' and '.join(names)} ({apart.because})"


TASTED_PCT = 10.0
"""Share of a blend from which an ingredient is tasted (common practice)."""


def _kitchen_g(share_pct: float, total_g: float) -> float:
    """Grams of a part as a kitchen weighs them, at least the finest step where there is any.

    >>> [_kitchen_g(share, 250.0) for share in (66.6, 32.5, 0.9, 0.01, 0.0)]
    [166.0, 81.0, 2.0, 0.1, 0.0]
    """
    exact = total_g * share_pct / _WHOLE
    step = next(step for least, step in STEPS if exact >= least)
    return round(max(round(exact / step), exact >= NOTHING_G) * step, 1)


def _formula(parts: Iterable[tuple[Ingredient, float]]) -> Formula:
    return Formula("blend", "", tuple(Line(i.name, i.id, grams) for i, grams in parts))


def _reached(
    rule: Blend,
    weighed: Sequence[tuple[Ingredient, float]],
    replaced: Ingredient,
    book: Rulebook,
    notes: Notes,
) -> dict[str, tuple[Derivation, Derivation]]:
    """What the blend comes to as weighed and what it aims at, for each figure that is known."""
    found = {}
    whole = stated("the blend", sum(mass for _, mass in weighed), "g")
    for aim in rule.aims:
        wanted = _wanted(rule, aim, replaced, book, notes)
        figures = [figure(aim.figure, i, book, notes) for i, _ in weighed]
        known = [f for f in figures if f is not None]
        if wanted is None or len(known) < len(figures):
            continue
        masses = [stated(i.name, mass, "g") for i, mass in weighed]
        paired = [d for pair in zip(known, masses, strict=True) for d in pair]
        claim = f"{_called(aim.figure, book)} of the blend"
        unit = _unit(aim.figure, book)
        found[aim.figure] = notes.derive(claim, _mean, whole, *paired, unit=unit, spread=False), wanted
    return found


def _mean(whole_g: float, *figures_and_masses: float) -> float:
    """Mean of figures weighed by their masses, given in turns.

    >>> _mean(100.0, 10.0, 80.0, 5.0, 20.0)
    9.0
    """
    figures, masses = figures_and_masses[::2], figures_and_masses[1::2]
    return sum(f * m for f, m in zip(figures, masses, strict=True)) / whole_g


def _water(
    weighed: Iterable[tuple[Ingredient, float]],
    replaced: Ingredient,
    replaced_g: float,
    book: Rulebook,
    notes: Notes,
) -> Derivation | None:
    """Water to add so that a dough feels as before: what the blend holds less what the flour held, g."""
    held = []
    for ingredient, mass in ((replaced, replaced_g), *weighed):
        per_gram = figure(WATER_HELD, ingredient, book, notes)
        if per_gram is None:
            return None
        grams = stated(ingredient.name, mass, "g")
        held.append(notes.derive(f"water held by the {ingredient.name}", _times, per_gram, grams, unit="g"))
    return notes.derive("water to add", _more_than, *held, unit="g", spread=False)


def _times(factor: float, amount: float) -> float:
    return factor * amount


def _sum(*parts: float) -> float:
    return sum(parts)


def _more_than(first: float, *others: float) -> float:
    return sum(others) - first
