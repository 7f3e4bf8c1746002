"""How long each law takes, alone and over a thousand formulas at once: python -m tests.bench.bench_laws"""

import timeit
from collections.abc import Callable

from assistant.publish.laws import Law, laws
from tests.worked import calls, draws, takes_arrays, worked

COUNT = 1000


def best_us(run: Callable[[], object]) -> float:
    """Shortest of three rounds of calls, µs a call: the one least disturbed."""
    timer = timeit.Timer(run)
    once = max(timer.timeit(1), 1e-7)
    times = max(1, int(0.01 / once))
    return 1e6 * min(timer.repeat(3, times)) / times


def alone_us(law: Law) -> float:
    """One call with the numbers of the law's own example, µs."""
    call = worked(law.function)
    function, given = law.function, call.given
    return best_us(lambda: function(*given))


def together_us(law: Law) -> float | None:
    """A thousand formulas in one call, µs per formula; None for a law that takes one at a time."""
    if not takes_arrays(law):
        return None
    function, given = law.function, draws(law, COUNT).given
    return best_us(lambda: function(*given)) / COUNT


def main() -> None:
    """Print the times, and what laws come to that take a thousand at once."""
    print(f"{'law':50} {'one call, µs':>13} {'of 1,000, µs':>13} {'times faster':>13}")
    whole_alone = whole_together = 0.0
    for law in laws():
        try:
            calls(law.function)
        except LookupError:
            continue
        alone, together = alone_us(law), together_us(law)
        many = "" if together is None else f"{together:13.3f} {alone / together:13.0f}"
        print(f"{law.name:50} {alone:13.2f} {many}".rstrip())
        if together is not None:
            whole_alone, whole_together = whole_alone + alone, whole_together + together
    print(
        f"{'all that take many, once each':50} {whole_alone:13.2f} {whole_together:13.3f} {whole_alone / whole_together:13.0f}"
    )


if __name__ == "__main__":
    main()
