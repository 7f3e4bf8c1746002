"""How long an altered piece bakes, told from a base bake that is known to work, or from nothing.

The physics stands in `heat`; here it is held to what one person's oven did, with its doubts.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, log, sqrt

import numpy as np

from assistant.laws.heat import (
    FINISHES,
    OVENS,
    PRIORS,
    STEAM_PA,
    Array,
    Case,
    Histories,
    Priors,
    Rows,
    baking_gas_fraction,
    browned,
    end_states,
    march,
    prepare,
    rows_of,
    solve,
)
from assistant.laws.ranges import within
from assistant.laws.thermal import Composition

__all__ = [
    "FINISHES",
    "OVENS",
    "PRIORS",
    "Calibration",
    "Case",
    "Change",
    "Composition",
    "Doubt",
    "FromNothing",
    "Histories",
    "Prediction",
    "Priors",
    "baking_gas_fraction",
    "calibrated",
    "end_states",
    "minutes_from_nothing",
    "predict",
    "predict_all",
    "prepare",
    "solve",
    "unexplained",
]


@dataclass(frozen=True, slots=True)
class Prediction:
    """How long an altered piece bakes against a base bake that is known to work.

    Units:    ratios 1 (minutes over the base's minutes); low and high from the weakly known numbers and
              from what the law missed on printed pairs, three of four of which they hold; minutes min, with
              the practice of its class;
              core_c C and loss_pct % of dough mass, both as it leaves the oven; minutes_to_core min until
              the core is at its target; core_limited whether that, not bake loss, sets the time;
              film_factor 1, by which the oven had to be better than expected for the base to be done; browning 1,
              of the crust as it leaves the oven over that of the base (zanoni-1995)
    """

    physics_ratio: float
    ratio_low: float
    ratio_high: float
    minutes: float
    core_c: float
    loss_pct: float
    minutes_to_core: float
    core_limited: bool
    film_factor: float
    browning: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """One weakly known number moved to one of its ends."""

    film: float = 1.0
    crust: float = 1.0
    pore_share: float = 1.0
    pore_cap: float = 1.0
    gas_change: float = 1.0
    quick: float = 0.0


DOUBTS = (
    (Doubt(film=0.75), Doubt(film=1.35)),
    (Doubt(crust=0.7), Doubt(crust=1.4)),
    (Doubt(pore_share=0.5, pore_cap=0.5), Doubt(pore_share=1.4, pore_cap=2.0)),
    (Doubt(gas_change=0.75), Doubt(gas_change=1.25)),
)
"""Ends of what is weakly known, in pairs. Source: common practice; the spread of the priors' sources."""
PAN_DOUBT = (Doubt(quick=-1.0), Doubt(quick=1.0))
"""Ends of what is known of a pan or of steam, where it changes: the new pan slow and the old one quick of its
kind, and the reverse. Source: the spreads of `WALLS` and `STEAM_PA`."""

LOSS_POWERS = (0.5, 0.85)
"""Ends of the power that leads from equal bake loss to time. Source: fits with whole sources left out."""


MISS_PLACE, MISS_DOUGH = 0.14, 0.22
"""Log error that stays between this law and printed pairs: when size, pan or oven change; when the dough
itself changes. Source: `derived` from the pairs in tests/published, whole sources left out."""


MISS_NOTHING = 0.25
"""Log error of a time without any known bake, on the same printed bakes. Source: `derived`, as above."""


def unexplained(base: Case, altered: Case, priors: Priors = PRIORS) -> float:
    """Log error to expect beyond what the doubts explain: none without a change, growing to what pairs show.

    Units:    returns 1 (0.14 is about 15 %)
    Range:    any two cases
    Source:   MISS_PLACE, MISS_DOUGH `derived` from printed pairs; the growth with the size of the change is
              common-practice
    Spread:   none of its own: it says how sure another law is

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> roll = Case(60, lean, 0.7, "roll", 200)
    >>> unexplained(roll, roll), round(unexplained(roll, replace(roll, mass_g=120)), 2)
    (0.0, 0.14)
    """
    return _unexplained(base, altered, rows_of((base, altered), priors), [0, 1])


def _unexplained(base: Case, altered: Case, rows: Rows, at: list[int]) -> float:
    """`unexplained`, from rows among which the two stand at these places."""
    thickness = rows.half_m[at]
    surface = rows.surface_gain[at] * (rows.exponent[at] + 1) / thickness
    films = rows.film[at] * rows.reach[at] + 15 * rows.view[at]
    pans = rows.pan_j_m2k[at]
    place = (
        abs(log(thickness[1] / thickness[0]))
        + abs(log(surface[1] / surface[0]))
        + abs(log((altered.oven_c - 80) / (base.oven_c - 80)))
        + abs(log(films[1] / films[0]))
        + abs(log(altered.pressure_pa / base.pressure_pa))
        + abs(altered.start_c - base.start_c) / 100
        + abs(altered.vapour_pa - base.vapour_pa) / 50_000
        + abs(altered.steam_min - base.steam_min) / 40
        + abs(pans[1] - pans[0]) / 40_000
    )
    parts = zip(base.dough.parts, altered.dough.parts, strict=True)
    dough = (
        abs(altered.gas_fraction - base.gas_fraction)
        + sum(abs(after - before) for before, after in parts) / 2
    )
    return hypot(MISS_PLACE * min(place / 0.25, 1.0), MISS_DOUGH * min(dough / 0.2, 1.0))


def _doubted(rows: Rows, doubt: Doubt) -> Rows:
    return replace(
        rows,
        film=rows.film * doubt.film,
        crust_w_mk=rows.crust_w_mk * doubt.crust,
        pore_share=np.minimum(rows.pore_share * doubt.pore_share, 1.0),
        pore_cap=rows.pore_cap * doubt.pore_cap,
    )


def _joined(parts: Sequence[Rows]) -> Rows:
    names = Rows.__dataclass_fields__
    return Rows(**{name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names})


def _first_time(series: Array, wanted: Array, minutes: Array) -> Array:
    """Minutes at which each case's series first is at what is wanted; NaN when it never is."""
    there = series >= wanted
    at = np.argmax(there, axis=0)
    column = np.arange(series.shape[1])
    before = np.maximum(at - 1, 0)
    low, high = series[before, column], series[at, column]
    part = np.where(high > low, (wanted - low) / np.where(high > low, high - low, 1.0), 0.0)
    found = minutes[before, column] + np.clip(part, 0, 1) * (minutes[at, column] - minutes[before, column])
    return np.where(there.any(axis=0), found, np.nan)


def _taken(rows: Rows, places: Array) -> Rows:
    """Rows picked by place, again if need be."""
    names = Rows.__dataclass_fields__
    return Rows(**{name: getattr(rows, name)[..., places] for name in names})


def _guess_s(rows: Rows, base: Array, base_s: Array) -> Array:
    """A first guess of the time each case takes, s, from thickness and drive alone; sets time steps only."""
    drive = (rows.oven_c - 80) * (rows.film * rows.reach + 12 * rows.view)
    slow = rows.storage_j_m3k * rows.half_m / (rows.exponent + 1) / drive
    return np.asarray(base_s * np.clip(slow / slow[base], 0.1, 6.0))


def _at(minutes: Array, series: Array, when: float) -> float:
    return float(np.interp(when, minutes, series))


@dataclass(frozen=True, slots=True)
class Change:
    """A base bake that is known to work, and pieces altered from it with the core target of each.

    `practice` is what the custom of a class adds to the time of each on top of heat flow (none: nothing);
    it does not change the ratio, only when core and loss are read.

    Units:    base_minutes min; core targets C; practice 1
    """

    base: Case
    base_minutes: float
    base_core_c: float
    altered: tuple[Case, ...]
    core_c: tuple[float, ...]
    practice: tuple[float, ...] = ()

    @property
    def customs(self) -> tuple[float, ...]:
        """Practice of each altered piece."""
        return self.practice or (1.0,) * len(self.altered)


def predict(
    base: Case,
    base_minutes: float,
    base_core_c: float,
    altered: Sequence[Case],
    core_c: Sequence[float],
    priors: Priors = PRIORS,
) -> tuple[Prediction, ...]:
    """Time and end state of altered pieces, from a base bake that is known to work.

    The oven stays as expected, unless the base would not be done in it: then its film is raised until it
    is. The base's bake loss at its stated time is read off; an altered piece is out when
    time / base time = (time to that loss / base time to that loss) ^ power, never before its core is
    done. A base piece without any change takes exactly its own time. Not for what a change of product
    adds on top (a gel that is dried further); that is a matter of product classes.

    Units:    min, C; one core target per altered piece, under the boiling point (see altitude)
    Range:    base_minutes 2 to 300 min; base_core_c 50 and more; base.boiling_c - base_core_c 0.5 and more;
              core_c[*] 50 and more; refused too: an altered piece to be within 0.5 C of boiling, a base that
              no oven would have done by then or that would have dried through, an altered piece that never
              gets done in its oven; else ValueError
    Source:   `march`; calibration `derived`, its errors on printed pairs in tests/published
    Spread:   returned: ratio_low to ratio_high

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> roll = Case(60, lean, 0.7, "roll", 200)
    >>> same, larger = predict(roll, 16, 93, [roll, replace(roll, mass_g=120)], [93, 93])
    >>> same.physics_ratio, round(larger.physics_ratio, 1)
    (1.0, 1.2)
    """
    (answer,) = predict_all([Change(base, base_minutes, base_core_c, tuple(altered), tuple(core_c))], priors)
    if isinstance(answer, str):
        raise ValueError(answer)
    return answer


def predict_all(
    changes: Sequence[Change], priors: Priors = PRIORS, spread: bool = True
) -> tuple[tuple[Prediction, ...] | str, ...]:
    """`predict` for many bases in one solve; for each its predictions, or a sentence why it refuses.

    Without `spread` the doubts are not baked (a ninth of the work): low and high then hold only what
    stays unexplained.

    Units:    as `predict`
    Range:    as `predict`, but a refusal is a value and stops nobody else
    Source:   as `predict`
    Spread:   returned: as predict
    """
    answers: list[tuple[Prediction, ...] | str] = [_refusal(change) for change in changes]
    open_ = [at for at, answer in enumerate(answers) if not answer]
    ovens = _remembered([(changes[at].base, changes[at].base_minutes, changes[at].base_core_c) for at in open_], priors)
    places: list[int] = []
    factors: list[float] = []
    for at, oven in zip(open_, ovens, strict=True):
        if isinstance(oven, str):
            answers[at] = oven
        else:
            places.append(at)
            factors.append(oven.film_factor)
    if places:
        pairs = (*DOUBTS, PAN_DOUBT) if any(_otherwise(changes[at]) for at in places) else DOUBTS
        doubts = [doubt for pair in pairs for doubt in pair] if spread else []
        track = _Track.of([changes[at] for at in places], factors, doubts, priors)
        for place, at in enumerate(places):
            answers[at] = track.answer(place, priors)
    return tuple(answers)


def _refusal(change: Change) -> str:
    """Why a change can't be baked at all, or nothing."""
    try:
        within("base time", change.base_minutes, 2, 300, "min")
        for share in change.practice:
            within("practice of a class", share, 0.3, 3)
        if len(change.core_c) != len(change.altered):
            return f"{len(change.altered)} altered pieces need as many core targets, not {len(change.core_c)}"
        if change.practice and len(change.practice) != len(change.altered):
            return f"{len(change.altered)} altered pieces need as many practices, not {len(change.practice)}"
        targets = (change.base_core_c, *change.core_c)
        for case, target_c in zip((change.base, *change.altered), targets, strict=True):
            within("core target", target_c, 50, case.boiling_c - 0.5, "C")
            case.block  # noqa: B018 - refuses what is no piece
    except ValueError as outside:
        return str(outside)
    return ""


@dataclass(frozen=True, slots=True)
class Calibration:
    """The oven that a base bake must have had, and how the base comes out of it at its stated time.

    Units:    film_factor 1, by which its film is better than expected; core_c C; loss_pct % of dough mass
    """

    film_factor: float
    core_c: float
    loss_pct: float


def calibrated(base: Case, minutes: float, core_c: float, priors: Priors = PRIORS) -> Calibration | str:
    """The oven a base bake that works must have had, or a sentence why no oven could have given it.

    Units:    min; core target C
    Range:    minutes 2 to 300 min; core_c 50 and more; base.boiling_c - core_c 0.5 and more; refused too: a
              base that no oven would have done by then or that would have dried through; a refusal is a
              sentence
    Source:   `march`; up to 8 C short of the target in the best oven is still taken as a base (thermometers
              and centres are off by as much), and up to 1 C in the expected one: `common practice`
    Spread:   not told by its source: predict tells what it leaves open

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> roll = Case(60, lean, 0.7, "roll", 200)
    >>> calibrated(roll, 16, 93).film_factor
    1.0
    >>> print(calibrated(roll, 4, 93)[:60])
    after 4 min at 200 C the core of a piece of 60 g (roll) is a
    """
    (found,) = calibrated_all([(base, minutes, core_c)], priors)
    return found


Known = tuple[Case, float, float]
"""A base with its minutes and core target (C)."""


def calibrated_all(known: Sequence[Known], priors: Priors = PRIORS) -> list[Calibration | str]:
    """`calibrated` for many bases in one solve.

    Units:    as `calibrated`
    Range:    as `calibrated`, but a refusal is a value and stops nobody else
    Source:   as `calibrated`
    Spread:   not told by its source, as calibrated
    """
    refusals = [_refusal(Change(*one, (), ())) for one in known]
    found = iter(_remembered([one for one, why in zip(known, refusals, strict=True) if not why], priors))
    return [why or next(found) for why in refusals]


REMEMBERED = 512
"""Bases remembered: a conversation asks for the same one again and again, a long run for each a few times."""
_memory: dict[tuple[Known, Priors], Calibration | str] = {}


def _remembered(known: Sequence[Known], priors: Priors) -> list[Calibration | str]:
    """Calibrations of bases that can be solved; those not yet known in one solve."""
    new = [one for one in dict.fromkeys(known) if (one, priors) not in _memory]
    if new:
        solved = dict(zip(new, _calibrated(new, priors), strict=True))
        here = {one: solved[one] if one in solved else _memory[one, priors] for one in known}
        if len(_memory) > REMEMBERED:
            _memory.clear()
        _memory.update({(one, priors): found for one, found in solved.items()})
        return [here[one] for one in known]
    return [_memory[one, priors] for one in known]


_FILM_FACTORS = (1.0, 1.3, 1.7, 2.2, 3.0)
def _calibrated(known: Sequence[Known], priors: Priors) -> list[Calibration | str]:
    """Each base in ovens of rising film, all in one solve if few, else the late ones in a second."""
    found: list[Calibration | str] = []
    tried = _FILM_FACTORS if len(known) < 10 else _FILM_FACTORS[:1]
    ends = _in_ovens(known, [tried] * len(known), priors)
    late = [at for at, (cores, _, _) in enumerate(ends) if known[at][2] - cores[0] > 1.0]
    if len(tried) == 1 and late:
        again = _in_ovens([known[at] for at in late], [_FILM_FACTORS] * len(late), priors)
        for at, end in zip(late, again, strict=True):
            ends[at] = end
    raised = {}
    for at in late:
        core_c = known[at][2]
        if ends[at][0][-1] >= core_c - 8:
            raised[at] = float(np.interp(core_c, np.maximum.accumulate(ends[at][0]), _FILM_FACTORS))
    there = _in_ovens([known[at] for at in raised], [(factor,) for factor in raised.values()], priors)
    outs = dict(zip(raised, there, strict=True))
    films = [1.0] * len(known)
    for at, factor in raised.items():
        films[at] = factor
    for at, (base, minutes, core_c) in enumerate(known):
        if at in late and at not in raised:
            found.append(
                f"after {minutes:g} min at {base.oven_c:g} C the core of a piece of {base.mass_g:g} g "
                f"({base.shape}) is at about {ends[at][0][0]:.0f} C, far from {core_c:g} C: check mass, "
                "shape, oven and time"
            )
            continue
        cores, losses, free = outs[at] if at in raised else ends[at]
        if losses[0] > 0.9 * free:
            found.append(
                f"{minutes:g} min at {base.oven_c:g} C would dry a piece of {base.mass_g:g} g through: "
                "check its mass, shape, oven and time"
            )
            continue
        found.append(Calibration(films[at], float(cores[0]), 100 * float(losses[0])))
    return found


def _in_ovens(
    known: Sequence[Known], factors: Sequence[Sequence[float]], priors: Priors
) -> list[tuple[Array, Array, float]]:
    """Core (C) and loss (kg/kg) of each base at its time, in ovens whose film is so many times better; and
    the most it could lose."""
    if not known:
        return []
    tries = len(factors[0])
    rows = _taken(rows_of([base for base, _, _ in known], priors), np.repeat(np.arange(len(known)), tries))
    rows = replace(rows, film=rows.film * np.ravel(factors))
    history = march(rows, np.repeat([60 * minutes for _, minutes, _ in known], tries), lambda *_: True)
    cores, losses = history.core_c[-1].reshape(-1, tries), history.loss[-1].reshape(-1, tries)
    free = (rows.evaporable * rows.surface_gain / rows.density)[::tries]
    return list(zip(cores, losses, free.tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class _Track:
    """A batch that was baked: the distinct pieces of all changes as expected, then again under each doubt."""

    changes: tuple[Change, ...]
    factors: tuple[float, ...]
    bases: tuple[int, ...]  # place of each change's base among the pieces
    places: tuple[tuple[int, ...], ...]  # and of its altered pieces
    rows: Rows  # of the pieces as expected, in the oven as expected
    history: Histories
    colour: Array  # of the pieces as expected
    loss_min: Array  # min to the base's loss; (1 + doubts, pieces)
    core_min: Array  # min to the core target

    @classmethod
    def of(
        cls, changes: Sequence[Change], factors: Sequence[float], doubts: Sequence[Doubt], priors: Priors
    ) -> "_Track":
        cases: list[Case] = []
        targets: list[float] = []
        base_at: list[int] = []
        stays: list[float] = []
        bases, places = [], []
        for change in changes:
            first = len(cases)
            whole = [(change.base, change.base_core_c), *zip(change.altered, change.core_c, strict=True)]
            distinct = list(dict.fromkeys(whole))  # equal pieces share a place, so that they agree to the bit
            for case, target_c in distinct:
                cases.append(case)
                targets.append(target_c)
                base_at.append(first)
            bases.append(first)
            places.append(tuple(first + distinct.index(piece) for piece in whole[1:]))
            stays += [
                max(
                    (c for c, piece in zip(change.customs, whole[1:], strict=True) if piece == one),
                    default=1.0,
                )
                for one in distinct
            ]
        per_piece = [bases.index(at) for at in base_at]
        better = np.array([factors[at] for at in per_piece])
        base_s = np.array([60 * changes[at].base_minutes for at in per_piece])
        base_place = np.array(base_at)
        expected = rows_of(cases, priors)
        rows = replace(expected, film=expected.film * better)
        batch = [rows]
        for doubt in doubts:
            moved = rows
            if doubt.gas_change != 1.0 or doubt.quick:
                scaled = [
                    _doubtful(case, cases[at], doubt) for case, at in zip(cases, base_at, strict=True)
                ]
                moved = rows_of(scaled, priors)
                moved = replace(moved, film=moved.film * better)
            batch.append(_doubted(moved, doubt))
        longer = np.ones((len(batch), len(cases)))
        longer[0] = np.maximum(stays, 1.0)  # only what is told needs the whole stay
        aims = _Aims(
            len(batch),
            base_place,
            np.array(targets),
            base_s,
            _most_loss(batch),
            priors.loss_power,
            longer.ravel(),
        )
        most = 4.0 * float(longer.max())
        guess_s = np.tile(_guess_s(rows, base_place, base_s), len(batch))
        history = march(_joined(batch), guess_s, aims.met, most=most)
        loss_min = _first_time(history.loss, aims.loss, history.minutes).reshape(len(batch), -1)
        core_min = _first_time(history.core_c, aims.core, history.minutes).reshape(len(batch), -1)
        return cls(
            tuple(changes),
            tuple(factors),
            tuple(bases),
            tuple(places),
            expected,
            history,
            browned(history.minutes[:, : len(cases)], history.surface_c[:, : len(cases)]),
            loss_min,
            core_min,
        )

    def answer(self, at: int, priors: Priors) -> tuple[Prediction, ...] | str:
        """What the batch says of one change."""
        change = self.changes[at]
        base = change.base
        found = []
        pieces = zip(change.altered, change.core_c, change.customs, self.places[at], strict=True)
        for case, target_c, custom, place in pieces:
            if np.isnan(self.loss_min[0, place]) or np.isnan(self.core_min[0, place]):
                longest = float(self.history.minutes[-1, place])
                return (
                    f"a piece of {case.mass_g:g} g ({case.shape}) is not done at {case.oven_c:g} C within "
                    f"{longest:.0f} min (core target {target_c:g} C): check its mass, shape and oven"
                )
            found.append(self._prediction(at, place, custom, priors, _unexplained(base, case, self.rows, [self.bases[at], place])))
        return tuple(found)

    def _prediction(self, at: int, place: int, custom: float, priors: Priors, miss: float) -> Prediction:
        base_minutes = self.changes[at].base_minutes
        logs = np.log(self._ratios(at, place, priors.loss_power))
        middle = float(logs[0])
        logs = np.where(np.isnan(logs), middle + _NEVER, logs)
        power_logs = [float(np.log(self._ratios(at, place, power)[0])) for power in LOSS_POWERS]
        down = up = miss**2
        for pair in (*logs[1:].reshape(-1, 2).tolist(), power_logs):
            down += min(0.0, *(end - middle for end in pair)) ** 2
            up += max(0.0, *(end - middle for end in pair)) ** 2
        ratio = exp(middle)
        minutes = base_minutes * ratio * custom
        times = self.history.minutes[:, place]
        core_min = float(self.core_min[0, place])
        by_loss_min = base_minutes * float(self._by_loss(at, place, priors.loss_power)[0])
        return Prediction(
            physics_ratio=ratio,
            ratio_low=ratio * exp(-sqrt(down)),
            ratio_high=ratio * exp(sqrt(up)),
            minutes=minutes,
            core_c=_at(times, self.history.core_c[:, place], minutes),
            loss_pct=100 * _at(times, self.history.loss[:, place], minutes),
            minutes_to_core=core_min,
            core_limited=core_min > by_loss_min * 1.0001,
            film_factor=self.factors[at],
            browning=self._brown(place, minutes) / self._brown(self.bases[at], base_minutes),
        )

    def _brown(self, place: int, minutes: float) -> float:
        return _at(self.history.minutes[:, place], self.colour[:, place], minutes)

    def _by_loss(self, at: int, place: int, power: float) -> Array:
        return np.asarray((self.loss_min[:, place] / self.loss_min[:, self.bases[at]]) ** power)

    def _ratios(self, at: int, place: int, power: float) -> Array:
        longest = np.maximum(self.core_min[:, self.bases[at]], self.changes[at].base_minutes)
        return np.asarray(np.maximum(self._by_loss(at, place, power), self.core_min[:, place] / longest))


_NEVER = 1.0
"""Log ratio that stands for "not within the batch" under a doubt: the spread is then at least x2.7."""


def _most_loss(batch: Sequence[Rows]) -> Array:
    """The most bake loss that may be asked of each row, kg/kg: 80 % of its free water."""
    return np.concatenate([0.8 * rows.evaporable * rows.surface_gain / rows.density for rows in batch])


def _otherwise(change: Change) -> bool:
    """Whether pan or steam is another than that of the base."""
    base = change.base
    return any((c.finish, c.steam_min) != (base.finish, base.steam_min) for c in change.altered)


def _doubtful(case: Case, base: Case, doubt: Doubt) -> Case:
    """The case with its change of gas fraction against the base scaled, its pan and steam off what is usual."""
    gas = base.gas_fraction + (case.gas_fraction - base.gas_fraction) * doubt.gas_change
    quick = -doubt.quick if case.finish == base.finish else doubt.quick
    steam_pa = STEAM_PA[1 - round(doubt.quick)] if case.steam_min else case.steam_pa
    return replace(case, gas_fraction=min(max(gas, 0.0), 0.9), quick=quick, steam_pa=steam_pa)


class _Aims:
    """What each row of a batch must reach: its base's bake loss and its own core target."""

    def __init__(
        self,
        blocks: int,
        base_place: Array,
        targets: Array,
        base_s: Array,
        most: Array,
        power: float,
        longer: Array,
    ) -> None:
        pieces = len(targets)
        starts = np.repeat(np.arange(blocks) * pieces, pieces)
        self.base = np.tile(base_place, blocks) + starts
        self.targets, self.base_s = np.tile(targets, blocks), np.tile(base_s, blocks)
        self.most, self.power, self.longer = most, power, longer
        self.loss = self.core = self.base_loss = np.empty(0)

    def met(self, time_s: Array, core: Array, loss: Array) -> bool:
        """Whether every row has run long enough; the first call sets the aims, when the bases are out."""
        if not self.loss.size:
            self.base_loss = loss[self.base]
            self.loss = np.minimum(self.base_loss, self.most)
            short = np.maximum(self.targets - core, 0.0)[self.base]
            self.core = self.targets - short
            self.until = np.zeros(loss.size)
        there = (loss >= self.loss) & (core >= self.core)
        share = time_s / self.base_s
        self.until = np.where(
            there & (self.until == 0),
            self.longer * self.base_s * np.maximum(share**self.power, share),
            self.until,
        )
        return bool(there.all() and (time_s >= self.until).all())


@dataclass(frozen=True, slots=True)
class FromNothing:
    """Time of a piece of which no bake is known.

    Units:    minutes_low to minutes_high min; core_c C and loss_pct % of dough mass at `minutes`
    """

    minutes: float
    minutes_low: float
    minutes_high: float
    core_c: float
    loss_pct: float


def minutes_from_nothing(
    cases: Sequence[Case], core_c: Sequence[float], loss_pct: Sequence[float], priors: Priors = PRIORS
) -> tuple[FromNothing, ...]:
    """Time until the core is at its target and the usual bake loss of the class is reached.

    Units:    core_c C; loss_pct % of dough mass, 0 when only the core counts
    Range:    core_c[*] 50 and more; loss_pct[*] 0 to 40 %; refused too: a core to be within 0.5 C of boiling,
              a piece that is not done within 6 h; else ValueError
    Source:   `march`; spread from the same doubts as `predict`
    Spread:   returned: minutes_low to minutes_high

    >>> lean = Composition(0.42, 0.075, 0.03, 0.445, 0.02, 0.01)
    >>> (found,) = minutes_from_nothing([Case(60, lean, 0.7, "roll", 200)], [93.0], [9.0])
    >>> found.minutes_low < found.minutes < found.minutes_high
    True
    """
    if not len(cases) == len(core_c) == len(loss_pct):
        raise ValueError("each piece needs a core target and a bake loss")
    for case, target_c, percent in zip(cases, core_c, loss_pct, strict=True):
        within("core target", target_c, 50, case.boiling_c - 0.5, "C")
        within("bake loss", percent, 0, 40, "%")
    rows = rows_of(cases, priors)
    batch = [rows, *(_doubted(rows, doubt) for pair in DOUBTS for doubt in pair)]
    targets, losses = np.tile(core_c, len(batch)), np.tile(loss_pct, len(batch)) / 100
    joined = _joined(batch)
    bulk = joined.storage_j_m3k * joined.half_m / (joined.exponent + 1)
    first_s = np.clip(
        2000 * bulk / ((joined.film * joined.reach + 6 * joined.view) * (joined.oven_c - 80)), 120, 7200
    )

    def met(time_s: Array, core: Array, loss: Array) -> bool:
        return bool(((core >= targets) & (loss >= losses)).all())

    history = march(joined, first_s, met, most=5.0)
    by_core = _first_time(history.core_c, targets, history.minutes)
    by_loss = _first_time(history.loss, losses, history.minutes)
    when = np.maximum(by_core, by_loss).reshape(len(batch), -1)
    found = []
    for place, case in enumerate(cases):
        centre = float(when[0, place])
        if np.isnan(centre):
            raise ValueError(
                f"a piece of {case.mass_g:g} g ({case.shape}) does not get to {core_c[place]:g} C and "
                f"{loss_pct[place]:g} % bake loss at {case.oven_c:g} C: check its mass, shape and oven"
            )
        logs = np.log(when[1:, place] / centre)
        logs = np.where(np.isnan(logs), 1.0, logs).reshape(-1, 2)
        down = float(np.sqrt((np.minimum(logs.min(axis=1), 0) ** 2).sum() + MISS_NOTHING**2))
        up = float(np.sqrt((np.maximum(logs.max(axis=1), 0) ** 2).sum() + MISS_NOTHING**2))
        times = history.minutes[:, place]
        found.append(
            FromNothing(
                minutes=centre,
                minutes_low=centre * float(np.exp(-down)),
                minutes_high=centre * float(np.exp(up)),
                core_c=_at(times, history.core_c[:, place], centre),
                loss_pct=100 * _at(times, history.loss[:, place], centre),
            )
        )
    return tuple(found)
