"""Every lifter as one bed: weekly sets of the chosen muscle by training age, oldest on top."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart, look_up
from dashboards.charts.matrix import MUSCLE
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK, INK2, RULE, rock

TOP, FOOT = 8, 34
# From this height of a row on, beds carry names and rise with the sets.
NAMED_ROW = 11
# An outline would be most of a lower bed.
EDGED_ROW = 20
# A quarter without a range keeps one flat tone, under a dotted edge where beds have edges.
TONES = ("below", "within", "above", "within")
# Signals that follow the muscle: its two columns, its highest quarter, its family's first tone.
SETS, TONE, MOST, FIRST_TONE = "sets_column", "tone_column", "most_sets", "first_tone"


@dataclass(frozen=True)
class BedsLayout:
    """Sizes in px; first and last quarter on the axis; type of notes."""

    left: int
    plot: int
    right: int
    row: float
    rows: int
    first: int
    last: int
    note: int

    @property
    def height(self) -> float:
        return TOP + self.rows * self.row + FOOT

    def x(self, field: str) -> alt.X:
        return at_x(field, [self.first, self.last])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    @property
    def foot(self) -> str:
        return f"{TOP} + (datum.r + 1) * {self.row}"


@dataclass(frozen=True)
class BedsFrames:
    """beds : r (row), q (quarter of training age) and, for each muscle, sets_<id> (null where it
    was not trained) and tone_<id> (place in ``TONES``). lifters : r, name. ages : q, label.
    muscles : muscle_id, f (family), most (sets of its highest quarter).

    Muscles stand side by side so that another one changes marks and makes none: making 2,500 anew
    took twice the time.
    """

    beds: pl.DataFrame
    lifters: pl.DataFrame
    ages: pl.DataFrame
    muscles: pl.DataFrame


def draw_beds(frames: BedsFrames, layout: BedsLayout, axis: str, muscle: str) -> alt.LayerChart:
    """Beds of all drawn lifters; ``axis`` names the ages at the foot."""
    layers = [*_ages(frames.ages, layout, axis), *_beds(frames, layout)]
    if layout.row >= NAMED_ROW:
        base = frame_chart(frames.lifters).transform_calculate(y=f"{layout.foot} - 3")
        named = base.encode(x=alt.XValue(-8), y=layout.y("y"), text=alt.Text("name:N"))
        layers += lay_text(
            named, align="right", baseline="alphabetic", fill=INK, fontSize=layout.note
        )
    layers[0] = layers[0].add_params(*_params(frames.muscles, muscle))
    return stack_layers(layers, (layout.plot, layout.height), layout.left, layout.right)


def _ages(ages: pl.DataFrame, layout: BedsLayout, axis: str) -> list[alt.Chart]:
    foot = layout.height - FOOT
    base = frame_chart(ages).transform_calculate(y0=str(TOP), y1=str(foot), yt=str(foot + 12))
    line = base.mark_rule(stroke=RULE, strokeWidth=0.6).encode(
        x=layout.x("q"), y=layout.y("y0"), y2=alt.Y2("y1")
    )
    named = base.encode(x=layout.x("q"), y=layout.y("yt"), text=alt.Text("label:N"))
    title = frame_chart(pl.DataFrame({"y": [foot + 27.0], "label": [axis]})).encode(
        x=alt.XValue(layout.plot), y=layout.y("y"), text=alt.Text("label:N")
    )
    return [
        line,
        *lay_text(named, fill=INK2, baseline="middle", fontSize=layout.note),
        *lay_text(title, fill=INK2, baseline="middle", align="right", fontSize=layout.note),
    ]


def _params(muscles: pl.DataFrame, muscle: str) -> list[alt.Parameter]:
    """What depends on the muscle alone is worked out once a change, not once a mark."""
    most = {one: max(1, sets) for one, sets in muscles.select("muscle_id", "most").iter_rows()}
    families = dict(muscles.select("muscle_id", "f").iter_rows())
    return [
        alt.param(name=MUSCLE, value=muscle),
        alt.param(name=SETS, expr=f"'sets_' + {MUSCLE}"),
        alt.param(name=TONE, expr=f"'tone_' + {MUSCLE}"),
        alt.param(name=MOST, expr=f"{most}[{MUSCLE}]"),
        alt.param(name=FIRST_TONE, expr=f"{families}[{MUSCLE}] * {len(TONES)}"),
    ]


def _beds(frames: BedsFrames, layout: BedsLayout) -> list[alt.Chart]:
    """Quarters as blocks, higher with more sets, in the tone of the range's word."""
    tones = [rock(family, tone) for family in FAMILIES for tone in TONES]
    edges = [rock(family, "above") for family in FAMILIES for _ in TONES]
    base = (
        frame_chart(frames.beds)
        .transform_calculate(end="datum.q + 1", y0=layout.foot, v=f"datum[{SETS}]")
        .transform_filter("isValid(datum.v)")
        .transform_calculate(
            y1=f"datum.y0 - max(1, {0.92 * layout.row} * datum.v / {MOST})",
            tone=f"{FIRST_TONE} + datum[{TONE}]",
        )
    )
    block = base.mark_rect(stroke=None).encode(
        x=layout.x("q"),
        x2=alt.X2("end"),
        y=layout.y("y0"),
        y2=alt.Y2("y1"),
        fill=alt.Fill("tone:N", scale=look_up(tones)),
    )
    if layout.row < EDGED_ROW:
        return [block]
    top = base.encode(
        x=layout.x("q"),
        x2=alt.X2("end"),
        y=layout.y("y1"),
        stroke=alt.Stroke("tone:N", scale=look_up(edges)),
    )
    is_known = f"datum.tone % {len(TONES)} != {len(TONES) - 1}"
    return [
        block,
        top.transform_filter(is_known).mark_rule(strokeWidth=0.8),
        top.transform_filter(f"!({is_known})").mark_rule(strokeWidth=1.2, strokeDash=[1.2, 2]),
    ]
