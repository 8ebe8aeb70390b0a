"""What was checked on the lifter's own record: under what each finding holds, on what it hangs."""

from collections.abc import Mapping

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, figure, say_date, signed
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook

Fold = tuple[str, tuple[object, ...]]
# Every training year of every lift would be a table of hundreds of rows.
SHOWN_WINDOWS = ("now", "band", "last", "first", "all")
KEYS = ("what", "span", "holds", "hangs", "support", "checked")


def stability_folds(
    book: PageBook, lifter_id: str, names: Mapping[tuple[str, str], str]
) -> tuple[Fold, ...]:
    """One fold with a row for each checked finding; none when none was checked.

    ``names`` gives what a finding is called by question and subject; others are left out.
    """
    checks = book.tables["model_check"].filter(pl.col("lifter_id") == lifter_id)
    findings = (
        book.tables["finding"]
        .filter(
            (pl.col("lifter_id") == lifter_id)
            & pl.col("window").is_in(SHOWN_WINDOWS)
            & pl.col("checked_on").is_not_null()
        )
        .sort("question", "subject", "age_from", "from_date")
    )
    of = checks.partition_by("finding_id", as_dict=True)
    rows = tuple(
        _row(finding, of[(finding["finding_id"],)], names[finding["question"], finding["subject"]])
        for finding in findings.iter_rows(named=True)
        if (finding["question"], finding["subject"]) in names
    )
    if not rows:
        return ()
    columns = tuple(
        Column(words.plain(f"stability.col_{key}"), "name" if key == "what" else "text")
        for key in KEYS
    )
    table = Table(columns, rows, note=words.say("stability.note"))
    return ((words.plain("stability.fold"), (table,)),)


def _row(finding: dict[str, object], checks: pl.DataFrame, name: str) -> tuple[Text, ...]:
    return (
        name,
        _say_span(finding),
        _say_held(checks),
        _say_flipped(checks, str(finding["unit"])),
        told(str(finding["support"])),
        say_date(checks["checked_on"][0]),
    )


def _say_span(finding: dict[str, object]) -> str:
    """The band of training age, or the dates."""
    if finding["age_from"] is not None:
        ages = {"first": figure(finding["age_from"]), "last": figure(finding["age_to"])}
        return words.plain("stability.ages", **ages)
    if finding["from_date"] is None:
        return words.plain("stability.whole")
    span = {"first": say_date(finding["from_date"]), "last": say_date(finding["to_date"])}  # type: ignore[arg-type]
    return words.plain("stability.dates", **span)


def _say_held(checks: pl.DataFrame) -> str:
    """Names of the checks of which none flipped the finding."""
    whole = checks.group_by("check_name", maintain_order=True).agg(pl.col("is_flipped").any())
    held = whole.filter(~pl.col("is_flipped"))["check_name"]
    return ", ".join(words.plain(f"stability.check_{name}") for name in held)


def _say_flipped(checks: pl.DataFrame, unit: str) -> str:
    """Each check that flipped it, with what came out."""
    return "; ".join(
        words.plain(
            f"stability.flip_{row['check_name']}",
            detail=told_plain(row["detail"]),
            estimate=_say_estimate(row["estimate"], unit),
        )
        for row in checks.filter("is_flipped").iter_rows(named=True)
    )


def _say_estimate(value: float, unit: str) -> str:
    return f"{amount(value) if unit == 'sets/week' else signed(value)} {told_plain(unit)}"
