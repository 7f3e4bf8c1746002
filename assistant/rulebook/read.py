"""Reads `rules/` into a rulebook, and lays a person's own shelf over it.

The files are read and validated once; the plain data are then kept in the user's cache folder, under the
hash of all files, so that the next start needs no YAML. Each layer is kept by itself too, so that an edit on
a shelf does not have the packaged rules read again.
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
from assistant.words.waste import undisturbed

if TYPE_CHECKING:
    from assistant.rulebook.nodes import Reading

FORMS = ("forms.py", "nodes.py", "conditions.py", "merge.py", "packet.py")
"""Modules that decide what is read from a file: when they change, what was cached counts no more."""
KEPT = 6
"""Cached rulebooks kept, those last used, and as many layers: with and without a shelf, around an edit."""
_HASH_BYTES = 16


def load(
    extra: Path | None = None, *, fresh: bool = False, instead: Mapping[Path, bytes | None] | None = None
) -> tuple[Rulebook, tuple[Fault, ...]]:
    """The rulebook, with all faults of its files at once.

    Entries of the folder `extra`, or else of the folder `shelf` in the user's data folder where there is
    one, are laid over the packaged ones: same ids are replaced, new ones added. `fresh` reads all files
    anew, whatever the cache holds. `instead` are files of the shelf as they would be: their new content, or
    None for one that goes.

    >>> book, faults = load()
    >>> book.functions["fat"].unit
    'g fat'
    """
    shelf = own_shelf() if extra is None else extra
    layers = [_files(packaged("rules"), "rules")]
    if shelf.is_dir() or instead:
        layers.append(_with(_files(shelf, str(shelf)), str(shelf), instead or {}))
    with undisturbed():
        return _loaded(layers, fresh)


def own_shelf() -> Path:
    """The folder of a person's own rules, where none is named; it need not exist."""
    return user_data_path("crumbwright", appauthor=False) / "shelf"


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


def _files(folder: Path, layer: str) -> list[_File]:
    paths = sorted(folder.rglob("*.yaml"))
    return [_File(layer, path.relative_to(folder), path.read_bytes()) for path in paths]


def _with(files: list[_File], layer: str, instead: Mapping[Path, bytes | None]) -> list[_File]:
    """The files of a layer with some changed, new or gone."""
    kept = [file for file in files if file.path not in instead]
    new = [_File(layer, path, content) for path, content in instead.items() if content is not None]
    return sorted((*kept, *new), key=lambda file: file.path)


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


def _loaded(layers: list[list[_File]], fresh: bool) -> tuple[Rulebook, tuple[Fault, ...]]:
    """The rulebook of some layers, from the cache where it has been read before."""
    digest = _digest([*_forms(), *(file for layer in layers for file in layer)])
    kept = None if fresh else _cached("rules", digest)
    if kept is None:
        from assistant.rulebook.merge import merged

        kept = _kept("rules", digest, merged([_read(layer) if fresh else _layer(layer) for layer in layers]))
    faults = tuple(Fault(Place(*where), *rest) for where, *rest in kept["faults"])
    return rulebook(kept["entries"], kept["places"], digest), faults


# ---- the cache ----


def _folder() -> Path:
    return user_cache_path("crumbwright", appauthor=False)


def _cached(what: str, digest: str) -> Any:
    """What the cache holds under a digest; None when it holds nothing, or nothing whole."""
    path = _folder() / f"{what}-{digest}.msgpack"
    try:
        content = path.read_bytes()
    except OSError:
        return None
    with suppress(OSError):
        path.touch()
    seal, packed = content[:_HASH_BYTES], content[_HASH_BYTES:]
    whole = blake2b(packed, digest_size=_HASH_BYTES).digest() == seal
    return msgpack.unpackb(packed, use_list=False) if whole else None


def _kept(what: str, digest: str, plain: Any) -> Any:
    """Put plain data into the cache, whole or not at all; a folder that can't be written only costs time.

    Returns the data as the cache would give them back.
    """
    packed = msgpack.packb(plain)
    with suppress(OSError):
        folder = _folder()
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=folder, suffix=".part", delete=False) as part:
            part.write(blake2b(packed, digest_size=_HASH_BYTES).digest() + packed)
        Path(part.name).replace(folder / f"{what}-{digest}.msgpack")
        kept = sorted(folder.glob(f"{what}-*.msgpack"), key=lambda path: (path.stat().st_mtime, path.name))
        for old in kept[:-KEPT]:
            old.unlink()
    return msgpack.unpackb(packed, use_list=False)


# ---- reading the files ----


def _layer(files: list[_File]) -> Any:
    """What the files of one layer say; from the cache where it has been read before."""
    digest = _digest([*_forms(), *files])
    kept = _cached("layer", digest)
    return _kept("layer", digest, _read(files)) if kept is None else kept


def _read(files: list[_File]) -> dict[str, Any]:
    """A layer as `merge` wants it."""
    from assistant.rulebook.forms import ENTRIES, FOLDERS
    from assistant.rulebook.merge import plain_fault
    from assistant.rulebook.nodes import Reading

    kinds = {folder: kind for kind, folder in FOLDERS.items()}
    entries: dict[str, dict[str, Any]] = {kind: {} for kind in ENTRIES}
    places: dict[str, Place] = {}
    faults: list[Fault] = []
    references: dict[tuple[tuple[str, ...], str, str], tuple[int | None, int]] = {}
    for file in files:
        reading = Reading(file.name)
        kind = kinds.get(file.path.parts[0].removesuffix(".yaml"))
        if kind is None:
            mend = f"name it or its folder {', '.join(sorted(kinds))}"
            faults.append(Fault(Place(file.name), "no kind of rule stands in a file of this name", mend))
            continue
        for entry_id, (entry, place) in _entries(file, kind, reading).items():
            first = places.setdefault(f"{kind}/{entry_id}", place)
            if first is place:
                entries[kind][entry_id] = entry
            else:
                what = f"{entry_id} stands in {first} too"
                reading.faults.append(Fault(place, what, "give one of them another id"))
        faults += reading.faults
        for each in reading.references:
            key = (each.kinds, each.id, each.place.source)
            line, times = references.get(key, (each.place.line, 0))
            references[key] = line, times + 1
    return {
        "entries": entries,
        "places": {key: (place.source, place.line) for key, place in places.items()},
        "faults": [plain_fault(fault) for fault in faults],
        "references": [(*key, line, times) for key, (line, times) in references.items()],
    }


def _entries(file: _File, kind: str, reading: "Reading") -> dict[str, tuple[dict[str, Any], Place]]:
    """The entries of one file; a file that is no YAML has none, and a fault."""
    import yaml

    from assistant.rulebook.forms import entries
    from assistant.rulebook.nodes import Node

    try:
        document = yaml.compose(file.bytes.decode("utf-8"), Loader=yaml.CSafeLoader)
    except UnicodeDecodeError as error:
        line = file.bytes[: error.start].count(b"\n") + 1
        fault = Fault(Place(file.name, line), "this is not UTF-8 text", "save the file as UTF-8")
    except yaml.YAMLError as error:
        fault = _no_yaml(file, error)
    else:
        return {} if document is None else entries(kind, file.path.stem, cast(Node, document), reading)
    reading.faults.append(fault)
    return {}


def _no_yaml(file: _File, error: Exception) -> Fault:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    said = " ".join(part for name in ("context", "problem") if (part := getattr(error, name, None)))
    return Fault(
        Place(file.name, None if mark is None else mark.line + 1),
        f"this is no YAML: {said or error}",
        "check brackets, quotes, colons and how far lines are indented",
    )
