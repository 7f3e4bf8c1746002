"""What the conversation and the command line ask of judgement, with words resolved to lines and rules."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from assistant.formula.model import Formula, Line
from assistant.formula.parts import part_named
from assistant.plan import adapt, explain, finish, options, what_if
from assistant.plan.constraints import Constraints
from assistant.plan.functions import Context, mass
from assistant.plan.model import Assessment, Option, Options, Why
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.names import Names
from assistant.talk.request import WhatIf

PLANS = 3
"""Plans told in a conversation when several things are wished for at once."""
PATIENCE = 10
"""Doughs made after each plan to find one that is further off: more than that nobody waits for."""


@dataclass(frozen=True)
class Judgement:
    """Judgement over one rulebook."""

    book: Rulebook

    @cached_property
    def names(self) -> Names:
        """What ingredients are called."""
        return Names(self.book)

    def ingredient(self, words: str) -> Ingredient | None:
        """The ingredient that an id or a name means; None when it means none surely."""
        if words in self.book.ingredients:
            return self.book.ingredients[words]
        found = self.names.find(words)
        return self.book.ingredients.get(found[0].id) if found and found[0].confidence >= 0.8 else None

    def line_of(self, formula: Formula, words: str) -> int | None:
        """The line of a formula that an id, a class or a name means, the heaviest where several do; "butter in the
        icing" is that of a part."""
        words, _, part = words.partition(" in the ")
        inside = part_named(part, formula, self.book) if part else frozenset(range(len(formula.lines)))
        meant = self.ingredient(words)
        ids = (words,) if meant is None else (meant.id, words)
        places = [
            at
            for at, line in enumerate(formula.lines)
            if line.ingredient in ids or line.name.casefold() == words.casefold()
        ]
        if not places:
            kind = self.names.class_of(words)
            places = list(Context(formula, self.book).lines(kind or words))
        places = [at for at in places if at in inside]
        return max(places, key=lambda at: (mass(formula.lines[at]), -at)) if places else None

    def elsewhere(self, formula: Formula, at: int) -> tuple[int, ...]:
        """Lines of the same ingredient in other parts of the recipe."""
        context, line = Context(formula, self.book), formula.lines[at]
        return tuple(
            other
            for other, each in enumerate(formula.lines)
            if line.ingredient and each.ingredient == line.ingredient and context.part_of(other) != context.part_of(at)
        )

    def options(
        self, formula: Formula, line_index: int, substitute: str | None = None, without: str = ""
    ) -> Options:
        """Ranked plans for replacing a line; with `substitute`, only those that bring it in; none that
        brings in the class `without`."""
        wanted = None if substitute is None else self.ingredient(substitute)
        if substitute is not None and wanted is None:
            return Options(formula, (), (f"{substitute} is not an ingredient I know.",))
        here = self.book.ingredients.get(formula.lines[line_index].ingredient or "")
        if wanted is not None and here is not None and wanted != here and _alike(wanted, here):
            return self._from_another_packet(formula, line_index, wanted)
        return options.options(formula, line_index, self.book, wanted, without=without)

    def _from_another_packet(self, formula: Formula, at: int, wanted: Ingredient) -> Options:
        """The same thing from another packet comes in gram for gram."""
        line = formula.lines[at]
        if line.grams is None:
            return Options(formula, (), (f"how much {line.name} there is is unknown",))
        gone = what_if.altered_mass(formula, at, 0.0)
        changed = what_if.with_line(gone, Line(wanted.name, wanted.id, line.grams, part=line.part))
        return Options(formula, (what_if.what_if(formula, changed, wanted.name, self.book),))

    def adapt(self, formula: Formula, wishes: Constraints) -> Options:
        """The best plans that keep all wishes at once, or what blocks them; as many as a screen can bear."""
        return adapt.adapt(formula, wishes, self.book, PLANS, patience=PATIENCE)

    def best_of(self, formulas: Sequence[Formula], wishes: Constraints) -> list[Options]:
        """The best plan for each of several recipes."""
        return adapt.best_of(formulas, wishes, self.book)

    def assess(self, formula: Formula) -> Assessment:
        """Everything about a formula as it stands."""
        return finish.before_of(formula, self.book)

    def why(self, formula: Formula, subject: str, option: Option | None = None) -> Why:
        """Why a topic, an ingredient or a change is as it is."""
        topic = explain.why_topic(formula, subject, self.book, option=option)
        if topic is not None:
            return topic
        at = self.line_of(formula, subject)
        if at is not None:
            return explain.why_line(formula, at, self.book, option=option)
        meant = self.ingredient(subject)
        if option is not None and meant is not None and any(c.ingredient == meant.id for c in option.changes):
            return explain.why_change(option, meant.id, meant.name)
        if meant is not None and meant.acids and not meant.bases:
            return explain.why_acid(formula, self.book)
        name = subject if meant is None else meant.name
        return Why(subject, explain.UNKNOWN, (f"{name} is not in this recipe.",), (), ())

    def what_if(self, formula: Formula, request: WhatIf) -> Option | str:
        """How the recipe would come out changed; a sentence when it can't be told."""
        words = request.omit or request.ingredient
        if words is not None and request.part:
            words = f"{words} in the {request.part}"
        if words is None:
            return "What should be different? Say, for example: what if I leave out the vinegar."
        at = self.line_of(formula, words)
        if at is None and request.delta_g is not None and (meant := self.ingredient(words)) is not None:
            changed = what_if.with_line(formula, Line(meant.name, meant.id, request.delta_g))
            return what_if.what_if(formula, changed, f"with {request.delta_g:g} g {meant.name}", self.book)
        if at is None:
            return f"There is no {words} in this recipe."
        line = formula.lines[at]
        if request.substitute is not None:
            return self._swapped(formula, at, request.substitute)
        if line.grams is None:
            return f"How much {line.name} there is is unknown, so a change of it can't be worked out."
        if request.omit is not None:
            return what_if.what_if(
                formula, what_if.altered_mass(formula, at, 0.0), f"without {line.name}", self.book
            )
        grams = (
            line.grams * request.factor
            if request.factor is not None
            else line.grams + (request.delta_g or 0.0)
        )
        if grams < 0:
            return f"There are only {line.grams:g} g of {line.name} to take away from."
        return what_if.what_if(
            formula, what_if.altered_mass(formula, at, grams), f"with {grams:g} g {line.name}", self.book
        )

    def _swapped(self, formula: Formula, at: int, substitute: str) -> Option | str:
        found = self.options(formula, at, substitute)
        if found.options:
            return found.options[0]
        return (
            found.blocked_by[0]
            if found.blocked_by
            else f"Nothing is known of {substitute} in place of {formula.lines[at].name}."
        )


def _alike(one: Ingredient, other: Ingredient) -> bool:
    """Whether two ingredients are the same thing from other packets."""
    return bool({one.like or one.id} & {other.id, other.like})
