"""Dates that are likely slips: out of place in their file, or alone long before the record."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

import polars as pl

from pipeline.tidy.doubts import DATE

# All limits here: common practice, no published source.
# Days written before and after a slip lie this near to each other, the slip this far from both.
NEAR_DAYS = 45
FAR_DAYS = 200
# So few days, and so many days without a set behind them, are no beginning of a record.
STRAY_DAYS = 2
STRAY_GAP_DAYS = 300
LEAST_DAYS = 10
# A file runs in one direction where so many of its steps do. A day with its day and month swapped
# stands between so many days on each side that do as well, the nearest so few days apart.
ONE_WAY = 0.9
ORDERLY_DAYS = 2
SWAP_DAYS = 21


def find_date_doubts(sets: pl.DataFrame) -> pl.DataFrame:
    """Sets on a day that is likely mistyped.

    A day is doubted where the days written before and after it in its file are near each other
    and both far from it, and in another year it would be near them (last year's number, written in
    January); where at most two days stand alone at least 300 days before everything else; and
    where a day is out of order in a file that otherwise goes one way, and with its day and month
    swapped stands between those written before and after it.

    Parameters
    ----------
    sets : rows of ``tidy_set`` of all files.

    Returns
    -------
    pl.DataFrame
        one row a doubted set: ``place`` (its row in ``sets``, from 0), ``what``, and ``near``, the
        day beside which it is written.
    """
    rows = sets.select(
        pl.int_range(pl.len(), dtype=pl.Int64).alias("place"),
        *("lifter_id", "file_id", "row_no", "session_date"),
    ).sort("file_id", "row_no", maintain_order=True)
    rows = rows.with_columns(pl.struct("file_id", "session_date").rle_id().alias("run"))
    runs = rows.group_by("run", maintain_order=True).agg(
        pl.col("lifter_id", "file_id", "session_date").first()
    )
    before, after = (pl.col("session_date").shift(n).over("file_id") for n in (1, -1))
    runs = runs.with_columns(before.alias("before"), after.alias("after"))
    day = pl.col("session_date")
    is_between = _apart("before", "after") <= NEAR_DAYS
    steps = [
        (pl.col("session_date").dt.year() - pl.col("before").dt.year()) + n for n in (-1, 0, 1)
    ]
    moved = [_apart_years(step) <= NEAR_DAYS for step in steps]
    is_far = (
        pl.any_horizontal(moved)
        & (_apart("session_date", "before") > FAR_DAYS)
        & (_apart("session_date", "after") > FAR_DAYS)
    )
    strays = _stray_days(sets)
    is_stray = pl.concat_str(pl.col("lifter_id"), day.cast(pl.String), separator="|").is_in(strays)
    near = pl.coalesce("before", "after")
    is_slip = (is_between & is_far).fill_null(False) | _is_swapped()
    doubted = runs.filter(is_slip | is_stray)
    return (
        rows.join(doubted.select("run", near.alias("near")), on="run")
        .select("place", pl.lit(DATE).alias("what"), "near")
        .sort("place")
    )


def split_strays(days: Sequence[date]) -> tuple[list[date], list[date]]:
    """Days in order that stand alone before a record, and the record itself.

    Parameters
    ----------
    days : distinct days with sets, earliest first.
    """
    if len(days) < LEAST_DAYS:
        return [], list(days)
    gap = timedelta(days=STRAY_GAP_DAYS)
    for place in range(STRAY_DAYS, 0, -1):
        if days[place] - days[place - 1] >= gap:
            return list(days[:place]), list(days[place:])
    return [], list(days)


def _is_swapped() -> pl.Expr:
    """A day out of order that is in order with its day and month swapped, in an orderly file."""
    day = pl.col("session_date")
    step = (day - day.shift(1)).dt.total_days().over("file_id")
    way = step.sign().sum().over("file_id").sign()
    n_steps = step.is_not_null().sum().over("file_id")
    is_one_way = ((step.sign() == way).sum().over("file_id") >= ONE_WAY * n_steps) & (
        n_steps >= LEAST_DAYS
    )
    swapped = pl.date(day.dt.year(), day.dt.day().clip(1, 12), day.dt.month())
    can_be = (day.dt.day() <= 12) & (day.dt.day() != day.dt.month())
    before, after = pl.col("before"), pl.col("after")
    is_in = swapped.is_between(
        pl.min_horizontal("before", "after"), pl.max_horizontal("before", "after")
    )
    is_out = ~day.is_between(
        pl.min_horizontal("before", "after"), pl.max_horizontal("before", "after")
    )
    around = [day.shift(n).over("file_id") for n in range(ORDERLY_DAYS, -ORDERLY_DAYS - 1, -1) if n]
    goes_on = [
        ((two - one).dt.total_days() * way >= 0).fill_null(True) for one, two in pairwise(around)
    ]
    is_near = _apart("before", "after") <= SWAP_DAYS
    is_orderly = pl.all_horizontal(goes_on) & is_near & before.is_not_null() & after.is_not_null()
    return (is_one_way & can_be & is_in & is_out & is_orderly).fill_null(False)


def _stray_days(sets: pl.DataFrame) -> list[str]:
    found: list[str] = []
    for lifter, group in sets.select("lifter_id", "session_date").unique().group_by("lifter_id"):
        strays, _ = split_strays(group["session_date"].sort().to_list())
        found += [f"{lifter[0]}|{day}" for day in strays]
    return found


def _apart(one: str, other: str) -> pl.Expr:
    return (pl.col(one) - pl.col(other)).dt.total_days().abs()


def _apart_years(step: pl.Expr) -> pl.Expr:
    """Days from the day before to this one, had this one's year been ``step`` less."""
    moved = pl.col("session_date").dt.offset_by(pl.format("{}y", -step))
    return (moved - pl.col("before")).dt.total_days().abs()
