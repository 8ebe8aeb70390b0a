"""Two sides against each other over the years: one small plot a ratio, on its own history."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3, RULE, WASH

TOP, FOOT, HEAD = 4, 22, 26


@dataclass(frozen=True)
class BalanceLayout:
    """Columns and rows of small plots (px): width of a column and of its plot, room for values left
    of it, height of a row; ``across`` columns."""

    column: float
    plot: float
    left: float
    row: float
    across: int
    panels: int

    @property
    def width(self) -> float:
        return self.column * self.across

    @property
    def high(self) -> float:
        """Height of a plot: its row less its head and the years."""
        return self.row - HEAD - FOOT

    @property
    def height(self) -> float:
        return TOP + self.row * (-(-self.panels // self.across))

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, self.width])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    def at_x(self, share: str) -> str:
        """Expression for a share of the plot's width in panel ``p``."""
        return f"(datum.p % {self.across}) * {self.column} + {self.left} + ({share}) * {self.plot}"

    def at_y(self, share: str) -> str:
        """Expression for a share of the plot's height, 0 at its top."""
        row = f"floor(datum.p / {self.across}) * {self.row}"
        return f"{TOP + HEAD} + {row} + ({share}) * {self.high}"


@dataclass(frozen=True)
class BalanceFrames:
    """Places are shares of a plot: t from its left, v from its top; p is the plot.

    panels : p, title, reads, has_own (an own history to read it by), now, why (null where told), v
    (of the last point, null where refused), t. bands : p, v0, v1 (own history). lines : p, s (run),
    t, v, lo, hi (null for counts). values : p, v, label, is_one. years : t, p, label.
    """

    panels: pl.DataFrame
    bands: pl.DataFrame
    lines: pl.DataFrame
    values: pl.DataFrame
    years: pl.DataFrame


def draw_balances(frames: BalanceFrames, layout: BalanceLayout) -> alt.LayerChart:
    """All plots in one drawing."""
    layers = [
        *_bands(frames.bands, layout),
        *_values(frames.values, layout),
        *_years(frames.years, layout),
        *_lines(frames.lines, layout),
        *_heads(frames.panels, layout),
        *_refused(frames.panels, layout),
    ]
    return stack_layers(layers, (layout.width, layout.height))


def _bands(bands: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    """The spread of the lifter's own quarters before: tint with edges."""
    base = frame_chart(bands).transform_calculate(
        x0=layout.at_x("0"),
        x1=layout.at_x("1"),
        y0=layout.at_y("datum.v0"),
        y1=layout.at_y("datum.v1"),
    )
    across = {"x": layout.x("x0"), "x2": alt.X2("x1")}
    edges = [
        base.mark_rule(stroke=INK3, strokeWidth=0.7, strokeDash=[1, 3]).encode(
            y=layout.y(side), **across
        )
        for side in ("y0", "y1")
    ]
    tint = base.mark_rect(fill=WASH, stroke=None).encode(
        y=layout.y("y0"), y2=alt.Y2("y1"), **across
    )
    return [tint, *edges]


def _values(values: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    base = frame_chart(values).transform_calculate(
        x0=layout.at_x("0"),
        x1=layout.at_x("1"),
        xt=f"{layout.at_x('0')} - 6",
        y=layout.at_y("datum.v"),
    )
    across = {"x": layout.x("x0"), "x2": alt.X2("x1"), "y": layout.y("y")}
    named = base.encode(x=layout.x("xt"), y=layout.y("y"), text=alt.Text("label:N"))
    return [
        base.transform_filter("!datum.is_one")
        .mark_rule(stroke=RULE, strokeWidth=0.6)
        .encode(**across),
        base.transform_filter("datum.is_one")
        .mark_rule(stroke=INK3, strokeWidth=1)
        .encode(**across),
        *lay_text(named, align="right", baseline="middle", fill=INK2, fontSize=NOTE),
    ]


def _years(years: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    base = frame_chart(years).transform_calculate(
        x=layout.at_x("datum.t"),
        y0=layout.at_y("0"),
        y1=layout.at_y("1"),
        yt=f"{layout.at_y('1')} + 10",
    )
    named = base.encode(x=layout.x("x"), y=layout.y("yt"), text=alt.Text("label:N"))
    return [
        base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
            x=layout.x("x"), y=layout.y("y0"), y2=alt.Y2("y1")
        ),
        *lay_text(named, fill=INK2, baseline="middle", fontSize=NOTE),
    ]


def _lines(lines: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    base = frame_chart(lines).transform_calculate(
        x=layout.at_x("datum.t"),
        y=layout.at_y("datum.v"),
        y0=layout.at_y("datum.lo"),
        y1=layout.at_y("datum.hi"),
    )
    run = alt.Detail("s:N")
    band = base.transform_filter("isValid(datum.lo)").mark_area(fill=INK3, opacity=0.22)
    return [
        band.encode(x=layout.x("x"), y=layout.y("y0"), y2=alt.Y2("y1"), detail=run),
        base.mark_line(stroke=INK, strokeWidth=2).encode(
            x=layout.x("x"), y=layout.y("y"), detail=run
        ),
    ]


def _heads(panels: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    base = frame_chart(panels).transform_calculate(
        x0=f"{layout.at_x('0')} - {layout.left}",
        x1=layout.at_x("1"),
        yt=f"{layout.at_y('0')} - 12",
        xe=f"{layout.at_x('datum.t')} + 6",
        ye=layout.at_y("datum.v"),
    )
    title = base.encode(x=layout.x("x0"), y=layout.y("yt"), text=alt.Text("title:N"))
    reads = base.encode(x=layout.x("x1"), y=layout.y("yt"), text=alt.Text("reads:N"))
    now = base.transform_filter("isValid(datum.v)").encode(
        x=layout.x("xe"), y=layout.y("ye"), text=alt.Text("now:N")
    )
    look: dict[str, Any] = {"baseline": "alphabetic", "fontSize": ROW_NAME}
    return [
        *lay_text(title, align="left", fontWeight=600, **look),
        *lay_text(
            reads.transform_filter("datum.has_own"), align="right", fill=INK2, baseline="alphabetic"
        ),
        *lay_text(
            reads.transform_filter("!datum.has_own"),
            align="right",
            fill=INK3,
            fontStyle="italic",
            baseline="alphabetic",
        ),
        *lay_text(now, halo=True, align="left", baseline="middle", fontWeight=600),
    ]


def _refused(panels: pl.DataFrame, layout: BalanceLayout) -> list[alt.Chart]:
    """The axes stay; a dotted line and the reason where the data would be."""
    base = (
        frame_chart(panels)
        .transform_filter("isValid(datum.why)")
        .transform_calculate(
            x0=layout.at_x("0"), x1=layout.at_x("1"), y=layout.at_y("0.6"), yt=layout.at_y("0.42")
        )
    )
    line = base.mark_rule(stroke=INK3, strokeWidth=1, strokeDash=[1, 4]).encode(
        x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y")
    )
    said = base.encode(x=layout.x("x0"), y=layout.y("yt"), text=alt.Text("why:N"))
    return [line, *lay_text(said, align="left", fill=INK3, fontStyle="italic")]
