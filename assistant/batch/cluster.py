"""The same work on a Dask cluster that is already there."""

from collections.abc import Callable
from concurrent.futures import Future
from logging import CRITICAL, getLogger
from typing import Any, TypeVar

from assistant.batch.workers import AHEAD
from assistant.words.faults import Fault, Place

Done = TypeVar("Done")
ANSWER_S = 5
"""Seconds in which a scheduler has to answer."""


class Cluster:
    """Workers of a Dask scheduler; made by `reach`."""

    def __init__(self, client: Any, lost: tuple[type[Exception], ...]) -> None:
        self._client = client
        self._executor = client.get_executor(pure=False)
        self.lost = lost
        self.ahead: int = AHEAD * max(1, sum(client.nthreads().values()))

    def submit(self, work: Callable[..., Done], *given: Any) -> "Future[Done]":
        future: Future[Done] = self._executor.submit(work, *given)
        return future

    def close(self) -> None:
        self._executor.shutdown(wait=False)
        self._client.close()


def reach(address: str) -> Cluster | Fault:
    """The workers of the scheduler at an address, or why there are none."""
    where = Place(f"--cluster {address}")
    try:
        from distributed import Client
        from distributed.scheduler import KilledWorker
    except ImportError:
        return Fault(
            where, "Dask is not installed here", "install it with: pip install 'crumbwright[cluster]'"
        )
    for name in ("distributed", "distributed.client", "distributed.utils", "distributed.comm"):
        getLogger(name).setLevel(CRITICAL)  # what it would log, the run says in a sentence
    try:
        client = Client(address, timeout=ANSWER_S, set_as_default=False)
    except (OSError, ValueError) as error:
        said = f"no scheduler answers at this address ({str(error) or type(error).__name__})"
        return Fault(where, said, "give the address that `dask scheduler` printed")
    return Cluster(client, (KilledWorker,))
