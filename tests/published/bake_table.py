"""Errors of the bake law and of plainer rules on printed pairs: python -m tests.published.bake_table

Each row of bake_pairs.csv is one change between two printed bakes; the law gets the first bake and the
second piece, and says the second time. Masses are estimates, doughs are typical ones (below), and rows of
one chart are not independent: so each rule's free numbers are fitted with the whole source left out.
"""

import csv
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import exp, log
from pathlib import Path
from statistics import mean, median

from assistant.laws.altitude import core_target_c, pressure_pa
from assistant.laws.bake import PRIORS, Case, Prediction, minutes_from_nothing, predict
from assistant.laws.thermal import Composition

PAIRS = Path(__file__).with_name("bake_pairs.csv")
KINDS = ("size and pan", "oven", "leavening", "altitude and temperature", "pan finish", "temperature")
POWERS = (0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.9, 1.0)

LEAN = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
QUICK = Composition(0.37, 0.06, 0.13, 0.40, 0.02, 0.02)
LAYER = Composition(0.34, 0.055, 0.11, 0.47, 0.01, 0.015)
DOUGHS: dict[str, tuple[Composition, float, float, float]] = {
    "lean loaf": (LEAN, 0.72, 93, 9),
    "yeast roll": (Composition(0.37, 0.08, 0.07, 0.445, 0.02, 0.015), 0.72, 88, 9),
    "layer cake": (LAYER, 0.50, 96, 10),
    "angel food": (Composition(0.46, 0.08, 0.002, 0.448, 0.002, 0.008), 0.75, 96, 10),
    "sponge": (Composition(0.36, 0.09, 0.06, 0.475, 0.005, 0.01), 0.68, 96, 12),
    "pound cake": (Composition(0.27, 0.06, 0.22, 0.435, 0.005, 0.01), 0.42, 98, 8),
    "brownie": (Composition(0.17, 0.06, 0.22, 0.52, 0.02, 0.01), 0.25, 90, 6),
    "quick bread": (QUICK, 0.42, 95, 9),
    "gingerbread": (Composition(0.35, 0.05, 0.11, 0.465, 0.01, 0.015), 0.45, 96, 10),
    "muffin": (QUICK, 0.48, 94.5, 12),
    "biscuit": (Composition(0.36, 0.07, 0.15, 0.38, 0.015, 0.025), 0.40, 94, 12),
    "cornbread": (Composition(0.43, 0.065, 0.10, 0.36, 0.02, 0.025), 0.42, 95, 10),
}
"""Composition, gas fraction as it bakes, core target (C) and usual loss (%). Source: typical formulas and
done temperatures of the trade, common practice; none was changed after seeing an error."""


@dataclass(frozen=True)
class Pair:
    """Two printed bakes of one source."""

    id: str
    kind: str
    product: str
    change: str
    source: str
    base: Case
    base_minutes: float
    base_core_c: float
    base_loss_pct: float
    altered: Case
    core_c: float
    observed: float  # ratio of the printed times

    @property
    def thicker(self) -> float:
        return log(self.altered.block.half_thickness_m / self.base.block.half_thickness_m)

    @property
    def heavier(self) -> float:
        return log(self.altered.mass_g / self.base.mass_g)

    @property
    def drive(self) -> float:
        return log((self.base.oven_c - 95) / (self.altered.oven_c - 95))

    @property
    def fanned(self) -> float:
        return float(self.altered.oven == "fan") - float(self.base.oven == "fan")


def _side(row: dict[str, str], side: str) -> tuple[Case, float, float]:
    dough, gas, core_c, loss_pct = DOUGHS[row[f"dough_{side}"]]
    altitude_m = float(row[f"altitude_m_{side}"])
    case = Case(
        mass_g=float(row[f"mass_g_{side}"]),
        dough=dough,
        gas_fraction=gas,
        shape=row[f"shape_{side}"],
        oven_c=float(row[f"oven_c_{side}"]),
        pan_cm=tuple(float(cm) for cm in row[f"pan_cm_{side}"].split()),
        finish=row[f"finish_{side}"],
        oven=row[f"oven_{side}"],
        pressure_pa=float(pressure_pa(altitude_m)),
    )
    return case, float(core_target_c(core_c, altitude_m)), loss_pct


@cache
def pairs() -> tuple[Pair, ...]:
    """The printed pairs."""
    found = []
    with PAIRS.open(newline="") as file:
        for row in csv.DictReader(file):
            base, base_core_c, loss_pct = _side(row, "1")
            altered, core_c, _ = _side(row, "2")
            minutes = float(row["minutes_1"])
            found.append(
                Pair(row["id"], row["kind"], row["product"], row["change"], row["source"], base, minutes,
                     base_core_c, loss_pct, altered, core_c, float(row["minutes_2"]) / minutes)
            )  # fmt: skip
    return tuple(found)


@cache
def said(pair: Pair, power: float = PRIORS.loss_power) -> Prediction | str:
    """What the law says of a pair, or why it refuses."""
    try:
        return predict(
            pair.base, pair.base_minutes, pair.base_core_c, [pair.altered], [pair.core_c],
            replace(PRIORS, loss_power=power),
        )[0]  # fmt: skip
    except ValueError as refusal:
        return str(refusal)


def usable() -> tuple[Pair, ...]:
    """Pairs whose base bake the law accepts."""
    return tuple(pair for pair in pairs() if isinstance(said(pair), Prediction))


def law(pair: Pair, power: float) -> float:
    """Log of the ratio the law gives."""
    prediction = said(pair, power)
    assert isinstance(prediction, Prediction)
    return log(prediction.physics_ratio)


def left_out(rule: Callable[..., float], choices: Sequence[tuple[float, ...]]) -> dict[str, float]:
    """Log ratio of each pair by a rule whose numbers were fitted on the other sources."""
    known, answers = usable(), {}
    table = {choice: {pair.id: rule(pair, *choice) for pair in known} for choice in choices}
    for source in {pair.source for pair in known}:
        others = [pair for pair in known if pair.source != source]
        best = min(choices, key=lambda c: (mean(abs(table[c][p.id] - log(p.observed)) for p in others), c))
        answers |= {pair.id: table[best][pair.id] for pair in known if pair.source == source}
    return answers


def rules() -> dict[str, dict[str, float]]:
    """Log ratio of each pair by each rule."""
    known = usable()
    tenths = [step / 10 for step in range(21)]
    drives = [(n / 10, q, f / 10) for n in range(4, 16) for q in (0.0, 0.5, 1.0) for f in (0, -1, -2, -3)]
    return {
        "no change": {pair.id: 0.0 for pair in known},
        "mass ^ 2/3": {pair.id: pair.heavier * 2 / 3 for pair in known},
        "mass ^ p": left_out(lambda pair, p: p * pair.heavier, [(p / 2,) for p in tenths]),
        "thickness ^ n": left_out(lambda pair, n: n * pair.thicker, [(n,) for n in tenths]),
        "thickness ^ n x drive ^ q x fan": left_out(
            lambda pair, n, q, f: n * pair.thicker + q * pair.drive + f * pair.fanned, drives
        ),
        "bake law, equal loss": {pair.id: law(pair, 1.0) for pair in known},
        "bake law, power left out": left_out(law, [(power,) for power in POWERS]),
        "bake law as it stands": {pair.id: law(pair, PRIORS.loss_power) for pair in known},
    }


def errors(answers: dict[str, float], kind: str | None = None) -> list[float]:
    """Absolute log errors, of one kind of change or of all."""
    return [abs(answers[p.id] - log(p.observed)) for p in usable() if kind is None or p.kind == kind]


def from_nothing() -> list[tuple[Pair, float, float, float]]:
    """Each distinct base bake, and its time without any known bake: low, centre and high, min."""
    seen: dict[Case, Pair] = {}
    for pair in pairs():
        seen.setdefault(pair.base, pair)
    found = []
    for pair in seen.values():
        time = minutes_from_nothing([pair.base], [pair.base_core_c], [pair.base_loss_pct])[0]
        found.append((pair, time.minutes_low, time.minutes, time.minutes_high))
    return found


def lines() -> list[str]:
    """The whole table."""
    out = ["pair  kind                      product              printed  law (low-high)     error"]
    for pair in pairs():
        answer = said(pair)
        head = f"{pair.id}  {pair.kind:25} {pair.product[:20]:20} x{pair.observed:4.2f}"
        if isinstance(answer, str):
            out.append(f"{head}    refused: {answer}")
            continue
        off = 100 * (answer.physics_ratio / pair.observed - 1)
        band = f"x{answer.physics_ratio:4.2f} ({answer.ratio_low:4.2f}-{answer.ratio_high:4.2f})"
        film = f"  film x{answer.film_factor:.1f}" if answer.film_factor > 1 else ""
        out.append(f"{head}    {band}  {off:+4.0f} %{film}")
    known = usable()
    inside = [
        p for p in known
        if isinstance(a := said(p), Prediction) and a.ratio_low <= p.observed <= a.ratio_high
    ]  # fmt: skip
    out += ["", f"printed ratio within the law's low and high: {len(inside)} of {len(known)}", ""]
    kinds = [kind for kind in KINDS if any(p.kind == kind for p in known)]
    out.append(f"{'median error, within 20 %':33}" + "".join(f"{kind[:17]:>20}" for kind in [*kinds, "all"]))
    for name, answers in rules().items():
        cells = []
        for kind in [*kinds, None]:
            misses = errors(answers, kind)
            near = sum(miss < log(1.2) for miss in misses)
            cells.append(f"{100 * (exp(median(misses)) - 1):5.0f} % {near:3d}/{len(misses)}".rjust(20))
        out.append(f"{name:33}" + "".join(cells))
    out += ["", "without any known bake       printed   law (low-high), min"]
    for pair, low, centre, high in from_nothing():
        out.append(f"{pair.product[:27]:27} {pair.base_minutes:7.1f}   {centre:5.1f} ({low:.1f}-{high:.1f})")
    return out


if __name__ == "__main__":
    print("\n".join(lines()))
