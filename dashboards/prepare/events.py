"""Events as the pictures need them: in weeks since the first of the record."""

from collections.abc import Mapping
from datetime import date, timedelta

import polars as pl

from dashboards import words
from dashboards.charts.lanes import DELOAD_Y, INJURY_Y, PRIORITY_Y, Lanes
from dashboards.numbers import plural
from dashboards.prepare.labels import JOINED
from dashboards.prepare.names import muscle_names
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook


def say_subject(subject: str | None, names: Mapping[str, str]) -> str:
    """Whom or what an event concerns, as the page names it; ``names``: of muscles by id."""
    parts = (subject or "").split()
    return JOINED.join(names.get(one, told_plain(one.replace("_", " "))) for one in parts)


def say_evidence(evidence: str) -> str:
    """Whence an event is known: the journal, or a rule."""
    return words.plain(f"frame.known_{evidence}")


def _events(book: PageBook, lifter_id: str, first: date, weeks: int) -> pl.DataFrame:
    end = first + timedelta(weeks=weeks)
    last_day = pl.lit(end - timedelta(days=1))
    mine = book.tables["tidy_event"].filter(pl.col("lifter_id") == lifter_id)
    return (
        mine.filter((pl.col("start") < end) & (pl.col("end").fill_null(last_day) >= first))
        .with_columns(
            w0=((pl.col("start") - first).dt.total_days() / 7).clip(0),
            w1=(((pl.col("end").fill_null(last_day) - first).dt.total_days() + 1) / 7).clip(
                0, weeks
            ),
            subject=pl.col("subject").fill_null(""),
        )
        .with_columns(pl.col("w0", "w1").round(2))
        .sort("w0", "event_id")
    )


def event_frames(
    book: PageBook, lifter_id: str, first: date, weeks: int, muscles: pl.DataFrame
) -> Lanes:
    """All events of one lifter for the strips; ``muscles``: m, f, muscle_id (those shown)."""
    events = _events(book, lifter_id, first, weeks)
    names = muscle_names(book)
    labels = [say_subject(text, names) for text in events["subject"]]
    events = events.with_columns(label=pl.Series(labels, dtype=pl.String))
    phases = events.filter(pl.col("kind") == "priority")
    return Lanes(
        priority=phases.select("w0", "w1", "label"),
        injury=events.filter(pl.col("kind") == "injury").select("w0", "w1", "label"),
        deloads=_deloads(events),
        cuts=_cuts(events),
        unlogged=unlogged_runs(book, lifter_id, first),
        lines=_lines(events),
        under=_underlines(phases, muscles, book.tables["ref_muscle"]),
        names=_lane_names(),
    )


def _lane_names() -> pl.DataFrame:
    lanes = (("priority", PRIORITY_Y), ("injury", INJURY_Y), ("deload", DELOAD_Y))
    rows = [{"y": float(y), "label": words.plain(f"record.lane_{lane}")} for lane, y in lanes]
    return pl.DataFrame(rows, infer_schema_length=None)


def _cuts(events: pl.DataFrame) -> pl.DataFrame:
    """Layoffs with their lengths."""
    cuts = events.filter(pl.col("kind") == "layoff").select("w0", "w1")
    labels = [
        words.plain("record.cut", weeks=plural(round(w1 - w0), "week"))
        for w0, w1 in cuts.iter_rows()
    ]
    return cuts.with_columns(label=pl.Series(labels, dtype=pl.String))


def _deloads(events: pl.DataFrame) -> pl.DataFrame:
    return events.filter(pl.col("kind") == "deload").select(
        w=((pl.col("w0") + pl.col("w1")) / 2).round(2)
    )


def _lines(events: pl.DataFrame) -> pl.DataFrame:
    """Changes of gym; a change of device concerns the nights and is left to their page."""
    return events.filter(pl.col("kind") == "gym_change").select(
        pl.col("w0").alias("w"), label=pl.lit(words.plain("record.gym_change"))
    )


def unlogged_runs(book: PageBook, lifter_id: str, first: date) -> pl.DataFrame:
    """Stretches without record: w0, w1."""
    weeks = book.tables["mart_week_lifter"].filter(
        (pl.col("lifter_id") == lifter_id) & (pl.col("week_status") == "unlogged")
    )
    return (
        weeks.select(w=(pl.col("week_start") - first).dt.total_days() // 7)
        .sort("w")
        .with_columns(run=(pl.col("w").diff().fill_null(0) != 1).cum_sum())
        .group_by("run", maintain_order=True)
        .agg(w0=pl.col("w").min(), w1=pl.col("w").max() + 1)
        .select("w0", "w1")
    )


def _underlines(phases: pl.DataFrame, muscles: pl.DataFrame, ref: pl.DataFrame) -> pl.DataFrame:
    """One underline for each chosen muscle; a region's goes under its shown parent."""
    parents = dict(ref.select("muscle_id", "parent_id").iter_rows())
    rows = {muscle: (m, f) for m, f, muscle in muscles.select("m", "f", "muscle_id").iter_rows()}
    made = set()
    for w0, w1, subject in phases.select("w0", "w1", "subject").iter_rows():
        for muscle in subject.split():
            row = rows.get(muscle) or rows.get(parents.get(muscle) or "")
            if row:
                made.add((*row, w0, w1))
    schema = {"m": pl.Int64, "f": pl.Int64, "w0": pl.Float64, "w1": pl.Float64}
    return pl.DataFrame(sorted(made), schema=schema, orient="row")
