"""Counts of what was done: they need no inference, so every page can stand on them."""

from dataclasses import dataclass
from datetime import date, timedelta

import polars as pl

from dashboards.prepare.names import lift_names, name_lift
from pipeline.core.page_book import PageBook

WITH_TRAINING = ("trained", "deload")
YEAR_WEEKS = 52


@dataclass(frozen=True)
class RecordCounts:
    """What the whole record holds; sets a trained week in its first and last 52 weeks.

    ``events`` by kind, those that are still to come (an accepted plan's) left out.
    """

    weeks: int
    trained: int
    layoff: int
    unlogged: int
    sessions: int
    working_sets: int
    week_then: float | None
    week_now: float | None
    events: dict[str, int]


def first_and_last(days: pl.Series) -> tuple[date, date]:
    """The earliest and the latest of some days."""
    ordered = days.drop_nulls().sort()
    return ordered[0], ordered[-1]


def lifter_weeks(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """The weeks of one lifter in order, all logged or not (``mart_week_lifter``)."""
    return (
        book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter_id).sort("week_start")
    )


def last_day(book: PageBook, lifter_id: str) -> date | None:
    """The last day of the record's last week, None without a week."""
    weeks = lifter_weeks(book, lifter_id)["week_start"]
    return weeks[-1] + timedelta(days=6) if len(weeks) else None


def events_so_far(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Events of one lifter, those that are still to come (an accepted plan's) left out."""
    events = book.tables["tidy_event"].filter(pl.col("lifter_id") == lifter_id)
    last = last_day(book, lifter_id)
    return events if last is None else events.filter(pl.col("start") <= last)


def count_record(book: PageBook, lifter_id: str) -> RecordCounts:
    """Counts of one lifter's record."""
    weeks = lifter_weeks(book, lifter_id)
    status = weeks["week_status"]
    events = events_so_far(book, lifter_id)
    return RecordCounts(
        weeks=weeks.height,
        trained=int(status.is_in(WITH_TRAINING).sum()),
        layoff=int((status == "layoff").sum()),
        unlogged=int((status == "unlogged").sum()),
        sessions=int(weeks["sessions"].sum()),
        working_sets=int(weeks["working_sets"].sum()),
        week_then=_trained_mean(weeks.head(YEAR_WEEKS)),
        week_now=_trained_mean(weeks.tail(YEAR_WEEKS)),
        events=dict(events["kind"].value_counts().iter_rows()),
    )


def _trained_mean(weeks: pl.DataFrame) -> float | None:
    trained = weeks.filter(pl.col("week_status").is_in(WITH_TRAINING))
    return trained["working_sets"].mean()  # type: ignore[return-value]


def count_years(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """A row a year, newest first: sessions and their sets by the calendar year of their day, weeks
    by the year that they start in.

    year, sessions, working_sets, hard_sets, failure_sets; trained, per_week (sets a trained week),
    gap (longest run of weeks without training, logged or not).
    """
    weeks = lifter_weeks(book, lifter_id).with_columns(
        year=pl.col("week_start").dt.year(), is_on=pl.col("week_status").is_in(WITH_TRAINING)
    )
    gaps = (
        weeks.with_columns(run=pl.col("is_on").cum_sum())
        .filter(~pl.col("is_on"))
        .group_by("year", "run")
        .len()
        .group_by("year")
        .agg(gap=pl.col("len").max())
    )
    by_week = weeks.group_by("year").agg(
        trained=pl.col("is_on").sum(), per_week=pl.col("working_sets").filter("is_on").mean()
    )
    years = by_week.join(gaps, on="year", how="left").join(
        count_sessions(book, lifter_id), on="year", how="full", coalesce=True
    )
    counts = [name for name in years.columns if name not in ("year", "per_week")]
    return years.with_columns(pl.col(counts).fill_null(0)).sort("year", descending=True)


def count_sessions(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """A row a calendar year with sessions in it: year, sessions, working_sets, hard_sets,
    failure_sets."""
    return (
        book.tables["mart_session_lift"]
        .filter(pl.col("lifter_id") == lifter_id)
        .group_by(year=pl.col("session_date").dt.year())
        .agg(
            pl.col("session_id").n_unique().alias("sessions"),
            pl.col("working_sets", "hard_sets", "failure_sets").sum(),
        )
    )


def mean_by_year(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Mean weekly sets of trained weeks: muscle_id and one column a year, newest last.

    A week belongs to the year that it starts in.
    """
    return (
        book.tables["mart_week_muscle"]
        .filter((pl.col("lifter_id") == lifter_id) & pl.col("week_status").is_in(WITH_TRAINING))
        .group_by("muscle_id", year=pl.col("week_start").dt.year().cast(pl.String))
        .agg(pl.col("weekly_sets").mean())
        .sort("year", "muscle_id")
        .pivot("year", index="muscle_id", values="weekly_sets")
    )


def recent_mean(weeks: pl.DataFrame, last: int) -> pl.DataFrame:
    """Mean weekly sets over the ``last`` logged weeks (layoffs count 0): muscle_id, mean.

    ``weeks``: one lifter's rows of ``mart_week_muscle``.
    """
    logged = weeks.filter(pl.col("week_status") != "unlogged")
    recent = logged["week_start"].unique().sort().tail(last)
    return (
        logged.filter(pl.col("week_start").is_in(recent.implode()))
        .group_by("muscle_id")
        .agg(mean=pl.col("weekly_sets").mean())
    )


def count_lifts(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """A row a lift, most sets first: exercise_id, name, weeks, sets, heaviest (kg), first, last."""
    names = lift_names(book)
    lifts = (
        book.tables["mart_week_lift"]
        .filter((pl.col("lifter_id") == lifter_id) & (pl.col("working_sets") > 0))
        .group_by("exercise_id")
        .agg(
            weeks=pl.len(),
            sets=pl.col("working_sets").sum(),
            heaviest=pl.col("top_load_kg").max(),
            first=pl.col("week_start").min(),
            last=pl.col("week_start").max(),
        )
        .sort("sets", "exercise_id", descending=[True, False])
    )
    named = [name_lift(names, lift) for lift in lifts["exercise_id"]]
    return lifts.with_columns(pl.Series("name", named, dtype=pl.String))
