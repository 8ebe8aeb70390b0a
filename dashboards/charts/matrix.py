"""Lifters by muscles: weekly sets as a bar over the slope on its interval, a cell each."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.slopes import (
    REFUSED,
    VERDICT_COLOURS,
    Rows,
    SlopeAxis,
    SlopeWords,
    lay_ground,
    lay_note,
    lay_slopes,
    lay_words,
)
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK2, INK3, PAPER, RULE, WASH, rock

MUSCLE, ORDER, RECENT = "muscle", "order", "recent"
# Name of the column of places in use. A signal of its own, so that another muscle moves the rows
# only where their order depends on the muscle.
PLACES = "places"
LIFTER_ORDERS = ("age", "name")


@dataclass(frozen=True)
class MatrixLayout:
    """Rows, and columns of cells: left of the first, width, gap after a family (px).

    ``bar`` and ``slope`` are px below a row's top. The bar of ``most`` sets fills its room; slopes
    lie between ``low`` and ``high`` % a year. ``edged``: bars have their outline on top.
    """

    rows: Rows
    left: float
    cell: float
    gap: float
    most: float
    low: float
    high: float
    bar: float
    slope: float
    edged: bool = True

    @property
    def room(self) -> float:
        """Width of a cell that marks may use."""
        return self.cell - 8

    @property
    def column(self) -> str:
        """Expression for the left edge of a cell, from its m and f."""
        return f"{self.left} + datum.m * {self.cell} + datum.f * {self.gap}"

    def at(self, value: str) -> str:
        """Expression for a slope's place in its cell."""
        scale = self.room / (self.high - self.low)
        held = f"clamp({value}, {self.low}, {self.high})"
        return f"datum.x + ({held} - {self.low}) * {scale}"


@dataclass(frozen=True)
class MatrixFrames:
    """cells : i, m, f, short, long (sets), est, low, high, k (verdict), both (numbers in words),
    reason. lifters : i. places : i, label (name), age, name and, for each muscle, sets_<id>,
    change_<id> (places of the row in each order). muscles : m, f, muscle_id,
    line1, line2 (its name in two lines).
    """

    cells: pl.DataFrame
    lifters: pl.DataFrame
    places: pl.DataFrame
    muscles: pl.DataFrame


def place_of() -> str:
    """Expression for the number of a row in the order that the reader chose."""
    return f"datum[{PLACES}]"


def _placed(frame: pl.DataFrame, frames: MatrixFrames) -> alt.Chart:
    """Rows with the places of their lifter in every order."""
    fields = [name for name in frames.places.columns if name != "i"]
    return frame_chart(frame).transform_lookup(
        lookup="i", from_=alt.LookupData(data=frames.places, key="i", fields=fields)
    )


def _with_params(layers: list[alt.Chart], muscle: str) -> list[alt.Chart]:
    by_lifter = " || ".join(f"{ORDER} == '{order}'" for order in LIFTER_ORDERS)
    places = f"{by_lifter} ? {ORDER} : {ORDER} + '_' + {MUSCLE}"
    layers[0] = layers[0].add_params(
        alt.param(name=MUSCLE, value=muscle),
        alt.param(name=ORDER, value="age"),
        alt.param(name=RECENT, value="short"),
        alt.param(name=PLACES, expr=places),
    )
    return layers


def draw_matrix(frames: MatrixFrames, layout: MatrixLayout, muscle: str) -> alt.LayerChart:
    """All lifters by all muscles; the chosen muscle's column is tinted."""
    rows = layout.rows
    cells = _placed(frames.cells, frames).transform_calculate(x=layout.column)
    lifters = _placed(frames.lifters, frames).transform_calculate(
        y=rows.at(layout.slope - 2), x="4", foot=rows.at(rows.row)
    )
    named = lifters.encode(x=rows.x("x"), y=rows.y("y"), text=alt.Text("label:N"))
    ground = lifters.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=alt.XValue(0), x2=alt.X2Value(rows.width), y=rows.y("foot")
    )
    layers = [
        *_columns(frames.muscles, layout),
        ground,
        *lay_text(named, align="left", baseline="middle", fontSize=ROW_NAME),
        *_bars(cells, layout),
        *_slopes(cells, layout),
    ]
    return stack_layers(_with_params(layers, muscle), (rows.width, rows.height))


def _columns(muscles: pl.DataFrame, layout: MatrixLayout) -> list[alt.Chart]:
    """Names over the columns, the zero of each, and the tint of the chosen one."""
    rows = layout.rows
    base = (
        frame_chart(muscles)
        .transform_calculate(x=layout.column)
        .transform_calculate(
            x1=f"datum.x + {layout.cell - 4}",
            x0="datum.x - 4",
            zero=layout.at("0"),
            y0=str(rows.top),
            y1=str(rows.foot),
            ya=str(rows.top - 22),
            yb=str(rows.top - 10),
        )
    )
    chosen = f"datum.muscle_id == {MUSCLE}"
    tint = (
        base.transform_filter(chosen)
        .mark_rect(fill=WASH, stroke=None)
        .encode(x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y0"), y2=alt.Y2("y1"))
    )
    zero = base.mark_rule(stroke=INK3, strokeWidth=0.6).encode(
        x=rows.x("zero"), y=rows.y("y0"), y2=alt.Y2("y1")
    )
    layers = [tint, zero]
    for line, y in (("line1", "ya"), ("line2", "yb")):
        for only, mark in ((chosen, {"fontWeight": 600}), (f"!({chosen})", {"fill": INK2})):
            placed = base.transform_filter(only).encode(
                x=rows.x("x"), y=rows.y(y), text=alt.Text(f"{line}:N")
            )
            layers += lay_text(placed, align="left", baseline="middle", **mark)
    return layers


def _bars(cells: alt.Chart, layout: MatrixLayout) -> list[alt.Chart]:
    """Weekly sets as a bar in the family's tone with its number."""
    rows, tall = layout.rows, 7
    room = layout.room - 16
    base = (
        cells.transform_calculate(v=f"datum[{RECENT}]")
        .transform_filter("isValid(datum.v)")
        .transform_calculate(
            end=f"datum.x + min(datum.v, {layout.most}) * {room / layout.most}",
            y0=rows.at(layout.bar),
            y1=rows.at(layout.bar + tall),
            yt=rows.at(layout.bar + tall / 2),
            text="format(datum.v, '.0f')",
            within=f"{[rock(f, 'within') for f in FAMILIES]}[datum.f]",
            above=f"{[rock(f, 'above') for f in FAMILIES]}[datum.f]",
        )
    )
    bar = base.mark_rect(stroke=None).encode(
        x=rows.x("x"),
        x2=alt.X2("end"),
        y=rows.y("y0"),
        y2=alt.Y2("y1"),
        fill=alt.Fill("within:N", scale=None),
    )
    edge = base.mark_rule(strokeWidth=0.8).encode(
        x=rows.x("x"), x2=alt.X2("end"), y=rows.y("y0"), stroke=alt.Stroke("above:N", scale=None)
    )
    named = base.encode(x=rows.x("end"), y=rows.y("yt"), text=alt.Text("text:N"))
    return [
        bar,
        *([edge] if layout.edged else []),
        *lay_text(named, align="left", baseline="middle", dx=3, fontSize=10),
    ]


def _slopes(cells: alt.Chart, layout: MatrixLayout) -> list[alt.Chart]:
    rows = layout.rows
    base = cells.transform_calculate(
        y=rows.at(layout.slope),
        x0=layout.at("datum.low"),
        x1=layout.at("datum.high"),
        xm=layout.at("datum.est"),
        end=f"datum.x + {layout.room}",
        colour=f"{list(VERDICT_COLOURS)}[datum.k]",
    )
    told = base.transform_filter(f"datum.k < {REFUSED}")
    return [
        base.transform_filter(f"datum.k == {REFUSED}")
        .mark_rule(stroke=INK3, strokeWidth=1, strokeDash=[1, 4])
        .encode(x=rows.x("x"), x2=alt.X2("end"), y=rows.y("y")),
        told.mark_rule(strokeWidth=2).encode(
            x=rows.x("x0"),
            x2=alt.X2("x1"),
            y=rows.y("y"),
            stroke=alt.Stroke("colour:N", scale=None),
        ),
        told.mark_point(shape="circle", size=30, stroke=PAPER, strokeWidth=0.8).encode(
            x=rows.x("xm"), y=rows.y("y"), fill=alt.Fill("colour:N", scale=None)
        ),
    ]


def draw_one_muscle(
    frames: MatrixFrames,
    layout: MatrixLayout,
    axis: SlopeAxis,
    visible: float,
    text: SlopeWords,
    head: str,
    muscle: str,
) -> alt.LayerChart:
    """The chosen muscle of all lifters, for a phone: name, sets and slope, a row each.

    ``head``: words over the bars.
    """
    rows = layout.rows
    mine = (
        _placed(frames.cells, frames)
        .transform_filter(f"datum.muscle_id == {MUSCLE}")
        .transform_calculate(x=str(layout.left))
    )
    right = {"align": "right", "fontSize": NOTE}
    layers = [
        *lay_ground(rows, axis, visible, None, text),
        *_bars(mine, layout),
        *lay_slopes(mine, rows, axis),
        *lay_words(mine, rows, "label", 4, 14),
        *lay_words(mine, rows, "both", rows.width - 2, 14, f"datum.k < {REFUSED}", **right),
        *lay_words(
            mine,
            rows,
            "reason",
            rows.width - 2,
            14,
            f"datum.k == {REFUSED}",
            fill=INK3,
            fontStyle="italic",
            **right,
        ),
        *lay_note(rows, layout.left, rows.top - 16, head, "left"),
    ]
    return stack_layers(_with_params(layers, muscle), (rows.width, rows.height))
