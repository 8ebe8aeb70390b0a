"""Rows of slopes: an estimate on its interval, then against now, refusals as dotted lines.

Shared by lifts and by the group's muscles. All places are px of the drawing.
"""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.numbers import figure
from dashboards.theme.chart import NOTE, lay_text
from dashboards.theme.colours import INK, INK2, INK3, LOSS, PAPER, PRIOR, PROGRESS, RULE, WASH

# Colour of a slope by its verdict: rising, falling, still, either way (see prepare.slopes).
VERDICT_COLOURS = (PROGRESS, LOSS, INK2, INK2)
REFUSED = 4
THICK, DOT, RING = 2.2, 58, 38


@dataclass(frozen=True)
class Rows:
    """Rows of one height: width, top, height of a row and of all below the rows (px).

    ``place`` is the expression for the number of a row; a signal may be in it. ``mark`` is where
    in a row its mark lies.
    """

    width: float
    top: float
    row: float
    rows: int
    below: float
    place: str
    mark: float

    @property
    def foot(self) -> float:
        return self.top + self.rows * self.row

    @property
    def height(self) -> float:
        return self.foot + self.below

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, self.width])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    def at(self, drop: float) -> str:
        """Expression for ``drop`` px below the top of a row."""
        return f"{self.top} + ({self.place}) * {self.row} + {drop}"


@dataclass(frozen=True)
class SlopeAxis:
    """Where the axis lies (px) and what it spans, in % a year or, without signs, of a whole."""

    left: float
    width: float
    low: float
    high: float
    ticks: tuple[float, ...]
    has_signs: bool = True

    def at(self, value: str) -> str:
        """Expression for the place of a value; beyond the axis it lies at its edge."""
        scale = self.width / (self.high - self.low)
        return f"{self.left} + (clamp({value}, {self.low}, {self.high}) - {self.low}) * {scale}"

    def px(self, value: float) -> float:
        return self.left + (value - self.low) * self.width / (self.high - self.low)

    def px_inside(self, value: float) -> float:
        """The same as ``at``: beyond the axis it lies at its edge."""
        return self.px(min(max(value, self.low), self.high))


@dataclass(frozen=True)
class SlopeLayout:
    """Rows and axis; px below a row's top of its name. A wide page has three columns, at these px;
    a phone has none."""

    rows: Rows
    axis: SlopeAxis
    name_drop: float
    columns: tuple[float, float, float] | None


@dataclass(frozen=True)
class SlopeWords:
    """Words at the axis: its name, what the tinted column means, the published average's name."""

    axis: str
    small: str
    published: str = ""


def lay_ground(
    rows: Rows, axis: SlopeAxis, visible: float, published: float | None, text: SlopeWords
) -> list[alt.Chart]:
    """Tinted column of what is too small to see, hairlines, zero, published average, and words."""
    half = axis.px(visible) - axis.px(0)
    zero = axis.px(0)
    column = pl.DataFrame(
        {
            "x0": [max(zero - half, axis.left)],
            "x1": [zero + half],
            "y0": [float(rows.top - 6)],
            "y1": [float(rows.foot)],
        }
    )
    base = frame_chart(column).encode(
        x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y0"), y2=alt.Y2("y1")
    )
    tint = [base.mark_rect(fill=WASH, stroke=None)] if visible > 0 else []
    layers = [*tint, *_ticks(rows, axis)]
    layers += [_upright(rows, zero, stroke=INK3, strokeWidth=1)]
    if published is not None:
        x = axis.px(published)
        layers += [_upright(rows, x, stroke=PRIOR, strokeWidth=1.2, strokeDash=[5, 4])]
        layers += [_lozenge(rows, x, y) for y in (rows.top - 6, rows.foot)]
    return [*layers, *_words(rows, axis, text, visible > 0)]


def _upright(rows: Rows, x: float, **mark: Any) -> alt.Chart:
    line = pl.DataFrame({"x": [x], "y0": [float(rows.top - 6)], "y1": [float(rows.foot)]})
    base = frame_chart(line).encode(x=rows.x("x"), y=rows.y("y0"), y2=alt.Y2("y1"))
    return base.mark_rule(**mark)


def _lozenge(rows: Rows, x: float, y: float) -> alt.Chart:
    return (
        frame_chart(pl.DataFrame({"x": [x], "y": [float(y)]}))
        .mark_point(shape="diamond", size=38, stroke=PRIOR, strokeWidth=1.2, fill=PAPER)
        .encode(x=rows.x("x"), y=rows.y("y"))
    )


def _ticks(rows: Rows, axis: SlopeAxis) -> list[alt.Chart]:
    labels = [figure(tick, axis.has_signs) if tick else "0" for tick in axis.ticks]
    frame = pl.DataFrame(
        {
            "x": [axis.px(tick) for tick in axis.ticks],
            "y0": [float(rows.top - 6)] * len(labels),
            "y1": [float(rows.foot)] * len(labels),
            "yt": [rows.foot + 14.0] * len(labels),
            "label": labels,
        },
        schema_overrides={"x": pl.Float64, "label": pl.String},
    )
    base = frame_chart(frame)
    named = base.encode(x=rows.x("x"), y=rows.y("yt"), text=alt.Text("label:N"))
    lines = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=rows.x("x"), y=rows.y("y0"), y2=alt.Y2("y1")
    )
    return [lines, *lay_text(named, fill=INK2, fontSize=NOTE)]


def _words(rows: Rows, axis: SlopeAxis, text: SlopeWords, is_tinted: bool) -> list[alt.Chart]:
    """The axis' name at its right end, what is too small at zero; the published name at the foot.

    The words at zero keep out of the axis' name.
    """
    y = float(rows.top - 16)
    small = min(axis.px(0), axis.left + axis.width - 0.54 * NOTE * (len(text.axis) + 14))
    layers = lay_note(rows, axis.left + axis.width, y, text.axis, align="right")
    if is_tinted:
        layers += lay_note(rows, small, y, text.small, align="center")
    if text.published:
        layers += lay_note(rows, axis.left + axis.width, rows.foot + 30, text.published, "right")
    return layers


def lay_note(rows: Rows, x: float, y: float, text: str, align: str, **mark: Any) -> list:
    """One line of words at a fixed place."""
    frame = pl.DataFrame({"x": [float(x)], "y": [float(y)], "label": [text]})
    base = frame_chart(frame).encode(x=rows.x("x"), y=rows.y("y"), text=alt.Text("label:N"))
    mark = {"fill": INK2, "baseline": "middle", **mark}
    return lay_text(base, align=align, **mark)


def _chart(frame: pl.DataFrame | alt.Chart) -> alt.Chart:
    return frame_chart(frame) if isinstance(frame, pl.DataFrame) else frame


def lay_slopes(frame: pl.DataFrame | alt.Chart, rows: Rows, axis: SlopeAxis) -> list[alt.Chart]:
    """Estimates on their intervals, the earlier estimate hollow, refusals dotted.

    ``frame``: est, low, high, then (null: none), k (verdict) and what ``rows.place`` needs.
    """
    base = _chart(frame).transform_calculate(
        y=rows.at(rows.mark),
        x0=axis.at("datum.low"),
        x1=axis.at("datum.high"),
        x=axis.at("datum.est"),
        xt=axis.at("datum.then"),
        xa=str(axis.left + 4),
        xb=str(axis.left + axis.width - 4),
        colour=f"{list(VERDICT_COLOURS)}[datum.k]",
    )
    told = base.transform_filter(f"datum.k < {REFUSED}")
    ink = alt.Stroke("colour:N", scale=None)
    return [
        base.transform_filter(f"datum.k == {REFUSED}")
        .mark_rule(stroke=INK3, strokeWidth=1, strokeDash=[1, 4])
        .encode(x=rows.x("xa"), x2=alt.X2("xb"), y=rows.y("y")),
        told.mark_rule(strokeWidth=THICK).encode(
            x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y"), stroke=ink
        ),
        base.transform_filter("isValid(datum.then)")
        .mark_point(shape="circle", size=RING, fill=PAPER, stroke=INK2, strokeWidth=1.1)
        .encode(x=rows.x("xt"), y=rows.y("y")),
        told.mark_point(shape="circle", size=DOT, stroke=PAPER, strokeWidth=1).encode(
            x=rows.x("x"), y=rows.y("y"), fill=alt.Fill("colour:N", scale=None)
        ),
    ]


def lay_words(
    frame: pl.DataFrame | alt.Chart,
    rows: Rows,
    field: str,
    x: float,
    drop: float,
    only: str = "",
    **mark: Any,
) -> list[alt.Chart]:
    """One column of words, a row each, ``drop`` px below the row's top; ``only`` is a condition."""
    base = _chart(frame)
    if only:
        base = base.transform_filter(only)
    placed = base.transform_calculate(y=rows.at(drop), x=str(x)).encode(
        x=rows.x("x"), y=rows.y("y"), text=alt.Text(f"{field}:N")
    )
    return lay_text(placed, **{"baseline": "alphabetic", "align": "left", "fill": INK, **mark})


def lay_outcome(frame: pl.DataFrame, rows: Rows, drop: float) -> list[alt.Chart]:
    """Number with interval, or why there is none, at the right end: a phone has no more room."""
    right = {"align": "right", "fontSize": NOTE}
    end, told, refused = rows.width - 2, f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    italic = {"fill": INK3, "fontStyle": "italic"}
    return [
        *lay_words(frame, rows, "both", end, drop, told, **right),
        *lay_words(frame, rows, "reason", end, drop, refused, **right, **italic),
    ]
