"""Frames of the charts on the page Volume and progress; each holds all muscles, embedded once."""

from datetime import date

import polars as pl

from dashboards import words
from dashboards.charts.volume_response import ResponseFrames
from dashboards.prepare.counts import WITH_TRAINING
from dashboards.prepare.ticks import place_ticks, value_ticks
from dashboards.prepare.volume import (
    MuscleAnswer,
    Row,
    age_colours,
    say_age,
    say_reason,
    upper_end,
)
from pipeline.core.page_book import PageBook

RUG_WEEKS = 104
LEAST_SETS_SHOWN = 35.0
# Dots outside these shares of a muscle's blocks may lie past the edge; they are drawn at it.
DOTS_FROM, DOTS_TO = 0.02, 0.98
_EPOCH = date(1970, 1, 1)
_NOTE = {
    **dict.fromkeys(("muscle", "reason", "range", "ages"), pl.String),
    **dict.fromkeys(("y0", "y1", "r0", "r1", "cx", "cy", "cp", "px", "py"), pl.Float64),
}


def blocks_of(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> pl.DataFrame:
    """Blocks of the answered muscles with the band each lies in, in page order.

    muscle, name, band (index), k (age tone), x (weekly sets), y (% a month), age, from_date,
    to_date, is_used.
    """
    frames = [_muscle_blocks(book, lifter_id, one) for one in answers if one.bands]
    return pl.concat(frames) if frames else _no_blocks()


def _no_blocks() -> pl.DataFrame:
    schema = {"muscle": pl.String, "name": pl.String, "band": pl.Int64, "k": pl.Int64}
    numbers = dict.fromkeys(("x", "y", "age"), pl.Float64)
    days = dict.fromkeys(("from_date", "to_date"), pl.Date)
    return pl.DataFrame(schema={**schema, **numbers, **days, "is_used": pl.Boolean})


def _muscle_blocks(book: PageBook, lifter_id: str, answer: MuscleAnswer) -> pl.DataFrame:
    # A block belongs to the last band that has begun; bands are written to a tenth of a year.
    starts = [row["age_from"] for row in answer.bands]
    begun = [(pl.col("age") + 0.05 >= start).cast(pl.Int64) for start in starts]
    tones = dict(enumerate(age_colours(len(starts))))
    return (
        book.tables["model_block"]
        .filter((pl.col("lifter_id") == lifter_id) & (pl.col("muscle_id") == answer.muscle_id))
        .sort("from_date")
        .select(
            muscle="muscle_id",
            name=pl.lit(answer.name),
            x=pl.col("weekly_sets").round(1),
            y=pl.col("progress_pct_month").round(2),
            age=pl.col("training_age_years").round(1),
            from_date="from_date",
            to_date="to_date",
            is_used="is_used",
        )
        .with_columns(band=(pl.sum_horizontal(begun) - 1).clip(0))
        .with_columns(k=pl.col("band").replace_strict(tones, return_dtype=pl.Int64))
        .select(_no_blocks().columns)
    )


def response_frames(
    book: PageBook, lifter_id: str, answers: list[MuscleAnswer], blocks: pl.DataFrame
) -> ResponseFrames:
    """Frames of progress against weekly sets."""
    curves = _curves(book, lifter_id, answers)
    notes = pl.DataFrame([_note(one, blocks, curves) for one in answers], schema=_NOTE)
    ticks = [
        value_ticks(low, high).with_columns(muscle=pl.lit(muscle))
        for muscle, low, high in notes.select("muscle", "y0", "y1").iter_rows()
    ]
    most = blocks["x"].max() if blocks.height else None
    end = max(LEAST_SETS_SHOWN, 5.0 * -(-float(most or 0) // 5))  # type: ignore[arg-type]
    days = (pl.col("from_date") - _EPOCH).dt.total_days()
    return ResponseFrames(
        blocks=blocks.select(
            "muscle",
            "name",
            "k",
            "x",
            "y",
            "age",
            day=days,
            weeks=((pl.col("to_date") - pl.col("from_date")).dt.total_days() + 1) // 7,
            u=pl.col("is_used").cast(pl.Int64),
        ),
        curves=curves,
        rug=_rug(book, lifter_id, answers),
        notes=notes,
        values=pl.concat(ticks),
        places=place_ticks(0, end),
        end=end,
    )


def _curves(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> pl.DataFrame:
    """The curve of the present band: muscle, x, y, lo, hi, p, a, b (first and last x trained)."""
    now = pl.DataFrame(
        [
            {"muscle_id": one.muscle_id, "age_from": one.now["age_from"]}
            for one in answers
            if one.now
        ],
        schema={"muscle_id": pl.String, "age_from": pl.Float64},
    )
    inside = pl.col("weekly_sets").filter("is_inside")
    percent = {
        "y": "progress_pct_month",
        "lo": "low",
        "hi": "high",
        "p": "prior_progress_pct_month",
    }
    return (
        book.tables["model_volume_curve"]
        .filter(pl.col("lifter_id") == lifter_id)
        .join(now, on=["muscle_id", "age_from"])
        .sort("muscle_id", "weekly_sets")
        .select(
            muscle="muscle_id",
            x="weekly_sets",
            **{name: pl.col(column).round(3) for name, column in percent.items()},
            a=inside.min().over("muscle_id"),
            b=inside.max().over("muscle_id"),
        )
    )


def _rug(book: PageBook, lifter_id: str, answers: list[MuscleAnswer]) -> pl.DataFrame:
    """Weekly sets of the last 104 weeks, trained ones only: muscle, x."""
    weeks = book.tables["mart_week_muscle"].filter(pl.col("lifter_id") == lifter_id)
    recent = weeks["week_start"].unique().sort().tail(RUG_WEEKS)
    known = [one.muscle_id for one in answers]
    return (
        weeks.filter(
            pl.col("week_start").is_in(recent.implode())
            & pl.col("week_status").is_in(WITH_TRAINING)
            & pl.col("muscle_id").is_in(known)
        )
        .select(muscle="muscle_id", x="weekly_sets")
        .sort("muscle", "x")
    )


def _note(answer: MuscleAnswer, blocks: pl.DataFrame, curves: pl.DataFrame) -> Row:
    """Domain, range and words of one muscle's picture."""
    dots = blocks.filter(pl.col("muscle") == answer.muscle_id)["y"]
    curve = curves.filter(pl.col("muscle") == answer.muscle_id)
    low, high = _domain(dots, curve)
    note: Row = {"muscle": answer.muscle_id, "y0": low, "y1": high, "reason": say_reason(answer)}
    return {**note, **_range_note(answer), **_curve_note(answer, curve)}


def _domain(dots: pl.Series, curve: pl.DataFrame) -> tuple[float, float]:
    inside = curve.filter((pl.col("x") >= pl.col("a")) & (pl.col("x") <= pl.col("b")))
    ends = [-0.5, 0.5]
    for series, low, high in (
        (dots, DOTS_FROM, DOTS_TO),
        (inside["lo"], 0, 1),
        (inside["hi"], 0, 1),
    ):
        if len(series):
            ends += [float(series.quantile(low) or 0), float(series.quantile(high) or 0)]
    room = 0.08 * (max(ends) - min(ends))
    return round(min(ends) - room, 3), round(max(ends) + room, 3)


def _range_note(answer: MuscleAnswer) -> Row:
    row = answer.now
    if row is None:
        return {"r0": None, "r1": None, "range": None}
    key = "volume.column_same" if answer.is_no_better else "volume.column_range"
    return {"r0": row["range_low"], "r1": upper_end(row), "range": words.plain(key)}


def _curve_note(answer: MuscleAnswer, curve: pl.DataFrame) -> Row:
    """Where the curve ends and what stands there."""
    if answer.now is None or curve.is_empty():
        return dict.fromkeys(("cx", "cy", "cp", "px", "py", "ages"))
    end = curve.filter(pl.col("x") == pl.col("b")).row(0, named=True)
    last = curve.row(curve.height - 1, named=True)
    ages = words.plain("volume.curve_ages", ages=say_age(answer.now))
    own = {"cx": end["x"], "cy": end["y"], "cp": end["p"], "ages": ages}
    return {**own, "px": last["x"], "py": last["p"]}
