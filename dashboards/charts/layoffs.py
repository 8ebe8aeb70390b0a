"""Strength on return against weeks off: each layoff, the line over them, published values."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_note, lay_places, lay_values
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import INK2, INK3, PAPER, PRIOR, role


@dataclass(frozen=True)
class LayoffFrames:
    """points : x (weeks off), y, lo, hi, tone (colour), told (1 or 0), hover.

    line : x, y, lo, hi, seen (1 up to the longest layoff). published : x, y, lo, hi, label.
    note : x, y, label (what the line stands on), up (1 over its band, 0 under). values, places : v,
    label. domain, end : the vertical ends and the last weeks off shown. tone : the role of the
    line.
    """

    points: pl.DataFrame
    line: pl.DataFrame
    published: pl.DataFrame
    note: pl.DataFrame
    values: pl.DataFrame
    places: pl.DataFrame
    domain: tuple[float, float]
    end: float
    tone: str


@dataclass(frozen=True)
class LayoffWords:
    """Words of the drawing; ``refused`` stands over the plot where there is no line."""

    y_title: str
    x_title: str
    refused: str = ""


def draw_layoffs(frames: LayoffFrames, said: LayoffWords, is_wide: bool) -> alt.LayerChart:
    """The picture for 440 or 366 px."""
    x = (0.0, frames.end)
    plot = (
        Plot(396, 316, x, frames.domain, left=40, right=8)
        if is_wide
        else Plot(322, 240, x, frames.domain, left=36, right=8)
    )
    layers = [
        *lay_values(frames.values, plot),
        *_line(frames, plot),
        *_published(frames.published, plot),
        *_points(frames.points, plot),
        *_note(frames, plot),
        *lay_places(frames.places, plot),
        *lay_note(said.y_title, -plot.left, 8, plot),
        *lay_note(said.x_title, plot.width, plot.total - 6, plot, align="right"),
    ]
    if said.refused:
        mark = {"fill": INK3, "fontStyle": "italic", "fontSize": plot.note}
        layers += lay_note(said.refused, 4, plot.foot - 8, plot, **mark)
    return plot.stack(layers)


def _line(frames: LayoffFrames, plot: Plot) -> list[alt.Chart]:
    """Loss for each week off with its band; past the longest layoff only dotted edges."""
    base = frame_chart(frames.line)
    seen = base.transform_filter("datum.seen == 1")
    fill = role(f"{frames.tone}-band") if frames.tone in ("progress", "loss") else role("rule")
    beyond = base.transform_filter("datum.seen == 0")
    return [
        seen.mark_area(fill=fill, opacity=0.6).encode(
            x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi")
        ),
        seen.mark_line(stroke=role(frames.tone), strokeWidth=2).encode(
            x=plot.x("x"), y=plot.y("y")
        ),
        *(
            beyond.mark_line(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3]).encode(
                x=plot.x("x"), y=plot.y(edge)
            )
            for edge in ("lo", "hi")
        ),
    ]


def _published(published: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    base = frame_chart(published)
    span = base.mark_rule(stroke=PRIOR, strokeWidth=1.2, strokeDash=[4, 3])
    mark = base.mark_point(shape="diamond", size=44, stroke=PRIOR, strokeWidth=1.4, fill=PAPER)
    named = base.encode(x=plot.x("x"), y=plot.y("y"), text=alt.Text("label:N"))
    made = [
        span.encode(x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi")),
        mark.encode(x=plot.x("x"), y=plot.y("y")),
    ]
    for near, align, dx in (("<=", "left", 8), (">", "right", -8)):
        kept = named.transform_filter(f"datum.x {near} {plot.x_domain[1]} * 0.6")
        made += lay_text(
            kept, halo=True, align=align, dx=dx, fill=PRIOR, baseline="middle", fontSize=plot.note
        )
    return made


def _points(points: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    base = frame_chart(points)
    stroke = alt.Stroke("tone:N", scale=None)
    line = base.mark_rule(strokeWidth=1.2, opacity=0.75).encode(
        x=plot.x("x"), y=plot.y("lo"), y2=alt.Y2("hi"), stroke=stroke
    )
    made = [line]
    for told in (1, 0):
        mark = base.transform_filter(f"datum.told == {told}").mark_point(
            size=52, strokeWidth=1.4, filled=True, opacity=1
        )
        fill = alt.Fill("tone:N", scale=None) if told else alt.FillValue(PAPER)
        made.append(
            mark.encode(
                x=plot.x("x"),
                y=plot.y("y"),
                stroke=stroke,
                fill=fill,
                tooltip=alt.Tooltip("hover:N"),
            )
        )
    return made


def _note(frames: LayoffFrames, plot: Plot) -> list[alt.Chart]:
    fill = role(frames.tone) if frames.tone in ("progress", "loss") else INK2
    named = frame_chart(frames.note).encode(x=plot.x("x"), y=plot.y("y"), text=alt.Text("label:N"))
    mark = {"align": "right", "fill": fill, "fontWeight": 600, "fontSize": plot.note}
    over, under = named.transform_filter("datum.up"), named.transform_filter("!datum.up")
    return [
        *lay_text(over, halo=True, baseline="bottom", dy=-8, **mark),
        *lay_text(under, halo=True, baseline="top", dy=8, **mark),
    ]
