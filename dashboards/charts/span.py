"""The chosen span, week by week: the same strips, with the window of weeks as two signals."""

import json
from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.lanes import Lanes, lay_at_bars, lay_lanes
from dashboards.charts.strips import (
    StripLayout,
    lay_beds,
    lay_cuts,
    lay_hatch,
    lay_names,
    lay_underlines,
    lay_weeks,
)
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import INK2, RULE

FROM, TO = "from_week", "to_week"
RANGE_RIGHT = 64


@dataclass(frozen=True)
class SpanFrames:
    """Frames of the span. weeks : m, f, w, v, lo, hi, c, d. months : w, month, initial, year.

    muscles : m, f, name. ``no_upper_edge`` is the hi that stands for no limit, with lo 0 for none;
    ``between`` and ``open_end`` are the words in "15 to 22" and "15 and up".
    """

    weeks: pl.DataFrame
    muscles: pl.DataFrame
    months: pl.DataFrame
    lanes: Lanes
    no_upper_edge: int
    between: str
    open_end: str


def draw_span(
    frames: SpanFrames, layout: StripLayout, opening: tuple[int, int], heads: tuple[str, str]
) -> alt.LayerChart:
    """The strips of the span, its months, the range at its end and its total.

    ``heads`` name the two columns; an empty one leaves that column out. ``opening`` is the first
    window, in weeks.
    """
    range_head, total_head = heads
    layers: list[alt.Chart] = [
        *_month_lines(frames.months, layout),
        *lay_beds(frames.weeks, layout),
        *lay_underlines(frames.lanes.under, layout),
        *lay_cuts(frames.lanes.cuts, layout),
        *lay_hatch(frames.lanes.unlogged, layout),
        *lay_lanes(frames.lanes, layout),
        *lay_at_bars(frames.lanes, layout),
        *lay_names(frames.muscles, layout),
        *_lay_total(frames, layout, total_head),
    ]
    if range_head:
        layers += _lay_range(frames, layout, range_head)
    # The signals ride on one layer: given to the whole, every layer would be copied once more.
    layers[0] = layers[0].add_params(
        alt.param(name=FROM, value=opening[0]), alt.param(name=TO, value=opening[1])
    )
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _month_lines(months: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Initials of the months, the year in place of January; only years where months crowd."""
    px = f"{layout.plot} / ({layout.end} - {layout.first})"
    base = (
        frame_chart(months)
        .transform_filter(f"datum.w >= {layout.first} && datum.w < {layout.end} - 1")
        .transform_calculate(
            y0=str(layout.top),
            y1=str(layout.height - 16),
            yt=str(layout.height - 6),
            # A month has room from 13 px on; February needs more, the year stands before it.
            text=f"datum.year ? datum.year : {px} * 4.35 > (datum.month == 2 ? 30 : 13) "
            "? datum.initial : ''",
        )
    )
    years = base.transform_filter("datum.year != ''").mark_rule(stroke=RULE, strokeWidth=0.6)
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("text:N"))
    return [
        years.encode(x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")),
        *lay_text(named, fill=INK2, align="left", fontSize=layout.note),
    ]


def _in_window(frames: SpanFrames, layout: StripLayout) -> alt.Chart:
    # First by the filter of the beds, so that the two share one pass over all weeks.
    return lay_weeks(frames.weeks, layout).transform_filter(
        f"datum.c == 0 && datum.w < {layout.end}"
    )


def _lay_total(frames: SpanFrames, layout: StripLayout, head: str) -> list[alt.Chart]:
    """The sum of weekly sets in the window, a row each, under its head."""
    rows = (
        _in_window(frames, layout)
        .transform_aggregate(total="sum(v)", groupby=["m", "f"])
        .transform_calculate(y=f"{layout.baseline} - 5", text="format(datum.total / 10, ',.0f')")
        .encode(x=alt.XValue(layout.plot + layout.right), y=layout.y("y"), text=alt.Text("text:N"))
    )
    return [
        *lay_text(rows, align="right", fontSize=layout.name, fill=INK2, baseline="alphabetic"),
        *_head(layout, layout.right, head),
    ]


def _lay_range(frames: SpanFrames, layout: StripLayout, head: str) -> list[alt.Chart]:
    """The supported range in the last week of the window, where there was one."""
    rows = (
        _in_window(frames, layout)
        .transform_joinaggregate(last="max(w)", groupby=["m"])
        .transform_filter(
            f"datum.w == datum.last && !(datum.lo == 0 && datum.hi == {frames.no_upper_edge})"
        )
        .transform_calculate(
            y=f"{layout.baseline} - 5",
            text="format(datum.lo / 10, '.0f') + "
            f"(datum.hi == {frames.no_upper_edge} ? {json.dumps(frames.open_end)} : "
            f"{json.dumps(frames.between)} + format(datum.hi / 10, '.0f'))",
        )
        .encode(x=alt.XValue(layout.plot + RANGE_RIGHT), y=layout.y("y"), text=alt.Text("text:N"))
    )
    return [
        *lay_text(rows, align="right", fontSize=layout.name, fill=INK2, baseline="alphabetic"),
        *_head(layout, RANGE_RIGHT, head),
    ]


def _head(layout: StripLayout, right: float, head: str) -> list[alt.Chart]:
    frame = pl.DataFrame({"y": [float(layout.top - 14)], "label": [head]})
    base = frame_chart(frame).encode(
        x=alt.XValue(layout.plot + right), y=layout.y("y"), text=alt.Text("label:N")
    )
    return lay_text(base, align="right", fill=INK2, baseline="middle", fontSize=layout.note)
