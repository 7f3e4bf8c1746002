"""schema.org Recipe data (schema.org/Recipe, JSON-LD 1.1) as pages really carry them, well and badly formed.

Durations are held against ISO 8601-1:2019, 5.5.2; recipes are of our own invention.
"""

import json
from typing import Any

import pytest

from assistant.formula.card import Card
from assistant.formula.data import NotJson, card_of, loads, read_duration, recipes_in_data
from assistant.formula.model import Bake, Formula
from assistant.formula.page import cards_in
from assistant.formula.read import read_text
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Place

HERE = Place("rolls.json")
LINES = ["500 g bread flour", "330 g water", "7 g instant yeast"]


def recipe(**more: Any) -> dict[str, Any]:
    return {"@context": "https://schema.org", "@type": "Recipe", "name": "Rolls", "recipeIngredient": LINES} | more


def card(**more: Any) -> Card:
    return card_of(recipe(**more), HERE)


def steps(value: Any) -> list[str]:
    return [step.lead + step.text for step in card(recipeInstructions=value).steps]


def lines(value: Any) -> list[tuple[str, str]]:
    """Ingredient lines with their part."""
    return [(line.text, line.part) for line in card(recipeIngredient=value).lines]


def formula(text: str, book: Rulebook, form: str) -> Formula:
    found, faults = read_text(text, book, "rolls", form)
    assert found is not None, [fault.sentence for fault in faults]
    return found


# -- where a recipe stands ------------------------------------------------------------------------

PERSON = {"@type": "Person", "name": "The warden"}
WHERE: dict[str, Any] = {
    "alone": recipe(),
    "in a list": [PERSON, recipe()],
    "in a graph": {"@context": "https://schema.org", "@graph": [PERSON, recipe()]},
    "in a graph that is no list": {"@graph": recipe()},
    "in a list of lists": [[recipe()]],
    "as the main entity of a page": {"@type": "WebPage", "mainEntity": recipe()},
    "in an item list": {
        "@type": "ItemList",
        "itemListElement": [{"@type": "ListItem", "position": 1, "item": recipe()}],
    },
    "of several types": recipe(**{"@type": ["NewsArticle", "Recipe"]}),
    "of a type with a prefix": recipe(**{"@type": "schema:Recipe"}),
    "of a type written as an address": recipe(**{"@type": "http://schema.org/Recipe"}),
    "of a type in small letters": recipe(**{"@type": "recipe"}),
    "in a recipe that lists nothing": {"@type": "Recipe", "name": "Page", "hasPart": recipe()},
}


@pytest.mark.parametrize("where", WHERE)
def test_a_recipe_is_found_wherever_it_stands(where: str) -> None:
    assert [each["name"] for each in recipes_in_data(WHERE[where])] == ["Rolls"]


@pytest.mark.parametrize("value", [PERSON, [], {}, "Recipe", 7, None, {"@type": "RecipeBook"}, {"@type": 3}])
def test_where_no_recipe_stands_none_is_found(value: Any) -> None:
    assert list(recipes_in_data(value)) == []


def test_what_is_given_by_reference_is_found_in_the_graph(book: Rulebook) -> None:
    """JSON-LD 1.1, 2.4: an object may stand elsewhere under its @id."""
    graph = [
        recipe(recipeInstructions=[{"@id": "#one"}, {"@id": "#two"}, {"@id": "#gone"}]),
        {"@id": "#one", "@type": "HowToStep", "text": "Mix all."},
        {"@id": "#two", "@type": "HowToStep", "text": "Bake at 220 C for 25 minutes."},
    ]
    found = formula(json.dumps({"@graph": graph}), book, "json")
    assert [step.text for step in found.steps] == ["Mix all.", "Bake at 220 C for 25 minutes."]


def test_references_that_go_in_circles_end() -> None:
    loop = {"@id": "#a", "@type": "HowToSection", "itemListElement": [{"@id": "#a"}, {"@id": "#a"}]}
    assert card_of(recipe(recipeInstructions=[{"@id": "#a"}]), HERE, {"#a": loop}).steps == ()


# -- ingredients ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "value",
    [
        LINES,
        "\n".join(LINES),
        "<ul>" + "".join(f"<li>{line}</li>" for line in LINES) + "</ul>",
        "<br/>".join(LINES),
        [f"<span>{line}</span>" for line in LINES],
        [f"  {line}\n" for line in LINES],
        [LINES],
        [{"@type": "PropertyValue", "name": line} for line in LINES],
        [{"@type": "ListItem", "text": line} for line in LINES],
        {"@type": "ItemList", "itemListElement": LINES},
        [
            {"name": "bread flour", "amount": 500, "unit": "g"},
            {"name": "water", "quantity": {"value": "330", "unitText": "g"}},
            {"food": "instant yeast", "qty": "7", "unit": "g"},
        ],
        {"500 g bread flour": "", "330 g water": "", "7 g instant yeast": ""},
    ],
    ids=["list", "text", "markup", "breaks", "marked up each", "spaces", "nested", "named", "texts", "item list",
         "in fields", "keys"],
)  # fmt: skip
def test_ingredients_are_the_same_however_they_are_given(value: Any) -> None:
    assert lines(value) == [(line, "") for line in LINES]


def test_ingredients_under_their_old_name_are_read() -> None:
    """schema.org/ingredients is superseded by recipeIngredient, and pages still have it."""
    old = {"@type": "Recipe", "name": "Rolls", "ingredients": LINES}
    assert [line.text for line in card_of(old, HERE).lines] == LINES


def test_headings_in_a_list_name_the_part_of_what_follows() -> None:
    assert lines(["For the dough:", "500 g flour", "<b>Glaze:</b>", "1 egg"]) == [
        ("500 g flour", "dough"),
        ("1 egg", "glaze"),
    ]


def test_empty_ingredients_and_signs_of_html_are_no_trouble() -> None:
    assert lines(["", None, " ", "1&frac12; cups &amp;nbsp;milk", "&#189; cup&nbsp;sugar", []]) == [
        ("1½ cups milk", ""),
        ("½ cup sugar", ""),
    ]


def test_two_lists_of_ingredients_that_differ_are_said() -> None:
    made = card(ingredients=[*LINES, "10 g salt"])
    assert [line.text for line in made.lines] == LINES
    assert any("10 g salt" in fault.what for fault in made.faults)


# -- instructions ---------------------------------------------------------------------------------

STEPS = ["Mix all of it.", "Let it rise 1 hour.", "Bake 25 minutes."]


def how_to(text: str) -> dict[str, str]:
    return {"@type": "HowToStep", "text": text}


@pytest.mark.parametrize(
    "value",
    [
        STEPS,
        "\n".join(STEPS),
        "\r\n\r\n".join(STEPS),
        "<ol>" + "".join(f"<li>{step}</li>" for step in STEPS) + "</ol>",
        "<p>" + "</p><p>".join(STEPS) + "</p>",
        "1. Mix all of it. 2. Let it rise 1 hour. 3. Bake 25 minutes.",
        "Step 1: Mix all of it.\nStep 2: Let it rise 1 hour.\nStep 3: Bake 25 minutes.",
        [f"{number}) {step}" for number, step in enumerate(STEPS, start=1)],
        [how_to(step) for step in STEPS],
        [how_to(STEPS[0]), STEPS[1], [how_to(STEPS[2])]],
        {"@type": "ItemList", "itemListElement": [how_to(step) for step in STEPS]},
        {"@type": "HowToSection", "itemListElement": [how_to(step) for step in STEPS]},
        [{"@type": "HowToStep", "itemListElement": [{"@type": "HowToDirection", "text": step}]} for step in STEPS],
        [{"@type": "HowToStep", "itemListElement": {"@type": "HowToDirection", "text": step}} for step in STEPS],
        [{"@type": "HowToStep", "name": step} for step in STEPS],
        [{"@type": "HowToStep", "name": step, "text": step} for step in STEPS],
        [{"@type": ["HowToStep"], "description": step} for step in STEPS],
        {"@type": "HowTo", "step": [how_to(step) for step in STEPS]},
        [{"@type": "HowToStep", "text": f"<p>{step}</p>", "image": {"@type": "ImageObject"}} for step in STEPS],
    ],
    ids=["list", "text", "old line ends", "markup", "paragraphs", "numbers in a line", "step words", "numbered",
         "steps", "mixed", "item list", "section", "directions", "one direction", "names", "names and texts",
         "descriptions", "how-to", "pictures"],
)  # fmt: skip
def test_instructions_are_the_same_however_they_are_given(value: Any) -> None:
    assert steps(value) == STEPS


def test_a_section_says_its_name_with_its_first_step() -> None:
    dough = {"@type": "HowToSection", "name": "Dough:", "itemListElement": [how_to(STEPS[0]), how_to(STEPS[1])]}
    baking = {"@type": "HowToSection", "name": "Baking", "itemListElement": how_to(STEPS[2])}
    assert steps([dough, baking]) == ["Dough: Mix all of it.", "Let it rise 1 hour.", "Baking: Bake 25 minutes."]


def test_a_name_that_says_more_than_a_number_is_kept_with_its_step() -> None:
    assert steps([{"@type": "HowToStep", "name": "Step 1", "text": "Mix."}]) == ["Mix."]


@pytest.mark.parametrize("value", [None, "", [], {}, [None], [{}], [{"@type": "HowToStep"}], True])
def test_instructions_that_say_nothing_are_none(value: Any) -> None:
    assert steps(value) == []


# -- yields ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "pieces", "piece"),
    [
        (8, 8, ""),
        (8.0, 8, ""),
        ("8", 8, ""),
        ("8 rolls", 8, "roll"),
        ("Makes 8 rolls", 8, "roll"),
        ("Yield: 8 rolls", 8, "roll"),
        ("Serves 4", 4, "serving"),
        ("4 servings", 4, "serving"),
        ("about a dozen buns", 12, "bun"),
        ("1 (9-inch) loaf", 1, "loaf"),
        (["8", "8 rolls"], 8, "roll"),
        ([8, "8 rolls"], 8, "roll"),
        (["8 rolls"], 8, "roll"),
        ([], None, ""),
        ("", None, ""),
        (None, None, ""),
        ({"@type": "QuantitativeValue", "value": 8, "unitText": "rolls"}, 8, "roll"),
        ({"@type": "QuantitativeValue", "value": "8"}, 8, ""),
        (True, None, ""),
        (["", None, 8], 8, ""),
    ],
)
def test_a_yield_is_read_in_any_of_its_forms(value: Any, pieces: int | None, piece: str) -> None:
    made = card(recipeYield=value)
    assert (made.pieces, made.piece_name) == (pieces, piece)


@pytest.mark.parametrize("value", ["a lot", "0", -3, "1/2", float("nan"), 1e300])
def test_a_yield_that_is_no_number_of_pieces_is_unknown(value: Any) -> None:
    assert card(recipeYield=value).pieces is None


def test_a_range_of_pieces_is_counted_in_the_middle_and_said() -> None:
    made = card(recipeYield="8-10 rolls")
    assert made.pieces == 9
    assert any("8 to 10" in fault.what for fault in made.faults)


# -- durations ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("PT30M", 30), ("PT1H", 60), ("PT1H30M", 90), ("PT90M", 90), ("P1D", 1440), ("P1DT2H", 1560),
        ("PT0M", 0), ("PT45S", 0.75), ("PT1.5H", 90), ("PT0,5H", 30), ("P0DT1H15M", 75), ("P1W", 10080),
        ("P0Y0M0DT0H25M0S", 25), ("PT0H40M", 40), (" PT20M ", 20), ("P0Y0M1DT0H0M", 1440),
    ],
)  # fmt: skip
def test_a_duration_of_iso_8601_is_well_formed(text: str, minutes: float) -> None:
    assert read_duration(text) == (pytest.approx(minutes), True)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("P30M", 30), ("PT1H30", 90), ("1H30M", 90), ("T30M", 30), ("pt30m", 30), ("PT30 M", 30),
        ("P1H", 60), ("30 minutes", 30), ("30 min", 30), ("1 hour", 60), ("1 hr 15 mins", 75), ("1h15", 75),
        ("1:30", 90), ("1.5 hours", 90), ("1 1/2 hours", 90), ("PT1H 30M", 90), ("PT30MIN", 30), ("2 days", 2880),
        ("PT1H30M.", 90), ("about 30 minutes", 30), ("½ hour", 30), ("30 Minuten", 30),
    ],
)  # fmt: skip
def test_a_badly_formed_duration_is_read_where_one_thing_can_be_meant(text: str, minutes: float) -> None:
    assert read_duration(text) == (pytest.approx(minutes), False)


@pytest.mark.parametrize(
    "text", ["", "P", "PT", "soon", "90", "PT", "P1Y", "30 M 1 H", "PTM", "PT-30M", "overnight", "x" * 500, "PT1H1H"]
)
def test_a_duration_that_says_nothing_is_unknown(text: str) -> None:
    assert read_duration(text)[0] is None


def test_times_are_kept_and_bad_ones_are_said() -> None:
    made = card(prepTime="PT20M", cookTime="P25M", totalTime="a while")
    assert made.cook_min == 25
    assert "Preparation time: 20 minutes" in made.note
    said = [fault.what for fault in made.faults]
    assert any("P25M" in what and "25 minutes" in what for what in said)
    assert any("a while" in what for what in said)


# -- JSON that is not quite JSON ------------------------------------------------------------------

WELL = json.dumps(recipe())
MENDED = {
    "a byte order mark": "\ufeff" + WELL,
    "a comma at the end of a list": WELL.replace('yeast"]', 'yeast",]'),
    "a comma at the end of an object": WELL[:-1] + ",\n}",
    "two commas": WELL.replace('"name"', ',"name"'),
    "no comma between two objects": f"[{WELL} {json.dumps(PERSON)}]",
    "a line end in a string": WELL.replace("bread flour", "bread\nflour"),
    "a tab in a string": WELL.replace("bread flour", "bread\tflour"),
    "a comment of HTML around it": f"<!--\n{WELL}\n//-->",
    "CDATA around it": f"//<![CDATA[\n{WELL}\n//]]>",
    "CDATA in a comment around it": f"/*<![CDATA[*/ {WELL} /*]]>*/",
    "a remark": WELL.replace('"name"', '/* the name */ "name"'),
    "a remark at the end of a line": WELL.replace('"name"', '// the name\n"name"'),
    "a semicolon": WELL + ";",
    "a needless backslash": WELL.replace("bread flour", "baker\\'s flour"),
    "an unknown number": WELL.replace('"name"', '"rating": NaN, "name"'),
    "signs of HTML for quotation marks": WELL.replace('"', "&quot;"),
    "two texts after one another": json.dumps(PERSON) + "\n" + WELL,
    "a control character": WELL.replace("bread flour", "bread\x01 flour"),
}


@pytest.mark.parametrize("slip", MENDED)
def test_broken_json_is_mended_where_one_reading_is_possible(slip: str, book: Rulebook) -> None:
    values, _ = loads(MENDED[slip])
    (found,) = recipes_in_data(values)
    assert found["name"] == "Rolls"
    assert [line.grams for line in formula(MENDED[slip], book, "json").lines] == [500.0, 330.0, 7.0]


def test_a_mend_is_said_once(book: Rulebook) -> None:
    _, faults = read_text(MENDED["a comma at the end of a list"], book, "rolls.json", "json")
    said = [fault for fault in faults if "not quite JSON" in fault.what]
    assert len(said) == 1
    assert not said[0].stops
    assert "comma" in said[0].what


def test_what_looks_like_a_slip_inside_a_string_stays() -> None:
    odd = recipe(name="a, ] // b /* c */ } { ,, <!-- d")
    assert loads(json.dumps(odd)) == ([odd], ())
    assert loads(json.dumps(odd) + ",")[0] == [odd]


@pytest.mark.parametrize(
    "text",
    [
        WELL[:-2],
        WELL[: len(WELL) // 2],
        WELL.replace('"Rolls"', '"9" Rolls"'),
        WELL.replace('"name"', "name"),
        "{'@type': 'Recipe'}",
        "Recipe",
        "{" * 100_000,
        '{"a": ' + "9" * 100_000 + "}",
        "<!-- -->",
        ",,,",
    ],
    ids=lambda text: text[:20],
)
def test_what_could_be_read_in_two_ways_is_refused_in_a_sentence(text: str, book: Rulebook) -> None:
    with pytest.raises(NotJson):
        loads(text)
    found, faults = read_text(text, book, "rolls.json", "json")
    assert found is None
    assert [fault.stops for fault in faults] == [True]
    assert faults[0].what.startswith("this is not JSON")
    assert faults[0].mend


# -- pages ----------------------------------------------------------------------------------------


def script(content: str, opening: str = '<script type="application/ld+json">') -> str:
    return f"{opening}{content}</script>"


def page(*blocks: str) -> str:
    return f"<!DOCTYPE html><html><head><title>Rolls</title>{''.join(blocks)}</head><body><p>Hi</p></body></html>"


FULL = recipe(recipeInstructions=["Mix all.", "Bake at 220 C for 25 minutes."], recipeYield="8 rolls")
PAGES = {
    "one block": page(script(json.dumps(FULL))),
    "among other scripts": page("<script>var x = '<p>';</script>", script(json.dumps(FULL))),
    "after data of other kinds": page(script(json.dumps(PERSON)), script(json.dumps(FULL))),
    "after broken data of other kinds": page(script('{"@type": "Organization", '), script(json.dumps(FULL))),
    "a type in capitals": page(script(json.dumps(FULL), "<SCRIPT TYPE='application/LD+JSON'>")),
    "a type without quotation marks": page(script(json.dumps(FULL), "<script type=application/ld+json>")),
    "a type with its letters": page(script(json.dumps(FULL), '<script type="application/ld+json; charset=utf-8">')),
    "more attributes": page(script(json.dumps(FULL), '<script data-a="b" type="application/ld+json" class=x>')),
    "a sign in the type": page(script(json.dumps(FULL), '<script type="application/ld&#43;json">')),
    "the same twice": page(script(json.dumps(FULL)), script(json.dumps(FULL))),
    "in the body": f"<html><body>{script(json.dumps(FULL))}</body></html>",
    "wrapped in CDATA": page(script(f"//<![CDATA[\n{json.dumps(FULL)}\n//]]>")),
    "with a trailing comma": page(script(json.dumps(FULL)[:-1] + ",}")),
    "in a graph": page(script(json.dumps({"@graph": [PERSON, FULL]}))),
    "no end": page(script(json.dumps(FULL))).removesuffix("</body></html>"),
}


@pytest.mark.parametrize("kind", PAGES)
def test_the_recipe_of_a_page_is_read(kind: str, book: Rulebook) -> None:
    found = formula(PAGES[kind], book, "html")
    assert (found.name, found.pieces, found.piece_name) == ("Rolls", 8, "roll")
    assert [line.grams for line in found.lines] == [500.0, 330.0, 7.0]
    assert found.bake == Bake(220.0, 25.0)


def test_parts_of_one_recipe_in_several_blocks_find_one_another(book: Rulebook) -> None:
    """JSON-LD 1.1, 7.2: the blocks of a page are one set of data."""
    step = {"@id": "#bake", "@type": "HowToStep", "text": "Bake at 220 C for 25 minutes."}
    made = page(script(json.dumps(recipe(recipeInstructions=[{"@id": "#bake"}]))), script(json.dumps(step)))
    assert formula(made, book, "html").bake == Bake(220.0, 25.0)


def test_broken_recipe_data_are_said_and_the_page_is_read_by_its_text(book: Rulebook) -> None:
    body = "<h1>Rolls</h1><h2>Ingredients</h2><ul><li>500 g bread flour</li></ul>"
    found, faults = read_text(f"<html>{script(WELL[:-9])}{body}</html>", book, "rolls.html", "html")
    assert found is not None
    assert found.lines[0].grams == 500.0
    assert any("not JSON" in fault.what for fault in faults)


def test_microdata_are_read_where_there_is_no_json() -> None:
    """schema.org/Recipe as HTML microdata (HTML standard, section 5)."""
    body = (
        '<div itemscope itemtype="https://schema.org/Recipe"><h1 itemprop="name">Rolls</h1>'
        '<meta itemprop="recipeYield" content="8 rolls"><time itemprop="cookTime" datetime="PT25M">25 min</time>'
        '<div itemprop="author" itemscope itemtype="https://schema.org/Person"><b itemprop="name">Ann</b></div>'
        '<li itemprop="recipeIngredient">500&nbsp;g <a href="#">bread flour</a></li>'
        '<div itemprop="recipeInstructions"><p>Mix.</p><p>Bake.</p></div></div>'
    )
    (made,), _ = cards_in(f"<html><body>{body}</body></html>", "rolls.html", "html")
    assert (made.name, made.pieces, made.cook_min) == ("Rolls", 8, 25)
    assert [line.text for line in made.lines] == ["500 g bread flour"]
    assert [step.text for step in made.steps] == ["Mix.", "Bake."]
