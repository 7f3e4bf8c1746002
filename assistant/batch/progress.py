"""How far a run is, shown on a terminal: recipes done, rate, time left."""

from collections.abc import Callable, Iterable
from threading import Thread
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from tqdm import tqdm as Bar


class Progress:
    """A bar on a terminal, and nothing elsewhere. How many there are is counted beside the work."""

    def __init__(self, show: TextIO, count: Callable[[], Iterable[object]], done: int) -> None:
        self._show = show
        self._bar: Bar[Any] | None = None
        if show.isatty():
            from tqdm import tqdm

            self._bar = tqdm(file=show, unit=" recipes", initial=done, dynamic_ncols=True, smoothing=0.05)
            Thread(target=self._count, args=(count,), daemon=True).start()

    def _count(self, count: Callable[[], Iterable[object]]) -> None:
        total = sum(1 for _ in count())
        if self._bar is not None:
            self._bar.total = total

    def advance(self, number: int) -> None:
        """So many more are done."""
        if self._bar is not None:
            self._bar.update(number)

    def say(self, sentence: str) -> None:
        """A line for a person, above the bar where there is one."""
        if self._bar is not None:
            self._bar.clear()
        self._show.write(sentence + "\n")

    def close(self) -> None:
        """Leave the bar as it stands."""
        if self._bar is not None:
            self._bar.close()
            self._bar = None
