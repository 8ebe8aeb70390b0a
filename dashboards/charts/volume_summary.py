"""All muscles in one picture: the range now, the last 26 weeks, the published range."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_hairlines, lay_note, lay_places
from dashboards.charts.ranges import lay_lozenges, lay_ranges, row_at
from dashboards.charts.volume_response import CHOSEN, MUSCLE
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, WASH, rock

BAR = 9


@dataclass(frozen=True)
class SummaryFrames:
    """One row a muscle: muscle, name, i (place from the top), f (family), numbers lo, hi, open,
    elo, ehi, seen, mean, plo, phi, texts range, recent, support, blocks, reads, short (the phone's
    one text), reason (of a refusal), and flags
    same (no better than published), bold, refused. ``places``: v, label; ``end``: last value.
    """

    rows: pl.DataFrame
    places: pl.DataFrame
    end: float


@dataclass(frozen=True)
class SummaryLayout:
    """Top of the first row and height of a row, where the mark lies in it, px; text columns.

    ``columns``: field, px from the plot's left, align, head. ``reason``: the same of what stands
    there instead where a row is refused.
    """

    left: int
    width: int
    right: int
    top: int
    row: int
    mark: float
    name: float
    columns: tuple[tuple[str, float, str, str], ...]
    reason: tuple[str, float, str]

    def plot(self, frames: SummaryFrames) -> Plot:
        """The plot of so many rows."""
        height = self.row * frames.rows.height
        return Plot(
            self.width,
            height,
            (0.0, frames.end),
            (0.0, 1.0),
            left=self.left,
            right=self.right,
            top=self.top,
            bottom=26,
        )


def draw_summary(frames: SummaryFrames, layout: SummaryLayout, opening: str) -> alt.LayerChart:
    """The picture; the row of the chosen muscle stands on a wash."""
    plot = layout.plot(frames)
    base = frame_chart(frames.rows).transform_calculate(
        row=f"{layout.top} + datum.i * {layout.row} + {layout.mark}",
        base=f"{layout.top} + datum.i * {layout.row} + {layout.name}",
        above=f"{layout.top} + datum.i * {layout.row}",
        below=f"{layout.top} + (datum.i + 1) * {layout.row}",
        tone=f"datum.same ? {_tones('below')} : {_tones('within')}",
        edge=_tones("above"),
    )
    answered = base.transform_filter("datum.refused == 0")
    layers = [
        _wash(base, plot),
        *lay_hairlines(frames.places, plot),
        *lay_ranges(answered, plot, BAR, frames.end),
        *_published(answered, plot),
        *_refused(base, plot),
        *_recent(base, plot),
        *_names(base, plot),
        *(layer for column in layout.columns for layer in _column(answered, plot, column)),
        *_reason(base, plot, layout.reason),
        *lay_places(frames.places, plot),
    ]
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=opening))
    return plot.stack(layers)


def _tones(tier: str) -> str:
    return f"{[rock(family, tier) for family in FAMILIES]}[datum.f]"


def _wash(base: alt.Chart, plot: Plot) -> alt.Chart:
    return (
        base.transform_filter(CHOSEN)
        .mark_rect(fill=WASH)
        .encode(
            x=alt.XValue(-plot.left),
            x2=alt.X2Value(plot.width + plot.right),
            y=row_at("above", plot),
            y2=alt.Y2("below"),
        )
    )


def _published(answered: alt.Chart, plot: Plot) -> list[alt.Chart]:
    known = answered.transform_filter("isValid(datum.plo)")
    rows = known.transform_calculate(lo="datum.plo", hi="datum.phi")
    return lay_lozenges(rows, plot, row_at("row", plot), dashed=False)


def _refused(base: alt.Chart, plot: Plot) -> list[alt.Chart]:
    dotted = base.transform_filter("datum.refused == 1").mark_rule(
        stroke=INK3, strokeWidth=1.2, strokeDash=[1, 4]
    )
    x = {"x": alt.XValue(plot.width * 0.04), "x2": alt.X2Value(plot.width * 0.96)}
    return [dotted.encode(y=row_at("row", plot), **x)]


def _recent(base: alt.Chart, plot: Plot) -> list[alt.Chart]:
    """The ink tick of the last 26 weeks; a count, so it stands also where the range is refused."""
    tick = base.transform_filter("isValid(datum.mean)").transform_calculate(
        t0="datum.row - 7.5", t1="datum.row + 7.5"
    )
    rule = tick.mark_rule(stroke=INK, strokeWidth=2.4)
    return [rule.encode(x=plot.x("mean"), y=row_at("t0", plot), y2=alt.Y2("t1"))]


def _names(base: alt.Chart, plot: Plot) -> list[alt.Chart]:
    is_row_name = plot.left > 20
    at = alt.XValue(-8 if is_row_name else 0)
    mark: dict[str, Any] = {
        "align": "right" if is_row_name else "left",
        "baseline": "middle",
        "fontSize": 12,
    }
    made: list[alt.Chart] = []
    for keep, fill, weight in (
        ("datum.refused == 0 && !chosen", INK, 400),
        ("datum.refused == 1 && !chosen", INK3, 400),
        ("chosen", INK, 600),
    ):
        rows = base.transform_filter(keep.replace("chosen", f"({CHOSEN})"))
        named = rows.encode(x=at, y=row_at("base", plot), text=alt.Text("name:N"))
        made += lay_text(named, fill=fill, fontWeight=weight, **mark)
    return made


def _column(
    answered: alt.Chart, plot: Plot, column: tuple[str, float, str, str]
) -> list[alt.Chart]:
    """One column of words under its head, bold where the row says so."""
    field, x, align, head = column
    mark: dict[str, Any] = {
        "align": align,
        "baseline": "middle",
        "fontSize": 12 if plot.left > 20 else 11,
    }
    is_bold = "true" if field == "range" else "datum.bold == 1" if field == "reads" else "false"
    plain = {"fill": INK if field == "recent" else INK2}
    made: list[alt.Chart] = []
    for keep, style in ((is_bold, {"fill": INK, "fontWeight": 600}), (f"!({is_bold})", plain)):
        rows = answered.transform_filter(keep)
        named = rows.encode(x=alt.XValue(x), y=row_at("base", plot), text=alt.Text(f"{field}:N"))
        made += lay_text(named, **mark, **style)
    if head:
        made += lay_note(head, x, plot.top - 14, plot, align=align)
    return made


def _reason(base: alt.Chart, plot: Plot, place: tuple[str, float, str]) -> list[alt.Chart]:
    """In place of the columns, in italics, why a row is refused."""
    field, x, align = place
    rows = base.transform_filter("datum.refused == 1")
    named = rows.encode(x=alt.XValue(x), y=row_at("base", plot), text=alt.Text(f"{field}:N"))
    mark: dict[str, Any] = {
        "align": align,
        "baseline": "middle",
        "fontSize": 12 if plot.left > 20 else 11,
    }
    return lay_text(named, fill=INK3, fontStyle="italic", **mark)
