"""The best sets of changes that settle everything a recipe has open: exact best-first search.

A line that must go is open until a way settles it. The cost of a set is what its ways cost each, and once
for all of them what they bring in, so that a companion two of them share is bought once. A set is first met
at this cost, which never shrinks as ways are added; what is only known once the dough is made (soda left
over, amounts moved) is added when it is, and the set waits for its turn again. So sets come out in the order
of their whole cost, the same for any order of files, and none is passed over.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import accumulate
from typing import Generic, TypeVar

from assistant.plan.draft import Choice
from assistant.plan.score import WEIGHT

T = TypeVar("T")

MOST_FURTHER = 3
"""Most ways beside those that settle what is open, taken only to reach a figure; more is another recipe."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One thing to do about one line, and what it costs in changes nobody notices.

    `covers` are the lines that leave with it; `own` what it costs by itself; `new` ingredients, `allergens`
    and `doubts` what it brings that the recipe had not, by id.
    """

    choice: Choice
    covers: frozenset[int]
    own: float
    new: frozenset[str] = frozenset()
    allergens: frozenset[str] = frozenset()
    doubts: frozenset[str] = frozenset()

    @property
    def id(self) -> tuple[int, str]:
        """Distinct per recipe, so that ties break the same way every time."""
        return self.choice.at, "" if self.choice.candidate is None else self.choice.candidate.id

    @property
    def rule(self) -> tuple[int, str]:
        """What is done about which line: ways that differ only in which oil or vinegar share it."""
        return self.choice.at, "" if self.choice.candidate is None else self.choice.candidate.swap.id


@dataclass(frozen=True, slots=True)
class Open:
    """Something to settle: a line that must leave, or (`at` None) a dough to be raised another way."""

    at: int | None
    ways: tuple[Way, ...]

    def settled_by(self, way: Way) -> bool:
        """Whether a way settles it."""
        return self.at in way.covers if self.at is not None else any(way.id == own.id for own in self.ways)


@dataclass(frozen=True, slots=True)
class Settled(Generic[T]):
    """A set of ways made into a dough: what that adds to its cost, and the dough.

    `missing` is None when all wishes are kept, else says whether a further way can help, of so many that may join.
    There is no dough where it is plain without one that a figure is missed.
    """

    extra: float
    value: T | None
    missing: Callable[[Way, int], bool] | None = None


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A set of ways with its whole cost, and the dough made of it."""

    cost: float
    ways: tuple[Way, ...]
    value: T


def cost_of(ways: Iterable[Way]) -> float:
    """What a set of ways costs before its dough is made.

    >>> psyllium = frozenset({"psyllium-husk"})
    >>> flour = Way(Choice(0, None), frozenset({0}), 2.0, new=psyllium)
    >>> egg = Way(Choice(1, None), frozenset({1}), 0.5, new=psyllium)
    >>> cost_of([flour, egg])
    3.5
    """
    ways = tuple(ways)
    return round(
        sum(way.own for way in ways)
        + WEIGHT["new"] * len(frozenset().union(*(way.new for way in ways)))
        + WEIGHT["allergen"] * len(frozenset().union(*(way.allergens for way in ways)))
        + WEIGHT["doubt"] * len(frozenset().union(*(way.doubts for way in ways))),
        6,
    )


Ids = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class _Partial:
    """Ways taken so far: of the opens up to `at` some are left for later ones to settle, others are settled."""

    ways: tuple[Way, ...]
    at: int
    later: tuple[int, ...] = ()
    further: int = -1  # place of the last further way, whose successors may still join
    joined: int = 0

    @property
    def ids(self) -> Ids:
        return tuple(sorted(way.id for way in self.ways))


class Search(Generic[T]):
    """Sets of ways in the order of their cost.

    `further` are ways for lines that may stay; they join only where `settle` finds a figure missed. At most
    `most` doughs are made; `cut` tells when that ended the search.
    """

    def __init__(
        self,
        opens: Sequence[Open],
        settle: Callable[[tuple[Way, ...]], Settled[T] | None],
        further: Sequence[Way] = (),
        most: int = 300,
    ) -> None:
        self.opens = tuple(opens)
        self.settle = settle
        self.further = tuple(further)
        self.most = most
        self.made = 0
        self.cut = False
        self.nearest: list[Found[T]] = []  # doughs that keep all but a figure
        self._tried: set[Ids] = set()
        self._kept: set[frozenset[tuple[int, str]]] = set()  # rules of those that keep all
        # Open ends that ways of others may settle cost nothing for sure; the rest at least their cheapest way.
        least = [0.0 if self._elsewhere(o) else min((w.own for w in o.ways), default=0.0) for o in self.opens]
        self._rest = [*accumulate(reversed(least), initial=0.0)][::-1]
        self._heap: list[tuple[float, int, Ids, int, _Partial, Settled[T] | None]] = []
        self._pushed = 0

    def __iter__(self) -> Iterator[Found[T]]:
        self._push(_Partial((), 0))
        while self._heap:
            cost, _, _, _, partial, settled = heappop(self._heap)
            if settled is not None and settled.value is not None:
                yield Found(cost, partial.ways, settled.value)
            elif partial.at < len(self.opens):
                self._grow(partial)
            elif self.made >= self.most:
                self.cut = True
            else:
                self._make(cost, partial)

    def _elsewhere(self, one: Open) -> bool:
        others = (way for other in self.opens if other is not one for way in other.ways)
        return any(one.settled_by(way) for way in others)

    def _push(self, partial: _Partial, cost: float | None = None, settled: Settled[T] | None = None) -> None:
        if cost is None:
            cost = round(cost_of(partial.ways) + self._rest[partial.at], 6)
        self._pushed += 1
        heappush(self._heap, (cost, settled is not None, partial.ids, self._pushed, partial, settled))

    def _grow(self, partial: _Partial) -> None:
        """Settle the next open end in each way there is, or leave it to a later one."""
        here = self.opens[partial.at]
        after = partial.at + 1
        if any(here.settled_by(way) for way in partial.ways):
            self._push(_Partial(partial.ways, after, partial.later))
            return
        taken = frozenset().union(*(way.covers for way in partial.ways))
        for way in here.ways:
            if taken.isdisjoint(way.covers):
                later = tuple(at for at in partial.later if not self.opens[at].settled_by(way))
                self._push(_Partial((*partial.ways, way), after, later))
        if any(here.settled_by(way) for other in self.opens[after:] for way in other.ways):
            self._push(_Partial(partial.ways, after, (*partial.later, partial.at)))

    def _make(self, cost: float, partial: _Partial) -> None:
        if partial.later or partial.ids in self._tried:
            return
        self._tried.add(partial.ids)
        chosen = frozenset(way.rule for way in partial.ways)
        if any(kept < chosen for kept in self._kept):
            return  # the same without one of its further ways keeps all wishes
        settled = self.settle(partial.ways)
        self.made += settled is None or settled.value is not None
        if settled is None:
            return
        whole = round(cost + settled.extra, 6)
        if settled.missing is None:
            self._kept.add(chosen)
            self._push(partial, whole, settled)
            return
        if settled.value is not None:
            self.nearest.append(Found(whole, partial.ways, settled.value))
        left = MOST_FURTHER - partial.joined
        if left <= 0:
            return
        taken = frozenset().union(*(way.covers for way in partial.ways))
        for place in range(partial.further + 1, len(self.further)):
            way = self.further[place]
            if taken.isdisjoint(way.covers) and settled.missing(way, left):
                self._push(
                    _Partial((*partial.ways, way), partial.at, (), further=place, joined=partial.joined + 1)
                )
