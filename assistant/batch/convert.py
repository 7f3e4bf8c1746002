"""Converting many recipes: read, adapted and written one chunk after another, in the order they came in."""

import gc
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import CancelledError
from contextlib import closing, nullcontext
from dataclasses import dataclass
from functools import partial
from hashlib import blake2b
from itertools import chain, islice
from pathlib import Path
from threading import Lock
from typing import Any, BinaryIO, TextIO
from uuid import uuid4

import orjson

from assistant import __version__
from assistant.batch.cluster import reach
from assistant.batch.journal import Journal, NotWritten, begin, changed
from assistant.batch.progress import Progress
from assistant.batch.summary import NOTHING, Outcome, Result, Summary, table, tally_of
from assistant.batch.workers import Here, Processes, Workers, cores, in_order
from assistant.formula.collection import Found, Sheet, recipes_on, sheets_in
from assistant.formula.model import Formula
from assistant.plan.model import Options
from assistant.publish import document
from assistant.rulebook.model import Rulebook
from assistant.rulebook.read import load
from assistant.words.faults import Fault, Place
from assistant.words.waste import undisturbed

Convert = Callable[[Sequence[Formula]], Sequence[Options]]
Unit = Sheet | Found
"""What is given out: a text still to be read, or a recipe read from a text too long to be given out whole."""
CHUNK = 64
CHUNK_CHARS = 500_000
LONG_CHARS = 200_000
"""A text of JSON longer than this is read where it is found, and its recipes are given out one by one."""


@dataclass(frozen=True, slots=True)
class Task:
    """What every worker does: `make` gives the conversion, from the rulebook loaded there once.

    `digest` is the rulebook's, which has to be the same everywhere; `key` tells tasks apart.
    """

    make: Callable[[Rulebook], Convert]
    shelf: Path | None
    digest: str
    key: str


class OtherRules(Exception):
    """A worker has other rules than this process."""


@dataclass(frozen=True, slots=True)
class Job:
    """A request over many recipes. `asked` is all of it that decides the results, as JSON.

    `out` is the folder for results, gone on with if it holds some; `workers` processes, 0 for one on
    each core; `cluster` the address of a Dask scheduler.
    """

    paths: tuple[Path, ...]
    make: Callable[[Rulebook], Convert]
    asked: Mapping[str, Any]
    shelf: Path | None = None
    out: Path | None = None
    workers: int = 0
    cluster: str = ""


# -- what goes in ---------------------------------------------------------------------------------


def _sheets(job: Job) -> Iterator[Sheet]:
    return chain.from_iterable(sheets_in(path, job.out) for path in job.paths)


def nothing_in(job: Job) -> Fault | None:
    """A fault when no path leads to anything to read: missing files, folders without a recipe."""
    faults = []
    for path in job.paths:
        sheet = next(sheets_in(path, job.out), None)
        if sheet is None or not sheet.faults or path.is_file() or sheet.key != str(path):
            return None
        faults.append(sheet.faults[0])
    return faults[0]


def units_in(job: Job, book: Rulebook) -> Iterator[Unit]:
    """All that is to be converted, in its order."""
    for sheet in _sheets(job):
        if sheet.form == "json" and len(sheet.text) > LONG_CHARS:
            yield from recipes_on(sheet, book)
        else:
            yield sheet


def chunked(units: Iterable[Unit]) -> Iterator[tuple[Unit, ...]]:
    """Units a few at a time, fewer when they are long."""
    chunk: list[Unit] = []
    chars = 0
    for unit in units:
        chunk.append(unit)
        chars += len(unit.text) if isinstance(unit, Sheet) else 0
        if len(chunk) == CHUNK or chars > CHUNK_CHARS:
            yield tuple(chunk)
            chunk, chars = [], 0
    if chunk:
        yield tuple(chunk)


class _Seen:
    """A running fingerprint of the units done, to tell whether they are the same next time."""

    def __init__(self) -> None:
        self._hash = blake2b(digest_size=16)

    @property
    def now(self) -> str:
        """What stands for all units so far."""
        return self._hash.hexdigest()

    def add(self, units: Iterable[Unit]) -> str:
        """What stands for all units so far, and these."""
        for unit in units:
            said = unit.text if isinstance(unit, Sheet) else repr(unit.formula)
            for part in (unit.key, said):
                content = part.encode("utf-8", "surrogatepass")
                self._hash.update(len(content).to_bytes(8, "big") + content)
        return self.now


# -- what a worker does ---------------------------------------------------------------------------

_ready: dict[str, tuple[Rulebook, Convert]] = {}
_loading = Lock()


def _at_hand(task: Task) -> tuple[Rulebook, Convert]:
    """Rulebook and conversion of a task, kept for its next chunk.

    Errors: OtherRules.
    """
    with _loading:
        if task.key not in _ready:
            book, _ = load(task.shelf)
            if book.digest != task.digest:
                raise OtherRules
            _lay_out(task, book)
        return _ready[task.key]


def _lay_out(task: Task, book: Rulebook) -> None:
    """Keep what a task needs at hand; it lasts as long as the work, so that nobody has to look for waste in it."""
    _ready.clear()
    _ready[task.key] = book, task.make(book)
    gc.freeze()


def work(task: Task, units: tuple[Unit, ...]) -> list[list[Result]]:
    """What becomes of the recipes of each unit. By the end all that was made for them is gone by itself.

    Errors: OtherRules.
    """
    book, convert = _at_hand(task)
    with undisturbed():
        found = [_read(unit, book) for unit in units]
        results = iter(_results([each for of_unit in found for each in of_unit], convert))
        return [list(islice(results, len(of_unit))) for of_unit in found]


def _read(unit: Unit, book: Rulebook) -> list[Found]:
    if isinstance(unit, Found):
        return [unit]
    try:
        return list(recipes_on(unit, book))
    except Exception as error:
        return [_failed(unit.key, "reading it", error)]


def _results(found: Sequence[Found], convert: Convert) -> list[Result]:
    """All converted together; when that fails, one by one."""
    try:
        told = iter(convert([each.formula for each in found if each.formula is not None]))
        return [set_aside(each) if each.formula is None else _result(each.key, next(told)) for each in found]
    except Exception as error:
        if len(found) == 1:
            return [set_aside(_failed(found[0].key, "working it out", error))]
        return [result for each in found for result in _results((each,), convert)]


def _failed(key: str, doing: str, error: Exception) -> Found:
    """A mistake of the program's own: it may cost one recipe, and must not end a run over many."""
    what = f"{doing} failed: {type(error).__name__} {error}".strip()
    return Found(key, None, (Fault(Place(key), what, "do without it, and report it with this sentence"),))


def set_aside(found: Found) -> Result:
    """A recipe that can't be read, with the reasons."""
    faults = [{"where": str(f.where), "what": f.what, "mend": f.mend} for f in found.faults]
    stopping = next((f for f in found.faults if f.stops), found.faults[0])
    return Result("unreadable", _json({"recipe": found.key, "faults": faults}), stopping.sentence)


def _spoilt(unit: Unit) -> list[Result]:
    what = "the process working on it was killed, again and again: it may need more memory than there is"
    return [set_aside(Found(unit.key, None, (Fault(Place(unit.key), what, "try it alone"),)))]


def _result(key: str, told: Options) -> Result:
    """A recipe worked out; with cautions where the plan calls for one that the recipe did not, or leaves a doubt."""
    line = _json({"recipe": key, **document.adapted(told)})
    if not told.options:
        said = f"{told.base.name}: no plan: {' '.join(told.blocked_by)}"
        return Result("blocked", line, said, told.blocking or told.blocked_by[:1])
    best = told.options[0]
    fresh = set(best.cautions) - set(best.before.cautions)
    outcome: Outcome = "done with cautions" if fresh or best.doubts else "done"
    return Result(outcome, line, f"{told.base.name}: {best.title}")


def _json(entry: Mapping[str, Any]) -> bytes:
    try:
        return orjson.dumps(entry)
    except TypeError:  # half a character, as a broken file may hold: written as an escape
        return json.dumps(entry, ensure_ascii=False, allow_nan=False).encode("utf-8", "backslashreplace")


# -- the run --------------------------------------------------------------------------------------


def run(job: Job, book: Rulebook, show: TextIO, lines: BinaryIO, as_json: bool = False) -> Summary | Fault:
    """Convert everything the job names. A fault when nothing could be begun.

    To `lines` goes one JSON object for each recipe with `as_json`, else, without a folder, a line for a
    person; to `show` all else: progress on a terminal, what is set aside, the counts.
    """
    fault = _out_of_place(job) or nothing_in(job)
    if fault is not None:
        return fault
    journal = None if job.out is None else begin(job.out, _request(job, book))
    if isinstance(journal, Fault):
        return journal
    with nullcontext() if journal is None else closing(journal):
        seen = _Seen()
        chunks = chunked(units_in(job, book))
        if journal is not None and not _passed(journal, chunks, seen):
            return changed(journal.folder)
        head = list(islice(chunks, 2))
        if journal is not None and journal.finished and head:
            return changed(journal.folder)
        workers = _workers(job, few=len(head) < 2)
        if isinstance(workers, Fault):
            return workers
        with closing(workers):
            progress = Progress(show, lambda: _sheets(job), 0 if journal is None else journal.units)
            tell = partial(_tell, job, progress, lines, as_json)
            summary = _worked(job, book, workers, journal, chain(head, chunks), seen, tell)
            progress.close()
    show.write(table(summary) + "\n")
    if summary.stopped:
        show.write(summary.stopped + "\n")
    return summary


def _out_of_place(job: Job) -> Fault | None:
    """A fault when results would lie among the recipes."""
    if job.out is None or not job.out.is_dir():
        return None
    if not any(path.is_dir() and path.samefile(job.out) for path in job.paths):
        return None
    what = "results can't go into the very folder of the recipes"
    return Fault(Place(f"--out {job.out}"), what, "name another folder", kind="not possible")


def _request(job: Job, book: Rulebook) -> dict[str, Any]:
    paths = [str(path) for path in job.paths]
    return {"program": __version__, "rules": book.digest, "recipes": paths, "wishes": job.asked}


def _passed(journal: Journal, chunks: Iterator[tuple[Unit, ...]], seen: _Seen) -> bool:
    """Pass over what is done; whether that is what the journal says was done."""
    units = 0
    while units < journal.units:
        chunk = next(chunks, ())
        if not chunk:
            return False
        units += len(chunk)
        seen.add(chunk)
    return units == journal.units and (not units or seen.now == journal.seen)


def _workers(job: Job, few: bool) -> Workers | Fault:
    if job.cluster:
        return reach(job.cluster)
    count = job.workers or cores()
    return Here() if few or count == 1 else Processes(count)


def _worked(
    job: Job, book: Rulebook, workers: Workers, journal: Journal | None,
    chunks: Iterable[tuple[Unit, ...]], seen: _Seen, tell: Callable[[Sequence[Result], int], None],
) -> Summary:  # fmt: skip
    """Convert chunk by chunk, write, and count, until the end or something stops it."""
    before = NOTHING if journal is None else journal.tally
    tally, stopped = before, ""
    task = Task(job.make, job.shelf, book.digest, uuid4().hex)
    if isinstance(workers, Here):
        _lay_out(task, book)
    try:
        for chunk, by_unit in in_order(workers, chunks, partial(work, task), _spoilt):
            results = [result for of_unit in by_unit for result in of_unit]
            if journal is not None:
                journal.write(results, len(chunk), seen.add(chunk))
            tally += tally_of(results)
            tell(results, len(chunk))
        if journal is not None:
            journal.finish()
    except NotWritten as error:
        stopped = error.fault.sentence
    except OtherRules:
        stopped = f"{job.cluster}: its workers have other rules than this machine; {_SAME}" if job.cluster else _CHANGED
    except ImportError as error:
        stopped = f"{job.cluster}: its workers can't do this ({error}); {_SAME}"
    except (CancelledError, ConnectionError, TimeoutError) as error:
        said = "the scheduler went away" if isinstance(error, CancelledError) else str(error)
        stopped = f"{job.cluster or 'workers'}: {said}; {_AGAIN}"
    except KeyboardInterrupt:
        stopped = f"stopped; {_AGAIN}"
    return Summary(tally, before.recipes, stopped)


_SAME = "install the same crumbwright on each, and give them the same --shelf"
_CHANGED = "the rules have changed since this run began; begin anew, with another folder for --out"
_AGAIN = "give the same command again: with --out it goes on where it ended"


def _tell(
    job: Job, progress: Progress, lines: BinaryIO, as_json: bool, results: Sequence[Result], units: int
) -> None:
    """Say what became of recipes, to a program or a person.

    Errors: NotWritten.
    """
    read = [result for result in results if result.outcome != "unreadable"]
    text = b""
    if as_json:
        text = b"".join(result.document + b"\n" for result in read)
    elif job.out is None:
        text = "".join(result.said + "\n" for result in read).encode("utf-8", "backslashreplace")
    try:
        lines.write(text)
        lines.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        raise NotWritten("standard output", error) from error
    if job.out is None:
        for result in results:
            if result.outcome == "unreadable":
                progress.say(result.said)
    progress.advance(units)
