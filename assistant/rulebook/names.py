"""Finding entries by what people call them."""

from collections.abc import Iterable


def nearest(word: str, known: Iterable[str], least: float = 70.0) -> str:
    """The known word that a misspelt one comes closest to, "" when none is close (least of 100).

    >>> nearest("fiber_g", ["fibre_g", "fat_g"]), nearest("xyz", ["fibre_g"])
    ('fibre_g', '')
    """
    from rapidfuzz import fuzz, process

    found = process.extractOne(word, sorted(known), scorer=fuzz.ratio, score_cutoff=least)
    return "" if found is None else str(found[0])
