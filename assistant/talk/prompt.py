"""The terminal: reads typed lines and prints answers. All else is values.

The prompt is drawn at once; the rulebook is read beside it, and the first line that is typed waits for it.
"""

import gc
import json
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING

from assistant.words.faults import Fault, own_slip

if TYPE_CHECKING:
    from prompt_toolkit.completion import Completer

    from assistant.formula.model import Formula
    from assistant.talk.dialogue import Kitchen, State, Turn

PROMPT = "> "
WELCOME = "Say what is missing or should change, or help. Ctrl-D leaves."
COMMENT, EXPECTED = "#", "="
"""How lines of a script begin that nobody types: remarks, and what the answer must hold."""

Begun = tuple["Kitchen", "State"] | tuple[Fault, ...] | None
"""What a conversation starts with, or why it can't; None when that was said already."""


@dataclass
class _Loading:
    """Reads the rules and the recipe beside the prompt."""

    load: "Callable[[], Kitchen | None]"
    name: str
    found: list[Begun] = field(default_factory=list)
    wrong: list[BaseException] = field(default_factory=list)
    tell: Callable[[], object] | None = None

    def __post_init__(self) -> None:
        self.there = Event()
        self.thread = Thread(target=self._run, name="rules", daemon=True)
        self.thread.start()

    def _run(self) -> None:
        try:
            self.found.append(_begin(self.load(), self.name))
        except BaseException as error:  # handed over to the thread that asks for it
            self.wrong.append(error)
        self.there.set()
        if self.wrong:
            return
        if self.tell is not None:
            self.tell()
        _warm(self.found[0])
        gc.freeze()  # rules last as long as the talk: looking for waste among them would hold up an answer

    def wait(self) -> Begun:
        """What was loaded, when it is there."""
        self.there.wait()
        if self.wrong:
            raise self.wrong[0]
        return self.found[0]


def _warm(begun: Begun) -> None:
    """Has what the first answers need at hand: phrases, measures, and what the recipe comes to."""
    kitchen, state = _ready(begun)
    if kitchen is not None and state is not None:
        for text in ("use cups", "numbers", "xyzzy", "no nuts and keep protein over 1 g"):
            _turn(state, text, kitchen)


def _begin(kitchen: "Kitchen | None", name: str) -> Begun:
    from assistant.talk.dialogue import begin

    if kitchen is None:
        return None
    formula, faults = kitchen.recipes.find(name)
    return faults if formula is None else (kitchen, begin(formula))


def converse(load: "Callable[[], Kitchen | None]", name: str, history: Path | None = None) -> int:
    """Talk until the person leaves; returns an exit status.

    `load` brings what a conversation stands on (None when it said why it can't); `name` is the recipe to
    begin with; `history` the file of lines typed before, the program's own when not given.
    """
    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import FileHistory, History, InMemoryHistory
    from prompt_toolkit.output import ColorDepth
    from prompt_toolkit.styles import Style

    from assistant.talk.recipes import own_folder

    loading = _Loading(load, name)
    told: list[State] = []
    remembered: History = InMemoryHistory()
    kept = own_folder() / "typed" if history is None else history
    if _writable(kept):
        remembered = FileHistory(str(kept))

    def toolbar() -> str:
        return _toolbar(told[-1] if told else _state(loading), name)

    session: PromptSession[str] = PromptSession(
        history=remembered,
        completer=_completer(loading),
        complete_while_typing=False,
        bottom_toolbar=toolbar,
        style=Style.from_dict({"bottom-toolbar": "noreverse"}),
        color_depth=ColorDepth.DEPTH_1_BIT,
    )
    loading.tell = session.app.invalidate
    print(WELCOME)
    while True:
        try:
            text = session.prompt(PROMPT)
        except KeyboardInterrupt:
            continue
        except EOFError:
            text = "quit"
        begun = loading.wait()
        kitchen, state = _ready(begun)
        if kitchen is None or state is None:
            return _refused(begun)
        if not text.strip():
            continue
        state, said = _turn(told[-1] if told else state, text, kitchen)
        told[:] = [state]
        if said.kitchen is not None:
            loading.found[0] = (said.kitchen, state)
        print(said.reply, end="\n\n")
        if said.ends:
            return 0


def _writable(history: Path) -> bool:
    try:
        history.parent.mkdir(parents=True, exist_ok=True)
        history.touch()
    except OSError:
        return False
    return True


def _ready(begun: Begun) -> "tuple[Kitchen, State] | tuple[None, None]":
    from assistant.talk.dialogue import Kitchen, State

    match begun:
        case (Kitchen() as kitchen, State() as state):
            return kitchen, state
        case _:
            return None, None


def _refused(begun: Begun) -> int:
    for fault in begun or ():
        if isinstance(fault, Fault):
            print(fault.sentence, file=sys.stderr)
    return 1


def _state(loading: _Loading) -> "State | None":
    return _ready(loading.found[0])[1] if loading.found else None


def _toolbar(state: "State | None", name: str) -> str:
    """What stands under the prompt: the recipe, its version, what is unsaved, what is on the table."""
    if state is None:
        return f" {name}: reading the rules ..."
    parts = [f"{state.formula.name}, version {state.formula.version}"]
    parts.append("not saved" if state.unsaved else "as opened" if not state.past else "saved")
    if state.table is not None:
        many = len(state.table.options)
        parts.append(f"{many} {'way' if many == 1 else 'ways'} to choose from")
    return " " + "  |  ".join(parts)


def _completer(loading: _Loading) -> "Completer":
    from prompt_toolkit.completion import Completer, Completion
    from prompt_toolkit.document import Document

    class Words(Completer):
        """Sentences at the beginning of a line, names after it."""

        def get_completions(self, document: Document, complete_event: object) -> Iterator[Completion]:
            """What the line may go on with."""
            if not loading.found:
                return
            kitchen, state = _ready(loading.found[0])
            if kitchen is None or state is None:
                return
            for start, words in completions(document.text_before_cursor, kitchen, state):
                yield Completion(words, start_position=start)

    return Words()


COMPLETED = 12


def completions(text: str, kitchen: "Kitchen", state: "State") -> Iterable[tuple[int, str]]:
    """What a line may go on with: where it begins to be replaced (counted back from the end), and with what.

    Whole sentences that begin so, then ingredients and recipes by the last one to three words.
    """
    from assistant.talk.dialogue import line_names
    from assistant.talk.utterance import EXAMPLES

    found: dict[tuple[int, str], None] = {}
    typed = text.lstrip().lower()
    if typed:
        found |= {
            (-len(text.lstrip()), s): None
            for s in EXAMPLES
            if s.lower().startswith(typed) and s.lower() != typed
        }
    names = (
        *line_names(state.formula.lines),
        *(i.name for i in kitchen.book.ingredients.values()),
        *kitchen.vocabulary.recipes,
    )
    words = text.split(" ")
    for many in (3, 2, 1):
        tail = " ".join(words[-many:])
        if len(words) >= many and len(tail.strip()) >= 2:
            found |= {
                (-len(tail), n): None
                for n in names
                if n.lower().startswith(tail.lower()) and n.lower() != tail.lower()
            }
    return list(found)[:COMPLETED]


# -- lines from elsewhere --------------------------------------------------------------------------


def typed_lines(lines: Iterable[str]) -> Iterator[str]:
    """The lines of a script or of standard input that somebody types.

    >>> list(typed_lines(["# at noon", "undo\\n", "= as opened", "", "quit"]))
    ['undo', 'quit']
    """
    for line in lines:
        text = line.strip()
        if text and not text.startswith((COMMENT, EXPECTED)):
            yield text


def turns(lines: Iterable[str], kitchen: "Kitchen", state: "State") -> "Iterator[Turn]":
    """The turns that typed lines make, up to the end of them or of the conversation."""
    for text in typed_lines(lines):
        state, said = _turn(state, text, kitchen)
        kitchen = said.kitchen or kitchen
        yield said
        if said.ends:
            return


def conversation(lines: Iterable[str], kitchen: "Kitchen", state: "State") -> Iterator[str]:
    """A conversation as it reads: each typed line after the prompt, then its answer."""
    for said in turns(lines, kitchen, state):
        yield f"{PROMPT}{said.text}\n{said.reply}\n"


def replay(formula: "Formula", lines: Iterable[str], kitchen: "Kitchen", as_json: bool = False) -> int:
    """Answer lines that come from a script or a pipe; with `as_json` one object a line. An exit status."""
    from assistant.talk.dialogue import begin, turn_document

    if as_json:
        for said in turns(lines, kitchen, begin(formula)):
            kitchen = said.kitchen or kitchen
            made = turn_document(said, kitchen.book)
            print(json.dumps(made, ensure_ascii=False, allow_nan=False), flush=True)
    else:
        for text in conversation(lines, kitchen, begin(formula)):
            print(text, flush=True)
    return 0


def _turn(state: "State", text: str, kitchen: "Kitchen") -> "tuple[State, Turn]":
    """A turn; a law that is asked for what it does not hold for says so, and so does a slip of the program's own:
    nothing changes. Python's development mode (`python -X dev`) shows where a slip came from."""
    from assistant.talk.dialogue import Turn, turn
    from assistant.talk.phrasing import fault
    from assistant.talk.request import Unknown
    from assistant.talk.utterance import TYPED, Understood

    try:
        return turn(state, text, kitchen)
    except (ValueError, ArithmeticError) as outside:
        found = Fault(
            TYPED, f"that can't be worked out: {outside}", "nothing has changed", kind="not possible"
        )
    except Exception as slip:
        if sys.flags.dev_mode:
            raise
        found = Fault(TYPED, f"that is {own_slip(slip)}", "nothing has changed; say it another way, and report this")
    return state, Turn(text, Understood(Unknown(), 0.0, (found,)), fault(found), state.formula)
