"""Accepted plans: how far they were followed, and what came of them."""

from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Prose, Table, Text
from dashboards.numbers import amount, count, interval, say_date, signed
from dashboards.prepare.names import muscle_names
from dashboards.prepare.next_phase.proposals import Proposed
from dashboards.prepare.next_phase.tables import heads
from dashboards.told import told
from pipeline.core.calendar import HALF_WEEK
from pipeline.core.page_book import PageBook

SCORES = ("plan_share", "plan_error")


def accept_note(book: PageBook, one: Proposed) -> Prose:
    """The command that makes a proposal one's own, or that it was accepted."""
    followed = _own(book, "model_plan_progress", one.head["lifter_id"])
    title = words.plain("next_phase.accept_title")
    if one.head["start"] in followed.filter(pl.col("week") == 1)["week_start"].to_list():
        return Prose((words.say("next_phase.accepted", start=say_date(one.head["start"])),), title)
    return Prose(
        (
            words.say("next_phase.accept", command=f"liftstrata accept {one.command} FOLDER"),
            words.say("next_phase.accept_means"),
        ),
        title,
    )


def plan_blocks(book: PageBook, lifter_id: str) -> tuple[object, ...]:
    """A row a plan, what it was expected to bring muscle by muscle, and how that held."""
    followed = _own(book, "model_plan_progress", lifter_id)
    if followed.is_empty():
        return ()
    plans = followed.partition_by("plan_id", as_dict=True, maintain_order=True)
    ordered = sorted(plans.values(), key=lambda plan: plan["week_start"].min(), reverse=True)  # type: ignore[arg-type,return-value]
    lifts = _own(book, "model_plan_lift", lifter_id)
    rows = tuple(
        _plan_row(plan, lifts.filter(pl.col("plan_id") == plan["plan_id"][0])) for plan in ordered
    )
    keys = ("start", "weeks", "logged", "planned", "done", "followed", "left_out", "added")
    table = Table(
        heads(*keys, numbers=keys[1:]),
        rows,
        words.plain("next_phase.plans_title"),
        words.say("next_phase.plans_note"),
    )
    return (table, *_came_table(book, lifter_id, ordered), *_scores(book, lifter_id))


def _own(book: PageBook, table: str, lifter_id: str) -> pl.DataFrame:
    return book.tables[table].filter(pl.col("lifter_id") == lifter_id)


def _plan_row(plan: pl.DataFrame, lifts: pl.DataFrame) -> tuple[Text, ...]:
    """Sets planned and done are those of the weeks that were logged."""
    known = plan.filter(pl.col("done_sets").is_not_null())
    planned, done = (float(known[name].sum()) for name in ("planned_sets", "done_sets"))
    least = known.select(pl.min_horizontal("planned_sets", "done_sets")).to_series()
    kept = float(least.sum())
    status = lifts.group_by("status").len()
    counts = dict(status.iter_rows())
    return (
        say_date(plan["week_start"].min()),  # type: ignore[arg-type]
        count(plan["week"].n_unique()),
        count(known["week"].n_unique()),
        amount(planned),
        amount(done),
        words.plain("next_phase.share", share=count(100.0 * kept / planned)) if planned else "",
        count(counts.get("left out", 0)),
        count(counts.get("added", 0)),
    )


def _came_table(book: PageBook, lifter_id: str, plans: list[pl.DataFrame]) -> tuple[Table, ...]:
    """What each plan was expected to bring, and what came."""
    told_of = _own(book, "model_prediction", lifter_id).filter(pl.col("question") == "plan")
    names = muscle_names(book)
    rows: list[tuple[Text, ...]] = []
    for plan in plans:
        ends = plan["week_start"].max()
        # A plan renamed to another weekday keeps what was expected of it on the days of then.
        near = (pl.col("to_date") - ends).abs() <= HALF_WEEK
        own = told_of.filter(near).sort("subject")
        rows += [
            _came_row(plan["week_start"].min(), names, row)  # type: ignore[arg-type]
            for row in own.iter_rows(named=True)
        ]
    if not rows:
        return ()
    keys = ("start", "muscle", "expected_by", "interval_80", "came", "held")
    table = Table(
        heads(*keys, numbers=("expected_by", "came")),
        tuple(rows),
        words.plain("next_phase.came_title"),
        words.say("next_phase.came_note"),
    )
    return (table,)


def _came_row(start: Any, names: dict[str, str], row: dict[str, Any]) -> tuple[Text, ...]:
    which = row["subject"].split(":", 1)[1]
    held = row["state"].replace(" ", "_")
    if row["state"] == "came":
        held = "inside" if row["is_inside"] else "above" if row["came"] > row["high"] else "below"
    return (
        say_date(start),
        names.get(which, which.replace("_", " ")),
        signed(row["estimate"]),
        interval(row["low"], row["high"]),
        "" if row["came"] is None else signed(row["came"]),
        words.plain(f"next_phase.held_{held}", day=say_date(row["to_date"])),
    )


def _scores(book: PageBook, lifter_id: str) -> tuple[Prose, ...]:
    """How the expectations of plans held, in the sentences of their findings."""
    found = _own(book, "finding", lifter_id).filter(
        (pl.col("question") == "prediction_score") & pl.col("window").is_in(SCORES)
    )
    said = list(dict.fromkeys(found.sort("window", descending=True)["sentence"]))
    return (Prose(tuple(told(one) for one in said)),) if said else ()
