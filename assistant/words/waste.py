"""Python's collector of waste, held back while much is made at once that stays or goes as a whole."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed() -> Iterator[None]:
    """Nobody looks for waste in the meantime.

    >>> with undisturbed():
    ...     gc.isenabled()
    False
    >>> gc.isenabled()
    True
    """
    looked = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if looked:
            gc.enable()
