"""The fold from which every finding of a page can be traced: its sentence, support and id."""

import polars as pl

from dashboards import words
from dashboards.blocks import Table
from dashboards.prepare.heads import heads_of
from dashboards.told import told
from pipeline.core.page_book import PageBook

# Questions by the page that answers them; The record carries every other one.
PAGES = {
    "volume": ("supported_sets", "hold_sets", "sets_trend", "muscle_slope"),
    "lifts": ("lift_level", "lift_slope", "plateau", "forecast"),
    "easing": (
        "deload_effect",
        "rest_effect",
        "deload_pace",
        "deload_length",
        "layoff_loss",
        "layoff_regain",
    ),
    "priorities": (
        "priority_gain",
        "priority_cost",
        "balance",
        "effort",
        "variant",
        "injury",
    ),
    "nights": ("signal_effect",),
    "next_phase": ("plan_followed",),
}
REST = "record"


def trace_fold(
    book: PageBook, kind: str, lifter_id: str | None
) -> tuple[tuple[str, tuple[object, ...]], ...]:
    """The fold of one page, by its kind; none where the page answers no question.

    ``lifter_id`` None: the page about all lifters, with the findings of the group.
    """
    findings = book.tables["finding"]
    if lifter_id is None:
        if kind != "group":
            return ()
        mine = findings.filter(pl.col("lifter_id").is_null())
    else:
        mine = findings.filter((pl.col("lifter_id") == lifter_id) & _is_on(kind))
    if mine.is_empty():
        return ()
    rows = tuple(
        (told(sentence), told(support), finding_id)
        for sentence, support, finding_id in mine.select(
            "sentence", "support", "finding_id"
        ).iter_rows()
    )
    heads = heads_of("frame", "finding", "support", "trace")
    table = Table(heads, rows, note=words.plain("frame.trace_note"), name="traces")
    return ((words.plain("frame.fold_trace"), (table,)),)


def _is_on(kind: str) -> pl.Expr:
    if kind == REST:
        listed = [question for questions in PAGES.values() for question in questions]
        return ~pl.col("question").is_in(listed)
    return pl.col("question").is_in(list(PAGES.get(kind, ())))
