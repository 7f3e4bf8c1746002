"""What tests share: the packaged rulebook, and the formulas of the scenarios."""

from collections.abc import Callable

import pytest
from hypothesis import settings

from assistant.formula.model import Formula
from assistant.formula.read import read_formula
from assistant.rulebook.model import Rulebook
from assistant.rulebook.read import load
from assistant.words.faults import stopping
from assistant.words.places import packaged


@pytest.fixture(scope="session")
def book() -> Rulebook:
    """The packaged rulebook; a test run without faults in it is the first thing to have."""
    found, faults = load(None)
    assert not stopping(faults), "\n".join(f.sentence for f in faults)
    return found


@pytest.fixture(scope="session")
def larch_hut(book: Rulebook) -> Callable[[str], Formula]:
    """Reads a formula of Larch Hut by its name."""

    def read(name: str) -> Formula:
        formula, faults = read_formula(packaged("scenarios") / "larch-hut" / f"{name}.yaml", book)
        assert formula is not None, faults
        assert not faults, "\n".join(f.sentence for f in faults)
        return formula

    return read


settings.register_profile("calm", deadline=None, max_examples=60)
settings.load_profile("calm")
