"""Checks of a lifter's findings on the lifter's own record: placebo and other choices.

Each check repeats the last step of one finding on a record that was changed in one way: weeks
shuffled, a year left out, drops counted, another prior. Levels and indexes are not fitted again.
Only findings that would otherwise be fair or firm are checked. A check flips a finding when it
reads otherwise: its estimate lies on the other side of what the finding is held against (zero; for
weekly sets the published average) or outside the finding's own interval; a placebo flips it when a
record with nothing in it shows as much.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.findings.arrays import Record
from pipeline.findings.stability_easing import check_easing
from pipeline.findings.stability_measures import check_measures
from pipeline.findings.stability_rows import Check, Row, still_reads
from pipeline.findings.stability_signals import check_signals
from pipeline.findings.stability_slopes import check_slopes
from pipeline.findings.stability_volume import check_volume
from pipeline.findings.support import CHECKED, Support, settle
from pipeline.models.volume.group import GroupShift

READS = (
    "finding",
    "model_lift_level",
    "model_muscle_index",
    "tidy_signal",
    "mart_day_signal",
)


def check_lifter(
    record: Record,
    tables: Mapping[str, pl.DataFrame],
    rep_slopes: Mapping[str, float],
    thresholds: Mapping[str, float],
    checked_on: date,
    group: GroupShift | None = None,
) -> pl.DataFrame:
    """Table ``model_check`` of one lifter.

    Parameters
    ----------
    record : sets with reserve estimated, events told and found, as the findings read them.
    tables : this lifter's ``READS`` and ``ref_prior``.
    rep_slopes : each lift's own repetition slope.
    thresholds : settings by name.
    checked_on : day of the checks.
    group : what the findings took from other lifters.
    """
    asked = find_to_check(tables["finding"])
    made = [*_run_checks(record, tables, rep_slopes, thresholds, asked, group)]
    if not made:
        return empty_frame("model_check")
    rows = [{**check.as_row(), "checked_on": checked_on} for check in made]
    return conform("model_check", pl.DataFrame(rows, infer_schema_length=None))


def find_to_check(findings: pl.DataFrame) -> dict[str, list[Row]]:
    """Rows of ``finding`` by question that their data alone would call fair or firm."""
    found: dict[str, list[Row]] = {}
    for row in findings.iter_rows(named=True):
        if needs_check(row):
            found.setdefault(row["question"], []).append(row)
    return found


def needs_check(row: Row) -> bool:
    """A finding about one lifter that takes part in the checks and may be fair or firm."""
    is_asked = row["lifter_id"] is not None and row["question"] in CHECKED
    return is_asked and row["support"] in ("fair", "firm")


def _run_checks(
    record: Record,
    tables: Mapping[str, pl.DataFrame],
    rep_slopes: Mapping[str, float],
    thresholds: Mapping[str, float],
    asked: Mapping[str, list[Row]],
    group: GroupShift | None,
) -> Iterator[Check]:
    def rows_of(*questions: str) -> list[Row]:
        return [row for question in questions for row in asked.get(question, [])]

    yield from check_slopes(tables, rows_of("lift_slope", "muscle_slope"))
    yield from check_measures(
        tables["tidy_signal"], rows_of("measure_slope"), thresholds["slope_window_years"]
    )
    yield from check_volume(record, tables, rows_of("supported_sets", "sets_trend"), group)
    yield from check_easing(record, rep_slopes, rows_of("deload_effect", "layoff_loss"))
    yield from check_signals(
        record, tables["mart_day_signal"], rep_slopes, rows_of("signal_effect")
    )


def drop_outdated(findings: pl.DataFrame, checks: pl.DataFrame) -> pl.DataFrame:
    """Rows of ``model_check`` about findings that still read as they did when they were checked.

    In a large folder a lifter waits for a turn with the checks of an earlier night. Where the
    estimate has left that night's interval or side, they speak of another finding.
    """
    now = {row["finding_id"]: row for row in findings.iter_rows(named=True)}
    kept = [
        row["finding_id"] in now and still_reads(now[row["finding_id"]], row)
        for row in checks.iter_rows(named=True)
    ]
    return checks.filter(pl.Series(kept, dtype=pl.Boolean))


def settle_findings(findings: pl.DataFrame, checks: pl.DataFrame) -> pl.DataFrame:
    """Table ``finding`` with the word that data and checks together allow.

    What would be fair or firm by its data is thin while not checked, loses its word or one step of
    it when a check flips it, and keeps it when all hold; the reason says which.
    """
    by_finding = _group_checks(checks.iter_rows(named=True))
    rows = [_settle(row, by_finding.get(row["finding_id"], [])) for row in findings.to_dicts()]
    return conform("finding", pl.DataFrame(rows, schema=findings.schema))


def _settle(row: Row, checks: list[Row]) -> Row:
    if not needs_check(row):
        return row
    done = ((check["check_name"], check["is_flipped"]) for check in checks)
    word, why = settle(Support(row["support"], row["support_why"]), done)
    checked_on = checks[0]["checked_on"] if checks else None
    return {**row, "support": word, "support_why": why, "checked_on": checked_on}


def _group_checks(rows: Iterable[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row["finding_id"], []).append(row)
    return found
