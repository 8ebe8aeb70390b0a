"""Loads that are likely slips of the pen are doubted, kept, and never taken for progress."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.core.settings import default_settings
from pipeline.core.units import KG_PER_LB
from pipeline.tidy.doubts import LOAD, REPS, find_doubts

MAX_RATIO = default_settings()["doubt_max_ratio"]
LOADS = [100.0, 101.0, 102.0, 102.5, 103.0, 104.0, 105.0, 105.0, 106.0, 107.0, 108.0, 110.0]


def record(loads: list[float], exercise: str = "bench_press", basis: str = "total") -> pl.DataFrame:
    rows = [
        {
            "lifter_id": "ida",
            "exercise_id": exercise,
            "session_date": date(2024, 1, 1) + timedelta(days=3 * place),
            "load_kg": load,
            "load_basis": basis,
            "is_warmup": False,
            "is_doubted": False,
            "row_no": place + 2,
        }
        for place, load in enumerate(loads)
    ]
    return conform("tidy_set", pl.DataFrame(rows))


def doubted(sets: pl.DataFrame) -> list[int]:
    return find_doubts(sets, MAX_RATIO)["place"].to_list()


def test_an_ordinary_record_is_not_doubted() -> None:
    assert doubted(record(LOADS)) == []


@pytest.mark.parametrize("factor", [1 / KG_PER_LB, KG_PER_LB, 10.0, 3.2])
@pytest.mark.parametrize("place", [1, 5, 10])
def test_slips_are_doubted(factor: float, place: int) -> None:
    loads = [*LOADS]
    loads[place] *= factor
    assert doubted(record(loads)) == [place]


@pytest.mark.parametrize("factor", [0.55, 0.65, 1.3, 1.8])
def test_light_days_and_jumps_are_not(factor: float) -> None:
    loads = [*LOADS]
    loads[5] *= factor
    assert doubted(record(loads)) == []


def test_a_return_after_time_off_is_not_doubted() -> None:
    loads = [100.0] * 8 + [45.0, 55.0, 65.0, 75.0, 85.0, 95.0]
    assert doubted(record(loads)) == []


def test_warmups_and_back_off_sets_of_a_usual_session_are_not_doubted() -> None:
    light = record([load * KG_PER_LB for load in LOADS])
    both = pl.concat([record(LOADS), light])
    assert doubted(both) == []


def test_few_sessions_carry_no_doubt() -> None:
    assert doubted(record([100.0, 100.0, 1000.0, 100.0])) == []


def test_help_is_not_doubted() -> None:
    loads = [20.0] * 6 + [80.0] + [20.0] * 5
    assert doubted(record(loads, "assisted_dip", "assisted")) == []


def with_reps(loads: list[float], reps: list[int]) -> pl.DataFrame:
    return record(loads).with_columns(pl.Series("reps", reps, dtype=pl.Int64))


def test_repetitions_with_a_digit_too_many_are_doubted() -> None:
    found = find_doubts(with_reps(LOADS, [8, 7, 8, 8, 80, 8, 7, 8, 8, 6, 8, 8]), MAX_RATIO)
    assert found.rows() == [(4, REPS, 80.0, 8.0)]


@pytest.mark.parametrize(("place_load", "reps"), [(55.0, 30), (104.0, 20)])
def test_light_sets_of_many_repetitions_are_not(place_load: float, reps: int) -> None:
    loads = [*LOADS]
    loads[5] = place_load
    assert doubted(with_reps(loads, [8] * 5 + [reps] + [8] * 6)) == []


def test_a_session_a_tenth_as_heavy_is_a_slip_of_the_decimal_point() -> None:
    loads = [*LOADS]
    loads[6] = 10.5
    assert find_doubts(record(loads), MAX_RATIO).rows() == [(6, LOAD, 10.5, 103.5)]


def test_so_few_kilograms_may_be_a_number_of_sets() -> None:
    """``3x10`` where the file writes load x reps; an odd light weight is none."""
    assert doubted(record([*LOADS[:6], 3.0, *LOADS[7:]])) == [6]
    assert doubted(record([*LOADS[:6], 5.5, *LOADS[7:]])) == []
    light = [8.0, 8.0, 8.0, 9.0, 9.0, 9.0, 3.0, 9.0, 9.0, 10.0, 10.0, 10.0]
    assert doubted(record(light, "lateral_raise")) == []
