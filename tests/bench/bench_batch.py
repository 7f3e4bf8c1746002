"""How long thousands of recipes take, and how much memory: reading, adapting, one process and two.

Run: python -m tests.bench.bench_batch [--most 10000]

Prints a table for 100, 1,000, ... up to `--most` recipes: ms for each recipe, recipes a second on each core, and how
many times as long as the standard library takes to parse the same JSON. Whole runs are measured on the clock, all else in
a processor's time, so a busy machine shows in whole runs alone. Nothing here is a test: machines differ.
Memory is flat when its columns are the same for all sizes. Each size is measured in a process of its own, so that
its peak is its own.
"""

import argparse
import gc
import json
import os
import resource
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time

import yaml

from assistant.batch.convert import Job, Task, chunked, units_in, work
from assistant.batch.workers import Processes, in_order
from assistant.formula.collection import recipes_in
from assistant.formula.model import Formula
from assistant.formula.write import line_text, to_yaml
from assistant.plan.adapt import CHUNK, best_of, conversion
from assistant.plan.constraints import Constraints
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.rulebook.read import load
from assistant.words.derivation import BARE, FULL
from assistant.words.waste import undisturbed
from tests.corpus import recipes

SIZES = (100, 1_000, 10_000, 100_000)
SAMPLE = 1_000
"""Most recipes for which five plans with all derivations are worked out."""
WISHES = Constraints(diets=("vegan",))


def own_form(formula: Formula) -> str:
    """A recipe as a line of JSON in our own form."""
    return json.dumps(yaml.safe_load(to_yaml(formula)))


def card(formula: Formula, book: Rulebook, names: Names) -> str:
    """A recipe as a line of JSON-LD, its ingredients in words."""
    return json.dumps(
        {
            "@type": "Recipe",
            "name": formula.name,
            "recipeYield": f"{formula.pieces} {formula.piece_name}",
            "recipeIngredient": [line_text(line, book, names) for line in formula.lines],
            "recipeInstructions": [step.text for step in formula.steps],
        }
    )


def write(path: Path, lines: Iterable[str]) -> None:
    with path.open("w", encoding="utf-8") as file:
        file.writelines(line + "\n" for line in lines)


def in_chunks(formulas: Iterator[Formula]) -> Iterator[list[Formula]]:
    while chunk := list(islice(formulas, CHUNK)):
        yield chunk


def seconds(do: Callable[[], object]) -> float:
    """Seconds of a processor's time, which other programs do not lengthen."""
    begun_s = process_time()
    do()
    return process_time() - begun_s


def parsed(path: Path) -> None:
    """The yardstick: each line parsed by the standard library."""
    with path.open(encoding="utf-8") as file:
        for line in file:
            json.loads(line)


def read(path: Path, book: Rulebook) -> None:
    for found in recipes_in(path, book):
        assert found.formula is not None, found.faults


def adapted(path: Path, book: Rulebook, plans: int, told: bool, most: int) -> float:
    """Seconds of adapting alone, without reading."""
    formulas = (found.formula for found in recipes_in(path, book) if found.formula is not None)
    notes = FULL if told else BARE

    def convert(chunk: list[Formula]) -> None:
        with undisturbed():
            best_of(chunk, WISHES, book, plans, notes)

    return sum(seconds(partial(convert, chunk)) for chunk in in_chunks(islice(formulas, most)))


def warm(task: Task) -> int:
    """Have a process load what it needs; which process it was."""
    work(task, ())
    return os.getpid()


def whole(path: Path, out: Path, processes: int) -> float:
    """Seconds on the clock from JSON lines to results in a file, start-up excluded."""
    book, _ = load()
    task = Task(partial(conversion, WISHES, 1, BARE), None, book.digest, f"{processes} processes")
    chunks = chunked(units_in(Job((path,), task.make, {}), book))
    workers = Processes(processes)
    ready: set[int] = set()
    while len(ready) < processes:
        ready |= {future.result() for future in [workers.submit(warm, task) for _ in range(processes)]}
    begun_s = perf_counter()
    with out.open("wb") as file:
        for _, units in in_order(workers, chunks, partial(work, task), lambda unit: []):
            file.writelines(result.document + b"\n" for unit in units for result in unit)
    taken_s = perf_counter() - begun_s
    workers.close()
    return taken_s


def peak_mb(who: int) -> float:
    """Peak memory of this process, or of the largest of its children (Linux tells kB)."""
    return resource.getrusage(who).ru_maxrss / 1000


def measured(number: int) -> list[str]:
    """The rows of a size."""
    book, _ = load()
    names = Names(book)
    gc.freeze()
    with TemporaryDirectory() as folder:
        own, cards = Path(folder) / "own.jsonl", Path(folder) / "cards.jsonl"
        write(own, map(own_form, recipes(number)))
        write(cards, (card(formula, book, names) for formula in recipes(number)))
        few = min(number, SAMPLE)
        yardstick_ms = 1000 * seconds(partial(parsed, own)) / number
        adapted(own, book, 1, True, 10)
        here = {
            "parse JSON (the yardstick)": (yardstick_ms * number / 1000, number),
            "read our own form": (seconds(partial(read, own, book)), number),
            "read JSON-LD, in words": (seconds(partial(read, cards, book)), number),
            "best plan, no derivations": (adapted(own, book, 1, False, number), number),
            "5 plans with derivations": (adapted(own, book, 5, True, few), few),
        }
        one, two = (whole(own, Path(folder) / "out.jsonl", processes) for processes in (1, 2))
    rows = [row(what, 1000 * taken / of, yardstick_ms, of) for what, (taken, of) in here.items()]
    rows.append(row("whole run, 1 process", 1000 * one / number, yardstick_ms, number))
    rows.append(row("whole run, 2 processes", 1000 * two / number, yardstick_ms, number, cores=2))
    own_mb, child_mb = peak_mb(resource.RUSAGE_SELF), peak_mb(resource.RUSAGE_CHILDREN)
    rows.append(f"  two processes are {one / two:.2f} times as fast as one")
    rows.append(f"  peak memory {own_mb:.0f} MB here, {child_mb:.0f} MB in the largest process beside it")
    return rows


def row(what: str, each_ms: float, yardstick_ms: float, number: int, cores: int = 1) -> str:
    rate = 1000 / each_ms / cores
    return f"  {what:28}{number:9,}{each_ms:10.3f}{rate:12,.0f}{each_ms / yardstick_ms:10,.0f}"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Measure thousands of recipes.")
    parser.add_argument("--most", type=int, default=10_000, help="recipes of the largest size")
    most = parser.parse_args().most
    print(f"  {'':28}{'recipes':>9}{'ms each':>10}{'/s and core':>12}{'x JSON':>10}")
    for number in (size for size in SIZES if size <= most):
        with ProcessPoolExecutor(1, get_context("spawn")) as fresh:
            print(f"{number:,} recipes", *fresh.submit(measured, number).result(), sep="\n", flush=True)


if __name__ == "__main__":
    main()
