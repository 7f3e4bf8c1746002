"""Who converts: this process, others on this machine, or a cluster. All are executors of chunks.

A chunk whose worker is lost is done again, then each of its inputs alone; one that ends its worker even
when alone is set aside, and nothing else with it.
"""

import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import Any, Protocol, TypeVar

Item = TypeVar("Item")
Done = TypeVar("Done")
AHEAD = 3
"""Chunks given out beforehand for each worker, so that none waits while the first in line is slow."""


class Workers(Protocol):
    """An executor that goes on when a worker is lost."""

    ahead: int
    """Chunks given out before the first has to be done."""
    lost: tuple[type[Exception], ...]
    """What a chunk raises whose worker was lost."""

    def submit(self, work: Callable[..., Done], *given: Any) -> "Future[Done]":
        """Have work done; the future tells how it went."""

    def close(self) -> None:
        """End it; what is not begun is not done."""


class Here:
    """This very process: no start-up, for few recipes or one worker."""

    ahead = 0
    lost: tuple[type[Exception], ...] = ()

    def submit(self, work: Callable[..., Done], *given: Any) -> "Future[Done]":
        done: Future[Done] = Future()
        done.set_result(work(*given))
        return done

    def close(self) -> None:
        pass


class Processes:
    """Processes on this machine, each started anew rather than forked."""

    lost: tuple[type[Exception], ...] = (BrokenProcessPool,)

    def __init__(self, count: int) -> None:
        self.ahead = AHEAD * count
        self._count = count
        self._pool = self._started()

    def _started(self) -> Executor:
        return ProcessPoolExecutor(self._count, get_context("spawn"), initializer=_settle_in)

    def submit(self, work: Callable[..., Done], *given: Any) -> "Future[Done]":
        try:
            return self._pool.submit(work, *given)
        except BrokenProcessPool:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = self._started()
            return self._pool.submit(work, *given)

    def close(self) -> None:
        self._pool.shutdown(wait=True, cancel_futures=True)


def _settle_in() -> None:
    """Leave Ctrl-C to the process that gave the work, and don't outlive it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()
    if parent is not None:

        def follow() -> None:
            parent.join()
            os._exit(1)

        Thread(target=follow, daemon=True).start()


def in_order(
    workers: Workers,
    chunks: Iterable[tuple[Item, ...]],
    work: Callable[[tuple[Item, ...]], list[Done]],
    spoilt: Callable[[Item], Done],
) -> Iterator[tuple[tuple[Item, ...], list[Done]]]:
    """Each chunk with what came of it, in order, a few chunks ahead of the first that is not yet done.

    `spoilt` says what comes of an input that ends its worker.
    """
    waiting: deque[tuple[tuple[Item, ...], Future[list[Done]]]] = deque()

    def first() -> tuple[tuple[Item, ...], list[Done]]:
        chunk, future = waiting.popleft()
        try:
            return chunk, future.result()
        except workers.lost:
            wait([other for _, other in waiting])
            return chunk, alone(chunk)

    def alone(chunk: tuple[Item, ...]) -> list[Done]:
        """Done again with nothing beside it, so that only its own inputs can be to blame."""
        try:
            return workers.submit(work, chunk).result()
        except workers.lost:
            if len(chunk) == 1:
                return [spoilt(chunk[0])]
            return [done for item in chunk for done in alone((item,))]

    for chunk in chunks:
        waiting.append((chunk, workers.submit(work, chunk)))
        if len(waiting) > workers.ahead:
            yield first()
    while waiting:
        yield first()


def cores() -> int:
    """Processors this process may use."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1
