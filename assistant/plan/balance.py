"""Amounts: a bounded least-squares problem between what the dough should keep and what rules print.

Unknowns are the masses of arrivals and of the lines declared adjustable; each goal is a linear total
over all lines with a target and the change nobody notices; a ridge pulls every unknown toward the
printed amount. Rule limits are hard bounds, so a line that must stay has low = high.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

Array = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True, slots=True)
class Unknown:
    """A mass to find, g: where it stands, its bounds, the printed start, and how freely it may leave it."""

    line: int
    low_g: float
    high_g: float
    start_g: float
    freedom_g: float


@dataclass(frozen=True, slots=True)
class Goal:
    """A total to keep: `per_g` per line, `target` and `tolerance` in one unit."""

    name: str
    per_g: Mapping[int, float]
    target: float
    tolerance: float

    def total(self, masses_g: Sequence[float]) -> float:
        """The total for these masses."""
        return sum(weight * masses_g[line] for line, weight in self.per_g.items())


def balance(
    masses_g: Sequence[float], unknowns: Sequence[Unknown], goals: Sequence[Goal]
) -> tuple[float, ...]:
    """Masses of all lines that meet the goals best, each unknown within its bounds.

    Units:    masses_g g; goals in their own units
    Range:    low_g <= high_g, freedom_g > 0, tolerance > 0; else ValueError
    Source:   bounded-variable least squares, Stark and Parker 1995, as in scipy.optimize.lsq_linear

    A dough lost 10 g of water with its yeast; the water line alone is free to bring it back:

    >>> keep_water = Goal("water", {0: 1.0, 1: 0.7}, target=307.0, tolerance=1.0)
    >>> [round(m, 1) for m in balance([300.0, 0.0], [Unknown(0, 250.0, 350.0, 300.0, 1000.0)], [keep_water])]
    [307.0, 0.0]
    """
    for unknown in unknowns:
        if unknown.low_g > unknown.high_g or unknown.freedom_g <= 0:
            raise ValueError(
                f"line {unknown.line}: no mass lies between {unknown.low_g} and {unknown.high_g} g"
            )
    solved = list(masses_g)
    free = [u for u in unknowns if u.high_g > u.low_g]
    for unknown in unknowns:
        solved[unknown.line] = min(max(unknown.start_g, unknown.low_g), unknown.high_g)
    if not free:
        return tuple(solved)
    places = [u.line for u in free]
    rows, right = [], []
    for goal in goals:
        if goal.tolerance <= 0:
            raise ValueError(f"goal {goal.name}: its tolerance must be above 0")
        fixed = sum(w * solved[line] for line, w in goal.per_g.items() if line not in places)
        rows.append([goal.per_g.get(line, 0.0) / goal.tolerance for line in places])
        right.append((goal.target - fixed) / goal.tolerance)
    for at, unknown in enumerate(free):
        rows.append([1 / unknown.freedom_g if at == other else 0.0 for other in range(len(free))])
        right.append(unknown.start_g / unknown.freedom_g)
    answer = _bounded(np.array(rows), np.array(right), free)
    for unknown, grams in zip(free, answer, strict=True):
        solved[unknown.line] = float(grams)
    return tuple(solved)


def _bounded(rows: Array, right: Array, free: Sequence[Unknown]) -> Array:
    """The unconstrained answer when it lies within the bounds, else the bounded one."""
    low, high = np.array([u.low_g for u in free]), np.array([u.high_g for u in free])
    answer, *_ = np.linalg.lstsq(rows, right, rcond=None)
    if (low <= answer).all() and (answer <= high).all():
        return np.asarray(answer, dtype=float)
    from scipy.optimize import lsq_linear

    return np.asarray(lsq_linear(rows, right, bounds=(low, high), method="bvls").x, dtype=float)
