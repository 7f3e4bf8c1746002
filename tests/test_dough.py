"""Water and warmth of a dough: mass and heat balances, cooling against the exact series of a sphere."""

import inspect
from math import exp, pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from assistant.laws import dough
from assistant.laws.dough import (
    CONSISTENCY,
    DOUGH_CONDUCTIVITY_W_MK,
    FILM_W_M2K,
    FRICTION_J_PER_G,
    bakers_percentage,
    consistency_against_word,
    consistency_word,
    contributed_water_g,
    cooled_c,
    cooling_time_constant_min,
    dough_surface_cm2,
    free_water_g,
    free_water_per_dry,
    hydration_pct,
    liquid_temperature_for,
    minutes_to_cool,
    mix_temperature,
    preferment_flour_g,
    preferment_water_g,
    together_g,
    water_for_free_g,
    water_held_g,
)

# Water


def free_per_dry(flour_g: float, added_water_g: float, other_dry_g: float) -> float:
    """Free water per dry matter of a white dough: flour of 12 % water that holds 0.60 g/g."""
    water = together_g(added_water_g, contributed_water_g(flour_g, 12.0))
    free = free_water_g(water, water_held_g(flour_g, 0.60))
    return free_water_per_dry(free, flour_g * 0.88 + other_dry_g)


@pytest.mark.parametrize(
    ("name", "flour_g", "water_g", "other_dry_g", "words"),
    [
        ("bagel at 55 %", 500.0, 275.0, 15.0, {"stiff", "firm"}),
        ("pan bread at 62 %", 500.0, 310.0, 15.0, {"workable"}),
        ("hearth bread at 68 %", 500.0, 340.0, 12.0, {"soft"}),
        ("wet hearth bread at 78 %", 500.0, 390.0, 11.0, {"slack"}),
        ("pancakes", 200.0, 302.0, 60.0, {"pourable batter"}),
        ("thin pancakes", 125.0, 340.0, 70.0, {"thin batter"}),
    ],
)
def test_a_dough_is_called_what_a_baker_calls_it(
    name: str, flour_g: float, water_g: float, other_dry_g: float, words: set[str]
) -> None:
    # hydrations of the trade (common practice)
    assert consistency_word(free_per_dry(flour_g, water_g, other_dry_g)) in words, name


def test_more_water_never_makes_a_stiffer_word() -> None:
    order = [word for _, word in CONSISTENCY] + ["thin batter"]
    found = [order.index(consistency_word(step / 100)) for step in range(-100, 300)]
    assert found == sorted(found)


def test_a_percent_of_hydration_is_nothing_and_ten_are_felt() -> None:
    base = free_per_dry(500.0, 310.0, 15.0)
    assert consistency_against_word(free_per_dry(500.0, 313.0, 15.0), base) == "the same"
    assert consistency_against_word(free_per_dry(500.0, 360.0, 15.0), base) == "wetter"
    assert consistency_against_word(free_per_dry(500.0, 285.0, 15.0), base).endswith("stiffer")


def test_water_for_a_swap_keeps_the_free_water() -> None:
    held_before, held_after, brought = 300.0, 420.0, 60.0
    before = free_water_g(310.0 + brought, held_before)
    added = water_for_free_g(before, held_after, brought)
    assert free_water_g(added + brought, held_after) == approx(before)


@given(mass=st.floats(1, 5000), hydration=st.floats(40, 300))
def test_a_preferment_is_its_flour_and_its_water(mass: float, hydration: float) -> None:
    flour, water = preferment_flour_g(mass, hydration), preferment_water_g(mass, hydration)
    assert flour + water == approx(mass)
    assert hydration_pct(water, flour) == approx(hydration)


@given(mass=st.floats(0, 1000), flour=st.floats(10, 1000), factor=st.floats(0.1, 10))
def test_scaling_leaves_bakers_percentages_alone(mass: float, flour: float, factor: float) -> None:
    assert bakers_percentage(mass * factor, flour * factor) == approx(
        bakers_percentage(mass, flour), abs=1e-9
    )


# Warmth

PART = st.tuples(st.floats(1, 2000), st.floats(1.2, 4.2), st.floats(-20, 100))


@given(parts=st.lists(PART, min_size=1, max_size=6))
def test_heat_is_conserved_in_mixing_and_order_does_not_matter(
    parts: list[tuple[float, float, float]],
) -> None:
    masses, heats, temps = zip(*parts, strict=True)
    mixed = mix_temperature(masses, heats, temps, 0.0)
    assert min(temps) - 1e-9 <= mixed <= max(temps) + 1e-9
    gained = sum(m * cp * (mixed - t) for m, cp, t in parts)
    assert gained == approx(0.0, abs=1e-6 * sum(m * cp * 100 for m, cp, _ in parts))
    assert mix_temperature(masses[::-1], heats[::-1], temps[::-1], 0.0) == approx(mixed)


def test_boiling_water_makes_a_dough_that_kills_yeast() -> None:
    # 350 g boiling water into 400 g flours and fibre at 21 C (1.7 J/g K)
    assert mix_temperature((350.0, 400.0), (4.18, 1.7), (100.0, 21.0), 0.0) > 60.0


def test_a_mixer_warms_a_dough_by_four_to_five_degrees() -> None:
    # common practice: friction of 8 to 10 min; 2.73 J/g K is lean wheat dough at 25 C (Choi-Okos)
    work = FRICTION_J_PER_G["mixer"] * 850.0
    warmed = mix_temperature((850.0,), (2.73,), (24.0,), work) - 24.0
    assert 3.5 < warmed < 5.5


@given(target=st.floats(20, 30), room=st.floats(15, 28))
def test_liquid_of_the_temperature_asked_for_gives_the_dough_asked_for(target: float, room: float) -> None:
    needed = liquid_temperature_for(target, 900.0, room, 1300.0, 2000.0)
    mixed = mix_temperature((500.0, 1300.0 / 4.18), (1.8, 4.18), (room, needed), 2000.0)
    assert mixed == approx(target, abs=1e-6)


def mean_of_sphere(biot: float, fourier: float) -> float:
    """Mean excess temperature of a cooling sphere, exact series (Carslaw & Jaeger 9.4)."""
    total = 0.0
    for n in range(1, 60):
        low, high = (n - 1) * pi + 1e-9, n * pi - 1e-9
        for _ in range(80):  # 1 - x cot x = Bi, rising in each branch
            middle = (low + high) / 2
            low, high = (middle, high) if 1 - middle / tan(middle) < biot else (low, middle)
        total += 6 * biot**2 / (low**2 * (low**2 + biot**2 - biot)) * exp(-(low**2) * fourier)
    return total


@pytest.mark.parametrize("dough_g", [60.0, 300.0, 850.0, 2000.0])
@pytest.mark.parametrize("film", FILM_W_M2K)
@pytest.mark.parametrize("share", [0.5, 1.0, 2.0])
def test_a_resting_ball_cools_as_the_exact_series_says(dough_g: float, film: float, share: float) -> None:
    cp, k, density = 2.8, DOUGH_CONDUCTIVITY_W_MK[1], 1.2
    surface = dough_surface_cm2(dough_g, density, 1.0)
    constant = cooling_time_constant_min(dough_g, cp, surface, film, k, density)
    minutes = share * constant
    radius_m = 3 * dough_g / density / surface / 100
    fourier = k / (density * 1000 * cp * 1000) * minutes * 60 / radius_m**2
    exact = mean_of_sphere(film * radius_m / k, fourier)
    assert (cooled_c(60.0, 20.0, minutes, constant) - 20.0) / 40.0 == approx(exact, abs=0.03)


@given(start=st.floats(30, 90), target=st.floats(22, 29.9), constant=st.floats(5, 300))
def test_time_to_cool_and_cooling_are_inverse(start: float, target: float, constant: float) -> None:
    assert cooled_c(start, 20.0, minutes_to_cool(start, target, 20.0, constant), constant) == approx(target)


def test_a_dough_that_is_cool_enough_need_not_wait() -> None:
    assert minutes_to_cool(30.0, 35.0, 20.0, 120.0) == 0.0


def test_a_loaf_of_dough_stays_hot_for_longer_than_a_roll() -> None:
    times = []
    for dough_g in (80.0, 850.0):
        surface = dough_surface_cm2(dough_g, 1.2, 1.1)
        constant = cooling_time_constant_min(dough_g, 2.8, surface, 9.0, 0.42, 1.2)
        times.append(minutes_to_cool(60.0, 35.0, 21.0, constant))
    assert times[1] > 2 * times[0]


# Fixed points that a law must pass through exactly


def test_definitions_pass_through_their_fixed_points() -> None:
    assert water_held_g(25.0, 12.0) == approx(300.0)
    assert together_g(1.0, 2.0, 3.5) == approx(6.5)
    assert bakers_percentage(10.0, 500.0) == approx(2.0)
    assert free_water_per_dry(70.0, 350.0) == approx(0.2)
    assert dough_surface_cm2(4 / 3 * pi, 1.0, 1.0) == approx(4 * pi)  # a ball of 1 cm


def test_a_crumb_of_dough_cools_as_fast_as_its_film_lets_it() -> None:
    # Biot number below 0.02: the slowest term of the series, 3 Bi (1 - Bi / 5)
    density, cp, film, k = 1.2, 2.8, 9.0, 0.42
    surface = dough_surface_cm2(0.5, density, 1.0)
    radius_m = 3 * 0.5 / density / surface / 100
    biot = film * radius_m / k
    exact_s = radius_m**2 * density * 1e3 * cp * 1e3 / k / (3 * biot * (1 - biot / 5))
    assert cooling_time_constant_min(0.5, cp, surface, film, k, density) * 60 == approx(exact_s, rel=1e-3)


# Every law refuses what it does not hold for

REFUSED: dict[str, tuple[object, ...]] = {
    "contributed_water_g": (50.0, 120.0),
    "water_held_g": (50.0, -1.0),
    "together_g": (10.0, -1.0),
    "free_water_g": (-1.0, 10.0),
    "water_for_free_g": (70.0, -1.0, 60.0),
    "bakers_percentage": (10.0, 0.0),
    "hydration_pct": (5000.0, 100.0),
    "free_water_per_dry": (10.0, 0.0),
    "consistency_word": (float("nan"),),
    "consistency_against_word": (50.0, 0.1),
    "preferment_flour_g": (100.0, 10.0),
    "preferment_water_g": (-1.0, 100.0),
    "mix_temperature": ((100.0,), (4.18,), (140.0,), 0.0),
    "liquid_temperature_for": (30.0, 9000.0, 5.0, 1300.0, 0.0),
    "dough_surface_cm2": (850.0, 9.0, 1.0),
    "cooling_time_constant_min": (850.0, 2.8, 400.0, 0.0, 0.42, 1.2),
    "cooled_c": (60.0, 20.0, -5.0, 100.0),
    "minutes_to_cool": (60.0, 20.0, 20.0, 100.0),
}


def test_every_law_is_asked_for_something_outside_its_range() -> None:
    found = inspect.getmembers(dough, inspect.isfunction)
    laws = {name for name, law in found if law.__module__ == dough.__name__}
    assert {name for name in laws if not name.startswith("_")} == set(REFUSED)


@pytest.mark.parametrize("name", REFUSED)
def test_a_law_refuses_what_is_outside_its_range(name: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ \w+"):
        getattr(dough, name)(*REFUSED[name])


def test_parts_to_mix_must_match_and_weigh_something() -> None:
    with pytest.raises(ValueError, match="missing"):
        mix_temperature((100.0, 50.0), (4.18,), (20.0, 21.0), 0.0)
    with pytest.raises(ValueError, match="nothing"):
        mix_temperature((), (), (), 0.0)
