"""The whole record: lanes of events, strips of all shown muscles, body weight, years."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.lanes import Lanes, draw_lanes, write_placed
from dashboards.charts.strips import (
    StripLayout,
    draw_beds,
    draw_cuts,
    draw_hatch,
    draw_names,
    draw_underlines,
    draw_years,
    write_column,
)
from dashboards.theme.chart import write_text
from dashboards.theme.colours import INK, INK2, INK3

WEIGHT_TOP, WEIGHT_HEIGHT = 22, 46


@dataclass(frozen=True)
class OverviewFrames:
    """Frames of the overview.

    steps : m, f, s, w, v, lo, hi, c. muscles : m, f, name, mean, range, is_refused. lanes : see
    Lanes. labels : w, label, align, lane. years : w, label. weight : w, s, v (kg). guides : v,
    label (two values of body weight). weight_now : v, label. heads : right, y, label (columns).
    """

    steps: pl.DataFrame
    muscles: pl.DataFrame
    lanes: Lanes
    labels: pl.DataFrame
    years: pl.DataFrame
    weight: pl.DataFrame
    guides: pl.DataFrame
    weight_names: pl.DataFrame
    heads: pl.DataFrame


def draw_overview(frames: OverviewFrames, layout: StripLayout, scale_sets: int) -> alt.LayerChart:
    """The overview of the whole record on a wide page; ``scale_sets`` high is its scale bar."""
    muscles = frames.muscles
    answered = muscles.filter(~pl.col("is_refused"))
    refused = muscles.filter(pl.col("is_refused"))
    layers: list[alt.LayerChart | alt.Chart] = [
        draw_years(frames.years, layout, layout.top),
        draw_beds(frames.steps, layout),
        draw_underlines(frames.lanes.under, layout),
        draw_cuts(frames.lanes.cuts, layout),
        draw_hatch(frames.lanes.unlogged, layout),
        *draw_lanes(frames.lanes, layout),
        *write_placed(frames.labels, layout),
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


def _heads(heads: pl.DataFrame, layout: StripLayout) -> list[alt.LayerChart | alt.Chart]:
    """Heads of the columns right of the beds."""
    made = []
    for right in heads["right"].unique().sort():
        base = frame_chart(heads.filter(pl.col("right") == right)).encode(
            x=alt.value(layout.plot + int(right)), y=layout.y("y"), text="label:N"
        )
        made.append(write_text(base, align="right", fill=INK2, baseline="middle"))
    return made


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
    low, high = frames.guides["v"].to_list()
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
    values = guides.encode(x=alt.value(layout.plot + 64), y=layout.y("y"), text="label:N")
    names = frame_chart(frames.weight_names).transform_calculate(y=to_px)
    named = names.transform_filter("datum.is_now == false").encode(
        x=alt.value(-8), y=layout.y("y"), text="label:N"
    )
    now = names.transform_filter("datum.is_now").encode(
        x=alt.value(layout.plot + 8), y=layout.y("y"), text="label:N"
    )
    return [
        dotted,
        line,
        write_text(values, align="left", fill=INK3, baseline="middle"),
        write_text(named, align="right", fill=INK2, baseline="middle"),
        write_text(now, align="left", fontWeight=600, baseline="middle"),
    ]
