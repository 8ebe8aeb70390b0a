"""Lanes of events above the strips, and the lines that they send down through the beds."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.strips import StripLayout
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK, INK2, LOSS

LINE_Y, PRIORITY_Y, INJURY_Y, DELOAD_Y = 6, 32, 46, 60
LANES_END = 74


@dataclass(frozen=True)
class Lanes:
    """Events of one lifter; ``w0`` and ``w1`` are real weeks, ``w1`` exclusive.

    priority, injury, cuts (layoffs) : w0, w1, label. deloads : w. unlogged : w0, w1.
    lines : w, label (changes of gym). under : m, f, w0, w1 (chosen muscles of a priority phase).
    names : y, label (the lanes' own names).
    """

    priority: pl.DataFrame
    injury: pl.DataFrame
    deloads: pl.DataFrame
    cuts: pl.DataFrame
    unlogged: pl.DataFrame
    lines: pl.DataFrame
    under: pl.DataFrame
    names: pl.DataFrame


def lay_lanes(lanes: Lanes, layout: StripLayout) -> list[alt.Chart]:
    """Priority bars, injuries with two dashed lines down, deload ticks, fault lines, lane names."""
    names = frame_chart(lanes.names).encode(
        x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("label:N")
    )
    return [
        *_injury_lines(lanes.injury, layout),
        _bars(lanes.priority, layout, PRIORITY_Y, INK, 2),
        _bars(lanes.injury, layout, INJURY_Y, LOSS, 5),
        _deload_ticks(lanes.deloads, layout),
        *_fault_lines(lanes.lines, layout),
        *lay_text(names, align="right", fill=INK2, baseline="middle", fontSize=layout.note),
    ]


def lay_placed(labels: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    """Names in the lanes where they were placed: over a priority bar, beside an injury's.

    ``labels``: w, label, align, lane.
    """
    made: list[alt.Chart] = []
    for lane, y, colour in (("priority", PRIORITY_Y - 9, INK2), ("injury", INJURY_Y, LOSS)):
        for align in ("left", "center", "right"):
            mine = labels.filter((pl.col("lane") == lane) & (pl.col("align") == align))
            if mine.height:
                base = frame_chart(mine).encode(
                    x=layout.x("w"), y=alt.YValue(y), text=alt.Text("label:N")
                )
                made += lay_text(base, halo=True, align=align, fill=colour, baseline="middle")
    return made


def lay_at_bars(lanes: Lanes, layout: StripLayout) -> list[alt.Chart]:
    """Names of the events in a window that moves: over a priority bar, after an injury's, before
    it where that ends at the window's right edge."""
    wide = f"datum.x1 - datum.x0 > 0.03 * ({layout.end} - {layout.first})"
    over = layout.within(frame_chart(lanes.priority)).transform_filter(wide)
    edge = f"{layout.first} + 0.92 * ({layout.end} - {layout.first})"
    near = f"{layout.first} + 0.08 * ({layout.end} - {layout.first})"
    injuries = layout.within(frame_chart(lanes.injury))
    after = injuries.transform_filter(f"datum.x1 < {edge}")
    before = injuries.transform_filter(f"datum.x1 >= {edge} && datum.x0 > {near}")
    priority = over.encode(x=layout.x("x0"), y=alt.YValue(PRIORITY_Y - 9), text=alt.Text("label:N"))
    earlier = before.encode(x=layout.x("x0"), y=alt.YValue(INJURY_Y), text=alt.Text("label:N"))
    injury = after.encode(x=layout.x("x1"), y=alt.YValue(INJURY_Y), text=alt.Text("label:N"))
    mark: dict[str, Any] = {
        "halo": True,
        "baseline": "middle",
        "fontSize": layout.note,
    }
    return [
        *lay_text(priority, fill=INK2, align="left", **mark),
        *lay_text(injury, fill=LOSS, dx=4, align="left", **mark),
        *lay_text(earlier, fill=LOSS, dx=-4, align="right", **mark),
    ]


def _bars(
    events: pl.DataFrame, layout: StripLayout, y: float, colour: str, thick: float
) -> alt.Chart:
    return (
        layout.within(frame_chart(events))
        .mark_rule(stroke=colour, strokeWidth=thick)
        .encode(x=layout.x("x0"), x2=alt.X2("x1"), y=alt.YValue(y))
    )


def _injury_lines(injury: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    base = frame_chart(injury).transform_calculate(y0=str(INJURY_Y), y1=str(layout.strips_end))
    return [
        (
            base.transform_filter(f"datum.{side} > {layout.first} && datum.{side} < {layout.end}")
            .mark_rule(stroke=LOSS, strokeWidth=0.7, strokeDash=[3, 3])
            .encode(x=layout.x(side), y=layout.y("y0"), y2=alt.Y2("y1"))
        )
        for side in ("w0", "w1")
    ]


def _deload_ticks(deloads: pl.DataFrame, layout: StripLayout) -> alt.Chart:
    return (
        frame_chart(deloads)
        .transform_filter(f"datum.w > {layout.first} && datum.w < {layout.end}")
        .transform_calculate(y0=str(DELOAD_Y - 4), y1=str(DELOAD_Y + 4))
        .mark_rule(stroke=INK2, strokeWidth=1)
        .encode(x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1"))
    )


def _fault_lines(lines: pl.DataFrame, layout: StripLayout) -> list[alt.Chart]:
    base = (
        frame_chart(lines)
        .transform_filter(f"datum.w > {layout.first} && datum.w < {layout.end}")
        .transform_calculate(y0=str(LINE_Y + 7), y1=str(layout.height - 16), yt=str(LINE_Y))
    )
    rule = base.mark_rule(stroke=INK, strokeWidth=1).encode(
        x=layout.x("w"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("w"), y=layout.y("yt"), text=alt.Text("label:N"))
    text = lay_text(
        named, align="left", fontStyle="italic", baseline="middle", fontSize=layout.note
    )
    return [rule, *text]
