"""Reads `rules/` into a rulebook, and lays a person's own shelf over it.

The files are read and validated once; the plain data are then kept in the user's cache folder, under the
hash of all files, so that the next start needs no YAML.
"""

import tempfile
from collections.abc import Iterable, Mapping
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import msgpack
from platformdirs import user_cache_path, user_data_path

from assistant.rulebook.build import rulebook
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Fault, Place
from assistant.words.places import packaged

if TYPE_CHECKING:
    from assistant.rulebook.nodes import Reading, Reference

FORMS = ("forms.py", "nodes.py", "conditions.py")
"""Modules that decide what is read from a file: when they change, what was cached counts no more."""
KEPT = 6
"""Cached rulebooks kept: with and without a shelf, before and after an edit."""
_HASH_BYTES = 16


def load(extra: Path | None = None, *, fresh: bool = False) -> tuple[Rulebook, tuple[Fault, ...]]:
    """The rulebook, with all faults of its files at once.

    Entries of the folder `extra`, or else of the folder `shelf` in the user's data folder where there is
    one, are laid over the packaged ones: same ids are replaced, new ones added. `fresh` reads all files
    anew, whatever the cache holds.

    >>> book, faults = load()
    >>> book.functions["fat"].unit
    'g fat'
    """
    shelf = _own_shelf() if extra is None else extra
    files = [*_files(packaged("rules"), "rules"), *(() if shelf is None else _files(shelf, str(shelf)))]
    digest = _digest([*_forms(), *files])
    kept = None if fresh else _cached(digest)
    if kept is None:
        packed = msgpack.packb(_read(files))
        _keep(digest, packed)
        kept = _unpacked(packed)
    faults = tuple(
        Fault(Place(*where), what, mend, stops, kind, choices)
        for where, what, mend, stops, kind, choices in kept["faults"]
    )
    return rulebook(kept["entries"], kept["places"], digest), faults


def _own_shelf() -> Path | None:
    shelf = user_data_path("crumbwright", appauthor=False) / "shelf"
    return shelf if shelf.is_dir() else None


class _File:
    """A file of rules: whose it is, its path below the folder, its bytes."""

    __slots__ = ("bytes", "layer", "path")

    def __init__(self, layer: str, path: Path, content: bytes) -> None:
        self.layer = layer
        self.path = path
        self.bytes = content

    @property
    def name(self) -> str:
        """What faults call it."""
        return f"{self.layer}/{self.path.as_posix()}"


def _files(folder: Path, layer: str) -> Iterable[_File]:
    for path in sorted(folder.rglob("*.yaml")):
        yield _File(layer, path.relative_to(folder), path.read_bytes())


def _forms() -> Iterable[_File]:
    here = Path(__file__).parent
    return (_File("forms", Path(name), (here / name).read_bytes()) for name in FORMS)


def _digest(files: Iterable[_File]) -> str:
    """Of names and contents."""
    digest = blake2b(digest_size=_HASH_BYTES)
    for file in files:
        for part in (file.name.encode(), file.bytes):
            digest.update(len(part).to_bytes(8, "big"))
            digest.update(part)
    return digest.hexdigest()


# ---- the cache ----


def _folder() -> Path:
    return user_cache_path("crumbwright", appauthor=False)


def _unpacked(packed: bytes) -> dict[str, Any]:
    return cast(dict[str, Any], msgpack.unpackb(packed, use_list=False))


def _cached(digest: str) -> dict[str, Any] | None:
    """What the cache holds under a digest; None when it holds nothing, or nothing whole."""
    try:
        content = (_folder() / _cache_name(digest)).read_bytes()
    except OSError:
        return None
    seal, packed = content[:_HASH_BYTES], content[_HASH_BYTES:]
    return _unpacked(packed) if blake2b(packed, digest_size=_HASH_BYTES).digest() == seal else None


def _cache_name(digest: str) -> str:
    return f"rules-{digest}.msgpack"


def _keep(digest: str, packed: bytes) -> None:
    """Write the cache whole or not at all; a folder that can't be written only costs time."""
    with suppress(OSError):
        folder = _folder()
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=folder, suffix=".part", delete=False) as part:
            part.write(blake2b(packed, digest_size=_HASH_BYTES).digest() + packed)
        Path(part.name).replace(folder / _cache_name(digest))
        kept = sorted(folder.glob("rules-*.msgpack"), key=lambda path: (path.stat().st_mtime, path.name))
        for old in kept[:-KEPT]:
            old.unlink()


# ---- reading the files ----


def _read(files: list[_File]) -> dict[str, Any]:
    """Entries by kind, where they stand, and faults, as plain data."""
    from assistant.rulebook.forms import ENTRIES, FOLDERS
    from assistant.rulebook.nodes import Reading

    kinds = {folder: kind for kind, folder in FOLDERS.items()}
    layers: dict[str, dict[str, dict[str, tuple[dict[str, Any], Place]]]] = {}
    faults: list[Fault] = []
    references: list[Reference] = []
    for file in files:
        reading = Reading(file.name)
        kind = kinds.get(file.path.parts[0].removesuffix(".yaml"))
        if kind is None:
            known = ", ".join(sorted(kinds))
            faults.append(
                Fault(
                    Place(file.name),
                    "no kind of rule stands in a file of this name",
                    f"name it or its folder {known}",
                )
            )
            continue
        layer = layers.setdefault(file.layer, {name: {} for name in ENTRIES})
        for entry_id, (entry, place) in _entries(file, kind, reading).items():
            if entry_id in layer[kind]:
                first = layer[kind][entry_id][1]
                reading.faults.append(
                    Fault(place, f"{entry_id} stands in {first} too", "give one of them another id")
                )
            else:
                layer[kind][entry_id] = entry, place
        faults += reading.faults
        references += reading.references
    merged = {kind: _overlaid(kind, [layer[kind] for layer in layers.values()]) for kind in ENTRIES}
    faults += _unknown(references, merged)
    _give_units(merged)
    return {
        "entries": {
            kind: {entry_id: entry for entry_id, (entry, _) in found.items()}
            for kind, found in merged.items()
        },
        "places": {
            f"{kind}/{entry_id}": (place.source, place.line)
            for kind, found in merged.items()
            for entry_id, (_, place) in found.items()
        },
        "faults": [
            (
                (fault.where.source, fault.where.line),
                fault.what,
                fault.mend,
                fault.stops,
                fault.kind,
                fault.choices,
            )
            for fault in sorted(faults, key=lambda f: (f.where.source, f.where.line or 0, f.what))
        ],
    }


def _entries(file: _File, kind: str, reading: "Reading") -> dict[str, tuple[dict[str, Any], Place]]:
    import yaml

    from assistant.rulebook.forms import entries
    from assistant.rulebook.nodes import Node

    try:
        document = yaml.compose(file.bytes.decode("utf-8"), Loader=yaml.CSafeLoader)
    except UnicodeDecodeError as error:
        line = file.bytes[: error.start].count(b"\n") + 1
        reading.faults.append(
            Fault(Place(file.name, line), "this is not UTF-8 text", "save the file as UTF-8")
        )
        return {}
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = Place(file.name, None if mark is None else mark.line + 1)
        said = " ".join(part for part in (error.context, error.problem) if part)
        reading.faults.append(
            Fault(
                place,
                f"this is no YAML: {said}",
                "check brackets, quotes, colons and how far lines are indented",
            )
        )
        return {}
    except yaml.YAMLError as error:
        reading.faults.append(
            Fault(Place(file.name), f"this is no YAML: {error}", "save the file as plain text")
        )
        return {}
    return {} if document is None else entries(kind, file.path.stem, cast(Node, document), reading)


def _give_units(merged: Mapping[str, Mapping[str, Any]]) -> None:
    """What an ingredient does is counted in its functions' units; an unknown function has a fault already."""
    units = {function_id: entry["unit"] for function_id, (entry, _) in merged["functions"].items()}
    for entry, _ in merged["ingredients"].values():
        if "does" in entry:
            does = {
                name: (found[0], units.get(name, ""), *found[2:]) for name, found in entry["does"].items()
            }
            entry["does"] = does


_ORDERED = ("products", "functions", "turns")
"""Kinds whose order is the author's; all others go by id."""


def _overlaid(kind: str, layers: list[Mapping[str, Any]]) -> dict[str, Any]:
    """Entries of all layers, later ones over earlier. Where order counts, an entry that is new on a shelf
    stands first: a person's own product is more particular than the packaged ones."""
    merged: dict[str, Any] = {}
    for layer in layers:
        merged = (
            {entry_id: entry for entry_id, entry in layer.items() if entry_id not in merged}
            | merged
            | dict(layer)
        )
    return merged if kind in _ORDERED else dict(sorted(merged.items()))


def _unknown(references: Iterable["Reference"], merged: Mapping[str, Mapping[str, Any]]) -> Iterable[Fault]:
    """A fault for every id that no entry holds, once in a file, where it first stands."""
    from assistant.rulebook.names import nearest

    known: dict[str, set[str]] = {kind: set(entries) for kind, entries in merged.items()}
    known["step kinds"] = {entry["kind"] for entry, _ in merged["steps"].values()}
    missing: dict[tuple[str, str, tuple[str, ...]], list[Place]] = {}
    for reference in references:
        if not any(reference.id in known[kind] for kind in reference.kinds):
            missing.setdefault((reference.place.source, reference.id, reference.kinds), []).append(
                reference.place
            )
    for (_, name, kinds), places in missing.items():
        near = nearest(name, {entry_id for kind in kinds for entry_id in known[kind]})
        again = f" (named {len(places)} times in this file)" if len(places) > 1 else ""
        yield Fault(
            places[0],
            f'"{name}" is no known {" or ".join(_CALLED[kind] for kind in kinds)}{again}',
            f"did you mean {near}?" if near else "name one that is, or add it",
            choices=(near,) if near else (),
        )


_CALLED = {
    "ingredients": "ingredient",
    "classes": "class",
    "functions": "function",
    "sources": "source",
    "products": "product class",
    "needs": "need",
    "cautions": "caution",
    "allergens": "allergen",
    "acids": "acid or base",
    "step kinds": "kind of step",
}
