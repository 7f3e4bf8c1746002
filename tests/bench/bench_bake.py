"""How long the bake law takes, alone and over many formulas: python -m tests.bench.bench_bake"""

import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from assistant.laws.bake import Case, Change, predict, predict_all
from assistant.laws.heat import prepare, rows_of, solve
from assistant.laws.thermal import Composition

GEL = Composition(0.55, 0.12, 0.12, 0.04, 0.145, 0.025)
BASE = Case(75, GEL, 0.55, "roll", 190)


def best_ms(run: Callable[[], object], times: int) -> float:
    """Shortest of several runs, ms: the one least disturbed."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return 1000 * min(taken)


def many(count: int) -> list[Case]:
    """Different pieces of one kind of dough."""
    draw = np.random.default_rng(7)
    return [
        replace(
            BASE, mass_g=float(draw.uniform(40, 160)), gas_fraction=float(draw.uniform(0.3, 0.6)),
            oven_c=float(draw.uniform(165, 220)),
        )
        for _ in range(count)
    ]  # fmt: skip


def main() -> None:
    """Print the times."""
    start = time.perf_counter()
    prepare()
    print(f"{'first use (scipy.linalg)':45} {1000 * (time.perf_counter() - start):8.1f} ms")
    options = many(5)
    print(f"{'one bake':45} {best_ms(lambda: solve([BASE], 30), 20):8.1f} ms")
    print(f"{'six bakes in one call':45} {best_ms(lambda: solve([BASE, *options], 30), 20):8.1f} ms")
    one = best_ms(lambda: predict(BASE, 25, 97, options[:1], [97]), 20)
    print(f"{'base and one option, with their spread':45} {one:8.1f} ms")
    five = best_ms(lambda: predict(BASE, 25, 97, options, [97] * 5), 20)
    print(f"{'base and five options, with their spread':45} {five:8.1f} ms")
    thousand = many(1000)
    print(f"{'numbers of 1,000 formulas':45} {best_ms(lambda: rows_of(thousand), 3):8.1f} ms")
    print(f"{'1,000 formulas in one call':45} {best_ms(lambda: solve(thousand, 30), 3):8.1f} ms")
    alone = best_ms(lambda: [solve([case], 30) for case in thousand[:100]], 1)
    print(f"{'100 formulas one by one':45} {alone:8.1f} ms")
    changes = [Change(case, 25, 93, (replace(case, gas_fraction=0.35),), (93,)) for case in thousand]
    bare = best_ms(lambda: predict_all(changes, spread=False), 1)
    print(f"{'1,000 bases with an option each, no spread':45} {bare:8.1f} ms")
    spread = best_ms(lambda: predict_all(changes), 1)
    print(f"{'1,000 bases with an option each, with spread':45} {spread:8.1f} ms")


if __name__ == "__main__":
    main()
