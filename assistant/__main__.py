"""The command line: `crumbwright` and its commands, exit statuses and JSON as scripts may rely on.

Exit 0: done. 1: the request was fine, but a recipe could not be read or no plan exists. 2: the
request itself is wrong.
"""

import argparse
import json
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from assistant import __version__
from assistant.words.faults import Fault, own_slip, stopping

if TYPE_CHECKING:
    from assistant.formula.model import Formula
    from assistant.plan.constraints import Constraints
    from assistant.rulebook.model import Rulebook
    from assistant.rulebook.names import Names
    from assistant.talk.dialogue import Kitchen
    from assistant.words.derivation import Notes

DONE, NO_ANSWER, WRONG_REQUEST = 0, 1, 2
DEMO = "larch-hut/seed-rolls"


def run() -> None:
    """Entry point of the installed command. Python's development mode (`python -X dev`) shows where a slip came from."""
    try:
        sys.exit(main(sys.argv[1:]))
    except Exception as slip:
        if sys.flags.dev_mode:
            raise
        print(f"this is {own_slip(slip)}; report it with the command you gave", file=sys.stderr)
        sys.exit(NO_ANSWER)


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit status."""
    options = _parser().parse_args(arguments)
    if options.shelf is not None and not Path(options.shelf).is_dir():
        return _wrong(f"--shelf {options.shelf}: there is no such folder; give a folder of YAML rules")
    command: Callable[[argparse.Namespace], int] = options.run
    try:
        status = command(options)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
    except OSError as error:
        where = error.filename or "standard output"
        print(f"{where}: {error.strerror or error}; make room, or name another place", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what is left would be tried again at the end
        return NO_ANSWER
    except KeyboardInterrupt:
        return NO_ANSWER
    except (ValueError, ArithmeticError) as outside:  # a law that is asked for what it does not hold for
        print(f"that can't be worked out: {outside}; check the amounts in the recipe", file=sys.stderr)
        return NO_ANSWER


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence, without the list of all options."""

    def error(self, message: str) -> NoReturn:
        self.exit(WRONG_REQUEST, f"{self.prog}: {message}; {self.prog} --help tells what there is\n")


def _shared() -> _Parser:
    """Options that may stand anywhere; made anew for each parser, since parsers change what they share."""
    shared = _Parser(add_help=False)
    shared.add_argument(
        "--shelf",
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="a folder of your own rules, laid over the packaged ones",
    )
    shared.add_argument(
        "--json", action="store_true", default=argparse.SUPPRESS, help="one JSON document on standard output"
    )
    return shared


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="crumbwright", parents=[_shared()],
        description="Swap ingredients in a recipe and see every number, with the reason for it.",
    )  # fmt: skip
    parser.add_argument("--version", action="version", version=f"crumbwright {__version__}")
    parser.set_defaults(run=_chat, formula=DEMO, script=None, shelf=None, json=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, parents=[_shared()], help=text, description=text)
        made.set_defaults(run=run)
        return made

    chat = command("chat", _chat, "talk about a recipe; typed lines also from standard input")
    chat.add_argument(
        "formula", nargs="?", default=DEMO, metavar="FORMULA", help="a file, or a packaged recipe's name"
    )
    chat.add_argument(
        "--script", metavar="FILE|NAME", help="replay typed lines from a file or a packaged script"
    )
    read = command("read", _read, "what was understood of a recipe")
    read.add_argument("file", metavar="FILE", help="text, YAML, JSON-LD or HTML; - for standard input")
    nutrition = command("nutrition", _nutrition, "nutrients per piece and per 100 g")
    nutrition.add_argument("formula", metavar="FORMULA")
    swap = command("swap", _swap, "what can stand in for an ingredient")
    swap.add_argument("formula", metavar="FORMULA")
    swap.add_argument("ingredient", metavar="INGREDIENT")
    swap.add_argument("--for", dest="stand_in", metavar="NAME", help="only this stand-in")
    swap.add_argument("--choose", type=int, metavar="N", help="take option N, counted from 1")
    swap.add_argument("--out", metavar="FILE", help="write the altered recipe (.yaml or .txt)")
    adapt = command("adapt", _adapt, "recipes under diets, targets and a cupboard, all at once")
    adapt.add_argument("paths", nargs="+", metavar="PATH", help="recipes, files or folders of them, packaged names")
    for option, metavar, text in (
        ("--diet", "D", "a diet to keep to"),
        ("--without", "X", "an allergen, a kind or an ingredient to leave out"),
        ("--have", "X", "what is in the cupboard: nothing else may come in or stay"),
        ("--keep", "LINE", "a line that stays as it is"),
        ("--set", "LINE=G", "a line that gets this amount: psyllium=6 g"),
        ("--target", "T", 'a figure per piece or per 100 g: "net carbs <= 5 g"'),
        ("--price", "X=P", "what a kilogram costs: butter=9.50"),
    ):
        adapt.add_argument(option, action="append", default=[], metavar=metavar, help=text + "; may be repeated")
    adapt.add_argument("--raised", metavar="BY", help="how it is to be raised: yeast or powder")
    adapt.add_argument("--newest", type=_count, metavar="N", help="at most so many new ingredients")
    adapt.add_argument("--cost", type=float, metavar="C", help="what a batch may cost, in the money of --price")
    adapt.add_argument("--plans", type=_some, default=5, metavar="K", help="plans for each recipe (5)")
    adapt.add_argument("--workers", type=_some, default=0, metavar="N", help="processes; one for each core")
    adapt.add_argument("--cluster", default="", metavar="ADDRESS", help="a Dask scheduler to do the work")
    adapt.add_argument("--out", metavar="DIR", help="a folder for results; given again, the run goes on there")
    adapt.add_argument("--no-working", action="store_true", help="leave the derivations out: quicker, and short")
    why = command("why", _why, "why something is in a recipe, or has to be")
    why.add_argument("formula", metavar="FORMULA")
    why.add_argument("subject", metavar="SUBJECT")
    stand_in = command("instead", _instead, "what can stand in for an ingredient, without a recipe")
    stand_in.add_argument("quantity", metavar="QUANTITY", help='how much of what: "1 cup buttermilk", "2 eggs"')
    stand_in.add_argument("--in", dest="product", metavar="CLASS", help="only in this kind of bake: muffin")
    stand_in.add_argument(
        "--diet", dest="diets", action="append", default=[], metavar="D", help="only what this diet allows"
    )
    stand_in.add_argument(
        "--like", dest="purposes", action="append", default=[], metavar="WORD",
        help="what a blend of flours should be like: soft, chewy, crisp, neutral, nutty, wheat-like",
    )  # fmt: skip
    compare = command("compare", _compare, "recipes side by side")
    compare.add_argument("formulas", nargs="+", metavar="FORMULA")
    rules = command("rules", _rules, "the rulebook: check it, show an entry, tell how far it reaches")
    rules.add_argument("what", choices=["check", "show", "coverage", "laws"])
    rules.add_argument("id", nargs="?", help="the id of an entry; with coverage, of a diet")
    return parser


def _count(text: str) -> int:
    """A whole number from 0, for argparse."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"{text} is no whole number; write one, like 2")
    return int(text)


def _some(text: str) -> int:
    """A whole number from 1, for argparse."""
    if _count(text) < 1:
        raise argparse.ArgumentTypeError(f"{text} is too few; write 1 or more")
    return int(text)


def _wrong(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return WRONG_REQUEST


def _say(faults: Sequence[Fault]) -> None:
    for fault in faults:
        print(fault.sentence, file=sys.stderr)


def _emit(document: dict[str, Any]) -> None:
    print(json.dumps(document, ensure_ascii=False, allow_nan=False))


def _book(options: argparse.Namespace) -> "Rulebook | None":
    from assistant.rulebook.read import load

    book, faults = load(Path(options.shelf) if options.shelf else None)
    _say(faults)
    return None if stopping(faults) else book


def _names(book: "Rulebook") -> "Names":
    from assistant.rulebook.names import Names

    return Names(book)


def _there(name: str) -> bool:
    """Whether a file, a folder or a link is called so; whatever is too long for a name is not."""
    return os.path.lexists(name)


def _formula(name: str, book: "Rulebook") -> "tuple[Formula | None, int]":
    """A formula by path or packaged name, with the exit status when there is none. Faults are said."""
    from assistant.formula.read import STDIN, read_formula
    from assistant.talk.recipes import nearest_names, packaged_names, packaged_recipe

    path = Path(name)
    if name != STDIN and not _there(name):
        packaged_path = packaged_recipe(name)
        if packaged_path is None:
            close = nearest_names(name, packaged_names())
            mend = (
                f"did you mean {' or '.join(close)}?"
                if close
                else "give a file, or one of: " + ", ".join(packaged_names())
            )
            return None, _wrong(f"{name}: there is no such file or packaged recipe; {mend}")
        path = packaged_path
    formula, faults = read_formula(name if name == STDIN else path, book, _names(book))
    _say(faults)
    return formula, DONE if formula is not None else NO_ANSWER


def _with_formula(
    options: argparse.Namespace, name: str, answer: "Callable[[Formula, Rulebook], int]"
) -> int:
    book = _book(options)
    if book is None:
        return NO_ANSWER
    formula, status = _formula(name, book)
    return status if formula is None else answer(formula, book)


def _read(options: argparse.Namespace) -> int:
    from assistant.formula.read import read_formula
    from assistant.publish import document
    from assistant.talk import phrasing
    from assistant.talk.recipes import packaged_recipe

    book = _book(options)
    if book is None:
        return NO_ANSWER
    name = options.file
    if name != "-" and not _there(name):
        packaged_path = packaged_recipe(name)
        if packaged_path is None:
            return _wrong(
                f"{name}: there is no such file; check its name, or paste the recipe and give - instead"
            )
        name = str(packaged_path)
    formula, faults = read_formula(name if name == "-" else Path(name), book, _names(book))
    if options.json:
        _emit(document.read(formula, faults, book) if formula is not None else document.unread(faults))
    else:
        if formula is not None:
            print(phrasing.recipe(formula, book))
        for fault in faults:
            print(phrasing.fault(fault))
    return DONE if formula is not None else NO_ANSWER


def _nutrition(options: argparse.Namespace) -> int:
    from assistant.publish import document
    from assistant.talk import phrasing
    from assistant.talk.judgement import Judgement

    def answer(formula: "Formula", book: "Rulebook") -> int:
        assessment = Judgement(book).assess(formula)
        if options.json:
            _emit(document.nutrition(assessment.nutrition))
        else:
            print(phrasing.nutrition(assessment))
        return DONE

    return _with_formula(options, options.formula, answer)


def _swap(options: argparse.Namespace) -> int:
    from assistant.formula.write import save, to_text, to_yaml
    from assistant.publish import document
    from assistant.talk import phrasing
    from assistant.talk.judgement import Judgement
    from assistant.talk.portion import DOUGH
    from assistant.talk.recipes import TEXT_ENDINGS

    def answer(formula: "Formula", book: "Rulebook") -> int:
        judgement = Judgement(book)
        at = judgement.line_of(formula, options.ingredient)
        if at is None:
            there = ", ".join(dict.fromkeys(line.name for line in formula.lines))
            return _wrong(f"{options.ingredient} is not in {formula.name}; name one of its lines: {there}")
        for other in judgement.elsewhere(formula, at) if " in the " not in options.ingredient else ():
            line, twin = formula.lines[at], formula.lines[other]
            told = f'this is about the {line.part or DOUGH}; "{twin.name} in the {twin.part or DOUGH}" names the other'
            print(f"{line.name} stands in several parts: {told}", file=sys.stderr)
        if options.stand_in is not None and judgement.ingredient(options.stand_in) is None:
            return _wrong(
                f"{options.stand_in} is no ingredient I know; write its usual name, or leave out --for"
            )
        found = judgement.options(formula, at, options.stand_in)
        if options.choose is not None and not 1 <= options.choose <= max(len(found.options), 1):
            return _wrong(
                f"--choose {options.choose}: there are {len(found.options)} options, numbered from 1"
            )
        if options.json:
            _emit(document.options(found))
        elif options.choose is not None and found.options:
            print(phrasing.option_full(found.options[options.choose - 1], book))
        else:
            print(phrasing.options(found, book, formula.lines[at].name))
        if not found.options:
            return NO_ANSWER
        if options.out is not None:
            chosen = found.options[(options.choose or 1) - 1].formula
            path = Path(options.out)
            text = to_text(chosen, book, judgement.names) if path.suffix in TEXT_ENDINGS else to_yaml(chosen)
            fault = save(path, text)
            if fault is not None:
                _say([fault])
                return NO_ANSWER
        return DONE

    return _with_formula(options, options.formula, answer)


def _adapt(options: argparse.Namespace) -> int:
    from assistant.formula.read import STDIN
    from assistant.talk.wishes import Typed, absent, constraints_of

    book = _book(options)
    if book is None:
        return NO_ANSWER
    paths, fault = _recipe_paths(options.paths)
    if fault:
        return _wrong(fault)
    formula, status = None, DONE
    alone = len(paths) == 1 and not (options.out or options.cluster)
    if Path(STDIN) in paths and not alone:
        return _wrong("-: one recipe is read from standard input; give it alone, without --out or --cluster")
    if alone:
        formula, status = _only(paths[0], book)
        if status != DONE:
            return status
    wished = {name: getattr(options, name) for name in (f.name for f in fields(Typed))}
    lines = [] if formula is None else [line.name for line in formula.lines]
    wishes = constraints_of(Typed(**wished), book, _names(book), lines)
    if isinstance(wishes, Fault):
        return _wrong(wishes.sentence)
    if not wishes.parts():
        return _wrong("adapt: nothing is wished for; say what with --diet, --without, --have, --target or --keep")
    if formula is None:
        return _adapt_many(options, paths, wishes, wished, book)
    none = absent(wishes, formula, book)
    if none is not None:
        return _wrong(none.sentence)
    return _adapt_one(options, formula, wishes, book)


def _recipe_paths(names: Sequence[str]) -> tuple[list[Path], str]:
    """What the names lead to: files, folders, packaged recipes; and what is wrong with the first that does not."""
    from assistant.formula.read import STDIN
    from assistant.talk.recipes import nearest_names, packaged_names, packaged_recipe

    found = []
    for name in names:
        path = Path(name)
        if not name.strip():
            return [], "adapt: one of the names is empty; give a file, a folder or a packaged name"
        if name != STDIN and not _there(name):
            packaged_path = packaged_recipe(name)
            if packaged_path is None:
                close = nearest_names(name, packaged_names())
                mend = f"did you mean {' or '.join(close)}?" if close else "give a file, a folder or a packaged name"
                return [], f"{name}: there is no such file, folder or packaged recipe; {mend}"
            path = packaged_path
        found.append(path)
    return found, ""


def _only(path: Path, book: "Rulebook") -> "tuple[Formula | None, int]":
    """The recipe of a file that holds no more than one; None where there may be several."""
    from itertools import islice

    from assistant.formula.collection import Found, recipes_in
    from assistant.formula.read import STDIN, read_formula

    if path.is_dir():
        return None, DONE
    some = [Found(STDIN, *read_formula(STDIN, book))] if path == Path(STDIN) else list(islice(recipes_in(path, book), 2))
    if len(some) != 1:
        return None, DONE
    _say(some[0].faults)
    return some[0].formula, DONE if some[0].formula is not None else NO_ANSWER


def _adapt_one(
    options: argparse.Namespace, formula: "Formula", wishes: "Constraints", book: "Rulebook"
) -> int:
    from assistant.plan.adapt import adapt
    from assistant.publish import document
    from assistant.talk import phrasing

    found = adapt(formula, wishes, book, options.plans, _notes(options))
    if options.json:
        _emit(document.adapted(found))
    else:
        print(phrasing.adapted(found, book))
    return DONE if found.options else NO_ANSWER


def _notes(options: argparse.Namespace) -> "Notes":
    """Derivations are kept where a document tells them, unless they are not wanted."""
    from assistant.words.derivation import BARE, FULL

    told = options.json or options.out is not None
    return FULL if told and not options.no_working else BARE


def _adapt_many(
    options: argparse.Namespace, paths: Sequence[Path], wishes: "Constraints", wished: Mapping[str, Any], book: "Rulebook"
) -> int:  # fmt: skip
    from functools import partial

    from assistant.batch.convert import Job, run
    from assistant.plan.adapt import conversion

    job = Job(
        tuple(paths),
        partial(conversion, wishes, options.plans, _notes(options)),
        {**wished, "plans": options.plans, "working": not options.no_working},
        Path(options.shelf) if options.shelf else None,
        Path(options.out) if options.out else None,
        options.workers,
        options.cluster,
    )
    found = run(job, book, sys.stderr, sys.stdout.buffer, options.json)
    if isinstance(found, Fault):
        return _wrong(found.sentence)
    return DONE if found.complete else NO_ANSWER


def _why(options: argparse.Namespace) -> int:
    from assistant.publish import document
    from assistant.talk import phrasing
    from assistant.talk.english import TOPICS, by_word
    from assistant.talk.judgement import Judgement

    def answer(formula: "Formula", book: "Rulebook") -> int:
        topics = by_word(TOPICS)
        subject = options.subject.strip().casefold()
        why = Judgement(book).why(formula, topics.get(subject, options.subject))
        if options.json:
            _emit(document.why(why, book))
        else:
            print(phrasing.why(why, book))
        return DONE if why.verdict != "unknown" else NO_ANSWER

    return _with_formula(options, options.formula, answer)


def _instead(options: argparse.Namespace) -> int:
    from assistant.formula.line import measured_as, read_line
    from assistant.formula.resolve import measures_of
    from assistant.plan.instead import instead
    from assistant.publish import document
    from assistant.rulebook.model import PURPOSES
    from assistant.talk import phrasing
    from assistant.talk.wishes import meant

    book = _book(options)
    if book is None:
        return NO_ANSWER
    names = _names(book)
    line = read_line(options.quantity, names)
    if not options.quantity.strip():
        return _wrong('nothing is named; write an amount and an ingredient, as in "1 cup buttermilk"')
    if line.ingredient is None:
        close = line.nearest or [match.name for match in names.find(line.name)]
        mend = f"did you mean {' or '.join(dict.fromkeys(close))}?" if close else "write its usual name"
        return _wrong(f"{line.name or options.quantity}: there is no such ingredient in the rulebook; {mend}")
    product = "" if options.product is None else names.product(options.product)
    if options.product is not None and not product:
        known = [p.name for p in book.products.values()]
        return _wrong(f"--in {options.product}: there is no such kind of bake; {meant(options.product, known)}")
    diets = []
    for said in options.diets:
        diet = names.diet(said)
        if not diet:
            known = [name for d in book.diets.values() for name in (d.name, *d.aliases)]
            return _wrong(f"--diet {said}: there is no such diet; {meant(said, known)}")
        diets.append(diet)
    for said in options.purposes:
        if said not in PURPOSES:
            return _wrong(f"--like {said}: blends are not told by that; {meant(said, PURPOSES)}")
    amount, unit = measured_as(line, measures_of(book.ingredients[line.ingredient]))
    kept = tuple(dict.fromkeys(diets))
    found = instead(book, line.ingredient, amount, unit, product, kept, purposes=options.purposes)
    if options.json:
        _emit(document.instead(found))
    else:
        print(phrasing.instead(found, book))
    return DONE if found.options or found.blends else NO_ANSWER


def _compare(options: argparse.Namespace) -> int:
    from assistant.publish import document
    from assistant.publish.compare import compare
    from assistant.talk import phrasing
    from assistant.talk.judgement import Judgement

    if len(options.formulas) < 2:
        return _wrong("compare: give at least two recipes to set side by side")
    book = _book(options)
    if book is None:
        return NO_ANSWER
    formulas = []
    for name in options.formulas:
        formula, status = _formula(name, book)
        if formula is None:
            return status
        formulas.append(formula)
    judgement = Judgement(book)
    found = compare([judgement.assess(f) for f in formulas], [None] * len(formulas), book)
    if options.json:
        _emit(document.comparison(found))
    else:
        print(phrasing.comparison(found))
    return DONE


def _rules(options: argparse.Namespace) -> int:
    from assistant.rulebook.read import load

    if options.what == "laws":
        return _laws(options)
    book, faults = load(Path(options.shelf) if options.shelf else None, fresh=options.what == "check")
    if options.what == "show":
        return _show_rule(options, book)
    if options.what == "coverage":
        return _coverage(options, book)
    from assistant.plan.coverage import coverage, lacking
    from assistant.plan.examples import blend_failures, failures
    from assistant.rulebook.check import check
    from assistant.words.faults import Place

    broken = [
        Fault(Place("rules/swaps"), text, "correct the example or the rule")
        for s in book.swaps.values()
        for text in failures(s, book)
    ]
    broken += [
        Fault(book.places[f"blends/{b.id}"], text, "correct the example or the rule")
        for b in book.blends.values()
        for text in blend_failures(b, book)
    ]
    unserved = [
        Fault(book.places[f"diets/{diet}"], what, "add a swap that does it, or say why in `lacks`")
        for diet, what in lacking(book, coverage(book, _packaged_formulas(book)))
    ]
    found = [*faults, *check(book), *broken, *unserved]
    counts = {
        kind: len(getattr(book, kind))
        for kind in ("ingredients", "swaps", "blends", "needs", "diets", "products", "reactions", "cautions", "sources")
    }
    if options.json:
        _emit(
            {
                "counts": counts,
                "faults": [{"where": str(f.where), "what": f.what, "mend": f.mend} for f in found],
            }
        )
    else:
        for fault in found:
            print(fault.sentence)
        print(
            ", ".join(f"{n} {kind}" for kind, n in counts.items())
            + (f": {len(found)} to mend" if found else ": nothing to mend")
        )
    return NO_ANSWER if found else DONE


def _packaged_formulas(book: "Rulebook") -> "list[Formula]":
    from assistant.talk.recipes import packaged_names

    read = (_formula(name, book)[0] for name in packaged_names())
    return [formula for formula in read if formula is not None]


def _coverage(options: argparse.Namespace, book: "Rulebook") -> int:
    from assistant.plan.coverage import coverage
    from assistant.publish import document
    from assistant.talk import phrasing
    from assistant.talk.wishes import meant

    diet = "" if not options.id else _names(book).diet(options.id)
    if options.id and not diet:
        return _wrong(f"rules coverage {options.id}: there is no such diet; {meant(options.id, list(book.diets))}")
    found = [r for r in coverage(book, _packaged_formulas(book)) if not diet or r.diet == diet]
    if options.json:
        _emit(document.coverage(found, book))
    else:
        print(phrasing.coverage(found, book))
    return DONE


def _show_rule(options: argparse.Namespace, book: "Rulebook") -> int:
    from assistant.rulebook.names import nearest

    if not options.id:
        return _wrong("rules show: name the id of an entry, such as an ingredient or a swap")
    kinds = (
        "ingredients",
        "swaps",
        "blends",
        "needs",
        "diets",
        "products",
        "turns",
        "reactions",
        "cautions",
        "parts",
        "causes",
        "troubles",
        "allergens",
        "functions",
        "acids",
        "sources",
        "steps",
    )
    entries = {kind: getattr(book, kind)[options.id] for kind in kinds if options.id in getattr(book, kind)}
    if not entries:
        close = nearest(options.id, [i for kind in kinds for i in getattr(book, kind)])
        return _wrong(f"{options.id}: no entry has this id" + (f"; did you mean {close}?" if close else ""))
    plain = {kind: _plain(entry) for kind, entry in entries.items()}
    if options.json:
        _emit(plain)
    else:
        print(json.dumps(plain, ensure_ascii=False, indent=2))
    return DONE


def _plain(value: Any) -> Any:
    """A value as JSON can hold it; what is empty is left out."""
    if is_dataclass(value) and not isinstance(value, type):
        value = {f.name: getattr(value, f.name) for f in fields(value)}
    if isinstance(value, Mapping):
        return {k: _plain(v) for k, v in value.items() if v not in ((), {}, "", None)}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value if isinstance(value, str | int | float | bool) or value is None else str(value)


def _laws(options: argparse.Namespace) -> int:
    from assistant.publish.laws import document, laws

    if options.json:
        _emit(document())
        return DONE
    for law in laws():
        print(f"{law.name}\n  {law.computes}\n  Range: {law.holds}\n  Source: {law.source}\n  Spread: {law.spread}")
    return DONE


def _chat(options: argparse.Namespace) -> int:
    from assistant.talk.prompt import converse, replay

    lines = _typed(options)
    if isinstance(lines, int):
        return lines
    if lines is None and not options.json:
        return converse(lambda: _kitchen(options), options.formula)
    kitchen = _kitchen(options)
    if kitchen is None:
        return NO_ANSWER
    formula, faults = kitchen.recipes.find(options.formula)
    _say(faults)
    if formula is None:
        return WRONG_REQUEST if not Path(options.formula).exists() else NO_ANSWER
    return replay(formula, lines if lines is not None else sys.stdin, kitchen, options.json)


def _typed(options: argparse.Namespace) -> "list[str] | int | None":
    """Lines of a script or of standard input; None at a terminal; an exit status when a script is missing."""
    if options.script is None:
        return None if sys.stdin.isatty() else sys.stdin.read().splitlines()
    from assistant.talk.recipes import packaged_script

    path = Path(options.script)
    if not path.is_file():
        packaged_path = packaged_script(options.script)
        if packaged_path is None:
            return _wrong(f"--script {options.script}: there is no such file or packaged conversation")
        path = packaged_path
    text = path.read_text(encoding="utf-8", errors="replace")
    return [line for line in text.splitlines() if line.strip() and not line.startswith(("#", "="))]


def _kitchen(options: argparse.Namespace) -> "Kitchen | None":
    from assistant.rulebook.read import own_shelf
    from assistant.talk.dialogue import Kitchen
    from assistant.talk.judgement import Judgement
    from assistant.talk.own import OwnShelf
    from assistant.talk.recipes import Shelf
    from assistant.talk.utterance import Vocabulary

    book = _book(options)
    if book is None:
        return None
    folder = Path(options.shelf) if options.shelf else own_shelf()

    def kitchen_of(book: "Rulebook") -> "Kitchen":
        judgement = Judgement(book)
        shelf = Shelf(book, judgement.names, Path.cwd())
        words = Vocabulary.of(book, judgement.names, shelf.names())
        return Kitchen(book, words, judgement, shelf, OwnShelf(folder, kitchen_of))

    return kitchen_of(book)


if __name__ == "__main__":
    run()
