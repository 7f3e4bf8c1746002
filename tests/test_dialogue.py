"""The conversation as values: what each request does to the state, and what is said."""

import json
import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import pytest
import yaml

from assistant.formula.model import Formula
from assistant.plan.model import Assessment, Options, Why
from assistant.publish.compare import Comparison
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.rulebook.read import load
from assistant.talk.dialogue import Kitchen, State, Turn, begin, turn, turn_document
from assistant.talk.judgement import Judgement
from assistant.talk.request import Choose, Clarify
from assistant.talk.utterance import EXAMPLES, Vocabulary
from assistant.words.faults import Fault, Place
from tests.handmade import ROLLS, HandmadeJudge


@dataclass
class Drawer:
    """Recipes kept in memory."""

    kept: dict[str, Formula] = field(default_factory=dict)

    def names(self) -> tuple[str, ...]:
        """What is kept."""
        return tuple(self.kept)

    def find(self, name: str) -> tuple[Formula | None, tuple[Fault, ...]]:
        """By name."""
        if name in self.kept:
            return self.kept[name], ()
        return None, (Fault(Place("as typed"), f'there is no recipe called "{name}"', "name another"),)

    def save(self, formula: Formula, name: str) -> tuple[str, Fault | None]:
        """In memory."""
        self.kept[name] = formula
        return "the drawer", None

    def publish(self, assessment: Assessment, form: str, locale: str) -> tuple[str, Fault | None]:
        """Nowhere."""
        return "", Fault(Place("as typed"), f"no {form} here", "print it elsewhere", kind="not possible")


@cache
def vocabulary() -> Vocabulary:
    book, _ = load()
    return Vocabulary.of(book, Names(book))


def kitchen(judge: HandmadeJudge | None = None, drawer: Drawer | None = None) -> Kitchen:
    book, _ = load()
    return Kitchen(book, vocabulary(), judge or HandmadeJudge(), drawer or Drawer())


def say(*texts: str, within: Kitchen | None = None, state: State | None = None) -> tuple[State, Turn]:
    """The state and the last turn after some lines."""
    here = within or kitchen()
    now = state or begin(ROLLS)
    said = None
    for text in texts:
        now, said = turn(now, text, here)
    assert said is not None
    return now, said


def test_a_missing_ingredient_puts_numbered_plans_on_the_table() -> None:
    state, said = say("I have no yeast")
    assert state.table is not None
    assert [o.title for o in state.table.options] == ["baking powder", "baking soda with vinegar"]
    assert "1  baking powder" in said.reply
    assert "2  baking soda with vinegar" in said.reply
    assert said.command == "swap"
    assert said.document == state.table
    assert state.formula == ROLLS


def test_who_has_no_yeast_is_not_offered_another_yeast() -> None:
    _, said = say("I have no yeast")
    assert isinstance(said.document, Options)
    brought = {c.ingredient for o in said.document.options for c in o.changes if not c.before_g}
    assert "instant-yeast" not in brought
    _, said = say("I have no active dry yeast")
    assert isinstance(said.document, Options)
    brought = {c.ingredient for o in said.document.options for c in o.changes if not c.before_g}
    assert "instant-yeast" in brought


def test_choosing_a_plan_makes_its_formula_the_recipe() -> None:
    state, said = say("I have no yeast", "the last one")
    assert state.formula.version == 2
    assert state.unsaved
    assert state.table is None
    assert [line.name for line in state.formula.lines][-1] == "baking powder"
    assert "start testing at 43 min" in said.reply


def test_undo_gives_back_the_very_formula_and_redo_the_other() -> None:
    chosen, _ = say("I have no yeast", "1")
    undone, said = say("undo", state=chosen)
    assert undone.formula is ROLLS
    assert not undone.unsaved
    assert "Hut rolls, version 1" in said.reply
    again, _ = say("redo", state=undone)
    assert again.formula is chosen.formula


def test_undo_everything_goes_back_to_the_start_in_one_step() -> None:
    state, _ = say("I have no yeast", "1", "double it", "make 4", "undo everything")
    assert state.formula is ROLLS
    assert len(state.future) == 3


def test_a_change_after_undo_drops_what_was_undone() -> None:
    state, said = say("double it", "undo", "half the recipe", "redo")
    assert "nothing to do again" in said.reply
    assert state.formula.pieces == 4


def test_a_state_is_never_changed_in_place() -> None:
    first, _ = say("I have no yeast")
    before = replace(first)
    say("1", state=first)
    assert first == before


def test_choosing_from_an_empty_table_is_refused_with_a_reason() -> None:
    state, said = say("2")
    assert said.understood.request == Choose(2)
    assert said.understood.faults[0].kind == "not possible"
    assert state.formula is ROLLS


def test_a_number_beyond_the_table_is_refused_and_the_table_stays() -> None:
    state, said = say("I have no yeast", "7")
    assert "a number from 1 to 2" in said.reply.lower()
    assert state.table is not None


def test_what_blocks_is_said_and_nothing_is_offered() -> None:
    state, said = say("I have no yeast", within=kitchen(HandmadeJudge("active-dry-yeast")))
    assert "a braid can't be raised another way" in said.reply
    assert state.table is None


def test_what_is_not_in_the_recipe_is_answered_in_general() -> None:
    state, said = say("out of buttermilk")
    assert said.reply.startswith("There is no")
    assert said.command == "instead"
    assert state.formula is ROLLS


def test_a_stand_in_alone_is_for_what_was_spoken_of() -> None:
    _, said = say("I have no yeast", "use baking powder")
    assert isinstance(said.document, Options)
    assert [o.title for o in said.document.options] == ["baking-powder"]


def test_a_stand_in_for_nothing_said_asks_for_what() -> None:
    state, said = say("use lemon juice instead")
    assert state.choices
    assert "instead of what?" in said.reply
    picked, said = say("cider vinegar", state=state)
    assert isinstance(said.document, Options)
    assert picked.about == "cider-vinegar"


def test_a_question_is_answered_by_its_number() -> None:
    state, said = say("vinegar")
    assert isinstance(said.understood.request, Clarify)
    after, said = say("2", state=state)
    assert isinstance(said.document, Why)
    assert after.asked == ()


def test_a_question_answered_with_a_number_beyond_it_stays_open() -> None:
    state, _ = say("vinegar", "9")
    _, said = say("2", state=state)
    assert isinstance(said.document, Why)


def test_a_what_if_changes_nothing_until_it_is_taken() -> None:
    state, said = say("what if I leave out the vinegar")
    assert state.formula is ROLLS
    assert "Nothing is changed yet" in said.reply
    taken, _ = say("1", state=state)
    assert taken.formula.version == 2


def test_no_leaves_the_recipe_and_clears_the_table() -> None:
    state, said = say("I have no yeast", "never mind")
    assert state.table is None
    assert "stays as it is" in said.reply


def test_why_is_asked_of_the_plan_on_the_table() -> None:
    assert "as it stands" in say("why the vinegar")[1].reply
    assert "against the plan" in say("I have no yeast", "why the vinegar")[1].reply


def test_why_an_option_gives_the_reason_of_each_change() -> None:
    _, said = say("I have no yeast", "why option 2")
    assert "It brings its own acid" in said.reply


def test_the_working_of_a_number_is_found_by_its_name_on_the_screen() -> None:
    _, said = say("I have no yeast", "1", "working of the bake time")
    assert said.reply.startswith("minutes in the oven: 62 min (43 to 84)")
    assert "what minutes in the oven rests on: 2 g; as stated" in said.reply
    assert say("working of the ph")[1].reply.startswith("pH")
    assert say("working of the net carbs")[1].reply.startswith("net_carbs_g: 3.1 g")


def test_the_working_of_nothing_known_offers_what_there_is() -> None:
    state, said = say("working of the zorgle")
    assert 'No number here is called "zorgle"' in said.reply
    assert say("1", state=state)[1].reply.startswith("gas: 900 ml")


def test_comparing_sets_the_recipe_beside_the_one_that_was_opened() -> None:
    _, said = say("I have no yeast", "1", "compare with the original")
    assert isinstance(said.document, Comparison)
    assert said.document.recipes == ("Hut rolls, version 1", "Hut rolls, version 2")
    assert "baking powder" in said.reply


def test_comparing_an_unchanged_recipe_says_so() -> None:
    assert "still the recipe" in say("compare with the original")[1].reply


def test_scaling_keeps_bakers_percentages() -> None:
    state, _ = say("make 12")
    shares = [(line.grams or 0) / (state.formula.lines[0].grams or 1) for line in state.formula.lines]
    assert shares == pytest.approx([(line.grams or 0) / 45.0 for line in ROLLS.lines], rel=1e-3)
    assert state.formula.pieces == 12
    assert state.formula.piece_g == pytest.approx(ROLLS.piece_g)


def test_scaling_by_total_keeps_the_size_of_a_piece_nearly() -> None:
    state, _ = say("2 kg of dough")
    assert state.formula.dough_g == pytest.approx(2000)
    assert state.formula.pieces == round(2000 / (ROLLS.piece_g or 1))


def test_pieces_and_their_weight_may_be_said_together() -> None:
    state, _ = say("16 rolls of 70 g")
    assert state.formula.pieces == 16
    assert state.formula.piece_g == pytest.approx(70, rel=1e-3)


def test_a_scaled_recipe_is_a_new_version_and_undo_goes_back() -> None:
    state, said = say("double it")
    assert (state.formula.version, state.formula.pieces) == (2, 16)
    assert say("undo", state=state)[0].formula is ROLLS
    assert "Hut rolls, version 2" in said.reply


def test_a_schedule_counts_back_from_when_it_must_be_ready() -> None:
    """5 + 45 + 40 min before 7:30."""
    assert "start at 06:00" in say("ready by 7:30")[1].reply
    assert "start at 23:00 the day before" in say("ready by 0:30")[1].reply


def test_saving_keeps_it_and_quitting_then_asks_nothing() -> None:
    drawer = Drawer()
    here = kitchen(drawer=drawer)
    state, _ = say("double it", "save as Hut rolls 2", within=here)
    assert drawer.kept["Hut rolls 2"].pieces == 16
    assert not state.unsaved
    assert say("quit", state=state, within=here)[1].ends


def test_quitting_with_something_unsaved_asks_once() -> None:
    state, said = say("double it", "quit")
    assert not said.ends
    assert "save, discard, or stay" in said.reply
    assert say("quit", state=state)[1].ends
    assert say("discard", state=state)[1].ends
    stayed, said = say("stay", state=state)
    assert not said.ends
    assert not stayed.leaving


def test_opening_another_recipe_keeps_the_unsaved_one_for_undo() -> None:
    drawer = Drawer({"soda bread": replace(ROLLS, name="Soda bread")})
    state, said = say("double it", "open soda bread", within=kitchen(drawer=drawer))
    assert state.formula.name == "Soda bread"
    assert "was not saved; undo goes back to it" in said.reply
    back, _ = say("undo", state=state)
    assert back.formula.name == "Hut rolls"


def test_opening_what_is_not_there_keeps_the_recipe() -> None:
    state, said = say("open the atlas")
    assert state.formula is ROLLS
    assert "no recipe called" in said.reply


def test_cups_are_shown_until_grams_are_asked_for() -> None:
    state, said = say("use cups")
    assert state.us
    assert " cup" in said.reply
    assert not say("use grams", state=state)[0].us


def test_the_pantry_says_which_plans_need_nothing_more() -> None:
    _, said = say("I have baking powder", "I have no yeast")
    assert "With what you have: 1, 2." in said.reply


def test_a_test_bake_is_noted_with_the_recipe() -> None:
    state, _ = say("it took 42 min, core 97, a bit pale")
    assert state.formula.note == "Test bake: 42 min in the oven, core 97 °C, a bit pale."


def test_a_diet_that_can_not_be_confirmed_is_never_called_met() -> None:
    """A line is unknown to the rulebook, so nothing about allergens can be said."""
    _, said = say("no nuts")
    assert "cannot be confirmed" in said.reply
    assert "the warden's seed mix" in said.reply.replace("\n", " ")


def test_a_line_that_breaks_a_diet_is_named_and_plans_for_it_follow() -> None:
    eggs = replace(
        ROLLS, lines=(*ROLLS.lines[:4], replace(ROLLS.lines[4], name="whole egg", ingredient="egg"))
    )
    state, said = say("make it vegan", state=begin(eggs))
    assert said.reply.splitlines()[:2] == ["Asked for: vegan.", "Against it: whole egg."]
    assert state.wish is not None
    assert said.command == "adapt"


def test_a_fault_in_the_bake_is_diagnosed() -> None:
    _, said = say("it came out gummy")
    assert said.reply.startswith("Gummy")
    assert "cool" in said.reply


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_sentence_that_help_offers_gets_an_answer(example: str) -> None:
    for start in ((), ("I have no yeast",), ("I have no yeast", "1")):
        _, said = say(*start, example)
        assert said.reply.strip()
        assert max(len(line) for line in said.reply.splitlines()) <= 78


def test_a_long_wandering_conversation_is_answered_throughout(
    book: Rulebook, larch_hut: Callable[[str], Formula]
) -> None:
    """Sentences of the data in any order, over the real judge: an answer each time, on the screen's width,
    and a JSON object that holds no NaN."""
    spoken = yaml.safe_load((Path(__file__).parent / "utterances.yaml").read_text())["lines"]
    chance = random.Random(8)
    here = Kitchen(book, vocabulary(), Judgement(book), Drawer())
    state = begin(larch_hut("seed-rolls"))
    for _ in range(150):
        state, said = turn(state, chance.choice(spoken)["say"], here)
        assert said.reply.strip(), said.text
        assert max(len(line) for line in said.reply.splitlines()) <= 78, said.text
        json.dumps(turn_document(said, book), allow_nan=False)


def test_a_turn_as_json_has_what_the_contract_says() -> None:
    book, _ = load()
    _, said = say("I have no yeast")
    made = turn_document(said, book)
    assert {"text", "understood", "reply", "formula", "swap"} == set(made)
    assert made["understood"] == {
        "kind": "replace",
        "slots": {"ingredient": "active-dry-yeast"},
        "confidence": 0.97,
    }
    assert made["formula"] == {"name": "Hut rolls", "version": 1}
