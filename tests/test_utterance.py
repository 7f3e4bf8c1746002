"""What typed words ask for: whole sentences as data, every prefix of them, slips, and noise."""

import random
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from assistant.formula.model import Line
from assistant.rulebook.names import Names
from assistant.rulebook.read import load
from assistant.talk import request
from assistant.talk.english import phrases
from assistant.talk.request import Choose, Clarify, Decline, Explain, Replace, Request, Unknown, WhatIf
from assistant.talk.utterance import (
    ASK,
    BUILDERS,
    EXAMPLES,
    SURE,
    Context,
    Understood,
    Vocabulary,
    understand,
)

DATA: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "utterances.yaml").read_text())
LINES: list[dict[str, Any]] = DATA["lines"]
RECIPE = Context(tuple(Line(name, ingredient, 10.0) for name, ingredient in DATA["recipe"]))


@cache
def vocabulary() -> Vocabulary:
    book, _ = load()
    return Vocabulary.of(book, Names(book), ("soda-bread", "dinner-rolls"))


def heard(text: str, context: Context = RECIPE) -> Understood:
    return understand(text, vocabulary(), context)


@pytest.mark.parametrize("line", LINES, ids=lambda line: line["say"])
def test_a_sentence_is_understood_as_a_baker_means_it(line: dict[str, Any]) -> None:
    found = heard(line["say"])
    assert found.request.kind == line["kind"]
    slots = found.request.slots()
    assert set(slots) == set(line["slots"])
    for name, value in line["slots"].items():
        assert slots[name] == (pytest.approx(value, abs=1e-5) if isinstance(value, float) else value)


def test_every_kind_of_the_contract_is_among_the_sentences() -> None:
    kinds = {
        each.kind for each in vars(request).values() if isinstance(each, type) and issubclass(each, Request)
    }
    assert {line["kind"] for line in LINES} == kinds


def test_a_request_that_is_acted_on_is_sure() -> None:
    for line in LINES:
        found = heard(line["say"])
        if not isinstance(found.request, Clarify | Unknown):
            assert found.confidence >= SURE, line["say"]
            assert found.faults == ()


def test_every_prefix_of_every_sentence_is_answered() -> None:
    for line in LINES:
        for end in range(len(line["say"])):
            found = heard(line["say"][:end])
            assert isinstance(found.request, Request)
            assert 0.0 <= found.confidence <= 1.0
            assert found.faults or found.confidence >= SURE


def test_noise_is_answered_and_never_acted_on_as_a_change() -> None:
    noise = random.Random(20)
    for _ in range(400):
        raw = bytes(noise.randrange(256) for _ in range(noise.randrange(1, 60)))
        found = heard(raw.decode("latin-1"))
        assert not isinstance(found.request, Replace | WhatIf), raw


def test_very_long_lines_are_refused_quickly() -> None:
    found = heard("no yeast and " * 2000)
    assert isinstance(found.request, Unknown)
    assert "one thing at a time" in found.faults[0].mend


def test_what_is_not_understood_is_met_with_the_nearest_sentences() -> None:
    found = heard("compair wiht teh orignal pls ok hmm")
    assert isinstance(found.request, Unknown)
    assert found.confidence < ASK
    assert "compare with the original" in found.faults[0].choices


def test_an_unknown_ingredient_is_named_and_near_names_are_offered() -> None:
    found = heard("I have no cream of tarter sauce powder")
    assert isinstance(found.request, Unknown | Clarify)
    assert found.faults


def test_a_word_that_fits_two_lines_is_asked_about() -> None:
    two = Context((Line("psyllium powder", None, 10.0), Line("baking powder", None, 10.0)))
    found = heard("what if half the powder", two)
    assert isinstance(found.request, Clarify)
    assert found.request.choices == ("psyllium powder", "baking powder")
    assert found.request.requests[1] == WhatIf(ingredient="baking powder", factor=0.5)
    assert found.faults[0].kind == "ambiguous"


def test_the_flour_is_the_one_that_is_in_the_recipe() -> None:
    rye = Context((Line("rye flour", "rye-flour", 300.0), Line("water", "water", 200.0)))
    assert heard("I have no flour", rye).request == Replace("rye-flour")


def test_an_answer_to_a_question_may_be_given_in_its_own_words() -> None:
    asked = Context(RECIPE.lines, ("replace salt", "why salt is there", "leave salt out"))
    assert heard("leave salt out", asked).request == Choose(3)
    assert heard("why", asked).request == Choose(2)


def test_a_plan_on_the_table_may_be_called_by_what_is_in_it() -> None:
    plans = ("baking powder with vinegar", "baking powder", "baking soda with lemon juice")
    table = Context(RECIPE.lines, (), plans)
    assert heard("take the one with lemon juice", table).request == Choose(3)
    assert heard("the soda one", table).request == Choose(3)
    assert heard("the baking powder one", table).request == Choose(2)
    assert heard("the rye one", table).request != Choose(1)


def test_two_requests_in_one_line_are_taken_one_after_the_other() -> None:
    found = heard("leave out the vinegar and make 12")
    assert isinstance(found.request, Clarify)
    assert [r.kind for r in found.request.requests] == ["whatif", "scale"]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("replce the yeast", Replace("active-dry-yeast", all_of="baker-yeast")),
        ("I hvae no yeast", Replace("active-dry-yeast", all_of="baker-yeast")),
        ("wyh the vinegar", Explain("cider-vinegar")),
        ("waht if I leave out teh vinegar", WhatIf(omit="cider-vinegar")),
        ("take the secnd", Choose(2)),
    ],
)
def test_a_slip_of_the_finger_is_forgiven(said: str, meant: Request) -> None:
    assert heard(said).request == meant


def test_a_name_is_never_mended_into_a_command() -> None:
    """ "the flour" is one letter away from "the fourth"."""
    assert not isinstance(heard("the flour").request, Choose)


def test_there_being_none_is_not_having_some() -> None:
    found = heard("there is no yeast in the cupboard").request
    assert found == Replace("active-dry-yeast", all_of="baker-yeast")


def test_a_kind_that_is_missing_is_told_from_one_of_its_kind() -> None:
    assert heard("I have no active dry yeast").request == Replace("active-dry-yeast")


def test_medical_questions_are_declined() -> None:
    found = heard("how much insulin for two rolls").request
    assert isinstance(found, Decline)
    assert "doctor" in found.because


def test_every_phrase_has_a_meaning_and_every_meaning_a_phrase() -> None:
    assert {name for name, _ in phrases()} == set(BUILDERS)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_sentence_that_help_offers_is_understood(example: str) -> None:
    assert heard(example).confidence >= SURE
