"""Frames of the page The record, put together from strips and events."""

import polars as pl

from dashboards import words
from dashboards.charts.overview import (
    DELOAD_Y,
    INJURY_Y,
    PRIORITY_Y,
    WEIGHT_HEIGHT,
    WEIGHT_TOP,
    OverviewFrames,
)
from dashboards.charts.strips import StripLayout
from dashboards.numbers import count, range_words
from dashboards.prepare.events import EventFrames
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.labels import place_labels
from dashboards.prepare.strips import StripFrames
from pipeline.core.page_book import PageBook


def row_sets(weeks: pl.DataFrame) -> float:
    """Sets that one row is high: nearly all weeks stay inside their row; 12 to 40."""
    high = weeks["v"].quantile(0.98)
    return min(40.0, max(12.0, round((high or 0) / 10)))


def overview_layout(strips: StripFrames) -> StripLayout:
    """The overview of a wide page: 1200 px, rows of 27."""
    return StripLayout(
        left=92,
        plot=958,
        right=150,
        row=27,
        gap=8,
        top=68,
        below=WEIGHT_TOP + WEIGHT_HEIGHT + 28,
        rows=strips.muscles.height,
        families=int(strips.muscles["f"].max() or 0) + 1,  # type: ignore[arg-type]
        first="0",
        end=str(strips.count),
        row_sets=row_sets(strips.bins),
    )


def overview_frames(
    book: PageBook, lifter_id: str, strips: StripFrames, events: EventFrames, layout: StripLayout
) -> OverviewFrames:
    """All frames of the overview."""
    px = layout.plot / strips.count
    labels = pl.concat(
        [
            place_labels(events.priority, px, layout.plot, 11).with_columns(
                lane=pl.lit("priority")
            ),
            place_labels(events.injury, px, layout.plot, 11, beside=True).with_columns(
                lane=pl.lit("injury")
            ),
        ]
    )
    weight = body_weight(book, lifter_id, strips)
    return OverviewFrames(
        steps=strips.bins,
        muscles=muscle_columns(strips.muscles),
        priority=events.priority,
        injury=events.injury,
        deloads=events.deloads,
        cuts=events.cuts,
        unlogged=events.unlogged,
        lines=events.lines,
        under=events.under,
        years=year_marks(strips.first, strips.count),
        labels=labels,
        weight=weight,
        guides=weight_guides(weight),
        heads=_heads(),
    )


def muscle_columns(muscles: pl.DataFrame) -> pl.DataFrame:
    """Names with their two columns of text: m, f, name, mean, range, is_refused."""
    refusal = words.plain("frame.not_enough")
    rows = [
        {
            "m": row["m"],
            "f": row["f"],
            "name": row["name"],
            "mean": "" if row["mean12"] is None else count(row["mean12"]),
            "range": refusal if row["low"] is None else range_words(row["low"], row["high"]),
            "is_refused": row["low"] is None,
        }
        for row in muscles.iter_rows(named=True)
    ]
    return pl.DataFrame(rows)


def body_weight(book: PageBook, lifter_id: str, strips: StripFrames) -> pl.DataFrame:
    """Four-week means of body weight: w, s (segment), v (kg). Broken where 12 weeks are missing."""
    weeks = book.tables["mart_week_lifter"].filter(
        (pl.col("lifter_id") == lifter_id) & pl.col("body_weight_kg").is_not_null()
    )
    return (
        weeks.with_columns(w=(pl.col("week_start") - strips.first).dt.total_days() // 7)
        .group_by(bin=pl.col("w") // 4)
        .agg(pl.col("w").mean().round(1), v=pl.col("body_weight_kg").mean().round(2))
        .sort("w")
        .select("w", s=(pl.col("w").diff().fill_null(0) > 12).cum_sum(), v="v")
    )


def weight_guides(weight: pl.DataFrame) -> pl.DataFrame:
    """Two whole values that hold the line: v, label."""
    if weight.is_empty():
        return pl.DataFrame(schema={"v": pl.Float64, "label": pl.String})
    low, high = int(weight["v"].min()), int(weight["v"].max()) + 1  # type: ignore[arg-type]
    return pl.DataFrame({"v": [float(low), float(high)], "label": [str(low), str(high)]})


def _heads() -> pl.DataFrame:
    lanes = (("priority", PRIORITY_Y), ("injury", INJURY_Y), ("deload", DELOAD_Y))
    rows = [{"y": float(y), "label": name} for name, y in lanes]
    return pl.DataFrame(rows)
