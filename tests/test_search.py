"""The search for the best sets of changes, held against trying all of them, and against an answer-set solver.

clingo (Gebser et al. 2019, Theory and Practice of Logic Programming 19:27) knows nothing of ours: the problem is
told to it in its own language, and it finds all sets and their costs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from random import Random
from types import SimpleNamespace
from typing import Any

import clingo
import pytest

from assistant.plan.draft import Choice
from assistant.plan.score import WEIGHT
from assistant.plan.search import MOST_FURTHER, Found, Open, Search, Settled, Way, cost_of

MILLI = 1000


def way(at: int, name: str, own: float, covers: Sequence[int] = (), **brings: frozenset[str]) -> Way:
    """A way whose rule is called like itself."""
    candidate: Any = SimpleNamespace(id=name, swap=SimpleNamespace(id=name))
    return Way(Choice(at, candidate), frozenset({at, *covers}), own, **brings)


@dataclass(frozen=True)
class Puzzle:
    """Opens and further ways, and which sets can be made, at what further cost, and miss a figure."""

    opens: tuple[Open, ...]
    further: tuple[Way, ...]
    seed: int
    refused: float = 0.0
    missing: float = 0.0

    def settle(self, ways: tuple[Way, ...]) -> Settled[frozenset[Way]] | None:
        """The same for the same set, whatever the order its ways are given in."""
        chance = Random(f"{self.seed} {sorted(w.id for w in ways)}")
        if chance.random() < self.refused:
            return None
        short = self.further and chance.random() < self.missing
        return Settled(round(chance.random() * 3, 3), frozenset(ways), (lambda way, left: True) if short else None)

    def found(self) -> list[Found[frozenset[Way]]]:
        """What the search finds, in its order."""
        return list(Search(self.opens, self.settle, self.further, most=100_000))


def puzzle(seed: int, further: int = 0, refused: float = 0.0, missing: float = 0.0) -> Puzzle:
    """A puzzle of one to four open ends, whose ways share what they bring and may take other lines with them."""
    chance = Random(seed)
    many = chance.randint(1, 4)
    places = range(many)

    def some(kind: str, most: int) -> frozenset[str]:
        return frozenset(f"{kind}{chance.randrange(4)}" for _ in range(chance.randint(0, most)))

    def made(at: int, name: str) -> Way:
        covers = [place for place in places if place != at and chance.random() < 0.2]
        own = round(0.1 + chance.random() * 4, 3)
        return way(at, name, own, covers, new=some("new", 2), allergens=some("allergen", 1), doubts=some("doubt", 1))

    opens = [Open(at, tuple(made(at, f"{at}{n}") for n in range(chance.randint(1, 4)))) for at in places]
    if chance.random() < 0.3:
        raising = [w for o in opens for w in o.ways if chance.random() < 0.3]
        raising += [way(many + n, f"raise{n}", round(chance.random() * 4, 3)) for n in range(chance.randint(1, 2))]
        opens.insert(0, Open(None, tuple(raising)))
    more = tuple(way(many + 5 + n, f"more{n}", round(0.1 + chance.random() * 2, 3), new=some("new", 1))
                 for n in range(further))  # fmt: skip
    return Puzzle(tuple(opens), more, seed, refused, missing)


def disjoint(ways: Sequence[Way]) -> bool:
    return len(frozenset().union(*(w.covers for w in ways))) == sum(len(w.covers) for w in ways)


def settling(opens: Sequence[Open]) -> Iterator[tuple[Way, ...]]:
    """Every set that settles all open ends: one way of its own for each, or none where another's settles it."""
    seen: set[frozenset[Way]] = set()
    for choice in product(*((None, *o.ways) for o in opens)):
        ways = tuple(dict.fromkeys(w for w in choice if w is not None))
        if not disjoint(ways) or not all(any(o.settled_by(w) for w in ways) for o in opens):
            continue
        if frozenset(ways) not in seen:
            seen.add(frozenset(ways))
            yield ways


def by_trying_all(one: Puzzle) -> list[tuple[float, frozenset[Way]]]:
    """Cost and set of all that keep the figures, without those that hold another which does."""
    kept: list[tuple[float, frozenset[Way]]] = []
    for ways in settling(one.opens):
        for many in range(MOST_FURTHER + 1):
            for more in combinations(one.further, many):
                if not disjoint((*ways, *more)):
                    continue
                steps = [one.settle((*ways, *more[:n])) for n in range(many + 1)]
                last = steps[-1]
                if last is not None and last.missing is None and all(s is not None and s.missing for s in steps[:-1]):
                    kept.append((round(cost_of((*ways, *more)) + last.extra, 6), frozenset((*ways, *more))))
    rules = [frozenset(w.rule for w in chosen) for _, chosen in kept]
    return sorted(
        (one for one, own in zip(kept, rules, strict=True) if not any(other < own for other in rules)),
        key=lambda one: (one[0], sorted(w.id for w in one[1])),
    )


@pytest.mark.parametrize("seed", range(150))
def test_the_sets_found_are_all_there_are_in_the_order_of_their_cost(seed: int) -> None:
    one = puzzle(seed, refused=0.2)
    assert [(f.cost, f.value) for f in one.found()] == by_trying_all(one)


@pytest.mark.parametrize("seed", range(60))
def test_with_figures_to_reach_further_ways_join_and_nothing_is_passed_over(seed: int) -> None:
    one = puzzle(seed, further=4, refused=0.1, missing=0.7)
    assert [(f.cost, f.value) for f in one.found()] == by_trying_all(one)


@pytest.mark.parametrize("seed", range(40))
def test_the_order_in_which_ways_are_given_changes_nothing(seed: int) -> None:
    one = puzzle(seed, further=3, refused=0.2, missing=0.5)
    turned = Puzzle(tuple(Open(o.at, o.ways[::-1]) for o in one.opens), one.further, seed, 0.2, 0.5)
    assert [(f.cost, f.value) for f in turned.found()] == [(f.cost, f.value) for f in one.found()]


# -- an answer-set solver --------------------------------------------------------------------------

RULES = """
{take(W)} :- own(O, W).
1 {chosen(W, O) : own(O, W)} 1 :- take(W).
:- chosen(W, O), chosen(V, O), W < V.
settled(O) :- take(W), settles(W, O).
:- open(O), not settled(O).
:- take(W), take(V), W < V, covers(W, L), covers(V, L).
needed(T, P) :- take(W), brings(W, T, P).
#minimize {C, way(W) : take(W), cost(W, C); P, thing(T) : needed(T, P)}.
#show take/1.
#show needed/2.
"""


def told(one: Puzzle) -> tuple[str, list[Way]]:
    """The puzzle as facts, and its ways by their number."""
    ways = list(dict.fromkeys(w for o in one.opens for w in o.ways))
    facts = [f"open({at})." for at in range(len(one.opens))]
    for number, w in enumerate(ways):
        facts.append(f"cost({number}, {round(w.own * MILLI)}).")
        facts += [f"covers({number}, {place})." for place in sorted(w.covers)]
        facts += [f"own({at}, {number})." for at, o in enumerate(one.opens) if w in o.ways]
        facts += [f"settles({number}, {at})." for at, o in enumerate(one.opens) if o.settled_by(w)]
        for kind, names in (("new", w.new), ("allergen", w.allergens), ("doubt", w.doubts)):
            facts += [f"brings({number}, {name}, {round(WEIGHT[kind] * MILLI)})." for name in sorted(names)]
    return " ".join(facts), ways


def solved(one: Puzzle, mode: str) -> Iterator[tuple[frozenset[Way], int, list[int]]]:
    """Sets the solver finds, what their own costs and all they bring come to, and what it minimises (if it does)."""
    facts, ways = told(one)
    control = clingo.Control(["--models=0", f"--opt-mode={mode}", "--project=show", "--warn=none"])
    control.add("base", [], RULES + facts)
    control.ground([("base", [])])
    with control.solve(yield_=True) as models:
        for model in models:
            said = model.symbols(shown=True)
            taken = frozenset(ways[s.arguments[0].number] for s in said if s.name == "take")
            brought = sum(s.arguments[1].number for s in said if s.name == "needed")
            yield taken, sum(round(w.own * MILLI) for w in taken) + brought, model.cost


def by_solver(one: Puzzle) -> list[tuple[int, frozenset[Way]]]:
    """Cost in thousandths and set of everything the solver finds, without what holds another of them."""
    every = [(cost, taken) for taken, cost, _ in solved(one, "ignore")]
    found = [(cost, taken) for cost, taken in every if not any(other < taken for _, other in every)]
    return sorted(found, key=lambda each: (each[0], sorted(w.id for w in each[1])))


@pytest.mark.parametrize("seed", range(1000, 1100))
def test_an_answer_set_solver_finds_the_same_sets_at_the_same_cost(seed: int) -> None:
    one = puzzle(seed)
    search = Search(one.opens, lambda ways: Settled(0.0, frozenset(ways)), most=100_000)
    found = [(round(f.cost * MILLI), f.value) for f in search]
    assert found == by_solver(one)
    best = [minimum for _, _, (minimum,) in solved(one, "opt")]
    assert [cost for cost, _ in found[:1]] == best[-1:]


def test_the_solver_is_no_rubber_stamp() -> None:
    """Two ways that bring the same thing pay for it once; told otherwise, the solver disagrees."""
    shared = frozenset({"psyllium"})
    opens = (Open(0, (way(0, "a", 1.0, new=shared),)), Open(1, (way(1, "b", 1.0, new=shared),)))
    assert [cost for cost, _ in by_solver(Puzzle(opens, (), 0))] == [round((2.0 + WEIGHT["new"]) * MILLI)]
    apart = (opens[0], Open(1, (way(1, "b", 1.0, new=frozenset({"chia"})),)))
    assert [cost for cost, _ in by_solver(Puzzle(apart, (), 0))] == [round((2.0 + 2 * WEIGHT["new"]) * MILLI)]


# -- what they mean --------------------------------------------------------------------------------


def test_what_leaves_with_another_line_is_settled_with_it() -> None:
    both = way(0, "both", 1.0, covers=[1])
    opens = (Open(0, (both,)), Open(1, (way(1, "alone", 0.5),)))
    assert [f.ways for f in Search(opens, lambda ways: Settled(0.0, ways))] == [(both,)]


def test_a_set_waits_for_its_turn_once_its_whole_cost_is_known() -> None:
    cheap, dear = way(0, "cheap", 1.0), way(0, "dear", 2.0)
    found = Search((Open(0, (cheap, dear)),), lambda ways: Settled(5.0 if ways == (cheap,) else 0.0, ways))
    assert [f.ways for f in found] == [(dear,), (cheap,)]


def test_a_search_that_is_cut_says_so() -> None:
    search = Search((Open(0, tuple(way(0, str(n), float(n)) for n in range(9))),), lambda ways: None, most=5)
    assert not list(search)
    assert search.cut
    assert search.made == 5
