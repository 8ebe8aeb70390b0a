"""One year for print: its strips week by week with lanes, three columns of numbers, body weight."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.lanes import Lanes, lay_at_bars, lay_lanes
from dashboards.charts.overview import WeightFrames, lay_body_weight, lay_heads
from dashboards.charts.strips import (
    StripLayout,
    lay_beds,
    lay_column,
    lay_cuts,
    lay_hatch,
    lay_names,
    lay_underlines,
)
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import INK2, INK3, RULE

# Right edges of the columns after the plot, px: sets a week, share, range.
COLUMNS = {"mean": 40, "share": 78, "range": 144}


@dataclass(frozen=True)
class YearFrames:
    """Frames of one year.

    weeks : m, f, w, v, lo, hi, c. muscles : m, f, name, mean, share, range, is_refused. lanes : see
    Lanes. months : w, middle, label. weight : see WeightFrames. heads : right, y, label.
    """

    weeks: pl.DataFrame
    muscles: pl.DataFrame
    lanes: Lanes
    months: pl.DataFrame
    weight: WeightFrames
    heads: pl.DataFrame


def draw_year(frames: YearFrames, layout: StripLayout) -> alt.LayerChart:
    """The strips of one calendar year, 52 or 53 weeks wide."""
    muscles = frames.muscles
    answered = muscles.filter(~pl.col("is_refused"))
    refused = muscles.filter(pl.col("is_refused"))
    layers: list[alt.Chart] = [
        *_months(frames.months, layout),
        *lay_beds(frames.weeks, layout),
        *lay_underlines(frames.lanes.under, layout),
        *lay_cuts(frames.lanes.cuts, layout),
        *lay_hatch(frames.lanes.unlogged, layout),
        *lay_lanes(frames.lanes, layout),
        *lay_at_bars(frames.lanes, layout),
        *lay_heads(frames.heads, layout),
        *lay_names(muscles, layout),
        *lay_column(muscles, layout, "mean", COLUMNS["mean"], fontWeight=600),
        *lay_column(muscles, layout, "share", COLUMNS["share"], fill=INK2),
        *lay_column(answered, layout, "range", COLUMNS["range"], fill=INK2),
        *lay_column(refused, layout, "range", COLUMNS["range"], fill=INK3, fontStyle="italic"),
        *lay_body_weight(frames.weight, layout),
    ]
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _months(months: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Hairlines where months begin, and their names in the middle at the foot."""
    base = frame_chart(months).transform_calculate(
        y0=str(layout.top), y1=str(layout.height - 16), yt=str(layout.height - 5)
    )
    lines = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("middle"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [lines, *lay_text(named, fill=INK2, fontSize=layout.note)]
