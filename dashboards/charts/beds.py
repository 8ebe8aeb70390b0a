"""Every lifter as one bed: weekly sets of the chosen muscle by training age, oldest on top."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.charts.matrix import MUSCLE
from dashboards.theme.chart import lay_text, stack_layers
from dashboards.theme.colours import FAMILIES, INK, INK2, RULE, rock

TOP, FOOT = 8, 34
# From this height of a row on, beds carry names and rise with the sets.
NAMED_ROW = 11
# A quarter without a range keeps one flat tone.
TONES = ("below", "within", "above", "within")


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
    """beds : m, r (row), q (quarter of training age), v (sets), t (tone). lifters : r, name.
    ages : q, label. muscles : m, f, muscle_id.
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
    layers[0] = layers[0].add_params(alt.param(name=MUSCLE, value=muscle))
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


def _beds(frames: BedsFrames, layout: BedsLayout) -> list[alt.Chart]:
    """Quarters as blocks, higher with more sets, in the tone of the range's word."""
    fields = ["f", "muscle_id"]
    tones = [[rock(family, tone) for tone in TONES] for family in FAMILIES]
    edges = [rock(family, "above") for family in FAMILIES]
    tall = f"{0.92 * layout.row} * datum.v / max(1, datum.most)"
    base = (
        frame_chart(frames.beds)
        .transform_lookup(
            lookup="m", from_=alt.LookupData(data=frames.muscles, key="m", fields=fields)
        )
        .transform_filter(f"datum.muscle_id == {MUSCLE}")
        .transform_joinaggregate(most="max(v)")
        .transform_calculate(
            end="datum.q + 1",
            y0=layout.foot,
            y1=f"{layout.foot} - max(1, {tall})",
            tone=f"{tones}[datum.f][datum.t]",
            edge=f"{edges}[datum.f]",
        )
    )
    block = base.mark_rect(stroke=None).encode(
        x=layout.x("q"),
        x2=alt.X2("end"),
        y=layout.y("y0"),
        y2=alt.Y2("y1"),
        fill=alt.Fill("tone:N", scale=None),
    )
    if layout.row < NAMED_ROW:  # an outline would be most of so low a bed
        return [block]
    top = base.mark_rule(strokeWidth=0.8).encode(
        x=layout.x("q"), x2=alt.X2("end"), y=layout.y("y1"), stroke=alt.Stroke("edge:N", scale=None)
    )
    return [block, top]
