"""Frames and layouts of the page The record, put together from strips and events."""

import calendar
from datetime import date, timedelta

import polars as pl

from dashboards import words
from dashboards.charts.lanes import DELOAD_Y, INJURY_Y, LANES_END, Lanes
from dashboards.charts.overview import (
    MEAN_RIGHT,
    WEIGHT_HEIGHT,
    WEIGHT_TOP,
    OverviewFrames,
    WeightFrames,
)
from dashboards.charts.span import FROM, TO, SpanFrames
from dashboards.charts.strips import StripLayout
from dashboards.numbers import amount, count, range_words
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.labels import place_labels
from dashboards.prepare.runs import part_runs
from dashboards.prepare.strips import NO_UPPER_EDGE, StripFrames
from pipeline.core.page_book import PageBook
from pipeline.core.units import kg_to_lb

# A row is at least and at most this many sets high; between them nearly all weeks stay inside it.
LOWEST_ROW, HIGHEST_ROW = 12.0, 40.0


def row_sets(steps: pl.DataFrame) -> float:
    """Sets that one row is high: 98 of 100 steps stay inside their row."""
    high = steps["v"].quantile(0.98) or 0.0
    return min(HIGHEST_ROW, max(LOWEST_ROW, float(round(high / 10))))


def scale_bar(sets_high: float) -> int:
    """Sets that the scale bar is high: 20, or 10 where rows are lower than that."""
    return 20 if sets_high >= 20 else 10


def overview_layout(strips: StripFrames, has_weight: bool) -> StripLayout:
    """The overview of a wide page: 1200 px, rows of 27; room for body weight where it was taken."""
    below = WEIGHT_TOP + 30 + (WEIGHT_HEIGHT if has_weight else 0)
    return _layout(strips, 92, 958, 150, 27, 8, below, ("0", str(strips.count)))


def span_layouts(strips: StripFrames) -> tuple[StripLayout, StripLayout]:
    """The chosen span on a wide page (rows of 30) and on a phone (366 px, rows of 24)."""
    return (
        _layout(strips, 92, 958, 150, 30, 8, 26, (FROM, TO)),
        _layout(strips, 76, 248, 42, 24, 6, 26, (FROM, TO), note=10, name=11),
    )


def _layout(
    strips: StripFrames,
    left: int,
    plot: int,
    right: int,
    row: int,
    gap: int,
    below: int,
    window: tuple[str, str],
    note: int = 11,
    name: int = 12,
) -> StripLayout:
    return StripLayout(
        left=left,
        plot=plot,
        right=right,
        row=row,
        gap=gap,
        top=LANES_END,
        below=below,
        rows=strips.muscles.height,
        families=int(strips.muscles["f"].max() or 0) + 1,  # type: ignore[arg-type]
        first=window[0],
        end=window[1],
        row_sets=row_sets(strips.weeks),
        note=note,
        name=name,
    )


def overview_frames(
    book: PageBook, lifter_id: str, strips: StripFrames, lanes: Lanes, layout: StripLayout
) -> OverviewFrames:
    """All frames of the overview."""
    px = layout.plot / strips.count
    over = place_labels(lanes.priority, px, layout.plot)
    beside = place_labels(lanes.injury, px, layout.plot, beside=True)
    weight = body_weight(book, lifter_id, strips)
    own = next(one.unit for one in book.lifters if one.lifter_id == lifter_id)
    unit = words.style().body_weight or own
    return OverviewFrames(
        steps=part_runs(strips.bins, by="m"),
        muscles=muscle_columns(strips.muscles),
        lanes=lanes,
        labels=pl.concat(
            [over.with_columns(lane=pl.lit("priority")), beside.with_columns(lane=pl.lit("injury"))]
        ),
        years=year_marks(strips.first, strips.count, 1 if strips.count < 1300 else 2),
        weight=weight_frames(weight, unit),
        heads=_heads(),
    )


def span_frames(strips: StripFrames, lanes: Lanes) -> SpanFrames:
    """All frames of the chosen span."""
    return SpanFrames(
        weeks=part_runs(strips.weeks, by="m"),
        muscles=strips.muscles.select("m", "f", "name"),
        months=month_marks(strips.first, strips.count),
        lanes=lanes,
        no_upper_edge=NO_UPPER_EDGE,
        between=words.plain("record.span_between"),
        open_end=words.plain("record.span_open"),
    )


def month_marks(first: date, weeks: int) -> pl.DataFrame:
    """Where months begin: w (real), month, initial, year (January only, else empty)."""
    end = first + timedelta(weeks=weeks)
    starts = [
        date(year, month, 1) for year in range(first.year, end.year + 1) for month in range(1, 13)
    ]
    rows = [
        {
            "w": round((start - first).days / 7, 2),
            "month": start.month,
            "initial": calendar.month_name[start.month][0],
            "year": str(start.year) if start.month == 1 else "",
        }
        for start in starts
        if first <= start < end
    ]
    schema = {"w": pl.Float64, "month": pl.Int64, "initial": pl.String, "year": pl.String}
    return pl.DataFrame(rows, schema=schema)


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
    return pl.DataFrame(rows, infer_schema_length=None)


def body_weight(
    book: PageBook, lifter_id: str, strips: StripFrames, span: tuple[int, int] | None = None
) -> pl.DataFrame:
    """Four-week means of body weight: w, s (segment), v (kg). Broken where 12 weeks are missing.

    ``span``: only of weeks from the first to before the second; the whole record without it.
    """
    weeks = book.tables["mart_week_lifter"].filter(
        (pl.col("lifter_id") == lifter_id) & pl.col("body_weight_kg").is_not_null()
    )
    w = (pl.col("week_start") - strips.first).dt.total_days() // 7
    first, end = span or (0, strips.count)
    return (
        weeks.with_columns(w=w)
        .filter(pl.col("w").is_between(first, end, closed="left"))
        .group_by(bin=pl.col("w") // 4)
        .agg(pl.col("w").mean().round(1), v=pl.col("body_weight_kg").mean().round(2))
        .sort("w")
        .select("w", s=(pl.col("w").diff().fill_null(0) > 12).cum_sum(), v="v")
    )


def say_family(family: str) -> str:
    """A family of muscles as a word: pushing."""
    return words.plain(f"frame.family_{family}")


def in_unit(mass_kg: float, unit: str) -> float:
    """A body mass in the lifter's own unit."""
    return kg_to_lb(mass_kg) if unit == "lb" else mass_kg


def weight_frames(weight: pl.DataFrame, unit: str) -> WeightFrames:
    """A line of body weight (w, s, v in kg) with its two guides and its names."""
    return WeightFrames(weight, _guides(weight, unit), _weight_names(weight, unit))


def _guides(weight: pl.DataFrame, unit: str) -> pl.DataFrame:
    """Two whole kilograms that hold the line, named in the lifter's unit: v (kg), label."""
    if weight.is_empty():
        return pl.DataFrame(schema={"v": pl.Float64, "label": pl.String})
    low, high = int(weight["v"].min()), int(weight["v"].max()) + 1  # type: ignore[arg-type]
    labels = [count(in_unit(v, unit)) for v in (low, high)]
    return pl.DataFrame({"v": [float(low), float(high)], "label": labels})


def _weight_names(weight: pl.DataFrame, unit: str) -> pl.DataFrame:
    """The line's name at its start and its last value at its end: v, label, is_now."""
    schema = {"v": pl.Float64, "label": pl.String, "is_now": pl.Boolean}
    if weight.is_empty():
        return pl.DataFrame(schema=schema)
    first, last = weight["v"][0], weight["v"][-1]
    now = f"{amount(in_unit(last, unit))} {unit}"
    rows = [(first, words.plain("record.body_weight"), False), (last, now, True)]
    return pl.DataFrame(rows, schema=schema, orient="row")


def _heads() -> pl.DataFrame:
    """Heads of the two columns right of the beds, two lines each: right, y, label."""
    rows = []
    for right, key in ((MEAN_RIGHT, "mean"), (150, "range")):
        for y, line in zip(
            (INJURY_Y, DELOAD_Y), words.plain(f"record.head_{key}").split("|"), strict=True
        ):
            rows.append({"right": right, "y": float(y), "label": line})
    return pl.DataFrame(rows, infer_schema_length=None)
