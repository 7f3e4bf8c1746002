"""A conversation as values: a state and typed words in, a new state and an answer out.

No file, clock or terminal is touched here: judgement and the shelf of recipes are handed in. Undo is the
version before, kept as it was.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from assistant.formula.model import TINS, Formula, Line
from assistant.formula.model import Bake as StatedBake
from assistant.formula.parts import oven_of, part_named
from assistant.formula.resolve import measures_of, tidy_g
from assistant.formula.scale import Scaled, part_to_g, scale, scale_part, to_piece_g, to_pieces, to_total_g
from assistant.formula.write import to_text
from assistant.plan import functions
from assistant.plan.constraints import Admission, Bound, Constraints, breaking, contradiction, wished
from assistant.plan.diagnose import diagnose
from assistant.plan.diets import ruling
from assistant.plan.height import at_height
from assistant.plan.instead import instead
from assistant.plan.method import timeline
from assistant.plan.model import Assessment, BakeAnswer, Option, Options, TimelineEntry, Why
from assistant.plan.pans import custom_check, fit, needs_tin, rebaked, tin_needed, usual_tin, why_not
from assistant.plan.safety import confirm
from assistant.plan.what_if import what_if
from assistant.publish import document
from assistant.publish.compare import compare
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.names import plain
from assistant.rulebook.packet import OWN_LABEL
from assistant.talk import ovens, phrasing
from assistant.talk.english import NUTRIENTS, TOPICS, by_word
from assistant.talk.entry import entry_of
from assistant.talk.portion import DOUGH
from assistant.talk.request import (
    Avoid,
    Bake,
    Choose,
    Clarify,
    Compare,
    Convert,
    Decline,
    Diagnose,
    Explain,
    Fit,
    Forget,
    Help,
    Instead,
    Open,
    Packet,
    Pantry,
    Publish,
    Quit,
    Record,
    Redo,
    Replace,
    Request,
    Save,
    Scale,
    Schedule,
    Show,
    Target,
    Undo,
    Units,
    Unknown,
    WhatIf,
)
from assistant.talk.utterance import EXAMPLES, NAMED, Context, Understood, Vocabulary, sentence, understand
from assistant.words.derivation import FULL, Derivation
from assistant.words.faults import Fault, Place
from assistant.words.units import grams_of, household, kind_of, read_quantity, unit_text

TYPED = Place("as typed")
KEPT = 200
"""Versions kept for undo."""
DAY_MIN = 24 * 60


class Judgement(Protocol):
    """What is asked of judgement. An ingredient is a rules id, or a line's own name."""

    def line_of(self, formula: Formula, words: str) -> int | None:
        """The line an ingredient means, counted from 0; None when it is not in the formula."""

    def elsewhere(self, formula: Formula, at: int) -> tuple[int, ...]:
        """Lines of the same ingredient in other parts of the recipe."""

    def options(
        self, formula: Formula, line_index: int, substitute: str | None = None, without: str = ""
    ) -> Options:
        """Ranked plans for replacing a line; with `substitute`, only those that bring it in; none that
        brings in the class `without`."""

    def adapt(self, formula: Formula, wishes: Constraints) -> Options:
        """The best plans that keep all wishes at once, or what blocks them and the nearest that misses."""

    def best_of(self, formulas: Sequence[Formula], wishes: Constraints) -> list[Options]:
        """The best plan for each of several recipes."""

    def assess(self, formula: Formula) -> Assessment:
        """Everything about a formula as it stands."""

    def why(self, formula: Formula, subject: str, option: Option | None = None) -> Why:
        """Why a topic, an ingredient or a change is as it is."""

    def what_if(self, formula: Formula, request: WhatIf) -> Option | str:
        """How the recipe would come out changed; a sentence when it can't be told."""


class Recipes(Protocol):
    """Where recipes are found and kept."""

    def names(self) -> tuple[str, ...]:
        """Names that can be opened."""

    def find(self, name: str) -> tuple[Formula | None, tuple[Fault, ...]]:
        """A recipe by name or path."""

    def save(self, formula: Formula, name: str) -> tuple[str, Fault | None]:
        """Keep a recipe; where it went, or why not."""

    def publish(self, assessment: Assessment, form: str, locale: str) -> tuple[str, Fault | None]:
        """A card in a form and language; where it went, or why not."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What came of changing the shelf: what the conversation stands on from now, and where it was written;
    without a kitchen nothing changed, and the faults say why."""

    kitchen: "Kitchen | None"
    where: str = ""
    faults: tuple[Fault, ...] = ()


class Own(Protocol):
    """A person's own shelf."""

    def ingredients(self, book: Rulebook) -> tuple[str, ...]:
        """Ids of the ingredients that stand there."""

    def table(self, ident: str, book: Rulebook) -> Ingredient:
        """An ingredient as it is without the own one that is laid over it."""

    def keep(self, entry: Mapping[str, object], book: Rulebook, anyway: bool = False) -> Kept:
        """Keep an own ingredient, `anyway` though its figures don't add up."""

    def forget(self, ident: str, book: Rulebook) -> Kept:
        """Take an own ingredient away."""


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What a conversation stands on, the same from turn to turn till the shelf changes."""

    book: Rulebook
    vocabulary: Vocabulary
    judgement: Judgement
    recipes: Recipes
    own: Own | None = None


@dataclass(frozen=True, slots=True)
class Version:
    """A recipe at one moment, with the plan that led to it."""

    formula: Formula
    option: Option | None = None


@dataclass(frozen=True, slots=True)
class State:
    """Where a conversation stands.

    `opened` is the recipe as it was opened, `past` and `future` the versions that undo and redo go to,
    `table` the plans just shown, `choices` a question just asked with the request behind each answer,
    `numbers` what the last answer was said from, `about` the ingredient last spoken of, `wish` what the recipe
    is to keep to, `leaving` that the end was asked for with something unsaved, `packet` an
    own ingredient that is being typed and `wanting` what was asked about it.
    """

    now: Version
    opened: Formula
    past: tuple[Version, ...] = ()
    future: tuple[Version, ...] = ()
    table: Options | None = None
    choices: tuple[str, ...] = ()
    asked: tuple[Request, ...] = ()
    numbers: tuple[Derivation, ...] = ()
    about: str | None = None
    have: frozenset[str] = frozenset()
    wish: Avoid | None = None
    us: bool = False
    unsaved: bool = False
    leaving: bool = False
    packet: Packet | None = None
    wanting: str = ""

    @property
    def formula(self) -> Formula:
        """The recipe as it stands."""
        return self.now.formula

    @property
    def option(self) -> Option | None:
        """The plan being talked of: the nearest on the table, else the one that was taken."""
        return self.table.options[0] if self.table is not None and self.table.options else self.now.option


@dataclass(frozen=True, slots=True)
class Turn:
    """What was typed and what came of it.

    `document` is the answer as a value, under the name of the command it amounts to ("" when none);
    `formula` the recipe after the turn; `ends`, that the conversation is over; `kitchen` is what it goes on
    with where the shelf has changed.
    """

    text: str
    understood: Understood
    reply: str
    formula: Formula
    command: str = ""
    document: object | None = None
    ends: bool = False
    kitchen: Kitchen | None = None


@dataclass(frozen=True, slots=True)
class _Answer:
    reply: str
    command: str = ""
    document: object | None = None
    ends: bool = False
    faults: tuple[Fault, ...] = field(default=())
    kitchen: Kitchen | None = None


def begin(formula: Formula, us: bool = False) -> State:
    """A conversation about a recipe, with nothing said yet."""
    return State(Version(formula), formula, us=us)


def turn(state: State, text: str, kitchen: Kitchen) -> tuple[State, Turn]:
    """One exchange. Never raises for what a person types."""
    understood = understand(
        text, kitchen.vocabulary, Context(state.formula.lines, state.choices, _titles(state), state.wanting)
    )
    request = understood.request
    if state.leaving:
        request = _leaving(request)
    quiet = replace(state, choices=(), asked=(), leaving=False)
    if isinstance(request, Choose) and state.asked:
        after, answer = _picked(quiet, request, state.asked, kitchen)
    elif isinstance(request, Unknown | Clarify):
        after, answer = _puzzled(quiet, understood)
    else:
        after, answer = _answered(quiet, request, kitchen)
    if answer.faults:
        understood = replace(understood, faults=(*understood.faults, *answer.faults))
    return after, Turn(
        text,
        understood,
        answer.reply,
        after.formula,
        answer.command,
        answer.document,
        answer.ends,
        answer.kitchen,
    )


def _titles(state: State) -> tuple[str, ...]:
    return tuple(option.title for option in state.table.options) if state.table is not None else ()


def _leaving(request: Request) -> Request:
    """At the door: quitting again, or "no", throws away what is unsaved."""
    return Quit(discard=True) if isinstance(request, Quit) else request


def _puzzled(state: State, understood: Understood) -> tuple[State, _Answer]:
    said = "\n".join(phrasing.fault(fault) for fault in understood.faults)
    if isinstance(understood.request, Clarify):
        state = replace(state, choices=understood.request.choices, asked=understood.request.requests)
    return state, _Answer(said)


def _picked(
    state: State, choose: Choose, asked: Sequence[Request], kitchen: Kitchen
) -> tuple[State, _Answer]:
    at = len(asked) if choose.option == -1 else choose.option
    if not 1 <= at <= len(asked):
        return _cannot(
            replace(state, asked=tuple(asked), choices=tuple(sentence(r) for r in asked)),
            f"there are {len(asked)} to choose from",
            f"a number from 1 to {len(asked)}",
        )
    return _answered(state, asked[at - 1], kitchen)


def _answered(state: State, request: Request, kitchen: Kitchen) -> tuple[State, _Answer]:
    match request:
        case Replace():
            return _replace(state, request, kitchen)
        case Avoid():
            return _avoid(state, request, kitchen)
        case Explain():
            return _explain(state, request, kitchen)
        case WhatIf():
            return _what_if(state, request, kitchen)
        case Scale():
            return _scale(state, request, kitchen)
        case Target():
            return _target(state, request, kitchen)
        case Show():
            return _show(state, request, kitchen)
        case Compare():
            return _compare(state, request, kitchen)
        case Choose():
            return _choose(state, request, kitchen)
        case Undo():
            return _undo(state, request, kitchen)
        case Redo():
            return _redo(state, kitchen)
        case Bake():
            return _bake(state, request, kitchen)
        case Fit():
            return _fit(state, request, kitchen)
        case Schedule():
            return _schedule(state, request, kitchen)
        case Units():
            return _units(state, request, kitchen)
        case Convert():
            return _convert(state, request, kitchen)
        case Pantry():
            return _pantry(state, request, kitchen)
        case Open():
            return _open(state, request, kitchen)
        case Save():
            return _save(state, request, kitchen)
        case Publish():
            return _publish(state, request, kitchen)
        case Record():
            return _record(state, request)
        case Diagnose():
            return _diagnose(state, request, kitchen)
        case Instead():
            return _instead(state, request, kitchen)
        case Packet():
            return _packet(state, request, kitchen)
        case Forget():
            return _forget(state, request, kitchen)
        case Help():
            return state, _Answer(phrasing.help_text(EXAMPLES))
        case Quit():
            return _quit(state, request)
        case Decline(because):
            return _decline(state, because)
        case _:
            return _cannot(state, "I can't do that", "say it another way, or `help`")


# -- manners ---------------------------------------------------------------------------------------


def _cannot(state: State, what: str, mend: str, choices: tuple[str, ...] = ()) -> tuple[State, _Answer]:
    fault = Fault(TYPED, what, mend, True, "not possible", choices)
    return state, _Answer(phrasing.fault(fault), faults=(fault,))


def _ask(
    state: State, what: str, requests: Sequence[Request], choices: Sequence[str]
) -> tuple[State, _Answer]:
    fault = Fault(TYPED, what, "", True, "ambiguous", tuple(choices))
    state = replace(state, choices=tuple(choices), asked=tuple(requests))
    return state, _Answer(phrasing.fault(fault), faults=(fault,))


def _moved(state: State, formula: Formula, option: Option | None = None) -> State:
    """The state after a change of the recipe."""
    return replace(
        state,
        now=Version(formula, option),
        past=(*state.past, state.now)[-KEPT:],
        future=(),
        table=None,
        numbers=(),
        unsaved=True,
    )


def _name(ident: str, state: State, kitchen: Kitchen) -> str:
    known = kitchen.book.ingredients.get(ident)
    if known is not None:
        return known.name
    return next((line.name for line in state.formula.lines if line.ingredient == ident), ident)


def _decline(state: State, because: str) -> tuple[State, _Answer]:
    if because:
        return state, _Answer(phrasing.paragraph(because))
    if state.packet is not None:
        name = state.packet.ingredient
        return replace(state, packet=None, wanting=""), _Answer(f"Nothing is kept of the packet of {name}.")
    freed = " Nothing is wished for any more." if state.wish is not None else ""
    state = replace(state, table=None, wish=None)
    return state, _Answer(phrasing.paragraph(f"{state.formula.name} stays as it is.{freed}"))


def _quit(state: State, request: Quit) -> tuple[State, _Answer]:
    if not state.unsaved or request.discard:
        return state, _Answer("Good baking.", ends=True)
    reply = (
        f"{state.formula.name}, version {state.formula.version}, is not saved. Say save, discard, or stay."
    )
    return replace(state, leaving=True), _Answer(reply)


# -- swaps -----------------------------------------------------------------------------------------


def _replace(state: State, request: Replace, kitchen: Kitchen) -> tuple[State, _Answer]:
    ingredient = request.ingredient
    if ingredient is None:
        if state.about is None or kitchen.judgement.line_of(state.formula, state.about) is None:
            return _instead_of_which(state, request.substitute, kitchen)
        ingredient = state.about
    named = f"{ingredient} in the {request.part}" if request.part else ingredient
    at = kitchen.judgement.line_of(state.formula, named)
    name = _name(ingredient, state, kitchen)
    places = () if at is None or request.part else (at, *kitchen.judgement.elsewhere(state.formula, at))
    if len(places) > 1:
        return _in_which_part(state, request, sorted(places))
    if at is None and request.part:
        return _cannot(state, f"there is no {name} in the {request.part}", "show the recipe lists its parts")
    if at is None:
        state = replace(state, about=None)
        if ingredient not in kitchen.book.ingredients:
            lines = ", ".join(line.name for line in state.formula.lines)
            return _cannot(state, f"there is no {name} in this recipe", f"its lines are {lines}")
        after, answer = _instead(state, Instead(ingredient), kitchen)
        return after, replace(answer, reply=f"There is no {name} in this recipe.\n{answer.reply}")
    found = kitchen.judgement.options(state.formula, at, request.substitute, request.all_of or "")
    found = _within_wish(found, state, kitchen)
    return _offered(replace(state, about=ingredient), found, f"Without {name}", kitchen)


def _in_which_part(state: State, request: Replace, places: Sequence[int]) -> tuple[State, _Answer]:
    """The same thing stands in several parts of a recipe, and does another work in each."""
    lines = [state.formula.lines[at] for at in places]
    parts = [line.part or DOUGH for line in lines]
    ident = lines[0].ingredient or lines[0].name
    requests = tuple(replace(request, ingredient=ident, part=part) for part in parts)
    choices = tuple(
        f"{line.name} in the {part}, {phrasing.mass(line.grams)}" for line, part in zip(lines, parts, strict=True)
    )
    state = replace(state, about=ident)
    return _ask(state, f"{lines[0].name} stands in {len(parts)} parts; which is meant?", requests, choices)


def _offered(state: State, found: Options, asked: str, kitchen: Kitchen) -> tuple[State, _Answer]:
    reply = phrasing.options(found, kitchen.book, asked, state.us)
    extra = _at_hand(found, state, kitchen)
    state = replace(state, table=found if found.options else None, numbers=())
    return state, _Answer(f"{reply}\n{extra}" if extra else reply, "swap", found)


def _at_hand(found: Options, state: State, kitchen: Kitchen) -> str:
    """Which plans ask for nothing that is not in the house, when the house was told of."""
    if not state.have or not found.options:
        return ""
    here = state.have | {line.ingredient for line in state.formula.lines if line.ingredient}
    ready = [
        str(at)
        for at, option in enumerate(found.options, 1)
        if all(c.ingredient in here for c in option.changes if not c.before_g and c.after_g is not None)
    ]
    if not ready:
        return phrasing.paragraph("Each of these needs something you did not say you have.")
    return phrasing.paragraph(f"With what you have: {', '.join(ready)}.")


def _instead_of_which(state: State, substitute: str | None, kitchen: Kitchen) -> tuple[State, _Answer]:
    """A stand-in was named and not what it stands in for: lines of its own kind, else all."""
    if substitute is None:
        return _cannot(state, "what is missing was not said", "say, for example: I have no yeast")
    known = kitchen.book.ingredients.get(substitute)
    kinds = set(known.classes) if known is not None else set()
    lines: dict[str, str] = {}
    for line in state.formula.lines:
        own = kitchen.book.ingredients.get(line.ingredient) if line.ingredient else None
        if own is not None and own.id != substitute and kinds & set(own.classes):
            lines.setdefault(own.id, line.name)
    if not lines:
        lines = {i: line.name for line in state.formula.lines if (i := line.ingredient) and i != substitute}
    requests = tuple(Replace(ident, substitute) for ident in lines)
    what = f"{_name(substitute, state, kitchen)} instead of what?"
    return _ask(state, what, requests, tuple(lines.values()))


def _choose(state: State, request: Choose, kitchen: Kitchen) -> tuple[State, _Answer]:
    table = state.table
    if table is None or not table.options:
        return _cannot(state, "there is nothing to choose from yet", "say what is missing or should change")
    many = len(table.options)
    at = many if request.option == -1 else request.option
    if not 1 <= at <= many:
        return _cannot(
            state, f"there {'is' if many == 1 else 'are'} {many} on the table", f"a number from 1 to {many}"
        )
    option = table.options[at - 1]
    reply = phrasing.option_full(option, kitchen.book, state.us)
    return _moved(state, option.formula, option), _Answer(reply, "swap", Options(table.base, (option,)))


def _what_if(state: State, request: WhatIf, kitchen: Kitchen) -> tuple[State, _Answer]:
    ingredient = request.omit or request.ingredient
    if request.substitute is not None and ingredient is not None:
        return _replace(state, Replace(ingredient, request.substitute, part=request.part), kitchen)
    found = kitchen.judgement.what_if(state.formula, request)
    if isinstance(found, str):
        return _cannot(state, found.rstrip("."), "")
    return _tried(replace(state, about=ingredient), found, kitchen)


def _tried(state: State, option: Option, kitchen: Kitchen) -> tuple[State, _Answer]:
    found = Options(state.formula, (option,))
    reply = phrasing.tried(option, kitchen.book, state.us)
    return replace(state, table=found, numbers=()), _Answer(reply, "swap", found)


def _avoid(state: State, request: Avoid, kitchen: Kitchen) -> tuple[State, _Answer]:
    """All that is wished for, now and before, met at once."""
    wish = request if state.wish is None else state.wish.with_more(request)
    constraints = _constraints(wish, state)
    clash = contradiction(constraints, kitchen.book)
    if clash:
        return _cannot(state, clash, "say one of the two differently")
    if wish.only_have and not state.have:
        return _cannot(state, "what is in the house was not said", "say, for example: I have flour, eggs and butter")
    wanted = wished(constraints, kitchen.book)
    against = breaking(functions.Context(state.formula, kitchen.book), Admission(constraints, kitchen.book))
    found = kitchen.judgement.adapt(state.formula, constraints)
    kept = bool(found.options) and found.options[0].unchanged
    table = found if found.options and not kept else None
    if found.nearest is not None:
        table = Options(found.base, (found.nearest,))
    state = replace(state, wish=wish, table=table, numbers=(), about=_named_in(request, against, state))
    reply = phrasing.adapted(found, kitchen.book, wanted, state.us)
    if kept:
        return state, _Answer(reply, "adapt", found)
    if against:
        names = ", ".join(dict.fromkeys(state.formula.lines[at].name for at in sorted(against)))
        reply = f"{phrasing.paragraph(f'Against it: {names}.')}\n{reply}"
    reply = f"{phrasing.paragraph(f'Asked for: {wanted}.')}\n{reply}"
    if found.nearest is not None:
        reply += f"\n{phrasing.paragraph('1 takes it all the same.')}"
    extra = _at_hand(found, state, kitchen)
    return state, _Answer(f"{reply}\n{extra}" if extra else reply, "adapt", found)


def _named_in(request: Avoid, against: Iterable[int], state: State) -> str | None:
    """The ingredient that is spoken of: the one that was named, else the first that has to go."""
    named = (*(request.keep or ()), *(request.amounts or {}), *(request.without or ()))
    if len(named) == 1:
        return named[0]
    first = next((state.formula.lines[at] for at in sorted(against)), None)
    return state.about if first is None else first.ingredient or first.name


def _constraints(wish: Avoid, state: State) -> Constraints:
    """What is wished for as planning keeps to it."""
    return Constraints(
        wish.diets,
        wish.allergens,
        wish.without or (),
        tuple(sorted(state.have)) if wish.only_have else (),
        wish.keep or (),
        wish.amounts or {},
        tuple(Bound(t.nutrient, t.per or "piece", t.min, t.max) for t in wish.targets or ()),
        wish.raised or "",
        wish.newest,
    )


def _within_wish(found: Options, state: State, kitchen: Kitchen) -> Options:
    """Plans without those that break a diet or allergen wished for before, which the recipe as it stands keeps."""
    if state.wish is None or not found.options:
        return found

    wish = state.wish

    def broken(formula: Formula) -> set[str]:
        return set(confirm(formula, kitchen.book, wish.diets, wish.allergens).broken)

    before = broken(state.formula)
    admission = Admission(Constraints(wish.diets, wish.allergens), kitchen.book)
    kept = tuple(
        option
        for option in found.options
        if broken(option.formula) <= before and _arrivals_admitted(option, admission, kitchen.book)
    )
    if kept:
        return replace(found, options=kept)
    reasons = {why for option in found.options for why in broken(option.formula) - before}
    told = tuple(f"{_sentence(why)}, and that was to be kept away." for why in sorted(reasons))
    told = told or ("What could stand in is not known well enough for what was asked to be kept away.",)
    return Options(found.base, (), told)


def _arrivals_admitted(option: Option, admission: Admission, book: Rulebook) -> bool:
    """Whether all that a plan brings in may come in."""
    came = [book.ingredients.get(c.ingredient or "") for c in option.changes if c.before_g == 0]
    return all(ingredient is not None and admission.admits(ingredient) for ingredient in came)


def _sentence(text: str) -> str:
    text = text.rstrip(".")
    return text[:1].upper() + text[1:]


DIFFERENCES = ("net_carbs_g", "available_carbohydrate_g", "ketogenic_ratio")
"""Figures that are no sum over the lines, so that no line brings a part of them."""


def _target(state: State, request: Target, kitchen: Kitchen) -> tuple[State, _Answer]:
    """Where the recipe stands against a bound, which lines bring most of it, and plans that keep to it."""
    assessment = kitchen.judgement.assess(state.formula)
    nutrition = assessment.nutrition
    found = (nutrition.per_piece if request.per is None else nutrition.per_100g).get(request.nutrient)
    name = phrasing.NUTRIENT_NAMES[request.nutrient].strip()
    per = phrasing.piece(state.formula) if request.per is None else "100 g"
    if found is None or found.value is None:
        unknown = [
            line.name for line in state.formula.lines if line.ingredient not in kitchen.book.ingredients
        ]
        mend = (
            f"the rulebook does not know {', '.join(unknown)}" if unknown else "some line does not state it"
        )
        return _cannot(state, f"{name} per {per} is unknown here", mend)
    short = (request.max is not None and found.value > request.max) or (
        request.min is not None and found.value < request.min
    )
    reply = phrasing.target(
        name, per, found, request.min, request.max, short, request.nutrient in nutrition.incomplete
    )
    wish = Avoid(targets=(request,))
    if not short:
        wish = wish if state.wish is None else state.wish.with_more(wish)
        return replace(state, numbers=(found,), wish=wish), _Answer(reply, "nutrition", nutrition)
    if request.max is not None and request.nutrient not in DIFFERENCES:
        reply = "\n".join([reply, *phrasing.contributions(found)])
    after, answer = _avoid(state, wish, kitchen)
    return replace(after, numbers=(found,)), replace(answer, reply=f"{reply}\n\n{answer.reply}")


# -- scale, bake, time -----------------------------------------------------------------------------


def _scale(state: State, request: Scale, kitchen: Kitchen) -> tuple[State, _Answer]:
    formula = state.formula
    if request.total_g is not None and request.total_g < SPOONFUL * formula.dough_g and state.about and not request.part:
        return _avoid(state, Avoid(amounts={state.about: request.total_g}), kitchen)  # "make it 6 g"
    found = _scaled(formula, request, kitchen)
    faults = "\n".join(phrasing.fault(fault) for fault in found.faults)
    if found.formula is None:
        return state, _Answer(faults, faults=found.faults)
    after = _moved(state, replace(found.formula, version=formula.version + 1), state.now.option)
    said = [phrasing.recipe(after.formula, kitchen.book, state.us), faults]
    if request.part:
        said.append(phrasing.paragraph(f"Only the {request.part} is changed; all else stays as it was."))
    before_g, after_g = (oven_of(each, kitchen.book).piece_g for each in (formula, after.formula))
    if before_g and after_g:
        ratio = after_g / before_g
        if abs(ratio - 1) > SAME_PIECE:
            option = what_if(formula, after.formula, "other pieces", kitchen.book)
            said.append(phrasing.bake(option.bake, option, state.us) if option.bake is not None else "")
    return after, _Answer("\n".join(s for s in said if s))


SPOONFUL = 0.2
"""Share of a dough below which "make it 6 g" is about the ingredient last spoken of, and not about the dough."""
SAME_PIECE = 0.1
"""Share by which a piece may grow or shrink before its bake is reckoned anew: the oven varies as much."""


def _scaled(formula: Formula, request: Scale, kitchen: Kitchen) -> Scaled:
    book = kitchen.book
    if request.part:
        places = part_named(request.part, formula, book)
        if request.total_g is not None:
            return part_to_g(formula, places, request.total_g, book)
        return scale_part(formula, places, request.factor or 0.0, book)
    if request.factor is not None:
        return scale(formula, request.factor, book)
    if request.total_g is not None:
        return to_total_g(formula, request.total_g, book)
    if request.pieces is None:
        return to_piece_g(formula, request.piece_g or 0.0, book)
    if request.piece_g is None:
        return to_pieces(formula, request.pieces, book)
    return to_piece_g(replace(formula, pieces=request.pieces), request.piece_g, book)


def _bake(state: State, request: Bake, kitchen: Kitchen) -> tuple[State, _Answer]:
    formula, book = state.formula, kitchen.book
    bake = formula.bake
    if request.altitude_m is not None and not -430 <= request.altitude_m <= 5000:
        return _cannot(state, f"{request.altitude_m:g} m is nowhere a kitchen stands", "metres above the sea")
    if request.altitude_m is not None and request == Bake(request.altitude_m):
        return _height(state, request.altitude_m, kitchen)
    if bake is None and request != Bake(request.altitude_m, shape=request.shape, pieces=request.pieces):
        return _cannot(
            state, "the recipe states no bake to start from", "give it an oven and a time, then ask again"
        )
    product = book.products.get(formula.product)
    if needs_tin(product):
        if request.shape in OWN_TIN and request.pan is None:
            request = replace(request, pan=OWN_TIN[request.shape], shape=None)
        elif request.shape or request.pan in ("sheet", "stone"):
            kind = "this" if product is None else product.name
            return _cannot(state, f"the batter of a {kind} would run without a tin around it", "name a tin")
    if bake is not None and request.at_most_C is not None:
        most, now = (phrasing.number(each, "C") for each in (request.at_most_C, bake.oven_c))
        if bake.oven_c <= request.at_most_C:
            return state, _Answer(f"{most} is enough: {formula.name} bakes at {now}.")
        request = replace(request, temperature_C=request.at_most_C)
    if bake is not None:
        bake = _another_bake(bake, request, usual_tin(product))
    height_m = formula.altitude_m if request.altitude_m is None else request.altitude_m
    altered = rebaked(replace(formula, altitude_m=height_m), bake, book, request.shape or "", request.pieces)
    if altered == formula:
        return _cannot(state, "that is how it is baked already", "")
    option = _told(what_if(formula, altered, _bake_title(request, altered), book), book)
    if altered.pieces != formula.pieces and formula.steps:
        made = phrasing.pieces(altered)
        option = replace(option, remarks=(*option.remarks, f"Where the method shapes the dough, make {made} of it."))
    if bake is not None and option.bake is None:
        return _cannot(state, why_not(formula, altered, book), "try another pan, oven or number of pieces")
    after, answer = _tried(state, option, kitchen)
    said, numbers = _about_pan(state, request, altered, kitchen)
    reply = "\n".join([*said, answer.reply]) if said else answer.reply
    return replace(after, numbers=numbers), replace(answer, reply=reply)


def _told(option: Option, book: Rulebook) -> Option:
    """A plan whose recipe states the bake that was worked out, also in its one step of baking."""
    bake, found = option.after.formula.bake, option.bake
    if bake is None or found is None:
        return option
    bake = replace(
        bake,
        minutes=float(round(found.minutes.value)),
        minutes_low=float(round(found.check_from_min.value)),
        minutes_high=float(round(found.no_later_than_min.value)),
    )
    steps = option.after.formula.steps
    if sum(step.kind == "bake" for step in steps) == 1:
        steps = tuple(
            replace(step, minutes=bake.minutes, minutes_high=None, temperature_c=bake.oven_c)
            if step.kind == "bake"
            else step
            for step in steps
        )
    after = replace(option.after, formula=replace(option.after.formula, bake=bake, steps=steps))
    return replace(option, after=after, method=steps, timeline=timeline(steps, book))


def _another_bake(bake: StatedBake, request: Bake, usual: str) -> StatedBake:
    """The bake as asked: a pan of which only size or volume was said is the usual tin, and a sheet of glass is none."""
    sized = bool(request.size_cm or request.litres)
    pan = request.pan or bake.pan
    if request.pan is None and sized and bake.pan not in TINS:
        pan = usual
    elif request.pan is None and request.material in NO_SHEET and bake.pan in ("sheet", "stone"):
        pan = ""
    other = sized or pan != bake.pan
    return replace(
        bake,
        oven_c=bake.oven_c if request.temperature_C is None else request.temperature_C,
        pan=pan,
        oven=request.oven or bake.oven,
        material=request.material or ("" if other else bake.material),
        size_cm=request.size_cm or (() if other else bake.size_cm),
        litres=request.litres or (None if other else bake.litres),
        steam_min=bake.steam_min if request.steam_min is None else request.steam_min,
    )


OWN_TIN = {"loaf": "loaf tin", "round": "round tin"}
"""The tin that gives a batter the shape asked for."""
APART = (
    "The pieces are taken to stand apart in it; if they touch, they bake as one: say, for example, as a loaf in a "
    "23 x 13 cm tin."
)
NO_SHEET = ("glass", "silicone", "ceramic")
"""Materials of which there are pans and no baking sheets."""


def _about_pan(
    state: State, request: Bake, altered: Formula, kitchen: Kitchen
) -> tuple[list[str], tuple[Derivation, ...]]:
    """How the dough fills the pan that was asked for, and what the custom for its material is worth."""
    said: list[str] = []
    numbers: list[Derivation] = []
    if request.pan or request.size_cm or request.litres:
        found = fit(functions.Context(altered, kitchen.book), FULL)
        if not isinstance(found, str):
            product = kitchen.book.products.get(altered.product)
            said.append(ovens.fit(found, "this" if product is None else product.name))
            numbers += found.derivations
    if request.material:
        if altered.bake is not None and altered.bake.pan not in TINS and (altered.pieces or 1) > 1:
            said.append(phrasing.paragraph(APART))
        custom = custom_check(state.formula, altered, kitchen.book, FULL)
        if custom is not None:
            said.append(ovens.custom(custom))
            numbers += custom.derivations
    return said, tuple(numbers)


def _height(state: State, height_m: float, kitchen: Kitchen) -> tuple[State, _Answer]:
    """What another height changes, as a plan to take."""
    formula = state.formula
    if height_m == formula.altitude_m:
        said = f"{formula.name} is written for {ovens.at(height_m)} already, so nothing changes"
        return _cannot(state, said, "ask for another height")
    found = at_height(formula, height_m, kitchen.book, FULL)
    option = _told(what_if(formula, found.changed, f"baked at {ovens.at(height_m)}", kitchen.book), kitchen.book)
    after, answer = _tried(state, option, kitchen)
    reply = f"{ovens.height(found, formula.name, kitchen.book)}\n{answer.reply}"
    return replace(after, numbers=found.derivations), replace(answer, reply=reply)


def _fit(state: State, request: Fit, kitchen: Kitchen) -> tuple[State, _Answer]:
    """Whether the dough fits a pan: the one named, else that of the recipe."""
    formula, book = state.formula, kitchen.book
    bake = formula.bake or StatedBake(0.0, 0.0)
    product = book.products.get(formula.product)
    asked = Bake(pan=request.pan, size_cm=request.size_cm, litres=request.litres)
    if asked != Bake():
        formula = rebaked(formula, _another_bake(bake, asked, usual_tin(product)), book)
    elif bake.pan not in TINS:
        needed = tin_needed(functions.Context(formula, book), FULL)
        numbers = () if needed is None else (needed,)
        return replace(state, numbers=numbers), _Answer(ovens.no_tin(formula, needed))
    found = fit(functions.Context(formula, book), FULL)
    if isinstance(found, str):
        return _cannot(state, found, "")
    name = "this" if product is None else product.name
    return replace(state, numbers=found.derivations), _Answer(ovens.fit(found, name))


def _bake_title(request: Bake, altered: Formula) -> str:
    said = []
    if request.altitude_m is not None:
        said.append(f"at {ovens.at(request.altitude_m)}")
    if request.oven:
        said.append(f"in a {request.oven} oven")
    if altered.bake is not None and (request.pan or request.material or request.size_cm or request.litres):
        said.append(phrasing.in_what(altered.bake))
    if request.steam_min:
        said.append(f"with steam for the first {phrasing.number(request.steam_min, 'min')}")
    if request.shape:
        said.append(f"shaped as {request.shape}")
    if request.pieces is not None:
        said.append(f"{request.pieces} pieces")
    if request.temperature_C is not None:
        said.append(f"with the oven at {phrasing.number(request.temperature_C, 'C')}")
    return "baked " + ", ".join(said)


def _steps_of(state: State, kitchen: Kitchen) -> tuple[TimelineEntry, ...]:
    option = state.now.option
    if option is not None and option.formula.steps == state.formula.steps:
        return option.timeline
    return timeline(state.formula.steps, kitchen.book)


def _schedule(state: State, request: Schedule, kitchen: Kitchen) -> tuple[State, _Answer]:
    entries = _steps_of(state, kitchen)
    if not entries:
        return _cannot(state, "the recipe states no steps to time", "add a method with times")
    hour, minute = (int(part) for part in request.ready.split(":"))
    whole = max(entry.start_min + entry.minutes for entry in entries)
    first = hour * 60 + minute - whole
    starts = tuple(_clock(first + entry.start_min) for entry in entries)
    head = f"To be ready at {request.ready}, start at {_clock(first)}{_day(first)}."
    reply = f"{phrasing.paragraph(head)}\n{phrasing.timeline(entries, request.ready, starts)}"
    return state, _Answer(reply)


def _clock(minutes: float) -> str:
    """Minutes after midnight as a time of day.

    >>> _clock(-30), _clock(450.4)
    ('23:30', '07:30')
    """
    whole = round(minutes) % DAY_MIN
    return f"{whole // 60:02d}:{whole % 60:02d}"


def _day(minutes: float) -> str:
    days = -(round(minutes) // DAY_MIN)
    return "" if days <= 0 else " the day before" if days == 1 else f" {days} days before"


# -- showing ---------------------------------------------------------------------------------------


def _show(state: State, request: Show, kitchen: Kitchen) -> tuple[State, _Answer]:
    formula, book, us = state.formula, kitchen.book, state.us
    what = request.what
    if what.startswith("line "):
        return _show_line(state, int(what.removeprefix("line ")), kitchen)
    if what == "working":
        return _working(state, request.of, kitchen)
    if what == "recipe":
        return state, _Answer(phrasing.recipe(formula, book, us), "read", formula)
    if what == "original":
        return state, _Answer(phrasing.recipe(state.opened, book, us), "read", state.opened)
    if what == "method":
        return state, _Answer(phrasing.method(formula.steps))
    if what == "timeline":
        return state, _Answer(phrasing.timeline(_steps_of(state, kitchen)))
    if what == "options":
        if state.table is None:
            return _cannot(state, "there is nothing on the table", "say what is missing or should change")
        return state, _Answer(phrasing.options(state.table, book, "", us), "swap", state.table)
    if what == "changes":
        return _changes(state, kitchen)
    if what == "bake":
        return _show_bake(state, kitchen)
    if what == "shelf":
        own = () if kitchen.own is None else kitchen.own.ingredients(book)
        return state, _Answer(phrasing.shelf([book.ingredients[ident] for ident in own]))
    assessment = kitchen.judgement.assess(formula)
    if what == "sources":
        keys = [key for number in state.numbers or _numbers(assessment) for key in _evidence(number)]
        told = phrasing.sources(keys, book)
        return state, _Answer("\n".join(told) or "That rests on what the recipe says and on no publication.")
    state = replace(state, numbers=_numbers(assessment))
    if what == "nutrition":
        return state, _Answer(phrasing.nutrition(assessment), "nutrition", assessment.nutrition)
    if what == "allergens":
        return state, _Answer(phrasing.allergens(assessment, book))
    if what == "crumb":
        return state, _Answer(phrasing.crumb(assessment, state.now.option))
    if what == "diets":
        return state, _Answer(phrasing.diets(assessment, book))
    if what == "cautions":
        return state, _Answer(phrasing.cautions(assessment.cautions, book))
    return state, _Answer(phrasing.numbers(assessment))


def _show_line(state: State, number: int, kitchen: Kitchen) -> tuple[State, _Answer]:
    lines = state.formula.lines
    if not 1 <= number <= len(lines):
        return _cannot(state, f"the recipe has {len(lines)} lines", f"a number from 1 to {len(lines)}")
    functions = kitchen.judgement.assess(state.formula).functions.get(number - 1, ())
    line = lines[number - 1]
    state = replace(state, about=line.ingredient or line.name)
    return state, _Answer(phrasing.line_of(state.formula, number - 1, kitchen.book, functions, state.us))


def _show_bake(state: State, kitchen: Kitchen) -> tuple[State, _Answer]:
    option = state.option
    if option is not None and option.bake is not None:
        state = replace(state, numbers=tuple(_bake_numbers(option.bake).values()))
        return state, _Answer(phrasing.bake(option.bake, option, state.us))
    if state.formula.bake is None:
        return _cannot(state, "the recipe states no bake", "say an oven and a time when you save it")
    return state, _Answer(phrasing.stated_bake(state.formula, state.us))


def _changes(state: State, kitchen: Kitchen) -> tuple[State, _Answer]:
    if state.now.option is None or state.formula == state.opened:
        return _compare(state, Compare((0,)), kitchen)
    return state, _Answer(phrasing.changes(state.now.option, kitchen.book, state.us))


def _working(state: State, of: str | None, kitchen: Kitchen) -> tuple[State, _Answer]:
    """How a number came about: of the last answer, of the plan being talked of, or of the recipe."""
    assessment = kitchen.judgement.assess(state.formula)
    option = state.option
    known: dict[str, Derivation] = {d.claim: d for d in state.numbers}
    if option is not None:
        known |= _option_numbers(option)
    known |= {name: d for name, d in _named_numbers(assessment).items() if name not in known}
    if of is None and len(state.numbers) == 1:
        return state, _Answer(phrasing.working(state.numbers[0], kitchen.book))
    found = None if of is None else _called(known, of) or _beneath(known.values(), of)
    if found is None:
        names = tuple(known)[:WORKINGS_OFFERED]
        what = (
            "the working of which number?"
            if of is None
            else f'no number here is called "{of}"; one of these?'
        )
        return _ask(state, what, tuple(Show("working", name) for name in names), names)
    return replace(state, numbers=(found,)), _Answer(phrasing.working(found, kitchen.book))


WORKINGS_OFFERED = 12


def _beneath(numbers: Iterable[Derivation], of: str) -> Derivation | None:
    """A step of some working, by its claim."""
    seen: set[int] = set()
    waiting = list(numbers)
    while waiting:
        derivation = waiting.pop(0)
        if derivation.claim.lower() == of.lower():
            return derivation
        if id(derivation) not in seen:
            seen.add(id(derivation))
            waiting += derivation.premises
    return None


def _called(known: Mapping[str, Derivation], of: str) -> Derivation | None:
    """The number that is called so, by its name here, a nutrient's or topic's word, or its own claim."""
    wanted = [of.lower()]
    wanted += [name for table in (NUTRIENTS, TOPICS) if (name := by_word(table).get(of.lower())) is not None]
    wanted += [phrasing.NUTRIENT_NAMES[w].strip() for w in wanted if w in phrasing.NUTRIENT_NAMES]
    named = {name.lower(): d for name, d in known.items()}
    named |= {d.claim.lower(): d for d in known.values() if d.claim.lower() not in named}
    for words in wanted:
        if words in named:
            return named[words]
    for d in known.values():
        if of == phrasing.number(d.value, d.unit).partition(" ")[0]:
            return d
    best: tuple[float, str] | None = None
    for name in named:
        for words in wanted:
            asked, held = set(words.split()) - FILLERS, set(name.split())
            share = len(asked & held) / len(asked) - 0.01 * len(held - asked) if asked else 0.0
            if share >= ALIKE and (best is None or (-share, name) < best):
                best = (-share, name)
    return None if best is None else named[best[1]]


ALIKE = 0.85
"""Share of the words asked with that a number's name must hold to be meant."""
FILLERS = {"the", "of", "a", "in", "number"}


def _named_numbers(assessment: Assessment) -> dict[str, Derivation]:
    """Numbers of a recipe by the names the screen has for them."""
    found = dict(phrasing.chemistry_rows(assessment.chemistry))
    for field_name, name in phrasing.NUTRIENT_NAMES.items():
        derivation = assessment.nutrition.per_piece.get(field_name)
        if derivation is not None:
            found[name.strip()] = derivation
    return found | dict(assessment.crumb) | dict(assessment.sweeteners)


def _numbers(assessment: Assessment) -> tuple[Derivation, ...]:
    return tuple(_named_numbers(assessment).values())


def _bake_numbers(bake: BakeAnswer) -> dict[str, Derivation]:
    return {
        "bake time": bake.minutes,
        "start testing at": bake.check_from_min,
        "no later than": bake.no_later_than_min,
        "oven temperature": bake.oven_c,
        "core temperature": bake.core_c,
        "bake loss": bake.bake_loss_pct,
        "share that heat flow explains": bake.physics_ratio,
        "custom of this bread": bake.class_ratio,
    }


def _option_numbers(option: Option) -> dict[str, Derivation]:
    """Numbers of a plan, and of the recipe it makes."""
    found = _bake_numbers(option.bake) if option.bake is not None else {}
    found |= _named_numbers(option.after)
    for change in option.changes:
        if change.after_g is not None and change.after_g.premises:
            found.setdefault(change.name, change.after_g)
    return found | {"distance from the recipe": option.score}


def _evidence(derivation: Derivation) -> Iterable[str]:
    """Sources of a number and of all it rests on, each step once."""
    seen: set[int] = set()
    waiting = [derivation]
    while waiting:
        step = waiting.pop()
        if id(step) not in seen:
            seen.add(id(step))
            yield from step.evidence
            waiting += reversed(step.premises)


# -- why and comparisons ---------------------------------------------------------------------------


def _explain(state: State, request: Explain, kitchen: Kitchen) -> tuple[State, _Answer]:
    subject = request.subject
    if subject.startswith("option "):
        return _why_option(state, int(subject.removeprefix("option ")), kitchen)
    if subject == "last answer":
        if state.table is None and state.now.option is None:
            return _cannot(
                state, "there is nothing yet to give a reason for", "ask, for example: why the salt"
            )
        subject = "order" if state.table is not None else "bake time"
    diet = kitchen.book.diets.get(subject)
    if diet is not None:
        found = ruling(state.formula, diet, kitchen.book, kitchen.judgement.assess(state.formula).nutrition)
        because = tuple(f"{_sentence(reason)}." for reason in found.because)
        why = Why(
            diet.name,
            found.verdict,
            because or (diet.definition,),
            (),
            tuple(e.source for e in diet.evidence),
        )
    else:
        option = _option_about(state, subject)
        named = f"{subject} in the {request.part}" if request.part else subject
        why = kitchen.judgement.why(_formula_about(state, subject, option, kitchen), named, option)
        known = kitchen.book.ingredients.get(why.subject)
        why = why if known is None else replace(why, subject=known.name)
    about = subject if subject in kitchen.book.ingredients else state.about
    state = replace(state, numbers=why.derivations, about=about)
    return state, _Answer(phrasing.why(why, kitchen.book), "why", why)


def _option_about(state: State, subject: str) -> Option | None:
    """The plan that a question is about: the first on the table that changes what is asked of."""
    shown = state.table.options if state.table is not None else ()
    changing = [o for o in shown if any(c.ingredient == subject and c.because for c in o.changes)]
    return changing[0] if changing else state.option


def _formula_about(state: State, subject: str, option: Option | None, kitchen: Kitchen) -> Formula:
    """The recipe a question is about: the plan's, for what only the plan has, and for its chemistry."""
    if option is None or state.table is None:
        return state.formula
    only_there = kitchen.judgement.line_of(state.formula, subject) is None
    there = kitchen.judgement.line_of(option.formula, subject) is not None
    return option.formula if (only_there and there) or subject in OF_THE_PLAN else state.formula


OF_THE_PLAN = ("acid",)
"""Topics that are asked of the plan on the table as it would stand, not of what it changes."""


def _why_option(state: State, number: int, kitchen: Kitchen) -> tuple[State, _Answer]:
    shown = state.table.options if state.table is not None else ()
    if number == -1:
        number = len(shown)
    if not 1 <= number <= len(shown):
        return _cannot(state, f"there is no option {number} on the table", "say what should change first")
    option = shown[number - 1]
    because = tuple(f"{c.name}: {c.because}." for c in option.changes if c.because)
    keys = dict.fromkeys(key for c in option.changes if c.after_g is not None for key in c.after_g.evidence)
    why = Why(
        option.title, "", (*because, *option.remarks), (option.score, *option.score.premises), tuple(keys)
    )
    return replace(state, numbers=why.derivations), _Answer(phrasing.why(why, kitchen.book), "why", why)


def _compare(state: State, request: Compare, kitchen: Kitchen) -> tuple[State, _Answer]:
    shown = state.table.options if state.table is not None else ()
    wanted = request.options or (0, *range(1, len(shown) + 1))
    if wanted in ((0,), ()):
        wanted = (0, *range(1, 2)) if shown and state.formula == state.opened else (0,)
    sides: list[Assessment] = []
    bakes: list[BakeAnswer | None] = []
    for number in wanted:
        number = len(shown) if number == -1 else number
        if number == 0:
            sides.append(kitchen.judgement.assess(state.opened))
            bakes.append(None)
        elif 1 <= number <= len(shown):
            option = shown[number - 1]
            named = replace(option.after.formula, name=f"{number} {option.title}")
            sides.append(replace(option.after, formula=named))
            bakes.append(option.bake)
        else:
            return _cannot(state, f"there is no option {number} on the table", f"{len(shown)} are there")
    if len(sides) == 1:
        if state.formula == state.opened and request.options in ((0,), ()):
            return _cannot(state, "it is still the recipe as it was opened", "change something first")
        sides.append(kitchen.judgement.assess(state.formula))
        bakes.append(state.now.option.bake if state.now.option is not None else None)
    found = compare(sides, bakes, kitchen.book)
    return state, _Answer(phrasing.comparison(found), "compare", found)


# -- versions, recipes -----------------------------------------------------------------------------


def _undo(state: State, request: Undo, kitchen: Kitchen) -> tuple[State, _Answer]:
    if not state.past:
        return _cannot(state, "there is nothing to undo", "")
    back = len(state.past) if request.all else 1
    line = (*state.past, state.now, *state.future)
    at = len(state.past) - back
    return _at_version(state, line, at, kitchen)


def _redo(state: State, kitchen: Kitchen) -> tuple[State, _Answer]:
    if not state.future:
        return _cannot(state, "there is nothing to do again", "")
    line = (*state.past, state.now, *state.future)
    return _at_version(state, line, len(state.past) + 1, kitchen)


def _at_version(state: State, line: tuple[Version, ...], at: int, kitchen: Kitchen) -> tuple[State, _Answer]:
    state = replace(
        state,
        now=line[at],
        past=line[:at],
        future=line[at + 1 :],
        table=None,
        numbers=(),
        wish=None,
        unsaved=line[at].formula != state.opened,
    )
    return state, _Answer(phrasing.recipe(state.formula, kitchen.book, state.us), "read", state.formula)


def _open(state: State, request: Open, kitchen: Kitchen) -> tuple[State, _Answer]:
    formula, faults = kitchen.recipes.find(request.name)
    if formula is None:
        said = "\n".join(phrasing.fault(fault) for fault in faults)
        return state, _Answer(said, faults=faults)
    reply = phrasing.recipe(formula, kitchen.book, state.us)
    if state.unsaved:
        reply += "\n" + phrasing.paragraph(
            f"{state.formula.name}, version {state.formula.version}, was not saved; undo goes back to it."
        )
    if faults:
        reply += "\n" + "\n".join(phrasing.fault(fault) for fault in faults)
    past = (*state.past, state.now)[-KEPT:] if state.unsaved else ()
    fresh = State(Version(formula), formula, past, have=state.have, us=state.us)
    return fresh, _Answer(reply, "read", formula, faults=faults)


def _save(state: State, request: Save, kitchen: Kitchen) -> tuple[State, _Answer]:
    name = request.name or state.formula.name
    named = replace(state.formula, name=name)
    where, fault = kitchen.recipes.save(named, name)
    if fault is not None:
        return state, _Answer(phrasing.fault(fault), faults=(fault,))
    state = replace(state, now=replace(state.now, formula=named), opened=named, unsaved=False)
    return state, _Answer(f"Saved as {name}: {where}")


def _publish(state: State, request: Publish, kitchen: Kitchen) -> tuple[State, _Answer]:
    assessment = kitchen.judgement.assess(state.formula)
    if request.format is None and request.locale is None:
        text = to_text(state.formula, kitchen.book)
        return state, _Answer("\n".join(phrasing.paragraph(line, 0, 3) for line in text.splitlines()))
    where, fault = kitchen.recipes.publish(assessment, request.format or "html", request.locale or "en")
    if fault is not None:
        return state, _Answer(phrasing.fault(fault), faults=(fault,))
    return state, _Answer(f"Written: {where}")


def _record(state: State, request: Record) -> tuple[State, _Answer]:
    """A test bake noted with the recipe."""
    said = phrasing.noted_bake(request.minutes, request.core_C, request.baked_g, request.remark)
    note = f"{state.formula.note} {said}".strip()
    after = _moved(state, replace(state.formula, note=note), state.now.option)
    return after, _Answer(phrasing.paragraph(f"{said} Noted with the recipe; save keeps it."))


# -- measures, pantry ------------------------------------------------------------------------------


def _units(state: State, request: Units, kitchen: Kitchen) -> tuple[State, _Answer]:
    state = replace(state, us=request.system == "us")
    return state, _Answer(phrasing.recipe(state.formula, kitchen.book, state.us), "read", state.formula)


def _measures(ingredient: str, kitchen: Kitchen) -> Mapping[str, float]:
    known = kitchen.book.ingredients.get(ingredient)
    return {} if known is None else {unit: figure.value for unit, figure in known.measures.items()}


def _convert(state: State, request: Convert, kitchen: Kitchen) -> tuple[State, _Answer]:
    measures = _measures(request.ingredient, kitchen)
    grams = grams_of(request.quantity, request.unit, measures)
    spoons = household(grams, measures) if grams is not None and kind_of(request.unit) == "mass" else None
    written = f"{phrasing.number(request.quantity)} {unit_text(request.unit, request.quantity)}"
    name = _name(request.ingredient, state, kitchen)
    return state, _Answer(phrasing.convert_answer(name, written, grams, spoons))


def _pantry(state: State, request: Pantry, kitchen: Kitchen) -> tuple[State, _Answer]:
    have = state.have | set(request.have)
    state = replace(state, have=frozenset(have))
    if request.bake:
        return _bakeable(state, kitchen)
    names = ", ".join(sorted(_name(ident, state, kitchen) for ident in have))
    said = [phrasing.paragraph(f"In the house: {names}.")]
    if state.table is not None:
        said.append(_at_hand(state.table, state, kitchen))
    return state, _Answer("\n".join(said))


def _bakeable(state: State, kitchen: Kitchen) -> tuple[State, _Answer]:
    """Which of the recipes that can be opened go with what is in the house, as they are or changed."""
    if not state.have:
        return _cannot(state, "what is in the house was not said", "say, for example: I have flour, eggs and butter")
    wish = (state.wish or Avoid()).with_more(Avoid(only_have=True))
    known = [(name, formula) for name in kitchen.recipes.names() if (formula := kitchen.recipes.find(name)[0])]
    found = kitchen.judgement.best_of([formula for _, formula in known], _constraints(wish, state))
    told = [(name, options) for (name, _), options in zip(known, found, strict=True)]
    told.sort(key=lambda one: one[1].options[0].score.value if one[1].options else float("inf"))
    wanted = "" if state.wish is None else wished(_constraints(state.wish, state), kitchen.book)
    return state, _Answer(phrasing.bakeable(told, _missing_in(state, kitchen), wanted))


def _missing_in(state: State, kitchen: Kitchen) -> Callable[[Formula], list[str]]:
    """Names of the lines of a recipe that are not in the house."""
    here = Admission(Constraints(have=tuple(sorted(state.have))), kitchen.book)

    def missing(formula: Formula) -> list[str]:
        lines = breaking(functions.Context(formula, kitchen.book), here)
        return list(dict.fromkeys(formula.lines[at].name for at in sorted(lines)))

    return missing


# -- the own shelf ---------------------------------------------------------------------------------


def _packet(state: State, request: Packet, kitchen: Kitchen) -> tuple[State, _Answer]:
    """An own ingredient off its packet: asks for what is missing, one thing at a time, then keeps it."""
    if kitchen.own is None:
        return _cannot(state, "there is no shelf to keep it on", "name a folder with --shelf")
    begun = state.packet
    if begun is None and request.ingredient is None:
        return _cannot(state, "which packet is that?", "say, for example: my flour: per 100 g 340 kcal ...")
    same = begun is not None and request.ingredient in (None, begun.ingredient)
    packet = begun.with_more(request) if begun is not None and same else request
    state = replace(state, packet=packet, wanting="more")
    alike = _alike(packet, kitchen)
    packet = replace(packet, like=alike[0]) if len(alike) == 1 else packet
    state = replace(state, packet=packet)
    if packet.like is None:
        return _like_what(state, alike, kitchen)
    table = kitchen.own.table(packet.like, kitchen.book)
    entry, missing = entry_of(packet, table, kitchen.book)
    if missing:
        asked = phrasing.packet_question(missing, str(packet.ingredient), table.name, packet.figures is None)
        return replace(state, wanting=missing), _Answer(asked)
    kept = kitchen.own.keep(entry, kitchen.book, packet.keep)
    if kept.kitchen is None:
        said = "\n".join(phrasing.fault(fault) for fault in kept.faults)
        figures = any(fault.kind != "not possible" for fault in kept.faults)
        mend = "Type the figure that is wrong again, or: keep it anyway" if figures else "Then type: keep it; or: cancel"
        hint = phrasing.paragraph(f"Nothing is kept yet. {mend}.")
        return state, _Answer(f"{said}\n{hint}", faults=kept.faults)
    return _with_own(replace(state, packet=None, wanting=""), packet, table, str(entry["id"]), kept, kitchen)


def _alike(packet: Packet, kitchen: Kitchen) -> tuple[str, ...]:
    """What an own ingredient is like: as said, by its name where that is an ingredient's, else what may be."""
    if packet.like is not None:
        return (packet.like,)
    found = kitchen.vocabulary.names.find(str(packet.ingredient))
    sure = [match.id for match in found if match.confidence >= SAME_THING and not match.of_class]
    return tuple(sure) if len(sure) == 1 else tuple(match.id for match in found)


SAME_THING = 0.98
"""Confidence in a name from which a packet is taken for the ingredient of that name itself."""


def _like_what(state: State, near: tuple[str, ...], kitchen: Kitchen) -> tuple[State, _Answer]:
    """Asks what an own ingredient is like; anything that is named will do."""
    name = state.packet.ingredient if state.packet is not None else ""
    state = replace(state, wanting="like")
    what = f"what is {name} like? That decides what it does in a dough, and what its label leaves out"
    if not near:
        return state, _Answer(phrasing.paragraph(f"{_sentence(what)}. Name an ingredient, or: cancel."))
    what = f"{what}. One of these, or name another"
    names = tuple(_name(ident, state, kitchen) for ident in near)
    return _ask(state, what, tuple(Packet(like=ident) for ident in near), names)


def _with_own(
    state: State, packet: Packet, table: Ingredient, ident: str, kept: Kept, kitchen: Kitchen
) -> tuple[State, _Answer]:
    """The conversation with the new ingredient in it: lines it is meant by are it, and others can be."""
    after = kept.kitchen or kitchen
    own = after.book.ingredients[ident]
    formula = _relined(state.formula, own, after)
    before, now = (k.judgement.assess(f).nutrition for k, f in ((kitchen, state.formula), (after, formula)))
    here = any(line.ingredient == own.id for line in formula.lines)
    typed = (packet.contains, packet.may_contain)
    said = [phrasing.packet_kept(own, table, kept.where, typed, packet.unread, after.book)]
    if here:
        said.append(phrasing.packet_counts(state.formula, formula, before, now))
    moved = state if formula == state.formula else _moved(state, formula)
    moved = replace(moved, table=None, numbers=())
    answer = _Answer("\n".join(said), "read", formula, kitchen=after)
    at = next((at for at, line in enumerate(formula.lines) if line.ingredient == table.id), None)
    if here or at is None:
        return moved, answer
    found = after.judgement.options(formula, at, own.id)
    further, offer = _offered(moved, found, f"{own.name} for {table.name}", after)
    return further, replace(offer, reply=f"{answer.reply}\n\n{offer.reply}", kitchen=after)


def _relined(formula: Formula, own: Ingredient, kitchen: Kitchen) -> Formula:
    """The recipe with lines that are called like the own ingredient being it, and weighed by its packet."""
    measures = {name: figure.value for name, figure in own.measures.items() if figure.source == OWN_LABEL}
    lines = []
    for line in formula.lines:
        if line.ingredient is None and plain(line.name) == plain(own.name):
            line = replace(line, ingredient=own.id, confidence=1.0)
        if line.ingredient == own.id and line.amount is not None and (line.unit in measures or line.grams is None):
            grams = grams_of(line.amount, line.unit, measures_of(own))
            line = line if grams is None else replace(line, grams=tidy_g(grams), low_g=None, high_g=None)
        lines.append(line)
    return formula if tuple(lines) == formula.lines else formula.with_lines(tuple(lines))


def _forget(state: State, request: Forget, kitchen: Kitchen) -> tuple[State, _Answer]:
    found = [m for m in kitchen.vocabulary.names.find(request.ingredient) if m.confidence >= NAMED]
    if kitchen.own is None or not found:
        return _cannot(state, f'there is no "{request.ingredient}" on your shelf', "my shelf lists what there is")
    kept = kitchen.own.forget(found[0].id, kitchen.book)
    if kept.kitchen is None:
        return state, _Answer("\n".join(phrasing.fault(fault) for fault in kept.faults), faults=kept.faults)
    name = kitchen.book.ingredients[found[0].id].name
    again = "the table's figures count again" if found[0].id in kept.kitchen.book.ingredients else "it is unknown now"
    reply = phrasing.paragraph(f"Your packet of {name} is off the shelf; {again}.")
    return replace(state, table=None, numbers=()), _Answer(reply, kitchen=kept.kitchen)


def _instead(state: State, request: Instead, kitchen: Kitchen) -> tuple[State, _Answer]:
    quantity = None if request.quantity is None else read_quantity(request.quantity)
    amount, unit = (None, "") if quantity is None else (quantity[0].amount, quantity[0].unit or quantity[1].strip())
    diets, purposes = request.diets or (), request.purposes or ()
    found = instead(kitchen.book, request.ingredient, amount, unit, diets=diets, purposes=purposes)
    return replace(state, about=None), _Answer(phrasing.instead(found, kitchen.book), "instead", found)


def _diagnose(state: State, request: Diagnose, kitchen: Kitchen) -> tuple[State, _Answer]:
    why = diagnose(kitchen.judgement.assess(state.formula), state.now.option, request.fault, kitchen.book)
    return replace(state, numbers=why.derivations), _Answer(phrasing.why(why, kitchen.book), "why", why)


def line_names(lines: Iterable[Line]) -> tuple[str, ...]:
    """Names of lines, each once, for completing words as they are typed."""
    return tuple(dict.fromkeys(line.name for line in lines))


def turn_document(said: Turn, book: Rulebook) -> dict[str, object]:
    """A turn as the JSON contract has it."""
    request = said.understood.request
    return document.turn(
        said.text,
        request.kind,
        request.slots(),
        said.understood.confidence,
        said.reply,
        said.formula,
        said.command,
        said.document,
        book,
    )
