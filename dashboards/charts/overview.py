"""The whole record: lanes of events, strips of all shown muscles, body weight, years."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.lanes import Lanes, lay_lanes, lay_placed
from dashboards.charts.strips import (
    StripLayout,
    lay_beds,
    lay_column,
    lay_cuts,
    lay_hatch,
    lay_names,
    lay_underlines,
    lay_years,
)
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3

WEIGHT_TOP, WEIGHT_HEIGHT = 22, 46
# Right edge of the means, px after the plot: their head stays clear of a bar that ends there.
MEAN_RIGHT = 52


@dataclass(frozen=True)
class WeightFrames:
    """Body weight. line : w, s (segment), v (kg); guides : v, label (two values); names : v, label,
    is_now (the line's name at its start, its last value at its end).
    """

    line: pl.DataFrame
    guides: pl.DataFrame
    names: pl.DataFrame


@dataclass(frozen=True)
class OverviewFrames:
    """Frames of the overview.

    steps : m, f, w, v, lo, hi, c. muscles : m, f, name, mean, range, is_refused. lanes : see
    Lanes. labels : w, label, align, lane. years : w, label. weight : see WeightFrames. heads :
    right, y, label (columns).
    """

    steps: pl.DataFrame
    muscles: pl.DataFrame
    lanes: Lanes
    labels: pl.DataFrame
    years: pl.DataFrame
    weight: WeightFrames
    heads: pl.DataFrame


def draw_overview(frames: OverviewFrames, layout: StripLayout, scale_sets: int) -> alt.LayerChart:
    """The overview of the whole record on a wide page; ``scale_sets`` high is its scale bar."""
    muscles = frames.muscles
    answered = muscles.filter(~pl.col("is_refused"))
    refused = muscles.filter(pl.col("is_refused"))
    layers: list[alt.Chart] = [
        *lay_years(frames.years, layout, layout.top),
        *lay_beds(frames.steps, layout),
        *lay_underlines(frames.lanes.under, layout),
        *lay_cuts(frames.lanes.cuts, layout),
        *lay_hatch(frames.lanes.unlogged, layout),
        *lay_lanes(frames.lanes, layout),
        *lay_placed(frames.labels, layout),
        *lay_heads(frames.heads, layout),
        *lay_names(muscles, layout),
        *lay_column(muscles, layout, "mean", MEAN_RIGHT, fontWeight=600),
        *lay_column(answered, layout, "range", 150, fill=INK2),
        *lay_column(refused, layout, "range", 150, fill=INK3, fontStyle="italic"),
        _scale_bar(layout, scale_sets),
        *lay_body_weight(frames.weight, layout),
    ]
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def lay_heads(heads: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Heads of the columns right of the beds."""
    made: list[alt.Chart] = []
    for right in heads["right"].unique().sort():
        base = frame_chart(heads.filter(pl.col("right") == right)).encode(
            x=alt.XValue(layout.plot + int(right)), y=layout.y("y"), text=alt.Text("label:N")
        )
        made += lay_text(base, align="right", fill=INK2, baseline="middle")
    return made


def _scale_bar(layout: StripLayout, sets: int) -> alt.Chart:
    """One upright bar at the first strip: its height is a stated number of sets."""
    foot = layout.top + layout.row
    frame = pl.DataFrame({"y0": [foot - layout.row * sets / layout.row_sets], "y1": [float(foot)]})
    return (
        frame_chart(frame)
        .mark_rule(stroke=INK, strokeWidth=1.6)
        .encode(x=alt.XValue(-3), y=layout.y("y0"), y2=alt.Y2("y1"))
    )


def lay_body_weight(weight: WeightFrames, layout: StripLayout) -> list[alt.Chart]:
    """Body weight as a line between two dotted values; nothing when it was never taken."""
    if weight.line.is_empty():
        return []
    low, high = weight.guides["v"].to_list()
    top = layout.strips_end + WEIGHT_TOP
    to_px = f"{top} + {WEIGHT_HEIGHT} * ({high} - datum.v) / {high - low}"
    line = (
        frame_chart(weight.line)
        .transform_calculate(y=to_px)
        .mark_line(stroke=INK, strokeWidth=1.2)
        .encode(x=layout.x("w"), y=layout.y("y"), detail=alt.Detail("s:N"))
    )
    guides = frame_chart(weight.guides).transform_calculate(y=to_px)
    dotted = guides.mark_rule(stroke=INK3, strokeWidth=0.6, strokeDash=[1, 3]).encode(
        x=alt.XValue(0), x2=alt.X2Value(layout.plot), y=layout.y("y")
    )
    values = guides.encode(
        x=alt.XValue(layout.plot + 64), y=layout.y("y"), text=alt.Text("label:N")
    )
    names = frame_chart(weight.names).transform_calculate(y=to_px)
    named = names.transform_filter("datum.is_now == false").encode(
        x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("label:N")
    )
    now = names.transform_filter("datum.is_now").encode(
        x=alt.XValue(layout.plot + 8), y=layout.y("y"), text=alt.Text("label:N")
    )
    return [
        dotted,
        line,
        *lay_text(values, align="left", fill=INK3, baseline="middle"),
        *lay_text(named, align="right", fill=INK2, baseline="middle"),
        *lay_text(now, align="left", fontWeight=600, baseline="middle"),
    ]
