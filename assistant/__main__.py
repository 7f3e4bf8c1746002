"""The command line: `crumbwright` and its commands, exit statuses and JSON as scripts may rely on.

Exit 0: done. 1: the request was fine, but a recipe could not be read or no plan exists. 2: the
request itself is wrong.
"""

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant import __version__
from assistant.words.faults import Fault, stopping
from assistant.words.places import packaged

if TYPE_CHECKING:
    from assistant.formula.model import Formula
    from assistant.rulebook.model import Rulebook
    from assistant.talk.judgement import Bench

DONE, NO_ANSWER, WRONG_REQUEST = 0, 1, 2
DEMO = "larch-hut/seed-rolls"


def run() -> None:
    """Entry point of the installed command."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit status."""
    options = _parser().parse_args(arguments)
    if options.shelf is not None and not Path(options.shelf).is_dir():
        return _wrong(f"--shelf {options.shelf}: there is no such folder; give a folder of YAML rules")
    command: Callable[[argparse.Namespace], int] = options.run
    try:
        return command(options)
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
    except KeyboardInterrupt:
        return NO_ANSWER


def _parser() -> argparse.ArgumentParser:
    shared = argparse.ArgumentParser(add_help=False)
    shared.add_argument("--shelf", metavar="DIR", default=argparse.SUPPRESS, help="a folder of your own rules, laid over the packaged ones")
    shared.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="one JSON document on standard output")
    parser = argparse.ArgumentParser(
        prog="crumbwright", parents=[shared],
        description="Swap ingredients in a recipe and see every number, with the reason for it.",
    )  # fmt: skip
    parser.add_argument("--version", action="version", version=f"crumbwright {__version__}")
    parser.set_defaults(run=_chat, formula=DEMO, script=None, shelf=None, json=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, parents=[shared], help=text, description=text)
        made.set_defaults(run=run)
        return made

    chat = command("chat", _chat, "talk about a recipe; typed lines also from standard input")
    chat.add_argument("formula", nargs="?", default=DEMO, metavar="FORMULA", help="a file, or a packaged recipe's name")
    chat.add_argument("--script", metavar="FILE|NAME", help="replay typed lines from a file or a packaged script")
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
    why = command("why", _why, "why something is in a recipe, or has to be")
    why.add_argument("formula", metavar="FORMULA")
    why.add_argument("subject", metavar="SUBJECT")
    compare = command("compare", _compare, "recipes side by side")
    compare.add_argument("formulas", nargs="+", metavar="FORMULA")
    rules = command("rules", _rules, "the rulebook: check it, or show an entry")
    rules.add_argument("what", choices=["check", "show", "laws"])
    rules.add_argument("id", nargs="?")
    return parser


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


def packaged_formula(name: str) -> Path | None:
    """The file of a packaged recipe, named like `larch-hut/seed-rolls`; None when there is none."""
    scenarios = packaged("scenarios")
    path = (scenarios / f"{name}.yaml").resolve()
    return path if path.is_file() and path.is_relative_to(scenarios) else None


def packaged_script(name: str) -> Path | None:
    """The file of a packaged conversation, named like `no-yeast`; None when there is none."""
    return next(iter(sorted(packaged("scenarios").glob(f"*/scripts/{name}.txt"))), None)
