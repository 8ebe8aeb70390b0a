"""Weeks logged: one comb a year, so that gaps in the record are seen at once."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3, RULE

TOP, FOOT = 4, 4
TALL, SHORT = 12.0, 6.0


@dataclass(frozen=True)
class CombLayout:
    """Widths of names, plot and column, height of a row (px); rows; slanted lines a week."""

    left: int
    plot: int
    right: int
    row: int
    rows: int
    slants: int

    @property
    def height(self) -> float:
        return TOP + self.rows * self.row + FOOT

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, 53])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    @property
    def foot(self) -> str:
        return f"{TOP} + (datum.r + 1) * {self.row} - 6"


def draw_comb(weeks: pl.DataFrame, years: pl.DataFrame, layout: CombLayout) -> alt.LayerChart:
    """A tick a week: tall with training, half in a deload, a dot in a layoff, a hatch unlogged.

    ``weeks``: r (row), k (week of its year), status; ``years``: r, year, text (weeks logged).
    """
    base = frame_chart(weeks).transform_calculate(foot=layout.foot, x="datum.k + 0.5")
    layers = [
        _ground(years, layout),
        _ticks(base, layout, "trained", TALL),
        _ticks(base, layout, "deload", SHORT),
        _layoff(base, layout),
        *_unlogged(base, layout),
    ]
    named = frame_chart(years).transform_calculate(y=f"{layout.foot} - 1")
    year = named.encode(x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("year:N"))
    text = named.encode(
        x=alt.XValue(layout.plot + layout.right), y=layout.y("y"), text=alt.Text("text:N")
    )
    layers += lay_text(year, align="right", fill=INK2, baseline="alphabetic", fontSize=12)
    layers += lay_text(text, align="right", fill=INK2, baseline="alphabetic", fontSize=12)
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _ground(years: pl.DataFrame, layout: CombLayout) -> alt.Chart:
    return (
        frame_chart(years)
        .transform_calculate(y=layout.foot)
        .mark_rule(stroke=RULE, strokeWidth=0.6)
        .encode(x=alt.XValue(0), x2=alt.X2Value(layout.plot), y=layout.y("y"))
    )


def _ticks(base: alt.Chart, layout: CombLayout, status: str, height: float) -> alt.Chart:
    return (
        base.transform_filter(f"datum.status == '{status}'")
        .transform_calculate(tip=f"datum.foot - {height}")
        .mark_rule(stroke=INK, strokeWidth=2)
        .encode(x=layout.x("x"), y=layout.y("tip"), y2=alt.Y2("foot"))
    )


def _layoff(base: alt.Chart, layout: CombLayout) -> alt.Chart:
    return (
        base.transform_filter("datum.status == 'layoff'")
        .transform_calculate(y="datum.foot - 3")
        .mark_point(filled=True, fill=INK3, stroke=None, size=5, shape="circle")
        .encode(x=layout.x("x"), y=layout.y("y"))
    )


def _unlogged(base: alt.Chart, layout: CombLayout) -> list[alt.Chart]:
    """Slanted lines, as many a week as there is room for."""
    weeks = base.transform_filter("datum.status == 'unlogged'")
    lines = (
        weeks.transform_calculate(i=f"sequence({layout.slants})")
        .transform_flatten(["i"])
        .transform_calculate(
            x0=f"datum.k + datum.i / {layout.slants}",
            x1=f"datum.k + (datum.i + 1) / {layout.slants}",
            y0="datum.foot",
            y1=f"datum.foot - {TALL}",
        )
    )
    return [
        lines.mark_rule(stroke=INK3, strokeWidth=0.7).encode(
            x=layout.x("x0"), x2=alt.X2("x1"), y=layout.y("y0"), y2=alt.Y2("y1")
        )
    ]
