"""The method rewritten: steps of what left go, steps of what came arrive, and the timeline is recomputed."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from assistant.formula.model import Formula, Step
from assistant.plan.functions import Context, mass
from assistant.plan.model import TimelineEntry
from assistant.rulebook.model import Band, Rulebook, StepText, Turn
from assistant.words.derivation import Derivation

LANGUAGE = "en"
GROUPS = ("dry", "wet", "fat", "yeast", "folded", "topping")


def rewritten(
    base: Formula,
    after: Formula,
    turn: Turn | None,
    extra: tuple[Mapping[str, Any], ...],
    book: Rulebook,
    bake: Mapping[str, float],
) -> tuple[Step, ...]:
    """The altered formula's steps.

    `extra` are steps the swap itself brings; `bake` the numbers its sentences may need (oven_c, minutes,
    core_c). Steps the change does not touch keep the baker's own words; a step that used a line which
    left is said anew for the lines that remain.
    """
    context = Context(after, book)
    present = [at for at, line in enumerate(after.lines) if mass(line) > 0 or line.grams is None]
    gone = {
        at
        for at, line in enumerate(base.lines)
        if line.grams is not None and mass(line) > 0 and at not in present
    }
    edits = (*(turn.method if turn else ()), *extra)
    steps = list(base.steps)
    for edit in edits:
        if "drop" in edit:
            kinds = edit["drop"]
            steps = [step for step in steps if step.kind not in kinds]
    joining = [at for at in present if at >= len(base.lines)]
    steps = [said for step in steps if (said := _without(step, gone, joining, context)) is not None]
    writer = _Writer(after, context.dough, book, bake)
    for edit in edits:
        if "step" in edit and _wanted(edit, context):
            steps = _placed(steps, edit, writer)
    steps = _taken_in(steps, present, len(base.lines), context)
    return tuple(_rebaked(step, bake, writer) for step in steps)


def _wanted(edit: Mapping[str, Any], context: Context) -> bool:
    return ("if" not in edit or bool(context.lines(str(edit["if"])))) and (
        "unless" not in edit or not context.lines(str(edit["unless"]))
    )


def _without(step: Step, gone: set[int], joining: list[int], context: Context) -> Step | None:
    """A step without the lines that left, and with arrivals that join their part the way those did; None
    when nothing is left of it."""
    lost = [at for at in step.uses if at in gone]
    if not lost:
        return step
    ways = {(i.enters, context.part_of(at)) for at in lost if (i := context.ingredients[at]) is not None}
    instead = [
        at
        for at in joining
        if (i := context.ingredients[at]) is not None and (i.enters, context.part_of(at)) in ways
    ]
    kept = (*(at for at in step.uses if at not in gone), *instead)
    if not kept:
        return None
    if len(lost) == len(instead) == 1 and len(kept) == len(step.uses):
        renamed = _renamed(step.text, lost[0], instead[0], kept, context)
        if renamed:
            return replace(step, text=renamed, uses=kept)
    names = _listed(_short(context.formula.lines[at].name) for at in kept)
    verb = {"bloom": "Stir together", "prepare": "Ready", "shape": "Finish with", "cook": "Cook"}.get(
        step.kind, "Mix"
    )
    return replace(step, text=f"{verb} {names}.", uses=kept)


_ANY = re.compile(r"(?:add|fold|knead|mix|pour|stir|whisk|work)\b", re.IGNORECASE)
"""How a step begins that anything may be put through."""
_STATE = re.compile(
    r"\b(?:beaten|boil\w*|chilled|cold|cool\w*|cubed?s?|cut|grated|hot|ice|melt\w*|pieces?|room|scald\w*|slices?|soft\w*|warm\w*|whipped)\b",
    re.IGNORECASE,
)
"""Words for a state that one thing has and another has not."""


def _renamed(text: str, old: int, new: int, kept: Iterable[int], context: Context) -> str:
    """The baker's own words with one thing named for another of its kind: margarine is melted as butter is, and
    soy milk boiled as milk. Oil is not, but it is kneaded in all the same.

    "" where the two are of different kinds, the words don't name what left, or may mean another line by its name.
    """
    gone, come = context.ingredients[old], context.ingredients[new]
    if gone is None or come is None:
        return ""
    line = context.formula.lines[old].name
    words = line.lower().split()
    names = {line, gone.name, *gone.aliases, *(" ".join(words[at:]) for at in range(1, len(words)))}
    others = {context.formula.lines[at].name.lower() for at in kept if at != new}
    forms = "|".join(re.escape(n) for n in sorted(names, key=lambda n: (-len(n), n)) if n)
    named = re.compile(rf"\b(?P<name>{forms})(?:e?s)?\b", re.IGNORECASE)
    found = {match["name"].lower() for match in named.finditer(text)}
    akin = set(gone.classes) & set(come.classes) or all(come.name.endswith(name) for name in found)
    alike = akin or (_ANY.match(text) and not _STATE.search(text))
    if not found or not alike or any(re.search(rf"\b{re.escape(name)}\b", other) for name in found for other in others):
        return ""
    return named.sub(_short(come.name), text)


class _Writer:
    """Fills the sentences of `rules/method` for one altered formula."""

    def __init__(self, formula: Formula, context: Context, book: Rulebook, bake: Mapping[str, float]) -> None:
        self.formula = formula
        self.context = context
        self.book = book
        self.bake = bake

    def entry(self, kind: str) -> StepText | None:
        """The text of a kind of step in the language written."""
        return self.book.steps.get(f"{kind}.{LANGUAGE}")

    def group(self, enters: str) -> list[int]:
        """Lines present that join in one way: with the flours, with the liquids ..."""
        found = []
        for at, line in enumerate(self.formula.lines):
            ingredient = self.context.ingredients[at]
            if ingredient is not None and ingredient.enters == enters and mass(line) > 0:
                found.append(at)
        return found

    def step(self, kind: str) -> Step | None:
        """A step of this kind, its names and numbers filled in; None when no text is known, or when it
        speaks only of groups the recipe does not have."""
        entry = self.entry(kind)
        if entry is None:
            return None
        groups = {name: self.group(name) for name in GROUPS}
        spoken = [name for name in GROUPS if f"{{{name}}}" in entry.text]
        if spoken and not any(groups[name] for name in spoken):
            return None
        leaveners = [at for at in groups["dry"] if self._raises(at)]
        flours = [at for at in groups["dry"] if at not in leaveners]
        named = {
            name: _listed(_short(self.formula.lines[at].name) for at in lines) or f"the {name}"
            for name, lines in groups.items()
        }
        if "leavener" in entry.text:
            named["dry"] = _listed(_short(self.formula.lines[at].name) for at in flours) or "the flours"
        minutes = _centre(entry.minutes)
        facts: dict[str, object] = {
            **named,
            "minutes": f"{minutes:g}",
            "pieces": self.formula.pieces or "the",
            "piece_g": "" if self.formula.piece_g is None else f"{self.formula.piece_g:.0f}",
            "temperature_c": "" if entry.temperature_c is None else f"{entry.temperature_c:g}",
        }
        if entry.stage == "bake":
            facts |= {key: f"{value:.0f}" for key, value in self.bake.items()}
        uses = tuple(at for name in GROUPS if f"{{{name}}}" in entry.text for at in groups[name])
        temperature = entry.temperature_c if entry.stage == "bloom" else None
        kinds = entry.stage or entry.kind
        return Step(kinds, entry.text.format_map(facts), minutes, None, temperature, uses)

    def _raises(self, at: int) -> bool:
        ingredient = self.context.ingredients[at]
        return ingredient is not None and bool(
            ingredient.bases or (ingredient.acids and ingredient.enters == "dry")
        )


def _short(name: str) -> str:
    """A name as a step says it: without what stands behind a comma or in brackets.

    >>> _short("sunflower-seed flour, partly defatted"), _short("distilled white vinegar (5 %)")
    ('sunflower-seed flour', 'distilled white vinegar')
    """
    return name.partition(",")[0].partition(" (")[0]


def _centre(band: Band | None) -> float:
    return 0.0 if band is None else band.centre


def _placed(steps: list[Step], edit: Mapping[str, Any], writer: _Writer) -> list[Step]:
    """Put a step before or after the first step of a stage, or in place of all of that stage."""
    arriving = writer.step(str(edit["step"]))
    if arriving is None:
        return steps
    if "replaces" in edit:
        stage = str(edit["replaces"])
        places = [at for at, step in enumerate(steps) if step.kind == stage]
        if not places:
            return _before_bake(steps, arriving)
        uses = tuple(dict.fromkeys(u for at in places for u in steps[at].uses))
        arriving = replace(arriving, uses=arriving.uses or uses)
        return [
            arriving if at == places[0] else step
            for at, step in enumerate(steps)
            if at == places[0] or at not in places
        ]
    stage = str(edit["before"] if "before" in edit else edit["after"])
    places = [at for at, step in enumerate(steps) if step.kind == stage]
    if any(step.kind == arriving.kind and arriving.kind in _ONCE for step in steps):
        return steps
    if not places:
        return _before_bake(steps, arriving)
    at = places[0] if "before" in edit else places[-1] + 1
    return [*steps[:at], arriving, *steps[at:]]


_ONCE = ("rest", "cool")
"""Stages a method has once: where the baker's own stands, ours does not come beside it."""


def _before_bake(steps: list[Step], arriving: Step) -> list[Step]:
    places = [at for at, step in enumerate(steps) if step.kind in ("bake", "cook")]
    at = places[0] if places else len(steps)
    return [*steps[:at], arriving, *steps[at:]]


def _taken_in(steps: list[Step], present: list[int], old: int, context: Context) -> list[Step]:
    """Lines that no step uses any more, or none uses yet, join at the mixing of their part, with a sentence."""
    used = {at for step in steps for at in step.uses}
    was_spoken = bool(used)
    orphans = [at for at in present if at not in used and (was_spoken or at >= old)]
    for part in dict.fromkeys(context.part_of(at) for at in orphans):
        steps = _joined(steps, [at for at in orphans if context.part_of(at) == part], part, context)
    return steps


def _joined(steps: list[Step], orphans: list[int], part: str, context: Context) -> list[Step]:
    """Lines of one part taken in where it is mixed; "" is the dough."""
    names = _listed(_short(context.formula.lines[at].name) for at in orphans)
    joining = Step("mix", f"Add {names}.", uses=tuple(orphans))
    own = [
        at
        for at, step in enumerate(steps)
        if any(context.part_of(use) == part for use in step.uses) or (not step.uses and not part and not step.part)
    ]
    mixes = [at for at in own if steps[at].kind == "mix"] or ([own[-1]] if own and part else [])
    if not mixes:
        return _before_bake(steps, joining)
    joining = replace(joining, part=steps[mixes[-1]].part)
    dry = all((i := context.ingredients[o]) is not None and i.enters == "dry" for o in orphans)
    at = mixes[0] if dry else mixes[-1] + 1
    return [*steps[:at], joining, *steps[at:]]


def _rebaked(step: Step, bake: Mapping[str, float], writer: _Writer) -> Step:
    """The bake step with the new oven and time."""
    if step.kind != "bake" or not bake:
        return step
    said = writer.step("bake")
    if said is None:
        return step
    minutes, oven_c = bake["minutes"], bake["oven_c"]
    return replace(said, kind="bake", minutes=minutes, temperature_c=oven_c, uses=step.uses, part=step.part)


def _listed(names: Iterable[str]) -> str:
    """Names as a list: a, b and c.

    >>> _listed(["flour", "salt", "soda"])
    'flour, salt and soda'
    """
    found = list(dict.fromkeys(names))
    return " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)


def timeline(steps: tuple[Step, ...], book: Rulebook) -> tuple[TimelineEntry, ...]:
    """When each step starts, from the first; a step that says no time takes what the trade usually takes."""
    entries = []
    start = 0.0
    for step in steps:
        minutes, usual = _minutes(step, book)
        entries.append(TimelineEntry(step.text, start, minutes, usual))
        start += minutes
    return tuple(entries)


def _minutes(step: Step, book: Rulebook) -> tuple[float, bool]:
    if step.minutes is not None:
        return (step.minutes + (step.minutes_high or step.minutes)) / 2, False
    known = [
        e.minutes.centre
        for _, e in sorted(book.steps.items())
        if e.language == LANGUAGE and e.stage == step.kind and e.minutes
    ]
    return (sorted(known)[len(known) // 2] if known else 0.0), True


def bake_numbers(oven_c: Derivation, minutes: Derivation, core_c: Derivation) -> dict[str, float]:
    """The numbers that bake sentences are filled with."""
    return {"oven_c": oven_c.value, "minutes": minutes.value, "core_c": core_c.value}
