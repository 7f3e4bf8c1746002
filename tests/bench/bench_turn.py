"""How long a person waits: start-up, loading the rulebook, and turns of a conversation.

Run: python -m tests.bench.bench_turn

Prints medians and 95th percentiles in ms. Nothing here is a test: machines differ.
"""

import gc
import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

from assistant.formula.model import Formula
from assistant.formula.read import read_formula
from assistant.plan.finish import before_of
from assistant.plan.functions import Context
from assistant.plan.options import options
from assistant.rulebook.names import Names
from assistant.rulebook.read import load
from assistant.talk.dialogue import Kitchen, begin, turn
from assistant.talk.judgement import Judgement
from assistant.talk.recipes import Shelf
from assistant.talk.utterance import Vocabulary
from assistant.words.places import packaged

TURNS = 40
OVENS = (
    "bake it in a glass pan",
    "as a loaf in a 23 x 13 cm tin",
    "as 12 muffins",
    "will it fit a 1.5 litre tin",
    "at sea level",
    "with steam",
)
"""What is asked of pans, ovens and heights."""


def timed(run: Callable[[], object], times: int) -> list[float]:
    """Milliseconds of each run."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(1000 * (time.perf_counter() - start))
    return spent


def said(name: str, spent: list[float]) -> None:
    ordered = sorted(spent)
    print(
        f"{name:45} median {median(ordered):7.1f} ms   95th {ordered[int(0.95 * (len(ordered) - 1))]:7.1f} ms   n={len(ordered)}"
    )


def main() -> None:
    version = [sys.executable, "-m", "assistant", "--version"]
    said(
        "a process that tells its version",
        timed(lambda: subprocess.run(version, check=True, capture_output=True), 10),
    )
    script = [sys.executable, "-m", "assistant", "chat", "--script", "no-yeast"]
    said(
        "the packaged conversation, whole process",
        timed(lambda: subprocess.run(script, check=True, capture_output=True), 5),
    )
    load(None)
    said("rulebook from its cache", timed(lambda: load(None), 10))
    book, _ = load(None)
    gc.freeze()  # as the conversation does
    folder = packaged("scenarios") / "larch-hut"
    names = Names(book)
    talk = Kitchen(book, Vocabulary.of(book, names), Judgement(book), Shelf(book, names, folder))
    for path in sorted(folder.glob("*.yaml")):
        formula, _ = read_formula(path, book)
        assert formula is not None
        for text in OVENS:
            asked = (turn(begin(f), text, talk) for f in varied(formula, 0.013))
            said(f"{text!r} in {path.stem}", timed(lambda a=asked: next(a), 20))
        places = Context(formula, book).lines("baker-yeast", "chemical-leavener", "soda", "egg")
        for at in places[:1]:
            asked = (options(f, at, book) for f in varied(formula))
            said(f"replace {formula.lines[at].name} in {path.stem}", timed(lambda a=asked: next(a), TURNS))
        seen = (before_of(f, book) for f in varied(formula, 0.013))
        said(f"assess {path.stem}", timed(lambda s=seen: next(s), TURNS))


def varied(formula: Formula, step_g: float = 0.01):  # type: ignore[no-untyped-def]
    """The formula again and again, each a little different, so that nothing remembered helps."""
    from dataclasses import replace

    for times in range(1, 10_000):
        first = formula.lines[0]
        yield replace(
            formula, lines=(replace(first, grams=(first.grams or 0) + step_g * times), *formula.lines[1:])
        )


if __name__ == "__main__":
    main()
