"""Lifters by muscles: the controls of the page The group and its first picture."""

from math import ceil, floor
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Controls, Key, Picture, Select, Table
from dashboards.charts.matrix import (
    LIFTER_ORDERS,
    MUSCLE,
    ORDER,
    RECENT,
    MatrixFrames,
    MatrixLayout,
    draw_matrix,
    draw_one_muscle,
    place_of,
)
from dashboards.charts.slopes import Rows, SlopeWords
from dashboards.numbers import signed
from dashboards.prepare.group import LONG_MEAN, SHORT_MEAN, GroupFrames
from dashboards.prepare.lift_pictures import shorten, slope_keys
from dashboards.prepare.slopes import (
    REFUSED,
    least_visible,
    say_refusal,
    say_slope,
    slope_axis,
)
from dashboards.theme.colours import rock

ORDERS = (*LIFTER_ORDERS, "sets", "change")
# Rows of many lifters stand closer.
MANY = 24
CELL_LOW, CELL_HIGH = -4.0, 8.0
NAME_ROOM = 138


def group_controls(frames: GroupFrames, muscle: str) -> Controls:
    """Muscle, span of the mean of weekly sets, and order of the lifters."""
    muscles = tuple(frames.muscles.select("muscle_id", "name").iter_rows())
    spans = tuple(
        (key, words.plain("group.recent", weeks=weeks))
        for key, weeks in (("short", SHORT_MEAN), ("long", LONG_MEAN))
    )
    orders = tuple((order, words.plain(f"group.order_{order}")) for order in ORDERS)
    return Controls(
        (
            Select(MUSCLE, words.plain("group.control_muscle"), muscles, muscle),
            Select(RECENT, words.plain("group.control_recent"), spans, "short"),
            Select(ORDER, words.plain("group.control_order"), orders, "age"),
        )
    )


def opening_muscle(frames: GroupFrames) -> str:
    """The muscle to begin with: the one with most slopes, then the first on the page."""
    counted = frames.answered.group_by("m").len().sort("len", "m", descending=[True, False])
    m = counted["m"][0] if counted.height else 0
    return frames.muscles["muscle_id"][m]


def matrix_picture(frames: GroupFrames, muscle: str, table: Table) -> Picture:
    """All lifters by all muscles; on a phone the chosen muscle of all lifters."""
    drawn = frames.drawn
    made = _matrix_frames(frames)
    row = 34 if drawn.height <= MANY else 30
    wide = Rows(1200, 34, row, drawn.height, 8, place_of(), row - 12)
    narrow = Rows(366, 34, 46, drawn.height, 24, place_of(), 30)
    most = max(10.0, *made.cells["long"].drop_nulls(), *made.cells["short"].drop_nulls())
    families = made.muscles["f"][-1]
    cell = (1200 - 148 - families * 8) // made.muscles.height
    low, high = _cell_ends(made.cells["est"])
    cells = MatrixLayout(
        wide,
        148,
        cell,
        8,
        most,
        low,
        high,
        bar=row - 28,
        slope=row - 12,
        edged=drawn.height <= MANY,
    )
    one = MatrixLayout(narrow, 4, 118, 0, most, low, high, bar=24, slope=30)
    axis = slope_axis(134, 228, made.cells)
    text = SlopeWords(words.plain("group.short_axis"), words.plain("lifts.head_small"))
    visible = least_visible(frames.answered)
    return Picture(
        name="matrix",
        title=words.plain("group.matrix_title"),
        caption=words.say("group.matrix_caption", low=_edge(low), high=_edge(high)),
        description=words.plain(
            "group.matrix_description",
            lifters=drawn.height,
            muscles=made.muscles.height,
            slopes=frames.answered.height,
        ),
        wide=draw_matrix(made, cells, muscle),
        narrow=draw_one_muscle(
            made, one, axis, visible, text, words.plain("group.head_sets"), muscle
        ),
        keys=(
            Key("swatch", words.plain("group.key_sets"), rock("pulling", "within")),
            *slope_keys(has_published=False, has_then=False),
        ),
        table=table,
        # A static copy of very many cells would be heavier than all else; the table has them all.
        is_main=drawn.height <= MANY,
        narrow_caption=words.say("group.matrix_narrow"),
    )


def _cell_ends(slopes: pl.Series) -> tuple[float, float]:
    """Ends of a cell, % a year: of few lifters they hold every estimate, of many all but 1 %."""
    low = slopes.quantile(0.01, interpolation="lower") or 0.0
    high = slopes.quantile(0.99, interpolation="higher") or 0.0
    return float(floor(min(CELL_LOW, low))), float(ceil(max(CELL_HIGH, high)))


def _edge(value: float) -> str:
    return signed(value, 0)


def _matrix_frames(frames: GroupFrames) -> MatrixFrames:
    drawn = frames.drawn
    cells = (
        frames.cells.filter(pl.col("i").is_in(drawn["i"].implode()))
        .join(frames.muscles.select("m", "f", "muscle_id"), on="m", suffix="_ref")
        .sort("m", "i")
    )
    texts = [_cell_words(row) for row in cells.iter_rows(named=True)]
    said = pl.DataFrame(texts, schema={"both": pl.String, "reason": pl.String})
    numbers = [pl.col(name).round(1) for name in ("short", "long", "est", "low", "high")]
    names = [shorten(label, "", NAME_ROOM) for label in drawn["label"]]
    lifters = drawn.select("i").with_columns(label=pl.Series(names, dtype=pl.String))
    return MatrixFrames(
        cells=pl.concat(
            [cells.select("i", "m", "f", "muscle_id", *numbers, k="verdict"), said],
            how="horizontal",
        ),
        lifters=lifters.select("i"),
        places=_places(frames, lifters),
        muscles=_column_names(frames.muscles),
    )


def _cell_words(row: dict[str, Any]) -> dict[str, str]:
    if row["verdict"] != REFUSED:
        return {"both": say_slope(row), "reason": ""}
    return {"both": "", "reason": refusal_of(row, is_short=True)}


def refusal_of(row: dict[str, Any], is_short: bool = False) -> str:
    """Why a cell has no slope: its own reason, or that the muscle was never trained directly."""
    if row["support_why"] is None:
        return words.plain("group.never_direct")
    return say_refusal(row, is_short)


def _column_names(muscles: pl.DataFrame) -> pl.DataFrame:
    """Names over narrow columns, in two lines where they are two words."""
    parts = pl.col("name").str.split(" ")
    return muscles.select(
        "m",
        "f",
        "muscle_id",
        line1=pl.when(parts.list.len() > 1).then(parts.list.first()).otherwise(pl.lit("")),
        line2=pl.when(parts.list.len() > 1)
        .then(parts.list.slice(1).list.join(" "))
        .otherwise(pl.col("name")),
    )


def _places(frames: GroupFrames, lifters: pl.DataFrame) -> pl.DataFrame:
    """Places of the rows in each order, and the names again for rows of one muscle."""
    made = lifters.with_columns(
        age=pl.int_range(pl.len()), name=(pl.col("label").str.to_lowercase().rank("ordinal") - 1)
    )
    cells = frames.cells.filter(pl.col("i").is_in(lifters["i"].implode()))
    for m, muscle in frames.muscles.select("m", "muscle_id").iter_rows():
        mine = cells.filter(pl.col("m") == m).sort("i")
        for order, column in (("sets", "short"), ("change", "est")):
            ordered = mine.sort(column, descending=True, nulls_last=True, maintain_order=True)
            place = ordered.select("i", pl.int_range(pl.len()).alias(f"{order}_{muscle}"))
            made = made.join(place, on="i", how="left")
    return made.sort("i")
