"""Each deload at its date, with the effect that it alone shows, drawn toward the mean."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_hairlines, lay_note, lay_places, lay_values
from dashboards.theme.colours import INK3, PAPER, WASH


@dataclass(frozen=True)
class DeloadYearFrames:
    """points : w (weeks of the record), y, lo, hi, tone (colour), told (1 or 0), hover.

    unread : w (deloads without a reading). layoffs : w0, w1. years : v, label. values : v, label.
    weeks : weeks of the record. domain : lowest and highest % shown.
    """

    points: pl.DataFrame
    unread: pl.DataFrame
    layoffs: pl.DataFrame
    years: pl.DataFrame
    values: pl.DataFrame
    weeks: int
    domain: tuple[float, float]


def draw_deload_years(frames: DeloadYearFrames, y_title: str, is_wide: bool) -> alt.LayerChart:
    """The strip for 1200 or 366 px."""
    x = (0.0, float(frames.weeks))
    plot = (
        Plot(1156, 128, x, frames.domain, left=40, right=4, bottom=42)
        if is_wide
        else Plot(326, 110, x, frames.domain, left=36, right=4, bottom=42)
    )
    across = {"y": alt.YValue(plot.top), "y2": alt.Y2Value(plot.foot)}
    off = frame_chart(frames.layoffs).mark_rect(fill=WASH)
    lane = {"y": alt.YValue(plot.foot + 6), "y2": alt.Y2Value(plot.foot + 14)}
    ticks = frame_chart(frames.unread).mark_rule(stroke=INK3, strokeWidth=1)
    layers = [
        off.encode(x=plot.x("w0"), x2=alt.X2("w1"), **across),
        *lay_hairlines(frames.years, plot),
        *lay_values(frames.values, plot),
        *_points(frames.points, plot),
        ticks.encode(x=plot.x("w"), **lane),
        *lay_places(frames.years, plot, 30),
        *lay_note(y_title, -plot.left, 8, plot),
    ]
    return plot.stack(layers)


def _points(points: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    """Estimate on its interval, cut at the picture's edge; told filled, found by rule hollow."""
    low, high = plot.y_domain
    base = frame_chart(points).transform_calculate(
        l=f"clamp(datum.lo, {low}, {high})",
        h=f"clamp(datum.hi, {low}, {high})",
        e=f"clamp(datum.y, {low}, {high})",
    )
    stroke = alt.Stroke("tone:N", scale=None)
    made = [
        base.mark_rule(strokeWidth=1, opacity=0.6).encode(
            x=plot.x("w"), y=plot.y("l"), y2=alt.Y2("h"), stroke=stroke
        )
    ]
    for told in (1, 0):
        mark = base.transform_filter(f"datum.told == {told}").mark_point(
            size=30 if plot.width > 400 else 14, strokeWidth=1.2, filled=True, opacity=1
        )
        fill = alt.Fill("tone:N", scale=None) if told else alt.FillValue(PAPER)
        tip = alt.Tooltip("hover:N")
        made.append(
            mark.encode(x=plot.x("w"), y=plot.y("e"), stroke=stroke, fill=fill, tooltip=tip)
        )
    return made
