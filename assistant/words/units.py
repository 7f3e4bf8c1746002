"""Units of the kitchen: recognising them, converting them, reading and writing amounts.

The one module that knows pint, and that only when a factor is first asked for; each factor is asked
for once. Volumes are US customary unless a system says otherwise. A volume becomes a mass only through
an ingredient's own household measures, which are US measures in grams.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import floor, log, log10
from types import MappingProxyType
from typing import Any, Literal, get_args
from unicodedata import numeric

System = Literal["us", "uk", "metric", "au"]
SYSTEMS: tuple[System, ...] = get_args(System)
Kind = Literal["volume", "mass", "count"]

# How each unit stands in pint. US customary and imperial definitions are pint's own (NIST HB 44
# appendix C); the rest is written out. Small measures are common practice: a dash is an eighth and a
# pinch a sixteenth of a teaspoon, a drop a twentieth of a millilitre, a dessertspoon two teaspoons.
# Metric spoons hold 15 and 5 ml (BS 1348), the metric cup 250 ml, the Australian tablespoon 20 ml
# (AS 1325). British cups are sold as metric cups.
_SI = {"ml": "milliliter", "cl": "centiliter", "dl": "deciliter", "l": "liter", "drop": "0.05 milliliter"}
_LOOSE = frozenset({"dash", "pinch", "smidgen", "drop"})
"""Measures whose size is no more than a habit, so that nothing is scaled from them."""
_MASS = {"mg": "milligram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}
_IMPERIAL = {
    "fl oz": "imperial_fluid_ounce",
    "pint": "imperial_pint",
    "quart": "imperial_quart",
    "gallon": "imperial_gallon",
}
_METRIC_SPOONS = {
    "cup": "250 milliliter",
    "tbsp": "15 milliliter",
    "tsp": "5 milliliter",
    "dessertspoon": "10 milliliter",
    "dash": "0.625 milliliter",
    "pinch": "0.3125 milliliter",
    "smidgen": "0.15625 milliliter",
}
_US = {
    "cup": "cup",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "dessertspoon": "2 teaspoon",
    "fl oz": "fluid_ounce",
    "pint": "pint",
    "quart": "quart",
    "gallon": "gallon",
    "dash": "0.125 teaspoon",
    "pinch": "0.0625 teaspoon",
    "smidgen": "0.03125 teaspoon",
}
_IN_PINT: Mapping[System, Mapping[str, str]] = {
    "us": _SI | _US,
    "uk": _SI | _METRIC_SPOONS | _IMPERIAL,
    "metric": _SI | _METRIC_SPOONS | _IMPERIAL,
    "au": _SI | _METRIC_SPOONS | _IMPERIAL | {"tbsp": "20 milliliter"},
}

# Words for units, by the name they have here. A word is looked up as written first (T and t differ).
_WORDS: Mapping[str, str] = {
    "tsp": "tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls teasp tspn tspns t ts teas tl teelöffel theelepel "
    "theelepels cucharadita cucharaditas cucchiaino cucchiaini tsk tesked teskedar",
    "tbsp": "tbsp tbsps tablespoon tablespoons tablespoonful tablespoonfuls tbs tbl tblsp tbls tblspn tbspn "
    "tablesp tb T Tb TB TBS TBSP el esslöffel eetlepel eetlepels cucharada cucharadas cucchiaio cucchiai msk "
    "matsked matskedar",
    "dessertspoon": "dessertspoon dessertspoons dessertspoonful dsp dstspn dspn",
    "cup": "cup cups cupful cupfuls c C",
    "fl oz": "floz fluidounce fluidounces",
    "pint": "pint pints pt pts",
    "quart": "quart quarts qt qts",
    "gallon": "gallon gallons gal",
    "ml": "ml mls milliliter milliliters millilitre millilitres cc mL ML",
    "cl": "cl centiliter centiliters centilitre centilitres",
    "dl": "dl deciliter deciliters decilitre decilitres",
    "l": "l L liter liters litre litres ltr ltrs",
    "drop": "drop drops",
    "dash": "dash dashes",
    "pinch": "pinch pinches prise prisen pincée pincées pizca pizcas pizzico pizzichi pitada pitadas snufje",
    "smidgen": "smidgen smidgens smidge",
    "mg": "mg milligram milligrams",
    "g": "g G gr gram grams gramme grammes gm gms grm grms",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes Kg KG",
    "oz": "oz ozs ounce ounces",
    "lb": "lb lbs pound pounds",
    "each": "each ea",
    "stick": "stick sticks",
    "clove": "clove cloves zehe zehen gousse gousses spicchio spicchi",
    "slice": "slice slices",
    "packet": "packet packets pkt pkts sachet sachets envelope envelopes env package packages pkg pkgs pack "
    "packs pck päckchen bustina bustine sobre sobres paquet paquets",
    "can": "can cans tin tins",
    "jar": "jar jars",
    "bottle": "bottle bottles",
    "bag": "bag bags",
    "box": "box boxes",
    "carton": "carton cartons",
    "tub": "tub tubs pot pots container containers",
    "block": "block blocks",
    "bar": "bar bars",
    "cube": "cube cubes",
    "square": "square squares",
    "sheet": "sheet sheets",
    "knob": "knob knobs",
    "handful": "handful handfuls",
    "bunch": "bunch bunches",
    "sprig": "sprig sprigs",
    "stalk": "stalk stalks rib ribs",
    "head": "head heads",
    "piece": "piece pieces pc pcs",
    "scoop": "scoop scoops",
    "strip": "strip strips rasher rashers",
    "leaf": "leaf leaves",
}
UNITS: tuple[str, ...] = tuple(_WORDS)
"""The names units have in lines and measures."""
_NAMED: Mapping[str, str] = MappingProxyType(
    {word: unit for unit, words in _WORDS.items() for word in (unit, *words.split())}
)
_SPOON_OF = re.compile(
    r"\s*(?:c(?:uill?|uill[eè]re?s?|uiller[ée]es?)?|colher(?:es)?)\.?\s*(?:[àa]|de)\.?\s*"
    r"(?P<of>soupe|caf[eé]|th[eé]|sopa|ch[aá]|[sc](?=[\s.]))\.?",
    re.IGNORECASE,
)
"""French and Portuguese spoons, named by what is eaten with them: "c. à soupe", "colher de chá"."""
_ABBREVIATED = frozenset({"tsp", "tbsp", "fl oz", "ml", "cl", "dl", "l", "mg", "g", "kg", "oz", "lb", "each"})
"""Units whose plural is written like the singular; for all others it is the second of their words."""


def unit_named(word: str) -> str | None:
    """The unit a word stands for, or None when it is no unit.

    A capital T is a tablespoon and a small t a teaspoon; otherwise capitals and full stops don't matter.

    >>> unit_named("Tablespoons"), unit_named("T"), unit_named("t."), unit_named("fl. oz.")
    ('tbsp', 'tbsp', 'tsp', 'fl oz')
    >>> unit_named("floor") is None
    True
    """
    bare = word.replace(".", "").strip()
    found = _NAMED.get(bare)
    if found is None:
        found = _NAMED.get(bare.lower())
    if found is None and re.fullmatch(r"(fl|fluid)\s*(oz|ounces?)", bare.lower()):
        return "fl oz"
    return found


def unit_text(unit: str, amount: float) -> str:
    """How a unit is written after an amount; what is no unit (a size) as it stands.

    >>> unit_text("cup", 1.5), unit_text("sifted cup", 2), unit_text("tbsp", 2), unit_text("large", 2)
    ('cups', 'sifted cups', 'tbsp', 'large')
    """
    if unit.endswith(" cup"):
        return unit if amount <= 1 else f"{unit}s"
    if unit not in _WORDS or unit in _ABBREVIATED:
        return unit
    return _WORDS[unit].split()[1] if amount > 1 else unit


def kind_of(unit: str) -> Kind:
    """Whether a unit is a volume, a mass or a count; a way an ingredient comes ("large") is counted.

    >>> kind_of("cup"), kind_of("oz"), kind_of("clove"), kind_of("large")
    ('volume', 'mass', 'count', 'count')
    """
    if unit in _IN_PINT["us"]:
        return "volume"
    return "mass" if unit in _MASS else "count"


FOOT_M = 0.3048
"""Metres in a foot, exactly (NIST SP 811, B.8)."""


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


@cache
def in_ml(unit: str, system: System = "us") -> float:
    """Millilitres in one unit of volume. Errors: KeyError for what is no volume.

    >>> round(in_ml("cup"), 3), in_ml("cup", "metric"), round(in_ml("pint", "uk"), 2)
    (236.588, 250.0, 568.26)
    """
    return float(_registry().parse_expression(_IN_PINT[system][unit]).to("milliliter").magnitude)


@cache
def in_g(unit: str) -> float:
    """Grams in one unit of mass. Errors: KeyError for what is no mass.

    >>> round(in_g("oz"), 4), in_g("kg")
    (28.3495, 1000.0)
    """
    if unit == "g":
        return 1.0
    return float(_registry().parse_expression(_MASS[unit]).to("gram").magnitude)


def grams_of(amount: float, unit: str, measures: Mapping[str, float], system: System = "us") -> float | None:
    """Mass of an amount of an ingredient, g; None when its measures don't say.

    `measures` are grams per US household measure ("cup", "tbsp", "each" ...). A volume is taken from the
    same measure where there is one, else scaled by volume: up to a tablespoon from the measure nearest in
    size, above it from the largest, whose printed grams are the most exact. A count, and what is no unit but a
    way this one ingredient comes ("large", "sifted cup"), need a measure of that very name.

    >>> grams_of(2, "tbsp", {"cup": 112.0}), grams_of(2, "large", {"large": 50.0}), grams_of(1, "cup", {})
    (14.0, 100.0, None)
    """
    kind = kind_of(unit)
    if kind == "mass":
        return amount * in_g(unit)
    if kind == "count":
        each = measures.get(unit)
        return None if each is None else amount * each
    if system == "us" and unit in measures:
        return amount * measures[unit]
    volume = amount * in_ml(unit, system)
    if volume == 0:
        return 0.0
    per_ml = _density(volume, measures)
    return None if per_ml is None else volume * per_ml


def _density(volume_ml: float, measures: Mapping[str, float]) -> float | None:
    """Grams per millilitre for a volume, by the measure that suits its size."""
    known = [(in_ml(unit), unit) for unit in measures if unit in _IN_PINT["us"] and unit not in _LOOSE]
    if not known:
        return None
    if volume_ml > 1.5 * in_ml("tbsp"):
        size_ml, unit = max(known)
    else:
        _, size_ml, unit = min((abs(log(size / volume_ml)), size, unit) for size, unit in known)
    return measures[unit] / size_ml


def volume_ml(amount: float, unit: str, system: System = "us") -> float:
    """Volume of an amount, ml. Errors: KeyError for a unit that is no volume."""
    return amount * in_ml(unit, system)


def ounces(mass_g: float) -> float:
    """Mass in ounces avoirdupois.

    >>> round(ounces(100), 2)
    3.53
    """
    return mass_g / in_g("oz")


def household(grams: float, measures: Mapping[str, float], system: System = "us") -> tuple[float, str] | None:
    """The household measure a cook would use for a mass of an ingredient, as (amount, unit).

    Cups from a quarter cup up, tablespoons from one, teaspoons from an eighth, else pinches; None when
    the ingredient has no measure by volume. Not rounded: `cook_number` writes it.

    >>> household(28.0, {"cup": 112.0}), household(6.0, {"tsp": 4.0}), household(6.0, {"each": 50.0})
    ((0.25, 'cup'), (1.5, 'tsp'), None)
    """
    for unit, least in (("cup", 0.245), ("tbsp", 0.95), ("tsp", 0.115), ("pinch", 0.0)):
        one_g = grams_of(1.0, unit, measures, system)
        if one_g is None or one_g <= 0:
            return None
        if grams / one_g >= least:
            return grams / one_g, unit
    return None


SMALLEST = 0.125
"""The smallest spoon of a common set, of a teaspoon; nobody adds it to a whole one."""
NEAR_ENOUGH = 0.06
"""Share by which a household measure may miss a mass: no cup is filled more surely. Common practice."""


def kitchen_measure(grams: float, measures: Mapping[str, float]) -> tuple[float, str] | None:
    """The largest household measure that hits a mass with the cups and spoons there are, as (amount, unit).

    None when the ingredient has no measure by volume, or none comes near.

    >>> kitchen_measure(57.0, {"cup": 227.0, "tbsp": 14.2}), kitchen_measure(17.0, {"tbsp": 15.2, "tsp": 5.1})
    ((0.25, 'cup'), (3.25, 'tsp'))
    >>> kitchen_measure(200.0, {"each": 50.0}) is None
    True
    """
    for unit, parts in _FILLED.items():
        one_g = grams_of(1.0, unit, measures)
        if one_g is None or one_g <= 0:
            continue
        whole = floor(grams / one_g)
        amounts = (whole + part for part in parts if part != SMALLEST or not whole)
        amount = min(amounts, key=lambda amount: abs(amount * one_g - grams))
        if amount >= (1.0 if unit == "tbsp" else SMALLEST) and abs(amount * one_g / grams - 1) <= NEAR_ENOUGH:
            return amount, unit
    return None


_FILLED: Mapping[str, tuple[float, ...]] = {
    "cup": (0.0, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1.0),
    "tbsp": (0.0, 0.5, 1.0),
    "tsp": (0.0, SMALLEST, 0.25, 0.5, 0.75, 1.0),
}
"""Parts of a measure that cups and spoons are sold in."""


# -- temperatures ---------------------------------------------------------------------------------


def f_to_c(temperature_f: float) -> float:
    """Degrees Celsius. Exact by definition (NIST SP 811, B.8).

    >>> f_to_c(212.0), round(f_to_c(350.0), 1)
    (100.0, 176.7)
    """
    return (temperature_f - 32) / 1.8


def c_to_f(temperature_c: float) -> float:
    """Degrees Fahrenheit. Exact by definition (NIST SP 811, B.8).

    >>> c_to_f(100.0)
    212.0
    """
    return temperature_c * 1.8 + 32


def gas_mark_c(mark: float) -> float:
    """Oven temperature of a British gas mark, C: 275 F at mark 1 and 25 F a mark; 1/2 is 250 F, 1/4 225 F.

    Range: 1/4, 1/2 and 1 to 10; else ValueError. Source: common practice.

    >>> round(gas_mark_c(4), 1)
    176.7
    """
    if mark in (0.25, 0.5):
        return f_to_c(200 + 25 * (1 if mark == 0.25 else 2))
    if not 1 <= mark <= 10:
        raise ValueError(f"gas marks run from 1/4 to 10, and {mark:g} is none")
    return f_to_c(250 + 25 * mark)


def dial_c(temperature_c: float) -> int:
    """The nearest temperature an oven dial shows in C: steps of 5.

    >>> dial_c(176.7), dial_c(178)
    (175, 180)
    """
    return 5 * floor(temperature_c / 5 + 0.5)


def dial_f(temperature_c: float) -> int:
    """The nearest temperature an oven dial shows, in F: steps of 25 where within 6 F, else of 5.

    >>> dial_f(175), dial_f(180), dial_f(170)
    (350, 355, 340)
    """
    temperature_f = c_to_f(temperature_c)
    round_f = 25 * floor(temperature_f / 25 + 0.5)
    return round_f if abs(round_f - temperature_f) <= 4.5 else 5 * floor(temperature_f / 5 + 0.5)


# -- reading amounts ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount as written: `low` to `high` (equal unless a range) of `unit`, `times` over.

    `unit` is "" when none was written.
    """

    low: float
    high: float
    unit: str = ""
    times: float = 1.0

    @property
    def amount(self) -> float:
        """The midpoint, all packs together."""
        return self.times * (self.low + self.high) / 2

    @property
    def is_range(self) -> bool:
        """Whether two ends were written."""
        return self.low != self.high


_VULGAR = {ord(sign): f" {Fraction(numeric(sign)).limit_denominator(10)}" for sign in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"}
_MARKS = (
    _VULGAR
    | {ord("⁄"): "/", ord("∕"): "/", ord("×"): "x"}
    | {ord(dash): "-" for dash in "–—−‐‑"}
    | {ord(space): " " for space in "\u00a0\u2002\u2003\u2009\u202f"}
)


def plain_marks(text: str) -> str:
    """The same text with fraction signs, dashes, multiplication signs and odd spaces as plain characters.

    >>> plain_marks("1½–2 × ¾")
    '1 1/2-2 x  3/4'
    """
    return text if text.isascii() else text.translate(_MARKS)


_COUNTED = [
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
]
_SMALL = (
    {"a": 1.0, "an": 1.0, "a couple of": 2.0, "a couple": 2.0, "couple of": 2.0}
    | {word: float(value) for value, word in enumerate(_COUNTED, start=1)}
    | {word: 10.0 * value for value, word in enumerate(["thirty", "forty", "fifty", "sixty"], start=3)}
)
_PARTS = {"half": 0.5, "third": 1 / 3, "thirds": 1 / 3, "quarter": 0.25, "quarters": 0.25, "eighth": 0.125}
_SMALL_WORD = "|".join(sorted(_SMALL, key=len, reverse=True))
_PART_WORD = "|".join(sorted(_PARTS, key=len, reverse=True))
_PART = r"(?:\d\s*/\s*(?:[2-9]|1[026]|32|64)|(?:1[0-5])\s*/\s*(?:16|32))(?![\d/])"
"""A fraction as kitchens use them; 100/120 is a range and 1/2/3 nothing."""
_DIGITS = re.compile(
    rf"(?P<whole>\d+)(?:\s+|\s*-\s*|\s*&\s*|\s+and\s+|\s*\+\s*)(?P<part>{_PART})"
    rf"|(?P<only_part>{_PART})"
    r"|(?P<halves>\d+)\s+(?:and|&)\s+(?:an?|one)[\s-]+(?P<half>half|quarter|third)\b"
    r"|(?P<nothing>\d+\s*/\s*(?:0(?!\d)|\d+\s*/\s*\d))"
    r"|(?P<thousands>[1-9]\d{0,2}(?:(?:,\d{3})+|(?:[ ]0\d\d)+))(?![\d,])(?P<decimals>\.\d+)?"
    r"|(?P<decimal>\d+(?:[.,]\d+)?|\.\d+)"
)
_WORDED = re.compile(
    rf"(?:(?P<whole>{_SMALL_WORD})\s+and\s+(?:(?P<of>{_SMALL_WORD})\s+)?(?P<part>{_PART_WORD})"
    rf"|(?P<doubtful>half\s+a|a\s+half|a)\s+(?P<dozen>dozen)"
    rf"|(?P<dozens>{_SMALL_WORD})\s+(?P<many>dozen)"
    rf"|(?P<lone>dozen)"
    rf"|(?:(?P<some>{_SMALL_WORD})[\s-]+)?(?P<fraction>{_PART_WORD})(?:\s+(?:of\s+)?(?:an?|of))?"
    rf"|(?P<number>{_SMALL_WORD}))\b",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:-|/(?=\d)|to\b|or\b|and\b)\s*", re.IGNORECASE)
_TIMES = re.compile(r"\s*[xX*]\s*(?=\d)")


def read_number(text: str) -> tuple[float, str] | None:
    """The number a text begins with, and the rest of it; None when it begins with none.

    A comma before exactly three digits groups thousands, otherwise it is a decimal comma.

    >>> read_number("1 1/2 cups"), read_number("1½"), read_number("1,5 dl"), read_number("1,500 g")
    ((1.5, ' cups'), (1.5, ''), (1.5, ' dl'), (1500.0, ' g'))
    >>> read_number("one and a half cups"), read_number("a dozen eggs"), read_number("half a cup")
    ((1.5, ' cups'), (12.0, ' eggs'), (0.5, ' cup'))
    >>> read_number("2 and a half"), read_number("1 000 g"), read_number("100/120 g")
    ((2.5, ''), (1000.0, ' g'), (100.0, '/120 g'))
    >>> read_number("flour") is None, read_number("1/0"), read_number("1/2/3")
    (True, None, None)
    """
    text = plain_marks(text).lstrip()
    match = _DIGITS.match(text)
    if match is not None:
        value = _digits(match)
        return None if value is None else (value, text[match.end() :])
    match = _WORDED.match(text)
    return None if match is None else (_worded(match), text[match.end() :])


def _digits(match: re.Match[str]) -> float | None:
    found = match.groupdict()
    if found["nothing"] is not None:
        return None
    part = found["part"] or found["only_part"]
    if part is not None:
        return float(int(found["whole"] or 0) + Fraction("".join(part.split())))
    if found["halves"] is not None:
        return int(found["halves"]) + _PARTS[found["half"].lower()]
    if found["thousands"] is not None:
        return float(found["thousands"].replace(",", "").replace(" ", "") + (found["decimals"] or ""))
    return float(found["decimal"].replace(",", "."))


def _worded(match: re.Match[str]) -> float:
    found = {name: value.lower() for name, value in match.groupdict().items() if value is not None}
    if "whole" in found:
        parts = _SMALL[found["of"]] if "of" in found else 1.0
        return _SMALL[found["whole"]] + parts * _PARTS[found["part"]]
    if "dozen" in found:
        return 6.0 if "half" in found["doubtful"] else 12.0
    if "many" in found:
        return 12.0 * _SMALL[found["dozens"]]
    if "lone" in found:
        return 12.0
    if "fraction" in found:
        return (_SMALL[found["some"]] if "some" in found else 1.0) * _PARTS[found["fraction"]]
    return _SMALL[found["number"]]


_WORD_UNIT = re.compile(
    r"\s*-?\s*((?:fl|fluid)\.?\s*(?:oz|ounces?)|[^\W\d_]+)(\.)?(?![^\W\d_])", re.IGNORECASE
)


def read_unit(text: str) -> tuple[str, str]:
    """The unit a text begins with ("" when with none), and the rest of it.

    >>> read_unit(" tbsp. of oil"), read_unit("g almonds"), read_unit(" large eggs")
    (('tbsp', ' of oil'), ('g', ' almonds'), ('', ' large eggs'))
    """
    spoon = _SPOON_OF.match(text)
    if spoon is not None:
        return "tbsp" if spoon["of"][0] in "sS" else "tsp", text[spoon.end() :]
    match = _WORD_UNIT.match(text)
    if match is not None:
        unit = unit_named(match.group(1))
        if unit is not None:
            return unit, text[match.end() :]
    return "", text


def read_quantity(text: str) -> tuple[Quantity, str] | None:
    """The quantity a text begins with, and the rest of it; None when it begins with no number.

    >>> read_quantity("2 to 3 tbsp oil")
    (Quantity(low=2.0, high=3.0, unit='tbsp', times=1.0), ' oil')
    >>> read_quantity("2 x 400 g tins of beans")
    (Quantity(low=400.0, high=400.0, unit='g', times=2.0), ' tins of beans')
    >>> read_quantity("1 cup to 1 1/4 cups water")
    (Quantity(low=1.0, high=1.25, unit='cup', times=1.0), ' water')
    """
    first = read_number(text)
    if first is None:
        return None
    low, rest = first
    times = _TIMES.match(rest)
    if times is not None:
        inner = read_quantity(rest[times.end() :])
        if inner is not None and inner[0].times == 1.0:
            return Quantity(inner[0].low, inner[0].high, inner[0].unit, low), inner[1]
    unit, after_unit = read_unit(rest)
    second = _second_end(after_unit if unit else rest, low)
    if second is None:
        return Quantity(low, low, unit), after_unit
    high, after_high = second
    high_unit, after_both = read_unit(after_high)
    if unit and high_unit not in ("", unit):
        return Quantity(low, low, unit), after_unit
    return Quantity(low, high, unit or high_unit), after_both if high_unit else after_high


def _second_end(text: str, low: float) -> tuple[float, str] | None:
    between = _BETWEEN.match(text)
    if between is None:
        return None
    if between.group().strip().lower() == "and":
        return None
    rest = text[between.end() :]
    if re.match(r"an?\b", rest, re.IGNORECASE):
        return None
    second = read_number(rest)
    if second is None or second[0] <= low:
        return None
    return None if between.group().strip() == "/" and second[0] > 2 * low else second


# -- writing amounts ------------------------------------------------------------------------------

_COOKS_FRACTIONS = sorted({Fraction(top, bottom) for bottom in (3, 8) for top in range(bottom + 1)})


def cook_number(amount: float) -> str:
    """An amount as a cook says it: to the nearest eighth or third below 10, whole above; never 0.

    Range: amount >= 0; else ValueError.

    >>> cook_number(1.5), cook_number(0.333), cook_number(2.02), cook_number(13.4), cook_number(0.01)
    ('1 1/2', '1/3', '2', '13', 'a trace')
    """
    if amount < 0:
        raise ValueError(f"an amount is never negative, and this is {amount:g}")
    if amount >= 10:
        return f"{amount:.0f}"
    nearest = Fraction(_as_cooks_say(amount)).limit_denominator(8)
    whole = floor(nearest)
    if nearest == 0:
        return "0" if amount == 0 else "a trace"
    return " ".join(str(bit) for bit in (whole, nearest - whole) if bit)


def _as_cooks_say(amount: float) -> float:
    """The number a cook would say: the nearest eighth or third below 10, the nearest whole above."""
    if amount >= 10:
        return float(floor(amount + 0.5))
    whole = floor(amount)
    part = min(_COOKS_FRACTIONS, key=lambda fraction: (abs(fraction - Fraction(amount - whole)), fraction))
    return float(whole + part)


_CUPS = sorted({Fraction(top, bottom) for bottom in (3, 4) for top in range(bottom)})
"""Parts of a cup that measuring cups are sold in."""


def cook_measure(amount: float, unit: str) -> str:
    """A household measure as a cook would fill it: cups with spoons over or under, tablespoons in halves, from one
    teaspoon up in quarters.

    Range: amount >= 0; else ValueError.

    >>> cook_measure(0.94, "cup"), cook_measure(0.72, "cup"), cook_measure(1.52, "cup")
    ('1 cup less 1 tbsp', '2/3 cup and 1 tbsp', '1 1/2 cups')
    >>> cook_measure(1.2, "tbsp"), cook_measure(2.6, "tbsp"), cook_measure(0.26, "tsp"), cook_measure(2.17, "tsp")
    ('3 1/2 tsp', '2 1/2 tbsp', '1/4 tsp', '2 1/4 tsp')
    """
    if unit == "tbsp" and amount < 10:
        halves = floor(2 * amount + 0.5) / 2
        if abs(halves - amount) > 0.08 * amount and amount < 2:
            return f"{cook_number(floor(6 * amount + 0.5) / 2)} tsp"
        return f"{cook_number(halves)} tbsp"
    if unit == "tsp" and 1 <= amount < 10:
        return f"{cook_number(floor(4 * amount + 0.5) / 4)} tsp"
    if unit != "cup" or amount >= 10:
        return f"{cook_number(amount)} {unit_text(unit, floor(8 * amount + 0.5) / 8)}"
    whole = floor(amount)
    sizes = [whole + float(part) for part in (*_CUPS, Fraction(1))]
    size = min(sizes, key=lambda each: abs(each - amount))
    if abs(size - amount) <= max(0.03 * amount, 0.025):
        return f"{cook_number(size)} {unit_text(unit, size)}"
    short = floor(32 * (whole + 1 - amount) + 0.5) / 2
    if 0 < short <= 2:
        return f"{whole + 1} {unit_text(unit, whole + 1)} less {cook_number(short)} tbsp"
    under = max(each for each in sizes if each <= amount)
    over = floor(32 * (amount - under) + 0.5) / 2
    spoons = f"{cook_number(over)} tbsp"
    return f"{cook_number(under)} {unit_text(unit, under)} and {spoons}" if under else spoons


def exact_number(value: float) -> str:
    """A number written so that reading it gives the very same: a kitchen fraction where one is exact.

    >>> exact_number(1.5), exact_number(1 / 3), exact_number(168.0), exact_number(0.1)
    ('1 1/2', '1/3', '168', '0.1')
    """
    if 0 < value < 100:
        whole = floor(value)
        for fraction in _COOKS_FRACTIONS[1:-1]:
            if float(whole + fraction) == value:
                return f"{whole} {fraction}" if whole else str(fraction)
    return plain_number(value)


def kitchen_number(value: float) -> float:
    """A number freed of rounding noise: the kitchen fraction it is within a billionth of, else itself.

    >>> kitchen_number(1.1250000000000002), kitchen_number(1.2)
    (1.125, 1.2)
    """
    whole = floor(value)
    for fraction in _COOKS_FRACTIONS:
        if abs(whole + fraction - value) < 1e-9:
            return float(whole + fraction)
    return value


def plain_number(value: float) -> str:
    """The shortest decimal that reads as the very same number, without an exponent.

    >>> plain_number(168.0), plain_number(0.1), plain_number(1e-7)
    ('168', '0.1', '0.0000001')
    """
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    written = repr(value)
    if "e" not in written:
        return written
    from decimal import Decimal

    return format(Decimal(written), "f")


def borne_out(value: float, low: float, high: float) -> tuple[float, float, float]:
    """A number and its range without decimals finer than a quarter of the range; the number keeps its first digit.

    >>> borne_out(2.438, 1.432, 2.771), borne_out(19.4, 16.4, 21.6), borne_out(0.3, 0.0, 8.3)
    ((2.4, 1.4, 2.8), (19.0, 16.0, 22.0), (0.3, 0.0, 8.0))
    """
    if low == high:
        return value, low, high
    decimals = _decimals((high - low) / 4)
    return round(value, max(decimals, _decimals(value or 1.0))), round(low, decimals), round(high, decimals)


def _decimals(size: float) -> int:
    """Decimals down to a size's first digit."""
    return max(0, -floor(log10(abs(size))))


def grams_text(mass_g: float, exact: bool = False) -> str:
    """Grams as a kitchen scale and a cook would have them: 0.1 g below 10, 1 g to 250, 5 g above.

    `exact` keeps whole grams above 250 (and tenths below 10), for labels and sums.

    >>> grams_text(4.23), grams_text(168.4), grams_text(1337.0), grams_text(1337.0, exact=True)
    ('4.2 g', '168 g', '1335 g', '1337 g')
    """
    if 0 < mass_g < 0.05:
        return "under 0.1 g"
    if mass_g < 9.95:
        return f"{mass_g:.1f}".removesuffix(".0") + " g"
    if mass_g <= 250 or exact:
        return f"{mass_g:.0f} g"
    return f"{5 * floor(mass_g / 5 + 0.5)} g"


def ounces_text(mass_g: float) -> str:
    """Ounces to a tenth (a hundredth below one), pounds and ounces from a pound up.

    >>> ounces_text(100.0), ounces_text(5.0), ounces_text(1000.0)
    ('3.5 oz', '0.18 oz', '2 lb 3.3 oz')
    """
    all_oz = ounces(mass_g)
    if all_oz < 0.995:
        return f"{all_oz:.2f} oz"
    tenths = floor(10 * all_oz + 0.5)
    pounds, tenths = divmod(tenths, 160)
    rest = f"{tenths / 10:.1f}".removesuffix(".0") + " oz"
    if not pounds:
        return rest
    return f"{pounds} lb {rest}" if tenths else f"{pounds} lb"


def words_of(units: Iterable[str]) -> frozenset[str]:
    """All words that stand for these units, in lower case.

    >>> "tablespoons" in words_of(["tbsp"])
    True
    """
    return frozenset(word.lower() for unit in units for word in (unit, *_WORDS[unit].split()))
