"""Reading nodes of a YAML document, which know their line, as plain data: numbers, texts, tuples, mappings.

What does not fit becomes a Fault, and the rest is read on, so that all faults are told at once. Ids that
other entries must hold are collected, to be looked up when everything has been read.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf, isfinite
from typing import Any, Final, Protocol

from assistant.rulebook.conditions import Comparison
from assistant.rulebook.names import nearest
from assistant.words.faults import Fault, Place


class Node(Protocol):
    """A node of a YAML document, as its loader composes it."""

    id: str  # "scalar", "sequence" or "mapping"
    tag: str
    value: Any
    start_mark: Any


@dataclass(frozen=True, slots=True)
class Reference:
    """An id that an entry names: one of these kinds must hold it."""

    kinds: tuple[str, ...]
    id: str
    place: Place


@dataclass(slots=True)
class Reading:
    """What reading a file gathers besides its entries."""

    source: str
    faults: list[Fault] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)

    def place(self, node: Node) -> Place:
        """Where a node stands."""
        return Place(self.source, node.start_mark.line + 1)

    def fault(self, node: Node, what: str, mend: str, choices: tuple[str, ...] = ()) -> Any:
        """Note a fault; returns BAD, what an unreadable node reads as."""
        self.faults.append(Fault(self.place(node), what, mend, choices=choices))
        return BAD

    def refer(self, node: Node, kinds: tuple[str, ...], name: str) -> None:
        """Note that an id must be known."""
        self.references.append(Reference(kinds, name, self.place(node)))


BAD: Final = object()
Reads = Callable[[Node, Reading], Any]


@dataclass(frozen=True, slots=True)
class Key:
    """What stands under a key; `to` is the field it fills when that is called otherwise."""

    reads: Reads
    required: bool = False
    to: str = ""


# ---- scalars ----


def text(node: Node, reading: Reading) -> Any:
    """Words; a number is taken as written, but not a yes, a no or nothing."""
    if node.id != "scalar":
        return reading.fault(node, "words should stand here", "write one text")
    if node.tag.endswith((":bool", ":null")):
        return reading.fault(
            node, f'"{node.value}" means yes, no or nothing to YAML', "put it in quotes, or leave the key out"
        )
    return str(node.value)


def truth(node: Node, reading: Reading) -> Any:
    """true or false."""
    if node.id != "scalar" or not node.tag.endswith(":bool"):
        return reading.fault(node, "true or false should stand here", "write true or false")
    return str(node.value).lower() in ("true", "yes", "on")


def number(low: float = -inf, high: float = inf) -> Reads:
    """A number from `low` to `high`, without a unit."""

    def reads(node: Node, reading: Reading) -> Any:
        value = _float(node)
        if value is None:
            said = f'"{node.value}"' if node.id == "scalar" else "this"
            return reading.fault(
                node, f"{said} is no number", "write a number with a decimal point and without a unit"
            )
        if not low <= value <= high:
            return reading.fault(
                node, f"{value:g} lies outside {low:g} to {high:g}", "check the figure and its unit"
            )
        return value

    return reads


def _float(node: Node) -> float | None:
    if node.id != "scalar" or not node.tag.endswith((":int", ":float")):
        return None
    try:
        value = float(node.value)
    except ValueError:
        return None
    return value if isfinite(value) else None


def whole(node: Node, reading: Reading) -> Any:
    """A whole number."""
    value = number()(node, reading)
    if value is BAD:
        return BAD
    return (
        int(value)
        if value == int(value)
        else reading.fault(node, f"{value:g} is not whole", "write a whole number")
    )


def one_of(*allowed: str) -> Reads:
    """One of a closed set of words."""

    def reads(node: Node, reading: Reading) -> Any:
        word = text(node, reading)
        if word is BAD or word in allowed:
            return word
        near = nearest(word, allowed)
        return reading.fault(
            node,
            f'"{word}" is none of {", ".join(allowed)}',
            f"write {near}" if near else "write one of these",
        )

    return reads


def refers_to(*kinds: str) -> Reads:
    """An id that one of these kinds of entry must hold."""

    def reads(node: Node, reading: Reading) -> Any:
        name = text(node, reading)
        if name is not BAD:
            reading.refer(node, kinds, name)
        return name

    return reads


def pattern(form: str, like: str) -> Reads:
    """Words of a certain form, shown by an example."""

    def reads(node: Node, reading: Reading) -> Any:
        word = text(node, reading)
        if word is BAD or re.fullmatch(form, word):
            return word
        return reading.fault(node, f'"{word}" has not the form it should have', f"write it like {like}")

    return reads


def comparison(*units: str) -> Reads:
    """A comparison such as ">= 3" or "3..5", kept as text; `units` are those that may stand behind it."""

    def reads(node: Node, reading: Reading) -> Any:
        word = text(node, reading)
        if word is BAD:
            return BAD
        try:
            found = Comparison.parse(word)
        except ValueError as error:
            return reading.fault(
                node, str(error).partition(";")[0], 'write one like ">= 3", "< 2", "== 1", "3..5"'
            )
        if found.unit and found.unit not in units:
            return reading.fault(
                node, f'"{found.unit}" is no unit of this', f"write {' or '.join(units) or 'no unit'}"
            )
        return word

    return reads


# ---- several ----


def listing(reads: Reads) -> Reads:
    """A list; what can't be read is left out of it."""

    def reads_list(node: Node, reading: Reading) -> Any:
        if node.id != "sequence":
            return reading.fault(node, "a list should stand here", "write [one, another]")
        return tuple(value for each in node.value if (value := reads(each, reading)) is not BAD)

    return reads_list


def one_or_more(reads: Reads) -> Reads:
    """One thing, or a list of them, always kept as a list."""

    def reads_either(node: Node, reading: Reading) -> Any:
        if node.id == "sequence":
            return listing(reads)(node, reading)
        value = reads(node, reading)
        return value if value is BAD else (value,)

    return reads_either


def table(reads: Reads, key: Reads = text) -> Reads:
    """A mapping from any key that `key` allows to things of one kind."""

    def reads_table(node: Node, reading: Reading) -> Any:
        found = {}
        for name, key_node, value_node in pairs(node, reading):
            value = reads(value_node, reading)
            if key is not text and key(key_node, reading) is BAD:
                continue
            if value is not BAD:
                found[name] = value
        return found

    return reads_table


def pairs(node: Node, reading: Reading) -> Sequence[tuple[str, Node, Node]]:
    """Keys with their values, no key twice. A key's own text is taken, whatever YAML holds it for: "no" is
    a language."""
    if node.id != "mapping":
        reading.fault(node, "keys and values should stand here", "write {key: value}")
        return ()
    found: dict[str, tuple[str, Node, Node]] = {}
    for key_node, value_node in node.value:
        name = str(key_node.value)
        if name in found:
            reading.fault(key_node, f'"{name}" stands here twice', "keep one of them")
        else:
            found[name] = (name, key_node, value_node)
    return tuple(found.values())


def form(keys: Mapping[str, Key], what: str) -> Reads:
    """A mapping with a closed set of keys."""
    required = tuple(name for name, key in keys.items() if key.required)

    def reads(node: Node, reading: Reading) -> Any:
        if node.id != "mapping":
            return reading.fault(
                node, f"{what} should stand here", f"write its keys: {', '.join(required or keys)}"
            )
        found: dict[str, Any] = {}
        given = set()
        for name, key_node, value_node in pairs(node, reading):
            given.add(name)
            if name not in keys:
                _unknown_key(name, key_node, value_node, keys, what, reading)
                continue
            value = keys[name].reads(value_node, reading)
            if value is not BAD:
                found[keys[name].to or name] = value
        missing = [name for name in required if name not in given]
        if missing:
            return reading.fault(node, f"{what} needs {' and '.join(missing)}", f"write {missing[0]}: ...")
        return BAD if any((keys[name].to or name) not in found for name in required) else found

    return reads


def _unknown_key(
    name: str, key_node: Node, value_node: Node, keys: Mapping[str, Key], what: str, reading: Reading
) -> None:
    if value_node.tag.endswith(":null"):
        mend = "a comma ends a text inside {}: put the whole text in quotes"
        reading.fault(key_node, f'"{name}" is a key without a value', mend)
        return
    near = nearest(name, keys)
    mend = f"did you mean {near}?" if near else f"its keys are {', '.join(keys)}"
    reading.fault(key_node, f'"{name}" is no key of {what}', mend, (near,) if near else ())
