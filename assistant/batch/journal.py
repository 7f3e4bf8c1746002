"""What an interrupted run leaves behind, so that the next one goes on where it ended.

A folder holds `journal.jsonl`, whose first line is the request and whose others say, one for each chunk of
recipes written, how far both growing files then reached. What stands beyond the last whole line of the
journal was cut off in the middle; it is dropped and done again. The growing files have `.partial` in their
names until all recipes are done.
"""

import json
import os
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from functools import reduce
from io import FileIO
from operator import add
from pathlib import Path
from typing import Any

from assistant.batch.summary import NOTHING, Result, Tally, as_csv, as_json, tally_of
from assistant.formula.write import save
from assistant.words.faults import Fault, Place

JOURNAL = "journal.jsonl"
GROWING = ("results", "unreadable")
_ENTRY = frozenset(("units", "seen", "finished", *GROWING, "outcomes", "because"))
SYNC_S = 2.0
"""Seconds between two syncs to the disk: what a power cut may cost. A killed process costs nothing."""
_ROOM = "make room, then give the same command again: with --out it goes on where it ended"
_ANEW = "name another folder with --out, or remove this one to start anew"


class NotWritten(Exception):
    """Something could not be written; the fault says what and why."""

    def __init__(self, where: object, error: OSError | Fault) -> None:
        said = (
            error
            if isinstance(error, Fault)
            else _refused(where, f"this can't be written: {_said(error)}", _ROOM)
        )
        super().__init__(said.sentence)
        self.fault = said


def _refused(where: object, what: str, mend: str) -> Fault:
    return Fault(Place(str(where)), what, mend, kind="not possible")


def _said(error: OSError) -> str:
    return error.strerror or str(error)


class Journal:
    """The files of a run, open and locked; made by `begin`.

    `units` inputs are done, `seen` stands for what they were, and `tally` counts what became of them.
    """

    def __init__(self, folder: Path, file: FileIO, entries: list[dict[str, Any]]) -> None:
        last = entries[-1] if entries else {}
        self.units: int = last.get("units", 0)
        self.seen: str = last.get("seen", "")
        self.finished: bool = last.get("finished", False)
        self.tally: Tally = reduce(add, (Tally(e["outcomes"], e["because"]) for e in entries), NOTHING)
        self.folder = folder
        self._reached: dict[str, int] = {name: last.get(name, 0) for name in GROWING}
        self._files = {JOURNAL: file}
        self._synced_s = time.monotonic()
        if not self.finished:
            self._files |= {name: _cut(_partial(folder, name), self._reached[name]) for name in GROWING}

    def write(self, results: Iterable[Result], units: int, seen: str) -> None:
        """Write what became of the next inputs, and that `units` of them are done, which `seen` stands for.

        Errors: NotWritten; the run ends, and the next one goes on from here.
        """
        results = tuple(results)
        for name in GROWING:
            documents = [
                r.document + b"\n" for r in results if (r.outcome == "unreadable") == (name == "unreadable")
            ]
            self._append(name, b"".join(documents))
            self._reached[name] += sum(map(len, documents))
        self.units += units
        self.seen = seen
        counted = tally_of(results)
        self.tally += counted
        self._note(counted)
        if time.monotonic() - self._synced_s > SYNC_S:
            self._sync()

    def finish(self) -> None:
        """All is done: the files get their final names, and the counts are written.

        Errors: NotWritten.
        """
        if not self.finished:
            self._sync()
            self.finished = True
            self._note(NOTHING)
        self._sync()
        for name in GROWING:
            partial = _partial(self.folder, name)
            try:
                if name in self._files:
                    self._files.pop(name).close()
                if partial.exists():
                    partial.replace(_final(self.folder, name))
            except OSError as error:
                raise NotWritten(partial, error) from error
        for name, text in (("summary.csv", as_csv(self.tally)), ("summary.json", as_json(self.tally))):
            fault = save(self.folder / name, text, overwrite=True)
            if fault is not None:
                raise NotWritten(name, fault)

    def close(self) -> None:
        """Let go of the files, and of the lock."""
        for file in self._files.values():
            with suppress(OSError):
                file.close()

    def _note(self, counted: Tally) -> None:
        entry = {"units": self.units, "seen": self.seen, "finished": self.finished, **self._reached}
        self._append(JOURNAL, _line({**entry, "outcomes": counted.outcomes, "because": counted.because}))

    def _append(self, name: str, content: bytes) -> None:
        left = memoryview(content)
        try:
            while left:
                left = left[self._files[name].write(left) :]
        except OSError as error:
            raise NotWritten(self._files[name].name, error) from error

    def _sync(self) -> None:
        """The growing files first, so that the journal never promises what the disk does not hold."""
        self._synced_s = time.monotonic()
        for name in (*GROWING, JOURNAL):
            file = self._files.get(name)
            try:
                if file is not None:
                    os.fsync(file.fileno())
            except OSError as error:
                raise NotWritten(name, error) from error


def begin(folder: Path, request: Mapping[str, Any]) -> Journal | Fault:
    """The journal of a folder for a request, new or gone on with; a fault when the folder is no place for it."""
    path = folder / JOURNAL
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            taken = [
                p.name
                for name in GROWING
                for p in (_final(folder, name), _partial(folder, name))
                if p.exists()
            ]
            if taken:
                return _refused(folder, f"there is {taken[0]} already, and no journal to go on with", _ANEW)
            fault = save(path, _line(request).decode())
            if fault is not None:
                return fault
        file = FileIO(path, "r+b")
    except OSError as error:
        return _refused(
            folder, f"this can't be a folder for results: {_said(error)}", "name another with --out"
        )
    fault = (
        None
        if _locked(file)
        else _refused(folder, "another run is writing there", "let it end, or name another folder with --out")
    )
    entries: list[dict[str, Any]] = []
    if fault is None:
        head, *entries = _whole_lines(file) or [{}]
        fault = _other(folder, head, json.loads(_line(request))) or _gone(folder, entries)
    if fault is not None:
        file.close()
        return fault
    try:
        return Journal(folder, file, _held(file, folder, entries))
    except OSError as error:
        file.close()
        return _refused(folder, f"the results can't be gone on with: {_said(error)}", _ANEW)


def _other(folder: Path, head: Mapping[str, Any], request: Mapping[str, Any]) -> Fault | None:
    """A fault when the folder holds the results of another request."""
    differing = [key for key in request if head.get(key) != request[key]]
    if not differing:
        return None
    return _refused(
        folder, f"this holds results of another request, with other {', '.join(differing)}", _ANEW
    )


def _gone(folder: Path, entries: list[dict[str, Any]]) -> Fault | None:
    """A fault when all was done here, and the results have been taken away."""
    if not entries or not entries[-1]["finished"]:
        return None
    gone = [
        name for name in GROWING if not (_final(folder, name).exists() or _partial(folder, name).exists())
    ]
    return _refused(folder, f"all was done here, but {gone[0]}.jsonl is gone", _ANEW) if gone else None


def changed(folder: Path) -> Fault:
    """What is said when the recipes done before are not those of this run."""
    return _refused(folder, "the recipes done here before have changed since", _ANEW)


def _locked(file: FileIO) -> bool:
    """Whether the file is this run's alone, where the system can tell. The lock goes with the process."""
    try:
        import fcntl
    except ImportError:
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _whole_lines(file: FileIO) -> list[dict[str, Any]]:
    """What the journal says, up to its last whole line."""
    found: list[dict[str, Any]] = []
    for line in file.readall().splitlines(keepends=True):
        try:
            entry = json.loads(line) if line.endswith(b"\n") else None
        except ValueError:
            entry = None
        if not isinstance(entry, dict) or (found and not entry.keys() >= _ENTRY):
            break
        found.append(entry)
    return found


def _held(file: FileIO, folder: Path, entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Entries that the growing files bear out; the journal is cut back to them.

    A power cut can leave the journal ahead of the other files.
    """
    sizes_bytes = {name: _size_bytes(_partial(folder, name)) for name in GROWING}
    kept = list(entries)
    while kept and not kept[-1]["finished"] and any(kept[-1][name] > sizes_bytes[name] for name in GROWING):
        kept.pop()
    file.seek(0)
    lines = file.readall().splitlines(keepends=True)[: len(kept) + 1]
    end = sum(map(len, lines))
    file.truncate(end)
    file.seek(end)
    return kept


def _size_bytes(path: Path) -> int:
    return path.stat().st_size if path.exists() else 0


def _cut(path: Path, end: int) -> FileIO:
    """A growing file, open to go on behind its first `end` bytes."""
    file = FileIO(path, "r+b" if path.exists() else "wb")
    file.truncate(end)
    file.seek(end)
    return file


def _partial(folder: Path, name: str) -> Path:
    return folder / f"{name}.partial.jsonl"


def _final(folder: Path, name: str) -> Path:
    return folder / f"{name}.jsonl"


def _line(entry: Mapping[str, Any]) -> bytes:
    return json.dumps(entry, ensure_ascii=False).encode("utf-8", "backslashreplace") + b"\n"
