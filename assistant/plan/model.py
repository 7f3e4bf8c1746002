"""What judgement concludes about a formula, every number a derivation."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from assistant.formula.model import Formula, Step
from assistant.words.derivation import Derivation

Status = Literal["contains", "may contain", "cannot confirm"]
Verdict = Literal["yes", "no", "cannot confirm"]


@dataclass(frozen=True, slots=True)
class Nutrition:
    """Nutrients per piece (the whole recipe without a yield), per 100 g baked and per 100 g raw dough.

    The keys are those of the nutrients N of the JSON contract. None is unknown; a field in `incomplete`
    is a lower bound, since some line does not know it.
    """

    per_piece: Mapping[str, Derivation | None]
    per_100g: Mapping[str, Derivation | None]
    per_100g_raw: Mapping[str, Derivation | None]
    pieces: int | None
    baked_piece_g: Derivation
    incomplete: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Chemistry:
    """Gas, acid and base, pH, and water of the whole dough.

    `gas_ml`: CO2 from mixing until the core sets, at 25 C and 1 atm, before losses. `acid_mmol` and
    `base_mmol` count what is available to soda, and soda, those inside baking powder included.
    `mix_c` is the dough's temperature after mixing; None when no step says how warm anything is.
    """

    gas_ml: Derivation
    yeast_gas_ml: Derivation
    soda_gas_ml: Derivation
    early_gas_share: Derivation
    acid_mmol: Derivation
    base_mmol: Derivation
    surplus_acid_mmol: Derivation
    unneutralised_soda_g: Derivation
    ph: Derivation
    ph_baked: Derivation
    water_g: Derivation
    free_water_g: Derivation
    hydration_pct: Derivation
    salt_pct: Derivation
    mix_c: Derivation | None
    acids_left: Derivation  # species of the charge balance, all reacted; no number of its own


@dataclass(frozen=True, slots=True)
class BakeAnswer:
    """When to look, when it is likely done, when it must be out; C and min.

    For a formula with a stated bake `physics_ratio` and `class_ratio` are against it:
    minutes = stated minutes x physics_ratio x class_ratio.
    """

    oven_c: Derivation
    minutes: Derivation
    check_from_min: Derivation
    no_later_than_min: Derivation
    core_c: Derivation
    bake_loss_pct: Derivation
    physics_ratio: Derivation
    class_ratio: Derivation
    doneness: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that is known of one formula as it stands."""

    formula: Formula
    chemistry: Chemistry
    nutrition: Nutrition
    crumb: Mapping[str, Derivation]  # word -> number behind it
    crumb_words: Mapping[str, str]  # word -> "open", "dense" ...
    allergens: Mapping[str, Status]
    diets: Mapping[str, Verdict]
    cautions: tuple[str, ...]
    functions: Mapping[int, tuple[str, ...]]  # line -> function ids that matter here
    sweeteners: Mapping[str, Derivation] = field(default_factory=dict)  # sugar alcohols, missing body


@dataclass(frozen=True, slots=True)
class Change:
    """One line before and after; absent is 0 and unknown None."""

    line: int
    ingredient: str | None
    name: str
    before_g: float | None
    after_g: Derivation | None
    because: str
    part: str = ""


@dataclass(frozen=True, slots=True)
class TimelineEntry:
    """When a step starts, counted from the first, and how long it takes; min."""

    step: str
    start_min: float
    minutes: float
    usual: bool = False  # the minutes are what the trade usually takes, not stated


@dataclass(frozen=True, slots=True)
class Option:
    """One complete plan: the altered formula, what changed and why, before and after."""

    title: str
    swaps: tuple[str, ...]  # rule ids; empty for an untried stand-in found by function
    score: Derivation
    against: Mapping[str, str]  # crumb word -> "denser", "the same" ...
    changes: tuple[Change, ...]
    before: Assessment
    after: Assessment
    bake: BakeAnswer | None
    method: tuple[Step, ...]
    timeline: tuple[TimelineEntry, ...]
    cautions: tuple[str, ...]
    remarks: tuple[str, ...] = ()  # how it differs in kind: "another product: a scone"
    how_tested: str = ""
    doubts: tuple[str, ...] = ()  # what cannot be confirmed of the wishes

    @property
    def formula(self) -> Formula:
        """The altered formula."""
        return self.after.formula

    @property
    def worked(self) -> bool:
        """Whether its numbers were noted with what they rest on."""
        return self.score.by != "stated"

    @property
    def unchanged(self) -> bool:
        """Whether every line is as it was."""
        return all(c.before_g == (None if c.after_g is None else c.after_g.value) for c in self.changes)


@dataclass(frozen=True, slots=True)
class Options:
    """Ranked plans, best first, or what blocks; then perhaps the nearest plan, and what of the wishes it misses.
    `blocking` are the wishes that no plan keeps together."""

    base: Formula
    options: tuple[Option, ...]
    blocked_by: tuple[str, ...] = ()
    nearest: Option | None = None
    misses: tuple[str, ...] = ()
    blocking: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Why:
    """An answer to "why": a verdict, sentences, and the numbers they were said from."""

    subject: str
    verdict: str
    answer: tuple[str, ...]
    derivations: tuple[Derivation, ...]
    sources: tuple[str, ...]
