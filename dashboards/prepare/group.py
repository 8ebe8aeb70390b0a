"""The group: its lifters under the names they agreed to, and what each muscle of each did."""

import hashlib
from dataclasses import dataclass

import polars as pl

from dashboards import words
from dashboards.prepare.counts import WITH_TRAINING
from dashboards.prepare.slopes import REFUSED, slopes_of
from dashboards.prepare.strips import shown_muscles
from pipeline.core.calendar import training_age_years
from pipeline.core.page_book import LifterInfo, PageBook

# Weeks of the two means of weekly sets that the page shows.
SHORT_MEAN, LONG_MEAN = 12, 26
# Lifters that the pictures hold at most, and how many of a larger group, which is a sample anyhow
# and has to answer quickly; the tables hold all.
MOST_DRAWN, SAMPLE = 100, 50
LEAST_PSEUDONYM = 4


@dataclass(frozen=True)
class GroupFrames:
    """The group, oldest in training first.

    lifters : i (place), lifter_id, label, age (training age at the last week; null without weeks),
    weeks, short, long (mean working sets of the last 12 and 26 logged weeks).
    muscles : m, f, muscle_id, name. cells, one a lifter and shown muscle : i, m, short, long (mean
    weekly sets; null when never trained), est, low, high, n, n_of, support, support_why, needed,
    counted, verdict.
    """

    lifters: pl.DataFrame
    muscles: pl.DataFrame
    cells: pl.DataFrame

    @property
    def answered(self) -> pl.DataFrame:
        """Cells with a slope."""
        return self.cells.filter(pl.col("verdict") != REFUSED)

    @property
    def drawn(self) -> pl.DataFrame:
        """The lifters that pictures hold: all, or every n-th by training age."""
        most = MOST_DRAWN if self.lifters.height <= MOST_DRAWN else SAMPLE
        step = -(-self.lifters.height // most)
        return self.lifters.filter(pl.col("i") % max(step, 1) == 0)


def group_labels(lifters: tuple[LifterInfo, ...]) -> dict[str, str]:
    """Names of those who agreed, pseudonyms of the others, by lifter id.

    A pseudonym is the beginning of a hash of the id: the same from night to night, whoever else
    joins or leaves, and as short as keeps them apart.
    """
    hashes = {one.lifter_id: hashlib.sha256(one.lifter_id.encode()).hexdigest() for one in lifters}
    length = LEAST_PSEUDONYM
    while len({text[:length] for text in hashes.values()}) < len(hashes):
        length += 1
    return {
        one.lifter_id: one.name
        if one.consent
        else words.plain("group.pseudonym", code=hashes[one.lifter_id][:length])
        for one in lifters
    }


def group_frames(book: PageBook) -> GroupFrames:
    """Everything the page of the group shows, for all lifters of the book."""
    muscles = shown_muscles(book)
    lifters = _lifters(book)
    slopes = slopes_of(book, "muscle_slope").filter(
        pl.col("lifter_id").is_not_null() & (pl.col("window") == "last")
    )
    grid = lifters.select("i", "lifter_id").join(muscles.select("m", "muscle_id"), how="cross")
    means = _muscle_means(book)
    found = slopes.select(
        *("lifter_id", pl.col("id").alias("muscle_id"), "est", "low", "high"),
        *("n", "n_of", "support", "support_why", "needed", "counted", "verdict"),
    )
    cells = (
        grid.join(means, on=["lifter_id", "muscle_id"], how="left")
        .join(found, on=["lifter_id", "muscle_id"], how="left")
        .with_columns(pl.col("verdict").fill_null(REFUSED))
        .sort("i", "m")
    )
    return GroupFrames(lifters, muscles, cells)


def _lifters(book: PageBook) -> pl.DataFrame:
    labels = group_labels(book.lifters)
    weeks = book.tables["mart_week_lifter"]
    last = dict(weeks.group_by("lifter_id").agg(pl.col("week_start").max()).iter_rows())
    rows = [
        {
            "lifter_id": one.lifter_id,
            "label": labels[one.lifter_id],
            "age": training_age_years(last[one.lifter_id], one.training_began)
            if one.lifter_id in last
            else None,
        }
        for one in book.lifters
    ]
    schema = {"lifter_id": pl.String, "label": pl.String, "age": pl.Float64}
    counts = weeks.group_by("lifter_id").agg(
        weeks=pl.col("week_status").is_in(WITH_TRAINING).sum().cast(pl.Int64)
    )
    logged = weeks.filter(pl.col("week_status") != "unlogged")
    means = _recent_means(logged, ["lifter_id"], "working_sets")
    return (
        pl.DataFrame(rows, schema=schema)
        .join(counts, on="lifter_id", how="left")
        .join(means, on="lifter_id", how="left")
        .sort("age", "label", descending=[True, False], nulls_last=True)
        .with_columns(i=pl.int_range(pl.len()))
    )


def _muscle_means(book: PageBook) -> pl.DataFrame:
    logged = book.tables["mart_week_muscle"].filter(pl.col("week_status") != "unlogged")
    return _recent_means(logged, ["lifter_id", "muscle_id"], "weekly_sets")


def _recent_means(logged: pl.DataFrame, keys: list[str], column: str) -> pl.DataFrame:
    """Means of the last logged weeks by ``keys``: short, long."""
    recent = logged.sort("week_start", descending=True)
    return recent.group_by(keys).agg(
        short=pl.col(column).head(SHORT_MEAN).mean(), long=pl.col(column).head(LONG_MEAN).mean()
    )


def group_means(book: PageBook, muscles: pl.DataFrame) -> pl.DataFrame:
    """The findings about the group itself, a row a shown muscle with one: m, name, est, ... ."""
    found = slopes_of(book, "muscle_slope").filter(
        pl.col("lifter_id").is_null() & (pl.col("window") == "last")
    )
    return (
        found.drop("lifter_id", "window")
        .rename({"id": "muscle_id"})
        .join(muscles, on="muscle_id")
        .sort("m")
        .with_columns(r=pl.int_range(pl.len()))
    )
