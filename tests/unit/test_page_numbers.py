"""How numbers, spans and dates are written, and steps over weeks."""

from datetime import date

import polars as pl
import pytest

from dashboards import numbers
from dashboards.prepare.runs import part_runs, step_runs


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.26, "+1.3"), (-0.4, "−0.4"), (0.0, "0.0"), (-0.04, "0.0"), (1234.5, "+1,234.5")],
)
def test_a_change_has_its_sign_and_zero_has_none(value: float, text: str) -> None:
    assert numbers.signed(value) == text


def test_an_interval_near_zero_takes_two_decimals() -> None:
    assert numbers.interval(0.6, 2.0) == "(+0.6 to +2.0)"
    assert numbers.interval(-1.0, 0.04) == "(−1.00 to +0.04)"


@pytest.mark.parametrize(
    ("months", "text"),
    [
        (0, "no months"),
        (1, "one month"),
        (12, "one year"),
        (141, "eleven years and nine months"),
        (300, "25 years"),
    ],
)
def test_time_in_words(months: int, text: str) -> None:
    assert numbers.time_span(months) == text


def test_months_of_a_record_to_the_nearest() -> None:
    assert numbers.months_between(date(2014, 9, 1), date(2026, 8, 31)) == 144
    assert numbers.months_between(date(2025, 1, 6), date(2025, 1, 12)) == 0
    assert numbers.months_between(date(2025, 1, 6), date(2025, 3, 5)) == 2
    assert numbers.months_between(date(2014, 11, 17), date(2026, 11, 15)) == 144


def test_ranges_and_counts() -> None:
    assert numbers.range_words(14.6, 22.4) == "15 to 22"
    assert numbers.range_words(15, None) == "15 and up"
    assert numbers.count(79662) == "79,662"
    assert numbers.plural(1, "injury") == "1 injury"
    assert numbers.plural(4, "injury") == "4 injuries"
    assert numbers.in_words(9, "week") == "nine weeks"


def test_steps_break_at_gaps_and_close_their_last_step() -> None:
    frame = pl.DataFrame({"m": [0] * 5, "w": [0, 1, 2, 5, 6], "v": [4.0, 8.0, 6.0, 1.0, 3.0]})
    steps = step_runs(frame, by="m", bin_weeks=2, end=7)
    # Counted back from week 7: bins 5-6, 3-4, 1-2 and the half bin 0.
    assert steps.select("s", "w", "v", "c").rows() == [
        (0, 0, 4.0, 0),
        (0, 1, 7.0, 0),
        (0, 3, 7.0, 1),
        (1, 5, 2.0, 0),
        (1, 7, 2.0, 1),
    ]


def test_a_line_is_broken_where_a_run_closes_and_another_of_its_group_follows() -> None:
    weeks = pl.DataFrame(
        {"m": [0, 0, 0, 1, 1], "w": [0, 1, 4, 2, 3], "v": [4.0, 8.0, 6.0, 1.0, 3.0]}
    )
    parted = part_runs(step_runs(weeks, by="m"), by="m")
    assert parted.select("m", "w", "v", "c").rows() == [
        (0, 0, 4.0, 0),
        (0, 1, 8.0, 0),
        (0, 2, 8.0, 1),
        (0, 2, 8.0, 2),
        (0, 4, 6.0, 0),
        (0, 5, 6.0, 1),
        (1, 2, 1.0, 0),
        (1, 3, 3.0, 0),
        (1, 4, 3.0, 1),
    ]


def test_groups_never_share_a_segment() -> None:
    frame = pl.DataFrame({"m": [0, 0, 1, 1], "w": [0, 1, 2, 3], "v": [1.0, 1.0, 1.0, 1.0]})
    assert step_runs(frame, by="m").group_by("s").agg(pl.col("m").n_unique())["m"].to_list() == [
        1,
        1,
    ]
