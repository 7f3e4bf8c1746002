"""The forms of entries in `rules/`: which keys each kind has, and what may stand under them.

A form reads an entry as the plain data that `build` makes the rulebook's objects from and that the cache
keeps: a figure as a tuple, a comparison as its text.
"""

from collections.abc import Callable, Mapping
from math import inf
from typing import Any

from assistant.rulebook.model import ENTERS, NUTRIENTS, ORIGINS, PURPOSES, TOLD
from assistant.rulebook.names import nearest
from assistant.rulebook.nodes import (
    BAD,
    Key,
    Node,
    Reading,
    Reads,
    comparison,
    form,
    listing,
    number,
    one_of,
    one_or_more,
    pairs,
    pattern,
    refers_to,
    table,
    text,
    truth,
    whole,
)
from assistant.rulebook.packet import counted, figures_of_label
from assistant.words.derivation import GRADES
from assistant.words.faults import Place
from assistant.words.units import UNITS

# ---- figures ----

Basis = tuple[str, str, str]
"""Source key, locator and grade that stand for a block of figures."""


def source_key(node: Node, reading: Reading) -> Any:
    """A source and where in it: "usda-sr28 20081"."""
    said = text(node, reading)
    if said is BAD:
        return BAD
    key, _, locator = said.partition(" ")
    reading.refer(node, ("sources",), key)
    return key, locator.strip()


GRADE = one_of(*GRADES)


def figure(unit: str, low: float = -inf, high: float = inf, basis: Basis | None = None) -> Reads:
    """A number with its source and grade, or a bare number where a block's basis stands for it.

    Plain data: (value, unit, source, grade, locator), with low, high and method where any is given.
    """
    value = number(low, high)
    keys = {
        "value": Key(value, required=True),
        "low": Key(value),
        "high": Key(value),
        "source": Key(source_key, required=basis is None),
        "grade": Key(GRADE, required=basis is None),
        "method": Key(text),
    }

    def reads(node: Node, reading: Reading) -> Any:
        if node.id == "scalar":
            found = value(node, reading)
            if found is BAD:
                return BAD
            source, locator, grade = basis if basis is not None else ("", "", "")
            if not source or not grade:
                mend = "write {value: ..., source: ..., grade: ...}, or both for the block"
                return reading.fault(node, "the figure has no source or no grade", mend)
            return found, unit, source, grade, locator
        parts = form(keys, "a figure")(node, reading)
        if parts is BAD:
            return BAD
        return _figure(node, reading, unit, basis, parts)

    return reads


def _figure(node: Node, reading: Reading, unit: str, basis: Basis | None, parts: Mapping[str, Any]) -> Any:
    source, locator, grade = basis if basis is not None else ("", "", "")
    if "source" in parts:
        source, locator = parts["source"]
    if "grade" in parts:
        grade = parts["grade"]
    if not source or not grade:
        return reading.fault(
            node, "the figure has no source or no grade", "write both, here or for the block"
        )
    low, value, high = parts.get("low"), parts["value"], parts.get("high")
    if (low is not None and low > value) or (high is not None and high < value):
        return reading.fault(
            node, f"{value:g} does not lie between its own low and high", "check the three figures"
        )
    ends_and_method = low, high, parts.get("method", "")
    basic = value, unit, source, grade, locator
    return basic if ends_and_method == (None, None, "") else basic + ends_and_method


def block(
    name: str, figures: Callable[[str, Basis | None], Reads | None], also: Mapping[str, Key] | None = None
) -> Reads:
    """Figures under one source and grade, each of which may be overridden.

    `figures` gives how the figure of a name is read, None where there is no such figure; `also` are
    further keys. Plain data: {name: figure}, the further keys among them.
    """

    def reads(node: Node, reading: Reading) -> Any:
        found: dict[str, Any] = {}
        rows = pairs(node, reading)
        head = {key: value_node for key, _, value_node in rows if key in ("source", "grade")}
        basis = _basis(head, reading)
        for key, key_node, value_node in rows:
            if key in head:
                continue
            if also is not None and key in also:
                value = also[key].reads(value_node, reading)
            elif (reads_figure := figures(key, basis)) is not None:
                value = reads_figure(value_node, reading)
            else:
                _unknown_figure(name, key, key_node, reading)
                continue
            if value is not BAD:
                found[key] = value
        return found

    return reads


def _basis(head: Mapping[str, Node], reading: Reading) -> Basis | None:
    if not head:
        return None
    source = source_key(head["source"], reading) if "source" in head else ("", "")
    grade = GRADE(head["grade"], reading) if "grade" in head else ""
    if source is BAD or grade is BAD:
        return None
    return source[0], source[1], grade


def _unknown_figure(name: str, key: str, key_node: Node, reading: Reading) -> None:
    known = {"per_100g": (*NUTRIENTS, "salt_g"), "measures": MEASURES, "release": RELEASE}.get(name, ())
    near = nearest(key, known)
    mend = f"did you mean {near}?" if near else f"write one of {', '.join(known)}"
    reading.fault(key_node, f'"{key}" is no figure of {name}', mend, (near,) if near else ())


SIZES = (
    "small",
    "medium",
    "large",
    "extra-large",
    "jumbo",
    "mini",
    "cake",
    "ring",
    "square",
    "wedge",
    "half",
    "ball",
    "ear",
    "rhizome",
    "spear",
    "pod",
    "pat",
    "loaf",
    "fruit",
    "berry",
    "bean",
    "roll",
    "scoop",
    "sifted cup",
)
"""Measures that are no units of a recipe but ways a thing comes."""
MEASURES = (*UNITS, *SIZES)
RELEASE = ("mix", "bench", "oven")
_MOST = {"g": 100.5, "kcal": 910.0, "mg": 100_000.0}
"""The most of anything in 100 g; fat has 902 kcal."""


def _composition(key: str, basis: Basis | None) -> Reads | None:
    if key == "salt_g":
        return figure("g", 0, 100.5, basis)
    unit = NUTRIENTS.get(key)
    return None if unit is None else figure(unit, 0, _MOST[unit], basis)


_per_100g = block("per_100g", _composition, {"convention": Key(one_of("us", "eu"))})


def per_100g(node: Node, reading: Reading) -> Any:
    """Composition. A label after EU rules (`convention: eu`) tells carbohydrate without fibre, and salt:
    both are turned into what the rulebook counts in."""
    printed = _per_100g(node, reading)
    found = counted(printed, printed.pop("convention", "us"))
    return reading.fault(node, found, CHECK_LABEL) if isinstance(found, str) else found


CHECK_LABEL = "check it against the packet; fibre that it does not tell goes under per_100g, from a table"


LABELLED = ("energy_kcal", "energy_kj", "fat_g", "saturated_g", "carbohydrate_g", "sugars_g", "polyols_g",
            "allulose_g", "starch_g", "fibre_g", "soluble_fibre_g", "insoluble_fibre_g", "protein_g",
            "sodium_mg", "salt_g", "potassium_mg", "alcohol_g")  # fmt: skip
"""What a label may print."""


def _printed_amount(node: Node, reading: Reading) -> Any:
    """A number as a label prints it, and whether it says "less than": 15, "<1"."""
    if node.id == "scalar" and str(node.value).startswith("<"):
        found = pattern(r"< ?\d+(\.\d+)?", '"<0.5"')(node, reading)
        return BAD if found is BAD else (float(found[1:]), True)
    value = number(0, 1e5)(node, reading)
    return BAD if value is BAD else (value, False)


_label = form(
    {
        "per": Key(pattern(r"\d+(\.\d+)? ?g", "30 g"), required=True),
        "convention": Key(one_of("us", "eu"), required=True),
        **{nutrient: Key(_printed_amount) for nutrient in LABELLED},
    },
    "a label",
)


def label(node: Node, reading: Reading) -> Any:
    """What a packet's label prints, for a serving or 100 g. Plain data: (convention, figures per 100 g)."""
    found = _label(node, reading)
    if found is BAD:
        return BAD
    per_g, convention = float(found.pop("per").rstrip(" g")), found.pop("convention")
    if per_g <= 0:
        return reading.fault(node, "a label is per some grams", "write per: 100 g, or the serving")
    return convention, figures_of_label(per_g, convention, found)


measures = block("measures", lambda key, basis: figure("g", 1e-6, 1e5, basis) if key in MEASURES else None)
release = block("release", lambda key, basis: figure("1", 0, 1, basis) if key in RELEASE else None)
_any_function = block("does", lambda key, basis: figure("", 0, 1e4, basis))


def does(node: Node, reading: Reading) -> Any:
    """Strengths by function; the units are the functions' own."""
    for key, key_node, _ in pairs(node, reading):
        if key not in ("source", "grade"):
            reading.refer(key_node, ("functions",), key)
    return _any_function(node, reading)


def _reactant(node: Node, reading: Reading) -> Any:
    found = form(
        {
            "species": Key(refers_to("acids"), required=True),
            "meq_per_g": Key(figure("meq/g", 0, 40), required=True),
        },
        "an acid or base",
    )(node, reading)
    return BAD if found is BAD else (found["species"], found["meq_per_g"])


def _buffer(node: Node, reading: Reading) -> Any:
    found = form(
        {
            "strength": Key(figure("mmol/kg/pH", 0, 1e4), required=True),
            "own_ph": Key(figure("pH", 0, 14), required=True),
        },
        "a buffer",
    )(node, reading)
    return BAD if found is BAD else (found["strength"], found["own_ph"])


def _allergens(node: Node, reading: Reading) -> Any:
    if node.id == "scalar":
        return BAD if one_of("unknown")(node, reading) is BAD else (None, ())
    ids = listing(refers_to("allergens"))
    found = form({"contains": Key(ids, required=True), "may_contain": Key(ids)}, "allergens")(node, reading)
    return BAD if found is BAD else (found["contains"], found.get("may_contain", ()))


# ---- parts of rules ----


def band(node: Node, reading: Reading) -> Any:
    """{low, centre, high}, in this order of size. Plain data: the three numbers."""
    keys = {name: Key(number(), required=True) for name in ("low", "centre", "high")}
    found = form(keys, "a band")(node, reading)
    if found is BAD:
        return BAD
    low, centre, high = found["low"], found["centre"], found["high"]
    if not low <= centre <= high:
        return reading.fault(
            node, f"{low:g}, {centre:g}, {high:g} do not rise", "write low <= centre <= high"
        )
    return low, centre, high


def _evidence(node: Node, reading: Reading) -> Any:
    keys = {"source": Key(source_key, required=True), "grade": Key(GRADE, required=True), "gives": Key(text)}
    found = form(keys, "evidence")(node, reading)
    if found is BAD:
        return BAD
    key, locator = found["source"]
    gives = found.get("gives", "")
    return key, found["grade"], f"{locator}: {gives}" if locator and gives else locator or gives


EVIDENCE = listing(_evidence)
RAISED_BY = one_of("yeast", "chemical", "foam", "none")
THING = ("ingredients", "classes")
WHEN: Mapping[str, Key] = {
    "product": Key(one_or_more(refers_to("products"))),
    "raised_by": Key(one_or_more(RAISED_BY)),
    "serves": Key(one_or_more(refers_to("functions"))),
    "share": Key(table(comparison("%"), refers_to(*THING))),
    "count": Key(table(comparison(), refers_to(*THING))),
    "has": Key(one_or_more(refers_to(*THING))),
    "lacks": Key(one_or_more(refers_to(*THING))),
    "raw": Key(one_or_more(refers_to(*THING))),
    "only_binder": Key(truth),
    "rest": Key(comparison("min", "h")),
    "ph": Key(comparison()),
    "ph_baked": Key(comparison()),
    "mix_c": Key(comparison("C")),
    "net_carbs_per_100g": Key(comparison("g")),
    "altitude_m": Key(comparison("m")),
}
"""The closed set of conditions."""
COMPARED = ("share", "count", "rest", "ph", "ph_baked", "mix_c", "net_carbs_per_100g", "altitude_m")
"""Conditions that hold comparisons."""
_when = form(WHEN, "`when`")
_signs = form(
    {"title": Key(one_or_more(text)), "raised_by": Key(one_or_more(RAISED_BY)), "share": WHEN["share"]},
    "`signs`",
)

STAGES = ("prepare", "bloom", "mix", "rest", "proof", "shape", "bake", "cook", "cool", "other")
_stage = one_of(*STAGES)
_edit = form(
    {
        "drop": Key(listing(_stage)),
        "step": Key(refers_to("step kinds")),
        "before": Key(_stage),
        "after": Key(_stage),
        "replaces": Key(_stage),
        "if": Key(refers_to(*THING)),
        "unless": Key(refers_to(*THING)),
    },
    "a change of the steps",
)
_mass = pattern(r"\d+(\.\d+)? g", "60 g")
_given = form(
    {
        "product": Key(refers_to("products")),
        "lines": Key(table(_mass, refers_to("ingredients"))),
        "rest": Key(pattern(r"\d+(\.\d+)? (min|h)", "12 h")),
        "pieces": Key(number(1, 1e4)),
        "altitude_m": Key(number(-500, 9000)),
        "ph": Key(number(0, 14)),
        "ph_baked": Key(number(0, 14)),
        "mix_c": Key(number(-20, 120)),
    },
    "what an example gives",
)


def _expect(node: Node, reading: Reading) -> Any:
    return (
        text(node, reading)
        if node.id == "scalar"
        else table(comparison("g"), refers_to(*THING))(node, reading)
    )


def _example(node: Node, reading: Reading) -> Any:
    keys = {
        "name": Key(text, required=True),
        "given": Key(_given, required=True),
        "expect": Key(_expect, required=True),
    }
    found = form(keys, "an example")(node, reading)
    return BAD if found is BAD else (found["name"], found["given"], found["expect"])


EXAMPLES = listing(_example)
_amount = form(
    {
        "ingredient": Key(refers_to("ingredients")),
        "any_of": Key(refers_to("classes")),
        "ratio": Key(band),
        "dose": Key(one_of("powder_pct", "yeast_pct", "salt_pct")),
        "closes": Key(refers_to("needs")),
    },
    "what comes in",
)


def _arrival(node: Node, reading: Reading) -> Any:
    found = _amount(node, reading)
    if found is BAD:
        return BAD
    if ("ingredient" in found) == ("any_of" in found):
        return reading.fault(
            node, "what comes in should name an ingredient or a class", "write ingredient: or any_of:"
        )
    if not {"ratio", "dose", "closes"} & set(found):
        return reading.fault(node, "nothing says how much comes in", "write ratio:, dose: or closes:")
    return found


def _replaces(node: Node, reading: Reading) -> Any:
    """(id, whether it is a class)."""
    if node.id == "scalar":
        found = refers_to("ingredients")(node, reading)
        return BAD if found is BAD else (found, False)
    found = form({"any": Key(refers_to("classes"), required=True)}, "what is replaced")(node, reading)
    return BAD if found is BAD else (found["any"], True)


_printed = form(
    {
        "source": Key(source_key, required=True),
        "amount": Key(text),
        "components": Key(table(text, refers_to(*THING))),
        "note": Key(text),
        "otherwise": Key(text),
    },
    "what a table prints",
)


def _print(node: Node, reading: Reading) -> Any:
    found = _printed(node, reading)
    if found is BAD:
        return BAD
    key, locator = found["source"]
    return found | {"source": key} | ({"locator": locator} if locator else {})


ROLES = ("bulk", "starch", "structure", "binder", "fibre", "fat", "flavour")
"""Places in a blend of flours."""
_part = form(
    {
        "role": Key(one_of(*ROLES), required=True),
        "any_of": Key(listing(refers_to(*THING)), required=True),
        "share": Key(band, required=True),
        "because": Key(text, required=True),
        "optional": Key(truth),
    },
    "a part of a blend",
)


def _figure_or_function(node: Node, reading: Reading) -> Any:
    word = text(node, reading)
    if word is not BAD and word not in TOLD:
        reading.refer(node, ("functions",), word)
    return word


_aim = form(
    {
        "figure": Key(_figure_or_function, required=True),
        "value": Key(number(0)),
        "tolerance": Key(number(1e-6), required=True),
        "high": Key(number(0)),
        "evidence": Key(EVIDENCE, required=True),
    },
    "what a blend aims at",
)
_apart = form(
    {"together": Key(listing(refers_to(*THING)), required=True), "because": Key(text, required=True)},
    "what not to put together",
)
_asked = form(
    {
        "grams": Key(number(1, 1e5), required=True),
        "replaces": Key(refers_to("ingredients"), required=True),
        "product": Key(refers_to("products")),
        "diets": Key(listing(refers_to("diets"))),
    },
    "what is asked of a blend",
)


def _blend_example(node: Node, reading: Reading) -> Any:
    keys = {
        "name": Key(text, required=True),
        "given": Key(_asked, required=True),
        "expect": Key(_expect, required=True),
    }
    found = form(keys, "an example")(node, reading)
    return BAD if found is BAD else (found["name"], found["given"], found["expect"])


NUMBERS = ("hydration_pct", "salt_pct", "leavener_pct", "unneutralised_soda_g", "surplus_acid_mmol", "ph_baked",
           "mix_c", "early_gas_share")  # fmt: skip
"""Numbers of a dough that a cause of trouble may be judged by."""
TOLD_WITH = (*NUMBERS, "free_water_g", "base_mmol", "gas_ml", "core_c", "bake_loss_pct", "no_later_than_min")
_beyond = form(
    {
        "band": Key(one_of("hydration_pct", "salt_pct", "powder_pct"), required=True),
        "end": Key(one_of("low", "high"), required=True),
    },
    "`beyond`",
)
_limit = form(
    {
        "nutrient": Key(one_of(*TOLD), required=True),
        "per": Key(one_of("piece", "100g"), required=True),
        "min": Key(number(0)),
        "max": Key(number(0)),
        "because": Key(text),
    },
    "a limit",
)
_forbidden = form(
    {
        "origin": Key(listing(one_of(*ORIGINS))),
        "allergen": Key(listing(refers_to("allergens"))),
        "class": Key(listing(refers_to("classes"))),
        "ingredient": Key(listing(refers_to("ingredients"))),
    },
    "what a diet forbids",
)

# ---- entries ----

_id = pattern(r"[a-z0-9]+(-[a-z0-9]+)*", "baking-powder")
_ID = Key(_id, required=True)
_NAME = Key(text, required=True)
_TEXTS = Key(listing(text))
_LANGUAGE = pattern(r"[a-z]{2,3}(-[A-Za-z0-9]+)*", "de or pt-BR")
_BAND = Key(band)
_TEXT = Key(text)
_CAUTIONS = Key(listing(refers_to("cautions")))
_EVIDENCE = Key(EVIDENCE)
_EXAMPLES = Key(EXAMPLES)
_WHEN = Key(_when)
_STEPS = Key(listing(_edit))
_PRODUCT = Key(refers_to("products"), required=True)
_shape = form(
    {"kind": _TEXT, "body": Key(one_of("sphere", "cylinder", "slab")), "piece_g": Key(number(1, 1e4))},
    "a shape",
)

# fmt: off
ENTRIES: Mapping[str, Reads] = {
    "sources": form({
        "id": _ID, "title": _NAME, "author": _TEXT, "year": _TEXT, "place": _TEXT, "read": _TEXT,
        "took": _TEXT,
    }, "a source"),
    "classes": form({
        "id": _ID, "name": _NAME, "aliases": _TEXTS, "usual": Key(refers_to("ingredients")), "what": _TEXT,
        "offered": Key(listing(refers_to("ingredients"))),
        "may_hold": Key(listing(one_of(*NUTRIENTS))), "moves": Key(band), "evidence": _EVIDENCE,
    }, "a class"),
    "functions": form({
        "id": _ID, "name": _NAME, "unit": _NAME, "what": _NAME,
        "of": Key(table(number(), one_of(*NUTRIENTS))), "tolerance": Key(number(0)),
        "matters_from": Key(number(0)), "structure": Key(truth), "evidence": _EVIDENCE,
    }, "a function"),
    "acids": form({
        "id": _ID, "name": _NAME, "formula": _NAME,
        "molar_mass": Key(figure("g/mol", 1, 2000), required=True),
        "pka": Key(listing(figure("1", -5, 16))), "charge": Key(whole), "release": Key(release),
        "neutralising_value": Key(figure("1", 0, 400)), "wakes_c": Key(figure("C", 0, 200)),
    }, "an acid"),
    "allergens": form({
        "id": _ID, "name": _NAME, "aliases": _TEXTS,
        "eu": Key(truth, required=True), "us": Key(truth, required=True),
        "part_of": Key(refers_to("allergens")), "near": Key(listing(refers_to(*THING))),
        "kin": Key(listing(refers_to("allergens"))),
        "note": _TEXT, "evidence": _EVIDENCE,
    }, "an allergen"),
    "cautions": form({"id": _ID, "text": _NAME, "when": _WHEN, "evidence": _EVIDENCE}, "a caution"),
    "ingredients": form({
        "id": _ID, "name": _TEXT, "plural": _TEXT, "aliases": _TEXTS,
        "like": Key(refers_to("ingredients")), "label": Key(label),
        "names": Key(table(one_or_more(text), _LANGUAGE)), "classes": Key(listing(refers_to("classes"))),
        "enters": Key(one_of(*ENTERS)), "origin": Key(listing(one_of(*ORIGINS))), "compound": _TEXT,
        "per_100g": Key(per_100g, to="composition"), "measures": Key(measures), "does": Key(does),
        "acids": Key(listing(_reactant)), "bases": Key(listing(_reactant)), "buffer": Key(_buffer),
        "sweetest": Key(figure("% sucrose", 6, 40)), "laxative_from": Key(figure("g/kg", 0.05, 5)),
        "allergens": Key(_allergens), "flavour": _TEXTS, "colour": _TEXTS, "cautions": _CAUTIONS,
    }, "an ingredient"),
    "products": form({
        "id": _ID, "name": _NAME, "raised_by": Key(RAISED_BY, required=True), "aliases": _TEXTS,
        "dose_on": Key(one_of("flours", "flours and fibre")), "cannot": _TEXT, "signs": Key(_signs),
        "becomes": Key(table(refers_to("products"), RAISED_BY)), "oven_c": _BAND, "minutes": _BAND,
        "hydration_pct": _BAND, "powder_pct": _BAND, "yeast_pct": _BAND, "salt_pct": _BAND, "core_c": _BAND,
        "loss_pct": _BAND, "specific_volume": _BAND, "gas_kept": _BAND, "gas_fraction": _BAND,
        "fill_pct": _BAND, "height_table": _TEXT, "shape": Key(_shape), "doneness": _TEXTS, "crumb": Key(table(number())), "evidence": _EVIDENCE,
    }, "a product class"),
    "turns": form({
        "id": _ID, "source_product": _PRODUCT, "target_product": _PRODUCT,
        "oven_change_c": Key(band, required=True),
        "time_factor": Key(band, required=True), "method": _STEPS, "because": _TEXT,
        "evidence": _EVIDENCE,
    }, "a turn"),
    "needs": form({
        "id": _ID, "of": Key(refers_to(*THING, "functions"), required=True), "when": _WHEN,
        "kind": Key(one_of("acid", "food", "water", "rest", "warmth", "hydrate"), required=True),
        "met_by": Key(listing(refers_to(*THING, "functions"))), "minutes": _BAND, "amount": _BAND,
        "because": _TEXT, "evidence": _EVIDENCE, "examples": _EXAMPLES,
    }, "a need"),
    "swaps": form({
        "id": _ID, "title": _NAME, "replaces": Key(_replaces, required=True), "when": _WHEN,
        "serves": Key(listing(refers_to("functions"))), "with": Key(listing(_arrival), to="stand_ins"),
        "also": Key(listing(_arrival)), "adjust": Key(listing(refers_to(*THING))), "raises": Key(RAISED_BY),
        "keeps": Key(listing(refers_to("functions"))), "loses": Key(table(text)), "steps": _STEPS,
        "oven_change_c": Key(number(-60, 60)), "because": _TEXT, "refuse": _TEXT,
        "printed": Key(listing(_print)),
        "evidence": _EVIDENCE, "cautions": _CAUTIONS, "examples": _EXAMPLES,
        "status": Key(one_of("proposed", "tried", "retired")),
    }, "a swap"),
    "diets": form({
        "id": _ID, "name": _NAME, "definition": _NAME, "aliases": _TEXTS, "forbids": Key(_forbidden),
        "limits": Key(listing(_limit)), "doubt_when": Key(_forbidden), "cautions": _CAUTIONS,
        "certified": Key(table(text, refers_to("ingredients"))), "lacks": Key(table(text, refers_to("functions"))),
        "evidence": _EVIDENCE, "examples": _EXAMPLES,
    }, "a diet"),
    "blends": form({
        "id": _ID, "name": _NAME, "gives": Key(listing(one_of(*PURPOSES))),
        "suits": Key(listing(refers_to("diets"))), "replaces": Key(listing(refers_to(*THING)), required=True),
        "works_in": Key(listing(refers_to("products")), required=True), "ratio": Key(band, required=True),
        "parts": Key(listing(_part), required=True), "aims": Key(listing(_aim), required=True),
        "avoid": Key(listing(_apart)), "adjust": _TEXTS, "because": _TEXT, "printed": Key(listing(_print)),
        "evidence": _EVIDENCE, "cautions": _CAUTIONS, "examples": Key(listing(_blend_example)),
        "status": Key(one_of("proposed", "tried", "retired")),
    }, "a blend"),
    "reactions": form({
        "id": _ID, "name": _NAME, "between": Key(listing(refers_to(*THING)), required=True), "when": _WHEN,
        "seen": _NAME, "helps": _NAME, "safe": Key(truth, required=True), "because": _TEXT,
        "evidence": _EVIDENCE, "examples": _EXAMPLES,
    }, "a reaction"),
    "parts": form({
        "id": _ID, "baked": Key(one_of("as dough", "inside", "on top", "after"), required=True),
        "words": Key(listing(text), required=True), "firm": Key(truth), "product": Key(refers_to("products")),
        "evidence": _EVIDENCE,
    }, "a part of a recipe"),
    "causes": form({
        "id": _ID, "number": Key(one_of(*NUMBERS)), "is": Key(comparison("C", "g", "%"), to="comparison"),
        "beyond": Key(_beyond), "raised_by": Key(RAISED_BY), "reactions": Key(listing(refers_to("reactions"))),
        "baked": Key(truth), "says": _TEXT, "tells": Key(listing(one_of(*TOLD_WITH))), "evidence": _EVIDENCE,
    }, "a cause of trouble"),
    "troubles": form({
        "id": _ID, "name": _NAME, "causes": Key(listing(refers_to("causes"))), "usual": _TEXTS,
        "evidence": _EVIDENCE,
    }, "a trouble"),
    "steps": form({
        "id": Key(pattern(r"[a-z0-9-]+\.[a-z]{2,3}(-[A-Za-z0-9]+)*", "rest-gel.en"), required=True),
        "kind": Key(_id, required=True), "language": Key(_LANGUAGE, required=True), "text": _NAME,
        "minutes": _BAND, "stage": Key(_stage), "temperature_c": Key(number(-20, 120)),
    }, "the text of a step"),
}
# fmt: on
"""How an entry of each kind is read."""
FOLDERS = {kind: "method" if kind == "steps" else kind for kind in ENTRIES}
"""The file or folder of `rules/` that entries of a kind stand in."""


def entries(
    kind: str, family: str, document: Node, reading: Reading
) -> dict[str, tuple[dict[str, Any], Place]]:
    """The entries of a file by id, with where they stand."""
    found: dict[str, tuple[dict[str, Any], Place]] = {}
    if document.tag.endswith(":null"):
        return found
    if document.id != "sequence":
        reading.fault(document, "a list of entries should stand here", 'begin every entry with "- id: ..."')
        return found
    for node in document.value:
        entry = ENTRIES[kind](node, reading)
        if entry is BAD:
            continue
        if entry["id"] in found:
            reading.fault(node, f"{entry['id']} stands in this file twice", "give one of them another id")
            continue
        _whole(kind, entry, node, reading)
        if kind == "ingredients":
            entry["family"] = family
        found[entry["id"]] = (entry, reading.place(node))
    return found


def _whole(kind: str, entry: dict[str, Any], node: Node, reading: Reading) -> None:
    """What only the whole entry shows; some keys fill two fields."""
    if kind == "ingredients":
        if "allergens" in entry:
            entry["contains"], entry["may_contain"] = entry.pop("allergens")
        if "name" not in entry and entry.get("like") != entry["id"]:
            reading.fault(node, f"{entry['id']} needs name", "write it like name: rye flour")
            entry["name"] = entry["id"]
        if "label" in entry:
            convention, figures = entry.pop("label")
            beside = entry.get("composition", {})
            figures = {**{each: beside[each] for each in ("fibre_g",) if each in beside}, **figures}
            told = counted(figures, convention)
            if isinstance(told, str):
                reading.fault(node, f"label of {entry['id']}: {told}", CHECK_LABEL)
            else:
                entry["composition"] = {**beside, **told}
    elif kind == "swaps":
        entry["replaces"], entry["replaces_any"] = entry["replaces"]
        entry.setdefault("serves", ())
        entry.setdefault("stand_ins", ())
        if not entry["stand_ins"] and "refuse" not in entry:
            reading.fault(
                node, f"{entry['id']} neither brings something in nor refuses", "write with: or refuse:"
            )
    elif kind == "reactions":
        entry.setdefault("when", {})
    elif kind == "causes":
        entry |= entry.pop("beyond", {})
        judged = [key for key in ("comparison", "band") if key in entry]
        if len(judged) != ("number" in entry):
            mend = "give number: with is: or beyond:, or neither"
            reading.fault(node, f"{entry['id']} does not say what its number is held against", mend)
        if not judged and "reactions" not in entry and "baked" not in entry:
            reading.fault(node, f"{entry['id']} holds always", "say when: number:, reactions: or baked:")
        if "says" not in entry and "reactions" not in entry:
            reading.fault(node, f"{entry['id']} needs says", "write what it means and what helps")
