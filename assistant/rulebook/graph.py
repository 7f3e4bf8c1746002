"""How entries of the rulebook hang together: a typed graph for checks and explanations.

Planning does not walk it; it asks the rulebook directly.
"""

from collections.abc import Iterable
from itertools import pairwise
from typing import Any, NamedTuple

import networkx as nx

from assistant.rulebook.model import Ingredient, Need, Rulebook

MEETS_WITHOUT_ADDING = ("rest", "warmth", "hydrate")
"""Kinds of need that time or warmth meets; nothing has to be put in."""


class Node(NamedTuple):
    """An entry, by its kind in the singular ("ingredient", "swap" ...) and its id."""

    kind: str
    id: str


class Link(NamedTuple):
    """A typed edge: "member", "serves", "contains", "replaces", "brings", "needs", "satisfies", "activates",
    "forbids", "reacts-with" or "warns"."""

    source: Node
    how: str
    target: Node


def graph_of(book: Rulebook) -> "nx.MultiDiGraph[Node]":
    """All entries and what links them. A node with `known=False` is named by some entry and is none."""
    graph: nx.MultiDiGraph[Node] = nx.MultiDiGraph()
    for kind, entries in (
        ("ingredient", book.ingredients),
        ("class", book.classes),
        ("function", book.functions),
        ("swap", book.swaps),
        ("need", book.needs),
        ("diet", book.diets),
        ("reaction", book.reactions),
        ("allergen", book.allergens),
        ("product", book.products),
        ("caution", book.cautions),
    ):
        graph.add_nodes_from((Node(kind, entry_id) for entry_id in entries), known=True)
    for source, how, target in links(book):
        for node in (source, target):
            if node not in graph:
                graph.add_node(node, known=False)
        graph.add_edge(source, target, key=how, how=how)
    return graph


def links(book: Rulebook) -> Iterable[Link]:
    """Every link between two entries, in the order of the rulebook."""
    for ingredient in book.ingredients.values():
        yield from _of_ingredient(ingredient, book)
    for swap in book.swaps.values():
        here = Node("swap", swap.id)
        yield Link(
            here,
            "replaces",
            Node("class", swap.replaces) if swap.replaces_any else Node("ingredient", swap.replaces),
        )
        for amount in (*swap.stand_ins, *swap.also):
            yield Link(
                here,
                "brings",
                Node("ingredient", amount.ingredient) if amount.ingredient else Node("class", amount.any_of),
            )
            if amount.closes:
                yield Link(here, "satisfies", Node("need", amount.closes))
        for function_id in (*swap.serves, *swap.keeps):
            yield Link(here, "serves", Node("function", function_id))
        for caution_id in swap.cautions:
            yield Link(here, "warns", Node("caution", caution_id))
    for need in book.needs.values():
        here = Node("need", need.id)
        yield Link(thing(need.of, book), "needs", here)
        for name in need.met_by:
            yield Link(thing(name, book), "satisfies", here)
            yield Link(thing(name, book), "activates", thing(need.of, book))
    for diet in book.diets.values():
        here = Node("diet", diet.id)
        for kind, ids in (*diet.forbids.items(), *diet.doubt_when.items()):
            if kind != "origin":
                for each in ids:
                    yield Link(here, "forbids", Node(kind, each))
        for caution_id in diet.cautions:
            yield Link(here, "warns", Node("caution", caution_id))
    for reaction in book.reactions.values():
        for name in reaction.between:
            yield Link(thing(name, book), "reacts-with", Node("reaction", reaction.id))


def _of_ingredient(ingredient: Ingredient, book: Rulebook) -> Iterable[Link]:
    here = Node("ingredient", ingredient.id)
    for class_id in ingredient.classes:
        yield Link(here, "member", Node("class", class_id))
    for function_id in serves(ingredient, book):
        yield Link(here, "serves", Node("function", function_id))
    for allergen_id in (*(ingredient.contains or ()), *ingredient.may_contain):
        yield Link(here, "contains", Node("allergen", allergen_id))
    for caution_id in ingredient.cautions:
        yield Link(here, "warns", Node("caution", caution_id))


def thing(name: str, book: Rulebook) -> Node:
    """What a rule means that may name an ingredient, a class or a function: a class before an ingredient
    of the same id, since the class holds it."""
    if name in book.classes:
        return Node("class", name)
    return Node("function" if name in book.functions and name not in book.ingredients else "ingredient", name)


def serves(ingredient: Ingredient, book: Rulebook) -> tuple[str, ...]:
    """Functions an ingredient serves: those it states, those its figures give, and acid and base by what
    it brings."""
    found = [function_id for function_id, figure in ingredient.does.items() if figure.value > 0]
    for function in book.functions.values():
        if function.id in ingredient.does:
            continue
        figures = [ingredient.composition.get(nutrient) for nutrient in function.of]
        if figures and any(figure is not None and figure.value > 0 for figure in figures):
            found.append(function.id)
    found += [
        function_id
        for function_id, brought in (("acid", ingredient.acids), ("base", ingredient.bases))
        if brought
    ]
    return tuple(dict.fromkeys(found))


def dangling(graph: "nx.MultiDiGraph[Node]") -> tuple[tuple[Node, tuple[Link, ...]], ...]:
    """Nodes that are named and don't exist, with who names them."""
    return tuple(
        (node, tuple(Link(source, how, node) for source, _, how in graph.in_edges(node, keys=True)))
        for node in sorted(graph)
        if not graph.nodes[node].get("known")
    )


def endless_needs(book: Rulebook) -> tuple[Need, ...]:
    """Needs that nothing can close: whatever meets them has a need of its own that again nothing closes."""
    called = {i.id: {i.id, *i.classes, *serves(i, book)} for i in book.ingredients.values()}
    opens = {i: [n.id for n in book.needs.values() if n.of in names] for i, names in called.items()}
    closed = {n.id for n in book.needs.values() if n.kind in MEETS_WITHOUT_ADDING}
    while True:
        more = {
            need.id
            for need in book.needs.values()
            if need.id not in closed
            and any(
                not names.isdisjoint(need.met_by) and closed.issuperset(opens[i])
                for i, names in called.items()
            )
        }
        if not more:
            return tuple(need for need in book.needs.values() if need.id not in closed)
        closed |= more


def between(graph: "nx.MultiDiGraph[Node]", start: Node, end: Node) -> tuple[Link, ...]:
    """The shortest chain of links from one entry to another, whichever way they point; none when there is
    none. Of several chains as short, the first by name.
    """
    if start not in graph or end not in graph:
        return ()
    try:
        chain = min(nx.all_shortest_paths(graph.to_undirected(as_view=True), start, end))
    except nx.NetworkXNoPath:
        return ()
    return tuple(_link(graph, a, b) for a, b in pairwise(chain))


def _link(graph: Any, a: Node, b: Node) -> Link:
    if graph.has_edge(a, b):
        return Link(a, min(graph[a][b]), b)
    return Link(b, min(graph[b][a]), a)
