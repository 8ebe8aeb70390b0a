"""What each priority phase bought its muscles and cost the others: one row a phase, one axis."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.slopes import (
    REFUSED,
    THICK,
    VERDICT_COLOURS,
    Rows,
    SlopeAxis,
    SlopeWords,
    lay_ground,
    lay_note,
    lay_words,
)
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text, stack_layers
from dashboards.theme.colours import INK, INK2, INK3, PAPER, RULE

SQUARE, DOT, SPECK = 62, 46, 8
TOLD, NOT_TOLD = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"


@dataclass(frozen=True)
class Rail:
    """Where the rail of weekly sets lies (px) and its last value; it begins at none."""

    left: float
    width: float
    most: float

    def at(self, field: str) -> str:
        """Expression for the place of a number of sets."""
        return f"{self.left} + {field} * {self.width / self.most}"


@dataclass(frozen=True)
class LedgerLayout:
    """Rows and axis; px below a row's top of name, dates, square and dot. A wide page has a rail
    and columns: numbers of bought and cost (left edges), their intervals, support (right edge)."""

    rows: Rows
    axis: SlopeAxis
    drops: tuple[float, float, float, float]
    rail: Rail | None
    columns: tuple[float, float, float, float, float] | None


@dataclass(frozen=True)
class LedgerWords:
    """Heads: phase, rail, lost and gained at zero, bought, cost, support."""

    phase: str
    rail: str
    lost: str
    gained: str
    bought: str
    cost: str
    support: str


def draw_ledger(
    phases: pl.DataFrame, specks: pl.DataFrame, layout: LedgerLayout, text: LedgerWords
) -> alt.LayerChart:
    """The ledger for 1200 or 366 px.

    ``phases``: i (row), k (0, refused 4), name, when, usual, phase (weekly sets), rock (colour of
    the rail), bought, bought_low, bought_high, bought_k (0 clearly more, 1 clearly less, 3 either
    way), the same of cost, and words: bought_said, bought_interval, bought_short, the same of cost,
    support, why1, why2, short. ``specks``: i, v, tip (each other muscle).
    """
    rows, axis = layout.rows, layout.axis
    zero, head = axis.px(0), rows.top - 16
    marks = (("bought", "square", SQUARE), ("cost", "circle", DOT))
    layers = [
        *lay_ground(rows, axis, 0.0, None, SlopeWords("", "")),
        _lines(phases, rows),
        *lay_note(rows, zero - 8, head, text.lost, "right"),
        *lay_note(rows, zero + 8, head, text.gained, "left"),
        _refused(phases, layout),
        _specks(specks, layout),
    ]
    for at, (side, shape, size) in enumerate(marks):
        layers += _estimates(phases, layout, side, shape, size, layout.drops[2 + at])
    layers += _names(phases, layout)
    if layout.rail is not None and layout.columns is not None:
        layers += _rail(phases, rows, layout.rail)
        layers += _columns(phases, layout, layout.columns)
        bought, _, cost, _, support = layout.columns
        for x, words, align in (
            (0, text.phase, "left"),
            (layout.rail.left, text.rail, "left"),
            (bought, text.bought, "left"),
            (cost, text.cost, "left"),
            (support, text.support, "right"),
        ):
            layers += lay_note(rows, x, head, words, align)
    else:
        layers += _beside(phases, layout)
    return stack_layers(layers, (rows.width, rows.height))


def _lines(phases: pl.DataFrame, rows: Rows) -> alt.Chart:
    """A hairline under every row."""
    base = frame_chart(phases).transform_calculate(
        y=rows.at(rows.row - 1), x0="0", x1=str(rows.width)
    )
    return base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y")
    )


def _refused(phases: pl.DataFrame, layout: LedgerLayout) -> alt.Chart:
    rows, axis = layout.rows, layout.axis
    base = frame_chart(phases).transform_filter(NOT_TOLD)
    return (
        base.transform_calculate(
            y=rows.at(rows.mark), x0=str(axis.left + 4), x1=str(axis.left + axis.width - 4)
        )
        .mark_rule(stroke=INK3, strokeWidth=1, strokeDash=[1, 4])
        .encode(x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y"))
    )


def _specks(specks: pl.DataFrame, layout: LedgerLayout) -> alt.Chart:
    rows = layout.rows
    base = frame_chart(specks).transform_calculate(
        x=layout.axis.at("datum.v"), y=rows.at(layout.drops[3])
    )
    mark = base.mark_point(shape="circle", size=SPECK, fill=INK3, stroke=None, opacity=1)
    return mark.encode(x=rows.x("x"), y=rows.y("y"), tooltip=alt.Tooltip("tip:N"))


def _estimates(
    phases: pl.DataFrame, layout: LedgerLayout, side: str, shape: str, size: int, drop: float
) -> list[alt.Chart]:
    rows, axis = layout.rows, layout.axis
    base = (
        frame_chart(phases)
        .transform_filter(f"isValid(datum.{side})")
        .transform_calculate(
            y=rows.at(drop),
            x0=axis.at(f"datum.{side}_low"),
            x1=axis.at(f"datum.{side}_high"),
            x=axis.at(f"datum.{side}"),
            colour=f"{list(VERDICT_COLOURS)}[datum.{side}_k]",
        )
    )
    return [
        base.mark_rule(strokeWidth=THICK).encode(
            x=rows.x("x0"),
            x2=alt.X2("x1"),
            y=rows.y("y"),
            stroke=alt.Stroke("colour:N", scale=None),
        ),
        base.mark_point(shape=shape, size=size, stroke=PAPER, strokeWidth=1, opacity=1).encode(
            x=rows.x("x"), y=rows.y("y"), fill=alt.Fill("colour:N", scale=None)
        ),
    ]


def _names(phases: pl.DataFrame, layout: LedgerLayout) -> list[alt.Chart]:
    rows, (name, when, *_) = layout.rows, layout.drops
    bold = {"fontWeight": 600, "fontSize": ROW_NAME}
    return [
        *lay_words(phases, rows, "name", 0, name, TOLD, **bold),
        *lay_words(phases, rows, "name", 0, name, NOT_TOLD, fill=INK3, **bold),
        # Grid lines pass under the words of a narrow drawing.
        *lay_words(phases, rows, "when", 0, when, fill=INK2, halo=layout.columns is None),
    ]


def _rail(phases: pl.DataFrame, rows: Rows, rail: Rail) -> list[alt.Chart]:
    """Usual sets as a thin tick, those of the phase as a thick one, the step between them."""
    middle = 28.0
    base = (
        frame_chart(phases)
        .transform_filter("isValid(datum.usual)")
        .transform_calculate(
            y=rows.at(middle),
            ya=rows.at(middle - 6),
            yb=rows.at(middle + 6),
            yt=rows.at(middle - 10),
            x0=str(rail.left),
            x1=str(rail.left + rail.width),
            xu=rail.at("datum.usual"),
            xp=rail.at("datum.phase"),
            su="format(datum.usual, '.0f')",
            sp="format(datum.phase, '.0f')",
        )
    )
    ends = {"y": rows.y("ya"), "y2": alt.Y2("yb")}
    layers = [
        base.mark_rule(stroke=RULE, strokeWidth=1).encode(
            x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y")
        ),
        base.mark_rule(strokeWidth=5).encode(
            x=rows.x("xu"),
            x2=alt.X2("xp"),
            y=rows.y("y"),
            stroke=alt.Stroke("rock:N", scale=None),
        ),
        base.mark_rule(stroke=INK, strokeWidth=1).encode(x=rows.x("xu"), **ends),
        base.mark_rule(stroke=INK, strokeWidth=2.4).encode(x=rows.x("xp"), **ends),
    ]
    # The two numbers lean away from each other, so that near ones do not touch.
    for less, more, only in (
        ("usual", "phase", "datum.usual <= datum.phase"),
        ("phase", "usual", "datum.phase < datum.usual"),
    ):
        part = base.transform_filter(only)
        for name, align, dx in ((less, "right", -1), (more, "left", 1)):
            placed = part.encode(
                x=rows.x(f"x{name[0]}"), y=rows.y("yt"), text=alt.Text(f"s{name[0]}:N")
            )
            look = {"fontWeight": 600, "fill": INK} if name == "phase" else {"fill": INK2}
            layers += lay_text(placed, align=align, dx=dx, fontSize=NOTE, **look)
    return layers


def _written(
    phases: pl.DataFrame, rows: Rows, side: str, place: tuple[str, float, float], **mark: Any
) -> list[alt.Chart]:
    """Numbers of one side in the colour of their verdict; ``place``: field, x, drop."""
    field, x, drop = place
    colours = [*VERDICT_COLOURS[:2], INK, INK]
    base = (
        frame_chart(phases)
        .transform_filter(f"isValid(datum.{side})")
        .transform_calculate(y=rows.at(drop), x=str(x), colour=f"{colours}[datum.{side}_k]")
    )
    named = base.encode(
        x=rows.x("x"),
        y=rows.y("y"),
        text=alt.Text(f"{field}:N"),
        fill=alt.Fill("colour:N", scale=None),
    )
    return lay_text(named, **{"baseline": "alphabetic", "align": "left", "fontSize": 12, **mark})


def _columns(
    phases: pl.DataFrame, layout: LedgerLayout, columns: tuple[float, float, float, float, float]
) -> list[alt.Chart]:
    rows, drop = layout.rows, 27.0
    bought, bought_ends, cost, cost_ends, support = columns
    bold, italic = {"fontWeight": 600}, {"fill": INK3, "fontStyle": "italic"}
    return [
        *_written(phases, rows, "bought", ("bought_said", bought, drop), **bold),
        *lay_words(phases, rows, "bought_interval", bought_ends, drop, TOLD, fill=INK2),
        *_written(phases, rows, "cost", ("cost_said", cost, drop), **bold),
        *lay_words(phases, rows, "cost_interval", cost_ends, drop, TOLD, fill=INK2),
        *lay_words(phases, rows, "support", support, drop, TOLD, align="right", fill=INK2),
        *lay_words(phases, rows, "why1", bought, 19, NOT_TOLD, **italic),
        *lay_words(phases, rows, "why2", bought, 33, NOT_TOLD, **italic),
    ]


def _beside(phases: pl.DataFrame, layout: LedgerLayout) -> list[alt.Chart]:
    """A phone: the numbers at the right of name and dates, or the word."""
    rows, (name, when, *_) = layout.rows, layout.drops
    end = rows.width - 2
    right = {"align": "right", "fontSize": NOTE}
    italic = {"fill": INK3, "fontStyle": "italic"}
    return [
        *_written(phases, rows, "bought", ("bought_short", end, name), fontWeight=600, **right),
        *_written(phases, rows, "cost", ("cost_short", end, when), **right),
        *lay_words(phases, rows, "short", end, name, NOT_TOLD, **right, **italic),
    ]
