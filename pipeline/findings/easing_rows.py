"""What the findings about easing off share: published values, evidence, rows with the lifter."""

from collections.abc import Iterable

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.findings.arrays import Record

COVERAGE = 0.95
Facts = dict[str, dict]


def index_facts(facts: pl.DataFrame) -> Facts:
    """Rows of ``ref_fact`` by their id."""
    return {row["fact_id"]: row for row in facts.iter_rows(named=True)}


def priors_of(facts: Facts, fact_id: str, factor: float = 1.0) -> dict[str, float | None]:
    """A published value and its ends, times ``factor``, as the fields of a finding."""
    fact = facts[fact_id]
    fields = {"prior_estimate": "value", "prior_low": "low", "prior_high": "high"}
    return {
        field: None if fact[name] is None else fact[name] * factor for field, name in fields.items()
    }


def evidence_of(events: Iterable[dict]) -> str:
    """told where the lifter told of any of them, else how they are known."""
    kinds = {event["evidence"] for event in events}
    return "told" if "told" in kinds else next(iter(sorted(kinds)), "none")


def own_rows(table: str, record: Record, rows: list[dict]) -> pl.DataFrame:
    """Rows of one table with the lifter's id."""
    if not rows:
        return empty_frame(table)
    lifter = pl.lit(record.lifter.lifter_id)
    frame = pl.DataFrame(rows, infer_schema_length=None)
    return conform(table, frame.with_columns(lifter_id=lifter))
