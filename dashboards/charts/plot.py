"""A plot with data on both axes inside the drawing's own px: grid, values and titles as marks.

The view is as high as the plot with its margins, so that names, ticks and legends may stand in the
margins while data keep their own scale. Domains are numbers or signals.
"""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, frame_chart
from dashboards.theme.chart import NOTE, lay_text, stack_layers
from dashboards.theme.colours import INK2, INK3, RULE

Bound = float | str


@dataclass(frozen=True)
class Plot:
    """Where a plot lies: its size and margins in px, its domains (low, high)."""

    width: int
    height: int
    x_domain: tuple[Bound, Bound]
    y_domain: tuple[Bound, Bound]
    left: int = 44
    right: int = 0
    top: int = 24
    bottom: int = 44
    note: int = NOTE

    @property
    def foot(self) -> float:
        """The px at which the plot ends below."""
        return self.top + self.height

    @property
    def total(self) -> float:
        """Height of the whole drawing, px."""
        return self.foot + self.bottom

    def x(self, field: str) -> alt.X:
        return at_x(field, [_bound(one) for one in self.x_domain])

    def y(self, field: str) -> alt.Y:
        """Vertical place by the data's scale, which is carried on into the margins."""
        low, high = self.y_domain
        above, below = self.top / self.height, self.bottom / self.height
        ends = [_beyond(low, high, -below), _beyond(low, high, 1 + above)]
        scale = alt.Scale(domain=ends, nice=False, zero=False)
        return alt.Y(f"{field}:Q", scale=scale, axis=None)

    def stack(self, layers: list[alt.Chart]) -> alt.LayerChart:
        """The layers as one drawing."""
        return stack_layers(layers, (self.width, self.total), self.left, self.right)


def _bound(value: Bound) -> Any:
    return alt.ExprRef(value) if isinstance(value, str) else value


def _beyond(low: Bound, high: Bound, share: float) -> Any:
    """The value at ``share`` of the way from low to high, as a number or an expression."""
    if isinstance(low, str) or isinstance(high, str):
        return alt.ExprRef(f"{low} + ({high} - {low}) * {share:.5f}")
    return low + (high - low) * share


def lay_values(ticks: pl.DataFrame, plot: Plot, chosen: str = "") -> list[alt.Chart]:
    """Horizontal hairlines with their values left of the plot; the zero line in ink.

    ``ticks``: v, label. ``chosen``: an expression that keeps the rows to be shown.
    """
    base = frame_chart(ticks)
    if chosen:
        base = base.transform_filter(chosen)
    across = {"x": alt.XValue(0), "x2": alt.X2Value(plot.width), "y": plot.y("v")}
    other, zero = base.transform_filter("datum.v != 0"), base.transform_filter("datum.v == 0")
    named = base.encode(x=alt.XValue(-8), y=plot.y("v"), text=alt.Text("label:N"))
    return [
        other.mark_rule(stroke=RULE, strokeWidth=0.6).encode(**across),
        zero.mark_rule(stroke=INK3, strokeWidth=1).encode(**across),
        *lay_text(named, align="right", baseline="middle", fill=INK2, fontSize=plot.note),
    ]


def lay_places(ticks: pl.DataFrame, plot: Plot, drop: float = 16) -> list[alt.Chart]:
    """Values under the plot, ``drop`` px below its foot. ``ticks``: v, label."""
    named = frame_chart(ticks).encode(
        x=plot.x("v"), y=alt.YValue(plot.foot + drop), text=alt.Text("label:N")
    )
    return lay_text(named, align="center", baseline="middle", fill=INK2, fontSize=plot.note)


def lay_hairlines(ticks: pl.DataFrame, plot: Plot) -> list[alt.Chart]:
    """Vertical hairlines at the values. ``ticks``: v, label."""
    lines = frame_chart(ticks).mark_rule(stroke=RULE, strokeWidth=0.6)
    across = {"y": alt.YValue(plot.top), "y2": alt.Y2Value(plot.foot)}
    return [lines.encode(x=plot.x("v"), **across)]


def lay_note(text: str, x: float, y: float, plot: Plot, **mark: Any) -> list[alt.Chart]:
    """One line of words at a place in px of the plot (y from the top of the drawing)."""
    base = frame_chart(pl.DataFrame({"label": [text]})).encode(
        x=alt.XValue(x), y=alt.YValue(y), text=alt.Text("label:N")
    )
    return lay_text(base, **{"fill": INK2, "fontSize": plot.note, "align": "left", **mark})


def write_expression(text: str, **values: str) -> str:
    """A sentence with places in braces as an expression over a row.

    >>> write_expression("at {sets} sets", sets="datum.x")
    "'at ' + (datum.x) + ' sets'"
    """
    parts, rest = [], text
    while "{" in rest:
        before, _, rest = rest.partition("{")
        name, _, rest = rest.partition("}")
        parts += [_quoted(before), f"({values[name]})"]
    parts.append(_quoted(rest))
    return " + ".join(part for part in parts if part != "''")


def _quoted(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"
