"""From plain data, as the forms give it and the cache keeps it, to the rulebook's objects."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from assistant.rulebook.conditions import Comparison
from assistant.rulebook.model import (
    Acid,
    Aim,
    Allergen,
    Amount,
    Apart,
    Band,
    Blend,
    Buffer,
    Cause,
    Caution,
    Diet,
    Evidence,
    Example,
    Figure,
    Function,
    Ingredient,
    IngredientClass,
    Need,
    Part,
    PartKind,
    Product,
    Reactant,
    Reaction,
    Rulebook,
    Source,
    StepText,
    Swap,
    Trouble,
    Turn,
)
from assistant.words.faults import Place

Plain = Mapping[str, Mapping[str, Mapping[str, Any]]]
"""Entries by kind and id, their fields as plain data."""
Makes = Callable[[Any], Any]


def rulebook(plain: Plain, places: Mapping[str, tuple[str, int]], digest: str) -> Rulebook:
    """The rulebook that plain data describe; entries keep the order they are given in."""
    return Rulebook(
        ingredients=_all(Ingredient, plain["ingredients"], _INGREDIENT),
        acids=_all(Acid, plain["acids"], _ACID),
        functions=_all(Function, plain["functions"], _RULE),
        products=_all(Product, plain["products"], _PRODUCT),
        turns=_all(Turn, plain["turns"], _TURN),
        swaps=_all(Swap, plain["swaps"], _SWAP),
        needs=_all(Need, plain["needs"], _NEED),
        diets=_all(Diet, plain["diets"], _RULE),
        allergens=_all(Allergen, plain["allergens"], _RULE),
        reactions=_all(Reaction, plain["reactions"], _RULE),
        cautions=_all(Caution, plain["cautions"], _RULE),
        steps=_all(StepText, plain["steps"], _STEP),
        sources=_all(Source, plain["sources"], {}),
        classes=_all(IngredientClass, plain["classes"], _CLASS),
        blends=_all(Blend, plain["blends"], _BLEND),
        parts=_all(PartKind, plain["parts"], _RULE),
        causes=_all(Cause, plain["causes"], _CAUSE),
        troubles=_all(Trouble, plain["troubles"], _RULE),
        places={key: Place(*place) for key, place in places.items()},
        digest=digest,
    )


def _all(
    kind: Callable[..., Any], entries: Mapping[str, Mapping[str, Any]], makes: Mapping[str, Makes]
) -> dict[str, Any]:
    return {
        entry_id: kind(
            **{name: makes[name](found) if name in makes else found for name, found in entry.items()}
        )
        for entry_id, entry in entries.items()
    }


def _figure(plain: Any) -> Figure:
    return Figure(*plain)


class Figures(Mapping[str, Figure]):
    """Figures by name, each made when first asked for: a rulebook holds thousands, a recipe needs few."""

    __slots__ = ("_made", "_plain")

    def __init__(self, plain: Mapping[str, Any]) -> None:
        self._plain = plain
        self._made: dict[str, Figure] = {}

    def __getitem__(self, name: str) -> Figure:
        found = self._made.get(name)
        if found is None:
            found = self._made[name] = Figure(*self._plain[name])
        return found

    def __contains__(self, name: object) -> bool:
        return name in self._plain

    def __iter__(self) -> Iterator[str]:
        return iter(self._plain)

    def __len__(self) -> int:
        return len(self._plain)

    def __repr__(self) -> str:
        return f"Figures({dict(self)!r})"


def _reactants(plain: Any) -> tuple[Reactant, ...]:
    return tuple(Reactant(species, Figure(*amount)) for species, amount in plain)


def _band(plain: Any) -> Band:
    return Band(*plain)


def _evidence(plain: Any) -> tuple[Evidence, ...]:
    return tuple(Evidence(*found) for found in plain)


def _examples(plain: Any) -> tuple[Example, ...]:
    return tuple(Example(*found) for found in plain)


def _amount(plain: Mapping[str, Any]) -> Amount:
    ratio = plain.get("ratio")
    named = {name: found for name, found in plain.items() if name != "ratio"}
    return Amount(ratio=None if ratio is None else Band(*ratio), **named)


def _amounts(plain: Any) -> tuple[Amount, ...]:
    return tuple(_amount(each) for each in plain)


def _parts(plain: Any) -> tuple[Part, ...]:
    return tuple(Part(**{**each, "share": Band(*each["share"])}) for each in plain)


def _aims(plain: Any) -> tuple[Aim, ...]:
    return tuple(Aim(**{**each, "evidence": _evidence(each.get("evidence", ()))}) for each in plain)


def _aparts(plain: Any) -> tuple[Apart, ...]:
    return tuple(Apart(**each) for each in plain)


def _conditions(plain: Mapping[str, Any]) -> dict[str, Any]:
    return {key: _condition(key, found) for key, found in plain.items()}


def _condition(key: str, found: Any) -> Any:
    """Comparisons stand for numbers in the condition's own unit; a rest is counted in minutes."""
    if key in ("share", "count"):
        return {what: _bare(comparison) for what, comparison in found.items()}
    if key == "rest":
        comparison = Comparison.parse(found)
        return comparison.scaled(60 if comparison.unit == "h" else 1, "min")
    return _bare(found) if isinstance(found, str) else found


def _bare(text: str) -> Comparison:
    return Comparison.parse(text).scaled(1)


_RULE: dict[str, Makes] = {"evidence": _evidence, "examples": _examples, "when": _conditions}
_CAUSE: dict[str, Makes] = _RULE | {"comparison": _bare}
_CLASS: dict[str, Makes] = {"moves": _band, "evidence": _evidence}
_STEP: dict[str, Makes] = {"minutes": _band}
_NEED: dict[str, Makes] = _RULE | {"minutes": _band, "amount": _band}
_TURN: dict[str, Makes] = _RULE | {"oven_change_c": _band, "time_factor": _band}
_SWAP: dict[str, Makes] = _RULE | {"stand_ins": _amounts, "also": _amounts}
_BLEND: dict[str, Makes] = _RULE | {"parts": _parts, "aims": _aims, "avoid": _aparts, "ratio": _band}
_PRODUCT: dict[str, Makes] = _RULE | {
    "signs": _conditions,
    **dict.fromkeys(
        (
            "oven_c",
            "minutes",
            "hydration_pct",
            "powder_pct",
            "yeast_pct",
            "salt_pct",
            "core_c",
            "loss_pct",
            "specific_volume",
            "gas_kept",
            "gas_fraction",
            "fill_pct",
        ),
        _band,
    ),
}
_ACID: dict[str, Makes] = {
    "molar_mass": _figure,
    "pka": lambda found: tuple(Figure(*each) for each in found),
    "neutralising_value": _figure,
    "release": Figures,
    "wakes_c": _figure,
}
_INGREDIENT: dict[str, Makes] = {
    "composition": Figures,
    "measures": Figures,
    "does": Figures,
    "acids": _reactants,
    "bases": _reactants,
    "buffer": lambda found: Buffer(Figure(*found[0]), Figure(*found[1])),
    "sweetest": _figure,
    "laxative_from": _figure,
}
