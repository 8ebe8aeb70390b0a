"""All lifts at a glance: the level's line over the whole record beside its slope, then and now."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.slopes import (
    REFUSED,
    Rows,
    SlopeAxis,
    SlopeWords,
    lay_ground,
    lay_note,
    lay_outcome,
    lay_slopes,
    lay_words,
)
from dashboards.theme.chart import NOTE, ROW_NAME, lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK2, INK3, RULE, WASH, rock

ORDER, LIFT = "order", "lift"
# Lines of lifts of no known family are drawn in the last colour.
LINE_COLOURS = (*(rock(family, "above") for family in FAMILIES), INK3)


@dataclass(frozen=True)
class ForestLayout:
    """Rows and their parts, in px: the level's line (left, width, height, drop) and the columns.

    ``columns`` is where numbers (right edge), weeks and levels (right edges) stand; None where the
    number and its interval stand at the right of the name.
    """

    rows: Rows
    axis: SlopeAxis
    line: tuple[float, float, float, float]
    name_drop: float
    name_size: int
    columns: tuple[float, float, float] | None
    weeks: int

    def week(self, field: str) -> str:
        """Expression for the place of a week on the level's line."""
        return f"{self.line[0]} + datum.{field} * {self.line[1] / self.weeks}"


@dataclass(frozen=True)
class ForestFrames:
    """rows : e, by_slope, by_name, by_family, by_level (places), name, est, low, high, then, k,
    number, interval, weeks, level, reason. lines : e, f, s, w, u (0 to 1000 within the lift's own
    range), by_*. years : w, label.
    """

    rows: pl.DataFrame
    lines: pl.DataFrame
    years: pl.DataFrame


@dataclass(frozen=True)
class ForestWords:
    """Heads of the columns, from left to right, and the words at the axis."""

    line: str
    number: str
    weeks: str
    level: str
    axis: SlopeWords


def place_of() -> str:
    """Expression for the number of a row in the order that the reader chose."""
    return f"datum['by_' + {ORDER}]"


def draw_forest(
    frames: ForestFrames,
    layout: ForestLayout,
    text: ForestWords,
    visible: float,
    published: float | None,
    chosen: str,
) -> alt.LayerChart:
    """Lifts as rows; ``order`` and ``lift`` are signals, ``chosen`` the lift to begin with."""
    rows = layout.rows
    layers: list[alt.Chart] = [
        _chosen_row(frames.rows, rows),
        *lay_ground(rows, layout.axis, visible, published, text.axis),
        *_years(frames.years, layout),
        _lines(frames.lines, layout),
        *lay_slopes(frames.rows, rows, layout.axis),
        *_names(frames.rows, layout),
        *_numbers(frames.rows, layout),
        *_heads(layout, text),
    ]
    layers[0] = layers[0].add_params(
        alt.param(name=ORDER, value="slope"), alt.param(name=LIFT, value=chosen)
    )
    return stack_layers(layers, (rows.width, rows.height))


def _chosen_row(frame: pl.DataFrame, rows: Rows) -> alt.Chart:
    return (
        frame_chart(frame)
        .transform_filter(f"datum.e == toNumber({LIFT})")
        .transform_calculate(y0=rows.at(0), y1=rows.at(rows.row), x0="0", x1=str(rows.width))
        .mark_rect(fill=WASH, stroke=None)
        .encode(x=rows.x("x0"), x2=alt.X2("x1"), y=rows.y("y0"), y2=alt.Y2("y1"))
    )


def _lines(lines: pl.DataFrame, layout: ForestLayout) -> alt.Chart:
    _, _, tall, drop = layout.line
    rows = layout.rows
    return (
        frame_chart(lines)
        .transform_calculate(
            x=layout.week("w"),
            y=f"{rows.at(drop + tall)} - datum.u * {tall / 1000}",
            colour=f"{list(LINE_COLOURS)}[datum.f]",
        )
        .mark_line(strokeWidth=1.4)
        .encode(
            x=rows.x("x"),
            y=rows.y("y"),
            stroke=alt.Stroke("colour:N", scale=None),
            detail=alt.Detail("s:N"),
        )
    )


def _years(years: pl.DataFrame, layout: ForestLayout) -> list[alt.Chart]:
    rows = layout.rows
    base = frame_chart(years).transform_calculate(
        x=layout.week("w"), y0=str(rows.top - 6), y1=str(rows.foot), yt=str(rows.foot + 14)
    )
    lines = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=rows.x("x"), y=rows.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=rows.x("x"), y=rows.y("yt"), text=alt.Text("label:N"))
    return [lines, *lay_text(named, fill=INK2, fontSize=NOTE)]


def _names(frame: pl.DataFrame, layout: ForestLayout) -> list[alt.Chart]:
    mark = {"fontSize": layout.name_size}
    drop, rows = layout.name_drop, layout.rows
    is_chosen = f"datum.e == toNumber({LIFT})"
    told = f"datum.k < {REFUSED} && !({is_chosen})"
    refused = f"datum.k == {REFUSED} && !({is_chosen})"
    return [
        *lay_words(frame, rows, "name", 4, drop, told, **mark),
        *lay_words(frame, rows, "name", 4, drop, refused, fill=INK3, **mark),
        *lay_words(frame, rows, "name", 4, drop, is_chosen, fontWeight=600, **mark),
    ]


def _numbers(frame: pl.DataFrame, layout: ForestLayout) -> list[alt.Chart]:
    rows, drop = layout.rows, layout.name_drop
    if layout.columns is None:
        return lay_outcome(frame, rows, drop)
    told, refused = f"datum.k < {REFUSED}", f"datum.k == {REFUSED}"
    italic = {"fill": INK3, "fontStyle": "italic"}
    number, weeks, level = layout.columns
    right = {"align": "right", "fontSize": ROW_NAME, "fill": INK2}
    return [
        *lay_words(frame, rows, "number", number, drop, told, align="right", fontWeight=600),
        *lay_words(frame, rows, "interval", number + 8, drop, told, fill=INK2),
        *lay_words(frame, rows, "reason", number - 30, drop, refused, **italic),
        *lay_words(frame, rows, "weeks", weeks, drop, told, **right),
        *lay_words(frame, rows, "level", level, drop, "", **right),
    ]


def _heads(layout: ForestLayout, text: ForestWords) -> list[alt.Chart]:
    rows, y = layout.rows, layout.rows.top - 16
    layers = lay_note(rows, layout.line[0], y, text.line, "left")
    if layout.columns is not None:
        number, weeks, level = layout.columns
        layers += lay_note(rows, number - 30, y, text.number, "left")
        layers += lay_note(rows, weeks, y, text.weeks, "right")
        layers += lay_note(rows, level, y, text.level, "right")
    return layers
