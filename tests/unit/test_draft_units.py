"""The unit of loads: plate arithmetic, and changes of unit in invented years of training."""

import doctest
import random
from datetime import date, timedelta

import pytest

from pipeline.core.units import KG_PER_LB
from pipeline.sources import draft_labels, draft_units
from pipeline.sources.draft_records import Notebook
from pipeline.sources.draft_units import Load, find_change, find_unit

BEGIN = date(2015, 1, 5)


def invent(
    rng: random.Random, changed: date | None, first: str = "lb", second: str = "kg"
) -> list[Load]:
    """Three years of eight lifts, five at a time, with warm-ups, easy days and layoffs."""
    levels = {f"lift {i}": rng.uniform(20, 120) for i in range(8)}
    active = rng.sample(list(levels), 5)
    loads: list[Load] = []
    day = BEGIN
    while day < date(2018, 1, 1):
        if rng.random() < 0.01:
            active = rng.sample(list(levels), 5)
        easy = 0.6 if rng.random() < 0.08 else 1.0
        unit = first if changed is None or day < changed else second
        for lift in rng.sample(active, 3):
            levels[lift] *= 1 + rng.gauss(0.0007, 0.003)
            for share in (0.5, 0.7, 1.0, 1.0, 0.95):
                kg = levels[lift] * easy * share * rng.uniform(0.97, 1.03)
                rounded = 5 * round(kg / KG_PER_LB / 5) if unit == "lb" else 2.5 * round(kg / 2.5)
                loads.append((day, lift, rounded))
        day += timedelta(days=rng.randrange(20, 90) if rng.random() < 0.01 else rng.choice([2, 3]))
    return loads


@pytest.mark.parametrize("unit", ["kg", "lb"])
def test_years_in_one_unit_show_no_change_and_the_right_unit(unit):
    rng = random.Random(1)
    for _ in range(6):
        loads = invent(rng, None, first=unit)
        assert find_change(loads) is None
        book = Notebook()
        assert find_unit(loads, None, [], book).unit == unit
        assert book.questions == []


@pytest.mark.parametrize(("first", "second"), [("lb", "kg"), ("kg", "lb")])
def test_a_change_of_unit_is_found_on_its_day_or_asked_about(first, second):
    rng = random.Random(2)
    asked = 0
    for _ in range(8):
        loads = invent(rng, BEGIN + timedelta(days=rng.randrange(200, 900)), first, second)
        found = find_change(loads)
        assert found is not None
        assert (found.before, found.after) == (first, second)
        units = {day: unit_on(day, loads, first) for day in (found.day, *found.or_days)}
        assert True in units.values()
        asked += bool(found.or_days)
    assert asked <= 3


def unit_on(day: date, loads: list[Load], first: str) -> bool:
    """Whether ``day`` is the first day written in the second unit, by the rounding of its loads."""
    halves = [on for on, _, load in loads if load % 5 != 0]
    return day == min(halves) if first == "lb" else day > max(halves)


def test_mixed_years_without_a_clear_jump_are_asked():
    pounds = [
        (date(2015, 1, 1) + timedelta(days=i), f"a{i}", 135.0 + 45 * (i % 4)) for i in range(60)
    ]
    kilos = [(date(2016, 1, 1) + timedelta(days=i), f"b{i}", 42.5 + 5 * (i % 9)) for i in range(60)]
    book = Notebook()
    find_unit(pounds + kilos, None, [], book)
    (question,) = book.questions
    assert "2015 look like pounds" in question.why or "2016 look like kilograms" in question.why


def test_units_in_cells_are_believed():
    book = Notebook()
    assert find_unit([], None, ["100 lbs", "95 lbs", "5"], book).unit == "lb"
    assert book.questions == []
    mixed = Notebook()
    assert find_unit([], None, ["100 lbs", "95 lbs", "40kg"], mixed).unit == "lb"
    assert [question.key for question in mixed.questions] == ["units.load"]


@pytest.mark.parametrize("module", [draft_units, draft_labels])
def test_documentation_examples_are_true(module):
    result = doctest.testmod(module)
    assert result.attempted
    assert result.failed == 0
