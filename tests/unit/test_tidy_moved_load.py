"""The load that a lift moves, and the body weight of a day."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.core.settings import default_settings
from pipeline.tidy.moved_load import add_moved_load, body_weight_on
from tests.unit.reading import exercises

DAY = date(2024, 1, 10)
NEAR = default_settings()["body_weight_near_days"]


def weighed(*days: tuple[int, float], lifter: str = "ida") -> pl.DataFrame:
    rows = [
        {
            "lifter_id": lifter,
            "date": DAY + timedelta(days=day),
            "signal": "body_weight_kg",
            "value": kg,
            "unit": "kg",
            "file_id": "f",
            "row_no": place + 2,
        }
        for place, (day, kg) in enumerate(days)
    ]
    return (
        conform("tidy_signal", pl.DataFrame(rows))
        if rows
        else conform("tidy_signal", pl.DataFrame())
    )


def one_set(exercise: str, load: float | None, basis: str, lifter: str = "ida") -> pl.DataFrame:
    row = {
        "lifter_id": lifter,
        "session_date": DAY,
        "exercise_id": exercise,
        "load_kg": load,
        "load_basis": basis,
    }
    return conform("tidy_set", pl.DataFrame([row]))


@pytest.mark.parametrize(
    ("days", "weight"),
    [
        ([(0, 80.0)], 80.0),
        ([(-10, 80.0), (30, 84.0)], 81.0),  # on the line between the two (computed)
        ([(-60, 80.0), (60, 84.0)], 82.0),
        ([(-61, 80.0), (30, 84.0)], 84.0),  # one is too far away: the nearer one
        ([(-30, 80.0), (90, 84.0)], 80.0),
        ([(-400, 80.0)], 80.0),
        ([(400, 84.0)], 84.0),
        ([(0, 80.0), (0, 82.0)], 81.0),
    ],
)
def test_body_weight_of_a_day(days: list[tuple[int, float]], weight: float) -> None:
    day = pl.DataFrame({"lifter_id": ["ida"], "session_date": [DAY]})
    found = body_weight_on(day, weighed(*days), NEAR)
    assert found["body_weight_kg"].to_list() == [pytest.approx(weight)]


def test_body_weight_is_each_lifters_own() -> None:
    days = pl.DataFrame({"lifter_id": ["ola", "ida", "una"], "session_date": [DAY] * 3})
    signals = pl.concat([weighed((0, 80.0)), weighed((1, 60.0), lifter="ola")])
    found = dict(
        body_weight_on(days, signals, NEAR).select("lifter_id", "body_weight_kg").iter_rows()
    )
    assert found == {"ida": 80.0, "ola": 60.0, "una": None}


@pytest.mark.parametrize(
    ("exercise", "load", "basis", "moved"),
    [
        ("bench_press", 100.0, "total", 100.0),
        ("pull_up", 10.0, "added", 10.0 + 0.95 * 80),
        ("pull_up", 0.0, "added", 0.95 * 80),
        ("pull_up", None, "added", 0.95 * 80),
        ("pull_up", 20.0, "assisted", 0.95 * 80 - 20),
        ("assisted_dip", 30.0, "assisted", 0.9 * 80 - 30),
        ("assisted_dip", None, "assisted", None),
        ("assisted_dip", 200.0, "assisted", None),  # help beyond the body weight moves nothing
        ("split_squat", 40.0, "per_hand", 40.0 + 0.8 * 80),
        ("bench_press", None, "total", None),
        ("unmatched:x", 50.0, "total", 50.0),
        ("unmatched:x", 10.0, "added", None),  # its share of body weight is not known
    ],
)
def test_moved_load(exercise: str, load: float | None, basis: str, moved: float | None) -> None:
    sets = one_set(exercise, load, basis)
    found = add_moved_load(sets, weighed((0, 80.0)), exercises(), NEAR)
    assert found["load_moved_kg"].to_list() == [None if moved is None else pytest.approx(moved)]
    assert found.columns == sets.columns


def test_without_a_body_weight_only_external_loads_are_known() -> None:
    sets = pl.concat([one_set("pull_up", 10.0, "added"), one_set("bench_press", 100.0, "total")])
    found = add_moved_load(sets, weighed(), exercises(), NEAR)
    assert found["load_moved_kg"].to_list() == [None, 100.0]
