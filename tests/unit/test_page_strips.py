"""Beds of a family are one path: what leads from one to the next covers nothing, in any window."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import polars as pl
import pytest
import vl_convert

from dashboards.charts.strips import StripLayout, lay_beds
from dashboards.prepare.runs import part_runs, step_runs
from dashboards.theme.chart import VEGA_LITE, specification, stack_layers

PLOT, SETS = 100, 6.0
# Two runs with a gap of three weeks, of two muscles of one family and one of the next.
WEEKS = [*range(6), *range(9, 14)]
MUSCLES = {0: 0, 1: 0, 2: 1}
LAYOUT = StripLayout(
    left=0,
    plot=PLOT,
    right=0,
    row=20,
    gap=6,
    top=10,
    below=0,
    rows=3,
    families=2,
    first="0",
    end="14",
    row_sets=10.0,
)
WINDOWS = [(0, 14), (2, 12), (2, 4), (3, 9), (7, 14), (5, 7)]


def items_of(mark: dict[str, Any], kind: str) -> Iterator[list[dict[str, Any]]]:
    """Items of every mark of a kind, by mark, in a scene graph."""
    if mark.get("marktype") == kind and mark["items"]:
        yield mark["items"]
    for item in mark.get("items", ()):
        for inner in item.get("items", ()):
            yield from items_of(inner, kind)


def drawn(window: tuple[int, int], kind: str) -> list[list[dict[str, Any]]]:
    """Areas or lines of the beds in a window of weeks: points from the left, path by path."""
    rows = [
        {"m": m, "f": f, "w": w, "v": 10 * SETS, "lo": 40, "hi": 50}
        for m, f in MUSCLES.items()
        for w in WEEKS
    ]
    steps = part_runs(step_runs(pl.DataFrame(rows), by="m"), by="m")
    layout = replace(LAYOUT, first=str(window[0]), end=str(window[1]))
    chart = stack_layers(lay_beds(steps, layout), (PLOT, layout.height))
    graph = vl_convert.vegalite_to_scenegraph(specification(chart), vl_version=VEGA_LITE)
    return list(items_of(graph["scenegraph"], kind))


@pytest.mark.parametrize("window", WINDOWS)
def test_a_bed_has_no_height_where_its_run_or_the_window_ends(window: tuple[int, int]) -> None:
    px = PLOT / (window[1] - window[0])
    ends = {min(6, window[1]), min(14, window[1])}
    seen = 0
    for path in drawn(window, "area"):
        for point, after in zip(path, [*path[1:], None], strict=True):
            week = round(window[0] + point.get("x", 0.0) / px)
            high = abs(point.get("height", 0.0))
            is_last = after is None or after.get("x", 0.0) < point.get("x", 0.0)
            assert not is_last or high == 0, (week, point)
            assert (high == 0) >= (week in ends), (week, point)
            seen += high > 0
    assert (seen > 0) == any(window[0] <= week < window[1] for week in WEEKS)


@pytest.mark.parametrize("window", WINDOWS)
def test_no_line_is_drawn_through_a_gap(window: tuple[int, int]) -> None:
    px = PLOT / (window[1] - window[0])
    for path in drawn(window, "line"):
        for point, after in pairwise(path):
            if point.get("defined", True) and after.get("defined", True):
                weeks = [round(window[0] + one.get("x", 0.0) / px) for one in (point, after)]
                assert weeks[1] <= 6 or weeks[0] >= 9, weeks
