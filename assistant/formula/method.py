"""Steps of a method as written: their kind, times, temperatures, what they use, and the bake in them.

Kinds are read off the verbs, so a sentence that names no kind is `other` and joins its neighbour. Times
read as minutes, temperatures as C whether given in F, C or gas marks.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from assistant.formula.model import STEP_KINDS, TINS, Bake, Line, Step
from assistant.rulebook.model import Ingredient
from assistant.words.faults import Fault, Place
from assistant.words.units import f_to_c, gas_mark_c, plain_marks, read_number

# -- kinds ----------------------------------------------------------------------------------------


def any_of(alternatives: str) -> re.Pattern[str]:
    """A pattern for any of several alternatives, one a line; capitals don't matter."""
    return re.compile("|".join(line.strip() for line in alternatives.strip().splitlines()), re.IGNORECASE)


# The order decides where a sentence speaks of several: the oven before the proof, the proof before the mix.
_KINDS: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "prepare",
        any_of(
            r"""
            \b(?:pre-?\s?heat\w*|heat (?:the |your |an )?oven|(?:set|turn|warm) (?:the |your )?oven)\b
            """
        ),
    ),
    (
        "bake",
        any_of(
            r"""
            (?<!before you )(?<!ready to )(?<!until )(?<!to )\bbake\b(?!\s*-?\s*(?:sheet|tray|dish|tin|pan)s?\b)
            (?<!before )(?<!while )\bbaking (?:for|at|until|time|about|another|\d)
            \bcontinue baking\b
            \broast\b
            \b(?:put|place|slide|set|return|pop|transfer)\b[^.;]*?\b(?:in|into|to) (?:the|a|your) (?:hot |preheated )?oven\b(?! off)
            """
        ),
    ),
    (
        "proof",
        any_of(
            r"""
            \b(?:proof|prove|proving|proofing|ferment\w*|doubled?|doubles) (?:in|its|for|until|the|size|overnight|about|\d)
            \b(?:let|leave|allow|set)\b[^.;]*?\b(?:rise|prove|proof|ferment)\b
            \brise (?:for|until|in|about|again|\d)
            \b(?:bulk|final|second|first|cold) (?:rise|proof|prove|ferment\w*)\b
            \bbulk (?:for )?(?:about )?\d
            \buntil doubled\b
            \bin (?:the warm(?! (?:water|milk|liquid|mixture))|a warm (?:place|spot))\b
            ^(?:proof|prove|ferment|rise)\b
            (?:proof|prove|rise)\.?$
            """
        ),
    ),
    (
        "bloom",
        any_of(
            r"""
            \bbloom\b
            \bactivate\b
            \byeast\b[^.;]*\b(?:foam\w*|froth\w*|bubbly|bubbles)\b
            \b(?:dissolve|sprinkle|proof|stir|whisk)\b[^.;]*\byeast\b[^.;]*\b(?:water|milk|liquid)\b
            \b(?:foamy|frothy)\b
            """
        ),
    ),
    (
        "cool",
        any_of(
            r"""
            \b(?:let|leave|allow|set)\b[^.;]*?\bcool\b
            ^(?:then )?cool\b
            \bcool (?:in|on|for|completely|at|before|until|it|them)\b
            \bto cool\b
            \b(?:wire|cooling) rack\b
            """
        ),
    ),
    (
        "rest",
        any_of(
            r"""
            \b(?:rest|stand|sit|soak|swell|relax|hydrate|thicken|autolyse)\b(?! of\b)
            \b(?:chill|refrigerate)\b
            \bset aside (?:for|\d)
            \bleave (?:it |them |the \w+ )?(?:for|to thicken|overnight|\d)
            \bwait\b
            """
        ),
    ),
    (
        "cook",
        any_of(
            r"""
            \b(?:boil|simmer|fry|saut[eé]|scald|steam|griddle|poach|caramelise|caramelize)\b(?!ing)
            ^(?:cook|melt|toast|heat|warm)\b
            \bcook (?:for|until|over|in|on|the|them|it|about|each|\d)
            \bbring\b[^.;]*\bto (?:a|the) (?:boil|simmer)\b
            \bover (?:low|medium|high|gentle)[\w -]* heat\b
            """
        ),
    ),
    (
        "shape",
        any_of(
            r"""
            \b(?:shape|form|divide|portion|braid|plait|score|slash|scoop|flatten)\b(?! (?:of|a gel))
            \broll (?:out|into|each|the|up|it|them|with)\b
            ^(?:roll|cut|press|pat|drop|pipe)\b(?=[^.;]*\b__GOODS__\b)
            ^(?:spoon|pour|scrape|turn(?= (?:out|the|onto|into))|tip|transfer|spread|place|put|arrange|set|lay)\b(?=[^.;]*\b(?:in|into|on|onto|to|over) [^.;]*\b__GOODS__\b)
            ^(?:fill|scatter|top|brush|dust|smooth)\b(?=[^.;]*\b__GOODS__\b)
            \bcut (?:out|into|a deep|a cross)\b
            \bsprinkle\b(?! (?:the |in the |over the )?(?:\w+ )?(?:yeast|gelatine?|flour))
            """.replace(
                "__GOODS__",
                r"(?:(?:piece|ball|roll|round|log|tin|pan|sheet|tray|liner|top|circle|square|wedge|strip)s?"
                r"|loaf|loaves|cases|surface)",
            )
        ),
    ),
    (
        "mix",
        any_of(
            r"""
            \b(?:mix|stir|whisk|combine|beat|fold|knead|cream|blend|add|sift|rub|incorporate|pour|whip|toss|work)\b(?! aside)
            \b(?:process|pulse|crumble|mash|dissolve|sprinkle|bring together|make a (?:well|hollow)|put|place|tip)\b(?! aside)
            """
        ),
    ),
    (
        "prepare",
        any_of(
            r"""
            \b(?:grease|line|prepare|weigh|measure|peel|chop|grate|slice|soften|separate|drain|soak)\b
            ^(?:oil|butter|flour|have|gather|get|spray|lightly (?:grease|oil|flour))\b
            \bwith (?:parchment|baking paper)\b
            """
        ),
    ),
)
_HEATED_THROUGH = any_of(
    r"""
    \bover\b[^.;]*\b(?:simmering|boiling|hot) water\b
    \bover [^.;]*\bheat\b
    \bdouble boiler\b|\bbain[- ]marie\b
    \bsimmer(?!ing water)
    \bcook\w*\b[^.;]*\b(?:thick\w*|custard|until|for \d)
    """
)


_BEFORE_THE_VERB = re.compile(
    r"^\s*(?:(?:meanwhile|then|next|first|now|finally),? |(?:once|when|after) [^,]*, |"
    r"(?:gently|carefully|immediately) )*",
    re.IGNORECASE,
)


SENTENCE_CHARS = 600
"""How far into a sentence its verbs are looked for; what is longer is no sentence."""


def kind_of_step(text: str) -> str:
    """The kind a sentence belongs to, by its verbs; "other" when none says.

    >>> kind_of_step("Cover and let rise until doubled, about 1 hour."), kind_of_step("Serve warm.")
    ('proof', 'other')
    >>> kind_of_step("Whisk the flour with the baking powder."), kind_of_step("Grease a baking sheet.")
    ('mix', 'prepare')
    """
    text = text[:SENTENCE_CHARS]
    before = _BEFORE_THE_VERB.match(text)
    bare = text if before is None else text[before.end() :]
    for kind, pattern in _KINDS:
        if pattern.search(bare) is not None:
            return kind
    return "other"


# -- times ----------------------------------------------------------------------------------------

_NUMBER = (
    r"(?:\d+(?:[.,]\d+)?(?:\s+\d/\d)?(?:\s+and\s+a\s+half)?|\d/\d|an?|one|two|three|four|five|six|eight|ten|twelve|"
    r"half an?|a quarter of an|three[- ]quarters of an|a couple of|one and a half)"
)
_UNIT = r"(?P<unit>hours?|hrs?|h|minutes?|mins?|min|m(?=\s|$)|seconds?|secs?|days?)\b\.?"
_TIME = re.compile(
    rf"(?<![\w./])(?P<low>{_NUMBER})\s*(?:(?P<low_unit>hours?|hrs?|h|minutes?|mins?)\.?)?"
    rf"\s*(?:(?:-|to|or|and)\s*(?P<high>{_NUMBER}))?[\s-]*{_UNIT}"
    rf"(?:\s*(?:and\s+|,\s*)?(?P<more>\d+)\s*(?:minutes?|mins?)\b\.?)?",
    re.IGNORECASE,
)
_HAS_TIME = any_of(r"\b(?:overnight|an? (?:hour|minute)|hours?|minutes?)\b|\d\s*(?:h|m|s|d)")
_OVERNIGHT = re.compile(r"\bovernight\b", re.IGNORECASE)
_IN_MINUTES = {"h": 60.0, "m": 1.0, "s": 1 / 60, "d": 1440.0}
OVERNIGHT_MIN = (480.0, 720.0)
"""What bakers mean by overnight, min: 8 to 12 hours. Source: common practice."""


@dataclass(frozen=True, slots=True)
class Spell:
    """A length of time in a text: min, and where it stands."""

    low: float
    high: float
    start: int
    end: int


def times_in(text: str) -> tuple[Spell, ...]:
    """All lengths of time in a text, min.

    >>> [(t.low, t.high) for t in times_in("Bake 25-30 minutes, or 1 1/2 hours; rest 1 hour 15 minutes.")]
    [(25.0, 30.0), (90.0, 90.0), (75.0, 75.0)]
    >>> [(t.low, t.high) for t in times_in("Rise 1 to 1 1/2 hours, half an hour more, or overnight")]
    [(60.0, 90.0), (30.0, 30.0), (480.0, 720.0)]
    """
    if _HAS_TIME.search(text) is None:
        return ()
    plain = plain_marks(text)
    found = []
    for match in _TIME.finditer(plain):
        low = _plain_value(match["low"])
        if low is None:
            continue
        unit = _IN_MINUTES[match["unit"][0].lower()]
        low_unit = _IN_MINUTES[match["low_unit"][0].lower()] if match["low_unit"] else unit
        high = _plain_value(match["high"]) if match["high"] else None
        if match["low_unit"] and high is None:
            continue
        more = float(match["more"]) if match["more"] and unit == _IN_MINUTES["h"] else 0.0
        ends = (low * low_unit, low * low_unit if high is None else high * unit)
        if match["low_unit"] and ends[1] < ends[0]:  # "1 hour 15 minutes" reads as one time
            ends = (sum(ends), sum(ends))
        if ends[1] < ends[0]:
            ends = (ends[1], ends[0])
        found.append(Spell(round(ends[0] + more, 4), round(ends[1] + more, 4), match.start(), match.end()))
    found += [Spell(*OVERNIGHT_MIN, match.start(), match.end()) for match in _OVERNIGHT.finditer(plain)]
    return tuple(sorted(found, key=lambda spell: spell.start))


def _plain_value(text: str) -> float | None:
    words = text.lower().replace("-", " ")
    if words.startswith("half a"):
        return 0.5
    if words.startswith("a quarter of"):
        return 0.25
    if words.startswith("three quarters of"):
        return 0.75
    if words.startswith("a couple"):
        return 2.0
    if words.endswith("and a half"):
        first = read_number(words.removesuffix("and a half"))
        return None if first is None else first[0] + 0.5
    number = read_number(text)
    return None if number is None else number[0]


# -- temperatures ---------------------------------------------------------------------------------

_DEGREES = re.compile(
    r"(?<![\w.])(?P<low>\d{2,3}(?:\.\d+)?)\s*(?:°|º|˚|degrees?|deg\.?)?\s*(?:(?:-|to|and)\s*(?P<high>\d{2,3}(?:\.\d+)?)\s*)?"
    r"(?P<sign>°|º|˚|degrees?\b|deg\b\.?)?\s*(?P<scale>fahrenheit\b|celsius\b|centigrade\b|[FC](?![a-z'’]))?"
    r"(?P<fan>[\s,(]*(?:fan|convection)\b(?! *:? *\d))?",
    re.IGNORECASE,
)
_HAS_DIGIT = re.compile(r"\d")
_GAS = re.compile(r"\bgas\s*(?:mark)?\s*(?P<mark>\d+(?:/\d)?|1/[24])\b", re.IGNORECASE)
_FAN_BEFORE = re.compile(r"(?:fan|convection)(?:\s+oven)?[\s:(]*(?:at|to|is)?\s*$", re.IGNORECASE)

Scale = Literal["F", "C", "gas", "bare"]


@dataclass(frozen=True, slots=True)
class Heat:
    """A temperature in a text: C (the midpoint of a range), as it was written, and where it stands."""

    celsius: float
    scale: Scale
    fan: bool
    start: int
    end: int


def heats_in(text: str) -> tuple[Heat, ...]:
    """All temperatures in a text, C to a tenth.

    A number with no scale counts only beside "degrees" or a degree sign, and is C unless it can't be:
    above 260, where home ovens end, and above 105 of a liquid or a crumb, it is F.

    >>> [(h.celsius, h.fan) for h in heats_in("Heat the oven to 180C/160C fan/gas mark 4 (350 F).")]
    [(180.0, False), (160.0, True), (176.7, False), (176.7, False)]
    """
    if _HAS_DIGIT.search(text) is None:
        return ()
    plain = plain_marks(text)
    found = []
    for match in _DEGREES.finditer(plain):
        scale = match["scale"]
        signed = match["sign"] is not None or re.search(r"[°º˚]|deg", match.group()) is not None
        if scale is None and not signed:
            continue
        if scale is not None and not signed and scale in "fc" and match["low"] in ("00",):
            continue
        ends = [float(match["low"])] + ([float(match["high"])] if match["high"] else [])
        written = sum(ends) / len(ends)
        if scale is None:
            as_scale: Scale = "bare"
            celsius = (
                f_to_c(written) if _is_fahrenheit(written, plain, match.start(), match.end()) else written
            )
        elif scale[0] in "Ff":
            as_scale, celsius = "F", f_to_c(written)
        else:
            as_scale, celsius = "C", written
        fan = match["fan"] is not None or _FAN_BEFORE.search(plain[: match.start()]) is not None
        found.append(Heat(round(celsius, 1), as_scale, fan, match.start(), match.end()))
    for match in _GAS.finditer(plain):
        number = read_number(match["mark"])
        if number is not None and (number[0] in (0.25, 0.5) or 1 <= number[0] <= 10):
            found.append(Heat(round(gas_mark_c(number[0]), 1), "gas", False, match.start(), match.end()))
    return tuple(sorted(found, key=lambda heat: heat.start))


_INSIDE = any_of(r"\b(?:internal\w*|inside|core|cent(?:re|er)|middle|thermometer|probe|reads?|registers?)\b")
_REACHED = any_of(r"(?:until|to|reach\w*|has|have|is|are|of)\s*$")
_OVEN = any_of(r"\boven\b")
_LIQUID = any_of(r"\b(?:water|milk|liquid|yeast|luke-?warm|hot tap)\b")


def _is_fahrenheit(degrees: float, text: str, start: int, end: int) -> bool:
    """Whether a number of degrees without a scale must be Fahrenheit."""
    around = text[max(0, start - 40) : end + 25]
    wet = _LIQUID.search(around) is not None or _INSIDE.search(around) is not None
    return degrees > 260 or (degrees > 105 and wet and _OVEN.search(around) is None)


def best_heat(heats: Sequence[Heat]) -> Heat | None:
    """Of several ways to write one temperature the one to go by: C before F before gas, still before fan."""
    order = {"C": 0, "F": 1, "bare": 2, "gas": 3}
    return min(heats, key=lambda heat: (heat.fan, order[heat.scale], heat.start), default=None)


# -- steps ----------------------------------------------------------------------------------------

_SENTENCE = re.compile(r"(?<=[.!?;])\s+(?=[A-Z0-9(\"'])|(?<=;)\s+|\n+")
_STATED = re.compile(r"\s*\[(?P<kind>[a-z]+)(?:; (?P<rest>[^\]]*))?\]\s*$")


def read_steps(text: str) -> tuple[Step, ...]:
    """One paragraph of a method as steps: neighbouring sentences of one kind together.

    >>> [(s.kind, s.minutes) for s in read_steps("Mix the flour and water. Cover. Let rise 1 hour.")]
    [('mix', None), ('proof', 60.0)]
    >>> [(s.kind, s.minutes) for s in read_steps("Mix, proof 2 hours, shape, bake at 230 C for 35 minutes.")]
    [('mix', None), ('proof', 120.0), ('shape', None), ('bake', 35.0)]
    """
    groups: list[tuple[str, list[str]]] = []
    for sentence in (clause for each in _SENTENCE.split(text.strip()) for clause in _clauses(each)):
        kind = kind_of_step(sentence)
        if groups and (kind in (groups[-1][0], "other") or groups[-1][0] == "other"):
            known = groups[-1][0] if kind == "other" else kind
            groups[-1] = (known, [*groups[-1][1], sentence])
        elif sentence:
            groups.append((kind, [sentence]))
    return tuple(_step(kind, " ".join(sentences).rstrip(",")) for kind, sentences in groups)


_CLAUSE = re.compile(r"(?<=,)\s+(?=[a-z])|\s+(?=and\s+then\s+[a-z])")
_WAITS = frozenset({"proof", "rest", "bake", "cook"})
"""Kinds of steps whose times count by themselves."""


def _clauses(sentence: str) -> list[str]:
    """The steps within a sentence that tells several with times of their own: "mix, proof 2 hours, bake 35 minutes";
    else the sentence whole."""
    if len(times_in(sentence)) < 2:
        return [sentence]
    pieces = _CLAUSE.split(sentence)
    kinds = [kind_of_step(piece) for piece in pieces]
    timed = {kind for kind, piece in zip(kinds, pieces, strict=True) if kind in _WAITS and times_in(piece)}
    return pieces if len(timed) >= 2 and "bake" in timed else [sentence]


def _step(kind: str, text: str) -> Step:
    spell = _time_of(kind, text)
    heat = best_heat(_heats_of(kind, text))
    ranged = spell is not None and spell[0] != spell[1]
    return Step(
        kind=kind,
        text=text,
        minutes=None if spell is None else spell[0],
        minutes_high=spell[1] if spell is not None and ranged else None,
        temperature_c=None if heat is None else heat.celsius,
    )


_ALSO = re.compile(r"\b(?:more|further|another|longer|additional|again|then)\b", re.IGNORECASE)


def _time_of(kind: str, text: str) -> tuple[float, float] | None:
    """The time a step takes: what follows its verb first, what is said to come on top added."""
    spells = times_in(text)
    if not spells:
        return None
    if len(spells) == 1:
        return spells[0].low, spells[0].high
    verb = _verb(kind, text)
    stop = _next_verb(kind, text, verb)
    own = [spell for spell in spells if verb <= spell.start < stop]
    if not own:
        own = [spells[0]]
    low, high = own[0].low, own[0].high
    for spell in own[1:]:
        around = text[own[0].end : spell.end + 12]
        if _ALSO.search(around) is not None and not re.search(r"\bor\b", text[own[0].end : spell.start]):
            low, high = low + spell.low, high + spell.high
    return low, high


def _verb(kind: str, text: str) -> int:
    starts = [match.start() for each, pattern in _KINDS if each == kind for match in pattern.finditer(text)]
    return min(starts, default=0)


_THEN: Mapping[str, tuple[str, ...]] = {
    "bake": ("cool", "rest"),
    "cook": ("cool", "rest"),
    "proof": ("bake",),
    "rest": ("bake", "proof"),
    "mix": ("rest", "proof"),
}
"""What a sentence of one kind may go on to say of another, whose time is then not its own."""


def _next_verb(kind: str, text: str, after: int) -> int:
    """Where the next thing to do begins in a sentence."""
    later = _THEN.get(kind, ())
    starts = [
        match.start()
        for each, pattern in _KINDS
        if each in later
        for match in pattern.finditer(text)
        if match.start() > after
    ]
    return min(starts, default=len(text))


def _heats_of(kind: str, text: str) -> list[Heat]:
    """Temperatures a step works at: for a bake those of the oven, not of the crumb."""
    return oven_heats(text) if kind == "bake" else list(heats_in(text))


def oven_heats(text: str) -> list[Heat]:
    """Temperatures in a text that can be an oven's."""
    return [heat for heat in heats_in(text) if not is_core(heat, text)]


def is_core(heat: Heat, text: str) -> bool:
    """Whether a temperature is the crumb's and not the oven's: no crumb passes 110 C, and no oven is set
    below 60."""
    if heat.celsius < 60 or heat.celsius > 110:
        return heat.celsius < 60
    before, after = text[max(0, heat.start - 40) : heat.start], text[heat.end : heat.end + 25]
    if _OVEN.search(before) is not None:
        return False
    return any(_INSIDE.search(side) for side in (before, after)) or _REACHED.search(before) is not None


def stated_step(text: str) -> Step | None:
    """The form a writer falls back to, which says all of a step: `text [kind; 5 to 10 min; 55 C; lines 1 2]`.

    None when the text is not in that form.

    >>> stated_step("Wait [rest; 5 to 10 min; lines 2]")
    Step(kind='rest', text='Wait', minutes=5.0, minutes_high=10.0, temperature_c=None, uses=(1,), part='')
    """
    match = _STATED.search(text)
    if match is None or match["kind"] not in STEP_KINDS:
        return None
    minutes: float | None = None
    high: float | None = None
    temperature: float | None = None
    uses: tuple[int, ...] = ()
    for bit in match["rest"].split("; ") if match["rest"] else ():
        time = re.fullmatch(r"([\d.]+)(?: to ([\d.]+))? min", bit)
        heat = re.fullmatch(r"(-?[\d.]+) C", bit)
        lines = re.fullmatch(r"lines((?: \d+)+)", bit)
        if time is not None:
            minutes, high = float(time[1]), float(time[2]) if time[2] else None
        elif heat is not None:
            temperature = float(heat[1])
        elif lines is not None:
            uses = tuple(int(number) - 1 for number in lines[1].split())
        else:
            return None
    return Step(match["kind"], text[: match.start()].strip(), minutes, high, temperature, uses)


# -- what a step uses -----------------------------------------------------------------------------

_GROUPS = (
    (any_of(r"\bdry (?:ingredients|mix\w*)\b"), ("dry",)),
    (any_of(r"\b(?:wet|liquid) ingredients\b|\bthe (?:wet|liquids)\b"), ("wet", "fat")),
)
_EVERY = re.compile(r"\b(?:all (?:of )?(?:the )?(?:other )?ingredients|everything)\b", re.IGNORECASE)
_REST_OF = re.compile(r"\b(?:remaining|other|rest of the) ingredients\b", re.IGNORECASE)


_AS_A_VERB = r" (?:a|an|the|your) (?:\w+ )?(?:sheet|tray|tin|pan|surface|board|worktop|dish|hands)\b"
"""After "flour", "butter" or "oil": something is done to the tin, and the line is not meant."""


class Called:
    """What the lines of a formula are called in its method.

    Where a name stands in several parts of a recipe, the part is meant that a step stands under, that its other
    names belong to, or that it speaks of; else those lines that no step has taken yet.
    """

    def __init__(self, lines: Sequence[Line], ingredients: Sequence[Ingredient | None]) -> None:
        self.parts = tuple(line.part for line in lines)
        self.enters = tuple(ingredient.enters if ingredient else "" for ingredient in ingredients)
        whole: dict[str, list[int]] = {}
        short: dict[str, list[int]] = {}
        for at, (line, ingredient) in enumerate(zip(lines, ingredients, strict=True)):
            names = {line.name.lower()}
            if ingredient is not None:
                names |= {ingredient.name.lower(), *(alias.lower() for alias in ingredient.aliases)}
            for name in names:
                if name:
                    whole.setdefault(name, []).append(at)
            words = line.name.lower().split()
            tails = {" ".join(words[start:]) for start in range(1, len(words))}
            for part in tails | {words[0]} if len(words) > 1 else set():
                short.setdefault(part, []).append(at)
        for part, places in short.items():
            if part not in _TOO_COMMON and (part not in whole or " " in part):
                whole[part] = [*whole[part], *places] if part in whole else places
        self.by_name = {name: tuple(dict.fromkeys(places)) for name, places in whole.items()}
        names_first = sorted(self.by_name, key=lambda name: (-len(name), name))
        forms = "|".join(re.escape(name) for name in names_first)
        self.pattern = re.compile(rf"\b({forms})(?:e?s)?\b(?!{_AS_A_VERB})", re.IGNORECASE) if forms else None

    def in_text(self, text: str, used: frozenset[int], part: str = "") -> tuple[int, ...]:
        """Places of the lines a text names, in order; `used` are those that earlier steps took, `part` is the part
        of the recipe whose heading the text stands under."""
        found: set[int] = set()
        unsure: list[tuple[int, ...]] = []
        if self.pattern is not None:
            for match in self.pattern.finditer(text):
                places = self.by_name[match.group(1).lower()]
                if len({self.parts[at] for at in places}) == 1:
                    found |= set(places)
                else:
                    unsure.append(places)
        every = tuple(range(len(self.enters)))
        for pattern, enters in _GROUPS:
            if pattern.search(text) is not None:
                unsure.append(tuple(at for at in every if self.enters[at] in enters))
        if _EVERY.search(text) is not None:
            unsure.append(every)
        if _REST_OF.search(text) is not None:
            unsure.append(tuple(at for at in every if at not in used))
        scopes = ({part} - {""}, {self.parts[at] for at in found}, self._spoken(text))
        for places in unsure:
            found |= set(self._meant(places, scopes, used))
        return tuple(sorted(found))

    def _spoken(self, text: str) -> set[str]:
        """Parts a text speaks of."""
        return {part for part in self.parts if part and re.search(rf"\b{re.escape(part)}\b", text, re.IGNORECASE)}

    def _meant(
        self, places: Sequence[int], scopes: Sequence[set[str]], used: frozenset[int]
    ) -> Sequence[int]:
        if not any(self.parts):
            return places
        for scope in scopes:
            within = [at for at in places if self.parts[at] in scope]
            if within:
                return within
        return [at for at in places if at not in used] or places


_TOO_COMMON = frozenset({
    "active", "baking", "black", "brown", "cold", "dark", "dried", "dry", "extra",
    "fine", "free-range", "fresh", "green", "ground", "hot", "instant", "large", "light",
    "plain", "powder", "pure", "red", "small", "warm", "white", "whole",
})  # fmt: skip
"""Words too common for a line to be called by them alone."""


@dataclass(frozen=True, slots=True)
class SoFar:
    """What earlier steps leave to know: the lines they took, and the oven they heated, C."""

    used: frozenset[int] = frozenset()
    oven_c: float | None = None

    def after(self, step: Step) -> "SoFar":
        """What is known after one more step."""
        heat = best_heat(oven_heats(step.text)) if step.kind == "prepare" else None
        return SoFar(self.used | set(step.uses), self.oven_c if heat is None else heat.celsius)


def read_paragraph(text: str, called: Called, so_far: SoFar, part: str = "") -> tuple[Step, ...]:
    """One paragraph of a method as steps, with the lines each one names; a bake without a temperature has
    that of the oven heated before. `part` is the part of the recipe whose heading it stands under."""
    stated = stated_step(text)
    if stated is not None:
        return (replace(stated, part=part),)
    steps = []
    for step in read_steps(text):
        step = replace(step, uses=called.in_text(step.text, so_far.used, part), part=part)
        if step.kind == "bake" and step.temperature_c is None:
            step = replace(step, temperature_c=so_far.oven_c)
        so_far = so_far.after(step)
        steps.append(step)
    return tuple(steps)


def heated_in(text: str, called: Called) -> frozenset[int]:
    """Places of the lines that a text heats through, on the stove or over hot water: those named before it says
    so, in the same sentence. What has a hot syrup poured on it does not count.

    >>> called = Called((Line("egg white", None, 40.0), Line("sugar", None, 90.0)), (None, None))
    >>> sorted(heated_in("Whisk the egg white over simmering water. Add the sugar.", called))
    [0]
    >>> sorted(heated_in("Boil the sugar and pour it over the egg white.", called))
    []
    """
    found: set[int] = set()
    for sentence in _SENTENCE.split(text):
        heat = _HEATED_THROUGH.search(sentence)
        if heat is not None:
            found |= set(called.in_text(sentence[: heat.end()], frozenset()))
    return frozenset(found)


def read_method(paragraphs: Iterable[tuple[str, str]], called: Called) -> tuple[tuple[Step, ...], ...]:
    """The steps of each paragraph of a method, given with the part it stands under ("" for none)."""
    so_far = SoFar()
    out = []
    for text, part in paragraphs:
        steps = read_paragraph(text, called, so_far, part)
        for step in steps:
            so_far = so_far.after(step)
        out.append(steps)
    return tuple(out)


# -- the bake -------------------------------------------------------------------------------------

_PANS = (
    ("loaf tin", any_of(r"\b(?:loaf|bread)[- ](?:tin|pan)s?\b")),
    ("muffin tin", any_of(r"\b(?:muffin|cupcake|bun)[- ](?:tin|pan|tray|cup|case)s?\b")),
    ("round tin", any_of(r"\b(?:round|cake|spring-?form|pie|tart|sandwich)[- ](?:tin|pan|dish)s?\b")),
    ("stone", any_of(r"\b(?:baking|pizza)[- ](?:stone|steel)\b")),
    ("skillet", any_of(r"\b(?:skillet|frying pan|cast[- ]iron|dutch oven|griddle)\b")),
    ("sheet", any_of(r"\b(?:baking|cookie|sheet|oven)[- ](?:sheet|tray|pan)s?\b|\b(?:tray|a sheet)\b")),
)

PANS = frozenset(pan for pan, _ in _PANS) | set(TINS)
"""What a bake may stand in."""

_SIDES = re.compile(r"(\d+(?:\.\d+)?)(?: ?(?:x|×|by) ?(\d+(?:\.\d+)?))?(?: ?(?:x|×|by) ?(\d+(?:\.\d+)?))?")


def sides_cm(text: str) -> tuple[float, ...]:
    """Sides of a pan as they stand in a text, as written; none when none do.

    >>> sides_cm("23 x 13 x 7 cm"), sides_cm("20"), sides_cm("a large tin")
    ((23.0, 13.0, 7.0), (20.0,), ())
    """
    found = _SIDES.search(text)
    return () if found is None else tuple(float(side) for side in found.groups() if side is not None)


def pan_in(texts: Iterable[str]) -> str:
    """What the pieces stand in, by the first word for it; "" when unsaid.

    >>> pan_in(["Line a baking sheet."]), pan_in(["Scrape into a loaf tin."]), pan_in(["Serve."])
    ('sheet', 'loaf tin', '')
    """
    for text in texts:
        spots = [
            (match.start(), pan) for pan, pattern in _PANS if (match := pattern.search(text)) is not None
        ]
        if spots:
            return min(spots)[1]
    return ""


@dataclass(frozen=True, slots=True)
class _Spell:
    """A stretch of the bake at one temperature; min."""

    heat: Heat | None
    low: float
    high: float


_TURNED = any_of(
    r"\b(?:lower|reduce|turn (?:it |the oven |the heat )?(?:down|up)|increase|raise)\b"
    r"|\bthen(?: for)?(?: another)? \d+[^.;]*\bat \d{2,3} ?(?:°|[CF]\b)"
)


def _spells_of(step: Step, oven: Heat | None) -> list[_Spell]:
    """The stretches of a bake step: one, unless the oven is turned down or up within it."""
    turned = _TURNED.search(step.text)
    if turned is not None:
        parts = (step.text[: turned.start()], step.text[turned.start() :])
        times = [_time_of(step.kind, part) for part in parts]
        spells = []
        for part, time in zip(parts, times, strict=True):
            oven = best_heat(oven_heats(part)) or oven
            if time is not None:
                spells.append(_Spell(oven, *time))
        if len(spells) == len(parts):
            return spells
    if step.minutes is None:
        return []
    high = step.minutes if step.minutes_high is None else step.minutes_high
    return [_Spell(best_heat(oven_heats(step.text)) or oven or _stated(step), step.minutes, high)]


def bake_of(steps: Sequence[Step], places: Sequence[Place]) -> tuple[Bake | None, tuple[Fault, ...]]:
    """The bake of a method: oven and minutes of its bake steps, the oven of a preheating step otherwise.

    `places` say where each step stands.
    """
    oven: Heat | None = None
    spells: list[_Spell] = []
    for step in steps:
        if step.kind == "bake":
            spells += _spells_of(step, oven)
        if step.kind in ("bake", "prepare") or _OVEN.search(step.text) is not None:
            oven = best_heat(oven_heats(step.text)) or oven
    bakes = [step for step in steps if step.kind == "bake"]
    if not bakes:
        return None, ()
    where = next(place for step, place in zip(steps, places, strict=True) if step.kind == "bake")
    if not spells:
        mend = 'write how long, as in "bake 25 to 30 minutes"'
        return None, (Fault(where, "the bake step says no time", mend, False),)
    longest = max(spells, key=lambda spell: spell.low + spell.high)
    heat = longest.heat or next((spell.heat for spell in spells if spell.heat is not None), None)
    if heat is None:
        mend = 'write how hot, as in "bake at 180 C"'
        return None, (Fault(where, "the bake step says no oven temperature", mend, False),)
    low, high = sum(spell.low for spell in spells), sum(spell.high for spell in spells)
    bake = Bake(
        oven_c=heat.celsius,
        minutes=(low + high) / 2,
        minutes_low=low if low != high else None,
        minutes_high=high if low != high else None,
        pan=pan_in([*(step.text for step in bakes), *(step.text for step in steps)]),
        oven="fan" if heat.fan else "still",
    )
    return bake, tuple(_bake_faults(heat, spells, where))


def _bake_faults(heat: Heat, spells: Sequence[_Spell], where: Place) -> Iterable[Fault]:
    if heat.scale == "bare":
        said = f"the oven temperature has no scale; I took it as {heat.celsius:g} C"
        yield Fault(where, said, "write C or F", False, "ambiguous")
    hots = sorted({spell.heat.celsius for spell in spells if spell.heat is not None})
    if len(hots) > 1:
        said = " and ".join(f"{hot:g}" for hot in hots)
        yield Fault(
            where,
            f"it bakes at {said} C; I go by {heat.celsius:g} C for the whole time",
            "give one oven temperature for the best forecast",
            False,
        )


def _stated(step: Step) -> Heat | None:
    return None if step.temperature_c is None else Heat(step.temperature_c, "C", False, 0, 0)
