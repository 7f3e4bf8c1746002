"""A packet as an entry of the shelf: what was typed of its label, and what it is like decides the rest."""


from assistant.formula.resolve import measures_of
from assistant.plan.diets import wholes
from assistant.rulebook.model import Ingredient, Rulebook
from assistant.rulebook.names import plain
from assistant.rulebook.packet import OWN_LABEL
from assistant.talk.recipes import slug
from assistant.talk.request import Packet
from assistant.words.units import grams_of, in_ml

ASKED = ("per", "convention", "energy_kcal", "fat_g", "carbohydrate_g", "fibre_g", "protein_g")
"""What is asked of a label, in this order."""
SPOONS = ("cup", "tbsp", "tsp")


def entry_of(packet: Packet, base: Ingredient, book: Rulebook) -> tuple[dict[str, object], str]:
    """A packet as an entry of the shelf, and what is still to be asked ("" when nothing is); `base` is what it
    is like."""
    told = {*(packet.figures or {}), *packet.skipped} - {"per", "convention"}
    told |= {"energy_kcal"} if "energy_kj" in told else set()
    told |= {name for name in ("per", "convention") if getattr(packet, name) is not None}
    missing = next((name for name in ASKED if name not in told), "")
    measures = measures_of(base)
    amount, unit = (packet.per or "0 g").split()
    grams = grams_of(float(amount), unit, measures)
    if missing or grams is None:
        return {}, missing or "weight"
    ident = base.id if _is_itself(packet, base) else own_id(str(packet.ingredient))
    label: dict[str, object] = {"per": f"{grams:g} g", "convention": packet.convention}
    for name, value in (packet.figures or {}).items():
        label[name] = f"<{value:g}" if name in packet.less else value
    entry: dict[str, object] = {"id": ident}
    entry |= {} if ident == base.id else {"name": str(packet.ingredient)}
    entry |= {"like": base.id, "label": label}
    fibre = base.composition.get("fibre_g")
    if packet.convention == "eu" and "fibre_g" in packet.skipped and fibre is not None:
        usual = {"value": fibre.value, "source": fibre.source, "grade": fibre.grade, "method": f"as {base.name}"}
        entry["per_100g"] = {"fibre_g": usual}
    if packet.household is not None:
        entry["measures"] = _spoons(grams, *packet.household)
    allergens = _allergens(packet, base, book)
    if allergens is not None:
        entry["allergens"] = {"contains": list(allergens[0]), "may_contain": list(allergens[1])}
    return entry, ""


def _spoons(grams: float, times: float, spoon: str) -> dict[str, object]:
    """What cups and spoons weigh when so many of one of them weigh so much; a scoop is no measure of the others."""
    ways = SPOONS if spoon in SPOONS else (spoon,)
    share = {way: in_ml(way) / in_ml(spoon) if way != spoon else 1.0 for way in ways}
    return {
        way: {
            "value": round(grams / times * share[way], 2),
            "source": OWN_LABEL,
            "grade": "handbook" if way == spoon else "derived",
        }
        for way in ways
    }


def _allergens(packet: Packet, base: Ingredient, book: Rulebook) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """What an own ingredient contains and may contain; None where nothing was typed of it or nobody knows.

    A US label need not name gluten, so what such a base contains stays. What else a base contains and the label
    does not name can't be confirmed either way.
    """
    if packet.contains is None and (packet.may_contain is None or base.contains is None):
        return None
    usual = base.contains or ()
    typed = usual if packet.contains is None else packet.contains
    unlisted = [a for a in usual if packet.convention == "us" and not book.allergens[a].us]
    contains = tuple(dict.fromkeys((*typed, *unlisted)))
    may = base.may_contain if packet.may_contain is None else packet.may_contain
    unnamed = [a for a in usual if a not in {*contains, *wholes(contains, book)}]
    return contains, tuple(dict.fromkeys((*may, *unnamed)))


def own_id(name: str) -> str:
    """A name as the id of an entry; letters that are none there by their number.

    >>> own_id("Müller's flour, fine"), own_id("мука")
    ('muller-flour-fine', 'own-43c-443-43a-430')
    """
    latin = slug(plain(name).encode("ascii", "ignore").decode())
    return latin or "-".join(("own", *(f"{ord(letter):x}" for letter in name if letter.isalnum())))


def _is_itself(packet: Packet, base: Ingredient) -> bool:
    """Whether a packet is called as what it is like is called."""
    called = {plain(name) for name in (base.name, base.plural, base.id.replace("-", " "), *base.aliases)}
    return plain(str(packet.ingredient)) in called
