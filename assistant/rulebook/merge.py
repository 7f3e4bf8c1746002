"""Layers of rules laid over each other: the packaged ones, then a person's shelf.

All is plain data. A layer holds `entries` by kind and id, `places` of "kind/id" as (source, line), `faults`
and `references`: (kinds, id, source, first line, times), ids that an entry of one of these kinds must hold.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from assistant.rulebook.names import nearest
from assistant.rulebook.packet import as_alike
from assistant.words.faults import Fault, Place

Layer = Mapping[str, Any]
ORDERED = ("products", "functions", "turns")
"""Kinds whose order is the author's; all others go by id."""
CALLED = {
    "ingredients": "ingredient",
    "classes": "class",
    "functions": "function",
    "sources": "source",
    "products": "product class",
    "needs": "need",
    "cautions": "caution",
    "allergens": "allergen",
    "acids": "acid or base",
    "diets": "diet",
    "causes": "cause of trouble",
    "reactions": "reaction",
    "step kinds": "kind of step",
}
"""What faults call the kinds of entry that others may name."""


def merged(layers: list[Layer]) -> dict[str, Any]:
    """One layer of all, with faults for ids that no entry of any layer holds."""
    kinds = layers[0]["entries"]
    entries = {kind: overlaid(kind, [layer["entries"][kind] for layer in layers]) for kind in kinds}
    faults = [fault for layer in layers for fault in layer["faults"]]
    own = [layer["entries"]["ingredients"] for layer in layers]
    entries["ingredients"], endless = _alike(own)
    places = {key: place for layer in layers for key, place in layer["places"].items()}
    for ingredient_id in endless:
        place = Place(*places[f"ingredients/{ingredient_id}"])
        what = f"{ingredient_id} is like something that is like it, or like nothing there is"
        faults.append(plain_fault(Fault(place, what, "name another ingredient under like:")))
    references = (reference for layer in layers for reference in layer["references"])
    faults += [plain_fault(fault) for fault in unknown(references, entries)]
    return {
        "entries": entries | {"ingredients": _with_units(entries)},
        "places": places,
        "faults": sorted(faults, key=lambda fault: (fault[0][0], fault[0][1] or 0, fault[1])),
    }


def overlaid(kind: str, layers: list[Mapping[str, Any]]) -> dict[str, Any]:
    """Entries of one kind, later layers over earlier. Where order counts, an entry that is new on a shelf
    stands first: a person's own product is more particular than the packaged ones.

    >>> overlaid("products", [{"cake": 1, "bread": 2}, {"bread": 3, "hut-cake": 4}])
    {'hut-cake': 4, 'cake': 1, 'bread': 3}
    """
    found: dict[str, Any] = {}
    for layer in layers:
        new = {entry_id: entry for entry_id, entry in layer.items() if entry_id not in found}
        found = new | found | dict(layer)
    return found if kind in ORDERED else dict(sorted(found.items()))


def _alike(layers: list[Mapping[str, Any]]) -> tuple[dict[str, Any], list[str]]:
    """Ingredients of all layers, each that is `like` another with what it leaves unsaid; and those for which
    that other is not to be had. An entry like its own id takes from the one it is laid over."""
    found: dict[str, Any] = {}
    waiting: dict[str, Any] = {}
    for layer in layers:
        for ingredient_id, entry in layer.items():
            waiting.pop(ingredient_id, None)
            like = entry.get("like")
            if like is None:
                found[ingredient_id] = entry
            elif like == ingredient_id and ingredient_id in found:
                found[ingredient_id] = as_alike(entry, found[ingredient_id])
            else:
                waiting[ingredient_id] = entry
    while ready := {i: e for i, e in waiting.items() if e["like"] in found and e["like"] not in waiting}:
        for ingredient_id, entry in ready.items():
            found[ingredient_id] = as_alike(entry, found[entry["like"]])
            del waiting[ingredient_id]
    for ingredient_id, entry in waiting.items():
        found[ingredient_id] = {"name": ingredient_id, **entry}
    return dict(sorted(found.items())), sorted(waiting)


def _with_units(entries: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Ingredients whose strengths are counted in the units of their functions. A function that is not known
    has a fault already."""
    units = {function_id: entry["unit"] for function_id, entry in entries["functions"].items()}
    found = {}
    for ingredient_id, entry in entries["ingredients"].items():
        strengths = entry.get("does", {})
        does = {name: (figure[0], units.get(name, ""), *figure[2:]) for name, figure in strengths.items()}
        found[ingredient_id] = entry | {"does": does} if does else entry
    return found


def unknown(references: Iterable[Any], entries: Mapping[str, Mapping[str, Any]]) -> Iterable[Fault]:
    """A fault for every id that no entry holds, once in a file, where it first stands."""
    known: dict[str, set[str]] = {kind: set(held) for kind, held in entries.items()}
    known["step kinds"] = {entry["kind"] for entry in entries["steps"].values()}
    for kinds, name, source, line, times in references:
        if any(name in known[kind] for kind in kinds):
            continue
        near = nearest(name, {entry_id for kind in kinds for entry_id in known[kind]})
        again = f" (named {times} times in this file)" if times > 1 else ""
        yield Fault(
            Place(source, line),
            f'"{name}" is no known {" or ".join(CALLED[kind] for kind in kinds)}{again}',
            f"did you mean {near}?" if near else "name one that is, or add it",
            choices=(near,) if near else (),
        )


def plain_fault(fault: Fault) -> tuple[Any, ...]:
    """A fault as plain data."""
    where = (fault.where.source, fault.where.line)
    return where, fault.what, fault.mend, fault.stops, fault.kind, fault.choices
