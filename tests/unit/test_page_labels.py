"""Names over bars: they move aside from edges and neighbours, or are left out."""

import polars as pl

from dashboards.prepare.labels import place_labels

WIDTH = 400.0


def place(*bars: tuple[float, float, str], beside: bool = False) -> list[tuple]:
    events = pl.DataFrame(bars, schema=["w0", "w1", "label"], orient="row")
    return place_labels(events, 1.0, WIDTH, beside=beside).rows()


def test_a_name_at_an_edge_is_moved_inward() -> None:
    assert place((0.0, 4.0, "elbow")) == [(0.0, "elbow", "left")]
    assert place((390.0, 400.0, "elbow")) == [(WIDTH, "elbow", "right")]
    assert place((100.0, 120.0, "elbow")) == [(110.0, "elbow", "center")]


def test_a_name_stands_over_its_own_bar_only() -> None:
    assert place((200.0, 210.0, "shoulder"), (220.0, 230.0, "shoulder")) == [
        (210.0, "shoulder", "right"),
        (220.0, "shoulder", "left"),
    ]


def test_several_names_without_room_become_the_first_and_how_many_more() -> None:
    assert place((100.0, 110.0, "calves + quads")) == [(105.0, "calves + quads", "center")]
    assert place((0.0, 10.0, "calves + quads"), (75.0, 85.0, "abs")) == [
        (0.0, "calves + 1", "left"),
        (80.0, "abs", "center"),
    ]


def test_a_name_without_room_is_left_out() -> None:
    assert len(place((380.0, 390.0, "shoulder"), (391.0, 400.0, "shoulder"))) == 1
    bars = ((100.0, 104.0, "shoulder"), (106.0, 110.0, "shoulder"), (112.0, 116.0, "shoulder"))
    assert [(at, align) for at, _, align in place(*bars)] == [(104.0, "right"), (112.0, "left")]


def test_beside_its_bar_a_name_stands_left_of_one_that_ends_at_the_edge() -> None:
    assert place((380.0, 400.0, "elbow"), beside=True) == [(376.0, "elbow", "right")]
