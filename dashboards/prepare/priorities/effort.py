"""How far sets were taken: failure by equipment and lift, drop sets, progress beside them."""

from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import amount, count
from dashboards.prepare.names import lift_names, name_lift
from dashboards.prepare.priorities.find import (
    Row,
    estimate_cells,
    heads,
    own,
    questions_of,
    say_support,
)
from dashboards.told import told
from pipeline.core.page_book import PageBook

KINDS = ("free_weight", "machine", "cable", "body_weight")
WAYS = ("failure", "drop_clusters")
DROPS = "drop_work"
COUNTS = ("sets", "told_sets", "failure_sets", "zero_reserve_sets", "drop_clusters")
# Heads of the counts: all sets stand there as done, not as weekly ones.
COUNT_HEADS = ("done", *COUNTS[1:])


def effort_findings(book: PageBook, lifter_id: str) -> dict[str, Row]:
    """Findings about effort by what they are about."""
    rows = questions_of(book, lifter_id, "effort").iter_rows(named=True)
    return {row["subject"].removeprefix("effort:"): row for row in rows}


def kind_table(findings: dict[str, Row]) -> Table:
    """Share of the last year's sets that went to failure, by kind of equipment."""
    rows = tuple(
        (words.plain(f"priorities.kind_{kind}"), *_share(findings[kind]))
        for kind in KINDS
        if kind in findings
    )
    return Table(
        heads(
            "equipment",
            "sets_told",
            "failure_share",
            "support",
            numbers=("sets_told", "failure_share"),
        ),
        rows,
        words.plain("priorities.kinds_title"),
        words.say("priorities.kinds_note"),
    )


def _share(found: Row) -> tuple[Text, ...]:
    return (
        count(found["n"]),
        "" if found["estimate"] is None else amount(found["estimate"]),
        say_support(found),
    )


def progress_table(findings: dict[str, Row]) -> Table:
    """Progress of blocks with more sets done so, against the same muscles' other blocks."""
    rows = tuple(
        (
            words.plain(f"priorities.way_{way}"),
            *_effect(findings[way]),
            "" if findings[way]["estimate"] is None else count(findings[way]["n"]),
            told(findings[way]["support"]),
            told(findings[way]["support_why"]),
        )
        for way in WAYS
        if way in findings
    )
    keys = ("way", "progress", "interval", "compared", "support", "why")
    return Table(
        heads(*keys, numbers=("progress", "compared")),
        rows,
        words.plain("priorities.progress_title"),
        words.say("priorities.progress_note"),
    )


def _effect(found: Row) -> tuple[Text, str]:
    return estimate_cells(found["estimate"], found["low"], found["high"])


def say_drops(findings: dict[str, Row]) -> Text | None:
    """What drops added in the last year, or that there were none; None where it was not asked."""
    found = findings.get(DROPS)
    if found is None:
        return None
    if found["estimate"] is None:
        return words.plain("priorities.drops_none")
    return told(found["sentence"])


def lift_table(book: PageBook, lifter_id: str) -> Table | None:
    """The lifts of the last calendar year; None without any."""
    sets = own(book, lifter_id, "model_effort")
    if sets.is_empty():
        return None
    last = sets["year"].max()
    names = lift_names(book)
    lifts = (
        sets.filter(pl.col("year") == last)
        .group_by("exercise_id", "kind")
        .agg(pl.col(*COUNTS).sum())
        .sort("sets", "exercise_id", descending=[True, False])
    )
    rows = tuple(
        (
            name_lift(names, row["exercise_id"]),
            words.plain(f"priorities.kind_{row['kind']}"),
            *(count(row[name]) for name in COUNTS),
            _of(row["failure_sets"], row["told_sets"]),
        )
        for row in lifts.iter_rows(named=True)
    )
    keys = ("lift", "equipment", *COUNT_HEADS, "failure_share")
    title = words.plain("priorities.lifts_title", year=last)
    return Table(heads(*keys, numbers=(*COUNT_HEADS, "failure_share")), rows, title)


def year_table(book: PageBook, lifter_id: str) -> Table | None:
    """Sets to failure and drop sets, year by year; None without any set."""
    sets = own(book, lifter_id, "model_effort")
    if sets.is_empty():
        return None
    sums = (*COUNTS, "drop_segments", "tonnage_kg", "drop_tonnage_kg", "drop_minutes")
    years = sets.group_by("year").agg(pl.col(*sums).sum()).sort("year", descending=True)
    rows = tuple(
        (
            str(row["year"]),
            *(count(row[name]) for name in COUNTS),
            _of(row["failure_sets"], row["told_sets"]),
            _of(row["drop_tonnage_kg"], row["tonnage_kg"]),
            count(row["drop_minutes"]),
        )
        for row in years.iter_rows(named=True)
    )
    more = ("failure_share", "drop_share", "drop_minutes")
    keys = ("year", *COUNT_HEADS, *more)
    return Table(
        heads(*keys, numbers=(*COUNT_HEADS, *more)), rows, words.plain("priorities.years_title")
    )


def _of(part: Any, whole: Any) -> str:
    """A share in per cent, nothing where there is nothing to share."""
    return amount(100 * part / whole) if whole else ""
