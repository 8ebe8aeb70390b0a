"""Table ``model_growth``: gain against training age of every lift and muscle, beside the law."""

from collections.abc import Mapping

import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.findings.forecast import list_series
from pipeline.models.forecast.growth_law import compare_growth

COVERAGE = 0.90


def compare_with_law(tables: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """Rows for every series of two years or more; ``tables`` as ``answer_forecasts`` takes them."""
    began = tables["ref_lifter"].select("lifter_id", "training_began")
    series = list_series(tables).join(began, on="lifter_id").sort("lifter_id", "subject")
    aged = series.with_columns(
        age=(pl.col("week_start") - pl.col("training_began")).dt.total_days() / DAYS_PER_YEAR
    )
    parts = aged.sort("lifter_id", "subject", "week_start").partition_by(
        "lifter_id", "subject", as_dict=True, maintain_order=True
    )
    rows = [row for (whose, what), part in parts.items() for row in _compare(whose, what, part)]
    return (
        conform("model_growth", pl.DataFrame(rows, infer_schema_length=None))
        if rows
        else empty_frame("model_growth")
    )


def _compare(lifter_id: object, subject: object, rows: pl.DataFrame) -> list[dict[str, object]]:
    found = compare_growth(
        rows["level_log"].to_numpy(), rows["se"].to_numpy(), rows["age"].to_numpy(), COVERAGE
    )
    if isinstance(found, Refusal):
        return []
    columns = {
        "training_age_years": found.age_years,
        "gain_pct": found.gain,
        "low_pct": found.low,
        "high_pct": found.high,
        "law_pct": found.law,
        "law_low_pct": found.law_low,
        "law_high_pct": found.law_high,
    }
    whose = {"lifter_id": lifter_id, "subject": subject}
    return [
        {**whose, **{name: float(values[at]) for name, values in columns.items()}}
        for at in range(found.age_years.size)
    ]
