"""The strips of one calendar year as a static drawing, with three columns of numbers."""

from dataclasses import fields, replace
from datetime import date

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.charts.lanes import DELOAD_Y, INJURY_Y, LANES_END, Lanes
from dashboards.charts.overview import WEIGHT_HEIGHT, WEIGHT_TOP
from dashboards.charts.strips import StripLayout
from dashboards.charts.year import COLUMNS, YearFrames, draw_year
from dashboards.numbers import amount, count, range_words
from dashboards.prepare.annual.years import Year
from dashboards.prepare.record import body_weight, row_sets, weight_frames
from dashboards.prepare.runs import part_runs
from dashboards.prepare.strips import NO_UPPER_EDGE, StripFrames
from dashboards.theme.chart import draw_still, specification
from pipeline.core.page_book import LifterInfo, PageBook

# A sheet of A4 within its margins is 703 px wide; names, plot and columns share them.
# A week is whole px wide and a year has room for 53, so that years compare and paths stay short.
YEAR_WEEKS, WEEK_PX = 53, 9
PLOT = YEAR_WEEKS * WEEK_PX
LEFT = 703 - PLOT - COLUMNS["range"]
# Tenths of sets that are drawn as one: less than half a px.
DRAWN_TENTHS = 5
# Rows share what the facts below leave of the sheet's height.
ROWS_PX, HIGHEST_ROW_PX = 320, 20
FOOT = 24


def draw_strips(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, lanes: Lanes, year: Year
) -> tuple[Markup, float]:
    """The static drawing of a year and its height in px; ``lanes`` are the whole record's."""
    inside = _weeks_within(strips.weeks, year)
    weight = body_weight(book, lifter.lifter_id, strips, (year.w0, year.w1))
    unit = words.style().body_weight or lifter.unit
    frames = YearFrames(
        weeks=part_runs(
            inside.with_columns(
                v=(pl.col("v") / DRAWN_TENTHS).round().cast(pl.Int64) * DRAWN_TENTHS
            ),
            by="m",
        ),
        muscles=_columns(strips.muscles, inside.filter(pl.col("c") == 0)),
        lanes=_lanes_within(lanes, year),
        months=_months(year, strips.first),
        weight=weight_frames(weight, unit),
        heads=_heads(),
    )
    layout = _layout(strips, year, weight.height > 0)
    return draw_still(specification(draw_year(frames, layout))), layout.height


def _weeks_within(weeks: pl.DataFrame, year: Year) -> pl.DataFrame:
    """Steps of the year, each segment closed at its end: m, f, s, w, v, lo, hi, c.

    A segment that goes on into the next year is closed here by the values of its last week.
    """
    inside = weeks.filter(pl.col("w").is_between(year.w0, year.w1)).sort("s", "w", "c")
    closed = inside.with_columns(
        **{name: pl.col(name).shift().over("s") for name in ("v", "lo", "hi")}, c=pl.lit(1)
    )
    columns = ["m", "f", "s", "w", "v", "lo", "hi", "c"]
    at_end = closed.filter(pl.col("w") == year.w1, pl.col("v").is_not_null())
    both = pl.concat([inside.filter(pl.col("w") < year.w1).select(columns), at_end.select(columns)])
    return both.sort("s", "w", "c")


def _layout(strips: StripFrames, year: Year, has_weight: bool) -> StripLayout:
    rows = strips.muscles.height
    families = int(strips.muscles["f"].max() or 0) + 1  # type: ignore[arg-type]
    row = min(HIGHEST_ROW_PX, ROWS_PX // max(rows, 1))
    return StripLayout(
        left=LEFT,
        plot=PLOT,
        right=COLUMNS["range"],
        row=row,
        gap=6,
        top=LANES_END,
        below=FOOT + (WEIGHT_TOP + WEIGHT_HEIGHT if has_weight else 0),
        rows=rows,
        families=families,
        first=str(year.w0),
        end=str(year.w0 + YEAR_WEEKS),
        row_sets=row_sets(strips.weeks),
        note=10,
        name=min(11, row),
    )


def _columns(muscles: pl.DataFrame, weeks: pl.DataFrame) -> pl.DataFrame:
    """Sets a trained week, share of all sets, and the range that held at the year's end."""
    held = {
        row["m"]: row
        for row in weeks.sort("w")
        .group_by("m")
        .agg(pl.col("v").mean(), total=pl.col("v").sum(), lo=pl.last("lo"), hi=pl.last("hi"))
        .iter_rows(named=True)
    }
    every = sum(row["total"] for row in held.values())
    rows = []
    for muscle in muscles.iter_rows(named=True):
        row = held.get(muscle["m"])
        is_refused = row is None or (row["lo"] == 0 and row["hi"] == NO_UPPER_EDGE)
        rows.append(
            {
                "m": muscle["m"],
                "f": muscle["f"],
                "name": muscle["name"],
                "mean": amount(row["v"] / 10) if row else "",
                "share": count(100 * row["total"] / every) if row and every else "",
                "range": _range(row) if row and not is_refused else words.plain("frame.not_enough"),
                "is_refused": is_refused,
            }
        )
    return pl.DataFrame(rows, infer_schema_length=None)


def _range(row: dict[str, int]) -> str:
    high = None if row["hi"] == NO_UPPER_EDGE else row["hi"] / 10
    return range_words(row["lo"] / 10, high)


def _lanes_within(lanes: Lanes, year: Year) -> Lanes:
    """Only what touches the year: a drawing carries nothing that it does not show."""
    kept = {}
    for field in fields(lanes):
        frame = getattr(lanes, field.name)
        if "w0" in frame.columns:
            kept[field.name] = frame.filter(pl.col("w1") > year.w0, pl.col("w0") < year.w1)
        elif "w" in frame.columns:
            kept[field.name] = frame.filter(pl.col("w") > year.w0, pl.col("w") < year.w1)
    return replace(lanes, **kept)


def _months(year: Year, first: date) -> pl.DataFrame:
    """Months of the year: w (where it begins), middle, label (its short name)."""
    names = words.locale().months["stand-alone"]["abbreviated"]
    rows = []
    for month in range(1, 13):
        start = max(date(year.number, month, 1), year.first)
        after = date(year.number + month // 12, month % 12 + 1, 1)
        w = (start - first).days / 7
        middle = (w + min((after - first).days / 7, year.w1)) / 2
        rows.append({"w": round(w, 2), "middle": round(middle, 2), "label": names[month]})
    return pl.DataFrame(rows, infer_schema_length=None)


def _heads() -> pl.DataFrame:
    """Heads of the columns right of the beds, two lines each: right, y, label."""
    rows = []
    for key, right in COLUMNS.items():
        for y, line in zip(
            (INJURY_Y, DELOAD_Y), words.plain(f"annual.head_{key}").split("|"), strict=True
        ):
            rows.append({"right": right, "y": float(y), "label": line})
    return pl.DataFrame(rows, infer_schema_length=None)
