"""The laws that the answers rest on, as their own docstrings tell: what each computes, where it holds, its source."""

import inspect
import pkgutil
import re
from dataclasses import dataclass
from importlib import import_module

import assistant.laws

_PART = re.compile(
    r"^\s*(Units|Range|Source):\s*(.*?)(?=^\s*(?:Units|Range|Source|Not for|>>>)|\Z)",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Law:
    """One law: its name, what it computes, its units, where it holds and where it is published."""

    name: str
    computes: str
    units: str
    holds: str
    source: str


def laws() -> tuple[Law, ...]:
    """Every public law, by name.

    >>> [law.units for law in laws() if law.name == "leavening.acid_for_soda"]
    ['soda_g g; neutralising_value 1; returns g']
    """
    found = []
    for module_info in pkgutil.iter_modules(assistant.laws.__path__):
        module = import_module(f"assistant.laws.{module_info.name}")
        for name, law in inspect.getmembers(module, inspect.isfunction):
            if law.__module__ != module.__name__ or name.startswith("_") or not law.__doc__:
                continue
            parts = {key: " ".join(text.split()) for key, text in _PART.findall(law.__doc__)}
            if "Source" in parts:
                computes = " ".join((inspect.getdoc(law) or "").split("\n\n")[0].split())
                found.append(
                    Law(
                        f"{module_info.name}.{name}",
                        computes,
                        parts.get("Units", ""),
                        parts.get("Range", ""),
                        parts["Source"],
                    )
                )
    return tuple(sorted(found, key=lambda law: law.name))
