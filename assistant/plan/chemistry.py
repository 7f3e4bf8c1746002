"""Gas, acid against soda, pH and water of a whole dough, from its lines, steps and laws."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assistant.formula.model import Line
from assistant.laws import acidity, dough, leavening, yeast
from assistant.laws.acidity import Species
from assistant.plan.functions import SALT, Context, is_any, mass
from assistant.plan.model import Chemistry
from assistant.plan.warmth import Warmth
from assistant.plan.yeast import yeast_gas_ml
from assistant.rulebook.model import Acid, Figure, Ingredient, Reactant
from assistant.words.derivation import Derivation, Notes, ranged, stated

NEUTRALISED_BELOW_PKA = 7.0
"""A proton whose pKa lies below this is one that soda takes: carbonic acid's first step is 6.35, and what it
gives leaves as gas, which pulls the weaker ones along to about neutral."""
NV_AGREES_WITHIN = 0.1
"""Share by which a tabulated neutralising value may part from that of the pKa: commercial grades vary so much."""
STANDARD_C = 25.0
"""Temperature at which gas volumes are told."""


def total(*amounts: float) -> float:
    """Sum of amounts of one kind: what a whole dough holds of something.

    >>> total(1.0, 2.5)
    3.5
    """
    return sum(amounts)


def figure(claim: str, found: Figure) -> Derivation:
    """A figure of the rulebook as a premise."""
    source = found.source if not found.locator else f"{found.source} {found.locator}"
    return Derivation(
        claim, found.value, found.unit, source, (found.source,), found.grade, found.low, found.high
    )


def weight(line: Line) -> Derivation:
    """A line's mass as a premise."""
    return stated(line.name, mass(line), "g")


@dataclass(frozen=True, slots=True)
class _Met:
    """One acid of one line: how much there is for soda, and how much of that reacts before the oven."""

    species: Acid
    all_mmol: Derivation
    early_mmol: Derivation


def chemistry_of(context: Context, warmth: Warmth, notes: Notes, bake_loss: Derivation) -> Chemistry:
    """Gas, acid and base, pH, water of a dough. `bake_loss` is the share of dough mass lost in the oven."""
    context = context.dough
    rest = stated("rest before the oven", warmth.rest_min, "min")
    acids = tuple(_acids(context, warmth, rest, notes))
    bases = tuple(_bases(context, notes))
    acid = _sum("acid for the soda", [a.all_mmol for a in acids], "mmol", notes)
    early = _sum("acid that reacts before the oven", [a.early_mmol for a in acids], "mmol", notes)
    base = _sum("soda", bases, "mmol", notes)
    share = ranged(
        "share of leftover soda that heat decomposes", leavening.DECOMPOSED_IN_CRUMB, "1",
        "assistant.laws.leavening.DECOMPOSED_IN_CRUMB", ("baking-powder-literature",),
    )  # fmt: skip
    left = notes.derive("soda that no acid meets", leavening.soda_left_mmol, base, acid, unit="mmol")
    met = notes.derive("gas from soda and acid", leavening.co2_mmol_from_soda, base, acid, unit="mmol")
    heat = notes.derive(
        "gas that heat drives from leftover soda", leavening.co2_mmol_from_heat, left, share, unit="mmol"
    )
    carbon = notes.derive("gas from soda", total, met, heat, unit="mmol")
    at_c, at_pa = (
        stated("told at", STANDARD_C, "C"),
        stated("told at", leavening.STANDARD_ATMOSPHERE_PA, "Pa"),
    )
    soda_gas = notes.derive(
        "gas from soda", leavening.gas_ml, carbon, at_c, at_pa, unit="mL", evidence=("codata-2018",)
    )
    yeast_gas = yeast_gas_ml(context, warmth, notes)
    gas = notes.derive("gas from mixing until the core sets", total, soda_gas, yeast_gas, unit="mL")
    early_share = notes.derive(
        "share of the soda's gas that comes before the oven", leavening.early_gas_share, base, early, acid
    )
    water = _water(context, notes)
    held = _sum("water that flours and fibres hold", list(_held(context, notes)), "g", notes)
    added = _sum(
        "water added, with that of egg, milk and the like",
        list(_waters(context, notes, dry=False)),
        "g",
        notes,
    )
    fermented = _fermentation_acid(yeast_gas, notes)
    ph, ph_baked = _ph(context, acids, base, left, share, fermented, water, bake_loss, notes)
    left_over = (
        *species_of((a.species, a.all_mmol.value) for a in acids if _organic(a.species)),
        *_species(fermented),
    )
    return Chemistry(
        gas_ml=gas,
        yeast_gas_ml=yeast_gas,
        soda_gas_ml=soda_gas,
        early_gas_share=early_share,
        acid_mmol=acid,
        base_mmol=base,
        surplus_acid_mmol=notes.derive("acid that no soda meets", leavening.surplus_acid_mmol, base, acid, unit="mmol"),
        unneutralised_soda_g=notes.derive("soda left over", leavening.soda_left_g, base, acid, unit="g"),
        ph=ph,
        ph_baked=ph_baked,
        water_g=water,
        free_water_g=notes.derive("free water", dough.free_water_g, water, held, unit="g"),
        hydration_pct=_of_flours("hydration", added, context, notes),
        salt_pct=_of_flours("salt, all sodium counted", stated("salt", context.total(SALT), "g"), context, notes),
        mix_c=warmth.mix_c,
        acids_left=Derivation("acids in the crumb", left_over, ""),
    )  # fmt: skip


def _of_flours(claim: str, part: Derivation, context: Context, notes: Notes) -> Derivation:
    """A baker's percentage; unknown where there are no flours to stand on."""
    if context.base_weight_g <= 0:
        return Derivation(claim, None, "%", "there are no flours to count it on")
    return notes.derive(
        claim, dough.bakers_percentage, part, stated("flours", context.base_weight_g, "g"), unit="%"
    )


def _fermentation_acid(yeast_gas: Derivation, notes: Notes) -> Derivation:
    """Acid that yeast leaves in the dough while it ferments, mmol."""
    gained = ranged(
        "share of sugar that becomes gas",
        yeast.YIELD,
        "1",
        "assistant.laws.yeast.YIELD",
        ("yeast-literature",),
    )
    used = notes.derive("sugar that the yeast used", yeast.sugar_used_g, yeast_gas, gained, unit="g")
    per_g = ranged(
        "acid per g of sugar", yeast.ACID_FROM_SUGAR_MMOL_G, "mmol/g", "assistant.laws.yeast.ACID_FROM_SUGAR_MMOL_G",
        ("yeast-literature",),
    )  # fmt: skip
    return notes.derive("acid of fermentation", yeast.fermentation_acid_mmol, used, per_g, unit="mmol")


def _species(fermented: Derivation) -> tuple[Species, ...]:
    return ((fermented.value, yeast.FERMENTATION_ACID_PKA, 0),) if fermented.value > 0 else ()


def _sum(claim: str, parts: list[Derivation] | tuple[Derivation, ...], unit: str, notes: Notes) -> Derivation:
    return notes.derive(claim, total, *parts, unit=unit)


def _here(context: Context) -> Iterable[tuple[Ingredient, Line]]:
    for ingredient, line in zip(context.ingredients, context.formula.lines, strict=True):
        if ingredient is not None and mass(line) > 0:
            yield ingredient, line


def _acids(context: Context, warmth: Warmth, rest: Derivation, notes: Notes) -> Iterable[_Met]:
    for ingredient, line in _here(context):
        for reactant in ingredient.acids:
            species = context.book.acids[reactant.species]
            amount = _amount(ingredient, line, reactant, species.name, notes)
            yield _Met(species, amount, _early(species, amount, warmth, rest, notes))


def _bases(context: Context, notes: Notes) -> Iterable[Derivation]:
    for ingredient, line in _here(context):
        for reactant in ingredient.bases:
            yield _amount(ingredient, line, reactant, context.book.acids[reactant.species].name, notes)


def _amount(ingredient: Ingredient, line: Line, reactant: Reactant, name: str, notes: Notes) -> Derivation:
    per_g = figure(f"{name} in {ingredient.name}", reactant.amount)
    return notes.derive(
        f"{name} of the {ingredient.name}", leavening.acid_mmol_from_meq, weight(line), per_g,
        unit="mmol", evidence=per_g.evidence, grade=per_g.grade,
    )  # fmt: skip


def protons_for_soda(species: Acid) -> int | None:
    """Protons a molecule gives to soda, when its pKa explain its neutralising value; else None.

    A metal already in the salt (a charge above 0) has taken some. Phosphates whose salts go on to
    others while they bake take more soda, or less, than any pKa says: those go by the table.
    """
    protons = sum(1 for step in species.pka if step.value < NEUTRALISED_BELOW_PKA) - species.charge
    if protons <= 0:
        return None
    if species.neutralising_value is None:
        return protons
    explained = leavening.neutralising_value(species.molar_mass.value, protons)
    return protons if abs(explained / species.neutralising_value.value - 1) <= NV_AGREES_WITHIN else None


def _early(species: Acid, amount: Derivation, warmth: Warmth, rest: Derivation, notes: Notes) -> Derivation:
    """Acid that has reacted before the oven; one whose release nobody tabulates reacts at once, as dissolved
    acids do."""
    mix, bench = species.release.get("mix"), species.release.get("bench")
    at_once = (
        Derivation("share released while mixing", 1.0, "1")
        if mix is None
        else figure("share released while mixing", mix)
    )
    on_bench = (
        Derivation("share released on the bench", 0.0, "1")
        if bench is None
        else figure("share released on the bench", bench)
    )
    woken = Derivation("share woken by heat", 0.0, "1")
    if species.wakes_c is not None and warmth.mix_c is not None:
        wakes = figure("wakes at", species.wakes_c)
        woken = notes.derive(
            "share woken by heat", leavening.woken_share, warmth.mix_c, wakes, rest, evidence=wakes.evidence
        )
    return notes.derive(
        f"{amount.claim} before the oven", leavening.early_acid_mmol, amount, at_once, on_bench, rest, woken,
        unit="mmol", spread=False,
    )  # fmt: skip


def _water(context: Context, notes: Notes) -> Derivation:
    return _sum("water of all lines", list(_waters(context, notes, dry=True)), "g", notes)


def _waters(context: Context, notes: Notes, dry: bool) -> Iterable[Derivation]:
    """Water of the lines; without `dry`, flours' own moisture is left out, as hydration counts it."""
    for ingredient, line in _here(context):
        found = ingredient.composition.get("water_g")
        if found is None or (
            not dry and is_any(ingredient, ("flour", "starch", "fibre", "gel-fibre", "protein-powder"))
        ):
            continue
        yield notes.derive(
            f"water in {ingredient.name}", dough.contributed_water_g, weight(line), figure("water per 100 g", found),
            unit="g", evidence=(found.source,), grade=found.grade,
        )  # fmt: skip


def _held(context: Context, notes: Notes) -> Iterable[Derivation]:
    for ingredient, line in _here(context):
        found = ingredient.does.get("water-held")
        if found is not None:
            yield notes.derive(
                f"water held by {ingredient.name}", dough.water_held_g, weight(line), figure("water held per g", found),
                unit="g", evidence=(found.source,), grade=found.grade,
            )  # fmt: skip


def _organic(species: Acid) -> bool:
    """Whether an acid is a carbon compound: those taste sour, alum and phosphates hardly do."""
    return re.search(r"C(?![a-z])", species.formula) is not None


Met = tuple[Acid, float]
"""An acid species and the mmol of it, as soda counts them, that have met the water."""


def species_of(met: Iterable[Met]) -> tuple[Species, ...]:
    """Charge-balance species of acids that follow their pKa."""
    merged: dict[str, tuple[Acid, float]] = {}
    for species, for_soda_mmol in met:
        protons = protons_for_soda(species)
        if protons is not None and for_soda_mmol > 0:
            _, so_far = merged.get(species.id, (species, 0.0))
            merged[species.id] = (species, so_far + for_soda_mmol / protons)
    return tuple((mmol, tuple(p.value for p in s.pka), s.charge) for _, (s, mmol) in sorted(merged.items()))


def _ph(
    context: Context,
    acids: tuple[_Met, ...],
    base: Derivation,
    left: Derivation,
    share: Derivation,
    fermented: Derivation,
    water: Derivation,
    bake_loss: Derivation,
    notes: Notes,
) -> tuple[Derivation, Derivation]:
    """pH of the dough at the end of mixing, and of the baked crumb."""
    flour_buffer, own_ph = _flour_buffer(context, notes)
    unknown = Derivation("pH", None, "pH", "nothing here has a known pH")
    if flour_buffer.value <= 0 or water.value <= 0:
        return unknown, unknown
    now = [(a.species, a.early_mmol.value) for a in acids]
    done = [(a.species, a.all_mmol.value) for a in acids]
    water_kg = notes.derive("water of the dough", _kg, water, unit="kg")
    crumb_kg = notes.derive(
        "water of the crumb",
        _crumb_kg,
        water,
        stated("dough", context.formula.dough_g, "g"),
        bake_loss,
        unit="kg",
    )
    bubbles = ranged(
        "pressure of CO2 in the bubbles",
        acidity.BUBBLE_CO2_ATM,
        "atm",
        "assistant.laws.acidity.BUBBLE_CO2_ATM",
        (),
        "derived",
    )
    kept = ranged(
        "pressure of CO2 the crumb keeps",
        acidity.CRUMB_CO2_ATM,
        "atm",
        "assistant.laws.acidity.CRUMB_CO2_ATM",
    )
    mixed_buffer, mixed_own = _with_leaveners(now, flour_buffer, own_ph, notes)
    ph = _where_it_holds(
        "pH of the dough at the end of mixing", acidity.ph_end_of_mixing, notes, water_kg, base,
        Derivation("acids met so far", species_of(now), ""), mixed_buffer, mixed_own, base, bubbles,
    )  # fmt: skip
    baked_buffer, baked_own = _with_leaveners(done, flour_buffer, own_ph, notes)
    ph_baked = _where_it_holds(
        "pH of the crumb", acidity.ph_baked, notes, crumb_kg, base,
        Derivation("all acids", (*species_of(done), *_species(fermented)), ""), baked_buffer, baked_own, left, share, kept,
    )  # fmt: skip
    return ph, ph_baked


def _where_it_holds(
    claim: str, law: Callable[..., float], notes: Notes, *premises: Derivation
) -> Derivation:
    """A pH, unknown where there is too little water or too much acid or soda for the law; then it says why."""
    try:
        return notes.derive(claim, law, *premises, unit="pH", evidence=("crc-handbook",), grade="from memory")
    except ValueError as outside:
        return Derivation(claim, None, "pH", str(outside))


def _kg(mass_g: float) -> float:
    return mass_g / 1000


def _crumb_kg(water_g: float, dough_g: float, bake_loss: float) -> float:
    return max(water_g - bake_loss * dough_g, 0.02 * dough_g) / 1000


def _flour_buffer(context: Context, notes: Notes) -> tuple[Derivation, Derivation]:
    """What flours, milk and egg take up per pH, and the pH they tend to; lines of unknown buffering left out."""
    strengths: list[Derivation] = []
    own: list[Derivation] = []
    for ingredient, line in _here(context):
        if ingredient.buffer is None:
            continue
        kg = notes.derive(ingredient.name, _kg, weight(line), unit="kg")
        per_kg = figure(f"buffering of {ingredient.name}", ingredient.buffer.strength)
        strengths.append(
            notes.derive(
                f"buffering of {ingredient.name}",
                acidity.buffer_mmol_per_ph,
                kg,
                per_kg,
                unit="mmol/pH",
                evidence=per_kg.evidence,
                grade=per_kg.grade,
            )
        )
        own.append(figure(f"own pH of {ingredient.name}", ingredient.buffer.own_ph))
    return _joined(strengths, own, notes)


def _joined(
    strengths: list[Derivation], own: list[Derivation], notes: Notes
) -> tuple[Derivation, Derivation]:
    together = notes.derive("buffering of the dough", acidity.buffers_together, *strengths, unit="mmol/pH")
    if not strengths or together.value <= 0:
        return together, Derivation("own pH", None, "pH")
    pairs = [d for pair in zip(strengths, own, strict=True) for d in pair]
    return together, notes.derive("own pH of the dough", acidity.own_ph_together, *pairs, unit="pH")


def _with_leaveners(
    met: list[Met], buffer: Derivation, own_ph: Derivation, notes: Notes
) -> tuple[Derivation, Derivation]:
    """Phosphates and alums follow no single pKa: they join the buffer by their tabulated equivalents."""
    tabulated = sum(amount for species, amount in met if protons_for_soda(species) is None)
    if tabulated <= 0:
        return buffer, own_ph
    starts = ranged(
        "own pH of leavening phosphates", acidity.LEAVENER_OWN_PH, "pH", "assistant.laws.acidity.LEAVENER_OWN_PH",
        ("baking-powder-literature",),
    )  # fmt: skip
    ends = ranged(
        "pH at which they are spent", acidity.LEAVENER_END_PH, "pH", "assistant.laws.acidity.LEAVENER_END_PH",
        ("baking-powder-literature",),
    )  # fmt: skip
    acid = Derivation("acid of leavening phosphates", tabulated, "mmol")
    strength = notes.derive(
        "buffering of leavening phosphates",
        acidity.leavener_buffer_mmol_per_ph,
        acid,
        starts,
        ends,
        unit="mmol/pH",
        evidence=("baking-powder-literature",),
        grade="from memory",
    )
    return _joined([buffer, strength], [own_ph, starts], notes)
