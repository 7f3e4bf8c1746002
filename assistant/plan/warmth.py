"""How warm a dough is as its method goes on: what meets what, and how it cools while it rests."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.formula.model import Step
from assistant.laws import dough, thermal
from assistant.laws.thermal import Composition
from assistant.plan.functions import Context, mass
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.words.derivation import Derivation, Notes, stated

POTS = ("prepare", "bloom")
"""Kinds of steps that ready something beside the dough; it keeps its temperature until it joins."""
JOINS = ("mix", "cook", "other")
WAITS = ("rest", "proof")
LIQUID = ("wet", "yeast")
"""How what carries a step's temperature enters the dough: its liquids, and yeast in its water."""
MIX_C = 25.0
DENSITY_G_ML = 1.2
"""Gas-free dough, Choi-Okos (assistant.laws.thermal); 5 % either way moves the cooling time by 3 %."""
LUMP = 1.1
"""Surface of a lump of dough in a bowl over that of a ball (assistant.laws.dough.dough_surface_cm2)."""
KNEADED_FROM = 4.0
"""g gluten-forming protein per 100 g flours from which a yeast dough is kneaded rather than stirred."""


@dataclass(frozen=True, slots=True)
class Stage:
    """A wait of the dough: its kind, how long, and its mean temperature."""

    kind: str
    minutes: float
    temperature_c: Derivation


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures of a dough along its method, C, and its waits.

    `met_c` is the dough's temperature as each line joined; `bloom` the temperature and minutes of the
    yeast's bloom; `rest_min` all waiting between mixing and oven.
    """

    mix_c: Derivation | None
    oven_entry_c: Derivation | None
    met_c: Mapping[int, Derivation] = field(default_factory=dict)
    stages: tuple[Stage, ...] = ()
    bloom: tuple[float, float] | None = None
    time_constant_min: Derivation | None = None

    @property
    def rest_min(self) -> float:
        """Minutes of all waits between the first mixing and the oven."""
        return sum(stage.minutes for stage in self.stages)


def composition_of(ingredient: Ingredient, book: Rulebook) -> Composition | None:
    """An ingredient's make-up for thermal laws, remembered; None when water or a main part of it is unknown."""
    key = ("composition", ingredient.id)
    if key not in book.remembered:
        book.remembered[key] = _composition(ingredient)
    found: Composition | None = book.remembered[key]
    return found


def _composition(ingredient: Ingredient) -> Composition | None:
    per_100g = {
        key: ingredient.composition.get(key) for key in ("water_g", "protein_g", "fat_g", "carbohydrate_g")
    }
    if any(figure is None for figure in per_100g.values()):
        return None
    water, protein, fat, carbohydrate = (figure.value for figure in per_100g.values() if figure is not None)
    fibre, ash = (ingredient.composition.get(key) for key in ("fibre_g", "ash_g"))
    fibre_g = 0.0 if fibre is None else min(fibre.value, carbohydrate)
    rest = 100 - water - protein - fat - carbohydrate
    masses = (
        water,
        protein,
        fat,
        carbohydrate - fibre_g,
        fibre_g,
        max(rest, 0.0) if ash is None else ash.value,
    )
    return Composition.of_masses(*masses) if sum(masses) > 0 else None


def warmth_of(context: Context, notes: Notes) -> Warmth:
    """Follow the method: pots are readied, lines join with their temperatures, the dough cools as it waits.

    Lines no step speaks of join at the first mixing, at room temperature. Only the dough is followed, not what
    bakes in it or comes on top.
    """
    key = ("warmth", notes.keep)
    if key not in context.memo:
        context.memo[key] = _warmth(context, notes)
    found: Warmth = context.memo[key]
    return found


def _warmth(context: Context, notes: Notes) -> Warmth:
    context = context.dough
    formula = context.formula
    room = stated("room", formula.room_c, "C")
    pot_c: dict[int, Derivation] = {}
    joined: dict[int, Derivation] = {}
    stages: list[Stage] = []
    bloom: tuple[float, float] | None = None
    now: Derivation | None = None
    mix: Derivation | None = None
    constant: Derivation | None = None
    mixes = [at for at, step in enumerate(formula.steps) if step.kind in JOINS and step.uses]
    spoken = {line for at, step in enumerate(formula.steps) if at in mixes for line in step.uses}
    silent = tuple(at for at in range(len(formula.lines)) if at not in spoken)
    steps = formula.steps if mixes else (Step("mix", "", uses=silent), *formula.steps)
    first = mixes[0] if mixes else 0
    for at, step in enumerate(steps):
        if step.kind in POTS and step.temperature_c is not None and 0 <= step.temperature_c <= 100:
            for line in step.uses:
                if _carries(context, line):
                    pot_c[line] = stated(f"{formula.lines[line].name} in the pot", step.temperature_c, "C")
        if step.kind == "bloom" and step.temperature_c is not None and step.minutes is not None:
            bloom = (step.temperature_c, step.minutes)
        if step.kind in JOINS and (step.uses or at == first):
            lines = dict.fromkeys((*step.uses, *(silent if at == first else ())))
            arriving = [line for line in lines if line not in joined and mass(formula.lines[line]) > 0]
            if not arriving:
                continue
            temps = {line: _temperature(context, line, step, pot_c, room) for line in arriving}
            now = _mixed(context, joined, now, temps, notes) or now
            for line in arriving:
                joined[line] = temps[line] if now is None else now
            mix = now
        elif step.kind in WAITS and step.minutes and now is not None:
            constant = constant or _time_constant(context, notes)
            if step.kind == "rest" and step.temperature_c is not None:  # the baker says how warm it ends
                after = stated("dough after the rest", step.temperature_c, "C")
                stages.append(
                    Stage(
                        step.kind,
                        step.minutes,
                        notes.derive("dough during the wait", _mean, now, after, unit="C"),
                    )
                )
                now = after
                continue
            surroundings = (
                room if step.temperature_c is None else stated("where it stands", step.temperature_c, "C")
            )
            spent = stated(step.kind, step.minutes, "min")
            after = notes.derive(
                "dough after the wait",
                dough.cooled_c,
                now,
                surroundings,
                spent,
                constant,
                unit="C",
                evidence=("heat-transfer-handbook",),
            )
            mean = notes.derive("dough during the wait", _mean, now, after, unit="C")
            stages.append(Stage(step.kind, step.minutes, mean))
            now = after
    return Warmth(mix, now, joined, tuple(stages), bloom, constant)


def _mean(first_c: float, last_c: float) -> float:
    return (first_c + last_c) / 2


def _carries(context: Context, line: int) -> bool:
    ingredient = context.ingredients[line]
    return ingredient is not None and ingredient.enters in LIQUID


def _temperature(
    context: Context, line: int, step: Step, pot_c: Mapping[int, Derivation], room: Derivation
) -> Derivation:
    """What a line is like as it joins: as warm as its pot, as the step says for liquids, else as the room."""
    if line in pot_c:
        return pot_c[line]
    ingredient = context.ingredients[line]
    wet = ingredient is not None and ingredient.enters == "wet" and "egg" not in ingredient.classes
    if wet and step.temperature_c is not None and 0 <= step.temperature_c <= 100:
        return stated(f"{context.formula.lines[line].name} goes in at", step.temperature_c, "C")
    return room


def _mixed(
    context: Context,
    joined: Mapping[int, Derivation],
    now: Derivation | None,
    arriving: Mapping[int, Derivation],
    notes: Notes,
) -> Derivation | None:
    masses: list[float] = []
    heats: list[float] = []
    temps: list[Derivation] = []
    for line, temp in [*((line, now) for line in joined if now is not None), *arriving.items()]:
        ingredient = context.ingredients[line]
        made_of = None if ingredient is None else composition_of(ingredient, context.book)
        if made_of is None or temp is None:
            continue
        masses.append(mass(context.formula.lines[line]))
        heats.append(float(thermal.specific_heat_j_kgk(made_of, MIX_C)) / 1000)
        temps.append(temp)
    if not masses:
        return None
    work = dough.FRICTION_J_PER_G["hand" if _kneaded(context) else "folded"] * sum(masses)
    warm = notes.derive("temperatures of what is mixed", _together, *temps, unit="C", spread=False)
    return notes.derive(
        "dough after mixing", dough.mix_temperature,
        Derivation("masses", tuple(masses), "g"), Derivation("specific heats", tuple(heats), "J/(g K)", evidence=("choi-okos-1986",)),
        warm, Derivation("kneading work", work, "J"), unit="C", evidence=("choi-okos-1986",),
    )  # fmt: skip


def _together(*temperatures_c: float) -> tuple[float, ...]:
    return temperatures_c


def _kneaded(context: Context) -> bool:
    return (
        context.raised_by == "yeast" and context.total("gluten") >= KNEADED_FROM * context.base_weight_g / 100
    )


def _time_constant(context: Context, notes: Notes) -> Derivation:
    parts = [
        (mass(line), composition_of(i, context.book))
        for i, line in zip(context.ingredients, context.formula.lines, strict=True)
        if i is not None
    ]
    known = [
        (m, float(thermal.specific_heat_j_kgk(c, MIX_C)) / 1000) for m, c in parts if c is not None and m > 0
    ]
    weight = sum(m for m, _ in known)
    heat = sum(m * c for m, c in known) / weight
    whole, density = (
        stated("dough", weight, "g"),
        Derivation("density of the dough", DENSITY_G_ML, "g/mL", evidence=("choi-okos-1986",)),
    )
    surface = notes.derive(
        "surface of the dough",
        dough.dough_surface_cm2,
        whole,
        density,
        Derivation("shape of a lump", LUMP),
        unit="cm2",
    )
    film = Derivation("heat given to a still room", dough.FILM_W_M2K[1], "W/(m2 K)", "assistant.laws.dough.FILM_W_M2K",
                      ("heat-transfer-handbook",), "from memory", dough.FILM_W_M2K[0], dough.FILM_W_M2K[2])  # fmt: skip
    conductivity = Derivation("conductivity of dough", dough.DOUGH_CONDUCTIVITY_W_MK[1], "W/(m K)", "assistant.laws.dough.DOUGH_CONDUCTIVITY_W_MK",
                              ("rask-1989",), "from memory", dough.DOUGH_CONDUCTIVITY_W_MK[0], dough.DOUGH_CONDUCTIVITY_W_MK[2])  # fmt: skip
    return notes.derive(
        "minutes in which the dough comes e times nearer the room", dough.cooling_time_constant_min,
        whole, Derivation("specific heat", heat, "J/(g K)", evidence=("choi-okos-1986",)), surface, film, conductivity, density, unit="min",
    )  # fmt: skip
