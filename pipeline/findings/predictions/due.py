"""Which predictions a refresh keeps: few enough that the file stays small, none of them twice."""

from collections.abc import Iterable, Mapping
from datetime import date

import polars as pl

PER_HORIZON = 4  # predictions of one subject within the span of one: nearer ones say the same again

TRAINED = ("trained", "deload")


def choose_due(made: pl.DataFrame, kept: pl.DataFrame, weeks: pl.DataFrame) -> pl.DataFrame:
    """The rows of ``made`` that are to be kept.

    A subject's prediction for so many weeks ahead is kept again once a quarter of those weeks were
    trained since the last was kept; a record that did not go on keeps nothing.

    Parameters
    ----------
    made, kept : rows ``PREDICTION``.
    weeks : lifter_id, week_start, week_status of the calendar.
    """
    trained: dict[str, list[date]] = {}
    for lifter_id, week_start in (
        weeks.filter(pl.col("week_status").is_in(TRAINED))
        .sort("lifter_id", "week_start")
        .select("lifter_id", "week_start")
        .iter_rows()
    ):
        trained.setdefault(lifter_id, []).append(week_start)
    last = _last_kept(kept.iter_rows(named=True))
    is_due = [
        _is_due(row, last.get(_key(row)), trained.get(str(row["lifter_id"]), []))
        for row in made.iter_rows(named=True)
    ]
    return made.filter(pl.Series(is_due, dtype=pl.Boolean))


def _key(row: Mapping[str, object]) -> tuple[object, ...]:
    return row["lifter_id"], row["question"], row["subject"], row["weeks_ahead"]


def _last_kept(rows: Iterable[Mapping[str, object]]) -> dict[tuple[object, ...], date]:
    last: dict[tuple[object, ...], date] = {}
    for row in rows:
        day = row["predicted_on"]
        assert isinstance(day, date)
        last[_key(row)] = max(day, last.get(_key(row), day))
    return last


def _is_due(row: Mapping[str, object], last: date | None, trained: list[date]) -> bool:
    if last is None:
        return True
    weeks = row["weeks_ahead"]
    assert isinstance(weeks, int)
    return sum(last < week_start for week_start in reversed(trained)) >= weeks // PER_HORIZON
