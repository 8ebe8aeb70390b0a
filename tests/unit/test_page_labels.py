"""Names over bars: at an edge of the picture they move inward, they never touch each other."""

import polars as pl

from dashboards.charts.axes import text_width
from dashboards.prepare.labels import place_labels

WIDTH = 400.0


def place(*bars: tuple[float, float, str], beside: bool = False) -> list[tuple]:
    events = pl.DataFrame(bars, schema=["w0", "w1", "label"], orient="row")
    return place_labels(events, 1.0, WIDTH, beside=beside).rows()


def test_a_name_at_an_edge_is_moved_inward() -> None:
    assert place((0.0, 4.0, "elbow")) == [(0.0, "elbow", "left")]
    assert place((390.0, 400.0, "elbow")) == [(WIDTH, "elbow", "right")]
    assert place((100.0, 120.0, "elbow")) == [(110.0, "elbow", "center")]


def test_a_name_that_would_touch_the_one_before_is_left_out() -> None:
    long = text_width("shoulder", 11)
    near = 110.0 + long
    assert len(place((100.0, 120.0, "shoulder"), (near, near + 2, "shoulder"))) == 1
    assert len(place((380.0, 390.0, "shoulder"), (391.0, 400.0, "shoulder"))) == 1


def test_beside_its_bar_a_name_stands_left_of_one_that_ends_at_the_edge() -> None:
    assert place((380.0, 400.0, "elbow"), beside=True) == [(376.0, "elbow", "right")]
