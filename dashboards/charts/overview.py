"""The whole record: lanes of events, strips of all shown muscles, body weight, years."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.strips import (
    StripLayout,
    draw_beds,
    draw_cuts,
    draw_deload_ticks,
    draw_hatch,
    draw_injury_lines,
    draw_lane_bars,
    draw_lines,
    draw_names,
    draw_underlines,
    draw_years,
    write_column,
)
from dashboards.theme.chart import write_text
from dashboards.theme.colours import INK, INK2, INK3, LOSS

PRIORITY_Y, INJURY_Y, DELOAD_Y = 26, 40, 54
WEIGHT_TOP, WEIGHT_HEIGHT = 14, 46


@dataclass(frozen=True)
class OverviewFrames:
    """Frames of the overview.

    steps : m, f, s, w, v, lo, hi, c. muscles : m, f, name, mean, range, is_refused. priority,
    injury : w0, w1, label. deloads : w. cuts, unlogged : w0, w1. lines : w, label.
    under : m, f, w0, w1. years : w, label. labels : w, label, align, lane. weight : w, s, v (kg).
    guides : v, label (two values of body weight). heads : y, label.
    """

    steps: pl.DataFrame
    muscles: pl.DataFrame
    priority: pl.DataFrame
    injury: pl.DataFrame
    deloads: pl.DataFrame
    cuts: pl.DataFrame
    unlogged: pl.DataFrame
    lines: pl.DataFrame
    under: pl.DataFrame
    years: pl.DataFrame
    labels: pl.DataFrame
    weight: pl.DataFrame
    guides: pl.DataFrame
    heads: pl.DataFrame


def draw_overview(frames: OverviewFrames, layout: StripLayout, scale_sets: int) -> alt.LayerChart:
    """The overview of the whole record on a wide page."""
    muscles = frames.muscles
    answered = muscles.filter(~pl.col("is_refused"))
    refused = muscles.filter(pl.col("is_refused"))
    layers: list[alt.LayerChart | alt.Chart] = [
        draw_years(frames.years, layout, layout.top),
        draw_beds(frames.steps, layout),
        draw_underlines(frames.under, layout),
        draw_cuts(frames.cuts, layout),
        draw_hatch(frames.unlogged, layout),
        draw_injury_lines(frames.injury, layout, INJURY_Y),
        draw_lane_bars(frames.priority, layout, PRIORITY_Y, INK, 2),
        draw_lane_bars(frames.injury, layout, INJURY_Y, LOSS, 5),
        draw_deload_ticks(frames.deloads, layout, DELOAD_Y),
        draw_lines(frames.lines, layout),
        *_lane_labels(frames.labels, layout),
        *_heads(frames.heads, layout),
        draw_names(muscles, layout),
        write_column(muscles, layout, "mean", 38, fontWeight=600),
        write_column(answered, layout, "range", 150, fill=INK2),
        write_column(refused, layout, "range", 150, fill=INK3, fontStyle="italic"),
        _scale_bar(layout, scale_sets),
        *_body_weight(frames, layout),
    ]
    padding = {"left": layout.left, "right": layout.right, "top": 0, "bottom": 0}
    return alt.layer(*layers).properties(
        width=layout.plot, height=layout.height, padding=padding, autosize="none"
    )


def _lane_labels(labels: pl.DataFrame, layout: StripLayout) -> list[alt.LayerChart | alt.Chart]:
    """Names in the lanes: over a priority bar, beside an injury's."""
    made = []
    for lane, y, colour in (("priority", PRIORITY_Y - 8, INK2), ("injury", INJURY_Y, LOSS)):
        for align in ("left", "center", "right"):
            mine = labels.filter((pl.col("lane") == lane) & (pl.col("align") == align))
            if mine.height:
                base = frame_chart(mine).encode(x=layout.x("w"), y=alt.value(y), text="label:N")
                made.append(
                    write_text(base, halo=True, align=align, fill=colour, baseline="middle")
                )
    return made


def _heads(heads: pl.DataFrame, layout: StripLayout) -> list[alt.LayerChart | alt.Chart]:
    """Names of the lanes. ``heads``: y (px), label."""
    base = frame_chart(heads).encode(
        x=alt.value(-8),
        y=layout.y("y"),
        text="label:N",
    )
    return [write_text(base, align="right", fill=INK2, baseline="middle")]


def _scale_bar(layout: StripLayout, sets: int) -> alt.Chart:
    """One upright bar at the first strip: its height is a stated number of sets."""
    foot = layout.top + layout.row
    frame = pl.DataFrame({"y0": [foot - layout.row * sets / layout.row_sets], "y1": [float(foot)]})
    return (
        frame_chart(frame)
        .mark_rule(stroke=INK, strokeWidth=1.6)
        .encode(x=alt.value(-3), y=layout.y("y0"), y2="y1")
    )


def _body_weight(frames: OverviewFrames, layout: StripLayout) -> list[alt.LayerChart | alt.Chart]:
    """Body weight as a line between two dotted values; nothing when it was never taken."""
    if frames.weight.is_empty():
        return []
    low, high = float(frames.guides["v"].min()), float(frames.guides["v"].max())  # type: ignore[arg-type]
    top = layout.strips_end + WEIGHT_TOP
    to_px = f"{top} + {WEIGHT_HEIGHT} * ({high} - datum.v) / {high - low}"
    line = (
        frame_chart(frames.weight)
        .transform_calculate(y=to_px)
        .mark_line(stroke=INK, strokeWidth=1.2)
        .encode(x=layout.x("w"), y=layout.y("y"), detail="s:N")
    )
    guides = frame_chart(frames.guides).transform_calculate(y=to_px)
    dotted = guides.mark_rule(stroke=INK3, strokeWidth=0.6, strokeDash=[1, 3]).encode(
        x=alt.value(0), x2=alt.value(layout.plot), y=layout.y("y")
    )
    values = guides.encode(x=alt.value(layout.plot + 58), y=layout.y("y"), text="label:N")
    return [dotted, line, write_text(values, align="left", fill=INK3, baseline="middle")]
