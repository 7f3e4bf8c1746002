"""Units of the kitchen, held against NIST SP 811 (2008) appendix B and NIST Handbook 44 appendix C."""

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.words import units
from assistant.words.units import Quantity

# Factors as printed. "exact" rows are exact by definition; others to the digits the table prints.
# SP 811 B.8: cup 2.365882e-4 m3, tablespoon 1.478676e-5, teaspoon 4.928922e-6, fluid ounce (US) 2.957353e-5,
# pint (US liquid) 4.731765e-4, quart (US liquid) 9.463529e-4, gallon (US) 3.785412e-3, fluid ounce (UK)
# 2.841306e-5, gallon (UK) 4.54609e-3 (exact); the UK pint is an eighth of it and the quart a quarter.
VOLUMES = [
    ("cup", "us", "236.5882"),
    ("tbsp", "us", "14.78676"),
    ("tsp", "us", "4.928922"),
    ("fl oz", "us", "29.57353"),
    ("pint", "us", "473.1765"),
    ("quart", "us", "946.3529"),
    ("gallon", "us", "3785.412"),
    ("fl oz", "uk", "28.41306"),
    ("pint", "uk", "568.26125"),
    ("quart", "uk", "1136.5225"),
    ("gallon", "uk", "4546.09"),
    ("l", "us", "1000.0"),
    ("dl", "metric", "100.0"),
    ("cl", "metric", "10.0"),
    ("ml", "us", "1.0"),
]
# SP 811 B.8: ounce (avoirdupois) 2.834952e-2 kg, pound (avoirdupois) 4.535924e-1 kg.
MASSES = [("oz", "28.34952"), ("lb", "453.5924"), ("kg", "1000.0"), ("mg", "0.001"), ("g", "1.0")]
# BS 1348 (metric spoons), AS 1325 (Australian spoon and cup): nominal volumes.
METRIC = [
    ("tsp", "metric", 5.0),
    ("tbsp", "metric", 15.0),
    ("cup", "metric", 250.0),
    ("tbsp", "au", 20.0),
    ("tsp", "au", 5.0),
    ("cup", "au", 250.0),
    ("tbsp", "uk", 15.0),
    ("dessertspoon", "uk", 10.0),
]


def printed(number: str) -> object:
    """A printed number, to half a step of its last digit."""
    return pytest.approx(float(number), abs=0.5 * 10 ** -len(number.partition(".")[2]) + 1e-12, rel=0)


@pytest.mark.parametrize(("unit", "system", "ml"), VOLUMES)
def test_a_volume_is_what_nist_prints(unit: str, system: units.System, ml: str) -> None:
    assert units.in_ml(unit, system) == printed(ml)


@pytest.mark.parametrize(("unit", "grams"), MASSES)
def test_a_mass_is_what_nist_prints(unit: str, grams: str) -> None:
    assert units.in_g(unit) == printed(grams)


@pytest.mark.parametrize(("unit", "system", "ml"), METRIC)
def test_metric_spoons_hold_their_nominal_volume(unit: str, system: units.System, ml: float) -> None:
    assert units.in_ml(unit, system) == pytest.approx(ml, rel=1e-12)


def test_us_measures_nest_as_handbook_44_says() -> None:
    """HB 44 appendix C: 3 teaspoons a tablespoon, 16 tablespoons a cup, 2 cups a pint, 2 pints a quart."""
    assert 3 * units.in_ml("tsp") == pytest.approx(units.in_ml("tbsp"), rel=1e-12)
    assert 16 * units.in_ml("tbsp") == pytest.approx(units.in_ml("cup"), rel=1e-12)
    assert 8 * units.in_ml("fl oz") == pytest.approx(units.in_ml("cup"), rel=1e-12)
    assert 2 * units.in_ml("cup") == pytest.approx(units.in_ml("pint"), rel=1e-12)
    assert 2 * units.in_ml("pint") == pytest.approx(units.in_ml("quart"), rel=1e-12)
    assert 4 * units.in_ml("quart") == pytest.approx(units.in_ml("gallon"), rel=1e-12)


def test_sixteen_ounces_are_a_pound() -> None:
    """HB 44 appendix C."""
    assert 16 * units.in_g("oz") == pytest.approx(units.in_g("lb"), rel=1e-12)


def test_small_measures_are_shares_of_a_teaspoon() -> None:
    """Common practice, as stamped on sets of small spoons: dash 1/8, pinch 1/16, smidgen 1/32."""
    for system in units.SYSTEMS:
        shares = [
            units.in_ml("tsp", system) / units.in_ml(unit, system) for unit in ("dash", "pinch", "smidgen")
        ]
        assert shares == pytest.approx([8, 16, 32])


def test_an_inexact_factor_is_asked_of_the_registry_once() -> None:
    units.in_ml.cache_clear()
    for _ in range(100):
        units.in_ml("cup")
    assert (units.in_ml.cache_info().misses, units.in_ml.cache_info().hits) == (1, 99)


def test_pint_is_not_loaded_before_a_factor_is_needed() -> None:
    import subprocess
    import sys

    said = "import sys, assistant.words.units as u; u.read_quantity('2 cups'); print('pint' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"


# -- names ----------------------------------------------------------------------------------------

WORDS = [
    ("tsp", "tsp"),
    ("tsp.", "tsp"),
    ("Teaspoons", "tsp"),
    ("t", "tsp"),
    ("T", "tbsp"),
    ("T.", "tbsp"),
    ("Tbsp", "tbsp"),
    ("TBSP", "tbsp"),
    ("tbs", "tbsp"),
    ("tablespoonfuls", "tbsp"),
    ("c", "cup"),
    ("C.", "cup"),
    ("cups", "cup"),
    ("fl oz", "fl oz"),
    ("fl. oz.", "fl oz"),
    ("fluid ounces", "fl oz"),
    ("pt", "pint"),
    ("qts", "quart"),
    ("litres", "l"),
    ("liter", "l"),
    ("L", "l"),
    ("mL", "ml"),
    ("cc", "ml"),
    ("dl", "dl"),
    ("cl", "cl"),
    ("grammes", "g"),
    ("gm", "g"),
    ("g.", "g"),
    ("kilos", "kg"),
    ("mg", "mg"),
    ("ozs", "oz"),
    ("lbs.", "lb"),
    ("pound", "lb"),
    ("sticks", "stick"),
    ("knob", "knob"),
    ("pinches", "pinch"),
    ("dashes", "dash"),
    ("drops", "drop"),
    ("cloves", "clove"),
    ("slices", "slice"),
    ("sachet", "packet"),
    ("pkg", "packet"),
    ("envelope", "packet"),
    ("tin", "can"),
    ("cans", "can"),
    ("each", "each"),
    ("dessertspoons", "dessertspoon"),
]


@pytest.mark.parametrize(("word", "unit"), WORDS)
def test_a_unit_is_known_by_every_way_people_write_it(word: str, unit: str) -> None:
    assert units.unit_named(word) == unit


@pytest.mark.parametrize("word", ["flour", "eggs", "floor", "", "cupcake", "Tt", "minute", "large"])
def test_what_is_no_unit_is_none(word: str) -> None:
    assert units.unit_named(word) is None


@pytest.mark.parametrize("unit", units.UNITS)
def test_a_unit_is_read_back_as_it_is_written(unit: str) -> None:
    for amount in (0.5, 1.0, 2.0):
        assert units.unit_named(units.unit_text(unit, amount)) == unit


# -- grams ----------------------------------------------------------------------------------------


def test_a_measure_of_the_ingredient_comes_first() -> None:
    """Baking powder, SR28 18369: 4.6 g a teaspoon, 13.8 g a tablespoon."""
    assert units.grams_of(2, "tsp", {"tsp": 4.6, "tbsp": 13.8}) == pytest.approx(9.2)


def test_a_missing_measure_is_scaled_by_volume_from_another() -> None:
    """All-purpose flour, SR28 20081: 125 g a cup; a tablespoon is a sixteenth of a cup (HB 44)."""
    assert units.grams_of(2, "tbsp", {"cup": 125.0}) == pytest.approx(2 * 125 / 16)


def test_the_measure_nearest_in_size_is_scaled_from() -> None:
    """Half a teaspoon more than a tablespoon away from a cup: the spoon is nearer than the cup."""
    assert units.grams_of(1, "dessertspoon", {"cup": 160.0, "tbsp": 9.0}) == pytest.approx(9.0 * 2 / 3)


def test_household_measures_are_us_measures_whatever_spoon_is_used() -> None:
    """Water, SR28 14411: 237 g a US cup of 236.588 ml; a metric cup holds 250 ml."""
    assert units.grams_of(1, "cup", {"cup": 237.0}, "metric") == pytest.approx(237 * 250 / 236.588, rel=1e-5)


def test_a_count_needs_its_own_measure() -> None:
    assert units.grams_of(2, "each", {"each": 50.0}) == 100.0
    assert units.grams_of(2, "clove", {"each": 50.0}) is None
    assert units.grams_of(1, "knob", {"cup": 227.0, "tbsp": 14.2}) is None


def test_a_volume_without_any_measure_has_no_mass() -> None:
    assert units.grams_of(1, "cup", {}) is None
    assert units.grams_of(1, "cup", {"each": 50.0}) is None


def test_a_mass_needs_no_measure() -> None:
    assert units.grams_of(1, "lb", {}) == pytest.approx(453.5924, rel=1e-6)


# -- temperatures ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("f", "c"), [(32, 0), (212, 100), (-40, -40), (350, 176.6667), (98.6, 37)])
def test_fahrenheit_and_celsius_meet_at_known_points(f: float, c: float) -> None:
    """SP 811 B.8: t/C = (t/F - 32)/1.8; ice and steam points, and the scales' common point."""
    assert units.f_to_c(f) == pytest.approx(c, abs=1e-4)
    assert units.c_to_f(units.f_to_c(f)) == pytest.approx(f)


# Fahrenheit column of the oven tables in British cookbooks (common practice), all printed alike.
GAS = [
    (0.25, 225),
    (0.5, 250),
    (1, 275),
    (2, 300),
    (3, 325),
    (4, 350),
    (5, 375),
    (6, 400),
    (7, 425),
    (8, 450),
    (9, 475),
]


@pytest.mark.parametrize(("mark", "printed_f"), GAS)
def test_a_gas_mark_is_the_fahrenheit_of_printed_oven_tables(mark: float, printed_f: float) -> None:
    assert units.c_to_f(units.gas_mark_c(mark)) == pytest.approx(printed_f)


@pytest.mark.parametrize("mark", [0, 0.3, 11, -1])
def test_a_gas_mark_that_no_oven_has_is_refused(mark: float) -> None:
    with pytest.raises(ValueError, match="gas marks run"):
        units.gas_mark_c(mark)


@pytest.mark.parametrize(
    ("c", "f"), [(175, 350), (190, 375), (205, 400), (180, 355), (170, 340), (163, 325), (218, 425)]
)
def test_a_dial_in_fahrenheit_shows_steps_of_25_where_near_else_of_5(c: float, f: int) -> None:
    """Ovens are marked in 25 F; 180 C is 356 F and 170 C is 338 F (SP 811 B.8), which no 25 comes near."""
    assert units.dial_f(c) == f


@given(st.floats(60, 300))
def test_a_dial_is_never_further_off_than_its_step(c: float) -> None:
    assert abs(units.dial_c(c) - c) <= 2.5 + 1e-9
    assert abs(units.dial_f(c) - units.c_to_f(c)) <= 4.5 + 1e-9


# -- reading --------------------------------------------------------------------------------------

NUMBERS = [
    ("1", 1),
    ("1.5", 1.5),
    (".5", 0.5),
    ("1 1/2", 1.5),
    ("1-1/2", 1.5),
    ("1½", 1.5),
    ("1 ½", 1.5),
    ("¾", 0.75),
    ("⅓", 1 / 3),
    ("2⅔", 8 / 3),
    ("⅛", 0.125),
    ("1/4", 0.25),
    ("1⁄2", 0.5),
    ("1,5", 1.5),
    ("0,125", 0.125),
    ("1,500", 1500),
    ("12,500", 12500),
    ("one and a half", 1.5),
    ("two and a quarter", 2.25),
    ("one and three quarters", 1.75),
    ("a dozen", 12),
    ("half a dozen", 6),
    ("two dozen", 24),
    ("half a", 0.5),
    ("a", 1),
    ("an", 1),
    ("One", 1),
    ("twelve", 12),
    ("three quarters of a", 0.75),
    ("a quarter", 0.25),
    ("1 & 1/2", 1.5),
    ("1 and 1/2", 1.5),
]


@pytest.mark.parametrize(("text", "value"), NUMBERS)
def test_a_number_is_read_however_a_cook_writes_it(text: str, value: float) -> None:
    found = units.read_number(text)
    assert found is not None
    assert isclose(found[0], value)
    assert found[1].strip() == ""


@pytest.mark.parametrize("text", ["", "flour", "ate", "1/0", "x2", "-"])
def test_what_is_no_number_is_none(text: str) -> None:
    assert units.read_number(text) is None


QUANTITIES = [
    ("2-3 tbsp", Quantity(2, 3, "tbsp")),
    ("2 – 3 tbsp", Quantity(2, 3, "tbsp")),
    ("2 to 3 cups", Quantity(2, 3, "cup")),
    ("2 or 3 cups", Quantity(2, 3, "cup")),
    ("1/2-3/4 tsp", Quantity(0.5, 0.75, "tsp")),
    ("1 to 1 1/2 cups", Quantity(1, 1.5, "cup")),
    ("1-1 1/2 cups", Quantity(1, 1.5, "cup")),
    ("100g-150g", Quantity(100, 150, "g")),
    ("1 x 400 g", Quantity(400, 400, "g", 1)),
    ("2 × 7g", Quantity(7, 7, "g", 2)),
    ("400g", Quantity(400, 400, "g")),
    ("½ tsp", Quantity(0.5, 0.5, "tsp")),
    ("12", Quantity(12, 12)),
    ("3 to 2 cups", Quantity(3, 3)),
]


@pytest.mark.parametrize(("text", "quantity"), QUANTITIES)
def test_a_quantity_is_read_with_its_ends_unit_and_packs(text: str, quantity: Quantity) -> None:
    found = units.read_quantity(text)
    assert found is not None
    assert found[0] == quantity


def test_packs_count_in_the_amount() -> None:
    assert Quantity(400, 400, "g", 2).amount == 800
    assert Quantity(2, 3, "tbsp").amount == 2.5


@given(st.text(max_size=40))
def test_any_text_is_read_without_a_crash(text: str) -> None:
    units.read_quantity(text)
    units.unit_named(text)


# -- writing --------------------------------------------------------------------------------------


@given(st.floats(0.001, 5000).map(lambda x: round(x, 4)))
def test_an_exact_number_reads_back_as_the_very_same(value: float) -> None:
    found = units.read_number(units.exact_number(value))
    assert found == (value, "")


@given(st.floats(0.13, 9.8))
def test_a_cooks_number_is_off_by_no_more_than_half_a_step(value: float) -> None:
    """Steps are eighths and thirds, at most 1/8 apart."""
    found = units.read_number(units.cook_number(value))
    assert found is not None
    assert abs(found[0] - value) <= 1 / 16 + 1e-9


@pytest.mark.parametrize(
    ("grams", "text"),
    [
        (0.36, "0.4 g"),
        (4.23, "4.2 g"),
        (9.96, "10 g"),
        (168.4, "168 g"),
        (250.2, "250 g"),
        (1337.0, "1335 g"),
        (0.01, "under 0.1 g"),
    ],
)
def test_grams_are_written_as_a_kitchen_scale_shows_them(grams: float, text: str) -> None:
    """A tenth below 10, whole grams to 250, fives above: our own convention."""
    assert units.grams_text(grams) == text


@pytest.mark.parametrize(
    ("grams", "text"),
    [(28.35, "1 oz"), (100, "3.5 oz"), (453.6, "1 lb"), (510.3, "1 lb 2 oz"), (5, "0.18 oz")],
)
def test_ounces_are_written_with_pounds_from_a_pound_up(grams: float, text: str) -> None:
    """SP 811 B.8: 28.34952 g an ounce."""
    assert units.ounces_text(grams) == text


@pytest.mark.parametrize(
    ("grams", "measure"),
    [
        (250.0, (2.0, "cup")),
        (31.25, (0.25, "cup")),
        (15.6, (1.9968, "tbsp")),
        (1.3, (0.4992, "tsp")),
        (0.1, (0.6144, "pinch")),
    ],
)
def test_a_household_measure_is_the_one_a_cook_would_take(grams: float, measure: tuple[float, str]) -> None:
    """All-purpose flour, SR28 20081: 125 g a cup, so 7.8125 g a tablespoon, 2.604 g a teaspoon."""
    found = units.household(grams, {"cup": 125.0})
    assert found is not None
    assert (pytest.approx(found[0], rel=1e-6), found[1]) == measure
