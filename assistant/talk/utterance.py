"""What a typed line asks for: words in, a request out, no terminal.

The grammar is a table of English phrases (`PHRASES`), tried in order. In a phrase `a|b` are alternatives
in brackets, `[x]` may be left out and `{slot}` is something to fill in. Words of ingredients, diets,
allergens and recipes come from the rulebook through `Vocabulary`; none stand here. When a line may mean
several things the answer is a question: better asked than guessed.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, lru_cache
from itertools import product
from typing import Protocol

from assistant.formula.line import SIFTED, SIFTED_CUP
from assistant.formula.model import TINS, Line
from assistant.rulebook.model import PURPOSES, Rulebook
from assistant.talk.english import (
    AROUND_A_WISH,
    FACTORS,
    FAULTS,
    FORMATS,
    LANGUAGES,
    MATERIALS,
    NUTRIENTS,
    ORDINALS,
    OVENS,
    PANS,
    POLITENESS,
    RAISED,
    SHAPES,
    TOPICS,
    WHATS,
    Table,
    by_word,
    phrases,
)
from assistant.talk.label import Label, read_label
from assistant.talk.portion import of_portion, portions_in
from assistant.talk.request import (
    Avoid,
    Bake,
    Choose,
    Clarify,
    Compare,
    Convert,
    Decline,
    Diagnose,
    Explain,
    Fit,
    Forget,
    Help,
    Instead,
    Open,
    Packet,
    Pantry,
    Publish,
    Quit,
    Record,
    Redo,
    Replace,
    Request,
    Save,
    Scale,
    Schedule,
    Show,
    Target,
    Undo,
    Units,
    Unknown,
    WhatIf,
)
from assistant.words.faults import Fault, Place
from assistant.words.units import (
    exact_number,
    f_to_c,
    in_g,
    in_ml,
    kind_of,
    plain_marks,
    read_number,
    read_quantity,
    unit_named,
)

KIN = 0.9
"""Confidence in a line that is of the kind named."""
NAMED = 0.95
"""Confidence of a name that is written as some ingredient's is."""
SURE, ASK = 0.8, 0.6
"""Confidence from which a reading is acted on, and from which it is offered as a question."""
TYPO_COST = 0.1
LONGEST = 48
"""Words of a line that are read; more is no request."""
MEDICINE = (
    "Doses, and what is safe for one person, are for a doctor, dietitian or pharmacist. I only know "
    "recipes: say low carb, or net carbs under 5 g, and I can show what that asks for."
)
OFF_TOPIC = "That is not about baking; I only know recipes, ingredients and ovens."
FOOT_M = 0.3048
"""Metres in a foot, exact by definition (NIST HB 44, appendix C)."""
TYPED = Place("as typed")


class Named(Protocol):
    """An ingredient some words may mean."""

    @property
    def id(self) -> str:
        """Its rules id."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def confidence(self) -> float:
        """How surely it is meant, 0 to 1."""

    @property
    def of_class(self) -> str:
        """The class that was named, when it was one; else ""."""


class Finder(Protocol):
    """Finds ingredients by what people call them."""

    def find(self, text: str) -> Sequence[Named]:
        """Ingredients the text may mean, best first; none when it means none."""


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Words that come from the rules: ingredients, diets and allergens by what they are called."""

    names: Finder
    diets: Mapping[str, str] = field(default_factory=dict)
    allergens: Mapping[str, str] = field(default_factory=dict)
    recipes: tuple[str, ...] = ()
    classes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # of each ingredient
    holds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # allergens of each ingredient

    @staticmethod
    def of(book: Rulebook, names: Finder, recipes: tuple[str, ...] = ()) -> "Vocabulary":
        """The words of a rulebook."""
        diets = {_bare(word): d.id for d in book.diets.values() for word in (d.id, d.name, *d.aliases)}
        allergens = {_bare(word): a.id for a in book.allergens.values() for word in (a.id, a.name)}
        classes = {i.id: i.classes for i in book.ingredients.values()}
        holds = {i.id: i.contains or () for i in book.ingredients.values()}
        return Vocabulary(names, diets, allergens, recipes, classes, holds)


@dataclass(frozen=True, slots=True)
class Context:
    """What is being talked about: the recipe's lines, the choices last asked, the titles of the plans on the
    table, and what was asked about a packet that is being written ("" when none is)."""

    lines: tuple[Line, ...] = ()
    choices: tuple[str, ...] = ()
    plans: tuple[str, ...] = ()
    wanting: str = ""


@dataclass(frozen=True, slots=True)
class Understood:
    """A reading of a typed line. `faults` say why when there is none, or what to choose between."""

    request: Request
    confidence: float
    faults: tuple[Fault, ...] = ()


def understand(text: str, vocabulary: Vocabulary, context: Context) -> Understood:
    """The request a typed line makes.

    Below a confidence of `SURE` the person is asked (`Clarify`), below `ASK` the line counts as not
    understood (`Unknown`) and the nearest sentences are offered. Never raises.
    """
    for portion in portions_in(text, context.lines):
        own = tuple(line for line in context.lines if portion.whole or line.part == portion.part)
        told = _understood(portion.words, vocabulary, replace(context, lines=own or context.lines))
        request = of_portion(told.request, portion) if told.confidence >= ASK else None
        if request is not None:
            return replace(told, request=request)
    return _understood(text, vocabulary, context)


def _understood(text: str, vocabulary: Vocabulary, context: Context) -> Understood:
    words = _words(text)
    if not words:
        return Understood(
            Unknown(), 0.0, (Fault(TYPED, "nothing was typed", "say what to change, or `help`"),)
        )
    packet = _of_packet(text, vocabulary, context)
    if packet is not None:
        return packet
    if len(words) > LONGEST:
        return Understood(
            Unknown(), 0.0, (Fault(TYPED, "that is too long to follow", "ask one thing at a time"),)
        )
    picked = _picked(words, context)
    if picked is not None:
        return Understood(picked, 1.0)
    best: Understood | None = None
    for attempt in _attempts(words, vocabulary, context):
        reading = _read(*attempt, vocabulary, context)
        if reading is not None and (best is None or reading.confidence > best.confidence):
            best = reading
        if best is not None and best.confidence >= SURE:
            break
    if best is None or best.confidence < SURE:
        parts = _wishes(words, vocabulary, context) or _parts(words, vocabulary, context)
        if parts is not None:
            return parts
    if best is None:
        return _not_understood(words)
    if best.confidence >= SURE or isinstance(best.request, Clarify):
        return best
    if best.confidence >= ASK:
        question = Clarify((sentence(best.request),), (best.request,))
        what = f'"{_said(words)}" is not clear'
        return Understood(
            question, best.confidence, (Fault(TYPED, what, "", True, "ambiguous", question.choices),)
        )
    return best if isinstance(best.request, Unknown) else _not_understood(words)


# -- words -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Word:
    """A word as typed and as it is matched: lower case, no apostrophe, no closing mark."""

    said: str
    bare: str


_SPLITS = re.compile(
    r"(?<=\d)(?=[^\W\d_]|%|°)(?!(?:st|nd|rd|th)\b)|(?<=\bx)(?=\d)|(?<=#)(?=\d)|,(?!\d)", re.IGNORECASE
)


def _words(text: str) -> list[_Word]:
    """Words of a line; one with a hyphen is several that were said as one."""
    clean = plain_marks(text[:2000]).replace("’", "'").replace("‘", "'")
    found = []
    for said in _SPLITS.sub(lambda mark: f" {mark.group()} ", clean).split():
        spoken = said.strip('?!;"()')
        for part in re.split(r"(?<=[^\W\d_])-(?=[^\W\d_])", said):
            bare = re.sub(r"[^\w%/:.,&-]", "", part.lower()).strip(".:-_/") or ("," if part == "," else "")
            if bare:
                found.append(_Word(spoken, bare))
                spoken = ""
    while found and found[-1].bare == ",":
        found.pop()
    return found


@lru_cache(maxsize=4096)
def _bare(text: str) -> str:
    """Words as they are matched.

    >>> _bare("Gluten-free, please!")
    'gluten free , please'
    """
    return " ".join(word.bare for word in _words(text))


def _attempts(
    words: list[_Word], vocabulary: Vocabulary, context: Context
) -> Iterable[tuple[list[_Word], float]]:
    """The line as typed, then without its politeness and commas, then with misspelt words mended."""
    yield words, 1.0
    plain = _politeless(words)
    if plain != words:
        yield plain, 1.0
    mended = [word if _names_something(word.bare, vocabulary, context) else _mended(word) for word in words]
    if mended != words:
        yield mended, 1.0 - TYPO_COST
        if (less := _politeless(mended)) != mended:
            yield less, 1.0 - TYPO_COST


def _politeless(words: list[_Word]) -> list[_Word]:
    rest = [word for word in words if word.bare != ","] or words
    changed = True
    while changed:
        changed = False
        for phrase in POLITENESS["lead in"]:
            head = phrase.split()
            if len(rest) > len(head) and [w.bare for w in rest[: len(head)]] == head:
                rest, changed = rest[len(head) :], True
        for phrase in POLITENESS["lead out"]:
            tail = phrase.split()
            if len(rest) > len(tail) and [w.bare for w in rest[-len(tail) :]] == tail:
                rest, changed = rest[: -len(tail)], True
    return rest


@cache
def _grammar_words() -> tuple[str, ...]:
    found = {w for _, phrase in phrases() for w in re.findall(r"[a-z]{3,}", re.sub(r"\{\w+\}", " ", phrase))}
    for table in (
        WHATS,
        NUTRIENTS,
        FACTORS,
        PANS,
        MATERIALS,
        SHAPES,
        OVENS,
        TOPICS,
        FAULTS,
        FORMATS,
        LANGUAGES,
        ORDINALS,
    ):
        found |= {w for said in by_word(table) for w in said.split() if len(w) > 2}
    return tuple(sorted(found))


def _names_something(word: str, vocabulary: Vocabulary, context: Context) -> bool:
    """Whether a word is known otherwise than from the grammar, and so is no slip."""
    if len(word) < 3 or any(word in _bare(line.name).split() for line in context.lines):
        return True
    if any(word in name.split() for table in (vocabulary.diets, vocabulary.allergens) for name in table):
        return True
    return any(match.confidence >= NAMED for match in vocabulary.names.find(word)[:1])


def _mended(word: _Word) -> _Word:
    """A word nearly of the grammar as that word; short words and known ones as they are."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    known = _grammar_words()
    if len(word.bare) < 3 or not word.bare.isalpha() or word.bare in known:
        return word
    most = 1 if len(word.bare) < 7 else 2
    found = extract(word.bare, known, scorer=OSA.distance, score_cutoff=most, limit=8)
    near = sorted(
        (distance, sorted(name) != sorted(word.bare), name[0] != word.bare[0], -len(name), name)
        for name, distance, _ in found
    )
    return replace(word, bare=near[0][-1]) if near else word


# -- phrases ---------------------------------------------------------------------------------------

_NUMBER = (
    r"(?:(?:\d[\d.,/]*|\.\d+|half|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|dozen|an?) "
    r"(?:(?:\d+/\d+|and|an?|half|dozen|quarter|third|of) )*?)"
)
_ANY = r"(?:\S+ )+?"
_SIDE = r"\d[\d.,/]*(?: \d+/\d+)?(?:[ -](?:cm|mm|in|inch|inches|centimetres|centimeters))?"
_SLOTS: Mapping[str, str] = {
    "n": _NUMBER,
    "n2": _NUMBER,
    "size": _NUMBER,
    "mass": rf"(?:{_NUMBER}(?:g|gr|gram|grams|kg|kilo|kilos|oz|ounce|ounces|lb|lbs|pound|pounds) (?:of )?)",
    "measure": rf"(?:{_NUMBER}(?:\S+ ))",
    "altitude": rf"(?:{_NUMBER}(?:m|metres|meters|metre|meter|masl|ft|feet|foot) |(?:the )?sea level )",
    "sides": rf"(?:{_SIDE}(?: (?:x|by|times) ?{_SIDE}){{0,2}} )",
    "litres": r"(?:\d[\d.,/]*(?: \d+/\d+)?[ -](?:l|litre|litres|liter|liters|ml|dl|quart|quarts|qt|cup|cups|pint|pints) )",
    "heat": rf"(?:{_NUMBER}(?:(?:degrees? )?(?:c|f|celsius|fahrenheit)|degrees?)? ?)",
    "muffins": r"(?:muffins |cupcakes |muffin |cupcake )",
    "material": "",
    "material2": "",
    "temperature": rf"(?:{_NUMBER}(?:(?:degrees? )?(?:c|f|celsius|fahrenheit)|degrees?) )",
    "time": r"(?:\d{1,2}(?:[:.]\d\d)? (?:(?:am|pm|a\.m|p\.m|oclock|h|hrs|hours) )?|noon |midnight |midday )",
    "pieces": r"(?:loaf |loaves |rolls |roll |buns |bun |pieces |muffins |scones |cookies |biscuits |slices |"
    r"cakes |bagels |flatbreads |pancakes |servings |portions |breads |bread |of them )",
    "what": "",  # filled from the tables below
    "nutrient": "",
    "factor": "",
    "pan": "",
    "shape": "",
    "oven": "",
    "format": "",
    "language": "",
    "ordinal": "",
    "ordinal2": "",
    "thetopic": "",
    "raiser": "",
    "hundred": r"(?:(?:per|in) (?:100 g|100 grams|hundred grams) )",
}
_TABLES: Mapping[str, Table] = {
    "what": WHATS,
    "nutrient": NUTRIENTS,
    "factor": FACTORS,
    "pan": PANS,
    "material": MATERIALS,
    "material2": MATERIALS,
    "shape": SHAPES,
    "oven": OVENS,
    "format": FORMATS,
    "language": LANGUAGES,
    "ordinal": ORDINALS,
    "ordinal2": ORDINALS,
    "thetopic": TOPICS,
    "raiser": RAISED,
}


@cache
def _slot(name: str) -> str:
    if name in _TABLES:
        words = sorted(by_word(_TABLES[name]), key=lambda w: (-len(w), w))
        extra = (
            rf"|{_NUMBER}times |{_NUMBER}(?:%|percent) of "
            if name == "factor"
            else r"|\d+ "
            if name.startswith("ordinal")
            else ""
        )
        return "(?:" + "|".join(re.escape(word + " ") for word in words) + extra + ")"
    return _SLOTS.get(name) or _ANY


_PIECES = re.compile(r"\{(\w+)\}|([()\[\]|])|([^\s()\[\]|{}]+)")


@cache
def _pattern(phrase: str) -> re.Pattern[str]:
    """A phrase of the grammar as a pattern over words each followed by one blank.

    >>> bool(_pattern("(i have|got) no [more] {thing}").fullmatch("got no flour "))
    True
    """
    made = []
    for slot, mark, word in _PIECES.findall(phrase):
        if slot:
            made.append(f"(?P<{slot}>{_slot(slot)})")
        elif mark:
            made.append({"(": "(?:", "[": "(?:", "]": ")?"}.get(mark, mark))
        else:
            made.append(re.escape(word + " "))
    return re.compile("".join(made))


@dataclass(frozen=True)
class _Match:
    """A phrase that fits, with what fills its slots, and what can be looked up."""

    slots: Mapping[str, str]
    said: Mapping[str, str]
    vocabulary: Vocabulary
    context: Context

    def number(self, slot: str = "n") -> float | None:
        """The number in a slot; None when it is none."""
        read = read_number(self.slots[slot])
        return None if read is None or read[1].strip() else read[0]

    def grams(self, slot: str = "mass") -> float | None:
        """The mass in a slot, g."""
        read = read_quantity(self.slots[slot].removesuffix(" of"))
        if read is None or read[1].strip() or read[0].unit not in ("g", "kg", "oz", "lb"):
            return None
        return read[0].amount * in_g(read[0].unit)

    def key(self, slot: str) -> str | None:
        """What a word of a table stands for; None when the slot is empty."""
        text = self.slots.get(slot)
        return None if text is None else by_word(_TABLES[slot]).get(text)

    def has(self, slot: str) -> bool:
        """Whether a slot was filled."""
        return slot in self.slots

    @cached_property
    def factor(self) -> float | None:
        """The factor in its slot: words, "3 times", "80 % of"."""
        text = self.slots["factor"]
        read = read_number(by_word(FACTORS).get(text, text))
        if read is None:
            return None
        return read[0] / 100 if "%" in read[1] or "percent" in read[1] else read[0]

    def things(self, make: Callable[..., Request], *slots: str) -> Understood | None:
        """A request about ingredients, one for each slot; a question where a slot may mean several."""
        found: list[tuple[_Thing, ...]] = []
        for slot in slots:
            look = find_stand_in if slot == "substitute" else find_ingredient
            things = look(self.said[slot], self.vocabulary, self.context)
            if not things:
                return Understood(
                    Unknown(), 0.3, (_no_ingredient(self.said[slot], self.vocabulary, self.context),)
                )
            found.append(things)
        ways = list(product(*found))[:6]
        confidence = min(min(thing.confidence for thing in way) for way in ways)
        if len(ways) == 1:
            return Understood(make(*(thing.id for thing in ways[0])), confidence)
        requests = tuple(make(*(thing.id for thing in way)) for way in ways)
        moving = [at for at, things in enumerate(found) if len(things) > 1]
        choices = tuple(" for ".join(way[at].name for at in moving) for way in ways)
        which = " and ".join(f'"{self.said[slots[at]]}"' for at in moving)
        fault = Fault(TYPED, f"{which} may mean several things", "say which", True, "ambiguous", choices)
        return Understood(Clarify(choices, requests), min(confidence, 0.75), (fault,))


Builder = Callable[[_Match], Understood | None]


def _sure(request: Request, confidence: float = 1.0) -> Understood:
    return Understood(request, confidence)


def _always(request: Request) -> Builder:
    return lambda m: _sure(request)


def _read(
    words: list[_Word], confidence: float, vocabulary: Vocabulary, context: Context
) -> Understood | None:
    """The first surely fitting phrase of the grammar, else the best."""
    line = "".join(word.bare + " " for word in words)
    best: Understood | None = None
    for name, phrase in phrases():
        match = _pattern(phrase).fullmatch(line)
        if match is None:
            continue
        slots = {name: text.strip() for name, text in match.groupdict().items() if text is not None}
        said = {name: _as_said(line, words, match.span(name)) for name in slots}
        reading = BUILDERS[name](_Match(slots, said, vocabulary, context))
        if reading is None:
            continue
        reading = replace(reading, confidence=round(reading.confidence * confidence, 3))
        if best is None or reading.confidence > best.confidence:
            best = reading
        if best.confidence >= SURE:
            break
    return best


def _said(words: Iterable[_Word]) -> str:
    return " ".join(word.said for word in words if word.said)


def _as_said(line: str, words: list[_Word], span: tuple[int, int]) -> str:
    first, last = line[: span[0]].count(" "), line[: span[1]].count(" ")
    return _said(words[first:last])


# -- ingredients -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Thing:
    id: str
    name: str
    confidence: float


_ARTICLES = frozenset(
    {
        "the",
        "teh",
        "a",
        "an",
        "my",
        "our",
        "your",
        "its",
        "any",
        "some",
        "more",
        "of",
        "all",
        "this",
        "that",
        "these",
    }
    | {"those", "no", "enough", "bit", "little", "single", "drop", "good", "fresh", "real", "proper"}
)
_TRAILING = frozenset(
    {
        "left",
        "anymore",
        "anywhere",
        "either",
        "here",
        "today",
        "now",
        "then",
        "instead",
        "in",
        "it",
        "at",
        "all",
    }
)


def _essence(text: str) -> str:
    """A name without what surrounds it.

    >>> _essence("any of the yeast left")
    'yeast'
    """
    words = _bare(text).replace(",", " ").split()
    while len(words) > 1 and words[0] in _ARTICLES:
        words = words[1:]
    while len(words) > 1 and words[-1] in _TRAILING:
        words = words[:-1]
    return " ".join(words)


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith("oes"):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


@lru_cache(maxsize=4096)
def _stems(text: str) -> tuple[str, ...]:
    return tuple(_singular(word) for word in _bare(text).replace(",", " ").split())


def find_ingredient(text: str, vocabulary: Vocabulary, context: Context) -> tuple[_Thing, ...]:
    """What an ingredient's words mean here: lines of the recipe first, then the rulebook.

    One thing when it is clear, several when it is to be asked, none when nothing is near.
    """
    wanted = _essence(text)
    own = [match for match in vocabulary.names.find(_bare(text)) if match.confidence == 1.0]
    if len(own) == 1 and len(_bare(text).split()) > len(wanted.split()):
        return (_Thing(own[0].id, own[0].name, 1.0),)
    number = re.fullmatch(r"(?:line|number|ingredient) (\d{1,3})", wanted)
    if number is not None:
        at = int(number.group(1)) - 1
        return (_of_line(context.lines[at], 1.0),) if 0 <= at < len(context.lines) else ()
    stems = _stems(wanted)
    if not stems or not any(c.isalpha() for c in wanted):
        return ()
    exact = [line for line in context.lines if _stems(line.name) == stems]
    if exact:
        return _distinct(_of_line(line, 1.0) for line in exact)
    named = vocabulary.names.find(wanted)
    here = {line.ingredient for line in context.lines if line.ingredient}
    sure = [_Thing(match.id, match.name, match.confidence) for match in named if match.confidence >= NAMED]
    local = [thing for thing in sure if thing.id in here]
    if local:
        return _distinct(local)
    ending, holding = _partial(stems, context)
    if ending or (holding and not sure):
        return ending or holding
    if sure:
        return _distinct((*holding, *sure[:5]))
    kinds = {match.of_class for match in named if match.of_class}
    kin = [line for line in context.lines if kinds & set(vocabulary.classes.get(line.ingredient or "", ()))]
    if kin:
        return _distinct(_of_line(line, KIN) for line in kin)
    close = _close_lines(wanted, context)
    if close:
        return close
    if not named or named[0].confidence < ASK:
        return ()
    top = named[0].confidence
    near = [match for match in named if match.confidence >= top - 0.05]
    near = [match for match in near if match.id in here] or near
    return _distinct(_Thing(m.id, m.name, m.confidence) for m in near[:5])


def find_stand_in(text: str, vocabulary: Vocabulary, context: Context) -> tuple[_Thing, ...]:
    """What the words for something that comes in mean: the rulebook first, lines of the recipe after."""
    sure = [m for m in vocabulary.names.find(_essence(text)) if m.confidence >= NAMED]
    if len(sure) == 1:
        return (_Thing(sure[0].id, sure[0].name, sure[0].confidence),)
    return find_ingredient(text, vocabulary, context)


def _partial(stems: tuple[str, ...], context: Context) -> tuple[tuple[_Thing, ...], tuple[_Thing, ...]]:
    """Lines whose name ends with these words, and those that hold them: "the flour" is the one in it."""
    holding = [line for line in context.lines if set(stems) <= set(_stems(line.name))]
    ending = [line for line in holding if _stems(line.name)[-len(stems) :] == stems]
    return _distinct(_of_line(line, 0.97) for line in ending), _distinct(
        _of_line(line, 0.97) for line in holding
    )


def _close_lines(wanted: str, context: Context) -> tuple[_Thing, ...]:
    """Lines whose name, or one word of it, is misspelt by a letter or two."""
    from rapidfuzz.distance import OSA

    found = []
    for line in context.lines:
        name = _bare(line.name)
        for candidate in {name, *name.split()}:
            far = OSA.distance(wanted, candidate)
            if len(candidate) >= 4 and far <= (1 if len(candidate) < 7 else 2):
                found.append((far, _of_line(line, 0.9)))
                break
    nearest = min((far for far, _ in found), default=0)
    return _distinct(thing for far, thing in found if far == nearest)


def _of_line(line: Line, confidence: float) -> _Thing:
    return _Thing(line.ingredient or line.name, line.name, confidence)


def _distinct(things: Iterable[_Thing]) -> tuple[_Thing, ...]:
    found: dict[str, _Thing] = {}
    for thing in things:
        found.setdefault(thing.id, thing)
    return tuple(found.values())


def _no_ingredient(said: str, vocabulary: Vocabulary, context: Context) -> Fault:
    near = tuple(match.name for match in vocabulary.names.find(_essence(said))[:3])
    mend = "did you mean" if near else "name it as it stands in the recipe"
    return Fault(TYPED, f'"{said}" is no ingredient I know', mend, True, "not understood", near)


# -- packets ---------------------------------------------------------------------------------------

_UNTOLD = frozenset(
    ("skip", "unknown", "not stated", "none stated", "not on it", "it does not say", "doesnt say", "it doesnt say")
)
_KEEP = frozenset(("keep it", "keep it anyway", "keep it all the same", "keep", "thats right", "it says so"))
_LONGEST_LABEL = 1000
"""Characters of a line that may be a label."""


def _of_packet(text: str, vocabulary: Vocabulary, context: Context) -> Understood | None:
    """What a line tells of a packet: a label's figures, or an answer to what was asked about it."""
    said = _bare(text)
    if context.wanting and said in _KEEP:
        return _sure(Packet(keep=True))
    if context.wanting and said in _UNTOLD:
        return _sure(Packet(skipped=(context.wanting,)))
    if context.wanting == "like":
        named = re.sub(r"^(?:(?:it is|its) )?like (?:an? |the )?", "", said)
        if _is_named(named, vocabulary):
            return _packet_of(Label(like=named), vocabulary)
    label = read_label(text[:_LONGEST_LABEL], context.wanting)
    return None if label is None else _packet_of(label, vocabulary)


def _is_named(words: str, vocabulary: Vocabulary) -> bool:
    """Whether words are an ingredient's name, and not a sentence that ends with one."""
    found = vocabulary.names.find(_essence(words))
    return bool(found) and found[0].confidence >= NAMED


def _packet_of(label: Label, vocabulary: Vocabulary) -> Understood:
    """The label with its names looked up; a name that is not known is told."""
    named = (*(label.contains or ()), *(label.may_contain or ()))
    allergens = {name: _labelled_allergens(_essence(name), vocabulary) for name in named}
    unknown = next((name for name, found in allergens.items() if found is None), None)
    if unknown is not None:
        fault = Fault(TYPED, f'"{unknown}" is no allergen of the EU or US list', "name it as the label does")
        return Understood(Unknown(), 0.3, (fault,))
    like = vocabulary.names.find(_essence(label.like)) if label.like else ()
    if label.like and (not like or like[0].confidence < ASK):
        return Understood(Unknown(), 0.3, (_no_ingredient(label.like, vocabulary, Context()),))
    return _sure(
        Packet(
            ingredient=label.name or None,
            per=None if label.per is None else f"{label.per[0]:g} {label.per[1]}",
            convention=label.convention or None,
            figures=label.figures or None,
            like=like[0].id if like else None,
            less=label.less,
            household=label.household,
            unread=(*label.unread, *(f"{name} (no listed allergen)" for name in named if not allergens[name])),
            contains=_each(label.contains, allergens),
            may_contain=_each(label.may_contain, allergens),
        )
    )


def _labelled_allergens(words: str, vocabulary: Vocabulary) -> tuple[str, ...] | None:
    """Allergens that a label names: by their own name, or by a food that holds them ("almonds"); none where the
    food holds none, None where nobody knows it."""
    allergen = _allergen(words, vocabulary)
    if allergen is not None:
        return (allergen,)
    foods = [match for match in vocabulary.names.find(words) if match.confidence >= NAMED]
    return vocabulary.holds.get(foods[0].id, ()) if foods else None


def _each(named: tuple[str, ...] | None, ids: Mapping[str, tuple[str, ...] | None]) -> tuple[str, ...] | None:
    return None if named is None else tuple(dict.fromkeys(found for name in named for found in ids[name] or ()))


def _packet(m: _Match) -> Understood | None:
    return _sure(Packet(ingredient=m.said["thing"].strip("\"':")))


def _forget(m: _Match) -> Understood | None:
    return _sure(Forget(m.said["thing"].strip("\"'")))


# -- builders --------------------------------------------------------------------------------------


def _missing(m: _Match) -> Understood | None:
    items = _listed(m.slots["ingredient"])
    if len(items) > 1 and not find_ingredient(m.said["ingredient"], m.vocabulary, m.context):
        return _all_of(items, m)
    kind = _kind_named(m.said["ingredient"], m.vocabulary)
    return m.things(lambda i: Replace(i, all_of=_if_of(i, kind, m.vocabulary)), "ingredient")


def _kind_named(text: str, vocabulary: Vocabulary) -> str:
    """The class some words name, when they name a class and no single thing."""
    return next((match.of_class for match in vocabulary.names.find(_essence(text)) if match.of_class), "")


def _if_of(ingredient: str, kind: str, vocabulary: Vocabulary) -> str:
    return kind if kind and kind in vocabulary.classes.get(ingredient, ()) else ""


def _all_of(items: list[str], m: _Match) -> Understood | None:
    """Several ingredients at once: all are to be done without."""
    things = [find_ingredient(item, m.vocabulary, m.context) for item in items]
    if not all(things):
        return None
    gone = tuple(_without(found[0].id, _kind_named(item, m.vocabulary), m.vocabulary)
                 for found, item in zip(things, items, strict=True))  # fmt: skip
    return _sure(Avoid(without=tuple(dict.fromkeys(gone))), min(found[0].confidence for found in things))


def _without(ingredient: str, kind: str, vocabulary: Vocabulary) -> str:
    """What there is to be none of: the kind where one was named, else the thing."""
    return _if_of(ingredient, kind, vocabulary) or ingredient


def _listed(text: str) -> list[str]:
    return [item.strip() for item in re.split(r" ?, ?|\b(?:and|or|nor|plus)\b|&", text) if item.strip()]


def _avoid(m: _Match) -> Understood | None:
    """Diets and allergens; what is neither but an ingredient is something to replace."""
    diets: list[str] = []
    allergens: list[str] = []
    items = _listed(m.slots["diet"])
    for item in items:
        found = _diet_or_allergen(item, m.vocabulary)
        if found is not None and found[0] and len(items) == 1 and _in_recipe(item, m):
            return _replace_if_known(m, "diet")
        if found is None:
            return None if len(items) > 1 else _replace_if_known(m, "diet")
        (diets if found[0] else allergens).append(found[1])
    return (
        _sure(Avoid(tuple(dict.fromkeys(diets)), tuple(dict.fromkeys(allergens))))
        if diets or allergens
        else None
    )


def _in_recipe(words: str, m: _Match) -> bool:
    """Whether words name a line that is there: "no yeast" is then about that line, not about a diet."""
    things = find_ingredient(words, m.vocabulary, m.context)
    return len(things) == 1 and things[0].id in {line.ingredient or line.name for line in m.context.lines}


def _replace_if_known(m: _Match, slot: str) -> Understood | None:
    if not find_ingredient(m.said[slot], m.vocabulary, m.context):
        return None
    return _missing(replace_slots(m, ingredient=m.said[slot]))


def _diet(m: _Match) -> Understood | None:
    """A diet said outright; an allergen only where it is followed by "free"."""
    diets, allergens = [], []
    for item in _listed(m.slots["diet"]):
        item = _essence(item)
        diet = _known_diet(item, m.vocabulary)
        free = re.fullmatch(r"(.+?) (?:free|less)", item)
        allergen = _allergen(free.group(1), m.vocabulary) if free else None
        if diet:
            diets.append(diet)
        elif allergen:
            allergens.append(allergen)
        elif (
            free
            and len(_listed(m.slots["diet"])) == 1
            and (things := find_ingredient(free.group(1), m.vocabulary, m.context))
        ):
            return _sure(Replace(things[0].id), things[0].confidence) if len(things) == 1 else None
        else:
            return None
    return _sure(Avoid(tuple(diets), tuple(allergens))) if diets or allergens else None


def _known_diet(words: str, vocabulary: Vocabulary) -> str | None:
    found = vocabulary.diets.get(words)
    if found is not None or len(words) < 5:
        return found
    from rapidfuzz.distance import OSA

    near = sorted((OSA.distance(words, name), name) for name in vocabulary.diets)
    return (
        vocabulary.diets[near[0][1]]
        if near and near[0][0] <= (1 if len(words) < 7 else 2) and len(near[0][1]) > 4
        else None
    )


def _diet_or_allergen(item: str, vocabulary: Vocabulary) -> tuple[bool, str] | None:
    words = _essence(item)
    allergen = _allergen(words, vocabulary)
    if allergen is not None:
        return False, allergen
    for spoken in (words, f"{words} free", f"no {words}"):
        if spoken in vocabulary.diets:
            return True, vocabulary.diets[spoken]
    return None


def _allergen(words: str, vocabulary: Vocabulary) -> str | None:
    """An allergen by its name or the beginning of it, in any number: "soy", "tree nut", "egg"."""
    stems = _stems(words)
    if not stems or len(stems[-1]) < 3:
        return None
    named = {name: _stems(name) for name in vocabulary.allergens}
    for fits in (
        lambda spoken: spoken == stems,
        lambda spoken: (
            len(stems) == 1
            and any(s.startswith(stems[0]) and len(s) - len(stems[0]) <= 4 for s in spoken[:1])
        ),
        lambda spoken: len(spoken) == 1 and len(stems) == 2 and spoken[0] == stems[1],
    ):
        found = sorted({vocabulary.allergens[name] for name, spoken in named.items() if fits(spoken)})
        if len(found) == 1:
            return found[0]
    return None


def _explain(m: _Match) -> Understood | None:
    """Why something is so: a topic of baking, an option, or an ingredient."""
    words = _essence(m.slots["subject"])
    option = re.fullmatch(r"(?:option|number|choice) (\d)", words)
    if option:
        return _sure(Explain(f"option {option.group(1)}"))
    ordinal = by_word(ORDINALS).get(words)
    if ordinal and words not in ("one", "best", "top", "first"):
        return _sure(Explain(f"option {ordinal}"))
    topics = by_word(TOPICS)
    if words in topics:
        return _sure(Explain(topics[words]))
    diet = m.vocabulary.diets.get(words)
    if diet is not None:
        return _sure(Explain(diet))
    things = find_ingredient(words, m.vocabulary, m.context)
    if things:
        return m.things(Explain, "subject")
    within = [topic for word, topic in topics.items() if re.search(rf"\b{re.escape(word)}\b", words)]
    lines = [
        line for line in m.context.lines if set(_stems(line.name)) & set(_stems(words)) - {"the", "and", "of"}
    ]
    if len(lines) == 1:
        return _sure(Explain(lines[0].ingredient or lines[0].name), 0.85)
    if within:
        return _sure(Explain(max(within, key=lambda t: (words.count(t), t))), 0.85)
    return Understood(Unknown(), 0.3, (_no_ingredient(m.said["subject"], m.vocabulary, m.context),))


def _factor(m: _Match) -> Understood | None:
    factor = m.factor
    return (
        None
        if factor is None or factor < 0
        else m.things(lambda i: WhatIf(ingredient=i, factor=factor), "ingredient")
    )


def _percent(sign: int) -> Builder:
    def build(m: _Match) -> Understood | None:
        percent = m.number()
        if percent is None or (sign < 0 and percent > 100):
            return None
        return m.things(
            lambda i: WhatIf(ingredient=i, factor=round(1 + sign * percent / 100, 6)), "ingredient"
        )

    return build


def _delta(sign: int) -> Builder:
    def build(m: _Match) -> Understood | None:
        grams = m.grams()
        return (
            None
            if grams is None
            else m.things(lambda i: WhatIf(ingredient=i, delta_g=sign * round(grams, 3)), "ingredient")
        )

    return build


MORE = ((1.1, "a tenth more"), (1.25, "a quarter more"), (1.5, "half as much again"))
LESS = ((0.9, "a tenth less"), (0.75, "a quarter less"), (0.5, "half"))
"""Steps offered when nobody said how much."""


def _some(sign: int) -> Builder:
    """More or less of something without saying how much: asked."""

    def build(m: _Match) -> Understood | None:
        things = find_ingredient(m.said["ingredient"], m.vocabulary, m.context)
        if len(things) != 1:
            return m.things(lambda i: WhatIf(ingredient=i), "ingredient") if things else None
        name, ident = things[0].name, things[0].id
        steps = MORE if sign > 0 else LESS
        choices = tuple(f"{name}: {word}" for _, word in steps)
        requests = tuple(WhatIf(ingredient=ident, factor=factor) for factor, _ in steps)
        fault = Fault(
            TYPED,
            f"how much {'more' if sign > 0 else 'less'} {name}?",
            "pick one, or say the grams",
            True,
            "ambiguous",
            choices,
        )
        return Understood(Clarify(choices, requests), 0.75, (fault,))

    return build


def _omit(m: _Match) -> Understood | None:
    return m.things(lambda i: WhatIf(omit=i), "ingredient")


def _whatif_swap(m: _Match) -> Understood | None:
    return m.things(lambda a, b: WhatIf(ingredient=a, substitute=b), "ingredient", "substitute")


def _swap(m: _Match) -> Understood | None:
    return m.things(Replace, "ingredient", "substitute")


def _use(m: _Match) -> Understood | None:
    return m.things(lambda s: Replace(None, s), "substitute")


def _quick_version(m: _Match) -> Understood | None:
    rising = replace_slots(m, ingredient="yeast")
    return rising.things(Replace, "ingredient")


def _yeast_version(m: _Match) -> Understood | None:
    """Back to yeast: it takes the place of whatever chemical raises the dough."""
    for word in ("baking powder", "soda"):
        risers = _partial(_stems(word), m.context)[0]
        if risers:
            return replace_slots(m, ingredient=risers[0].name, substitute="yeast").things(
                Replace, "ingredient", "substitute"
            )
    return replace_slots(m, substitute="yeast").things(lambda s: Replace(None, s), "substitute")


def replace_slots(m: _Match, **slots: str) -> _Match:
    """The same match with some slots filled by us."""
    return _Match({**m.slots, **slots}, {**m.said, **slots}, m.vocabulary, m.context)


def _times(m: _Match) -> Understood | None:
    factor = m.number()
    return _sure(Scale(factor=factor)) if factor is not None and factor > 0 else None


def _yield(m: _Match) -> Understood | None:
    pieces = m.number() if m.has("n") else None
    if m.has("n") and (pieces is None or pieces < 1 or pieces != int(pieces)):
        return None
    piece_g = m.grams("mass") if m.has("mass") else None
    if m.has("mass") and piece_g is None:
        return None
    return _sure(Scale(pieces=int(pieces) if pieces is not None else None, piece_g=piece_g))


def _total(m: _Match) -> Understood | None:
    total = m.grams()
    return None if total is None or total <= 0 else _sure(Scale(total_g=total))


def _target(low: bool) -> Builder:
    def build(m: _Match) -> Understood | None:
        nutrient = m.key("nutrient")
        value = m.number()
        if nutrient is None or value is None:
            return None
        return _sure(Target(nutrient, value, None, _per(m)) if low else Target(nutrient, None, value, _per(m)))

    return build


def _per(m: _Match) -> str | None:
    return "100g" if m.has("hundred") else None


def _between(m: _Match) -> Understood | None:
    nutrient, low, high = m.key("nutrient"), m.number(), m.number("n2")
    return (
        None
        if nutrient is None or low is None or high is None or low > high
        else _sure(Target(nutrient, low, high, _per(m)))
    )


def _ratio(m: _Match) -> Understood | None:
    parts = m.slots["ratio"].replace(" to ", ":").split(":")
    if (
        len(parts) != 2
        or not all(re.fullmatch(r"\d+(?:\.\d+)?", part.strip()) for part in parts)
        or float(parts[1]) == 0
    ):
        return None
    return _sure(Target("ketogenic_ratio", float(parts[0]) / float(parts[1]), None))


def _show(m: _Match) -> Understood | None:
    what = m.key("what") if m.has("what") else "options"
    return None if what is None else _sure(Show(what))


def _how_much(m: _Match) -> Understood | None:
    """How much of a line there is."""
    things = find_ingredient(m.said["ingredient"], m.vocabulary, m.context)
    if len(things) != 1 or things[0].confidence < KIN:
        return None
    places = [
        at for at, line in enumerate(m.context.lines, 1) if things[0].id in (line.ingredient, line.name)
    ]
    return _sure(Show(f"line {places[0]}")) if places else None


def _show_line(m: _Match) -> Understood | None:
    number = m.number()
    return None if number is None or number != int(number) else _sure(Show(f"line {int(number)}"))


def _working_of(m: _Match) -> Understood | None:
    return _sure(Show("working", " ".join(_essence(m.slots["subject"]).split())))


def _compare(m: _Match) -> Understood | None:
    numbers = []
    for slot in ("ordinal", "ordinal2"):
        if m.has(slot):
            number = _ordinal(m.slots[slot])
            if number is None:
                return None
            numbers.append(number)
    return _sure(Compare(tuple(numbers)))


def _ordinal(text: str) -> int | None:
    if text.isdigit():
        return int(text)
    found = by_word(ORDINALS).get(text)
    return None if found is None else int(found)


def _choose(m: _Match) -> Understood | None:
    number = _ordinal(m.slots["ordinal"])
    return None if number is None or number == 0 else _sure(Choose(number))


def _choose_named(m: _Match) -> Understood | None:
    """The one plan on the table whose title holds these words; of several, the one that says no more."""
    words = set(_stems(m.slots["title"])) - _ARTICLES
    holding = [at for at, title in enumerate(m.context.plans, 1) if words and words <= set(_stems(title))]
    if len(holding) > 1:
        least = min(len(_stems(m.context.plans[at - 1])) for at in holding)
        holding = [at for at in holding if len(_stems(m.context.plans[at - 1])) == least]
    return _sure(Choose(holding[0]), 0.9) if len(holding) == 1 else None


def _bake(m: _Match) -> Understood | None:
    altitude = temperature = None
    if m.slots.get("altitude", "").endswith("sea level"):
        altitude = 0.0
    elif m.has("altitude"):
        read = read_number(m.slots["altitude"])
        if read is None:
            return None
        altitude = read[0] * FOOT_M if read[1].split()[0] in ("ft", "feet", "foot") else read[0]
    if m.has("temperature"):
        read = read_number(m.slots["temperature"])
        if read is None:
            return None
        temperature = f_to_c(read[0]) if read[1].split()[-1].startswith("f") else read[0]
    pieces = m.number() if m.has("n") else None
    size_cm, litres = _size_cm(m), _litres(m)
    if (m.has("sides") and size_cm is None) or (m.has("litres") and litres is None):
        return None
    shape = m.key("shape")
    pan = _pan(m, shape, size_cm)
    return _sure(
        Bake(
            None if altitude is None else round(altitude, 1),
            m.key("oven"),
            pan,
            None if pan in TINS else shape,
            None if pieces is None else int(pieces),
            None if temperature is None else round(temperature, 1),
            m.key("material") or m.key("material2"),
            size_cm,
            litres,
        )
    )


_CM = {"cm": 1.0, "mm": 0.1, "in": 2.54, "inch": 2.54, "inches": 2.54, "centimetres": 1.0, "centimeters": 1.0}
"""Centimetres in a unit, exact by definition (NIST HB 44, appendix C)."""


def _size_cm(m: _Match) -> tuple[float, ...] | None:
    """Sides of a pan, cm; None without a unit. A unit said once holds for all."""
    sides = re.split(r" (?:x|by|times) ?", m.slots.get("sides", ""))
    units = [found[0] for side in sides if (found := re.search(r"[a-z]+$", side))]
    numbers = [read_number(re.sub(r"[ -]?[a-z]+$", "", side)) for side in sides]
    if not units or any(number is None for number in numbers):
        return None
    cm = _CM[units[-1]]
    return tuple(round(number[0] * cm, 1) for number in numbers if number is not None)


def _litres(m: _Match) -> float | None:
    """What a pan holds, litres."""
    quantity = read_quantity(m.slots.get("litres", "").replace("-", " "))
    if quantity is None or kind_of(quantity[0].unit) != "volume":
        return None
    return round(in_ml(quantity[0].unit) * quantity[0].amount / 1000, 3)


def _pan(m: _Match, shape: str | None, size_cm: tuple[float, ...] | None) -> str | None:
    """The pan that is meant: by its name, by the shape it gives, else by its sides."""
    named = m.key("pan")
    if named is not None and m.slots["pan"] not in ("tin", "dish"):
        return named
    if size_cm is None:
        return named
    if shape in ("loaf", "round"):
        return f"{shape} tin"
    if len(size_cm) == 1:
        return "round tin"
    long, wide = sorted(size_cm[:2], reverse=True)
    return "square tin" if long < 1.1 * wide else "loaf tin" if wide <= 15 < 1.4 * wide <= 1.4 * long else "dish"


def _muffins(m: _Match) -> Understood | None:
    pieces = m.number() if m.has("n") else None
    return _sure(Bake(pan="muffin tin", pieces=None if pieces is None else int(pieces)))


def _steam(m: _Match) -> Understood | None:
    """Steam for as long as said, else as long as is usual."""
    minutes = m.number() if m.has("n") else STEAM_MIN
    return None if minutes is None else _sure(Bake(steam_min=minutes))


STEAM_MIN = 10.0
"""How long an oven is usually kept steamed, min. Source: common practice."""


def _oven_most(m: _Match) -> Understood | None:
    """The most an oven can do; a bare number beyond what ovens do in C is F."""
    read = read_number(m.slots["heat"])
    if read is None:
        return None
    unit = read[1].split()[-1] if read[1].split() else ""
    fahrenheit = unit.startswith("f") or (not unit.startswith("c") and read[0] > 280)
    return _sure(Bake(at_most_C=round(f_to_c(read[0]) if fahrenheit else read[0], 1)))


def _fit(m: _Match) -> Understood | None:
    size_cm, litres = _size_cm(m), _litres(m)
    if (m.has("sides") and size_cm is None) or (m.has("litres") and litres is None):
        return None
    bare = m.slots.get("pan") in ("tin", "dish", None) and size_cm is None
    return _sure(Fit(None if bare else _pan(m, None, size_cm), size_cm, litres))


def _schedule(m: _Match) -> Understood | None:
    ready = clock(m.slots["time"])
    return None if ready is None else _sure(Schedule(ready))


def clock(text: str) -> str | None:
    """A time of day as HH:MM; None when it is none.

    >>> clock("7:30 pm"), clock("7 am"), clock("noon"), clock("18.15"), clock("25:00")
    ('19:30', '07:00', '12:00', '18:15', None)
    """
    named = {"noon": "12:00", "midday": "12:00", "midnight": "00:00"}
    if text in named:
        return named[text]
    match = re.fullmatch(r"(\d{1,2})(?:[:.](\d\d))?(?: (am|pm|a\.m|p\.m|oclock|h|hrs|hours))?", text)
    if match is None:
        return None
    hour, minute, half = int(match[1]), int(match[2] or "0"), (match[3] or "").replace(".", "")
    if half in ("am", "pm") and not 1 <= hour <= 12:
        return None
    if half == "pm" and hour < 12:
        hour += 12
    if half == "am" and hour == 12:
        hour = 0
    return f"{hour:02d}:{minute:02d}" if hour < 24 and minute < 60 else None


def _measured(m: _Match) -> tuple[float, str, str] | None:
    """The quantity in a slot: amount, unit's name, and the words for it. A cup of sifted flour is a sifted cup."""
    read = read_quantity(m.slots["measure"])
    if read is None or read[1].strip() or not read[0].unit:
        return None
    if read[0].unit == "cup" and m.slots["ingredient"].startswith(f"{SIFTED} "):
        return read[0].amount, SIFTED_CUP, f"{exact_number(read[0].amount)} {SIFTED_CUP}"
    return read[0].amount, read[0].unit, m.said["measure"]


def _convert(m: _Match) -> Understood | None:
    quantity = _measured(m)
    if quantity is None:
        return None
    amount, unit, _ = quantity
    return m.things(lambda i: Convert(i, amount, unit), "ingredient")


def _convert_one(m: _Match) -> Understood | None:
    unit = unit_named(m.slots["unit"])
    return None if unit is None else m.things(lambda i: Convert(i, 1.0, unit), "ingredient")


def _instead(m: _Match) -> Understood | None:
    """A stand-in outside the recipe when a quantity or what it is to be is said, or the recipe has no such line."""
    name, diets, purposes = _asked_for(m.said["ingredient"], m.vocabulary)
    if m.has("wish"):
        wished = _wished(m.slots["wish"], m.vocabulary)
        if wished is None:
            return None
        diets, purposes = (*wished[0], *diets), (*wished[1], *purposes)
    quantity: str | None = None
    if m.has("measure"):
        measured = _measured(m)
        if measured is None:
            return None
        quantity = measured[2]
    elif (counted := _counted(name, m.vocabulary)) is not None:
        quantity, name = counted
    m = replace_slots(m, ingredient=name)
    if quantity or diets or purposes:
        return m.things(lambda i: Instead(i, quantity, diets or None, purposes or None), "ingredient")
    things = find_ingredient(name, m.vocabulary, m.context)
    here = {line.ingredient or line.name for line in m.context.lines}
    if len(things) == 1 and things[0].id not in here:
        return _sure(Instead(things[0].id), things[0].confidence)
    return m.things(Replace, "ingredient")


def _asked_for(said: str, vocabulary: Vocabulary) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """An ingredient's words, and the diets and purposes that stand after it: "cream cheese, dairy-free"."""
    words = said.split()
    if not _named(said, vocabulary):
        for at in range(1, len(words)):
            wished = _wished(_bare(" ".join(words[at:])), vocabulary)
            if wished is not None:
                return " ".join(words[:at]), *wished
    return said, (), ()


def _named(said: str, vocabulary: Vocabulary) -> bool:
    return any(match.confidence == 1.0 for match in vocabulary.names.find(_bare(said)))


def _counted(said: str, vocabulary: Vocabulary) -> tuple[str, str] | None:
    """A quantity and what it is of: "2 eggs"; None for a name that begins with a number, "00 flour"."""
    read = None if _named(said, vocabulary) else read_quantity(said)
    if read is None or not re.match(r" +[^\W\d]", read[1]):
        return None
    return said.removesuffix(read[1]).strip(), read[1].strip()


def _wished(text: str, vocabulary: Vocabulary) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """What a stand-in is to be, as diets and purposes; None unless all of it is understood."""
    diets: list[str] = []
    purposes: list[str] = []
    for item in _listed(re.sub(r" (?=(?:no|without) )", " , ", text)):
        words = [word for word in item.split() if word not in AROUND_A_WISH]
        if not words:
            continue
        purpose = next((p for p in PURPOSES if _bare(p) == " ".join(words)), None)
        diet = vocabulary.diets.get(item) or _diet_of(words, vocabulary)
        if purpose is not None:
            purposes.append(purpose)
        elif diet is not None:
            diets.append(diet)
        else:
            return None
    return (tuple(dict.fromkeys(diets)), tuple(dict.fromkeys(purposes))) if diets or purposes else None


def _diet_of(words: list[str], vocabulary: Vocabulary) -> str | None:
    """A diet, who keeps it, or what it goes without: "vegan", "vegans", "no dairy"."""
    ways = [words, list(_stems(" ".join(words)))]
    if words and words[0] in ("no", "without"):
        ways = [[*way[1:], "free"] for way in ways]
    return next((vocabulary.diets[name] for way in ways if (name := " ".join(way)) in vocabulary.diets), None)


def _pantry(m: _Match) -> Understood | None:
    if any(item.split()[0] in ("no", "not", "none") for item in _listed(m.slots["things"])):
        return None
    found = [find_ingredient(item, m.vocabulary, Context()) for item in _listed(m.slots["things"])]
    if not found or not all(found):
        missing = next(
            (item for item, f in zip(_listed(m.slots["things"]), found, strict=True) if not f),
            m.slots["things"],
        )
        return Understood(Unknown(), 0.3, (_no_ingredient(missing, m.vocabulary, m.context),))
    return _sure(
        Pantry(tuple(dict.fromkeys(things[0].id for things in found))), min(t[0].confidence for t in found)
    )


def _bakeable(m: _Match) -> Understood | None:
    """What can be baked with what is in the house, and with what is said to be there besides."""
    if not m.has("things"):
        return _sure(Pantry(bake=True))
    had = _pantry(m)
    if had is None or not isinstance(had.request, Pantry):
        return had
    return replace(had, request=replace(had.request, bake=True))


# -- wishes ----------------------------------------------------------------------------------------


def _keep(m: _Match) -> Understood | None:
    return m.things(lambda i: Avoid(keep=(i,)), "ingredient")


def _set(m: _Match) -> Understood | None:
    grams = m.grams()
    return None if grams is None or grams < 0 else m.things(lambda i: Avoid(amounts={i: grams}), "ingredient")


def _few_new(m: _Match) -> Understood | None:
    most = m.number()
    return None if most is None or most < 0 or most != int(most) else _sure(Avoid(newest=int(most)))


def as_wish(request: Request) -> Avoid | None:
    """A request as something the recipe is to keep to; None where it is something else.

    >>> as_wish(Target("net_carbs_g", max=5.0)).slots()["targets"]
    [{'nutrient': 'net_carbs_g', 'max': 5.0}]
    """
    match request:
        case Avoid():
            return request
        case Target():
            return Avoid(targets=(request,))
        case Replace(str(ingredient), None, kind):
            return Avoid(without=(kind or ingredient,))
        case _:
            return None


def _wishes(words: list[_Word], vocabulary: Vocabulary, context: Context) -> Understood | None:
    """Several wishes in one breath: "no nuts and keep net carbs under 5 g". All of them have to be understood."""
    pieces = _pieces(words, vocabulary, context)
    if pieces is None or len(pieces) < 2:
        return None
    found, about = Avoid(), ""
    for piece in pieces:
        wish = as_wish(piece.request)
        if wish is None and isinstance(piece.request, Scale) and piece.request.total_g is not None and about:
            wish = Avoid(amounts={about: piece.request.total_g})  # "... and make it 6 g"
        if wish is None:
            return None
        named = (*(wish.keep or ()), *(wish.without or ()))
        about = named[0] if len(named) == 1 else about
        found = found.with_more(wish)
    return Understood(found, min(piece.confidence for piece in pieces))


def _pieces(words: list[_Word], vocabulary: Vocabulary, context: Context) -> list[Understood] | None:
    """A line cut where "and", "but", "with" or a comma stand, so that each piece is understood; the longest first
    pieces count."""
    for at in range(len(words) - 1, 0, -1):
        if words[at].bare not in BETWEEN_WISHES:
            continue
        head = _first_sure(words[:at], vocabulary, context)
        if head is None or (as_wish(head.request) is None and not isinstance(head.request, Scale)):
            continue
        start = at if words[at].bare in ("with", "without") else at + 1
        tail = _pieces(words[start:], vocabulary, context) if start < len(words) else None
        if tail is not None:
            return [head, *tail]
    whole = _first_sure(words, vocabulary, context) if words else None
    return None if whole is None else [whole]


BETWEEN_WISHES = frozenset(("and", ",", "but", "also", "with", "without"))


def _open(m: _Match) -> Understood | None:
    return _sure(Open(m.said["name"].strip("\"'")))


def _save(m: _Match) -> Understood | None:
    return _sure(Save(m.said["name"].strip("\"'")))


def _publish(m: _Match) -> Understood | None:
    return _sure(Publish(m.key("format"), m.key("language")))


_MEASURED = {
    "minutes": re.compile(r"(\d+(?:\.\d+)?) (?:min|mins|minutes|minute)\b"),
    "core_C": re.compile(
        r"(?:core|inside|middle|centre|center)(?: (?:of|was|at|is|temperature|temp))* "
        r"(\d+(?:\.\d+)?)(?: (?:c|degrees)\b)?|(\d+(?:\.\d+)?) (?:c|degrees)\b"
    ),
    "baked_g": re.compile(r"(?:weighed |weighs |weight )?(\d+(?:\.\d+)?) (?:g|grams)\b"),
}


def _record(m: _Match) -> Understood | None:
    """How a bake went: minutes, core, mass out of the oven, and what else was said."""
    rest = m.slots["rest"].replace(",", " ")
    rest = " ".join(rest.split())
    found: dict[str, float] = {}
    for name, pattern in _MEASURED.items():
        match = pattern.search(rest)
        if match is not None:
            found[name] = float(next(group for group in match.groups() if group))
            rest = (rest[: match.start()] + " " + rest[match.end() :]).strip()
    remark = " ".join(
        w
        for w in rest.split()
        if w not in ("and", "for", "in", "at", "weighed", "it", "the", "oven", "was", "out", "came")
    )
    if not found:
        return None
    return _sure(Record(found.get("minutes"), found.get("baked_g"), found.get("core_C"), remark or None))


def _diagnose(m: _Match) -> Understood | None:
    words = _essence(m.slots["fault"])
    for filler in (
        "too ",
        "very ",
        "a bit ",
        "bit ",
        "quite ",
        "really ",
        "so ",
        "all ",
        "rather ",
        "a little ",
        "still ",
    ):
        if words not in by_word(FAULTS):
            words = words.removeprefix(filler)
    found = by_word(FAULTS).get(words)
    if found is not None:
        return _sure(Diagnose(found))
    within = sorted(
        (-len(word), fault)
        for word, fault in by_word(FAULTS).items()
        if re.search(rf"\b{re.escape(word)}\b", words)
    )
    return _sure(Diagnose(within[0][1]), 0.85) if within else None


def _about(m: _Match) -> Understood | None:
    """A name that is brought up: used when it is not in the recipe, asked about when it is."""
    things = find_ingredient(m.said["ingredient"], m.vocabulary, m.context)
    here = {line.ingredient or line.name for line in m.context.lines}
    if len(things) == 1 and things[0].id not in here and things[0].confidence >= SURE:
        return _sure(Replace(None, things[0].id), SURE)
    return _alone(m)


def _alone(m: _Match) -> Understood | None:
    """Only a name: what is wanted with it is asked."""
    diet = _known_diet(_essence(m.slots["ingredient"]), m.vocabulary)
    if diet is not None:
        return _sure(Avoid((diet,)))
    things = find_ingredient(m.said["ingredient"], m.vocabulary, m.context)
    if len(things) != 1 or things[0].confidence < ASK:
        return None
    name, ident = things[0].name, things[0].id
    here = ident in {line.ingredient or line.name for line in m.context.lines}
    requests: tuple[Request, ...] = (
        (Replace(ident), Explain(ident), WhatIf(omit=ident))
        if here
        else (Instead(ident), Replace(None, ident))
    )
    choices = tuple(sentence(request, {ident: name}) for request in requests)
    fault = Fault(
        TYPED, f'what about "{name}"?', "pick one, or say what you want with it", True, "ambiguous", choices
    )
    return Understood(Clarify(choices, requests), 0.7, (fault,))


def _is_it(m: _Match) -> Understood | None:
    """Whether it suits a diet, or holds something: an answer with its reason."""
    diet = m.vocabulary.diets.get(_essence(m.slots["diet"]))
    if diet is not None:
        return _sure(Explain(diet))
    found = _diet_or_allergen(m.slots["diet"].removesuffix(" free"), m.vocabulary)
    if found is None:
        return None
    return _sure(Explain(found[1]) if found[0] else Show("allergens"))


BUILDERS: Mapping[str, Builder] = {
    "help": _always(Help()),
    "quit": _always(Quit()),
    "discard": _always(Quit(discard=True)),
    "undo-all": _always(Undo(all=True)),
    "undo": _always(Undo()),
    "redo": _always(Redo()),
    "decline": _always(Decline()),
    "yes": _always(Choose(1)),
    "medicine": _always(Decline(MEDICINE)),
    "off-topic": _always(Decline(OFF_TOPIC)),
    "choose": _choose,
    "choose-named": _choose_named,
    "show-line": _show_line,
    "compare": _compare,
    "compare-original": _always(Compare((0,))),
    "changes": _always(Show("changes")),
    "working": _working_of,
    "how-much": _how_much,
    "more-numbers": _always(Show("numbers")),
    "the-crumb": _always(Show("crumb")),
    "weight": _always(Show("nutrition")),
    "show": _show,
    "recipe": _always(Show("recipe")),
    "method": _always(Show("method")),
    "diets": _always(Show("diets")),
    "bake-time": _always(Show("bake")),
    "timeline": _always(Show("timeline")),
    "is-it": _is_it,
    "cups": _always(Units("us")),
    "grams": _always(Units("metric")),
    "at-most": _target(False),
    "at-least": _target(True),
    "between": _between,
    "ratio": _ratio,
    "nutrient": _always(Show("nutrition")),
    "yield": _yield,
    "total": _total,
    "double": _always(Scale(factor=2.0)),
    "halve": _always(Scale(factor=0.5)),
    "triple": _always(Scale(factor=3.0)),
    "times": _times,
    "percent-less": _percent(-1),
    "percent-more": _percent(1),
    "grams-more": _delta(1),
    "grams-less": _delta(-1),
    "factor": _factor,
    "omit": _omit,
    "what-if-swap": _whatif_swap,
    "more": _some(1),
    "less": _some(-1),
    "quick-version": _quick_version,
    "yeast-version": _yeast_version,
    "instead": _instead,
    "swap": _swap,
    "missing": _missing,
    "avoid": _avoid,
    "diet": _diet,
    "record": _record,
    "diagnose": _diagnose,
    "explain": _explain,
    "why": _always(Explain("last answer")),
    "convert": _convert,
    "convert-one": _convert_one,
    "bake": _bake,
    "bake-muffins": _muffins,
    "steam": _steam,
    "oven-most": _oven_most,
    "fit": _fit,
    "schedule": _schedule,
    "save-as": _save,
    "save": _always(Save()),
    "publish": _publish,
    "open": _open,
    "pantry": _pantry,
    "use": _use,
    "about": _about,
    "keep": _keep,
    "set": _set,
    "raised": lambda m: _sure(Avoid(raised=m.key("raiser"))),
    "nothing-new": _always(Avoid(newest=0)),
    "few-new": _few_new,
    "only-have": _always(Avoid(only_have=True)),
    "bakeable": _bakeable,
    "packet": _packet,
    "forget": _forget,
    "alone": _alone,
}
"""What the phrases of each name in `english` ask for."""


# -- questions and misses --------------------------------------------------------------------------


def _picked(words: list[_Word], context: Context) -> Request | None:
    """One of the choices last asked, said in its own words."""
    if not context.choices:
        return None
    said = set(_stems(" ".join(word.bare for word in words)))
    fitting = [at for at, choice in enumerate(context.choices, 1) if said and said <= set(_stems(choice))]
    exact = [at for at in fitting if said == set(_stems(context.choices[at - 1]))]
    found = exact or fitting
    return Choose(found[0]) if len(found) == 1 and not any(word.bare.isdigit() for word in words) else None


def _parts(words: list[_Word], vocabulary: Vocabulary, context: Context) -> Understood | None:
    """Two things asked at once, each understood: which first?"""
    for at, word in enumerate(words):
        if word.bare not in ("and", ",", "then", "but", "so"):
            continue
        halves = [words[:at], words[at + 1 :]]
        if not all(halves):
            continue
        heard = [_first_sure(half, vocabulary, context) for half in halves]
        if all(h is not None for h in heard):
            requests = tuple(h.request for h in heard if h is not None)
            if requests[0] == requests[1]:
                return Understood(requests[0], 0.9)
            choices = tuple(_said(half) for half in halves)
            fault = Fault(TYPED, "those are two things", "say which comes first", True, "ambiguous", choices)
            return Understood(Clarify(choices, requests), 0.75, (fault,))
    return None


def _first_sure(words: list[_Word], vocabulary: Vocabulary, context: Context) -> Understood | None:
    for attempt in _attempts(words, vocabulary, context):
        reading = _read(*attempt, vocabulary, context)
        if (
            reading is not None
            and reading.confidence >= SURE
            and not isinstance(reading.request, Unknown | Clarify)
        ):
            return reading
    return None


EXAMPLES: tuple[str, ...] = (
    "I have no yeast",
    "swap the yeast for baking powder",
    "use yoghurt instead",
    "instead of 1 cup buttermilk",
    "instead of 2 eggs, for vegans",
    "make it vegan",
    "no nuts",
    "net carbs under 5 g",
    "no egg and keep the psyllium",
    "what can I bake with what I have",
    "take the second",
    "why the vinegar?",
    "why does it bake longer?",
    "what if I leave out the vinegar?",
    "what if half the powder?",
    "what if 10 g more water?",
    "make 12",
    "16 rolls of 70 g",
    "double it",
    "at 1900 m",
    "in a loaf tin",
    "in a 20 cm glass tin",
    "does the dough fit the tin?",
    "ready by 7:30",
    "show the method",
    "nutrition",
    "allergens",
    "numbers",
    "working",
    "compare with the original",
    "it came out gummy",
    "it took 42 min, core 97",
    "I have eggs, butter and milk",
    "how much is 1 cup almond flour",
    "my flour: per 100 g carbs 70 g, EU label",
    "my shelf",
    "use cups",
    "undo",
    "undo everything",
    "open soda bread",
    "save as quick rolls",
    "publish as pdf",
    "help",
    "quit",
)
"""Sentences that work, one or more of each kind: offered when a line was not understood, and by `help`."""


def _not_understood(words: list[_Word]) -> Understood:
    from rapidfuzz import fuzz, process

    said = _said(words)
    bare = " ".join(word.bare for word in words)
    near = tuple(
        found[0] for found in process.extract(bare, EXAMPLES, scorer=fuzz.WRatio, processor=_bare, limit=3)
    )
    return Understood(
        Unknown(),
        0.0,
        (
            Fault(
                TYPED,
                f'I did not understand "{said}"',
                "say it another way, for example",
                True,
                "not understood",
                near,
            ),
        ),
    )


def sentence(request: Request, names: Mapping[str, str] | None = None) -> str:
    """A request as a short sentence, for choosing between several.

    >>> sentence(WhatIf(ingredient="salt", factor=0.5)), sentence(Replace("salt"))
    ('try salt times 0.5', 'replace salt')
    """

    def name(ident: str | None) -> str:
        return "" if ident is None else (names or {}).get(ident, ident.replace("-", " "))

    match request:
        case Replace(ingredient, None, part=part):
            return f"replace {name(ingredient)}" + (f" in the {part}" if part else "")
        case Replace(None, substitute):
            return f"use {name(substitute)} in this recipe"
        case Replace(ingredient, substitute):
            return f"replace {name(ingredient)} with {name(substitute)}"
        case Explain(subject):
            return f"why {name(subject)} is there"
        case WhatIf(omit=str(omit)):
            return f"leave {name(omit)} out"
        case WhatIf(ingredient=ingredient, factor=float(factor)):
            return f"try {name(ingredient)} times {factor:g}"
        case WhatIf(ingredient=ingredient, delta_g=float(delta)):
            return f"try {name(ingredient)} {delta:+g} g"
        case WhatIf(ingredient=ingredient, substitute=substitute):
            return f"try {name(substitute)} instead of {name(ingredient)}"
        case Instead(ingredient, quantity, diets, purposes):
            amount = f"{quantity} of " if quantity else ""
            wishes = ", ".join(map(name, (*(diets or ()), *(purposes or ()))))
            return f"what can stand in for {amount}{name(ingredient)}" + (f", {wishes}" if wishes else "")
        case Avoid(diets, allergens) if diets or allergens:
            return "make it without or for " + ", ".join(name(i) for i in (*diets, *allergens))
        case _:
            slots = ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in request.slots().items())
            return f"{request.kind} {slots}".strip()
