"""Deloads and layoffs as counted in the record, and what the findings say of them."""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import polars as pl

from dashboards.prepare.counts import WITH_TRAINING, events_so_far, last_day, lifter_weeks
from pipeline.core.page_book import PageBook

REFUSED = "not enough"
LEAST_WEEKS_OFF = 2
Row = dict[str, Any]


def find_answer(book: PageBook, lifter_id: str, question: str) -> Row | None:
    """The finding about the whole lifter, answered or refused; None where it was never asked."""
    rows = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == question)
        & (pl.col("subject") == f"lifter:{lifter_id}")
    )
    return rows.row(0, named=True) if rows.height else None


def is_answered(row: Row | None) -> bool:
    """Whether a finding gives an answer."""
    return row is not None and row["support"] != REFUSED


def tone_of(low: float | None, high: float | None) -> str:
    """progress or loss where the interval excludes zero, else nothing: it may be either way."""
    if low is None or high is None or low <= 0 <= high:
        return ""
    return "progress" if low > 0 else "loss"


@dataclass(frozen=True)
class Pace:
    """A quantity counted over deloads: its values, mean and one standard deviation either side."""

    values: tuple[float, ...]

    @property
    def mean(self) -> float | None:
        return sum(self.values) / len(self.values) if self.values else None

    @property
    def ends(self) -> tuple[float, float] | None:
        """Mean less and plus one standard deviation; None below two values."""
        spread = pl.Series(self.values).std() if len(self.values) > 1 else None
        if self.mean is None or spread is None:
            return None
        return self.mean - float(spread), self.mean + float(spread)  # type: ignore[arg-type]


@dataclass(frozen=True)
class LastDeload:
    """When the last deload began and how many weeks that is before the end of the record.

    weeks : from its first day to the first day after the record's last week, as from one deload to
    the next. is_parted : whether a layoff or an unlogged week lies between.
    """

    start: date
    weeks: float
    is_parted: bool


@dataclass(frozen=True)
class EasingCounts:
    """Counts that need no inference.

    deloads, rests, layoffs : events in order of start: event_id, start, end, days, evidence, note.
    Deloads hold training; rests are one whole week without any, also deloads that were told but not
    trained; layoffs are two whole weeks or more. every : weeks from the start of one deload to the
    start of the next, where neither a layoff nor an unlogged week lies between. length : days of
    each deload. last : the last deload, None where there is none.
    """

    deloads: pl.DataFrame
    rests: pl.DataFrame
    layoffs: pl.DataFrame
    every: Pace
    length: Pace
    last: LastDeload | None


def count_easing(book: PageBook, lifter_id: str) -> EasingCounts:
    """Deloads, weeks of rest and layoffs of one lifter, told and found by rule."""
    weeks = lifter_weeks(book, lifter_id)
    eased, off = (_events(book, lifter_id, kind) for kind in ("deload", "layoff"))
    status = dict(weeks.select("week_start", "week_status").iter_rows())
    spans = eased.select("start", "end").rows()
    trained = pl.Series([_is_trained(a, b, status) for a, b in spans], dtype=pl.Boolean)
    first = min(status, default=date.min)
    spans = off.select("start", "end").rows()
    whole = pl.Series([whole_weeks(a, b, first) for a, b in spans], dtype=pl.Int64)
    deloads = eased.filter(trained)
    rests = pl.concat([eased.filter(~trained), off.filter(whole == 1)])
    layoffs = off.filter(whole >= LEAST_WEEKS_OFF)
    away = [day for day, kind in status.items() if kind == "unlogged"] + layoffs["start"].to_list()
    gaps = [
        (after - before).days / 7
        for before, after in pairwise(deloads["start"].to_list())
        if not _lies_between(before, after, away)
    ]
    days = tuple(deloads["days"].to_list())
    last = _last_deload(deloads, max(status, default=date.min), away)
    return EasingCounts(deloads, rests.sort("start"), layoffs, Pace(tuple(gaps)), Pace(days), last)


def _last_deload(deloads: pl.DataFrame, last_week: date, away: list[date]) -> LastDeload | None:
    if deloads.is_empty():
        return None
    start, end = deloads["start"][-1], last_week + timedelta(days=7)
    return LastDeload(start, (end - start).days / 7, _lies_between(start, end, away))


def _is_trained(start: date, end: date, status: dict[date, str]) -> bool:
    """Whether any week that the span touches holds training."""
    earliest = start - timedelta(days=6)
    return any(earliest <= day <= end and kind in WITH_TRAINING for day, kind in status.items())


def whole_weeks(start: date, end: date, first: date) -> int:
    """Whole weeks inside a span of days, in steps from ``first``, the first day of a week."""
    after = end + timedelta(days=1)
    return max((after - first).days // 7 + (first - start).days // 7, 0)


def _lies_between(before: date, after: date, days: list[date]) -> bool:
    return any(before <= day < after for day in days)


def _events(book: PageBook, lifter_id: str, kind: str) -> pl.DataFrame:
    """Events of a kind so far with their length; one without an end lasts to the end of the
    record."""
    end = pl.col("end").fill_null(pl.lit(last_day(book, lifter_id), dtype=pl.Date))
    return (
        events_so_far(book, lifter_id)
        .filter(pl.col("kind") == kind)
        .sort("start", "event_id")
        .select(
            "event_id",
            "start",
            "evidence",
            "note",
            end=end,
            days=((end - pl.col("start")).dt.total_days() + 1).cast(pl.Float64),
        )
    )


def count_by_year(book: PageBook, lifter_id: str, counts: EasingCounts) -> pl.DataFrame:
    """A row a calendar year, newest first: year, deloads, days (their mean length), rests (single
    weeks without training), weeks_off (in layoffs)."""
    weeks = lifter_weeks(book, lifter_id)
    rested = [day + timedelta(days=back) for day in counts.rests["start"] for back in range(7)]
    is_rest = pl.col("week_start").is_in(pl.Series(rested, dtype=pl.Date).implode())
    is_off = pl.col("week_status") == "layoff"
    years = weeks.group_by(year=pl.col("week_start").dt.year()).agg(
        rests=(is_off & is_rest).sum(), weeks_off=(is_off & ~is_rest).sum()
    )
    year = pl.col("start").dt.year().alias("year")
    deloads = counts.deloads.group_by(year).agg(deloads=pl.len(), days=pl.col("days").mean())
    return (
        years.join(deloads, on="year", how="left")
        .with_columns(pl.col("deloads").fill_null(0))
        .sort("year", descending=True)
    )


def count_evidence(counts: EasingCounts) -> dict[str, int]:
    """Deloads told or accepted by the lifter, and found by rule."""
    kinds = counts.deloads["evidence"]
    return {"told": int((kinds != "rule").sum()), "rule": int((kinds == "rule").sum())}


def layoffs_read(book: PageBook, lifter_id: str, counts: EasingCounts) -> pl.DataFrame:
    """Layoffs with a reading, in order: start, weeks_off, loss_pct, low, high, weeks_to_regain,
    evidence, note."""
    told = counts.layoffs.select("event_id", "evidence", "note")
    return (
        book.tables["model_layoff"]
        .filter(pl.col("lifter_id") == lifter_id)
        .join(told, on="event_id", how="left")
        .with_columns(pl.col("evidence").fill_null("rule"))
        .sort("start")
    )


def has_effects(book: PageBook, lifter_id: str) -> bool:
    """Whether the pictures of what follows deloads and layoffs have anything to show."""
    layoffs = book.tables["model_layoff"].filter(pl.col("lifter_id") == lifter_id)
    return layoffs.height > 0 or is_answered(find_answer(book, lifter_id, "deload_effect"))


def deloads_read(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Deloads with an effect of their own, in order of date, and how each reads.

    ``reads`` is progress, loss or "". One deload alone gets no verdict: none is called clear where
    all of them together are not.
    """
    read = book.tables["model_deload_event"].filter(pl.col("lifter_id") == lifter_id).sort("start")
    finding = find_answer(book, lifter_id, "deload_effect")
    is_clear = finding is not None and tone_of(finding["low"], finding["high"]) != ""
    ends = read.select("low", "high").iter_rows()
    tones = [tone_of(low, high) if is_clear else "" for low, high in ends]
    return read.with_columns(reads=pl.Series(tones, dtype=pl.String))
