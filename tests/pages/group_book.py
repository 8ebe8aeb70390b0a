"""Muscles of two lifters and of many, for the page The group; all invented."""

from dataclasses import replace
from datetime import date, timedelta

import polars as pl

from dashboards.numbers import interval, signed
from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding
from pipeline.core.page_book import LifterInfo, PageBook
from tests.pages.lifts_book import COMMON, Interval


def muscle_finding(
    lifter_id: str | None, muscle: str, found: Interval | None, n: int = 120
) -> dict[str, object]:
    """The slope of a muscle of one lifter, or of the group (``lifter_id`` None)."""
    counted = "lifters" if lifter_id is None else "trained weeks"
    least = 5 if lifter_id is None else 40
    common = {
        **COMMON,
        "lifter_id": lifter_id,
        "question": "muscle_slope",
        "subject": f"muscle:{muscle}",
        "unit": "%/year",
        "window": "last",
        "n": n,
        "n_of": counted,
    }
    name = muscle.replace("_", " ").capitalize()
    if found is None:
        return Finding(
            **{**common, "coverage": None},
            support="not enough",
            support_why=f"{n} {counted}, {least} needed",
            needed=least,
            counted="other" if lifter_id is None else "trained weeks",
            needs="add lifters to the group"
            if lifter_id is None
            else "more logged weeks of its direct lifts",
            sentence=f"Not enough: {n} {counted}, {least} needed; add some.",
        ).as_row()
    estimate, low, high = found
    return Finding(
        **common,
        support="fair",
        support_why=f"{n} {counted}",
        estimate=estimate,
        low=low,
        high=high,
        from_date=date(2023, 8, 28),
        to_date=date(2026, 8, 30),
        sentence=f"{name}: {signed(estimate)} % a year {interval(low, high)}.",
    ).as_row()


def pair_findings(muscles: tuple[str, ...]) -> list[dict[str, object]]:
    """Muscles of the long record, refusals of the short one, and the refused mean of both."""
    rows = []
    for i, muscle in enumerate(muscles):
        estimate = 2.0 - 0.3 * i
        rows.append(muscle_finding("aspen", muscle, (estimate, estimate - 0.8, estimate + 0.8)))
        rows.append(muscle_finding("rowan", muscle, None, 8))
        rows.append(muscle_finding(None, muscle, None, 2))
    return rows


def group_book(book: PageBook, lifters: int, means: Interval | None) -> PageBook:
    """The book with so many lifters, each with aspen's weeks cut and scaled, and means of all.

    Every third lifter agreed to be named.
    """
    tables, everyone = dict(book.tables), []
    grown: dict[str, list[pl.DataFrame]] = {"mart_week_lifter": [], "mart_week_muscle": []}
    muscles = tables["ref_muscle"].filter("is_shown").sort("page_order")["muscle_id"].to_list()
    findings = []
    for number in range(lifters):
        lifter_id = f"member_{number}"
        began = date(2013, 8, 1) + timedelta(days=37 * (number % 90))
        everyone.append(LifterInfo(lifter_id, f"Person {number}", began, consent=number % 3 == 0))
        for name, frames in grown.items():
            frames.append(_member(book.tables[name], lifter_id, number, began))
        for place, muscle in enumerate(muscles):
            middle = 3.0 - (number * 7 + place * 5) % 11 * 0.6
            found = None if (number + place) % 9 == 0 else (middle, middle - 1.5, middle + 1.5)
            findings.append(muscle_finding(lifter_id, muscle, found, 20 if found is None else 120))
    for place, muscle in enumerate(muscles):
        moved = None if means is None else tuple(one + 0.1 * place for one in means)
        findings.append(muscle_finding(None, muscle, moved, lifters))
    tables.update({name: pl.concat(frames) for name, frames in grown.items()})
    tables["finding"] = conform("finding", pl.DataFrame(findings, infer_schema_length=None))
    return replace(book, lifters=tuple(everyone), tables=tables)


def _member(frame: pl.DataFrame, lifter_id: str, number: int, began: date) -> pl.DataFrame:
    mine = frame.filter(pl.col("lifter_id") == "aspen").with_columns(lifter_id=pl.lit(lifter_id))
    late = pl.col("week_start") >= began + timedelta(weeks=20 + number % 40)
    if "weekly_sets" in frame.columns:
        scale = 0.6 + number % 8 / 10
        return mine.filter(late).with_columns(weekly_sets=pl.col("weekly_sets") * scale)
    age = (pl.col("week_start") - pl.lit(began)).dt.total_days() / 365.25
    return mine.filter(late).with_columns(training_age_years=age)
