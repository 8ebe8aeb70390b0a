"""A proposal: each muscle's range, weekly sets of now and an arrow to those proposed."""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboards.charts.axes import frame_chart
from dashboards.charts.plot import Plot, lay_hairlines, lay_note, lay_places
from dashboards.charts.ranges import lay_lozenges, row_at
from dashboards.theme.chart import lay_text
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, RULE, rock

SERIF = 'Charter, "Iowan Old Style", Georgia, "Liberation Serif", serif'
BAR = 10
# An arrow's head with its tip at the place it stands for, in the unit square of the library.
HEADS = {"right": "M0,0L-1.5,0.8L-1.5,-0.8Z", "left": "M0,0L1.5,0.8L1.5,-0.8Z"}
# A proposed move is a choice and no verdict: which way it goes is told by its arrow, in ink.
MOVED, HELD = "datum.role != 'hold'", "datum.role == 'hold'"


@dataclass(frozen=True)
class ProposalFrames:
    """One row a muscle: i (place from the top), g (groups begun before it), w (lines that the
    reasons before it need beyond one each), role, name, f (family), numbers lo, hi, now, next,
    flags published, open (the range goes on past the picture), moves, texts was, to, expected,
    because, support, short (beside a name on a phone).

    ``reasons``: i, g, w of the muscle, k (which line of its reason), label, as a phone writes them.
    ``groups``: i, g, w of each group's first row, label. ``places``: v, label; ``end``: last value.
    """

    rows: pl.DataFrame
    reasons: pl.DataFrame
    groups: pl.DataFrame
    places: pl.DataFrame
    end: float


@dataclass(frozen=True)
class ProposalLayout:
    """Height of a row and of the gap between groups, where the mark and the name lie in a row, px;
    text columns: field, px from the plot's left, align, head.

    line : height of a line of the reasons under the marks, px; 0 where a column tells them.
    """

    left: int
    width: int
    right: int
    top: int
    row: int
    gap: int
    mark: float
    name: float
    columns: tuple[tuple[str, float, str, str], ...]
    has_groups: bool
    line: int = 0

    def plot(self, frames: ProposalFrames) -> Plot:
        """The plot of so many rows and groups."""
        gaps = max(frames.groups.height - 1, 0)
        more = frames.reasons.height - frames.rows.height
        height = self.row * frames.rows.height + self.gap * gaps + self.line * more
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

    def at(self, below: float) -> str:
        """The px ``below`` the top of a row, as an expression."""
        rows = f"datum.i * {self.row} + datum.g * {self.gap} + datum.w * {self.line}"
        return f"{self.top} + {rows} + {below}"


def draw_proposal(frames: ProposalFrames, layout: ProposalLayout) -> alt.LayerChart:
    """The picture of one proposal."""
    plot = layout.plot(frames)
    tones, edges = ([rock(one, tier) for one in FAMILIES] for tier in ("below", "above"))
    rows = frame_chart(frames.rows).transform_calculate(
        row=layout.at(layout.mark),
        base=layout.at(layout.name),
        y0=layout.at(layout.mark - BAR / 2),
        y1=layout.at(layout.mark + BAR / 2),
        tone=f"{tones}[datum.f]",
        edge=f"{edges}[datum.f]",
        colour=f"{HELD} ? '{INK2}' : '{INK}'",
    )
    layers = [
        *lay_hairlines(frames.places, plot),
        *_groups(frames.groups, plot, layout),
        *_ranges(rows.transform_filter("datum.published == 0"), plot),
        *lay_lozenges(
            rows.transform_filter("datum.published == 1"), plot, row_at("row", plot), dashed=True
        ),
        *_arrows(rows.transform_filter("datum.moves == 1"), plot),
        *_now(rows, plot),
        *_names(rows, plot),
        *(layer for column in layout.columns for layer in _column(rows, plot, column)),
        *(_reasons(frames.reasons, plot, layout) if layout.line else ()),
        *lay_places(frames.places, plot),
    ]
    return plot.stack(layers)


def _groups(groups: pl.DataFrame, plot: Plot, layout: ProposalLayout) -> list[alt.Chart]:
    """A hairline over each group and, where there is room, its name."""
    base = frame_chart(groups).transform_calculate(
        line=layout.at(-layout.gap / 2), base=layout.at(layout.name)
    )
    across = {"x": alt.XValue(-plot.left), "x2": alt.X2Value(plot.width + plot.right)}
    line = base.mark_rule(stroke=RULE, strokeWidth=0.8).encode(y=row_at("line", plot), **across)
    if not layout.has_groups:
        return [line]
    named = base.encode(x=alt.XValue(-plot.left), y=row_at("base", plot), text=alt.Text("label:N"))
    mark: dict[str, Any] = {"font": SERIF, "fontSize": 14, "fontWeight": 600}
    return [line, *lay_text(named, align="left", baseline="middle", **mark)]


def _ranges(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    """The range as a pale bar with its outline; without an end where it goes on."""
    fill, stroke = alt.Fill("tone:N", scale=None), alt.Stroke("edge:N", scale=None)
    high = alt.Y2("y1")
    bar = rows.mark_rect(opacity=1).encode(
        x=plot.x("lo"), x2=alt.X2("hi"), y=row_at("y0", plot), y2=high, fill=fill
    )
    flat = [
        rows.mark_rule(strokeWidth=0.8).encode(
            x=plot.x("lo"), x2=alt.X2("hi"), y=row_at(side, plot), stroke=stroke
        )
        for side in ("y0", "y1")
    ]
    ends = [
        chart.mark_rule(strokeWidth=0.8).encode(
            x=plot.x(side), y=row_at("y0", plot), y2=high, stroke=stroke
        )
        for side, chart in (("lo", rows), ("hi", rows.transform_filter("datum.open == 0")))
    ]
    return [bar, *flat, *ends]


def _arrows(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    stroke, fill = alt.Stroke("colour:N", scale=None), alt.Fill("colour:N", scale=None)
    made = [
        rows.mark_rule(strokeWidth=2.2).encode(
            x=plot.x("now"), x2=alt.X2("next"), y=row_at("row", plot), stroke=stroke
        )
    ]
    for side, keep in (("right", "datum.next > datum.now"), ("left", "datum.next < datum.now")):
        head = rows.transform_filter(keep).mark_point(
            shape=HEADS[side], size=90, opacity=1, strokeWidth=0
        )
        made.append(head.encode(x=plot.x("next"), y=row_at("row", plot), fill=fill))
    return made


def _now(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    tick = rows.transform_calculate(t0="datum.row - 7", t1="datum.row + 7")
    rule = tick.mark_rule(stroke=INK, strokeWidth=2.4)
    return [rule.encode(x=plot.x("now"), y=row_at("t0", plot), y2=alt.Y2("t1"))]


def _names(rows: alt.Chart, plot: Plot) -> list[alt.Chart]:
    is_row_name = plot.left > 20
    named = rows.encode(
        x=alt.XValue(-12 if is_row_name else 0),
        y=row_at("base", plot),
        text=alt.Text("name:N"),
    )
    align = "right" if is_row_name else "left"
    return lay_text(named, align=align, baseline="middle", fontSize=12)


def _reasons(reasons: pl.DataFrame, plot: Plot, layout: ProposalLayout) -> list[alt.Chart]:
    """Why each line stands there, in italics under its mark."""
    first = layout.mark + BAR / 2 + 10
    named = (
        frame_chart(reasons)
        .transform_calculate(base=f"{layout.at(first)} + datum.k * {layout.line}")
        .encode(x=alt.XValue(0), y=row_at("base", plot), text=alt.Text("label:N"))
    )
    return lay_text(named, align="left", baseline="middle", fill=INK2, fontStyle="italic")


def _column(rows: alt.Chart, plot: Plot, column: tuple[str, float, str, str]) -> list[alt.Chart]:
    """One column of words under its head; what is proposed is bold."""
    field, x, align, head = column
    made: list[alt.Chart] = []
    text = alt.Text(f"{field}:N")
    mark: dict[str, Any] = {"align": align, "baseline": "middle"}
    kinds: dict[str, dict[str, Any]] = {"true": {"fill": INK2, "fontSize": 11}}
    if field == "support":
        refused = {"fill": INK3, "fontSize": 11, "fontStyle": "italic"}
        kinds = {"datum.refused == 0": kinds["true"], "datum.refused == 1": refused}
    if field in ("to", "short"):
        kinds = {
            MOVED: {"fill": INK, "fontWeight": 600},
            HELD: {"fill": INK, "fontWeight": 600}
            if field == "to"
            else {"fill": INK2, "fontWeight": 400},
        }
        mark["fontSize"] = 12 if field == "to" else 11
    for keep, style in kinds.items():
        named = rows.transform_filter(keep).encode(
            x=alt.XValue(x), y=row_at("base", plot), text=text
        )
        made += lay_text(named, **mark, **style)
    if head:
        made += lay_note(head, x, plot.top - 16, plot, align=align)
    return made
