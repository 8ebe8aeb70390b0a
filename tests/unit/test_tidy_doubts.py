"""Loads that are likely slips of the pen are doubted, kept, and never taken for progress."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.core.settings import default_settings
from pipeline.core.units import KG_PER_LB
from pipeline.tidy.doubts import mark_doubts

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
    found = mark_doubts(sets, MAX_RATIO)
    assert found.drop("is_doubted").equals(sets.drop("is_doubted"))
    return [row - 2 for row in found.filter("is_doubted")["row_no"]]


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
    assert mark_doubts(both, MAX_RATIO)["is_doubted"].sum() == 0


def test_few_sessions_carry_no_doubt() -> None:
    assert doubted(record([100.0, 100.0, 1000.0, 100.0])) == []


def test_help_is_not_doubted() -> None:
    loads = [20.0] * 6 + [80.0] + [20.0] * 5
    assert doubted(record(loads, "assisted_dip", "assisted")) == []


def test_a_doubt_already_there_stays() -> None:
    sets = record(LOADS).with_columns((pl.col("row_no") == 4).alias("is_doubted"))
    assert mark_doubts(sets, MAX_RATIO)["is_doubted"].sum() == 1
