"""Weeks that a strip has no room for are cut with a notch, and the legend says so only then."""

import re
from dataclasses import replace

import altair as alt
import polars as pl
import pytest

from dashboards.charts.core import CoreFrames, CoreLayout, draw_core
from dashboards.charts.lanes import Lanes
from dashboards.charts.strips import HIGHEST_ROWS, StripLayout, lay_beds
from dashboards.prepare.events import event_frames
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.record import overview_layout
from dashboards.prepare.record_pictures import strip_keys
from dashboards.prepare.strips import StripFrames, strip_frames
from dashboards.theme.chart import draw_still, specification, stack_layers
from pipeline.core.page_book import PageBook


@pytest.fixture(scope="module")
def strips(book: PageBook) -> StripFrames:
    """Strips of aspen, none of whose weeks is higher than its row."""
    made = strip_frames(book, book.lifters[0])
    assert made is not None
    low = {name: getattr(made, name).with_columns(v=60) for name in ("weeks", "bins")}
    return replace(made, **low)


@pytest.fixture(scope="module")
def lanes(book: PageBook, strips: StripFrames) -> Lanes:
    """Events of aspen."""
    return event_frames(book, "aspen", strips.first, strips.count, strips.muscles)


def with_one_high(steps: pl.DataFrame, sets: float) -> pl.DataFrame:
    """One step of the first muscle in the middle of its segment is this high."""
    first = steps.filter((pl.col("m") == 0) & (pl.col("c") == 0))["w"].sort()
    is_it = (pl.col("m") == 0) & (pl.col("w") == first[len(first) // 2]) & (pl.col("c") == 0)
    return steps.with_columns(v=pl.when(is_it).then(round(10 * sets)).otherwise("v"))


@pytest.mark.parametrize(("sets", "is_cut"), [(0.99, False), (1.01, True), (3.0, True)])
def test_the_legend_tells_of_notches_only_where_a_week_is_cut(
    strips: StripFrames, lanes: Lanes, sets: float, is_cut: bool
) -> None:
    highest = HIGHEST_ROWS * overview_layout(strips, has_weight=False).row_sets
    weeks = with_one_high(strips.weeks, sets * highest)
    keys = strip_keys(strips, lanes, 10, 20.0, weeks)
    told = [key.text for key in keys if key.mark == "notch"]
    assert len(told) == is_cut
    assert all(f"{highest:.1f}" in text for text in told)


@pytest.mark.parametrize(("sets", "notches"), [(0.99, 0), (1.01, 1)])
def test_a_cut_step_has_a_notch_and_no_other_has(
    strips: StripFrames, lanes: Lanes, sets: float, notches: int
) -> None:
    layout = overview_layout(strips, has_weight=False)
    high = with_one_high(strips.bins, sets * HIGHEST_ROWS * layout.row_sets)
    assert paper_paths(level(high, layout)) == notches
    assert paper_paths(upright(high, strips, lanes)) == notches + lanes.cuts.height


def level(steps: pl.DataFrame, layout: StripLayout) -> alt.LayerChart:
    """The beds of a wide page, and nothing else."""
    size = (layout.plot, layout.height)
    return stack_layers(lay_beds(steps, layout), size, layout.left, layout.right)


def upright(steps: pl.DataFrame, strips: StripFrames, lanes: Lanes) -> alt.LayerChart:
    """The core of a phone; each of its layoffs is a band of paper as well."""
    shape = overview_layout(strips, has_weight=False)
    core = CoreLayout(strips.count, strips.muscles.height, shape.families, shape.row_sets)
    names = strips.muscles.select("m", "f", "name")
    known = replace(lanes, unlogged=lanes.unlogged.clear())
    return draw_core(CoreFrames(steps, names, known, year_marks(strips.first, strips.count)), core)


def paper_paths(chart: alt.LayerChart) -> int:
    """Shapes filled with paper in the drawing."""
    drawn = str(draw_still(specification(chart)))
    return len(re.findall(r'<path[^>]*fill="var\(--paper\)"[^>]*>', drawn))
