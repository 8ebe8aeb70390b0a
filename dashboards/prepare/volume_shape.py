"""Weekly sets against gain as published, beside the shape of this record's own curve.

Published figures are of muscle size over a study and this record's of strength a month, so only
shapes can stand beside one another: every line is divided by its own value at ``MEET`` sets.
"""

import math

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Key, Picture, Table, Text
from dashboards.charts.volume_shape import ShapeFrames, ShapeWords, draw_shape
from dashboards.numbers import amount, capital, figure
from dashboards.prepare.published import find_fact
from dashboards.prepare.ticks import place_ticks, round_values
from dashboards.prepare.volume import MuscleAnswer
from dashboards.theme.colours import PRIOR, PROGRESS
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

MEET = 12.0  # the published slope is that at about 12 sets
LEAST_END = 35.0
LEAST_PROGRESS = 0.02  # % a month at MEET, below which a share of it says nothing
TABLE_SETS = (4, 8, 12, 16, 20)
FACTS = {
    "marginal": "growth_marginal_at_12_sets",
    "level": "growth_10_sets",
    "slope": "growth_per_set",
    "least": "least_sets_size",
    "most": "sets_trained_young_men",
}
LINES = ("bent", "straight")


def published_shares(facts: dict[str, dict], sets: float) -> tuple[float, float]:
    """Gain at ``sets`` as a share of that at ``MEET``: (bent, straight).

    Bent: the gain rises with the square root of sets, which is assumed; its slope at ``MEET`` is
    the published one. Straight: the published gain of each added set. Both over the published gain
    with ten sets or more.
    """
    level = float(facts["level"]["value"])
    root = 2.0 * math.sqrt(MEET) * (math.sqrt(sets) - math.sqrt(MEET))
    bent = 1.0 + float(facts["marginal"]["value"]) / level * root
    return bent, 1.0 + float(facts["slope"]["value"]) / level * (sets - MEET)


def shape_picture(
    book: PageBook, curves: pl.DataFrame, answers: list[MuscleAnswer], opening: str
) -> Picture | None:
    """The picture, or None where the reference lacks one of the published figures.

    curves : muscle, x, y, lo, hi, a, b of the present training age.
    """
    facts = _facts(book)
    if facts is None:
        return None
    frames = shape_frames(facts, curves, answers)
    said = ShapeWords(
        words.plain("volume.shape_y_title", meet=figure(MEET)), words.plain("volume.x_title")
    )
    return Picture(
        name="shape",
        title=words.plain("volume.shape_title"),
        caption=words.say("volume.shape_caption", **_told(facts)),
        description=words.plain("volume.shape_description", meet=figure(MEET)),
        wide=draw_shape(frames, said, opening, is_wide=True),
        narrow=draw_shape(frames, said, opening, is_wide=False),
        keys=(
            Key("band", words.plain("volume.key_own"), PROGRESS),
            Key("dash", _name(facts, "bent"), PRIOR),
            Key("dotted", _name(facts, "straight"), PRIOR),
        ),
        table=_shape_table(facts, frames, answers),
    )


def say_shape_method(book: PageBook) -> Text | None:
    """How the published lines were drawn, with full sources; None where there are none."""
    facts = _facts(book)
    return None if facts is None else words.say("volume.method_shape", **_told(facts))


def _facts(book: PageBook) -> dict[str, dict] | None:
    """The published figures by their names here, or None where one is missing."""
    found = {name: find_fact(book, fact_id) for name, fact_id in FACTS.items()}
    facts = {name: fact for name, fact in found.items() if fact is not None}
    return facts if len(facts) == len(FACTS) else None


def _told(facts: dict[str, dict]) -> dict[str, str]:
    """The published figures with their sources and how they were read."""
    told = {}
    for name, fact in facts.items():
        told[name] = figure(fact["value"])
        source = {"source": fact["source"], "author": fact["source"].split(",")[0]}
        for kind in ("from", "full"):
            key = f"volume.shape_{kind}"
            told[f"{name}_{kind}"] = words.plain(key, status=told_plain(fact["status"]), **source)
    return told | {"meet": figure(MEET), "most": figure(facts["most"]["high"])}


def _name(facts: dict[str, dict], line: str) -> str:
    fact = facts["marginal" if line == "bent" else "slope"]
    told = {
        "value": figure(fact["value"]),
        "status": told_plain(fact["status"]),
        "meet": figure(MEET),
    }
    return words.plain(f"volume.shape_{line}", **told)


def shape_frames(
    facts: dict[str, dict], curves: pl.DataFrame, answers: list[MuscleAnswer]
) -> ShapeFrames:
    """Frames of the picture."""
    first, last = float(facts["least"]["value"]), float(facts["most"]["high"])
    grid = [first + 0.5 * i for i in range(round(2 * (last - first)) + 1)]
    rows = [
        {"line": line, "x": x, "y": round(share, 3)}
        for x in grid
        for line, share in enumerate(published_shares(facts, x))
    ]
    published = pl.DataFrame(rows, infer_schema_length=None)
    ends = published.filter(pl.col("x") == last).with_columns(
        label=pl.Series([_name(facts, line) for line in LINES])
    )
    end = max([LEAST_END, *curves["x"]])
    values = round_values(0, 2, 4)
    return ShapeFrames(
        own=_own_shapes(curves),
        refused=_refused(curves, answers),
        published=published,
        ends=ends,
        values=pl.DataFrame({"v": values, "label": [figure(v) for v in values]}),
        places=place_ticks(0, end),
        end=end,
    )


def _own_shapes(curves: pl.DataFrame) -> pl.DataFrame:
    """This record's curves over their value at ``MEET``, where trained: muscle, x, y, lo, hi."""
    at = pl.col("y").filter(pl.col("x") == MEET).first().over("muscle")
    inside = (pl.col("x") >= pl.col("a")) & (pl.col("x") <= pl.col("b"))
    meets = (pl.col("a") <= MEET) & (pl.col("b") >= MEET) & (at >= LEAST_PROGRESS)
    return curves.filter(inside & meets).select(
        "muscle", "x", *((pl.col(name) / at).round(3).alias(name) for name in ("y", "lo", "hi"))
    )


def _refused(curves: pl.DataFrame, answers: list[MuscleAnswer]) -> pl.DataFrame:
    """Muscles without a line of their own, and why."""
    shown = set(_own_shapes(curves)["muscle"])
    trained = set(curves.filter((pl.col("a") <= MEET) & (pl.col("b") >= MEET))["muscle"])
    rows = []
    for one in answers:
        if one.muscle_id in shown:
            continue
        key = "flat" if one.muscle_id in trained else "untrained"
        reason = words.plain(f"volume.shape_none_{key}", sets=figure(MEET))
        rows.append({"muscle": one.muscle_id, "reason": reason})
    return pl.DataFrame(rows, schema={"muscle": pl.String, "reason": pl.String})


def _shape_table(facts: dict[str, dict], frames: ShapeFrames, answers: list[MuscleAnswer]) -> Table:
    """The lines in numbers: published ones first, then each muscle's own."""
    rows: list[tuple[Text, ...]] = []
    for line, name in enumerate(LINES):
        shares = [published_shares(facts, sets)[line] for sets in TABLE_SETS]
        rows.append((_name(facts, name), *(amount(share, 2) for share in shares)))
    own = {(m, x): y for m, x, y in frames.own.select("muscle", "x", "y").iter_rows()}
    for one in answers:
        cells = [own.get((one.muscle_id, float(sets))) for sets in TABLE_SETS]
        if any(cell is not None for cell in cells):
            shown = ("" if cell is None else amount(cell, 2) for cell in cells)
            rows.append((capital(one.name), *shown))
    heads = [Column(words.plain("volume.col_line"))]
    heads += [Column(words.plain("volume.col_at", sets=f"{sets}"), "number") for sets in TABLE_SETS]
    note = words.say("volume.shape_note", meet=figure(MEET))
    return Table(tuple(heads), tuple(rows), words.plain("volume.shape_title"), note)
