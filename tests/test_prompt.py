"""The terminal: keys and lines in, answers out; no traceback, and nothing lost without asking."""

import json
from pathlib import Path

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.talk.dialogue import Kitchen, State, Turn, begin, turn
from assistant.talk.prompt import PROMPT, completions, conversation, converse, replay, typed_lines
from assistant.talk.recipes import Shelf, nearest_names, packaged_names, packaged_recipe
from assistant.talk.utterance import Vocabulary
from assistant.words.places import packaged
from tests.handmade import ROLLS, HandmadeJudge

ROLLS_NAME = "larch-hut/seed-rolls"


@pytest.fixture
def kitchen(book: Rulebook, tmp_path: Path) -> Kitchen:
    """A judge made by hand over the packaged rules, and an empty folder."""
    names = Names(book)
    shelf = Shelf(book, names, tmp_path)
    return Kitchen(book, Vocabulary.of(book, names, shelf.names()), HandmadeJudge(), shelf)


def talk(
    keys: str, kitchen: Kitchen | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> tuple[int, str]:
    """Exit status and all that was printed for some keys."""
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        pipe.send_text(keys)
        status = converse(lambda: kitchen, ROLLS_NAME, tmp_path / "state" / "typed")
    return status, capsys.readouterr().out


def test_a_conversation_goes_from_a_question_to_the_door(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, said = talk("show\rquit\r", kitchen, tmp_path, capsys)
    assert status == 0
    assert "Seed rolls, version 1" in said
    assert said.rstrip().endswith("Good baking.")


def test_ctrl_c_clears_the_line_and_nothing_else(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, said = talk("double it\x03show\rquit\r", kitchen, tmp_path, capsys)
    assert status == 0
    assert "version 2" not in said


def test_ctrl_d_asks_once_when_something_is_unsaved(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, said = talk("double it\r\x04\x04", kitchen, tmp_path, capsys)
    assert status == 0
    assert said.count("save, discard, or stay") == 1


def test_saving_at_the_door_keeps_the_recipe(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, said = talk("double it\r\x04save\rquit\r", kitchen, tmp_path, capsys)
    assert "Saved as Seed rolls" in said
    assert (tmp_path / "seed-rolls.yaml").is_file()


def test_what_was_typed_is_remembered_for_the_next_time(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    talk("show\rquit\r", kitchen, tmp_path, capsys)
    assert "+show" in (tmp_path / "state" / "typed").read_text()


def test_rules_that_can_not_be_read_end_it_with_a_status(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert talk("show\r", None, tmp_path, capsys)[0] == 1


def test_a_recipe_that_is_not_there_ends_it_with_a_sentence(
    kitchen: Kitchen, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        pipe.send_text("show\r")
        assert converse(lambda: kitchen, "no such rolls", tmp_path / "typed") == 1
    assert 'there is no recipe called "no such rolls"' in capsys.readouterr().err


def test_a_replay_reads_like_a_conversation(kitchen: Kitchen) -> None:
    lines = ["# noon", "I have no yeast", "= never typed", "2", "quit", "discard", "show"]
    told = list(conversation(lines, kitchen, begin(ROLLS)))
    assert [text.splitlines()[0] for text in told] == [
        PROMPT + t for t in ("I have no yeast", "2", "quit", "discard")
    ]


def test_a_replay_as_json_is_one_object_a_line(kitchen: Kitchen, capsys: pytest.CaptureFixture[str]) -> None:
    assert replay(ROLLS, ["I have no yeast", "why the vinegar", "\x00\xff"], kitchen, as_json=True) == 0
    said = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [each["understood"]["kind"] for each in said] == ["replace", "explain", "unknown"]
    assert "swap" in said[0]
    assert "why" in said[1]


def test_a_slip_of_the_program_is_a_sentence_and_changes_nothing(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slips(state: State, text: str, kitchen: Kitchen) -> tuple[State, Turn]:
        if text == "nutrition":
            raise KeyError("rye")
        return turn(state, text, kitchen)

    monkeypatch.setattr("assistant.talk.dialogue.turn", slips)
    told = list(conversation(["double it", "nutrition", "show"], kitchen, begin(ROLLS)))
    assert "a mistake of the program's own (KeyError 'rye')" in told[1]
    assert "Nothing has changed" in told[1]
    assert "version 2" in told[2]


def test_typed_lines_leave_out_remarks_and_expectations() -> None:
    assert list(typed_lines(["# a\n", "  undo \n", "= b", "\n"])) == ["undo"]


def test_words_are_completed_from_sentences_recipes_and_ingredients(kitchen: Kitchen) -> None:
    state = begin(ROLLS)
    assert (-4, "I have no yeast") in completions("I ha", kitchen, state)
    assert "the warden's seed mix" in [text for _, text in completions("replace the wa", kitchen, state)]
    assert "cider vinegar" in [text for _, text in completions("why the cider v", kitchen, state)]
    assert "soda-bread" in [text for _, text in completions("open soda-b", kitchen, state)]
    assert list(completions("", kitchen, state)) == []


def test_a_recipe_is_found_by_name_by_full_name_and_by_path(book: Rulebook, tmp_path: Path) -> None:
    shelf = Shelf(book, Names(book), tmp_path)
    for name in ("seed-rolls", "Seed rolls", ROLLS_NAME, str(packaged("scenarios") / f"{ROLLS_NAME}.yaml")):
        formula, _ = shelf.find(name)
        assert formula is not None
        assert formula.name == "Seed rolls"


def test_a_misspelt_recipe_is_met_with_the_nearest(book: Rulebook, tmp_path: Path) -> None:
    formula, faults = Shelf(book, Names(book), tmp_path).find("sed rolls")
    assert formula is None
    assert faults[0].choices == ("seed-rolls",)
    assert nearest_names("larch-hut/sead-rolls", packaged_names()) == (ROLLS_NAME,)


def test_no_name_leads_out_of_the_packaged_recipes() -> None:
    assert packaged_recipe("../../pyproject") is None


def test_a_recipe_saved_is_the_recipe_opened(book: Rulebook, tmp_path: Path) -> None:
    shelf = Shelf(book, Names(book), tmp_path)
    formula, _ = shelf.find(ROLLS_NAME)
    assert formula is not None
    where, fault = shelf.save(formula, formula.name)
    assert fault is None
    assert shelf.find("seed rolls")[0] == formula
    assert where == str(tmp_path / "seed-rolls.yaml")


def test_saving_over_another_recipe_keeps_that_one_beside_it(book: Rulebook, tmp_path: Path) -> None:
    shelf = Shelf(book, Names(book), tmp_path)
    (tmp_path / "hut-rolls.yaml").write_text("name: mine\n")
    shelf.save(ROLLS, "Hut rolls")
    assert (tmp_path / "hut-rolls.yaml~").read_text() == "name: mine\n"


def test_a_name_that_is_none_is_refused(book: Rulebook, tmp_path: Path) -> None:
    assert Shelf(book, Names(book), tmp_path).save(ROLLS, "???")[1] is not None


SCRIPTS = sorted(packaged("scenarios").glob("*/scripts/*.txt"))


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_a_packaged_conversation_answers_as_it_says(path: Path, book: Rulebook, tmp_path: Path) -> None:
    """Lines that begin with "=" say what the answer before them must hold."""
    from assistant.talk.judgement import Judgement

    names = Names(book)
    shelf = Shelf(book, names, tmp_path)
    real = Kitchen(book, Vocabulary.of(book, names, shelf.names()), Judgement(book), shelf)
    formula, _ = shelf.find(ROLLS_NAME)
    assert formula is not None
    state, reply = begin(formula), ""
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("="):
            assert line[1:].strip() in " ".join(reply.split()), reply
        elif line.strip() and not line.startswith("#"):
            state, said = turn(state, line, real)
            reply = said.reply
            assert max(len(each) for each in reply.splitlines()) <= 78
