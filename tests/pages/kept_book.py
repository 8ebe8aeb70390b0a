"""Kept forecasts of the invented record, with what came of them, for the page Lifts."""

from datetime import date, timedelta

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.findings.predictions import answer_scores

SPANS = 6  # half-years
SUBJECTS = (("lift:bench_press", 110.0), ("lift:pull_up", 115.0), ("muscle:chest", 2.0))
HORIZONS = (26, 52)


def kept_frame(lifter_id: str, first: date) -> pl.DataFrame:
    """One forecast a half-year, subject and horizon; the last ones are open, some missed."""
    rows = []
    for span in range(SPANS):
        for subject, level in SUBJECTS:
            for weeks in HORIZONS:
                told = first + timedelta(weeks=400 + 26 * span)
                is_kg, is_open = subject.startswith("lift"), span == SPANS - 1
                reach = 4.0 if is_kg else 3.0
                came = None if is_open else level + (5.0 if span == 3 else -1.0)
                rows.append(
                    {
                        "prediction_id": f"{subject}-{span}-{weeks}",
                        "lifter_id": lifter_id,
                        "question": "forecast",
                        "subject": subject,
                        "predicted_on": told,
                        "weeks_ahead": weeks,
                        "from_date": told,
                        "to_date": told + timedelta(weeks=weeks),
                        "estimate": level,
                        "low": level - reach,
                        "high": level + reach,
                        "unchanged": level - 2.0 if is_kg else 0.0,
                        "unit": "kg" if is_kg else "%",
                        "level_log": 4.7,
                        "zero_on": None if is_kg else first,
                        "state": "open" if is_open else "came",
                        "came": came,
                        "is_inside": None if came is None else abs(came - level) <= reach,
                        "finding_id": "f",
                        "method": "last level and a shrunken drift",
                        "model_version": "2.0",
                        "source": "0123456789ab",
                    }
                )
    return conform("model_prediction", pl.DataFrame(rows, infer_schema_length=None))


def kept_findings(lifter_id: str, first: date) -> list[dict[str, object]]:
    """The two findings about them."""
    return [one.as_row() for one in answer_scores(kept_frame(lifter_id, first))]
