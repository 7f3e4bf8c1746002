"""Where packaged data and a person's own files live."""

from functools import cache
from pathlib import Path

_HERE = Path(__file__).resolve().parent.parent


@cache
def packaged(name: str) -> Path:
    """Folder of packaged data (`rules` or `scenarios`), in an installed wheel or in a checkout.

    Errors: FileNotFoundError when neither place holds it.

    >>> packaged("rules").name
    'rules'
    """
    for place in (_HERE / "_packaged" / name, _HERE.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"packaged data {name!r} is missing from {_HERE}")
