"""Sizes and frames of one lift over the whole record."""

from dataclasses import dataclass

import altair as alt
import polars as pl

from dashboards.charts.axes import at_x, at_y, frame_chart
from dashboards.charts.forest import LIFT


@dataclass(frozen=True)
class LiftLayout:
    """Sizes in px: left, plot and right; top and height of the scale; type of notes.

    ``now_right``: the level's number stands right of its line, else above the plot at its right.
    """

    left: int
    plot: int
    right: int
    top: int
    tall: int
    weeks: int
    note: int
    now_right: bool

    @property
    def foot(self) -> float:
        return self.top + self.tall

    @property
    def plateau(self) -> float:
        return self.foot + 14

    @property
    def comb(self) -> float:
        return self.foot + 54

    @property
    def height(self) -> float:
        return self.comb + 22

    def x(self, field: str) -> alt.X:
        return at_x(field, [0, self.weeks])

    def y(self, field: str) -> alt.Y:
        return at_y(field, self.height)

    def up(self, field: str) -> str:
        """Expression for the height of a share (0 to 1000) of the scale."""
        return f"{self.foot} - datum.{field} * {self.tall / 1000}"


@dataclass(frozen=True)
class AroundFrames:
    """What is the same for every lift, in weeks: injury, layoffs : w0, w1, label. injury_names :
    w, label, align. lines : w, label. years : w, label.
    """

    injury: pl.DataFrame
    injury_names: pl.DataFrame
    layoffs: pl.DataFrame
    lines: pl.DataFrame
    years: pl.DataFrame


@dataclass(frozen=True)
class LiftFrames:
    """Frames of all lifts, filtered by the signal ``lift``; heights are 0 to 1000 of each scale.

    ``e`` is the lift. level : e, s (segment), c (1: the lift rested), w, u, h (half of the band).
    dots : e, w, u (best set of a week). sets : e, w, n (working sets). guides : e, u, label
    (values in the lifter's unit). rests : e, w, u, label (lifts done instead). plateaus : e, w0,
    w1. now : e, w, u, k (verdict), label, text, most (sets of the fullest week), comb (that in
    words).
    """

    level: pl.DataFrame
    dots: pl.DataFrame
    sets: pl.DataFrame
    guides: pl.DataFrame
    rests: pl.DataFrame
    plateaus: pl.DataFrame
    now: pl.DataFrame


def of_lift(frame: pl.DataFrame) -> alt.Chart:
    """Rows of the lift that the reader chose."""
    return frame_chart(frame).transform_filter(f"datum.e == toNumber({LIFT})")
